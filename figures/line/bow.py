"""The bow of one slack run, and where it passes the clearance."""

import numpy as np
from bandwork import line
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.line._example import COOL, GUN, INK, LEADER, TURN, WARM

SPAN = float(line.wrap_span(GUN))
CLEAR = float(TURN.side_clearance)
LIMIT = float(8 / 3 * CLEAR**2 / SPAN)
TEN = float(line.bow(0.010, SPAN))

ALT = f"""
Bow of one run of {SPAN * 100:.0f} cm in centimetres against its slack from 0 to 30 millimetres: a
square root, steepest at its start. It passes the clearance of {CLEAR * 100:.0f} cm already at
{LIMIT * 1000:.0f} mm of slack, and reaches {TEN * 100:.1f} cm at 10 mm and
{float(line.bow(0.03, SPAN)) * 100:.1f} cm at 30 mm.
"""


def draw() -> Figure:
    """Return the curve and the level of the clearance."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    slack = np.linspace(0, 0.03, 400)
    axes.plot(slack * 1000, line.bow(slack, SPAN) * 100, color=WARM, ls="-")
    axes.plot([0, 30], [CLEAR * 100] * 2, color=COOL, ls="--")
    axes.plot([LIMIT * 1000, 10], [CLEAR * 100, TEN * 100], "o", ls="", color=INK)
    axes.text(30, CLEAR * 100 - 0.25, "over the band from here up", color=COOL, ha="right",
              va="top")
    axes.annotate(f"{LIMIT * 1000:.0f} mm are enough", (LIMIT * 1000, CLEAR * 100), (4.5, 0.7),
                  arrowprops=LEADER)
    axes.annotate(f"10 mm: {TEN * 100:.1f} cm", (10, TEN * 100), (12, 5.2), arrowprops=LEADER)
    axes.set(xlabel="slack in one run (mm)", ylabel="bow (cm)", xlim=(0, 31), ylim=(0, 13))
    return figure
