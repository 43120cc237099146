"""What nbgrader and nbconvert ask of us while they grade and give feedback."""

import os
from pathlib import Path
from typing import Any

from nbconvert.preprocessors import Preprocessor
from nbformat import NotebookNode
from nbgrader.plugins import LateSubmissionPlugin
from traitlets import Bool

from bandwork.classroom.settings import read_settings

FOLDER_VARIABLE = "BANDWORK_CLASS"
"""Environment variable in which the grader says which class it grades."""


class LatePenalty(LateSubmissionPlugin):  # type: ignore[misc]
    """Nbgrader's question what a late submission loses, answered from `class.toml`."""

    def late_submission_penalty(self, student_id: str, score: float,
                                total_seconds_late: float) -> float:
        """Return the points to take off.

        Parameters
        ----------
        student_id : str
            Who.
        score : float
            What the answers earned [points].
        total_seconds_late : float
            After the due time [s].

        Returns
        -------
        float
            In points [points].
        """
        settings = read_settings(Path(os.environ[FOLDER_VARIABLE]))
        return settings.penalty(student_id, score, total_seconds_late / 3600)


class SentenceForTraceback(Preprocessor):
    """Puts the last line in place of a traceback, which would show the code of hidden tests."""

    enabled = Bool(True).tag(config=True)

    def preprocess_cell(self, cell: NotebookNode, resources: Any, index: int
                        ) -> tuple[NotebookNode, Any]:
        """Change one cell's error outputs.

        Parameters
        ----------
        cell : NotebookNode
            Changed in place.
        resources : dict
            Handed on.
        index : int
            Which cell it is.

        Returns
        -------
        NotebookNode
        dict
        """
        for output in cell.get("outputs", ()):
            if output.output_type == "error":
                named = "Not yet." if output.ename == "NotYet" else f"{output.ename}:"
                output.traceback = [f"{named} {output.evalue}"]
        return cell, resources
