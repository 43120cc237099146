"""What code computes with: the files of the course that it imports, and a hash of them.

The results of a page's code and a drawn figure are kept with such a hash, so that an edit of the
library computes anew what depends on it and nothing else.
"""

import ast
import hashlib
import platform
import re
from collections.abc import Iterable, Iterator
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import bandwork

LIBRARY = Path(bandwork.__file__).parent
NAME = re.compile(r"[\w./-]+")


def computing_files(code: str, root: Path) -> list[Path]:
    """Return the files of the course that decide what code computes.

    These are the modules of `bandwork` and `figures` that it imports, those that they import, and
    so on, and the library's data files that one of them names. A module counts as imported
    wherever in the code that is done, and also where a text in quotes is its name; such a text
    that ends with a dot stands for all modules of a folder.

    Parameters
    ----------
    code : str
        Python, as IPython accepts it.
    root : Path
        The folder of the course.

    Returns
    -------
    list of Path
        Sorted.
    """
    found: set[Path] = set()
    ahead = set(_files_named(_named(code), root))
    while ahead:
        path = ahead.pop()
        found.add(path)
        if path.suffix == ".py":
            ahead |= _files_beside(path, root) - found
    return sorted(found)


def computing_key(files: Iterable[Path], root: Path) -> str:
    """Hash files of the course, with the versions of Python and of what the course installs.

    Parameters
    ----------
    files : iterable of Path
        Such as `computing_files` returns. One that has gone changes the hash.
    root : Path
        The folder of the course.

    Returns
    -------
    str
        Sixteen hexadecimal digits.
    """
    requirements = (root / "requirements.txt").read_text(encoding="utf-8")
    digest = hashlib.sha256(_installed(requirements).encode())
    for path in files:
        digest.update(path.name.encode())
        digest.update(path.read_bytes() if path.is_file() else b"gone")
    return digest.hexdigest()[:16]


@cache
def _installed(requirements: str) -> str:
    told = [platform.python_version()]
    for line in requirements.splitlines():
        if package := re.match(r"[A-Za-z][\w.-]*", line):
            try:
                told.append(f"{line} is {version(package[0])}")
            except PackageNotFoundError:
                told.append(f"{line} is missing")
    return "\n".join(told)


def _files_beside(path: Path, root: Path) -> set[Path]:
    """Return the files that a module names itself, not those that they name in turn."""
    return _read(path, path.stat().st_mtime_ns, root)


@cache
def _read(path: Path, changed: int, root: Path) -> set[Path]:
    return set(_files_named(_named(path.read_text(encoding="utf-8")), root))


def _named(code: str) -> Iterator[str]:
    """Yield each name that code imports and each text in it that could be one."""
    try:
        parsed = ast.parse(code)
    except SyntaxError:  # it computes nothing, and whoever runs it says why
        return
    for node in ast.walk(parsed):
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{one.name}" for one in node.names)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


def _files_named(names: Iterable[str], root: Path) -> Iterator[Path]:
    """Yield the files of the course that names stand for."""
    for name in set(names):
        if not NAME.fullmatch(name):
            continue
        if "/" in name and (LIBRARY / name).is_file():
            yield LIBRARY / name
        first, *parts = name.split(".")
        place = {"bandwork": LIBRARY, "figures": root / "figures"}.get(first)
        if place is None:
            continue
        for part in (".", *parts):
            if not part:
                yield from place.glob("*.py")
            elif (place / part).is_dir():
                place /= part
                if (package := place / "__init__.py").is_file():
                    yield package
            else:
                if (module := place / f"{part}.py").is_file():
                    yield module
                break
