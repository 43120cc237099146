"""Right answers to `launch`, each computed another way than the library does it.

Rods by slices, thirds by sums over beads, speeds by conservation solved numerically, buckling by a
ratio to a shaft worked out by hand, shafts from the shelf shot one at a time.
"""

from fractions import Fraction

import numpy as np
import sympy
from bandwork.components import Band, Barrel, Shaft
from bandwork.launch import ShotConditions, launch
from matplotlib.figure import Figure
from scipy.optimize import brentq


def shaft_mass(n):
    radius = n.shaft_diameter_mm / 20
    grams = np.pi * radius * radius * n.shaft_length_cm * 7.8
    return grams / 1000


def moving_mass(n):
    beads = (np.arange(2000) + 0.5) / 2000
    rubber = sum(n.band_g / 2000 * beads**2)
    return n["shaft_mass"] + (n.wishbone_g + rubber) * 1e-3


def budget(n):
    shares = [Fraction(str(one)) for one in (n.hysteresis_percent, n.roller_percent,
                                             n.water_percent)]
    lost = [Fraction(n.stored_J) * one / 100 for one in shares]
    lost.append(Fraction(n.line_pull_N) * Fraction(str(n.track_cm)) / 100)
    return [*map(float, lost), float(n.stored_J - sum(lost))]


def speed(n):
    return lambda energy: brentq(lambda v: n["moving_mass"] * v * v - 2 * energy, 0, 1e3)


def _held(n):
    return n["speed"](n["budget"][4])


def shot(n):
    """An even push, followed in steps of time."""
    end, track = _held(n), n.track_cm / 100
    pace = end * end / track / 2
    times = np.linspace(0, end / pace, 1001)
    assert np.isclose(np.trapezoid(pace * times, times), track)
    push = n["shaft_mass"] * pace
    return 100 * push * track / n.stored_J, push, times[-1] * 1e3


def _apart(n, gun):
    """Speeds of shaft and gun from momentum and energy, by sympy."""
    v, w = sympy.symbols("v w", positive=True)
    shaft = n["shaft_mass"]
    there = sympy.solve([shaft * v - gun * w,
                         shaft * v**2 + gun * w**2 - shaft * _held(n) ** 2], [v, w], dict=True)[0]
    return float(there[v]), float(there[w])


def recoil(n):
    shaft, gun = _apart(n, n.gun_kg)
    energy = n["shaft_mass"] / 2 * (_held(n) ** 2 - shaft**2)
    return np.array([shaft, gun, energy, _apart(n, n.gun_kg + n.hand_kg)[1]])


def recoil_plot(n):
    masses = np.linspace(n.gun_kg, n.gun_kg + n.hand_kg, 200)
    shaft = n["shaft_mass"]
    speeds = (shaft**2 * _held(n) ** 2 / (masses * (masses + shaft))) ** 0.5
    axes = Figure().add_subplot()
    axes.plot(masses, speeds, "k-.")
    axes.scatter(masses[[-1, 0]], speeds[[-1, 0]])
    axes.set(xlabel="G [kg]", ylabel="w [m/s]")
    return axes


def flex_table(n):
    """In proportion to a shaft of 7 mm and 1 m, whose Euler load is pi^3 x 196e9 x 0.007^4/64."""
    known = np.pi**3 * 196e9 * 0.007**4 / 64
    return [n.thrust_N / 1.88 / known * (7 / d) ** 4 * (n.shaft_length_cm / 100) ** 2
            for d in (6.5, 7, 7.5, 8)]


def choose_shaft(n):
    """The last shaft of the shelf that keeps the rules, each shot by the other integrator."""
    band = Band(n.outer_diameter_mm / 1e3, 0.003, n.relaxed_cm / 1e2)
    barrel = Barrel(n.barrel_cm / 1e2, sheave_friction=n.roller_friction)
    given = ShotConditions(hysteresis_loss=n.hysteresis_percent / 100, line_pull=n.line_pull_N,
                           wishbone_mass=n.wishbone_g / 1e3)
    for length, beyond in reversed(list(zip("BCD", (40, 50, 60), strict=True))):
        for diameter, across in reversed(list(zip("ABCD", (6.5, 7, 7.5, 8), strict=True))):
            shot = launch(band, Shaft(across / 1e3, (n.barrel_cm + beyond) / 1e2), barrel,
                          conditions=given)
            if (shot.muzzle_speed > n.least_speed_mps and shot.flex_ratio < n.most_flex
                    and shot.recoil_impulse < n.most_kick_Ns):
                return [diameter, length]
    return None


def barrel(n):
    """The capstan's growth in small steps; the moments about the tube's underside, then shifted."""
    lower = n.load_N / (1 + n.roller_friction * np.pi / 1e5) ** 1e5
    radius = n.tube_diameter_mm / 2000
    height = n.shaft_height_mm / 1000
    about_the_underside = n.load_N * (2 * radius + height) - lower * height
    return [n.load_N, n.load_N * (radius + height), n.load_N + lower,
            about_the_underside - (n.load_N + lower) * radius]


def roller_choice(n):
    return ["e", "c", "b"]


def speed_interval(n):
    doubts = [n.tube_doubt_percent, n.cut_doubt_percent, n.water_doubt_percent]
    doubt = _held(n) * np.linalg.norm(doubts) / 200
    return np.array([[_held(n) - doubt], [_held(n) + doubt]])


def safety_choice(n):
    return "C, A, E"
