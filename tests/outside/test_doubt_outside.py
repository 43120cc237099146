"""Uncertainty and calibration against published test functions and certified statistics."""

import numpy as np
import pytest
from bandwork.doubt import sobol_shares, standard_errors
from bandwork.interval import combine
from scipy.stats import uniform

pytestmark = pytest.mark.outside

# Ishigami and Homma 1990, a = 7, b = 0.1: the analytic indices follow from the variances
# a^2/8 + b pi^4/5 + b^2 pi^8/18 + 1/2; printed so in A. Saltelli and others, *Global Sensitivity
# Analysis: The Primer* (2008). Formula from memory, worked out below.
A, B = 7.0, 0.1
V1 = 0.5 * (1 + B * np.pi**4 / 5) ** 2
V2 = A**2 / 8
V13 = B**2 * np.pi**8 * (1 / 18 - 1 / 50)
VARIANCE = V1 + V2 + V13
ISHIGAMI = {"x1": (V1 / VARIANCE, (V1 + V13) / VARIANCE), "x2": (V2 / VARIANCE, V2 / VARIANCE),
            "x3": (0.0, V13 / VARIANCE)}


def test_the_analytic_ishigami_indices_are_the_printed_ones():
    """Printed to four digits in the documentation of SALib and scipy: 0.3139, 0.4424, 0; 0.5576,
    0.4424, 0.2437."""
    printed = {"x1": (0.3139, 0.5576), "x2": (0.4424, 0.4424), "x3": (0.0, 0.2437)}
    for name, pair in printed.items():
        assert ISHIGAMI[name] == pytest.approx(pair, abs=6e-5)


@pytest.fixture(scope="module")
def ishigami():
    def function(x):
        return (np.sin(x[0]) + A * np.sin(x[1]) ** 2 + B * x[2] ** 4 * np.sin(x[0]))[None, :]

    return sobol_shares(function, [uniform(-np.pi, 2 * np.pi)] * 3, ["x1", "x2", "x3"],
                        draws=4096)[0]


@pytest.mark.parametrize("name", ["x1", "x2", "x3"])
def test_ishigami_first_order(ishigami, name):
    assert ishigami[name].first_order == pytest.approx(ISHIGAMI[name][0], abs=0.02)


@pytest.mark.parametrize("name", ["x1", "x2", "x3"])
def test_ishigami_total(ishigami, name):
    assert ishigami[name].total == pytest.approx(ISHIGAMI[name][1], abs=0.02)
    assert ishigami[name].total_low - 0.01 <= ISHIGAMI[name][1] <= ishigami[name].total_high + 0.01


def test_sobols_g_function():
    """I.M. Sobol', product of (|4x - 2| + a)/(1 + a): V_i = 1/(3 (1 + a_i)^2) and
    V = prod(1 + V_i) - 1, in closed form. Saltelli and Sobol' 1995; formula from memory."""
    a = np.array([0.0, 1.0, 4.5, 9.0, 99.0])
    part = 1 / (3 * (1 + a) ** 2)
    whole = np.prod(1 + part) - 1
    first, total = part / whole, part * np.prod(1 + part) / (1 + part) / whole

    def function(x):
        return np.prod((np.abs(4 * x - 2) + a[:, None]) / (1 + a[:, None]), axis=0)[None, :]

    names = [f"x{number}" for number in range(5)]
    shares = sobol_shares(function, [uniform()] * 5, names, draws=4096)[0]
    assert list(shares)[:4] == names[:4]
    for name, one, both in zip(names, first, total, strict=True):
        assert shares[name].first_order == pytest.approx(one, abs=0.02)
        assert shares[name].total == pytest.approx(both, abs=0.02)


# NIST Statistical Reference Datasets, linear regression, Norris: 36 points and certified values.
# The points are from memory; that they reproduce the certified values to the digits confirms them.
NORRIS_TEXT = """
0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3 998.5 996.3 449.1
448.6 778.9 777.0 559.2 558.2 0.3 0.4 0.1 0.6 778.1 775.5 668.8 666.9 339.3 338.0 448.9 447.5
10.8 11.6 557.7 556.0 228.3 228.1 998.0 995.8 888.8 887.6 119.6 120.2 0.3 0.3 0.6 0.3 557.6
556.8 339.3 339.1 888.0 887.2 998.5 999.0 778.9 779.0 10.2 11.1 117.6 118.3 228.9 229.2 668.4
669.1 449.2 448.9 0.2 0.5
"""
NORRIS = np.array(NORRIS_TEXT.split(), dtype=float).reshape(-1, 2)


def norris():
    y, x = NORRIS.T
    jacobian = np.column_stack([np.ones_like(x), x])
    fitted = np.linalg.lstsq(jacobian, y, rcond=None)[0]
    return jacobian, fitted, y - jacobian @ fitted


def test_norris_parameters():
    assert norris()[1] == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-9)


@pytest.mark.parametrize(("place", "certified"), [(0, 0.232818234301152),
                                                  (1, 0.429796848199937e-3)])
def test_norris_standard_errors(place, certified):
    jacobian, _, residuals = norris()
    assert standard_errors(jacobian, residuals, False)[place] == pytest.approx(certified, rel=1e-9)


def test_doubts_add_as_the_guide_to_uncertainty_says():
    """JCGM 100:2008 (GUM), 5.1.2: the combined variance of a sum of independent inputs is the sum
    of the squares. From memory. With 3 and 4 it is 5."""
    found = combine(10.0, {"a": (7.0, 13.0), "b": (6.0, 14.0)})
    assert (found.low, found.high) == (5.0, 15.0)
