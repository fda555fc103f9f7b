"""How long a season's estimates take: 500 ware in 5 weekends.

Not a test: nothing here fails. Run it with

    python -m tests.benchmarks.bench_demand
"""

from __future__ import annotations

import random
import subprocess
import sys
from collections.abc import Callable
from time import perf_counter

from vendor.restock.demand import Season, estimate_season
from vendor.restock.loading import Candidate, Load, plan_load
from vendor.restock.quantities import outlook, quantity_for
from vendor.restock.records import Ending, Record

WARE, WEEKENDS, HOURS = 500, 5, 13.0


def season_of(ending: Ending) -> dict[int, list[Record]]:
    """Draw a season in which a third of all weekends sell out, with or without a known hour."""
    chance = random.Random(2026)
    records: dict[int, list[Record]] = {}
    for ware in range(WARE):
        rate = chance.gammavariate(1.5, 3.0)
        records[ware] = []
        for weekend in range(1, WEEKENDS + 1):
            gone = chance.random() < 1 / 3
            hours = HOURS * chance.random() if gone and ending is Ending.SOLD_OUT else HOURS
            sold = round(rate * hours / HOURS * chance.uniform(0.5, 1.5)) + gone
            how = ending if gone else Ending.LEFT_OVER
            records[ware].append(Record(weekend, sold, hours, HOURS, ending=how))
    return records


def load_for(season: Season) -> Load:
    """Plan a van that holds about half of what is wanted."""
    offered = [
        Candidate(
            ware=ware,
            demand=estimate.weekend(),
            price=1800 + 100 * (ware % 40),
            room=1 + ware % 7,
            free=20,
            service_level=0.8,
        )
        for ware, estimate in season.estimates.items()
    ]
    return plan_load(offered, room=6000)


def clock(name: str, work: Callable[[], object], *, times: int = 5) -> None:
    """Write the middle of several timings, in milliseconds."""
    taken = []
    for _ in range(times):
        start = perf_counter()
        work()
        taken.append(perf_counter() - start)
    sys.stdout.write(f"{sorted(taken)[times // 2] * 1000:9.1f} ms  {name}\n")


def main() -> None:
    """Time the imports in a fresh process, then each step."""
    fresh = [sys.executable, "-c", "import scipy.special, scipy.optimize"]
    clock("loading scipy's two parts, fresh process", lambda: subprocess.run(fresh, check=True))
    known, unknown = season_of(Ending.SOLD_OUT), season_of(Ending.SOLD_OUT_UNKNOWN)
    clock("estimate, hours of sell-outs known", lambda: estimate_season(known))
    clock("estimate, hours of sell-outs unknown", lambda: estimate_season(unknown))
    season = estimate_season(known)
    demands = [each.weekend() for each in season.estimates.values()]
    clock("quantity of every ware", lambda: [quantity_for(each, 0.8) for each in demands])
    clock("outlook of every ware at 10", lambda: [outlook(each, 10) for each in demands])
    load = load_for(season)
    pieces = sum(line.bring for line in load.lines)
    clock(f"loading a van with {pieces} pieces", lambda: load_for(season))


if __name__ == "__main__":
    main()
