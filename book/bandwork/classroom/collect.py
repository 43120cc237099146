"""Taking in what learners handed in: files as a mailbox, a platform or a memory stick has them."""

import json
import re
import shutil
import zipfile
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from bandwork.classroom.engine.intake import LARGEST, inspect_submission
from bandwork.classroom.items import UNITS
from bandwork.classroom.learner import GUEST, LEARNER_CELL, tidy_id
from bandwork.validation import InputError


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
    learner the later one counts. Hidden files, such as a Mac puts into a zip file, are passed over.
    Nothing in a file is run.

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
    found = sorted(_found(downloads, folder / ".incoming"), key=lambda one: one[2])
    try:
        if not found:
            raise InputError(f"{downloads} holds no notebook; name the folder or the zip file in "
                             "which the learners' .ipynb files lie.")
        shared = _shared_folders(found)
        found = [(path, "" if owner in shared else owner, when) for path, owner, when in found]
        return [_take(folder, unit, path, owner, when) for path, owner, when in found]
    finally:
        shutil.rmtree(folder / ".incoming", ignore_errors=True)


def _found(downloads: Path, room: Path) -> list[tuple[Path, str, datetime]]:
    """Return each notebook, the folder that it lies in ("" if none), when it was handed in."""
    if downloads.is_dir():
        return [(path, path.parent.name if path.parent != downloads else "",
                 datetime.fromtimestamp(path.stat().st_mtime, UTC))
                for path in downloads.rglob("*.ipynb")
                if not _hidden(path.relative_to(downloads).parts) and not path.is_symlink()
                and path.is_file()]
    if not zipfile.is_zipfile(downloads):
        raise InputError(f"{downloads} is neither a folder nor a zip file; name one of these.")
    taken = []
    with zipfile.ZipFile(downloads) as packed:
        for number, one in enumerate(packed.infolist()):
            if one.is_dir() or not one.filename.endswith(".ipynb") or one.file_size > LARGEST:
                continue
            parts = [part for part in re.split(r"[\\/]", one.filename) if part not in ("", "..")]
            if _hidden(parts):
                continue
            place = room / str(number) / "/".join(parts[-2:])
            place.parent.mkdir(parents=True, exist_ok=True)
            try:
                with packed.open(one) as inside:
                    body = inside.read(LARGEST + 1)
            except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, NotImplementedError):
                raise InputError(f"{downloads}: {one.filename} in it is damaged or locked with a "
                                 "password; unpack the zip file and name the folder.") from None
            place.write_bytes(body)
            owner = parts[-2] if len(parts) > 1 else ""
            taken.append((place, owner, _in_utc(one.date_time)))
    return taken


def _shared_folders(found: Sequence[tuple[Path, str, datetime]]) -> set[str]:
    """Return the folders that are no learner's: all lies in one, or several learners' files do."""
    inside: dict[str, list[str]] = {}
    for path, owner, _ in found:
        inside.setdefault(owner, []).append(_id_inside(path))
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
    except (ValueError, LookupError, TypeError, AttributeError, StopIteration):
        return ""
    found = re.search(r"^learner_id *= *([\"'])(.*)\1", written, flags=re.MULTILINE)
    return found[2] if found and found[2].strip().casefold() != GUEST else ""


def _owner(path: Path, unit: str, owner: str) -> tuple[str, str]:
    """Return whose a file is, and how that was found if neither its name nor its folder says it."""
    for told, how in ((_id_in_name(path.stem, unit), ""), (owner, ""),
                      (_id_inside(path), ", by the id that is written in it")):
        try:
            return tidy_id(told), how
        except InputError:
            continue
    return "", ""


def _take(folder: Path, unit: str, path: Path, owner: str, when: datetime) -> Taken:
    shown = f"{owner}/{path.name}" if owner else path.name
    learner, how = _owner(path, unit, owner)
    if not learner:
        return Taken(shown, "", "nobody's: neither its name, nor its folder, nor the notebook "
                     f"holds an id; rename it to ID_{unit}.ipynb.")
    problem = inspect_submission(path, unit)
    if "another notebook" in problem:
        return Taken(shown, "", f"left: {problem}")
    target = folder / "submitted" / learner / unit
    again = (target / f"{unit}.ipynb").exists()
    stamp, stamped = f"{when:%Y-%m-%d %H:%M:%S} UTC", target / "timestamp.txt"
    if again and stamped.exists() and stamped.read_text(encoding="utf-8") > stamp:
        return Taken(shown, learner, "left: an older file than the one that is there already")
    target.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(path, target / f"{unit}.ipynb")
    stamped.write_text(stamp, encoding="utf-8")
    return Taken(shown, learner, ("again" if again else "new") + how)
