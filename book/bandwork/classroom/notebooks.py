"""From the text in `solutions/` to the notebooks that learners receive.

A source is a MyST Markdown notebook. A cell that learners fill in carries `role: answer ITEM`, the
cell that checks it `role: check ITEM`, and a written answer `role: written NAME POINTS`. Points
come from the item, and nbgrader's own metadata is made here, so a source holds no bookkeeping.
"""

import logging
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Callable, Mapping
from hashlib import sha256
from pathlib import Path
from typing import Any

import jupytext
import nbformat
from nbformat import NotebookNode
from traitlets.config import Config

from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.settings import read_settings
from bandwork.validation import InputError
from bandwork.writing import WHAT_HELPS, write_alone, write_whole

SOLUTION_BEGIN, SOLUTION_END = "### BEGIN SOLUTION", "### END SOLUTION"
STAMPS = "opened"
"""The folder of a class that says which exercises it was opened with."""
KERNEL = {"name": "python3", "display_name": "Python 3", "language": "python"}


def read_source(root: Path, unit: str) -> NotebookNode:
    """Return a unit's exercise as nbgrader wants its source: with answers and hidden tests.

    Parameters
    ----------
    root : Path
        The course's folder.
    unit : str
        Which exercise.

    Returns
    -------
    NotebookNode
        Every cell has a readable id; graded cells have nbgrader's metadata.

    Raises
    ------
    InputError
        If the source is missing, a role is not known, or an item has no answer or check cell.
    """
    asked = exercise(unit)
    path = root / "solutions" / unit / f"{unit}.md"
    if not path.is_file():
        raise InputError(f"{path} is not there; run this in the course's folder, which holds "
                         "solutions/.")
    notebook = jupytext.read(path)
    seen: dict[str, list[str]] = {"answer": [], "check": []}
    for position, cell in enumerate(notebook.cells):
        role = cell.metadata.pop("role", "")
        cell.id = f"text-{position}" if cell.cell_type == "markdown" else f"cell-{position}"
        cell.metadata = NotebookNode()
        if not role:
            continue
        kind, _, rest = role.partition(" ")
        if kind == "answer":
            seen["answer"].append(rest)
            _mark(cell, rest, solution=True)
        elif kind == "check":
            seen["check"].append(rest)
            _mark(cell, f"check_{rest}", grade=True, locked=True, points=asked.item(rest).points)
        elif kind == "written":
            name, _, points = rest.partition(" ")
            _mark(cell, name, grade=True, solution=True, points=int(points))
        elif kind == "fixed":
            _mark(cell, rest, locked=True)
        else:
            raise InputError(f"{path.name} has a cell with role {role!r}; accepted are 'answer "
                             "ITEM', 'check ITEM', 'written NAME POINTS' and 'fixed NAME'.")
    items = [item.key for item in asked.items]
    if seen["check"] != items or [key for key in seen["answer"] if key in items] != items:
        raise InputError(f"{path.name} asks for {seen['check']}, but the exercise has {items}, in "
                         "this order; give every item one answer cell and one check cell.")
    notebook.metadata = NotebookNode(kernelspec=NotebookNode(KERNEL),
                                     language_info=NotebookNode(name="python"))
    nbformat.validate(notebook)
    return notebook


def _mark(cell: NotebookNode, name: str, *, grade: bool = False, solution: bool = False,
          locked: bool = False, points: int | None = None) -> None:
    cell.id = name.replace("_", "-")
    cell.metadata.nbgrader = NotebookNode(
        schema_version=3, grade_id=name, grade=grade, solution=solution, locked=locked, task=False,
        cell_type=cell.cell_type)
    if points is not None:
        cell.metadata.nbgrader.points = points


def course_config(root: Path, folder: Path) -> Config:
    """Return nbgrader's settings for a class whose work lies in `folder`.

    Parameters
    ----------
    root : Path
        The course's folder: it holds solutions/ and exercises/.
    folder : Path
        Where submissions, gradebook, feedback and reports of one class lie.

    Returns
    -------
    Config
        The same settings as `nbgrader_config.py`.
    """
    def inside(path: Path) -> str:
        return str(path.relative_to(root)) if path.is_relative_to(root) else str(path)

    from nbconvert.preprocessors import CSSHTMLHeaderPreprocessor
    from nbgrader.preprocessors import ClearHiddenTests, GetGrades

    from bandwork.classroom.plugins import (
        FormulaToMathML,
        LatePenalty,
        SentenceForTraceback,
        clean_html,
        clean_markdown,
    )

    config = Config()
    config.CourseDirectory.root = str(root)
    config.CourseDirectory.course_id = "bandwork"
    config.CourseDirectory.db_url = f"sqlite:///{(folder / 'gradebook.db').as_posix()}"
    for step in ("source", "release", "submitted", "autograded", "feedback"):
        setattr(config.CourseDirectory, f"{step}_directory", inside(folder / step))
    config.ClearSolutions.code_stub = {"python": ""}
    config.ClearSolutions.text_stub = "*Write your answer here.*"
    config.OverwriteCells.add_missing_cells = True
    config.ExecutePreprocessor.timeout = 60
    config.AssignLatePenalties.plugin_class = LatePenalty
    config.LatePenalty.folder = str(folder)
    config.HTMLExporter.sanitize_html = True
    config.HTMLExporter.filters = {"clean_html": clean_html, "markdown2html": clean_markdown}
    config.GenerateFeedback.preprocessors = [GetGrades, ClearHiddenTests, SentenceForTraceback,
                                             FormulaToMathML, CSSHTMLHeaderPreprocessor]
    config.NbGrader.logfile = ""
    config.Exchange.root = str(folder)
    return config


def nbgrader_api(root: Path, folder: Path) -> Any:
    """Return nbgrader's programming interface for one class.

    Parameters
    ----------
    root, folder : Path
        As `course_config`.

    Returns
    -------
    nbgrader.apps.NbGraderAPI
    """
    from nbgrader.apps import NbGraderAPI

    beside_python = str(Path(sys.executable).parent)
    if beside_python not in os.environ["PATH"].split(os.pathsep):
        os.environ["PATH"] = beside_python + os.pathsep + os.environ["PATH"]
    logging.getLogger("traitlets").setLevel(logging.CRITICAL)
    return NbGraderAPI(config=course_config(root, folder))


def why(told: Mapping[str, Any]) -> str:
    """Return why nbgrader did not do something.

    Parameters
    ----------
    told : mapping
        What its programming interface returned.

    Returns
    -------
    str
        A sentence if a file could not be used, nbgrader's own last words if not.
    """
    log = f"{told.get('error', '')}\n{told.get('log', '')}"
    found = re.search(r"\(sqlite3\.\w+\) (.+)|\[Errno \d+\] (.+)", log)
    return f"{found[1] or found[2]}. {WHAT_HELPS}" if found else log.strip()[-300:]


def open_class(root: Path, folder: Path, unit: str) -> Path:
    """Make an exercise known to a class: its source, its gradebook's rows, its release.

    Parameters
    ----------
    root : Path
        The course's folder.
    folder : Path
        The class.
    unit : str
        Which exercise.

    Returns
    -------
    Path
        The notebook to hand out: answers, hidden tests and marking schemes taken out.

    Raises
    ------
    InputError
        If the source or the class's settings are wrong, or the class has handed in an exercise
        with other cells.
    """
    settings = read_settings(folder)
    notebook = read_source(root, unit)
    source = folder / "source" / unit
    source.mkdir(parents=True, exist_ok=True)
    if settings.common_numbers:
        _share_numbers(notebook, settings.common_numbers)
    made, stamp = folder / "release" / unit / f"{unit}.ipynb", folder / STAMPS / f"{unit}.txt"
    text = nbformat.writes(notebook)
    if (folder / "gradebook.db").exists() and stamp.exists() and made.exists() \
            and stamp.read_text(encoding="utf-8") == _hash(text, made):
        return made
    stamp.unlink(missing_ok=True)
    write_alone(source / f"{unit}.ipynb", text)
    result = nbgrader_api(root, folder).generate_assignment(unit, force=True)
    if not result["success"]:
        if "submissions associated" in result["log"]:
            raise InputError(f"The exercise {unit!r} has other cells than when {folder} "
                             "handed it in; begin a new class folder, or go back to that version.")
        raise InputError(f"nbgrader refused the exercise {unit!r}: {why(result)}")
    _settle(made)
    stamp.parent.mkdir(exist_ok=True)
    write_whole(stamp, _hash(text, made))
    return made


def _hash(source: str, made: Path) -> str:
    """Return what an opened exercise is recognised by: its source and its released notebook."""
    return sha256(source.encode() + made.read_bytes()).hexdigest()


def _share_numbers(notebook: NotebookNode, name: str) -> None:
    """Let everybody work with the numbers of one name."""
    for cell in notebook.cells:
        cell.source = cell.source.replace("learner_id)", f"learner_id, numbers_of={name!r})") \
            if cell.id == "numbers" else cell.source


def release(root: Path, progress: Callable[[str], Any] = print) -> list[Path]:
    """Make `exercises/` from `solutions/`.

    Parameters
    ----------
    root : Path
        The course's folder.
    progress : callable
        Is given one line for each notebook.

    Returns
    -------
    list of Path
        The notebooks made. An older one stays until the new one is whole.

    Raises
    ------
    InputError
        If a source is wrong, or nbgrader refuses it.
    """
    made = []
    with tempfile.TemporaryDirectory() as place:
        for unit in UNITS:
            new = open_class(root, Path(place), unit)
            target = root / "exercises" / unit / new.name
            target.parent.mkdir(parents=True, exist_ok=True)
            beside = target.with_name(f".{new.name}.new")
            shutil.copyfile(new, beside)
            os.replace(beside, target)
            made.append(target)
            progress(f"  exercises/{unit}/{unit}.ipynb")
    return made


def _settle(path: Path) -> None:
    """Write a released notebook in one fixed form, so that it can be compared."""
    notebook = nbformat.read(path, as_version=4)
    notebook.metadata = NotebookNode(kernelspec=NotebookNode(KERNEL),
                                     language_info=NotebookNode(name="python"))
    nbformat.write(notebook, path)
