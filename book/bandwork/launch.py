"""Unit `launch`: how fast the shaft leaves, and where the rest of the energy goes.

The model, in one place. The wishbone has moved x along the track, at speed u against the gun;
the gun moves at w (negative: it recoils). A leg lies on its path of length p = p0 - x and is
stretched evenly along it, so that rubber at distance s from the anchor, measured along the path,
moves along it at u s/p. With relaxed length L, lower run l (0 on a conventional gun) and band mass
m that gives

- kinetic energy of the band m/2 (u^2/3 + 2 q u w + w^2): **one third of the whole leg's mass moves
  with the wishbone, wherever the roller is**, for the roller turns the rubber's direction and not
  its speed;
- momentum of the band along the gun m (q u + w) with q = 1/2 - (l/p)^2: the upper run moves
  forward and the lower run back, so q falls from about 1/4 at the notch of a roller gun to -1/2 at
  the roller; on a conventional gun it is 1/2.

Lagrange's equations for x and for the gun, with the shaft and wishbone as a mass at the front end
of the band, then read

    (M + m/3) x'' + (M + m q) w' = (1 - h) F(x) - f - D - B
    (M + m q) x'' + (M + m + G) w' = -D - m q'(x) u^2

with M shaft, wishbone and the water they carry along, G the gun (infinite when held fast), F the
band's pull at the wishbone, as it was loaded over a roller with friction and let go
(`stretch.notch_load`, "released"), h the hysteresis loss, f the line's pull, D the drag of shaft
and wishbone, and B that of the bands, each piece counted by its speed over the wishbone's: B u is
the power that the water gets.

What is left out, and when that is allowed:

- Waves in the band. Against a chain of 60 beads this model is within 2 % of the speed while the
  shaft weighs twice the band or more, and 6 % too fast for two wishbones on a roller, where band
  and shaft weigh nearly the same. The speed must stay well below `retraction_speed`.
- Uneven stretch in the band's inertia. A roller's friction of 0.05 leaves the lower run tighter, so
  that its rubber must run up to 13 % faster: 0.43 instead of one third at the very end of the
  drive, and 2 % of the speed.
- The roller's own spin: a roller of 20 g counts as less than 10 g at the wishbone.
- Friction of the shaft on its track: a few newtons against hundreds.
- The gun's own drag as it recoils, below 5 m/s; the part of the bands' drag that pushes on the gun.
- The pull's small angle to the shaft.
"""

from dataclasses import dataclass, field, fields, replace
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from bandwork.components import Band, Barrel, Shaft, Water
from bandwork.flight import added_mass, coast, drag_area, spheroid_added_mass
from bandwork.handbook import lookup
from bandwork.rubber import RubberLaw
from bandwork.stretch import cut_length_for_load, loaded_stretch, notch_load, stored_energy
from bandwork.validation import (
    FloatArray,
    InputError,
    of_kind,
    plain,
    settle,
    together,
    within,
)

CAUTIONS = (
    "A computed speed is an estimate, never a safe distance: nobody stands or swims ahead of a "
    "loaded gun.",
    "Keep to the maker's limits for barrel, band and shaft, to local law and to what a certified "
    "instructor taught you.",
)

_TYPICAL_SPEED = 20.0
_NOT_THROUGH = ("The band does not bring the shaft out of the gun; give a stronger band, or check "
                "line_pull, wishbone_drag_area and the other losses.")
_STEPS = 48
_FEW, _MANY = 14, 28


def _handbook(key: str) -> Any:
    return field(default_factory=lambda: lookup(key).value)


@dataclass(frozen=True)
class ShotConditions:
    """What takes part in a shot besides band, shaft, barrel and water.

    Parameters
    ----------
    gun_mass : float, array_like or None
        Mass of the gun without shaft and bands, with the water that moves along with it and in
        it [kg], 0.3 to 100, if it is free to recoil. None for a gun that is held fast. A hand on a
        bent arm lies between: try both.
    hysteresis_loss : float or array_like
        Part of the stored energy that the rubber keeps [1], 0 to 0.6.
    shaft_drag_area : float, array_like or None
        Drag coefficient times area of the shaft along its axis [m2], 0 to 0.01; None for
        `flight.drag_area` without line, at 20 m/s.
    band_skin_friction : float or array_like
        Skin friction coefficient of the bands [1], 0 to 0.1.
    wishbone_mass : float or array_like
        Of one wishbone, for two legs [kg], 0 to 0.2.
    wishbone_drag_area : float or array_like
        Of one wishbone [m2], 0 to 0.01.
    line_pull : float or array_like
        Of the shooting line on the shaft, from the gun [N], 0 to 200.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.
    """

    gun_mass: Any = None
    hysteresis_loss: Any = _handbook("rubber.hysteresis_loss")
    shaft_drag_area: Any = None
    band_skin_friction: Any = _handbook("band.skin_friction")
    wishbone_mass: Any = _handbook("wishbone.mass")
    wishbone_drag_area: Any = _handbook("wishbone.drag_area")
    line_pull: Any = _handbook("line.launch_pull")

    def __post_init__(self) -> None:
        if self.gun_mass is not None:
            settle(self, "gun_mass", 0.3, 100, "kg", "Give None for a gun that is held fast.")
        settle(self, "hysteresis_loss", 0, 0.6, "", "Give it as a part: 10 % is 0.1.")
        if self.shaft_drag_area is not None:
            settle(self, "shaft_drag_area", 0, 0.01, "m2", "Give it in square metres.")
        settle(self, "band_skin_friction", 0, 0.1, "")
        settle(self, "wishbone_mass", 0, 0.2, "kg", "Give it in kilograms: 10 g is 0.01.")
        settle(self, "wishbone_drag_area", 0, 0.01, "m2", "Give it in square metres.")
        settle(self, "line_pull", 0, 200, "N")
        together(self)


@dataclass(frozen=True)
class EnergyBudget:
    """Where the energy that loading stored has gone when the shaft leaves the gun.

    Attributes
    ----------
    stored : float or ndarray
        `stretch.stored_energy` [J]; the other parts add up to it.
    shaft : float or ndarray
        Motion of the shaft [J].
    bands : float or ndarray
        Motion of bands and wishbone, and what pull is left in them [J].
    recoil : float or ndarray
        Motion of the gun when the drive ends [J].
    drag : float or ndarray
        Given to the water by shaft, wishbone and bands, the water carried along included [J].
    friction : float or ndarray
        At the roller [J]: what an even stretch would have given less what the wishbone got. A
        rough roller is loaded harder and leaves the upper run with more than an even stretch has;
        from a friction of about 0.25 that outweighs its loss, and this part is negative.
    hysteresis : float or ndarray
        Kept by the rubber as heat [J].
    line : float or ndarray
        Work against the line's pull [J].
    """

    stored: Any
    shaft: Any
    bands: Any
    recoil: Any
    drag: Any
    friction: Any
    hysteresis: Any
    line: Any


@dataclass(frozen=True)
class Launch:
    """What a shot does, from the release until the shaft's tail leaves the gun.

    Attributes
    ----------
    muzzle_speed : float or ndarray
        Of the shaft through the water when its tail passes roller or muzzle [m/s].
    time_on_track : float or ndarray
        From the release until then [s].
    drive_length : float or ndarray
        How far the band pushes [m]: to the roller, or on a conventional gun until the band no
        longer pushes, just before it goes slack.
    recoil_speed : float or ndarray
        Of the gun, backward, when the drive ends [m/s]; 0 if held fast.
    recoil_impulse : float or ndarray
        What gun and hand must take up until the bands rest [N s]: the momentum given to shaft
        and water.
    peak_push : float or ndarray
        Greatest force that pushes the gun back [N]. A gun held fast passes it on to the hand.
    peak_thrust : float or ndarray
        Greatest push of the wishbone on the shaft [N].
    peak_acceleration : float or ndarray
        Greatest acceleration of the shaft [m/s2].
    efficiency : float or ndarray
        Energy of the shaft over the energy stored [1].
    retraction_speed : float or ndarray
        The speed at which this rubber itself can retract [m/s]. The muzzle speed is never given
        above it: what a model without waves would add counts with the bands' energy.
    flex_ratio : float or ndarray
        `flex_ratio` at the peak thrust [1].
    energy : EnergyBudget
        The parts [J].
    cautions : tuple of str
        To be shown with the numbers.
    """

    muzzle_speed: Any
    time_on_track: Any
    drive_length: Any
    recoil_speed: Any
    recoil_impulse: Any
    peak_push: Any
    peak_thrust: Any
    peak_acceleration: Any
    efficiency: Any
    retraction_speed: Any
    flex_ratio: Any
    energy: EnergyBudget
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Track:
    """The drive in steps, to be drawn. All arrays have one value a step.

    Attributes
    ----------
    position : ndarray
        How far the wishbone has moved along the gun [m].
    time : ndarray
        Since the release [s].
    speed : ndarray
        Of the shaft through the water [m/s].
    gun_speed : ndarray
        Of the gun [m/s]; negative backward.
    pull : ndarray
        Of the band at the wishbone, after friction and hysteresis [N].
    thrust : ndarray
        Push of the wishbone on the shaft [N].
    push : ndarray
        Force that pushes the gun back [N].
    """

    position: FloatArray
    time: FloatArray
    speed: FloatArray
    gun_speed: FloatArray
    pull: FloatArray
    thrust: FloatArray
    push: FloatArray


@dataclass(frozen=True)
class _Motion:
    """The numbers of the equations of motion, and the equations themselves."""

    shaft: Any
    shaft_water: Any
    wishbone: Any
    band: Any
    band_water: Any
    gun: Any
    line: Any
    shaft_drag: Any
    wishbone_drag: Any
    band_drag: Any
    path: Any
    lower: Any
    stored: Any

    def accelerations(self, x: Any, u: Any, w: Any, pull: Any) -> tuple[Any, ...]:
        """Return x'', w', thrust on the shaft, push on the gun, drag D, and its power."""
        band = self.band + self.band_water
        front = self.shaft + self.shaft_water + self.wishbone
        path = self.path - x
        turned = (self.lower / path) ** 2
        coupled = front + band * (0.5 - turned)
        whole = front + band + self.gun
        swing = -2 * band * turned / path * u**2
        v = u + w
        drag = (self.shaft_drag + self.wishbone_drag) * v * np.abs(v)
        band_drag = self.band_drag * np.sqrt(path) * u**2
        along = pull - self.line - drag - band_drag
        share = coupled / whole
        forward = (along + share * (drag + swing)) / (front + band / 3 - share * coupled)
        gun = -(drag + swing + coupled * forward) / whole
        thrust = ((self.shaft + self.shaft_water) * (forward + gun)
                  + self.shaft_drag * v * np.abs(v) + self.line)
        push = coupled * forward + swing + (front + band) * gun + drag
        return forward, gun, thrust, push, drag, drag * v + band_drag * u


@dataclass(frozen=True)
class _End:
    """The state when the drive ends, and the greatest values on the way."""

    x: Any
    u: Any
    w: Any
    work: Any
    drag_work: Any
    drag_impulse: Any
    time: Any
    push: Any
    thrust: Any
    acceleration: Any


def band_inertia(band: Band, barrel: Barrel, moved: ArrayLike = 0.0) -> tuple[Any, Any, Any]:
    """Return how much of the band's mass moves with the wishbone, and which run it belongs to.

    An evenly stretched leg with the wishbone at speed u and its anchor at rest holds m u^2/6, one
    third of its mass at the wishbone's speed, of which (l/p)^3 is the lower run's.

    Parameters
    ----------
    band, barrel : Band, Barrel
        Their numbers broadcast.
    moved : array_like
        How far the wishbone has moved from the notch [m], 0 to the upper run.

    Returns
    -------
    upper : float or ndarray
        Mass at the wishbone that has the upper run's energy [kg].
    lower : float or ndarray
        The same for the run from the anchor round the roller [kg].
    momentum_share : float or ndarray
        Momentum of all legs along the gun over band mass times wishbone speed [1].

    Raises
    ------
    InputError
        If `moved` lies outside its range.

    Notes
    -----
    For a spring fixed at one end this is Rayleigh's third. Exact for even stretch; by friction
    at a roller of 0.05 the share rises from 0.33 at the notch to 0.43 at the roller.

    Examples
    --------
    >>> band = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
    >>> upper, lower, share = band_inertia(band, Barrel(length=1.20))
    >>> round((upper + lower) / band.mass, 6), round(share, 3)
    (0.333333, 0.242)
    """
    of_kind(Band, band=band)
    of_kind(Barrel, barrel=barrel)
    x = np.asarray(within("moved", moved, 0, float(np.min(barrel.upper_run)), "m"))
    part = np.asarray(barrel.lower_run / (barrel.loaded_path - x))
    third = band.mass / 3
    return plain(third * (1 - part**3)), plain(third * part**3), plain(0.5 - part**2)


def retraction_speed(band: Band, barrel: Barrel) -> Any:
    """Return the speed at which the loaded rubber itself retracts when nothing hangs on it.

    The integral of sqrt((dP/ds)/rho) over the stretch ratio from 1 to the loaded one: the speed
    behind a simple wave that unloads the band. No shaft can be driven faster by it.

    Parameters
    ----------
    band, barrel : Band, Barrel
        Their numbers broadcast.

    Returns
    -------
    float or ndarray
        Speed [m/s].

    Raises
    ------
    InputError
        If the loaded band is slack, or stretched past what its rubber law covers.

    Notes
    -----
    Free retraction of rubber: Niemczura 2010 (SAND2010-1480), Vermorel and others 2007. Their
    rubber retracts as a shock where its stress curve bends the other way, which is slower, and
    hysteresis slows it too: this is an upper bound. Gauss-Legendre, 24 points.

    Examples
    --------
    >>> band = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
    >>> round(retraction_speed(band, Barrel(length=1.20)))
    55
    """
    of_kind(Band, band=band)
    of_kind(Barrel, barrel=barrel)
    band.force(barrel.loaded_path)
    return plain(_retraction(band, barrel))


def _retraction(band: Band, barrel: Barrel) -> Any:
    """Return the speed of `retraction_speed` for a band that is known to be within its law."""
    loaded = np.asarray(band.stretch_ratio(barrel.loaded_path))
    points, weights = np.polynomial.legendre.leggauss(24)
    extra = (...,) + (None,) * max(loaded.ndim, np.ndim(band.density),
                                   *(np.ndim(value) for value in band.rubber._values().values()))
    s = 1 + (loaded - 1) * ((points + 1) / 2)[extra]
    slope = (band.rubber._stress(s + 1e-5) - band.rubber._stress(s - 1e-5)) / 2e-5
    waves = np.sqrt(slope / band.density)
    return (loaded - 1) / 2 * np.sum(weights[extra] * waves, axis=0)


def euler_load(shaft: Shaft) -> Any:
    """Return the load at its ends under which a pinned shaft of this length buckles.

    pi^2 E I/L^2 with I = pi d^4/64.

    Parameters
    ----------
    shaft : Shaft
        Its numbers broadcast.

    Returns
    -------
    float or ndarray
        Load [N].

    Examples
    --------
    >>> round(euler_load(Shaft(diameter=0.007, length=1.60)))
    89
    """
    of_kind(Shaft, shaft=shaft)
    return plain(np.pi**2 * np.asarray(shaft.youngs_modulus) * shaft.second_moment
                 / np.square(shaft.length))


@cache
def _shared_load() -> float:
    """Return the buckling thrust, over Euler's, of a pinned rod that its own inertia loads.

    The axial load falls evenly from the thrust at the tail to 0 at the tip. Galerkin's method
    with the sines of Euler's rod on a length of 1: sum of bending against axial shortening.
    """
    from scipy.linalg import eigh

    n = np.arange(1, 13)
    points, weights = np.polynomial.legendre.leggauss(64)
    along = (points + 1) / 2
    slopes = n[:, None] * np.pi * np.cos(np.pi * n[:, None] * along)
    shortening = (slopes * weights / 2 * (1 - along)) @ slopes.T
    bending = np.diag((n * np.pi) ** 4 / 2)
    most = eigh(shortening, bending, eigvals_only=True)[-1]
    return float(1 / most / np.pi**2)


def flex_ratio(shaft: Shaft, thrust: ArrayLike) -> Any:
    """Return the thrust over the thrust at which a shaft between guides would buckle.

    thrust/(1.88 pi^2 E I/L^2). The shaft's own inertia takes up the thrust bit by bit, so that the
    load inside falls evenly from the tail to nothing at the tip; such a rod, pinned at both ends,
    bears 1.88 times Euler's load (computed here). Usual shafts are all above 1: the shot is over
    before they have bent far, and the track holds them. So the ratio compares shafts; it goes with
    L^2/d^4.

    Parameters
    ----------
    shaft : Shaft
        Its numbers broadcast.
    thrust : array_like
        Push on the tail [N], 0 to 1e5.

    Returns
    -------
    float or ndarray
        Ratio [1].

    Raises
    ------
    InputError
        If `thrust` lies outside its range.

    Examples
    --------
    >>> thin, thick = Shaft(diameter=0.007, length=1.60), Shaft(diameter=0.0075, length=1.60)
    >>> round(flex_ratio(thin, 350), 2), round(flex_ratio(thick, 350), 2)
    (2.09, 1.59)
    """
    push = np.asarray(within("thrust", thrust, 0, 1e5, "N"))
    of_kind(Shaft, shaft=shaft)
    together(shaft, thrust=push)
    return plain(push / (_shared_load() * np.asarray(euler_load(shaft))))


def launch(band: Band, shaft: Shaft, barrel: Barrel, water: Water | None = None,
           conditions: ShotConditions | None = None) -> Launch:
    """Return one shot, integrated to rounding.

    Parameters
    ----------
    band, shaft, barrel : Band, Shaft, Barrel
        One set-up, of single numbers.
    water : Water, optional
        The sea at 20 degrees Celsius unless you give your own.
    conditions : ShotConditions, optional
        The handbook's values, the gun held fast, unless you give your own.

    Returns
    -------
    Launch

    Raises
    ------
    InputError
        If a part holds several numbers, if the band is slack or overstretched, or if it is too
        weak to move the shaft out of the gun.

    Notes
    -----
    scipy's `solve_ivp` (DOP853, relative tolerance 1e-10); the drive ends where the wishbone
    meets the roller, or where its push on the shaft falls to nothing.

    Examples
    --------
    >>> shot = launch(Band(0.016, 0.003, 0.65), Shaft(0.0075, 1.60), Barrel(length=1.20))
    >>> round(shot.muzzle_speed), round(shot.efficiency, 1)
    (26, 0.5)
    """
    motion, drive, given = _prepare(band, shaft, barrel, water, conditions)
    _single(drive)
    end, _ = _integrate(motion, drive, _pull(band, barrel, given, drive, _MANY))
    return _result(motion, end, band, shaft, barrel, given)


def track(band: Band, shaft: Shaft, barrel: Barrel, water: Water | None = None,
          conditions: ShotConditions | None = None) -> Track:
    """Return the drive of one shot step by step, to be drawn.

    Parameters
    ----------
    band, shaft, barrel : Band, Shaft, Barrel
        One set-up, of single numbers.
    water : Water, optional
        As in `launch`.
    conditions : ShotConditions, optional
        As in `launch`.

    Returns
    -------
    Track

    Raises
    ------
    InputError
        As `launch`.
    """
    motion, drive, given = _prepare(band, shaft, barrel, water, conditions)
    _single(drive)
    _, steps = _integrate(motion, drive, _pull(band, barrel, given, drive, _MANY))
    return steps


def launch_many(band: Band, shaft: Shaft, barrel: Barrel, water: Water | None = None,
                conditions: ShotConditions | None = None) -> Launch:
    """Return many shots at once, within 0.1 % of `launch`.

    Parameters
    ----------
    band, shaft, barrel : Band, Shaft, Barrel
        Their numbers broadcast against each other.
    water : Water, optional
        As in `launch`; its numbers broadcast.
    conditions : ShotConditions, optional
        As in `launch`; its numbers broadcast.

    Returns
    -------
    Launch
        With arrays of the common shape.

    Raises
    ------
    InputError
        As `launch`, for the first set-up that cannot be.

    Notes
    -----
    Runge-Kutta of fourth order, 48 steps in the root of the way, where the start from rest is
    smooth; friction at the roller by a polynomial through 14 Chebyshev points. About 40 arrays
    of doubles a set-up: give no more than some hundred thousand at once.

    Examples
    --------
    >>> shots = launch_many(Band(0.016, 0.003, [0.65, 0.70]), Shaft(0.0075, 1.60), Barrel(1.20))
    >>> shots.muzzle_speed.round()
    array([26., 25.])
    """
    motion, drive, given = _prepare(band, shaft, barrel, water, conditions)
    end = _march(motion, drive, _pull(band, barrel, given, drive, _FEW))
    return _result(motion, end, band, shaft, barrel, given)


def _single(drive: FloatArray) -> None:
    if drive.ndim:
        raise InputError(f"The parts hold {drive.size} set-ups; one is accepted here. Use "
                         "launch_many for several.")


def _prepare(band: Band, shaft: Shaft, barrel: Barrel, water: Water | None,
             conditions: ShotConditions | None) -> tuple[Any, ...]:
    """Return the motion, the length of the drive, and the conditions with nothing left open."""
    sea = Water() if water is None else water
    given = ShotConditions() if conditions is None else conditions
    of_kind(Band, band=band)
    of_kind(Shaft, shaft=shaft)
    of_kind(Barrel, barrel=barrel)
    of_kind(Water, water=sea)
    of_kind(ShotConditions, conditions=given)
    together(band, shaft, barrel, sea, given)
    drive = np.asarray(barrel.loaded_path - np.asarray(barrel.resting_path(band.relaxed_length)))
    stored = stored_energy(band, barrel)
    if np.any(drive <= 0):
        raise InputError("relaxed_length reaches the notch, so that the band would be slack there; "
                         "give a shorter one.")
    if given.shaft_drag_area is None:
        given = replace(given, shaft_drag_area=drag_area(shaft, sea, None, _TYPICAL_SPEED).total)
    density = np.asarray(sea.density)
    width = band.outer_diameter / np.sqrt(band.stretch_ratio(barrel.loaded_path))
    along, _ = spheroid_added_mass(np.minimum(barrel.loaded_path / width, 1000))
    wishbones = band.legs / 2
    motion = _Motion(
        shaft=shaft.mass,
        shaft_water=added_mass(shaft, sea)[0],
        wishbone=wishbones * given.wishbone_mass,
        band=band.mass,
        band_water=density * np.asarray(band.volume) * along,
        gun=np.inf if given.gun_mass is None else given.gun_mass,
        line=given.line_pull,
        shaft_drag=density / 2 * given.shaft_drag_area,
        wishbone_drag=density / 2 * wishbones * given.wishbone_drag_area,
        band_drag=density / 2 * given.band_skin_friction * np.pi * band.outer_diameter
        * np.sqrt(band.relaxed_length) * band.legs / 4,
        path=barrel.loaded_path,
        lower=barrel.lower_run,
        stored=stored,
    )
    shapes = (np.shape(getattr(motion, one.name)) for one in fields(motion))
    size = np.broadcast_shapes(np.shape(drive), np.shape(barrel.friction_ratio),
                               np.shape(given.hysteresis_loss), *shapes)
    return motion, np.broadcast_to(drive, size), given


@dataclass(frozen=True)
class _Pull:
    """The pull along the drive: that of rubber that slides over the roller, or is held by it."""

    sliding: FloatArray
    scale: Any
    rubber: RubberLaw
    loaded: Any
    way: Any

    def at(self, share: FloatArray) -> FloatArray:
        """Return the pull at shares of the drive, 0 to 1; they run along the first axis."""
        sliding = _at(self.sliding, share)
        gone = share.reshape((-1,) + (1,) * (sliding.ndim - 1)) * self.way
        held = self.rubber._stress(np.maximum(self.loaded * (1 - gone), 1.0))
        return np.maximum(sliding, self.scale * held)


def _pull(band: Band, barrel: Barrel, given: ShotConditions, drive: Any, points: int) -> _Pull:
    """Return the pull at the wishbone as in `stretch.notch_load` for a band that was let go.

    That of sliding rubber is smooth, so that 14 Chebyshev points of the drive give it to about
    1e-4 of its peak and 28 to rounding.
    """
    along = (_chebyshev(points).reshape((-1,) + (1,) * np.ndim(drive))) * drive
    force = notch_load(band, barrel, np.minimum(along, barrel.upper_run), "driving")
    kept = np.subtract(1, given.hysteresis_loss)
    return _Pull(np.asarray(kept * force), kept * band.legs * band.cross_section, band.rubber,
                 np.asarray(loaded_stretch(band, barrel)), drive / barrel.upper_run)


@cache
def _chebyshev(points: int) -> FloatArray:
    return (1 - np.cos(np.pi * np.arange(points) / (points - 1))) / 2


def _at(pull: FloatArray, share: FloatArray) -> FloatArray:
    """Return the pull at shares of the drive, 0 to 1, by the polynomial through its points.

    The barycentric form; on a point itself the tiny gap makes its weight the only one.
    """
    count = len(pull)
    gap = np.subtract.outer(share, _chebyshev(count))
    weights = np.where(np.arange(count) % 2, -1.0, 1.0) / np.where(gap == 0, 1e-200, gap)
    weights[:, [0, -1]] /= 2
    return np.tensordot(weights / weights.sum(axis=1, keepdims=True), pull, axes=1)


def _moving(acceleration: Any) -> None:
    if np.any(acceleration <= 0):
        raise InputError("The band is too weak to move the shaft against the line; give a stronger "
                         "band, or a smaller line_pull.")


def _integrate(motion: _Motion, drive: Any, pull: _Pull) -> tuple[_End, Track]:
    """Integrate one shot over time, to rounding."""
    from scipy.integrate import solve_ivp

    length = float(drive)

    def forces(states: FloatArray) -> tuple[Any, ...]:
        x, u, w = states[:3]
        force = pull.at(np.minimum(x / length, 1.0))
        return (force, *motion.accelerations(x, u, w, force))

    def change(_: float, state: FloatArray) -> list[Any]:
        force, forward, gun, _, _, drag, lost = (one[0] for one in forces(state[:, None]))
        return [state[1], forward, gun, force * state[1], lost, drag]

    def arrives(_: float, state: FloatArray) -> float:
        return float(state[0] - length)

    def lets_go(_: float, state: FloatArray) -> float:
        return float(forces(state[:, None])[3][0])

    arrives.terminal = True  # type: ignore[attr-defined]
    lets_go.terminal = True  # type: ignore[attr-defined]
    rest = np.zeros(6)
    start = change(0.0, rest)[1]
    _moving(start)
    guess = np.sqrt(2 * length / start)
    solved = solve_ivp(change, (0.0, 10 * guess), rest, method="DOP853", rtol=1e-10,
                       atol=1e-12, max_step=guess / 4, events=(arrives, lets_go),
                       dense_output=True)
    if solved.status != 1:
        raise InputError(_NOT_THROUGH)
    times = np.linspace(0, solved.t[-1], 401)
    states = solved.sol(times)
    force, forward, gun, thrust, push, *_ = forces(states)
    x, u, w, work, lost, impulse = solved.y[:, -1]
    end = _End(x, u, w, work, lost, impulse, solved.t[-1], push.max(), thrust.max(),
               (forward + gun).max())
    return end, Track(states[0], times, states[1] + states[2], states[2], force, thrust, push)


def _march(motion: _Motion, drive: Any, pull: _Pull) -> _End:
    """Integrate many shots at once, by Runge-Kutta in the root of the share of the drive.

    With x = X r^2 the speed rises evenly from rest in r, and dt = 2 X r dr/u stays finite.
    """
    pulls = pull.at((np.arange(2 * _STEPS + 1) / (2 * _STEPS)) ** 2)
    rest = np.zeros(())
    start = motion.accelerations(rest, rest, rest, pulls[0])[0]
    _moving(start)
    size = np.broadcast_shapes(np.shape(start), np.shape(drive))
    first_pace = np.sqrt(2 * drive / start)

    def slopes(half_steps: int, state: FloatArray) -> tuple[FloatArray, tuple[Any, ...]]:
        r = half_steps / (2 * _STEPS)
        u, w = state[:2]
        forward, gun, thrust, push, drag, lost = motion.accelerations(
            drive * r**2, u, w, pulls[half_steps])
        pace = 2 * drive * r / u if half_steps else first_pace
        grown = np.empty_like(state)
        for row, rate in enumerate((forward, gun, pulls[half_steps] * u, lost, drag, 1.0)):
            grown[row] = pace * rate
        return grown, (push, thrust, forward + gun)

    step = 1 / _STEPS
    state = np.zeros((6, *size))
    slope, peaks = slopes(0, state)
    peaks = tuple(np.broadcast_to(peak, size) for peak in peaks)
    thrust = peaks[1]
    ended = np.zeros(size, dtype=bool)
    final, reached = state, np.zeros(size)
    with np.errstate(invalid="ignore", divide="ignore"):
        for half in range(0, 2 * _STEPS, 2):
            middle, _ = slopes(half + 1, state + step / 2 * slope)
            second, halfway = slopes(half + 1, state + step / 2 * middle)
            last, _ = slopes(half + 2, state + step * second)
            after = state + step / 6 * (slope + 2 * (middle + second) + last)
            slope_after, now = slopes(half + 2, after)
            driven = ~ended
            lets_go = driven & ~(now[1] > 0)
            share, between = np.ones(size), after
            if lets_go.any():
                share = np.where(lets_go, _root(thrust, halfway[1], now[1]), 1.0)
                between = _hermite(state, after, slope * step, slope_after * step, share)
            final = np.where(driven, between, final)
            reached = np.where(driven, ((half / 2 + share) * step) ** 2, reached)
            ended |= lets_go
            peaks = tuple(np.where(driven, np.fmax(a, b), a)
                          for a, b in zip(peaks, now, strict=True))
            state, slope, thrust = after, slope_after, now[1]
    u, w, work, lost, impulse, time = final
    if not (np.isfinite(final).all() and (u > 0).all()):
        raise InputError(_NOT_THROUGH)
    return _End(reached * drive, u, w, work, lost, impulse, time, *peaks)


def _root(start: Any, middle: Any, end: Any) -> Any:
    """Return where the parabola through three values at 0, 1/2 and 1 falls to 0."""
    fall = 3 * start - 4 * middle + end
    bend = 2 * (start - 2 * middle + end)
    return 2 * start / (fall + np.sqrt(fall**2 - 4 * bend * start))


def _hermite(start: FloatArray, end: FloatArray, slope: FloatArray, slope_end: FloatArray,
             share: FloatArray) -> FloatArray:
    """Return the cubic between two states with the given slopes, at a share of the step."""
    rest = 1 - share
    return (rest**2 * ((1 + 2 * share) * start + share * slope)
            + share**2 * ((1 + 2 * rest) * end - rest * slope_end))


def _result(motion: _Motion, end: _End, band: Band, shaft: Shaft, barrel: Barrel,
            given: ShotConditions) -> Launch:
    """Follow the shaft from the end of the drive out of the gun, and add up the energies."""
    front = motion.shaft + motion.shaft_water
    leaving = end.u + end.w
    way = np.maximum(barrel.upper_run - end.x, 0) * leaving / end.u
    slowed, coasting = coast(way, leaving, front, 2 * motion.shaft_drag, 1.0)
    squared = np.square(slowed) - 2 * motion.line / front * way
    if np.any(squared <= 0):
        raise InputError(_NOT_THROUGH)
    speed = np.sqrt(squared)
    limit = _retraction(band, barrel)
    muzzle_speed = np.minimum(speed, limit)

    rest = np.divide(barrel.resting_path(band.relaxed_length), band.relaxed_length)
    reached = np.maximum((motion.path - end.x) / band.relaxed_length, rest)
    left = band.volume * (band.rubber._energy(reached) - band.rubber._energy(rest))
    stored = np.asarray(motion.stored)
    loss = np.asarray(given.hysteresis_loss)
    share = 0.5 - (motion.lower / (motion.path - end.x)) ** 2
    per_mass = end.u**2 / 6 + share * end.u * end.w + end.w**2 / 2
    kinetic = motion.shaft / 2 * muzzle_speed**2
    held = np.isinf(motion.gun)
    in_coast = front / 2 * (leaving**2 - np.square(slowed))
    energy = EnergyBudget(*map(plain, (
        stored,
        kinetic,
        motion.band * per_mass + motion.wishbone / 2 * leaving**2 + left
        + motion.shaft / 2 * squared - kinetic,
        np.where(held, 0.0, np.where(held, 1.0, motion.gun) / 2 * end.w**2),
        end.drag_work + motion.band_water * per_mass + motion.shaft_water / 2 * squared + in_coast,
        (1 - loss) * (stored - left) - end.work,
        loss * (stored - left),
        motion.line * (end.x + way),
    )))
    flex = flex_ratio(shaft, end.thrust)
    return Launch(
        muzzle_speed=plain(muzzle_speed),
        time_on_track=plain(end.time + coasting),
        drive_length=plain(end.x),
        recoil_speed=plain(np.abs(end.w)),
        recoil_impulse=plain((front + motion.wishbone) * leaving + end.drag_impulse),
        peak_push=plain(end.push),
        peak_thrust=plain(end.thrust),
        peak_acceleration=plain(end.acceleration),
        efficiency=plain(kinetic / stored),
        retraction_speed=plain(limit),
        flex_ratio=flex,
        energy=energy,
        cautions=_cautions(speed / limit, flex),
    )


def _cautions(share: Any, flex: Any) -> tuple[str, ...]:
    cautions = list(CAUTIONS)
    if np.any(share > 1):
        cautions.insert(0, "The model without waves would pass the speed at which the rubber "
                           "itself retracts; that limit is given. Take a heavier shaft.")
    elif np.any(share > lookup("rubber.retraction_caution").value):
        cautions.insert(0, f"The shaft reaches {np.max(share) * 100:.0f} % of the speed at which "
                           "the rubber itself retracts: waves in the band matter, and this speed "
                           "is only a guide.")
    threshold = lookup("shaft.whip_ratio").value
    if np.any(np.asarray(flex) > threshold):
        cautions.insert(0, f"The shaft whips: its thrust is {np.max(flex):.1f} times what it bears "
                           f"between guides, above {threshold:g}. Take a thicker or shorter shaft, "
                           "or a weaker band.")
    return tuple(cautions)


@dataclass(frozen=True)
class BarrelLoad:
    """What the loaded band does to the barrel.

    Attributes
    ----------
    compression : float or ndarray
        Of the tube between muzzle and handle [N]: on a roller gun both runs press.
    bending_moment : float or ndarray
        Eccentric moment [N m], positive where it bends the muzzle towards the shaft's side.
    deflection : float or ndarray
        In the middle of the tube, between notch and roller [m].
    stress : float or ndarray
        Greatest compressive stress in the tube's wall [Pa].
    safety_factor : float or ndarray
        Strength of the material over that stress [1]; the handbook's best value, without holes,
        dents, seams or blows.
    buckling_share : float or ndarray
        Compression over the tube's Euler load [1].
    """

    compression: Any
    bending_moment: Any
    deflection: Any
    stress: Any
    safety_factor: Any
    buckling_share: Any


def barrel_load(band: Band, barrel: Barrel, upper_height: ArrayLike | None = None,
                lower_depth: ArrayLike | None = None) -> BarrelLoad:
    """Return compression, bending and safety factor of the barrel when the gun is loaded.

    A pinned beam-column of the length of the upper run under a compression N and the same moment
    M all along: deflection (M/N)(sec t - 1) and greatest moment M sec t, t = pi/2 sqrt(N/N_E).
    Conventional: N = F and M = F h. Roller: N = F + F_l and M = F h - F_l d, with F_l the lower
    run's pull, which friction makes smaller while the band is loaded.

    Parameters
    ----------
    band, barrel : Band, Barrel
        Their numbers broadcast.
    upper_height : array_like, optional
        Height h of the pull over the tube's middle [m], 0 to 0.15; the tube's radius and handbook
        row "shaft.height_over_tube" unless given.
    lower_depth : array_like, optional
        Depth d of the lower run below the tube's middle [m], 0 to 0.15; as `upper_height` unless
        given, which is a roller in the middle. Not used on a conventional gun.

    Returns
    -------
    BarrelLoad

    Raises
    ------
    InputError
        If a value lies outside its range, if the compression reaches the Euler load, or as
        `stretch.notch_load`.

    Notes
    -----
    S.P. Timoshenko and J.M. Gere, *Theory of Elastic Stability*, beam-columns; from memory,
    derived again in the tests.

    Examples
    --------
    >>> band, barrel = Band(0.016, 0.003, 0.65), Barrel(length=1.20)
    >>> round(barrel_load(band, barrel).compression)
    855
    """
    of_kind(Band, band=band)
    of_kind(Barrel, barrel=barrel)
    usual = np.asarray(barrel.outer_diameter) / 2 + lookup("shaft.height_over_tube").value
    height = usual if upper_height is None else np.asarray(
        within("upper_height", upper_height, 0, 0.15, "m"))
    depth = height if lower_depth is None else np.asarray(
        within("lower_depth", lower_depth, 0, 0.15, "m"))
    together(band, barrel, upper_height=height, lower_depth=depth)
    upper = np.asarray(notch_load(band, barrel))
    lower = 0.0 * upper if barrel.kind == "conventional" else upper / barrel.friction_ratio
    compression = upper + lower
    moment = upper * height - lower * depth
    stiffness = barrel.youngs_modulus * np.asarray(barrel.second_moment)
    share = compression / (np.pi**2 * stiffness / np.square(barrel.upper_run))
    if np.any(share >= 1):
        raise InputError(f"The band presses with {np.max(share):.3g} times the load at which this "
                         "barrel buckles; accepted is less than 1. Give a thicker barrel, or a "
                         "weaker band.")
    angle = np.pi / 2 * np.sqrt(share)
    deflection = moment / compression * 2 * np.sin(angle / 2) ** 2 / np.cos(angle)
    stress = (compression / barrel.cross_section + np.abs(moment) / np.cos(angle)
              * barrel.outer_diameter / 2 / barrel.second_moment)
    strength = lookup(f"{barrel.material}.strength").value
    return BarrelLoad(*map(plain, (compression, moment, deflection, stress, strength / stress,
                                   share)))


@dataclass(frozen=True)
class Side:
    """One of two guns that pull with the same load at the notch.

    Attributes
    ----------
    barrel : Barrel
        The gun.
    band : Band
        Cut for the load.
    stored_energy : float or ndarray
        [J].
    position : ndarray
        Of the wishbone, from the notch to the muzzle, along the first axis [m].
    pull : ndarray
        Of the driving band there, without hysteresis [N]; 0 where it is slack.
    barrel_load : BarrelLoad
        Compression, bending and safety of the barrel.
    shot : Launch
        The shot.
    """

    barrel: Barrel
    band: Band
    stored_energy: Any
    position: FloatArray
    pull: FloatArray
    barrel_load: BarrelLoad
    shot: Launch


def roller_and_conventional(load: ArrayLike, band: Band, shaft: Shaft, barrel: Barrel,
                            water: Water | None = None,
                            conditions: ShotConditions | None = None) -> tuple[Side, Side]:
    """Return the same barrel rigged as a roller and as a conventional gun, at the same load.

    Each is cut for the load from the same tube (`stretch.cut_length_for_load`), so that it is as
    hard to load.

    Parameters
    ----------
    load : array_like
        Pull at the notch [N].
    band : Band
        Gives tube, legs and rubber; its relaxed length is not used.
    shaft, barrel : Shaft, Barrel
        The barrel's kind is not used; its friction is, for the roller.
    water : Water, optional
        As in `launch`.
    conditions : ShotConditions, optional
        As in `launch`.

    Returns
    -------
    roller, conventional : Side
        The two guns, in SI units [J, N, m].

    Raises
    ------
    InputError
        As `stretch.cut_length_for_load` and `launch`.

    Examples
    --------
    >>> roller, conventional = roller_and_conventional(
    ...     450, Band(0.016, 0.003, 0.65), Shaft(0.0075, 1.60), Barrel(length=1.20))
    >>> round(roller.stored_energy), round(conventional.stored_energy)
    (358, 229)
    """
    return (_side("roller", load, band, shaft, barrel, water, conditions),
            _side("conventional", load, band, shaft, barrel, water, conditions))


def _side(kind: Any, load: ArrayLike, band: Band, shaft: Shaft, barrel: Barrel,
          water: Water | None, conditions: ShotConditions | None) -> Side:
    of_kind(Band, band=band)
    of_kind(Barrel, barrel=barrel)
    gun = replace(barrel, kind=kind)
    cut = replace(band, relaxed_length=cut_length_for_load(
        load, gun, band.outer_diameter, band.bore, band.legs, band.rubber))
    stored = stored_energy(cut, gun)
    drive = gun.loaded_path - np.asarray(gun.resting_path(cut.relaxed_length)) + 0 * stored
    share = np.linspace(0, 1, 101).reshape((-1,) + (1,) * drive.ndim)
    position = share * (gun.upper_run + 0 * drive)
    pull = notch_load(cut, gun, np.minimum(position, np.minimum(drive, gun.upper_run)), "released")
    return Side(gun, cut, stored, position,
                np.where(position < drive, pull, 0.0) if kind == "conventional" else pull,
                barrel_load(cut, gun), launch_many(cut, shaft, gun, water, conditions))
