"""From the printed form to the printed sheet: which command makes what."""

from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch
from matplotlib.pyplot import subplots

from figures.workshop._example import INK, PART, TEAL

BOXES = {"form": (0, 2, "printed form,\nfilled in"), "readings": (1, 2, "readings\nCSV or xlsx"),
         "rubber": (2, 2, "rubber file"), "set-up": (2, 1, "set-up file"),
         "shelf": (1, 1, "shelf file"), "answer": (3, 1, "answers with\nintervals"),
         "sheet": (2, 0, "printed sheet")}
ARROWS = (("form", "readings", "you type"), ("readings", "rubber", "fit"),
          ("rubber", "set-up", "named in"), ("shelf", "set-up", "search"),
          ("set-up", "answer", "predict"), ("set-up", "sheet", "sheet"))
WIDE, HIGH, ACROSS, UP = 1.5, 0.62, 2.5, 1.3

ALT = ("Boxes joined by arrows. " + " ".join(
    f"From {BOXES[one][2]} to {BOXES[other][2]}: {label}.".replace("\n", " ")
    for one, other, label in ARROWS))


def _middle(name: str) -> tuple[float, float]:
    column, row, _ = BOXES[name]
    return column * ACROSS, row * UP


def draw() -> Figure:
    """Return the boxes and arrows."""
    figure, axes = subplots(figsize=(7.2, 3.4))
    for name, (_, _, label) in BOXES.items():
        x, y = _middle(name)
        paper = name in ("form", "sheet")
        axes.add_patch(FancyBboxPatch((x - WIDE / 2, y - HIGH / 2), WIDE, HIGH, fc="white",
                                      boxstyle="round,pad=0.02", ec=INK if paper else TEAL,
                                      lw=1.2 if paper else 1.8, ls="--" if paper else "-"))
        axes.text(x, y, label, ha="center", va="center", color=INK, fontsize=9)
    for one, other, label in ARROWS:
        (x0, y0), (x1, y1) = _middle(one), _middle(other)
        level = y0 == y1
        left, down = (0.0, 1.0) if x0 == x1 else ((1.0 if x1 > x0 else -1.0), 0.0)
        start = (x0 + left * (WIDE / 2 + 0.06), y0 - down * (HIGH / 2 + 0.06))
        end = (x1 - left * (WIDE / 2 + 0.06), y1 + down * (HIGH / 2 + 0.06))
        axes.annotate("", end, start, arrowprops={"arrowstyle": "->", "color": PART, "lw": 1.4})
        x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        at = (x, y + 0.1) if level else (x + 0.1, y)
        axes.text(*at, label, ha="center" if level else "left", va="bottom" if level else "center",
                  color=PART, fontsize=9)
    axes.set(xlim=(-0.9, 3 * ACROSS + 0.9), ylim=(-0.5, 2 * UP + 0.5))
    axes.axis("off")
    return figure
