"""Why water pushes up: pressure on the top and on the bottom of a box."""

import numpy as np
from bandwork.units import STANDARD_GRAVITY
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.pyplot import subplots

from figures.trim._example import INK, RUST, SEA, TEAL

TOP, BOTTOM = 0.2, 0.5
PRESSURES = [SEA.density * STANDARD_GRAVITY * depth / 1000 for depth in (TOP, BOTTOM)]

ALT = (f"A box under water, its top {TOP * 100:.0f} cm and its bottom {BOTTOM * 100:.0f} cm deep, "
       f"with arrows for the water's pressure. On the top {PRESSURES[0]:.1f} kilopascal press "
       f"down, on the bottom {PRESSURES[1]:.1f} kilopascal press up; the arrows on the two sides "
       "grow with depth and cancel. What is left pushes up: the weight of the displaced water.")


def draw() -> Figure:
    """Return the box with its arrows."""
    figure, axes = subplots(figsize=(5.2, 4))
    axes.axhspan(-0.75, 0, fc="#dfeaea", ec="none")
    axes.plot([-0.6, 0.6], [0, 0], color=TEAL, ls="-", lw=1.6)
    axes.text(-0.58, 0.015, "surface", color=TEAL, va="bottom", fontsize=12)
    axes.add_patch(Rectangle((-0.15, -BOTTOM), 0.3, BOTTOM - TOP, fc="#e6e1d3", ec=INK, lw=1.4))
    arrow = {"arrowstyle": "-|>", "lw": 2, "shrinkA": 0, "shrinkB": 0}
    for x in (-0.1, 0, 0.1):
        axes.annotate("", (x, -TOP), (x, -TOP + 0.3 * TOP), arrowprops=arrow | {"color": RUST})
        axes.annotate("", (x, -BOTTOM), (x, -BOTTOM - 0.3 * BOTTOM), arrowprops=arrow | {
            "color": TEAL})
    for depth in np.linspace(TOP + 0.03, BOTTOM - 0.03, 4):
        for side in (-1, 1):
            axes.annotate("", (side * 0.15, -depth), (side * (0.15 + 0.3 * depth), -depth),
                          arrowprops=arrow | {"color": "#5c7378", "lw": 1.4})
    axes.text(0.0, -TOP + 0.085, f"top: {PRESSURES[0]:.1f} kPa, down", ha="center", color=RUST)
    axes.text(0.0, -BOTTOM - 0.17, f"bottom: {PRESSURES[1]:.1f} kPa, up", ha="center", va="top",
              color=TEAL)
    axes.text(0.0, -(TOP + BOTTOM) / 2, "volume $V$", ha="center", va="center")
    axes.text(-0.36, -0.35, "sides\ncancel", ha="center", va="center")
    axes.text(0.43, -0.35, "left over:\n" r"$\rho\,g\,V$ up", ha="center", va="center",
              fontweight="bold")
    axes.set(xlim=(-0.6, 0.6), ylim=(-0.75, 0.08))
    axes.axis("off")
    return figure
