"""What the ledger refuses, each by the name of the rule it keeps."""

from vendor.house.errors import Refused


class NotEnough(Refused):
    """More pieces were to leave a place than stand there."""


class HeldPiece(Refused):
    """A piece that is held for somebody was to leave, and nobody said so explicitly."""

    def __init__(self, message: str, hold_ids: list[int]) -> None:
        super().__init__(message)
        self.hold_ids = hold_ids


class DayClosed(Refused):
    """The entry is dated in a period that is closed at one of its places."""


class KeyReused(Refused):
    """A key that has been used already came again with other contents."""


class ReversedAlready(Refused):
    """The entry has been reversed, or is itself a reversal."""


class NothingToPost(Refused):
    """The entry has no line, or a line without a piece."""
