"""The pull at the notch: the way of the band, friction at the roller, and the cut length."""

import numpy as np
import pytest
from bandwork import InputError
from bandwork.components import Band, Barrel
from bandwork.rubber import ArrudaBoyce, NeoHookean, Yeoh, handbook_rubber, scaled
from bandwork.stretch import cut_length_for_load, notch_load, resting_distance, stored_energy
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

BAND = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
BARREL = Barrel(length=1.20)
SMOOTH = Barrel(length=1.20, sheave_friction=0.0)
PLAIN = Barrel(length=1.20, kind="conventional")
SHORT = Band(0.016, 0.003, 0.40)

frictions = st.floats(0, 0.5)
wraps = st.floats(0, 4)
barrels = st.builds(Barrel, length=st.floats(0.6, 1.6), sheave_friction=frictions,
                    sheave_wrap=wraps, sheave_radius=st.floats(0, 0.02))


def balance(band, barrel, ahead, driving=False):
    """An independent solution, of the relaxed length that lies in the upper run."""
    upper, lower = barrel.upper_run - ahead, barrel.lower_run
    ratio = np.exp(barrel.sheave_friction * barrel.sheave_wrap * (-1 if driving else 1))
    stress = band.rubber.engineering_stress
    end = 0.999999 * band.rubber.usable_stretch
    least = max(upper / end, band.relaxed_length - lower)
    most = min(upper, band.relaxed_length - lower / end)
    found = brentq(lambda x: stress(upper / x) - ratio * stress(lower / (band.relaxed_length - x)),
                   least + 1e-13, most - 1e-13, xtol=1e-15, rtol=1e-14)
    return band.legs * band.cross_section * stress(upper / found)


def test_the_way_of_a_roller_band_is_forward_round_and_back():
    assert BARREL.upper_run == pytest.approx(1.19)
    assert BARREL.lower_run == pytest.approx(1.19 + np.pi * 0.0125)
    assert BARREL.loaded_path == pytest.approx(2.38 + np.pi * 0.0125)
    assert BARREL.resting_path(0.65) == BARREL.lower_run
    assert resting_distance(BAND, BARREL) == BARREL.upper_run


def test_the_way_of_a_conventional_band_is_from_the_muzzle_to_the_notch():
    assert PLAIN.loaded_path == PLAIN.upper_run == pytest.approx(1.19)
    assert PLAIN.lower_run == 0
    assert PLAIN.friction_ratio == 1
    assert PLAIN.resting_path(0.4) == 0.4
    assert resting_distance(SHORT, PLAIN) == pytest.approx(0.79)


@pytest.mark.parametrize(("field", "by", "change"), [
    ("length", 0.1, 0.2), ("roller_offset", 0.01, 0.02), ("notch_position", 0.05, -0.05),
    ("anchor_position", 0.05, -0.05), ("sheave_radius", 0.002, 0.002 * np.pi),
    ("sheave_wrap", 0.5, 0.5 * 0.0125)])
def test_each_length_of_the_gun_moves_the_loaded_path_as_it_should(field, by, change):
    moved = Barrel(**{"length": 1.2, field: getattr(BARREL, field) + by})
    assert moved.loaded_path - BARREL.loaded_path == pytest.approx(change)


def test_without_friction_the_notch_feels_the_whole_band():
    for ahead in (0.0, 0.3, 1.19):
        path = SMOOTH.loaded_path - ahead
        for direction in ("loading", "driving"):
            assert notch_load(BAND, SMOOTH, ahead, direction) == pytest.approx(
                BAND.force(path), rel=1e-13)
    stiff = Barrel(length=1.2, kind="conventional", sheave_friction=0.9)
    assert notch_load(SHORT, stiff) == SHORT.force(1.19)


@settings(max_examples=60)
@given(barrel=barrels, part=st.floats(0.45, 0.9), ahead=st.floats(0, 0.9))
def test_friction_makes_loading_harder_and_driving_weaker_within_the_capstan(barrel, part, ahead):
    band = Band(0.016, 0.003, part * barrel.lower_run)
    ahead = ahead * barrel.upper_run
    plain = band.force(barrel.loaded_path - ahead)
    ratio = barrel.friction_ratio
    hard = notch_load(band, barrel, ahead)
    weak = notch_load(band, barrel, ahead, "driving")
    assert plain / ratio * (1 - 1e-9) <= weak <= plain * (1 + 1e-9)
    assert plain * (1 - 1e-9) <= hard <= plain * ratio * (1 + 1e-9)


@settings(max_examples=60)
@given(friction=st.floats(1e-4, 0.3), wrap=st.floats(0.1, 4), length=st.floats(0.6, 1.1),
       ahead=st.floats(0, 1.1), driving=st.booleans(),
       rubber=st.sampled_from([handbook_rubber(), NeoHookean(3e5), ArrudaBoyce(2.8e5, 26)]))
def test_the_balance_at_the_roller_is_that_of_an_independent_solution(
        friction, wrap, length, ahead, driving, rubber):
    band = Band(0.016, 0.003, length, rubber=rubber)
    barrel = Barrel(1.2, sheave_friction=friction, sheave_wrap=wrap)
    direction = "driving" if driving else "loading"
    assert notch_load(band, barrel, ahead, direction) == pytest.approx(
        balance(band, barrel, ahead, driving), rel=1e-8)


@pytest.mark.parametrize("friction", [1e-17, 1e-15, 1e-13, 1e-10, 1e-6, 1e-4])
@pytest.mark.parametrize("direction", ["loading", "driving"])
def test_a_very_small_friction_changes_very_little(friction, direction):
    """To first order the load changes by friction x wrap times a number near one half."""
    got = notch_load(BAND, Barrel(1.2, sheave_friction=friction), direction=direction)
    plain = BAND.force(BARREL.loaded_path)
    sign = 1 if direction == "loading" else -1
    change = sign * (got / plain - 1) / (friction * np.pi)
    if friction >= 1e-10:
        assert 0.4 < change < 0.6
    assert got == pytest.approx(plain, rel=2 * friction + 1e-14)


@pytest.mark.parametrize("direction", ["loading", "driving"])
def test_arrays_of_frictions_with_a_zero_among_them_are_answered_as_a_loop_would_be(direction):
    friction = np.array([0.0, 1e-16, 0.02, 0.05, 0.3])
    ahead = np.array([[0.0], [0.4]])
    many = notch_load(BAND, Barrel(1.2, sheave_friction=friction), ahead, direction)
    assert many.shape == (2, 5)
    for j, one in enumerate(friction):
        for i, short in enumerate(ahead[:, 0]):
            alone = notch_load(BAND, Barrel(1.2, sheave_friction=one), short, direction)
            assert many[i, j] == pytest.approx(alone, rel=1e-11)
    assert (np.sign(np.diff(many)) == (1 if direction == "loading" else -1)).all() or (
        np.abs(np.diff(many)[:, 0]) < 1e-9).all()


def test_every_part_may_be_an_array_at_once():
    rubber = scaled(handbook_rubber(), np.array([0.9, 1.0, 1.1]))
    band = Band([0.014, 0.016, 0.016], 0.003, [0.6, 0.65, 0.7], rubber=rubber)
    barrel = Barrel([1.1, 1.2, 1.3], sheave_friction=[0.02, 0.05, 0.1])
    many = notch_load(band, barrel)
    for i in range(3):
        alone = notch_load(
            Band([0.014, 0.016, 0.016][i], 0.003, [0.6, 0.65, 0.7][i],
                 rubber=scaled(handbook_rubber(), [0.9, 1.0, 1.1][i])),
            Barrel([1.1, 1.2, 1.3][i], sheave_friction=[0.02, 0.05, 0.1][i]))
        assert many[i] == pytest.approx(alone, rel=1e-11)
    assert notch_load(Band(0.016, 0.003, []), BARREL).shape == (0,)
    assert notch_load(BAND, BARREL, []).shape == (0,)
    assert isinstance(notch_load(BAND, BARREL), float)


def test_a_hundred_thousand_set_ups_are_one_call():
    rng = np.random.default_rng(3)
    band = Band(0.016, 0.003, rng.uniform(0.55, 0.75, 100_000))
    loads = notch_load(band, Barrel(1.2, sheave_friction=rng.uniform(0.02, 0.15, 100_000)))
    assert loads.shape == (100_000,)
    assert np.isfinite(loads).all()


def test_the_load_rises_all_the_way_to_the_notch():
    ahead = np.linspace(0, BARREL.upper_run, 60)
    for direction in ("loading", "driving"):
        assert (np.diff(notch_load(BAND, BARREL, ahead, direction)) < 0).all()


def test_at_the_roller_the_whole_capstan_is_felt():
    resting = BAND.force(BARREL.lower_run)
    for direction, power in (("loading", 1), ("driving", -1)):
        got = notch_load(BAND, BARREL, BARREL.upper_run, direction)
        assert got == pytest.approx(resting * BARREL.friction_ratio**power, rel=1e-9)


def test_a_band_almost_slack_at_rest_is_still_answered():
    """Longer than the lower run: the wishbone hangs loose at first, and pulls when loaded."""
    loose = Band(0.016, 0.003, BARREL.lower_run * 1.05)
    assert notch_load(loose, BARREL) > notch_load(loose, SMOOTH) > 0
    exactly = Band(0.016, 0.003, BARREL.lower_run)
    assert notch_load(exactly, BARREL, BARREL.upper_run) == pytest.approx(0, abs=1e-6)
    assert notch_load(exactly, BARREL, 1.0) > 0
    with pytest.raises(InputError, match="slack"):
        notch_load(loose, BARREL, BARREL.upper_run)
    hair = Band(0.016, 0.003, BARREL.loaded_path * (1 - 1e-7))
    assert 0 < notch_load(hair, BARREL, direction="driving") < notch_load(hair, BARREL) < 1e-3


def test_a_roller_held_too_fast_is_refused():
    stuck = Barrel(1.2, sheave_friction=1.0, sheave_wrap=2 * np.pi)
    with pytest.raises(InputError, match="sheave_friction holds the roller"):
        notch_load(Band(0.016, 0.003, 0.65, rubber=NeoHookean(3e5)), stuck)


def test_a_band_stretched_to_just_below_its_end_is_answered():
    end = handbook_rubber().usable_stretch
    band = Band(0.016, 0.003, SMOOTH.loaded_path / end * (1 + 1e-9))
    assert notch_load(band, SMOOTH) > 1e6
    tight = Band(0.016, 0.003, BARREL.loaded_path / (end * 0.99))
    assert notch_load(tight, BARREL) > notch_load(tight, SMOOTH)
    assert np.isfinite(notch_load(tight, BARREL, direction="driving"))


@pytest.mark.parametrize(("band", "barrel"), [(BAND, SMOOTH), (SHORT, PLAIN)])
def test_the_stored_energy_is_the_area_under_the_notch_load(band, barrel):
    area, _ = quad(lambda ahead: notch_load(band, barrel, ahead), 0,
                   resting_distance(band, barrel), epsrel=1e-10)
    assert stored_energy(band, barrel) == pytest.approx(area, rel=1e-7)


def test_with_friction_loading_costs_more_than_is_stored_and_driving_gives_less():
    def work(direction):
        return quad(lambda ahead: notch_load(BAND, BARREL, ahead, direction), 0,
                    BARREL.upper_run)[0]

    held = stored_energy(BAND, BARREL)
    assert work("driving") < held < work("loading")
    assert work("loading") / held < BARREL.friction_ratio
    assert held == stored_energy(BAND, SMOOTH)


@pytest.mark.parametrize("k", [0.7, 1.5])
def test_a_gun_k_times_as_large_needs_k2_and_stores_k3(k):
    band = Band(0.016 * k, 0.003 * k, 0.65 * k)
    barrel = Barrel(1.2 * k, roller_offset=0.02 * k, notch_position=0.03 * k,
                    anchor_position=0.03 * k, sheave_radius=0.0125 * k)
    assert notch_load(band, barrel) == pytest.approx(k**2 * notch_load(BAND, BARREL), rel=1e-9)
    assert stored_energy(band, barrel) == pytest.approx(k**3 * stored_energy(BAND, BARREL))


def test_a_stiffer_tube_scales_the_load_with_friction_too():
    stiff = Band(0.016, 0.003, 0.65, rubber=scaled(handbook_rubber(), 1.3))
    assert notch_load(stiff, BARREL) == pytest.approx(1.3 * notch_load(BAND, BARREL), rel=1e-9)
    four = Band(0.016, 0.003, 0.65, legs=4)
    assert notch_load(four, BARREL) == pytest.approx(2 * notch_load(BAND, BARREL), rel=1e-9)


@settings(max_examples=60)
@given(barrel=barrels, kind=st.sampled_from(["roller", "conventional"]), load=st.floats(20, 700),
       diameter=st.floats(0.012, 0.020), bore=st.floats(0, 0.005), legs=st.sampled_from([2, 4]))
def test_the_cut_length_pulls_with_the_load_it_was_cut_for(barrel, kind, load, diameter, bore,
                                                            legs):
    barrel = Barrel(barrel.length, kind=kind, sheave_friction=barrel.sheave_friction,
                    sheave_wrap=barrel.sheave_wrap)
    length = cut_length_for_load(load, barrel, diameter, bore, legs)
    band = Band(diameter, bore, length, legs)
    assert notch_load(band, barrel) == pytest.approx(load, rel=1e-7)
    assert 1 < band.stretch_ratio(barrel.loaded_path) < 7.6


def test_cut_lengths_come_in_arrays_and_fall_with_the_load():
    loads = np.linspace(200, 600, 9)
    lengths = cut_length_for_load(loads, BARREL, 0.016, 0.003)
    assert (np.diff(lengths) < 0).all()
    assert notch_load(Band(0.016, 0.003, lengths), BARREL) == pytest.approx(loads, rel=1e-8)
    assert isinstance(cut_length_for_load(400, BARREL, 0.016, 0.003), float)
    twice = cut_length_for_load(800, BARREL, 0.016, 0.003, legs=4)
    assert twice == pytest.approx(cut_length_for_load(400, BARREL, 0.016, 0.003))


def test_a_cut_length_by_a_law_that_turns_down_is_found_before_the_turn():
    """A fit to a short pull may turn down further out; that is no reason to refuse."""
    law = Yeoh(0.17e6, -1e3, -0.5)
    length = cut_length_for_load(300, BARREL, 0.016, 0.003, rubber=law)
    assert notch_load(Band(0.016, 0.003, length, rubber=law), BARREL) == pytest.approx(300)
    with pytest.raises(InputError, match="its law ends"):
        cut_length_for_load(600, BARREL, 0.016, 0.003, rubber=law)


def test_more_load_than_the_rubber_was_tested_for_is_refused():
    with pytest.raises(InputError, match="load is 3000 N; for this tube and 2 legs accepted is"):
        cut_length_for_load(3000, BARREL, 0.016, 0.003)
    most = 2 * BAND.cross_section * handbook_rubber().engineering_stress(7.6)
    assert cut_length_for_load(0.999 * most, SMOOTH, 0.016, 0.003) > 0.3
