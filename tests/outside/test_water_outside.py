"""`bandwork.water` against published tables and independent libraries.

`obtained` beside each table is a word of `bandwork.handbook.OBTAINED`.
"""

import warnings
from importlib.resources import files

import gsw
import iapws
import numpy as np
import pytest
from bandwork import water
from bandwork.components import Water
from bandwork.handbook import OBTAINED
from iapws._iapws import _Refractive, _Viscosity

with warnings.catch_warnings():
    # The library says on import that gsw succeeds it; here it stands for the older standard.
    warnings.simplefilter("ignore", UserWarning)
    import seawater

pytestmark = pytest.mark.outside

T90 = 1 / 1.00024
"""From the temperature scale of 1968, in which EOS-80 is written, to that of 1990."""
STANDARD_SEA = 35.16504
"""Absolute salinity [g/kg] of standard sea water of practical salinity 35, by TEOS-10."""


def near(value, tolerance):
    return pytest.approx(value, abs=tolerance, rel=0)


# --- density: TEOS-10 -----------------------------------------------------------------------------

CAST = np.load(str(files("gsw").joinpath("tests/gsw_cv_v3_0.npz")))


@pytest.mark.parametrize("cast", [0, 1, 2])
def test_density_gives_the_check_values_that_teos_10_publishes(cast):
    """The check casts and values of TEOS-10's own Matlab toolbox, carried by gsw (seen).

    Temperatures and salinities measured in the sea, at pressures; ours takes depths, so the depth
    for each pressure is found by gsw first. Tolerance: rounding of that detour.
    """
    pressure = CAST["p_chck_cast"][:, cast]
    shallow = np.isfinite(pressure) & (pressure < 200)
    assert shallow.sum() >= 8
    depth = -gsw.z_from_p(pressure[shallow], 40.0)
    ours = water.density(CAST["t_chck_cast"][shallow, cast], CAST["SA_chck_cast"][shallow, cast],
                         np.maximum(depth, 0))
    assert ours == near(CAST["rho_t_exact"][shallow, cast], 1e-6)


@pytest.mark.parametrize("temperature", [0, 5, 10, 15, 20, 25, 30])
def test_density_agrees_with_a_second_library_of_the_same_standard(temperature):
    """iapws 1.5.5, IAPWS-08 with IAPWS-95 (computed): another program, other authors.

    Tolerance 1e-3 kg/m3: one part in a million; the two differ by 3e-5 at most.
    """
    for salinity in (0.01, 10, 35, 38.5):
        for depth in (0.0, 100.0):
            pressure = 0.101325 + water.gauge_pressure(depth) / 1e6
            theirs = iapws.SeaWater(T=temperature + 273.15, P=pressure, S=salinity / 1000).rho
            assert water.density(temperature, salinity, depth) == near(theirs, 1e-3)


GSW_TABLE = [
    (10, 35, 1026.8259), (15, 35, 1025.8494), (20, 35, 1024.6408), (25, 35, 1023.2196),
    (30, 35, 1021.6030), (10, 38.5, 1029.547), (20, 38.5, 1027.298), (30, 38.5, 1024.216),
]


@pytest.mark.parametrize(("temperature", "salinity", "printed"), GSW_TABLE)
def test_density_of_seas_cold_warm_and_salty_stays_what_it_was(temperature, salinity, printed):
    """TEOS-10, Manuals and Guides 56, computed once with gsw 3.6.23; guards a wrong argument."""
    assert water.density(temperature, salinity) == near(printed, 6e-4)


UNESCO = [(0, 0, 999.842594), (30, 0, 995.65113374), (0, 35, 1028.10633141),
          (30, 35, 1021.72863949)]
"""UNESCO Technical Papers in Marine Science 44 (1983), p. 22, at the surface: temperature of 1968,
practical salinity, density. Seen in the documentation of the library seawater 3.3.5."""


@pytest.mark.parametrize(("t68", "practical", "printed"), UNESCO)
def test_density_stands_beside_the_printed_table_of_the_older_standard(t68, practical, printed):
    """UNESCO 44, p. 22 (seen in a copy). TEOS-10 succeeded it; both fit the same sea.

    Tolerance 0.005 kg/m3, the spread between the two standards near the surface; 1e-3 is met at
    all four.
    """
    salinity = STANDARD_SEA * practical / 35
    assert water.density(t68 * T90, salinity) == near(printed, 5e-3)


@pytest.mark.parametrize(("t68", "practical", "printed"), UNESCO)
def test_the_older_standards_library_gives_its_printed_table(t68, practical, printed):
    """So that the library may stand for the table at other depths: UNESCO 44, p. 22."""
    assert seawater.dens(practical, t68 * T90, 0) == near(printed, 1e-7)


@pytest.mark.parametrize("depth", [0, 50, 150, 200])
def test_density_agrees_with_the_older_standard_wherever_a_gun_goes(depth):
    """EOS-80 by the library seawater 3.3.5 (computed): within 0.005 kg/m3, 5 parts in a million.

    The largest difference found is 0.0043 kg/m3, at 20 degrees.
    """
    t = np.arange(0.0, 31.0, 5.0)
    theirs = seawater.dens(35, t, water.gauge_pressure(depth) / 1e4)
    assert water.density(t, STANDARD_SEA, depth) == near(theirs, 5e-3)


def test_fresh_water_is_densest_at_four_degrees():
    """999.97 kg/m3 at 3.98 degrees Celsius: the textbook maximum (from memory)."""
    t = np.arange(2.0, 6.0, 0.01)
    rho = water.density(t, 0)
    assert t[rho.argmax()] == near(3.98, 0.02)
    assert rho.max() == near(999.97, 0.01)


@pytest.mark.parametrize(("depth", "dbar"), [(5, 5.0387), (10, 10.0774), (15, 15.1163),
                                             (20, 20.1554), (30, 30.2338)])
def test_pressure_of_the_sea(depth, dbar):
    """TEOS-10, latitude 40, computed once with gsw 3.6.23; 1 dbar = 1e4 Pa by definition."""
    assert water.gauge_pressure(depth) / 1e4 == near(dbar, 1e-4)


def test_ten_metres_of_sea_are_about_one_more_atmosphere():
    """Taught to every diver: 10 m of sea add one atmosphere (common practice, no source)."""
    assert water.gauge_pressure(10) == pytest.approx(101325, rel=0.01)


def test_pressure_is_the_weight_of_the_water_above():
    """p = integral of rho g: g at latitude 40 is 9.8017 m/s2 (from memory), the sea at 0 C."""
    depth = np.linspace(0, 200, 2001)
    rho = water.density(0.0, STANDARD_SEA, depth)
    weight = np.sum((rho[1:] + rho[:-1]) / 2 * np.diff(depth)) * 9.8017
    assert water.gauge_pressure(200.0) == pytest.approx(weight, rel=1e-4)


def test_water_is_at_the_surface_unless_told():
    """TEOS-10, as in the table above: 1024.6408 kg/m3 at 20 degrees and 35 g/kg (computed)."""
    assert Water(20, 35).density == near(1024.6408, 6e-4)
    assert Water(20, 35, 100).density > Water(20, 35).density + 0.4


# --- viscosity ------------------------------------------------------------------------------------

@pytest.mark.parametrize("temperature", [0, 5, 10, 15, 20, 25, 30, 35, 40])
def test_viscosity_of_fresh_water_by_another_formula(temperature):
    """IAPWS R12-08 by the library iapws (computed); Sharqawy's fresh-water part claims 0.05 %."""
    theirs = _Viscosity(water.density(temperature, 0), temperature + 273.15)
    assert water.viscosity(temperature, 0) == pytest.approx(theirs, rel=5e-4)


@pytest.mark.parametrize(("source", "temperature", "salinity", "printed", "obtained"), [
    ("Dorsey 1940, in the documentation of a public R package", 10, 30, 1.383779e-3, "seen"),
    ("Millero 1974, check value in a public program", 25, 40, 9.6541e-4, "seen"),
    ("CoolProp 8.0.0, incompressible fluid MITSW", 10, 35, 1.4072e-3, "computed"),
    ("CoolProp 8.0.0, incompressible fluid MITSW", 20, 35, 1.0851e-3, "computed"),
    ("CoolProp 8.0.0, incompressible fluid MITSW", 30, 35, 8.6308e-4, "computed"),
])
def test_viscosity_of_sea_water(source, temperature, salinity, printed, obtained):
    """Within the 1.5 % that Sharqawy and others give for their equations 22 and 23.

    Found: -0.10 %, +0.45 %, and -0.3 to -0.9 % from CoolProp's fit of the same data.
    """
    assert obtained in OBTAINED
    assert water.viscosity(temperature, salinity) == pytest.approx(printed, rel=0.015), source


@pytest.mark.parametrize(("temperature", "a", "b"), [
    (0, 1.541, 7.974), (10, 1.541 + 0.1998 - 0.00952, 7.974 - 0.7561 + 0.04724),
    (40, 1.541 + 0.7992 - 0.15232, 7.974 - 3.0244 + 0.75584)])
def test_salt_thickens_water_by_the_printed_coefficients(temperature, a, b):
    """Sharqawy and others 2010, equation 22: 1 + A S + B S^2 (seen in a public program).

    A and B, worked here with pencil from the coefficients, are read back from three salinities.
    """
    fresh, half, full = water.viscosity(temperature, [0.0, 20.0, 40.0])
    thicker, thickest = (half / fresh - 1) / 0.02, (full / fresh - 1) / 0.04
    assert (thickest - thicker) / 0.02 == pytest.approx(b, rel=1e-9)
    assert 2 * thicker - thickest == pytest.approx(a, rel=1e-9)


def test_kinematic_viscosity_of_the_towing_tanks_sea():
    """ITTC 7.5-02-01-03, sea water at 15 degrees: 1.189e-6 m2/s (seen quoted, not in print)."""
    assert Water(15, STANDARD_SEA).kinematic_viscosity == near(1.189e-6, 5e-10)


# --- refractive index -----------------------------------------------------------------------------

TO_AIR = [(10, 589.3, 1.3337), (20, 589.3, 1.3330), (30, 589.3, 1.3319),
          (10, 501.6, 1.3371), (20, 501.6, 1.3364), (30, 501.6, 1.3353),
          (10, 404.7, 1.3435), (20, 404.7, 1.3427), (30, 404.7, 1.3417)]
"""scubageek.com/articles/wwwh2o, Table 1: fresh water against air (seen); degrees, nm, index."""


@pytest.mark.parametrize(("temperature", "nanometres", "printed"), TO_AIR)
def test_index_of_fresh_water_in_a_printed_table(temperature, nanometres, printed):
    """One unit of the last printed digit, which the table and the fit may each be off by half."""
    assert water.refractive_index(temperature, 0, nanometres * 1e-9) == near(printed, 1e-4)


@pytest.mark.parametrize("temperature", [0, 10, 20, 30])
@pytest.mark.parametrize("nanometres", [450, 550, 589.3, 650])
def test_index_of_fresh_water_by_another_formula(temperature, nanometres):
    """IAPWS R9-97 by the library iapws (computed), against vacuum; air has 1.00027 (memory).

    Tolerance 5e-5: Quan and Fry's own 2e-5, and the air's change with temperature.
    """
    vacuum = _Refractive(water.density(temperature, 0), temperature + 273.15, nanometres / 1000)
    ours = water.refractive_index(temperature, 0, nanometres * 1e-9)
    assert ours == near(vacuum / 1.00027, 5e-5)


@pytest.mark.parametrize("salinity", [0, 35])
def test_index_by_a_surface_fitted_to_another_table(salinity):
    """Parrish 2020, Oregon State University (seen): n = a T^2 + b w^2 + c T + d w + e, w in nm.

    Fitted to tables that go back to Austin and Halikas 1976, with a root mean square of 2e-4;
    tolerance three times that.
    """
    a, b, c, d, e = {0: (-1.97812e-6, 1.03223e-7, -8.58125e-6, -1.54834e-4, 1.38919),
                     35: (-1.50156e-6, 1.07085e-7, -4.27594e-5, -1.60476e-4, 1.39807)}[salinity]
    t, w = np.meshgrid(np.arange(0.0, 31.0, 5), np.arange(400.0, 691.0, 50))
    theirs = a * t**2 + b * w**2 + c * t + d * w + e
    assert water.refractive_index(t, salinity, w * 1e-9) == near(theirs, 6e-4)


@pytest.mark.parametrize(("salinity", "nanometres", "printed"), [
    (35, 589.3, 1.339406), (0, 589.3, 1.333004), (35, 550, 1.340789)])
def test_index_by_quan_and_fry(salinity, nanometres, printed):
    """Quan and Fry 1995: computed apart from the library, coefficients seen in three programs."""
    assert water.refractive_index(20, salinity, nanometres * 1e-9) == near(printed, 1e-6)


def test_light_is_green_unless_given():
    """The value above at 550 nm; the eye sees best at 555 nm (CIE 1924, from memory)."""
    assert water.refractive_index(20, 35) == near(1.340789, 1e-6)


def test_the_fish_seems_a_quarter_nearer():
    """OpenStax, University Physics 3, 2.3 (m58529, seen): a fish at 3/4 of its depth, n = 1.33."""
    assert 1 / water.refractive_index(20, 0) == near(0.75, 5e-3)
