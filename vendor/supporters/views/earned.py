"""What has been earned, and turning it into promises."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.studio import who_is
from vendor.supporters import accounts, earning, people
from vendor.supporters.models import Reward, Supporter
from vendor.supporters.rule_forms import AimForm, fresh_key
from vendor.supporters.views.asked import back, key_of, read, today_of, told


@owner_page
def earned(request: HttpRequest) -> HttpResponse:
    """Show how every supporter stands, and what is ready to be promised."""
    rows = [row for row in accounts.standings(today_of(request)) if row.account.lines]
    context = {
        "ready": [row for row in rows if row.ready],
        "others": [row for row in rows if not row.ready],
        "key": fresh_key,
    }
    return render(request, "supporters/earned.html", context)


@owner_page
@require_POST
@told
def promise_all(request: HttpRequest) -> HttpResponse:
    """Promise everything that is ready of what its supporter saves for."""
    made = earning.promise_all_earned(key=key_of(request), who=who_is(request), now=clock.now())
    if made:
        said = f"{len(made)} promises are" if len(made) > 1 else "One promise is"
        messages.success(request, f"{said} written down.")
    else:
        messages.info(request, "Nothing was ready of what its supporter saves for.")
    return redirect("supporters:index")


@owner_page
@require_POST
@told
def promise_one(request: HttpRequest, pk: int, reward_pk: int) -> HttpResponse:
    """Promise one reward that a supporter has earned."""
    made = earning.promise_reward(
        key=key_of(request),
        supporter=get_object_or_404(Supporter, pk=pk),
        reward=get_object_or_404(Reward.objects.select_related("form", "ware"), pk=reward_pk),
        who=who_is(request),
        now=clock.now(),
    )
    messages.success(request, f"{made} is written down: {made.reward}.")
    return back(request, "supporters:earned")


@owner_page
@require_POST
@told
def aim(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what a supporter saves for."""
    facts = read(request, AimForm(request.POST))
    if facts is not None:
        one = get_object_or_404(Supporter, pk=pk)
        people.set_aim(supporter=one, aim=facts["aim"], who=who_is(request), now=clock.now())
        messages.success(request, "Saved.")
    return redirect("supporters:supporter", pk)
