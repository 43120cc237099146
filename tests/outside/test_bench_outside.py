"""The bench's way from a file to a rubber against the published pull test of 1944.

The test's stresses [Pa] are written down as what a tube of 16 and 3 mm would pull [N] with marks
20 cm apart, in files as people make them.
"""

import openpyxl
import pytest
from bandwork.components import Band
from bandwork.handbook import lookup, treloar_tension
from bandwork.rubber import LAWS, fit_rubber
from bandwork.units import kgf_from_newton
from bandwork.validation import InputError
from bandwork.workshop.fit import fit
from scipy.optimize import least_squares

pytestmark = pytest.mark.outside

TRELOAR = "Treloar 1944, Trans. Faraday Soc. 40:59, doi:10.1039/tf9444000059, the test's 25 points"
STRETCH, STRESS = treloar_tension()
AREA = float(Band(0.016, 0.003, 0.65).cross_section)
HEAD = ("relaxed length", "20 cm"), ("outer diameter", "16 mm"), ("bore", "3 mm")


def as_csv(folder):
    rows = [f"{name};{value}" for name, value in HEAD] + ["Marken (cm);Zug (kp)"]
    rows += [f"{20 * s!r};{kgf_from_newton(p * AREA)!r}".replace(".", ",")
             for s, p in zip(STRETCH.tolist(), STRESS.tolist(), strict=True)]
    path = folder / "treloar.csv"
    path.write_text("\n".join(rows), "cp1250")
    return path


def as_workbook(folder):
    book = openpyxl.Workbook()
    for row in (*HEAD, ["marks, cm", "force, N"],
                *([20 * s, p * AREA] for s, p in zip(STRETCH.tolist(), STRESS.tolist(),
                                                     strict=True))):
        book.active.append(row)
    path = folder / "treloar.xlsx"
    book.save(path)
    return path


@pytest.mark.parametrize("make", [as_csv, as_workbook])
@pytest.mark.parametrize("law", ["Gent-Gent", "Yeoh", "Gent", "Arruda-Boyce"])
def test_treloar_s_points_through_a_file_give_the_library_s_own_fit(tmp_path, make, law):
    got = fit(make(tmp_path), law=law).pulled.law.rubber
    own = fit_rubber(STRETCH, STRESS, LAWS[law]).rubber
    for name in own.parameters:
        assert getattr(got, name) == pytest.approx(getattr(own, name), rel=1e-5), TRELOAR


def test_treloar_s_points_through_a_file_give_the_handbook_s_constants(tmp_path):
    got = fit(as_csv(tmp_path), law="gent-gent").pulled.law.rubber
    for name in ("mu", "jm", "c2"):
        row = lookup(f"rubber.gent_gent.{name}")
        assert getattr(got, name) == pytest.approx(row.value, rel=1e-4), TRELOAR


def test_treloar_s_points_are_one_times_the_test_rubber(tmp_path):
    """The course's working law is within 4 % of the whole test above stretch 1.2."""
    got = fit(as_csv(tmp_path))
    assert got.pulled.factor.best == pytest.approx(1, abs=0.04), TRELOAR
    assert 1 in got.pulled.factor
    over = [one for one, s in zip(got.all[0].series["over_test_rubber"], STRETCH[STRETCH >= 1.1],
                                  strict=True) if s > 1.2]
    assert max(abs(one - 1) for one in over) < 0.04, TRELOAR


def test_a_least_squares_of_scipy_alone_finds_the_same_constants(tmp_path):
    got = fit(as_csv(tmp_path), law="gent-gent").pulled.law.rubber

    def missed(x):
        i1, i2 = STRETCH**2 + 2 / STRETCH, 2 * STRETCH + STRETCH**-2
        told = (STRETCH - STRETCH**-2) * (x[0] * x[1] / (x[1] - (i1 - 3)) + 2 * x[2] / STRETCH / i2)
        return told - STRESS / 1e6

    mu, jm, c2 = least_squares(missed, [0.3, 70.0, 0.2], xtol=1e-14, ftol=1e-14, gtol=1e-14).x
    assert (got.mu, got.jm, got.c2) == pytest.approx((mu * 1e6, jm, c2 * 1e6), rel=1e-4), TRELOAR


def test_a_fit_that_the_library_refuses_is_refused_through_a_file_too(tmp_path):
    with pytest.raises(InputError, match="no rubber"):
        fit(as_csv(tmp_path), law="mooney-rivlin")
