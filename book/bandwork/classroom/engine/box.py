"""The box: a parent process that waits, cut off by bubblewrap, to run notebooks in children.

What is cut off: no network, no file but Python, the library and the system's programs, all
read-only; a small private folder for temporary files; no other process; no privilege; never root.
Each notebook runs in namespaces of its own inside the box, so that nothing of it reaches the
parent or the next notebook. Whatever is left behind all the same, or a notebook that has to be
stopped, costs the box: a new one takes its place.
"""

import json
import os
import re
import shutil
import socket
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any

import bandwork
from bandwork.classroom.engine.inside import INNER
from bandwork.classroom.engine.limits import Limits
from bandwork.validation import InputError

LEAST_BWRAP = (0, 7)
"""The first bubblewrap that limits the size of a folder in memory."""
TRUST = "--trust-submissions"
SECONDS_TO_START = 60.0
SYSTEM = ("/usr", "/lib", "/lib32", "/lib64", "/bin", "/etc/ld.so.cache", "/etc/alternatives",
          "/etc/localtime")
LIBRARY = "/library"
ENVIRONMENT = {"HOME": "/tmp", "LANG": "C.UTF-8", "PYTHONDONTWRITEBYTECODE": "1",
               "MPLCONFIGDIR": "/tmp/matplotlib", "IPYTHONDIR": "/tmp/ipython",
               "NBGRADER_EXECUTION": "autograde",
               **{f"{name}_NUM_THREADS": "1" for name in ("OPENBLAS", "OMP", "MKL")}}


class BoxLostError(Exception):
    """The box ended, or did not answer."""


def what_is_missing() -> str:
    """Return why this machine cannot box learners' code and what helps, "" if it can.

    Returns
    -------
    str
        One sentence or two.
    """
    if not sys.platform.startswith("linux"):
        return ("Only Linux can box learners' code; grade on a Linux machine, in a virtual one, or "
                "in WSL 2 on Windows.")
    found = shutil.which("bwrap")
    if not found:
        return ("The program bwrap is not here; install the package bubblewrap, on Debian and "
                "Ubuntu with: sudo apt-get install bubblewrap.")
    for place in _places():
        if place.is_relative_to("/tmp"):
            return (f"Python lies in {place}, and the box hides all of /tmp; make the course's "
                    "environment in another folder.")
    return _trial(found)


@cache
def _trial(bwrap: str) -> str:
    told = subprocess.run([bwrap, "--version"], capture_output=True, text=True, check=False).stdout
    version = tuple(int(one) for one in re.findall(r"\d+", told)[:2])
    if version < LEAST_BWRAP:
        return (f"bubblewrap {'.'.join(map(str, version)) or 'here'} is too old; "
                f"{'.'.join(map(str, LEAST_BWRAP))} or newer is wanted.")
    done = subprocess.run([*_command(bwrap, Limits()), sys.executable, "-c", "print('boxed')"],
                          capture_output=True, text=True, check=False)
    if done.stdout.strip() != "boxed":
        return (f"bubblewrap is here but may not make a box ({done.stderr.strip()[-200:]}); in a "
                "container allow user namespaces, or grade outside of it.")
    return ""


def _places() -> list[Path]:
    """Return Python's own folders that are not among the system's."""
    import site

    user = [Path(site.getusersitepackages())] if site.ENABLE_USER_SITE else []
    wanted = [Path(sys.base_prefix), Path(sys.prefix), *user]
    return [place for place in wanted
            if place.is_dir() and not any(place.is_relative_to(one) for one in SYSTEM)]


def refuse_to_show(private: Path) -> None:
    """Refuse to grade a class that lies where the box has to show Python itself.

    Parameters
    ----------
    private : Path
        What must not be seen from inside.

    Raises
    ------
    InputError
        If it lies in one of Python's folders.
    """
    for place in (*_places(), *map(Path, SYSTEM)):
        if private.resolve().is_relative_to(place.resolve()):
            raise InputError(f"{private} lies in {place}, which learners' code can read; move the "
                             "class to a folder of its own.")


def _command(bwrap: str, limits: Limits) -> list[str]:
    who = (["--cap-drop", "ALL", "--cap-add", "CAP_SETUID", "--cap-add", "CAP_SETGID"]
           if os.getuid() == 0 else ["--unshare-user", "--uid", "65534", "--gid", "65534"])
    around = {**ENVIRONMENT, "PYTHONPATH": LIBRARY,
              "PATH": f"{Path(sys.executable).parent}:/usr/bin:/bin"}
    named = [word for name, value in around.items() for word in ("--setenv", name, value)]
    return [bwrap, "--die-with-parent", "--new-session", "--unshare-ipc", "--unshare-net",
            "--unshare-pid", "--unshare-uts", "--unshare-cgroup-try", *who, "--clearenv", *named,
            *_shown("", limits), *_shown(INNER, limits), "--remount-ro", "/", "--chdir", "/tmp"]


def _shown(top: str, limits: Limits) -> list[str]:
    """Return what makes a folder hold all that the box shows."""
    small = ["--size", str(limits.file), "--perms", "1777", "--tmpfs"]
    library = Path(bandwork.__file__).parent
    words = ["--perms", "0755", "--dir", top or "/"]
    for system in SYSTEM:
        words += ["--ro-bind-try", system, f"{top}{system}"]
    for place, seen in (*((place, f"{top}{place}") for place in _places()),
                        (library, f"{top}{LIBRARY}/{library.name}")):
        for above in reversed(Path(seen).parents[:-1]):
            words += ["--perms", "0755", "--dir", str(above)]
        words += ["--ro-bind", str(place), seen]
    if Path("/usr/share/fonts").is_dir():
        words += ["--tmpfs", f"{top}/usr/share/fonts", "--remount-ro", f"{top}/usr/share/fonts"]
    return [*words, "--dev", f"{top}/dev", *small, f"{top}/tmp", *small, f"{top}/dev/shm",
            "--remount-ro", f"{top}/dev"]


class Box:
    """A parent process that runs notebooks, started when it is first needed.

    Parameters
    ----------
    limits : Limits
        On every notebook.
    trust : bool
        Whether to do without the box: the code then runs as whoever grades.

    Raises
    ------
    InputError
        If the machine cannot box and `trust` is not given.
    """

    def __init__(self, limits: Limits, *, trust: bool = False) -> None:
        missing = "" if trust else what_is_missing()
        if missing:
            raise InputError("Learners' code can't be boxed here, so nothing was run. "
                             f"{missing} If you would hand every learner your keyboard, give "
                             f"{TRUST}.")
        self.limits, self._trust = limits, trust
        self._process: subprocess.Popen[bytes] | None = None
        self._control: socket.socket | None = None
        self._rest = 0
        self._before = 0.0

    def __enter__(self) -> "Box":
        return self

    def __exit__(self, *_: object) -> None:
        self.kill()

    @property
    def pid(self) -> int:
        """Of the process that holds the box."""
        return self._process.pid if self._process else 0

    def _start(self) -> None:
        ours, theirs = socket.socketpair()
        python = [sys.executable, "-m", "bandwork.classroom.engine.inside", "serve",
                  str(theirs.fileno()), "trusted" if self._trust else "boxed"]
        before = [] if self._trust else _command(str(shutil.which("bwrap")), self.limits)
        own = {**os.environ, **{name: value for name, value in ENVIRONMENT.items()
                                if name.endswith("_THREADS")}}
        self._process = subprocess.Popen([*before, *python], pass_fds=[theirs.fileno()], env=own,
                                         stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                                         stderr=subprocess.PIPE)
        theirs.close()
        self._control = ours
        ours.settimeout(SECONDS_TO_START)
        if self._answer() != b"ready":
            said = self._process.stderr.read() if self._process.stderr else b""
            self.kill()
            why = said.decode(errors="replace").strip()[-300:] or "no reason given"
            raise InputError(f"The box for learners' code did not start: {why}.")
        self._rest = max((held for held, _ in used(self.pid).values()), default=0)

    def _answer(self) -> bytes:
        try:
            return self._control.recv(64) if self._control else b""
        except OSError:
            return b""

    def start(self) -> None:
        """Start the parent already, where it can fork, so that it is ready when it is needed.

        Raises
        ------
        InputError
            If it does not start.
        """
        if hasattr(os, "fork") and self._process is None:
            self._start()

    def open(self) -> socket.socket:
        """Begin one notebook.

        Returns
        -------
        socket
            Its channel. Call `close` when it is done.
        """
        if not hasattr(os, "fork"):
            return self._open_alone()
        if self._process is None or self._control is None or self._process.poll() is not None:
            self.kill()
            self._start()
        assert self._control
        ours, theirs = socket.socketpair()
        try:
            socket.send_fds(self._control, [json.dumps(asdict(self.limits)).encode()],
                            [theirs.fileno()])
        except OSError:
            self.kill()
            ours.close()
            return self.open()
        finally:
            theirs.close()
        self._before = _computed(used(self.pid))
        return ours

    def _open_alone(self) -> socket.socket:
        """Begin one notebook where processes can't fork: in a process of its own, unboxed."""
        self.kill()
        with socket.create_server(("127.0.0.1", 0)) as server:
            server.settimeout(SECONDS_TO_START)
            self._process = subprocess.Popen(
                [sys.executable, "-m", "bandwork.classroom.engine.inside", "once",
                 str(server.getsockname()[1])], stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            return server.accept()[0]

    def close(self, channel: socket.socket) -> None:
        """End one notebook; if it left anything behind, end the box too.

        Parameters
        ----------
        channel : socket
            From `open`.
        """
        channel.close()
        if self._control:
            self._control.settimeout(5)
        if self._answer() != b"clean":
            self.kill()

    def is_alone(self) -> bool:
        """Return whether a notebook gets namespaces of its own; without, each costs a new box."""
        channel = self.open()
        channel.shutdown(socket.SHUT_WR)
        self.close(channel)
        return self._process is not None

    def exceeded(self) -> str:
        """Return what the processes in the box took too much of, "" if all is well."""
        found = used(self.pid)
        if sum(max(held - self._rest, 0) for held, _ in found.values()) > self.limits.memory:
            return "it took more memory than a notebook may"
        if _computed(found) - self._before > self.limits.notebook_seconds:
            return f"it ran longer than {self.limits.notebook_seconds:g} seconds"
        return ""

    def kill(self) -> None:
        """End the box with all that is in it."""
        if self._process:
            self._process.kill()
            self._process.wait()
            if self._process.stderr:
                self._process.stderr.close()
        if self._control:
            self._control.close()
        self._process = self._control = None


def _computed(found: Mapping[int, tuple[int, float]]) -> float:
    return sum(seconds for _, seconds in found.values())


def used(pid: int) -> dict[int, tuple[int, float]]:
    """Return what a process and all below it use.

    Parameters
    ----------
    pid : int
        The topmost.

    Returns
    -------
    dict of int to (int, float)
        Process -> memory that it holds for itself [byte], computing that it and those below it that
        ended did [s]; empty where the system does not say.
    """
    told: dict[int, tuple[int, float]] = {}
    waiting: list[Any] = [pid]
    while waiting:
        one = waiting.pop()
        try:
            status = Path(f"/proc/{one}/status").read_text("utf-8", "replace")
            times = Path(f"/proc/{one}/stat").read_text("utf-8", "replace").rpartition(")")[2]
            for thread in os.listdir(f"/proc/{one}/task"):
                below = Path(f"/proc/{one}/task/{thread}/children").read_text("utf-8")
                waiting += [int(child) for child in below.split()]
        except OSError:
            continue
        found = re.findall(r"Rss(?:Anon|Shmem):\s+(\d+)", status)
        told[one] = (1024 * sum(map(int, found)),
                     sum(map(int, times.split()[11:15])) / os.sysconf("SC_CLK_TCK"))
    return told
