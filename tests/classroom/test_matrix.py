"""The matrix: no empty cell, and as many items and slips as the course promises."""

from bandwork.classroom.items import UNITS
from bandwork.classroom.matrix import counts, matrix
from bandwork.cli import main

COURSE = ("stretch", "launch", "trim", "flight", "line", "setup")


def test_no_cell_is_empty():
    rows = matrix()
    assert [(row.unit, row.number, row.empty) for row in rows if row.empty] == []
    assert len(rows) == sum(items for items, _, _ in counts().values())


def test_the_course_holds_what_it_promises():
    found = counts()
    units = {unit: found[unit] for unit in COURSE if unit in UNITS}
    items = sum(one[0] for one in units.values()) + len(units)
    slips = sum(one[2] for one in units.values())
    print(f"{len(units)} units: {items} graded items, {len(units)} of them in words; {slips} slips")
    assert items >= 11.5 * len(units)
    assert slips >= 50 * len(units)


def test_one_command_prints_the_counts(capsys):
    assert main(["matrix"]) == 0
    told = capsys.readouterr().out
    for unit, (items, _, slips) in counts().items():
        line = next(row for row in told.splitlines() if row.strip().startswith(unit))
        assert line.split()[1] == str(items)
        assert line.split()[-2] == str(slips)
    assert "together" in told
