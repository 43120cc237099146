"""The checks: one function judges an answer while the learner works and again at grading.

An answer is looked at in steps: is it there, is it a number (or a row of numbers, a function, a
plot), is it finite, is it the value within the tolerance that the notebook states; if not, is it
one of the slips that people make? The message names the slip and never the value.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from numbers import Real
from typing import Any

import numpy as np

from bandwork.classroom.learner import Draw, Numbers, Sentence, draw, tidy_id
from bandwork.validation import FloatArray, InputError, nearest

Answers = Callable[[Numbers], Any]


DOTS = "some dots are still there"
"""What is said where an answer is missing on which something else rests."""
NOUGHT = 1e-30
"""Of what rightly follows, relative [1]: less is a nought, and no slip makes so little."""
NO_GO = ValueError, ArithmeticError, TypeError
"""What computing with a learner's earlier answers may end in."""
MOST_CURVES = 12
"""On a plot that is judged: with enough of them one is bound to lie where it should."""
WRONG_UNIT = "the digits are right, the decimal point is not: look at the units."
"""How the check of any item begins to speak of an answer that is off by a power of ten."""


class AnswerError(ValueError):
    """An answer that cannot be judged; the message says why in one sentence."""


class StoppedError(Sentence, Exception):
    """Why a learner's function stopped, in plain words already."""


@dataclass(frozen=True)
class Slip:
    """A mistake that people make, as code that makes the wrong answer from the right inputs.

    Parameters
    ----------
    name : str
        Short, for the class report: "bore forgotten".
    message : str
        One or two sentences for the learner that name the slip and not the answer.
    wrong : callable
        Numbers -> the wrong answer.
    """

    name: str
    message: str
    wrong: Answers


@dataclass(frozen=True)
class Item:
    """One graded item of an exercise.

    Parameters
    ----------
    key : str
        Its name in the notebook and in the report.
    title : str
        What it asks for, in a few words.
    variable : str
        The name that the learner fills in.
    unit : str
        Of the answer; "" for a pure number.
    points : int
        Full marks.
    page : str
        The page of the book to read again, as "stretch/notch".
    right : callable
        Numbers -> the right answer, computed by the library. The numbers hold the answers to the
        items in `uses` too, under their keys.
    slips : tuple of Slip
        Looked for in this order.
    tolerance : float
        Largest relative difference that still counts as right [1].
    uses : tuple of str
        Keys of earlier items whose answers this one builds on. The learner's own earlier answers
        count, so an early slip does not cost marks twice.
    goal : str
        What the learner can do then, for the instructors' matrix: "Work out ...".
    outside : str
        The test in tests/outside that holds the computation against a published value, as
        "stretch::NAME", with the name of a test or of a row in one of its tables.
    """

    key: str
    title: str
    variable: str
    unit: str
    points: int
    page: str
    right: Answers
    slips: tuple[Slip, ...]
    tolerance: float = 0.01
    uses: tuple[str, ...] = ()
    goal: str = ""
    outside: str = ""

    @property
    def tolerance_in_words(self) -> str:
        """How close is close enough, as the notebook states it."""
        return f"within {self.tolerance * 100:g} %"

    def accept(self, answer: Any, numbers: Numbers, at: Sequence[float] | None) -> Any:
        """Return the answer in the form that `same` compares, or raise `AnswerError`."""
        return accept_number(answer)

    def value(self, answer: Any, numbers: Numbers) -> Any:
        """Return a learner's answer in the form that later items use, or raise `AnswerError`."""
        return self.accept(answer, numbers, None)

    def same(self, one: Any, other: Any) -> bool:
        """Return whether two accepted answers agree within the tolerance."""
        a, b = np.asarray(one, dtype=float), np.asarray(other, dtype=float)
        if a.shape != b.shape:
            return False
        return bool(np.all(np.abs(a - b) <= self.tolerance * np.abs(b)))

    def shows(self, answer: Any, wrong: Any, right: Any) -> bool:
        """Return whether the answer shows the slip that leads to `wrong`."""
        return self.same(answer, wrong)

    def made(self, make: Answers, known: Numbers, at: Sequence[float] | None) -> Any:
        """Return an answer of ours; None where the learner's earlier answers allow none."""
        try:
            return self.accept(make(known), known, at)
        except NO_GO:
            return None

    def follows(self, known: Numbers, at: Sequence[float] | None) -> FloatArray | None:
        """Return the right answer as plain numbers; None if it has none."""
        right = self.made(self.right, known, at)
        return None if right is None else np.atleast_1d(right)

    def passes(self, answer: Any, known: Numbers, at: Sequence[float] | None) -> bool:
        """Return whether an accepted answer is right."""
        right = self.made(self.right, known, at)
        return right is not None and self.same(answer, right)

    def slip_in(self, answer: Any, known: Numbers, at: Sequence[float] | None) -> Slip | None:
        """Return the slip that an accepted, wrong answer shows; None if we know none."""
        right = self.made(self.right, known, at)
        for slip in self.slips:
            wrong = self.made(slip.wrong, known, at)
            if right is not None and wrong is not None and self.shows(answer, wrong, right):
                return slip
        if right is not None and self.scale(answer, right):
            return Slip("wrong unit", f"{WRONG_UNIT} The answer is wanted in "
                        f"{self.unit or 'plain numbers'}.", self.right)
        return None

    def good_parts(self, answer: Any, known: Numbers, at: Sequence[float] | None) -> list[int]:
        """Return which parts of a wrong answer are right, counted from 1."""
        return []

    @property
    def parts(self) -> int:
        """How many parts an answer has."""
        return 1

    def scale(self, answer: Any, right: Any) -> bool:
        """Return whether the answer is the right one times a power of ten: a wrong unit."""
        a, b = np.atleast_1d(answer).astype(float), np.atleast_1d(right).astype(float)
        if a.shape != b.shape or (a * b <= 0).any():
            return False
        power = np.log10(a / b)
        step = np.round(power[0])
        return bool(step != 0 and np.all(np.abs(power - step) < self.tolerance / 2.3))


@dataclass(frozen=True)
class RowItem(Item):
    """An item whose answer is several numbers in a row: a pair, an interval, a table's column."""

    length: int = 2

    def accept(self, answer: Any, numbers: Numbers, at: Sequence[float] | None) -> Any:
        """Return an array of `length` numbers."""
        return accept_row(answer, self.length)

    def good_parts(self, answer: Any, known: Numbers, at: Sequence[float] | None) -> list[int]:
        """Return which numbers of the row are right, counted from 1."""
        right = self.made(self.right, known, at)
        return [] if right is None else self.agreeing(answer, right)

    def agreeing(self, one: Any, other: Any) -> list[int]:
        """Return in which places two rows agree, counted from 1."""
        return [place for place, (a, b) in enumerate(zip(one, other, strict=True), start=1)
                if self.same(a, b)]

    def slip_in(self, answer: Any, known: Numbers, at: Sequence[float] | None) -> Slip | None:
        """Return the slip that the row shows, or one that shows in all the places it changes."""
        found, right = super().slip_in(answer, known, at), self.made(self.right, known, at)
        if found is not None or right is None:
            return found
        for slip in self.slips:
            wrong = self.made(slip.wrong, known, at)
            if wrong is not None:
                changed = {*range(1, self.parts + 1)} - {*self.agreeing(wrong, right)}
                if changed and changed <= {*self.agreeing(answer, wrong)}:
                    return slip
        return None

    @property
    def parts(self) -> int:
        """How many numbers the row has."""
        return self.length


@dataclass(frozen=True)
class IntervalItem(RowItem):
    """An item whose answer is an interval, low end first.

    The tolerance is a share of the interval's own width, so that a doubt that is off is seen
    however large the value is that it belongs to.
    """

    def same(self, one: Any, other: Any) -> bool:
        """Return whether both ends agree within a share of the other's width."""
        a, b = np.asarray(one, dtype=float), np.asarray(other, dtype=float)
        return bool(np.all(np.abs(a - b) <= self.tolerance * abs(b[1] - b[0])))

    def agreeing(self, one: Any, other: Any) -> list[int]:
        """One end alone is no interval."""
        return []


@dataclass(frozen=True)
class FunctionItem(Item):
    """An item whose answer is a function of one number.

    `right` and each slip give a function too. The check calls both at `inputs`; hidden checks
    call them at other inputs.
    """

    inputs: Callable[[Numbers], Sequence[float]] = field(default=lambda numbers: (1.0,))

    def accept(self, answer: Any, numbers: Numbers, at: Sequence[float] | None) -> Any:
        """Return the values of the function at the inputs, as an array."""
        refuse_unanswered(answer)
        if not callable(answer):
            raise AnswerError(f"{self.variable} is not a function any more; keep the line that "
                              "begins with def.")
        values = []
        for x in self.inputs(numbers) if at is None else at:
            try:
                value = answer(float(x))
            except Exception as problem:
                where = f"at {x:g}" if at is None else "at a number not tried before"
                raise AnswerError(f"your function stopped {where}: {in_plain_words(problem)}."
                                  ) from problem
            if value is None:
                raise AnswerError("your function gives nothing back; keep its last line, the one "
                                  "with return.")
            values.append(accept_number(value, "your function's result"))
        return np.array(values)

    def value(self, answer: Any, numbers: Numbers) -> Any:
        """Return the learner's function, if it gives numbers."""
        self.accept(answer, numbers, None)
        return _numeric(answer)

    def slip_in(self, answer: Any, known: Numbers, at: Sequence[float] | None) -> Slip | None:
        """Return the slip that the function shows, or that it gives the same everywhere."""
        found = super().slip_in(answer, known, at)
        if found is None and _level(answer):
            return Slip("the same everywhere", "your function gives the same whatever goes in; use "
                        "the name in the brackets of its first line.", self.right)
        return found


def _level(values: FloatArray) -> bool:
    return len(values) > 1 and bool(np.ptp(values) <= 1e-12 * abs(values[0]))


@dataclass(frozen=True)
class ChoiceItem(Item):
    """An item answered with letters, such as "AC"; the order does not matter."""

    letters: str = "ABCDE"

    def accept(self, answer: Any, numbers: Numbers, at: Sequence[float] | None) -> Any:
        """Return the letters in capitals, sorted, each once."""
        refuse_unanswered(answer)
        parts = [answer] if isinstance(answer, str) else answer
        if not isinstance(parts, (list, tuple, set)) or not all(
                type(part) is str for part in parts):
            raise AnswerError('answer with letters between quotes, such as "AC".')
        chosen = set("".join(parts).upper()) - set(" ,;./")
        if not chosen:
            raise AnswerError("not answered yet.")
        if not chosen <= set(self.letters):
            raise AnswerError(f"only the letters {self.letters} are there to choose from.")
        return "".join(sorted(chosen))

    def same(self, one: Any, other: Any) -> bool:
        """Return whether the same letters were chosen."""
        return bool(one == other)

    def shows(self, answer: Any, wrong: Any, right: Any) -> bool:
        """Return whether the letters that the slip adds or leaves out are so in the answer."""
        return set(wrong) ^ set(right) <= set(answer) ^ set(right)

    def scale(self, answer: Any, right: Any) -> bool:
        """Letters have no unit."""
        return False


@dataclass(frozen=True)
class FaultItem(Item):
    """An item with many right answers, judged by the first fault that is found in one.

    `right` and each slip make an answer; the slips are called like the faults.

    Parameters
    ----------
    faults : callable
        (answer in the form that the kind of item reads it, numbers) -> name of the first fault,
        "" if there is none.
    """

    faults: Callable[[Any, Numbers], str] = field(default=lambda answer, numbers: "")

    def read(self, answer: Any) -> Any:
        """Return the answer in the form that `faults` takes, or raise `AnswerError`."""
        raise NotImplementedError

    def accept(self, answer: Any, numbers: Numbers, at: Sequence[float] | None) -> Any:
        """Return the name of the answer's first fault, "" if there is none."""
        return self.faults(self.read(answer), numbers)

    def follows(self, known: Numbers, at: Sequence[float] | None) -> FloatArray | None:
        """Return None: any of many answers is right."""
        return None

    def passes(self, answer: Any, known: Numbers, at: Sequence[float] | None) -> bool:
        """Return whether no fault was found."""
        return bool(answer == "")

    def slip_in(self, answer: Any, known: Numbers, at: Sequence[float] | None) -> Slip | None:
        """Return the slip that is called like the first fault."""
        return next((slip for slip in self.slips if slip.name == answer), None)


@dataclass(frozen=True)
class DesignItem(FaultItem):
    """An item whose answer is a design: any that keeps within the limits is right.

    `faults` takes a tuple with a capital letter or a float for each field, and evaluates the
    design with the library. It may raise `InputError`: its sentence is what the learner reads.

    Parameters
    ----------
    asks : tuple of (str, str)
        What each field of the row is, and the letters that it may be, as on a shelf; "" where a
        number is wanted.
    """

    asks: tuple[tuple[str, str], ...] = (("the answer", ""),)

    def read(self, answer: Any) -> Any:
        """Return a tuple of letters and numbers."""
        refuse_unanswered(answer)
        fields = [answer] if len(self.asks) == 1 and type(answer) not in (list, tuple) else answer
        if type(fields) not in (list, tuple, np.ndarray) or len(fields) != len(self.asks):
            raise AnswerError(f"give {', '.join(name for name, _ in self.asks)}, in this order, "
                              "with commas between them and letters between quotes.")
        for one in fields:
            refuse_unanswered(one)
        return tuple(accept_letter(one, name, letters) if letters else accept_number(one, name)
                     for one, (name, letters) in zip(fields, self.asks, strict=True))

    def accept(self, answer: Any, numbers: Numbers, at: Sequence[float] | None) -> Any:
        """Return the name of the design's first fault, "" if there is none."""
        design = self.read(answer)
        try:
            return self.faults(design, numbers)
        except InputError as problem:
            raise AnswerError(f"with this design nothing can be worked out: {problem}") from None

    def value(self, answer: Any, numbers: Numbers) -> Any:
        """Return the learner's own design, with its faults, if it can be worked with at all."""
        self.accept(answer, numbers, None)
        return self.read(answer)


def accept_letter(answer: Any, name: str, letters: str) -> str:
    """Return `answer` as one capital letter out of `letters`, or raise `AnswerError`.

    Parameters
    ----------
    answer : object
        Text with one letter.
    name : str
        What to call it in the message.
    letters : str
        Those that may be chosen.

    Returns
    -------
    str

    Raises
    ------
    AnswerError
        For everything else.
    """
    if type(answer) is not str or len(answer.strip()) != 1 \
            or answer.strip().upper() not in letters:
        raise AnswerError(f"{name} wants one letter out of {letters}, between quotes, such as "
                          f'"{letters[0]}".')
    return answer.strip().upper()


@dataclass(frozen=True)
class PlotItem(FaultItem):
    """An item whose answer is a plot, such as measured points with a curve through them.

    `right` and each slip draw a plot and return its axes; `faults` takes what is `Drawn`.
    """

    def read(self, answer: Any) -> Any:
        """Return what is drawn."""
        refuse_unanswered(answer)
        drawn = answer if isinstance(answer, Drawn) else self._drawn(answer)
        if not drawn.curves and not drawn.x_label and not drawn.y_label:
            raise AnswerError("not answered yet; nothing is drawn.")
        if len(drawn.curves) > MOST_CURVES:
            raise AnswerError(f"there are {len(drawn.curves)} curves on your plot; draw only what "
                              f"is asked for, {MOST_CURVES} at most.")
        return drawn

    def follows(self, known: Numbers, at: Sequence[float] | None) -> FloatArray | None:
        """Return how far from nought the lines of a right plot go at most."""
        try:
            drawn = Drawn.on(self.right(known))
        except NO_GO:
            return None
        return np.array([np.abs(one).max(axis=0) for one in drawn.lines()])

    def _drawn(self, answer: Any) -> "Drawn":
        from matplotlib.axes import Axes

        if not isinstance(answer, Axes):
            raise AnswerError(f"{self.variable} is not a plot's axes; keep the line with "
                              "plt.subplots.")
        return Drawn.on(answer)


@dataclass(frozen=True)
class Drawn:
    """What a learner has drawn.

    Attributes
    ----------
    x_label, y_label : str
        The axes' labels, in lower case.
    curves : tuple of ndarray, shape (n, 2)
        Every line and every cloud of points, as columns x and y.
    """

    x_label: str
    y_label: str
    curves: tuple[FloatArray, ...]

    @classmethod
    def on(cls, axes: Any) -> "Drawn":
        """Read what is drawn on matplotlib axes.

        Parameters
        ----------
        axes : matplotlib.axes.Axes
            The learner's.

        Returns
        -------
        Drawn
        """
        lines = [np.column_stack(np.broadcast_arrays(line.get_xdata(), line.get_ydata()))
                 for line in axes.get_lines()]
        clouds = [np.asarray(cloud.get_offsets()) for cloud in axes.collections]
        return cls(axes.get_xlabel().casefold(), axes.get_ylabel().casefold(),
                   tuple(np.asarray(curve, dtype=float) for curve in lines + clouds))

    def has_points(self, x: Any, y: Any, tolerance: float = 0.02) -> bool:
        """Return whether these very points were drawn, in any order.

        Parameters
        ----------
        x, y : array_like, shape (n,)
            Where they belong.
        tolerance : float
            Largest relative difference [1].

        Returns
        -------
        bool
        """
        wanted = np.column_stack([x, y])
        wanted = wanted[np.argsort(wanted[:, 0])]
        return any(len(curve) == len(wanted)
                   and np.allclose(curve[np.argsort(curve[:, 0])], wanted, rtol=tolerance, atol=0)
                   for curve in self.curves)

    def lines(self, least: int = 20) -> list[FloatArray]:
        """Return the curves of many points, each sorted along x.

        Parameters
        ----------
        least : int
            How many points make a line.

        Returns
        -------
        list of ndarray, shape (n, 2)
        """
        return [curve[np.argsort(curve[:, 0], kind="stable")] for curve in self.curves
                if len(curve) >= least]

    def follows(self, law: Callable[[Any], Any], x: Any, tolerance: float,
                least: int = 3) -> bool:
        """Return whether one of the lines runs along a law.

        Parameters
        ----------
        law : callable
            x as an array -> y.
        x : array_like, shape (n,)
            Where to look; what lies outside a line is left out.
        tolerance : float
            Largest relative difference [1].
        least : int
            Of `x`, how many a line must reach.

        Returns
        -------
        bool
        """
        for line in self.lines():
            inside = np.array([one for one in np.asarray(x, dtype=float)
                               if line[0, 0] <= one <= line[-1, 0]])
            if len(inside) >= least and np.allclose(np.interp(inside, line[:, 0], line[:, 1]),
                                                    law(inside), rtol=tolerance, atol=1e-12):
                return True
        return False


@dataclass(frozen=True)
class Outcome:
    """What a check found.

    Attributes
    ----------
    item : str
        The item's key.
    passed : bool
        Whether it earns its marks.
    message : str
        For the learner.
    slip : str
        The slip's name; "" if right or not recognised.
    share : float
        Of the item's points, what the answer earns [1]; above 0 although it did not pass if some
        of the numbers in a row are right.
    """

    item: str
    passed: bool
    message: str
    slip: str = ""
    share: float = 0.0


def _listed(places: Sequence[int]) -> str:
    """Return "1", "1 and 3" or "1, 2 and 4"."""
    *first, last = map(str, places)
    return f"{', '.join(first)} and {last}" if first else last


def refuse_unanswered(answer: Any) -> None:
    """Raise `AnswerError` if nothing was answered, and say what to do.

    Parameters
    ----------
    answer : object
        None if the notebook does not hold it at all, `...` if it is as released.

    Raises
    ------
    AnswerError
        In both cases.
    """
    if answer is None:
        raise AnswerError("not answered yet; its cell was not run, or stopped with an error.")
    if answer is ...:
        raise AnswerError("not answered yet; put your own in place of the dots and run the cell.")


def in_plain_words(problem: Exception) -> str:
    """Return what stopped a learner's function, for somebody who does not program.

    Parameters
    ----------
    problem : Exception
        What Python raised.

    Returns
    -------
    str
        Without a full stop.
    """
    text = str(problem).rstrip(".")
    if isinstance(problem, Sentence):
        return text
    if isinstance(problem, UnboundLocalError):
        return "a name is used above the line that gives it a value"
    if isinstance(problem, NameError):
        if problem.name in ("work", "my", "np", "plt"):
            return (f"{text}; the cell just below learner_id makes it: run that first, and if it "
                    "is gone take a fresh copy")
        if problem.name and set(problem.name) <= set("ABCDEFG"):
            return f'{text}; letters stand between quotes, as "{problem.name}"'
        return f"{text}; perhaps it is misspelt, or wants my. before it"
    if isinstance(problem, InputError):
        return "a number far off comes out; look at units and brackets"
    for kind, sign, meaning in (
            (TypeError, "^", "squared is **2, not ^2"),
            (TypeError, "not callable", "a * is missing before a bracket"),
            (TypeError, "positional argument", "keep the line that begins with def as it was"),
            (TypeError, "function", "after a function's name, say in brackets what goes in"),
            (TypeError, "ellipsis", DOTS),
            (TypeError, "'tuple'", "a comma stands where a decimal point belongs"),
            (TypeError, "sequence", "a comma stands where a decimal point belongs"),
            (ValueError, "math domain",
             "a root or a logarithm is taken of a number that is not above zero"),
            (ValueError, "same first dimension",
             "the two rows in axes.plot are not of the same length"),
            (ZeroDivisionError, "", "something is divided by zero"),
            (OverflowError, "", "the number gets far too large; look at units and brackets")):
        if isinstance(problem, kind) and sign in text:
            return meaning
    return f"{type(problem).__name__}, {text}"


def accept_number(answer: Any, name: str = "the answer") -> float:
    """Return `answer` as a finite float, or raise `AnswerError` saying why not.

    Parameters
    ----------
    answer : object
        A Python or numpy number, a sympy expression without symbols, or an array that holds one
        number. Nothing that the object says of itself (its `==`, its `float`) is trusted.
    name : str
        What to call it in the message.

    Returns
    -------
    float

    Raises
    ------
    AnswerError
        For everything else.
    """
    refuse_unanswered(answer)
    kind = type(answer)
    module = kind.__module__.partition(".")[0]
    if kind is bool or kind is np.bool_:
        raise AnswerError(f"{name} is True or False; a number is wanted.")
    if kind is str:
        raise AnswerError(f"{name} is text; give a number without quotes and without a unit.")
    if kind is np.ndarray and answer.size == 1 and answer.dtype.kind in "iuf":
        value = float(answer.reshape(-1)[0])
    elif module == "sympy":
        if not getattr(answer, "is_number", False):
            raise AnswerError(f"{name} still holds a symbol; put your numbers in.")
        if getattr(answer, "is_extended_real", None) is False:
            raise AnswerError(f"{name} is a complex number; a real one is wanted.")
        value = float(answer)
    elif kind in (int, float) or (module in ("numpy", "fractions", "decimal")
                                  and isinstance(answer, (Real, np.number))
                                  and not isinstance(answer, np.complexfloating)):
        value = float(answer)
    elif callable(answer):
        raise AnswerError(f"{name} is a function; give the number that it returns.")
    elif kind is tuple:
        raise AnswerError(f"{name} is a row of numbers, perhaps from a comma; one number is "
                          "wanted, and decimals take a point.")
    elif kind in (list, np.ndarray):
        raise AnswerError(f"{name} is a row of numbers; one number is wanted.")
    else:
        raise AnswerError(f"{name} is a {kind.__name__}; a number is wanted.")
    if not math.isfinite(value):
        raise AnswerError(f"{name} is not a finite number; look for a division by zero.")
    return value


def _numeric(function: Callable[[float], Any]) -> Callable[[float], float]:
    """Return a learner's function that gives plain numbers or raises `AnswerError`."""
    def plain_number(x: float) -> float:
        try:
            return accept_number(function(float(x)))
        except Exception as problem:
            raise AnswerError(f"an earlier function stopped at {x:g}.") from problem
    return plain_number


def accept_row(answer: Any, length: int) -> FloatArray:
    """Return `answer` as an array of `length` finite floats, or raise `AnswerError`.

    Parameters
    ----------
    answer : object
        A list, a tuple or a numpy array of numbers.
    length : int
        How many there must be.

    Returns
    -------
    ndarray, shape (length,)

    Raises
    ------
    AnswerError
        For everything else.
    """
    refuse_unanswered(answer)
    if type(answer) not in (list, tuple, np.ndarray):
        kind = ("this is one number; " if isinstance(answer, Real)
                else "the answer is text; " if isinstance(answer, str)
                else "this is the function itself; say in brackets what goes in; "
                if callable(answer) else "")
        raise AnswerError(f"{kind}{length} numbers in a row are wanted.")
    values = list(answer.reshape(-1)) if type(answer) is np.ndarray else list(answer)
    if len(values) != length:
        there = "is 1 number" if len(values) == 1 else f"are {len(values)} numbers"
        raise AnswerError(f"there {there}; {length} are wanted, and decimals "
                          "take a point.")
    for value in values:
        refuse_unanswered(value)
    return np.array([accept_number(value, f"number {position} of your row")
                     for position, value in enumerate(values, start=1)])


def _noughts_for_work(own: FloatArray | None, plain: FloatArray | None) -> bool:
    """Return whether nothing or a nought follows from earlier answers where work is asked for."""
    if plain is None or own is None or own.shape != plain.shape:
        return own is None and plain is not None
    return bool(np.any(np.abs(own) < NOUGHT * np.abs(plain)))


@dataclass(frozen=True)
class Exercise:
    """One unit's exercise: what is drawn for each learner and what is asked.

    Parameters
    ----------
    key : str
        The unit's name.
    version : str
        A new version gives every learner new numbers.
    draws : tuple of Draw
        The numbers that differ from learner to learner.
    items : tuple of Item
        In the order of the notebook.
    pages : mapping of str to str
        The book's pages that the items send the learner to: file name without ending -> title.
    derive : callable
        (numbers drawn, learner's id) -> further numbers, such as a scale's readings.
    meanings : mapping of str to str
        What each derived number is, for the table in the notebook.
    safety : mapping of str to str
        Page -> the point of its safety section that an instructor brings up with its items.
    """

    key: str
    version: str
    draws: tuple[Draw, ...]
    items: tuple[Item, ...]
    pages: Mapping[str, str]
    derive: Callable[[Numbers, str], Mapping[str, Any]] = lambda numbers, learner: {}
    meanings: Mapping[str, str] = field(default_factory=dict)
    safety: Mapping[str, str] = field(default_factory=dict)

    def numbers(self, learner_id: str) -> Numbers:
        """Return the numbers of one learner.

        Parameters
        ----------
        learner_id : str
            The same id always gives the same numbers.

        Returns
        -------
        Numbers

        Raises
        ------
        InputError
            If the id is not an id.
        """
        learner = tidy_id(learner_id)
        drawn = Numbers({one.name: draw(learner, self.key, self.version, one)
                         for one in self.draws})
        return Numbers({**drawn, **self.derive(drawn, learner)})

    def table(self, numbers: Numbers) -> list[tuple[str, Any, str]]:
        """Return name, value and meaning of every number that the learner sees.

        Parameters
        ----------
        numbers : Numbers
            The learner's own.

        Returns
        -------
        list of (str, object, str)
        """
        meanings = {**{one.name: one.meaning for one in self.draws}, **self.meanings}
        return [(name, numbers[name], meaning) for name, meaning in meanings.items() if meaning]

    def item(self, key: str) -> Item:
        """Return the item called `key`.

        Parameters
        ----------
        key : str
            Its name.

        Returns
        -------
        Item

        Raises
        ------
        InputError
            If there is none; the message names the nearest.
        """
        for item in self.items:
            if item.key == key:
                return item
        raise InputError(f"There is no item {key!r} in this exercise; nearest: "
                         f"{nearest(key, [item.key for item in self.items])}.")

    def below(self, key: str) -> list[str]:
        """Return the items that one builds on, and those that these build on.

        Parameters
        ----------
        key : str
            The item's name.

        Returns
        -------
        list of str
            Each once.
        """
        found: dict[str, None] = {}
        for name in self.item(key).uses:
            found |= dict.fromkeys((name, *self.below(name)))
        return list(found)

    def right(self, key: str, numbers: Numbers) -> Any:
        """Return the right answer to an item, from right answers to the items it builds on.

        Parameters
        ----------
        key : str
            The item's name.
        numbers : Numbers
            The learner's own.

        Returns
        -------
        object
            A number, a row, a function, letters or a plot, as the item asks.
        """
        return self.item(key).right(self._known(key, numbers, {}))

    def wrong(self, key: str, slip: str, numbers: Numbers,
              earlier: Mapping[str, Any] | None = None) -> Any:
        """Return the answer of somebody who makes one slip and nothing else wrong.

        Parameters
        ----------
        key : str
            The item's name.
        slip : str
            The slip's name.
        numbers : Numbers
            The learner's own.
        earlier : mapping of str to object, optional
            The learner's answers to the items that this one builds on.

        Returns
        -------
        object
            As `right`.

        Raises
        ------
        InputError
            If the item has no such slip.
        """
        slips = {one.name: one for one in self.item(key).slips}
        if slip not in slips:
            raise InputError(f"The item {key!r} has no slip {slip!r}; nearest: "
                             f"{nearest(slip, slips)}.")
        return slips[slip].wrong(self._known(key, numbers, earlier or {}))

    def _known(self, key: str, numbers: Numbers, earlier: Mapping[str, Any]) -> Numbers:
        """Return the learner's numbers with the earlier answers that the item builds on.

        One that cannot be used is taken as right for what the learner has before it.
        """
        known = {**numbers}
        for name in self.item(key).uses:
            try:
                known[name] = self.item(name).value(earlier.get(name), numbers)
            except AnswerError:
                try:
                    known[name] = self.item(name).right(self._known(name, numbers, earlier))
                except NO_GO:
                    known[name] = self.right(name, numbers)
        return Numbers(known)

    def _first_wrong(self, key: str, numbers: Numbers, earlier: Mapping[str, Any]) -> int:
        """Return the place, counted from 1, of the first wrong answer below; 0 if there is none."""
        below = self.below(key) if earlier else []
        return next((place for place, one in enumerate(self.items, start=1)
                     if one.key in below and not isinstance(one, FaultItem)
                     and not self.judge(one.key, earlier.get(one.key), numbers, earlier).passed), 0)

    @np.errstate(all="ignore")
    def judge(self, key: str, answer: Any, numbers: Numbers,
              earlier: Mapping[str, Any] | None = None,
              at: Sequence[float] | None = None) -> Outcome:
        """Judge one answer.

        An answer that follows from the learner's own earlier answers is right, and so is one
        that follows from the right earlier answers. A slip is looked for in this order too.

        Parameters
        ----------
        key : str
            What was asked.
        answer : object
            What the learner gave.
        numbers : Numbers
            The learner's own.
        earlier : mapping of str to object, optional
            The learner's own answers to the items that this one builds on.
        at : sequence of float, optional
            Other inputs for a function's hidden check.

        Returns
        -------
        Outcome

        Raises
        ------
        InputError
            If there is no such item.
        """
        item = self.item(key)
        merits = [self._known(key, numbers, {})]
        if earlier:
            merits.insert(0, self._known(key, numbers, earlier))
        given: list[tuple[Any, Numbers]] = []
        stopped: Exception | None = None
        for known in merits:
            try:
                given.append((item.accept(answer, known, at), known))
            except AnswerError as problem:
                stopped = problem
            except NO_GO as problem:
                stopped = stopped or problem
        if stopped and not given:
            if isinstance(stopped, AnswerError):
                return Outcome(key, False, f"{item.title}: {stopped}")
            raise stopped
        own, plain = merits[0], merits[-1]
        by = next((known for one, known in reversed(given) if item.passes(one, known, at)), None)
        no_work = own is not plain and by is not plain and _noughts_for_work(
            item.follows(own, at), item.follows(plain, at))
        if no_work:
            given = [(one, known) for one, known in given if known is plain]
        elif by is not None:
            return Outcome(key, True, f"{item.title}: right.", share=1.0)
        reread = f" In the book: {self.pages.get(item.page, item.page)}."
        good = max((item.good_parts(one, known, at) for one, known in given), key=len)
        share = len(good) / item.parts
        so_far = (f" Right so far: number{'s' * (len(good) > 1)} {_listed(good)} of {item.parts}."
                  if good else "")
        if no_work:
            first = self._first_wrong(key, numbers, earlier or {})
            return Outcome(key, False, f"{item.title}: look at item {first} first: this one builds "
                           "on it, and nothing is left to work out with what it gives."
                           f"{so_far}{reread}", share=share)
        slip = next((slip for one, known in given if (slip := item.slip_in(one, known, at))), None)
        if slip:
            return Outcome(key, False, f"{item.title}: {slip.message}{so_far}{reread}", slip.name,
                           share)
        first = self._first_wrong(key, numbers, earlier or {})
        look = (f"Look at item {first} first: this one builds on it, and it is not right yet."
                if first else "Look at brackets, units and squares.")
        return Outcome(key, False, f"{item.title}: the value is off, and it is no slip that we "
                       f"know.{so_far} {look}{reread}", share=share)
