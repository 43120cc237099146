"""Fits: they find what was put in, say how sure they are, and refuse what is no rubber."""

import numpy as np
import pytest
from bandwork import InputError
from bandwork.handbook import treloar_tension
from bandwork.rubber import (
    ArrudaBoyce,
    Gent,
    GentGent,
    MooneyRivlin,
    NeoHookean,
    Yeoh,
    fit_rubber,
)

S, STRESS = treloar_tension()
PULL = np.linspace(1.1, 5.0, 14)
TRUE = [NeoHookean(0.2e6), NeoHookean(1.5e6), MooneyRivlin(0.1e6, 0.2e6),
        MooneyRivlin(0.6e6, -0.05e6), Yeoh(0.3e6, -2e3, 80.0), Yeoh(0.1e6, 1e3, 10.0),
        Gent(0.15e6, 40.0), Gent(0.9e6, 120.0), GentGent(0.15e6, 40.0, 0.4e6),
        GentGent(0.5e6, 110.0, 0.1e6), ArrudaBoyce(0.2e6, 12.0), ArrudaBoyce(0.8e6, 60.0)]


def values(law):
    return [getattr(law, name) for name in law.parameters]


@pytest.mark.parametrize("law", TRUE, ids=repr)
def test_a_fit_finds_the_rubber_that_made_the_points(law):
    fit = fit_rubber(PULL, law.engineering_stress(PULL), type(law))
    assert values(fit.rubber) == pytest.approx(values(law), rel=1e-4)
    assert fit.residual < 1e-4 * law.engineering_stress(5.0)
    assert fit.worst < 1e-3
    assert fit.longest == 5.0
    assert fit.cautions == ()


def test_the_order_of_the_points_does_not_matter():
    shuffled = np.random.default_rng(5).permutation(len(S))
    one, other = fit_rubber(S, STRESS, Gent), fit_rubber(S[shuffled], STRESS[shuffled], Gent)
    assert values(one.rubber) == pytest.approx(values(other.rubber), rel=1e-6)


@pytest.mark.parametrize("law", [NeoHookean(0.3e6), MooneyRivlin(0.14e6, 0.034e6),
                                 Gent(0.25e6, 60.0), GentGent(0.24e6, 50.0, 0.3e6)],
                         ids=lambda law: law.name)
def test_standard_errors_are_what_repeated_measurements_scatter_by(law):
    """Three hundred invented pulls with a scatter of 10 kPa at every point."""
    noise = np.random.default_rng(20).normal(0, 1e4, (300, len(PULL)))
    exact = law.engineering_stress(PULL)
    fits = [fit_rubber(PULL, exact + one, type(law)) for one in noise]
    found = np.array([values(fit.rubber) for fit in fits])
    told = np.array([fit.standard_errors for fit in fits])
    assert np.median(told, axis=0) == pytest.approx(found.std(axis=0), rel=0.15)
    assert found.mean(axis=0) == pytest.approx(values(law), abs=1e-300, rel=0.02)
    freedom = len(PULL) - len(law.parameters)
    residuals = np.array([fit.residual for fit in fits])
    assert np.sqrt(np.mean(residuals**2) * len(PULL) / freedom) == pytest.approx(1e4, rel=0.05)


def test_the_reported_misses_are_those_of_the_returned_law():
    fit = fit_rubber(S, STRESS, GentGent)
    misses = fit.rubber.engineering_stress(S) - STRESS
    assert fit.residual == pytest.approx(np.sqrt(np.mean(misses**2)), rel=1e-9)
    judged = S >= 1.25
    assert fit.worst == pytest.approx(np.abs(misses[judged] / STRESS[judged]).max(), rel=1e-9)
    assert fit.worst < 0.04
    assert fit.cautions == ()


@pytest.mark.parametrize(("s", "stress", "law", "said"), [
    (S, STRESS[:-1], Gent, "stretch_ratio holds 25 values and engineering_stress 24"),
    (S[:2], STRESS[:2], MooneyRivlin, "2 points cannot fix the 2 parameters .* at least 3"),
    ([], [], NeoHookean, "0 points cannot fix"),
    (S[:5], STRESS[:5], NeoHookean, "from stretch 1 to 1.39, too short"),
    (S * 100, STRESS, Gent, "stretch_ratio is 100; accepted is 1 to 15"),
    (S - 1, STRESS, Gent, "stretch_ratio is 0; accepted is 1 to 15"),
    (S, -STRESS, Gent, "engineering_stress is -.*; accepted is 0 to"),
    (S, STRESS / 1e6, Gent, "largest engineering_stress is 6.315 Pa.*0.5 MPa is 0.5e6"),
    (S, STRESS * 0, Gent, "largest engineering_stress is 0 Pa"),
    (S, STRESS * 1e3, Gent, "accepted is 0 to 1e\\+08 Pa"),
    (S, STRESS, "Gent", "law is 'Gent'; accepted are NeoHookean, MooneyRivlin"),
    (S, STRESS, Gent(3e5, 80), "law is Gent.*; accepted are"),
    (S, STRESS, MooneyRivlin, "no rubber: its stress falls or is negative around stretch 1.0"),
    (np.linspace(1, 5, 9), [0, 5e5, 8e5, 9e5, 9e5, 8e5, 6e5, 4e5, 2e5], Yeoh,
     "no rubber: its stress falls"),
])
def test_what_is_no_pull_test_is_refused_in_a_sentence(s, stress, law, said):
    with pytest.raises(InputError, match=said) as refusal:
        fit_rubber(s, stress, law)
    assert "\n" not in str(refusal.value)


def test_a_short_pull_is_a_caution():
    short = S < 2.5
    fit = fit_rubber(S[short], STRESS[short], GentGent)
    assert any("ended at stretch 2.42; a loaded band goes further" in told
               for told in fit.cautions)


def test_a_parameter_that_the_points_do_not_fix_is_a_caution():
    short = S < 4.1
    fit = fit_rubber(S[short], STRESS[short], Gent)
    assert fit.standard_errors[1] > fit.rubber.jm
    assert any("hardly fix jm" in told for told in fit.cautions)


def test_a_law_that_misses_the_points_is_a_caution():
    fit = fit_rubber(S, STRESS, NeoHookean)
    assert fit.worst > 0.9
    assert any("misses a measured point by 92 %" in told for told in fit.cautions)


@pytest.mark.parametrize("law", [MooneyRivlin, Gent, GentGent, Yeoh, ArrudaBoyce])
def test_points_at_two_marks_only_leave_the_errors_unbounded_not_undefined(law):
    s = [1.0, 1.0, 1.0, 1.0, 2.0]
    fit = fit_rubber(s, [0, 0, 0, 0, 5e5], law)
    assert not np.isnan(fit.standard_errors).any()
    assert max(fit.standard_errors) > 1e3
    assert any("hardly fix" in told for told in fit.cautions)


@pytest.mark.parametrize("law", [Gent, GentGent, ArrudaBoyce])
def test_a_fit_reaches_the_longest_pull(law):
    """The limiting stretch of the fitted law lies beyond the last point, whatever the points."""
    stress = 0.4e6 * (PULL - 1 / PULL**2) * np.where(PULL > 4.6, 6.0, 1.0)
    fit = fit_rubber(PULL, stress, law)
    assert fit.rubber.limiting_stretch > 5.0
    assert np.isfinite(fit.rubber.engineering_stress(5.0))
