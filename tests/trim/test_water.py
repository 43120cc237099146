"""`bandwork.water`: what must hold whatever the water, and what is refused."""

import numpy as np
import pytest
from bandwork import InputError, water
from hypothesis import given, settings
from hypothesis import strategies as st

PLACES = {"temperature": st.floats(-2, 40), "salinity": st.floats(0, 42)}
FUNCTIONS = [water.density, water.viscosity, water.refractive_index]


@given(**PLACES, depth=st.floats(0, 199))
@settings(deadline=None)
def test_density_rises_with_salt_and_with_depth(temperature, salinity, depth):
    here = water.density(temperature, salinity, depth)
    assert 985 < here < 1040
    assert water.density(temperature, salinity, depth + 1) > here
    if salinity < 41:
        assert water.density(temperature, salinity + 1, depth) > here + 0.6


@given(salinity=st.floats(30, 42), temperature=st.floats(-2, 39))
@settings(deadline=None)
def test_sea_water_grows_lighter_and_thinner_with_warmth(salinity, temperature):
    assert water.density(temperature + 1, salinity) < water.density(temperature, salinity)
    assert water.viscosity(temperature + 1, salinity) < water.viscosity(temperature, salinity)
    assert (water.refractive_index(temperature + 1, salinity)
            < water.refractive_index(temperature, salinity))


@given(**PLACES, low=st.floats(400e-9, 690e-9))
@settings(deadline=None)
def test_blue_light_is_bent_more(temperature, salinity, low):
    assert (water.refractive_index(temperature, salinity, low)
            > water.refractive_index(temperature, salinity, low + 10e-9))


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.__name__)
def test_arrays_equal_a_loop(function):
    t, salt = np.array([[0.0], [12.0], [30.0]]), np.array([0.0, 20.0, 35.0, 40.0])
    table = function(t, salt)
    assert table.shape == (3, 4)
    assert table == pytest.approx(np.array([[function(float(a), float(b)) for b in salt]
                                            for a in t[:, 0]]), rel=1e-15)
    assert type(function(20, 35)) is float


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.__name__)
@pytest.mark.parametrize(("temperature", "salinity", "told"), [
    (-2.1, 35, "temperature is -2.1 degrees Celsius; accepted is -2 to 40"),
    (293.15, 35, "temperature is 293.15 degrees Celsius; accepted is -2 to 40"),
    (20, 42.5, "salinity is 42.5 g/kg; accepted is 0 to 42"),
    (20, -1, "salinity is -1 g/kg; accepted is 0 to 42"),
    (float("nan"), 35, "temperature holds a value that is not finite"),
    ("warm", 35, "temperature is 'warm'"),
])
def test_water_that_cannot_be_is_refused(function, temperature, salinity, told):
    with pytest.raises(InputError, match=told):
        function(temperature, salinity)


@pytest.mark.parametrize("depth", [-1, 201, float("inf")])
def test_a_depth_out_of_range_is_refused(depth):
    for call in (water.gauge_pressure, lambda deep: water.density(20, 35, deep)):
        with pytest.raises(InputError, match=r"^depth "):
            call(depth)


@pytest.mark.parametrize("wavelength", [399.9e-9, 700.1e-9, [550e-9, 701e-9]])
def test_light_beyond_violet_and_red_is_refused(wavelength):
    assert 1.33 < water.refractive_index(20, 35, 700e-9) < water.refractive_index(20, 35, 400e-9)
    with pytest.raises(InputError, match=r"wavelength .*accepted is 4e-07 to 7e-07"):
        water.refractive_index(20, 35, wavelength)


def test_a_wavelength_in_nanometres_is_refused_with_the_way_out():
    with pytest.raises(InputError, match="550 nm is 550e-9"):
        water.refractive_index(20, 35, 550)
