"""`bandwork tune`: which centimetre of the band, or which other part, reaches what is wanted."""

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bandwork.choice import predict_each
from bandwork.components import RELAXED_LENGTHS, Fitting
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.setup import Assumptions, Change, Setup, compare
from bandwork.stretch import cut_length_for_load
from bandwork.trim import Trim, balance_with_one, gun_trim
from bandwork.units import newton_from_kgf
from bandwork.validation import FloatArray, InputError
from bandwork.workshop import drawn
from bandwork.workshop.against import label, spread_of, told
from bandwork.workshop.answer import answer
from bandwork.workshop.files import GunFile
from bandwork.workshop.lines import wrapped
from bandwork.workshop.quantities import Units, quantity

LONGEST_FIRST = ("Cut long, test, cut again: tie the band longer than computed, pull it on a "
                 "scale, and take off a centimetre at a time. Never the other way round: what is "
                 "cut off does not come back, and a band that pulls too hard is dangerous.")
_SHAFTS = (0.006, 0.00625, 0.0065, 0.00675, 0.007, 0.0075, 0.008)
"""Diameters that shafts are usually sold in [m]; common practice, no source."""
_CUTS = 30
_WRAPS = range(4)
_ASSIST_STEPS = 12
_LIGHTEST, _HEAVIEST = 0.002, 1.0
"""What is worth fixing to a gun, and what is no trimming any more [kg]."""
_TOLD = ("load", "hand_over_load", "reach_spare", "muzzle_speed", "practical_range",
         "drop_at_fish", "net_force_shaft_in", "grip_moment", "line_margin", "reach_from_muzzle",
         "flex_ratio")


@dataclass(frozen=True)
class Goal:
    """What is wanted of one result.

    Attributes
    ----------
    name : str
        "load", "grip_moment" or "drop_at_fish".
    value : float
        [SI].
    tolerance : float
        How near counts as reached [SI].
    """

    name: str
    value: float
    tolerance: float


@dataclass(frozen=True)
class Option:
    """One thing changed on the gun.

    Attributes
    ----------
    part : str
        What is changed, such as "cut".
    does : str
        The change in words.
    setup : Setup
        The gun with it.
    value : float
        Of the wanted result then [SI].
    interval : Interval or None
        Of that value: nine in ten lie there [SI]; None until it is asked for.
    changes : tuple of Change
        What else moves.
    warnings : tuple of str
        Cautions that the gun has then and had not before.
    """

    part: str
    does: str
    setup: Setup
    value: float
    interval: Interval | None = None
    changes: tuple[Change, ...] = ()
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Tuning:
    """What reaches the goal, or the nearest.

    Attributes
    ----------
    gun : GunFile
        As read.
    goal : Goal
        What is wanted.
    now : Interval
        The result as the gun is [SI].
    options : tuple of Option
        Each reaches the goal; the band's cut first, the longest band of several first.
    nearest : Option or None
        Where nothing reaches it.
    without_effect : tuple of str
        Parts that were tried and do not move the result.
    left_out : int
        How many changes were left out, as this diver could not load them or the band would be
        stretched too far [1].
    cut : Interval or None
        For a load: the relaxed length that gives it, with all that is uncertain [m].
    cautions : tuple of str
        Of the gun as it is.
    units : Units
        In which people read it.
    """

    gun: GunFile
    goal: Goal
    now: Interval
    options: tuple[Option, ...]
    nearest: Option | None
    without_effect: tuple[str, ...]
    left_out: int
    cut: Interval | None
    cautions: tuple[str, ...]
    units: Units

    def text(self) -> str:
        """Return the options as they are printed.

        Returns
        -------
        str
        """
        goal, name = self.goal, label(self.goal.name)
        lines = [f"{self.gun.name}, {self.gun.path.name}",
                 f"Wanted: {name} {self._value(goal.value)}, within "
                 f"{self._value(goal.tolerance)}. Now: {self._interval(self.now)}.", ""]
        if abs(self.now.best - goal.value) <= goal.tolerance:
            lines += ["It is there already; nothing needs to change.", ""]
        elif not self.options:
            lines += [self._not_reached(), ""]
        else:
            lines += ["One of these reaches it, each alone:", ""]
        for number, one in enumerate(self.options, 1):
            lines += [*self._option(number, one), ""]
        if self.cut is not None:
            best, low, high = (self.units.words(end, "cm", 1 if end == self.cut.best else 0)
                               for end in (self.cut.best, self.cut.low, self.cut.high))
            lines.append(f"With all that is uncertain, this load takes a relaxed length of {best} "
                         f"({low} to {high}): begin at {high}.")
        if self.goal.name == "load" and not self.gun.rubber_name and (
                self.now.high - self.now.low > 2 * abs(self.goal.value - self.now.best)):
            lines.append("How hard this tube pulls is less sure than this change is large: pull "
                         "the tube on a scale first, then `bandwork fit`.")
        if self.left_out:
            lines.append(f"Left out: {self.left_out} change{'' if self.left_out == 1 else 's'} "
                         "that this diver could not load, or that stretch the band beyond "
                         f"{_too_far():g} times.")
        if self.without_effect:
            lines.append(f"Does not move it: {', '.join(self.without_effect)}.")
        lines.append("Cautions:")
        if any(one.part == "cut" for one in options_of(self)):
            lines.append(f"! {LONGEST_FIRST}")
        lines += [f"! {one}" for one in self.cautions]
        return "\n".join(wrapped(line, later=" " * (_indent(line) + 2)) for line in lines)

    def _not_reached(self) -> str:
        if self.nearest is None:
            return ("No single change that was tried reaches it, and none comes nearer than the "
                    "gun as it is.")
        return (f"No single change that was tried reaches it; the nearest is to "
                f"{self.nearest.does}: {self._value(self.nearest.value)}.")

    def _option(self, number: int, one: Option) -> list[str]:
        reached = self._interval(one.interval) if one.interval else self._value(one.value)
        lines = [f"{number}. {one.does[0].upper()}{one.does[1:]}: {reached}."]
        for change in one.changes:
            old, unit = told(self.units, change.name, _best(change.old))
            new, _ = told(self.units, change.name, _best(change.new))
            if old != new:
                lines.append(f"   {label(change.name)} {old} -> {new} {unit}: {change.meaning}")
        return [*lines, *(f"   ! {warning}" for warning in one.warnings)]

    def _value(self, value: float) -> str:
        return " ".join(told(self.units, self.goal.name, value))

    def _interval(self, one: Interval) -> str:
        best, low, high = (told(self.units, self.goal.name, end)[0]
                           for end in (one.best, one.low, one.high))
        return f"{best} {told(self.units, self.goal.name, 0.0)[1]} ({low} to {high})"

    def as_json(self) -> str:
        """Return the options as JSON, numbers in SI.

        Returns
        -------
        str
        """
        def option(one: Option) -> dict[str, object]:
            return {"part": one.part, "does": one.does, "value": one.value,
                    "low": one.interval.low if one.interval else None,
                    "high": one.interval.high if one.interval else None,
                    "changes": [{"key": change.name, "from": _best(change.old),
                                 "to": _best(change.new), "meaning": change.meaning}
                                for change in one.changes],
                    "warnings": list(one.warnings)}

        return json.dumps({
            "name": self.gun.name, "file": str(self.gun.path), "wanted": self.goal.name,
            "value": self.goal.value, "tolerance": self.goal.tolerance,
            "now": {"best": self.now.best, "low": self.now.low, "high": self.now.high},
            "options": [option(one) for one in self.options],
            "nearest": option(self.nearest) if self.nearest else None,
            "without_effect": list(self.without_effect), "left_out": self.left_out,
            "relaxed_length": None if self.cut is None else {
                "best": self.cut.best, "low": self.cut.low, "high": self.cut.high},
            "cautions": [LONGEST_FIRST, *self.cautions]}, indent=2, ensure_ascii=False) + "\n"


def goal(load: str | None = None, trim: str | None = None, drop: str | None = None) -> Goal:
    """Return the goal that somebody wrote.

    Parameters
    ----------
    load : str, optional
        Such as "48 kgf", at the notch.
    trim : str, optional
        "level", or a moment at the grip such as "0.2 N m"; negative lets the muzzle sink.
    drop : str, optional
        Such as "10 cm", at the fish's distance.

    Returns
    -------
    Goal

    Raises
    ------
    InputError
        Unless exactly one is given, as a quantity of its kind.
    """
    asked = {name: one for name, one in (("load", load), ("trim", trim), ("drop", drop))
             if one is not None}
    if len(asked) != 1:
        raise InputError(f"{' and '.join(asked) or 'Nothing'} is asked for; ask for one of --load, "
                         "--trim and --drop.")
    if load is not None:
        wanted = quantity(load, "N", "--load")
        if not 0 < wanted <= 3000:
            raise InputError(f"--load is {load}; accepted is more than 0, up to 300 kgf.")
        return Goal("load", wanted, float(newton_from_kgf(0.5)))
    if drop is not None:
        wanted = quantity(drop, "m", "--drop")
        if not 0 < wanted <= 5:
            raise InputError(f"--drop is {drop}; accepted is more than 0, up to 5 m.")
        return Goal("drop_at_fish", wanted, 0.002)
    return Goal("grip_moment", _moment(str(trim)), 0.05)


def _moment(written: str) -> float:
    if written.strip().casefold() == "level":
        return 0.0
    try:
        value = quantity(written, "N m", "--trim")
    except InputError as problem:
        raise InputError(f"{str(problem).rstrip('.')}; level is accepted too.") from None
    if abs(value) > 20:
        raise InputError(f"--trim is {written}; accepted is -20 to 20 N m.")
    return value


def tune(gun: GunFile, wanted: Goal, units: Units | None = None) -> Tuning:
    """Return which single changes of a gun reach a goal.

    Parameters
    ----------
    gun : GunFile
        As read.
    wanted : Goal
        From `goal`.
    units : Units, optional
        In which people read it; metric unless given.

    Returns
    -------
    Tuning

    Raises
    ------
    InputError
        As `setup.predict` for the gun as it is.
    """
    read = units or Units()
    before = answer(gun, read, quick=True)
    reach = before.prediction.reach_from_muzzle
    if wanted.name == "drop_at_fish" and gun.quarry.distance > reach:
        raise InputError(f"{gun.path.name}: the fish at {gun.quarry.distance:.1f} m is beyond the "
                         f"line's end at {reach:.1f} m, so no shaft drops there; give a distance "
                         "under [quarry] that the line reaches.")
    now = _interval(gun, wanted.name)
    if now is None:
        value = float(getattr(before.prediction, wanted.name))
        now = Interval(value, value, value)
    tried, left_out = _valued(gun, wanted, _candidates(gun, wanted, read))
    present = abs(now.best - wanted.value)
    cautions = before.cautions
    brings = gun.setup.diver.load_capacity
    if wanted.name == "load" and wanted.value > brings:
        cautions = (f"{read.words(wanted.value, 'kgf')} is more than this diver brings, "
                    f"{read.words(brings, 'kgf')}: do not tie it for this diver.", *cautions)
    reached, without = [], []
    for part in dict.fromkeys(one.part for one in tried):
        own = [one for one in tried if one.part == part]
        if all(abs(one.value - now.best) < 1e-3 * wanted.tolerance for one in own):
            without.append(_PARTS[part])
            continue
        own = [one for one in own if abs(one.value - wanted.value) <= wanted.tolerance]
        reached += sorted(own, key=lambda one: abs(one.value - wanted.value))[:1]
    nearest = min(tried, key=lambda one: abs(one.value - wanted.value), default=None)
    if reached or present <= wanted.tolerance or (
            nearest and abs(nearest.value - wanted.value) >= present):
        nearest = None
    options = []
    known = set(map(_kind, before.cautions))
    for one in reached if present > wanted.tolerance else []:
        changed = compare(gun.setup, one.setup, gun.quarry, gun.assumptions)
        moved = tuple(change for change in changed.results if change.name in _TOLD
                      and change.name != wanted.name and change.meaning)
        after = replace(gun, setup=one.setup)
        options.append(replace(one, interval=_interval(after, wanted.name),
                               changes=tuple(sorted(moved, key=lambda change:
                                                    _TOLD.index(change.name))),
                               warnings=tuple(caution for caution in
                                              answer(after, read, quick=True).cautions
                                              if _kind(caution) not in known)))
    return Tuning(gun, wanted, now, tuple(options), nearest, tuple(without), left_out,
                  cut_for(gun, wanted.value) if wanted.name == "load"
                  and wanted.value <= brings else None,
                  cautions, read)


_PARTS = {"cut": "the band's relaxed length", "assist": "the load assist",
          "shaft": "the shaft's diameter", "wraps": "the line's wraps",
          "piece": "ballast or a float"}


def _interval(gun: GunFile, name: str) -> Interval | None:
    """Return how far a result may be off; None if a draw leaves what the library covers."""
    try:
        return spread_of(gun, [name]).intervals[name]
    except InputError:
        return None


def _too_far() -> float:
    return float(lookup("rubber.crystallisation_stretch").value)


def _valued(gun: GunFile, wanted: Goal, candidates: Iterator[Option]
            ) -> tuple[list[Option], int]:
    """Return the candidates that can be tied and loaded with their values, and how many cannot."""
    tried = [Option("", "", gun.setup, 0.0), *candidates]
    found = predict_each([one.setup for one in tried], [wanted.name, "load_spare", "stretch_ratio"],
                         gun.quarry, gun.assumptions)
    kept: list[Option] = []
    left_out = 0
    before: dict[str, float] = {}
    for one, got in zip(tried, found, strict=True):
        if isinstance(got, str):
            continue
        beyond = {"hard": -float(got["load_spare"]),
                  "far": float(got["stretch_ratio"]) - _too_far()}
        if not before:
            before = beyond
        elif any(beyond[name] > max(0.0, before[name]) for name in beyond):
            left_out += 1
        else:
            kept.append(replace(one, value=float(got[wanted.name])))
    return kept, left_out


def cut_for(gun: GunFile, load: float) -> Interval | None:
    """Return the relaxed length that pulls with a load, within all that is uncertain.

    Parameters
    ----------
    gun : GunFile
        A set-up as read.
    load : float
        Wanted at the notch [N].

    Returns
    -------
    Interval or None
        Of one leg [m]; nine in ten draws lie there. None if a tube of these draws does not pull so
        hard.
    """
    def length(setup: Setup, taken: Assumptions) -> FloatArray:
        band = taken.warmed(setup.band, setup.water)
        return np.asarray(cut_length_for_load(load, setup.barrel, band.outer_diameter, band.bore,
                                              band.legs, band.rubber))

    best = {name: np.array([one.best]) for name, one in drawn.ranges(gun).items()}
    try:
        middle = float(length(*drawn.put(gun, best))[0])
        low, high = np.quantile(length(*drawn.put(gun, drawn.columns(gun))), [0.05, 0.95])
    except InputError:
        return None
    return Interval(min(float(low), middle), middle, max(float(high), middle))


def _candidates(gun: GunFile, wanted: Goal, units: Units) -> Iterator[Option]:
    setup = gun.setup
    own = float(setup.band.relaxed_length)
    step = float(lookup("rule.cut_step").value)
    for by in range(_CUTS, -_CUTS - 1, -1):
        length = round(own + by * step, 6)
        if by and RELAXED_LENGTHS[0] <= length <= RELAXED_LENGTHS[1]:
            yield Option("cut", _cut(own, length, units),
                         replace(setup, band=replace(setup.band, relaxed_length=length)), 0.0)
    for by in range(-_ASSIST_STEPS, _ASSIST_STEPS + 1):
        length = round(float(setup.assist_length) + 5 * by * step, 6)
        if by and 0 <= length <= 1.5:
            yield Option("assist", "take off the load assist" if not length else
                         f"tie a load assist of {units.words(length, 'cm')}",
                         replace(setup, assist_length=length), 0.0)
    for diameter in _SHAFTS:
        if abs(diameter - setup.shaft.diameter) > 1e-6:
            yield Option("shaft", f"take a shaft of {units.words(diameter, 'mm', 2)} of the same "
                         "length",
                         replace(setup, shaft=replace(setup.shaft, diameter=diameter)), 0.0)
    for wraps in _WRAPS:
        if wraps != setup.line.wraps:
            yield Option("wraps", f"lay the line with {wraps} wrap{'' if wraps == 1 else 's'}",
                         replace(setup, line=replace(setup.line, wraps=wraps)), 0.0)
    if wanted.name == "grip_moment":
        yield from _pieces(gun, wanted, units)


def _cut(own: float, length: float, units: Units) -> str:
    told_length = units.words(length, "cm")
    if units.system != "metric":
        told_length += f" ({Units().words(length, 'cm')})"
    by = units.words(abs(length - own), "cm")
    if length < own:
        return f"cut the band {by} shorter, to {told_length}"
    return f"tie a new band {by} longer, {told_length}"


def _pieces(gun: GunFile, wanted: Goal, units: Units) -> Iterator[Option]:
    """Yield the pieces of lead and cork that bring the moment about."""
    setup = gun.setup
    warm = gun.assumptions.warmed(setup.band, setup.water)
    rigged = gun_trim(warm, setup.shaft, setup.barrel, setup.line, setup.water, "shaft_in")
    if wanted.value == 0.0:
        try:
            piece = balance_with_one(rigged)
        except InputError:
            piece = None
        if piece is not None and piece.on_gun:
            yield from _piece(setup, rigged, float(piece.force), float(piece.position),
                              ", where it makes the gun neutral as well", units)
    missing = wanted.value - float(rigged.grip_moment)
    front = float(setup.barrel.length) + float(setup.barrel.muzzle.position)
    for place, where in ((front, ", at the muzzle"), (0.0, ", at the tube's rear end")):
        arm = place - float(rigged.grip)
        if abs(arm) > 0.05:
            yield from _piece(setup, rigged, missing / arm, place, where, units)


def _piece(setup: Setup, rigged: Trim, force: float, place: float, where: str, units: Units
           ) -> Iterator[Option]:
    """Yield one piece of ballast or float, as heavy as the bench can make it."""
    heavy = force < 0
    density = float(lookup("lead.density" if heavy else "cork.density").value)
    per_mass = 9.80665 * (float(np.asarray(rigged.water_density)) / density - 1)
    mass = round(force / per_mass, 3 if heavy else 4)
    if not _LIGHTEST <= mass <= _HEAVIEST:
        return
    volume = mass / density
    name = "ballast" if heavy else "float"
    size = units.words(mass, "g") + " of lead" if heavy else \
        units.words(volume, "ml") + " of cork"
    fitting = Fitting(name, mass, volume, round(place, 3))
    barrel = replace(setup.barrel, others=(*setup.barrel.others, fitting))
    yield Option("piece", f"fix {size} {units.words(place, 'cm')} ahead of the tube's rear end"
                 f"{where}", replace(setup, barrel=barrel), 0.0)


def _kind(caution: str) -> str:
    """Return what two cautions have alike that differ in their numbers."""
    return re.split(r"\d", caution, maxsplit=1)[0]


def _best(value: object) -> float:
    return float(value.best if isinstance(value, Interval) else value)  # type: ignore[arg-type]


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" 0123456789.")) - 2 if line[:1].isdigit() else \
        len(line) - len(line.lstrip())


def options_of(found: Tuning) -> Sequence[Option]:
    """Return what can be tied: the options, or else the nearest.

    Parameters
    ----------
    found : Tuning
        From `tune`.

    Returns
    -------
    sequence of Option
    """
    return found.options or ((found.nearest,) if found.nearest else ())
