"""How the units hang together in one set-up, with Noor's numbers in each."""

from bandwork.units import kgf_from_newton
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.setup._example import FISH, INK, LIGHT, SAND, told

GOT = told()
LOAD = kgf_from_newton(GOT.load)
BOXES = {
    "diver": (1.25, 4.1, "the diver\nbrings 51 kgf", SAND),
    "band": (4.25, 4.1, f"stretch\n{LOAD:.0f} kgf, {GOT.stored_energy:.0f} J", LIGHT),
    "shot": (7.25, 4.1, f"launch\n{GOT.muzzle_speed:.1f} m/s", LIGHT),
    "flight": (7.25, 2.45, f"flight\n{GOT.energy_at_fish:.0f} J, "
                          f"{GOT.drop_at_fish * 100:.0f} cm low", LIGHT),
    "fish": (7.25, 0.8, f"the fish\nat {FISH.distance:.0f} m", SAND),
    "line": (4.25, 0.8, f"line\n{GOT.reach_from_muzzle:.1f} m of reach", LIGHT),
    "trim": (1.25, 2.45, f"trim\n{kgf_from_newton(GOT.net_force_shaft_out) * 1000:.0f} g of lift",
             LIGHT),
    "hand": (1.25, 0.8, "the hand\nthat carries it", SAND),
}
ARROWS = (("diver", "band"), ("band", "shot"), ("shot", "flight"), ("flight", "fish"),
          ("line", "fish"), ("trim", "hand"))
ALT = ("Boxes joined by arrows. The diver brings 51 kgf; the band takes "
       f"{LOAD:.0f} kgf and stores {GOT.stored_energy:.0f} J; the shot leaves with "
       f"{GOT.muzzle_speed:.1f} m/s; the shaft flies to the fish at {FISH.distance:.0f} m, with "
       f"{GOT.energy_at_fish:.0f} J and {GOT.drop_at_fish * 100:.0f} cm of drop. The line, with "
       f"{GOT.reach_from_muzzle:.1f} m of reach, also leads to the fish, and trim leads to the "
       "hand that carries the gun.")


def draw() -> Figure:
    """Return the chain from the diver to the fish, with line and trim beside it."""
    figure, axes = subplots(figsize=(5.5, 4.6))
    for x, y, text, colour in BOXES.values():
        axes.text(x, y, text, ha="center", va="center", linespacing=1.35, fontsize=12,
                  bbox={"boxstyle": "round,pad=0.45", "fc": colour, "ec": INK, "lw": 1.3})
    for start, end in ARROWS:
        (x0, y0, *_), (x1, y1, *_) = BOXES[start], BOXES[end]
        across = y0 == y1
        shift = (1.24, 0.0) if across else (0.0, 0.47)
        sign = 1 if (x1 > x0 or y1 > y0) else -1
        axes.annotate("", (x1 - sign * shift[0], y1 - sign * shift[1]),
                      (x0 + sign * shift[0], y0 + sign * shift[1]),
                      arrowprops={"arrowstyle": "-|>", "color": INK, "lw": 1.8})
    axes.set(xlim=(0, 8.5), ylim=(0.15, 4.75))
    axes.axis("off")
    return figure
