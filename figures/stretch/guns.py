"""Where the band runs on a roller gun and on a conventional gun."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.pyplot import subplots

from figures.stretch._example import BAND, ROLLER

REST = BAND.stretch_ratio(ROLLER.lower_run)
LOADED = BAND.stretch_ratio(ROLLER.loaded_path)

ALT = f"""
Two guns from the side, both loaded, muzzle to the right, height drawn three times too large.
Top, the roller gun: a leg of the band starts at an anchor under the handle, runs forward under the
barrel (lower run, {ROLLER.lower_run * 100:.0f} cm with the part on the roller), half round a roller
at the muzzle, and back along the top to the wishbone in the notch (upper run,
{ROLLER.upper_run * 100:.0f} cm). A leg of {BAND.relaxed_length * 100:.0f} cm is stretched
{REST:.2f} times at rest, when the wishbone lies at the roller, and {LOADED:.2f} times when loaded.
Bottom, the conventional gun: a leg runs from the muzzle straight back to the wishbone in the
notch; at rest it is slack.
"""

INK, BAND_COLOUR, PART = "#12343b", "#a8480f", "#5c7378"
THICK = 0.035
MUZZLE = float(ROLLER.length + ROLLER.roller_offset)
NOTCH = float(ROLLER.notch_position)
ANCHOR = float(ROLLER.anchor_position)


def _gun(axes: Axes) -> None:
    axes.add_patch(Rectangle((0, -THICK), ROLLER.length, 2 * THICK, fc="#e6e1d3", ec=INK, lw=1.2))
    handle = [(-0.16, THICK), (0.0, THICK), (0.0, -THICK), (-0.05, -0.19), (-0.12, -0.19),
              (-0.10, -THICK), (-0.16, -THICK)]
    axes.add_patch(Polygon(handle, fc="#d3cdbd", ec=INK, lw=1.2))
    top = THICK + 0.012
    axes.plot([-0.08, 1.50], [top, top], color=PART, ls="-", lw=2.2, solid_capstyle="butt")
    axes.plot([1.50, 1.54, 1.50], [top + 0.012, top, top - 0.012], color=PART, ls="-", lw=1.4)
    axes.set(xlim=(-0.21, 1.60), aspect=1)
    axes.axis("off")


def _say(axes: Axes, text: str, at: tuple[float, float], to: tuple[float, float]) -> None:
    axes.annotate(text, xy=to, xytext=at, ha="center", va="center",
                  arrowprops={"arrowstyle": "-", "color": INK, "lw": 0.9, "shrinkB": 1})


def draw() -> Figure:
    """Return the two side views, one above the other."""
    figure, (roller, conventional) = subplots(2, 1, figsize=(5.2, 4.6),
                                              height_ratios=[1.22, 1], sharex=True)
    for axes in (roller, conventional):
        _gun(axes)

    radius = 0.075
    turn = np.linspace(np.pi / 2, -np.pi / 2, 40)
    upper = np.array([[NOTCH, radius], [MUZZLE, radius]])
    arc = np.column_stack([MUZZLE + radius * np.cos(turn), radius * np.sin(turn)])
    lower = np.array([[MUZZLE, -radius], [ANCHOR, -radius]])
    roller.plot(*np.vstack([upper, arc, lower]).T, color=BAND_COLOUR, ls="-", lw=5,
                solid_capstyle="round")
    roller.add_patch(Circle((MUZZLE, 0), radius - 0.014, fc="white", ec=INK, lw=1.4, zorder=3))
    roller.add_patch(Circle((MUZZLE, 0), 0.008, fc=INK, zorder=4))
    roller.plot(ANCHOR, -radius, "s", color=INK, ms=8)
    roller.plot(NOTCH, radius, "o", color=INK, ms=8)
    roller.text(-0.2, 0.42, "Roller gun, loaded", fontsize=14, fontweight="bold")
    _say(roller, "wishbone\nin the notch", (0.06, 0.26), (NOTCH, radius + 0.012))
    _say(roller, "roller", (1.42, -0.2), (MUZZLE + 0.04, -0.035))
    _say(roller, "wishbone\nat rest", (1.22, 0.26), (MUZZLE, radius + 0.02))
    _say(roller, "anchor", (0.14, -0.24), (ANCHOR + 0.005, -radius - 0.012))
    roller.text(0.62, radius + 0.04, f"upper run {ROLLER.upper_run * 100:.0f} cm", ha="center",
                color=BAND_COLOUR)
    roller.text(0.74, -radius - 0.095, f"lower run {ROLLER.lower_run * 100:.0f} cm, "
                "round the roller", ha="center", color=BAND_COLOUR)
    roller.set_ylim(-0.31, 0.47)

    conventional.plot([NOTCH, MUZZLE - 0.02], [radius, 0], color=BAND_COLOUR, ls="-", lw=5,
                      solid_capstyle="round")
    conventional.add_patch(Rectangle((ROLLER.length, -0.05), 0.05, 0.1, fc="#d3cdbd", ec=INK,
                                     lw=1.2, zorder=3))
    conventional.plot(NOTCH, radius, "o", color=INK, ms=8)
    conventional.text(-0.2, 0.34, "Conventional gun, loaded", fontsize=14, fontweight="bold")
    _say(conventional, "wishbone\nin the notch", (0.06, 0.22), (NOTCH, radius + 0.012))
    _say(conventional, "muzzle", (1.30, -0.16), (1.235, -0.04))
    _say(conventional, "shaft", (1.44, 0.2), (1.42, THICK + 0.018))
    _say(conventional, "handle", (-0.1, -0.25), (-0.09, -0.17))
    conventional.text(0.62, -0.13, f"one run {ROLLER.upper_run * 100:.0f} cm, slack at rest",
                      ha="center", color=BAND_COLOUR)
    conventional.set_ylim(-0.29, 0.39)
    return figure
