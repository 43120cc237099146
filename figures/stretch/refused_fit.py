"""A law that fits badly on purpose: Mooney-Rivlin through the whole of Treloar's test."""

import numpy as np
from bandwork.stretch import MooneyRivlin, handbook_rubber, treloar_tension
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

STRETCH, STRESS = treloar_tension()


def _unguarded() -> MooneyRivlin:
    """Fit without asking whether the result is a rubber: the law is linear in its constants."""
    pull = 2 * (STRETCH - STRETCH**-2)
    columns = np.column_stack([pull, pull / STRETCH])
    return MooneyRivlin(*map(float, np.linalg.lstsq(columns, STRESS)[0]))


WRONG = _unguarded()
ALONG = np.linspace(1, STRETCH[-1], 400)
LOWEST = float(ALONG[np.argmin(WRONG.engineering_stress(ALONG))])
ZERO = -WRONG.c01 / WRONG.c10

ALT = f"""
Pull per area against stretch ratio. Treloar's points rise throughout. The Mooney-Rivlin law
fitted to all of them, with constants {WRONG.c10 / 1e6:.2f} and {WRONG.c01 / 1e6:.2f} megapascal,
goes below zero between stretch 1 and {ZERO:.2f}, lowest near {LOWEST:.2f}, where rubber would have
to push, and crosses the points in a nearly straight line. The course's law follows the points.
"""


def draw() -> Figure:
    """Return the points, the course's law and the refused one."""
    figure, axes = subplots(figsize=(5.2, 3.6))
    axes.axhspan(-1, 0, color="#e6e1d3", lw=0)
    axes.plot(STRETCH, STRESS / 1e6, "o", ls="none", mfc="none", mew=1.8, color="#12343b")
    axes.plot(ALONG, handbook_rubber().engineering_stress(ALONG) / 1e6, color="#12343b", ls="-")
    axes.plot(ALONG, WRONG.engineering_stress(ALONG) / 1e6, color="#a8480f", ls="--")
    axes.text(4.9, 3.2, "Mooney-Rivlin\nthrough all points:\nrefused", color="#a8480f", ha="right",
              va="bottom")
    axes.text(6.75, 1.9, "points and\nthe course's law", ha="center", va="top")
    axes.text(7.6, -0.35, "here the rubber would push", ha="right", va="center", fontsize=12)
    axes.set(xlabel="stretch ratio s", ylabel="engineering stress P (MPa)", xlim=(0.95, 7.8),
             ylim=(-0.7, 6.5))
    return figure
