"""Right answers to `flight`, each computed another way than the library does it.

Motion by small steps instead of closed forms, geometry of rays instead of Snell's law.
"""

import numpy as np
from bandwork.handbook import lookup
from bandwork.units import STANDARD_GRAVITY as G
from matplotlib.figure import Figure
from scipy.optimize import brentq, minimize_scalar


def value(key):
    return lookup(key).value


def shaft(n):
    radius = n.shaft_mm / 2e3
    volume = np.pi * radius * radius * n.shaft_cm / 100
    steel = value("shaft.density")
    return [n.tip_range_m - n.shaft_cm / 100, volume * steel, volume * n.density_kg_m3,
            volume * (steel - n.density_kg_m3) * G]


def friction(n):
    def coefficient(speed):
        decades = np.log(speed * n.shaft_cm * 1e4 / n.viscosity_mm2_s) / np.log(10)
        return 3 / 40 / (4 - 4 * decades + decades**2)
    return coefficient


def area(n):
    disc = np.pi * (n.shaft_mm / 2) ** 2
    rubbed = value("drag.curvature") * n["friction"](n.muzzle_m_s) * 4 * disc \
        * n.shaft_cm * 10 / n.shaft_mm
    tip = disc * value("drag.nose")
    whole = sum([rubbed, tip, value("drag.wing") * n.wing_mm2, n.other_mm2])
    return rubbed, tip, whole, n.density_kg_m3 * whole * 1e-6 * n.muzzle_m_s**2 / 2


def stepped(n, way, steps=4000):
    """Speed [m/s] and time [s] after a way, by the midpoint rule in small steps of way."""
    slow = n.density_kg_m3 * n["area"][2] * 1e-6 / (2 * n["shaft"][1])
    v, t, dx = n.muzzle_m_s, 0.0, way / steps
    for _ in range(steps):
        middle = v - slow * v * dx / 2
        t += dx / middle
        v -= slow * middle * dx
    return v, t


def speed_at(n):
    return lambda way: stepped(n, way)[0]


def arrival(n):
    m, v = n["shaft"][1], n["speed_at"](n["shaft"][0])
    p = m * v
    return p / m, p * p / (2 * m), p, 2 * p * p / (m * np.pi * n.shaft_mm**2)


def slowing(n):
    axes = Figure().add_subplot()
    x = np.linspace(4, 0, 90)
    axes.plot(x, [n["speed_at"](float(one)) for one in x], "k:")
    axes.set(xlabel="x [m]", ylabel="v [m/s]")
    return axes


def drop(n):
    _, t = stepped(n, n["shaft"][0])
    heavy = n["shaft"][1] + n["shaft"][2]
    across = n.density_kg_m3 * value("drag.cross_flow") * n.shaft_mm * n.shaft_cm * 1e-5 / 2
    fall, down, dt = 0.0, 0.0, t / 4000
    for _ in range(4000):
        middle = down + (n["shaft"][3] - across * down**2) / heavy * dt / 2
        fall += middle * dt
        down += (n["shaft"][3] - across * middle**2) / heavy * dt
    return t, n["shaft"][3] / heavy * t * t * 50, fall * 100


def read(n):
    """By solving for the range instead of reading a row."""
    from bandwork.components import Shaft, ShootingLine, Water
    from bandwork.flight import fly

    def range_for(speed):
        return brentq(lambda far: fly(Shaft(n.shaft_mm / 1e3, n.shaft_cm / 100),
                                      Water(temperature=n.water_C), ShootingLine(n.line_mm / 1e3),
                                      speed, far).drop * 100 - n.allowed_cm,
                      n.shaft_cm / 100 + 0.3, 9.0)
    return range_for(n.muzzle_m_s), range_for(n.conventional_m_s)


def mask(n):
    """By Fermat's principle: the ray that takes the least time from water through glass to eye."""
    deep, behind = 3.0, 0.05
    seen = np.radians(n.seen_deg)

    def hits(aside):
        def light(x):
            return n.index * np.hypot(deep, aside - x) + np.hypot(behind, x)
        best = minimize_scalar(light, bounds=(0, behind * 3), method="bounded",
                               options={"xatol": 1e-13})
        return np.arctan2(best.x, behind) - seen

    aside = brentq(hits, 0.01, 9.0, xtol=1e-9)
    at_mask = behind * np.tan(seen)
    return n.fish_m / n.index, np.degrees(np.arctan2(aside - at_mask, deep))


def limits(n):
    far = 2e6 * n["shaft"][1] / (n.density_kg_m3 * n["area"][2])

    def energy(way):
        return n["shaft"][1] / 2 * (n.muzzle_m_s * np.exp(-way / far)) ** 2 - n.least_J

    def time(way):
        return far / n.muzzle_m_s * np.expm1(way / far) - n.fish_ms / 1e3

    tips = [brentq(one, -5, 60) + n.shaft_cm / 100 for one in (energy, time)]
    return [*tips, sorted([*tips, n.reach_m, n.drop_range_m])[0]]


def design(n):
    return "b", np.float64(n.shy_m + 0.001)


def interval(n):
    """By moving each input by its doubt and looking at what the energy does."""
    def energy(speed, area_):
        far = 2e6 * n["shaft"][1] / (n.density_kg_m3 * area_)
        return n["arrival"][1] * (speed / n.muzzle_m_s) ** 2 * np.exp(
            -2 * n["shaft"][0] * (1 / far - n.density_kg_m3 * n["area"][2] / 2e6 / n["shaft"][1]))

    tiny = 1e-5
    by_speed = (energy(n.muzzle_m_s * (1 + tiny), n["area"][2]) - n["arrival"][1]) / tiny
    by_area = (energy(n.muzzle_m_s, n["area"][2] * (1 + tiny)) - n["arrival"][1]) / tiny
    doubt = np.sqrt((by_speed * n.speed_doubt_percent / 100) ** 2
                    + (by_area * n.area_doubt_percent / 100) ** 2)
    return n["arrival"][1] - doubt, n["arrival"][1] + doubt


def safety_choice(n):
    return ["e", "a", "d"]
