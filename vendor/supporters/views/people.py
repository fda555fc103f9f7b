"""The supporters themselves: the list, one supporter's page, and writing one down."""

import json

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.listing import Choice, Empty, lay_out
from vendor.house.studio import who_is
from vendor.supporters import accounts, actions, explaining, people, queries
from vendor.supporters.forms import SupporterForm
from vendor.supporters.models import Supporter
from vendor.supporters.rule_forms import AimForm, fresh_key
from vendor.supporters.tables import SupporterTable
from vendor.supporters.views.asked import today_of, told


@owner_page
def supporters(request: HttpRequest) -> HttpResponse:
    """List the supporters with their credits and what they are owed."""
    return lay_out(
        request,
        SupporterTable,
        queries.supporters(today_of(request)),
        file_name="supporters",
        search=("supporter__name",),
        filters=(Choice("level", "Level", field="level_name"),),
        empty=Empty(
            "No supporters yet",
            "Write down who contributes, or import the months that have been paid.",
            "Write the first one down",
            "supporters:new_supporter",
        ),
    ).answer("supporters/supporters.html")


@owner_page
def supporter(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one supporter: contact, credits line by line, contributions, promises."""
    one = get_object_or_404(Supporter.objects.select_related("aim"), pk=pk)
    standing = accounts.standings(today_of(request), one)[0]
    context = {
        "supporter": one,
        "standing": standing,
        "lines": explaining.told(standing),
        "promises": one.commitments.named().order_by("-number"),
        "months": one.contributions.select_related("level"),
        "aim": AimForm(initial={"aim": one.aim_id}),
        "key": fresh_key,
    }
    return render(request, "supporters/supporter.html", context)


@owner_page
def export(request: HttpRequest, pk: int) -> HttpResponse:
    """Hand over everything that is kept about a supporter, as a file."""
    one = get_object_or_404(Supporter.objects.select_related("aim"), pk=pk)
    text = json.dumps(people.everything_about(one), indent=2, ensure_ascii=False)
    answer = HttpResponse(text, content_type="application/json; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="supporter-{pk}.json"'
    answer["Cache-Control"] = "no-store"
    return answer


@owner_page
@require_POST
@told
def erase(request: HttpRequest, pk: int) -> HttpResponse:
    """Erase what is known of a supporter, for good."""
    one = get_object_or_404(Supporter, pk=pk)
    if request.POST.get("sure") != "yes":
        messages.error(request, "Tick the box to say that you mean it. Nothing was erased.")
        return redirect("supporters:supporter", pk)
    people.erase_supporter(supporter=one, who=who_is(request), now=clock.now())
    messages.success(request, "What was known of this supporter is erased.")
    return redirect("supporters:supporter", pk)


@owner_page
def new_supporter(request: HttpRequest) -> HttpResponse:
    """Write a supporter down."""
    # Sent again, the form is checked against the supporter that it made the first time.
    before = Supporter.objects.filter(key=request.POST.get("key", "")).first()
    form = SupporterForm(request.POST or None, instance=before)
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        made = actions.add_supporter(
            key=facts["key"],
            name=facts["name"],
            email=facts["email"],
            phone=facts["phone"],
            address=facts["address"],
            note=facts["note"],
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, f"{made} is written down.")
        return redirect("supporters:supporter", made.pk)
    return render(request, "supporters/edit.html", {"form": form, "supporter": None})


@owner_page
def edit_supporter(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is known of a supporter."""
    one = get_object_or_404(Supporter.objects.known(), pk=pk)
    form = SupporterForm(request.POST or None, instance=Supporter.objects.get(pk=pk))
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        actions.change_supporter(
            supporter=one,
            name=facts["name"],
            email=facts["email"],
            phone=facts["phone"],
            address=facts["address"],
            note=facts["note"],
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, "Saved.")
        return redirect("supporters:supporter", pk)
    return render(request, "supporters/edit.html", {"form": form, "supporter": one})
