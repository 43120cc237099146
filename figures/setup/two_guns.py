"""Two guns of one tube and shaft: what each brings to the fish, over the range."""

import numpy as np
from bandwork.components import Band, Barrel, Shaft, ShootingLine, Water
from bandwork.flight import fly
from bandwork.setup import Setup, predict_many
from bandwork.stretch import cut_length_for_load
from bandwork.units import newton_from_kgf
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.setup._example import COOL, INK, LIGHT, NOOR, SAND, WARM

LOAD = newton_from_kgf(45)
PLACES = (("cave", 1.5, 2.4, SAND), ("reef", 3.2, 4.2, LIGHT), ("blue water", 4.6, 5.4, SAND))


def _curve(length: float) -> tuple[np.ndarray, np.ndarray, float]:
    """Return ranges [m] as far as the line goes, energies [J] there, and the reach [m]."""
    barrel, shaft, line = Barrel(length), Shaft(0.007, length + 0.40), ShootingLine(0.0017)
    band = Band(0.016, 0.003, float(cut_length_for_load(LOAD, barrel, 0.016, 0.003)))
    got = predict_many(Setup(band, shaft, barrel, line, Water(), NOOR), None, None,
                       ["muzzle_speed", "reach_from_muzzle"])
    far = float(got["reach_from_muzzle"])
    ranges = np.linspace(shaft.length, far, 40)
    return ranges, fly(shaft, Water(), line, float(got["muzzle_speed"]), ranges).energy, far


SHORT, LONG = _curve(0.90), _curve(1.20)
ALT = (f"Energy over the range of the tip for two guns loaded with 45 kgf. The 90 falls from "
       f"{SHORT[1][0]:.0f} J to {SHORT[1][-1]:.0f} J where its line ends at {SHORT[2]:.1f} m; the "
       f"120 falls from {LONG[1][0]:.0f} J to {LONG[1][-1]:.0f} J at {LONG[2]:.1f} m. Shaded bands "
       "mark the fish of a cave, of a reef and of blue water: the 90 covers the first, the 120 the "
       "other two.")


def draw() -> Figure:
    """Return both curves over three bands of range."""
    figure, axes = subplots(figsize=(5.2, 4.2))
    top = 1.12 * LONG[1].max()
    for name, near, far, colour in PLACES:
        axes.axvspan(near, far, color=colour, alpha=0.55, lw=0)
        axes.text((near + far) / 2, 0.985 * top, name, ha="center", va="top")
    for (ranges, energies, far), text, colour, dash, away in (
            (SHORT, "90 cm", COOL, "--", (-0.75, -22)), (LONG, "120 cm", WARM, "-", (0.1, 8))):
        axes.plot(ranges, energies, color=colour, ls=dash)
        axes.plot(far, energies[-1], "s", color=colour, ms=9)
        middle = len(ranges) // 2
        axes.text(ranges[middle] + away[0], energies[middle] + away[1], text, color=colour)
    axes.text(LONG[2] - 0.05, LONG[1][-1] - 6, "the line ends", ha="right", va="top", color=INK)
    axes.set(xlabel="range from the muzzle to the tip (m)", ylabel="energy of the shaft (J)",
             xlim=(1.2, 5.7), ylim=(0, top))
    return figure
