"""Solve every item for ten thousand ids: `python -m tests.classroom.every_id [UNIT ...]`.

Every right answer must be found, be finite where it is a number, and pass its own check. Prints how
many ids have the same numbers as another, and the time.
"""

import sys
import time
from collections import Counter

from bandwork.classroom.checks import PlotItem
from bandwork.classroom.items import UNITS, exercise

HOW_MANY = 10_000


def main(units: list[str]) -> int:
    """Return how many answers did not pass."""
    wrong = 0
    for unit in units:
        asked, start = exercise(unit), time.perf_counter()
        seen: Counter[tuple[object, ...]] = Counter()
        for number in range(HOW_MANY):
            my = asked.numbers(f"learner-{number}")
            seen[tuple(my.values())] += 1
            for item in asked.items:
                if isinstance(item, PlotItem) and number % 50:
                    continue
                outcome = asked.judge(item.key, asked.right(item.key, my), my)
                if not outcome.passed:
                    wrong += 1
                    print(f"{unit}, learner-{number}: {outcome.message}")
        alike = sum(count for count in seen.values() if count > 1)
        print(f"{unit}: {HOW_MANY} ids, {alike} share their numbers with another; "
              f"{time.perf_counter() - start:.0f} s", flush=True)
    return wrong


if __name__ == "__main__":
    sys.exit(bool(main(sys.argv[1:] or list(UNITS))))
