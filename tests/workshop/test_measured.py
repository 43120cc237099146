"""What headings, keys and units mean, in the languages and layouts in which people write them."""

import re
import tomllib
from pathlib import Path

import openpyxl
import pytest
from bandwork import InputError
from bandwork.units import newton_from_kgf
from bandwork.workshop import commands
from bandwork.workshop.measured import COLUMNS, KEYS, NEEDED, key_of, read_measured
from bandwork.workshop.quantities import UNITS
from bandwork.workshop.tables import read_table


def written(folder, text, name="a.csv"):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def read(folder, text, **options):
    found = read_measured(read_table(written(folder, text)), **options)
    assert len(found) == 1
    return found[0]


def refused(folder, text, **options):
    with pytest.raises(InputError) as told:
        read_measured(read_table(written(folder, text)), **options)
    return str(told.value)


LANGUAGES = {
    "English": "relaxed length: 20 cm\nouter diameter: 16 mm\nbore: 3 mm\nair: 19 °C\n"
               "marks (cm),pulled out (kg),let back (kg)\n25,5.4,4.2\n80,27.0,27.0",
    "Polish": "Długość początkowa: 20 cm\nŚrednica zewnętrzna;16 mm\nŚrednica wewnętrzna;3,0 mm\n"
              "Temperatura: 19 C\nRozstaw znaków [cm];Siła [kG];Powrót [kG]\n25;5,4;4,2\n"
              "80;27,0;27,0",
    "German": "Ausgangslänge (cm);20\nAußendurchmesser (mm);16\nInnendurchmesser (mm);3,0\n"
              "Luft °C;19\nMarkenabstand in cm;Zug in kp;Zug zurück in kp\n25;5,4;4,2\n"
              "80;27,0;27,0",
    "Spanish": "longitud inicial, cm;20\ndiámetro exterior, mm;16\ndiámetro interior, mm;3,0\n"
               "aire, °C;19\nlongitud, cm;fuerza, kg;vuelta, kg\n25;5,4;4,2\n80;27,0;27,0",
    "French": "Longueur au repos : 20 cm\nDiamètre extérieur : 16 mm\nAlésage : 3,0 mm\n"
              "air: 19 °C\nRepères (mm)\tTirage (daN)\tRetour (daN)\n250\t5,2955910\t4,1187930\n"
              "800\t26,4779550\t26,4779550",
}


@pytest.mark.parametrize("language", LANGUAGES)
def test_each_language_s_sheet_gives_the_same_readings(tmp_path, language):
    found = read(tmp_path, LANGUAGES[language])
    assert found.kind == "pull"
    assert found.shared == pytest.approx(
        {"relaxed": 0.2, "outer": 0.016, "bore": 0.003, "temperature": 19})
    for row, (marks, pull, back) in zip(found.rows, ((0.25, 5.4, 4.2), (0.8, 27, 27)), strict=True):
        assert row.one("length") == pytest.approx(marks)
        assert row.one("pull") == pytest.approx(newton_from_kgf(pull))
        assert row.one("back") == pytest.approx(newton_from_kgf(back))


FORM = """Pull test of a tube (invented);;;;
date, place;tube, whose;air, °C;scale, tape;safety person
2026-11-21, club room;roll 7, Ines (invented);19;hanging scale;Tove (invented)
outer diameter, mm, twice;bore, mm, twice;marks apart before, cm;after, cm;how old
16,0 / 16,1;3,0 3,2;20,0;20,1;new
Ten seconds at each mark before reading. Marks 20 cm apart when relaxed.;;;;
;;;;
marks apart, cm;stretch ratio;pulled out, kgf;let back, kgf;remarks
25;1,25;5,4;4,2;
30;1,50;8,6;-;wind
80;4,00;;;
;;;;
guess of the factor;factor found;low;high;by whom
;;;;
"""


def test_the_printed_form_typed_in_as_it_stands(tmp_path):
    found = read(tmp_path, FORM)
    assert found.shared == pytest.approx({"temperature": 19, "outer": 0.01605, "bore": 0.0031,
                                          "relaxed": 0.2, "after": 0.201})
    assert found.texts == {"date": "2026-11-21", "band": "roll 7, Ines (invented)",
                           "scale": "hanging scale", "water": "19"}
    assert [row.line for row in found.rows] == [9, 10]
    assert "back" not in found.rows[1].values
    assert "passed over as notes: lines 13" in found.habits
    assert "the pull in kgf from 'pulled out, kgf'" in found.habits


def test_the_form_s_blocks_for_drops_and_reach_and_sinking_stand_in_one_file(tmp_path):
    found = read_measured(read_table(written(tmp_path, """\
date, place;gun, whose;water, °C, salt or fresh;lead;safety person
2026-11-21;club gun;18, fresh;;
wraps;bungee, cm;muzzle to tip, m;again;again
1;0;5,22;5,26;5,21
shaft, mm and cm;way down, m;time, s;time, s;time, s
7.5 and 160;1,5;1,9;1,8;1,9
muzzle to board, m;drop, cm;drop, cm;drop, cm;drop, cm
4;2;7;5;3
5;8;13;9;
""")))
    assert [one.kind for one in found] == ["reach", "sinking", "drop"]
    assert found[0].rows[0].values["reach"] == (5.22, 5.26, 5.21)
    assert found[1].rows[0].values == {"depth": (1.5,), "time": (1.9, 1.8, 1.9)}
    assert found[1].shared == {"temperature": 18}
    assert not found[1].salty
    assert [row.values["drop"] for row in found[2].rows] == [(0.02, 0.07, 0.05, 0.03),
                                                            (0.08, 0.13, 0.09)]


HEAD = "relaxed: 20 cm\n"


@pytest.mark.parametrize(("head", "unit"), [
    ("marks cm", 0.01), ("marks_cm", 0.01), ("marks [cm]", 0.01), ("marks, cm", 0.01),
    ("marks / cm", 0.01), ("Marken in cm", 0.01), ("marks (in)", 0.0254), ("marks in", 0.0254),
    ('marks (")', 0.0254), ("marks (inches)", 0.0254), ("length in mm", 0.001),
])
def test_units_in_headings(tmp_path, head, unit):
    path = tmp_path / "a.csv"
    path.write_text(f"{head}\tpull kgf\n25\t5\n30\t8\n".replace('"', '""').replace(
        head.replace('"', '""'), f'"{head}"'.replace('(")', '("")') if '"' in head else head),
        "utf-8")
    found = read_measured(read_table(path))[0]
    assert found.rows[0].one("length") == pytest.approx(25 * unit)


@pytest.mark.parametrize(("head", "newton"), [
    ("pull (kgf)", 9.80665), ("pull kg", 9.80665), ("force_N", 1), ("force_lbf", 4.4482216152605),
    ("load [lb]", 4.4482216152605), ("Kraft (kp)", 9.80665), ("tirage (daN)", 10),
])
def test_units_of_pull(tmp_path, head, newton):
    found = read(tmp_path, f"marks cm;{head}\n25;5\n30;8")
    assert found.rows[0].one("pull") == pytest.approx(5 * newton)


def test_units_stand_in_a_row_below_or_behind_the_numbers(tmp_path):
    for text in ("marks;pull\ncm;kgf\n25;5\n30;8", "marks;pull\n25 cm;5 kgf\n30 cm;8 kgf",
                 "a title;\nmarks;pull\n(cm);(kgf)\n25;5\n30;8\nnote below;"):
        found = read(tmp_path, text)
        assert found.rows[1].one("length") == 0.3
        assert found.rows[1].one("pull") == pytest.approx(newton_from_kgf(8))


def test_a_heading_of_two_rows_with_its_merged_cell(tmp_path):
    book = openpyxl.Workbook()
    for row in (["Club evening (invented)"], ["marks", "pull (kgf)", None, "remarks"],
                ["cm", "out", "back"], [25, 5.4, 4.2], [30, 8.6, 7.3, "wind"]):
        book.active.append(row)
    book.active.merge_cells("A1:D1")
    book.active.merge_cells("B2:C2")
    book.save(tmp_path / "a.xlsx")
    found = read_measured(read_table(tmp_path / "a.xlsx"))[0]
    assert [found.rows[0].one(name) for name in ("length", "pull", "back")] == pytest.approx(
        [0.25, newton_from_kgf(5.4), newton_from_kgf(4.2)])
    assert [row.line for row in found.rows] == [4, 5]


def test_stretch_ratio_and_elongation_stand_in_for_the_marks(tmp_path):
    assert read(tmp_path, "stretch;pull N\n1,5;50\n2;90").rows[0].one("stretch") == 1.5
    assert read(tmp_path, "Dehnung (%);Kraft (N)\n50;50\n100;90").rows[0].one("elongation") == 50
    assert "(%)" in refused(tmp_path, "Dehnung;Kraft (N)\n50;50\n100;90")


@pytest.mark.parametrize(("text", "says"), [
    ("marks;pull kgf\n25;5", "a.csv, column A, the distance of the marks, has no unit"),
    ("marks cm;pull\n25;5", "column B, the pull, has no unit"),
    ("fps: 240\ntail in the first picture;in the last;pictures\n6;90;9", "has no unit"),
    ("fps: 240\ntail in the first picture, in;in the last, cm;pictures\n6;x;9", "reads 'x'"),
    ("marks cm;pull (kg/lb)\n25;5", "names 'kg' and 'lb'"),
    ("marks cm;pull kgf\n25;5,4 N", "write all of it in one unit"),
    ("marks cm;pull kgf\n25;five", "line 2, column B, the pull, reads 'five'"),
    ("marks cm;pull kgf\n2x4;5", "line 2, column A, the distance of the marks, reads '2x4'"),
    ("marks cm;pull kgf\n2S;5", "line 2, column A reads '2S'"),
    ("marks cm;pull kgf\n;5", "line 2 lacks the distance of the marks"),
    ("marks cm;pull kgf;back kgf\n25;;4", "line 2 lacks the pull"),
    ("marks cm;pull kgf\n1,234;5", "line 2, column A reads '1,234', which may be"),
    ("marks cm;pull kgf\n25,5;5.4", "line 2, column A reads '25,5' with a decimal comma"),
    ("marks cm;pull kgf;load kgf\n25;5;6", "column B (pull kgf) and column C (load kgf)"),
    ("marks cm;pull kgf\n25;5\nmarks cm;pull kgf\n25;5", "more than one pull table, at line 1"),
    ("marks cm;pul kgf\n25;5", "may be 'pull'"),
    ("a;b\n1;2", "no heading row that is known"),
    ("25;5\n30;8", "no heading row that is known"),
    ("marks cm;pull kgf\nnote;here", "no readings below"),
    ("relaxed: 20\nmarks cm;pull kgf\n25;5", "'20' without a unit"),
    ("relaxed: 20 kg\nmarks cm;pull kgf\n25;5", "'20 kg' without a unit"),
    ("relaxed: 20 cm\nrelaxed length: 21 cm\nmarks cm;pull kgf\n25;5", "both say"),
    ("date: 03/05/26\nmarks cm;pull kgf\n25;5", "write it as 2026-11-21"),
    ("date: 2026-13-45\nmarks cm;pull kgf\n25;5", "write it as 2026-11-21"),
])
def test_what_is_in_doubt_is_refused_with_its_place(tmp_path, text, says):
    assert says in refused(tmp_path, text)


def test_a_decimal_that_the_user_gives_settles_it(tmp_path):
    text = "marks mm;pull kgf\n1,234;5\n1,500;8"
    assert "--decimal" in refused(tmp_path, text)
    assert read(tmp_path, text, decimal=",").rows[0].one("length") == pytest.approx(0.001234)
    assert read(tmp_path, text, decimal=".").rows[0].one("length") == pytest.approx(1.234)
    assert "decimal point, as you said" in read(tmp_path, text, decimal=".").habits


def test_a_comma_table_with_decimal_commas_is_refused(tmp_path):
    told = refused(tmp_path, "marks cm,pull kgf\n25,5,4\n30,8,6")
    assert "line 2" in told
    assert "semicolon" in told


def test_of_many_columns_that_may_be_one_some_are_named(tmp_path):
    told = refused(tmp_path, "marks cm;" + ";".join(["pull kgf"] * 40) + "\n25" + ";5" * 40 + "\n30"
                   + ";8" * 40)
    assert "column F (pull kgf) and 35 more may both be the pull" in told
    assert len(told) < 300


def test_columns_may_be_named(tmp_path):
    text = "Versuch;x (cm);y (kgf)\n1;25;5,4\n2;30;8,6"
    assert "--columns" in refused(tmp_path, text)
    found = read(tmp_path, text, kind="pull", columns="length=B,pull=C")
    assert found.rows[1].one("length") == 0.3
    bare = read(tmp_path, "1;25;5,4\n2;30;8,6", kind="pull", columns="length=B:cm, pull=c:kgf")
    assert [row.line for row in bare.rows] == [1, 2]
    for columns, says in (("length=B", "needs length or stretch or extension or elongation"),
                          ("length=B;pull=C", "write it as"), ("size=B,pull=C", "'size'"),
                          ("length=B,pull=Z", "columns A to C")):
        assert says in refused(tmp_path, text, kind="pull", columns=columns)
    assert "--kind" in refused(tmp_path, text, columns="length=B,pull=C")
    assert "accepted are pull" in refused(tmp_path, text, kind="push")


def test_what_the_user_gives_comes_before_the_file(tmp_path):
    text = "relaxed: 20 cm\nmarks cm;pull kgf\n25;5\n30;8"
    found = read(tmp_path, text, given=["relaxed length: 10 cm", "bore = 3 mm", "date: 2026-11-21"])
    assert found.shared == pytest.approx({"relaxed": 0.1, "bore": 0.003})
    assert found.texts == {"date": "2026-11-21"}
    assert key_of("date: 2026-11-21") == "date"
    assert "'colour'" in refused(tmp_path, text, given=["colour: red"])
    assert "write it as" in refused(tmp_path, text, given=["relaxed length 10 cm"])
    assert "without a unit" in refused(tmp_path, text, given=["relaxed length: 10"])


def test_what_is_missing_is_named_all_at_once(tmp_path):
    found = read(tmp_path, "bore: 3 mm\nmarks cm;pull kgf\n25;5\n30;8")
    assert found.need("bore") == [0.003]
    with pytest.raises(InputError, match=r"marks when relaxed and the outer diameter.*--given"):
        found.need("relaxed", "outer", "bore")


def test_lines_may_be_left_out_and_it_is_said(tmp_path):
    text = "marks cm;pull kgf\n25;5\n30;bad\n40;12"
    found = read(tmp_path, text, without=[3])
    assert [row.line for row in found.rows] == [2, 4]
    assert "left out as you said: lines 3" in found.habits
    assert "line 9" in refused(tmp_path, text, without=[9])


def test_a_date_from_a_spreadsheet_is_taken_as_one(tmp_path):
    import datetime

    book = openpyxl.Workbook()
    for row in (["date", datetime.date(2026, 11, 21)], ["marks (cm)", "pull (kgf)"], [25, 5.4],
                [datetime.date(2026, 5, 3), 8.6]):
        book.active.append(row)
    book.save(tmp_path / "a.xlsx")
    table = read_table(tmp_path / "a.xlsx")
    assert read_measured(table, without=[4])[0].texts == {"date": "2026-11-21"}
    with pytest.raises(InputError, match="cell A4, the distance of the marks, holds the date"):
        read_measured(table)


def test_the_tables_of_words_hold_together():
    for roles in (*COLUMNS.values(), *KEYS.values()):
        for role in roles.values():
            assert role.unit in {*UNITS, "text", "date", "%"}
            assert all(word == word.casefold() and word.isascii() for word in role.words)
    for kind, groups in NEEDED.items():
        assert {name for group in groups for name in group} <= set(COLUMNS[kind])
    assert set(KEYS) == set(NEEDED) == set(COLUMNS)


def test_every_word_of_a_column_heads_it(tmp_path):
    usual = {"m": "cm", "N": "kgf", "kg": "g", "s": "s", "%": "%", "1": ""}
    for kind, roles in COLUMNS.items():
        for group in NEEDED[kind]:
            for name in group:
                others = [one[0] for one in NEEDED[kind] if one is not group]
                for word in roles[name].words:
                    heads = [f"{word} ({usual[roles[name].unit]})"]
                    heads += [f"{roles[one].words[0]} ({usual[roles[one].unit]})" for one in others]
                    found = read(tmp_path, "\t".join(heads) + "\n"
                                 + "\t".join("2" for _ in heads), kind=kind)
                    assert name in found.rows[0].values, (kind, word)


def test_the_path_is_kept(tmp_path):
    assert read(tmp_path, "marks cm;pull kgf\n25;5").path == Path(tmp_path / "a.csv")


FORMS = tomllib.loads((Path(commands.__file__).parent / "typst" / "forms.toml").read_text("utf-8"))
FILLED = {
    "pull-test": [["2026-11-21, hall", "roll 7", "19", "hanging scale", "Tove"],
                  ["16.0 / 16.1", "3.0", "20", "20.1", "new"]],
    "speed": [["2026-11-21", "club gun", "18", "Ines", "Tove"],
              ["16 and 65", "7.5 and 160", "240", "0.001", "2"]],
    "target": [["2026-11-21", "club gun", "18, fresh", "Ines", "Tove"]],
    "float-test": [["2026-11-21", "club gun", "18, fresh", "kitchen", "Tove"],
                   ["1.65", "57.5", "200", "110", "7.5 and 160"]],
}
KINDS = {"pull-test": ["pull"], "speed": ["speed"], "target": ["reach", "sinking", "drop"],
         "float-test": ["float"]}


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("form", FILLED)
def test_each_printed_form_typed_in_is_understood(tmp_path, form, system):
    us = FORMS[form]["us"] if system == "us" else {}
    heads = iter(FILLED[form])
    lines = []
    for block in FORMS[form]["blocks"]:
        if "text" in block:
            lines.append([us.get(block["text"], block["text"])])
            continue
        lines.append([us.get(one, one) for one in block["columns"]])
        filled = next(heads, None)
        if filled:
            lines.append(filled)
            continue
        if re.search("factor found|net force|mean over", " ".join(lines[-1])):
            continue
        lines += [["" if re.search("remarks|level", head) else us.get(cell, cell) or f"{3.5 + at}"
                   for at, (head, cell) in enumerate(zip(block["columns"], row, strict=True))]
                  for row in block["rows"][:3]]
    text = "\n".join("\t".join(one) for one in lines)
    found = read_measured(read_table(written(tmp_path, text)))
    assert [one.kind for one in found] == KINDS[form]
    assert all(one.texts["date"] == "2026-11-21" and len(one.rows) >= 2 for one in found)
    inch, pound = (0.0254, 0.45359237) if system == "us" else (0.01, 1)
    if form == "pull-test":
        assert found[0].need("relaxed", "outer") == pytest.approx(
            [20 * inch, 16.05 * inch * (1 if system == "us" else 0.1)])
        assert found[0].rows[0].one("length") == pytest.approx(
            (10 if system == "us" else 25) * inch)
        assert found[0].rows[0].one("pull") == pytest.approx(newton_from_kgf(5.5 * pound))
    elif form == "float-test":
        assert found[0].need("mass", "way") == pytest.approx([1.65 * pound, 110 * inch])
    elif form == "speed":
        assert found[0].need("rate") == [240]
        assert found[0].rows[0].one("first") == pytest.approx(4.5 * inch)


@pytest.mark.parametrize(("outer", "bore"), [
    ("outer diameter,5/8 in", "bore,1/8 in"), ("outer diameter: 5/8\"", "bore: 1/8 inch"),
    ("outer diameter (in),5/8", "bore (in),1/8"), ("outer diameter,0.625 in", "bore,0.125 in")])
def test_fractions_of_an_inch_are_one_number(tmp_path, outer, bore):
    found = read(tmp_path, f"relaxed length: 8 in\n{outer}\n{bore}\n"
                           "marks (in),pulled out (lb)\n10,11.6\n32,58.5")
    assert found.shared["outer"] == pytest.approx(0.625 * 0.0254)
    assert found.shared["bore"] == pytest.approx(0.125 * 0.0254)


def test_readings_parted_by_a_slash_are_no_fraction(tmp_path):
    found = read(tmp_path, "relaxed length: 8 1/2 in\nouter diameter: 15/16 mm\nbore (in): "
                           "1/8 5/32\nmarks (in),pulled out (lb)\n10,11.6\n32,58.5")
    assert found.shared["relaxed"] == pytest.approx(8.5 * 0.0254)
    assert found.shared["outer"] == pytest.approx(0.0155)
    assert found.shared["bore"] == pytest.approx(9 / 64 * 0.0254)


@pytest.mark.parametrize("name", ["roll 7", "roll of the guest", "rolka 7", "Ines, invented"])
def test_a_tube_may_be_called_a_roll_beside_its_key(tmp_path, name):
    found = read(tmp_path, f"tube;{name};\nouter diameter;16 mm;\nbore;3 mm;\nrelaxed length;"
                           "20 cm;\nmarks (cm);pulled out (kg);let back (kg)\n25;5,4;4,2\n80;27;27")
    assert found.texts["band"] == name
    assert found.shared["outer"] == pytest.approx(0.016)


def test_a_heading_that_is_not_known_is_asked_for_and_the_advice_works(tmp_path):
    text = ("relaxed length: 20 cm\nouter diameter: 16 mm\nbore: 3 mm\n"
            "Abstand (cm);Hanteln (kg);zurück (kg)\n25;5,4;4,2\n80;27;27")
    told = refused(tmp_path, text)
    assert "line 4, gives 'Abstand (cm)' as the distance of the marks" in told
    assert "no heading there says the pull." in told
    columns = re.search(r"--kind pull --columns (\S+)\.$", told)[1]
    found = read(tmp_path, text, kind="pull", columns=columns)
    assert found.rows[0].one("pull") == pytest.approx(newton_from_kgf(5.4))


@pytest.mark.parametrize(("water", "salty"), [("66 fresh", False), ("66, fresh", False),
                                              ("66 salt", True), ("66 F, salt", True)])
def test_the_water_beside_its_temperature_is_no_unit(tmp_path, water, salty):
    found = read(tmp_path, f'"water, °F, salt or fresh","{water}"\ntrial,"at the grip, oz",'
                           '"near the muzzle, oz"\n1,7.1,3.2\n2,7.0,3.4')
    assert found.shared["temperature"] == pytest.approx((66 - 32) / 1.8)
    assert found.salty == salty
