"""Taking in one submission without running it: the right notebook, whole, and put right.

What is unambiguous is mended and noted: an instructor's cell that was deleted, copied or turned
into text. What is not is refused in one sentence that the instructor can pass on.
"""

import json
import os
import stat
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode

from bandwork.classroom.items import UNITS, exercise

LARGEST = 5_000_000
"""A notebook with more bytes than this is refused: our largest with all its plots has a tenth."""
MOST_CELLS = 1_000
DAMAGED = ("{} is damaged or is no notebook: it cannot be read. Ask the learner to download it "
           "once more and to hand in that file.")


class RefusedError(Exception):
    """A submission that is not graded; the message says why and what to ask for."""


def read_submission(path: Path, unit: str, inside: Path | None = None) -> NotebookNode:
    """Return a submission's cells, without outputs and with nbgrader's names as only metadata.

    Parameters
    ----------
    path : Path
        The notebook handed in.
    unit : str
        Which exercise it should be.
    inside : Path, optional
        The folder in which it must really lie, all links followed.

    Returns
    -------
    NotebookNode

    Raises
    ------
    RefusedError
        If it is missing, a link, too large, damaged or another notebook.
    """
    made = _cells(_text(path, inside), path.name)
    names = {cell.metadata.nbgrader.grade_id for cell in made.cells if cell.metadata}
    most = max(UNITS, key=lambda one: (_known(names, one), one == unit))
    if not _known(names, unit) or most != unit:
        named = f" ({most!r})" if _known(names, most) else ""
        raise RefusedError(f"{path.name} is another notebook{named}, not the exercise {unit!r}.")
    return made


def inspect_submission(path: Path, unit: str) -> str:
    """Return why a submission cannot be graded, "" if it can. Nothing in it is run.

    Parameters
    ----------
    path : Path
        The notebook handed in.
    unit : str
        Which exercise it should be.

    Returns
    -------
    str
        One sentence, or "".
    """
    try:
        read_submission(path, unit)
    except RefusedError as refusal:
        return str(refusal)
    return ""


def _known(names: set[str], unit: str) -> float:
    checks = {f"check_{item.key}" for item in exercise(unit).items}
    return len(checks & names) / len(checks)


def _text(path: Path, inside: Path | None) -> str:
    try:
        return _read(path.absolute(), inside)
    except OSError as problem:
        raise RefusedError(f"{path.name} can't be read: {problem.strerror}; put a copy of it in "
                           "its place.") from None


def _read(where: Path, inside: Path | None) -> str:
    if not where.is_file() and not where.is_symlink():
        raise RefusedError(f"There is no file {where.name}; ask for it, under this name.")
    real = where.parent.resolve() / where.name
    if where.is_symlink() or (inside and not real.is_relative_to(inside.resolve())):
        raise RefusedError(f"{where.name} is a link to another file; ask for the file itself.")
    with open(os.open(where, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0)), "rb") as file:
        about = os.fstat(file.fileno())
        if not stat.S_ISREG(about.st_mode) or about.st_nlink > 1:
            raise RefusedError(f"{where.name} is a link to another file; put a copy of it in its "
                               "place.")
        body = file.read(LARGEST + 1)
    if len(body) > LARGEST:
        raise RefusedError(f"{where.name} has {about.st_size / 1e6:.0f} MB; up to "
                           f"{LARGEST / 1e6:.0f} MB are accepted. Ask for it again with the "
                           "outputs cleared.")
    try:
        return body.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise RefusedError(DAMAGED.format(where.name)) from None


def _cells(text: str, name: str) -> NotebookNode:
    try:
        given = json.loads(text)
        if given["nbformat"] != 4:
            given = nbformat.convert(nbformat.reads(text, as_version=nbformat.NO_CONVERT), 4)
        cells = [_cell(number, cell) for number, cell in enumerate(given["cells"][:MOST_CELLS + 1])]
        made = NotebookNode(cells=cells, metadata=NotebookNode(), nbformat=4, nbformat_minor=5)
        nbformat.validate(made)
    except Exception:
        raise RefusedError(DAMAGED.format(name)) from None
    if len(cells) > MOST_CELLS:
        raise RefusedError(f"{name} has more than {MOST_CELLS} cells; ask for it without those "
                           "that are not needed.")
    return made


def _cell(number: int, given: Mapping[str, Any]) -> NotebookNode:
    source = given["source"]
    text = (source if isinstance(source, str) else "".join(source)).encode(
        "utf-8", "replace").decode()
    kind = given["cell_type"]
    made = _new(kind if kind in ("code", "markdown") else "raw", text)
    made.id = f"handed-in-{number}"
    mark = given.get("metadata", {}).get("nbgrader")
    if isinstance(mark, dict) and isinstance(mark.get("grade_id"), str):
        made.metadata = NotebookNode(nbgrader=NotebookNode(grade_id=mark["grade_id"]))
    return made


def _new(kind: str, text: str) -> NotebookNode:
    made = NotebookNode(cell_type=kind, metadata=NotebookNode(), source=text)
    if kind == "code":
        made.outputs, made.execution_count = [], None
    return made


def put_right(made: NotebookNode, released: NotebookNode) -> list[str]:
    """Give a submission every cell of the released notebook once, in kind and name as released.

    Parameters
    ----------
    made : NotebookNode
        Of `read_submission`; changed in place.
    released : NotebookNode
        As handed out.

    Returns
    -------
    list of str
        What was mended, in sentences for the instructor.

    Raises
    ------
    RefusedError
        If two written answers to one question differ.
    """
    theirs = {cell.metadata.nbgrader.grade_id: cell for cell in released.cells
              if "nbgrader" in cell.metadata}
    notes: list[str] = []
    place: dict[str, list[int]] = {}
    for number, cell in enumerate(made.cells):
        name = cell.metadata.get("nbgrader", {}).get("grade_id")
        cell.metadata = NotebookNode()
        if name in theirs:
            place.setdefault(name, []).append(number)
    leave: set[int] = set()
    kept: dict[str, int] = {}
    for name, found in place.items():
        kept[name] = _choose(name, found, made.cells, theirs[name])
        if len(found) > 1:
            notes.append(f"The cell {name!r} was there {len(found)} times.")
            if theirs[name].metadata.nbgrader.locked or theirs[name].metadata.nbgrader.grade:
                leave |= set(found) - {kept[name]}
    named = {number: name for name, number in kept.items()}
    cells: list[NotebookNode] = []
    where: dict[str, NotebookNode] = {}
    for number, cell in enumerate(made.cells):
        if number in leave:
            continue
        if number in named:
            name = named[number]
            released_cell = theirs[name]
            if cell.cell_type != released_cell.cell_type:
                notes.append(f"The cell {name!r} had become {cell.cell_type}.")
                cell = _new(released_cell.cell_type, cell.source)
            cell.metadata = NotebookNode(nbgrader=NotebookNode(released_cell.metadata.nbgrader))
            where[name] = cell
        cells.append(cell)
    before = None
    for name, released_cell in theirs.items():
        if name not in where:
            notes.append(f"The cell {name!r} had been deleted.")
            where[name] = NotebookNode(json.loads(json.dumps(released_cell)))
            at = next((number + 1 for number, one in enumerate(cells)
                       if before and one is where[before]), 0)
            cells.insert(at, nbformat.from_dict(where[name]))
            where[name] = cells[at]
        before = name
    notes += [f"A picture was pasted into {name!r}; it is shown in the notebook handed in alone."
              for name, cell in where.items()
              if cell.cell_type == "markdown" and "(attachment:" in cell.source]
    order = [name for cell in cells for name, one in where.items() if one is cell]
    if order != list(theirs):
        notes.append("Its cells stand in another order than in the notebook handed out.")
    for number, cell in enumerate(cells):
        cell.id = f"cell-{number}"
    made.cells = cells
    return notes


def _choose(name: str, found: Sequence[int], cells: Sequence[NotebookNode],
            released: NotebookNode) -> int:
    """Return which of several copies of a cell counts."""
    mark = released.metadata.nbgrader
    if mark.grade and mark.solution:
        written = {cells[number].source: number for number in found
                   if cells[number].source.strip() != released.source.strip()}
        if len(written) > 1:
            raise RefusedError(f"The notebook holds the cell {name!r} twice, with different texts; "
                               "ask the learner which of them counts, and for that notebook.")
        return next(iter(written.values()), found[-1])
    return found[-1] if mark.grade or mark.solution else found[0]
