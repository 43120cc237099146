"""The answer to a rigger: what a set-up does, how sure that is, and what to measure first."""

import csv
import io
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bandwork.choice import misfit
from bandwork.doubt import INPUTS, Spread, measure_next, monte_carlo
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.rubber import handbook_rubber
from bandwork.setup import Prediction, predict, reading
from bandwork.validation import FloatArray, InputError
from bandwork.workshop.files import GunFile, named, reworded, unusual
from bandwork.workshop.lines import wrapped
from bandwork.workshop.quantities import Units, figures
from bandwork.writing import safe_cell

GROUPS: dict[str, tuple[str, ...]] = {
    "Load at the notch": ("load", "load_spare", "first_reach", "reach_spare", "hand_over_load"),
    "Band and barrel": ("stretch_ratio", "stored_energy", "barrel_safety_factor"),
    "Shot": ("muzzle_speed", "efficiency", "recoil_speed", "peak_push", "hand_push",
             "flex_ratio"),
    "Reach and drop": ("reach_from_muzzle", "reach_from_diver", "speed_at_reach", "time_to_reach",
                       "energy_at_reach", "drop_at_reach", "holdover_at_reach", "speed_at_fish",
                       "drop_at_fish", "practical_range"),
    "Floats and points": ("net_force_shaft_in", "net_force_shaft_out", "grip_moment",
                          "angle_shaft_in", "belt_lead"),
    "Line": ("line_length", "end_tension", "line_margin", "working_load"),
}
"""The results that an answer shows, as attributes of `Prediction`, under their headings."""

LABELS = {
    "hand_push": "part of that push on the hand", "speed_at_reach": "speed at the line's end",
    "time_to_reach": "time to the line's end", "energy_at_reach": "energy at the line's end",
    "drop_at_reach": "drop at the line's end", "holdover_at_reach": "holdover at the line's end",
    "belt_lead": "gun weighed in belt lead", "line_margin": "line's strength over its end pull",
}
"""Labels of results whose usual ones do not stand alone."""

HOW_TO_MEASURE = {
    "tube_stiffness": "pull your tube on a luggage scale, then `bandwork fit`",
    "temperature_share": "pull the same tube in cold and in warm water",
    "batch_length_spread": "pull the band that you tied, not another from the roll",
    "ageing_loss": "pull an old band and a new one of the same cut",
    "sheave_friction": "pull slowly and let back slowly, and compare the two loads",
    "hysteresis_loss": "film a shot, frame by frame, for the speed at the muzzle",
    "drag_nose": "film a shot for the time to the target",
    "drag_wing": "film a shot for the time to the target",
    "drag_cross_flow": "shoot at a target and measure the drop",
    "drag_line": "film a shot for the time to the target",
    "handle_mass": "weigh the handle",
    "handle_volume": "dip the handle and measure the water that it pushes aside",
    "muzzle_mass": "weigh the muzzle",
    "muzzle_volume": "dip the muzzle and measure the water that it pushes aside",
    "breaking_strength": "read the spool, or break a piece of the line",
    "line_stiffness": "hang a weight on a long piece of the line",
}
"""By uncertain input: what to do at the bench to know it better."""

LEVEL = 0.9
"""Part of the draws that an interval holds."""
DRAWS = 2000
"""How many draws an interval comes from."""

_ASKED_FIRST = "load"
_LABELS = 42


@dataclass(frozen=True)
class Row:
    """One result as people read it.

    Attributes
    ----------
    group : str
        The heading it stands under.
    key : str
        Attribute of `Prediction`.
    label : str
        In words.
    number : float
        Best value [`unit`].
    low, high : float or None
        Ends of its interval [`unit`]; None where none was asked for.
    unit : str
        As people read it, such as "kgf" or "times".
    digits : int
        After the decimal point, as people read it [1].
    """

    group: str
    key: str
    label: str
    number: float
    low: float | None
    high: float | None
    unit: str
    digits: int

    def words(self) -> str:
        """Return number, unit and interval, such as "47.0 kgf (40.5 to 64.7)".

        Returns
        -------
        str
            With "from what was given" instead of an interval whose ends read alike.
        """
        told = f"{figures(self.number, self.digits)} {self.unit}"
        if self.low is None or self.high is None:
            return told
        low, high = (figures(end, self.digits) for end in (self.low, self.high))
        return f"{told}, from what was given" if low == high else f"{told} ({low} to {high})"


def result_row(key: str, best: float, interval: Interval | None, units: Units,
               group: str = "") -> Row:
    """Return a result of the library as people read it.

    Parameters
    ----------
    key : str
        Numeric attribute of `Prediction`.
    best : float
        [SI].
    interval : Interval or None
        [SI].
    units : Units
        In which it is read.
    group : str
        The heading that it stands under.

    Returns
    -------
    Row

    Raises
    ------
    InputError
        If there is no such number.
    """
    label, metric, factor, digits = reading(key)
    unit, other, places = units.of(metric, digits)
    if unit != metric:
        factor, digits = other, places
    low, high = (None, None) if interval is None else (interval.low * factor,
                                                       interval.high * factor)
    return Row(group, key, LABELS.get(key, label), best * factor, low, high, unit, digits)


@dataclass(frozen=True)
class Answer:
    """What a set-up does, how sure that is, and what to measure first.

    Attributes
    ----------
    gun : GunFile
        The set-up as given.
    units : Units
        In which people read it.
    prediction : Prediction
        With every input at its best value; numbers in SI.
    intervals : dict of str to Interval
        By result [SI]; empty where none were asked for. Those of the line's and the barrel's
        strength hold the handbook's range of strengths too.
    chances : dict of str to float
        Part of the draws in which the diver can load and reach it ("loads"), and in which the gun
        floats ("floats_shaft_in", "floats_shaft_out") [1]; empty without intervals.
    measure_first : str
        One sentence; "" without intervals.
    cautions : tuple of str
        Worst first, then those that always hold.
    """

    gun: GunFile
    units: Units
    prediction: Prediction
    intervals: dict[str, Interval]
    chances: dict[str, float]
    measure_first: str
    cautions: tuple[str, ...]

    def rows(self) -> tuple[Row, ...]:
        """Return the results in the order in which a rigger asks for them.

        Returns
        -------
        tuple of Row
        """
        return tuple(result_row(key, _best(getattr(self.prediction, key)),
                                self.intervals.get(key), self.units, group)
                     for group, names in GROUPS.items() for key in names)

    def remarks(self) -> dict[str, str]:
        """Return what is said in words, by heading.

        Returns
        -------
        dict of str to str
            A sentence or two for each heading that has something to say.
        """
        told = self.prediction
        who = self.gun.made_for or "this diver"
        load, first = (self.intervals.get(name) for name in ("load", "first_reach"))
        loads = (f"{who} brings {self.units.words(told.load + told.load_spare, 'kgf')} and "
                 f"reaches {self.units.words(told.first_reach + told.reach_spare, 'cm')}: ")
        if load and first:
            loads += (f"loads it in {of_hundred(self.chances['loads'])} draws. To be nearly sure, "
                      f"it takes {self.units.words(load.high, 'kgf')} and a reach of "
                      f"{self.units.words(first.high, 'cm')}.")
        else:
            loads += ("enough" if min(told.load_spare, told.reach_spare) >= 0
                      else "not enough") + ", with every input at its best value."
        floats = " ".join(self._floating(way) for way in ("in", "out"))
        points = "up" if told.angle_shaft_in > 0 else "down"
        return {
            "Load at the notch": loads[0].upper() + loads[1:],
            "Band and barrel": f"The barrel is of {told.barrel_material}.",
            "Shot": "A shaft is taken to whip when pushed with more than "
                    f"{lookup('shaft.whip_ratio').value:g} times what it bears between its guides "
                    "(assumed).",
            "Reach and drop": f"What limits the practical range: {told.limited_by}.",
            "Floats and points": f"{floats} Let go with the shaft in, its muzzle points {points}.",
            "Line": f"Thrown by a swing over the muzzle: {told.wrap_over_muzzle}; over the band: "
                    f"{told.wrap_over_band}."}

    def _floating(self, way: str) -> str:
        floats = getattr(self.prediction, f"floats_shaft_{way}")
        told = f"Shaft {way}: {'floats' if floats else 'sinks'}"
        if not self.chances:
            return f"{told}."
        part = self.chances[f"floats_shaft_{way}"]
        return f"{told} in {of_hundred(part if floats else 1 - part)} draws."

    def text(self) -> str:
        """Return the answer as a rigger reads it.

        Returns
        -------
        str
            As wide as the terminal, 92 letters at most.
        """
        made_for = f", for {self.gun.made_for}" if self.gun.made_for else ""
        lines = [wrapped(f"{self.gun.name}{made_for}")]
        lines.append(wrapped(
            f"Best value (low to high): between them lie {LEVEL * 100:.0f} % of {DRAWS} draws of "
            "what is uncertain."
            if self.intervals else "Best values only; how far off they may be is not shown."))
        if self.gun.rubber_told:
            lines.append(wrapped(self.gun.rubber_told))
        remarks = self.remarks()
        group = ""
        for row in self.rows():
            if row.group != group:
                group = row.group
                lines += ["", group]
                lines += [wrapped(remarks[group], "  ", "  ")] if group in remarks else []
            label = row.label[0].upper() + row.label[1:]
            lines.append(wrapped(f"{label:<{_LABELS}}{row.words()}", "  ", " " * (_LABELS + 2)))
        if self.measure_first:
            lines += ["", wrapped(self.measure_first)]
        lines += ["", "Cautions", *(wrapped(one, "! ", "  ") for one in self.cautions)]
        return "\n".join(lines)

    def as_json(self) -> str:
        """Return the answer for programs; `answer_schema` describes it.

        Returns
        -------
        str
            JSON, with a line end.
        """
        told = self.prediction
        return json.dumps({
            "format": FORMAT, "name": self.gun.name, "made_for": self.gun.made_for,
            "file": self.gun.path.name, "rubber": self.gun.rubber_name,
            "units": self.units.system, "level": LEVEL if self.intervals else None,
            "inputs": self.gun.given,
            "results": [{"key": row.key, "label": row.label, "number": row.number,
                         "low": row.low, "high": row.high, "unit": row.unit}
                        for row in self.rows()],
            "verdicts": {name: getattr(told, name) for name in _VERDICTS},
            "chances": self.chances, "measure_first": self.measure_first,
            "cautions": list(self.cautions)}, indent=1, ensure_ascii=False, allow_nan=False) + "\n"

    def as_csv(self) -> str:
        """Return the answer for spreadsheets: inputs, results, verdicts and cautions, a row each.

        Returns
        -------
        str
            CSV with a heading; no cell is a formula.
        """
        table = io.StringIO()
        out = csv.writer(table, lineterminator="\n")
        out.writerow(CSV_COLUMNS)
        for key, written in self.gun.given.items():
            out.writerow(["input", safe_cell(key), "", safe_cell(written), "", "", ""])
        for row in self.rows():
            out.writerow(["result", row.key, row.label, row.number, row.low, row.high, row.unit])
        for name in _VERDICTS:
            out.writerow(["verdict", name, name.replace("_", " "),
                          getattr(self.prediction, name), "", "", ""])
        for one in (*([self.measure_first] if self.measure_first else ()), *self.cautions):
            out.writerow(["caution", "", safe_cell(one), "", "", "", ""])
        return table.getvalue()


FORMAT = "bandwork answer 1"
CSV_COLUMNS = ("kind", "key", "label", "number", "low", "high", "unit")
_VERDICTS = ("barrel_material", "limited_by", "floats_shaft_in", "floats_shaft_out",
             "wrap_over_muzzle", "wrap_over_band")


SURELY = 0.9
"""Part of the draws in which a diver must load a gun, or the answer warns."""


def answer(gun: GunFile, units: Units, quick: bool = False) -> Answer:
    """Return what a set-up does, with an interval on every number.

    Parameters
    ----------
    gun : GunFile
        The set-up.
    units : Units
        In which people read it.
    quick : bool
        Whether to leave out intervals and what to measure first.

    Returns
    -------
    Answer

    Raises
    ------
    InputError
        As `setup.predict`, naming the file; also if the shaft does not fit the barrel.
    """
    try:
        if unfit := misfit(gun.setup):
            raise InputError(f"[shaft] and [barrel] do not go together: {unfit[0].lower()}"
                             f"{unfit[1:-1]}; look at both lengths, or write how far your shaft "
                             "reaches past the roller as overhang under [shaft].")
        told = predict(gun.setup, gun.quarry, gun.assumptions)
    except InputError as problem:
        raise named(gun.path, problem) from problem
    cautions = [*_of_the_rubber(gun, told.stretch_ratio), *told.cautions]
    intervals: dict[str, Interval] = {}
    chances: dict[str, float] = {}
    first = ""
    if not quick:
        asked = [name for names in GROUPS.values() for name in names]
        try:
            spread = drawn_spread(gun, asked)
            intervals = {name: around(getattr(told, name), one)
                         for name, one in spread.intervals.items()}
            chances = _chances(spread.draws)
            first = _first(gun)
            cautions[:0] = hard_to_load(gun, told, chances["loads"])
        except InputError as problem:
            cautions.insert(0, "How sure these numbers are could not be worked out, so take none "
                            f"of them for sure: {reworded(str(problem.__cause__ or problem))}")
    return Answer(gun, units, told, intervals, chances, first, tuple(cautions))


def hard_to_load(gun: GunFile, told: Prediction, loads: float) -> list[str]:
    """Return the caution for a diver who could often not load what has strength to spare.

    Parameters
    ----------
    gun : GunFile
        As read.
    told : Prediction
        Of its best values, which has its own caution where these are too much for the diver.
    loads : float
        Part of the draws in which the diver loads it [1].

    Returns
    -------
    list of str
        One sentence, or none.
    """
    if loads >= SURELY or min(told.load_spare, told.reach_spare) < 0:
        return []
    return [f"This diver loads it in {of_hundred(loads)} draws only: "
            + ("tie the band longer, or measure first what makes most of the doubt."
               if gun.rubber else "until the tube is measured, tie the band longer.")]


def _of_the_rubber(gun: GunFile, stretch: float) -> list[str]:
    """Return what is to be said against a measured rubber in this gun."""
    rubber, band = gun.rubber, gun.setup.band
    if rubber is None:
        return []
    found = []
    if rubber.longest_stretch and stretch > rubber.longest_stretch:
        found.append(f"The loaded leg is stretched {stretch:.2f} times, the pull test of this "
                     f"rubber ended at {rubber.longest_stretch:.2f}: the load is a guess. Pull the "
                     "tube further, in steps.")
    sizes = [(old, new) for old, new in ((rubber.outer_diameter, band.outer_diameter),
                                         (rubber.bore, band.bore)) if old is not None]
    if any(abs(new - old) > _ALIKE for old, new in sizes):
        measured, here = (" by ".join(f"{size * 1000:.1f} mm" for size in one)
                          for one in zip(*sizes, strict=True))
        found.append(f"The rubber was measured on a tube of {measured}, this band has {here}: "
                     "another tube may pull otherwise. Measure this one.")
    at = min(_COMPARED_AT, rubber.law.usable_stretch)
    pulls = [law.engineering_stress(at) for law in (rubber.law, handbook_rubber())]
    return found + unusual(float(pulls[0] / pulls[1]))


_ALIKE = 0.0006
"""Within which two callipers' readings of one soft tube may differ [m]."""
_COMPARED_AT = 3.0
"""Stretch at which a law is held against the test rubber [1]."""


def _best(value: Any) -> float:
    return value.best if isinstance(value, Interval) else float(value)


def drawn_spread(gun: GunFile, names: Sequence[str]) -> Spread:
    """Return how far results may be off.

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
        If a draw leaves what the library covers.
    """
    return monte_carlo(gun.setup, gun.doubt, names=names, draws=DRAWS, level=LEVEL,
                       quarry=gun.quarry, assumptions=gun.assumptions)


def around(value: Any, drawn: Interval) -> Interval:
    """Return the interval of the draws around the prediction's own value, or its own interval.

    Parameters
    ----------
    value : float or Interval
        Of an attribute of `Prediction` [SI].
    drawn : Interval
        Of the draws [SI].

    Returns
    -------
    Interval
        [SI].
    """
    best = _best(value)
    own = value if isinstance(value, Interval) else drawn
    return Interval(min(drawn.low, own.low, best), best, max(drawn.high, own.high, best))


def loads_in(draws: dict[str, FloatArray]) -> float:
    """Return the part of the draws in which the diver has the strength and the reach.

    Parameters
    ----------
    draws : dict of str to ndarray
        Of load_spare [N] and reach_spare [m].

    Returns
    -------
    float
        [1].
    """
    return float(((draws["load_spare"] >= 0) & (draws["reach_spare"] >= 0)).mean())


def _chances(draws: dict[str, FloatArray]) -> dict[str, float]:
    return {"loads": loads_in(draws),
            **{f"floats_shaft_{way}": float((draws[f"net_force_shaft_{way}"] > 0).mean())
               for way in ("in", "out")}}


def of_hundred(part: float) -> str:
    """Return a part of the draws in words, which says all or no only of all or none.

    Parameters
    ----------
    part : float
        [1].

    Returns
    -------
    str
        Such as "29 of 100".
    """
    return "all" if part == 1 else "no" if part == 0 else \
        f"{min(max(round(part * 100), 1), 99)} of 100"


def _first(gun: GunFile) -> str:
    """Say which measurement would make the load surer than any other."""
    try:
        shares = measure_next(gun.setup, _ASKED_FIRST, gun.doubt, quarry=gun.quarry,
                              assumptions=gun.assumptions)
    except InputError:
        return "Measure first: nothing that is measured now would make the load surer."
    name, share = next(iter(shares.items()))
    quantity = lookup(INPUTS[name].key).quantity
    return (f"Measure first what makes {min(share.total, 1) * 100:.0f} % of the load's spread: "
            f"{quantity[0].lower()}{quantity[1:]}. How: {HOW_TO_MEASURE[name]}."
            + ("" if name == "tube_stiffness" else " Write the lowest, the best and the highest "
               f"that it can be as {name} under [doubt]."))


def answer_schema() -> dict[str, Any]:
    """Return the JSON schema of `Answer.as_json`.

    Returns
    -------
    dict
        Of draft 2020-12.
    """
    number, end, text = {"type": "number"}, {"type": ["number", "null"]}, {"type": "string"}
    result = {"key": text, "label": text, "number": number, "low": end, "high": end, "unit": text}
    part = {"type": "number", "minimum": 0, "maximum": 1}
    verdicts = {name: {"type": "boolean"} if name.startswith("floats") else text
                for name in _VERDICTS}
    properties: dict[str, Any] = {
        "format": {"const": FORMAT}, "name": text, "made_for": text, "file": text, "rubber": text,
        "units": {"enum": ["metric", "us"]}, "level": {"type": ["number", "null"]},
        "inputs": {"type": "object", "additionalProperties": text},
        "results": {"type": "array", "items": _closed(result)}, "verdicts": _closed(verdicts),
        "chances": {"type": "object", "additionalProperties": part}, "measure_first": text,
        "cautions": {"type": "array", "items": text, "minItems": 1}}
    return {"$schema": "https://json-schema.org/draft/2020-12/schema",
            "title": "Bandwork answer", **_closed(properties)}


def _closed(properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "additionalProperties": False, "required": list(properties),
            "properties": properties}
