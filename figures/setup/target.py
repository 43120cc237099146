"""A day at the target: what was computed, what was measured, and the corrected curve."""

import numpy as np
from bandwork.doubt import Measurements, calibrate
from bandwork.flight import fly
from bandwork.setup import predict_many
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.setup._example import COOL, GUN, INK, WARM

SEEN = Measurements(pulls=((1.6, 335.0), (2.0, 418.0), (2.4, 526.0)), speeds=(26.7, 26.0, 26.4),
                    times=((3.0, 0.061), (4.0, 0.112), (5.0, 0.181)), time_doubt=0.004)
"""Invented: a luggage scale, a video at the muzzle, a video from the side."""
FOUND = calibrate(GUN, SEEN)
RANGES = np.linspace(1.7, 5.3, 40)
MEASURED = np.array(SEEN.times)


def _times(after: bool) -> np.ndarray:
    gun, given = (FOUND.setup, FOUND.assumptions) if after else (GUN, None)
    speed = float(predict_many(gun, None, given, ["muzzle_speed"])["muzzle_speed"])
    drag = FOUND.assumptions.drag if after else None
    return np.asarray(fly(gun.shaft, gun.water, gun.line, speed, RANGES, 0.0, drag).time) * 1000


BEFORE, AFTER = _times(False), _times(True)
STIFF, DRAG = FOUND.estimates["stiffness"].best, FOUND.estimates["drag"].best
SIDE = "above" if np.interp(5, RANGES, BEFORE) > 1000 * MEASURED[-1, 1] else "below"
ALT = ("Time of flight over range. Three measured points: "
       + ", ".join(f"{1000 * time:.0f} ms at {far:.0f} m" for far, time in SEEN.times)
       + f". The computed curve lies {SIDE} them, {np.interp(5, RANGES, BEFORE):.0f} ms at 5 m; "
       f"after a tube of {STIFF:.2f} times the pull and a drag of {DRAG:.2f} times the computed "
       f"one, the curve runs through them, {np.interp(5, RANGES, AFTER):.0f} ms at 5 m.")


def draw() -> Figure:
    """Return both curves and the points, each with the doubt of a video."""
    figure, axes = subplots(figsize=(5.2, 4))
    axes.plot(RANGES, BEFORE, color=COOL, ls="--")
    axes.plot(RANGES, AFTER, color=WARM, ls="-")
    axes.errorbar(MEASURED[:, 0], 1000 * MEASURED[:, 1], yerr=8, fmt="o", color=INK, ms=8,
                  capsize=5, lw=1.6)
    axes.text(4.5, np.interp(4.5, RANGES, BEFORE) + 14, "as computed", ha="right", color=COOL)
    axes.text(4.45, np.interp(4.45, RANGES, AFTER) - 30, "after tuning", color=WARM)
    axes.text(3.1, 42, "measured, ± a frame", va="top", color=INK)
    axes.set(xlabel="range from the muzzle to the tip (m)", ylabel="time since the muzzle (ms)",
             xlim=(1.5, 5.6), ylim=(0, None))
    return figure
