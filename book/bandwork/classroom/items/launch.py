"""The exercise `launch`: from the energy in a band to a shaft that leaves fast, straight and safe.

Right answers come from the library: masses, loads and the losses on the way are its own, and the
school formulas between them are those of the book's pages. A shaft for the shelf is judged by the
full equation of motion.
"""

from dataclasses import replace
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from bandwork.classroom.checks import (
    ChoiceItem,
    DesignItem,
    Drawn,
    Exercise,
    FunctionItem,
    IntervalItem,
    Item,
    PlotItem,
    RowItem,
    Slip,
)
from bandwork.classroom.learner import Draw, Numbers
from bandwork.components import Shaft
from bandwork.handbook import lookup
from bandwork.launch import (
    Launch,
    ShotConditions,
    barrel_load,
    euler_load,
    flex_ratio,
    launch_many,
)
from bandwork.stretch import Band, Barrel, cut_length_for_load, notch_load, stored_energy
from bandwork.units import STANDARD_GRAVITY

BORE = 0.003
DIAMETERS_MM = (6.5, 7.0, 7.5, 8.0)
BEYOND_BARREL_CM = (30.0, 40.0, 50.0, 60.0)
BEHIND_CM = 20.0
ROLLER_AHEAD_CM = 2.0
LEAST_AHEAD_CM = 15.0
LETTERS = "ABCD"
CURVE_TOLERANCE = 0.02


class _Limits(NamedTuple):
    """What a shaft from the shelf must keep to."""

    speed: float
    flex: float
    kick: float


def _gun(outer_mm: float, barrel_cm: float, friction: float) -> tuple[Band, Barrel]:
    band = Band(outer_mm / 1e3, BORE, barrel_cm / 2e2 + lookup("rule.half_barrel_plus").value)
    return band, Barrel(length=barrel_cm / 1e2, sheave_friction=friction)


@lru_cache(maxsize=256)
def _loaded(outer_mm: float, barrel_cm: float, friction: float) -> dict[str, Any]:
    """Return what is known of the loaded gun, as the learner reads it."""
    band, barrel = _gun(outer_mm, barrel_cm, friction)
    return {
        "relaxed_cm": round(float(band.relaxed_length) * 100, 1),
        "track_cm": round(float(barrel.upper_run) * 100, 1),
        "band_g": round(float(band.mass) * 1000),
        "load_N": round(float(notch_load(band, barrel))),
        "stored_J": round(float(stored_energy(band, barrel))),
    }


@lru_cache(maxsize=4096)
def _shelf(outer_mm: float, barrel_cm: float, friction: float, hysteresis_percent: float,
           line_pull: float, wishbone_g: float) -> Launch:
    """Shoot every shaft of the shelf: diameters down, lengths across."""
    band, barrel = _gun(outer_mm, barrel_cm, friction)
    diameters, lengths = np.meshgrid(DIAMETERS_MM, np.add(barrel_cm, BEYOND_BARREL_CM),
                                     indexing="ij")
    given = ShotConditions(hysteresis_loss=hysteresis_percent / 100, line_pull=line_pull,
                           wishbone_mass=wishbone_g / 1e3)
    return launch_many(band, Shaft(diameters / 1e3, lengths / 1e2), barrel, conditions=given)


def _shots(n: Numbers) -> Launch:
    return _shelf(n.outer_diameter_mm, n.barrel_cm, n.roller_friction, n.hysteresis_percent,
                  n.line_pull_N, n.wishbone_g)


AHEAD_CM = tuple(beyond - BEHIND_CM - ROLLER_AHEAD_CM for beyond in BEYOND_BARREL_CM)
"""How far the tip of each length stands ahead of the roller when loaded [cm]."""


def _limits(shots: Launch, thicker: int, longer: int) -> _Limits:
    """Return limits that one of the middle shafts keeps, and a heavier one breaks by its kick.

    The thicker of the two where the thinner comes near the ratio from which a shaft whips.
    """
    length = 1 + longer
    near = 0.9 * lookup("shaft.whip_ratio").value
    diameter = 1 + max(thicker, int(shots.flex_ratio[1, length] > near))
    flex = np.ceil(shots.flex_ratio[diameter, length] * 103) / 100
    kick = np.ceil(shots.recoil_impulse[diameter, length] * 10.15) / 10
    long_enough = np.array(AHEAD_CM) >= LEAST_AHEAD_CM
    kicking = (shots.recoil_impulse > kick) & (shots.flex_ratio <= flex) & long_enough
    speed = np.floor(10 * (shots.muzzle_speed[kicking].max() - 0.1)) / 10
    return _Limits(float(speed), float(flex), float(kick))


def _derived(n: Numbers, learner: str) -> dict[str, Any]:
    """Return what follows from the draws: the gun's load, energy and losses, by the library."""
    shots = _shots(n)
    own = DIAMETERS_MM.index(n.shaft_diameter_mm), BEYOND_BARREL_CM.index(n.beyond_barrel_cm)
    share = 100 / shots.energy.stored
    limits = _limits(shots, *divmod(int(n.target), 2))
    return {
        **_loaded(n.outer_diameter_mm, n.barrel_cm, n.roller_friction),
        "shaft_length_cm": n.barrel_cm + n.beyond_barrel_cm,
        "roller_percent": round(float((shots.energy.friction * share)[own]), 1),
        "water_percent": round(float((shots.energy.drag * share)[own]), 1),
        "thrust_N": round(float(shots.peak_thrust[own])),
        "least_speed_mps": limits.speed,
        "most_flex": limits.flex,
        "most_kick_Ns": limits.kick,
    }


def _steel(n: Numbers, diameter_mm: float | None = None) -> Shaft:
    across = n.shaft_diameter_mm if diameter_mm is None else diameter_mm
    return Shaft(across / 1e3, n.shaft_length_cm / 1e2)


def _times(factor: float) -> Any:
    return lambda n: float(_steel(n).mass) * factor


SHAFT_MASS = Item(
    key="shaft_mass", title="Mass of the shaft", variable="shaft_kg",
    unit="kg", points=1, page="launch/speed", tolerance=0.005,
    goal="Work out what a shaft weighs from its diameter and length.",
    outside="trim::test_mass_of_round_steel_by_the_metre",
    right=lambda n: float(_steel(n).mass),
    slips=(
        Slip("radius for diameter", "the formula with the quarter wants the diameter; with the "
             "radius there is no quarter.", _times(0.25)),
        Slip("diameter as radius", "the diameter went in where a radius belongs; divide the area "
             "by four.", _times(4.0)),
        Slip("square forgotten", "square the diameter: twice as thick is four times as heavy. "
             "Squared is **2.", lambda n: float(_steel(n).mass) * 1e3 / n.shaft_diameter_mm),
        Slip("doubled for squared", "the diameter was doubled, not squared; squared is **2, with "
             "two stars.", lambda n: float(_steel(n).mass) * 2e3 / n.shaft_diameter_mm),
        Slip("water for steel", "this is the mass of the water that the shaft displaces; take the "
             "density of steel.", lambda n: float(_steel(n).volume) * 1000),
        Slip("pi forgotten", "pi is missing: the area of a round is multiplied by it.",
             _times(1 / np.pi)),
        Slip("barrel for shaft", "this shaft is as long as the barrel; it stands out at both ends, "
             "so take its own length.",
             lambda n: float(_steel(n).mass) * n.barrel_cm / n.shaft_length_cm),
    ),
)


def _moving(n: Numbers, band: float = 1 / 3, wishbone: float = 1.0) -> float:
    return float(n["shaft_mass"] + wishbone * n.wishbone_g / 1e3 + band * n.band_g / 1e3)


MOVING_MASS = Item(
    key="moving_mass", title="Moving mass", variable="moving_kg",
    unit="kg", points=1, page="launch/speed", tolerance=0.005, uses=("shaft_mass",),
    goal="Work out which mass the energy has to bring up to speed.",
    outside="launch::share of a spring's mass that moves with its end",
    right=_moving,
    slips=(
        Slip("whole band", "the whole band does not move as fast as the shaft; its anchored end "
             "stands still. Take a third of it.", lambda n: _moving(n, 1.0)),
        Slip("half of the band", "half of the mass would be right for its speed on average; the "
             "energy goes with the square of the speed, and that makes a third.",
             lambda n: _moving(n, 0.5)),
        Slip("band forgotten", "the rubber moves too; add a third of its mass.",
             lambda n: _moving(n, 0.0)),
        Slip("third of one leg", "this is a third of one leg; the mass given is that of both, so "
             "do not halve it.", lambda n: _moving(n, 1 / 6)),
        Slip("wishbone forgotten", "the wishbone moves as fast as the shaft; add all of it.",
             lambda n: _moving(n, wishbone=0.0)),
        Slip("third of the sum", "only the band counts by a third; shaft and wishbone count in "
             "full. Look at the brackets.", lambda n: float(
                 (n["shaft_mass"] + n.wishbone_g / 1e3 + n.band_g / 1e3) / 3)),
        Slip("grams for kilograms", "grams were added to kilograms; divide them by a thousand "
             "first.", lambda n: float(n["shaft_mass"] + n.wishbone_g + n.band_g / 3)),
    ),
)


def _budget(n: Numbers, percent: float = 0.01, way: float = 0.01, left: str = "all",
            ) -> tuple[float, float, float, float, float]:
    stored = n.stored_J
    rubber, roller, water = (stored * percent * part for part in (
        n.hysteresis_percent, n.roller_percent, n.water_percent))
    line = n.line_pull_N * n.track_cm * way
    drives = {"all": stored - rubber - roller - water - line,
              "line forgotten": stored - rubber - roller - water,
              "line added": stored - rubber - roller - water + line,
              "rubber forgotten": stored - roller - water - line,
              "water forgotten": stored - rubber - roller - line}[left]
    return rubber, roller, water, line, drives


def _one_after_another(n: Numbers) -> tuple[float, float, float, float, float]:
    rubber = n.stored_J * n.hysteresis_percent / 100
    roller = (n.stored_J - rubber) * n.roller_percent / 100
    water = (n.stored_J - rubber - roller) * n.water_percent / 100
    line = n.line_pull_N * n.track_cm / 100
    return rubber, roller, water, line, n.stored_J - rubber - roller - water - line


BUDGET = RowItem(
    key="budget", title="Where the energy goes", variable="budget", length=5,
    unit="J", points=2, page="launch/energy",
    goal="Draw up the energy budget of a shot.",
    outside="launch::test_sympys_lagrangian_mechanics_and_another_integrator_shoot_alike",
    right=_budget,
    slips=(
        Slip("hundred forgotten", "ten per cent is a tenth: divide every per cent by a hundred.",
             lambda n: _budget(n, percent=1.0)),
        Slip("track in centimetres", "newtons times metres are joules; the track went in as "
             "centimetres.", lambda n: _budget(n, way=1.0)),
        Slip("line forgotten", "the line pulls all along the track; take its work off too.",
             lambda n: _budget(n, left="line forgotten")),
        Slip("line added", "the line holds the shaft back; its work is taken off, not added.",
             lambda n: _budget(n, left="line added")),
        Slip("rubber forgotten", "what the rubber keeps as heat does not drive anything; take it "
             "off too.", lambda n: _budget(n, left="rubber forgotten")),
        Slip("water forgotten", "what the water gets is lost to the shaft; take it off too.",
             lambda n: _budget(n, left="water forgotten")),
        Slip("each of what is left", "each per cent was taken of what the one before left; all of "
             "them are of the stored energy.", _one_after_another),
    ),
)


def _speed(energy: Any, mass: float) -> Any:
    return np.sqrt(2 * np.asarray(energy) / mass)


SPEED = FunctionItem(
    key="speed", title="Speed from energy", variable="speed_mps",
    unit="m/s", points=2, page="launch/speed", uses=("moving_mass",),
    inputs=lambda n: (100.0, 200.0, 300.0),
    goal="Work out a speed from an energy and the mass that it moves.",
    outside="launch::speed of what a pressed spring shoots",
    right=lambda n: lambda energy: _speed(energy, n["moving_mass"]),
    slips=(
        Slip("half forgotten", "the energy of motion is half of mass times speed squared; the two "
             "belongs above the line.", lambda n: lambda e: _speed(e / 2, n["moving_mass"])),
        Slip("half on the wrong side", "the two came below the line; it belongs above.",
             lambda n: lambda e: _speed(e / 4, n["moving_mass"])),
        Slip("root forgotten", "this is the square of the speed; take the root.",
             lambda n: lambda e: 2 * e / n["moving_mass"]),
        Slip("brackets of the root", "the root reaches over the mass too; put the whole fraction "
             "inside its brackets.", lambda n: lambda e: np.sqrt(2 * e) / n["moving_mass"]),
        Slip("upside down", "mass and energy are the wrong way round: more energy, more speed.",
             lambda n: lambda e: np.sqrt(2 * n["moving_mass"] / e)),
        Slip("mass in grams", "the mass went in as grams; joules go with kilograms.",
             lambda n: lambda e: _speed(e, 1e3 * n["moving_mass"])),
        Slip("weight for mass", "the mass was multiplied by gravity; a shaft in a track has to be "
             "moved, not lifted.",
             lambda n: lambda e: _speed(e, STANDARD_GRAVITY * n["moving_mass"])),
        Slip("the same for every energy", "your function gives the same speed for every energy; "
             "use the energy_J of its first line.",
             lambda n: lambda e: 0 * e + _speed(250.0, n["moving_mass"])),
    ),
)


def _held(n: Numbers) -> float:
    """Muzzle speed [m/s] of a gun that is held fast, by the learner's own function."""
    return float(n["speed"](abs(float(n["budget"][4]))))


def _numbers_of_shot(n: Numbers, *, mass: str = "shaft_mass", of: float | None = None,
                     energy: float = 0.5, way: float = 0.01, time: float = 2.0,
                     ) -> tuple[float, float, float]:
    """Efficiency [%], mean push on the shaft [N] and time on the track [ms] of an even push."""
    speed, track = _held(n), n.track_cm * way
    motion = energy * n[mass] * speed**2
    return (100 * motion / (n.stored_J if of is None else of), motion / track,
            1000 * time * track / speed)


SHOT = RowItem(
    key="shot", title="Efficiency, push and time", variable="shot", length=3,
    unit="%, N and ms", points=2, page="launch/speed", tolerance=0.005,
    uses=("shaft_mass", "moving_mass", "budget", "speed"),
    goal="Work out efficiency, mean push and time on the track from the muzzle speed.",
    outside="launch::test_a_steady_pull_against_quadratic_drag_comes_near_its_terminal_speed_"
            "exactly",
    right=_numbers_of_shot,
    slips=(
        Slip("moving mass for shaft", "only the shaft flies to the fish; its energy is that of "
             "the shaft's own mass.", lambda n: _numbers_of_shot(n, mass="moving_mass")),
        Slip("half forgotten", "the energy of motion has a half in front.",
             lambda n: _numbers_of_shot(n, energy=1.0)),
        Slip("of what drives", "efficiency is counted from the energy that loading stored, not "
             "from what is left of it.",
             lambda n: _numbers_of_shot(n, of=float(n["budget"][4]))),
        Slip("square forgotten", "in the shaft's energy the speed is squared, **2.", lambda n: (
            _numbers_of_shot(n)[0] / _held(n), _numbers_of_shot(n)[1] / _held(n),
            _numbers_of_shot(n)[2])),
        Slip("track in centimetres", "the track went in as centimetres; metres per second want "
             "metres.", lambda n: _numbers_of_shot(n, way=1.0)),
        Slip("full speed all the way", "the shaft starts from rest, so with an even push its mean "
             "speed is half of the last one.", lambda n: _numbers_of_shot(n, time=1.0)),
        Slip("half time", "the time is a quarter of what it should be: two comes above the line, "
             "not below it.", lambda n: _numbers_of_shot(n, time=0.5)),
        Slip("load for mean push", "this is the pull in the notch, before the shot; the mean push "
             "is the shaft's energy over its way.", lambda n: (
                 _numbers_of_shot(n)[0], float(n.load_N), _numbers_of_shot(n)[2])),
        Slip("seconds", "the time is in seconds; it is wanted in milliseconds.", lambda n: (
            *_numbers_of_shot(n)[:2], _numbers_of_shot(n)[2] / 1000)),
    ),
)


def _shared(n: Numbers, gun: float, power: float = 0.5) -> float:
    """Muzzle speed [m/s] when gun and shaft share the energy."""
    return float(_held(n) * (gun / (gun + n["shaft_mass"])) ** power)


def _recoiling(n: Numbers, gun: float) -> tuple[float, float]:
    speed = _shared(n, gun)
    return speed, float(n["shaft_mass"] * speed / gun)


RECOIL = RowItem(
    key="recoil", title="Held or free", variable="recoil", length=4,
    unit="m/s, m/s, J and m/s", points=2, page="launch/recoil", tolerance=0.005,
    uses=("shaft_mass", "moving_mass", "budget", "speed"),
    goal="Work out how fast a gun recoils and what that costs the shaft.",
    outside="launch::test_two_bodies_share_the_energy_against_their_masses",
    right=lambda n: _recoil_row(n),
    slips=(
        Slip("held speed for the free gun", "this shaft leaves as if the gun were held fast; put "
             "in the root with the gun's share of the two masses.", lambda n: (
                 _held(n), n["shaft_mass"] * _held(n) / n.gun_kg,
                 n.gun_kg / 2 * (n["shaft_mass"] * _held(n) / n.gun_kg) ** 2,
                 n["shaft_mass"] * _held(n) / (n.gun_kg + n.hand_kg))),
        Slip("root of the share forgotten", "energy is shared, and speed is the root of energy: "
             "take the root of the share.", lambda n: _recoil_row(n, power=1.0)),
        Slip("share of the gun", "the light one gets the larger share of the energy: the gun's "
             "mass belongs above the line.", lambda n: _recoil_row(n, swapped=True)),
        Slip("same speed", "the two get the same momentum, not the same speed; multiply by the "
             "shaft's mass and divide by the gun's.", lambda n: (
                 _recoil_row(n)[0], _recoil_row(n)[0], n.gun_kg / 2 * _recoil_row(n)[0] ** 2,
                 _shared(n, n.gun_kg + n.hand_kg))),
        Slip("masses upside down", "the heavy gun must come out slower than the shaft; the two "
             "masses are the wrong way round.", lambda n: _upside_down(n)),
        Slip("energies equal", "this gives gun and shaft the same energy; they get the same "
             "momentum: divide the shaft's momentum by the gun's mass.",
             lambda n: _equal_energies(n)),
        Slip("moving mass for shaft", "on a roller gun as much rubber runs forward as back: "
             "leave the bands out and take the shaft's mass of item 1.",
             lambda n: _recoil_row(Numbers({**n, "shaft_mass": n["moving_mass"]}))),
        Slip("half forgotten", "the energy of the gun's motion has a half in front.", lambda n: (
            *_recoil_row(n)[:2], 2 * _recoil_row(n)[2], _recoil_row(n)[3])),
        Slip("hand forgotten", "the last one is for a gun in a hand; add the hand's mass to the "
             "gun's.", lambda n: (*_recoil_row(n)[:3], _recoil_row(n)[1])),
        Slip("speed kept with the hand", "with the hand more mass is behind the shaft, so it "
             "leaves a little faster; work its speed out anew.", lambda n: (
                 *_recoil_row(n)[:3],
                 n["shaft_mass"] * _shared(n, n.gun_kg) / (n.gun_kg + n.hand_kg))),
    ),
)


def _recoil_row(n: Numbers, power: float = 0.5, swapped: bool = False) -> tuple[float, ...]:
    """Free shaft's speed, gun's speed, gun's energy, and the gun's speed with the hand."""
    def pair(gun: float) -> tuple[float, float]:
        speed = _shared(n, gun, power)
        if swapped:
            speed = _held(n) * (n["shaft_mass"] / (gun + n["shaft_mass"])) ** 0.5
        return speed, n["shaft_mass"] * speed / gun

    speed, back = pair(n.gun_kg)
    return speed, back, n.gun_kg / 2 * back**2, pair(n.gun_kg + n.hand_kg)[1]


def _upside_down(n: Numbers) -> tuple[float, ...]:
    speed, gun, both = _shared(n, n.gun_kg), n.gun_kg, n.gun_kg + n.hand_kg
    back = speed * gun / n["shaft_mass"]
    return speed, back, gun / 2 * back**2, _shared(n, both) * both / n["shaft_mass"]


def _equal_energies(n: Numbers) -> tuple[float, ...]:
    speed, gun, both = _shared(n, n.gun_kg), n.gun_kg, n.gun_kg + n.hand_kg
    back = speed * (n["shaft_mass"] / gun) ** 0.5
    return speed, back, gun / 2 * back**2, _shared(n, both) * (n["shaft_mass"] / both) ** 0.5


def _masses(n: Numbers) -> Any:
    return np.array([n.gun_kg, n.gun_kg + n.hand_kg])


def _recoil_speeds(n: Numbers, masses: Any) -> Any:
    return np.array([_recoiling(n, float(one))[1] for one in np.atleast_1d(masses)])


def _plot_faults(drawn: Drawn, n: Numbers) -> str:
    masses, speeds = _masses(n), _recoil_speeds(n, _masses(n))
    if not drawn.x_label or not drawn.y_label:
        return "no axis labels"
    there = drawn.has_points(masses, speeds)
    if drawn.has_points(speeds, masses) and (not there or "m/s" in drawn.x_label):
        return "axes swapped"
    if not there:
        return "points missing"
    if "kg" not in drawn.x_label or "m/s" not in drawn.y_label:
        return "no unit"
    if not drawn.lines():
        return "no curve"
    at = np.linspace(masses[0], masses[1], 9)
    return "" if drawn.follows(lambda x: _recoil_speeds(n, x), at, CURVE_TOLERANCE,
                               len(at)) else "curve elsewhere"


def _plot(n: Numbers, *, swap: bool = False, labels: tuple[str, str] = (
        "recoiling mass in kg", "recoil speed in m/s"), points: bool = True, curve: bool = True,
        factor: float = 1.0) -> Any:
    """Draw the recoil over the mass as a learner would, with one thing wrong if asked."""
    from matplotlib.figure import Figure

    axes = Figure().add_subplot()
    masses = _masses(n)
    if points:
        pair = masses, _recoil_speeds(n, masses)
        axes.plot(*(pair[::-1] if swap else pair), "o")
    if curve:
        along = np.linspace(n.gun_kg, n.gun_kg + n.hand_kg, 50)
        pair = along, factor * _recoil_speeds(n, along)
        axes.plot(*(pair[::-1] if swap else pair))
    axes.set_xlabel(labels[swap])
    axes.set_ylabel(labels[not swap])
    return axes


RECOIL_PLOT = PlotItem(
    key="recoil_plot", title="Plot of the recoil", variable="axes",
    unit="", points=2, page="launch/recoil", tolerance=CURVE_TOLERANCE,
    uses=("shaft_mass", "moving_mass", "budget", "speed"),
    faults=_plot_faults,
    goal="Draw how the recoil falls with the mass that takes it up.",
    outside="launch::recoil of a skater of 88 kg who pushes off 54 kg at 2.5 m/s",
    right=_plot,
    slips=(
        Slip("no axis labels", "somebody else must be able to read it: label both axes.",
             lambda n: _plot(n, labels=("", ""))),
        Slip("points missing", "draw two marks: the gun alone, and the gun with the hand.",
             lambda n: _plot(n, points=False)),
        Slip("axes swapped", "the mass belongs on the level axis and the speed on the upright "
             "one.", lambda n: _plot(n, swap=True)),
        Slip("no unit", "say the units: the labels want kg and m/s.",
             lambda n: _plot(n, labels=("recoiling mass", "recoil speed"))),
        Slip("no curve", "draw the recoil as a smooth line, at 20 masses or more.",
             lambda n: _plot(n, curve=False)),
        Slip("curve elsewhere", "the line leaves the formula somewhere; work out the recoil at "
             "each of the masses, from the gun alone to the gun with the hand.",
             lambda n: _plot(n, factor=1.5)),
    ),
)


def _flex_row(n: Numbers, power: float = 4.0, factor: float = 1.0) -> Any:
    """Flex ratios of the four diameters at the learner's thrust and length."""
    got = np.array([flex_ratio(_steel(n, one), n.thrust_N) for one in DIAMETERS_MM])
    return factor * got * (np.array(DIAMETERS_MM) / 1e3) ** (4 - power)


def _even_load() -> float:
    """How many times Euler's load a rod bears that its own inertia loads."""
    shaft = Shaft(0.007, 1.6)
    return float(1 / flex_ratio(shaft, euler_load(shaft)))


FLEX_TABLE = RowItem(
    key="flex_table", title="Flex ratio of four shafts", variable="flex_ratios", length=4,
    unit="", points=2, page="launch/flex",
    goal="Compare how much shafts bend in a shot, and see the fourth power of the diameter.",
    outside="launch::the same over Euler's",
    right=_flex_row,
    slips=(
        Slip("cube for fourth power", "the diameter goes in to the fourth power, **4.",
             lambda n: _flex_row(n, power=3.0)),
        Slip("square for fourth power", "the diameter was squared; for bending it goes in to the "
             "fourth power, **4.", lambda n: _flex_row(n, power=2.0)),
        Slip("radius for diameter", "the formula with 64 wants the diameter, not the radius.",
             lambda n: _flex_row(n, factor=16.0)),
        Slip("Euler alone", "this compares with Euler's load; the shaft's own inertia takes up "
             "the thrust bit by bit, so it bears 1.88 times as much.",
             lambda n: _flex_row(n, factor=_even_load())),
        Slip("multiplied by 1.88", "the shaft bears more than Euler's load, so 1.88 belongs below "
             "the line with it.", lambda n: _flex_row(n, factor=_even_load() ** 2)),
        Slip("upside down", "the thrust comes above the line and what the shaft bears below it.",
             lambda n: 1 / _flex_row(n)),
        Slip("pi not squared", "one pi is missing: it is squared in Euler's load, and stands once "
             "more in I.",
             lambda n: _flex_row(n, factor=np.pi)),
        Slip("length not squared", "the length goes in squared: twice as long bears a quarter.",
             lambda n: _flex_row(n, factor=100 / n.shaft_length_cm)),
        Slip("kgf for newton", "the thrust was turned into kgf; leave it in newtons.",
             lambda n: _flex_row(n, factor=1 / STANDARD_GRAVITY)),
        Slip("load for thrust", "the band's pull in the notch is more than what pushes the shaft; "
             "take the thrust.", lambda n: _flex_row(n, factor=n.load_N / n.thrust_N)),
        Slip("wrong order", "the row is in the wrong order: the thinnest comes first, and it bends "
             "most.", lambda n: _flex_row(n)[::-1]),
    ),
)


def _fault(n: Numbers, diameter: int, length: int) -> str:
    shots = _shots(n)
    at = diameter, length
    if AHEAD_CM[length] < LEAST_AHEAD_CM:
        return "too short"
    if shots.muzzle_speed[at] < n.least_speed_mps:
        return "too slow"
    if shots.flex_ratio[at] > n.most_flex:
        return "bends too much"
    if shots.recoil_impulse[at] > n.most_kick_Ns:
        return "kicks too hard"
    return ""


def _judged(design: tuple[str, str], n: Numbers) -> str:
    return _fault(n, LETTERS.index(design[0]), LETTERS.index(design[1]))


def _design_with(n: Numbers, fault: str) -> tuple[str, str]:
    """Return a shaft of the shelf whose first fault is this one."""
    return next((LETTERS[i], LETTERS[j]) for i in range(4) for j in range(4)
                if _fault(n, i, j) == fault)


CHOOSE_SHAFT = DesignItem(
    key="choose_shaft", title="Choose a shaft", variable="chosen_shaft",
    unit="", points=3, page="launch/flex", tolerance=0.0,
    asks=(("the diameter", LETTERS), ("the length", LETTERS)),
    faults=_judged,
    goal="Choose a shaft so that speed, flex and kick all stay within limits.",
    outside="launch::test_trade_7_mm_is_faster_and_7_5_mm_is_stiffer_and_carries_more",
    right=lambda n: _design_with(n, ""),
    slips=(
        Slip("too short", "its tip does not stand far enough ahead of the roller; take a longer "
             "shaft.", lambda n: _design_with(n, "too short")),
        Slip("too slow", "it leaves too slowly: too heavy for this band. A thinner or shorter one "
             "is faster.", lambda n: _design_with(n, "too slow")),
        Slip("bends too much", "its flex ratio is above the limit; a thicker or shorter one bends "
             "less.", lambda n: _design_with(n, "bends too much")),
        Slip("kicks too hard", "its kick is above the limit; a lighter shaft takes less momentum.",
             lambda n: _design_with(n, "kicks too hard")),
    ),
)


@lru_cache(maxsize=1024)
def _tube(outer_mm: float, barrel_cm: float, friction: float, tube_mm: float,
          height: float) -> tuple[float, float, float, float]:
    """Compression [N] and moment [N m] of the barrel: conventional both, then roller both."""
    band, barrel = _gun(outer_mm, barrel_cm, friction)
    roller = replace(barrel, outer_diameter=tube_mm / 1e3)
    plain = replace(roller, kind="conventional")
    short = replace(band, relaxed_length=cut_length_for_load(
        notch_load(band, roller), plain, band.outer_diameter, BORE))
    one, two = (barrel_load(rubber, gun, height, height)
                for rubber, gun in ((short, plain), (band, roller)))
    return (float(one.compression), float(one.bending_moment), float(two.compression),
            float(two.bending_moment))


def _height(n: Numbers) -> float:
    """Of the pull over the tube's middle [m]."""
    return float(n.tube_diameter_mm / 2 + n.shaft_height_mm) / 1e3


def _tube_row(n: Numbers, *, height: float | None = None, lower: float = -1.0,
              ratio: float | None = None, load: float | None = None) -> tuple[float, ...]:
    """Compression and moment, written out; `lower` is the sign of the lower run's moment."""
    pull = float(n.load_N) if load is None else load
    arm = _height(n) if height is None else height
    through = np.exp(n.roller_friction * np.pi) if ratio is None else ratio
    under = pull / through
    return pull, pull * arm, pull + under, (pull + lower * under) * arm


BARREL = RowItem(
    key="barrel", title="What the barrel bears", variable="barrel_bears", length=4,
    unit="N, N m, N and N m", points=2, page="launch/roller",
    goal="Compare compression and bending of a barrel rigged as a roller and as a conventional "
         "gun.",
    outside="launch::driving pull over half a turn of friction 0.05",
    right=lambda n: _tube(n.outer_diameter_mm, n.barrel_cm, n.roller_friction,
                          n.tube_diameter_mm, _height(n)),
    slips=(
        Slip("lower run forgotten", "under the barrel the lower run pulls too: it presses as well, "
             "and it bends the other way.", lambda n: (
                 *_tube_row(n)[:2], float(n.load_N), n.load_N * _height(n))),
        Slip("moments added", "the lower run lies under the tube and bends it the other way; take "
             "its moment off.", lambda n: _tube_row(n, lower=1.0)),
        Slip("friction forgotten", "with friction the lower run pulls less hard than the upper "
             "one; divide by the ratio.", lambda n: _tube_row(n, ratio=1.0)),
        Slip("friction the wrong way", "while loading, the lower run is the weaker one: divide by "
             "the ratio, do not multiply.",
             lambda n: _tube_row(n, ratio=float(np.exp(-n.roller_friction * np.pi)))),
        Slip("wrap in degrees", "the wrap went into the exponential without pi; half a turn is pi "
             "radians.", lambda n: _tube_row(n, ratio=float(np.exp(n.roller_friction)))),
        Slip("height over the top", "the arm counts from the middle of the tube, so add half of "
             "its diameter.", lambda n: _tube_row(n, height=n.shaft_height_mm / 1e3)),
        Slip("diameter for radius", "from the tube's middle to its top is half a diameter, not a "
             "whole one.",
             lambda n: _tube_row(n, height=(n.tube_diameter_mm + n.shaft_height_mm) / 1e3)),
        Slip("millimetres", "the arm went in as millimetres; newton metres want metres.",
             lambda n: _tube_row(n, height=1e3 * _height(n))),
        Slip("load in kgf", "the load is given in newtons already; do not divide it by gravity.",
             lambda n: _tube_row(n, load=n.load_N / STANDARD_GRAVITY)),
    ),
)

ROLLER_CHOICE = ChoiceItem(
    key="roller_choice", title="What is wrong in a proposal", variable="wrong_claims",
    unit="", points=2, page="launch/roller", tolerance=0.0, letters="ABCDEF",
    goal="Read a graph of pull over way, and see what is wrong in a proposal.",
    outside="launch::test_trade_a_roller_holds_more_energy_at_the_same_load_and_shoots_faster",
    right=lambda n: "BCE",
    slips=(
        Slip("loads not the same", "A is true: the two lines meet in the notch. That is what same "
             "load means.", lambda n: "ABCE"),
        Slip("roller thought slack", "D is true: look where the roller's line stands as the shaft "
             "leaves.", lambda n: "BCDE"),
        Slip("rubber thought equal", "F is true: the roller's leg also lies under the barrel, so "
             "it needs more rubber.", lambda n: "BCEF"),
        Slip("load taken for energy", "something is missing: energy is the area under a line, and "
             "the two areas differ.", lambda n: "CE"),
        Slip("drive thought as long", "something is missing: look where the pull of one of the "
             "two falls to nothing.", lambda n: "BE"),
        Slip("barrel weakened", "something is missing, and it is the dangerous one: think of what "
             "bends a barrel.", lambda n: "BC"),
    ),
)


def _doubts(n: Numbers) -> Any:
    return np.array([n.tube_doubt_percent, n.cut_doubt_percent, n.water_doubt_percent])


def _about(n: Numbers, percent: float) -> tuple[float, float]:
    return _held(n) * (1 - percent / 100), _held(n) * (1 + percent / 100)


def _root_sum_square(n: Numbers) -> float:
    return float(np.sqrt((_doubts(n) ** 2).sum()))


SPEED_INTERVAL = IntervalItem(
    key="speed_interval", title="Muzzle speed with its doubt", variable="speed_interval_mps",
    unit="m/s", points=2, page="launch/energy", uses=("budget", "moving_mass", "speed"),
    goal="Give a muzzle speed with its doubt instead of a bare number.",
    outside="launch::test_trade_a_16_mm_band_drives_a_7_5_mm_shaft_on_a_120_well",
    right=lambda n: _about(n, _root_sum_square(n) / 2),
    slips=(
        Slip("doubt of the energy", "this is the doubt of the energy; speed goes with its root, so "
             "its doubt in per cent is half as large.", lambda n: _about(n, _root_sum_square(n))),
        Slip("sum for root-sum-square", "the three doubts were simply added, as if they always "
             "came together; square, add, and take the root.",
             lambda n: _about(n, float(_doubts(n).sum()) / 2)),
        Slip("largest only", "only the largest doubt went in; all three count.",
             lambda n: _about(n, float(_doubts(n).max()) / 2)),
        Slip("squares left so", "the squares were added and left so; take the root.",
             lambda n: _about(n, float((_doubts(n) ** 2).sum()) / 2)),
        Slip("half of it on each side", "the whole doubt goes to each side, not half of it.",
             lambda n: _about(n, _root_sum_square(n) / 4)),
        Slip("per cent taken as m/s", "the doubt is in per cent, not in metres per second; take "
             "that share of the speed.", lambda n: (_held(n) - _root_sum_square(n) / 2,
                                   _held(n) + _root_sum_square(n) / 2)),
        Slip("hundred forgotten", "a doubt of ten per cent is a tenth: divide it by a hundred.",
             lambda n: _about(n, 50 * _root_sum_square(n))),
        Slip("high before low", "the two ends are in the wrong order: low first.",
             lambda n: _about(n, _root_sum_square(n) / 2)[::-1]),
    ),
)

SAFETY_CHOICE = ChoiceItem(
    key="safety_choice", title="First shot of a new set-up", variable="first_shot",
    unit="", points=2, page="launch/recoil", tolerance=0.0, letters="ABCDEF",
    goal="Decide how a new set-up is shot for the first time.",
    outside="launch::recoil of a gun of 4 kg that fires 20 g at 400 m/s",
    right=lambda n: "ACE",
    slips=(
        Slip("dry firing", "B lets all the energy go into wishbone, muzzle and hands: bands are "
             "never released without a shaft.", lambda n: "ABCE"),
        Slip("number as permission", "F takes a computed number for permission; nobody is ever "
             "ahead of a loaded gun, at any distance.", lambda n: "ACEF"),
        Slip("face behind the gun", "D puts bones and teeth where the gun recoils; keep face and "
             "body out of the line behind the handle.", lambda n: "ACDE"),
        Slip("no inspection", "something is missing that comes before every loading: think of what "
             "could break.", lambda n: "AC"),
        Slip("nobody kept clear", "something is missing: think of what lies ahead of the muzzle, "
             "and behind the target.", lambda n: "AE"),
        Slip("grip not thought of", "something is missing: think of what takes up the kick.",
             lambda n: "CE"),
    ),
)

EXERCISE = Exercise(
    key="launch",
    version="1",
    pages={
        "launch/energy": "Where the energy goes",
        "launch/speed": "How fast the shaft leaves",
        "launch/recoil": "The kick",
        "launch/flex": "A shaft that bends",
        "launch/roller": "Roller against conventional",
    },
    draws=(
        Draw("outer_diameter_mm", "outer diameter of your latex tube, bore 3 mm",
             (15.0, 15.5, 16.0, 16.5)),
        Draw("barrel_cm", "barrel of your roller gun", (90, 100, 110, 120, 130)),
        Draw("shaft_diameter_mm", "diameter of your shaft", DIAMETERS_MM),
        Draw("beyond_barrel_cm", "", BEYOND_BARREL_CM[1:3]),
        Draw("wishbone_g", "mass of the wishbone with its knots, wet", (10, 14, 18)),
        Draw("hysteresis_percent", "of the stored energy, what the rubber keeps as heat",
             (8, 12)),
        Draw("roller_friction", "friction coefficient of the roller", (0.04, 0.06, 0.08)),
        Draw("line_pull_N", "pull of the shooting line on the shaft, all along the track",
             (4, 6)),
        Draw("gun_kg", "mass of the gun without shaft, with the water in it",
             (1.8, 2.0, 2.2, 2.4, 2.6, 2.8, 3.0, 3.2)),
        Draw("hand_kg", "mass of hand and forearm that recoil with it",
             (1.3, 1.5, 1.7, 1.9, 2.1)),
        Draw("tube_diameter_mm", "outer diameter of the barrel's tube", (26, 27, 28, 29, 30)),
        Draw("shaft_height_mm", "how far the shaft's middle lies above the top of that tube",
             (3, 4, 5)),
        Draw("target", "", (0, 1, 2, 3)),
        Draw("tube_doubt_percent", "doubt of the energy from the tube's stiffness",
             (12, 13, 14, 15, 16)),
        Draw("cut_doubt_percent", "doubt of the energy from cutting and tying", (6, 7, 8)),
        Draw("water_doubt_percent", "doubt of the energy from what the water takes", (7, 8, 9)),
    ),
    derive=_derived,
    meanings={
        "shaft_length_cm": "length of your shaft, from tail to tip",
        "relaxed_cm": "relaxed length of one leg",
        "track_cm": "track: the way of the wishbone from the notch to the roller",
        "band_g": "mass of rubber in both legs",
        "load_N": "pull in the notch",
        "stored_J": "energy that loading stored",
        "roller_percent": "of the stored energy, what the roller takes",
        "water_percent": "of the stored energy, what the water takes on the track",
        "thrust_N": "greatest push of the wishbone on your shaft",
        "least_speed_mps": "the club's least muzzle speed (invented)",
        "most_flex": "the club's greatest flex ratio (invented)",
        "most_kick_Ns": "the club's greatest kick, in newton seconds (invented)",
    },
    safety={
        "launch/energy": "A band or wishbone that breaks lets this energy go at the hand and the "
                         "face.",
        "launch/speed": "Never release a band without a shaft in the gun.",
        "launch/recoil": "Keep face and body out of the line behind the handle.",
        "launch/flex": "A shaft that bends can leave its track sideways: nobody beside the muzzle "
                       "either.",
        "launch/roller": "Never drill, file or thin a barrel to make it lighter.",
    },
    items=(SHAFT_MASS, MOVING_MASS, BUDGET, SPEED, SHOT, RECOIL, RECOIL_PLOT, FLEX_TABLE,
           CHOOSE_SHAFT, BARREL, ROLLER_CHOICE, SPEED_INTERVAL, SAFETY_CHOICE),
)
