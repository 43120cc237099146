"""What is left of speed and energy over the way, and how the time grows."""

import numpy as np
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.flight._example import INK, SHAFT, WARM, flown

RANGES = np.linspace(SHAFT.length, 7.0, 120)
START = flown(SHAFT.length)


def _left(name: str, tip_range: object) -> object:
    return 100 * getattr(flown(tip_range), name) / getattr(START, name)


ALT = ("What is left of the muzzle's, in per cent, over the range of the tip. "
       + " ".join(f"At {x:g} m {_left('speed', x):.0f} of the speed and of the momentum, "
                  f"{_left('energy', x):.0f} of the energy." for x in (3.0, 4.0, 5.0, 6.0)))


def draw() -> Figure:
    """Return two curves that fall, one twice as fast."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    axes.plot(RANGES, _left("speed", RANGES), color=INK, ls="-")
    axes.plot(RANGES, _left("energy", RANGES), color=WARM, ls="--")
    axes.text(4.1, 72, "speed, momentum", color=INK)
    axes.text(2.1, 38, "energy", color=WARM)
    axes.set(xlabel="range, muzzle to tip (m)", ylabel="left of the muzzle's (%)", xlim=(1.4, 7),
             ylim=(0, 103))
    return figure
