"""The gun that the whole chapter shoots: the chapter before's, with a shaft, a gun and a hand."""

from dataclasses import replace
from functools import cache

from bandwork.handbook import lookup
from bandwork.launch import (
    Launch,
    Shaft,
    ShotConditions,
    launch,
    launch_many,
    roller_and_conventional,
    track,
)
from bandwork.stretch import notch_load

from figures.stretch._example import BAND, ROLLER

SHAFT = Shaft(0.0075, 1.60)
GUN_MASS = 0.9
HAND_MASS = lookup("diver.hand_mass").value
LOAD = notch_load(BAND, ROLLER)
INK, WARM, COOL, GREY = "#12343b", "#a8480f", "#0b746f", "#5c7378"
PAPER = "#fdfbf6"

__all__ = ["BAND", "ROLLER", "launch", "launch_many", "replace", "roller_and_conventional", "track"]


@cache
def shot(gun_mass: float | None = None) -> Launch:
    """Return the shot of a gun that is held fast, or free with a mass [kg]."""
    return launch(BAND, SHAFT, ROLLER, conditions=ShotConditions(gun_mass=gun_mass))
