"""The tub test: an unloaded gun under water on two cords, a kitchen scale over it."""

from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.pyplot import subplots

from figures.workshop._example import INK, RUST, TEAL

ALT = """
A tub from the side. The gun lies level under water, the bands off the notch, its tip in a cork.
Two loops of thin cord hold it, the first at the grip, the second near the muzzle. The first
goes up to a fixed bar. The second goes up on both sides of a board that lies across the tub,
and over a stick that lies across the plate of a kitchen scale on that board. A tape measures
the way between the loops. Then scale and bar change places.
"""


def draw() -> Figure:
    """Return the tub from the side."""
    figure, axes = subplots(figsize=(5.2, 3.9))
    axes.add_patch(Rectangle((-0.55, -0.75), 2.5, 0.95, fc="#dcebe8", lw=0))
    axes.plot([-0.55, -0.55, 1.95, 1.95], [0.36, -0.75, -0.75, 0.36], color=INK, ls="-", lw=2.4)
    axes.plot([-0.55, 1.95], [0.2, 0.2], color=TEAL, ls="--", lw=1.4)
    thick = 0.03
    axes.add_patch(Rectangle((0, -0.25 - thick), 1.2, 2 * thick, fc="#e6e1d3", ec=INK, lw=1.1))
    axes.add_patch(Rectangle((-0.13, -0.42), 0.09, 0.2, fc="#d3cdbd", ec=INK, lw=1.1))
    axes.add_patch(Rectangle((-0.16, -0.29), 0.16, 0.08, fc="#d3cdbd", ec=INK, lw=1.1))
    axes.add_patch(Rectangle((1.2, -0.29), 0.07, 0.08, fc="#d3cdbd", ec=INK, lw=1.1))
    axes.plot([-0.12, 1.5], [-0.205, -0.205], color=INK, ls="-", lw=2)
    axes.add_patch(Rectangle((1.48, -0.24), 0.09, 0.07, fc=RUST, ec=INK, lw=0.8))
    axes.text(1.66, -0.32, "cork on\nthe tip", ha="center", va="top")
    axes.plot([-0.05, -0.05], [-0.21, 0.62], color=INK, ls="-", lw=1.2)
    axes.plot([-0.42, 0.2], [0.62, 0.62], color=INK, ls="-", lw=4, solid_capstyle="butt")
    axes.text(-0.11, 0.7, "fixed bar", ha="center", va="bottom")
    axes.add_patch(Rectangle((0.62, 0.42), 0.86, 0.05, fc="#d3cdbd", ec=INK, lw=1))
    axes.add_patch(Rectangle((0.8, 0.47), 0.5, 0.2, fc="#fdfbf6", ec=INK, lw=1.4))
    axes.plot([1.05, 1.05], [-0.2, 0.69], color=INK, ls="-", lw=1.2)
    axes.plot(1.05, 0.69, "o", color=INK, ms=9)
    axes.text(1.05, 0.78, "stick across the plate", ha="center", va="bottom")
    axes.text(1.55, 0.565, "kitchen\nscale", va="center")
    axes.text(0.56, 0.445, "board", ha="right", va="center")
    axes.annotate("", (-0.05, -0.52), (1.05, -0.52),
                  arrowprops={"arrowstyle": "<->", "color": INK, "lw": 1.2, "shrinkA": 0,
                              "shrinkB": 0})
    axes.text(0.5, -0.55, "way between the loops", ha="center", va="top")
    axes.text(0.5, 0.0, "bands off the notch", ha="center")
    axes.set(xlim=(-0.65, 2.05), ylim=(-0.8, 1.06), aspect=1)
    axes.axis("off")
    return figure
