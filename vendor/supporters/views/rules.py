"""Levels and rewards: what they are, what they earn and cost, and what is asked."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from vendor.house import clock, dates
from vendor.house.access import owner_page
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.supporters import rules
from vendor.supporters.models import Level, Question, Reward
from vendor.supporters.rule_forms import (
    LevelForm,
    LevelTermsForm,
    QuestionForm,
    RewardForm,
    RewardTermsForm,
)
from vendor.supporters.views.asked import today_of


@owner_page
def index(request: HttpRequest) -> HttpResponse:
    """Show all levels and rewards with the rules of today and those to come."""
    context = {
        "levels": Level.objects.select_related("usual_reward").prefetch_related("terms"),
        "rewards": Reward.objects.prefetch_related("terms", "questions"),
        "today": today_of(request),
    }
    return render(request, "supporters/rules.html", context)


@owner_page
def level(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Add a level, or change one."""
    one = get_object_or_404(Level, pk=pk) if pk else Level()
    form = LevelForm(request.POST or None, instance=one)
    if request.method == "POST" and form.is_valid():
        saved = done(
            form,
            lambda: rules.save_level(
                level=form.save(commit=False), key=form.key, who=who_is(request), now=clock.now()
            ),
        )
        if saved is not None:
            messages.success(request, f"{saved} is saved.")
            return redirect("supporters:level_terms", saved.pk) if not pk else _home()
    return _page(request, form, one if pk else "A level")


@owner_page
def level_terms(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what a level contributes and earns from a month on."""
    one = get_object_or_404(Level, pk=pk)
    form = LevelTermsForm(
        request.POST or None, studio=studio_of(request), initial={"from_month": today_of(request)}
    )
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        made = done(
            form,
            lambda: rules.set_level_terms(level=one, who=who_is(request), now=clock.now(), **facts),
        )
        if made is not None:
            messages.success(
                request, f"{one} earns {made.credits} from {dates.month(made.from_month)}."
            )
            return _home()
    return _page(request, form, f"What {one} earns")


@owner_page
def reward(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Add a reward, or change what it is of."""
    one = get_object_or_404(Reward, pk=pk) if pk else Reward()
    form = RewardForm(request.POST or None, instance=one)
    if request.method == "POST" and form.is_valid():
        saved = done(
            form,
            lambda: rules.save_reward(
                reward=form.save(commit=False), key=form.key, who=who_is(request), now=clock.now()
            ),
        )
        if saved is not None:
            messages.success(request, f"{saved} is saved.")
            return redirect("supporters:reward_terms", saved.pk) if not pk else _home()
    return _page(request, form, one if pk else "A reward")


@owner_page
def reward_terms(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what a reward costs from a month on."""
    one = get_object_or_404(Reward, pk=pk)
    form = RewardTermsForm(request.POST or None, initial={"from_month": today_of(request)})
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        made = done(
            form,
            lambda: rules.set_reward_terms(
                reward=one, who=who_is(request), now=clock.now(), **facts
            ),
        )
        if made is not None:
            messages.success(
                request, f"{one} costs {made.cost} from {dates.month(made.from_month)}."
            )
            return _home()
    return _page(request, form, f"What {one} costs")


@owner_page
def question(request: HttpRequest, reward_pk: int, pk: int | None = None) -> HttpResponse:
    """Add something that is asked about a reward, or change it."""
    of = get_object_or_404(Reward, pk=reward_pk)
    if pk:
        one = get_object_or_404(of.questions, pk=pk)
    else:
        one = Question(reward=of, position=of.questions.count() + 1)
    form = QuestionForm(request.POST or None, instance=one)
    if request.method == "POST" and form.is_valid():
        saved = done(
            form,
            lambda: rules.save_question(
                question=form.save(commit=False),
                key=form.key,
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if saved is not None:
            messages.success(request, f"“{saved}” is saved.")
            return _home()
    return _page(request, form, f"What to ask about {of}")


def _home() -> HttpResponse:
    return redirect("supporters:rules")


def _page(request: HttpRequest, form: object, title: object) -> HttpResponse:
    context = {"form": form, "title": title}
    return render(request, "supporters/rule.html", context, status=status_of(form))  # type: ignore[arg-type]
