"""The gun and line that the whole chapter works with: Noor's 120 with a shaft and a single wrap."""

from bandwork.components import Barrel, Shaft, ShootingLine, Water
from bandwork.line import LineRun, Swing

GUN = Barrel(length=1.20)
SHAFT = Shaft(diameter=0.0075, length=1.60)
LINE = ShootingLine(diameter=0.0017, wraps=1)
LIE, TURN, SEA = LineRun(), Swing(), Water()
INK, WARM, COOL, GREY, PURPLE = "#12343b", "#a8480f", "#0b746f", "#5c7378", "#6b4c9a"
LEADER = {"arrowstyle": "-", "color": INK, "lw": 0.9}
