"""Reads which part of the house imports which, from source text alone.

Seen are imports anywhere in a module (inside functions and type checks too), relative ones,
`from vendor import part`, model relations written as strings ("part.Model"), and modules and
models that are fetched by a name written out (`import_module`, `import_string`, `get_model`).
"""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

# From the bottom up: a part may import the parts before it, and no other.
PARTS = (
    "house",
    "ware",
    "ledger",
    "firings",
    "supporters",
    "fairs",
    "labels",
    "restock",
    "counter",
    "closing",
    "reports",
    "studio",
)
RELATIONS = {"ForeignKey", "OneToOneField", "ManyToManyField", "GenericRelation"}
FETCHES = {"import_module", "import_string", "__import__"}


@dataclass(frozen=True)
class Breach:
    """A place where a part looks up, or sideways."""

    module: str
    line: int
    reached: str

    def __str__(self) -> str:
        return f"{self.module}, line {self.line}: reaches {self.reached}, which is not below it"


def breaches(module: str, source: str) -> list[Breach]:
    """Return where a module (`vendor.fairs.actions`) reaches what is not below its part."""
    part = _part(module)
    if part is None:
        return []
    allowed = set(PARTS[: PARTS.index(part) + 1])
    found = []
    for line, reached in _reached(module, ast.parse(source)):
        target = reached.split(".")[1] if reached.count(".") else ""
        if target not in allowed:
            found.append(Breach(module, line, reached))
    return found


def module_name(path: Path, root: Path) -> str:
    """Return the dotted name of a module by its path; a package keeps its `__init__`."""
    return ".".join(path.relative_to(root).with_suffix("").parts)


def _part(module: str) -> str | None:
    """Return the part that a module belongs to; None for the top of the house."""
    names = module.split(".")
    return names[1] if len(names) > 2 and names[0] == "vendor" and names[1] in PARTS else None


def _reached(module: str, tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Yield the line and dotted name of everything of the project that a module reaches."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = _from(module, node)
        elif isinstance(node, ast.Call):
            names = _named(node)
        else:
            continue
        for name in names:
            if name.split(".")[0] == "vendor":
                yield node.lineno, name


def _from(module: str, node: ast.ImportFrom) -> list[str]:
    """Return the dotted names that a `from … import …` reaches."""
    base = node.module or ""
    if node.level:
        package = module.split(".")[: -node.level]
        base = ".".join([*package, *filter(None, [base])])
    # `from vendor import fairs` reaches a part; `from vendor.fairs import models` says so itself.
    if base == "vendor":
        return [f"vendor.{alias.name}" for alias in node.names]
    return [base]


def _named(call: ast.Call) -> list[str]:
    """Return the dotted names that a call reaches by a string."""
    function = call.func
    name = function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")
    if name in FETCHES:
        return _texts(call.args[:1])
    if name == "get_model":
        words = _texts(call.args[:2])
        return [f"vendor.{words[0]}"] if words and words[0].split(".")[0] in PARTS else []
    return _relations(call) if name in RELATIONS else []


def _texts(values: list[ast.expr]) -> list[str]:
    """Return the values that are texts written out."""
    return [v.value for v in values if isinstance(v, ast.Constant) and isinstance(v.value, str)]


def _relations(call: ast.Call) -> list[str]:
    """Return the parts that a model field names in a string."""
    named = [keyword.value for keyword in call.keywords if keyword.arg in {"to", "through"}]
    labels = _texts([*call.args[:1], *named])
    reached = [f"vendor.{label}" for label in labels if label.count(".") == 1]
    return [name for name in reached if name.split(".")[1].lower() in PARTS]
