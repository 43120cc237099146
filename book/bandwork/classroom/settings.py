"""What an instructor decides about a class: one text file, `class.toml`, in the class's folder.

    title = "Club evening, autumn"
    common_numbers = ""             # a name: everybody gets the numbers of that name
    learners = ["ada", "bo"]        # who should hand in

    [due]                           # in UTC
    stretch = 2026-11-20T20:00:00

    [late]
    free_hours = 1                  # nobody is late before
    per_day = 10                    # per cent of the score for each day that is begun
    most = 50                       # per cent

    [more_hours]                    # for one learner, on every exercise
    ada = 48

    [table]                         # columns for a learning platform: heading -> what
    "User ID" = "learner"
    "Exercise" = "exercise"
    "Grade" = "score"

Everything may be left out.
"""

import math
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from bandwork.classroom.items import UNITS
from bandwork.classroom.learner import id_or_nothing, tidy_id
from bandwork.validation import InputError, nearest

FILE = "class.toml"
TABLE = ("learner", "exercise", "score", "max", "percent", "penalty", "hours_late", "handed_in",
         "to_mark_by_hand")
"""What a column of the exported table may hold."""
_KNOWN = {"": ("title", "common_numbers", "learners", "due", "late", "more_hours", "table"),
          "due": UNITS, "late": ("free_hours", "per_day", "most")}


@dataclass(frozen=True)
class ClassSettings:
    """An instructor's decisions about one class.

    Attributes
    ----------
    title : str
        Heads the reports.
    common_numbers : str
        If not empty, everybody works with the numbers of this name, as a class that computes
        together wants it.
    learners : tuple of str
        Everybody who should hand in; empty if that is not known.
    due : mapping of str to datetime
        Exercise -> when it is due, in UTC without time zone.
    free_hours : float
        Nobody is late before these are over [h].
    per_day : float
        Taken off for each day that is begun after that [per cent of the score].
    most : float
        That is ever taken off [per cent of the score].
    more_hours : mapping of str to float
        Learner -> hours more than the others have, on every exercise [h].
    table : mapping of str to str
        Heading -> one of `TABLE`, for the exported table.
    """

    title: str = ""
    common_numbers: str = ""
    learners: tuple[str, ...] = ()
    due: Mapping[str, datetime] = field(default_factory=dict)
    free_hours: float = 0.0
    per_day: float = 0.0
    most: float = 100.0
    more_hours: Mapping[str, float] = field(default_factory=dict)
    table: Mapping[str, str] = field(default_factory=lambda: {name: name for name in TABLE})

    def hours_late(self, learner: str, hours: float) -> float:
        """Return by how many hours a learner is late, who handed in so long after the due time.

        Parameters
        ----------
        learner : str
            Who.
        hours : float
            After the exercise's due time [h]; negative before it.

        Returns
        -------
        float
            0 if in time [h].
        """
        free = self.free_hours + self.more_hours.get(id_or_nothing(learner), 0.0)
        return max(hours - free, 0.0)

    def penalty(self, learner: str, score: float, hours: float) -> float:
        """Return what a late submission loses.

        Parameters
        ----------
        learner : str
            Who.
        score : float
            What the answers earned [points].
        hours : float
            After the exercise's due time [h].

        Returns
        -------
        float
            To be taken off the score [points].
        """
        days = math.ceil(self.hours_late(learner, hours) / 24 - 1e-9)
        return score * min(self.per_day * days, self.most) / 100


def not_among(wanted: Iterable[str], found: Iterable[str]) -> list[str]:
    """Return the ids that are missing.

    Parameters
    ----------
    wanted : iterable of str
        Ids.
    found : iterable of str
        Names of learners, whether they are ids or not.

    Returns
    -------
    list of str
        In the order of `wanted`.
    """
    there = set(map(id_or_nothing, found))
    return [one for one in wanted if one not in there]


def read_settings(folder: Path) -> ClassSettings:
    """Return the settings of a class; the usual ones if it has no `class.toml`.

    Parameters
    ----------
    folder : Path
        The class.

    Returns
    -------
    ClassSettings

    Raises
    ------
    InputError
        If the file is no TOML, has a key that is not known, or a value of the wrong kind.
    """
    path = folder / FILE
    if not path.exists():
        return ClassSettings()
    try:
        given = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except UnicodeDecodeError:
        raise InputError(f"{path} is not in UTF-8; choose UTF-8 when you save it.") from None
    except tomllib.TOMLDecodeError as problem:
        raise InputError(f"{path} can't be read: {problem}. Text stands between straight quotes, "
                         "the name of a section in square brackets, a time as "
                         "2026-11-20T20:00:00.") from None
    _known(path, "", given)
    late = _section(path, given, "late")
    numbers = {key: _number(path, f"late.{key}", value) for key, value in late.items()}
    for key in ("per_day", "most"):
        if numbers.get(key, 0) > 100:
            raise InputError(f"{path}: late.{key} is {numbers[key]:g}; it is in per cent, up to "
                             "100.")
    table = _section(path, given, "table")
    for heading, what in table.items():
        if what not in TABLE:
            raise InputError(f"{path}: the column {heading!r} is to hold {what!r}; accepted are "
                             f"{', '.join(TABLE)}.")
    common = _text(path, given, "common_numbers")
    learners = given.get("learners", [])
    if not isinstance(learners, list):
        raise InputError(f"{path}: learners is {learners!r}; write ids between quotes, with "
                         'commas, in square brackets: ["ada", "bo"].')
    usual = ClassSettings()
    return ClassSettings(
        title=_text(path, given, "title"),
        common_numbers=tidy_id(common) if common else "",
        learners=tuple(dict.fromkeys(map(tidy_id, learners))),
        due={unit: _time(path, f"due.{unit}", when)
             for unit, when in _section(path, given, "due").items()},
        free_hours=numbers.get("free_hours", usual.free_hours),
        per_day=numbers.get("per_day", usual.per_day),
        most=numbers.get("most", usual.most),
        more_hours={tidy_id(learner): _number(path, f"more_hours.{learner}", hours)
                    for learner, hours in _section(path, given, "more_hours").items()},
        table=table or usual.table)


def _known(path: Path, place: str, given: Mapping[str, Any]) -> None:
    for key in given:
        if place in _KNOWN and key not in _KNOWN[place]:
            where = f" in [{place}]" if place else ""
            raise InputError(f"{path}: there is no setting {key!r}{where}; nearest: "
                             f"{nearest(key, _KNOWN[place])}.")


def _section(path: Path, given: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = given.get(name, {})
    if not isinstance(found, dict):
        raise InputError(f"{path}: {name} is {found!r}; it is a section: write [{name}] on a line "
                         "of its own, and the settings below it.")
    _known(path, name, found)
    return found


def _text(path: Path, given: Mapping[str, Any], name: str) -> str:
    found = given.get(name, "")
    if not isinstance(found, str):
        raise InputError(f"{path}: {name} is {found!r}; write text between quotes.")
    return found


def _number(path: Path, name: str, value: Any) -> float:
    if isinstance(value, dict):
        raise InputError(f"{path}: {name} is no number; write one, 0 or more, and put an id that "
                         "holds a dot between quotes.")
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 <= value < 1e5:
        raise InputError(f"{path}: {name} is {value!r}; write a number, 0 or more.")
    return float(value)


def _time(path: Path, name: str, value: Any) -> datetime:
    if not isinstance(value, datetime):
        raise InputError(f"{path}: {name} is {str(value)!r}; write day and time in UTC without "
                         "quotes, such as 2026-11-20T20:00:00.")
    try:
        return value.astimezone(UTC).replace(tzinfo=None) if value.tzinfo else value
    except OverflowError:
        raise InputError(f"{path}: {name} is {value}, at the end of the calendar; write the day "
                         "and time that are meant.") from None
