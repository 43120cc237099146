"""What people write becomes one number in SI, or one sentence; and numbers are worded for them."""

import math
import re

import pytest
import scipy.constants
from bandwork.validation import InputError
from bandwork.workshop.files import KINDS, keys_of
from bandwork.workshop.quantities import UNITS, Units, in_unit, number, quantity
from hypothesis import example, given, settings
from hypothesis import strategies as st

PUBLISHED = {("m", "in"): scipy.constants.inch, ("m", "ft"): scipy.constants.foot,
             ("N", "kgf"): scipy.constants.kgf, ("N", "lbf"): scipy.constants.lbf,
             ("kg", "lb"): scipy.constants.lb, ("kg", "oz"): scipy.constants.oz,
             ("m3", "l"): scipy.constants.liter, ("Pa", "psi"): scipy.constants.psi,
             ("rad", "deg"): scipy.constants.degree, ("m/s", "km/h"): scipy.constants.kmh,
             ("s", "min"): scipy.constants.minute, ("m2", "in2"): scipy.constants.inch**2,
             ("N m", "lbf in"): scipy.constants.lbf * scipy.constants.inch}


@pytest.mark.outside
@pytest.mark.parametrize(("kind", "unit"), PUBLISHED)
def test_the_factors_are_scipys(kind, unit):
    assert UNITS[kind][unit] == pytest.approx(PUBLISHED[kind, unit], rel=1e-14)


@pytest.mark.parametrize(("written", "kind", "si"), [
    ("120 cm", "m", 1.2), ("1,2 m", "m", 1.2), ("16mm", "m", 0.016), ("16 MM", "m", 0.016),
    ("0,650 m", "m", 0.65), ("5/16 in", "m", 0.0079375), ("1 1/4 in", "m", 0.03175),
    ("1-1/4 in", "m", 0.03175), ('47"', "m", 1.1938), ("3.5 ft", "m", 1.0668),
    ("55 kgf", "N", 55 * 9.80665), ("55 kg", "N", 55 * 9.80665), ("500 N", "N", 500),
    ("12 lb", "N", 12 * scipy.constants.lbf), ("12 lbf", "N", 12 * scipy.constants.lbf),
    ("450 g", "kg", 0.45), ("380 ml", "m3", 0.00038), ("20 mm²", "m2", 2e-5),
    ("20 mm^2", "m2", 2e-5), ("0.24 MPa", "Pa", 0.24e6), ("196e9 Pa", "Pa", 196e9),
    ("20 C", "degrees Celsius", 20), ("20 °C", "degrees Celsius", 20),
    ("20 degrees Celsius", "degrees Celsius", 20), ("68 F", "degrees Celsius", 20),
    ("\N{MINUS SIGN}1 C", "degrees Celsius", -1), ("293.15 K", "degrees Celsius", 20),
    ("10 %", "1", 0.1), ("0.1", "1", 0.1), (0.1, "1", 0.1), (2, "1", 2),
    ("0.2 N m", "N m", 0.2), ("-0,2 nm", "N m", -0.2), ("180 deg", "rad", math.pi),
    ("half", "1", None), ("250 ms", "s", 0.25)])
def test_a_quantity_is_read(written, kind, si):
    if si is None:
        with pytest.raises(InputError):
            quantity(written, kind, "it")
    else:
        assert quantity(written, kind, "it") == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(("written", "kind", "says"), [
    ("16", "m", "without a unit"), (16, "m", 'such as "120 cm"'), (20, "degrees Celsius", "20 C"),
    ("1,200 m", "m", "can be 1.200 or 1200"), ("16 kg", "m", "accepted here: m, cm, mm"),
    ("16 mPa", "Pa", "does not fit"), ("1/3 cm", "m", "a fraction is accepted in inches"),
    ("1/0 in", "m", "no 0 below"), ("nan", "1", "a number"), (math.nan, "1", "finite"),
    (math.inf, "1", "finite"), ("1e400 m", "m", "finite"), (10**400, "1", "finite"),
    (-0.0, "1", "a zero has no sign"), ("-0 cm", "m", "a zero has no sign"),
    (True, "1", "True"), (None, "m", "None"), ([1], "m", r"\[1\]"), ("", "m", "''"),
    ("1.2.3 m", "m", "1.2.3"), ("12 34 m", "m", "12 34"), ("9" * 70 + " m", "m", "99"),
    ("1 m 20 cm", "m", "does not fit"), ("2026-11-21", "m", "does not fit"),
    ("\N{ARABIC-INDIC DIGIT ONE} m", "m", "accepted is a number")])
def test_what_is_no_quantity_gets_one_sentence(written, kind, says):
    with pytest.raises(InputError, match=says) as refusal:
        quantity(written, kind, "the width")
    assert str(refusal.value).startswith("the width ")
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize(("text", "decimal", "value"), [
    ("1.234,5", "", 1234.5), ("1,234.5", "", 1234.5), ("1.200", "", 1.2), ("1.200", ",", 1200),
    ("1,200", ".", 1200), ("1,200", ",", 1.2), ("1 200,5", "", 1200.5), ("1'200.5", "", 1200.5),
    ("12,5", "", 12.5), ("0,125", "", 0.125), ("1,2345", "", 1.2345), ("1.234.567", "", 1234567),
    ("1,234,567", "", 1234567), ("2e5", "", 2e5), (".5", "", 0.5), ("5.", "", 5), ("+3", "", 3)])
def test_a_number_is_read_by_its_marks(text, decimal, value):
    assert number(text, decimal) == value


@pytest.mark.parametrize(("text", "decimal"), [
    ("1,200", ""), ("12.5", ","), ("12,5", "."), ("1.23.4", ""), ("1,2,3", ""), ("1..2", ""),
    (",", ""), ("", ""), ("1e", ""), ("e5", ""), ("0x10", ""), ("1_000", ""), ("12 kg", ""),
    ("1", ";")])
def test_a_number_with_two_readings_or_none_is_refused(text, decimal):
    with pytest.raises(InputError):
        number(text, decimal)


@settings(max_examples=400)
@given(st.one_of(st.text(max_size=12), st.floats(), st.integers(), st.booleans(), st.none(),
                 st.from_regex(r"\A[+-]?[0-9 .,'/e]{1,10} ?[a-zA-Z/%]{0,4}\Z")),
       st.sampled_from(sorted(UNITS)))
@example("1/1/1 in", "m")
@example("1 1/1,5 in", "m")
def test_anything_ends_in_a_number_or_a_sentence(written, kind):
    try:
        found = quantity(written, kind, "it")
    except InputError as refusal:
        found = str(refusal)
    assert re.fullmatch(r"[^\n]{15,300}\.", found) if isinstance(found, str) \
        else math.isfinite(found)


@settings(max_examples=200)
@given(st.floats(0.001, 1000), st.sampled_from([(kind, unit) for kind, units in UNITS.items()
                                                for unit in units]))
def test_a_quantity_survives_being_written_in_any_unit(value, unit):
    kind, name = unit
    assert quantity(f"{value!r} {name}", kind, "it") == in_unit(value, kind, name, "it")


def test_every_number_of_a_set_up_has_a_unit_that_is_known():
    seen = 0
    left = list(KINDS.values())
    while left:
        for one in keys_of(left.pop()).values():
            if one.form in ("quantity", "interval"):
                assert one.unit in UNITS, one
                seen += 1
            elif one.kind is not None:
                left.append(one.kind)
    assert seen > 60


def test_results_are_worded_in_either_system():
    metric, us = Units("metric"), Units("us")
    assert metric.words(0.65, "cm") == "65 cm"
    assert us.words(0.65, "cm") == "25.6 in"
    assert us.words(461, "kgf") == "103.6 lbf"
    assert us.words(20, "C") == "68 F"
    assert metric.words(20, "C", 1) == "20.0 C"
    assert us.words(365, "J") == "365 J"
    assert metric.words(-0.001, "cm") == "0 cm"
    with pytest.raises(InputError, match="accepted are 'metric' and 'us'"):
        Units("imperial")


def test_a_force_in_newtons_is_read_in_pounds_as_the_printed_form_asks():
    assert Units("metric").words(-2.531, "N", 2) == "-2.53 N"
    assert Units("us").words(-2.531, "N", 2) == "-0.57 lbf"
