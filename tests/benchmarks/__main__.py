"""Runs the measurements, each in a process of its own: all of them, or those named.

python3 manage.py test --benchmarks            every bench_*.py beside this file
python3 manage.py test --benchmarks demand     bench_demand.py alone
python3 manage.py test --benchmarks counter    bench_counter.py and bench_counter_*.py
"""

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

KNOWN = sorted(
    path.stem.removeprefix("bench_") for path in Path(__file__).parent.glob("bench_*.py")
)


def main(names: Sequence[str]) -> int:
    """Run the named measurements; return how many could not be run to their end."""
    if unknown := set(names) - set(KNOWN):
        print(f"No such measurement: {', '.join(sorted(unknown))}. There are: {', '.join(KNOWN)}.")
        return 2
    failed = 0
    for name in [each for each in KNOWN if not names or _is_meant(each, names)]:
        print(f"\n{name}\n", flush=True)
        line = [sys.executable, "-m", f"tests.benchmarks.bench_{name}"]
        failed += subprocess.run(line, check=False).returncode != 0
    return min(failed, 1)


def _is_meant(known: str, names: Sequence[str]) -> bool:
    """Tell whether a measurement is named, by itself or with the others of its part."""
    return any(known == name or known.startswith(f"{name}_") for name in names)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
