"""Draw every figure of the book: figures/UNIT/NAME.py becomes book/_drawn/UNIT/NAME.svg.

A figure file defines two names: `ALT`, the text that stands for the picture, and `draw()`, which
returns a matplotlib Figure. Files whose name starts with an underscore are shared by figures.
Run `python -m figures.draw` in the root of the course. A figure is drawn again only when its file,
what it imports, the style or the versions it is drawn with have changed.
"""

import io
import os
import runpy
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from bandwork.classroom.computed import computing_files, computing_key

if TYPE_CHECKING:
    from matplotlib.figure import Figure

ROOT = Path(__file__).resolve().parents[1]
FIGURES = ROOT / "figures"
STYLE = ROOT / "book" / "bandwork" / "data" / "house.mplstyle"
DRAWN = ROOT / "book" / "_drawn"
SHORTEST_ALT = 40


class FigureError(Exception):
    """A figure that cannot be drawn; the message names the file and what to do."""


def names() -> list[str]:
    """Return the name of every figure, such as "stretch/hooke_beside_rubber"."""
    files = (path for path in FIGURES.glob("*/*.py") if not path.name.startswith("_"))
    return sorted(path.relative_to(FIGURES).with_suffix("").as_posix() for path in files)


def drawn(name: str) -> Path:
    """Return where a figure is drawn."""
    return DRAWN / f"{name}.svg"


def draw_figure(name: str) -> "tuple[str, Figure]":
    """Return the text alternative of a figure and the figure itself, in the house style.

    Call it inside `plt.style.context(STYLE)`: matplotlib reads part of the style when it saves.
    """
    from matplotlib.figure import Figure

    try:
        module = runpy.run_path(str(FIGURES / f"{name}.py"))
        figure = module["draw"]() if "draw" in module else None
    except Exception as problem:
        kind = type(problem).__name__
        raise FigureError(f"figures/{name}.py fails. {kind}: {problem}") from problem
    alt = " ".join(str(module.get("ALT", "")).split())
    if len(alt) < SHORTEST_ALT or not isinstance(figure, Figure):
        raise FigureError(
            f"figures/{name}.py must define draw(), which returns a matplotlib Figure, and ALT, a "
            f"text of at least {SHORTEST_ALT} characters that says what is drawn and what it "
            "shows, with the numbers."
        )
    return alt, figure


def as_svg(name: str) -> str:
    """Draw one figure and return it as SVG text: the same inputs give the same text."""
    import matplotlib

    matplotlib.use("agg")
    import matplotlib.pyplot as plt

    buffer = io.StringIO()
    with plt.style.context(STYLE):
        alt, figure = draw_figure(name)
        about = {"Title": alt, "Date": None, "Creator": None}
        figure.savefig(buffer, format="svg", metadata=about)
        plt.close(figure)
    svg = buffer.getvalue().replace("<svg ", f'<svg role="img" data-key="{key(name)}" ', 1)
    return svg.replace("'DejaVu Sans'", "'DejaVu Sans', Verdana, sans-serif")


def key(name: str) -> str:
    """Return a hash of everything that decides how a figure looks."""
    path = FIGURES / f"{name}.py"
    imported = computing_files(path.read_text(encoding="utf-8"), ROOT)
    return computing_key([path, Path(__file__), STYLE, *imported], ROOT)


def draw_all(progress: Callable[[str], object] = print) -> list[str]:
    """Draw the figures that are missing or out of date, and return their names.

    Drawings that no longer have a figure file are removed.
    """
    wanted = names()
    for path in DRAWN.glob("*/*.svg"):
        if path.relative_to(DRAWN).with_suffix("").as_posix() not in wanted:
            path.unlink()
    stale = [
        name
        for name in wanted
        if not drawn(name).is_file()
        or f'data-key="{key(name)}"' not in drawn(name).read_text(encoding="utf-8")
    ]
    for number, name in enumerate(stale, 1):
        progress(f"figure {number} of {len(stale)}: {name}")
        path = drawn(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        half_done = path.with_suffix(f".{os.getpid()}")
        half_done.write_text(as_svg(name), encoding="utf-8", newline="\n")
        half_done.replace(path)
    return stale


if __name__ == "__main__":
    try:
        draw_all()
    except FigureError as problem:
        sys.exit(str(problem))
