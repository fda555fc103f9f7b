"""What the kiln's book refuses, each by the name of the rule it keeps."""

from vendor.house.errors import Refused


class NothingLoaded(Refused):
    """A firing without a single piece, or a line that loads none."""


class NotThisKind(Refused):
    """Ware in a bisque firing, or a form that is not finished in another one."""


class UnloadedAlready(Refused):
    """The firing has been unloaded with other numbers, or was to change after that."""


class CalledOff(Refused):
    """The firing was called off."""


class NotFiredYet(Refused):
    """The firing is dated on a day that is still to come."""


class NotUnloaded(Refused):
    """There is no unloading to undo."""


class DoesNotAddUp(Refused):
    """Firsts, seconds and losses of a line are not what went in."""


class PageTooOld(Refused):
    """A page that was opened before somebody else changed what it shows."""


class BatchOver(Refused):
    """No piece of the batch is on its way any more."""


class NotForward(Refused):
    """A batch was to move to a stage that it has reached already, or is not ready for one."""


class NotSoMany(Refused):
    """More pieces than the batch has at hand."""


class InTheKiln(Refused):
    """Pieces of the batch are in a firing that is still to be unloaded."""


class WrongDay(Refused):
    """A day that is still to come, or before what happened to the batch last."""


class NothingToTakeBack(Refused):
    """The step is not the batch's last one, or can't be taken back by itself."""
