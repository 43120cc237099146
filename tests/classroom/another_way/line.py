"""Right answers to `line`, each computed another way than the library does it.

The line is added up piece by piece, arcs are measured point by point, the swing is a differential
equation, and the shock is followed in small steps of time.
"""

import numpy as np
import sympy
from matplotlib.figure import Figure

G = 9.80665


def _pieces(n, wraps):
    return [n.run_cm, n.run_cm] * wraps + [n.last_run_cm]


def path(n):
    return sum(_pieces(n, n.wraps))


def cord(n):
    covered = n.bungee_cm + n.fittings_cm
    return [sum(_pieces(n, wraps)) - covered + n.take_up_cm + n.take_up_cm for wraps in (1, 2, 3)]


def reach(n):
    tip = np.cumsum([n["path"], n.shaft_ahead_cm, n.grip_cm + n.arm_cm]) * 0.01
    return tip[1:]


def bow(n):
    return lambda slack: (sympy.Float(slack) * n.run_cm * 3 / 8) ** sympy.Rational(1, 2)


def slack_limit(n):
    low, high = 0.0, 10.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if bow(n)(middle) < n.clearance_cm else (low, middle)
    return 10 * low


def bow_plot(n):
    slack = np.linspace(0, 5, 400)
    axes = Figure().add_subplot()
    axes.plot(slack[::-1], 0.6123724 * np.sqrt(slack[::-1] * n.run_cm), "k-")
    axes.axhline(n.clearance_cm)
    axes.set(xlabel="Slack (cm)", ylabel="h, CM")
    return axes


def swing(n):
    v, x = n.swing_rad_s * n.middle_cm / 100, sympy.Symbol("x")
    push = 0.5 * 1025 * 1.6 * n.line_mm * 1e-3 * v * v
    run, pull = n.run_cm / 100, sympy.Symbol("T", positive=True)
    shape = sympy.integrate(sympy.integrate(-push / pull, x), x)
    shape += -shape.subs(x, run) / run * x
    held = sympy.solve(shape.subs(x, run / 2) - n.clearance_cm / 100, pull)[0]
    turned = np.full(2 * n.wraps, np.exp(np.pi * n.friction)).prod()
    return push, float(held), float(held) * turned


def strength(n):
    low = min(n.cord_low_N * share for share in (n.gun_end_low, n.crimp_low))
    high = min(n.cord_high_N * share for share in (n.gun_end_high, n.crimp_high))
    return np.array([low, high, low * 3 / 20 / G, high / 4 / G])


def _stop(n, speed, bungee):
    """Follow the shaft until it stops and return the line's pull [N]: velocity Verlet."""
    mass, cord = n.shaft_g / 1000, (n["path"] - n.bungee_cm - n.fittings_cm) / 100
    line_k = n.stiffness_N / cord
    soft = n.bungee_N / (n.bungee_cm / 100) if bungee else np.inf
    both = 1 / (1 / line_k + 1 / soft)

    def pull(x):
        if both * x <= n.bungee_N or not bungee:
            return both * x
        return n.bungee_N + line_k * (x - n.bungee_N / both)

    x, v, step = 0.0, float(speed), 2e-5
    while True:
        half = v - step / 2 * pull(x) / mass
        x_next = x + step * half
        v_next = half - step / 2 * pull(x_next) / mass
        if v_next <= 0:
            return pull(x)
        x, v = x_next, v_next


def shock(n):
    return lambda speed: _stop(n, speed, bungee=False)


def shock_bungee(n):
    grams, metres = n.shaft_g, n.bungee_cm / 100
    stretched = np.linspace(0, metres, 1001)
    taken = np.trapezoid(n.bungee_N * stretched / metres, stretched)
    return grams * n.end_speed**2 / 2000, taken, _stop(n, n.end_speed, bungee=True)


def design(n):
    reaches = [(2 * wraps * n.run_cm + n.last_run_cm + n.shaft_ahead_cm) / 100
               for wraps in range(4)]
    enough = next(wraps for wraps, far in enumerate(reaches) if far >= n.wanted_reach_m)
    return ["d", " c ", "G", float(enough)]


def spot(n):
    return "f, e, c, a"


def safety_choice(n):
    return ["E", "D", "B"]
