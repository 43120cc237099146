"""Pull and speed along the track, for the shot of a gun that is held fast."""

import numpy as np
from bandwork.units import cm_from_metre
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.launch._example import BAND, COOL, INK, ROLLER, SHAFT, WARM, shot, track

STEPS = track(BAND, SHAFT, ROLLER)
SHOT = shot()
HALF = float(np.interp(0.5, STEPS.position / STEPS.position[-1], STEPS.speed))
WAY = float(cm_from_metre(STEPS.position[-1]))

ALT = f"""
Two graphs over the way of the wishbone, 0 to {WAY:.0f} cm. Above, the pull of the band at the
wishbone falls from {STEPS.pull[0]:.0f} to {STEPS.pull[-1]:.0f} newtons, and the push on the shaft
from {STEPS.thrust[0]:.0f} to {STEPS.thrust[-1]:.0f}; the gap between them moves the rubber and the
water. Below, the speed climbs steeply at first, has {HALF:.0f} metres per second at half of the
way, and ends at {SHOT.muzzle_speed:.0f}.
"""


def draw() -> Figure:
    """Return the two graphs, one above the other."""
    figure, (force, speed) = subplots(2, 1, figsize=(5.2, 5.4), sharex=True)
    way = cm_from_metre(STEPS.position)
    force.fill_between(way, STEPS.thrust, STEPS.pull, fc="#e8b48f", lw=0, alpha=0.7)
    force.plot(way, STEPS.pull, color=WARM, ls="-")
    force.plot(way, STEPS.thrust, color=COOL, ls="--")
    force.text(62, 318, "pull of the band", color=WARM)
    force.text(42, 95, "push on the shaft", color=COOL, ha="center")
    force.set(ylabel="force (N)", ylim=(0, 460))
    speed.plot(way, STEPS.speed, color=INK, ls="-")
    speed.plot(WAY / 2, HALF, "o", color=INK)
    speed.text(WAY / 2 + 3, HALF - 5, f"half of the way: {HALF:.0f} m/s")
    speed.text(WAY, SHOT.muzzle_speed + 1.2, f"{SHOT.muzzle_speed:.0f} m/s", ha="right")
    speed.set(ylabel="speed (m/s)", xlabel="way of the wishbone (cm)", ylim=(0, 31),
              xlim=(0, WAY * 1.02))
    return figure
