"""For somebody who learns alone: a notebook is run and looked through without Jupyter."""

import contextlib
import io
import sys
import threading
import _thread
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from nbformat import NotebookNode

LONGEST = 60.0
"""Seconds that one cell may run."""


@dataclass(frozen=True)
class Ran:
    """What came out of one cell.

    Attributes
    ----------
    name : str
        nbgrader's name of the cell, or its id.
    printed : str
        What it printed.
    value : object
        Of its last line; None if there is none.
    problem : BaseException or None
        What stopped it.
    """

    name: str
    printed: str
    value: Any
    problem: BaseException | None


def run(notebook: NotebookNode, names: dict[str, Any] | None = None) -> Iterator[Ran]:
    """Run a notebook's code cells one after the other in this process.

    A cell that stops with an error does not keep the next from running, as in grading. Plots are
    drawn and shown nowhere.

    Parameters
    ----------
    notebook : NotebookNode
        The learner's own: its code runs as whoever runs this.
    names : dict of str to object, optional
        The notebook's variables, filled as it runs.

    Yields
    ------
    Ran
        One for each code cell.
    """
    import matplotlib

    matplotlib.use("agg")
    space = {} if names is None else names
    space["__name__"] = "__main__"
    for cell in notebook.cells:
        if cell.cell_type == "code":
            name = cell.metadata.get("nbgrader", {}).get("grade_id") or cell.get("id", "")
            yield _run_cell(name, cell.source, space)


def _run_cell(name: str, source: str, space: dict[str, Any]) -> Ran:
    import ast

    printed, value, problem = io.StringIO(), None, None
    watch = threading.Timer(LONGEST, _thread.interrupt_main)
    keyboard, sys.stdin = sys.stdin, io.StringIO()
    watch.start()
    try:
        with contextlib.redirect_stdout(printed):
            body = ast.parse(source, f"<{name}>")
            last = body.body.pop() if body.body and isinstance(body.body[-1], ast.Expr) else None
            exec(compile(body, f"<{name}>", "exec"), space)
            if last is not None:
                value = eval(compile(ast.Expression(last.value), f"<{name}>", "eval"), space)
    except KeyboardInterrupt:
        if watch.is_alive():
            raise
        problem = TimeoutError(f"the cell ran longer than {LONGEST:g} seconds")
    except BaseException as stopped:
        problem = stopped
    finally:
        watch.cancel()
        sys.stdin = keyboard
    return Ran(name, printed.getvalue(), value, problem)
