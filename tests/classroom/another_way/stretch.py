"""Right answers to `stretch`, each computed another way than the library does it.

The formulas are the page's own, put together differently: bisection for inversion, the trapezium
rule for areas, a grid for least squares.
"""

import numpy as np
import sympy
from matplotlib.figure import Figure

G = 9.80665


def _bracket(s):
    return (s**3 - 1) / s**2


def _loaded(n):
    return (n.upper_run_cm + n.lower_run_cm) / n.relaxed_cm


def _ring(outer, bore):
    return np.pi * (outer / 2 - bore / 2) * (outer / 2 + bore / 2)


def _bisect(function, wanted, low=1.0, high=60.0):
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if function(middle) < wanted else (low, middle)
    return low


def _work(n, area, relaxed_cm):
    """Trapezium rule along the wishbone's way [J]."""
    path = np.linspace(n.lower_run_cm, n.lower_run_cm + n.upper_run_cm, 4001)
    force = 2 * area * n.mu_MPa * _bracket(path / relaxed_cm)
    return np.trapezoid(force, path / 100)


def cross_section(n):
    return _ring(n.outer_diameter_mm, n.bore_mm)


def stretch_ratio(n):
    return sympy.Rational(n.upper_run_cm, n.relaxed_cm) + n.lower_run_cm / n.relaxed_cm \
        if isinstance(n.relaxed_cm, int) else 1 + (
            n.upper_run_cm + n.lower_run_cm - n.relaxed_cm) / n.relaxed_cm


def stress(n):
    return lambda s: sympy.Float(n.mu_MPa) * _bracket(sympy.Float(s))


def force(n):
    newton = n["cross_section"] * n["stress"](n["stretch_ratio"])
    return np.array([[newton + newton], [2 / G * newton]])


def energy(n):
    return np.float64(_work(n, n["cross_section"], n.relaxed_cm))


def cut_length(n):
    def length(load):
        each = load * G / 2 / n["cross_section"]
        return (n.upper_run_cm + n.lower_run_cm) / _bisect(
            lambda s: n.mu_MPa * _bracket(s), each)
    return length


def load_table(n):
    return [2 * n["cross_section"] * n["stress"]((n.upper_run_cm + n.lower_run_cm)
                                                 / (n.barrel_cm / 2 + more)) / G
            for more in range(3, 8)]


def load_assist(n):
    s = (n.lower_run_cm + n.upper_run_cm - n.assist_cm) / n.relaxed_cm
    return n.upper_run_cm - n.assist_cm, n["cross_section"] * n["stress"](s) / (G / 2)


def _pull_test(n):
    return n.pulled_cm / 20, n.reading_kgf * G / n["cross_section"]


def fit(n):
    s, stresses = _pull_test(n)
    grid = np.linspace(0.1, 0.8, 70001)
    worst = ((grid[:, None] * _bracket(s) - stresses) ** 2).sum(axis=1)
    return grid[worst.argmin()]


def fit_plot(n):
    s, stresses = _pull_test(n)
    along = np.linspace(1, 3.5, 200)
    axes = Figure().add_subplot()
    axes.scatter(s[::-1], stresses[::-1])
    axes.plot(along, fit(n) * (along - along**-2), "k--")
    axes.set(xlabel="Stretch ratio s [1]", ylabel="P in MPa")
    return axes


def compare(n):
    thick, thin = (_ring(outer, n.bore_mm) for outer in (n.outer_diameter_mm, n.thin_diameter_mm))
    s = _bisect(_bracket, _bracket(_loaded(n)) * thick / thin)
    relaxed = (n.upper_run_cm + n.lower_run_cm) / s
    energy = _work(n, thin, relaxed)
    return thin, relaxed, energy, energy / _work(n, thick, n.relaxed_cm)


def interval(n):
    load = 2 * n["cross_section"] * n["stress"](_loaded(n)) / G
    doubt = load * np.hypot(np.hypot(n.tube_doubt_percent, n.cut_doubt_percent),
                            n.roller_doubt_percent) / 100
    return [load - doubt, load + doubt]


def safety_choice(n):
    return {"f", "b", "c"}
