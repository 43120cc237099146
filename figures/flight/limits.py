"""What ends the range first, for four wishes of Noor's and two lines."""

from bandwork.components import ShootingLine
from bandwork.flight import practical_range
from bandwork.line import reach
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.flight._example import INK, LINE, REACH, ROLLER, SEA, SHAFT, WARM, muzzle_speeds

DROP, ENERGY, TIME = 0.10, 30.0, 0.25
DOUBLE = float(reach(ROLLER, SHAFT, ShootingLine(LINE.diameter, wraps=2)).from_muzzle)
GOT = practical_range(SHAFT, SEA, LINE, muzzle_speeds()[0], DOUBLE, DROP, ENERGY,
                      time_available=TIME)
ROWS = {
    f"drop at most\n{DROP * 100:.0f} cm": GOT.by_drop,
    "single wrap": REACH,
    f"fish gone after\n{TIME:.2f} s": GOT.by_time,
    f"energy at least\n{ENERGY:.0f} J": GOT.by_energy,
    "double wrap": DOUBLE,
}

ALT = ("Bars of the range that each limit alone allows, from the shortest: "
       + ", ".join(f"{name.replace(chr(10), ' ')} {far:.1f} m" for name, far in ROWS.items())
       + ". The shortest is the practical range.")


def draw() -> Figure:
    """Return a bar for each limit, the shortest one full."""
    figure, axes = subplots(figsize=(5.4, 3.9))
    least = min(ROWS.values())
    for row, far in enumerate(ROWS.values()):
        first = far == least
        axes.barh(row, far, height=0.6, color=WARM if first else "#dfe9e4", ec=INK, lw=0.8)
        axes.text(far + 0.1, row, f"{far:.1f} m", va="center", color=INK)
    axes.set_yticks(range(len(ROWS)), ROWS)
    axes.invert_yaxis()
    axes.grid(visible=False, axis="y")
    axes.set(xlabel="range, muzzle to tip (m)", xlim=(0, 9.2))
    return figure
