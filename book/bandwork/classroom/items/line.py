"""The exercise `line`: from the path on the loaded gun to a line that holds the end of its run.

Right answers come from the library. Every slip is the code of somebody who makes that one mistake
and nothing else. The swing is asked with an even drag, that of the run's middle, which can be done
by hand; the book says how far the library's own swing differs.
"""

from typing import Any

import numpy as np

from bandwork import line
from bandwork.classroom.checks import (
    ChoiceItem,
    DesignItem,
    Drawn,
    Exercise,
    FunctionItem,
    Item,
    PlotItem,
    RowItem,
    Slip,
)
from bandwork.classroom.learner import Draw, Numbers
from bandwork.components import Barrel, Shaft, ShootingLine
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.units import STANDARD_GRAVITY

WATER = 1025.0
"""Density of the exercise's sea water [kg/m3]."""
DRAG = lookup("line.cross_flow_drag").value
ATTACHMENT_CM = 1.0
LENGTH_TOLERANCE = 0.003
PULL_TOLERANCE = 0.005
CURVE_TOLERANCE = 0.02
WRAPS = np.array([1, 2, 3])
GUN_ENDS = ("hmpe_knot", "hmpe_splice")
LOOKED_AT_CM = (1.0, 2.0, 3.0, 4.0, 5.0)

SPOOLS = {"A": (1100.0, 60e3, 90e3), "B": (1500.0, 80e3, 130e3), "C": (2000.0, 110e3, 180e3),
          "D": (1000.0, 5e3, 8e3)}
"""Shelf of lines: low breaking strength [N], stiffness EA best and high [N]. Invented."""
ENDS = {"K": "hmpe_knot", "C": "crimp", "S": "hmpe_splice"}
BUNGEES = {"E": 0.0, "F": 0.15, "G": 0.30}
"""Shelf of bungees: relaxed length [m]."""
SOFTEST = ("D", "C", "G")
"""The rig of the shelf with the softest stop: nylon, crimped, with the long bungee."""
WRAPS_THERE = (0, 1, 2, 3)
ASKED_OF_SOFTEST = 0.7
"""Part of the softest rig's margin that the design must reach."""


def _barrel(n: Numbers) -> Barrel:
    return Barrel(n.barrel_cm / 100)


def _shaft(n: Numbers) -> Shaft:
    """Return the learner's shaft, as heavy as the rounded grams say."""
    diameter, length = n.shaft_mm / 1000, n.shaft_cm / 100
    volume = np.pi / 4 * diameter**2 * length
    return Shaft(diameter, length, density=n.shaft_g / 1000 / volume, overhang=n.overhang_cm / 100)


def _lie(n: Numbers) -> line.LineRun:
    return line.LineRun(release_position=n.release_cm / 100, anchor_offset=n.anchor_cm / 100,
                        attachment=ATTACHMENT_CM / 100, fittings=n.fittings_cm / 100,
                        friction=n.friction)


def _rope(n: Numbers, bungee: bool = True, wraps: Any = None) -> ShootingLine:
    return ShootingLine(n.line_mm / 1000, wraps=n.wraps if wraps is None else wraps,
                        stiffness=n.stiffness_N, bungee_length=n.bungee_cm / 100 if bungee else 0.0,
                        bungee_stiffness=n.bungee_N)


def _path(n: Numbers) -> float:
    """Path of the line on the loaded gun [cm]."""
    return float(line.laid_length(_barrel(n), _shaft(n), _rope(n), _lie(n)) * 100)


def _between(n: Numbers) -> float:
    """Line between its fastenings [cm], on the learner's path."""
    return float(n["path"] - n.bungee_cm - n.fittings_cm)


def _measures(n: Numbers, learner: str) -> dict[str, Any]:
    """Return what follows from the draws: measures on the gun, cord and ends, what is wanted."""
    shaft_cm = n.barrel_cm + n.longer_cm
    run_cm = n.barrel_cm + n.anchor_cm - n.release_cm
    mass = Shaft(n.shaft_mm / 1000, shaft_cm / 100).mass
    cord, gun_end = line.cord_strength(n.line_mm / 1000), lookup(
        f"termination.{GUN_ENDS[n.gun_end]}").interval
    crimp = lookup("termination.crimp").interval
    whole = Numbers({**n, "shaft_cm": shaft_cm, "shaft_g": round(float(mass) * 1000)})
    last = line.laid_length(_barrel(whole), _shaft(whole), _rope(whole, wraps=0), _lie(whole))
    own = {
        "shaft_cm": shaft_cm,
        "shaft_g": round(float(mass) * 1000),
        "run_cm": run_cm,
        "last_run_cm": round(float(last) * 100, 1),
        "shaft_ahead_cm": shaft_cm - ATTACHMENT_CM,
        "grip_cm": n.barrel_cm + n.anchor_cm + n.handle_cm,
        "middle_cm": round(n.arm_cm + n.handle_cm + n.release_cm + run_cm / 2),
        "cord_low_N": round(cord.low * n.cord_low, -1),
        "cord_high_N": round(cord.high * n.cord_high, -1),
        "gun_end_low": gun_end.low, "gun_end_high": gun_end.high,
        "crimp_low": crimp.low, "crimp_high": crimp.high,
    }
    own["wanted_reach_m"] = round(_tip({**own, "wraps": n.wanted_wraps}) - n.spare_m, 1)
    known = Numbers({**n, **own})
    softest = margin_of_rig(known, (*SOFTEST, n.wanted_wraps))
    return {**own, "least_margin": round(ASKED_OF_SOFTEST * softest, 1)}


def _tip(n: Any) -> float:
    """From the muzzle to the tip with the line straight [m]."""
    return float(2 * n["wraps"] * n["run_cm"] + n["last_run_cm"] + n["shaft_ahead_cm"]) / 100


PATH = Item(
    key="path", title="Path of the line", variable="path_cm", unit="cm", points=1,
    page="line/length", tolerance=LENGTH_TOLERANCE,
    goal="Work out how long the path of a shooting line on the loaded gun is.",
    outside="line::test_the_second_wrap_adds_twice_the_barrel",
    right=_path,
    slips=(
        Slip("one run a wrap", "a wrap goes back and forth again, so it has two runs.",
             lambda n: n.wraps * n.run_cm + n.last_run_cm),
        Slip("one wrap too many", "this is one wrap too many; the last piece, from the muzzle "
             "back to the shaft's hole, does not count as a wrap.",
             lambda n: 2 * (n.wraps + 1) * n.run_cm + n.last_run_cm),
        Slip("last run forgotten", "the line also runs from the muzzle back to the hole at the "
             "shaft's tail; add that piece.", lambda n: 2 * n.wraps * n.run_cm),
        Slip("run for the last run", "the last piece is longer than a run, as the shaft's tail "
             "stands behind the line release; take my.last_run_cm for it.",
             lambda n: (2 * n.wraps + 1) * n.run_cm),
        Slip("shaft for the last run", "the last piece ends at the shaft's tail, but it is not as "
             "long as the shaft; take my.last_run_cm for it.",
             lambda n: 2 * n.wraps * n.run_cm + n.shaft_ahead_cm),
        Slip("last run in every wrap", "the last run comes once, not in each wrap; only the run "
             "is multiplied.", lambda n: 2 * n.wraps * (n.run_cm + n.last_run_cm)),
    ),
)


def _spool(n: Numbers, *, runs: float = 2, more: float = 0, last: float = 1, take_up: float = 2,
           bungee: float = -1, fittings: float = -1) -> Any:
    """Cord to cut off the spool [cm] for each number of wraps, with one part wrong if asked."""
    path = runs * (WRAPS + more) * n.run_cm + last * n.last_run_cm
    return path + bungee * n.bungee_cm + fittings * n.fittings_cm + take_up * n.take_up_cm


def _cord(n: Numbers) -> Any:
    between = line.line_length(_barrel(n), _shaft(n), _rope(n, wraps=WRAPS), _lie(n))
    return between * 100 + 2 * n.take_up_cm


CORD = RowItem(
    key="cord", title="Cord to cut", variable="cords_cm", unit="cm", points=2, length=3,
    page="line/length", tolerance=LENGTH_TOLERANCE,
    goal="Tabulate the cord to cut off the spool for one, two and three wraps.",
    outside="line::test_a_single_wrap_on_a_120_reaches_about_5_m_from_the_muzzle",
    right=_cord,
    slips=(
        Slip("knots forgotten", "knots and crimps take up cord too; add it for both ends.",
             lambda n: _spool(n, take_up=0)),
        Slip("one end", "a line has two ends; add what the fastenings take up for both.",
             lambda n: _spool(n, take_up=1)),
        Slip("take-up taken away", "what the fastenings take up must be cut on top, not taken "
             "away.", lambda n: _spool(n, take_up=-2)),
        Slip("bungee added", "the bungee covers a piece of the path, so the cord is shorter by "
             "it.", lambda n: _spool(n, bungee=1)),
        Slip("bungee forgotten", "a piece of the path is bungee; take its length away.",
             lambda n: _spool(n, bungee=0)),
        Slip("fittings added", "swivel and shackle cover a piece of the path, so the cord is "
             "shorter by them.", lambda n: _spool(n, fittings=1)),
        Slip("fittings forgotten", "swivel and shackle cover a piece of the path; take their "
             "length away.",
             lambda n: _spool(n, fittings=0)),
        Slip("one run a wrap", "each wrap has two runs, back and forth again; count both.",
             lambda n: _spool(n, runs=1)),
        Slip("one wrap too many", "every number is one wrap too many; begin with one wrap.",
             lambda n: _spool(n, more=1)),
        Slip("last run forgotten", "the last run, from the muzzle back to the shaft's hole, is "
             "missing; add it once.", lambda n: _spool(n, last=0)),
    ),
)


def _ahead(n: Numbers, path: float, shaft: float) -> tuple[float, float]:
    tip = (path + shaft) / 100
    return float(tip), float(tip + (n.grip_cm + n.arm_cm) / 100)


def _reach(n: Numbers) -> tuple[float, float]:
    return _ahead(n, n["path"], n.shaft_ahead_cm)


REACH = RowItem(
    key="reach", title="Reach", variable="reach", unit="m", points=2, uses=("path",),
    page="line/length", tolerance=LENGTH_TOLERANCE,
    goal="Work out the reach from the muzzle and from the diver.",
    outside="line::test_a_single_wrap_on_a_120_reaches_about_7_m_from_the_diver",
    right=_reach,
    slips=(
        Slip("shaft forgotten", "the line ends at the shaft's tail, but the tip is what hits; add "
             "the shaft from its hole to the tip.", lambda n: _ahead(n, n["path"], 0)),
        Slip("cord for path", "bungee and fittings come straight too, so they count; take the "
             "whole path.", lambda n: _ahead(n, _between(n), n.shaft_ahead_cm)),
        Slip("knots counted", "what knots and crimps take up gives no reach; take the path, not "
             "the cord off the spool.",
             lambda n: _ahead(n, n["path"] + 2 * n.take_up_cm, n.shaft_ahead_cm)),
        Slip("arm forgotten", "the second number ends at the hand; the diver's shoulder is an "
             "arm's length farther back.", lambda n: (_reach(n)[0],
                                                       _reach(n)[0] + n.grip_cm / 100)),
        Slip("gun forgotten", "the second number has the arm but not the gun; add the way from "
             "the muzzle back to the hand.",
             lambda n: (_reach(n)[0], _reach(n)[0] + n.arm_cm / 100)),
        Slip("arm taken away", "the diver is farther from the tip than the muzzle is; add gun and "
             "arm.", lambda n: (_reach(n)[0], 2 * _reach(n)[0] - _reach(n)[1])),
        Slip("same number twice", "the second number is still from the muzzle; add gun and arm.",
             lambda n: (_reach(n)[0],) * 2),
        Slip("other order", "the two are in the wrong order: from the muzzle first, then from the "
             "diver.", lambda n: _reach(n)[::-1]),
    ),
)


def _bow(n: Numbers, slack_cm: Any) -> Any:
    return line.bow(np.asarray(slack_cm) / 100, n.run_cm / 100) * 100


BOW = FunctionItem(
    key="bow", title="Bow of a slack run", variable="bow_cm", unit="cm", points=2,
    page="line/slack", inputs=lambda n: (0.5, 1.0, 2.0, 4.0),
    goal="Write a function for the bow of a run from its slack.",
    outside="line::test_moorpy_hangs_a_line_as_deep",
    right=lambda n: lambda slack: _bow(n, slack),
    slips=(
        Slip("root forgotten", "this is the square of the bow; take the root with sqrt( ).",
             lambda n: lambda slack: _bow(n, slack) ** 2),
        Slip("halved for rooted", "half of it is not its root; use sqrt( ).",
             lambda n: lambda slack: _bow(n, slack) ** 2 / 2),
        Slip("fraction upside down", "the fraction is the wrong way round: it is three over eight.",
             lambda n: lambda slack: _bow(n, slack) * 8 / 3),
        Slip("run forgotten", "the run is missing under the root: multiply the slack by it.",
             lambda n: lambda slack: _bow(n, slack) / np.sqrt(n.run_cm)),
        Slip("divided by the run", "under the root the slack is multiplied by the run, not "
             "divided.", lambda n: lambda slack: _bow(n, slack) / n.run_cm),
        Slip("fraction outside the root", "three over eight belongs under the root too; look at "
             "the brackets.", lambda n: lambda slack: _bow(n, slack) * np.sqrt(3 / 8)),
        Slip("fraction forgotten", "three over eight is missing under the root; multiply by it "
             "there.",
             lambda n: lambda slack: _bow(n, slack) / np.sqrt(3 / 8)),
        Slip("the same for every slack", "your function gives the same bow for every slack; use "
             "the slack_cm of its first line.", lambda n: lambda slack: _bow(n, 1.0) + 0 * slack),
    ),
)


def _slack_mm(n: Numbers) -> float:
    """Slack in one run with which its bow reaches the clearance [mm]: bow^2 grows with slack."""
    of_a_centimetre = _bow(n, 1.0)
    return float(10 * (n.clearance_cm / of_a_centimetre) ** 2)


SLACK_LIMIT = Item(
    key="slack_limit", title="Slack that is too much", variable="slack_mm", unit="mm", points=1,
    page="line/slack",
    goal="Work out how much slack lets a run lie over the band.",
    outside="line::test_a_little_slack_already_lays_the_line_beside_the_band",
    right=_slack_mm,
    slips=(
        Slip("square forgotten", "the root was not undone: square the clearance.",
             lambda n: _slack_mm(n) / n.clearance_cm),
        Slip("fraction upside down", "when three over eight changes sides it turns over.",
             lambda n: _slack_mm(n) * (3 / 8) ** 2),
        Slip("doubled for squared", "the clearance was doubled, not squared; squared is **2, with "
             "two stars.", lambda n: _slack_mm(n) * 2 / n.clearance_cm),
        Slip("multiplied by the run", "divide by the run, do not multiply: a longer run bows "
             "aside with less slack.", lambda n: _slack_mm(n) * n.run_cm**2),
        Slip("run forgotten", "the run is missing; divide by it, in centimetres.",
             lambda n: _slack_mm(n) * n.run_cm),
        Slip("bow of the clearance", "this is the bow of a slack as large as the clearance; go "
             "the other way, from the bow to the slack.", lambda n: 10 * float(_bow(
                 n, n.clearance_cm))),
        Slip("half of the clearance", "the whole clearance counts, not half of it.",
             lambda n: _slack_mm(n) / 4),
    ),
)


def _own_bow(n: Numbers, slack_cm: Any) -> Any:
    return np.array([n["bow"](float(one)) for one in np.atleast_1d(slack_cm)])


def _plot_faults(drawn: Drawn, n: Numbers) -> str:
    slack = np.array(LOOKED_AT_CM)
    if not drawn.x_label or not drawn.y_label:
        return "no axis labels"
    if "cm" not in drawn.x_label or "cm" not in drawn.y_label:
        return "no unit"
    if not drawn.lines():
        return "no curve"
    if not drawn.follows(lambda at: _own_bow(n, at), slack, CURVE_TOLERANCE):
        sides = tuple(curve[:, ::-1] for curve in drawn.curves)
        turned = Drawn(drawn.y_label, drawn.x_label, sides)
        if turned.follows(lambda at: _own_bow(n, at), slack, CURVE_TOLERANCE):
            return "axes swapped"
        return "curve elsewhere"
    level = [curve for curve in drawn.curves
             if len(curve) > 1 and np.ptp(curve[:, 0]) > 0 and np.allclose(
                 curve[:, 1], n.clearance_cm, rtol=CURVE_TOLERANCE, atol=0)]
    return "" if level else "clearance missing"


def _plot(n: Numbers, *, swap: bool = False, labels: tuple[str, str] = ("slack in cm", "bow in cm"),
          points: int = 50, level: bool = True, wrong: Any = None) -> Any:
    """Draw the bow over the slack as a learner would, with one thing wrong if asked."""
    from matplotlib.figure import Figure

    axes = Figure().add_subplot()
    along = np.linspace(0, 5, points)
    bows = wrong(n, along) if wrong else np.array([n["bow"](float(one)) for one in along])
    axes.plot(*((bows, along) if swap else (along, bows)))
    if level:
        ends = np.array([0.0, 5.0]), np.full(2, float(n.clearance_cm))
        axes.plot(*(ends[::-1] if swap else ends), "--")
    axes.set_xlabel(labels[swap])
    axes.set_ylabel(labels[not swap])
    return axes


BOW_PLOT = PlotItem(
    key="bow_plot", title="Plot of bow over slack", variable="axes", unit="", points=2,
    page="line/slack", uses=("bow",), tolerance=CURVE_TOLERANCE,
    goal="Plot the bow over the slack, and read off where it passes the clearance.",
    outside="line::test_an_arc_drawn_point_by_point_is_as_long",
    faults=_plot_faults,
    right=_plot,
    slips=(
        Slip("no axis labels", "somebody else must be able to read it: label both axes.",
             lambda n: _plot(n, labels=("", ""))),
        Slip("no unit", "say in which unit both axes are: the labels want cm.",
             lambda n: _plot(n, labels=("slack", "bow"))),
        Slip("no curve", "draw the bow as a smooth line, at 20 values of slack or more.",
             lambda n: _plot(n, points=6)),
        Slip("axes swapped", "the slack belongs on the level axis and the bow on the upright one.",
             lambda n: _plot(n, swap=True)),
        Slip("curve elsewhere", "the curve is not your bow_cm over the slack from 0 to 5 cm.",
             lambda n: _plot(n, wrong=lambda n, along: along * 3)),
        Slip("clearance missing", "draw a level line at your clearance as well.",
             lambda n: _plot(n, level=False)),
    ),
)


def _swing(n: Numbers, *, drag: float = 1.0, pull: float = 1.0, turns: float = 1.0,
           speed: float | None = None) -> tuple[float, float, float]:
    """Drag [N/m], pull of the run and pull at the bungee [N], with one part wrong if asked."""
    at = n.swing_rad_s * n.middle_cm / 100 if speed is None else speed
    each = drag * WATER / 2 * DRAG * n.line_mm / 1000 * at**2
    held = pull * each * (n.run_cm / 100) ** 2 / (8 * n.clearance_cm / 100)
    share = float(line.last_run_tension(1.0, n.wraps * abs(turns), n.friction))
    return each, held, held * share if turns < 0 else held / share


SWING = RowItem(
    key="swing", title="Tension against a swing", variable="swing", unit="N/m, N and N", points=3,
    length=3, page="line/slack",
    goal="Work out the pull that holds a run against the drag of a swing, and what the bungee must "
         "bring for it.",
    outside="line::test_an_even_drag_bows_a_taut_line_by_the_cable_formula",
    right=_swing,
    slips=(
        Slip("half forgotten", "the push of the water has a half in front; multiply by it.",
             lambda n: _swing(n, drag=2)),
        Slip("square forgotten", "the push of the water grows with the square of the speed; "
             "square it.",
             lambda n: _swing(n, drag=1 / (n.swing_rad_s * n.middle_cm / 100))),
        Slip("rate for speed", "the turning rate is not yet a speed; multiply it by the distance "
             "from the shoulder, in metres.", lambda n: _swing(n, speed=n.swing_rad_s)),
        Slip("speed in cm", "the distance from the shoulder is still in centimetres; a hundredth "
             "of it is in metres.", lambda n: _swing(n, speed=n.swing_rad_s * n.middle_cm)),
        Slip("air for water", "this is the push of air; the gun is swung in water, so take the "
             "water's density.",
             lambda n: _swing(n, drag=1.2 / WATER)),
        Slip("diameter in mm", "the line's diameter is still in millimetres; a thousandth of it "
             "is in metres.", lambda n: _swing(n, drag=1000)),
        Slip("pull in centimetres", "run and clearance went in as centimetres; take both in "
             "metres.", lambda n: _swing(n, pull=100)),
        Slip("quarter for eighth", "the pull is twice as large as it should be: divide by eight "
             "times the clearance, not by four times.",
             lambda n: _swing(n, pull=2)),
        Slip("half a turn a wrap", "each wrap turns the line round twice, half a turn at the "
             "release and half a turn at the muzzle; together that is two pi.",
             lambda n: _swing(n, turns=0.5)),
        Slip("friction the wrong way", "friction keeps pull from the far run, so the bungee must "
             "bring more than the run needs: multiply, do not divide.",
             lambda n: _swing(n, turns=-1)),
        Slip("friction forgotten", "the last number leaves out the friction at the turns; "
             "multiply the pull of the run by exp( ).",
             lambda n: _swing(n, turns=0)),
    ),
)


def _kgf(newton: Any) -> Any:
    return np.asarray(newton) / STANDARD_GRAVITY


def _four(low: float, high: float) -> tuple[float, ...]:
    """Strength low and high [N], and the working load of each [kgf]."""
    share = lookup("line.working_share").interval
    return low, high, float(_kgf(low * share.low)), float(_kgf(high * share.high))


def _strength(n: Numbers) -> tuple[float, ...]:
    straight = Interval(n.cord_low_N, (n.cord_low_N + n.cord_high_N) / 2, n.cord_high_N)
    held = line.made_up_strength(straight, [GUN_ENDS[n.gun_end], "crimp"])
    load = line.working_load(held)
    return held.low, held.high, float(_kgf(load.low)), float(_kgf(load.high))


def _ends(n: Numbers) -> tuple[Any, Any]:
    return (np.array([n.gun_end_low, n.crimp_low]), np.array([n.gun_end_high, n.crimp_high]))


STRENGTH = RowItem(
    key="strength", title="Strength as made up", variable="strength", unit="N, N, kgf and kgf",
    points=3, length=4, page="line/strength",
    goal="Give strength and working load of a line with its ends as an interval.",
    outside="line::test_a_termination_holds_between_what_is_printed",
    right=_strength,
    slips=(
        Slip("ends forgotten", "this is the straight cord; knot, splice or crimp makes it weaker, "
             "so multiply by the share.",
             lambda n: _four(n.cord_low_N, n.cord_high_N)),
        Slip("product of both ends", "the pull meets one end at a time, so the two do not "
             "multiply; the weaker one counts.",
             lambda n: _four(n.cord_low_N * _ends(n)[0].prod(),
                             n.cord_high_N * _ends(n)[1].prod())),
        Slip("stronger end", "this is the stronger end; the line breaks at the weaker one, so "
             "take the smaller share.",
             lambda n: _four(n.cord_low_N * _ends(n)[0].max(), n.cord_high_N * _ends(n)[1].max())),
        Slip("mean of the ends", "the mean of the two ends was taken; the weaker one counts.",
             lambda n: _four(n.cord_low_N * _ends(n)[0].mean(),
                             n.cord_high_N * _ends(n)[1].mean())),
        Slip("worst with best", "the low end takes the low strength with the low share, and the "
             "high end the high with the high.",
             lambda n: _four(n.cord_low_N * _ends(n)[1].min(), n.cord_high_N * _ends(n)[0].min())),
        Slip("high before low", "the ends of both intervals are in the wrong order: low first.",
             lambda n: tuple(_strength(n)[place] for place in (1, 0, 3, 2))),
        Slip("loads in newtons", "the two working loads are still in newtons; divide them by "
             "standard gravity.",
             lambda n: (*_strength(n)[:2], *(np.array(_strength(n)[2:]) * STANDARD_GRAVITY))),
        Slip("multiplied by g", "a kgf is nearly ten newtons, so there are fewer of them: divide.",
             lambda n: (*_strength(n)[:2], *(np.array(_strength(n)[2:]) * STANDARD_GRAVITY**2))),
        Slip("strength for working load", "the last two are the whole strength in kgf; take only "
             "the shares of it that a working load may have.",
             lambda n: (*_strength(n)[:2], *_kgf(_strength(n)[:2]))),
        Slip("shares the wrong way", "the low end takes the low share and the high end the high "
             "share.", lambda n: (*_strength(n)[:2],
                                  _strength(n)[2] * lookup("line.working_share").high
                                  / lookup("line.working_share").low,
                                  _strength(n)[3] * lookup("line.working_share").low
                                  / lookup("line.working_share").high)),
        Slip("share of the straight cord", "the working loads are those of the straight cord; take "
             "the strength as made up.",
             lambda n: (*_strength(n)[:2], *_four(n.cord_low_N, n.cord_high_N)[2:])),
    ),
)


def _shock(n: Numbers, speed: Any) -> Any:
    """Peak pull [N] in the learner's line without a bungee."""
    return line.end_shock(_rope(n, bungee=False), _between(n) / 100, _shaft(n), speed).tension


SHOCK = FunctionItem(
    key="shock", title="Pull at the end of the line", variable="shock_N", unit="N", points=2,
    page="line/shock", uses=("path",), tolerance=PULL_TOLERANCE, inputs=lambda n: (2.0, 5.0, 8.0),
    goal="Write a function for the pull with which a line stops a shaft.",
    outside="line::test_the_published_value",
    right=lambda n: lambda speed: _shock(n, speed),
    slips=(
        Slip("root forgotten", "mass times stiffness stands under a root; take it with sqrt( ).",
             lambda n: lambda v: _shock(n, v) ** 2 / v),
        Slip("speed under the root", "the speed stands outside the root: twice as fast pulls twice "
             "as hard.", lambda n: lambda v: _shock(n, v) / np.sqrt(v)),
        Slip("energy for pull", "this is the energy; the pull is the speed times a root.",
             lambda n: lambda v: n.shaft_g / 2000 * v**2),
        Slip("grams for kilograms", "the mass is still in grams; a thousandth of it is in "
             "kilograms.", lambda n: lambda v: _shock(n, v) * np.sqrt(1000)),
        Slip("centimetres for metres", "the line's length is still in centimetres; a hundredth of "
             "it is in metres.", lambda n: lambda v: _shock(n, v) / 10),
        Slip("length above the line", "a longer line is softer: under the root, divide by its "
             "length.",
             lambda n: lambda v: _shock(n, v) * _between(n) / 100),
        Slip("whole path", "bungee and fittings are no line; take them off the path.",
             lambda n: lambda v: _shock(n, v) * np.sqrt(_between(n) / n["path"])),
        Slip("half of the mass", "the half of the energy is already used; the mass goes in whole.",
             lambda n: lambda v: _shock(n, v) / np.sqrt(2)),
        Slip("the same at every speed", "your function gives the same pull at every speed; use the "
             "v of its first line.", lambda n: lambda v: _shock(n, float(n.end_speed)) + 0 * v),
    ),
)


def _stopped(n: Numbers, *, energy: float = 1.0, bungee: float = 1.0, root: bool = True,
             left: float = -1.0, length_m: float | None = None) -> tuple[float, float, float]:
    """Energy, what the bungee takes [J] and pull [N] with one part wrong if asked."""
    kinetic = energy * n.shaft_g / 2000 * n.end_speed**2
    full = n.bungee_N * lookup("bungee.limit").value
    taken = bungee * full**2 / n.bungee_N / 2 * n.bungee_cm / 100
    per_metre = n.stiffness_N / (_between(n) / 100 if length_m is None else length_m)
    square = max(2 * (kinetic + left * taken) * per_metre, 0.0)
    return kinetic, taken, float(np.sqrt(square)) if root else square


def _with_bungee(n: Numbers) -> tuple[float, float, float]:
    shock = line.end_shock(_rope(n), _between(n) / 100, _shaft(n), n.end_speed)
    return float(shock.energy), float(shock.energy * shock.bungee_share), float(shock.tension)


SHOCK_BUNGEE = RowItem(
    key="shock_bungee", title="Pull with the bungee", variable="with_bungee", unit="J, J and N",
    points=3, length=3, page="line/shock", uses=("path",), tolerance=PULL_TOLERANCE,
    goal="Work out what a bungee takes off the end of the line.",
    outside="line::test_a_bungee_spares_the_line",
    right=_with_bungee,
    slips=(
        Slip("half forgotten", "the shaft's energy has a half in front; multiply by it.",
             lambda n: _stopped(n, energy=2)),
        Slip("grams for kilograms", "the mass is still in grams; a thousandth of it is in "
             "kilograms.", lambda n: _stopped(n, energy=1000)),
        Slip("full pull all the way", "the bungee's pull grows from nothing, so it takes half of "
             "full pull times stretch.", lambda n: _stopped(n, bungee=2)),
        Slip("bungee in centimetres", "the bungee's length is still in centimetres, so it seems "
             "to take a hundred times too much; use metres.",
             lambda n: _stopped(n, bungee=100)),
        Slip("bungee forgotten", "the last number leaves out what the bungee takes; only the rest "
             "goes into the line.", lambda n: _stopped(n, left=0)),
        Slip("bungee added", "what the bungee takes is taken off the energy, not added.",
             lambda n: _stopped(n, left=1)),
        Slip("root forgotten", "the last number is the square of the pull; take the root.",
             lambda n: _stopped(n, root=False)),
        Slip("whole path", "bungee and fittings are no line; take them off the path.",
             lambda n: _stopped(n, length_m=n["path"] / 100)),
        Slip("centimetres for metres", "the line's length is still in centimetres in the last "
             "number; a hundredth of it is in metres.",
             lambda n: _stopped(n, length_m=_between(n))),
    ),
)


def margin_of_rig(n: Numbers, rig: tuple[Any, ...]) -> float:
    """Return the lowest margin of a rig from the shelf, by the library.

    Parameters
    ----------
    n : Numbers
        The learner's own.
    rig : tuple
        Letters of line, ends and bungee, and the number of wraps.

    Returns
    -------
    float
        Low strength over the hardest pull of a miss [1].
    """
    spool, end, bungee, wraps = rig
    low, best, high = SPOOLS[spool]
    rope = ShootingLine(n.line_mm / 1000, wraps=wraps, stiffness=best,
                        bungee_length=BUNGEES[bungee], bungee_stiffness=n.bungee_N)
    path = _tip({**n, "wraps": wraps}) - n.shaft_ahead_cm / 100
    length = path - n.fittings_cm / 100 - BUNGEES[bungee]
    held = line.made_up_strength(low, ENDS[end])
    shaft = Shaft(n.shaft_mm / 1000, n.shaft_cm / 100)
    margin = line.strength_margin(held, rope, length, shaft, n.miss_speed,
                                  axial_stiffness=Interval(best, best, high))
    return float(margin.low)


def _rig_faults(rig: tuple[Any, ...], n: Numbers) -> str:
    spool, end, _, wraps = rig
    if wraps not in WRAPS_THERE:
        return "wraps not whole"
    if spool == "D" and end != "C":
        return "nylon not crimped"
    if _tip({**n, "wraps": wraps}) < n.wanted_reach_m:
        return "too short"
    if wraps > 0 and _tip({**n, "wraps": wraps - 1}) >= n.wanted_reach_m:
        return "a wrap too many"
    return "" if margin_of_rig(n, rig) >= n.least_margin else "margin too low"


DESIGN = DesignItem(
    key="design", title="Line from the shelf", variable="rig", unit="", points=3,
    page="line/shock", tolerance=0.0,
    asks=(("the line", "".join(SPOOLS)), ("the ends", "".join(ENDS)),
          ("the bungee", "".join(BUNGEES)), ("the number of wraps", "")),
    goal="Choose line, ends, bungee and wraps so that reach and lowest margin are what is wanted.",
    outside="line::test_a_bungee_spares_the_line",
    faults=_rig_faults,
    right=lambda n: (*SOFTEST, n.wanted_wraps),
    slips=(
        Slip("wraps not whole", "a line is wrapped a whole number of times, three at the most.",
             lambda n: (*SOFTEST, n.wanted_wraps + 0.5)),
        Slip("nylon not crimped", "D is a stiff single strand: it cannot be spliced, and its knots "
             "are not in our handbook. Crimp it.", lambda n: ("D", "S", "G", n.wanted_wraps)),
        Slip("too short", "this line is straight before the tip is where you want it; take more "
             "wraps.", lambda n: (*SOFTEST, n.wanted_wraps - 1)),
        Slip("a wrap too many", "fewer wraps reach as far as you want; each wrap more is slack to "
             "keep tight, line in the water and friction.",
             lambda n: (*SOFTEST, n.wanted_wraps + 1)),
        Slip("margin too low", "the reach is right, but the lowest margin is too small; take "
             "another line, stronger ends or more bungee.",
             lambda n: ("A", "K", "E", n.wanted_wraps)),
    ),
)

SPOT = ChoiceItem(
    key="spot", title="Faults in a rig", variable="faults", unit="", points=2,
    page="line/strength", tolerance=0.0, letters="ABCDEFG",
    goal="Find the faults in a line that somebody else has rigged.",
    outside="line::test_the_far_wrap_is_the_loose_one",
    right=lambda n: "ACEF",
    slips=(
        Slip("slack is no comfort", "something is missing: think of what one centimetre of slack "
             "does to a run.", lambda n: "CEF"),
        Slip("pliers", "something is missing: think of the tool that a crimp needs to hold as "
             "much as it can.", lambda n: "AEF"),
        Slip("nick", "something is missing: think of where a line is weakest, however new it is.",
             lambda n: "ACF"),
        Slip("tied to the diver", "something is missing, and it is the one that kills: think of "
             "what the diver cannot let go of.",
             lambda n: "ACE"),
        Slip("splice called a fault", "B is sound: a splice is the strongest end in braid.",
             lambda n: "ABCEF"),
        Slip("long fall called a fault", "D is sound: a bungee is there to take up the shock. "
             "Leave it out.",
             lambda n: "ACDEF"),
        Slip("cutter called a fault", "G is sound: a cutter must be where either hand finds it.",
             lambda n: "ACEFG"),
    ),
)

SAFETY_CHOICE = ChoiceItem(
    key="safety_choice", title="A strong fish on the line", variable="on_the_line", unit="",
    points=2, page="line/care", tolerance=0.0, letters="ABCDEF",
    goal="Decide what to do with a fish on the line that is stronger than the diver.",
    outside="line::test_the_working_load_is_15_to_25_percent",
    right=lambda n: "BDE",
    slips=(
        Slip("line round the hand", "A is how fingers and lives are lost: line is never wound "
             "round a hand or a wrist.", lambda n: "ABDE"),
        Slip("clipped to the belt", "C ties the diver to the fish; nothing may hold you that one "
             "hand cannot let go at once.", lambda n: "BCDE"),
        Slip("number as permission", "F takes a computed strength for permission; a line under "
             "tension can part at any load and snap back.", lambda n: "BDEF"),
        Slip("no letting go", "something is missing: think of what matters more than fish and gun.",
             lambda n: "DE"),
        Slip("no cutter", "something is missing: think of what you reach for when a loop has "
             "caught you.", lambda n: "BE"),
        Slip("no partner", "something is missing: think of who is at the surface.",
             lambda n: "BD"),
    ),
)

EXERCISE = Exercise(
    key="line",
    version="1",
    pages={
        "line/length": "How long the line, how far the reach",
        "line/slack": "Slack, bow and tightness",
        "line/strength": "Knots, crimps and the working load",
        "line/shock": "The end of the line",
        "line/care": "Care, and when to change it",
    },
    draws=(
        Draw("barrel_cm", "", tuple(range(90, 145, 5))),
        Draw("wraps", "wraps of line on the gun", (1, 2)),
        Draw("anchor_cm", "", (2, 3, 4, 5)),
        Draw("release_cm", "", (0, 2, 4, 6)),
        Draw("longer_cm", "", (38, 40, 42, 45)),
        Draw("overhang_cm", "", (18, 20, 22, 24)),
        Draw("handle_cm", "", (4, 5, 6, 8)),
        Draw("bungee_cm", "bungee at the gun's end, relaxed", (20, 25, 30)),
        Draw("fittings_cm", "swivel and shackle", (4, 5, 6)),
        Draw("take_up_cm", "cord that the knot, splice or crimp at one end takes up",
             (8, 10, 12, 15)),
        Draw("arm_cm", "arm: from the shoulder to the middle of the grip", tuple(range(56, 72, 2))),
        Draw("clearance_cm", "clearance: how far aside a run must move to lie over the band",
             (2.5, 3.0, 3.5, 4.5)),
        Draw("line_mm", "line, nominal diameter", (1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2.0)),
        Draw("swing_rad_s", "how fast the gun turns about the shoulder, in radians a second",
             (0.55, 0.58, 0.6, 0.62)),
        Draw("friction", "friction of the line at its turns", (0.08, 0.10, 0.12, 0.15, 0.18)),
        Draw("cord_low", "", (1.0, 1.05, 1.1, 1.15, 1.2)),
        Draw("cord_high", "", (0.65, 0.7, 0.75, 0.8, 0.85, 0.9)),
        Draw("gun_end", "", (0, 1)),
        Draw("shaft_mm", "", (6.5, 7.0, 7.5)),
        Draw("stiffness_N", "stiffness EA of the line, in newtons",
             (70000, 80000, 90000, 100000, 110000, 120000)),
        Draw("bungee_N", "bungee: its pull at twice its relaxed length, in newtons",
             (40, 50, 60)),
        Draw("end_speed", "speed of the shaft when the line comes straight, in m/s",
             (8, 9, 10, 11, 12)),
        Draw("wanted_wraps", "", (1, 2)),
        Draw("spare_m", "", (0.1, 0.3, 0.5, 0.7)),
        Draw("miss_speed", "item 11: speed at the end of the line after a miss, in m/s", (6, 7, 8)),
    ),
    derive=_measures,
    meanings={
        "run_cm": "run: from the line release forward to the muzzle's anchor",
        "last_run_cm": "last run: from the anchor back to the hole at the shaft's tail, gun loaded",
        "shaft_ahead_cm": "shaft from its line hole to its tip",
        "shaft_g": "mass of the shaft in grams",
        "grip_cm": "from the muzzle's anchor back to the middle of the grip",
        "middle_cm": "from the shoulder to the middle of the run",
        "cord_low_N": "breaking strength of the straight cord: the low estimate, in newtons",
        "cord_high_N": "the high estimate, in newtons",
        "gun_end_low": "part that the gun's end holds: low",
        "gun_end_high": "part that the gun's end holds: high",
        "crimp_low": "part that the crimp at the shaft holds: low",
        "crimp_high": "part that the crimp at the shaft holds: high",
        "wanted_reach_m": "item 11: wanted reach from the muzzle, in m",
        "least_margin": "item 11: the lowest margin must be at least this",
    },
    safety={
        "line/length": "A reach is how far the line lets the tip go, not how far you may shoot.",
        "line/slack": "Look at every run before every shot, and never shoot a gun whose line lies "
                      "over band, roller or muzzle.",
        "line/strength": "A line under tension that breaks or slips snaps back: keep face and "
                         "hands out of its line.",
        "line/shock": "What a line stores comes back: a shaft that is stopped hard can fly back at "
                      "the diver.",
        "line/care": "Never wind a line round a hand or a wrist, and never tie yourself to a fish, "
                     "a float or a gun.",
    },
    items=(PATH, CORD, REACH, BOW, SLACK_LIMIT, BOW_PLOT, SWING, STRENGTH, SHOCK, SHOCK_BUNGEE,
           DESIGN, SPOT, SAFETY_CHOICE),
)
