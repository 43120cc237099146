"""A gun drawn at random many times within what is known of it, so that two can share a doubt."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from bandwork.doubt import draw_values, put_values, usual_ranges
from bandwork.interval import Interval
from bandwork.setup import Assumptions, Setup
from bandwork.validation import FloatArray
from bandwork.workshop.answer import DRAWS

if TYPE_CHECKING:
    from bandwork.workshop.files import GunFile



def _tube(gun: "GunFile") -> object:
    band = gun.setup.band
    return band.outer_diameter, band.bore, band.rubber, gun.rubber_name


def _compound(gun: "GunFile") -> object:
    return (gun.setup.band.rubber, gun.rubber_name, gun.assumptions.temperature_share,
            gun.assumptions.shot.hysteresis_loss)


def _roller(gun: "GunFile") -> object:
    barrel = gun.setup.barrel
    return barrel.kind, barrel.sheave_friction, barrel.sheave_radius


def _line(gun: "GunFile") -> object:
    line = gun.setup.line
    return line.diameter, line.breaking_strength, line.stiffness


ABOUT: dict[str, tuple[str, Callable[["GunFile"], object]]] = {
    "tube_stiffness": ("how hard this tube pulls", _tube),
    "batch_length_spread": ("the tube's batch", _tube),
    "ageing_loss": ("how aged the tube is", _tube),
    "temperature_share": ("what cold does to the rubber", _compound),
    "hysteresis_loss": ("what the rubber keeps as heat", _compound),
    "sheave_friction": ("friction of the roller", _roller),
    "drag_nose": ("drag of the shaft's tip", lambda gun: gun.assumptions.drag.nose),
    "drag_wing": ("drag of the flopper", lambda gun: gun.assumptions.drag.wing),
    "drag_cross_flow": ("drag of the sinking shaft", lambda gun: gun.assumptions.drag.cross_flow),
    "drag_line": ("drag of the line", lambda gun: gun.assumptions.drag.line_tangential),
    "handle_mass": ("mass of the handle", lambda gun: gun.setup.barrel.handle),
    "handle_volume": ("volume of the handle", lambda gun: gun.setup.barrel.handle),
    "muzzle_mass": ("mass of the muzzle", lambda gun: gun.setup.barrel.muzzle),
    "muzzle_volume": ("volume of the muzzle", lambda gun: gun.setup.barrel.muzzle),
    "breaking_strength": ("strength of the line", _line),
    "line_stiffness": ("stiffness of the line", _line),
}
"""What each uncertain input is, and what two guns must have alike to share its doubt."""


def ranges(gun: "GunFile") -> dict[str, Interval]:
    """Return the range of every uncertain input of a gun: its file's, else the usual one.

    Parameters
    ----------
    gun : GunFile
        A set-up as read.

    Returns
    -------
    dict of str to Interval
        By names of `doubt.INPUTS` [SI].
    """
    return {**usual_ranges(gun.setup), **gun.doubt}


def shared(one: "GunFile", other: "GunFile") -> dict[str, bool]:
    """Return of each uncertain input whether its doubt is the same for two guns.

    It is where both have what the input is about alike, and the same range for it.

    Parameters
    ----------
    one, other : GunFile
        Two set-ups as read.

    Returns
    -------
    dict of str to bool
        Inputs that are known of both are left out.
    """
    mine, theirs = ranges(one), ranges(other)
    return {name: mine[name] == theirs[name] and about(one) == about(other)
            for name, (_, about) in ABOUT.items()
            if any(each[name].low < each[name].high for each in (mine, theirs))}


def columns(gun: "GunFile", seed: int = 0, like: Mapping[str, FloatArray] | None = None,
            draws: int = DRAWS) -> dict[str, FloatArray]:
    """Return random values of every uncertain input, as `doubt.monte_carlo` draws them.

    Parameters
    ----------
    gun : GunFile
        A set-up as read.
    seed : int
        The same seed gives the same draws.
    like : mapping of str to ndarray, optional
        Values that another gun has got already, for the inputs that they share [SI].
    draws : int
        How many [1].

    Returns
    -------
    dict of str to ndarray
        By names of `doubt.INPUTS` [SI].
    """
    return {**draw_values(ranges(gun), draws, seed), **(like or {})}


def put(gun: "GunFile", values: Mapping[str, FloatArray]) -> tuple[Setup, Assumptions]:
    """Return a gun with other values of its uncertain inputs, such as those of `columns`.

    Parameters
    ----------
    gun : GunFile
        A set-up as read.
    values : mapping of str to ndarray
        By names of `doubt.INPUTS` [SI].

    Returns
    -------
    tuple of Setup and Assumptions
    """
    return put_values((gun.setup, gun.assumptions), values)
