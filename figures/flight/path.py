"""What is counted from where: the shaft as it leaves the muzzle and as it meets the fish."""

from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.pyplot import subplots

from figures.flight._example import COOL, GREY, INK, LEADER, SHAFT, WARM, flown

RANGE = 5.0
GOT = flown(RANGE)
WAY = float(GOT.distance)
LOW = -0.55
"""Where the dropped shaft is drawn; heights are not to scale."""

ALT = f"""
Side view, muzzle at the left, heights drawn much too large. When the tail leaves the muzzle the tip
is already {SHAFT.length:.2f} m ahead. The tail flies {WAY:.2f} m, then the tip is
{RANGE:.1f} m from the muzzle, at the fish, and {GOT.drop * 100:.0f} cm below the line that the
barrel points along.
"""


def draw() -> Figure:
    """Return both places of the shaft with the ways between."""
    figure, axes = subplots(figsize=(5.6, 4.0))
    axes.add_patch(Rectangle((-0.75, -0.09), 0.75, 0.18, fc="#e6e1d3", ec=INK, lw=1.2))
    axes.plot([0, RANGE + 0.25], [0, 0], color=GREY, ls=":", lw=1.6)
    for tail, height, colour in ((0, 0, INK), (WAY, LOW, WARM)):
        axes.plot([tail, tail + SHAFT.length], [height] * 2, color=colour, ls="-", lw=4,
                  solid_capstyle="butt")
        axes.plot(tail + SHAFT.length, height, ">", color=colour, ms=11)
    axes.plot([RANGE, RANGE], [0, LOW], color=WARM, ls="--", lw=1.6)
    for start, end, height, words, colour in (
            (0, RANGE, 0.5, f"range, muzzle to tip: {RANGE:.1f} m", INK),
            (0, WAY, -0.95, f"way of the tail: {WAY:.1f} m", COOL)):
        axes.annotate("", (end, height), (start, height), arrowprops={
            "arrowstyle": "<->", "lw": 1.6, "color": colour, "shrinkA": 0, "shrinkB": 0})
        axes.text((start + end) / 2, height + 0.06, words, ha="center", va="bottom", color=colour)
    axes.text(0.8, 0.09, "leaving the muzzle", ha="center", va="bottom", color=INK)
    axes.text(WAY + 0.75, LOW - 0.1, "at the fish", ha="center", va="top", color=WARM)
    axes.annotate(f"drop {GOT.drop * 100:.0f} cm", (RANGE, LOW / 2), (3.6, -0.3), ha="center",
                  va="center", color=WARM, arrowprops=LEADER)
    axes.text(-0.37, -0.16, "muzzle", ha="center", va="top")
    axes.set(xlim=(-0.8, RANGE + 0.35), ylim=(-1.1, 0.8))
    axes.axis("off")
    return figure
