"""Unit `stretch` and its parts: single terms, each against a sum or a formula by hand."""

from decimal import Decimal, localcontext

import numpy as np
import pytest
from bandwork import InputError
from bandwork.components import Band, Barrel, Fitting, Shaft, ShootingLine
from bandwork.interval import Interval
from bandwork.rubber import (
    ArrudaBoyce,
    Gent,
    GentGent,
    NeoHookean,
    _log_ratio,
    fit_rubber,
    handbook_rubber,
    inverse_langevin,
    langevin,
)
from bandwork.stretch import Conditions, loaded_stretch, notch_load, warmed
from scipy.optimize import brentq

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


def conditions(name):
    return lambda value: Conditions(**{name: Interval(value, value, value)})


ENDS = [
    (conditions("tube_stiffness"), "tube_stiffness", 0.2, 5),
    (conditions("batch_length_spread"), "batch_length_spread", -0.1, 0.1),
    (conditions("ageing_loss"), "ageing_loss", 0, 0.5),
    (conditions("sheave_friction"), "sheave_friction", 0, 1),
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


@pytest.mark.parametrize(("law", "more"), [(Gent, {}), (GentGent, {"c2": 1e5}), (ArrudaBoyce, {})])
@pytest.mark.parametrize("longest", [1.5, 4.0, 7.0])
def test_the_least_parameter_ends_the_law_just_past_the_longest_pull(law, more, longest):
    """I1 = s^2 + 2/s there; a ten-thousandth more of it is at most a ten-thousandth of s."""
    end = law(mu=3e5, **law.least(longest), **more).limiting_stretch
    assert longest < end < longest * 1.00015


@pytest.mark.parametrize("b", [1e-4, 0.03, 0.099999, 0.1, 0.5, 3.0])
def test_the_series_for_small_chains_are_right_to_the_last_digit(b):
    """coth b - 1/b and ln(b/sinh b) with 60 digits, by Python's decimal numbers."""
    with localcontext() as context:
        context.prec = 60
        exact = Decimal(b)
        up, down = exact.exp(), (-exact).exp()
        chain = (up + down) / (up - down) - 1 / exact
        work = (2 * exact / (up - down)).ln()
    tolerance = 3e-15 if b < 0.1 else 5e-13  # above the series the difference loses digits
    assert langevin(b) == pytest.approx(float(chain), rel=tolerance, abs=0)
    assert float(_log_ratio(np.asarray(b))) == pytest.approx(
        float(work), rel=max(1e-12, 10 * tolerance), abs=0)


def test_a_straight_chain_is_refused():
    with pytest.raises(InputError, match="x is 1; accepted is 0 to"):
        inverse_langevin(1.0)


@pytest.mark.parametrize(("part", "hardly"), [(0.1, False), (0.48, False), (0.52, True)])
def test_the_standard_error_of_a_straight_fit_is_that_of_the_textbook(part, hardly):
    """P = mu p with p = s - 1/s^2 is a straight line: error^2 = sum of r^2/((m - 1) sum of p^2).

    Two points, and residuals at right angles to p: the error is then `part` of mu.
    """
    mu, s = 0.3e6, np.array([2.0, 3.0])
    p = s - 1 / s**2
    misses = part * mu * np.array([p[1], -p[0]])
    fit = fit_rubber(s, mu * p + misses, NeoHookean)
    assert fit.rubber.mu == pytest.approx(mu, rel=1e-6)
    assert fit.standard_errors[0] == pytest.approx(part * mu, rel=1e-6)
    assert fit.worst == pytest.approx(max(abs(misses) / (mu * p + misses)), rel=1e-6)
    assert any("hardly fix mu" in told for told in fit.cautions) == hardly


def test_a_rubber_was_measured_at_twenty_degrees_unless_told():
    law = handbook_rubber()
    assert warmed(law, 20.0) == law
    assert warmed(law, 10.0) == warmed(law, 10.0, 20.0)


def test_a_released_band_gives_way_in_its_upper_run_alone_until_it_slides():
    """Neo-Hookean rubber and the capstan law (Baker and Haynes, ch. 9), solved here.

    Loaded: u/s_u + l/s_l = L and P(s_u) = R P(s_l), P = mu (s - 1/s^2). Let go, the roller keeps
    the rubber of each run, so the upper one's stretch falls with its length; once it pulls 1/R
    times as hard as the lower one it slides, and L is shared out with 1/R.
    """
    mu, length, wrap, friction = 0.4e6, 0.65, np.pi, 0.12
    barrel = Barrel(1.2, sheave_wrap=wrap, sheave_friction=friction)
    band = Band(0.016, 0.003, length, rubber=NeoHookean(mu))
    area, u, low = 2 * np.pi / 4 * (0.016**2 - 0.003**2), barrel.upper_run, barrel.lower_run

    def pull(s):
        return mu * (s - 1 / s**2)

    def shared(upper, ratio):
        return brentq(lambda s: pull(s) - ratio * pull(low / (length - upper / s)),
                      upper / (length - low / 30), 10.0)

    loaded = shared(u, np.exp(friction * wrap))
    assert loaded_stretch(band, barrel) == pytest.approx(loaded, rel=1e-9)
    for moved in (0.02, 0.1):
        by_hand = area * pull(loaded * (u - moved) / u)
        assert notch_load(band, barrel, moved, "released") == pytest.approx(by_hand, rel=1e-9)
        assert by_hand > 1.05 * area * pull(shared(u - moved, np.exp(-friction * wrap)))
    for moved in (0.6, 0.9):
        by_hand = area * pull(shared(u - moved, np.exp(-friction * wrap)))
        assert notch_load(band, barrel, moved, "released") == pytest.approx(by_hand, rel=1e-9)
    assert notch_load(band, barrel, u, "released") == notch_load(band, barrel, u, "driving")
    smooth = Barrel(1.2, sheave_wrap=wrap, sheave_friction=0)
    assert loaded_stretch(band, smooth) == pytest.approx((u + low) / length, rel=1e-12)
