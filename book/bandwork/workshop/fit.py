"""`bandwork fit FILE`: from readings to a rubber, a speed, a trim or a drop, with their doubt."""

import argparse
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np

from bandwork.interval import Interval
from bandwork.rubber import handbook_rubber, scaled
from bandwork.units import metre_from_inch, newton_from_kgf, newton_from_lbf
from bandwork.validation import InputError, shown
from bandwork.workshop import plots, trials
from bandwork.workshop.files import GunFile, Rubber, read_gun, rubber_text
from bandwork.workshop.found import Found
from bandwork.workshop.measured import Measured, key_of, named, read_measured
from bandwork.workshop.pulls import PullFit, by_date, fit_pull, season
from bandwork.workshop.quantities import Units
from bandwork.workshop.tables import DECIMALS, read_table
from bandwork.writing import write_new

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Fitted:
    """What `bandwork fit` found in its files.

    Attributes
    ----------
    all : tuple of Found
        One for each kind of test, and the season last.
    pulled : PullFit or None
        The newest pull test.
    measured : Measured or None
        Its readings.
    """

    all: tuple[Found, ...]
    pulled: PullFit | None
    measured: Measured | None


def fit(path: Path, *, against: Sequence[Path] = (), pull: Path | None = None,
        gun: Path | None = None, law: str = "auto", name: str = "", band: str | None = None,
        kind: str | None = None, columns: str | None = None, given: Sequence[str] = (),
        sheet: str | None = None, encoding: str | None = None, decimal: str | None = None,
        without: Sequence[int] = ()) -> Fitted:
    """Return what the readings of a file say.

    Parameters
    ----------
    path : Path
        CSV or xlsx.
    against : sequence of Path
        Earlier pull tests of the same band.
    pull : Path, optional
        A pull test of the tube with which the speeds of `path` were shot.
    gun : Path, optional
        The set-up that was shot or hung: speeds, reach, sinking and drops need it.
    law : str
        As in `pulls.fit_pull`.
    name : str
        What to call the tube.
    band : str, optional
        Which band's lines to take, where a table has a column of bands.
    kind, columns, given : optional
        As in `measured.read_measured`; `given` holds for all files, but for a date.
    sheet, encoding : str, optional
        As in `tables.read_table`.
    decimal : {"comma", "point"}, optional
        The decimal mark.
    without : sequence of int
        Lines of `path` that are left out.

    Returns
    -------
    Fitted

    Raises
    ------
    InputError
        In one sentence.
    """
    if decimal is not None and decimal not in DECIMALS:
        raise InputError(f"--decimal is {shown(decimal)}; accepted are {' and '.join(DECIMALS)}.")
    mark = DECIMALS[decimal] if decimal else None
    table = read_table(path, sheet=sheet, encoding=encoding)
    tests = read_measured(table, kind=kind, columns=columns, given=given, decimal=mark,
                          without=without)
    shared = [one for one in given if key_of(one) != "date"]

    def pull_test(file: Path) -> Measured:
        found = [one for one in read_measured(read_table(file), given=shared, decimal=mark)
                 if one.kind == "pull"]
        if not found:
            raise InputError(f"{file.name} holds no pull test; give one with marks and pull.")
        return _of_band(found[0], band)

    set_up = read_gun(gun) if gun else None
    tube = _pulled(by_date(pull_test(pull))[-1], law, name) if pull else None
    made: list[Found] = []
    newest: PullFit | None = None
    source: Measured | None = None
    for measured in tests:
        if measured.kind == "pull":
            dated = by_date(_of_band(measured, band))
            dated += [one for file in against for one in by_date(pull_test(file))]
            fits = [_pulled(one, law, name) for one in dated]
            newest, source = fits[len(by_date(measured)) - 1], dated[len(by_date(measured)) - 1]
            made.append(newest.found)
            if len(fits) > 1:
                made.append(season(list(zip(dated, fits, strict=True))))
        else:
            made.append(_trial(measured, set_up, tube))
    if against and newest is None:
        raise InputError(f"--against compares pull tests, and {path.name} holds none; leave it "
                         "out.")
    return Fitted(tuple(made), newest, source)


def _pulled(measured: Measured, law: str, name: str) -> PullFit:
    try:
        return fit_pull(measured, law, name)
    except InputError as problem:
        raise named(measured.path, problem) from None


def _trial(measured: Measured, gun: GunFile | None, tube: PullFit | None) -> Found:
    try:
        if measured.kind == "float":
            return trials.fit_float(measured)
        if measured.kind == "speed":
            return trials.fit_speed(measured, gun, tube)
        return {"reach": trials.fit_reach, "sinking": trials.fit_sinking,
                "drop": trials.fit_drop}[measured.kind](measured, gun)
    except InputError as problem:
        raise named(measured.path, problem) from None


def _of_band(measured: Measured, band: str | None) -> Measured:
    """Return the lines of one band, where a column names it."""
    known = {row.texts["band"]: None for row in measured.rows if row.texts.get("band")}
    if not known:
        return measured
    if len(known) > 1 and band is None:
        raise InputError(f"{measured.path.name} holds the bands {', '.join(known)}; say which with "
                         "--band.")
    wanted = next(iter(known)) if band is None else band
    rows = tuple(row for row in measured.rows if row.texts.get("band") == wanted)
    if not rows:
        raise InputError(f"{measured.path.name} holds no band {wanted!r}; it has "
                         f"{', '.join(known)}.")
    return replace(measured, rows=rows, texts={**measured.texts, "band": wanted})


def rubber_of(fitted: Fitted) -> Rubber:
    """Return the rubber that set-ups can refer to.

    Parameters
    ----------
    fitted : Fitted

    Returns
    -------
    Rubber

    Raises
    ------
    InputError
        If there was no pull test.
    """
    found, measured = fitted.pulled, fitted.measured
    if found is None or measured is None:
        raise InputError("A rubber is written from a pull test, and this file holds none; leave "
                         "out --write.")
    law = found.law.rubber if found.law else scaled(handbook_rubber(), found.factor.best)
    return Rubber(found.name, law, found.stiffness, measured.shared.get("temperature"),
                  float(found.stretch.max()), measured.texts.get("date", ""), measured.path.name,
                  None if found.law else found.factor, found.tube.outer, found.tube.bore)


def run(options: argparse.Namespace) -> None:
    """Do the work of `bandwork fit`: read, reduce, write what is asked for, print.

    Parameters
    ----------
    options : argparse.Namespace
        As `commands` parses them.

    Raises
    ------
    InputError
        In one sentence; then nothing was written.
    """
    source = Path(options.file)
    units = Units(options.units)
    fitted = fit(source, against=[Path(one) for one in options.against],
                 pull=Path(options.pull) if options.pull else None,
                 gun=Path(options.gun) if options.gun else None, law=options.law,
                 name=options.name or "", band=options.band, kind=options.kind,
                 columns=options.columns, given=options.given, sheet=options.sheet,
                 encoding=options.encoding, decimal=options.decimal,
                 without=_numbers(options.without))
    wanted: list[tuple[Path, Callable[[], str]]] = []
    if options.write:
        rubber = rubber_of(fitted)
        wanted.append((Path(options.write), lambda: rubber_text(rubber)))
        if not options.write.endswith(".toml"):
            raise InputError(f"{options.write} does not end with .toml; give a name such as "
                             "roll-7.rubber.toml.")
    if options.plot:
        wanted.append((Path(options.plot), lambda: plot(fitted, units)))
        if not options.plot.endswith(".svg"):
            raise InputError(f"{options.plot} does not end with .svg; give a name such as "
                             "roll-7.svg.")
    read = {Path(one).resolve() for one in (source, *options.against, options.pull, options.gun)
            if one}
    for path, _ in wanted:
        if path.resolve() in read:
            raise InputError(f"{path} is one of the files that are read; give another name.")
        if path.exists() and not options.force:
            raise InputError(f"{path} is there already and stays as it is; give another name, or "
                             "--force to replace it.")
    for path, content in [(path, content()) for path, content in wanted]:
        write_new(path, content, options.force)
    if options.json:
        print(json.dumps({"file": source.name, "found": [one.data() for one in fitted.all]},
                         ensure_ascii=False, indent=2, allow_nan=False))
        return
    print("\n\n".join(one.text(units) for one in fitted.all))
    for path, _ in wanted:
        print(f"Written: {path}")
    if options.write:
        print(f'In a set-up\'s section [band]: rubber = "{Path(options.write).name}"')


def _numbers(given: Sequence[str]) -> list[int]:
    found = []
    for part in (one for text in given for one in text.split(",")):
        if not part.strip().isdecimal() or len(part) > 6:
            raise InputError(f"--without is {shown(part)}; give a line's number, or several with "
                             "commas.")
        found.append(int(part))
    return found


# --- Pictures -------------------------------------------------------------------------------------

def plot(fitted: Fitted, units: Units) -> str:
    """Return a drawing of what was found last: the season if there is one.

    Parameters
    ----------
    fitted : Fitted
    units : Units
        In which people read it.

    Returns
    -------
    str
        SVG.
    """
    found = fitted.all[-1]
    told = "; ".join(f"{one.label.strip()} {one.told(units)}" for one in found.lines)
    pulled = fitted.pulled
    if found.kind == "pull" and pulled is not None:
        return plots.svg(lambda: _draw_pull(pulled, units), found.title, told)
    if found.kind == "season":
        return plots.svg(lambda: _draw_season(found), found.title, told)
    if found.kind == "drop":
        return plots.svg(lambda: _draw_drops(found, units), found.title, told)
    if found.kind == "float":
        return plots.svg(lambda: _draw_trim(found, units), found.title, told)
    return plots.svg(lambda: _draw_repeats(found, units), found.title, told)


def _draw_pull(fit: PullFit, units: Units) -> "Figure":
    import matplotlib.pyplot as plt

    size, unit = ((newton_from_kgf(1), "kgf") if units.system == "metric"
                  else (newton_from_lbf(1), "lbf"))
    figure, axes = plt.subplots(figsize=(7, 4.8))
    series = fit.found.series
    area = np.pi / 4 * (fit.tube.outer**2 - fit.tube.bore**2)
    longest = max(series["stretch"])
    along = np.linspace(1, longest, 200)
    test = handbook_rubber().engineering_stress(along) * area / size
    own = (fit.law.rubber.engineering_stress(along) * area / size if fit.law
           else fit.factor.best * test)
    axes.fill_between(along, fit.stiffness.low * own, fit.stiffness.high * own, color=plots.SEA,
                      lw=0)
    axes.plot(along, own, color=plots.INK, ls="-")
    axes.plot(along, test, color=plots.WARM, ls="--")
    axes.plot(series["stretch"], np.array(series["pull"]) / size, "o", color=plots.INK)
    back = np.array(series["let_back"]) / size
    axes.plot(series["let_back_stretch"], back, "s", mfc=plots.PAPER, color=plots.TEAL,
              zorder=1.9)
    top = max(max(series["pull"]) / size, float(own[-1]))
    called = (f"{fit.law.rubber.name} law of its own" if fit.law
              else f"test rubber times {fit.factor.best:.2f}")
    low, high = fit.stiffness.low * 100 - 100, fit.stiffness.high * 100 - 100
    _legend(axes, [(plots.INK, "o", "none", "pulled out")]
            + ([(plots.TEAL, "s", "none", "let back")] if len(back) else [])
            + [(plots.INK, "", "-", f"{called} ({low:+.0f} to {high:+.0f} %)"),
               (plots.WARM, "", "--", "test rubber")])
    for line in fit.outliers:
        at = fit.lines.index(line)
        above = fit.outliers[line] > 0
        axes.annotate(f"line {line}", (fit.stretch[at], fit.pull[at] / size),
                      (-9, 9) if above else (9, -9), textcoords="offset points",
                      ha="right" if above else "left", va="bottom" if above else "top",
                      color=plots.WARM)
    axes.set(xlabel="stretch ratio", ylabel=f"pull of one tube ({unit})", title=fit.name[:60],
             xlim=(0.95, longest * 1.03), ylim=(0, top * 1.12))
    return figure


def _legend(axes: "Axes", entries: Sequence[tuple[str, str, str, str]],
            where: Literal["upper left", "lower left"] = "upper left") -> None:
    from matplotlib.lines import Line2D

    axes.legend(handles=[Line2D([], [], color=colour, marker=mark, ls=dash, label=label,
                                mfc=plots.PAPER if mark == "s" else colour)
                         for colour, mark, dash, label in entries], loc=where)


def _draw_season(found: Found) -> "Figure":
    import matplotlib.pyplot as plt

    figure, axes = plt.subplots(figsize=(7, 4))
    days, loss, low, high = (np.array(found.series[name])
                             for name in ("days", "loss", "low", "high"))
    axes.errorbar(days, 100 * loss, 100 * np.array([loss - low, high - loss]), fmt="o-",
                  color=plots.INK, capsize=5, lw=1.8)
    axes.axhline(10, color=plots.WARM, ls="--", lw=1.8)
    axes.text(0, 10.3, "a tenth is gone: make new bands", color=plots.WARM, va="bottom")
    top = max(13.0, 110 * float(high.max()))
    axes.set(xlabel="days since the first pull test", ylabel="pull lost (%)",
             title=found.title[:70], ylim=(min(-2.0, 110 * float(low.min())), top))
    return figure


def _draw_trim(found: Found, units: Units) -> "Figure":
    """Return net force and moment as points with their intervals, and where they turn."""
    import matplotlib.pyplot as plt

    figure, pair = plt.subplots(2, 1, figsize=(7, 4))
    for axes, kind, what, ends in zip(pair, ("N", "N m"), ("net force", "moment"),
                                      (("sinks", "floats"), ("muzzle sinks", "muzzle rises")),
                                      strict=True):
        unit, factor, _ = units.of(kind)
        values = [(factor * one.value.low, factor * one.value.best, factor * one.value.high)
                  for one in found.lines if one.unit == kind]
        for at, (low, best, high) in enumerate(values):
            axes.errorbar([best], [-at], xerr=[[best - low], [high - best]],
                          fmt="o", color=plots.INK, capsize=6, lw=1.8)
        axes.axvline(0, color=plots.WARM, ls="--", lw=1.6)
        wide = 1.25 * float(np.abs(values).max())
        axes.set(xlim=(-wide, wide), ylim=(-1.6, 0.9), yticks=[0, -1],
                 yticklabels=["in the tub", "in the sea"],
                 xlabel=f"{ends[0]}  <  {what} ({unit})  >  {ends[1]}")
    pair[0].set_title(found.title[:70])
    return figure


def _draw_drops(found: Found, units: Units) -> "Figure":
    """Return every shot at a board, their means with two standard errors, and the computed."""
    import matplotlib.pyplot as plt

    figure, axes = plt.subplots(figsize=(7, 4.4))
    far, (size, unit) = _lengths(units)
    ranges = np.array(found.series["range"]) / far
    axes.plot(ranges, np.array(found.series["drop"]) / size, "s", mfc=plots.PAPER,
              color=plots.INK)
    numbers = {one.key: one.value for one in found.lines}
    aside = 0.03 * max(float(np.ptp(ranges)), 1.0)
    for key, value in numbers.items():
        kind, _, at = key.partition("_")
        if kind == "drop":
            axes.errorbar([float(at) / far + aside], [value.best / size],
                          yerr=[[(value.best - value.low) / size],
                                [(value.high - value.best) / size]],
                          fmt="D", color=plots.TEAL, capsize=6, lw=1.8)
        elif kind == "computed":
            axes.plot([float(at) / far - aside], [value.best / size], "^", color=plots.WARM)
    _legend(axes, [(plots.INK, "s", "none", "shots"), (plots.TEAL, "D", "none", "their mean"),
                   (plots.WARM, "^", "none", "computed for this gun")], "lower left")
    axes.invert_yaxis()
    axes.set(xlabel=f"muzzle to board ({'m' if units.system == 'metric' else 'ft'})",
             ylabel=f"drop ({unit})", title=found.title[:70])
    return figure


def _lengths(units: Units) -> tuple[float, tuple[float, str]]:
    """Return a metre or foot [m], and a centimetre or inch [m] with its name."""
    return ((1.0, (0.01, "cm")) if units.system == "metric"
            else (12 * metre_from_inch(1), (metre_from_inch(1), "in")))


def _draw_repeats(found: Found, units: Units) -> "Figure":
    """Return what was measured again and again, in its order, and its mean with its interval."""
    import matplotlib.pyplot as plt

    first = found.lines[0]
    again = np.array(found.series[_REPEATS[found.kind]])
    value = _in(first.value, first.unit, units)
    unit = units.read(0.0, first.unit)[1]
    figure, axes = plt.subplots(figsize=(7, 3.8))
    shots = [float(units.read(one, first.unit, 6)[0]) for one in again]
    axes.axhspan(value.low, value.high, color=plots.SEA, lw=0)
    axes.axhline(value.best, color=plots.INK, lw=1.8)
    axes.plot(range(1, len(shots) + 1), shots, "o", color=plots.INK)
    axes.set(xlabel="reading", ylabel=f"{first.label.partition(',')[0]} ({unit})",
             title=f"{first.label}: {first.told(units)}", xticks=range(1, len(shots) + 1)
             if len(shots) < 13 else [1, len(shots)], xlim=(0.5, len(shots) + 0.5))
    return figure


_REPEATS = {"speed": "muzzle", "reach": "walked", "sinking": "times"}


def _in(value: Interval, unit: str, units: Units) -> Interval:
    """Return an interval in the unit in which people read it."""
    return value.map(lambda one: float(units.read(100 * one if unit == "%" else one, unit, 6)[0]))
