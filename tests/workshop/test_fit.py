"""`bandwork fit`: which law, what stands out, what a season took, and what is written."""

import json
import re
import tomllib
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import numpy as np
import openpyxl
import pytest
from bandwork import InputError
from bandwork.cli import main
from bandwork.components import Band
from bandwork.rubber import GentGent, Yeoh, handbook_rubber
from bandwork.stretch import temperature_factor
from bandwork.units import kgf_from_newton, newton_from_kgf
from bandwork.workshop.files import read_rubber
from bandwork.workshop.fit import fit, rubber_of
from bandwork.workshop.pulls import outlying
from scipy.optimize import least_squares

from tests.workshop.test_start import imported

MARKS = (25, 30, 40, 50, 60, 70, 80)
AREA = Band(0.016, 0.003, 0.65).cross_section
HEAD = "relaxed length: 20 cm\nouter diameter: 16 mm\nbore: 3 mm\n"
MORE = "air: 19 C\nscale: the club's (invented)\n"


def tube(factor=1.0, law=None, marks=MARKS):
    """Return what a tube pulls at its marks [kgf]."""
    stress = (law or handbook_rubber()).engineering_stress(np.array(marks) / 20)
    return kgf_from_newton(factor * stress * AREA)


def table(pulls, head=HEAD + MORE, marks=MARKS):
    return head + "marks (cm);pull (kgf)\n" + "".join(
        f"{mark};{pull:.4f}\n" for mark, pull in zip(marks, pulls, strict=True))


def written(folder, text, name="roll-7.csv"):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def numbers(found):
    return {line.key: line.value for line in found.lines}


def test_a_tube_that_is_the_test_rubber_times_a_factor_gives_that_factor(tmp_path):
    got = fit(written(tmp_path, table(tube(1.27))))
    assert got.pulled.factor.best == pytest.approx(1.27, rel=1e-4)
    assert got.pulled.law is None
    assert got.pulled.outliers == {}
    assert 1.27 in got.pulled.readings
    assert got.pulled.factor.high - got.pulled.factor.low > (
        got.pulled.readings.high - got.pulled.readings.low)


def test_another_rubber_gets_a_law_of_its_own_and_a_like_one_does_not(tmp_path):
    stiffer = GentGent(0.45e6, 40.0, 0.1e6)
    chance = np.random.default_rng(1)
    noisy = tube(law=stiffer) * chance.normal(1, 0.004, len(MARKS))
    got = fit(written(tmp_path, table(noisy)))
    assert got.pulled.law is not None
    assert "clearly better" in " ".join(got.all[0].says)
    told = got.pulled.law.rubber.engineering_stress(3.2) / stiffer.engineering_stress(3.2)
    assert told == pytest.approx(1, abs=0.02)
    assert got.pulled.stiffness.best == 1
    few = fit(written(tmp_path, table(noisy[:6], marks=MARKS[:6])))
    assert few.pulled.law is None
    assert "from 7 readings on" in " ".join(few.all[0].says)


def test_a_law_may_be_asked_for_and_is_the_least_squares_of_scipy(tmp_path):
    law = Yeoh(0.19e6, -1.6e3, 60.0)
    got = fit(written(tmp_path, table(tube(law=law))), law="yeoh").pulled.law.rubber
    pulls = newton_from_kgf(np.round(tube(law=law), 4)) / AREA
    s = np.array(MARKS) / 20

    def missed(x):
        i1 = s**2 + 2 / s - 3
        return (2 * (s - s**-2) * (x[0] + 2 * x[1] * i1 * 1e-2 + 3 * x[2] * i1**2 * 1e-4)
                - pulls / 1e6)

    own = least_squares(missed, [0.2, -0.1, 0.5], xtol=1e-14, ftol=1e-14, gtol=1e-14).x
    assert (got.c10, got.c20, got.c30) == pytest.approx(
        (own[0] * 1e6, own[1] * 1e4, own[2] * 1e2), rel=1e-4)
    assert fit(written(tmp_path, table(tube())), law="factor").pulled.law is None
    with pytest.raises(InputError, match="accepted are auto, factor"):
        fit(written(tmp_path, table(tube())), law="hooke")


@pytest.mark.parametrize("at", range(7))
@pytest.mark.parametrize("slip", [0.8, 0.88, 1.13, 1.3, 2.2])
def test_one_misread_scale_is_named_and_no_other(tmp_path, at, slip):
    chance = np.random.default_rng(at)
    pulls = tube(1.15) * chance.normal(1, 0.01, len(MARKS))
    pulls[at] *= slip
    got = fit(written(tmp_path, table(pulls)), law="factor")
    line = 7 + at
    assert list(got.pulled.outliers) == [line]
    caution = next(one for one in got.all[0].cautions if "Off the line" in one)
    assert f"line {line} (" in caution
    assert "in the result all the same" in caution
    without = fit(written(tmp_path, table(pulls)), law="factor", without=[line])
    assert without.pulled.factor.best == pytest.approx(1.15, rel=0.02)
    assert without.pulled.outliers == {}


def test_a_decimal_mark_left_out_is_named_by_its_line(tmp_path):
    pulls = tube()
    spoilt = pulls.copy()
    spoilt[3] *= 10
    whole, slip = (written(tmp_path, table(one), name) for one, name in
                   ((pulls, "whole.csv"), (spoilt, "slip.csv")))
    with pytest.raises(InputError, match=r"slip\.csv line (\d+): the pull is 10 times") as told:
        fit(slip)
    line = int(re.search(r"--without (\d+)", str(told.value))[1])
    left, right = fit(slip, without=[line]).pulled, fit(whole).pulled
    assert left.factor.best == pytest.approx(right.factor.best, rel=1e-3)


def test_readings_that_scatter_as_usual_are_seldom_named():
    chance = np.random.default_rng(0)
    named = sum(bool(outlying(np.array(MARKS) / 20, chance.normal(1.1, 0.022, 7), range(7)))
                for _ in range(400))
    assert named < 40


def test_what_rubber_cannot_do_is_said(tmp_path):
    text = HEAD + "marks cm;pulled out kgf;let back kgf\n20;0,5;\n25;5,4;6,0\n30;8,6;7,3\n" \
        "40;12,4;11,0\n50;11,9;10,2\n60;19,2;17,6\n"
    told = " ".join(fit(written(tmp_path, text)).all[0].cautions)
    assert "Line 6: let back it pulls 11 % harder" in told
    assert "Line 9 pulls less than line 8" in told
    assert "Line 5: a relaxed tube pulls nothing" in told
    assert "ended at stretch 3.00" in told
    assert "how warm" in told
    assert "the date" in told
    told = " ".join(fit(written(tmp_path, text.replace(";19,2;", ";0;"))).all[0].cautions)
    assert "Line 10: let back it pulls harder than pulled out" in told


@pytest.mark.parametrize(("text", "says"), [
    ("marks cm;pull kgf\n25;5\n30;8\n40;12\n", "marks when relaxed, the outer diameter and"),
    (HEAD + "marks cm;pull kgf\n25;5\n30;8\n", "2 of the three readings"),
    (HEAD + "marks mm;pull kgf\n25;5\n30;8\n40;12\n", "line 5: the tube would be stretched"),
    (HEAD + "marks cm;pull N\n25;5\n30;8\n40;12\n", "about 0.11 times"),
    (HEAD + "marks cm;pull kgf\n25;5\n30;8\n190;12\n", "line 7: stretch 9.5 is past"),
    (HEAD.replace("16 mm", "1.6 mm") + "marks cm;pull kgf\n25;5\n", "outer_diameter is 0.0016 m"),
    (HEAD.replace("20 cm", "20 mm") + "marks cm;pull kgf\n25;5\n", "stretched to 12.5"),
    (HEAD.replace("3 mm", "17 mm") + "marks cm;pull kgf\n25;5\n", "no wall left"),
])
def test_what_cannot_be_right_is_refused(tmp_path, text, says):
    with pytest.raises(InputError, match=says) as told:
        fit(written(tmp_path, text))
    assert str(told.value).startswith("roll-7.csv")


# --- A season -------------------------------------------------------------------------------------

def dated(folder, day, factor, name, air=19, scale="the club's"):
    head = f"{HEAD}date: {day}\nair: {air} C\nscale: {scale}\n"
    return written(folder, table(tube(factor), head), name)


def test_the_loss_of_a_season_is_found_with_its_interval(tmp_path):
    old, new = (dated(tmp_path, "2026-03-01", 1.2, "old.csv"),
                dated(tmp_path, "2026-09-01", 1.2 * 0.93, "new.csv"))
    got = fit(new, against=[old]).all
    assert [one.kind for one in got] == ["pull", "season"]
    loss = numbers(got[1])["loss_2026-09-01"]
    assert loss.best == pytest.approx(0.07, abs=2e-4)
    assert loss.low < 0.07 < loss.high
    assert 0.02 < loss.high - loss.low < 0.12
    other = fit(new, against=[dated(tmp_path, "2026-03-01", 1.2, "old.csv", scale="Ines's")]).all[1]
    assert "Not the same named scale" in " ".join(other.says)
    wider = numbers(other)["loss_2026-09-01"]
    assert wider.high - wider.low > 1.05 * (loss.high - loss.low)


def test_a_season_says_when_and_never_that_it_is_safe(tmp_path):
    old = dated(tmp_path, "2026-03-01", 1.2, "old.csv")
    for lost, says in ((0.15, "it is gone: make new bands"), (0.09, "it may be gone"),
                       (0.02, "reaches it about 20"), (-0.01, "not within ten years")):
        got = fit(dated(tmp_path, "2026-09-01", 1.2 * (1 - lost), "new.csv"), against=[old]).all[1]
        told = " ".join((*got.says, *got.cautions))
        assert says in told
        assert "Inspection decides" in told
        assert "common practice, no source" in told
        assert "safe" not in told


def test_a_straight_line_through_a_season_reaches_a_tenth_when_it_should(tmp_path):
    from datetime import date, timedelta

    days = (0, 60, 120)
    files = [dated(tmp_path, date(2026, 3, 1) + timedelta(day), 1.2 * (1 - 0.0002 * day),
                   f"{day}.csv") for day in days]
    told = " ".join(fit(files[2], against=files[:2]).all[1].says)
    assert f"about {date(2026, 3, 1) + timedelta(500)}"[:13] in told


def test_warmth_is_allowed_for_between_two_pulls(tmp_path):
    warm = temperature_factor(30, 10).best
    got = fit(dated(tmp_path, "2026-09-01", 1.2 * warm, "new.csv", air=30),
              against=[dated(tmp_path, "2026-03-01", 1.2, "old.csv", air=10)])
    assert numbers(got.all[1])["loss_2026-09-01"].best == pytest.approx(0, abs=2e-4)


def test_a_column_of_dates_is_a_season_of_its_own_and_of_bands_one_is_chosen(tmp_path):
    rows = "".join(f"{band};{day};{mark};{pull:.2f}\n"
                   for band, scale in (("left", 1), ("right", 2))
                   for day, kept in (("2026-03-01", 1.0), ("2026-09-01", 0.9))
                   for mark, pull in zip(MARKS, tube(0.7 * scale * kept), strict=True))
    path = written(tmp_path, HEAD + "band;date;marks cm;pull kgf\n" + rows)
    with pytest.raises(InputError, match="the bands left, right; say which with --band"):
        fit(path)
    got = fit(path, band="right")
    assert numbers(got.all[1])["loss_2026-09-01"].best == pytest.approx(0.1, abs=1e-3)
    assert got.pulled.factor.best == pytest.approx(1.26, rel=1e-3)
    assert rubber_of(got).measured == "2026-09-01"
    with pytest.raises(InputError, match="no band 'middle'"):
        fit(path, band="middle")


def test_seasons_that_are_none_are_refused(tmp_path):
    new = dated(tmp_path, "2026-09-01", 1.1, "new.csv")
    with pytest.raises(InputError, match="has no date"):
        fit(new, against=[written(tmp_path, table(tube()))])
    with pytest.raises(InputError, match="the same date"):
        fit(new, against=[dated(tmp_path, "2026-09-01", 1.2, "old.csv")])
    thick = written(tmp_path, table(tube(), HEAD.replace("16 mm", "17.5 mm")
                                    + "date: 2026-03-01\n"), "thick.csv")
    with pytest.raises(InputError, match="same band"):
        fit(new, against=[thick])
    named = [written(tmp_path, table(tube(), f"{HEAD}date: 2026-0{month}-01\nband: {name}\n"),
                     name) for month, name in ((3, "roll 7"), (9, "roll 12"))]
    with pytest.raises(InputError, match="is of the band 'roll 7' and roll 12 of 'roll 12'"):
        fit(named[1], against=[named[0]])


# --- Other tests ----------------------------------------------------------------------------------

TUB = ("mass in air;1652 g\nbalance point;57,5 cm\nlead;200 g\nloop to loop;110 cm\nwater;{water}\n"
       "at the grip (g);near the muzzle (g)\n{rows}")


def test_trials_in_the_tub_are_averaged_and_their_scatter_counts(tmp_path):
    one = numbers(fit(written(tmp_path, TUB.format(water="18 C", rows="176;84"))).all[0])
    calm = numbers(fit(written(tmp_path, TUB.format(water="18 C", rows="175;83\n177;85"))).all[0])
    wild = numbers(fit(written(tmp_path, TUB.format(water="18 C", rows="136;44\n216;124"))).all[0])
    for key, value in one.items():
        assert calm[key].best == pytest.approx(value.best) == wild[key].best
    assert wild["net_force_sea"].high - wild["net_force_sea"].low > 3 * (
        one["net_force_sea"].high - one["net_force_sea"].low)


def test_a_tub_of_sea_water_needs_no_correction(tmp_path):
    found = fit(written(tmp_path, TUB.format(water="18 °C, salt", rows="176;84"))).all[0]
    got = numbers(found)
    assert got["net_force_sea"].best == pytest.approx(got["net_force_tub"].best)
    assert "Sea water" in found.says[0]


def test_tests_that_need_a_gun_say_so(tmp_path):
    for text in ("fps;240\nfirst cm;last cm;pictures\n6;90;9\n", "wraps;muzzle to tip m\n1;5,2\n",
                 "muzzle to board m;drop cm\n4;5\n"):
        with pytest.raises(InputError, match="--gun"):
            fit(written(tmp_path, text))


GUN = """name = "Club gun (invented)"
[diver]
load_capacity = "51 kgf"
reach = "90 cm"
[band]
outer_diameter = "16 mm"
bore = "3 mm"
relaxed_length = "65 cm"
[shaft]
diameter = "7.5 mm"
length = "160 cm"
[barrel]
length = "120 cm"
[line]
diameter = "1.7 mm"
[water]
temperature = "18 C"
"""


def gun(folder):
    path = folder / "club.toml"
    path.write_text(GUN, "utf-8")
    return path


def test_slow_motion_taken_for_the_film_s_rate_is_refused(tmp_path):
    path = written(tmp_path, "fps;30\nfirst cm;last cm;pictures\n6;9;9\n")
    with pytest.raises(InputError, match="slow-motion"):
        fit(path, gun=gun(tmp_path))


def test_speeds_without_a_pull_test_say_what_is_missing(tmp_path):
    path = written(tmp_path, "fps;240\nfirst cm;last cm;pictures\n6,2;90,7;9\n3,1;92,7;9\n")
    found = fit(path, gun=gun(tmp_path)).all[0]
    assert "loss" not in numbers(found)
    assert "With a pull test of the same tube" in " ".join(found.says)


def test_drops_too_few_for_a_drag_still_give_their_means(tmp_path):
    path = written(tmp_path, "muzzle to board m;drop cm\n4;5\n4;7\n")
    found = fit(path, gun=gun(tmp_path)).all[0]
    assert numbers(found)["drop_4"].best == pytest.approx(0.06)
    assert "computed_4" in numbers(found)
    assert "The drag was not found." in " ".join(found.says)


# --- The command ----------------------------------------------------------------------------------

def ran(capsys, *arguments):
    code = main(["fit", *map(str, arguments)])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_command_writes_rubber_and_plot_and_says_how_it_read(tmp_path, capsys):
    path = written(tmp_path, table(tube(1.14)))
    rubber, picture = tmp_path / "roll-7.rubber.toml", tmp_path / "roll-7.svg"
    code, out, err = ran(capsys, path, "--write", rubber, "--plot", picture, "--name", "Roll 7")
    assert (code, err) == (0, "")
    for part in ("Pull test of Roll 7", "Read as: semicolon; UTF-8", "the pull in kgf from",
                 "factor: times the test rubber", "1.14 (", "never permission"):
        assert part in " ".join(out.split())
    made = read_rubber(rubber)
    assert made.name == "Roll 7"
    assert made.factor.best == pytest.approx(1.14, rel=1e-4)
    assert made.temperature == 19
    assert made.longest_stretch == 4
    assert tomllib.loads(rubber.read_text("utf-8"))["source_file"] == "roll-7.csv"
    root = ElementTree.fromstring(picture.read_text("utf-8"))
    assert root.find("{http://www.w3.org/2000/svg}title").text == "Pull test of Roll 7, roll-7.csv"


def test_a_law_of_its_own_is_written_and_read_back(tmp_path, capsys):
    path = written(tmp_path, table(tube(law=GentGent(0.45e6, 40.0, 0.1e6))))
    rubber = tmp_path / "a.rubber.toml"
    assert ran(capsys, path, "--law", "gent-gent", "--write", rubber)[0] == 0
    made = read_rubber(rubber)
    assert made.law.mu == pytest.approx(0.45e6, rel=1e-3)
    assert made.stiffness.low < 1 == made.stiffness.best < made.stiffness.high


def test_nothing_is_written_over_and_nothing_by_halves(tmp_path, capsys):
    path = written(tmp_path, table(tube()))
    rubber, picture = tmp_path / "a.rubber.toml", tmp_path / "a.svg"
    picture.write_text("mine", "utf-8")
    code, _, err = ran(capsys, path, "--write", rubber, "--plot", picture)
    assert code == 1
    assert "--force" in err
    assert not rubber.exists()
    assert picture.read_text("utf-8") == "mine"
    assert ran(capsys, path, "--write", rubber, "--plot", picture, "--force")[0] == 0
    assert picture.read_text("utf-8") != "mine"
    for option, name, says in (("--write", "a.txt", ".toml"), ("--plot", "a.png", ".svg")):
        code, _, err = ran(capsys, path, option, tmp_path / name)
        assert code == 1
        assert says in err


def test_the_readings_are_never_overwritten(tmp_path, capsys):
    path = written(tmp_path, table(tube()), "a.toml")
    text = path.read_bytes()
    code, _, err = ran(capsys, path, "--write", path, "--force")
    assert code == 1
    assert "files that are read" in err
    assert path.read_bytes() == text


def test_programs_get_the_same_numbers_in_si(tmp_path, capsys):
    path = written(tmp_path, table(tube(1.14)))
    code, out, _ = ran(capsys, path, "--json", "--law", "gent-gent")
    found = json.loads(out)["found"][0]
    got = fit(path, law="gent-gent")
    assert code == 0
    assert found["numbers"]["factor"]["best"] == got.pulled.factor.best
    assert found["numbers"]["mu"]["unit"] == "Pa"
    assert found["numbers"]["mu"]["best"] == got.pulled.law.rubber.mu
    assert found["series"]["pull"][0] == pytest.approx(newton_from_kgf(tube(1.14)[0]), rel=1e-4)
    assert found["cautions"]


def test_a_refusal_comes_before_anything_heavy(tmp_path):
    path = written(tmp_path, "a;b\n1;2")
    assert imported("from bandwork.cli import main\nimport contextlib, io\n"
                    "with contextlib.redirect_stderr(io.StringIO()):\n"
                    "    assert main(['fit', sys.argv[1]]) == 1", str(path)) == []


def test_a_bad_option_is_one_sentence(tmp_path, capsys):
    path = written(tmp_path, table(tube()))
    for arguments, says in ((("--without", "x"), "--without"), (("--decimal", "dot"), "comma and"),
                            (("--kind", "push"), "accepted are"),
                            (("--gun", "none.toml"), "none.toml"),
                            (("--pull", path.parent), "folder"),
                            (("--against", "none.csv"), "cannot be read"),
                            (("--given", "bore"), "write it as"), (("--sheet", "x"), "no sheets")):
        code, out, err = ran(capsys, path, *arguments)
        assert (code, out) == (1, ""), arguments
        assert says in err
        assert err.count("\n") == 1


@pytest.mark.parametrize("kind", ["pull", "season", "float", "speed", "drop", "reach", "sinking"])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_each_kind_is_drawn_with_its_words(tmp_path, capsys, kind, units):
    texts = {"pull": table(tube()), "season": table(tube(0.9), HEAD + "date: 2026-09-01\n"),
             "float": TUB.format(water="18 C", rows="176;84"),
             "speed": "fps;240\nfirst cm;last cm;pictures\n6,2;90,7;9\n3,1;92,7;9\n",
             "reach": "wraps;muzzle to tip, m;again;again\n1;5,22;5,26;5,21\n",
             "sinking": "water: 26 C\nway down, m;time, s;time, s\n1,5;1,9;1,8\n",
             "drop": "muzzle to board m;drop cm\n4;2\n4;7\n5;8\n5;13\n"}
    arguments = ["--gun", gun(tmp_path), "--units", units, "--plot", tmp_path / "a.svg"]
    if kind == "season":
        arguments += ["--against", dated(tmp_path, "2026-03-01", 1.0, "old.csv")]
    code, _, err = ran(capsys, written(tmp_path, texts[kind]), *arguments)
    assert (code, err) == (0, "")
    root = ElementTree.fromstring((tmp_path / "a.svg").read_text("utf-8"))
    svg = "{http://www.w3.org/2000/svg}"
    assert root.find(f"{svg}title").text
    assert root.find(f"{svg}desc").text
    assert len(list(root.iter(f"{svg}text"))) > 3


def test_a_workbook_of_a_club_evening_goes_through_the_command(tmp_path, capsys):
    book = openpyxl.Workbook()
    book.active.title = "Evening"
    for row in (["Tidewater Evening Club (invented)"], [], ["relaxed", "20 cm"],
                ["outer diameter, mm", 16], ["bore, mm", 3], ["air", "19 C"],
                [None, "marks", "pull", "remarks"], [None, "(cm)", "(kg)"],
                *([None, *pair] for pair in zip(MARKS, tube(1.1).round(1).tolist(), strict=True)),
                [None, "Tove read the scale"]):
        book.active.append(row)
    book.active.merge_cells("A1:D1")
    book.create_sheet("Sheet2")
    book.save(tmp_path / "evening.xlsx")
    code, out, err = ran(capsys, tmp_path / "evening.xlsx")
    assert (code, err) == (0, "")
    assert "sheet 'Evening'" in out
    assert "1.10 (" in out
    assert Path(tmp_path / "evening.xlsx").exists()


def test_an_extension_is_no_distance_of_marks(tmp_path):
    right = table(tube(1.1))
    moved = table(tube(1.1), marks=[mark - 20 for mark in MARKS])
    left = fit(written(tmp_path, moved.replace("marks (cm)", "extension (cm)"))).pulled
    assert left.factor.best == pytest.approx(fit(written(tmp_path, right)).pulled.factor.best)
    as_marks = moved.replace("marks (cm)\n", "").replace("marks (cm)", "marks apart (cm)")
    wrong = fit(written(tmp_path, as_marks.replace(f"\n{MARKS[0] - 20};", "\n20.5;")
                        .replace(f"\n{MARKS[1] - 20};", "\n21;"))).all[0].cautions
    assert "not what was added to it" in " ".join(wrong)


@pytest.mark.parametrize("factor", [0.5, 2.2])
def test_a_tube_that_pulls_as_none_does_gets_a_caution(tmp_path, factor):
    told = fit(written(tmp_path, table(tube(factor)))).all[0].cautions
    assert f"pulls {factor:.2f} times the test rubber" in told[0]


def test_the_tube_that_was_measured_is_told_and_written(tmp_path):
    got = fit(written(tmp_path, table(tube())))
    assert "16.0 mm (0.630 in) outside and 3.0 mm (0.118 in) of bore" in got.all[0].says[0]
    made = rubber_of(got)
    assert (made.outer_diameter, made.bore) == (0.016, 0.003)
