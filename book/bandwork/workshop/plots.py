"""Pictures that the bench draws: one look, and an SVG that says in words what it shows."""

import io
import re
from collections.abc import Callable
from html import escape
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure

INK, WARM, TEAL, VIOLET, OLIVE = "#12343b", "#a8480f", "#0b746f", "#6b4c9a", "#5a6200"
"""For lines and words: at least 4.5 to 1 on the paper."""
SAND, SEA, GREY, PAPER = "#f0d9c4", "#cfe5e2", "#5c7378", "#fdfbf6"
"""For surfaces, and for what stands behind."""
MARKS = ("D", "o", "s", "^", "v", "P")
DASHES = ("-", "--", "-.", ":")

_THEMED = {INK: "ink", WARM: "warm", TEAL: "teal", VIOLET: "violet", OLIVE: "olive", SAND: "sand",
           SEA: "sea", GREY: "grey", PAPER: "paper", "#d9d4c6": "faint", "#ffffff": "paper"}
"""Colours of the drawings and what a page calls them, so that it can give them others when dark."""


def svg(draw: "Callable[[], Figure]", title: str, description: str) -> str:
    """Return a drawing as a whole SVG file: the same figure gives the same text.

    Parameters
    ----------
    draw : callable
        Makes the figure; it is called with the house's style in force.
    title : str
        What the picture is, in a few words.
    description : str
        What somebody who cannot see it needs to know, with the numbers.

    Returns
    -------
    str
        SVG with `<title>` and `<desc>`, its text as text.
    """
    import matplotlib

    matplotlib.use("agg")
    import matplotlib.pyplot as plt

    buffer = io.StringIO()
    with plt.style.context(str(files("bandwork").joinpath("data/house.mplstyle"))):
        figure = draw()
        figure.savefig(buffer, format="svg", metadata={"Date": None, "Creator": None})
        plt.close(figure)
    text = re.sub(r"<metadata>.*?</metadata>", "", buffer.getvalue(), flags=re.DOTALL)
    told = f"<title>{escape(title)}</title><desc>{escape(description)}</desc>"
    text = re.sub(r"<svg ([^>]*)>", rf'<svg role="img" \1>{_literal(told)}', text, count=1)
    return text.replace("'DejaVu Sans'", "'DejaVu Sans', Verdana, sans-serif")


def inline(picture: str, name: str) -> str:
    """Return an SVG file as part of a page, with the page's colours and names of its own.

    Parameters
    ----------
    picture : str
        From `svg`.
    name : str
        One word, another for each picture of a page.

    Returns
    -------
    str
        `<svg>` that fills its box; its colours are the page's variables, such as `--ink`.
    """
    body = picture[picture.index("<svg "):]
    body = re.sub(r"<style.*?</style>", "", body, count=1, flags=re.DOTALL)
    body = re.sub(r'\bid="([^"]+)"', rf'id="{name}-\1"', body)
    body = re.sub(r'(href="|url\()#', rf"\1#{name}-", body)
    body = re.sub(r'(<svg [^>]*?) (?:width|height)="[^"]*"', r"\1", body)
    body = re.sub(r'(<svg [^>]*?) (?:width|height)="[^"]*"', r"\1", body)
    body = re.sub(r"<svg ", f'<svg aria-labelledby="{name}-title {name}-desc" ', body, count=1)
    body = body.replace("<title>", f'<title id="{name}-title">', 1)
    body = body.replace("<desc>", f'<desc id="{name}-desc">', 1)
    for colour, called in _THEMED.items():
        body = body.replace(colour, f"var(--{called})")
    return body


def _literal(text: str) -> str:
    return text.replace("\\", r"\\")
