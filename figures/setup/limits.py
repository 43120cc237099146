"""How much of each limit Noor's gun uses."""

from bandwork.units import kgf_from_newton
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.setup._example import FISH, GREY, INK, LIGHT, NOOR, SAND, told

GOT = told()
ROWS = (
    ("load", kgf_from_newton(GOT.load), 0.9 * kgf_from_newton(NOOR.load_capacity), "kgf", 0),
    ("grip", 100 * GOT.first_reach, 100 * NOOR.reach, "cm", 0),
    ("distance of the fish", FISH.distance, GOT.reach_from_muzzle, "m", 1),
    ("drop at the fish", 100 * GOT.drop_at_fish, 100 * FISH.drop_tolerance, "cm", 0),
    ("energy asked there", FISH.least_energy, GOT.energy_at_fish, "J", 0),
    ("pull at the line's end", kgf_from_newton(GOT.end_tension),
     kgf_from_newton(GOT.end_tension) * GOT.line_margin.best, "kgf", 0),
    ("the same, weak line", kgf_from_newton(GOT.end_tension),
     kgf_from_newton(GOT.end_tension) * GOT.line_margin.low, "kgf", 0),
)
USED = [100 * used / limit for _, used, limit, _, _ in ROWS]
CUT = 135.0
ALT = ("Bars that show how much of each limit the gun uses: "
       + "; ".join(f"{name} {share:.0f} %" for (name, *_), share in zip(ROWS, USED, strict=True))
       + ". Only the load, of what Noor brings less a tenth, and the weak line are over.")


def draw() -> Figure:
    """Return one bar a limit; those over the mark at 100 % are hatched."""
    figure, axes = subplots(figsize=(5.6, 5.4))
    for row, ((name, used, limit, unit, digits), share) in enumerate(zip(ROWS, USED, strict=True)):
        over = share > 100
        axes.barh(-row, min(share, CUT), height=0.36, fc=SAND if over else LIGHT, ec=INK, lw=1.2,
                  hatch="//" if over else None)
        axes.text(1, -row + 0.23, f"{name}: {used:.{digits}f} of {limit:.{digits}f} {unit}",
                  va="bottom")
        if share > CUT:
            axes.annotate("", (CUT + 6, -row), (CUT - 4, -row),
                          arrowprops={"arrowstyle": "-|>", "color": INK, "lw": 1.6})
    axes.axvline(100, color=INK, ls="--", lw=1.6)
    axes.text(99, -6.62, "the limit", ha="right", va="center", color=GREY)
    axes.set(xlabel="of the limit, per cent", xlim=(0, CUT + 8), ylim=(-6.9, 0.75), yticks=[])
    axes.spines["left"].set_visible(False)
    axes.grid(axis="y", visible=False)
    return figure
