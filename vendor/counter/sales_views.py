"""The list of all sales."""

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from vendor.counter.models import Sale, TakenBack
from vendor.counter.tables import SaleTable
from vendor.house import listing
from vendor.house.access import helper_page
from vendor.house.listing import Choice, Days, Empty


@helper_page
@require_GET
def index(request: HttpRequest) -> HttpResponse:
    """List every sale: find it by what was sold, its note or its number."""
    sales = (
        Sale.objects.select_related("fair", "seller", "undoing")
        .prefetch_related("lines")
        .order_by("-day", "-number")
    )
    states = {
        "sold": ("Sold", Q(undoing__isnull=True)),
        "undone": ("Undone", Q(undoing__isnull=False)),
        "back": ("Partly taken back", Q(pk__in=TakenBack.objects.values("sale"))),
        "count": ("By count", Q(by_count=True)),
    }
    return listing.lay_out(
        request,
        SaleTable,
        sales,
        file_name="sales",
        search=("lines__name", "note", "number"),
        filters=(
            Choice("fair", "Fair", field="fair__name"),
            Choice("state", "State", options=states),
            Days("day", "Sold", "day"),
        ),
        empty=Empty("Nothing is sold yet", "Sales are taken at the stall.", "Sell", "counter:sell"),
    ).answer("counter/sales.html")
