"""Every solution: right as it stands, right when written differently, wrong when mutated."""

import re
import warnings
from dataclasses import replace
from functools import cache
from importlib import import_module
from pathlib import Path

import pytest
from bandwork.classroom.checks import FunctionItem
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.learner import LEARNER_CELL, Numbers
from bandwork.classroom.notebooks import SOLUTION_BEGIN, SOLUTION_END, read_source
from bandwork.classroom.selfstudy import read_cells, run

from tests.classroom.another_way import stretch  # noqa: F401 - the folder is there
from tests.mutants import mutants

ROOT = Path(__file__).resolve().parents[2]
IDS = [f"learner-{number}" for number in range(50)]
ITEMS = [(unit, item.key) for unit in UNITS for item in exercise(unit).items]
LEAST_KILLED = 0.98


def other_ways(unit):
    return import_module(f"tests.classroom.another_way.{unit}")


@cache
def source(unit):
    return read_source(ROOT, unit)


def cell_of(unit, name):
    return next(cell for cell in source(unit).cells
                if cell.metadata.get("nbgrader", {}).get("grade_id") == name)


def hidden_inputs(unit, key):
    found = re.search(r"at=(\[[\d., ]+\])", cell_of(unit, f"check_{key}").source)
    return [float(one) for one in re.findall(r"[\d.]+", found.group(1))] if found else None


def solved(unit, learner):
    """Return the variables of a notebook solved with one id, and what its cells said."""
    names = {}
    cells = [replace(cell, source=cell.source.replace('"guest"', f'"{learner}"'))
             if cell.name == LEARNER_CELL else cell for cell in read_cells(source(unit))]
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        return names, list(run(cells, names))


@pytest.mark.parametrize("learner", IDS[:3])
@pytest.mark.parametrize("unit", UNITS)
def test_the_solution_runs_clean_and_passes_every_check(unit, learner):
    _, said = solved(unit, learner)
    assert [(one.name, one.problem) for one in said if one.problem] == []
    checks = [one for one in said if one.name.startswith("check_")]
    assert len(checks) == len(exercise(unit).items)
    assert all("right." in one.printed and one.value is None for one in checks)


@pytest.mark.parametrize(("unit", "key"), ITEMS)
def test_a_differently_written_right_answer_passes_for_fifty_ids(unit, key):
    asked = exercise(unit)
    another = getattr(other_ways(unit), key)
    for learner in IDS:
        my = asked.numbers(learner)
        known = Numbers({**my, **{name: asked.right(name, my) for name in asked.item(key).uses}})
        at = hidden_inputs(unit, key) if isinstance(asked.item(key), FunctionItem) else None
        outcome = asked.judge(key, another(known), my, at=at)
        assert outcome.passed, (learner, outcome.message)


@pytest.mark.parametrize("unit", UNITS)
def test_mutated_solutions_lose_marks(unit):
    """Change one sign, factor, exponent or constant of the solution: the check must tell.

    Each mutant is run for two ids in the notebook of somebody who did all else right.
    """
    asked = exercise(unit)
    tried, survivors = 0, []
    for learner in IDS[:2]:
        names, _ = solved(unit, learner)
        for item in asked.items:
            cell = cell_of(unit, item.key).source
            begin = cell.index(SOLUTION_BEGIN)
            first = cell[:begin].count("\n") + 1
            last = cell[:cell.index(SOLUTION_END)].count("\n") + 1
            for line, change, text in mutants(cell):
                if not first < line < last:
                    continue
                tried += 1
                space = dict(names)
                try:
                    with warnings.catch_warnings():
                        warnings.simplefilter("ignore")
                        exec(text, space)
                        earlier = space["work"].earlier(item.key, space)
                        passed = all(
                            asked.judge(item.key, space.get(item.variable), space["my"], earlier,
                                        at).passed
                            for at in (None, hidden_inputs(unit, item.key)))
                except Exception:
                    passed = False
                if passed:
                    survivors.append(f"{item.key}, line {line}: {change}, {learner}")
    print(f"{unit}: {tried} mutants, {len(survivors)} survive", *survivors, sep="\n  ")
    assert tried > 20
    assert len(survivors) <= (1 - LEAST_KILLED) * tried, "\n".join(survivors)
