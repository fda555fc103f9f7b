"""The demonstration's batches stand at every stage, and are measured by days worked by hand."""

import datetime

from django.test import TestCase

from vendor.demo.load import load_demo
from vendor.firings import boards
from vendor.firings.durations import OUT
from vendor.firings.models import Batch, Stage
from vendor.supporters import places
from vendor.supporters.models import Commitment

WEDNESDAY = datetime.datetime(2026, 12, 2, 14, tzinfo=datetime.UTC)
TODAY = WEDNESDAY.date()


class TestTheLoadedBoards(TestCase):
    """The boards as they stand on a Wednesday."""

    @classmethod
    def setUpTestData(cls) -> None:
        """Load the season."""
        load_demo(now=WEDNESDAY)

    def test_there_is_a_batch_at_every_stage(self) -> None:
        """Begun less lost, by hand; 56 jars are in the kiln that is to be unloaded."""
        rows = boards.batch_rows(over=False, today=TODAY)
        assert boards.by_stage(rows) == [
            ("Thrown", 10), ("Trimmed", 14 - 2), ("Dry", 3), ("Bisque", 9 - 1),
            ("Glazed", (60 - 2 - 56) + (12 - 1)), ("In a kiln", 56),
        ]  # fmt: skip
        assert Batch.objects.exclude(ended_at=None).count() == 2

    def test_how_long_it_takes_is_known(self) -> None:
        """Two went the whole way: 23 and 20 days before their firings, each 2 in the kiln."""
        found = boards.measured()
        whole = found.between(Stage.THROWN, OUT)
        assert whole is not None
        # 25 and 22 days: the middle is 23 and a half.
        assert (whole.days, whole.batches) == (24, 2)
        assert boards.days_in_kiln() == 2

    def test_two_promises_are_in_the_making_there(self) -> None:
        """Each in the batch of its form, with words that say so."""
        making = list(Commitment.objects.named().filter(state="making").order_by("number"))
        places.tell(making, today=TODAY)
        assert [each.place.words for each in making] == [
            "Batch 3, 11 × tumbler, glazed since Tuesday",
            "Batch 5, 3 × lidded casserole, dry since Sunday",
        ]
        assert not any(each.place.warning for each in making)
