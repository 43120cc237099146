"""The bench's commands: what each is called, what it takes, and which module does its work.

A command's work is imported inside its function, so that help and refusals come at once.
"""

import argparse
from pathlib import Path
from typing import Any


def _new(options: argparse.Namespace) -> None:
    from bandwork.validation import InputError
    from bandwork.workshop.blank import schema_text, template
    from bandwork.workshop.files import SCHEMA_NAME
    from bandwork.writing import write_new

    path = Path(options.file)
    if path.suffix != ".toml":
        raise InputError(f"{path} does not end with .toml; give a name such as harbour.toml.")
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

    told = answer(read_gun(Path(options.file)), Units(options.units), options.quick)
    print(told.as_json() if options.json else told.as_csv() if options.csv else told.text(),
          end="" if options.json or options.csv else "\n")


def in_units(command: argparse.ArgumentParser) -> None:
    """Let a command give its results in inches and pounds.

    Parameters
    ----------
    command : ArgumentParser
    """
    command.add_argument("--units", choices=("metric", "us"), default="metric",
                         help="us for inches, feet and pounds")


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
