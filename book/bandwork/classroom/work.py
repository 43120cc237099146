"""What a learner's notebook calls: the numbers, and the check of an answer."""

import math
import os
import sys
import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from bandwork.classroom.checks import Exercise, Item, Outcome
from bandwork.classroom.items import exercise
from bandwork.classroom.learner import GUEST, Numbers, Sentence, tidy_id
from bandwork.validation import InputError

LEARNER_VARIABLE = "BANDWORK_LEARNER"
"""Environment variable in which the grader says whose notebook it runs."""


class NotYet(Sentence, AssertionError):  # noqa: N818 - a learner reads this name
    """An answer that earns no marks yet."""

    def _render_traceback_(self) -> list[str]:
        return textwrap.wrap(f"Not yet. {self}", 88)


class RefusedError(Sentence, InputError):
    """An exercise or an id that is refused."""


def verdict(item: Item, outcome: Outcome) -> tuple[str, float | None]:
    """Return what a check says of an answer, and its points unless it earns them all.

    Parameters
    ----------
    item : Item
        What was asked.
    outcome : Outcome
        Of `Exercise.judge`.

    Returns
    -------
    str
        Lines to print.
    float or None

    Raises
    ------
    NotYet
        If the answer earns no marks yet.
    """
    if outcome.passed:
        return f"✓ {outcome.message}", None
    points = math.floor(2 * item.points * outcome.share) / 2
    if not points:
        raise NotYet(outcome.message)
    return "\n".join(textwrap.wrap(
        f"Not yet. {outcome.message} So far this earns {points:g} of {item.points} points:", 88,
        break_on_hyphens=False, break_long_words=False)), points


class Work:
    """One learner's work on one exercise.

    Parameters
    ----------
    unit : str
        The exercise's name, such as "stretch".
    learner_id : str
        The id that your instructor gave you, or any name you keep to.
    numbers_of : str
        Whose numbers to work with: a class that computes together has common ones. Your own
        unless it is given.

    Attributes
    ----------
    my : Numbers
        The learner's own numbers, by name.

    Raises
    ------
    RefusedError
        If there is no such exercise, or the id is not an id.
    """

    def __init__(self, unit: str, learner_id: str, numbers_of: str = "") -> None:
        self.unit = unit
        try:
            self._exercise: Exercise = exercise(unit)
            self.learner = tidy_id(learner_id)
            self.my: Numbers = self._exercise.numbers(numbers_of or self.learner)
        except InputError as problem:
            raise RefusedError(str(problem)) from None
        self._common = numbers_of

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><td style='text-align:left'><code>my.{name}</code></td>"
            f"<td style='text-align:left'>{_plain(value)}</td>"
            f"<td style='text-align:left'>{meaning}</td></tr>"
            for name, value, meaning in self._exercise.table(self.my))
        return (f"<p>{self._heading()}</p><table><thead><tr><th>write</th><th>value</th>"
                f"<th>what it is</th></tr></thead><tbody>{rows}</tbody></table>")

    def __repr__(self) -> str:
        rows = [f"  my.{name} = {_plain(value)}  {meaning}"
                for name, value, meaning in self._exercise.table(self.my)]
        return "\n".join([self._heading(), *rows])

    def _heading(self) -> str:
        note = ""
        expected = os.environ.get(LEARNER_VARIABLE)
        if expected and tidy_id(expected) != self.learner:
            note = f" Handed in by {tidy_id(expected)!r}."
        elif self.learner == GUEST:
            note = " Write your own id in the cell above before you hand in."
        if self._common:
            note = f" The whole class has those of {self._common!r}.{note}"
        return f"Numbers of {self.learner!r}.{note}"

    def check(self, item: str, *, at: Sequence[float] | None = None) -> float | None:
        """Check one answer: print what is right, or say what is not right yet.

        The answer is the notebook's variable that the item asks for; so are the earlier answers
        that it builds on.

        Parameters
        ----------
        item : str
            The item's name.
        at : sequence of float, optional
            Inputs to try a function at.

        Returns
        -------
        float or None
            The points of an answer of which a part is right; nothing if it is right as a whole,
            which earns them all.

        Raises
        ------
        NotYet
            If the answer earns no marks yet; the sentence says why.
        """
        notebook = sys._getframe(1).f_globals
        asked = self._exercise.item(item)
        answer = notebook.get(asked.variable)
        said, points = verdict(asked, self._exercise.judge(
            item, answer, self.my, self.earlier(item, notebook), at))
        print(said)
        return points

    def earlier(self, item: str, notebook: Mapping[str, Any]) -> dict[str, Any]:
        """Return the learner's answers to the items that this one builds on, and those before them.

        Parameters
        ----------
        item : str
            The item's name.
        notebook : mapping of str to object
            The notebook's variables.

        Returns
        -------
        dict of str to object
            By the items' names.
        """
        return {name: notebook.get(self._exercise.item(name).variable)
                for name in self._exercise.below(item)}


def _plain(value: Any) -> str:
    if isinstance(value, tuple):
        return "(" + ", ".join(f"{one:g}" for one in value) + ")"
    return f"{value:g}"
