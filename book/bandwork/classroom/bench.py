"""The bench of the last exercise: a shelf of parts, and what a set-up from it does.

`shelf` makes a learner's shelf and what the fish and the place ask out of the numbers drawn, so
that one set-up at least keeps every limit. `Bench` is what the notebook calls, and the checks call
the same, so that both see one prediction. Divers, fish, places and parts are invented.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache, wraps
from itertools import combinations, permutations
from typing import Any

import numpy as np

from bandwork.classroom.checks import DOTS, AnswerError, accept_letter, accept_number
from bandwork.classroom.learner import Numbers, Sentence
from bandwork.components import (
    RELAXED_LENGTHS,
    Band,
    Barrel,
    Diver,
    Shaft,
    ShootingLine,
    Water,
)
from bandwork.flight import DragCoefficients, fly
from bandwork.handbook import lookup
from bandwork.line import reach
from bandwork.rubber import RubberLaw, handbook_rubber, scaled
from bandwork.setup import Assumptions, Quarry, Setup, predict, predict_many
from bandwork.stretch import cut_length_for_load, notch_load
from bandwork.trim import Trim, gun_trim
from bandwork.units import STANDARD_GRAVITY
from bandwork.validation import FloatArray, InputError, within

BORE_MM = 3.0
NOTCH_CM = 3.0
ROLLER_CM = 2.0
AROUND_ROLLER_CM = 3.0
"""Of a leg, what lies on the roller."""
OVERHANG_CM = 25.0
ANCHOR_CM = 3.0
HOLE_CM = 1.0
STIFFNESS_SHARE = 50.0
"""Stiffness EA of the lines on the shelf over their breaking strength. Invented."""
WEAK_MM, STRONG_MM = 1.0, 2.0
SHAFTS_MM = (6.5, 7.0, 7.5, 8.0)
MOST_STRETCH = lookup("rubber.crystallisation_stretch").value
FARTHEST = lookup("rubber.test_end").value
ROUNDING = 1e-9
CRIMP_SHARE = lookup("termination.crimp").value
ASKS = (("the tube", "ABC"), ("the relaxed length", ""), ("the barrel", "ABCD"),
        ("the shaft", "ABCD"), ("the line", "ABCD"), ("the load assist", ""))
"""The fields of a set-up: letters from the shelf, lengths in cm."""
MOVED = ("tube", "cut", "roller", "water")
"""The inputs of the load that are in doubt, in the order of their columns."""
CLAIMS = "ABCDEFG"
WRONG_CLAIMS = tuple(combinations(range(len(CLAIMS)), 3))
GUNS = "ABCDEF"
_ORDERS = {count: tuple(permutations(range(count))) for count in (3, 4, 6)}
_BUDGET = ("bands", "recoil", "drag", "hysteresis", "line")
_NAMES = ("load", "stretch_ratio", "reach_spare", "stored_energy", "net_force_shaft_out",
          "net_force_shaft_in", "line_length", "reach_from_muzzle", "speed_at_reach",
          "muzzle_speed", "efficiency", "speed_at_fish", "time_to_fish", "drop_at_fish",
          "energy_at_fish", "end_tension", "line_margin", "energy.shaft",
          *(f"energy.{part}" for part in _BUDGET))

Design = tuple[Any, ...]


_DECIDES = ("shelf", "longer_cm", "tube_factor", "water_C", "salt_g_kg", "capacity_kgf",
            "reach_cm", "fish_m")
"""The numbers that decide what a set-up does."""


def _remembered(*more: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Remember what a function of a learner's numbers gave: only those named count."""
    names = (*_DECIDES, *more)

    def around(work: Callable[..., Any]) -> Callable[..., Any]:
        @lru_cache(maxsize=4096)
        def known(key: tuple[Any, ...], args: tuple[Any, ...]) -> Any:
            return work(Numbers(dict(zip(names, key, strict=True))), *args)

        @wraps(work)
        def ask(n: Any, *args: Any) -> Any:
            return known(tuple(n[name] for name in names), args)
        return ask
    return around


class BenchError(Sentence, InputError):
    """A set-up that the bench cannot put together; the message is one sentence."""


@dataclass(frozen=True)
class Shelf:
    """What lies there, in the order of the letters.

    Attributes
    ----------
    tubes_mm : tuple of float
        Outer diameters.
    barrels : tuple of (float, str)
        Length [cm] and material.
    shafts_mm : tuple of float
        Diameters.
    lines : tuple of (float, float, int)
        Diameter [mm], breaking strength [kgf], wraps.
    """

    tubes_mm: tuple[float, ...]
    barrels: tuple[tuple[float, Any], ...]
    shafts_mm: tuple[float, ...]
    lines: tuple[tuple[float, float, int], ...]

    def letter(self, kind: str, part: Any) -> str:
        """Return the letter under which a part lies there."""
        return "ABCD"[getattr(self, kind).index(part)]


def _in_order(parts: tuple[Any, ...], order: float) -> tuple[Any, ...]:
    return tuple(parts[place] for place in _ORDERS[len(parts)][int(order)])


def _shelf(n: Any) -> Shelf:
    middle = n["base_cm"] + 15.0
    strong, weak = float(n["strong_kgf"]), float(n["weak_kgf"])
    return Shelf(
        _in_order(tuple(n["thin_mm"] + more for more in (0.0, 1.5, 3.0)), n["tube_order"]),
        _in_order(((float(n["base_cm"]), "carbon"), (middle, "carbon"), (middle, "aluminium"),
                   (middle + 15.0, "carbon")), n["barrel_order"]),
        _in_order(SHAFTS_MM, n["shaft_order"]),
        _in_order(((STRONG_MM, strong, 0), (STRONG_MM, strong, 1), (STRONG_MM, strong, 2),
                   (WEAK_MM, weak, 1)), n["line_order"]))


def limits(n: Numbers, learner: str) -> dict[str, Any]:
    """Return what follows from the numbers drawn: the shelf, and limits that it keeps.

    The limits of the fish are those of one set-up, the reference, with some room: 7.5 mm shaft,
    one wrap of the strong line, on the carbon barrel of middle length, loaded a little below what
    this diver brings.

    Parameters
    ----------
    n : Numbers
        Drawn.
    learner : str
        Whose; all that differs is drawn.

    Returns
    -------
    dict of str to object
        Further numbers, by name.
    """
    return dict(_limits(tuple(n.items())))


@lru_cache(maxsize=512)
def _limits(drawn: tuple[tuple[str, Any], ...]) -> dict[str, Any]:
    n = Numbers(dict(drawn))
    own = without_shot(n)
    got = evaluate(Numbers({**n, **own}), own["reference"])
    return {**own, "least_energy_J": int(0.86 * got["energy_at_fish"]),
            "most_drop_cm": round(110 * got["drop_at_fish"] + 0.05, 1)}


def without_shot(n: Numbers) -> dict[str, Any]:
    """Return what of `limits` needs no shot: the shelf, the reference, and all other limits.

    Parameters
    ----------
    n : Numbers
        Drawn.

    Returns
    -------
    dict of str to object
        Further numbers, by name.
    """
    things = _shelf(n)
    middle = n.base_cm + 15.0
    water = Water(n.water_C, n.salt_g_kg)
    own = {"shelf": things, "first_barrel_cm": middle,
           "water_kg_m3": round(float(water.density), 1),
           "limit_kgf": n.capacity_kgf * (1 - n.keep_percent / 100),
           "friend_kgf": round(0.8 * n.capacity_kgf), "longest_cm": middle + 5,
           "kim_shaft_cm": n.kim_barrel_cm + n.kim_longer_cm,
           "first_upper_cm": middle + ROLLER_CM - NOTCH_CM,
           "first_lower_cm": middle + ROLLER_CM - NOTCH_CM + AROUND_ROLLER_CM,
           "kim_upper_cm": n.kim_barrel_cm + ROLLER_CM - NOTCH_CM,
           "kim_lower_cm": n.kim_barrel_cm + ROLLER_CM - NOTCH_CM + AROUND_ROLLER_CM,
           "kim_run_cm": n.kim_barrel_cm + ANCHOR_CM,
           "kim_last_run_cm": n.kim_barrel_cm + n.kim_longer_cm + ANCHOR_CM - ROLLER_CM
           - OVERHANG_CM - HOLE_CM}
    barrel, rubber = _barrel(middle, "carbon"), _rubber(n.tube_factor)
    newton = own["limit_kgf"] * STANDARD_GRAVITY
    cuts = cut_length_for_load(0.985 * newton, barrel, np.array(things.tubes_mm) / 1e3,
                               BORE_MM / 1e3, rubber=rubber)
    best = int(np.argmin(np.abs(barrel.loaded_path / cuts - lookup("rule.loaded_stretch").value)))
    own["first_tube_mm"] = things.tubes_mm[best]
    own["first_tube"] = "ABC"[best]
    own["first_barrel"] = things.letter("barrels", (middle, "carbon"))
    strong, length = float(n.strong_kgf), middle + n.longer_cm
    reference = (own["first_tube"], float(np.ceil(100 * cuts[best])), own["first_barrel"],
                 things.letter("shafts_mm", 7.5), things.letter("lines", (STRONG_MM, strong, 1)),
                 float(np.ceil(middle + ROLLER_CM - NOTCH_CM - n.reach_cm)))
    one_wrap = float(reach(barrel, _shaft(7.5, length), _line((STRONG_MM, strong, 1))).from_muzzle)
    own["fish_m"] = round(one_wrap * n.fish_percent / 100, 1)
    metal = replace(barrel, material="aluminium")
    lifts = [float(gun_trim(Band(own["first_tube_mm"] / 1e3, BORE_MM / 1e3, cuts[best],
                                 rubber=rubber), _shaft(7.5, length), one,
                            _line((STRONG_MM, strong, 1)), water, "shaft_out").net_force)
             for one in (metal, barrel)]
    own["least_lift_N"] = round(lifts[0] + 0.35 * (lifts[1] - lifts[0]), 1)
    own["reference"] = reference
    return own


def _rubber(factor: Any) -> RubberLaw:
    return scaled(handbook_rubber(), factor)


def _barrel(length_cm: float, material: Any, friction: Any = 0.0) -> Barrel:
    return Barrel(length_cm / 100, roller_offset=ROLLER_CM / 100, notch_position=NOTCH_CM / 100,
                  anchor_position=NOTCH_CM / 100, sheave_radius=AROUND_ROLLER_CM / 100 / np.pi,
                  sheave_friction=friction, material=material)


def _shaft(diameter_mm: Any, length_cm: Any) -> Shaft:
    return Shaft(diameter_mm / 1e3, length_cm / 100, overhang=OVERHANG_CM / 100)


def _line(kind: tuple[float, float, int]) -> ShootingLine:
    diameter, strength, wraps = kind
    newton = strength * STANDARD_GRAVITY
    return ShootingLine(diameter / 1e3, wraps, newton, STIFFNESS_SHARE * newton)


def read(design: Any) -> Design:
    """Return a set-up as a tuple of letters and lengths [cm].

    Parameters
    ----------
    design : object
        What the learner gave.

    Returns
    -------
    tuple
        Tube, relaxed length, barrel, shaft, line, load assist.

    Raises
    ------
    BenchError
        If it is no set-up.
    """
    if any(one is ... for one in (design if isinstance(design, (tuple, list)) else [design])):
        raise BenchError(f"Fill in all six things of the set-up; {DOTS}.")
    if not isinstance(design, (tuple, list)) or len(design) != len(ASKS):
        raise BenchError("A set-up is six things in a row: tube, relaxed length, barrel, shaft, "
                         "line, load assist. Fill in all of them.")
    try:
        return tuple(accept_letter(one, name, letters) if letters else accept_number(one, name)
                     for one, (name, letters) in zip(design, ASKS, strict=True))
    except AnswerError as problem:
        raise BenchError(f"This is no set-up: {problem}") from None


def parts(n: Any, design: Design) -> Numbers:
    """Return the measures of a set-up's parts, for sums by hand.

    Parameters
    ----------
    n : Numbers
        The learner's own.
    design : tuple
        As `read` gives it.

    Returns
    -------
    Numbers
        In mm, cm, kgf and N, as the names say.
    """
    tube, cut, barrel, shaft, line, assist = design
    length = n["shelf"].barrels["ABCD".index(barrel)][0]
    tube_mm = n["shelf"].tubes_mm["ABC".index(tube)]
    diameter, strength, wraps = n["shelf"].lines["ABCD".index(line)]
    return Numbers({
        "tube_mm": tube_mm, "area_mm2": float(np.pi / 4 * (tube_mm**2 - BORE_MM**2)),
        "cut_cm": cut,
        "barrel_cm": length, "upper_cm": length + ROLLER_CM - NOTCH_CM,
        "lower_cm": length + ROLLER_CM - NOTCH_CM + AROUND_ROLLER_CM,
        "shaft_mm": n["shelf"].shafts_mm["ABCD".index(shaft)],
        "shaft_cm": length + n["longer_cm"], "run_cm": length + ANCHOR_CM,
        "last_run_cm": length + n["longer_cm"] + ANCHOR_CM - ROLLER_CM - OVERHANG_CM - HOLE_CM,
        "hole_cm": HOLE_CM, "wraps": wraps, "line_mm": diameter, "line_kgf": strength,
        "stiffness_N": STIFFNESS_SHARE * strength * STANDARD_GRAVITY, "assist_cm": assist}, "mine")


@_remembered()
def gun_of(n: Any, design: Design, factor: float = 1.0) -> Setup:
    """Return the set-up that letters and lengths name.

    Parameters
    ----------
    n : Numbers
        The learner's own.
    design : tuple
        As `read` gives it.
    factor : float
        Pull of the tube over what it was taken for [1].

    Returns
    -------
    Setup

    Raises
    ------
    InputError
        If a part is refused.
    """
    tube, cut, barrel, shaft, line, assist = design
    shortest, longest = RELAXED_LENGTHS
    within("the relaxed length", cut, 100 * shortest, 100 * longest, "cm")
    within("the load assist", assist, 0, 150, "cm")
    things = n["shelf"]
    length, material = things.barrels["ABCD".index(barrel)]
    upper = length + ROLLER_CM - NOTCH_CM
    lower = upper + AROUND_ROLLER_CM
    if cut >= lower:
        raise InputError(f"a leg of {cut:g} cm hangs slack on this barrel, where its lower run is "
                         f"{lower:g} cm; cut it shorter.")
    if (upper + lower) / cut > FARTHEST:
        raise InputError(f"a leg of {cut:g} cm would be stretched {(upper + lower) / cut:.1f} "
                         f"times here, and the test of our rubber ended at {FARTHEST:g}; cut it "
                         "longer.")
    if assist >= upper:
        raise InputError(f"the load assist of {assist:g} cm is longer than the way from the notch "
                         f"to the resting wishbone, {upper:g} cm; take a shorter one.")
    return Setup(
        Band(things.tubes_mm["ABC".index(tube)] / 1e3, BORE_MM / 1e3, cut / 100,
             rubber=_rubber(n["tube_factor"] * factor)),
        _shaft(things.shafts_mm["ABCD".index(shaft)], length + n["longer_cm"]),
        _barrel(length, material), _line(things.lines["ABCD".index(line)]),
        Water(n["water_C"], n["salt_g_kg"]),
        Diver(n["capacity_kgf"] * STANDARD_GRAVITY, n["reach_cm"] / 100), assist / 100)


def _given(n: Any, drag: float = 1.0) -> Assumptions:
    """Return the assumptions: the tube was weighed in this very water."""
    usual = DragCoefficients()
    return Assumptions(test_temperature=n["water_C"], terminations=("crimp",),
                       drag=usual if drag == 1.0 else replace(
                           usual, curvature=usual.curvature * drag, nose=usual.nose * drag,
                           wing=usual.wing * drag))


@_remembered()
def evaluate(n: Any, design: Design, factor: float = 1.0, drag: float = 1.0) -> dict[str, float]:
    """Return what a set-up does, in SI, by the names of `setup.Prediction`.

    Parameters
    ----------
    n : Numbers
        The learner's own.
    design : tuple
        As `read` gives it.
    factor, drag : float
        Pull of the tube and drag of the shaft over what they were taken for [1].

    Returns
    -------
    dict of str to float

    Raises
    ------
    InputError
        If nothing can be worked out for it.
    """
    got = predict_many(gun_of(n, design, factor), Quarry(distance=n["fish_m"]), _given(n, drag),
                       _NAMES)
    return {name: float(value) for name, value in got.items()}


@_remembered("tube_doubt_percent", "cut_doubt_mm", "roller_friction", "water_doubt_C")
def loads_moved(n: Any, design: Design) -> tuple[float, FloatArray, FloatArray]:
    """Return the load and what it is with each doubtful input at either end [kgf].

    Parameters
    ----------
    n : Numbers
        The learner's own.
    design : tuple
        As `read` gives it.

    Returns
    -------
    best : float
    low, high : ndarray, shape (4,)
        In the order of `MOVED`; the roller has no low end, as it is taken without friction.

    Raises
    ------
    InputError
        If nothing can be worked out for it.
    """
    gun = gun_of(n, design)
    share = lookup("rubber.temperature_share").value
    tube, warmth = n["tube_doubt_percent"] / 100, n["water_doubt_C"] / (n["water_C"] + 273.15)
    best = float(notch_load(gun.band, gun.barrel))
    cut = np.array([1.0, -1.0]) * n["cut_doubt_mm"] / 1000
    moved = notch_load(replace(gun.band, relaxed_length=gun.band.relaxed_length + cut), gun.barrel)
    rough = notch_load(gun.band, replace(gun.barrel, sheave_friction=n["roller_friction"]))
    low = np.array([best * (1 - tube), moved[0], best, best * (1 - share * warmth)])
    high = np.array([best * (1 + tube), moved[1], rough, best * (1 + share * warmth)])
    return best / STANDARD_GRAVITY, low / STANDARD_GRAVITY, high / STANDARD_GRAVITY


@_remembered()
def sweep(n: Any, design: Design) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return relaxed lengths [cm], loads [kgf] and muzzle speeds [m/s] around a set-up.

    Parameters
    ----------
    n : Numbers
        The learner's own.
    design : tuple
        As `read` gives it.

    Returns
    -------
    tuple of ndarray, shape (25,)

    Raises
    ------
    InputError
        If nothing can be worked out for one of them.
    """
    gun = gun_of(n, design)
    own = gun.band.relaxed_length
    cuts = np.linspace(0.88 * own, min(1.2 * own, 0.98 * float(gun.barrel.lower_run)), 25)
    got = predict_many(replace(gun, band=replace(gun.band, relaxed_length=cuts)), None, _given(n),
                       ["load", "muzzle_speed"])
    return cuts * 100, got["load"] / STANDARD_GRAVITY, got["muzzle_speed"]


def bare_trim(n: Any, design: Design) -> Trim:
    """Return how a set-up trims without shaft and line.

    Parameters
    ----------
    n : Numbers
        The learner's own.
    design : tuple
        As `read` gives it.

    Returns
    -------
    Trim

    Raises
    ------
    InputError
        If a part is refused.
    """
    gun = gun_of(n, design)
    return gun_trim(gun.band, gun.shaft, gun.barrel, gun.line, gun.water, "shaft_out")


def mean_drag_area(n: Any, design: Design, factor: float = 1.0, drag: float = 1.0) -> float:
    """Return the drag area [m2] that, held all the way, slows the shaft as much.

    Parameters
    ----------
    n : Numbers
        The learner's own.
    design : tuple
        As `read` gives it.
    factor, drag : float
        As in `evaluate`.

    Returns
    -------
    float

    Raises
    ------
    InputError
        As `evaluate`.
    """
    got, shaft = evaluate(n, design, factor, drag), gun_of(n, design).shaft
    way = n["fish_m"] - shaft.length
    return float(np.log(got["muzzle_speed"] / got["speed_at_fish"]) * 2 * shaft.mass
                 / (n["water_kg_m3"] * way))


def measured(n: Any, design: Design) -> tuple[float, float, float]:
    """Return what a day at the target shows of a set-up: the truth of this shelf, rounded.

    Parameters
    ----------
    n : Numbers
        The learner's own; it holds how far tube and drag are off.
    design : tuple
        As `read` gives it.

    Returns
    -------
    load_kgf, muzzle_mps, fish_mps : float

    Raises
    ------
    InputError
        As `evaluate`.
    """
    true = evaluate(n, design, n["true_tube"], n["true_drag"])
    return (round(true["load"] / STANDARD_GRAVITY, 1), round(true["muzzle_speed"], 1),
            round(true["speed_at_fish"], 1))


@dataclass(frozen=True)
class Six:
    """Six guns that somebody has rigged already, in the order of their letters.

    Attributes
    ----------
    barrel_cm, tube_mm, shaft_mm, wraps : tuple of float
        Their parts.
    load_kgf, reach_m, cave_J, reef_J, blue_J : ndarray, shape (6,)
        Load, reach from the muzzle, and energy that arrives at the fish of each place.
    ranges_m : tuple of float
        Of the fish in cave, reef and blue water.
    least_J : tuple of float
        That must arrive there.
    longest_cm : float
        Barrel that can be turned in the cave.
    limit_kgf : float
        That this diver's bands are cut for at most.
    """

    barrel_cm: tuple[float, ...]
    tube_mm: tuple[float, ...]
    shaft_mm: tuple[float, ...]
    wraps: tuple[int, ...]
    load_kgf: FloatArray
    reach_m: FloatArray
    cave_J: FloatArray  # noqa: N815 - joules
    reef_J: FloatArray  # noqa: N815
    blue_J: FloatArray  # noqa: N815
    ranges_m: tuple[float, float, float]
    least_J: tuple[float, float, float]  # noqa: N815
    longest_cm: float
    limit_kgf: float


@_remembered("base_cm", "first_tube_mm", "limit_kgf", "cave_m", "gun_order")
def six_guns(n: Any) -> Six:
    """Return the six guns of a learner.

    A short and a long gun of one tube and shaft; the same two of another tube; a short one with
    another shaft; a long one that is too hard to load.

    Parameters
    ----------
    n : Numbers
        The learner's own.

    Returns
    -------
    Six
    """
    short, long = n["base_cm"] - 10.0, n["base_cm"] + 30.0
    one = n["first_tube_mm"]
    sizes = sorted(n["shelf"].tubes_mm)
    two = sizes[1] if one == sizes[0] else sizes[sizes.index(one) - 1]
    rigged = _in_order(((short, one, 7.0, 0.95), (long, one, 7.0, 0.95), (short, two, 7.0, 0.95),
                        (long, two, 7.0, 0.95), (short, one, 6.5, 0.95), (long, one, 7.0, 1.12)),
                       n["gun_order"])
    barrel_cm, tube_mm, shaft_mm, share = (tuple(column) for column in zip(*rigged, strict=True))
    barrel = replace(_barrel(short, "carbon"), length=np.array(barrel_cm) / 100)
    rubber = _rubber(n["tube_factor"])
    wanted = np.array(share) * n["limit_kgf"] * STANDARD_GRAVITY
    cuts = np.ceil(100 * cut_length_for_load(wanted, barrel, np.array(tube_mm) / 1e3,
                                             BORE_MM / 1e3, rubber=rubber)) / 100
    line = next(kind for kind in n["shelf"].lines if kind[0] == STRONG_MM and kind[2] == 1)
    shaft = _shaft(np.array(shaft_mm), np.array(barrel_cm) + n["longer_cm"])
    gun = Setup(Band(np.array(tube_mm) / 1e3, BORE_MM / 1e3, cuts, rubber=rubber), shaft, barrel,
                _line(line), Water(n["water_C"], n["salt_g_kg"]),
                Diver(n["capacity_kgf"] * STANDARD_GRAVITY, n["reach_cm"] / 100))
    got = predict_many(gun, None, _given(n), ["load", "reach_from_muzzle", "muzzle_speed"])
    longest = float(got["reach_from_muzzle"].max())
    ranges = (n["cave_m"], round(0.75 * longest, 1), round(0.93 * longest, 1))
    cave, reef, blue = (np.asarray(fly(shaft, gun.water, gun.line, got["muzzle_speed"],
                            np.maximum(one, shaft.length)).energy) for one in ranges)
    usual = [row for row, kind in enumerate(rigged) if kind[1:] == (one, 7.0, 0.95)]
    near, deep = (next(row for row in usual if barrel_cm[row] == length)
                  for length in (short, long))
    least = (int(0.75 * cave[near]), int(0.75 * reef[deep]), int(0.75 * blue[deep]))
    return Six(barrel_cm, tube_mm, shaft_mm, (1,) * len(GUNS), got["load"] / STANDARD_GRAVITY,
               got["reach_from_muzzle"], cave, reef, blue, ranges, least, short + 10.0,
               n["limit_kgf"])


def proposal(n: Any) -> tuple[FloatArray, FloatArray]:
    """Return the seven claims of somebody else's set-up: as they are made, and as they should be.

    Parameters
    ----------
    n : Numbers
        The learner's own.

    Returns
    -------
    said, right : ndarray, shape (7,)
        Stretch ratio; load [kgf]; mass of the shaft [g]; its weight in water [N]; line [m]; muzzle
        speed [m/s]; doubt [%].
    """
    shaft = Shaft(n["kim_shaft_mm"] / 1e3, n["kim_shaft_cm"] / 100)
    water = n["water_kg_m3"]
    run, last = n["kim_run_cm"], n["kim_last_run_cm"]
    energy, mass, volume = n["kim_energy_J"], float(shaft.mass), float(shaft.volume)
    path = n["kim_upper_cm"] + n["kim_lower_cm"]
    doubts = np.array([n["kim_tube_percent"], n["kim_scale_percent"]])
    right = np.array([
        path / n["kim_relaxed_cm"], 2 * n["kim_leg_N"] / STANDARD_GRAVITY, mass * 1000,
        (mass - water * volume) * STANDARD_GRAVITY,
        (2 * n["kim_wraps"] * run + last) / 100, (2 * energy / mass) ** 0.5,
        float(np.sqrt((doubts**2).sum()))])
    wrong = np.array([
        path / n["kim_relaxed_cm"] - 1, n["kim_leg_N"] / STANDARD_GRAVITY,
        mass * 1000 * 4 / np.pi, mass * STANDARD_GRAVITY, (n["kim_wraps"] * run + last) / 100,
        (energy / mass) ** 0.5, doubts.sum()])
    said = right.copy()
    for place in WRONG_CLAIMS[int(n["wrong_claims"])]:
        said[place] = wrong[place]
    return said, right


class Bench:
    """The learner's bench: the shelf, and what a set-up from it does.

    Parameters
    ----------
    my : Numbers
        The learner's own.

    Attributes
    ----------
    first : tuple of str
        The tube and the barrel to begin with.
    """

    def __init__(self, my: Numbers) -> None:
        self._my = my
        self.first = my["first_tube"], my["first_barrel"]

    def _rows(self) -> list[tuple[str, str, str]]:
        things = self._my["shelf"]
        return [
            *(("tube", letter, f"{mm:g} mm outside, {BORE_MM:g} mm bore")
              for letter, mm in zip("ABC", things.tubes_mm, strict=True)),
            *(("barrel", letter, f"{cm:g} cm, {material}")
              for letter, (cm, material) in zip("ABCD", things.barrels, strict=True)),
            *(("shaft", letter, f"{mm:g} mm, {self._my['longer_cm']:g} cm longer than the barrel")
              for letter, mm in zip("ABCD", things.shafts_mm, strict=True)),
            *(("line", letter, f"{mm:g} mm, breaks at {kgf:g} kgf, {wraps or 'no'} "
               f"wrap{'' if wraps == 1 else 's'}")
              for letter, (mm, kgf, wraps) in zip("ABCD", things.lines, strict=True))]

    def __repr__(self) -> str:
        return "\n".join(["The shelf (invented):",
                          *(f"  {kind} {letter}: {text}" for kind, letter, text in self._rows())])

    def _repr_html_(self) -> str:
        rows = "".join(f"<tr><td style='text-align:left'>{kind}</td><td><code>\"{letter}\"</code>"
                       f"</td><td style='text-align:left'>{text}</td></tr>"
                       for kind, letter, text in self._rows())
        return (f"<p>The shelf (invented).</p><table><thead><tr><th>part</th><th>letter</th>"
                f"<th>what it is</th></tr></thead><tbody>{rows}</tbody></table>")

    def stress_MPa(self, stretch_ratio: Any) -> Any:  # noqa: N802 - megapascal
        """Return how hard a square millimetre of this roll pulls [MPa]."""
        return _rubber(self._my["tube_factor"]).engineering_stress(stretch_ratio) / 1e6

    def stretch_at(self, stress_MPa: Any) -> Any:  # noqa: N803 - megapascal
        """Return the stretch ratio at which it pulls so hard."""
        try:
            return _rubber(self._my["tube_factor"]).stretch_ratio(stress_MPa * 1e6)
        except InputError as problem:
            raise BenchError(str(problem)) from None

    def cut_cm(self, tube: Any, barrel: Any, load_kgf: Any) -> float:
        """Return the relaxed length [cm] of a tube on a barrel, by letters, for a load [kgf]."""
        try:
            own = parts(self._my, read((tube, 60.0, barrel, "A", "A", 0.0)))
            newton = accept_number(load_kgf, "the load") * STANDARD_GRAVITY
            return float(100 * cut_length_for_load(
                newton, _barrel(own.barrel_cm, "carbon"), own.tube_mm / 1e3, BORE_MM / 1e3,
                rubber=_rubber(self._my["tube_factor"])))
        except AnswerError as problem:
            raise BenchError(f"This is no load: {problem}") from None
        except InputError as problem:
            raise BenchError(str(problem)) from None

    def parts(self, design: Any) -> Numbers:
        """Return the measures of a set-up's parts, for sums by hand."""
        return parts(self._my, read(design))

    def _told(self, design: Any) -> dict[str, float]:
        try:
            return evaluate(self._my, read(design))
        except InputError as problem:
            raise BenchError(str(problem)) from None

    def numbers(self, design: Any) -> Numbers:
        """Return what the limits are about, for a set-up, in workshop units."""
        got, parts = self._told(design), self.parts(design)
        return Numbers({
            "barrel_cm": parts["barrel_cm"], "stretch": got["stretch_ratio"],
            "load_kgf": got["load"] / STANDARD_GRAVITY,
            "spare_reach_cm": got["reach_spare"] * 100, "lift_N": got["net_force_shaft_out"],
            "reach_m": got["reach_from_muzzle"], "drop_cm": got["drop_at_fish"] * 100,
            "energy_J": got["energy_at_fish"], "margin": got["line_margin"],
            "muzzle_mps": got["muzzle_speed"]}, "bench.numbers(set_up)")

    def tell(self, design: Any) -> None:
        """Print what a set-up does beside what is asked of it."""
        got, my = self.numbers(design), self._my
        rows = [
            ("barrel", got["barrel_cm"], "cm", "at most", my["longest_cm"], 0),
            ("stretch ratio", got["stretch"], "", "at most", MOST_STRETCH, 2),
            ("load", got["load_kgf"], "kgf", "at most", my["limit_kgf"], 1),
            ("spare reach", got["spare_reach_cm"], "cm", "at least", 0.0, 0),
            ("lift, shaft out", got["lift_N"], "N", "at least", my["least_lift_N"], 1),
            ("reach of the line", got["reach_m"], "m", "at least", my["fish_m"], 1),
            ("drop at the fish", got["drop_cm"], "cm", "at most", my["most_drop_cm"], 1),
            ("energy at the fish", got["energy_J"], "J", "at least", my["least_energy_J"], 0),
            ("margin of the line", got["margin"], "times", "at least", 1.0, 2)]
        for name, value, unit, word, limit, digits in rows:
            kept = value <= limit + ROUNDING if word == "at most" else value >= limit - ROUNDING
            print(f"{name:19s}{value:8.{digits}f} {unit:6s}{word:9s}{limit:7.{digits}f}  "
                  f"{'kept' if kept else 'NOT KEPT'}")
        print(f"{'muzzle speed':19s}{got['muzzle_mps']:8.1f} m/s")

    def everything(self, design: Any) -> None:
        """Print all that the library says of a set-up, with its cautions."""
        try:
            print(predict(gun_of(self._my, read(design)), Quarry(distance=self._my["fish_m"]),
                          _given(self._my)))
        except InputError as problem:
            raise BenchError(str(problem)) from None

    def budget(self, design: Any) -> Numbers:
        """Return the energy stored, and where it goes besides the shaft [J]."""
        got = self._told(design)
        return Numbers({"stored_J": got["energy.shaft"] + sum(got[f"energy.{part}"]
                                                              for part in _BUDGET),
                        **{f"{part}_J": got[f"energy.{part}"] for part in _BUDGET}}, "spent")

    def weighed(self, design: Any) -> Numbers:
        """Return mass [kg] and volume [litres] of the gun without shaft and line."""
        try:
            bare = bare_trim(self._my, read(design))
        except InputError as problem:
            raise BenchError(str(problem)) from None
        return Numbers({"kg": bare.mass, "litres": bare.volume * 1000}, "bare")

    def speed_at(self, design: Any, range_m: Any) -> float:
        """Return the shaft's speed [m/s] when its tip is so far from the muzzle [m]."""
        try:
            gun = gun_of(self._my, read(design))
            return float(fly(gun.shaft, gun.water, gun.line, self._told(design)["muzzle_speed"],
                             range_m).speed)
        except InputError as problem:
            raise BenchError(str(problem)) from None

    def drag_area_mm2(self, design: Any) -> float:
        """Return the shaft's mean drag area on its way to the fish [mm2], line included."""
        self._told(design)
        return mean_drag_area(self._my, read(design)) * 1e6

    def moved(self, design: Any) -> Numbers:
        """Print and return the load with each doubtful input alone at either end [kgf]."""
        try:
            best, low, high = loads_moved(self._my, read(design))
        except InputError as problem:
            raise BenchError(str(problem)) from None
        my = self._my
        ranges = (f"± {my['tube_doubt_percent']:g} %", f"± {my['cut_doubt_mm']:g} mm",
                  f"0 to {my['roller_friction']:g}", f"± {my['water_doubt_C']:g} °C")
        print(f"load at its best: {best:.2f} kgf")
        for name, width, down, up in zip(MOVED, ranges, low, high, strict=True):
            print(f"{name:8s}{width:>12s}{down:9.2f} to {up:5.2f}")
        return Numbers({"best_kgf": best, "low_kgf": tuple(low), "high_kgf": tuple(high)}, "moved")

    def sweep(self, design: Any) -> Numbers:
        """Return 25 relaxed lengths around a set-up's own, with loads and muzzle speeds."""
        self._told(design)
        cuts, loads, speeds = sweep(self._my, read(design))
        return Numbers({"cut_cm": tuple(cuts), "load_kgf": tuple(loads),
                        "speed_mps": tuple(speeds)}, "swept")

    def guns(self) -> Six:
        """Print and return six guns that are rigged already, and three places."""
        six = six_guns(self._my)
        print("gun barrel  tube  shaft   load   reach   energy at the fish in J")
        print("      cm     mm    mm     kgf      m     cave   reef   blue")
        for row, letter in enumerate(GUNS):
            print(f" {letter}  {six.barrel_cm[row]:5.0f}  {six.tube_mm[row]:5.1f}  "
                  f"{six.shaft_mm[row]:4.1f}  {six.load_kgf[row]:5.1f}  {six.reach_m[row]:5.1f}  "
                  f"{six.cave_J[row]:7.0f}{six.reef_J[row]:7.0f}{six.blue_J[row]:7.0f}")
        for place, far, least in zip(("cave", "reef", "blue water"), six.ranges_m, six.least_J,
                                     strict=True):
            turned = f", barrel at most {six.longest_cm:g} cm" if place == "cave" else ""
            print(f"{place}: fish at {far:.1f} m, at least {least:g} J{turned}")
        print(f"this diver: at most {six.limit_kgf:.1f} kgf")
        return six

    def target(self, design: Any) -> Numbers:
        """Print and return what a scale and a video show of a set-up in the water."""
        self._told(design)
        load, muzzle, fish = measured(self._my, read(design))
        print(f"luggage scale at the notch: {load:.1f} kgf\nvideo: {muzzle:.1f} m/s at the muzzle, "
              f"{fish:.1f} m/s with the tip at {self._my['fish_m']:.1f} m")
        return Numbers({"load_kgf": load, "muzzle_mps": muzzle, "fish_mps": fish}, "target")

    def proposal(self) -> FloatArray:
        """Print and return the seven sums on Kim's card."""
        said, _ = proposal(self._my)
        words = ("stretch ratio when loaded: {:.2f}", "load at the notch: {:.1f} kgf",
                 "mass of the shaft: {:.0f} g", "weight of the shaft in this water: {:.2f} N",
                 "line to cut: {:.2f} m", "muzzle speed: {:.1f} m/s",
                 "both doubts together: ± {:.1f} %")
        for letter, text, value in zip(CLAIMS, words, said, strict=True):
            print(f"{letter}  {text.format(value)}")
        return said
