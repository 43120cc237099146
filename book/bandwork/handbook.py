"""The handbook: every reference value of the course, with its range, its source and its doubt.

The rows live in `data/handbook.csv`. The library computes with them, the book prints them in its
appendix and the exercises are checked against them, so a value is changed in one place.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from bandwork.interval import Interval
from bandwork.validation import FloatArray, InputError, nearest, shown

NO_SOURCE = "no published source"
"""What stands in the source column of a value that nobody has published, as far as we know."""

OBTAINED = {
    "seen": "read in the source named, or in a carrier of it that the place names",
    "computed": "computed by us from the source named",
    "memory": "from memory: to be checked before it is relied on",
    "definition": "exact by definition",
    "practice": "common practice in the trade, no source",
    "assumed": "a range assumed by us, to be measured by you",
}
"""The words of the `obtained` column and what each means."""


@dataclass(frozen=True)
class Entry:
    """One row of the handbook.

    Attributes
    ----------
    key : str
        The name to look it up by, such as "rubber.density".
    quantity : str
        What it is, in words.
    symbol : str
        LaTeX without the dollar signs; may be empty.
    value, low, high : float
        Best value and the range it may lie in [unit]. Where there is no doubt the three are
        equal.
    unit : str
        SI unit; "1" for a pure number.
    source : str
        Key in the book's references.bib, or "no published source".
    place : str
        Table, equation, page or sample in the source.
    obtained : str
        One of the words in `OBTAINED`.
    licence : str
        Under what terms the source may be used. A number as such is a fact and free to state.
    note : str
        Conditions, and anything that a careful reader should know.
    """

    key: str
    quantity: str
    symbol: str
    value: float
    low: float
    high: float
    unit: str
    source: str
    place: str
    obtained: str
    licence: str
    note: str

    @property
    def interval(self) -> Interval:
        """Low, best and high value together [unit]."""
        return Interval(self.low, self.value, self.high)


@cache
def _rows() -> dict[str, Entry]:
    text = files("bandwork").joinpath("data/handbook.csv").read_text(encoding="utf-8")
    rows: dict[str, Entry] = {}
    for row in csv.DictReader(text.splitlines()):
        figures = {name: float(row.pop(name)) for name in ("value", "low", "high")}
        rows[row["key"]] = Entry(**row, **figures)  # type: ignore[arg-type]
    return rows


def entries() -> Iterator[Entry]:
    """Yield every row of the handbook, in the order of the file.

    Yields
    ------
    Entry
    """
    yield from _rows().values()


def lookup(key: str) -> Entry:
    """Return the handbook's row for `key`.

    Parameters
    ----------
    key : str
        Such as "rubber.density".

    Returns
    -------
    Entry
        With `.value`, `.low`, `.high` in `.unit`, and where they come from.

    Raises
    ------
    InputError
        If there is no such row; the message names the nearest keys.

    Examples
    --------
    >>> lookup("standard_gravity").value
    9.80665
    """
    rows = _rows()
    if not isinstance(key, str):
        raise InputError(f"key is {shown(key)}; give the name of a handbook row in quotes, such as "
                         "'rubber.density'.")
    if key not in rows:
        raise InputError(f"The handbook has no row {shown(key)}; nearest: {nearest(key, rows)}. "
                         "`bandwork handbook` lists them all.")
    return rows[key]


@cache
def treloar_tension() -> tuple[FloatArray, FloatArray]:
    """Return Treloar's uniaxial tension test of vulcanised natural rubber at 20 C.

    Returns
    -------
    stretch_ratio : ndarray, shape (25,)
        Length over relaxed length, from 1 to 7.6 [1].
    engineering_stress : ndarray, shape (25,)
        Force over the relaxed cross-section [Pa].

    Notes
    -----
    L.R.G. Treloar, Trans. Faraday Soc. 40 (1944) 59-70, doi:10.1039/tf9444000059, rubber with
    8 % sulphur. The original was not read: the points are digitised values as the library felupe
    carries them, in kgf/cm2 (x 98066.5 Pa). Two other digitisations agree within 3 % for
    stretch 1.25 to 6.5.

    Examples
    --------
    >>> stretch_ratio, engineering_stress = treloar_tension()
    >>> float(stretch_ratio[9]), float(engineering_stress[9])
    (3.02, 862985.2)
    """
    text = files("bandwork").joinpath("data/treloar1944_uniaxial.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")][1:]
    table = np.array([[float(cell) for cell in line.split(",")] for line in lines])
    kgf_per_cm2 = lookup("standard_gravity").value * 1e4
    stretch_ratio, engineering_stress = table[:, 0], table[:, 1] * kgf_per_cm2
    for column in (stretch_ratio, engineering_stress):
        column.flags.writeable = False
    return stretch_ratio, engineering_stress
