"""The command `bandwork`."""

import argparse
import re
import sys
import time
from collections.abc import Sequence
from datetime import datetime
from io import TextIOWrapper
from pathlib import Path
from textwrap import fill
from typing import NoReturn

from bandwork.validation import InputError, nearest
from bandwork.workshop import commands as bench
from bandwork.writing import WHAT_HELPS

CLASS_FOLDER = ".course"
WORK_FOLDER = "my-work"


def _root() -> Path:
    """Return the course's folder: this one, or the nearest above it that holds solutions/."""
    here = Path.cwd().resolve()
    for place in (here, *here.parents):
        if (place / "solutions").is_dir() and (place / "book" / "_config.yml").is_file():
            return place
    raise InputError(f"{here} is not the course's folder; change into the folder that holds book/, "
                     "exercises/ and solutions/, and try again.")


def _book(options: argparse.Namespace) -> None:
    from bandwork.classroom.book import build_book

    print("The book:")
    print(f"  open {build_book(_root()).as_uri()}")


def _pdf(options: argparse.Namespace) -> None:
    from bandwork.classroom.paper import print_book

    print("The book on paper:")
    print(f"  open {print_book(_root()).as_uri()}")


def _exercises(options: argparse.Namespace) -> None:
    from bandwork.classroom.notebooks import release

    print("The exercises, made from solutions/:")
    release(_root())


def _demo(options: argparse.Namespace) -> None:
    from bandwork.classroom import demo
    from bandwork.classroom.engine.box import what_is_missing
    from bandwork.classroom.grading import grade
    from bandwork.classroom.report import write_report

    root, folder = _root(), _root() / CLASS_FOLDER
    print(f"The invented class hands in {demo.UNIT!r} and is graded:")
    missing = what_is_missing()
    if missing:
        print(fill(f"Without a box, as its code is our own. For learners' code: {missing}", 92,
                   initial_indent="  ", subsequent_indent="  "))
    demo.hand_in(root, folder, demo.UNIT)
    result = grade(root, folder, demo.UNIT, due=demo.DUE, title=demo.TITLE, trust=bool(missing))
    page, table = write_report(result, folder)
    print(f"  open {page.as_uri()}\n  for a spreadsheet: {table}")


def _grade(options: argparse.Namespace) -> None:
    from bandwork.classroom.grading import grade
    from bandwork.classroom.report import write_report

    folder = Path(options.folder).resolve()
    print(f"Grading {options.unit!r} of the class in {folder}:")
    result = grade(_root(), folder, options.unit, due=options.due, title=folder.name,
                   jobs=options.jobs, trust=options.trust_submissions, scheduler=options.scheduler,
                   again=options.again)
    page, table = write_report(result, folder)
    print(f"  open {page.as_uri()}\n  for a spreadsheet: {table}")


def _doctor(options: argparse.Namespace) -> None:
    from bandwork.classroom.engine.box import TRUST, Box, what_is_missing
    from bandwork.classroom.engine.limits import Limits

    missing = what_is_missing()
    if missing:
        print(fill(f"Learners' code cannot be boxed here. {missing}", 92))
        print(fill(f"Until then `bandwork grade` refuses, unless you trust every learner with your "
                   f"keyboard and say {TRUST}.", 92))
        return
    with Box(Limits()) as box:
        alone = box.is_alone()
    print("Learners' code can be boxed here: no network, no files but Python's, limits on time, "
          "memory,\nprocesses and output.")
    print("Each notebook has namespaces of its own." if alone else fill(
        "The system allows no namespaces inside of the box, so each notebook costs a new box, a "
        "second or so: allow unprivileged user namespaces to grade faster.", 92))


def _release(options: argparse.Namespace) -> None:
    from bandwork.classroom.notebooks import open_class

    folder = Path(options.folder).resolve()
    print(f"To hand out: {open_class(_root(), folder, options.unit)}")


def _collect(options: argparse.Namespace) -> None:
    from bandwork.classroom.collect import collect

    folder = Path(options.folder).resolve()
    for one in collect(folder, options.unit, Path(options.downloads)):
        print(f"  {one.file}: {f'{one.learner}, ' if one.learner else ''}{one.note}")


def _feedback(options: argparse.Namespace) -> None:
    from bandwork.classroom.handback import give_feedback

    print("Feedback, one page each:")
    give_feedback(_root(), Path(options.folder).resolve(), options.unit)


def _mark(options: argparse.Namespace) -> None:
    import os
    import subprocess

    from bandwork.classroom.plugins import FOLDER_VARIABLE

    folder = Path(options.folder).resolve()
    if not (folder / "gradebook.db").exists():
        raise InputError(f"{folder} holds no gradebook yet; run `bandwork grade` first.")
    print(f"The marking pages of the class in {folder} open in your browser; if they do not, copy "
          "the address below. Leave this window as it is; Ctrl+C here ends them.")
    subprocess.run([sys.executable, "-m", "jupyterlab",
                    "--LabApp.default_url=/formgrader/gradebook"], cwd=_root(),
                   env={**os.environ, FOLDER_VARIABLE: str(folder)}, check=False)


def _table(options: argparse.Namespace) -> None:
    from bandwork.classroom.handback import class_table
    from bandwork.writing import write_alone

    folder = Path(options.folder).resolve()
    path = folder / "report" / "scores.csv"
    table = class_table(_root(), folder)
    path.parent.mkdir(exist_ok=True)
    write_alone(path, table)
    print(f"  {len(table.splitlines()) - 1} rows in {path}")


def _key(options: argparse.Namespace) -> None:
    from bandwork.classroom.items import UNITS
    from bandwork.classroom.key import write_key

    root = _root()
    for unit in [options.unit] if options.unit else UNITS:
        page, sheet = write_key(root, unit, options.id, Path(options.folder))
        print(f"  {page}\n  {sheet}")


def _matrix(options: argparse.Namespace) -> None:
    from bandwork.classroom.matrix import counts, matrix

    rows = [row for row in matrix() if options.unit in (None, row.unit)]
    if options.unit and not rows:
        from bandwork.classroom.items import exercise

        exercise(options.unit)
    for row in rows if options.unit else ():
        for line in (f"{row.number}. {row.item} ({row.points})", f"   goal     {row.goal}",
                     f"   page     {row.page_title}", f"   checked  {row.outside}",
                     f"   slips    {row.slips}", f"   safety   {row.safety}"):
            print(fill(line, 92, subsequent_indent=" " * 12))
    found = counts()
    together = tuple(sum(row[place] for row in found.values()) for place in range(3))
    for unit, (items, points, slips) in {**found, "together": together}.items():
        print(f"  {unit:9} {items:3} items, {points:3g} points, {slips:3} slips")


def _due(text: str) -> datetime:
    try:
        return datetime.strptime(text, "%Y-%m-%d %H:%M")
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text!r} is not a time; write it as '2026-11-20 20:00', in UTC") from None


def _count(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 256:
        raise argparse.ArgumentTypeError(f"{text!r} is no number from 1 to 256")
    return int(text)


def _course(options: argparse.Namespace) -> None:
    start = time.monotonic()
    for step in (_book, _exercises, _demo):
        step(options)
    print(f"Done in {time.monotonic() - start:.0f} seconds.")


def _start(options: argparse.Namespace) -> None:
    from bandwork.classroom.selfstudy import begin

    folder = Path(options.folder)
    made = begin(_root(), folder, options.id)
    print(f"Your notebooks lie in {folder.resolve()}, in this order:")
    for path in made:
        print(f"  {path.name}")
    print(f"""They hold your own numbers. Next:
  bandwork open{_told(folder)}       opens the next one in your browser
  bandwork check{_told(folder)}      runs the one that you saved last and says what is right
  bandwork progress{_told(folder)}   shows how far you are, and writes a page to print
No result of this course says that a gun is safe to load.""")


def _told(folder: Path) -> str:
    return "" if folder == Path(WORK_FOLDER) else f" --folder {folder}"


def _open(options: argparse.Namespace) -> None:
    import subprocess

    from bandwork.classroom.selfstudy import progress, unit_of

    folder = Path(options.folder)
    unit = unit_of(options.unit) if options.unit else progress(folder).next_unit or "setup"
    path = folder / f"{unit}.ipynb"
    if not path.exists():
        raise InputError(f"{path} is not there; `bandwork start` puts it there.")
    print(f"Opening {path} in your browser. Leave this window as it is; Ctrl+C here ends Jupyter.\n"
          f"When you have saved, write in a second window: bandwork check{_told(folder)}")
    subprocess.run([sys.executable, "-m", "jupyterlab", "--log-level=CRITICAL", str(path)],
                   check=False)


def _check(options: argparse.Namespace) -> None:
    from bandwork.classroom.selfstudy import book_page, check, progress, unit_of

    folder = Path(options.folder)
    found = check(folder, unit_of(options.unit) if options.unit else "")
    signs = {"right": "\N{CHECK MARK}", "in part": "~", "not yet": "x", "not answered": "."}
    print(f"{found.unit}: {found.earned:g} of {found.points:g} points.")
    for number, one in enumerate(found.items, start=1):
        print(f"  {signs[one.state]} {number:>2}  {one.title:44} {one.earned:g} of {one.points:g}")
        if one.state in ("not yet", "in part"):
            print(fill(one.hint, 84, initial_indent=" " * 8, subsequent_indent=" " * 8,
                       break_on_hyphens=False))
    for title in found.written:
        print(f"  -     {title}: a person reads it")
    for sentence in (*found.stopped, *([found.note] if found.note else ())):
        print(fill(sentence, 88, initial_indent="  ! ", subsequent_indent="    ",
                   break_on_hyphens=False))
    if found.next:
        print(f"Next: {found.next.title}. Read: {book_page(_root(), found.next.page)}")
    elif unit := progress(folder).next_unit:
        print(f"All of it is right. Go on with: bandwork open {unit}{_told(folder)}")
    else:
        print(f"All of the course is right. A page to print: bandwork progress{_told(folder)}")


def _progress(options: argparse.Namespace) -> None:
    from bandwork.classroom.selfstudy import progress, write_summary

    folder = Path(options.folder)
    so_far = progress(folder)
    for unit, found in so_far.units:
        told = "not checked yet"
        if found:
            told = f"{found.earned:g} of {found.points:g} points"
            told += f", next: {found.next.title}" if found.next else ""
        print(f"  {unit:8} {told}")
    print(f"To print: {write_summary(folder).resolve().as_uri()}")
    if so_far.next_unit:
        print(f"Go on with: bandwork open {so_far.next_unit}{_told(folder)}")


def _handbook(options: argparse.Namespace) -> None:
    from bandwork.handbook import OBTAINED, entries, lookup

    if not options.key:
        for entry in entries():
            print(f"{entry.key:34} {entry.value:>12g} {entry.unit:6} {entry.quantity}")
        return
    entry = lookup(options.key)
    print(f"{entry.quantity}\n  value   {entry.value:g} {entry.unit}   "
          f"range {entry.low:g} to {entry.high:g}\n  source  {entry.source}"
          + (f", {entry.place}" if entry.place else "")
          + f"\n  how     {OBTAINED[entry.obtained]}")
    if entry.note:
        print(f"  note    {entry.note}")


def _numbers(options: argparse.Namespace) -> None:
    from bandwork.classroom.work import Work

    print(Work(options.unit, options.id))


class _Parser(argparse.ArgumentParser):
    """A parser whose refusals say what to do."""

    def error(self, message: str) -> NoReturn:
        """Print a refusal and how the command is written, and end with status 2."""
        told = message.partition("unrecognized arguments: ")[2]
        if told and not told.startswith("-"):
            message += '; write what has a space in it in quotes, such as "Ines 2.toml" or "45 kgf"'
        slip = re.match(r"argument COMMAND: invalid choice: '(.*?)' \(choose from (.*)\)", message)
        if slip:
            names = re.findall(r"[\w-]+", slip[2])
            message = (f"there is no command {slip[1]!r}; nearest: {nearest(slip[1], names)}. "
                       "`bandwork --help` lists all")
        super().error(message)


def parser() -> argparse.ArgumentParser:
    """Return the command line's parser."""
    top = _Parser(
        prog="bandwork", description="The course about rigging roller spearguns: build it, hand it "
        "out, grade it; and a bench to work out set-ups. Every result is an estimate, never "
        "permission to load a gun.",
        epilog="Write `bandwork COMMAND --help` for one command. At the bench, begin with "
        "`bandwork new`.")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")

    def add(name: str, does: str, run: object) -> argparse.ArgumentParser:
        one = commands.add_parser(name, help=does, description=does[0].upper() + does[1:] + ".")
        one.set_defaults(run=run)
        return one

    add("course", "build the book, make the exercises, grade the invented class, show its report",
        _course)
    add("book", "build the book; its first page is book/_build/html/index.html", _book)
    add("pdf", "print the whole book; needs the browser Chromium", _pdf)
    add("exercises", "make the learners' notebooks in exercises/ from solutions/", _exercises)
    add("demo", "let an invented class hand in, grade it and write its report", _demo)
    one = add("grade", "grade your own class and write its report", _grade)
    one.add_argument("unit", help="the exercise, such as stretch")
    one.add_argument("folder", help="your class; each learner's notebook lies in it at "
                     "submitted/LEARNER/UNIT/UNIT.ipynb")
    one.add_argument("--due", type=_due, metavar="TIME",
                     help="when it was due, in UTC, such as '2026-11-20 20:00'")
    where = one.add_mutually_exclusive_group()
    where.add_argument("--jobs", type=_count, default=0, metavar="N",
                       help="how many notebooks run at a time; as many as there are processors "
                       "unless you say")
    where.add_argument("--scheduler", metavar="ADDRESS",
                       help="run the notebooks on the workers of this dask scheduler, such as "
                       "tcp://10.0.0.1:8786; the book's page Running a class says how")
    one.add_argument("--trust-submissions", action="store_true",
                     help="run learners' code as you, without a box, where the machine has none")
    one.add_argument("--again", nargs="*", metavar="LEARNER",
                     help="run the notebooks of these learners once more, though their runs are "
                     "kept; without a name, all that were cut short")
    add("doctor", "say whether this machine can grade safely, and what is missing", _doctor)
    for name, does, run in (
            ("release", "make an exercise for your class, with its common numbers if it has any",
             _release),
            ("collect", "take in the notebooks that your class handed in", _collect),
            ("feedback", "write each learner's page of feedback, without hidden tests", _feedback)):
        one = add(name, does, run)
        one.add_argument("unit", help="the exercise, such as stretch")
        one.add_argument("folder", help="your class")
        if run is _collect:
            one.add_argument("downloads", help="folder or zip file with notebooks named "
                             "LEARNER_UNIT.ipynb or LEARNER/UNIT.ipynb")
    one = add("mark", "open the pages on which answers in words are marked", _mark)
    one.add_argument("folder", help="your class, graded before")
    one = add("table", "write the scores of your class for a learning platform", _table)
    one.add_argument("folder", help="your class; its class.toml may choose the columns")
    one = add("key", "write the answer key and marking guide of an id, for instructors alone", _key)
    one.add_argument("id", help="the learner's id, or the class's common numbers")
    one.add_argument("unit", nargs="?", help="the exercise; all unless you name one")
    one.add_argument("--folder", default=f"{CLASS_FOLDER}/keys",
                     help=f"where to write it, {CLASS_FOLDER}/keys unless you name another")
    one = add("matrix", "count items, points and slips; for one exercise, goals and checks too",
              _matrix)
    one.add_argument("unit", nargs="?", help="the exercise, such as stretch")
    one = add("start", "begin on your own: put your notebooks into a folder", _start)
    one.add_argument("id", help="your id, or any name that you keep to, without spaces")
    alone = [one]
    for name, does, run in (
            ("open", "open your next notebook, or the one you name, in the browser", _open),
            ("check", "run your notebook and say what is right and what is not yet", _check)):
        one = add(name, does, run)
        one.add_argument("unit", nargs="?", help="the exercise, such as stretch")
        alone.append(one)
    alone.append(add("progress", "show how far you are and write a page to print", _progress))
    for one in alone:
        one.add_argument("--folder", default=WORK_FOLDER,
                         help=f"where your notebooks lie, {WORK_FOLDER} unless you name another")
    one = add("handbook", "show the reference values, or one of them with its source", _handbook)
    one.add_argument("key", nargs="?", help="such as rubber.density; without it, all are listed")
    one = add("numbers", "show the numbers that a learner has in an exercise", _numbers)
    one.add_argument("unit", help="the exercise, such as stretch")
    one.add_argument("id", help="the learner's id")
    bench.add(commands)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line.

    Parameters
    ----------
    arguments : sequence of str, optional
        Without the program's name; those of the process unless given.

    Returns
    -------
    int
        0 if all went well, 1 after a refusal, which is one sentence on standard error.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):  # a console that lacks a letter shows a sign for it
            stream.reconfigure(errors="replace")
    options = parser().parse_args(arguments)
    try:
        options.run(options)
    except InputError as refusal:
        print(f"bandwork: {refusal}", file=sys.stderr)
        return 1
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except OSError as problem:
        place = f"{problem.filename} can't be used: " if problem.filename else ""
        print(f"bandwork: {place}{problem.strerror or problem}. {WHAT_HELPS}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("bandwork: stopped; run it again to go on.", file=sys.stderr)
        return 130
    return 0


if __name__ == "__main__":
    sys.exit(main())
