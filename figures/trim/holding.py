"""The load at the hand of four guns held level at arm's length."""

from bandwork.trim import holding
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.trim._example import INK, trim

GUNS = (("carbon, 7 mm", trim()), ("carbon, 7.5 mm", trim(diameter=0.0075)),
        ("aluminium, 7 mm", trim("aluminium")),
        ("aluminium, 7.5 mm", trim("aluminium", diameter=0.0075)))
ROWS = [(name, float(-gun.net_force), float(holding(gun).force_at_hand)) for name, gun in GUNS]
assert all(0 < own < whole for _, own, whole in ROWS)

ALT = ("Bars of the load at the hand, gun level, arm straight, each made of the gun's net force "
       "and of its moment over the arm's length: " + "; ".join(
           f"{name}: {own:.1f} N and {whole - own:.1f} N, together {whole:.1f} N"
           for name, own, whole in ROWS) + ".")


def draw() -> Figure:
    """Return one bar a gun in two parts."""
    figure, axes = subplots(figsize=(5.2, 3.6))
    for row, (name, own, whole) in enumerate(ROWS):
        axes.barh(-row, own, height=0.42, fc="#9cc7c3", ec=INK, lw=1.1)
        axes.barh(-row, whole - own, left=own, height=0.42, fc="#e8b48f", ec=INK, lw=1.1,
                  hatch="///")
        axes.text(0, -row + 0.26, name, va="bottom")
        axes.text(whole + 0.1, -row, f"{whole:.1f} N", va="center")
    _, own, whole = ROWS[-1]
    line = {"arrowstyle": "-", "color": INK, "lw": 0.9}
    axes.annotate("net force", (own / 2, -3.2), (own / 2, -3.62), ha="center", va="top",
                  arrowprops=line)
    axes.annotate("moment over arm", ((own + whole) / 2, -3.2), ((own + whole) / 2 + 0.3, -3.62),
                  ha="center", va="top", arrowprops=line)
    axes.set(xlabel="like a weight in the hand (N)", xlim=(0, 7), ylim=(-4.1, 0.75), yticks=[])
    axes.spines["left"].set_visible(False)
    axes.grid(axis="y", visible=False)
    return figure
