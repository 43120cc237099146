"""Cold, age, batch and friction: each moves the load the right way, and the doubts add up."""

from dataclasses import replace

import numpy as np
import pytest
from bandwork import InputError
from bandwork.components import Band, Barrel
from bandwork.handbook import lookup
from bandwork.interval import Interval, combine
from bandwork.stretch import (
    Conditions,
    load_interval,
    notch_load,
    relaxation_factor,
    returned_energy,
    stored_energy,
    temperature_factor,
)
from hypothesis import given, settings
from hypothesis import strategies as st

BAND = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
BARREL = Barrel(length=1.20)
SURE = Conditions(tube_stiffness=Interval(1, 1, 1), batch_length_spread=Interval(0, 0, 0),
                  ageing_loss=Interval(0, 0, 0), sheave_friction=Interval(0.05, 0.05, 0.05))


def test_the_best_value_is_that_of_the_set_up_itself():
    for friction in (0.0, 0.05, 0.2):
        barrel = Barrel(1.2, sheave_friction=friction)
        assert load_interval(BAND, barrel).load.best == pytest.approx(notch_load(BAND, barrel))


def test_a_measured_friction_takes_the_place_of_the_barrels():
    given = Conditions(sheave_friction=Interval(0.08, 0.1, 0.12))
    other = replace(BARREL, sheave_friction=0.1)
    got = load_interval(BAND, BARREL, given)
    assert got.load.best == pytest.approx(notch_load(BAND, other))
    assert got.effects["sheave_friction"][0] == pytest.approx(
        notch_load(BAND, replace(BARREL, sheave_friction=0.08)))


def test_without_doubts_the_interval_is_a_point():
    load = load_interval(BAND, BARREL, SURE).load
    assert load.low == pytest.approx(load.best, rel=1e-12)
    assert load.high == pytest.approx(load.best, rel=1e-12)


@pytest.mark.parametrize(("changed", "effect", "rises"), [
    ({"tube_stiffness": Interval(0.8, 1, 1.2)}, "tube_stiffness", True),
    ({"batch_length_spread": Interval(-0.02, 0, 0.02)}, "batch_length_spread", False),
    ({"ageing_loss": Interval(0, 0.1, 0.2)}, "ageing_loss", False),
    ({"sheave_friction": Interval(0, 0.05, 0.2)}, "sheave_friction", True),
])
def test_each_input_moves_the_load_alone_and_the_right_way(changed, effect, rises):
    got = load_interval(BAND, BARREL, replace(SURE, **changed))
    low, high = got.effects[effect]
    assert (high > low) is rises
    assert got.widest == effect
    assert got.load.low == pytest.approx(min(low, high))
    assert got.load.high == pytest.approx(max(low, high))


@pytest.mark.parametrize(("field", "interval", "expected"), [
    ("tube_stiffness", Interval(0.5, 0.8, 1.1), 0.8), ("ageing_loss", Interval(0, 0.1, 0.3), 0.9)])
def test_stiffness_and_age_multiply_the_load(field, interval, expected):
    got = load_interval(BAND, BARREL, replace(SURE, **{field: interval}))
    assert got.load.best == pytest.approx(expected * notch_load(BAND, BARREL))


@settings(max_examples=25)
@given(water=st.floats(-2, 45), stiff=st.floats(1, 1.5), age=st.floats(0, 0.3),
       batch=st.floats(0, 0.02))
def test_the_doubts_add_as_squares_whatever_they_are(water, stiff, age, batch):
    conditions = Conditions(temperature=water, tube_stiffness=Interval(1 / stiff, 1, stiff),
                            ageing_loss=Interval(0, 0, age),
                            batch_length_spread=Interval(-batch, 0, batch))
    got = load_interval(BAND, BARREL, conditions)
    assert got.load == combine(got.load.best, got.effects)
    assert got.load.low <= got.load.best <= got.load.high
    assert got.load.best == pytest.approx(
        notch_load(BAND, BARREL) * temperature_factor(water).best, rel=1e-9)
    for ends in got.effects.values():
        assert got.load.low - 1e-6 <= min(ends)
        assert max(ends) <= got.load.high + 1e-6


def test_on_a_conventional_gun_friction_moves_nothing():
    got = load_interval(Band(0.016, 0.003, 0.4), Barrel(1.2, kind="conventional"))
    assert len(set(got.effects["sheave_friction"])) == 1


def test_rubber_as_warm_as_in_its_test_pulls_as_in_its_test():
    assert temperature_factor(20, 20) == Interval(1, 1, 1)


@given(cold=st.floats(-2, 45), warm=st.floats(-2, 45))
def test_cold_rubber_pulls_less_and_never_less_than_an_ideal_one(cold, warm):
    factor = temperature_factor(min(cold, warm), max(cold, warm))
    ideal = (min(cold, warm) + 273.15) / (max(cold, warm) + 273.15)
    assert factor.low == pytest.approx(ideal)
    assert factor.low <= factor.best <= factor.high <= 1
    warmer = temperature_factor(max(cold, warm), min(cold, warm))
    assert 1 <= warmer.low <= warmer.best <= warmer.high


def test_rubber_relaxes_by_the_same_part_in_each_decade():
    row = lookup("rubber.relaxation_per_decade")
    assert relaxation_factor(10) == Interval(1, 1, 1)
    for decades in (1, 2, 4):
        factor = relaxation_factor(10.0 ** (decades + 1))
        assert factor.best == pytest.approx(1 - decades * row.value)
        assert factor.low == pytest.approx(1 - decades * row.high)
        assert factor.high == pytest.approx(1 - decades * row.low)
    assert relaxation_factor(600, 60) == relaxation_factor(100, 10)


def test_the_returned_energy_is_the_stored_less_what_the_rubber_keeps():
    row = lookup("rubber.hysteresis_loss")
    held, back = stored_energy(BAND, BARREL), returned_energy(BAND, BARREL)
    assert back.best == pytest.approx(held * (1 - row.value))
    assert back.low == pytest.approx(held * (1 - row.high))
    assert back.high == pytest.approx(held * (1 - row.low))
    assert back.high < held


@pytest.mark.parametrize(("wrong", "said"), [
    ({"temperature": 80}, "temperature is 80 degrees Celsius"),
    ({"test_temperature": np.nan}, "test_temperature holds"),
    ({"tube_stiffness": Interval(0.01, 1, 2)}, "tube_stiffness is 0.01; accepted is 0.2 to 5"),
    ({"batch_length_spread": Interval(-1, 0, 1)}, "batch_length_spread is -1 m; accepted"),
    ({"sheave_friction": Interval(0, 0.5, 2)}, "sheave_friction is 2; accepted is 0 to 1"),
    ({"ageing_loss": None}, "ageing_loss is None; accepted here is Interval"),
    ({"sheave_friction": 0.05}, "sheave_friction is 0.05; accepted here is Interval"),
])
def test_conditions_out_of_range_are_refused_when_they_are_made(wrong, said):
    with pytest.raises(InputError, match=said):
        Conditions(**wrong)


def test_one_set_up_at_a_time():
    with pytest.raises(InputError, match="sheave_friction holds 2 values"):
        load_interval(BAND, Barrel(1.2, sheave_friction=[0.05, 0.1]))
