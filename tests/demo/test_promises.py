"""The demonstration's supporters: drawn the same everywhere, and earned by their own months."""

import datetime

from django.test import TestCase

from tests.factories import NOW
from vendor.demo import load, promises
from vendor.house.models import Studio
from vendor.studio.queries import home
from vendor.supporters import accounts
from vendor.supporters.models import Commitment, Contribution, Supporter

TODAY = datetime.date(2026, 12, 2)


def test_the_months_are_drawn_the_same_every_time() -> None:
    """Fourteen of them, the last before today's; one lapse, one refund, one failure made good."""
    rows = promises.draw(TODAY)
    assert rows == promises.draw(TODAY)
    assert {row.month for row in rows} == {
        datetime.date(2025, 10, 1), datetime.date(2025, 11, 1), datetime.date(2025, 12, 1),
        *(datetime.date(2026, month, 1) for month in range(1, 12)),
    }  # fmt: skip
    assert sum(row.failed for row in rows) == 1
    assert sum(row.refunded_on is not None for row in rows) == 1
    assert len(rows) == 12 * 14 - 2 + 1
    assert all(row.on < TODAY.replace(day=1) for row in rows)


def test_every_plan_lasts_as_long() -> None:
    """A lapse counts as its months."""
    assert {sum(months for _, months in plan) for plan in promises.PLANS} == {promises.MONTHS}


class TestTheLoadedSupporters(TestCase):
    """The supporters of the loaded season: loaded once, and every test finds them untouched."""

    studio: Studio

    @classmethod
    def setUpTestData(cls) -> None:
        """Load them."""
        cls.studio = load.load_demo(now=NOW)

    def test_the_loaded_supporters_stand_as_their_plans_say(self) -> None:
        """Reckoned by hand: months at each level, less what was promised."""
        assert Contribution.objects.count() == len(promises.draw(TODAY))
        stand = {row.supporter.name: row.account.balance for row in accounts.standings(TODAY)}
        # Two credits in fourteen months, less two table pieces; one and two, less a kitchen piece.
        assert stand["Ines Quill"] == 28 - 20
        assert stand["Bram Osterly"] == 8 + 12 - 15
        # Twelve of fourteen months, less a kitchen piece; one refunded, less a table piece.
        assert stand["Odile Marsh"] == 24 - 15
        assert stand["Tobias Fennick"] == 13 - 10
        assert stand["Maud Ellery"] == 70 - 30
        assert Supporter.objects.count() == 12

    def test_some_choices_are_missing_and_one_promise_is_overdue(self) -> None:
        """What the pages are there for."""
        waiting = [each for each in Commitment.objects.open() if each.waits_on_choices]
        assert [each.supporter.name for each in waiting] == ["Ines Quill"]
        assert Commitment.objects.open().filter(known_on=None).count() == 2
        assert Commitment.objects.overdue(TODAY).count() == 1
        assert all(each.answers.exists() for each in Commitment.objects.exclude(known_on=None))

    def test_the_home_page_names_what_is_earned_and_not_chosen(self) -> None:
        """The owner is led there; a helper is told of the stall alone."""
        earned = sum(1 for row in accounts.standings(TODAY) if row.ready)
        assert earned > 1
        page = home(now=NOW, studio=self.studio, owner=True)
        said = {thing.url_name: thing.what for thing in [page.next, *page.others]}
        assert said["supporters:earned"] == f"{earned} supporters have earned a piece"
        assert said["supporters:making"] == "2 promises wait for choices"
        held = Commitment.objects.with_a_piece().count()
        assert {figure.name: figure.value for figure in page.figures}["Held for supporters"] == held
        page = home(now=NOW, studio=self.studio, owner=False)
        names = {thing.url_name for thing in [page.next, *page.others]}
        assert not names & said.keys() & {"supporters:earned", "supporters:making"}
