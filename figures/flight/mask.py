"""Two rays from the fish through a flat mask to the eyes, and where they seem to come from."""

import numpy as np
from bandwork.flight import refraction_angle, seen_through_mask
from matplotlib.figure import Figure
from matplotlib.patches import Ellipse
from matplotlib.pyplot import subplots
from scipy.optimize import brentq

from figures.flight._example import COOL, INK, LEADER, SEA, WARM

TRUE, GAP, PUPILS = 1.0, 0.12, 0.36
"""Distances drawn, far too near and too wide, so that the bending can be seen."""
SEEN = float(seen_through_mask(5.0, SEA).distance)


def _air(side: float) -> tuple[float, float]:
    """Angle in air, and height at which the ray meets the glass."""
    n = SEA.refractive_index

    def miss(angle: float) -> float:
        below = float(refraction_angle(angle, 1.0, n))
        return GAP * np.tan(angle) + (TRUE - GAP) * np.tan(below) - side

    angle = brentq(miss, 0, 1.2)
    return angle, side - GAP * np.tan(angle)


ANGLE, GLASS = _air(PUPILS / 2)
IMAGE = PUPILS / 2 / np.tan(ANGLE)

ALT = f"""
Seen from above, not to scale. Two rays leave the fish on the right, run left through the water,
bend at the flat glass away from straight ahead, and meet the two eyes. Traced back without
bending, dashed, they meet nearer than the fish is: at three quarters of the distance, about. A fish
at 5 m from the eyes seems to be at {SEEN:.2f} m.
"""


def draw() -> Figure:
    """Return eyes, glass, fish and its image with both rays."""
    figure, axes = subplots(figsize=(5.6, 3.6))
    axes.axvspan(GAP, TRUE + 0.2, color="#dfe9e4", lw=0)
    axes.plot([GAP, GAP], [-0.34, 0.34], color=INK, ls="-", lw=3)
    for side in (1, -1):
        eye, glass = side * PUPILS / 2, side * GLASS
        axes.plot([TRUE, GAP, 0], [0, glass, eye], color=WARM, ls="-")
        axes.plot([GAP, IMAGE], [glass, 0], color=COOL, ls="--", lw=1.8)
        axes.add_patch(Ellipse((-0.02, eye), 0.06, 0.06, fc="white", ec=INK, lw=1.4))
    for place, colour, fill in ((TRUE, WARM, True), (IMAGE, COOL, False)):
        axes.add_patch(Ellipse((place, 0), 0.1, 0.07, fc=colour if fill else "none", ec=colour,
                               lw=1.6))
    axes.annotate("where it seems", (IMAGE, -0.035), (IMAGE, -0.27), ha="center", color=COOL,
                  arrowprops=LEADER)
    axes.annotate("where it is", (TRUE, 0.035), (TRUE - 0.02, 0.23), ha="center", color=INK,
                  arrowprops=LEADER)
    axes.text(-0.02, 0.29, "eyes", ha="center", color=INK)
    axes.text(GAP + 0.03, 0.31, "water", va="center", color=INK)
    axes.text(0.03, -0.31, "air", va="center", ha="center", color=INK)
    axes.set(xlim=(-0.12, TRUE + 0.2), ylim=(-0.37, 0.37))
    axes.axis("off")
    return figure
