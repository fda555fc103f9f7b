"""The page on which tags are chosen, looked over and printed.

All pages of tags are the owner's: a print run writes down what the pieces' tags say from now on,
and its price lists (trade, supporters) are nobody else's business. A helper at the stall who finds
a piece without a tag rings it up by its tile and tells the owner.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render

from vendor.fairs.models import PackingList, Weekend
from vendor.firings.models import Firing
from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.errors import Refused
from vendor.house.models import Studio
from vendor.house.studio import studio_of, who_is
from vendor.labels import actions, choosing, queries
from vendor.labels.choosing import Source
from vendor.labels.drawing import Preview, begun_sheet, preview
from vendor.labels.forms import TagsForm
from vendor.labels.in_hand import usual_list
from vendor.labels.job import Job, tags_of
from vendor.labels.lengths import points
from vendor.labels.models import Kind, LabelSheet, TagDress
from vendor.labels.parting import parted, parting
from vendor.labels.pdf import check_tags, refuse_count, refuse_faults
from vendor.labels.tags import Tag
from vendor.ledger.models import Entry
from vendor.ware.models import PriceTier
from vendor.ware.pricing import PriceBook
from vendor.ware.queries import price_book


@dataclass(frozen=True, slots=True)
class Begun:
    """A page of tags as it is begun: by its address, and by how things stand."""

    kind: str
    source: Source
    states: list[queries.TagState]
    firing: Firing | None
    tiers: list[PriceTier]
    tier: PriceTier | None
    tax_included: bool
    book: PriceBook
    dress: TagDress

    @property
    def seconds(self) -> int | None:
        """The key of the price list for seconds."""
        return next((tier.pk for tier in self.tiers if tier.for_seconds), None)


@owner_page
def index(request: HttpRequest) -> HttpResponse:
    """Choose what to print and how; look it over; print it."""
    studio = studio_of(request)
    begun = _begin(request, studio)
    sent: QueryDict | None = request.POST if request.method == "POST" else None
    if sent is not None and "part" in sent:
        sent = parted(sent, begun.kind)
    asked = {name for name, value in sent.items() if value} if sent else set()
    form = TagsForm(
        sent,
        kind=begun.kind,
        picks=choosing.picks_for(begun.kind, begun.source, begun.firing, asked),
        studio=studio,
        dress=begun.dress,
        tier=begun.tier,
        tax_included=begun.tax_included,
    )
    looked_at = None
    if sent is not None and form.is_valid():
        job = form.job(begun.book, source=begun.source.title, seconds=begun.seconds)
        checked = _looked_over(form, job, studio, begun.dress) if job else None
        if job and checked and not _only_looking(sent):
            run = actions.print_tags(
                key=form.cleaned_data["key"], job=job, who=who_is(request), now=clock.now()
            )
            return redirect("labels:run", run.pk)
        if job and checked:
            tags, notes = checked
            sheet, printing = job.sheet.sheet, job.printer.printing
            looked_at = preview(tags, sheet, printing, job.start), notes
    context = _shown(begun, form, looked_at)
    context["kinds"] = _kinds(begun, request.GET)
    return render(request, "labels/index.html", context, status=_status(form))


def _only_looking(sent: Mapping[str, Any]) -> bool:
    """Tell whether a page is sent to be looked over, also where its tags were parted for it."""
    return "preview" in sent or sent.get("part") == "preview"


def _begin(request: HttpRequest, studio: Studio) -> Begun:
    asked = request.GET
    today = clock.day_of(clock.now(), studio)
    kind = asked.get("kind", "")
    book = price_book(on=today, studio=studio)
    states = queries.states_with(book)
    weekend = Weekend.objects.coming(at=today).select_related("fair__tier").first()
    tiers = list(PriceTier.objects.all())
    firing = _asked_for(Firing, asked.get("firing", ""))
    return Begun(
        kind=kind if kind in Kind.values else Kind.STICKER.value,
        source=_source(asked, firing, states),
        states=states,
        firing=firing,
        tiers=tiers,
        tier=usual_list(tiers, weekend),
        tax_included=bool(weekend and weekend.fair.tax_included),
        book=book,
        dress=_dress(studio),
    )


def _asked_for(model: Any, key: str) -> Any:
    """Return the row that an address asks for, 404 where there is none, None where it asks not."""
    if not key:
        return None
    return get_object_or_404(model, pk=_whole(key))


def _source(asked: Any, firing: Firing | None, states: list[queries.TagState]) -> Source:
    if firing is not None and asked.get("kind") == Kind.SLIP:
        return Source(f"Slips for the shelves of firing {firing.number}")
    if firing is not None:
        return choosing.of_firing(firing)
    packing_list = _asked_for(PackingList, asked.get("list", ""))
    if packing_list is not None:
        return choosing.of_list(packing_list)
    entry = _asked_for(Entry, asked.get("count", ""))
    if entry is not None:
        return choosing.of_entry(entry)
    if asked.get("piece"):
        return choosing.of_piece(asked["piece"])
    if asked.get("from") == "changed":
        return choosing.of_changed(states)
    return choosing.of_untrue(states) if asked.get("from") == "untrue" else Source()


def _dress(studio: Studio) -> TagDress:
    """Return what tags carry, with the first sheet of the studio's paper where none was used."""
    dress = queries.the_dress()
    dress.sheet = dress.sheet or queries.usual_sheet(studio)
    return dress


def _looked_over(
    form: TagsForm, job: Job, studio: Studio, dress: TagDress
) -> tuple[list[Tag], tuple[str, ...]] | None:
    """Return the tags of a job and notes on them; None where something is wrong: it is told."""
    try:
        refuse_count(job.count)
        tags = list(tags_of(job, studio=studio, dress=dress))
        checked = check_tags(tags, job.sheet.sheet, job.printer.printing)
        refuse_faults(checked.faults)
    except Refused as refusal:
        form.add_error(None, refusal.message)
        return None
    return tags, checked.notes


def _shown(
    begun: Begun, form: TagsForm, looked_at: tuple[Preview, tuple[str, ...]] | None
) -> dict[str, Any]:
    sheets = {sheet.pk: sheet for sheet in queries.sheets_on_offer()}
    chosen = sheets.get(_whole(form["sheet"].value())) or next(iter(sheets.values()), None)
    return {
        "form": form,
        "begun": begun,
        "sources": choosing.sources() if not begun.source.title else (),
        "sheets": {pk: _measures(sheet) for pk, sheet in sheets.items()},
        "begun_sheet": begun_sheet(chosen.sheet, _whole(form["start"].value()) or 1)
        if chosen
        else "",
        "outdated": sum(state.outdated for state in begun.states),
        "untrue": sum(state.to_tag for state in begun.states),
        "preview": looked_at[0] if looked_at else None,
        "notes": looked_at[1] if looked_at else (),
        "parting": parting(form),
        "part_for": "preview" if form.is_bound and _only_looking(form.data) else "print",
    }


def _kinds(begun: Begun, asked: QueryDict) -> list[tuple[str, str, bool, str]]:
    """Return each kind of tag with its address, which keeps what the page was begun from."""
    found = []
    for value, label in Kind.choices:
        if value == Kind.SLIP and begun.firing is None:
            continue
        there = asked.copy()
        there["kind"] = value
        found.append((value, label, value == begun.kind, f"?{there.urlencode()}"))
    return found


def _measures(sheet: LabelSheet) -> dict[str, Any]:
    """Return what the page needs to draw a sheet, in points."""
    numbers = sheet.sheet
    return {
        "paper": (points(numbers.paper_width), points(numbers.paper_height)),
        "label": (points(numbers.label_width), points(numbers.label_height)),
        "first": (points(numbers.left), points(numbers.top)),
        "step": (points(numbers.step_across), points(numbers.step_down)),
        "corner": points(numbers.corner_radius),
        "columns": numbers.columns,
        "rows": numbers.rows,
    }


def _whole(value: Any) -> int:
    """Return a typed number, or 0 where it is none."""
    text = str(value or "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def _status(form: TagsForm) -> int:
    return 409 if form.is_bound and form.non_field_errors() else 200
