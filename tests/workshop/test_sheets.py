"""The printed sheets, measured as they are printed: size, place, words, tags, type."""

import re
import tomllib
from collections import defaultdict
from dataclasses import replace
from datetime import date
from functools import cache, cached_property
from importlib.resources import files
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from bandwork.cli import main
from bandwork.validation import InputError
from bandwork.workshop import commands, sheets
from bandwork.workshop.answer import answer
from bandwork.workshop.files import read_gun
from bandwork.workshop.quantities import Units
from bandwork.workshop.tune import goal, tune
from pypdf import PdfReader
from pypdf.generic import ContentStream

from tests.workshop.guns import HARBOUR

PAGES = Path(__file__).resolve().parents[2] / "book" / "workshop"
MILLIMETRE = 72 / 25.4
SPACE = 0.32
PAPER = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
ON = date(2030, 1, 2)
GUN = HARBOUR.replace("[assist]", '[water]\ntemperature = "20 C"\n[assist]')
BARE = [name for name, kind in sheets.KINDS.items() if not kind.needs_file]
CASES = [(kind, paper, units, with_gun)
         for kind in sheets.KINDS for paper, units in (("a4", "metric"), ("letter", "us"))
         for with_gun in ((True,) if kind not in BARE else (True, False) if kind != "target"
                          else (units == "us",))]
every_sheet = pytest.mark.parametrize(("kind", "paper", "units", "with_gun"), CASES)


@pytest.fixture(scope="module")
def gun(tmp_path_factory):
    path = tmp_path_factory.mktemp("guns") / "harbour.toml"
    path.write_text(GUN, encoding="utf-8")
    return read_gun(path)


@pytest.fixture(scope="module")
def content(gun):
    """Return a function that puts a sheet together once; an answer is worked out once for all."""
    work_out = sheets.answer
    once = cache(lambda system: work_out(gun, Units(system)))

    @cache
    def put(kind, paper, units, with_gun):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(sheets, "answer", lambda _, units: once(units.system))
            return sheets.sheet(kind, gun if with_gun else None, Units(units), paper, ON)
    return put


@pytest.fixture(scope="module")
def made(content):
    """Return a function that prints a sheet once and gives its PDF, opened and looked at."""
    @cache
    def make(*which):
        return Printed(sheets.pages(content(*which))[0])
    return lambda kind, paper="a4", units="metric", with_gun=True: make(kind, paper, units,
                                                                        with_gun)


class Printed:
    """A PDF, and what stands on each of its pages."""

    def __init__(self, whole):
        self.reader = PdfReader(BytesIO(whole))
        self.pages = [Page(page) for page in self.reader.pages]

    @cached_property
    def words(self):
        return " ".join(" ".join(page.words for page in self.pages).split())


class Page:
    """What is painted on a page, in points of the page.

    paths : each path's box (left, bottom, right, top) and how it is painted; a curve counts with
        its control points, between which it lies.
    letters : each piece of text: left, bottom line, right and size.
    colours : what the colour operators were given.
    """

    def __init__(self, page):
        self.page = page
        self.size = float(page.mediabox.width), float(page.mediabox.height)
        self.paths, self.letters, self.colours, self.operators = [], [], [], set()
        matrix, kept, points = (1, 0, 0, 1, 0, 0), [], []
        fonts = {name: widths(font.get_object())
                 for name, font in page["/Resources"]["/Font"].items()}
        for given, operator in ContentStream(page["/Contents"], page.pdf).operations:
            self.operators.add(operator)
            numbers = [float(one) for one in given if isinstance(one, (int, float))]
            if operator == b"q":
                kept.append(matrix)
            elif operator == b"Q":
                matrix = kept.pop()
            elif operator == b"cm":
                matrix = times(numbers, matrix)
            elif operator in (b"m", b"l", b"c", b"v", b"y"):
                points += [through(matrix, pair) for pair in zip(numbers[::2], numbers[1::2],
                                                                 strict=True)]
            elif operator == b"re":
                x, y, wide, high = numbers
                points += [through(matrix, pair) for pair in ((x, y), (x + wide, y + high))]
            elif operator in (b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*", b"n"):
                if points and operator != b"n":
                    across, up = zip(*points, strict=True)
                    self.paths.append(((min(across), min(up), max(across), max(up)), operator))
                points = []
            elif operator == b"Tf":
                font, size = fonts[given[0]], float(given[1])
            elif operator == b"Tm":
                at = times(numbers, matrix)
            elif operator in (b"Tj", b"TJ"):
                pieces = given[0] if operator == b"TJ" else given
                length = sum(-float(one) if isinstance(one, (int, float)) else advance(font, one)
                             for one in pieces) * size / 1000
                self.letters.append((at[4], at[5], at[4] + length, size))
            elif operator in (b"rg", b"RG", b"sc", b"SC", b"scn", b"SCN"):
                self.colours.append(numbers)

    @cached_property
    def words(self):
        return self.page.extract_text()

    def level(self, shorter=float("inf"), longer=20.0):
        """Return the heights of the level lines of a length, from the top down."""
        return sorted({round(bottom, 1) for (left, bottom, right, top), operator in self.paths
                       if operator == b"S" and top - bottom < 0.5
                       and longer < right - left < shorter}, reverse=True)


def widths(font):
    """Return the advances of a font's glyphs, in thousandths of its size."""
    below = font["/DescendantFonts"][0].get_object()
    found = defaultdict(lambda: float(below.get("/DW", 1000)))
    given = list(below["/W"])
    while given:
        first, second = int(given.pop(0)), given.pop(0)
        if isinstance(second, list):
            found |= {first + at: float(one) for at, one in enumerate(second)}
        else:
            found |= dict.fromkeys(range(first, int(second) + 1), float(given.pop(0)))
    return found


def advance(font, text):
    raw = text.original_bytes if hasattr(text, "original_bytes") else bytes(text)
    assert len(raw) % 2 == 0
    return sum(font[int.from_bytes(raw[at:at + 2])] for at in range(0, len(raw), 2))


def through(matrix, point):
    a, b, c, d, e, f = matrix
    return a * point[0] + c * point[1] + e, b * point[0] + d * point[1] + f


def times(inner, outer):
    a, b, c, d, e, f = inner
    first, second = through(outer, (a, b)), through(outer, (c, d))
    return (first[0] - outer[4], first[1] - outer[5], second[0] - outer[4], second[1] - outer[5],
            *through(outer, (e, f)))


@every_sheet
def test_a_sheet_is_as_large_as_its_paper_and_counts_its_pages(made, kind, paper, units, with_gun):
    printed = made(kind, paper, units, with_gun)
    many = {"setup": 2, "line": 2, "target": 2, "safety": 2}.get(kind, 1)
    assert len(printed.pages) == many
    for number, page in enumerate(printed.pages, 1):
        assert page.size == pytest.approx(PAPER[paper], abs=0.01)
        assert f"page {number} of {many}" in page.words


@every_sheet
def test_everything_lies_within_the_margins(made, kind, paper, units, with_gun):
    wide, high = PAPER[paper]
    side, edge = 16 * MILLIMETRE, 10 * MILLIMETRE
    for page in made(kind, paper, units, with_gun).pages:
        assert len(page.letters) > 10
        # A line that is full may end with a space beyond the margin.
        boxes = [(left, base, right - SPACE * size, base + 0.8 * size)
                 for left, base, right, size in page.letters]
        for left, bottom, right, top in (*boxes, *(path for path, _ in page.paths)):
            assert side - 1 <= left <= right <= wide - side + 1
            assert edge <= bottom <= top <= high - edge


@every_sheet
def test_no_text_overlaps_another(made, kind, paper, units, with_gun):
    for page in made(kind, paper, units, with_gun).pages:
        boxes = [(left, base - 0.15 * size, right, base + 0.7 * size)
                 for left, base, right, size in page.letters]
        for at, one in enumerate(boxes):
            for other in boxes[at + 1:]:
                assert (one[2] <= other[0] + 1 or other[2] <= one[0] + 1
                        or one[3] <= other[1] or other[3] <= one[1]), (one, other)


@every_sheet
def test_type_is_embedded_and_large_enough_for_a_wet_deck(made, kind, paper, units, with_gun):
    for page in made(kind, paper, units, with_gun).pages:
        assert min(size for *_, size in page.letters) >= 9
        for font in page.page["/Resources"]["/Font"].values():
            below = font.get_object()["/DescendantFonts"][0].get_object()
            assert "DejaVuSans" in below["/BaseFont"]
            assert {"/FontFile2", "/FontFile3"} & set(below["/FontDescriptor"].get_object())
            assert "/ToUnicode" in font.get_object()


@every_sheet
def test_a_sheet_is_tagged_and_says_its_language_and_title(made, kind, paper, units, with_gun):
    reader = made(kind, paper, units, with_gun).reader
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"].value is True
    assert root["/ViewerPreferences"]["/DisplayDocTitle"].value is True
    assert reader.metadata.title == sheets.KINDS[kind].title
    assert b"pdfuaid:part" in root["/Metadata"].get_object().get_data()
    kinds, figures = set(), []

    def walk(node):
        node = node.get_object()
        if isinstance(node, list):
            for one in node:
                walk(one)
        elif isinstance(node, dict):
            kinds.add(node.get("/S"))
            if node.get("/S") == "/Figure":
                figures.append(node.get("/Alt", ""))
            if "/K" in node:
                walk(node["/K"])
    walk(root["/StructTreeRoot"])
    assert "/H1" in kinds
    assert all(len(alt) > 20 for alt in figures)
    if kind not in ("safety",):
        assert {"/Table", "/TH", "/TD"} <= kinds
    assert bool(figures) == (kind in ("target", "line"))


@every_sheet
def test_a_sheet_prints_in_grey(made, kind, paper, units, with_gun):
    for page in made(kind, paper, units, with_gun).pages:
        assert page.colours
        assert all(len({round(one, 4) for one in given}) == 1 for given in page.colours)
        assert not page.operators & {b"k", b"K", b"Do", b"sh"}


@every_sheet
def test_a_sheet_carries_date_caution_and_whose_it_is(made, kind, paper, units, with_gun):
    told = made(kind, paper, units, with_gun).words
    assert "printed 2030-01-02" in told
    assert told.count("never permission to load") >= 1
    assert ("Harbour gun, Ines (invented)" in told) == with_gun


@every_sheet
def test_no_sentence_is_cut_off(made, kind, paper, units, with_gun):
    assert "\N{HORIZONTAL ELLIPSIS}" not in made(kind, paper, units, with_gun).words


@pytest.mark.parametrize("kind", [kind for kind in sheets.KINDS if kind not in BARE])
def test_computed_sheets_repeat_the_inputs_as_they_were_written(made, gun, kind):
    told = made(kind).words
    assert "What was given, in harbour.toml" in told
    for value in gun.given.values():
        assert str(value) in told


@pytest.mark.parametrize(("kind", "paper", "units"), [
    ("target", "a4", "metric"), ("target", "letter", "metric"), ("target", "a4", "us"),
    ("target", "letter", "us"), ("line", "a4", "metric"), ("line", "letter", "us"),
])
def test_scale_bars_print_to_size(made, kind, paper, units):
    printed = made(kind, paper, units, kind == "line")
    page = printed.pages[0]
    bricks = [path for path, operator in page.paths if operator in (b"B", b"b")
              and path[3] - path[1] == pytest.approx(3 * MILLIMETRE, abs=0.01)]
    rows = {}
    for left, bottom, right, _ in bricks:
        rows.setdefault(round(bottom, 1), []).append((left, right))
    lengths = sorted(max(right for _, right in row) - min(left for left, _ in row)
                     for row in rows.values())
    wanted = [283.46] if (paper, units) == ("a4", "metric") else [283.46, 288.0]
    assert lengths == pytest.approx(wanted, abs=0.1)
    assert "Print at 100 %, measure this bar." in printed.words


@pytest.mark.parametrize(("units", "step"), [("metric", 10 * MILLIMETRE), ("us", 36.0)])
def test_the_target_has_its_lines_to_size(made, units, step):
    page = made("target", "letter", units, False).pages[0]
    wide = {"metric": 16 * step, "us": 12 * step}[units]
    heights = page.level(longer=wide - 0.5, shorter=wide + 0.5)
    assert len(heights) > 13
    for above, below in pairwise(heights):
        assert above - below == pytest.approx(step, abs=0.11)
    labels = {}
    page.page.extract_text(visitor_text=lambda text, cm, *_: labels.setdefault(text.strip(), cm[5]))
    cross = heights[{"metric": 4, "us": 3}[units]]
    for label, steps in ({"5 cm": 5, "10 cm": 10} if units == "metric"
                         else {"1 in": 2, "3 in": 6}).items():
        assert cross - labels[label] == pytest.approx(steps * step, abs=6)


def test_the_gun_is_drawn_to_scale(made, gun):
    page = made("line").pages[0]
    assert "Scale 1 : 10." in page.words
    barrel = next(path for path, operator in page.paths if operator in (b"B", b"b")
                  and path[3] - path[1] > 10)
    assert barrel[2] - barrel[0] == pytest.approx(120 * MILLIMETRE, abs=0.1)
    lengths = [round(path[2] - path[0], 1) for path, operator in page.paths if operator == b"S"]
    assert round(160 * MILLIMETRE, 1) in lengths
    assert lengths.count(round(123 * MILLIMETRE, 1)) == 2
    assert round(135 * MILLIMETRE, 1) in lengths


@pytest.mark.parametrize("kind", ["pull-test", "speed", "float-test", "target"])
def test_rows_to_write_in_are_high_enough(made, kind):
    page = made(kind, "letter", "us", with_gun=False).pages[-1]
    heights = page.level()
    gaps = [above - below for above, below in pairwise(heights)]
    high = [gap for gap in gaps if gap >= 8 * MILLIMETRE - 0.3]
    form = tomllib.loads(files("bandwork").joinpath("workshop/typst/forms.toml")
                         .read_text(encoding="utf-8"))[kind]
    assert len(high) >= sum(len(one["rows"]) for one in form["blocks"] if "rows" in one)


def page_forms():
    """Return the measuring sheets of the book: by number, their tables and sentences."""
    text = (PAGES / "sheets.md").read_text(encoding="utf-8")
    forms = {}
    for number, body in re.findall(r"^## Sheet (\d).*?\n(.*?)^:::$", text, re.M | re.S):
        blocks = []
        for part in re.split(r"\n\s*\n", body.strip()):
            if part.startswith("|"):
                rows = [[cell.strip() for cell in line.strip().strip("|").split("|")]
                        for line in part.splitlines()]
                blocks.append({"columns": rows[0], "rows": rows[2:]})
            elif not part.startswith("How to do it"):
                blocks.append({"text": " ".join(part.replace("**", "").split())})
        forms[number] = blocks
    return forms


@pytest.mark.parametrize(("number", "kind"), [("1", "pull-test"), ("2", "speed"), ("3", "target"),
                                              ("4", "float-test")])
def test_a_form_is_that_of_the_book(number, kind):
    form = tomllib.loads(files("bandwork").joinpath("workshop/typst/forms.toml")
                         .read_text(encoding="utf-8"))[kind]
    ours = [{name: one[name] for name in ("columns", "rows", "text") if name in one}
            for one in form["blocks"]]
    assert ours == page_forms()[number]
    page = {"pull-test": "pull-test", "speed": "speed", "target": "target", "float-test": "tub"}
    told = " ".join(((PAGES / f"{page[kind]}.md").read_text(encoding="utf-8")
                     + (PAGES / "sheets.md").read_text(encoding="utf-8")).split())
    assert form["safety"]
    for sentence in form["safety"]:
        assert sentence in told
    assert f"# {form['page']}" in told


@pytest.mark.parametrize("kind", ["pull-test", "speed", "target", "float-test"])
def test_a_form_in_us_units_has_no_metric_ones(made, kind):
    page = made(kind, "letter", "us", with_gun=False).pages[-1]
    assert not re.findall(r"(?<![\w/])(?:cm|mm|kgf|kg|m|g|N|°C|m/s)(?![\w/])", page.words)
    assert re.search(r"\bin\b|\bft\b|\blbf?\b", page.words)


def test_the_safety_card_says_what_the_pages_say():
    card = tomllib.loads(files("bandwork").joinpath("workshop/typst/safety.toml")
                         .read_text(encoding="utf-8"))
    told = {page: " ".join(re.sub(r"\*|\{cite\}`\w+`", "", (PAGES / f"{page}.md").read_text(
        encoding="utf-8")).replace(" |", " |").split()) for page in ("briefing", "checklists")}
    for one in card["briefing"]:
        assert f"{one['title']} {one['text']}" in told["briefing"]
    for asked in card["asked"]:
        assert asked in told["briefing"]
    assert card["answer"] in told["briefing"]
    for one in card["lists"]:
        assert f"## {one['title']}" in told["checklists"]
        assert one.get("text", "") in told["checklists"]
        for row in one["rows"]:
            assert f"| {row} | |" in re.sub(r" +\|", " |", told["checklists"])


def test_the_safety_card_leaves_nothing_of_the_briefing_out(made):
    read = re.search(r"```\{admonition\} Read aloud\n:class: danger\n(.*?)\n\*\*Questions",
                     (PAGES / "briefing.md").read_text(encoding="utf-8"), re.S)
    assert " ".join(read[1].replace("*", "").split()) in made("safety", with_gun=False).words


def test_the_cut_table_asks_for_the_same_length_as_tune(made, gun):
    told = made("cuts").words
    assert "pulls with 51.0 kgf at the notch" in told
    cells = re.findall(r"(\d+) cm[*†]* (\d+) to (\d+)", told)
    assert len(cells) == 25
    cut = tune(gun, goal(load="51 kgf")).cut
    assert cells[12] == tuple(f"{end * 100:.0f}" for end in (cut.best, cut.low, cut.high))


def test_a_band_of_the_cut_tables_long_end_is_loaded_nearly_always(made, gun):
    _, short, long = re.findall(r"(\d+) cm[*†]* (\d+) to (\d+)", made("cuts").words)[12]
    for length, least, most in ((int(long) + 0.5, 0.95, 1), (int(short) - 0.5, 0, 0.05)):
        band = replace(gun.setup.band, relaxed_length=length / 100)
        one = replace(gun, setup=replace(gun.setup, band=band))
        assert least <= answer(one, Units()).chances["loads"] <= most


HOSTILE = ['#read("/etc/passwd")', "$ x^2 $ \\ #panic()", "*bold* _it_ <label> @cite = // [",
           "W" * 5000, "wide " * 400, "\u05d3\u05e0\u05d4 \u0645\u0631\u062d\u0628\u0627",
           "\U0001f3f4\u200d\u2620\ufe0f \U0001f600 \U0001f9ff", "bell\a nul\0 esc\x1b[31m",
           "\u202eturned\u2066\u200f", "two\r\nlines\tand tab", "日本語", "a\u0301\u0327\u20dd",
           "\ue000\U0010ffff\ud800", '"}, {"title": "no', "%s {0} ${HOME}", "  "]


@pytest.mark.parametrize("name", HOSTILE, ids=range(len(HOSTILE)))
def test_a_name_is_printed_as_text_whatever_it_holds(gun, name):
    hostile = replace(gun, name=name, made_for=name, path=Path(name.replace("/", "")[:200]),
                      given={**gun.given, "name": name, "made_for": name})
    for kind in ("cuts", "speed"):
        printed = Printed(sheets.pages(sheets.sheet(kind, hostile, printed=ON))[0])
        assert len(printed.pages) == 1
        if name.isascii() and name.isprintable():
            assert name[:12].strip() in printed.words
        for page in printed.pages:
            assert all(right - SPACE * size <= PAPER["a4"][0] - 16 * MILLIMETRE + 1
                       for _, _, right, size in page.letters)


@pytest.mark.parametrize(("given", "shown"), [
    ('#read("/etc/passwd")', '#read("/etc/passwd")'), ("two\r\nlines\t.", "two lines ."),
    ("bell\a\0", "bell"), ("\u202eturned", "turned"), ("日本", "□□"), ("Zo\u0065\u0301", "Zoé"),
    ("x" * 200, "x" * 24 + "\u200b" + "x" * 24 + "\u200b" + "x" * 24 + "\u200b" + "x" * 17 + "…"),
    ("\ud800", "□"), ("", ""),
])
def test_text_is_cleaned_for_the_printer(given, shown):
    assert sheets.printable(given) == shown


@pytest.mark.parametrize(("kind", "paper", "units", "with_gun"),
                         [("cuts", "a4", "metric", True), ("target", "letter", "us", False),
                          ("speed", "a4", "metric", True), ("safety", "letter", "us", True)])
def test_an_svg_has_the_pages_size_and_words(made, content, kind, paper, units, with_gun):
    printed = made(kind, paper, units, with_gun)
    svgs = sheets.pages(content(kind, paper, units, with_gun), "svg")
    assert len(svgs) == len(printed.pages)
    for svg, page in zip(svgs, printed.pages, strict=True):
        root = ElementTree.fromstring(svg)
        assert root.get("width").endswith("pt")
        size = [float(root.get(side).removesuffix("pt")) for side in ("width", "height")]
        assert size == pytest.approx(PAPER[paper], abs=0.01)
        title, described = list(root)[:2]
        assert title.tag.endswith("title")
        assert title.text == sheets.KINDS[kind].title
        assert described.text.split() == page.words.split()
        assert b"<script" not in svg
        assert not re.findall(rb'(?:href|src)="(?!#|data:)', svg)


def test_the_same_sheet_is_the_same_file(content):
    one = content("cuts", "a4", "metric", True)
    assert sheets.pages(one) == sheets.pages(one)


def test_sheets_are_written_whole_and_never_over_others(tmp_path):
    out = tmp_path / "card.svg"
    (tmp_path / "card-2.svg").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match=r"card-2.svg is there already .* --force"):
        sheets.write_sheet("safety", None, out)
    assert [one.name for one in tmp_path.iterdir()] == ["card-2.svg"]
    assert (tmp_path / "card-2.svg").read_text(encoding="utf-8") == "mine"
    made = sheets.write_sheet("safety", None, out, force=True)
    assert [one.name for one in made] == ["card-1.svg", "card-2.svg"]
    single = sheets.write_sheet("speed", None, tmp_path / "speed.PDF", paper="letter")
    assert [one.name for one in single] == ["speed.PDF"]
    assert single[0].read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(("kind", "out", "paper", "told"), [
    ("pul-test", "a.pdf", "a4", "no sheet 'pul-test'.*Nearest: pull-test"),
    ("line", "a.pdf", "a4", "made from a set-up file, and none is given"),
    ("speed", "a.doc", "a4", "a.doc is no name for a sheet"),
    ("speed", "a", "a4", "end in .pdf or .svg"),
    ("speed", "a.pdf", "a5", "paper is 'a5'; accepted are a4, letter"),
    ("speed", "none/a.pdf", "a4", "a.pdf cannot be written"),
])
def test_what_cannot_be_printed_is_refused_in_a_sentence(tmp_path, kind, out, paper, told):
    with pytest.raises(InputError, match=told):
        sheets.write_sheet(kind, None, tmp_path / out, paper=paper)
    assert list(tmp_path.iterdir()) == []


def test_the_command_names_every_sheet():
    assert list(commands.SHEETS) == list(sheets.KINDS)


def test_the_command_writes_a_sheet_and_says_what_it_is(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    Path("harbour.toml").write_text(GUN, encoding="utf-8")
    assert main(["sheet", "cuts", "harbour.toml", "--paper", "letter", "--units", "us"]) == 0
    told = capsys.readouterr().out
    assert told.startswith("Cut table, to print at 100 %: cuts.pdf\n")
    assert "never permission to load" in told
    printed = Printed(Path("cuts.pdf").read_bytes())
    assert printed.pages[0].size == PAPER["letter"]
    assert "112.4 lbf" in printed.words
    assert main(["sheet", "cuts", "harbour.toml"]) == 1
    assert "--force" in capsys.readouterr().err
    assert main(["sheet", "safety", "--out", "card.svg"]) == 0
    assert "card-1.svg, card-2.svg" in capsys.readouterr().out
    assert main(["sheet", "line", "none.toml"]) == 1
    assert capsys.readouterr().err.count("\n") == 1
