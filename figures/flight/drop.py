"""Drop over the range, and free fall as its upper bound."""

import numpy as np
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.flight._example import COOL, INK, REACH, SHAFT, WARM, flown

RANGES = np.linspace(SHAFT.length, 6.2, 120)
AT = (3.0, 4.0, 5.0, REACH)

ALT = ("Drop in centimetres over the range of the tip, drawn downward. "
       + " ".join(f"At {x:.1f} m the roller's shaft has dropped {flown(x).drop * 100:.1f} cm, free "
                  f"fall would be {flown(x).free_fall * 100:.1f}, and the conventional gun's has "
                  f"dropped {flown(x, 1).drop * 100:.1f}." for x in AT))


def draw() -> Figure:
    """Return the drop of both guns and the bound."""
    figure, axes = subplots(figsize=(5.2, 4.2))
    axes.plot(RANGES, flown(RANGES).drop * 100, color=INK, ls="-")
    axes.plot(RANGES, flown(RANGES, 1).drop * 100, color=WARM, ls="--")
    axes.plot(RANGES, flown(RANGES).free_fall * 100, color=COOL, ls=":")
    axes.text(5.75, 9.5, "roller", color=INK, ha="left")
    axes.plot([REACH, REACH], [0, flown(REACH).drop * 100], color=INK, ls="-", lw=1.2)
    axes.text(REACH - 0.05, 2.2, "single wrap", ha="right", va="center")
    axes.text(4.3, 11.5, "conventional", color=WARM, ha="right")
    axes.text(4.95, 21.5, "free fall,\nthe most it\ncan be", color=COOL, ha="right", va="center")
    axes.set(xlabel="range, muzzle to tip (m)", ylabel="drop (cm)", xlim=(1.4, 6.3), ylim=(0, 26))
    axes.invert_yaxis()
    return figure
