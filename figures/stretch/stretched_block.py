"""A block of rubber before and after: longer one way, thinner the two others."""

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from matplotlib.pyplot import subplots

STRETCH = 3.0

ALT = f"""
Two blocks of rubber of the same volume. The first is a cube with sides 1, 1 and 1. The second has
been pulled to stretch {STRETCH:.0f}: it is {STRETCH:.0f} times as long and both other sides have
shrunk to 1 over the square root of {STRETCH:.0f}, which is {STRETCH**-0.5:.2f}.
"""


def _block(axes: Axes, x: float, length: float, side: float) -> None:
    slant = 0.42 * side
    low = -side / 2
    faces = (
        ([(x, low), (x + length, low), (x + length, low + side), (x, low + side)], "#e8b48f"),
        ([(x, low + side), (x + length, low + side), (x + length + slant, low + side + slant),
          (x + slant, low + side + slant)], "#f3d6bf"),
        ([(x + length, low), (x + length + slant, low + slant),
          (x + length + slant, low + side + slant), (x + length, low + side)], "#d89a6d"),
    )
    for corners, colour in faces:
        axes.add_patch(Polygon(corners, fc=colour, ec="#12343b", lw=1.4))


def draw() -> Figure:
    """Return the two blocks side by side."""
    figure, axes = subplots(figsize=(5.2, 2.2))
    side = STRETCH**-0.5
    _block(axes, 0, 1, 1)
    _block(axes, 2.6, STRETCH, side)
    axes.text(0.5, -0.62, "1", ha="center", va="top")
    axes.text(-0.1, 0, "1", ha="right", va="center")
    axes.text(2.6 + STRETCH / 2, -side / 2 - 0.12, f"s = {STRETCH:.0f}", ha="center", va="top")
    axes.text(2.5, 0.0, "1/√s", ha="right", va="center")
    axes.text(2.6 + STRETCH + 0.3, 0.02, f"1/√s = {side:.2f}", ha="left", va="center")
    axes.text(2.6 + STRETCH / 2, 0.86, "volume: s × 1/√s × 1/√s = 1", ha="center")
    axes.annotate("", (2.12, -0.75), (1.55, -0.75),
                  arrowprops={"arrowstyle": "->", "color": "#12343b", "lw": 1.6})
    axes.text(1.83, -0.7, "pull", ha="center", va="bottom")
    axes.set(xlim=(-0.3, 7.0), ylim=(-0.95, 1.05), aspect=1)
    axes.axis("off")
    return figure
