"""The pure step: a notebook's bytes and limits in, the executed notebook's bytes out.

Two sides take part. Learners' code runs in the box and can do there what it likes with Python
itself, with the checks' code that it finds there and with what it says to this side. So this side
believes nothing but plain data, and uses it as what it claims to be: the learner's answers.

- A check cell is never run in the box, nor is its text sent there. The box says what the variables
  hold that the check looks at, as numbers, texts, rows, labels and points (`plain`).
- `Exercise.judge` judges these here, where no learner's code ever runs. A function is asked for its
  values one by one, before the notebook goes on; what comes back is again a number or a sentence.
  The hidden inputs are asked only when the notebook has run to its end and its outputs are closed,
  of a copy of the process as it was at the check, and what stops a function at one of them is told
  without the input and without the function's own words.
- The outputs of a check cell are written here, from the verdict. What the box says about cells is
  kept for the other cells alone, cut to size and without scripts.
- A check that was not reached, or whose answer did not come whole, carries an error.

So a learner's code can lie about the answers only: it gets the marks of what it gives.
"""

import ast
import contextlib
import functools
import itertools
import json
import re
import select
import signal
import socket
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict
from functools import partial
from typing import Any

import nbformat
import numpy as np
from nbformat import NotebookNode

from bandwork.classroom.checks import Exercise, StoppedError
from bandwork.classroom.engine.box import Box
from bandwork.classroom.engine.inside import KEEP, SECONDS_A_VALUE
from bandwork.classroom.engine.limits import Limits
from bandwork.classroom.engine.plain import MalformedError, unpack
from bandwork.classroom.items import exercise
from bandwork.classroom.learner import Numbers, tidy_id
from bandwork.classroom.work import NotYet, verdict
from bandwork.validation import InputError

ABOUT = "bandwork"
"""The key in a notebook's metadata that says whose it is and, afterwards, how the run went."""
LARGEST_MESSAGE = 16_000_000
SHOWN = ("text/plain", "text/html", "text/latex", "text/markdown", "image/png", "image/jpeg")
BASE64 = re.compile(r"[\w+/=\s]*", re.ASCII)
GRACE = 3.0
"""Seconds after which a cell that should have been stopped is stopped from outside."""
MOST_SECONDS_OF_VALUES = 60.0
SECONDS_A_VERDICT = 5.0
"""Of computing. A verdict takes some milliseconds; one that takes so long is a fault of ours."""
LOOK_EVERY = 0.2
TOO_LONG = "its functions take too long"


class CutShortError(Exception):
    """The notebook ended before its end; the message says why, without a full stop."""


class Line:
    """The judge's end of the channel to a running notebook.

    Parameters
    ----------
    channel : socket
        To the box.
    box : Box
        Whose memory is watched meanwhile.
    """

    def __init__(self, channel: socket.socket, box: Box) -> None:
        self._channel, self._box = channel, box
        self._held = bytearray()
        self._looked = time.monotonic()
        self._taken = 0
        self._asked = 0.0
        self._kept = 0
        self.broken = ""
        """Why nothing more can be asked; "" while all is well."""

    def send(self, message: Any) -> None:
        """Send one message."""
        body = json.dumps(message).encode()
        self._channel.settimeout(GRACE)
        try:
            self._channel.sendall(len(body).to_bytes(4, "big") + body)
        except OSError:
            raise CutShortError("it stopped Python itself") from None

    def receive(self, until: float, late: str) -> Any:
        """Return the next message.

        Parameters
        ----------
        until : float
            On the monotonic clock.
        late : str
            What is said if it has not come then.

        Returns
        -------
        object
            As it came; nothing is known about it.

        Raises
        ------
        CutShortError
            If none came, or the box holds too much memory, or says too much.
        """
        while True:
            if len(self._held) >= 4:
                size = int.from_bytes(self._held[:4], "big")
                if size > LARGEST_MESSAGE or self._taken > 2 * LARGEST_MESSAGE:
                    raise CutShortError("it showed far too much")
                if len(self._held) >= 4 + size:
                    body = bytes(self._held[4:4 + size])
                    del self._held[:4 + size]
                    try:
                        return json.loads(body)
                    except (ValueError, RecursionError):
                        raise CutShortError("it spoke to the grader itself") from None
            now = time.monotonic()
            if now > until:
                raise CutShortError(late)
            if now > self._looked + LOOK_EVERY:
                self._looked = now
                if exceeded := self._box.exceeded():
                    raise CutShortError(exceeded)
            ready, _, _ = select.select([self._channel], [], [],
                                        min(until - now + 0.01, LOOK_EVERY))
            if ready:
                try:
                    got = self._channel.recv(1 << 20)
                except OSError:
                    got = b""
                if not got:
                    raise CutShortError("it stopped Python itself")
                self._held += got
                self._taken += len(got)

    def ask(self, question: Sequence[Any]) -> Any:
        """Return what a function of the learner's gives at a point, as it came."""
        if self.broken:
            raise StoppedError(self.broken)
        if self._asked > MOST_SECONDS_OF_VALUES:
            raise StoppedError(TOO_LONG)
        began = time.monotonic()
        try:
            self.send(question)
            return self.receive(began + SECONDS_A_VALUE * self._box.limits.patience + GRACE,
                                TOO_LONG)
        except CutShortError as why:
            self.broken = str(why)
            raise StoppedError(self.broken) from None
        finally:
            self._asked += time.monotonic() - began

    def go_on(self, *, keep: bool) -> list[int] | None:
        """Let the notebook go on behind a check; return how its functions are asked later, if so.

        Parameters
        ----------
        keep : bool
            Whether they will be asked, as they are now.

        Returns
        -------
        list of int or None
            What a question begins with.
        """
        if not self.broken:
            try:
                self.send(KEEP if keep else not KEEP)
            except CutShortError as why:
                self.broken = str(why)
        self._kept += keep
        return [self._kept - 1] if keep else None

    def end(self) -> None:
        """Leave the box: as it was, or not at all if anything went wrong."""
        if self.broken:
            self._channel.close()
            self._box.kill()
        else:
            self._box.close(self._channel)


def checks_in(source: str) -> list[tuple[str, list[float] | None]] | None:
    """Return what a graded cell asks for.

    Parameters
    ----------
    source : str
        The instructor's text: calls of `work.check` and nothing else.

    Returns
    -------
    list of (str, list of float or None) or None
        Item and hidden inputs of each call; None if something else stands there.
    """
    found: list[tuple[str, list[float] | None]] = []
    try:
        for line in ast.parse(source).body:
            match line:
                case ast.Expr(ast.Call(ast.Attribute(ast.Name("work"), "check"),
                                       [ast.Constant(str(item))], [])):
                    found.append((item, None))
                case ast.Expr(ast.Call(ast.Attribute(ast.Name("work"), "check"),
                                       [ast.Constant(str(item))], [ast.keyword("at", inputs)])):
                    found.append((item, [float(one) for one in ast.literal_eval(inputs)]))
                case _:
                    return None
    except (SyntaxError, ValueError, TypeError):
        return None
    return found or None


def common_numbers(cells: Sequence[Any]) -> str:
    """Return whose numbers the instructor's cell gives to everybody, "" if to each their own."""
    for cell in cells:
        if cell.metadata.get("nbgrader", {}).get("grade_id") == "numbers":
            for call in ast.walk(ast.parse(cell.source)):
                match call:
                    case ast.Call(ast.Name("Work"), _, [ast.keyword("numbers_of",
                                                                    ast.Constant(str(name)))]):
                        return name
    return ""


def execute(notebook: bytes, limits: Limits, box: Box) -> bytes:
    """Run a sanitised notebook and judge its checks.

    Parameters
    ----------
    notebook : bytes
        With the instructor's cells in place, hidden tests and all; its metadata names unit and
        learner.
    limits : Limits
        On the run.
    box : Box
        Where to run it. It decides nothing about the result.

    Returns
    -------
    bytes
        The notebook with outputs. Its metadata says under whose id it worked and what cut it short.
    """
    made = nbformat.v4.reads(notebook.decode())
    about = made.metadata[ABOUT]
    asked = exercise(about["unit"])
    code = [cell for cell in made.cells if cell.cell_type == "code"]
    for cell in code:
        cell.outputs, cell.execution_count = [], None
    code = [cell for cell in code if cell.source.strip()]
    checks = {number: found for number, cell in enumerate(code)
              if cell.metadata.get("nbgrader", {}).get("grade")
              and (found := checks_in(cell.source)) is not None}
    plan = [{"variables": {name: asked.item(name).variable
                           for key, _ in checks[number] for name in (key, *asked.below(key))}}
            if number in checks else {"source": cell.source} for number, cell in enumerate(code)]
    common = common_numbers(made.cells)
    worked_as: list[str] = []
    line = Line(box.open(), box)
    judged: dict[int, Judgement] = {}
    numbers = functools.cache(asked.numbers)

    def check(number: int, told: Mapping[str, Any]) -> None:
        whose = _whose(told)
        if whose and whose not in worked_as:
            worked_as.append(whose)
        judged[number] = Judgement(asked, checks[number], told,
                                   partial(numbers, common or whose) if whose else None, line)

    try:
        told, short = _drive(line, {"limits": asdict(limits), "learner": about["learner"],
                                    "cells": plan}, limits, check)
        for number, cell in enumerate(code):
            cell.execution_count = number + 1
            if number not in told:
                cell.outputs = [_error("DidNotRun", f"This cell did not run to its end: {short}.")]
            elif number in checks:
                cell.outputs = judged[number].outputs(number + 1)
            else:
                cell.outputs = told[number]
    finally:
        line.end()
    made.metadata[ABOUT] = {**about, "worked_as": worked_as, "cut_short": short}
    return _text(made)


def _text(made: NotebookNode) -> bytes:
    return json.dumps(made, ensure_ascii=False).encode("utf-8", "replace")


def _drive(line: Line, task: Mapping[str, Any], limits: Limits,
           check: Callable[[int, Mapping[str, Any]], None]) -> tuple[dict[int, Any], str]:
    """Let a notebook run; return what came of each cell, and what cut it short."""
    told: dict[int, Any] = {}
    room, slow = limits.output, ""
    most, whole = (limits.patience * one for one in (limits.cell_seconds, limits.notebook_seconds))
    try:
        line.send(task)
        end = time.monotonic() + whole
        for number, cell in enumerate(task["cells"]):
            late = f"a cell ran longer than {most:g} seconds by the clock"
            began = time.monotonic()
            if began + most + GRACE < end:
                said = line.receive(began + most + GRACE, late)
            else:
                said = line.receive(end, f"it ran longer than {whole:g} seconds by the clock")
            if time.monotonic() > began + most:
                slow = late
            if "source" in cell and isinstance(said, dict) and said.get("shown") == number:
                told[number] = _outputs(said.get("outputs"), number + 1, room)
                room -= sum(len(json.dumps(one)) for one in told[number])
            elif "variables" in cell and isinstance(said, dict) and said.get("check") == number:
                told[number] = said
                check(number, said)
                if line.broken:
                    raise CutShortError(line.broken)
            else:
                raise CutShortError("it spoke to the grader itself")
        if line.receive(time.monotonic() + GRACE, "it did not end") != {"end": True}:
            raise CutShortError("it spoke to the grader itself")
    except CutShortError as why:
        line.broken = str(why)
    return told, line.broken or slow


def _whose(answers: Mapping[str, Any]) -> str:
    try:
        return tidy_id(answers.get("whose"))
    except InputError:
        return ""


class Judgement:
    """The verdict on one check cell, begun at the check and ended when the notebook has ended.

    Parameters
    ----------
    asked : Exercise
        Which exercise.
    calls : sequence of (str, list of float or None)
        Of `checks_in`.
    told : mapping of str to object
        What the box told of the answers.
    numbers : callable or None
        Gives the numbers that the notebook works with; None if there are none.
    line : Line
        To the box, which waits if one of the answers is a function.
    """

    def __init__(self, asked: Exercise, calls: Sequence[tuple[str, list[float] | None]],
                 told: Mapping[str, Any], numbers: Callable[[], Numbers] | None, line: Line
                 ) -> None:
        self._asked, self._told, self._numbers, self._line = asked, told, numbers, line
        self._said = ""
        self._points: float | None = None
        self._error: NotebookNode | None = None
        at_once = list(itertools.takewhile(lambda call: call[1] is None, calls))
        self._later = calls[len(at_once):]
        functions = told.get("functions") is True
        self._way: list[int] | None = [] if functions else None
        self._judge(at_once)
        if functions:
            self._way = line.go_on(keep=bool(self._later) and self._error is None)

    def outputs(self, count: int) -> list[NotebookNode]:
        """Return what the cell shows.

        Parameters
        ----------
        count : int
            The number of the cell.

        Returns
        -------
        list of NotebookNode
        """
        self._judge(self._later)
        shown = [NotebookNode(output_type="stream", name="stdout", text=self._said)
                 ] if self._said else []
        if self._error is not None:
            shown.append(self._error)
        elif self._points is not None:
            shown.append(NotebookNode(output_type="execute_result", metadata=NotebookNode(),
                                      data=NotebookNode({"text/plain": repr(self._points)}),
                                      execution_count=count))
        return shown

    def _judge(self, calls: Sequence[tuple[str, list[float] | None]]) -> None:
        if self._error is not None or not calls:
            return
        try:
            if self._numbers is None:
                raise NameError("there is no `work`; the cell just below learner_id makes it")
            for key, at in calls:
                said, self._points = self._verdict(key, at, self._numbers())
                self._said += f"{said}\n"
        except NotYet as sentence:
            self._error = _error("NotYet", str(sentence))
        except (MalformedError, CutShortError) as why:
            self._error = _error("NotJudged", f"This answer could not be judged: {why}.")
        except Exception as problem:
            self._error = _error(type(problem).__name__, str(problem)[:300])

    def _verdict(self, key: str, at: list[float] | None, numbers: Numbers
                 ) -> tuple[str, float | None]:
        answers = self._told.get("answers")
        if not isinstance(answers, dict):
            raise MalformedError("no answers came")

        def function(place: int) -> Callable[[float], Any]:
            return self._function(place, hidden=at is not None)

        def answer(name: str) -> Any:
            return unpack(answers.get(name), function)

        with np.errstate(all="ignore"), _deadline():
            outcome = self._asked.judge(key, answer(key), numbers, {
                name: answer(name) for name in self._asked.below(key)}, at)
        if self._line.broken:
            raise CutShortError(self._line.broken)
        return verdict(self._asked.item(key), outcome)

    def _function(self, place: int, *, hidden: bool) -> Callable[[float], Any]:
        """Return what stands for a learner's function: it asks the box, once for each point."""
        known: dict[float, Any] = {}

        def ask(point: float) -> Any:
            if self._way is None:
                raise MalformedError("its functions can't be asked")
            if point not in known:
                known[point] = self._line.ask([*self._way, place, point])
            match known[point]:
                case ["gave", value]:
                    held = unpack(value, lambda _: len)
                    plain = held is None or type(held).__module__ in ("builtins", "numpy")
                    return held if plain or not hidden else object()
                case ["stopped", str(words)]:
                    raise StoppedError("an error of Python's" if hidden else words[:300])
            raise StoppedError("it gave nothing that can be read")
        return ask


@contextlib.contextmanager
def _deadline() -> Iterator[None]:
    """Let a verdict that takes too long fail; what does not even listen costs the process."""
    def too_long(*_: Any) -> None:
        raise CutShortError("finding out whether it is right takes too long")

    if not hasattr(signal, "setitimer") or (threading.current_thread()
                                            is not threading.main_thread()):
        yield
        return
    signs = (signal.SIGVTALRM, too_long), (signal.SIGALRM, too_long), (signal.SIGPROF,
                                                                       signal.SIG_DFL)
    before = [(sign, signal.signal(sign, action)) for sign, action in signs]
    timers = {signal.ITIMER_VIRTUAL: SECONDS_A_VERDICT, signal.ITIMER_PROF: 3 * SECONDS_A_VERDICT,
              signal.ITIMER_REAL: MOST_SECONDS_OF_VALUES + 6 * SECONDS_A_VERDICT}
    for timer, seconds in timers.items():
        signal.setitimer(timer, seconds, 0.5)
    try:
        yield
    finally:
        for timer in timers:
            signal.setitimer(timer, 0)
        for sign, action in before:
            signal.signal(sign, action)


def _error(name: str, sentence: str) -> NotebookNode:
    return NotebookNode(output_type="error", ename=name, evalue=sentence,
                        traceback=[f"{name}: {sentence}"])


def _outputs(given: Any, count: int, room: int) -> list[NotebookNode]:
    """Return what a cell showed, as far as it is of a kind and size that we keep."""
    kept: list[NotebookNode] = []
    for one in given if isinstance(given, list) else ():
        output = _output(one, count) if isinstance(one, dict) else None
        if output is None:
            continue
        room -= len(json.dumps(output))
        if room < 0:
            kept.append(NotebookNode(output_type="stream", name="stdout",
                                     text="(what the notebook shows beyond here is left out)\n"))
            break
        kept.append(output)
    return kept


def _output(one: Mapping[str, Any], count: int) -> NotebookNode | None:
    match one:
        case {"output_type": "stream", "name": "stdout" | "stderr" as name, "text": str(text)}:
            return NotebookNode(output_type="stream", name=name, text=text)
        case {"output_type": "error", "ename": str(name), "evalue": str(value),
              "traceback": list(lines)}:
            return NotebookNode(output_type="error", ename=name, evalue=value,
                                traceback=[str(line) for line in lines[-100:]])
        case {"output_type": "execute_result" | "display_data" as kind, "data": dict(data)}:
            made = NotebookNode(output_type=kind, metadata=NotebookNode(), data=NotebookNode(
                {mime: text for mime, text in data.items()
                 if mime in SHOWN and isinstance(text, str)
                 and (not mime.startswith("image/") or BASE64.fullmatch(text))}))
            if kind == "execute_result":
                made.execution_count = count
            return made if made.data else None
    return None


def nothing_ran(notebook: bytes, why: str) -> bytes:
    """Return a notebook in which every cell says why it did not run.

    Parameters
    ----------
    notebook : bytes
        As `execute` takes it.
    why : str
        Without a full stop.

    Returns
    -------
    bytes
        As `execute` returns it.
    """
    made = nbformat.v4.reads(notebook.decode())
    for cell in made.cells:
        if cell.cell_type == "code":
            cell.outputs = [_error("DidNotRun", f"This cell did not run to its end: {why}.")]
    made.metadata[ABOUT] = {**made.metadata[ABOUT], "worked_as": [], "cut_short": why}
    return _text(made)
