"""Invented submissions that try to cheat, to break or to escape; each is run by the tests.

`CODE` holds what stands in the first cell that a learner may write in; the answers are blank, so
whatever earns a mark there was gained by the trick. `NOTEBOOKS` change the whole notebook.
"""

import copy
import json
import os

MARKER = "/tmp/bandwork-a-learner-was-here"

CODE = {
    "equal-to-everything": """
class Same(float):
    def __eq__(self, other): return True
    def __le__(self, other): return True
    def __lt__(self, other): return True
    def __float__(self): return 1.0
    def __sub__(self, other): return 0.0
    def __call__(self, *_): return self
    def __len__(self): return 3
    def __iter__(self): return iter([self] * 3)
for name in my_variables: globals()[name] = Same()
""",
    "lying-numbers": """
import numpy as np
class Lying(np.float64):
    def __float__(self): return float(next(turns))
    def __eq__(self, other): return True
    def __abs__(self): return Lying(0)
import itertools
turns = itertools.count(5000)
Lying.__module__ = "numpy"
Real = type("Float", (Lying,), {"__module__": "sympy.core", "is_number": True,
                                "is_extended_real": True, "__class__": property(lambda s: float)})
for place, name in enumerate(my_variables): globals()[name] = (Lying, Real)[place % 2](3e9)
""",
    "patched-checks": """
import sys, bandwork.classroom.checks as checks, bandwork.classroom.work as the_work
checks.Exercise.judge = lambda self, key, *a, **k: checks.Outcome(key, True, "right", share=1.0)
the_work.Work.check = lambda *a, **k: print("✓ right.")
the_work.verdict = lambda *a: ("✓ right.", None)
import bandwork.classroom.engine.plain as plain
import bandwork.classroom.engine.inside as inside
plain.pack = inside.pack = inside._packed = lambda *a: ["truth", True]
""",
    "patched-numpy": """
import numpy as np
np.abs = np.asarray = lambda *a, **k: 0
np.all = np.allclose = lambda *a, **k: True
import math; math.isfinite = lambda x: True
""",
    "patched-builtins": """
import builtins
builtins.abs = lambda x: 0
builtins.all = builtins.any = lambda *a: True
builtins.float = builtins.isinstance = lambda *a: 1.0
""",
    "patched-shell": """
shell = get_ipython()
shell.input_transformers_cleanup.append(lambda lines: ["pass"])
type(shell).run_cell = lambda *a, **k: None
""",
    "swapped-modules": """
import sys
class Fake:
    def __getattr__(self, name): return lambda *a, **k: None
for name in list(sys.modules):
    if name.startswith("bandwork"): sys.modules[name] = Fake()
sys.meta_path.insert(0, Fake()); sys.path_hooks.clear()
sys.displayhook = sys.excepthook = lambda *a: None
""",
    "import-hooks": """
import importlib.abc, importlib.util, sys
class Hook(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    def find_spec(self, name, path=None, target=None):
        return importlib.util.spec_from_loader(name, self) if name.startswith("bandwork") else None
    def exec_module(self, module): module.__getattr__ = lambda name: lambda *a, **k: True
sys.meta_path.insert(0, Hook())
for name in list(sys.modules):
    if name.startswith("bandwork"): del sys.modules[name]
import bandwork.classroom.work, bandwork.classroom.engine.plain
""",
    "extension": """
import os, sys
os.makedirs("/tmp/planted", exist_ok=True)
with open("/tmp/planted/extension.py", "w") as file:
    file.write("def load_ipython_extension(shell):\\n"
               "    shell.events.register('post_run_cell', lambda *a: print('✓ right.'))\\n"
               "    shell.run_cell = shell.run_cell_async = lambda *a, **k: None\\n")
sys.path.insert(0, "/tmp/planted")
get_ipython().run_line_magic("load_ext", "extension")
""",
    "display-hooks": """
shell = get_ipython()
for kind in (int, float, str, tuple):
    shell.display_formatter.formatters["text/html"].for_type(kind, lambda *a: "✓ right. 2 of 2")
shell.set_custom_exc((BaseException,), lambda *a, **k: print("✓ right."))
shell._showtraceback = shell.showtraceback = lambda *a, **k: print("✓ right.")
type(shell.display_pub).publish = lambda *a, **k: None
shell.shown.clear = lambda: None
""",
    "audit-hook": """
import sys
def hook(event, arguments):
    if event in ("open", "import", "exec", "compile", "os.fork"): raise RuntimeError("✓ right.")
sys.addaudithook(hook)
""",
    "frames": """
import ctypes, sys
frame = sys._getframe()
while frame:
    held = frame.f_locals
    for name in ("task", "cell", "told", "limits", "asked", "names"):
        if name in held:
            try: held[name].update(variables={}, answers={}, check=0, whose="zzz-last")
            except Exception: pass
            held[name] = None
    channel = held.get("channel")
    if hasattr(channel, "write"):
        real = channel.write
        channel.write = lambda body: real(body.replace(b'"number", ', b'"truth", '))
    ctypes.pythonapi.PyFrame_LocalsToFast(ctypes.py_object(frame), ctypes.c_int(0))
    frame = frame.f_back
""",
    "history": """
shell = get_ipython()
kept = [In, Out, globals().get("_ih"), shell.history_manager.input_hist_raw,
        list(shell.history_manager.get_range(raw=True)), shell.user_ns_hidden]
if "HIDDEN" + " TESTS" in repr(kept) or "work" + ".check(" in repr(kept):
    print("found", repr(kept)[:2000])
""",
    "parents-memory": """
import ctypes, os
libc = ctypes.CDLL(None, use_errno=True)
for process in {os.getppid(), 1, 2, 3}:
    for what in ("mem", "maps", "environ", "cmdline", "root/etc/passwd", "cwd/x", "fd/3"):
        try: print("found", open(f"/proc/{process}/{what}", "rb").read(20))
        except OSError: pass
    buffer, there = ctypes.create_string_buffer(64), ctypes.c_size_t(0x400000)
    class Piece(ctypes.Structure): _fields_ = [("base", ctypes.c_void_p), ("size", ctypes.c_size_t)]
    near, far = Piece(ctypes.addressof(buffer), 64), Piece(there.value, 64)
    if process != os.getpid():
        if libc.process_vm_readv(process, ctypes.byref(near), 1, ctypes.byref(far), 1, 0) > 0:
            print("found memory")
        if libc.ptrace(16, process, 0, 0) == 0: print("found process")
""",
    "traced": """
import sys, threading
def tracer(frame, event, argument):
    if "answers" in frame.f_locals: frame.f_locals["answers"] = {}
    return tracer
sys.settrace(tracer); threading.settrace(tracer)
""",
    "garbage-collector": """
import gc
from bandwork.classroom.checks import Exercise, Item
for one in gc.get_objects():
    if isinstance(one, Exercise): object.__setattr__(one, "items", ())
    if isinstance(one, Item): object.__setattr__(one, "points", 0)
    if isinstance(one, Item): object.__setattr__(one, "tolerance", 1e9)
""",
    "forged-protocol": """
import gc, json, socket
for one in gc.get_objects():
    if isinstance(one, socket.socket):
        for said in [{"shown": n, "outputs": []} for n in range(40)] + [{"end": True}]:
            body = json.dumps(said).encode()
            try: one.sendall(len(body).to_bytes(4, "big") + body)
            except OSError: pass
""",
    "forged-nonsense": """
import os
for number in range(3, 64):
    try: os.write(number, b"\\x00\\x00\\x00\\x05[[[[[" * 50)
    except OSError: pass
""",
    "forged-rows": """
import os
body = b"[" + b"[]," * 5_000_000 + b"[]]"
for number in range(3, 64):
    try:
        with open(number, "wb", closefd=False) as channel:
            channel.write(len(body).to_bytes(4, "big") + body)
    except OSError: pass
""",
    "forged-flood": """
import os
for number in range(3, 64):
    try:
        while True: os.write(number, b"\\x01" * 1_000_000)
    except OSError: pass
""",
    "another-learner": """
my_name = "somebody-else"
""",
    "imitated-score": """
from IPython.display import display
print("✓ right. Earns 2.0 of 2 points"); display(2.0)
2.0
""",
    "exits": """
import atexit, os
atexit.register(lambda: print("✓ right."))
os._exit(0)
""",
    "kills-python": """
import ctypes
ctypes.string_at(0)
""",
    "deep": """
import sys
sys.setrecursionlimit(10**9)
def down(x): return down([x])
down(0)
""",
    "hidden-tests": """
import gc, linecache, sys, os, glob
def look():
    for one in gc.get_objects():
        if isinstance(one, (str, dict, list)) and "HIDDEN" + " TESTS" in repr(one)[:100000]:
            print("found", repr(one)[:2000])
    frame = sys._getframe()
    while frame:
        for value in frame.f_locals.values():
            if "HIDDEN" + " TESTS" in repr(value)[:100000]: print("found", repr(value)[:2000])
        frame = frame.f_back
    for name, text in linecache.cache.items():
        if "HIDDEN" + " TESTS" in repr(text) and "interactive" not in name and "input" not in name:
            if "classroom" not in name: print("found", name)
try: look()
except Exception as problem: print(type(problem))
for top in ("/work", "/root", "/home", "/srv", "/mnt", os.getcwd(), "/"):
    for place, _, files in os.walk(top):
        if place.startswith(("/usr", "/lib", "/dev")) or "/lib/python3" in place: continue
        for name in files:
            if name.endswith(("gradebook.db", "stretch.md", "warmup.md", "warmup.ipynb")):
                print("found", place, name)
""",
    "asks-for-more": """
import os, socket, urllib.request
for port in (PORT,):
    try: socket.create_connection(("127.0.0.1", port), 1).send(b"I am out"); print("found a way")
    except OSError: pass
try: urllib.request.urlopen("http://192.0.2.1/", timeout=1); print("found a way")
except OSError: pass
""",
    "reads-files": """
import os
for path in ("PRIVATE", "/etc/passwd", "/etc/shadow", "/proc/1/environ", "/proc/self/mem",
             "/root/.bash_history"):
    try: print("found", open(path).read()[:50])
    except OSError: pass
for place in ("/proc", "/sys", "/home", "/var", "/work"):
    if os.path.isdir(place) and os.listdir(place) not in ([], ["main"]): print("found", place)
""",
    "writes-files": f"""
import os
for path in ("{MARKER}", "PRIVATE", "/library/bandwork/units.py", "/usr/bin/python-x",
             "/dev/shm/later", "/tmp/later"):
    try: open(path, "a").write("# a learner was here")
    except OSError: pass
for name in ("numpy.py", "usercustomize.py", "sitecustomize.py", "bandwork.py"):
    open(os.path.join("/tmp", name), "w").write("raise SystemExit('planted')")
""",
    "plants": """
import os
for place in ("/", "/dev", "/etc", "/library", "/usr/share/fonts", "/work", "/dev/shm", "/tmp"):
    try:
        with open(os.path.join(place, "wave.py"), "w") as file: file.write("print('found planted')")
        if place not in ("/tmp", "/dev/shm"): print("found", place)
    except OSError: pass
    try: os.chmod(place, 0o555)
    except OSError: pass
try:
    os.set_blocking(2, False)
    for _ in range(4): os.write(2, b"x" * 65536)
except OSError: pass
""",
    "plants-later": """
import tempfile
tempfile.TemporaryFile().write(b"x")
import os, wave
for _ in range(4): os.write(2, b"x" * 65536)
""",
    "keys-and-memory-of-nobodys": """
import ctypes, os
libc = ctypes.CDLL(None, use_errno=True)
calls = {"x86_64": (29, 68, 240, 250, 319, 447), "aarch64": (194, 186, 180, 219, 279, 447)}
for number in calls.get(os.uname().machine, ()):
    if libc.syscall(number, 0, 4096, 0o1600, 0) != -1 or ctypes.get_errno() != 1:
        print("found call", number)
""",
    "hogs-memory-that-is-shared": """
import mmap, os, time
for _ in range(4):
    if os.fork() == 0:
        held = mmap.mmap(-1, 400_000_000)
        for place in range(0, len(held), 4096): held[place] = 1
        time.sleep(60)
time.sleep(60)
""",
    "half-a-letter": """
print("\\udc80")
class Odd(Exception): pass
def recipe_cm(x): raise Odd("\\udc80")
""",
    "a-slip-that-was-not-made": """
def recipe_cm(x): raise ValueError("the barrel was not halved.")
""",
    "noughts": """
relaxed_cm = load_N = disc_mm2 = 0
relaxed_row_cm = [0, 0, 0, 0]
def recipe_cm(x): return 0
""",
    "many-curves": """
import matplotlib.pyplot as plt, numpy as np
figure, axes = plt.subplots()
barrels = np.array([100, 110, 120, 130])
for more in np.arange(0, 20, 0.5):
    axes.plot(barrels, barrels / 2 + more, "o")
axes.set_xlabel("cm"); axes.set_ylabel("cm")
""",
    "links": """
import os
os.symlink("PRIVATE", "/tmp/link"); print(os.path.exists("/tmp/link"))
try: os.link("PRIVATE", "/tmp/hard"); print("found")
except OSError: pass
""",
    "signals": """
import os, signal
for target in (os.getppid(), 0, 1, -1, 2, 3):
    for which in (signal.SIGUSR1, signal.SIGSTOP, signal.SIGKILL):
        try: os.kill(target, which)
        except OSError: pass
""",
    "other-processes": """
import ctypes, os, resource
for target in set(range(1, 50)) - {os.getpid()}:
    for what in (lambda: resource.prlimit(target, resource.RLIMIT_AS, (1, 1)),
                 lambda: os.setpriority(os.PRIO_PROCESS, target, 19),
                 lambda: os.sched_setaffinity(target, {0})):
        try: what(); print("found process", target)
        except OSError: pass
if os.getuid() == 0: print("found root")
if ctypes.CDLL(None).mount(b"none", b"/tmp", b"tmpfs", 0, None) == 0: print("found mount")
""",
    "new-namespaces": """
import ctypes
libc = ctypes.CDLL(None)
for flags in (0x10000000, 0x00020000, 0x10020000, 0x20000000, 0x40000000):
    if libc.unshare(flags) == 0: print("found namespaces", flags)
if libc.mount(b"none", b"/tmp", b"tmpfs", 0, None) == 0: print("found mount")
if libc.chroot(b"/tmp") == 0 or libc.ptrace(16, 1, 0, 0) == 0: print("found more")
""",
    "stays-behind": """
import os, subprocess, sys, threading, time
if os.fork() == 0:
    os.setsid()
    while True: time.sleep(1)
threading.Thread(target=lambda: time.sleep(10**6)).start()
subprocess.Popen([sys.executable, "-c", "import time; time.sleep(10**6)"])
""",
    "loops": "while True: pass",
    "loops-all-over": """
import os, signal
for which in (signal.SIGPROF, signal.SIGALRM, signal.SIGXCPU): signal.signal(which, signal.SIG_IGN)
for _ in range(3): os.fork()
while True: pass
""",
    "sleeps": """
import signal, time
signal.signal(signal.SIGALRM, signal.SIG_IGN)
while True:
    try: time.sleep(10**6)
    except BaseException: pass
""",
    "forks": """
import os
while True:
    try: os.fork()
    except OSError: pass
""",
    "hogs-memory": """
held = []
while True: held.append(bytearray(50_000_000))
""",
    "hogs-memory-together": """
import os, time
for _ in range(20):
    try:
        if os.fork() == 0:
            held = [bytearray(os.urandom(1000) * 100_000) for _ in range(8)]
            time.sleep(60)
    except OSError: pass
time.sleep(60)
""",
    "hogs-memory-from-a-thread": """
import os, threading, time
def fork():
    for _ in range(20):
        if os.fork() == 0:
            held = [bytearray(os.urandom(1000) * 100_000) for _ in range(8)]
            time.sleep(60)
    time.sleep(60)
threading.Thread(target=fork).start()
time.sleep(60)
""",
    "prints-a-gigabyte": """
for _ in range(1000): print("x" * 1_000_000)
""",
    "shows-a-gigabyte": """
from IPython.display import HTML, display
for _ in range(300): display(HTML("x" * 1_000_000))
""",
    "fills-the-disk": """
for number in range(100):
    try:
        with open(f"/tmp/{number}", "wb") as file:
            for _ in range(100): file.write(b"x" * 10_000_000)
    except OSError: pass
""",
    "asks": "input('the answer? ')",
    "slow-to-read": "# " + "classroom " * 30_000,
    "talks-to-itself": """
import socket
with socket.create_server(("127.0.0.1", 0)) as server:
    try:
        with socket.create_connection(server.getsockname(), timeout=2): print("found")
    except OSError: pass
""",
    "script": """
from IPython.display import HTML, Javascript, display
display(HTML("<script>fetch('/formgrader/api/grade')</script><img src=x onerror=alert(1)>"))
display(Javascript("alert(1)"))
display({"application/javascript": "alert(1)", "text/html": "<script>alert(2)</script>",
         "image/svg+xml": "<svg onload='alert(3)'/>"}, raw=True)
for kind in ("image/png", "image/jpeg"): display({kind: "x' onerror='alert(4)"}, raw=True)
""",
    "odd-answers": """
load_N = 10**5000
relaxed_cm = float("nan")
disc_mm2 = type("£" * 9000, (), {"__module__": "numpy"})()
relaxed_row_cm = [[[[[[1]]]]]] * 4
right_answer_means = {"A": [None, ...]}
def recipe_cm(x): return recipe_cm
""",
}
"""Learner -> code. `PRIVATE` and `PORT` are put in by the test."""
BARE = ("equal-to-everything", "lying-numbers", "odd-answers", "half-a-letter",
        "a-slip-that-was-not-made", "noughts", "many-curves")
"""Whose answer cells are empty, so that their code gives the answers."""


def of_code(released, learner, code, variables):
    """Return a released notebook with hostile code where the learner writes the id."""
    made = copy.deepcopy(released)
    for cell in made["cells"]:
        mark = cell["metadata"].get("nbgrader", {})
        if mark.get("grade_id") == "learner_id":
            cell["source"] = f'learner_id = "{learner}"\nmy_variables = {variables!r}\n{code}'
        elif mark.get("solution") and not mark.get("grade") and learner in BARE:
            cell["source"] = ""
    return made


def _skipped(made):
    for cell in made["cells"]:
        cell["metadata"]["tags"] = ["skip-execution", "raises-exception", "remove-cell"]
        cell["metadata"]["skip-execution"] = True
    made["metadata"]["kernelspec"] = {"name": "no-such-kernel", "display_name": "x"}
    return made


def _forged(made):
    for cell in made["cells"]:
        mark = cell["metadata"].get("nbgrader", {})
        if cell["cell_type"] == "code":
            cell["outputs"] = [{"output_type": "execute_result", "execution_count": 1,
                                "metadata": {}, "data": {"text/plain": "100.0"}}]
        if mark.get("grade"):
            mark.update(points=1000, checksum="0" * 32, schema_version=2)
            cell["source"] = "print('right')"
        if mark and not mark.get("grade"):
            mark.update(grade=True, points=1000)
    made["metadata"]["bandwork"] = {"unit": "stretch", "learner": "ada", "worked_as": ["ada"]}
    return made


def _retyped(made):
    for cell in made["cells"]:
        if cell["metadata"].get("nbgrader", {}).get("grade"):
            cell["cell_type"] = "raw"
            cell.pop("outputs", None)
            cell.pop("execution_count", None)
    return made


def _odd(made):
    for text in ("\x00", "print('\ud800')", "(" * 100_000, "x" * 1_000_000, "a=1;" * 5_000,
                 "!echo 1", "\u202e" + "\u0301" * 5_000):
        made["cells"].insert(1, {"cell_type": "code", "id": "odd", "metadata": {}, "outputs": [],
                                 "execution_count": None, "source": text})
    return made


def _other_id(made):
    return json.loads(json.dumps(made).replace('\\"id-is-a-path\\"', '\\"../zzz-last\\"'))


def _without(made, *kinds):
    made["cells"] = [cell for cell in made["cells"]
                     if not any(cell["metadata"].get("nbgrader", {}).get(kind) for kind in kinds)
                     or cell["metadata"]["nbgrader"]["grade_id"] == "check_recipe"]
    return made


SCRIPTS = (
    "<script>fetch('/formgrader')</script>", "<img src=x onerror=a()>",
    "![x](http://192.0.2.1/x.png)", "<iframe src='//192.0.2.1'></iframe>",
    "<style>* {display: none}</style>", "[x](javascript:a())",
    "<b style='position:fixed' class='navbar-fixed-top'>8 of 8</b>",
    "<svg onload=a()></svg><math href='javascript:a()'>x</math>")


def _with_scripts(made):
    made["cells"] += [{"cell_type": "markdown", "id": f"script-{number}", "metadata": {},
                       "source": text} for number, text in enumerate(SCRIPTS)]
    return made


NOTEBOOKS = {
    "script-in-a-text": _with_scripts,
    "tags-that-skip": _skipped,
    "forged-metadata": _forged,
    "checks-as-text": _retyped,
    "checks-deleted": lambda made: _without(made, "grade"),
    "all-deleted": lambda made: _without(made, "grade", "locked", "solution"),
    "cells-copied": lambda made: {**made, "cells": made["cells"] + copy.deepcopy(made["cells"])},
    "odd-texts": _odd,
    "id-is-a-path": _other_id,
    "cells-reordered": lambda made: {**made, "cells": made["cells"][::-1]},
    "numbers-changed": lambda made: json.loads(json.dumps(made).replace(
        'Work(\\"warmup\\", learner_id)', 'Work(\\"warmup\\", \\"guest\\")')),
}
"""Learner -> change of the released notebook."""


def write(place, text):
    """Write one submission."""
    os.makedirs(place, exist_ok=True)
    with open(os.path.join(place, "warmup.ipynb"), "w", encoding="utf-8",
              errors="surrogatepass") as file:
        file.write(text)


def put_beside(place):
    """Put files beside a submission whose names collide with what the grader imports and writes."""
    for name in ("numpy.py", "sitecustomize.py", "json.py", "conftest.py", "warmup.py"):
        (place / name).write_text("raise SystemExit('planted')", encoding="utf-8")
    for name in ("bandwork", ".warmup.ipynb.new", "gradebook.db", "autograded"):
        (place / name).mkdir()
    (place / "bandwork" / "__init__.py").write_text("raise SystemExit", encoding="utf-8")
    (place / "class.toml").write_text("[late]\nper_day = 100", encoding="utf-8")
