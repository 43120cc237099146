"""What the bungee must bring against a swing, for a single and a double wrap."""

import numpy as np
from bandwork import line
from bandwork.components import ShootingLine
from bandwork.handbook import lookup
from bandwork.line import Swing
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.line._example import COOL, GREY, GUN, INK, SEA, SHAFT, WARM

RATES = np.linspace(0.1, 1.6, 150)
LIMIT = lookup("bungee.stiffness").value
USUAL = lookup("line.swing_rate").value
NAMES = {1: "single wrap", 2: "double wrap"}


def _pull(rate: float | np.ndarray, wraps: int) -> float | np.ndarray:
    rope = ShootingLine(0.0017, wraps=wraps, bungee_length=0.20)
    return line.wrap_risk("band", GUN, SHAFT, rope, SEA, swing=Swing(rate=rate)).tension_needed


ALT = ("Pull that the bungee must bring, in newtons, so that a swing does not lay the far run over "
       "the band, against the turning rate from 0.1 to 1.6 radians a second. Two curves that rise "
       "with the square of the rate. At "
       f"{USUAL:.0f} radian a second: "
       + " and ".join(f"{name} {float(_pull(USUAL, wraps)):.0f} N" for wraps, name in NAMES.items())
       + f". A level line marks {LIMIT:.0f} N, which the bungee brings at twice its length.")


def draw() -> Figure:
    """Return both curves and the bungee's end."""
    figure, axes = subplots(figsize=(5.2, 4))
    for wraps, colour, dashes, at, above in ((1, WARM, "-", 1.55, -72), (2, COOL, "--", 0.98, 20)):
        axes.plot(RATES, _pull(RATES, wraps), color=colour, ls=dashes)
        axes.text(at, float(_pull(at, wraps)) + above, NAMES[wraps], color=colour,
                  ha="right", va="center")
    axes.plot([0.1, 1.6], [LIMIT] * 2, color=GREY, ls="-.")
    axes.text(0.1, LIMIT + 4, "bungee at twice\nits length", color=INK, va="bottom")
    for wraps in NAMES:
        axes.plot(USUAL, float(_pull(USUAL, wraps)), "o", color=INK)
    axes.set(xlabel="turning rate (rad/s)", ylabel="pull at the bungee (N)", xlim=(0, 1.62),
             ylim=(0, 200))
    return figure
