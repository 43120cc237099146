"""Set-ups a second, printed: `python -m tests.launch.benchmark` in the course's folder.

By the clock, and by the processor's own time, which other work on the machine does not slow. Each
set-up has its own rubber, water and shaft.
"""

import time

from bandwork.launch import launch, launch_many

from tests.launch.simple import random_setups
from tests.launch.test_launch import one_of

COUNT = 20_000
SINGLE = 20


def rates(count, work):
    """Set-ups a second by the clock and by the processor's time."""
    clock, processor = time.perf_counter(), time.process_time()
    work()
    return count / (time.perf_counter() - clock), count / (time.process_time() - processor)


def main():
    for kind in ("roller", "conventional"):
        for free in (False, True):
            parts = random_setups(COUNT, kind, 2, free, seed=1)
            launch_many(*random_setups(100, kind, 2, free, seed=2))
            ours = [one_of(parts, number) for number in range(SINGLE)]
            quick, quick_cpu = rates(COUNT, lambda parts=parts: launch_many(*parts))
            slow, slow_cpu = rates(SINGLE, lambda ours=ours: [launch(*one) for one in ours])
            print(f"{kind:12} gun {'free' if free else 'held'}: launch_many {quick:7,.0f} set-ups "
                  f"a second by the clock, {quick_cpu:7,.0f} by the processor; launch {slow:3.0f} "
                  f"and {slow_cpu:3.0f}; ratio {quick_cpu / slow_cpu:,.0f}")


if __name__ == "__main__":
    main()
