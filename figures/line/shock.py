"""Peak pull at the end of the line over the shaft's speed there."""

from dataclasses import replace

import numpy as np
from bandwork import line
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.line._example import COOL, GUN, INK, LINE, PURPLE, SHAFT, WARM

SPEEDS = np.linspace(0, 14, 400)
SOFT = replace(LINE, bungee_length=0.30)
NYLON = replace(LINE, stiffness=LINE.stiffness * 5 / 56)
HELD = line.made_up_strength(line.cord_strength(float(LINE.diameter)), "hmpe_knot")
ROPES = {"bare braid": LINE, "braid, bungee of 30 cm": SOFT, "nylon, no bungee": NYLON}


def _pull(rope: line.ShootingLine, speed: float | np.ndarray) -> float | np.ndarray:
    return line.end_shock(rope, line.line_length(GUN, SHAFT, rope), SHAFT, speed).tension


ALT = ("Peak pull in newtons against the shaft's speed at the line's end, 0 to 14 metres a second, "
       "for a single wrap. At 3 and at 11 metres a second: "
       + "; ".join(f"{name} {float(_pull(rope, 3.0)):.0f} and {float(_pull(rope, 11.0)):.0f} N"
                   for name, rope in ROPES.items())
       + ". The curve with a bungee stays low until the bungee is at its end and then climbs "
       f"steeply towards the bare one. A band from {HELD.low:.0f} to {HELD.high:.0f} N, best "
       f"{HELD.best:.0f}, is what the braid with a knot may hold.")


def draw() -> Figure:
    """Return three curves and the strength's band."""
    figure, axes = subplots(figsize=(5.2, 4.4))
    axes.axhspan(HELD.low, HELD.high, fc="#e8e2d0", ec="none")
    axes.plot([0, 14], [HELD.best] * 2, color=PURPLE, ls=":")
    for rope, colour, dashes in zip(ROPES.values(), (WARM, COOL, INK), ("-", "--", "-."),
                                    strict=True):
        axes.plot(SPEEDS, _pull(rope, SPEEDS), color=colour, ls=dashes)
    axes.text(6.2, 1000, "bare braid", color=WARM, ha="right")
    axes.text(9.6, 860, "with bungee\nof 30 cm", color=COOL, va="top")
    axes.text(13.9, 270, "nylon, no bungee", color=INK, ha="right", va="top")
    axes.text(0.2, HELD.best + 25, f"knot holds {HELD.best:.0f}\n({HELD.low:.0f} to "
              f"{HELD.high:.0f})", color=PURPLE, va="bottom")
    axes.set(xlabel="speed at the end of the line (m/s)", ylabel="peak pull (N)", xlim=(0, 14),
             ylim=(0, 1750))
    return figure
