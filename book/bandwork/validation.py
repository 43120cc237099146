"""Refusals: one clear sentence for every input that cannot be right."""

from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from difflib import get_close_matches
from numbers import Number
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


class InputError(ValueError):
    """An input that Bandwork refuses.

    The message is one sentence for a person: what was given, what is accepted, what to do.
    """


def numbers(name: str, value: ArrayLike) -> FloatArray:
    """Return `value` as an array of finite floats.

    Parameters
    ----------
    name : str
        What the value is called in the message.
    value : array_like
        Numbers of any shape. Text, True/False, complex numbers and missing values are refused.

    Returns
    -------
    ndarray
        Floats of the same shape.

    Raises
    ------
    InputError
        If `value` is not made of finite real numbers.
    """
    try:
        given = np.asarray(value)
    except (ValueError, TypeError) as problem:
        raise InputError(f"{name} is not a regular table of numbers; give one number, or "
                         "equally long rows of numbers.") from problem
    if given.dtype == object and all(isinstance(item, Number) for item in given.flat):
        try:
            given = given.astype(float)
        except OverflowError:
            given = np.array(np.inf)
        except TypeError:
            given = np.array("")
    if given.dtype.kind not in "iuf" or _holds_truth(value) or np.ma.is_masked(value):
        raise InputError(f"{name} is {shown(value)}; a number is accepted here, or an array of "
                         "numbers.")
    with np.errstate(over="ignore"):
        given = given.astype(float)
    if not np.isfinite(given).all():
        raise InputError(f"{name} holds a value that is not finite, or too large "
                         f"({shown(value)}); give real numbers only.")
    return given


def plain(result: Any) -> Any:
    """Return a float for one number and an array for several.

    Parameters
    ----------
    result : array_like
        What a calculation gave.

    Returns
    -------
    float or ndarray
    """
    values = np.asarray(result, dtype=float)
    return float(values) if values.ndim == 0 else values


def within(name: str, value: ArrayLike, low: float, high: float, unit: str, hint: str = "") -> Any:
    """Return `value` if all of it lies between `low` and `high`, both included.

    Parameters
    ----------
    name : str
        What the value is called in the message.
    value : array_like
        One number or an array, in `unit`.
    low, high : float
        Accepted range [unit].
    unit : str
        Shown in the message; "" for a pure number.
    hint : str, optional
        A last sentence that says what to do, such as "Give it in metres: 16 mm is 0.016."

    Returns
    -------
    float or ndarray
        A float for one number, an array otherwise.

    Raises
    ------
    InputError
        With the first value that lies outside.
    """
    given = numbers(name, value)
    outside = (given < low) | (given > high)
    if outside.any():
        first = float(given[outside].flat[0])
        space = f" {unit}" if unit else ""
        raise InputError(f"{name} is {first:.12g}{space}; accepted is {low:g} to {high:g}{space}."
                         + (f" {hint}" if hint else ""))
    return plain(given)


def single(name: str, value: Any, low: float, high: float, unit: str, hint: str = "") -> float:
    """Return `value` if it is one number between `low` and `high`, both included.

    Parameters
    ----------
    name : str
        What the value is called in the message.
    value : float
        One number, in `unit`.
    low, high : float
        Accepted range [unit].
    unit : str
        Shown in the message; "" for a pure number.
    hint : str, optional
        A last sentence that says what to do.

    Returns
    -------
    float

    Raises
    ------
    InputError
        If the number lies outside, or if there are several.
    """
    given = within(name, value, low, high, unit, hint)
    if not isinstance(given, float):
        raise InputError(f"{name} holds {given.size} values; one number is accepted here. Call "
                         "once for each.")
    return given


def of_kind(kind: type, **values: Any) -> None:
    """Refuse values that are no instance of a class.

    Parameters
    ----------
    kind : type
        What is accepted, such as `Band`.
    **values : object
        Each under the name that the message gives it.

    Raises
    ------
    InputError
        With the first value that is something else.
    """
    for name, value in values.items():
        if not isinstance(value, kind):
            raise InputError(f"{name} is {shown(value)}; accepted here is {kind.__name__}(...). "
                             "Check the order of what you gave, or name it.")


def settle(part: Any, name: str, low: float, high: float, unit: str, hint: str = "") -> None:
    """Check an attribute of a frozen dataclass and keep it as a float or an array of its own.

    Parameters
    ----------
    part : object
        The dataclass that is being made.
    name : str
        Its attribute.
    low, high : float
        Accepted range [unit].
    unit, hint : str
        As in `within`.

    Raises
    ------
    InputError
        As `within`.
    """
    object.__setattr__(part, name, within(name, getattr(part, name), low, high, unit, hint))


def together(*parts: Any, **values: Any) -> None:
    """Refuse arrays that do not broadcast against each other.

    Parameters
    ----------
    *parts : object
        Dataclasses: the arrays among their attributes count, and those of dataclasses within.
    **values : array_like
        Each under the name that the message gives it.

    Raises
    ------
    InputError
        With the names and shapes of the arrays.
    """
    shapes = {name: np.shape(value) for name, value in values.items() if np.ndim(value)}
    for part in parts:
        shapes |= _shapes(part)
    try:
        np.broadcast_shapes(*shapes.values())
    except ValueError as problem:
        told = " and ".join(f"{name} of {' x '.join(map(str, shape))}"
                            for name, shape in shapes.items())
        raise InputError(f"The arrays {told} values do not fit together; give one number or "
                         "equally many of each.") from problem


def _shapes(part: Any) -> dict[str, tuple[int, ...]]:
    found: dict[str, tuple[int, ...]] = {}
    for field in fields(part):
        value = getattr(part, field.name)
        if is_dataclass(value):
            found |= _shapes(value)
        elif isinstance(value, np.ndarray):
            found[f"{type(part).__name__}.{field.name}"] = value.shape
    return found


def nearest(given: str, known: Iterable[str], how_many: int = 3) -> str:
    """Return the known names that look most like `given`, as a phrase.

    Parameters
    ----------
    given : str
        The unknown name.
    known : iterable of str
        The names that exist.
    how_many : int
        At most so many are named.

    Returns
    -------
    str
        Such as "treloar.m100, treloar.m300", or "none that looks like it".
    """
    close = get_close_matches(given, list(known), n=how_many, cutoff=0.4)
    return ", ".join(close) if close else "none that looks like it"


def _holds_truth(value: Any) -> bool:
    if isinstance(value, (list, tuple)):
        return any(_holds_truth(item) for item in value)
    return isinstance(value, (bool, np.bool_))


def shown(value: Any) -> str:
    """Return how a value looks, short enough for a message.

    Parameters
    ----------
    value : object
        Anything.

    Returns
    -------
    str
        On one line, at most 40 characters.
    """
    try:
        text = " ".join(repr(value).split())
    except ValueError:
        return "a number of thousands of digits"
    return text if len(text) <= 40 else text[:37] + "..."
