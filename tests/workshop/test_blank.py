"""The template, the schema and the writer agree with the reader."""

import copy
import json
import tomllib
from dataclasses import replace

import jsonschema
import pytest
from bandwork.cli import main
from bandwork.components import Band, Barrel, Diver, Fitting, Shaft, ShootingLine, Water
from bandwork.flight import DragCoefficients
from bandwork.interval import Interval
from bandwork.launch import ShotConditions
from bandwork.rubber import handbook_rubber, scaled
from bandwork.setup import USUAL_CAUTIONS, Assumptions, Quarry, Setup, predict
from bandwork.validation import InputError
from bandwork.workshop.blank import gun_text, schema, schema_text, template
from bandwork.workshop.files import KINDS, Rubber, keys_of, read_gun, rubber_text
from bandwork.workshop.quantities import UNITS

CHECK = jsonschema.Draft202012Validator(schema())
GUN = Setup(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), Barrel(1.20), ShootingLine(0.0017),
            Water(), Diver(500, 0.9), 0.35)
RICH = Setup(
    Band(0.0143, 0.0029, 0.333, 4, scaled(handbook_rubber(), 1.1), 940), Shaft(0.0079375, 1.455),
    Barrel(0.9, "conventional", material="wood", wall=0.014, flooded=True, sheave_wrap=3.0,
           handle=Fitting('the "grip"', 0.4001, 0.0003, -0.04),
           others=(Fitting("reel", 0.3, 0.00015, 0.1),
                   Fitting("float", 0.1, 0.0003, 0.8, 0.02, 1))),
    ShootingLine(0.0019, 2, 1234.5, bungee_length=0.2), Water(11.5, 0, 3), Diver(333, 0.777), 0.0)
ASSUMED = Assumptions(ShotConditions(gun_mass=3.3), 2.2, DragCoefficients(nose=0.12),
                      sight_height=-0.03, rubber_temperature=14, terminations=("bowline", "crimp"),
                      line_strength=Interval(1000, 1200, 1500))
GIVEN = tomllib.loads(template())


def test_the_schema_is_one():
    jsonschema.Draft202012Validator.check_schema(schema())
    assert json.loads(schema_text()) == schema()


def test_the_template_is_read_allowed_and_sound(tmp_path):
    path = tmp_path / "gun.toml"
    path.write_text(template(), encoding="utf-8")
    gun = read_gun(path)
    CHECK.validate(GIVEN)
    told = predict(gun.setup, gun.quarry, gun.assumptions)
    assert told.load_spare > 0 < told.reach_spare
    assert "invented" in gun.made_for
    assert set(USUAL_CAUTIONS) <= set(told.cautions)
    assert "never permission" in template()
    assert max(map(len, template().splitlines())) <= 110


def every_place():
    """Yield (way, keys) for every section that a set-up can have, however deep."""
    left = [((name,), kind) for name, kind in KINDS.items()]
    while left:
        way, kind = left.pop()
        yield way, keys_of(kind)
        left += [((*way, name), one.kind) for name, one in keys_of(kind).items()
                 if one.form == "part"]


PLACES = list(every_place())


def put(way, key, value):
    given = copy.deepcopy(GIVEN)
    table = given
    for name in way:
        table = table.setdefault(name, {})
    table[key] = value
    return given


@pytest.mark.parametrize(("way", "keys"), [((), {}), (("doubt",), {}), (("assist",), {}), *PLACES],
                         ids=lambda one: ".".join(one) if isinstance(one, tuple) else "")
def test_an_unknown_key_is_refused_everywhere(way, keys):
    for key in ("colour", *(f"{name}_furlong" for name in keys)):
        assert not CHECK.is_valid(put(way, key, 1))


@pytest.mark.parametrize(("way", "key", "value", "allowed"), [
    (("band",), "bore", 3, False), (("shaft",), "overhang_cm", 25, True),
    (("shaft",), "overhang_cm", "25", False), (("band",), "bore_mm", 3, False),
    (("barrel",), "kind", "air", False), (("line",), "wraps", 9, False),
    (("doubt",), "tube_stiffness", [0.9, 1, 1.1], True), (("doubt",), "tube_stiffness", [1], False),
    (("doubt",), "handle_mass_g", [1, 2, 3], True), (("barrel",), "flooded", "no", False),
    (("barrel",), "others", [{"name": "reel", "mass_g": 3, "volume": "1 ml", "position_cm": 1}],
     True), (("barrel",), "others", [{"name": "reel"}], False)])
def test_the_schema_knows_kinds_units_and_ranges(way, key, value, allowed):
    assert CHECK.is_valid(put(way, key, value)) == allowed


def test_what_a_section_needs_may_have_its_unit_in_the_key():
    given = copy.deepcopy(GIVEN)
    del given["band"]["bore"]
    assert not CHECK.is_valid(given)
    given["band"]["bore_mm"] = 3
    assert CHECK.is_valid(given)


@pytest.mark.parametrize(("setup", "taken", "rubber"), [
    (GUN, Assumptions(), ""), (RICH, ASSUMED, "roll.rubber.toml"),
    (replace(GUN, band=replace(GUN.band, rubber=RICH.band.rubber)),
     Assumptions(test_temperature=18.5), "roll.rubber.toml")])
def test_a_set_up_survives_its_file(tmp_path, setup, taken, rubber):
    (tmp_path / "roll.rubber.toml").write_text(rubber_text(Rubber(
        "Roll", RICH.band.rubber, Interval(1, 1, 1),
        None if taken.test_temperature == 20 else taken.test_temperature)))
    fish = Quarry(distance=3.3)
    doubt = {"tube_stiffness": Interval(0.9, 1, 1.1), "handle_mass": Interval(
        setup.barrel.handle.mass / 2, setup.barrel.handle.mass, 1.0)}
    text = gun_text("The one", "Marek (invented)", setup, fish, taken, doubt, rubber)
    path = tmp_path / "gun.toml"
    path.write_text(text, encoding="utf-8")
    gun = read_gun(path)
    assert (gun.setup, gun.quarry, gun.assumptions) == (setup, fish, taken)
    assert gun.doubt.items() >= doubt.items()
    assert (gun.name, gun.made_for) == ("The one", "Marek (invented)")
    CHECK.validate(tomllib.loads(text))


def test_a_plain_set_up_is_written_as_people_write_it():
    text = gun_text("x", "", GUN, Quarry(), Assumptions())
    for line in ('outer_diameter = "16 mm"', 'relaxed_length = "65 cm"', 'length = "35 cm"',
                 'load_capacity = "500 N"'):
        assert line in text
    assert "quarry" not in text
    assert "made_for" not in text


def test_a_rubber_without_a_file_cannot_be_written():
    with pytest.raises(InputError, match="give the file"):
        gun_text("x", "", RICH, Quarry(), Assumptions())


def test_new_writes_set_up_and_schema_and_overwrites_nothing(tmp_path, capsys):
    path = tmp_path / "harbour.toml"
    assert main(["new", str(path)]) == 0
    beside = tmp_path / "bandwork-setup.schema.json"
    assert path.read_text(encoding="utf-8") == template()
    assert beside.read_text(encoding="utf-8") == schema_text()
    path.write_text("mine")
    assert main(["new", str(path)]) == 1
    assert path.read_text() == "mine"
    beside.write_text("{}")
    assert main(["new", str(tmp_path / "second.toml")]) == 0
    assert "of another version and stays" in capsys.readouterr().out
    assert beside.read_text() == "{}"
    assert main(["new", str(path), "--force"]) == 0
    assert path.read_text(encoding="utf-8") == template()
    assert beside.read_text(encoding="utf-8") == schema_text()


@pytest.mark.parametrize(("name", "says"), [("gun.txt", "such as harbour.toml"),
                                            ("no/gun.toml", "a folder that is there")])
def test_new_refuses_in_one_sentence(tmp_path, capsys, name, says):
    assert main(["new", str(tmp_path / name)]) == 1
    told = capsys.readouterr()
    assert says in told.err
    assert told.err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


SAMPLES = {"flag": True, "count": 2, "words": ["crimp"], "text": "reel", "rubber": "r.toml"}


@pytest.mark.parametrize(("way", "keys"), PLACES, ids=lambda one: ".".join(one)
                         if isinstance(one, tuple) else "")
def test_the_schema_takes_every_field_in_every_unit(way, keys):
    for name, one in keys.items():
        if one.form in ("part", "parts"):
            continue
        for unit in UNITS.get(one.unit, ()):
            value = SAMPLES.get(one.form, f"1 {unit}")
            value = [value] * 3 if one.form == "interval" else value
            given = put(way, name, value)
            assert CHECK.is_valid(given), (way, name, unit)
            ending = unit.replace("/", "_per_")
            if one.unit != "1" and ending.replace("_", "").isalnum() and ending.isascii():
                del (table := at(given, way))[name]
                table[f"{name}_{ending}"] = [1, 2, 3] if one.form == "interval" else 1
                assert CHECK.is_valid(given), (way, name, ending)
        if one.unit in ("", "1"):
            value = one.choices[0] if one.choices else SAMPLES.get(one.form, max(one.low, 0))
            assert CHECK.is_valid(put(way, name, value)), (way, name)


def at(given, way):
    for name in way:
        given = given[name]
    return given


def test_a_shelf_to_begin_with_is_searched(tmp_path, capsys):
    path = tmp_path / "shelf.toml"
    assert main(["new", str(path), "--shelf"]) == 0
    assert f"bandwork search {path}" in capsys.readouterr().out
    before = path.read_bytes()
    assert main(["new", str(path), "--shelf"]) == 1
    assert path.read_bytes() == before
    assert main(["search", str(path)]) == 0
    told = capsys.readouterr().out
    assert "carbon 110" in told or "110" in told
    assert "\nCautions" in told
