"""The pure step on other machines: notebooks go to the workers of a dask scheduler.

Each thread of a dask worker keeps one of our workers, with its box on that machine, as long as it
lives. A notebook whose dask worker is lost is run again by another: dask sees to that. Results
come back here, so the machines share no files.
"""

import asyncio
import logging
import socket
import threading
import time
from concurrent.futures import CancelledError, Future
from functools import partial
from typing import Any

from bandwork.classroom.engine.limits import Limits
from bandwork.classroom.engine.store import library
from bandwork.classroom.engine.worker import Worker
from bandwork.validation import InputError

AHEAD = 4
"""Notebooks under way for each thread of the workers, so that none waits for this machine."""
SECONDS_TO_CONNECT = 15.0
SECONDS_WITHOUT_WORKERS = 60.0
COUNT_EVERY = 2.0
GONE = (CancelledError, asyncio.CancelledError)
"""What dask raises for everything that was under way when it lost the scheduler."""
KEPT = "What is done is kept: run this again to go on."

_here = threading.local()


def run_there(notebook: bytes, limits: Limits, trust: bool, release: str) -> tuple[bytes, str]:
    """Run one notebook on the dask worker that calls this.

    Parameters
    ----------
    notebook : bytes
        As `execute` takes it.
    limits : Limits
        On the run.
    trust : bool
        Whether to do without the box.
    release : str
        The grader's `library()`.

    Returns
    -------
    bytes
        As `execute` returns it.
    str
        Why it was not run; "" if it was.
    """
    from distributed import get_worker

    where = get_worker().address
    if release != library():
        return b"", (f"The worker {where} has another release of the course, of Python or of what "
                     "they need than this machine; install the same there and start its dask "
                     "worker again.")
    if getattr(_here, "about", None) != (limits, trust):
        if hasattr(_here, "worker"):
            _here.worker.end()
        _here.worker, _here.about = Worker(limits, trust=trust), (limits, trust)
    try:
        return _here.worker.run(notebook), ""
    except InputError as refusal:
        return b"", f"The worker {where} says: {refusal}"


class Cluster:
    """The grader's side: what `Workers` is for one machine.

    Parameters
    ----------
    address : str
        Of the scheduler.
    limits : Limits
        On every notebook.
    trust : bool
        Whether the workers do without the box.

    Raises
    ------
    InputError
        If dask is not installed, or there is no such scheduler, or it has no workers.
    """

    def __init__(self, address: str, limits: Limits, *, trust: bool = False) -> None:
        try:
            from distributed import Client
        except ImportError:
            raise InputError("Grading on several machines needs dask; install it, in the course's "
                             'folder, with: python -m pip install -e ".[cluster]"') from None
        logging.getLogger("distributed").setLevel(logging.CRITICAL)
        self._address, self._task = address, (limits, trust, library())
        try:
            _greet(address)
            self._client = Client(address, timeout=SECONDS_TO_CONNECT, set_as_default=False)
        except (OSError, ValueError) as problem:
            raise InputError(
                f"No dask scheduler answers at {address!r} ({problem}); start one with `dask "
                "scheduler` and give the address that it prints, such as tcp://10.0.0.1:8786."
                ) from None
        self._room, self._counted, self._seen = 0, -COUNT_EVERY, time.monotonic()

    def __enter__(self) -> "Cluster":
        return self

    def __exit__(self, *_: object) -> None:
        self._client.close(timeout=SECONDS_TO_CONNECT)

    def room(self) -> int:
        """Return how many notebooks may be under way.

        Returns
        -------
        int
            A few for each thread of the workers that there are now.

        Raises
        ------
        InputError
            If the scheduler is gone, or has had no worker for a while.
        """
        now = time.monotonic()
        if now > self._counted + COUNT_EVERY:
            try:
                threads = sum(self._client.nthreads(
                    callback_timeout=SECONDS_TO_CONNECT).values())
            except (OSError, RuntimeError, *GONE):
                raise self._gone() from None
            self._room, self._counted = AHEAD * threads, now
            if threads:
                self._seen = now
            elif now > self._seen + SECONDS_WITHOUT_WORKERS:
                raise InputError(
                    f"The scheduler {self._address} has had no worker for a minute; start some "
                    f"with `dask worker {self._address}`, and read what they print if they end at "
                    f"once: without this course on their machine they do. {KEPT}")
        return self._room

    def submit(self, notebook: bytes) -> Future[tuple[bytes, str]]:
        """Hand one notebook to the scheduler.

        Parameters
        ----------
        notebook : bytes
            As `execute` takes it.

        Returns
        -------
        Future of (bytes, str)
            For `result`.

        Raises
        ------
        InputError
            If the scheduler is gone.
        """
        ours: Future[tuple[bytes, str]] = Future()
        try:
            given = self._client.submit(run_there, notebook, *self._task, pure=False)
        except (OSError, RuntimeError):
            raise self._gone() from None
        given.add_done_callback(partial(_hand_over, ours))
        return ours

    def result(self, done: Future[tuple[bytes, str]]) -> bytes:
        """Return what came of a notebook that has run.

        Parameters
        ----------
        done : Future of (bytes, str)
            From `submit`.

        Returns
        -------
        bytes
            As `execute` returns it.

        Raises
        ------
        InputError
            If the scheduler is gone, or a worker could not run it.
        """
        try:
            executed, refusal = done.result()
        except GONE:
            raise self._gone() from None
        except Exception as problem:
            said = " ".join(str(problem).split())[:300]
            raise InputError(
                f"The workers of {self._address} could not run a notebook ({type(problem).__name__}"
                f": {said}); see that this release of the course is installed on every machine, "
                f"the scheduler's too, and what the workers print. {KEPT}") from None
        if refusal:
            raise InputError(f"{refusal} {KEPT}")
        return executed

    def _gone(self) -> InputError:
        return InputError(f"The scheduler {self._address} is gone; start it and its workers again."
                          f" {KEPT}")


def _hand_over(ours: Future[tuple[bytes, str]], given: Any) -> None:
    """Let a future of ours hold what one of dask's does."""
    try:
        ours.set_result(given.result())
    except BaseException as problem:
        ours.set_exception(problem)


def _greet(address: str) -> None:
    """Raise an OSError or ValueError if nothing speaks at an address; dask would wait for ever."""
    from distributed.comm.addressing import get_address_host_port

    with socket.create_connection(get_address_host_port(address), SECONDS_TO_CONNECT) as line:
        if not address.startswith("tls:") and not line.recv(1):
            raise OSError("what is there says nothing")
