"""Speed over the range, for the roller and for the same barrel as a conventional gun."""

import numpy as np
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.flight._example import INK, LEADER, REACH, SHAFT, WARM, flown, muzzle_speeds

RANGES = np.linspace(SHAFT.length, 7.0, 120)
AT = (3.0, 5.0)
FAST, SLOW = muzzle_speeds()

ALT = (f"Speed of the shaft over the range of its tip, from {SHAFT.length:.1f} to 7 m. Both curves "
       f"fall ever less steeply. Roller gun: {FAST:.1f} m/s at the muzzle, "
       + ", ".join(f"{flown(x).speed:.1f} at {x:g} m" for x in AT)
       + f". Conventional gun, as hard to load: {SLOW:.1f} m/s at the muzzle, "
       + ", ".join(f"{flown(x, 1).speed:.1f} at {x:g} m" for x in AT)
       + f". A mark on the level axis shows the end of a single wrap at {REACH:.1f} m.")


def draw() -> Figure:
    """Return both curves and the end of the line."""
    figure, axes = subplots(figsize=(5.2, 3.9))
    for gun, colour, dashes in ((0, INK, "-"), (1, WARM, "--")):
        axes.plot(RANGES, flown(RANGES, gun).speed, color=colour, ls=dashes)
    axes.annotate("roller", (2.6, flown(2.6).speed), (3.3, 22.5), color=INK, arrowprops=LEADER)
    axes.annotate("conventional", (2.2, flown(2.2, 1).speed), (1.6, 11.5), color=WARM,
                  arrowprops=LEADER)
    axes.plot([REACH, REACH], [0, float(flown(REACH).speed)], color=INK, ls=":", lw=1.4)
    axes.text(REACH - 0.1, 2, "end of a\nsingle wrap", ha="right", va="center")
    axes.set(xlabel="range, muzzle to tip (m)", ylabel="speed (m/s)", xlim=(1.4, 7), ylim=(0, 25))
    return figure
