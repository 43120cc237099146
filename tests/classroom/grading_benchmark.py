"""How long grading takes beside stock nbgrader on the same submissions, and where the time goes.

    python tests/classroom/grading_benchmark.py [SUBMISSIONS] [JOBS] [UNIT ...]

Both are whole commands on fresh class folders, scores in the gradebook. The submissions are spread
over the exercises: right, slips, partial, blank. Scores must be equal, cell by cell. Each exercise
is a run of its own, which starts its processes anew, as the command does.
"""

import contextlib
import itertools
import os
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import nbformat
from bandwork.classroom import demo
from bandwork.classroom.engine.box import Box, used
from bandwork.classroom.engine.execute import execute
from bandwork.classroom.engine.limits import Limits
from bandwork.classroom.engine.sanitise import Release, sanitise
from bandwork.classroom.engine.score import gradebook, rows, save
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.notebooks import course_config, open_class
from bandwork.classroom.settings import ClassSettings

ROOT = Path(__file__).resolve().parents[2]
OURS = """
import sys
from pathlib import Path
from bandwork.classroom.grading import grade
for unit in sys.argv[4:]:
    grade(Path(sys.argv[1]), Path(sys.argv[2]), unit, jobs=int(sys.argv[3]),
          progress=lambda line: None)
"""
STOCK = """
import os, sys
from pathlib import Path
from bandwork.classroom.notebooks import nbgrader_api
api = nbgrader_api(Path(sys.argv[1]), Path(sys.argv[2]))
for unit in sys.argv[4:]:
    for place in sorted(Path(sys.argv[2]).glob(f"submitted/*/{unit}")):
        os.environ["BANDWORK_LEARNER"] = place.parent.name
        told = api.autograde(unit, place.parent.name, force=True)
        assert told["success"], told["log"][-2000:]
"""


def plan(unit: str, number: int) -> demo.Learner:
    """Return an invented learner: right, slips, half of it, blank, in turn."""
    items = exercise(unit).items
    name = f"learner-{number}"
    if number % 4 == 1:
        return demo.Learner(name, {item.key: item.slips[number // 4 % len(item.slips)].name
                                   for item in items[number // 4 % 3::3]})
    return demo.Learner(name, done={2: len(items) // 2, 3: 0}.get(number % 4, 99),
                        writes=demo.SHORT_ANSWER)


def hand_in(folder: Path, count: int, units: tuple[str, ...] = UNITS) -> None:
    """Write the submissions and open the class."""
    for number in range(count):
        unit = units[number % len(units)]
        learner = plan(unit, number // len(units))
        place = folder / "submitted" / learner.name / unit
        place.mkdir(parents=True, exist_ok=True)
        nbformat.write(demo.fill(ROOT, unit, learner), place / f"{unit}.ipynb")
    for unit in units:
        open_class(ROOT, folder, unit)


def run(script: str, folder: Path, jobs: int, units: tuple[str, ...]) -> tuple[float, float]:
    """Run a command; return its seconds, and the most memory of all its processes together [MB]."""
    most, done = [0.0], threading.Event()
    began = time.perf_counter()
    process = subprocess.Popen([sys.executable, "-c", script, str(ROOT), str(folder), str(jobs),
                                *units], env=os.environ)

    def watch() -> None:
        while not done.wait(0.2):
            most[0] = max(most[0], sum(map(proportional, used(process.pid))) / 1e6)

    eye = threading.Thread(target=watch)
    eye.start()
    code = process.wait()
    done.set()
    eye.join()
    assert code == 0
    return time.perf_counter() - began, most[0]


def proportional(pid: int) -> float:
    """Return the memory of a process, what it shares counted in part [byte]."""
    try:
        text = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="utf-8")
    except OSError:
        return 0.0
    return next((1024.0 * int(line.split()[1]) for line in text.splitlines()
                 if line.startswith("Pss:")), 0.0)


def scores(folder: Path, units: tuple[str, ...] = UNITS) -> dict[tuple[str, str, str], float]:
    """Return every cell's score."""
    with gradebook(course_config(ROOT, folder).CourseDirectory.db_url) as book:
        return {(unit, learner, cell): score for unit in units
                for learner, row in rows(book, unit).items() for cell, (score, _) in row.items()}


def compare(place: Path, count: int, jobs: int, units: tuple[str, ...] = UNITS) -> str:
    """Grade both ways and return a line that says how they compare; the scores must be equal."""
    ours, stock = place / "ours", place / "stock"
    hand_in(ours, count, units)
    shutil.copytree(ours, stock)
    text = stock / "opened"
    shutil.rmtree(text)
    shutil.rmtree(stock / "release")
    (stock / "gradebook.db").unlink()
    for unit in units:
        open_class(ROOT, stock, unit)
    seconds, memory = run(OURS, ours, jobs, units)
    again, _ = run(OURS, ours, jobs, units)
    theirs, their_memory = run(STOCK, stock, 1, units)
    a, b = scores(ours, units), scores(stock, units)
    assert a == b, {key: (a.get(key), b.get(key)) for key in a | b if a.get(key) != b.get(key)}
    return (f"{count} submissions, {len(a)} cells with equal scores: ours {seconds:.1f} s and "
            f"{memory:.0f} MB, again {again:.1f} s; stock {theirs:.1f} s and "
            f"{their_memory:.0f} MB; {theirs / seconds:.1f} times as fast")


def of_boxes(pid: int) -> float:
    """Return the processor time of all processes in a box [s]."""
    ticks = 0
    for one in used(pid):
        with contextlib.suppress(OSError):
            fields = Path(f"/proc/{one}/stat").read_text(encoding="utf-8").rpartition(")")[2]
            ticks += sum(map(int, fields.split()[11:15]))
    return ticks / os.sysconf("SC_CLK_TCK")


def stages(place: Path, units: tuple[str, ...] = UNITS) -> list[str]:
    """Return the processor time of each stage for one right submission to each exercise."""
    hand_in(place, len(units), units)
    lines = []
    with Box(Limits()) as box, gradebook(
            course_config(ROOT, place).CourseDirectory.db_url) as book:
        for unit in units:
            release = Release(book, place / "release" / unit / f"{unit}.ipynb", unit)
            path = place / "submitted" / "learner-0" / unit / f"{unit}.ipynb"
            for _ in range(2):
                marks = [time.process_time()]
                notebook, _ = sanitise(path, release, "learner-0", place / "submitted")
                marks.append(time.process_time())
                boxed = of_boxes(box.pid) if box.pid else 0.0
                executed = execute(notebook, Limits(), box)
                boxed = of_boxes(box.pid) - boxed
                marks.append(time.process_time())
                save(book, unit, "learner-0", executed, None, ClassSettings(),
                     place / "autograded" / "learner-0" / unit / f"{unit}.ipynb")
                marks.append(time.process_time())
            put_right, judged, saved = (1000 * (b - a) for a, b in itertools.pairwise(marks))
            lines.append(f"{unit:8} put right {put_right:.0f} ms, run in the box "
                         f"{1000 * boxed:.0f} ms, judged {judged:.0f} ms, scored {saved:.0f} ms")
    return lines


def main(count: str = "60", jobs: str = "2", *units: str) -> None:
    """Print the comparison."""
    with tempfile.TemporaryDirectory() as place:
        print(*stages(Path(place) / "stages"), sep="\n", flush=True)
        print(compare(Path(place), int(count), int(jobs), units or ("stretch",)), flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
