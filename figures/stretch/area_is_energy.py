"""The area under the pull is the energy held."""

import numpy as np
from bandwork.stretch import handbook_rubber
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.stretch._example import BAND, ROLLER

RUBBER = handbook_rubber()
REST = BAND.stretch_ratio(ROLLER.lower_run)
LOADED = BAND.stretch_ratio(ROLLER.loaded_path)
HELD_AT_REST = RUBBER.strain_energy_density(REST)
ADDED = RUBBER.strain_energy_density(LOADED) - HELD_AT_REST

ALT = f"""
Pull per area against stretch ratio. The area under the curve from stretch 1 to {REST:.2f}, lightly
hatched, is {HELD_AT_REST / 1e6:.2f} megajoule per cubic metre: the rubber holds it at rest and it
never reaches the shaft. The area from {REST:.2f} to {LOADED:.2f}, shaded, is {ADDED / 1e6:.2f}
megajoule per cubic metre: what loading adds.
"""


def draw() -> Figure:
    """Return the curve with its two areas."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    along = np.linspace(1, 4.4, 300)
    axes.plot(along, RUBBER.engineering_stress(along) / 1e6, color="#12343b", ls="-")
    kept, used = np.linspace(1, REST, 80), np.linspace(REST, LOADED, 120)
    axes.fill_between(kept, RUBBER.engineering_stress(kept) / 1e6, fc="#fdfbf6", ec="#5c7378",
                      hatch="///", lw=0)
    axes.fill_between(used, RUBBER.engineering_stress(used) / 1e6, fc="#e8b48f", lw=0)
    for stretch in (REST, LOADED):
        axes.plot([stretch] * 2, [0, RUBBER.engineering_stress(stretch) / 1e6], color="#12343b",
                  ls="-", lw=1.4)
    axes.text((REST + LOADED) / 2, 0.36, f"loading adds\n{ADDED / 1e6:.2f} MJ/m³", ha="center")
    axes.annotate(f"held at rest already:\n{HELD_AT_REST / 1e6:.2f} MJ/m³", (1.6, 0.36),
                  (1.02, 0.9), arrowprops={"arrowstyle": "-", "color": "#12343b", "lw": 0.9})
    axes.text(REST + 0.03, 0.03, f"at rest {REST:.2f}")
    axes.text(LOADED + 0.03, 0.03, f"loaded\n{LOADED:.2f}")
    axes.set(xlabel="stretch ratio s", ylabel="engineering stress P (MPa)", xlim=(0.95, 4.4),
             ylim=(0, 1.35))
    return figure
