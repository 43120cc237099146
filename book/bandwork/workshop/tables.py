"""Tables as people make them: CSV of many habits and xlsx, as cells that know their place.

What decides how a number reads, such as a decimal comma, is found in the file and said, or asked
for. A workbook is opened with openpyxl, in its read-only way, which neither computes formulas nor
loads pictures, and which tells dates from numbers; a quicker reader was left out as it does not
tell a formula without a saved value from an empty cell.
"""

import csv
import re
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any, Literal, NamedTuple
from xml.etree import ElementTree

from bandwork.validation import InputError, shown
from bandwork.workshop import quantities

MOST_BYTES = 2_000_000
MOST_UNPACKED = 12_000_000
MOST_ROWS = 2000
MOST_COLUMNS = 60
MOST_LETTERS = 1000
MOST_SHEETS = 50
_MOST_RATIO = 200
_SMALL_MEMBER = 200_000

Mark = Literal[",", "."]
DECIMALS: dict[str, Mark] = {"comma": ",", "point": "."}
ENCODINGS = ("utf-8", "utf-16", "cp1250", "cp1252")
_SEPARATORS = {"\t": "tab", ";": "semicolon", ",": "comma"}
_OTHER: dict[Mark, Mark] = {",": ".", ".": ","}
_SHEET = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


@dataclass(frozen=True)
class Cell:
    """One cell.

    Attributes
    ----------
    text : str
        What it shows, on one line, without spaces at its ends; "" if it is empty.
    line : int
        Its line in a text file, its row in a workbook, counted from 1.
    column : int
        Counted from 1.
    booked : bool
        Whether it stands in a workbook.
    value : float or None
        The number that a workbook holds there [what its heading says]; None for text.
    trouble : str
        Why it cannot be taken for a number, if a workbook says so: it holds a date, a formula
        without a saved value, or an error.
    unit : str
        A unit that a workbook shows behind the number but does not hold in the cell, such as the
        kg of a number format.
    """

    text: str
    line: int
    column: int
    booked: bool = False
    value: float | None = None
    trouble: str = ""
    unit: str = ""

    @property
    def place(self) -> str:
        """Where it stands, for people: "line 5, column B" or "cell B5"."""
        column = letters(self.column)
        return f"cell {column}{self.line}" if self.booked else f"line {self.line}, column {column}"


@dataclass(frozen=True)
class Table:
    """A file's cells.

    Attributes
    ----------
    path : Path
        The file.
    rows : tuple of tuple of Cell
        As they stand in the file, all of one width, blank rows left out.
    habits : tuple of str
        How it was read, for people: "semicolon", "UTF-16", "sheet 'May'".
    spans : dict
        (line, column) of cells hidden by a merged cell -> that cell's text.
    """

    path: Path
    rows: tuple[tuple[Cell, ...], ...]
    habits: tuple[str, ...]
    spans: dict[tuple[int, int], str] = field(default_factory=dict)


class Reading(NamedTuple):
    """What a number's text may mean.

    Attributes
    ----------
    by_mark : dict of str to float
        The value if the decimal mark is a comma, and if it is a point; one of them where the text
        itself decides.
    unit : str
        Written behind it; "" if none is.
    """

    by_mark: dict[Mark, float]
    unit: str


def letters(column: int) -> str:
    """Return a column's letters: 1 is A, 27 is AA.

    Parameters
    ----------
    column : int
        Counted from 1.

    Returns
    -------
    str
    """
    told = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        told = chr(ord("A") + rest) + told
    return told


def read_table(path: Path, *, sheet: str | None = None, encoding: str | None = None) -> Table:
    """Read a CSV file or an xlsx workbook.

    Parameters
    ----------
    path : Path
        The file; what it holds decides how it is read, not its name.
    sheet : str, optional
        The workbook's sheet, needed if several hold something.
    encoding : str, optional
        Of a text file, one of `ENCODINGS`; found in the file unless you say.

    Returns
    -------
    Table

    Raises
    ------
    InputError
        If the file is not there, is too large, is neither text nor a workbook, holds macros or
        links to other workbooks, or does not say by itself how it is to be read.
    """
    path = Path(path)
    try:
        if path.is_dir():
            raise InputError(f"{path} is a folder; give a CSV or xlsx file.")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or problem
        raise InputError(f"{path} cannot be read ({reason}); give a CSV or xlsx file.") from None
    if len(data) > MOST_BYTES:
        raise InputError(f"{path.name} is larger than {MOST_BYTES // 10**6} MB, too large for "
                         "readings written by hand; copy the table alone into a new file.")
    if data.startswith(b"PK"):
        return _workbook(path, data, sheet)
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise InputError(f"{path.name} is an old workbook or one with a password; save it as .xlsx "
                         "without a password, or as CSV.")
    if sheet is not None:
        raise InputError(f"{path.name} is a text file and has no sheets; leave out --sheet.")
    return _text(path, data, encoding)


# --- Text files -----------------------------------------------------------------------------------

_POLISH = set("ąćęłńóśźżĄĆĘŁŃÓŚŹŻ")
_WESTERN = set("äöüßéèêëàâáíìîïóòôúùûçñœÄÖÜÉÈÊËÀÂÁÍÎÓÔÚÙÛÇÑŒ")
_SIGNS = set("°²³µ±·×«»„“”‘’‚–—…€£\xa0\xad§")


def _plausible(text: str, alphabet: set[str], polish: bool) -> bool:
    """Say whether text reads as a language of this alphabet."""
    german = set("äöüßÄÖÜé")
    for before, sign, after in zip(" " + text, text, text[1:] + " ", strict=False):
        if ord(sign) < 128 or sign in alphabet or (polish and sign in german):
            if polish and sign == "ń" and after in "aeiouy":
                return False  # before a vowel Polish writes ni
            continue
        if sign not in _SIGNS or (sign in "²³" and before not in "mMsS"):
            return False
    return True


def _decode(path: Path, data: bytes, encoding: str | None) -> tuple[str, str]:
    """Return the text and the name of its encoding."""
    if encoding is not None:
        if encoding not in ENCODINGS:
            raise InputError(f"--encoding is {encoding!r}; accepted are {', '.join(ENCODINGS)}.")
        try:
            return data.decode(encoding).lstrip("\ufeff"), encoding
        except UnicodeError:
            raise InputError(f"{path.name} cannot be read as {encoding}; leave out --encoding, or "
                             "save the file as UTF-8.") from None
    wide = ("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else
            "utf-16-le" if data[1:40:2].count(0) > len(data[1:40:2]) // 2 else
            "utf-16-be" if data[0:40:2].count(0) > len(data[0:40:2]) // 2 else "")
    if wide:
        try:
            return data.decode(wide), "UTF-16"
        except UnicodeError:
            raise InputError(f"{path.name} begins as UTF-16 but does not go on so; save it as "
                             "UTF-8.") from None
    try:
        return data.decode("utf-8-sig"), "UTF-8"
    except UnicodeError:
        pass
    read = {}
    for name, alphabet in (("cp1250", _POLISH), ("cp1252", _WESTERN)):
        try:
            text = data.decode(name)
        except UnicodeError:
            continue
        if _plausible(text, alphabet, polish=name == "cp1250"):
            read[name] = text
    if len(set(read.values())) == 1:
        name = next(iter(read)) if len(read) == 1 else "cp1252"
        return read[name], f"{name} (Windows)"
    if not read:
        raise InputError(f"{path.name} holds letters that are neither UTF-8 nor a usual Windows "
                         "text; save it as UTF-8.")
    number, one, other = next((i, a, b) for i, (a, b) in enumerate(
        zip(*(text.split("\n") for text in read.values()), strict=True), start=1) if a != b)
    raise InputError(f"{path.name} line {number} reads {shown(one.strip())} in cp1250 and "
                     f"{shown(other.strip())} in cp1252; say which with --encoding, or save it as "
                     "UTF-8.")


def _split(path: Path, text: str, separator: str) -> list[tuple[int, list[str]]]:
    """Return the rows with the lines that they begin on."""
    reader = csv.reader(StringIO(text), delimiter=separator, strict=True, skipinitialspace=True)
    rows = []
    begins = 1
    try:
        for row in reader:
            rows.append((begins, row))
            begins = reader.line_num + 1
    except csv.Error as problem:
        raise InputError(f"{path.name} line {begins}: a quotation mark is not closed where its "
                         f"cell ends ({problem}); write \" twice within quotes, or take it "
                         "out.") from None
    return rows


def _text(path: Path, data: bytes, encoding: str | None) -> Table:
    text, how = _decode(path, data, encoding)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    strange = re.search("[\x00-\x08\x0b-\x1f\x7f\ufffe\uffff]", text)
    if strange:
        line = text.count("\n", 0, strange.start()) + 1
        raise InputError(f"{path.name} line {line} holds the sign {strange.group()!r}, so it is no "
                         "table of text; give a CSV or xlsx file.")
    named = re.match(r"sep=(.)\n", text, re.IGNORECASE)
    if named:
        text = "#\n" + text[named.end():]
    separator = named.group(1) if named else _separator(path, text)
    if separator not in _SEPARATORS:
        raise InputError(f"{path.name} names {separator!r} as its separator; accepted are comma, "
                         "semicolon and tab.")
    rows = _split(path, text, separator)
    if named:
        rows[0] = (1, [])
    return _tabled(path, (_SEPARATORS[separator], how), [
        [_tidy(path, Cell(cell, line, column)) for column, cell in enumerate(row, start=1)]
        for line, row in rows])


def _separator(path: Path, text: str) -> str:
    """Return the separator that makes most cells numbers and fewest a jumble with digits."""
    scores = {}
    refused: InputError | None = None
    for separator in _SEPARATORS:
        try:
            rows = _split(path, text, separator)
        except InputError as problem:
            refused = problem
            continue
        cells = [cell for _, row in rows if len(row) > 1 for cell in row if cell.strip()]
        fits = [parse(cell) is not None for cell in cells]
        jumbled = sum(not fit and any(letter.isdigit() for letter in cell)
                      for fit, cell in zip(fits, cells, strict=True))
        scores[separator] = (sum(fits) - jumbled, len(cells), sum(len(row) for _, row in rows))
    if refused is not None and max(scores.values(), default=(0,))[0] <= 0:
        raise refused
    return max(scores, key=lambda separator: scores[separator])


def _tidy(path: Path, cell: Cell) -> Cell:
    if len(cell.text) > MOST_LETTERS:
        raise InputError(f"{path.name} {cell.place} holds {len(cell.text)} letters; accepted are "
                         f"{MOST_LETTERS}. A quotation mark may be missing there.")
    words = " ".join(cell.text.split())
    return replace(cell, text="".join(sign for sign in words if sign.isprintable()))


def _tabled(path: Path, habits: Iterable[str], rows: list[list[Cell]],
            spans: dict[tuple[int, int], str] | None = None) -> Table:
    """Return the table of these rows, blank ones left out and all made equally wide."""
    kept = [row for row in rows if any(cell.text for cell in row)]
    width = max((cell.column for row in kept for cell in row if cell.text), default=0)
    if len(kept) > MOST_ROWS or width > MOST_COLUMNS:
        raise InputError(f"{path.name} holds {len(kept)} rows and {width} columns; accepted are "
                         f"{MOST_ROWS} and {MOST_COLUMNS}. Copy the readings alone into a new "
                         "file.")
    if not kept:
        raise InputError(f"{path.name} is empty; give a table with a heading and readings.")
    full = tuple(tuple(row[:width]) + tuple(
        Cell("", row[0].line, column, row[0].booked)
        for column in range(len(row) + 1, width + 1)) for row in kept)
    return Table(path, full, tuple(habits), spans or {})


# --- Workbooks ------------------------------------------------------------------------------------

def _members(path: Path, data: bytes) -> None:
    """Refuse a workbook that is too large, or holds what is not to be opened, before unpacking."""
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            members = archive.infolist()
            names = [one.filename for one in members]
            if any(name.lower().endswith("vbaproject.bin") for name in names):
                raise InputError(f"{path.name} holds macros; save it as .xlsx or CSV without them.")
            if any("externallinks/" in name.lower() for name in names):
                raise InputError(f"{path.name} takes values from other workbooks; copy the "
                                 "readings as values into a new file.")
            if "xl/workbook.xml" not in names:
                raise InputError(f"{path.name} is packed but no xlsx workbook; save it as .xlsx or "
                                 "CSV.")
            large = [one for one in members if one.file_size > _SMALL_MEMBER
                     and one.file_size > _MOST_RATIO * max(one.compress_size, 1)]
            if (len(members) > 500 or len(set(names)) < len(names) or large
                    or sum(one.file_size for one in members) > MOST_UNPACKED):
                raise InputError(f"{path.name} is far larger than it looks when it is unpacked; "
                                 "copy the readings alone into a new file.")
            if any(one.flag_bits & 1 for one in members):
                raise InputError(f"{path.name} has a password; save it without.")
            for one in members:
                if (one.filename.lower().endswith((".xml", ".rels"))
                        and b"<!" in (inside := archive.read(one).replace(b"\0", b""))
                        and re.search(rb"<!(DOCTYPE|ENTITY)", inside)):
                    raise InputError(f"{path.name} holds {one.filename} with declarations of its "
                                     "own, which no spreadsheet writes; save it anew as .xlsx.")
    except InputError:
        raise
    except Exception as problem:
        raise _damaged(path, problem) from None


def _damaged(path: Path, problem: Exception) -> InputError:
    return InputError(f"{path.name} is no whole xlsx workbook ({type(problem).__name__}); open it "
                      "in a spreadsheet and save it anew, or save it as CSV.")


class _Layout(NamedTuple):
    """What openpyxl's read-only way does not tell of a sheet."""

    hidden: tuple[str, ...]
    unsaved: frozenset[str]
    merged: tuple[str, ...]
    filled: int


def _layout(path: Path, archive: zipfile.ZipFile, member: str) -> _Layout:
    hidden: list[str] = []
    unsaved: set[str] = set()
    merged: list[str] = []
    filled = 0
    with archive.open(member) as source:
        for _, node in ElementTree.iterparse(source):
            if node.tag == f"{_SHEET}c":
                if any(len(child.tag) for child in node):
                    filled += 1
                    _bounded(path, node.get("r", ""))
                value = node.find(f"{_SHEET}v")
                if node.find(f"{_SHEET}f") is not None and (value is None or not value.text):
                    unsaved.add(node.get("r", ""))
            elif node.tag == f"{_SHEET}row":
                if node.get("hidden") in ("1", "true") and len(node):
                    hidden.append(f"row {node.get('r', '?')}")
                node.clear()
            elif node.tag == f"{_SHEET}col" and node.get("hidden") in ("1", "true"):
                first, last = (min(int(node.get(name, 0)), MOST_COLUMNS) for name in ("min", "max"))
                hidden += [f"column {letters(number)}" for number in range(first, last + 1)]
            elif node.tag == f"{_SHEET}mergeCell":
                merged.append(node.get("ref", ""))
    return _Layout(tuple(hidden), frozenset(unsaved), tuple(merged), filled)


_MEMBER = "_worksheet_path"
"""openpyxl's name for the place of a sheet in the package; it has no public one."""

_REFERENCE = re.compile(r"([A-Z]{1,3})(\d{1,7})")


def _bounded(path: Path, reference: str) -> tuple[int, int]:
    """Return a cell's row and column, or refuse one that lies too far out."""
    found = _REFERENCE.fullmatch(reference)
    if not found:
        if reference:
            raise InputError(f"{path.name} holds a cell named {shown(reference)}; open it in a "
                             "spreadsheet and save it anew.")
        return 1, 1
    column = 0
    for letter in found.group(1):
        column = 26 * column + ord(letter) - ord("A") + 1
    row = int(found.group(2))
    if row > MOST_ROWS or column > MOST_COLUMNS:
        raise InputError(f"{path.name} has something in cell {reference}; accepted are "
                         f"{MOST_ROWS} rows and {MOST_COLUMNS} columns. Copy the readings alone "
                         "into a new file.")
    return row, column


def _workbook(path: Path, data: bytes, sheet: str | None) -> Table:
    _members(path, data)
    try:
        return _opened(path, data, sheet)
    except InputError:
        raise
    except Exception as problem:
        raise _damaged(path, problem) from None


def _opened(path: Path, data: bytes, wanted: str | None) -> Table:
    import warnings

    from openpyxl import load_workbook

    with warnings.catch_warnings(), zipfile.ZipFile(BytesIO(data)) as archive:
        warnings.simplefilter("ignore")
        book = load_workbook(BytesIO(data), read_only=True, data_only=True, keep_links=False)
        sheets = book.worksheets
        if len(sheets) > MOST_SHEETS:
            raise InputError(f"{path.name} holds {len(sheets)} sheets; accepted are {MOST_SHEETS}.")
        names = {one.title: one for one in sheets}
        unseen = [one.title for one in sheets if one.sheet_state != "visible"]
        if wanted is not None and wanted not in names:
            told = ", ".join(repr(name) for name in names)
            raise InputError(f"{path.name} has no sheet {wanted!r}; it has {told}.")
        layouts: dict[str, _Layout] = {}
        for title in [wanted] if wanted is not None else names:
            if wanted is not None or title not in unseen:
                layout = _layout(path, archive, getattr(names[title], _MEMBER))
                if layout.filled:
                    layouts[title] = layout
        if len(layouts) > 1:
            told = ", ".join(repr(name) for name in layouts)
            raise InputError(f"{path.name} holds several sheets: {told}; say which with --sheet "
                             "NAME.")
        if not layouts:
            raise InputError(f"{path.name} is empty where it is to be read; give a table with a "
                             "heading and readings.")
        title, layout = next(iter(layouts.items()))
        habits = [f"sheet {title!r}"]
        habits += [f"hidden sheet {name!r} not read" for name in unseen if name != title]
        habits += [f"hidden {name} read too" for name in layout.hidden[:5]]
        if len(layout.hidden) > 5:
            habits.append(f"and {len(layout.hidden) - 5} more hidden")
        view = names[title]
        view.reset_dimensions()
        rows = [[_booked(path, cell, number, column, layout)
                 for column, cell in enumerate(row, start=1)]
                for number, row in enumerate(
                    view.iter_rows(max_row=MOST_ROWS, max_col=MOST_COLUMNS), start=1)]
        book.close()
    return _tabled(path, habits, rows, dict(_spans(path, rows, layout.merged)))


def _spans(path: Path, rows: list[list[Cell]], merged: Iterable[str]
           ) -> Iterator[tuple[tuple[int, int], str]]:
    for reference in merged:
        first, _, last = reference.partition(":")
        if not _REFERENCE.fullmatch(first) or not _REFERENCE.fullmatch(last):
            continue
        (top, left), (bottom, right) = _bounded(path, first), _bounded(path, last)
        text = rows[top - 1][left - 1].text if top <= len(rows) and left <= len(rows[top - 1]) \
            else ""
        for line in range(top, min(bottom, top + 3) + 1):
            for column in range(left, right + 1):
                if text and (line, column) != (top, left):
                    yield (line, column), text


def _booked(path: Path, cell: Any, row: int, column: int, layout: _Layout) -> Cell:
    """Return a workbook's cell as ours."""
    name = f"{letters(column)}{row}"
    plain = Cell("", row, column, booked=True)
    if name in layout.unsaved:
        return replace(plain, text="=", trouble="holds a formula without a saved value; open the "
                       "workbook in a spreadsheet and save it, or write the value")
    value = cell.value
    if value is None:
        return plain
    if isinstance(value, bool):
        return replace(plain, text=str(value), trouble="holds true or false")
    if isinstance(value, (int, float)):
        unit = re.search(r'"\s*([^"\s]{1,8})\s*"', str(cell.number_format or ""))
        return replace(plain, text=f"{value:.15g}", value=float(value),
                       unit=unit.group(1) if unit else "")
    if isinstance(value, (date, datetime, time, timedelta)):
        told = value.date().isoformat() if isinstance(value, datetime) else str(value)
        return replace(plain, text=told, trouble=f"holds the date or time {told}; a spreadsheet "
                       "makes one of 3.5 or 3/5, so set the cell's format to number and write the "
                       "reading again")
    tidy = _tidy(path, replace(plain, text=str(value)))
    wrong = getattr(cell, "data_type", "") == "e"
    return replace(tidy, trouble=f"holds the error {tidy.text}") if wrong else tidy


# --- Numbers --------------------------------------------------------------------------------------

_NUMBER = re.compile(r"([+\-\N{MINUS SIGN}\N{EN DASH}]?)\s?((?:\d|[.,](?=\d))[\d.,'\u2019\s]*"
                     r"(?:[eE][+-]?\d{1,2})?)([^\W\d_][^\d.,;]{0,11}|[%\"\u2033\u00b0]\s?C?)?")


def parse(text: str) -> Reading | None:
    """Return what a number's text may mean.

    Parameters
    ----------
    text : str
        Such as "5,4", "1 234,5", "1'234.5", "12.5 kg" or "1,234", which may mean two things.

    Returns
    -------
    Reading or None
        None if it is no number.

    Examples
    --------
    >>> parse("5,4 kg")
    Reading(by_mark={',': 5.4}, unit='kg')
    >>> parse("1,234").by_mark
    {',': 1.234, '.': 1234.0}
    >>> parse("1.234,5").by_mark
    {',': 1234.5}
    >>> parse("12 5") is None
    True
    """
    found = _NUMBER.fullmatch(text.strip()) if len(text) <= 40 else None
    if not found:
        return None
    sign, figures, unit = found.groups()
    minus = "" if sign in ("", "+") else "-"
    figures = " ".join(figures.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split())
    if figures[-1] in ".,'":
        return None
    values: dict[Mark, float] = {}
    for mark, other in _OTHER.items():
        if not (figures.startswith(other) or re.match(f"0[{other} ']", figures)):
            with suppress(InputError):
                values[mark] = quantities.number(minus + figures, mark)
    return Reading(values, (unit or "").strip()) if values else None


def settle_mark(cells: Iterable[Cell], decimal: Mark | None) -> tuple[Mark | None, str]:
    """Return the decimal mark that all these numbers are written with.

    Parameters
    ----------
    cells : iterable of Cell
        Cells that hold numbers; others are passed over.
    decimal : {",", "."}, optional
        What the user says.

    Returns
    -------
    tuple of (str or None, str)
        The mark, None where no number has any, and the habit for people: "decimal comma".

    Raises
    ------
    InputError
        If a number may mean two things and no other settles it, or if two contradict each other.
    """
    doubtful: Cell | None = None
    decided: dict[Mark, Cell] = {}
    for cell in cells:
        reading = None if cell.value is not None or cell.trouble else parse(cell.text)
        if reading is None:
            continue
        if len(reading.by_mark) == 1:
            decided.setdefault(next(iter(reading.by_mark)), cell)
        elif len(set(reading.by_mark.values())) > 1:
            doubtful = doubtful or cell
    words = {",": "comma", ".": "point"}
    if len(decided) == 2:
        one, other = (decided[mark] for mark in (",", "."))
        raise InputError(f"{one.place} reads {one.text!r} with a decimal comma and {other.place} "
                         f"{other.text!r} with a decimal point; write all numbers alike.")
    if decided:
        found = next(iter(decided))
        if decimal is not None and decimal != found:
            cell = decided[found]
            raise InputError(f"{cell.place} reads {cell.text!r}, which has no meaning with a "
                             f"decimal {words[decimal]}; leave out --decimal, or write it anew.")
        return found, f"decimal {words[found]}"
    if decimal is not None:
        return decimal, f"decimal {words[decimal]}, as you said"
    if doubtful is not None:
        readings = parse(doubtful.text)
        assert readings is not None
        told = " or ".join(f"{value:.10g}" for value in readings.by_mark.values())
        raise InputError(f"{doubtful.place} reads {doubtful.text!r}, which may be {told}, and no "
                         "other number settles it; say --decimal comma or --decimal point.")
    return None, ""


def number(cell: Cell, mark: Mark | None, what: str) -> tuple[float, str]:
    """Return a cell's number and the unit that is written behind it.

    Parameters
    ----------
    cell : Cell
        The cell.
    mark : {",", "."}, optional
        The decimal mark, from `settle_mark`.
    what : str
        What it is, for the message: "the pull".

    Returns
    -------
    tuple of (float, str)
        In the unit that the file writes [that unit].

    Raises
    ------
    InputError
        If the cell holds no number, naming its place.
    """
    if cell.trouble:
        raise InputError(f"{cell.place}, {what}, {cell.trouble}.")
    if cell.value is not None:
        return cell.value, cell.unit
    reading = parse(cell.text)
    if reading is None:
        raise InputError(f"{cell.place}, {what}, reads {shown(cell.text)}; a number is accepted "
                         "there, or nothing.")
    value = reading.by_mark.get(mark) if mark else next(iter(reading.by_mark.values()))
    if value is None:
        raise InputError(f"{cell.place}, {what}, reads {cell.text!r}, which has no meaning with a "
                         f"decimal {'comma' if mark == ',' else 'point'}; write all numbers alike.")
    return value, reading.unit
