"""Into nbgrader's gradebook: a learner's scores in one transaction, or not at all."""

import copy
import logging
import os
import shutil
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode
from nbgrader.api import (
    BaseCell,
    Grade,
    Gradebook,
    InvalidEntry,
    Student,
    SubmittedAssignment,
    SubmittedNotebook,
)
from nbgrader.preprocessors import LimitOutput, NbGraderPreprocessor
from nbgrader.preprocessors import SaveAutoGrades as Save
from nbgrader.utils import parse_utc
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError, IntegrityError, OperationalError, SAWarning
from sqlalchemy.orm import scoped_session, sessionmaker

from bandwork.classroom.settings import ClassSettings
from bandwork.validation import InputError
from bandwork.writing import WHAT_HELPS

INDEXES = {"grade": "notebook_id", "comment": "notebook_id", "submitted_notebook": "assignment_id"}
"""Without them nbgrader looks for one learner's rows among those of all."""


class Rows:
    """One submission's rows, as nbgrader's preprocessors ask a gradebook for them.

    Parameters
    ----------
    notebook : SubmittedNotebook
        The gradebook's.
    """

    def __init__(self, notebook: Any) -> None:
        self._grades = {row.name: row for row in notebook.grades}
        self._comments = {row.name: row for row in notebook.comments}
        self.db = self

    def find_grade(self, name: str, *_: str) -> Any:
        """Return the row of a graded cell."""
        return self._grades[name]

    def find_comment(self, name: str, *_: str) -> Any:
        """Return the row of a cell's comment."""
        return self._comments[name]

    def commit(self) -> None:
        """Wait: everything of a learner is written at once."""


class SaveAutoGrades(Save):  # type: ignore[misc]
    """nbgrader's `SaveAutoGrades`, with rows that were read together."""

    def preprocess(self, nb: NotebookNode, resources: Any) -> tuple[NotebookNode, Any]:
        """Save the scores of all cells."""
        self.notebook_id = self.assignment_id = self.student_id = ""
        self.gradebook = resources["rows"]
        return NbGraderPreprocessor.preprocess(self, nb, resources)


@contextmanager
def gradebook(url: str) -> Iterator[Gradebook]:
    """Open a class's gradebook, and say in a sentence if it can't be used.

    Parameters
    ----------
    url : str
        Of the database.

    Yields
    ------
    Gradebook

    Raises
    ------
    InputError
        If it is locked by another program, may not be written, is damaged, or there is no room.
    """
    logging.getLogger("tornado.application").setLevel(logging.CRITICAL)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", SAWarning)
            with Gradebook(url, "bandwork") as book:
                with book.engine.begin() as connection:
                    for table, column in INDEXES.items():
                        connection.execute(text(f"CREATE INDEX IF NOT EXISTS bandwork_{table} "
                                                f"ON {table} ({column})"))
                yield book
    except (DatabaseError, InvalidEntry) as problem:
        told = problem if isinstance(problem, DatabaseError) else problem.__context__
        if isinstance(told, (OperationalError, IntegrityError)):
            raise InputError(f"The gradebook can't be used: {told.orig}. {WHAT_HELPS}") from None
        if not isinstance(told, DatabaseError):
            raise
        raise InputError(f"The gradebook {url.removeprefix('sqlite:///')} is damaged: {told.orig}. "
                         "Put a copy of it in its place. If there is none, move it away and grade "
                         "again; only what was marked by hand is to be marked once more.") from None


@contextmanager
def _at_once(book: Gradebook) -> Iterator[None]:
    """Let all that happens in the gradebook meanwhile be one transaction."""
    usual = book.db
    with book.engine.connect() as connection, connection.begin():
        book.db = scoped_session(sessionmaker(bind=connection, expire_on_commit=False,
                                              join_transaction_mode="rollback_only"))
        try:
            yield
            book.db.flush()
        finally:
            book.db.remove()
            book.db = usual


def save(book: Gradebook, unit: str, learner: str, executed: bytes | None, stamp: str | None,
         settings: ClassSettings, autograded: Path) -> tuple[NotebookNode | None, float, float]:
    """Save one learner's scores.

    Parameters
    ----------
    book : Gradebook
        The class's.
    unit, learner : str
        Whose work on what.
    executed : bytes or None
        Of `execute`; None if it could not be graded, which gives 0 everywhere.
    stamp : str or None
        When it was handed in.
    settings : ClassSettings
        What late work costs.
    autograded : Path
        Where nbgrader looks for the notebook.

    Returns
    -------
    NotebookNode or None
        What nbgrader will show.
    float
        Hours between the due time and the hand-in, negative before it [h].
    float
        The score, late penalty not taken off [points].
    """
    made = None
    with _at_once(book):
        book.update_or_create_student(learner)
        submission = book.update_or_create_submission(unit, learner)
        submission.timestamp = parse_utc(stamp) if stamp else None
        notebook = submission.notebooks[0]
        if executed is None:
            for row in notebook.grades:
                row.auto_score, row.needs_manual_grade = 0.0, False
        else:
            made = nbformat.v4.reads(executed.decode())
            shown = [copy.deepcopy(cell.get("outputs")) for cell in made.cells]
            resources = {"rows": Rows(notebook)}
            for step in (LimitOutput, SaveAutoGrades):
                made, resources = step()(made, resources)
            if shown != [cell.get("outputs") for cell in made.cells]:
                executed = nbformat.v4.writes(made).encode()
        due, handed_in = submission.assignment.duedate, submission.timestamp
        hours = (handed_in - due).total_seconds() / 3600 if due and handed_in else 0.0
        score = sum((row.auto_score if row.manual_score is None else row.manual_score) or 0.0
                    for row in notebook.grades)
        penalty = settings.penalty(learner, score, hours) if hours > 0 else 0.0
        notebook.late_submission_penalty = min(max(penalty, 0.0), score) or None
        _write(autograded, executed, stamp)
    return made, hours, score


def _write(autograded: Path, executed: bytes | None, stamp: str | None) -> None:
    """Put a notebook where nbgrader looks for it, whole; take an older one away."""
    if executed is None:
        shutil.rmtree(autograded.parent, ignore_errors=True)
        return
    autograded.parent.mkdir(parents=True, exist_ok=True)
    beside = autograded.with_name(f".{autograded.name}.new")
    beside.write_bytes(executed)
    os.replace(beside, autograded)
    stamped = autograded.with_name("timestamp.txt")
    stamped.unlink(missing_ok=True)
    if stamp:
        stamped.write_text(stamp, encoding="utf-8")


def rows(book: Gradebook, unit: str) -> dict[str, dict[str, tuple[float, bool]]]:
    """Return every learner's score of every graded cell, and whether a person has to mark it.

    Parameters
    ----------
    book : Gradebook
        The class's.
    unit : str
        Which exercise.

    Returns
    -------
    dict
        Learner -> cell -> (score, by hand).
    """
    found = (book.db.query(Student.id, BaseCell.name, Grade.score, Grade.needs_manual_grade)
             .join(SubmittedAssignment, SubmittedAssignment.student_id == Student.id)
             .join(SubmittedNotebook, SubmittedNotebook.assignment_id == SubmittedAssignment.id)
             .join(Grade, Grade.notebook_id == SubmittedNotebook.id)
             .join(BaseCell, BaseCell.id == Grade.cell_id)
             .filter(SubmittedAssignment.assignment_id == book.find_assignment(unit).id))
    told: dict[str, dict[str, tuple[float, bool]]] = {}
    for learner, name, score, by_hand in found:
        told.setdefault(learner, {})[name] = (float(score or 0), bool(by_hand))
    return told
