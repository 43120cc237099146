"""For somebody who learns alone: begin, check a whole notebook at once, see how far it has come.

A notebook is run here without Jupyter, cell by cell in this process: it is the learner's own, on
the learner's own machine. What was found is kept beside the notebooks, in one file.
"""

import _thread
import ast
import contextlib
import io
import json
import os
import re
import sys
import threading
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

from bandwork.classroom.checks import DOTS, Exercise, in_plain_words
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.learner import LEARNER_CELL, tidy_id
from bandwork.classroom.work import LEARNER_VARIABLE, NotYet
from bandwork.validation import InputError
from bandwork.writing import write_whole

LONGEST = 30.0
"""Seconds that one cell may run."""
KEPT = "progress.json"
"""The file that holds whose folder it is and what was found in it."""


@dataclass(frozen=True)
class Ran:
    """What came out of one cell.

    Attributes
    ----------
    name : str
        nbgrader's name of the cell, or its id.
    begins : str
        Its first line.
    printed : str
        What it printed.
    value : object
        Of its last line; None if there is none.
    problem : BaseException or None
        What stopped it.
    """

    name: str
    begins: str
    printed: str
    value: Any
    problem: BaseException | None


@dataclass(frozen=True)
class Standing:
    """How one item stands.

    Attributes
    ----------
    item, title : str
        Its key and what it asks for.
    points, earned : float
        Full marks, and those of the answer as it is.
    message : str
        What the check says; "" if the answer is right.
    slip : str
        The slip's name, if it is one that we know.
    page : str
        The book's page to read again; "" if the answer is right.
    """

    item: str
    title: str
    points: float
    earned: float
    message: str = ""
    slip: str = ""
    page: str = ""

    @property
    def state(self) -> str:
        """"right", "in part", "not yet" or "not answered"."""
        if self.earned == self.points:
            return "right"
        if self.earned:
            return "in part"
        return "not answered" if "not answered yet" in self.message else "not yet"

    @property
    def hint(self) -> str:
        """The message without the title before it."""
        return self.message.removeprefix(f"{self.title}: ")


@dataclass(frozen=True)
class Found:
    """What a check of one notebook found.

    Attributes
    ----------
    unit : str
        Which exercise.
    items : tuple of Standing
        In the order of the notebook.
    written : tuple of str
        Titles of the answers in words, which a person reads.
    stopped : tuple of str
        A sentence for each cell that stopped with an error of Python's.
    note : str
        If the numbers are somebody else's; "" otherwise.
    """

    unit: str
    items: tuple[Standing, ...]
    written: tuple[str, ...] = ()
    stopped: tuple[str, ...] = ()
    note: str = ""

    @property
    def points(self) -> float:
        """Full marks of the items that are checked by machine."""
        return sum(one.points for one in self.items)

    @property
    def earned(self) -> float:
        """Marks so far."""
        return sum(one.earned for one in self.items)

    @property
    def next(self) -> Standing | None:
        """The first item that is not right; None if all are."""
        return next((one for one in self.items if one.state != "right"), None)


@dataclass(frozen=True)
class Cell:
    """One cell of a notebook, as far as running it needs.

    Attributes
    ----------
    name : str
        nbgrader's name of the cell, or its id.
    graded : bool
        Whether nbgrader knows it.
    code : bool
        Whether it is run.
    source : str
        What stands in it.
    """

    name: str
    graded: bool
    code: bool
    source: str


def read_cells(notebook: Mapping[str, Any]) -> list[Cell]:
    """Return the cells of a notebook.

    Parameters
    ----------
    notebook : mapping
        As in its file, format 4.

    Returns
    -------
    list of Cell

    Raises
    ------
    InputError
        If it is no notebook of that format.
    """
    try:
        cells = []
        for cell in notebook["cells"]:
            mark = cell["metadata"].get("nbgrader", {}).get("grade_id", "")
            cells.append(Cell(str(mark or cell.get("id", "")), bool(mark),
                              cell["cell_type"] == "code", "".join(cell["source"])))
    except (KeyError, TypeError, AttributeError):
        raise InputError("This is no notebook of the format that Jupyter writes.") from None
    return cells


def run(cells: Iterable[Cell], names: dict[str, Any] | None = None) -> Iterator[Ran]:
    """Run a notebook's code cells one after the other in this process.

    A cell that stops with an error does not keep the next from running, as in grading. Plots are
    drawn and shown nowhere.

    Parameters
    ----------
    cells : iterable of Cell
        The learner's own: their code runs as whoever runs this.
    names : dict of str to object, optional
        The notebook's variables, filled as it runs.

    Yields
    ------
    Ran
        One for each code cell.
    """
    import matplotlib

    matplotlib.use("agg")
    if "matplotlib.pyplot" in sys.modules:
        sys.modules["matplotlib.pyplot"].close("all")
    space = {} if names is None else names
    space["__name__"] = "__main__"
    for cell in cells:
        if cell.code:
            yield _run_cell(cell.name, cell.source, space)


def _run_cell(name: str, source: str, space: dict[str, Any]) -> Ran:
    printed = io.StringIO()
    value: Any = None
    problem: BaseException | None = None
    watch = threading.Timer(LONGEST, _thread.interrupt_main)
    keyboard, sys.stdin = sys.stdin, io.StringIO()
    watch.start()
    try:
        with contextlib.redirect_stdout(printed):
            body = ast.parse(source, f"<{name}>")
            last = body.body[-1] if body.body else None
            if isinstance(last, ast.Expr):
                body.body.pop()
            exec(compile(body, f"<{name}>", "exec"), space)
            if isinstance(last, ast.Expr):
                value = eval(compile(ast.Expression(last.value), f"<{name}>", "eval"), space)
    except KeyboardInterrupt:
        if watch.is_alive():
            raise
        problem = TimeoutError(f"it ran longer than {LONGEST:g} seconds")
    except (Exception, SystemExit) as stopped:
        problem = stopped
    finally:
        watch.cancel()
        sys.stdin = keyboard
    return Ran(name, source.strip().partition("\n")[0], printed.getvalue(), value, problem)


def examine(path: Path, unit: str, learner_id: str = "") -> Found:
    """Run a learner's notebook and say how every item stands.

    Parameters
    ----------
    path : Path
        The notebook.
    unit : str
        Which exercise it is.
    learner_id : str
        Whose numbers it should hold; "" if that does not matter.

    Returns
    -------
    Found

    Raises
    ------
    InputError
        If there is no such file or exercise, or the file is no notebook.
    """
    asked = exercise(unit)
    try:
        cells = read_cells(json.loads(path.read_text(encoding="utf-8")))
    except FileNotFoundError:
        raise InputError(f"{path} is not there; `bandwork start` puts it there.") from None
    except ValueError:
        raise InputError(f"{path} is damaged or is no notebook; save it in Jupyter once more, or "
                         "move it away and run `bandwork start` again for a fresh one.") from None
    names: dict[str, Any] = {}
    before = os.environ.pop(LEARNER_VARIABLE, None)
    try:
        ran = {one.name: one for one in run(cells, names)}
    finally:
        if before is not None:
            os.environ[LEARNER_VARIABLE] = before
    sources = {cell.name: cell.source.strip() for cell in cells}
    items = []
    for item in asked.items:
        check, calls = ran.get(f"check_{item.key}"), f'work.check("{item.key}")'
        if check is None:
            said, earned = f"{item.title}: its check cell is gone; take it from a fresh copy.", 0.0
        elif sources[check.name] != calls:
            said, earned = (f"{item.title}: its check cell was changed; write {calls} in it and "
                            "nothing else."), 0.0
        elif isinstance(check.problem, NotYet):
            said, earned = str(check.problem), 0.0
        elif check.problem is not None:
            said, earned = f"{item.title}: the check stopped: {_plainly(check.problem)}.", 0.0
        elif "✓" not in check.printed:
            said = " ".join(check.printed.split()).removeprefix("Not yet. ")
            said = said.partition(" So far this earns")[0]
            earned = float(check.value or 0)
        else:
            said, earned = "", float(item.points)
        slip = next((one.name for one in item.slips if said and one.message in said), "")
        items.append(Standing(item.key, item.title, float(item.points), earned, said, slip,
                              item.page if said else ""))
    written = tuple(cell.name.replace("_", " ").capitalize() for cell in cells
                    if cell.graded and not cell.code)
    stopped = _stopped(asked, cells, ran.values())
    whose = getattr(names.get("work"), "learner", "")
    note = ""
    if learner_id and whose and whose != tidy_id(learner_id):
        note = (f"This notebook has the numbers of {whose!r}; this folder is that of "
                f"{tidy_id(learner_id)!r}. Mend the cell with learner_id.")
    return Found(unit, tuple(items), written, stopped, note)


def _stopped(asked: Exercise, cells: Iterable[Cell], ran: Iterable[Ran]) -> tuple[str, ...]:
    """Return a sentence for each cell that stopped, but for what only follows from others."""
    numbered = {item.key: f" of item {number}" for number, item in enumerate(asked.items, start=1)}
    ours = {cell.name for cell in cells if cell.graded} - {*numbered, LEARNER_CELL}
    told, sentences = set(), []
    for one in ran:
        if one.problem is None or one.name.startswith("check_"):
            continue
        why = _plainly(one.problem)
        follows = one.name in ours and (why in told or isinstance(one.problem, NameError))
        if not follows and (one.name in numbered or DOTS not in why):
            sentences.append(f"The cell{numbered.get(one.name, '')} that begins with "
                             f"{one.begins!r} stopped: {why}.")
        told.add(why)
    return tuple(sentences)


def _plainly(problem: BaseException) -> str:
    if isinstance(problem, SyntaxError):
        where = f"line {problem.lineno}" if problem.lineno else "it"
        return (f"Python cannot read {where}; a bracket, a quote, a * or a number is missing there "
                "or just before, or it is no Python")
    if isinstance(problem, Exception) and not isinstance(problem, TimeoutError):
        return in_plain_words(problem)
    return str(problem) or type(problem).__name__


def begin(root: Path, folder: Path, learner_id: str) -> list[Path]:
    """Make a folder for one learner, with the notebooks that are not in it yet.

    Parameters
    ----------
    root : Path
        The course's folder.
    folder : Path
        Where the learner will work. What lies there is left as it is.
    learner_id : str
        An id or any name that the learner keeps to.

    Returns
    -------
    list of Path
        The notebooks, in the order of the course.

    Raises
    ------
    InputError
        If the id is not an id, or the folder is somebody else's.
    """
    learner = tidy_id(learner_id)
    if (folder / KEPT).exists():
        whose = _kept(folder)["learner"]
        if whose != learner:
            raise InputError(f"{folder} is the folder of {whose!r}; go on under that id, or name "
                             "another folder with --folder.")
    folder.mkdir(parents=True, exist_ok=True)
    made = []
    for unit in UNITS:
        target = folder / f"{unit}.ipynb"
        made.append(target)
        if target.exists():
            continue
        released = root / "exercises" / unit / f"{unit}.ipynb"
        notebook = json.loads(released.read_text(encoding="utf-8"))
        for cell in notebook["cells"]:
            if cell["metadata"].get("nbgrader", {}).get("grade_id") == LEARNER_CELL:
                cell["source"] = f'learner_id = "{learner}"'
        write_whole(target, json.dumps(notebook, indent=1, ensure_ascii=False) + "\n")
    new = not (folder / KEPT).exists()
    if new:
        write_whole(folder / KEPT, json.dumps({"learner": learner, "units": {}}, indent=1))
    if new:
        os.utime(folder / f"{UNITS[0]}.ipynb")
    return made


def _kept(folder: Path) -> dict[str, Any]:
    """Return what is kept of a learner's folder, or say why it can't be read."""
    path = folder / KEPT
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        tidy_id(kept["learner"])
        return {"learner": kept["learner"], "units": {
            unit: [Standing(**one) for one in items] for unit, items in kept["units"].items()}}
    except FileNotFoundError:
        raise InputError(f"{folder} holds no work yet; begin with `bandwork start YOUR-ID`, or "
                         "name the folder with --folder.") from None
    except (ValueError, KeyError, TypeError, AttributeError):
        raise InputError(f"{path} is damaged; delete it, run `bandwork start YOUR-ID` and "
                         "`bandwork check`. Your notebooks are not touched.") from None


def check(folder: Path, unit: str = "") -> Found:
    """Examine one notebook of a learner's folder and keep what was found.

    Parameters
    ----------
    folder : Path
        Made by `begin`.
    unit : str
        Which exercise; without it, the notebook that was saved last.

    Returns
    -------
    Found

    Raises
    ------
    InputError
        If the folder is no learner's, or as `examine`.
    """
    kept = _kept(folder)
    chosen = unit or max(UNITS, key=lambda one: _saved(folder / f"{one}.ipynb"))
    found = examine(folder / f"{chosen}.ipynb", chosen, kept["learner"])
    units = {**kept["units"], chosen: found.items}
    write_whole(folder / KEPT, json.dumps({
        "learner": kept["learner"],
        "units": {name: [asdict(one) for one in items] for name, items in units.items()}},
        indent=1))
    return found


def _saved(path: Path) -> float:
    return path.stat().st_mtime if path.exists() else 0.0


@dataclass(frozen=True)
class Progress:
    """How far a learner has come.

    Attributes
    ----------
    learner : str
        Whose.
    units : tuple of (str, Found or None)
        Every exercise in the order of the course; None if it was never checked.
    """

    learner: str
    units: tuple[tuple[str, Found | None], ...]

    @property
    def next_unit(self) -> str:
        """The first exercise that is not all right; "" if all are."""
        return next((unit for unit, found in self.units if found is None or found.next), "")


def progress(folder: Path) -> Progress:
    """Return how far a learner has come, from what the last checks found.

    Parameters
    ----------
    folder : Path
        Made by `begin`.

    Returns
    -------
    Progress

    Raises
    ------
    InputError
        If the folder is no learner's.
    """
    kept = _kept(folder)
    return Progress(kept["learner"], tuple(
        (unit, Found(unit, tuple(kept["units"][unit])) if unit in kept["units"] else None)
        for unit in UNITS))


def write_summary(folder: Path) -> Path:
    """Write a learner's summary as one page that opens and prints anywhere.

    Parameters
    ----------
    folder : Path
        Made by `begin`.

    Returns
    -------
    Path
        Of the page, in the same folder.

    Raises
    ------
    InputError
        If the folder is no learner's.
    """
    from jinja2 import Environment

    template = files("bandwork").joinpath("data/summary.html.j2").read_text(encoding="utf-8")
    page = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(template)
    titles = {unit: exercise(unit).pages for unit in UNITS}
    path = folder / "summary.html"
    write_whole(path, page.render(progress=progress(folder), titles=titles))
    return path


def book_page(root: Path, page: str) -> str:
    """Return where a page of the book is to be read.

    Parameters
    ----------
    root : Path
        The course's folder.
    page : str
        As "stretch/notch".

    Returns
    -------
    str
        Address of the built page, or its name in the book if the book is not built here.
    """
    built = root / "book" / "_build" / "html" / f"{page}.html"
    return built.as_uri() if built.exists() else page


def unit_of(name: str) -> str:
    """Return the exercise that somebody means by a name or a file's name.

    Parameters
    ----------
    name : str
        As "stretch" or "my-work/stretch.ipynb".

    Returns
    -------
    str

    Raises
    ------
    InputError
        If there is no such exercise.
    """
    unit = re.split(r"[\\/]", name)[-1].removesuffix(".ipynb")
    return exercise(unit).key
