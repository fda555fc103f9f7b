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

    def __init__(
        self,
        message: str = "This was sent before with other contents. What was sent first is kept; "
        "nothing was changed. Open a fresh page and enter it again if it is new.",
    ) -> None:
        super().__init__(message)


def refuse_other(before: object, said: object) -> None:
    """Refuse (KeyReused) what comes under a used key and is not what came first."""
    if before != said:
        raise KeyReused


class ReversedAlready(Refused):
    """The entry has been reversed, or is itself a reversal."""


class NothingToPost(Refused):
    """The entry has no line, or a line without a piece."""
