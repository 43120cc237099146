"""Net force over weight, shaft out, by length of the barrel."""

import numpy as np
from bandwork.components import Band, Barrel, Shaft
from bandwork.trim import gun_trim
from matplotlib.figure import Figure
from matplotlib.pyplot import subplots

from figures.trim._example import LINE, RUST, SEA, TEAL

CM = np.linspace(90, 140, 51)


def _share(material: str) -> np.ndarray:
    long = CM / 100
    gun = gun_trim(Band(0.016, 0.003, long / 2 + 0.05), Shaft(0.007, long + 0.4),
                   Barrel(long, material=material), LINE, SEA, "shaft_out")  # type: ignore[arg-type]
    return np.asarray(gun.net_force / gun.weight * 100)


SHARES = {one: _share(one) for one in ("carbon", "aluminium")}

ALT = ("Net force in per cent of the gun's weight, shaft out, against the barrel's length from 90 "
       "to 140 cm. Both lines rise: " + "; ".join(
           f"{name} from {share[0]:.0f} to {share[-1]:.0f} per cent"
           for name, share in SHARES.items()) + ".")


def draw() -> Figure:
    """Return the two rising lines."""
    figure, axes = subplots(figsize=(5.2, 3.6))
    for name, colour, dash in (("carbon", TEAL, "-"), ("aluminium", RUST, "--")):
        axes.plot(CM, SHARES[name], color=colour, ls=dash)
        axes.text(105, np.interp(105, CM, SHARES[name]) + 1.5, name, color=colour, ha="right",
                  va="bottom")
    axes.set(xlabel="barrel (cm)", ylabel="net force (% of weight)", xlim=(88, 142), ylim=(0, 44))
    return figure
