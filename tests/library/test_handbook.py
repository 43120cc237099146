"""The handbook: every row has its source or says that it has none, and every row is used."""

import ast
import re
from pathlib import Path

import numpy as np
import pytest
from bandwork import InputError
from bandwork.handbook import NO_SOURCE, OBTAINED, entries, lookup, treloar_tension

ROOT = Path(__file__).resolve().parents[2]
ROWS = list(entries())
BIBLIOGRAPHY = (ROOT / "book" / "references.bib").read_text(encoding="utf-8")
CITED = set(re.findall(r"^@\w+\{([^,\s]+)\s*,", BIBLIOGRAPHY, flags=re.MULTILINE))
UNITS = {"1", "m", "m2", "m3", "kg", "s", "N", "Pa", "J", "J/m3", "kg/m3", "m/s", "m/s2", "rad",
         "rad/s"}

each_row = pytest.mark.parametrize("row", ROWS, ids=lambda row: row.key)


def readers():
    """The text of every page, exercise, figure and module that may use a row."""
    for folder, pattern in (("book", "*.md"), ("solutions", "*.md"), ("figures", "*.py"),
                            ("book/bandwork", "*.py")):
        for path in (ROOT / folder).rglob(pattern):
            if "_build" not in path.parts:
                yield path, path.read_text(encoding="utf-8")


def patterns():
    """Keys that the library puts together, such as f"{material}.density", as expressions.

    One that has no fixed word of its own would match every key, so it does not count.
    """
    for path, text in readers():
        if path.suffix != ".py":
            continue
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "lookup" \
                    and isinstance(node.args[0], ast.JoinedStr):
                words = [part.value if isinstance(part, ast.Constant) else None
                         for part in node.args[0].values]
                if any(word and word.strip("._") for word in words):
                    yield "".join(re.escape(word) if word else r"\w+" for word in words)


WRITTEN = "\n".join(text for _, text in readers())
PATTERNS = [re.compile(pattern) for pattern in patterns()]


@each_row
def test_a_row_has_a_source_in_the_bibliography_or_says_that_it_has_none(row):
    assert row.source == NO_SOURCE or row.source in CITED


@each_row
def test_a_row_says_how_its_value_was_obtained(row):
    assert row.obtained in OBTAINED
    if row.source == NO_SOURCE:
        assert row.obtained not in ("seen", "computed", "definition")
        assert not row.place
    else:
        assert row.obtained not in ("practice", "assumed")
        assert row.place
        assert row.licence


@each_row
def test_a_row_lies_within_its_own_range_in_a_unit_of_the_si(row):
    assert row.low <= row.value <= row.high
    assert np.isfinite([row.low, row.value, row.high]).all()
    assert row.value in row.interval
    assert row.unit in UNITS
    assert row.quantity


@each_row
def test_a_row_is_used_in_the_library_the_book_or_an_exercise(row):
    literal = re.search(rf"(?<![\w.]){re.escape(row.key)}(?![\w])", WRITTEN)
    assert literal or any(pattern.fullmatch(row.key) for pattern in PATTERNS)


def test_no_key_stands_twice():
    text = (ROOT / "book/bandwork/data/handbook.csv").read_text(encoding="utf-8")
    assert len(text.strip().splitlines()) == len(ROWS) + 1


def test_the_search_for_uses_would_miss_a_row_that_nobody_uses():
    assert not re.search(r"(?<![\w.])rubber\.colour(?![\w])", WRITTEN)
    assert not any(pattern.fullmatch("rubber.colour") for pattern in PATTERNS)


@pytest.mark.parametrize(("wrong", "meant"), [
    ("rubber.densty", "rubber.density"), ("rubber.m1000", "rubber.m100"),
    ("gravity", "standard_gravity"), ("diver.grip", "diver.grip_men"),
])
def test_an_unknown_key_is_refused_with_the_nearest_ones(wrong, meant):
    with pytest.raises(InputError, match=rf"no row '{wrong}'; nearest: .*{re.escape(meant)}"):
        lookup(wrong)


@pytest.mark.parametrize("wrong", [5, None, True, [], b"rubber.density", ("a",)])
def test_a_key_that_is_no_text_is_refused_in_a_sentence(wrong):
    with pytest.raises(InputError, match=r"give the name of a handbook row"):
        lookup(wrong)


def test_a_key_like_nothing_known_says_so():
    with pytest.raises(InputError, match="none that looks like it"):
        lookup("zzzz")


def test_treloars_points_rise_and_cannot_be_changed_by_a_reader():
    s, stress = treloar_tension()
    assert s.shape == stress.shape == (25,)
    assert (np.diff(s) > 0).all()
    assert (np.diff(stress) > 0).all()
    assert (s[0], stress[0]) == (1, 0)
    with pytest.raises(ValueError, match="read-only"):
        stress[0] = 1
