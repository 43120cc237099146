"""What a submission costs on a cluster, measured, and from that an estimate to 100,000.

    python tests/classroom/cluster_benchmark.py [TASKS] [LEARNERS]

Costs are processor time, so that other work on the machine changes them little. TASKS go through a
scheduler and a worker that give back as many bytes as an executed notebook has, without running
it. The gradebook in which scoring is timed holds so many invented LEARNERS already.
"""

import contextlib
import json
import os
import shutil
import socket
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import wait
from pathlib import Path

from bandwork.classroom import grading
from bandwork.classroom.engine import cluster as clusters
from bandwork.classroom.engine.box import used
from bandwork.classroom.engine.limits import Limits
from bandwork.classroom.engine.sanitise import Release, sanitise
from bandwork.classroom.engine.score import gradebook, rows, save
from bandwork.classroom.engine.worker import Worker
from bandwork.classroom.items import UNITS
from bandwork.classroom.notebooks import course_config
from bandwork.classroom.settings import ClassSettings

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.classroom.grading_benchmark import ROOT, hand_in, planned

WANTED = 100_000
CORES = 8
UNIT = "stretch"


def computed(pid: int) -> float:
    """Return the processor time of a process, all below it and all that ended there [s]."""
    return sum(seconds for _, seconds in used(pid).values())


@contextlib.contextmanager
def scheduler(workers: int = 1) -> Iterator[tuple[str, list[int]]]:
    """Start a scheduler with workers of one thread; give its address and all process ids."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    address, quiet = f"tcp://127.0.0.1:{port}", {"dashboard_address": "127.0.0.1:0"}
    started: list[subprocess.Popen[bytes]] = []

    def start(kind: str, options: dict[str, object], *where: str) -> None:
        spec = json.dumps({"cls": f"distributed.{kind}", "opts": {**quiet, **options}})
        started.append(subprocess.Popen(
            [sys.executable, "-m", "distributed.cli.dask_spec", "--spec", spec, *where],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL))

    try:
        start("Scheduler", {"host": "127.0.0.1", "port": port})
        for _ in range(workers):
            start("Worker", {"nthreads": 1}, address)
        until = time.monotonic() + 60
        while time.monotonic() < until:
            with contextlib.suppress(OSError):
                socket.create_connection(("127.0.0.1", port)).close()
                break
            time.sleep(0.1)
        yield address, [one.pid for one in started]
    finally:
        for one in started:
            one.kill()
            one.wait()


def of_notebook(place: Path) -> dict[str, list[float]]:
    """Return for each exercise box and judge [s], bytes in and bytes out of a right submission."""
    hand_in(place, len(UNITS))
    found = {}
    with (Worker(Limits()) as worker,
          gradebook(course_config(ROOT, place).CourseDirectory.db_url) as book):
        for unit in UNITS:
            release = Release(book, place / "release" / unit / f"{unit}.ipynb", unit)
            name, _ = planned(unit, 0)
            path = place / "submitted" / name / unit / f"{unit}.ipynb"
            notebook, _ = sanitise(path, release, name, place / "submitted")
            executed, taken = worker.run(notebook), []
            for _ in range(5):
                began = computed(worker._process.pid)
                executed = worker.run(notebook)
                taken.append(computed(worker._process.pid) - began)
            found[unit] = [statistics.median(taken), len(notebook), len(executed)]
    return found


def of_dask(tasks: int, given: int, back: int) -> list[float]:
    """Return what one task costs in the grader, the scheduler and the worker, and in all [s]."""
    usual = clusters.run_there
    clusters.run_there = lambda notebook, *_: (notebook[:1] * back, "")
    with scheduler() as (address, pids), clusters.Cluster(address, Limits()) as runner:
        try:
            while not runner.room():
                time.sleep(0.1)
            runner.result(runner.submit(b"x"))
            before = [time.process_time(), *map(computed, pids), time.perf_counter()]
            under_way = set()
            for number in range(tasks):
                under_way.add(runner.submit(number.to_bytes(4, "big") * (given // 4)))
                while len(under_way) >= clusters.AHEAD or (number == tasks - 1 and under_way):
                    done, under_way = wait(under_way, return_when="FIRST_COMPLETED")
                    assert all(len(runner.result(one)) == back for one in done)
            after = [time.process_time(), *map(computed, pids), time.perf_counter()]
        finally:
            clusters.run_there = usual
    return [(end - start) / tasks for start, end in zip(before, after, strict=True)]


def of_one_process(place: Path, few: int = 10, many: int = 60) -> float:
    """Return what the grader itself takes for one more learner, boxes and judges apart [s]."""
    taken = []
    for count in (few, many):
        folder = place / str(count)
        hand_in(folder, count, (UNIT,))
        began = time.process_time()
        grading.grade(ROOT, folder, UNIT, jobs=2, progress=lambda line: None)
        taken.append(time.process_time() - began)
    return (taken[1] - taken[0]) / (many - few)


def crowd(path: Path, unit: str, count: int) -> float:
    """Put that many invented learners into a gradebook; return its bytes for each."""
    before = path.stat().st_size
    with contextlib.closing(sqlite3.connect(path)) as book, book:
        (assignment, notebook), = book.execute(
            "select assignment.id, notebook.id from assignment join notebook "
            "on notebook.assignment_id = assignment.id where assignment.name = ?", (unit,))
        cells = {kind: [row[0] for row in book.execute(
            "select id from base_cell where notebook_id = ? and type = ?", (notebook, kind))]
            for kind in ("GradeCell", "SolutionCell")}
        for number in range(count):
            name = f"{number:032x}"
            book.execute("insert into student (id) values (?)", (f"invented-{number}",))
            book.execute("insert into submitted_assignment (id, assignment_id, student_id) "
                         "values (?, ?, ?)", (name, assignment, f"invented-{number}"))
            book.execute("insert into submitted_notebook (id, assignment_id, notebook_id) "
                         "values (?, ?, ?)", (name, name, notebook))
            book.executemany("insert into grade (id, notebook_id, cell_id, auto_score, "
                             "needs_manual_grade) values (?, ?, ?, 1.0, 0)",
                             [(f"{number:08x}{cell[8:]}", name, cell)
                              for cell in cells["GradeCell"]])
            book.executemany("insert into comment (id, notebook_id, cell_id) values (?, ?, ?)",
                             [(f"{number:08x}{cell[8:]}", name, cell)
                              for cell in cells["SolutionCell"]])
    return (path.stat().st_size - before) / count


def of_scoring(folder: Path, learners: int) -> tuple[list[float], float, float]:
    """Return a learner's scoring [s], alone and in a crowd, anew and again; a row's bytes; all."""
    executed = next((folder / "executed" / UNIT / "runs").iterdir()).read_bytes()
    url, taken = course_config(ROOT, folder).CourseDirectory.db_url, []
    size = 0.0
    for crowded in (False, True):
        if crowded:
            size = crowd(folder / "gradebook.db", UNIT, learners)
        with gradebook(url) as book:
            for _ in ("anew", "again"):
                began = time.process_time()
                for number in range(10):
                    name = f"late-{crowded}-{number}"
                    save(book, UNIT, name, executed, None, ClassSettings(),
                         folder / "autograded" / name / UNIT / f"{UNIT}.ipynb")
                taken.append((time.process_time() - began) / 10)
    began = time.process_time()
    with gradebook(url) as book:
        assert len(rows(book, UNIT)) > learners
    return taken, size, time.process_time() - began


def main(tasks: str = "1000", learners: str = "20000") -> None:
    """Measure and print."""
    print(f"load of the machine: {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    with tempfile.TemporaryDirectory() as place:
        costs = of_notebook(Path(place) / "boxes")
        for unit, (seconds, given, back) in costs.items():
            print(f"{unit:8} box and judge {1000 * seconds:.0f} ms, {given / 1000:.0f} kB there, "
                  f"{back / 1000:.0f} kB back", flush=True)
        box, given, back = (statistics.mean(column) for column in zip(*costs.values(), strict=True))
        grader, middle, worker, whole = of_dask(int(tasks), int(given), int(back))
        print(f"dask, a task: grader {1000 * grader:.1f} ms, scheduler {1000 * middle:.1f} ms, "
              f"worker {1000 * worker:.1f} ms; {1000 * whole:.1f} ms by the clock", flush=True)
        one = of_one_process(Path(place) / "whole")
        print(f"grader, a learner of {UNIT}: {1000 * one:.1f} ms besides", flush=True)
        shutil.rmtree(Path(place) / "whole" / "10")
        folder = Path(place) / "whole" / "60"
        held = sum(path.stat().st_size for name in ("executed", "autograded")
                   for path in (folder / name).rglob("*") if path.is_file()) / 60
        scoring, size, reading = of_scoring(folder, int(learners))
        print("of it scoring: {:.1f} ms, again {:.1f} ms; in a gradebook of {}: {:.1f} ms, again "
              "{:.1f} ms".format(*(1000 * taken for taken in scoring[:2]), learners,
                                 *(1000 * taken for taken in scoring[2:])))
        print(f"gradebook: {size / 1000:.1f} kB a learner, read at the end in {reading:.0f} s; "
              f"files {held / 1000:.0f} kB a learner", flush=True)
    limit = one + grader + max(scoring[2] - scoring[0], 0.0)
    cores = (box + worker) / limit
    print(f"\nestimate for {WANTED} submissions to one exercise, the mean of {len(costs)}:\n"
          f"  {WANTED * box / 3600:.1f} processor hours in boxes, on one machine with {CORES} "
          f"processors {WANTED * box / CORES / 3600:.1f} h\n"
          f"  the one process that scores: {WANTED * limit / 3600:.1f} h, {1 / limit:.0f} a second;"
          f" {cores:.0f} processors keep up with it, {cores / CORES:.1f} machines of {CORES}\n"
          f"  scheduler busy {100 * middle / limit:.0f} %, "
          f"{(given + back) / limit / 1e6:.1f} MB a second through it\n"
          f"  gradebook {WANTED * size / 1e9:.1f} GB, files {WANTED * held / 1e9:.1f} GB")


if __name__ == "__main__":
    main(*sys.argv[1:])
