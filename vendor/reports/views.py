"""The reports' pages: what sold at a fair, and away from it."""

from django.http import HttpRequest, HttpResponse

from vendor.fairs.models import Fair
from vendor.house import listing
from vendor.house.access import owner_page
from vendor.house.listing import Choice, Empty
from vendor.reports import elsewhere, queries
from vendor.reports.tables import AwayTable, WeekendTable, WeekendTableWithDeposits, sold_table


@owner_page
def index(request: HttpRequest) -> HttpResponse:
    """Show what sold at the latest fair, or at the one that is asked for."""
    fairs = list(Fair.objects.all())
    asked = request.GET.get("fair", "")
    fair = next((each for each in fairs if str(each.pk) == asked), fairs[0] if fairs else None)
    weekends = [row for row in queries.by_weekend(fair) if row.has_begun] if fair else []
    takings = listing.lay_out(
        request,
        WeekendTableWithDeposits if any(row.has_deposits for row in weekends) else WeekendTable,
        weekends,
        file_name="takings",
        prefix="w-",
        empty=Empty("No weekend yet", "Plan a fair and its weekends first.", "Plan", "fairs:index"),
    )
    if takings.wants_file:
        return takings.answer("reports/index.html")
    away = listing.lay_out(
        request,
        AwayTable,
        elsewhere.sold_elsewhere(),
        file_name="sold-early-and-online",
        prefix="a-",
        empty=Empty("Nothing sold early or online", "It is written down on those pages."),
    )
    if away.wants_file:
        return away.answer("reports/index.html")
    report = queries.what_sold(fair) if fair else None
    sold = listing.lay_out(
        request,
        sold_table(report.weekends if report else []),
        report.rows if report else [],
        file_name="what-sold",
        search=("name", "ware__code"),
        filters=(
            Choice("form", "Form", field="ware__form__name"),
            Choice("finish", "Finish", field="ware__finish__name"),
        ),
        empty=Empty(
            "Nothing sold yet",
            "Sales that are taken at the counter are counted here at once.",
            "Open the counter",
            "counter:sell",
        ),
    )
    return sold.answer(
        "reports/index.html", fair=fair, fairs=fairs, report=report, takings=takings, away=away
    )
