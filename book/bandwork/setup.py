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
from bandwork.line import (
    LineRun,
    Swing,
    end_shock,
    made_up_strength,
    reach,
    strength_margins,
    swing_bow,
    working_load,
    wrap_risk,
    wrap_span,
)
from bandwork.units import kgf_from_newton
from bandwork.validation import InputError, of_kind, plain, settle, shown, single, together

_FARTHEST = 20.0
_SLOWEST, _FASTEST = 0.01, 60.0
"""Between these the line's shock is known [m/s]."""
_LOOSEST = 0.2
"""Of a run: a line with more slack lies wherever the water leaves it."""
_METRES = "Give it in metres: {} is {}."
_EVERY_UNITS = (*stretch.CAUTIONS, *shot.CAUTIONS, *flight.CAUTIONS, *trim.CAUTIONS)
_LIMITS = shot.CAUTIONS[-1]
USUAL_CAUTIONS = tuple(dict.fromkeys(
    one for one in _EVERY_UNITS if one == _LIMITS or not one.startswith("Keep to ")))
"""What holds for every set-up and closes every prediction. Of the units' sentences on limits, law
and instructor it is the one that names all."""


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
    line_slack : float or array_like
        By how much the line has come loose on the gun since [m], 0 to 5, such as by a wrap that
        slipped; only what a swing does to the line goes by it. Not together with `line_tension`.
    swing : Swing
        How the gun is swung.
    sight_height : float or array_like
        Of the line of sight above the shaft, at the muzzle [m], -0.5 to 0.5.
    rubber_temperature : float, array_like or None
        Of the bands when shot [degrees Celsius], -2 to 45; None for the water's.
    test_temperature : float or array_like
        At which the rubber law was measured [degrees Celsius], -2 to 45; 20 for the test rubber.
    temperature_share : float or array_like
        Of the pull that follows temperature, as in `stretch.warmed` [1], 0 to 1; 0 leaves the
        temperature out.
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
    line_slack: Any = 0.0
    swing: Swing = field(default_factory=Swing)
    sight_height: Any = 0.0
    rubber_temperature: Any = None
    test_temperature: Any = 20.0
    temperature_share: Any = _handbook("rubber.temperature_share")
    terminations: tuple[str, ...] = ("crimp",)
    line_strength: Interval | None = None

    def __post_init__(self) -> None:
        of_kind(ShotConditions, shot=self.shot)
        settle(self, "hand_mass", 0, 90, "kg")
        of_kind(DragCoefficients, drag=self.drag)
        of_kind(LineRun, run=self.run)
        settle(self, "line_tension", 0, 500, "N")
        settle(self, "line_slack", 0, 5, "m", _METRES.format("5 cm", "0.05"))
        of_kind(Swing, swing=self.swing)
        settle(self, "sight_height", -0.5, 0.5, "m", _METRES.format("5 cm", "0.05"))
        if self.rubber_temperature is not None:
            settle(self, "rubber_temperature", -2, 45, "degrees Celsius")
        settle(self, "test_temperature", -2, 45, "degrees Celsius")
        settle(self, "temperature_share", 0, 1, "", "1 is the ideal rubber.")
        made_up_strength(1000.0, self.terminations)
        if self.line_strength is not None:
            of_kind(Interval, line_strength=self.line_strength)
        together(self)

    def warmed(self, band: Band, water: Water) -> Band:
        """Return the band as it pulls in this water, by `stretch.warmed`.

        Parameters
        ----------
        band : Band
            With its rubber as it was measured.
        water : Water
            Gives the temperature [degrees Celsius], unless `rubber_temperature` does.

        Returns
        -------
        Band
            As warm or cold as it is shot.

        Raises
        ------
        InputError
            If their arrays do not fit together.
        """
        now = water.temperature if self.rubber_temperature is None else self.rubber_temperature
        return replace(band, rubber=stretch.warmed(band.rubber, now, self.test_temperature,
                                                   self.temperature_share))


@dataclass(frozen=True)
class Prediction:
    """What one set-up does. Printed, it answers a rigger; every number here is in SI.

    Attributes
    ----------
    load : float
        Pull at the notch, the rubber as warm as it is shot [N]; `stretch.loading`, like the next
        four.
    load_spare : float
        What this diver brings beyond that [N]; negative: too hard.
    first_reach : float
        How far ahead of the notch the hands take hold first [m].
    reach_spare : float
        The diver's reach less the farther grip [m]; negative: out of reach.
    hand_over_load : float
        Pull when the hands change over from the assist to the wishbone [N].
    stretch_ratio : float
        Of the loaded leg, both runs together [1].
    stored_energy : float
        That loading adds to the band [J].
    returned_energy : float
        Of it, what the rubber does not keep in this shot [J].
    muzzle_speed : float
        Of the shaft through the water [m/s]; `launch.launch`, like the next eleven.
    efficiency : float
        Energy of the shaft over the energy stored [1].
    time_on_track : float
        From the release until the tail leaves the gun [s].
    recoil_speed : float
        Of the gun with the hand, backward [m/s].
    recoil_impulse : float
        That hand and arm must take up until the bands rest [N s].
    peak_push : float
        Greatest force that pushes gun and hand back [N]; a gun held fast passes all of it on.
    hand_push : float
        Part of it that comes through the handle to a hand that gives way [N]: the push times the
        hand's share of the mass that recoils.
    peak_thrust : float
        Greatest push of the wishbone on the shaft [N].
    peak_acceleration : float
        Greatest, of the shaft [m/s2].
    flex_ratio : float
        Thrust over what a guided shaft bears [1].
    retraction_speed : float
        At which the rubber itself can retract [m/s].
    energy : EnergyBudget
        Where the stored energy has gone [J].
    barrel_material : str
        Of the tube: "carbon", "aluminium" or "wood".
    barrel_compression : float
        Of the tube when the gun is loaded [N]; `launch.barrel_load`, like the next five.
    barrel_bending_moment : float
        Positive where it bends the muzzle towards the shaft's side [N m].
    barrel_deflection : float
        In the middle of the tube [m].
    barrel_stress : float
        Greatest compressive stress in the wall [Pa].
    barrel_buckling_share : float
        Compression over the load at which the tube buckles [1].
    barrel_safety_factor : Interval
        Strength of a sound tube over that stress, with the handbook's range of the material [1].
    line_length : float
        To cut, without what knots and crimps take up [m]; `line.reach`, like the next two.
    reach_from_muzzle : float
        Of the tip, the line straight [m].
    reach_from_diver : float
        The same from the shoulder, arm straight [m].
    wrap_over_muzzle, wrap_over_band : str
        Whether a swing can throw the line over them: "impossible", "possible" or "likely", as in
        `line.wrap_risk`; "slack" for more slack than a fifth of a run, which lies anywhere.
    wrap_slack : float
        Slack below which this swing can do neither [m]; negative: the line must be tight.
    wrap_tension : float
        Pull at the bungee that makes both impossible [N]; 0 where no slack is enough.
    swing_bow : float
        How far the swing bows a run of the line aside [m]; `line.swing_bow`.
    tip_range : float
        Range that what is named "at reach" is for [m]: `reach_from_muzzle`, at most 20. The
        line's anchor and the muzzle count as one place.
    speed_at_reach : float
        Of the shaft there [m/s]; `flight.fly`, like the next four.
    time_to_reach : float
        From when the tail leaves the muzzle [s].
    drop_at_reach : float
        Below the line of the barrel [m].
    energy_at_reach : float
        Of the shaft there [J].
    momentum_at_reach : float
        Of the shaft there [N s].
    energy_per_area : float
        That energy over the shaft's cross-section [J/m2]: to compare shafts with, never a promise
        of what goes through; `flight.penetration`, like the next.
    momentum_per_area : float
        That momentum over the shaft's cross-section [N s/m2]: for comparing likewise.
    holdover_at_reach : float
        How far above the place to be hit the eye must look there [m]; `flight.holdover`.
    tilt_at_reach : float
        Muzzle up against the line of sight that does the same [rad]; `flight.aim_tilt`.
    speed_at_fish : float
        At the quarry's distance, or where the tip is when the tail leaves the muzzle, if that is
        farther; as if the line reached so far [m/s]; `flight.fly`, like the next three.
    time_to_fish : float
        From when the tail leaves the muzzle [s].
    drop_at_fish : float
        Below the line of the barrel [m].
    energy_at_fish : float
        Of the shaft there [J].
    eye_to_muzzle : float
        Forward, the arm stretched [m]; `flight.eye_to_muzzle`.
    apparent_distance : float
        At which a fish at `tip_range` seems to be from the eye, through a flat mask [m];
        `flight.seen_through_mask`.
    apparent_by_rule : float
        The same by the 4/3 rule [m].
    judged_range : float
        At which that fish seems to be from the muzzle [m]; `flight.judged_range`.
    practical_range : float
        From muzzle to tip, with what the quarry asks [m]; `flight.practical_range`.
    limited_by : str
        What limits it: "line", "drop", "energy" or "time".
    net_force_shaft_in : float
        Buoyant force less weight [N]: negative sinks; `trim.gun_trim`, like the next eight.
    net_force_shaft_out : float
        The same without shaft and line [N].
    grip_moment : float
        At the grip, shaft in, gun level [N m]: negative lets the muzzle sink.
    grip_moment_loaded : float
        The same with the bands on the notch [N m].
    grip_moment_shaft_out : float
        The same without shaft and line [N m].
    angle_shaft_in : float
        Of the muzzle above the horizon, let go under water [rad].
    floats_shaft_in : bool
        With the shaft in.
    floats_shaft_out : bool
        With shaft and line off the gun.
    belt_lead : float
        Lead that pulls down as hard as the gun, shaft in [kg]; negative if it lifts.
    force_at_hand : float
        A weight hung in the straight hand that loads the shoulder as much, shaft in and gun
        level [N]; `trim.holding`.
    end_tension : float
        Peak pull if the shaft runs to the line's end, the gun held fast [N]; `line.end_shock`.
    line_margin : Interval
        How many times that pull the line holds [1]; `line.strength_margin`.
    working_load : Interval
        That the line as made up may carry again and again [N]; `line.working_load`.
    cautions : tuple of str
        Worst first, then those that always hold.
    """

    load: float
    load_spare: float
    first_reach: float
    reach_spare: float
    hand_over_load: float
    stretch_ratio: float
    stored_energy: float
    returned_energy: float
    muzzle_speed: float
    efficiency: float
    time_on_track: float
    recoil_speed: float
    recoil_impulse: float
    peak_push: float
    hand_push: float
    peak_thrust: float
    peak_acceleration: float
    flex_ratio: float
    retraction_speed: float
    energy: EnergyBudget
    barrel_material: str
    barrel_compression: float
    barrel_bending_moment: float
    barrel_deflection: float
    barrel_stress: float
    barrel_buckling_share: float
    barrel_safety_factor: Interval
    line_length: float
    reach_from_muzzle: float
    reach_from_diver: float
    wrap_over_muzzle: str
    wrap_over_band: str
    wrap_slack: float
    wrap_tension: float
    swing_bow: float
    tip_range: float
    speed_at_reach: float
    time_to_reach: float
    drop_at_reach: float
    energy_at_reach: float
    momentum_at_reach: float
    energy_per_area: float
    momentum_per_area: float
    holdover_at_reach: float
    tilt_at_reach: float
    speed_at_fish: float
    time_to_fish: float
    drop_at_fish: float
    energy_at_fish: float
    eye_to_muzzle: float
    apparent_distance: float
    apparent_by_rule: float
    judged_range: float
    practical_range: float
    limited_by: str
    net_force_shaft_in: float
    net_force_shaft_out: float
    grip_moment: float
    grip_moment_loaded: float
    grip_moment_shaft_out: float
    angle_shaft_in: float
    floats_shaft_in: bool
    floats_shaft_out: bool
    belt_lead: float
    force_at_hand: float
    end_tension: float
    line_margin: Interval
    working_load: Interval
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
             f"{self.time_on_track * 1000:.0f} ms; recoil {self.recoil_speed:.1f} m/s, up to "
             f"{kgf_from_newton(self.hand_push):.0f} kgf on the hand; "
             f"thrust {self.flex_ratio:.1f} times what the shaft bears between guides"),
            ("Barrel", f"{self.barrel_material}, pressed with {_kgf(self.barrel_compression)} and "
             f"bent {abs(self.barrel_deflection) * 1000:.1f} mm; a sound tube bears "
             f"{_times_as_much(self.barrel_safety_factor, 0)}"),
            ("Reach", f"{self.reach_from_muzzle:.1f} m from the muzzle, "
             f"{self.reach_from_diver:.1f} m from the diver"),
            ("There", f"{self.speed_at_reach:.1f} m/s, {self.energy_at_reach:.0f} J, "
             f"{_cm(self.drop_at_reach)} of drop, after {self.time_to_reach:.2f} s; "
             f"{self.energy_per_area / 1e6:.2f} J/mm2, only to compare shafts by"),
            ("At the fish", f"{self.speed_at_fish:.1f} m/s, {self.energy_at_fish:.0f} J, "
             f"{_cm(self.drop_at_fish)} of drop, after {self.time_to_fish:.2f} s"),
            ("Aim", f"at {self.tip_range:.1f} m from the muzzle "
             f"{_cm(abs(self.holdover_at_reach))} "
             f"{'over' if self.holdover_at_reach >= 0 else 'under'} the place to hit; "
             f"a fish there seems to be at {self.judged_range:.1f} m"),
            ("Practical range", f"{self.practical_range:.1f} m from the muzzle, limited by "
             f"{self.limited_by}"),
            ("Shaft in", f"{_floating(self.net_force_shaft_in)}, muzzle "
             f"{'up' if self.angle_shaft_in > 0 else 'down'} "
             f"{abs(np.degrees(self.angle_shaft_in)):.0f} degrees when let go; "
             f"{'weighs' if self.belt_lead > 0 else 'lifts'} as much as "
             f"{abs(self.belt_lead) * 1000:.0f} g of belt lead"),
            ("Shaft out", _floating(self.net_force_shaft_out)),
            ("Line", f"{self.line_length:.2f} m to cut; {_kgf(self.end_tension)} if the shaft runs "
             f"to its end, of which it holds {_times_as_much(self.line_margin, 1)}; working "
             f"load {_kgf(self.working_load.best)}; thrown over the muzzle by a swing: "
             f"{self.wrap_over_muzzle}, over the band: {self.wrap_over_band}"),
        ]
        told = [fill(f"{label + ':':<19}{text}", 92, subsequent_indent=" " * 19)
                for label, text in lines]
        warned = [fill(f"! {one}", 92, subsequent_indent="  ") for one in self.cautions]
        return "\n".join([*told, "Cautions:", *warned])


def _kgf(force: float) -> str:
    return f"{kgf_from_newton(force):.1f} kgf"


def _times_as_much(margin: Interval, digits: int) -> str:
    return (f"{margin.best:.{digits}f} times ({margin.low:.{digits}f} to "
            f"{margin.high:.{digits}f})")


def _cm(length: float) -> str:
    return f"{length * 100:.0f} cm"


def _floating(force: float) -> str:
    return f"{'floats' if force > 0 else 'sinks'} with {kgf_from_newton(abs(force)):.2f} kgf"


def _ends(name: str) -> tuple[str, str, str]:
    """Return the names of the three values of an interval."""
    return name, f"{name}.low", f"{name}.high"


_BUDGET = tuple(f"energy.{part.name}" for part in fields(EnergyBudget))
_STAGES = {
    "loading": ("load", "load_spare", "first_reach", "reach_spare", "hand_over_load",
                "stretch_ratio", "stored_energy"),
    "barrel": ("barrel_material", "barrel_compression", "barrel_bending_moment",
               "barrel_deflection", "barrel_stress", "barrel_buckling_share",
               *_ends("barrel_safety_factor")),
    "trim": ("net_force_shaft_in", "net_force_shaft_out", "grip_moment", "grip_moment_loaded",
             "grip_moment_shaft_out", "angle_shaft_in", "floats_shaft_in", "floats_shaft_out",
             "belt_lead", "force_at_hand"),
    "line": ("line_length", "reach_from_muzzle", "reach_from_diver", "tip_range"),
    "swing": ("wrap_over_muzzle", "wrap_over_band", "wrap_slack", "wrap_tension", "swing_bow"),
    "strength": _ends("working_load"),
    "sight": ("eye_to_muzzle", "apparent_distance", "apparent_by_rule", "judged_range"),
    "launch": ("muzzle_speed", "efficiency", "time_on_track", "recoil_speed", "recoil_impulse",
               "peak_push", "peak_thrust", "peak_acceleration", "flex_ratio", "retraction_speed",
               "hand_push", "returned_energy", *_BUDGET),
    "flight": ("speed_at_reach", "time_to_reach", "drop_at_reach", "energy_at_reach",
               "momentum_at_reach", "energy_per_area", "momentum_per_area", "holdover_at_reach",
               "tilt_at_reach"),
    "fish": ("speed_at_fish", "time_to_fish", "drop_at_fish", "energy_at_fish"),
    "shock": ("end_tension", *_ends("line_margin")),
    "range": ("practical_range", "limited_by"),
}
_ASKS_FIRST = {"sight": ("line",), "flight": ("line", "launch"), "fish": ("launch",),
               "shock": ("line", "launch", "flight", "strength"), "range": ("line", "launch")}
CLOSED_FORM = tuple(name for stage in ("loading", "barrel", "trim", "line", "swing", "strength")
                    for name in _STAGES[stage])
"""Names that need no shot and no ray of light: the fast part of `predict_many`."""
NAMES = tuple(name for names in _STAGES.values() for name in names)
"""Names that `predict_many` knows: the attributes of `Prediction`. `energy.shaft` and its like are
the budget's parts; of an interval such as `line_margin` the name alone is its best value, with
".low" and ".high" its ends."""


def _made_up(line: ShootingLine, given: Assumptions) -> tuple[Any, Any, Any]:
    """Return the low, best and high strength of the line with its ends [N]."""
    share = made_up_strength(1.0, given.terminations)
    own, row = given.line_strength, lookup("line.breaking_strength").interval
    if own is None:
        low, best, high = (np.multiply(line.breaking_strength, force / row.best)
                           for force in (row.low, row.best, row.high))
    else:
        low, best, high = own.low, own.best, own.high
    return low * share.low, best * share.best, high * share.high


def _answers(setup: Setup, quarry: Quarry, given: Assumptions, wanted: set[str],
             fire: Callable[..., shot.Launch]) -> tuple[dict[str, Any], list[tuple[str, ...]]]:
    """Ask the units whose names are wanted; return the numbers and the cautions, worst first."""
    _, shaft, barrel, line, water = setup._gun
    band = given.warmed(setup.band, water)
    gun = (band, shaft, barrel, line, water)
    found: dict[str, Any] = {}
    warned: list[tuple[str, ...]] = []
    needed = {stage for stage, names in _STAGES.items() if wanted & set(names)}
    needed |= {first for stage in needed for first in _ASKS_FIRST.get(stage, ())}

    if "loading" in needed:
        hands = stretch.loading(setup.diver, band, barrel, setup.assist_length)
        warned.append(hands.cautions)
        found |= {"load": hands.load, "load_spare": hands.spare, "first_reach": hands.first_reach,
                  "reach_spare": hands.reach_spare, "hand_over_load": hands.hand_over_load,
                  "stretch_ratio": band.stretch_ratio(barrel.loaded_path),
                  "stored_energy": stretch.stored_energy(band, barrel)}
    if "barrel" in needed:
        pressed = shot.barrel_load(band, barrel)
        strength = lookup(f"{barrel.material}.strength").interval
        factors = (np.multiply(pressed.safety_factor, end / strength.best)
                   for end in (strength.best, strength.low, strength.high))
        found |= {"barrel_material": barrel.material, "barrel_compression": pressed.compression,
                  "barrel_bending_moment": pressed.bending_moment,
                  "barrel_deflection": pressed.deflection, "barrel_stress": pressed.stress,
                  "barrel_buckling_share": pressed.buckling_share,
                  **dict(zip(_ends("barrel_safety_factor"), factors, strict=True))}
    if "trim" in needed:
        rigged, bare = trim.gun_trim(*gun, "shaft_in"), trim.gun_trim(*gun, "shaft_out")
        found |= {"net_force_shaft_in": rigged.net_force, "net_force_shaft_out": bare.net_force,
                  "grip_moment": rigged.grip_moment, "angle_shaft_in": rigged.submerged_angle,
                  "grip_moment_loaded": trim.gun_trim(*gun, "loaded").grip_moment,
                  "grip_moment_shaft_out": bare.grip_moment,
                  "floats_shaft_in": np.greater(rigged.net_force, 0),
                  "floats_shaft_out": np.greater(bare.net_force, 0),
                  "belt_lead": trim.belt_lead(rigged),
                  "force_at_hand": trim.holding(rigged).force_at_hand}
    if "line" in needed:
        far = reach(barrel, shaft, line, given.run, given.line_tension)
        tip = plain(np.clip(far.from_muzzle, shaft.length, _FARTHEST))
        found |= {"line_length": far.line_length, "reach_from_muzzle": far.from_muzzle,
                  "reach_from_diver": far.from_diver, "tip_range": tip}
    if "swing" in needed:
        most = np.multiply(_LOOSEST, wrap_span(barrel, given.run))
        laid = (barrel, shaft, line, water, given.run, given.swing,
                np.minimum(given.line_slack, most), given.line_tension)
        over_muzzle, over_band = wrap_risk("muzzle", *laid), wrap_risk("band", *laid)
        loose = np.greater(given.line_slack, most)
        found |= {"wrap_over_muzzle": np.where(loose, "slack", over_muzzle.verdict),
                  "wrap_over_band": np.where(loose, "slack", over_band.verdict),
                  "wrap_slack": np.minimum(over_muzzle.slack_limit, over_band.slack_limit),
                  "wrap_tension": np.maximum(over_muzzle.tension_needed,
                                             over_band.tension_needed),
                  "swing_bow": swing_bow(*laid)}
    if "strength" in needed:
        low, best, high = _made_up(line, given)
        part = working_load(1.0)
        found |= dict(zip(_ends("working_load"),
                          (best * part.best, low * part.low, high * part.high), strict=True))
    if "sight" in needed:
        ahead = flight.eye_to_muzzle(barrel)
        seen = flight.seen_through_mask(np.add(ahead, tip), water)
        found |= {"eye_to_muzzle": ahead, "apparent_distance": seen.distance,
                  "apparent_by_rule": seen.by_rule,
                  "judged_range": flight.judged_range(tip, barrel, water)}
    if "launch" in needed:
        conditions, own = given.shot, setup.gun_mass
        if conditions.gun_mass is None:
            conditions = replace(conditions, gun_mass=np.add(own, given.hand_mass))
        fired = fire(band, shaft, barrel, water, conditions)
        warned.append(fired.cautions)
        found |= {name: getattr(fired, name) for name in _STAGES["launch"][:10]}
        found |= {f"energy.{name}": value for name, value in vars(fired.energy).items()}
        found["returned_energy"] = plain(np.subtract(fired.energy.stored,
                                                     fired.energy.hysteresis))
        hand = 1 - np.divide(own, conditions.gun_mass)
        found["hand_push"] = plain(fired.peak_push * np.maximum(hand, 0.0))
    if "flight" in needed:
        there = flight.fly(shaft, water, line, fired.muzzle_speed, tip, 0.0, given.drag)
        warned.append(there.cautions)
        per_area = flight.penetration(shaft, there.speed)
        found |= {"speed_at_reach": there.speed, "time_to_reach": there.time,
                  "drop_at_reach": there.drop, "energy_at_reach": there.energy,
                  "momentum_at_reach": there.momentum,
                  "energy_per_area": per_area.energy_per_area,
                  "momentum_per_area": per_area.momentum_per_area,
                  "holdover_at_reach": flight.holdover(there.drop, tip, given.sight_height),
                  "tilt_at_reach": flight.aim_tilt(there.drop, tip, given.sight_height)}
    if "fish" in needed:
        met = flight.fly(shaft, water, line, fired.muzzle_speed,
                         np.maximum(quarry.distance, shaft.length), 0.0, given.drag)
        found |= {"speed_at_fish": met.speed, "time_to_fish": met.time, "drop_at_fish": met.drop,
                  "energy_at_fish": met.energy}
    if "shock" in needed:
        stopped = np.clip(there.speed, _SLOWEST, _FASTEST)
        low, best, high = strength_margins(_made_up(line, given), line, far.line_length, shaft,
                                           stopped)
        found |= {"end_tension": end_shock(line, far.line_length, shaft, stopped).tension,
                  **dict(zip(_ends("line_margin"), (best, low, high), strict=True))}
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
    An estimate from a model, never permission. The rubber pulls as its law was measured, made
    warmer or colder to the water; how far tube, batch, age and the rest may move each number is
    what `doubt.monte_carlo` says.

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
    for one in fields(Prediction):
        if one.type is Interval:
            best, low, high = (float(found.pop(name)) for name in _ends(one.name))
            found[one.name] = Interval(low, best, high)
        elif one.type in (float, str, bool):
            found[one.name] = one.type(found[one.name])
    special = [one for group in warned[:1] for one in group]
    special += _own_cautions(setup, found, fish)
    special += [one for group in warned[1:] for one in group]
    cautions = [one for one in dict.fromkeys(special) if one not in _EVERY_UNITS]
    return Prediction(**found, energy=energy, cautions=(*cautions, *USUAL_CAUTIONS))


def _own_cautions(setup: Setup, found: dict[str, Any], quarry: Quarry) -> Iterator[str]:
    if setup.band.legs % 2:
        legs = f"{setup.band.legs:.0f} leg{'' if setup.band.legs == 1 else 's'}"
        yield (f"{legs} given: a band that pulls a wishbone has two (common practice, no source). "
               "Count again: with half the legs the computed load is half of the true one.")
    margin = found["line_margin"]
    if margin.low < 1:
        word = "is likely to" if margin.best < 1 else "may"
        yield (f"The line {word} break where it stops a shaft that has met nothing: it holds "
               f"{margin.best:.1f} times that pull, with a weak line and a poor end "
               f"{margin.low:.1f} times. Fit a softer or a stronger line, or a second wrap with a "
               "bungee.")
    if found["barrel_safety_factor"].low < 1:
        yield (f"This {found['barrel_material']} barrel may break when loaded: it bears "
               f"{found['barrel_safety_factor'].low:.1f} to "
               f"{found['barrel_safety_factor'].high:.1f} times this stress. Fit a thicker tube "
               "or a weaker band.")
    for place in ("muzzle", "band"):
        if found[f"wrap_over_{place}"] in ("likely", "slack"):
            yield (f"The line is so loose that it can lie over the {place}: take up the slack to "
                   f"below {max(found['wrap_slack'], 0) * 100:.1f} cm, and look at the line "
                   "before every shot.")
            break
    if found["reach_from_muzzle"] < quarry.distance:
        yield (f"A fish at {quarry.distance:.1f} m is beyond the line's end at "
               f"{found['reach_from_muzzle']:.1f} m: the shaft never gets there, and what is said "
               "of it at the fish is said of one without a line. Go nearer or leave it.")
    elif found["practical_range"] < quarry.distance:
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
    kinds: dict[str, Any] = {one.name: "U10" if one.type is str else bool
                             for one in fields(Prediction) if one.type in (str, bool)}
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
    meaning : str
        What that is to a rigger, such as "easier to load"; empty where nothing moves, or for an
        input.
    """

    name: str
    old: Any
    new: Any
    difference: float | None
    sentence: str
    meaning: str = ""


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
    "stretch_ratio": ("stretch ratio of the loaded leg", "times", _SAME, 2, "stretched farther",
                      "stretched less"),
    "stored_energy": ("stored energy", "J", _SAME, 0, "more to shoot with", "less to shoot with"),
    "returned_energy": ("energy that the rubber gives back", "J", _SAME, 0, "more to shoot with",
                        "less to shoot with"),
    "muzzle_speed": ("speed at the muzzle", "m/s", _SAME, 1, "faster", "slower"),
    "efficiency": ("share of the energy that the shaft takes", "%", _HUNDRED, 0,
                   "better used", "worse used"),
    "time_on_track": ("time on the track", "ms", _THOUSAND, 0, "later out", "sooner out"),
    "recoil_speed": ("recoil", "m/s", _SAME, 1, "a harder kick", "a softer kick"),
    "recoil_impulse": ("impulse that the hand takes up", "N s", _SAME, 1, "a harder kick",
                       "a softer kick"),
    "peak_push": ("push on gun and hand", "kgf", kgf_from_newton, 1, "a harder kick",
                  "a softer kick"),
    "hand_push": ("part of it on the hand", "kgf", kgf_from_newton, 1, "a harder kick",
                  "a softer kick"),
    "peak_thrust": ("thrust on the shaft", "kgf", kgf_from_newton, 1, "pushed harder",
                    "pushed less hard"),
    "peak_acceleration": ("acceleration of the shaft", "m/s2", _SAME, 0, "a quicker start",
                          "a slower start"),
    "flex_ratio": ("thrust over what the shaft bears", "times", _SAME, 2, "it bends more",
                   "it bends less"),
    "retraction_speed": ("speed at which the rubber retracts", "m/s", _SAME, 0,
                         "farther from its limit", "nearer to its limit"),
    "barrel_compression": ("compression of the barrel", "kgf", kgf_from_newton, 1,
                           "pressed harder", "pressed less"),
    "barrel_bending_moment": ("bending moment of the barrel", "N m", _SAME, 2,
                              "more towards the shaft's side", "less towards the shaft's side"),
    "barrel_deflection": ("deflection of the barrel", "mm", _THOUSAND, 2,
                          "more towards the shaft's side", "less towards the shaft's side"),
    "barrel_stress": ("stress in the barrel", "MPa", _times(1e-6), 1, "nearer to its limit",
                      "farther from its limit"),
    "barrel_buckling_share": ("compression over the load that buckles the barrel", "%", _HUNDRED,
                              1, "nearer to buckling", "farther from buckling"),
    "barrel_safety_factor": ("strength of the barrel over its stress", "times", _SAME, 1, "safer",
                             "less safe"),
    "line_length": ("line to cut", "m", _SAME, 2, "more line", "less line"),
    "reach_from_muzzle": ("reach from the muzzle", "m", _SAME, 2, "farther", "nearer"),
    "reach_from_diver": ("reach from the diver", "m", _SAME, 2, "farther", "nearer"),
    "wrap_slack": ("slack below which no swing throws the line over", "mm", _THOUSAND, 1,
                   "more forgiving", "it must be tighter"),
    "wrap_tension": ("tension that keeps the line from being thrown over", "kgf",
                     kgf_from_newton, 1, "it must be tighter", "more forgiving"),
    "swing_bow": ("bow of the swung line", "mm", _THOUSAND, 0, "it bows more", "it bows less"),
    "tip_range": ("range that speed and drop are for", "m", _SAME, 2, "farther", "nearer"),
    "speed_at_reach": ("speed there", "m/s", _SAME, 1, "arrives faster", "arrives slower"),
    "time_to_reach": ("time to get there", "ms", _THOUSAND, 0, "the fish has longer",
                      "the fish has less time"),
    "drop_at_reach": ("drop there", "cm", _HUNDRED, 1, "aim higher", "aim less high"),
    "energy_at_reach": ("energy there", "J", _SAME, 0, "hits harder", "hits softer"),
    "momentum_at_reach": ("momentum there", "N s", _SAME, 1, "hits harder", "hits softer"),
    "energy_per_area": ("energy for each mm2 of shaft there", "J", _times(1e-6), 2,
                        "more for each mm2, in comparison", "less for each mm2, in comparison"),
    "momentum_per_area": ("momentum for each mm2 of shaft there", "N s", _times(1e-6), 3,
                          "more for each mm2, in comparison", "less for each mm2, in comparison"),
    "holdover_at_reach": ("holdover there", "cm", _HUNDRED, 1, "aim higher", "aim less high"),
    "tilt_at_reach": ("tilt that does the same", "degrees", np.degrees, 1, "muzzle higher",
                      "muzzle lower"),
    "speed_at_fish": ("speed at the fish", "m/s", _SAME, 1, "arrives faster", "arrives slower"),
    "time_to_fish": ("time to the fish", "ms", _THOUSAND, 0, "the fish has longer",
                     "the fish has less time"),
    "drop_at_fish": ("drop at the fish", "cm", _HUNDRED, 1, "aim higher", "aim less high"),
    "energy_at_fish": ("energy at the fish", "J", _SAME, 0, "hits harder", "hits softer"),
    "eye_to_muzzle": ("way from the eye to the muzzle", "m", _SAME, 2, "farther", "nearer"),
    "apparent_distance": ("distance at which a fish there seems to be", "m", _SAME, 2,
                          "seems farther", "seems nearer"),
    "apparent_by_rule": ("same by the 4/3 rule", "m", _SAME, 2, "seems farther", "seems nearer"),
    "judged_range": ("range at which it seems to be from the muzzle", "m", _SAME, 2,
                     "seems farther", "seems nearer"),
    "practical_range": ("practical range", "m", _SAME, 2, "farther", "nearer"),
    "net_force_shaft_in": ("lift with the shaft in", "kgf", kgf_from_newton, 2, "lighter in hand",
                           "heavier in hand"),
    "net_force_shaft_out": ("lift with the shaft out", "kgf", kgf_from_newton, 2, "floats better",
                            "floats worse"),
    "grip_moment": ("moment at the grip", "N m", _SAME, 2, "the muzzle comes up",
                    "the muzzle goes down"),
    "grip_moment_loaded": ("moment at the grip when loaded", "N m", _SAME, 2,
                           "the muzzle comes up", "the muzzle goes down"),
    "grip_moment_shaft_out": ("moment at the grip with the shaft out", "N m", _SAME, 2,
                              "the muzzle comes up", "the muzzle goes down"),
    "angle_shaft_in": ("angle when let go", "degrees", np.degrees, 0, "muzzle higher",
                       "muzzle lower"),
    "belt_lead": ("gun in grams of belt lead", "g", _THOUSAND, 0, "heavier to carry",
                  "lighter to carry"),
    "force_at_hand": ("weight in the straight hand that tires as much", "kgf", kgf_from_newton, 2,
                      "harder to hold up", "easier to hold up"),
    "end_tension": ("pull at the line's end", "kgf", kgf_from_newton, 0, "a harder stop",
                    "a softer stop"),
    "line_margin": ("line's strength over that pull", "times", _SAME, 1, "safer", "less safe"),
    "working_load": ("working load of the line", "kgf", kgf_from_newton, 0, "it carries more",
                     "it carries less"),
}


def compare(a: Setup, b: Setup, quarry: Quarry | None = None,
            assumptions: Assumptions | None = None, new_quarry: Quarry | None = None,
            new_assumptions: Assumptions | None = None) -> Comparison:
    """Return what changes from set-up `a` to set-up `b`, in numbers and in words.

    Parameters
    ----------
    a, b : Setup
        Two set-ups of single numbers; the words are best where one part differs.
    quarry, assumptions : Quarry, Assumptions, optional
        As in `predict`, for both.
    new_quarry, new_assumptions : Quarry, Assumptions, optional
        Of `b`, where they are not those of `a`.

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
    first, second = _asked(a, quarry, assumptions), _asked(b, new_quarry or quarry,
                                                           new_assumptions or assumptions)
    old, new = predict(a, *first), predict(b, *second)
    results = [_change(one.name, getattr(old, one.name), getattr(new, one.name))
               for one in fields(Prediction) if one.name not in ("energy", "cautions")]
    inputs = (*_differences("", a, b), *_differences("quarry", first[0], second[0]),
              *_differences("assumptions", first[1], second[1]))
    return Comparison(inputs, tuple(results), new.cautions)


def _change(name: str, old: Any, new: Any) -> Change:
    before, after = (one.best if isinstance(one, Interval) else one for one in (old, new))
    if name not in _WORDS:
        told = f"{name.replace('_', ' ')} goes from {before} to {after}." if before != after \
            else f"{name.replace('_', ' ')} stays {after}."
        return Change(name, old, new, None, told[0].upper() + told[1:])
    label, unit, scale, digits, up, down = _WORDS[name]
    difference = after - before
    left, right = (worded(name, one)[1] for one in (before, after))
    moved = float(scale(abs(difference)))
    if round(moved, digits) == 0:
        return Change(name, old, new, difference, f"The {label} stays near {right} {unit}.")
    words = f"{moved:.{digits}f} {'more' if difference > 0 else 'less'}"
    meaning = up if difference > 0 else down
    return Change(name, old, new, difference, f"The {label} goes from {left} to {right} {unit}, "
                  f"{words}: {meaning}.", meaning)


def worded(name: str, value: float) -> tuple[str, str, str]:
    """Return a result as a rigger reads it.

    Parameters
    ----------
    name : str
        One of `NAMES` whose values are numbers.
    value : float
        In the unit of `Prediction` [SI].

    Returns
    -------
    label, number, unit : str
        Such as "load at the notch", "47.0" and "kgf".

    Raises
    ------
    InputError
        If no such number exists.

    Examples
    --------
    >>> worded("load", 461)
    ('load at the notch', '47.0', 'kgf')
    """
    label, unit, factor, digits = reading(name)
    return label, f"{value * factor:.{digits}f}", unit


def reading(name: str) -> tuple[str, str, float, int]:
    """Return in what unit a rigger reads a result, and how finely.

    Parameters
    ----------
    name : str
        One of `NAMES` whose values are numbers.

    Returns
    -------
    label, unit : str
        Such as "load at the notch" and "kgf".
    factor : float
        How many of that unit one of the unit of `Prediction` makes [unit per SI unit].
    digits : int
        After the decimal point [1].

    Raises
    ------
    InputError
        If no such number exists.

    Examples
    --------
    >>> reading("reach_spare")
    ('spare reach of the diver', 'cm', 100.0, 0)
    """
    _known([name])
    kind, _, part = name.partition(".")
    if kind == "energy":
        return f"energy: {part}", "J", 1.0, 0
    if kind not in _WORDS:
        raise InputError(f"The values of {name} are no numbers; ask for another of NAMES.")
    label, unit, scale, digits, *_ = _WORDS[kind]
    return f"{label}, {part} end" if part else label, unit, float(scale(1.0)), digits


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
