"""Build the book: Jupyter Book does the work, this says in plain words how it goes."""

import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

from bandwork.validation import InputError

JUPYTER_BOOK = (sys.executable, "-c", """
import bandwork.classroom
from jupyter_book.cli.main import main
main()
""", "build")
STRICT = ("-W", "-n", "--keep-going")

COLOUR = re.compile(r"\x1b\[[\d;]*m")
PAGES = re.compile(r"updating environment: .*?(\d+) added, (\d+) changed")
RUNNING = re.compile(r"code \d+ of \d+: ")
READING = re.compile(r"reading sources\.\.\. \[ *\d+%\] (\S+)")
FAULT = re.compile(r"(?:(.+?\.\w+):(\d*):? )?(?:WARNING|ERROR|CRITICAL): (.+)")
STOPPED = re.compile(r"^\w+ error:\n(.+)", re.MULTILINE)
CELL_FAILED = "Executing notebook failed"
FAILED_CELL = re.compile(
    r"while executing the following cell:\n-+\n([^\n]*)\n.*?-+\n.*?\n([^\n]+)\n+The above",
    re.DOTALL,
)


class BookError(InputError):
    """The book was not built; the message says why."""


def build_book(
    root: Path, strict: bool = True, progress: Callable[[str], object] = print
) -> Path:
    """Draw the figures, run the pages' code where it has changed, and write the book.

    Parameters
    ----------
    root : Path
        The folder of the course, the one that holds README.md and the folder book.
    strict : bool
        Whether a warning counts as a fault.
    progress : callable
        Receives one short line at a time.

    Returns
    -------
    Path
        The first page: book/_build/html/index.html.

    Raises
    ------
    BookError
        If the folder is not that of the course, or if a page or a figure has a fault; the message
        names each page and fault, and the file with the whole log.
    """
    book = root.resolve() / "book"
    if not (book / "_config.yml").is_file():
        raise BookError(
            f"There is no book in {book.parent}: run this in the folder of the course, "
            "the one that holds README.md and the folder book."
        )
    log = book / "_build" / "build.log"
    log.parent.mkdir(exist_ok=True)
    with (
        log.open("w", encoding="utf-8") as whole,
        subprocess.Popen(
            [*JUPYTER_BOOK, str(book), *(STRICT if strict else ())],
            cwd=book.parent,
            env={**os.environ, "PYTHONUTF8": "1"},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            errors="replace",
        ) as build,
    ):
        assert build.stdout is not None
        for line in _tell(build.stdout, progress):
            whole.write(line)
    if build.returncode:
        faults = "\n".join(f"  {fault}" for fault in faults_in(log.read_text("utf-8"), book))
        raise BookError(f"The book was not built.\n{faults}\nThe whole log is in {log}.")
    return book / "_build" / "html" / "index.html"


def _tell(lines: Iterator[str], progress: Callable[[str], object]) -> Iterator[str]:
    """Pass the lines on without their colours, and tell what a person wants to know of them."""
    pages = read = 0
    for coloured in lines:
        line = COLOUR.sub("", coloured)
        yield line
        if line.startswith("figure ") or RUNNING.match(line):
            progress(line.strip())
        elif found := PAGES.search(line):
            pages = int(found[1]) + int(found[2])
            if not pages:
                progress("no page has changed")
        elif found := READING.search(line):
            read += 1
            progress(f"page {read} of {pages}: {found[1]}")
        elif line.startswith("preparing documents"):
            progress("writing the pages")


def faults_in(log: str, book: Path) -> list[str]:
    """Return what went wrong, one plain line for each fault.

    Parameters
    ----------
    log : str
        What Jupyter Book printed, without colours.
    book : Path
        The folder of the book; pages are named from there.

    Returns
    -------
    list of str
        At least one line.
    """
    faults = STOPPED.findall(log)
    for line in log.splitlines():
        if found := FAULT.match(line):
            file, number, message = found.groups()
            if CELL_FAILED in message and (failed := FAILED_CELL.search(log)):
                message = f"the code cell that begins with `{failed[1]}` fails. {failed[2]}"
            where = Path(file).as_posix().removeprefix(f"{book.as_posix()}/") if file else ""
            spot = f"{where}, line {number}: " if number else f"{where}: " if where else ""
            faults.append(spot + re.sub(r" \[[\w.-]+\]$", "", message))
    return faults or log.splitlines()[-15:]
