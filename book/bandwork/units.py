"""Converters for the edges: what a rigger reads off a scale or a tape, and SI.

Everything inside the library is in SI. These functions stand where a number enters or leaves.
The exact factors: standard gravity 9.80665 m/s2 (3rd CGPM, 1901), inch 0.0254 m and avoirdupois
pound 0.45359237 kg (both by definition since 1959).

>>> newton_from_kgf(50)
490.3325
>>> round(kgf_from_newton(490.3325), 6)
50.0
>>> metre_from_cm(65)
0.65
"""

from typing import Any

from bandwork.handbook import lookup
from bandwork.validation import numbers, plain

STANDARD_GRAVITY = lookup("standard_gravity").value
_POUND = 0.45359237
_INCH = 0.0254


def _scale(name: str, value: Any, factor: float) -> Any:
    return plain(numbers(name, value) * factor)


def newton_from_kgf(force: Any) -> Any:
    """Return a force [N] from kilogram-force: F = m g0, g0 = 9.80665 m/s2 exactly (CGPM 1901)."""
    return _scale("force", force, STANDARD_GRAVITY)


def kgf_from_newton(force: Any) -> Any:
    """Return a force [kgf], as a luggage scale shows it in kilograms, from newtons."""
    return _scale("force", force, 1 / STANDARD_GRAVITY)


def newton_from_lbf(force: Any) -> Any:
    """Return a force [N] from pounds-force: 1 lbf = 0.45359237 kg x 9.80665 m/s2."""
    return _scale("force", force, _POUND * STANDARD_GRAVITY)


def lbf_from_newton(force: Any) -> Any:
    """Return a force [lbf] from newtons."""
    return _scale("force", force, 1 / (_POUND * STANDARD_GRAVITY))


def metre_from_cm(length: Any) -> Any:
    """Return a length [m] from centimetres."""
    return _scale("length", length, 0.01)


def cm_from_metre(length: Any) -> Any:
    """Return a length [cm] from metres."""
    return _scale("length", length, 100.0)


def metre_from_mm(length: Any) -> Any:
    """Return a length [m] from millimetres."""
    return _scale("length", length, 0.001)


def mm_from_metre(length: Any) -> Any:
    """Return a length [mm] from metres."""
    return _scale("length", length, 1000.0)


def metre_from_inch(length: Any) -> Any:
    """Return a length [m] from inches: 1 in = 0.0254 m."""
    return _scale("length", length, _INCH)


def inch_from_metre(length: Any) -> Any:
    """Return a length [in] from metres."""
    return _scale("length", length, 1 / _INCH)
