"""The pages as people meet them: opened from a folder, wide and narrow, light and dark.

Accessibility is judged by axe-core with the rules of WCAG 2.0, 2.1 and 2.2 at levels A and AA.
"""

import re
import shutil
from io import BytesIO
from pathlib import Path

import nbformat
import pytest
from bandwork.classroom.items import UNITS
from pypdf import PdfReader

from tests.browser import AXE, RULES

ROOT = Path(__file__).resolve().parents[2]
TOC = (ROOT / "book" / "_toc.yml").read_text(encoding="utf-8")
PAGES = [*re.findall(r"(?:file|root): (\S+)", TOC), "search"]

READ_ON_A_PHONE = {"index", "warmup", "case", *UNITS, "workshop"}
"""All but the instructor's pages and the appendix, whose tables are as wide as their rows."""

pytestmark = [pytest.mark.course, pytest.mark.browser]


@pytest.fixture
def visit(book, browser):
    """Return a function that opens a page from the folder; afterwards nothing may have failed."""
    trouble = []
    contexts = []

    def open_page(name, width=1280):
        context = browser.new_context(viewport={"width": width, "height": 900})
        contexts.append(context)
        page = context.new_page()
        page.on("request", lambda request: asked(request.url))
        page.on("requestfailed", failed)
        page.on("pageerror", lambda error: trouble.append(f"script: {error}"))
        page.on("console", lambda message: said(message.type, message.text))
        page.goto(f"{(book / name).as_uri()}.html")
        page.evaluate("() => window.MathJax?.startup?.promise.then(() => null)")
        return page

    def asked(address):
        if not address.startswith((f"{book.as_uri()}/", "data:", "blob:")):
            trouble.append(f"outside the folder: {address}")

    def failed(request):
        if request.failure != "net::ERR_ABORTED":  # the next page was opened before it came
            trouble.append(f"missing: {request.url}, {request.failure}")

    def said(kind, text):
        if kind in ("error", "warning"):
            trouble.append(f"console: {text}")

    yield open_page
    for context in contexts:
        context.close()
    assert trouble == []


def violations(page):
    page.add_style_tag(content="* { transition: none !important }")
    page.evaluate(AXE)
    found = page.evaluate(
        "rules => axe.run(document, {runOnly: rules, preload: false})", RULES
    )["violations"]
    return [(fault["id"], node["html"][:200]) for fault in found for node in fault["nodes"]]


def overflow(page):
    return page.evaluate("document.scrollingElement.scrollWidth - window.innerWidth")


def scrolling(page):
    """Return how the tables, formulas and printed lines begin that are wider than the page."""
    return page.evaluate(
        """() => [...document.querySelectorAll(`.bd-article mjx-container[display],
        .bd-article .pst-scrollable-table-container, .bd-article .cell_output pre`)]
        .filter(part => part.scrollWidth > part.clientWidth + 1)
        .map(part => part.innerText.slice(0, 60))"""
    )


@pytest.mark.parametrize("name", [name for name in PAGES if name.split("/")[0] in READ_ON_A_PHONE])
def test_nothing_scrolls_sideways_on_a_phone(visit, name):
    assert scrolling(visit(name, 390)) == []


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("width", [1280, 390])
def test_page_fits_and_is_accessible_in_light_and_dark(visit, name, width):
    page = visit(name, width)
    assert overflow(page) <= 0
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        page.wait_for_selector(f"html[data-theme={scheme}]")
        assert violations(page) == []


@pytest.mark.parametrize("name", PAGES)
def test_page_fits_320_pixels_and_its_formulas_can_be_heard(visit, name):
    page = visit(name, 320)
    assert overflow(page) <= 0
    written = page.locator(".math:not(.math .math)").count()
    assert page.locator(".math mjx-container").count() >= written
    assert page.locator("mjx-container:not(:has(mjx-assistive-mml math))").count() == 0
    assert page.locator("mjx-merror, merror").count() == 0
    assert page.evaluate("[...document.fonts].filter(font => font.status === 'error').length") == 0


def test_the_book_has_formulas_to_set(visit):
    assert any(visit(name).locator("mjx-container").count() > 3 for name in PAGES)


def test_search_finds_from_a_folder(visit):
    page = visit("index")
    page.keyboard.press("Control+k")
    page.keyboard.type("stretch")
    assert violations(page) == []
    page.keyboard.press("Enter")
    page.wait_for_selector("#search-results li a")
    assert page.url.endswith("search.html?q=stretch")
    page.click("#search-results li a")
    page.wait_for_selector("article h1")
    assert "search.html" not in page.url


@pytest.mark.parametrize("width", [1280, 390])
def test_a_page_gives_its_notebook_from_a_folder(visit, width):
    page = visit("stretch/notch", width)
    with page.expect_download() as begun:
        page.get_by_role("link", name="Download this page’s notebook").click()
    assert begun.value.suggested_filename == "notch.ipynb"
    assert nbformat.reads(Path(begun.value.path()).read_text(encoding="utf-8"), as_version=4).cells


def test_the_phone_menu_opens_and_is_accessible(visit):
    page = visit("index", width=390)
    page.click("button.primary-toggle")
    page.get_by_role("dialog").get_by_role("link", name="References").wait_for()
    assert violations(page) == []


def test_the_first_key_offers_to_skip_to_the_content(visit):
    page = visit("stretch/index")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.getAttribute('href')") == "#main-content"


def test_a_question_answers_to_the_keyboard_and_says_so(visit):
    page = visit("warmup/index")
    question = page.locator(".choose").first
    question.locator("input").first.focus()
    page.keyboard.press("Space")
    said = question.locator("[role=status]")
    assert said.inner_text().startswith("Not yet. ")
    page.keyboard.press("ArrowDown")
    assert said.inner_text().startswith("Right. ")
    assert question.get_by_role("group").count() >= 1
    assert violations(page) == []


def test_without_javascript_a_disclosure_holds_every_answer(book, browser):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{(book / 'warmup/index').as_uri()}.html")
    question = page.locator(".choose").first
    question.locator("summary").click()
    options = question.locator("label").count()
    assert options >= 2
    assert question.locator(".choose-answer:visible").count() == options
    context.close()


class TestUnzippedInAnotherFolder:
    """The book as somebody gets it on a stick: packed, unpacked, and the path no plain word."""

    @pytest.fixture(scope="class")
    @classmethod
    def book(cls, book, tmp_path_factory):
        folder = tmp_path_factory.mktemp("away")
        packed = shutil.make_archive(str(folder / "book"), "zip", book)
        unpacked = folder / "Bücher vom Tauchen"
        shutil.unpack_archive(packed, unpacked)
        return unpacked

    def test_every_page_shows_pictures_and_formulas_and_answers_questions(self, book, visit):
        questions = 0
        page = visit("index")
        for name in PAGES:
            page.goto(f"{(book / name).as_uri()}.html")
            page.evaluate("() => window.MathJax?.startup?.promise.then(() => null)")
            assert page.evaluate(
                "[...document.images].filter(one => !one.naturalWidth).map(one => one.src)"
            ) == []
            written = page.locator(".math:not(.math .math)").count()
            assert page.locator(".math mjx-container").count() >= written
            for question in page.locator(".choose").all():
                question.locator("input").last.check()
                assert question.locator("[role=status]").inner_text().startswith(("Right", "Not"))
                questions += 1
        assert questions > 30

    def test_search_finds(self, visit):
        page = visit("flight/drag")
        page.keyboard.press("Control+k")
        page.keyboard.type("wishbone")
        page.keyboard.press("Enter")
        page.wait_for_selector("#search-results li a")
        page.click("#search-results li a")
        page.wait_for_selector("article h1")


def test_a_printed_page_has_unfolded_what_it_folds_away(visit):
    page = visit("stretch/spring")
    told = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
    text = " ".join(sheet.extract_text() for sheet in told.pages)
    assert "import sympy as sp" in text
    assert "The elongation is 2.5, or 250 %." in " ".join(text.split())
    assert "Show the code" not in text
    assert page.locator("article details[open]").count() == 0
