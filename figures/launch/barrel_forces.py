"""What presses and bends a barrel: conventional above, roller below."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from matplotlib.pyplot import subplots

from figures.launch._example import COOL, INK, WARM
from figures.launch.slack import PLAIN, ROLLED

ARM = 0.12

ALT = f"""
Two loaded barrels from the side, bent far more than in truth. Above, the conventional gun: one pull
of {PLAIN.barrel_load.compression:.0f} newtons over the barrel presses it and bends its middle down
by {abs(PLAIN.barrel_load.deflection) * 1000:.2f} mm. Below, the roller gun: the upper run over and
the lower run under the barrel press it with {ROLLED.barrel_load.compression:.0f} newtons together,
but bend it against each other: {abs(ROLLED.barrel_load.deflection) * 1000:.2f} mm.
"""


def _arrow(axes: Axes, start: tuple[float, float], end: tuple[float, float], colour: str) -> None:
    axes.annotate("", end, start, arrowprops={"arrowstyle": "-|>", "color": colour, "lw": 2,
                                              "shrinkA": 0, "shrinkB": 0})


def _barrel(axes: Axes, bend: float) -> None:
    x = np.linspace(0, 1, 60)
    middle = -bend * 4 * x * (1 - x)
    edge = np.column_stack([np.r_[x, x[::-1]], np.r_[middle + 0.035, middle[::-1] - 0.035]])
    axes.add_patch(Polygon(edge, fc="#e6e1d3", ec=INK, lw=1.2))
    for end in (0, 1):
        axes.plot([end, end], [-ARM, ARM], color=INK, ls="-", lw=3)


def draw() -> Figure:
    """Return the two barrels, one above the other."""
    figure, rows = subplots(2, 1, figsize=(5.2, 4.6))
    for axes, side, bend, name in ((rows[0], PLAIN, 0.07, "Conventional gun"),
                                   (rows[1], ROLLED, 0.012, "Roller gun")):
        _barrel(axes, bend)
        load = side.barrel_load
        _arrow(axes, (-0.2, ARM), (0, ARM), WARM)
        _arrow(axes, (1.2, ARM), (1, ARM), WARM)
        if side is ROLLED:
            _arrow(axes, (-0.17, -ARM), (0, -ARM), COOL)
            _arrow(axes, (1.17, -ARM), (1, -ARM), COOL)
            axes.text(0.5, -0.2, "lower run presses from below", ha="center", color=COOL)
        axes.text(0.5, ARM + 0.03, "upper run" if side is ROLLED else "band", ha="center",
                  color=WARM)
        axes.text(-0.2, 0.3, name, fontsize=14, fontweight="bold")
        axes.text(0.5, -0.33, f"pressed with {load.compression:.0f} N, bent by "
                  f"{abs(load.deflection) * 1000:.2f} mm", ha="center")
        axes.set(xlim=(-0.25, 1.25), ylim=(-0.4, 0.42), aspect=1)
        axes.axis("off")
    return figure
