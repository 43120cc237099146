"""Right answers to `trim`, each computed another way than the library does it.

Kilograms-force instead of newtons, radii instead of diameters, slices of a tube instead of its
whole, bisection instead of a root, moments as force times distance of centres.
"""

import cmath

import numpy as np
import sympy
from matplotlib.figure import Figure

G = 9.80665
STEEL = 7.8
SHELF = {letter: (18 * step, 90 * step) for step, letter in enumerate("ABCDEF", 1)}


def water_density(n):
    return sympy.Rational(str(n.bottle_full_g - n.bottle_empty_g)) / n.bottle_ml


def tube(n):
    outside = np.pi * (n.outer_mm / 20) ** 2
    inside = np.pi * ((n.outer_mm - 2 * n.wall_mm) / 20) ** 2
    steps = np.full(1000, n.barrel_cm / 1000)
    wall = ((outside - inside) * steps).sum()
    return [wall * 27 / 10, (outside * steps).sum(), wall]


def _shaft(n, mm):
    """Grams and millilitres, from the shaft's skin unrolled."""
    ml = np.pi * mm * mm / 400 * n.shaft_cm
    return STEEL * ml, ml


def shaft_weight(n):
    def newton(mm):
        grams, ml = _shaft(n, mm)
        return (grams - n["water_density"] * ml) * G / 1e3
    return newton


def _rows(n, shaft=False):
    grams, ml = _shaft(n, n.shaft_mm)
    masses, volumes, places = ([n["tube"][0], *n.mass_g], [n["tube"][1], *n.volume_ml],
                               [n.barrel_cm / 2, *n.place_cm])
    if shaft:
        masses, volumes, places = ([*masses, grams], [*volumes, ml],
                                   [*places, n.shaft_place_cm])
    return np.array(masses), np.array(volumes), np.array(places)


def net_force(n):
    masses, volumes, _ = _rows(n)
    out = sum((n["water_density"] * v - m) / 1e3 * G for m, v in zip(masses, volumes, strict=True))
    return np.array([[out], [out - n["shaft_weight"](n.shaft_mm)]])


def spot(n):
    return ["e", "d", "b"]


def lift_table(n):
    table = []
    for lighter in (1, 16 / 27):
        for cm in (100, 120, 140):
            grams = n["tube"][0] / n.barrel_cm * cm * lighter + sum(n.mass_g)
            ml = n["tube"][1] / n.barrel_cm * cm + sum(n.volume_ml)
            table.append(n["water_density"] * ml / grams - 1)
    return tuple(table)


def moment(n):
    masses, volumes, places = _rows(n)
    lifted = n["water_density"] * volumes.sum() * (np.average(places, weights=volumes) - n.grip_cm)
    sunk = masses.sum() * (np.average(places, weights=masses) - n.grip_cm)
    out = (lifted - sunk) * G / 1e5
    return out, out + n["shaft_weight"](n.shaft_mm) * (n.grip_cm - n.shaft_place_cm) / 100


def balance(n):
    masses, volumes, places = _rows(n, shaft=True)
    mass, volume = np.average(places, weights=masses), np.average(places, weights=volumes)
    return mass, volume, np.degrees(cmath.phase(complex(n.centre_gap_mm / 10, volume - mass)))


def cost(n):
    pull, turn, arm = -n["net_force"][1], -n["moment"][1], n.arm_cm / 100
    lead = pull / (G * (1 - n["water_density"] / 11.3))
    metres = np.linspace(0, n.dive_m, 101)
    return (pull * arm + turn) / arm, np.trapezoid(np.full(101, pull), metres), lead * 1e3


def _neutral(n):
    low, high = 0.0, 20.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = ((middle, high) if n["net_force"][0] > n["shaft_weight"](middle)
                     else (low, middle))
    return low


def neutral_plot(n):
    axes = Figure().add_subplot()
    along = np.linspace(3.5, 9, 200)[::-1]
    axes.plot(along, [n["net_force"][0] - n["shaft_weight"](mm) for mm in along], "k--")
    axes.axhline(0)
    axes.scatter([_neutral(n)], [0])
    axes.set(xlabel="Diameter [mm]", ylabel="Pull up (N)")
    return axes


def design(n):
    masses, volumes, places = _rows(n, shaft=True)
    kgf = (n["water_density"] * volumes - masses) / 1e3
    lifts = {letter: (n["water_density"] * ml - grams) / 1e3
             for letter, (grams, ml) in SHELF.items()}
    letter = min(lifts, key=lambda one: abs(lifts[one] + kgf.sum()))
    return [letter.lower(), n.grip_cm - (kgf * (places - n.grip_cm)).sum() / lifts[letter]]


def interval(n):
    per_ml = n["water_density"] * G / 1e3
    doubt = np.linalg.norm([n.handle_doubt_ml * per_ml, n.muzzle_doubt_ml * per_ml,
                            n.mass_doubt_g * G / 1e3])
    return n["net_force"][1] + np.array([-doubt, doubt])


def safety_choice(n):
    return "F, D and B".replace("and", "")
