"""A place that somebody names never takes the name by which the ledger calls one of its own."""

import pytest

from tests.factories import NOW, OwnerFactory, WareFactory, stall, stocked
from vendor.house.errors import Refused
from vendor.ledger import actions
from vendor.ledger.models import Place

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("name", ["Found", "sold", "Studio shelf"])
def test_a_gallery_is_not_called_like_a_way_in_or_out(name: str) -> None:
    """Else the first sale that needs that way could not be written."""
    with pytest.raises(Refused, match="is another place"):
        actions.open_place(name=name, kind=Place.Kind.GALLERY, who=OwnerFactory(), now=NOW)
    ware = WareFactory()
    stocked(ware, 1, at=stall())
    actions.sell(
        key="sale", lines=[actions.Line(ware.pk, 2)], source=stall(), who=OwnerFactory(), now=NOW
    )


def test_a_stall_is_no_gallery_of_the_same_name() -> None:
    """Asked for again, the place is the same one, whatever the letters' case."""
    gallery = actions.open_place(
        name="Mill Loft", kind=Place.Kind.GALLERY, who=OwnerFactory(), now=NOW
    )
    assert (
        actions.open_place(name="mill loft", kind=Place.Kind.GALLERY, who=OwnerFactory(), now=NOW)
        == gallery
    )
    with pytest.raises(Refused, match="choose another name"):
        actions.open_place(name="Mill Loft", kind=Place.Kind.STALL, who=OwnerFactory(), now=NOW)
