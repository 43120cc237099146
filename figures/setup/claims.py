"""Three riggers' claims of what the shaft gets, beside what the band stores."""

from bandwork.doubt import monte_carlo
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.setup._example import GUN, INK, LIGHT, SAND, WARM, told

STORED = told().stored_energy
SHARE = monte_carlo(GUN, names=["efficiency"], seed=2).intervals["efficiency"]
CLAIMS = (("A", round(0.43 * STORED)), ("B", round(0.80 * STORED)), ("C", round(1.10 * STORED)))
ALT = (f"Three bars, each what a rigger claims that the shaft gets from a band that stores "
       f"{STORED:.0f} J: A {CLAIMS[0][1]} J, B {CLAIMS[1][1]} J, C {CLAIMS[2][1]} J. A dashed line "
       f"marks {STORED:.0f} J; C lies beyond it. A shaded band from {SHARE.low * STORED:.0f} to "
       f"{SHARE.high * STORED:.0f} J is what our model gives nine times in ten; only A lies in it.")


def draw() -> Figure:
    """Return the three bars with the stored energy and the model's range."""
    figure, axes = subplots(figsize=(5.4, 3.9))
    axes.axvspan(SHARE.low * STORED, SHARE.high * STORED, color=LIGHT, lw=0)
    axes.text((SHARE.low + SHARE.high) / 2 * STORED, 0.72, "our model", ha="center", va="bottom")
    for row, (letter, energy) in enumerate(CLAIMS):
        axes.barh(-row, energy, height=0.45, fc=SAND, ec=INK, lw=1.2, alpha=0.9)
        axes.text(8, -row, f"{letter} claims {energy} J", va="center", fontweight="bold")
    axes.axvline(STORED, color=WARM, ls="--", lw=1.8)
    axes.text(STORED - 5, 0.72, f"stored {STORED:.0f} J", color=WARM, ha="right", va="bottom")
    axes.set(xlabel="energy of the shaft (J)", ylim=(-2.5, 1.2), xlim=(0, 1.2 * STORED), yticks=[])
    axes.spines["left"].set_visible(False)
    axes.grid(axis="y", visible=False)
    return figure
