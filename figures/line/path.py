"""Where a single wrap lies on the loaded gun, seen from the side."""

from bandwork import line
from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle
from matplotlib.pyplot import subplots

from figures.line._example import COOL, GREY, GUN, INK, LEADER, LIE, LINE, SHAFT, WARM

RUN = float(line.wrap_span(GUN))
LAST = float(line.laid_length(GUN, SHAFT, LINE)) - 2 * RUN
FRONT, BACK = float(GUN.length + LIE.anchor_offset), float(LIE.release_position)
HOLE = FRONT - LAST
TIP = float(GUN.length + GUN.roller_offset + SHAFT.overhang)

ALT = f"""
A loaded gun from the side, muzzle to the right, heights drawn much too large. The line starts at
its anchor on the muzzle, runs {RUN * 100:.0f} cm back below the barrel to the line release at the
handle, {RUN * 100:.0f} cm forward again to the muzzle, and from there {LAST * 100:.0f} cm back
above the barrel to the hole at the shaft's tail: a single wrap and the last run,
{(2 * RUN + LAST):.2f} m together.
"""


def draw() -> Figure:
    """Return the side view."""
    figure, axes = subplots(figsize=(5.6, 4.2))
    axes.add_patch(Rectangle((0, -0.03), GUN.length, 0.06, fc="#e6e1d3", ec=INK, lw=1.2))
    handle = [(-0.2, 0.03), (0, 0.03), (0, -0.03), (-0.05, -0.2), (-0.12, -0.2), (-0.1, -0.03),
              (-0.2, -0.03)]
    axes.add_patch(Polygon(handle, fc="#d3cdbd", ec=INK, lw=1.2))
    axes.plot([HOLE - 0.01, TIP], [0.06, 0.06], color=GREY, ls="-", lw=3, solid_capstyle="butt")
    axes.plot([TIP - 0.05, TIP, TIP - 0.05], [0.085, 0.06, 0.035], color=GREY, ls="-", lw=1.4)
    axes.plot([FRONT, BACK], [-0.07, -0.11], color=WARM, ls="-")
    axes.plot([BACK, FRONT], [-0.11, -0.14], color=COOL, ls="--")
    axes.plot([FRONT, FRONT + 0.02, FRONT, HOLE], [-0.14, -0.03, 0.1, 0.06], color=INK, ls="-.")
    axes.plot(FRONT, -0.07, "s", color=INK, ms=8, zorder=4)
    axes.plot(BACK, -0.11, "o", color=INK, ms=8, zorder=4)
    axes.plot(HOLE, 0.06, "D", color=INK, ms=7, zorder=4)
    axes.text(0.62, -0.205, "the wrap: run back, run forward", ha="center", va="center",
              color=COOL)
    axes.text(0.62, -0.27, f"{RUN * 100:.0f} cm each", ha="center", va="center", color=WARM)
    axes.text(0.58, 0.155, f"last run {LAST * 100:.0f} cm", ha="center", va="center", color=INK)
    for words, at, to in (("anchor on\nthe muzzle", (1.32, -0.25), (FRONT + 0.01, -0.075)),
                          ("line release", (-0.02, -0.33), (BACK, -0.12)),
                          ("hole at the\nshaft's tail", (-0.09, 0.25), (HOLE, 0.068)),
                          ("tip", (1.43, 0.19), (TIP - 0.04, 0.075))):
        axes.annotate(words, to, at, ha="center", va="center", arrowprops=LEADER)
    axes.set(xlim=(-0.3, 1.62), ylim=(-0.4, 0.36))
    axes.axis("off")
    return figure
