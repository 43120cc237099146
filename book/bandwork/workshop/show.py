"""`bandwork show`: one page that holds all of a set-up, with four pictures and their tables."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import numpy as np

from bandwork.flight import fly
from bandwork.interval import Interval
from bandwork.setup import predict_many
from bandwork.stretch import notch_load, resting_distance
from bandwork.trim import Trim, gun_trim
from bandwork.validation import FloatArray
from bandwork.workshop import drawn, plots
from bandwork.workshop.against import QUESTIONS, label, spread_of, told
from bandwork.workshop.answer import answer, around, loads_in, of_hundred
from bandwork.workshop.files import GunFile
from bandwork.workshop.quantities import Units

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_BUDGET = (("shaft", "the shaft"), ("bands", "bands and wishbone"), ("drag", "the water"),
           ("hysteresis", "heat in the rubber"), ("recoil", "kick of the gun"),
           ("friction", "the roller"), ("line", "the line"))
_FARTHEST = 20.0
_POINTS, _ROWS = 41, 8
_SIZE = (5.2, 4.0)


@dataclass(frozen=True)
class Picture:
    """One picture of the page.

    Attributes
    ----------
    key : str
        One word.
    title : str
        What it is.
    says : str
        One or two sentences below it.
    svg : str
        The drawing, as `plots.svg` gives it.
    heads : tuple of str
        Of the table behind it.
    rows : tuple of tuple of str
        That table.
    """

    key: str
    title: str
    says: str
    svg: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class _Shown:
    """A gun that is worked out, with what the pictures need."""

    def __init__(self, gun: GunFile, units: Units) -> None:
        self.gun, self.units = gun, units
        found = answer(gun, units, quick=True)
        self.told, self.cautions = found.prediction, found.cautions
        self.names = [name for asked in QUESTIONS.values() for name in asked]
        spread = spread_of(gun, [*self.names, *(f"energy.{part}" for part, _ in _BUDGET)])
        self.spread = {name: one if name.startswith("energy.") else
                       around(getattr(self.told, name), one)
                       for name, one in spread.intervals.items()}
        self.loads = loads_in(spread.draws)
        self.many = drawn.put(gun, drawn.columns(gun))
        self.one = drawn.put(gun, {name: np.array([one.best])
                                   for name, one in drawn.ranges(gun).items()})

    def words(self, name: str, value: float) -> str:
        return " ".join(told(self.units, name, value))

    def between(self, name: str, one: Interval) -> str:
        best, low, high = (told(self.units, name, end)[0] for end in (one.best, one.low, one.high))
        return best if low == high else f"{best} ({low} to {high})"

    def axis(self, values: Any, unit: str) -> FloatArray:
        """Return values in the unit that people read, without rounding."""
        factor = float(self.units.read(1000.0, unit, 9)[0]) / 1000
        return np.asarray(values, dtype=float) * factor

    def unit(self, unit: str) -> str:
        return self.units.read(0.0, unit)[1]


def page(gun: GunFile, units: Units | None = None, day: str = "") -> str:
    """Return one page with everything about a set-up.

    Parameters
    ----------
    gun : GunFile
        As read.
    units : Units, optional
        In which people read it; metric unless given.
    day : str
        The date that it shows; today unless given.

    Returns
    -------
    str
        HTML that asks for nothing from anywhere; it prints on A4 and Letter.

    Raises
    ------
    InputError
        As `setup.predict`.
    """
    from jinja2 import Environment

    shown = _Shown(gun, units or Units())
    pictures = [draw(shown) for draw in (_energy, _force, _flight, _balance)]
    results = [(question, [(label(name), told(shown.units, name, 0.0)[1],
                            shown.between(name, shown.spread[name])) for name in asked])
               for question, asked in QUESTIONS.items()]
    template = files("bandwork").joinpath("data/show.html.j2").read_text(encoding="utf-8")
    environment = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
    return environment.from_string(template).render(
        gun=gun, cautions=shown.cautions, results=results, day=day or date.today().isoformat(),
        pictures=[(one, plots.inline(one.svg, one.key)) for one in pictures],
        answer=_in_short(shown))


def _in_short(shown: _Shown) -> str:
    """Return the first sentence of the page."""
    load, spare = shown.spread["load"], shown.told.load_spare
    fits = (f"{shown.words('load', spare)} less than this diver brings" if spare >= 0 else
            f"{shown.words('load', -spare)} more than this diver brings")
    sure = f" (who loads it in {of_hundred(shown.loads)} draws)"
    return (f"It takes {shown.between('load', load)} {told(shown.units, 'load', 0.0)[1]} to load, "
            f"{fits}{sure}, and leaves the muzzle with "
            f"{shown.between('muzzle_speed', shown.spread['muzzle_speed'])} "
            f"{told(shown.units, 'muzzle_speed', 0.0)[1]}. In brackets: nine in ten lie there.")


def _energy(shown: _Shown) -> Picture:
    parts = sorted(((words, shown.spread[f"energy.{part}"]) for part, words in _BUDGET),
                   key=lambda one: -one[1].best)
    stored = shown.told.stored_energy
    rows = tuple((words, f"{one.best:.0f} ({one.low:.0f} to {one.high:.0f})",
                  f"{one.best / stored:.0%}") for words, one in parts)

    def draw() -> "Figure":
        from matplotlib.pyplot import subplots

        figure, axes = subplots(figsize=_SIZE)
        most = max(one.high for _, one in parts)
        for row, (words, one) in enumerate(parts):
            first = words == "the shaft"
            axes.barh(-row, one.best, height=0.5, fc=plots.WARM if first else plots.SAND,
                      ec=plots.WARM, lw=1.2)
            axes.plot([one.low, one.high], [-row, -row], color=plots.INK, ls="-", lw=1.6)
            axes.plot([one.low, one.high], [-row, -row], "|", color=plots.INK, ms=9, mew=1.6)
            axes.text(max(one.high, one.best, 0) + 0.02 * most, -row, f"{one.best:.0f} J",
                      va="center", fontsize=12)
        axes.set_yticks([-row for row in range(len(parts))], [words for words, _ in parts])
        axes.set(xlabel=f"energy (J), of {stored:.0f} J stored",
                 xlim=(min(0.0, 1.1 * min(one.low for _, one in parts)), 1.17 * most))
        axes.tick_params(axis="y", length=0)
        axes.grid(axis="y", visible=False)
        return figure

    said = "; ".join(f"{words} {cell} J" for words, cell, _ in rows)
    return Picture("energy", "Where the energy goes",
                   f"Loading stores {stored:.0f} J. The shaft leaves with "
                   f"{shown.told.efficiency:.0%} of it.",
                   plots.svg(draw, "Energy budget", f"Bars of where {stored:.0f} J go: {said}."),
                   ("part", "J (nine in ten)", "share"), rows)


def _quantiles(values: FloatArray) -> tuple[FloatArray, FloatArray]:
    low, high = np.quantile(values, [0.05, 0.95], axis=1)
    return low, high


def _curve(shown: _Shown, x: FloatArray, work: Callable[[Any, FloatArray], Any]
           ) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the best, low and high value at each place."""
    best = np.asarray(work(shown.one, x[:, None]))[:, 0]
    low, high = _quantiles(np.asarray(work(shown.many, x[:, None])))
    return best, np.minimum(low, best), np.maximum(high, best)


def _force(shown: _Shown) -> Picture:
    setup = shown.gun.setup

    def pull(gun: Any, short: FloatArray) -> Any:
        own, taken = gun
        return notch_load(taken.warmed(own.band, own.water), own.barrel, short)

    rest = float(resting_distance(setup.band, setup.barrel))
    ahead = np.linspace(0.0, rest * (1 - 1e-9), _POINTS)
    if setup.barrel.kind == "conventional":  # A longer batch would be slack at the very end.
        ahead = np.linspace(0.0, max(rest - 0.02, 0.5 * rest), _POINTS)
    best, low, high = _curve(shown, ahead, pull)
    x, (y, down, up) = shown.axis(ahead, "cm"), (shown.axis(one, "kgf")
                                                 for one in (best, low, high))
    able = float(shown.axis(setup.diver.load_capacity, "kgf"))
    assist = float(setup.assist_length)
    length, force = shown.unit("cm"), shown.unit("kgf")

    def draw() -> "Figure":
        from matplotlib.pyplot import subplots

        figure, axes = subplots(figsize=_SIZE)
        axes.fill_between(x, down, up, fc=plots.SEA, ec=plots.TEAL, lw=0.8)
        axes.plot(x, y, color=plots.INK, ls="-")
        axes.axhline(able, color=plots.WARM, ls="--", lw=1.6)
        axes.text(x[-1], able + 0.01 * up.max(), "this diver brings", color=plots.WARM, ha="right",
                  va="bottom", fontsize=12)
        axes.plot(x[0], y[0], "s", color=plots.INK, clip_on=False)
        leader = {"arrowstyle": "-", "color": plots.INK, "lw": 0.9, "shrinkB": 4}
        below = 0.6 * down.min()
        axes.annotate(f"at the notch {y[0]:.0f}", (x[0], y[0]), (0.04 * x[-1], below),
                      arrowprops=leader, va="top", fontsize=12)
        if 0 < assist < rest:
            where = float(shown.axis(assist, "cm"))
            there = float(np.interp(where, x, y))
            axes.plot(where, there, "o", color=plots.INK)
            axes.annotate(f"hand-over {there:.0f}", (where, there),
                          (max(where, 0.2 * x[-1]), 0.6 * below), arrowprops=leader, va="top",
                          fontsize=12)
        axes.set(xlabel=f"wishbone ahead of the notch ({length})",
                 ylabel=f"pull ({force})", ylim=(0, 1.12 * max(up.max(), able)),
                 xlim=(0, x[-1]))
        return figure

    steps = np.linspace(0, _POINTS - 1, _ROWS).round().astype(int)
    rows = tuple((f"{x[row]:.0f}", f"{y[row]:.1f} ({down[row]:.1f} to {up[row]:.1f})")
                 for row in steps)
    said = "; ".join(f"{far} {length}: {cell} {force}" for far, cell in rows)
    return Picture("force", "How hard it pulls on the way",
                   "The pull grows until the wishbone sits in the notch; that last pull counts. "
                   f"This diver brings {able:.1f} {force}. The shaded band holds nine in ten.",
                   plots.svg(draw, "Pull of the band on its way to the notch",
                             f"A curve that rises towards the notch. {said}. A dashed line at "
                             f"{able:.1f} {force} is what this diver brings."),
                   (f"ahead of the notch ({length})", f"{force} (nine in ten)"), rows)


def _flight(shown: _Shown) -> Picture:
    gun = shown.gun
    reach, fish = shown.told.reach_from_muzzle, float(gun.quarry.distance)
    first = float(gun.setup.shaft.length)
    last = min(max(reach, fish, first + 0.1), _FARTHEST)

    def drop(drawn_gun: Any, tip: FloatArray) -> Any:
        own, taken = drawn_gun
        speed = predict_many(own, gun.quarry, taken, ["muzzle_speed"])["muzzle_speed"]
        return fly(own.shaft, own.water, own.line, speed, tip, 0.0, taken.drag).drop

    tips = np.linspace(first, last, _POINTS)
    best, low, high = _curve(shown, tips, drop)
    x, (y, less, more) = shown.axis(tips, "m"), (shown.axis(one, "cm")
                                                 for one in (best, low, high))
    far, small = shown.unit("m"), shown.unit("cm")
    at_fish, at_reach = (float(shown.axis(one, "m")) for one in (fish, reach))
    allowed = float(shown.axis(gun.quarry.drop_tolerance, "cm"))

    def draw() -> "Figure":
        from matplotlib.pyplot import subplots

        figure, axes = subplots(figsize=_SIZE)
        axes.fill_between(x, less, more, fc=plots.SEA, ec=plots.TEAL, lw=0.8)
        axes.plot(x, y, color=plots.INK, ls="-")
        deepest = 1.15 * max(more.max(), allowed)
        if x[0] <= at_fish <= x[-1]:
            axes.plot([at_fish, at_fish], [0, allowed], color=plots.WARM, ls="-", lw=3,
                      solid_capstyle="butt")
            axes.annotate("the fish, and the\ndrop that is allowed", (at_fish, allowed),
                          (x[0] + 0.04 * np.ptp(x), 0.72 * deepest), color=plots.WARM, fontsize=12,
                          arrowprops={"arrowstyle": "-", "color": plots.WARM, "lw": 0.9})
        if at_reach <= x[-1] * 1.001:
            axes.axvline(at_reach, color=plots.INK, ls="--", lw=1.4)
            axes.text(at_reach - 0.012 * np.ptp(x), deepest * 0.04, "the line ends", rotation=90,
                      ha="right", va="top", fontsize=12)
        axes.set(xlabel=f"from the muzzle to the tip ({far})",
                 ylabel=f"drop ({small})", ylim=(deepest, 0), xlim=(x[0], x[-1] * 1.002))
        return figure

    steps = np.linspace(0, _POINTS - 1, _ROWS).round().astype(int)
    rows = tuple((f"{x[row]:.1f}", f"{y[row]:.1f} ({less[row]:.1f} to {more[row]:.1f})")
                 for row in steps)
    said = "; ".join(f"{place} {far}: {cell} {small}" for place, cell in rows)
    told_fish = shown.between("drop_at_fish", shown.spread["drop_at_fish"])
    return Picture("flight", "How it drops",
                   f"At the fish, {shown.words('practical_range', fish)} from the muzzle, it has "
                   f"dropped {told_fish} {small}. The line ends at "
                   f"{shown.words('practical_range', reach)}; practical range "
                   f"{shown.words('practical_range', shown.told.practical_range)}, limited by "
                   f"{shown.told.limited_by}.",
                   plots.svg(draw, "Drop of the shaft over its range",
                             f"A curve that falls ever more steeply. {said}. The line ends at "
                             f"{at_reach:.1f} {far}; the fish is at {at_fish:.1f} {far} and allows "
                             f"{allowed:.0f} {small} of drop."),
                   (f"range ({far})", f"drop in {small} (nine in ten)"), rows)


def _balance(shown: _Shown) -> Picture:
    setup = shown.gun.setup
    warm = shown.gun.assumptions.warmed(setup.band, setup.water)
    parts = (warm, setup.shaft, setup.barrel, setup.line, setup.water)
    states = (("shaft in", gun_trim(*parts, "shaft_in")),
              ("shaft out", gun_trim(*parts, "shaft_out")))
    length = shown.unit("cm")

    def places(trim: Trim) -> tuple[float, float]:
        return tuple(float(shown.axis(one, "cm"))  # type: ignore[return-value]
                     for one in (trim.centre_of_mass, trim.centre_of_buoyancy))

    rows = []
    for words, trim in states:
        heavy, light = places(trim)
        name = f"net_force_{words.replace(' ', '_')}"
        does = "floats" if trim.net_force > 0 else "sinks"
        rows.append((words, f"{heavy:.1f}", f"{light:.1f}",
                     f"{does}, {shown.words(name, abs(float(trim.net_force)))}",
                     shown.words("grip_moment", float(trim.grip_moment))))

    def draw() -> "Figure":
        from matplotlib.pyplot import subplots

        figure, both = subplots(2, 1, figsize=(5.2, 5.0), sharex=True)
        for axes, (words, trim) in zip(both, states, strict=True):
            _draw_gun(axes, trim, shown)
            does = "floats" if trim.net_force > 0 else "sinks"
            axes.set_title(f"{words}: {does} with " + shown.words(
                "net_force_shaft_in", abs(float(trim.net_force))), fontsize=12)
        return figure

    tilt = shown.told.angle_shaft_in
    said = "; ".join(f"{words}: centre of gravity at {heavy} {length}, of buoyancy at {light} "
                     f"{length} from the tube's rear end; {does}" for words, heavy, light, does, _
                     in rows)
    return Picture("balance", "How it floats and points",
                   f"Let go with the shaft in, the muzzle comes to point "
                   f"{abs(np.degrees(tilt)):.0f} degrees {'up' if tilt > 0 else 'down'}. "
                   "Where gravity pulls ahead of where the water lifts, the muzzle sinks.",
                   plots.svg(draw, "Balance of the gun", f"The gun from the side, to scale, its "
                             f"muzzle to the right. {said}."),
                   ("", f"gravity ({length})", f"buoyancy ({length})", "lift",
                    "moment at the grip"),
                   tuple(rows))


def _draw_gun(axes: "Axes", trim: Trim, shown: _Shown) -> None:
    """Draw the gun from the side and to scale, with its two centres."""
    from matplotlib.patches import Rectangle

    setup = shown.gun.setup
    half = float(setup.barrel.outer_diameter) / 2
    long = float(setup.barrel.length)

    def box(x: float, y: float, wide: float, high: float, colour: str) -> None:
        axes.add_patch(Rectangle((x, y), wide, high, fc=colour, ec=plots.INK, lw=1.0))

    box(0.0, -half, long, 2 * half, plots.SAND)
    for part in trim.parts:
        x, y, size = (float(one) for one in (part.position, part.height, part.length))
        if part.name == "shaft":
            box(x - size / 2, y - float(part.diameter) / 2, size, float(part.diameter), plots.INK)
        elif part.name.startswith("band, ") and size > 0:
            axes.plot([x - size / 2, x + size / 2], [y, y], color=plots.TEAL,
                      ls="-", lw=max(1.0, float(part.diameter) * 160), solid_capstyle="butt")
        elif part.name not in ("tube", "plugs", "line") and not part.name.startswith("band"):
            side = max(size, 0.01)
            box(x - side / 2, y - side / 2, side, side, plots.SEA)
    heavy, light = float(trim.centre_of_mass), float(trim.centre_of_buoyancy)
    arrow = {"arrowstyle": "-|>", "lw": 2.2, "shrinkA": 0, "shrinkB": 0}
    axes.annotate("", (light, 0.26), (light, 0.0), arrowprops=arrow | {"color": plots.TEAL})
    axes.annotate("", (heavy, -0.26), (heavy, 0.0), arrowprops=arrow | {"color": plots.WARM})
    axes.plot(light, 0, "o", mfc=plots.PAPER, mec=plots.TEAL, mew=2, ms=8, zorder=5)
    axes.plot(heavy, 0, "s", color=plots.WARM, ms=6, zorder=6)
    up, down = (shown.units.words(one, "kgf", 2) for one in (trim.buoyant_force, trim.weight))
    axes.text(light + 0.03, 0.24, f"lift {up}", color=plots.TEAL, va="top", fontsize=12)
    axes.text(heavy + 0.03, -0.25, f"weight {down}", color=plots.WARM, va="bottom", fontsize=12)
    grip = float(trim.grip)
    axes.plot([grip, grip], [-0.20, -0.27], color=plots.INK, ls="-", lw=1.2)
    axes.text(grip, -0.29, "grip", ha="center", va="top", fontsize=12)
    tip = long + float(setup.barrel.roller_offset) + float(setup.shaft.overhang)
    tail = min(-0.1, tip - float(setup.shaft.length))
    axes.set(xlim=(tail - 0.05, max(tip, long + 0.1) + 0.05), ylim=(-0.36, 0.30), aspect="equal")
    axes.axis("off")
