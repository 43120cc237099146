"""An invented class, made by a script: it shows the whole way from hand-in to report.

The club and every learner are made up. Each learner's plan says, item by item, what they do: the
right thing, a named slip, or nothing.
"""

import shutil
import sys
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import nbformat

from bandwork.classroom.items import exercise
from bandwork.classroom.learner import LEARNER_CELL
from bandwork.classroom.notebooks import SOLUTION_BEGIN, SOLUTION_END, read_source
from bandwork.classroom.work import Work

UNIT = "stretch"
"""The exercise that the class hands in."""
TITLE = "Lantern Quay Dive Club, autumn class (invented)"
DUE = datetime(2026, 11, 20, 20, 0)
IN_TIME = "2026-11-20 18:30:00 UTC"
TOO_LATE = "2026-11-21 09:15:00 UTC"


@dataclass(frozen=True)
class Learner:
    """One invented learner.

    Parameters
    ----------
    name : str
        The id.
    slips : mapping of str to str
        Item -> slip that they make.
    done : int
        How many items they do before they stop; the rest stays as released.
    writes : str
        The written answer; "" leaves it as released.
    handed_in : str
        Time stamp.
    other : mapping of str to str
        Item -> line of code in place of an answer.
    damaged : bool
        Whether the file is broken off in the middle.
    """

    name: str
    slips: dict[str, str] = field(default_factory=dict)
    done: int = 99
    writes: str = ""
    handed_in: str = IN_TIME
    other: dict[str, str] = field(default_factory=dict)
    damaged: bool = False


SHORT_ANSWER = ("Not on the beach: if it slips the shaft flies. I look at the tube and the knots, "
                "and we cut new bands. We measure a piece on a scale first. (invented)")

LEARNERS = (
    Learner("ada-of-the-reef", writes=SHORT_ANSWER),
    Learner("bo-current", {"force": "one leg", "cut_length": "one leg"}, writes=SHORT_ANSWER),
    Learner("cleo-kelp", {"cross_section": "bore forgotten"}, writes=SHORT_ANSWER),
    Learner("dag-swell", {"stretch_ratio": "elongation for stretch ratio",
                          "energy": "work of the full stretch",
                          "interval": "sum for root-sum-square"}),
    Learner("eli-tide", done=6),
    Learner("fay-drift", {"force": "kgf given as N", "fit_plot": "no unit"}, writes=SHORT_ANSWER,
            handed_in=TOO_LATE),
    Learner("gus-shoal", done=0),
    Learner("hana-sandbank", damaged=True),
    Learner("ivo-spray", {"cross_section": "bore forgotten", "safety_choice": "dry loading"},
            other={"stretch_ratio": 'stretch_ratio = "3.7"'}, writes=SHORT_ANSWER),
)
"""Who is in the class. All invented."""


def slip_answer(work: Work, item: str, slip: str) -> Any:
    """Return the answer of somebody who makes one slip, from the notebook's earlier answers.

    Parameters
    ----------
    work : Work
        Whose numbers.
    item, slip : str
        Which item, which slip.

    Returns
    -------
    object
        What the item's variable holds then.
    """
    earlier = work.earlier(item, sys._getframe(1).f_globals)
    return exercise(work.unit).wrong(item, slip, work.my, earlier)


def fill(root: Path, unit: str, learner: Learner) -> Any:
    """Return the released notebook of a unit as an invented learner hands it in.

    Parameters
    ----------
    root : Path
        The course's folder.
    unit : str
        Which exercise.
    learner : Learner
        Who, with their plan.

    Returns
    -------
    NotebookNode
    """
    notebook = nbformat.read(root / "exercises" / unit / f"{unit}.ipynb", as_version=4)
    solved = {cell.metadata.nbgrader.grade_id: cell.source
              for cell in read_source(root, unit).cells if "nbgrader" in cell.metadata}
    items = {item.key: item for item in exercise(unit).items}
    does = list(items)[:learner.done]
    for cell in notebook.cells:
        name = cell.metadata.get("nbgrader", {}).get("grade_id", "")
        if name == LEARNER_CELL:
            cell.source = f'learner_id = "{learner.name}"'
        elif name in learner.other:
            cell.source = learner.other[name]
        elif name in does:
            cell.source = "\n".join(line for line in solved[name].splitlines()
                                    if line.strip() not in (SOLUTION_BEGIN, SOLUTION_END))
            if name in learner.slips:
                cell.source += ("\nfrom bandwork.classroom.demo import slip_answer"
                                f"\n{items[name].variable} = slip_answer(work, {name!r}, "
                                f"{learner.slips[name]!r})")
        elif name and cell.metadata.nbgrader.solution and cell.metadata.nbgrader.grade:
            cell.source = learner.writes or cell.source
    return notebook


def hand_in(root: Path, folder: Path, unit: str,
            learners: tuple[Learner, ...] = LEARNERS) -> list[str]:
    """Write the submissions of an invented class.

    Parameters
    ----------
    root : Path
        The course's folder.
    folder : Path
        The class; it is made anew.
    unit : str
        Which exercise.
    learners : tuple of Learner
        Who hands in.

    Returns
    -------
    list of str
        The ids.
    """
    shutil.rmtree(folder, ignore_errors=True)
    for learner in learners:
        place = folder / "submitted" / learner.name / unit
        place.mkdir(parents=True)
        text = nbformat.writes(fill(root, unit, learner))
        if learner.damaged:
            text = text[:len(text) // 2]
        (place / f"{unit}.ipynb").write_text(text, encoding="utf-8")
        (place / "timestamp.txt").write_text(learner.handed_in, encoding="utf-8")
    return [learner.name for learner in learners]
