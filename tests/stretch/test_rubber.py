"""The laws of rubber: the stress is the slope of the energy, and what else follows from that."""

from math import inf

import numpy as np
import pytest
from bandwork import InputError
from bandwork.rubber import (
    LAWS,
    ArrudaBoyce,
    Gent,
    GentGent,
    MooneyRivlin,
    NeoHookean,
    Yeoh,
    handbook_rubber,
    inverse_langevin,
    langevin,
    scaled,
)
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

RUBBERS = [
    NeoHookean(0.31e6), MooneyRivlin(0.14e6, 0.034e6), MooneyRivlin(0.2e6, -0.03e6),
    Yeoh(0.176e6, -1854.0, 46.4), Gent(0.248e6, 79.4), Gent(0.3e6, 12.0), handbook_rubber(),
    GentGent(0.24e6, 78.0, 0.0), ArrudaBoyce(0.278e6, 25.5), ArrudaBoyce(0.3e6, 1e4),
]
SHEAR_MODULUS = {
    NeoHookean: lambda law: law.mu,
    MooneyRivlin: lambda law: 2 * (law.c10 + law.c01),
    Yeoh: lambda law: 2 * law.c10,
    Gent: lambda law: law.mu,
    GentGent: lambda law: law.mu + 2 * law.c2 / 3,
    ArrudaBoyce: lambda law: law.mu * (1 + 3 / 5 / law.n + 99 / 175 / law.n**2),
}
each = pytest.mark.parametrize("law", RUBBERS, ids=repr)
pascal = st.floats(1e4, 1e7)
rubbers = st.one_of(
    st.builds(NeoHookean, pascal), st.builds(MooneyRivlin, pascal, pascal),
    st.builds(Yeoh, pascal, st.just(-500.0), st.floats(20, 1e3)),
    st.builds(Gent, pascal, st.floats(5, 500)),
    st.builds(GentGent, pascal, st.floats(5, 500), pascal),
    st.builds(ArrudaBoyce, pascal, st.floats(3, 500)))


def far(law):
    return min(law.usable_stretch, 8.0)


@each
def test_the_energy_is_the_area_under_the_stress(law):
    for s in np.linspace(1.01, 0.99 * far(law), 9):
        area, _ = quad(law.engineering_stress, 1, s, epsrel=1e-11)
        assert law.strain_energy_density(s) == pytest.approx(area, rel=1e-9)


@each
def test_at_rest_there_is_neither_stress_nor_energy(law):
    assert law.engineering_stress(1) == 0
    assert law.strain_energy_density(1) == 0


@each
def test_near_rest_the_stress_is_three_shear_moduli_times_the_strain(law):
    """No digits are lost: energy 3/2 G strain^2 is right even at a strain of 1e-6."""
    modulus = SHEAR_MODULUS[type(law)](law)
    strain = 1e-6
    assert law.engineering_stress(1 + strain) == pytest.approx(3 * modulus * strain, rel=1e-4)
    if not isinstance(law, ArrudaBoyce):
        assert law.strain_energy_density(1 + strain) == pytest.approx(
            1.5 * modulus * strain**2, rel=1e-4)


@each
def test_the_stress_rises_up_to_the_usable_stretch(law):
    s = np.linspace(1, law.usable_stretch, 500)
    assert (np.diff(law.engineering_stress(s)) > 0).all()
    assert (np.diff(law.strain_energy_density(s)) > 0).all()


@each
def test_an_array_is_answered_as_a_loop_would_be(law):
    s = np.linspace(1, 0.95 * far(law), 12).reshape(3, 4)
    for method in (law.engineering_stress, law.strain_energy_density):
        whole = method(s)
        assert whole.shape == s.shape
        assert whole == pytest.approx(np.vectorize(method)(s), rel=1e-14)
        assert isinstance(method(2.0), float)
        assert method([]).shape == (0,)
    stress = law.engineering_stress(s)
    assert law.stretch_ratio(stress) == pytest.approx(s, rel=1e-9)
    assert isinstance(law.stretch_ratio(1e5), float)
    assert law.stretch_ratio([]).shape == (0,)


@pytest.mark.parametrize("law", LAWS.values())
def test_parameters_may_be_arrays_too(law):
    start = [accepted.start for accepted in law.parameters.values()]
    factors = np.array([0.8, 1.0, 1.3])
    many = law(start[0] * factors, *start[1:])
    s = np.array([[1.5], [3.0]])
    for method in ("engineering_stress", "strain_energy_density"):
        each_alone = [getattr(law(start[0] * k, *start[1:]), method)(s) for k in factors]
        assert getattr(many, method)(s) == pytest.approx(np.hstack(each_alone), rel=1e-13)
    found = many.stretch_ratio([[2e5], [5e5]])
    assert many.engineering_stress(found) == pytest.approx(
        np.array([[2e5], [5e5]]) * np.ones(3), rel=1e-10)
    assert np.shape(many.usable_stretch) == (3,)


def test_a_law_keeps_its_own_copy_of_an_array():
    mu = np.array([2e5, 3e5])
    law = NeoHookean(mu)
    mu[:] = -1
    assert (law.engineering_stress(2.0) > 0).all()


@given(law=rubbers, part=st.floats(0, 0.999))
def test_the_inverse_goes_there_and_back(law, part):
    s = 1 + part * (law.usable_stretch - 1)
    assert law.stretch_ratio(law.engineering_stress(s)) == pytest.approx(s, rel=1e-8)


@given(law=rubbers, part=st.floats(0, 1))
def test_every_stretch_that_is_accepted_has_a_finite_answer(law, part):
    last = np.minimum(law.limiting_stretch * (1 - 1e-9), 100.0)
    s = 1 + part * (last - 1)
    assert 0 <= law.engineering_stress(s) < inf
    assert 0 <= law.strain_energy_density(s) < inf


S = np.linspace(1, 4, 50)


def test_gent_becomes_neo_hookean_as_its_limit_goes_away():
    softer = NeoHookean(0.3e6).engineering_stress(S[1:])
    gaps = [np.abs(Gent(0.3e6, jm).engineering_stress(S[1:]) / softer - 1).max()
            for jm in (1e2, 1e4, 1e6)]
    assert gaps[0] > gaps[1] > gaps[2]
    assert gaps[2] < 1.5e-5


def test_arruda_boyce_becomes_neo_hookean_as_its_chains_grow():
    softer = NeoHookean(0.3e6).engineering_stress(S[1:])
    gaps = [np.abs(ArrudaBoyce(0.3e6, n).engineering_stress(S[1:]) / softer - 1).max()
            for n in (1e1, 1e3, 1e6)]
    assert gaps[0] > gaps[1] > gaps[2]
    assert gaps[2] < 1e-5
    assert ArrudaBoyce(0.3e6, 1e6).strain_energy_density(S) == pytest.approx(
        NeoHookean(0.3e6).strain_energy_density(S), rel=1e-5, abs=1e-6)


def test_gent_gent_without_its_second_term_is_gent():
    one, other = GentGent(0.24e6, 78, 0.0), Gent(0.24e6, 78)
    assert one.engineering_stress(S) == pytest.approx(other.engineering_stress(S), rel=1e-14)
    assert one.strain_energy_density(S) == pytest.approx(other.strain_energy_density(S), rel=1e-14)


def test_mooney_rivlin_and_yeoh_without_their_second_terms_are_neo_hookean():
    expected = NeoHookean(0.3e6).engineering_stress(S)
    assert MooneyRivlin(0.15e6, 0.0).engineering_stress(S) == pytest.approx(expected)
    assert Yeoh(0.15e6, 0.0, 0.0).engineering_stress(S) == pytest.approx(expected)


@pytest.mark.parametrize(("law", "first_invariant"), [
    (Gent(0.25e6, 80), 83), (GentGent(0.25e6, 80, 1e5), 83), (ArrudaBoyce(0.25e6, 26), 78),
    (Gent(0.25e6, 0.1), 3.1), (ArrudaBoyce(0.25e6, 1.01), 3.03)])
def test_the_limiting_stretch_is_where_the_chains_are_straight(law, first_invariant):
    end = law.limiting_stretch
    assert end > 1
    assert end**2 + 2 / end == pytest.approx(first_invariant, rel=1e-12)
    just_below = end * (1 - 2e-9)
    assert 1e3 * law.mu < law.engineering_stress(just_below) < inf
    assert 0 < law.strain_energy_density(just_below) < inf
    for past in (end, np.nextafter(end, 0), 1.1 * end):
        with pytest.raises(InputError, match=r"accepted is 1 to .*rubber ends"):
            law.engineering_stress(past)


def test_a_law_without_a_limit_ends_at_a_hundred():
    assert NeoHookean(3e5).limiting_stretch == inf
    assert NeoHookean(3e5).usable_stretch == pytest.approx(100)
    with pytest.raises(InputError, match="accepted is 1 to 100"):
        NeoHookean(3e5).strain_energy_density(1e200)


@pytest.mark.parametrize("law", [Yeoh(0.17e6, -2e3, -5.0), Yeoh(0.17e6, -1e3, 0.0),
                                 MooneyRivlin(-0.01e6, 0.2e6), GentGent(1e3, 500.0, 1e6)])
def test_a_law_whose_stress_turns_down_is_used_up_to_the_turn(law):
    turn = minimize_scalar(lambda s: -law.engineering_stress(s), (1.05, 3.0)).x
    assert 0.96 * turn <= law.usable_stretch <= turn
    top = law.engineering_stress(law.usable_stretch)
    assert law.stretch_ratio(0.9 * top) < turn
    assert law.engineering_stress(law.stretch_ratio(0.9 * top)) == pytest.approx(0.9 * top)
    with pytest.raises(InputError, match="accepted is 0 to"):
        law.stretch_ratio(1.1 * law.engineering_stress(turn))


def test_a_law_that_pushes_is_used_nowhere():
    wrong = MooneyRivlin(0.4088e6, -0.751e6)
    assert wrong.engineering_stress(1.5) < 0
    assert wrong.usable_stretch == 1
    with pytest.raises(InputError, match="accepted is 0 to 0 Pa"):
        wrong.stretch_ratio(1e5)


@each
def test_a_stretch_below_one_is_refused_but_rounding_is_forgiven(law):
    assert law.engineering_stress(1 - 1e-12) == 0
    with pytest.raises(InputError, match=r"is 0.9999, shorter than relaxed; accepted is 1"):
        law.engineering_stress([2.0, 0.9999])
    with pytest.raises(InputError, match=r"is -1 Pa; accepted is 0 to"):
        law.stretch_ratio(-1.0)


@each
@pytest.mark.parametrize("factor", [0.1, 0.85, 10.0, np.array([0.5, 2.0])])
def test_scaling_a_law_scales_its_stress_and_energy_and_nothing_else(law, factor):
    other = scaled(law, factor)
    assert type(other) is type(law)
    assert other.limiting_stretch == pytest.approx(law.limiting_stretch)
    assert other.engineering_stress(2.0) == pytest.approx(factor * law.engineering_stress(2.0))
    assert other.strain_energy_density(2.0) == pytest.approx(
        factor * law.strain_energy_density(2.0))


def test_scaling_too_far_is_refused():
    with pytest.raises(InputError, match=r"factor is 11; accepted is 0\.1 to 10"):
        scaled(NeoHookean(3e5), 11)


@given(b=st.floats(0, 1e6))
def test_langevin_and_its_inverse_cancel(b):
    x = langevin(b)
    assert 0 <= x < 1
    worth = 1e-13 + 1e-15 * b
    assert inverse_langevin(x) == pytest.approx(b, rel=max(1e-11, worth), abs=1e-300)


def test_langevin_is_smooth_where_its_series_begins():
    b = np.array([0.0999999, 0.1, 0.1000001])
    x = langevin(b)
    slope = 1 / b[1]**2 - 1 / np.sinh(b[1])**2
    assert np.diff(x) == pytest.approx(slope * np.diff(b), rel=1e-6)
    assert inverse_langevin(1 - 1e-12) == pytest.approx(1e12, rel=1e-3)
    with pytest.raises(InputError, match="beta is -1"):
        langevin(-1)
