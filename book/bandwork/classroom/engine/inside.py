"""What runs beside learners' code: a parent that has imported everything, and a child a notebook.

This is the untrusted side. The parent waits in the box for notebooks; for each it forks a child
with namespaces of its own, which runs the cells and says what came out. A check is not run here:
the child says what the variables hold that the check looks at (`plain.pack`). If one of them is a
function, the child is asked for its values before it goes on. If the check has hidden inputs, a
copy of the process as it is at that moment is kept, to be asked for those once the notebook has run
to its end and its outputs are closed.

Hidden tests, right answers for other learners, other submissions and the gradebook are never sent
here. Whatever is said from here is taken as no more than a learner's answer.
"""

import builtins
import contextlib
import ctypes
import errno
import gc
import io
import json
import os
import signal
import socket
import struct
import sys
from collections.abc import Callable, Iterator
from typing import Any, ClassVar

from bandwork.classroom.checks import in_plain_words
from bandwork.classroom.engine.limits import Limits
from bandwork.classroom.engine.plain import pack

NEW_USER, NEW_PIDS, NEW_IPC, NEW_NET = 0x10000000, 0x20000000, 0x08000000, 0x40000000
SET_DUMPABLE, NO_NEW_PRIVILEGES, SET_SECCOMP, FILTER = 4, 38, 22, 2
CLOSED = {
    "x86_64": (0xC000003E, (29, 64, 68, 240, 248, 249, 250, 298, 319, 321, 323, 425, 447)),
    "aarch64": (0xC00000B7, (180, 186, 190, 194, 217, 218, 219, 241, 279, 280, 282, 425, 447))}
"""Machine -> the kernel's name for it, and the numbers of the calls that learners' code is refused:
memory that belongs to no process (shmget, semget, msgget, mq_open, memfd_create, memfd_secret), the
grader's keys (add_key, request_key, keyctl), and what no notebook needs of the kernel
(perf_event_open, bpf, userfaultfd, io_uring_setup)."""
NOBODY = 65534
SECONDS_A_VALUE = 5.0
"""Of computing, that a learner's function may take for one value."""
KEEP = True
"""The judge's word behind a check that the child may go on, and that its functions will be asked
again; any other word but a question says the former alone."""
INNER = "/inner"
"""A second copy of all that the box shows. The kernel lets no process whose root is not that of all
others make namespaces, with which it could mount folders without a limit on their size."""
PLACES = ("/tmp", "/dev/shm", f"{INNER}/tmp", f"{INNER}/dev/shm")
"""Where a boxed learner can write."""


def write(channel: Any, message: Any) -> None:
    """Send one message: its length and JSON.

    Parameters
    ----------
    channel : file
        Binary.
    message : object
        That JSON can hold.
    """
    body = json.dumps(message).encode()
    channel.write(len(body).to_bytes(4, "big") + body)
    channel.flush()


def read(channel: Any) -> Any:
    """Return the next message; None at the end.

    Parameters
    ----------
    channel : file
        Binary.

    Returns
    -------
    object
    """
    head = channel.read(4)
    return json.loads(channel.read(int.from_bytes(head, "big"))) if len(head) == 4 else None


def make_shell() -> Any:
    """Return IPython as a notebook has it, which notes what cells show in its list `shown`.

    Returns
    -------
    InteractiveShell
    """
    from IPython.core.displayhook import DisplayHook
    from IPython.core.displaypub import DisplayPublisher
    from IPython.core.interactiveshell import InteractiveShell
    from traitlets import Type
    from traitlets.config import Config

    class Shown(list[Any]):
        """The outputs of the cell that runs."""

        def text(self, name: str, text: str) -> None:
            if self and self[-1]["output_type"] == "stream" and self[-1]["name"] == name:
                self[-1]["text"] += text
            else:
                self.append({"output_type": "stream", "name": name, "text": text})

    shown = Shown()

    class Hook(DisplayHook):
        def write_output_prompt(self) -> None: ...

        def write_format_data(self, format_dict: Any, md_dict: Any = None) -> None:
            shown.append({"output_type": "execute_result", "data": format_dict,
                                     "metadata": md_dict or {},
                          "execution_count": self.prompt_count})

        def finish_displayhook(self) -> None: ...

    class Publisher(DisplayPublisher):
        named: ClassVar[dict[str, Any]] = {}

        def publish(self, data: Any, metadata: Any = None, source: Any = None, *,
                    transient: Any = None, update: bool = False, **more: Any) -> None:
            made = {"output_type": "display_data", "data": data, "metadata": metadata or {}}
            name = (transient or {}).get("display_id")
            if not update:
                shown.append(made)
            elif name in self.named:
                self.named[name].update(made)
            if name and not update:
                self.named[name] = made

        def clear_output(self, wait: bool = False) -> None:
            shown.clear()

    class Shell(InteractiveShell):
        displayhook_class = Type(Hook)
        display_pub_class = Type(Publisher)
        shown: Any = None
        def _showtraceback(self, etype: Any, evalue: Any, stb: Any) -> None:
            shown.append({"output_type": "error", "ename": str(etype.__name__),
                          "evalue": str(evalue), "traceback": list(stb)})

        def ask_exit(self) -> None: ...

        def enable_gui(self, gui: Any = None) -> None: ...

    settings = Config()
    settings.HistoryManager.enabled = False
    settings.InteractiveShell.colors = "NoColor"
    shell = Shell.instance(config=settings)
    shell.shown = shown
    shell.set_hook("show_in_pager", lambda *_, **__: None)
    shell.user_ns["exit"] = shell.user_ns["quit"] = shell.ask_exit
    return shell


class Screen(io.TextIOBase):
    """Stands for standard output or error: what is written goes among the cell's outputs.

    Parameters
    ----------
    shown : list
        The shell's.
    name : str
        "stdout" or "stderr".
    most : int
        Characters that are kept of a cell.
    """

    encoding = "utf-8"

    def __init__(self, shown: Any, name: str, most: int) -> None:
        self._shown, self._name, self._most, self._room = shown, name, most, most

    def write(self, text: str) -> int:
        """Keep a text."""
        if not isinstance(text, str):
            raise TypeError(f"write() argument must be str, not {type(text).__name__}")
        if self._room > 0:
            self._shown.text(self._name, text[:self._room])
            self._room -= len(text)
            if self._room <= 0:
                self._shown.text(self._name, "\n(the rest is left out)\n")
        return len(text)

    def begin(self) -> None:
        """Begin a cell."""
        self._room = self._most


def load() -> Any:
    """Import everything that notebooks use, draw once, and return the shell."""
    os.environ["MPLBACKEND"] = "module://matplotlib_inline.backend_inline"
    shell = make_shell()
    import scipy.integrate
    import scipy.linalg
    import scipy.optimize.elementwise
    import scipy.special  # noqa: F401

    from bandwork.classroom.items import UNITS, exercise

    for unit in UNITS:
        exercise(unit)
    shell.run_cell("import matplotlib.pyplot as plt\nplt.plot([1, 2])\nplt.xlabel('x')\nplt.show()")
    import bandwork.classroom.bench  # noqa: F401

    shell.reset(new_session=True)
    shell.shown.clear()
    shell.execution_count = 1
    return shell


@contextlib.contextmanager
def _time(seconds: float, patience: float, what: str) -> Iterator[None]:
    """Raise `TimeoutError` in what computes longer, again and again, where there is an alarm.

    What waits for other things has so many times as long.
    """
    def too_long(which: int, _: Any) -> None:
        raise TimeoutError(f"{what} longer than {seconds:g} seconds" if which == signal.SIGPROF
                           else f"{what} longer than {patience * seconds:g} seconds by the clock")

    if not hasattr(signal, "setitimer"):
        yield
        return
    timers = ((signal.SIGPROF, signal.ITIMER_PROF, seconds),
              (signal.SIGALRM, signal.ITIMER_REAL, patience * seconds))
    for sign, timer, most in timers:
        signal.signal(sign, too_long)
        signal.setitimer(timer, most, 0.5)
    try:
        yield
    finally:
        for _, timer, _ in timers:
            signal.setitimer(timer, 0)


def _refuse(*_: Any, **__: Any) -> str:
    raise EOFError("a notebook that is graded can ask nobody for input")


def run(channel: Any, shell: Any, *, snapshots: bool) -> None:
    """Run one notebook and answer what is asked about its functions.

    Parameters
    ----------
    channel : file
        To the judge.
    shell : InteractiveShell
        Of `make_shell`.
    snapshots : bool
        Whether the process can be copied, so that functions are asked as they were at their check.
    """
    from bandwork.classroom.work import LEARNER_VARIABLE, Work

    task = read(channel)
    if task is None:
        return
    limits = Limits(**task["limits"])
    os.environ[LEARNER_VARIABLE] = task["learner"]
    screens = {name: Screen(shell.shown, name, min(limits.output, 200_000))
               for name in ("stdout", "stderr")}
    real = sys.stdin, sys.stdout, sys.stderr
    sys.stdout, sys.stderr = screens["stdout"], screens["stderr"]
    sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: SIM115
    builtins.input = _refuse
    kept: list[Callable[[Any], Any]] = []
    for number, cell in enumerate(task["cells"]):
        if "source" in cell:
            shell.shown.clear()
            for screen in screens.values():
                screen.begin()
            try:
                with _time(limits.cell_seconds, limits.patience, "the cell ran"):
                    shell.run_cell(cell["source"], store_history=True)
            except BaseException as problem:
                shell.shown.append({"output_type": "error", "ename": type(problem).__name__,
                                    "evalue": str(problem), "traceback": []})
            write(channel, {"shown": number, "outputs": _jsonable(shell.shown)})
        else:
            names = shell.user_ns
            work = names.get("work")
            functions: list[Any] = []
            whose = work.learner if isinstance(work, Work) else None
            told = {"check": number, "whose": whose if type(whose) is str else None,
                    "answers": {name: _packed(names.get(variable), functions)
                                for name, variable in cell["variables"].items()}}
            told["functions"] = bool(functions)
            write(channel, told)
            if functions:
                answer = _asker(functions, limits.patience)
                while isinstance(question := read(channel), list):
                    write(channel, answer(question))
                if question is KEEP:
                    kept.append(_snapshot(answer) if snapshots else answer)
    write(channel, {"end": True})
    while (question := read(channel)) is not None:
        which, *asked = question
        write(channel, kept[which](asked))
    sys.stdin, sys.stdout, sys.stderr = real


def _packed(value: Any, functions: list[Any]) -> list[Any]:
    try:
        return pack(value, functions)
    except Exception:
        return ["other", "object"]


def _jsonable(shown: list[Any]) -> list[Any]:
    try:
        return json.loads(json.dumps(shown, default=_text_of))
    except Exception as problem:
        return [{"output_type": "stream", "name": "stdout",
                 "text": f"(what the cell showed can't be kept: {type(problem).__name__})"}]


def _text_of(value: Any) -> str:
    import base64

    return base64.b64encode(value).decode() if isinstance(value, bytes) else str(value)


def _asker(functions: list[Any], patience: float) -> Callable[[Any], Any]:
    """Return what answers a question: [which function, at which point]."""
    def answer(question: Any) -> list[Any]:
        number, point = question
        try:
            with _time(SECONDS_A_VALUE, patience, "it takes"):
                return ["gave", _packed(functions[number](point), [])]
        except Exception as problem:
            try:
                return ["stopped", in_plain_words(problem)[:300]]
            except BaseException:
                return ["stopped", "Error"]
        except BaseException:
            return ["stopped", "Python ended"]
    return answer


def _snapshot(answer: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Copy this process and return what asks the copy."""
    here, there = socket.socketpair()
    pid = os.fork()
    if not pid:
        here.close()
        with contextlib.suppress(BaseException), there.makefile("rwb") as channel:
            while (question := read(channel)) is not None:
                write(channel, answer(question))
        os._exit(0)
    there.close()
    channel = here.makefile("rwb")

    def ask(question: Any) -> Any:
        write(channel, question)
        said = read(channel)
        return ["stopped", "Python ended"] if said is None else said
    return ask


def limit(limits: Limits) -> None:
    """Put the kernel's limits on this process and its children.

    Parameters
    ----------
    limits : Limits
        Which.
    """
    import resource

    for what, most in ((resource.RLIMIT_AS, limits.memory),
                       (resource.RLIMIT_CPU, int(limits.notebook_seconds) + 3),
                       (resource.RLIMIT_FSIZE, limits.file), (resource.RLIMIT_CORE, 0),
                       (resource.RLIMIT_NOFILE, 128), (resource.RLIMIT_NPROC, limits.processes)):
        resource.setrlimit(what, (most, most))


def separate() -> bool:
    """Leave the namespaces of the parent and give up every privilege.

    Returns
    -------
    bool
        Whether the kernel allowed it; the next child of this process is then alone.
    """
    libc = ctypes.CDLL(None, use_errno=True)
    if libc.unshare(NEW_USER | NEW_PIDS | NEW_IPC | NEW_NET):
        return False
    os.chroot(INNER)
    os.chdir("/tmp")
    header = (ctypes.c_uint32 * 2)(0x20080522, 0)
    return not libc.capset(header, (ctypes.c_uint32 * 6)())


def close_calls() -> None:
    """Let the kernel refuse the calls in `CLOSED`, if it has filters and we know its numbers."""
    if os.uname().machine not in CLOSED:
        return
    machine, numbers = CLOSED[os.uname().machine]
    load, equal, above, give = 0x20, 0x15, 0x35, 0x06
    steps = [(load, 0, 0, 4), (equal, 0, len(numbers) + 3, machine),
             (load, 0, 0, 0), (above, len(numbers) + 1, 0, 0x40000000),
             *((equal, len(numbers) - place, 0, number) for place, number in enumerate(numbers)),
             (give, 0, 0, 0x7FFF0000), (give, 0, 0, 0x00050000 + errno.EPERM)]
    code = b"".join(struct.pack("HBBI", *step) for step in steps)
    held = ctypes.create_string_buffer(code, len(code))
    program = ctypes.create_string_buffer(struct.pack("HP", len(steps), ctypes.addressof(held)))
    ctypes.CDLL(None).prctl(SET_SECCOMP, FILTER, program, 0, 0)


def serve(control: socket.socket, *, boxed: bool) -> None:
    """Wait for notebooks and run each in a child.

    Parameters
    ----------
    control : socket
        To the grader. A message brings the channel of one notebook; the answer says whether the
        child was alone and left nothing behind.
    boxed : bool
        Whether this is a box that is to be left as it was.
    """
    libc = ctypes.CDLL(None)
    if boxed:
        if os.getuid() == 0:
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        libc.prctl(NO_NEW_PRIVILEGES, 1, 0, 0, 0)
        close_calls()
        os.chdir("/tmp")
    libc.prctl(SET_DUMPABLE, 0, 0, 0, 0)
    shell = load()
    gc.collect()
    gc.freeze()
    if boxed:
        _empty(PLACES)
    before = _state(PLACES)
    control.send(b"ready")
    while True:
        message, given, _, _ = socket.recv_fds(control, 4096, 1)
        if not message:
            return
        limits = Limits(**json.loads(message))
        pid = os.fork()
        if not pid:
            control.close()
            _child(given[0], shell, limits, boxed=boxed)
        os.close(given[0])
        _, status = os.waitpid(pid, 0)
        clean = os.waitstatus_to_exitcode(status) == 0 and not (boxed and _state(PLACES) != before)
        control.send(b"clean" if clean else b"not clean")


def _child(given: int, shell: Any, limits: Limits, *, boxed: bool) -> None:
    """Run one notebook in this process, a child of the parent's, and end it."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
        os.setsid()
        alone = not boxed or separate()
        if boxed and alone:
            pid = os.fork()
            if pid:
                os.close(given)
                os.waitpid(pid, 0)
                os._exit(0)
        limit(limits)
        with socket.socket(fileno=given) as channel, channel.makefile("rwb") as file:
            run(file, shell, snapshots=True)
    finally:
        if not boxed:
            with contextlib.suppress(OSError):
                os.killpg(0, signal.SIGKILL)
        os._exit(0 if alone else 3)


def _state(places: tuple[str, ...]) -> list[Any]:
    """Return what lies in each place and who may write there; nothing if it can't be seen."""
    try:
        return [(os.listdir(place), os.stat(place).st_mode) for place in places
                if os.path.isdir(place)]
    except OSError:
        return []


def _empty(places: tuple[str, ...]) -> None:
    import shutil

    for place in places:
        for name in os.listdir(place) if os.path.isdir(place) else ():
            path = os.path.join(place, name)
            if os.path.isdir(path):
                shutil.rmtree(path)
            else:
                os.remove(path)


class Pair:
    """One channel out of two streams.

    Parameters
    ----------
    incoming, outgoing : file
        Binary.
    """

    def __init__(self, incoming: Any, outgoing: Any) -> None:
        self.read = incoming.read
        self.write, self.flush = outgoing.write, outgoing.flush


def main() -> None:
    """Serve over the socket whose number is given, or run one notebook for whoever has a port."""
    match sys.argv[1:]:
        case ["serve", number, how]:
            with socket.socket(fileno=int(number)) as control:
                serve(control, boxed=how == "boxed")
        case ["once", port]:
            shell = load()
            with (socket.create_connection(("127.0.0.1", int(port))) as channel,
                  channel.makefile("rwb") as file):
                run(file, shell, snapshots=False)


if __name__ == "__main__":
    main()
