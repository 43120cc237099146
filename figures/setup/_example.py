"""Noor's gun as a whole, and the fish: all invented."""

from functools import cache

from bandwork.components import Diver, Shaft, ShootingLine, Water
from bandwork.doubt import Spread, monte_carlo
from bandwork.setup import Prediction, Quarry, Setup, predict
from bandwork.units import newton_from_kgf

from figures.stretch._example import BAND, ROLLER

NOOR = Diver(load_capacity=newton_from_kgf(51), reach=0.90)
GUN = Setup(BAND, Shaft(0.0075, 1.60), ROLLER, ShootingLine(0.0017), Water(temperature=20), NOOR,
            assist_length=0.35)
FISH = Quarry()
INK, WARM, COOL, GREY = "#12343b", "#a8480f", "#0b746f", "#5c7378"
LIGHT, SAND = "#cfe0dd", "#e8b48f"


@cache
def told() -> Prediction:
    """Return all that the library says of Noor's gun."""
    return predict(GUN, FISH)


@cache
def spread() -> Spread:
    """Return four thousand guns like Noor's, each input drawn from its range."""
    return monte_carlo(GUN, names=["load", "muzzle_speed"], draws=4000, seed=1)

