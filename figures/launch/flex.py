"""The flex ratio of usual shafts, by diameter, each length a line."""

import numpy as np
from bandwork.handbook import lookup
from bandwork.launch import Shaft
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.launch._example import BAND, COOL, INK, ROLLER, WARM, launch_many

THRESHOLD = lookup("shaft.whip_ratio").value
DIAMETERS = np.linspace(6.5, 8, 31)
LENGTHS = (1.50, 1.60, 1.70)


def _ratio(diameter_mm: np.ndarray | float, length: float) -> np.ndarray:
    return np.asarray(launch_many(BAND, Shaft(np.asarray(diameter_mm) / 1e3, length),
                                  ROLLER).flex_ratio)


ALT = ("Flex ratio against shaft diameter from 6.5 to 8 mm, for the 16 mm band on a 120 cm roller "
       "gun. Three falling lines, one a length: "
       + "; ".join(f"{length:.2f} m from {float(_ratio(6.5, length)):.1f} to "
                   f"{float(_ratio(8.0, length)):.1f}" for length in LENGTHS)
       + f". A dotted line at {THRESHOLD:g} is the assumed threshold from which a shaft is said to "
       "whip.")


def draw() -> Figure:
    """Return one line a length, and the threshold."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    for length, colour, dashes in zip(LENGTHS, (COOL, INK, WARM), ("-.", "-", "--"), strict=True):
        axes.plot(DIAMETERS, _ratio(DIAMETERS, length), color=colour, ls=dashes)
        axes.text(6.47, float(_ratio(6.5, length)), f"{length:.2f} m", color=colour, ha="right",
                  va="center")
    axes.hlines(THRESHOLD, 6.5, 8.05, color=INK, ls=":", lw=1.6)
    axes.text(8.0, THRESHOLD + 0.03, f"whips from {THRESHOLD:g} (assumed)", ha="right",
              va="bottom")
    for diameter in (7.0, 7.5):
        ratio = float(_ratio(diameter, 1.60))
        axes.plot(diameter, ratio, "o", color=INK)
    axes.annotate(f"7 mm: {float(_ratio(7.0, 1.60)):.1f}", (7.0, float(_ratio(7.0, 1.60))),
                  (6.6, 0.9), arrowprops={"arrowstyle": "-", "color": INK, "lw": 0.9})
    axes.annotate(f"7.5 mm: {float(_ratio(7.5, 1.60)):.1f}", (7.5, float(_ratio(7.5, 1.60))),
                  (7.1, 0.45), arrowprops={"arrowstyle": "-", "color": INK, "lw": 0.9})
    axes.set(xlabel="diameter of the shaft (mm)", ylabel="flex ratio", xlim=(6.15, 8.05),
             ylim=(0, 3.4))
    return figure
