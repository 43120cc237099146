"""Four thousand guns like Noor's: the load of each, and two intervals for it."""

import numpy as np
from bandwork.stretch import load_interval
from bandwork.units import kgf_from_newton
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.setup._example import GUN, INK, LIGHT, WARM, spread

DRAWN = spread()
LOADS = kgf_from_newton(DRAWN.draws["load"])
MOST = DRAWN.intervals["load"]
SQUARES = load_interval(GUN.band, GUN.barrel).load
BEST, LOW, HIGH = (kgf_from_newton(value) for value in (MOST.best, MOST.low, MOST.high))
WIDE_LOW, WIDE_HIGH = kgf_from_newton(SQUARES.low), kgf_from_newton(SQUARES.high)
ALT = (f"A histogram of 4000 loads. They pile up around {np.median(LOADS):.0f} kgf, with a longer "
       f"tail to the right. Nine tenths lie between {LOW:.0f} and {HIGH:.0f} kgf. The interval by "
       f"root-sum-square, from the ends of all ranges, is wider: {WIDE_LOW:.0f} to "
       f"{WIDE_HIGH:.0f}. The best value is {BEST:.0f}.")


def draw() -> Figure:
    """Return the histogram with two intervals above it."""
    figure, axes = subplots(figsize=(5.2, 4.2))
    counts, edges = np.histogram(LOADS, bins=36)
    axes.bar(edges[:-1], counts, width=np.diff(edges), align="edge", fc=LIGHT, ec=INK, lw=0.8)
    top = counts.max()
    for height, low, high, text, colour in (
            (1.2, LOW, HIGH, "nine tenths", INK),
            (1.4, WIDE_LOW, WIDE_HIGH, "root-sum-square", WARM)):
        axes.annotate("", (low, height * top), (high, height * top),
                      arrowprops={"arrowstyle": "|-|", "color": colour, "lw": 2})
        axes.text((low + high) / 2, (height + 0.03) * top,
                  f"{text}: {low:.0f} to {high:.0f}", ha="center", va="bottom", color=colour)
    axes.axvline(BEST, ymax=0.66, color=WARM, ls="--", lw=1.6)
    axes.text(BEST - 0.6, 1.01 * top, f"best {BEST:.0f}", ha="right", va="bottom", color=WARM)
    axes.set(xlabel="load at the notch (kgf)", ylabel="guns of 4000", ylim=(0, 1.63 * top),
             xlim=(LOADS.min() - 3, LOADS.max() + 3))
    axes.set_yticks([0, 100, 200, 300])
    return figure
