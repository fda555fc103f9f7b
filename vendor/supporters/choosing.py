"""The choices a supporter makes about a reward, and taking a promise into the making.

A second half of `actions`, by the same rules.
"""

import datetime
import unicodedata
from collections.abc import Mapping

from vendor.firings.models import Batch, Firing, FiringLine
from vendor.house import clock
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.supporters.errors import NotAChoice, NotThisPlace
from vendor.supporters.models import Answer, Commitment, Question, Step
from vendor.supporters.steps import act
from vendor.ware.models import Finish, Form, Ware

State, What = Commitment.State, Step.What
Kind = Question.Kind


def questions_of(commitment: Commitment) -> list[Question]:
    """Return what is asked about a promise's reward, in the order to ask it (one statement)."""
    if commitment.reward_id is None:
        return []
    return list(Question.objects.filter(reward_id=commitment.reward_id, retired=False))


def offered(question: Question) -> list[str]:
    """Return what can be chosen, as the supporter reads it; [] for lettering."""
    if question.kind == Kind.LETTERING:
        return []
    if question.options:
        return [str(option) for option in question.options]
    model = {Kind.FORM: Form, Kind.FINISH: Finish}.get(Kind(question.kind))
    if model is None:
        return []
    return list(model._default_manager.filter(retired=False).values_list("name", flat=True))


def ask_choices(
    *, key: str, commitment: Commitment, who: User, now: datetime.datetime
) -> Commitment:
    """Note that the supporter was asked for their choices: the promise waits on them."""
    with act(key, What.ASKED, commitment, who, now) as done:
        done.only(*Commitment.WITHOUT_A_PIECE, instead="there is nothing to choose any more.")
        if not done.done_before:
            done.commitment.asked_on = clock.day_of(now, the_studio())
            done.commitment.known_on = None
            done.write("asked_on", "known_on")
    return done.commitment


def write_choices(
    *,
    key: str,
    commitment: Commitment,
    answers: Mapping[int, str],
    who: User,
    now: datetime.datetime,
) -> Commitment:
    """Write down what the supporter chose: by question, in their words or one of the options.

    Choices are known once every question that has to be answered is; a form and a finish together
    name the ware, where there is one. Refuses (NotAChoice) what is not on offer, or too long.
    """
    with act(key, What.CHOSEN, commitment, who, now) as done:
        done.only(*Commitment.WITHOUT_A_PIECE, instead="release its piece before choosing anew.")
        if done.done_before:
            return done.commitment
        promise = done.commitment
        asked = questions_of(promise)
        told = {each.pk: _answer(each, answers.get(each.pk, "")) for each in asked}
        for question in asked:
            _write_answer(promise, question, told[question.pk])
        _name_the_piece(promise, asked, told)
        open_questions = [each for each in asked if each.required and not told[each.pk]]
        today = clock.day_of(now, the_studio())
        promise.known_on = None if open_questions else promise.known_on or today
        missing = ", ".join(each.name for each in open_questions)
        # The words chosen may name somebody: the history says only that they were written down.
        notes = [f"Still open: {missing}"] if missing else []
        notes += _leave_what_does_not_fit(promise)
        done.write(
            "ware", "form", "finish", "known_on", "state", "batch", "firing_line",
            note=". ".join(notes),
        )  # fmt: skip
    return done.commitment


def start_making(
    *,
    key: str,
    commitment: Commitment,
    batch: Batch | None = None,
    line: FiringLine | None = None,
    firing: Firing | None = None,
    note: str = "",
    who: User,
    now: datetime.datetime,
) -> Commitment:
    """Note where the promised piece is in the making: a batch, a line of a firing, or in words.

    `firing` as a whole is for what was noted so before. Refused (NotThisPlace): a batch of another
    form or one that is over, a line of another ware or form or of a firing that is not open. More
    promises than pieces are not refused: `places` tells of them.
    """
    with act(key, What.MAKING, commitment, who, now) as done:
        done.only(*Commitment.WITHOUT_A_PIECE, instead="it has its piece.")
        if not done.done_before:
            promise = done.commitment
            batch, line = _as_they_are(batch, line)
            _refuse_place(promise, batch, line)
            promise.state = State.MAKING
            promise.firing_line, promise.firing = line, firing
            promise.batch = batch or (line.batch if line is not None else None)
            promise.making_note = note.strip()
            where = f"{line.firing}: {line.label}" if line is not None else batch or firing or ""
            said = ", ".join(part for part in (str(where), note.strip()) if part)
            done.write("state", "batch", "firing_line", "firing", "making_note", note=said[:300])
    return done.commitment


def _as_they_are(
    batch: Batch | None, line: FiringLine | None
) -> tuple[Batch | None, FiringLine | None]:
    """Return a batch and a line as they are now, in this writer's turn."""
    there = FiringLine.objects.named().filter(pk=line.pk).first() if line is not None else None
    if line is not None and there is None:
        raise NotThisPlace(
            "What was chosen is not in the firing any more. Nothing was changed: look at the "
            "promise afresh and choose again."
        )
    one = Batch.objects.select_related("form").get(pk=batch.pk) if batch is not None else None
    return one, there


def _refuse_place(promise: Commitment, batch: Batch | None, line: FiringLine | None) -> None:
    """Refuse a place in which the promised piece can't be made."""
    if batch is not None and (batch.is_over or not promise.fits_batch(batch)):
        why = "is over" if batch.is_over else f"is of {batch.form.name}"
        raise NotThisPlace(
            f"{batch} {why}, and {promise} is of {promise.piece_name}. Nothing was changed: choose "
            "another batch, or say in words where the piece is."
        )
    if line is not None and (not line.firing.is_open or not promise.fits_line(line)):
        why = f"carries {line.name} there" if line.firing.is_open else "is not to be unloaded"
        raise NotThisPlace(
            f"{line.firing} {why}, and {promise} is of {promise.piece_name}. Nothing was changed: "
            "choose another place, or say in words where the piece is."
        )


def change_promise(
    *,
    key: str,
    commitment: Commitment,
    due_on: datetime.date | None,
    choices: str,
    seconds_allowed: bool,
    who: User,
    now: datetime.datetime,
) -> Commitment:
    """Change when an open promise is due, what was asked for in words, and the grade allowed."""
    with act(key, What.CHANGED, commitment, who, now) as done:
        done.only(*Commitment.OPEN, instead="it is over.")
        if not done.done_before:
            was = done.commitment.due_on
            done.commitment.due_on, done.commitment.choices = due_on, choices.strip()
            done.commitment.seconds_allowed = seconds_allowed
            note = f"Due {due_on or 'some day'}, was {was or 'some day'}" if due_on != was else ""
            done.write("due_on", "choices", "seconds_allowed", note=note)
    return done.commitment


def _leave_what_does_not_fit(promise: Commitment) -> list[str]:
    """Owe a promise again whose choices don't fit where it is in the making; says so in words."""
    batch, line = promise.batch, promise.firing_line
    fits = (batch is None or promise.fits_batch(batch)) and (
        line is None or promise.fits_line(line)
    )
    if fits or promise.state != State.MAKING:
        return []
    promise.state, promise.batch, promise.firing_line = State.OWED, None, None
    return [f"Not in {line.firing if line is not None else batch} any more"]


def _answer(question: Question, text: str) -> str:
    """Return an answer as it is kept; NotAChoice where it is none."""
    said = unicodedata.normalize("NFC", " ".join(text.split()))
    if not said:
        return ""
    if question.kind == Kind.LETTERING:
        if question.longest and len(said) > question.longest:
            raise NotAChoice(
                f"{question.name}: “{said}” has {len(said)} characters, and there is room for "
                f"{question.longest}. Nothing was changed: ask for a shorter one."
            )
        return said
    options = offered(question)
    for option in options:
        if option.casefold() == said.casefold():
            return option
    raise NotAChoice(
        f"{question.name}: “{said}” is not on offer. Nothing was changed: choose one of "
        f"{', '.join(options)}."
    )


def _write_answer(promise: Commitment, question: Question, text: str) -> None:
    if text:
        Answer.objects.update_or_create(
            commitment=promise, question=question, defaults={"text": text}
        )
    else:
        promise.answers.filter(question=question).delete()


def _name_the_piece(promise: Commitment, asked: list[Question], told: Mapping[int, str]) -> None:
    """Bring the promise's form, finish and ware in line with the answers."""
    by_kind = {each.kind: told[each.pk] for each in asked if told[each.pk]}
    reward = promise.reward
    if reward is None or reward.ware_id is not None or not asked:
        return
    promise.form = reward.form or Form.objects.filter(name=by_kind.get(Kind.FORM, "")).first()
    promise.finish = Finish.objects.filter(name=by_kind.get(Kind.FINISH, "")).first()
    promise.ware = None
    if promise.form and promise.finish:
        promise.ware = Ware.objects.filter(
            form=promise.form, finish=promise.finish, one_of_a_kind=False
        ).first()
