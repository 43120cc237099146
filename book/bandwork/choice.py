"""Which set-up to choose, out of the parts on the shelf: for one fish, or a few guns for many.

There is no best gun, only guns that nothing on the shelf beats in everything: the Pareto set.
`search` returns it and says of each other set-up why it fell out.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from itertools import combinations, product
from textwrap import fill
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from bandwork.components import RELAXED_LENGTHS, Band, Barrel, Diver, Shaft, ShootingLine, Water
from bandwork.handbook import lookup
from bandwork.setup import (
    USUAL_CAUTIONS,
    Assumptions,
    Quarry,
    Setup,
    predict_many,
)
from bandwork.stretch import cut_length_for_load, resting_distance
from bandwork.units import kgf_from_newton
from bandwork.validation import FloatArray, InputError, numbers, of_kind, settle, shown, single

_WEIGHED: dict[str, tuple[int, str, str, Callable[[Any], Any]]] = {
    "load": (1, "load", "kgf", kgf_from_newton),
    "practical_range": (-1, "practical range", "m", float),
    "drop": (1, "drop", "cm", lambda drop: drop * 100),
    "trim": (1, "moment at the grip", "N m", float),
    "recoil_speed": (1, "recoil", "m/s", float),
    "line_margin": (-1, "line's margin", "times", float),
}
"""What is weighed: 1 where less is better, -1 where more is."""

_ASKED = ("load", "practical_range", "limited_by", "drop_at_fish", "grip_moment", "recoil_speed",
          "line_margin")
_ROUNDED = 6


@dataclass(frozen=True)
class Choice:
    """A set-up that nothing on the shelf beats in everything.

    Attributes
    ----------
    name : str
        Its parts in a few words.
    setup : Setup
        The set-up, cut and with its load assist.
    load : float
        At the notch [N].
    practical_range : float
        For this fish [m].
    drop : float
        At the fish's distance [m].
    trim : float
        Size of the moment at the grip, shaft in [N m].
    recoil_speed : float
        Of gun and hand [m/s].
    line_margin : float
        Strength over the pull at the line's end, best value [1].
    """

    name: str
    setup: Setup
    load: float
    practical_range: float
    drop: float
    trim: float
    recoil_speed: float
    line_margin: float


@dataclass(frozen=True)
class Fallen:
    """A set-up that is out, and why.

    Attributes
    ----------
    name : str
        Its parts in a few words.
    reason : str
        One sentence.
    """

    name: str
    reason: str


@dataclass(frozen=True)
class Search:
    """What a search found.

    Attributes
    ----------
    kept : tuple of Choice
        The Pareto set, the easiest to load first.
    fallen : tuple of Fallen
        All the others.
    cautions : tuple of str
        To be shown with the numbers.
    beaten : tuple of Choice
        Those of the others that were weighed and beaten, to be drawn beside the kept ones.
    """

    kept: tuple[Choice, ...]
    fallen: tuple[Fallen, ...]
    cautions: tuple[str, ...] = USUAL_CAUTIONS
    beaten: tuple[Choice, ...] = ()

    def __str__(self) -> str:
        """Return the set-ups kept, a line each, and how many fell out."""
        lines = [f"{len(self.kept)} of {len(self.kept) + len(self.fallen)} set-ups that no other "
                 "beats in everything:"]
        for one in self.kept:
            told = ", ".join(f"{label} {float(scale(getattr(one, name))):.1f} {unit}"
                             for name, (_, label, unit, scale) in _WEIGHED.items())
            lines.append(fill(f"- {one.name}: {told}", 92, subsequent_indent="  "))
        return "\n".join([*lines, "Cautions:",
                          *(fill(f"! {one}", 92, subsequent_indent="  ")
                            for one in self.cautions)])


def non_dominated(costs: ArrayLike) -> Any:
    """Return which points no other point beats: at least as good in all costs, better in one.

    Parameters
    ----------
    costs : array_like, shape (points, costs)
        Less is better in each column [any unit]. Equal points do not beat each other.

    Returns
    -------
    ndarray of bool, shape (points,)
        True for the Pareto set [1].

    Raises
    ------
    InputError
        If it is not a table of numbers.

    Examples
    --------
    >>> non_dominated([[1, 5], [2, 3], [3, 4], [4, 1]])
    array([ True,  True, False,  True])
    """
    table = numbers("costs", costs)
    if table.ndim != 2:
        raise InputError(f"costs has {table.ndim} dimensions; accepted is a table with a row for "
                         "each point and a column for each cost.")
    return np.array([_beaten_by(table, row) is None for row in range(len(table))], dtype=bool)


def _beaten_by(table: FloatArray, row: int) -> int | None:
    """Return the first row that beats this one."""
    beats = (table <= table[row]).all(axis=1) & (table < table[row]).any(axis=1)
    return int(np.argmax(beats)) if beats.any() else None


def search(diver: Diver, barrels: Barrel | Iterable[Barrel], tubes: Band | Iterable[Band],
           shafts: Shaft | Iterable[Shaft], lines: ShootingLine | Iterable[ShootingLine],
           water: Water | None = None, quarry: Quarry | None = None,
           assumptions: Assumptions | None = None, cuts: int = 4,
           progress: Callable[[int, int], object] | None = None) -> Search:
    """Return the set-ups that no other beats, out of the parts on the shelf.

    Every tube is cut for every barrel: to the shortest whole centimetre that this diver loads in
    this water, the rubber below the stretch at which it crystallises, and to the next ones. Each
    set-up gets the shortest load assist that brings the wishbone into reach. Out are those that
    the diver cannot load or reach, whose shaft does not fit the barrel, that do not reach the
    fish, and whose line would break at its end. What is left is weighed by load, practical range,
    drop at the fish, moment at the grip, recoil, and the line's margin.

    Parameters
    ----------
    diver : Diver
        Who loads.
    barrels, tubes, shafts, lines : Barrel, Band, Shaft, ShootingLine, or iterables of them
        The shelf, of single numbers. The tubes' relaxed lengths count only if `cuts` is 0.
    water : Water, optional
        The sea at 20 degrees Celsius unless you give your own.
    quarry : Quarry, optional
        The handbook's assumed fish unless you give your own.
    assumptions : Assumptions, optional
        As in `setup.predict`.
    cuts : int
        How many relaxed lengths to try for each tube and barrel [1], 1 to 50; 0 for bands that
        are tied already, with the relaxed lengths that they have.
    progress : callable, optional
        Called now and then with (set-ups fired, set-ups that can be loaded).

    Returns
    -------
    Search

    Raises
    ------
    InputError
        If a shelf is empty or holds something else, or a part holds several numbers.

    Examples
    --------
    >>> found = search(Diver(500, 0.9), Barrel(1.20), Band(0.016, 0.003, 0.65),
    ...                [Shaft(0.007, 1.60), Shaft(0.0075, 1.60)], ShootingLine(0.0017), cuts=2)
    >>> len(found.kept) + len(found.fallen)
    4
    """
    fish = Quarry() if quarry is None else quarry
    given = Assumptions() if assumptions is None else assumptions
    of_kind(Quarry, quarry=fish)
    of_kind(Assumptions, assumptions=given)
    sea = Water() if water is None else water
    of_kind(Water, water=sea)
    shelf, fallen = _candidates(diver, barrels, tubes, shafts, lines, sea, cuts, given)
    judged = _judge(shelf, fish, given, progress)
    fallen += [Fallen(_name(one), told) for one, told in zip(shelf, judged, strict=True)
               if isinstance(told, str)]
    left = [Choice(_name(one), one, **told) for one, told in zip(shelf, judged, strict=True)
            if not isinstance(told, str)]
    left.sort(key=lambda one: one.load)
    costs = np.round([[sign * getattr(one, name) for name, (sign, *_) in _WEIGHED.items()]
                      for one in left], _ROUNDED).reshape(len(left), len(_WEIGHED))
    best = non_dominated(costs)
    kept = np.flatnonzero(best)
    for row in np.flatnonzero(~best):
        by = int(kept[_beaten_by(np.vstack([costs[kept], costs[row]]), len(kept)) or 0])
        fallen.append(Fallen(left[row].name, _beaten(left[row], left[by], costs[row] > costs[by])))
    return Search(tuple(left[row] for row in kept), tuple(fallen),
                  beaten=tuple(left[row] for row in np.flatnonzero(~best)))


def _beaten(one: Choice, other: Choice, worse: Any) -> str:
    parts = []
    for (name, (_, label, unit, scale)), is_worse in zip(_WEIGHED.items(), worse, strict=True):
        if is_worse:
            mine, theirs = (float(scale(getattr(each, name))) for each in (one, other))
            parts.append(f"{label} {mine:.3g} instead of {theirs:.3g} {unit}")
    return f"Better in nothing than {other.name}, and worse in {', '.join(parts)}."


def _shelf(kind: type, name: str, parts: Any) -> list[Any]:
    try:
        given = [parts] if isinstance(parts, kind) else list(parts)
    except TypeError:
        given = [parts]
    if not given:
        raise InputError(f"{name} is empty; give at least one {kind.__name__}(...).")
    for one in given:
        of_kind(kind, **{name: one})
        _key(one)
    return given


def _key(part: Any) -> Any:
    """Return what must be equal for two parts to be computed in one table: all but the floats."""
    if is_dataclass(part):
        return (type(part), *(_key(getattr(part, one.name)) for one in fields(part)))
    if isinstance(part, np.ndarray):
        raise InputError(f"A part holds {part.size} values; one is accepted here. Give each part "
                         "on its own.")
    if isinstance(part, tuple):
        return tuple(_key(one) for one in part)
    return None if isinstance(part, float) else part


def _stack(parts: Sequence[Any]) -> Any:
    """Return parts of one key as one, with an array for each float that differs."""
    first = parts[0]
    if is_dataclass(first):
        return replace(first, **{one.name: _stack([getattr(part, one.name) for part in parts])
                                 for one in fields(first)})  # type: ignore[type-var]
    if isinstance(first, tuple):
        return tuple(_stack(each) for each in zip(*parts, strict=True))
    return first if all(part == first for part in parts) else np.array(parts)


def _candidates(diver: Diver, barrels: Any, tubes: Any, shafts: Any, lines: Any,
                sea: Water, cuts: int, given: Assumptions) -> tuple[list[Setup], list[Fallen]]:
    of_kind(Diver, diver=diver)
    _key(diver), _key(sea)
    tried = single("cuts", cuts, 0, 50, "")
    guns, rods = _shelf(Barrel, "barrels", barrels), _shelf(Shaft, "shafts", shafts)
    cords = _shelf(ShootingLine, "lines", lines)
    found: list[Setup] = []
    fallen: list[Fallen] = []
    for barrel, tube in product(guns, _shelf(Band, "tubes", tubes)):
        step = lookup("rule.cut_step").value
        warm = given.warmed(tube, sea)
        lengths = _shortest(diver, warm, barrel, step) + step * np.arange(int(tried))
        for length in lengths if tried else [tube.relaxed_length]:
            try:
                band = replace(tube, relaxed_length=float(round(length, 6)))
                rest = float(resting_distance(band, barrel))
                assist = float(_up(max(rest - diver.reach, 0.0), step))
                found += [Setup(band, shaft, barrel, line, sea, diver, assist)
                          for shaft, line in product(rods, cords)]
            except InputError as problem:
                fallen.append(Fallen(f"{_gun(barrel)}, {_tube(tube)} at {length * 100:.0f} cm",
                                     str(problem)))
    return found, fallen


def _up(length: Any, step: float) -> Any:
    """Return a length rounded up to whole steps [m]."""
    return np.round(np.maximum(np.ceil(length / step - 1e-9), 0.0) * step, 6) + 0.0


def _shortest(diver: Diver, tube: Band, barrel: Barrel, step: float) -> float:
    """Return the shortest cut that this diver loads and that keeps the rubber below its limit."""
    least = barrel.loaded_path / lookup("rubber.crystallisation_stretch").value
    try:
        for_load = cut_length_for_load(diver.load_capacity, barrel, tube.outer_diameter, tube.bore,
                                       tube.legs, tube.rubber)
    except InputError:
        for_load = 0.0  # This tube cannot pull as hard as that, however short.
    return float(_up(np.clip(max(least, for_load), *RELAXED_LENGTHS), step))


def predict_each(setups: Sequence[Setup], names: Iterable[str], quarry: Quarry | None = None,
                 assumptions: Assumptions | None = None) -> list[dict[str, Any] | str]:
    """Return the predictions of some set-ups that differ in anything, refusing each on its own.

    Parameters
    ----------
    setups : sequence of Setup
        Of single numbers. Those that differ in numbers alone are computed together.
    names : iterable of str
        As in `setup.predict_many`.
    quarry, assumptions : Quarry, Assumptions, optional
        As in `setup.predict`.

    Returns
    -------
    list of dict of str to float, or str
        For each set-up its values by name [SI], or the sentence that refuses it.

    Raises
    ------
    InputError
        If something else is given than set-ups of single numbers.

    Examples
    --------
    >>> gun = Setup(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), Barrel(1.20),
    ...             ShootingLine(0.0017), Water(), Diver(500, 0.9))
    >>> slack = replace(gun, band=Band(0.016, 0.003, 2.90))
    >>> [told if isinstance(told, str) else round(float(told["load"]))
    ...  for told in predict_each([gun, slack], ["load"])]
    [461, 'The band is slack: ...']
    """
    wanted = list(names)
    for one in setups:
        of_kind(Setup, setup=one)
    return _tabled(setups, lambda stacked: predict_many(stacked, quarry, assumptions, wanted))


_AT_ONCE = 2000
"""Set-ups in one table: enough to be fast, few enough to show progress."""


def _tabled(setups: Sequence[Setup], work: Callable[[Setup], dict[str, Any]],
            progress: Callable[[int, int], object] | None = None) -> list[dict[str, Any] | str]:
    """Do the work on the set-ups of one key at once; where that is refused, on either half."""
    by_key: dict[Any, list[int]] = {}
    for row, one in enumerate(setups):
        by_key.setdefault(_key(one), []).append(row)
    done: list[dict[str, Any] | str] = [""] * len(setups)

    def each(rows: list[int]) -> None:
        try:
            got = work(_stack([setups[row] for row in rows]))
        except InputError as problem:
            if len(rows) == 1:
                done[rows[0]] = str(problem.__cause__ or problem)
            else:
                each(rows[:len(rows) // 2])
                each(rows[len(rows) // 2:])
            return
        for place, row in enumerate(rows):
            done[row] = {name: np.broadcast_to(values, (len(rows),))[place]
                         for name, values in got.items()}

    finished = 0
    for rows in by_key.values():
        for start in range(0, len(rows), _AT_ONCE):
            part = rows[start:start + _AT_ONCE]
            each(part)
            finished += len(part)
            if progress is not None:
                progress(finished, len(setups))
    return done


def _judge(setups: Sequence[Setup], quarry: Quarry, given: Assumptions,
           progress: Callable[[int, int], object] | None = None
           ) -> list[dict[str, float] | str]:
    """Return what is weighed of each set-up, or the reason why it is out."""
    def easy(setup: Setup) -> dict[str, Any]:
        return predict_many(setup, quarry, given, ("load", "load_spare", "reach_spare"))

    def whole(setup: Setup) -> dict[str, Any]:
        told = predict_many(setup, quarry, given, _ASKED)
        return told | {"drop": told["drop_at_fish"], "trim": np.abs(told["grip_moment"])}

    judged: list[Any] = [told if isinstance(told, str) else _by_hands(told) or misfit(one)
                         for one, told in zip(setups, _tabled(setups, easy), strict=True)]
    able = [row for row, reason in enumerate(judged) if reason is None]
    for row, told in zip(able, _tabled([setups[row] for row in able], whole, progress),
                         strict=True):
        judged[row] = told if isinstance(told, str) else (
            _by_shot(told, quarry) or {name: float(told[name]) for name in _WEIGHED})
    return judged


def _by_hands(told: dict[str, Any]) -> str | None:
    if told["load_spare"] < 0:
        return (f"It takes {kgf_from_newton(told['load']):.1f} kgf, "
                f"{kgf_from_newton(-told['load_spare']):.1f} kgf more than this diver brings.")
    if told["reach_spare"] < 0:
        return (f"Even with the best load assist a grip lies {-told['reach_spare'] * 100:.0f} cm "
                "out of this diver's reach.")
    return None


def misfit(setup: Setup) -> str | None:
    """Say why a shaft does not fit its barrel.

    Parameters
    ----------
    setup : Setup
        Of single numbers.

    Returns
    -------
    str or None
        One sentence; None if the tail lies where a handle can hold it: from the handbook's
        `shaft.tail_behind` behind the tube's rear end to the barrel's notch position ahead of it.
    """
    barrel, shaft = setup.barrel, setup.shaft
    tail = barrel.length + barrel.roller_offset + shaft.overhang - shaft.length
    most = lookup("shaft.tail_behind").value
    if not -most <= tail <= barrel.notch_position:
        return (f"Its shaft's tail lies {abs(tail) * 100:.0f} cm "
                f"{'behind' if tail < 0 else 'ahead of'} the tube's rear end, too "
                f"{'long' if tail < 0 else 'short'} a shaft for this barrel with "
                f"{shaft.overhang * 100:.0f} cm ahead of the roller.")
    return None


def _by_shot(told: dict[str, Any], quarry: Quarry) -> str | None:
    if told["practical_range"] < quarry.distance:
        return (f"Its practical range is {told['practical_range']:.2f} m, limited by "
                f"{told['limited_by']}; the fish is at {quarry.distance:.2f} m.")
    if told["line_margin"] < 1:
        return (f"Its line holds {told['line_margin']:.2f} times the pull at its end; 1 is the "
                "least.")
    return None


def _gun(barrel: Barrel) -> str:
    return f"{barrel.kind} {barrel.length * 100:.0f} in {barrel.material}"


def _tube(band: Band) -> str:
    legs = "" if band.legs == 2 else f" x {band.legs} legs"
    return f"tube {band.outer_diameter * 1000:.1f}/{band.bore * 1000:.1f} mm{legs}"


def _rod(shaft: Shaft) -> str:
    return f"shaft {shaft.diameter * 1000:.2f} mm x {shaft.length * 100:.0f} cm"


def _cord(line: ShootingLine) -> str:
    bungee = f" + {line.bungee_length * 100:.0f} cm bungee" if line.bungee_length else ""
    return (f"line {line.diameter * 1000:.1f} mm, {line.wraps:.0f} "
            f"wrap{'' if line.wraps == 1 else 's'}{bungee}")


def _name(setup: Setup) -> str:
    return (f"{_gun(setup.barrel)}, {_tube(setup.band)} at "
            f"{setup.band.relaxed_length * 100:.0f} cm, {_rod(setup.shaft)}, {_cord(setup.line)}")


@dataclass(frozen=True)
class Place:
    """Where and what somebody hunts.

    Parameters
    ----------
    name : str
        Such as "caves" or "open water".
    water : Water
        Of the place, of single numbers.
    quarry : Quarry
        The fish, of single numbers.
    longest : float
        The longest barrel that can be turned there [m], 0.3 to 2.

    Raises
    ------
    InputError
        If a value is out of range or of another kind.
    """

    name: str
    water: Water
    quarry: Quarry
    longest: Any = 2.0

    def __post_init__(self) -> None:
        of_kind(str, name=self.name)
        of_kind(Water, water=self.water)
        of_kind(Quarry, quarry=self.quarry)
        settle(self, "longest", 0.3, 2, "m", "Give it in metres: a 90 is 0.90.")
        _key(self)


@dataclass(frozen=True)
class GunSet:
    """A few guns that cover some places.

    Attributes
    ----------
    guns : tuple of Setup
        As few as cover all places that the shelf can cover.
    names : tuple of str
        The guns in a few words.
    covers : dict of str to int
        For each place, which gun goes farthest beyond what is asked there, counted from 0 [1].
    alike : tuple of str
        What is the same in all guns: keep it so, as there is less to carry, to learn and to
        mix up.
    different : tuple of str
        What is not.
    uncovered : dict of str to str
        Places that no set-up covers, with the commonest reason.
    cautions : tuple of str
        To be shown with the numbers.
    """

    guns: tuple[Setup, ...]
    names: tuple[str, ...]
    covers: dict[str, int]
    alike: tuple[str, ...]
    different: tuple[str, ...]
    uncovered: dict[str, str]
    cautions: tuple[str, ...] = USUAL_CAUTIONS

    def __str__(self) -> str:
        """Return the guns with their places, and what to keep alike."""
        lines = []
        for number, name in enumerate(self.names):
            places = ", ".join(place for place, gun in self.covers.items() if gun == number)
            lines.append(f"Gun {number + 1}, for {places}: {name}.")
        lines += [f"Not covered: {place}. {reason}" for place, reason in self.uncovered.items()]
        if len(self.guns) > 1:
            lines.append(f"Keep alike: {'; '.join(self.alike) or 'nothing'}.")
            lines.append(f"Different: {'; '.join(self.different) or 'nothing'}.")
        lines += ["Cautions:", *(f"! {one}" for one in self.cautions)]
        return "\n".join(fill(one, 92, subsequent_indent="  ") for one in lines)


_TRAITS: dict[str, Callable[[Setup], str]] = {
    "kind of gun": lambda one: one.barrel.kind,
    "barrel's material": lambda one: one.barrel.material,
    "barrel's length": lambda one: f"{one.barrel.length * 100:.0f} cm",
    "tube": lambda one: _tube(one.band).removeprefix("tube "),
    "relaxed length": lambda one: f"{one.band.relaxed_length * 100:.0f} cm",
    "shaft's diameter": lambda one: f"{one.shaft.diameter * 1000:.2f} mm",
    "shaft's length": lambda one: f"{one.shaft.length * 100:.0f} cm",
    "line": lambda one: _cord(one.line).removeprefix("line "),
    "load assist": lambda one: f"{one.assist_length * 100:.0f} cm",
}


def choose_set(diver: Diver, barrels: Barrel | Iterable[Barrel], tubes: Band | Iterable[Band],
               shafts: Shaft | Iterable[Shaft], lines: ShootingLine | Iterable[ShootingLine],
               places: Sequence[Place], most: int = 3, assumptions: Assumptions | None = None,
               cuts: int = 3, combined: int = 12) -> GunSet:
    """Return the few guns that cover some places and fish, as alike as can be.

    A set-up covers a place if its barrel can be turned there and `search` would not drop it for
    the diver, the range or the line. The fewest guns that cover all places win; among those, the
    ones with most in common; then the ones whose practical range passes what is asked by most.

    Parameters
    ----------
    diver : Diver
        Who loads.
    barrels, tubes, shafts, lines : Barrel, Band, Shaft, ShootingLine, or iterables of them
        The shelf, as in `search`.
    places : sequence of Place
        What must be covered, each under a name of its own; 1 to 8 of them.
    most : int
        At most so many guns [1], 1 to 3.
    assumptions : Assumptions, optional
        As in `setup.predict`.
    cuts : int
        As in `search` [1]. The bands are cut for the warmest of the places, where they pull
        hardest.
    combined : int
        Of the set-ups that cover the same places only so many, those that pass most, are combined
        with others [1], 1 to 50; all of them if they are fewer. More finds guns that are more
        alike, and takes longer: its third power for three guns.

    Returns
    -------
    GunSet

    Raises
    ------
    InputError
        If the shelf covers no place, if so many guns are not enough, or as `search`.

    Examples
    --------
    >>> caves = Place("caves", Water(), Quarry(distance=2.0), longest=0.95)
    >>> reef = Place("reef", Water(), Quarry(distance=4.5, least_energy=45))
    >>> told = choose_set(Diver(500, 0.9), [Barrel(0.90), Barrel(1.20)], Band(0.016, 0.003, 0.65),
    ...                   [Shaft(0.007, 1.30), Shaft(0.007, 1.60)], ShootingLine(0.0017),
    ...                   [caves, reef], cuts=2)
    >>> len(told.guns), told.covers
    (2, {'caves': 0, 'reef': 1})
    """
    given = Assumptions() if assumptions is None else assumptions
    of_kind(Assumptions, assumptions=given)
    wanted = _places(places)
    limit = int(single("most", most, 1, 3, ""))
    each = int(single("combined", combined, 1, 50, ""))
    warmest = max((place.water for place in wanted), key=lambda water: water.temperature)
    shelf, fallen = _candidates(diver, barrels, tubes, shafts, lines, warmest, cuts, given)
    passes = np.zeros((len(shelf), len(wanted)))
    uncovered: dict[str, str] = {}
    for column, place in enumerate(wanted):
        fits = [row for row, one in enumerate(shelf) if one.barrel.length <= place.longest]
        judged = _judge([replace(shelf[row], water=place.water) for row in fits], place.quarry,
                        given)
        reasons = [told for told in judged if isinstance(told, str)]
        for row, told in zip(fits, judged, strict=True):
            if not isinstance(told, str):
                passes[row, column] = told["practical_range"] / place.quarry.distance
        if not passes[:, column].any():
            reasons += [one.reason for one in fallen]
            uncovered[place.name] = max(reasons, key=reasons.count) if reasons else (
                f"No barrel on the shelf is {place.longest:.2f} m or shorter.")
    open_to = [column for column, place in enumerate(wanted) if place.name not in uncovered]
    if not open_to:
        raise InputError("The shelf covers none of the places. "
                         + " ".join(f"{name}: {why}" for name, why in uncovered.items()))
    rows = _fewest(shelf, passes[:, open_to], limit, each)
    guns = [shelf[row] for row in rows]
    covers = {wanted[column].name: int(np.argmax(passes[rows, column])) for column in open_to}
    traits = {name: [trait(gun) for gun in guns] for name, trait in _TRAITS.items()}
    return GunSet(
        tuple(guns), tuple(_name(gun) for gun in guns), covers,
        tuple(f"{name} {values[0]}" for name, values in traits.items() if len(set(values)) == 1),
        tuple(f"{name} {' and '.join(values)}" for name, values in traits.items()
              if len(set(values)) > 1), uncovered)


def _places(places: Sequence[Place]) -> list[Place]:
    wanted = _shelf(Place, "places", places)
    if len(wanted) > 8 or len({place.name for place in wanted}) < len(wanted):
        raise InputError(f"places are {shown([place.name for place in wanted])}; accepted are up "
                         "to 8, each under a name of its own.")
    return wanted


def _fewest(shelf: Sequence[Setup], passes: FloatArray, limit: int,
            combined: int) -> list[int]:
    """Return the rows of the fewest set-ups that cover all columns, the most alike of those."""
    by_pattern: dict[tuple[bool, ...], list[int]] = {}
    for row in np.argsort(-passes.sum(axis=1), kind="stable"):
        pattern = tuple(map(bool, passes[row] > 0))
        if any(pattern) and len(by_pattern.setdefault(pattern, [])) < combined:
            by_pattern[pattern].append(int(row))
    for size in range(1, limit + 1):
        best: tuple[tuple[int, float], list[int]] | None = None
        for patterns in combinations(by_pattern, size):
            if not np.any(patterns, axis=0).all():
                continue
            for rows in product(*(by_pattern[pattern] for pattern in patterns)):
                guns = [shelf[row] for row in rows]
                alike = sum(len({trait(gun) for gun in guns}) == 1 for trait in _TRAITS.values())
                score = alike, float(passes[list(rows)].max(axis=0).min())
                if best is None or score > best[0]:
                    best = score, sorted(rows, key=lambda row: shelf[row].barrel.length)
        if best is not None:
            return best[1]
    raise InputError(f"{limit} guns are not enough to cover all places; allow more, or ask less.")
