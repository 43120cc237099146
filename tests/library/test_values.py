"""Units go there and back; an interval holds its best value; doubts add as squares."""

import numpy as np
import pytest
from bandwork import InputError, units
from bandwork.interval import Interval, combine
from bandwork.validation import nearest, plain, together, within
from hypothesis import given
from hypothesis import strategies as st

PAIRS = [(units.newton_from_kgf, units.kgf_from_newton),
         (units.newton_from_lbf, units.lbf_from_newton),
         (units.metre_from_cm, units.cm_from_metre), (units.metre_from_mm, units.mm_from_metre),
         (units.metre_from_inch, units.inch_from_metre)]
usual = st.floats(-1e6, 1e6)


@pytest.mark.parametrize(("there", "back"), PAIRS, ids=lambda one: one.__name__)
@given(value=usual)
def test_a_converter_and_its_inverse_cancel(there, back, value):
    assert back(there(value)) == pytest.approx(value, rel=1e-14, abs=1e-300)
    assert there(2 * value) == pytest.approx(2 * there(value), rel=1e-14, abs=1e-300)


@pytest.mark.parametrize("convert", [one for pair in PAIRS for one in pair],
                         ids=lambda one: one.__name__)
def test_a_converter_keeps_the_shape(convert):
    values = np.arange(6.0).reshape(2, 3)
    assert convert(values).shape == (2, 3)
    assert isinstance(convert(3), float)
    assert convert(values)[1, 2] == convert(5.0)


def test_metres_and_kilograms_are_not_taken_for_one_another():
    assert units.metre_from_cm(65) == 0.65
    assert units.metre_from_mm(16) == 0.016
    assert units.newton_from_kgf(1) / units.newton_from_lbf(1) == pytest.approx(2.2046226218)


@given(values=st.lists(usual, min_size=3, max_size=3))
def test_an_interval_holds_its_best_value_and_refuses_disorder(values):
    low, best, high = sorted(values)
    interval = Interval(low, best, high)
    assert all(value in interval for value in values)
    assert np.nextafter(high, np.inf) not in interval
    if low < best:
        with pytest.raises(InputError, match="ascending"):
            Interval(best, low, high)


def test_mapping_an_interval_by_a_falling_function_turns_it_round():
    assert Interval(1, 2, 4).map(lambda x: 8 / x) == Interval(2, 4, 8)
    with pytest.raises(InputError, match="ascending"):
        Interval(-1, 0, 1).map(lambda x: x * x)


def test_an_interval_of_several_values_is_refused():
    with pytest.raises(InputError, match="low holds 2 values"):
        Interval([1, 2], 3, 4)


@given(best=usual, moves=st.lists(st.tuples(usual, usual), max_size=5))
def test_doubts_add_as_squares_on_each_side(best, moves):
    ends = {str(i): (best + a, best + b) for i, (a, b) in enumerate(moves)}
    got = combine(best, ends)
    below = [max(0.0, best - min(pair)) for pair in ends.values()]
    above = [max(0.0, max(pair) - best) for pair in ends.values()]
    assert got.best == best
    assert best - got.low == pytest.approx(np.sqrt(np.sum(np.square(below))), abs=1e-6)
    assert got.high - best == pytest.approx(np.sqrt(np.sum(np.square(above))), abs=1e-6)
    for pair in ends.values():
        assert got.low <= min(pair) + 1e-6
        assert got.high >= max(pair) - 1e-6


def test_a_result_without_doubts_is_a_point():
    assert combine(7.0, {}) == Interval(7, 7, 7)


@pytest.mark.parametrize("ends", [(), (1.0,), (1.0, 2.0, 3.0), [[1.0, 2.0]], (np.nan, 1.0)])
def test_an_input_has_two_ends(ends):
    with pytest.raises(InputError, match="stiffness"):
        combine(1.0, {"stiffness": ends})


def test_both_ends_of_a_range_are_accepted():
    assert within("length", [1.0, 2.0], 1, 2, "m").tolist() == [1, 2]
    with pytest.raises(InputError, match=r"length is 2.00001 m; accepted is 1 to 2 m\.$"):
        within("length", [1.0, 2.00001], 1, 2, "m")


def test_one_number_in_is_one_float_out():
    assert isinstance(plain(np.array(2)), float)
    assert isinstance(within("length", np.array(1.5), 1, 2, "m"), float)
    assert plain([1, 2]).tolist() == [1, 2]


def test_arrays_that_broadcast_are_accepted_and_others_named():
    together(a=[1, 2, 3], b=1.0, c=[[1], [2]])
    with pytest.raises(InputError, match="arrays a of 3 and b of 2 values do not fit together"):
        together(a=[1, 2, 3], b=[1, 2], c=1.0)


def test_the_nearest_names_are_those_that_look_alike():
    assert nearest("rubber.densty", ["rubber.density", "sheave.friction"]) == "rubber.density"
    assert nearest("qqq", ["rubber.density"]) == "none that looks like it"
