"""Set-ups, shelves and rubbers as TOML files; the sections and keys are the library's own names.

What a key means is read from the library's dataclasses: its kind from the field's type, its unit
from the brackets in the docstring. So a field that the library gains can be given in a file.
"""

import math
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass, replace
from datetime import date, datetime
from functools import cache
from inspect import getdoc
from operator import attrgetter
from pathlib import Path, PureWindowsPath
from stat import S_ISREG
from types import NoneType
from typing import Any, Literal, TypeVar, get_args, get_origin

from bandwork.components import Band, Barrel, Diver, Shaft, ShootingLine, Water
from bandwork.doubt import INPUTS
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.rubber import LAWS, RubberLaw, handbook_rubber, scaled
from bandwork.setup import Assumptions, Quarry, Setup
from bandwork.validation import InputError, nearest, shown, single
from bandwork.workshop.quantities import in_unit, quantity, unit_of

LARGEST = 100_000
"""Most bytes of a file that is read."""
LONGEST_TEXT = 120
"""Most letters of a name."""
MOST_PARTS = 50
"""Most parts of a list."""
SCHEMA_NAME = "bandwork-setup.schema.json"
"""What the schema is called beside the set-ups that name it."""

_LONGEST_LINE = 1000
SECTIONS = ("diver", "band", "shaft", "barrel", "line")
"""The sections that a set-up must have."""
KINDS: dict[str, type] = {"diver": Diver, "band": Band, "shaft": Shaft, "barrel": Barrel,
                           "line": ShootingLine, "water": Water, "quarry": Quarry,
                           "assumptions": Assumptions}
"""The sections that are a dataclass each."""
_LISTS: dict[str, type] = {"barrels": Barrel, "tubes": Band, "shafts": Shaft,
                           "lines": ShootingLine}
_UNUSED_LENGTH = 0.5
"""Relaxed length of a shelf's tube that is still to be cut [m]; no result depends on it."""
_FIGURE = r"(-?[0-9]+(?:\.[0-9]+)?(?:e-?[0-9]+)?)"
_RANGE = re.compile(rf"\][^.;]*?, {_FIGURE}(?: \([^)]*\))? to {_FIGURE}")
"""How a docstring gives the range of a number, after its unit."""
Table = dict[str, Any]
Made = TypeVar("Made")


@dataclass(frozen=True)
class Key:
    """What one key of a file is.

    Attributes
    ----------
    name : str
        The field's name.
    form : str
        "quantity", "count", "flag", "word", "words", "text", "interval", "part", "parts" or
        "rubber".
    unit : str
        SI unit of quantities and intervals, a key of `quantities.UNITS`; "" for the rest.
    choices : tuple of str
        The words that are accepted; () if any.
    kind : type or None
        Dataclass of a part.
    needed : bool
        Whether it must be given.
    usual : object
        A part's usual value, whose fields stay where a file gives others; None if there is none.
    low, high : float
        Range accepted [its unit]; infinite where the docstring gives none in numbers.
    told : str
        What the library's docstring says of it.
    """

    name: str
    form: str
    unit: str
    choices: tuple[str, ...] = ()
    kind: Any = None
    needed: bool = False
    usual: Any = None
    low: float = -math.inf
    high: float = math.inf
    told: str = ""


@cache
def keys_of(kind: Any) -> dict[str, Key]:
    """Return the keys of a section, by name.

    Parameters
    ----------
    kind : type
        A dataclass of the library.

    Returns
    -------
    dict of str to Key

    Raises
    ------
    InputError
        If Python was started without docstrings.
    """
    told = _told(kind)
    return {one.name: _key(one, told.get(one.name, "")) for one in fields(kind)}


def _told(kind: type) -> dict[str, str]:
    """Return what the docstring of a dataclass says of each field."""
    text = getdoc(kind)
    if not text:
        raise InputError("Python runs without docstrings, in which the units stand; give no -OO.")
    part = text.partition("Parameters\n----------\n")[2]
    found: dict[str, str] = {}
    names: list[str] = []
    for line in re.split(r"\n\n\w+\n-+\n", part)[0].splitlines():
        if line and not line[0].isspace():
            names = [one.strip() for one in line.partition(" : ")[0].split(",")]
        else:
            found |= {name: f"{found.get(name, '')} {line.strip()}".strip() for name in names}
    return found


def _key(one: Field[Any], told: str) -> Key:
    plain = [part for part in get_args(one.type) or (one.type,) if part is not NoneType]
    usual = None
    needed = one.default is MISSING and one.default_factory is MISSING
    form, unit, choices, kind = "quantity", "", (), None
    if one.type is RubberLaw:
        form = "rubber"
    elif get_origin(one.type) is Literal:
        form, choices = "word", get_args(one.type)
    elif get_origin(one.type) is tuple:
        form, kind = ("parts", plain[0]) if is_dataclass(plain[0]) else ("words", None)
    elif Interval in plain:
        form = "interval"
    elif is_dataclass(plain[0]):
        form, kind = "part", plain[0]
        usual = one.default_factory() if one.default_factory is not MISSING else None
    elif one.type in (bool, str, int):
        form = {bool: "flag", str: "text", int: "count"}[one.type]
    if form in ("quantity", "interval"):
        found = re.search(r"\[(.+?)\]", told)
        unit = found[1] if found else "1"
    ends = _RANGE.search(told) if form == "quantity" else None
    low, high = map(float, ends.groups()) if ends else (-math.inf, math.inf)
    return Key(one.name, form, unit, choices, kind, needed, usual, low, high, told)


@dataclass(frozen=True)
class Rubber:
    """A rubber that was measured, as `bandwork fit` writes it.

    Attributes
    ----------
    name : str
        What you call it.
    law : RubberLaw
        How it pulls at `temperature`.
    stiffness : Interval
        Pull of the tube over that of the law [1]; its best is 1.
    temperature : float or None
        At which it was measured [degrees Celsius]; None if nobody wrote it down.
    longest_stretch : float or None
        To which it was pulled [1]; beyond it the law is a guess.
    measured : str
        The date, such as "2026-11-21"; "" if nobody wrote it down.
    source_file : str
        The file of readings; "" for none.
    factor : Interval or None
        Where the law is the handbook's times a factor: that factor [1].
    outer_diameter, bore : float or None
        Of the tube that was measured [m]; None if the file does not say.
    """

    name: str
    law: RubberLaw
    stiffness: Interval
    temperature: float | None = None
    longest_stretch: float | None = None
    measured: str = ""
    source_file: str = ""
    factor: Interval | None = None
    outer_diameter: float | None = None
    bore: float | None = None


@dataclass(frozen=True)
class GunFile:
    """A set-up as its file gives it.

    Attributes
    ----------
    path : Path
        The file.
    name : str
        What the gun is called; the file's name unless given.
    made_for : str
        For whom; "" if not given.
    setup : Setup
    quarry : Quarry
    assumptions : Assumptions
    doubt : dict of str to Interval
        The file's own ranges, by names of `doubt.INPUTS` [SI]: what [doubt] gives, then what the
        rubber file gives, then the usual range moved to a value that the file gives. Their best
        values are those in `setup` and `assumptions`.
    rubber_name : str
        Of the rubber file; "" for the handbook's test rubber.
    given : dict of str to str
        What was given, as written, by dotted key, in the file's order.
    rubber : Rubber or None
        What the rubber file says.
    """

    path: Path
    name: str
    made_for: str
    setup: Setup
    quarry: Quarry
    assumptions: Assumptions
    doubt: dict[str, Interval]
    rubber_name: str
    given: dict[str, str]
    rubber: Rubber | None = None

    @property
    def rubber_told(self) -> str:
        """What the answers say of the measured rubber; "" for the handbook's test rubber."""
        if not self.rubber_name:
            return ""
        day = f" on {self.rubber.measured}" if self.rubber and self.rubber.measured else ""
        return (f"Rubber: {self.rubber_name}, as it pulled when it was measured{day}. Rubber ages: "
                "pull it again each season.")


@dataclass(frozen=True)
class Shelf:
    """Parts on hand, for one diver.

    Attributes
    ----------
    path : Path
        The file.
    diver : Diver
    barrels : tuple of Barrel
    tubes : tuple of Band
        Where `cuts` is not 0, each with a relaxed length that means nothing.
    shafts : tuple of Shaft
    lines : tuple of ShootingLine
    water : Water
    quarry : Quarry
    assumptions : Assumptions
    cuts : int
        How many relaxed lengths to try for each tube and barrel [1]; 0 for tied bands.
    names : dict of str to tuple of str
        By "barrels", "tubes", "shafts" and "lines": what each part is called; "" where not given.
    given : dict of str to str
        What was given, as written, by dotted key, in the file's order.
    rubbers : tuple of (Rubber or None)
        What each tube's rubber file says.
    """

    path: Path
    diver: Diver
    barrels: tuple[Barrel, ...]
    tubes: tuple[Band, ...]
    shafts: tuple[Shaft, ...]
    lines: tuple[ShootingLine, ...]
    water: Water
    quarry: Quarry
    assumptions: Assumptions
    cuts: int
    names: dict[str, tuple[str, ...]]
    given: dict[str, str]
    rubbers: tuple[Rubber | None, ...]


class _Reading:
    """One file on its way to dataclasses: where it lies, and what was given so far."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.folder = path.parent.resolve()
        self.given: dict[str, str] = {}
        self.rubbers: dict[str, Rubber] = {}

    def part(self, kind: type, table: Any, place: str, usual: Any = None,
             extra: Mapping[str, Any] | None = None) -> Any:
        """Return a dataclass from a table of the file."""
        known = keys_of(kind)
        values = self.values(known, table, place)
        missing = [name for name, one in known.items()
                   if one.needed and name not in values and usual is None
                   and name not in (extra or {})]
        if missing:
            raise InputError(f"[{place}] lacks {' and '.join(missing)}; give "
                             f"{'it' if len(missing) == 1 else 'them'}, such as "
                             f"{missing[0]} = {_example(known[missing[0]])}.")
        try:
            if usual is not None:
                return replace(usual, **values)
            return kind(**{**(extra or {}), **values})
        except InputError as problem:
            raise InputError(f"[{place}]: {reworded(str(problem))}") from problem

    def values(self, known: Mapping[str, Key], table: Any, place: str) -> dict[str, Any]:
        """Return what a table gives, by field, each checked against its kind."""
        if not isinstance(table, dict):
            raise InputError(f"{place} is {shown(table)}; it must be a section: write [{place}] "
                             "on a line of its own and its keys below.")
        values: dict[str, Any] = {}
        for written, value in table.items():
            one, unit = _found(known, written, place)
            at = f"{place}.{one.name}" if place else one.name
            if one.name in values:
                raise InputError(f"{at} is given twice, the second time as {shown(written)}; "
                                 "give it once.")
            values[one.name] = self.value(one, value, unit, at)
        return values

    def value(self, one: Key, value: Any, unit: str | None, at: str) -> Any:
        """Return one value of the file in SI."""
        if one.form == "part":
            return self.part(one.kind, value, at, one.usual)
        if one.form == "parts":
            if not isinstance(value, list) or len(value) > MOST_PARTS:
                raise InputError(f"{at} is {shown(value)}; give up to {MOST_PARTS} parts, each "
                                 f"below a line [[{at}]].")
            return tuple(self.part(one.kind, part, f"{at}.{number}")
                         for number, part in enumerate(value, 1))
        if one.form == "rubber":
            return self.rubber(value, at)
        self.given[at] = _as_written(value, unit)
        if one.form == "interval":
            return self.interval(value, one.unit, unit, at)
        if one.form == "flag":
            if not isinstance(value, bool):
                raise InputError(f"{at} is {shown(value)}; accepted are true and false, without "
                                 "quotes.")
            return value
        if one.form == "count":
            if isinstance(value, bool) or not isinstance(value, int):
                raise InputError(f"{at} is {shown(value)}; accepted is a whole number, without "
                                 "quotes.")
            return in_unit(value, "1", "", at)
        if one.form == "words":
            if not isinstance(value, list) or not 1 <= len(value) <= MOST_PARTS:
                raise InputError(f"{at} is {shown(value)}; give words in quotes between square "
                                 'brackets, such as ["crimp"].')
            return tuple(_text(word, at) for word in value)
        if one.form in ("word", "text"):
            return _text(value, at)
        return _number(value, one.unit, unit, at)

    def interval(self, value: Any, kind: str, unit: str | None, at: str) -> Interval:
        """Return an interval from a list of low, best and high."""
        if not isinstance(value, list) or len(value) != 3:
            raise InputError(f"{at} is {shown(value)}; give low, best and high between square "
                             "brackets, such as [0.9, 1.0, 1.2].")
        ends = (_number(end, kind, unit, at) for end in value)
        try:
            return Interval(*ends)
        except InputError as problem:
            raise InputError(f"{at}: {problem}") from problem

    def rubber(self, value: Any, at: str) -> RubberLaw:
        """Return the law of the rubber file that a key names."""
        written = _text(value, at)
        self.given[at] = written
        path = inside(self.folder, written, at)
        if path.suffix.lower() in (".csv", ".xlsx"):
            raise InputError(f"{at} is {shown(written)}, which are readings; make a rubber of them "
                             f"with `bandwork fit {written} --write {path.stem}.rubber.toml` and "
                             "name that file.")
        if not path.exists():
            raise InputError(f"{at} is {shown(written)}, which is not there; `bandwork fit "
                             f"READINGS.csv --write {written}` writes it from a pull test. Without "
                             "this line the handbook's test rubber is taken.")
        try:
            rubber = read_rubber(path)
        except InputError as problem:
            raise InputError(f"{at}: {problem}") from problem
        self.rubbers[at] = rubber
        return rubber.law


def inside(folder: Path, written: str, at: str) -> Path:
    """Return the path of a file that another file names, which must lie in its folder or below.

    Parameters
    ----------
    folder : Path
        Of the file that names it.
    written : str
        As it is written there.
    at : str
        The key, for the message.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        If the path leads out of the folder, also by a symbolic link.
    """
    windows = PureWindowsPath(written)
    home = folder.resolve()
    path = home / written
    try:
        out = (bool(windows.anchor) or ".." in windows.parts or "\\" in written or "\0" in written
               or not path.resolve().is_relative_to(home))
    except (OSError, ValueError, RuntimeError):
        out = True
    if out:
        raise InputError(f"{at} is {shown(written)}, which may lie elsewhere; give a file in the "
                         'same folder or below it, such as "roll-7.rubber.toml".')
    return path


def _found(known: Mapping[str, Key], written: str, place: str) -> tuple[Key, str | None]:
    """Return the field that a key means, and the unit if the key ends with one."""
    if written in known:
        return known[written], None
    for name, one in known.items():
        if written.startswith(f"{name}_") and one.unit and one.unit != "1":
            unit = written[len(name) + 1:].replace("_per_", "/")
            return one, unit_of(one.unit, unit, f"{place}.{written}" if place else written)
    where = f"[{place}]" if place else "The file"
    raise InputError(f"{where} has no key {shown(written)}; nearest: {nearest(written, known)}. "
                     f"It takes {_some(known)}.")


def _some(names: Mapping[str, Key]) -> str:
    listed = list(names)
    return ", ".join(listed[:12]) + (" and others" if len(listed) > 12 else "")


def _example(one: Key) -> str:
    if one.name in ("diameter", "outer_diameter", "bore"):
        return '"3 mm"' if one.name == "bore" else '"16 mm"' if "outer" in one.name else '"7 mm"'
    if one.form == "quantity":
        return {"m": '"65 cm"', "N": '"50 kgf"', "kg": '"450 g"', "m3": '"300 ml"'}.get(
            one.unit, "0.1")
    return '"reel"' if one.form == "text" else "2"


def _number(value: Any, kind: str, unit: str | None, at: str) -> float:
    if unit is None:
        return quantity(value, kind, at)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise InputError(f"{at} is {shown(value)}, and its key ends with the unit {unit}; give a "
                         "number without quotes there.")
    return in_unit(value, kind, unit, at)


def _text(value: Any, at: str) -> str:
    if not isinstance(value, str) or not 1 <= len(value.strip()) <= LONGEST_TEXT \
            or not value.isprintable():
        raise InputError(f"{at} is {shown(value)}; give a text in quotes on one line, of 1 to "
                         f"{LONGEST_TEXT} letters.")
    return value.strip()


def _as_written(value: Any, unit: str | None) -> str:
    if isinstance(value, list):
        return ", ".join(_as_written(one, unit) for one in value[:MOST_PARTS])
    told = str(value).lower() if isinstance(value, bool) else str(shown(value)) \
        if not isinstance(value, str) else value.strip()
    return f"{told} {unit}" if unit else told


def load(path: Path) -> Table:
    """Return what a TOML file says.

    Parameters
    ----------
    path : Path
        A file of at most `LARGEST` bytes.

    Returns
    -------
    dict

    Raises
    ------
    InputError
        If there is no such file, it is too large, no text in UTF-8, or no TOML; then the message
        names line and column.
    """
    try:
        found = path.stat()
        if not S_ISREG(found.st_mode):
            raise InputError(f"{path} is not a file; give the name of a TOML file.")
        if found.st_size > LARGEST:
            raise InputError(f"{path} has {found.st_size} bytes; accepted are files of at most "
                             f"{LARGEST}.")
        with path.open("rb") as file:
            raw = file.read(LARGEST + 1)
    except FileNotFoundError:
        raise InputError(f"{path} is not there; check the name and the folder. `bandwork new "
                         "FILE` writes a set-up to begin with.") from None
    except InputError:
        raise
    except (OSError, ValueError) as problem:
        told = getattr(problem, "strerror", None) or problem
        raise InputError(f"{shown(str(path))} cannot be read ({told}); give another "
                         "file.") from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise InputError(f"{path} is no text in UTF-8, from byte {problem.start + 1}; save it with "
                         "the encoding UTF-8.") from None
    if any(len(line) > _LONGEST_LINE for line in text.splitlines()):
        raise InputError(f"{path} has a line of more than {_LONGEST_LINE} letters; give shorter "
                         "ones.")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise InputError(f"{path} is no TOML: {_toml_told(str(problem))}. Write each line as "
                         f'key = "value" or [section]{_unquoted(str(problem), text)}.') from None
    except (ValueError, RecursionError, OverflowError):
        raise InputError(f"{path} is no TOML that can be read; give numbers and texts as `bandwork "
                         "new` writes them.") from None


def _unquoted(message: str, text: str) -> str:
    """Return how a line is quoted whose value lacks straight quotes; "" for other slips."""
    at = re.search(r"line (\d+)", message)
    line = text.splitlines()[int(at[1]) - 1] if at else ""
    found = re.fullmatch(r"\s*(\w+)\s*=\s*[\u201c\u201d\u201e\u2018\u2019']?"
                         r"([\d.,/ -]+[^\W\d_]+\d?)[\u201c\u201d\u2018\u2019']?\s*(?:#.*)?", line)
    return f', here {found[1]} = "{found[2]}" with straight quotes' if found else ""


def _toml_told(message: str) -> str:
    return " ".join(message.replace("(", "").replace(")", "").split())


def reworded(told: str) -> str:
    """Return a refusal without the advice to give SI numbers: in a file the unit is written.

    Parameters
    ----------
    told : str

    Returns
    -------
    str
    """
    if told.startswith("path_length stretches"):
        told = (f"loading {told.removeprefix('path_length ')} Or look for a slip in "
                "band.relaxed_length and its unit.")
    return re.sub(r" Give it in [a-z ]+(?:: .+)?\.$", "", told)


def named(path: Path, problem: InputError) -> InputError:
    """Return a refusal that names the file.

    Parameters
    ----------
    path : Path
        The file.
    problem : InputError
        What is wrong with it.

    Returns
    -------
    InputError

    Raises
    ------
    InputError
        Never: it is returned.
    """
    told = reworded(str(problem))
    return problem if told.startswith(str(path)) else InputError(f"{path}: {told}")


def _top(reading: _Reading, table: Table, texts: Mapping[str, str], known: tuple[str, ...]
         ) -> dict[str, str]:
    """Return the texts at the top of a file, and refuse a key or section that it cannot have."""
    for written in table:
        if written not in known and written not in texts:
            raise InputError(f"There is no section or key {shown(written)}; nearest: "
                             f"{nearest(written, (*known, *texts))}.")
    found = dict(texts)
    for name in texts:
        if name in table:
            found[name] = _text(table[name], name)
            reading.given[name] = found[name]
    return found


def _read(path: Path | str, made: Callable[[Path, Table], Made]) -> Made:
    """Return what a file gives, or refuse it by its name."""
    file = Path(path)
    try:
        return made(file, load(file))
    except InputError as problem:
        raise named(file, problem) from problem


def read_gun(path: Path | str) -> GunFile:
    """Return the set-up that a file gives.

    Parameters
    ----------
    path : Path or str
        A TOML file such as `bandwork new` writes.

    Returns
    -------
    GunFile

    Raises
    ------
    InputError
        In one sentence that names the file and the key.
    """
    return _read(path, _gun)


def _gun(path: Path, table: Table) -> GunFile:
    reading = _Reading(path)
    if "source_file" in table or "factor" in table:
        raise InputError("This is a rubber, no set-up; name it in a set-up's section [band] as "
                         f'rubber = "{path.name}".')
    if "tubes" in table:
        raise InputError("This is a shelf, no set-up; `bandwork search` goes through it, and its "
                         "--write makes a set-up of what it finds.")
    texts = _top(reading, table, {"name": path.stem, "made_for": ""},
                 (*KINDS, "assist", "doubt"))
    for name in SECTIONS:
        if name not in table:
            raise InputError(f"The section [{name}] is missing; write it with "
                             f"{' and '.join(_needs(KINDS[name]))}.")
    parts = _parts(reading, table)
    assist = {"length": replace(keys_of(Setup)["assist_length"], name="length")}
    doubts = {name: Key(name, "interval", lookup(one.key).unit)
              for name, one in INPUTS.items()}
    length: dict[str, Any] = {}
    doubt: dict[str, Interval] = {}
    for section in table:  # in the file's order, for `given`
        if section == "assist":
            length = reading.values(assist, table[section], section)
        elif section == "doubt":
            doubt = reading.values(doubts, table[section], section)
    taken, quarry = parts.pop("assumptions"), parts.pop("quarry")
    try:
        setup = Setup(**parts, assist_length=length.get("length", 0.0))
    except InputError as problem:
        raise InputError(f"[assist]: {reworded(str(problem))}") from problem
    rubber = reading.rubbers.get("band.rubber")
    if rubber is not None:
        taken = _at_its_temperature(taken, [rubber], reading.given)
        doubt.setdefault("tube_stiffness", rubber.stiffness)
        # The readings hold the tube's age up to the day when it was pulled.
        doubt.setdefault("ageing_loss", Interval(0.0, 0.0, 0.0))
    (setup, taken), doubt = _settled((setup, taken), doubt, reading.given)
    return GunFile(path, texts["name"], texts["made_for"], setup, quarry, taken,
                   {**_moved(setup, taken), **doubt}, rubber.name if rubber else "",
                   _in_order(table, reading.given), rubber)


def _parts(reading: _Reading, table: Table) -> dict[str, Any]:
    """Return the sections of a set-up that are dataclasses, those left out as usual."""
    return {name: reading.part(kind, table[name], name) if name in table else kind()
            for name, kind in KINDS.items() if name in table or name not in SECTIONS}


def _needs(kind: type) -> list[str]:
    return [name for name, one in keys_of(kind).items() if one.needed]


def _in_order(table: Table, given: Mapping[str, str]) -> dict[str, str]:
    """Return what was given, section by section in the file's order."""
    place = {name: number for number, name in enumerate(table)}
    return {key: given[key] for key in
            sorted(given, key=lambda key: place.get(key.split(".")[0], len(place)))}


def _at_its_temperature(taken: Assumptions, rubbers: list[Rubber], given: Mapping[str, str]
                        ) -> Assumptions:
    """Return the assumptions with the temperature at which the rubbers were measured."""
    measured = {one.temperature for one in rubbers if one.temperature is not None}
    if not measured:
        return taken
    if "assumptions.test_temperature" in given:
        raise InputError("assumptions.test_temperature is given, and a rubber file gives its own "
                         "temperature; leave the first one out.")
    if len(measured) > 1:
        raise InputError(f"The rubbers were measured at {_listed(measured)} degrees Celsius; one "
                         "temperature is accepted in a file. Give each its own file.")
    return replace(taken, test_temperature=measured.pop())


def _listed(values: set[float]) -> str:
    return " and ".join(f"{one:g}" for one in sorted(values))


_FIELDS = {"sheave_friction": "barrel.sheave_friction",
           "temperature_share": "assumptions.temperature_share",
           "hysteresis_loss": "assumptions.shot.hysteresis_loss",
           "drag_nose": "assumptions.drag.nose", "drag_wing": "assumptions.drag.wing",
           "drag_cross_flow": "assumptions.drag.cross_flow",
           "drag_line": "assumptions.drag.line_tangential",
           "handle_mass": "barrel.handle.mass", "handle_volume": "barrel.handle.volume",
           "muzzle_mass": "barrel.muzzle.mass", "muzzle_volume": "barrel.muzzle.volume",
           "breaking_strength": "line.breaking_strength", "line_stiffness": "line.stiffness"}
"""Where the value of an uncertain input stands in a file, of those that have a place."""

_ABOUT_BEST: dict[str, Callable[[float, float], float]] = {
    "tube_stiffness": lambda end, best: end / best,
    "batch_length_spread": lambda end, best: end - best,
    "ageing_loss": lambda end, best: 1 - (1 - end) / (1 - best)}
"""An end of a range once the best value is in the set-up, of the others."""


def _settled(gun: tuple[Setup, Assumptions], doubt: Mapping[str, Interval],
             given: Mapping[str, str]
             ) -> tuple[tuple[Setup, Assumptions], dict[str, Interval]]:
    """Return set-up and assumptions with the best of each range in place, and the ranges there."""
    left: dict[str, Interval] = {}
    for name, one in doubt.items():
        at = _FIELDS.get(name, "")
        if at in given and attrgetter(at)(_Named(*gun)) != one.best:
            raise InputError(f"doubt.{name} has {one.best:g} in its middle, but {at} is "
                             f"{given[at]}; give one of them, or both alike.")
        try:
            for end in (one.low, one.high, one.best):
                moved = INPUTS[name].put(gun, end)  # type: ignore[arg-type]
        except InputError as problem:
            raise InputError(f"doubt.{name}: {reworded(str(problem))}") from problem
        gun = moved
        left[name] = one
        if name in _ABOUT_BEST:
            left[name] = Interval(*(_ABOUT_BEST[name](end, one.best)
                                    for end in (one.low, one.best, one.high)))
    return gun, left


class _Named:
    """Set-up and assumptions under the names of a file's sections."""

    def __init__(self, setup: Setup, assumptions: Assumptions) -> None:
        self.barrel, self.line, self.assumptions = setup.barrel, setup.line, assumptions


def _moved(setup: Setup, taken: Assumptions) -> dict[str, Interval]:
    """Return the ranges of inputs whose value the file gives, scaled to it from the handbook's.

    Those of masses, volumes and the line are scaled by `doubt.usual_ranges`.
    """
    found = {}
    for name, at in _FIELDS.items():
        row, value = lookup(INPUTS[name].key).interval, attrgetter(at)(_Named(setup, taken))
        if not INPUTS[name].relative and value != row.best:
            high = value * row.high / row.best
            found[name] = Interval(value * row.low / row.best, value, min(high, _highest(at)))
    return found


def _highest(at: str) -> float:
    """Return the most that the library takes at a dotted key."""
    section, *way = at.split(".")
    kind = KINDS[section]
    for name in way[:-1]:
        kind = keys_of(kind)[name].kind
    return keys_of(kind)[way[-1]].high


def read_shelf(path: Path | str) -> Shelf:
    """Return the parts that a shelf file gives.

    Parameters
    ----------
    path : Path or str
        A TOML file with [diver], [[barrels]], [[tubes]], [[shafts]], [[lines]].

    Returns
    -------
    Shelf

    Raises
    ------
    InputError
        In one sentence that names the file and the key.
    """
    return _read(path, _shelf)


def _shelf(path: Path, table: Table) -> Shelf:
    reading = _Reading(path)
    if "band" in table:
        raise InputError("This is a set-up, no shelf; `bandwork new shelf.toml` writes a shelf to "
                         "begin with.")
    _top(reading, table, {"name": path.stem},
         ("diver", *_LISTS, "water", "quarry", "assumptions", "cuts"))
    if "diver" not in table:
        raise InputError("The section [diver] is missing; write it with load_capacity and reach.")
    cuts = int(single("cuts", in_unit(table.get("cuts", 4), "1", "", "cuts"), 0, 50, ""))
    if cuts != table.get("cuts", 4):
        raise InputError(f"cuts is {shown(table['cuts'])}; accepted is a whole number, 0 to 50.")
    if "cuts" in table:
        reading.given["cuts"] = str(cuts)
    lists: dict[str, tuple[Any, ...]] = {}
    names: dict[str, tuple[str, ...]] = {}
    for section, kind in _LISTS.items():
        given = table.get(section)
        if not isinstance(given, list) or not 1 <= len(given) <= MOST_PARTS \
                or not all(isinstance(one, dict) for one in given):
            raise InputError(f"{section} is {'missing' if given is None else shown(given)}; give "
                             f"1 to {MOST_PARTS} parts, each below a line [[{section}]].")
        called, made = [], []
        for number, one in enumerate(given, 1):
            at = f"{section}.{number}"
            called.append(_text(one["name"], f"{at}.name") if "name" in one else "")
            extra = {"relaxed_length": _UNUSED_LENGTH} if kind is Band and cuts else None
            made.append(reading.part(kind, {key: value for key, value in one.items()
                                            if key != "name"}, at, extra=extra))
        names[section], lists[section] = tuple(called), tuple(made)
    diver, water, quarry, taken = (
        reading.part(KINDS[name], table[name], name) if name in table else KINDS[name]()
        for name in ("diver", "water", "quarry", "assumptions"))
    rubbers = tuple(reading.rubbers.get(f"tubes.{number}.rubber")
                    for number in range(1, len(lists["tubes"]) + 1))
    taken = _at_its_temperature(taken, [one for one in rubbers if one], reading.given)
    return Shelf(path, diver, **lists, water=water, quarry=quarry, assumptions=taken, cuts=cuts,
                 names=names, given=_in_order(table, reading.given), rubbers=rubbers)


_LAW_NAMES = {name.lower(): kind for name, kind in LAWS.items()}


def read_rubber(path: Path | str) -> Rubber:
    """Return the rubber that a file gives.

    Parameters
    ----------
    path : Path or str
        A TOML file such as `bandwork fit` writes.

    Returns
    -------
    Rubber

    Raises
    ------
    InputError
        In one sentence that names the file and the key.
    """
    return _read(path, _rubber)


def _rubber(path: Path, table: Table) -> Rubber:
    reading = _Reading(path)
    day = table.get("measured")
    if isinstance(day, date) and not isinstance(day, datetime):
        table = {**table, "measured": day.isoformat()}
    texts = _top(reading, table, {"name": path.stem, "measured": "", "source_file": ""},
                 ("law", "factor", "temperature", "longest_stretch", "stiffness", *_TUBE))
    if texts["measured"]:
        try:
            date.fromisoformat(texts["measured"])
        except ValueError:
            raise InputError(f"measured is {shown(texts['measured'])}; give a date such as "
                             '"2026-11-21".') from None
    if ("law" in table) == ("factor" in table):
        raise InputError("A rubber has either a section [law] or a factor = [low, best, high]; "
                         "give one of them.")
    stiffness = Interval(1, 1, 1)
    factor = None
    if "factor" in table:
        factor = _relative(reading.interval(table["factor"], "1", None, "factor"), "factor")
        law: RubberLaw = scaled(handbook_rubber(), factor.best)
        stiffness = factor.map(lambda one: one / factor.best)
        if "stiffness" in table:
            raise InputError("[stiffness] is given beside a factor, which holds its own interval; "
                             "give one of them.")
    else:
        law = _law(table["law"])
        if "stiffness" in table:
            ends = {name: Key(name, "quantity", "1", needed=True)
                    for name in ("low", "best", "high")}
            given = reading.values(ends, table["stiffness"], "stiffness")
            if given.keys() != ends.keys():
                raise InputError("[stiffness] needs low, best and high; give all three.")
            try:
                stiffness = _relative(Interval(**given), "stiffness")
            except InputError as problem:
                raise InputError(f"[stiffness]: {problem}") from problem
    temperature = None if "temperature" not in table else single(
        "temperature", quantity(table["temperature"], "degrees Celsius", "temperature"), -2, 45,
        "degrees Celsius")
    longest = None if "longest_stretch" not in table else single(
        "longest_stretch", quantity(table["longest_stretch"], "1", "longest_stretch"), 1, 15, "")
    tube = {name: single(name, quantity(table[name], "m", name), 0, 0.1, "m")
            for name in _TUBE if name in table}
    return Rubber(texts["name"], law, stiffness, temperature, longest, texts["measured"],
                  texts["source_file"], factor, **tube)


_TUBE = ("outer_diameter", "bore")


def _relative(given: Interval, at: str) -> Interval:
    single(at, given.low, 0.1, 10, "")
    single(at, given.high, 0.1, 10, "")
    return given


def _law(table: Any) -> RubberLaw:
    if not isinstance(table, dict):
        raise InputError(f"law is {shown(table)}; write it as a section [law].")
    kind = _LAW_NAMES.get(str(table.get("kind")).lower())
    if kind is None:
        raise InputError(f"law.kind is {shown(table.get('kind'))}; accepted are "
                         f"{', '.join(_LAW_NAMES)}.")
    known = {name: Key(name, "quantity", one.unit or "1", needed=True)
             for name, one in kind.parameters.items()}
    values: dict[str, float] = {}
    for written, value in table.items():
        if written == "kind":
            continue
        one, unit = _found(known, written, "law")
        if one.name in values:
            raise InputError(f"law.{one.name} is given twice; give it once.")
        values[one.name] = _number(value, one.unit, unit, f"law.{one.name}")
    missing = [name for name in known if name not in values]
    if missing:
        raise InputError(f"[law] lacks {' and '.join(missing)}; give every parameter of the "
                         f"{kind.name} law.")
    try:
        law = kind(**values)
    except InputError as problem:
        raise InputError(f"[law]: {reworded(str(problem))}") from problem
    if law.usable_stretch < _LEAST_STRETCH:
        raise InputError(f"[law]: this {kind.name} law pulls less and less from stretch "
                         f"{law.usable_stretch:.2f}; give the parameters of a rubber.")
    return law


_LEAST_STRETCH = 1.5


def unusual(times: float) -> list[str]:
    """Return the caution for a tube that pulls as hardly one does.

    Parameters
    ----------
    times : float
        Its pull over that of the test rubber [1].

    Returns
    -------
    list of str
        One sentence, or none within the handbook's `rubber.tube_stiffness`.
    """
    usual = lookup("rubber.tube_stiffness")
    if usual.low <= times <= usual.high:
        return []
    return [f"This tube pulls {times:.2f} times the test rubber, where {usual.low:g} to "
            f"{usual.high:g} times is usual (assumed): was one leg pulled, not two, the distance "
            "of the marks written, not what was added to it, and the right unit? If so, pull it "
            "again on another scale before you rely on it."]


def rubber_text(rubber: Rubber) -> str:
    """Return the file of a rubber, which `read_rubber` reads back to the same numbers.

    Parameters
    ----------
    rubber : Rubber

    Returns
    -------
    str
        TOML.
    """
    lines = ["# A rubber, measured; a set-up names this file as rubber in its section [band].",
             f"name = {quoted(rubber.name)}"]
    lines += [f"{name} = {quoted(value)}" for name, value in
              (("measured", rubber.measured), ("source_file", rubber.source_file)) if value]
    if rubber.temperature is not None:
        lines.append(f'temperature = "{rubber.temperature!r} C"')
    if rubber.longest_stretch is not None:
        lines.append(f"longest_stretch = {float(rubber.longest_stretch)!r}")
    lines += [f'{name} = "{float(size)!r} m"' for name in _TUBE
              if (size := getattr(rubber, name)) is not None]
    if rubber.factor is not None:
        low, best, high = (float(one) for one in
                           (rubber.factor.low, rubber.factor.best, rubber.factor.high))
        return "\n".join([*lines, "# Pull over that of the handbook's test rubber: low, best, high",
                          f"factor = [{low!r}, {best!r}, {high!r}]", ""])
    lines += ["", "[law]", f'kind = "{rubber.law.name.lower()}"']
    lines += [f'{name} = "{float(getattr(rubber.law, name))!r} Pa"' if one.unit else
              f"{name} = {float(getattr(rubber.law, name))!r}"
              for name, one in rubber.law.parameters.items()]
    lines += ["", "# Pull of the tube over that of the law", "[stiffness]"]
    lines += [f"{name} = {float(getattr(rubber.stiffness, name))!r}"
              for name in ("low", "best", "high")]
    return "\n".join([*lines, ""])


def quoted(text: str) -> str:
    """Return a text as TOML writes it, on one line and no longer than a file may hold.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
    """
    clean = "".join(one if one.isprintable() else " " for one in text)[:LONGEST_TEXT].strip()
    return '"' + clean.replace("\\", "\\\\").replace('"', '\\"') + '"'
