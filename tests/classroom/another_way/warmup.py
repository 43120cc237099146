"""Right answers to `warmup`, each written another way."""

from fractions import Fraction

import numpy as np
import sympy
from matplotlib.figure import Figure

BARRELS = (100, 110, 120, 130)


def half_and_more(n):
    return Fraction(int(n.barrel_cm), 2) + Fraction(n.recipe_cm)


def newton(n):
    return np.float32(980.665 * n.load_kgf / 100)


def disc(n):
    return sympy.pi * (sympy.Float(n.outer_diameter_mm) / 2) ** 2


def recipe(n):
    return lambda barrel: (barrel + 2 * n.recipe_cm) / 2


def row(n):
    return [0.5 * barrel + n.recipe_cm for barrel in BARRELS]


def picture(n):
    axes = Figure().add_subplot()
    axes.scatter(BARRELS[::-1], list(n["row"])[::-1])
    axes.set(xlabel="Barrel [cm]", ylabel="CM, relaxed")
    return axes


def meaning(n):
    return "d, b"
