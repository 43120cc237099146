"""`bandwork compare`: what differs between set-ups, what that changes, and whether it is sure."""

import csv
import io
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from bandwork.doubt import Spread
from bandwork.interval import Interval
from bandwork.rubber import RubberLaw
from bandwork.setup import (
    Assumptions,
    Change,
    Quarry,
    Setup,
    compare,
    predict_many,
    reading,
)
from bandwork.validation import InputError, shown
from bandwork.workshop import drawn
from bandwork.workshop.answer import (
    LEVEL,
    answer,
    around,
    drawn_spread,
    hard_to_load,
    loads_in,
    result_row,
)
from bandwork.workshop.files import GunFile, keys_of, reworded
from bandwork.workshop.lines import wrapped
from bandwork.workshop.quantities import Units, figures

if TYPE_CHECKING:
    from matplotlib.figure import Figure

QUESTIONS: dict[str, tuple[str, ...]] = {
    "Load": ("load", "load_spare", "reach_spare"),
    "Stretch": ("stretch_ratio", "stored_energy"),
    "Speed": ("muzzle_speed", "recoil_speed", "flex_ratio"),
    "Reach and drop": ("reach_from_muzzle", "practical_range", "drop_at_fish", "energy_at_fish",
                       "time_to_fish"),
    "Floats and points": ("net_force_shaft_in", "net_force_shaft_out", "grip_moment"),
    "Line": ("line_length", "end_tension", "line_margin"),
}
"""The rigger's questions, and the results that answer each."""
_WORDS_OF: dict[str, tuple[str, ...]] = {
    "Reach and drop": ("limited_by",), "Floats and points": ("floats_shaft_in",
                                                             "floats_shaft_out"),
    "Line": ("wrap_over_muzzle", "wrap_over_band")}
_DRAWN = ("load", "muzzle_speed", "practical_range", "drop_at_fish", "energy_at_fish",
          "net_force_shaft_in", "grip_moment", "line_margin")
_LABELS = {"line_margin": "line's strength over its end pull"}
_LEAST = 0.01
_RUBBER = "band.rubber"
_MOST = 6
_READ_AS = {"m": "cm", "N": "N", "kg": "g", "Pa": "MPa", "m3": "ml", "degrees Celsius": "C"}


@dataclass(frozen=True)
class Row:
    """One result of all set-ups.

    Attributes
    ----------
    name : str
        An attribute of `setup.Prediction`.
    question : str
        A key of `QUESTIONS`.
    label : str
        The result in words.
    values : tuple of Interval
        One a set-up [SI].
    differences : tuple of Interval
        Of each set-up but the first to the first: best, and between what nine in ten lie when both
        have the same luck in what they share [SI].
    meanings : tuple of str
        What each difference is to a rigger; "" for none.
    causes : tuple of str
        Which inputs make each difference, each changed alone; "" for one input.
    """

    name: str
    question: str
    label: str
    values: tuple[Interval, ...]
    differences: tuple[Interval, ...]
    meanings: tuple[str, ...]
    causes: tuple[str, ...]

    def larger(self, number: int) -> bool:
        """Return whether a difference is larger than the doubt that is left.

        Parameters
        ----------
        number : int
            Of the difference [1], counted from 0.

        Returns
        -------
        bool
        """
        return not self.differences[number].low <= 0 <= self.differences[number].high

    def alike(self, number: int) -> bool:
        """Return whether the set-up's result is the first one's, within a hundredth of it.

        Parameters
        ----------
        number : int
            Of the difference [1], counted from 0.

        Returns
        -------
        bool
        """
        one, value = self.differences[number], self.values[0]
        least = max(abs(value.best), value.high - value.low) * _LEAST
        _, _, factor, digits = reading(self.name)
        return round(one.best * factor, digits) == 0 or abs(one.best) < least


@dataclass(frozen=True)
class Against:
    """Set-ups side by side, the first one being what the others are compared with.

    Attributes
    ----------
    guns : tuple of GunFile
        As read.
    inputs : tuple of tuple of Change
        For each set-up but the first, what differs.
    rows : tuple of Row
        All results, by question.
    words : tuple of (str, str, tuple of str)
        Results that are no numbers: question, label, one a set-up.
    own : tuple of tuple of str
        For each set-up but the first, which doubts it does not share with the first.
    cautions : tuple of (str, tuple of str)
        Each caution and the letters of its set-ups; those of all last.
    units : Units
        In which people read it.
    """

    guns: tuple[GunFile, ...]
    inputs: tuple[tuple[Change, ...], ...]
    rows: tuple[Row, ...]
    words: tuple[tuple[str, str, tuple[str, ...]], ...]
    own: tuple[tuple[str, ...], ...]
    cautions: tuple[tuple[str, tuple[str, ...]], ...]
    units: Units

    def text(self) -> str:
        """Return the comparison as it is printed.

        Returns
        -------
        str
        """
        letters = letters_of(self.guns)
        lines = [f"{letter}  {gun.name}, {gun.path.name}"
                 for letter, gun in zip(letters, self.guns, strict=True)]
        for letter, changes in zip(letters[1:], self.inputs, strict=True):
            lines += ["", f"What differs from A to {letter}"]
            lines += [f"  {one}" for one in self._differences(letter, changes)]
        lines += ["", *(self._in_short(number, letter)
                       for number, letter in enumerate(letters[1:])), ""]
        shown_rows = [row for row in self.rows
                      if not all(map(row.alike, range(len(row.differences))))]
        changed = [one for one in self.words if len(set(one[2])) > 1]
        if not shown_rows and not changed:
            lines.append("The results are alike.")
        for question in QUESTIONS:
            told = [line for row in shown_rows if row.question == question
                    for line in self._row(row, letters)]
            told += [f"  {label}: " + ", ".join(
                f"{letter} {value}" for letter, value in zip(letters, values, strict=True))
                for place, label, values in changed if place == question]
            if told:
                lines += [question, *told]
        lines += ["", *self._sureness(letters), "Cautions:"]
        for caution, whose in self.cautions:
            lines.append(wrapped(f"! {_for(whose, letters)}{caution}", later="  "))
        return "\n".join(lines)

    def _in_short(self, number: int, letter: str) -> str:
        """Return the main differences in one sentence, the sure ones first."""
        rows = [row for row in self.rows if row.name in _DRAWN and not row.alike(number)]
        sure = [f"{row.meanings[number]} ({row.label})" for row in rows if row.larger(number)]
        rest = [row.label for row in rows if not row.larger(number)]
        told_so = f"In short, {letter} against A: {', '.join(sure) or 'no sure difference'}."
        return wrapped(told_so + (f" Within the doubt: {', '.join(rest)}." if rest else ""),
                       later="  ")

    def _differences(self, letter: str, changes: tuple[Change, ...]) -> list[str]:
        if not changes:
            return ["nothing: the inputs are alike"]
        other = self.guns[letters_of(self.guns).index(letter)]
        return [f"{_spelt(one.name)}: A {input_words(self.guns[0], one.name, one.old, self.units)}"
                f", {letter} {input_words(other, one.name, one.new, self.units)}"
                for one in changes]

    def _row(self, row: Row, letters: Sequence[str]) -> list[str]:
        cells = [self._between(row.name, one) for one in row.values]
        unit = told(self.units, row.name, 0.0)[1]
        head = f"  {row.label} ({unit}):"
        line = " ".join(f"{letter} {cell:<20}" for letter, cell in zip(letters, cells, strict=True))
        lines = [f"{head:<42} {line}".rstrip()] if len(head) <= 42 and len(cells) == 2 else [
            head, f"    {line}".rstrip()]
        for number, letter in enumerate(letters[1:]):
            lines.append(wrapped(f"    {letter}: {self._moved(row, number)}", later="       "))
        return lines

    def _between(self, name: str, value: Interval) -> str:
        best, low, high = (told(self.units, name, one)[0]
                           for one in (value.best, value.low, value.high))
        return best if low == high else f"{best} ({low} to {high})"

    def _moved(self, row: Row, number: int) -> str:
        """Return a difference in words: how much, whether it is sure, what it is and why."""
        if row.alike(number):
            return "as A, within a hundredth"
        one = row.differences[number]
        best = told(self.units, row.name, abs(one.best))[0]
        if one.low * one.high > 0:
            ends = [told(self.units, row.name, abs(end))[0]
                    for end in sorted((one.low, one.high), key=abs)]
        else:
            ends = [_signed(told(self.units, row.name, end)[0]) for end in (one.low, one.high)]
        between = "" if ends[0] == ends[1] else f" ({ends[0]} to {ends[1]})"
        words = [f"{best} {'more' if one.best > 0 else 'less'}{between}",
                 f"{'larger than' if row.larger(number) else 'within'} the doubt"]
        meaning = f": {row.meanings[number]}" if row.meanings[number] else ""
        cause = f"; by {row.causes[number]}" if row.causes[number] else ""
        return f"{', '.join(words)}{meaning}{cause}"

    def _sureness(self, letters: Sequence[str]) -> list[str]:
        lines = ["In brackets: nine in ten lie there. What two set-ups have alike is as doubtful "
                 "in both, so that it cancels in their difference."]
        for letter, own in zip(letters[1:], self.own, strict=True):
            lines.append(f"A and {letter} share every doubt but: {', '.join(own)}." if own else
                         f"A and {letter} share every doubt.")
        return [wrapped(line) for line in lines]

    def as_csv(self) -> str:
        """Return all results as comma-separated values, a row a result.

        Returns
        -------
        str
            Numbers in the units that people read.
        """
        table = io.StringIO()
        out = csv.writer(table, lineterminator="\n")
        letters = letters_of(self.guns)
        out.writerow(["question", "key", "result", "unit",
                      *(f"{letter}{end}" for letter in letters for end in ("", "_low", "_high")),
                      *(f"{letter}_less_A{end}" for letter in letters[1:]
                        for end in ("", "_low", "_high", "_verdict"))])
        for row in self.rows:
            cells = [row.question, row.name, row.label, told(self.units, row.name, 0.0)[1]]
            for value in row.values:
                cells += [told(self.units, row.name, one, 2)[0]
                          for one in (value.best, value.low, value.high)]
            for number, one in enumerate(row.differences):
                cells += [told(self.units, row.name, end, 2)[0]
                          for end in (one.best, one.low, one.high)] + [self._verdict(row, number)]
            out.writerow(cells)
        return table.getvalue()

    def _verdict(self, row: Row, number: int) -> str:
        one = row.differences[number]
        if one.low == one.best == one.high == 0:
            return "alike"
        return f"{'larger than' if row.larger(number) else 'within'} the doubt"

    def as_json(self) -> str:
        """Return everything as JSON, its numbers in SI.

        Returns
        -------
        str
        """
        letters = letters_of(self.guns)
        found = {
            "set_ups": [{"letter": letter, "name": gun.name, "file": str(gun.path)}
                        for letter, gun in zip(letters, self.guns, strict=True)],
            "inputs": [{"set_up": letter, "key": one.name,
                        "A": input_words(self.guns[0], one.name, one.old, Units()),
                        letter: input_words(gun, one.name, one.new, Units())}
                       for letter, gun, changes in zip(letters[1:], self.guns[1:], self.inputs,
                                                       strict=True) for one in changes],
            "results": [{
                "key": row.name, "question": row.question, "result": row.label,
                "values": {letter: _ends(value)
                           for letter, value in zip(letters, row.values, strict=True)},
                "less_A": {letter: {**_ends(one), "verdict": self._verdict(row, number),
                                    "meaning": row.meanings[number]}
                           for number, (letter, one) in enumerate(
                               zip(letters[1:], row.differences, strict=True))},
            } for row in self.rows],
            "words": [{"result": label, **dict(zip(letters, values, strict=True))}
                      for _, label, values in self.words],
            "cautions": [{"set_ups": list(whose), "caution": caution}
                         for caution, whose in self.cautions],
        }
        return json.dumps(found, indent=2, ensure_ascii=False) + "\n"

    def svg(self) -> str:
        """Return a picture of the main results, an axis each, with their intervals.

        Returns
        -------
        str
            SVG.
        """
        from bandwork.workshop import plots

        letters = letters_of(self.guns)
        rows = [row for row in self.rows if row.name in _DRAWN]
        said = "; ".join(
            f"{row.label}: " + ", ".join(
                "{} {} ({} to {})".format(letter, *(told(self.units, row.name, one)[0] for one in (
                    value.best, value.low, value.high)))
                for letter, value in zip(letters, row.values, strict=True))
            + f" {told(self.units, row.name, 0.0)[1]}" for row in rows)
        names = ", ".join(f"{letter} {gun.name}"
                          for letter, gun in zip(letters, self.guns, strict=True))
        return plots.svg(lambda: self._figure(rows, letters), f"Set-ups compared: {names}",
                         f"Each result with what nine in ten lie between. {said}.")

    def _figure(self, rows: Sequence[Row], letters: Sequence[str]) -> "Figure":
        from matplotlib.pyplot import subplots

        from bandwork.workshop import plots

        count = len(letters)
        figure, all_axes = subplots(len(rows), 1, figsize=(
            5.2, (0.62 + 0.26 * count) * len(rows) + 0.3 * count), squeeze=False)
        for row, axes in zip(rows, all_axes[:, 0], strict=True):
            unit = told(self.units, row.name, 0.0)[1]
            for place, value in enumerate(row.values):
                best, low, high = (float(told(self.units, row.name, one, 3)[0])
                                   for one in (value.best, value.low, value.high))
                colour = (plots.INK, plots.WARM, plots.TEAL, plots.VIOLET, plots.OLIVE,
                          plots.INK)[place]
                axes.plot([low, high], [-place, -place], color=colour, lw=2.2,
                          ls=plots.DASHES[place % 4], solid_capstyle="butt")
                axes.plot(best, -place, plots.MARKS[place], color=colour, ms=8)
            axes.set_yticks([-place for place in range(count)], letters)
            axes.set_ylim(-count + 0.4, 0.6)
            axes.margins(x=0.08)
            axes.tick_params(axis="y", length=0)
            axes.tick_params(axis="x", labelsize=10)
            axes.spines["left"].set_visible(False)
            axes.grid(axis="y", visible=False)
            axes.set_title(f"{row.label} ({unit})", fontsize=12)
        figure.supxlabel("\n".join(f"{letter}: {_short(gun.name)}" for letter, gun in
                                   zip(letters, self.guns, strict=True)), fontsize=12, x=0.03,
                         ha="left")
        return figure


def letters_of(guns: Sequence[GunFile]) -> list[str]:
    """Return a letter for each set-up.

    Parameters
    ----------
    guns : sequence of GunFile
        The set-ups.

    Returns
    -------
    list of str
        A, B and so on.
    """
    return [chr(ord("A") + number) for number in range(len(guns))]


def against(guns: Sequence[GunFile], units: Units | None = None) -> Against:
    """Compare set-ups with the first of them.

    Parameters
    ----------
    guns : sequence of GunFile
        Two to six.
    units : Units, optional
        In which people read it; metric unless given.

    Returns
    -------
    Against

    Raises
    ------
    InputError
        If there are too few or too many set-ups, or as `setup.predict`.
    """
    if not 2 <= len(guns) <= _MOST:
        raise InputError(f"{len(guns)} set-up{'' if len(guns) == 1 else 's'} given; 2 to {_MOST} "
                         "are compared. Name their files one after the other.")
    first, others = guns[0], guns[1:]
    read = units or Units()
    told_by = [answer(one, read, quick=True) for one in guns]
    compared = [compare(first.setup, one.setup, first.quarry, first.assumptions, one.quarry,
                        one.assumptions) for one in others]
    inputs = tuple(_with_whole_rubber(first, one, changes.inputs)
                   for one, changes in zip(others, compared, strict=True))
    names = [name for asked in QUESTIONS.values() for name in asked]
    spreads = [spread_of(one, names) for one in guns]
    paired = [_paired(first, one, spreads[0], spread)
              for one, spread in zip(others, spreads[1:], strict=True)]
    causes = [_causes(first, changes, names) for changes in inputs]
    rows = []
    for question, asked in QUESTIONS.items():
        for name in asked:
            values = tuple(around(getattr(one.prediction, name), spread.intervals[name])
                           for one, spread in zip(told_by, spreads, strict=True))
            meanings = tuple(next(change.meaning for change in one.results if change.name == name)
                             for one in compared)
            rows.append(Row(name, question, label(name), values,
                            tuple(one[name] for one in paired), meanings,
                            tuple(one.get(name, "") for one in causes)))
    words = tuple((question, name.replace("_", " "),
                   tuple(_said(getattr(one.prediction, name)) for one in told_by))
                  for question, asked in _WORDS_OF.items() for name in asked)
    alike = [drawn.shared(first, one) for one in others]
    own = tuple(tuple(dict.fromkeys(drawn.ABOUT[name][0] for name, is_so in one.items()
                                    if not is_so)) for one in alike)
    letters = letters_of(guns)
    whose: dict[str, list[str]] = {}
    for letter, gun, one, spread in zip(letters, guns, told_by, spreads, strict=True):
        for caution in (*hard_to_load(gun, one.prediction, loads_in(spread.draws)), *one.cautions):
            whose.setdefault(caution, []).append(letter)
    cautions = sorted(whose.items(), key=lambda one: len(one[1]) == len(guns))
    return Against(tuple(guns), inputs, tuple(rows), words,
                   own, tuple((told, tuple(by)) for told, by in cautions),
                   read)


def spread_of(gun: GunFile, names: Sequence[str]) -> Spread:
    """Return how far results may be off, as `bandwork predict` says it.

    Parameters
    ----------
    gun : GunFile
        As read.
    names : sequence of str
        Results, as in `doubt.monte_carlo`.

    Returns
    -------
    Spread

    Raises
    ------
    InputError
        If a draw leaves what the library covers, naming the file.
    """
    try:
        return drawn_spread(gun, names)
    except InputError as problem:
        why = reworded(str(problem.__cause__ or problem))
        raise InputError(f"{gun.path}: how sure its numbers are cannot be worked out: {why}"
                         ) from problem


def _paired(first: GunFile, other: GunFile, mine: Spread, theirs: Spread) -> dict[str, Interval]:
    """Return the differences of results, both guns having the same luck in what they share."""
    alike = drawn.shared(first, other)
    draws = theirs.draws  # The same seed: where all is shared, both have drawn the same.
    if not all(alike.values()):
        columns = drawn.columns(first)
        setup, taken = drawn.put(other, drawn.columns(
            other, 1, {name: columns[name] for name, is_so in alike.items() if is_so}))
        draws = predict_many(setup, other.quarry, taken, list(draws))
    found = {}
    for name, values in draws.items():
        middle = theirs.intervals[name].best - mine.intervals[name].best
        low, high = np.quantile(values - mine.draws[name], [(1 - LEVEL) / 2, (1 + LEVEL) / 2])
        found[name] = Interval(min(float(low), middle), middle, max(float(high), middle))
    return found


def _with_whole_rubber(first: GunFile, other: GunFile, inputs: Sequence[Change]
                       ) -> tuple[Change, ...]:
    """Return what differs, the parameters of a rubber's law as the one rubber that they are."""
    old, new = first.setup.band.rubber, other.setup.band.rubber
    kept = [one for one in inputs if not one.name.startswith(_RUBBER)]
    if len(kept) < len(inputs):
        place = next(number for number, one in enumerate(inputs) if one.name.startswith(_RUBBER))
        kept.insert(place, Change(_RUBBER, old, new, None, "The rubber is another."))
    return tuple(kept)


def _causes(first: GunFile, inputs: Sequence[Change], names: Sequence[str]) -> dict[str, str]:
    """Return in words which inputs make a difference, where several differ, each changed alone."""
    if len(inputs) < 2:
        return {}
    own = predict_many(first.setup, first.quarry, first.assumptions, names)
    alone: dict[str, dict[str, float]] = {name: {} for name in names}
    for one in inputs:
        try:
            got = predict_many(*_changed(first, one.name, one.new), names)
        except InputError:
            continue
        for name in names:
            alone[name][one.name] = float(got[name] - own[name])
    found = {}
    for name, moves in alone.items():
        most = max(map(abs, moves.values()), default=0.0)
        made = sorted((one for one in moves if abs(moves[one]) > 0.1 * most > 0),
                      key=lambda one: -abs(moves[one]))
        if made:
            found[name] = ", ".join(map(_spelt, made[:3]))
    return found


def _changed(gun: GunFile, name: str, value: Any) -> tuple[Setup, Quarry, Assumptions]:
    """Return a gun with one input changed."""
    place, _, rest = name.partition(".")
    if place in ("quarry", "assumptions"):
        changed = {place: _with(getattr(gun, place), rest.split("."), value)}
    else:
        changed = {"setup": _with(gun.setup, name.split("."), value)}
    parts = {"setup": gun.setup, "quarry": gun.quarry, "assumptions": gun.assumptions, **changed}
    return parts["setup"], parts["quarry"], parts["assumptions"]


def _with(part: Any, path: Sequence[str], value: Any) -> Any:
    """Return a dataclass with the value at the end of a path replaced."""
    if not path:
        return value
    name, _, number = path[0].partition(" ")
    own = getattr(part, name)
    if number:
        rows = list(own)
        rows[int(number) - 1] = _with(rows[int(number) - 1], path[1:], value)
        return replace(part, **{name: tuple(rows)})
    return replace(part, **{name: _with(own, path[1:], value)})


def label(name: str) -> str:
    """Return what a result is called on its own.

    Parameters
    ----------
    name : str
        One of `setup.NAMES` whose values are numbers.

    Returns
    -------
    str
    """
    return _LABELS.get(name) or reading(name)[0]


def told(units: Units, name: str, value: float, more: int = 0) -> tuple[str, str]:
    """Return a result's number and unit as people read them.

    Parameters
    ----------
    units : Units
        Which.
    name : str
        One of `setup.NAMES` whose values are numbers.
    value : float
        In the unit of `Prediction` [SI].
    more : int
        Digits beyond the usual ones [1].

    Returns
    -------
    number, unit : str
    """
    row = result_row(name, value, None, units)
    return figures(row.number, row.digits + more), row.unit


def input_words(gun: GunFile, name: str, value: Any, units: Units) -> str:
    """Return an input as its file gives it, or as people read it.

    Parameters
    ----------
    gun : GunFile
        Whose input it is.
    name : str
        Such as "band.relaxed_length"; a part's number after a space.
    value : object
        Its value [SI].
    units : Units
        In which people read it.

    Returns
    -------
    str
    """
    if isinstance(value, RubberLaw):
        return gun.rubber_name or "the handbook's test rubber"
    written = {"assist_length": "assist.length"}.get(name, name).replace(" ", ".")
    if written in gun.given:
        return gun.given[written]
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        if isinstance(value, tuple):
            return ", ".join(getattr(one, "name", str(one)) for one in value) or "none"
        return shown(value) if not isinstance(value, (str, bool)) else _said(value)
    unit = _unit_of(name)
    if unit == "m" and abs(value) < 0.03:
        return units.words(value, "mm", 2)
    if unit in _READ_AS:
        return units.words(value, _READ_AS[unit], 1 if unit == "m" else None)
    return f"{value:g}" + (f" {unit}" if unit not in ("", "1") else "")


def _unit_of(name: str) -> str:
    """Return the unit of an input, from the library's own words."""
    kinds: dict[str, Any] = {"quarry": Quarry, "assumptions": Assumptions}
    first, _, rest = name.partition(".")
    kind, path = (kinds[first], rest) if first in kinds else (Setup, name)
    unit = ""
    for one in path.split("."):
        key = keys_of(kind).get(one.partition(" ")[0]) if kind else None
        if key is None:
            return unit
        kind, unit = key.kind, key.unit
    return unit


def _spelt(name: str) -> str:
    """Return an input's name in words."""
    if name == "assumptions.test_temperature":
        return "temperature at the pull test"
    *places, last = name.removeprefix("assumptions.").replace("_", " ").split(".")
    return f"{' '.join(places)}'s {last}" if places else last


def _said(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _signed(number: str) -> str:
    return number if number.startswith("-") or float(number) == 0 else f"+{number}"


def _ends(one: Interval) -> dict[str, float]:
    return {"best": one.best, "low": one.low, "high": one.high}


def _for(whose: Sequence[str], letters: Sequence[str]) -> str:
    return "" if len(whose) == len(letters) else f"{' and '.join(whose)}: "


def _short(name: str) -> str:
    return name if len(name) <= 44 else name[:43] + "\N{HORIZONTAL ELLIPSIS}"
