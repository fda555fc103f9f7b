"""How long closing takes: a weekend of 5,000 sales and 500 ware, and 2,000 lines by 2,000 sales.

Not a test: nothing here fails. Run it with

    python -m tests.benchmarks.bench_closing

The floor beside the matching is one assignment of all lines to all sales by SciPy itself, without
amounts or days being looked at.
"""

import os
import sys
from collections.abc import Callable
from time import perf_counter
from typing import TYPE_CHECKING

import django
import numpy

if TYPE_CHECKING:
    from tests.closing.makers import Stall
    from vendor.ware.models import Ware

SALES, WARE, LINES = 5_000, 500, 2_000


def timed(name: str, work: Callable[[], object]) -> None:
    """Write one timing, in milliseconds."""
    start = perf_counter()
    work()
    sys.stdout.write(f"{(perf_counter() - start) * 1000:9.1f} ms  {name}\n")


def matching() -> None:
    """Match a busy statement, most of it at seven prices."""
    from scipy.optimize import linear_sum_assignment

    from tests.closing.crowds import crowd
    from vendor.closing.matching import match

    busy = crowd(LINES)
    costs = numpy.random.default_rng(2026).integers(0, 1_080, size=(LINES, LINES))
    timed(
        f"floor: SciPy on {LINES:,} by {LINES:,} gaps at random",
        lambda: linear_sum_assignment(costs),
    )
    timed(f"matching {LINES:,} lines to {LINES:,} sales", lambda: match(busy.lines, busy.sales))


def one_row(stall: "Stall", ware: "Ware") -> None:
    """Count one ware as the count page does: write it, and read its equation for the row."""
    from tests.closing.makers import SUNDAY_NIGHT
    from vendor.closing import actions
    from vendor.closing.queries import line_of
    from vendor.house.models import new_key

    actions.count_ware(
        key=new_key(), weekend=stall.first, ware_id=ware.pk, grade="first", counted=10, saw=0,
        who=stall.owner, now=SUNDAY_NIGHT,
    )  # fmt: skip
    line_of(stall.first, ware.pk, "first")


def fifty(stall: "Stall", kinds: "list[Ware]") -> None:
    """Take in a full batch of one pass, and end it."""
    from tests.closing.going import ends, of, scans

    ends(stall, scans(stall, *[of(ware) for ware in kinds[1:51]]))


def closing() -> None:
    """Count, compare and close a weekend of many sales, in a database of its own in memory."""
    from tests.closing.makers import SUNDAY_NIGHT, Stall
    from tests.factories import OwnerFactory, WareFactory
    from tests.fairs.makers import a_fair, weekends_of
    from vendor.closing import actions, pages, statement_sheet
    from vendor.closing.checklist import still_open
    from vendor.closing.queries import stall_lines
    from vendor.closing.takings import till_sheet
    from vendor.house.models import new_key
    from vendor.house.studio import the_studio

    owner = OwnerFactory()
    stall = Stall(owner, *weekends_of(a_fair(owner), owner, count=2))
    kinds = [WareFactory() for _ in range(WARE)]
    for ware in kinds:
        stall.packs(ware, 2 * SALES // WARE)
    for number in range(SALES):
        stall.sells(kinds[number % WARE], amount=36_47, method=("cash", "card")[number % 2])
    timed("the equation of every ware", lambda: stall_lines(stall.first))
    timed("the till", lambda: till_sheet(stall.first))
    timed("one row counted, and shown again", lambda: one_row(stall, kinds[0]))
    timed("50 pieces scanned, of 50 ware", lambda: fifty(stall, kinds))
    for line in stall_lines(stall.first):
        actions.count_ware(
            key=new_key(), weekend=stall.first, ware_id=line.ware.pk, grade=line.grade,
            saw=line.version, counted=line.expected, who=owner, now=SUNDAY_NIGHT,
        )  # fmt: skip
    stall.counts_cash(till_sheet(stall.first).till.expected)
    timed("what stands open", lambda: still_open(stall.first, now=SUNDAY_NIGHT))
    timed(f"closing {SALES:,} sales and {WARE} ware", stall.closes)
    page = pages.statement(stall.first.closing)
    sheet = lambda: statement_sheet.draw(page, studio=the_studio())  # noqa: E731
    timed(f"the statement as a PDF, {len(page.lines)} lines", sheet)


def main() -> None:
    """Match first, then close, in a fresh database."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    from django.test.runner import DiscoverRunner

    matching()
    runner = DiscoverRunner(verbosity=0, interactive=False)
    databases = runner.setup_databases()
    try:
        closing()
    finally:
        runner.teardown_databases(databases)


if __name__ == "__main__":
    main()
