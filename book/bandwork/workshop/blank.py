"""Beginning a set-up file: the template, the schema that editors use, and a set-up as a file."""

import json
import math
from collections.abc import Iterator, Mapping
from dataclasses import fields
from importlib.resources import files
from typing import Any

from bandwork.doubt import INPUTS
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.rubber import handbook_rubber
from bandwork.setup import Assumptions, Quarry, Setup
from bandwork.validation import InputError
from bandwork.workshop.files import (
    KINDS,
    LONGEST_TEXT,
    MOST_PARTS,
    SCHEMA_NAME,
    SECTIONS,
    Key,
    keys_of,
    quoted,
)
from bandwork.workshop.quantities import EXAMPLES, UNITS, quantity

_SHORT = 9
_WITH_UNIT = '[0-9].*[A-Za-z"\N{DEGREE SIGN}\N{PER MILLE SIGN}]'
_SMALL = 0.05
"""Below this a length is written in millimetres first [m]."""
_UNITS_OF = {"m": ("cm", "mm", "m"), "N": ("kgf", "N"), "kg": ("g", "kg"), "m2": ("mm2",),
             "m3": ("ml",), "Pa": ("GPa", "MPa"), "degrees Celsius": ("C",), "rad": ("deg",)}
"""In which units a value is written, the first that writes it short and whole."""


def template() -> str:
    """Return a commented set-up of an invented diver, to begin with.

    Returns
    -------
    str
        TOML, which `files.read_gun` reads and `schema` allows.
    """
    return files("bandwork").joinpath("data/setup.toml").read_text(encoding="utf-8")


def shelf_template() -> str:
    """Return a commented shelf of invented parts, to begin with.

    Returns
    -------
    str
        TOML that `files.read_shelf` reads.
    """
    return files("bandwork").joinpath("data/shelf.toml").read_text("utf-8")


def schema() -> dict[str, Any]:
    """Return the JSON schema of set-up files, made from the library's dataclasses.

    Returns
    -------
    dict
        Of draft 2020-12.
    """
    parts = {name: _object(keys_of(kind)) for name, kind in KINDS.items()}
    length = keys_of(Setup)["assist_length"]
    assist = {"length": Key("length", "quantity", length.unit, low=length.low, high=length.high,
                            told=length.told)}
    doubts = {name: Key(name, "interval", lookup(one.key).unit, told=lookup(one.key).quantity)
              for name, one in INPUTS.items()}
    text = {"type": "string", "minLength": 1, "maxLength": LONGEST_TEXT}
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Bandwork set-up",
            "description": "One speargun, its water and who loads it. Results are estimates, never "
            "permission to load a gun.",
            "type": "object", "additionalProperties": False, "required": list(SECTIONS),
            "properties": {"name": text, "made_for": text, **parts, "assist": _object(assist),
                           "doubt": _object(doubts)}}


def schema_text() -> str:
    """Return the schema as the file that `bandwork new` writes.

    Returns
    -------
    str
        JSON.
    """
    return json.dumps(schema(), indent=1, ensure_ascii=False) + "\n"


def _object(keys: Mapping[str, Key], whole: bool = True) -> dict[str, Any]:
    """Return the schema of a section; `whole` if what it needs must be there."""
    found: dict[str, Any] = {"type": "object", "additionalProperties": False,
                             "properties": {name: _value(one) for name, one in keys.items()}}
    units = {f"^{name}_({'|'.join(_endings(one.unit))})$": _bare(one)
             for name, one in keys.items() if one.unit not in ("", "1")}
    if units:
        found["patternProperties"] = units
    needed = [{"oneOf": [{"required": [key]} for key in _spellings(one)]}
              for one in keys.values() if one.needed and whole]
    if needed:
        found["allOf"] = needed
    return found


def _endings(unit: str) -> list[str]:
    """Return the units that may end a key."""
    return [one.replace("/", "_per_") for one in UNITS[unit]
            if one.replace("/", "").isalnum() and one.isascii()]


def _spellings(one: Key) -> list[str]:
    if one.unit in ("", "1"):
        return [one.name]
    return [one.name, *(f"{one.name}_{unit}" for unit in _endings(one.unit))]


def _bare(one: Key) -> dict[str, Any]:
    """Return the schema of a value whose key ends with its unit."""
    number = {"type": "number"}
    return _three(number) if one.form == "interval" else number


def _three(end: dict[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": end, "minItems": 3, "maxItems": 3}


def _value(one: Key) -> dict[str, Any]:
    told = {"description": one.told} if one.told else {}
    if one.form == "part":
        return {**_object(keys_of(one.kind), whole=one.usual is None), **told}
    if one.form == "parts":
        return {"type": "array", "maxItems": MOST_PARTS, "items": _object(keys_of(one.kind)),
                **told}
    quantities: dict[str, Any] = {"type": "string", "pattern": _WITH_UNIT,
                                  "examples": [EXAMPLES.get(one.unit, "")]}
    if one.unit == "1":
        quantities = {"type": ["number", "string"]}
        quantities |= {name: end for name, end in (("minimum", one.low), ("maximum", one.high))
                       if math.isfinite(end)}
    forms: dict[str, dict[str, Any]] = {
        "quantity": quantities, "interval": _three(quantities), "flag": {"type": "boolean"},
        "count": {"type": "integer"}, "word": {"enum": list(one.choices)},
        "words": {"type": "array", "items": {"type": "string"}, "minItems": 1},
        "text": {"type": "string", "minLength": 1, "maxLength": LONGEST_TEXT},
        "rubber": {"type": "string", "examples": ["roll-7.rubber.toml"]}}
    return {**forms[one.form], **told}


def gun_text(name: str, made_for: str, setup: Setup, quarry: Quarry, assumptions: Assumptions,
             doubt: Mapping[str, Interval] | None = None, rubber: str = "",
             rubber_says_temperature: bool = True) -> str:
    """Return a set-up as a file, which `files.read_gun` reads back to the same numbers.

    What is as usual is left out.

    Parameters
    ----------
    name, made_for : str
        What the gun is called, and for whom; "" for nobody.
    setup, quarry, assumptions : Setup, Quarry, Assumptions
        Of single numbers.
    doubt : mapping of str to Interval, optional
        Ranges, by names of `doubt.INPUTS` [SI].
    rubber : str
        The band's rubber file, as a path from the set-up's folder; "" for the test rubber.
    rubber_says_temperature : bool
        Whether that file says at which temperature it was measured; then the set-up must not.

    Returns
    -------
    str
        TOML.

    Raises
    ------
    InputError
        If the band is of a rubber that no file is named for.
    """
    if not rubber and setup.band.rubber != handbook_rubber():
        raise InputError("The band is of a rubber of its own; give the file that holds it, such as "
                         '"roll-7.rubber.toml".')
    lines = [f"#:schema ./{SCHEMA_NAME}", "# Every result is an estimate, never permission to load "
             "a gun.", f"name = {quoted(name)}"]
    lines += [f"made_for = {quoted(made_for)}"] if made_for else []
    for section, kind in KINDS.items():
        part = {"quarry": quarry, "assumptions": assumptions}.get(section)
        part = getattr(setup, section) if part is None else part
        usual = kind() if section not in SECTIONS else None
        left_out = {"test_temperature"} if rubber and rubber_says_temperature \
            and section == "assumptions" else set()
        lines += _part(section, part, usual, rubber, left_out)
        if section == "water" and setup.assist_length:
            lines += ["", "[assist]", f"length = {_written(setup.assist_length, 'm')}"]
    if doubt:
        lines += ["", "[doubt]"]
        lines += [f"{key} = {_ends(one, lookup(INPUTS[key].key).unit)}"
                  for key, one in doubt.items()]
    return "\n".join([*lines, ""])


def _part(at: str, part: Any, usual: Any, rubber: str, left_out: set[str]) -> list[str]:
    """Return the lines of a section, without what is as usual."""
    kind: Any = type(part)
    keys = keys_of(kind)
    plain, below = [], []
    for name, one in keys.items():
        value = getattr(part, name)
        if one.form == "part":
            below += _part(f"{at}.{name}", value, one.usual, rubber, set())
        elif one.form == "parts":
            for each in value:
                below += ["", f"[[{at}.{name}]]", *_lines(keys_of(one.kind), each)]
        elif one.form == "rubber":
            plain += [f"{name} = {quoted(rubber)}"] if rubber else []
        elif name not in left_out and ((one.needed and usual is None)
                                       or value != _default(part, usual, name)):
            plain += _line(one, value)
    return [*(["", f"[{at}]", *plain] if plain else []), *below]


def _default(part: Any, usual: Any, name: str) -> Any:
    """Return the usual value of a field: that of a usual part, or the field's own default."""
    if usual is not None:
        return getattr(usual, name)
    one = next(one for one in fields(part) if one.name == name)
    return one.default_factory() if callable(one.default_factory) else one.default


def _lines(keys: Mapping[str, Key], part: Any) -> Iterator[str]:
    for name, one in keys.items():
        yield from _line(one, getattr(part, name))


def _line(one: Key, value: Any) -> list[str]:
    if value is None:
        return []
    if one.form == "flag":
        told = "true" if value else "false"
    elif one.form == "words":
        told = f"[{', '.join(map(quoted, value))}]"
    elif one.form == "interval":
        told = _ends(value, one.unit)
    elif one.form == "quantity":
        told = _written(value, one.unit)
    else:
        told = quoted(value) if isinstance(value, str) else str(value)
    return [f"{one.name} = {told}"]


def _ends(one: Interval, unit: str) -> str:
    return f"[{', '.join(_written(end, unit) for end in (one.low, one.best, one.high))}]"


def _written(value: float, unit: str) -> str:
    """Return a number as people write it, so that it is read back to the last digit."""
    number = float(value) + 0.0
    if unit == "1":
        return repr(int(number)) if number.is_integer() else repr(number)
    names = _UNITS_OF.get(unit, (unit,))
    if unit == "m" and abs(number) < _SMALL:
        names = ("mm", "cm", "m")
    for name in names:
        told = f"{number / UNITS[unit][name]:.10g}"
        if len(told) <= _SHORT and quantity(f"{told} {name}", unit, "") == number:
            return f'"{told} {name}"'
    return f'"{number!r} {"C" if unit == "degrees Celsius" else unit}"'
