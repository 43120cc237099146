"""A pull test reduced: the tube's factor or a law of its own, what stands out, and its season.

The same method as the book's page on the pull test: `doubt.calibrate` over the readings, and on top
of it what all readings share.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np

from bandwork.components import Band, Barrel, Diver, Shaft, ShootingLine, Water
from bandwork.doubt import Measurements, calibrate
from bandwork.handbook import lookup
from bandwork.interval import Interval, combine
from bandwork.rubber import LAWS, GentGent, RubberFit, RubberLaw, fit_rubber, handbook_rubber
from bandwork.setup import Setup
from bandwork.stretch import temperature_factor
from bandwork.units import inch_from_metre, newton_from_kgf
from bandwork.validation import FloatArray, InputError, shown
from bandwork.workshop.files import unusual
from bandwork.workshop.found import Found, Line, around, exactly
from bandwork.workshop.measured import Measured

SCALE_DOUBT = 0.02
MARKS_DOUBT = 0.0005
CALLIPER_DOUBT = 0.0001
"""What all readings share: a scale's relative error, marks and calliper [m]; the page's numbers."""

BACK_DOUBT_KGF = 0.2
LEAST_STRETCH = 1.1
_JUDGED = 1.25
_OUTLYING = 3.5
_LEAST_OUTLYING = 0.06
_SLIP = 4.0
_LAW_READINGS = 7
_LAW_BETTER = 0.7
_LEFT_OUT = 25
_A_TENTH = 0.1
_LEG = 0.65


class Tube(NamedTuple):
    """The tube that was pulled.

    Attributes
    ----------
    outer, bore : float
        Diameters when relaxed [m].
    relaxed : float
        Distance of the marks when relaxed [m].
    """

    outer: float
    bore: float
    relaxed: float


@dataclass(frozen=True)
class PullFit:
    """What a pull test says.

    Attributes
    ----------
    name : str
        What the tube is called.
    tube : Tube
    lines : tuple of int
        The readings' lines in the file.
    stretch : ndarray
        Stretch ratios [1].
    pull : ndarray
        Pull of one tube [N].
    readings : Interval
        Factor of the test rubber, by the scatter of the readings alone [1].
    factor : Interval
        The same with what all readings share [1].
    law : RubberFit or None
        A law of its own, where it was chosen.
    stiffness : Interval
        Pull of the tube over that of the law, or of the test rubber times the factor [1].
    outliers : dict of int to float
        By line, how far the reading lies off its neighbours, relative [1].
    found : Found
        The same for people.
    """

    name: str
    tube: Tube
    lines: tuple[int, ...]
    stretch: FloatArray
    pull: FloatArray
    readings: Interval
    factor: Interval
    law: RubberFit | None
    stiffness: Interval
    outliers: dict[int, float]
    found: Found = field(repr=False)


def gun_of(tube: Tube, rubber: RubberLaw) -> Setup:
    """Return a gun with a band of this tube, for `calibrate`; pulls ask for its band alone.

    Parameters
    ----------
    tube : Tube
    rubber : RubberLaw

    Returns
    -------
    Setup
    """
    return Setup(Band(tube.outer, tube.bore, _LEG, rubber=rubber), Shaft(0.0075, 1.60),
                 Barrel(1.20), ShootingLine(0.0017), Water(temperature=18), Diver(500, 0.9))


def as_pulls(stretch: FloatArray, pull: FloatArray, setup: Setup) -> list[tuple[float, float]]:
    """Return what a gun's whole band would do at the same stretches, for `Measurements`.

    Parameters
    ----------
    stretch : ndarray
        [1].
    pull : ndarray
        Of one tube [N].
    setup : Setup
        The gun.

    Returns
    -------
    list of (float, float)
        Length of one leg [m], pull of all legs [N].
    """
    band = setup.band
    return [(float(band.relaxed_length * s), float(band.legs * f))
            for s, f in zip(stretch, pull, strict=True)]


def tube_of(measured: Measured) -> Tube:
    """Return the tube of a pull test.

    Parameters
    ----------
    measured : Measured

    Returns
    -------
    Tube

    Raises
    ------
    InputError
        If its diameters or the relaxed distance of the marks are missing or cannot be right.
    """
    relaxed, outer, bore = measured.need("relaxed", "outer", "bore")
    try:
        Band(outer, bore, _LEG)
    except InputError as problem:
        raise InputError(f"{measured.path.name}: the tube's {problem}") from None
    if not 0.02 <= relaxed <= 2:
        raise InputError(f"{measured.path.name}: the marks are {relaxed * 100:g} cm apart when "
                         "relaxed; accepted is 2 to 200 cm. Check the number and its unit.")
    return Tube(outer, bore, relaxed)


def readings_of(measured: Measured, tube: Tube) -> tuple[FloatArray, FloatArray, FloatArray,
                                                         tuple[int, ...]]:
    """Return stretch ratios, pulls, pulls when let back (nan for none) and lines, by stretch.

    Parameters
    ----------
    measured : Measured
        A pull test.
    tube : Tube

    Returns
    -------
    tuple
        Stretch [1], pull [N], let back [N], line numbers.

    Raises
    ------
    InputError
        If a reading cannot be right, naming its line.
    """
    rows: list[tuple[float, float, float, int]] = []
    for row in measured.rows:
        if "length" in row.values:
            s = row.one("length") / tube.relaxed
        elif "stretch" in row.values:
            s = row.one("stretch")
        elif "extension" in row.values:
            s = 1 + row.one("extension") / tube.relaxed
        else:
            s = 1 + row.one("elongation") / 100
        pull = row.one("pull")
        if not 0.98 <= s <= 12:
            raise InputError(f"{measured.path.name} line {row.line}: the tube would be stretched "
                             f"to {s:.3g} times its relaxed length; accepted is 1 to 12. Check the "
                             "marks, their relaxed distance and the units.")
        if not 0 <= pull <= 5000:
            raise InputError(f"{measured.path.name} line {row.line}: a pull of {pull:.4g} N; "
                             "accepted is 0 to 5000 N. Check the number and its unit.")
        rows.append((float(s), pull, row.values.get("back", (np.nan,))[0], row.line))
    rows.sort()
    numbers = np.array([row[:3] for row in rows])
    return (np.maximum(numbers[:, 0], 1), numbers[:, 1], numbers[:, 2],
            tuple(line for *_, line in rows))


def factor_of(tube: Tube, stretch: FloatArray, pull: FloatArray, law: RubberLaw
              ) -> tuple[Interval, Interval]:
    """Return the pull of a tube over that of a law: by the readings, and with what they share.

    Parameters
    ----------
    tube : Tube
    stretch : ndarray
        Stretch ratios [1], above 1.
    pull : ndarray
        Of one tube [N].
    law : RubberLaw
        With which it is compared.

    Returns
    -------
    tuple of (Interval, Interval)
        At 95 % [1].

    Raises
    ------
    InputError
        If the law ends before the longest stretch, or the pull is of another size altogether.
    """
    def again(scale: float = 1.0, mark: float = 0.0, diameter: float = 0.0) -> float:
        area = Band(tube.outer + diameter, tube.bore, _LEG).cross_section
        s = stretch * tube.relaxed / (tube.relaxed + mark)
        r = scale * pull / (law.engineering_stress(s) * area)
        return float((r**2).sum() / r.sum())

    about = again()
    if not 0.25 <= about <= 4:
        raise InputError(f"the readings are about {about:.2g} times what the test rubber pulls; "
                         "accepted is 0.25 to 4. Check the units of marks, diameters and pull.")
    setup = gun_of(tube, law)
    readings = calibrate(setup, Measurements(pulls=as_pulls(stretch, pull, setup))
                         ).estimates["stiffness"]
    whole = combine(readings.best, {
        "readings": (readings.low, readings.high),
        "scale": (again(scale=1 - SCALE_DOUBT), again(scale=1 + SCALE_DOUBT)),
        "marks": (again(mark=-MARKS_DOUBT), again(mark=MARKS_DOUBT)),
        "calliper": (again(diameter=-CALLIPER_DOUBT), again(diameter=CALLIPER_DOUBT)),
    })
    return readings, whole


def outlying(stretch: FloatArray, ratio: FloatArray, lines: Sequence[int]
             ) -> dict[int, float]:
    """Return the readings that lie off their neighbours.

    A line is laid through the readings over the test rubber, against the logarithm of stretch,
    by the median of all slopes (Theil and Sen); what is left is judged by the median absolute
    deviation: off is what lies farther than 3.5 scaled deviations and than 6 %, twice a reading's
    doubt.

    Parameters
    ----------
    stretch : ndarray
        Stretch ratios [1].
    ratio : ndarray
        Readings over the test rubber [1].
    lines : sequence of int
        Their lines.

    Returns
    -------
    dict of int to float
        By line, how far off, relative [1]; empty for fewer than five readings.
    """
    if len(ratio) < 5 or np.ptp(stretch) == 0:
        return {}
    from scipy.stats import theilslopes

    along = np.log(stretch)
    slope, level, *_ = theilslopes(ratio, along)
    off = ratio / (level + slope * along) - 1
    off = off - np.median(off)
    limit = max(_OUTLYING * 1.4826 * float(np.median(np.abs(off))), _LEAST_OUTLYING)
    return {line: float(one) for line, one in zip(lines, off, strict=True) if abs(one) > limit}


def _left_out(stretch: FloatArray, pull: FloatArray, area: float, law: type[RubberLaw] | None
              ) -> float:
    """Return the root mean square of the relative error of readings, each fitted without it."""
    test = handbook_rubber().engineering_stress(stretch) * area
    errors = []
    for at in np.unique(np.linspace(0, len(pull) - 1, _LEFT_OUT).astype(int)):
        rest = np.arange(len(pull)) != at
        if law is None:
            r = pull[rest] / test[rest]
            told = float((r**2).sum() / r.sum()) * test[at]
        else:
            rubber = fit_rubber(stretch[rest], pull[rest] / area, law).rubber
            if stretch[at] > rubber.usable_stretch:
                return np.inf
            told = rubber.engineering_stress(stretch[at]) * area
        errors.append(pull[at] / told - 1)
    return float(np.sqrt(np.mean(np.square(errors))))


def _choose(stretch: FloatArray, pull: FloatArray, area: float, wanted: str
            ) -> tuple[RubberFit | None, str]:
    """Return the law of its own, or None for the factor, and why."""
    if wanted == "factor":
        return None, "The factor of the test rubber is kept, as you said."
    if wanted != "auto":
        known = {name.casefold(): law for name, law in LAWS.items()}
        if wanted.casefold() not in known:
            raise InputError(f"--law is {wanted!r}; accepted are auto, factor, {', '.join(known)}.")
        law = known[wanted.casefold()]
        return fit_rubber(stretch, pull / area, law), f"The {law.name} law is fitted, as you said."
    used = (stretch >= LEAST_STRETCH) & (pull > 0)
    if used.sum() < _LAW_READINGS:
        return None, (f"A law of its own is fitted from {_LAW_READINGS} readings on; there are "
                      f"{used.sum()}, so the factor of the test rubber is kept.")
    plain = _left_out(stretch[used], pull[used], area, None)
    try:
        own = _left_out(stretch[used], pull[used], area, GentGent)
        fit = fit_rubber(stretch, pull / area, GentGent)
    except InputError:
        return None, ("No Gent-Gent law of its own follows these readings, so the factor of the "
                      "test rubber is kept.")
    told = (f"Foretold from the others, a reading is off by {100 * own:.1f} % with a Gent-Gent law "
            f"of its own and by {100 * plain:.1f} % with the factor")
    if own < _LAW_BETTER * plain:
        return fit, f"{told}: the law is clearly better and is taken."
    return None, f"{told}: the law is not clearly better, so the factor of the test rubber is kept."


def fit_pull(measured: Measured, law: str = "auto", name: str = "") -> PullFit:
    """Return what a pull test says.

    Parameters
    ----------
    measured : Measured
        A pull test.
    law : str
        "auto", "factor", or the name of a law of `rubber.LAWS`. "auto" takes a Gent-Gent law of
        its own for seven readings or more, if with it each reading is foretold from the others
        with less than 0.7 times the error of the factor.
    name : str
        What to call the tube; what the file says unless given.

    Returns
    -------
    PullFit

    Raises
    ------
    InputError
        If the file lacks what is needed, or the readings cannot be right.
    """
    tube = tube_of(measured)
    stretch, pull, back, lines = readings_of(measured, tube)
    used = (stretch >= LEAST_STRETCH) & (pull > 0)
    if used.sum() < 3:
        raise InputError(f"{measured.path.name} holds {int(used.sum())} of the three readings from "
                         f"stretch {LEAST_STRETCH} on that are needed; pull farther, or more "
                         "often.")
    s, f, at = stretch[used], pull[used], np.array(lines)[used]
    test = handbook_rubber()
    band = Band(tube.outer, tube.bore, _LEG)
    area = float(band.cross_section)
    if s.max() > test.usable_stretch:
        raise InputError(f"{measured.path.name} line {at[np.argmax(s)]}: stretch {s.max():.3g} is "
                         f"past {test.usable_stretch:.3g}, where the test rubber ends; check the "
                         "marks, or leave the line out with --without.")
    ratio = f / (test.engineering_stress(s) * area)
    usual = float(np.median(ratio))
    far = int(np.argmax(ratio))
    if 0.25 <= usual <= 4 and ratio[far] > _SLIP * usual:
        raise InputError(f"{measured.path.name} {_lined(at[[far]].tolist())}: the pull is "
                         f"{ratio[far] / usual:.2g} times what the other readings say of it. Look "
                         "for a slip, such as a decimal mark that was left out, or leave it out "
                         f"with --without {at[far]}.")
    readings, factor = factor_of(tube, s, f, test)
    judged = s >= _JUDGED
    outliers = outlying(s[judged], ratio[judged], at[judged].tolist())
    fit, why = _choose(stretch, pull, area, law)
    stiffness = factor.map(lambda one: one / factor.best)
    if fit is not None:
        own, shared = factor_of(tube, s, f, fit.rubber)
        stiffness = Interval(min(1.0, shared.low / own.best), 1.0, max(1.0, shared.high / own.best))
    called = name or measured.texts.get("band", "") or measured.path.stem
    told = fit.rubber.engineering_stress(s) if fit else factor.best * test.engineering_stress(s)
    miss = f / (told * area) - 1
    worst = int(np.argmax(np.abs(np.where(judged, miss, 0))))
    shown = [Line("factor", "factor: times the test rubber", factor),
             Line("factor_readings", "  by the readings alone", readings),
             Line("worst", f"worst reading, line {at[worst]}", exactly(float(miss[worst])), "%", 1),
             Line("longest_stretch", "pulled to stretch", exactly(float(stretch.max())))]
    if fit is not None:
        shown += _parameters(fit)
        shown.append(Line("stiffness", "times its own law", stiffness))
    says = [why]
    kept = _kept(stretch, pull, back)
    if kept is not None:
        shown.append(Line("kept", "kept of the work, let back slowly", kept, "%", 0))
        says.append("Kept is for a tube pulled and let back slowly; a shot is asked on the page on "
                    "muzzle speed.")
    says.insert(0, f"The tube has {_millimetres(tube.outer)} outside and "
                f"{_millimetres(tube.bore)} of bore; its marks are {tube.relaxed * 100:.1f} cm "
                f"({inch_from_metre(tube.relaxed):.1f} in) apart when relaxed.")
    left = [int(line) for line, ok in zip(lines, used, strict=True) if not ok]
    if left:
        says.append(f"Not in the factor, as marks tell little there: {_lined(left)}, below stretch "
                    f"{LEAST_STRETCH}.")
    cautions = unusual(factor.best)
    if abs(miss[worst]) > _NO_RUBBER:
        cautions.append(f"Line {at[worst]} is {100 * miss[worst]:+.0f} % off what rubber pulls: "
                        "is this the distance of the marks, and not what was added to it?")
    cautions += _stand_out(outliers, measured)
    cautions += _impossible(stretch, pull, back, lines)
    cautions += _missing(measured, tube, float(stretch.max()), fit)
    found = Found(
        f"Pull test of {called}, {measured.path.name}", "pull", tuple(shown), tuple(says),
        tuple(cautions), measured.habits,
        {"line": tuple(map(float, lines)), "stretch": tuple(map(float, stretch)),
         "pull": tuple(map(float, pull)),
         "let_back": tuple(float(one) for one in back[~np.isnan(back)]),
         "let_back_stretch": tuple(float(one) for one in stretch[~np.isnan(back)]),
         "over_test_rubber": tuple(map(float, ratio))})
    return PullFit(called, tube, tuple(map(int, at)), s, f, readings, factor, fit, stiffness,
                   outliers, found)


_NO_RUBBER = 0.2
"""Farther off than this, relative [1], no rubber's curve lies from the test rubber's."""


def _millimetres(length: float) -> str:
    return f"{length * 1000:.1f} mm ({inch_from_metre(length):.3f} in)"


def _parameters(fit: RubberFit) -> list[Line]:
    found = []
    for (name, one), error in zip(fit.rubber.parameters.items(), fit.standard_errors, strict=True):
        value = float(getattr(fit.rubber, name))
        known = around(value, 1.96 * error) if np.isfinite(error) else exactly(value)
        found.append(Line(name, f"{fit.rubber.name} {name}", known,
                          *(("MPa", 3) if one.unit else ("", 1))))
    return found


def _kept(stretch: FloatArray, pull: FloatArray, back: FloatArray) -> Interval | None:
    """Return the part of the work that the tube kept, where it was let back through its marks."""
    back = back.copy()
    if np.isnan(back[-1]) and not np.isnan(back[:-1]).all():
        back[-1] = pull[-1]
    both = ~np.isnan(back)
    if both.sum() < 3:
        return None
    s, out, home = stretch[both], pull[both], back[both]
    whole = float(np.trapezoid(out, s))
    if whole <= 0 or np.any(np.diff(s) <= 0):
        return None
    weights = np.gradient(s) / whole
    doubt = 2 * float(np.sqrt(2 * (weights**2).sum())) * newton_from_kgf(BACK_DOUBT_KGF)
    return around(1 - float(np.trapezoid(home, s)) / whole, doubt)


def _lined(lines: Sequence[int]) -> str:
    return f"line{'s' if len(lines) > 1 else ''} {', '.join(map(str, lines))}"


def _stand_out(outliers: dict[int, float], measured: Measured) -> list[str]:
    told = [f"line {line} ({100 * off:+.0f} %)" for line, off in outliers.items()]
    if not told:
        return []
    return [f"Off the line through the others: {', '.join(told)}. They are in the result all the "
            f"same. Look for a slip; --without {next(iter(outliers))} leaves one out. (Judged by "
            "3.5 scaled median absolute deviations, 6 % at least.)"]


def _impossible(stretch: FloatArray, pull: FloatArray, back: FloatArray, lines: Sequence[int]
                ) -> list[str]:
    told = [f"Line {line}: let back it pulls "
            + (f"{100 * home / out - 100:.0f} % " if out else "")
            + "harder than pulled out, which rubber does not; one of the two was misread."
            for out, home, line in zip(pull, back, lines, strict=True)
            if not np.isnan(home) and home > 1.02 * out]
    for before, after, low, high, near, far in zip(pull, pull[1:], stretch, stretch[1:], lines,
                                                   lines[1:], strict=False):
        if after < before and high > low:
            told.append(f"Line {far} pulls less than line {near}, though it is stretched farther; "
                        "one of the two was misread.")
    resting = [line for s, out, line in zip(stretch, pull, lines, strict=True)
               if s < 1.01 and out > 2]
    if resting:
        told.append(f"{_lined(resting).capitalize()}: a relaxed tube pulls nothing; was the scale "
                    "at zero?")
    return told


def _missing(measured: Measured, tube: Tube, longest: float, fit: RubberFit | None) -> list[str]:
    told = [] if fit is None else [one for one in fit.cautions if "ended at stretch" not in one]
    if longest < lookup("rule.loaded_stretch").value:
        told.append(f"The pull ended at stretch {longest:.2f}; a loaded band goes further, and "
                    "what is said about it there is a guess.")
    after = measured.shared.get("after")
    if after is not None and abs(after / tube.relaxed - 1) > 0.02:
        told.append(f"The marks were {tube.relaxed * 100:.1f} cm apart before and "
                    f"{after * 100:.1f} cm after: the tube or a mark has moved. Pull again.")
    if "temperature" not in measured.shared:
        told.append("Nobody wrote down how warm the room was, so cold water cannot be allowed for.")
    if not _date_of(measured):
        told.append("Nobody wrote down the date, so a later pull cannot tell what a season took.")
    return told


def _date_of(measured: Measured) -> str:
    return measured.texts.get("date", "")


# --- A season -------------------------------------------------------------------------------------

def by_date(measured: Measured) -> list[Measured]:
    """Return the pull tests of a table that has a column of dates, the oldest first.

    Parameters
    ----------
    measured : Measured
        A pull test.

    Returns
    -------
    list of Measured
        One alone where there is no such column.

    Raises
    ------
    InputError
        If a line has no date where others have one.
    """
    days = [row.texts.get("date", "") for row in measured.rows]
    if not any(days):
        return [measured]
    filled: list[str] = []
    for day, row in zip(days, measured.rows, strict=True):
        if not day and not filled:
            raise InputError(f"{measured.path.name} line {row.line} has no date; write the first "
                             "line's at least.")
        filled.append(day or filled[-1])
    return [replace(measured, rows=tuple(row for row, its in zip(measured.rows, filled, strict=True)
                                         if its == day),
                    texts={**measured.texts, "date": day}) for day in sorted(set(filled))]


def season(tests: Sequence[tuple[Measured, PullFit]]) -> Found:
    """Return what a band has lost from its first pull test to its last, and when to replace it.

    Parameters
    ----------
    tests : sequence of (Measured, PullFit)
        Of one band, two at least, each with its date.

    Returns
    -------
    Found

    Raises
    ------
    InputError
        If a date is missing, two are alike, or the tubes differ.

    Notes
    -----
    The same tube has the same cross-section, so the calliper drops out; a scale that is named
    alike in both drops out too. A straight line through the losses says when a tenth is gone; a
    tenth is the book's choice, common practice, no source.
    """
    dated = []
    for measured, fit in tests:
        if not _date_of(measured):
            raise InputError(f"{measured.path.name} has no date; write \"date: 2026-11-21\" above "
                             "the table, or say --given.")
        dated.append((date.fromisoformat(_date_of(measured)), measured, fit))
    dated.sort(key=lambda one: one[0])
    begin, first, fit = dated[0]
    lines, says, cautions, points = [], [], [], []
    for day, measured, later in dated[1:]:
        if day == begin:
            raise InputError(f"{first.path.name} and {measured.path.name} have the same date, "
                             f"{day}; a season needs two.")
        if abs(later.tube.outer / fit.tube.outer - 1) > 0.03:
            raise InputError(f"The tube of {begin} has {fit.tube.outer * 1000:g} mm and that of "
                             f"{day} {later.tube.outer * 1000:g} mm; a season needs the same band.")
        names = [one.texts.get("band", "") for one in (first, measured)]
        if "" not in names and names[0].casefold() != names[1].casefold():
            raise InputError(f"{first.path.name} is of the band {shown(names[0])} and "
                             f"{measured.path.name} of {shown(names[1])}; a season needs the same "
                             "band. If it is, write its name alike in both.")
        points.append(((day - begin).days, _loss(first, fit, measured, later)))
        lines.append(Line(f"loss_{day}", f"lost by {day}", points[-1][1], "%", 0))
    last = points[-1][1]
    warm = [one.shared.get("temperature") for _, one, _ in dated]
    if None in warm:
        cautions.append("How warm the room was is not written down each time; ten degrees make "
                        "about two per cent.")
    scales = {one.texts.get("scale", "") for _, one, _ in dated}
    same = len(scales) == 1 and "" not in scales
    says.append("The same scale each time, so its error drops out." if same else
                "Not the same named scale each time, so each is taken to be off by up to "
                f"{100 * SCALE_DOUBT:g} %; write its name down and use one.")
    says += _when(begin, points, last)
    cautions.append("A nick, a sticky or thin place ends a band at once, whatever it pulls; after "
                    "a season it goes in any case (common practice, no source). Inspection "
                    "decides, not this number.")
    return Found(
        f"Season of {dated[-1][2].name}, {begin} to {dated[-1][0]}", "season", tuple(lines),
        tuple(says), tuple(cautions), (),
        {"days": (0.0, *(float(days) for days, _ in points)),
         "loss": (0.0, *(one.best for _, one in points)),
         "low": (0.0, *(one.low for _, one in points)),
         "high": (0.0, *(one.high for _, one in points))})


def _loss(first: Measured, before: PullFit, measured: Measured, after: PullFit) -> Interval:
    """Return the part of the pull that a tube has lost between two tests."""
    same = before.tube._replace(relaxed=after.tube.relaxed)
    readings, _ = factor_of(same, after.stretch, after.pull, handbook_rubber())
    warmer = 1.0
    cold, warm = (one.shared.get("temperature") for one in (first, measured))
    if cold is not None and warm is not None:
        warmer = temperature_factor(warm, cold).best
    kept = readings.best / before.readings.best / warmer
    ends = {"before": tuple(kept * before.readings.best / end
                            for end in (before.readings.high, before.readings.low)),
            "after": tuple(kept * end / readings.best for end in (readings.low, readings.high))}
    test = handbook_rubber()
    for name, fit, tube in (("marks before", before, before.tube), ("marks after", after, same)):
        moved = [float(np.mean(test.engineering_stress(
            fit.stretch * tube.relaxed / (tube.relaxed + off)) / test.engineering_stress(
                fit.stretch))) for off in (-MARKS_DOUBT, MARKS_DOUBT)]
        ends[name] = (kept * moved[0], kept * moved[1])
    if not first.texts.get("scale") or first.texts["scale"] != measured.texts.get("scale"):
        for name in ("scale before", "scale after"):
            ends[name] = (kept * (1 - SCALE_DOUBT), kept * (1 + SCALE_DOUBT))
    told = combine(kept, {name: (low, high) for name, (low, high) in ends.items()})
    return Interval(1 - told.high, 1 - told.best, 1 - told.low)


def _when(begin: date, points: Sequence[tuple[int, Interval]], last: Interval) -> list[str]:
    tenth = (f"{100 * _A_TENTH:g} % of the pull lost is the book's limit (common practice, no "
             "source)")
    if last.best >= _A_TENTH:
        return [f"{tenth}, and it is gone: make new bands, both legs, and weigh them."]
    if last.high >= _A_TENTH:
        return [f"{tenth}; within the doubt of these readings it may be gone: replace the band, or "
                "pull it again with care."]
    days = np.array([at for at, _ in points], dtype=float)
    rates = [float((days * np.array([getattr(one, end) for _, one in points])).sum()
                   / (days**2).sum()) for end in ("low", "best", "high")]
    when = [begin + timedelta(days=_A_TENTH / rate) if rate > _A_TENTH / 3650 else None
            for rate in rates]
    told = (f"about {when[1]}" if when[1] else "not within ten years")
    early = f", within the doubt as early as {when[2]}" if when[2] else ""
    return [f"{tenth}. A straight line through the losses reaches it {told}{early}; rubber need "
            "not keep to the line, so pull it again before."]
