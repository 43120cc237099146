"""The book, built once for all tests of it."""

import sys
import time
from pathlib import Path

import pytest
from bandwork.classroom.book import build_book
from bs4 import BeautifulSoup

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))


@pytest.fixture(scope="session")
def built(tmp_path_factory):
    """Build the book with warnings as errors; return the folder of its pages and what it said."""
    lock = tmp_path_factory.getbasetemp().parent / "building-the-book"
    while True:
        try:
            lock.mkdir()
            break
        except FileExistsError:
            time.sleep(0.2)
    try:
        pages = build_book(ROOT).parent
        return pages, (pages.parent / "build.log").read_text(encoding="utf-8")
    finally:
        lock.rmdir()


@pytest.fixture(scope="session")
def book(built):
    """Return the folder of the built pages."""
    return built[0]


@pytest.fixture(scope="session")
def pages(book):
    """Return each page's name and its parsed HTML."""
    files = [path for path in book.rglob("*.html") if "_static" not in path.parts]
    return {
        path.relative_to(book).as_posix(): BeautifulSoup(path.read_text("utf-8"), "html.parser")
        for path in files
    }
