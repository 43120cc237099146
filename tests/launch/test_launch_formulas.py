"""Unit `launch`: single terms of its formulas, each against Newton's law worked out here."""

import numpy as np
import pytest
from bandwork.components import Band, Barrel, Shaft, Water
from bandwork.flight import added_mass
from bandwork.launch import ShotConditions, band_inertia, launch, track

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
