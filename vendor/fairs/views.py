"""The pages of packing: the coming weekend, a packing list, the van, what comes home."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from vendor.fairs import actions, packing_sheet, queries, sheet
from vendor.fairs.errors import NotFree
from vendor.fairs.forms import HomeForm
from vendor.fairs.models import Fair, PackingList, Weekend
from vendor.fairs.tables import PackingListsTable
from vendor.house import clock, listing, spreadsheet
from vendor.house.access import helper_page
from vendor.house.errors import Refused
from vendor.house.listing import Choice, Empty
from vendor.house.models import new_key
from vendor.house.refusing import saying_why
from vendor.house.studio import studio_of, who_is
from vendor.ledger import queries as ledger


@helper_page
@require_GET
def index(request: HttpRequest) -> HttpResponse:
    """Show the coming weekend with its packing lists, the later ones, and the fairs."""
    today = clock.day_of(clock.now(), studio_of(request))
    page = queries.first_page(today=today)
    return render(request, "fairs/index.html", {"page": page, "key": new_key()})


@helper_page
@require_GET
def lists(request: HttpRequest) -> HttpResponse:
    """Show all packing lists there are."""
    return listing.lay_out(
        request,
        PackingListsTable,
        queries.all_lists(),
        file_name="packing-lists",
        search=("packing_list__title", "packing_list__weekend__fair__name"),
        filters=(
            Choice("fair", "Fair", field="packing_list__weekend__fair__name"),
            Choice("state", "State", field="state"),
        ),
        empty=Empty(
            "No packing list yet", "Begin one for the coming weekend.", "Pack", "fairs:index"
        ),
    ).answer("fairs/lists.html")


@helper_page
@require_GET
def packing_file(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Answer with a packing list as a spreadsheet."""
    if kind not in spreadsheet.FORMATS:
        raise Http404
    shown = _the_list(pk)
    name = f"packing-list-{shown.weekend.first_day.isoformat()}-{shown.pk}"
    head, rows = packing_sheet.as_rows(queries.packing(shown), studio_of(request))
    return spreadsheet.response(kind, name, head, rows)


@helper_page
@require_POST
def start_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin a packing list for a weekend, once by the form's key."""
    weekend = get_object_or_404(Weekend, pk=pk)
    made = actions.start_list(
        key=f"list:{_key(request)}",
        weekend=weekend,
        note=request.POST.get("note", "")[:200],
        who=who_is(request),
        now=clock.now(),
    )
    return redirect("fairs:packing_list", made.pk)


@helper_page
@require_GET
def packing_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a packing list, and what could still be put on it."""
    return _list_page(request, _the_list(pk))


@helper_page
@require_POST
def change_lines(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the quantities and totes of a list's lines."""
    shown = _the_list(pk)
    rows = [sheet.LineForm(row, request.POST) for row in queries.packing(shown).rows]
    if all(row.is_valid() for row in rows) and _packed(request, shown, rows, ()):
        return redirect("fairs:packing_list", shown.pk)
    return _list_page(request, shown, rows=rows)


@helper_page
@require_POST
def pick(request: HttpRequest, pk: int) -> HttpResponse:
    """Put pieces of the studio shelf's free stock on a list."""
    shown = _the_list(pk)
    picks = [
        sheet.PickForm(row, request.POST)
        for row in queries.pickable(shown)
        if f"pick{row.ware.pk}-{row.grade}-quantity" in request.POST
    ]
    if all(row.is_valid() for row in picks) and _packed(request, shown, (), picks):
        return redirect("fairs:packing_list", shown.pk)
    return _list_page(request, shown, picks=picks)


@helper_page
@require_POST
def load(request: HttpRequest, pk: int) -> HttpResponse:
    """Load the van: move what is on the list to the stall, as its lines are filled in now."""
    shown = _the_list(pk)
    if not shown.is_loaded and "filled" in request.POST:
        rows = [sheet.LineForm(row, request.POST) for row in queries.packing(shown).rows]
        if not (all(row.is_valid() for row in rows) and _packed(request, shown, rows, ())):
            return _list_page(request, shown, rows=rows)
    with saying_why(request):
        actions.load_van(
            key=f"load:{_key(request)}",
            packing_list=shown,
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, "The van is loaded: everything on the list is at the stall now.")
    return redirect("fairs:packing_list", shown.pk)


@helper_page
@require_POST
def unload(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a loading by a reversing entry."""
    shown = _the_list(pk)
    with saying_why(request):
        actions.unload_van(
            key=f"unload:{_key(request)}",
            packing_list=shown,
            reason=request.POST.get("reason", "")[:200],
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, "The loading is undone: everything is on the shelf again.")
    return redirect("fairs:packing_list", shown.pk)


@helper_page
@require_GET
def packing_print(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the packing list by tote, for paper."""
    shown = _the_list(pk)
    return render(request, "fairs/packing_print.html", {"page": queries.packing(shown)})


@helper_page
@require_GET
def packing_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with the packing list by tote as a PDF."""
    shown = _the_list(pk)
    pdf = packing_sheet.draw(queries.packing(shown), studio=studio_of(request))
    name = f"packing-list-{shown.weekend.first_day.isoformat()}-{shown.pk}.pdf"
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}"'},
    )


@helper_page
def bring_home(request: HttpRequest, pk: int) -> HttpResponse:
    """Bring pieces home from a fair's stall."""
    fair = get_object_or_404(Fair.objects.select_related("stall"), pk=pk)
    told = request.POST if request.method == "POST" else None
    rows = [HomeForm(row, told) for row in ledger.stock(place=fair.stall)]
    if told is not None and all(row.is_valid() for row in rows):
        lines = [line for row in rows if (line := row.line())]
        try:
            actions.bring_home(
                key=f"home:{_key(request)}",
                fair=fair,
                lines=lines,
                who=who_is(request),
                now=clock.now(),
            )
        except NotFree as refused:
            sheet.show_short(rows, refused)
            messages.error(request, refused.message)
        except Refused as refused:
            messages.error(request, refused.message)
        else:
            pieces = sum(line.quantity for line in lines)
            messages.success(request, f"{pieces} pieces are back on the studio shelf.")
            return redirect("fairs:bring_home", fair.pk)
    return render(
        request,
        "fairs/bring_home.html",
        {"fair": fair, "rows": rows, "key": _key(request), "home": queries.brought_home(fair)},
    )


def _the_list(pk: int) -> PackingList:
    lists = PackingList.objects.select_related(
        "weekend__fair__stall", "weekend__fair__tier", "loaded_by", "made_by", "changed_by"
    )
    return get_object_or_404(lists, pk=pk)


def _key(request: HttpRequest) -> str:
    """Return the key that the form brought along, or a fresh one.

    Each act sets its own word before it, so that no form can name another document's entry.
    """
    return request.POST.get("key", "")[:48] or new_key()


def _packed(
    request: HttpRequest,
    shown: PackingList,
    rows: Any,
    picks: Any,
) -> bool:
    """Pack what was filled in; where it is refused, say so beside its rows and return False."""
    tote = request.POST.get("tote", "")
    lines = sheet.changed_lines(rows) + sheet.picked_lines(picks, tote, queries.packing(shown))
    try:
        actions.pack(packing_list=shown, lines=lines, who=who_is(request), now=clock.now())
    except NotFree as refused:
        sheet.show_short([*rows, *picks], refused)
        messages.error(request, refused.message)
        return False
    except Refused as refused:
        messages.error(request, refused.message)
        return False
    return True


def _list_page(
    request: HttpRequest,
    shown: PackingList,
    rows: list[sheet.LineForm] | None = None,
    picks: list[sheet.PickForm] | None = None,
) -> HttpResponse:
    """Show a packing list with its lines as they are, or as they were filled in."""
    page = queries.packing(shown)
    search = request.GET.get("q", "")[:100]
    found = [] if shown.is_loaded or picks is not None else queries.pickable(shown, search)
    rows = rows or [sheet.LineForm(row) for row in page.rows]
    picks = picks or [sheet.PickForm(row) for row in found[: queries.SHOWN_AT_ONCE]]
    bad = any(form.is_bound and form.errors for form in (*rows, *picks))
    context = {
        "page": page,
        "list": shown,
        "rows": rows,
        "picks": picks,
        "more": max(0, len(found) - queries.SHOWN_AT_ONCE),
        "search": search,
        "tote": request.POST.get("tote", "")[: sheet.TOTE],
        "key": new_key(),
    }
    return render(request, "fairs/packing_list.html", context, status=409 if bad else 200)
