"""The exercise `stretch`: from a tube's cross-section to a band that its diver can load.

Right answers come from the library. Every slip is the code of somebody who makes that one mistake
and nothing else. The exercise computes with the neo-Hookean law, which can be done by hand; the
pull test at the end is made from the handbook's rubber, so that the fit shows its limits.
"""

import hashlib
from typing import Any

import numpy as np

from bandwork.classroom.checks import (
    ChoiceItem,
    Drawn,
    Exercise,
    FunctionItem,
    IntervalItem,
    Item,
    PlotItem,
    RowItem,
    Slip,
)
from bandwork.classroom.learner import Draw, Numbers
from bandwork.stretch import Band, NeoHookean, handbook_rubber
from bandwork.units import STANDARD_GRAVITY

SAMPLE_CM = 20.0
CURVE_TOLERANCE = 0.02
PULLED_CM = (30.0, 40.0, 50.0, 60.0, 70.0)


def _law(n: Numbers) -> NeoHookean:
    return NeoHookean(n.mu_MPa * 1e6)


def _stress(n: Numbers, s: Any) -> Any:
    """Engineering stress [MPa] of the learner's rubber."""
    return _law(n).engineering_stress(s) / 1e6


def _own_stress(n: Numbers, s: Any) -> Any:
    """Engineering stress [MPa] by the learner's own function of item 3."""
    values = np.array([n["stress"](float(one)) for one in np.atleast_1d(s)])
    return values if np.ndim(s) else float(values[0])


def _work(n: Numbers, s: Any) -> Any:
    """Strain energy density [MJ/m3, the same number as J/cm3] of the learner's rubber."""
    return _law(n).strain_energy_density(s) / 1e6


def _stretch_at(n: Numbers, stress: Any) -> Any:
    """Stretch ratio at an engineering stress [MPa] of the learner's rubber."""
    return _law(n).stretch_ratio(np.asarray(stress) * 1e6)


def _path(n: Numbers) -> float:
    return float(n.upper_run_cm + n.lower_run_cm)


def _disc(diameter_mm: float) -> float:
    return float(np.pi / 4 * diameter_mm**2)


def _area(n: Numbers, outer_mm: float | None = None) -> float:
    """Cross-section of the tube [mm2], from the library."""
    outer = n.outer_diameter_mm if outer_mm is None else outer_mm
    return float(Band(outer / 1e3, n.bore_mm / 1e3, 0.5).cross_section * 1e6)


def _kgf(newton: Any) -> Any:
    return np.asarray(newton) / STANDARD_GRAVITY


def _newton(kgf: Any) -> Any:
    return np.asarray(kgf) * STANDARD_GRAVITY


def _readings(n: Numbers, learner: str) -> dict[str, Any]:
    """Return what follows from the draws, and a pull test: the handbook's rubber with scatter."""
    scatter = [hashlib.sha256(f"{learner}\x1fstretch\x1freading\x1f{cm:g}".encode()).digest()[0]
               for cm in PULLED_CM]
    s = np.array(PULLED_CM) / SAMPLE_CM
    newton = _area(n) * handbook_rubber().engineering_stress(s) / 1e6 * n.test_stiffness
    scattered = newton * (1 + 0.02 * (np.array(scatter) / 127.5 - 1))
    return {
        "upper_run_cm": n.barrel_cm + n.upper_offset_cm,
        "lower_run_cm": n.barrel_cm + n.lower_offset_cm,
        "relaxed_cm": n.barrel_cm / 2 + n.recipe_cm,
        "thin_diameter_mm": n.outer_diameter_mm - 1.5,
        "pulled_cm": PULLED_CM,
        "reading_kgf": tuple(round(float(value), 1) for value in _kgf(scattered)),
    }


CROSS_SECTION = Item(
    key="cross_section", title="Cross-section of the tube", variable="cross_section_mm2",
    unit="mm²", points=1, page="stretch/notch",
    goal="Work out how much rubber pulls from the size of a tube.",
    outside="stretch::a Band as a spring of 4 N/cm, 20 cm long, drawn to 23 cm, J",
    right=_area,
    slips=(
        Slip("bore forgotten", "this is a full rod; the hole in the middle does not pull, so take "
             "its area away.", lambda n: _disc(n.outer_diameter_mm)),
        Slip("radius for diameter", "the formula with the quarter wants diameters; with radii "
             "there is no quarter.", lambda n: _area(n) / 4),
        Slip("diameter as radius", "the diameter went in where a radius belongs; halve it first, "
             "or divide the area by four.", lambda n: _area(n) * 4),
        Slip("square of the difference", "square each diameter first and take the difference "
             "after; the order matters.", lambda n: _disc(n.outer_diameter_mm - n.bore_mm)),
        Slip("sum of areas", "the bore's area was added; it is a hole, so take it away.",
             lambda n: _disc(n.outer_diameter_mm) + _disc(n.bore_mm)),
        Slip("doubled for squared", "the diameters were doubled, not squared; squared is **2, "
             "with two stars.", lambda n: np.pi / 4 * 2 * (n.outer_diameter_mm - n.bore_mm)),
    ),
)

STRETCH_RATIO = Item(
    key="stretch_ratio", title="Stretch ratio when loaded", variable="stretch_ratio",
    unit="", points=1, page="stretch/spring",
    goal="Say how far a band is stretched when the gun is loaded.",
    outside="stretch::test_each_law_follows_treloar_where_it_can",
    right=lambda n: _path(n) / n.relaxed_cm,
    slips=(
        Slip("elongation for stretch ratio", "this is how much longer the leg became; the stretch "
             "ratio compares the whole loaded length with the relaxed one.",
             lambda n: _path(n) / n.relaxed_cm - 1),
        Slip("per cent", "this is in per cent; a stretch ratio is a plain number.",
             lambda n: _path(n) / n.relaxed_cm * 100),
        Slip("elongation in per cent", "this is the elongation in per cent; the stretch ratio is "
             "the whole loaded length over the relaxed one.",
             lambda n: (_path(n) / n.relaxed_cm - 1) * 100),
        Slip("upside down", "the two lengths are the wrong way round; a pulled band has a stretch "
             "ratio above one.", lambda n: n.relaxed_cm / _path(n)),
        Slip("upper run only", "the leg is longer than that: it lies under the barrel too, so add "
             "the lower run.", lambda n: n.upper_run_cm / n.relaxed_cm),
        Slip("resting for loaded path", "this is the stretch before loading; the wishbone is "
             "still at the roller. Add the upper run.", lambda n: n.lower_run_cm / n.relaxed_cm),
        Slip("barrel for path", "the barrel's length is not the leg's path; add the two runs.",
             lambda n: n.barrel_cm / n.relaxed_cm),
        Slip("brackets forgotten", "only the second run was divided; put brackets round the sum "
             "of the two.", lambda n: n.upper_run_cm + n.lower_run_cm / n.relaxed_cm),
    ),
)

STRESS = FunctionItem(
    key="stress", title="Stress at a stretch", variable="engineering_stress_MPa",
    unit="MPa", points=2, page="stretch/work",
    inputs=lambda n: (1.5, 2.0, 3.0, 4.0),
    goal="Use the simplest law of rubber as a function.",
    outside="stretch::test_sympy_derives_the_same_stress_from_three_principal_stretches",
    right=lambda n: lambda s: _stress(n, s),
    slips=(
        Slip("spring's law", "this is a spring: it grows with the elongation alone. Rubber has "
             "the second term, one over the square of the stretch ratio.",
             lambda n: lambda s: n.mu_MPa * (s - 1)),
        Slip("second term forgotten", "take the second term away; without it a relaxed band would "
             "pull.", lambda n: lambda s: n.mu_MPa * s),
        Slip("plus for minus", "the second term is taken away, not added.",
             lambda n: lambda s: n.mu_MPa * (s + s**-2)),
        Slip("square forgotten", "the second term has the square of the stretch ratio below the "
             "line.", lambda n: lambda s: n.mu_MPa * (s - 1 / s)),
        Slip("stress on the thinned tube", "this is the force over the thinned cross-section; we "
             "use the relaxed one, so one factor of the stretch ratio less.",
             lambda n: lambda s: n.mu_MPa * (s - s**-2) * s),
        Slip("energy for stress", "this is the energy per volume; the stress is its slope.",
             lambda n: lambda s: _work(n, s)),
        Slip("brackets forgotten", "the modulus multiplies both terms; put brackets round them.",
             lambda n: lambda s: n.mu_MPa * s - s**-2),
        Slip("doubled for squared", "the stretch ratio was doubled, not squared; squared is "
             "**2, with two stars.", lambda n: lambda s: n.mu_MPa * (s - 1 / s * 2)),
        Slip("the same at every stretch", "your function gives the same stress at every stretch; "
             "use the s of its first line, not your own stretch ratio.",
             lambda n: lambda s: _stress(n, _loaded(n)) + 0 * s),
    ),
)


def _force(n: Numbers, area: float, legs: int = 2) -> float:
    return float(legs * area * _own_stress(n, n["stretch_ratio"]))


def _pair(newton: float) -> tuple[float, float]:
    return newton, newton / STANDARD_GRAVITY


FORCE = RowItem(
    key="force", title="Force at the notch", variable="force",
    unit="N and kgf", points=2, page="stretch/notch",
    uses=("cross_section", "stretch_ratio", "stress"),
    goal="Work out the load at the notch and give it in kgf.",
    outside="stretch::test_the_load_of_the_rule_stands_in_proportion_to_what_people_can",
    right=lambda n: _pair(_force(n, n["cross_section"])),
    slips=(
        Slip("one leg", "this is the pull of one leg; a wishbone has two.",
             lambda n: _pair(_force(n, n["cross_section"], legs=1))),
        Slip("four legs", "this is twice too many legs; one wishbone has two, left and right.",
             lambda n: _pair(_force(n, n["cross_section"], legs=4))),
        Slip("kgf given as N", "the two are in the wrong order: newton first, then kgf.",
             lambda n: _pair(_force(n, n["cross_section"]))[::-1]),
        Slip("multiplied by g", "a kgf is nearly ten newtons, so the number of kgf is the smaller "
             "one: divide.", lambda n: (_force(n, n["cross_section"]),
                                        _force(n, n["cross_section"]) * STANDARD_GRAVITY)),
        Slip("same number twice", "the second number is still in newtons; divide it by standard "
             "gravity.", lambda n: (_force(n, n["cross_section"]),) * 2),
        Slip("bore forgotten", "the force is that of a full rod; take the cross-section without "
             "its hole.", lambda n: _pair(_force(n, _disc(n.outer_diameter_mm)))),
        Slip("elongation for stretch ratio", "the stress was taken at the elongation; take it at "
             "the stretch ratio.",
             lambda n: _pair(2 * n["cross_section"]
                             * _own_stress(n, n["stretch_ratio"] - 1))),
    ),
)


def _energy(n: Numbers, first: float, last: float, legs: int = 2) -> float:
    """Energy [J] between two stretch ratios: MJ/m3 times cm3."""
    volume_cm3 = legs * n["cross_section"] / 100 * n.relaxed_cm
    return float(volume_cm3 * (_work(n, last) - _work(n, first)))


def _loaded(n: Numbers) -> float:
    return _path(n) / n.relaxed_cm


def _resting(n: Numbers) -> float:
    return float(n.lower_run_cm / n.relaxed_cm)


def _pull(n: Numbers) -> float:
    """Force [N] of two legs when loaded."""
    return float(2 * n["cross_section"] * _own_stress(n, _loaded(n)))


ENERGY = Item(
    key="energy", title="Energy that loading adds", variable="energy_J",
    unit="J", points=3, page="stretch/work", uses=("cross_section", "stress"), tolerance=0.02,
    goal="Work out the energy that loading puts into a band.",
    outside="stretch::the same drawn to 26 cm, J",
    right=lambda n: _energy(n, _resting(n), _loaded(n)),
    slips=(
        Slip("work of the full stretch", "this counts from the relaxed band, but the wishbone "
             "stops at the roller: take off what the resting band holds. If you did, look at the "
             "brackets.", lambda n: _energy(n, 1.0, _loaded(n))),
        Slip("full force all the way", "the band does not pull that hard all the way; add up the "
             "work from the resting stretch to the loaded one.",
             lambda n: _pull(n) * n.upper_run_cm / 100),
        Slip("half of force times way", "half of force times way is for a spring that starts "
             "without pull; this band pulls from the start and is no spring.",
             lambda n: _pull(n) * n.upper_run_cm / 200),
        Slip("one leg", "this is the energy of one leg; there are two.",
             lambda n: _energy(n, _resting(n), _loaded(n), legs=1)),
        Slip("energy left at rest", "this is what the resting band still holds and never gives "
             "to the shaft; subtract it from what the loaded band holds.",
             lambda n: _energy(n, 1.0, _resting(n))),
        Slip("difference turned round", "the loaded stretch comes first, so that the difference "
             "is above zero.", lambda n: _energy(n, _loaded(n), _resting(n))),
        Slip("energy of the difference", "take the energy at each of the two stretches first, and "
             "the difference after.", lambda n: _energy(n, 1.0, _loaded(n) - _resting(n))),
        Slip("loaded length in the volume", "the cross-section is the relaxed one, so the length "
             "in the volume must be the relaxed one too.",
             lambda n: _loaded(n) * _energy(n, _resting(n), _loaded(n))),
        Slip("energy per volume", "this is the energy of one cubic centimetre of rubber; multiply "
             "by the volume of both legs.", lambda n: _work(n, _loaded(n)) - _work(n, _resting(n))),
    ),
)


def _cut(n: Numbers, stress: Any, path: float | None = None) -> Any:
    return (_path(n) if path is None else path) / _stretch_at(n, stress)


CUT_LENGTH = FunctionItem(
    key="cut_length", title="Cut length for a load", variable="cut_length_cm",
    unit="cm", points=2, page="stretch/cut-length", uses=("cross_section",),
    inputs=lambda n: (n.capacity_kgf, 30.0, 50.0),
    goal="Find the cut length for a load that a diver can bring.",
    outside="stretch::test_what_a_strong_diver_brings_lies_within_our_interval_for_that_band",
    right=lambda n: lambda load: _cut(n, _newton(load) / (2 * n["cross_section"])),
    slips=(
        Slip("one leg", "the whole load was put on one leg; each of the two carries half.",
             lambda n: lambda load: _cut(n, _newton(load) / n["cross_section"])),
        Slip("kgf given as N", "the load went in as if kgf were newtons; multiply by standard "
             "gravity first.", lambda n: lambda load: _cut(n, load / (2 * n["cross_section"]))),
        Slip("upper run only", "the leg lies under the barrel too; divide the whole loaded path by "
             "the stretch ratio.",
             lambda n: lambda load: _cut(n, _newton(load) / (2 * n["cross_section"]),
                                         n.upper_run_cm)),
        Slip("elongation for stretch ratio", "the path was divided by the elongation; divide it "
             "by the stretch ratio.",
             lambda n: lambda load: _path(n) / (_stretch_at(
                 n, _newton(load) / (2 * n["cross_section"])) - 1)),
        Slip("bore forgotten", "the stress is that of a full rod; divide by the cross-section "
             "without its hole.",
             lambda n: lambda load: _cut(n, _newton(load) / (2 * _disc(n.outer_diameter_mm)))),
        Slip("divided by g", "a load has more newtons than kgf; multiply by standard gravity.",
             lambda n: lambda load: _cut(n, _kgf(load) / (2 * n["cross_section"]))),
        Slip("brackets forgotten", "only the second run was divided; put brackets round the sum "
             "of the two.", lambda n: lambda load: n.upper_run_cm + _cut(
                 n, _newton(load) / (2 * n["cross_section"]), n.lower_run_cm)),
        Slip("the same for every load", "your function gives the same length for every load; use "
             "the load_kgf of its first line.",
             lambda n: lambda load: 0 * load + _cut(
                 n, _newton(n.capacity_kgf) / (2 * n["cross_section"]))),
    ),
)


def _table(n: Numbers, path: float, legs: int = 2, less: float = 0.0) -> Any:
    lengths = n.barrel_cm / 2 + np.array([3.0, 4.0, 5.0, 6.0, 7.0])
    return _kgf(legs * n["cross_section"] * _own_stress(n, path / lengths - less))


LOAD_TABLE = RowItem(
    key="load_table", title="Table of loads", variable="loads_kgf", length=5,
    unit="kgf", points=2, page="stretch/cut-length", uses=("cross_section", "stress"),
    goal="Say what one centimetre of cut length does to the load.",
    outside="stretch::test_one_centimetre_is_a_step_that_a_diver_can_feel_and_afford",
    right=lambda n: _table(n, _path(n)),
    slips=(
        Slip("newton", "these are newtons; the table is wanted in kgf.",
             lambda n: _newton(_table(n, _path(n)))),
        Slip("one leg", "this is one leg; the notch feels two.",
             lambda n: _table(n, _path(n), legs=1)),
        Slip("wrong order", "the rows are in the wrong order: the shortest leg comes first, and "
             "it pulls hardest.", lambda n: _table(n, _path(n))[::-1]),
        Slip("upper run only", "the leg lies under the barrel too; use the whole loaded path.",
             lambda n: _table(n, n.upper_run_cm)),
        Slip("elongation for stretch ratio", "the stress was taken at the elongation; take it at "
             "the stretch ratio, the whole path over the relaxed length.",
             lambda n: _table(n, _path(n), less=1.0)),
    ),
)


def _load_short(n: Numbers, short_cm: float, legs: int = 2) -> float:
    """Load [kgf] with the leg's path shorter than loaded by `short_cm`."""
    stretch = (_path(n) - short_cm) / n.relaxed_cm
    return float(_kgf(legs * n["cross_section"] * _own_stress(n, stretch)))


LOAD_ASSIST = RowItem(
    key="load_assist", title="Load assist", variable="load_assist",
    unit="cm and kgf", points=2, page="stretch/cut-length", uses=("cross_section", "stress"),
    goal="Choose a load assist and know the load at the hand-over.",
    outside="stretch::test_a_sixteen_on_a_120_asks_for_an_assist",
    right=lambda n: (n.upper_run_cm - n.assist_cm, _load_short(n, n.assist_cm)),
    slips=(
        Slip("assist added", "the assist brings the first grip nearer; take its length away.",
             lambda n: (n.upper_run_cm + n.assist_cm, _load_short(n, n.assist_cm))),
        Slip("last load for hand-over", "this is the last and hardest pull; at the hand-over the "
             "wishbone is still the assist's length ahead of the notch.",
             lambda n: (n.upper_run_cm - n.assist_cm, _load_short(n, 0.0))),
        Slip("assist on both runs", "the assist shortens the upper run only; the lower run stays "
             "as it is.", lambda n: (n.upper_run_cm - n.assist_cm,
                                     _load_short(n, 2 * n.assist_cm))),
        Slip("path for upper run", "the hands start from the wishbone at the roller, so the way "
             "counts along the upper run only.",
             lambda n: (_path(n) - n.assist_cm, _load_short(n, n.assist_cm))),
        Slip("newton", "the second number is in newtons; it is wanted in kgf.",
             lambda n: (n.upper_run_cm - n.assist_cm, _newton(_load_short(n, n.assist_cm)))),
        Slip("other order", "the two are in the wrong order: the grip in cm first, then the load.",
             lambda n: (_load_short(n, n.assist_cm), n.upper_run_cm - n.assist_cm)),
        Slip("assist for first grip", "the first number is the assist's own length; wanted is how "
             "far its handle is ahead of the notch.",
             lambda n: (n.assist_cm, _load_short(n, n.assist_cm))),
        Slip("one leg", "the load is that of one leg; the wishbone has two.",
             lambda n: (n.upper_run_cm - n.assist_cm, _load_short(n, n.assist_cm, legs=1))),
    ),
)


def _measured(n: Numbers, area: float) -> tuple[Any, Any]:
    """Stretch ratios and stresses [MPa] of the pull test."""
    return np.array(n.pulled_cm) / SAMPLE_CM, _newton(np.array(n.reading_kgf)) / area


def _fitted(s: Any, stress: Any) -> float:
    """Modulus [MPa] by least squares: the law is a straight line in its own bracket."""
    bracket = NeoHookean(1e6).engineering_stress(s) / 1e6
    return float((stress * bracket).sum() / (bracket**2).sum())


def _fit(n: Numbers, factor: float = 1.0) -> float:
    s, stress = _measured(n, n["cross_section"])
    return _fitted(s, stress * factor)


def _fit_thinned(n: Numbers) -> float:
    s, stress = _measured(n, n["cross_section"])
    return _fitted(s, stress * s)


def _fit_square_outside(n: Numbers) -> float:
    s, _ = _measured(n, n["cross_section"])
    bracket = NeoHookean(1e6).engineering_stress(s) / 1e6
    return _fit(n) * float((bracket**2).sum() / bracket.sum() ** 2)


def _fit_quotients(n: Numbers, combined: Any = np.sum) -> float:
    s, stress = _measured(n, n["cross_section"])
    return float(combined(stress / (NeoHookean(1e6).engineering_stress(s) / 1e6)))


def _fit_means(n: Numbers) -> float:
    s, stress = _measured(n, n["cross_section"])
    return float(stress.sum() / (NeoHookean(1e6).engineering_stress(s) / 1e6).sum())


def _fit_elongation(n: Numbers) -> float:
    s, stress = _measured(n, n["cross_section"])
    return float((stress * (s - 1)).sum() / ((s - 1) ** 2).sum())


FIT = Item(
    key="fit", title="Shear modulus from the pull test", variable="fitted_mu_MPa",
    unit="MPa", points=2, page="stretch/conditions", uses=("cross_section",),
    goal="Measure a tube's modulus with a luggage scale.",
    outside="stretch::test_felupe_running_now_fits_the_same_constants",
    right=_fit,
    slips=(
        Slip("two legs", "the sample is a single leg; do not halve its pull.",
             lambda n: _fit(n, 0.5)),
        Slip("kgf given as N", "the readings are in kgf; turn them into newtons first.",
             lambda n: _fit(n, 1 / STANDARD_GRAVITY)),
        Slip("elongation for stretch ratio", "this is the slope over the elongation, a spring's "
             "law; put the law's bracket in its place.", _fit_elongation),
        Slip("stress on the thinned tube", "the readings were divided by the thinned "
             "cross-section; use the relaxed one.", _fit_thinned),
        Slip("square of the sum", "below the line, square each bracket first and add after.",
             _fit_square_outside),
        Slip("sum of quotients", "add up above the line and below it first, and divide after.",
             _fit_quotients),
        Slip("mean of quotients", "this is the mean of five quotients, in which the weakest pull "
             "counts as much as the strongest; divide one sum by the other.",
             lambda n: _fit_quotients(n, np.mean)),
        Slip("bracket missing in both sums", "here stresses were divided by brackets; each stress "
             "is first multiplied by its bracket, and each bracket squared.", _fit_means),
    ),
)


def _plot_faults(drawn: Drawn, n: Numbers) -> str:
    s, stress = _measured(n, n["cross_section"])
    if not drawn.x_label or not drawn.y_label:
        return "no axis labels"
    if not drawn.has_points(s, stress):
        if drawn.has_points(stress, s):
            return "axes swapped"
        force = (n.reading_kgf, _newton(n.reading_kgf))
        return "force plotted" if any(drawn.has_points(s, y) for y in force) else "points missing"
    if "mpa" not in drawn.y_label:
        return "no unit"
    if not drawn.lines():
        return "no curve"
    law = NeoHookean(n["fit"] * 1e6)
    followed = drawn.follows(lambda at: law.engineering_stress(at) / 1e6, s, CURVE_TOLERANCE)
    return "" if followed else "curve elsewhere"


def _plot(n: Numbers, *, swap: bool = False, labels: tuple[str, str] = (
        "stretch ratio", "engineering stress in MPa"), points: bool = True, force: bool = False,
        curve: bool = True, factor: float = 1.0) -> Any:
    """Draw the pull test as a learner would, with one thing wrong if asked."""
    from matplotlib.figure import Figure

    axes = Figure().add_subplot()
    s, stress = _measured(n, n["cross_section"])
    y = np.array(n.reading_kgf) if force else stress
    if points:
        axes.plot(*((y, s) if swap else (s, y)), "o")
    if curve:
        along = np.linspace(1.0, s.max(), 50)
        law = NeoHookean(n["fit"] * factor * 1e6).engineering_stress(along) / 1e6
        axes.plot(*((law, along) if swap else (along, law)))
    axes.set_xlabel(labels[swap])
    axes.set_ylabel(labels[not swap])
    return axes


FIT_PLOT = PlotItem(
    key="fit_plot", title="Plot of the pull test", variable="axes",
    unit="", points=2, page="stretch/conditions", uses=("cross_section", "fit"),
    tolerance=CURVE_TOLERANCE,
    faults=_plot_faults,
    goal="Draw a measurement and the law through it, and see where the law fails.",
    outside="stretch::test_no_law_with_a_steady_or_rising_modulus_keeps_five_percent",
    right=_plot,
    slips=(
        Slip("no axis labels", "somebody else must be able to read it: label both axes.",
             lambda n: _plot(n, labels=("", ""))),
        Slip("points missing", "your five measured points are not all on it; draw each as a mark.",
             lambda n: _plot(n, points=False)),
        Slip("axes swapped", "the stretch ratio belongs on the level axis and the stress on the "
             "upright one.", lambda n: _plot(n, swap=True)),
        Slip("force plotted", "the points show the scale's reading; draw the stress, the force "
             "over the cross-section.", lambda n: _plot(n, force=True)),
        Slip("no unit", "say in which unit the stress is: the label of the upright axis wants "
             "MPa.", lambda n: _plot(n, labels=("stretch ratio", "engineering stress"))),
        Slip("no curve", "draw the fitted law as a smooth line, at 20 stretch ratios or more.",
             lambda n: _plot(n, curve=False)),
        Slip("curve elsewhere", "the curve does not run through the points; draw the law with the "
             "modulus that you fitted.", lambda n: _plot(n, factor=2.0)),
    ),
)


def _gain(n: Numbers, outer_mm: float, relaxed_cm: float, first: str = "resting") -> float:
    """Energy [J] that loading adds to a band of two legs on the learner's gun."""
    start = n.lower_run_cm / relaxed_cm if first == "resting" else 1.0
    per_volume = _work(n, _path(n) / relaxed_cm) - _work(n, start)
    return float(2 * _area(n, outer_mm) / 100 * relaxed_cm * per_volume)


def _thin_relaxed(n: Numbers) -> float:
    """Relaxed length [cm] of the thin tube that loads as hard as the learner's band."""
    stress = _own_stress(n, _loaded(n)) * _area(n) / _area(n, n.thin_diameter_mm)
    return float(_cut(n, stress))


def _thin_band(n: Numbers, first: str = "resting", legs: int = 2, per_volume: bool = False,
               relaxed_cm: float | None = None) -> tuple[float, float, float, float]:
    """Cross-section, relaxed length and energy of the thin band, and its energy over the thick."""
    thin, length = n.thin_diameter_mm, _thin_relaxed(n) if relaxed_cm is None else relaxed_cm
    energy, other = (_gain(n, mm, cm, first) * legs / 2
                     for mm, cm in ((thin, length), (n.outer_diameter_mm, n.relaxed_cm)))
    if per_volume:
        energy /= 2 * _area(n, thin) / 100 * length
        other /= 2 * _area(n) / 100 * n.relaxed_cm
    return _area(n, thin), length, energy, energy / other


def _ratio_as(n: Numbers, change: Any) -> tuple[float, float, float, float]:
    area, length, energy, ratio = _thin_band(n)
    return area, length, energy, change(ratio)


COMPARE = RowItem(
    key="compare", title="Thin tube against thick", variable="thin_band", length=4,
    unit="mm², cm, J and a plain number", points=2, page="stretch/cut-length", uses=("stress",),
    tolerance=0.005,
    goal="Compare two tubes by energy at the same load.",
    outside="stretch::test_sympy_derives_the_same_stress_from_three_principal_stretches",
    right=_thin_band,
    slips=(
        Slip("not cut anew", "the thin tube was left as long as the thick one, so it pulls less "
             "hard; cut it for the same load first.",
             lambda n: _thin_band(n, relaxed_cm=n.relaxed_cm)),
        Slip("upside down", "the thin tube's energy comes first, the thick one's below the line.",
             lambda n: _ratio_as(n, lambda ratio: 1 / ratio)),
        Slip("volume forgotten", "this compares a cubic centimetre of each; multiply by the volume "
             "of each band.", lambda n: _thin_band(n, per_volume=True)),
        Slip("one leg", "the energy is that of one leg; there are two.",
             lambda n: _thin_band(n, legs=1)),
        Slip("work of the full stretch", "both were counted from the relaxed band; start from each "
             "band's own resting stretch.", lambda n: _thin_band(n, first="relaxed")),
        Slip("per cent", "the last number is in per cent; a ratio of two energies is a plain one.",
             lambda n: _ratio_as(n, lambda ratio: 100 * ratio)),
    ),
)


def _doubts(n: Numbers) -> Any:
    return np.array([n.tube_doubt_percent, n.cut_doubt_percent, n.roller_doubt_percent])


def _about(n: Numbers, per_cent: float) -> tuple[float, float]:
    load = float(_kgf(_pull(n)))
    return load * (1 - per_cent / 100), load * (1 + per_cent / 100)


def _root_sum_square(n: Numbers) -> float:
    return float(np.sqrt((_doubts(n) ** 2).sum()))


def _shifted(n: Numbers, by: float) -> tuple[float, float]:
    load = float(_kgf(_pull(n)))
    return load - by, load + by


INTERVAL = IntervalItem(
    key="interval", title="Load with its doubt", variable="load_interval_kgf",
    unit="kgf", points=2, page="stretch/conditions",
    uses=("cross_section", "stress"),
    goal="Give a load with its doubt instead of a bare number.",
    outside="stretch::test_what_a_strong_diver_brings_lies_within_our_interval_for_that_band",
    right=lambda n: _about(n, _root_sum_square(n)),
    slips=(
        Slip("sum for root-sum-square", "the three doubts were simply added, as if they always "
             "came together; square, add, and take the root.",
             lambda n: _about(n, float(_doubts(n).sum()))),
        Slip("largest only", "only the largest doubt went in; all three count.",
             lambda n: _about(n, float(_doubts(n).max()))),
        Slip("root forgotten", "the squares were added and left so; take the root.",
             lambda n: _about(n, float((_doubts(n) ** 2).sum()))),
        Slip("per cent taken as kgf", "the doubt is in per cent of the load, not in kgf.",
             lambda n: _shifted(n, _root_sum_square(n))),
        Slip("hundred forgotten", "a doubt of ten per cent is a tenth: divide it by a hundred.",
             lambda n: _about(n, 100 * _root_sum_square(n))),
        Slip("half of it on each side", "the whole doubt goes to each side, not half of it.",
             lambda n: _about(n, _root_sum_square(n) / 2)),
        Slip("high before low", "the two ends are in the wrong order: low first.",
             lambda n: _about(n, _root_sum_square(n))[::-1]),
        Slip("newton", "the interval is in newtons; it is wanted in kgf.",
             lambda n: tuple(_newton(_about(n, _root_sum_square(n))))),
    ),
)

SAFETY_CHOICE = ChoiceItem(
    key="safety_choice", title="First loading of a new band", variable="first_loading",
    unit="", points=2, page="stretch/conditions", tolerance=0.0, letters="ABCDEF",
    goal="Decide how a new band is loaded for the first time.",
    outside="stretch::test_the_load_of_the_rule_stands_in_proportion_to_what_people_can",
    right=lambda n: "BCF",
    slips=(
        Slip("dry loading", "A is how people are hurt: a gun is never loaded out of the water, not "
             "even once.", lambda n: "ABCF"),
        Slip("number as permission", "E takes a computed number for permission; it is an estimate, "
             "and your own pull in steps decides.", lambda n: "BCEF"),
        Slip("letting go of the assist", "D lets a loaded assist slip; it is hooked on and held "
             "until the wishbone sits.", lambda n: "BCDF"),
        Slip("no inspection", "something is missing that comes before every loading: think of what "
             "could be worn or cut.", lambda n: "CF"),
        Slip("no partner", "something is missing: think of where the gun is loaded, where it "
             "points, and who is with you.", lambda n: "BF"),
        Slip("shortest first", "something is missing: think of how to come to the right length "
             "without a pull that is too hard.", lambda n: "BC"),
    ),
)

EXERCISE = Exercise(
    key="stretch",
    version="1",
    pages={
        "stretch/spring": "Why a band is not a spring",
        "stretch/work": "The work of stretching",
        "stretch/notch": "Force at the notch",
        "stretch/cut-length": "Choosing the cut length",
        "stretch/conditions": "What changes it, and how sure you may be",
    },
    draws=(
        Draw("outer_diameter_mm", "outer diameter of your tube", (14.0, 14.5, 15.0, 15.5, 16.0,
                                                                 16.5, 17.0)),
        Draw("bore_mm", "bore of your tube", (2.0, 2.5, 3.0, 3.5, 4.0)),
        Draw("barrel_cm", "barrel of your roller gun", tuple(range(100, 145, 5))),
        Draw("upper_offset_cm", "", (-6, -5, -4, -3)),
        Draw("lower_offset_cm", "", (3, 4, 5, 6)),
        Draw("recipe_cm", "", (4, 5, 6, 7)),
        Draw("mu_MPa", "shear modulus of your rubber, as the seller measured it",
             (0.26, 0.28, 0.30, 0.32, 0.34)),
        Draw("capacity_kgf", "load that your diver brings onto the notch", tuple(range(36, 58, 2))),
        Draw("assist_cm", "length of the load assist", (25, 30, 35, 40, 45)),
        Draw("test_stiffness", "", (0.9, 0.95, 1.05, 1.1, 1.15, 1.2)),
        Draw("tube_doubt_percent", "doubt about the tube's stiffness", (6, 7, 8, 9, 10)),
        Draw("cut_doubt_percent", "doubt from cutting and tying", (3, 4, 5)),
        Draw("roller_doubt_percent", "doubt about the roller's friction", (3, 4, 5)),
    ),
    derive=_readings,
    meanings={
        "upper_run_cm": "upper run: from the roller back to the notch",
        "lower_run_cm": "lower run: from the anchor forward and round the roller",
        "relaxed_cm": "relaxed length of one leg as it is cut now",
        "thin_diameter_mm": "outer diameter of the thinner tube on the shelf, same bore",
        "pulled_cm": f"pull test: lengths to which a {SAMPLE_CM:g} cm sample was pulled",
        "reading_kgf": "pull test: what the luggage scale showed, one leg",
    },
    safety={
        "stretch/spring": "Rubber that is pulled out by hand can snap back at the eyes.",
        "stretch/work": "Never lean over a loaded gun, and unload it as carefully as you load it.",
        "stretch/notch": "A wishbone that slips off a hook flies at whoever holds the scale: stand "
                         "beside its line, not in it.",
        "stretch/cut-length": "If you cannot hold a band, let it go forward slowly: never let it "
                              "snap.",
        "stretch/conditions": "Load a new band for the first time cut long, and shorten it in "
                              "steps.",
    },
    items=(CROSS_SECTION, STRETCH_RATIO, STRESS, FORCE, ENERGY, CUT_LENGTH, LOAD_TABLE, LOAD_ASSIST,
           FIT, FIT_PLOT, COMPARE, INTERVAL, SAFETY_CHOICE),
)
