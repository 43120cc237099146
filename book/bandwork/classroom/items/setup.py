"""The exercise `setup`: a whole set-up from a shelf, worked out, defended and tuned.

A design passes if it keeps the limits, whatever it looks like: the library judges it. What follows
is judged for the learner's own design. Each roll of tube pulls as the handbook's test rubber times
a factor that was weighed in this water, over a roller without friction, so that the sums by hand
of the earlier units give what the library gives.
"""

from functools import lru_cache
from itertools import product
from typing import Any

import numpy as np

from bandwork.classroom.bench import (
    ASKS,
    BORE_MM,
    CLAIMS,
    CRIMP_SHARE,
    GUNS,
    MOST_STRETCH,
    ROUNDING,
    WEAK_MM,
    WRONG_CLAIMS,
    Design,
    bare_trim,
    evaluate,
    gun_of,
    limits,
    loads_moved,
    mean_drag_area,
    measured,
    parts,
    proposal,
    six_guns,
    sweep,
)
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
from bandwork.components import Band, Shaft
from bandwork.flight import coast, sink
from bandwork.interval import combine
from bandwork.rubber import handbook_rubber, scaled
from bandwork.units import STANDARD_GRAVITY

CURVE_TOLERANCE = 0.01


@lru_cache(maxsize=4096)
def _stretch_at(factor: float, stress: float) -> float:
    """Return the stretch ratio at a stress [Pa] of a tube that is so many times the handbook's."""
    return float(scaled(handbook_rubber(), factor).stretch_ratio(stress))


def _cut(n: Numbers, load_kgf: float, tube_mm: float, path_cm: float, *, legs: int = 2,
         bore_mm: float = BORE_MM, newton: float = STANDARD_GRAVITY, factor: float = 1.0) -> float:
    """Return the relaxed length [cm] of a leg for a load, over a roller without friction."""
    area = Band(tube_mm / 1e3, bore_mm / 1e3, 0.5).cross_section
    return path_cm / _stretch_at(n.tube_factor * factor, float(load_kgf * newton / (legs * area)))


def _first(n: Numbers, *, load: float | None = None, path: float | None = None,
           assist: float | None = None, **wrong: Any) -> tuple[float, float, float]:
    """Return load, cut length and shortest assist for the first tube and barrel."""
    upper, lower = n.first_upper_cm, n.first_lower_cm
    kgf = n.limit_kgf if load is None else load
    cut = _cut(n, kgf, n.first_tube_mm, upper + lower if path is None else path, **wrong)
    return kgf, cut, upper - n.reach_cm if assist is None else assist


DIVER = RowItem(
    key="diver", title="What this diver can load", variable="first_sums", length=3,
    unit="kgf and cm", points=2, page="setup/whole", tolerance=0.003,
    goal="Begin a set-up with the diver: load to cut for, cut length, load assist.",
    outside="stretch::test_a_sixteen_on_a_120_asks_for_an_assist",
    right=_first,
    slips=(
        Slip("nothing kept in hand", "this is all that the diver brings; first take off what is "
             "kept in hand.", lambda n: _first(n, load=n.capacity_kgf)),
        Slip("what is kept", "this is the part that is kept in hand; the band is cut for the rest.",
             lambda n: _first(n, load=n.capacity_kgf * n.keep_percent / 100)),
        Slip("per cent taken as kgf", "what is kept in hand is a per cent of what the diver "
             "brings, not so many kgf; take that share off.",
             lambda n: _first(n, load=n.capacity_kgf - n.keep_percent)),
        Slip("one leg", "the cut length puts the whole load on one leg; each of the two carries "
             "half.", lambda n: _first(n, legs=1)),
        Slip("bore forgotten", "the cut length is that of a full rod; take the bore's area away.",
             lambda n: _first(n, bore_mm=0.0)),
        Slip("kgf given as N", "the load went into the stress in kgf; turn it into newtons first.",
             lambda n: _first(n, newton=1.0)),
        Slip("upper run only", "the leg lies under the barrel too: its loaded path is both runs "
             "together.", lambda n: _first(n, path=n.first_upper_cm)),
        Slip("assist added", "reach and upper run were added; the assist is only what the reach "
             "lacks of the upper run.",
             lambda n: _first(n, assist=n.first_upper_cm + n.reach_cm)),
        Slip("reach for the assist", "the third number is how far this diver reaches; wanted is "
             "what is missing from there to the resting wishbone.",
             lambda n: _first(n, assist=n.reach_cm)),
        Slip("barrel for the upper run", "the wishbone rests at the roller: count from the notch, "
             "along the upper run, not the barrel.",
             lambda n: _first(n, assist=n.first_barrel_cm - n.reach_cm)),
    ),
)


def _faults(design: Design, n: Numbers) -> str:
    """Return the first limit that a design breaks."""
    got, length = evaluate(n, design), parts(n, design).barrel_cm
    for name, value, limit in (
            ("too long", length, n.longest_cm),
            ("overstretched", got["stretch_ratio"], MOST_STRETCH),
            ("too hard", got["load"] / STANDARD_GRAVITY, n.limit_kgf),
            ("out of reach", -got["reach_spare"], 0.0),
            ("lifts too little", -got["net_force_shaft_out"], -n.least_lift_N),
            ("line too short", -got["reach_from_muzzle"], -n.fish_m),
            ("drops too far", 100 * got["drop_at_fish"], n.most_drop_cm),
            ("too weak", -got["energy_at_fish"], -n.least_energy_J),
            ("line breaks", -got["line_margin"], -1.0)):
        if value > limit + ROUNDING:
            return name
    return ""


def _changed(n: Numbers, *, cut: float | None = None, assist: float | None = None,
             **letters: str) -> Design:
    """Return the reference with some parts replaced."""
    own = dict(zip(("tube", "cut", "barrel", "shaft", "line", "assist"), n["reference"],
                   strict=True))
    own |= letters
    return (own["tube"], own["cut"] if cut is None else cut, own["barrel"], own["shaft"],
            own["line"], own["assist"] if assist is None else assist)


def _path(n: Numbers) -> float:
    return float(n.first_upper_cm + n.first_lower_cm)


SET_UP = DesignItem(
    key="set_up", title="A whole set-up", variable="set_up",
    unit="", points=4, page="setup/whole", asks=ASKS, faults=_faults, tolerance=0.0,
    goal="Choose a whole set-up that keeps every limit of diver, place and fish.",
    outside="setup::test_a_single_wrap_on_a_120_reaches_5_m_from_the_muzzle_and_7_from_the_diver",
    right=lambda n: n["reference"],
    slips=(
        Slip("too long", "its barrel cannot be turned in that place; take a shorter one.",
             lambda n: _changed(n, barrel=n["shelf"].letter(
                 "barrels", (n.first_barrel_cm + 15, "carbon")))),
        Slip("overstretched", "the rubber is stretched past the limit, where it crystallises; cut "
             "the leg longer, and if the load is then too small, take a thicker tube.",
             lambda n: _changed(n, cut=_path(n) / (MOST_STRETCH + 0.3))),
        Slip("too hard", "its load is more than this diver brings less what is kept in hand; cut "
             "it longer or take a thinner tube.",
             lambda n: _changed(n, cut=_cut(n, 1.05 * n.limit_kgf, n.first_tube_mm, _path(n)))),
        Slip("out of reach", "this diver does not reach one of the two grips; take another load "
             "assist.", lambda n: _changed(n, assist=0.0)),
        Slip("lifts too little", "with the shaft out the gun lifts too little; look at the "
             "barrel's material.", lambda n: _changed(n, barrel=n["shelf"].letter(
                 "barrels", (n.first_barrel_cm, "aluminium")))),
        Slip("line too short", "its line ends before the fish; take more wraps.",
             lambda n: _changed(n, line=n["shelf"].letter(
                 "lines", next(one for one in n["shelf"].lines if one[2] == 0)))),
        Slip("drops too far", "it drops too far on the way to the fish: it is too slow. A lighter "
             "shaft or more load is faster.", lambda n: _changed(
                 n, cut=1.12 * n["reference"][1], shaft=n["shelf"].letter("shafts_mm", 8.0))),
        Slip("too weak", "it arrives with too little energy; take a thicker shaft, or more load.",
             lambda n: _changed(n, cut=1.03 * n["reference"][1],
                                shaft=n["shelf"].letter("shafts_mm", 6.5))),
        Slip("line breaks", "its line would break if it had to stop the shaft; take a stronger "
             "one.", lambda n: _changed(n, line=n["shelf"].letter(
                 "lines", next(one for one in n["shelf"].lines if one[0] == WEAK_MM)))),
    ),
)


def _got(n: Numbers) -> dict[str, float]:
    return evaluate(n, n["set_up"])


def _rod(n: Numbers) -> Shaft:
    return gun_of(n, n["set_up"]).shaft


def _shared(n: Numbers, *, shaft: float | None = None, mass: float = 1.0, half: float = 2.0,
            over: str = "stored", power: float = 0.5, percent: float = 100) -> tuple[float, ...]:
    """Return energy of the shaft [J], efficiency [%] and muzzle speed [m/s]."""
    got = _got(n)
    energy = got["energy.shaft"] if shaft is None else shaft
    stored = sum(got[f"energy.{part}"] for part in ("shaft", *_LOSSES))
    below = stored if over == "stored" else stored - energy
    return (energy, percent * energy / below,
            (half * energy / (_rod(n).mass * mass)) ** power)


_LOSSES = ("bands", "recoil", "drag", "hysteresis", "line")


def _forgetting(n: Numbers, part: str) -> tuple[float, ...]:
    got = _got(n)
    return _shared(n, shaft=got["energy.shaft"] + got[f"energy.{part}"])


BUDGET = RowItem(
    key="budget", title="Energy budget and muzzle speed", variable="shot", length=3,
    unit="J, % and m/s", points=2, page="setup/whole", uses=("set_up",), tolerance=0.005,
    goal="Work out the muzzle speed of a set-up from its energy budget.",
    outside="setup::test_energy_and_momentum_of_the_shaft_agree",
    right=_shared,
    slips=(
        Slip("heat forgotten", "one loss is missing: the rubber itself keeps some as heat, its "
             "hysteresis; take that off too.", lambda n: _forgetting(n, "hysteresis")),
        Slip("bands forgotten", "one loss is missing: the bands move too, so take their energy "
             "off as well.",
             lambda n: _forgetting(n, "bands")),
        Slip("over the losses", "the share is of the stored energy, not of the losses: divide by "
             "what is stored.", lambda n: _shared(n, over="losses")),
        Slip("a share for per cent", "the share is wanted in per cent; multiply it by a hundred.",
             lambda n: _shared(n, percent=1.0)),
        Slip("half forgotten", "energy is half of mass times speed squared: twice the energy "
             "stands under the root.", lambda n: _shared(n, half=1.0)),
        Slip("root forgotten", "this is the square of the speed; take the root.",
             lambda n: _shared(n, power=1.0)),
        Slip("four times too heavy", "the shaft is four times as heavy as it should be: with the "
             "diameter goes a quarter of pi.", lambda n: _shared(n, mass=4.0)),
        Slip("grams", "the mass must be in kg, so that the speed comes out in m/s.",
             lambda n: _shared(n, mass=1000.0)),
    ),
)


def _lift(n: Numbers, *, sign: float = 1.0, shaft_water: float = 1.0, g: float = STANDARD_GRAVITY,
          square: float = 1.0, without: str = "") -> tuple[float, float]:
    """Return the lift with the shaft out, and the shaft's weight in water [N]."""
    net, shaft = _got(n)["net_force_shaft_out"] / STANDARD_GRAVITY, _rod(n)
    if without:
        bare = bare_trim(n, n["set_up"])
        net = bare.mass if without == "water" else n.water_kg_m3 * bare.volume
    weight = (shaft.density - shaft_water * n.water_kg_m3) * shaft.volume * square
    return sign * net * g, weight * g


TRIM = RowItem(
    key="trim", title="Lift of the gun, weight of the shaft", variable="trim_N",
    unit="N", points=2, page="setup/whole", uses=("set_up", "budget"),
    goal="Say whether a set-up floats with the shaft out, and what the shaft adds.",
    outside="setup::test_lake_and_sea_differ_by_what_eos80_says",
    right=_lift,
    slips=(
        Slip("weight in air", "the first number is what the gun weighs on land; take this weight "
             "away from that of the displaced water.", lambda n: _lift(n, without="water")),
        Slip("buoyant force only", "the first number is the water's push alone; take the gun's "
             "own weight away from it.", lambda n: _lift(n, without="mass")),
        Slip("sign", "the signs are turned: lift is the water's push less the weight.",
             lambda n: _lift(n, sign=-1.0)),
        Slip("shaft in air", "the second number is the shaft's weight on land; take the water's "
             "density away from the steel's.", lambda n: _lift(n, shaft_water=0.0)),
        Slip("water added", "the water's density was added to the steel's; the displaced water "
             "carries part of the shaft, so take it away.", lambda n: _lift(n, shaft_water=-1.0)),
        Slip("mass for weight", "these are kilograms; multiply by standard gravity for newtons.",
             lambda n: _lift(n, g=1.0)),
        Slip("four times too heavy", "the shaft is four times as heavy as it should be: with the "
             "diameter goes a quarter of pi.", lambda n: _lift(n, square=4.0)),
    ),
)


def _end(n: Numbers, *, runs: float = 2, more: float = 0, last: float = 1, shaft: float = 1,
         hole: float = -1, crimp: float = CRIMP_SHARE, length: bool = True, mass: bool = True,
         newton: float = STANDARD_GRAVITY
         ) -> tuple[float, float, float]:
    """Return line [m], reach [m] and margin of the learner's set-up, with one part wrong."""
    got, own = _got(n), parts(n, n["set_up"])
    line = (runs * (own.wraps + more) * own.run_cm + last * own.last_run_cm) / 100
    reach = line + (shaft * own.shaft_cm + hole * own.hole_cm) / 100
    stiff = own.stiffness_N / (got["line_length"] if length else 1.0)
    pull = got["speed_at_reach"] * np.sqrt((_rod(n).mass if mass else 1.0) * stiff)
    return line, reach, float(crimp * own.line_kgf * newton / pull)


def _end_right(n: Numbers) -> tuple[float, float, float]:
    got = _got(n)
    return got["line_length"], got["reach_from_muzzle"], got["line_margin"]


LINE = RowItem(
    key="line", title="Line, reach and margin", variable="line_sums", length=3,
    unit="m, m and a plain number", points=3, page="setup/whole", uses=("set_up", "budget"),
    tolerance=0.002,
    goal="Cut the line of a set-up, and say how far it reaches and what it holds.",
    outside="setup::test_the_stop_of_the_shaft_is_an_impact_on_a_bar",
    right=_end_right,
    slips=(
        Slip("one run a wrap", "a wrap goes back and forth again, so it has two runs.",
             lambda n: _end(n, runs=1)),
        Slip("one wrap too many", "this is one wrap too many; the last run is not a wrap, so "
             "count only the wraps of your line.",
             lambda n: _end(n, more=1)),
        Slip("last run forgotten", "the line also runs from the muzzle back to the hole at the "
             "shaft's tail: add the last run.", lambda n: _end(n, last=0)),
        Slip("shaft forgotten", "the reach is to the tip, but this is the line's end; add the "
             "shaft from its hole to the tip.",
             lambda n: _end(n, shaft=0, hole=0)),
        Slip("hole added", "the line is tied at the hole, ahead of the tail: take that centimetre "
             "away.", lambda n: _end(n, hole=1)),
        Slip("crimp forgotten", "the margin is that of a straight line; a crimp holds only a part "
             "of it, so multiply by that share.", lambda n: _end(n, crimp=1.0)),
        Slip("kgf over newtons", "the strength was left in kgf and the pull is in newtons; bring "
             "both to newtons.", lambda n: _end(n, newton=1.0)),
        Slip("length forgotten", "a long line is a softer spring: under the root, divide EA by "
             "the line's length.", lambda n: _end(n, length=False)),
        Slip("mass forgotten", "the shaft's mass is missing under the root of the pull; multiply "
             "by it there.",
             lambda n: _end(n, mass=False)),
    ),
)


def _arrive(n: Numbers, *, tail: bool = True, half: float = 2.0, sign: float = 1.0,
            time: str = "", fall: str = "", size: float = 100.0, share: float = 1.0
            ) -> tuple[float, float, float]:
    """Return speed [m/s], time [s] and drop at most [cm] at the fish, with one part wrong."""
    shaft, start = _rod(n), n["budget"][2]
    way = n.fish_m - (shaft.length if tail else 0.0)
    area = mean_drag_area(n, n["set_up"])
    a = sign * n.water_kg_m3 * area / (half * shaft.mass)
    speed = start * np.exp(-a * way)
    took = {"": (np.exp(a * way) - 1) / (a * start), "no drag": way / start,
            "last speed": way / speed}[time]
    steel, water = shaft.density, n.water_kg_m3
    g = STANDARD_GRAVITY * {"": (steel - water) / (steel + water), "air": 1.0,
                            "water left": (steel - water) / steel}[fall]
    return float(speed), float(took), float(share * g * took**2 / 2 * size)


def _arrive_right(n: Numbers) -> tuple[float, float, float]:
    shaft = _rod(n)
    way, water = n.fish_m - shaft.length, n.water_kg_m3
    speed, took = coast(way, n["budget"][2], shaft.mass, mean_drag_area(n, n["set_up"]), water)
    weight = (shaft.density - water) * shaft.volume * STANDARD_GRAVITY
    drop, _ = sink(took, weight, shaft.mass + water * shaft.volume, 0.0, water)
    return float(speed), float(took), float(100 * drop)


ARRIVAL = RowItem(
    key="arrival", title="Arrival at the fish", variable="arrival", length=3,
    unit="m/s, s and cm", points=3, page="setup/whole", uses=("set_up", "budget"),
    goal="Work out how fast and how low the shaft of a set-up arrives.",
    outside="setup::test_the_drop_lies_below_free_fall_and_not_far_below",
    right=_arrive_right,
    slips=(
        Slip("tip for tail", "the shaft flies from the muzzle with its tip already its own length "
             "ahead: take that length away.", lambda n: _arrive(n, tail=False)),
        Slip("two forgotten", "the drag slows the shaft twice as much as it should: a two stands "
             "beside the mass, under the fraction bar.", lambda n: _arrive(n, half=1.0)),
        Slip("sign", "the shaft speeds up here: the power of e is negative in the speed, positive "
             "in the time.", lambda n: _arrive(n, sign=-1.0)),
        Slip("time without drag", "the time is that of a shaft that never slows; use the formula "
             "with e.", lambda n: _arrive(n, time="no drag")),
        Slip("time at the last speed", "the time is that of a shaft that is slow all the way; use "
             "the formula with e.", lambda n: _arrive(n, time="last speed")),
        Slip("falls as in air", "the drop is that of a shaft in air; multiply by the fraction of "
             "the two densities.", lambda n: _arrive(n, fall="air")),
        Slip("added mass forgotten", "the drop leaves out the water that must move along: under "
             "the fraction bar, add its density to the steel's.",
             lambda n: _arrive(n, fall="water left")),
        Slip("half forgotten", "the drop is twice as large as it should be: it is half of g times "
             "time squared.",
             lambda n: _arrive(n, share=2.0)),
        Slip("metres", "the drop is in metres; multiply by a hundred for cm.",
             lambda n: _arrive(n, size=1.0)),
    ),
)


def _sides(n: Numbers) -> tuple[float, Any, Any]:
    """Return the best load, and how far each input alone takes it below and above [kgf]."""
    best, low, high = loads_moved(n, n["set_up"])
    return best, best - low, high - best


def _around(n: Numbers, below: float, above: float) -> tuple[float, float]:
    best, _, _ = _sides(n)
    return best - below, best + above


def _root(values: Any) -> float:
    return float(np.sqrt((np.asarray(values) ** 2).sum()))


def _doubt_right(n: Numbers) -> tuple[float, float]:
    best, low, high = loads_moved(n, n["set_up"])
    found = combine(best, {str(place): ends for place, ends in enumerate(zip(low, high,
                                                                             strict=True))})
    return found.low, found.high


def _both_sides(n: Numbers) -> tuple[float, float]:
    _, below, above = _sides(n)
    wider = _root(np.maximum(below, above))
    return _around(n, wider, wider)


def _doubt_with(n: Numbers, combined: Any) -> tuple[float, float]:
    _, below, above = _sides(n)
    return _around(n, float(combined(below)), float(combined(above)))


DOUBT = IntervalItem(
    key="doubt", title="Load of your set-up with its doubt", variable="load_kgf",
    unit="kgf", points=2, page="setup/doubt", uses=("set_up",),
    goal="Give a result with its doubt when each input moves it by a different amount.",
    outside="doubt::test_doubts_add_as_the_guide_to_uncertainty_says",
    right=_doubt_right,
    slips=(
        Slip("sum for root-sum-square", "the four were simply added, as if they always came "
             "together; square, add, and take the root.",
             lambda n: _doubt_with(n, lambda side: side.sum())),
        Slip("largest only", "only the largest of the four went in; all of them count, so add up "
             "all four squares.",
             lambda n: _doubt_with(n, lambda side: side.max())),
        Slip("root forgotten", "the squares were added and left so; take the root.",
             lambda n: _doubt_with(n, lambda side: (side**2).sum())),
        Slip("mean of the four", "the root of the mean was taken; the squares are added, not "
             "averaged.", lambda n: _doubt_with(n, lambda side: _root(side) / 2)),
        Slip("both sides alike", "the roller can only add load: each side has its own sum of "
             "squares.", _both_sides),
        Slip("sides exchanged", "the two sides are exchanged: what lowers the load belongs to the "
             "low end.", lambda n: _around(n, _root(_sides(n)[2]), _root(_sides(n)[1]))),
        Slip("high before low", "the two ends are in the wrong order: low first.",
             lambda n: _doubt_right(n)[::-1]),
        Slip("ends without the load", "these are the doubts alone; take one from the load and add "
             "the other to it.", lambda n: (_root(_sides(n)[1]), _root(_sides(n)[2]))),
    ),
)


def _next(n: Numbers, *, rank: int = -1, power: int = 2, percent: float = 100, left: str = "rest"
          ) -> tuple[float, float]:
    """Return the share of the largest input [%] and the high end when it is known [kgf]."""
    best, _, above = _sides(n)
    chosen = np.argsort(above)[rank]
    share = above[chosen] ** power / (above**power).sum()
    rest = {"rest": _root(np.delete(above, chosen)), "all": _root(above),
            "taken": _root(above) - float(above[chosen])}[left]
    return float(percent * share), best + rest


MEASURE_FIRST = RowItem(
    key="measure_first", title="What to measure first", variable="measure_first",
    unit="% and kgf", points=2, page="setup/doubt", uses=("set_up",), tolerance=0.002,
    goal="Say which input to measure first, and what measuring it gains.",
    outside="doubt::test_sobols_g_function",
    right=_next,
    slips=(
        Slip("second for first", "this is not the input that moves the high end most; compare the "
             "four squares.", lambda n: _next(n, rank=-2)),
        Slip("widths for squares", "the share is of the squares, not of the widths themselves; "
             "square each width first.",
             lambda n: _next(n, power=1)),
        Slip("a share for per cent", "the share is wanted in per cent; multiply it by a hundred.",
             lambda n: _next(n, percent=1.0)),
        Slip("nothing gained", "the second number still has all the doubt; leave the square of the "
             "measured input out.", lambda n: _next(n, left="all")),
        Slip("width taken away", "the width was taken off the whole doubt; take its square off the "
             "sum of squares.", lambda n: _next(n, left="taken")),
        Slip("load left out", "the second number is the doubt alone; add it to the load.",
             lambda n: (_next(n)[0], _next(n)[1] - _sides(n)[0])),
    ),
)


def _plot_faults(drawn: Drawn, n: Numbers) -> str:
    cuts, loads, speeds = sweep(n, n["set_up"])
    if not drawn.x_label or not drawn.y_label:
        return "no axis labels"

    def runs(x: Any, y: Any) -> bool:
        order = np.argsort(x)
        return drawn.follows(lambda at: np.interp(at, x[order], y[order]), x, CURVE_TOLERANCE,
                             least=len(x) - 2)

    if not runs(loads, speeds):
        if runs(speeds, loads):
            return "axes swapped"
        return "length plotted" if runs(cuts, speeds) or runs(cuts, loads) else "no curve"
    if "kgf" not in drawn.x_label or "m/s" not in drawn.y_label:
        return "no unit"
    upright = [curve for curve in drawn.curves if len(curve) > 1 and np.ptp(curve[:, 0]) == 0]
    if not upright:
        return "no limit"
    if not any(abs(curve[0, 0] / n["diver"][0] - 1) < CURVE_TOLERANCE / 4 for curve in upright):
        return "limit elsewhere"
    return ""


def _plot(n: Numbers, *, labels: tuple[str, str] = ("load in kgf", "muzzle speed in m/s"),
          swap: bool = False, length: bool = False, curve: bool = True,
          limit: float | None = 1.0) -> Any:
    """Draw the sweep as a learner would, with one thing wrong if asked."""
    from matplotlib.figure import Figure

    axes = Figure().add_subplot()
    cuts, loads, speeds = sweep(n, n["set_up"])
    if curve:
        x = cuts if length else loads
        axes.plot(*((speeds, x) if swap else (x, speeds)))
    if limit is not None:
        axes.axvline(limit * n["diver"][0])
    axes.set_xlabel(labels[swap])
    axes.set_ylabel(labels[not swap])
    return axes


TRADE_OFF = PlotItem(
    key="trade_off", title="Speed against load", variable="axes",
    unit="", points=2, page="setup/choose", uses=("diver", "set_up"), tolerance=CURVE_TOLERANCE,
    faults=_plot_faults,
    goal="Draw what more load buys, with the limit of the diver in it.",
    outside="setup::test_the_size_of_the_pareto_set_of_a_published_data_set",
    right=_plot,
    slips=(
        Slip("no curve", "the curve is missing: draw the speeds over the loads, all 25.",
             lambda n: _plot(n, curve=False)),
        Slip("no axis labels", "somebody else must be able to read it: label both axes.",
             lambda n: _plot(n, labels=("", ""))),
        Slip("axes swapped", "the load belongs on the level axis and the speed on the upright "
             "one.", lambda n: _plot(n, swap=True)),
        Slip("length plotted", "the level axis shows the relaxed length; put the load there, and "
             "the speed on the upright one.",
             lambda n: _plot(n, length=True)),
        Slip("no unit", "say the units in the labels: kgf on the level axis, m/s on the upright "
             "one.", lambda n: _plot(n, labels=("load", "muzzle speed"))),
        Slip("no limit", "the diver's limit is missing: draw an upright line at the load that you "
             "worked out in item 1.", lambda n: _plot(n, limit=None)),
        Slip("limit elsewhere", "the upright line does not stand at this diver's limit: put it at "
             "the load of item 1.",
             lambda n: _plot(n, limit=1 / (1 - n.keep_percent / 100))),
    ),
)


def _friend_faults(design: Design, n: Numbers) -> str:
    """Return what is wrong with a set-up that a weaker friend is to load after one change."""
    own = n["set_up"]
    moved = [name for (name, _), mine, now in zip(ASKS, own, design, strict=True)
             if (mine != now if isinstance(mine, str) else abs(mine - now) > ROUNDING)]
    if not moved:
        return "nothing changed"
    if len(moved) > 1:
        return "two changes"
    if moved == ["the load assist"]:
        return "assist for band"
    if moved[0] in ("the shaft", "the line"):
        return "no part that pulls"
    before, got = evaluate(n, own), evaluate(n, design)
    if got["reach_spare"] < min(0.0, before["reach_spare"]) - ROUNDING:
        return "out of reach"
    if got["load"] > before["load"]:
        return "harder than before"
    if got["load"] / STANDARD_GRAVITY > n.friend_kgf * (1 - n.keep_percent / 100) + ROUNDING:
        return "still too hard"
    return ""


def _for_friend(n: Numbers, *, cut: float | None = None, place: int = 1,
                other: Any = None) -> Design:
    """Return the learner's set-up with another cut length, or with another part in one place."""
    own = list(n["set_up"])
    if other is not None:
        own[place] = other
        return tuple(own)
    measures = parts(n, n["set_up"])
    path = measures.upper_cm + measures.lower_cm
    own[1] = float(np.ceil(_cut(n, n.friend_kgf * (1 - n.keep_percent / 100), measures.tube_mm,
                                path))) if cut is None else cut
    return tuple(own)


def _another(letters: str, one: str) -> str:
    return next(letter for letter in letters if letter != one)


FRIEND = DesignItem(
    key="friend", title="One change for a friend", variable="for_friend",
    unit="", points=3, page="setup/choose", uses=("set_up",), asks=ASKS, tolerance=0.0,
    faults=_friend_faults,
    goal="Change one part so that somebody else can load the gun.",
    outside="stretch::test_the_load_of_the_rule_stands_in_proportion_to_what_people_can",
    right=_for_friend,
    slips=(
        Slip("two changes", "more than one thing is changed: nobody can tell then which change did "
             "what.", lambda n: (*_for_friend(n)[:5], n["set_up"][5] + 1)),
        Slip("nothing changed", "this is your own set-up; change one part of it.",
             lambda n: n["set_up"]),
        Slip("assist for band", "a load assist brings the grip nearer; the last pull stays as "
             "hard as before. Change something else.",
             lambda n: _for_friend(n, place=5, other=n["set_up"][5] + 2)),
        Slip("no part that pulls", "neither shaft nor line pulls on the notch: the load stays as "
             "it was. Change something else.",
             lambda n: _for_friend(n, place=3, other=_another("ABCD", n["set_up"][3]))),
        Slip("harder than before", "this pulls harder than before; a longer leg or a thinner tube "
             "pulls less.", lambda n: _for_friend(n, cut=n["set_up"][1] - 1)),
        Slip("still too hard", "it pulls less, but still more than the friend brings less what is "
             "kept in hand; go further.", lambda n: _for_friend(n, cut=n["set_up"][1] + 1)),
        Slip("out of reach", "the friend does not reach one of the two grips with this change; "
             "change something else.",
             lambda n: _for_friend(n, place=2, other=_longest(n))),
    ),
)


def _longest(n: Numbers) -> str:
    return str(n["shelf"].letter("barrels", max(n["shelf"].barrels)))


def _pair_faults(pair: Design, n: Numbers) -> str:
    """Return what is wrong with two of the six guns."""
    six = six_guns(n)
    rows = [GUNS.index(letter) for letter in pair]
    if rows[0] == rows[1]:
        return "one gun twice"
    if any(six.load_kgf[row] > n.limit_kgf for row in rows):
        return "too hard"
    for place, energies in enumerate((six.cave_J, six.reef_J, six.blue_J)):
        if not any(energies[row] >= six.least_J[place] and six.reach_m[row] >= six.ranges_m[place]
                   and (place > 0 or six.barrel_cm[row] <= six.longest_cm) for row in rows):
            return "cave left out" if place == 0 else "far fish left out"
    if six.tube_mm[rows[0]] != six.tube_mm[rows[1]]:
        return "tubes differ"
    return "" if six.shaft_mm[rows[0]] == six.shaft_mm[rows[1]] else "shafts differ"


def _pair(n: Numbers, fault: str = "") -> Design:
    return next(pair for pair in product(GUNS, repeat=2) if _pair_faults(pair, n) == fault)


TWO_GUNS = DesignItem(
    key="two_guns", title="Two guns for three places", variable="two_guns",
    unit="", points=3, page="setup/choose", faults=_pair_faults, tolerance=0.0,
    asks=(("the first gun", GUNS), ("the second gun", GUNS)),
    goal="Choose two guns that cover what one cannot, and keep the rest alike.",
    outside="setup::test_a_search_keeps_what_moocore_keeps",
    right=_pair,
    slips=(
        Slip("one gun twice", "this is one gun twice; no single one covers the cave and the far "
             "fish, so choose two.",
             lambda n: _pair(n, "one gun twice")),
        Slip("too hard", "one of them asks for more than this diver brings less what is kept in "
             "hand; take another.", lambda n: _pair(n, "too hard")),
        Slip("cave left out", "neither can be turned in the cave and hits hard enough there; "
             "compare barrels and energies.",
             lambda n: _pair(n, "cave left out")),
        Slip("far fish left out", "reef or blue water is left out: neither reaches the fish there "
             "with enough energy; take a longer gun.", lambda n: _pair(n, "far fish left out")),
        Slip("tubes differ", "they need two kinds of tube: two rolls to buy and to mix up. Keep "
             "the tube alike.", lambda n: _pair(n, "tubes differ")),
        Slip("shafts differ", "they need shafts of two diameters: keep the diameter alike, so that "
             "one spare tip and one feel serve both.", lambda n: _pair(n, "shafts differ")),
    ),
)


def _tuned(n: Numbers, *, ratio: float | None = None, cut: float | None = None,
           shown: float | None = None, **wrong: Any) -> tuple[float, float]:
    """Return the tube's corrected factor, and the cut that brings back the computed load."""
    own, load = parts(n, n["set_up"]), _got(n)["load"] / STANDARD_GRAVITY
    times = measured(n, n["set_up"])[0] / load if ratio is None else ratio
    again = _cut(n, load, own.tube_mm, own.upper_cm + own.lower_cm, factor=times, **wrong)
    return n.tube_factor * times if shown is None else shown, again if cut is None else cut


def _ratio(n: Numbers) -> float:
    return measured(n, n["set_up"])[0] / (_got(n)["load"] / STANDARD_GRAVITY)


TUNE = RowItem(
    key="tune", title="The tube, corrected by the scale", variable="tuned",
    unit="a plain number and cm", points=2, page="setup/tune", uses=("set_up",), tolerance=0.003,
    goal="Correct a tube's stiffness by one weighing, and cut again.",
    outside="stretch::test_felupe_running_now_fits_the_same_constants",
    right=_tuned,
    slips=(
        Slip("upside down", "the ratio is the wrong way round: it is the load weighed over the "
             "load computed.", lambda n: _tuned(n, ratio=1 / _ratio(n))),
        Slip("ratio for the factor", "this is the ratio of the two loads; the tube's old factor is "
             "multiplied by it.", lambda n: _tuned(n, shown=_ratio(n))),
        Slip("not cut anew", "the relaxed length is the old one; with the corrected tube another "
             "length gives the load that you wanted.",
             lambda n: _tuned(n, cut=n["set_up"][1])),
        Slip("cut in proportion", "the length was changed as the load; rubber is no such spring. "
             "Go by way of the stress.", lambda n: _tuned(n, cut=n["set_up"][1] * _ratio(n))),
        Slip("old tube", "the stress was multiplied by the ratio; divide by it: a stiffer tube is "
             "stretched less by the same pull.", lambda n: _tuned(
                 n, cut=_tuned(n, ratio=1 / _ratio(n))[1])),
        Slip("one leg", "the cut length puts the whole load on one leg; there are two, so each "
             "carries half of it.",
             lambda n: _tuned(n, legs=1)),
    ),
)


def _slowing(n: Numbers, *, start: float | None = None, tail: float = 1.0, part: float = 1.0,
             sign: float = 1.0, only: float = 1.0) -> Any:
    """Return the speed over the tip's range, from two measured speeds, with one part wrong."""
    _, first, last = measured(n, n["set_up"])
    length = _rod(n).length
    a = sign * part * np.log(first / last) / (n.fish_m - tail * length)
    begins = first if start is None else start
    return lambda r: begins * np.exp(-a * (r - only * tail * length))


def _straight(n: Numbers) -> Any:
    _, first, last = measured(n, n["set_up"])
    length = _rod(n).length
    return lambda r: first - (first - last) * (r - length) / (n.fish_m - length)


def _slowing_right(n: Numbers) -> Any:
    _, first, last = measured(n, n["set_up"])
    shaft, water = _rod(n), n.water_kg_m3
    area = np.log(first / last) * 2 * shaft.mass / (water * (n.fish_m - shaft.length))
    return lambda r: float(coast(np.maximum(r - shaft.length, 0.0), first, shaft.mass, area,
                                 water)[0])


DECAY = FunctionItem(
    key="decay", title="Speed on the way, as measured", variable="speed_mps",
    unit="m/s", points=3, page="setup/tune", uses=("set_up",),
    inputs=lambda n: (2.5, 3.0, 4.0, 5.0),
    goal="Turn two measured speeds into the speed at any range.",
    outside="flight::speed after 3 m with a drag length of 5 m, v0 e^(-x/L)",
    right=_slowing_right,
    slips=(
        Slip("tip for tail", "the shaft has flown its range less its own length: take the length "
             "away, in both places.", lambda n: _slowing(n, tail=0.0)),
        Slip("tip for tail at the end", "the way to the range that is asked for is too long: take "
             "the shaft's length away there too.", lambda n: _slowing(n, only=0.0)),
        Slip("speeds up", "your shaft gets faster on its way; the power of e is negative.",
             lambda n: _slowing(n, sign=-1.0)),
        Slip("common logarithm", "this is the logarithm to the base ten; the power of e wants the "
             "natural one, log.", lambda n: _slowing(n, part=1 / np.log(10))),
        Slip("straight line", "this is a straight line through the two speeds, but a fast shaft "
             "slows more; use the formula with e.", _straight),
        Slip("computed speed", "the speed at the muzzle is the computed one; begin with the "
             "measured one.", lambda n: _slowing(n, start=_got(n)["muzzle_speed"])),
        Slip("the same at every range", "your function gives the same speed at every range; use "
             "the range_m of its first line.",
             lambda n: lambda r: measured(n, n["set_up"])[2] + 0 * r),
    ),
)


VALUE_TOLERANCE = 0.01


def _mended(n: Numbers) -> dict[str, float]:
    """Return the claims that are wrong, each with what it should be."""
    _, right = proposal(n)
    return {CLAIMS[place]: float(right[place]) for place in WRONG_CLAIMS[int(n.wrong_claims)]}


def _claim_faults(answer: Design, n: Numbers) -> str:
    """Return what is wrong with three letters and what those sums should be."""
    named, mended = dict(zip(answer[::2], answer[1::2], strict=True)), _mended(n)
    said = dict(zip(CLAIMS, proposal(n)[0], strict=True))
    if len(named) < len(mended):
        return "one letter twice"
    accused = len(set(named) - set(mended))
    if accused:
        return ("the right ones named", "two sound claims accused", "a sound claim accused")[
            len(mended) - accused]

    def off(value: float, wanted: float) -> bool:
        return abs(value - wanted) > VALUE_TOLERANCE * abs(wanted)

    wrong = [letter for letter in named if off(named[letter], mended[letter])]
    if any(not off(named[letter], float(said[letter])) for letter in wrong):
        return "the wrong value kept"
    return "a value still off" if wrong else ""


def _claims(n: Numbers, *, sound: int = 0, kept: bool = False, off: float = 1.0,
            twice: bool = False) -> Design:
    """Return letters and values as somebody would give them, with one thing wrong if asked."""
    said, mended = dict(zip(CLAIMS, proposal(n)[0], strict=True)), _mended(n)
    holds = [letter for letter in CLAIMS if letter not in mended]
    pairs = [*((letter, float(said[letter])) for letter in holds[:sound]), *mended.items()][:3]
    if kept:
        pairs[0] = pairs[0][0], float(said[pairs[0][0]])
    if twice:
        pairs[1] = pairs[0]
    pairs[2] = pairs[2][0], pairs[2][1] * off
    return tuple(one for pair in pairs for one in pair)


SPOT = DesignItem(
    key="spot", title="What is wrong with Kim's set-up", variable="wrong_claims",
    unit="", points=3, page="setup/check", faults=_claim_faults,
    tolerance=VALUE_TOLERANCE,
    asks=(("the first letter", CLAIMS), ("its right value", ""), ("the second letter", CLAIMS),
          ("its right value", ""), ("the third letter", CLAIMS), ("its right value", "")),
    goal="Read somebody else's set-up, find the sums that cannot be right, and mend them.",
    outside="line::test_the_second_wrap_adds_twice_the_barrel",
    right=_claims,
    slips=(
        Slip("the right ones named", "all three that you name are right; wanted are those that "
             "are not.",
             lambda n: _claims(n, sound=3)),
        Slip("two sound claims accused", "two of those that you name are right: work them out "
             "once more, with the formulas of their units.", lambda n: _claims(n, sound=2)),
        Slip("a sound claim accused", "one of those that you name is right: work all three out, "
             "and look at units and at what is counted.", lambda n: _claims(n, sound=1)),
        Slip("one letter twice", "you name one letter twice; three different sums are wrong, so "
             "find another.",
             lambda n: _claims(n, twice=True)),
        Slip("the wrong value kept", "the letters are right, but beside one of them stands Kim's "
             "own value; give what it should be.", lambda n: _claims(n, kept=True)),
        Slip("a value still off", "the letters are right; one of the values beside them is not "
             "yet. Work them out once more.", lambda n: _claims(n, off=1.5)),
    ),
)

SAFETY_CHOICE = ChoiceItem(
    key="safety_choice", title="Before the first shot", variable="before_the_shot",
    unit="", points=2, page="setup/check", tolerance=0.0, letters="ABCDEF",
    goal="Decide how a computed set-up is tried for the first time.",
    outside="setup::test_the_recipe_of_the_trade_loads_as_strong_divers_do",
    right=lambda n: "ACE",
    slips=(
        Slip("everything at once", "B tries several new parts at once; then nobody knows which "
             "did what. One part at a time.", lambda n: "ABCE"),
        Slip("number as permission", "D takes kept limits for permission; they are an estimate "
             "and no more. Leave it out.", lambda n: "ACDE"),
        Slip("law and maker last", "F looks them up too late: maker's limits and local law come "
             "before the first trial.", lambda n: "ACEF"),
        Slip("no steps", "something is missing: think of how a load is built up.",
             lambda n: "CE"),
        Slip("rigger decides", "something is missing: think of who says stop.", lambda n: "AE"),
        Slip("number over scale", "something is missing: think of a scale that shows more than the "
             "sum.", lambda n: "AC"),
    ),
)

EXERCISE = Exercise(
    key="setup",
    version="1",
    pages={
        "setup/whole": "A whole set-up, from question to finish",
        "setup/doubt": "How sure, and what to measure first",
        "setup/choose": "Choosing: more of one is less of another",
        "setup/tune": "Tuning at the target",
        "setup/check": "Reading somebody else's set-up",
    },
    draws=(
        Draw("capacity_kgf", "load that your diver brings onto the notch", tuple(range(38, 58, 2))),
        Draw("keep_percent", "of it, what your diver keeps in hand, per cent", (5, 8, 10, 12)),
        Draw("reach_cm", "how far ahead of the notch your diver takes hold",
             (74, 77, 80, 83, 86, 89)),
        Draw("water_C", "temperature of the water, °C", (8, 12, 16, 20, 24)),
        Draw("salt_g_kg", "", (0, 7, 18, 35, 38)),
        Draw("tube_factor", "pull of your rolls of tube over the test rubber's, weighed in this "
             "water", (0.9, 0.94, 0.97, 1.04, 1.08, 1.12, 1.16, 1.2)),
        Draw("thin_mm", "", (14.0, 14.5, 15.0)),
        Draw("base_cm", "", (90, 95, 100, 105, 110)),
        Draw("longer_cm", "how much longer than its barrel every shaft is", (35, 38, 40, 42, 45)),
        Draw("strong_kgf", "", (320, 350, 380, 410, 440)),
        Draw("weak_kgf", "", (60, 65, 70, 75)),
        Draw("fish_percent", "", (76, 80, 84, 88, 92)),
        Draw("tube_order", "", tuple(range(6))),
        Draw("barrel_order", "", tuple(range(24))),
        Draw("shaft_order", "", tuple(range(24))),
        Draw("line_order", "", tuple(range(24))),
        Draw("tube_doubt_percent", "doubt about the tube, ± per cent", (4, 5, 6, 7, 8)),
        Draw("cut_doubt_mm", "doubt about the relaxed length, ± mm", (4, 5, 6, 8, 10)),
        Draw("roller_friction", "the most that the roller's friction could be",
             (0.03, 0.04, 0.05, 0.06, 0.08)),
        Draw("water_doubt_C", "doubt about the water's temperature, ± °C", (2, 3, 4, 5, 6)),
        Draw("cave_m", "", (2.0, 2.1, 2.2, 2.3, 2.4)),
        Draw("gun_order", "", tuple(range(720))),
        Draw("true_tube", "", (0.86, 0.89, 0.92, 1.08, 1.12, 1.16)),
        Draw("true_drag", "", (0.85, 0.9, 1.12, 1.2, 1.28)),
        Draw("kim_barrel_cm", "", tuple(range(90, 135, 5))),
        Draw("kim_relaxed_cm", "relaxed length of Kim's leg", (54, 56, 58, 61, 63, 66, 68)),
        Draw("kim_leg_N", "pull of one of Kim's legs when loaded", tuple(range(170, 260, 7))),
        Draw("kim_shaft_mm", "diameter of Kim's shaft", (6.5, 7.0, 7.5, 8.0)),
        Draw("kim_longer_cm", "", (35, 40, 45)),
        Draw("kim_wraps", "wraps of Kim's line", (1, 2, 3)),
        Draw("kim_energy_J", "energy that Kim's shaft gets", tuple(range(90, 180, 8))),
        Draw("kim_tube_percent", "Kim's doubt about the tube, per cent", (6, 7, 8, 9, 10)),
        Draw("kim_scale_percent", "Kim's doubt about the scale, per cent", (3, 4, 5)),
        Draw("wrong_claims", "", tuple(range(35))),
    ),
    derive=limits,
    meanings={
        "water_kg_m3": "density of the water",
        "friend_kgf": "load that a friend brings, who reaches as far",
        "longest_cm": "longest barrel that can be turned in that place",
        "fish_m": "distance of the fish from the muzzle",
        "most_drop_cm": "the most that the shaft may drop on its way",
        "least_energy_J": "the least energy that it must arrive with",
        "least_lift_N": "the least that the gun must lift with the shaft out",
        "first_tube_mm": "the tube to begin with",
        "first_barrel_cm": "the barrel to begin with",
        "first_upper_cm": "upper run on that barrel",
        "first_lower_cm": "lower run on that barrel",
        "kim_shaft_cm": "length of Kim's shaft",
        "kim_upper_cm": "upper run of Kim's leg",
        "kim_lower_cm": "lower run of Kim's leg",
        "kim_run_cm": "one run of Kim's line along the gun",
        "kim_last_run_cm": "last run of Kim's line, to the shaft",
    },
    safety={
        "setup/whole": "A number is never permission: the diver who loads decides, not the rigger "
                       "who computed.",
        "setup/doubt": "Plan for the high end of the load's interval, and for the low end of the "
                       "line's margin.",
        "setup/choose": "A gun that somebody else loads is fitted to that person: their pull, "
                        "their reach, their word.",
        "setup/tune": "Change one part at a time, and build the load up in steps.",
        "setup/check": "Maker's limits, local law and a certified instructor come before any "
                       "number.",
    },
    items=(DIVER, SET_UP, BUDGET, TRIM, LINE, ARRIVAL, DOUBT, MEASURE_FIRST, TRADE_OFF, FRIEND,
           TWO_GUNS, TUNE, DECAY, SPOT, SAFETY_CHOICE),
)
