"""Unit `launch`: single terms of its formulas, each against Newton's law worked out here."""

from dataclasses import astuple, replace

import numpy as np
import pytest
from bandwork.components import Band, Barrel, Shaft, Water
from bandwork.flight import added_mass
from bandwork.launch import (
    ShotConditions,
    _Motion,
    _prepare,
    _root,
    band_inertia,
    barrel_load,
    launch,
    launch_many,
    track,
)

BAND, SHAFT, BARREL, SEA = Band(0.016, 0.003, 0.65), Shaft(0.0075, 1.60), Barrel(1.20), Water()


@pytest.mark.parametrize("gun_mass", [None, 2.5])
def test_the_thrust_moves_the_shaft_and_bears_its_drag_and_the_line(gun_mass):
    area, line_pull = 2e-4, 60.0
    steps = track(BAND, SHAFT, BARREL, SEA, ShotConditions(
        gun_mass=gun_mass, shaft_drag_area=area, line_pull=line_pull))
    moved = SHAFT.mass + added_mass(SHAFT, SEA)[0]
    drag = SEA.density / 2 * area * steps.speed**2
    by_newton = moved * np.gradient(steps.speed, steps.time) + drag + line_pull
    inside = slice(2, -2)
    assert steps.thrust[inside] == pytest.approx(by_newton[inside], rel=1e-3)


def test_the_push_back_is_the_guns_mass_times_its_acceleration():
    steps = track(BAND, SHAFT, BARREL, SEA, ShotConditions(gun_mass=1.2))
    inside = slice(2, -2)
    by_newton = -1.2 * np.gradient(steps.gun_speed, steps.time)
    assert steps.push[inside] == pytest.approx(by_newton[inside], abs=1e-3 * steps.push.max())


def test_the_bands_inertia_is_that_at_the_notch_unless_told():
    """The lower run is l/p of the leg, and its speed rises evenly from the anchor: (l/p)^3 m/3."""
    part = BARREL.lower_run / (BARREL.upper_run + BARREL.lower_run)
    upper, lower, share = band_inertia(BAND, BARREL)
    assert lower == pytest.approx(BAND.mass / 3 * part**3, rel=1e-12)
    assert upper == pytest.approx(BAND.mass / 3 * (1 - part**3), rel=1e-12)
    assert share == pytest.approx(0.5 - part**2, rel=1e-12)


def test_the_bands_give_the_water_the_power_of_each_piece_that_rubs_it():
    """Skin friction of 2000 pieces, each by its own speed, summed along the drive."""
    conditions = ShotConditions(hysteresis_loss=0, shaft_drag_area=0, band_skin_friction=0.01,
                                wishbone_drag_area=0, line_pull=0)
    steps = track(BAND, SHAFT, BARREL, SEA, conditions)
    share = (np.arange(2000) + 0.5) / 2000
    power = []
    for way, speed in zip(steps.position, steps.speed, strict=True):
        path = BARREL.loaded_path - way
        outline = np.pi * BAND.outer_diameter / np.sqrt(path / BAND.relaxed_length)
        rubbed = SEA.density / 2 * 0.01 * outline * path / 2000 * (speed * share) ** 2
        power.append(BAND.legs * (rubbed * speed * share).sum())
    energy = launch(BAND, SHAFT, BARREL, SEA, conditions).energy
    assert np.trapezoid(power, steps.time) == pytest.approx(energy.drag, rel=2e-3)


@pytest.mark.parametrize("gun", [2.5, np.inf])
@pytest.mark.parametrize("u", [13.0, 1.0])
def test_the_accelerations_obey_lagranges_equations_for_heavy_bands_in_heavy_water(gun, u):
    """d/dt dT/du - dT/dx = Q, worked by hand from the kinetic energy in the module's text.

    T = M/2 (u + w)^2 + m/2 (u^2/3 + 2 q u w + w^2) + G/2 w^2 with q = 1/2 - l^2/(p0 - x)^2.
    """
    shaft, shaft_water, wishbone, band, band_water = 0.5, 0.2, 0.1, 0.7, 0.3
    line, shaft_drag, wishbone_drag, band_drag, p0, low = 7.0, 0.03, 0.02, 0.05, 2.3, 1.1
    x, w, pull = 0.4, -3.0, 400.0
    motion = _Motion(shaft, shaft_water, wishbone, band, band_water, gun, line, shaft_drag,
                     wishbone_drag, band_drag, p0, low, stored=0.0)
    a, b, thrust, push, drag, power = motion.accelerations(x, u, w, pull)
    front, m = shaft + shaft_water + wishbone, band + band_water
    q, q_slope = 0.5 - low**2 / (p0 - x) ** 2, -2 * low**2 / (p0 - x) ** 3
    squared = (u + w) * abs(u + w)  # drag is against the motion: backward at u = 1 m/s
    on_front = (shaft_drag + wishbone_drag) * squared
    on_bands = band_drag * (p0 - x) ** 0.5 * u**2
    assert drag == pytest.approx(on_front, rel=1e-12)
    assert power == pytest.approx(on_front * (u + w) + on_bands * u, rel=1e-12)
    assert front * (a + b) + m * (a / 3 + q * b) == pytest.approx(
        pull - line - on_front - on_bands, rel=1e-12)
    of_all_but_the_gun = front * (a + b) + m * (q * a + q_slope * u**2 + b)
    assert push == pytest.approx(of_all_but_the_gun + on_front, rel=1e-12)
    assert (b == 0) if np.isinf(gun) else (push == pytest.approx(-gun * b, rel=1e-12))
    assert thrust == pytest.approx(
        (shaft + shaft_water) * (a + b) + shaft_drag * squared + line, rel=1e-12)


def test_the_numbers_of_the_motion_are_those_of_the_parts():
    """Four legs on two wishbones; Lamb's k for a slender spheroid, Hydrodynamics, ch. 5 (memory).

    The stretched leg is a rod of its own volume: p long, D sqrt(L/p) thick. A piece of it at the
    share y of its length moves with u y and rubs with (u y)^2, so its power is a quarter.
    """
    band = Band(0.016, 0.003, 0.65, legs=4)
    given = ShotConditions(wishbone_mass=0.02, wishbone_drag_area=3e-4, shaft_drag_area=2e-4,
                           band_skin_friction=0.006, line_pull=9.0)
    motion, drive, _ = _prepare(band, SHAFT, BARREL, SEA, given)
    path, rho = BARREL.loaded_path, SEA.density
    width = 0.016 * (0.65 / path) ** 0.5
    e = (1 - (width / path) ** 2) ** 0.5
    alpha = 2 * (1 - e**2) / e**3 * (np.log((1 + e) / (1 - e)) / 2 - e)
    assert motion.band_water == pytest.approx(
        rho * band.mass / band.density * alpha / (2 - alpha), rel=1e-6)
    assert motion.wishbone == pytest.approx(2 * 0.02)
    assert motion.wishbone_drag == pytest.approx(rho / 2 * 2 * 3e-4)
    assert motion.shaft_drag == pytest.approx(rho / 2 * 2e-4)
    moved = 0.4
    length = path - moved
    rubbed = 4 * np.pi * 0.016 * (0.65 / length) ** 0.5 * length
    assert motion.band_drag * length**0.5 == pytest.approx(rho / 2 * 0.006 * rubbed / 4)
    assert motion.band == band.mass
    assert motion.shaft_water == added_mass(SHAFT, SEA)[0]
    assert (motion.path, motion.lower, motion.line) == (path, BARREL.lower_run, 9.0)
    assert float(drive) == pytest.approx(BARREL.upper_run)


def test_no_energy_is_lost_when_a_braked_wishbone_lets_a_free_guns_shaft_go_early():
    """The bands still move then, with the gun and against it: m q u w is part of their energy."""
    conditions = ShotConditions(gun_mass=1.0, wishbone_drag_area=0.0015)
    shot = launch(BAND, SHAFT, BARREL, SEA, conditions)
    assert shot.drive_length < 0.95 * BARREL.upper_run
    assert shot.recoil_speed > 2
    stored, *parts = astuple(shot.energy)
    assert sum(parts) == pytest.approx(stored, rel=1e-9)


def test_a_barrel_bent_down_bears_the_stress_of_one_bent_up():
    """Without friction both runs pull alike, so height and depth change places by a mirror."""
    smooth = replace(BARREL, sheave_friction=0)
    up, down = barrel_load(BAND, smooth, 0.03, 0.01), barrel_load(BAND, smooth, 0.01, 0.03)
    assert down.bending_moment == pytest.approx(-up.bending_moment)
    assert down.deflection == pytest.approx(-up.deflection)
    assert down.stress == pytest.approx(up.stress)
    assert down.safety_factor == pytest.approx(up.safety_factor)


def test_the_peak_acceleration_is_the_shafts_through_the_water_also_on_a_free_gun():
    conditions = ShotConditions(gun_mass=1.2)
    steps = track(BAND, SHAFT, BARREL, SEA, conditions)
    most = np.gradient(steps.speed, steps.time, edge_order=2).max()
    for shoot in (launch, launch_many):
        shot = shoot(BAND, SHAFT, BARREL, SEA, conditions)
        assert shot.peak_acceleration == pytest.approx(most, rel=2e-3)


@pytest.mark.parametrize("other", [2.0, 5.0, -3.0])
@pytest.mark.parametrize("root", [0.05, 0.3, 0.9])
def test_a_parabola_falls_to_nothing_at_its_root(root, other):
    values = [3 * (root - x) * (other - x) * np.sign(other) for x in (0.0, 0.5, 1.0)]
    assert _root(*values) == pytest.approx(root, rel=1e-12)
