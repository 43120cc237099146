"""Writing a file as a whole: either the old one stays or the new one is complete."""

import os
import tempfile
from pathlib import Path


def write_whole(path: Path, text: str) -> None:
    """Write a text file in one step, with line ends as they are.

    Parameters
    ----------
    path : Path
        Its folder is there already.
    text : str
        Written as UTF-8.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
        file.write(text)
    usual = os.umask(0)
    os.umask(usual)
    os.chmod(name, 0o666 & ~usual)
    os.replace(name, path)
