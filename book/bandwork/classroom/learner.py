"""The learner's own numbers: drawn from the learner's id, seldom alike for two people."""

import hashlib
import textwrap
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from bandwork.validation import InputError, nearest

GUEST = "guest"
"""The id that stands in a fresh notebook: good for looking round, not for handing in."""
MOST_BYTES = 200
"""Of an id, as it becomes a folder's name and part of a file's, which may have 255."""
LEARNER_CELL = "learner_id"
"""nbgrader's name of the cell in which a learner writes the id."""


class Sentence:
    """Makes an exception show in a notebook as its sentence alone, without a traceback."""

    def _render_traceback_(self) -> list[str]:
        return textwrap.wrap(str(self), 88)


class NoSuchNumberError(Sentence, AttributeError):
    """A name after `my.` that is none of the learner's numbers."""


def tidy_id(learner_id: Any) -> str:
    """Return a learner's id in the one form that numbers are drawn from.

    Parameters
    ----------
    learner_id : str
        As written by the learner: capitals, accents' encoding and blanks at the ends do not
        matter.

    Returns
    -------
    str
        Lower case, 1 to 64 letters, digits, dots, dashes or underscores, a letter or digit first.

    Raises
    ------
    InputError
        If it is no text, empty, too long or holds other characters.
    """
    if not isinstance(learner_id, str):
        raise InputError(f"learner_id is {learner_id!r}; write your id between quotes, such as "
                         f'learner_id = "{GUEST}".')
    text = unicodedata.normalize("NFKC", learner_id).strip().casefold()
    if len(text) > 64 or len(text.encode("utf-8", "replace")) > MOST_BYTES \
            or not all(c.isalnum() or c in "._-" for c in text) or not text[:1].isalnum():
        raise InputError(f"learner_id is {learner_id[:70]!r}; accepted are 1 to 64 letters (fewer "
                         "of rare scripts), digits, dots, dashes and underscores, without spaces, "
                         "a letter or digit first.")
    return text


def id_or_nothing(name: str) -> str:
    """Return the id that a name stands for.

    Parameters
    ----------
    name : str
        Such as a folder's.

    Returns
    -------
    str
        As `tidy_id`; "" if it is no id.
    """
    try:
        return tidy_id(name)
    except InputError:
        return ""


def printable(name: str) -> str:
    """Return a name as it can be shown and kept, whatever is in it.

    Parameters
    ----------
    name : str
        Such as a file's.

    Returns
    -------
    str
        With a question mark for each sign that is none or turns the text around.
    """
    return "".join(one if one.isprintable() else "?" for one in name)


@dataclass(frozen=True)
class Draw:
    """One number of an exercise that differs from learner to learner.

    Parameters
    ----------
    name : str
        Ends in its unit: "barrel_cm".
    meaning : str
        What it is, for the table in the notebook; "" keeps it out of that table.
    choices : sequence of float
        The workshop values it may take, all equally likely.
    """

    name: str
    meaning: str
    choices: Sequence[float]


def _hashed(*parts: str) -> int:
    text = "\x1f".join(parts)
    return int.from_bytes(hashlib.sha256(text.encode("utf-8")).digest()[:8], "big")


def draw(learner_id: str, exercise: str, version: str, parameter: Draw) -> float:
    """Return one learner's value of one parameter.

    The value depends on the id, the exercise, its version and the parameter's name alone, so a
    parameter that is added moves no other.

    Parameters
    ----------
    learner_id : str
        Tidied here.
    exercise, version : str
        Of which exercise; a new version gives everybody new numbers.
    parameter : Draw
        What to draw.

    Returns
    -------
    float
        One of `parameter.choices`.

    Raises
    ------
    InputError
        If the id is not an id.
    """
    index = _hashed(tidy_id(learner_id), exercise, version, parameter.name)
    return parameter.choices[index % len(parameter.choices)]


class Numbers(Mapping[str, Any]):
    """A learner's numbers: by name as attributes (`my.barrel_cm`) or as in a dictionary.

    A row of numbers is an array as an attribute, so that a learner can compute with it at once.

    Parameters
    ----------
    values : mapping of str to object
        The numbers by name.
    called : str
        What the notebook calls them.
    """

    def __init__(self, values: Mapping[str, Any], called: str = "my") -> None:
        self._values = dict(values)
        self._called = called

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)
        try:
            value = self._values[name]
        except KeyError:
            listed = ("the table at the top of the notebook has them all" if self._called == "my"
                      else f"there are {', '.join(self._values)}")
            near = nearest(name, self._values, 1)
            meant = f" (nearest: {near})" if near in self._values else ""
            raise NoSuchNumberError(f"there is no number {self._called}.{name}{meant}; "
                                    f"{listed}.") from None
        return np.array(value) if isinstance(value, tuple) else value

    def __getitem__(self, name: str) -> Any:
        return self._values[name]

    def __iter__(self) -> Any:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)
