"""`bandwork search`: what can be tied from the parts on hand, what nothing beats, and why."""

import csv
import io
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from bandwork.choice import Choice, Fallen, Search, search
from bandwork.doubt import monte_carlo
from bandwork.interval import Interval
from bandwork.validation import InputError
from bandwork.workshop.against import told
from bandwork.workshop.answer import DRAWS, LEVEL
from bandwork.workshop.blank import gun_text
from bandwork.workshop.files import LONGEST_TEXT, Rubber, Shelf
from bandwork.workshop.lines import wrapped
from bandwork.workshop.quantities import Units
from bandwork.writing import safe_cell

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MOST = 30_000
"""Most set-ups that are tried."""
WEIGHED: dict[str, tuple[str, int, str, str]] = {
    "load": ("load", 1, "load", "easiest to load"),
    "practical_range": ("practical_range", -1, "range", "goes farthest"),
    "drop": ("drop_at_fish", 1, "drop", "drops least"),
    "trim": ("grip_moment", 1, "moment", "least moment at the grip"),
    "recoil_speed": ("recoil_speed", 1, "recoil", "kicks least"),
    "line_margin": ("line_margin", -1, "line", "strongest line for its pull"),
}
"""What a search weighs: the result, 1 where less is better, a short word, and the best in words."""
_GROUPS = (
    ("It takes ", "too hard to load for this diver"),
    ("Even with the best load assist", "out of reach, even with the best load assist"),
    ("Its shaft's tail ", "the shaft does not fit the barrel"),
    ("Its practical range ", "does not reach the fish with what is asked"),
    ("Its line holds ", "the line would break at its end"),
    ("Better in nothing than ", "beaten: another is better in all that is weighed, or as good"),
)
_ALL_AT_ONCE = "no other is as good in all of it at once"
_MOST_SHOWN = 40
"""If more are kept, the table shows those that are best in something."""
_CANNOT = "cannot be tied or worked out"


@dataclass(frozen=True)
class Found:
    """What a search of a shelf found.

    Attributes
    ----------
    shelf : Shelf
        As read.
    search : Search
        The Pareto set, the easiest to load first, and the others.
    loads : tuple of (Interval or None)
        Of each set-up that the table shows: where 90 % of the draws of what is uncertain lie [N].
    reasons : tuple of str
        Why each is kept.
    units : Units
        In which people read it.
    """

    shelf: Shelf
    search: Search
    loads: tuple[Interval | None, ...]
    reasons: tuple[str, ...]
    units: Units

    def text(self, everything: bool = False) -> str:
        """Return the table as it is printed.

        Parameters
        ----------
        everything : bool
            Whether to list every set-up, kept or fallen out.

        Returns
        -------
        str
        """
        kept, fallen = self.search.kept, self.search.fallen
        lines = [f"{len(kept)} of {len(kept) + len(fallen)} set-ups that no other beats in "
                 f"everything, the easiest to load first ({self.shelf.path.name}):", ""]
        if not kept:
            lines = [f"None of {len(fallen)} set-ups from {self.shelf.path.name} is left:", ""]
        else:
            heads = ["load", "90 % within", *(WEIGHED[name][2] for name in list(WEIGHED)[1:])]
            units = [told(self.units, WEIGHED[name][0], 0.0)[1] for name in WEIGHED]
            lines += [_cells("", heads), _cells("", [units[0], "", *units[1:]])]
        for number, (one, load, why) in enumerate(
                zip(kept, self.loads, self.reasons, strict=True), 1):
            if load is None and not everything:
                continue
            cells = [told(self.units, WEIGHED[name][0], getattr(one, name))[0] for name in WEIGHED]
            ends = "" if load is None else " to ".join(
                self.units.read(end, "kgf", 0)[0] for end in (load.low, load.high))
            lines += [_cells(f"{number}.", [cells[0], ends, *cells[1:]]),
                      _filled(f"{one.name}, {self._assist(one)}.", 5),
                      _filled(f"{why[0].upper()}{why[1:]}.{self._may_be_hard(load)}", 5)]
        hidden = self.loads.count(None)
        if hidden and not everything:
            lines += ["", f"{hidden} more, good in everything but best in nothing, are not shown; "
                      "--all shows them."]
        lines += ["", *self._fallen(everything), "Cautions:"]
        lines += [wrapped(f"! {one}", later="  ") for one in self._cautions()]
        return "\n".join(lines)

    def _cautions(self) -> tuple[str, ...]:
        brings = self.units.words(self.shelf.diver.load_capacity, "kgf")
        return (*((f"This diver brings {brings}. What a set-up says of itself, and its own "
                   "cautions: --write NUMBER FILE, then bandwork predict FILE.",
                   "The load assist is no part of the shelf: each set-up is taken with the "
                   "shortest that brings the wishbone into reach. Have one of that length, or the "
                   "set-up is out of reach.") if self.search.kept else ()), *self.search.cautions)

    def _assist(self, one: Choice) -> str:
        length = one.setup.assist_length
        return f"load assist {self.units.words(length, 'cm')}" if length else "no load assist"

    def _may_be_hard(self, load: Interval | None) -> str:
        hard = load is not None and load.high > self.shelf.diver.load_capacity
        return " May be more than this diver brings." if hard else ""

    def _fallen(self, everything: bool) -> Iterator[str]:
        groups = grouped(self.search.fallen)
        if not groups:
            return
        yield "Why the others fell out:"
        for name, rows in groups.items():
            yield f"  {len(rows):5}  {name}"
            for one in rows if everything else rows[:1]:
                yield _filled(f"{'' if everything else 'such as '}{one.name}. {one.reason}", 9)
        if not everything:
            yield "  --all lists each of them."
        yield ""

    def as_csv(self) -> str:
        """Return the set-ups kept as comma-separated values.

        Returns
        -------
        str
            In the units that people read.
        """
        table = io.StringIO()
        out = csv.writer(table, lineterminator="\n")
        out.writerow(["number", "set_up", *(
            f"{name}_{told(self.units, key, 0.0)[1]}".replace(" ", "_")
            for name, (key, *_) in WEIGHED.items()), "load_low", "load_high", "reason"])
        for number, (one, load, why) in enumerate(
                zip(self.search.kept, self.loads, self.reasons, strict=True), 1):
            out.writerow([number, safe_cell(one.name),
                          *(told(self.units, key, getattr(one, name), 2)[0]
                            for name, (key, *_) in WEIGHED.items()),
                          *(told(self.units, "load", end, 2)[0] for end in
                            ((load.low, load.high) if load else ())), *(() if load else ("", "")),
                          why])
        return table.getvalue()

    def as_json(self) -> str:
        """Return everything as JSON, numbers in SI.

        Returns
        -------
        str
        """
        kept = [{"number": number, "name": one.name, "reason": why,
                 **{name: getattr(one, name) for name in WEIGHED},
                 "load_low": load.low if load else None,
                 "load_high": load.high if load else None,
                 "relaxed_length": one.setup.band.relaxed_length,
                 "assist_length": one.setup.assist_length}
                for number, (one, load, why) in enumerate(
                    zip(self.search.kept, self.loads, self.reasons, strict=True), 1)]
        fallen = [{"name": one.name, "reason": one.reason, "group": group}
                  for group, rows in grouped(self.search.fallen).items() for one in rows]
        return json.dumps({"shelf": str(self.shelf.path), "kept": kept, "fallen": fallen,
                           "cautions": list(self._cautions())},
                          indent=2, ensure_ascii=False) + "\n"

    def svg(self) -> str:
        """Return a picture of load against practical range, the kept and the beaten ones.

        Returns
        -------
        str
            SVG.

        Raises
        ------
        InputError
            If no set-up is left to draw.
        """
        from bandwork.workshop import plots

        if not self.search.kept:
            raise InputError("No set-up is left, so there is nothing to draw; the printed reasons "
                             "say what to add to the shelf.")
        x = [self._axis("load", one.load) for one in self.search.kept]
        y = [self._axis("practical_range", one.practical_range) for one in self.search.kept]
        units = [told(self.units, name, 0.0)[1] for name in ("load", "practical_range")]
        said = (f"Diamonds for {len(x)} set-ups that nothing on the shelf beats, circles for "
                f"{len(self.search.beaten)} that are beaten. The kept ones load with {min(x):.1f} "
                f"to {max(x):.1f} {units[0]} and reach {min(y):.2f} to {max(y):.2f} {units[1]}. "
                "A dashed upright line marks what this diver brings, a dotted level line the "
                "fish. " + "; ".join(
                    f"{number}: {load:.1f} {units[0]}, {far:.2f} {units[1]}"
                    for number, (load, far) in enumerate(zip(x, y, strict=True), 1)) + ".")
        return plots.svg(lambda: self._figure(x, y, units),
                         f"Load and practical range of what {self.shelf.path.name} can tie", said)

    def _axis(self, name: str, value: float) -> float:
        return float(told(self.units, name, value, 2)[0])

    def _figure(self, x: list[float], y: list[float], units: list[str]) -> "Figure":
        from matplotlib.pyplot import subplots

        from bandwork.workshop import plots

        figure, axes = subplots(figsize=(5.2, 4.6))
        beaten = self.search.beaten
        axes.plot([self._axis("load", one.load) for one in beaten],
                  [self._axis("practical_range", one.practical_range) for one in beaten], "o",
                  ms=4, mfc="none", mec=plots.GREY, mew=0.8, ls="none")
        axes.plot(x, y, "D", color=plots.WARM, ms=6, ls="none")
        limit = self._axis("load", self.shelf.diver.load_capacity)
        fish = self._axis("practical_range", self.shelf.quarry.distance)
        axes.axvline(limit, color=plots.INK, ls="--", lw=1.4)
        axes.axhline(fish, color=plots.TEAL, ls=":", lw=1.8)
        axes.margins(0.09)
        wide, high = (np.ptp(axes.get_xlim()), np.ptp(axes.get_ylim()))
        labelled: list[tuple[float, float]] = []
        for number, place in enumerate(zip(x, y, strict=True), 1):
            if all(abs(place[0] - other[0]) > 0.05 * wide or abs(place[1] - other[1]) > 0.05 * high
                   for other in labelled):
                labelled.append(place)
                axes.annotate(str(number), place, (0, 6), textcoords="offset points", ha="center",
                              color=plots.WARM, fontsize=11)
        axes.text(limit - 0.01 * wide, float(np.mean(axes.get_ylim())), "this diver's limit",
                  ha="right", va="center", rotation=90, fontsize=11)
        axes.text(axes.get_xlim()[0], fish, " the fish", va="bottom", color=plots.TEAL,
                  fontsize=11)
        axes.set(xlabel=f"load at the notch ({units[0]})",
                 ylabel=f"practical range ({units[1]})")
        axes.set_title("diamonds: nothing beats them; circles: beaten", fontsize=12)
        return figure

    def gun_text(self, number: int, path: Path) -> str:
        """Return the whole set-up file of one that is kept.

        Parameters
        ----------
        number : int
            Of the set-up [1], as in the table.
        path : Path
            Where it will lie: its rubber must lie in the same folder or below.

        Returns
        -------
        str
            TOML.

        Raises
        ------
        InputError
            If there is no such set-up, or its rubber's file lies elsewhere.
        """
        if not 1 <= number <= len(self.search.kept):
            raise InputError(f"There is no set-up {number}; the search kept {_numbers(self)}.")
        chosen = self.search.kept[number - 1]
        place, rubber = _tube_of(self.shelf, chosen)
        written = self.shelf.given.get(f"tubes.{place + 1}.rubber", "") if rubber else ""
        if written:
            written = _beside(self.shelf.path.parent / written, path.parent)
        text = gun_text(f"Set-up {number} of {self.shelf.path.stem}"[:LONGEST_TEXT], "",
                        chosen.setup, self.shelf.quarry, self.shelf.assumptions, None, written,
                        bool(rubber and rubber.temperature is not None))
        first, _, rest = text.partition("\n")
        return (f"{first}\n# Set-up {number} of {self.shelf.path.name}, by bandwork search: "
                f"{self.reasons[number - 1]}.\n# {chosen.name}.\n{rest}")


def search_shelf(shelf: Shelf, units: Units | None = None,
                 progress: Callable[[int, int], object] | None = None) -> Found:
    """Search a shelf.

    Parameters
    ----------
    shelf : Shelf
        As read.
    units : Units, optional
        In which people read it; metric unless given.
    progress : callable, optional
        As in `choice.search`.

    Returns
    -------
    Found

    Raises
    ------
    InputError
        If the shelf makes more than `MOST` set-ups, or as `choice.search`.
    """
    count = (len(shelf.barrels) * len(shelf.tubes) * max(shelf.cuts, 1) * len(shelf.shafts)
             * len(shelf.lines))
    if count > MOST:
        raise InputError(f"{shelf.path.name} makes {count} set-ups; accepted are up to {MOST}. "
                         "Leave out parts that you would not take, or try fewer cuts.")
    found = search(shelf.diver, shelf.barrels, shelf.tubes, shelf.shafts, shelf.lines, shelf.water,
                   shelf.quarry, shelf.assumptions, shelf.cuts, progress)
    reasons = tuple(_reasons(found))
    loads: list[Interval | None] = []
    for one, why in zip(found.kept, reasons, strict=True):
        if len(reasons) > _MOST_SHOWN and why == _ALL_AT_ONCE:
            loads.append(None)
            continue
        _, rubber = _tube_of(shelf, one)
        doubt = {"tube_stiffness": rubber.stiffness, "ageing_loss": Interval(0.0, 0.0, 0.0)} \
            if rubber else {}
        loads.append(monte_carlo(one.setup, doubt, names=["load"], draws=DRAWS, level=LEVEL,
                                 assumptions=shelf.assumptions).intervals["load"])
    return Found(shelf, found, tuple(loads), reasons, units or Units())


def grouped(fallen: tuple[Fallen, ...]) -> dict[str, list[Fallen]]:
    """Return the set-ups that fell out, by kind of reason, the commonest first.

    Parameters
    ----------
    fallen : tuple of Fallen
        From a search.

    Returns
    -------
    dict of str to list of Fallen
    """
    groups: dict[str, list[Fallen]] = {}
    for one in fallen:
        name = next((group for start, group in _GROUPS if one.reason.startswith(start)), _CANNOT)
        groups.setdefault(name, []).append(one)
    return dict(sorted(groups.items(), key=lambda group: -len(group[1])))


def _reasons(found: Search) -> Iterator[str]:
    """Yield why each set-up is kept: in what it is best, of all or of those as easy to load."""
    if not found.kept:
        return
    costs = {name: np.array([sign * getattr(one, name) for one in found.kept])
             for name, (_, sign, _, _) in WEIGHED.items()}
    for row in range(len(found.kept)):
        first = [best for name, (_, _, _, best) in WEIGHED.items()
                 if costs[name][row] <= costs[name].min()]
        as_easy = costs["load"] <= costs["load"][row]
        then = [best for name, (_, _, _, best) in WEIGHED.items()
                if name != "load" and best not in first and as_easy.sum() > 1
                and costs[name][row] <= costs[name][as_easy].min()]
        told_of = [", ".join(first)] if first else []
        told_of += [f"of those as easy to load: {', '.join(then)}"] if then else []
        yield "; ".join(told_of) or _ALL_AT_ONCE


def _tube_of(shelf: Shelf, chosen: Choice) -> tuple[int, Rubber | None]:
    """Return which tube of the shelf a set-up is cut from, and its rubber."""
    band = chosen.setup.band
    for place, tube in enumerate(shelf.tubes):
        if replace(tube, relaxed_length=band.relaxed_length) == band:
            return place, shelf.rubbers[place]
    raise InputError(f"{chosen.name} is cut from no tube of {shelf.path.name}.")


def _beside(file: Path, folder: Path) -> str:
    """Return the path of a file from a folder, if it lies there or below."""
    home, place = folder.resolve(), file.resolve()
    if not place.is_relative_to(home):
        raise InputError(f"The set-up's rubber is in {file.parent}; write the set-up into that "
                         "folder or one above it, as a set-up finds its rubber only there.")
    return place.relative_to(home).as_posix()


def _numbers(found: Found) -> str:
    count = len(found.search.kept)
    return "none" if not count else "number 1 alone" if count == 1 else f"1 to {count}"


def _cells(head: str, cells: list[str]) -> str:
    widths = (6, 14, 7, 7, 8, 8, 7)
    return f"{head:<5}" + "".join(f"{cell:>{width}}" for cell, width in
                                  zip(cells, widths, strict=True))


def _filled(text: str, indent: int) -> str:
    return wrapped(text, " " * indent, " " * indent)
