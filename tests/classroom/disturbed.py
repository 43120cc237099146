"""The commands for a class while its disk is full, run by the tests where two small disks are.

    python -m tests.classroom.disturbed SMALL

SMALL is a folder with a disk of its own, and so is the folder for temporary files. Printed is what
every command returned and said, first while there is no room, then when there is.
"""

import contextlib
import io
import json
import os
import shutil
import sys
import tempfile
from pathlib import Path

from bandwork.classroom import handback, report  # noqa: F401 - imported once, before forks
from bandwork.classroom.engine import sanitise, score  # noqa: F401
from bandwork.cli import main as command

from tests.classroom.killed import ROOT, UNIT, everything, hand_in

ROOM = (0, 60_000, 250_000)
"""Bytes that are left, so that different steps find no more of them."""


def say(*words):
    """Run one command in a process of its own; return its exit code and what it said is wrong."""
    read, write = os.pipe()
    pid = os.fork()
    if not pid:
        os.close(read)
        told = io.StringIO()
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(told):
            try:
                code = command(words)
            except BaseException as problem:
                code = repr(problem)
        with open(write, "w", encoding="utf-8") as file:
            json.dump([code, told.getvalue()], file)
        os._exit(0)
    os.close(write)
    with open(read, encoding="utf-8") as file:
        found = json.load(file)
    os.waitpid(pid, 0)
    return found


@contextlib.contextmanager
def full(place, room=0):
    """Fill a small disk but for so many bytes."""
    filler = Path(place) / "filler"
    with filler.open("wb", buffering=0) as file, contextlib.suppress(OSError):
        while True:
            file.write(b"x" * 4096)
    os.truncate(filler, max(filler.stat().st_size - room, 0))
    try:
        yield
    finally:
        filler.unlink()


def main(small):
    """Try every command with too little room, then with enough."""
    os.chdir(ROOT)
    folder, calm, box = small / "class", small / "calm", small / "box"
    hand_in(calm)
    shutil.copytree(calm, folder)
    box.mkdir()
    shutil.copy(folder / "submitted" / "cleo" / UNIT / f"{UNIT}.ipynb", box / "cleo.ipynb")
    again = folder / "submitted" / "cleo" / UNIT / f"{UNIT}.ipynb"
    grade = ["grade", UNIT, "", "--trust-submissions", "--jobs", "1"]
    steps = [grade, ["feedback", UNIT, ""], ["table", ""], ["release", "stretch", ""],
             ["collect", UNIT, "", str(box)]]
    told = []
    for step in steps:
        told.append([step[0], "calm", *say(*[word or str(calm) for word in step])])
    for step in steps:
        words = [word or str(folder) for word in step]
        before = again.read_bytes()
        for room in ROOM if step is grade else (0,):
            with full(small, room):
                told.append([step[0], "full", *say(*words)])
            assert again.read_bytes() == before
        told.append([step[0], "room", *say(*words)])
    same = everything(folder) == everything(calm)
    with full(tempfile.gettempdir()):
        for step in steps:
            told.append([step[0], "tmp", *say(*[word or str(folder) for word in step])])
    print(json.dumps({"told": told, "same": same}))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
