"""One leg three times: relaxed, at rest on the gun, loaded."""

from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.pyplot import subplots

from figures.stretch._example import BAND, ROLLER

STATES = (
    ("relaxed, on the bench", BAND.relaxed_length),
    ("at rest, on the roller gun", ROLLER.lower_run),
    ("loaded, in the notch", ROLLER.loaded_path),
)


def _words(length: float) -> str:
    ratio = BAND.stretch_ratio(length)
    return f"{length * 100:.0f} cm, stretch {ratio:.2f}, elongation {(ratio - 1) * 100:.0f} %"


ALT = ("One leg of a band drawn three times to scale, thinner as it gets longer. "
       + "; ".join(f"{name}: {_words(length)}" for name, length in STATES) + ".")


def draw() -> Figure:
    """Return three bars whose area stays the same, as the rubber's volume does."""
    figure, axes = subplots(figsize=(5.2, 3.7))
    for row, (name, length) in enumerate(STATES):
        ratio = BAND.stretch_ratio(length)
        middle = -row
        thick = 0.30 / ratio**0.5
        axes.add_patch(Rectangle((0, middle - thick / 2), length, thick, fc="#e8b48f",
                                 ec="#a8480f", lw=1.6))
        axes.text(0, middle + 0.2, f"{name}:\n{_words(length)}", va="bottom")
    relaxed = BAND.relaxed_length
    for times in (1, 2, 3):
        axes.plot([times * relaxed] * 2, [-2.5, -2.3], color="#12343b", ls="-", lw=1.6)
        axes.text(times * relaxed, -2.54, f"{times}", ha="center", va="top")
    axes.plot([0, 2.5], [-2.4, -2.4], color="#12343b", ls="-", lw=1.6)
    axes.text(2.5, -2.54, "× relaxed", ha="right", va="top")
    axes.set(xlim=(-0.02, 2.55), ylim=(-2.9, 0.75))
    axes.axis("off")
    return figure
