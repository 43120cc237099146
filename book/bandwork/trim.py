"""Unit `trim`: does the gun float, which end sinks, what does it cost to carry, how to mend it.

`gun_trim` adds up the parts of a set-up; the other functions take the `Trim` that it returns. The
angle of the muzzle is positive when the muzzle points up. "Up" along a gun held level is away
from the handle's side: heights are measured from the tube's axis.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import ArrayLike

from bandwork.components import Band, Barrel, Fitting, Shaft, ShootingLine, Water
from bandwork.handbook import lookup
from bandwork.units import STANDARD_GRAVITY
from bandwork.validation import InputError, numbers, of_kind, plain, settle, shown, together, within
from bandwork.water import gauge_pressure

State = Literal["loaded", "shaft_in", "shaft_out"]

CAUTIONS = (
    "The numbers for belt lead and balance compare guns. How much lead you wear is set in the "
    "water with a certified instructor, never by a computed number.",
    "Tie a gun that sinks with the shaft out: once let go it is lost, and diving after it is how "
    "people drown.",
)
"""To be shown with the numbers of this unit."""


@dataclass(frozen=True)
class Part:
    """One part of the gun, its mass and volume spread evenly along a straight piece.

    Parameters
    ----------
    name : str
        What it is.
    mass : float or array_like
        [kg], 0 to 1000.
    volume : float or array_like
        Of water displaced [m3], 0 to 1.
    position : float or array_like
        Of its middle along the barrel, forward positive [m], -10 to 10.
    height : float or array_like
        Of its middle above the tube's axis [m], -10 to 10.
    length : float or array_like
        Along the barrel [m], 0 to 20.
    diameter : float or array_like
        Of its round cross-section [m], 0 to 10: how high it stands in the water's surface.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.
    """

    name: str
    mass: Any
    volume: Any
    position: Any
    height: Any = 0.0
    length: Any = 0.0
    diameter: Any = 0.0

    def __post_init__(self) -> None:
        for what, low, high, unit in (("mass", 0, 1000, "kg"), ("volume", 0, 1, "m3"),
                                      ("position", -10, 10, "m"), ("height", -10, 10, "m"),
                                      ("length", 0, 20, "m"), ("diameter", 0, 10, "m")):
            settle(self, what, low, high, unit)


@dataclass(frozen=True)
class Trim:
    """How a gun, wholly under water, is pulled up and down.

    Attributes
    ----------
    parts : tuple of Part
        What was added up.
    water_density : float or ndarray
        Of the water around it [kg/m3].
    grip : float or ndarray
        Where the hand holds it, along the barrel [m].
    mass, volume : float or ndarray
        Of all parts [kg, m3].
    weight, buoyant_force : float or ndarray
        m g downward and density x volume x g upward [N].
    net_force : float or ndarray
        Buoyant force less weight [N]: positive rises, negative sinks.
    centre_of_mass, centre_of_buoyancy : float or ndarray
        Along the barrel from the handle's end of the tube [m].
    centre_of_mass_height, centre_of_buoyancy_height : float or ndarray
        Above the tube's axis [m].
    grip_moment : float or ndarray
        Moment of weight and buoyancy about the grip, the gun level [N m]: positive lifts the
        muzzle, negative lets it sink.
    submerged_angle : float or ndarray
        Of the muzzle above the horizon, the gun let go under water [rad], -pi/2 to pi/2.
    """

    parts: tuple[Part, ...]
    water_density: Any
    grip: Any
    mass: Any
    volume: Any
    weight: Any
    buoyant_force: Any
    net_force: Any
    centre_of_mass: Any
    centre_of_buoyancy: Any
    centre_of_mass_height: Any
    centre_of_buoyancy_height: Any
    grip_moment: Any
    submerged_angle: Any


def parts_of(band: Band, shaft: Shaft, barrel: Barrel, line: ShootingLine, water: Water,
             state: State = "shaft_in") -> tuple[Part, ...]:
    """Return mass, volume and place of every part of a set-up.

    A sealed tube displaces pi D^2 L/4, a flooded one only its wall. The plugs lie inside: they add
    mass, and volume only if the tube is flooded. The rubber of a leg lies along its path in
    proportion to the length of each run, and keeps its volume. Soft gas in a fitting shrinks by
    Boyle's law, V = V0 [1 - c + c p0/(p0 + p)].

    Parameters
    ----------
    band, shaft, barrel, line, water : Band, Shaft, Barrel, ShootingLine, Water
        The set-up; numbers broadcast.
    state : "loaded", "shaft_in" or "shaft_out"
        Bands on the notch; shaft in place and the bands at rest; shaft and line off the gun.

    Returns
    -------
    tuple of Part
        Tube, plugs, handle, muzzle, the others, the band's runs, and shaft and line if they are on
        the gun; masses [kg], volumes [m3], places [m].

    Raises
    ------
    InputError
        If the state is none of these, if the band would be slack on its path, or if arrays do not
        fit together.

    Notes
    -----
    Neglected: air in a sealed tube (0.5 g in a usual one), wishbone, knots, bungee, flopper, and
    the friction that shifts rubber over a roller (less than a tenth of it). Taken as
    incompressible: tube (a sealed 28 mm carbon tube loses 0.01 % at 20 m), metal, rubber and
    plastics (less than 0.2 % at 200 m); the gas of `gas_share` is all that shrinks. The line
    counts as `wraps` times there and back between muzzle and notch and once more back to the
    shaft; what `bandwork.line` finds beyond that moves the net force by less than 0.001 N.
    """
    _check(band, shaft, barrel, line, water)
    if state not in get_args(State):
        raise InputError(f"state is {shown(state)}; accepted are {', '.join(get_args(State))}.")
    radius = np.divide(barrel.outer_diameter, 2)
    envelope = barrel.cross_section if barrel.flooded else np.pi * radius**2
    bore_area = np.pi / 4 * np.square(barrel.bore)
    plug_volume = 2 * bore_area * barrel.plug_length
    middle = np.divide(barrel.length, 2)
    muzzle = replace(barrel.muzzle, position=np.add(barrel.length, barrel.muzzle.position))
    gun = [
        Part("tube", barrel.cross_section * barrel.length * barrel.density,
             envelope * barrel.length, middle, 0.0, barrel.length, barrel.outer_diameter),
        Part("plugs", plug_volume * lookup("plug.density").value,
             plug_volume if barrel.flooded else 0.0, middle, 0.0, barrel.length, barrel.bore),
        *(_as_part(fitting, water) for fitting in (barrel.handle, muzzle, *barrel.others)),
        *_band_parts(band, barrel, state, radius),
    ]
    if state != "shaft_out":
        tip = barrel.length + barrel.roller_offset + shaft.overhang
        run = barrel.upper_run
        line_length = (2 * line.wraps + 1) * run
        line_mass = line.mass_per_length * line_length
        gun += [
            Part("shaft", shaft.mass, shaft.volume, tip - shaft.length / 2,
                 radius + shaft.diameter / 2, shaft.length, shaft.diameter),
            Part("line", line_mass, line_mass / line.density,
                 barrel.notch_position + run / 2, 0.0, run, line.diameter),
        ]
    together(water, **{f"{field.name} of {part.name}": getattr(part, field.name)
                       for part in gun for field in fields(part)[1:]})
    return tuple(gun)


def gun_trim(band: Band, shaft: Shaft, barrel: Barrel, line: ShootingLine, water: Water,
             state: State = "shaft_in") -> Trim:
    """Return how a set-up trims under water, held at the handle.

    Parameters
    ----------
    band, shaft, barrel, line, water : Band, Shaft, Barrel, ShootingLine, Water
        The set-up; numbers broadcast.
    state : "loaded", "shaft_in" or "shaft_out"
        As in `parts_of`.

    Returns
    -------
    Trim
        Forces [N], centres [m], moment at the grip [N m] and angle [rad].

    Raises
    ------
    InputError
        As `parts_of`.

    Examples
    --------
    >>> from bandwork.components import Band, Barrel, Shaft, ShootingLine, Water
    >>> band, line = Band(0.016, 0.003, 0.65), ShootingLine(0.0017)
    >>> gun = gun_trim(band, Shaft(0.007, 1.60), Barrel(1.20), line, Water(), "shaft_out")
    >>> round(gun.net_force, 1)
    3.7
    >>> gun = gun_trim(band, Shaft(0.007, 1.60), Barrel(1.20), line, Water())
    >>> round(gun.net_force, 1), round(gun.grip_moment, 1)
    (-0.4, -0.5)
    """
    parts = parts_of(band, shaft, barrel, line, water, state)
    return sum_parts(parts, water.density, barrel.handle.position)


def sum_parts(parts: tuple[Part, ...], water_density: ArrayLike, grip: ArrayLike = 0.0) -> Trim:
    """Add up parts that are wholly under water.

    F = (density sum(V) - sum(m)) g; centres are the means weighted by mass and by volume; the
    moment about the grip is sum((density V - m) g (x - grip)). Let go, the gun turns until the
    centre of buoyancy stands above the centre of mass: the angle is
    atan2(x_B - x_M, |y_B - y_M|), and with y_B below y_M the gun has also rolled over.

    Parameters
    ----------
    parts : tuple of Part
        At least one; numbers broadcast.
    water_density : array_like
        [kg/m3], 500 to 2000.
    grip : array_like
        Where the hand holds it, along the barrel [m], -10 to 10.

    Returns
    -------
    Trim
        Forces [N], centres [m], moment at the grip [N m] and angle [rad].

    Raises
    ------
    InputError
        If there is no part, if all parts together have no mass or no volume, or if a number lies
        outside its range.

    Notes
    -----
    Archimedes' principle and the principle of moments, e.g. OpenStax, *University Physics* 1,
    sections 12.1 and 14.4. The angle is that of a gun at rest: one that sinks or rises is also
    turned by its drag, so it holds while the net force is small beside the buoyant force.

    Examples
    --------
    >>> iron = Part("iron", mass=0.390, volume=50e-6, position=0.0)
    >>> round(-sum_parts((iron,), 790).net_force / 9.80665, 4)
    0.3505
    """
    if not isinstance(parts, (tuple, list)) or not parts:
        raise InputError(f"parts is {shown(parts)}; give a tuple of one Part or more.")
    for part in parts:
        of_kind(Part, part=part)
    density = within("water_density", water_density, 500, 2000, "kg/m3")
    held = within("grip", grip, -10, 10, "m")
    together(water_density=density, grip=held,
             **{f"{field.name} of {part.name} ({number})": getattr(part, field.name)
                for number, part in enumerate(parts) for field in fields(part)[1:]})

    def total(of: Callable[[Part], Any]) -> Any:
        return sum(of(part) for part in parts)

    mass, volume = total(lambda part: part.mass), total(lambda part: part.volume)
    if np.any(np.equal(mass, 0)) or np.any(np.equal(volume, 0)):
        raise InputError("All parts together have no mass, or no volume; give the mass and the "
                         "volume of at least one.")
    mass_x = total(lambda part: part.mass * part.position) / mass
    mass_y = total(lambda part: part.mass * part.height) / mass
    volume_x = total(lambda part: part.volume * part.position) / volume
    volume_y = total(lambda part: part.volume * part.height) / volume
    weight, lift = mass * STANDARD_GRAVITY, density * volume * STANDARD_GRAVITY
    return Trim(
        parts=tuple(parts), water_density=density, grip=held, mass=plain(mass),
        volume=plain(volume), weight=plain(weight), buoyant_force=plain(lift),
        net_force=plain(lift - weight), centre_of_mass=plain(mass_x),
        centre_of_buoyancy=plain(volume_x), centre_of_mass_height=plain(mass_y),
        centre_of_buoyancy_height=plain(volume_y),
        grip_moment=plain(lift * (volume_x - held) - weight * (mass_x - held)),
        submerged_angle=plain(np.arctan2(volume_x - mass_x, np.abs(volume_y - mass_y))),
    )


@dataclass(frozen=True)
class Rest:
    """How a gun comes to rest when it is let go.

    Attributes
    ----------
    floats : bool or array of bool
        True at the surface, False where it sinks or hovers.
    angle : float or ndarray
        Of the muzzle above the horizon [rad]: at the surface if it floats, else under water.
    submerged_share : float or ndarray
        Of its volume, under water [1], 0 to 1.
    """

    floats: Any
    angle: Any
    submerged_share: Any


_STATIONS = 40
"""Slices a part. Twice as many move the angle of a usual gun by less than 0.1 degree."""


def at_rest(trim: Trim) -> Rest:
    """Return how the gun lies when let go: at the surface if it floats, else under water.

    Each part is cut into slices of a round cross-section. A slice whose middle stands h radii
    above the water's surface is under water by the share (arccos h - h sqrt(1 - h^2))/pi. Height
    and angle are found so that the displaced water weighs what the gun weighs and its middle
    stands above the centre of mass. The gun has rolled its heavy side down.

    Parameters
    ----------
    trim : Trim
        From `gun_trim` or `sum_parts`; numbers broadcast.

    Returns
    -------
    Rest
        Angle [rad] and share under water [1].

    Raises
    ------
    InputError
        If `trim` is no `Trim`.

    Notes
    -----
    Calm water, no hand and no line. A stubby body may rest in several ways and this gives one of
    them; the guns tried have only one. Solved to 1e-9 rad by bisection, some 2000 passes over all
    slices: meant for single guns and for some thousands, not for millions.

    Examples
    --------
    >>> log = sum_parts((Part("log", 5.0, 0.01, 0.0, length=1.27, diameter=0.1),), 1000)
    >>> lies = at_rest(log)
    >>> lies.floats, abs(round(lies.angle, 6)), round(lies.submerged_share, 3)
    (True, 0.0, 0.5)
    """
    of_kind(Trim, trim=trim)
    shape = np.broadcast_shapes(*(np.shape(getattr(trim, field.name))
                                  for field in fields(trim)[1:]))
    offsets = (np.arange(_STATIONS) + 0.5) / _STATIONS - 0.5

    def each(name: str) -> Any:
        return np.stack([np.broadcast_to(getattr(part, name), shape) for part in trim.parts],
                        axis=-1)

    def slices(values: Any) -> Any:
        return np.repeat(values, _STATIONS, axis=-1)

    side = np.where(np.less(trim.centre_of_buoyancy_height, trim.centre_of_mass_height), -1, 1)
    x = slices(each("position")) + slices(each("length")) * np.tile(offsets, len(trim.parts))
    y = slices(each("height")) * side[..., np.newaxis]
    lift = slices(each("volume")) / _STATIONS * np.asarray(trim.water_density)[..., np.newaxis]
    mass = slices(each("mass")) / _STATIONS
    radius = np.maximum(slices(each("diameter")) / 2, 1e-6)
    total = mass.sum(axis=-1)
    floats = np.broadcast_to(np.greater(trim.net_force, 0), shape)
    high = np.abs(x).max(axis=-1) + np.abs(y).max(axis=-1) + radius.max(axis=-1)

    def radii_above(height: Any, angle: Any) -> Any:
        sine, cosine = np.sin(angle)[..., np.newaxis], np.cos(angle)[..., np.newaxis]
        return np.clip((height[..., np.newaxis] + x * sine + y * cosine) / (radius * cosine), -1, 1)

    def displaced(h: Any) -> Any:
        return lift * (np.arccos(h) - h * np.sqrt(1 - h * h)) / np.pi

    def turning(angle: Any) -> Any:
        sine, cosine = np.sin(angle)[..., np.newaxis], np.cos(angle)[..., np.newaxis]
        height = _bisect(lambda z: displaced(radii_above(z, angle)).sum(axis=-1) - total,
                         -high, high)
        h = radii_above(height, angle)
        # What is under water of a slice has its middle below the slice's own.
        lower = lift * radius * 2 / (3 * np.pi) * (1 - h * h) ** 1.5
        return ((displaced(h) - mass) * (x * cosine - y * sine) + lower * sine).sum(axis=-1)

    end = np.full(shape, np.pi / 2 - 1e-6)
    angle = _bisect(turning, -end, end)
    share = np.divide(trim.mass, np.multiply(trim.water_density, trim.volume))
    return Rest(
        floats=bool(floats) if not shape else floats,
        angle=plain(np.where(floats, angle, trim.submerged_angle)),
        submerged_share=plain(np.where(floats, share, 1.0)),
    )


@dataclass(frozen=True)
class Holding:
    """What it takes to hold the gun level and still, the arm straight ahead.

    Attributes
    ----------
    hand_force : float or ndarray
        Upward by the hand on the gun [N]; negative holds a gun down that wants to rise.
    wrist_moment : float or ndarray
        By the wrist on the gun [N m]; positive keeps a muzzle up that wants to sink.
    finger_force : float or ndarray
        That moment as a pair of forces at the edges of the palm [N], each of this size.
    shoulder_moment : float or ndarray
        At the shoulder [N m]; positive lifts.
    force_at_hand : float or ndarray
        A weight hung in the straight hand that loads the shoulder as much [N].
    """

    hand_force: Any
    wrist_moment: Any
    finger_force: Any
    shoulder_moment: Any
    force_at_hand: Any


def holding(trim: Trim, arm_length: ArrayLike | None = None) -> Holding:
    """Return what it takes to hold the muzzle level at arm's length.

    The hand pushes with -F and turns with -M, F the net force and M the moment at the grip. The
    shoulder, an arm's length a behind the grip, turns with -(M + F a); over a, that is the force at
    the hand.

    Parameters
    ----------
    trim : Trim
        From `gun_trim` or `sum_parts`; numbers broadcast.
    arm_length : array_like, optional
        From shoulder to grip [m], 0.3 to 1; the handbook's unless you give your own.

    Returns
    -------
    Holding
        Forces [N] and moments [N m], without the arm itself, which nearly floats.

    Raises
    ------
    InputError
        If the length lies outside its range.

    Examples
    --------
    >>> ends = (Part("float", 0.1, 300e-6, 0.0), Part("lead", 0.4, 100e-6, 1.0))
    >>> held = holding(sum_parts(ends, 1000), arm_length=0.5)
    >>> round(held.hand_force, 3), round(held.wrist_moment, 3), round(held.force_at_hand, 3)
    (0.981, 2.942, 6.865)
    """
    of_kind(Trim, trim=trim)
    arm = within("arm_length", lookup("diver.arm_length").value if arm_length is None
                 else arm_length, 0.3, 1, "m", "Give it in metres: 66 cm is 0.66.")
    together(arm_length=arm, net_force=trim.net_force, grip_moment=trim.grip_moment)
    wrist = np.negative(trim.grip_moment)
    shoulder = wrist - np.multiply(trim.net_force, arm)
    return Holding(
        hand_force=plain(np.negative(trim.net_force)), wrist_moment=plain(wrist),
        finger_force=plain(np.abs(wrist) / lookup("diver.hand_breadth").value),
        shoulder_moment=plain(shoulder), force_at_hand=plain(shoulder / arm),
    )


def ascent_work(band: Band, shaft: Shaft, barrel: Barrel, line: ShootingLine, water: Water,
                depth: ArrayLike, state: State = "shaft_in") -> Any:
    """Return the work of bringing the gun up from a depth, without its drag.

    The integral of -F over the depth, F the net force there: the water grows denser and soft gas
    shrinks with depth. Without soft gas it is very nearly -F x depth.

    Parameters
    ----------
    band, shaft, barrel, line, water : Band, Shaft, Barrel, ShootingLine, Water
        The set-up; the water's temperature and salinity at all depths. Numbers broadcast.
    depth : array_like
        Where the ascent begins [m], 0 to 200.
    state : "loaded", "shaft_in" or "shaft_out"
        As in `parts_of`.

    Returns
    -------
    float or ndarray
        Work [J]: positive is done by the diver, negative by the gun on the diver.

    Raises
    ------
    InputError
        If a depth lies outside its range, or as `parts_of`.

    Notes
    -----
    Gauss-Legendre quadrature at 16 depths; within 1e-5 of the closed form for Boyle's law down to
    200 m.

    Examples
    --------
    >>> from bandwork.components import Band, Barrel, Shaft, ShootingLine, Water
    >>> gun = (Band(0.016, 0.003, 0.65), Shaft(0.0075, 1.60), Barrel(1.20, material="aluminium"),
    ...        ShootingLine(0.0017), Water())
    >>> round(ascent_work(*gun, depth=15))
    39
    """
    _check(band, shaft, barrel, line, water)
    deep = np.asarray(within("depth", depth, 0, 200, "m"))
    nodes, weights = np.polynomial.legendre.leggauss(16)
    work: Any = 0.0
    for node, share in zip((nodes + 1) / 2, weights / 2, strict=True):
        there = replace(water, depth=deep * node)
        work = work - share * deep * gun_trim(band, shaft, barrel, line, there, state).net_force
    return plain(work)


def belt_lead(trim: Trim) -> Any:
    """Return the lead on a belt that pulls down as hard as the gun does.

    m = -F/[g (1 - density of water/density of lead)], F the net force.

    Parameters
    ----------
    trim : Trim
        From `gun_trim` or `sum_parts`.

    Returns
    -------
    float or ndarray
        Mass of lead [kg]; negative: the gun lifts as much as that lead would pull down.

    Raises
    ------
    InputError
        If `trim` is no `Trim`.

    Notes
    -----
    For comparing guns. It is no advice to take lead off or put it on: see `CAUTIONS`.

    Examples
    --------
    >>> anchor = sum_parts((Part("iron", 1.0, 1 / 7860, 0.0),), 1025)
    >>> round(belt_lead(anchor), 3)
    0.956
    """
    of_kind(Trim, trim=trim)
    return plain(_mass_of(trim.net_force, lookup("lead.density").value, trim.water_density))


def neutral_shaft_diameter(band: Band, shaft: Shaft, barrel: Barrel, line: ShootingLine,
                           water: Water, state: State = "shaft_in") -> Any:
    """Return the diameter of the shaft with which the gun neither sinks nor rises.

    pi d^2 l (density of steel - of water) g/4 = F, F the net force of all but the shaft.

    Parameters
    ----------
    band, shaft, barrel, line, water : Band, Shaft, Barrel, ShootingLine, Water
        The set-up; of the shaft, its length and density count. Numbers broadcast.
    state : "loaded" or "shaft_in"
        As in `parts_of`.

    Returns
    -------
    float or ndarray
        Diameter [m]. It may be one that nobody sells, or that `Shaft` does not accept.

    Raises
    ------
    InputError
        If the gun sinks without the shaft, or as `parts_of`.

    Examples
    --------
    >>> from bandwork.components import Band, Barrel, Shaft, ShootingLine, Water
    >>> gun = (Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), Barrel(1.20),
    ...        ShootingLine(0.0017), Water())
    >>> round(neutral_shaft_diameter(*gun) * 1000, 1)
    6.7
    """
    if state == "shaft_out":
        raise InputError("state is 'shaft_out'; a shaft makes the gun neutral only when it is in: "
                         "accepted are loaded and shaft_in.")
    carried = parts_of(band, shaft, barrel, line, water, state)
    rest = tuple(part for part in carried if part.name != "shaft")
    spare = np.asarray(sum_parts(rest, water.density).net_force)
    if (spare <= 0).any():
        raise InputError(f"Without its shaft the gun pulls down with {-spare.min():.3g} N, so no "
                         "shaft makes it neutral; add a float, see balance_with_one.")
    excess = (np.asarray(shaft.density) - water.density) * STANDARD_GRAVITY
    return plain(np.sqrt(4 * spare / (np.pi * shaft.length * excess)))


@dataclass(frozen=True)
class Addition:
    """A piece of ballast or a float that the gun needs.

    Attributes
    ----------
    force : float or ndarray
        What it must add under water [N]: positive is a float, negative ballast.
    mass, volume : float or ndarray
        Of the piece [kg, m3], in the material asked for.
    position : float or ndarray
        Where its middle belongs along the barrel [m].
    on_gun : bool or array of bool
        Whether that place lies on the gun: between the ends of its parts, the shaft left out.
    """

    force: Any
    mass: Any
    volume: Any
    position: Any
    on_gun: Any


def balance_with_one(trim: Trim, ballast_density: ArrayLike | None = None,
                     float_density: ArrayLike | None = None) -> Addition:
    """Return the one piece that makes the gun neutral and takes the moment off the grip.

    It must pull with -F at x = grip + M/F, F the net force and M the moment at the grip.

    Parameters
    ----------
    trim : Trim
        From `gun_trim` or `sum_parts`; numbers broadcast.
    ballast_density, float_density : array_like, optional
        Of the piece [kg/m3]: denser and lighter than the water by 1 kg/m3 or more, up to 25000 and
        from 0; lead and cork unless you give your own.

    Returns
    -------
    Addition
        Force [N], mass [kg], volume [m3] and place [m]. Where `on_gun` is False there is nothing
        there to fasten it to: use `balance_with_two`.

    Raises
    ------
    InputError
        If the gun is neutral already, so that one piece can do nothing about its moment, or if a
        density lies outside its range.

    Examples
    --------
    >>> bar = Part("bar", mass=1.0, volume=0.0012, position=0.6, length=1.2)
    >>> piece = balance_with_one(sum_parts((bar,), 1000))
    >>> round(piece.force, 2), round(piece.position, 2), round(piece.mass, 3)
    (-1.96, 0.6, 0.219)
    """
    of_kind(Trim, trim=trim)
    if np.any(np.abs(trim.net_force) < 1e-6):
        raise InputError("The gun is neutral already, so one piece cannot take its moment away; "
                         "use balance_with_two.")
    return _addition(trim, np.negative(trim.net_force),
                     trim.grip + np.divide(trim.grip_moment, trim.net_force),
                     ballast_density, float_density)


def balance_with_two(trim: Trim, aft: ArrayLike, fore: ArrayLike,
                     ballast_density: ArrayLike | None = None,
                     float_density: ArrayLike | None = None) -> tuple[Addition, Addition]:
    """Return the two pieces, at places you choose, that make the gun neutral and level.

    F1 + F2 = -F and F1 (aft - grip) + F2 (fore - grip) = -M, F the net force and M the moment at
    the grip.

    Parameters
    ----------
    trim : Trim
        From `gun_trim` or `sum_parts`; numbers broadcast.
    aft, fore : array_like
        Where the pieces go along the barrel [m], -1 to 3, `fore` at least 0.05 ahead of `aft`.
    ballast_density, float_density : array_like, optional
        As in `balance_with_one` [kg/m3].

    Returns
    -------
    tuple of Addition
        The aft and the fore piece: forces [N], masses [kg], volumes [m3].

    Raises
    ------
    InputError
        If the places or a density lie outside their ranges.

    Examples
    --------
    >>> bar = Part("bar", mass=1.0, volume=0.0012, position=0.6, length=1.2)
    >>> aft, fore = balance_with_two(sum_parts((bar,), 1000), 0.0, 0.9)
    >>> round(aft.force, 3), round(fore.force, 3)
    (-0.654, -1.308)
    """
    of_kind(Trim, trim=trim)
    back = within("aft", aft, -1, 3, "m", "Give it in metres: 10 cm is 0.10.")
    front = within("fore", fore, -1, 3, "m", "Give it in metres: 110 cm is 1.10.")
    together(aft=back, fore=front, net_force=trim.net_force, grip_moment=trim.grip_moment)
    apart = np.asarray(np.subtract(front, back))
    if (apart < 0.05).any():
        raise InputError(f"fore lies {apart.min():.3g} m ahead of aft; accepted is 0.05 m or more. "
                         "Give the rear place as aft and the front place as fore.")
    ahead = (-trim.grip_moment - np.negative(trim.net_force) * (back - trim.grip)) / apart
    return (_addition(trim, -trim.net_force - ahead, back, ballast_density, float_density),
            _addition(trim, ahead, front, ballast_density, float_density))


def _check(band: Band, shaft: Shaft, barrel: Barrel, line: ShootingLine, water: Water) -> None:
    of_kind(Band, band=band)
    of_kind(Shaft, shaft=shaft)
    of_kind(Barrel, barrel=barrel)
    of_kind(ShootingLine, line=line)
    of_kind(Water, water=water)
    together(band, shaft, barrel, line, water)


def _as_part(fitting: Fitting, water: Water) -> Part:
    """Return a fitting as a block that is as long as it is high."""
    outside = lookup("atmosphere.standard").value
    squeezed = outside / (outside + gauge_pressure(water.depth))
    volume = fitting.volume * (1 - fitting.gas_share * (1 - squeezed))
    side = np.cbrt(volume)
    return Part(fitting.name, fitting.mass, volume, fitting.position, fitting.height, side,
                side * np.sqrt(4 / np.pi))


def _band_parts(band: Band, barrel: Barrel, state: State, radius: Any) -> tuple[Part, ...]:
    """Return the rubber along its path, at the tube's surface; on a roller, at its axle."""
    axle = barrel.length + barrel.roller_offset
    path = barrel.loaded_path if state == "loaded" else barrel.resting_path(band.relaxed_length)
    thickness = band.outer_diameter / np.sqrt(band.stretch_ratio(path))

    def run(name: str, start: Any, end: Any, height: Any) -> Part:
        share = (end - start) / path
        return Part(f"band, {name}", band.mass * share, band.volume * share, (start + end) / 2,
                    height, end - start, thickness)

    if barrel.kind == "conventional":
        return (run("run", axle - path, axle, radius),)
    lower = run("lower run", barrel.anchor_position, axle, -radius)
    arc = barrel.sheave_radius * barrel.sheave_wrap / path
    on_roller = Part("band, on the roller", band.mass * arc, band.volume * arc, axle, 0.0, 0.0,
                     thickness)
    if state != "loaded":
        return lower, on_roller
    return lower, on_roller, run("upper run", barrel.notch_position, axle, radius)


def _bisect(function: Callable[[Any], Any], low: Any, high: Any) -> Any:
    """Return where a falling function crosses zero between two arrays, element by element."""
    for _ in range(45):
        middle = (low + high) / 2
        above = function(middle) > 0
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return (low + high) / 2


def _mass_of(force: Any, density: Any, water_density: Any) -> Any:
    """Return the mass of a piece that pulls up with `force` under water."""
    return np.divide(force, STANDARD_GRAVITY * (np.divide(water_density, density) - 1))


def _addition(trim: Trim, force: Any, position: Any, ballast_density: ArrayLike | None,
              float_density: ArrayLike | None) -> Addition:
    heavy = within("ballast_density", lookup("lead.density").value if ballast_density is None
                   else ballast_density, float(np.max(trim.water_density)) + 1, 25000, "kg/m3",
                   "Ballast is denser than the water.")
    light = numbers("float_density", lookup("cork.density").value if float_density is None
                    else float_density)
    within("float_density", light, 0, float(np.min(trim.water_density)) - 1, "kg/m3",
           "A float is lighter than the water.")
    together(ballast_density=heavy, float_density=light, force=force, position=position)
    volume = np.where(np.less(force, 0),
                      np.divide(force, STANDARD_GRAVITY * (trim.water_density - np.asarray(heavy))),
                      np.divide(force, STANDARD_GRAVITY * (trim.water_density - light)))
    ends = [(part.position - part.length / 2, part.position + part.length / 2)
            for part in trim.parts if part.name != "shaft"]
    inside = (np.min(np.broadcast_arrays(*(end[0] for end in ends)), axis=0) <= position) & (
        position <= np.max(np.broadcast_arrays(*(end[1] for end in ends)), axis=0))
    return Addition(force=plain(force), mass=plain(volume * np.where(np.less(force, 0), heavy,
                                                                     light)),
                    volume=plain(volume), position=plain(position),
                    on_gun=bool(inside) if not np.ndim(inside) else inside)
