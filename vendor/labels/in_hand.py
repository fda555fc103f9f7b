"""A pot in the hand, known by what its tag says: which piece it is, and whether the tag is true."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from vendor.fairs.models import Weekend
from vendor.house.models import Studio
from vendor.labels.choosing import key_of
from vendor.labels.queries import TagState, named, piece_by_tag, states_with
from vendor.ware.models import Grade, PriceTier, Ware
from vendor.ware.queries import price_book


@dataclass(frozen=True, slots=True)
class InHand:
    """The piece that a tag stands for.

    `price` is what its tag should say by the list called `at`, None where it has no price; `state`
    is what there is of it, None where none stands anywhere.
    """

    ware: Ware
    grade: str
    price: int | None
    at: str
    state: TagState | None

    @property
    def name(self) -> str:
        """The piece in words."""
        return named(self.ware, self.grade)

    @property
    def key(self) -> str:
        """Its name on the page of tags."""
        return key_of(self.ware.pk, self.grade)


def by_tag(code: str, *, at: datetime.date, studio: Studio) -> InHand | None:
    """Return the piece whose tag says a code, in whichever symbol (at most twelve statements).

    None where no tag says so.
    """
    found = piece_by_tag(code)
    if found is None:
        return None
    ware_id, grade = found
    ware = Ware.objects.named().get(pk=ware_id)
    book = price_book(on=at, studio=studio)
    tiers = list(PriceTier.objects.all())
    weekend = Weekend.objects.coming(at=at).select_related("fair__tier").first()
    tier = usual_list(tiers, weekend)
    if grade == Grade.SECOND:
        tier = next((each for each in tiers if each.for_seconds), None)
    price = book.find(ware.pk, ware.form_id, tier.pk) if tier else None
    states = {(each.ware.pk, each.grade): each for each in states_with(book)}
    return InHand(
        ware, grade, price.amount if price else None, tier.name if tier else "", states.get(found)
    )


def usual_list(tiers: Sequence[PriceTier], weekend: Weekend | None) -> PriceTier | None:
    """Return the price list of tags: that of the coming weekend's fair, else the base list."""
    if weekend is not None:
        return weekend.fair.tier
    return next((tier for tier in tiers if tier.is_base), tiers[0] if tiers else None)
