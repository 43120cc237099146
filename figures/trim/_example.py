"""Noor's whole gun: the set-up that the chapter works with, and its drawing from the side."""

from typing import Any

from bandwork.components import Band, Barrel, Shaft, ShootingLine, Water
from bandwork.trim import Part, Trim, gun_trim
from bandwork.units import STANDARD_GRAVITY
from matplotlib.axes import Axes
from matplotlib.patches import Polygon, Rectangle
from matplotlib.transforms import Affine2D

LENGTH, SHAFT_LENGTH = 1.20, 1.60
BAND, LINE, SEA = Band(0.016, 0.003, 0.65), ShootingLine(0.0017), Water()
INK, RUST, TEAL = "#12343b", "#a8480f", "#0b746f"


def trim(material: Any = "carbon", state: Any = "shaft_in", diameter: Any = 0.007,
         **changes: Any) -> Trim:
    """Return how the gun trims with one thing or other changed."""
    barrel = Barrel(LENGTH, material=material, **changes)
    return gun_trim(BAND, Shaft(diameter, SHAFT_LENGTH), barrel, LINE, SEA, state)


def pull(part: Part) -> float:
    """Return the net force of one part [N], upward positive."""
    return float((SEA.density * part.volume - part.mass) * STANDARD_GRAVITY)


def joined(gun: Trim) -> list[tuple[str, float, float]]:
    """Return name, net force [N] and place [m] of each part, the band's runs as one."""
    rubber = [part for part in gun.parts if part.name.startswith("band")]
    rest = [part for part in gun.parts if part not in rubber]
    mass = sum(part.mass for part in rubber)
    rows = [(part.name, pull(part), float(part.position)) for part in rest]
    return [*rows, ("band", sum(map(pull, rubber)),
                    float(sum(part.mass * part.position for part in rubber) / mass))]


def draw_gun(axes: Axes, *, shaft: bool = True, at: tuple[float, float] = (0.0, 0.0),
             angle: float = 0.0, thick: float = 0.03) -> None:
    """Draw the gun from the side, its tube's rear end at a point, the muzzle raised [rad]."""
    turn = Affine2D().rotate(angle).translate(*at) + axes.transData
    handle = [(-0.15, thick), (0.0, thick), (0.0, -thick), (-0.04, -0.17), (-0.11, -0.17),
              (-0.09, -thick), (-0.15, -thick)]
    pieces = [Rectangle((0, -thick), LENGTH, 2 * thick, fc="#e6e1d3", ec=INK, lw=1.1),
              Polygon(handle, closed=True, fc="#d3cdbd", ec=INK, lw=1.1),
              Rectangle((LENGTH, -1.4 * thick), 0.06, 2.8 * thick, fc="#d3cdbd", ec=INK, lw=1.1)]
    if shaft:
        top = thick + 0.012
        tip = LENGTH + 0.27
        pieces.append(Polygon([(tip - SHAFT_LENGTH, top - 0.006), (tip, top - 0.006),
                               (tip + 0.04, top), (tip, top + 0.006),
                               (tip - SHAFT_LENGTH, top + 0.006)], closed=True, fc=INK, ec=INK,
                              lw=0.8))
    for piece in pieces:
        piece.set_transform(turn)
        axes.add_patch(piece)
