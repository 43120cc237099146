"""Lines as wide as they can be read: the terminal's width, within what reads well."""

import shutil
from textwrap import fill

NARROWEST, WIDEST = 60, 92


def wrapped(text: str, first: str = "", later: str = "") -> str:
    """Return a text broken into lines.

    Parameters
    ----------
    text : str
        A sentence or more.
    first, later : str
        What stands before the first line and before the others.

    Returns
    -------
    str
        No line is wider than the terminal, or than 92 letters where there is none; a word is never
        broken.
    """
    there = shutil.get_terminal_size((WIDEST, 24)).columns
    return fill(text, min(max(there, NARROWEST), WIDEST), initial_indent=first,
                subsequent_indent=later, break_on_hyphens=False, break_long_words=False)
