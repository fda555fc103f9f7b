"""The Shelf: what stands where, one ware's history, one entry, and undoing it.

Helpers may look at all of it; only the owner changes anything, save for counts at a stall.
"""

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from vendor.house import clock, listing
from vendor.house.access import helper_page, owner_page
from vendor.house.listing import Choice, Empty
from vendor.house.refusing import done, status_of
from vendor.house.studio import who_is
from vendor.ledger import actions, places, queries, story
from vendor.ledger.forms import ReverseForm
from vendor.ledger.models import Entry
from vendor.ledger.tables import StockTable, StoryTable
from vendor.ware.models import Grade, Ware


@helper_page
def shelf(request: HttpRequest) -> HttpResponse:
    """Show all stock by ware, grade and place, with what is held and what is free."""
    who = who_is(request)
    return listing.lay_out(
        request,
        StockTable,
        queries.stock(),
        file_name="shelf",
        search=("ware__name", "ware__code", "place__name"),
        filters=(
            Choice("place", "Place", field="place__name"),
            Choice("form", "Form", field="ware__form__name"),
            Choice("finish", "Finish", field="ware__finish__name"),
            Choice("grade", "Grade", field="grade", choices=Grade.choices),
            Choice(
                "held",
                "Held",
                options={
                    "yes": ("with held pieces", lambda row: row.held > 0),
                    "all": ("none free", lambda row: row.free == 0),
                },
            ),
        ),
        empty=Empty(
            "Nothing on the shelf yet",
            "Unload a firing, or enter what stands there already.",
            "Enter what stands there",
            "ledger:opening",
        ),
    ).answer(
        "ledger/shelf.html",
        counted=[
            (places.value_of(place), place.name)
            for place in places.physical()
            if places.may_count(place, who)
        ],
    )


@helper_page
def ware(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one ware: where it stands, what holds it, and its history entry by entry."""
    found = get_object_or_404(Ware.objects.named(), pk=pk)
    who = who_is(request)
    stock = queries.stock(ware=found)
    return listing.lay_out(
        request,
        StoryTable,
        story.story_of(found),
        file_name=f"history-{found.code.lower()}",
        filters=(
            Choice("what", "What", field="what"),
            Choice("grade", "Grade", field="grade"),
        ),
        empty=Empty("No entry yet", "Its history begins when pieces come out of a kiln."),
    ).answer(
        "ledger/ware.html",
        ware=found,
        stock=[
            (row, places.value_of(row.place), places.may_count(row.place, who)) for row in stock
        ],
        holds=queries.open_holds(ware=found),
    )


@helper_page
def entry(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one entry with all its lines, and whether it can be undone here."""
    found = get_object_or_404(_entries(), pk=pk)
    context = {
        "entry": found,
        "lines": found.movements.select_related("ware__form", "ware__finish", "source", "target"),
        "holds": found.hold_lines.select_related("hold__ware__form", "hold__ware__finish", "place"),
        "why_not": story.why_not_here(found),
    }
    return render(request, "ledger/entry.html", context)


@owner_page
def reverse(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what undoing an entry changes, ask why, and do it."""
    found = get_object_or_404(_entries(), pk=pk)
    form = ReverseForm(request.POST or None)
    why_not = story.why_not_here(found)
    if request.method == "POST" and hasattr(found, "reversed_by"):
        messages.info(request, "This entry has been undone already; nothing was changed.")
        return redirect("ledger:entry", pk)
    if request.method == "POST" and not why_not and form.is_valid():
        undone = done(
            form,
            lambda: actions.reverse(
                key=f"{story.SHELF_KEY}undo-{pk}",
                entry=found,
                who=who_is(request),
                now=clock.now(),
                reason=form.cleaned_data["reason"],
            ),
        )
        if undone is not None:
            messages.success(request, "The entry is undone by a reversing one.")
            return redirect("ledger:entry", pk)
    context = {"entry": found, "form": form, "why_not": why_not, "mirror": story.mirror_of(found)}
    return render(request, "ledger/reverse.html", context, status=status_of(form))


def _entries() -> "QuerySet[Entry]":
    return Entry.objects.select_related("who", "reverses", "reversed_by")
