"""A folder of set-ups: one table, one page each, and one that is wrong costs only its own row."""

import csv
import re
from html.parser import HTMLParser

import pytest
from bandwork.cli import main
from bandwork.setup import USUAL_CAUTIONS
from bandwork.validation import InputError
from bandwork.workshop.blank import template
from bandwork.workshop.club import COLUMNS, set_ups
from bandwork.workshop.files import read_gun, rubber_text
from pypdf import PdfReader

VOID = {"meta", "br"}


class Reader(HTMLParser):
    """Checks that every element is closed, and collects text, links and rows."""

    def __init__(self):
        super().__init__()
        self.open, self.links, self.text, self.rows = [], [], "", 0

    def handle_starttag(self, tag, attrs):
        self.links += [value for name, value in attrs if name in ("href", "src")]
        self.rows += tag == "tr"
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text += data


def read(path):
    reader = Reader()
    reader.feed(path.read_text(encoding="utf-8"))
    assert reader.open == []
    return reader


@pytest.fixture(scope="module")
def club(tmp_path_factory):
    folder = tmp_path_factory.mktemp("in") / "Tidewater <Evening> Club (invented)"
    folder.mkdir()
    for file, who, gun, cut in (("ines", "Ines (invented)", "Harbour gun", "65 cm"),
                                ("marek 16", "Marek (invented)", '=cmd|"x"', "70 cm"),
                                ("tove", "@Tove <b>(invented)</b>", "Reef gun", "62 cm")):
        text = (template().replace("Ines (invented)", who).replace('"65 cm"', f'"{cut}"')
                .replace('"Harbour gun"', f"'{gun}'"))
        (folder / f"{file}.toml").write_text(text, encoding="utf-8")
    (folder / "anselm.toml").write_text(template().replace("[band]", "[bands]"), encoding="utf-8")
    (folder / "slack.toml").write_text(template().replace('"65 cm"', '"290 cm"'))
    (folder / "roll.rubber.toml").write_text("factor = [1, 1, 1]")
    (folder / "notes.txt").write_text("no set-up")
    return folder


@pytest.fixture(scope="module")
def done(club, tmp_path_factory):
    out = tmp_path_factory.mktemp("out") / "deep" / "table"
    assert main(["club", str(club), "--out", str(out)]) == 0
    return out


def test_each_has_its_row_and_its_page(club, done):
    with (done / "club.csv").open(encoding="utf-8", newline="") as file:
        table = list(csv.DictReader(file))
    rows = {row["file"]: row for row in table if row["file"]}
    assert list(rows) == ["anselm.toml", "ines.toml", "marek 16.toml", "slack.toml", "tove.toml"]
    for name, row in rows.items():
        wrong = name in ("anselm.toml", "slack.toml")
        assert bool(row["problem"]) == wrong
        assert (done / "pages" / name.replace(".toml", ".html")).exists() != wrong
        if not wrong:
            low, best, high = (float(row[f"load at the notch [kgf]{end}"])
                               for end in (" low", "", " high"))
            assert low < best < high
    assert "nearest: band" in rows["anselm.toml"]["problem"]
    assert "slack" in rows["slack.toml"]["problem"]
    assert set(USUAL_CAUTIONS) == {row["caution"] for row in table if not row["file"]}
    assert len(table[0]) == 6 + 3 * len(COLUMNS)


def test_no_cell_that_people_wrote_is_a_formula(done):
    with (done / "club.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            for name in ("file", "name", "made for", "problem", "caution"):
                assert not row[name].startswith(("=", "+", "-", "@")), row


def test_the_pages_are_whole_and_ask_for_nothing_outside(club, done):
    table = read(done / "club.html")
    assert table.rows == 6
    assert table.links == ["pages/ines.html", "pages/marek%2016.html", "pages/tove.html"]
    assert "Tidewater <Evening> Club (invented)" in table.text
    assert "Not worked out: " in table.text
    for path in (done / "pages").iterdir():
        page = read(path)
        assert page.links == []
        assert not re.search(r"https?:", path.read_text(encoding="utf-8"))
        for caution in USUAL_CAUTIONS:
            assert caution in page.text
        assert "band.relaxed_length" in page.text
        assert re.search(r"\d kgf \(\d", page.text)
    assert "<b>" in read(done / "pages" / "tove.html").text


def test_what_is_there_stays_and_nothing_is_worked_out(club, done, capsys):
    before = {path: path.read_bytes() for path in done.rglob("*.*")}
    assert main(["club", str(club), "--out", str(done)]) == 1
    told = capsys.readouterr()
    assert "--force" in told.err
    assert told.out == ""
    assert before == {path: path.read_bytes() for path in done.rglob("*.*")}


def test_the_progress_names_each_file(club, tmp_path, capsys):
    small = tmp_path / "in"
    small.mkdir()
    for name in ("anselm.toml", "slack.toml"):
        (small / name).write_bytes((club / name).read_bytes())
    for more in ((), ("--force", "--units", "us")):
        assert main(["club", str(small), "--out", str(small / "out"), *more]) == 0
        told = capsys.readouterr().out
        assert told.count("\n") == 3
        assert "  slack.toml: " in told
        assert "0 of 2 set-ups" in told


@pytest.mark.parametrize("name", ["gone", "file.toml", "empty", "a\0b"])
def test_what_is_no_club_gets_one_sentence(tmp_path, name, capsys):
    (tmp_path / "empty").mkdir()
    (tmp_path / "file.toml").write_text("")
    assert main(["club", str(tmp_path / name), "--out", str(tmp_path / "out")]) == 1
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_links_out_of_the_folder_do_not_count(tmp_path):
    outside = tmp_path / "gun.toml"
    outside.write_text(template(), encoding="utf-8")
    folder = tmp_path / "club"
    folder.mkdir()
    (folder / "link.toml").symlink_to(outside)
    (folder / "loop.toml").symlink_to(folder / "loop.toml")
    with pytest.raises(InputError, match="holds 0 set-ups"):
        set_ups(folder)


def test_an_out_folder_that_cannot_be_made_gets_one_sentence(club, tmp_path, capsys):
    (tmp_path / "file").write_text("")
    assert main(["club", str(club), "--out", str(tmp_path / "file" / "out")]) == 1
    assert "cannot be made" in capsys.readouterr().err


def test_a_rubber_below_the_folder_is_found(club, tmp_path):
    (tmp_path / "rubbers").mkdir()
    (tmp_path / "rubbers" / "roll.rubber.toml").write_text("factor = [0.9, 1.1, 1.2]")
    path = tmp_path / "ines.toml"
    path.write_text(template().replace("# rubber = \"roll-7.rubber.toml\"",
                                       'rubber = "rubbers/roll.rubber.toml"'), encoding="utf-8")
    gun = read_gun(path)
    assert gun.doubt["tube_stiffness"].best == 1
    assert "factor" in rubber_text(gun.rubber)


def test_each_gets_a_sheet_to_print(club, tmp_path, capsys):
    folder = tmp_path / "in"
    folder.mkdir()
    for name in ("ines.toml", "slack.toml"):
        (folder / name).write_bytes((club / name).read_bytes())
    out = tmp_path / "out"
    assert main(["club", str(folder), "--out", str(out), "--paper", "letter"]) == 0
    assert [path.name for path in (out / "pages").glob("*.pdf")] == ["ines.pdf"]
    page = PdfReader(out / "pages" / "ines.pdf").pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == (612, 792)
    assert "Harbour gun" in page.extract_text()
    assert read(out / "club.html").links == ["pages/ines.html", "pages/ines.pdf"]
    (out / "club.csv").unlink()
    (out / "club.html").unlink()
    (out / "pages" / "ines.html").unlink()
    assert main(["club", str(folder), "--out", str(out), "--paper", "a4"]) == 1
    assert "ines.pdf is there already" in capsys.readouterr().err
