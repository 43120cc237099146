"""Set-ups compared: alike, larger than the doubt, within it, and how that is said."""

import csv
import io
import json
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from bandwork.cli import main
from bandwork.doubt import INPUTS, monte_carlo
from bandwork.setup import compare, predict, predict_many
from bandwork.validation import InputError
from bandwork.workshop import drawn
from bandwork.workshop.against import QUESTIONS, against
from bandwork.workshop.answer import answer
from bandwork.workshop.files import read_gun
from bandwork.workshop.quantities import Units

from tests.workshop.guns import HARBOUR


@pytest.fixture(scope="module")
def gun(tmp_path_factory):
    """Return a function that writes a set-up with some words of the text changed, and reads it."""
    folder = tmp_path_factory.mktemp("guns")

    def made(name="harbour", *changes):
        text = HARBOUR.replace("Harbour", name.capitalize())
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        path = folder / f"{name}.toml"
        path.write_text(text, encoding="utf-8")
        return read_gun(path)
    return made


@pytest.fixture(scope="module")
def longer(gun):
    """Return the harbour gun compared with one whose band is cut two centimetres longer."""
    return against([gun(), gun("reef", ('"65 cm"', '"67 cm"'))])


def row(found, name):
    return next(one for one in found.rows if one.name == name)


def test_a_file_compared_with_itself_is_alike(gun):
    found = against([gun(), gun()])
    assert found.inputs == ((),)
    for one in found.rows:
        assert one.differences[0].low == one.differences[0].best == one.differences[0].high == 0
        assert one.alike(0)
    text = found.text()
    assert "the inputs are alike" in text
    assert "The results are alike." in text
    assert all(line["verdict"] == "alike" for one in json.loads(found.as_json())["results"]
               for line in one["less_A"].values())


def test_every_result_is_that_of_the_library(longer):
    found, (one, other) = longer, longer.guns
    told = compare(one.setup, other.setup)
    for result in found.rows:
        change = next(change for change in told.results if change.name == result.name)
        old, new = (getattr(value, "best", value) for value in (change.old, change.new))
        assert result.values[0].best == old
        assert result.differences[0].best == pytest.approx(new - old, rel=0.02, abs=2e-3)
        assert result.meanings[0] == change.meaning
    shown = answer(one, Units()).intervals
    assert {result.name: result.values[0] for result in found.rows} == {
        name: shown.get(name, result.values[0]) for name, result in
        ((result.name, result) for result in found.rows)}
    assert row(found, "line_margin").values[0] == shown["line_margin"]


def test_what_two_guns_share_cancels(longer):
    found = longer
    load = row(found, "load")
    apart = load.values[0].high - load.values[0].low
    assert load.values[1].high > load.values[0].low  # the intervals overlap
    assert load.differences[0].high - load.differences[0].low < 0.1 * apart
    assert load.larger(0)
    assert found.own == ((),)
    assert "larger than the doubt: easier to load" in found.text()
    assert "A and B share every doubt." in found.text()


def test_another_tube_has_a_doubt_of_its_own(gun):
    found = against([gun(), gun("reef", ('"16 mm"', '"16.2 mm"'))])
    load = row(found, "load")
    assert load.differences[0].best > 0
    assert not load.larger(0)
    assert "within the doubt" in found.text()
    assert found.own[0][0] == "how hard this tube pulls"
    assert "drag of the line" not in found.own[0]


def test_the_draws_are_those_of_monte_carlo(gun):
    one = gun()
    setup, taken = drawn.put(one, drawn.columns(one))
    values = predict_many(setup, one.quarry, taken, ["load", "drop_at_fish"])
    spread = monte_carlo(one.setup, names=["load", "drop_at_fish"], draws=drawn.DRAWS)
    for name, value in values.items():
        np.testing.assert_allclose(value, spread.draws[name], rtol=1e-9)


def test_each_uncertain_input_says_what_it_is_about(gun):
    assert drawn.ABOUT.keys() == INPUTS.keys()
    one = gun()
    assert all(drawn.shared(one, one).values())
    known = replace(one, doubt={**one.doubt, "ageing_loss": drawn.ranges(one)["ageing_loss"].map(
        lambda lost: lost * 0)})
    assert "ageing_loss" not in drawn.shared(known, known)
    assert drawn.shared(one, known)["ageing_loss"] is False


def test_each_gun_is_worked_out_with_its_own_fish(gun):
    near = gun("cave", ("[assist]", '[quarry]\ndistance = "2.5 m"\n[assist]'))
    found = against([gun(), near])
    assert [change.name for change in found.inputs[0]] == ["quarry.distance"]
    assert row(found, "drop_at_fish").values[1].best < row(found, "drop_at_fish").values[0].best
    assert row(found, "load").alike(0)
    assert "quarry's distance: A 400.0 cm, B 2.5 m" in found.text()


def test_it_says_which_input_did_it(gun, longer):
    both = gun("reef", ('"65 cm"', '"67 cm"'), ("wraps = 1", "wraps = 2"))
    found = against([gun(), both])
    assert row(found, "load").causes == ("band's relaxed length",)
    assert row(found, "reach_from_muzzle").causes == ("line's wraps",)
    assert {one.causes for one in longer.rows} == {("",)}


def test_another_rubber_is_one_difference_with_its_name(gun):
    folder = gun().path.parent
    (folder / "roll.rubber.toml").write_text(
        'name = "Roll 7 (invented)"\nfactor = [1.05, 1.10, 1.15]\n', encoding="utf-8")
    found = against([gun(), gun("reef", ('bore = "3 mm"',
                                         'bore = "3 mm"\nrubber = "roll.rubber.toml"'))])
    assert [one.name for one in found.inputs[0]] == ["band.rubber"]
    assert ("band's rubber: A the handbook's test rubber, B Roll 7 (invented)") in found.text()
    assert row(found, "load").differences[0].best == pytest.approx(
        0.1 * row(found, "load").values[0].best, rel=1e-6)
    assert "how hard this tube pulls" in found.own[0]


def test_three_guns_are_each_compared_with_the_first(gun):
    guns = [gun(), gun("reef", ('"65 cm"', '"67 cm"')), gun("cave", ('"65 cm"', '"63 cm"'))]
    found = against(guns)
    first, second = row(found, "load").differences
    assert first.best < 0 < second.best
    text = found.text()
    assert "What differs from A to C" in text
    assert "    C: " in text


@pytest.mark.parametrize(("number", "sentence"), [(1, "1 set-up given; 2 to 6"),
                                                  (7, "7 set-ups given; 2 to 6")])
def test_too_few_and_too_many_are_refused(gun, number, sentence):
    with pytest.raises(InputError, match=sentence):
        against([gun()] * number)


def test_in_pounds_and_inches(longer):
    text = replace(longer, units=Units("us")).text()
    assert f"A {predict(longer.guns[0].setup).load / 4.4482216152605:.1f} (" in text
    assert "(lbf)" in text
    assert "drop at the fish (in)" in text
    assert "kgf)" not in text.split("Cautions:")[0]


def test_the_table_and_the_json_hold_the_same_numbers(longer):
    found = longer
    table = list(csv.DictReader(io.StringIO(found.as_csv())))
    told = json.loads(found.as_json())
    assert [one["key"] for one in table] == [one["key"] for one in told["results"]] == [
        name for asked in QUESTIONS.values() for name in asked]
    load = told["results"][0]
    assert float(table[0]["A"]) == pytest.approx(load["values"]["A"]["best"] / 9.80665, abs=1e-3)
    assert float(table[0]["B_less_A"]) == pytest.approx(load["less_A"]["B"]["best"] / 9.80665,
                                                        abs=1e-3)
    assert table[0]["B_less_A_verdict"] == load["less_A"]["B"]["verdict"] == "larger than the doubt"
    assert told["cautions"]


def test_all_cautions_are_there(gun):
    one, other = gun(), gun("reef", ('load_capacity = "51 kgf"', 'load_capacity = "30 kgf"'))
    text = " ".join(against([one, other]).text().replace("\n  ", " ").split())
    for caution in predict(one.setup).cautions:
        assert caution in text
    assert "! B: The band pulls with 47 kgf (104 lbf), more than this diver brings" in text


def test_the_picture_says_what_it_shows(longer):
    picture = ET.fromstring(longer.svg().encode())
    space = {"s": "http://www.w3.org/2000/svg"}
    assert picture.find("s:title", space).text == "Set-ups compared: A Harbour gun, B Reef gun"
    assert "load at the notch: A 47.0 (40.5 to 64.7)" in picture.find("s:desc", space).text
    words = {one.text for one in picture.iter("{http://www.w3.org/2000/svg}text")}
    assert {"A", "B", "load at the notch (kgf)"} <= words


def test_in_short_the_sure_differences(longer):
    text = " ".join(longer.text().split())
    assert "In short, B against A: easier to load (load at the notch), slower (speed at" in text


def test_a_gun_whose_doubt_cannot_be_worked_out_is_named(gun):
    wild = gun("wild", ("[assist]", '[doubt]\nbatch_length_spread = ["-58 cm", "0 cm", "1 cm"]\n'
                        "[assist]"))
    with pytest.raises(InputError, match=r"wild\.toml: how sure its numbers are cannot be worked"):
        against([gun(), wild])


class TestTheCommand:
    def test_prints_and_draws_once(self, longer, tmp_path, capsys):
        asked = ["compare", *(str(one.path) for one in longer.guns), "--plot",
                 str(tmp_path / "both.svg")]
        assert main(asked) == 0
        assert "What differs from A to B" in capsys.readouterr().out
        drawing = (tmp_path / "both.svg").read_bytes()
        assert main(asked) == 1
        assert "both.svg is there already" in capsys.readouterr().err
        assert (tmp_path / "both.svg").read_bytes() == drawing
        assert main([*asked, "--force", "--json"]) == 0
        assert json.loads(capsys.readouterr().out)["results"]

    def test_refuses_in_one_sentence(self, gun, tmp_path, capsys):
        assert main(["compare", str(gun().path), str(tmp_path / "none.toml")]) == 1
        told = capsys.readouterr()
        assert told.out == ""
        assert "none.toml" in told.err
        assert "Traceback" not in told.err


def test_how_often_a_diver_loads_one_of_them_is_said_of_it(gun):
    found = against([gun("heavy", ('"51 kgf"', '"48 kgf"')), gun()])
    told = {whose: text for text, whose in found.cautions if "of 100 draws" in text}
    assert set(told) == {("A",), ("B",)}
