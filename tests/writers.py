"""Finds the functions that write, from source text alone: those that save, and all that call them.

A function writes where it calls a manager's or a row's own writing method, or another function of
the project that does. Rows are told from pictures and drawings by what is called on them.
"""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.import_law import PARTS, module_name

MAKES = {"create", "bulk_create", "bulk_update", "update_or_create", "get_or_create"}
CHANGES = {"save", "delete", "update"}
# What is saved or updated without being a row.
NO_ROWS = {
    "canvas", "grey", "ground", "picture", "super()", "self.initial", "bitmap.to_pil()",
    "default_storage", "self.__dict__", "models.Field.default_error_messages",
}  # fmt: skip
Name = tuple[str, str]
"""A module and a function in it."""


@dataclass(frozen=True)
class Writer:
    """A function that writes, and the names of its parameters."""

    module: str
    name: str
    parameters: frozenset[str]
    by_itself: bool

    @property
    def is_signed(self) -> bool:
        """Whether it is told who writes and when, by themselves or in a value that carries both."""
        return {"who", "now"} <= self.parameters or bool({"sending", "draft"} & self.parameters)

    @property
    def is_public(self) -> bool:
        """Whether other modules are meant to call it."""
        return not any(part.startswith("_") for part in self.name.split("."))

    def __str__(self) -> str:
        return f"{self.module}.{self.name}"


class House:
    """All modules of the parts, with what their functions call."""

    def __init__(self, modules: dict[str, str]) -> None:
        """`modules` maps a module's dotted name to its source."""
        self.trees = {name: ast.parse(source) for name, source in modules.items()}
        self.imports = {name: dict(_imports(tree)) for name, tree in self.trees.items()}
        self.functions = {
            (module, name): function
            for module, tree in self.trees.items()
            for name, function in _functions(tree)
        }

    def writers(self, *, reading: frozenset[str] = frozenset()) -> list[Writer]:
        """Return every function that writes, by itself or through another, in order of name.

        What is named in `reading` counts as none.
        """
        direct = {
            (module, name)
            for (module, name), code in self.functions.items()
            if f"{module}.{name}" not in reading and any(map(_writes, _calls(code)))
        }
        calls = {name: self._called(name) for name in self.functions}
        writing: set[Name] = set()
        fresh = set(direct)
        while fresh:
            writing |= fresh
            fresh = {name for name, called in calls.items() if called & writing} - writing
        return [
            Writer(*name, _parameters(self.functions[name]), name in direct)
            for name in sorted(writing)
        ]

    def _called(self, name: Name) -> set[Name]:
        """Return the project's own functions that a function calls or hands on."""
        module, _ = name
        known = self.imports[module]
        found = set()
        for node in ast.walk(self.functions[name]):
            if isinstance(node, ast.Name):
                found.add(self._home(known.get(node.id, (module, node.id))))
            elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                where = known.get(node.value.id)
                if where is not None:
                    found.add(self._home((".".join(filter(None, where)), node.attr)))
        return {each for each in found if each in self.functions and each != name}

    def _home(self, name: Name) -> Name:
        """Return where a name is defined that a module may only hand on."""
        for _ in range(len(PARTS)):
            if name in self.functions or name[0] not in self.imports:
                break
            further = self.imports[name[0]].get(name[1])
            if further is None:
                break
            name = further
        return name


def house(root: Path, files: list[Path]) -> House:
    """Return the house as it stands in these files."""
    parts = {root / "vendor" / part for part in PARTS}
    return House(
        {
            module_name(path, root): path.read_text(encoding="utf-8")
            for path in files
            if path.suffix == ".py" and parts & set(path.parents) and "migrations" not in path.parts
        }
    )


def _imports(tree: ast.Module) -> Iterator[tuple[str, Name]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                yield alias.asname or alias.name, (node.module, alias.name)


def _functions(tree: ast.Module) -> Iterator[tuple[str, ast.FunctionDef]]:
    for node in tree.body:
        if isinstance(node, ast.FunctionDef):
            yield node.name, node
        elif isinstance(node, ast.ClassDef):
            for inner in node.body:
                if isinstance(inner, ast.FunctionDef):
                    yield f"{node.name}.{inner.name}", inner


def _calls(code: ast.FunctionDef) -> Iterator[ast.Call]:
    return (node for node in ast.walk(code) if isinstance(node, ast.Call))


def _writes(call: ast.Call) -> bool:
    """Tell whether a call writes a row."""
    if not isinstance(call.func, ast.Attribute):
        return False
    of = ast.unparse(call.func.value)
    if call.func.attr in MAKES:
        return True
    # A model form that does not commit saves nothing. `update` of a plain name is a dict's; a
    # QuerySet's is called on a manager or a chain.
    if any(each.arg == "commit" for each in call.keywords):
        return False
    return (
        call.func.attr in CHANGES
        and of not in NO_ROWS
        and not (call.func.attr == "update" and ("." not in of or ".setdefault(" in of))
    )


def _parameters(code: ast.FunctionDef) -> frozenset[str]:
    return frozenset(each.arg for each in (*code.args.args, *code.args.kwonlyargs))
