"""Unit `line`: single terms of its formulas, against closed forms and how they must scale."""

from dataclasses import replace

import numpy as np
import pytest
from bandwork import InputError
from bandwork.components import Barrel, Shaft, ShootingLine, Water
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.line import (
    LineRun,
    Swing,
    bow,
    cord_strength,
    end_shock,
    laid_length,
    line_length,
    stiffness,
    strength_margin,
    swing_bow,
    wrap_span,
)
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar

BARREL, SHAFT = Barrel(1.20), Shaft(0.007, 1.60)


def test_a_line_neither_slack_nor_tight_bows_with_the_rate_to_two_thirds_up_to_the_fastest():
    # Without slack the cubic is T^3 = load^2/give times a length: the bow goes as load^(1/3),
    # and the load as the square of the rate.
    stiff = ShootingLine(0.003, wraps=0, stiffness=2e5)
    gun = Barrel(1.60), Shaft(0.007, 2.00), stiff, Water()
    slow, fast = (swing_bow(*gun, swing=Swing(rate=rate, pivot_position=-2.0, drag_coefficient=3.0))
                  for rate in (0.1, 10.0))
    assert fast / slow == pytest.approx(100 ** (2 / 3), rel=1e-9)


def test_the_pull_in_a_loose_line_solves_its_cubic_where_the_closed_form_changes_branch():
    """T from slack + T give = c^2 H/T^2 by root finding; shape and H by quadrature.

    The closed form takes a cosine below x = 1 and a hyperbolic cosine above, x = q/2 (3/p)^1.5;
    the slacks here lie on both sides of it and close to it.
    """
    rope = ShootingLine(0.0017, wraps=1, bungee_length=0.2)
    run, swing, water = LineRun(release_position=-0.2), Swing(), Water()
    inner, span = run.release_position - swing.pivot_position, wrap_span(BARREL, run)
    c = water.density / 2 * swing.drag_coefficient * rope.diameter * swing.rate**2

    # T y'' = -c r^2 and y = 0 at both ends.
    mean = ((inner + span) ** 4 - inner**4) / (12 * span)

    def slope(r):
        return c * (mean - r**3 / 3)

    half_square = quad(lambda r: slope(r) ** 2 / 2, inner, inner + span)[0]
    peak = -minimize_scalar(lambda r: -quad(slope, inner, r)[0], (inner, inner + span / 2),
                            method="golden").fun
    give = 1 / stiffness(rope, line_length(BARREL, SHAFT, rope, run))
    border = 3 * (give / half_square / 2) ** (2 / 3) * half_square
    slacks = border / np.array([0.5, 0.9, 0.98, 1.01, 1.03, 1.06, 1.09, 1.5]) ** (2 / 3)
    bows = swing_bow(BARREL, SHAFT, rope, water, run, swing, slack=slacks)
    for slack, ours in zip(slacks, bows, strict=True):
        pull = brentq(lambda t, s=slack: s + t * give - half_square / t**2, 1e-6, 1e4, xtol=1e-12)
        assert ours == pytest.approx(peak / pull, rel=1e-7)


def test_a_line_laid_without_pull_fills_the_path_with_bungee_and_fittings():
    run, rope = LineRun(fittings=0.04), ShootingLine(0.0017, wraps=2, bungee_length=0.15)
    assert line_length(BARREL, SHAFT, rope, run) == pytest.approx(
        laid_length(BARREL, SHAFT, rope, run) - 0.15 - 0.04, rel=1e-12)


def test_a_bow_is_given_for_slack_up_to_a_fifth_of_the_run():
    assert bow(0.2, 1.0) == pytest.approx(np.sqrt(0.075), rel=1e-12)
    with pytest.raises(InputError, match="up to a fifth"):
        bow(0.2001, 1.0)


def test_a_gun_is_swung_about_the_shoulder_an_arm_behind_the_handle():
    behind = lookup("diver.arm_length").value
    assert Swing().pivot_position + behind == pytest.approx(lookup("handle.position").value)


@pytest.mark.parametrize(("millimetres", "times"), [(1.7, 1), (3.4, 4), (0.85, 0.25)])
def test_a_cord_of_the_handbooks_diameter_has_the_handbooks_strength(millimetres, times):
    told, row = cord_strength(millimetres / 1000), lookup("line.breaking_strength")
    assert (told.low, told.best, told.high) == pytest.approx(
        (times * row.low, times * row.value, times * row.high), rel=1e-12)


@pytest.mark.parametrize("stiff", [100.0, 1e6])
def test_the_doubt_of_a_stiffness_never_leaves_what_a_line_may_have(stiff):
    rope = ShootingLine(0.0017, stiffness=stiff)
    told = strength_margin(Interval(1e3, 1e3, 1e3), rope, 3.6, SHAFT, 10.0)
    best, end = (1e3 / end_shock(replace(rope, stiffness=each), 3.6, SHAFT, 10.0).tension
                 for each in (stiff, 1e6 if stiff == 1e6 else 100.0))
    assert told.best == pytest.approx(best, rel=1e-12)
    assert (told.low if stiff == 1e6 else told.high) == pytest.approx(end, rel=1e-12)
