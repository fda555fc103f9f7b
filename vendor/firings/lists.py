"""The lists of the kiln's pages: its book with what is to be unloaded first, and its losses."""

from django.http import HttpRequest, HttpResponse

from vendor.firings import queries
from vendor.firings.forms import LossesForm
from vendor.firings.losses import causes_of, loss_rows
from vendor.firings.models import Firing
from vendor.firings.tables import FiringTable, LossTable
from vendor.house import listing
from vendor.house.access import owner_page
from vendor.house.listing import Choice, Days, Empty


@owner_page
def index(request: HttpRequest) -> HttpResponse:
    """Show what is to be unloaded, and all firings."""
    rows = queries.firing_rows()
    return listing.lay_out(
        request,
        FiringTable,
        rows,
        file_name="firings",
        search=("name", "what", "firing__kiln__name", "firing__note"),
        filters=(
            Choice("state", "State", field="state"),
            Choice("kind", "Kind", field="firing__kind", choices=Firing.Kind.choices),
            Choice("kiln", "Kiln", field="firing__kiln__name"),
            Days("fired", "Fired", field="firing__fired_on"),
        ),
        empty=Empty(
            "No firing in the book yet",
            "Record a firing with what goes in; when it is cool, unload it on to the shelf.",
            "Record a glaze firing",
            "firings:record",
            ("glaze",),
        ),
    ).answer("firings/index.html", waiting=[row for row in rows if row.firing.is_open])


@owner_page
def losses(request: HttpRequest) -> HttpResponse:
    """Show by form what firings lost and why, for all firings or some of them."""
    asked = LossesForm(request.GET or None)
    chosen = asked.cleaned_data if asked.is_valid() else {}
    rows = loss_rows(
        kind=chosen.get("kind") or "", kiln=chosen.get("kiln"), since=chosen.get("since")
    )
    return listing.lay_out(
        request,
        LossTable,
        rows,
        file_name="losses",
        empty=Empty("No losses to show", "They show once a firing has been unloaded."),
    ).answer("firings/losses.html", asked=asked, causes=causes_of(rows))
