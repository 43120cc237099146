"""A shelf searched: what is kept is the library's, and what is written is what was found."""

import csv
import io
import json
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from bandwork.choice import Fallen, Search, search
from bandwork.cli import main
from bandwork.setup import predict
from bandwork.validation import InputError
from bandwork.workshop.files import read_gun, read_shelf
from bandwork.workshop.quantities import Units
from bandwork.workshop.shelf import MOST, WEIGHED, grouped, search_shelf

SHELF = """
name = "Tidewater Evening Club (invented)"
cuts = 2
[diver]
load_capacity = "51 kgf"
reach = "90 cm"
[[barrels]]
length = "120 cm"
[[barrels]]
length = "100 cm"
material = "aluminium"
sheave_friction = 0.08
[barrels.handle]
mass = "420 g"
[[barrels.others]]
name = "reel"
mass = "350 g"
volume = "200 ml"
position = "10 cm"
[[tubes]]
outer_diameter = "16 mm"
bore = "3 mm"
[[tubes]]
outer_diameter = "14 mm"
bore = "2 mm"
rubber = "rolls/roll.rubber.toml"
[[shafts]]
diameter = "7 mm"
length = "160 cm"
[[shafts]]
diameter = "6.5 mm"
length = "140 cm"
[[lines]]
diameter = "1.7 mm"
wraps = 1
[[lines]]
diameter = "1.7 mm"
wraps = 2
bungee_length = "20 cm"
[quarry]
distance = "3.5 m"
[water]
temperature = "14 C"
[assumptions]
hand_mass = "2 kg"
terminations = ["crimp", "bowline"]
line_strength = ["1500 N", "2000 N", "2600 N"]
[assumptions.shot]
hysteresis_loss = 0.12
[assumptions.swing]
rate = "40 deg/s"
"""
RUBBER = """
name = "Roll 7 (invented)"
factor = [0.95, 1.05, 1.15]
temperature = "19 C"
"""


@pytest.fixture(scope="module")
def shelf_file(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shelf")
    (folder / "rolls").mkdir()
    (folder / "rolls" / "roll.rubber.toml").write_text(RUBBER, encoding="utf-8")
    path = folder / "shelf.toml"
    path.write_text(SHELF, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def shelf(shelf_file):
    return read_shelf(shelf_file)


@pytest.fixture(scope="module")
def found(shelf):
    return search_shelf(shelf)


def test_what_is_kept_is_the_librarys(shelf, found):
    told = search(shelf.diver, shelf.barrels, shelf.tubes, shelf.shafts, shelf.lines, shelf.water,
                  shelf.quarry, shelf.assumptions, shelf.cuts)
    assert found.search == told
    assert len(told.kept) > 3
    assert len(told.kept) + len(told.fallen) == 2 * 2 * 2 * 2 * 2
    assert {one.name for one in told.beaten} <= {one.name for one in told.fallen}
    assert len(told.beaten) == sum(one.reason.startswith("Better in nothing")
                                   for one in told.fallen)


def test_each_set_up_that_is_written_is_the_one_that_was_found(shelf, found):
    assert {one.setup.band.outer_diameter for one in found.search.kept} == {0.014, 0.016}
    for number, one in enumerate(found.search.kept, 1):
        path = shelf.path.parent / "written.toml"
        path.write_text(found.gun_text(number, path), encoding="utf-8")
        gun = read_gun(path)
        assert gun.setup == one.setup
        assert gun.quarry == shelf.quarry
        assert gun.assumptions == shelf.assumptions
        told = predict(gun.setup, gun.quarry, gun.assumptions)
        assert told.load == pytest.approx(one.load, rel=1e-9)
        assert told.practical_range == pytest.approx(one.practical_range, rel=1e-3)
        assert abs(told.grip_moment) == pytest.approx(one.trim, rel=1e-9)
        assert told.line_margin.best == pytest.approx(one.line_margin, rel=1e-2)


def test_a_rubber_is_found_only_below_the_set_up(shelf, found, tmp_path):
    number = next(number for number, one in enumerate(found.search.kept, 1)
                  if one.setup.band.outer_diameter == 0.014)
    assert 'rubber = "rolls/roll.rubber.toml"' in found.gun_text(
        number, shelf.path.parent / "new.toml")
    assert 'rubber = "roll.rubber.toml"' in found.gun_text(
        number, shelf.path.parent / "rolls" / "new.toml")
    with pytest.raises(InputError, match="write the set-up into that folder or one above"):
        found.gun_text(number, tmp_path / "new.toml")


def test_the_rubbers_temperature_is_written_where_its_file_has_none(shelf_file, tmp_path):
    (tmp_path / "rolls").mkdir()
    (tmp_path / "rolls" / "roll.rubber.toml").write_text(
        RUBBER.replace('temperature = "19 C"', ""), encoding="utf-8")
    path = tmp_path / "shelf.toml"
    path.write_text(SHELF.replace("[assumptions]", '[assumptions]\ntest_temperature = "11 C"'),
                    encoding="utf-8")
    found = search_shelf(read_shelf(path))
    number = next(number for number, one in enumerate(found.search.kept, 1)
                  if one.setup.band.outer_diameter == 0.014)
    path = tmp_path / "gun.toml"
    path.write_text(found.gun_text(number, path), encoding="utf-8")
    assert read_gun(path).assumptions == found.shelf.assumptions


@pytest.mark.parametrize("number", [0, 999])
def test_a_number_that_is_not_in_the_table_is_refused(found, number, tmp_path):
    with pytest.raises(InputError, match=f"There is no set-up {number}; the search kept 1 to"):
        found.gun_text(number, tmp_path / "new.toml")


def test_every_set_up_that_fell_out_is_counted_once(found):
    groups = grouped(found.search.fallen)
    assert sum(map(len, groups.values())) == len(found.search.fallen)
    assert "cannot be tied or worked out" not in groups
    assert {"the shaft does not fit the barrel",
            "beaten: another is better in all that is weighed, or as good"} <= groups.keys()
    everything = " ".join(found.text(everything=True).split())
    for one in found.search.fallen:
        assert f"{one.name}. {one.reason}" in everything


def test_each_kind_of_refusal_of_the_library_has_its_group(shelf):
    weak = replace(shelf.diver, load_capacity=150.0, reach=0.4)
    tied = [replace(tube, relaxed_length=0.6) for tube in shelf.tubes]
    far = replace(shelf.quarry, distance=9.0)
    told = (*search(weak, shelf.barrels, tied, shelf.shafts, shelf.lines, cuts=0).fallen,
            *search(replace(weak, load_capacity=900.0), shelf.barrels, tied, shelf.shafts,
                    shelf.lines, cuts=0).fallen,
            *search(shelf.diver, shelf.barrels, tied, shelf.shafts, shelf.lines, quarry=far,
                    cuts=0).fallen,
            *search(shelf.diver, shelf.barrels, tied, shelf.shafts, shelf.lines[0], cuts=0,
                    assumptions=shelf.assumptions).fallen)
    groups = grouped(told)
    assert {"too hard to load for this diver", "out of reach, even with the best load assist",
            "does not reach the fish with what is asked"} <= groups.keys()
    assert "cannot be tied or worked out" not in groups


def test_a_reason_for_each_that_is_kept(found):
    assert len(found.reasons) == len(found.loads) == len(found.search.kept)
    kept = found.search.kept
    assert "easiest to load" in found.reasons[0]
    for name, best in (("practical_range", "goes farthest"), ("drop", "drops least"),
                       ("recoil_speed", "kicks least")):
        most = min if WEIGHED[name][1] > 0 else max
        first = most(range(len(kept)), key=lambda row, name=name: getattr(kept[row], name))
        assert best in found.reasons[first].split(";")[0]


def test_the_table_shows_each_with_its_interval(found):
    text = found.text()
    for one, load in zip(found.search.kept, found.loads, strict=True):
        assert load.low < one.load < load.high
        assert f"{one.load / 9.80665:.1f}" in text
    assert "--all lists each of them" in text
    assert "A computed load is an estimate, not permission" in text
    assert "lbf" in replace(found, units=Units("us")).text()


def test_of_many_the_table_shows_those_that_are_best_in_something(found, monkeypatch):
    monkeypatch.setattr("bandwork.workshop.shelf._MOST_SHOWN", 2)
    many = search_shelf(found.shelf)
    assert many.search == found.search
    hidden = many.loads.count(None)
    assert 0 < hidden < len(many.loads)
    assert f"{hidden} more, good in everything but best in nothing" in many.text()
    for number, load in enumerate(many.loads, 1):
        assert (f"\n{number}. " in many.text()) == (load is not None)
        assert f"\n{number}. " in many.text(everything=True)
    assert len(list(csv.DictReader(io.StringIO(many.as_csv())))) == len(many.loads)


def test_as_csv_and_json(found):
    table = list(csv.DictReader(io.StringIO(found.as_csv())))
    told = json.loads(found.as_json())
    assert len(table) == len(told["kept"]) == len(found.search.kept)
    assert float(table[0]["load_kgf"]) == pytest.approx(told["kept"][0]["load"] / 9.80665, abs=1e-3)
    assert len(told["fallen"]) == len(found.search.fallen)


def test_the_picture_tells_kept_from_beaten_by_shape(found):
    picture = ET.fromstring(found.svg().encode())
    space = {"s": "http://www.w3.org/2000/svg"}
    said = picture.find("s:desc", space).text
    assert f"Diamonds for {len(found.search.kept)} set-ups" in said
    assert f"circles for {len(found.search.beaten)} that are beaten" in said
    uses = [one.get("{http://www.w3.org/1999/xlink}href") for one in
            picture.iter("{http://www.w3.org/2000/svg}use")]
    counts = {mark: uses.count(mark) for mark in uses}
    assert len(found.search.kept) in counts.values()
    assert len(found.search.beaten) in counts.values()


def test_nothing_left_says_why(shelf):
    found = search_shelf(replace(shelf, diver=replace(shelf.diver, reach=0.25)))
    assert found.search.kept == ()
    assert "None of" in found.text()
    assert "out of reach, even with the best load assist" in found.text()
    with pytest.raises(InputError, match="nothing to draw"):
        found.svg()


def test_a_shelf_that_is_too_large_is_refused(shelf):
    huge = replace(shelf, shafts=shelf.shafts * 50, lines=shelf.lines * 50)
    with pytest.raises(InputError, match=f"accepted are up to {MOST}"):
        search_shelf(huge)


def test_progress_counts_up_to_all(shelf):
    seen = []
    search_shelf(shelf, progress=lambda done, total: seen.append((done, total)))
    assert seen
    assert seen[-1][0] == seen[-1][1]
    assert [done for done, _ in seen] == sorted(done for done, _ in seen)


def test_a_search_without_beaten_ones_is_still_a_search():
    assert Search((), (Fallen("one", "It takes 60.0 kgf."),)).beaten == ()


class TestTheCommand:
    def test_prints_draws_and_writes(self, shelf_file, capsys):
        folder = shelf_file.parent
        asked = ["search", str(shelf_file), "--write", "1", str(folder / "first.toml"), "--plot",
                 str(folder / "front.svg")]
        assert main(asked) == 0
        told = capsys.readouterr()
        assert "set-ups that no other beats" in told.out
        assert "first.toml holds set-up 1" in told.err
        assert read_gun(folder / "first.toml").name == "Set-up 1 of shelf"
        assert main(asked) == 1
        assert "front.svg is there already" in capsys.readouterr().err
        assert main(["predict", str(folder / "first.toml")]) == 0
        assert "kgf" in capsys.readouterr().out

    @pytest.mark.parametrize(("more", "sentence"), [
        (["--write", "two", "x.toml"], "give a set-up's number"),
        (["--write", "9" * 5000, "x.toml"], "give a set-up's number"),
        (["--write", "1", "x.txt"], "x.txt does not end with .toml"),
        (["--write", "1", "shelf.toml", "--force"], "shelf.toml is the shelf itself"),
        (["--plot", "shelf.toml", "--force"], "shelf.toml does not end with .svg")])
    def test_refuses_before_it_searches(self, shelf_file, capsys, monkeypatch, more, sentence):
        monkeypatch.chdir(shelf_file.parent)
        before = shelf_file.read_bytes()
        assert main(["search", "shelf.toml", *more]) == 1
        told = capsys.readouterr()
        assert sentence in told.err
        assert told.out == ""
        assert shelf_file.read_bytes() == before


def test_the_load_assist_and_what_the_diver_brings_are_told(found):
    told = found.text()
    for one in found.search.kept:
        assert f"load assist {one.setup.assist_length * 100:.0f} cm" in " ".join(told.split())
    assert "brings 51.0 kgf" in told
    hard = [load for load in found.loads if load and load.high > found.shelf.diver.load_capacity]
    assert " ".join(told.split()).count("May be more than this diver brings") == len(hard) > 0
