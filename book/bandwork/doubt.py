"""Unit `setup`, its doubt: how sure a prediction is, and what measurements say about it.

Every uncertain input has a low, a best and a high value, from the handbook or from you. Between
them a triangular distribution is assumed, the plainest that has nothing else to know; inputs are
taken as independent of each other.
"""

import warnings
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from bandwork import flight
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.rubber import scaled
from bandwork.setup import Assumptions, Prediction, Quarry, Setup, predict_many, worded
from bandwork.validation import FloatArray, InputError, nearest, of_kind, within

Gun = tuple[Setup, Assumptions]

RESULTS = ("load", "stored_energy", "muzzle_speed", "recoil_speed", "hand_push", "flex_ratio",
           "barrel_safety_factor", "reach_from_muzzle", "speed_at_reach", "drop_at_reach",
           "time_to_reach", "energy_at_reach", "energy_per_area", "net_force_shaft_in",
           "grip_moment", "end_tension", "line_margin", "working_load")
"""What is given an interval unless other names are asked for; attributes of `Prediction`."""

_NO_NUMBERS = {one.name for one in fields(Prediction) if one.type in (str, bool)}


@dataclass(frozen=True)
class UncertainInput:
    """One input whose value is not known exactly.

    Attributes
    ----------
    key : str
        Handbook row of its usual range.
    put : callable
        ((Setup, Assumptions), values) -> the same with the values in their place.
    relative : bool
        Whether the row's range is taken relative to the set-up's own value.
    """

    key: str
    put: Callable[[Gun, FloatArray], Gun]
    relative: bool = False


def _pull(gun: Gun, factor: Any) -> Gun:
    setup, given = gun
    band = replace(setup.band, rubber=scaled(setup.band.rubber, factor))
    return replace(setup, band=band), given


def _longer(gun: Gun, by: Any) -> Gun:
    setup, given = gun
    band = replace(setup.band, relaxed_length=setup.band.relaxed_length + by)
    return replace(setup, band=band), given


def _part(part: str, name: str) -> Callable[[Gun, FloatArray], Gun]:
    def put(gun: Gun, values: FloatArray) -> Gun:
        setup, given = gun
        return replace(setup, **{part: replace(getattr(setup, part), **{name: values})}), given
    return put


def _fitting(fitting: str, name: str) -> Callable[[Gun, FloatArray], Gun]:
    def put(gun: Gun, values: FloatArray) -> Gun:
        setup, given = gun
        changed = replace(getattr(setup.barrel, fitting), **{name: values})
        return replace(setup, barrel=replace(setup.barrel, **{fitting: changed})), given
    return put


def _given(part: str, name: str) -> Callable[[Gun, FloatArray], Gun]:
    def put(gun: Gun, values: FloatArray) -> Gun:
        setup, given = gun
        return setup, replace(given, **{part: replace(getattr(given, part), **{name: values})})
    return put


INPUTS: dict[str, UncertainInput] = {
    "tube_stiffness": UncertainInput("rubber.tube_stiffness", _pull),
    "temperature_share": UncertainInput(
        "rubber.temperature_share",
        lambda gun, share: (gun[0], replace(gun[1], temperature_share=share))),
    "batch_length_spread": UncertainInput("rubber.batch_length_spread", _longer),
    "ageing_loss": UncertainInput("rubber.ageing_loss", lambda gun, lost: _pull(gun, 1 - lost)),
    "sheave_friction": UncertainInput("sheave.friction", _part("barrel", "sheave_friction")),
    "hysteresis_loss": UncertainInput("rubber.hysteresis_loss", _given("shot", "hysteresis_loss")),
    "drag_nose": UncertainInput("drag.nose", _given("drag", "nose")),
    "drag_wing": UncertainInput("drag.wing", _given("drag", "wing")),
    "drag_cross_flow": UncertainInput("drag.cross_flow", _given("drag", "cross_flow")),
    "drag_line": UncertainInput("drag.line_tangential", _given("drag", "line_tangential")),
    "handle_mass": UncertainInput("handle.mass", _fitting("handle", "mass"), relative=True),
    "handle_volume": UncertainInput("handle.volume", _fitting("handle", "volume"), relative=True),
    "muzzle_mass": UncertainInput("muzzle.mass", _fitting("muzzle", "mass"), relative=True),
    "muzzle_volume": UncertainInput("muzzle.volume", _fitting("muzzle", "volume"), relative=True),
    "breaking_strength": UncertainInput("line.breaking_strength",
                                        _part("line", "breaking_strength"), relative=True),
    "line_stiffness": UncertainInput("line.stiffness", _part("line", "stiffness"), relative=True),
}
"""The inputs that are uncertain unless you say otherwise, with the rows of their ranges."""

_OWN = {
    "handle_mass": lambda setup: setup.barrel.handle.mass,
    "handle_volume": lambda setup: setup.barrel.handle.volume,
    "muzzle_mass": lambda setup: setup.barrel.muzzle.mass,
    "muzzle_volume": lambda setup: setup.barrel.muzzle.volume,
    "breaking_strength": lambda setup: setup.line.breaking_strength,
    "line_stiffness": lambda setup: setup.line.stiffness,
}


def usual_ranges(setup: Setup) -> dict[str, Interval]:
    """Return the range of every input in `INPUTS` for one set-up.

    Parameters
    ----------
    setup : Setup
        One set-up, of single numbers.

    Returns
    -------
    dict of str to Interval
        In the unit of the input's handbook row [SI]. Ranges of masses, volumes and the line are the
        row's, scaled to the set-up's own value.

    Raises
    ------
    InputError
        If `setup` is no set-up.
    """
    of_kind(Setup, setup=setup)
    ranges = {}
    for name, uncertain in INPUTS.items():
        row = lookup(uncertain.key).interval
        if uncertain.relative:
            own = float(_OWN[name](setup))
            row = Interval(own * row.low / row.best, own, own * row.high / row.best)
        ranges[name] = row
    return ranges


def _asked(setup: Setup, ranges: Mapping[str, Interval] | None) -> dict[str, Interval]:
    known = usual_ranges(setup)
    for name, interval in (ranges or {}).items():
        if name not in known:
            raise InputError(f"There is no uncertain input {name!r}; nearest: "
                             f"{nearest(name, known)}.")
        of_kind(Interval, **{name: interval})
    return {**known, **(ranges or {})}


def _run(setup: Setup, quarry: Quarry | None, given: Assumptions, names: Sequence[str],
         values: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
    for name in names:
        if name in _NO_NUMBERS:
            raise InputError(f"The values of {name} are no numbers, so they have no interval; ask "
                             "for another of setup.NAMES.")
    drawn, taken = put_values((setup, given), values)
    return predict_many(drawn, quarry, taken, names)


def put_values(gun: Gun, values: Mapping[str, FloatArray]) -> Gun:
    """Return a gun with other values of its uncertain inputs.

    Parameters
    ----------
    gun : tuple of Setup and Assumptions
        As it is.
    values : mapping of str to ndarray
        By names of `INPUTS`, such as from `draw_values` [SI].

    Returns
    -------
    tuple of Setup and Assumptions

    Raises
    ------
    InputError
        If a value lies outside its range.
    """
    for name, value in values.items():
        gun = INPUTS[name].put(gun, value)
    return gun


def draw_values(ranges: Mapping[str, Interval], draws: int, seed: int = 0
                ) -> dict[str, FloatArray]:
    """Return values of uncertain inputs, drawn at random from triangular distributions.

    Parameters
    ----------
    ranges : mapping of str to Interval
        By names of `INPUTS` [SI]. One whose three values are alike is known.
    draws : int
        How many [1].
    seed : int
        The same seed gives the same draws.

    Returns
    -------
    dict of str to ndarray, shape (draws,)
        By names of `INPUTS` [SI].

    Raises
    ------
    InputError
        Never for such ranges.
    """
    chance = np.random.default_rng(seed)
    return {name: chance.triangular(one.low, one.best, one.high, draws) if one.low < one.high
            else np.full(draws, one.best) for name, one in ranges.items()}


@dataclass(frozen=True)
class Spread:
    """How far a prediction may be off.

    Attributes
    ----------
    intervals : dict of str to Interval
        For each result, the best value and the low and high end that `level` of the draws lie
        between, in the unit of `Prediction` [SI]. An end is the best value itself where all draws
        lie on the other side of it.
    draws : dict of str to ndarray
        Every draw's results, for a histogram [SI].
    level : float
        Part of the draws within the intervals [1].
    """

    intervals: dict[str, Interval]
    draws: dict[str, FloatArray]
    level: float

    def __str__(self) -> str:
        """Return a line for each result, in kgf, cm and m/s."""
        told = [f"{self.level:.0%} of the draws lie between:"]
        for name, one in self.intervals.items():
            label, best, unit = worded(name, one.best)
            low, high = (worded(name, end)[1] for end in (one.low, one.high))
            told.append(f"{label}: {best} {unit} ({low} to {high})")
        return "\n".join(told)


def monte_carlo(setup: Setup, ranges: Mapping[str, Interval] | None = None, *,
                names: Sequence[str] = RESULTS, draws: int = 2000, level: float = 0.9,
                seed: int = 0, quarry: Quarry | None = None,
                assumptions: Assumptions | None = None) -> Spread:
    """Return the intervals of a prediction from those of its inputs, by drawing at random.

    Parameters
    ----------
    setup : Setup
        One set-up, of single numbers.
    ranges : mapping of str to Interval, optional
        Your own ranges [SI], by names of `INPUTS`; the handbook's for the rest. An interval whose
        three values are alike takes an input for known.
    names : sequence of str
        Results wanted, numeric names of `setup.NAMES`.
    draws : int
        How many, 100 to 1,000,000.
    level : float
        Part of the draws within the intervals [1], 0.5 to 0.99.
    seed : int
        The same seed gives the same draws.
    quarry, assumptions : Quarry, Assumptions, optional
        As in `setup.predict`.

    Returns
    -------
    Spread

    Raises
    ------
    InputError
        If a name is unknown or its values are no numbers, a number is out of range, or a draw
        leaves what the units cover.

    Notes
    -----
    An interval holds what the inputs in `INPUTS` do, no more: what the model leaves out, and
    inputs such as the strength of the barrel or the swing, come on top.

    Examples
    --------
    >>> from bandwork.components import Band, Barrel, Diver, Shaft, ShootingLine, Water
    >>> gun = Setup(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), Barrel(1.20),
    ...             ShootingLine(0.0017), Water(), Diver(500, 0.9))
    >>> load = monte_carlo(gun, names=["load"], draws=500).intervals["load"]
    >>> 350 < load.low < load.best < load.high < 700
    True
    >>> print(monte_carlo(gun, names=["load", "stored_energy"]))
    90% of the draws lie between:
    load at the notch: 47.0 kgf (40.5 to 64.7)
    stored energy: 365 J (... to ...)
    """
    asked = _asked(setup, ranges)
    count = int(within("draws", draws, 100, 1_000_000, ""))
    part = float(within("level", level, 0.5, 0.99, ""))
    given = assumptions or Assumptions()
    found = _run(setup, quarry, given, names, draw_values(asked, count, seed))
    best = _run(setup, quarry, given, names,
                {name: np.array([one.best]) for name, one in asked.items()})
    tail = (1 - part) / 2
    intervals = {}
    for name, values in found.items():
        middle = float(best[name][0])
        low, high = (float(end) for end in np.quantile(values, [tail, 1 - tail]))
        intervals[name] = Interval(min(low, middle), middle, max(high, middle))
    return Spread(intervals, found, part)


def _triangle(interval: Interval) -> Any:
    from scipy.stats import triang

    width = interval.high - interval.low
    return triang((interval.best - interval.low) / width, interval.low, width)


@dataclass(frozen=True)
class Share:
    """How much of a result's variance one input makes.

    Attributes
    ----------
    first_order : float
        Alone [1].
    total : float
        Together with what it does in company of others [1].
    total_low, total_high : float
        Bootstrap interval of `total` at 95 % [1].
    """

    first_order: float
    total: float
    total_low: float
    total_high: float


def sobol_shares(function: Callable[[FloatArray], FloatArray], distributions: Sequence[Any],
                 names: Sequence[str], *, draws: int = 1024, seed: int = 0
                 ) -> list[dict[str, Share]]:
    """Return first-order and total Sobol indices of any function of independent inputs.

    Parameters
    ----------
    function : callable
        Inputs of shape (d, n) -> results of shape (s, n).
    distributions : sequence
        Of the d inputs: scipy's frozen distributions.
    names : sequence of str
        Of the d inputs.
    draws : int
        A power of two, 64 to 65536; the function sees draws x (d + 2) columns.
    seed : int
        The same seed gives the same result.

    Returns
    -------
    list of dict of str to Share
        One for each of the s results, the largest total first.

    Raises
    ------
    InputError
        If `draws` is no power of two in its range.

    Notes
    -----
    scipy's `sobol_indices`: A. Saltelli and others, Comput. Phys. Comm. 181 (2010) 259-270,
    doi:10.1016/j.cpc.2009.09.018.
    """
    from scipy.stats import sobol_indices

    count = int(within("draws", draws, 64, 65536, ""))
    if count & (count - 1):
        raise InputError(f"draws is {count}; accepted is a power of two, such as 1024.")
    found = sobol_indices(func=function, n=count, dists=list(distributions),
                           rng=np.random.default_rng(seed))
    with warnings.catch_warnings():  # an input without any effect has no bootstrap interval
        warnings.simplefilter("ignore", RuntimeWarning)
        spread = found.bootstrap(confidence_level=0.95, n_resamples=200)
    first, total = np.atleast_2d(found.first_order), np.atleast_2d(found.total_order)
    ends = spread.total_order.confidence_interval
    low, high = (np.where(np.isfinite(end), end, total) for end in
                 (np.atleast_2d(ends.low), np.atleast_2d(ends.high)))
    shares = []
    for row in range(len(total)):
        order = np.argsort(-total[row])
        shares.append({names[i]: Share(float(first[row, i]), float(total[row, i]),
                                       float(low[row, i]), float(high[row, i])) for i in order})
    return shares


def measure_next(setup: Setup, result: str, ranges: Mapping[str, Interval] | None = None, *,
                 draws: int = 256, seed: int = 0, quarry: Quarry | None = None,
                 assumptions: Assumptions | None = None) -> dict[str, Share]:
    """Return which inputs make a result uncertain, the one to measure next first.

    Parameters
    ----------
    setup : Setup
        One set-up, of single numbers.
    result : str
        A numeric name of `setup.NAMES`.
    ranges : mapping of str to Interval, optional
        As in `monte_carlo` [SI].
    draws : int
        A power of two, 64 to 65536.
    seed : int
        The same seed gives the same result.
    quarry, assumptions : Quarry, Assumptions, optional
        As in `setup.predict`.

    Returns
    -------
    dict of str to Share
        By input, the largest total index first; inputs that are known are left out.

    Raises
    ------
    InputError
        As `monte_carlo`, or if nothing is uncertain, or the result does not vary.
    """
    asked = {name: one for name, one in _asked(setup, ranges).items() if one.low < one.high}
    if not asked:
        raise InputError("Nothing is uncertain here, so there is nothing to measure next; give "
                         "at least one input a range.")
    given = assumptions or Assumptions()
    known = {name: np.array([one.best]) for name, one in _asked(setup, ranges).items()
             if one.low == one.high}

    def results(x: FloatArray) -> FloatArray:
        columns = {name: np.full(x.shape[1], value[0]) for name, value in known.items()}
        columns |= dict(zip(asked, x, strict=True))
        values = np.asarray(_run(setup, quarry, given, [result], columns)[result], dtype=float)
        if np.ptp(values) <= 1e-12 * np.abs(values).max():
            raise InputError(f"{result} does not vary with these inputs; nothing measured would "
                             "change it.")
        return values[None, :]

    return sobol_shares(results, [_triangle(one) for one in asked.values()], list(asked),
                        draws=draws, seed=seed)[0]


@dataclass(frozen=True)
class Measurements:
    """What a club can measure of one gun. Give what there is; each row is a tuple of numbers.

    Parameters
    ----------
    pulls : sequence of (float, float)
        Luggage scale: length of one leg [m], pull of all legs [N], pulled straight without
        roller, the rubber at `Assumptions.test_temperature`; the shot's is the water's.
    speeds : sequence of float
        Muzzle speeds from video [m/s].
    drops : sequence of (float, float)
        At a target: range from the muzzle to the tip [m], drop [m]; a little above the mark,
        where the scatter of the aim has taken it, is negative.
    times : sequence of (float, float)
        From video: range from the muzzle to the tip [m], time since the tail left the muzzle [s].
    pull_doubt, speed_doubt : float
        Standard uncertainty of one reading, relative [1], 0.001 to 0.5.
    drop_doubt : float
        Standard uncertainty of one drop [m], 0.001 to 0.5.
    time_doubt : float
        Standard uncertainty of one time [s], 1e-4 to 0.1: one frame of 120 a second is 0.008.

    Raises
    ------
    InputError
        If a value lies outside its range or a row has another form.
    """

    pulls: Sequence[tuple[float, float]] = ()
    speeds: Sequence[float] = ()
    drops: Sequence[tuple[float, float]] = ()
    times: Sequence[tuple[float, float]] = ()
    pull_doubt: float = 0.03
    speed_doubt: float = 0.05
    drop_doubt: float = 0.02
    time_doubt: float = 0.008

    def __post_init__(self) -> None:
        within("pull_doubt", self.pull_doubt, 0.001, 0.5, "")
        within("speed_doubt", self.speed_doubt, 0.001, 0.5, "")
        within("drop_doubt", self.drop_doubt, 0.001, 0.5, "m")
        within("time_doubt", self.time_doubt, 1e-4, 0.1, "s")
        for name, rows, least in (("pulls", self.pulls, 0.01), ("drops", self.drops, -1.0),
                                  ("times", self.times, 1e-4)):
            for row in rows:
                if not isinstance(row, (tuple, list)) or len(row) != 2:
                    raise InputError(f"{name} holds {row!r}; accepted are pairs of numbers.")
                within(f"the first number of a pair in {name}", row[0], 0.05, 20, "m")
                within(f"the second number of a pair in {name}", row[1], least, 1e4, "")
        for speed in self.speeds:
            within("a speed", speed, 1, 100, "m/s")


@dataclass(frozen=True)
class Calibration:
    """What the measurements say.

    Attributes
    ----------
    estimates : dict of str to Interval
        Best value and a 95 % interval: `stiffness` (pull of the tube over that of the set-up's
        rubber law), `loss` (part of the stored energy that never reaches the shaft through the
        rubber), `drag` (drag of the shaft along its way over the computed one), each [1].
    residuals : dict of str to tuple of float
        Measured less computed, over the doubt of one reading [1], by kind of measurement.
    setup, assumptions : Setup, Assumptions
        With the best values put in place; `drag` stands in the friction and nose coefficients.
    """

    estimates: dict[str, Interval]
    residuals: dict[str, tuple[float, ...]]
    setup: Setup
    assumptions: Assumptions


_TELLS = {"stiffness": "pulls", "loss": "speeds", "drag": "times or drops"}
_START = {"stiffness": 1.0, "loss": 0.1, "drag": 1.0}
_RANGE = {"stiffness": (0.2, 5.0), "loss": (0.0, 0.6), "drag": (0.3, 3.0)}


def _put(setup: Setup, given: Assumptions, values: Mapping[str, float]) -> Gun:
    """Put stiffness, loss and drag in their places."""
    gun = _pull((setup, given), values["stiffness"])
    shot_conditions = replace(given.shot, hysteresis_loss=values["loss"])
    drag = replace(given.drag, curvature=min(3.0, max(0.5, given.drag.curvature * values["drag"])),
                   nose=min(1.2, given.drag.nose * values["drag"]),
                   wing=min(2.0, given.drag.wing * values["drag"]))
    return gun[0], replace(gun[1], shot=shot_conditions, drag=drag)


def _misses(setup: Setup, given: Assumptions, seen: Measurements) -> dict[str, FloatArray]:
    """Return measured less computed over the doubt of one reading, by kind."""
    misses: dict[str, FloatArray] = {}
    if seen.pulls:
        path, force = np.array(seen.pulls, dtype=float).T
        misses["pulls"] = (force / setup.band.force(path) - 1) / seen.pull_doubt
    if not (seen.speeds or seen.drops or seen.times):
        return misses
    speed = predict_many(setup, None, given, ["muzzle_speed"])["muzzle_speed"]
    if seen.speeds:
        misses["speeds"] = (np.array(seen.speeds) / speed - 1) / seen.speed_doubt
    for kind, rows, name, doubt in (("drops", seen.drops, "drop", seen.drop_doubt),
                                    ("times", seen.times, "time", seen.time_doubt)):
        if rows:
            ahead, value = np.array(rows, dtype=float).T
            flown = flight.fly(setup.shaft, setup.water, setup.line, speed, ahead, 0.0, given.drag)
            misses[kind] = (value - np.asarray(getattr(flown, name))) / doubt
    return misses


def calibrate(setup: Setup, measurements: Measurements, unknown: Sequence[str] | None = None,
              assumptions: Assumptions | None = None) -> Calibration:
    """Fit the rubber's stiffness, the loss and the drag to what a club has measured.

    Weighted least squares; the intervals come from the slopes of the computed values at the best
    fit (Jacobian), with the doubts that you gave, made larger where the readings scatter more.

    Parameters
    ----------
    setup : Setup
        One set-up, of single numbers: the gun that was measured.
    measurements : Measurements
        What was measured.
    unknown : sequence of str, optional
        Of "stiffness", "loss" and "drag"; those that the kinds of measurement speak of unless you
        say otherwise.
    assumptions : Assumptions, optional
        As in `setup.predict`; what is not unknown stays as it is there.

    Returns
    -------
    Calibration

    Raises
    ------
    InputError
        If there are fewer readings than unknowns, or if the readings cannot tell one of the
        unknowns; the sentence names it and what to measure.

    Examples
    --------
    >>> from bandwork.components import Band, Barrel, Diver, Shaft, ShootingLine, Water
    >>> gun = Setup(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), Barrel(1.20),
    ...             ShootingLine(0.0017), Water(), Diver(500, 0.9))
    >>> weighed = [(length, 1.2 * gun.band.force(length)) for length in (1.2, 1.6, 2.0)]
    >>> round(calibrate(gun, Measurements(pulls=weighed)).estimates["stiffness"].best, 3)
    1.2
    """
    from scipy.optimize import least_squares

    of_kind(Setup, setup=setup)
    of_kind(Measurements, measurements=measurements)
    given = assumptions or Assumptions()
    spoken = [name for name, kinds in (("stiffness", measurements.pulls),
                                       ("loss", measurements.speeds),
                                       ("drag", (*measurements.times, *measurements.drops)))
              if len(kinds)]
    asked = list(spoken if unknown is None else unknown)
    for name in asked:
        if name not in _TELLS:
            raise InputError(f"There is no unknown {name!r}; accepted are {', '.join(_TELLS)}.")
    readings = sum(len(kind) for kind in (measurements.pulls, measurements.speeds,
                                          measurements.drops, measurements.times))
    if not asked or readings < len(asked):
        raise InputError(f"{readings} readings cannot tell {len(asked) or 'any'} unknowns; add "
                         "pulls on a scale, speeds or times from video, or drops at a target.")

    usual = {"stiffness": 1.0, "loss": float(np.asarray(given.shot.hysteresis_loss)), "drag": 1.0}

    def values(x: FloatArray) -> dict[str, float]:
        return {**usual, **{name: float(one) for name, one in zip(asked, x, strict=True)}}

    def misses(x: FloatArray) -> FloatArray:
        changed = _put(setup, given, values(x))
        return np.concatenate(list(_misses(*changed, measurements).values()))

    low, high = np.array([_RANGE[name] for name in asked]).T
    fitted = least_squares(misses, [_START[name] for name in asked], bounds=(low, high),
                           diff_step=1e-4)
    widths = _widths(np.asarray(fitted.jac), np.asarray(fitted.fun), asked, high - low)
    best = values(fitted.x)
    estimates = {name: Interval(max(_RANGE[name][0], best[name] - width), best[name],
                                min(_RANGE[name][1], best[name] + width))
                 for name, width in zip(asked, widths, strict=True)}
    gun, changed = _put(setup, given, best)
    residuals = {kind: tuple(float(one) for one in miss)
                 for kind, miss in _misses(gun, changed, measurements).items()}
    return Calibration(estimates, residuals, gun, changed)


def standard_errors(jacobian: FloatArray, residuals: FloatArray, known_scatter: bool) -> FloatArray:
    """Return the standard errors of least squares, sqrt(diag((J^T J)^-1)) s.

    Parameters
    ----------
    jacobian : ndarray, shape (m, p)
        Slopes of the residuals, in the residuals' unit over the parameters' [1].
    residuals : ndarray, shape (m,)
        At the best fit [1].
    known_scatter : bool
        Whether the residuals are in units of a scatter that is known: then s is at least 1;
        otherwise s^2 = sum(residuals^2)/(m - p).

    Returns
    -------
    ndarray, shape (p,)
        In the parameters' unit [1]; inf where the slopes cannot tell a parameter.

    Raises
    ------
    InputError
        Never for arrays of fitting shape.
    """
    freedom = len(residuals) - jacobian.shape[1]
    scatter = float(np.sqrt(np.sum(residuals**2) / freedom)) if freedom > 0 else 0.0
    _, sizes, across = np.linalg.svd(jacobian, full_matrices=False)
    if len(sizes) < jacobian.shape[1] or sizes[-1] <= 1e-10 * sizes[0]:
        weak = np.abs(across[-1]) > 1e-3
        return np.where(weak, np.inf, 0.0)
    covariance = (across.T / sizes**2) @ across
    return np.sqrt(np.diag(covariance)) * (max(scatter, 1.0) if known_scatter else scatter)


def _widths(jacobian: FloatArray, residuals: FloatArray, asked: Sequence[str],
            span: FloatArray) -> FloatArray:
    """Return half the 95 % intervals, or refuse an unknown that the readings cannot tell."""
    errors = 1.96 * standard_errors(jacobian, residuals, known_scatter=True)
    for name, error, whole in zip(asked, errors, span, strict=True):
        if not np.isfinite(error) or error > whole / 3:
            raise InputError(f"These readings cannot tell {name}: any value in a wide range fits "
                             f"them alike. Take more readings, {_TELLS[name]} among them, or leave "
                             f"{name} out of the unknowns.")
    return errors
