"""A band: area, mass, force and energy, and how they grow with its size."""

import numpy as np
import pytest
from bandwork import InputError
from bandwork.components import Band
from bandwork.rubber import ArrudaBoyce, MooneyRivlin, NeoHookean, Yeoh, handbook_rubber, scaled
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad

BAND = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
lengths = st.floats(0.2, 1.0)
stretches = st.floats(1.0, 7.0)


def test_the_wall_of_a_tube_is_a_ring():
    assert BAND.cross_section * 1e6 == pytest.approx(193.99, abs=0.01)
    assert Band(0.016, 0, 0.65).cross_section == pytest.approx(np.pi * 0.008**2)
    assert Band(0.016, [0.0, 0.003, 0.005], 0.65).cross_section.shape == (3,)


def test_mass_is_volume_times_density_of_all_legs():
    assert BAND.volume == pytest.approx(2 * BAND.cross_section * 0.65)
    assert BAND.mass == pytest.approx(950 * BAND.volume)
    assert Band(0.016, 0.003, 0.65, legs=4).mass == pytest.approx(2 * BAND.mass)


@given(length=lengths, s=stretches)
def test_the_force_is_area_times_stress_at_the_stretch(length, s):
    band = Band(0.016, 0.003, length)
    assert band.stretch_ratio(s * length) == pytest.approx(s)
    expected = 2 * band.cross_section * handbook_rubber().engineering_stress(s)
    assert band.force(s * length) == pytest.approx(expected, rel=1e-6, abs=1e-6)


@given(length=lengths, one=stretches, other=stretches)
def test_the_energy_is_the_area_under_the_force(length, one, other):
    band = Band(0.014, 0.002, length, rubber=NeoHookean(0.4e6))
    area, _ = quad(band.force, one * length, other * length, epsrel=1e-10)
    assert band.energy(one * length, other * length) == pytest.approx(area, rel=1e-8, abs=1e-9)


@given(a=stretches, b=stretches, c=stretches)
def test_energies_of_two_pulls_in_a_row_add_up(a, b, c):
    length = 0.65
    whole = BAND.energy(a * length, c * length)
    parts = BAND.energy(a * length, b * length) + BAND.energy(b * length, c * length)
    assert whole == pytest.approx(parts, rel=1e-9, abs=1e-6)
    assert BAND.energy(c * length, a * length) == pytest.approx(-whole, rel=1e-12, abs=1e-12)


@given(k=st.floats(0.6, 1.8), s=stretches)
def test_a_band_k_times_as_large_pulls_k2_holds_k3_and_weighs_k3(k, s):
    assume(s > 1.01)
    large = Band(0.016 * k, 0.003 * k, 0.65 * k)
    path = 0.65 * s
    assert large.force(k * path) == pytest.approx(k**2 * BAND.force(path), rel=1e-6)
    assert large.energy(0.65 * k, k * path) == pytest.approx(k**3 * BAND.energy(0.65, path),
                                                             rel=1e-6)
    assert large.mass == pytest.approx(k**3 * BAND.mass)


@pytest.mark.parametrize("path", [0.8, 1.5, 2.4])
def test_twice_the_legs_or_twice_the_modulus_pulls_twice_as_hard(path):
    four = Band(0.016, 0.003, 0.65, legs=4)
    stiff = Band(0.016, 0.003, 0.65, rubber=scaled(handbook_rubber(), 2.0))
    for other in (four, stiff):
        assert other.force(path) == pytest.approx(2 * BAND.force(path))
        assert other.energy(0.7, path) == pytest.approx(2 * BAND.energy(0.7, path))


def test_a_longer_cut_pulls_less_on_the_same_path():
    loads = Band(0.016, 0.003, np.linspace(0.4, 1.2, 30)).force(2.4)
    assert (np.diff(loads) < 0).all()


def test_arrays_are_answered_as_a_loop_would_be():
    lengths = np.array([0.6, 0.65, 0.7])
    paths = np.array([[2.0], [2.4]])
    many = Band([0.014, 0.016, 0.016], 0.003, lengths, density=[900, 950, 950])
    assert many.force(paths).shape == (2, 3)
    for i, (diameter, length) in enumerate(zip([0.014, 0.016, 0.016], lengths, strict=True)):
        one = Band(diameter, 0.003, length)
        for j, path in enumerate(paths[:, 0]):
            assert many.force(paths)[j, i] == pytest.approx(one.force(path), rel=1e-13)
            assert many.energy(1.2, paths)[j, i] == pytest.approx(one.energy(1.2, path))
    assert many.mass.shape == (3,)
    assert isinstance(BAND.force(2.4), float)
    assert isinstance(BAND.energy(1.2, 2.4), float)


def test_a_band_of_many_rubbers_is_answered_as_a_loop_would_be():
    mu = np.array([2e5, 3e5, 4e5])
    many = Band(0.016, 0.003, 0.65, rubber=NeoHookean(mu)).force(2.4)
    alone = [Band(0.016, 0.003, 0.65, rubber=NeoHookean(one)).force(2.4) for one in mu]
    assert many == pytest.approx(alone)


def test_a_leg_just_relaxed_pulls_nothing_and_a_slack_one_is_refused():
    assert BAND.force(0.65) == 0
    assert BAND.force(0.65 * (1 - 1e-12)) == 0
    with pytest.raises(InputError, match=r"slack: path_length is 0\.999 times"):
        BAND.force(0.65 * 0.999)
    with pytest.raises(InputError, match="slack: loaded_length"):
        BAND.energy(1.2, 0.5)


@pytest.mark.parametrize(("law", "end"), [
    (handbook_rubber(), "8.98421"), (ArrudaBoyce(0.28e6, 25.5), "8.73333"),
    (Yeoh(0.17e6, -2e3, -5.0), "3.7"), (MooneyRivlin(0.4e6, -0.75e6), "1,")])
def test_a_band_is_not_stretched_past_what_its_law_covers(law, end):
    band = Band(0.016, 0.003, 0.65, rubber=law)
    for pull in (lambda: band.force(6.0), lambda: band.energy(0.65, 6.0)):
        with pytest.raises(InputError, match=f"9.23077 times .* accepted is up to {end}"):
            pull()


def test_a_band_does_not_change_with_the_list_it_was_made_from():
    lengths = np.array([0.6, 0.7])
    band = Band(0.016, 0.003, lengths)
    lengths[:] = 99
    assert band.relaxed_length.tolist() == [0.6, 0.7]
