"""The work that promises ask for: making, holding at unloading, packing and sending."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.firings import boards
from vendor.firings.models import Batch, Firing
from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.studio import studio_of, who_is
from vendor.supporters import papers, places, sending, work
from vendor.supporters.forms import LabelsForm, SendForm
from vendor.supporters.models import Commitment
from vendor.supporters.rule_forms import fresh_key
from vendor.supporters.views.asked import back, key_of, read, today_of, told


@owner_page
def making(request: HttpRequest) -> HttpResponse:
    """Show what is to be thrown and glazed for promises."""
    found = work.to_make()
    places.tell(found.in_the_making, today=today_of(request))
    return render(request, "supporters/making.html", {"work": found})


@owner_page
def making_pdf(request: HttpRequest) -> HttpResponse:
    """Return the making list to print."""
    return _pdf(papers.making_list(work.to_make().to_make, studio_of(request)), "making-list")


@owner_page
def to_send(request: HttpRequest) -> HttpResponse:
    """Show the held pieces by supporter, to be packed and sent."""
    studio = studio_of(request)
    context = {
        "parcels": [
            (each, SendForm(studio=studio, auto_id=f"send{each.supporter.pk}_%s"))
            for each in work.to_send()
        ],
        "labels": LabelsForm(),
        "key": fresh_key,
    }
    return render(request, "supporters/to_send.html", context)


@owner_page
def sending_pdf(request: HttpRequest) -> HttpResponse:
    """Return the sending list to print."""
    return _pdf(papers.sending_list(work.to_send(), studio_of(request)), "sending-list")


@owner_page
def slip(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the packing slip of a supporter's parcel to print."""
    for parcel in work.to_send():
        if parcel.supporter.pk == pk:
            return _pdf(papers.packing_slip(parcel, studio_of(request)), f"packing-slip-{pk}")
    messages.info(request, "Nothing is held for this supporter, so there is no slip.")
    return redirect("supporters:to_send")


@owner_page
def labels(request: HttpRequest) -> HttpResponse:
    """Return the addresses of all parcels as labels on a plain grid."""
    facts = read(request, LabelsForm(request.GET))
    parcels = [each for each in work.to_send() if each.supporter.address]
    if facts is None or not parcels:
        messages.info(request, "There is no address to print yet.")
        return redirect("supporters:to_send")
    lines = [[each.supporter.name, *each.supporter.address.splitlines()] for each in parcels]
    drawn = papers.address_labels(lines, studio_of(request), **facts)
    return _pdf(drawn, "addresses")


@owner_page
@require_POST
@told
def pack(request: HttpRequest, number: int) -> HttpResponse:
    """Note that a held piece is packed, or unpacked again."""
    one = get_object_or_404(Commitment, number=number)
    verb = sending.unpack if request.POST.get("out") else sending.pack
    verb(key=key_of(request), commitment=one, who=who_is(request), now=clock.now())
    return back(request, "supporters:to_send")


@owner_page
@require_POST
@told
def send_parcel(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the chosen pieces of a supporter in one parcel."""
    form = SendForm(request.POST, studio=studio_of(request))
    facts = read(request, form)
    if facts is None:
        return redirect("supporters:to_send")
    theirs = Commitment.objects.filter(supporter_id=pk)
    numbers = set(request.POST.getlist("number"))
    chosen = [each for each in theirs if str(each.number) in numbers]
    sent = sending.send_parcel(
        key=facts["key"],
        commitments=chosen,
        posted=sending.Posted(facts["carrier"], facts["tracking"], facts["cost"]),
        who=who_is(request),
        now=clock.now(),
    )
    said = ", ".join(str(each) for each in sent)
    messages.success(request, f"Sent: {said}.")
    return redirect("supporters:to_send")


@owner_page
def from_firing(request: HttpRequest, pk: int) -> HttpResponse:
    """Show which owed promises the pieces of a firing could keep, to hold them with a tap."""
    firing = get_object_or_404(Firing, pk=pk)
    rows = work.keepable(firing) if firing.is_unloaded else []
    context = {"firing": firing, "rows": rows, "key": fresh_key}
    return render(request, "supporters/from_firing.html", context)


@owner_page
def from_batch(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the promises in the making in a batch, and those that could be put in it with a tap."""
    batch = get_object_or_404(Batch.objects.select_related("form"), pk=pk)
    there, others = places.from_batch(batch)
    today = today_of(request)
    places.tell(there, today=today)
    context = {
        "batch": batch,
        "stands": boards.stands(batch, today),
        "there": there,
        "others": [] if batch.is_over else others,
        "missing": max(len(there) - batch.left, 0),
        "key": fresh_key,
    }
    return render(request, "supporters/from_batch.html", context)


def _pdf(content: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    answer["Cache-Control"] = "no-store"
    return answer
