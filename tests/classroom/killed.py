"""Kill the grader again and again, at random moments of every stage of its work.

    python -m tests.classroom.killed 200

Each kill hits a fresh process. After eight of them, or when the stage to be hit does not come any
more, the work is done once without a kill, and gradebook, report, feedback and table must be those
of a class that was never disturbed. Printed is how many kills hit which stage.
"""

import contextlib
import hashlib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from multiprocessing.sharedctypes import RawArray
from pathlib import Path

import nbformat
from bandwork.classroom import demo, grading
from bandwork.classroom.engine import score
from bandwork.classroom.engine.box import what_is_missing
from bandwork.classroom.engine.sanitise import Release  # noqa: F401 - imported once, before forks
from bandwork.classroom.engine.store import Store
from bandwork.classroom.engine.worker import Worker
from bandwork.classroom.handback import class_table, give_feedback
from bandwork.classroom.notebooks import course_config, nbgrader_api
from bandwork.classroom.report import write_report
from bandwork.writing import write_whole

ROOT = Path(__file__).resolve().parents[2]
UNIT = "warmup"
STAGES = {"scoring": 50, "feedback": 35, "execution": 25, "opening": 20, "keeping scores": 20,
          "report": 20, "keeping runs": 15, "table": 15}
"""Of 200 kills, how many are to hit each; where most is written, most."""
PLACE = {name: place for place, name in enumerate(STAGES)}
IN_A_ROW = 8

active, entered = RawArray("i", len(STAGES)), RawArray("i", len(STAGES))
longest = RawArray("d", len(STAGES))


def noted(stage, function):
    """Return a function that tells the killer when it is at work, and how long at most."""
    at = PLACE[stage]

    def run(*given, **named):
        active[at] += 1
        entered[at] += 1
        began = time.monotonic()
        try:
            return function(*given, **named)
        finally:
            longest[at] = max(longest[at], time.monotonic() - began)
            active[at] -= 1
    return run


def watch():
    """Let every stage be noted."""
    grading.open_class = noted("opening", grading.open_class)
    Worker.run = noted("execution", Worker.run)
    Store.keep_run = noted("keeping runs", Store.keep_run)
    score.save = noted("scoring", score.save)
    Store.keep_scored = noted("keeping scores", Store.keep_scored)


def work(folder, stage):
    """Do what an instructor does with a class, quietly: all, or the command of one stage."""
    if stage not in ("feedback", "table"):
        result = grading.grade(ROOT, folder, UNIT, progress=lambda line: None, jobs=1,
                               trust=bool(what_is_missing()))
        noted("report", write_report)(result, folder)
    if stage in ("", "feedback"):
        noted("feedback", give_feedback)(ROOT, folder, UNIT, progress=lambda line: None)
    if stage in ("", "table"):
        noted("table", lambda: write_whole(folder / "report" / "scores.csv",
                                           class_table(ROOT, folder)))()


def begin(folder, stage=""):
    """Do it in a process of its own; return the process."""
    for at in range(len(STAGES)):
        active[at] = entered[at] = 0
    pid = os.fork()
    if not pid:
        os.setsid()
        done = 1
        with contextlib.suppress(Exception):
            work(folder, stage)
            done = 0
        os._exit(done)
    return pid


def undisturbed(folder):
    _, status = os.waitpid(begin(folder), 0)
    assert status == 0, f"the work on {folder} failed"
    return everything(folder)


def everything(folder):
    """Return the gradebook's rows and all that was written for people."""
    with score.gradebook(course_config(ROOT, folder).CourseDirectory.db_url) as book:
        rows = score.rows(book, UNIT)
        penalties = {one.student.id: [one.score, one.late_submission_penalty]
                     for one in book.find_assignment(UNIT).submissions}
    told = {str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
            for place in ("autograded", "executed", "feedback", "report", "submitted")
            for path in (folder / place).rglob("*") if path.is_file()}
    return json.loads(json.dumps([rows, penalties, told], sort_keys=True))


def hand_in(folder):
    """Make the class: one in part, one late, one damaged."""
    for learner, done in (("bo", 3), ("cleo", 99)):
        place = folder / "submitted" / learner / UNIT
        place.mkdir(parents=True)
        nbformat.write(demo.fill(ROOT, UNIT, demo.Learner(learner, done=done)),
                       place / f"{UNIT}.ipynb")
        (place / "timestamp.txt").write_text("2026-11-21 09:15:00 UTC", encoding="utf-8")
    damaged = folder / "submitted" / "damaged" / UNIT
    damaged.mkdir(parents=True)
    (damaged / f"{UNIT}.ipynb").write_text("{", encoding="utf-8")
    (folder / "class.toml").write_text(
        f"title = 'Invented'\n[due]\n{UNIT} = 2026-11-20T20:00:00\n[late]\nper_day = 10", "utf-8")


def put_back(stage, fresh, calm, folder):
    """Bring a class to where the stage will come."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(fresh if stage == "opening" else calm, folder)
    if stage in ("execution", "keeping runs"):
        shutil.rmtree(folder / "executed")
    if stage in ("scoring", "keeping scores"):
        shutil.rmtree(folder / "executed" / UNIT / "scored")


def kill_in(stage, folder, often, lasts, chance):
    """Kill one grader in a stage; return what it was at, None if it was done before."""
    at, which = PLACE[stage], chance.randint(1, often)
    pid = begin(folder, stage)
    while entered[at] < which:
        time.sleep(0 if stage.startswith("keeping") else 0.001)
        if os.waitpid(pid, os.WNOHANG)[0]:
            return None
    time.sleep(chance.uniform(0, lasts))
    if os.waitpid(pid, os.WNOHANG)[0]:
        return None
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    return [name for name, at in PLACE.items() if active[at]] or ["between"]


def plan(kills):
    """Return the stages to hit, in lots."""
    shares = {name: share * kills / sum(STAGES.values()) for name, share in STAGES.items()}
    wanted = {name: int(share) for name, share in shares.items()}
    for name in list(STAGES)[:kills - sum(wanted.values())]:
        wanted[name] += 1
    return [(name, min(IN_A_ROW, number - first)) for name, number in wanted.items()
            for first in range(0, number, IN_A_ROW)]


def main(kills, seed=7):
    """Kill so often; return how many kills hit which stage."""
    chance, hits, compared = random.Random(seed), {}, 0
    with tempfile.TemporaryDirectory() as place:
        fresh, calm, folder = (Path(place) / name for name in ("fresh", "calm", "class"))
        hand_in(fresh)
        nbgrader_api(ROOT, fresh)
        watch()
        shutil.copytree(fresh, calm)
        wanted = undisturbed(calm)
        assert wanted[1]["cleo"][1] > 0
        assert set(wanted[0]) == {"bo", "cleo", "damaged"}
        often, lasts = list(entered), list(longest)
        assert all(often), f"not every stage came: {often}"
        for stage, number in plan(kills):
            at, done, tries = PLACE[stage], 0, 0
            while done < number:
                put_back(stage, fresh, calm, folder)
                tries += 1
                assert tries < 20, f"{stage} can't be hit"
                while done < number:
                    found = kill_in(stage, folder, often[at], lasts[at], chance)
                    if found is None:
                        break
                    done += 1
                    for name in found:
                        hits[name] = hits.get(name, 0) + 1
                assert undisturbed(folder) == wanted, f"after kills in {stage}"
                compared += 1
    return {"kills": kills, "hits": hits, "compared": compared}


if __name__ == "__main__":
    print(json.dumps(main(*map(int, sys.argv[1:]))))
