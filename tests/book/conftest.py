"""The book, built once for all tests of it."""

import sys
import time
from pathlib import Path

import pytest
from bandwork.classroom.book import build_book

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))


@pytest.fixture(scope="session")
def book(tmp_path_factory):
    """Build the book with warnings as errors and return the folder of its pages."""
    lock = tmp_path_factory.getbasetemp().parent / "building-the-book"
    while True:
        try:
            lock.mkdir()
            break
        except FileExistsError:
            time.sleep(0.2)
    try:
        return build_book(ROOT).parent
    finally:
        lock.rmdir()
