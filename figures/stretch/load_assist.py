"""What a load assist changes: the first grip and the hand-over, not the last pull."""

import numpy as np
from bandwork.handbook import lookup
from bandwork.stretch import Band, cut_length_for_load, loading, notch_load
from bandwork.units import cm_from_metre, kgf_from_newton
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.stretch._example import BORE, DIAMETER, ROLLER
from figures.stretch._people import PEOPLE

MARTA = PEOPLE[0]
BAND = Band(DIAMETER, BORE, cut_length_for_load(MARTA.wanted, ROLLER, DIAMETER, BORE))
ASSIST = lookup("assist.length").value
DONE = loading(MARTA.diver, BAND, ROLLER, ASSIST)
FIRST = float(kgf_from_newton(loading(MARTA.diver, BAND, ROLLER).hand_over_load))
MIDDLE, LAST = float(kgf_from_newton(DONE.hand_over_load)), float(kgf_from_newton(DONE.load))

ALT = f"""
Pull in kilogram-force against the distance of the wishbone from the notch, for a band of
{BAND.relaxed_length * 100:.0f} cm on a roller gun. The pull rises from {FIRST:.0f} kgf at the
roller, {ROLLER.upper_run * 100:.0f} cm ahead, to {LAST:.1f} kgf in the notch. With a load assist of
{ASSIST * 100:.0f} cm the first pull, hands on the assist's handle, ends when the wishbone is
{ASSIST * 100:.0f} cm ahead at {MIDDLE:.0f} kgf; the second pull, hands on the wishbone, does the
rest. The first grip comes back from {ROLLER.upper_run * 100:.0f} to
{DONE.first_reach * 100:.0f} cm, inside the {MARTA.diver.reach * 100:.0f} cm that Marta reaches.
"""


def draw() -> Figure:
    """Return the pull over the way, in two stages."""
    figure, axes = subplots(figsize=(5.2, 4))
    way = np.linspace(0, ROLLER.upper_run * (1 - 1e-9), 200)
    pull = kgf_from_newton(notch_load(BAND, ROLLER, way))
    far, near = way >= ASSIST, way <= ASSIST
    axes.plot(cm_from_metre(way[far]), pull[far], color="#0b746f", ls="--")
    axes.plot(cm_from_metre(way[near]), pull[near], color="#a8480f", ls="-")
    axes.plot(cm_from_metre(ASSIST), MIDDLE, "o", color="#12343b", zorder=4)
    axes.text(80, 39, "first pull: hands on\nthe assist's handle", color="#0b746f", ha="center")
    axes.text(1, 33.5, "second pull:\non the wishbone", color="#a8480f", ha="right", va="top")
    axes.annotate(f"hand-over\n{MIDDLE:.0f} kgf", (cm_from_metre(ASSIST), MIDDLE), (44, 51),
                  ha="center", arrowprops={"arrowstyle": "-", "color": "#12343b", "lw": 0.9})
    axes.text(2, LAST + 1.5, f"{LAST:.1f} kgf", ha="right", va="bottom")
    line = {"arrowstyle": "<->", "color": "#12343b", "lw": 1.4, "shrinkA": 0, "shrinkB": 0}
    for y, start, words in ((15, MARTA.diver.reach, "Marta reaches"),
                            (9, DONE.first_reach, "first grip with the assist"),
                            (3, ROLLER.upper_run, "first grip without")):
        end = cm_from_metre(start)
        axes.annotate("", (0, y), (end, y), arrowprops=line)
        axes.text(2, y + 0.5, f"{words}: {end:.0f} cm", ha="right", va="bottom", fontsize=12)
    axes.set(xlabel="ahead of the notch (cm)", ylabel="pull (kgf)", xlim=(0, 125), ylim=(-1, 60))
    axes.invert_xaxis()
    axes.yaxis.tick_right()
    axes.yaxis.set_label_position("right")
    axes.spines["left"].set_visible(False)
    axes.spines["right"].set_visible(True)
    axes.grid(axis="x", visible=False)
    return figure
