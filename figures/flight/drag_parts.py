"""Which part of the drag is whose, at the muzzle and at the end of the line."""

import numpy as np
from bandwork.flight import drag_area
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.flight._example import INK, LINE, REACH, SEA, SHAFT, WARM, flown, muzzle_speeds

NAMES = {"friction": "friction along\nthe shaft", "wing": "folded wing", "nose": "nose",
         "pickup": "line brought\nup to speed", "base": "blunt tail",
         "line": "friction along\nthe line"}
END = flown(REACH)
FIRST = drag_area(SHAFT, SEA, LINE, muzzle_speeds()[0])
LAST = drag_area(SHAFT, SEA, LINE, END.speed, END.distance)


def _mm2(parts: object) -> dict[str, float]:
    return {name: float(getattr(parts, name)) * 1e6 for name in NAMES}


ALT = ("Bars of drag area in square millimetres, at the muzzle and at the end of a single wrap. "
       + " ".join(f"{NAMES[name]}: {first:.1f} and {_mm2(LAST)[name]:.1f}."
                  for name, first in _mm2(FIRST).items())
       + f" Together {FIRST.total * 1e6:.0f} and {LAST.total * 1e6:.0f}.")


def draw() -> Figure:
    """Return two bars for each part."""
    figure, axes = subplots(figsize=(5.6, 5.2))
    for shift, parts, colour, hatch in ((-0.2, FIRST, INK, ""), (0.2, LAST, "#e8b48f", "///")):
        areas = list(_mm2(parts).values())
        axes.barh(np.arange(len(areas)) + shift, areas, height=0.36, color=colour, hatch=hatch,
                  ec=INK, lw=0.6)
        for row, area in enumerate(areas):
            axes.text(area + 2, row + shift, f"{area:.1f}" if area < 10 else f"{area:.0f}",
                      va="center", fontsize=12, color=WARM if hatch else INK)
    axes.text(168, 2.75, f"full: at the muzzle,\ntogether {FIRST.total * 1e6:.0f} mm²", ha="right",
              va="center", color=INK)
    axes.text(168, 3.75, f"hatched: at the line's end,\ntogether {LAST.total * 1e6:.0f} mm²",
              ha="right", va="center", color=WARM)
    axes.set_yticks(range(len(NAMES)), NAMES.values())
    axes.invert_yaxis()
    axes.grid(visible=False, axis="y")
    axes.set(xlabel="drag area (mm²)", xlim=(0, 170))
    return figure
