"""What each part of the gun does in the sea, at its own place."""

from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.trim._example import INK, LENGTH, RUST, TEAL, draw_gun, joined, trim

GUN = trim()
ROWS = [row for row in joined(GUN) if row[0] not in ("plugs", "line")]
FORCES = {name: force for name, force, _ in ROWS}
STARTS = {"shaft": -0.06, "handle": -0.19, "muzzle": -0.06}
"""Where the arrows that point down begin; those that point up begin above the shaft."""

ALT = (f"The gun from the side, muzzle to the right, shaft in, with an arrow for each part: upward "
       f"what lifts, downward what sinks, length by force. Up: tube {FORCES['tube']:.1f} N, band "
       f"{FORCES['band']:.1f} N. Down: shaft {-FORCES['shaft']:.1f} N ahead of the tube's middle, "
       f"muzzle {-FORCES['muzzle']:.1f} N, handle {-FORCES['handle']:.1f} N. Together the gun "
       f"sinks with {-GUN.net_force:.1f} N.")


def draw() -> Figure:
    """Return the gun with an arrow a part."""
    figure, axes = subplots(figsize=(5.2, 3.6))
    draw_gun(axes)
    for name, force, place in ROWS:
        up = force > 0
        start = 0.07 if up else STARTS[name]
        end = start + force * 0.11
        colour = TEAL if up else RUST
        axes.annotate("", (place, end), (place, start), arrowprops={
            "arrowstyle": "-|>", "lw": 2.4, "color": colour, "shrinkA": 0, "shrinkB": 0,
            "ls": "-" if up else "--"})
        if name == "band":
            axes.text(place + 0.05, end, f"band {force:+.1f} N", va="bottom", color=colour)
        else:
            axes.text(place, end + (0.02 if up else -0.02), f"{name}\n{force:+.1f} N",
                      ha="center", va="bottom" if up else "top", color=colour)
    axes.text(-0.2, 0.62, f"together {GUN.net_force:+.1f} N", color=INK, fontweight="bold")
    axes.set(xlim=(-0.27, LENGTH + 0.36), ylim=(-0.72, 0.86))
    axes.axis("off")
    return figure
