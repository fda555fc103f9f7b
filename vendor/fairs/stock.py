"""What can be packed: the free pieces of a place, and the refusal where they are too few."""

from collections.abc import Mapping

from vendor.fairs.errors import NotFree, Short
from vendor.ledger import queries
from vendor.ledger.actions import the_place
from vendor.ledger.models import Balance, Place
from vendor.ledger.posting import piece
from vendor.ware.models import Ware

Spot = tuple[int, str]  # ware, grade


def shelf() -> Place:
    """Return the studio shelf, from which vans are packed."""
    return the_place(Place.Kind.STUDIO)


def shortages(place: Place, wanted: Mapping[Spot, int]) -> list[Short]:
    """Return each ware and grade of which more is wanted than stands free at a place."""
    rows = queries.on_hand_at(place)
    short = {
        spot: rows.get(spot) or Balance(on_hand=0, held=0)
        for spot, quantity in wanted.items()
        if quantity > (rows[spot].free if spot in rows else 0)
    }
    ware = Ware.objects.named().in_bulk([ware_id for ware_id, _ in short])
    return [
        Short(
            ware_id, grade, piece(ware[ware_id], grade), wanted[ware_id, grade], row.free, row.held
        )
        for (ware_id, grade), row in short.items()
    ]


def refuse_shortage(place: Place, wanted: Mapping[Spot, int]) -> None:
    """Refuse (NotFree, naming every one) to take more than stands free at a place."""
    short = shortages(place, wanted)
    if short:
        raise NotFree(str(place), short)
