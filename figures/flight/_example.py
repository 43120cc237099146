"""The gun that the whole chapter shoots with: Noor's roller, its shaft, line and sea.

Beside it stands the same barrel as a conventional gun, cut to load as hard.
"""

from functools import cache

from bandwork.components import Shaft, ShootingLine, Water
from bandwork.flight import Flight, fly
from bandwork.handbook import lookup
from bandwork.launch import ShotConditions, roller_and_conventional
from bandwork.line import reach
from bandwork.stretch import notch_load

from figures.stretch._example import BAND, ROLLER

SHAFT = Shaft(diameter=0.0075, length=1.60)
LINE = ShootingLine(diameter=0.0017, wraps=1)
SEA = Water(temperature=20)
REACH = float(reach(ROLLER, SHAFT, LINE).from_muzzle)
INK, WARM, COOL, GREY, PURPLE = "#12343b", "#a8480f", "#0b746f", "#5c7378", "#6b4c9a"
LEADER = {"arrowstyle": "-", "color": INK, "lw": 0.9}
RECOILS = 0.9 + lookup("diver.hand_mass").value
"""Gun and hand [kg]."""


@cache
def muzzle_speeds() -> tuple[float, float]:
    """Return the muzzle speeds of the roller and of the conventional gun [m/s]."""
    guns = roller_and_conventional(notch_load(BAND, ROLLER), BAND, SHAFT, ROLLER,
                                   conditions=ShotConditions(gun_mass=RECOILS))
    return float(guns[0].shot.muzzle_speed), float(guns[1].shot.muzzle_speed)


def flown(tip_range: object, gun: int = 0) -> Flight:
    """Return the flight of one of the two guns to a range [m]."""
    return fly(SHAFT, SEA, LINE, muzzle_speeds()[gun], tip_range)  # type: ignore[arg-type]
