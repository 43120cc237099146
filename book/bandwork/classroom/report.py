"""The class report: one page that opens anywhere, and a table for a spreadsheet."""

import csv
import io
from importlib.resources import files
from pathlib import Path

from jinja2 import Environment

from bandwork.classroom.grading import ClassResult
from bandwork.writing import safe_cell, write_alone


def report_html(result: ClassResult) -> str:
    """Return the report as one self-contained page.

    Parameters
    ----------
    result : ClassResult
        What grading found.

    Returns
    -------
    str
        HTML without any request to elsewhere; prints on A4.
    """
    template = files("bandwork").joinpath("data/report.html.j2").read_text(encoding="utf-8")
    page = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(template)
    return page.render(result=result)


def report_csv(result: ClassResult) -> str:
    """Return the marks as comma-separated values, a row a learner.

    Parameters
    ----------
    result : ClassResult
        What grading found.

    Returns
    -------
    str
        Columns: learner, each item, total, points, penalty, hours_late, to_mark_by_hand, slips,
        problem, notes. Cells that a spreadsheet would take for a formula begin with an apostrophe.
    """
    keys = [key for key, _, _ in result.columns]
    table = io.StringIO()
    out = csv.writer(table, lineterminator="\n")
    out.writerow(["learner", *keys, "total", "points", "penalty", "hours_late", "to_mark_by_hand",
                  "slips", "problem", "notes"])
    for one in result.results:
        marks = {mark.item: mark for mark in one.marks}
        out.writerow([safe_cell(cell) for cell in (
            one.learner,
            *(f"{marks[key].score:g}" if key in marks else "" for key in keys),
            f"{one.score:g}" if one.marks else "", f"{result.points:g}", f"{one.penalty:g}",
            f"{one.hours_late:.2f}",
            " ".join(mark.item for mark in one.marks if mark.by_hand),
            "; ".join(f"{mark.item}: {mark.slip}" for mark in one.marks if mark.slip),
            one.problem, " ".join(one.notes))])
    empty = [""] * (len(keys) + 1)
    for learner in result.missing:
        out.writerow([safe_cell(learner), *empty, f"{result.points:g}", "", "", "", "",
                      "has not handed in", ""])
    return table.getvalue()


def write_report(result: ClassResult, folder: Path) -> tuple[Path, Path]:
    """Write the report beside the gradebook.

    Parameters
    ----------
    result : ClassResult
        What grading found.
    folder : Path
        The class.

    Returns
    -------
    tuple of Path
        The page and the table.
    """
    place = folder / "report"
    place.mkdir(parents=True, exist_ok=True)
    page, table = place / f"{result.unit}.html", place / f"{result.unit}.csv"
    write_alone(page, report_html(result))
    write_alone(table, report_csv(result))
    return page, table
