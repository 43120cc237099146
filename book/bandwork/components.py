"""The parts of a set-up. Each says what is wrong with it when it is made.

Lengths in metres, forces in newtons, angles in radians. Numbers may be arrays: a `Band` with a
thousand relaxed lengths answers a thousand times, by numpy's broadcasting.
"""

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import ArrayLike

from bandwork import water
from bandwork.handbook import lookup
from bandwork.rubber import ROUNDING, RubberLaw, handbook_rubber
from bandwork.validation import (
    InputError,
    numbers,
    of_kind,
    plain,
    settle,
    shown,
    single,
    together,
    within,
)

RELAXED_LENGTHS = (0.05, 3.0)
"""Accepted relaxed lengths of a leg [m]."""

_METRES = "Give it in metres: {} is {}."
_SHORTEST_RUN = 0.05
_LEGS = "One wishbone pulls with 2 legs."
_KILOGRAMS = "Give it in kilograms: 350 g is 0.35."
_CUBIC_METRES = "Give it in cubic metres: 300 ml is 0.0003."
BarrelKind = Literal["roller", "conventional"]
Material = Literal["carbon", "aluminium", "wood"]


def _handbook(key: str) -> Any:
    return field(default_factory=lambda: lookup(key).value)


@dataclass(frozen=True)
class Band:
    """A latex band, cut and tied, ready to be pulled.

    Parameters
    ----------
    outer_diameter : float or array_like
        Of the relaxed tube [m], 0.004 to 0.030.
    bore : float or array_like
        Inner diameter of the relaxed tube [m], 0 to below `outer_diameter`.
    relaxed_length : float or array_like
        Of one leg, from where it is anchored to the wishbone, with no pull on it [m], 0.05 to 3.
    legs : int
        How many legs pull on the notch side by side: 2 for one wishbone, 4 for two.
    rubber : RubberLaw
        How the rubber pulls; the handbook's test rubber unless you give your own.
    density : float
        Of the rubber [kg/m3], 800 to 1500.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.

    Examples
    --------
    >>> band = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
    >>> round(band.stretch_ratio(2.40), 2)
    3.69
    >>> round(band.force(2.40))
    420
    """

    outer_diameter: Any
    bore: Any
    relaxed_length: Any
    legs: int = 2
    rubber: RubberLaw = field(default_factory=handbook_rubber)
    density: Any = _handbook("rubber.density")

    def __post_init__(self) -> None:
        settle(self, "outer_diameter", 0.004, 0.030, "m", _METRES.format("16 mm", "0.016"))
        settle(self, "bore", 0, 0.029, "m", _METRES.format("3 mm", "0.003"))
        settle(self, "relaxed_length", *RELAXED_LENGTHS, "m", _METRES.format("65 cm", "0.65"))
        settle(self, "density", 800, 1500, "kg/m3")
        of_kind(RubberLaw, rubber=self.rubber)
        together(self)
        if np.any(self.bore >= self.outer_diameter):
            raise InputError("bore is not smaller than outer_diameter, so there is no wall left; "
                             "give the inner diameter as bore and the outer as outer_diameter.")
        legs = single("legs", self.legs, 1, 8, "", _LEGS)
        if not legs.is_integer():
            raise InputError(f"legs is {legs:g}; accepted is a whole number from 1 to 8. {_LEGS}")
        object.__setattr__(self, "legs", int(legs))

    @property
    def cross_section(self) -> Any:
        """Area of the relaxed wall of one leg, pi (D^2 - d^2)/4 [m2]."""
        return np.pi / 4 * (self.outer_diameter**2 - self.bore**2)

    @property
    def volume(self) -> Any:
        """Volume of rubber in all legs [m3]; stretching does not change it."""
        return self.legs * self.cross_section * self.relaxed_length

    @property
    def mass(self) -> Any:
        """Mass of rubber in all legs, without wishbone and knots [kg]."""
        return self.volume * self.density

    def stretch_ratio(self, path_length: ArrayLike) -> Any:
        """Return the length of a leg over its relaxed length.

        Parameters
        ----------
        path_length : array_like
            Length of one leg as it lies on the gun [m], `relaxed_length` or more.

        Returns
        -------
        float or ndarray
            Stretch ratio [1], 1 or more.

        Raises
        ------
        InputError
            If the path is shorter than the relaxed leg: the band is slack there.
        """
        return self._ratio("path_length", path_length)

    def _ratio(self, name: str, path_length: ArrayLike) -> Any:
        path = numbers(name, path_length)
        together(self, **{name: path})
        ratio = np.asarray(path / self.relaxed_length)
        if (ratio < 1 - ROUNDING).any():
            raise InputError(f"The band is slack: {name} is {ratio.min():.9g} times the relaxed "
                             "length; accepted is 1 or more. Give a longer path, or cut the band "
                             "shorter.")
        return plain(np.maximum(ratio, 1.0))

    def _pulled(self, name: str, path_length: ArrayLike) -> Any:
        """Return the stretch ratio, if the rubber law is a rubber's up to there."""
        ratio = self._ratio(name, path_length)
        usable = self.rubber.usable_stretch
        if np.any(ratio > usable):
            raise InputError(f"{name} stretches the band to {np.max(ratio):.6g} times its relaxed "
                             f"length; accepted is up to {np.min(usable):.6g}, where the stress of "
                             f"this {self.rubber.name} law ends or falls. Cut the band longer, or "
                             "fit another law.")
        return ratio

    def force(self, path_length: ArrayLike) -> Any:
        """Return the pull of all legs together, F = legs x cross-section x P(stretch ratio).

        Parameters
        ----------
        path_length : array_like
            Length of one leg as it lies on the gun [m], the same for every leg.

        Returns
        -------
        float or ndarray
            Force [N], without friction at a roller; see `stretch.notch_load` for that.

        Raises
        ------
        InputError
            If the band is slack, or stretched past what its rubber law covers.
        """
        stress = self.rubber.engineering_stress(self._pulled("path_length", path_length))
        return self.legs * self.cross_section * stress

    def energy(self, rest_length: ArrayLike, loaded_length: ArrayLike) -> Any:
        """Return the energy that all legs take up from one path to a longer one.

        E = volume x [W(loaded stretch) - W(rest stretch)]: the area under the force from
        `rest_length` to `loaded_length`.

        Parameters
        ----------
        rest_length : array_like
            Length of one leg before loading [m]: on a roller gun the leg is stretched even then.
        loaded_length : array_like
            Length of one leg when loaded [m].

        Returns
        -------
        float or ndarray
            Energy [J]; negative if the second path is the shorter one.

        Raises
        ------
        InputError
            If the band is slack on either path, or past what its rubber law covers.
        """
        rest = self._pulled("rest_length", rest_length)
        loaded = self._pulled("loaded_length", loaded_length)
        together(self, rest_length=rest, loaded_length=loaded)
        held = self.rubber.strain_energy_density
        return self.volume * (held(loaded) - held(rest))


@dataclass(frozen=True)
class Fitting:
    """A part of the gun besides the tube: handle with mechanism, muzzle, reel, ballast, float.

    Parameters
    ----------
    name : str
        What it is.
    mass : float or array_like
        Without water in it [kg], 0 to 10.
    volume : float or array_like
        Of water that it displaces, without what floods it [m3], 0 to 0.01: a litre is 0.001.
    position : float or array_like
        Of its middle along the barrel, from the handle's end of the tube, forward positive [m],
        -1 to 3.
    height : float or array_like
        Of its middle above the tube's axis [m], -0.5 to 0.5; a grip below the tube is negative.
    gas_share : float or array_like
        Part of the volume that is soft gas at the surface and shrinks with depth, as in foam or an
        air bag [1], 0 to 1.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.
    """

    name: str
    mass: Any
    volume: Any
    position: Any
    height: Any = 0.0
    gas_share: Any = 0.0

    def __post_init__(self) -> None:
        for what, low, high, unit, hint in (
                ("mass", 0, 10, "kg", _KILOGRAMS), ("volume", 0, 0.01, "m3", _CUBIC_METRES),
                ("position", -1, 3, "m", _METRES.format("30 cm", "0.30")),
                ("height", -0.5, 0.5, "m", _METRES.format("5 cm", "0.05")),
                ("gas_share", 0, 1, "", "")):
            given = within(f"{what} of {self.name}", getattr(self, what), low, high, unit, hint)
            object.__setattr__(self, what, given)
        together(self)


def _usual(name: str) -> Fitting:
    """Return the handbook's usual handle or muzzle."""
    return Fitting(name, lookup(f"{name}.mass").value, lookup(f"{name}.volume").value,
                   lookup(f"{name}.position").value, lookup(f"{name}.height").value)


@dataclass(frozen=True)
class Barrel:
    """Where the band runs on the gun.

    All positions are measured along the barrel from the handle's end of the tube, forward
    positive. On a roller gun each leg runs from its anchor under the handle forward to the
    roller, round it, and back along the top to the notch. On a conventional gun each leg runs
    from the muzzle straight back to the notch.

    Parameters
    ----------
    length : float or array_like
        Of the tube [m], 0.3 to 2: what the trade calls a 120 is 1.20.
    kind : "roller" or "conventional"
        Which way the band runs.
    roller_offset : float or array_like
        How far the roller's axle (or the band's hole in a conventional muzzle) lies ahead of the
        tube's end [m], -0.1 to 0.3.
    notch_position : float or array_like
        Where the wishbone sits when the gun is loaded [m], -0.3 to 0.5.
    anchor_position : float or array_like
        Where a leg is anchored below the handle [m], -0.3 to 0.5. Not used on a conventional gun.
    sheave_radius : float or array_like
        Of the roller, measured to the middle of the tube that lies on it [m], 0 to 0.05.
    sheave_wrap : float or array_like
        Angle over which the leg lies on the roller [rad], 0 to 2 pi; half a turn is pi.
    sheave_friction : float or array_like
        Effective friction coefficient of the turning roller [1], 0 to 1. No published source:
        measure it by the difference between pulling slowly and letting back slowly.
    outer_diameter : float or array_like
        Of the tube [m], 0.015 to 0.12.
    wall : float or array_like
        Thickness of the tube's wall [m], above 0 and at most half the diameter (a solid stick).
    material : "carbon", "aluminium" or "wood"
        Decides density and stiffness, from the handbook.
    flooded : bool
        Whether water fills the tube; a sealed tube holds air.
    handle, muzzle : Fitting
        Handle with mechanism, and muzzle with rollers; the muzzle's position is measured from the
        tube's front end.
    others : tuple of Fitting
        Reel, ballast, float and the like.
    plug_length : float or array_like
        How much of the bore a plug at either end fills [m], 0 to 0.3; 0 for none.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.

    Examples
    --------
    >>> barrel = Barrel(length=1.20)
    >>> round(barrel.loaded_path, 2)
    2.42
    """

    length: Any
    kind: BarrelKind = "roller"
    roller_offset: Any = 0.02
    notch_position: Any = 0.03
    anchor_position: Any = 0.03
    sheave_radius: Any = 0.0125
    sheave_wrap: Any = np.pi
    sheave_friction: Any = _handbook("sheave.friction")
    outer_diameter: Any = _handbook("barrel.outer_diameter")
    wall: Any = _handbook("barrel.wall")
    material: Material = "carbon"
    flooded: bool = False
    handle: Fitting = field(default_factory=lambda: _usual("handle"))
    muzzle: Fitting = field(default_factory=lambda: _usual("muzzle"))
    others: tuple[Fitting, ...] = ()
    plug_length: Any = _handbook("plug.length")

    def __post_init__(self) -> None:
        settle(self, "length", 0.3, 2, "m", _METRES.format("a 120 cm barrel", "1.20"))
        if not isinstance(self.kind, str) or self.kind not in get_args(BarrelKind):
            raise InputError(f"kind is {shown(self.kind)}; accepted are 'roller' and "
                             "'conventional'.")
        settle(self, "roller_offset", -0.1, 0.3, "m")
        settle(self, "notch_position", -0.3, 0.5, "m")
        settle(self, "anchor_position", -0.3, 0.5, "m")
        settle(self, "sheave_radius", 0, 0.05, "m", _METRES.format("12 mm", "0.012"))
        settle(self, "sheave_wrap", 0, 2 * np.pi, "rad",
               "Give it in radians: half a turn is 3.1416.")
        settle(self, "sheave_friction", 0, 1, "")
        settle(self, "outer_diameter", 0.015, 0.12, "m", _METRES.format("28 mm", "0.028"))
        settle(self, "wall", 1e-4, 0.06, "m", _METRES.format("1.5 mm", "0.0015"))
        settle(self, "plug_length", 0, 0.3, "m", _METRES.format("2 cm", "0.02"))
        together(self)
        if np.any(np.asarray(self.wall) > np.asarray(self.outer_diameter) / 2):
            raise InputError("wall is more than half of outer_diameter, so the tube has no room "
                             "for it; a solid stick has a wall of half its diameter.")
        if not isinstance(self.material, str) or self.material not in get_args(Material):
            raise InputError(f"material is {shown(self.material)}; accepted are "
                             f"{', '.join(get_args(Material))}.")
        for place in ("notch", "anchor") if self.kind == "roller" else ("notch",):
            run = np.asarray(self.length + self.roller_offset
                             - getattr(self, f"{place}_position"))
            if (run < _SHORTEST_RUN).any():
                raise InputError(f"{place}_position leaves a run of {run.min():.3g} m to the "
                                 f"muzzle; accepted is {_SHORTEST_RUN:g} m or more. Check length, "
                                 f"roller_offset and {place}_position.")

    @property
    def density(self) -> Any:
        """Of the tube's material [kg/m3], from the handbook."""
        return lookup(f"{self.material}.density").value

    @property
    def youngs_modulus(self) -> Any:
        """Of the tube along its length [Pa], from the handbook."""
        return lookup(f"{self.material}.youngs_modulus").value

    @property
    def bore(self) -> Any:
        """Inner diameter of the tube [m]; 0 for a solid stick."""
        return plain(np.subtract(self.outer_diameter, np.multiply(2, self.wall)))

    @property
    def cross_section(self) -> Any:
        """Area of the tube's wall, pi (D^2 - d^2)/4 [m2]."""
        return plain(np.pi / 4 * (np.square(self.outer_diameter) - np.square(self.bore)))

    @property
    def second_moment(self) -> Any:
        """Second moment of the wall's area, pi (D^4 - d^4)/64 [m4]."""
        return plain(np.pi / 64 * (np.power(self.outer_diameter, 4) - np.power(self.bore, 4)))

    @property
    def upper_run(self) -> Any:
        """From the roller (or the muzzle) back to the loaded notch [m]: the shaft's track."""
        return self.length + self.roller_offset - self.notch_position

    @property
    def lower_run(self) -> Any:
        """From the anchor forward to the roller and round it [m]; 0 on a conventional gun."""
        if self.kind == "conventional":
            return 0.0
        straight = self.length + self.roller_offset - self.anchor_position
        return straight + self.sheave_radius * self.sheave_wrap

    @property
    def loaded_path(self) -> Any:
        """Length of one leg when the wishbone sits in the notch [m]."""
        return self.upper_run + self.lower_run

    def resting_path(self, relaxed_length: ArrayLike) -> Any:
        """Return the length of one leg when the shaft has left.

        Parameters
        ----------
        relaxed_length : array_like
            Of one leg [m].

        Returns
        -------
        float or ndarray
            Length [m]: on a roller gun the lower run, with the wishbone at the roller; on a
            conventional gun the relaxed length, as the leg goes slack.

        Raises
        ------
        InputError
            If `relaxed_length` is not a finite number.
        """
        relaxed = numbers("relaxed_length", relaxed_length)
        return plain(relaxed if self.kind == "conventional" else self.lower_run)

    @property
    def friction_ratio(self) -> Any:
        """Pull on one side of the roller over the other, e^(friction x wrap) [1] (capstan)."""
        if self.kind == "conventional":
            return 1.0
        return plain(np.exp(self.sheave_friction * self.sheave_wrap))


@dataclass(frozen=True)
class Diver:
    """Who loads the gun. Both numbers are measured on the person, not looked up.

    Parameters
    ----------
    load_capacity : float or array_like
        The load that this diver brings onto the notch with both hands, the gun braced as they
        brace it, rested, and can do again [N], 100 to 1500. Measure it in shallow water or dry with
        a luggage scale in place of the band, never with a loaded gun.
    reach : float or array_like
        How far ahead of the loaded notch the diver takes hold of a wishbone, the gun braced [m],
        0.2 to 1.6.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.
    """

    load_capacity: Any
    reach: Any

    def __post_init__(self) -> None:
        settle(self, "load_capacity", 100, 1500, "N", "Give it in newtons: 50 kgf is 490.")
        settle(self, "reach", 0.2, 1.6, "m", _METRES.format("85 cm", "0.85"))
        together(self)


@dataclass(frozen=True)
class Shaft:
    """The spear shaft.

    Parameters
    ----------
    diameter : float or array_like
        [m], 0.005 to 0.010: a 7 mm shaft is 0.007.
    length : float or array_like
        From tail to tip [m], 0.5 to 2.5.
    density : float or array_like
        Of its steel [kg/m3], 7000 to 8500.
    youngs_modulus : float or array_like
        Of its steel [Pa], 150e9 to 230e9.
    wing_area : float or array_like
        Frontal area that the folded flopper adds [m2], 0 to 5e-4.
    overhang : float or array_like
        How far the tip stands ahead of the roller's axle when the gun is loaded [m], 0 to 1.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.

    Examples
    --------
    >>> round(Shaft(diameter=0.007, length=1.60).mass, 3)
    0.48
    """

    diameter: Any
    length: Any
    density: Any = _handbook("shaft.density")
    youngs_modulus: Any = _handbook("shaft.youngs_modulus")
    wing_area: Any = _handbook("shaft.wing_area")
    overhang: Any = _handbook("shaft.overhang")

    def __post_init__(self) -> None:
        settle(self, "diameter", 0.005, 0.010, "m", _METRES.format("7 mm", "0.007"))
        settle(self, "length", 0.5, 2.5, "m", _METRES.format("160 cm", "1.60"))
        settle(self, "density", 7000, 8500, "kg/m3")
        settle(self, "youngs_modulus", 150e9, 230e9, "Pa",
               "Give it in pascal: 196 GPa is 196e9.")
        settle(self, "wing_area", 0, 5e-4, "m2",
               "Give it in square metres: 30 mm2 is 30e-6.")
        settle(self, "overhang", 0, 1, "m", _METRES.format("20 cm", "0.20"))

    @property
    def cross_section(self) -> Any:
        """Area of the round, pi d^2/4 [m2]."""
        return plain(np.pi / 4 * np.square(self.diameter))

    @property
    def second_moment(self) -> Any:
        """Second moment of that area, pi d^4/64 [m4]."""
        return plain(np.pi / 64 * np.power(self.diameter, 4))

    @property
    def volume(self) -> Any:
        """[m3], as a plain round; notches and flopper are left out."""
        return plain(np.multiply(self.cross_section, self.length))

    @property
    def mass(self) -> Any:
        """[kg], as a plain round."""
        return plain(np.multiply(self.volume, self.density))


@dataclass(frozen=True)
class ShootingLine:
    """The line between gun and shaft, with its bungee if there is one.

    Parameters
    ----------
    diameter : float or array_like
        [m], 0.0005 to 0.005.
    wraps : int or array_like
        How often it runs from the muzzle back to the line release and forward again [1], a whole
        number, 0 to 6.
    breaking_strength : float or array_like
        Of the straight line, from its spool [N], 50 to 20000. Published values for one nominal
        diameter differ by a factor of 2.7: read your spool.
    stiffness : float or array_like
        Axial stiffness E A of the line [N]: load over the strain that it makes, 100 to 1e6.
    density : float or array_like
        Of the line [kg/m3], 800 to 1600.
    bungee_length : float or array_like
        Relaxed length of the bungee at the gun's end [m], 0 to 1; 0 for none.
    bungee_stiffness : float or array_like
        Load over strain of the bungee [N], 1 to 1e4. Not used without a bungee.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.
    """

    diameter: Any
    wraps: Any = 1
    breaking_strength: Any = _handbook("line.breaking_strength")
    stiffness: Any = _handbook("line.stiffness")
    density: Any = _handbook("line.density")
    bungee_length: Any = 0.0
    bungee_stiffness: Any = _handbook("bungee.stiffness")

    def __post_init__(self) -> None:
        settle(self, "diameter", 0.0005, 0.005, "m", _METRES.format("1.7 mm", "0.0017"))
        settle(self, "wraps", 0, 6, "")
        if np.any(self.wraps != np.round(self.wraps)):
            raise InputError(f"wraps is {shown(self.wraps)}; accepted is a whole number, 0 to 6.")
        settle(self, "breaking_strength", 50, 20000, "N",
               "Give it in newtons: 200 kgf is 1961.")
        settle(self, "stiffness", 100, 1e6, "N")
        settle(self, "density", 800, 1600, "kg/m3")
        settle(self, "bungee_length", 0, 1, "m", _METRES.format("20 cm", "0.20"))
        settle(self, "bungee_stiffness", 1, 1e4, "N")

    @property
    def mass_per_length(self) -> Any:
        """As a full round of its diameter [kg/m]."""
        return plain(np.pi / 4 * np.square(self.diameter) * np.asarray(self.density))


@dataclass(frozen=True)
class Water:
    """The water of the place.

    Parameters
    ----------
    temperature : float or array_like
        [degrees Celsius], -2 to 40.
    salinity : float or array_like
        Absolute salinity [g/kg], 0 (fresh) to 42.
    depth : float or array_like
        Below the surface [m], 0 to 200.

    Raises
    ------
    InputError
        If a value lies outside its range, naming the value and the range.

    Examples
    --------
    >>> round(Water(temperature=20).density, 1)
    1024.6
    """

    temperature: Any = 20.0
    salinity: Any = 35.0
    depth: Any = 0.0

    def __post_init__(self) -> None:
        settle(self, "temperature", -2, 40, "degrees Celsius")
        settle(self, "salinity", 0, 42, "g/kg", "The open sea has about 35, a lake 0.")
        settle(self, "depth", 0, 200, "m")

    @cached_property
    def density(self) -> Any:
        """By TEOS-10 [kg/m3]."""
        return water.density(self.temperature, self.salinity, self.depth)

    @cached_property
    def viscosity(self) -> Any:
        """Dynamic, by Sharqawy and others [Pa s]."""
        return water.viscosity(self.temperature, self.salinity)

    @cached_property
    def kinematic_viscosity(self) -> Any:
        """Viscosity over density [m2/s]."""
        return plain(np.divide(self.viscosity, self.density))

    @cached_property
    def refractive_index(self) -> Any:
        """Against air, for green light, by Quan and Fry [1]."""
        return water.refractive_index(self.temperature, self.salinity)
