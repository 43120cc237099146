"""Giving back: feedback to each learner, and a table for a learning platform."""

import contextlib
import csv
import io
import re
import signal
import threading
from collections.abc import Callable, Iterator
from html import escape
from pathlib import Path
from typing import Any

from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.notebooks import course_config, nbgrader_api, why
from bandwork.classroom.settings import not_among, read_settings
from bandwork.validation import InputError
from bandwork.writing import safe_cell, write_whole

FROM_THE_NET = re.compile(r'<script src="https?://[^"]*">\s*</script>')
"""Scripts that nbconvert's pages fetch: formulas are MathML already, so none is needed."""
SECONDS_A_PAGE = 60
ASKS_NOBODY = ("<head><meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
               "img-src data:; style-src 'unsafe-inline'; font-src data:; form-action 'none'\"/>")
"""How a page begins in which a browser runs no script and fetches nothing."""


def give_feedback(root: Path, folder: Path, unit: str,
                  progress: Callable[[str], Any] = print) -> list[Path]:
    """Write a page of feedback for every learner who was graded.

    It shows the answers, what each check said, the points and the marker's comments. Hidden tests
    are taken out, and where Python stopped its last line stands alone. It asks the network for
    nothing.

    Parameters
    ----------
    root : Path
        The course's folder.
    folder : Path
        The class.
    unit : str
        Which exercise.
    progress : callable
        Is given one line for each learner.

    Returns
    -------
    list of Path
        The pages, at `folder/feedback/LEARNER/UNIT/UNIT.html`.

    Raises
    ------
    InputError
        If nobody was graded, the gradebook can't be used, or some pages could not be written; the
        others are.
    """
    from bandwork.classroom.engine.score import gradebook

    graded = sorted(path.parent.parent.name
                    for path in (folder / "autograded").glob(f"*/{unit}/{unit}.ipynb"))
    if not graded:
        raise InputError(f"Nobody in {folder} was graded in {unit!r} yet; run `bandwork grade` "
                         "first.")
    with gradebook(course_config(root, folder).CourseDirectory.db_url):
        pass
    titles = {item.key: escape(item.title) for item in exercise(unit).items}
    api = nbgrader_api(root, folder)
    pages: list[Path] = []
    failed: list[tuple[str, str]] = []
    for learner in graded:
        with _at_most(SECONDS_A_PAGE):
            told = api.generate_feedback(unit, learner, force=True)
        if not told["success"]:
            failed.append((learner, why(told)))
            progress(f"  {learner}: no page could be made of this notebook")
            continue
        page = folder / "feedback" / learner / unit / f"{unit}.html"
        text = FROM_THE_NET.sub("", page.read_text(encoding="utf-8"))
        for key, title in titles.items():
            text = text.replace(f'#check_{key}">Test cell<', f'#check_{key}">{title}<').replace(
                f"Grade cell: <code>check_{key}</code>", f"Check: {title}")
        write_whole(page, text.replace("<head>", ASKS_NOBODY, 1))
        pages.append(page)
        progress(f"  {learner}: {page}")
    if failed:
        raise InputError(f"No feedback could be made for {', '.join(dict(failed))}; all the "
                         f"others are written. {failed[0][1]}")
    return pages


@contextlib.contextmanager
def _at_most(seconds: int) -> Iterator[None]:
    """Stop what takes longer, where there is an alarm."""
    def too_long(*_: Any) -> None:
        raise TimeoutError(f"longer than {seconds} seconds")

    if not hasattr(signal, "setitimer") or (threading.current_thread()
                                            is not threading.main_thread()):
        yield
        return
    before = signal.signal(signal.SIGALRM, too_long)
    signal.setitimer(signal.ITIMER_REAL, seconds, 0.5)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def class_table(root: Path, folder: Path) -> str:
    """Return the scores of a class as comma-separated values.

    Parameters
    ----------
    root : Path
        The course's folder.
    folder : Path
        The class. Its `class.toml` may choose and name the columns.

    Returns
    -------
    str
        A heading, then a row for each learner and exercise; late penalties are taken off, from all
        points with those that were given by hand. Who is in the class's list and handed in nothing
        has 0. Cells that a spreadsheet would take for a formula
        begin with an apostrophe.

    Raises
    ------
    InputError
        If nothing was graded yet, or the settings are wrong.
    """
    from nbgrader.api import MissingEntry

    from bandwork.classroom.engine.score import gradebook

    settings = read_settings(folder)
    if not (folder / "gradebook.db").exists():
        raise InputError(f"{folder} holds no gradebook yet; run `bandwork grade` first.")
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    out.writerow([safe_cell(heading) for heading in settings.table])
    with gradebook(course_config(root, folder).CourseDirectory.db_url) as book:
        known = {one.name: one for one in book.assignments}
        graded = {str(one.id) for one in book.students}
        listed = sorted(graded | set(not_among(settings.learners, graded)))
        for unit in (one for one in UNITS if one in known):
            for learner in listed:
                row: dict[str, Any] = {"learner": learner, "exercise": unit,
                                       "max": f"{known[unit].max_score:g}", "score": "0",
                                       "percent": "0", "penalty": "0", "hours_late": "0",
                                       "handed_in": "", "to_mark_by_hand": ""}
                try:
                    one = book.find_submission(unit, learner)
                except MissingEntry:
                    one = None
                if one is not None:
                    row |= _row(one, settings, known[unit].max_score)
                out.writerow([safe_cell(str(row[what])) for what in settings.table.values()])
    return text.getvalue()


def _row(one: Any, settings: Any, most: float) -> dict[str, str]:
    due, handed_in = one.assignment.duedate, one.timestamp
    hours = (handed_in - due).total_seconds() / 3600 if due and handed_in else 0.0
    learner = str(one.student.id)
    penalty = settings.penalty(learner, one.score, hours)
    score = max(one.score - penalty, 0.0)
    return {"score": f"{score:g}", "penalty": f"{penalty:g}",
            "percent": f"{100 * score / most:.1f}" if most else "0",
            "hours_late": f"{settings.hours_late(learner, hours):.2f}",
            "handed_in": f"{handed_in:%Y-%m-%d %H:%M:%S}" if handed_in else "",
            "to_mark_by_hand": "yes" if one.needs_manual_grade else ""}
