"""What readings say: numbers with their intervals, sentences and cautions, as text and as data."""

from dataclasses import dataclass, field
from typing import Any

from bandwork.interval import Interval
from bandwork.workshop.lines import wrapped
from bandwork.workshop.quantities import Units

ESTIMATE = ("A number from readings is an estimate, never permission to load a gun: try a new band "
            "in steps, only in the water, with a partner.")
"""Closes every result."""



@dataclass(frozen=True)
class Line:
    """One number that was found.

    Attributes
    ----------
    key : str
        Its name for programs.
    label : str
        Its name for people.
    value : Interval
        Low, best and high [SI]; all alike where no interval is known.
    unit : str
        The unit in which people read it, "" for a pure number; "%" of a part of one.
    digits : int
        After the decimal point, in metric [1].
    """

    key: str
    label: str
    value: Interval
    unit: str = ""
    digits: int = 2

    def told(self, units: Units) -> str:
        """Return the number with its interval for people.

        Parameters
        ----------
        units : Units
            In which they read.

        Returns
        -------
        str
            Such as "1.14 (1.10 to 1.18)".
        """
        best, low, high = (units.read(100 * one if self.unit == "%" else one, self.unit,
                                      self.digits)[0]
                           for one in (self.value.best, self.value.low, self.value.high))
        unit = units.read(0.0, self.unit)[1]
        behind = f" {unit}" if unit else ""
        if self.value.low == self.value.high:
            return f"{best}{behind}"
        return f"{best}{behind} ({low} to {high})"


@dataclass(frozen=True)
class Found:
    """What one test says.

    Attributes
    ----------
    title : str
        What was measured, and of what.
    kind : str
        A key of `measured.COLUMNS`, or "season".
    lines : tuple of Line
        The numbers.
    says : tuple of str
        What else there is to say, in sentences.
    cautions : tuple of str
        What to be wary of, in sentences.
    habits : tuple of str
        How the file was read.
    series : dict of str to tuple of float
        The readings and what belongs to them, for a plot [SI].
    """

    title: str
    kind: str
    lines: tuple[Line, ...]
    says: tuple[str, ...]
    cautions: tuple[str, ...]
    habits: tuple[str, ...]
    series: dict[str, tuple[float, ...]] = field(default_factory=dict)

    def text(self, units: Units) -> str:
        """Return all of it for people.

        Parameters
        ----------
        units : Units
            In which they read.

        Returns
        -------
        str
        """
        wide = max((len(one.label) for one in self.lines), default=0)
        rows = [f"  {one.label:{wide}}  {one.told(units)}" for one in self.lines]
        return "\n".join([
            self.title,
            *([wrapped(f"Read as: {'; '.join(self.habits)}.", "  ", "  ")] if self.habits else []),
            *rows,
            *(wrapped(one, "  ", "  ") for one in self.says),
            *(wrapped(one, "! ", "  ") for one in (*self.cautions, ESTIMATE))])

    def data(self) -> dict[str, Any]:
        """Return all of it for programs.

        Returns
        -------
        dict
            Numbers in SI.
        """
        return {"kind": self.kind, "title": self.title, "read_as": list(self.habits),
                "numbers": {one.key: {"low": one.value.low, "best": one.value.best,
                                      "high": one.value.high, "unit": _SI.get(one.unit, one.unit)}
                            for one in self.lines},
                "series": {name: list(values) for name, values in self.series.items()},
                "says": list(self.says), "cautions": [*self.cautions, ESTIMATE]}


_SI = {"%": "", "MPa": "Pa", "kgf": "N", "cm": "m", "mm": "m", "g": "kg"}


def exactly(value: float) -> Interval:
    """Return a number whose interval is not known.

    Parameters
    ----------
    value : float
        [any unit].

    Returns
    -------
    Interval
        [that unit].
    """
    return Interval(value, value, value)


def around(value: float, doubt: float) -> Interval:
    """Return a number and as much on either side.

    Parameters
    ----------
    value : float
        [any unit].
    doubt : float
        [that unit].

    Returns
    -------
    Interval
        [that unit].
    """
    return Interval(value - doubt, value, value + doubt)
