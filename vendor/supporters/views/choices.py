"""A promise's choices, and its way into the making."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.studio import studio_of, who_is
from vendor.house.written import day
from vendor.supporters import choosing, places
from vendor.supporters.forms import ChangeForm, ChoicesForm, MakingForm
from vendor.supporters.models import Commitment, Question
from vendor.supporters.views.asked import back, key_of, read, today_of, told


@owner_page
@require_POST
@told
def ask(request: HttpRequest, number: int) -> HttpResponse:
    """Note that the supporter was asked for their choices."""
    choosing.ask_choices(
        key=key_of(request), commitment=_promise(number), who=who_is(request), now=clock.now()
    )
    messages.success(request, "Asked. The promise waits on the supporter now.")
    return redirect("supporters:promise", number)


@owner_page
@require_POST
@told
def choose(request: HttpRequest, number: int) -> HttpResponse:
    """Write down what the supporter chose."""
    one = _promise(number)
    form = choices_form(one, request)
    facts = read(request, form)
    if facts is not None:
        choosing.write_choices(
            key=facts["key"],
            commitment=one,
            answers=form.answers(),
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, "The choices are written down.")
    return redirect("supporters:promise", number)


@owner_page
@require_POST
@told
def make(request: HttpRequest, number: int) -> HttpResponse:
    """Note that the piece is in the making."""
    one = _promise(number)
    facts = read(request, MakingForm(request.POST, promise=one))
    if facts is not None:
        made = choosing.start_making(commitment=one, who=who_is(request), now=clock.now(), **facts)
        places.tell([made], today=today_of(request))
        where = made.place.words if made.place is not None else ""
        messages.success(request, f"In the making: {where}." if where else "In the making.")
        if made.place is not None and made.place.warning:
            messages.warning(request, made.place.warning)
    return back(request, reverse("supporters:promise", args=[number]))


@owner_page
@require_POST
@told
def change(request: HttpRequest, number: int) -> HttpResponse:
    """Change when a promise is due, its words and the grade allowed."""
    facts = read(request, ChangeForm(request.POST))
    if facts is not None:
        choosing.change_promise(
            commitment=_promise(number), who=who_is(request), now=clock.now(), **facts
        )
        messages.success(request, "Saved.")
    return redirect("supporters:promise", number)


def choices_form(one: Commitment, request: HttpRequest) -> ChoicesForm:
    """Return the form of a promise's questions with the answers so far."""
    answers = {each.question_id: each.text for each in one.answers.all()}
    asked = [
        (question, choosing.offered(question), answers.get(question.pk, ""))
        for question in choosing.questions_of(one)
    ]
    told_ = request.POST if request.method == "POST" else None
    return ChoicesForm(told_, asked=asked, auto_id="choices_%s")


def letter(one: Commitment, form: ChoicesForm, request: HttpRequest) -> str:
    """Return a text that asks for the choices, to paste into a letter."""
    studio = studio_of(request)
    lines = [f"Dear {one.supporter.first_name},", "", f"{one.reward or one.piece_name} is yours."]
    lines += ["Please tell me:", ""]
    for question, options, _ in form.asked:
        if question.kind == Question.Kind.LETTERING:
            said = f"at most {question.longest} characters"
        else:
            said = ", ".join(options)
        lines.append(f"- {question.name}: {said}")
    if one.due_on:
        lines += ["", f"I hope to have it ready by {day(one.due_on, studio)}."]
    return "\n".join(lines)


def _promise(number: int) -> Commitment:
    return get_object_or_404(Commitment.objects.named(), number=number)
