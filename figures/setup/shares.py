"""Which input makes most of the doubt, for four results of Noor's gun."""

from bandwork.doubt import measure_next
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.setup._example import GUN, INK, LIGHT, SAND

RESULTS = {"load": "load", "muzzle_speed": "muzzle speed", "drop_at_fish": "drop at the fish",
           "net_force_shaft_out": "lift, shaft out", "line_margin": "margin of the line"}
WORDS = {"tube_stiffness": "tube", "sheave_friction": "roller", "ageing_loss": "age",
         "hysteresis_loss": "hysteresis", "drag_line": "drag of the line",
         "drag_nose": "drag of the tip", "drag_wing": "drag of the flopper",
         "handle_mass": "mass of the handle", "handle_volume": "volume of the handle",
         "muzzle_mass": "mass of the muzzle", "muzzle_volume": "volume of the muzzle",
         "breaking_strength": "strength of the line", "line_stiffness": "stiffness of the line",
         "batch_length_spread": "batch", "temperature_share": "warmth",
         "drag_cross_flow": "drag across"}
FIRST = {name: [(WORDS[key], share.total) for key, share in
                list(measure_next(GUN, name, draws=512).items())[:2]] for name in RESULTS}
ALT = ("Two bars for each of five results: the two inputs that make most of its doubt. "
       + "; ".join(f"{RESULTS[name]}: {one} {100 * a:.0f} %, {two} {100 * b:.0f} %"
                   for name, ((one, a), (two, b)) in FIRST.items()) + ".")


def draw() -> Figure:
    """Return the first and the second share of each result."""
    figure, axes = subplots(figsize=(5.6, 6.6))
    for row, (name, pair) in enumerate(FIRST.items()):
        axes.text(0, -2.9 * row + 0.62, RESULTS[name], fontweight="bold", va="bottom")
        for place, (word, share) in enumerate(pair):
            y = -2.9 * row - 0.95 * place
            axes.barh(y, 100 * share, height=0.62, fc=(SAND, LIGHT)[place], ec=INK, lw=1.2)
            inside = share > 0.45
            axes.text(2 if inside else 100 * share + 2, y, f"{word}, {100 * share:.0f} %",
                      va="center")
    axes.set(xlabel="share of the doubt, per cent", xlim=(0, 100), yticks=[],
             ylim=(-2.9 * (len(FIRST) - 1) - 1.7, 1.6))
    axes.spines["left"].set_visible(False)
    axes.grid(axis="y", visible=False)
    return figure
