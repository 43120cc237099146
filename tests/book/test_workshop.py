"""The workshop's figures draw the readings that its pages reduce."""

import ast
import re
from pathlib import Path

import numpy as np
import pytest

from figures.workshop import _example

PAGES = Path(__file__).resolve().parents[2] / "book" / "workshop"


def readings(page, name):
    """Return the list that a page's code calls by a name."""
    found = re.findall(rf"^{name} = (?:np\.array\()?(.+?)\)?$", (PAGES / f"{page}.md").read_text(
        encoding="utf-8"), re.MULTILINE)
    assert len(found) == 1
    return ast.literal_eval(found[0])


@pytest.mark.parametrize(
    ("page", "name", "drawn"),
    [
        ("pull-test", "marks_cm", _example.MARKS_CM),
        ("pull-test", "pulled_kgf", _example.PULLED_KGF),
        ("pull-test", "let_back_kgf", _example.LET_BACK_KGF),
        ("pull-test", "relaxed_cm", _example.RELAXED_CM),
        ("speed", "marks_cm", _example.MARKS_CM),
        ("speed", "pulled_kgf", _example.PULLED_KGF),
        ("target", "target_m", _example.TARGET_M),
        ("target", "drop_cm", _example.DROP_CM),
    ],
)
def test_page_and_figure_hold_the_same_readings(page, name, drawn):
    np.testing.assert_array_equal(readings(page, name), drawn)


@pytest.mark.parametrize("plan", ["evening", "weekend"])
def test_each_block_of_a_plan_ends_when_the_next_begins(plan):
    rows = re.findall(r"^\| (\d+):(\d\d) \| (\d+) \|", (PAGES / f"{plan}.md").read_text("utf-8"),
                      re.MULTILINE)
    begins = [60 * int(hour) + int(minute) for hour, minute, _ in rows]
    ends = [begin + int(row[2]) for begin, row in zip(begins, rows, strict=True)]
    gaps = [(begin, end) for begin, end in zip(begins[1:], ends[:-1], strict=True)
            if begin != end and begin > begins[0]]
    assert len(rows) > 10
    assert gaps == []
