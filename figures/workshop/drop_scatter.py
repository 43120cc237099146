"""Drops at a target beside what the model says: eight shots cannot tell a speed."""

import numpy as np
from bandwork import flight
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.workshop._example import DROP_CM, GUN, INK, PART, RUST, TARGET_M

SPEEDS = (22, 26)
RANGES = np.linspace(2, 5.4, 80)
CURVES = {speed: 100 * np.asarray(flight.fly(GUN.shaft, GUN.water, GUN.line, speed, RANGES).drop)
          for speed in SPEEDS}
PLACES = np.unique(TARGET_M)
MEANS = np.array([DROP_CM[at == TARGET_M].mean() for at in PLACES])
ENDS = np.array([2 * DROP_CM[at == TARGET_M].std(ddof=1) / (at == TARGET_M).sum() ** 0.5
                 for at in PLACES])

ALT = ("Drop in centimetres, downward, against the distance from the muzzle. Two lines from the "
       "model: " + " and ".join(f"{speed} m/s, {np.interp(5, RANGES, CURVES[speed]):.0f} cm at 5 m"
                                for speed in SPEEDS)
       + ". Invented shots, four at each distance, as small crosses; their means with two standard "
       "errors: " + ", ".join(f"{mean:.1f} plus or minus {end:.1f} cm at {at} m" for at, mean, end
                              in zip(PLACES, MEANS, ENDS, strict=True))
       + ". Both bars reach over both lines.")


def draw() -> Figure:
    """Return the shots, their means and the model."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    styles = (("--", RUST), ("-", INK))
    for speed, (dashes, colour) in zip(SPEEDS, styles, strict=True):
        axes.plot(RANGES, CURVES[speed], ls=dashes, color=colour)
    axes.text(4.65, 14.4, "22 m/s", color=RUST, ha="right")
    axes.text(5.3, 9.2, "26 m/s", color=INK)
    axes.plot(TARGET_M - 0.06, DROP_CM, "x", color=PART, ms=7)
    axes.errorbar(PLACES + 0.06, MEANS, yerr=ENDS, fmt="o", color=INK, capsize=5, lw=1.6, ls="")
    axes.annotate("mean, two\nstandard errors", (4.06, MEANS[0]), (2.1, 8.6),
                  arrowprops={"arrowstyle": "-", "color": INK, "lw": 0.9})
    axes.annotate("single shots", (3.94, DROP_CM[0]), (2.3, -0.5), va="center",
                  arrowprops={"arrowstyle": "-", "color": INK, "lw": 0.9})
    axes.set(xlabel="from the muzzle to the tip (m)", ylabel="drop (cm)", xlim=(2, 6),
             ylim=(17, -2))
    return figure
