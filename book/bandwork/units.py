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

import numpy as np

from bandwork.handbook import lookup
from bandwork.validation import plain, within

STANDARD_GRAVITY = lookup("standard_gravity").value
_POUND = 0.45359237
_INCH = 0.0254
_MOST = 1e12


def _scale(name: str, value: Any, factor: float, unit: str) -> Any:
    return plain(np.multiply(within(name, value, -_MOST, _MOST, unit), factor))


def newton_from_kgf(force: Any) -> Any:
    """Return a force in newtons from kilogram-force, as a luggage scale shows it in kilograms.

    Parameters
    ----------
    force : array_like
        Force [kgf], any sign, up to 1e12.

    Returns
    -------
    float or ndarray
        Force [N]; 1 kgf = 9.80665 N exactly.

    Raises
    ------
    InputError
        If `force` is not made of finite numbers.
    """
    return _scale("force", force, STANDARD_GRAVITY, "kgf")


def kgf_from_newton(force: Any) -> Any:
    """Return a force in kilogram-force, as a luggage scale shows it in kilograms, from newtons.

    Parameters
    ----------
    force : array_like
        Force [N], any sign, up to 1e12.

    Returns
    -------
    float or ndarray
        Force [kgf]; 1 kgf = 9.80665 N exactly.

    Raises
    ------
    InputError
        If `force` is not made of finite numbers.
    """
    return _scale("force", force, 1 / STANDARD_GRAVITY, "N")


def newton_from_lbf(force: Any) -> Any:
    """Return a force in newtons from pounds-force.

    Parameters
    ----------
    force : array_like
        Force [lbf], any sign, up to 1e12.

    Returns
    -------
    float or ndarray
        Force [N]; 1 lbf = 0.45359237 kg x 9.80665 m/s2 exactly.

    Raises
    ------
    InputError
        If `force` is not made of finite numbers.
    """
    return _scale("force", force, _POUND * STANDARD_GRAVITY, "lbf")


def lbf_from_newton(force: Any) -> Any:
    """Return a force in pounds-force from newtons.

    Parameters
    ----------
    force : array_like
        Force [N], any sign, up to 1e12.

    Returns
    -------
    float or ndarray
        Force [lbf]; 1 lbf = 0.45359237 kg x 9.80665 m/s2 exactly.

    Raises
    ------
    InputError
        If `force` is not made of finite numbers.
    """
    return _scale("force", force, 1 / (_POUND * STANDARD_GRAVITY), "N")


def metre_from_cm(length: Any) -> Any:
    """Return a length in metres from centimetres.

    Parameters
    ----------
    length : array_like
        Length [cm], any sign, up to 1e12.

    Returns
    -------
    float or ndarray
        Length [m].

    Raises
    ------
    InputError
        If `length` is not made of finite numbers.
    """
    return _scale("length", length, 0.01, "cm")


def cm_from_metre(length: Any) -> Any:
    """Return a length in centimetres from metres.

    Parameters
    ----------
    length : array_like
        Length [m], any sign, up to 1e12.

    Returns
    -------
    float or ndarray
        Length [cm].

    Raises
    ------
    InputError
        If `length` is not made of finite numbers.
    """
    return _scale("length", length, 100.0, "m")


def metre_from_mm(length: Any) -> Any:
    """Return a length in metres from millimetres.

    Parameters
    ----------
    length : array_like
        Length [mm], any sign, up to 1e12.

    Returns
    -------
    float or ndarray
        Length [m].

    Raises
    ------
    InputError
        If `length` is not made of finite numbers.
    """
    return _scale("length", length, 0.001, "mm")


def mm_from_metre(length: Any) -> Any:
    """Return a length in millimetres from metres.

    Parameters
    ----------
    length : array_like
        Length [m], any sign, up to 1e12.

    Returns
    -------
    float or ndarray
        Length [mm].

    Raises
    ------
    InputError
        If `length` is not made of finite numbers.
    """
    return _scale("length", length, 1000.0, "m")


def metre_from_inch(length: Any) -> Any:
    """Return a length in metres from inches.

    Parameters
    ----------
    length : array_like
        Length [in], any sign, up to 1e12.

    Returns
    -------
    float or ndarray
        Length [m]; 1 in = 0.0254 m exactly.

    Raises
    ------
    InputError
        If `length` is not made of finite numbers.
    """
    return _scale("length", length, _INCH, "in")


def inch_from_metre(length: Any) -> Any:
    """Return a length in inches from metres.

    Parameters
    ----------
    length : array_like
        Length [m], any sign, up to 1e12.

    Returns
    -------
    float or ndarray
        Length [in]; 1 in = 0.0254 m exactly.

    Raises
    ------
    InputError
        If `length` is not made of finite numbers.
    """
    return _scale("length", length, 1 / _INCH, "m")
