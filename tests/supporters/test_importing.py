"""A file of contributions: looked at first, then written once, whatever is sent again."""

import datetime
from dataclasses import asdict
from typing import Any

import pytest

from tests.factories import NOW
from tests.supporters.makers import TODAY, level, patron_pays
from vendor.house.models import User, new_key
from vendor.house.studio import the_studio
from vendor.supporters import accounts, contributing, importing, judging
from vendor.supporters.errors import NotNow
from vendor.supporters.mapping import Columns
from vendor.supporters.models import Contribution, ContributionFile, Level, Supporter

pytestmark = pytest.mark.django_db

HEAD = ["Who", "Mail", "Date", "Sum", "Level", "How", "No"]
COLUMNS = Columns(
    name="Who", email="Mail", day="Date", amount="Sum", level="Level", status="How",
    reference="No", level_words={"basic": "Friend"},
)  # fmt: skip
ROWS = [
    ["Ines Quill", "ines@example.org", "2026-09-03", "5.00", "Friend", "paid", "R1"],
    ["Ines Quill", "ines@example.org", "2026-10-03", "5.00", "basic", "failed", "R2"],
    ["Bram Osterly", "bram@example.org", "2026-10-03", "20.00", "", "paid", "R3"],
    ["Nobody", "", "2026-10-03", "7.77", "", "paid", "R4"],
    ["Ines Quill", "ines@example.org", "2026-11-03", "5.00", "Friend", "paid", "R5"],
]


@pytest.fixture
def levels(owner: User) -> dict[str, Level]:
    """Two levels with two amounts."""
    return {
        "Friend": level(owner, "Friend", 2, amount=500),
        "Flame": level(owner, "Flame", 5, amount=2000),
    }


def csv(rows: list[list[str]]) -> bytes:
    """Return rows as a file."""
    return "\n".join(",".join(cells) for cells in [HEAD, *rows]).encode()


def taken(rows: list[list[str]], owner: User, columns: Columns = COLUMNS) -> ContributionFile:
    """Send a file in, and say what its columns mean."""
    file = importing.take_file(
        key=new_key(), name="months.csv", content=csv(rows), who=owner, now=NOW
    )
    return importing.map_columns(file=file, columns=columns, who=owner, now=NOW)


def imported(rows: list[list[str]], owner: User) -> ContributionFile:
    """Import a file."""
    return importing.import_file(file=taken(rows, owner), who=owner, now=NOW)


def facts() -> list[Any]:
    """Return everything that counts, by name."""
    rows = Contribution.objects.select_related("supporter", "level")
    return sorted(
        (row.supporter.name, row.level.name, str(row.month), row.kind, str(row.on),
         str(row.refunded_on), row.amount)
        for row in rows
    )  # fmt: skip


def test_every_row_is_judged_before_anything_is_written(
    ines: Supporter, levels: dict[str, Level], owner: User
) -> None:
    """The preview says what each would do, in a fixed number of statements."""
    file = taken(ROWS, owner)
    found = judging.judge(file, COLUMNS, the_studio())
    assert [each.verdict for each in found] == ["new", "new", "new", "rejected", "new"]
    assert found[1].level == levels["Friend"]
    assert found[2].level == levels["Flame"]
    assert found[2].why == "A new supporter is written down."
    assert found[3].why == "No level is named, and the amount is not that of just one level."
    assert found[3].who == "Nobody"
    assert not Contribution.objects.exists()


def test_an_import_writes_what_it_said_and_keeps_the_rejected_rows(
    ines: Supporter, levels: dict[str, Level], owner: User
) -> None:
    """The rows that were used are forgotten."""
    file = imported(ROWS, owner)
    assert (file.added, file.changed, file.same) == (4, 0, 0)
    assert file.rejected[0][:3] == [
        5, "No level is named, and the amount is not that of just one level.", "Nobody",
    ]  # fmt: skip
    assert file.rows == []
    bram = Supporter.objects.get(email="bram@example.org")
    assert accounts.standings(TODAY, bram)[0].account.balance == 5
    assert accounts.standings(TODAY, ines)[0].account.balance == 4
    assert importing.forget_rows(file=file, who=owner, now=NOW).rejected == []


def test_importing_the_same_file_again_changes_nothing(
    ines: Supporter, levels: dict[str, Level], owner: User
) -> None:
    """Neither the same upload nor a second one."""
    file = imported(ROWS, owner)
    before = facts()
    again = importing.import_file(file=file, who=owner, now=NOW)
    assert again.added == 4
    second = imported(ROWS, owner)
    assert (second.added, second.changed, second.same) == (0, 0, 4)
    assert facts() == before
    assert Supporter.objects.count() == 2


def test_a_later_file_tells_of_refunds_and_of_payments_made_good(
    ines: Supporter, levels: dict[str, Level], owner: User
) -> None:
    """The same references with another state."""
    imported(ROWS, owner)
    later = [list(row) for row in ROWS]
    later[0][5], later[1][5] = "refunded", "paid"
    file = imported(later, owner)
    assert (file.added, file.changed, file.same) == (0, 2, 2)
    assert accounts.standings(TODAY, ines)[0].account.balance == 4
    imported(ROWS, owner)
    row = Contribution.objects.get(reference="R1")
    assert row.refunded_on == datetime.date(2026, 9, 3)
    assert sorted(
        Contribution.objects.filter(changes__isnull=False).values_list("changes__what", flat=True)
    ) == ["paid", "refunded"]


def test_a_line_below_zero_is_a_refund_of_its_month(
    ines: Supporter, levels: dict[str, Level], owner: User
) -> None:
    """Whatever comes first."""
    back = ["Ines Quill", "ines@example.org", "2026-09-20", "-5.00", "Friend", "", "R1"]
    imported([back], owner)
    imported(ROWS, owner)
    assert accounts.standings(TODAY, ines)[0].account.balance == 2


def test_a_reference_with_other_contents_is_rejected(
    ines: Supporter, levels: dict[str, Level], owner: User
) -> None:
    """What was written first is kept."""
    imported(ROWS, owner)
    other = [["Bram Osterly", "bram@example.org", "2026-09-03", "20.00", "Flame", "paid", "R1"]]
    file = imported(other, owner)
    assert "on record with another supporter" in file.rejected[0][1]


def test_a_struck_line_stays_struck_when_its_file_comes_again(
    ines: Supporter, levels: dict[str, Level], owner: User
) -> None:
    """The potter's correction is kept."""
    imported(ROWS, owner)
    row = Contribution.objects.get(reference="R5")
    contributing.strike_contribution(
        key="s", contribution=row, reason="Not hers", who=owner, now=NOW
    )
    imported(ROWS, owner)
    assert accounts.standings(TODAY, ines)[0].account.balance == 2


def test_strangers_are_rejected_where_nobody_is_to_be_added(
    ines: Supporter, levels: dict[str, Level], owner: User
) -> None:
    """A choice of the mapping."""
    strict = Columns(**{**asdict(COLUMNS), "add_people": False})
    file = importing.import_file(file=taken(ROWS, owner, strict), who=owner, now=NOW)
    assert next(each[1] for each in file.rejected) == "Bram Osterly is no supporter yet."
    assert Supporter.objects.count() == 1


def test_namesakes_cannot_be_told_apart_by_name(levels: dict[str, Level], owner: User) -> None:
    """An e-mail address tells them."""
    from vendor.supporters.people import add_supporter

    for mail in ("", "a@example.org", "b@example.org"):
        add_supporter(key=f"n{mail}", name="Hal Cranmoor", email=mail, who=owner, now=NOW)
    rows = [
        ["Hal Cranmoor", "", "2026-09-03", "5.00", "", "", ""],
        ["Hal Cranmoor", "b@example.org", "2026-09-03", "5.00", "", "", ""],
    ]
    found = judging.judge(taken(rows, owner), COLUMNS, the_studio())
    assert "3 supporters called" in found[0].why
    assert found[1].supporter is not None
    assert found[1].supporter.email == "b@example.org"


def test_the_mapping_is_remembered_by_the_head_of_the_file(
    levels: dict[str, Level], owner: User
) -> None:
    """The next export needs no mapping; an imported file can't be mapped again."""
    file = imported(ROWS, owner)
    second = importing.take_file(
        key=new_key(), name="next.csv", content=csv(ROWS), who=owner, now=NOW
    )
    assert Columns.from_json(second.columns) == COLUMNS
    with pytest.raises(NotNow):
        importing.map_columns(file=file, columns=COLUMNS, who=owner, now=NOW)


def test_a_file_sent_twice_is_taken_once_and_needs_a_mapping(owner: User) -> None:
    """The same key answers the same."""
    for _ in range(2):
        file = importing.take_file(key="k", name="a.csv", content=csv(ROWS), who=owner, now=NOW)
    assert ContributionFile.objects.count() == 1
    with pytest.raises(NotNow, match="what the columns"):
        importing.import_file(file=file, who=owner, now=NOW)


def test_typed_in_months_count_beside_imported_ones(
    ines: Supporter, levels: dict[str, Level], owner: User
) -> None:
    """A month that is paid twice earns once."""
    patron_pays("typed", ines, levels["Friend"], owner, 9)
    imported(ROWS, owner)
    assert accounts.standings(TODAY, ines)[0].account.balance == 4
