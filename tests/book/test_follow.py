"""A changed handbook changes the pages: new numbers appear, and no old one stays behind."""

import csv
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from .test_typed_numbers import UNITS, prose, typed

ROOT = Path(__file__).resolve().parents[2]
TIMES = {
    "rubber.gent_gent.mu": 1.1,
    "rubber.gent_gent.c2": 1.1,
    "handle.volume": 1.1,
    "drag.curvature": 1.04,
    "line.breaking_strength": 1.1,
}
"""Row of the handbook -> what it is multiplied by. The rubber pulls a tenth harder throughout."""

FOLLOWS = {
    "stretch/cut-length": {"k16": 1.1, "k14": 1.1, "l16_m": None, "e16": None},
    "launch/speed": {"v": None, "acc": None},
    "trim/buoyancy": {"gun_ml": None, "u_sea": None},
    "flight/drag": {"curve": 1.04, "v0": None, "drag_n": None},
    "line/strength": {"c_low": 1.1, "c_high": 1.1, "s_best": 1.1},
    "setup/check": {"kgf": 1.1, "leg": 1.1, "v_model": None, "shaft_j": None},
}
"""Page -> what must change on it, with the factor where the physics is linear in the row."""

RUN = """
import io, json, sys
from contextlib import redirect_stdout
from pathlib import Path
import jupytext, matplotlib, myst_nb
matplotlib.use("agg")
found = {}
for page in sys.argv[2:]:
    shown = found[page] = {}
    myst_nb.glue = lambda name, value, display=True, shown=shown: shown.update({name: value})
    cells = jupytext.read(Path(sys.argv[1], "book", page + ".md"), fmt="md:myst").cells
    code = "\\n".join(cell.source for cell in cells if cell.cell_type == "code")
    with redirect_stdout(io.StringIO()):
        exec(compile(code, page, "exec"), {"__name__": "page", "display": print})
print(json.dumps(found))
"""
GLUED = re.compile(
    r"\{glue:text\}`(\w+)(?::([^`]+))?`(?:\s(" + "|".join(map(re.escape, UNITS)) + r")(?!\w))?"
)


def run(tree):
    """Return what each page's code hands to its text: {page: {name: value}}."""
    done = subprocess.run(
        [sys.executable, "-c", RUN, str(tree), *FOLLOWS], capture_output=True, text=True,
        env={**os.environ, "PYTHONPATH": str(tree / "book")},
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout)


def text(page):
    return (ROOT / "book" / f"{page}.md").read_text(encoding="utf-8")


def shown(page, values):
    """Return how each number from a page's code is read: {(name, as written): "541 N"}."""
    return {
        (found[1], found[0]): f"{values[found[1]]:{found[2] or ''}} {found[3] or ''}".strip()
        for found in GLUED.finditer(prose(page))
    }


@pytest.fixture(scope="module")
def before_and_after(tmp_path_factory):
    """Return what the pages show with the handbook as it is, and with the changed one."""
    tree = tmp_path_factory.mktemp("changed")
    shutil.copytree(ROOT / "book", tree / "book",
                    ignore=shutil.ignore_patterns("_build", "_drawn", "__pycache__"))
    file = tree / "book" / "bandwork" / "data" / "handbook.csv"
    with file.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    changed = 0
    for row in rows:
        if row["key"] in TIMES:
            row |= {name: f"{float(row[name]) * TIMES[row['key']]:.9g}"
                    for name in ("value", "low", "high")}
            changed += 1
    assert changed == len(TIMES)
    with file.open("w", encoding="utf-8", newline="") as lines:
        writer = csv.DictWriter(lines, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    return run(ROOT), run(tree)


def stale(page, old, new):
    """Return the typed numbers of a page that are what it showed before the change."""
    now = shown(page, new)
    gone = [was.split(" ", 1) for place, was in shown(page, old).items() if was != now[place]]
    gone_with_unit = {f"{float(one[0]):g} {one[1]}" for one in gone if len(one) == 2}
    return gone_with_unit & {number for _, number in typed(page)}


@pytest.mark.course
@pytest.mark.parametrize("page", FOLLOWS)
def test_a_page_follows_the_handbook(before_and_after, page):
    old, new = (one[page] for one in before_and_after)
    was, now = shown(text(page), old), shown(text(page), new)
    followed = {place[0] for place in was if was[place] != now[place]}
    assert followed >= set(FOLLOWS[page])
    for name, factor in FOLLOWS[page].items():
        if factor:
            assert new[name] == pytest.approx(factor * old[name], rel=1e-6), name
    assert stale(text(page), old, new) == set()


@pytest.mark.course
def test_a_number_that_stays_behind_is_found(before_and_after):
    old, new = (one["setup/check"] for one in before_and_after)
    page = f"# Title\n\nIt pulls {{glue:text}}`kgf:.1f` kgf.\n\nThat is {old['kgf']:.1f} kgf.\n"
    assert stale(page, old, new) == {f"{round(old['kgf'], 1):g} kgf"}
