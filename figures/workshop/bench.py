"""From the printed form to the printed sheet: which command makes what."""

from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch
from matplotlib.pyplot import subplots

from figures.workshop._example import INK, PART, TEAL

BOXES = {"form": (0, 2, "printed\nform"), "readings": (1, 2, "readings"),
         "rubber": (2, 2, "rubber\nfile"), "set-up": (2, 1, "set-up\nfile"),
         "answers": (1, 1, "answers"), "sheet": (2, 0, "printed\nsheet")}
ARROWS = (("form", "readings", "type"), ("readings", "rubber", "fit"),
          ("rubber", "set-up", "named in"), ("set-up", "answers", "predict"),
          ("set-up", "sheet", "sheet"))
WIDE, HIGH, ACROSS, UP = 1.0, 0.62, 1.75, 1.15

ALT = ("Boxes joined by arrows. " + " ".join(
    f"From {BOXES[one][2]} to {BOXES[other][2]}: {label}.".replace("\n", " ")
    for one, other, label in ARROWS))


def _middle(name: str) -> tuple[float, float]:
    column, row, _ = BOXES[name]
    return column * ACROSS, row * UP


def draw() -> Figure:
    """Return the boxes and arrows."""
    figure, axes = subplots(figsize=(5.0, 3.4))
    for name, (_, _, label) in BOXES.items():
        x, y = _middle(name)
        paper = name in ("form", "sheet")
        axes.add_patch(FancyBboxPatch((x - WIDE / 2, y - HIGH / 2), WIDE, HIGH, fc="white",
                                      boxstyle="round,pad=0.02", ec=INK if paper else TEAL,
                                      lw=1.2 if paper else 1.8, ls="--" if paper else "-"))
        axes.text(x, y, label, ha="center", va="center", color=INK, fontsize=12)
    for one, other, label in ARROWS:
        (x0, y0), (x1, y1) = _middle(one), _middle(other)
        aside, down = (0, 1) if x0 == x1 else (1 if x1 > x0 else -1, 0)
        start = (x0 + aside * (WIDE / 2 + 0.05), y0 - down * (HIGH / 2 + 0.05))
        end = (x1 - aside * (WIDE / 2 + 0.05), y1 + down * (HIGH / 2 + 0.05))
        axes.annotate("", end, start, arrowprops={"arrowstyle": "->", "color": PART, "lw": 1.4})
        x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        axes.text(*((x + 0.08, y) if down else (x, y + 0.07)), label,
                  ha="left" if down else "center", va="center" if down else "bottom",
                  color=PART, fontsize=12)
    axes.set(xlim=(-0.6, 2 * ACROSS + 0.8), ylim=(-0.4, 2 * UP + 0.4))
    axes.axis("off")
    return figure
