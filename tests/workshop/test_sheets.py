"""The printed sheets, measured as they are printed: size, place, words, tags, type."""

import re
import tomllib
from datetime import date
from functools import cache
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pytest
from fontTools.ttLib import TTFont
from pypdf import PdfReader
from pypdf.generic import ContentStream

from bandwork.doubt import usual_ranges
from bandwork.stretch import notch_load, scaled
from bandwork.validation import InputError
from bandwork.workshop import sheets
from bandwork.workshop.files import read_gun
from bandwork.workshop.quantities import Units

PAGES = Path(__file__).resolve().parents[2] / "book" / "workshop"
MILLIMETRE = 72 / 25.4
PAPER = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
ON = date(2030, 1, 2)
GUN = """
name = "Harbour gun"
made_for = "Ines (invented)"
[diver]
load_capacity = "51 kgf"
reach = "90 cm"
[band]
outer_diameter = "16 mm"
bore = "3 mm"
relaxed_length = "65 cm"
[shaft]
diameter = "7 mm"
length = "160 cm"
[barrel]
length = "120 cm"
[line]
diameter = "1.7 mm"
wraps = 1
[water]
temperature = "20 C"
[assist]
length = "35 cm"
"""
BARE = [kind for kind, (_, _, needs, _) in sheets.KINDS.items() if not needs]
CASES = [(kind, paper, units, with_gun)
         for kind in sheets.KINDS for paper, units in (("a4", "metric"), ("letter", "us"))
         for with_gun in ((True, False) if kind in BARE else (True,))]
every_sheet = pytest.mark.parametrize(("kind", "paper", "units", "with_gun"), CASES)


@pytest.fixture(scope="module")
def gun(tmp_path_factory):
    path = tmp_path_factory.mktemp("guns") / "harbour.toml"
    path.write_text(GUN, encoding="utf-8")
    return read_gun(path)


@pytest.fixture(scope="module")
def made(gun):
    """Return a function that makes a sheet once and gives its PDF, opened."""
    @cache
    def make(kind, paper="a4", units="metric", with_gun=True):
        content = sheets.sheet(kind, gun if with_gun else None, Units(units), paper, ON)
        return PdfReader(BytesIO(sheets.pages(content)[0]))
    return make


def words(reader):
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def through(matrix, point):
    a, b, c, d, e, f = matrix
    return a * point[0] + c * point[1] + e, b * point[0] + d * point[1] + f


def times(inner, outer):
    a, b, c, d, e, f = inner
    first, second = through(outer, (a, b)), through(outer, (c, d))
    return (first[0] - outer[4], first[1] - outer[5], second[0] - outer[4], second[1] - outer[5],
            *through(outer, (e, f)))


def drawn(page):
    """Yield each painted path of a page: its points in points of the page, and how it is painted.

    A curve counts with its control points, between which it lies.
    """
    matrix, kept, points = (1, 0, 0, 1, 0, 0), [], []
    for given, operator in ContentStream(page["/Contents"], page.pdf).operations:
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
            x, y, width, height = numbers
            points += [through(matrix, pair) for pair in ((x, y), (x + width, y + height))]
        elif operator in (b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*", b"n"):
            if points and operator != b"n":
                yield points, operator
            points = []


def box(points):
    across, up = zip(*points, strict=True)
    return min(across), min(up), max(across), max(up)


@cache
def advances(bold):
    font = TTFont(sheets._type_folder() / f"DejaVuSans{'-Bold' if bold else ''}.ttf", lazy=True)
    return font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm


def lettered(page):
    """Return each piece of text of a page: the text, where it begins and ends, and its size."""
    found = []

    def visit(text, cm, tm, font, size):
        shown = text.strip()
        if shown:
            names, widths, em = advances("Bold" in font["/BaseFont"])
            width = sum(widths[names[ord(sign)]][0] for sign in shown if ord(sign) in names)
            found.append((shown, cm[4] + tm[4], cm[5] + tm[5], width * size / em, size))
    page.extract_text(visitor_text=visit)
    return found


@every_sheet
def test_a_sheet_is_as_large_as_its_paper_and_counts_its_pages(made, kind, paper, units, with_gun):
    reader = made(kind, paper, units, with_gun)
    many = {"line": 2, "target": 2, "safety": 2}.get(kind, 1)
    assert len(reader.pages) == many
    for number, page in enumerate(reader.pages, 1):
        assert (page.mediabox.width, page.mediabox.height) == pytest.approx(PAPER[paper], abs=0.01)
        assert f"page {number} of {many}" in page.extract_text()


@every_sheet
def test_everything_lies_within_the_margins(made, kind, paper, units, with_gun):
    wide, high = PAPER[paper]
    side, edge = 16 * MILLIMETRE, 10 * MILLIMETRE
    for page in made(kind, paper, units, with_gun).pages:
        pieces = lettered(page)
        assert len(pieces) > 10
        for text, x, y, width, _ in pieces:
            assert side - 0.1 <= x, text
            assert x + width <= wide - side + 1, text
            assert edge <= y <= high - edge, text
        for points, _ in drawn(page):
            left, bottom, right, top = box(points)
            assert side - 1 <= left
            assert right <= wide - side + 1
            assert edge <= bottom
            assert top <= high - edge


@every_sheet
def test_no_text_overlaps_another(made, kind, paper, units, with_gun):
    for page in made(kind, paper, units, with_gun).pages:
        lines = [(x, y - 0.15 * size, x + width, y + 0.7 * size, text)
                 for text, x, y, width, size in lettered(page)]
        for at, one in enumerate(lines):
            for other in lines[at + 1:]:
                apart = (one[2] <= other[0] + 1 or other[2] <= one[0] + 1
                         or one[3] <= other[1] or other[3] <= one[1])
                assert apart, (one[4], other[4])


@every_sheet
def test_type_is_embedded_and_large_enough_for_a_wet_deck(made, kind, paper, units, with_gun):
    reader = made(kind, paper, units, with_gun)
    for page in reader.pages:
        assert min(size for *_, size in lettered(page)) >= 9
        for font in page["/Resources"]["/Font"].values():
            below = font.get_object()["/DescendantFonts"][0].get_object()
            assert "DejaVuSans" in below["/BaseFont"]
            assert {"/FontFile2", "/FontFile3"} & set(below["/FontDescriptor"].get_object())
            assert "/ToUnicode" in font.get_object()


@every_sheet
def test_a_sheet_is_tagged_and_says_its_language_and_title(made, kind, paper, units, with_gun):
    reader = made(kind, paper, units, with_gun)
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"].value is True
    assert root["/ViewerPreferences"]["/DisplayDocTitle"].value is True
    assert reader.metadata.title == sheets.KINDS[kind][0]
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
        for given, operator in ContentStream(page["/Contents"], page.pdf).operations:
            if operator in (b"rg", b"RG", b"sc", b"SC", b"scn", b"SCN"):
                assert len({round(float(one), 4) for one in given}) == 1
            assert operator not in (b"k", b"K", b"Do", b"sh")


@every_sheet
def test_a_sheet_carries_date_caution_and_whose_it_is(made, kind, paper, units, with_gun):
    told = words(made(kind, paper, units, with_gun))
    assert "printed 2030-01-02" in told
    assert told.count("never permission to load") >= 1
    assert ("Harbour gun, Ines (invented)" in told) == with_gun


@pytest.mark.parametrize("kind", [kind for kind in sheets.KINDS if kind not in BARE])
def test_computed_sheets_repeat_the_inputs_as_they_were_written(made, gun, kind):
    told = words(made(kind))
    assert "What was given, in harbour.toml" in told
    for value in gun.given.values():
        assert str(value) in told


@pytest.mark.parametrize("kind", ["target", "line"])
@pytest.mark.parametrize(("paper", "units"), [("a4", "metric"), ("letter", "metric"),
                                              ("a4", "us"), ("letter", "us")])
def test_scale_bars_print_to_size(made, kind, paper, units):
    page = made(kind, paper, units).pages[0]
    bricks = [box(points) for points, operator in drawn(page) if operator in (b"B", b"b")
              and box(points)[3] - box(points)[1] == pytest.approx(3 * MILLIMETRE, abs=0.01)]
    rows = {}
    for left, bottom, right, _ in bricks:
        rows.setdefault(round(bottom, 1), []).append((left, right))
    lengths = sorted(max(right for _, right in row) - min(left for left, _ in row)
                     for row in rows.values())
    wanted = [283.46] if (paper, units) == ("a4", "metric") else [283.46, 288.0]
    assert lengths == pytest.approx(wanted, abs=0.1)
    assert "Print at 100 %, measure this bar." in words(made(kind, paper, units))


@pytest.mark.parametrize(("units", "step"), [("metric", 10 * MILLIMETRE), ("us", 36.0)])
def test_the_target_has_its_lines_to_size(made, units, step):
    page = made("target", "letter", units).pages[0]
    lines = {round(box(points)[1], 2) for points, operator in drawn(page) if operator == b"S"
             and box(points)[3] == box(points)[1] and 400 < box(points)[2] - box(points)[0] < 480}
    heights = sorted(lines, reverse=True)
    assert len(heights) > 13
    for above, below in zip(heights, heights[1:], strict=False):
        assert above - below == pytest.approx(step, abs=0.02)
    unit = "cm" if units == "metric" else "in"
    first = next(y for text, _, y, _, _ in lettered(page)
                 if text == ("5 cm" if units == "metric" else f"1 {unit}"))
    cross = heights[4 if units == "metric" else 3]
    assert cross - first == pytest.approx(5 * step if units == "metric" else 2 * step, abs=6)


def test_the_gun_is_drawn_to_scale(made, gun):
    page = made("line").pages[0]
    assert "Scale 1 : 10." in page.extract_text()
    barrel = next(box(points) for points, operator in drawn(page) if operator in (b"B", b"b"))
    assert barrel[2] - barrel[0] == pytest.approx(120 * MILLIMETRE, abs=0.1)
    widths = [round(box(points)[2] - box(points)[0], 1) for points, operator in drawn(page)
              if operator == b"S"]
    assert round(160 * MILLIMETRE, 1) in widths
    assert widths.count(round(123 * MILLIMETRE, 1)) == 2
    assert round(135 * MILLIMETRE, 1) in widths


@pytest.mark.parametrize("kind", ["pull-test", "speed", "float-test", "target"])
def test_rows_to_write_in_are_high_enough(made, kind):
    page = made(kind, "letter", "us", with_gun=False).pages[-1]
    ups = sorted({round(box(points)[1], 1) for points, operator in drawn(page)
                  if operator == b"S" and box(points)[3] - box(points)[1] < 0.5
                  and box(points)[2] - box(points)[0] > 20})
    gaps = [above - below for below, above in zip(ups, ups[1:], strict=False)]
    high = [gap for gap in gaps if gap >= 8 * MILLIMETRE - 0.3]
    form = tomllib.loads(files("bandwork").joinpath("workshop/sheets/forms.toml")
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
    form = tomllib.loads(files("bandwork").joinpath("workshop/sheets/forms.toml")
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
    names = page.extract_text().replace("moment, N m", "")
    assert not re.findall(r"(?<![\w/])(?:cm|mm|kgf|kg|m|g|N|°C|m/s)(?![\w/])", names)
    assert re.search(r"\bin\b|\bft\b|\blbf?\b", names)


def test_the_safety_card_says_what_the_pages_say():
    card = tomllib.loads(files("bandwork").joinpath("workshop/sheets/safety.toml")
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
    assert " ".join(read[1].replace("*", "").split()) in words(made("safety", with_gun=False))


def test_lengths_of_the_cut_table_pull_with_the_divers_load(made, gun):
    told = words(made("cuts"))
    assert "pulls with 51.0 kgf at the notch" in told
    stiff = usual_ranges(gun.setup)["tube_stiffness"]
    cells = re.findall(r"(\d+) cm[*†]* (\d+) to (\d+)", told)
    assert len(cells) == 25
    middle = dict(zip(("best", "low", "high"), map(int, cells[12]), strict=True))
    from dataclasses import replace
    for name, length in middle.items():
        band = replace(gun.setup.band, relaxed_length=length / 100,
                       rubber=scaled(gun.setup.band.rubber, getattr(stiff, name)))
        loads = [notch_load(replace(band, relaxed_length=length / 100 + off), gun.setup.barrel)
                 for off in (0.006, -0.006)]
        assert loads[0] < gun.setup.diver.load_capacity < loads[1]


HOSTILE = ['#read("/etc/passwd")', "$ x^2 $ \\ #panic()", "*bold* _it_ <label> @cite = // [",
           "W" * 5000, "wide " * 400, "\u05d3\u05e0\u05d4 \u0645\u0631\u062d\u0628\u0627",
           "\U0001f3f4\u200d\u2620\ufe0f \U0001f600 \U0001f9ff", "bell\a nul\0 esc\x1b[31m",
           "\u202eturned\u2066\u200f", "two\r\nlines\tand tab", "日本語", "a\u0301\u0327\u20dd",
           "\ue000\U0010ffff\ud800", '"}, {"title": "no', "%s {0} ${HOME}", "  "]


@pytest.mark.parametrize("name", HOSTILE, ids=range(len(HOSTILE)))
def test_a_name_is_printed_as_text_whatever_it_holds(gun, name):
    from dataclasses import replace

    hostile = replace(gun, name=name, made_for=name, path=Path(name.replace("/", "")[:200]),
                      given={**gun.given, "name": name, "made_for": name})
    for kind, many in (("cuts", 1), ("line", 2), ("speed", 1), ("safety", 2)):
        reader = PdfReader(BytesIO(sheets.pages(sheets.sheet(kind, hostile, printed=ON))[0]))
        assert len(reader.pages) == many
        told = "".join(page.extract_text() for page in reader.pages)
        assert "root:" not in told
        for page in reader.pages:
            for text, x, _, width, _ in lettered(page):
                assert x + width <= PAPER["a4"][0] - 16 * MILLIMETRE + 1, text


@pytest.mark.parametrize(("given", "shown"), [
    ('#read("/etc/passwd")', '#read("/etc/passwd")'), ("two\r\nlines\t.", "two lines ."),
    ("bell\a\0", "bell"), ("\u202eturned", "turned"), ("日本", "□□"), ("Zo\u0065\u0301", "Zoé"),
    ("x" * 200, "x" * 24 + "\u200b" + "x" * 24 + "\u200b" + "x" * 24 + "\u200b" + "x" * 17 + "…"),
    ("\ud800", "□"), ("", ""),
])
def test_text_is_cleaned_for_the_printer(given, shown):
    assert sheets.printable(given) == shown


@every_sheet
def test_an_svg_has_the_pages_size_and_words(made, gun, kind, paper, units, with_gun):
    reader = made(kind, paper, units, with_gun)
    content = sheets.sheet(kind, gun if with_gun else None, Units(units), paper, ON)
    svgs = sheets.pages(content, "svg")
    assert len(svgs) == len(reader.pages)
    for svg, page in zip(svgs, reader.pages, strict=True):
        root = ElementTree.fromstring(svg)
        assert root.get("width").endswith("pt")
        size = [float(root.get(side).removesuffix("pt")) for side in ("width", "height")]
        assert size == pytest.approx(PAPER[paper], abs=0.01)
        title, described = list(root)[:2]
        assert title.tag.endswith("title")
        assert title.text == sheets.KINDS[kind][0]
        assert described.text.split() == page.extract_text().split()
        assert b"<script" not in svg
        assert not re.findall(rb'(?:href|src)="(?!#|data:)', svg)


def test_the_same_sheet_is_the_same_file(gun):
    content = sheets.sheet("line", gun, printed=ON)
    assert sheets.pages(content) == sheets.pages(content)


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
