"""How rubber pulls: laws of rubber elasticity for a band in simple tension, and their fit.

All laws are for an incompressible rubber pulled along one axis. `stretch_ratio` is the length
over the relaxed length; `engineering_stress` is the force over the *relaxed* cross-section [Pa];
`strain_energy_density` is the energy stored per relaxed volume [J/m3]. With
I1 = s^2 + 2/s and I2 = 2 s + 1/s^2 for stretch ratio s, every law is a strain energy W(I1, I2),
and the stress is its slope, dW/ds. A law's parameters may be arrays; they broadcast against the
stretch ratios.
"""

from abc import ABC, abstractmethod
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any, ClassVar, NamedTuple, Self

import numpy as np
from numpy.typing import ArrayLike

from bandwork.handbook import lookup
from bandwork.validation import (
    FloatArray,
    InputError,
    numbers,
    of_kind,
    plain,
    settle,
    shown,
    together,
    within,
)

_FARTHEST = 100.0
"""No rubber stretches a hundredfold; the bound keeps every power of a stretch ratio finite."""

ROUNDING = 1e-9
"""How far, relative, rounding may carry a stretch ratio below 1 before it counts as slack."""


class Parameter(NamedTuple):
    """A law's parameter: the range accepted, its unit, and where a fit starts.

    Attributes
    ----------
    low, high : float
        Range accepted [unit].
    unit : str
        "Pa", or "" for a pure number.
    start : float
        Where a fit starts [unit].
    """

    low: float
    high: float
    unit: str
    start: float


class RubberLaw(ABC):
    """What every law answers.

    A law is made with its parameters, in Pa or pure numbers as `parameters` says. They are
    numbers, or arrays that broadcast against each other and against the stretch ratios.

    Raises
    ------
    InputError
        If a parameter lies outside its range, naming the parameter and the range.
    """

    name: ClassVar[str]
    parameters: ClassVar[dict[str, Parameter]]

    def __post_init__(self) -> None:
        for name, accepted in self.parameters.items():
            hint = "Give it in pascal: 0.25 MPa is 0.25e6." if accepted.unit == "Pa" else ""
            settle(self, name, accepted.low, accepted.high, accepted.unit, hint)
        together(self)

    def _values(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in self.parameters}

    def _with(self, values: Iterable[Any]) -> Self:
        """Return this law with other parameters, unchecked: a solver asks thousands of times."""
        law = object.__new__(type(self))
        for name, value in zip(self.parameters, values, strict=True):
            object.__setattr__(law, name, value)
        return law

    @property
    def limiting_stretch(self) -> Any:
        """The stretch ratio at which the law's stress grows without bound [1]; inf if none."""
        return np.inf

    @property
    def _last(self) -> Any:
        return np.minimum(np.multiply(self.limiting_stretch, 1 - ROUNDING), _FARTHEST)

    @property
    def usable_stretch(self) -> Any:
        """The stretch ratio up to which the stress rises, as a rubber's must [1].

        Just below `limiting_stretch` and at most 100; less for a law whose stress turns down, up
        to 4 % before the turn.
        """
        one = self._alike()
        shape = np.broadcast_shapes(*map(np.shape, self._values().values()))
        if one is not None and shape:
            return np.full(shape, one.usable_stretch)
        along = np.geomspace(1.0, np.broadcast_to(self._last, shape), 256)
        rises = np.diff(self._stress(along), axis=0) > 0
        turn = np.maximum(np.argmin(rises, axis=0) - 1, 0)
        turn = np.where(rises.all(axis=0), len(rises), turn)
        return plain(np.take_along_axis(along, turn[None], axis=0)[0])

    def _alike(self) -> Self | None:
        """Return one law that stands for all of these if they differ by a factor alone."""
        pure: list[FloatArray] = []
        pressures: list[FloatArray] = []
        for name, value in self._values().items():
            (pressures if self.parameters[name].unit == "Pa" else pure).append(np.asarray(value))
        first = next((one for one in pressures if one.all()), None)
        ratios = pure + ([one / first for one in pressures] if first is not None else pressures)
        if any(one.size == 0 or np.ptp(one) > 1e-12 * np.abs(one).max() for one in ratios):
            return None
        return self._with(np.asarray(value).flat[0] for value in self._values().values())

    @classmethod
    def least(cls, longest: float) -> dict[str, float]:
        """Return the smallest parameters that still reach a stretch ratio.

        Parameters
        ----------
        longest : float
            The stretch ratio to be reached [1].

        Returns
        -------
        dict of str to float
            By parameter [the parameter's unit]; empty for a law without a limiting stretch.
        """
        return {}

    @abstractmethod
    def _stress(self, s: FloatArray) -> FloatArray: ...

    @abstractmethod
    def _energy(self, s: FloatArray) -> FloatArray: ...

    def _accepted(self, stretch_ratio: ArrayLike) -> FloatArray:
        s = numbers("stretch_ratio", stretch_ratio)
        together(self, stretch_ratio=s)
        if (s < 1 - ROUNDING).any():
            raise InputError(f"stretch_ratio is {s.min():.12g}, shorter than relaxed; accepted is "
                             "1 or more. A stretch ratio is the pulled length over the relaxed "
                             "length.")
        if np.any(s > self._last):
            raise InputError(f"stretch_ratio is {s.max():.12g}; accepted is 1 to "
                             f"{np.min(self._last):.6g}, where this {self.name} rubber ends. Check "
                             "the lengths, or fit the rubber to a pull that goes further.")
        return np.maximum(s, 1.0)

    def engineering_stress(self, stretch_ratio: ArrayLike) -> Any:
        """Return the force per relaxed cross-section, dW/ds.

        Parameters
        ----------
        stretch_ratio : array_like
            Length over relaxed length [1], from 1 to below `limiting_stretch`.

        Returns
        -------
        float or ndarray
            Stress [Pa], of the shape of `stretch_ratio`; 0 at stretch 1.

        Raises
        ------
        InputError
            If a stretch ratio is below 1, past the limiting stretch or 100, or not a finite
            number.
        """
        return plain(self._stress(self._accepted(stretch_ratio)))

    def strain_energy_density(self, stretch_ratio: ArrayLike) -> Any:
        """Return the energy stored per relaxed volume, W.

        Parameters
        ----------
        stretch_ratio : array_like
            Length over relaxed length [1], from 1 to below `limiting_stretch`.

        Returns
        -------
        float or ndarray
            Energy per volume [J/m3], of the shape of `stretch_ratio`; 0 at stretch 1.

        Raises
        ------
        InputError
            If a stretch ratio is below 1, past the limiting stretch or 100, or not a finite
            number.
        """
        return plain(self._energy(self._accepted(stretch_ratio)))

    def stretch_ratio(self, engineering_stress: ArrayLike) -> Any:
        """Return the stretch at which the rubber pulls with the given stress.

        Parameters
        ----------
        engineering_stress : array_like
            Force over relaxed cross-section [Pa], 0 or more.

        Returns
        -------
        float or ndarray
            Stretch ratio [1], of the shape of `engineering_stress`, solved to 1e-12.

        Raises
        ------
        InputError
            If a stress is negative, or more than this rubber reaches at `usable_stretch`.
        """
        from scipy.optimize import elementwise

        wanted = numbers("engineering_stress", engineering_stress)
        together(self, engineering_stress=wanted)
        wanted, top, *values = np.broadcast_arrays(wanted, self.usable_stretch,
                                                   *self._values().values())
        most = self._stress(top)
        outside = (wanted < 0) | (wanted > most)
        if outside.any():
            raise InputError(f"engineering_stress is {wanted[outside].flat[0]:.6g} Pa; accepted is "
                             f"0 to {abs(most[outside].flat[0]):.6g} Pa, what this {self.name} "
                             f"rubber reaches at stretch {top[outside].flat[0]:.3g}.")
        found = elementwise.find_root(
            lambda s, stress, *values: self._with(values)._stress(s) - stress,
            (np.ones_like(wanted), top), args=(wanted, *values),
            tolerances={"xatol": 1e-13, "xrtol": 1e-13, "fatol": 0, "frtol": 0},
        )
        return plain(found.x)


def _i1(s: FloatArray) -> FloatArray:
    """I1 - 3 = s^2 + 2/s - 3, factored: no digits are lost near stretch 1."""
    return (s - 1) ** 2 * (s + 2) / s


def _i2(s: FloatArray) -> FloatArray:
    """I2 - 3 = 2 s + 1/s^2 - 3, factored likewise."""
    return (s - 1) ** 2 * (2 * s + 1) / s**2


def _pull(s: FloatArray) -> FloatArray:
    """Half of dI1/ds, s - 1/s^2, factored likewise: every law in I1 has it."""
    return (s - 1) * (s**2 + s + 1) / s**2


def _stretch_at(i1: ArrayLike) -> Any:
    """Return the stretch ratio above 1 with s^2 + 2/s = i1: the largest root of s^3 - i1 s + 2."""
    total = np.asarray(i1, dtype=float)
    angle = np.arccos(-((3 / total) ** 1.5)) / 3
    return plain(2 * np.sqrt(total / 3) * np.cos(angle))


@dataclass(frozen=True)
class NeoHookean(RubberLaw):
    """W = (mu/2)(I1 - 3), so P = mu (s - 1/s^2).

    Parameters
    ----------
    mu : float or array_like
        Shear modulus [Pa], 1e3 to 1e8.

    Notes
    -----
    Within 4 % of Treloar's test from stretch 1.9 to 4.1 when fitted there; far too soft beyond.
    L.R.G. Treloar, *The Physics of Rubber Elasticity* (the Gaussian theory).

    Examples
    --------
    A value of felupe 11.3.0, `neo_hooke`, mu = 0.4 MPa at stretch 3:

    >>> round(NeoHookean(0.4e6).engineering_stress(3.0) / 1e6, 6)
    1.155556
    """

    mu: Any
    name: ClassVar[str] = "neo-Hookean"
    parameters: ClassVar[dict[str, Parameter]] = {
        "mu": Parameter(1e3, 1e8, "Pa", 0.3e6),
    }

    def _stress(self, s: FloatArray) -> FloatArray:
        return self.mu * _pull(s)

    def _energy(self, s: FloatArray) -> FloatArray:
        return self.mu / 2 * _i1(s)


@dataclass(frozen=True)
class MooneyRivlin(RubberLaw):
    """W = c10 (I1 - 3) + c01 (I2 - 3), so P = 2 (s - 1/s^2)(c10 + c01/s).

    Parameters
    ----------
    c10, c01 : float or array_like
        Constants [Pa], -1e8 to 1e8; the shear modulus is twice their sum. Constants that make the
        stress negative are accepted here, to be looked at; a `Band` refuses to pull with them
        and `fit_rubber` refuses to return them.

    Notes
    -----
    Within 5.1 % of Treloar's test from stretch 1.9 to 4.1 when fitted up to there.

    Examples
    --------
    A value of felupe 11.3.0, `mooney_rivlin`, 0.15 and 0.05 MPa at stretch 3:

    >>> round(MooneyRivlin(0.15e6, 0.05e6).engineering_stress(3.0) / 1e6, 6)
    0.962963
    """

    c10: Any
    c01: Any
    name: ClassVar[str] = "Mooney-Rivlin"
    parameters: ClassVar[dict[str, Parameter]] = {
        "c10": Parameter(-1e8, 1e8, "Pa", 0.15e6),
        "c01": Parameter(-1e8, 1e8, "Pa", 0.03e6),
    }

    def _stress(self, s: FloatArray) -> FloatArray:
        return 2 * _pull(s) * (self.c10 + self.c01 / s)

    def _energy(self, s: FloatArray) -> FloatArray:
        return self.c10 * _i1(s) + self.c01 * _i2(s)


@dataclass(frozen=True)
class Yeoh(RubberLaw):
    """W = c10 (I1-3) + c20 (I1-3)^2 + c30 (I1-3)^3.

    P = 2 (s - 1/s^2) [c10 + 2 c20 (I1-3) + 3 c30 (I1-3)^2].

    Parameters
    ----------
    c10 : float or array_like
        Half the shear modulus [Pa], 1e3 to 1e8.
    c20, c30 : float or array_like
        Constants [Pa], -1e8 to 1e8; c20 is usually negative and small, c30 positive and smaller.

    Notes
    -----
    Follows the final rise of Treloar's test; up to 12 % too stiff near stretch 2.

    Examples
    --------
    A value of felupe 11.3.0, `yeoh`, 0.176, -1.85e-3 and 4.64e-5 MPa at stretch 3:

    >>> round(Yeoh(0.176e6, -1.85e3, 46.4).engineering_stress(3.0) / 1e6, 6)
    0.910116
    """

    c10: Any
    c20: Any
    c30: Any
    name: ClassVar[str] = "Yeoh"
    parameters: ClassVar[dict[str, Parameter]] = {
        "c10": Parameter(1e3, 1e8, "Pa", 0.17e6),
        "c20": Parameter(-1e8, 1e8, "Pa", -1e3),
        "c30": Parameter(-1e8, 1e8, "Pa", 50.0),
    }

    def _stress(self, s: FloatArray) -> FloatArray:
        i1 = _i1(s)
        return 2 * _pull(s) * (self.c10 + 2 * self.c20 * i1 + 3 * self.c30 * i1**2)

    def _energy(self, s: FloatArray) -> FloatArray:
        i1 = _i1(s)
        return self.c10 * i1 + self.c20 * i1**2 + self.c30 * i1**3


@dataclass(frozen=True)
class Gent(RubberLaw):
    """W = -(mu jm/2) ln(1 - (I1-3)/jm), so P = mu (s - 1/s^2) jm/(jm - (I1-3)).

    Parameters
    ----------
    mu : float or array_like
        Shear modulus [Pa], 1e3 to 1e8.
    jm : float or array_like
        The value of I1 - 3 at which the chains are fully stretched [1], 0.1 to 1e6.

    Notes
    -----
    A.N. Gent, Rubber Chem. Technol. 69 (1996) 59-61. Defined below `limiting_stretch`. Good at
    large stretch, 13 to 35 % too soft below stretch 2.5 on Treloar's test.
    """

    mu: Any
    jm: Any
    name: ClassVar[str] = "Gent"
    parameters: ClassVar[dict[str, Parameter]] = {
        "mu": Parameter(1e3, 1e8, "Pa", 0.25e6),
        "jm": Parameter(0.1, 1e6, "", 80.0),
    }

    @property
    def limiting_stretch(self) -> Any:
        """The stretch ratio at which I1 - 3 = jm [1]."""
        return _stretch_at(self.jm + 3)

    @classmethod
    def least(cls, longest: float) -> dict[str, float]:
        """Return the smallest jm that still reaches a stretch ratio; see `RubberLaw.least`."""
        return {"jm": (longest**2 + 2 / longest - 3) * 1.0001}

    def _stress(self, s: FloatArray) -> FloatArray:
        return self.mu * _pull(s) * self.jm / (self.jm - _i1(s))

    def _energy(self, s: FloatArray) -> FloatArray:
        return -self.mu * self.jm / 2 * np.log1p(-_i1(s) / self.jm)


@dataclass(frozen=True)
class GentGent(RubberLaw):
    """W = -(mu jm/2) ln(1 - (I1-3)/jm) + c2 ln(I2/3); the Gent law with a second, softer term.

    P = (s - 1/s^2) [ mu jm/(jm - (I1-3)) + 2 c2/(s I2) ].

    Parameters
    ----------
    mu : float or array_like
        Modulus of the chains [Pa], 1e3 to 1e8.
    jm : float or array_like
        The value of I1 - 3 at which the chains are fully stretched [1], 0.1 to 1e6.
    c2 : float or array_like
        Weight of the second term [Pa], 0 to 1e8. The shear modulus is mu + 2 c2/3.

    Notes
    -----
    The course's working law: within 4 % of Treloar's whole test above stretch 1.2. Form: Pucci
    and Saccomandi 2002, Ogden, Saccomandi and Sgura, Comput. Mech. 34 (2004) 484-502,
    doi:10.1007/s00466-004-0593-y. That paper's own constants, from memory, are 2.4195 kgf/cm2,
    77.931 and 3 x 1.0233 kgf/cm2: within 3 % of our fit.
    """

    mu: Any
    jm: Any
    c2: Any
    name: ClassVar[str] = "Gent-Gent"
    parameters: ClassVar[dict[str, Parameter]] = {
        "mu": Parameter(1e3, 1e8, "Pa", 0.24e6),
        "jm": Parameter(0.1, 1e6, "", 80.0),
        "c2": Parameter(0, 1e8, "Pa", 0.2e6),
    }

    @property
    def limiting_stretch(self) -> Any:
        """The stretch ratio at which I1 - 3 = jm [1]."""
        return _stretch_at(self.jm + 3)

    @classmethod
    def least(cls, longest: float) -> dict[str, float]:
        """Return the smallest jm that still reaches a stretch ratio; see `RubberLaw.least`."""
        return {"jm": (longest**2 + 2 / longest - 3) * 1.0001}

    def _stress(self, s: FloatArray) -> FloatArray:
        i2 = _i2(s) + 3
        return _pull(s) * (self.mu * self.jm / (self.jm - _i1(s)) + 2 * self.c2 / (s * i2))

    def _energy(self, s: FloatArray) -> FloatArray:
        chains = -self.mu * self.jm / 2 * np.log1p(-_i1(s) / self.jm)
        return chains + self.c2 * np.log1p(_i2(s) / 3)


def langevin(beta: ArrayLike) -> Any:
    """Return the Langevin function L(b) = coth b - 1/b.

    Parameters
    ----------
    beta : array_like
        Numbers, 0 or more [1].

    Returns
    -------
    float or ndarray
        From 0 to 1 [1], of the shape of `beta`.

    Raises
    ------
    InputError
        If a value is negative or not a finite number.
    """
    return plain(_langevin(np.asarray(within("beta", beta, 0, np.inf, ""))))


_SMALL = 0.1
"""Below this the difference coth b - 1/b loses digits and five terms of its series lose none."""


def _langevin(b: FloatArray) -> FloatArray:
    few = np.minimum(b, _SMALL)
    many = np.maximum(b, _SMALL)
    square = few**2
    series = few * (1 / 3 - square * (1 / 45 - square * (2 / 945 - square * (
        1 / 4725 - square * 2 / 93555))))
    return np.where(b < _SMALL, series, 1 / np.tanh(many) - 1 / many)


def _log_ratio(b: FloatArray) -> FloatArray:
    """Return ln(b/sinh b)."""
    few = np.minimum(b, _SMALL)
    many = np.maximum(b, _SMALL)
    square = few**2
    series = -square * (1 / 6 - square * (1 / 180 - square * (1 / 2835 - square / 37800)))
    log_sinh = many + np.log1p(-np.exp(-2 * many)) - np.log(2)
    return np.where(b < _SMALL, series, np.log(many) - log_sinh)


def inverse_langevin(x: ArrayLike) -> Any:
    """Return b with coth b - 1/b = x, exact to rounding (Newton's method, not a series).

    Parameters
    ----------
    x : array_like
        From 0 to just below 1 [1].

    Returns
    -------
    float or ndarray
        b [1], of the shape of `x`.

    Raises
    ------
    InputError
        If a value lies outside 0 to 1 - 1e-12.
    """
    y = np.asarray(within("x", x, 0, 1 - 1e-12, "", "At 1 the chain is straight."))
    b = y * (3 - y**2) / (1 - y**2)
    for _ in range(8):
        many = np.maximum(b, _SMALL)
        slope = np.where(b < _SMALL, 1 / 3 - b**2 / 15,
                         1 / many**2 - 1 / np.sinh(np.minimum(many, 300.0)) ** 2)
        b = np.maximum(b - (_langevin(b) - y) / slope, 0.0)
    return plain(b)


@dataclass(frozen=True)
class ArrudaBoyce(RubberLaw):
    """Eight chains of n links each: P = (mu/3) (s - 1/s^2) sqrt(n)/c L^-1(c/sqrt(n)).

    c = sqrt(I1/3) is the stretch of a chain, and L^-1 the exact inverse Langevin function, not its
    series. W = mu n [ b x + ln(b/sinh b) ] less its value at rest, with x = c/sqrt(n) and
    b = L^-1(x).

    Parameters
    ----------
    mu : float or array_like
        Modulus n k T [Pa], 1e3 to 1e8.
    n : float or array_like
        Links a chain [1], 1.01 to 1e6.

    Notes
    -----
    E.M. Arruda and M.C. Boyce, J. Mech. Phys. Solids 41 (1993) 389-412. Defined below
    `limiting_stretch`, where c = sqrt(n).
    """

    mu: Any
    n: Any
    name: ClassVar[str] = "Arruda-Boyce"
    parameters: ClassVar[dict[str, Parameter]] = {
        "mu": Parameter(1e3, 1e8, "Pa", 0.28e6),
        "n": Parameter(1.01, 1e6, "", 26.0),
    }

    @property
    def limiting_stretch(self) -> Any:
        """The stretch ratio at which the chains are straight, I1 = 3 n [1]."""
        return _stretch_at(3 * self.n)

    @classmethod
    def least(cls, longest: float) -> dict[str, float]:
        """Return the smallest n that still reaches a stretch ratio; see `RubberLaw.least`."""
        return {"n": (longest**2 + 2 / longest) / 3 * 1.0001}

    def _chain(self, s: FloatArray) -> FloatArray:
        return np.sqrt((_i1(s) + 3) / 3 / self.n)

    def _stress(self, s: FloatArray) -> FloatArray:
        x = self._chain(s)
        return self.mu / 3 / x * np.asarray(inverse_langevin(x)) * _pull(s)

    def _energy(self, s: FloatArray) -> FloatArray:
        def work(x: FloatArray) -> FloatArray:
            b = np.asarray(inverse_langevin(x))
            return b * x + _log_ratio(b)

        return self.mu * self.n * (work(self._chain(s)) - work(self._chain(np.ones_like(s))))


LAWS: dict[str, type[RubberLaw]] = {
    law.name: law for law in (NeoHookean, MooneyRivlin, Yeoh, Gent, GentGent, ArrudaBoyce)
}
"""Every law by its name."""


@dataclass(frozen=True)
class RubberFit:
    """A law fitted to a pull test.

    Attributes
    ----------
    rubber : RubberLaw
        The law with its fitted parameters.
    standard_errors : tuple of float
        One a parameter [that parameter's unit], from the curvature of the least squares; inf
        where the points cannot tell the parameters apart.
    residual : float
        Root mean square of measured less fitted stress [Pa].
    worst : float
        Largest relative difference at a measured stretch of 1.25 or more [1].
    longest : float
        The largest stretch ratio measured [1]: beyond it the law is a guess.
    cautions : tuple of str
        What the data cannot tell, in sentences; empty when nothing stands out.
    """

    rubber: RubberLaw
    standard_errors: tuple[float, ...]
    residual: float
    worst: float
    longest: float
    cautions: tuple[str, ...]


def fit_rubber(stretch_ratio: ArrayLike, engineering_stress: ArrayLike,
               law: type[RubberLaw]) -> RubberFit:
    """Fit a law to a pull test by least squares on the stress.

    Parameters
    ----------
    stretch_ratio : array_like, shape (m,)
        Measured stretch ratios [1], 1 to 15, in any order.
    engineering_stress : array_like, shape (m,)
        Measured force over relaxed cross-section [Pa], 0 to 1e8, one for each stretch ratio.
    law : type
        One of `NeoHookean`, `MooneyRivlin`, `Yeoh`, `Gent`, `GentGent`, `ArrudaBoyce`.

    Returns
    -------
    RubberFit
        The law with its parameters, their standard errors, the residual and the cautions.

    Raises
    ------
    InputError
        If a value lies outside its range, if there are no more points than parameters, if the
        points span less than half a stretch ratio, if the lists differ in length, or if the best
        fit is no rubber: a stress that falls or is negative somewhere between rest and the
        longest pull.

    Notes
    -----
    Minimises the sum of squares of stress differences, all points alike (scipy's
    `least_squares`). The worked example is Treloar's test: over all 25 points the Mooney-Rivlin
    law takes c10 = 0.409 MPa and c01 = -0.751 MPa, pushes when it should pull, and is refused.

    Examples
    --------
    >>> from bandwork.handbook import treloar_tension
    >>> s, stress = treloar_tension()
    >>> fit = fit_rubber(s[s < 4.1], stress[s < 4.1], NeoHookean)
    >>> round(fit.rubber.mu / 1e6, 4)
    0.3057
    >>> fit_rubber(s, stress, MooneyRivlin)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    bandwork.validation.InputError: The best Mooney-Rivlin fit is no rubber: its stress ...
    """
    from scipy.optimize import least_squares

    if not any(law is known for known in LAWS.values()):
        accepted = ", ".join(known.__name__ for known in LAWS.values())
        raise InputError(f"law is {shown(law)}; accepted are {accepted}.")
    s = numbers("stretch_ratio", stretch_ratio).ravel()
    stress = numbers("engineering_stress", engineering_stress).ravel()
    names = list(law.parameters)
    if len(s) != len(stress):
        raise InputError(f"stretch_ratio holds {len(s)} values and engineering_stress "
                         f"{len(stress)}; give one stress for each stretch ratio.")
    if len(s) <= len(names):
        raise InputError(f"{len(s)} points cannot fix the {len(names)} parameters of the "
                         f"{law.name} law; measure at least {len(names) + 1}.")
    within("stretch_ratio", s, 1, 15, "", "It is the pulled length over the relaxed length: 60 cm "
           "from 20 cm is 3.")
    within("engineering_stress", stress, 0, 1e8, "Pa", "It is the force over the relaxed "
           "cross-section in pascal: 0.5 MPa is 0.5e6.")
    if np.ptp(s) < 0.5:
        raise InputError(f"The pull runs from stretch {s.min():.3g} to {s.max():.3g}, too short "
                         "to tell a rubber's law; pull over at least half the relaxed length.")
    if stress.max() < 1e4:
        raise InputError(f"The largest engineering_stress is {stress.max():.4g} Pa, less than any "
                         "rubber pulls; give it in pascal: 0.5 MPa is 0.5e6.")

    longest = float(s.max())
    size = float(stress.max())
    least = law.least(longest)
    start = np.array([accepted.start for accepted in law.parameters.values()])
    low = np.array([max(accepted.low, least.get(name, -np.inf))
                    for name, accepted in law.parameters.items()])
    high = np.array([accepted.high for accepted in law.parameters.values()])
    scale = np.abs(start)

    def made(x: FloatArray) -> RubberLaw:
        return law(*map(float, np.clip(x * scale, low, high)))

    found = least_squares(lambda x: (made(x)._stress(s) - stress) / size,
                          np.clip(start, low + 0.05 * np.abs(low), high) / scale,
                          bounds=(low / scale, high / scale),
                          xtol=1e-12, ftol=1e-12, gtol=1e-12, max_nfev=5000)
    rubber = made(found.x)
    fitted = found.x * scale

    along = np.linspace(1.0, longest, 400)
    curve = rubber._stress(along)
    if (curve[1:] <= 0).any() or (np.diff(curve) < 0).any():
        where = along[1:][(curve[1:] <= 0) | (np.diff(curve) < 0)]
        raise InputError(f"The best {law.name} fit is no rubber: its stress falls or is negative "
                         f"around stretch {where[0]:.2f}. Fit a shorter range, or another law.")

    freedom = len(s) - len(names)
    variance = float(np.sum(found.fun**2)) / freedom
    errors = np.sqrt(max(variance, 1e-300)) * scale * _spread(np.asarray(found.jac))

    judged = s >= 1.25
    relative = np.abs(rubber._stress(s[judged]) - stress[judged]) / np.maximum(stress[judged], 1)
    worst = float(relative.max(initial=0.0))

    cautions = []
    for name, value, error in zip(names, fitted, errors, strict=True):
        if not np.isfinite(error) or error > abs(value) / 2:
            cautions.append(f"These points hardly fix {name}: its standard error is more than "
                            "half of its value.")
    if longest < lookup("rule.loaded_stretch").value:
        cautions.append(f"The pull ended at stretch {longest:.2f}; a loaded band goes further, and "
                        "the law is a guess there.")
    if worst > 0.1:
        cautions.append(f"The law misses a measured point by {worst * 100:.0f} %: look for a slip "
                        "in the readings, fit a shorter range or take another law.")
    return RubberFit(
        rubber=rubber,
        standard_errors=tuple(float(error) for error in errors),
        residual=float(np.sqrt(np.mean(found.fun**2))) * size,
        worst=worst,
        longest=longest,
        cautions=tuple(cautions),
    )


def _spread(slopes: FloatArray) -> FloatArray:
    """Return the standard error of each parameter for residuals of standard deviation 1.

    The square roots of the diagonal of (J^T J)^-1; inf for all where the columns of J are as good
    as dependent, so that the points cannot tell the parameters apart.
    """
    lengths = np.linalg.norm(slopes, axis=0)
    if not lengths.all():
        return np.full(len(lengths), np.inf)
    _, sizes, directions = np.linalg.svd(slopes / lengths, full_matrices=False)
    if sizes[-1] < 1e-7 * sizes[0]:
        return np.full(len(lengths), np.inf)
    return np.linalg.norm(directions.T / sizes, axis=1) / lengths


@cache
def handbook_rubber() -> GentGent:
    """Return the rubber the course computes with until you have measured your own.

    Returns
    -------
    GentGent
        Our fit to Treloar's test (handbook rows "rubber.gent_gent.*"). A real tube differs:
        see `stretch.load_interval` for by how much, and `fit_rubber` to measure yours.
    """
    return GentGent(mu=lookup("rubber.gent_gent.mu").value,
                    jm=lookup("rubber.gent_gent.jm").value,
                    c2=lookup("rubber.gent_gent.c2").value)


def scaled(rubber: RubberLaw, factor: float) -> RubberLaw:
    """Return the same law with every stress multiplied by `factor`.

    Parameters
    ----------
    rubber : RubberLaw
        The law to scale.
    factor : float or array_like
        Stress ratio [1], 0.1 to 10.

    Returns
    -------
    RubberLaw
        Of the same kind; stress and energy at any stretch are `factor` times as large.

    Raises
    ------
    InputError
        If `factor` lies outside its range, or takes a parameter out of its own.
    """
    of_kind(RubberLaw, rubber=rubber)
    times = within("factor", factor, 0.1, 10, "")
    together(rubber, factor=times)
    return type(rubber)(**{name: np.multiply(value, times)
                           if rubber.parameters[name].unit == "Pa" else value
                           for name, value in rubber._values().items()})
