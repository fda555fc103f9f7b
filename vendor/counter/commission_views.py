"""A commission's money: its deposits and their slips, handing it over, cancelling it."""

from typing import TypeVar

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from vendor.counter import commissions, queries, slips
from vendor.counter.commission_forms import CancelForm, DepositForm, HandOverForm, KeyedForm
from vendor.counter.models import Commission, Deposit, Sale
from vendor.house import clock, paper
from vendor.house.access import helper_page, owner_page
from vendor.house.models import new_key
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.house.written import money
from vendor.supporters.models import Commitment

Kind = TypeVar("Kind", bound=KeyedForm)
_SLIPS = Deposit.objects.select_related(
    "fair", "commitment__ware__form", "commitment__ware__finish", "commitment__form",
    "commitment__finish", "commitment__reward",
)  # fmt: skip


@owner_page
@require_http_methods(["GET", "POST"])
def commission(request: HttpRequest, number: int) -> HttpResponse:
    """Show what was agreed, what came and went for it, and take a further deposit."""
    promise, standing = _promise(number), _standing(request, number)
    form = _form(DepositForm, request, standing)
    if form is not None and form.is_valid():
        told, at = form, form.at(clock.now())
        taken = done(
            form,
            lambda: commissions.take_deposit(
                key=told.cleaned_data["key"], promise=promise, received=told.received(), at=at,
                who=who_is(request), now=at.moment,
            ),
        )  # fmt: skip
        if taken is not None:
            messages.success(request, f"{taken} is taken.")
            return redirect("counter:slip", pk=taken.pk)
    page = {
        "promise": promise,
        "standing": standing,
        "deposits": Deposit.objects.filter(commitment=promise).select_related("seller"),
        "sales": Sale.objects.filter(commitment=promise).select_related("undoing"),
        "form": form,
        "cancel": _form(CancelForm, request, standing, bound=False),
    }
    return render(request, "counter/commission.html", page, status=status_of(form))


@helper_page
@require_http_methods(["GET", "POST"])
def hand_over(request: HttpRequest, number: int) -> HttpResponse:
    """Hand a commissioned piece over for what is left to pay; a helper may, at the stall."""
    promise, standing = _promise(number), _standing(request, number)
    form = _form(HandOverForm, request, standing)
    if form is not None and form.is_valid():
        told, at = form, form.at(clock.now())
        sale = done(
            form,
            lambda: commissions.hand_over(
                key=told.cleaned_data["key"], promise=promise, payment=told.payment(), at=at,
                who=who_is(request), now=at.moment,
            ),
        )  # fmt: skip
        if sale is not None:
            change = sum(each.change for each in sale.payments.all())
            back = f" Change {money(change, studio_of(request))}." if change else ""
            messages.success(request, f"{promise} is handed over.{back}")
            return redirect("counter:sale", pk=sale.pk)
    page = {"promise": promise, "standing": standing, "form": form}
    return render(request, "counter/hand_over.html", page, status=status_of(form))


@owner_page
@require_POST
def cancel(request: HttpRequest, number: int) -> HttpResponse:
    """Cancel a commission: its deposit is paid back, or kept."""
    promise = _promise(number)
    form = _form(CancelForm, request, _standing(request, number))
    if form is None or not form.is_valid():
        messages.error(request, "Say what becomes of the deposit, and why. Nothing was changed.")
        return redirect("counter:commission", number=number)
    at = form.at(clock.now())
    deposit = commissions.cancel(
        key=form.cleaned_data["key"], promise=promise, ending=form.chosen(), at=at,
        reason=form.cleaned_data["reason"], who=who_is(request), now=at.moment,
    )  # fmt: skip
    messages.success(request, f"{promise} is cancelled. {deposit.get_kind_display()}.")
    return redirect("counter:slip", pk=deposit.pk)


@helper_page
@require_GET
def slip(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the slip of a deposit, to read, print or send."""
    found = get_object_or_404(_SLIPS, pk=pk)
    told = slips.slip_of(found, studio=studio_of(request))
    page = {"deposit": found, "slip": told, "text": slips.as_text(told)}
    return render(request, "counter/slip.html", page)


@helper_page
@require_GET
def slip_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with the slip as a PDF."""
    studio = studio_of(request)
    told = slips.slip_of(get_object_or_404(_SLIPS, pk=pk), studio=studio)
    drawn = paper.draw(slips.as_sheet(told), studio=studio)
    answer = HttpResponse(drawn, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{told.title.lower()}.pdf"'
    answer["Cache-Control"] = "no-store"
    return answer


def _promise(number: int) -> Commitment:
    return get_object_or_404(Commitment.objects.named(), number=number, price__isnull=False)


def _standing(request: HttpRequest, number: int) -> queries.Standing | None:
    """Return the open weekend that its money goes under: of its own fair, else the nearest."""
    taken = Commission.objects.filter(commitment__number=number).first()
    today = clock.day_of(clock.now(), studio_of(request))
    return queries.standing_near(taken.fair_id if taken else None, today=today)


def _form(
    kind: type[Kind],
    request: HttpRequest,
    standing: queries.Standing | None,
    *,
    bound: bool = True,
) -> Kind | None:
    """Return a form of a kind; None where no weekend is open that the money could go under."""
    if standing is None:
        return None
    told = request.POST if request.method == "POST" and bound else None
    prefix = kind.__name__.lower()
    return kind(
        told, studio=studio_of(request), standing=standing, initial={"key": new_key()},
        auto_id=f"{prefix}_%s",
    )  # fmt: skip
