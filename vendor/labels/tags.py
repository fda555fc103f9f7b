"""What is printed on a tag: plain texts, ready to print. Prices come already formatted.

Each kind of tag says what stands large, what names the piece and what is small; how these are
arranged on a label is the same for all kinds and lives in `arranging`.
"""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, Protocol

from vendor.house.typeface import cleaned

NOT_FOR_FOOD = "Not for food use"
"""For ware whose finish isn't for food contact. A paper tag comes off: where the local rule asks
for a mark on the piece itself (in the United States 21 CFR 109.16 does for ornamental ware), this
line doesn't replace it."""


class Shape(StrEnum):
    """How the paper of a tag is used."""

    FLAT = "flat"
    HANG = "hang"
    FOLD = "fold"


@dataclass(frozen=True)
class Picture:
    """The studio's mark: a PNG, and its size in pixels."""

    data: bytes
    width: int
    height: int

    @property
    def aspect(self) -> float:
        """Its width as a multiple of its height."""
        return self.width / self.height


@dataclass(frozen=True)
class Content:
    """The texts of any tag by the part they play; an empty text takes no room.

    `large` is what must be seen first, `name` and `detail` say what the piece is, `mark` is a word
    in a frame, `caution` is always printed; `care`, `maker` and `picture` are left out where there
    is no room for them. A picture stands for the maker where both are given. The code is printed in
    the `way` that it says ("code128", "qr", "number": see `symbols`). A tag isn't printed without
    the parts that it `needs`.
    """

    name: str
    detail: str = ""
    large: str = ""
    mark: str = ""
    code: str = ""
    caution: str = ""
    maker: str = ""
    care: str = ""
    way: str = "code128"
    shape: str = Shape.FLAT
    picture: Picture | None = None
    needs: tuple[str, ...] = ("name", "large")

    def texts(self) -> tuple[tuple[str, str], ...]:
        """Give the texts that are printed as letters, each with its part."""
        parts = ("name", "detail", "large", "mark", "code", "caution", "care", "maker")
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
    """A price tag for a piece that is for sale: stuck on, hung, or folded over a string."""

    ware: str
    price: str
    code: str
    finish: str = ""
    grade_mark: str = ""
    caution: str = ""
    studio: str = ""
    care: str = ""
    way: str = "code128"
    shape: str = Shape.FLAT
    picture: Picture | None = None

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
            care=cleaned(self.care),
            way=self.way,
            shape=self.shape,
            picture=self.picture,
        )


@dataclass(frozen=True)
class BasketText:
    """A shelf talker: a card for a basket of one ware, with its price and perhaps an offer."""

    ware: str
    price: str
    offer: str = ""
    finish: str = ""
    code: str = ""
    caution: str = ""
    studio: str = ""
    way: str = "code128"
    picture: Picture | None = None

    def content(self) -> Content:
        """Put the price of one piece large, and the offer under the name."""
        price, offer = cleaned(self.price), cleaned(self.offer)
        return Content(
            name=", ".join(filter(None, (cleaned(self.ware), cleaned(self.finish)))),
            detail=f"or {offer}" if offer else "",
            large=f"{price} each" if price else "",
            code=self.code,
            caution=cleaned(self.caution),
            maker=cleaned(self.studio),
            way=self.way,
            picture=self.picture,
        )


@dataclass(frozen=True)
class SlipText:
    """A slip for a kiln shelf or a ware board: how many of what, in which firing; no price."""

    pieces: str
    count: str
    firing: str
    studio: str = ""

    def content(self) -> Content:
        """Put the number of pieces large."""
        return Content(
            name=cleaned(self.pieces),
            detail=cleaned(self.firing),
            large=f"× {cleaned(self.count)}" if cleaned(self.count) else "",
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
    shape: str = Shape.FLAT
    picture: Picture | None = None

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
            shape=self.shape,
            picture=self.picture,
        )
