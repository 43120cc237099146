"""Unit `stretch` and its parts: single terms, each against a sum or a formula by hand."""

import numpy as np
import pytest
from bandwork import InputError
from bandwork.components import Band, Barrel, Fitting, Shaft, ShootingLine

STRIPS = 200_000


def by_strips(diameter):
    """Second moment of a round: strips of width 2 sqrt(r^2 - y^2), each times y^2."""
    r = diameter / 2
    y = (np.arange(STRIPS) + 0.5) / STRIPS * 2 * r - r
    return np.sum(2 * np.sqrt(r**2 - y**2) * y**2) * 2 * r / STRIPS


def test_a_tube_and_a_shaft_resist_bending_as_their_strips_do():
    tube = Barrel(length=1.2, outer_diameter=0.03, wall=0.004)
    assert tube.second_moment == pytest.approx(by_strips(0.03) - by_strips(0.022), rel=1e-6)
    assert Shaft(0.007, 1.6).second_moment == pytest.approx(by_strips(0.007), rel=1e-6)


def test_a_wall_may_fill_the_tube_and_no_more():
    assert Barrel(1.2, outer_diameter=0.03, wall=0.015).bore == 0
    with pytest.raises(InputError, match="wall is more than half of outer_diameter"):
        Barrel(1.2, outer_diameter=0.03, wall=0.0151)


@pytest.mark.parametrize("place", ["notch_position", "anchor_position"])
def test_a_run_is_length_and_roller_offset_less_the_place_and_has_five_centimetres(place):
    """0.45 + 0.05 - 0.44 = 0.06 m is enough, 0.45 + 0.03 - 0.44 = 0.04 m is not."""
    Barrel(0.45, roller_offset=0.05, **{place: 0.44})
    with pytest.raises(InputError, match=rf"{place} leaves a run of 0.04 m"):
        Barrel(0.45, roller_offset=0.03, **{place: 0.44})


def floats(**given):
    return Fitting(**{"name": "a float", "mass": 0.1, "volume": 1e-4, "position": 0.3} | given)


ENDS = [
    (lambda value: Band(0.016, 0.003, value), "relaxed_length", 0.05, 3),
    (lambda value: floats(mass=value), "mass of a float", 0, 10),
    (lambda value: floats(volume=value), "volume of a float", 0, 0.01),
    (lambda value: floats(position=value), "position of a float", -1, 3),
    (lambda value: floats(height=value), "height of a float", -0.5, 0.5),
    (lambda value: floats(gas_share=value), "gas_share of a float", 0, 1),
    (lambda value: Barrel(1.2, sheave_wrap=value), "sheave_wrap", 0, 2 * np.pi),
]


@pytest.mark.parametrize(("make", "name", "low", "high"), ENDS)
def test_the_ends_of_a_range_are_accepted_and_what_lies_beyond_is_not(make, name, low, high):
    for end, beyond in ((low, low - 1e-3), (high, high * 1.001)):
        make(end)
        with pytest.raises(InputError, match=f"{name} is .*; accepted is"):
            make(beyond)


def test_a_line_is_folded_once_and_has_no_bungee_unless_told():
    assert ShootingLine(0.0015) == ShootingLine(0.0015, wraps=1, bungee_length=0)
