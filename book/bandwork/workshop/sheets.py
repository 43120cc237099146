"""Printed sheets: what stands on each of them, and how typst prints it.

A sheet is a title and a list of blocks, put together here as plain data. The templates in the
folder `sheets` show the blocks; what a person wrote goes to them as data, never as markup. The
type is DejaVu Sans, which comes with matplotlib, so that every machine prints the same page.
"""

import json
import re
import tomllib
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from functools import cache
from html import escape
from importlib.resources import as_file, files
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bandwork import line
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.setup import Prediction, predict
from bandwork.stretch import CAUTIONS as _LOAD_CAUTIONS
from bandwork.units import metre_from_cm, metre_from_inch, metre_from_mm
from bandwork.validation import InputError, nearest
from bandwork.workshop.answer import DRAWS, LEVEL, Row, answer, drawn_spread
from bandwork.workshop.drawn import ranges
from bandwork.workshop.quantities import Units, figures
from bandwork.workshop.tune import cut_for
from bandwork.writing import write_new

if TYPE_CHECKING:
    from bandwork.workshop.files import GunFile

PAPERS = {"a4": "a4", "letter": "us-letter"}
"""Sizes of paper, with typst's names for them."""

_UNKNOWN_SIGN = "\N{WHITE SQUARE}"
_JOINERS = "\N{ZERO WIDTH JOINER}\N{ZERO WIDTH NON-JOINER}"
_BREAK = "\N{ZERO WIDTH SPACE}"
NEVER = "Every number is an estimate, never permission to load."
"""Stands on every page."""
_BELOW_CROSS = {"a4": 165.0, "letter": 140.0}
"""Room for the scale of a target below its cross, by paper [mm]."""
_ROW = 8.4
"""Height of a row that is written in by hand [mm]."""
_LONGEST_WORD = 24
_LONGEST_TEXT = 90
_LONGEST_SENTENCE = 500

Block = dict[str, Any]
Sheet = dict[str, Any]


def _folder() -> Any:
    return files("bandwork").joinpath("workshop/typst")


def _type_folder() -> Path:
    """Return where matplotlib keeps DejaVu."""
    found = find_spec("matplotlib")
    places = [Path(one) / "mpl-data/fonts/ttf" for one in found.submodule_search_locations or ()
              ] if found else []
    for place in places:
        if (place / "DejaVuSans.ttf").exists():
            return place
    raise InputError("The type that sheets are printed with is not here; install it with "
                     "`pip install matplotlib`.")


@cache
def _signs() -> frozenset[int]:
    """Return the code points that can be printed, upright and bold."""
    from fontTools.ttLib import TTFont

    maps = []
    for name in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf"):
        with TTFont(_type_folder() / name, lazy=True) as font:
            maps.append(frozenset(font.getBestCmap()))
    return maps[0] & maps[1]


def printable(text: str, longest: int = _LONGEST_TEXT) -> str:
    r"""Return a person's text as it can be printed: on one line, in the signs that there are.

    Parameters
    ----------
    text : str
        Anything.
    longest : int
        More characters than this [1] are cut off, which shows as an ellipsis.

    Returns
    -------
    str
        Without control characters; a sign that the type has not stands as a white square.

    Examples
    --------
    >>> printable("two\n lines\a")
    'two lines'
    """
    spaced = " ".join(unicodedata.normalize("NFC", text).split())
    if len(spaced) > longest:
        spaced = spaced[:longest - 1] + "\N{HORIZONTAL ELLIPSIS}"
    shown = ""
    for sign in spaced:
        kind = unicodedata.category(sign)
        if ord(sign) in _signs() and (kind[0] != "C" or sign in _JOINERS):
            shown += sign
        elif kind[0] not in "MC" or kind in ("Co", "Cn", "Cs"):
            shown += _UNKNOWN_SIGN
    return re.sub(rf"(\S{{{_LONGEST_WORD}}})(?=\S)", rf"\1{_BREAK}", shown)


# The blocks that a sheet is made of.


def _text(words: str) -> Block:
    return {"kind": "text", "text": words}


def _heading(words: str) -> Block:
    return {"kind": "heading", "text": words}


def _caution(sentences: Sequence[str], title: str = "Safety") -> Block:
    return {"kind": "caution", "title": title, "sentences": list(sentences)}


def _table(columns: Sequence[str], rows: Sequence[Sequence[str]],
           widths: Sequence[float] = (), row_mm: float = 0.0) -> Block:
    return {"kind": "table", "columns": list(columns), "rows": [list(row) for row in rows],
            "widths": list(widths) or [1] * len(columns), "row_mm": row_mm}


def _bars(units: Units, paper: str) -> Block:
    bars = [{"mm": 100.0, "name": "100 mm", "parts": 10}]
    if units.system == "us" or paper == "letter":
        bars.append({"mm": 1000 * metre_from_inch(4), "name": "4 in", "parts": 4})
    return {"kind": "bars", "bars": bars}


def _inputs(gun: "GunFile") -> list[Block]:
    """Return what the file gives, as it was written there."""
    told = [(printable(key.replace("_", " ").replace(".", ": ")), printable(value))
            for key, value in gun.given.items() if key not in ("name", "made_for")]
    half = (len(told) + 1) // 2
    rows = [(*told[at], *(told[half + at] if half + at < len(told) else ("", "")))
            for at in range(half)]
    rubber = [printable(gun.rubber_told, 300)] if gun.rubber_told else []
    return [_heading(f"What was given, in {printable(gun.path.name, 60)}"), *_sentences(rubber),
            _table(("input", "as written", "input", "as written"), rows, (3, 2, 3, 2))]


def _whose(gun: "GunFile | None", longest: int = 60) -> str:
    if gun is None:
        return ""
    return ", ".join(printable(one, longest) for one in (gun.name, gun.made_for) if one)


def _within(units: Units, one: Interval, unit: str, digits: int | None = None) -> tuple[str, str]:
    """Return a best value with its unit, and the range around it."""
    number, shown_in = units.read(one.best, unit, digits)
    low, high = (units.read(end, unit, digits)[0] for end in (one.low, one.high))
    return f"{number} {shown_in}", f"{low} to {high}"


# The sheets.


def _form(kind: str, gun: "GunFile | None", units: Units) -> list[Block]:
    """Return a measuring sheet; what a file says of the gun is filled in."""
    form = tomllib.loads(_folder().joinpath("forms.toml").read_text(encoding="utf-8"))[kind]
    told = form["us"] if units.system == "us" else {}
    known: dict[str, str] = {}
    if gun is not None:
        band, shaft = gun.setup.band, gun.setup.shaft
        known = {
            "tube, whose": f"{units.words(band.outer_diameter, 'mm')}, {_whose(gun, 20)}",
            "gun, whose": _whose(gun, 20),
            "band, mm and cm": f"{units.words(band.outer_diameter, 'mm')}, "
                               f"{units.words(band.relaxed_length, 'cm')}",
            "shaft, mm and cm": f"{units.words(shaft.diameter, 'mm')}, "
                                f"{units.words(shaft.length, 'cm')}",
        }
    blocks = [_caution(form["safety"])]
    for one in form["blocks"]:
        if "text" in one:
            blocks.append(_text(told.get(one["text"], one["text"])))
            continue
        rows = [[told.get(cell, cell) for cell in row] for row in one["rows"]]
        rows[0] = [cell or known.get(name, "")
                   for name, cell in zip(one["columns"], rows[0], strict=True)]
        blocks.append(_table([told.get(name, name) for name in one["columns"]], rows,
                             one.get("widths", ()), form["row_mm"]))
    return [*blocks, _text(f"How to do it and how to work it out: the book's page {form['page']}.")]


def _target(gun: "GunFile | None", units: Units, paper: str) -> list[Block]:
    metric = units.system == "metric"
    lines: dict[str, Any] = {"step_mm": 10.0, "each": 1, "heavy": 5, "unit": "cm", "aside": 8,
                             "above": 4}
    if not metric:
        lines = {"step_mm": 1000 * metre_from_inch(0.5), "each": 0.5, "heavy": 2, "unit": "in",
                 "aside": 6, "above": 3}
    lines["below"] = int(_BELOW_CROSS[paper] / lines["step_mm"])
    apart = "1 cm" if metric else "half an inch"
    drawing = {"kind": "target", **lines, "alt": (
        f"A target to size: an aim cross, and lines {apart} apart from "
        f"{lines['above'] * lines['each']:g} {lines['unit']} above it to "
        f"{lines['below'] * lines['each']:g} {lines['unit']} below it; each "
        f"{lines['heavy'] * lines['each']:g} {lines['unit']} has a heavy line with its number.")}
    form = _form("target", gun, units)
    blocks = [_text("The cross is the mark. The drop is read from the middle of the cross straight "
                    "down to the hit; above it is negative. Everything that is asked on the next "
                    "page comes before the first shot."), drawing, _bars(units, paper),
              {"kind": "break"}, *form[:-1]]
    return [*blocks, *([] if gun is None else _drops(gun, units)), form[-1]]


def _drops(gun: "GunFile", units: Units) -> list[Block]:
    """Return the drops to expect at some ranges up to the reach of the line."""
    far = float(predict(gun.setup, gun.quarry, gun.assumptions).tip_range)
    rows = []
    step, unit, each = (1.0, "m", 1) if units.system == "metric" else (metre_from_inch(36), "ft", 3)
    for number in range(2, max(3, int(far / step) + 1)):
        there = replace(gun, quarry=replace(gun.quarry, distance=number * step))
        drop = drawn_spread(there, ["drop_at_fish"]).intervals["drop_at_fish"]
        rows.append((f"{number * each} {unit}", *_within(units, drop, "cm", 1)))
    return [_heading("Computed for this gun, to compare with afterwards"),
            _table(("muzzle to board", "drop", "low to high"), rows)]


def _cuts(gun: "GunFile", units: Units, paper: str) -> list[Block]:
    setup = gun.setup
    band, barrel, load = setup.band, setup.barrel, setup.diver.load_capacity
    metric = units.system == "metric"
    thicker = metre_from_mm(1) if metric else metre_from_inch(1 / 16)
    longer = metre_from_cm(10) if metric else metre_from_inch(4)
    most = lookup("rubber.crystallisation_stretch").value
    barrels, columns, rows = [], [f"tube, bore {units.words(band.bore, 'mm')}"], []
    for step in range(-2, 3):
        try:
            barrels.append(replace(barrel, length=barrel.length + step * longer))
        except InputError:
            continue
        columns.append(f"barrel {units.words(barrels[-1].length, 'cm')}"
                       + ("" if step else " (yours)"))
    for step in range(-2, 3):
        try:
            tube = replace(band, outer_diameter=band.outer_diameter + step * thicker)
        except InputError:
            continue
        row = [units.words(tube.outer_diameter, "mm") + ("" if step else " (yours)")]
        for one in barrels:
            cut = cut_for(replace(gun, setup=replace(setup, band=tube, barrel=one)), load)
            if cut is None:
                row.append("too thin")
                continue
            best = cut.best
            told = [units.read(end, "cm")[0] for end in (cut.low, cut.high)]
            marks = "*" if one.loaded_path / best > most else ""
            marks += "†" if one.kind == "roller" and best > one.lower_run else ""
            row.append(f"{units.words(best, 'cm')}{marks}\n{told[0]} to {told[1]}")
        rows.append(row)
    stretch = f"{most:g}"
    notes = [("*", f"* stretched to more than {stretch} times its length when loaded: rubber "
              "hardens there. Take a thicker tube."),
             ("†", "† slack on the gun at rest: it does not stay on the roller. Take a thinner "
              "tube or a longer barrel."),
             ("too thin", "too thin: a soft one does not pull so hard up to where the test rubber "
              "was tested.")]
    shown = "\n".join(cell for row in rows for cell in row[1:])
    return [
        _text(f"Relaxed length of one leg, anchor to wishbone, {band.legs} legs, that pulls with "
              f"{units.words(load, 'kgf')} at the notch: the most that this diver brings. Below "
              f"it where {LEVEL * 100:.0f} % of {DRAWS} draws of what is uncertain lie. Knots and "
              "tails come on top."),
        _table(columns, rows, (3, *[3] * len(barrels))),
        *(_text(words) for mark, words in notes if mark in shown),
        _caution([_LOAD_CAUTIONS[0], "Cut the first band to the longer end of its interval, "
                  "measure its pull as in the pull test, and shorten it little by little.",
                  *_LOAD_CAUTIONS[1:]]),
        _heading("What was cut"),
        _table(("date, by whom", "tube, roll", "cut to", "relaxed, tied",
                "pull at a length", "remarks"), [[""] * 6] * 4, row_mm=_ROW),
        *_inputs(gun),
    ]


def _line(gun: "GunFile", units: Units, paper: str) -> list[Block]:
    setup, given = gun.setup, gun.assumptions
    parts = setup.barrel, setup.shaft, setup.line
    run = given.run
    whole = answer(gun, units)
    told, rows_by_key = whole.prediction, {row.key: _row(row) for row in whole.rows()}
    wraps = int(setup.line.wraps)
    span = float(line.wrap_span(setup.barrel, run))
    path = float(line.laid_length(*parts, run))
    last = path - 2 * wraps * span
    tail = float(setup.barrel.length + setup.barrel.roller_offset + setup.shaft.overhang
                 - setup.shaft.length)
    places = {"release": float(run.release_position), "barrel": float(setup.barrel.length),
              "anchor": float(setup.barrel.length + run.anchor_offset), "tail": tail,
              "hole": tail + float(run.attachment), "tip": tail + float(setup.shaft.length),
              "handle": float(setup.barrel.handle.position)}
    start, end = min(0.0, *places.values()) - 0.05, max(places.values()) + 0.02
    scale = next(one for one in (5, 8, 10, 12, 15, 20, 25, 30) if (end - start) * 1000 / one <= 176)
    words = {"runs": f"{2 * wraps} runs of {units.words(span, 'cm')}" if wraps else "no wraps",
             "last": f"last run {units.words(last, 'cm')}"}
    gun_drawing = {"kind": "gun", **places, **words, "from": start, "to": end, "scale": scale,
                   "wraps": wraps, "alt": (
        f"The gun from the side at 1 : {scale}. The line runs {2 * wraps} times between its anchor "
        f"at the muzzle and the line release, {units.words(span, 'cm')} each, and then from the "
        f"anchor back along the shaft to the hole at its tail, {units.words(last, 'cm')}.")}
    rows = [
        ("one run, line release to anchor", units.words(span, "cm"), ""),
        ("runs, two for each wrap", str(2 * wraps), ""),
        ("last run, anchor back to the shaft's hole", units.words(last, "cm"), ""),
        ("whole path, gun loaded", units.words(path, "cm"), ""),
        ("bungee, relaxed", units.words(float(setup.line.bungee_length), "cm")
         if setup.line.bungee_length else "none", ""),
        ("line to cut, laid on "
         + (f"at {units.words(float(given.line_tension), 'kgf')}" if given.line_tension
            else "without pull") + "; knots and loops on top", units.words(told.line_length, "cm"),
         ""),
        ("reach, muzzle to tip, without knots", units.words(told.reach_from_muzzle, "m"), ""),
    ]
    knots = ", ".join(one.replace("_", " ").replace("hmpe", "polyethylene")
                      for one in given.terminations)
    strength = [(f"line with its ends ({knots})", *_within(units, _made_up(gun), "kgf", 0)),
                *(rows_by_key[key] for key in ("end_tension", "line_margin", "working_load"))]
    return [
        gun_drawing,
        _text(f"Scale 1 : {scale}. {wraps} {'wrap' if wraps == 1 else 'wraps'}."),
        _bars(units, paper),
        _table(("length", "computed", "measured"), rows, (5, 2, 2), row_mm=_ROW),
        _heading("Can a swing throw it over?"),
        _text(f"Over the muzzle: {told.wrap_over_muzzle}. Over the band: {told.wrap_over_band}. "
              + _slack_words(told, units)),
        _table(("strength", "best", "low to high"), strength, (5, 2, 2)),
        _text("Where strength over pull is below 1, the line may break when it stops the shaft."),
        _caution([
            "Look at every run before every shot, and never shoot a gun whose line lies over band, "
            "roller or muzzle. Unload first, then put the line right: never reach over the muzzle "
            "of a loaded gun.",
            "Unloaded, bands off the notch, the tip in a cork: only so is anything below done."]),
        {"kind": "break"},
        _heading("Check, in this order"),
        _table(("step", "seen, measured"), [[step, ""] for step in _LINE_STEPS], (7, 3), 12),
        _table(("date, place", "by whom", "safety person"), [[""] * 3], row_mm=_ROW),
        *_inputs(gun),
    ]


_LINE_STEPS = (
    "Run the whole line between two fingers. Replace a nicked line: do not test it, do not knot it "
    "together.",
    "Lay each wrap tight by hand; let the bungee take up what is left.",
    "Press the middle of each run aside with one finger. It should come back to the barrel by "
    "itself.",
    "Measure your own clearance: from the run sideways to the outer edge of band or roller.",
    "Walk the shaft forward until the line is straight, not pulled. Muzzle to tip, three times.",
    "Swing the unloaded gun in the water, twice as fast as you hunt, and look where the line lies.",
)


def _made_up(gun: "GunFile") -> Interval:
    """Return the strength of the line with its ends, in the range that the file says or usual."""
    straight = gun.assumptions.line_strength or ranges(gun)["breaking_strength"]
    return line.made_up_strength(straight, gun.assumptions.terminations)


def _slack_words(told: Prediction, units: Units) -> str:
    if told.wrap_tension > 0:
        return (f"It must be tight: a pull of {units.words(told.wrap_tension, 'kgf')} at the "
                "bungee makes both impossible for the swing assumed.")
    return (f"With less than {units.words(told.wrap_slack, 'mm', 0)} of slack in one run the swing "
            "assumed can do neither. A finger, weed or the bottom still can.")


def _setup(gun: "GunFile", units: Units, paper: str) -> list[Block]:
    told = answer(gun, units)
    beside = [(*_row(row), "") for row in told.rows() if row.key in _MEASURABLE]
    others = [_row(row) for row in told.rows() if row.key not in _MEASURABLE]
    return [
        _caution([printable(one, _LONGEST_SENTENCE) for one in told.cautions], "Cautions"),
        _heading("Computed, and measured beside it"),
        _text(f"Between low and high lie {LEVEL * 100:.0f} % of {DRAWS} draws of what is "
              "uncertain. On land, measure only what needs no loaded band."),
        _table(("what", "best", "low to high", "measured, date, by whom"), beside, (5, 2, 3, 4),
               _ROW),
        *_sentences([told.measure_first] if told.measure_first else []),
        _heading("Computed besides"),
        _table(("what", "best", "low to high"), others, (5, 2, 3)),
        *_sentences(told.remarks().values()),
        *_inputs(gun),
    ]


def _sentences(words: Iterable[str]) -> list[Block]:
    """Return a paragraph of sentences that may hold a person's words; none of no sentence."""
    told = " ".join(printable(one.replace("`", '"'), _LONGEST_SENTENCE) for one in words)
    return [_text(told)] if told else []


def _row(row: Row) -> tuple[str, str, str]:
    """Return a result's name, its best value with the unit, and its range."""
    best, low, high = (None if one is None else figures(one, row.digits)
                       for one in (row.number, row.low, row.high))
    around = ("not known" if low is None else "from what was given" if low == high
              else f"{low} to {high}")
    return row.label, f"{best} {row.unit}", around


_MEASURABLE = ("load", "first_reach", "hand_over_load", "muzzle_speed", "reach_from_muzzle",
               "reach_from_diver", "drop_at_reach", "net_force_shaft_in", "net_force_shaft_out",
               "grip_moment", "line_length")
"""What a club can measure, as attributes of `Prediction`."""


def _only_form(name: str) -> Callable[[Any, Units, str], list[Block]]:
    return lambda gun, units, paper: _form(name, gun, units)


@dataclass(frozen=True)
class Kind:
    """A kind of sheet.

    Attributes
    ----------
    title : str
        As printed.
    template : str
        Its file in the folder `sheets`, without the ending.
    needs_file : bool
        Whether it is made from a set-up file.
    make : callable
        What puts its blocks together.
    """

    title: str
    template: str
    needs_file: bool
    make: Callable[[Any, Units, str], list[Block]]


KINDS = {
    "setup": Kind("Set-up sheet", "blocks", True, _setup),
    "line": Kind("Muzzle-wrap line check", "line", True, _line),
    "cuts": Kind("Cut table", "blocks", True, _cuts),
    "target": Kind("Target and drop sheet", "target", False, _target),
    "pull-test": Kind("Pull test of a tube", "blocks", False, _only_form("pull-test")),
    "float-test": Kind("Float test in a tub", "blocks", False, _only_form("float-test")),
    "speed": Kind("Muzzle speed from video", "blocks", False, _only_form("speed")),
    "safety": Kind("Safety card", "safety", False, lambda gun, units, paper: []),
}
"""By the name that the command takes."""


def sheet(kind: str, gun: "GunFile | None" = None, units: Units | None = None, paper: str = "a4",
          printed: date | None = None) -> Sheet:
    """Return what stands on a sheet, as data for the templates.

    Parameters
    ----------
    kind : str
        A name of `KINDS`.
    gun : GunFile, optional
        The set-up that the sheet is for; some sheets need one.
    units : Units, optional
        Metric unless given.
    paper : {"a4", "letter"}
        Size of the paper.
    printed : date, optional
        The date on it; today unless given.

    Returns
    -------
    dict
        Title, date, paper and blocks.

    Raises
    ------
    InputError
        If there is no such sheet or paper, or a set-up is missing.
    """
    if kind not in KINDS:
        raise InputError(f"There is no sheet {kind!r}; accepted are {', '.join(KINDS)}. Nearest: "
                         f"{nearest(kind, KINDS)}.")
    if paper not in PAPERS:
        raise InputError(f"paper is {paper!r}; accepted are {', '.join(PAPERS)}.")
    one = KINDS[kind]
    if one.needs_file and gun is None:
        raise InputError(f"The sheet {kind} is made from a set-up file, and none is given; write "
                         f"`bandwork sheet {kind} FILE`. `bandwork new` writes a first one.")
    on = printed or date.today()
    return {
        "title": one.title, "template": one.template, "subtitle": _whose(gun),
        "about": f"{one.title}. {NEVER}", "never": NEVER, "date": on.isoformat(),
        "paper": PAPERS[paper], "cautions": [_LOAD_CAUTIONS[0], _LOAD_CAUTIONS[-1]],
        "blocks": one.make(gun, units or Units(), paper),
    }


def pages(content: Sheet, form: str = "pdf") -> list[bytes]:
    """Return a sheet as files: a tagged PDF (PDF/UA-1), or an SVG for each page.

    Parameters
    ----------
    content : dict
        What `sheet` returned.
    form : {"pdf", "svg"}
        An SVG draws its letters as outlines; the page's words are in its title and description.

    Returns
    -------
    list of bytes
        One PDF, or one SVG a page.

    Raises
    ------
    InputError
        If typst or its type is not installed.
    """
    try:
        import typst
    except ImportError:
        raise InputError("Sheets are printed by typst, which is not here; install it with "
                         "`pip install typst`.") from None
    noon = datetime.combine(date.fromisoformat(content["date"]), datetime.min.time(), UTC)
    with as_file(_folder()) as root:
        press = typst.Compiler(
            root / f"{content['template']}.typ", root=root,
            font_paths=typst.Fonts(include_system_fonts=False, include_embedded_fonts=False,
                                   font_paths=[_type_folder()]),
            sys_inputs={"sheet": json.dumps(content)})
        whole = press.compile(format="pdf", pdf_standards=["ua-1"], timestamp=noon)
        assert isinstance(whole, bytes)
        if form == "pdf":
            return [whole]
        drawn = press.compile(format="svg")
    each = [drawn] if isinstance(drawn, bytes) else drawn or []
    return [_described(one, content, words)
            for one, words in zip(each, _words(whole), strict=True)]


def _words(whole: bytes) -> list[str]:
    """Return the text of each page of a PDF."""
    from pypdf import PdfReader

    return [page.extract_text() for page in PdfReader(BytesIO(whole)).pages]


def _described(drawn: bytes, content: Sheet, words: str) -> bytes:
    """Put title and text of a page into its SVG, for those who cannot see outlines."""
    start, rest = drawn.decode().split(">", 1)
    return (f'{start} role="img" aria-labelledby="title" aria-describedby="words" lang="en">'
            f'<title id="title">{escape(content["title"])}</title>'
            f'<desc id="words">{escape(words)}</desc>{rest}').encode()


def write_sheet(kind: str, file: Path | None, out: Path, paper: str = "a4",
                units: Units | None = None, force: bool = False) -> list[Path]:
    """Write a sheet as PDF or SVG.

    Parameters
    ----------
    kind : str
        A name of `KINDS`.
    file : Path or None
        The set-up file.
    out : Path
        Ends in .pdf or .svg. Several pages as SVG become name-1.svg, name-2.svg and so on.
    paper : {"a4", "letter"}
        Size of the paper.
    units : Units, optional
        Metric unless given.
    force : bool
        Whether to replace files that are there.

    Returns
    -------
    list of Path
        What was written.

    Raises
    ------
    InputError
        As `sheet`; if the name ends otherwise; or as `read_gun` and `write_new`.
    """
    form = out.suffix.lower().removeprefix(".")
    if form not in ("pdf", "svg"):
        raise InputError(f"{out} is no name for a sheet; accepted are names that end in .pdf or "
                         ".svg.")
    gun = None
    if file is not None:
        from bandwork.workshop.files import read_gun

        gun = read_gun(file)
    made = pages(sheet(kind, gun, units, paper), form)
    paths = [out] if len(made) == 1 else [
        out.with_name(f"{out.stem}-{number}{out.suffix}") for number in range(1, len(made) + 1)]
    # A file that is there already is refused before another one is written.
    for path, content in sorted(zip(paths, made, strict=True), key=lambda one: not one[0].exists()):
        write_new(path, content, force)
    return paths
