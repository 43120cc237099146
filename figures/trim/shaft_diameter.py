"""Net force over the shaft's diameter, and the shaft that makes the gun neutral."""

import numpy as np
from bandwork.components import Barrel, Shaft
from bandwork.trim import neutral_shaft_diameter
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.trim._example import BAND, LENGTH, LINE, RUST, SEA, SHAFT_LENGTH, TEAL, trim

NEUTRAL = {one: float(neutral_shaft_diameter(BAND, Shaft(0.007, SHAFT_LENGTH),
                                             Barrel(LENGTH, material=one), LINE, SEA)) * 1000
           for one in ("carbon", "aluminium")}
ALONG = np.linspace(5.0, 8.0, 61)
FORCE = {one: trim(one, diameter=ALONG / 1000).net_force for one in NEUTRAL}

ALT = ("Net force in newtons against shaft diameter from 5 to 8 mm, for a tube of carbon and one "
       "of aluminium. Both lines fall, ever steeper. " + " ".join(
           f"With {name}, {FORCE[name][0]:+.1f} N at 5 mm, {FORCE[name][40]:+.1f} N at 7 mm and "
           f"{FORCE[name][-1]:+.1f} N at 8 mm; neutral at {at:.1f} mm."
           for name, at in NEUTRAL.items()))


def draw() -> Figure:
    """Return the two curves with their zeros."""
    figure, axes = subplots(figsize=(5.2, 3.9))
    for name, colour, dash, at in (("carbon", TEAL, "-", (6.05, 1.25)),
                                   ("aluminium", RUST, "--", (5.45, -1.35))):
        axes.plot(ALONG, FORCE[name], color=colour, ls=dash)
        axes.plot(NEUTRAL[name], 0, "o", mfc="white", mec=colour, mew=2.2, zorder=4)
        axes.text(*at, name, color=colour)
    axes.axhline(0, color="#12343b", ls="-", lw=1.2)
    axes.text(7.98, 0.12, "floats", ha="right", va="bottom")
    axes.text(7.98, -0.12, "sinks", ha="right", va="top")
    axes.annotate(f"neutral: {NEUTRAL['carbon']:.1f} mm", (NEUTRAL["carbon"], 0.08), (6.9, 1.5),
                  ha="left", arrowprops={"arrowstyle": "-", "color": "#12343b", "lw": 0.9})
    axes.annotate(f"{NEUTRAL['aluminium']:.1f} mm", (NEUTRAL["aluminium"], 0.1), (5.05, 0.75),
                  ha="left", arrowprops={"arrowstyle": "-", "color": "#12343b", "lw": 0.9})
    axes.set(xlabel="shaft diameter (mm)", ylabel="net force, shaft in (N)", xlim=(4.9, 8.05),
             ylim=(-3.6, 2.2))
    return figure
