"""Where, when and by whom something was done at a stall; refused where the stall is not open."""

import datetime
from dataclasses import dataclass

from vendor.counter.errors import NotASellingDay
from vendor.counter.till import FIRST_TILL
from vendor.fairs.errors import WeekendClosed
from vendor.fairs.models import Weekend
from vendor.house import clock, dates
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ledger.models import Place


@dataclass(frozen=True, kw_only=True)
class At:
    """The weekend and the moment of an act, by the seller's word.

    `day` is the selling day it belongs to (that of the moment unless given), `entered_at` the
    moment under which the ledger enters it (the moment itself unless given), `till` the number of
    the cash box; the `seller` is whoever enters it unless given.
    """

    weekend: Weekend
    moment: datetime.datetime
    day: datetime.date | None = None
    entered_at: datetime.datetime | None = None
    seller: User | None = None
    device: str = ""
    till: int = FIRST_TILL

    @property
    def selling_day(self) -> datetime.date:
        """The selling day that it belongs to."""
        return self.day or clock.day_of(self.moment, the_studio())


def open_stall(at: At, kept: str) -> Place:
    """Return the stall, fresh; refused where the day is none of its selling days, or closed.

    `kept` says in the refusal that nothing came of it: “Nothing was sold”.
    """
    fresh = Weekend.objects.select_related("fair__stall").get(pk=at.weekend.pk)
    if not fresh.days.filter(day=at.selling_day).exists():
        raise NotASellingDay(f"{dates.day(at.selling_day)} is no selling day of {fresh}. {kept}.")
    refuse_closed_day(fresh.fair.stall, at.selling_day, kept)
    return fresh.fair.stall


def refuse_closed_day(stall: Place, day: datetime.date, kept: str) -> None:
    """Refuse (WeekendClosed) what is of a day up to which the stall is closed."""
    if stall.closed_through is not None and stall.closed_through >= day:
        raise WeekendClosed(
            f"{stall.name} is closed up to {dates.day(stall.closed_through)}, and this is of "
            f"{dates.day(day)}. {kept}: enter a correction in an open weekend."
        )
