"""The pages as they were written: nothing missing, nothing from elsewhere, pictures told."""

import re
from pathlib import Path

import pytest
from bandwork.classroom.items import UNITS

from figures import draw

ROOT = Path(__file__).resolve().parents[2]

pytestmark = pytest.mark.course


def test_the_build_was_clean(built):
    _, log = built
    assert "build succeeded" in log
    assert "WARNING: " not in log


def test_every_page_that_was_written_is_built(pages):
    book = ROOT / "book"
    written = {
        path.relative_to(book).with_suffix(".html").as_posix()
        for path in book.rglob("*.md")
        if "_build" not in path.parts
    }
    assert written | {"search.html"} == set(pages)


def test_every_figure_is_drawn_on_a_page_and_nothing_else_is():
    written = "".join(page.read_text("utf-8") for page in (ROOT / "book").rglob("*.md"))
    assert set(re.findall(r"^\s*[`:]{3,}\{drawn\} (\S+)", written, re.MULTILINE)) == set(
        draw.names()
    )


def test_every_picture_says_what_it_shows(pages):
    told = {
        (name, image["src"]): image.get("alt", "")
        for name, page in pages.items()
        for image in page.find_all("img")
    }
    short = [
        picture
        for picture, alt in told.items()
        if len(alt) < draw.SHORTEST_ALT or Path(picture[1]).name in alt
    ]
    assert told
    assert short == []


def test_pages_take_nothing_from_another_place(pages):
    outside = [
        (name, str(tag)[:120])
        for name, page in pages.items()
        for tag in page.find_all(["script", "link", "img", "iframe", "source"])
        if re.match(r"(https?:)?//", tag.get("src") or tag.get("href") or "")
        or re.search(r"https?://\S+\.js", tag.string or "")
    ]
    assert outside == []


def test_each_page_has_one_first_heading_and_a_title(pages):
    for name, page in pages.items():
        assert len(page.select("h1:not(#jb-print-docs-body h1)")) == 1, name
        assert page.title.string.strip(), name


def test_a_derivation_can_be_skipped(pages):
    led = {}
    for name, page in pages.items():
        headings = {heading.contents[0].get_text().split(":")[0]: heading.parent.get("id")
                    for heading in page.select("article h2")}
        if {"Step by step", "With numbers", "At the bench"} <= set(headings):
            links = [link["href"] for link in page.select(".lead-past a")]
            wanted = [f"#{headings[title]}" for title in ("With numbers", "At the bench")]
            led[name] = links == wanted
    assert len(led) > 25
    assert [name for name, right in led.items() if not right] == []


def test_every_page_of_a_unit_asks_two_questions_to_choose_from(pages):
    asked = {name: len(page.select("div.choose")) for name, page in pages.items()
             if name.split("/")[0] in UNITS and not name.endswith("index.html")}
    assert len(asked) > 25
    assert {name: number for name, number in asked.items() if number < 2} == {}


def test_every_option_has_its_answer_and_the_options_differ(pages):
    for name, page in pages.items():
        for question in page.select("div.choose"):
            options = [label.get_text().strip() for label in question.select("label")]
            answers = [said.get_text().strip() for said in question.select(".choose-answer")]
            right = question.select('input[data-right="true"]')
            where = (name, question.legend.get_text())
            assert len(set(options)) == len(options) == len(set(answers)), where
            assert min(len(said) for said in answers) > 10, where
            assert 1 <= len(right) < len(options), where
