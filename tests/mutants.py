"""Break every formula of a module on purpose and see whether a test notices.

    python -m tests.mutants launch                  all places in book/bandwork/launch.py
    python -m tests.mutants launch --list           only say which places there are
    python -m tests.mutants launch --sites 20:40    some of them
    python -m tests.mutants launch --tests tests/launch/test_launch_formulas.py

A mutant is the module with one change: + for -, * for /, an exponent one higher or turned over, a
minus taken away, a number ten per cent larger (0 becomes 1), or one function for its neighbour
(sine for cosine). A test that fails kills it. One that no test kills has survived: a formula that
nobody checks, or a change that changes nothing, such as a start value of a search.

The library and its tests are loaded once. A first run without a change notes which statements each
test reaches; if a test fails there, nothing more is done. Then each mutant gets a fork of this
process, with the functions' code replaced, and only the tests that reach the place, quick ones and
good killers first. Hypothesis gets few examples. A test that takes four times its usual time of the
processor counts as failed. Examples in docstrings do not count: they repeat what the library
printed.

`mutants` alone works on any Python source.
"""

import argparse
import ast
import functools
import importlib
import os
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any, NamedTuple

import pytest

ROOT = Path(__file__).resolve().parents[1]
UNITS = {"rubber": ["stretch"], "components": ["stretch", "trim"], "water": ["trim"],
         "choice": ["setup"], "doubt": ["setup"]}
EXAMPLES = 12
_OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
_COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.Gt, ast.Gt: ast.Lt, ast.LtE: ast.GtE, ast.GtE: ast.LtE}
_NEIGHBOURS = {
    "square": "sqrt", "sqrt": "square", "cbrt": "sqrt", "sin": "cos", "cos": "sin", "tan": "sin",
    "arcsin": "arccos", "arccos": "arcsin", "arctan": "arcsin", "sinh": "cosh", "cosh": "sinh",
    "tanh": "sinh", "exp": "exp2", "log": "log2", "minimum": "maximum", "maximum": "minimum",
    "add": "subtract", "subtract": "add", "multiply": "divide", "divide": "multiply",
    "negative": "positive", "abs": "positive", "hypot": "add", "arctan2": "divide",
    "log1p": "log", "expm1": "exp", "arcsinh": "arccosh", "arccosh": "arcsinh"}
_NOT_FORMULAS = {"InputError", "Parameter", "enumerate", "lookup", "moveaxis", "numbers",
                 "of_kind", "ones", "range", "reshape", "round", "settle", "shown", "single",
                 "within", "zeros", "leggauss"}
_SETTINGS_OF_A_METHOD = {"axis", "atol", "decimals", "maxiter", "max_nfev", "rtol", "stacklevel",
                         "tolerances", "xtol", "ftol", "gtol", "width"}


class Mutant(NamedTuple):
    """One change: where, what, and the whole source with it."""

    line: int
    description: str
    source: str


def mutants(source: str, comparisons: bool = False) -> Iterator[Mutant]:
    """Every mutant of a Python source, in the order of its lines.

    With `comparisons` the signs < and > are turned too, and the numbers beside them changed.
    """
    tree = ast.parse(source)
    places = sorted(_places(tree, comparisons), key=lambda node: (node.lineno, node.col_offset))
    for node in places:
        for kind, part, changed in _changes(node):
            before, kept = ast.unparse(node), getattr(node, part)
            setattr(node, part, changed)
            ast.fix_missing_locations(tree)
            yield Mutant(node.lineno, f"{kind}: {before} -> {ast.unparse(node)}",
                         ast.unparse(tree))
            setattr(node, part, kept)


def _places(node: ast.AST, comparisons: bool) -> Iterator[Any]:
    """Nodes below `node` that belong to a formula."""
    if _is_a_formula(node):
        yield node
    skipped: list[Any] = []
    match node:
        case ast.Raise() | ast.JoinedStr() | ast.Assert():
            return
        case ast.Call() if _name(node.func) in _NOT_FORMULAS:
            skipped = [each for each in [*node.args, *(k.value for k in node.keywords)]
                       if not isinstance(each, ast.BinOp | ast.Call)]
        case ast.Call() if _name(node.func) == "linspace":
            skipped = node.args[2:]
        case ast.keyword() if node.arg in _SETTINGS_OF_A_METHOD:
            return
        case ast.Subscript():
            skipped = [node.slice]
        case ast.AnnAssign() | ast.arg():
            skipped = [node.annotation]
        case ast.FunctionDef():
            skipped = [node.returns]
        case ast.BinOp(op=ast.Pow(), right=ast.Constant()):
            skipped = [node.right]
        case ast.UnaryOp(op=ast.USub(), operand=ast.Constant()):
            skipped = []
        case ast.Compare() if comparisons:
            yield node
        case ast.Compare():
            skipped = [each for each in [node.left, *node.comparators]
                       if isinstance(each, ast.Constant)]
    for child in ast.iter_child_nodes(node):
        if not any(child is each for each in skipped):
            yield from _places(child, comparisons)


def _is_a_formula(node: ast.AST) -> bool:
    match node:
        case ast.BinOp(op=ast.Add()):
            return not any(isinstance(each, ast.JoinedStr | ast.List | ast.Tuple)
                           or isinstance(getattr(each, "value", None), str)
                           for each in ast.walk(node))
        case ast.BinOp() | ast.AugAssign():
            return isinstance(node.op, (*_OPERATORS, ast.Pow))
        case ast.UnaryOp():
            return isinstance(node.op, ast.USub)
        case ast.Constant():
            return isinstance(node.value, int | float) and not isinstance(node.value, bool)
        case ast.Attribute():
            return node.attr in _NEIGHBOURS
    return False


def _changes(node: Any) -> Iterator[tuple[str, str, Any]]:
    """Kind of change, part of the node and what to put there."""
    match node:
        case ast.BinOp(op=ast.Pow()):
            yield "exponent", "right", ast.BinOp(node.right, ast.Add(), ast.Constant(1))
            yield "exponent", "right", ast.BinOp(ast.Constant(1), ast.Div(), node.right)
        case ast.BinOp() | ast.AugAssign():
            yield "operator", "op", _OPERATORS[type(node.op)]()
        case ast.UnaryOp():
            yield "sign", "op", ast.UAdd()
        case ast.Constant(value=int() | float() as number):
            yield "number", "value", number * 1.1 or 1
        case ast.Attribute():
            yield "function", "attr", _NEIGHBOURS[node.attr]
        case ast.Compare():
            for i, sign in enumerate(node.ops):
                if type(sign) in _COMPARISONS:
                    turned = [*node.ops]
                    turned[i] = _COMPARISONS[type(sign)]()
                    yield "comparison", "ops", turned


def _name(called: ast.expr) -> str:
    return getattr(called, "id", getattr(called, "attr", ""))


def _statements(tree: ast.AST) -> Iterator[ast.stmt]:
    """Statements inside functions, outer ones first."""
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef):
            yield from (node for part in function.body for node in ast.walk(part)
                        if isinstance(node, ast.stmt))


def _with_probes(source: str) -> str:
    """The source with a note `_reached(line)` before each statement of a function."""
    tree = ast.parse(source)
    inside = {id(statement) for statement in _statements(tree)}
    for node in ast.walk(tree):
        for name in ("body", "orelse", "finalbody"):
            block = getattr(node, name, None)
            if isinstance(block, list) and any(id(each) in inside for each in block):
                probed = [[ast.parse(f"_reached({each.lineno})").body[0], each] for each in block]
                first = isinstance(node, ast.FunctionDef) and ast.get_docstring(node) is not None
                setattr(node, name, [part for pair in probed for part in pair][first:])
    return ast.unparse(ast.fix_missing_locations(tree))


def _probe_of(source: str) -> dict[int, int]:
    """For each line, the line of the innermost statement it belongs to."""
    return {line: statement.lineno for statement in _statements(ast.parse(source))
            for line in range(statement.lineno, (statement.end_lineno or 0) + 1)}


def _put(source: str, module: ModuleType) -> None:
    """Let the functions and numbers of a loaded module be those of a changed source."""
    made: dict[str, Any] = {"__name__": module.__name__, "__file__": module.__file__,
                            "_reached": getattr(module, "_reached", None)}
    exec(compile(source, f"<mutant of {module.__name__}>", "exec", dont_inherit=True), made)
    for name, new in made.items():
        old = vars(module).get(name)
        if isinstance(new, type) and new.__module__ == module.__name__:
            for part, after in vars(new).items():
                before = vars(old).get(part)
                if (isinstance(after, int | float | tuple | dict) and not part.startswith("__")
                        and repr(before) != repr(after)):
                    setattr(old, part, after)
                _replace_code(before, after)
            for part, field in getattr(new, "__dataclass_fields__", {}).items():
                _replace_code(vars(old)["__dataclass_fields__"][part].default_factory,
                              field.default_factory)
        elif getattr(new, "__module__", None) == module.__name__:
            _replace_code(old, new)
        elif isinstance(new, int | float | tuple | dict) and repr(old) != repr(new):
            for user in _modules():
                if vars(user).get(name) is old:
                    setattr(user, name, new)
    for user in _modules():
        for each in vars(user).values():
            if callable(getattr(each, "cache_clear", None)):
                each.cache_clear()


def _replace_code(old: Any, new: Any) -> None:
    for inner in ("__func__", "__wrapped__", "fget", "func"):
        if not isinstance(new, FunctionType) and hasattr(new, inner):
            old, new = getattr(old, inner), getattr(new, inner)
    if isinstance(new, FunctionType) and len(old.__code__.co_freevars) == len(
            new.__code__.co_freevars):
        old.__code__ = new.__code__
        if new.__defaults__ is not None:
            old.__defaults__ = tuple(
                after if isinstance(after, int | float | tuple) else before
                for before, after in zip(old.__defaults__, new.__defaults__, strict=True))


def _modules() -> list[ModuleType]:
    return [module for name, module in list(sys.modules.items())
            if name.startswith(("bandwork", "tests")) and isinstance(module, ModuleType)]


class _Hunt:
    """A pytest plugin that runs the tests it finds once for each mutant."""

    def __init__(self, module: ModuleType, wanted: slice, jobs: int, comparisons: bool) -> None:
        self.module, self.jobs = module, jobs
        self.source = Path(str(module.__file__)).read_text()
        self.mutants = list(mutants(self.source, comparisons))[wanted]
        self.failed = False
        self.survivors: list[Mutant] = []

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.failed = self.failed or report.failed

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        if session.testsfailed or not session.items:
            raise pytest.UsageError("the tests could not be collected")
        for item in session.items:
            _few_examples(item)
        started = time.monotonic()
        took, reached = self._control(session.items)
        print(f"{self.module.__name__}: {len(session.items)} tests pass without a change in "
              f"{time.monotonic() - started:.0f} s; {len(self.mutants)} mutants", flush=True)
        started, kills, unloadable = time.monotonic(), Counter[tuple[int | None, int]](), 0
        probe, waiting = _probe_of(self.source), list(self.mutants)
        running: dict[int, tuple[Mutant, int]] = {}
        while waiting or running:
            if waiting and len(running) < self.jobs:
                mutant = waiting.pop(0)
                at = probe.get(mutant.line)
                tests = [i for i in took if at is None or at in reached[i]]
                cost = {i: took[i] / (1 + kills[0, i] + 99 * kills[at, i]) for i in tests}
                tests.sort(key=cost.__getitem__)
                pid, answer = _fork(self._try(mutant, tests, session, took))
                running[pid] = mutant, answer
                continue
            pid, status = os.wait()
            mutant, answer = running.pop(pid)
            with os.fdopen(answer) as pipe:
                said = pipe.read().split()
            match said[-1:]:
                case ["survived"] if status == 0:
                    self.survivors.append(mutant)
                    print(f"{self.module.__name__.split('.')[-1]}:{mutant.line} "
                          f"{mutant.description}   ({len(said) - 2} tests)", flush=True)
                case ["loading"]:
                    unloadable += 1
                case [test] if test.isdecimal():
                    kills.update({(0, int(test)), (probe.get(mutant.line), int(test))})
                case _:
                    raise RuntimeError(f"no test was run on {mutant.description}")
        spent = time.monotonic() - started
        print(f"{len(self.mutants) - len(self.survivors)} of {len(self.mutants)} mutants killed "
              f"({unloadable} as the module was loaded), {len(self.survivors)} survived; "
              f"{spent:.0f} s, "
              f"{spent / max(1, len(self.mutants)):.2f} s each")
        return True

    def _run(self, item: pytest.Item) -> bool:
        self.failed = False
        item.ihook.pytest_runtest_protocol(item=item, nextitem=None)
        return not self.failed

    def _control(self, items: list[pytest.Item]) -> tuple[dict[int, float], dict[int, set[int]]]:
        """How long each test takes and which statements it reaches, with nothing changed."""
        def note(say: Any) -> None:
            seen: set[int] = set()
            vars(self.module)["_reached"] = seen.add
            probed = _with_probes(self.source)
            for i, item in enumerate(items):
                _put(probed, self.module)
                seen.clear()
                before = time.process_time()
                passed, spent = self._run(item), time.process_time() - before
                say(f"{i} {spent:.3f} {passed:d} {','.join(map(str, seen))}\n")

        pid, answer = _fork(note)
        took, reached, failing = {}, {}, []
        with os.fdopen(answer) as pipe:
            for row in pipe:
                number, seconds, passed, lines = row.rstrip("\n").split(" ")
                i = int(number)
                took[i], reached[i] = float(seconds), {int(x) for x in lines.split(",") if x}
                if passed == "0":
                    failing.append(items[i].nodeid)
        os.waitpid(pid, 0)
        if failing or len(took) < len(items):
            raise pytest.UsageError(f"without any change these tests fail: {failing}")
        return took, reached

    def _try(self, mutant: Mutant, tests: list[int], session: pytest.Session,
             took: dict[int, float]) -> Any:
        def tell(say: Any) -> None:
            say("loading\n")
            signal.setitimer(signal.ITIMER_PROF, 20)
            _put(mutant.source, self.module)
            for i in tests:
                say(f"{i}\n")
                signal.setitimer(signal.ITIMER_PROF, 5 + 4 * took[i])
                if not self._run(session.items[i]):
                    return
            say("survived\n")
        return tell


def _few_examples(item: pytest.Item) -> None:
    test = getattr(item, "obj", None)
    given = getattr(test, "_hypothesis_internal_use_settings", None)
    if given is not None:
        from hypothesis import HealthCheck, Phase, settings

        test = getattr(test, "__func__", test)
        test._hypothesis_internal_use_settings = settings(  # type: ignore[union-attr]
            given, max_examples=min(EXAMPLES, given.max_examples), database=None, deadline=None,
            derandomize=True, phases=[Phase.explicit, Phase.generate],
            suppress_health_check=list(HealthCheck))


def _fork(work: Any) -> tuple[int, int]:
    """Do `work(say)` in a copy of this process; its number, and where to read what it says."""
    receive, send = os.pipe()
    pid = os.fork()
    if pid:
        os.close(send)
        return pid, receive
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    code = 1
    try:
        work(lambda text: os.write(send, text.encode()))
        code = 0
    finally:
        os._exit(code)


def _slice(text: str) -> slice:
    return slice(*(int(part) if part else None for part in text.split(":")))


def main() -> int:
    """Run the command."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__,
                                     formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("module", help="stretch, launch, rubber ...")
    parser.add_argument("--sites", type=_slice, default=slice(None), metavar="A:B",
                        help="only these places, as --list counts them")
    parser.add_argument("--list", action="store_true", help="list the places and stop")
    parser.add_argument("--tests", nargs="+", metavar="PATH", help="only these tests")
    parser.add_argument("--comparisons", action="store_true", help="turn < and > too")
    parser.add_argument("--jobs", type=int, default=1, help="mutants at a time (1)")
    given = parser.parse_args()
    if given.list:
        source = (ROOT / "book/bandwork" / f"{given.module}.py").read_text()
        for i, mutant in list(enumerate(mutants(source, given.comparisons)))[given.sites]:
            print(f"{i:4} {given.module}:{mutant.line} {mutant.description}")
        return 0
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    functools.cached_property = property  # type: ignore[misc, assignment]
    module = importlib.import_module(f"bandwork.{given.module}")
    units = UNITS.get(given.module, [given.module])
    found = [*(ROOT / "tests" / unit for unit in units), ROOT / "tests/library/test_values.py",
             *(ROOT / f"tests/outside/test_{name}_outside.py" for name in {given.module, *units})]
    tests = given.tests or sorted(str(path) for path in found if path.exists())
    hunt = _Hunt(module, given.sites, given.jobs, given.comparisons)
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        ended = pytest.main(
            [*tests, "-c", str(ROOT / "pyproject.toml"), "--rootdir", str(ROOT), "-q", "-q", "-s",
             "-o", "addopts=", "--import-mode=importlib", "--basetemp", f"{folder}/pytest",
             "-p", "no:cacheprovider", "-p", "no:xdist"], plugins=[hunt])
    return 1 if hunt.survivors else 0 if ended in (0, 5) else int(ended)


if __name__ == "__main__":
    sys.exit(main())
