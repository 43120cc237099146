"""Answers as plain data: all that crosses from a learner's process to the judge.

`pack` runs beside the learner's code and turns an answer into lists, texts and numbers; `unpack`
runs in the judge and makes plain Python objects of them, which `Exercise.judge` reads as it reads a
learner's own. Nothing of the learner's is ever unpickled or called there. A function crosses as a
number by which the judge may ask for its value at a point, a plot as its labels and points.
"""

import math
from collections.abc import Callable
from numbers import Real
from typing import Any

import numpy as np

from bandwork.classroom.checks import Drawn

LONGEST_ROW = 2_000
MOST_POINTS = 200_000
"""Of all curves of a plot together."""
LONGEST_TEXT = 2_000
DEEPEST = 4


class MalformedError(ValueError):
    """Data that `pack` never makes: whoever sent it is not to be trusted."""


def pack(value: Any, functions: list[Any], deep: int = 0) -> list[Any]:
    """Return an answer as data that JSON can hold.

    Parameters
    ----------
    value : object
        What the learner's variable holds.
    functions : list
        Functions are added to it; their place in it stands for them.
    deep : int
        How many rows it lies in.

    Returns
    -------
    list
        A word for what it is, and what it holds.
    """
    kind = type(value)
    module = kind.__module__.partition(".")[0]
    if value is None:
        return ["nothing"]
    if value is ...:
        return ["dots"]
    if kind is bool or kind is np.bool_:
        return ["truth", bool(value)]
    if kind is str:
        return ["text", value[:LONGEST_TEXT]]
    if kind is int and value.bit_length() < 1000:
        return ["whole", value]
    if kind is float:
        return ["number", value]
    if kind is np.ndarray and value.size <= LONGEST_ROW and deep < DEEPEST:
        if value.dtype.kind in "iuf":
            return ["array", list(value.shape), [float(one) for one in value.reshape(-1)]]
        return ["objects", list(value.shape),
                [pack(one, functions, deep + 1) for one in value.reshape(-1)]]
    if module == "sympy":
        if not getattr(value, "is_number", False):
            return ["symbol"] if hasattr(value, "is_number") else ["other", kind.__name__]
        if getattr(value, "is_extended_real", None) is False:
            return ["imaginary"]
        return ["number", float(value)]
    if module in ("numpy", "fractions", "decimal") and isinstance(value, (Real, np.number)) \
            and not isinstance(value, np.complexfloating):
        return ["number", float(value)]
    if kind in (list, tuple, set) and len(value) <= LONGEST_ROW and deep < DEEPEST:
        return [kind.__name__, [pack(one, functions, deep + 1) for one in value]]
    if module == "matplotlib":
        from matplotlib.axes import Axes

        if isinstance(value, Axes):
            drawn = Drawn.on(value)
            if sum(curve.size for curve in drawn.curves) <= 2 * MOST_POINTS:
                return ["plot", drawn.x_label[:LONGEST_TEXT], drawn.y_label[:LONGEST_TEXT],
                        [curve.tolist() for curve in drawn.curves]]
    if callable(value):
        functions.append(value)
        return ["function", len(functions) - 1]
    return ["other", kind.__name__[:60]]


def _number(data: Any) -> float:
    if isinstance(data, bool) or not isinstance(data, (int, float)):
        raise MalformedError("a number is wanted")
    return float(data)


def _text(data: Any) -> str:
    if not isinstance(data, str) or len(data) > LONGEST_TEXT:
        raise MalformedError("a text is wanted")
    return data


def _row(data: Any) -> list[Any]:
    if not isinstance(data, list) or len(data) > LONGEST_ROW:
        raise MalformedError("a row is wanted")
    return data


def _shape(data: Any, size: int) -> tuple[int, ...]:
    shape = tuple(_row(data))
    if not all(type(one) is int and one >= 0 for one in shape) or math.prod(shape) != size:
        raise MalformedError("a shape is wanted")
    return shape


def _curve(data: Any) -> Any:
    if not isinstance(data, list) or len(data) > MOST_POINTS:
        raise MalformedError("a curve is wanted")
    points = [[_number(one) for one in _row(point)] for point in data]
    if any(len(point) != 2 for point in points):
        raise MalformedError("points have two numbers")
    return np.array(points, dtype=float).reshape(-1, 2)


def unpack(data: Any, function: Callable[[int], Any], deep: int = 0) -> Any:
    """Return plain Python objects from what `pack` made.

    Parameters
    ----------
    data : object
        As it came; nothing in it is trusted.
    function : callable
        The number of a function -> something to call in its place.
    deep : int
        How many rows it lies in.

    Returns
    -------
    object
        Of which `Exercise.judge` says what it would say of the learner's own object.

    Raises
    ------
    MalformedError
        If `pack` could not have made it.
    """
    if not isinstance(data, list) or not data or not isinstance(data[0], str) or deep > DEEPEST:
        raise MalformedError("no packed answer")
    try:
        match data:
            case ["nothing"]:
                return None
            case ["dots"]:
                return ...
            case ["truth", bool(value)]:
                return value
            case ["text", value]:
                return _text(value)
            case ["whole", int(value)]:
                return int(value) if abs(value) < 2**1000 else math.inf
            case ["number", value]:
                return _number(value)
            case ["array", shape, values]:
                flat = np.array([_number(one) for one in _row(values)])
                return flat.reshape(_shape(shape, len(flat)))
            case ["objects", shape, values]:
                held = np.empty(len(_row(values)), dtype=object)
                for place, one in enumerate(values):
                    held[place] = unpack(one, function, deep + 1)
                return held.reshape(_shape(shape, len(held)))
            case ["symbol" | "imaginary" as which]:
                import sympy

                return sympy.Symbol("x") if which == "symbol" else sympy.I
            case ["list" | "tuple" | "set" as which, values]:
                made = [unpack(one, function, deep + 1) for one in _row(values)]
                return {"list": list, "tuple": tuple, "set": set}[which](made)
            case ["plot", x_label, y_label, curves]:
                return Drawn(_text(x_label), _text(y_label),
                             tuple(_curve(one) for one in _row(curves)))
            case ["function", int(place)]:
                return function(place)
            case ["other", name]:
                word = _text(name)
                return type(word if word.isidentifier() else "object", (), {})()
    except (TypeError, OverflowError, RecursionError) as problem:
        raise MalformedError(str(problem)) from None
    raise MalformedError(f"{data[0][:40]!r} is no kind of answer")
