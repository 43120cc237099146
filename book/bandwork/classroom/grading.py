"""Grading a class: every submission is looked at, run, scored by nbgrader, and reported.

A submission that cannot be graded costs only its own learner a sentence. Learners' code runs as
you, on your machine: grade only people you would hand your keyboard to.
"""

import os
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import nbformat

from bandwork.classroom.checks import WRONG_UNIT, Exercise
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.learner import tidy_id
from bandwork.classroom.notebooks import course_config, nbgrader_api, open_class
from bandwork.classroom.plugins import FOLDER_VARIABLE
from bandwork.classroom.settings import ClassSettings, read_settings
from bandwork.classroom.work import LEARNER_VARIABLE
from bandwork.validation import InputError

LARGEST = 5_000_000
"""A notebook with more bytes than this is refused: our largest with all its plots has a tenth."""


@dataclass(frozen=True)
class Mark:
    """One learner's mark for one item.

    Attributes
    ----------
    item : str
        The item's key, or the name of a written answer.
    score, points : float
        What was earned, and what could be.
    by_hand : bool
        Whether it still waits for a person.
    message : str
        What the check said; "" if right, or by hand.
    slip : str
        The slip's name, "" if none was recognised.
    page : str
        Title of the page to read again, "" if none.
    """

    item: str
    score: float
    points: float
    by_hand: bool = False
    message: str = ""
    slip: str = ""
    page: str = ""


@dataclass(frozen=True)
class Result:
    """What became of one learner's submission.

    Attributes
    ----------
    learner : str
        The id.
    marks : tuple of Mark
        In the notebook's order; empty if it could not be graded.
    problem : str
        Why it could not be graded, in one sentence; "" if it was.
    hours_late : float
        After the time that this learner had [h]; 0 if in time.
    penalty : float
        What that costs [points]. `score` is still whole.
    notes : tuple of str
        What an instructor should look at.
    """

    learner: str
    marks: tuple[Mark, ...] = ()
    problem: str = ""
    hours_late: float = 0.0
    penalty: float = 0.0
    notes: tuple[str, ...] = ()

    @property
    def score(self) -> float:
        """Sum of the marks."""
        return sum(mark.score for mark in self.marks)


@dataclass(frozen=True)
class ClassResult:
    """One exercise of one class.

    Attributes
    ----------
    unit : str
        Which exercise.
    title : str
        What the report is called.
    columns : tuple of (str, str, float)
        Key, title and points of every graded cell, in order.
    results : tuple of Result
        Sorted by learner.
    """

    unit: str
    title: str
    columns: tuple[tuple[str, str, float], ...]
    results: tuple[Result, ...] = field(default=())

    @property
    def points(self) -> float:
        """Full marks."""
        return sum(points for _, _, points in self.columns)

    @property
    def slips(self) -> list[tuple[str, str, str, int]]:
        """Item title, slip, page to teach again, and how many made it; most first."""
        titles = {key: title for key, title, _ in self.columns}
        count: dict[tuple[str, str, str], int] = {}
        for result in self.results:
            for mark in result.marks:
                if mark.slip:
                    key = titles[mark.item], mark.slip, mark.page
                    count[key] = count.get(key, 0) + 1
        return sorted(((*key, number) for key, number in count.items()),
                      key=lambda row: (-row[3], row[0], row[1]))


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
    if path.is_symlink() or not path.is_file():
        return f"There is no file {path.name}; ask for it, under this name."
    if path.stat().st_size > LARGEST:
        return (f"{path.name} has {path.stat().st_size / 1e6:.0f} MB; up to {LARGEST / 1e6:.0f} MB "
                "are accepted. Ask for it again with the outputs cleared.")
    try:
        notebook = nbformat.reads(path.read_text(encoding="utf-8"), as_version=4)
        nbformat.validate(notebook)
    except Exception:
        return (f"{path.name} is damaged or is no notebook: it cannot be read. Ask the learner to "
                "download it once more and to hand in that file.")
    graded = [cell.metadata["nbgrader"].get("grade_id") for cell in notebook.cells
              if isinstance(cell.metadata.get("nbgrader"), dict)]
    twice = sorted({str(name) for name in graded if graded.count(name) > 1})
    if twice:
        return (f"{path.name} holds the cell {twice[0]!r} twice; ask the learner to delete the "
                "copy and to hand it in again.")
    held = {one: sum(f"check_{item.key}" in graded for item in exercise(one).items)
            for one in UNITS}
    most = max(held, key=held.__getitem__)
    if not held[unit] or held[unit] < held[most]:
        named = f" ({most!r})" if held[most] else ""
        return f"{path.name} is another notebook{named}, not the exercise {unit!r}."
    return ""


def grade(root: Path, folder: Path, unit: str, *, due: datetime | None = None,
          title: str = "", progress: Callable[[str], Any] = print) -> ClassResult:
    """Grade every submission to one exercise.

    Parameters
    ----------
    root : Path
        The course's folder.
    folder : Path
        The class: `folder/submitted/LEARNER/UNIT/UNIT.ipynb`. The gradebook and the graded
        notebooks are written beside it.
    unit : str
        Which exercise.
    due : datetime, optional
        When it was due, in UTC without time zone; what the class's settings say unless given, and
        nobody is late without either.
    title : str
        What the report is called.
    progress : callable
        Is given one line for each learner.

    Returns
    -------
    ClassResult

    Raises
    ------
    InputError
        If there is no submission at all, the class's settings are wrong, or the exercise has
        other cells than when this class handed it in before.
    """
    from nbgrader.api import Gradebook

    asked = exercise(unit)
    submitted = folder / "submitted"
    learners = sorted(path.name for path in submitted.glob("*") if (path / unit).is_dir())
    if not learners:
        raise InputError(f"{submitted} holds no submission to {unit!r}; put each learner's "
                         f"notebook at {submitted.name}/LEARNER/{unit}/{unit}.ipynb.")
    settings = read_settings(folder)
    due = due or settings.due.get(unit)
    for name in sorted(set(settings.more_hours) - {tidy_id(one) for one in learners}):
        progress(f"  class.toml gives more hours to {name!r}, who has not handed in.")
    open_class(root, folder, unit)
    api = nbgrader_api(root, folder)
    url = course_config(root, folder).CourseDirectory.db_url
    with Gradebook(url, "bandwork") as book:
        book.update_or_create_assignment(unit, duedate=due)
        for learner in learners:
            book.update_or_create_student(learner)
    columns = _columns(url, asked)
    results = []
    for number, learner in enumerate(learners, start=1):
        notebook = submitted / learner / unit / f"{unit}.ipynb"
        problem = inspect_submission(notebook, unit)
        if not problem:
            os.environ[LEARNER_VARIABLE] = learner
            os.environ[FOLDER_VARIABLE] = str(folder)
            with _without_nbgraders_warnings():
                outcome = api.autograde(unit, learner, force=True)
            del os.environ[LEARNER_VARIABLE]
            if not outcome["success"]:
                problem = _why_not(outcome["log"])
        with Gradebook(url, "bandwork") as book:
            if problem:
                with _without_nbgraders_warnings():
                    book.update_or_create_submission(unit, learner)
                result = Result(learner, problem=problem)
            else:
                graded = folder / "autograded" / learner / unit / f"{unit}.ipynb"
                result = _read_result(book, asked, learner, graded, settings)
        results.append(result)
        progress(f"  {number} of {len(learners)}  {learner}: "
                 + (problem or f"{result.score:g} of {sum(row[2] for row in columns):g}"))
    return ClassResult(unit, settings.title or title or unit, tuple(columns), tuple(results))


@contextmanager
def _without_nbgraders_warnings() -> Iterator[None]:
    """Silence what nbgrader's own use of its database sets off."""
    from sqlalchemy.exc import SAWarning

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", SAWarning)
        yield


def _columns(url: str, asked: Exercise) -> list[tuple[str, str, float]]:
    """Return key, title and points of every graded cell that the gradebook knows, in order."""
    from nbgrader.api import Gradebook

    with Gradebook(url, "bandwork") as book:
        known = {cell.name: float(cell.max_score)
                 for cell in book.find_notebook(asked.key, asked.key).grade_cells}
    columns = [(item.key, item.title, known.pop(f"check_{item.key}")) for item in asked.items]
    return columns + [(name, name.replace("_", " ").capitalize(), points)
                      for name, points in sorted(known.items())]


def _why_not(log: str) -> str:
    if "timed out" in log or "Timeout" in log:
        return "A cell ran longer than a minute; look for a loop that never ends."
    if "DeadKernel" in log or "Kernel died" in log:
        return "The notebook stopped Python itself; ask the learner to run it from the top."
    lines = [line.strip() for line in log.splitlines() if line.strip()]
    return f"nbgrader could not grade it: {lines[-1] if lines else 'no reason given'}"


STOPPED = ("The check ran longer than a minute and was stopped; look for a loop that never ends. "
           "If there is none, the machine was busy: grade it again.")


def _said(cell: Any) -> str:
    """Return what the check in a graded cell said of an answer that did not pass."""
    if any(output.get("ename") in ("CellTimeoutError", "KeyboardInterrupt")
           for output in cell.outputs):
        return STOPPED
    found = "".join(str(output.get("evalue", "")) for output in cell.outputs
                    if output.output_type == "error")
    printed = "".join(str(output.get("text", "")) for output in cell.outputs
                      if output.output_type == "stream")
    return found or (" ".join(printed.split()).removeprefix("Not yet. ")
                     if printed.startswith("Not yet. ") else "")


def _read_result(book: Any, asked: Exercise, learner: str, graded: Path,
                 settings: ClassSettings) -> Result:
    submission = book.find_submission(asked.key, learner)
    notebook = nbformat.read(graded, as_version=4)
    cells = {cell.metadata.nbgrader.grade_id: cell for cell in notebook.cells
             if "nbgrader" in cell.metadata}
    marks = {}
    for grade_row in submission.notebooks[0].grades:
        name = grade_row.name.removeprefix("check_")
        if name == grade_row.name:
            marks[name] = Mark(name, float(grade_row.score), float(grade_row.max_score),
                               by_hand=bool(grade_row.needs_manual_grade))
            continue
        said = _said(cells[grade_row.name])
        item = asked.item(name)
        slip = next((slip.name for slip in item.slips if slip.message in said),
                    "wrong unit" if WRONG_UNIT in said else "")
        marks[name] = Mark(name, float(grade_row.score), float(grade_row.max_score), message=said,
                           slip=slip, page=asked.pages[item.page] if said else "")
    order = [*(item.key for item in asked.items),
             *sorted(name for name in marks if name not in {item.key for item in asked.items})]
    notes = []
    shown = "".join(str(output.get("data", {}).get("text/plain", ""))
                    for output in cells["numbers"].get("outputs", ()))
    told = shown.partition("\n")[0].strip() or "the numbers cell did not run"
    common = settings.common_numbers
    if common and f"The whole class has those of {common!r}." not in shown:
        notes.append(f"Did not work with the common numbers of this class: {told}")
    elif f"Numbers of {tidy_id(learner)!r}." not in shown:
        what = "Wrote another id" if common else "Did not work with this id's numbers"
        notes.append(f"{what}: {told}")
    hours = submission.total_seconds_late / 3600
    return Result(learner, tuple(marks[name] for name in order),
                  hours_late=settings.hours_late(learner, hours),
                  penalty=settings.penalty(learner, submission.score, hours), notes=tuple(notes))
