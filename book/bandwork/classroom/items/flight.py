"""The exercise `flight`: from a shaft on the scale to the range that a diver may count on.

Right answers come from the library. The exercise keeps the drag area constant along the way, so
that speed and time have formulas that can be worked by hand; the page says by how much that
differs from the full model. The graph to read and the shelf of the design are the full model.
"""

from functools import lru_cache
from typing import Any

import numpy as np

from bandwork.classroom.checks import (
    ChoiceItem,
    DesignItem,
    Drawn,
    Exercise,
    FunctionItem,
    IntervalItem,
    PlotItem,
    RowItem,
    Slip,
)
from bandwork.classroom.learner import Draw, Numbers
from bandwork.components import Shaft, ShootingLine, Water
from bandwork.flight import (
    DragCoefficients,
    added_mass,
    coast,
    drag_area,
    fly,
    refraction_angle,
    reynolds_number,
    sink,
    skin_friction,
)
from bandwork.units import STANDARD_GRAVITY

CURVE_TOLERANCE = 0.02
SHELF_MM = (6.0, 7.0, 7.5, 8.0)
SHELF_CM = (130.0, 160.0, 160.0, 170.0)
LETTERS = "ABCD"
LAKE = 1000.0


def _water(n: Numbers) -> Water:
    return Water(temperature=n.water_C)


def _shaft(n: Numbers) -> Shaft:
    return Shaft(n.shaft_mm / 1e3, n.shaft_cm / 100, wing_area=n.wing_mm2 / 1e6)


def _line(n: Numbers) -> ShootingLine:
    return ShootingLine(n.line_mm / 1e3)


def _flown(n: Numbers) -> float:
    """Way of the tail from the muzzle [m]."""
    return float(n.tip_range_m - n.shaft_cm / 100)


@lru_cache(maxsize=4096)
def _from_shelf(letter: str, launched: float, celsius: float, line_mm: float, tip_range: float
                ) -> tuple[float, float]:
    """Drop [cm] and energy [J] of a shaft from the shelf, by the library's full model."""
    place = LETTERS.index(letter)
    shaft = Shaft(SHELF_MM[place] / 1e3, SHELF_CM[place] / 100)
    start = np.sqrt(2 * launched / shaft.mass)
    got = fly(shaft, Water(temperature=celsius), ShootingLine(line_mm / 1e3), start, tip_range)
    return got.drop * 100, got.energy


def shelf_arrives(n: Numbers, letter: str, tip_range_m: float) -> tuple[float, float]:
    """Return drop and energy of a shaft from the shelf where its tip arrives.

    Parameters
    ----------
    n : Numbers
        The learner's: energy at the muzzle, water, line.
    letter : str
        Which shaft of the shelf.
    tip_range_m : float
        From the muzzle to the tip [m].

    Returns
    -------
    float, float
        Drop [cm] and energy of the shaft [J].
    """
    return _from_shelf(letter, n.launch_J, n.water_C, n.line_mm, float(tip_range_m))


@lru_cache(maxsize=4096)
def _range_of_drop(shaft_mm: float, shaft_cm: float, celsius: float, line_mm: float, speed: float,
                   drop_cm: float) -> float:
    """Range of the tip [m] at which the drop is so large, by the library's full model."""
    shaft, water = Shaft(shaft_mm / 1e3, shaft_cm / 100), Water(temperature=celsius)
    ranges = np.linspace(shaft.length + 0.3, 9.0, 400)
    drops = fly(shaft, water, ShootingLine(line_mm / 1e3), speed, ranges).drop * 100
    return float(np.interp(drop_cm, drops, ranges))


def _drops_at(n: Numbers, speed: float) -> float:
    return _range_of_drop(n.shaft_mm, n.shaft_cm, n.water_C, n.line_mm, speed, n.allowed_cm)


def _follow(n: Numbers, learner: str) -> dict[str, Any]:
    """Return what follows from the draws."""
    water = _water(n)
    parts = drag_area(_shaft(n), water, _line(n), n.muzzle_m_s, _flown(n) / 2)
    drops, energies = zip(*(shelf_arrives(n, letter, n.shy_m) for letter in LETTERS), strict=True)
    return {
        "conventional_m_s": n.muzzle_m_s - n.slower_m_s,
        "density_kg_m3": round(water.density, 1),
        "viscosity_mm2_s": round(water.kinematic_viscosity * 1e6, 3),
        "index": round(water.refractive_index, 4),
        "other_mm2": round((parts.base + parts.line + parts.pickup) * 1e6, 1),
        "design_drop_cm": round((drops[1] + drops[3]) / 2, 1),
        "design_J": round((energies[0] + energies[1]) / 2),
        "design_reach_m": n.shy_m + 1.5,
    }


def _mass_of(n: Numbers, diameter: float) -> tuple[float, float]:
    """Mass and displaced water [kg] of a shaft as long as the learner's."""
    shaft = Shaft(0.007, n.shaft_cm / 100)
    share = (diameter / 0.007) ** 2
    displaced = added_mass(shaft, _water(n))[1] * n.density_kg_m3 / _water(n).density
    return float(shaft.mass * share), float(displaced * share)


def _row(n: Numbers, *, flown: float | None = None, diameter: float = 1.0, water: float = 1.0,
         net: Any = lambda mass, displaced: (mass - displaced) * STANDARD_GRAVITY
         ) -> tuple[float, float, float, float]:
    """Way flown [m], mass and displaced water [kg], net weight [N]."""
    mass, displaced = _mass_of(n, n.shaft_mm / 1e3 * diameter)
    displaced *= water
    return (_flown(n) if flown is None else flown), mass, displaced, net(mass, displaced)


SHAFT = RowItem(
    key="shaft", title="Way, mass and weight of your shaft", variable="shaft_row", length=4,
    unit="m, kg, kg and N", points=2, page="flight/drop", tolerance=0.005,
    goal="Work out what a shaft weighs in water, and how far its tail flies.",
    outside="flight::test_a_shaft_has_a_cylinders_added_mass",
    right=_row,
    slips=(
        Slip("range for way", "the tip is a shaft's length ahead when the tail leaves the muzzle; "
             "the tail has less far to go.", lambda n: _row(n, flown=n.tip_range_m)),
        Slip("length added", "the shaft's length comes off the range, it is not added.",
             lambda n: _row(n, flown=n.tip_range_m + n.shaft_cm / 100)),
        Slip("diameter as radius", "the diameter went in where a radius belongs: with the diameter "
             "the area has a quarter in it.", lambda n: _row(n, diameter=2.0)),
        Slip("radius and quarter", "the radius was squared and divided by four as well; do only "
             "one of the two.", lambda n: _row(n, diameter=0.5)),
        Slip("weight in air", "the last number is the weight in air; take off what the displaced "
             "water weighs.",
             lambda n: _row(n, net=lambda mass, displaced: mass * STANDARD_GRAVITY)),
        Slip("mass for weight", "the last number is still a mass in kilograms; a weight is that "
             "times standard gravity.", lambda n: _row(n, net=lambda mass, displaced:
                                                       mass - displaced)),
        Slip("displaced water added", "water pushes up: take the displaced water off, do not add "
             "it.", lambda n: _row(n, net=lambda mass, displaced:
                                   (mass + displaced) * STANDARD_GRAVITY)),
        Slip("fresh for sea water", "the displaced water was reckoned as that of a lake; yours is "
             "the sea, as dense as the table says.",
             lambda n: _row(n, water=LAKE / n.density_kg_m3)),
    ),
)


def _re(n: Numbers, speed: Any) -> Any:
    """Reynolds number, with the viscosity as the table shows it."""
    shown = _water(n).kinematic_viscosity * 1e6 / n.viscosity_mm2_s
    return np.asarray(reynolds_number(speed, n.shaft_cm / 100, _water(n))) * shown


FRICTION = FunctionItem(
    key="friction", title="Friction coefficient at a speed", variable="friction_at",
    unit="", points=2, page="flight/drag", tolerance=0.002,
    goal="Find the friction coefficient of a shaft at any speed.",
    outside="flight::ITTC-57 line of a ship model, its Re rounded in print",
    inputs=lambda n: (12.0, 20.0, 30.0),
    right=lambda n: lambda speed: skin_friction(_re(n, speed)),
    slips=(
        Slip("natural logarithm", "this is the natural logarithm; the law wants the one to base "
             "ten, log10.", lambda n: lambda v: 0.075 / (np.log(_re(n, v)) - 2) ** 2),
        Slip("square forgotten", "the bracket below the line is squared.",
             lambda n: lambda v: 0.075 / (np.log10(_re(n, v)) - 2)),
        Slip("two forgotten", "take the two away from the logarithm before you square; if you did, "
             "the length went in as centimetres.",
             lambda n: lambda v: 0.075 / np.log10(_re(n, v)) ** 2),
        Slip("plus for minus", "the two is taken away from the logarithm, not added.",
             lambda n: lambda v: 0.075 / (np.log10(_re(n, v)) + 2) ** 2),
        Slip("diameter for length", "the water runs along the whole shaft: the Reynolds number "
             "wants its length, not its diameter.",
             lambda n: lambda v: 0.075 / (np.log10(_re(n, v) * n.shaft_mm / n.shaft_cm / 10) - 2
                                          ) ** 2),
        Slip("mm²/s for m²/s", "the viscosity went in as mm²/s, so the Reynolds number is a "
             "million times too small; divide the viscosity by a million.",
             lambda n: lambda v: 0.075 / (np.log10(_re(n, v) / 1e6) - 2) ** 2),
        Slip("the same at every speed", "your function gives the same at every speed; use the "
             "speed_m_s of its first line.",
             lambda n: lambda v: skin_friction(_re(n, n.muzzle_m_s)) + 0 * v),
    ),
)


def _area(n: Numbers, *, friction: float = 1.0, curvature: float | None = None,
          section: float = 1.0, other: float = 1.0, wing: float = 1.0, speed: float = 2.0,
          density: float | None = None, half: float = 0.5, millionth: float = 1e-6
          ) -> tuple[float, float, float, float]:
    """Drag area of friction, of the nose and of all [mm2], and the drag at the muzzle [N]."""
    c = DragCoefficients()
    rubbed = (float(n["friction"](n.muzzle_m_s)) * (c.curvature if curvature is None else curvature)
              * np.pi * n.shaft_mm * n.shaft_cm * 10 * friction)
    tip = c.nose * np.pi / 4 * n.shaft_mm**2 * section
    whole = rubbed + tip + c.wing * n.wing_mm2 * wing + n.other_mm2 * other
    thick = n.density_kg_m3 if density is None else density
    return rubbed, tip, whole, half * thick * n.muzzle_m_s**speed * whole * millionth


AREA = RowItem(
    key="area", title="Drag area and drag", variable="area_row", length=4,
    unit="mm², mm², mm² and N", points=3, page="flight/drag", tolerance=0.005, uses=("friction",),
    goal="Add up the drag of a shaft from its parts.",
    outside="flight::test_form_drag_of_a_shaft_stays_below_a_cones_with_its_own_wake",
    right=_area,
    slips=(
        Slip("curvature forgotten", "a thin round shaft rubs more than a flat plate: multiply its "
             "friction by the factor curvature.", lambda n: _area(n, curvature=1.0)),
        Slip("radius for diameter", "the way round the shaft is pi times the diameter, not the "
             "radius.", lambda n: _area(n, friction=0.5)),
        Slip("cross-section for surface", "friction goes by the surface along the shaft: pi times "
             "diameter times length.",
             lambda n: _area(n, friction=n.shaft_mm / 4 / (n.shaft_cm * 10))),
        Slip("wing forgotten", "the folded wing is missing in the sum; add it.",
             lambda n: _area(n, wing=0.0)),
        Slip("others forgotten", "my.other_mm2 is missing in the sum; add it.",
             lambda n: _area(n, other=0.0)),
        Slip("half forgotten", "the drag has a half in front of density and speed squared.",
             lambda n: _area(n, half=1.0)),
        Slip("speed not squared", "the drag goes with the square of the speed.",
             lambda n: _area(n, speed=1.0)),
        Slip("air for water", "this is the drag in air; yours flies through the sea, as dense as "
             "the table says.", lambda n: _area(n, density=1.2)),
        Slip("mm² for m²", "the area in the drag is in mm²; divide it by a million for m².",
             lambda n: _area(n, millionth=1.0)),
        Slip("radius and quarter", "the nose has a quarter of its area: the quarter goes with the "
             "diameter, not with the radius.", lambda n: _area(n, section=0.25)),
    ),
)


def _drag_length(n: Numbers) -> float:
    """Way on which the speed falls to 1/e [m]."""
    return float(2 * n["shaft"][1] / (n.density_kg_m3 * n["area"][2] / 1e6))


def _coasts(n: Numbers, way: Any) -> Any:
    return coast(way, n.muzzle_m_s, n["shaft"][1], n["area"][2] / 1e6, n.density_kg_m3)[0]


def _decay(n: Numbers, power: float) -> Any:
    return lambda way: n.muzzle_m_s * np.exp(power * way / _drag_length(n))


SPEED_AT = FunctionItem(
    key="speed_at", title="Speed after a way", variable="speed_after", unit="m/s", points=2,
    page="flight/speed", tolerance=0.005, uses=("shaft", "area"),
    goal="Say how fast a shaft still is after any way.",
    outside="flight::speed after 3 m with a drag length of 5 m, v0 e^(-x/L)",
    inputs=lambda n: (1.0, 2.5, 4.0),
    right=lambda n: lambda way: _coasts(n, way),
    slips=(
        Slip("two forgotten", "the drag length has twice the mass above the line.",
             lambda n: _decay(n, -2.0)),
        Slip("half too much", "the half of the drag was counted twice: the drag length is twice "
             "the mass over density and area.", lambda n: _decay(n, -0.5)),
        Slip("plus in the exponent", "the shaft gets slower: the exponent has a minus.",
             lambda n: _decay(n, 1.0)),
        Slip("straight line", "the speed does not fall along a straight line; put the way over "
             "the drag length into np.exp, with a minus.",
             lambda n: lambda way: n.muzzle_m_s * (1 - way / _drag_length(n))),
        Slip("hyperbola", "this is how speed falls with time; with the way it falls as np.exp( ).",
             lambda n: lambda way: n.muzzle_m_s / (1 + way / _drag_length(n))),
        Slip("the same everywhere", "your function gives the same everywhere; use the way_m of its "
             "first line.", lambda n: lambda way: _coasts(n, _flown(n)) + 0 * way),
        Slip("density forgotten", "the water's density is missing in the drag length, below the "
             "line.", lambda n: _decay(n, -1 / n.density_kg_m3)),
        Slip("mm² for m²", "the area went in as mm²; divide it by a million.",
             lambda n: lambda way: n.muzzle_m_s * np.exp(-way / _drag_length(n) * 1e6)),
    ),
)


def _arrival(n: Numbers, *, way: float | None = None, half: float = 0.5, power: float = 2.0,
             section: float = 0.25, mass: float | None = None) -> tuple[float, float, float, float]:
    """Speed [m/s], energy [J], momentum [N s], and energy per cross-section [J/mm2]."""
    v = float(n["speed_at"](n["shaft"][0] if way is None else way))
    m = n["shaft"][1] if mass is None else mass
    energy = half * m * v**power
    return v, energy, m * v, energy / (np.pi * section * n.shaft_mm**2)


ARRIVAL = RowItem(
    key="arrival", title="What arrives", variable="arrival", length=4,
    unit="m/s, J, N s and J/mm²", points=2, page="flight/speed", tolerance=0.005,
    uses=("shaft", "speed_at"),
    goal="Work out what speed, energy and momentum are left at a range.",
    outside="flight::test_practice_thin_shaft_is_faster_and_thick_one_carries_more",
    right=_arrival,
    slips=(
        Slip("range for way", "the tail flies a shaft's length less than the range of the tip; put "
             "the first number of item 1 into your function.",
             lambda n: _arrival(n, way=n.tip_range_m)),
        Slip("at the muzzle", "this is what leaves the muzzle; put your way into the function of "
             "item 4.",
             lambda n: _arrival(n, way=0.0)),
        Slip("half forgotten", "energy has a half in front.", lambda n: _arrival(n, half=1.0)),
        Slip("square forgotten", "energy goes with the square of the speed.",
             lambda n: _arrival(n, power=1.0)),
        Slip("grams for kilograms", "the mass went in as grams; joules want kilograms.",
             lambda n: _arrival(n, mass=n["shaft"][1] * 1000)),
        Slip("diameter as radius", "the cross-section in the last number is four times too large: "
             "with the diameter the disc has a quarter in it.",
             lambda n: _arrival(n, section=1.0)),
        Slip("weight for mass", "the weight in water went in where the mass belongs; water takes "
             "no inertia from the shaft.", lambda n: _arrival(n, mass=n["shaft"][3])),
    ),
)


def _time(n: Numbers, way: float) -> float:
    return float(coast(way, n.muzzle_m_s, n["shaft"][1], n["area"][2] / 1e6, n.density_kg_m3)[1])


def _drop(n: Numbers, *, time: float | None = None, weight: float | None = None,
          falling: float | None = None, drag: float = 1.0, bound: float = 1.0,
          braked: float = 1.0) -> tuple[float, float, float]:
    """Time of flight [s], free fall in water and drop with drag across the shaft [cm]."""
    t = _time(n, n["shaft"][0]) if time is None else time
    heavy = n["shaft"][1] + n["shaft"][2] if falling is None else falling
    net = n["shaft"][3] if weight is None else weight
    across = DragCoefficients().cross_flow * n.shaft_mm / 1e3 * n.shaft_cm / 100 * drag
    fallen = float(sink(t, net, heavy, across, n.density_kg_m3)[0])
    return t, bound * net / heavy * t**2 / 2 * 100, braked * fallen * 100


DROP = RowItem(
    key="drop", title="Time of flight and drop", variable="drop_row", length=3,
    unit="s, cm and cm", points=3, page="flight/drop", tolerance=0.005,
    uses=("shaft", "area"),
    goal="Work out how long a shaft flies and how far it drops.",
    outside="flight::time for those 3 m, (L/v0)(e^(x/L) - 1)",
    right=_drop,
    slips=(
        Slip("time without drag", "this is the time at the muzzle's speed all the way; the shaft "
             "gets slower, so take the formula of t.",
             lambda n: _drop(n, time=n["shaft"][0] / n.muzzle_m_s)),
        Slip("time at the last speed", "this is the time at the last speed all the way; it began "
             "faster, and the formula of t counts that.",
             lambda n: _drop(n, time=float(n["shaft"][0] / _coasts(n, n["shaft"][0])))),
        Slip("one forgotten", "take one away from the exponential before you multiply.",
             lambda n: _drop(n, time=_time(n, n["shaft"][0])
                             + _drag_length(n) / n.muzzle_m_s)),
        Slip("range for way", "the time is that of the tip's range; the tail flies a shaft's "
             "length less.",
             lambda n: _drop(n, time=_time(n, n.tip_range_m))),
        Slip("added mass forgotten", "the water that falls along is missing: divide by mass and "
             "displaced water together.", lambda n: _drop(n, falling=n["shaft"][1])),
        Slip("weight in air", "this falls as in air; use the weight in water of item 1.",
             lambda n: _drop(n, weight=n["shaft"][1] * STANDARD_GRAVITY)),
        Slip("half forgotten", "free fall has a half in front of acceleration and time squared; "
             "put it in.",
             lambda n: _drop(n, bound=2.0)),
        Slip("metres", "the drops are in metres; they are wanted in cm.",
             lambda n: _drop(n, bound=0.01, braked=0.01)),
        Slip("no drag across", "the last number is still free fall; take the formula with the "
             "drag.",
             lambda n: _drop(n, drag=1e-9)),
    ),
)


def _read(n: Numbers) -> tuple[float, float]:
    return _drops_at(n, n.muzzle_m_s), _drops_at(n, n.conventional_m_s)


READ = RowItem(
    key="read", title="Two guns on one graph", variable="read_off", length=2,
    unit="m", points=2, page="flight/drop", tolerance=0.025,
    goal="Read from a graph how far a gun shoots before its shaft has dropped too far.",
    outside="flight::test_practice_roller_drops_less_than_a_conventional_gun",
    right=_read,
    slips=(
        Slip("curves swapped", "the two are the wrong way round: the faster gun's curve is the "
             "lower one, and the roller comes first.", lambda n: _read(n)[::-1]),
        Slip("way for range", "the graph shows the range of the tip; nothing comes off it.",
             lambda n: tuple(np.array(_read(n)) - n.shaft_cm / 100)),
        Slip("axes swapped", "this is the drop itself; follow your drop across to the curve, and "
             "from there down to the range.", lambda n: (n.allowed_cm, n.allowed_cm)),
        Slip("centimetres", "these are centimetres; the level axis is in metres.",
             lambda n: tuple(np.array(_read(n)) * 100)),
        Slip("the same twice", "both were read from the roller's curve; the other gun's is higher "
             "up.", lambda n: (_read(n)[0],) * 2),
    ),
)

WAYS = np.linspace(0.0, 4.0, 40)


def _plot_faults(drawn: Drawn, n: Numbers) -> str:
    if not drawn.x_label or not drawn.y_label:
        return "no axis labels"
    if not drawn.lines():
        return "too few points"
    at = np.linspace(0, 4, 40)[3:37:3]

    def wanted(way: Any) -> Any:
        return np.array([float(n["speed_at"](float(one))) for one in np.atleast_1d(way)])

    turned = Drawn("", "", tuple(line[:, ::-1] for line in drawn.lines()))
    if drawn.follows(wanted, at, CURVE_TOLERANCE, least=10):
        return "" if "m/s" in drawn.y_label else "no unit"
    if turned.follows(wanted, at, CURVE_TOLERANCE):
        return "axes swapped"
    flat = drawn.follows(lambda way: n.muzzle_m_s + 0 * way, at, CURVE_TOLERANCE)
    return "no slowing" if flat else "curve elsewhere"


def _plot(n: Numbers, *, labels: tuple[str, str] = ("way in m", "speed in m/s"),
          swap: bool = False, points: int = 40, flat: bool = False, factor: float = 1.0) -> Any:
    from matplotlib.figure import Figure

    axes = Figure().add_subplot()
    x = np.linspace(0, 4, points)
    y = np.array([n.muzzle_m_s if flat else float(n["speed_at"](float(one))) for one in x]) * factor
    axes.plot(*((y, x) if swap else (x, y)))
    axes.set_xlabel(labels[swap])
    axes.set_ylabel(labels[not swap])
    return axes


PLOT = PlotItem(
    key="slowing", title="Plot of the speed", variable="axes", unit="", points=1,
    page="flight/speed", uses=("speed_at",), tolerance=CURVE_TOLERANCE,
    goal="Draw how a shaft slows down along its way.",
    outside="flight::test_the_integrator_flies_the_sphere_of_another_library",
    faults=_plot_faults, right=_plot,
    slips=(
        Slip("curve elsewhere", "the line is not that of your function of item 4, all the way from "
             "0 to 4 m.", lambda n: _plot(n, factor=1.1)),
        Slip("no axis labels", "label both axes, so that somebody else can read it.",
             lambda n: _plot(n, labels=("", ""))),
        Slip("too few points", "draw a smooth line, through the 40 ways of the row ways_m.",
             lambda n: _plot(n, points=5)),
        Slip("axes swapped", "the way belongs on the level axis, the speed on the upright one.",
             lambda n: _plot(n, swap=True)),
        Slip("no slowing", "this shaft does not slow down; draw your function of item 4.",
             lambda n: _plot(n, flat=True)),
        Slip("no unit", "say in which unit the speed is: the upright label wants m/s.",
             lambda n: _plot(n, labels=("way in m", "speed"))),
    ),
)


def _mask(n: Numbers, *, seen: Any = lambda d, i: d / i, angle: Any = None) -> tuple[float, float]:
    """Distance at which the fish seems to be [m], and its true angle in the water [degrees]."""
    right = float(np.degrees(refraction_angle(np.radians(n.seen_deg), 1.0, n.index)))
    return seen(n.fish_m, n.index), right if angle is None else angle(n.seen_deg, n.index)


def _snell(sine: Any) -> float:
    return float(np.degrees(np.arcsin(sine)))


MASK = RowItem(
    key="mask", title="Where the fish is", variable="mask_row", length=2, unit="m and degrees",
    points=2, page="flight/mask", tolerance=0.003,
    goal="Correct what a flat mask shows.",
    outside="flight::apparent over true depth of a fish in a pond",
    right=_mask,
    slips=(
        Slip("farther instead of nearer", "through a mask things seem nearer, not farther: divide.",
             lambda n: _mask(n, seen=lambda d, i: d * i)),
        Slip("rule for index", "four thirds is a rule of thumb; use your water's index here.",
             lambda n: _mask(n, seen=lambda d, i: d * 3 / 4)),
        Slip("no sine", "Snell's law is for the sines of the angles, not for the angles.",
             lambda n: _mask(n, angle=lambda a, i: a / i)),
        Slip("wrong way round", "in water the angle is the smaller one: divide the sine, not "
             "multiply.",
             lambda n: _mask(n, angle=lambda a, i: _snell(np.sin(np.radians(a)) * i))),
        Slip("degrees as radians", "the sine took your degrees for radians; turn them into radians "
             "first.", lambda n: _mask(n, angle=lambda a, i: _snell(np.sin(a) / i))),
        Slip("radians", "the angle is in radians; it is wanted in degrees.",
             lambda n: _mask(n, angle=lambda a, i: float(np.radians(_snell(
                 np.sin(np.radians(a)) / i))))),
        Slip("cosine for sine", "the angle is measured from straight ahead, so Snell's law wants "
             "sines.", lambda n: _mask(n, angle=lambda a, i: float(np.degrees(np.arccos(
                 np.cos(np.radians(a)) / i))))),
    ),
)


def _limits(n: Numbers, *, energy: float = 0.5, log: Any = np.log, length: bool = True,
            time: float = 1.0, pick: Any = min, straight: bool = False
            ) -> tuple[float, float, float]:
    """Range for the energy, for the time, and the practical range [m]."""
    far, ahead = _drag_length(n), n.shaft_cm / 100 if length else 0.0
    launched = n["shaft"][1] * n.muzzle_m_s**2 / 2
    by_energy = far * energy * log(launched / n.least_J) + ahead
    seconds = n.fish_ms / 1000 * time
    way = n.muzzle_m_s * seconds if straight else far * log(1 + n.muzzle_m_s * seconds / far)
    by_time = way + ahead
    return by_energy, by_time, pick((n.reach_m, n.drop_range_m, by_energy, by_time))


LIMITS = RowItem(
    key="limits", title="Practical range", variable="limits_m", length=3, unit="m", points=3,
    page="flight/range", tolerance=0.005, uses=("shaft", "area"),
    goal="Find which limit ends the range first.",
    outside="flight::test_practice_most_fish_are_shot_within_the_line_of_a_single_wrap",
    right=_limits,
    slips=(
        Slip("half forgotten", "the energy falls twice as fast as the speed: half the drag length "
             "stands before the logarithm.", lambda n: _limits(n, energy=1.0)),
        Slip("logarithm to base ten", "this is the logarithm to base ten; here the natural one is "
             "wanted, log( ).", lambda n: _limits(n, log=np.log10)),
        Slip("shaft's length forgotten", "both are the tail's way; the tip is a shaft's length "
             "ahead, so add that.", lambda n: _limits(n, length=False)),
        Slip("no drag in the time", "the second number is for a shaft that does not slow down; "
             "take the way with the logarithm.", lambda n: _limits(n, straight=True)),
        Slip("seconds for milliseconds", "the fish's time went in as if it were seconds; it is in "
             "milliseconds.", lambda n: _limits(n, time=1000.0)),
        Slip("largest for smallest", "the last number is the largest; the range ends at the limit "
             "that comes first.", lambda n: _limits(n, pick=max)),
        Slip("mean of the limits", "the last number is a mean; one limit passed is enough to miss, "
             "so the smallest counts.",
             lambda n: _limits(n, pick=lambda all_: sum(all_) / 4)),
    ),
)


def _design_faults(design: tuple[Any, ...], n: Numbers) -> str:
    letter, tip_range = design
    if tip_range < n.shy_m - 1e-9:
        return "too near"
    if tip_range > n.design_reach_m + 1e-9:
        return "beyond the line"
    drop, energy = shelf_arrives(n, letter, tip_range)
    if drop > n.design_drop_cm:
        return "drops too far"
    return "too little energy" if energy < n.design_J else ""


DESIGN = DesignItem(
    key="design", title="A shaft for a shy fish", variable="choice", unit="letter and m", points=2,
    page="flight/range", asks=(("the shaft's letter", LETTERS), ("the range in m", "")),
    tolerance=0.0,
    goal="Choose a shaft and a distance that keep drop and energy within limits.",
    outside="flight::test_practice_thin_shaft_is_faster_and_thick_one_carries_more",
    faults=_design_faults, right=lambda n: ("B", n.shy_m),
    slips=(
        Slip("too near", "at that range the fish is gone; choose a longer range.",
             lambda n: ("B", n.shy_m - 0.5)),
        Slip("beyond the line", "that is farther than the line reaches; choose a shorter range.",
             lambda n: ("B", n.design_reach_m + 0.5)),
        Slip("drops too far", "that shaft has dropped too far by then: take a lighter one, or "
             "go nearer, if the fish lets you.", lambda n: ("D", n.shy_m)),
        Slip("too little energy", "too little energy is left by then: take a heavier one, or "
             "go nearer, if the fish lets you.", lambda n: ("A", n.shy_m)),
    ),
)


def _energy_doubt(n: Numbers, *, speed: float = 2.0, area: float = 2.0, join: Any = np.hypot,
                  ) -> float:
    """Relative doubt of the energy at the range [1]."""
    slowing = n["shaft"][0] / _drag_length(n)
    return float(join(speed * n.speed_doubt_percent, area * slowing * n.area_doubt_percent) / 100)


def _around(n: Numbers, doubt: float) -> tuple[float, float]:
    energy = n["arrival"][1]
    return energy * (1 - doubt), energy * (1 + doubt)


INTERVAL = IntervalItem(
    key="interval", title="Energy with its doubt", variable="energy_interval_J", unit="J",
    points=2, page="flight/speed", uses=("shaft", "area", "arrival"), tolerance=0.005,
    goal="Carry the doubt of speed and drag through to the energy that arrives.",
    outside="flight::speed after 3 m with a drag length of 5 m, v0 e^(-x/L)",
    right=lambda n: _around(n, _energy_doubt(n)),
    slips=(
        Slip("sum for root-sum-square", "the two doubts were added, as if they always came "
             "together; square, add, and take the root.",
             lambda n: _around(n, _energy_doubt(n, join=lambda a, b: a + b))),
        Slip("speed counted once", "energy goes with the square of the speed: the speed's doubt "
             "counts twice.", lambda n: _around(n, _energy_doubt(n, speed=1.0))),
        Slip("half of it on each side", "the whole doubt goes to each side, not half of it.",
             lambda n: _around(n, _energy_doubt(n) / 2)),
        Slip("speed alone", "the doubt about the drag area is missing; add its square under the "
             "root.",
             lambda n: _around(n, _energy_doubt(n, area=0.0))),
        Slip("area counted once", "the area stands in the exponent of the speed, and the energy "
             "has its square: twice the way over the drag length.",
             lambda n: _around(n, _energy_doubt(n, area=1.0))),
        Slip("high before low", "the two ends are in the wrong order: low first.",
             lambda n: _around(n, _energy_doubt(n))[::-1]),
        Slip("hundred forgotten", "a doubt of ten per cent is a tenth: divide it by a hundred.",
             lambda n: _around(n, 100 * _energy_doubt(n))),
    ),
)

SAFETY = ChoiceItem(
    key="safety_choice", title="Before you shoot", variable="before_the_shot", unit="", points=2,
    page="flight/range", tolerance=0.0, letters="ABCDEF",
    goal="Decide when a shot is not taken.",
    outside="flight::test_practice_single_wrap_range_lies_seven_metres_from_the_diver",
    right=lambda n: "ADE",
    slips=(
        Slip("range as safe distance", "B takes the practical range for a safe distance; a shaft "
             "wounds far beyond it.", lambda n: "ABDE"),
        Slip("line as a leash", "C trusts the line to stop every shaft; a line breaks, and the "
             "shaft flies on.", lambda n: "ACDE"),
        Slip("shot at a shape", "F shoots at a shape; wait until you see what it is.",
             lambda n: "ADEF"),
        Slip("partner forgotten", "something is missing: think of who else is in the water.",
             lambda n: "DE"),
        Slip("background forgotten", "something is missing: think of what lies behind the fish.",
             lambda n: "AE"),
        Slip("law forgotten", "something is missing: think of what you may shoot, and where.",
             lambda n: "AD"),
    ),
)

EXERCISE = Exercise(
    key="flight",
    version="1",
    pages={
        "flight/drag": "What holds it back",
        "flight/speed": "Speed, energy and time",
        "flight/drop": "How far it drops",
        "flight/mask": "Where the fish seems to be",
        "flight/range": "The practical range",
    },
    safety={
        "flight/drag": "A shaft that looks slow still wounds.",
        "flight/speed": "Whatever is in line with the barrel is in danger, far beyond the range.",
        "flight/drop": "Never raise the muzzle over somebody to hold over a drop.",
        "flight/mask": "If you cannot tell how far away it is, do not shoot.",
        "flight/range": "Know where your partner is and what is behind the fish, or do not shoot.",
    },
    draws=(
        Draw("shaft_mm", "diameter of your shaft", (6.5, 7.0, 7.5, 8.0)),
        Draw("shaft_cm", "length of your shaft", (140, 145, 150, 155, 160, 165, 170)),
        Draw("wing_mm2", "area that the folded wing turns to the water", (16, 18, 20, 22, 24)),
        Draw("muzzle_m_s", "speed at the muzzle, roller gun", tuple(range(22, 31))),
        Draw("slower_m_s", "", (4, 5, 6)),
        Draw("tip_range_m", "range, from muzzle to tip", (4.0, 4.25, 4.5, 4.75, 5.0, 5.25, 5.5)),
        Draw("water_C", "temperature of the sea", tuple(range(10, 30, 2))),
        Draw("line_mm", "diameter of the shooting line", (1.5, 1.6, 1.7, 1.8, 1.9)),
        Draw("allowed_cm", "drop that you allow", (6, 7, 8, 9, 10)),
        Draw("fish_m", "true distance of a fish from your mask", (3.5, 4.0, 4.5, 5.0, 5.5, 6.0)),
        Draw("seen_deg", "angle off straight ahead at which you see another", (25, 30, 35, 40, 45)),
        Draw("least_J", "energy that must be left", (35, 40, 45, 50)),
        Draw("fish_ms", "time until the fish is gone", (150, 175, 200, 225, 250)),
        Draw("reach_m", "range at which the line ends", (4.8, 5.2, 5.6, 6.0, 6.4)),
        Draw("drop_range_m", "range at which it has dropped too far", (4.9, 5.3, 5.7, 6.1, 6.5)),
        Draw("speed_doubt_percent", "doubt about the speed at the muzzle", (4, 5, 6)),
        Draw("area_doubt_percent", "doubt about the drag area", (25, 30, 35)),
        Draw("shy_m", "the fish lets you come no nearer than", (3.5, 4.0, 4.5, 5.0)),
        Draw("launch_J", "energy that your band gives any shaft", (120, 130, 140, 150, 160)),
    ),
    derive=_follow,
    meanings={
        "conventional_m_s": "speed at the muzzle, conventional gun",
        "density_kg_m3": "density of the sea",
        "viscosity_mm2_s": "viscosity of the sea over its density",
        "index": "refractive index of the sea",
        "other_mm2": "drag area of the blunt tail and of the line, towed over half the way",
        "design_drop_cm": "design: drop at most",
        "design_J": "design: energy at least",
        "design_reach_m": "design: the line reaches",
    },
    items=(SHAFT, FRICTION, AREA, SPEED_AT, ARRIVAL, PLOT, DROP, READ, MASK, LIMITS, DESIGN,
           INTERVAL, SAFETY),
)
