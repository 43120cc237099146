"""Tuning: every option reaches what is wanted when it is tied, and nothing dangerous is offered."""

import json
from dataclasses import replace

import numpy as np
import pytest
from bandwork.cli import main
from bandwork.components import Barrel
from bandwork.setup import predict
from bandwork.stretch import cut_length_for_load
from bandwork.units import newton_from_kgf
from bandwork.validation import InputError
from bandwork.workshop.files import read_gun
from bandwork.workshop.quantities import Units
from bandwork.workshop.tune import LONGEST_FIRST, goal, tune

from tests.workshop.guns import HARBOUR


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    path = tmp_path_factory.mktemp("guns") / "harbour.toml"
    path.write_text(HARBOUR, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def softer(file):
    """Return what brings the load down to 44 kgf."""
    return tune(read_gun(file), goal(load="44 kgf"))


@pytest.mark.parametrize("asked", [
    {"load": "48 kgf"}, {"load": "41 kgf"}, {"load": "95 lb"}, {"trim": "level"},
    {"trim": "0.2 N m"}, {"trim": "-1.2 N m"}, {"drop": "4 cm"}, {"drop": "5 cm"}])
def test_each_option_reaches_the_goal_when_it_is_tied(file, asked):
    gun = read_gun(file)
    wanted = goal(**asked)
    found = tune(gun, wanted)
    assert found.options
    for one in found.options:
        reached = getattr(predict(one.setup, gun.quarry, gun.assumptions), wanted.name)
        assert abs(reached - wanted.value) <= 1.01 * wanted.tolerance
        assert reached == pytest.approx(one.value, rel=1e-3, abs=1e-3)
        assert one.interval.low <= one.value * 1.0001 + 1e-6


def test_what_is_more_than_the_diver_brings_or_beyond_the_line_is_told(file, tmp_path):
    assert "more than this diver brings, 51.0 kgf" in tune(read_gun(file),
                                                           goal(load="80 kgf")).text()
    far = tmp_path / "far.toml"
    far.write_text(HARBOUR + '[quarry]\ndistance = "8 m"\n', encoding="utf-8")
    with pytest.raises(InputError, match=r"beyond the line's end at 5\.4 m"):
        tune(read_gun(far), goal(drop="10 cm"))


def test_the_tolerance_of_a_load_is_half_a_kilogram():
    assert goal(load="48 kgf").tolerance == pytest.approx(newton_from_kgf(0.5))


def test_the_cut_is_the_librarys_to_the_nearest_centimetre(file):
    gun = read_gun(file)
    found = tune(gun, goal(load="48 kgf"))
    by_hand = cut_length_for_load(newton_from_kgf(48), Barrel(length=1.20), 0.016, 0.003)
    assert found.cut.best == pytest.approx(by_hand, abs=1e-4)
    (cut,) = [one for one in found.options if one.part == "cut"]
    assert cut.setup.band.relaxed_length == pytest.approx(round(by_hand, 2))
    assert cut.does == "cut the band 1 cm shorter, to 64 cm"
    assert found.cut.low < found.cut.best < found.cut.high


def test_one_part_is_changed_and_no_other(file):
    gun = read_gun(file)
    for asked in ({"load": "44 kgf"}, {"trim": "level"}, {"drop": "4 cm"}):
        for one in tune(gun, goal(**asked)).options:
            differing = [name for name in ("band", "shaft", "barrel", "line", "assist_length",
                                           "diver", "water")
                         if getattr(one.setup, name) != getattr(gun.setup, name)]
            assert len(differing) == 1


def test_a_level_gun_by_a_float_at_the_muzzle(file):
    gun = read_gun(file)
    (piece,) = tune(gun, goal(trim="level")).options
    fitting = piece.setup.barrel.others[-1]
    missing = -predict(gun.setup).grip_moment
    arm = fitting.position - gun.setup.barrel.handle.position
    lift = (gun.setup.water.density * fitting.volume - fitting.mass) * 9.80665
    assert lift * arm == pytest.approx(missing, abs=0.02)
    assert fitting.name == "float"


def test_one_piece_that_makes_the_gun_neutral_and_level(tmp_path):
    heavy = HARBOUR.replace('length = "120 cm"', 'length = "120 cm"\nmaterial = "aluminium"')
    path = tmp_path / "heavy.toml"
    path.write_text(heavy, encoding="utf-8")
    gun = read_gun(path)
    told = [one for one in tune(gun, goal(trim="level")).options if one.part == "piece"]
    after = predict(told[0].setup)
    assert abs(after.grip_moment) < 0.05
    if "neutral" in told[0].does:
        assert abs(after.net_force_shaft_in) < 0.05


def test_what_cannot_be_reached_names_the_nearest(file):
    found = tune(read_gun(file), goal(drop="40 cm"))
    assert not found.options
    values = predict(found.nearest.setup).drop_at_fish
    assert values > predict(found.gun.setup).drop_at_fish
    assert "No single change that was tried reaches it; the nearest is to" in found.text()


def test_no_band_is_offered_that_this_diver_cannot_load(file):
    gun = read_gun(file)
    found = tune(gun, goal(load="60 kgf"))
    assert not found.options
    assert found.left_out > 0
    assert predict(found.nearest.setup).load_spare >= 0
    assert found.cut is None
    assert "that this diver could not load" in found.text()


def test_what_is_there_already_needs_no_change(file):
    found = tune(read_gun(file), goal(load="47 kgf"))
    assert not found.options
    assert "It is there already" in found.text()


def test_parts_without_effect_are_named(softer):
    assert softer.without_effect == ("the load assist", "the shaft's diameter", "the line's wraps")


def test_the_longest_band_first(softer):
    text = " ".join(softer.text().split())
    assert LONGEST_FIRST in text
    assert "1. Tie a new band" in text
    assert f"begin at {np.round(softer.cut.high * 100):.0f} cm" in text
    assert "pull the tube on a scale first" in text
    for caution in predict(softer.gun.setup).cautions:
        assert caution in text


def test_in_pounds_and_inches(softer):
    text = replace(softer, units=Units("us")).text()
    assert "Wanted: load at the notch 97.0 lbf, within 1.1 lbf" in text
    assert f"{softer.options[0].value / 4.4482216152605:.1f} lbf (" in text


def test_as_json(softer):
    told = json.loads(softer.as_json())
    assert told["wanted"] == "load"
    assert told["options"][0]["part"] == "cut"
    assert told["options"][0]["low"] < told["options"][0]["value"] < told["options"][0]["high"]
    assert LONGEST_FIRST in told["cautions"]


def test_a_change_that_goes_beyond_the_pull_test_says_so(tmp_path):
    (tmp_path / "roll.rubber.toml").write_text(
        'name = "Roll 7 (invented)"\nfactor = [0.95, 1.0, 1.05]\nlongest_stretch = 3.75\n',
        encoding="utf-8")
    path = tmp_path / "harbour.toml"
    path.write_text(HARBOUR.replace('bore = "3 mm"', 'bore = "3 mm"\nrubber = "roll.rubber.toml"'),
                    encoding="utf-8")
    found = tune(read_gun(path), goal(load="49 kgf"))
    assert any("the pull test of this rubber ended at 3.75" in one
               for one in found.options[0].warnings)
    assert "pull the tube on a scale first" not in found.text()


@pytest.mark.parametrize(("asked", "sentence"), [
    ({}, "Nothing is asked for"),
    ({"load": "48 kgf", "drop": "4 cm"}, "load and drop is asked for"),
    ({"load": "48"}, "without a unit"),
    ({"load": "-3 kgf"}, "accepted is more than 0"),
    ({"load": "9000 kgf"}, "up to 300 kgf"),
    ({"drop": "0 cm"}, "accepted is more than 0"),
    ({"trim": "flat"}, "level is accepted too"),
    ({"trim": "N m"}, "level is accepted too"),
    ({"trim": "2 kgf"}, "level is accepted too"),
    ({"trim": "90 N m"}, "-20 to 20 N m"),
])
def test_a_goal_that_cannot_be_read_is_refused(asked, sentence):
    with pytest.raises(InputError, match=sentence):
        goal(**asked)


def test_the_command(file, capsys):
    assert main(["tune", str(file), "--load", "44 kgf"]) == 0
    assert "One of these reaches it" in capsys.readouterr().out
    assert main(["tune", str(file)]) == 1
    assert "ask for one of --load, --trim and --drop" in capsys.readouterr().err
