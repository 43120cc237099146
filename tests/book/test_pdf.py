"""The book on paper: whole, tagged, numbered, and nothing folded away or cut off."""

import os
import re
import shutil
import unicodedata
from pathlib import Path

import pytest
from bandwork import InputError
from bandwork.classroom import paper
from bandwork.classroom.paper import Paper, page_numbers, print_book, print_pages
from bs4 import BeautifulSoup
from playwright.sync_api import sync_playwright
from pypdf import PdfReader

ROOT = Path(__file__).resolve().parents[2]
A4 = (595, 842)
FORMULA = ".math, mjx-container"

printed = [pytest.mark.long, pytest.mark.course, pytest.mark.browser]


def test_without_a_browser_a_sentence_says_what_to_install(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(InputError, match="install Chromium"):
        print_book(ROOT)


def test_a_browser_that_fails_is_named(monkeypatch, tmp_path):
    broken = tmp_path / "chromium"
    broken.write_text("#!/bin/sh\necho it broke >&2\nexit 1\n")
    broken.chmod(0o755)
    with pytest.raises(InputError, match=r"did not print .*it broke"):
        paper._print(str(broken), tmp_path / "book.html", tmp_path / "book.pdf")


@pytest.fixture(scope="module")
def pdf(book):
    if not any(map(shutil.which, paper.BROWSERS)):
        why = "Debian's chromium is not installed: apt-get install chromium"
        if os.environ.get("CI"):
            pytest.fail(why)
        pytest.skip(why)
    return print_pages(ROOT / "book", book)


@pytest.fixture(scope="module")
def reader(pdf):
    return PdfReader(pdf)


@pytest.fixture(scope="module")
def sheets(reader):
    """Return the text of each sheet."""
    return [page.extract_text() for page in reader.pages]


@pytest.fixture(scope="module")
def text(sheets):
    """Return the whole text as `squeezed` leaves it, without what each sheet bears at its edge."""
    return squeezed("\n".join(re.sub(r"^\d+$", "", sheet, flags=re.MULTILINE) for sheet in sheets))


@pytest.fixture(scope="module")
def lines(book, pdf):
    return Paper(ROOT / "book", book).lines


@pytest.fixture(scope="module")
def pages(book, pdf):
    """Return the built pages' articles by name."""
    return {
        path.relative_to(book).as_posix(): BeautifulSoup(
            path.read_text("utf-8"), "html.parser"
        ).select_one("article.bd-article")
        for path in book.rglob("*.html")
        if "_static" not in path.parts and path.name != "search.html"
    }


def squeezed(words):
    """Return text without spaces, ligatures, and the arrows with page numbers put into it."""
    return re.sub(r"→\d+", "", re.sub(r"\s", "", unicodedata.normalize("NFKC", words)))


def told(part):
    for tag in part.select(".headerlink, .d-print-none"):
        tag.decompose()
    return squeezed(part.get_text())


def structure(reader):
    """Yield the elements of the tag tree."""
    waiting = [reader.trailer["/Root"]["/StructTreeRoot"]]
    while waiting:
        element = waiting.pop()
        if not isinstance(element, dict):
            continue
        yield element
        below = element.get("/K", ())
        below = below.get_object() if hasattr(below, "get_object") else below
        waiting += [
            one.get_object() if hasattr(one, "get_object") else one
            for one in (below if isinstance(below, list) else [below])
        ]


class TestThePrintedBook:
    pytestmark = printed

    def test_it_is_tagged_and_says_what_it_is(self, reader):
        root = reader.trailer["/Root"]
        assert root["/MarkInfo"]["/Marked"]
        assert root["/Lang"] == "en"
        assert reader.metadata.title == "Bandwork"
        assert reader.metadata.author == "The Bandwork authors"

    def test_pictures_and_formulas_have_text_alternatives(self, reader, pages):
        alternatives = {
            squeezed(str(element["/Alt"])) for element in structure(reader) if "/Alt" in element
        }
        pictures = {
            squeezed(image["alt"]) for page in pages.values() for image in page.select("img")
        }
        formulas = {
            squeezed(re.sub(r"^\s*\\[(\[]|\\[)\]]\s*$", "", formula.get_text()))
            for page in pages.values()
            for formula in page.select("span.math, div.math")
            if not formula.select(".math")
        }
        assert len(pictures) > 50
        assert pictures - alternatives == set()
        assert len(formulas) > 300
        # The browser leaves out a few formulas, which the printed document names like all others.
        assert len(formulas - alternatives) < 0.02 * len(formulas)

    def test_the_bookmarks_are_the_table_of_contents(self, reader, lines, sheets):
        found = []

        def collect(marks, level):
            for mark in marks:
                if isinstance(mark, list):
                    collect(mark, level + 1)
                else:
                    found.append((level, mark.title))
                    sheet = sheets[reader.get_destination_page_number(mark)]
                    assert squeezed(mark.title).lower() in squeezed(sheet).lower()

        collect(reader.outline, 1)
        assert found == [(level, title) for level, title, _ in lines]

    def test_every_sheet_is_a4_bears_its_number_and_is_not_empty(self, reader, sheets):
        assert len(sheets) in range(150, 400)
        for number, (page, sheet) in enumerate(zip(reader.pages, sheets, strict=True), start=1):
            assert tuple(map(round, page.mediabox[2:])) == A4
            assert str(number) in sheet.splitlines()
            assert len(sheet) > 120, number

    def test_every_page_is_there_to_its_last_sentence(self, pages, text):
        for name, page in pages.items():
            whole = [
                part
                for part in page.select("p, li, td")
                if part.get_text().strip()
                and not part.select(FORMULA)
                and not part.find_parent("details")
                and "d-print-none" not in part.get("class", ())
                and not part.find_parent(class_="d-print-none")
            ]
            assert told(whole[-1]) in text, name

    def test_what_is_folded_away_on_the_screen_is_there(self, pages, text):
        answers = [
            part
            for page in pages.values()
            for part in page.select("details p.choose-answer, details.sd-dropdown li")
            if not part.select(FORMULA)
        ]
        code = [part for page in pages.values() for part in page.select("details pre")]
        assert len(answers) > 100
        assert len(code) > 100
        assert [part for part in map(told, [*answers, *code]) if part not in text] == []

    def test_arrows_name_the_sheet_where_their_target_stands(self, pdf):
        numbers = page_numbers(pdf)
        document = BeautifulSoup(pdf.with_suffix(".html").read_text("utf-8"), "html.parser")
        named = [
            (link["href"][1:], int(found[1]))
            for link in document.select("a.turn, .moved a, .whole-contents a")
            if (found := re.search(r"(\d+)$", link.get_text().strip()))
        ]
        assert len(named) > 500
        assert [one for one in named if numbers[one[0]] != one[1]] == []

    def test_links_stay_in_the_book_or_lead_to_the_web(self, reader):
        targets = set(reader.named_destinations)
        inside = 0
        for page in reader.pages:
            for note in page.get("/Annots") or ():
                note = note.get_object()
                if "/A" in note:
                    assert note["/A"]["/URI"].startswith(("https://", "http://"))
                else:
                    assert note["/Dest"] in targets
                    inside += 1
        assert inside > 500

    def test_nothing_is_wider_than_the_paper(self, pdf):
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=paper.find_browser(), args=["--no-sandbox"]
            )
            page = browser.new_page(viewport={"width": 658, "height": 900})
            page.emulate_media(media="print")
            page.goto(pdf.with_suffix(".html").as_uri())
            page.wait_for_function("!document.querySelector('mjx-assistive-mml')", timeout=120_000)
            wide = page.evaluate(
                """() => [...document.querySelectorAll("article *")]
                  .filter(part => part.getBoundingClientRect().right > 660)
                  .map(part => `${part.closest("[id]")?.id} ${part.outerHTML.slice(0, 100)}`)"""
            )
            browser.close()
        assert wide == []
