"""What the promises' part refuses, each by the name of the rule it keeps."""

from vendor.house.errors import Refused


class NotNow(Refused):
    """The promise is not at the stage where this can be done."""


class NoFreePiece(Refused):
    """No free piece of this ware and grade stands at that place."""


class NotThisPiece(Refused):
    """The piece is not what was promised: another ware, or a second where firsts are owed."""


class NotValid(Refused):
    """What was written down breaks a rule of its own: too long, missing, there already."""


class TakesAway(Refused):
    """A rule would take away what somebody has earned."""


class NotEarned(Refused):
    """The supporter's credits don't reach for this reward."""


class NotAChoice(Refused):
    """An answer is not on offer, or too long for the pot."""


class NotThisPlace(Refused):
    """The batch or the firing's line can't become what is promised, or is over."""
