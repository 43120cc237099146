"""`setup`: where its warnings begin, and that a fast shaft's end shock is not cut short."""

from dataclasses import replace

import pytest
from bandwork.components import Band, Barrel, Diver, Fitting, Shaft, ShootingLine, Water
from bandwork.interval import Interval
from bandwork.line import end_shock
from bandwork.setup import Assumptions, Setup, compare, predict

GUN = Setup(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), Barrel(1.20),
            ShootingLine(0.0017, bungee_length=0.20), Water(18), Diver(500, 0.9), 0.30)


def of_strength(force):
    return predict(GUN, assumptions=Assumptions(line_strength=Interval(force, force, force)))


@pytest.mark.parametrize(("low", "told"), [(0.95, True), (1.05, False)])
def test_the_line_is_named_just_where_its_weakest_margin_falls_below_one(low, told):
    got = of_strength(1000 * low / of_strength(1000).line_margin.low)
    assert got.line_margin.low == pytest.approx(low, rel=1e-9)
    assert any("break where it stops" in one for one in got.cautions) is told


@pytest.mark.parametrize(("best", "word"), [(0.95, "is likely to"), (1.05, "may")])
def test_the_line_is_likely_to_break_just_where_its_best_margin_falls_below_one(best, word):
    got = of_strength(1000 * best / of_strength(1000).line_margin.best)
    assert any(f"line {word} break" in one for one in got.cautions)


@pytest.mark.parametrize("shaft", ["in", "out"])
def test_a_gun_floats_from_the_first_tenth_of_a_newton(shaft):
    """Volume of foam is added until the lift is the wanted one: in the sea 1 litre lifts 10 N."""
    def floated(litres):
        foam = Fitting("foam", 0.0, litres / 1000, 0.6)
        return predict(replace(GUN, barrel=Barrel(1.20, others=(Fitting("lead", 1.0, 0.0, 0.6),
                                                                foam))))

    lift = f"net_force_shaft_{shaft}"
    without = getattr(floated(0), lift)
    a_litre = getattr(floated(1), lift) - without
    for wanted in (-0.1, 0.1):
        told = floated((wanted - without) / a_litre)
        assert getattr(told, lift) == pytest.approx(wanted, abs=1e-6)
        assert getattr(told, f"floats_shaft_{shaft}") is (wanted > 0)


def test_a_diver_without_a_load_assist_reaches_as_far_as_with_one_of_no_length():
    without = Setup(*(getattr(GUN, part) for part in ("band", "shaft", "barrel", "line", "water",
                                                      "diver")))
    assert predict(without).reach_spare == predict(replace(GUN, assist_length=0.0)).reach_spare


def test_an_input_changes_by_the_new_less_the_old():
    longer = replace(GUN, shaft=Shaft(0.007, 1.75))
    (change,) = compare(GUN, longer).inputs
    assert change.difference == pytest.approx(0.15, rel=1e-9)


def test_the_end_shock_of_a_fast_shaft_goes_by_the_speed_it_arrives_with():
    fast = replace(GUN, band=Band(0.016, 0.003, 0.60, legs=8), shaft=Shaft(0.006, 1.60),
                   line=ShootingLine(0.001, wraps=0, bungee_length=0.05))
    told = predict(fast)
    assert told.speed_at_reach > 30.5
    assert told.end_tension == pytest.approx(
        end_shock(fast.line, told.line_length, fast.shaft, told.speed_at_reach).tension, rel=1e-12)
    slow = predict(replace(fast, band=replace(fast.band, legs=2)))
    assert told.line_margin.best * told.end_tension == pytest.approx(
        slow.line_margin.best * slow.end_tension, rel=1e-9)
