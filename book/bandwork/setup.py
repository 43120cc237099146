"""Unit `setup`: what a whole set-up does, for one, for many, and against another.

`predict` asks the other five units and adds no physics of its own; every figure is that of the
unit that its docstring names. Which set-up to choose is the question of `bandwork.choice`.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, fields, is_dataclass, replace
from textwrap import fill
from typing import Any

import numpy as np

from bandwork import flight, stretch, trim
from bandwork import launch as shot
from bandwork.components import Band, Barrel, Diver, Shaft, ShootingLine, Water
from bandwork.flight import DragCoefficients
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.launch import EnergyBudget, ShotConditions
from bandwork.line import LineRun, end_shock, made_up_strength, reach, strength_margin
from bandwork.units import kgf_from_newton
from bandwork.validation import InputError, of_kind, plain, settle, shown, single, together

_FARTHEST = 20.0
_STILL = 0.01
_METRES = "Give it in metres: {} is {}."
USUAL_CAUTIONS = tuple(dict.fromkeys(
    (*stretch.CAUTIONS, *shot.CAUTIONS, *flight.CAUTIONS, *trim.CAUTIONS)))
"""What holds for every set-up and closes every prediction."""


def _handbook(key: str) -> Any:
    return field(default_factory=lambda: lookup(key).value)


@dataclass(frozen=True)
class Setup:
    """Everything that decides a shot: the parts, the water, and who loads it.

    Parameters
    ----------
    band, shaft, barrel, line, water, diver : Band, Shaft, Barrel, ShootingLine, Water, Diver
        The parts. Their numbers may be arrays, which broadcast against each other.
    assist_length : float or array_like
        Of the load assist, hook to handle [m], 0 to 1.5; 0 for none.

    Raises
    ------
    InputError
        If a part is of another kind, the assist out of range, or arrays do not fit together.

    Examples
    --------
    >>> gun = Setup(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), Barrel(1.20),
    ...             ShootingLine(0.0017), Water(), Diver(500, 0.9), assist_length=0.30)
    >>> round(gun.gun_mass, 1)
    0.9
    """

    band: Band
    shaft: Shaft
    barrel: Barrel
    line: ShootingLine
    water: Water
    diver: Diver
    assist_length: Any = 0.0

    def __post_init__(self) -> None:
        of_kind(Band, band=self.band)
        of_kind(Shaft, shaft=self.shaft)
        of_kind(Barrel, barrel=self.barrel)
        of_kind(ShootingLine, line=self.line)
        of_kind(Water, water=self.water)
        of_kind(Diver, diver=self.diver)
        settle(self, "assist_length", 0, 1.5, "m", _METRES.format("30 cm", "0.30"))
        together(self, **{f"{one.name}, {name}": value for one in self.barrel.others
                          for name, value in vars(one).items() if np.ndim(value)})

    @property
    def gun_mass(self) -> Any:
        """Of the gun without shaft and bands, with the water in a flooded tube [kg].

        What recoils, with the hand. The water around it that follows is left out: along a
        slender gun it is a few per cent.
        """
        out = trim.gun_trim(*self._gun, "shaft_out")
        mass = np.subtract(out.mass, self.band.mass)
        if self.barrel.flooded:
            free = self.barrel.length - 2 * np.asarray(self.barrel.plug_length)
            mass = mass + self.water.density * np.pi / 4 * np.square(self.barrel.bore) * free
        return plain(mass)

    @property
    def _gun(self) -> tuple[Band, Shaft, Barrel, ShootingLine, Water]:
        return self.band, self.shaft, self.barrel, self.line, self.water


@dataclass(frozen=True)
class Quarry:
    """What the fish asks of the shot. The usual values are assumed: give your own.

    Parameters
    ----------
    distance : float or array_like
        From the muzzle to the fish [m], 0.5 to 15.
    drop_tolerance : float or array_like
        The most that the shaft may drop on its way [m], 0.001 to 5.
    least_energy : float or array_like
        That the shaft must arrive with [J], 0 to 5000.
    time_available : float or array_like
        Until the fish is gone, from when the tail leaves the muzzle [s], 0.001 to 10.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.
    """

    distance: Any = _handbook("quarry.distance")
    drop_tolerance: Any = _handbook("quarry.drop_tolerance")
    least_energy: Any = _handbook("quarry.least_energy")
    time_available: Any = _handbook("quarry.time_available")

    def __post_init__(self) -> None:
        settle(self, "distance", 0.5, 15, "m", _METRES.format("350 cm", "3.5"))
        settle(self, "drop_tolerance", 1e-3, 5, "m", _METRES.format("10 cm", "0.10"))
        settle(self, "least_energy", 0, 5000, "J")
        settle(self, "time_available", 1e-3, 10, "s")
        together(self)


@dataclass(frozen=True)
class Assumptions:
    """What the units take for granted besides the parts. Replace what you have measured.

    Parameters
    ----------
    shot : ShotConditions
        Losses on the track. Its `gun_mass` [kg], if given, stands for gun and hand together.
    hand_mass : float or array_like
        Of the hand and arm that recoil with the gun [kg], 0 (a gun let loose) to 90 (held fast:
        no recoil, more speed); hand and forearm unless you give your own.
    drag : DragCoefficients
        Of the flight.
    run : LineRun
        Where the line lies.
    line_tension : float or array_like
        Pull at which the line is laid on [N], 0 to 500.
    terminations : tuple of str
        How the line's ends are made, as in `line.made_up_strength`.
    line_strength : Interval, optional
        Of the straight line [N]. Without it: `ShootingLine.breaking_strength`, with the
        handbook's relative range around it.

    Raises
    ------
    InputError
        If a value lies outside its range or is of another kind.
    """

    shot: ShotConditions = field(default_factory=ShotConditions)
    hand_mass: Any = _handbook("diver.hand_mass")
    drag: DragCoefficients = field(default_factory=DragCoefficients)
    run: LineRun = field(default_factory=LineRun)
    line_tension: Any = 0.0
    terminations: tuple[str, ...] = ("crimp",)
    line_strength: Interval | None = None

    def __post_init__(self) -> None:
        of_kind(ShotConditions, shot=self.shot)
        settle(self, "hand_mass", 0, 90, "kg")
        of_kind(DragCoefficients, drag=self.drag)
        of_kind(LineRun, run=self.run)
        settle(self, "line_tension", 0, 500, "N")
        made_up_strength(1000.0, self.terminations)
        if self.line_strength is not None:
            of_kind(Interval, line_strength=self.line_strength)
        together(self)


@dataclass(frozen=True)
class Prediction:
    """What one set-up does. Printed, it answers a rigger; every number here is in SI.

    Attributes
    ----------
    load : float
        Pull at the notch [N]; `stretch.loading`, like the next four.
    load_spare : float
        What this diver brings beyond that [N]; negative: too hard.
    first_reach : float
        How far ahead of the notch the hands take hold first [m].
    reach_spare : float
        The diver's reach less the farther grip [m]; negative: out of reach.
    hand_over_load : float
        Pull when the hands change over from the assist to the wishbone [N].
    stored_energy : float
        That loading adds to the band [J].
    returned_energy : float
        Of it, what the rubber does not keep in this shot [J].
    muzzle_speed : float
        Of the shaft through the water [m/s]; `launch.launch`, like the next six.
    efficiency : float
        Energy of the shaft over the energy stored [1].
    time_on_track : float
        From the release until the tail leaves the gun [s].
    recoil_speed : float
        Of the gun with the hand, backward [m/s].
    flex_ratio : float
        Thrust over what a guided shaft bears [1].
    retraction_speed : float
        At which the rubber itself can retract [m/s].
    energy : EnergyBudget
        Where the stored energy has gone [J].
    line_length : float
        To cut, without what knots and crimps take up [m]; `line.reach`, like the next two.
    reach_from_muzzle : float
        Of the tip, the line straight [m].
    reach_from_diver : float
        The same from the shoulder, arm straight [m].
    tip_range : float
        Range that the four below are for [m]: `reach_from_muzzle`, at most 20. The line's anchor
        and the muzzle count as one place.
    speed_at_reach : float
        Of the shaft there [m/s]; `flight.fly`, like the next three.
    time_to_reach : float
        From when the tail leaves the muzzle [s].
    drop_at_reach : float
        Below the line of the barrel [m].
    energy_at_reach : float
        Of the shaft there [J].
    practical_range : float
        From muzzle to tip, with what the quarry asks [m]; `flight.practical_range`.
    limited_by : str
        What limits it: "line", "drop", "energy" or "time".
    net_force_shaft_in : float
        Buoyant force less weight [N]: negative sinks; `trim.gun_trim`, like the next six.
    net_force_shaft_out : float
        The same without shaft and line [N].
    grip_moment : float
        At the grip, shaft in, gun level [N m]: negative lets the muzzle sink.
    angle_shaft_in : float
        Of the muzzle above the horizon, let go under water [rad].
    floats_shaft_in : bool
        With the shaft in.
    floats_shaft_out : bool
        With shaft and line off the gun.
    belt_lead : float
        Lead that pulls down as hard as the gun, shaft in [kg]; negative if it lifts.
    end_tension : float
        Peak pull if the shaft runs to the line's end, the gun held fast [N]; `line.end_shock`.
    line_margin : Interval
        How many times that pull the line holds [1]; `line.strength_margin`.
    cautions : tuple of str
        Worst first, then those that always hold.
    """

    load: float
    load_spare: float
    first_reach: float
    reach_spare: float
    hand_over_load: float
    stored_energy: float
    returned_energy: float
    muzzle_speed: float
    efficiency: float
    time_on_track: float
    recoil_speed: float
    flex_ratio: float
    retraction_speed: float
    energy: EnergyBudget
    line_length: float
    reach_from_muzzle: float
    reach_from_diver: float
    tip_range: float
    speed_at_reach: float
    time_to_reach: float
    drop_at_reach: float
    energy_at_reach: float
    practical_range: float
    limited_by: str
    net_force_shaft_in: float
    net_force_shaft_out: float
    grip_moment: float
    angle_shaft_in: float
    floats_shaft_in: bool
    floats_shaft_out: bool
    belt_lead: float
    end_tension: float
    line_margin: Interval
    cautions: tuple[str, ...]

    def __str__(self) -> str:
        """Return the answer to a rigger, in kgf, cm and m/s."""
        lines = [
            ("Load at the notch", f"{_kgf(self.load)}; this diver brings "
             f"{_kgf(self.load + self.load_spare)}: "
             + (f"{_kgf(self.load_spare)} to spare" if self.load_spare >= 0
                else f"{_kgf(-self.load_spare)} too hard")),
            ("First grip", f"{_cm(self.first_reach)} ahead of the notch, "
             + (f"within reach by {_cm(self.reach_spare)}" if self.reach_spare >= 0
                else f"out of reach by {_cm(-self.reach_spare)}")
             + f"; {_kgf(self.hand_over_load)} at the hand-over"),
            ("Energy", f"{self.stored_energy:.0f} J stored, {self.energy.shaft:.0f} J in the shaft "
             f"({self.efficiency:.0%})"),
            ("Speed", f"{self.muzzle_speed:.1f} m/s at the muzzle after "
             f"{self.time_on_track * 1000:.0f} ms; recoil {self.recoil_speed:.1f} m/s; "
             f"thrust {self.flex_ratio:.1f} times what the shaft bears between guides"),
            ("Reach", f"{self.reach_from_muzzle:.1f} m from the muzzle, "
             f"{self.reach_from_diver:.1f} m from the diver"),
            ("There", f"{self.speed_at_reach:.1f} m/s, {self.energy_at_reach:.0f} J, "
             f"{_cm(self.drop_at_reach)} of drop, after {self.time_to_reach:.2f} s"),
            ("Practical range", f"{self.practical_range:.1f} m from the muzzle, limited by "
             f"{self.limited_by}"),
            ("Shaft in", f"{_floating(self.net_force_shaft_in)}, muzzle "
             f"{'up' if self.angle_shaft_in > 0 else 'down'} "
             f"{abs(np.degrees(self.angle_shaft_in)):.0f} degrees when let go; "
             f"{'weighs' if self.belt_lead > 0 else 'lifts'} as much as "
             f"{abs(self.belt_lead) * 1000:.0f} g of belt lead"),
            ("Shaft out", _floating(self.net_force_shaft_out)),
            ("Line", f"{self.line_length:.2f} m to cut; {_kgf(self.end_tension)} if the shaft runs "
             f"to its end, of which it holds {self.line_margin.best:.1f} times "
             f"({self.line_margin.low:.1f} to {self.line_margin.high:.1f})"),
        ]
        told = [fill(f"{label + ':':<19}{text}", 92, subsequent_indent=" " * 19)
                for label, text in lines]
        warned = [fill(f"! {one}", 92, subsequent_indent="  ") for one in self.cautions]
        return "\n".join([*told, "Cautions:", *warned])


def _kgf(force: float) -> str:
    return f"{kgf_from_newton(force):.1f} kgf"


def _cm(length: float) -> str:
    return f"{length * 100:.0f} cm"


def _floating(force: float) -> str:
    return f"{'floats' if force > 0 else 'sinks'} with {kgf_from_newton(abs(force)):.2f} kgf"


_STAGES = {
    "loading": ("load", "load_spare", "first_reach", "reach_spare", "hand_over_load",
                "stored_energy"),
    "trim": ("net_force_shaft_in", "net_force_shaft_out", "grip_moment", "angle_shaft_in",
             "floats_shaft_in", "floats_shaft_out", "belt_lead"),
    "line": ("line_length", "reach_from_muzzle", "reach_from_diver", "tip_range"),
    "launch": ("muzzle_speed", "efficiency", "time_on_track", "recoil_speed", "flex_ratio",
               "retraction_speed", "returned_energy",
               *(f"energy.{part.name}" for part in fields(EnergyBudget))),
    "flight": ("speed_at_reach", "time_to_reach", "drop_at_reach", "energy_at_reach",
               "end_tension", "line_margin"),
    "range": ("practical_range", "limited_by"),
}
CLOSED_FORM = _STAGES["loading"] + _STAGES["trim"] + _STAGES["line"]
"""Names that need no shot: the fast part of `predict_many`."""
NAMES = tuple(name for names in _STAGES.values() for name in names)
"""Names that `predict_many` knows: the attributes of `Prediction`; `energy.shaft` and its like
are the budget's parts, and `line_margin` is its best value."""


def _straight(line: ShootingLine, given: Assumptions) -> Interval:
    """Return the strength of the straight line with its doubt [N]."""
    if given.line_strength is not None:
        return given.line_strength
    row, own = lookup("line.breaking_strength").interval, line.breaking_strength
    return row.map(lambda force: own * force / row.best)


def _answers(setup: Setup, quarry: Quarry, given: Assumptions, wanted: set[str],
             fire: Callable[..., shot.Launch]) -> tuple[dict[str, Any], list[tuple[str, ...]]]:
    """Ask the units whose names are wanted; return the numbers and the cautions, worst first."""
    band, shaft, barrel, line, water = gun = setup._gun
    found: dict[str, Any] = {}
    warned: list[tuple[str, ...]] = []
    needed = {stage for stage, names in _STAGES.items() if wanted & set(names)}
    if needed & {"flight", "range"}:
        needed |= {"line", "launch"}

    if "loading" in needed:
        hands = stretch.loading(setup.diver, band, barrel, setup.assist_length)
        warned.append(hands.cautions)
        found |= {"load": hands.load, "load_spare": hands.spare, "first_reach": hands.first_reach,
                  "reach_spare": hands.reach_spare, "hand_over_load": hands.hand_over_load,
                  "stored_energy": stretch.stored_energy(band, barrel)}
    if "trim" in needed:
        loaded, bare = trim.gun_trim(*gun, "shaft_in"), trim.gun_trim(*gun, "shaft_out")
        found |= {"net_force_shaft_in": loaded.net_force, "net_force_shaft_out": bare.net_force,
                  "grip_moment": loaded.grip_moment, "angle_shaft_in": loaded.submerged_angle,
                  "floats_shaft_in": np.greater(loaded.net_force, 0),
                  "floats_shaft_out": np.greater(bare.net_force, 0),
                  "belt_lead": trim.belt_lead(loaded)}
    if "line" in needed:
        far = reach(barrel, shaft, line, given.run, given.line_tension)
        tip = plain(np.clip(far.from_muzzle, shaft.length, _FARTHEST))
        found |= {"line_length": far.line_length, "reach_from_muzzle": far.from_muzzle,
                  "reach_from_diver": far.from_diver, "tip_range": tip}
    if "launch" in needed:
        conditions = given.shot
        if conditions.gun_mass is None:
            conditions = replace(conditions, gun_mass=np.add(setup.gun_mass, given.hand_mass))
        fired = fire(band, shaft, barrel, water, conditions)
        warned.append(fired.cautions)
        found |= {name: getattr(fired, name) for name in _STAGES["launch"][:6]}
        found |= {f"energy.{name}": value for name, value in vars(fired.energy).items()}
        found["returned_energy"] = plain(np.subtract(fired.energy.stored,
                                                     fired.energy.hysteresis))
    if "flight" in needed:
        there = flight.fly(shaft, water, line, fired.muzzle_speed, tip, 0.0, given.drag)
        warned.append(there.cautions)
        pull = end_shock(line, far.line_length, shaft, np.minimum(there.speed, 60.0)).tension
        holds = made_up_strength(1.0, given.terminations).best * (
            line.breaking_strength if given.line_strength is None else given.line_strength.best)
        found |= {"speed_at_reach": there.speed, "time_to_reach": there.time,
                  "drop_at_reach": there.drop, "energy_at_reach": there.energy,
                  "end_tension": pull, "line_margin": holds / np.maximum(pull, 1e-9)}
    if "range" in needed:
        practical = flight.practical_range(
            shaft, water, line, fired.muzzle_speed, np.minimum(far.from_muzzle, _FARTHEST),
            quarry.drop_tolerance, quarry.least_energy, None, quarry.time_available, given.drag)
        warned.append(practical.cautions)
        found |= {"practical_range": practical.tip_range, "limited_by": practical.limit}
    return found, warned


def _asked(setup: Any, quarry: Quarry | None, given: Assumptions | None
           ) -> tuple[Quarry, Assumptions]:
    of_kind(Setup, setup=setup)
    fish = Quarry() if quarry is None else quarry
    taken = Assumptions() if given is None else given
    of_kind(Quarry, quarry=fish)
    of_kind(Assumptions, assumptions=taken)
    return fish, taken


def predict(setup: Setup, quarry: Quarry | None = None,
            assumptions: Assumptions | None = None) -> Prediction:
    """Return everything that the units say about one set-up.

    Parameters
    ----------
    setup : Setup
        One set-up, of single numbers.
    quarry : Quarry, optional
        For the practical range; the handbook's assumed fish unless you give your own.
    assumptions : Assumptions, optional
        The handbook's unless you give your own.

    Returns
    -------
    Prediction

    Raises
    ------
    InputError
        If the set-up holds arrays, or as the units: slack or overstretched band, a load assist
        too long, a shaft too short for the line, a band too weak.

    Notes
    -----
    An estimate from a model, never permission. The rubber pulls as its law was measured: cold,
    age and batch are in `stretch.load_interval`.

    Examples
    --------
    >>> gun = Setup(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), Barrel(1.20),
    ...             ShootingLine(0.0017), Water(), Diver(500, 0.9), assist_length=0.30)
    >>> told = predict(gun)
    >>> round(told.load), round(told.reach_from_muzzle, 1), told.floats_shaft_out
    (461, 5.4, True)
    """
    fish, given = _asked(setup, quarry, assumptions)
    shape = _shape(setup, fish, given)
    if shape:
        raise InputError(f"The parts hold numbers for {np.prod(shape)} set-ups; one is accepted "
                         "here. Use predict_many for several.")
    found, warned = _answers(setup, fish, given, set(NAMES), shot.launch)
    energy = EnergyBudget(**{part.name: found.pop(f"energy.{part.name}")
                             for part in fields(EnergyBudget)})
    for name in ("floats_shaft_in", "floats_shaft_out"):
        found[name] = bool(found[name])
    holds = made_up_strength(_straight(setup.line, given), given.terminations)
    found["line_margin"] = strength_margin(
        holds, setup.line, found["line_length"], setup.shaft,
        min(max(found["speed_at_reach"], _STILL), 60.0))
    special = [one for group in warned[:1] for one in group]
    special += _own_cautions(found, fish)
    special += [one for group in warned[1:] for one in group]
    cautions = [one for one in dict.fromkeys(special) if one not in USUAL_CAUTIONS]
    return Prediction(**found, energy=energy, cautions=(*cautions, *USUAL_CAUTIONS))


def _own_cautions(found: dict[str, Any], quarry: Quarry) -> Iterator[str]:
    margin = found["line_margin"]
    if margin.low < 1:
        word = "is likely to" if margin.best < 1 else "may"
        yield (f"The line {word} break where it stops a shaft that has met nothing: it holds "
               f"{margin.best:.1f} times that pull, with a weak line and a poor end "
               f"{margin.low:.1f} times. Fit a longer bungee or a stronger line.")
    if found["practical_range"] < quarry.distance:
        yield (f"A fish at {quarry.distance:.1f} m is beyond the practical range of "
               f"{found['practical_range']:.1f} m, which the {found['limited_by']} limits: go "
               "nearer or leave it.")
    if not found["floats_shaft_out"]:
        yield "This gun sinks even with the shaft out: once let go it is lost."


def _shape(*parts: Any) -> tuple[int, ...]:
    """Return the common shape of all arrays in dataclasses and what they hold."""
    return np.broadcast_shapes(*(np.shape(value) for part in parts for value in _arrays(part)))


def _arrays(part: Any) -> Iterator[Any]:
    if isinstance(part, np.ndarray):
        yield part
    elif isinstance(part, tuple):
        for one in part:
            yield from _arrays(one)
    elif is_dataclass(part):
        for one in fields(part):
            yield from _arrays(getattr(part, one.name))


def _rows(part: Any, shape: tuple[int, ...], rows: Any) -> Any:
    """Return a dataclass with each array cut down to some rows of the common shape."""
    if isinstance(part, np.ndarray):
        return np.broadcast_to(part, shape)[rows]
    if isinstance(part, tuple):
        return tuple(_rows(one, shape, rows) for one in part)
    if not any(True for _ in _arrays(part)):
        return part
    return replace(part, **{one.name: _rows(getattr(part, one.name), shape, rows)
                            for one in fields(part)})


def predict_chunks(setup: Setup, quarry: Quarry | None = None,
                   assumptions: Assumptions | None = None, names: Iterable[str] = NAMES,
                   chunk: int = 8192) -> Iterator[tuple[slice, dict[str, Any]]]:
    """Yield the predictions of many set-ups, some thousand at a time.

    Parameters
    ----------
    setup : Setup
        Its numbers broadcast; the rows are those of the common shape, in C order.
    quarry, assumptions : Quarry, Assumptions, optional
        As in `predict`; their numbers broadcast too.
    names : iterable of str
        What is wanted, out of `NAMES`; `CLOSED_FORM` is the fast part.
    chunk : int
        Rows at a time [1], 1 to 1e6. A row needs about 4 kB while it is computed.

    Yields
    ------
    slice
        Which rows.
    dict of str to ndarray
        By name, one value a row, in the unit of `Prediction` [SI].

    Raises
    ------
    InputError
        If a name is unknown, or as `predict`, with the rows among which it happens.

    Examples
    --------
    >>> guns = Setup(Band(0.016, 0.003, [0.65, 0.70]), Shaft(0.007, 1.60), Barrel(1.20),
    ...              ShootingLine(0.0017), Water(), Diver(500, 0.9), assist_length=0.30)
    >>> for rows, told in predict_chunks(guns, names=["load"]):
    ...     print(rows, told["load"].round())
    slice(0, 2, None) [461. 420.]
    """
    fish, given = _asked(setup, quarry, assumptions)
    wanted = _known(names)
    size = single("chunk", chunk, 1, 1e6, "", "Some thousand rows at a time are fastest.")
    shape = _shape(setup, fish, given)
    total = int(np.prod(shape))
    for start in range(0, total, int(size)):
        stop = min(start + int(size), total)
        rows: Any = slice(start, stop)
        if len(shape) > 1:
            rows = np.unravel_index(np.arange(start, stop), shape)
        try:
            part, wish, taken = (_rows(one, shape, rows) for one in (setup, fish, given))
            found, _ = _answers(part, wish, taken, set(wanted), shot.launch_many)
        except InputError as problem:
            raise InputError(f"In rows {start} to {stop - 1}: {problem}") from problem
        yield slice(start, stop), {name: np.broadcast_to(found[name], (stop - start,))
                                   for name in wanted}


def _known(names: Iterable[str]) -> list[str]:
    wanted = [names] if isinstance(names, str) else list(names)
    for name in wanted:
        if name not in NAMES:
            raise InputError(f"names holds {shown(name)}; accepted are {', '.join(NAMES)}.")
    return wanted


def predict_many(setup: Setup, quarry: Quarry | None = None,
                 assumptions: Assumptions | None = None, names: Iterable[str] = NAMES,
                 chunk: int = 8192, out: dict[str, Any] | None = None,
                 progress: Callable[[int, int], object] | None = None) -> dict[str, Any]:
    """Return the predictions of many set-ups, within 0.1 % of `predict`.

    Parameters
    ----------
    setup, quarry, assumptions, names, chunk : Setup, Quarry, Assumptions, iterable of str, int
        As in `predict_chunks` [SI units].
    out : dict of str to ndarray, optional
        Arrays to fill, by name, of as many values as there are set-ups [SI]: give files mapped to
        memory (`numpy.lib.format.open_memmap`) when the results are larger than the memory.
    progress : callable, optional
        Called after each chunk with (rows done, rows in all).

    Returns
    -------
    dict of str to ndarray
        By name, in the common shape of all numbers, in the unit of `Prediction` [SI]; `out`
        itself if it was given.

    Raises
    ------
    InputError
        If a name is unknown or an array of `out` does not fit, or as `predict`, with the rows
        among which it happens.

    Examples
    --------
    >>> guns = Setup(Band(0.016, 0.003, [0.65, 0.70]), Shaft(0.007, 1.60), Barrel(1.20),
    ...              ShootingLine(0.0017), Water(), Diver(500, 0.9), assist_length=0.30)
    >>> predict_many(guns, names=["load", "reach_from_muzzle"])["load"].round()
    array([461., 420.])
    """
    fish, given = _asked(setup, quarry, assumptions)
    wanted = _known(names)
    shape = _shape(setup, fish, given)
    total = int(np.prod(shape))
    kinds = {"limited_by": "U8", "floats_shaft_in": bool, "floats_shaft_out": bool}
    filled = out if out is not None else {
        name: np.empty(shape, dtype=kinds.get(name, float)) for name in wanted}
    for name in wanted:
        if np.size(filled.get(name, ())) != total or not filled[name].flags.c_contiguous:
            raise InputError(f"out holds no array {shown(name)} of {total} values in one piece; "
                             "give one for each name that is wanted.")
    for rows, found in predict_chunks(setup, fish, given, wanted, chunk):
        for name, values in found.items():
            filled[name].reshape(-1)[rows] = values
        if progress is not None:
            progress(rows.stop, total)
    return filled


@dataclass(frozen=True)
class Change:
    """One input or one result of two set-ups side by side.

    Attributes
    ----------
    name : str
        Of an input, such as "band.relaxed_length", or of an attribute of `Prediction`.
    old, new : object
        Its two values; numbers in SI.
    difference : float or None
        New less old [the number's unit]; None for what is no number.
    sentence : str
        The same in words, in kgf, cm and m/s.
    """

    name: str
    old: Any
    new: Any
    difference: float | None
    sentence: str


@dataclass(frozen=True)
class Comparison:
    """What changes from one set-up to another.

    Attributes
    ----------
    inputs : tuple of Change
        What differs between the two.
    results : tuple of Change
        Every result, in the order of `Prediction`, changed or not.
    cautions : tuple of str
        Of the new set-up.
    """

    inputs: tuple[Change, ...]
    results: tuple[Change, ...]
    cautions: tuple[str, ...]

    def __str__(self) -> str:
        """Return the inputs that differ and the results that change, a sentence each."""
        moved = [one for one in self.results if one.old != one.new]
        lines = [fill(one.sentence, 92, subsequent_indent="  ") for one in (*self.inputs, *moved)]
        lines = lines or ["The two set-ups are alike."]
        return "\n".join([*lines, "Cautions:",
                          *(fill(f"! {one}", 92, subsequent_indent="  ")
                            for one in self.cautions)])


def _times(factor: float) -> Callable[[float], float]:
    return lambda value: value * factor


_SAME, _HUNDRED, _THOUSAND = _times(1), _times(100), _times(1000)
_WORDS: dict[str, tuple[str, str, Callable[[Any], Any], int, str, str]] = {
    "load": ("load at the notch", "kgf", kgf_from_newton, 1, "harder to load", "easier to load"),
    "load_spare": ("spare strength of the diver", "kgf", kgf_from_newton, 1, "more in hand",
                   "less in hand"),
    "first_reach": ("first grip ahead of the notch", "cm", _HUNDRED, 0, "a longer reach",
                    "a shorter reach"),
    "reach_spare": ("spare reach of the diver", "cm", _HUNDRED, 0, "easier to take hold of",
                    "harder to take hold of"),
    "hand_over_load": ("pull at the hand-over", "kgf", kgf_from_newton, 1, "harder to hook on",
                       "easier to hook on"),
    "stored_energy": ("stored energy", "J", _SAME, 0, "more to shoot with", "less to shoot with"),
    "returned_energy": ("energy that the rubber gives back", "J", _SAME, 0, "more to shoot with",
                        "less to shoot with"),
    "muzzle_speed": ("speed at the muzzle", "m/s", _SAME, 1, "faster", "slower"),
    "efficiency": ("share of the energy that the shaft takes", "%", _HUNDRED, 0,
                   "better used", "worse used"),
    "time_on_track": ("time on the track", "ms", _THOUSAND, 0, "later out", "sooner out"),
    "recoil_speed": ("recoil", "m/s", _SAME, 1, "a harder kick", "a softer kick"),
    "flex_ratio": ("thrust over what the shaft bears", "times", _SAME, 2, "it bends more",
                   "it bends less"),
    "retraction_speed": ("speed at which the rubber retracts", "m/s", _SAME, 0,
                         "farther from its limit", "nearer to its limit"),
    "line_length": ("line to cut", "m", _SAME, 2, "more line", "less line"),
    "reach_from_muzzle": ("reach from the muzzle", "m", _SAME, 2, "farther", "nearer"),
    "reach_from_diver": ("reach from the diver", "m", _SAME, 2, "farther", "nearer"),
    "tip_range": ("range that speed and drop are for", "m", _SAME, 2, "farther", "nearer"),
    "speed_at_reach": ("speed there", "m/s", _SAME, 1, "arrives faster", "arrives slower"),
    "time_to_reach": ("time to get there", "ms", _THOUSAND, 0, "the fish has longer",
                      "the fish has less time"),
    "drop_at_reach": ("drop there", "cm", _HUNDRED, 1, "aim higher", "aim less high"),
    "energy_at_reach": ("energy there", "J", _SAME, 0, "hits harder", "hits softer"),
    "practical_range": ("practical range", "m", _SAME, 2, "farther", "nearer"),
    "net_force_shaft_in": ("lift with the shaft in", "kgf", kgf_from_newton, 2, "lighter in hand",
                           "heavier in hand"),
    "net_force_shaft_out": ("lift with the shaft out", "kgf", kgf_from_newton, 2, "floats better",
                            "floats worse"),
    "grip_moment": ("moment at the grip", "N m", _SAME, 2, "the muzzle comes up",
                    "the muzzle goes down"),
    "angle_shaft_in": ("angle when let go", "degrees", np.degrees, 0, "muzzle higher",
                       "muzzle lower"),
    "belt_lead": ("gun in grams of belt lead", "g", _THOUSAND, 0, "heavier to carry",
                  "lighter to carry"),
    "end_tension": ("pull at the line's end", "kgf", kgf_from_newton, 0, "a harder stop",
                    "a softer stop"),
    "line_margin": ("line's strength over that pull", "times", _SAME, 1, "safer", "less safe"),
}


def compare(a: Setup, b: Setup, quarry: Quarry | None = None,
            assumptions: Assumptions | None = None) -> Comparison:
    """Return what changes from set-up `a` to set-up `b`, in numbers and in words.

    Parameters
    ----------
    a, b : Setup
        Two set-ups of single numbers; the words are best where one part differs.
    quarry, assumptions : Quarry, Assumptions, optional
        As in `predict`, for both.

    Returns
    -------
    Comparison

    Raises
    ------
    InputError
        As `predict`.

    Examples
    --------
    >>> from dataclasses import replace
    >>> gun = Setup(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), Barrel(1.20),
    ...             ShootingLine(0.0017), Water(), Diver(500, 0.9), assist_length=0.30)
    >>> told = compare(gun, replace(gun, band=Band(0.016, 0.003, 0.67)))
    >>> told.inputs[0].sentence
    'band.relaxed_length goes from 0.65 to 0.67.'
    >>> told.results[0].sentence
    'The load at the notch goes from 47.0 to 45.2 kgf, 1.8 less: easier to load.'
    """
    old, new = (predict(one, quarry, assumptions) for one in (a, b))
    results = [_change(one.name, getattr(old, one.name), getattr(new, one.name))
               for one in fields(Prediction) if one.name not in ("energy", "cautions")]
    return Comparison(tuple(_differences("", a, b)), tuple(results), new.cautions)


def _change(name: str, old: Any, new: Any) -> Change:
    before, after = (one.best if isinstance(one, Interval) else one for one in (old, new))
    if name not in _WORDS:
        told = f"{name.replace('_', ' ')} goes from {before} to {after}." if before != after \
            else f"{name.replace('_', ' ')} stays {after}."
        return Change(name, old, new, None, told[0].upper() + told[1:])
    label, unit, scale, digits, up, down = _WORDS[name]
    difference = after - before
    left, right = (f"{float(scale(one)):.{digits}f}" for one in (before, after))
    moved = float(scale(abs(difference)))
    if round(moved, digits) == 0:
        return Change(name, old, new, difference, f"The {label} stays near {right} {unit}.")
    words = f"{moved:.{digits}f} {'more' if difference > 0 else 'less'}"
    return Change(name, old, new, difference, f"The {label} goes from {left} to {right} {unit}, "
                  f"{words}: {up if difference > 0 else down}.")


def _differences(place: str, a: Any, b: Any) -> Iterator[Change]:
    """Yield the inputs that differ, down to the single number."""
    if type(a) is type(b) and is_dataclass(a):
        for one in fields(a):
            name = f"{place}.{one.name}" if place else one.name
            yield from _differences(name, getattr(a, one.name), getattr(b, one.name))
    elif type(a) is type(b) and isinstance(a, tuple) and len(a) == len(b):
        for number, (left, right) in enumerate(zip(a, b, strict=True), 1):
            yield from _differences(f"{place} {number}", left, right)
    elif a != b:
        numeric = isinstance(a, (int, float)) and isinstance(b, (int, float)) \
            and not isinstance(a, bool)
        left, right = (f"{one:.6g}" if numeric else shown(one) for one in (a, b))
        yield Change(place, a, b, b - a if numeric else None,
                     f"{place} goes from {left} to {right}.")
