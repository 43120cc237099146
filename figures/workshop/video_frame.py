"""What the camera sees of a shot: the shaft's tail in each picture, and a stick for scale."""

import numpy as np
from bandwork.setup import predict
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.pyplot import subplots

from figures.workshop._example import FRAME_RATE, GUN, INK, RUST

SPEED = float(predict(GUN).muzzle_speed)
STEP = SPEED / FRAME_RATE
SHUTTER = 1 / 1000
BLUR = SPEED * SHUTTER
TAILS = 0.06 + STEP * np.arange(10)

ALT = f"""
The picture that the camera takes from the side, at right angles to the shot. At the left edge the
muzzle. A stick with a mark every ten centimetres lies level below the path, as far from the camera
as the shaft. Above it the tail of the shaft as it stands in ten pictures that follow each other:
ten short bars, {STEP * 100:.0f} cm from one to the next at {SPEED:.0f} m/s and {FRAME_RATE}
pictures a second. Each bar is {BLUR * 100:.1f} cm wide: that is how far the tail moves while the
shutter is open for a thousandth of a second.
"""


def draw() -> Figure:
    """Return the frame with the tails and the scale."""
    figure, axes = subplots(figsize=(5.2, 3.3))
    axes.add_patch(Rectangle((-0.12, -0.27), 1.29, 0.62, fc="#eef3f0", ec=INK, lw=1.6))
    axes.add_patch(Rectangle((-0.12, 0.06), 0.14, 0.08, fc="#d3cdbd", ec=INK, lw=1.2))
    axes.text(-0.1, 0.2, "muzzle")
    for tail in TAILS:
        axes.add_patch(Rectangle((tail, 0.085), BLUR, 0.035, fc=RUST, ec=INK, lw=0.6))
    axes.annotate("", (TAILS[4], 0.17), (TAILS[5], 0.17),
                  arrowprops={"arrowstyle": "<->", "color": INK, "lw": 1.2, "shrinkA": 0,
                              "shrinkB": 0})
    axes.text((TAILS[4] + TAILS[5]) / 2, 0.2, f"{STEP * 100:.0f} cm a picture", ha="center")
    axes.annotate(f"blur {BLUR * 100:.1f} cm", (TAILS[8] + BLUR / 2, 0.085), (0.86, -0.03),
                  ha="center", va="center",
                  arrowprops={"arrowstyle": "-", "color": INK, "lw": 0.9})
    axes.add_patch(Rectangle((0, -0.19), 1.0, 0.05, fc="#fdfbf6", ec=INK, lw=1.2))
    for mark in range(11):
        axes.plot([mark / 10] * 2, [-0.19, -0.14], color=INK, ls="-", lw=1.4)
    axes.text(0.02, -0.09, "stick of 1 m, level with the shot", va="center")
    axes.text(0.5, -0.4, "camera from the side, at right angles,\nlevel with the path",
              ha="center", va="top")
    axes.set(xlim=(-0.16, 1.21), ylim=(-0.62, 0.39), aspect=1)
    axes.axis("off")
    return figure
