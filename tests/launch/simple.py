"""Rubber and conditions so simple that a shot has a closed form, and random valid set-ups."""

from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np
from bandwork.components import Band, Barrel, Shaft, Water
from bandwork.flight import added_mass
from bandwork.launch import ShotConditions
from bandwork.rubber import Parameter, RubberLaw, handbook_rubber, scaled

NOTHING = {"hysteresis_loss": 0, "shaft_drag_area": 0, "band_skin_friction": 0,
           "wishbone_mass": 0, "wishbone_drag_area": 0, "line_pull": 0}
IDEAL = ShotConditions(**NOTHING)


@dataclass(frozen=True)
class Hooke(RubberLaw):
    """P = e (s - 1): a spring."""

    e: Any
    name: ClassVar[str] = "Hooke"
    parameters: ClassVar[dict[str, Parameter]] = {"e": Parameter(1e3, 1e10, "Pa", 1e6)}

    def _stress(self, s):
        return self.e * (s - 1)

    def _energy(self, s):
        return self.e / 2 * (s - 1) ** 2


@dataclass(frozen=True)
class Even(RubberLaw):
    """P = p, the same at every stretch but for a rise of 1e-9 that a law must have."""

    p: Any
    name: ClassVar[str] = "even"
    parameters: ClassVar[dict[str, Parameter]] = {"p": Parameter(1e3, 1e10, "Pa", 1e6)}

    def _stress(self, s):
        return self.p * (1 + 1e-9 * (s - 1))

    def _energy(self, s):
        return self.p * ((s - 1) + 1e-9 * (s - 1) ** 2 / 2)


def spring(stiffness=300.0, relaxed_length=0.4, mass=0.0):
    """A band that is a spring of so many N/m, nearly without mass unless one is asked for."""
    area = max(mass / (2 * relaxed_length * 1000), 2e-7)
    outer = 0.01 if area < 7e-5 else 0.03
    bore = (outer**2 - 4 * area / np.pi) ** 0.5
    return Band(outer, bore, relaxed_length, 2, Hooke(stiffness * relaxed_length / (2 * area)),
                density=1000)


def moving_mass(shaft, water=None):
    """The shaft with the thimbleful of water that goes along with it."""
    return shaft.mass + added_mass(shaft, water or Water())[0]


def random_setups(count, kind, legs, free, seed):
    """Valid set-ups of one kind, as parts that hold arrays."""
    r = np.random.default_rng(seed)
    barrel = Barrel(
        length=r.uniform(0.75, 1.4, count), kind=kind,
        sheave_friction=r.uniform(0, 0.15, count), notch_position=r.uniform(0, 0.06, count))
    stretch = r.uniform(2.4, 4.6, count)
    band = Band(
        outer_diameter=r.uniform(0.013, 0.019, count), bore=r.uniform(0.0015, 0.005, count),
        relaxed_length=barrel.loaded_path / stretch, legs=legs,
        rubber=scaled(handbook_rubber(), r.uniform(0.85, 1.5, count)))
    shaft = Shaft(diameter=r.uniform(0.006, 0.008, count),
                  length=barrel.length + r.uniform(0.25, 0.6, count))
    conditions = ShotConditions(
        gun_mass=r.uniform(1, 8, count) if free else None,
        hysteresis_loss=r.uniform(0.05, 0.2, count),
        band_skin_friction=r.uniform(0.003, 0.01, count),
        wishbone_mass=r.uniform(0.003, 0.03, count),
        wishbone_drag_area=r.uniform(3e-5, 3e-4, count),
        line_pull=r.uniform(0, 10, count))
    water = Water(temperature=r.uniform(5, 30, count), salinity=r.uniform(0, 38, count))
    return band, shaft, barrel, water, conditions
