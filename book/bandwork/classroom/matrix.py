"""What each item teaches, where it is explained, and what it is held against."""

from dataclasses import dataclass, fields

from bandwork.classroom.items import UNITS, exercise


@dataclass(frozen=True)
class Row:
    """One item in the instructors' matrix.

    Attributes
    ----------
    unit : str
        Which exercise.
    number : str
        Its place in the notebook, from 1.
    goal : str
        What a learner can do then.
    page : str
        The book's page, as "stretch/notch".
    page_title : str
        Its title.
    item : str
        What the item asks for.
    points : str
        Full marks.
    outside : str
        The published check beneath it, as "stretch::NAME" in tests/outside.
    slips : str
        Names of the slips that its check knows.
    safety : str
        The safety point of its page.
    """

    unit: str
    number: str
    goal: str
    page: str
    page_title: str
    item: str
    points: str
    outside: str
    slips: str
    safety: str

    @property
    def empty(self) -> tuple[str, ...]:
        """Names of the cells with nothing in them."""
        return tuple(one.name for one in fields(self) if not getattr(self, one.name).strip())


def matrix() -> list[Row]:
    """Return the matrix, item by item in the order of the course.

    Returns
    -------
    list of Row
    """
    rows = []
    for unit in UNITS:
        asked = exercise(unit)
        for number, item in enumerate(asked.items, start=1):
            rows.append(Row(unit, str(number), item.goal, item.page, asked.pages[item.page],
                            item.title, f"{item.points:g}", item.outside,
                            ", ".join(slip.name for slip in item.slips),
                            asked.safety[item.page]))
    return rows


def counts() -> dict[str, tuple[int, float, int]]:
    """Return how much each exercise holds.

    Returns
    -------
    dict of str to (int, float, int)
        Exercise -> items that are checked by machine, their points, named slips.
    """
    found: dict[str, tuple[int, float, int]] = {}
    for unit in UNITS:
        items = exercise(unit).items
        found[unit] = (len(items), sum(item.points for item in items),
                       sum(len(item.slips) for item in items))
    return found
