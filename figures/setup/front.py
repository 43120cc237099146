"""All that Noor could tie from a small shelf, and what nothing else beats."""

import numpy as np
from bandwork.choice import non_dominated
from bandwork.components import Band, Barrel, Shaft, ShootingLine, Water
from bandwork.setup import Quarry, Setup, predict_many
from bandwork.stretch import cut_length_for_load
from bandwork.units import kgf_from_newton, newton_from_kgf
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.setup._example import FISH, INK, LIGHT, NOOR, WARM

LIMIT = 0.9 * kgf_from_newton(NOOR.load_capacity)


def _tied() -> tuple[np.ndarray, np.ndarray]:
    """Return load [kgf] and energy at the fish [J] of every set-up from the shelf."""
    kgf = np.arange(30.0, 49.0, 2.0)
    loads, energies = [], []
    for length in (1.00, 1.20, 1.30):
        for tube in (0.014, 0.016):
            for shaft in (0.0065, 0.007, 0.0075, 0.008):
                barrel = Barrel(length)
                cuts = cut_length_for_load(newton_from_kgf(kgf), barrel, tube, 0.003)
                gun = Setup(Band(tube, 0.003, cuts), Shaft(shaft, length + 0.40), barrel,
                            ShootingLine(0.0017), Water(), NOOR)
                got = predict_many(gun, Quarry(distance=FISH.distance), None,
                                   ["load", "energy_at_fish"])
                loads.append(kgf_from_newton(got["load"]))
                energies.append(got["energy_at_fish"])
    return np.concatenate(loads), np.concatenate(energies)


LOADS, ENERGIES = _tied()
BEST = non_dominated(np.column_stack([LOADS.round(3), -ENERGIES.round(3)]))
ABLE = BEST & (LOADS <= LIMIT)
ALT = (f"Points for {len(LOADS)} set-ups, with the load from {LOADS.min():.0f} to "
       f"{LOADS.max():.0f} kgf level and the energy at the fish upright. {BEST.sum()} of them form "
       f"the upper left edge, rising from {ENERGIES[BEST].min():.0f} to "
       f"{ENERGIES[BEST].max():.0f} J: nothing beats them in both. A dashed upright line marks "
       f"Noor's limit of {LIMIT:.0f} kgf; {ABLE.sum()} of the edge lie left of it.")


def draw() -> Figure:
    """Return load against energy for all, the edge marked, the limit drawn."""
    figure, axes = subplots(figsize=(5.2, 4.2))
    axes.plot(LOADS[~BEST], ENERGIES[~BEST], "o", ms=5, mfc=LIGHT, mec=INK, mew=0.7, ls="none")
    order = np.argsort(LOADS[BEST])
    axes.plot(LOADS[BEST][order], ENERGIES[BEST][order], "D-", color=WARM, ms=7, lw=1.4)
    axes.axvline(LIMIT, color=INK, ls="--", lw=1.6)
    axes.text(LIMIT - 0.2, ENERGIES.min() - 13, "Noor's limit", ha="right", va="center")
    axes.text(30.2, ENERGIES[BEST].max() - 1, "what nothing beats in both", color=WARM, va="top")
    axes.text(29.8, ENERGIES.min() - 5, "the others: less for their load", va="center")
    axes.set(xlabel="load at the notch (kgf)", ylabel="energy at the fish (J)",
             ylim=(ENERGIES.min() - 17, ENERGIES.max() + 4), xticks=range(30, 50, 5))
    return figure
