"""The six units of the course, each at its place on a gun that has just been fired."""

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.pyplot import subplots

UNITS = (
    ("stretch", "the band", (0.66, 0.42), (1.10, 0.11)),
    ("trim", "does it float?", (0.10, -0.48), (0.30, -0.02)),
    ("line", "", (1.32, -0.48), (1.34, -0.24)),
    ("launch", "the shaft", (1.52, 0.42), (1.72, 0.045)),
    ("flight", "how far, how low?", (2.42, -0.48), (2.36, -0.06)),
)

ALT = """
A roller gun from the side that has just fired its shaft at a target, with the five units that have
a place on it. Stretch points at the band, trim at the barrel, launch at the shaft that leaves,
flight at its dashed way to the target, which bends down slightly, and line at the shooting line
that runs from the gun to the shaft. The sixth unit, setup, stands above: all of it for one diver.
"""

INK, BAND, PART = "#12343b", "#a8480f", "#5c7378"


def _drop(x: np.ndarray) -> np.ndarray:
    return 0.045 - 0.035 * (x - 1.25) ** 2


def draw() -> Figure:
    """Return the gun, the shaft on its way, and the names."""
    figure, axes = subplots(figsize=(5.2, 2.9))
    axes.add_patch(Rectangle((0, -0.045), 1.2, 0.09, fc="#e6e1d3", ec=INK, lw=1.2))
    handle = [(-0.16, 0.045), (0, 0.045), (0, -0.045), (-0.05, -0.24), (-0.13, -0.24),
              (-0.11, -0.045), (-0.16, -0.045)]
    axes.add_patch(Polygon(handle, fc="#d3cdbd", ec=INK, lw=1.2))
    turn = np.linspace(np.pi / 2, -np.pi / 2, 40)
    x = np.concatenate([[1.1], 1.22 + 0.085 * np.cos(turn), [0.03]])
    y = np.concatenate([[0.085], 0.085 * np.sin(turn), [-0.085]])
    axes.plot(x, y, color=BAND, ls="-", lw=4.5, solid_capstyle="round")
    axes.plot(1.1, 0.085, "o", color=INK, ms=7)
    axes.add_patch(Circle((1.22, 0), 0.066, fc="white", ec=INK, lw=1.3, zorder=3))

    flown = np.array([1.55, 2.15])
    axes.plot(flown, _drop(flown), color=PART, ls="-", lw=3.2)
    tip = 2.21
    axes.plot([2.13, tip, 2.13], _drop(np.array(2.15)) + np.array([0.022, -0.006, -0.024]),
              color=PART, ls="-", lw=1.6)
    ahead = np.linspace(tip + 0.04, 2.78, 30)
    axes.plot(ahead, _drop(ahead), color=PART, ls=(0, (3, 3)), lw=1.6)
    for radius in (0.13, 0.07):
        axes.add_patch(Circle((2.86, _drop(np.array(2.8))), radius, fc="none", ec=INK, lw=1.6))
    slack = np.linspace(0, 1, 40)
    axes.plot(1.18 + slack * 0.38, -0.07 - 0.85 * slack * (1 - slack) + slack * 0.1,
              color=INK, ls="-", lw=1.2)

    for name, words, at, to in UNITS:
        axes.annotate(f"{name}\n{words}" if words else name, xy=to, xytext=at, ha="center",
                      va="center", color=INK,
                      arrowprops={"arrowstyle": "-", "color": INK, "lw": 0.9, "shrinkB": 1})
    axes.text(2.44, 0.42, "setup\nall of it,\nfor one diver", ha="center", va="center")
    axes.set(xlim=(-0.22, 3.02), ylim=(-0.62, 0.6), aspect=1)
    axes.axis("off")
    return figure
