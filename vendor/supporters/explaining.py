"""An account of credits in words, month by month: “March 2026 at Friend: +2, 5 of 6”."""

from collections.abc import Mapping
from dataclasses import dataclass

from vendor.house import dates
from vendor.supporters.accounts import Standing
from vendor.supporters.credits import Line, Outcome
from vendor.supporters.models import Level

WORDS = {
    Outcome.PAID: "",
    Outcome.FAILED: "the payment failed",
    Outcome.REFUNDED: "refunded",
    Outcome.MISSED: "no contribution",
    Outcome.TO_COME: "not paid yet",
}


@dataclass(frozen=True, slots=True)
class Told:
    """One month, or several missed ones in a row: when, what happened, where that leads."""

    when: str
    what: str
    toward: str
    balance: int


def told(standing: Standing) -> list[Told]:
    """Return a supporter's account in words, the latest month first (one statement)."""
    names = dict(Level.objects.values_list("pk", "name"))
    aim = str(standing.aim) if standing.aim else ""
    found: list[Told] = []
    quiet: list[Line] = []
    for line in standing.account.lines:
        if line.outcome is Outcome.MISSED and not line.spent:
            quiet.append(line)
            continue
        if quiet:
            found.append(_missed(quiet, aim))
            quiet = []
        found.append(_one(line, names, aim))
    if quiet:
        found.append(_missed(quiet, aim))
    return found[::-1]


def _one(line: Line, names: Mapping[int, str], aim: str) -> Told:
    level = names.get(line.level) if line.level is not None else None
    at = f" at {level}" if level else ""
    parts = [WORDS[line.outcome]] if WORDS[line.outcome] else []
    if line.outcome is Outcome.PAID or line.gained:
        parts.append(f"+{line.gained}")
    if line.spent:
        parts.append(f"−{line.spent} for what was promised")
    return Told(
        f"{dates.month(line.month)}{at}", ", ".join(parts), _toward(line, aim), line.balance
    )


def _missed(lines: list[Line], aim: str) -> Told:
    first, last = lines[0], lines[-1]
    when = dates.month(first.month)
    if last is not first:
        when = f"{when} to {dates.month(last.month)}"
    what = WORDS[Outcome.MISSED]
    if first.broke:
        what += "; a run without a missed month starts again"
    return Told(when, what, _toward(last, aim), last.balance)


def _toward(line: Line, aim: str) -> str:
    """Return how far the aim is: “5 of 6 toward A tumbler”, with what is ready."""
    parts = [f"{line.ready} ready"] if line.ready else []
    if line.of:
        parts.append(f"{line.have} of {line.of} toward {aim}")
    return ", ".join(parts)
