"""The pull while loading, roller beside conventional, cut for the same load on the notch."""

import numpy as np
from bandwork.stretch import Band, Barrel, cut_length_for_load, notch_load, stored_energy
from bandwork.units import cm_from_metre, kgf_from_newton
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.stretch._example import BAND, BORE, DIAMETER, LENGTH, SMOOTH

PLAIN = Barrel(length=LENGTH, kind="conventional")
LOAD = notch_load(BAND, SMOOTH)
SHORT = Band(DIAMETER, BORE, cut_length_for_load(LOAD, PLAIN, DIAMETER, BORE))
REACH = SMOOTH.upper_run
WAY = SMOOTH.upper_run - SHORT.relaxed_length
FIRST = notch_load(BAND, SMOOTH, REACH * (1 - 1e-9))

ALT = f"""
Pull in kilogram-force against how far the wishbone is from the notch, roller friction left out.
Both bands end at {kgf_from_newton(LOAD):.0f} kgf in the notch. The roller band starts at
{kgf_from_newton(FIRST):.0f} kgf, {cm_from_metre(REACH):.0f} cm ahead of the notch, and the area
under its curve is {stored_energy(BAND, SMOOTH):.0f} joules. The conventional band starts from zero,
{cm_from_metre(WAY):.0f} cm ahead, and its area is {stored_energy(SHORT, PLAIN):.0f} joules.
"""


def draw() -> Figure:
    """Return both curves over the way of the wishbone, with their areas."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    far = np.linspace(0, REACH * (1 - 1e-9), 200)
    near = np.linspace(0, WAY * (1 - 1e-9), 200)
    roller = kgf_from_newton(notch_load(BAND, SMOOTH, far))
    plain = kgf_from_newton(notch_load(SHORT, PLAIN, near))
    axes.fill_between(cm_from_metre(far), roller, fc="#e8b48f", lw=0, alpha=0.75)
    axes.fill_between(cm_from_metre(near), plain, fc="none", ec="#0b746f", hatch="\\\\", lw=0)
    axes.plot(cm_from_metre(far), roller, color="#a8480f", ls="-")
    axes.plot(cm_from_metre(near), plain, color="#0b746f", ls="--")
    axes.plot([cm_from_metre(REACH)] * 2, [0, roller[-1]], color="#a8480f", ls="-")
    box = {"fc": "#fdfbf6", "ec": "none", "pad": 2}
    axes.text(86, 34, f"roller: {stored_energy(BAND, SMOOTH):.0f} J", color="#a8480f", ha="center")
    axes.text(33, 9, f"conventional:\n{stored_energy(SHORT, PLAIN):.0f} J", color="#0b746f",
              ha="center", bbox=box)
    axes.annotate(f"both {kgf_from_newton(LOAD):.0f} kgf\nin the notch",
                  (0, kgf_from_newton(LOAD)), (10, 48), va="center", ha="right",
                  arrowprops={"arrowstyle": "-", "color": "#12343b", "lw": 0.9})
    axes.set(xlabel="wishbone ahead of the notch (cm)", ylabel="pull at the wishbone (kgf)",
             xlim=(0, 125), ylim=(0, 52))
    axes.invert_xaxis()
    axes.yaxis.tick_right()
    axes.yaxis.set_label_position("right")
    axes.spines["left"].set_visible(False)
    axes.spines["right"].set_visible(True)
    return figure
