"""How grading compares with stock nbgrader, where its milliseconds go, and how it grows.

    python -m tests.classroom.grading_benchmark [--submissions 60] [--jobs 2] [UNIT ...]
    python -m tests.classroom.grading_benchmark --growth 60 300 1000 3000 [--jobs 2] [UNIT ...]

Both sides are whole commands on fresh class folders, scores in the gradebook; ours is `bandwork
grade`, which writes the report too. The submissions are right, have slips, are partial or blank.
Scores must be equal, cell by cell. Each exercise is a command of its own. Processor time is that of
all processes of a command; so is memory, with what processes share counted once.
"""

import argparse
import functools
import gc
import io
import itertools
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import nbformat
from bandwork.classroom import demo
from bandwork.classroom.engine import inside
from bandwork.classroom.engine.box import Box, used, what_is_missing
from bandwork.classroom.engine.execute import execute
from bandwork.classroom.engine.limits import Limits
from bandwork.classroom.engine.sanitise import Release, sanitise
from bandwork.classroom.engine.score import gradebook, rows, save
from bandwork.classroom.engine.store import Store
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.notebooks import course_config, open_class
from bandwork.classroom.settings import ClassSettings
from bandwork.classroom.work import LEARNER_VARIABLE

ROOT = Path(__file__).resolve().parents[2]
STOCK = """
import os, sys
from pathlib import Path
from bandwork.classroom.notebooks import nbgrader_api
api = nbgrader_api(Path(sys.argv[1]), Path(sys.argv[2]))
for unit in sys.argv[3:]:
    for place in sorted(Path(sys.argv[2]).glob(f"submitted/*/{unit}")):
        os.environ["BANDWORK_LEARNER"] = place.parent.name
        told = api.autograde(unit, place.parent.name, force=True)
        assert told["success"], told["log"][-2000:]
"""
PLANS = 60
"""After so many learners the plans begin anew; every learner has numbers of their own."""
SOMEBODY = "somebody"
KINDS = {"engine.worker": "judges", "engine.inside": "boxes"}
LOOK_EVERY = 0.1
TICKS = os.sysconf("SC_CLK_TCK")

HandIn = Callable[[str, int], tuple[str, str]]
"""Unit and number -> a learner's id, and the text of their notebook."""


def plan(unit: str, number: int, name: str = SOMEBODY) -> demo.Learner:
    """Return an invented learner: right, slips, half of it, blank, in turn."""
    items = exercise(unit).items
    if number % 4 == 1:
        return demo.Learner(name, {item.key: item.slips[number // 4 % len(item.slips)].name
                                   for item in items[number // 4 % 3::3]})
    return demo.Learner(name, done={2: len(items) // 2, 3: 0}.get(number % 4, 99),
                        writes=demo.SHORT_ANSWER)


@functools.cache
def _text(unit: str, number: int) -> str:
    return nbformat.writes(demo.fill(ROOT, unit, plan(unit, number)))


def planned(unit: str, number: int) -> tuple[str, str]:
    """Return the submission of an invented learner, who has a plan of `plan`."""
    name = f"learner-{number}"
    return name, _text(unit, number % PLANS).replace(f'\\"{SOMEBODY}\\"', f'\\"{name}\\"')


def hand_in(folder: Path, count: int, units: tuple[str, ...] = UNITS,
            made: HandIn = planned) -> None:
    """Write the submissions, spread over the exercises, and open the class."""
    for number in range(count):
        unit = units[number % len(units)]
        name, text = made(unit, number // len(units))
        place = folder / "submitted" / name / unit
        place.mkdir(parents=True, exist_ok=True)
        (place / f"{unit}.ipynb").write_text(text, encoding="utf-8")
    for unit in units:
        open_class(ROOT, folder, unit)


@dataclass
class Cost:
    """What a command took.

    Parameters
    ----------
    seconds : float
        By the clock [s].
    processor : float
        Of all its processes [s].
    memory : float
        The most that all of them held together [MB].
    kinds : mapping of str to float
        The processor time of each kind of process [s].
    """

    seconds: float
    processor: float
    memory: float
    kinds: dict[str, float]


def run(*command: str, waits_for_all: bool = False) -> Cost:
    """Run Python with some arguments; return what it took.

    A process that is waited for adds its time to the one that waited. Ours are told apart by kind,
    and each is looked at while it lives; of stock all are waited for.
    """
    began, most, kinds, done = time.perf_counter(), [0.0], {}, threading.Event()
    process = subprocess.Popen([sys.executable, *command], cwd=ROOT, stdout=subprocess.DEVNULL)

    def watch() -> None:
        for look in itertools.count():
            over = done.wait(LOOK_EVERY)
            now = defaultdict(float)
            pids = list(used(process.pid))
            for pid in pids:
                for kind, seconds in _computed(pid):
                    now[kind] += seconds
            for kind, seconds in now.items():
                kinds[kind] = max(kinds.get(kind, 0.0), seconds)
            if look % 3 == 0:
                most[0] = max(most[0], sum(map(_proportional, pids)) / 1e6)
            if over:
                return

    eye = threading.Thread(target=watch)
    eye.start()
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    seconds = time.perf_counter() - began
    done.set()
    eye.join()
    assert process.returncode == 0, command
    processor = usage.ru_utime + usage.ru_stime if waits_for_all else sum(kinds.values())
    return Cost(seconds, processor, most[0], kinds)


def _read(pid: int, name: str) -> str:
    try:
        return Path(f"/proc/{pid}/{name}").read_text("utf-8", "replace")
    except OSError:
        return ""


def _computed(pid: int) -> Iterator[tuple[str, float]]:
    """Yield the kind of a process and what it computed, with what ended below it in a box [s]."""
    times, command = _read(pid, "stat").rpartition(")")[2].split(), _read(pid, "cmdline")
    kind = next((kind for part, kind in KINDS.items() if part in command), "command")
    if times:
        yield kind, sum(map(int, times[11:15 if kind == "boxes" else 13])) / TICKS


def _proportional(pid: int) -> float:
    """Return the memory of a process, what it shares counted in part [byte]."""
    return next((1024.0 * int(line.split()[1]) for line in _read(pid, "smaps_rollup").splitlines()
                 if line.startswith("Pss:")), 0.0)


def grade(folder: Path, unit: str, jobs: int) -> Cost:
    """Run `bandwork grade`."""
    trust = ["--trust-submissions"] if what_is_missing() else []
    return run("-m", "bandwork.cli", "grade", unit, str(folder), "--jobs", str(jobs), *trust)


def scores(folder: Path, units: tuple[str, ...]) -> dict[tuple[str, ...], tuple[float, bool]]:
    """Return every cell's score, and whether a person has to mark it."""
    with gradebook(course_config(ROOT, folder).CourseDirectory.db_url) as book:
        return {(unit, learner, cell): score for unit in units
                for learner, row in rows(book, unit).items() for cell, score in row.items()}


def compare(place: Path, count: int, jobs: int, units: tuple[str, ...] = UNITS,
            made: HandIn = planned) -> str:
    """Grade both ways and return lines that say how they compare; the scores must be equal."""
    ours, stock = place / "ours", place / "stock"
    hand_in(ours, count, units, made)
    shutil.copytree(ours / "submitted", stock / "submitted")
    for unit in units:
        open_class(ROOT, stock, unit)
    costs = [grade(ours, unit, jobs) for unit in units]
    again = sum(grade(ours, unit, jobs).seconds for unit in units)
    theirs = run("-c", STOCK, str(ROOT), str(stock), *units, waits_for_all=True)
    a, b = scores(ours, units), scores(stock, units)
    assert a == b, {key: (a.get(key), b.get(key)) for key in a | b if a.get(key) != b.get(key)}
    assert len({(unit, learner) for unit, learner, _ in a}) == count
    seconds, processor = (sum(getattr(cost, what) for cost in costs)
                          for what in ("seconds", "processor"))
    kinds = {kind: sum(cost.kinds.get(kind, 0.0) for cost in costs)
             for kind in ("command", *KINDS.values())}
    return (f"{count} submissions, {len(a)} cells with equal scores\n"
            f"  ours   {seconds:6.1f} s, processor {processor:6.1f} s, "
            f"{max(cost.memory for cost in costs):4.0f} MB; once more {again:.1f} s\n"
            f"  stock  {theirs.seconds:6.1f} s, processor {theirs.processor:6.1f} s, "
            f"{theirs.memory:4.0f} MB\n"
            f"  {theirs.seconds / seconds:.1f} times as fast; "
            f"{theirs.processor / processor:.1f} times less processor time\n"
            f"  of ours: " + ", ".join(f"{kind} {took:.1f} s" for kind, took in kinds.items())
            + f"; {jobs} jobs")


def floor(shell: Any, learner: str, sources: list[str]) -> float:
    """Return the processor time of cells in a forked interpreter that has imported it all [s]."""
    pid = os.fork()
    if not pid:
        os.environ[LEARNER_VARIABLE] = learner
        sys.stdout = sys.stderr = io.StringIO()
        for source in sources:
            shell.run_cell(source)
        os._exit(0)
    _, _, usage = os.wait4(pid, 0)
    return usage.ru_utime + usage.ru_stime


def stages(place: Path, units: tuple[str, ...] = UNITS, repeats: int = 5) -> Iterator[str]:
    """Yield lines with the processor time of each stage for one right submission to an exercise."""
    yield "Processor time of a right submission [ms]"
    columns = ("put right", "cells", "box", "judged", "scored", "together")
    yield f"{'':8}" + "".join(f"{column:>11}" for column in columns)
    shell = inside.load()
    gc.collect()
    gc.freeze()
    hand_in(place, len(units), units)
    with Box(Limits(), trust=bool(what_is_missing())) as box, gradebook(
            course_config(ROOT, place).CourseDirectory.db_url) as book:
        for unit in units:
            release = Release(book, place / "release" / unit / f"{unit}.ipynb", unit)
            path = place / "submitted" / "learner-0" / unit / f"{unit}.ipynb"
            took: dict[str, list[float]] = {column: [] for column in columns}
            for _ in range(repeats + 1):
                marks = [time.process_time()]
                notebook, _ = sanitise(path, release, "learner-0", place / "submitted")
                marks.append(time.process_time())
                boxed = _boxed(box)
                executed = execute(notebook, Limits(), box)
                boxed = _boxed(box) - boxed
                marks.append(time.process_time())
                Store(place, unit).keep_run("run", executed)
                save(book, unit, "learner-0", executed, None, ClassSettings(),
                     place / "autograded" / "learner-0" / unit / f"{unit}.ipynb")
                marks.append(time.process_time())
                cells = floor(shell, "learner-0", [
                    cell.source for cell in nbformat.v4.reads(notebook.decode()).cells
                    if cell.cell_type == "code"])
                put_right, judged, scored = (b - a for a, b in itertools.pairwise(marks))
                for column, seconds in zip(columns, (
                        put_right, cells, boxed - cells, judged, scored,
                        put_right + boxed + judged + scored), strict=True):
                    took[column].append(1000 * seconds)
            yield f"{unit:8}" + "".join(f"{statistics.fmean(took[column][1:]):11.0f}"
                                        for column in columns)
    yield "put right, judged, scored: outside of the box; cells: the same cells in a forked"
    yield "interpreter that has imported it all, the floor; box: what comes on top of it"


def _boxed(box: Box) -> float:
    """Return the processor time of all processes in a box [s]."""
    return sum(seconds for _, seconds in used(box.pid).values()) if box.pid else 0.0


def starts() -> Iterator[str]:
    """Yield lines with the processor time that processes take to start."""
    yield "Processor time to start, once a command [ms]"
    for what, code in {
            "the command": "import bandwork.cli, bandwork.classroom.grading, "
                           "bandwork.classroom.engine.score, bandwork.classroom.engine.sanitise",
            "each judge": "import bandwork.classroom.engine.worker",
            "each box": "from bandwork.classroom.engine import inside; inside.load()"}.items():
        yield f"  {what:12}{1000 * run('-c', code, waits_for_all=True).processor:6.0f}"


def growth(place: Path, counts: list[int], jobs: int, unit: str) -> Iterator[str]:
    """Yield a line for each size of class: engine only."""
    yield f"Growth, {unit}, {jobs} jobs"
    yield (f"{'submissions':>12}{'s':>8}{'ms each':>9}{'processor ms each':>19}"
           f"{'command ms each':>17}{'MB':>6}{'once more s':>13}")
    for count in counts:
        folder = place / str(count)
        hand_in(folder, count, (unit,))
        cost, again = grade(folder, unit, jobs), grade(folder, unit, jobs)
        assert len({learner for _, learner, _ in scores(folder, (unit,))}) == count
        yield (f"{count:12}{cost.seconds:8.1f}{1000 * cost.seconds / count:9.0f}"
               f"{1000 * cost.processor / count:19.0f}"
               f"{1000 * cost.kinds['command'] / count:17.0f}{cost.memory:6.0f}"
               f"{again.seconds:13.1f}")
        shutil.rmtree(folder)


def main() -> None:
    """Print what was asked for."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("units", nargs="*", metavar="UNIT")
    parser.add_argument("--submissions", type=int, default=60)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--growth", type=int, nargs="+", metavar="SUBMISSIONS")
    options = parser.parse_args()
    units = tuple(options.units) or ("stretch",)
    print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}")
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        if options.growth:
            lines = growth(place, options.growth, options.jobs, units[0])
        else:
            lines = itertools.chain(starts(), stages(place / "stages"))
        for line in lines:
            print(line, flush=True)
        if not options.growth:
            print(compare(place, options.submissions, options.jobs, units))


if __name__ == "__main__":
    main()
