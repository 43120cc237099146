"""Between what a line may break: straight, and with its ends made."""

from bandwork.line import cord_strength, made_up_strength, working_load
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.line._example import INK, LINE, WARM

CORD = cord_strength(float(LINE.diameter))
KNOTTED = made_up_strength(CORD, "hmpe_knot")
BARS = (("straight cord", CORD), ("spliced ends", made_up_strength(CORD, "hmpe_splice")),
        ("crimped ends", made_up_strength(CORD, "crimp")), ("knotted ends", KNOTTED),
        ("working load, knotted", working_load(KNOTTED)))

ALT = ("Bars from the least to the most that a polyethylene line of "
       f"{LINE.diameter * 1000:.1f} mm may hold, in newtons, each with its best value: "
       + "; ".join(f"{name} {span.low:.0f} to {span.high:.0f}, best {span.best:.0f}"
                   for name, span in BARS) + ".")


def draw() -> Figure:
    """Return one bar a way to end the line, and the working load."""
    figure, axes = subplots(figsize=(5.2, 4.2))
    for row, (name, span) in enumerate(BARS):
        last = row == len(BARS) - 1
        axes.barh(-row, span.high - span.low, left=span.low, height=0.36,
                  fc=INK if last else "#e8b48f", ec=INK, lw=1.2)
        axes.plot([span.best] * 2, [-row - 0.26, -row + 0.26], color=WARM, ls="-", lw=3)
        axes.text(40, -row + 0.29, name, va="bottom", fontweight="bold" if last else "normal")
        axes.text(span.high + 90, -row, f"{span.low:.0f} to {span.high:.0f}", va="center",
                  fontsize=12)
    axes.set(xlabel="pull (N)", xlim=(0, 6400), ylim=(-4.5, 0.9), yticks=[])
    axes.spines["left"].set_visible(False)
    axes.grid(axis="y", visible=False)
    return figure
