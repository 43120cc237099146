"""Whatever is put in, the library answers with finite numbers or refuses in a sentence."""

import dataclasses
from datetime import date
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from bandwork import InputError, units
from bandwork.components import Band, Barrel, Diver
from bandwork.handbook import lookup, treloar_tension
from bandwork.interval import Interval, combine
from bandwork.rubber import (
    ArrudaBoyce,
    Gent,
    GentGent,
    MooneyRivlin,
    NeoHookean,
    Yeoh,
    fit_rubber,
    handbook_rubber,
    inverse_langevin,
    langevin,
    scaled,
)
from bandwork.stretch import (
    Conditions,
    cut_length_for_load,
    load_interval,
    loading,
    notch_load,
    relaxation_factor,
    resting_distance,
    returned_energy,
    stored_energy,
    temperature_factor,
)
from bandwork.validation import numbers, within
from hypothesis import example, given, settings
from hypothesis import strategies as st

BAND = Band(0.016, 0.003, 0.65)
BARREL = Barrel(1.20)
DIVER = Diver(450, 0.9)
POINTS = treloar_tension()
CONVERTERS = {name: getattr(units, name) for name in (
    "newton_from_kgf", "kgf_from_newton", "newton_from_lbf", "lbf_from_newton")}
LENGTHS = {name: getattr(units, name) for name in (
    "metre_from_cm", "cm_from_metre", "metre_from_mm", "mm_from_metre", "metre_from_inch",
    "inch_from_metre")}
RUBBERS = [NeoHookean(3e5), MooneyRivlin(1.4e5, 3.4e4), Yeoh(1.76e5, -1850, 46.4),
           Gent(2.5e5, 80), GentGent(2.4e5, 78, 3e5), ArrudaBoyce(2.8e5, 26)]

CALLS = {
    **{name: (call, {"force": 50.0}) for name, call in CONVERTERS.items()},
    **{name: (call, {"length": 50.0}) for name, call in LENGTHS.items()},
    "numbers": (lambda x: numbers("x", x), {"x": 1.0}),
    "within": (lambda x: within("x", x, 0, 2, "m"), {"x": 1.0}),
    "Interval": (Interval, {"low": 1.0, "best": 2.0, "high": 3.0}),
    "combine": (lambda best, a: combine(best, {"a": a}), {"best": 2.0, "a": (1.0, 3.0)}),
    "lookup": (lookup, {"key": "rubber.density"}),
    **{law.name: (type(law), {name: getattr(law, name) for name in law.parameters})
       for law in RUBBERS},
    **{f"stress of {law.name}": (law.engineering_stress, {"stretch_ratio": 3.0})
       for law in RUBBERS},
    **{f"energy of {law.name}": (law.strain_energy_density, {"stretch_ratio": 3.0})
       for law in RUBBERS},
    **{f"stretch of {law.name}": (law.stretch_ratio, {"engineering_stress": 1e6})
       for law in RUBBERS},
    "langevin": (langevin, {"beta": 1.0}),
    "inverse_langevin": (inverse_langevin, {"x": 0.5}),
    "scaled": (scaled, {"rubber": handbook_rubber(), "factor": 1.1}),
    "fit_rubber": (fit_rubber, {"stretch_ratio": POINTS[0], "engineering_stress": POINTS[1],
                                "law": NeoHookean}),
    "Band": (Band, {"outer_diameter": 0.016, "bore": 0.003, "relaxed_length": 0.65, "legs": 2,
                    "rubber": handbook_rubber(), "density": 950.0}),
    "Band.stretch_ratio": (BAND.stretch_ratio, {"path_length": 2.4}),
    "Band.force": (BAND.force, {"path_length": 2.4}),
    "Band.energy": (BAND.energy, {"rest_length": 1.2, "loaded_length": 2.4}),
    "Barrel": (Barrel, {"length": 1.2, "kind": "roller", "roller_offset": 0.02,
                        "notch_position": 0.03, "anchor_position": 0.03, "sheave_radius": 0.0125,
                        "sheave_wrap": 3.1, "sheave_friction": 0.05}),
    "Barrel.resting_path": (BARREL.resting_path, {"relaxed_length": 0.65}),
    "Diver": (Diver, {"load_capacity": 450.0, "reach": 0.9}),
    "notch_load": (notch_load, {"band": BAND, "barrel": BARREL, "short_of_notch": 0.3,
                                "direction": "loading"}),
    "stored_energy": (stored_energy, {"band": BAND, "barrel": BARREL}),
    "returned_energy": (returned_energy, {"band": BAND, "barrel": BARREL}),
    "resting_distance": (resting_distance, {"band": BAND, "barrel": BARREL}),
    "cut_length_for_load": (cut_length_for_load, {
        "load": 450.0, "barrel": BARREL, "outer_diameter": 0.016, "bore": 0.003, "legs": 2,
        "rubber": handbook_rubber()}),
    "temperature_factor": (temperature_factor, {"temperature": 10.0, "test_temperature": 20.0}),
    "relaxation_factor": (relaxation_factor, {"seconds_loaded": 600.0,
                                              "seconds_at_reading": 10.0}),
    "Conditions": (Conditions, {
        "temperature": 12.0, "test_temperature": 20.0, "tube_stiffness": Interval(0.9, 1, 1.1),
        "batch_length_spread": Interval(-0.01, 0, 0.01), "ageing_loss": Interval(0, 0, 0.1),
        "sheave_friction": Interval(0.02, 0.05, 0.1)}),
    "load_interval": (load_interval, {"band": BAND, "barrel": BARREL,
                                      "conditions": Conditions()}),
    "loading": (loading, {"diver": DIVER, "band": BAND, "barrel": BARREL, "assist_length": 0.3}),
}
EVERY = [(name, wrong) for name, (_, right) in CALLS.items() for wrong in right]

numeric = st.one_of(
    st.floats(), st.floats(-1, 10), st.integers(), st.sampled_from([
        0, -0.0, 1, 5e-324, 1e308, -1e308, 10**400, -(10**5000), 1 - 1e-15, 1 + 1e-15, 370, 16]))
strange = st.one_of(
    st.none(), st.booleans(), st.text(max_size=4), st.binary(max_size=4), st.complex_numbers(),
    st.dates(), st.dictionaries(st.text(max_size=2), numeric, max_size=2), st.sets(st.integers()),
    st.sampled_from(["3", "0.65 m", "nan", Decimal("0.65"), Decimal("NaN"), Fraction(13, 20),
                     np.float32(0.65), np.int8(3), np.True_, np.ma.masked,
                     np.ma.array([1.0, 2.0], mask=[False, True]), np.datetime64("2026-01-01"),
                     np.zeros((0,)), np.zeros((2, 0)), np.array(2.0), np.array("2"), object,
                     NeoHookean, BAND, BARREL, DIVER, lookup, date, ..., [[1, 2], [3]],
                     [1.0, float("nan")], [True, 2.0], [None, 2.0], [1 + 2j], ["1", "2"],
                     range(3), (x for x in "ab")]))
nasty = st.one_of(numeric, strange, st.lists(numeric, max_size=3),
                  st.lists(st.one_of(numeric, strange), max_size=3))


def finite(result):
    """Every number in a result, however it is packed, is finite. Standard errors may be inf."""
    if dataclasses.is_dataclass(result) and not isinstance(result, type):
        return all(finite(getattr(result, field.name)) for field in dataclasses.fields(result)
                   if field.name != "standard_errors")
    if isinstance(result, dict):
        return all(map(finite, result.values()))
    if isinstance(result, (list, tuple)):
        return all(map(finite, result))
    if isinstance(result, (int, float, np.ndarray)):
        return bool(np.isfinite(result).all())
    return True


def answers_or_refuses(call, values, wrong=None):
    try:
        result = call(**values)
    except InputError as refusal:
        said = str(refusal)
        assert said.endswith("."), said
        assert "\n" not in said, said
        assert 20 < len(said) < 420, said
        assert any(word in said for word in ("accepted", "give ", "lists them all")), said
        assert wrong in (None, "key") or wrong in said, (wrong, said)
    else:
        assert finite(result), result


@pytest.mark.parametrize(("name", "wrong"), EVERY)
@settings(max_examples=25)
@given(value=nasty)
@example(value=float("nan"))
@example(value=float("inf"))
@example(value=-1.0)
@example(value="three")
@example(value=None)
@example(value=[])
@example(value=[[1, 2], [3]])
@example(value=True)
@example(value=1j)
def test_one_wrong_input(name, wrong, value):
    call, right = CALLS[name]
    answers_or_refuses(call, {**right, wrong: value}, wrong)


@pytest.mark.parametrize("name", CALLS)
@settings(max_examples=25)
@given(data=st.data())
def test_all_inputs_wrong(name, data):
    call, right = CALLS[name]
    answers_or_refuses(call, {key: data.draw(nasty) for key in right})


@pytest.mark.parametrize("value", [
    None, True, "3", b"3", 1j, float("nan"), float("inf"), -float("inf"), 10**400, [True, 2.0],
    [[1, 2], [3]], [1.0, None], {}, np.ma.array([1.0], mask=[True]), np.datetime64("2026-01-01"),
    [1.0, float("nan")]])
def test_no_number_is_made_of_what_is_none(value):
    with pytest.raises(InputError, match=r"^depth (is|holds) .*numbers"):
        numbers("depth", value)


@pytest.mark.parametrize("value", [3, 3.0, np.int8(3), Decimal(3), Fraction(3), np.array(3),
                                   np.float32(3)])
def test_a_number_is_a_number_in_every_dress(value):
    assert numbers("depth", value).dtype == float
    assert numbers("depth", value) == 3
    assert Band(0.016, 0, Fraction(1, 2)).force(value / 2) == Band(0.016, 0, 0.5).force(1.5)


def test_a_refusal_names_the_value_the_range_and_what_to_do():
    with pytest.raises(InputError) as refusal:
        Band(outer_diameter=16, bore=0.003, relaxed_length=0.65)
    assert str(refusal.value) == ("outer_diameter is 16 m; accepted is 0.004 to 0.03 m. "
                                  "Give it in metres: 16 mm is 0.016.")


@pytest.mark.parametrize(("call", "said"), [
    (lambda: Band(0.016, 0.016, 0.65), "no wall left"),
    (lambda: Band(0.016, 3, 0.65), "bore is 3 m; accepted is 0 to 0.029 m"),
    (lambda: Band(0.016, 0.003, 65), "relaxed_length is 65 m; .* 65 cm is 0.65"),
    (lambda: Band(0.016, 0.003, 0.65, legs=2.5), "whole number"),
    (lambda: Band(0.016, 0.003, 0.65, legs=9), "legs is 9; accepted is 1 to 8"),
    (lambda: Band(0.016, 0.003, 0.65, legs=[2, 4]), "legs holds 2 values"),
    (lambda: Band(0.016, 0.003, 0.65, rubber="latex"),
     "rubber is 'latex'; accepted here is RubberLaw"),
    (lambda: Band(0.016, 0.003, 0.65, density=0.95), "density is 0.95 kg/m3"),
    (lambda: BAND.force(0.6), "slack: path_length is 0.923076923 times"),
    (lambda: BAND.force(0.65 * 9.5), "9.5 times its relaxed length; accepted is up to 8.98421"),
    (lambda: BAND.energy(0.6, 2.4), "rest_length is 0.923076923 times"),
    (lambda: Barrel(120), "a 120 cm barrel is 1.20"),
    (lambda: Barrel(1.2, kind="pneumatic"), "accepted are 'roller' and 'conventional'"),
    (lambda: Barrel(0.4, notch_position=0.4), "notch_position leaves a run of 0.02 m"),
    (lambda: Barrel(0.4, anchor_position=0.5), "anchor_position leaves a run of -0.08 m"),
    (lambda: Barrel(1.2, sheave_wrap=180), "half a turn is 3.1416"),
    (lambda: Diver(50, 0.9), "50 kgf is 490"),
    (lambda: Diver(450, 90), "85 cm is 0.85"),
    (lambda: NeoHookean(0.3), "0.25 MPa is 0.25e6"),
    (lambda: Gent(3e5, 0.01), "jm is 0.01; accepted is 0.1 to 1e\\+06"),
    (lambda: notch_load(BARREL, BAND), "band is Barrel.*; accepted here is Band"),
    (lambda: notch_load(BAND, BARREL, 1.2), "behind the notch or past the muzzle"),
    (lambda: notch_load(BAND, BARREL, -0.1), "behind the notch or past the muzzle"),
    (lambda: notch_load(BAND, BARREL, direction="up"),
     "accepted are 'loading', 'driving' and 'released'"),
    (lambda: notch_load(Band(0.016, 0.003, 3), BARREL), "slack"),
    (lambda: notch_load(Band(0.016, 0.003, 0.2), BARREL), "accepted is up to 8.98421"),
    (lambda: cut_length_for_load(0, BARREL, 0.016, 0.003), "load is 0 N; accepted is more than 0"),
    (lambda: cut_length_for_load(5000, BARREL, 0.016, 0.003), "up to .* N, a stretch of 7.6"),
    (lambda: cut_length_for_load(0.01, Barrel(2), 0.016, 0.003), "relaxed length that this load"),
    (lambda: loading(DIVER, BAND, BARREL, 1.19), "assist_length is 1.19 m; accepted is 0 to below"),
    (lambda: loading(DIVER, Band(0.016, 0.003, 1.2), Barrel(1.2, kind="conventional")),
     "slack there; cut it shorter"),
    (lambda: temperature_factor(50), "temperature is 50 degrees Celsius; accepted is -2 to 45"),
    (lambda: temperature_factor([10, 20]), "temperature holds 2 values; one number"),
    (lambda: relaxation_factor(5), "seconds_loaded is 5 s; accepted is 10"),
    (lambda: Conditions(tube_stiffness=1.2), "tube_stiffness is 1.2; accepted here is Interval"),
    (lambda: Conditions(ageing_loss=Interval(0, 0, 2)), "ageing_loss is 2; accepted is 0 to 0.5"),
    (lambda: load_interval(Band(0.016, 0.003, [0.6, 0.65]), BARREL), "the load holds 2 values"),
    (lambda: returned_energy(Band(0.016, 0.003, [0.6, 0.65]), BARREL), "energy holds 2 values"),
    (lambda: Band([0.016, 0.014], [0.003] * 3, 0.65),
     "Band.outer_diameter of 2 and Band.bore of 3 values do not fit together"),
    (lambda: BAND.energy([1.2, 1.3], [2.4] * 3), "rest_length of 2 and loaded_length of 3"),
    (lambda: notch_load(Band(0.016, 0.003, [0.6, 0.65]), Barrel([1.1, 1.2, 1.3])),
     "Band.relaxed_length of 2 and Barrel.length of 3"),
    (lambda: Interval(2, 1, 3), "not in ascending order"),
    (lambda: inverse_langevin(1.0), "x is 1; accepted is 0 to 1. At 1 the chain is straight"),
])
def test_a_likely_slip_gets_its_own_sentence(call, said):
    with pytest.raises(InputError, match=said):
        call()
