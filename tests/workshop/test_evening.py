"""A club evening on commands alone: from a form's rows to the printed sheet; people invented."""

import csv
import io
import json
import os
import re
from contextlib import redirect_stdout
from pathlib import Path

import openpyxl
import pytest
from bandwork.cli import main
from bandwork.workshop.answer import of_hundred
from pypdf import PdfReader

FORM = (
    ("Pull test of a tube, Tidewater Evening Club (invented)",),
    ("date, place", "tube, whose", "air, °C", "scale, tape", "safety person"),
    ("2026-03-14, club room", "roll 7, Ines (invented)", 19, "club scale", "Tove (invented)"),
    ("outer diameter, mm, twice", "bore, mm, twice", "marks apart before, cm", "after, cm"),
    ("16,0 / 16,0", "3,0 3,0", 20, 20.1),
    ("marks apart, cm", "stretch ratio", "pulled out, kgf", "let back, kgf", "remarks"),
    (25, 1.25, "5,4", "4,2"), (30, 1.5, "8,6", "7,3"), (40, 2, "12,4", "11,0"),
    (50, 2.5, "15,9", "14,2"), (60, 3, "19,2", "17,6"), (70, 3.5, "22,4", "21,1"),
    (80, 4, "27,0", "27,0", "stiff here"))
"""The printed form as Ines types it into a workbook, with decimal commas."""

GUEST = """tube,roll of the guest
outer diameter,5/8 in
bore,1/8 in
relaxed length,8 in
temperature,66 F
"marks apart, in","pulled out, lbf","let back, lbf"
10,11.6,9.2
12,18.6,15.9
16,26.9,23.8
20,34.4,30.8
24,41.6,38.1
28,48.6,45.6
32,58.5,58.5
"""


def bench(*words):
    """Return what a command prints."""
    told = io.StringIO()
    with redirect_stdout(told):
        assert main([*words]) == 0
    return told.getvalue()


def edited(old, new, *changes):
    """Write a set-up that differs from another one in lines that begin so."""
    text = Path(old).read_text(encoding="utf-8")
    for key, value in changes:
        text, done = re.subn(rf"(?m)^(# )?{key} = .*$", f"{key} = {value}", text, count=1)
        assert done == 1
    Path(new).write_text(text, encoding="utf-8")


def answers(file, *how):
    """Return what predict says: its results by key as best, low, high, its odds and cautions."""
    told = json.loads(bench("predict", file, "--json", *how))
    return {row["key"]: (row["number"], row["low"], row["high"]) for row in told["results"]} | {
        "chances": told["chances"], "cautions": told["cautions"]}


def near(told, value):
    """Whether a printed number is a value, rounded to as many places."""
    return told == f"{value:.{len(told.partition('.')[2])}f}"


@pytest.fixture(scope="module")
def evening(tmp_path_factory):
    """The folder on the club's laptop after the first hour."""
    folder = tmp_path_factory.mktemp("evening")
    before = Path.cwd()
    os.chdir(folder)
    book = openpyxl.Workbook()
    for row in FORM:
        book.active.append(row)
    book.active.merge_cells("A1:E1")
    book.save("roll 7.xlsx")
    Path("guest.csv").write_bytes(GUEST.replace("\n", "\r\n").encode())
    bench("fit", "roll 7.xlsx", "--write", "roll-7.rubber.toml")
    bench("fit", "guest.csv", "--write", "guest.rubber.toml", "--units", "us")
    bench("new", "plain.toml")
    edited("plain.toml", "ines.toml", ("name", '"Ines, harbour"'),
           ("rubber", '"roll-7.rubber.toml"'))
    edited("ines.toml", "anselm.toml", ("name", '"Anselm, guest"'), ("load_capacity", '"115 lbf"'),
           ("outer_diameter", '"5/8 in"'), ("bore", '"1/8 in"'), ("relaxed_length", '"30 in"'),
           ("rubber", '"guest.rubber.toml"'))
    yield folder
    os.chdir(before)


@pytest.fixture(scope="module")
def ines(evening):
    return answers("ines.toml")


def test_the_roll_s_factor_moves_the_load_and_narrows_it(evening, ines):
    told = bench("fit", "roll 7.xlsx")
    assert "decimal comma" in told
    factor = float(re.search(r"factor: times the test rubber +([\d.]+)", told)[1])
    own, test = ines["load"], answers("plain.toml")["load"]
    assert own[0] / test[0] == pytest.approx(factor, abs=0.01)
    assert own[2] - own[1] < (test[2] - test[1]) / 2


def test_the_guest_s_inches_and_pounds_are_the_same_rubber_in_the_end(evening):
    told = bench("predict", "anselm.toml", "--units", "us", "--quick")
    load = float(re.search(r"Load at the notch +([\d.]+) lbf", told)[1])
    metric = answers("anselm.toml", "--quick")["load"][0]
    assert load == pytest.approx(metric / 0.45359237, abs=0.06)
    edited("ines.toml", "near.toml", ("outer_diameter", '"15.875 mm"'), ("bore", '"3.175 mm"'),
           ("relaxed_length", '"76.2 cm"'))
    assert metric == pytest.approx(answers("near.toml", "--quick")["load"][0], rel=0.02)
    assert re.search(r"\d m/s(?! \()|\d kgf(?! \()", told) is None


def test_the_printed_sheet_carries_name_load_and_interval(evening, ines):
    bench("sheet", "setup", "ines.toml", "--out", "ines.pdf")
    words = " ".join(" ".join(page.extract_text() for page in PdfReader("ines.pdf").pages).split())
    assert "Ines, harbour" in words
    found = re.search(r"load at the notch ([\d.]+) kgf ([\d.]+) to ([\d.]+)", words)
    assert all(map(near, found.groups(), ines["load"]))
    assert "never permission to load" in words


def test_the_club_table_agrees_with_predict(evening, ines):
    folder = Path("members")
    folder.mkdir()
    for name in ("ines.toml", "roll-7.rubber.toml"):
        (folder / name).write_bytes(Path(name).read_bytes())
    bench("club", "members", "--out", "tables")
    rows = list(csv.DictReader(Path("tables/club.csv").read_text(encoding="utf-8").splitlines()))
    row = next(one for one in rows if one["file"] == "ines.toml")
    head = "load at the notch [kgf]"
    assert [float(row[head + end]) for end in ("", " low", " high")] == pytest.approx(ines["load"])
    odds = f"in {of_hundred(ines['chances']['loads'])} draws"
    assert odds in Path("tables/club.html").read_text(encoding="utf-8")
    own = [one for one in ines["cautions"] if one.startswith(("The band", "The line"))]
    assert len(own) == 2
    assert row["caution"] == " ".join(own)


def test_the_difference_in_compare_is_that_of_two_predicts(evening, ines):
    edited("plain.toml", "longer.toml", ("relaxed_length", '"71 cm"'), ("name", '"Ines, longer"'))
    told = " ".join(bench("compare", "ines.toml", "longer.toml").split())
    assert "band's relaxed length: A 65 cm, B 71 cm" in told
    assert "band's rubber: A roll 7, Ines (invented), B the handbook's test rubber" in told
    assert "temperature at the pull test: A 19 C, B 20 C" in told
    assert "assumptions" not in told
    less = re.search(r"load at the notch \(kgf\): .*? B: ([\d.]+) less", told)[1]
    assert near(less, ines["load"][0] - answers("longer.toml", "--quick")["load"][0])


def test_the_cut_that_tune_names_gives_the_load(evening):
    told = " ".join(bench("tune", "ines.toml", "--load", "51 kgf").split())
    length, load = re.search(r"Tie a new band .*?, (\d+) cm: ([\d.]+) kgf", told).groups()
    edited("ines.toml", "tuned.toml", ("relaxed_length", f'"{length} cm"'))
    assert near(load, answers("tuned.toml", "--quick")["load"][0])


def test_what_search_lists_is_what_predict_says_of_the_file_that_it_writes(evening, capsys):
    assert "invented shelf" in bench("new", "shelf.toml")
    edited("shelf.toml", "shelf.toml", ("cuts", "2"), ("rubber", '"roll-7.rubber.toml"'))
    told = bench("search", "shelf.toml", "--write", "1", "first.toml")
    for words, does in ((("predict", "shelf.toml"), "`bandwork search` goes through it"),
                        (("search", "ines.toml"), "`bandwork new shelf.toml` writes")):
        assert main([*words]) == 1
        assert does in capsys.readouterr().err
    first = re.search(r"(?m)^1\. +([\d.]+) +(\d+) to (\d+)", told).groups()
    assert all(map(near, first, answers("first.toml")["load"]))


def test_a_band_measured_again_in_autumn_has_lost_what_its_readings_say(evening, ines):
    book = openpyxl.load_workbook("roll 7.xlsx")
    sheet = book.active
    sheet["A3"] = "2026-11-21, club room"
    for row in range(7, 14):
        sheet.cell(row, 3).value = round(0.9 * float(sheet.cell(row, 3).value.replace(",", ".")), 2)
        sheet.cell(row, 4).value = None
    book.save("autumn.xlsx")
    told = bench("fit", "autumn.xlsx", "--against", "roll 7.xlsx", "--write", "old.rubber.toml")
    assert re.search(r"lost by 2026-11-21 +(9|10|11) %", told)
    edited("ines.toml", "old.toml", ("rubber", '"old.rubber.toml"'))
    assert answers("old.toml", "--quick")["load"][0] == pytest.approx(0.9 * ines["load"][0],
                                                                      rel=0.01)


@pytest.mark.parametrize(("change", "does"), [
    (("relaxed_length", "65"), "write it with one in quotes"),
    (("relaxed_length", "65 cm"), 'here relaxed_length = "65 cm" with straight quotes'),
    (("relaxed_length", '"65 mm"'), "look for a slip in band.relaxed_length and its unit"),
    (("rubber", '"roll-8.rubber.toml"'), "bandwork fit READINGS.csv --write roll-8.rubber.toml"),
    (("rubber", '"roll-7.csv"'), "bandwork fit roll-7.csv --write roll-7.rubber.toml"),
    (("rubber", '"../roll-7.rubber.toml"'), "give a file in the same folder or below it")])
def test_a_slip_gets_one_line_that_says_what_to_do(evening, capsys, change, does):
    edited("ines.toml", "Jörg's slip.toml", change)
    assert main(["predict", "Jörg's slip.toml"]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("bandwork: Jörg's slip.toml: ") or "no TOML" in told.err
    assert does in told.err
    assert told.err.count("\n") == 1


@pytest.mark.parametrize(("words", "does"), [
    (("predict", "Ines", "harbour.toml"), "write what has a space in it in quotes"),
    (("tune", "ines.toml", "--load", "45", "kgf"), 'in quotes, such as "Ines 2.toml" or "45 kgf"'),
    (("predikt", "ines.toml"), "there is no command 'predikt'; nearest: predict")])
def test_a_command_typed_amiss_says_how_it_is_typed(capsys, words, does):
    with pytest.raises(SystemExit) as ended:
        main([*words])
    assert ended.value.code == 2
    assert does in capsys.readouterr().err
