"""What the counter refuses, each by the name of the rule it keeps."""

from vendor.house.errors import Refused


class NotASellingDay(Refused):
    """The sale falls on a day on which the fair's stall is not open."""


class UndoneAlready(Refused):
    """The sale has been undone, or something of it has been taken back."""


class NotYours(Refused):
    """A helper may undo only what they sold themselves."""


class Unpaid(Refused):
    """The payments don't come to the total."""


class SettledAlready(Refused):
    """Somebody settled this one before."""


class WrongPin(Refused):
    """Not the PIN of the person, or none that can be one."""
