"""The bench's commands: what each is called, what it takes, and which module does its work.

A command's work is imported inside its function, so that help and refusals come at once.
"""

import argparse
from pathlib import Path
from typing import Any


def _predict(options: argparse.Namespace) -> None:
    from bandwork.setup import predict
    from bandwork.workshop.files import read_gun

    gun = read_gun(Path(options.file))
    print(predict(gun.setup, gun.quarry, gun.assumptions))


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

    one = command("predict", "work out a set-up: load, speed, reach, trim, line, cautions",
                  _predict)
    one.add_argument("file", help="a set-up, such as harbour.toml")
