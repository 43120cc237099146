"""How many set-ups a second, and how much memory: `python -m tests.setup.benchmark [rows]`.

Rows a second of the processor is the figure to hold against a target: other programs that share the
machine do not change it. The clock's figure is what you would wait for just now.
"""

import resource
import sys
import time

import numpy as np
from bandwork.components import Band, Barrel, Diver, Shaft, ShootingLine, Water
from bandwork.setup import CLOSED_FORM, NAMES, Setup, predict_chunks

SIGHT = ("eye_to_muzzle", "apparent_distance", "apparent_by_rule", "judged_range")
WITHOUT_RANGE = tuple(name for name in NAMES if name not in ("practical_range", "limited_by"))
LEAST = {"closed form": 100_000, "launch and flight": 5_000}
MOST_MEMORY = 1e9


def invented(rows, seed=7):
    """Return as many set-ups, all possible, with every part different in each row."""
    draw = np.random.default_rng(seed).uniform
    return Setup(
        Band(draw(0.014, 0.0175, rows), draw(0.0015, 0.004, rows), draw(0.60, 0.75, rows)),
        Shaft(draw(0.0065, 0.008, rows), draw(1.55, 1.70, rows)), Barrel(draw(1.1, 1.3, rows)),
        ShootingLine(draw(0.0015, 0.002, rows)), Water(draw(8, 28, rows)),
        Diver(draw(300, 600, rows), draw(0.7, 1.0, rows)), draw(0.25, 0.35, rows))


def rate(names, rows):
    """Return rows a second of the processor and of the clock."""
    setups = invented(rows)
    for _ in predict_chunks(invented(256), names=names):
        pass
    clock, processor = time.perf_counter(), time.process_time()
    for _ in predict_chunks(setups, names=names):
        pass
    return rows / (time.process_time() - processor), rows / (time.perf_counter() - clock)


def memory(rows):
    """Return the most memory that this process has held [B], after as many rows in chunks.

    Four numbers differ from row to row: ten million rows of four doubles are 320 MB by themselves.
    """
    draw = np.random.default_rng(7).uniform
    setups = Setup(Band(0.016, 0.003, draw(0.6, 0.75, rows)), Shaft(draw(0.0065, 0.008, rows), 1.6),
                   Barrel(1.2), ShootingLine(0.0017), Water(draw(8, 28, rows)),
                   Diver(draw(300, 600, rows), 0.9), 0.3)
    largest = 0.0
    for _, found in predict_chunks(setups, names=CLOSED_FORM):
        largest = max(largest, float(found["load"].max()))
    assert 0 < largest < 2000
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def main(rows=200_000):
    """Print the rates and the memory, and say whether they reach the targets."""
    rows, held = min(rows, 200_000), rows
    parts = {"closed form": (CLOSED_FORM, rows), "rays through the mask": (SIGHT, rows // 4),
             "launch and flight": (WITHOUT_RANGE, rows // 8),
             "all, with the practical range": (NAMES, rows // 16)}
    reached = True
    print(f"{len(CLOSED_FORM)} names in closed form, {len(NAMES)} in all")
    for label, (names, size) in parts.items():
        of_processor, of_clock = rate(names, size)
        target = LEAST.get(label)
        reached &= target is None or of_processor >= target
        print(f"{label:32s}{of_processor:10,.0f} a second of the processor,"
              f"{of_clock:10,.0f} of the clock" + (f"; wanted {target:,}" if target else ""))
    used = memory(held)
    print(f"{'memory':32s}{used / 1e6:10,.0f} MB at most, for {held:,} rows held as input")
    return 0 if reached and used < MOST_MEMORY else 1


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
