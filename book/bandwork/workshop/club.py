"""A club in one go: a folder of set-ups in, one table and one page each out."""

import csv
import io
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path
from urllib.parse import quote

from bandwork.setup import USUAL_CAUTIONS
from bandwork.validation import InputError
from bandwork.workshop.answer import GROUPS, LEVEL, Answer, answer, of_hundred, result_row
from bandwork.workshop.files import read_gun
from bandwork.workshop.quantities import Units
from bandwork.writing import safe_cell, write_new

COLUMNS = ("load", "load_spare", "reach_spare", "stretch_ratio", "muzzle_speed",
           "reach_from_muzzle", "drop_at_reach", "practical_range", "net_force_shaft_out",
           "line_margin")
"""The results in a club's table, as attributes of `Prediction`."""
MOST_FILES = 500
"""Most set-ups of a club."""
_COMMAND = re.compile(r"`(.+?)`")
_STYLE = """body{font:1rem/1.5 system-ui,sans-serif;margin:1.5rem auto;max-width:90rem;padding:0
1rem;color:#111;background:#fff}table{border-collapse:collapse;width:100%}caption{text-align:left;
font-weight:bold;padding:.5rem 0}th,td{border:1px solid #777;padding:.3rem .5rem;text-align:left;
vertical-align:top}thead th{background:#eee}td.said{min-width:18rem}
.wide{overflow-x:auto}h1{line-height:1.2}
@media print{body{margin:0;max-width:none;font-size:10pt}tr{break-inside:avoid}}"""


@dataclass(frozen=True)
class Member:
    """One set-up of a club: its answer, or why there is none.

    Attributes
    ----------
    path : Path
        The set-up file.
    told : Answer or None
        None where the file is wrong.
    problem : str
        One sentence; "" where there is an answer.
    """

    path: Path
    told: Answer | None
    problem: str = ""


def set_ups(folder: Path) -> list[Path]:
    """Return the set-up files of a folder, in the order of their names.

    Parameters
    ----------
    folder : Path
        Files that end with .toml count, but for rubbers (.rubber.toml), shelves (shelf.toml),
        hidden files and links that lead out of it.

    Returns
    -------
    list of Path

    Raises
    ------
    InputError
        If there is no such folder, or none or too many files in it.
    """
    try:
        home = folder.resolve(strict=True)
        found = sorted(path for path in folder.iterdir()
                       if path.name.endswith(".toml") and not path.name.startswith(".")
                       and not path.name.endswith((".rubber.toml", "shelf.toml"))
                       and _lies_in(home, path))
    except (OSError, ValueError, RuntimeError):
        raise InputError(f"{folder} is not a folder that can be read; give the folder that holds "
                         "your set-ups.") from None
    if not 1 <= len(found) <= MOST_FILES:
        raise InputError(f"{folder} holds {len(found)} set-ups; accepted are 1 to {MOST_FILES} "
                         "files that end with .toml. `bandwork new FILE` writes a first one.")
    return found


def _lies_in(home: Path, path: Path) -> bool:
    try:
        return path.resolve(strict=True).is_relative_to(home)
    except (OSError, RuntimeError):
        return False


def work_out(paths: Iterable[Path], units: Units,
             progress: Callable[[Member], object] | None = None) -> list[Member]:
    """Return the answer of each set-up; one that is wrong costs only its own.

    Parameters
    ----------
    paths : iterable of Path
        Set-up files.
    units : Units
        In which people read them.
    progress : callable, optional
        Called with each member when it is done.

    Returns
    -------
    list of Member
    """
    members = []
    for path in paths:
        try:
            member = Member(path, answer(read_gun(path), units))
        except InputError as problem:
            member = Member(path, None, str(problem).removeprefix(f"{path}: "))
        members.append(member)
        if progress is not None:
            progress(member)
    return members


def table_csv(members: Sequence[Member]) -> str:
    """Return a club's table for spreadsheets.

    Parameters
    ----------
    members : sequence of Member

    Returns
    -------
    str
        CSV with a heading and a row for each, then the cautions; no cell is a formula.
    """
    table = io.StringIO()
    out = csv.writer(table, lineterminator="\n")
    units = next((one.told.units for one in members if one.told), Units())
    heads = [f"{label} [{unit}]{end}" for label, unit in _heads(units)
             for end in ("", " low", " high")]
    out.writerow(["file", "name", "made for", "problem", "loads it in [% of draws]", *heads,
                  "caution"])
    for one in members:
        told = one.told
        if told is None:
            out.writerow([safe_cell(one.path.name), "", "", safe_cell(one.problem), "",
                          *[""] * len(heads), ""])
            continue
        rows = {row.key: row for row in told.rows()}
        numbers = [number for key in COLUMNS
                   for number in (rows[key].number, rows[key].low, rows[key].high)]
        chance = told.chances.get("loads")
        out.writerow([safe_cell(one.path.name), safe_cell(told.gun.name),
                      safe_cell(told.gun.made_for), "",
                      "" if chance is None else round(chance * 100, 1), *numbers,
                      safe_cell(_own_cautions(told))])
    for caution in USUAL_CAUTIONS:
        out.writerow(["", "", "", "", "", *[""] * len(heads), caution])
    return table.getvalue()


def _heads(units: Units) -> list[tuple[str, str]]:
    rows = [result_row(key, 0.0, None, units) for key in COLUMNS]
    return [(row.label, row.unit) for row in rows]


def _own_cautions(told: Answer) -> str:
    """Return the cautions that are this set-up's own; "" if it has none."""
    return " ".join(one for one in told.cautions if one not in USUAL_CAUTIONS)


def table_html(members: Sequence[Member], title: str, endings: Sequence[str] = ("html",)) -> str:
    """Return a club's table as a page that needs nothing else.

    Parameters
    ----------
    members : sequence of Member
    title : str
        What the club or its folder is called.
    endings : sequence of str
        Of the files that each set-up has in the folder pages: "html", and "pdf" for its sheet.

    Returns
    -------
    str
        HTML; each row leads to the set-up's own page.
    """
    units = next((one.told.units for one in members if one.told), Units())
    heads = "".join(f'<th scope="col">{escape(label[0].upper() + label[1:])}</th>'
                    for label, _ in _heads(units))
    body = []
    for one in members:
        if one.told is None:
            body.append(f'<tr><th scope="row">{escape(one.path.name)}</th><td colspan="'
                        f'{len(COLUMNS) + 2}">Not worked out: {escape(one.problem)}</td></tr>')
            continue
        rows = {row.key: row for row in one.told.rows()}
        gun = one.told.gun
        cells = "".join(f"<td>{escape(rows[key].words())}</td>" for key in COLUMNS)
        chance = one.told.chances.get("loads")
        able = "not known" if chance is None else f"in {of_hundred(chance)} draws"
        link = f'<a href="{escape(_address(one.path, "html"))}">{escape(gun.name)}</a>'
        if "pdf" in endings:
            link += f' (<a href="{escape(_address(one.path, "pdf"))}">sheet to print</a>)'
        body.append(f'<tr><th scope="row">{link}<br>{escape(gun.made_for)}</th><td>{able}</td>'
                    f'{cells}<td class="said">{escape(_own_cautions(one.told))}</td></tr>')
    return _page(title, f"<h1>{escape(title)}</h1>{_how_sure()}"
                 '<div class="wide" role="region" aria-label="Set-ups" tabindex="0"><table>'
                 f"<caption>Set-ups of {escape(title)}</caption><thead><tr>"
                 f'<th scope="col">Set-up, for</th><th scope="col">Can load it</th>{heads}'
                 f'<th scope="col">Cautions of its own</th></tr></thead><tbody>{"".join(body)}'
                 f"</tbody></table></div>{_cautions(USUAL_CAUTIONS)}")


def page_html(told: Answer) -> str:
    """Return a set-up's own page, which needs nothing else.

    Parameters
    ----------
    told : Answer

    Returns
    -------
    str
        HTML.
    """
    gun = told.gun
    remarks = told.remarks()
    parts = [f"<h1>{escape(gun.name)}</h1>"]
    parts += [f"<p>For {escape(gun.made_for)}.</p>"] if gun.made_for else []
    parts += [f"<p>{escape(gun.rubber_told)}</p>"] if gun.rubber_told else []
    parts.append(_how_sure() if told.intervals else "<p>Best values only; how far off they may be "
                 "is not shown.</p>")
    rows = told.rows()
    for group in GROUPS:
        lines = "".join(f'<tr><th scope="row">{escape(row.label[0].upper() + row.label[1:])}</th>'
                        f"<td>{escape(row.words())}</td></tr>" for row in rows
                        if row.group == group)
        parts.append(f"<h2>{escape(group)}</h2><p>{escape(remarks.get(group, ''))}</p>"
                     f'<div class="wide"><table>{lines}</table></div>')
    first = _COMMAND.sub(r"<code>\1</code>", escape(told.measure_first))
    parts += [f"<p>{first}</p>"] if first else []
    given = "".join(f'<tr><th scope="row">{escape(key)}</th><td>{escape(written)}</td></tr>'
                    for key, written in gun.given.items())
    parts.append(_cautions(told.cautions))
    parts.append(f'<h2>What was given</h2><div class="wide"><table>{given}</table></div>'
                 "<p>All else is the handbook's usual value.</p>")
    return _page(gun.name, "".join(parts))


def _how_sure() -> str:
    return (f"<p>Best value (low to high): {LEVEL * 100:.0f} % of the draws of what is uncertain "
            "lie between. A computed number is an estimate, never permission to load a gun.</p>")


def _cautions(cautions: Iterable[str]) -> str:
    return ("<h2>Cautions</h2><ul>" + "".join(f"<li>{escape(one)}</li>" for one in cautions)
            + "</ul>")


def _page(title: str, body: str) -> str:
    return (f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(title)}'
            '</title><meta name="viewport" content="width=device-width, initial-scale=1">'
            f"<style>{_STYLE}</style></head><body><main>{body}</main></body></html>\n")


def _address(path: Path, ending: str) -> str:
    return quote(f"pages/{path.stem}.{ending}")


def write_club(folder: Path, out: Path, units: Units, force: bool = False,
               progress: Callable[[Member], object] | None = None, paper: str = ""
               ) -> list[Member]:
    """Work out a folder of set-ups and write its table and its pages.

    Parameters
    ----------
    folder : Path
        The set-ups, as `set_ups` finds them.
    out : Path
        For club.csv, club.html and the folder pages; made if it is not there.
    units : Units
        In which people read them.
    force : bool
        Whether to replace files that are there.
    progress : callable, optional
        As in `work_out`.
    paper : {"", "a4", "letter"}
        For a set-up sheet to print besides, as PDF beside each page; "" for none.

    Returns
    -------
    list of Member

    Raises
    ------
    InputError
        If a folder cannot be read or written, or a file is there already: before any work. If
        sheets cannot be printed here: after all else is written.
    """
    paths = set_ups(folder)
    pages = out / "pages"
    whole = [out / "club.csv", out / "club.html"]
    endings = ("html", "pdf") if paper else ("html",)
    there = [one for one in (*whole, *(pages / f"{path.stem}.{ending}" for path in paths
                                       for ending in endings)) if one.exists()]
    if there and not force:
        raise InputError(f"{there[0]} is there already and stays as it is; give another folder "
                         "to --out, or --force to replace it.")
    try:
        pages.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as problem:
        told = getattr(problem, "strerror", None) or problem
        raise InputError(f"{out} cannot be made ({told}); give a folder to --out that you may "
                         "write to.") from problem
    members = work_out(paths, units, progress)
    for one in members:
        if one.told is not None:
            write_new(pages / f"{one.path.stem}.html", page_html(one.told), force)
    write_new(whole[0], table_csv(members), force)
    write_new(whole[1], table_html(members, folder.resolve().name or str(folder), endings), force)
    if paper:
        from bandwork.workshop.sheets import write_sheet

        for one in members:
            if one.told is not None:
                write_sheet("setup", one.path, pages / f"{one.path.stem}.pdf", paper, units, force)
    return members
