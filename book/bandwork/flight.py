"""Unit `flight`: how fast, how far and how low the shaft arrives, and where the fish seems to be.

Range is measured from the muzzle to the shaft's tip. When the tail leaves the muzzle the tip is
already a shaft's length ahead, so the shaft flies only `tip_range` less its length.

What is left out, and when that is right:

- Lift of the shaft that flies slightly oblique (5 to 7 % of the drop at 25 to 40 m/s and 4 to 6 m)
  and the friction that its fall adds (6 to 8 %). Both carry it, so the drop is up to a seventh
  too large here: on the side of aiming too high rather than of promising too much.
- Pitching: right within one shaft's length of flight, or with enough line; see `pitch_growth`.
- The growth of the boundary layer after the start: right after one shaft's length of way.
- The mass and weight of the towed line: right while it is some grams beside half a kilogram, of a
  fibre that nearly floats. Bringing it up to speed is counted.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, fields
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from bandwork.components import Barrel, Shaft, ShootingLine, Water
from bandwork.handbook import lookup
from bandwork.interval import Interval, combine
from bandwork.units import STANDARD_GRAVITY, inch_from_metre
from bandwork.validation import InputError, plain, settle, single, together, within

__all__ = [
    "Apparent",
    "Barrel",
    "DragArea",
    "DragCoefficients",
    "Flight",
    "FlightComparison",
    "Penetration",
    "PracticalRange",
    "Shaft",
    "ShootingLine",
    "Water",
    "added_mass",
    "aim_tilt",
    "coast",
    "compare_flights",
    "drag_area",
    "eye_to_muzzle",
    "fly",
    "fly_integrated",
    "holdover",
    "integrate_path",
    "judged_range",
    "penetration",
    "penetration_interval",
    "pitch_growth",
    "practical_range",
    "refraction_angle",
    "reynolds_number",
    "seen_through_mask",
    "sink",
    "skin_friction",
    "spheroid_added_mass",
]

CAUTIONS = (
    "This is an estimate, not permission: a shaft wounds and kills beyond any range named here.",
    "Shoot only where nobody can be in front or within the line's reach, and you see what is "
    "behind the fish.",
    "Keep to local law and to what a certified instructor taught you.",
)

FrictionLaw = Literal["ittc57", "prandtl_schlichting", "blasius"]
Limit = Literal["line", "drop", "energy", "momentum", "time"]
_FARTHEST = 20.0
_FASTEST = 80.0
_STANDS_STILL = 300.0
_GAUSS = (0.5 - 0.75**0.5 / 3, 0.5 + 0.75**0.5 / 3)
_METRES = "Give it in metres: {} is {}."
_LAWS: dict[str, tuple[float, float, Callable[[Any], Any]]] = {
    "ittc57": (1e5, 1e10, lambda re: 0.075 / (np.log10(re) - 2) ** 2),
    "prandtl_schlichting": (1e5, 1e9, lambda re: 0.455 / np.log10(re) ** 2.58),
    "blasius": (1e3, 1e6, lambda re: 1.328 / np.sqrt(re)),
}


def _handbook(key: str) -> Any:
    return field(default_factory=lambda: lookup(key).value)


def reynolds_number(speed: ArrayLike, length: ArrayLike, water: Water) -> Any:
    """Return the Reynolds number speed x length / kinematic viscosity.

    Parameters
    ----------
    speed : array_like
        Through the water [m/s], 0 to 80.
    length : array_like
        Along the flow for skin friction, across it for the fall [m], above 0 to 20.
    water : Water
        Gives the viscosity.

    Returns
    -------
    float or ndarray
        Reynolds number [1].

    Raises
    ------
    InputError
        If a value lies outside its range.

    Examples
    --------
    >>> round(reynolds_number(30, 1.6, Water(temperature=20)) / 1e6, 1)
    45.7
    """
    fast = np.asarray(within("speed", speed, 0, _FASTEST, "m/s"))
    long = np.asarray(within("length", length, 1e-6, _FARTHEST, "m"))
    together(water, speed=fast, length=long)
    return plain(fast * long / water.kinematic_viscosity)


def skin_friction(reynolds: ArrayLike, law: FrictionLaw = "ittc57") -> Any:
    """Return the mean skin friction coefficient of a surface as long as `reynolds` says.

    ITTC-57: 0.075/(log10 Re - 2)^2, the line of ship models, turbulent from the front on.
    Prandtl-Schlichting: 0.455/(log10 Re)^2.58, a smooth turbulent plate.
    Blasius: 1.328/sqrt(Re), a smooth laminar plate.

    Parameters
    ----------
    reynolds : array_like
        Reynolds number on the length [1]: 1e5 to 1e10 (ittc57), 1e5 to 1e9
        (prandtl_schlichting), 1e3 to 1e6 (blasius).
    law : "ittc57", "prandtl_schlichting" or "blasius"
        Which law.

    Returns
    -------
    float or ndarray
        Friction over (density/2 x speed^2 x wetted surface) [1].

    Raises
    ------
    InputError
        If the law is unknown or the Reynolds number outside its range.

    Notes
    -----
    The ITTC line is a correlation that includes some form of a ship; it lies 5 % above the plate
    at 1e6 and on it at 1e7. Table 8.3 of Tupper, *Introduction to Naval Architecture*.

    Examples
    --------
    >>> round(skin_friction(1e7), 6)
    0.003
    """
    if not isinstance(law, str) or law not in _LAWS:
        raise InputError(f"law is {law!r}; accepted are {', '.join(_LAWS)}.")
    low, high, formula = _LAWS[law]
    return plain(formula(np.asarray(within("reynolds", reynolds, low, high, ""))))


def spheroid_added_mass(slenderness: ArrayLike) -> tuple[Any, Any]:
    """Return the added mass of a prolate spheroid over the mass of the water it displaces.

    With e^2 = 1 - 1/slenderness^2 and l = ln((1 + e)/(1 - e)):
    a = 2(1 - e^2)/e^3 (l/2 - e), b = 1/e^2 - (1 - e^2)/(2 e^3) l;
    axial a/(2 - a), transverse b/(2 - b).

    Parameters
    ----------
    slenderness : array_like
        Length over diameter [1], 1.01 to 1000.

    Returns
    -------
    axial : float or ndarray
        Along the long axis [1].
    transverse : float or ndarray
        Across it [1]; 1 for an endless cylinder.

    Raises
    ------
    InputError
        If `slenderness` lies outside its range.

    Notes
    -----
    H. Lamb, *Hydrodynamics*, section 114.

    Examples
    --------
    >>> along, across = spheroid_added_mass(5)
    >>> round(along, 4), round(across, 4)
    (0.0591, 0.8943)
    """
    ratio = np.asarray(within("slenderness", slenderness, 1.01, 1000, ""))
    flat = 1 / ratio**2
    e = np.sqrt(1 - flat)
    log = np.log((1 + e) ** 2 / flat)
    a = 2 * flat / e**3 * (log / 2 - e)
    b = 1 / e**2 - flat / (2 * e**3) * log
    return plain(a / (2 - a)), plain(b / (2 - b))


def added_mass(shaft: Shaft, water: Water) -> tuple[Any, Any]:
    """Return the added mass of a shaft, axial as a spheroid's and transverse as a cylinder's.

    Axial: that of the prolate spheroid of the shaft's slenderness, times the displaced water.
    Transverse: density x pi d^2/4 x length, the displaced water itself.

    Parameters
    ----------
    shaft, water : Shaft, Water
        Their numbers broadcast against each other.

    Returns
    -------
    axial, transverse : float or ndarray
        Mass of water that goes along [kg].

    Raises
    ------
    InputError
        If their arrays do not fit together.

    Examples
    --------
    >>> along, across = added_mass(Shaft(diameter=0.007, length=1.60), Water(temperature=20))
    >>> round(along, 5), round(across, 4)
    (1e-05, 0.0631)
    """
    together(shaft, water)
    displaced = np.asarray(shaft.volume) * water.density
    along, _ = spheroid_added_mass(np.divide(shaft.length, shaft.diameter))
    return plain(along * displaced), plain(displaced)


@dataclass(frozen=True)
class DragCoefficients:
    """What decides the drag of a shaft and its line. Each is the handbook's unless you give yours.

    Parameters
    ----------
    curvature : float or array_like
        Skin friction of the thin round shaft over the ITTC line [1], 0.5 to 3.
    nose : float or array_like
        Of the tip, on the shaft's cross-section [1], 0 to 1.2.
    base_rule : float or array_like
        c in base drag = c/sqrt(drag of all ahead), on the cross-section [1], 0 to 0.2.
    wing : float or array_like
        Of the folded flopper, on `Shaft.wing_area` [1], 0 to 2.
    cross_flow : float or array_like
        Of the falling shaft, on length x diameter [1], 0 to 2.
    line_tangential : float or array_like
        Of the towed line, on its wetted surface [1], 0 to 0.05.
    towed_start : float or array_like
        Line that already moves when the tail leaves the muzzle [m], 0 to 5.
    towed_growth : float or array_like
        Line that begins to move for each metre of flight [1], 0 to 1.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.
    """

    curvature: Any = _handbook("drag.curvature")
    nose: Any = _handbook("drag.nose")
    base_rule: Any = _handbook("drag.base_rule")
    wing: Any = _handbook("drag.wing")
    cross_flow: Any = _handbook("drag.cross_flow")
    line_tangential: Any = _handbook("drag.line_tangential")
    towed_start: Any = _handbook("line.towed_start")
    towed_growth: Any = _handbook("line.towed_growth")

    def __post_init__(self) -> None:
        settle(self, "curvature", 0.5, 3, "")
        settle(self, "nose", 0, 1.2, "")
        settle(self, "base_rule", 0, 0.2, "")
        settle(self, "wing", 0, 2, "")
        settle(self, "cross_flow", 0, 2, "")
        settle(self, "line_tangential", 0, 0.05, "", "It goes by the line's wetted surface.")
        settle(self, "towed_start", 0, 5, "m")
        settle(self, "towed_growth", 0, 1, "")
        together(self)


@dataclass(frozen=True)
class DragArea:
    """Drag over dynamic pressure, part by part; the drag is density/2 x speed^2 x area.

    Attributes
    ----------
    friction : float or ndarray
        Of the water along the shaft [m2].
    nose : float or ndarray
        Of the tip [m2].
    wing : float or ndarray
        Of the folded flopper [m2].
    base : float or ndarray
        Of the blunt tail [m2].
    line : float or ndarray
        Friction along the towed line [m2].
    pickup : float or ndarray
        What it takes to bring more and more line up to speed, 2 x line mass per metre / density
        of the water [m2].
    """

    friction: Any
    nose: Any
    wing: Any
    base: Any
    line: Any
    pickup: Any

    @property
    def total(self) -> Any:
        """All parts together [m2]."""
        return plain(sum(np.asarray(getattr(self, part.name)) for part in fields(self)))


def drag_area(shaft: Shaft, water: Water, line: ShootingLine | None, speed: ArrayLike,
              distance: ArrayLike = 0.0, coefficients: DragCoefficients | None = None
              ) -> DragArea:
    """Return the drag of a shaft that flies straight, as areas, part by part.

    Friction: curvature x ITTC-57(Re of the length) x pi d L. Nose: C x pi d^2/4. Wing:
    C x wing area. Base: c/sqrt(the three before over pi d^2/4) x pi d^2/4. Line: C x pi x line
    diameter x (towed_start + towed_growth x distance).

    Parameters
    ----------
    shaft, water : Shaft, Water
        Their numbers broadcast against each other and against the rest.
    line : ShootingLine or None
        The line that it tows; None for a shaft without line.
    speed : array_like
        Through the water [m/s], 0 to 80. Below a Reynolds number of 1e5 the friction
        coefficient stays as it is there.
    distance : array_like
        From the muzzle to the shaft's tail [m], 0 to 20.
    coefficients : DragCoefficients, optional
        The handbook's unless you give your own.

    Returns
    -------
    DragArea

    Raises
    ------
    InputError
        If a value lies outside its range.

    Notes
    -----
    The base rule and the nose are Hoerner's, *Fluid-Dynamic Drag*, chapter 3, from memory.

    Examples
    --------
    >>> parts = drag_area(Shaft(diameter=0.007, length=1.60), Water(temperature=20), None, 30)
    >>> round(parts.friction * 1e6), round(parts.wing * 1e6), round(parts.base * 1e6, 2)
    (95, 20, 0.64)
    """
    c = coefficients or DragCoefficients()
    re = reynolds_number(speed, shaft.length, water)
    tail = np.asarray(within("distance", distance, 0, _FARTHEST, "m"))
    together(shaft, water, c, *([line] if line else []), speed=np.asarray(speed), distance=tail)
    towed = _line_area(line, c) * (c.towed_start + c.towed_growth * tail)
    pickup = (2 * np.asarray(line.mass_per_length) * c.towed_growth / water.density if line
              else 0.0)
    return DragArea(*(plain(part) for part in (*_shaft_areas(shaft, c, re), towed, pickup)))


def _shaft_areas(shaft: Shaft, c: DragCoefficients, reynolds: Any) -> tuple[Any, Any, Any, Any]:
    """Return the drag areas of friction, nose, wing and base."""
    least, _, law = _LAWS["ittc57"]
    section = np.asarray(shaft.cross_section)
    friction = (c.curvature * law(np.maximum(reynolds, least))
                * np.pi * np.asarray(shaft.diameter) * shaft.length)
    nose = c.nose * section
    wing = np.asarray(c.wing) * shaft.wing_area
    base = c.base_rule / np.sqrt((friction + nose + wing) / section) * section
    return friction, nose, wing, base


def _line_area(line: ShootingLine | None, c: DragCoefficients) -> Any:
    """Return the drag area of a metre of line."""
    return np.pi * np.asarray(line.diameter) * c.line_tangential if line else np.asarray(0.0)


def coast(distance: ArrayLike, speed: ArrayLike, mass: ArrayLike, area: ArrayLike,
          density: ArrayLike, area_growth: ArrayLike = 0.0
          ) -> tuple[Any, Any]:
    """Return speed and time of a body that drag slows down, in closed form.

    m dv/dt = -(density/2)(area + area_growth x) v^2 has the solution v = v0 e^-(a x + b x^2) with
    a = density area/(2 m) and b = density area_growth/(4 m); the time is the integral of 1/v,
    (e^(a x + b x^2) D(sqrt(b) x + s) - D(s))/(v0 sqrt(b)), s = a/(2 sqrt(b)), with Dawson's
    function D. Without growth it is (e^(a x) - 1)/(a v0).
    Where hardly any speed is lost, the first terms of the series stand for the difference.

    Parameters
    ----------
    distance : array_like
        Way covered, x [m], 0 or more.
    speed : array_like
        At its beginning, v0 [m/s], above 0.
    mass : array_like
        With added mass [kg], above 0.
    area : array_like
        Drag area at the beginning [m2], 0 or more.
    density : array_like
        Of the fluid [kg/m3], above 0.
    area_growth : array_like
        Drag area that each metre adds [m2/m], 0 or more.

    Returns
    -------
    speed, time : float or ndarray
        That is left [m/s], and since the start [s]; all inputs broadcast. A body slowed by e^300
        counts as standing still and slows no more.

    Raises
    ------
    InputError
        If a value is out of range or not a number.

    Examples
    --------
    >>> speed, time = coast(distance=3, speed=20, mass=1, area=0.4, density=1)
    >>> round(speed, 6), round(time, 6)
    (10.976233, 0.20553)
    """
    from scipy.special import dawsn

    far = np.asarray(within("distance", distance, 0, 1e9, "m"))
    start = np.asarray(within("speed", speed, 1e-9, 1e9, "m/s"))
    heavy = np.asarray(within("mass", mass, 1e-15, 1e15, "kg"))
    given = np.asarray(within("area", area, 0, 1e9, "m2"))
    thick = np.asarray(within("density", density, 1e-9, 1e9, "kg/m3"))
    more = np.asarray(within("area_growth", area_growth, 0, 1e9, "m2/m"))
    together(distance=far, speed=start, mass=heavy, area=given, density=thick, area_growth=more)
    a = thick * given / (2 * heavy)
    b = np.maximum(thick * more / (4 * heavy), 1e-18)
    slowing = np.minimum(a * far + b * far**2, _STANDS_STILL)
    root = np.sqrt(b)
    s = a / (2 * root)
    way = np.where(slowing < 1e-5, far * (1 + a * far / 2 + b * far**2 / 3),
                   (np.exp(slowing) * dawsn(root * far + s) - dawsn(s)) / root)
    return plain(start * np.exp(-slowing)), plain(way / start)


def sink(time: ArrayLike, net_weight: ArrayLike, mass: ArrayLike, area: ArrayLike,
         density: ArrayLike) -> tuple[Any, Any]:
    """Return how far a body falls from rest, in closed form.

    With g' = weight/mass and k = density area/(2 mass): speed sqrt(g'/k) tanh(sqrt(g' k) t),
    drop ln(cosh(sqrt(g' k) t))/k. Free fall g' t^2/2 is the most that it can be.

    Parameters
    ----------
    time : array_like
        Since the fall began [s], 0 or more.
    net_weight : array_like
        Weight less buoyant force [N], 0 or more.
    mass : array_like
        With added mass [kg], above 0.
    area : array_like
        Drag coefficient times area across the fall [m2], 0 or more.
    density : array_like
        Of the fluid [kg/m3], above 0.

    Returns
    -------
    drop, speed : float or ndarray
        How far it has fallen [m], and how fast it falls [m/s]; all inputs broadcast.

    Raises
    ------
    InputError
        If a value is out of range or not a number.

    Examples
    --------
    >>> drop, speed = sink(time=60, net_weight=85 * 9.8, mass=85, area=0.70, density=1.21)
    >>> round(speed)
    44
    """
    t = np.asarray(within("time", time, 0, 1e200, "s"))
    weight = np.asarray(within("net_weight", net_weight, 0, 1e15, "N"))
    heavy = np.asarray(within("mass", mass, 1e-15, 1e15, "kg"))
    given = np.asarray(within("area", area, 0, 1e9, "m2"))
    thick = np.asarray(within("density", density, 1e-9, 1e9, "kg/m3"))
    together(time=t, net_weight=weight, mass=heavy, area=given, density=thick)
    g = weight / heavy
    k = np.maximum(thick * given / (2 * heavy), 1e-18)
    x = np.sqrt(g * k) * t
    near = np.minimum(x, 20.0)
    drop = (np.log1p(np.sinh(near) ** 2) / 2 + (x - near)) / k
    return plain(drop), plain(np.sqrt(g / k) * np.tanh(near))


@dataclass(frozen=True)
class Flight:
    """A shaft that arrives.

    Attributes
    ----------
    tip_range : float or ndarray
        From the muzzle to the tip [m].
    distance : float or ndarray
        From the muzzle to the tail, the way that the shaft has flown [m].
    speed : float or ndarray
        Along its course [m/s].
    time : float or ndarray
        Since the tail left the muzzle [s].
    energy : float or ndarray
        Kinetic energy of the shaft alone, m v^2/2 [J].
    momentum : float or ndarray
        Of the shaft alone, m v [N s].
    drop : float or ndarray
        How far it has fallen below the line that the barrel points along [m].
    fall_speed : float or ndarray
        How fast it falls by now [m/s].
    free_fall : float or ndarray
        What the drop would be without drag across the shaft, its upper bound [m].
    cautions : tuple of str
        To be shown with the numbers.
    """

    tip_range: Any
    distance: Any
    speed: Any
    time: Any
    energy: Any
    momentum: Any
    drop: Any
    fall_speed: Any
    free_fall: Any
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class _Shot:
    """What both ways of computing a flight begin with."""

    distance: Any
    mass: Any
    falling_mass: Any
    net_weight: Any
    fall_area: Any
    coefficients: DragCoefficients


def _shot(shaft: Shaft, water: Water, line: ShootingLine | None, muzzle_speed: ArrayLike,
          tip_range: ArrayLike, tilt: ArrayLike, coefficients: DragCoefficients | None) -> _Shot:
    c = coefficients or DragCoefficients()
    start = np.asarray(within("muzzle_speed", muzzle_speed, 1, _FASTEST, "m/s"))
    far = np.asarray(within("tip_range", tip_range, 0, _FARTHEST, "m"))
    up = np.asarray(within("tilt", tilt, -np.pi / 2, np.pi / 2, "rad",
                           "Give it in radians: 10 degrees is 0.1745."))
    together(shaft, water, c, *([line] if line else []), muzzle_speed=start, tip_range=far,
             tilt=up)
    distance = far - np.asarray(shaft.length)
    if (distance < -1e-12).any():
        raise InputError(f"tip_range is {np.min(far):.3g} m, less than the shaft's length; the "
                         "tip is farther ahead than that when the tail leaves the muzzle, so "
                         f"accepted is {np.max(shaft.length):.3g} m or more.")
    along, across = added_mass(shaft, water)
    mass = np.asarray(shaft.mass)
    return _Shot(np.maximum(distance, 0.0), mass + along, mass + across,
                 (mass - across) * STANDARD_GRAVITY,
                 c.cross_flow * np.asarray(shaft.diameter) * shaft.length, c)


def _arrival(shaft: Shaft, shot: _Shot, tip_range: ArrayLike, muzzle_speed: ArrayLike,
             tilt: ArrayLike, speed: Any, time: Any, drop: Any, fall_speed: Any) -> Flight:
    mass = np.asarray(shaft.mass)
    fall = shot.net_weight / shot.falling_mass * np.cos(tilt) * np.square(time) / 2
    usual = lookup("flight.muzzle_speed")
    cautions: tuple[str, ...] = CAUTIONS
    if np.min(muzzle_speed) < usual.low or np.max(muzzle_speed) > usual.high:
        feet = [f"{inch_from_metre(end) / 12:.0f}" for end in (usual.low, usual.high)]
        cautions = (f"A muzzle speed outside {usual.low:g} to {usual.high:g} m/s "
                    f"({feet[0]} to {feet[1]} ft/s) is unusual: measure it before you rely on "
                    "this.", *CAUTIONS)
    far, distance, speed, time, energy, momentum, drop, fall_speed, fall = np.broadcast_arrays(
        tip_range, shot.distance, speed, time, mass * np.square(speed) / 2, mass * speed, drop,
        fall_speed, fall)
    return Flight(plain(far), plain(distance), plain(speed), plain(time), plain(energy),
                  plain(momentum), plain(drop), plain(fall_speed), plain(fall), cautions)


def fly(shaft: Shaft, water: Water, line: ShootingLine | None, muzzle_speed: ArrayLike,
        tip_range: ArrayLike, tilt: ArrayLike = 0.0,
        coefficients: DragCoefficients | None = None) -> Flight:
    """Return how a shaft arrives, in closed form.

    Along: `coast` with mass + axial added mass. Its drag area grows evenly: by the line, and by
    the friction coefficient, which rises as the shaft slows and is taken at two points of the
    way (Gauss). Across: `sink` with net weight x cos(tilt), mass + transverse added mass and
    cross-flow drag, as if the shaft did not fly (independence principle). The weight along a
    tilted barrel is left out here: at 20 degrees, 30 m/s and 5 m that makes 2 % of the speed;
    `fly_integrated` has it.

    Parameters
    ----------
    shaft, water : Shaft, Water
        Their numbers broadcast against each other and against the rest.
    line : ShootingLine or None
        The line that it tows; None for a shaft without line.
    muzzle_speed : array_like
        When the tail leaves the muzzle [m/s], 1 to 80.
    tip_range : array_like
        From the muzzle to the tip [m], the shaft's length to 20.
    tilt : array_like
        Of the barrel above the horizontal [rad], -pi/2 to pi/2.
    coefficients : DragCoefficients, optional
        The handbook's unless you give your own.

    Returns
    -------
    Flight

    Raises
    ------
    InputError
        If a value lies outside its range, or the tip is there before the tail leaves the muzzle.

    Examples
    --------
    >>> shaft = Shaft(diameter=0.007, length=1.60)
    >>> got = fly(shaft, Water(temperature=20), ShootingLine(diameter=0.0017), 30, 5.0)
    >>> round(got.speed, 1), round(got.time, 3), round(got.drop, 3)
    (15.5, 0.155, 0.07)
    """
    shot = _shot(shaft, water, line, muzzle_speed, tip_range, tilt, coefficients)
    c = shot.coefficients
    start, far, density = np.asarray(muzzle_speed), shot.distance, np.asarray(water.density)
    from_line = _line_area(line, c) * c.towed_growth
    first, second = (far * share for share in _GAUSS)
    area, growth = np.asarray(drag_area(shaft, water, line, start, 0.0, c).total), from_line
    for _ in range(2):
        early, late = (np.asarray(drag_area(
            shaft, water, line, coast(way, start, shot.mass, area, density, growth)[0], 0.0,
            c).total) for way in (first, second))
        rise = np.maximum(late - early, 0.0) / np.maximum(second - first, 1e-9)
        area, growth = early - rise * first, from_line + rise
    speed, time = coast(far, start, shot.mass, area, density, growth)
    drop, fall_speed = sink(time, shot.net_weight * np.cos(tilt), shot.falling_mass,
                            shot.fall_area, density)
    return _arrival(shaft, shot, tip_range, muzzle_speed, tilt, speed, time, drop, fall_speed)


def integrate_path(along: Callable[[float, float], float], across: Callable[[float, float], float],
                   speed: float, distance: ArrayLike) -> tuple[Any, Any, Any, Any]:
    """Return time, speed and drop after a distance, for any law of drag.

    Integrates dv/dx = along/v, dt/dx = 1/v, dw/dx = across/v, dz/dx = w/v over the way x.

    Parameters
    ----------
    along : callable
        (way x [m], speed v [m/s]) -> dv/dt [m/s2]; negative slows down.
    across : callable
        (speed v [m/s], speed across w [m/s]) -> dw/dt [m/s2].
    speed : float
        At the beginning [m/s], above 0.
    distance : array_like
        Ways at which to look [m], 0 or more.

    Returns
    -------
    speed, time, drop, fall_speed : float or ndarray
        Along the way [m/s], since the start [s], way across [m] and speed across [m/s], in the
        shape of `distance`.

    Raises
    ------
    InputError
        If the body stops on the way, or a value is out of range.

    Examples
    --------
    >>> speed, time, *_ = integrate_path(lambda x, v: -v**2 / 5, lambda v, w: 0.0, 20, 3)
    >>> round(speed, 6), round(time, 6)
    (10.976233, 0.20553)
    """
    from scipy.integrate import solve_ivp

    start = single("speed", speed, 1e-6, 1e9, "m/s")
    ways = np.asarray(within("distance", distance, 0, 1e9, "m"))
    at, back = np.unique(ways, return_inverse=True)

    def slope(x: float, state: Any) -> list[float]:
        v, _, w, _ = state
        return [along(x, v) / v, 1 / v, across(v, w) / v, w / v]

    def stops(x: float, state: Any) -> float:
        return float(state[0] - 1e-6 * start)

    stops.terminal = True  # type: ignore[attr-defined]
    found = solve_ivp(slope, (0.0, max(float(at[-1]), 1e-12)), [start, 0.0, 0.0, 0.0],
                      t_eval=at, events=stops, rtol=1e-9, atol=1e-12)
    if not found.success or len(found.t) < at.size:
        raise InputError(f"The body stops before it has covered {at[-1]:.4g} m; give a shorter "
                         "distance or a higher speed.")
    v, t, w, z = (plain(column[back].reshape(ways.shape)) for column in found.y)
    return v, t, z, w


def fly_integrated(shaft: Shaft, water: Water, line: ShootingLine | None, muzzle_speed: float,
                   tip_range: ArrayLike, tilt: float = 0.0,
                   coefficients: DragCoefficients | None = None) -> Flight:
    """Return how a shaft arrives, integrated step by step with coefficients that follow speed.

    The same forces as `fly`, with the friction coefficient of each moment, and with the weight
    along a tilted barrel. One set-up at a time; `fly` answers for many.

    Parameters
    ----------
    shaft, water : Shaft, Water
        One set-up, no arrays.
    line : ShootingLine or None
        The line that it tows; None for a shaft without line.
    muzzle_speed : float
        When the tail leaves the muzzle [m/s], 1 to 80.
    tip_range : array_like
        From the muzzle to the tip [m], the shaft's length to 20.
    tilt : float
        Of the barrel above the horizontal [rad], -pi/2 to pi/2.
    coefficients : DragCoefficients, optional
        The handbook's unless you give your own.

    Returns
    -------
    Flight
        In the shape of `tip_range`.

    Raises
    ------
    InputError
        As `fly`, if the set-up holds arrays, or if the shaft stops on the way.

    Examples
    --------
    >>> shaft = Shaft(diameter=0.007, length=1.60)
    >>> got = fly_integrated(shaft, Water(temperature=20), ShootingLine(diameter=0.0017), 30, 5.0)
    >>> round(got.speed, 1), round(got.time, 3), round(got.drop, 3)
    (15.5, 0.155, 0.07)
    """
    start = single("muzzle_speed", muzzle_speed, -np.inf, np.inf, "m/s")
    up = single("tilt", tilt, -np.inf, np.inf, "rad")
    shot = _shot(shaft, water, line, start, tip_range, up, coefficients)
    c, density = shot.coefficients, water.density
    still = drag_area(shaft, water, line, 0.0, 0.0, c)
    if np.ndim(still.total) or np.ndim(shot.falling_mass) or np.ndim(shot.fall_area):
        raise InputError("The set-up holds arrays; fly_integrated takes one set-up at a time. "
                         "Call once for each, or use fly.")
    scale = shaft.length / water.kinematic_viscosity
    growth = _line_area(line, c) * c.towed_growth
    pull = shot.net_weight * np.sin(up) / shot.mass
    g = shot.net_weight * np.cos(up) / shot.falling_mass
    k = density * shot.fall_area / (2 * shot.falling_mass)

    def along(x: float, v: float) -> float:
        area = sum(_shaft_areas(shaft, c, v * scale)) + still.line + still.pickup + growth * x
        return float(-density * area * v**2 / (2 * shot.mass) - pull)

    path = integrate_path(along, lambda v, w: float(g - k * w * abs(w)), start, shot.distance)
    return _arrival(shaft, shot, tip_range, start, up, *path)


def pitch_growth(shaft: Shaft, water: Water, distance: ArrayLike) -> Any:
    """Return how much a shaft without line makes a small error of its heading grow.

    The lift at the tip, density x cross-section x speed^2 x angle (slender body), turns the shaft
    about its middle, half a length behind; against it stands the inertia (m + m_added) L^2/12. So
    the angle grows as cosh(r x), with r = sqrt(6 density/(density + steel))/L: whatever its
    speed and thickness. Below 1.5, about one shaft's length, pitching may be left out. Beyond,
    it may where the line holds the tail back: where its `drag_area` passes twice the cross-section.

    Parameters
    ----------
    shaft, water : Shaft, Water
        Their numbers broadcast against each other and against `distance`.
    distance : array_like
        Flown by the tail [m], 0 to 20.

    Returns
    -------
    float or ndarray
        Angle over the angle at the muzzle [1].

    Raises
    ------
    InputError
        If `distance` lies outside its range.

    Notes
    -----
    Lift of a slender pointed body, 2 x angle x dynamic pressure x base area: R.T. Jones, NACA
    Report 835 (1946), from memory.

    Examples
    --------
    >>> round(pitch_growth(Shaft(diameter=0.007, length=1.60), Water(temperature=20), 1.6), 2)
    1.37
    """
    far = np.asarray(within("distance", distance, 0, _FARTHEST, "m"))
    together(shaft, water, distance=far)
    density = np.asarray(water.density)
    rate = np.sqrt(6 * density / (density + shaft.density)) / shaft.length
    return plain(np.cosh(rate * far))


def aim_tilt(drop: ArrayLike, tip_range: ArrayLike, sight_height: ArrayLike = 0.0) -> Any:
    """Return the tilt between barrel and line of sight that brings the tip where the eye looks.

    arctan((sight_height + drop)/tip_range).

    Parameters
    ----------
    drop : array_like
        At that range [m], 0 or more.
    tip_range : array_like
        From the muzzle to the fish [m], above 0.
    sight_height : array_like
        Of the line of sight above the shaft, at the muzzle [m], -0.5 to 0.5.

    Returns
    -------
    float or ndarray
        Muzzle up against the line of sight [rad].

    Raises
    ------
    InputError
        If a value lies outside its range.

    Examples
    --------
    >>> round(float(np.degrees(aim_tilt(drop=0.07, tip_range=5.0))), 1)
    0.8
    """
    low, far, height = _sighting(drop, tip_range, sight_height)
    return plain(np.arctan2(low + height, far))


def holdover(drop: ArrayLike, tip_range: ArrayLike, sight_height: ArrayLike = 0.0,
             tilt: ArrayLike = 0.0) -> Any:
    """Return how far above the place to be hit the eye must look.

    sight_height + drop - tip_range x tan(tilt).

    Parameters
    ----------
    drop : array_like
        At that range [m], 0 or more.
    tip_range : array_like
        From the muzzle to the fish [m], above 0.
    sight_height : array_like
        Of the line of sight above the shaft, at the muzzle [m], -0.5 to 0.5.
    tilt : array_like
        Muzzle up against the line of sight [rad], -0.5 to 0.5.

    Returns
    -------
    float or ndarray
        Height [m]; negative means to look below.

    Raises
    ------
    InputError
        If a value lies outside its range.

    Examples
    --------
    >>> round(holdover(drop=0.07, tip_range=5.0, sight_height=0.05), 2)
    0.12
    """
    low, far, height = _sighting(drop, tip_range, sight_height)
    up = np.asarray(within("tilt", tilt, -0.5, 0.5, "rad", "10 degrees is 0.1745."))
    together(drop=low, tip_range=far, sight_height=height, tilt=up)
    return plain(height + low - far * np.tan(up))


def _sighting(drop: ArrayLike, tip_range: ArrayLike, sight_height: ArrayLike
              ) -> tuple[Any, Any, Any]:
    low = np.asarray(within("drop", drop, 0, 1e3, "m"))
    far = np.asarray(within("tip_range", tip_range, 0.01, _FARTHEST, "m"))
    height = np.asarray(within("sight_height", sight_height, -0.5, 0.5, "m",
                               _METRES.format("5 cm", "0.05")))
    together(drop=low, tip_range=far, sight_height=height)
    return low, far, height


@dataclass(frozen=True)
class FlightComparison:
    """One flight beside another at the same range.

    Attributes
    ----------
    speed_ratio, energy_ratio, momentum_ratio : float or ndarray
        First over second [1].
    time_saved : float or ndarray
        How much earlier the first arrives [s].
    drop_saved : float or ndarray
        How much less the first drops [m].
    """

    speed_ratio: Any
    energy_ratio: Any
    momentum_ratio: Any
    time_saved: Any
    drop_saved: Any


def compare_flights(first: Flight, second: Flight) -> FlightComparison:
    """Return one flight beside another: a roller's beside a conventional gun's, or two shafts'.

    Parameters
    ----------
    first, second : Flight
        At the same range; made by `fly` with the muzzle speed of each gun.

    Returns
    -------
    FlightComparison

    Raises
    ------
    InputError
        If the two are not at the same range.

    Examples
    --------
    >>> shaft, water, line = Shaft(0.007, 1.60), Water(), ShootingLine(0.0017)
    >>> told = compare_flights(fly(shaft, water, line, 32, 5.0), fly(shaft, water, line, 24, 5.0))
    >>> round(told.drop_saved, 2), round(told.time_saved, 2)
    (0.04, 0.05)
    """
    together(first=np.asarray(first.tip_range), second=np.asarray(second.tip_range))
    if not np.allclose(first.tip_range, second.tip_range, rtol=1e-9, atol=0):
        raise InputError(f"The first flight is at {np.max(first.tip_range):.4g} m and the second "
                         f"at {np.max(second.tip_range):.4g} m; compare them at the same "
                         "tip_range.")
    return FlightComparison(
        plain(np.divide(first.speed, second.speed)), plain(np.divide(first.energy, second.energy)),
        plain(np.divide(first.momentum, second.momentum)),
        plain(np.subtract(second.time, first.time)), plain(np.subtract(second.drop, first.drop)))


@dataclass(frozen=True)
class PracticalRange:
    """How far a set-up reaches with what is asked of it, measured to the tip.

    Attributes
    ----------
    tip_range : float or ndarray
        The smallest of the five below [m]; 0 if the shaft does not even leave the muzzle with it.
    limit : str or array of str
        Which one that is: "line", "drop", "energy", "momentum" or "time".
    by_line, by_drop, by_energy, by_momentum, by_time : float or ndarray
        Each alone [m]; 20 where it sets no limit up to there.
    cautions : tuple of str
        To be shown with the numbers.
    """

    tip_range: Any
    limit: Any
    by_line: Any
    by_drop: Any
    by_energy: Any
    by_momentum: Any
    by_time: Any
    cautions: tuple[str, ...]


def practical_range(shaft: Shaft, water: Water, line: ShootingLine | None,
                    muzzle_speed: ArrayLike, line_reach: ArrayLike,
                    drop_tolerance: ArrayLike | None = None,
                    least_energy: ArrayLike | None = None,
                    least_momentum: ArrayLike | None = None,
                    time_available: ArrayLike | None = None,
                    coefficients: DragCoefficients | None = None) -> PracticalRange:
    """Return the practical range: the smallest of what line, drop, energy, momentum, time allow.

    Parameters
    ----------
    shaft, water : Shaft, Water
        Their numbers broadcast against each other and against the rest.
    line : ShootingLine or None
        The line that it tows; None for a shaft without line.
    muzzle_speed : array_like
        When the tail leaves the muzzle [m/s], 1 to 80.
    line_reach : array_like
        From the muzzle to the tip when the line is straight [m], 0 to 20; from `bandwork.line`.
    drop_tolerance : array_like, optional
        The most that the shaft may drop [m], 0.001 to 5.
    least_energy : array_like, optional
        That the shaft must still have [J], 0 to 5000.
    least_momentum : array_like, optional
        That the shaft must still have [N s], 0 to 200.
    time_available : array_like, optional
        Until the fish is gone, counted from when the tail leaves the muzzle [s], 0.001 to 10.
    coefficients : DragCoefficients, optional
        The handbook's unless you give your own.

    Returns
    -------
    PracticalRange

    Raises
    ------
    InputError
        If a value lies outside its range.

    Examples
    --------
    >>> got = practical_range(Shaft(0.007, 1.60), Water(), ShootingLine(0.0017), 30,
    ...                       line_reach=5.0, drop_tolerance=0.05)
    >>> round(got.tip_range, 1), got.limit
    (4.5, 'drop')
    """
    reach = np.asarray(within("line_reach", line_reach, 0, _FARTHEST, "m"))
    asked: list[tuple[Limit, str, str, float, ArrayLike | None, float, float, str]] = [
        ("drop", "drop_tolerance", "drop", -1.0, drop_tolerance, 1e-3, 5, "m"),
        ("energy", "least_energy", "energy", 1.0, least_energy, 0, 5000, "J"),
        ("momentum", "least_momentum", "momentum", 1.0, least_momentum, 0, 200, "N s"),
        ("time", "time_available", "time", -1.0, time_available, 1e-3, 10, "s")]
    length = np.asarray(shaft.length)
    start = np.asarray(fly(shaft, water, line, muzzle_speed, length, 0.0, coefficients).speed)
    together(muzzle_speed=start, line_reach=reach)
    shape = np.broadcast_shapes(start.shape, reach.shape)
    by: dict[str, Any] = {"line": reach}
    for limit, name, what, sign, given, low, high, unit in asked:
        if given is None:
            by[limit] = np.asarray(_FARTHEST)
            continue
        wanted = np.asarray(within(name, given, low, high, unit))
        together(muzzle_speed=np.empty(shape), **{name: wanted})
        end = np.broadcast_shapes(shape, wanted.shape)

        def spare(tip: Any, what: str = what, sign: float = sign, wanted: Any = wanted) -> Any:
            got = fly(shaft, water, line, muzzle_speed, tip, 0.0, coefficients)
            return sign * (np.asarray(getattr(got, what)) - wanted)

        near, far = np.broadcast_to(length, end), np.full(end, _FARTHEST)
        by[limit] = _last(spare, near, far)
    names = list(by)
    table = np.stack(np.broadcast_arrays(*by.values()))
    least = table.min(axis=0)
    first = np.asarray(names)[table.argmin(axis=0)]
    return PracticalRange(plain(least), str(first) if first.ndim == 0 else first,
                          plain(by["line"]), plain(by["drop"]), plain(by["energy"]),
                          plain(by["momentum"]), plain(by["time"]), CAUTIONS)


def _last(spare: Callable[[Any], Any], near: Any, far: Any) -> Any:
    """Return where `spare`, which falls with range, passes zero; 0 if below from the start."""
    at_near, at_far = np.asarray(spare(near)), np.asarray(spare(far))
    low, high = np.array(near, dtype=float), np.array(far, dtype=float)
    for _ in range(30):
        middle = (low + high) / 2
        enough = np.asarray(spare(middle)) >= 0
        low, high = np.where(enough, middle, low), np.where(enough, high, middle)
    return np.where(at_near < 0, 0.0, np.where(at_far >= 0, far, low))


@dataclass(frozen=True)
class Penetration:
    """What a shaft can do on arrival, for comparing shafts: never a promise.

    Attributes
    ----------
    energy_per_area : float or ndarray
        Kinetic energy over the shaft's cross-section [J/m2].
    momentum_per_area : float or ndarray
        Momentum over the shaft's cross-section [N s/m2].
    depth : float or ndarray
        Into an even, soft body [m].
    """

    energy_per_area: Any
    momentum_per_area: Any
    depth: Any


def penetration(shaft: Shaft, speed: ArrayLike, strength: ArrayLike | None = None,
                inertia: ArrayLike | None = None) -> Penetration:
    """Return energy and momentum per frontal area, and a depth by Poncelet's law.

    m dv/dt = -A (a + b v^2) gives the depth m/(2 A b) ln(1 + b v^2/a). As m/A is density x
    length, shafts of one length and speed differ in none of the three, however thick they are:
    a thick one has the same with more force behind it, and arrives faster from the same range.

    Parameters
    ----------
    shaft : Shaft
        Its numbers broadcast against the rest; A is its cross-section, m its mass.
    speed : array_like
        On arrival [m/s], 0 to 80.
    strength : array_like, optional
        a, the resistance to a slow shaft [Pa], 1e3 to 1e9; the handbook's "flesh.strength",
        an assumption without a published source, unless you give your own.
    inertia : array_like, optional
        b, what speed adds to it [kg/m3], 1 to 1e4; the handbook's "flesh.inertia", likewise.

    Returns
    -------
    Penetration

    Raises
    ------
    InputError
        If a value lies outside its range.

    Notes
    -----
    J.V. Poncelet's law of 1839, from memory. Scales, bone, a turning shaft and the tip's shape
    are not in it: compare shafts with it, promise nothing.

    Examples
    --------
    >>> got = penetration(Shaft(diameter=0.007, length=1.60), speed=15)
    >>> round(got.energy_per_area), round(got.momentum_per_area)
    (1404000, 187200)
    """
    fast = np.asarray(within("speed", speed, 0, _FASTEST, "m/s"))
    a = np.asarray(within("strength", lookup("flesh.strength").value if strength is None
                          else strength, 1e3, 1e9, "Pa", "2 MPa is 2e6."))
    b = np.asarray(within("inertia", lookup("flesh.inertia").value if inertia is None
                          else inertia, 1, 1e4, "kg/m3"))
    together(shaft, speed=fast, strength=a, inertia=b)
    load = np.asarray(shaft.mass) / shaft.cross_section
    return Penetration(plain(load * fast**2 / 2), plain(load * fast),
                       plain(load / (2 * b) * np.log1p(b * fast**2 / a)))


def penetration_interval(shaft: Shaft, speed: float) -> Interval:
    """Return Poncelet's depth with the handbook's ranges of both parameters.

    Parameters
    ----------
    shaft : Shaft
        One shaft.
    speed : float
        On arrival [m/s], 0 to 80.

    Returns
    -------
    Interval
        Depth [m]: so wide that it only serves to compare.

    Raises
    ------
    InputError
        As `penetration`, or if there are several shafts or speeds.
    """
    a, b = lookup("flesh.strength"), lookup("flesh.inertia")

    def depth(strength: float, inertia: float) -> float:
        return single("depth", penetration(shaft, speed, strength, inertia).depth, 0, 1e9, "m")

    return combine(depth(a.value, b.value), {
        a.key: (depth(a.low, b.value), depth(a.high, b.value)),
        b.key: (depth(a.value, b.low), depth(a.value, b.high))})


def refraction_angle(angle: ArrayLike, index_from: ArrayLike, index_to: ArrayLike) -> Any:
    """Return the angle of a ray behind a flat surface, by Snell's law.

    sin(result) = index_from/index_to x sin(angle).

    Parameters
    ----------
    angle : array_like
        Before the surface, from its normal [rad], 0 to pi/2.
    index_from, index_to : array_like
        Refractive indices before and behind [1], 1 to 3.

    Returns
    -------
    float or ndarray
        From the normal [rad].

    Raises
    ------
    InputError
        If a value lies outside its range or the ray is reflected wholly.

    Examples
    --------
    >>> round(float(np.degrees(refraction_angle(np.radians(30), 1.333, 1.0))), 1)
    41.8
    """
    ray = np.asarray(within("angle", angle, 0, np.pi / 2, "rad", "30 degrees is 0.5236."))
    before = np.asarray(within("index_from", index_from, 1, 3, ""))
    behind = np.asarray(within("index_to", index_to, 1, 3, ""))
    together(angle=ray, index_from=before, index_to=behind)
    sine = before / behind * np.sin(ray)
    if (sine > 1).any():
        raise InputError("angle is beyond the critical angle, so the ray is reflected wholly; "
                         f"accepted is up to {np.arcsin(np.min(behind / before)):.4g} rad.")
    return plain(np.arcsin(sine))


@dataclass(frozen=True)
class Apparent:
    """Where a thing in the water seems to be, seen through a flat mask.

    Attributes
    ----------
    distance : float or ndarray
        At which the two eyes' lines of sight meet, from the eyes along the mask's normal [m].
    by_rule : float or ndarray
        The same by the 4/3 rule, three quarters of the true distance [m].
    direction : float or ndarray
        In which one eye sees it, from the mask's normal [rad].
    true_direction : float or ndarray
        In which it is [rad].
    magnification : float or ndarray
        How much larger it seems than in air, apparent over true angle [1].
    """

    distance: Any
    by_rule: Any
    direction: Any
    true_direction: Any
    magnification: Any


def seen_through_mask(distance: ArrayLike, water: Water, offset: ArrayLike = 0.0,
                      eye_gap: ArrayLike | None = None,
                      pupil_distance: ArrayLike | None = None) -> Apparent:
    """Return where a thing seems to be, by real rays through the flat port of a mask.

    A ray from the eye meets the glass at the angle A from its normal and goes on in the water at
    B, sin A = n sin B; it must meet the thing: gap tan A + (distance - gap) tan B = offset. Two
    such rays, from eyes half a pupil distance to either side, traced back without bending, meet
    where the thing seems to be: on the same normal, only nearer. The glass is taken as thin.

    Parameters
    ----------
    distance : array_like
        From the eyes' plane to the thing, along the mask's normal [m], 0.2 to 50.
    water : Water
        Gives the refractive index.
    offset : array_like
        Of the thing above or below the middle of the view [m], 0 to `distance`.
    eye_gap : array_like, optional
        From the pupils to the outside of the glass [m], 0 to 0.15; the handbook's usual unless
        you give your own.
    pupil_distance : array_like, optional
        Between the pupils [m], 0.03 to 0.09; the handbook's mean unless you give your own.

    Returns
    -------
    Apparent

    Raises
    ------
    InputError
        If a value lies outside its range.

    Examples
    --------
    >>> got = seen_through_mask(5.0, Water(temperature=20))
    >>> round(got.distance, 2), got.by_rule, round(got.magnification, 3)
    (3.74, 3.75, 1.337)
    """
    far = np.asarray(within("distance", distance, 0.2, 50, "m"))
    side = np.asarray(within("offset", offset, 0, 50, "m"))
    gap = np.asarray(within("eye_gap", lookup("mask.eye_gap").value if eye_gap is None
                            else eye_gap, 0, 0.15, "m", _METRES.format("4 cm", "0.04")))
    pupils = np.asarray(within("pupil_distance", lookup("eye.pupil_distance").value
                               if pupil_distance is None else pupil_distance, 0.03, 0.09, "m",
                               _METRES.format("63 mm", "0.063")))
    together(water, distance=far, offset=side, eye_gap=gap, pupil_distance=pupils)
    if (side > far).any():
        raise InputError(f"offset is {np.max(side):.4g} m, more than distance; so far aside a "
                         "mask shows nothing. Accepted is 0 to distance.")
    index = np.asarray(water.refractive_index)
    to_side = np.hypot(side, pupils / 2)
    apparent = to_side / np.tan(_air_angle(to_side, far, gap, index))
    small = np.maximum(side, 1e-6 * far)
    seen, true = _air_angle(small, far, gap, index), np.arctan2(small, far)
    looked, is_at = (np.where(side > 0, angle, 0.0) for angle in (seen, true))
    return Apparent(plain(apparent),
                    plain(np.broadcast_to(lookup("refraction.apparent_share").value * far,
                                          np.shape(apparent))),
                    plain(looked), plain(is_at), plain(seen / true))


def _air_angle(offset: Any, distance: Any, gap: Any, index: Any) -> Any:
    """Return the angle in air of the ray from the eye that meets a point aside in the water."""
    from scipy.optimize import elementwise

    side, far, gap, n = np.broadcast_arrays(offset, distance, gap, index)

    def miss(angle: Any, side: Any, far: Any, gap: Any, n: Any) -> Any:
        sine = np.sin(angle)
        return gap * np.tan(angle) + (far - gap) * sine / np.sqrt(n**2 - sine**2) - side

    straight = np.arctan2(side, far)
    found = elementwise.find_root(
        miss, (straight * 0.9, np.full_like(straight, np.pi / 2 - 1e-9)),
        args=(side, far, gap, n), tolerances={"xrtol": 1e-12, "xatol": 0})
    if not np.all(found.success):
        raise InputError("No ray was found from the eye to that point; give an offset closer to "
                         "the middle of the view.")
    return found.x


def eye_to_muzzle(barrel: Barrel, eye_to_handle: ArrayLike | None = None) -> Any:
    """Return the distance from the diver's eye forward to the muzzle.

    Parameters
    ----------
    barrel : Barrel
        Its length and roller offset count.
    eye_to_handle : array_like, optional
        From the eye to the barrel's rear end [m], 0 to 1.2; the handbook's usual unless you give
        your own.

    Returns
    -------
    float or ndarray
        Distance [m]; a range from the muzzle and this make the distance from the eye.

    Raises
    ------
    InputError
        If `eye_to_handle` lies outside its range.

    Examples
    --------
    >>> round(eye_to_muzzle(Barrel(length=1.20)), 2)
    1.97
    """
    behind = np.asarray(within("eye_to_handle", lookup("diver.eye_to_handle").value
                               if eye_to_handle is None else eye_to_handle, 0, 1.2, "m",
                               _METRES.format("75 cm", "0.75")))
    together(barrel, eye_to_handle=behind)
    return plain(behind + barrel.length + barrel.roller_offset)


def judged_range(tip_range: ArrayLike, barrel: Barrel, water: Water,
                 eye_to_handle: ArrayLike | None = None) -> Any:
    """Return the range that the diver sees between muzzle and fish, both through the mask.

    The apparent distance of the fish less the apparent distance of the muzzle.

    Parameters
    ----------
    tip_range : array_like
        True range from the muzzle [m], 0.1 to 20.
    barrel : Barrel
        Gives the muzzle's distance from the eye, with `eye_to_handle`.
    water : Water
        Gives the refractive index.
    eye_to_handle : array_like, optional
        As in `eye_to_muzzle` [m].

    Returns
    -------
    float or ndarray
        Range that it looks like [m].

    Raises
    ------
    InputError
        If a value lies outside its range.

    Examples
    --------
    >>> round(judged_range(5.0, Barrel(length=1.20), Water(temperature=20)), 2)
    3.73
    """
    true = np.asarray(within("tip_range", tip_range, 0.1, _FARTHEST, "m"))
    ahead = np.asarray(eye_to_muzzle(barrel, eye_to_handle))
    together(water, tip_range=true, eye_to_muzzle=ahead)
    near = np.asarray(seen_through_mask(ahead, water).distance)
    return plain(np.asarray(seen_through_mask(ahead + true, water).distance) - near)
