"""Writing a file as a whole: either the old one stays or the new one is complete."""

import os
import tempfile
from pathlib import Path

from bandwork.validation import InputError

WHAT_HELPS = ("See that there is room on the disk, that the folder may be written and that no "
              "other program has its files open, and run this again: what is done is kept.")
"""Said when something cannot be read or written."""


def write_whole(path: Path, text: str) -> None:
    """Write a text file in one step, with line ends as they are.

    Parameters
    ----------
    path : Path
        Its folder is there already.
    text : str
        Written as UTF-8.
    """
    os.replace(_beside(path, text), path)


def write_alone(path: Path, text: str) -> None:
    """Write a file as `write_whole` does, and remove what writers of it left that were killed.

    Parameters
    ----------
    path : Path
        Its folder is there already, and nobody else writes the file at this time.
    text : str
        Written as UTF-8.
    """
    for left in path.parent.glob(f"{_passing(path)}*"):
        left.unlink()
    write_whole(path, text)


def safe_cell(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula.

    Parameters
    ----------
    cell : str
        What it should say.

    Returns
    -------
    str
        With an apostrophe in front where it is needed.
    """
    return "'" + cell if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell


def write_new(path: Path, content: str | bytes, force: bool = False) -> None:
    """Write a file in one step, and never over another one unless that is asked for.

    Parameters
    ----------
    path : Path
        Its folder is there already.
    content : str or bytes
        Text is written as UTF-8.
    force : bool
        Whether to replace a file that is there.

    Raises
    ------
    InputError
        If something of that name is there and `force` is not given, or the file cannot be written.
    """
    try:
        if path.is_dir() or (os.path.lexists(path) and not force):
            raise FileExistsError
        made = _beside(path, content)
        try:
            if force:
                os.replace(made, path)
            else:
                _put(made, path)
        except BaseException:
            os.unlink(made)
            raise
    except FileExistsError:
        raise InputError(
            f"{path} is a folder; give the name of a file." if path.is_dir() else
            f"{path} is there already and stays as it is; give another name, or --force to "
            "replace it.") from None
    except (OSError, ValueError) as problem:
        told = getattr(problem, "strerror", None) or problem
        raise InputError(f"{path} cannot be written ({told}); give a file in a folder that is "
                         "there and that you may write to.") from problem


def _put(made: str, path: Path) -> None:
    """Give a finished file its name, unless something has taken it since."""
    try:
        os.link(made, path)
    except FileExistsError:
        raise
    except OSError:  # such as a stick whose file system has no links
        if os.path.lexists(path):
            raise FileExistsError from None
        os.replace(made, path)
    else:
        os.unlink(made)


def _passing(path: Path) -> str:
    """Return how the name begins that a file has until it is complete."""
    return f".{path.name[:50]}."


def _beside(path: Path, content: str | bytes) -> str:
    """Write a file of a passing name next to `path` and return that name."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=_passing(path))
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content.encode() if isinstance(content, str) else content)
        usual = os.umask(0)
        os.umask(usual)
        os.chmod(name, 0o666 & ~usual)
    except BaseException:
        os.unlink(name)
        raise
    return name
