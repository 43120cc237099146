"""How well a film can tell a speed, by counting pictures and by measuring positions in them."""

import numpy as np
from bandwork.setup import predict
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.workshop._example import (
    FRAME_DOUBT,
    GUN,
    INK,
    RUST,
    SCALE_DOUBT,
    WAY_DOUBT,
)

SPEED = float(predict(GUN).muzzle_speed)
WAY = 1.0
RATES = np.array([30, 60, 120, 240, 480])


def counted(rate: float | np.ndarray) -> float | np.ndarray:
    """Return the relative doubt of counting pictures over a metre, with that of the scale."""
    return np.hypot(FRAME_DOUBT / (rate * WAY / SPEED), SCALE_DOUBT)


def measured(rate: float | np.ndarray) -> float | np.ndarray:
    """Return that of measuring two positions, whole pictures apart and within the metre."""
    apart = np.floor(rate * WAY / SPEED) * SPEED / rate
    return np.hypot(2**0.5 * WAY_DOUBT / apart, SCALE_DOUBT)


ALT = (f"Standard doubt of a speed in per cent against pictures a second, for a shaft at "
       f"{SPEED:.0f} m/s filmed over one metre. Counting pictures, dashed: "
       + ", ".join(f"{counted(r) * 100:.0f} at {r}" for r in RATES)
       + ". Measuring two positions, solid: "
       + ", ".join(f"{measured(r) * 100:.1f} at {r}" for r in RATES)
       + f". A dotted level line is the doubt of the scale alone, "
       f"{SCALE_DOUBT * 100:.0f} per cent: "
       "neither can be better.")


def draw() -> Figure:
    """Return both doubts over the frame rate."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    axes.plot(RATES, counted(RATES) * 100, "o--", color=RUST)
    axes.plot(RATES, measured(RATES) * 100, "s-", color=INK)
    axes.axhline(SCALE_DOUBT * 100, color="#5c7378", ls=":", lw=1.6)
    axes.text(66, 21, "counting pictures", color=RUST)
    axes.text(31, 3.4, "measuring positions", color=INK)
    axes.text(31, 1.62, "the scale alone", color="#445c61", va="top")
    axes.set(xscale="log", yscale="log", xticks=RATES, xticklabels=RATES, xlim=(27, 540),
             yticks=[1, 2, 5, 10, 20, 50], yticklabels=[1, 2, 5, 10, 20, 50], ylim=(1, 60),
             xlabel="pictures a second", ylabel="standard doubt (%)")
    axes.minorticks_off()
    return figure
