"""What the catalogue refuses, each by the name of the rule it keeps."""

from vendor.house.errors import Refused


class LooksAlike(Refused):
    """A code that is the same as another, or is easily taken for it."""


class NotAPicture(Refused):
    """A file that is no picture, or too large a one."""


class PastPrice(Refused):
    """A price that was to change what was asked on a day that is over."""


class NothingMade(Refused):
    """No finish was ticked, or all of the ware is there already."""
