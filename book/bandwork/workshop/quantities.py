"""Quantities as people write them: "120 cm", "16mm", "5/16 in", "55 kgf", "20 C"; and back.

A kind of quantity goes by its SI unit as the library's docstrings write it, such as "m" for a
length or "1" for a pure number. What can be read in two ways is refused, never guessed.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from bandwork.units import metre_from_inch, newton_from_kgf, newton_from_lbf
from bandwork.validation import InputError, shown

_INCH = metre_from_inch(1)
_POUND = newton_from_lbf(1) / newton_from_kgf(1)
_GRAVITY = newton_from_kgf(1)
_FOOT, _OUNCE = 12 * _INCH, _POUND / 16
_DEGREE = math.pi / 180

UNITS: dict[str, dict[str, float]] = {
    "1": {"%": 0.01, "percent": 0.01},
    "m": {"m": 1, "cm": 0.01, "mm": 0.001, "in": _INCH, "ft": _FOOT, "inch": _INCH,
          "inches": _INCH, '"': _INCH},
    "N": {"N": 1, "kgf": _GRAVITY, "kg": _GRAVITY, "lbf": _POUND * _GRAVITY,
          "lb": _POUND * _GRAVITY, "lbs": _POUND * _GRAVITY, "kN": 1000, "g": _GRAVITY / 1000},
    "kg": {"kg": 1, "g": 0.001, "lb": _POUND, "lbs": _POUND, "oz": _OUNCE},
    "m2": {"m2": 1, "cm2": 1e-4, "mm2": 1e-6, "in2": _INCH**2},
    "m3": {"m3": 1, "l": 1e-3, "ml": 1e-6, "cm3": 1e-6, "litre": 1e-3, "liter": 1e-3,
           "in3": _INCH**3},
    "kg/m3": {"kg/m3": 1, "g/cm3": 1000, "lb/ft3": _POUND / _FOOT**3},
    "Pa": {"Pa": 1, "kPa": 1e3, "MPa": 1e6, "GPa": 1e9, "N/mm2": 1e6,
           "psi": _POUND * _GRAVITY / _INCH**2},
    "degrees Celsius": {"C": 1, "F": 5 / 9, "K": 1, "celsius": 1, "fahrenheit": 5 / 9},
    "g/kg": {"g/kg": 1, "\N{PER MILLE SIGN}": 1},
    "rad": {"rad": 1, "deg": _DEGREE, "degrees": _DEGREE, "\N{DEGREE SIGN}": _DEGREE,
            "turn": 2 * math.pi, "turns": 2 * math.pi},
    "rad/s": {"rad/s": 1, "deg/s": _DEGREE, "\N{DEGREE SIGN}/s": _DEGREE},
    "J": {"J": 1, "kJ": 1000},
    "N m": {"N m": 1, "Nm": 1, "lbf in": _POUND * _GRAVITY * _INCH},
    "s": {"s": 1, "ms": 0.001, "min": 60},
    "m/s": {"m/s": 1, "ft/s": _FOOT, "km/h": 1 / 3.6},
}
"""By SI unit: what else is read, and how many of the SI unit it is. A load in kilograms is what a
luggage scale shows, kilogram-force; one in pounds is pound-force."""

_ZERO = {"F": -32 * 5 / 9, "fahrenheit": -32 * 5 / 9, "K": -273.15}
"""What a temperature scale's zero is in degrees Celsius."""

EXAMPLES = {"m": "120 cm", "N": "55 kgf", "kg": "450 g", "m2": "20 mm2", "m3": "380 ml",
            "kg/m3": "950 kg/m3", "Pa": "0.24 MPa", "degrees Celsius": "20 C", "g/kg": "35 g/kg",
            "rad": "180 deg", "rad/s": "60 deg/s", "J": "30 J", "N m": "0.2 N m",
            "s": "250 ms", "m/s": "25 m/s", "1": "0.05"}
_SPOKEN = str.maketrans({"\N{SUPERSCRIPT TWO}": "2", "\N{SUPERSCRIPT THREE}": "3", "^": None,
                         "\N{MINUS SIGN}": "-", "\N{FRACTION SLASH}": "/",
                         "\N{NO-BREAK SPACE}": " ", "\N{NARROW NO-BREAK SPACE}": " ",
                         "\N{THIN SPACE}": " ",
                         "\N{DOUBLE PRIME}": '"', "\N{RIGHT DOUBLE QUOTATION MARK}": '"'})
_FRACTION = r"[0-9]{1,3}[ -][0-9]{1,3}/[0-9]{1,3}|[0-9]{1,3}/[0-9]{1,3}"
_NUMBER = re.compile(r"\s*([+-]?(?:" + _FRACTION + r"|[0-9.,][0-9., ']*(?:[eE][+-]?[0-9]{1,3})?))"
                     r"\s*([^0-9.,\s].*)?", re.DOTALL)
_LONGEST = 60
_MOST = 1e15


def number(text: str, decimal: str = "", name: str = "The number") -> float:
    """Return the number that a text shows.

    Parameters
    ----------
    text : str
        Such as "12.5", "12,5", "1 200,5", "1'200.5" or "2e5", without a unit.
    decimal : {"", ".", ","}
        The decimal mark, if it is known; then the other one can only group thousands. Without it a
        comma before exactly three digits is refused, as it could be either.
    name : str
        What the number is called in the message.

    Returns
    -------
    float
        [of what the text says].

    Raises
    ------
    InputError
        If the text is no number, or can be read as two.

    Examples
    --------
    >>> number("12,5"), number("1.234,5"), number("1.200", decimal=",")
    (12.5, 1234.5, 1200.0)
    """
    if decimal not in ("", ".", ","):
        raise InputError(f"decimal is {shown(decimal)}; accepted are '.', ',' and '' for unknown.")
    if not isinstance(text, str) or len(text) > _LONGEST:
        raise _no_number(name, text)
    plain = text.translate(_SPOKEN).strip()
    digits, mark, power = plain.partition("e" if "e" in plain else "E")
    sign, digits = ("-", digits[1:]) if digits[:1] == "-" else ("", digits.removeprefix("+"))
    last = max(digits.rfind("."), digits.rfind(","))
    point = decimal or (digits[last] if last >= 0 else ".")
    if not decimal and digits.count(point) > 1:
        point = "." if point == "," else ","
    whole, dot, part = digits.partition(point)
    if not decimal and dot == "," and not set(digits) & set(". '") \
            and re.fullmatch("[1-9][0-9]{0,2}", whole) and re.fullmatch("[0-9]{3}", part):
        raise InputError(f"{name} is {shown(text)}, which can be {whole}.{part} or {whole}{part}; "
                         f"write it with a decimal point ({whole}.{part}) or without a mark "
                         f"({whole}{part}).")
    groups = re.split("[" + re.escape({".": ",", ",": "."}[point]) + " ']", whole)
    if len(groups) > 1 and not (re.fullmatch("[0-9]{1,3}", groups[0])
                                and all(re.fullmatch("[0-9]{3}", one) for one in groups[1:])):
        raise _no_number(name, text)
    try:
        if not re.fullmatch("[0-9]*", part) or not re.fullmatch("[0-9]*", "".join(groups)) \
                or (mark and not re.fullmatch("[+-]?[0-9]{1,3}", power)):
            raise ValueError
        found = float(f"{sign}{''.join(groups)}.{part}{mark}{power}")
    except ValueError:
        raise _no_number(name, text) from None
    return _sound(found, name, text)


def _no_number(name: str, text: Any) -> InputError:
    return InputError(f"{name} is {shown(text)}; a number is accepted here, such as 12.5.")


def _sound(value: float, name: str, given: Any) -> float:
    if not math.isfinite(value) or abs(value) > _MOST:
        raise InputError(f"{name} is {shown(given)}, which is no number that can be measured; "
                         "give a finite one.")
    if value == 0 and math.copysign(1, value) < 0:
        raise InputError(f"{name} is {shown(given)}; a zero has no sign, so give 0.")
    return value


def quantity(given: Any, kind: str, name: str) -> float:
    """Return a quantity in SI from what somebody wrote.

    Parameters
    ----------
    given : str, int or float
        Such as "120 cm"; a number alone only where the kind is a pure number [1].
    kind : str
        The SI unit it has, a key of `UNITS`.
    name : str
        What the quantity is called in the message.

    Returns
    -------
    float
        [the unit `kind`].

    Raises
    ------
    InputError
        If it is no quantity of that kind, has no unit, or can be read in two ways.

    Examples
    --------
    >>> quantity("120 cm", "m", "length"), quantity("5/16 in", "m", "diameter")
    (1.2, 0.0079375)
    """
    if kind not in UNITS:
        raise InputError(f"kind is {shown(kind)}; accepted are {', '.join(UNITS)}.")
    if isinstance(given, (int, float)) and not isinstance(given, bool):
        if kind != "1":
            raise InputError(f"{name} is {shown(given)} without a unit; write it with one in "
                             f'quotes, such as "{EXAMPLES[kind]}".')
        return in_unit(given, kind, "", name)
    if not isinstance(given, str):
        raise InputError(f"{name} is {shown(given)}; accepted is a quantity such as "
                         f'"{EXAMPLES[kind]}".')
    match = _NUMBER.fullmatch(given.translate(_SPOKEN)) if len(given) <= _LONGEST else None
    if match is None:
        raise InputError(f"{name} is {shown(given)}; accepted is a number with its unit, such as "
                         f'"{EXAMPLES[kind]}".')
    figures, unit = match[1].strip(), (match[2] or "").strip()
    if not unit and kind != "1":
        raise InputError(f"{name} is {shown(given)} without a unit; write it with one, such as "
                         f'"{EXAMPLES[kind]}".')
    if "/" not in figures:
        return in_unit(number(figures, name=name), kind, unit, name)
    if unit_of(kind, unit, name) not in ("in", "inch", "inches", '"', "ft"):
        raise InputError(f"{name} is {shown(given)}; a fraction is accepted in inches, such as "
                         '"5/16 in"; write others with a decimal point.')
    try:
        sign = -1 if figures[0] == "-" else 1
        parts = re.split("[ -]", figures.lstrip("+-"))
        return in_unit(sign * float(sum(map(Fraction, parts))), kind, unit, name)
    except ZeroDivisionError:
        raise InputError(f"{name} is {shown(given)}; a fraction has no 0 below its line. Give it "
                         'such as "5/16 in".') from None


def unit_of(kind: str, unit: str, name: str) -> str:
    """Return a unit as `UNITS` writes it.

    Parameters
    ----------
    kind : str
        The SI unit of the quantity, a key of `UNITS`.
    unit : str
        As somebody wrote it: capital letters and signs may differ where they change nothing.
    name : str
        What the quantity is called in the message.

    Returns
    -------
    str

    Raises
    ------
    InputError
        If the unit is not of that kind.
    """
    known = UNITS[kind]
    spoken = unit.translate(_SPOKEN).strip()
    if spoken in known or (kind == "1" and not spoken):
        return spoken
    bare = spoken
    if kind == "degrees Celsius":
        bare = re.sub(r"^(\N{DEGREE SIGN}|deg(rees?)?\b\.?)\s*", "", spoken, flags=re.IGNORECASE)
    alike = [one for one in known if one.casefold() == bare.casefold()]
    if len(alike) == 1 and kind != "Pa":
        return alike[0]
    accepted = ", ".join(known) if kind != "1" else "a pure number or a percentage"
    raise InputError(f"{name} has the unit {shown(unit)}, which does not fit; accepted here: "
                     f"{accepted}.")


def in_unit(value: Any, kind: str, unit: str, name: str) -> float:
    """Return a quantity in SI from a number and its unit.

    Parameters
    ----------
    value : int or float
        The number [`unit`].
    kind : str
        The SI unit it has, a key of `UNITS`.
    unit : str
        As in `unit_of`.
    name : str
        What the quantity is called in the message.

    Returns
    -------
    float
        [the unit `kind`].

    Raises
    ------
    InputError
        If `value` is no finite number, or the unit is not of that kind.
    """
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise InputError(f"{name} is {shown(value)}; a number is accepted here.")
    try:
        given = _sound(float(value), name, value)
    except OverflowError:
        raise InputError(f"{name} is {shown(value)}, which is no number that can be measured; "
                         "give a finite one.") from None
    known = unit_of(kind, unit, name)
    factor = UNITS[kind][known] if known else 1.0
    # A division by the inverse keeps 16 mm at 0.016, the nearest float.
    whole = round(1 / factor)
    scaled = given / whole if 0 < factor < 1 and whole * factor == 1 else given * factor
    return _sound(scaled + _ZERO.get(known, 0.0) if kind == "degrees Celsius" else scaled, name,
                  value)


_READ: dict[str, tuple[str, int, str, int]] = {
    "kgf": ("N", 1, "lbf", 1), "N": ("N", 0, "lbf", 0),
    "g": ("kg", 0, "oz", 1), "kg": ("kg", 2, "lb", 2),
    "m": ("m", 2, "ft", 1), "cm": ("m", 0, "in", 1), "mm": ("m", 1, "in", 3),
    "m/s": ("m/s", 1, "ft/s", 0), "C": ("degrees Celsius", 0, "F", 0),
    "MPa": ("Pa", 1, "psi", 0), "N m": ("N m", 2, "lbf in", 1), "ml": ("m3", 0, "in3", 1),
}
"""By the metric unit that people read: its kind, the digits shown, and the same in US units."""


def figures(value: float, digits: int) -> str:
    """Return a number with so many digits after the point, and no sign before a zero.

    Parameters
    ----------
    value : float
        [of any unit].
    digits : int
        After the decimal point [1].

    Returns
    -------
    str
    """
    told = f"{value:.{digits}f}"
    return told[1:] if told[0] == "-" and float(told) == 0 else told


@dataclass(frozen=True)
class Units:
    """In which units people read results.

    Parameters
    ----------
    system : {"metric", "us"}
        "us" gives lengths in inches and feet, loads in pounds, masses in ounces and pounds.

    Raises
    ------
    InputError
        If there is no such system.

    Examples
    --------
    >>> Units("metric").words(461, "kgf"), Units("us").words(461, "kgf")
    ('47.0 kgf', '103.6 lbf')
    """

    system: str = "metric"

    def __post_init__(self) -> None:
        if self.system not in ("metric", "us"):
            raise InputError(f"units is {shown(self.system)}; accepted are 'metric' and 'us'.")

    def read(self, value: float, unit: str, digits: int | None = None) -> tuple[str, str]:
        """Return a value and its unit as people read them.

        Parameters
        ----------
        value : float
            [SI].
        unit : str
            The metric unit in which people read it, such as "kgf", "cm" or "C"; one that is in no
            other system either, such as "J", stays.
        digits : int, optional
            After the decimal point, in metric; what is usual unless given.

        Returns
        -------
        number, unit : str
        """
        shown_in, factor, places = self.of(unit, digits)
        zero = _ZERO.get(shown_in, 0.0) if unit == "C" else 0.0
        return figures((value - zero) * factor, places), shown_in

    def of(self, unit: str, digits: int | None = None) -> tuple[str, float, int]:
        """Return the unit in which people read what is read in a metric unit.

        Parameters
        ----------
        unit : str
            As in `read`.
        digits : int, optional
            As in `read`.

        Returns
        -------
        unit : str
        factor : float
            How many of it make one SI unit [unit per SI unit]; 1 for a unit that `read` leaves.
        digits : int
            After the decimal point [1].
        """
        if unit not in _READ:
            return unit, 1.0, digits or 0
        kind, usual, other, others = _READ[unit]
        more = 0 if digits is None else digits - usual
        shown_in, places = (unit, usual) if self.system == "metric" else (other, others)
        return shown_in, 1 / UNITS[kind][shown_in], max(places + more, 0)

    def words(self, value: float, unit: str, digits: int | None = None) -> str:
        """Return a value with its unit as people read them.

        Parameters
        ----------
        value : float
            [SI].
        unit : str
            As in `read`.
        digits : int, optional
            As in `read`.

        Returns
        -------
        str
            Such as "65 cm".
        """
        return " ".join(self.read(value, unit, digits))
