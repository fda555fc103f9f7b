"""The pages on which card statements are compared with card sales."""

from dataclasses import asdict

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.closing import actions, card_rows
from vendor.closing.card_pages import card_page
from vendor.closing.forms import ColumnsForm, StatementForm
from vendor.closing.models import CardPair, CardStatement
from vendor.closing.views import key_of, the_weekend
from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.cells import from_json
from vendor.house.errors import Refused
from vendor.house.models import new_key
from vendor.house.refusing import done, saying_why
from vendor.house.studio import studio_of, who_is
from vendor.house.table_file import MAX_BYTES

SAMPLE = 3


@owner_page
def cards(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a weekend's card sales beside its statements, and take in another statement."""
    weekend = the_weekend(pk)
    form = StatementForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            made = actions.take_statement(
                key=key_of(request),
                weekend=weekend,
                name=file.name,
                content=file.read(MAX_BYTES + 1),
                who=who_is(request),
                now=clock.now(),
            )
        except Refused as refused:
            form.add_error("file", refused.message)
        else:
            if made.columns is None:
                return redirect("closing:card_columns", made.pk)
            messages.success(request, "Read by the columns that were named for such a file before.")
            return redirect("closing:cards", weekend.pk)
    context = {
        "weekend": weekend,
        "page": card_page(weekend, studio_of(request)),
        "form": form,
        "key": new_key(),
    }
    return render(request, "closing/cards.html", context, status=409 if form.errors else 200)


@owner_page
def name_columns(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what the columns of a statement mean."""
    statement = _statement(pk)
    columns = (
        from_json(card_rows.Columns, statement.columns)
        if statement.columns
        else card_rows.proposed(statement.head)
    )
    form = ColumnsForm(request.POST or None, head=statement.head, initial=asdict(columns))
    if request.method == "POST" and form.is_valid():
        mapped = done(
            form,
            lambda: actions.map_statement(
                statement=statement,
                columns=form.columns(),
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if mapped is not None:
            return redirect("closing:cards", statement.weekend_id)
    context = {"statement": statement, "form": form, "sample": statement.rows[:SAMPLE]}
    return render(request, "closing/card_columns.html", context)


@owner_page
@require_POST
def remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a statement out of the comparison."""
    statement = _statement(pk)
    actions.remove_statement(statement=statement, who=who_is(request), now=clock.now())
    messages.success(request, f"“{statement.name}” is out of the comparison.")
    return redirect("closing:cards", statement.weekend_id)


@owner_page
@require_POST
def note(request: HttpRequest, pk: int) -> HttpResponse:
    """Say why a line or a card sale has no partner."""
    weekend = the_weekend(pk)
    with saying_why(request):
        actions.note_left(
            key=key_of(request),
            weekend=weekend,
            about=request.POST.get("about", "")[:80],
            reason=request.POST.get("reason", "")[:400],
            who=who_is(request),
            now=clock.now(),
        )
    return redirect("closing:cards", weekend.pk)


@owner_page
@require_POST
def pair(request: HttpRequest, pk: int) -> HttpResponse:
    """Say which lines and card sales belong together."""
    weekend = the_weekend(pk)
    with saying_why(request):
        actions.pair_by_hand(
            key=key_of(request),
            weekend=weekend,
            abouts=request.POST.getlist("about"),
            reason=request.POST.get("reason", "")[:400],
            who=who_is(request),
            now=clock.now(),
        )
    return redirect("closing:cards", weekend.pk)


@owner_page
@require_POST
def apart(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a match by hand."""
    matched = get_object_or_404(CardPair, pk=pk)
    actions.take_apart(pair=matched, who=who_is(request), now=clock.now())
    return redirect("closing:cards", matched.weekend_id)


def _statement(pk: int) -> CardStatement:
    standing = CardStatement.objects.filter(removed_at__isnull=True).select_related("weekend__fair")
    return get_object_or_404(standing, pk=pk)
