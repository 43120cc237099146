"""The grading engine beside Jupyter and stock nbgrader: same outputs, same scores."""

import json
import random
import re

import nbformat
import pytest
from bandwork.classroom import demo
from bandwork.classroom.engine.box import Box, what_is_missing
from bandwork.classroom.engine.execute import execute
from bandwork.classroom.engine.limits import Limits
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.notebooks import read_source
from nbclient import NotebookClient

from tests.classroom.conftest import ROOT
from tests.classroom.grading_benchmark import compare

SUBMISSIONS = 30
"""To each exercise."""
INSTEAD = (
    "{0} = 1 / 0", "{0} = no_such_name", "{0} = (", "{0} = 'three'", "{0} = None", "{0} = -1.5",
    "{0} = [1, 2, 3]", "{0} = float('nan')", "{0} = {{'A', 'C'}}", "{0} = np.array([1.0, 2.0])",
    "print('trying')\n{0} = 2.5", "{0} = lambda x: 1 / 0", "{0} = lambda x: 2 * x",
    "def {0}(x):\n    print('asked', x)\n    return x", "def {0}(x, y):\n    return x",
    "def {0}(x):\n    return 'text'", "{0} = ...", "import numpy as np\n{0} = np.float64(3.25)",
    "from fractions import Fraction\n{0} = Fraction(7, 2)", "%matplotlib inline\n{0} = 4.0",
    "input('how much? ')\n{0} = 1.0", "raise SystemExit")
"""What people write in place of an answer."""
BESIDE = (
    "print('so far, so good')", "1 / 0", "import sys\nprint('careful', file=sys.stderr)",
    "import matplotlib.pyplot as plt\nplt.plot([1, 2])", "my", "%who", "for i in range(3):\n    i",
    "scratch = [n**2 for n in range(1000)]\nscratch[-1]", "print(undefined", "work")
"""What people write into cells of their own."""


def honest(unit, number):
    """Return the id and the notebook of somebody who tries: nothing in it means to cheat."""
    chance = random.Random(f"{unit} {number}")
    name, items = f"learner-{number}", exercise(unit).items
    slips, instead, blank = {}, {}, []
    careful = chance.choice((1.0, 0.8, 0.5))
    for item in items:
        if chance.random() < careful:
            continue
        match chance.choice(("slip", "slip", "instead", "blank")):
            case "slip":
                slips[item.key] = chance.choice(item.slips).name
            case "instead":
                instead[item.key] = chance.choice(INSTEAD).format(item.variable)
            case "blank":
                blank.append(item.key)
    done = chance.choice((len(items), len(items), len(items), chance.randrange(len(items)), 0))
    made = demo.fill(ROOT, unit, demo.Learner(
        name, slips, done, chance.choice(("", demo.SHORT_ANSWER)), other=instead))
    released = {cell.id: cell.source for cell in nbformat.read(
        ROOT / "exercises" / unit / f"{unit}.ipynb", as_version=4).cells}
    for cell in made.cells:
        if cell.metadata.get("nbgrader", {}).get("grade_id") in blank:
            cell.source = released[cell.id]
    for code in chance.sample(BESIDE, chance.randrange(4)):
        made.cells.insert(chance.randrange(4, len(made.cells)), nbformat.v4.new_code_cell(code))
    variable = chance.choice(items).variable
    made.cells.append(nbformat.v4.new_code_cell(f"{variable} = 0.5\nprint({variable})"))
    return name, nbformat.writes(made)


@pytest.mark.long
@pytest.mark.parametrize("unit", UNITS)
def test_scores_are_those_of_stock_nbgrader(tmp_path, unit):
    """Right, slips, errors, partial and blank; `compare` asserts that scores are equal."""
    texts = {honest(unit, number)[1] for number in range(SUBMISSIONS)}
    assert len(texts) == SUBMISSIONS
    assert SUBMISSIONS * len(UNITS) >= 200
    print(compare(tmp_path, SUBMISSIONS, 2, (unit,), honest))


def both(made, unit):
    """Return a notebook as nbclient runs it, and as the engine does."""
    theirs = NotebookClient(nbformat.from_dict(made), timeout=120, allow_errors=True).execute()
    made.metadata["bandwork"] = {"unit": unit, "learner": "ada"}
    with Box(Limits(), trust=bool(what_is_missing())) as one:
        ours = nbformat.reads(execute(nbformat.writes(made).encode(), Limits(), one).decode(), 4)
    return theirs, ours


def comparable(outputs):
    """Return outputs, each stream put together, without addresses, colours and frames."""
    text = re.sub(r"0x[0-9a-f]{6,}", "0x", json.dumps(outputs))
    for pattern in (r"<ipython-input-[0-9]+-[0-9a-f]+>", r"(/tmp/ipykernel_[0-9]+/)?[0-9]+\.py"):
        text = re.sub(pattern, "FILE", text)
    kept, streams = [], {}
    for one in json.loads(text):
        if one["output_type"] == "stream":
            if one["name"] in streams:
                streams[one["name"]]["text"] += one["text"]
                continue
            streams[one["name"]] = one
        if one["output_type"] == "error":
            one["traceback"] = [re.sub(r"\x1b\[[0-9;]*m", "", one["traceback"][-1])]
        kept.append(one)
    return kept


@pytest.mark.long
@pytest.mark.parametrize("unit", UNITS)
def test_cells_show_what_they_show_in_jupyter(unit):
    """Every cell of the solution, pictures too: the same byte for byte."""
    made = read_source(ROOT, unit)
    for cell in made.cells:
        if cell.metadata.get("nbgrader", {}).get("grade_id") == "learner_id":
            cell.source = 'learner_id = "ada"'
    for other, cell in zip(*(one.cells for one in both(made, unit)), strict=True):
        if cell.cell_type == "code":
            assert comparable(cell.outputs) == comparable(other.outputs), cell.source
            assert cell.execution_count == other.execution_count


SHOWING = (
    "print('one'); import sys; print('two', file=sys.stderr); print('three')",
    "print('a', end=''); print('b'); sys.stdout.write('w')", "1 + 1", "_ + 1", "Out[3], In[3]",
    "3;", "None", "'text ✓'",
    "from IPython.display import HTML, Latex, Markdown, clear_output, display\n"
    "display(HTML('<b>b</b>'), Markdown('*m*'))\nLatex('$x$')",
    "display(3, 'x', [1, 2])\nprint('after')\n7",
    "class Rich:\n    def _repr_html_(self): return '<i>r</i>'\nRich()",
    "class Broken:\n    def __repr__(self): raise ValueError('no repr')\nBroken()",
    "print('gone'); clear_output(); print('stays')",
    "shown = display('first', display_id='h')\nshown.update('second')",
    "import numpy as np\nnp.arange(6).reshape(2, 3) / 3",
    "import warnings\nwarnings.warn('careful')\n5", "1 / 0", "undefined", "def f(:\n  pass",
    "  indented = 1\n 2", "def g(n): return g(n + 1)\ng(0)", "assert 1 == 2, 'not equal'",
    "try:\n    1 / 0\nexcept ZeroDivisionError as e:\n    raise ValueError('chained') from e",
    "import matplotlib.pyplot as plt\nfigure, axes = plt.subplots()\naxes.plot([1, 2, 3])\n"
    "axes.set_xlabel('x [m]');",
    "plt.plot([3, 1]); plt.show(); print('between'); plt.plot([1, 3])", "figure",
    "%matplotlib inline", "%%capture kept\nprint('kept')", "kept.stdout", "%pwd;", "!echo shell",
    "listed = !echo one\nlisted", "%precision 3\n3.14159", "3.14159", "%nosuchmagic", "len?",
    "?len", "import asyncio\nawait asyncio.sleep(0)\n'awaited'",
    "get_ipython().run_cell('print(9)');", "for number in range(3): display(number)",
    "from bandwork.classroom.work import NotYet\nraise NotYet('Nearly.')")
"""What cells can show."""


@pytest.mark.course
def test_all_kinds_of_output_are_those_of_jupyter():
    made = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(source) for source in SHOWING],
        metadata={"kernelspec": {"name": "python3", "display_name": "Python 3"}})
    for other, cell in zip(*(one.cells for one in both(made, "warmup")), strict=True):
        assert comparable(cell.outputs) == comparable(other.outputs), cell.source
        assert cell.execution_count == other.execution_count


@pytest.mark.course
def test_nobody_is_asked_for_input():
    made = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(source) for source in ("input('who? ')", "2")],
        metadata={"kernelspec": {"name": "python3", "display_name": "Python 3"}})
    for one in both(made, "warmup"):
        assert [output.output_type for output in one.cells[0].outputs] == ["error"]
        assert one.cells[1].outputs[0].data == {"text/plain": "2"}
