"""The answer says what the library says, in order, with its doubt, and so do its other forms."""

import csv
import json
import os
import subprocess
import sys
from dataclasses import fields, replace

import jsonschema
import pytest
from bandwork.cli import main
from bandwork.doubt import INPUTS, monte_carlo
from bandwork.interval import Interval
from bandwork.rubber import handbook_rubber, scaled
from bandwork.setup import USUAL_CAUTIONS, Prediction, predict
from bandwork.units import inch_from_metre, kgf_from_newton, lbf_from_newton
from bandwork.validation import InputError
from bandwork.workshop.answer import (
    CSV_COLUMNS,
    GROUPS,
    HOW_TO_MEASURE,
    LABELS,
    answer,
    answer_schema,
    hard_to_load,
    result_row,
)
from bandwork.workshop.blank import template
from bandwork.workshop.files import Rubber, read_gun, rubber_text
from bandwork.workshop.quantities import Units

METRIC, US = Units("metric"), Units("us")


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    path = tmp_path_factory.mktemp("club") / "harbour.toml"
    path.write_text(template(), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def gun(path):
    return read_gun(path)


@pytest.fixture(scope="module")
def told(gun):
    return answer(gun, METRIC)


def changed(path, name, *changes):
    text = template()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    other = path.with_name(name)
    other.write_text(text, encoding="utf-8")
    return read_gun(other)


def test_every_number_is_the_librarys_in_the_unit_that_it_names(told, gun):
    said = predict(gun.setup, gun.quarry, gun.assumptions)
    rows = {row.key: row for row in told.rows()}
    assert rows["load"].number == pytest.approx(kgf_from_newton(said.load), rel=1e-12)
    assert rows["first_reach"].number == pytest.approx(said.first_reach * 100, rel=1e-12)
    assert rows["muzzle_speed"].number == pytest.approx(said.muzzle_speed, rel=1e-12)
    assert rows["line_margin"].number == pytest.approx(said.line_margin.best, rel=1e-12)
    assert rows["line_margin"].low <= said.line_margin.low
    us = {row.key: row for row in replace(told, units=US).rows()}
    assert us["load"].number == pytest.approx(lbf_from_newton(said.load), rel=1e-12)
    assert us["load"].unit == "lbf"
    assert us["drop_at_reach"].number == pytest.approx(inch_from_metre(said.drop_at_reach))
    assert us["stored_energy"] == rows["stored_energy"]


def test_the_intervals_are_those_of_the_draws(told, gun):
    drawn = monte_carlo(gun.setup, gun.doubt, names=["load"], quarry=gun.quarry,
                        assumptions=gun.assumptions).intervals["load"]
    assert told.intervals["load"].low == drawn.low
    assert told.intervals["load"].high == drawn.high
    for row in told.rows():
        assert row.low <= row.number <= row.high, row


def test_the_groups_stand_in_the_order_in_which_a_rigger_asks(told):
    text = told.text()
    places = [text.index(f"\n{group}\n") for group in GROUPS]
    assert places == sorted(places)
    assert text.index("\nCautions\n") > places[-1]
    kinds = {one.name: one.type for one in fields(Prediction)}
    assert {kinds[name] for names in GROUPS.values() for name in names} == {float, Interval}
    assert max(map(len, text.splitlines())) <= 92


def test_all_cautions_stand_in_every_form(told):
    assert set(USUAL_CAUTIONS) <= set(told.cautions)
    flat = " ".join(told.text().split())
    for one in told.cautions:
        assert one in flat
        assert one in json.loads(told.as_json())["cautions"]
        assert one in [row["label"] for row in csv.DictReader(told.as_csv().splitlines())]


def test_a_number_without_doubt_is_said_once():
    row = result_row("load", 461, Interval(461, 461, 461), METRIC)
    assert row.words() == "47.0 kgf, from what was given"
    assert result_row("load", 461, Interval(397, 461, 634), METRIC).words() == \
        "47.0 kgf (40.5 to 64.7)"
    assert result_row("load", 461, None, METRIC).words() == "47.0 kgf"
    assert result_row("net_force_shaft_in", -0.001, None, METRIC).words() == "0.00 kgf"


def test_who_can_load_it_goes_by_the_draws(path):
    for capacity, says in (("90 kgf", "loads it in all draws"), ("20 kgf", "loads it in no draws")):
        told = answer(changed(path, "other.toml", ('"51 kgf"', f'"{capacity}"')), METRIC)
        assert says in " ".join(told.text().split())
    told = answer(changed(path, "short.toml", ('"90 cm"', '"40 cm"')), METRIC)
    assert told.chances["loads"] == 0


def test_what_is_measured_is_surer_and_something_else_comes_first(path, told):
    assert "pull your tube on a luggage scale" in told.measure_first
    sure = answer(changed(path, "sure.toml", ("# tube_stiffness = [0.9, 1.0, 1.2]",
                                              "tube_stiffness = [1, 1, 1]")), METRIC)
    wide, narrow = (one.intervals["load"] for one in (told, sure))
    assert narrow.high - narrow.low < 0.7 * (wide.high - wide.low)
    assert "luggage scale, then" not in sure.measure_first
    assert "under [doubt]" in sure.measure_first
    assert HOW_TO_MEASURE.keys() == INPUTS.keys()
    assert LABELS.keys() <= {name for names in GROUPS.values() for name in names}


def test_with_nothing_uncertain_it_says_so(gun):
    known = {name: Interval(best, best, best) for name, best in (
        (name, one.best) for name, one in monte_carlo_ranges(gun).items())}
    told = answer(replace(gun, doubt=known), METRIC)
    assert "nothing that is measured now" in told.measure_first
    assert "47.0 kgf, from what was given" in told.text()


def monte_carlo_ranges(gun):
    from bandwork.doubt import usual_ranges

    return usual_ranges(gun.setup)


def test_quick_gives_best_values_and_says_so(gun):
    told = answer(gun, METRIC, quick=True)
    assert told.intervals == told.chances == {}
    assert "how far off they may be is not shown" in told.text()
    assert " to " not in told.text().partition("Load at the notch  ")[2].partition("\n")[0]
    jsonschema.validate(json.loads(told.as_json()), answer_schema())


def test_draws_beyond_the_rubber_leave_the_numbers_and_a_caution(path):
    gun = changed(path, "far.toml", (
        "# tube_stiffness", 'batch_length_spread = ["-60 cm", "0 cm", "1 cm"]\n#'))
    told = answer(gun, METRIC)
    assert told.intervals == {}
    assert "could not be worked out" in told.cautions[0]
    assert "In rows" not in told.cautions[0]


def test_a_load_beyond_the_pull_test_is_called_a_guess(path):
    path.with_name("roll.rubber.toml").write_text(rubber_text(Rubber(
        "Roll 7", read_gun(path).setup.band.rubber, Interval(0.9, 1, 1.1), 20, 3.1)))
    gun = changed(path, "rubber.toml", ("# rubber = \"roll-7.rubber.toml\"",
                                        'rubber = "roll.rubber.toml"'))
    told = answer(gun, METRIC, quick=True)
    assert "ended at 3.10" in told.cautions[0]
    assert "Rubber: Roll 7" in told.text()


def test_a_set_up_that_cannot_be_is_refused_with_its_file(path):
    gun = changed(path, "slack.toml", ('"65 cm"', '"2.9 m"'))
    with pytest.raises(InputError, match=r"slack\.toml: .*slack"):
        answer(gun, METRIC)


@pytest.mark.parametrize("units", [METRIC, US])
def test_json_is_what_its_schema_says(gun, units):
    jsonschema.Draft202012Validator.check_schema(answer_schema())
    told = json.loads(answer(gun, units).as_json())
    jsonschema.validate(told, answer_schema())
    assert [one["key"] for one in told["results"]] == [
        name for names in GROUPS.values() for name in names]
    assert told["inputs"]["band.outer_diameter"] == "16 mm"
    assert not jsonschema.Draft202012Validator(answer_schema()).is_valid({**told, "more": 1})


def test_csv_opens_with_its_columns_and_holds_no_formula(path):
    gun = changed(path, "formula.toml", ('"Harbour gun"', "'=HYPERLINK(\"x\")'"),
                  ('"Ines (invented)"', '"@Ines (invented)"'))
    table = list(csv.DictReader(answer(gun, METRIC).as_csv().splitlines()))
    assert tuple(table[0]) == CSV_COLUMNS
    assert {row["kind"] for row in table} == {"input", "result", "verdict", "caution"}
    for row in table:
        for column, cell in row.items():
            if column in ("number", "low", "high") and row["kind"] == "result":
                float(cell)
            else:
                assert not cell.startswith(("=", "+", "-", "@")), cell
    assert table[0]["number"] == "'=HYPERLINK(\"x\")"


@pytest.mark.parametrize(("more", "says"), [
    ([], "(4"), (["--quick"], "Best values only"), (["--units", "us"], "lbf"),
    (["--json"], '"format": "bandwork answer 1"'), (["--csv"], "kind,key,label")])
def test_the_command_prints_it(path, capsys, more, says):
    assert main(["predict", str(path), *more]) == 0
    assert says in capsys.readouterr().out


def test_the_command_refuses_in_one_sentence(tmp_path, capsys):
    assert main(["predict", str(tmp_path / "gone.toml")]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert "bandwork new" in told.err


def test_a_console_without_a_letter_shows_the_rest(path):
    changed(path, "letters.toml", ("Harbour gun", "\N{GREEK SMALL LETTER BETA} gun"))
    done = subprocess.run([sys.executable, "-m", "bandwork.cli", "predict", "--quick",
                           str(path.with_name("letters.toml"))], capture_output=True, check=False,
                          env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(b"? gun")


def test_lines_fit_the_terminal(path, monkeypatch):
    for columns, widest in ((64, 64), (20, 60), (500, 92)):
        monkeypatch.setenv("COLUMNS", str(columns))
        lines = answer(read_gun(path), METRIC, True).text().splitlines()
        assert widest - 12 < max(map(len, lines)) <= widest


def test_a_diver_who_often_could_not_load_it_is_warned(path):
    def warned(load_capacity):
        changed_file = changed(path, f"{load_capacity[:2]}.toml", ("51 kgf", load_capacity))
        told = answer(changed_file, METRIC)
        return [one for one in told.cautions if "draws only" in one], told.chances["loads"]

    (caution,), part = warned("51 kgf")
    assert f"{round(part * 100)} of 100" in caution
    assert warned("90 kgf") == ([], 1)
    assert warned("40 kgf")[0] == []
    assert "more than this diver brings" in answer(
        changed(path, "weak.toml", ("51 kgf", "40 kgf")), METRIC).cautions[0]


@pytest.mark.parametrize(("length", "says"), [("100 cm", "too short"), ("200 cm", "too long")])
def test_a_shaft_that_does_not_fit_the_barrel_is_refused(path, length, says):
    with pytest.raises(InputError, match=says) as told:
        answer(changed(path, "misfit.toml", ('"160 cm"', f'"{length}"')), METRIC, quick=True)
    assert "misfit.toml: [shaft] and [barrel] do not go together: its" in str(told.value)


@pytest.mark.parametrize(("change", "says"), [
    (("legs = 2", "legs = 1"), "1 leg given"), (("legs = 2", "legs = 3"), "3 legs given"),
    (('distance = "4 m"', 'distance = "8 m"'), "beyond the line's end at 5.4 m")])
def test_what_is_hardly_meant_gets_a_caution(path, gun, change, says):
    got = answer(changed(path, "odd.toml", change), METRIC, quick=True).cautions
    assert says in " ".join(got)
    assert says not in " ".join(answer(gun, METRIC, quick=True).cautions)


@pytest.mark.parametrize(("measured", "says"), [
    ({"outer_diameter": 0.018, "bore": 0.003}, "tube of 18.0 mm by 3.0 mm, this band has 16.0"),
    ({"factor": 0.5}, "pulls 0.50 times the test rubber"), ({"factor": 2.2}, "pulls 2.20 times")])
def test_a_rubber_that_does_not_belong_to_the_band_gets_a_caution(path, measured, says):
    other = measured.pop("factor", 1.1)
    path.with_name("roll-7.rubber.toml").write_text(rubber_text(Rubber(
        "Roll 7", scaled(handbook_rubber(), other), Interval(1, 1, 1), 20.0, 4.5, **measured,
        factor=Interval(other, other, other))))
    found = changed(path, "rolled.toml", ("# rubber = ", "rubber = "))
    assert found.rubber.factor.best == other
    assert says in " ".join(answer(found, METRIC, quick=True).cautions)


def test_only_who_could_load_it_is_told_how_often(gun):
    told = predict(gun.setup)
    assert "52 of 100" in hard_to_load(gun, told, 0.52)[0]
    assert hard_to_load(gun, told, 0.9) == []
    assert hard_to_load(gun, replace(told, reach_spare=-0.1), 0.0) == []
    assert hard_to_load(gun, replace(told, load_spare=-0.1), 0.0) == []
