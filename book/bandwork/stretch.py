"""Unit `stretch`: how hard a band pulls, how much energy it holds, and who can load it.

The laws of rubber come from `bandwork.rubber`, the parts from `bandwork.components`; both are
named here too, so that a page or an exercise needs this one module.
"""

from dataclasses import dataclass, field, replace
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import ArrayLike

from bandwork.components import RELAXED_LENGTHS, Band, Barrel, Diver
from bandwork.handbook import lookup, treloar_tension
from bandwork.interval import Interval, combine
from bandwork.rubber import (
    ArrudaBoyce,
    Gent,
    GentGent,
    MooneyRivlin,
    NeoHookean,
    RubberFit,
    RubberLaw,
    Yeoh,
    fit_rubber,
    handbook_rubber,
    scaled,
)
from bandwork.units import inch_from_metre, kgf_from_newton, lbf_from_newton
from bandwork.validation import (
    InputError,
    numbers,
    of_kind,
    plain,
    shown,
    single,
    together,
    within,
)

__all__ = [
    "ArrudaBoyce",
    "Band",
    "Barrel",
    "Conditions",
    "Diver",
    "Gent",
    "GentGent",
    "LoadInterval",
    "Loading",
    "MooneyRivlin",
    "NeoHookean",
    "RubberFit",
    "RubberLaw",
    "Yeoh",
    "cut_length_for_load",
    "fit_rubber",
    "handbook_rubber",
    "load_interval",
    "loaded_stretch",
    "loading",
    "notch_load",
    "relaxation_factor",
    "resting_distance",
    "returned_energy",
    "scaled",
    "stored_energy",
    "temperature_factor",
    "treloar_tension",
    "warmed",
]

Direction = Literal["loading", "driving", "released"]


def notch_load(band: Band, barrel: Barrel, short_of_notch: ArrayLike = 0.0,
               direction: Direction = "loading") -> Any:
    """Return the pull of the band at the wishbone, with friction at the roller.

    The leg's rubber shares itself out between the two runs so that the upper pulls R times as
    hard as the lower (capstan, R = e^(friction x wrap)) while it is being loaded, and 1/R times
    while it drives the shaft. With upper run u, lower run l and relaxed length L:
    u/s_u + l/s_l = L and P(s_u) = R P(s_l). Without friction, and on a conventional gun, this is
    `band.force(u + l)`.

    A band that is let go from the notch begins as it was loaded, its lower run the looser one. The
    roller holds the rubber at first, so that only the upper run gives way, until it pulls 1/R
    times as hard as the lower one; from there on it drives: "released" is the greater of the two.
    With a friction of 0.05 on a 120 that gives back 339 J instead of the 330 J of "driving" all the
    way, with 0.15 it is 334 J instead of 275 J.

    Parameters
    ----------
    band, barrel : Band, Barrel
        Their numbers broadcast against each other.
    short_of_notch : array_like
        How far ahead of the loaded notch the wishbone is [m], 0 to the upper run.
    direction : "loading", "driving" or "released"
        Which way the rubber moves over the roller, or that it was loaded and let go.

    Returns
    -------
    float or ndarray
        Force of all legs [N]. Where the friction differs from 0, solved to rounding.

    Raises
    ------
    InputError
        If the wishbone is not between notch and muzzle, if the band is slack there, or stretched
        past what its rubber law covers.

    Notes
    -----
    The capstan formula is for a rope on a fixed drum (Baker and Haynes, *Engineering Statics*,
    ch. 9); for a turning roller the friction is an effective one and has no published source.

    Examples
    --------
    >>> band = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
    >>> round(notch_load(band, Barrel(length=1.20)))
    461
    """
    of_kind(Band, band=band)
    of_kind(Barrel, barrel=barrel)
    if not isinstance(direction, str) or direction not in get_args(Direction):
        raise InputError(f"direction is {shown(direction)}; accepted are 'loading', 'driving' and "
                         "'released'.")
    ahead = numbers("short_of_notch", short_of_notch)
    together(band, barrel, short_of_notch=ahead)
    upper = np.asarray(barrel.upper_run - ahead)
    if (ahead < 0).any() or (upper < 0).any():
        raise InputError("short_of_notch puts the wishbone behind the notch or past the muzzle; "
                         f"accepted is 0 to {np.min(barrel.upper_run):.3g} m.")
    pull = band.force(upper + barrel.lower_run)
    if np.all(barrel.friction_ratio == 1):
        return pull
    stress = band.rubber.engineering_stress(_upper_stretch(
        band, barrel, upper,
        barrel.friction_ratio if direction == "loading" else 1 / barrel.friction_ratio))
    if direction == "released":
        held = loaded_stretch(band, barrel) * (1 - ahead / barrel.upper_run)
        stress = np.maximum(stress, band.rubber.engineering_stress(np.maximum(held, 1.0)))
    return plain(band.legs * band.cross_section * stress)


def loaded_stretch(band: Band, barrel: Barrel) -> Any:
    """Return the stretch ratio of the upper run when the band sits on the notch.

    With friction at the roller it is more than that of the whole leg: s_u of `notch_load`.

    Parameters
    ----------
    band, barrel : Band, Barrel
        Their numbers broadcast against each other.

    Returns
    -------
    float or ndarray
        Stretch ratio [1].

    Raises
    ------
    InputError
        As `notch_load`.

    Examples
    --------
    >>> band = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
    >>> round(loaded_stretch(band, Barrel(length=1.20)), 2)
    3.96
    """
    of_kind(Band, band=band)
    of_kind(Barrel, barrel=barrel)
    band.force(barrel.loaded_path)
    return plain(_upper_stretch(band, barrel, np.asarray(barrel.upper_run), barrel.friction_ratio))


def _upper_stretch(band: Band, barrel: Barrel, upper: Any, ratio: Any) -> Any:
    """Return the stretch ratio of an upper run that pulls so many times as hard as the lower."""
    if np.all(np.equal(ratio, 1)):
        return band.stretch_ratio(upper + barrel.lower_run)
    from scipy.optimize import elementwise

    upper, lower, relaxed, ratio, end, *values = np.broadcast_arrays(
        upper, barrel.lower_run, band.relaxed_length, ratio, band.rubber.usable_stretch,
        *band.rubber._values().values())

    def mismatch(s: Any, u: Any, low: Any, rest: Any, r: Any, *values: Any) -> Any:
        rubber = band.rubber._with(values)
        return rubber._stress(s) - r * rubber._stress(np.maximum(low / (rest - u / s), 1.0))

    # Between the upper run as loose and as tight as the lower run can leave it.
    loosest = np.maximum(upper / (relaxed - lower / end), 1.0)
    slack = np.maximum(relaxed - lower, upper / end)
    tightest = np.divide(upper, slack, out=end.copy(), where=slack > 0)
    found = elementwise.find_root(mismatch, (loosest, np.maximum(tightest, loosest)),
                                  args=(upper, lower, relaxed, ratio, *values))
    if not np.all(found.success):
        raise InputError("sheave_friction holds the roller so fast that the upper run would "
                         "stretch past what the rubber law covers; check sheave_friction and "
                         "sheave_wrap, or cut the band longer.")
    return found.x


def stored_energy(band: Band, barrel: Barrel) -> Any:
    """Return the energy that loading adds to the band: from the resting path to the loaded one.

    E = volume x [W(loaded) - W(resting)]. On a roller gun the leg is stretched to nearly twice
    its relaxed length even at rest, and that part never reaches the shaft.

    Parameters
    ----------
    band, barrel : Band, Barrel
        Their numbers broadcast against each other.

    Returns
    -------
    float or ndarray
        Energy [J], without friction and without what the rubber keeps.

    Raises
    ------
    InputError
        If the band is slack at rest on a roller, or stretched past what its law covers.

    Examples
    --------
    >>> band = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
    >>> round(stored_energy(band, Barrel(length=1.20)))
    365
    """
    of_kind(Band, band=band)
    of_kind(Barrel, barrel=barrel)
    return band.energy(barrel.resting_path(band.relaxed_length), barrel.loaded_path)


def returned_energy(band: Band, barrel: Barrel) -> Interval:
    """Return what is left of the stored energy after the rubber has kept its share.

    E (1 - h), with h the hysteresis loss: handbook row "rubber.hysteresis_loss", a number from
    memory without a published source.

    Parameters
    ----------
    band, barrel : Band, Barrel
        One set-up, of single numbers.

    Returns
    -------
    Interval
        Energy [J].

    Raises
    ------
    InputError
        As `stored_energy`, or if the set-up holds arrays.
    """
    stored = single("the stored energy", stored_energy(band, barrel), 0, np.inf, "J")
    return lookup("rubber.hysteresis_loss").interval.map(lambda lost: stored * (1 - lost))


def cut_length_for_load(load: ArrayLike, barrel: Barrel, outer_diameter: ArrayLike,
                        bore: ArrayLike, legs: int = 2, rubber: RubberLaw | None = None) -> Any:
    """Return the relaxed length of a leg that pulls with `load` when the gun is loaded.

    The inverse of `notch_load`: the stress in the upper run is load/(legs x cross-section), in
    the lower run that over the friction ratio R; each gives a stretch ratio, and
    L = u/s_u + l/s_l.

    Parameters
    ----------
    load : array_like
        Wanted pull at the notch, all legs together [N], above 0.
    barrel : Barrel
        Where the band runs.
    outer_diameter, bore : array_like
        Of the relaxed tube [m], as in `Band`.
    legs : int
        Legs side by side.
    rubber : RubberLaw, optional
        The handbook's test rubber unless you give your own.

    Returns
    -------
    float or ndarray
        Relaxed length of one leg, anchor to wishbone [m]. Knots and tails come on top.

    Raises
    ------
    InputError
        If the load is not above zero, more than the rubber gives at the stretch where its test
        ended, or asks for a leg outside what `Band` accepts.

    Examples
    --------
    >>> round(cut_length_for_load(461, Barrel(length=1.20), 0.016, 0.003), 2)
    0.65
    """
    of_kind(Barrel, barrel=barrel)
    wanted = numbers("load", load)
    if (wanted <= 0).any():
        raise InputError(f"load is {wanted.min():.4g} N; accepted is more than 0. Give the pull "
                         "at the notch in newtons: 50 kgf is 490.")
    law = handbook_rubber() if rubber is None else rubber
    template = Band(outer_diameter, bore, 1.0, legs, law)
    together(template, barrel, load=wanted)
    tightest = np.minimum(lookup("rubber.test_end").value, law.usable_stretch)
    most = template.legs * template.cross_section * law.engineering_stress(tightest)
    if np.any(wanted > most):
        raise InputError(f"load is {wanted.max():.6g} N; for this tube and {template.legs} legs "
                         f"accepted is up to {np.min(most):.6g} N, a stretch of "
                         f"{np.min(tightest):.3g}: beyond it the rubber has not been tested or its "
                         "law ends. Take a thicker tube, or more legs.")
    stress = wanted / (template.legs * template.cross_section)
    length = (barrel.upper_run / law.stretch_ratio(stress)
              + barrel.lower_run / law.stretch_ratio(stress / barrel.friction_ratio))
    return within("the relaxed length that this load asks for", length, *RELAXED_LENGTHS, "m",
                  "Ask for more load to cut it shorter, for less to cut it longer.")


def temperature_factor(temperature: float, test_temperature: float = 20.0) -> Interval:
    """Return how hard the rubber pulls at one temperature compared with another.

    1 + e (T/T0 - 1) with absolute temperatures; e is the share of the pull that follows
    temperature (handbook row "rubber.temperature_share", from Wood's equation for natural
    rubber). e = 1 is the ideal rubber and the most that cold can do.

    Parameters
    ----------
    temperature : float
        Of the rubber in the water [degrees Celsius], -2 to 45.
    test_temperature : float
        At which the rubber was measured [degrees Celsius], -2 to 45.

    Returns
    -------
    Interval
        Stress ratio [1].

    Raises
    ------
    InputError
        If a temperature lies outside its range.

    Examples
    --------
    >>> round(temperature_factor(10, 30).best, 3)
    0.96
    """
    now = single("temperature", temperature, -2, 45, "degrees Celsius")
    then = single("test_temperature", test_temperature, -2, 45, "degrees Celsius")
    share = lookup("rubber.temperature_share").interval
    return share.map(lambda part: float(_warmth(now, then, part)))


def _warmth(temperature: Any, test_temperature: Any, share: Any) -> Any:
    ratio = np.add(temperature, 273.15) / np.add(test_temperature, 273.15)
    return 1 + np.multiply(share, ratio - 1)


def warmed(rubber: RubberLaw, temperature: ArrayLike, test_temperature: ArrayLike = 20.0,
           share: ArrayLike | None = None) -> RubberLaw:
    """Return the law of the same rubber at another temperature, by `temperature_factor`.

    Parameters
    ----------
    rubber : RubberLaw
        As it was measured.
    temperature : array_like
        Of the rubber now [degrees Celsius], -2 to 45.
    test_temperature : array_like
        At which it was measured [degrees Celsius], -2 to 45.
    share : array_like, optional
        Of the pull that follows temperature [1], 0 to 1; handbook row
        "rubber.temperature_share" unless you give your own.

    Returns
    -------
    RubberLaw
        Of the same kind.

    Raises
    ------
    InputError
        If a value lies outside its range.

    Examples
    --------
    >>> cold = warmed(handbook_rubber(), 10, test_temperature=30)
    >>> round(cold.engineering_stress(3.7) / handbook_rubber().engineering_stress(3.7), 3)
    0.96
    """
    of_kind(RubberLaw, rubber=rubber)
    now, then = (within(name, value, -2, 45, "degrees Celsius") for name, value in (
        ("temperature", temperature), ("test_temperature", test_temperature)))
    part = within("share", lookup("rubber.temperature_share").value if share is None else share,
                  0, 1, "", "1 is the ideal rubber.")
    together(rubber, temperature=now, test_temperature=then, share=part)
    return rubber if np.all(np.equal(now, then)) else scaled(rubber, _warmth(now, then, part))


def relaxation_factor(seconds_loaded: float, seconds_at_reading: float = 10.0) -> Interval:
    """Return what is left of the pull after a band has stayed loaded.

    1 - r log10(t/t0): the same part r is lost for each tenfold time (handbook row
    "rubber.relaxation_per_decade", from memory, no published source).

    Parameters
    ----------
    seconds_loaded : float
        Time since loading [s], `seconds_at_reading` to 1e6.
    seconds_at_reading : float
        Time after which the pull was read that the result is compared with [s], 1 to 3600.

    Returns
    -------
    Interval
        Force ratio [1].

    Raises
    ------
    InputError
        If a time lies outside its range.

    Examples
    --------
    >>> round(relaxation_factor(1000).best, 2)
    0.94
    """
    start = single("seconds_at_reading", seconds_at_reading, 1, 3600, "s")
    waited = single("seconds_loaded", seconds_loaded, start, 1e6, "s")
    decades = float(np.log10(waited / start))
    rate = lookup("rubber.relaxation_per_decade").interval
    return rate.map(lambda lost: 1 - lost * decades)


def _row(key: str) -> Any:
    return field(default_factory=lambda: lookup(key).interval)


@dataclass(frozen=True)
class Conditions:
    """What a rigger meets besides the cut length. Every range can be replaced by a measured one.

    Parameters
    ----------
    temperature : float
        Of the water [degrees Celsius], -2 to 45.
    test_temperature : float
        At which the rubber was measured [degrees Celsius], -2 to 45; 20 for the test rubber.
    tube_stiffness : Interval
        Pull of your tube over the pull of the rubber law used [1], 0.2 to 5. Once your own tube
        has been measured, a few per cent.
    batch_length_spread : Interval
        Change of relaxed length that makes up for another batch [m], -0.1 to 0.1.
    ageing_loss : Interval
        Part of the pull lost with age [1], 0 for a new band, at most 0.5.
    sheave_friction : Interval, optional
        Effective friction of the roller [1], in place of the barrel's. Without it: the barrel's
        own value, and the handbook's range around it.

    Raises
    ------
    InputError
        If a value lies outside its range, or is no `Interval` where one is needed.
    """

    temperature: float = 20.0
    test_temperature: float = 20.0
    tube_stiffness: Interval = _row("rubber.tube_stiffness")
    batch_length_spread: Interval = _row("rubber.batch_length_spread")
    ageing_loss: Interval = _row("rubber.ageing_loss")
    sheave_friction: Interval | None = None

    def __post_init__(self) -> None:
        for name in ("temperature", "test_temperature"):
            object.__setattr__(self, name, single(name, getattr(self, name), -2, 45,
                                                  "degrees Celsius"))
        for name, low, high, unit in (("tube_stiffness", 0.2, 5, ""),
                                      ("batch_length_spread", -0.1, 0.1, "m"),
                                      ("ageing_loss", 0, 0.5, ""),
                                      ("sheave_friction", 0, 1, "")):
            given = getattr(self, name)
            if given is None and name == "sheave_friction":
                continue
            of_kind(Interval, **{name: given})
            within(name, [given.low, given.best, given.high], low, high, unit)

    def friction_of(self, barrel: Barrel) -> Interval:
        """Return the roller's friction with its doubt.

        Parameters
        ----------
        barrel : Barrel
            Its own friction is the best value if these conditions name none.

        Returns
        -------
        Interval
            Effective friction [1].

        Raises
        ------
        InputError
            If the barrel holds an array of frictions.
        """
        if self.sheave_friction is not None:
            return self.sheave_friction
        own = single("sheave_friction", barrel.sheave_friction, 0, 1, "")
        usual = lookup("sheave.friction")
        return Interval(min(usual.low, own), own, max(usual.high, own))


@dataclass(frozen=True)
class LoadInterval:
    """The load at the notch with its doubt.

    Attributes
    ----------
    load : Interval
        All effects together, as root-sum-square [N].
    effects : dict of str to (float, float)
        The load with one input alone at the low and at the high end of its range [N]; the widest
        is what to measure first.
    """

    load: Interval
    effects: dict[str, tuple[float, float]]

    @property
    def widest(self) -> str:
        """The input that moves the load most: measure it first."""
        return max(self.effects, key=lambda name: float(np.ptp(self.effects[name])))


def load_interval(band: Band, barrel: Barrel, conditions: Conditions | None = None) -> LoadInterval:
    """Return the load at the notch and how far each condition moves it.

    Each input is moved alone to either end of its range while the others stay at their best;
    the distances are then combined as root-sum-square (`interval.combine`).

    Parameters
    ----------
    band, barrel : Band, Barrel
        One set-up, of single numbers.
    conditions : Conditions, optional
        The handbook's ranges unless you give your own.

    Returns
    -------
    LoadInterval
        The load with its doubt [N].

    Raises
    ------
    InputError
        As `notch_load`, or if the set-up holds arrays.

    Examples
    --------
    >>> band = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
    >>> result = load_interval(band, Barrel(length=1.20))
    >>> result.widest
    'tube_stiffness'
    """
    given = Conditions() if conditions is None else conditions
    of_kind(Conditions, conditions=given)
    of_kind(Barrel, barrel=barrel)
    warmth = temperature_factor(given.temperature, given.test_temperature)
    rolling = given.friction_of(barrel)
    single("the load", notch_load(band, barrel), 0, np.inf, "N")

    def load(stiffness: float = given.tube_stiffness.best, heat: float = warmth.best,
             longer: float = given.batch_length_spread.best,
             aged: float = given.ageing_loss.best,
             friction: float = rolling.best) -> float:
        pulling = replace(band, rubber=scaled(band.rubber, stiffness * heat * (1 - aged)),
                          relaxed_length=band.relaxed_length + longer)
        return float(notch_load(pulling, replace(barrel, sheave_friction=friction)))

    def ends(name: str, interval: Interval) -> tuple[float, float]:
        return load(**{name: interval.low}), load(**{name: interval.high})

    effects = {
        "tube_stiffness": ends("stiffness", given.tube_stiffness),
        "temperature": ends("heat", warmth),
        "batch_length_spread": ends("longer", given.batch_length_spread),
        "ageing_loss": ends("aged", given.ageing_loss),
        "sheave_friction": ends("friction", rolling),
    }
    return LoadInterval(combine(load(), effects), effects)


CAUTIONS = (
    "A computed load is an estimate, not permission: try a new band in steps, with a partner.",
    "Load only in the water, the muzzle pointing away from everybody, the safety set.",
    "Keep to the maker's limits, to local law and to what a certified instructor taught you.",
)


@dataclass(frozen=True)
class Loading:
    """What it takes to bring a band onto the notch.

    Attributes
    ----------
    load : float or ndarray
        Pull at the notch, the last and hardest moment [N]. A load assist does not change it.
    spare : float or ndarray
        The diver's capacity less that pull [N]; negative means that it is more than they bring.
    first_reach : float or ndarray
        How far ahead of the notch the hands take hold first [m]: the wishbone, or with a load
        assist its handle.
    reach_spare : float or ndarray
        The diver's reach less the farther of `first_reach` and `hand_over_reach` [m]; negative
        means that they do not reach it.
    hand_over_load : float or ndarray
        Pull at the moment when the assist is hooked on and the hands change over to the
        wishbone [N]. Without an assist, the pull when the wishbone leaves its rest.
    hand_over_reach : float or ndarray
        How far ahead of the notch the wishbone is at that moment [m]: the assist's length, or
        without one the whole way.
    cautions : tuple of str
        To be shown with the numbers.
    """

    load: Any
    spare: Any
    first_reach: Any
    reach_spare: Any
    hand_over_load: Any
    hand_over_reach: Any
    cautions: tuple[str, ...]


def loading(diver: Diver, band: Band, barrel: Barrel, assist_length: ArrayLike = 0.0) -> Loading:
    """Return the load, the reach and the hand-over for one diver, with or without a load assist.

    A load assist is a cord with a handle at one end, hooked to the wishbone at the other. The
    diver pulls its handle back to the notch and hooks it on there, rests, and then takes the
    wishbone itself over the last part, which is as long as the assist. So it brings the first
    grip nearer by its own length and splits the pull in two; the last pull stays as hard.

    Parameters
    ----------
    diver : Diver
        Capacity and reach, measured on the person.
    band, barrel : Band, Barrel
        The set-up; numbers broadcast.
    assist_length : array_like
        Of the load assist, hook to handle [m]; 0 for none, less than `resting_distance`.

    Returns
    -------
    Loading
        Loads [N], distances [m] and cautions.

    Raises
    ------
    InputError
        If the assist is as long as the way to the resting wishbone, or as `notch_load`.

    Notes
    -----
    How a load assist is used is common practice in the trade, no source. An assist under load
    can slip off: keep hands, face and shaft out of its line.

    Examples
    --------
    >>> band = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
    >>> got = loading(Diver(450, 0.9), band, Barrel(length=1.20), assist_length=0.30)
    >>> round(got.load), round(got.hand_over_load), round(got.first_reach, 2)
    (461, 396, 0.89)
    """
    of_kind(Diver, diver=diver)
    assist = numbers("assist_length", assist_length)
    rest = np.asarray(resting_distance(band, barrel))
    together(diver, band, barrel, assist_length=assist)
    if (assist < 0).any() or np.any(assist >= rest):
        worst = assist.min() if (assist < 0).any() else assist.max()
        raise InputError(f"assist_length is {worst:.6g} m; accepted is 0 to below "
                         f"{np.min(rest):.6g} m, the way from the notch to the resting wishbone. "
                         "Give it in metres: 30 cm is 0.30.")
    load = notch_load(band, barrel)
    at_hand_over = plain(np.where(assist > 0, assist, rest))
    spare = diver.load_capacity - load
    first_reach = plain(rest - assist)
    farther = np.maximum(first_reach, at_hand_over)
    reach_spare = plain(diver.reach - farther)
    cautions = list(CAUTIONS)
    if np.any(spare < 0):
        most = np.max(load)
        cautions.insert(0, f"The band pulls with {kgf_from_newton(most):.0f} kgf "
                           f"({lbf_from_newton(most):.0f} lbf), more than this diver brings: cut "
                           "it longer or take a thinner tube.")
    if np.any(reach_spare < 0):
        cautions.insert(0, f"A grip lies {np.max(farther) * 100:.0f} cm "
                           f"({inch_from_metre(np.max(farther)):.0f} in) ahead of the notch, "
                           "out of this diver's reach: use a load assist of another length, at "
                           "best about half of the way.")
    return Loading(load, spare, first_reach, reach_spare,
                   notch_load(band, barrel, at_hand_over), at_hand_over, tuple(cautions))


def resting_distance(band: Band, barrel: Barrel) -> Any:
    """Return how far ahead of the loaded notch the wishbone rests before loading.

    Parameters
    ----------
    band, barrel : Band, Barrel
        Their numbers broadcast against each other.

    Returns
    -------
    float or ndarray
        Distance [m]: the upper run on a roller gun; on a conventional gun the upper run less the
        relaxed length of a leg.

    Raises
    ------
    InputError
        If a conventional band is so long that it is slack on the notch.
    """
    of_kind(Band, band=band)
    of_kind(Barrel, barrel=barrel)
    together(band, barrel)
    if barrel.kind == "roller":
        return barrel.upper_run
    distance = np.asarray(barrel.upper_run - band.relaxed_length)
    if (distance <= 0).any():
        raise InputError("The relaxed leg reaches the notch, so the band would be slack there; "
                         "cut it shorter.")
    return plain(distance)
