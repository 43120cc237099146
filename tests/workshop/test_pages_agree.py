"""The bench and the book's workshop pages: the same readings give the same numbers.

Each page's own code is run, and its readings go through a file and `bandwork fit`.
"""

import contextlib
import io
import re
from pathlib import Path

import numpy as np
import pytest
from bandwork.units import kgf_from_newton, newton_from_kgf
from bandwork.workshop.files import GunFile, Rubber
from bandwork.workshop.fit import fit, rubber_of

PAGES = Path(__file__).resolve().parents[2] / "book" / "workshop"
SAME = {"rel": 1e-9}


def ran(page):
    """Return the names that a page's code leaves, without the cell that only fills in its text."""
    text = (PAGES / f"{page}.md").read_text("utf-8")
    cells = re.findall(r"^```\{code-cell\} ipython3\n((?::[^\n]*\n)*)\n?(.*?)^```$", text,
                       re.MULTILINE | re.DOTALL)
    assert cells
    names = {}
    with contextlib.redirect_stdout(io.StringIO()):
        for options, code in cells:
            if "remove-cell" not in options:
                exec(compile(code, page, "exec"), names)
    return names


@pytest.fixture(scope="module")
def pull_page():
    return ran("pull-test")


@pytest.fixture(scope="module")
def target_page():
    return ran("target")


def gun_file(names):
    gun = names["gun"]
    from bandwork.setup import Assumptions, Quarry

    return GunFile(Path("club.toml"), "club", "", gun, Quarry(), Assumptions(), {}, "", {})


@pytest.fixture
def with_gun(monkeypatch):
    def put(names):
        monkeypatch.setattr("bandwork.workshop.fit.read_gun", lambda path: gun_file(names))
        return Path("club.toml")
    return put


def pull_csv(folder, names, name="pull.csv"):
    def number(value):
        return str(value).replace(".", ",")

    lines = [f"relaxed length: {number(names['relaxed_cm'])} cm", "outer diameter: 16 mm",
             "bore: 3 mm", "marks (cm);pulled out (kgf);let back (kgf)"]
    lines += [";".join(map(number, row)) for row in zip(
        names["marks_cm"].tolist(), names["pulled_kgf"].tolist(), names["let_back_kgf"].tolist(),
        strict=True)]
    path = folder / name
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def numbers(found):
    return {line.key: line.value for line in found.lines}


def same(mine, theirs):
    assert (mine.low, mine.best, mine.high) == pytest.approx(
        (theirs.low, theirs.best, theirs.high), **SAME)


def test_pull_test_gives_the_page_s_factor_with_and_without_what_readings_share(tmp_path,
                                                                                pull_page):
    got = fit(pull_csv(tmp_path, pull_page))
    same(got.pulled.readings, pull_page["factor"])
    same(got.pulled.factor, pull_page["whole"])
    same(rubber_of(got).factor, pull_page["whole"])


def test_pull_test_gives_the_page_s_readings_over_the_test_rubber_and_longest_stretch(tmp_path,
                                                                                      pull_page):
    got = fit(pull_csv(tmp_path, pull_page))
    np.testing.assert_allclose(got.all[0].series["over_test_rubber"], pull_page["r"], rtol=1e-12)
    assert rubber_of(got).longest_stretch == pull_page["fit"].longest


def test_pull_test_gives_the_page_s_law_its_worst_point_and_its_load(tmp_path, pull_page):
    got = fit(pull_csv(tmp_path, pull_page), law="Gent-Gent")
    law, theirs = got.pulled.law.rubber, pull_page["fit"].rubber
    assert (law.mu, law.jm, law.c2) == pytest.approx((theirs.mu, theirs.jm, theirs.c2), rel=1e-7)
    assert abs(numbers(got.all[0])["worst"].best) == pytest.approx(
        pull_page["fit"].worst, rel=0.03)  # of the reading, not of the law
    gun = pull_page["gun"]
    from bandwork.stretch import notch_load

    load = notch_load(pull_page["replace"](gun.band, rubber=law), gun.barrel)
    assert kgf_from_newton(load) == pytest.approx(kgf_from_newton(pull_page["by_law"]), rel=1e-7)


def test_pull_test_gives_what_the_page_says_comes_back(tmp_path, pull_page):
    kept = numbers(fit(pull_csv(tmp_path, pull_page)).all[0])["kept"]
    assert kept.best == pytest.approx(pull_page["kept"], **SAME)
    assert kept.high - kept.best == pytest.approx(pull_page["doubt"], **SAME)


def test_float_test_gives_the_page_s_forces_and_moments(tmp_path):
    page = ran("tub")
    own = {name: value * 1000 if name in ("r1", "r2", "lead") else value
           for name, value in page["readings"].items()}
    path = tmp_path / "tub.csv"
    path.write_text(
        f"mass in air (kg),{own['mass']}\n"
        f"grip to balance point (cm),{100 * own['balance']}\nlead (g),{own['lead']}\n"
        f"loop to loop (m),{own['way']}\nwater (°C),18\n"
        f"trial,at the grip (g),near the muzzle (g)\n1,{own['r1']},{own['r2']}\n", "utf-8")
    got = numbers(fit(path).all[0])
    for key, word in (("net_force_tub", "F in the tub"), ("moment_tub", "M in the tub"),
                      ("net_force_sea", "F in the sea"), ("moment_sea", "M in the sea")):
        same(got[key], page["results"][word])


def test_speeds_give_the_page_s_mean_slowing_and_loss(tmp_path, with_gun):
    page = ran("speed")
    path = tmp_path / "shots.csv"
    rows = [f"{shot}\t{a}\t{b}\t{page['pictures']}".replace(".", ",") for shot, (a, b) in
            enumerate(zip(page["first_cm"].tolist(), page["last_cm"].tolist(), strict=True), 1)]
    path.write_text("\n".join([
        f"pictures a second, checked\t{page['rate']}",
        "shot\ttail in the first picture, cm\tin the last, cm\tpictures between", *rows]), "utf-8")
    pulls = pull_csv(tmp_path, {**page, "relaxed_cm": 20, "let_back_kgf": page["pulled_kgf"]})
    found = fit(path, gun=with_gun(page), pull=pulls).all[0]
    got = numbers(found)
    np.testing.assert_allclose(found.series["over_the_way"], page["mean_speed"], rtol=1e-12)
    np.testing.assert_allclose(found.series["muzzle"], page["speeds"], rtol=1e-9)
    assert got["slowing"].best == pytest.approx(page["slowing"], **SAME)
    assert got["muzzle_speed"].best == pytest.approx(page["speeds"].mean(), **SAME)
    assert got["muzzle_speed"].high - got["muzzle_speed"].best == pytest.approx(
        page["mean_doubt"], **SAME)
    assert got["one_shot"].best == pytest.approx(page["one"], abs=5e-4)
    same(got["stiffness"], page["found"]["stiffness"])
    same(got["loss"], page["found"]["loss"])


def test_loss_with_a_measured_rubber_is_that_of_the_pull_test_beside_it(tmp_path, monkeypatch):
    page = ran("speed")
    pulls = fit(pull_csv(tmp_path, {**page, "relaxed_cm": 20,
                                    "let_back_kgf": page["pulled_kgf"]}))
    rubber = rubber_of(pulls)
    assert isinstance(rubber, Rubber)
    gun = gun_file(page)
    band = page["replace"](gun.setup.band, rubber=rubber.law)
    own = page["replace"](gun, setup=page["replace"](gun.setup, band=band), rubber=rubber)
    monkeypatch.setattr("bandwork.workshop.fit.read_gun", lambda path: own)
    path = tmp_path / "shots.csv"
    rows = "".join(f"{a};{b};9\n".replace(".", ",") for a, b in
                   zip(page["first_cm"].tolist(), page["last_cm"].tolist(), strict=True))
    path.write_text("fps;240\nfirst (cm);last (cm);pictures\n" + rows, "utf-8")
    got = numbers(fit(path, gun=Path("own.toml")).all[0])
    assert got["loss"].best == pytest.approx(page["found"]["loss"].best, abs=0.005)
    assert got["loss"].high - got["loss"].low > 0.02


def test_walked_reach_is_the_page_s(tmp_path, target_page, with_gun):
    path = tmp_path / "reach.csv"
    walked = ";".join(map(str, target_page["walked"].tolist())).replace(".", ",")
    path.write_text(f"wraps;muzzle to tip, m;again;again\n1;{walked}", "utf-8")
    got = numbers(fit(path, gun=with_gun(target_page)).all[0])
    assert got["walked"].best == pytest.approx(target_page["walked"].mean(), **SAME)
    assert got["computed"].best == pytest.approx(float(target_page["computed"]), **SAME)
    walked = target_page["walked"]
    assert got["walked"].high - got["walked"].best == pytest.approx(
        2 * walked.std(ddof=1) / np.sqrt(len(walked)), **SAME)


def test_sinking_shaft_gives_the_page_s_drag_coefficient(tmp_path, target_page, with_gun):
    path = tmp_path / "sinking.csv"
    times = ";".join(str(one).replace(".", ",") for one in target_page["times"].tolist())
    path.write_text(f"water: 26 C\nway down, m;{';'.join(['time, s'] * 5)}\n1,5;{times}\n", "utf-8")
    got = numbers(fit(path, gun=with_gun(target_page)).all[0])["coefficient"]
    assert (got.low, got.best, got.high) == pytest.approx(
        tuple(sorted((target_page["low"], target_page["best"], target_page["high"]))), **SAME)


def test_drops_give_the_page_s_means_and_drag(tmp_path, target_page, with_gun):
    path = tmp_path / "drops.csv"
    at, drop = target_page["target_m"], target_page["drop_cm"]
    rows = [f"{one},{','.join(map(str, drop[at == one]))}" for one in (4, 5)]
    path.write_text("\n".join(['"muzzle to board, m"' + 4 * ',"drop, cm"', *rows]), "utf-8")
    got = numbers(fit(path, gun=with_gun(target_page)).all[0])
    same(got["drag"], target_page["drag"])
    for one in (4, 5):
        here = drop[at == one]
        assert got[f"drop_{one}"].best * 100 == pytest.approx(here.mean(), **SAME)
        assert (got[f"drop_{one}"].high - got[f"drop_{one}"].best) * 100 == pytest.approx(
            2 * here.std(ddof=1) / 2, **SAME)


def test_each_page_s_readings_are_read_in_newton_and_inches_too(tmp_path, pull_page):
    rows = zip(pull_page["marks_cm"] / 2.54, newton_from_kgf(pull_page["pulled_kgf"]), strict=True)
    path = tmp_path / "other.csv"
    path.write_text(
        "relaxed length: 200 mm\noutside diameter (in),0.62992126\nbore (in),0.11811024\n"
        "marks in,force_N\n" + "".join(f"{float(a)!r},{float(b)!r}\n" for a, b in rows), "utf-8")
    assert fit(path).pulled.factor.best == pytest.approx(pull_page["whole"].best, rel=1e-6)
