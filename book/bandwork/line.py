"""Unit `line`: how long, how strong and how tight the shooting line must be.

The line runs from its anchor at the muzzle back to the line release at the handle and forward
again, once for each wrap, and from the muzzle along the loaded shaft to the hole at its tail. A
bungee may sit between the anchor and the line.

What is neglected: the line's mass (a few grams beside a shaft of half a kilogram), its own
weight while the gun is swung (polyethylene nearly floats) and the time that it needs to drift
aside (milliseconds). A shot line trails in a curve, so that a shaft stops a little short of
`reach`.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import ArrayLike

from bandwork.components import Barrel, Shaft, ShootingLine, Water
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.validation import (
    InputError,
    nearest,
    of_kind,
    plain,
    settle,
    shown,
    single,
    together,
    within,
)

Obstacle = Literal["band", "muzzle"]
TERMINATIONS = ("bowline", "two_half_hitches", "fishermans_knot", "square_knot", "hmpe_knot",
                "hmpe_splice", "crimp")
"""Knots, splice and crimp of the handbook; "hmpe" is polyethylene fibre of ultra-high strength."""

_LOOSEST = 0.2
_HANDBOOK_DIAMETER = 0.0017
_METRES = "Give it in metres: 5 cm is 0.05."


def _handbook(key: str) -> Any:
    return field(default_factory=lambda: lookup(key).value)


@dataclass(frozen=True)
class LineRun:
    """Where the line lies on the loaded gun.

    Parameters
    ----------
    release_position : float or array_like
        Of the line release, from the handle's end of the tube, forward positive [m], -0.3 to 0.5.
    anchor_offset : float or array_like
        How far the line's anchor at the muzzle lies ahead of the tube's front end [m], -0.1
        to 0.3.
    attachment : float or array_like
        From the shaft's tail forward to the hole or ring that holds the line [m], 0 to 0.5.
    fittings : float or array_like
        Length that swivel, shackle and the like add to the line [m], 0 to 0.5.
    friction : float or array_like
        Friction coefficient where the line turns round anchor and release [1], 0 to 1.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.
    """

    release_position: Any = _handbook("line.release_position")
    anchor_offset: Any = _handbook("line.anchor_offset")
    attachment: Any = _handbook("line.attachment")
    fittings: Any = 0.0
    friction: Any = _handbook("line.friction")

    def __post_init__(self) -> None:
        settle(self, "release_position", -0.3, 0.5, "m", _METRES)
        settle(self, "anchor_offset", -0.1, 0.3, "m", _METRES)
        settle(self, "attachment", 0, 0.5, "m", _METRES)
        settle(self, "fittings", 0, 0.5, "m", _METRES)
        settle(self, "friction", 0, 1, "")
        together(self)


@dataclass(frozen=True)
class Swing:
    """How the gun is swung sideways, and what the line could fall over.

    Parameters
    ----------
    rate : float or array_like
        How fast the gun turns [rad/s], 0.01 to 10. The muzzle moves at this times its distance
        from the pivot.
    pivot_position : float or array_like
        About what it turns, along the barrel from the handle's end of the tube, forward positive
        [m], -2 to 0: the shoulder of a straight arm unless you say otherwise.
    drag_coefficient : float or array_like
        Of the line across the flow, on its nominal diameter [1], 0.5 to 3.
    side_clearance : float or array_like
        How far aside a run must move to lie over band or roller [m], 0.005 to 0.2.
    loop_ahead : float or array_like
        How far the gun's nose stands ahead of the line's anchor [m], 0 to 0.5.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.
    """

    rate: Any = _handbook("line.swing_rate")
    pivot_position: Any = field(default_factory=lambda: lookup("handle.position").value
                                - lookup("diver.arm_length").value)
    drag_coefficient: Any = _handbook("line.cross_flow_drag")
    side_clearance: Any = _handbook("line.side_clearance")
    loop_ahead: Any = _handbook("line.loop_ahead")

    def __post_init__(self) -> None:
        settle(self, "rate", 0.01, 10, "rad/s", "A quarter turn in a second is 1.57.")
        settle(self, "pivot_position", -2, 0, "m", _METRES)
        settle(self, "drag_coefficient", 0.5, 3, "")
        settle(self, "side_clearance", 0.005, 0.2, "m", _METRES)
        settle(self, "loop_ahead", 0, 0.5, "m", _METRES)
        together(self)


@dataclass(frozen=True)
class Reach:
    """How far the tip of the shaft gets before the line stops it.

    Attributes
    ----------
    from_muzzle : float or ndarray
        From the line's anchor at the muzzle to the tip [m].
    from_diver : float or ndarray
        From the shoulder, arm straight, to the tip [m].
    line_length : float or ndarray
        Line to cut, without what knots and crimps take up [m].
    """

    from_muzzle: Any
    from_diver: Any
    line_length: Any


@dataclass(frozen=True)
class WrapRisk:
    """Whether the line can fall over a part of the gun while it is swung.

    Attributes
    ----------
    verdict : str or ndarray
        A word, without a unit [1]. "impossible": the drag of this swing cannot do it.
        "possible": it does when it also stretches line and bungee. "likely": the slack alone
        is enough, at any speed.
    slack_needed : float or ndarray
        Extra length in one run with which it happens [m].
    slack_limit : float or ndarray
        Slack below which this swing cannot do it [m]; negative means that even a line without
        slack can be drawn over, and must be tight.
    tension_needed : float or ndarray
        Pull at the bungee that makes it impossible in every run, the friction at the turns
        included [N]; 0 where a line without slack is enough.
    """

    verdict: Any
    slack_needed: Any
    slack_limit: Any
    tension_needed: Any


@dataclass(frozen=True)
class EndShock:
    """What the line takes when it stops the shaft.

    Attributes
    ----------
    energy : float or ndarray
        Taken up by line and bungee [J].
    tension : float or ndarray
        Peak pull [N].
    stretch : float or ndarray
        Of line and bungee together at the peak [m].
    bungee_share : float or ndarray
        Part of the energy that the bungee takes [1]; 0 without one.
    """

    energy: Any
    tension: Any
    stretch: Any
    bungee_share: Any


def _usual(run: LineRun | None) -> LineRun:
    given = LineRun() if run is None else run
    of_kind(LineRun, run=given)
    return given


def _anchor(barrel: Barrel, run: LineRun) -> Any:
    """Position of the line's anchor along the barrel [m]."""
    return np.add(barrel.length, run.anchor_offset)


def wrap_span(barrel: Barrel, run: LineRun | None = None) -> Any:
    """Return the length of one run, from the anchor at the muzzle to the line release.

    Parameters
    ----------
    barrel : Barrel
        Its numbers broadcast against those of `run`.
    run : LineRun, optional
        The handbook's usual one unless you give your own.

    Returns
    -------
    float or ndarray
        Length [m]; each wrap takes twice this.

    Raises
    ------
    InputError
        If the release lies less than 0.1 m behind the anchor.

    Examples
    --------
    >>> wrap_span(Barrel(length=1.20))
    1.23
    """
    of_kind(Barrel, barrel=barrel)
    lie = _usual(run)
    together(barrel, lie)
    return within("the run from muzzle to line release", _anchor(barrel, lie)
                  - lie.release_position, 0.1, 3, "m", "Check release_position and anchor_offset.")


def _last_run(barrel: Barrel, shaft: Shaft, run: LineRun) -> Any:
    """Length from the anchor back to the shaft's line hole when the gun is loaded [m]."""
    tail = np.asarray(barrel.length) + barrel.roller_offset + shaft.overhang - shaft.length
    length = _anchor(barrel, run) - tail - run.attachment
    if np.any(length < 0):
        raise InputError(f"The shaft's line hole stands {-np.min(length):.3g} m ahead of the "
                         "line's anchor on the muzzle; accepted is behind it. Take a longer "
                         "shaft, or check overhang and attachment.")
    return length


def laid_length(barrel: Barrel, shaft: Shaft, line: ShootingLine,
                run: LineRun | None = None) -> Any:
    """Return the length of the path that the line lies along on the loaded gun.

    2 n a + l: n wraps of two runs of `wrap_span` a each, and l from the muzzle back to the hole
    at the shaft's tail.

    Parameters
    ----------
    barrel, shaft, line : Barrel, Shaft, ShootingLine
        Their numbers broadcast against each other.
    run : LineRun, optional
        The handbook's usual one unless you give your own.

    Returns
    -------
    float or ndarray
        Length [m], bungee and fittings included.

    Raises
    ------
    InputError
        If the release is not behind the muzzle, or the shaft's line hole ahead of it.

    Examples
    --------
    >>> line = ShootingLine(diameter=0.0017, wraps=1)
    >>> round(laid_length(Barrel(length=1.20), Shaft(diameter=0.007, length=1.60), line), 2)
    3.81
    """
    of_kind(Shaft, shaft=shaft)
    of_kind(ShootingLine, line=line)
    span = wrap_span(barrel, run)
    lie = _usual(run)
    together(barrel, shaft, line, lie)
    return plain(2 * np.asarray(line.wraps) * span + _last_run(barrel, shaft, lie))


def line_length(barrel: Barrel, shaft: Shaft, line: ShootingLine, run: LineRun | None = None,
                tension: ArrayLike = 0.0) -> Any:
    """Return the length of line to cut, so that it lies at a wanted pull on the loaded gun.

    (path - fittings - b (1 + T/k)) / (1 + T/EA), with b and k the bungee's relaxed length and
    stiffness, EA the line's and T the pull. The friction at the turns is left out.

    Parameters
    ----------
    barrel, shaft, line : Barrel, Shaft, ShootingLine
        Their numbers broadcast against each other.
    run : LineRun, optional
        The handbook's usual one unless you give your own.
    tension : array_like
        Pull in line and bungee [N], 0 to 500.

    Returns
    -------
    float or ndarray
        Length between the fastenings, without what knots and crimps take up [m].

    Raises
    ------
    InputError
        If bungee and fittings alone are longer than the path, or as `laid_length`.

    Examples
    --------
    >>> line = ShootingLine(diameter=0.0017, wraps=1, bungee_length=0.20)
    >>> round(line_length(Barrel(1.20), Shaft(0.007, 1.60), line, tension=20), 2)
    3.54
    """
    path = laid_length(barrel, shaft, line, run)
    lie = _usual(run)
    pull = np.asarray(within("tension", tension, 0, 500, "N"))
    together(barrel, shaft, line, lie, tension=pull)
    bungee = np.asarray(line.bungee_length) * (1 + pull / line.bungee_stiffness)
    cut = (path - lie.fittings - bungee) / (1 + pull / line.stiffness)
    return within("the line's length", cut, 0.1, 50, "m",
                  "Take more wraps, a shorter bungee or less tension.")


def reach(barrel: Barrel, shaft: Shaft, line: ShootingLine, run: LineRun | None = None,
          tension: ArrayLike = 0.0, arm_length: ArrayLike | None = None) -> Reach:
    """Return how far the tip gets before the line is straight, without any stretch.

    From the muzzle: line + relaxed bungee + fittings + shaft from its line hole to the tip. From
    the diver: from the anchor back to the middle of the handle, and the arm, on top.

    Parameters
    ----------
    barrel, shaft, line : Barrel, Shaft, ShootingLine
        Their numbers broadcast against each other.
    run : LineRun, optional
        The handbook's usual one unless you give your own.
    tension : array_like
        Pull at which the line was laid on [N], 0 to 500: a stretched bungee means less line.
    arm_length : array_like, optional
        From the shoulder to the middle of what the hand holds [m], 0 to 1.2; the handbook's
        unless you measure yours.

    Returns
    -------
    Reach

    Raises
    ------
    InputError
        As `line_length`, or if `arm_length` lies outside its range.

    Examples
    --------
    >>> far = reach(Barrel(1.20), Shaft(0.007, 1.60), ShootingLine(0.0017, wraps=1))
    >>> round(far.from_muzzle, 1), round(far.from_diver, 1)
    (5.4, 7.3)
    """
    cut = line_length(barrel, shaft, line, run, tension)
    lie = _usual(run)
    arm = within("arm_length", lookup("diver.arm_length").value if arm_length is None
                 else arm_length, 0, 1.2, "m", "Give it in metres: 65 cm is 0.65.")
    together(barrel, shaft, line, lie, tension=np.asarray(tension), arm_length=arm)
    ahead = np.asarray(cut) + line.bungee_length + lie.fittings + shaft.length - lie.attachment
    hand = _anchor(barrel, lie) - np.asarray(barrel.handle.position)
    return Reach(plain(ahead), plain(ahead + hand + arm), cut)


def bow(slack: ArrayLike, span: ArrayLike) -> Any:
    """Return how far a slack line bows away from the straight between its ends.

    sqrt(3/8 x slack x span), from the first two terms of the length of a shallow parabola,
    L = a (1 + 8/3 (h/a)^2 - 32/5 (h/a)^4 + ...). With e = slack/span it is too small by the factor
    1 + 0.45 e for an exact parabola (drag or load even along the span), 1 + 0.35 e for a
    catenary (even along the line) and 1 + 0.15 e for a circle: up to 9 % at e = 0.2.

    Parameters
    ----------
    slack : array_like
        Length of the line less the span [m], 0 to 0.2 times `span`.
    span : array_like
        Between the two ends [m], above 0, up to 100.

    Returns
    -------
    float or ndarray
        Bow [m].

    Raises
    ------
    InputError
        If the line is shorter than the span, or so loose that the formula no longer holds.

    Notes
    -----
    *Civil Engineering Formulas*, p. 270, equation 10.85. The square root is the lesson: a
    centimetre of slack in a run of 1.2 m bows it by 7 cm.

    Examples
    --------
    >>> round(bow(0.01, 1.2), 3)
    0.067
    """
    between = _span(span)
    extra = _loose(slack, between)
    return plain(np.sqrt(3 / 8 * extra * between))


def slack_to_pass(span: ArrayLike, aside: ArrayLike, ahead: ArrayLike) -> Any:
    """Return the least slack with which a line can be drawn over a point, whatever draws it.

    Two straight pieces, from the front end to the point and on to the rear end:
    sqrt(x^2 + w^2) + sqrt((a + x)^2 + w^2) - a. No shape of the line reaches the point with less.

    Parameters
    ----------
    span : array_like
        Between the two ends, a [m], above 0, up to 100.
    aside : array_like
        How far the point lies beside the straight, w [m], 0 to 10.
    ahead : array_like
        How far it lies ahead of the front end, x [m], -100 to 10: minus half the span is the
        middle.

    Returns
    -------
    float or ndarray
        Slack [m]. Exact.

    Raises
    ------
    InputError
        If a value lies outside its range.

    Examples
    --------
    >>> round(slack_to_pass(1.23, 0.03, 0.05), 3)
    0.109
    """
    between = _span(span)
    w = np.asarray(within("aside", aside, 0, 10, "m", _METRES))
    x = np.asarray(within("ahead", ahead, -100, 10, "m", _METRES))
    together(span=between, aside=w, ahead=x)
    return plain(np.maximum(np.hypot(x, w) + np.hypot(between + x, w) - between, 0.0))


def _span(span: ArrayLike) -> Any:
    return np.asarray(within("span", span, 1e-3, 100, "m"))


def _loose(slack: ArrayLike, span: Any) -> Any:
    extra = np.asarray(within("slack", slack, 0, 20, "m", "Give it in metres: 5 mm is 0.005."))
    together(slack=extra, span=span)
    if np.any(extra > _LOOSEST * span):
        raise InputError(f"slack is {extra.max():.4g} m; accepted is up to a fifth of the run, "
                         "as the formula is for shallow arcs. Take up the slack before you go "
                         "on: such a line lies wherever the water leaves it.")
    return extra


def last_run_tension(tension: ArrayLike, wraps: ArrayLike,
                     friction: ArrayLike | None = None) -> Any:
    """Return what is left of the bungee's pull in the run that is farthest from it.

    T e^(-2 pi mu n): each wrap turns half round the release and half round the muzzle, a whole
    turn of the capstan formula.

    Parameters
    ----------
    tension : array_like
        At the bungee [N], 0 to 1e5.
    wraps : array_like
        Whole turns that the line makes [1], 0 to 20.
    friction : array_like, optional
        Friction coefficient [1], 0 to 1; the handbook's unless you give your own.

    Returns
    -------
    float or ndarray
        Pull in the last run [N].

    Raises
    ------
    InputError
        If a value lies outside its range.

    Notes
    -----
    Baker and Haynes, *Engineering Statics*, ch. 9. Thin cord on a round hook; a hook that the line
    does not slide over keeps more.

    Examples
    --------
    >>> last_run_tension(20, wraps=[0, 1, 2], friction=0.15).round(1)
    array([20. ,  7.8,  3. ])
    """
    pull = np.asarray(within("tension", tension, 0, 1e5, "N"))
    turns = np.asarray(within("wraps", wraps, 0, 20, ""))
    mu = np.asarray(within("friction", lookup("line.friction").value if friction is None
                           else friction, 0, 1, ""))
    together(tension=pull, wraps=turns, friction=mu)
    return plain(pull * np.exp(-2 * np.pi * mu * turns))


def stiffness(line: ShootingLine, line_length: ArrayLike) -> Any:
    """Return how many newtons a metre of stretch takes: line and bungee one behind the other.

    1 / (L/EA + b/k).

    Parameters
    ----------
    line : ShootingLine
        With or without bungee.
    line_length : array_like
        Of the line without the bungee, L [m], 0.1 to 50.

    Returns
    -------
    float or ndarray
        Stiffness [N/m].

    Raises
    ------
    InputError
        If the length lies outside its range.

    Examples
    --------
    >>> bare, soft = ShootingLine(0.0017), ShootingLine(0.0017, bungee_length=0.20)
    >>> round(stiffness(bare, 3.6)), round(stiffness(soft, 3.6))
    (27778, 297)
    """
    return plain(1 / np.add(*_compliances(line, line_length)))


def _compliances(line: ShootingLine, line_length: ArrayLike) -> tuple[Any, Any]:
    """Stretch over pull of the line and of the bungee [m/N]."""
    of_kind(ShootingLine, line=line)
    length = np.asarray(within("line_length", line_length, 0.1, 50, "m", "Give it in metres."))
    together(line, line_length=length)
    return length / line.stiffness, np.asarray(line.bungee_length) / line.bungee_stiffness


@dataclass(frozen=True)
class _Case:
    """One swing of one rigged gun: drag q = c r^2 on a run of span a, and the line's give.

    A run at tension T takes the shape y = (c/T) g(r) with g'' = -r^2 and g = 0 at both ends; it
    needs the extra length (c/T)^2 H, H = 1/2 the integral of g'^2.
    """

    span: Any
    load: Any
    shape: Any
    excess: Any
    give: Any
    slack: Any


def _case(barrel: Barrel, shaft: Shaft, line: ShootingLine, water: Water, run: LineRun | None,
          swing: Swing | None, slack: ArrayLike,
          tension: ArrayLike) -> tuple[_Case, LineRun, Swing]:
    lie, turn = _usual(run), Swing() if swing is None else swing
    of_kind(Swing, swing=turn)
    of_kind(Water, water=water)
    length = line_length(barrel, shaft, line, run, tension)
    span = np.asarray(wrap_span(barrel, run))
    extra, pull = _loose(slack, span), np.asarray(tension, dtype=float)
    together(barrel, shaft, line, water, lie, turn, slack=extra, tension=pull)
    if np.any((extra > 0) & (pull > 0)):
        raise InputError("slack and tension are both above 0; accepted is one of them. Give the "
                         "slack of a loose line, or the tension of a tight one.")
    inner = np.asarray(lie.release_position) - turn.pivot_position
    if np.any(inner < 0):
        raise InputError("pivot_position lies ahead of the line release; accepted is behind it. "
                         "Give the shoulder's or the hand's place.")
    outer = inner + span
    slope = (outer**4 - inner**4) / span
    peak = np.cbrt(slope / 4)
    shape = (slope * (peak - inner) - peak**4 + inner**4) / 12
    excess = (16 / 7 * (outer**7 - inner**7) - slope**2 * span) / 288
    load = (water.density / 2 * np.asarray(turn.drag_coefficient) * line.diameter
            * np.square(turn.rate))
    give = np.add(*_compliances(line, length))
    held = last_run_tension(pull, line.wraps, lie.friction)
    return _Case(span, load, shape, excess, give, extra - give * held), lie, turn


def swing_bow(barrel: Barrel, shaft: Shaft, line: ShootingLine, water: Water,
              run: LineRun | None = None, swing: Swing | None = None, slack: ArrayLike = 0.0,
              tension: ArrayLike = 0.0) -> Any:
    """Return how far drag bows one run of the line aside while the gun is swung.

    Drag 1/2 rho C_D d (omega r)^2 on each metre, r from the pivot, bends the run until the
    tension holds it: T y'' = -c r^2. The run then needs the extra length c^2 H/T^2 (H from the
    shape), which slack and stretch must give: slack + T/k - T0/k, k the stiffness of line and
    bungee. That is a cubic for T. Without stretch the bow depends on the slack alone, not on
    the speed.

    Parameters
    ----------
    barrel, shaft, line, water : Barrel, Shaft, ShootingLine, Water
        Their numbers broadcast against each other.
    run, swing : LineRun, Swing, optional
        The handbook's usual ones unless you give your own.
    slack : array_like
        Extra length of the line, all of it in this run [m], 0 to a fifth of the run.
    tension : array_like
        Pull at the bungee before the swing [N], 0 to 500. The friction at the turns takes its
        share of it (`last_run_tension`); this is the run farthest from the bungee.

    Returns
    -------
    float or ndarray
        Greatest distance of the run from its straight line [m].

    Raises
    ------
    InputError
        If a value lies outside its range, or both slack and tension are above 0.

    Notes
    -----
    For shallow arcs, as `bow`; a quick swing of a soft bungee leaves that range. The turns are
    taken to let all the stretch through, which errs to the safe side.

    Examples
    --------
    >>> gun = Barrel(1.20), Shaft(0.007, 1.60), ShootingLine(0.0017), Water()
    >>> round(swing_bow(*gun, slack=0.01), 3)
    0.068
    """
    case, _, _ = _case(barrel, shaft, line, water, run, swing, slack, tension)
    # With u = 1/T the cubic is u^3 - p u - q = 0, which has one positive root.
    push = np.square(case.load) * case.excess
    q = case.give / push
    p = case.slack / push
    size = np.maximum(np.abs(p), 1e-12 * np.cbrt(q) ** 2)
    x = q / 2 * (3 / size) ** 1.5
    loose = np.where(x < 1, np.cos(np.arccos(np.minimum(x, 1)) / 3),
                     np.cosh(np.arccosh(np.maximum(x, 1)) / 3))
    root = 2 * np.sqrt(size / 3) * np.where(p > 0, loose, np.sinh(np.arcsinh(x) / 3))
    return plain(case.load * case.shape * root)


def wrap_risk(over: Obstacle, barrel: Barrel, shaft: Shaft, line: ShootingLine, water: Water,
              run: LineRun | None = None, swing: Swing | None = None, slack: ArrayLike = 0.0,
              tension: ArrayLike = 0.0) -> WrapRisk:
    """Return whether a swing can throw the line over the band or the muzzle, and what stops it.

    It takes an extra length e in one run: over the band the bow of `swing_bow` must pass
    `side_clearance`; over the muzzle a loop must pass the nose (`slack_to_pass`). Drag that has
    drawn out e pulls with T = c sqrt(H/e), so it cannot as long as the slack is below e - T/k,
    or the tension above T - k e.

    Parameters
    ----------
    over : "band" or "muzzle"
        What the line may fall over.
    barrel, shaft, line, water : Barrel, Shaft, ShootingLine, Water
        Their numbers broadcast against each other.
    run, swing : LineRun, Swing, optional
        The handbook's usual ones unless you give your own.
    slack : array_like
        Extra length of the line, all of it in one run [m], 0 to a fifth of the run.
    tension : array_like
        Pull at the bungee before the swing [N], 0 to 500.

    Returns
    -------
    WrapRisk

    Raises
    ------
    InputError
        If a value lies outside its range, or both slack and tension are above 0.

    Notes
    -----
    Drag alone: a finger, weed or the bottom can still lift a line that this calls impossible, and
    a line that came off the release lies anywhere. Look at the line before every shot. The
    clearances, the swing and the friction have no published source: measure yours.

    Examples
    --------
    >>> gun = Barrel(1.20), Shaft(0.007, 1.60), ShootingLine(0.0017, bungee_length=0.20), Water()
    >>> wrap_risk("muzzle", *gun, slack=0.02).verdict, wrap_risk("muzzle", *gun, slack=0.15).verdict
    ('impossible', 'likely')
    """
    if not isinstance(over, str) or over not in get_args(Obstacle):
        raise InputError(f"over is {shown(over)}; accepted are 'band' and 'muzzle'.")
    case, lie, turn = _case(barrel, shaft, line, water, run, swing, slack, tension)
    if over == "band":
        needed = case.excess * np.square(turn.side_clearance / case.shape)
    else:
        needed = np.asarray(slack_to_pass(case.span, turn.side_clearance, turn.loop_ahead))
    drawn = case.load * np.sqrt(case.excess / needed)
    limit = needed - case.give * drawn
    turned = np.exp(2 * np.pi * np.asarray(lie.friction) * line.wraps)
    hold = np.maximum(drawn - needed / case.give, 0.0) * turned
    verdict = np.select([case.slack < limit, case.slack < needed], ["impossible", "possible"],
                        "likely")
    shape = np.broadcast_shapes(verdict.shape, np.shape(hold))
    return WrapRisk(str(verdict) if not shape else np.broadcast_to(verdict, shape).copy(),
                    plain(needed), plain(limit), plain(hold))


def cord_strength(diameter: float) -> Interval:
    """Return between what a polyethylene cord of a diameter may break: wide, so read the spool.

    The handbook's range for 1.7 mm ("line.breaking_strength") times (d/1.7 mm)^2.

    Parameters
    ----------
    diameter : float
        Nominal [m], 0.0005 to 0.005.

    Returns
    -------
    Interval
        Breaking strength of the straight cord [N].

    Raises
    ------
    InputError
        If the diameter lies outside its range.

    Examples
    --------
    >>> cord_strength(0.0017)
    Interval(low=1300.0, best=2000.0, high=4600.0)
    """
    d = single("diameter", diameter, 0.0005, 0.005, "m", "Give it in metres: 1.7 mm is 0.0017.")
    area = (d / _HANDBOOK_DIAMETER) ** 2
    return lookup("line.breaking_strength").interval.map(lambda force: force * area)


def _force(name: str, value: Any) -> Interval:
    """Return a strength as an interval: a number is taken as certain."""
    if isinstance(value, Interval):
        single(f"the low end of {name}", value.low, 1, 1e5, "N")
        single(f"the high end of {name}", value.high, 1, 1e5, "N")
        return value
    certain = single(name, value, 1, 1e5, "N", "Give it in newtons: 200 kgf is 1961.")
    return Interval(certain, certain, certain)


def made_up_strength(breaking_strength: Interval | float,
                     terminations: str | Iterable[str]) -> Interval:
    """Return the strength of a line with its knots or crimps: the weakest of them counts.

    Breaking strength x the least efficiency, worst with worst and best with best.

    Parameters
    ----------
    breaking_strength : Interval or float
        Of the straight line [N], 1 to 1e5: the spool's, or `cord_strength`.
    terminations : str or iterable of str
        How its ends are made: names of `TERMINATIONS`, of the handbook's rows "termination...".

    Returns
    -------
    Interval
        Strength of the line as made up [N].

    Raises
    ------
    InputError
        If a termination is unknown, or the strength outside its range.

    Notes
    -----
    Published efficiencies differ by rope and by hand, and must be taken as ranges (Simon, Dekys and
    Palcek, Acta Phys. Pol. A 138 (2020) 404). Tie ten of your own and break them.

    Examples
    --------
    >>> made_up_strength(2000, ["hmpe_splice", "crimp"])
    Interval(low=800.0, best=1600.0, high=1900.0)
    """
    straight = _force("breaking_strength", breaking_strength)
    names = [terminations] if isinstance(terminations, str) else terminations
    if not isinstance(names, (list, tuple, set)) or not names:
        raise InputError(f"terminations is {shown(terminations)}; give one name or a list of "
                         f"names, such as 'hmpe_splice', out of {', '.join(TERMINATIONS)}.")
    for name in names:
        if not isinstance(name, str) or name not in TERMINATIONS:
            raise InputError(f"terminations holds {shown(name)}; accepted are "
                             f"{', '.join(TERMINATIONS)}. "
                             f"Nearest: {nearest(str(name), TERMINATIONS)}.")
    parts = [lookup(f"termination.{name}").interval for name in names]
    return Interval(straight.low * min(part.low for part in parts),
                    straight.best * min(part.best for part in parts),
                    straight.high * min(part.high for part in parts))


def working_load(strength: Interval | float) -> Interval:
    """Return the load that a line may carry again and again: 15 to 25 % of its strength.

    Parameters
    ----------
    strength : Interval or float
        Of the line as made up [N], 1 to 1e5.

    Returns
    -------
    Interval
        Working load [N]; the low end takes the low strength and the low share.

    Raises
    ------
    InputError
        If the strength lies outside its range.

    Notes
    -----
    Holtzman, *The Field Guide to Knots*, p. 20, for ropes in general: it leaves room for wet, wear,
    knots and some shock. Not a rating of your line: the maker's limit comes first.

    Examples
    --------
    >>> working_load(1000)
    Interval(low=150.0, best=200.0, high=250.0)
    """
    held, share = _force("strength", strength), lookup("line.working_share").interval
    return Interval(held.low * share.low, held.best * share.best, held.high * share.high)


def _bodies(shaft: Shaft, gun_mass: ArrayLike | None) -> Any:
    """Mass that the line has to stop [kg]: the shaft's, or the reduced one of shaft and gun."""
    of_kind(Shaft, shaft=shaft)
    mass = np.asarray(shaft.mass)
    if gun_mass is None:
        return mass
    gun = np.asarray(within("gun_mass", gun_mass, 0.1, 100, "kg"))
    together(shaft, gun_mass=gun)
    return mass * gun / (mass + gun)


def _bungee_limit(bungee_limit: ArrayLike | None) -> Any:
    return np.asarray(within("bungee_limit", lookup("bungee.limit").value if bungee_limit is None
                             else bungee_limit, 0.1, 6, ""))


def end_shock(line: ShootingLine, line_length: ArrayLike, shaft: Shaft, speed: ArrayLike,
              gun_mass: ArrayLike | None = None, bungee_limit: ArrayLike | None = None) -> EndShock:
    """Return the pull with which the line stops a shaft that runs out to its end.

    The energy E = 1/2 mu v^2 goes into stretch, mu = m for a gun held fast and m M/(m + M) for
    one that is free. With a stiffness K that is F = v sqrt(mu K): v sqrt(mu EA/L) for the line
    alone. With a bungee K is `stiffness` up to the bungee's limit, F1 = k x limit, which takes
    E1 = F1^2/2K; the rest goes into the line: F^2 = F1^2 + 2 (E - E1) EA/L.

    Parameters
    ----------
    line : ShootingLine
        With or without bungee.
    line_length : array_like
        Of the line without the bungee [m], 0.1 to 50.
    shaft : Shaft
        Its mass counts.
    speed : array_like
        Of the shaft along the line when the line comes straight [m/s], 0 to 60.
    gun_mass : array_like, optional
        Of a gun that is free to follow [kg], 0.1 to 100; held fast unless given. A hand holds
        somewhere between.
    bungee_limit : array_like, optional
        Strain at which the bungee is at its end [1], 0.1 to 6; the handbook's unless you give
        your own.

    Returns
    -------
    EndShock

    Raises
    ------
    InputError
        If a value lies outside its range.

    Notes
    -----
    Energy balance without loss, so an upper bound for a line that is straight: Gere and Goodno,
    *Mechanics of Materials*, section 2.8 on impact. Line and bungee are taken as straight-line
    springs and their mass as small beside the shaft's. What is stored comes back: the shaft
    rebounds at the diver, a bungee throws it farther.

    Examples
    --------
    >>> shaft = Shaft(diameter=0.007, length=1.60)
    >>> round(end_shock(ShootingLine(0.0017), 3.6, shaft, speed=5).tension)
    578
    >>> round(end_shock(ShootingLine(0.0017, bungee_length=0.30), 3.6, shaft, speed=5).tension)
    49
    """
    stretchy, soft = _compliances(line, line_length)
    mass, most = _bodies(shaft, gun_mass), _bungee_limit(bungee_limit)
    v = np.asarray(within("speed", speed, 0, 60, "m/s"))
    together(line, shaft, line_length=np.asarray(line_length), speed=v, gun_mass=mass,
             bungee_limit=most)
    energy = mass * v**2 / 2
    full = np.asarray(line.bungee_stiffness) * most
    before = full**2 / 2 * (stretchy + soft)
    tension = np.sqrt(np.where(energy <= before, 2 * energy / (stretchy + soft),
                               full**2 + 2 * np.maximum(energy - before, 0) / stretchy))
    taken = np.minimum(tension, full) ** 2 / 2 * soft
    share = np.divide(taken, energy, out=np.zeros(np.broadcast(taken, energy).shape),
                      where=energy > 0)
    return EndShock(plain(energy), plain(tension),
                    plain(tension * stretchy + np.minimum(tension, full) * soft), plain(share))


def greatest_end_speed(load: ArrayLike, line: ShootingLine, line_length: ArrayLike, shaft: Shaft,
                       gun_mass: ArrayLike | None = None,
                       bungee_limit: ArrayLike | None = None) -> Any:
    """Return the shaft's speed at the line's end at which the pull reaches a load.

    The inverse of `end_shock`.

    Parameters
    ----------
    load : array_like
        Such as the line's strength as made up, or its working load [N], 0 to 1e5.
    line, line_length, shaft : ShootingLine, array_like, Shaft
        As in `end_shock`; the length in [m].
    gun_mass, bungee_limit : array_like, optional
        As in `end_shock` [kg] and [1].

    Returns
    -------
    float or ndarray
        Speed [m/s].

    Raises
    ------
    InputError
        If a value lies outside its range.

    Examples
    --------
    >>> shaft = Shaft(diameter=0.007, length=1.60)
    >>> round(greatest_end_speed(1155, ShootingLine(0.0017), 3.6, shaft))
    10
    """
    stretchy, soft = _compliances(line, line_length)
    mass, most = _bodies(shaft, gun_mass), _bungee_limit(bungee_limit)
    pull = np.asarray(within("load", load, 0, 1e5, "N"))
    together(line, shaft, line_length=np.asarray(line_length), load=pull, gun_mass=mass,
             bungee_limit=most)
    in_bungee = np.minimum(pull, np.asarray(line.bungee_stiffness) * most)
    return plain(np.sqrt((pull**2 * stretchy + in_bungee**2 * soft) / mass))


def strength_margin(strength: Interval | float, line: ShootingLine, line_length: float,
                    shaft: Shaft, speed: float, gun_mass: float | None = None,
                    axial_stiffness: Interval | None = None) -> Interval:
    """Return how many times the end shock the line holds, with its doubt.

    Strength over `end_shock`, worst with worst: low strength on the stiffest line and an early
    end of the bungee. Below 1 the line breaks; a working load of 15 to 25 % means 4 to 7 or more.

    Parameters
    ----------
    strength : Interval or float
        Of the line as made up [N], 1 to 1e5.
    line, line_length, shaft, speed : ShootingLine, float, Shaft, float
        As in `end_shock`, single numbers; length in [m] and speed in [m/s], above 0.
    gun_mass : float, optional
        Of a gun that is free to follow [kg]; held fast unless given.
    axial_stiffness : Interval, optional
        E A of the line [N], 100 to 1e6. Unless given, `line.stiffness` with the handbook's
        relative range ("line.stiffness").

    Returns
    -------
    Interval
        Strength over peak pull [1].

    Raises
    ------
    InputError
        If a value lies outside its range, or there are several.

    Examples
    --------
    >>> held = made_up_strength(cord_strength(0.0017), "crimp")
    >>> margin = strength_margin(held, ShootingLine(0.0017), 3.6, Shaft(0.007, 1.60), speed=5)
    >>> round(margin.low, 1), round(margin.best, 1), round(margin.high, 1)
    (0.6, 2.8, 10.7)
    """
    holds = _force("strength", strength)
    v = single("speed", speed, 0.01, 60, "m/s")
    length = single("line_length", line_length, 0.1, 50, "m", "Give it in metres.")
    free = None if gun_mass is None else single("gun_mass", gun_mass, 0.1, 100, "kg")
    margins = strength_margins((holds.low, holds.best, holds.high), line, length, shaft, v, free,
                               axial_stiffness)
    return Interval(*(single("the margin of this line and shaft", one, 0, np.inf, "")
                      for one in margins))


def strength_margins(strength: tuple[ArrayLike, ArrayLike, ArrayLike], line: ShootingLine,
                     line_length: ArrayLike, shaft: Shaft, speed: ArrayLike,
                     gun_mass: ArrayLike | None = None, axial_stiffness: Interval | None = None
                     ) -> tuple[Any, Any, Any]:
    """Return the low, best and high ends of `strength_margin` for many set-ups at once.

    Parameters
    ----------
    strength : tuple of three array_like
        Low, best and high strength of the line as made up [N], 1 to 1e5, in ascending order.
    line, line_length, shaft, speed : ShootingLine, array_like, Shaft, array_like
        As in `end_shock`; length in [m] and speed in [m/s], 0.01 to 60. All broadcast.
    gun_mass : array_like, optional
        As in `end_shock` [kg].
    axial_stiffness : Interval, optional
        As in `strength_margin` [N].

    Returns
    -------
    low, best, high : float or ndarray
        Strength over peak pull [1].

    Raises
    ------
    InputError
        If a value lies outside its range, or a low strength is above a high one.

    Examples
    --------
    >>> low, _, _ = strength_margins((800, 1600, 1900), ShootingLine(0.0017), 3.6,
    ...                              Shaft(0.007, 1.60), speed=[5, 10])
    >>> low.round(2)
    array([0.88, 0.44])
    """
    if not isinstance(strength, (tuple, list)) or len(strength) != 3:
        raise InputError(f"strength is {shown(strength)}; give three, the low, the best and the "
                         "high strength.")
    weak, usual, strong = (np.asarray(within("strength", one, 1, 1e5, "N")) for one in strength)
    v = within("speed", speed, 0.01, 60, "m/s")
    of_kind(ShootingLine, line=line)
    row, limit = lookup("line.stiffness").interval, lookup("bungee.limit").interval
    if axial_stiffness is None:
        soft, own, stiff = (np.clip(np.multiply(line.stiffness, each / row.best), 100.0, 1e6)
                            for each in (row.low, row.best, row.high))
    else:
        of_kind(Interval, axial_stiffness=axial_stiffness)
        soft, own, stiff = (np.asarray(each) for each in (
            axial_stiffness.low, axial_stiffness.best, axial_stiffness.high))
    together(line, shaft, low_strength=weak, strength=usual, high_strength=strong)
    if np.any(weak > usual) or np.any(usual > strong):
        raise InputError("strength is not in ascending order; give the low, the best and the high "
                         "one.")

    def margin(held: Any, axial: Any, end: float) -> Any:
        shock = end_shock(replace(line, stiffness=axial), line_length, shaft, v, gun_mass, end)
        return held / np.asarray(shock.tension)

    # Sorted, as rounding may swap margins that are equal.
    low, best, high = np.sort(np.stack(np.broadcast_arrays(
        margin(weak, stiff, limit.low), margin(usual, own, limit.best),
        margin(strong, soft, limit.high))), axis=0)
    return plain(low), plain(best), plain(high)
