"""Right answers to `setup`, each computed another way than the library does it.

The rubber's law is written out and inverted by bisection, the shot is the exact one instead of the
quick one, the flight is integrated step by step, sums are added part by part.
"""

from functools import lru_cache

import numpy as np
from bandwork.classroom import bench
from bandwork.handbook import lookup
from bandwork.launch import ShotConditions, launch
from bandwork.stretch import handbook_rubber
from bandwork.trim import parts_of
from matplotlib.figure import Figure
from scipy.integrate import solve_ivp

G = 9.80665
STEEL = 7800.0


def _stress(n, s, factor=1.0):
    """Gent-Gent law [MPa]: two terms, each its slope over the stretch ratio."""
    law = handbook_rubber()
    first = law.mu * law.jm / (law.jm - (s**2 + 2 / s - 3)) * (s - s**-2)
    second = law.c2 * (2 - 2 / s**3) / (2 * s + s**-2)
    return n.tube_factor * factor * (first + second) / 1e6


def _bisect(function, wanted, low=1.0, high=7.5):
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if function(middle) < wanted else (low, middle)
    return low


def _ring(outer):
    return np.pi * (outer - 3) * (outer + 3) / 4


def _load(n, design, factor=1.0, longer_cm=0.0, friction=0.0):
    """Load [kgf] of a set-up; with friction the two runs are stretched differently."""
    own = bench.parts(n, design)
    ratio = np.exp(np.pi * friction)

    def relaxed(upper):
        lower = _bisect(lambda s: _stress(n, s), _stress(n, upper) / ratio)
        return own.upper_cm / upper + own.lower_cm / lower

    if friction:
        s = _bisect(lambda upper: -relaxed(upper), -own.cut_cm)
    else:
        s = (own.upper_cm + own.lower_cm) / (own.cut_cm + longer_cm)
    return 2 * _ring(own.tube_mm) * _stress(n, s, factor) / G


def _cut(n, load_kgf, tube_mm, path_cm, factor=1.0):
    each = load_kgf * G / 2 / _ring(tube_mm)
    return path_cm / _bisect(lambda s: _stress(n, s, factor), each)


def diver(n):
    load = n.capacity_kgf - n.capacity_kgf * n.keep_percent / 100
    path = 2 * n.first_barrel_cm + 1
    return [load, _cut(n, load, n.first_tube_mm, path), n.first_barrel_cm - n.reach_cm - 1]


def set_up(n):
    tube, cut, barrel, shaft, _, assist = n["reference"]
    twice = next(one for one in n["shelf"].lines if one[2] == 2)
    return [tube.lower(), cut - 0.1, barrel, f" {shaft} ", n["shelf"].letter("lines", twice),
            np.int64(assist + 1)]


def budget(n):
    gun = bench.gun_of(n, n["set_up"])
    free = gun.gun_mass + lookup("diver.hand_mass").value
    shot = launch(gun.band, gun.shaft, gun.barrel, gun.water, ShotConditions(gun_mass=free))
    return shot.energy.shaft, 100 * shot.efficiency, shot.muzzle_speed


def trim(n):
    gun = bench.gun_of(n, n["set_up"])
    shaft, = (part for part in parts_of(gun.band, gun.shaft, gun.barrel, gun.line, gun.water)
              if part.name == "shaft")
    rest = parts_of(gun.band, gun.shaft, gun.barrel, gun.line, gun.water, "shaft_out")
    return (sum(n.water_kg_m3 * part.volume - part.mass for part in rest) * G,
            (1 - n.water_kg_m3 / STEEL) * shaft.mass * G)


def line(n):
    own, gun = bench.parts(n, n["set_up"]), bench.gun_of(n, n["set_up"])
    runs = [own.run_cm] * (2 * own.wraps) + [own.last_run_cm]
    length = sum(runs) / 100
    speed = bench.Bench(n).speed_at(n["set_up"], length + own.shaft_cm / 100 - 0.01)
    pull = np.sqrt(2 * (gun.shaft.mass * speed**2 / 2) * own.stiffness_N / length)
    return length, length + (own.shaft_cm - 1) / 100, 0.8 * own.line_kgf * G / pull


def arrival(n):
    own, gun = bench.parts(n, n["set_up"]), bench.gun_of(n, n["set_up"])
    way, mass = n.fish_m - own.shaft_cm / 100, gun.shaft.mass
    slowing = n.water_kg_m3 * bench.mean_drag_area(n, n["set_up"]) / 2 / mass
    sinks = G * (STEEL - n.water_kg_m3) / (STEEL + n.water_kg_m3)

    def slope(_, state):
        _, v, _, w = state
        return [v, -slowing * v**2, w, sinks]

    def there(_, state):
        return state[0] - way

    there.terminal = True
    flown = solve_ivp(slope, (0, 5), [0, n["budget"][2], 0, 0], events=there, rtol=1e-9)
    return flown.y[1, -1], flown.t[-1], 100 * flown.y[2, -1]


@lru_cache(maxsize=64)
def _moved(key):
    n, design = key.numbers, key.design
    best = _load(n, design)
    tube, more = n.tube_doubt_percent / 100, n.cut_doubt_mm / 10
    warm = lookup("rubber.temperature_share").value * n.water_doubt_C / (273.15 + n.water_C)
    below = [best * tube, best - _load(n, design, longer_cm=more), 0.0, best * warm]
    above = [best * tube, _load(n, design, longer_cm=-more) - best,
             _load(n, design, friction=n.roller_friction) - best, best * warm]
    return best, below, above


class _Key:
    """Numbers and design of one learner, told apart by what they are."""

    def __init__(self, n):
        self.numbers, self.design = n, n["set_up"]
        self.told = tuple(sorted((name, str(value)) for name, value in n.items()))

    def __eq__(self, other):
        return self.told == other.told

    def __hash__(self):
        return hash(self.told)


def doubt(n):
    best, below, above = _moved(_Key(n))
    return [best - np.linalg.norm(below), best + np.linalg.norm(above)]


def measure_first(n):
    best, _, above = _moved(_Key(n))
    first, *rest = sorted(above, reverse=True)
    return 100 / (1 + sum(one**2 for one in rest) / first**2), best + np.hypot(
        np.hypot(rest[0], rest[1]), rest[2])


def trade_off(n):
    _, loads, speeds = bench.sweep(n, n["set_up"])
    axes = Figure().add_subplot()
    axes.plot(loads[::-1], speeds[::-1], "k.-")
    axes.plot([n.limit_kgf, n.limit_kgf], [speeds.min(), speeds.max()], "--")
    axes.set(xlabel="Load at the notch (kgf)", ylabel="v [m/s]")
    return axes


def friend(n):
    own = bench.parts(n, n["set_up"])
    wanted = n.friend_kgf * (100 - n.keep_percent) / 100
    cut = _cut(n, wanted, own.tube_mm, own.upper_cm + own.lower_cm)
    return [*n["set_up"][:1], cut + 0.7, *n["set_up"][2:]]


def two_guns(n):
    six = bench.six_guns(n)
    kinds = list(zip(six.tube_mm, six.shaft_mm, strict=True))
    for one in np.argsort(six.barrel_cm, kind="stable")[::-1]:
        for other in range(len(kinds)):
            if (kinds[one] == kinds[other] and six.barrel_cm[one] > six.barrel_cm[other]
                    and max(six.load_kgf[one], six.load_kgf[other]) <= n.limit_kgf):
                return ["ABCDEF"[one], "ABCDEF"[other].lower()]
    return None


def tune(n):
    own, load = bench.parts(n, n["set_up"]), _load(n, n["set_up"])
    times = bench.measured(n, n["set_up"])[0] / load
    return n.tube_factor * times, _cut(n, load, own.tube_mm, own.upper_cm + own.lower_cm, times)


def decay(n):
    _, first, last = bench.measured(n, n["set_up"])
    length = bench.parts(n, n["set_up"]).shaft_cm / 100
    return lambda r: first * (last / first) ** ((r - length) / (n.fish_m - length))


def spot(n):
    said, _ = bench.proposal(n)
    area = np.pi * (n.kim_shaft_mm / 2000) ** 2
    litres = area * n.kim_shaft_cm * 10
    mass = 7.8 * litres
    metres = [n.kim_run_cm] * 2 * n.kim_wraps + [n.kim_last_run_cm]
    right = [(n.kim_upper_cm + n.kim_lower_cm) / n.kim_relaxed_cm, n.kim_leg_N / (G / 2),
             mass * 1000, (mass - litres * n.water_kg_m3 / 1000) * G, sum(metres) / 100,
             np.sqrt(n.kim_energy_J / (mass / 2)),
             np.hypot(n.kim_tube_percent, n.kim_scale_percent)]
    pairs = [(letter, two) for letter, one, two in zip("abcdefg", said, right, strict=True)
             if not np.isclose(one, two, rtol=0.005)]
    return [part for pair in pairs[::-1] for part in pair]


def safety_choice(n):
    return {"a", "c", "e"}
