"""Reach from the muzzle over the barrel's length, for no wrap to three."""

import numpy as np
from bandwork import line
from bandwork.components import Barrel, Shaft, ShootingLine
from bandwork.units import cm_from_metre
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.line._example import COOL, INK, PURPLE, WARM

BARRELS = np.linspace(0.75, 1.45, 60)
LONGER = 0.40
NAMES = ("no wrap", "single wrap", "double wrap", "triple wrap")


def _reach(length: float | np.ndarray, wraps: int) -> float | np.ndarray:
    shaft = Shaft(0.0075, np.asarray(length) + LONGER)
    return line.reach(Barrel(length), shaft, ShootingLine(0.0017, wraps=wraps)).from_muzzle


ALT = ("Reach from the muzzle in metres against barrel length from 75 to 145 cm, shaft "
       f"{LONGER * 100:.0f} cm longer than the barrel. Four rising straight lines. At 120 cm: "
       + "; ".join(f"{name} {float(_reach(1.20, wraps)):.1f} m"
                   for wraps, name in enumerate(NAMES)) + ".")


def draw() -> Figure:
    """Return one line for each number of wraps."""
    figure, axes = subplots(figsize=(5.2, 4))
    styles = ((INK, "-"), (WARM, "--"), (COOL, "-."), (PURPLE, ":"))
    for wraps, (name, (colour, dashes)) in enumerate(zip(NAMES, styles, strict=True)):
        axes.plot(cm_from_metre(BARRELS), _reach(BARRELS, wraps), color=colour, ls=dashes)
        axes.text(145, float(_reach(1.26, wraps)) - 0.2, name, color=colour, ha="right", va="top")
        axes.plot(120, float(_reach(1.20, wraps)), "o", color=colour)
        axes.text(119, float(_reach(1.20, wraps)) + 0.15, f"{float(_reach(1.20, wraps)):.1f} m",
                  color=colour, ha="right", va="bottom")
    axes.set(xlabel="barrel length (cm)", ylabel="reach from the muzzle (m)", xlim=(74, 146),
             ylim=(0, 13.5))
    return figure
