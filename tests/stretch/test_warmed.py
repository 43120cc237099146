"""The same rubber at another temperature, and one law that answers for all of its kind."""

import numpy as np
import pytest
from bandwork import InputError
from bandwork.rubber import ArrudaBoyce, GentGent, MooneyRivlin, handbook_rubber, scaled
from bandwork.stretch import temperature_factor, warmed
from bandwork.water import refractive_index


def test_the_pull_goes_by_the_temperature_factor_and_many_are_each_alone():
    rubber = handbook_rubber()
    many = warmed(rubber, [5, 20, 30], test_temperature=25, share=[0.5, 0.61, 1.0])
    for row, (now, share) in enumerate(((5, 0.5), (20, 0.61), (30, 1.0))):
        factor = 1 + share * ((now + 273.15) / 298.15 - 1)
        assert many.engineering_stress(3.7)[row] == pytest.approx(
            factor * rubber.engineering_stress(3.7), rel=1e-12)
    usual = warmed(rubber, 8).engineering_stress(3.0) / rubber.engineering_stress(3.0)
    assert usual == pytest.approx(temperature_factor(8).best, rel=1e-12)
    assert warmed(rubber, 20) is rubber


@pytest.mark.parametrize(("make", "said"), [
    (lambda: warmed("latex", 20), "rubber is 'latex'"),
    (lambda: warmed(handbook_rubber(), 80), "temperature is 80"),
    (lambda: warmed(handbook_rubber(), 8, 80), "test_temperature is 80"),
    (lambda: warmed(handbook_rubber(), 8, share=1.1), "share is 1.1"),
    (lambda: warmed(handbook_rubber(), [1, 2], [1, 2, 3]), "do not fit together"),
])
def test_what_cannot_be_is_refused_in_a_sentence(make, said):
    with pytest.raises(InputError, match=said):
        make()


@pytest.mark.parametrize("law", [GentGent(2e5, 70.0, 3e5), ArrudaBoyce(3e5, 20.0),
                                 MooneyRivlin(3e5, 1e5), GentGent(2e3, 1e4, 5e7)])
def test_laws_that_differ_by_a_factor_end_where_each_alone_does(law):
    factors = np.array([0.5, 1.0, 1.7])
    many = scaled(law, factors).usable_stretch
    assert many.shape == (3,)
    for row, factor in enumerate(factors):
        assert many[row] == pytest.approx(scaled(law, factor).usable_stretch, rel=1e-9)


def test_laws_that_differ_otherwise_each_end_by_themselves():
    many = GentGent(2e5, [50.0, 70.0, 90.0], [0.0, 2e5, 1e8])
    for row, (jm, c2) in enumerate(((50.0, 0.0), (70.0, 2e5), (90.0, 1e8))):
        assert many.usable_stretch[row] == GentGent(2e5, jm, c2).usable_stretch
    turns = GentGent([1e3, 1e3], 1e4, [1.0, 1e8])
    assert turns.usable_stretch[0] > 5 * turns.usable_stretch[1]


def test_red_light_is_accepted_however_it_is_written():
    assert refractive_index(20, 35, 700 * 1e-9) == pytest.approx(refractive_index(20, 35, 700e-9))
    assert refractive_index(20, 35, 400 * 1e-9) > refractive_index(20, 35, 700e-9)
    for wavelength in (7.001e-7, 3.999e-7):
        with pytest.raises(InputError, match="wavelength is"):
            refractive_index(20, 35, wavelength)
