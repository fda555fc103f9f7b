"""Rules of the house that hold for files, whatever part they belong to."""

import re
import tomllib

import pytest

from tests import tree
from vendor.environment import ROOT

TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "manage.py",
    "pyproject.toml",
    "vendor",
    "templates",
    "tests",
    "fixtures",
}
# Put together here, so that this file doesn't name an address itself.
PACKAGE_ADDRESSES = [
    ".".join(words)
    for words in (
        ("pypi", "org"),
        ("pythonhosted", "org"),
        ("npmjs", "org"),
        ("npmjs", "com"),
        ("debian", "org"),
        ("ubuntu", "com"),
        ("golang", "org"),
        ("crates", "io"),
    )
]
PACKAGE_SOURCES = ["--" + name for name in ("index-url", "extra-index-url", "find-links")]
INLINE = {
    "a style attribute": r"<[^>]*\sstyle\s*=",
    "a style element": r"<style[\s>]",
    "a script in the page": r"<script(?![^>]*\ssrc\s*=)[^>]*>",
    "an event handler": r"<[^>]*\son[a-z]+\s*=",
    "a javascript: address": r"javascript:",
}


def inline_code(template: str) -> list[str]:
    """Return what a template holds that the content security policy would block."""
    page = re.sub(r"\{#.*?#\}|\{% comment.*?endcomment %\}", "", template, flags=re.DOTALL)
    # A tag of the template language may hold quotes and angle brackets of its own.
    page = re.sub(r"\{%.*?%\}|\{\{.*?\}\}", "x", page, flags=re.DOTALL)
    return [name for name, pattern in INLINE.items() if re.search(pattern, page, re.IGNORECASE)]


def test_templates_keep_code_and_style_out_of_the_page() -> None:
    """The content security policy would block them, and the page would come up broken."""
    found = {
        str(path.relative_to(ROOT)): names
        for path in tree.templates()
        if path.suffix in {".html", ".svg"}
        and (names := inline_code(path.read_text(encoding="utf-8")))
    }
    assert not found


@pytest.mark.parametrize(
    "template",
    [
        '<p style="color: red">',
        "<p class='a'\n STYLE = 'b'>",
        "<style>p {}</style>",
        "<script>alert(1)</script>",
        '<script type="application/json">{}</script>',
        '<button onclick="go()">',
        '<a href="javascript:go()">',
        '<p {% if a > b %}class="c"{% endif %} style="d">',
    ],
)
def test_code_in_a_page_is_found(template: str) -> None:
    """The rule above can fail."""
    assert inline_code(template)


@pytest.mark.parametrize(
    "template",
    [
        '<script src="{% static "vendor/till.js" %}" defer></script>',
        '<link rel="stylesheet" href="x.css">',
        '<p class="style" data-style="x" data-on="y">once = twice; style = good</p>',
        '{# <p style="x"> #}<p>',
        '<meter value="{{ part }}" max="1">',
    ],
)
def test_pages_without_code_are_let_be(template: str) -> None:
    """The rule above doesn't cry wolf."""
    assert not inline_code(template)


def test_nothing_new_stands_at_the_top() -> None:
    """The top level is fixed: the two guides, the one way in, and four folders."""
    found = {path.relative_to(ROOT).parts[0] for path in tree.project_files()}
    assert {name for name in found if not name.startswith(".")} <= TOP_LEVEL


def test_no_file_says_where_packages_come_from() -> None:
    """Packages are named, never addressed: where they come from is each machine's own setting."""
    found = [
        (str(path.relative_to(ROOT)), address)
        for path, text in tree.text_files()
        for address in PACKAGE_ADDRESSES + PACKAGE_SOURCES
        if address in text
    ]
    assert not found


@pytest.mark.parametrize("name", ["run", "test"])
def test_lock_files_hold_names_and_hashes_only(name: str) -> None:
    """Every line of a lock file is a version, one of its hashes, or a comment without address."""
    lines = _requirements(f"{name}.txt").splitlines()
    locked = re.compile(
        r"[a-z0-9-]+==[\w.]+( ; [\w '\"<>=!.()]+)? \\|    --hash=sha256:[0-9a-f]{64}( \\)?"
    )
    assert [line for line in lines if not locked.fullmatch(line)] == []


def test_the_test_set_holds_the_run_set() -> None:
    """What is tested is what is run, version by version."""
    run, test = (
        set(re.findall(r"^[a-z0-9-]+==\S+", _requirements(f"{name}.txt"), re.MULTILINE))
        for name in ("run", "test")
    )
    assert run
    assert run <= test


@pytest.mark.parametrize("name", ["run", "test"])
def test_every_wanted_package_is_locked(name: str) -> None:
    """A package that was added to a list has been locked too."""
    wanted = re.findall(r"^[a-z0-9][a-z0-9-]*", _requirements(f"{name}.in"), re.MULTILINE)
    locked = re.findall(r"^([a-z0-9-]+)==", _requirements(f"{name}.txt"), re.MULTILINE)
    assert set(wanted) <= set(locked)


def _requirements(name: str) -> str:
    """Return the text of a list or a lock file."""
    return (ROOT / "vendor/requirements" / name).read_text(encoding="utf-8")


def test_test_folders_are_packages() -> None:
    """Without `__init__.py`, two test modules of the same name would hide each other."""
    folders = {
        path.parent
        for path in tree.project_files()
        if path.suffix == ".py" and path.is_relative_to(ROOT / "tests")
    }
    assert [folder for folder in folders if not (folder / "__init__.py").exists()] == []


def test_the_oldest_python_is_named_in_one_voice() -> None:
    """The project file and the way in agree on which Python is too old."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert settings["project"]["requires-python"] == ">=3.11"
    assert "(3, 11)" in (ROOT / "manage.py").read_text(encoding="utf-8")
