"""Where the energy of a shot goes, for a gun that is held fast and for one in a hand."""

from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.launch._example import GUN_MASS, HAND_MASS, INK, PAPER, WARM, shot

PARTS = (("shaft", "the shaft"), ("bands", "bands and wishbone"), ("drag", "water"),
         ("hysteresis", "heat in the rubber"), ("friction", "roller"), ("line", "line"),
         ("recoil", "kick of the gun"))
HELD, HAND = shot().energy, shot(GUN_MASS + HAND_MASS).energy
ROWS = tuple((words, float(getattr(HELD, name)), float(getattr(HAND, name)))
             for name, words in PARTS)

ALT = (f"Paired bars that show where {HELD.stored:.0f} joules go, in joules for a gun that is held "
       f"fast and for one of {GUN_MASS:g} kg in a hand: "
       + "; ".join(f"{words} {held:.0f} and {hand:.0f}" for words, held, hand in ROWS)
       + ". The shaft gets about half.")


def draw() -> Figure:
    """Return two bars a part."""
    figure, axes = subplots(figsize=(5.2, 4.6))
    for row, (words, held, hand) in enumerate(ROWS):
        for place, joules, fill, hatch in ((0.19, held, WARM, ""), (-0.19, hand, PAPER, "///")):
            y = -row + place
            axes.barh(y, joules, height=0.34, fc=fill, ec=WARM, hatch=hatch, lw=1.2)
            axes.text(joules + 3, y, f"{joules:.0f}", va="center", fontsize=12)
        axes.text(-5, -row, words, va="center", ha="right")
    axes.text(106, -4.05, "held fast", va="center", color=WARM, fontweight="bold")
    axes.text(106, -4.55, "in a hand", va="center", color=WARM)
    axes.barh(-4.05, 14, left=86, height=0.34, fc=WARM, ec=WARM, lw=1.2)
    axes.barh(-4.55, 14, left=86, height=0.34, fc=PAPER, ec=WARM, hatch="///", lw=1.2)
    axes.set(xlabel=f"energy (J), of {HELD.stored:.0f} stored", xlim=(0, 205), ylim=(-6.6, 0.6),
             yticks=[])
    axes.grid(axis="y", visible=False)
    axes.spines["left"].set_color(INK)
    return figure
