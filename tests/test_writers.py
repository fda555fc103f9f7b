"""Every change has a who and a when: no function that writes can be added without them."""

import pytest

from tests import tree, writers
from vendor.environment import ROOT

# Writers that need no who or no when, each with the reason.
ANOTHER_HAS_THEM = {
    # Closing a place is a part of the weekend's closing, a document with its own who and when.
    "vendor.ledger.actions.close_through",
    # The lines of a sale hang on the sale, written in the same transaction.
    "vendor.counter.facts.write_sale",
    # A wrong PIN is counted against the person whose it is.
    "vendor.counter.pins.pass_for",
    # The first run: it is the owner who does it, and the studio's part above keeps the note.
    "vendor.house.studio.open_studio",
    "vendor.studio.actions.open_studio",
    # A batch's figures are reckoned of its steps, each of which has its who and when.
    "vendor.firings.batch_steps.settle",
    # An act on a promise carries its who and when itself.
    "vendor.supporters.steps.Act.write",
    "vendor.supporters.steps.let_go",
}
# The places of which there is one stand in the program; making a row is no act of anybody.
PLACES = frozenset({"vendor.ledger.actions.the_place"})


@pytest.fixture(scope="module")
def house() -> writers.House:
    """The house as it stands."""
    return writers.house(ROOT, tree.project_files())


def test_whoever_writes_says_who_and_when(house: writers.House) -> None:
    """Every public function that writes takes `who` and `now`; a view has them of its request.

    What is laid out when the program starts, of known sheets, is nobody's act.
    """
    nameless = [
        str(writer)
        for writer in house.writers(reading=PLACES)
        if writer.is_public
        and "request" not in writer.parameters
        and not writer.is_signed
        and not writer.module.endswith(".apps")
        and str(writer) not in ANOTHER_HAS_THEM
    ]
    assert nameless == []


def test_no_page_writes_by_itself(house: writers.House) -> None:
    """A view, a form and a table call an action: there is one way to write."""
    pages = [
        str(writer)
        for writer in house.writers()
        if writer.by_itself
        and ("request" in writer.parameters or writer.module.endswith(("forms", "tables")))
    ]
    assert pages == []


def test_the_exceptions_are_still_there(house: writers.House) -> None:
    """What needs no exception any more has none."""
    assert {str(writer) for writer in house.writers()} >= ANOTHER_HAS_THEM


@pytest.mark.parametrize(
    "source",
    [
        "def rename(*, form, name):\n    form.name = name\n    form.save()",
        "def rename(*, form, name):\n    form.save(update_fields=['name'])",
        "def forget(*, form):\n    form.delete()",
        "def retire(*, forms):\n    Form.objects.filter(pk__in=forms).update(retired=True)",
        "def add(*, name):\n    return Form.objects.create(name=name)",
        "def add(*, name):\n    return _add(name)\n\ndef _add(name):\n    Form(name=name).save()",
        "from vendor.ware.actions import save\n\ndef add(*, name):\n    return save(name)",
        "from vendor.ware import actions\n\ndef add(*, name):\n    return done(actions.save)",
    ],
)
def test_a_writer_is_found(source: str) -> None:
    """However it writes: by itself, through a helper, or through another module."""
    other = "def save(name):\n    Form(name=name).save()"
    found = writers.House({"vendor.fairs.new": source, "vendor.ware.actions": other}).writers()
    assert [each for each in found if each.module == "vendor.fairs.new" and each.is_public]


def test_a_reader_is_none() -> None:
    """A dictionary is updated and a picture saved without a word about it."""
    source = "def read(canvas):\n    seen = {}\n    seen.update(a=1)\n    canvas.save()"
    assert writers.House({"vendor.fairs.new": source}).writers() == []
