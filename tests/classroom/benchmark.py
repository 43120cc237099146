"""How long `bandwork check` takes beside nbgrader's own validation of the same notebook.

    python -m tests.classroom.benchmark [UNIT ...]

Both are started as a learner starts them, as commands of their own; the best of three runs counts.
Beside seconds of the clock stand seconds of the processor, which other work on the machine hardly
changes, and those that loading the libraries alone takes.
"""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import nbformat
from bandwork.classroom import demo, selfstudy
from bandwork.classroom.items import UNITS

ROOT = Path(__file__).resolve().parents[2]
BESIDE = Path(sys.executable).parent


def best(command: list[str], folder: Path) -> tuple[float, float]:
    """Return the least of three runs, in seconds of the clock and of the processor."""
    clock, processor = [], []
    for _ in range(3):
        start, before = time.perf_counter(), os.times()
        subprocess.run(command, cwd=folder, check=True, capture_output=True,
                       env={**os.environ, "PATH": f"{BESIDE}{os.pathsep}{os.environ['PATH']}"})
        after = os.times()
        clock.append(time.perf_counter() - start)
        processor.append(after.children_user + after.children_system
                         - before.children_user - before.children_system)
    return min(clock), min(processor)


def main(units: list[str]) -> None:
    """Print a line for each unit."""
    with tempfile.TemporaryDirectory() as place:
        work = Path(place) / "work"
        selfstudy.begin(ROOT, work, "ada")
        for unit in units:
            nbformat.write(demo.fill(ROOT, unit, demo.Learner("ada")), work / f"{unit}.ipynb")
            ours = best([str(BESIDE / "bandwork"), "check", unit, "--folder", str(work)], ROOT)
            load = best([sys.executable, "-c", "import bandwork.cli, matplotlib.pyplot, "
                         f"bandwork.classroom.items.{unit}"], ROOT)
            theirs = best([str(BESIDE / "nbgrader"), "validate", f"{unit}.ipynb"], work)
            print(f"{unit:8} bandwork check {ours[0]:.2f} s (processor {ours[1]:.2f} s, of which "
                  f"loading {load[1]:.2f} s), nbgrader validate {theirs[0]:.2f} s (processor "
                  f"{theirs[1]:.2f} s): {theirs[0] / ours[0]:.1f} times as fast", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:] or list(UNITS))
