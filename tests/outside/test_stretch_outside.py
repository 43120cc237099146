"""Unit `stretch` against what others published: one named check for each value.

`printed` is the number as the source prints it; unless a tolerance is given, ours must round to
it. `obtained` is a word of `bandwork.handbook.OBTAINED`. Stresses are in MPa and energies in
MJ/m3, as their sources print them.
"""

from dataclasses import dataclass
from functools import cache
from typing import ClassVar

import felupe.constitution.tensortrax as independent
import mpmath
import numpy as np
import pytest
import scipy.constants
import sympy as sp
import tensortrax.math as tensor
from bandwork import InputError, stretch, units
from bandwork.components import Band, Barrel, Diver
from bandwork.handbook import lookup, treloar_tension
from bandwork.rubber import (
    ArrudaBoyce,
    Gent,
    GentGent,
    MooneyRivlin,
    NeoHookean,
    Parameter,
    RubberLaw,
    Yeoh,
    fit_rubber,
    handbook_rubber,
    inverse_langevin,
)
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq, linprog

from tests.outside.published import Check

pytestmark = pytest.mark.outside

marks, pulls = treloar_tension()
THEIRS = independent.models.hyperelastic
TRELOAR = "Treloar 1944, Trans. Faraday Soc. 40:59, doi:10.1039/tf9444000059"
FELUPE = "felupe 11.3.0, a general-purpose finite element library"
OPENSTAX = "OpenStax University Physics 1, section 8.1 (m58312)"
CAPSTAN_TURNS = "openknowledgegraph.com, capstan exercise"
BAKER = "Baker and Haynes, Engineering Statics, chapter 9"
WOOD = "Wood 1973, J. Res. NBS 77A:171 (PMC6742828)"
NIST = "NIST Special Publication 811, Appendix B.8"
PRACTICE = "common practice, no source"


def relative(printed, share):
    return abs(float(printed)) * share


@cache
def fitted(law, up_to=99.0, start=1.0):
    chosen = (marks >= start) & (marks <= up_to)
    return fit_rubber(marks[chosen], pulls[chosen], law).rubber


def misses(law):
    """Relative difference of a law from each point of the test that is not at rest."""
    return law.engineering_stress(marks[1:]) / pulls[1:] - 1


# --- units ----------------------------------------------------------------------------------------

UNITS = [
    Check("one kilogram-force in newtons", lambda: units.newton_from_kgf(1), "9.80665", NIST,
          "kilogram-force to newton", "memory", 1e-12),
    Check("one pound-force in newtons", lambda: units.newton_from_lbf(1), "4.448222", NIST,
          "pound-force to newton, seen in copies", "seen"),
    Check("one inch in metres", lambda: units.metre_from_inch(1), "0.0254", NIST,
          "inch to metre", "memory", 1e-15),
    Check("kilogram-force as scipy has it", lambda: units.newton_from_kgf(1),
          repr(scipy.constants.kgf), "scipy.constants", "kgf", "computed", 1e-12),
    Check("pound-force as scipy has it", lambda: units.newton_from_lbf(1),
          repr(scipy.constants.lbf), "scipy.constants", "lbf", "computed", 1e-12),
]

# --- Treloar's test -------------------------------------------------------------------------------

POINTS = [
    Check(f"the course's rubber at Treloar's stretch {s:.3f}",
          lambda s=s: handbook_rubber().engineering_stress(s) / 1e6, f"{p / 1e6:.4f}", TRELOAR,
          "digitised figure, in felupe's example 14", "seen", 0.05 * p / 1e6)
    for s, p in zip(marks, pulls, strict=True) if s > 1.2
]

CARRIERS = [
    Check(f"Treloar's stress at stretch {s} in another carrier of the points",
          lambda s=s: float(pulls[marks == s][0]) / 1e6, printed, TRELOAR,
          "Hyperelastic-fitting, stress_stretch.txt", "seen", relative(printed, 5e-4))
    for s, printed in ((3.02, "0.8633"), (7.6, "6.3176"))
]

BETWEEN = PchipInterpolator(marks, pulls / 1e6)
MODULI = [
    Check(f"{name} of Treloar's rubber", lambda s=s: float(BETWEEN(s)), printed, TRELOAR,
          f"stretch {s} between the points", "computed")
    for name, s, printed in (("M100", 2.0, "0.53"), ("M300", 4.0, "1.21"), ("M500", 6.0, "2.54"))
] + [
    Check(f"{name} by the course's rubber",
          lambda s=s: handbook_rubber().engineering_stress(s) / 1e6, printed, TRELOAR,
          f"stretch {s} between the points", "computed", relative(printed, 0.05))
    for name, s, printed in (("M100", 2.0, "0.53"), ("M300", 4.0, "1.21"), ("M500", 6.0, "2.54"))
] + [
    Check("handbook row for M100", lambda: lookup("rubber.m100").value / 1e6, "0.5306", TRELOAR,
          "PCHIP through the points, stretch 2", "computed"),
    Check("handbook row for M300", lambda: lookup("rubber.m300").value / 1e6, "1.2131", TRELOAR,
          "PCHIP through the points, stretch 4", "computed"),
]

HELD = [(2.0, "0.337"), (2.5, "0.645"), (3.0, "1.035"), (3.5, "1.504"), (4.0, "2.062"),
        (4.5, "2.726"), (5.0, "3.518")]
ENERGIES = [
    Check(f"energy of the course's rubber at stretch {s}",
          lambda s=s: handbook_rubber().strain_energy_density(s) / 1e6, printed, TRELOAR,
          "area under the points by PCHIP", "computed", relative(printed, 0.025))
    for s, printed in HELD
] + [
    Check(f"area under Treloar's points up to stretch {s}",
          lambda s=s: float(BETWEEN.integrate(1, s)), printed, TRELOAR,
          "PCHIP through the points", "computed")
    for s, printed in HELD
] + [
    Check(f"handbook row for the energy at stretch {s}",
          lambda s=s: lookup(f"rubber.energy_stretch_{s}").value / 1e6, printed, TRELOAR,
          "area under the points by PCHIP", "computed")
    for s, printed in ((2, "0.337"), (4, "2.062"))
]


@pytest.mark.parametrize(("law", "fit_from", "fit_to", "holds_from", "holds_to", "bound"), [
    (NeoHookean, 1.0, 4.03, 1.90, 4.03, 0.035),
    (MooneyRivlin, 1.0, 4.03, 1.90, 4.03, 0.051),
    (Yeoh, 1.25, 6.5, 1.90, 6.40, 0.03),
    (Gent, 1.25, 6.5, 3.02, 7.05, 0.05),
    (ArrudaBoyce, 1.0, 7.6, 2.18, 7.60, 0.05),
    (GentGent, 1.0, 7.6, 1.24, 7.60, 0.04),
])
def test_each_law_follows_treloar_where_it_can(law, fit_from, fit_to, holds_from, holds_to,
                                               bound):
    """Only Gent-Gent keeps 5 % from stretch 1.25 to 6.5; the next tests say why no other can."""
    rubber = fitted(law, fit_to, fit_from)
    s = marks[1:]
    inside = (s >= holds_from) & (s <= holds_to)
    assert np.abs(misses(rubber)[inside]).max() < bound


def reduced(s, stress):
    """Stress over the factor that every law in I1 has: twice the slope of the energy over I1."""
    return stress / (s - s**-2)


def test_no_law_with_a_steady_or_rising_modulus_keeps_five_percent():
    """Neo-Hookean, Gent and Arruda-Boyce: P/(s - 1/s^2) never falls, Treloar's falls by 22 %.

    Whatever their constants, a miss of e at stretch 1.24 and at 3.02 needs
    (1 - e)/(1 + e) <= 0.775, so e is 12 % at least.
    """
    ends = [marks.tolist().index(1.24), marks.tolist().index(3.02)]
    early, late = reduced(marks[ends], pulls[ends])
    fall = late / early
    assert fall == pytest.approx(0.775, abs=0.001)
    assert (1 - fall) / (1 + fall) > 0.12
    s = np.linspace(1.05, 7.5, 300)
    for law in (NeoHookean(0.3e6), fitted(Gent), fitted(ArrudaBoyce)):
        assert (np.diff(reduced(s, law.engineering_stress(s))) > -1e-6).all()
        assert np.abs(law.engineering_stress(marks[ends]) / pulls[ends] - 1).max() > 0.12


@pytest.mark.parametrize(("law", "columns", "least"), [
    (MooneyRivlin, lambda s, i: [1 + 0 * s, 1 / s], 0.20),
    (Yeoh, lambda s, i: [1 + 0 * s, 2 * i, 3 * i**2], 0.08),
], ids=["MooneyRivlin", "Yeoh"])
def test_no_constants_whatever_let_this_law_keep_five_percent(law, columns, least):
    """The smallest worst miss over all constants from stretch 1.24 to 6.4, by linear programming.

    P is linear in the constants of these laws: minimise e with -e <= P/Treloar - 1 <= e.
    """
    inside = (marks > 1.2) & (marks < 6.5)
    s, p = marks[inside], pulls[inside]
    rows = (2 * (s - s**-2) / p * np.array(columns(s, s**2 + 2 / s - 3))).T
    scale = np.abs(rows).max(axis=0)
    miss = np.ones((len(s), 1))
    found = linprog([0] * len(scale) + [1], bounds=[(None, None)] * len(scale) + [(0, None)],
                    A_ub=np.block([[rows / scale, -miss], [-rows / scale, -miss]]),
                    b_ub=np.concatenate([miss, -miss]))
    best = law(*(found.x[:-1] / scale))
    assert np.abs(best.engineering_stress(s) / p - 1).max() == pytest.approx(found.fun, rel=1e-6)
    assert found.fun > least


# --- fitted parameters ----------------------------------------------------------------------------

SCIPY = "our least squares by scipy 1.17.1 outside the library"
BOTH = "scipy 1.17.1 least_squares and felupe 11.3.0 Hyperelastic.optimize, which agree"
FITS = [
    Check(f"{law.__name__} {name} fitted to Treloar{' up to 4.03' if up_to < 9 else ''}",
          lambda law=law, up_to=up_to, name=name, unit=unit: getattr(fitted(law, up_to), name)
          / unit,
          printed, source, "uniaxial points, absolute differences", "computed", *tolerance)
    for law, up_to, name, unit, printed, source, *tolerance in (
        (NeoHookean, 4.03, "mu", 1e6, "0.3056907", BOTH),
        (MooneyRivlin, 4.03, "c10", 1e6, "0.1413197", BOTH),
        (MooneyRivlin, 4.03, "c01", 1e6, "0.0339099", BOTH),
        (Yeoh, 99, "c10", 1e6, "0.17622", BOTH),
        (Yeoh, 99, "c20", 1e6, "-1.8541e-3", BOTH),
        (Yeoh, 99, "c30", 1e6, "4.639e-5", BOTH),
        (Gent, 99, "mu", 1e6, "0.24806", SCIPY),
        (Gent, 99, "jm", 1, "79.45", SCIPY),
        # Ours has the smaller sum of squares, so the tolerance is two of their last digits.
        (ArrudaBoyce, 99, "mu", 1e6, "0.27763", SCIPY, 2e-5),
        (ArrudaBoyce, 99, "n", 1, "25.52", SCIPY),
    )
]
KGF_PER_CM2 = 98066.5
OGDEN_2004 = "Ogden, Saccomandi and Sgura 2004, Comput. Mech. 34:484"
PUBLISHED_FITS = [
    Check("Gent-Gent mu as published, kgf/cm2", lambda: handbook_rubber().mu / KGF_PER_CM2,
          "2.4195", OGDEN_2004, "constants for this test", "memory", relative("2.4195", 0.01)),
    Check("Gent-Gent jm as published", lambda: handbook_rubber().jm, "77.931", OGDEN_2004,
          "constants for this test", "memory", relative("77.931", 0.01)),
    Check("Gent-Gent c2 as published, three times theirs, kgf/cm2",
          lambda: handbook_rubber().c2 / KGF_PER_CM2 / 3, "1.0233", OGDEN_2004,
          "constants for this test: taken once they miss it by 22 %, three times by 4 %",
          "memory", relative("1.0233", 0.01)),
    Check("Arruda-Boyce modulus as published", lambda: fitted(ArrudaBoyce).mu / 1e6, "0.27",
          "Arruda and Boyce 1993, J. Mech. Phys. Solids 41:389", "fit to this test", "memory",
          relative("0.27", 0.04)),
    Check("Arruda-Boyce links as published", lambda: fitted(ArrudaBoyce).n, "26.5",
          "Arruda and Boyce 1993, J. Mech. Phys. Solids 41:389", "fit to this test", "memory",
          relative("26.5", 0.04)),
]


@pytest.mark.parametrize(("law", "model", "constants"), [
    (NeoHookean, THEIRS.neo_hooke, ["mu"]),
    (MooneyRivlin, THEIRS.mooney_rivlin, ["C10", "C01"]),
], ids=["NeoHookean", "MooneyRivlin"])
def test_felupe_running_now_fits_the_same_constants(law, model, constants):
    chosen = marks < 4.1
    ours = fitted(law, 4.03)
    umat = independent.Hyperelastic(model, **dict.fromkeys(constants, 1.0))
    theirs, _ = umat.optimize(ux=[marks[chosen], pulls[chosen] / 1e6], incompressible=True)
    for name, constant in zip(law.parameters, constants, strict=True):
        assert getattr(ours, name) / 1e6 == pytest.approx(theirs.kwargs[constant], rel=1e-5)


def test_mooney_rivlin_over_all_points_is_refused_as_published():
    """scipy and felupe both find c10 = 0.4088 MPa and c01 = -0.751 MPa: no rubber."""
    pull = 2 * (marks - marks**-2)
    columns = np.column_stack([pull, pull / marks])
    c10, c01 = np.linalg.lstsq(columns, pulls)[0]
    assert c10 / 1e6 == pytest.approx(0.4088, abs=5e-5)
    assert c01 / 1e6 == pytest.approx(-0.751, abs=5e-4)
    with pytest.raises(InputError, match="no rubber"):
        fit_rubber(marks, pulls, MooneyRivlin)
    with pytest.raises(InputError, match="falls"):
        Band(0.016, 0.003, 0.65, rubber=MooneyRivlin(c10, c01)).force(1.0)


# --- stresses and energies of an independent library ----------------------------------------------

AT = (1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0)
TABLE = [
    (NeoHookean(0.4e6), "neo_hooke",
     ".422222 .700000 .936000 1.155556 1.367347 1.575000 1.984000"),
    (MooneyRivlin(0.15e6, 0.05e6), "mooney_rivlin",
     ".387037 .612500 .795600 .962963 1.123178 1.279688 1.587200"),
    (Yeoh(0.176e6, -1.85e3, 46.4), "yeoh",
     ".367099 .592049 .764236 .910116 1.046622 1.192426 1.616613"),
]
SERIES = ".293051 .491461 .668510 .844358 1.028510 1.228224 1.707571"
LIBRARY = [
    Check(f"felupe {theirs} at stretch {s}",
          lambda law=law, s=s: law.engineering_stress(s) / 1e6, printed, FELUPE,
          "Hyperelastic.view(incompressible=True)", "computed", 1e-6)
    for law, theirs, row in TABLE for s, printed in zip(AT, row.split(), strict=True)
] + [
    Check(f"felupe arruda_boyce at stretch {s}, a series of five terms",
          lambda s=s: ArrudaBoyce(0.27e6, 26.5).engineering_stress(s) / 1e6, printed, FELUPE,
          "Hyperelastic.view; ours is exact, theirs a quarter of a per cent softer at stretch 5",
          "computed", relative(printed, 2e-6 if s <= 2 else 2e-5 if s <= 3 else 3e-3))
    for s, printed in zip(AT, SERIES.split(), strict=True)
] + [
    Check("how much softer the series of felupe is at stretch 5, per cent",
          lambda: (1.707571e6 / ArrudaBoyce(0.27e6, 26.5).engineering_stress(5.0) - 1) * 100,
          "-0.26", FELUPE, "arruda_boyce, limit sqrt(26.5)", "computed"),
] + [
    Check(f"{law.name} energy at stretch {s}",
          lambda law=law, s=s: law.strain_energy_density(s) / 1e6, printed,
          "closed form and scipy quadrature, which agree", f"constants of {theirs} above",
          "computed", 1e-6)
    for law, theirs, row in ((TABLE[0][0], "neo_hooke", "0.4 1.333333 2.7"),
                             (TABLE[1][0], "mooney_rivlin", "0.3625 1.155556 2.278125"))
    for s, printed in zip((2.0, 3.0, 4.0), row.split(), strict=True)
]


def isochoric(c):
    scale = tensor.linalg.det(c) ** (-1 / 3)
    first = scale * tensor.trace(c)
    second = (first**2 - scale**2 * tensor.trace(c @ c)) / 2
    return first, second


def gent(c, mu, jm):
    first, _ = isochoric(c)
    return -mu * jm / 2 * tensor.log(1 - (first - 3) / jm)


def gent_gent(c, mu, jm, c2):
    _, second = isochoric(c)
    return gent(c, mu, jm) + c2 * tensor.log(second / 3)



def felupe_stress(model, stretch_ratio, **constants):
    shown = independent.Hyperelastic(model, **constants)
    return shown.view(incompressible=True, ux=stretch_ratio, ps=None, bx=None).evaluate()[0][1]


@pytest.mark.parametrize(("law", "model", "constants"), [
    (NeoHookean(0.4e6), THEIRS.neo_hooke, {"mu": 0.4e6}),
    (MooneyRivlin(0.15e6, 0.05e6), THEIRS.mooney_rivlin, {"C10": 0.15e6, "C01": 0.05e6}),
    (Yeoh(0.176e6, -1.85e3, 46.4), THEIRS.yeoh, {"C10": 0.176e6, "C20": -1.85e3, "C30": 46.4}),
    (Gent(0.248e6, 79.45), gent, {"mu": 0.248e6, "jm": 79.45}),
    (GentGent(0.237e6, 77.9, 0.299e6), gent_gent, {"mu": 0.237e6, "jm": 77.9, "c2": 0.299e6}),
], ids=lambda one: one.name if isinstance(one, RubberLaw) else "")
def test_felupe_running_now_finds_the_same_stress(law, model, constants):
    """felupe differentiates the energy of the deformation tensor by itself, also ours of Gent."""
    s = np.linspace(1.01, 7.5, 40)
    theirs = felupe_stress(model, s, **constants)
    assert law.engineering_stress(s) == pytest.approx(theirs, rel=1e-6)


def test_felupe_running_now_agrees_with_arruda_boyce_where_its_series_suffices():
    law = ArrudaBoyce(0.27e6, 26.5)
    s = np.linspace(1.01, 6, 40)
    difference = felupe_stress(THEIRS.arruda_boyce, s, C1=0.27e6, limit=26.5**0.5) \
        / law.engineering_stress(s) - 1
    assert np.abs(difference[s < 2]).max() < 1e-6
    assert (difference[s > 2] < 0).all()
    assert (np.diff(difference[s > 2]) < 0).all()


def test_the_inverse_langevin_function_against_fifty_digits():
    with mpmath.workdps(50):
        for x in (1e-6, 1e-3, 0.03, 0.04, 0.2, 0.5, 0.8, 0.95, 0.99, 0.9999, 1 - 1e-9):
            found = inverse_langevin(x)
            exact = mpmath.findroot(lambda b, x=x: mpmath.coth(b) - 1 / b - x, found)
            assert found == pytest.approx(float(exact), rel=1e-12 if x < 0.999 else 1e-7)


@pytest.mark.parametrize("n", [5.0, 26.5, 400.0])
def test_arruda_boyce_against_fifty_digits(n):
    """Energy of a Langevin chain, differentiated numerically by mpmath."""
    law = ArrudaBoyce(0.27e6, n)
    with mpmath.workdps(50):
        def energy(s):
            x = mpmath.sqrt((s**2 + 2 / s) / 3 / n)
            b = mpmath.findroot(lambda b: mpmath.coth(b) - 1 / b - x, 3 * x / (1 - x**2))
            return 0.27e6 * n * (b * x + mpmath.log(b / mpmath.sinh(b)))

        for s in (1.001, 1.3, 2.0, 3.0, 3.7):
            assert law.engineering_stress(s) == pytest.approx(
                float(mpmath.diff(energy, s)), rel=1e-10)
            assert law.strain_energy_density(s) == pytest.approx(
                float(energy(mpmath.mpf(s)) - energy(mpmath.mpf(1))), rel=1e-9, abs=1e-12 * law.mu)


S, A, B = sp.symbols("s a b", positive=True)
MU, JM, C2, C10, C01 = sp.symbols("mu jm c2 c10 c01", positive=True)
FIRST = S**2 + A**2 + B**2
SECOND = S**2 * A**2 + A**2 * B**2 + B**2 * S**2
ENERGY_OF = {
    "neo-Hookean": (MU / 2 * (FIRST - 3), NeoHookean(0.3e6)),
    "Mooney-Rivlin": (C10 * (FIRST - 3) + C01 * (SECOND - 3), MooneyRivlin(0.14e6, 0.03e6)),
    "Gent": (-MU * JM / 2 * sp.log(1 - (FIRST - 3) / JM), Gent(0.25e6, 80.0)),
    "Gent-Gent": (-MU * JM / 2 * sp.log(1 - (FIRST - 3) / JM) + C2 * sp.log(SECOND / 3),
                  GentGent(0.24e6, 78.0, 0.3e6)),
}


@pytest.mark.parametrize("name", ENERGY_OF)
def test_sympy_derives_the_same_stress_from_three_principal_stretches(name):
    """An incompressible block with free sides: P = dW/ds - (pressure)/s, the sides' stress 0."""
    energy, law = ENERGY_OF[name]
    pressure = A * sp.diff(energy, A)
    stress = (sp.diff(energy, S) - pressure / S).subs({A: S**sp.Rational(-1, 2),
                                                      B: S**sp.Rational(-1, 2)})
    values = {sp.Symbol(key, positive=True): getattr(law, key) for key in law.parameters}
    for s in (1.1, 2.0, 3.7, 6.5):
        assert law.engineering_stress(s) == pytest.approx(
            float(stress.subs(values).subs(S, sp.Float(s, 30))), rel=1e-12)


# --- springs of a physics text --------------------------------------------------------------------

@dataclass(frozen=True)
class Power(RubberLaw):
    """P = e (s - 1)^power: a spring of the text, dressed as a rubber law for `Band`."""

    e: float
    power: float
    name: ClassVar = "spring"
    parameters: ClassVar = {"e": Parameter(1.0, 1e12, "Pa", 1.0), "power": Parameter(1, 2, "", 1)}

    def _stress(self, s):
        return self.e * (s - 1) ** self.power

    def _energy(self, s):
        return self.e * (s - 1) ** (self.power + 1) / (self.power + 1)


def spring(per_metre, relaxed, power=1):
    """A band of one leg that pulls per_metre x (extension)^power."""
    area = Band(0.01, 0, relaxed).cross_section
    return Band(0.01, 0, relaxed, legs=1, rubber=Power(per_metre * relaxed**power / area, power))


SPRINGS = [
    Check("a Band as a spring of 4 N/cm, 20 cm long, drawn to 23 cm, J",
          lambda: spring(400, 0.20).energy(0.20, 0.23), "0.18", OPENSTAX, "example", "seen", 1e-9),
    Check("the same drawn to 26 cm, J", lambda: spring(400, 0.20).energy(0.20, 0.26), "0.72",
          OPENSTAX, "example", "seen", 1e-9),
    Check("the same from 23 to 26 cm, J", lambda: spring(400, 0.20).energy(0.23, 0.26), "0.54",
          OPENSTAX, "example", "seen", 1e-9),
    Check("a Band that pulls 3 x^2, drawn from x = 1 m to 2 m, J",
          lambda: spring(3, 1.0, 2).energy(2.0, 3.0), "7", OPENSTAX, "example, F = -3 x^2", "seen",
          1e-9),
    Check("how far 1.2 N falls on a Band of 6 N/m, m",
          lambda: brentq(lambda x: spring(6, 1.0).energy(1.0, 1 + x) - 1.2 * x, 0.1, 2), "0.40",
          OPENSTAX, "vertical mass and spring", "seen", 1e-9),
]

# --- friction at a sheave -------------------------------------------------------------------------


def ratio(friction, wrap):
    return Barrel(1.2, sheave_friction=friction, sheave_wrap=wrap).friction_ratio


def at_the_roller(friction):
    """Pull on the resting wishbone over the pull of the lower run behind a half-wrap."""
    band, barrel = Band(0.016, 0.003, 0.65), Barrel(1.2, sheave_friction=friction)
    return stretch.notch_load(band, barrel, barrel.upper_run) / band.force(barrel.lower_run)


CAPSTAN = [
    Check("capstan, friction 0.3, one turn", lambda: ratio(0.3, 2 * np.pi), "6.6", CAPSTAN_TURNS,
          "answer", "seen"),
    Check("capstan, friction 0.3, two turns", lambda: ratio(0.3, 2 * np.pi) ** 2, "43",
          CAPSTAN_TURNS, "answer; a Barrel has at most one turn, so its square", "seen"),
    Check("capstan, 100 lb held over 4.5 turns of friction 0.23, lb",
          lambda: 100 / ratio(0.23, 2 * np.pi) ** 4 / ratio(0.23, np.pi), "0.15", BAKER,
          "worked example", "seen"),
] + [
    Check(f"half-wrap, friction {friction}: Barrel.friction_ratio",
          lambda friction=friction: ratio(friction, np.pi), printed, BAKER,
          "capstan formula with half a turn", "computed")
    for friction, printed in ((0.05, "1.170"), (0.1, "1.369"), (0.2, "1.874"))
] + [
    Check(f"half-wrap, friction {friction}: notch_load at the resting wishbone",
          lambda friction=friction: at_the_roller(friction), printed, BAKER,
          "capstan formula with half a turn", "computed")
    for friction, printed in ((0.05, "1.170"), (0.1, "1.369"), (0.2, "1.874"))
]

# --- temperature ----------------------------------------------------------------------------------


def wood(parts, kelvin):
    """Shear modulus by Wood's equation, in 0.1 MPa, with `parts` of decomposed curing agent."""
    return 5.925e-3 * (parts - 0.45) * kelvin + 0.0684 * (parts - 0.45) + 2.70


def entropic_share(parts):
    return 5.925e-3 * (parts - 0.45) * 298.15 / wood(parts, 298.15)


COLD = [
    Check("10 C against 30 C: 2 parts of curing agent, the least that cold does",
          lambda: stretch.temperature_factor(10, 30).high, "0.967", WOOD,
          "equation for the shear modulus", "computed", 1e-3),
    Check("10 C against 30 C: 3 parts of curing agent, our best value",
          lambda: stretch.temperature_factor(10, 30).best, "0.960", WOOD,
          "equation for the shear modulus", "computed"),
    Check("10 C against 30 C: an ideal rubber, the most that cold does",
          lambda: stretch.temperature_factor(10, 30).low, "0.934", WOOD,
          "stress proportional to absolute temperature", "computed"),
    Check("share of the pull that follows temperature, 3 parts",
          lambda: lookup("rubber.temperature_share").value, "0.61", WOOD,
          "energy share 0.39 at 298 K", "computed", 1e-9),
    Check("share of the pull that follows temperature, 2 parts",
          lambda: lookup("rubber.temperature_share").low, "0.49", WOOD,
          "energy share 0.51 at 298 K", "computed", 1e-9),
]


@pytest.mark.parametrize(("parts", "printed"), [(2, 0.967), (3, 0.960), (5, 0.952)])
def test_woods_equation_lies_within_our_interval_for_cold(parts, printed):
    """Wood 1973, J. Res. NBS 77A:171, G(10 C)/G(30 C), by his equation."""
    by_equation = wood(parts, 283.15) / wood(parts, 303.15)
    assert by_equation == pytest.approx(printed, abs=6e-4)
    interval = stretch.temperature_factor(10, 30)
    assert interval.low <= by_equation <= interval.high + 1e-3


@pytest.mark.parametrize(("parts", "value"), [(2, "low"), (3, "value")])
def test_the_handbooks_share_is_that_of_woods_equation(parts, value):
    share = getattr(lookup("rubber.temperature_share"), value)
    assert share == pytest.approx(entropic_share(parts), abs=0.006)


# --- people, to keep proportion -------------------------------------------------------------------

PEOPLE = [
    Check("load constant of the lifting equation, kg",
          lambda: lookup("lifting.load_constant").value, "23",
          "NIOSH 94-110, doi:10.26616/NIOSHPUB94110revised092021", "load constant", "seen", 1e-9),
    Check("load constant of the lifting equation, lb",
          lambda: units.lbf_from_newton(units.newton_from_kgf(
              lookup("lifting.load_constant").value)), "51",
          "NIOSH 94-110, doi:10.26616/NIOSHPUB94110revised092021", "load constant", "seen"),
    Check("greatest grip of men, N", lambda: lookup("diver.grip_men").value, "541",
          "Leyk 2007, Eur. J. Appl. Physiol. 99:415", "abstract", "seen", 1e-9),
    Check("greatest grip of women, N", lambda: lookup("diver.grip_women").value, "329",
          "Leyk 2007, Eur. J. Appl. Physiol. 99:415", "abstract", "seen", 1e-9),
]


def test_the_load_of_the_rule_stands_in_proportion_to_what_people_can():
    """Between one NIOSH lift, made for hours of work, and what two mean grips can hold."""
    load = stretch.notch_load(USUAL, Barrel(1.2))
    assert units.newton_from_kgf(lookup("lifting.load_constant").value) < load
    assert load < 2 * lookup("diver.grip_women").value
    assert lookup("diver.strong_load").high < 2 * lookup("diver.grip_men").value


# --- facts of the trade: common practice, no source -----------------------------------------------

USUAL = Band(lookup("band.outer_diameter").value, lookup("band.bore").value, 0.65)


def by_the_rule(barrel_length):
    return barrel_length / 2 + lookup("rule.half_barrel_plus").value


TRADE = [
    Check("half the barrel plus five on a 120, m", lambda: by_the_rule(1.20), "0.65", PRACTICE,
          "roller guns", "practice", 1e-9),
    Check("half the barrel plus five on a 130, m", lambda: by_the_rule(1.30), "0.70", PRACTICE,
          "roller guns", "practice", 1e-9),
    Check("stretch of that band, loaded on a 120",
          lambda: Band(0.016, 0.003, by_the_rule(1.20)).stretch_ratio(Barrel(1.20).loaded_path),
          "3.7", PRACTICE, "16 mm tube, two legs", "practice"),
    Check("stretch of that band, loaded on a 130",
          lambda: Band(0.016, 0.003, by_the_rule(1.30)).stretch_ratio(Barrel(1.30).loaded_path),
          "3.7", PRACTICE, "16 mm tube, two legs", "practice"),
]


@pytest.mark.parametrize("kgf", [50, 60])
def test_what_a_strong_diver_brings_lies_within_our_interval_for_that_band(kgf):
    """Common practice, no source: 50 to 60 kgf onto the notch."""
    assert units.newton_from_kgf(kgf) in stretch.load_interval(USUAL, Barrel(1.20)).load
    assert lookup("diver.strong_load").low <= units.newton_from_kgf(kgf) + 1
    assert lookup("diver.strong_load").high >= units.newton_from_kgf(kgf) - 1


@pytest.mark.parametrize(("reach", "enough", "too_short"), [
    (0.90, "assist.length", None), (0.77, "assist.length_short_reach", "assist.length"),
])
def test_a_sixteen_on_a_120_asks_for_an_assist(reach, enough, too_short):
    """Common practice, no source: 30 cm, and 40 to 45 cm for a smaller diver.

    The measure used is reach: the first grip lies 1.19 m ahead of the notch. The reaches, 90 and
    77 cm, are of two invented divers.
    """
    diver = Diver(load_capacity=590, reach=reach)
    barrel = Barrel(1.20)
    assert stretch.loading(diver, USUAL, barrel).reach_spare < -0.25
    assert stretch.loading(diver, USUAL, barrel, lookup(enough).value).reach_spare > 0
    if too_short:
        assert stretch.loading(diver, USUAL, barrel, lookup(too_short).value).reach_spare < 0


def test_one_centimetre_is_a_step_that_a_diver_can_feel_and_afford():
    """Common practice, no source: a centimetre of relaxed length changes the load by 1 kgf."""
    step = lookup("rule.cut_step").value
    lengths = np.array([0.65 - step, 0.65, 0.65 + step])
    loads = stretch.notch_load(Band(0.016, 0.003, lengths), Barrel(1.20))
    change = -np.diff(loads)
    assert (change > 0.01 * loads[1]).all()
    assert (change < 0.04 * loads[1]).all()
    assert units.kgf_from_newton(change) == pytest.approx([1, 1], abs=0.3)


CHECKS = [*UNITS, *CARRIERS, *POINTS, *MODULI, *ENERGIES, *FITS, *PUBLISHED_FITS, *LIBRARY,
          *SPRINGS, *CAPSTAN, *COLD, *PEOPLE, *TRADE]


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.what)
def test_published_value(check):
    check.compare()
