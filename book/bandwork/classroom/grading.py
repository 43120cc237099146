"""Grading a class: every submission is taken in, run in a box, judged, scored and reported.

A submission that cannot be graded costs only its own learner a sentence. What was run is kept by
what it depends on, so that grading goes on where it was stopped, and runs again only what changed.
"""

import os
import re
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bandwork.classroom.checks import WRONG_UNIT, Exercise
from bandwork.classroom.engine.box import Box, refuse_to_show
from bandwork.classroom.engine.execute import ABOUT
from bandwork.classroom.engine.intake import RefusedError
from bandwork.classroom.engine.limits import Limits
from bandwork.classroom.engine.store import Store
from bandwork.classroom.engine.worker import Workers
from bandwork.classroom.items import exercise
from bandwork.classroom.learner import id_or_nothing, printable, tidy_id
from bandwork.classroom.notebooks import course_config, open_class
from bandwork.classroom.settings import ClassSettings, not_among, read_settings
from bandwork.validation import InputError, nearest

if TYPE_CHECKING:
    from bandwork.classroom.engine.cluster import Cluster
    from bandwork.classroom.engine.sanitise import Release


MOST_JOBS = 8
"""Unless more are asked for: each takes some hundred megabytes."""
LOOK_EVERY = 2.0
"""Seconds after which a runner is asked whether it is still there while nothing gets done."""


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
    missing : tuple of str
        Who is in the class's list of learners and has not handed in.
    """

    unit: str
    title: str
    columns: tuple[tuple[str, str, float], ...]
    results: tuple[Result, ...] = field(default=())
    missing: tuple[str, ...] = ()

    @property
    def points(self) -> float:
        """Full marks."""
        return sum(points for _, _, points in self.columns)

    @property
    def totals(self) -> list[float]:
        """What those who were graded earned, lowest first."""
        return sorted(one.score for one in self.results if one.marks)

    @property
    def fifths(self) -> list[tuple[float, float, int]]:
        """Each fifth of full marks, highest first: from, to below, and how many earned that."""
        edges = [self.points * place / 5 for place in range(6)]
        last = edges[-1] + 1e-9
        return [(low, high, sum(low <= one < (last if high == edges[-1] else high)
                                for one in self.totals))
                for low, high in zip(edges[4::-1], edges[:0:-1], strict=True)]

    def average(self, item: str) -> float:
        """Return what an item earned on average, those to be marked by hand left out [points].

        Parameters
        ----------
        item : str
            A key of `columns`.

        Returns
        -------
        float
            0 if nobody was marked.
        """
        earned = [mark.score for one in self.results for mark in one.marks
                  if mark.item == item and not mark.by_hand]
        return sum(earned) / len(earned) if earned else 0.0

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


@dataclass(frozen=True)
class HandedIn:
    """One learner's submission on its way.

    Attributes
    ----------
    learner : str
        Who.
    notebook : bytes or None
        To be executed; None if it cannot be graded.
    notes : tuple of str
        What was mended.
    problem : str
        Why it cannot be graded; "" if it can.
    stamp : str or None
        When it was handed in.
    key : str
        What its run is kept under.
    """

    learner: str
    notebook: bytes | None
    notes: tuple[str, ...]
    problem: str
    stamp: str | None
    key: str


def grade(root: Path, folder: Path, unit: str, *, due: datetime | None = None,
          title: str = "", progress: Callable[[str], Any] = print, jobs: int = 0,
          limits: Limits = Limits(), trust: bool = False,  # noqa: B008
          scheduler: str | None = None, again: Sequence[str] | None = None) -> ClassResult:
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
    jobs : int
        How many notebooks run at a time; as many as there are processors unless given.
    limits : Limits
        On every notebook.
    trust : bool
        Whether learners' code may run as you, without a box.
    scheduler : str, optional
        Address of a dask scheduler whose workers run the notebooks; this machine does unless given.
    again : sequence of str, optional
        Whose notebooks are run once more, though their runs are kept; if empty, everybody's that
        was cut short.

    Returns
    -------
    ClassResult

    Raises
    ------
    InputError
        If there is no submission at all, or none of somebody in `again`, the class's settings are
        wrong, the exercise has other cells than when this class handed it in before, a machine has
        no box to run learners' code in, or the gradebook, the scheduler or its workers can't be
        used.
    """
    asked = exercise(unit)
    submitted = folder / "submitted"
    learners = sorted(path.parent.name for path in submitted.glob(f"*/{unit}") if path.is_dir())
    if not learners:
        raise InputError(f"{submitted} holds no submission to {unit!r}; put each learner's "
                         f"notebook at {submitted.name}/LEARNER/{unit}/{unit}.ipynb.")
    if again and (unknown := [name for name in again if name not in learners]):
        raise InputError(f"{unknown[0]!r} has handed in nothing to {unit!r}, so nothing can be run "
                         f"again; nearest: {nearest(unknown[0], learners)}.")
    settings = read_settings(folder)
    due = due or settings.due.get(unit)
    for name in sorted(set(settings.more_hours) - set(map(id_or_nothing, learners))):
        progress(f"  class.toml gives more hours to {name!r}, who has not handed in.")
    if scheduler is None:
        Box(limits, trust=trust)
    if not trust:
        refuse_to_show(folder)
    store = Store(folder, unit)
    if again is not None:
        for learner in again or [one for one in learners if store.scored(one).get("short")]:
            store.forget(learner)
    with _runner(min(jobs or min(os.cpu_count() or 1, MOST_JOBS), len(learners)), limits, trust,
                 scheduler) as runner:
        if isinstance(runner, Workers) and len(store) < len(learners):
            runner.start()
        return _grade(root, folder, asked, learners, settings, due, settings.title or title or unit,
                      progress, runner, limits, trust)


def _runner(jobs: int, limits: Limits, trust: bool, scheduler: str | None) -> "Workers | Cluster":
    if scheduler is not None:
        from bandwork.classroom.engine.cluster import Cluster

        return Cluster(scheduler, limits, trust=trust)
    return Workers(jobs, limits, trust=trust)


def _grade(root: Path, folder: Path, asked: Exercise, learners: Sequence[str],
           settings: ClassSettings, due: datetime | None, title: str,
           progress: Callable[[str], Any], runner: "Workers | Cluster", limits: Limits,
           trust: bool) -> ClassResult:
    from bandwork.classroom.engine.sanitise import Release
    from bandwork.classroom.engine.score import gradebook, rows, save

    unit = asked.key
    open_class(root, folder, unit)
    store = Store(folder, unit)
    with gradebook(course_config(root, folder).CourseDirectory.db_url) as book:
        book.update_or_create_assignment(unit, duedate=due)
        release = Release(book, folder / "release" / unit / f"{unit}.ipynb", unit)
        before, most = rows(book, unit), sum(release.points.values())
        ids = Counter(map(id_or_nothing, learners))
        handed_in = (_take(folder, release, learner, ids, store, limits, trust)
                     for learner in learners)
        began = time.monotonic()
        for number, (one, executed) in enumerate(
                _run_all(handed_in, store, runner), start=1):
            state = sha256(repr((one.key, one.problem, one.notes, one.stamp, due,
                                 settings.free_hours, settings.per_day, settings.most,
                                 settings.more_hours,
                                 settings.common_numbers)).encode()).hexdigest()
            if one.learner not in before or store.scored(one.learner).get("state") != state:
                made, hours, score = save(book, unit, one.learner, executed() if one.key else None,
                                   one.stamp, settings,
                                   folder / "autograded" / one.learner / unit / f"{unit}.ipynb")
                found = _read(made, one, settings) if made else {"said": {}, "notes": []}
                kept = {"state": state, "run": one.key, "problem": one.problem, "hours": hours,
                        **found}
                store.keep_scored(one.learner, kept)
            else:
                score = sum(points for points, _ in before[one.learner].values())
            pace = number / max(time.monotonic() - began, 1e-3)
            progress(f"  {number} of {len(learners)}  {one.learner}: "
                     + (one.problem or f"{score:g} of {most:g}")
                     + f"  ({pace:.1f} a second, {(len(learners) - number) / pace:.0f} s left)")
        store.tidy()
        scores = rows(book, unit)
        columns = _columns(asked, release)
        return ClassResult(unit, title, tuple(columns), tuple(
            _result(asked, learner, scores[learner], store.scored(learner), settings, columns)
            for learner in map(printable, learners)), tuple(not_among(settings.learners, learners)))


def _take(folder: Path, release: "Release", learner: str, ids: Mapping[str, int], store: Store,
          limits: Limits, trust: bool) -> HandedIn:
    """Look at one submission and prepare it; nothing in it is run."""
    from bandwork.classroom.engine.sanitise import sanitise

    submitted = folder / "submitted"
    place = submitted / learner / release.unit
    stamp = None
    try:
        if not id_or_nothing(learner) or printable(learner) != learner:
            raise RefusedError("The folder's name is no id: 1 to 64 letters, digits, dots, dashes "
                               "and underscores, a letter or digit first; rename it.")
        if ids[id_or_nothing(learner)] > 1:
            raise RefusedError(f"Several folders are called {id_or_nothing(learner)!r}, but for "
                               "capitals; keep one of them.")
        stamp, unread = _stamp(place / "timestamp.txt")
        notebook, notes = sanitise(place / f"{release.unit}.ipynb", release, learner, submitted)
    except RefusedError as refusal:
        return HandedIn(printable(learner), None, (), str(refusal), stamp, "")
    return HandedIn(learner, notebook, (*notes, *unread), "", stamp,
                    store.key(notebook, limits, trust=trust))


def _stamp(path: Path) -> tuple[str | None, list[str]]:
    """Return when something was handed in, and a note if that can't be read."""
    from nbgrader.utils import parse_utc

    if not os.path.lexists(path):
        return None, []
    try:
        if not path.is_file():
            raise ValueError
        with path.open("rb") as file:
            stamp = file.read(100).decode().strip()
        if not re.match(r"\d{4}-\d\d-\d\d[ T]\d\d:\d\d", stamp):
            raise ValueError
        parse_utc(stamp)
    except (OSError, ValueError, OverflowError, TypeError, AttributeError):
        return None, ["When it was handed in can't be read; it counts as in time."]
    return stamp, []


def _run_all(handed_in: Iterator[HandedIn], store: Store, runner: "Workers | Cluster"
             ) -> Iterator[tuple[HandedIn, Callable[[], bytes | None]]]:
    """Yield each submission with what gives its executed notebook, as they are done."""
    waiting: dict[Future[Any], HandedIn] = {}

    def done(*, everything: bool) -> Iterator[tuple[HandedIn, Callable[[], bytes | None]]]:
        patient = True
        while waiting and patient:
            patient = len(waiting) > runner.room() or everything
            finished = []
            for future in wait(waiting, LOOK_EVERY if patient else 0, FIRST_COMPLETED).done:
                one = waiting.pop(future)
                store.keep_run(one.key, runner.result(future))
                finished.append(one)
            for one in finished:
                yield one, partial(store.run, one.key)

    for one in handed_in:
        if not one.key or store.has(one.key):
            yield one, partial(store.run, one.key)
        else:
            waiting[runner.submit(one.notebook or b"")] = one
            yield from done(everything=False)
    yield from done(everything=True)


def _columns(asked: Exercise, release: "Release") -> list[tuple[str, str, float]]:
    """Return key, title and points of every graded cell that the gradebook knows, in order."""
    known = dict(release.points)
    columns = [(item.key, item.title, known.pop(f"check_{item.key}")) for item in asked.items]
    return columns + [(name, name.replace("_", " ").capitalize(), points)
                      for name, points in sorted(known.items())]


def _said(cell: Any) -> str:
    """Return what the check in a graded cell said of an answer that did not pass."""
    found = "".join(str(output.get("evalue", "")) for output in cell.outputs
                    if output.output_type == "error")
    printed = "".join(str(output.get("text", "")) for output in cell.outputs
                      if output.output_type == "stream")
    said = found or (printed.removeprefix("Not yet. ") if printed.startswith("Not yet. ") else "")
    return printable(" ".join(said.split()))


def _read(made: Any, one: HandedIn, settings: ClassSettings) -> dict[str, Any]:
    """Return what is to be kept of an executed notebook for the report."""
    about = made.metadata[ABOUT]
    notes = list(one.notes)
    if about["worked_as"] != [tidy_id(one.learner)]:
        named = " and ".join(map(repr, about["worked_as"]))
        notes.append("The cell that makes the numbers did not run." if not named else
                     f"Wrote another id: {named}." if settings.common_numbers else
                     f"Did not work with this id's numbers: they are those of {named}.")
    if about["cut_short"]:
        notes.append(f"Was cut short: {about['cut_short']}. To run it once more: bandwork grade "
                     f"{about['unit']} CLASS --again {one.learner}")
    return {"notes": notes, "short": bool(about["cut_short"]),
            "said": {cell.metadata.nbgrader.grade_id.removeprefix("check_"): _said(cell)
                     for cell in made.cells if cell.cell_type == "code"
                     and cell.metadata.get("nbgrader", {}).get("grade")}}


def _result(asked: Exercise, learner: str, scores: Mapping[str, tuple[float, bool]],
            kept: Mapping[str, Any], settings: ClassSettings,
            columns: Sequence[tuple[str, str, float]]) -> Result:
    notes = tuple(kept["notes"])
    if settings.learners and id_or_nothing(learner) not in settings.learners:
        notes += ("Is not in the list of learners in class.toml.",)
    if kept["problem"]:
        return Result(learner, problem=kept["problem"], notes=notes)
    items = {item.key: item for item in asked.items}
    marks = []
    for name, _, points in columns:
        score, by_hand = scores[f"check_{name}" if name in items else name]
        said = kept["said"].get(name, "")
        slip = page = ""
        if name in items and said:
            begins = f"{items[name].title}: "
            slip = next((slip.name for slip in items[name].slips
                         if said.startswith(begins + slip.message)),
                        "wrong unit" if said.startswith(begins + WRONG_UNIT) else "")
            page = asked.pages[items[name].page]
        marks.append(Mark(name, score, points, by_hand, said, slip, page))
    total = sum(mark.score for mark in marks)
    return Result(learner, tuple(marks), hours_late=settings.hours_late(learner, kept["hours"]),
                  penalty=settings.penalty(learner, total, kept["hours"]),
                  notes=notes)
