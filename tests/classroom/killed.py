"""Kill the grader again and again; print the gradebook that it leaves in the end.

    python tests/classroom/killed.py COURSE CLASS UNIT KILLS SEED

Each kill hits a fresh process at a random moment. After every fifth the class goes back to what was
handed in, so that all stages are hit again. Printed are the gradebook's rows, and how many kills
hit a grader that was still at work.
"""

import json
import os
import random
import shutil
import signal
import sys
import time
from pathlib import Path

from bandwork.classroom.engine.sanitise import Release  # noqa: F401 - imported once, before forks
from bandwork.classroom.engine.score import gradebook, rows
from bandwork.classroom.grading import grade
from bandwork.classroom.handback import give_feedback
from bandwork.classroom.notebooks import course_config, nbgrader_api


def work(root: Path, folder: Path, unit: str) -> None:
    """Grade and give feedback, quietly."""
    grade(root, folder, unit, progress=lambda line: None)
    give_feedback(root, folder, unit, progress=lambda line: None)


def everything(root: Path, folder: Path, unit: str) -> dict[str, object]:
    """Return the gradebook's rows and the folders of feedback."""
    with gradebook(course_config(root, folder).CourseDirectory.db_url) as book:
        told = rows(book, unit)
        penalties = {one.student.id: [one.score, one.late_submission_penalty]
                     for one in book.find_assignment(unit).submissions}
    return {"rows": {name: dict(sorted(row.items())) for name, row in sorted(told.items())},
            "penalties": dict(sorted(penalties.items())),
            "feedback": sorted(str(path.relative_to(folder))
                               for path in (folder / "feedback").rglob("*.html"))}


def main(root: Path, folder: Path, unit: str, kills: int, seed: int) -> None:
    """Run the grader undisturbed, then with kills, and print both gradebooks."""
    nbgrader_api(root, folder)
    chance = random.Random(seed)
    fresh, calm = folder.with_name("fresh"), folder.with_name("calm")
    shutil.copytree(folder, fresh)
    began = time.monotonic()
    shutil.copytree(fresh, calm)
    work(root, calm, unit)
    whole = time.monotonic() - began
    at_work = 0
    for number in range(kills):
        if number % 5 == 0:
            shutil.rmtree(folder)
            shutil.copytree(calm if number % 2 else fresh, folder)
            if number % 2:
                shutil.rmtree(folder / "executed" / unit / "scored")
                shutil.rmtree(folder / "feedback")
        pid = os.fork()
        if not pid:
            os.setsid()
            work(root, folder, unit)
            os._exit(0)
        time.sleep(chance.uniform(0, 1.0 if number % 2 else whole / 2))
        done, _ = os.waitpid(pid, os.WNOHANG)
        if not done:
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
            at_work += 1
    work(root, folder, unit)
    print(json.dumps({"calm": everything(root, calm, unit),
                      "killed": everything(root, folder, unit), "at_work": at_work}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3], int(sys.argv[4]), int(sys.argv[5]))
