"""The load that the trade's rule for the cut length leads to, whatever the barrel."""

import numpy as np
from bandwork.handbook import lookup
from bandwork.stretch import Band, Barrel, notch_load
from bandwork.units import cm_from_metre, kgf_from_newton
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.stretch._example import BORE

PLUS = lookup("rule.half_barrel_plus").value
ROW = lookup("band.outer_diameter")
TUBES = (ROW.low, ROW.value, ROW.high)
SHORT, LONG = 0.75, 1.40
BARRELS = np.linspace(SHORT, LONG, 80)


def _load(diameter: float, length: float | np.ndarray) -> float | np.ndarray:
    band = Band(diameter, BORE, np.asarray(length) / 2 + PLUS)
    return kgf_from_newton(notch_load(band, Barrel(length=length)))


def _stretch(length: float) -> float:
    return float(Barrel(length=length).loaded_path / (length / 2 + PLUS))


ALT = (f"Load on the notch against barrel length from {SHORT * 100:.0f} to {LONG * 100:.0f} cm, "
       f"every leg cut to half the barrel plus {PLUS * 100:.0f} cm. Three nearly level lines: "
       + "; ".join(f"{diameter * 1000:g} mm from {_load(diameter, SHORT):.0f} to "
                   f"{_load(diameter, LONG):.0f} kgf" for diameter in TUBES)
       + f". The stretch is {_stretch(SHORT):.2f} on the shortest barrel and {_stretch(LONG):.2f} "
       "on the longest, the same for every tube.")


def draw() -> Figure:
    """Return one line a tube over the barrel length."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    styles = (("#12343b", "-"), ("#a8480f", "--"), ("#0b746f", "-."))
    for diameter, (colour, dashes) in zip(TUBES, styles, strict=True):
        loads = _load(diameter, BARRELS)
        axes.plot(cm_from_metre(BARRELS), loads, color=colour, ls=dashes)
        axes.text(107, float(_load(diameter, 1.07)) - 1.2, f"{diameter * 1000:g} mm tube",
                  color=colour, ha="center", va="top")
    for length, side in ((SHORT, "left"), (LONG, "right")):
        axes.text(length * 100, 63, f"stretch {_stretch(length):.2f}", ha=side, va="center")
    axes.set(xlabel="barrel length (cm)", ylabel="load on the notch (kgf)", xlim=(74, 141),
             ylim=(25, 66))
    return figure
