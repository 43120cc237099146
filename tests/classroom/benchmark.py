"""How long `bandwork check` takes beside nbgrader's own validation of the same notebook.

    python -m tests.classroom.benchmark [UNIT ...]

Both are started as a learner starts them, as commands of their own; the best of three runs counts.
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


def best(command: list[str], folder: Path) -> float:
    """Return the shortest of three runs in seconds."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        subprocess.run(command, cwd=folder, check=True, capture_output=True,
                       env={**os.environ, "PATH": f"{BESIDE}{os.pathsep}{os.environ['PATH']}"})
        times.append(time.perf_counter() - start)
    return min(times)


def main(units: list[str]) -> None:
    """Print a line for each unit."""
    with tempfile.TemporaryDirectory() as place:
        work = Path(place) / "work"
        selfstudy.begin(ROOT, work, "ada")
        for unit in units:
            nbformat.write(demo.fill(ROOT, unit, demo.Learner("ada")), work / f"{unit}.ipynb")
            ours = best([str(BESIDE / "bandwork"), "check", unit, "--folder", str(work)], ROOT)
            theirs = best([str(BESIDE / "nbgrader"), "validate", f"{unit}.ipynb"], work)
            print(f"{unit:8} bandwork check {ours:.2f} s, nbgrader validate {theirs:.2f} s: "
                  f"{theirs / ours:.1f} times as fast", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:] or list(UNITS))
