"""How fast each piece of the leg moves while the wishbone runs forward."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Rectangle
from matplotlib.pyplot import subplots

from figures.launch._example import INK, ROLLER, WARM

NOTCH, MUZZLE = float(ROLLER.notch_position), float(ROLLER.length + ROLLER.roller_offset)
ANCHOR, LOWER = float(ROLLER.anchor_position), float(ROLLER.lower_run)
MOVED = 0.35
PATH = float(ROLLER.loaded_path) - MOVED
AT_ROLLER = LOWER / PATH
RADIUS, LONGEST = 0.15, 0.28

ALT = f"""
A roller gun from the side in the middle of a shot, the wishbone {MOVED * 100:.0f} cm ahead of the
notch. Arrows along the leg show how fast each piece of rubber moves. At the anchor under the handle
it stands still. Along the lower run the arrows point back and grow evenly, to {AT_ROLLER:.2f} of
the wishbone's speed at the roller. On the upper run they point forward and grow from there to the
full speed at the wishbone, which moves as fast as the shaft.
"""


def _arrow(axes: Axes, x: float, y: float, length: float) -> None:
    axes.annotate("", (x + length, y), (x, y), arrowprops={
        "arrowstyle": "-|>", "color": WARM, "lw": 1.8, "shrinkA": 0, "shrinkB": 0})


def draw() -> Figure:
    """Return the gun with its arrows."""
    figure, axes = subplots(figsize=(5.2, 3.0))
    axes.add_patch(Rectangle((0, -0.035), ROLLER.length, 0.07, fc="#e6e1d3", ec=INK, lw=1.2))
    turn = np.linspace(np.pi / 2, -np.pi / 2, 40)
    wishbone = NOTCH + MOVED
    axes.plot([wishbone, MUZZLE], [RADIUS] * 2, color=WARM, ls="-", lw=4)
    axes.plot(MUZZLE + RADIUS * np.cos(turn), RADIUS * np.sin(turn), color=WARM, ls="-", lw=4)
    axes.plot([MUZZLE, ANCHOR], [-RADIUS] * 2, color=WARM, ls="-", lw=4)
    axes.add_patch(Circle((MUZZLE, 0), RADIUS - 0.02, fc="white", ec=INK, lw=1.4, zorder=3))
    axes.plot(wishbone, RADIUS, "o", color=INK, ms=9, zorder=5)
    axes.plot(ANCHOR, -RADIUS, "s", color=INK, ms=8)
    for x in (wishbone, 0.62, 0.86, 1.10):
        _arrow(axes, x, RADIUS + 0.11, LONGEST * (PATH - (x - wishbone)) / PATH)
    for x in (1.16, 0.88, 0.60, 0.32):
        _arrow(axes, x, -RADIUS - 0.11, -LONGEST * (x - ANCHOR) / PATH)
    axes.text(wishbone, 0.42, "wishbone: as fast as the shaft", ha="left")
    axes.text(MUZZLE + RADIUS + 0.05, 0, f"{AT_ROLLER:.2f}\nof it", va="center")
    axes.text(ANCHOR - 0.03, -0.42, "anchor: stands still", ha="left")
    axes.text(1.16, -0.42, "runs back", ha="right", color=WARM)
    axes.set(xlim=(-0.05, 1.62), ylim=(-0.52, 0.55), aspect=1)
    axes.axis("off")
    return figure
