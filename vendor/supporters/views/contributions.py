"""Contributions: the list, typing one in, refunds and corrections, and importing a file."""

import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.house import clock, dates, spreadsheet
from vendor.house.access import owner_page
from vendor.house.listing import Choice, Empty, lay_out
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.house.table_file import MAX_BYTES
from vendor.supporters import accounts, contributing, importing, judging
from vendor.supporters.credit_values import months_after
from vendor.supporters.forms import DayReasonForm, ReasonForm
from vendor.supporters.mapping import Columns, proposed
from vendor.supporters.models import Contribution, ContributionFile
from vendor.supporters.rule_forms import (
    ColumnsForm,
    ContributionForm,
    FileForm,
    MonthForm,
    fresh_key,
)
from vendor.supporters.tables import ContributionTable, VerdictTable
from vendor.supporters.views.asked import key_of, read, today_of, told


@owner_page
def contributions(request: HttpRequest) -> HttpResponse:
    """List what was contributed, month by month."""
    return lay_out(
        request,
        ContributionTable,
        Contribution.objects.select_related("supporter", "level"),
        file_name="contributions",
        search=("supporter__name", "reference"),
        filters=(
            Choice("level", "Level", field="level__name"),
            Choice("kind", "It was", field="kind", choices=Contribution.Kind.choices),
        ),
        empty=Empty(
            "No contribution yet",
            "Import the months that have been paid, or type one in.",
            "Import a file",
            "supporters:import",
        ),
    ).answer("supporters/contributions.html")


@owner_page
def new_contribution(request: HttpRequest) -> HttpResponse:
    """Type one contribution in."""
    studio, today = studio_of(request), today_of(request)
    form = ContributionForm(
        request.POST or None,
        studio=studio,
        initial={"supporter": request.GET.get("supporter"), "on": today, "month": today},
    )
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        made = done(
            form,
            lambda: contributing.record_contribution(**facts, who=who_is(request), now=clock.now()),
        )
        if made is not None:
            messages.success(
                request, f"{made.supporter}: {dates.month(made.month)} is written down."
            )
            return redirect("supporters:supporter", made.supporter_id)
    return render(
        request, "supporters/contribution_new.html", {"form": form}, status=status_of(form)
    )


@owner_page
def month_sheet(request: HttpRequest) -> HttpResponse:
    """Tick off who paid for a month."""
    today = today_of(request)
    form = MonthForm(request.GET if "month" in request.GET else None, initial={"month": today})
    month = form.cleaned_data["month"] if form.is_valid() else today.replace(day=1)
    rows = accounts.month_sheet(month)
    if request.method == "POST":
        chosen = set(request.POST.getlist("paid"))
        made = contributing.record_month(
            month=month,
            payments=[
                (row.supporter, row.level, row.amount)
                for row in rows
                if str(row.supporter.pk) in chosen
            ],
            on=min(today, _last_day(month)),
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, f"{len(made)} of {dates.month(month)} written down.")
        return redirect(f"{request.path}?month={month:%Y-%m}")
    context = {"form": form, "rows": rows, "month": month}
    return render(request, "supporters/month.html", context)


@owner_page
def contribution(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one contribution, and what can be corrected about it."""
    one = get_object_or_404(Contribution.objects.select_related("supporter", "level"), pk=pk)
    context = {
        "one": one,
        "changes": one.changes.select_related("made_by"),
        "refund": DayReasonForm(auto_id="refund_%s", initial={"on": today_of(request)}),
        "reason": ReasonForm(auto_id="reason_%s"),
    }
    return render(request, "supporters/contribution.html", context)


@owner_page
@require_POST
@told
def correct(request: HttpRequest, pk: int, how: str) -> HttpResponse:
    """Refund a contribution, strike it out, or count it again."""
    one = get_object_or_404(Contribution, pk=pk)
    form = DayReasonForm(request.POST) if how == "refund" else ReasonForm(request.POST)
    facts = read(request, form)
    if facts is not None:
        more = {**facts, "contribution": one, "who": who_is(request), "now": clock.now()}
        if how == "refund":
            contributing.refund_contribution(**more)
        elif how == "strike":
            contributing.strike_contribution(**more)
        else:
            contributing.count_again(**more)
        messages.success(request, "Written down, with the reason.")
    return redirect("supporters:contribution", pk)


@owner_page
def take_file(request: HttpRequest) -> HttpResponse:
    """Send a file of contributions in; nothing counts until its rows were looked at."""
    form = FileForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        upload = form.cleaned_data["file"]
        file = done(
            form,
            lambda: importing.take_file(
                key=form.cleaned_data["key"],
                name=upload.name,
                content=upload.read(MAX_BYTES + 1),
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if file is not None:
            return redirect("supporters:file", file.pk)
    files = ContributionFile.objects.defer("rows", "rejected")[:20]
    context = {"form": form, "files": files}
    return render(request, "supporters/import.html", context, status=status_of(form))


@owner_page
def file(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a file: what its columns mean, and what each row would do."""
    one = get_object_or_404(ContributionFile, pk=pk)
    if one.is_imported:
        return render(request, "supporters/imported.html", {"file": one})
    columns = Columns.from_json(one.columns) if one.columns else proposed(one.head)
    form = ColumnsForm(request.POST or None, head=one.head, columns=columns)
    if request.method == "POST" and form.is_valid():
        importing.map_columns(
            file=one, columns=form.columns(), who=who_is(request), now=clock.now()
        )
        return redirect("supporters:file", pk)
    context = {"file": one, "form": form, "sample": one.rows[:3], "key": fresh_key}
    if one.columns is None:
        return render(request, "supporters/file.html", context, status=status_of(form))
    verdicts = judging.judge(one, columns, studio_of(request))
    counts = [
        (words, sum(each.verdict == what for each in verdicts))
        for what, words in judging.WORDS.items()
    ]
    return lay_out(
        request,
        VerdictTable,
        verdicts,
        file_name="preview",
        search=("who", "why"),
        filters=(Choice("verdict", "What it does", "verdict", list(judging.WORDS.items())),),
        empty=Empty("This file has no rows"),
    ).answer("supporters/file.html", **context, counts=counts)


@owner_page
@require_POST
@told
def import_file(request: HttpRequest, pk: int) -> HttpResponse:
    """Write what the rows of a file tell."""
    one = get_object_or_404(ContributionFile, pk=pk)
    key_of(request)
    importing.import_file(file=one, who=who_is(request), now=clock.now())
    return redirect("supporters:file", pk)


@owner_page
def rejected(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Take the rejected rows of a file away, each with the reason."""
    one = get_object_or_404(ContributionFile, pk=pk)
    name = f"rejected-{one.made_at:%Y-%m-%d}"
    return spreadsheet.response(
        kind if kind in spreadsheet.FORMATS else spreadsheet.CSV,
        name,
        ["Line", "Why", *one.head],
        one.rejected,
    )


@owner_page
@require_POST
def forget(request: HttpRequest, pk: int) -> HttpResponse:
    """Forget the rows that are still kept of a file."""
    one = get_object_or_404(ContributionFile, pk=pk)
    importing.forget_rows(file=one, who=who_is(request), now=clock.now())
    messages.success(request, "Its rows are forgotten.")
    return redirect("supporters:import")


def _last_day(month: datetime.date) -> datetime.date:
    return months_after(month, 1) - datetime.timedelta(days=1)
