"""Taking in what learners handed in: files as a mailbox, a platform or a memory stick has them."""

import json
import os
import re
import shutil
import struct
import zipfile
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from bandwork.classroom.engine.intake import LARGEST, inspect_submission
from bandwork.classroom.items import UNITS
from bandwork.classroom.learner import GUEST, LEARNER_CELL, printable, tidy_id
from bandwork.validation import InputError
from bandwork.writing import write_whole

MOST_TOGETHER = 4_000_000_000
"""Bytes that a zip file may be unpacked to."""
ENDING = ".ipynb"


@dataclass(frozen=True)
class Found:
    """One file that may be somebody's notebook.

    Attributes
    ----------
    path : Path
        Where it can be read.
    name, owner : str
        Its own name and that of the folder that it was found in, "" if it lay in none.
    when : datetime
        It was handed in.
    size : int
        As it says [byte]; what is too large was not unpacked.
    """

    path: Path
    name: str
    owner: str
    when: datetime
    size: int

    @property
    def shown(self) -> str:
        """What it is called in the list."""
        named = f"{self.owner}/{self.name}" if self.owner else self.name
        named = named if len(named) < 200 else f"{named[:90]}...{named[-90:]}"
        return printable(named)


@dataclass(frozen=True)
class Taken:
    """What became of one file.

    Attributes
    ----------
    file : str
        Its name where it was found.
    learner : str
        Whose it is; "" if it was left.
    note : str
        "new", "again" if it takes the place of an older one, or why it was left.
    """

    file: str
    learner: str
    note: str


def collect(folder: Path, unit: str, downloads: Path) -> list[Taken]:
    """Put notebooks from a folder or a zip file where grading looks for them.

    A file belongs to the learner who stands before the exercise in its name (`ada_stretch.ipynb`,
    `ada-stretch.ipynb`, `ada.ipynb`, `ada_stretch (1).ipynb`), or else whose folder it lies in
    (`ada/stretch.ipynb`), or else whose id is written in it (`stretch (1).ipynb`). A folder that
    holds all files, or files with different ids written in them, is nobody's. Of two from the same
    learner the later one counts, but what is written in a file never counts against a name. Hidden
    files, such as a Mac puts into a zip file, are passed over. Nothing in a file is run.

    When a file was handed in is when it was last changed. A zip file keeps that as the clock on the
    wall showed it, without a time zone: it is taken for the time of this machine.

    Parameters
    ----------
    folder : Path
        The class.
    unit : str
        Which exercise.
    downloads : Path
        A folder, or a zip file.

    Returns
    -------
    list of Taken
        One for each notebook found, earliest first.

    Raises
    ------
    InputError
        If there is no such folder, or no notebook in it.
    """
    shutil.rmtree(folder / ".incoming", ignore_errors=True)
    try:
        found = sorted(_found(downloads, folder / ".incoming"), key=lambda one: one.when)
        if not found:
            raise InputError(f"{downloads} holds no notebook; name the folder or the zip file in "
                             "which the learners' .ipynb files lie.")
        shared = _shared_folders(found)
        found = [replace(one, owner="") if one.owner in shared else one for one in found]
        owners = [_owner(one, unit) for one in found]
        named = {learner for learner, how in owners if not how}
        return [_take(folder, unit, one, learner, how, named)
                for one, (learner, how) in zip(found, owners, strict=True)]
    finally:
        shutil.rmtree(folder / ".incoming", ignore_errors=True)


def _found(downloads: Path, room: Path) -> list[Found]:
    """Return each notebook; those in a zip file are unpacked, under names of ours."""
    if downloads.is_dir():
        return [Found(path, path.name, path.parent.name if path.parent != downloads else "",
                      datetime.fromtimestamp(path.stat().st_mtime, UTC), path.stat().st_size)
                for path in downloads.rglob("*")
                if path.suffix.lower() == ENDING and path.is_file() and not path.is_symlink()
                and not _hidden(path.relative_to(downloads).parts)]
    if not zipfile.is_zipfile(downloads):
        raise InputError(f"{downloads} is neither a folder nor a zip file; name one of these.")
    try:
        return _unpacked(downloads, room)
    except InputError:
        raise
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, NotImplementedError,
            ValueError, struct.error) as problem:
        raise InputError(f"{downloads} is damaged or locked with a password "
                         f"({printable(str(problem))[:100]}); unpack the zip file and name the "
                         "folder.") from None


def _unpacked(downloads: Path, room: Path) -> list[Found]:
    taken = []
    with zipfile.ZipFile(downloads) as packed:
        if sum(min(one.file_size, LARGEST) for one in packed.infolist()) > MOST_TOGETHER:
            raise InputError(f"{downloads} holds more than {MOST_TOGETHER / 1e9:g} GB of "
                             "notebooks; give the learners' files in several zip files.")
        for number, one in enumerate(packed.infolist()):
            if one.is_dir() or not one.filename.lower().endswith(ENDING):
                continue
            parts = [part for part in re.split(r"[\\/]", one.filename)
                     if part not in ("", ".", "..")]
            if _hidden(parts):
                continue
            place = room / f"{number}.ipynb"
            room.mkdir(parents=True, exist_ok=True)
            with packed.open(one) as inside:
                place.write_bytes(b"" if one.file_size > LARGEST else inside.read(LARGEST + 1))
            taken.append(Found(place, parts[-1], parts[-2] if len(parts) > 1 else "",
                               _in_utc(one.date_time), one.file_size))
    return taken


def _shared_folders(found: Sequence[Found]) -> set[str]:
    """Return the folders that are no learner's: all lies in one, or several learners' files do."""
    inside: dict[str, list[str]] = {}
    for one in found:
        inside.setdefault(one.owner, []).append(_id_inside(one.path))
    return {owner for owner, ids in inside.items()
            if len(ids) > 1 and (len(inside) == 1 or len(set(ids)) > 1)}


def _in_utc(wall: tuple[int, int, int, int, int, int]) -> datetime:
    """Return the time of this machine's clock on the wall, 1980 if a zip file has no such time."""
    try:
        return datetime(*wall).astimezone(UTC)
    except ValueError:
        return datetime(1980, 1, 1, tzinfo=UTC)


def _hidden(parts: Sequence[str]) -> bool:
    return any(part.startswith(".") or part == "__MACOSX" for part in parts)


def _id_in_name(name: str, unit: str) -> str:
    """Return what stands before the exercise in a file's name; all of it if none is named."""
    name = re.sub(r" *\(\d+\)$", "", name)
    for asked in (unit, *UNITS):
        before = re.match(rf"(.*[ _-]|){asked}(?![a-z])", name, flags=re.IGNORECASE)
        if before:
            return before[1].rstrip(" _-")
    return name


def _id_inside(path: Path) -> str:
    """Return the id that is written in a notebook, "" if none but the guest's."""
    if path.stat().st_size > LARGEST:
        return ""
    try:
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        written = "".join(next(cell["source"] for cell in cells if cell["metadata"].get(
            "nbgrader", {}).get("grade_id") == LEARNER_CELL))
    except (ValueError, LookupError, TypeError, AttributeError, StopIteration, RecursionError):
        return ""
    found = re.search(r"^learner_id *= *([\"'])(.*)\1", written, flags=re.MULTILINE)
    return found[2] if found and found[2].strip().casefold() != GUEST else ""


def _owner(one: Found, unit: str) -> tuple[str, str]:
    """Return whose a file is, and how that was found if neither its name nor its folder says it."""
    for told, how in ((_id_in_name(one.name[:-len(ENDING)], unit), ""), (one.owner, ""),
                      (_id_inside(one.path), ", by the id that is written in it")):
        try:
            return tidy_id(told), how
        except InputError:
            continue
    return "", ""


def _take(folder: Path, unit: str, one: Found, learner: str, how: str, named: set[str]) -> Taken:
    if one.size > LARGEST:
        return Taken(one.shown, "", f"left: it has {one.size / 1e6:.0f} MB; up to "
                     f"{LARGEST / 1e6:.0f} MB are accepted. Ask for it again with the outputs "
                     "cleared.")
    if how and learner in named:
        return Taken(one.shown, "", f"left: {learner!r} is written in it, and another file is "
                     f"named so; if this is the right one, rename it to {learner}_{unit}.ipynb.")
    if not learner:
        return Taken(one.shown, "", "nobody's: neither its name, nor its folder, nor the notebook "
                     f"holds an id; rename it to ID_{unit}.ipynb.")
    problem = inspect_submission(one.path, unit)
    if "another notebook" in problem:
        return Taken(one.shown, "", f"left: {problem}")
    target = folder / "submitted" / learner / unit
    again = (target / f"{unit}.ipynb").exists()
    stamp, stamped = f"{one.when:%Y-%m-%d %H:%M:%S} UTC", target / "timestamp.txt"
    if again and stamped.exists() and stamped.read_text(encoding="utf-8") > stamp:
        return Taken(one.shown, learner,
                     "left: an older file than the one that is there already")
    target.mkdir(parents=True, exist_ok=True)
    beside = target / f".{unit}.new"
    shutil.copyfile(one.path, beside)
    write_whole(stamped, stamp)
    os.replace(beside, target / f"{unit}.ipynb")
    return Taken(one.shown, learner, ("again" if again else "new") + how)
