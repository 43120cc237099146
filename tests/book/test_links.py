"""What the pages point to is there, and the sources are named as they can be found."""

import re
from pathlib import Path
from urllib.parse import unquote, urldefrag, urlsplit

import pytest
from bs4 import BeautifulSoup
from pybtex.database import parse_file
from stdnum import isbn

BOOK = Path(__file__).resolve().parents[2] / "book"
SOURCES = parse_file(str(BOOK / "references.bib")).entries
FIELDS = [field for entry in SOURCES.values() for field in entry.fields.items()]
DOI = re.compile(r"10\.\d{4,9}/[^\s\"<>{}]+")


def dead(pages, book):
    """Return what the pages of a built book point to within it and what is not there."""
    anchors = {name: {tag["id"] for tag in page.find_all(id=True)} for name, page in pages.items()}
    missing = []
    for name, page in pages.items():
        for tag in page.find_all(["a", "img", "link", "script", "source"]):
            target = tag.get("href") or tag.get("src")
            parts = urlsplit(target or "")
            if target is None or parts.scheme or parts.netloc:
                continue
            path = (book / name).parent / unquote(parts.path) if parts.path else book / name
            path = path.resolve()
            if not path.is_file():
                missing.append((name, target))
            elif parts.fragment and path.suffix == ".html":
                there = path.relative_to(book.resolve()).as_posix()
                if unquote(parts.fragment) not in anchors.get(there, ()):
                    missing.append((name, target))
    return missing


@pytest.mark.course
def test_no_link_picture_or_download_leads_nowhere(pages, book):
    assert dead(pages, book) == []


def test_dead_links_are_found(tmp_path):
    html = """<p id="here"></p><a href="#here"></a><a href="#gone"></a><a href="b.html#x"></a>
        <img src="none.svg"><a href="https://example.org/"></a><a href="b.html?q=1#y"></a>"""
    pages = {"a.html": html, "b.html": '<p id="x"></p>'}
    for name, text in pages.items():
        (tmp_path / name).write_text(text)
    soups = {name: BeautifulSoup(text, "html.parser") for name, text in pages.items()}
    assert dead(soups, tmp_path) == [
        ("a.html", "#gone"), ("a.html", "none.svg"), ("a.html", "b.html?q=1#y"),
    ]


def test_every_doi_has_the_form_of_one():
    found = [value.replace("\\_", "_") for name, value in FIELDS if name == "doi"]
    assert len(found) > 10
    assert [value for value in found if not DOI.fullmatch(value)] == []


def test_every_isbn_has_the_right_check_digit():
    found = [value for name, value in FIELDS if name == "isbn"]
    assert found
    assert [value for value in found if not isbn.is_valid(value)] == []


@pytest.mark.course
def test_every_source_is_cited_on_a_page(pages):
    labels = {div["id"] for div in pages["appendix/references.html"].select("div.citation[id]")}
    cited = {
        urldefrag(link["href"])[1]
        for name, page in pages.items() if name != "appendix/references.html"
        for link in page.select("article a[href*='references.html#']")
    }
    assert len(labels) == len(SOURCES)
    assert labels - cited == set()
