"""How the gun comes to rest when it is let go, shaft out and shaft in."""

import numpy as np
from bandwork.trim import Trim, at_rest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.trim._example import INK, TEAL, draw_gun, trim

OUT, IN = trim(state="shaft_out"), trim()
FLAT, HANGS = at_rest(OUT), at_rest(IN)
assert FLAT.floats
assert not HANGS.floats

ALT = (f"Two pictures of the carbon gun let go in calm water. Shaft out, it lies level at the "
       f"surface, {FLAT.submerged_share * 100:.0f} per cent of its volume under water. Shaft in, "
       f"it hangs below the surface, muzzle {-np.degrees(HANGS.angle):.0f} degrees below the "
       f"horizon, and sinks slowly, with {-IN.net_force:.1f} N.")


def _water(axes: Axes, title: str) -> None:
    axes.axhspan(-1.75, 0, fc="#dfe3e0", ec="none")
    axes.plot([-1, 1], [0, 0], color=TEAL, ls="-", lw=1.6)
    axes.text(-0.98, 0.42, title, fontweight="bold", va="top")
    axes.set(xlim=(-1, 1), ylim=(-1.75, 0.45), aspect=1)
    axes.axis("off")


def _middle(axes: Axes, gun: Trim, angle: float, height: float, *, shaft: bool) -> None:
    centre = float(gun.centre_of_mass)
    start = (-centre * np.cos(angle), height - centre * np.sin(angle))
    draw_gun(axes, shaft=shaft, at=start, angle=angle, thick=0.035)


def draw() -> Figure:
    """Return the two pictures side by side."""
    figure, (left, right) = subplots(1, 2, figsize=(5.2, 3.6))
    _water(left, "shaft out: floats")
    _water(right, "shaft in: sinks")
    _middle(left, OUT, float(FLAT.angle), -0.02, shaft=False)
    _middle(right, IN, float(HANGS.angle), -0.72, shaft=True)
    left.text(0, -0.42, "level", ha="center", va="top")
    right.annotate("", (0.62, -1.25), (0.62, -0.8), arrowprops={
        "arrowstyle": "-|>", "color": INK, "lw": 2})
    right.text(0.62, -0.75, f"{-IN.net_force:.1f} N", ha="center", va="bottom")
    right.text(-0.55, -1.25, f"muzzle\n{-np.degrees(HANGS.angle):.0f}° down", ha="center")
    return figure
