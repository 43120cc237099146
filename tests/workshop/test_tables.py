"""CSV and xlsx as people make them: how they are read, and how what is in doubt is refused."""

import datetime
import io
import itertools
import time
import zipfile

import openpyxl
import pytest
from bandwork import InputError
from bandwork.workshop import tables
from bandwork.workshop.tables import Cell, number, parse, read_table, settle_mark
from openpyxl.styles import numbers as formats


def written(folder, content, name="a.csv", encoding="utf-8"):
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode(encoding))
    return path


def texts(table):
    return [[cell.text for cell in row] for row in table.rows]


def refused(path, **options):
    with pytest.raises(InputError) as told:
        read_table(path, **options)
    return str(told.value)


# --- Text files -----------------------------------------------------------------------------------

@pytest.mark.parametrize(("separator", "name"), [(";", "semicolon"), ("\t", "tab"), (",", "comma")])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_separators_line_ends_and_encodings(tmp_path, separator, name, ending, encoding):
    lines = [["siła", "Länge"], ["1", "2"], ["", ""], ["3", "4"]]
    text = ending.join(separator.join(line) for line in lines)
    table = read_table(written(tmp_path, text, encoding=encoding))
    assert texts(table) == [["siła", "Länge"], ["1", "2"], ["3", "4"]]
    assert table.habits[0] == name
    assert [row[0].line for row in table.rows] == [1, 2, 4]


@pytest.mark.parametrize(("text", "encoding"), [
    ("długość;siła\n1;2", "cp1250"), ("znaki;ciąg\n1;2", "cp1250"),
    ("Länge;Zug zurück\n1;2", "cp1250"), ("Länge;Zug zurück\n1;2", "cp1252"),
    ("tamaño;tracción\n1;2", "cp1252"), ("repères;tirage relâché\n1;2", "cp1252"),
])
def test_windows_text_is_read_where_it_can_be_only_one(tmp_path, text, encoding):
    table = read_table(written(tmp_path, text, encoding=encoding))
    assert texts(table)[0] == text.split("\n")[0].split(";")
    assert "Windows" in table.habits[1]


def test_windows_text_that_can_be_two_is_asked_for(tmp_path):
    path = written(tmp_path, "ręka;siła", encoding="cp1250")
    assert texts(read_table(path)) == [["ręka", "siła"]]
    path = written(tmp_path, "même;tirage", encoding="cp1252")
    told = refused(path)
    assert "line 1" in told
    assert "--encoding" in told
    assert texts(read_table(path, encoding="cp1252")) == [["même", "tirage"]]


def test_quoted_cells_keep_separators_quotes_and_line_breaks(tmp_path):
    table = read_table(written(tmp_path, 'a,"b, ""c"""\n"two\nlines",2\nx,3'))
    assert texts(table) == [["a", 'b, "c"'], ["two lines", "2"], ["x", "3"]]
    assert [row[0].line for row in table.rows] == [1, 2, 4]


def test_a_decimal_comma_does_not_make_a_comma_table_of_a_semicolon_one(tmp_path):
    assert texts(read_table(written(tmp_path, "a;b\n1,5;2,5\n3,5;4,5")))[1] == ["1,5", "2,5"]
    assert texts(read_table(written(tmp_path, "a,b;c\n1.5,2.5\n3.5,4.5")))[1] == ["1.5", "2.5"]


def test_a_line_that_names_the_separator_is_obeyed(tmp_path):
    table = read_table(written(tmp_path, "sep=;\na;b\n1;2"))
    assert texts(table) == [["a", "b"], ["1", "2"]]
    assert table.rows[0][0].line == 2


def test_cells_know_their_place(tmp_path):
    table = read_table(written(tmp_path, "a;b\n\n1;2;3"))
    assert table.rows[1][2].place == "line 3, column C"
    assert table.rows[0][2].place == "line 1, column C"
    assert [tables.letters(one) for one in (1, 26, 27, 60)] == ["A", "Z", "AA", "BH"]


@pytest.mark.parametrize(("content", "says"), [
    (b"", "empty"), (b"\n ; \n", "empty"), (b"a,\"b\n1,2", "quotation mark"),
    (b"a;b\x00c\n1;2", "no table of text"), (b"\xff\xfe\x00", "UTF-16"),
    (b"\xd0\xcf\x11\xe0abc", "old workbook"), (b"PK\x03\x04abc", "no whole xlsx"),
    ("ж;1".encode(), None), ("é\x81".encode("latin-1"), "neither UTF-8"),
    (b"a;" + b"x" * 2000, "holds 2000 letters"), (b"1\n" * 3000, "rows"),
    (b";" * 100 + b"1", "columns"), (b"sep=|\na|b", "separator"),
])
def test_what_is_no_table_is_refused_in_one_sentence(tmp_path, content, says):
    path = written(tmp_path, content)
    if says is None:
        assert read_table(path).rows
    else:
        assert says in refused(path)


def test_missing_files_folders_and_large_files_are_refused(tmp_path):
    assert "cannot be read" in refused(tmp_path / "none.csv")
    assert "folder" in refused(tmp_path)
    assert "larger than" in refused(written(tmp_path, b"1;2\n" * 600_000))
    assert "--sheet" in refused(written(tmp_path, b"1;2"), sheet="May")
    assert "--encoding" in refused(written(tmp_path, b"1;2"), encoding="ebcdic")
    assert "cannot be read as" in refused(written(tmp_path, b"\xff;2"), encoding="utf-8")


# --- Numbers --------------------------------------------------------------------------------------

@pytest.mark.parametrize(("text", "value"), [
    ("1 234,5", 1234.5), ("1\u00a0234,5", 1234.5), ("1\u202f234,5", 1234.5), ("1.234,5", 1234.5),
    ("1'234.5", 1234.5), ("1\u2019234.5", 1234.5), ("1,234.5", 1234.5), ("1234,5", 1234.5),
    ("12.345.678,9", 12345678.9), ("-3,5", -3.5), ("\u22123.5", -3.5), (",5", 0.5),
    ("5,4 kg", 5.4), ("0,234", 0.234), ("0.234", 0.234), ("1,2E+03", 1200), ("1234.567", 1234.567),
    ("7", 7), ("1 234", 1234), ("1.234.567", 1234567), ("2.5e1", 25),
])
def test_number_habits_that_say_one_thing(text, value):
    assert set(parse(text).by_mark.values()) == {value}


@pytest.mark.parametrize("text", ["1,234", "12.345", "999,999", "-1.234", "1,234 kg"])
def test_numbers_that_may_be_two_things_are_settled_by_others_or_asked_for(text):
    cell, clear = Cell(text, 5, 2), Cell("7,5", 9, 2)
    with pytest.raises(InputError, match=r"line 5, column B.*may be.*--decimal"):
        settle_mark([cell, Cell("12", 6, 2)], None)
    for mark, small in ((",", "," in text), (".", "." in text)):
        found = number(cell, settle_mark([cell], mark)[0], "it")[0]
        assert (abs(found) < 1000) == small
    assert settle_mark([cell, clear], None)[0] == ","


@pytest.mark.parametrize("text", [
    "", "abc", "12 5", "1.2.3", "1,2,3", "1,23,456", "12.05.2026", "3/5", "--5", "5,4,", "1e999",
    "0,234,567", "1 23", "٣٤", "nan", "inf", "0x10", "5;4", "9" * 50, "1_000", "-", "kg 5",
])
def test_what_is_no_number_is_none(text):
    assert parse(text) is None


def test_contradicting_marks_are_refused_naming_both():
    with pytest.raises(InputError, match=r"line 2, column A.*line 3, column A.*alike"):
        settle_mark([Cell("1,5", 2, 1), Cell("1.5", 3, 1)], None)
    with pytest.raises(InputError, match=r"no meaning with a decimal point"):
        settle_mark([Cell("1,5", 2, 1)], ".")


def test_a_mark_that_the_user_gives_is_said():
    assert settle_mark([Cell("1,234", 2, 1)], ",") == (",", "decimal comma, as you said")
    assert settle_mark([Cell("12", 2, 1)], None) == (None, "")


@pytest.mark.parametrize(("whole", "part", "negative"), [
    (w, p, n) for w, p, n in itertools.product((0, 7, 65, 1234, 1234567), ("5", "25", "0625"),
                                               (False, True))])
@pytest.mark.parametrize(("group", "mark"), [(" ", ","), ("\u202f", ","), (".", ","), ("'", "."),
                                             (",", "."), ("\u2019", ","), ("", ","), ("", ".")])
def test_every_habit_reads_back(whole, part, negative, group, mark):
    text = f"{'-' if negative else ''}{f'{whole:,}'.replace(',', group)}{mark}{part}"
    assert parse(text).by_mark[mark] == float(f"{'-' if negative else ''}{whole}.{part}")


# --- Workbooks ------------------------------------------------------------------------------------

def workbook(folder, rows, name="a.xlsx", **sheets):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    for title, more in sheets.items():
        sheet = book.create_sheet(title)
        for row in more:
            sheet.append(row)
    path = folder / name
    book.save(path)
    return path


ROWS = [["Pull test"], [], ["marks (cm)", "pull (kgf)"], [25, 5.4], [30, "8,6"]]


def test_a_workbook_s_cells_are_read_with_their_places(tmp_path):
    table = read_table(workbook(tmp_path, ROWS))
    assert texts(table) == [["Pull test", ""], ["marks (cm)", "pull (kgf)"], ["25", "5.4"],
                            ["30", "8,6"]]
    assert table.rows[2][1].value == 5.4
    assert table.rows[3][1].value is None
    assert table.rows[3][1].place == "cell B5"
    assert table.habits == ("sheet 'Sheet'",)


def changed(path, change):
    book = openpyxl.load_workbook(path)
    change(book, book.active)
    book.save(path)
    return path


def test_several_sheets_are_asked_for_and_empty_or_hidden_ones_are_not(tmp_path):
    path = workbook(tmp_path, ROWS, more=[["x", 1]], empty=[], old=[["y", 2]])
    changed(path, lambda book, sheet: setattr(book["old"], "sheet_state", "hidden"))
    told = refused(path)
    assert "'Sheet', 'more'" in told
    assert "--sheet" in told
    table = read_table(path, sheet="more")
    assert texts(table) == [["x", "1"]]
    assert "hidden sheet 'old' not read" in table.habits
    assert texts(read_table(path, sheet="old")) == [["y", "2"]]
    assert "no sheet 'nix'" in refused(path, sheet="nix")


def test_hidden_rows_and_columns_are_read_and_said(tmp_path):
    def hide(book, sheet):
        sheet.column_dimensions["B"].hidden = True
        sheet.row_dimensions[5].hidden = True

    table = read_table(changed(workbook(tmp_path, ROWS), hide))
    assert "hidden column B read too" in table.habits
    assert "hidden row 5 read too" in table.habits
    assert table.rows[3][0].text == "30"


def test_dates_errors_and_truths_in_place_of_numbers_are_refused_by_name(tmp_path):
    path = workbook(tmp_path, [[datetime.date(2026, 5, 3), "#DIV/0!", True, datetime.time(3, 5)]])
    changed(path, lambda book, sheet: setattr(sheet["B1"], "data_type", "e"))
    row = read_table(path).rows[0]
    for cell, says in zip(row, ("A1, it, holds the date or time 2026-05-03",
                                "B1, it, holds the error", "C1, it, holds true",
                                "D1, it, holds the date or time 03:05"), strict=True):
        with pytest.raises(InputError, match=says):
            number(cell, ".", "it")


def test_a_unit_in_a_number_format_is_seen(tmp_path):
    def dress(book, sheet):
        sheet["B4"].number_format = '0.0" kg"'

    table = read_table(changed(workbook(tmp_path, ROWS), dress))
    assert table.rows[2][1].unit == "kg"
    assert number(table.rows[2][1], None, "it") == (5.4, "kg")


def test_formulas_give_their_saved_values_and_are_refused_without(tmp_path):
    path = workbook(tmp_path, [["a", "=1+1"], ["b", 3]])
    cell = read_table(path).rows[0][1]
    assert "without a saved value" in cell.trouble
    with pytest.raises(InputError, match="cell B1"):
        number(cell, None, "it")
    saved = repacked(path, lambda name, data: data.replace(
        b"<f>1+1</f><v />", b"<f>1+1</f><v>2</v>").replace(b"<f>1+1</f><v></v>",
                                                            b"<f>1+1</f><v>2</v>"))
    assert read_table(saved).rows[0][1].value == 2


def test_signs_that_steer_a_terminal_are_left_out(tmp_path):
    strange = ["x\u009bm", "a\u202eb"]
    assert texts(read_table(workbook(tmp_path, [strange]))) == [["xm", "ab"]]
    assert texts(read_table(written(tmp_path, ";".join(strange)))) == [["xm", "ab"]]


def test_merged_cells_are_known(tmp_path):
    def merge(book, sheet):
        sheet.merge_cells("A1:C1")

    table = read_table(changed(workbook(tmp_path, [["wide", None, None], [1, 2, 3]]), merge))
    assert table.spans == {(1, 2): "wide", (1, 3): "wide"}


def repacked(path, change, extra=()):
    """Return the workbook with its members changed and others added."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new:
        for member in old.infolist():
            new.writestr(member.filename, change(member.filename, old.read(member)))
        for name, data in extra:
            new.writestr(name, data)
    path.write_bytes(buffer.getvalue())
    return path


def kept(name, data):
    return data


def in_sheet(change):
    return lambda name, data: change(data) if name == "xl/worksheets/sheet1.xml" else data


@pytest.mark.parametrize(("change", "extra", "says"), [
    (kept, [("xl/vbaProject.bin", b"x")], "macros"),
    (kept, [("xl/externalLinks/externalLink1.xml", b"<a/>")], "other workbooks"),
    (kept, [("xl/media/a.xml", b"<a>" + b"0" * 5_000_000 + b"</a>")], "far larger than it looks"),
    (kept, [(f"x{number}.xml", b"<a/>") for number in range(600)], "far larger than it looks"),
    (in_sheet(lambda data: data.replace(
        b"<worksheet", b"<!DOCTYPE x [<!ENTITY a 'b'>]><worksheet")), [], "declarations"),
    (in_sheet(lambda data: data.replace(b"<worksheet", b"<!DOCTYPE x><worksheet").decode()
              .encode("utf-16")), [], "declarations"),
    (in_sheet(lambda data: data.replace(b'r="A1"', b'r="XFD1048576"')), [], "XFD1048576"),
    (in_sheet(lambda data: data.replace(b'r="A1"', b'r="A9999"')), [], "A9999"),
    (in_sheet(lambda data: data.replace(b'r="A1"', b'r="../.."')), [], "cell named"),
    (in_sheet(lambda data: data[:len(data) // 2]), [], "no whole xlsx"),
    (lambda name, data: b"" if name == "xl/workbook.xml" else data, [], "no whole xlsx"),
    (in_sheet(lambda data: b"<worksheet/>"), [], "empty"),
    (in_sheet(lambda data: data.replace(b"<v>25</v>", b"<v>twenty</v>")), [], "no whole xlsx"),
])
def test_dangerous_or_broken_workbooks_are_refused(tmp_path, change, extra, says):
    assert says in refused(repacked(workbook(tmp_path, ROWS), change, extra))


def test_a_bomb_is_refused_before_it_is_unpacked(tmp_path, monkeypatch):
    path = repacked(workbook(tmp_path, ROWS), kept,
                    [("xl/worksheets/sheet9.xml", b" " * 200_000_000)])
    assert path.stat().st_size < 300_000
    monkeypatch.setattr(zipfile.ZipFile, "read", lambda *_: pytest.fail("unpacked"))
    begin = time.monotonic()
    assert "far larger" in refused(path)
    assert time.monotonic() - begin < 10


def test_a_packed_file_that_is_no_workbook_is_refused(tmp_path):
    path = tmp_path / "a.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
    assert "no xlsx workbook" in refused(path)


def test_what_a_file_holds_decides_and_not_its_name(tmp_path):
    path = workbook(tmp_path, ROWS, name="a.csv")
    assert texts(read_table(path))[0][0] == "Pull test"
    other = read_table(written(tmp_path, "a;b\n1;2", name="b.xlsx"))
    assert texts(other) == [["a", "b"], ["1", "2"]]


def test_percent_and_text_formats_do_not_pass_for_units(tmp_path):
    def dress(book, sheet):
        sheet["A4"].number_format = formats.FORMAT_PERCENTAGE
        sheet["B4"].number_format = '#,##0.00_-;[Red]-#,##0.00'

    row = read_table(changed(workbook(tmp_path, ROWS), dress)).rows[2]
    assert [cell.unit for cell in row] == ["", ""]
