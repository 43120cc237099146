"""How far each condition moves the load, widest first, and all together."""

from bandwork.stretch import Conditions, load_interval
from bandwork.units import kgf_from_newton
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.stretch._example import BAND, ROLLER

WATER = 12.0
WORDS = {
    "tube_stiffness": "the tube itself",
    "sheave_friction": "roller friction",
    "ageing_loss": "age",
    "batch_length_spread": "batch of latex",
    "temperature": f"water of {WATER:.0f} °C",
}
RESULT = load_interval(BAND, ROLLER, Conditions(temperature=WATER))
BARS = sorted(((WORDS[name], *(sorted(map(float, map(kgf_from_newton, ends)))))
               for name, ends in RESULT.effects.items()), key=lambda bar: bar[1] - bar[2])
BEST, LOW, HIGH = (float(kgf_from_newton(value))
                   for value in (RESULT.load.best, RESULT.load.low, RESULT.load.high))



def _range(low: float, high: float) -> str:
    digits = 0 if high - low > 2 else 1
    return f"{low:.{digits}f} to {high:.{digits}f}"


ALT = (f"Bars that show how far each condition alone moves the load on the notch from its best "
       f"value of {BEST:.0f} kgf, widest first: "
       + "; ".join(f"{words} {_range(low, high)} kgf" for words, low, high in BARS)
       + f". All together, as root-sum-square: {LOW:.0f} to {HIGH:.0f} kgf.")


def draw() -> Figure:
    """Return one bar an effect and one for all together."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    rows = [*BARS, ("all together", LOW, HIGH)]
    for row, (words, low, high) in enumerate(rows):
        last = row == len(rows) - 1
        axes.barh(-row, high - low, left=low, height=0.42, fc="#12343b" if last else "#e8b48f",
                  ec="#12343b", lw=1.2)
        axes.text(25.5, -row + 0.27, words, va="bottom", fontweight="bold" if last else "normal")
        axes.text(high + 0.8, -row, _range(low, high), va="center", fontsize=12)
    axes.axvline(BEST, color="#a8480f", ls="--", lw=1.6)
    axes.text(BEST + 0.8, 0.62, f"best {BEST:.0f}", color="#a8480f", va="center")
    axes.set(xlabel="load on the notch (kgf)", xlim=(25, 84), ylim=(-5.45, 0.95), yticks=[])
    axes.spines["left"].set_visible(False)
    axes.grid(axis="y", visible=False)
    return figure
