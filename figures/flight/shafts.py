"""Energy left over the range for four shafts that leave the muzzle with the same energy."""

import numpy as np
from bandwork.flight import Shaft, fly
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.flight._example import COOL, INK, LINE, PURPLE, SEA, SHAFT, WARM, muzzle_speeds

LAUNCHED = SHAFT.mass * muzzle_speeds()[0] ** 2 / 2
DIAMETERS = (0.0065, 0.007, 0.0075, 0.008)
RANGES = np.linspace(SHAFT.length, 6.5, 100)


def _arrives(diameter: float, tip_range: object) -> object:
    rod = Shaft(diameter, SHAFT.length)
    start = np.sqrt(2 * LAUNCHED / rod.mass)
    return fly(rod, SEA, LINE, start, tip_range)  # type: ignore[arg-type]


ALT = (f"Energy left in joules over the range of the tip, for shafts of {SHAFT.length:.2f} m that "
       f"leave the muzzle with {LAUNCHED:.0f} J each. The thicker, the higher the curve. At 5 m: "
       + ", ".join(f"{d * 1000:g} mm {_arrives(d, 5.0).energy:.0f} J and "
                   f"{_arrives(d, 5.0).drop * 100:.1f} cm of drop" for d in DIAMETERS) + ".")


def draw() -> Figure:
    """Return one curve for each shaft."""
    figure, axes = subplots(figsize=(5.2, 4.0))
    styles = (("-.", PURPLE), ("--", COOL), ("-", INK), (":", WARM))
    for diameter, (dashes, colour) in zip(DIAMETERS, styles, strict=True):
        axes.plot(RANGES, _arrives(diameter, RANGES).energy, color=colour, ls=dashes)
    for diameter, (_, colour), place in zip(DIAMETERS, styles, (34, 58, 82, 106), strict=True):
        energy = _arrives(diameter, 5.0).energy
        axes.text(5.05, place + 28, f"{diameter * 1000:g} mm: {energy:.0f} J", color=colour)
    axes.text(5.05, 158, "at 5 m", color=INK)
    axes.set(xlabel="range, muzzle to tip (m)", ylabel="energy left (J)", xlim=(1.4, 6.6),
             ylim=(0, 170))
    return figure
