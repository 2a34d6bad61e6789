"""Time of `liftlane check` from the shell, start-up included, for each sample.

    python -m tests.benchmarks.check_command [BARN ...]

Each barn is checked in fresh processes; the best and the median of them are shown,
beside the time of a Python that only loads numpy.
"""

import argparse
import statistics
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from time import perf_counter

__all__ = ["main", "times"]

GOAL = 0.7  # [s]
TIMES = 7
SAMPLES = Path("sample_barns")
_CHECK = "import sys; from viewer.cli.main import main; sys.exit(main(sys.argv[1:]))"


def times(code: str, *arguments: str) -> list[float]:
    """Return how long fresh processes take that run some code, sorted [s]."""
    found = []
    for _ in range(TIMES):
        start = perf_counter()
        subprocess.run(
            [sys.executable, "-c", code, *arguments],
            stdout=subprocess.DEVNULL,
            check=False,
        )
        found.append(perf_counter() - start)
    return sorted(found)


def _row(name: str, found: Sequence[float]) -> str:
    best, median = found[0], statistics.median(found)
    verdict = "kept" if median <= GOAL else "NOT kept"
    return f"{name:32} {best:8.2f} {median:8.2f}   {verdict}"


def main() -> int:
    """Time the barns and return 1 if one of them takes too long."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("barns", nargs="*", metavar="BARN")
    barns = parser.parse_args().barns or sorted(map(str, SAMPLES.glob("*.json")))
    lines = [f"{'barn':32} {'best s':>8} {'median s':>8}   goal {GOAL:g} s"]
    lines.append(_row("(python and numpy alone)", times("import numpy")))
    slow = False
    for barn in barns:
        found = times(_CHECK, "check", barn)
        slow |= statistics.median(found) > GOAL
        lines.append(_row(barn, found))
    sys.stdout.write("\n".join(lines) + "\n")
    return int(slow)


if __name__ == "__main__":
    sys.exit(main())
