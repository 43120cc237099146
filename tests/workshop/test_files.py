"""Set-ups, shelves and rubbers as files: what is given arrives, what is wrong gets a sentence."""

import dataclasses
import math
import re

import pytest
from bandwork.components import Band, Barrel, Diver, Shaft, ShootingLine, Water
from bandwork.doubt import INPUTS
from bandwork.interval import Interval
from bandwork.rubber import LAWS, GentGent, Yeoh, handbook_rubber, scaled
from bandwork.setup import Assumptions, Quarry, Setup, predict
from bandwork.validation import InputError
from bandwork.workshop.files import (
    _FIELDS,
    LARGEST,
    Rubber,
    keys_of,
    read_gun,
    read_rubber,
    read_shelf,
    rubber_text,
)
from hypothesis import given, settings
from hypothesis import strategies as st

PLAIN = """
name = "Harbour gun"
made_for = "Ines (invented)"
[diver]
load_capacity = "51 kgf"
reach = "90 cm"
[band]
outer_diameter = "16 mm"
bore_mm = 3
relaxed_length = "65 cm"
[shaft]
diameter = "7 mm"
length = "160 cm"
[barrel]
length = "120 cm"
[line]
diameter = "1.7 mm"
"""
SHELF = """
[diver]
load_capacity = "51 kgf"
reach = "90 cm"
[[barrels]]
name = "the long one"
length = "120 cm"
[[barrels]]
length = "100 cm"
[[tubes]]
outer_diameter = "16 mm"
bore = "3 mm"
[[shafts]]
diameter = "7 mm"
length = "160 cm"
[[lines]]
diameter = "1.7 mm"
"""
RUBBER = Rubber("Roll 7", scaled(handbook_rubber(), 1.1), Interval(0.93, 1, 1.08), 19.5, 4.5,
                "2026-11-21", "roll-7.csv")


@pytest.fixture
def write(tmp_path):
    def written(text, name="gun.toml"):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path
    return written


def test_a_plain_file_is_the_set_up_of_the_library(write):
    gun = read_gun(write(PLAIN))
    assert gun.setup == Setup(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.6), Barrel(1.2),
                              ShootingLine(0.0017), Water(), Diver(51 * 9.80665, 0.9))
    assert (gun.quarry, gun.assumptions, gun.doubt) == (Quarry(), Assumptions(), {})
    assert (gun.name, gun.made_for, gun.rubber_name) == ("Harbour gun", "Ines (invented)", "")
    assert list(gun.given.items())[:5] == [
        ("name", "Harbour gun"), ("made_for", "Ines (invented)"), ("diver.load_capacity", "51 kgf"),
        ("diver.reach", "90 cm"), ("band.outer_diameter", "16 mm")]
    assert gun.given["band.bore"] == "3 mm"


def values(kind, at=""):
    """Yield (dotted key, TOML, value in the dataclass) for every field of a section."""
    for name, one in keys_of(kind).items():
        key = f"{at}.{name}"
        if one.form == "quantity":
            low, high = one.low, one.high
            unit = {"degrees Celsius": "C", "1": ""}.get(one.unit, one.unit)
            value = 0.75 * low + 0.25 * high if math.isfinite(one.low + one.high) else 0.4
            value = float(round(value)) if name == "wraps" else value
            yield key, f"{value!r} {unit}".strip() if unit else value, value
        elif one.form == "flag":
            yield key, True, True
        elif one.form == "count":
            yield key, 4, 4
        elif one.form == "word":
            yield key, one.choices[-1], one.choices[-1]
        elif one.form == "part":
            yield from values(one.kind, key)


def toml(value):
    return {True: "true"}.get(value, f'"{value}"' if isinstance(value, str) else repr(value)) \
        if not isinstance(value, float) else repr(value)


EVERY = [(key[1:], given, value) for section, kind in (
    ("band", Band), ("shaft", Shaft), ("barrel", Barrel), ("line", ShootingLine), ("water", Water),
    ("quarry", Quarry), ("assumptions", Assumptions), ("diver", Diver))
    for key, given, value in values(kind, f".{section}")
    if key not in (".barrel.wall", ".band.bore", ".barrel.notch_position",
                   ".barrel.anchor_position")]


@pytest.mark.parametrize(("key", "given", "value"), EVERY, ids=[key for key, *_ in EVERY])
def test_every_field_of_every_part_can_be_given(write, key, given, value):
    section, *way, name = key.split(".")
    text = re.sub(rf"(\[{section}\][^\[]*?)\n{name}(_mm)? = .*", r"\1", PLAIN) if not way else PLAIN
    line = f"{name} = {toml(given)}"
    header = f"[{section}]\n"
    text = (text.replace(header, f"{header}{line}\n") if header in text and not way
            else f"{text}\n[{'.'.join((section, *way))}]\n{line}\n")
    gun = read_gun(write(text))
    found = getattr(gun.setup, section, None) or getattr(gun, section)
    for part in (*way, name):
        found = getattr(found, part)
    assert found == pytest.approx(value, rel=1e-12) if isinstance(value, float) else found == value
    assert key in gun.given


def test_a_fitting_keeps_what_the_file_does_not_give(write):
    barrel = read_gun(write(PLAIN + "[barrel.handle]\nmass_g = 500\n[[barrel.others]]\n"
                            'name = "reel"\nmass = "300 g"\nvolume = "150 ml"\n'
                            'position = "10 cm"\n')).setup.barrel
    assert barrel.handle == dataclasses.replace(Barrel(1.2).handle, mass=0.5)
    assert barrel.others[0].name == "reel"
    assert barrel.others[0].volume == 0.00015


@pytest.mark.parametrize(("change", "says"), [
    (("outer_diameter =", "outer_diametre ="), "nearest: outer_diameter"),
    (("[band]", "[bands]"), r"nearest: band"),
    (('"16 mm"', "16"), r"band\.outer_diameter is 16 without a unit"),
    (("bore_mm = 3", 'bore_mm = 3\nbore = "3 mm"'), r"band\.bore is given twice"),
    (("bore_mm = 3", 'bore_mm = "3 mm"'), "its key ends with the unit mm"),
    (("bore_mm", "bore_kg"), "accepted here: m, cm, mm"),
    (('"16 mm"', '"16 cm"'), r"\[band\]: outer_diameter is 0.16 m; accepted is 0.004 to 0.03 m\."),
    (('length = "160 cm"', ""), r"\[shaft\] lacks length"),
    (('[line]\ndiameter = "1.7 mm"', ""), r"section \[line\] is missing; write it with diameter"),
    (('[line]\ndiameter = "1.7 mm"', "line = 3"), "line is 3|missing"),
    (('"7 mm"', "true"), "True"), (('"7 mm"', "nan"), "nan"), (('"7 mm"', "2026-11-21"), "date"),
    (('"7 mm"', "[7]"), r"\[7\]"), (("bore_mm = 3", "bore_mm = 1e400"), "finite"),
    (("bore_mm = 3", "bore_mm = -0.0"), "a zero has no sign"),
    (("bore_mm = 3", f"bore_mm = 1{'0' * 400}"), "finite"),
    (("bore_mm = 3", "bore_mm = 3\nbore_mm = 4"), "no TOML"),
    (('"Harbour gun"', '"Harbour\\ngun"'), "name is"), (('"Harbour gun"', "3"), "name is 3"),
    (("[line]", "[assist]\nlength = \"9 m\"\n[line]"), r"\[assist\]: assist_length is 9 m"),
    (("[line]", "[doubt]\ntube_stifness = [1, 1, 1]\n[line]"), "nearest: tube_stiffness"),
    (("[line]", "[doubt]\ntube_stiffness = [2, 1, 1]\n[line]"), "ascending order"),
    (("[line]", "[doubt]\ntube_stiffness = 1\n[line]"), "low, best and high"),
    (("[line]", "[doubt]\nhandle_mass = [1, 2, 3]\n[line]"), "without a unit"),
    (("[line]", "[doubt]\ntube_stiffness = [0.001, 1, 1]\n[line]"), "doubt.tube_stiffness: factor"),
    (("[line]", "[assumptions.shott]\n[line]"), "nearest: shot"),
    (("[line]", '[assumptions]\nterminations = ["glue"]\n[line]'), "glue"),
    (("[line]", "[barrel.others]\n[line]"), r"\[\[barrel\.others\]\]"),
    (("bore_mm = 3", 'bore_mm = 3\nrubber = "../r.toml"'), "same folder or below"),
    (("bore_mm = 3", 'bore_mm = 3\nrubber = "/etc/passwd"'), "same folder or below"),
    (("bore_mm = 3", "bore_mm = 3\nrubber = 'C:\\r.toml'"), "same folder or below"),
    (("bore_mm = 3", 'bore_mm = 3\nrubber = "gone.toml"'), "--write gone.toml"),
    (("bore_mm = 3", 'bore_mm = 3\nrubber = "r.csv"'), "fit r.csv --write r.rubber.toml"),
    (("bore_mm = 3", "bore = 3 mm"), 'here bore = "3 mm" with straight quotes'),
    (("bore_mm = 3", "bore = \u201c3,5 mm\u201d"), 'here bore = "3,5 mm" with straight quotes'),
    (('name = ', 'factor = [1, 1.1, 1.2]\nname = '), "This is a rubber")])
def test_what_is_wrong_gets_one_sentence_that_names_file_and_key(write, change, says):
    path = write(PLAIN.replace(*change))
    with pytest.raises(InputError, match=says) as refusal:
        read_gun(path)
    said = str(refusal.value)
    assert said.startswith(str(path))
    assert said.endswith(".")
    assert "\n" not in said
    assert "Give it in" not in said


@pytest.mark.parametrize(("raw", "says"), [
    (b"\xff\xfe\x00", "save it with the encoding UTF-8"), (b"[" * 900, "no TOML"),
    (b"a = " + b"[\n" * 900 + b"]\n" * 900, "no TOML"), (b"x" * (LARGEST + 1), "at most"),
    (b"a." * 2000 + b"a = 1", "letters"), (b"a = 1" + b"0" * 990, "letters|no section"),
    (b"\x00", "no TOML"), (b"", "missing")])
def test_a_file_that_is_no_set_up_gets_one_sentence(tmp_path, raw, says):
    path = tmp_path / "gun.toml"
    path.write_bytes(raw)
    with pytest.raises(InputError, match=says) as refusal:
        read_gun(path)
    assert "\n" not in str(refusal.value)


def test_a_mark_of_byte_order_does_no_harm(tmp_path):
    path = tmp_path / "gun.toml"
    path.write_bytes(b"\xef\xbb\xbf" + PLAIN.replace("\n", "\r\n").encode())
    assert read_gun(path).name == "Harbour gun"


@pytest.mark.parametrize("name", [".", "gone.toml", "/dev/zero", "a\0b", "x" * 300])
def test_what_is_no_file_gets_one_sentence(tmp_path, name):
    with pytest.raises(InputError):
        read_gun(tmp_path / name)


def test_a_link_out_of_the_folder_is_not_followed(write, tmp_path):
    (tmp_path / "in").mkdir()
    outside = write(rubber_text(RUBBER), "r.toml")
    (tmp_path / "in" / "r.toml").symlink_to(outside)
    path = write(PLAIN.replace("bore_mm = 3", 'bore_mm = 3\nrubber = "r.toml"'), "in/gun.toml")
    with pytest.raises(InputError, match="same folder or below"):
        read_gun(path)


def test_a_rubber_comes_with_its_interval_and_its_temperature(write, tmp_path):
    (tmp_path / "rubbers").mkdir()
    write(rubber_text(RUBBER), "rubbers/roll 7.rubber.toml")
    text = PLAIN.replace("bore_mm = 3", 'bore_mm = 3\nrubber = "rubbers/roll 7.rubber.toml"')
    gun = read_gun(write(text))
    assert gun.setup.band.rubber == RUBBER.law
    assert gun.rubber_name == "Roll 7"
    assert gun.doubt == {"tube_stiffness": RUBBER.stiffness, "ageing_loss": Interval(0, 0, 0)}
    assert gun.assumptions == Assumptions(test_temperature=19.5)
    own = read_gun(write(text + "[doubt]\ntube_stiffness = [0.99, 1, 1.01]\n"))
    assert own.doubt["tube_stiffness"] == Interval(0.99, 1, 1.01)
    with pytest.raises(InputError, match="leave the first one out"):
        read_gun(write(text + '[assumptions]\ntest_temperature = "18 C"\n'))


def test_the_best_of_a_range_is_in_the_set_up(write):
    gun = read_gun(write(PLAIN + "[doubt]\ntube_stiffness = [0.9, 1.2, 1.5]\nageing_loss = "
                         '[0, 0.1, 0.2]\nbatch_length_spread = ["-1 cm", "1 cm", "2 cm"]\n'
                         'handle_mass = ["400 g", "500 g", "600 g"]\n'))
    assert gun.setup.band.rubber.mu == pytest.approx(handbook_rubber().mu * 1.2 * 0.9)
    assert gun.setup.band.relaxed_length == pytest.approx(0.66)
    assert gun.setup.barrel.handle.mass == 0.5
    assert gun.doubt["tube_stiffness"] == Interval(0.75, 1, 1.25)
    assert gun.doubt["handle_mass"] == Interval(0.4, 0.5, 0.6)
    load = predict(gun.setup).load
    for name, one in gun.doubt.items():  # each range stands around the set-up as it is
        moved, taken = INPUTS[name].put((gun.setup, gun.assumptions), one.best)
        assert predict(moved, None, taken).load == pytest.approx(load, rel=1e-9)
    ends = [INPUTS["ageing_loss"].put((gun.setup, gun.assumptions), end)[0].band.rubber.mu
            for end in (gun.doubt["ageing_loss"].low, gun.doubt["ageing_loss"].high)]
    assert ends == pytest.approx([handbook_rubber().mu * 1.2, handbook_rubber().mu * 1.2 * 0.8])


def test_a_value_and_a_range_must_agree(write):
    text = PLAIN + '[barrel.handle]\nmass = "420 g"\n[doubt]\nhandle_mass = ["400 g", {}, "1 kg"]\n'
    assert read_gun(write(text.format('"420 g"'))).doubt["handle_mass"].best == 0.42
    with pytest.raises(InputError, match=r"but barrel\.handle\.mass is 420 g"):
        read_gun(write(text.format('"450 g"')))


def test_the_range_of_a_value_that_is_given_moves_to_it(write):
    gun = read_gun(write(PLAIN + '[assumptions.shot]\nhysteresis_loss = "40 %"\n'))
    assert list(gun.doubt) == ["hysteresis_loss"]
    found = gun.doubt["hysteresis_loss"]
    assert (found.low, found.best, found.high) == pytest.approx((0.2, 0.4, 0.6))


def test_every_uncertain_input_that_has_a_field_is_named():
    assert _FIELDS.keys() | {"tube_stiffness", "ageing_loss", "batch_length_spread"} \
        == INPUTS.keys()


def test_a_shelf_is_read(write):
    shelf = read_shelf(write(SHELF))
    assert [one.length for one in shelf.barrels] == [1.2, 1.0]
    assert shelf.names["barrels"] == ("the long one", "")
    assert shelf.tubes[0].outer_diameter == 0.016
    assert shelf.cuts == 4
    assert shelf.given["barrels.1.length"] == "120 cm"


@pytest.mark.parametrize(("change", "says"), [
    (("[[shafts]]", "[shafts]"), r"\[\[shafts\]\]"), (("[diver]", "[divers]"), "nearest: diver"),
    (("[[lines]]", "[[cords]]"), "no section or key"),
    (("\n[diver]", "cuts = 0\n[diver]"), r"tubes.1\] lacks relaxed_length"),
    (("\n[diver]", "cuts = 2.5\n[diver]"), "whole number"),
    (("\n[diver]", "cuts = 99\n[diver]"), "accepted is 0 to 50"),
    (("\n[diver]", "cuts = \"4\"\n[diver]"), "cuts is '4'"),
    (('"the long one"', "7"), r"barrels\.1\.name is 7"),
    (('"100 cm"', '"100"'), r"barrels\.2\.length is '100' without a unit")])
def test_what_is_wrong_on_a_shelf_gets_one_sentence(write, change, says):
    path = write(SHELF.replace(*change))
    with pytest.raises(InputError, match=says) as refusal:
        read_shelf(path)
    assert str(refusal.value).startswith(str(path))


@pytest.mark.parametrize("rubber", [
    RUBBER, Rubber('A "quoted" \\ one', Yeoh(0.176e6, -1850.5, 46.4), Interval(1, 1, 1)),
    Rubber("f", scaled(handbook_rubber(), 1.15), Interval(1, 1, 1.3 / 1.15), None, None, "",
           "", Interval(1.15, 1.15, 1.3))])
def test_a_rubber_survives_its_file(write, rubber):
    back = read_rubber(write(rubber_text(rubber), "r.rubber.toml"))
    assert back == rubber


@given(st.sampled_from(sorted(LAWS)), st.floats(0.3, 3))
@settings(max_examples=40)
def test_every_law_survives_its_file(tmp_path_factory, name, times):
    law = LAWS[name](**{key: one.start for key, one in LAWS[name].parameters.items()})
    path = tmp_path_factory.mktemp("rubber") / "r.toml"
    path.write_text(rubber_text(Rubber("r", scaled(law, times), Interval(1, 1, 1))))
    assert read_rubber(path).law == scaled(law, times)


@pytest.mark.parametrize(("text", "says"), [
    ("", "either"), ("factor = [1, 1, 1]\n[law]\nkind = 'gent'\n", "either"),
    ("factor = [0, 1, 2]\n", "factor is 0"),
    ("[law]\nkind = 'hooke'\n", "accepted are neo-hookean"),
    ("[law]\nkind = 'gent'\nmu = '0.2 MPa'\n", "lacks jm"),
    ("[law]\nkind = 'gent'\nmu = 0.2\njm = 80\n", "without a unit"),
    ("[law]\nkind = 'gent'\nmu = '0.2 Pa'\njm = 80\n", r"\[law\]: mu is 0.2 Pa"),
    ("[law]\nkind = 'mooney-rivlin'\nc10 = '-1 MPa'\nc01 = '-1 MPa'\n", "less and less"),
    ("measured = 'May'\nfactor = [1, 1, 1]\n", "a date such as"),
    ("factor = [1, 1, 1]\n[stiffness]\nlow = 1\n", "give one of them"),
    ("[law]\nkind = 'neo-hookean'\nmu = '0.3 MPa'\n[stiffness]\nlow = 1\n", "all three"),
    ("temperature = '99 C'\nfactor = [1, 1, 1]\n", "accepted is -2 to 45")])
def test_what_is_no_rubber_gets_one_sentence(write, text, says):
    path = write(text, "r.toml")
    with pytest.raises(InputError, match=says) as refusal:
        read_rubber(path)
    assert str(refusal.value).startswith(str(path))
    assert "\n" not in str(refusal.value)


def test_a_date_may_stand_without_quotes(write):
    text = "measured = 2026-11-21\nfactor = [1, 1, 1]\n"
    assert read_rubber(write(text)).measured == "2026-11-21"
    assert isinstance(read_rubber(write("factor = [1, 1, 1]\n")).law, GentGent)
