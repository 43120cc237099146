"""The bench's commands: what each is called, what it takes, and which module does its work.

A command's work is imported inside its function, so that help and refusals come at once.
"""

import argparse
from pathlib import Path
from typing import Any

SHEETS = {
    "setup": "what the gun does, with room for what was measured",
    "line": "whether the line can fall over the muzzle, and its check",
    "cuts": "relaxed lengths for the diver's load, by barrel and tube",
    "target": "an aim cross with a scale to size, and the drop sheet",
    "pull-test": "form", "float-test": "form", "speed": "form",
    "safety": "a card to fold, and the briefing to read aloud",
}
"""The sheets, by the name that the command takes."""


def _new(options: argparse.Namespace) -> None:
    from bandwork.validation import InputError
    from bandwork.workshop.blank import schema_text, shelf_template, template
    from bandwork.workshop.files import SCHEMA_NAME
    from bandwork.writing import write_new

    path = Path(options.file)
    if path.suffix != ".toml":
        raise InputError(f"{path} does not end with .toml; give a name such as harbour.toml.")
    if options.shelf or path.name.endswith("shelf.toml"):
        write_new(path, shelf_template(), options.force)
        print(f"{path} holds an invented shelf: put your own parts in, then: "
              f"bandwork search {path}")
        return
    write_new(path, template(), options.force)
    print(f"{path} holds an invented set-up: put your own numbers in, then: "
          f"bandwork predict {path}")
    beside = path.parent / SCHEMA_NAME
    if not beside.exists() or options.force:
        write_new(beside, schema_text(), options.force)
        print(f"{beside} lets an editor name the keys and find slips.")
    elif beside.read_bytes() != schema_text().encode():
        print(f"{beside} is of another version and stays as it is; --force replaces it.")


def _predict(options: argparse.Namespace) -> None:
    from bandwork.workshop.answer import answer
    from bandwork.workshop.files import read_gun
    from bandwork.workshop.quantities import Units

    _print(answer(read_gun(Path(options.file)), Units(options.units), options.quick), options)


def _print(found: Any, options: argparse.Namespace, *how: Any) -> None:
    """Print a result for programs, for a spreadsheet, or as text."""
    print(found.as_json() if options.json else found.as_csv() if vars(options).get("csv") else
          f"{found.text(*how)}\n", end="")


def _ending(path: str, suffix: str) -> Path:
    """Return where to write, unless the name is that of another kind of file."""
    from bandwork.validation import InputError

    if Path(path).suffix.lower() != suffix:
        raise InputError(f"{path} does not end with {suffix}; give a name such as "
                         f"harbour{suffix}.")
    return Path(path)


def _compare(options: argparse.Namespace) -> None:
    from bandwork.workshop.against import against
    from bandwork.workshop.files import read_gun
    from bandwork.workshop.quantities import Units
    from bandwork.writing import write_new

    plot = _ending(options.plot, ".svg") if options.plot else None
    found = against([read_gun(Path(one)) for one in options.files], Units(options.units))
    if plot:
        write_new(plot, found.svg(), options.force)
    _print(found, options)


def _search(options: argparse.Namespace) -> None:
    import sys

    from bandwork.validation import InputError, shown
    from bandwork.workshop.files import read_shelf
    from bandwork.workshop.quantities import Units
    from bandwork.workshop.shelf import search_shelf
    from bandwork.writing import write_new

    number, path = 0, Path()
    if options.write:
        if not options.write[0].isdecimal() or len(options.write[0]) > 6:
            raise InputError(f"--write is {shown(options.write[0])}; give a set-up's number in the "
                             "table and a file, such as: --write 2 reef.toml")
        number, path = int(options.write[0]), _ending(options.write[1], ".toml")
        if path.resolve() == Path(options.shelf).resolve():
            raise InputError(f"{path} is the shelf itself; give the set-up another name.")
    plot = _ending(options.plot, ".svg") if options.plot else None

    def tell(done: int, total: int) -> None:
        if total > _WORTH_TELLING:
            print(f"  {done} of {total} set-ups worked out", file=sys.stderr)

    found = search_shelf(read_shelf(Path(options.shelf)), Units(options.units), tell)
    if plot:
        write_new(plot, found.svg(), options.force)
    _print(found, options, options.all)
    if options.write:
        write_new(path, found.gun_text(number, path), options.force)
        print(f"{path} holds set-up {number}; next: bandwork predict {path}",
              file=sys.stderr)


_WORTH_TELLING = 2000
"""Set-ups from which a search says how far it is."""


def _tune(options: argparse.Namespace) -> None:
    from bandwork.workshop.files import read_gun
    from bandwork.workshop.quantities import Units
    from bandwork.workshop.tune import goal, tune

    wanted = goal(options.load, options.trim, options.drop)
    _print(tune(read_gun(Path(options.file)), wanted, Units(options.units)), options)


def _show(options: argparse.Namespace) -> None:
    from bandwork.workshop.files import read_gun
    from bandwork.workshop.quantities import Units
    from bandwork.workshop.show import page
    from bandwork.writing import write_new

    out = _ending(options.out, ".html")
    write_new(out, page(read_gun(Path(options.file)), Units(options.units)), options.force)
    print(f"  open {out.resolve().as_uri()}")


def _club(options: argparse.Namespace) -> None:
    from bandwork.workshop.club import Member, write_club
    from bandwork.workshop.quantities import Units

    def tell(one: Member) -> None:
        print(f"  {one.path.name}: {'worked out' if one.told else one.problem}", flush=True)

    out = Path(options.out)
    members = write_club(Path(options.folder), out, Units(options.units), options.force, tell,
                         options.paper)
    wrong = sum(one.told is None for one in members)
    print(f"{len(members) - wrong} of {len(members)} set-ups are in {out / 'club.html'} and "
          f"{out / 'club.csv'}, a page each in {out / 'pages'}."
          + (f" {wrong} could not be worked out: mend the file, then --force." if wrong else ""))


def in_units(command: argparse.ArgumentParser) -> None:
    """Let a command give its results in inches and pounds.

    Parameters
    ----------
    command : ArgumentParser
    """
    command.add_argument("--units", choices=("metric", "us"), default="metric",
                         help="us for inches, feet and pounds")


def _fit(options: argparse.Namespace) -> None:
    from bandwork.workshop.fit import run

    run(options)


def _fit_options(one: argparse.ArgumentParser) -> None:
    one.add_argument("file", help="readings: a CSV or xlsx file")
    for name, what, does in (
            ("write", "FILE", "write the rubber, such as roll-7.rubber.toml"),
            ("plot", "FILE", "draw it, such as roll-7.svg"),
            ("gun", "FILE", "the set-up that speeds, drops, reach or sinking were measured with"),
            ("pull", "FILE", "a pull test of the tube that the speeds were shot with"),
            ("law", "LAW", "auto, factor, or a law such as gent-gent"),
            ("name", "NAME", "what to call the tube"),
            ("band", "NAME", "which band's lines to take"),
            ("kind", "KIND", "pull, float, speed, reach, sinking or drop, if the headings leave it "
             "open"),
            ("columns", "LIST", "which columns hold what, such as length=B:cm,pull=C:kgf"),
            ("sheet", "NAME", "the workbook's sheet"),
            ("encoding", "NAME", "utf-8, utf-16, cp1250 or cp1252"),
            ("decimal", "MARK", "comma or point, if the file does not settle it")):
        one.add_argument(f"--{name}", metavar=what, help=does,
                         default="auto" if name == "law" else None)
    for name, what, does in (
            ("against", "OLD", "an earlier pull test of the same band: what a season took"),
            ("given", "TEXT", "what the file lacks, such as 'relaxed length: 20 cm'"),
            ("without", "LINE", "leave out a line, by its number in the file")):
        one.add_argument(f"--{name}", metavar=what, help=f"{does}; may be given again",
                         action="append", default=[])
    one.add_argument("--json", action="store_true", help="print it for programs, in SI")
    in_units(one)
    one.add_argument("--force", action="store_true", help="replace files of those names")


def _sheet(options: argparse.Namespace) -> None:
    from bandwork.workshop.quantities import Units
    from bandwork.workshop.sheets import KINDS, NEVER, write_sheet

    out = Path(options.out or f"{options.kind}.pdf")
    made = write_sheet(options.kind, Path(options.file) if options.file else None, out,
                       options.paper, Units(options.units), options.force)
    print(f"{KINDS[options.kind].title}, to print at 100 %: {', '.join(map(str, made))}")
    print(NEVER)


def add(commands: Any) -> None:
    """Add the bench's commands to the command line.

    Parameters
    ----------
    commands : object
        What `argparse.ArgumentParser.add_subparsers` returns.
    """
    def command(name: str, does: str, run: Any) -> argparse.ArgumentParser:
        one: argparse.ArgumentParser = commands.add_parser(
            name, help=does, description=does[0].upper() + does[1:] + ".")
        one.set_defaults(run=run)
        return one

    one = command("new", "write a set-up of an invented diver, with notes, to begin with", _new)
    one.add_argument("file", help="its name, such as harbour.toml")
    one.add_argument("--shelf", action="store_true",
                     help="the parts on hand instead, for `bandwork search`")
    one.add_argument("--force", action="store_true", help="replace a file of that name")
    one = command("predict", "work out a set-up: load, speed, reach, trim, line, cautions",
                  _predict)
    one.add_argument("file", help="a set-up, such as harbour.toml")
    form = one.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="for programs, instead of text")
    form.add_argument("--csv", action="store_true", help="for a spreadsheet, instead of text")
    one.add_argument("--quick", action="store_true",
                     help="best values only, without saying how sure they are")
    in_units(one)

    def written(one: argparse.ArgumentParser) -> None:
        one.add_argument("--plot", metavar="FILE.svg", help="draw the result into this file")
        one.add_argument("--force", action="store_true", help="replace files that are there")
        told = one.add_mutually_exclusive_group()
        told.add_argument("--json", action="store_true", help="print it as JSON, in SI units")
        told.add_argument("--csv", action="store_true", help="print it for a spreadsheet")

    one = command("compare", "compare set-ups: what differs, what that changes, and how surely",
                  _compare)
    one.add_argument("files", nargs="+", metavar="FILE",
                     help="two set-ups or more; the others are compared with the first")
    in_units(one)
    written(one)
    one = command("search", "find what nothing beats among all that the parts on hand can tie",
                  _search)
    one.add_argument("shelf", help="the parts on hand and the diver, such as shelf.toml")
    one.add_argument("--all", action="store_true",
                     help="list each set-up, also those that fell out, and why")
    one.add_argument("--write", nargs=2, metavar=("N", "FILE"),
                     help="write set-up N of the table as a file of its own")
    in_units(one)
    written(one)
    one = command("tune", "find the single change that reaches a load, a trim or a drop", _tune)
    one.add_argument("file", help="a set-up, such as harbour.toml")
    one.add_argument("--load", help='wanted at the notch, such as "48 kgf"')
    one.add_argument("--trim", help='level, or the moment at the grip, such as "0.2 N m"')
    one.add_argument("--drop", help='wanted at the fish, such as "10 cm"')
    in_units(one)
    one.add_argument("--json", action="store_true", help="print it as JSON, in SI units")
    one = command("show", "write one page with pictures of a set-up, to open in a browser", _show)
    one.add_argument("file", help="a set-up, such as harbour.toml")
    one.add_argument("--out", required=True, metavar="FILE.html", help="where to write it")
    one.add_argument("--force", action="store_true", help="replace a file that is there")
    in_units(one)
    one = command("club", "work out a folder of set-ups: one table, and one page each", _club)
    one.add_argument("folder", help="holds the set-ups, each a .toml file")
    one.add_argument("--out", required=True, metavar="FOLDER", help="where table and pages go")
    one.add_argument("--paper", choices=("a4", "letter"), default="",
                     help="print each set-up's sheet too, as PDF on this paper")
    one.add_argument("--force", action="store_true", help="replace files that are there")
    in_units(one)
    _fit_options(command("fit", "find what readings say: a tube's pull, a speed, a trim, a drop",
                         _fit))
    one = command("sheet", "print a sheet: " + ", ".join(SHEETS), _sheet)
    one.add_argument("kind", metavar="KIND", help="; ".join(
        f"{name}: {what}" for name, what in SHEETS.items()))
    one.add_argument("file", nargs="?", metavar="FILE",
                     help="a set-up, such as harbour.toml; setup, line and cuts need one")
    one.add_argument("--out", metavar="FILE",
                     help="ends in .pdf, or in .svg, whose letters are outlines; KIND.pdf "
                     "unless you name another")
    one.add_argument("--paper", choices=("a4", "letter"), default="a4", help="a4 unless you say")
    one.add_argument("--force", action="store_true", help="replace files of that name")
    in_units(one)
