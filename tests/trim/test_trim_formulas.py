"""Unit `trim`: single terms of its formulas, each worked out here in another way."""

from dataclasses import replace

import numpy as np
import pytest
from bandwork import InputError
from bandwork.components import Band, Barrel, Fitting, Shaft, ShootingLine, Water
from bandwork.trim import (
    Part,
    at_rest,
    balance_with_one,
    balance_with_two,
    gun_trim,
    sum_parts,
)
from scipy.optimize import minimize

FRESH = 1000.0


def angle_of_least_energy(parts, density, angle=0.0):
    """Angle of the muzzle at which weight and water together have the least energy.

    Integrated over round bodies with parts of a chord of width 2 sqrt(r^2 - y^2) by Gauss and
    Chebyshev's nodes and over stations along the axis: no segment's area, no middle of it.
    """
    n = 300
    turn = np.pi * np.arange(1, n + 1) / (n + 1)
    across, share = np.cos(turn), np.sin(turn) ** 2 * 2 / (n + 1)
    along = (np.arange(n) + 0.5) / n - 0.5

    def energy(state):
        height, angle = state
        total = 0.0
        for part in parts:
            place = part.position + part.length * along[:, None]
            rise = (height + place * np.sin(angle)
                    + (part.height + part.diameter / 2 * across) * np.cos(angle))
            total += part.mass * (height + part.position * np.sin(angle)
                                  + part.height * np.cos(angle))
            total -= density * part.volume * np.mean(np.minimum(rise, 0) @ share)
        return total

    found = minimize(energy, [0.05, angle], method="Nelder-Mead",
                     options={"xatol": 1e-8, "fatol": 1e-14, "maxiter": 2000})
    return found.x[1]


def drum(x, length, diameter, density, height=0.0):
    volume = np.pi / 4 * diameter**2 * length
    return Part("drum", density * volume, volume, x, height, length, diameter)


STUBBY = {
    "as long as thick": (drum(0.0, 0.20, 0.20, 200.0), Part("keel", 1.5, 0.0, 0.05, -0.08)),
    "thicker than long": (drum(0.0, 0.10, 0.20, 150.0), Part("keel", 0.8, 0.0, 0.04, -0.10)),
    "high on the water": (drum(0.0, 0.40, 0.40, 40.0), Part("keel", 0.4, 0.0, 0.19, -0.10)),
    "one above the other": (drum(0.05, 0.20, 0.10, 200.0, 0.08),
                            drum(-0.05, 0.15, 0.12, 500.0, -0.04),
                            Part("keel", 0.2, 0.0, -0.06, -0.12)),
}


@pytest.mark.parametrize("parts", STUBBY.values(), ids=STUBBY)
def test_a_stubby_body_lies_where_its_energy_is_least_even_far_from_level(parts):
    """0.02 degrees is what the 40 slices of a part allow."""
    lies = at_rest(sum_parts(parts, FRESH))
    expected = angle_of_least_energy(parts, FRESH)
    assert lies.floats
    assert abs(np.degrees(expected)) > 5
    assert np.degrees(lies.angle) == pytest.approx(np.degrees(expected), abs=0.02)


@pytest.mark.parametrize("angle", [-1.2, -0.4, 0.4, 1.2])
def test_a_gun_comes_to_rest_the_same_way_from_wherever_it_is_let_go(angle):
    gun = gun_trim(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60),
                   Barrel(1.20, others=(Fitting("lead", 0.1, 9e-6, 1.0),)),
                   ShootingLine(0.0017), Water(), "shaft_out")
    lies, rests = at_rest(gun), angle_of_least_energy(gun.parts, gun.water_density, angle)
    assert lies.floats
    assert np.degrees(lies.angle) == pytest.approx(np.degrees(rests), abs=0.1)


@pytest.mark.parametrize("parts", STUBBY.values(), ids=STUBBY)
@pytest.mark.parametrize(("ahead", "up"), [(0.0, 2.0), (0.0, -2.0), (3.0, 0.0), (-3.0, 1.0)])
def test_from_where_places_are_measured_changes_nothing(parts, ahead, up):
    moved = tuple(replace(part, position=part.position + ahead, height=part.height + up)
                  for part in parts)
    one, other = (at_rest(sum_parts(these, FRESH)) for these in (parts, moved))
    assert other.angle == pytest.approx(one.angle, abs=1e-7)


def test_under_water_a_gun_hangs_with_its_buoyancy_straight_above_its_mass():
    # A metre of float 1 cm above the axis, a lead 30 cm ahead and 3 cm below it. Turned by the
    # angle, both centres have the same place along the horizon.
    hung = sum_parts((Part("float", 0.4, 1e-3, 0.0, 0.01), Part("lead", 1.6, 2e-4, 0.3, -0.03)),
                     FRESH)
    of_mass = np.array([1.6 * 0.3, 0.4 * 0.01 - 1.6 * 0.03]) / 2.0
    of_volume = np.array([0.2 * 0.3, 1.0 * 0.01 - 0.2 * 0.03]) / 1.2
    apart = of_volume - of_mass
    turned = hung.submerged_angle
    assert apart[0] * np.cos(turned) - apart[1] * np.sin(turned) == pytest.approx(0, abs=1e-12)
    assert apart[0] * np.sin(turned) + apart[1] * np.cos(turned) > 0


def test_a_piece_is_as_much_denser_or_lighter_than_the_water_as_the_text_says():
    sinks, floats = (sum_parts((Part("bar", mass, 1e-3, 0.5, length=1.0),), FRESH)
                     for mass in (1.5, 0.5))
    assert balance_with_one(sinks, float_density=999).volume == pytest.approx(0.5)
    assert balance_with_one(floats, ballast_density=1001).volume == pytest.approx(0.5)
    for what in ({"float_density": 999.01}, {"ballast_density": 1000.99}):
        with pytest.raises(InputError, match="kg/m3"):
            balance_with_one(sinks, **what)


def test_a_place_is_on_the_gun_from_one_end_of_a_bar_to_the_other():
    bar = sum_parts((Part("bar", 1.2, 1e-3, 0.3, length=1.0),), FRESH)
    for aft, fore, on_gun in ((-0.199, 0.799, [True, True]), (-0.201, 0.801, [False, False])):
        assert [piece.on_gun for piece in balance_with_two(bar, aft, fore)] == on_gun
