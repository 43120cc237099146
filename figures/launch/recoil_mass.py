"""Shaft and gun against the mass that recoils."""

import numpy as np
from bandwork.launch import ShotConditions
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.launch._example import (
    BAND,
    COOL,
    GUN_MASS,
    HAND_MASS,
    INK,
    ROLLER,
    SHAFT,
    WARM,
    launch_many,
    shot,
)

BOTH = GUN_MASS + HAND_MASS
MASSES = np.linspace(0.7, 8, 60)
SHOTS = launch_many(BAND, SHAFT, ROLLER, conditions=ShotConditions(gun_mass=MASSES))
ALONE, HAND, HELD = shot(GUN_MASS), shot(BOTH), shot()

ALT = (f"Two graphs over the recoiling mass from {MASSES[0]:g} to {MASSES[-1]:g} kg. Above, the "
       f"shaft's speed climbs slowly towards {HELD.muzzle_speed:.1f} m/s, that of a gun held "
       f"fast: {ALONE.muzzle_speed:.1f} with {GUN_MASS:g} kg, the gun alone, "
       f"{HAND.muzzle_speed:.1f} with {BOTH:.2f} kg, the gun with hand and "
       "forearm. Below, the gun's speed when the drive ends falls steeply: "
       f"{ALONE.recoil_speed:.1f} and {HAND.recoil_speed:.1f} m/s.")


def draw() -> Figure:
    """Return the two graphs, one above the other."""
    figure, (shaft, gun) = subplots(2, 1, figsize=(5.2, 5.2), sharex=True)
    shaft.plot(MASSES, SHOTS.muzzle_speed, color=COOL, ls="-")
    shaft.axhline(float(HELD.muzzle_speed), color=INK, ls="--", lw=1.4)
    shaft.text(1.6, float(HELD.muzzle_speed) + 0.2, "held fast", va="bottom")
    gun.plot(MASSES, SHOTS.recoil_speed, color=WARM, ls="-")
    for mass, one, words in ((GUN_MASS, ALONE, "gun alone"), (BOTH, HAND, "gun and hand")):
        shaft.plot(mass, one.muzzle_speed, "o", color=INK)
        shaft.text(mass + 0.15, one.muzzle_speed - 0.4, f"{words}: {one.muzzle_speed:.1f}",
                   va="top")
        gun.plot(mass, one.recoil_speed, "o", color=INK)
        gun.text(mass + 0.15, one.recoil_speed + 0.2, f"{words}: {one.recoil_speed:.1f}",
                 va="bottom")
    shaft.set(ylabel="shaft (m/s)", ylim=(18, 28))
    gun.set(ylabel="gun, backward (m/s)", xlabel="mass that recoils (kg)", ylim=(0, 11))
    return figure
