"""What each unit's exercise asks, with the slips that people make: one module a unit."""

from importlib import import_module

from bandwork.classroom.checks import Exercise
from bandwork.validation import InputError, nearest

UNITS = ("warmup", "stretch", "launch", "trim", "flight", "line", "setup")
"""The exercises, in the order of the course: the warm-up and then the units."""


def exercise(unit: str) -> Exercise:
    """Return the exercise of a unit.

    Parameters
    ----------
    unit : str
        One of `UNITS`.

    Returns
    -------
    Exercise

    Raises
    ------
    InputError
        If the unit has no exercise; the message names those that have.
    """
    if unit not in UNITS:
        raise InputError(f"There is no exercise {unit!r}; there are {', '.join(UNITS)} "
                         f"(nearest: {nearest(unit, UNITS)}).")
    found: Exercise = import_module(f"bandwork.classroom.items.{unit}").EXERCISE
    return found
