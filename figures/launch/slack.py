"""The pull that drives the shaft, roller beside conventional, at the same load."""

import numpy as np
from bandwork.units import cm_from_metre
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.launch._example import (
    BAND,
    COOL,
    INK,
    LOAD,
    ROLLER,
    SHAFT,
    WARM,
    roller_and_conventional,
)

ROLLED, PLAIN = roller_and_conventional(LOAD, BAND, SHAFT, ROLLER)
WAY = float(cm_from_metre(ROLLER.upper_run))
SLACK = float(cm_from_metre(ROLLER.upper_run - PLAIN.band.relaxed_length))
LAST = float(ROLLED.pull[-1])

ALT = f"""
Pull at the wishbone against the way of the shaft, 0 to {WAY:.0f} cm, for the same barrel rigged as
a roller and as a conventional gun, both loaded with {LOAD:.0f} newtons. The roller's pull falls to
{LAST:.0f} newtons as the shaft leaves. The conventional one falls to nothing after {SLACK:.0f} cm,
where the band goes slack, and the shaft coasts from there. Stored: {ROLLED.stored_energy:.0f}
against {PLAIN.stored_energy:.0f} joules. Muzzle speed: {ROLLED.shot.muzzle_speed:.1f} against
{PLAIN.shot.muzzle_speed:.1f} metres per second.
"""


def draw() -> Figure:
    """Return both curves."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    axes.plot(cm_from_metre(ROLLED.position), ROLLED.pull, color=WARM, ls="-")
    pulling = PLAIN.position <= ROLLER.upper_run - PLAIN.band.relaxed_length
    axes.plot(cm_from_metre(PLAIN.position)[pulling], PLAIN.pull[pulling], color=COOL, ls="--")
    axes.plot([SLACK, WAY], [0, 0], color=COOL, ls="--", lw=4, solid_capstyle="butt")
    axes.plot([WAY] * 2, [0, LAST], color=WARM, ls="-", lw=1.4)
    axes.text(70, 285, f"roller: {ROLLED.stored_energy:.0f} J stored,\n"
              f"{ROLLED.shot.muzzle_speed:.1f} m/s", color=WARM)
    axes.text(3, 90, f"conventional:\n{PLAIN.stored_energy:.0f} J stored,\n"
              f"{PLAIN.shot.muzzle_speed:.1f} m/s", color=COOL)
    axes.annotate(f"slack after {SLACK:.0f} cm", (SLACK, 2), (29, 22), color=INK,
                  arrowprops={"arrowstyle": "-", "color": INK, "lw": 0.9})
    axes.set(xlabel="way of the shaft (cm)", ylabel="pull at the wishbone (N)",
             xlim=(0, WAY * 1.02), ylim=(0, 1.08 * float(np.max(PLAIN.pull))))
    return figure
