"""How a nick hides behind the weaker end."""

import numpy as np
from bandwork.handbook import lookup
from bandwork.line import cord_strength
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.line._example import COOL, INK, LEADER, LINE, WARM

CORD = float(cord_strength(float(LINE.diameter)).best)
ENDS = {"knot": float(lookup("termination.hmpe_knot").value),
        "splice": float(lookup("termination.hmpe_splice").value)}

ALT = ("Strength in newtons against the part of the fibres that a nick has cut, 0 to 100 per cent, "
       f"for a cord of {CORD:.0f} N. "
       + " ".join(f"With a {name} the line is level at {CORD * part:.0f} N up to a nick of "
                  f"{100 * (1 - part):.0f} per cent." for name, part in ENDS.items())
       + " Beyond, both fall along the same straight line to nothing.")


def draw() -> Figure:
    """Return strength over nick for a knotted and a spliced line."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    cut = np.linspace(0, 1, 300)
    for part, colour, dashes in zip(ENDS.values(), (WARM, COOL), ("-", "--"), strict=True):
        axes.plot(cut * 100, CORD * np.minimum(part, 1 - cut), color=colour, ls=dashes)
        axes.plot(100 * (1 - part), CORD * part, "o", color=colour)
    axes.text(2, CORD * ENDS["knot"] - 60, "knotted: a pull\ntest sees nothing", color=WARM,
              va="top")
    axes.text(22, CORD * ENDS["splice"], "spliced", color=COOL, va="center")
    axes.annotate(f"{100 * (1 - ENDS['knot']):.0f} % cut",
                  (100 * (1 - ENDS["knot"]), CORD * ENDS["knot"]), (60, CORD * 0.72), color=INK,
                  arrowprops=LEADER)
    axes.set(xlabel="part of the fibres that is cut (%)", ylabel="strength (N)", xlim=(0, 101),
             ylim=(0, CORD * 1.05))
    return figure
