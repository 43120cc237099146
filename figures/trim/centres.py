"""Centre of mass and centre of buoyancy on the gun, and what the wrist holds."""

from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.trim._example import INK, LENGTH, RUST, TEAL, draw_gun, trim

GUN = trim()
MASS, BUOYANCY = float(GUN.centre_of_mass), float(GUN.centre_of_buoyancy)
GRIP = float(GUN.grip)

ALT = (f"The carbon gun from the side, shaft in. The lift of {GUN.buoyant_force:.1f} N pulls up at "
       f"the centre of buoyancy, {BUOYANCY * 100:.1f} cm from the tube's rear end. The weight of "
       f"{GUN.weight:.1f} N pulls down at the centre of mass, {MASS * 100:.1f} cm from it. The "
       f"hand is at {GRIP * 100:.0f} cm. About the hand the moment is {GUN.grip_moment:.2f} newton "
       "metres: the muzzle sinks.")


def draw() -> Figure:
    """Return the gun with two arrows."""
    figure, axes = subplots(figsize=(5.2, 3.8))
    draw_gun(axes)
    arrow = {"arrowstyle": "-|>", "lw": 3, "shrinkA": 0, "shrinkB": 0}
    axes.annotate("", (BUOYANCY, 0.46), (BUOYANCY, 0.0), arrowprops=arrow | {"color": TEAL})
    axes.annotate("", (MASS, -0.48), (MASS, 0.0), arrowprops=arrow | {"color": RUST})
    axes.plot(BUOYANCY, 0, "o", mfc="white", mec=TEAL, mew=2, zorder=5)
    axes.plot(MASS, 0, "s", color=RUST, zorder=5)
    axes.text(BUOYANCY - 0.03, 0.30, f"lift\n{GUN.buoyant_force:.1f} N", ha="right", color=TEAL)
    axes.text(MASS + 0.04, -0.36, f"weight\n{GUN.weight:.1f} N", color=RUST)
    axes.text(BUOYANCY + 0.03, 0.40, f"centre of buoyancy, {BUOYANCY * 100:.1f} cm", color=TEAL,
              fontsize=12)
    axes.text(MASS + 0.04, -0.48, f"centre of mass, {MASS * 100:.1f} cm", color=RUST, fontsize=12)
    axes.annotate("hand", (GRIP, -0.15), (GRIP - 0.02, -0.42), ha="center", arrowprops={
        "arrowstyle": "-", "color": INK, "lw": 0.9})
    axes.annotate("", (LENGTH + 0.2, -0.22), (LENGTH + 0.2, 0.02), arrowprops={
        "arrowstyle": "-|>", "lw": 1.6, "color": INK, "connectionstyle": "arc3,rad=-0.3"})
    axes.text(LENGTH + 0.18, -0.25, f"$M$ = {GUN.grip_moment:.2f} N m", ha="center", va="top")
    axes.set(xlim=(-0.27, LENGTH + 0.45), ylim=(-0.58, 0.54))
    axes.axis("off")
    return figure
