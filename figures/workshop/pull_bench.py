"""The bench of the pull test from above, and the strip in which nobody stands."""

from matplotlib.figure import Figure
from matplotlib.patches import Circle, Rectangle
from matplotlib.pyplot import subplots

from figures.workshop._example import INK, RELAXED_CM, RUST

ALT = f"""
The bench from above, not to scale. From left to right along one line: a post that cannot move, a
tube with two marks that are {RELAXED_CM} cm apart when it is relaxed, a luggage scale, and a strap
that winds the tube out and holds it. A tape lies beside the tube. A hatched strip runs along this
line and past both its ends: nobody stands in it. One person winds the strap from the side, one
reads the tape and the scale from the side, one writes, all three outside the strip.
"""


def draw() -> Figure:
    """Return the bench from above."""
    figure, axes = subplots(figsize=(5.2, 3.5))
    axes.add_patch(Rectangle((-0.5, -0.45), 10.9, 0.9, fc="#f6e0d2", ec=RUST, hatch="//", lw=0))
    axes.add_patch(Rectangle((0.2, -0.25), 0.45, 0.5, fc=INK))
    axes.plot([0.65, 6.1], [0, 0], color=RUST, ls="-", lw=7, solid_capstyle="butt")
    for mark in (1.4, 5.2):
        axes.plot([mark, mark], [-0.2, 0.2], color=INK, ls="-", lw=2.5)
    axes.add_patch(Rectangle((6.1, -0.24), 1.1, 0.48, fc="#fdfbf6", ec=INK, lw=1.4))
    axes.plot([7.2, 9.3], [0, 0], color=INK, ls="--", lw=2)
    axes.add_patch(Circle((9.3, 0), 0.25, fc=INK))
    axes.plot([1.4, 5.2], [-0.62, -0.62], color=INK, ls="-", lw=1.4)
    for mark in (1.4, 5.2):
        axes.plot([mark, mark], [-0.72, -0.52], color=INK, ls="-", lw=1.4)
    axes.text(3.3, -0.8, "tape, mark to mark", ha="center", va="top")
    axes.text(0.42, -0.6, "post", ha="center", va="top")
    axes.text(6.65, -0.6, "scale", ha="center", va="top")
    axes.text(9.2, -0.6, "strap\nor winch", ha="center", va="top")
    axes.text(4.9, 0.62, "nobody in this strip, nor past its ends", ha="center", va="bottom",
              color=RUST, fontweight="bold")
    for place, side, words in ((9.2, 2.0, "winds"), (5.7, 2.0, "reads"), (2.2, 2.0, "writes")):
        axes.add_patch(Circle((place, side), 0.32, fc="#dfe9e4", ec=INK, lw=1.4))
        axes.text(place, side + 0.48, words, ha="center", va="bottom")
    axes.set(xlim=(-0.7, 10.6), ylim=(-2.1, 3.1), aspect=1)
    axes.axis("off")
    return figure
