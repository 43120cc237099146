"""Putting the instructor's cells back, with nbgrader's own preprocessors."""

import json
import re
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode
from nbgrader.api import Gradebook, MissingEntry
from nbgrader.preprocessors import (
    CheckCellMetadata,
    ClearOutput,
    DeduplicateIds,
    NbGraderPreprocessor,
    OverwriteCells,
)

from bandwork.classroom.engine.execute import ABOUT, checks_in
from bandwork.classroom.engine.intake import put_right, read_submission
from bandwork.validation import InputError

ANSWERS = re.compile(r"\._exercise\b|\.right\s*\(|\bclassroom\b[\w\s.]{0,80}\b(items|key)\b")
"""What code says that asks the library for the right answers, unless it hides that."""

class Release:
    """What a class was handed out, as the gradebook and the released notebook have it.

    It answers what nbgrader's preprocessors ask a gradebook, from memory.

    Parameters
    ----------
    book : Gradebook
        The class's.
    path : Path
        The released notebook.
    unit : str
        Which exercise.

    Attributes
    ----------
    notebook : NotebookNode
        As handed out.
    points : dict of str to float
        Graded cell -> full marks.

    Raises
    ------
    InputError
        If a graded cell holds something else than calls of `work.check`.
    """

    def __init__(self, book: Gradebook, path: Path, unit: str) -> None:
        self.unit = unit
        self.notebook = nbformat.read(path, as_version=4)
        self._record = book.find_notebook(unit, unit)
        self._source = {cell.name: cell for cell in self._record.source_cells}
        self._graded = {cell.name: cell for cell in self._record.grade_cells}
        self.points = {name: float(cell.max_score) for name, cell in self._graded.items()}
        for name, cell in self._source.items():
            if name in self._graded and cell.cell_type == "code" and not checks_in(cell.source):
                raise InputError(f"The graded cell {name!r} of {unit!r} holds something else than "
                                 "work.check(...), which can't be judged outside of the box.")
        seen = nbformat.from_dict(self.notebook)
        for step in (Overwrite, CheckCellMetadata):
            seen, _ = step()(seen, {"release": self})
        self._marks = _marks(seen)

    def check(self, made: NotebookNode) -> None:
        """Let nbgrader check its marks on the cells, unless they are those of the release."""
        if _marks(made) != self._marks:
            CheckCellMetadata()(made, {})

    def find_source_cell(self, name: str, *_: str) -> Any:
        """Return the instructor's cell."""
        try:
            return self._source[name]
        except KeyError:
            raise MissingEntry(name) from None

    def find_graded_cell(self, name: str, *_: str) -> Any:
        """Return what the gradebook holds of a graded cell."""
        return self._graded[name]

    def find_notebook(self, *_: str) -> Any:
        """Return the gradebook's record of the notebook."""
        return self._record


def _marks(made: NotebookNode) -> list[NotebookNode]:
    return sorted((cell.metadata.nbgrader for cell in made.cells if "nbgrader" in cell.metadata),
                  key=lambda mark: mark.get("grade_id", ""))


class Overwrite(OverwriteCells):  # type: ignore[misc]
    """nbgrader's `OverwriteCells`, asking a `Release` in place of a database."""

    def preprocess(self, nb: NotebookNode, resources: Any) -> tuple[NotebookNode, Any]:
        """Overwrite the cells of a notebook."""
        self.notebook_id = self.assignment_id = resources["release"].unit
        self.gradebook = resources["release"]
        nb, resources = NbGraderPreprocessor.preprocess(self, nb, resources)
        return self.add_missing_grade_cells(nb, resources)


def sanitise(path: Path, release: Release, learner: str, inside: Path) -> tuple[bytes, list[str]]:
    """Return what is to be executed of a submission, and what was mended in it.

    Parameters
    ----------
    path : Path
        The notebook handed in.
    release : Release
        What was handed out.
    learner : str
        Who handed it in.
    inside : Path
        The folder of the submissions.

    Returns
    -------
    bytes
        For `execute`.
    list of str

    Raises
    ------
    RefusedError
        If it cannot be graded.
    """
    made = read_submission(path, release.unit, inside)
    notes = put_right(made, release.notebook)
    made.metadata = NotebookNode(json.loads(json.dumps(release.notebook.metadata)))
    resources: dict[str, Any] = {"release": release}
    for step in (ClearOutput, DeduplicateIds, Overwrite):
        made, resources = step()(made, resources)
    release.check(made)
    ours = {cell.source for cell in release.notebook.cells}
    named = [found[0][:80] for cell in made.cells if cell.cell_type == "code"
             and cell.source not in ours and (found := ANSWERS.search(cell.source))]
    if named:
        notes.append(f"Its code names where the library keeps the answers ({named[0]!r}); ask the "
                     "learner to explain one item.")
    made.metadata[ABOUT] = {"unit": release.unit, "learner": learner}
    return json.dumps(made).encode(), notes
