"""Processes that run and judge notebooks for the grader, one by one, each with a box of its own."""

import contextlib
import ctypes
import subprocess
import sys
import threading
import time
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import asdict
from queue import SimpleQueue
from signal import SIGTERM
from typing import Any

from bandwork.classroom.engine.box import SECONDS_TO_START, Box
from bandwork.classroom.engine.execute import MOST_SECONDS_OF_VALUES, execute, nothing_ran
from bandwork.classroom.engine.inside import Pair, read, write
from bandwork.classroom.engine.limits import Limits
from bandwork.validation import InputError

END_WITH_PARENT = 1
TRIES = 2
"""For a process that ends by itself, as when the machine runs out of memory."""


class OverError(Exception):
    """The process was ended before it answered."""


class Worker:
    """The grader's side of such a process.

    Parameters
    ----------
    limits : Limits
        On every notebook.
    trust : bool
        Whether to do without the box.
    """

    def __init__(self, limits: Limits, *, trust: bool = False) -> None:
        self._limits, self._trust = limits, trust
        self._process: subprocess.Popen[bytes] | None = None
        self._over = False
        self._most = (SECONDS_TO_START + limits.patience * limits.notebook_seconds
                      + 2 * MOST_SECONDS_OF_VALUES)

    def __enter__(self) -> "Worker":
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def end(self) -> None:
        """End the process for good; a notebook that it runs is left as if it had not begun."""
        self._over = True
        self._kill()

    def start(self) -> None:
        """Start the process, which gets its box ready."""
        self._begun()

    def _begun(self) -> "subprocess.Popen[bytes]":
        self._process = process = subprocess.Popen(
            [sys.executable, "-m", __name__], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL, start_new_session=True)
        with contextlib.suppress(OSError):
            write(Pair(process.stdout, process.stdin),
                  {"limits": asdict(self._limits), "trust": self._trust})
        return process

    def _kill(self) -> None:
        if self._process:
            self._process.kill()
            self._process.wait()
            for pipe in (self._process.stdin, self._process.stdout):
                if pipe:
                    with contextlib.suppress(OSError):
                        pipe.close()
        self._process = None

    def run(self, notebook: bytes) -> bytes:
        """Run one notebook.

        Parameters
        ----------
        notebook : bytes
            As `execute` takes it.

        Returns
        -------
        bytes
            As `execute` returns it; if it could not be judged in time, every cell says so.

        Raises
        ------
        InputError
            If there is no box to be had.
        OverError
            If the process was ended meanwhile.
        """
        for _ in range(TRIES):
            began = time.monotonic()
            answer = self._ask(notebook)
            if self._over:
                raise OverError
            if answer is None:
                self._kill()
                if time.monotonic() > began + self._most:
                    break
            elif "refused" in answer:
                raise InputError(answer["refused"])
            else:
                return answer["executed"].encode()
        return nothing_ran(notebook, "its answers could not be judged in reasonable time")

    def _ask(self, notebook: bytes) -> Any:
        """Return what the process answers; None if it ended, or had to be ended."""
        process = self._process
        if process is None or process.poll() is not None:
            process = self._begun()
        channel = Pair(process.stdout, process.stdin)
        watch = threading.Timer(self._most, process.kill)
        watch.start()
        try:
            write(channel, {"notebook": notebook.decode()})
            return read(channel)
        except (OSError, ValueError):
            return None
        finally:
            watch.cancel()


class Workers:
    """Such processes of this machine, side by side.

    Parameters
    ----------
    jobs : int
        How many [1].
    limits : Limits
        On every notebook.
    trust : bool
        Whether to do without the box.
    """

    def __init__(self, jobs: int, limits: Limits, *, trust: bool = False) -> None:
        self._everyone = [Worker(limits, trust=trust) for _ in range(jobs)]
        self._idle: SimpleQueue[Worker] = SimpleQueue()
        for worker in self._everyone:
            self._idle.put(worker)
        self._pool = ThreadPoolExecutor(jobs)

    def __enter__(self) -> "Workers":
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.shutdown(wait=False, cancel_futures=True)
        for worker in self._everyone:
            worker.end()
        self._pool.shutdown()

    def start(self) -> None:
        """Start all of them, before the first notebook."""
        for worker in self._everyone:
            worker.start()

    def room(self) -> int:
        """Return how many notebooks may wait here for their turn or run."""
        return 3 * len(self._everyone)

    def submit(self, notebook: bytes) -> Future[bytes]:
        """Let one notebook run when there is a process for it.

        Parameters
        ----------
        notebook : bytes
            As `execute` takes it.

        Returns
        -------
        Future of bytes
            For `result`.
        """
        return self._pool.submit(self._run, notebook)

    def _run(self, notebook: bytes) -> bytes:
        worker = self._idle.get()
        try:
            return worker.run(notebook)
        finally:
            self._idle.put(worker)

    def result(self, done: Future[bytes]) -> bytes:
        """Return what came of a notebook that has run.

        Parameters
        ----------
        done : Future of bytes
            From `submit`.

        Returns
        -------
        bytes
            As `execute` returns it.

        Raises
        ------
        InputError
            If there is no box to be had.
        """
        return done.result()


def main() -> None:
    """Run what comes over standard input, until it ends."""
    if sys.platform.startswith("linux"):
        ctypes.CDLL(None).prctl(END_WITH_PARENT, SIGTERM, 0, 0, 0)
    channel = Pair(sys.stdin.buffer, sys.stdout.buffer)
    given = read(channel)
    if given is None:
        return
    limits = Limits(**given["limits"])
    box = None
    with contextlib.suppress(InputError):
        box = Box(limits, trust=given["trust"])
        box.start()
    while (task := read(channel)) is not None:
        try:
            box = box or Box(limits, trust=given["trust"])
            write(channel, {"executed": execute(task["notebook"].encode(), limits, box).decode()})
        except InputError as refusal:
            write(channel, {"refused": str(refusal)})
    if box:
        box.kill()


if __name__ == "__main__":
    main()
