"""Net force of every part in the sea, with a tube of carbon and of aluminium."""

from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.trim._example import INK, joined, trim

CARBON, ALUMINIUM = trim(), trim("aluminium")
PARTS = {name: force for name, force, _ in joined(CARBON)}
ROWS = [("tube, carbon", PARTS["tube"]), ("tube, aluminium", joined(ALUMINIUM)[0][1]),
        ("band", PARTS["band"]), ("line", PARTS["line"]), ("plugs", PARTS["plugs"]),
        ("handle", PARTS["handle"]), ("muzzle", PARTS["muzzle"]),
        ("shaft, 7 mm", PARTS["shaft"])]

ALT = ("Bars of the net force of each part in sea water, upward positive: "
       + "; ".join(f"{name} {force:+.2f} N" for name, force in ROWS)
       + f". The sum is {CARBON.net_force:+.2f} N with carbon and {ALUMINIUM.net_force:+.2f} N "
       "with aluminium.")


def draw() -> Figure:
    """Return one bar a part."""
    figure, axes = subplots(figsize=(5.2, 4.2))
    for row, (name, force) in enumerate(ROWS):
        axes.barh(-row, force, height=0.55, fc="#9cc7c3" if force > 0 else "#e8b48f", ec=INK,
                  lw=1.1, hatch="" if force > 0 else "///")
        axes.text(-0.15 if force > 0 else 0.15, -row, name, va="center",
                  ha="right" if force > 0 else "left")
        axes.text(force + (0.12 if force > 0 else -0.12), -row, f"{force:+.1f}", va="center",
                  ha="left" if force > 0 else "right", fontsize=12)
    axes.axvline(0, color=INK, ls="-", lw=1.2)
    axes.set(xlabel="net force in the sea (N): sinks | floats", xlim=(-5.4, 6.4),
             ylim=(-len(ROWS) + 0.4, 0.6), yticks=[])
    axes.spines["left"].set_visible(False)
    axes.grid(axis="y", visible=False)
    return figure
