"""The load on the notch against the cut length, for three tubes, with two divers' capacity."""

import numpy as np
from bandwork.handbook import lookup
from bandwork.stretch import Band, notch_load
from bandwork.units import cm_from_metre, kgf_from_newton
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.stretch._example import BORE, LENGTH, ROLLER
from figures.stretch._people import PEOPLE

ROW = lookup("band.outer_diameter")
TUBES = (ROW.low, ROW.value, ROW.high)
LENGTHS = np.linspace(0.55, 0.95, 81)


def _load(diameter: float, length: float | np.ndarray) -> float | np.ndarray:
    return kgf_from_newton(notch_load(Band(diameter, BORE, length), ROLLER))


ALT = (f"Load on the notch against the relaxed length of a leg, on a roller gun of "
       f"{LENGTH * 100:.0f} cm. The longer the leg, the lower the load. At 65 and 85 cm: "
       + "; ".join(f"{diameter * 1000:g} mm tube {_load(diameter, 0.65):.0f} and "
                   f"{_load(diameter, 0.85):.0f} kgf" for diameter in TUBES)
       + ". Two level bands show what the invented divers bring, down to the tenth they keep in "
       "hand: " + "; ".join(f"{person.name} {kgf_from_newton(person.wanted):.0f} to "
                            f"{kgf_from_newton(person.diver.load_capacity):.0f} kgf"
                            for person in PEOPLE) + ".")


def draw() -> Figure:
    """Return one line a tube over the divers' bands."""
    figure, axes = subplots(figsize=(5.2, 4))
    places = (("#dfe9e4", 94.5, "right"), ("#efe3d0", 55.4, "left"))
    for person, (colour, at, side) in zip(PEOPLE, places, strict=True):
        low, high = (float(kgf_from_newton(value))
                     for value in (person.wanted, person.diver.load_capacity))
        axes.axhspan(low, high, color=colour, lw=0)
        axes.text(at, (low + high) / 2, f"{person.name}: {high:.0f}", ha=side, va="center",
                  fontsize=12)
    styles = (("#12343b", "-"), ("#a8480f", "--"), ("#0b746f", "-."))
    for diameter, (colour, dashes), at in zip(TUBES, styles, (78, 86, 73), strict=True):
        loads = _load(diameter, LENGTHS)
        axes.plot(cm_from_metre(LENGTHS), loads, color=colour, ls=dashes)
        axes.annotate(f"{diameter * 1000:g} mm", (at, _load(diameter, at / 100)), (0, 5),
                      textcoords="offset points", color=colour, ha="left", va="bottom")
    axes.set(xlabel="relaxed length of a leg (cm)", ylabel="load on the notch (kgf)",
             xlim=(55, 95), ylim=(20, 75))
    return figure
