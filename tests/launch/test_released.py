"""A band that was loaded and let go: the roller holds its rubber before it slides."""

import numpy as np
import pytest
from bandwork.components import Band, Barrel, Shaft
from bandwork.launch import ShotConditions, launch, launch_many
from bandwork.stretch import cut_length_for_load, loaded_stretch, notch_load
from scipy.integrate import quad

BAND = Band(0.016, 0.003, 0.65)
SHAFT = Shaft(0.007, 1.60)


def rough(friction, kind="roller"):
    return Barrel(1.20, kind=kind, sheave_friction=friction)


def beads(barrel, steps=2000):
    """Follow the rubber of a leg by itself: it passes the roller only where it must.

    Nothing of the library but the law of the rubber: the relaxed length n in the upper run is kept
    until the pulls differ by more than the capstan allows, and then moves until they do not.
    """
    law, area = BAND.rubber, 2 * BAND.cross_section
    ratio = np.exp(barrel.sheave_friction * np.pi)
    upper, lower, whole = barrel.upper_run, barrel.lower_run, BAND.relaxed_length

    def where(run, wanted):
        low, high = 1e-9, whole - 1e-9
        for _ in range(80):
            n = (low + high) / 2
            over = law._stress(max(run / n, 1)) / law._stress(max(lower / (whole - n), 1 + 1e-9))
            low, high = (n, high) if over > wanted else (low, n)
        return (low + high) / 2

    n, pulls = where(upper, ratio), []
    ways = np.linspace(0, upper * 0.999, steps)
    for way in ways:
        run = upper - way
        pull, below = law._stress(max(run / n, 1)), law._stress(lower / (whole - n))
        if pull < below / ratio:
            n = where(run, 1 / ratio)
            pull = law._stress(max(run / n, 1))
        pulls.append(area * pull)
    return ways, np.array(pulls)


@pytest.mark.parametrize("friction", [0.02, 0.05, 0.15])
def test_the_pull_is_that_of_rubber_followed_step_by_step(friction):
    ways, pulls = beads(rough(friction))
    np.testing.assert_allclose(notch_load(BAND, rough(friction), ways, "released"), pulls,
                               rtol=1e-6)


@pytest.mark.parametrize("friction", [0.0, 0.05, 0.15, 0.3])
def test_it_begins_as_it_was_loaded_and_ends_as_it_drives(friction):
    barrel = rough(friction)
    pull = [notch_load(BAND, barrel, np.array([0.0, 1.19]), direction)
            for direction in ("loading", "released", "driving")]
    assert pull[1][0] == pytest.approx(pull[0][0], rel=1e-9)
    assert pull[1][1] == pytest.approx(pull[2][1], rel=1e-9)
    stress = pull[0][0] / (2 * BAND.cross_section)
    assert loaded_stretch(BAND, barrel) == pytest.approx(BAND.rubber.stretch_ratio(stress),
                                                         rel=1e-9)


def test_what_comes_back_lies_between_driving_and_loading():
    """A roller of 0.15 gives back 334 J where sliding from the start would give 275 J."""
    def work(direction):
        return quad(lambda way: notch_load(BAND, rough(0.15), way, direction), 0, 1.19,
                    limit=200, epsabs=1e-4)[0]

    assert work("driving") == pytest.approx(274.6, abs=0.5)
    assert work("released") == pytest.approx(334.1, abs=0.5)
    assert work("released") < work("loading")


def test_without_friction_and_on_a_conventional_gun_nothing_is_held():
    ways = np.linspace(0, 0.5, 6)
    short = Band(0.016, 0.003, 0.34)
    for band, barrel in ((BAND, rough(0.0)), (short, rough(0.3, "conventional"))):
        np.testing.assert_array_equal(notch_load(band, barrel, ways, "released"),
                                      notch_load(band, barrel, ways, "driving"))


def test_the_shot_takes_what_is_given_back():
    """Energy theorem: work on shaft and bands is the pull's integral less hysteresis."""
    for friction in (0.05, 0.15):
        shot = launch(BAND, SHAFT, rough(friction), None, ShotConditions(hysteresis_loss=0.1))
        back = quad(lambda way, mu=friction: notch_load(BAND, rough(mu), way, "released"), 0, 1.19,
                    limit=200, epsabs=1e-6)[0]
        parts = vars(shot.energy)
        got = sum(parts[name] for name in ("shaft", "bands", "recoil", "drag", "line"))
        assert got == pytest.approx(0.9 * back, rel=1e-6)


def test_many_at_once_are_within_a_thousandth_for_rough_rollers_too():
    frictions = np.array([0.0, 0.03, 0.08, 0.15, 0.3])
    many = launch_many(BAND, SHAFT, rough(frictions))
    for row, friction in enumerate(frictions):
        alone = launch(BAND, SHAFT, rough(friction))
        for name in ("muzzle_speed", "time_on_track", "peak_thrust", "peak_push",
                     "peak_acceleration", "recoil_impulse"):
            assert getattr(many, name)[row] == pytest.approx(getattr(alone, name), rel=1e-3)


def test_at_the_same_load_a_rougher_roller_is_slower():
    frictions = np.array([0.0, 0.05, 0.1, 0.2, 0.3])
    barrel = rough(frictions)
    cut = cut_length_for_load(450, barrel, 0.016, 0.003)
    assert (np.diff(launch_many(Band(0.016, 0.003, cut), SHAFT, barrel).muzzle_speed) < 0).all()
