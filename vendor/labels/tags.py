"""What is printed on a tag: plain texts, ready to print. Prices come already formatted.

Each kind of tag says what stands large, what names the piece and what is small; how these are
arranged on a label is the same for all kinds and lives in `arranging`.
"""

from dataclasses import dataclass, replace
from typing import Any, Protocol

from vendor.labels.fonts import cleaned

NOT_FOR_FOOD = "Not for food use"
"""For ware whose finish isn't for food contact. A paper tag comes off: where the local rule asks
for a mark on the piece itself (in the United States 21 CFR 109.16 does for ornamental ware), this
line doesn't replace it."""


@dataclass(frozen=True)
class Content:
    """The texts of any tag by the part they play; an empty text takes no room.

    `large` is what must be seen first, `name` and `detail` say what the piece is, `mark` is a word
    in a frame, `caution` is always printed, and `maker` is left out where there is no room for it.
    A tag isn't printed without the parts that it `needs`.
    """

    name: str
    detail: str = ""
    large: str = ""
    mark: str = ""
    code: str = ""
    caution: str = ""
    maker: str = ""
    needs: tuple[str, ...] = ("name", "large")

    def texts(self) -> tuple[tuple[str, str], ...]:
        """Give the texts that are printed as letters, each with its part."""
        parts = ("name", "detail", "large", "mark", "code", "caution", "maker")
        return tuple((part, getattr(self, part)) for part in parts if getattr(self, part))

    def with_text(self, part: str, text: str) -> "Content":
        """Give the same content with another text for one part."""
        changes: dict[str, Any] = {part: text}
        return replace(self, **changes)


class Tag(Protocol):
    """Any kind of tag."""

    def content(self) -> Content:
        """Give the tag's texts by the part they play."""


@dataclass(frozen=True)
class TagText:
    """A price tag: stuck on a piece that is for sale."""

    ware: str
    price: str
    code: str
    finish: str = ""
    grade_mark: str = ""
    caution: str = ""
    studio: str = ""

    def content(self) -> Content:
        """Put the price large and the code in bars."""
        return Content(
            name=cleaned(self.ware),
            detail=cleaned(self.finish),
            large=cleaned(self.price),
            mark=cleaned(self.grade_mark),
            code=self.code,
            caution=cleaned(self.caution),
            maker=cleaned(self.studio),
        )


@dataclass(frozen=True)
class RewardText:
    """A tag for a piece that is promised: whom it is for, and no price.

    `recipient` is a first name, or the promise's code where no name should be read by others.
    """

    piece: str
    recipient: str
    code: str = ""
    finish: str = ""
    caution: str = ""
    studio: str = ""

    def content(self) -> Content:
        """Put large whom it is for."""
        recipient = cleaned(self.recipient)
        return Content(
            name=cleaned(self.piece),
            detail=cleaned(self.finish),
            large=f"for {recipient}" if recipient else "",
            code=self.code,
            caution=cleaned(self.caution),
            maker=cleaned(self.studio),
        )
