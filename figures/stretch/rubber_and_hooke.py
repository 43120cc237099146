"""Treloar's pull test beside two straight lines that a spring would follow."""

import numpy as np
from bandwork.handbook import lookup
from bandwork.stretch import handbook_rubber, treloar_tension
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

RUBBER = handbook_rubber()
STRETCH, STRESS = treloar_tension()
LOADED = lookup("rule.loaded_stretch").value
ENDS = RUBBER.engineering_stress(LOADED)
STIFFNESS = 3 * (RUBBER.mu + 2 * RUBBER.c2 / 3)

ALT = f"""
Pull per area against stretch ratio, from 1 to {STRETCH[-1]:.1f}. Treloar's 25 measured points and
the course's law through them rise steeply at first, flatten between stretch 1.5 and 4, and turn
upwards beyond 5; at stretch {LOADED} the law gives {ENDS / 1e6:.2f} MPa. A spring that starts with
the same slope leaves the points at once and gives {STIFFNESS * (LOADED - 1) / 1e6:.2f} MPa there.
A spring laid through the rubber's point at stretch {LOADED} runs below the rubber everywhere
before it.
"""


def draw() -> Figure:
    """Return the points, the law and the two lines."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    along = np.linspace(1, STRETCH[-1], 300)
    axes.plot(STRETCH, STRESS / 1e6, "o", mfc="none", mew=1.8, label="Treloar 1944, measured")
    axes.plot(along, RUBBER.engineering_stress(along) / 1e6, color="#12343b", ls="-")
    first = np.array([1, 4.05])
    axes.plot(first, STIFFNESS * (first - 1) / 1e6, color="#a8480f", ls="--")
    through = np.array([1, 7])
    axes.plot(through, ENDS / (LOADED - 1) * (through - 1) / 1e6, color="#0b746f", ls="-.")
    axes.plot(LOADED, ENDS / 1e6, "s", color="#0b746f", ms=10, zorder=4)
    axes.text(1.15, 4.15, "a spring with the\nrubber's first slope", color="#a8480f")
    axes.text(7.6, 1.38, f"a spring through\nstretch {LOADED}", color="#0b746f", ha="right",
              va="top")
    axes.text(6.6, 4.6, "rubber: measured\npoints and our law", ha="right")
    axes.annotate("a loaded band", (LOADED, ENDS / 1e6), (3.5, 0.15), ha="center",
                  arrowprops={"arrowstyle": "-", "color": "#12343b", "lw": 0.9})
    axes.set(xlabel="stretch ratio s", ylabel="engineering stress P (MPa)", xlim=(0.95, 7.8),
             ylim=(0, 6.5))
    return figure
