"""Float test, muzzle speeds, reach, sinking and drops reduced, as on the book's pages."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from bandwork import flight
from bandwork.components import Water
from bandwork.doubt import Measurements, calibrate
from bandwork.handbook import lookup
from bandwork.interval import Interval, combine
from bandwork.line import reach
from bandwork.rubber import scaled
from bandwork.setup import Setup, predict_many
from bandwork.units import STANDARD_GRAVITY
from bandwork.validation import FloatArray, InputError
from bandwork.workshop.found import Found, Line, around, exactly
from bandwork.workshop.measured import Measured
from bandwork.workshop.pulls import PullFit, as_pulls

if TYPE_CHECKING:
    from bandwork.workshop.files import GunFile

SEA_SALINITY = 35.0
POSITION_DOUBT = 0.012
STICK_DOUBT = 0.02
DROP_DOUBT = 0.03
"""Of a tail's place in a picture [m], of the stick [1] and of one drop [m]; the page's numbers."""

TUB_DOUBTS = {"grip": 0.005, "muzzle": 0.005, "mass": 0.005, "way": 0.005, "balance": 0.005,
              "lead": 0.002}
"""What each reading of a float test may be off [kg, m]; the page's numbers."""

_TRIAL_SPEED = 25.0


def _mean(values: Sequence[float] | FloatArray) -> Interval:
    """Return the mean with two standard errors."""
    given = np.asarray(values, dtype=float)
    middle = float(given.mean())
    if len(given) < 2:
        return exactly(middle)
    return around(middle, 2 * float(given.std(ddof=1)) / len(given) ** 0.5)


def _salinity(measured: Measured) -> float:
    return SEA_SALINITY if measured.salty else 0.0


def fit_float(measured: Measured) -> Found:
    """Return net force and moment of a gun in the tub and in the sea.

    Parameters
    ----------
    measured : Measured
        A float test; trials are averaged.

    Returns
    -------
    Found

    Raises
    ------
    InputError
        If something is missing or cannot be right.
    """
    mass, balance, lead, way, warm = measured.need("mass", "balance", "lead", "way", "temperature")
    trials = {name: [row.one(name) for row in measured.rows] for name in ("grip", "muzzle")}
    given = {"mass": mass, "balance": balance, "lead": lead, "way": way,
             **{name: float(np.mean(values)) for name, values in trials.items()}}
    for name, most in (("mass", 20.0), ("way", 3.0), ("lead", 5.0), ("balance", 3.0)):
        if not (0 if name == "lead" else 0.01 if name != "balance" else -3) <= given[name] <= most:
            raise InputError(f"{measured.path.name}: {name} is {given[name]:.4g}, in kilograms or "
                             f"metres; accepted is up to {most:g}. Check the number and its unit.")
    doubts = dict(TUB_DOUBTS)
    for name, values in trials.items():
        scatter = _mean(values)
        doubts[name] = max(doubts[name], scatter.high - scatter.best)
    tub = Water(temperature=warm, salinity=_salinity(measured))
    sea = Water(temperature=warm, salinity=SEA_SALINITY)

    def reduced(grip: float, muzzle: float, mass: float, way: float, balance: float, lead: float
                ) -> tuple[float, float, float, float]:
        g = STANDARD_GRAVITY
        weight = lead * (1 - tub.density / lookup("lead.density").value) * g
        force, moment = weight - (grip + muzzle) * g, -muzzle * g * way
        volume = mass / tub.density + force / (tub.density * g)
        if volume <= 0:
            raise InputError(f"{measured.path.name}: by these readings the gun takes up no room in "
                             "the water; check the mass in air and the scale's readings.")
        centre = (moment + mass * g * balance) / (tub.density * volume * g)
        more = (sea.density - tub.density) * volume * g
        return force, moment, force + more, moment + more * centre

    best = reduced(**given)
    ends = {name: tuple(zip(*(reduced(**{**given, name: given[name] + off})
                              for off in (-doubt, doubt)), strict=True))
            for name, doubt in doubts.items()}
    lines = [Line(key, label, combine(best[at], {name: pair[at] for name, pair in ends.items()}),
                  unit)
             for at, (key, label, unit) in enumerate((
                 ("net_force_tub", "net force in the tub, up", "N"),
                 ("moment_tub", "moment in the tub, muzzle up", "N m"),
                 ("net_force_sea", "net force in the sea, up", "N"),
                 ("moment_sea", "moment in the sea, muzzle up", "N m")))]
    says = [f"{'Sea' if measured.salty else 'Fresh'} water is taken for the tub, and "
            f"{SEA_SALINITY:g} g/kg of salt for the sea."]
    for line, up, down in ((lines[2], "floats", "sinks"), (lines[3], "rises", "sinks")):
        what = "The gun" if line.unit == "N" else "The muzzle, about the grip,"
        sure = line.value.low > 0 or line.value.high < 0
        word = up if line.value.best > 0 else down
        says.append(f"{what} {word if sure else f'{word} by the best value, but may not'} in the "
                    "sea, unloaded.")
    cautions = ["Air that stayed under the handle lifts in the tub and is gone at sea; weigh the "
                "gun again when it is dry outside.",
                "Nothing is loaded in a tub: the rubber's place when loaded has to be computed."]
    return Found(f"Float test, {measured.path.name}", "float", tuple(lines), tuple(says),
                 tuple(cautions), measured.habits,
                 {name: tuple(values) for name, values in trials.items()})


def _gun(measured: Measured, gun: "GunFile | None") -> Setup:
    if gun is None:
        raise InputError(f"{measured.path.name} holds a {measured.kind} table, which needs the gun "
                         "that it was measured with; name its set-up with --gun.")
    setup = gun.setup
    warm = measured.shared.get("temperature")
    return setup if warm is None else replace(setup, water=replace(setup.water, temperature=warm))


def fit_speed(measured: Measured, gun: "GunFile | None", pulled: PullFit | None = None) -> Found:
    """Return the muzzle speed, and the loss if the tube was pulled.

    Parameters
    ----------
    measured : Measured
        Muzzle speeds by video.
    gun : GunFile or None
        The gun that was shot.
    pulled : PullFit, optional
        A pull test of the same tube.

    Returns
    -------
    Found

    Raises
    ------
    InputError
        If something is missing or cannot be right.
    """
    setup = _gun(measured, gun)
    rate, = measured.need("rate")
    if not 20 <= rate <= 100_000:
        raise InputError(f"{measured.path.name}: {rate:g} pictures a second; accepted is 20 to "
                         "100000.")
    first, last, speeds = [], [], []
    for row in measured.rows:
        count = row.values.get("pictures", (measured.shared.get("pictures", np.nan),))[0]
        if np.isnan(count):
            measured.need("pictures")
        here, there = row.one("first"), row.one("last")
        if count < 1 or count != int(count):
            raise InputError(f"{measured.path.name} line {row.line}: {count:g} pictures between; "
                             "accepted is a whole number from 1 on.")
        if not -1 <= here < there <= 10:
            raise InputError(f"{measured.path.name} line {row.line}: the tail goes from "
                             f"{here * 100:g} to {there * 100:g} cm; accepted is forward, within "
                             "10 m. Check the two places and their unit.")
        first.append(here)
        last.append(there)
        speeds.append((there - here) * rate / count)
    over = np.array(speeds)
    if over.min() < 1 or over.max() > 90:
        raise InputError(f"{measured.path.name}: a speed of {over[np.argmax(abs(over - 30))]:.3g} "
                         "m/s; accepted is 1 to 90. Check the pictures a second: a slow-motion "
                         "film plays at another rate than it was taken with.")
    ahead = float(setup.shaft.length) + np.array([np.mean(first), np.mean(last)])
    passed = flight.fly(setup.shaft, setup.water, setup.line, _TRIAL_SPEED, ahead)
    slowing = float(_TRIAL_SPEED / (np.diff(passed.distance)[0] / np.diff(passed.time)[0]))
    muzzle = over * slowing
    scatter = _mean(muzzle)
    middle = scatter.best
    doubt = 2 * float(np.hypot((scatter.high - middle) / 2, STICK_DOUBT * middle))
    way = float(np.mean(np.subtract(last, first)))
    one = round(float(np.hypot(2**0.5 * POSITION_DOUBT / way, STICK_DOUBT)), 3)
    lines = [Line("muzzle_speed", "muzzle speed, mean", around(middle, doubt), "m/s", 1),
             Line("over_the_way", "mean over the way", exactly(float(over.mean())), "m/s", 1),
             Line("slowing", "muzzle over mean, as the shaft slows", exactly(slowing), "", 3),
             Line("one_shot", "one shot is good to", exactly(one), "%", 1)]
    says = ["The stick's 2 % are in all shots alike; more shots do not shrink them."]
    cautions = ["These speeds hold for this band, shaft, hand and water."]
    if len(muzzle) < 2:
        cautions.append("One shot shows no scatter; take three to five.")
    lines += _loss(setup, gun, muzzle, one, pulled, says)
    return Found(f"Muzzle speed, {measured.path.name}", "speed", tuple(lines), tuple(says),
                 tuple(cautions), measured.habits,
                 {"over_the_way": tuple(map(float, over)), "muzzle": tuple(map(float, muzzle))})


def _loss(setup: Setup, gun: "GunFile | None", muzzle: FloatArray, one: float,
          pulled: PullFit | None, says: list[str]) -> list[Line]:
    """Return what part of the stored energy never reached the shaft, if the tube is known."""
    assumptions = gun.assumptions if gun else None
    rubber = gun.rubber if gun else None
    if pulled is not None:
        seen = Measurements(pulls=as_pulls(pulled.stretch, pulled.pull, setup),
                            speeds=list(muzzle), speed_doubt=one)
        unknown = None
    elif rubber is not None:
        seen, unknown = Measurements(speeds=list(muzzle), speed_doubt=one), ["loss"]
    else:
        says.append("With a pull test of the same tube, given as a second file or as the set-up's "
                    "rubber, the loss would be found too.")
        return []
    try:
        found = dict(calibrate(setup, seen, unknown, assumptions).estimates)
        ends = {"readings": (found["loss"].low, found["loss"].high),
                "stick": tuple(
                    calibrate(setup, replace(seen, speeds=list(muzzle * off)), unknown,
                              assumptions).estimates["loss"].best
                    for off in (1 - STICK_DOUBT, 1 + STICK_DOUBT))}
        if rubber is not None and pulled is None:
            ends["stiffness"] = tuple(
                calibrate(_stiffer(setup, factor), seen, unknown, assumptions
                          ).estimates["loss"].best
                for factor in (rubber.stiffness.low, rubber.stiffness.high))
    except InputError as refusal:
        says.append(f"The loss was not found. {refusal}")
        return []
    loss = combine(found["loss"].best, {name: (low, high) for name, (low, high) in ends.items()})
    says.append("Loss is whatever makes the shaft slower than the model without it: heat in the "
                "rubber, and all that the model has wrong. In a set-up's [doubt]: "
                f"hysteresis_loss = [{max(loss.low, 0):.2f}, {loss.best:.2f}, {loss.high:.2f}].")
    lines = [Line("loss", "loss", loss)]
    if "stiffness" in found:
        lines.insert(0, Line("stiffness", "tube over the set-up's rubber", found["stiffness"]))
    return lines


def _stiffer(setup: Setup, factor: float) -> Setup:
    return replace(setup, band=replace(setup.band, rubber=scaled(setup.band.rubber, factor)))


def fit_reach(measured: Measured, gun: "GunFile | None") -> Found:
    """Return the reach that was walked, beside the computed one.

    Parameters
    ----------
    measured : Measured
        Ways from the muzzle to the tip.
    gun : GunFile or None
        The gun.

    Returns
    -------
    Found

    Raises
    ------
    InputError
        If the gun is missing.
    """
    setup = _gun(measured, gun)
    walked = np.array([one for row in measured.rows for one in row.values["reach"]])
    run = gun.assumptions.run if gun else None
    computed = float(reach(setup.barrel, setup.shaft, setup.line, run).from_muzzle)
    mean = _mean(walked)
    return Found(f"Reach by hand, {measured.path.name}", "reach", (
        Line("walked", "walked, muzzle to tip", mean, "m"),
        Line("computed", "computed, without knots", exactly(computed), "m"),
        Line("knots", "knots and loops take", mean.map(lambda one: computed - one), "cm", 0)),
        (), ("Nobody may stand in the reach of a loaded gun, and a line stretches when it stops a "
             "shaft.",), measured.habits, {"walked": tuple(map(float, walked))})


def fit_sinking(measured: Measured, gun: "GunFile | None") -> Found:
    """Return the drag coefficient of a shaft that sinks level.

    Parameters
    ----------
    measured : Measured
        Ways down with their times.
    gun : GunFile or None
        The gun of the shaft.

    Returns
    -------
    Found

    Raises
    ------
    InputError
        If the gun or the water's temperature is missing, or no coefficient fits.
    """
    from scipy.optimize import brentq

    setup = _gun(measured, gun)
    warm, = measured.need("temperature")
    pool = Water(temperature=warm, salinity=_salinity(measured))
    shaft = setup.shaft
    _, carried = flight.added_mass(shaft, pool)
    weight = (shaft.mass - carried) * STANDARD_GRAVITY
    depths = {row.one("depth") for row in measured.rows}
    if len(depths) > 1:
        raise InputError(f"{measured.path.name} holds several ways down; keep one in a file.")
    depth = depths.pop()
    times = np.array([one for row in measured.rows for one in row.values["time"]])

    def missed(coefficient: float, seconds: float) -> float:
        area = coefficient * shaft.diameter * shaft.length
        return float(flight.sink(seconds, weight, shaft.mass + carried, area, pool.density)[0]
                     ) - depth

    def found(seconds: float) -> float:
        if not (0 < depth <= 20 and 0 < seconds <= 60
                and missed(0.05, seconds) > 0 > missed(10, seconds)):
            raise InputError(f"{measured.path.name}: {depth:g} m in {seconds:.3g} s is no way that "
                             "this shaft sinks, whatever its drag; check way, times and shaft.")
        return float(brentq(missed, 0.05, 10, args=(seconds,)))

    mean = _mean(times)
    best, low, high = (found(one) for one in (mean.best, mean.low, mean.high))
    row = lookup("drag.cross_flow")
    return Found(f"A shaft that sinks, {measured.path.name}", "sinking", (
        Line("time", "time", mean, "s"),
        Line("coefficient", "drag coefficient C", Interval(low, best, high)),
        Line("handbook", "in the handbook", row.interval)),
        (f"{'Sea' if measured.salty else 'Fresh'} water is taken. Whether a shaft in flight sinks "
         "as if it did not fly is the model's assumption.",),
        ("A cork is on the tip, and nobody is below a shaft that sinks.",), measured.habits,
        {"times": tuple(map(float, times))})


def fit_drop(measured: Measured, gun: "GunFile | None") -> Found:
    """Return the drops at a board, beside the computed ones, and what they say about drag.

    Parameters
    ----------
    measured : Measured
        Ranges and drops.
    gun : GunFile or None
        The gun that was shot.

    Returns
    -------
    Found

    Raises
    ------
    InputError
        If the gun is missing, or a reading cannot be right.
    """
    setup = _gun(measured, gun)
    assumptions = gun.assumptions if gun else None
    drops = [(row.one("range"), one) for row in measured.rows for one in row.values["drop"]]
    for ahead, drop in drops:
        if not (0.05 <= ahead <= 20 and -1 <= drop <= 5):
            raise InputError(f"{measured.path.name}: a drop of {drop * 100:g} cm at {ahead:g} m; "
                             "accepted is -100 to 500 cm at 0.05 to 20 m. Check the units.")
    speed = predict_many(setup, None, assumptions, ["muzzle_speed"])["muzzle_speed"]
    lines = []
    for ahead in sorted({ahead for ahead, _ in drops}):
        here = [drop for at, drop in drops if at == ahead]
        lines.append(Line(f"drop_{ahead:g}", f"drop at {ahead:g} m, {len(here)} shots",
                          _mean(here), "cm", 1))
        drag = assumptions.drag if assumptions else None
        if ahead >= float(setup.shaft.length):
            told = flight.fly(setup.shaft, setup.water, setup.line, speed, ahead, 0.0, drag).drop
            lines.append(Line(f"computed_{ahead:g}", "  computed for this gun",
                              exactly(float(np.ravel(told)[0])), "cm", 1))
    says = []
    try:
        found = calibrate(setup, Measurements(drops=drops, drop_doubt=DROP_DOUBT), ["drag"],
                          assumptions).estimates["drag"]
        lines.append(Line("drag", "drag of the shaft over the computed", found, "", 1))
    except InputError as refusal:
        says.append(f"The drag was not found. {refusal}")
    says.append("A drop mixes speed, drag, aim and the habit to hold a little high; the scatter "
                "says how small a fish may be.")
    return Found(f"Drops at a board, {measured.path.name}", "drop", tuple(lines), tuple(says),
                 ("Every shot counts, the wide one too. Shots only under the conditions of the "
                  "page on the target.",), measured.habits,
                 {"range": tuple(at for at, _ in drops), "drop": tuple(one for _, one in drops)})
