"""The pages of levels, rewards, contributions, files and what is earned; each form sent twice."""

import datetime
import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from tests.factories import NOW, FormFactory
from tests.supporters.makers import keyed, level, pays, promised, reward
from vendor.house import clock
from vendor.house.models import User
from vendor.supporters import actions, people, rules
from vendor.supporters.errors import NotNow
from vendor.supporters.models import (
    Commitment,
    Contribution,
    ContributionFile,
    Level,
    LevelTerms,
    Question,
    Reward,
    RewardTerms,
    Supporter,
)
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def december(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is 2 December 2026."""
    monkeypatch.setattr(clock, "now", lambda: NOW)


def url(name: str, *args: Any) -> str:
    """Return the address of a page of the part."""
    return reverse(f"supporters:{name}", args=args)


def twice(desk: Client, address: str, form: dict[str, Any]) -> None:
    """Send a form twice; both times it leads on."""
    for _ in range(2):
        answer = desk.post(address, form)
        assert answer.status_code == 302, answer.content.decode()


def text(desk: Client, address: str) -> str:
    """Return a page."""
    answer = desk.get(address)
    assert answer.status_code == 200
    return str(answer.content.decode())


def test_a_level_and_a_reward_are_made_on_their_pages(desk: Client) -> None:
    """Name first, then the terms, then what is asked."""
    assert "No level yet" in text(desk, url("rules"))
    desk.post(url("new_reward"), {"name": "A tumbler", "due_weeks": 8})
    made = Reward.objects.get()
    twice(desk, url("reward_terms", made.pk), keyed(from_month="2026-01", cost=6, limit=2))
    desk.post(
        url("new_question", made.pk),
        {"kind": "option", "name": "Size", "options": "tall\n\nround", "required": "on"},
    )
    desk.post(url("new_level"), {"name": "Friend", "usual_reward": made.pk})
    friend = Level.objects.get()
    twice(
        desk, url("level_terms", friend.pk), keyed(from_month="2026-01", amount="5.00", credits=2)
    )
    assert (LevelTerms.objects.count(), RewardTerms.objects.count()) == (1, 1)
    assert Question.objects.get().options == ["tall", "round"]
    shown = text(desk, url("rules"))
    for said in ("Usually leads to A tumbler", "$5.00", "2 credits", "at most 2", "Size"):
        assert said in shown
    for name, pk in (("level", friend.pk), ("reward", made.pk)):
        assert "Save" in text(desk, url(name, pk))
    assert "tall" in text(desk, url("question", made.pk, Question.objects.get().pk))


def test_a_rule_that_takes_away_is_told_on_its_form(
    desk: Client, ines: Supporter, owner: User
) -> None:
    """With what was typed kept."""
    friend = level(owner, "Friend", 2)
    pays(ines, friend, owner, 10)
    answer = desk.post(
        url("level_terms", friend.pk), keyed(from_month="2026-10", amount="5.00", credits=1)
    )
    assert answer.status_code == 409
    assert "would take away" in answer.content.decode()


def test_a_month_is_typed_in_refunded_struck_and_counted_again(
    desk: Client, ines: Supporter, owner: User
) -> None:
    """Each once, each with a reason."""
    friend = level(owner, "Friend", 2)
    form = keyed(
        supporter=ines.pk, level=friend.pk, month="2026-11", on="2026-11-03", amount="5.00",
        kind="paid",
    )  # fmt: skip
    twice(desk, url("new_contribution"), form)
    one = Contribution.objects.get()
    twice(desk, url("refund", one.pk), keyed(on="2026-11-20", reason="Her bank"))
    assert "Refunded" in text(desk, url("contribution", one.pk))
    twice(desk, url("count_again", one.pk), keyed(reason="A mistake"))
    twice(desk, url("strike", one.pk), keyed(reason="Not hers"))
    assert "Struck out" in text(desk, url("contributions"))
    assert one.changes.count() == 3


def test_a_month_is_ticked_off_for_many_at_once(desk: Client, ines: Supporter, owner: User) -> None:
    """At the level of their latest month; sent again, or filled in further, each is paid once."""
    friend = level(owner, "Friend", 2)
    bram = actions.add_supporter(key="bram", name="Bram Osterly", who=owner, now=NOW)
    assert "Nobody to tick off yet" in text(desk, url("month"))
    for person in (ines, bram):
        pays(person, friend, owner, 10)
    november = url("month") + "?month=2026-11"
    assert "Friend, $5.00" in text(desk, november)
    twice(desk, november, {"paid": [str(ines.pk), "999", "x"]})
    assert "Ines Quill: paid" in text(desk, november)
    twice(desk, november, {"paid": [str(ines.pk), str(bram.pk)]})
    made = Contribution.objects.filter(month=datetime.date(2026, 11, 1))
    assert {(row.supporter, row.amount) for row in made} == {(ines, 500), (bram, 500)}
    assert {row.on for row in made} == {datetime.date(2026, 11, 30)}
    twice(desk, url("strike", made[0].pk), keyed(reason="Not hers"))
    twice(desk, november, {"paid": [str(made[0].supporter_id)]})
    assert made.filter(struck_at=None).count() == 2


def test_a_file_is_sent_mapped_looked_at_and_imported(
    desk: Client, ines: Supporter, owner: User
) -> None:
    """Nothing is written before the last step; rejected rows are taken away, then forgotten."""
    level(owner, "Friend", 2)
    content = (
        b"Who,Mail,Date,Sum\n"
        b"Ines Quill,ines@example.org,2026-10-03,5.00\n"
        b"Ines Quill,ines@example.org,2026-11-03,5.00\n"
        b"=Bram,,soon,5.00\n"
    )
    key = keyed()
    for _ in range(2):
        upload = SimpleUploadedFile("months.csv", content)
        assert desk.post(url("import"), {**key, "file": upload}).status_code == 302
    file = ContributionFile.objects.get()
    assert "What do its columns mean?" in text(desk, url("file", file.pk))
    mapping = {
        "name": "Who", "email": "Mail", "day": "Date", "amount": "Sum", "order": "ymd",
        "paid_words": "paid", "add_people": "on",
    }  # fmt: skip
    assert (
        "Choose a column"
        in desk.post(url("file", file.pk), {**mapping, "day": ""}).content.decode()
    )
    twice(desk, url("file", file.pk), mapping)
    shown = text(desk, url("file", file.pk))
    assert "Will be added" in shown
    assert "can’t be read as a day" in shown.replace("&#x27;", "’")
    assert not Contribution.objects.exists()
    twice(desk, url("import_file", file.pk), keyed())
    assert Contribution.objects.count() == 2
    assert "is imported" in text(desk, url("file", file.pk))
    taken = desk.get(url("rejected", file.pk, "csv")).content.decode()
    assert "Line,Why,Who,Mail,Date,Sum" in taken
    assert "'=Bram" in taken
    desk.post(url("forget", file.pk))
    file.refresh_from_db()
    assert file.rejected == []
    assert "2 added" in text(desk, url("import"))


def test_a_file_that_is_no_table_is_refused_on_its_form(desk: Client) -> None:
    """With what to do instead."""
    upload = SimpleUploadedFile("x.xlsx", b"PK nothing")
    answer = desk.post(url("import"), keyed(file=upload))
    assert answer.status_code == 409
    assert "opened as a workbook" in answer.content.decode()


def test_what_is_earned_is_explained_and_promised(
    desk: Client, ines: Supporter, owner: User
) -> None:
    """Month by month; one by one, or all at once."""
    tumbler = reward(owner, "A tumbler", 6, form=FormFactory(name="Tumbler"))
    friend = level(owner, "Friend", 2, usual_reward=tumbler)
    pays(ines, friend, owner, 3, 4, 5, 8, 9, 10)
    shown = text(desk, url("supporter", ines.pk))
    for said in ("March 2026 at Friend", "+2", "June 2026 to July 2026", "4 of 6 toward"):
        assert said in shown
    assert "Ready to be promised" in text(desk, url("earned"))
    twice(desk, url("promise_reward", ines.pk, tumbler.pk), keyed())
    twice(desk, url("promise_all"), keyed())
    assert Commitment.objects.count() == 2
    assert "On the way" in text(desk, url("earned"))
    twice(desk, url("aim", ines.pk), {"aim": tumbler.pk})
    ines.refresh_from_db()
    assert ines.aim == tumbler


def test_a_supporter_takes_everything_away_and_is_erased(
    desk: Client, ines: Supporter, owner: User
) -> None:
    """Counts stay, names go; open promises come first, and the box has to be ticked."""
    friend = level(owner, "Friend", 2)
    pays(ines, friend, owner, 10)
    told = json.loads(desk.get(url("export", ines.pk)).content)
    assert (told["name"], told["contributions"][0]["month"]) == ("Ines Quill", "2026-10")
    back = url("supporter", ines.pk)
    desk.post(url("erase", ines.pk), keyed(back=back))
    ines.refresh_from_db()
    assert not ines.is_erased
    twice(desk, url("erase", ines.pk), keyed(back=back, sure="yes"))
    ines.refresh_from_db()
    assert (ines.name, ines.email, ines.address) == (f"Erased supporter {ines.pk}", "", "")
    assert Contribution.objects.count() == 1
    assert "Quill" not in text(desk, back) + text(desk, url("contributions"))
    with pytest.raises(NotNow):
        people.change_supporter(supporter=ines, name="Ines again", who=owner, now=NOW)


def test_nobody_is_erased_while_something_is_owed(
    desk: Client, ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """The sentence says what to do first; what was chosen goes with the name."""
    promise = promised(ines, tumbler, owner, choices="For Ines")
    form = keyed(back=url("supporter", ines.pk), sure="yes")
    answer = desk.post(url("erase", ines.pk), form, follow=True)
    assert "1 of their promises are still open" in answer.content.decode()
    actions.cancel(key="c", commitment=promise, reason="Moved", who=owner, now=NOW)
    desk.post(url("erase", ines.pk), form)
    promise.refresh_from_db()
    assert promise.choices == ""


def test_every_list_can_be_taken_away(desk: Client, ines: Supporter, owner: User) -> None:
    """As CSV, as shown."""
    pays(ines, level(owner, "Friend", 2), owner, 10)
    assert b"Ines Quill,Friend,2" in desk.get(url("supporters"), {"_export": "csv"}).content
    taken = desk.get(url("contributions"), {"_export": "csv"}).content
    assert b"Ines Quill,2026-10-01,Friend,5.00" in taken
    assert (
        rules.save_level(level=Level(name="  Two   words "), who=owner, now=NOW).name == "Two words"
    )
    assert datetime.date(2026, 10, 1).isoformat().encode() in taken
