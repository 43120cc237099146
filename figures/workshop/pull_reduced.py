"""A club's pull test, reduced: readings, the fitted rubber with its interval, the test rubber."""

import numpy as np
from bandwork.doubt import Measurements, calibrate
from bandwork.rubber import handbook_rubber
from bandwork.units import kgf_from_newton, newton_from_kgf
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.workshop._example import (
    GUN,
    INK,
    LET_BACK_KGF,
    MARKS_CM,
    PULLED_KGF,
    RELAXED_CM,
    RUST,
    TEAL,
)

STRETCH = MARKS_CM / RELAXED_CM
LEG = GUN.band.relaxed_length
FACTOR = calibrate(GUN, Measurements(pulls=[
    (LEG * s, GUN.band.legs * newton_from_kgf(kgf))
    for s, kgf in zip(STRETCH, PULLED_KGF, strict=True)])).estimates["stiffness"]

ALT = f"""
Pull of one tube in kilogram-force against the stretch ratio, invented readings. Seven round marks,
pulled out, rise from {PULLED_KGF[0]:.1f} to {PULLED_KGF[-1]:.1f} kgf. Six open squares, let back,
lie a little below them. A solid line through the round marks is the handbook's test rubber times
{FACTOR.best:.2f}, with a narrow grey strip from {FACTOR.low:.2f} to {FACTOR.high:.2f} about it. A
dashed line below is the test rubber itself.
"""


def draw() -> Figure:
    """Return the readings with the fit and its interval."""
    figure, axes = subplots(figsize=(5.2, 4))
    along = np.linspace(1.05, 4.1, 200)
    test = kgf_from_newton(handbook_rubber().engineering_stress(along) * GUN.band.cross_section)
    axes.fill_between(along, FACTOR.low * test, FACTOR.high * test, color="#c9d3cf", lw=0)
    axes.plot(along, FACTOR.best * test, color=INK, ls="-", lw=1.8)
    axes.plot(along, test, color=RUST, ls="--", lw=1.8)
    axes.plot(STRETCH, PULLED_KGF, "o", color=INK)
    axes.plot(STRETCH[:-1], LET_BACK_KGF[:-1], "s", mfc="#fdfbf6", color=TEAL)
    axes.annotate("pulled out", (STRETCH[3], PULLED_KGF[3]), (1.3, 19.5),
                  arrowprops={"arrowstyle": "-", "color": INK, "lw": 0.9})
    axes.annotate("let back", (STRETCH[3], LET_BACK_KGF[3]), (2.75, 8.2), color=TEAL,
                  arrowprops={"arrowstyle": "-", "color": TEAL, "lw": 0.9})
    axes.annotate("test rubber", (3.9, np.interp(3.9, along, test)), (3.1, 13.2), color=RUST,
                  arrowprops={"arrowstyle": "-", "color": RUST, "lw": 0.9})
    axes.text(1.15, 25.5, f"times {FACTOR.best:.2f} ({FACTOR.low:.2f} to {FACTOR.high:.2f})")
    axes.set(xlabel="stretch ratio s", ylabel="pull of one tube (kgf)", xlim=(1, 4.15),
             ylim=(0, 30))
    return figure
