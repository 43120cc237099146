"""The two pulls on either side of a roller, and how their ratio grows with friction."""

import numpy as np
from bandwork.handbook import lookup
from matplotlib.figure import Figure
from matplotlib.patches import Circle
from matplotlib.pyplot import subplots

from figures.stretch._example import ROLLER

FRICTION = lookup("sheave.friction")
HALF_TURN = np.pi
STUCK = 0.30


def _ratio(friction: float) -> float:
    return float(np.exp(friction * HALF_TURN))


ALT = f"""
Top: a roller with the band half round it; the upper run pulls back to the notch with T up, the
lower run with the smaller T low, and friction from the roller points against the band's movement.
Bottom: the ratio of T up to T low against the friction coefficient for half a turn, a curve that
starts at 1 for no friction: {_ratio(FRICTION.low):.2f} at {FRICTION.low},
{_ratio(FRICTION.value):.2f} at {FRICTION.value}, {_ratio(FRICTION.high):.2f} at {FRICTION.high} and
{_ratio(STUCK):.2f} at {STUCK:.2f}, a roller that does not turn.
"""


def draw() -> Figure:
    """Return the sketch above the curve."""
    figure, (sketch, axes) = subplots(2, 1, figsize=(5.2, 5.6), height_ratios=[1, 1.25])
    turn = np.linspace(np.pi / 2, -np.pi / 2, 60)
    sketch.add_patch(Circle((0, 0), 0.86, fc="white", ec="#12343b", lw=1.6))
    sketch.add_patch(Circle((0, 0), 0.07, fc="#12343b"))
    x = np.concatenate([[-1.5], np.cos(turn), [-1.5]])
    y = np.concatenate([[1], np.sin(turn), [-1]])
    sketch.plot(x, y, color="#a8480f", ls="-", lw=6, solid_capstyle="butt")
    arrow = {"arrowstyle": "-|>", "color": "#12343b", "lw": 2, "mutation_scale": 18}
    sketch.annotate("", (-2.45, 1), (-1.5, 1), arrowprops=arrow)
    sketch.annotate("", (-2.1, -1), (-1.5, -1), arrowprops=arrow)
    sketch.text(-2.3, 1.2, r"$T_\mathrm{up}$, to the notch", va="bottom")
    sketch.text(-2.3, -1.2, r"$T_\mathrm{low}$, to the anchor", va="top")
    back = np.linspace(0.95, -0.35, 30)
    sketch.plot(1.32 * np.cos(back), 1.32 * np.sin(back), color="#0b746f", ls="-", lw=1.8)
    sketch.annotate("", (1.32 * np.cos(-0.45), 1.32 * np.sin(-0.45)),
                    (1.32 * np.cos(-0.33), 1.32 * np.sin(-0.33)),
                    arrowprops={**arrow, "color": "#0b746f"})
    sketch.text(1.5, 0, "friction\nholds back", ha="left", va="center", color="#0b746f")
    sketch.text(0, -0.42, r"wrap $\theta$", ha="center", va="center")
    sketch.set(xlim=(-2.55, 1.55), ylim=(-1.7, 1.7), aspect=1)
    sketch.axis("off")

    along = np.linspace(0, 0.33, 100)
    axes.axvspan(FRICTION.low, FRICTION.high, color="#e6e1d3", lw=0)
    axes.plot(along, np.exp(along * HALF_TURN), color="#12343b", ls="-")
    for friction in (FRICTION.value, FRICTION.high, STUCK):
        axes.plot(friction, _ratio(friction), "o", color="#a8480f")
    axes.annotate(f"{_ratio(FRICTION.value):.2f}", (FRICTION.value, _ratio(FRICTION.value)),
                  (8, -16), textcoords="offset points")
    axes.annotate(f"{_ratio(FRICTION.high):.2f}", (FRICTION.high, _ratio(FRICTION.high)),
                  (9, -13), textcoords="offset points")
    axes.annotate(f"{_ratio(STUCK):.2f}\nroller\nstuck", (STUCK, _ratio(STUCK)), (-32, 4),
                  textcoords="offset points", ha="right", va="center")
    axes.text((FRICTION.low + FRICTION.high) / 2, 2.2, "turning\nroller", ha="center", va="center",
              fontsize=12)
    axes.set(xlabel=r"friction $\mu$", ylabel=r"$T_\mathrm{up}\,/\,T_\mathrm{low}$",
             xlim=(0, 0.33), ylim=(0.95, 2.85))
    axes.text(0.005, 2.62, "half a turn", va="center")
    assert np.isclose(ROLLER.friction_ratio, _ratio(FRICTION.value))
    return figure
