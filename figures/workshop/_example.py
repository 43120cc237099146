"""A club's gun and its measurements, all invented; the workshop's pages reduce the same numbers."""

import numpy as np
from bandwork.components import Band, Barrel, Diver, Shaft, ShootingLine, Water
from bandwork.setup import Setup

INK, RUST, TEAL, PART = "#12343b", "#a8480f", "#0b746f", "#5c7378"

GUN = Setup(Band(0.016, 0.003, 0.65), Shaft(0.0075, 1.60), Barrel(1.20), ShootingLine(0.0017),
            Water(temperature=18), Diver(500, 0.9))

MARKS_CM = np.array([25, 30, 40, 50, 60, 70, 80])
PULLED_KGF = np.array([5.4, 8.6, 12.4, 15.9, 19.2, 22.4, 27.0])
LET_BACK_KGF = np.array([4.2, 7.3, 11.0, 14.2, 17.6, 21.1, 27.0])
RELAXED_CM = 20

FRAME_RATE = 240
WAY_DOUBT = 0.012
FRAME_DOUBT = 6**-0.5
SCALE_DOUBT = 0.02

TARGET_M = np.array([4, 4, 4, 4, 5, 5, 5, 5])
DROP_CM = np.array([2, 7, 5, 3, 8, 13, 9, 12])
