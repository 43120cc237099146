"""The answer key and marking guide of one id, as a page and for print. For instructors alone.

It is built from the solutions, which are run with the numbers of that id; nothing in it is typed
twice. It is never part of what learners receive.
"""

import base64
import io
import re
import tempfile
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np

from bandwork.classroom.checks import ChoiceItem, FunctionItem, Item, PlotItem, Slip
from bandwork.classroom.items import exercise
from bandwork.classroom.learner import LEARNER_CELL, tidy_id
from bandwork.classroom.notebooks import SOLUTION_BEGIN, SOLUTION_END, read_source
from bandwork.classroom.selfstudy import read_cells, run
from bandwork.classroom.work import Work
from bandwork.validation import InputError
from bandwork.writing import write_whole

SCHEME = re.compile(r"### BEGIN MARK SCHEME\n(.*?)### END MARK SCHEME", re.DOTALL)


@dataclass(frozen=True)
class Answer:
    """One item of the key.

    Attributes
    ----------
    number : int
        Its place in the notebook, from 1.
    title, goal, points, page, tolerance : str
        As the item has them, in words.
    value : str
        The right answer; "" for a plot.
    picture : str
        The plot as SVG text; "" without one.
    code : str
        The solution.
    slips : tuple of Slip
        What goes wrong, with what the check says.
    """

    number: int
    title: str
    goal: str
    points: str
    page: str
    tolerance: str
    value: str
    picture: str
    code: str
    slips: tuple[Slip, ...]

    @property
    def picture_address(self) -> str:
        """The plot as a data address for a page."""
        return "data:image/svg+xml;base64," + base64.b64encode(
            self.picture.encode("utf-8")).decode("ascii")


@dataclass(frozen=True)
class Written:
    """An answer in words: what was asked and how it is marked.

    Attributes
    ----------
    title : str
        With its points.
    asked : str
        What the notebook asks.
    scheme : str
        How it is marked, with sample answers.
    """

    title: str
    asked: str
    scheme: str

    @property
    def paragraphs(self) -> list[str]:
        """The scheme's parts, each a line: one begins at an empty line or with its points."""
        return [" ".join(part.split())
                for part in re.split(r"\n\s*\n|\n(?=[\d.,]+ points?\b)", self.scheme)
                if part.strip()]


@dataclass(frozen=True)
class Key:
    """The key to one exercise for one id.

    Attributes
    ----------
    unit, learner : str
        Which exercise, and whose numbers.
    numbers : tuple of (str, str, str)
        Name, value and meaning of each number.
    answers : tuple of Answer
        In the order of the notebook.
    written : tuple of Written
        Answers that a person marks.
    safety : tuple of (str, str)
        Page and the point to bring up.
    """

    unit: str
    learner: str
    numbers: tuple[tuple[str, str, str], ...]
    answers: tuple[Answer, ...]
    written: tuple[Written, ...]
    safety: tuple[tuple[str, str], ...]


def make_key(root: Path, unit: str, learner_id: str) -> Key:
    """Return the key to an exercise with one learner's numbers.

    Parameters
    ----------
    root : Path
        The course's folder.
    unit : str
        Which exercise.
    learner_id : str
        Whose numbers.

    Returns
    -------
    Key

    Raises
    ------
    InputError
        If there is no such exercise, the id is not an id, or the solution does not run.
    """
    learner, asked = tidy_id(learner_id), exercise(unit)
    notebook = read_source(root, unit)
    for cell in notebook.cells:
        if cell.id == LEARNER_CELL.replace("_", "-"):
            cell.source = f'learner_id = "{learner}"'
    names: dict[str, Any] = {}
    for one in run(read_cells(notebook), names):
        if one.problem is not None:
            raise InputError(f"The solution of {unit!r} stops at {one.begins!r} for the id "
                             f"{learner!r}: {one.problem}")
    cells = {cell.metadata.nbgrader.grade_id: cell for cell in notebook.cells
             if "nbgrader" in cell.metadata}
    answers = tuple(_answer(number, item, asked.pages, names, cells[item.key].source)
                    for number, item in enumerate(asked.items, start=1))
    work = Work(unit, learner)
    return Key(
        unit, learner,
        tuple((name, _in_words(value), meaning) for name, value, meaning
              in asked.table(work.my)),
        answers, tuple(_written(notebook)),
        tuple((asked.pages[page], point) for page, point in asked.safety.items()))


def _answer(number: int, item: Item, pages: Any, names: dict[str, Any], source: str) -> Answer:
    given = names[item.variable]
    picture = ""
    if isinstance(item, PlotItem):
        drawn = io.StringIO()
        given.figure.savefig(drawn, format="svg", bbox_inches="tight")
        picture = drawn.getvalue()
        value = ""
    elif isinstance(item, FunctionItem):
        value = "; ".join(f"at {x:g}: {_in_words(given(float(x)))}"
                          for x in item.inputs(names["my"]))
    else:
        value = _in_words(given)
    if value and item.unit and not isinstance(item, ChoiceItem):
        value += f" ({item.unit})"
    begin, end = source.index(SOLUTION_BEGIN), source.index(SOLUTION_END)
    code = source[begin + len(SOLUTION_BEGIN):end].strip("\n").rstrip()
    return Answer(number, item.title, item.goal, f"{item.points:g} point{'s' * (item.points != 1)}",
                  pages[item.page],
                  item.tolerance_in_words if item.tolerance else "", value, picture,
                  "\n".join(line.removeprefix("    ") for line in code.splitlines())
                  if all(line.startswith("    ") or not line for line in code.splitlines())
                  else code, item.slips)


def _in_words(value: Any) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, (list, tuple, np.ndarray)):
        return ", ".join(_in_words(one) for one in np.asarray(value, dtype=object).reshape(-1))
    return f"{float(value):.4g}"


def _written(notebook: Any) -> list[Written]:
    found, above = [], ""
    for cell in notebook.cells:
        if cell.cell_type != "markdown":
            continue
        if "nbgrader" in cell.metadata:
            heading, _, asked = above.strip().partition("\n")
            scheme = SCHEME.search(cell.source)
            found.append(Written(heading.lstrip("# "), asked.strip(),
                                 scheme.group(1).strip() if scheme else ""))
        above = cell.source.rpartition("\n## ")[2] if "\n## " in cell.source else cell.source
    return found


def write_key(root: Path, unit: str, learner_id: str, folder: Path) -> tuple[Path, Path]:
    """Write the key to an exercise as a page and for print.

    Parameters
    ----------
    root : Path
        The course's folder.
    unit : str
        Which exercise.
    learner_id : str
        Whose numbers.
    folder : Path
        Where to; the instructor's own.

    Returns
    -------
    tuple of Path
        The HTML page and the PDF.

    Raises
    ------
    InputError
        As `make_key`, or if the folder lies where learners' files are made.
    """
    import typst
    from jinja2 import Environment

    if folder.resolve().is_relative_to((root / "exercises").resolve()):
        raise InputError(f"{folder} is handed out to learners; name another folder for the key.")
    key = make_key(root, unit, learner_id)
    folder.mkdir(parents=True, exist_ok=True)
    page, sheet = (folder / f"key-{unit}-{key.learner}.{kind}" for kind in ("html", "pdf"))
    template = files("bandwork").joinpath("data/key.html.j2").read_text(encoding="utf-8")
    made = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(template)
    write_whole(page, made.render(key=key))
    with tempfile.TemporaryDirectory() as place:
        for one in key.answers:
            if one.picture:
                (Path(place) / f"plot-{one.number}.svg").write_text(one.picture, encoding="utf-8")
        (Path(place) / "key.typ").write_text(_sheet(key), encoding="utf-8")
        sheet.write_bytes(typst.compile(Path(place) / "key.typ"))
    return page, sheet


def _quoted(text: str) -> str:
    """Return text as a string of typst's."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


def _sheet(key: Key) -> str:
    """Return the key in the language of typst; what comes from elsewhere goes in as strings."""
    lines = [f'#set document(title: {_quoted(f"Key: {key.unit}, {key.learner}")})',
             '#set page("a4", margin: 18mm, numbering: "1", footer: context [#text(8pt)['
             f'#{_quoted(f"Key to {key.unit} for {key.learner}: for instructors alone.")} #h(1fr) '
             '#counter(page).display()]])',
             '#set text(10pt, lang: "en")', "#set par(justify: false)",
             '#show raw: set text(8.5pt)',
             f"= #{_quoted(f'Answer key and marking guide: {key.unit}')}",
             f"#{_quoted(f'Numbers of the id {key.learner}. For instructors alone.')}",
             "== Numbers", "#table(columns: (auto, auto, 1fr), stroke: 0.4pt + gray,"]
    lines += [f"  [#raw({_quoted('my.' + name)})], [#{_quoted(value)}], [#{_quoted(meaning)}],"
              for name, value, meaning in key.numbers]
    lines += [")", "== Items"]
    for one in key.answers:
        lines += [f"=== #{_quoted(f'{one.number}. {one.title} ({one.points})')}",
                  f"#block(sticky: true)[#{_quoted(f'{one.goal} Page: {one.page}.')}]",
                  ""]
        if one.value:
            close = f", {one.tolerance}" if one.tolerance else ""
            lines += [f"#block(sticky: true)[*Answer:* #{_quoted(one.value + close)}]", ""]
        if one.picture:
            lines += [f'#image("plot-{one.number}.svg", width: 9cm, '
                      f'alt: {_quoted(f"The right plot of item {one.number}.")})', ""]
        lines += [f"#raw({_quoted(one.code)}, block: true, lang: \"python\")", ""]
        lines += [f"- *#{_quoted(slip.name)}*: #{_quoted(slip.message)}" for slip in one.slips]
    if key.written:
        lines.append("== Marked by hand")
    for task in key.written:
        lines += [f"=== #{_quoted(task.title)}", f"#{_quoted(' '.join(task.asked.split()))}", ""]
        lines += [f"#{_quoted(part)}\n" for part in task.paragraphs]
    lines.append("== Safety points to bring up")
    lines += [f"- *#{_quoted(page)}*: #{_quoted(point)}" for page, point in key.safety]
    return "\n".join(lines)
