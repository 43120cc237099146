"""The exercise `trim`: from a bottle of sea water to a float that makes a heavy gun easy to carry.

Everybody's gun has a sealed aluminium tube and a shaft that sinks it. The tube and the shaft are
worked out by hand; plugs, handle, muzzle and band stand in a table that the library makes. The
line is left out: it weighs less than 0.01 N in water. Right answers come from `bandwork.trim`, with
the learner's own earlier results put in.
"""

from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np

from bandwork.classroom.checks import (
    ChoiceItem,
    DesignItem,
    Drawn,
    Exercise,
    FunctionItem,
    IntervalItem,
    Item,
    PlotItem,
    RowItem,
    Slip,
)
from bandwork.classroom.learner import Draw, Numbers
from bandwork.components import Band, Barrel, Shaft, ShootingLine, Water
from bandwork.handbook import lookup
from bandwork.trim import Part, Trim, belt_lead, holding, parts_of, sum_parts
from bandwork.units import STANDARD_GRAVITY

SHAFTS_MM = (7.0, 7.5, 8.0, 8.5)
LENGTHS_CM = (100.0, 120.0, 140.0)
CURVE_TOLERANCE = 0.02
SHELF = {"A": (18.0, 90.0), "B": (36.0, 180.0), "C": (54.0, 270.0), "D": (72.0, 360.0),
         "E": (90.0, 450.0), "F": (108.0, 540.0), "G": (600.0, 53.1)}
"""Mass [g] and volume [ml] of hard floats that depth does not squeeze, and of a piece of lead."""
MOST_FORCE, MOST_MOMENT = 0.4, 0.15
"""What the design may leave: net force [N] and moment at the grip [N m], either way."""


@lru_cache(maxsize=4096)
def _made(barrel_cm: float, outer_mm: float, wall_mm: float) -> dict[str, tuple[float, ...]]:
    """Return mass [g], volume [ml] and place [cm] of the parts that the library makes.

    The tube has two volumes, sealed and flooded, and no place.
    """
    barrel = Barrel(barrel_cm / 100, material="aluminium", outer_diameter=outer_mm / 1e3,
                    wall=wall_mm / 1e3)
    band = Band(0.016, 0.003, barrel_cm / 200 + 0.05)
    sealed, flooded = (
        {part.name: part for part in parts_of(band, Shaft(0.007, 1.5), gun, ShootingLine(0.0017),
                                              Water())}
        for gun in (barrel, replace(barrel, flooded=True)))
    rubber = sum_parts(tuple(part for name, part in sealed.items() if name.startswith("band")),
                       1000)
    tube = sealed["tube"]
    return {
        "tube": (tube.mass * 1e3, tube.volume * 1e6, flooded["tube"].volume * 1e6),
        "plugs": (sealed["plugs"].mass * 1e3, 0.0, barrel_cm / 2),
        "band": (rubber.mass * 1e3, rubber.volume * 1e6, rubber.centre_of_mass * 100),
    }


@lru_cache(maxsize=256)
def _sea(temperature: float, salinity: float) -> float:
    """Return the density of the learner's sea [g/ml]."""
    return float(Water(temperature, salinity).density) / 1e3


def _metal() -> float:
    """Return the density of the tube's metal [g/ml]."""
    return lookup("aluminium.density").value / 1e3


def _readings(n: Numbers, learner: str) -> dict[str, Any]:
    """Return what follows from the draws: the bottle, the shaft, the table of the other parts.

    The shaft is the thinnest with which the gun sinks with 1.8 N or more, so that there is
    something to mend.
    """
    water = _sea(n.water_degC, n.salinity)
    shaft_cm = n.barrel_cm + n.beyond_cm
    made = _made(n.barrel_cm, n.outer_mm, n.wall_mm)
    table = {
        "mass_g": (round(made["plugs"][0], 1), n.handle_g, n.muzzle_g, round(made["band"][0], 1)),
        "volume_ml": (0, n.handle_ml, n.muzzle_ml, round(made["band"][1], 1)),
        "place_cm": (n.barrel_cm / 2, n.grip_cm, n.barrel_cm + 2.0, round(made["band"][2], 1)),
    }
    grams, ml, _ = made["tube"]
    out = water * (ml + sum(table["volume_ml"])) - grams - sum(table["mass_g"])
    shaft = Shaft(0.007, shaft_cm / 100)
    heavy = shaft.mass * 1e3 - water * shaft.volume * 1e6
    fits = [mm for mm in SHAFTS_MM
            if (out - heavy * (mm / 7) ** 2) / 1e3 * STANDARD_GRAVITY < -1.8]
    return {
        "bottle_full_g": round(n.bottle_empty_g + n.bottle_ml * water, 1),
        "shaft_cm": shaft_cm,
        "shaft_mm": min(fits, default=SHAFTS_MM[-1]),
        "shaft_place_cm": n.barrel_cm + 27 - shaft_cm / 2,
        **table,
    }


# --- the water, the tube, the shaft ---------------------------------------------------------------

WATER_DENSITY = Item(
    key="water_density", title="Density of your water", variable="density_g_per_ml",
    unit="g/ml", points=1, page="trim/buoyancy", tolerance=0.001,
    goal="Weigh the density of the water with a bottle and a kitchen scale.",
    outside="water::test_density_gives_the_check_values_that_teos_10_publishes",
    right=lambda n: _sea(n.water_degC, n.salinity),
    slips=(
        Slip("bottle not taken off", "the bottle's own weight is still in it; take the empty "
             "bottle's reading off first.", lambda n: n.bottle_full_g / n.bottle_ml),
        Slip("bottle added", "the empty bottle was added; take its reading off.",
             lambda n: (n.bottle_full_g + n.bottle_empty_g) / n.bottle_ml),
        Slip("upside down", "this is millilitres for each gram; the grams go above the line.",
             lambda n: n.bottle_ml / (n.bottle_full_g - n.bottle_empty_g)),
        Slip("fresh water", "this is the round number for fresh water; yours holds salt, so work "
             "it out from your bottle.", lambda n: 1.0),
        Slip("divided by the mass", "divide by the volume of the water, not by what the full "
             "bottle weighs.",
             lambda n: (n.bottle_full_g - n.bottle_empty_g) / n.bottle_full_g),
    ),
)


def _tube_row(n: Numbers, wall_mm: float | None = None) -> tuple[float, ...]:
    """Return mass [g], volume sealed and volume flooded [ml], by the library's parts."""
    return _made(n.barrel_cm, n.outer_mm, n.wall_mm if wall_mm is None else wall_mm)["tube"]


def _bore_ml(n: Numbers) -> float:
    return _tube_row(n)[1] - _tube_row(n)[2]


TUBE = RowItem(
    key="tube", title="The tube, sealed and flooded", variable="tube", length=3,
    unit="g, ml and ml", points=2, page="trim/buoyancy",
    goal="Work out what a tube weighs, and what it displaces when it is sealed or flooded.",
    outside="trim::test_mass_of_aluminium_tube_by_the_metre",
    right=_tube_row,
    slips=(
        Slip("full rod", "this weighs a full rod; take the bore's area away before you multiply "
             "by the density.",
             lambda n: (_tube_row(n)[1] * _metal(), *_tube_row(n)[1:])),
        Slip("one wall", "the bore is narrower by two walls, one on either side.",
             lambda n: _tube_row(n, wall_mm=n.wall_mm / 2)),
        Slip("diameter as radius", "the diameters went in where radii belong; divide the areas by "
             "four.", lambda n: tuple(4 * one for one in _tube_row(n))),
        Slip("sealed and flooded changed over", "the last two are in the wrong order: sealed "
             "first. A sealed tube pushes more water away.",
             lambda n: (_tube_row(n)[0], _tube_row(n)[2], _tube_row(n)[1])),
        Slip("bore for outside", "a sealed tube pushes water away with its whole outside, not only "
             "with its bore.", lambda n: (_tube_row(n)[0], _bore_ml(n), _tube_row(n)[2])),
        Slip("water inside counted", "the last number is the water inside a flooded tube; wanted "
             "is the volume of its wall.",
             lambda n: (_tube_row(n)[0], _tube_row(n)[1], _bore_ml(n))),
        Slip("sealed twice", "a flooded tube displaces less: only its wall pushes water away.",
             lambda n: (_tube_row(n)[0], _tube_row(n)[1], _tube_row(n)[1])),
        Slip("density forgotten", "the first number is still a volume; multiply the wall's volume "
             "by the metal's density.",
             lambda n: (_tube_row(n)[2], _tube_row(n)[1], _tube_row(n)[2])),
    ),
)


@lru_cache(maxsize=64)
def _seven(shaft_cm: float) -> tuple[float, float]:
    """Return mass [kg] and volume [m3] of a 7 mm shaft."""
    shaft = Shaft(0.007, shaft_cm / 100)
    return shaft.mass, shaft.volume


def _shaft(n: Numbers, mm: Any) -> Part:
    """Return a shaft of the learner's length and any diameter."""
    mass, volume = _seven(n.shaft_cm)
    share = (np.asarray(mm) / 7.0) ** 2
    return Part("shaft", mass * share, volume * share, n.shaft_place_cm / 100)


def _rho(n: Numbers) -> float:
    """Return the learner's density of water [kg/m3]."""
    return float(n["water_density"]) * 1e3


def _shaft_weight(n: Numbers, mm: Any, density: float | None = None) -> Any:
    return -sum_parts((_shaft(n, mm),), _rho(n) if density is None else density).net_force


def _shaft_kg(n: Numbers, mm: Any) -> Any:
    return _shaft(n, mm).mass


def _shaft_litres(n: Numbers, mm: Any) -> Any:
    return _shaft(n, mm).volume * 1e3


SHAFT_WEIGHT = FunctionItem(
    key="shaft_weight", title="Weight of a shaft in water", variable="shaft_weight_N",
    unit="N", points=2, page="trim/buoyancy", uses=("water_density",), tolerance=0.005,
    goal="Work out how hard a shaft of any diameter pulls down in water.",
    outside="trim::test_apparent_mass_of_iron_in_alcohol",
    inputs=lambda n: (6.0, 7.0, 8.0),
    right=lambda n: lambda mm: _shaft_weight(n, mm),
    slips=(
        Slip("air for water", "this is the weight in air; take off what the displaced water "
             "weighs.", lambda n: lambda mm: _shaft_kg(n, mm) * STANDARD_GRAVITY),
        Slip("buoyancy added", "the water carries a part of it; take its density off the steel's.",
             lambda n: lambda mm: (_shaft_kg(n, mm) + _rho(n) / 1e3 * _shaft_litres(n, mm))
             * STANDARD_GRAVITY),
        Slip("mass for weight", "this is still kilograms; multiply by standard gravity for "
             "newtons.", lambda n: lambda mm: _shaft_weight(n, mm) / STANDARD_GRAVITY),
        Slip("buoyancy alone", "this is how much the water carries; wanted is what is left to "
             "carry.", lambda n: lambda mm: _rho(n) / 1e3 * _shaft_litres(n, mm)
             * STANDARD_GRAVITY),
        Slip("sign turned round", "the steel's density comes first; a shaft that sinks has a "
             "weight above zero.", lambda n: lambda mm: -_shaft_weight(n, mm)),
        Slip("diameter as radius", "the diameter went in where a radius belongs; the area of the "
             "round is a quarter of that.", lambda n: lambda mm: 4 * _shaft_weight(n, mm)),
        Slip("doubled for squared", "the diameter was doubled, not squared; squared is **2, with "
             "two stars.", lambda n: lambda mm: _shaft_weight(n, mm) * 2 / mm),
        Slip("the same for every shaft", "your function gives the same for every shaft; use the "
             "diameter_mm of its first line.",
             lambda n: lambda mm: _shaft_weight(n, n.shaft_mm) + 0 * mm),
    ),
)


# --- the whole gun --------------------------------------------------------------------------------

@lru_cache(maxsize=4096)
def _summed(rows: tuple[tuple[float, float, float], ...], density: float, grip_cm: float) -> Trim:
    """Return how parts trim: rows of mass [g], volume [ml] and place [cm], water in kg/m3."""
    parts = tuple(Part("part", grams / 1e3, ml / 1e6, cm / 100) for grams, ml, cm in rows)
    return sum_parts(parts, density, grip_cm / 100)


def _gun(n: Numbers, *, flooded: bool = False, density: float | None = None,
         length_cm: float | None = None, material: str = "aluminium", tube: bool = True) -> Trim:
    """Return the gun with its shaft out, with the learner's own water and tube."""
    long = 1.0 if length_cm is None else length_cm / n.barrel_cm
    lighter = lookup(f"{material}.density").value / lookup("aluminium.density").value
    mass, sealed, wall = map(float, n["tube"])
    own = (mass * long * lighter, (wall if flooded else sealed) * long, n.barrel_cm / 2)
    rows = tuple(zip(n["mass_g"], n["volume_ml"], n["place_cm"], strict=True))
    return _summed((own, *rows) if tube else rows, _rho(n) if density is None else density,
                   n.grip_cm)


def _own_shaft(n: Numbers) -> float:
    """Weight in water of the learner's shaft [N], by their own function."""
    return float(n["shaft_weight"](n.shaft_mm))


def _forces(n: Numbers, gun: Trim | None = None, shaft: float | None = None
            ) -> tuple[float, float]:
    out = float((_gun(n) if gun is None else gun).net_force)
    return out, out - (_own_shaft(n) if shaft is None else shaft)


def _times(row: Any, factor: float) -> tuple[float, ...]:
    return tuple(float(one) * factor for one in row)


NET_FORCE = RowItem(
    key="net_force", title="Does it float?", variable="net_force",
    unit="N", points=2, page="trim/parts", uses=("water_density", "tube", "shaft_weight"),
    tolerance=0.01,
    goal="Add up a gun's parts and say whether it floats, shaft out and shaft in.",
    outside="trim::test_both_float_with_the_shaft_out",
    right=_forces,
    slips=(
        Slip("sign turned round", "buoyant force less weight: what floats is above zero. Yours is "
             "the other way round.", lambda n: _times(_forces(n), -1)),
        Slip("air for water", "this is the weight in air; add what the displaced water lifts.",
             lambda n: (-float(_gun(n).weight),
                        -float(_gun(n).weight) - _shaft_kg(n, n.shaft_mm) * STANDARD_GRAVITY)),
        Slip("shaft weighed in air", "the shaft went in with its weight in air; in water it "
             "weighs less, see your function.",
             lambda n: _forces(n, shaft=_shaft_kg(n, n.shaft_mm) * STANDARD_GRAVITY)),
        Slip("flooded for sealed", "the tube went in flooded; yours is sealed, so its whole "
             "outside displaces water.", lambda n: _forces(n, _gun(n, flooded=True))),
        Slip("tube forgotten", "the tube is missing; it stands in no table, add your own.",
             lambda n: _forces(n, _gun(n, tube=False))),
        Slip("fresh water", "this is the gun in fresh water; use the density that you weighed.",
             lambda n: _forces(n, _gun(n, density=1000.0))),
        Slip("shaft added", "the shaft pulls down: take its weight in water off.",
             lambda n: _forces(n, shaft=-_own_shaft(n))),
        Slip("mass for weight", "these are kilograms; multiply by standard gravity for newtons.",
             lambda n: _times(_forces(n), 1 / STANDARD_GRAVITY)),
    ),
)

SPOT = ChoiceItem(
    key="spot", title="What is wrong in Nils's notes", variable="wrong_lines",
    unit="", points=2, page="trim/parts", tolerance=0.0, letters="ABCDEF",
    goal="Find the mistakes in somebody else's sums of weight and buoyancy.",
    outside="trim::test_the_same_body_stands_higher_in_the_sea",
    right=lambda n: "BDE",
    slips=(
        Slip("right line blamed: tube", "A is right: multiply the area of the round by the "
             "length.", lambda n: "ABDE"),
        Slip("right line blamed: shaft", "C is right: in water the shaft lost the weight of the "
             "water it displaces.", lambda n: "BCDE"),
        Slip("right line blamed: depth", "F is right: a hard, sealed gun and the water itself are "
             "hardly squeezed.", lambda n: "BDEF"),
        Slip("plugs counted twice", "one wrong line is missing: think of what lies inside a sealed "
             "tube.", lambda n: "DE"),
        Slip("stretched rubber", "one wrong line is missing: think of whether stretching changes "
             "the volume of rubber.", lambda n: "BE"),
        Slip("lake and sea", "one wrong line is missing: think of which water is the heavier one.",
             lambda n: "BD"),
    ),
)


def _shares(n: Numbers, share: Any, materials: tuple[str, str] = ("aluminium", "carbon")) -> Any:
    return np.array([float(share(_gun(n, length_cm=cm, material=material)))
                     for material in materials for cm in LENGTHS_CM])


def _over_weight(gun: Trim) -> Any:
    return gun.net_force / gun.weight


def _upside_down(n: Numbers) -> Any:
    """Return the table with the carbon rows of a tube made heavier."""
    ratio = (lookup("aluminium.density").value / lookup("carbon.density").value) ** 2
    rows = list(_shares(n, _over_weight)[:3])
    for cm in LENGTHS_CM:
        tube, *rest = _gun(n, length_cm=cm, material="carbon").parts
        gun = sum_parts((replace(tube, mass=tube.mass * ratio), *rest), _rho(n))
        rows.append(float(_over_weight(gun)))
    return np.array(rows)


def _tube_alone(n: Numbers) -> Any:
    return _shares(n, lambda gun: _over_weight(sum_parts(gun.parts[:1], _rho(n))))


def _with_shaft(n: Numbers) -> Any:
    return _shares(n, lambda gun: (gun.net_force - _shaft_weight(n, n.shaft_mm))
                   / (gun.weight + _shaft_kg(n, n.shaft_mm) * STANDARD_GRAVITY))


LIFT_TABLE = RowItem(
    key="lift_table", title="Longer barrels, and carbon", variable="lift_shares", length=6,
    unit="", points=2, page="trim/tuning", uses=("water_density", "tube"),
    goal="Compare barrels and materials by net lift in proportion to weight.",
    outside="trim::test_the_longer_the_barrel_the_more_buoyancy_in_proportion",
    right=lambda n: _shares(n, _over_weight),
    slips=(
        Slip("per cent", "these are per cent; a share is a plain number, a hundredth of that.",
             lambda n: 100 * _shares(n, _over_weight)),
        Slip("over the displaced water", "divide by the weight of the gun, not by that of the "
             "displaced water.", lambda n: _shares(n, lambda gun: gun.net_force
                                                   / gun.buoyant_force)),
        Slip("not less one", "this is displaced water over weight; the share of net lift is one "
             "less.", lambda n: 1 + _shares(n, _over_weight)),
        Slip("materials changed over", "the two materials are in the wrong order: three barrels of "
             "aluminium first.", lambda n: _shares(n, _over_weight, ("carbon", "aluminium"))),
        Slip("densities upside down", "carbon is lighter than aluminium; its tube's mass is "
             "smaller by the quotient of the two densities.", _upside_down),
        Slip("tube alone", "this is the tube alone; handle, muzzle, plugs and band are on every "
             "gun.", _tube_alone),
        Slip("shaft in", "these guns have their shafts in; the table is for the shaft out.",
             _with_shaft),
        Slip("longest first", "the barrels are in the wrong order: the shortest comes first.",
             lambda n: _shares(n, _over_weight).reshape(2, 3)[:, ::-1].reshape(-1)),
    ),
)


# --- balance --------------------------------------------------------------------------------------

def _moments(n: Numbers, grip_cm: float | None = None, shaft_cm: float | None = None,
             shaft: float | None = None) -> tuple[float, float]:
    gun = replace(_gun(n), grip=n.grip_cm / 100 if grip_cm is None else grip_cm / 100)
    again = sum_parts(gun.parts, gun.water_density, gun.grip)
    lever = (n.shaft_place_cm if shaft_cm is None else shaft_cm) / 100 - gun.grip
    out = float(again.grip_moment)
    return out, out - (_own_shaft(n) if shaft is None else shaft) * lever


def _weights_alone(n: Numbers) -> tuple[float, float]:
    gun = _gun(n)
    out = -float(gun.weight * (gun.centre_of_mass - gun.grip))
    lever = (n.shaft_place_cm - n.grip_cm) / 100
    return out, out - _shaft_kg(n, n.shaft_mm) * STANDARD_GRAVITY * lever


MOMENT = RowItem(
    key="moment", title="Moment at the grip", variable="grip_moment",
    unit="N m", points=3, page="trim/balance", uses=("water_density", "tube", "shaft_weight"),
    goal="Work out the moment at the grip and say which end sinks.",
    outside="trim::test_a_metre_stick_balances_on_a_knife_edge",
    right=_moments,
    slips=(
        Slip("tube's end for the grip", "the levers were taken from the tube's end; take them from "
             "the grip.", lambda n: _moments(n, grip_cm=0.0)),
        Slip("grip on the wrong side", "the grip's place is below zero, so taking it away makes "
             "every lever longer. Mind the two minus signs.",
             lambda n: _moments(n, grip_cm=-n.grip_cm)),
        Slip("sign turned round", "what lifts the muzzle is above zero here; yours is the other "
             "way round.", lambda n: _times(_moments(n), -1)),
        Slip("weights alone", "only the weights went in; the water lifts each part as well.",
             _weights_alone),
        Slip("mass for weight", "these are kilograms times metres; multiply by standard gravity.",
             lambda n: _times(_moments(n), 1 / STANDARD_GRAVITY)),
        Slip("shaft added", "the shaft pulls down: its moment is taken off.",
             lambda n: _moments(n, shaft=-_own_shaft(n))),
        Slip("shaft at the tube's middle", "the shaft's middle is not the tube's middle; its place "
             "stands among your numbers.", lambda n: _moments(n, shaft_cm=n.barrel_cm / 2)),
    ),
)


def _whole(n: Numbers) -> Trim:
    """Return the gun with its shaft in, from tube, table and shaft."""
    gun = _gun(n)
    return sum_parts((*gun.parts, _shaft(n, n.shaft_mm)), gun.water_density, gun.grip)


def _hanging(n: Numbers, mass_cm: float, volume_cm: float) -> float:
    """Angle [rad] of a gun with these centres and the learner's difference in height."""
    two = (Part("mass", 1.0, 0.0, mass_cm / 100, -n.centre_gap_mm / 1e3),
           Part("water", 0.0, 1e-3, volume_cm / 100))
    return float(sum_parts(two, _rho(n)).submerged_angle)


def _centres(n: Numbers) -> tuple[float, float]:
    gun = _whole(n)
    return float(gun.centre_of_mass) * 100, float(gun.centre_of_buoyancy) * 100


def _balance(n: Numbers) -> tuple[float, float, float]:
    mass, volume = _centres(n)
    return mass, volume, float(np.degrees(_hanging(n, mass, volume)))


def _angle_instead(n: Numbers, of: Any) -> tuple[float, float, float]:
    mass, volume, angle = _balance(n)
    return mass, volume, float(of(np.radians(angle)))


BALANCE = RowItem(
    key="balance", title="Centres, and the angle when let go", variable="balance", length=3,
    unit="cm, cm and degrees", points=2, page="trim/balance", uses=("water_density", "tube"),
    tolerance=0.002,
    goal="Find the centre of mass and the centre of buoyancy, and how the gun hangs when let go.",
    outside="trim::test_a_submarine_hangs_with_its_weight_below_its_buoyancy",
    right=_balance,
    slips=(
        Slip("centres changed over", "the two centres are in the wrong order: mass first.",
             lambda n: (_balance(n)[1], _balance(n)[0], _balance(n)[2])),
        Slip("from the grip", "the centres were measured from the grip; measure them from the "
             "tube's end, as in the table.",
             lambda n: (_balance(n)[0] - n.grip_cm, _balance(n)[1] - n.grip_cm, _balance(n)[2])),
        Slip("radians", "the angle is in radians; turn it into degrees.",
             lambda n: _angle_instead(n, lambda angle: angle)),
        Slip("quotient turned over", "the angle is from the horizon: the way along the gun goes "
             "above the line, the height below it.",
             lambda n: _angle_instead(n, lambda a: np.degrees(np.arctan(1 / np.tan(a))))),
        Slip("sign turned round", "the angle's sign is turned round: with the centre of mass ahead "
             "of the centre of buoyancy the muzzle points down.",
             lambda n: _angle_instead(n, lambda a: -np.degrees(a))),
        Slip("shaft left out", "the shaft is missing; it belongs to the gun that is let go.",
             lambda n: (float(_gun(n).centre_of_mass) * 100,
                        float(_gun(n).centre_of_buoyancy) * 100, float(np.degrees(_hanging(
                            n, _gun(n).centre_of_mass * 100,
                            _gun(n).centre_of_buoyancy * 100))))),
    ),
)


# --- what it costs, and how to mend it ------------------------------------------------------------

def _pulls(n: Numbers, force: float | None = None, moment: float | None = None) -> Trim:
    """Return a gun of the learner's own net force and moment, shaft in."""
    return replace(_gun(n), net_force=float(n["net_force"][1]) if force is None else force,
                   grip_moment=float(n["moment"][1]) if moment is None else moment)


def _cost(n: Numbers, pulls: Trim | None = None, arm_cm: float | None = None
          ) -> tuple[float, float, float]:
    """Force at the hand [N], work of the ascent [J], lead [g]."""
    gun = _pulls(n)
    held = holding(gun if pulls is None else pulls, n.arm_cm / 100 if arm_cm is None
                   else arm_cm / 100)
    return (float(held.force_at_hand), -float(gun.net_force) * n.dive_m,
            float(belt_lead(gun)) * 1e3)


def _lead_in_air(n: Numbers) -> float:
    return float(-n["net_force"][1] / STANDARD_GRAVITY * 1e3)


COST = RowItem(
    key="cost", title="What the gun costs", variable="cost", length=3,
    unit="N, J and g", points=2, page="trim/cost", uses=("water_density", "net_force", "moment",
                                                        "tube"),
    goal="Say what a heavy gun costs to hold, to swim up, and in lead.",
    outside="trim::test_work_against_boyles_law_in_closed_form",
    right=_cost,
    slips=(
        Slip("moment forgotten", "the first number leaves the moment out; over the arm's length it "
             "adds to the net force.", lambda n: _cost(n, _pulls(n, moment=0.0))),
        Slip("moment not divided", "divide the moment by the arm's length before you add the net "
             "force; a moment is no force.",
             lambda n: (-float(n["net_force"][1] + n["moment"][1]), *_cost(n)[1:])),
        Slip("multiplied by the arm", "the moment was multiplied by the arm's length; a longer arm "
             "needs less at the hand, so divide.",
             lambda n: (-float(n["net_force"][1] + n["moment"][1] * n.arm_cm / 100),
                        *_cost(n)[1:])),
        Slip("signs against each other", "here the moment adds to the load: both it and the net "
             "force pull down, so both get a minus.",
             lambda n: (_cost(n, _pulls(n, moment=-float(n["moment"][1])))[0], *_cost(n)[1:])),
        Slip("sign turned round", "what the diver must do counts above zero: turn the signs of the "
             "net force and the moment round.", lambda n: _times(_cost(n), -1)),
        Slip("lead weighed in air", "lead displaces water as well, so it takes more of it; divide "
             "by the bracket with the two densities too.",
             lambda n: (*_cost(n)[:2], _lead_in_air(n))),
        Slip("depth left out", "the work is the pull times the depth.",
             lambda n: (_cost(n)[0], -float(n["net_force"][1]), _cost(n)[2])),
    ),
)


def _neutral_mm(n: Numbers) -> float:
    """Return the diameter [mm] at which the learner's net force is zero, 0 if there is none."""
    share = n["net_force"][0] / _own_shaft(n)
    return float(n.shaft_mm * np.sqrt(share)) if share > 0 else 0.0


def _curve(n: Numbers, mm: Any) -> Any:
    """Net force [N] over the shaft's diameter, by the learner's own function."""
    return np.array([n["net_force"][0] - n["shaft_weight"](float(one))
                     for one in np.atleast_1d(mm)])


def _marked(drawn: Drawn, mm: float) -> bool:
    """Return whether a single mark stands on the line of no net force at this diameter."""
    return any(len(curve) < 5 and abs(x - mm) < 0.01 * mm and abs(y) < 0.01
               for curve in drawn.curves for x, y in curve)


def _plot_faults(drawn: Drawn, n: Numbers) -> str:
    if not drawn.x_label or not drawn.y_label:
        return "no axis labels"
    if not drawn.lines():
        return "no curve"
    def wanted(mm: Any) -> Any:
        return _curve(n, mm)

    at = np.array([4.0, 4.6, 5.2, 5.8, 6.4, 7.0, 7.6])
    at = at[np.abs(at - _neutral_mm(n)) > 0.5]  # near zero a share of the force is no measure
    if not drawn.follows(wanted, at, CURVE_TOLERANCE):
        turned = Drawn(drawn.y_label, drawn.x_label, tuple(c[:, ::-1] for c in drawn.curves))
        if turned.follows(wanted, at, CURVE_TOLERANCE):
            return "axes swapped"
        if drawn.follows(lambda mm: -wanted(mm), at, CURVE_TOLERANCE):
            return "sign turned round"
        alone = drawn.follows(lambda mm: n["net_force"][0] - wanted(mm), at, CURVE_TOLERANCE)
        return "shaft alone" if alone else "curve elsewhere"
    if "mm" not in drawn.x_label:
        return "no unit"
    neutral = _neutral_mm(n)
    return "" if not neutral or _marked(drawn, neutral) else "no mark"


def _plot(n: Numbers, *, swap: bool = False, labels: tuple[str, str] = (
        "shaft diameter in mm", "net force in N"), sign: float = 1.0, base: float | None = None,
        curve: bool = True, mark: bool = True, factor: float = 1.0) -> Any:
    """Draw net force over shaft diameter as a learner would, with one thing wrong if asked."""
    from matplotlib.figure import Figure

    axes = Figure().add_subplot()
    along = np.linspace(3.0, 8.0, 30)
    force = sign * (_curve(n, along * factor) if base is None else n["net_force"][0]
                    - _curve(n, along))
    if curve:
        axes.plot(*((force, along) if swap else (along, force)))
    if mark:
        neutral = _neutral_mm(n)
        axes.plot(*((0, neutral) if swap else (neutral, 0)), "o")
    axes.set_xlabel(labels[swap])
    axes.set_ylabel(labels[not swap])
    return axes


NEUTRAL_PLOT = PlotItem(
    key="neutral_plot", title="Which shaft makes it neutral?", variable="axes",
    unit="", points=2, page="trim/tuning", uses=("net_force", "shaft_weight"),
    tolerance=CURVE_TOLERANCE,
    goal="Draw net force over shaft diameter and mark the shaft that makes the gun neutral.",
    outside="trim::test_a_seven_millimetre_shaft_eases_it",
    faults=_plot_faults,
    right=_plot,
    slips=(
        Slip("no axis labels", "somebody else must be able to read it: label both axes.",
             lambda n: _plot(n, labels=("", ""))),
        Slip("no curve", "draw the net force as a smooth line, at 20 diameters or more.",
             lambda n: _plot(n, curve=False)),
        Slip("curve elsewhere", "the line is not that of your gun: net force shaft out, less the "
             "weight in water of a shaft of that diameter.", lambda n: _plot(n, factor=1.1)),
        Slip("axes swapped", "the diameter belongs on the level axis and the net force on the "
             "upright one.", lambda n: _plot(n, swap=True)),
        Slip("sign turned round", "the thicker the shaft, the harder the gun sinks: the line must "
             "fall.", lambda n: _plot(n, sign=-1.0)),
        Slip("shaft alone", "this is the shaft's weight alone; take it from the net force of the "
             "gun with its shaft out.", lambda n: _plot(n, base=1.0)),
        Slip("no unit", "say in which unit the diameter is: the label of the level axis wants mm.",
             lambda n: _plot(n, labels=("shaft diameter", "net force in N"))),
        Slip("no mark", "mark the one diameter at which the net force is zero, on the line of "
             "zero.", lambda n: _plot(n, mark=False)),
    ),
)


def _bare(n: Numbers) -> tuple[float, float, float]:
    """Net force, shaft out and shaft in [N], and moment at the grip, shaft in [N m]."""
    gun = _gun(n)
    with_shaft = sum_parts((*gun.parts, _shaft(n, n.shaft_mm)), gun.water_density, gun.grip)
    return float(gun.net_force), float(with_shaft.net_force), float(with_shaft.grip_moment)


def _piece_fault(n: Numbers, bare: tuple[float, float, float], letter: str, place_cm: float
                 ) -> str:
    """Return the first fault of a piece on the tube, "" if it does what is asked."""
    if not 3 <= place_cm <= n.barrel_cm - 3:
        return "off the tube"
    lift = float(_summed(((*SHELF[letter], 0.0),), _rho(n), 0.0).net_force)
    out, inside, moment = bare
    moment += lift * (place_cm - n.grip_cm) / 100
    if out + lift <= 0:
        return "sinks with the shaft out"
    if inside + lift < -MOST_FORCE:
        return "still heavy"
    if inside + lift > MOST_FORCE:
        return "too much float"
    if moment < -MOST_MOMENT:
        return "muzzle sinks"
    return "muzzle rises" if moment > MOST_MOMENT else ""


def _design_faults(design: tuple[str, float], n: Numbers) -> str:
    return _piece_fault(n, _bare(n), *design)


def _design(n: Numbers, fault: str = "") -> tuple[str, float]:
    """Return a design whose first fault is this one: the middle one of all those tried."""
    bare = _bare(n)
    found = [(letter, place) for letter in SHELF for place in range(int(n.barrel_cm) - 3, 2, -2)
             if _piece_fault(n, bare, letter, place) == fault]
    letter, place = found[len(found) // 2]
    return letter, float(place)


DESIGN = DesignItem(
    key="design", title="Choose a float and its place", variable="chosen",
    unit="", points=3, page="trim/tuning", uses=("water_density", "tube"), tolerance=0.0,
    asks=(("the piece", "ABCDEFG"), ("its place in cm", "")),
    goal="Choose a float and its place so that the gun hovers level and never sinks without its "
         "shaft.",
    outside="trim::test_where_the_fulcrum_goes_under_a_loaded_rule",
    faults=_design_faults,
    right=_design,
    slips=(
        Slip("off the tube", "its middle must lie on the tube, three centimetres or more from "
             "either end.", lambda n: ("C", n.barrel_cm + 10.0)),
        Slip("sinks with the shaft out", "with this piece the gun sinks once the shaft is away, "
             "and is lost when you let go; take a piece that lifts.",
             lambda n: ("G", n.barrel_cm / 2)),
        Slip("still heavy", "the shaft in, the gun still sinks too hard; it wants a piece with "
             "more lift.", lambda n: _design(n, "still heavy")),
        Slip("too much float", "the shaft in, the gun now pulls up too hard; take a piece with "
             "less lift.", lambda n: _design(n, "too much float")),
        Slip("muzzle sinks", "the piece fits, its place does not: the muzzle still sinks. Move it "
             "forward.", lambda n: _design(n, "muzzle sinks")),
        Slip("muzzle rises", "the piece fits, its place does not: it lifts the muzzle too much. "
             "Move it nearer to the grip.", lambda n: _design(n, "muzzle rises")),
    ),
)


def _doubts(n: Numbers) -> Any:
    """Return the three doubts in newtons."""
    return np.array([n.handle_doubt_ml * _rho(n) / 1e3, n.muzzle_doubt_ml * _rho(n) / 1e3,
                     n.mass_doubt_g]) / 1e3 * STANDARD_GRAVITY


def _about(n: Numbers, doubt: float) -> tuple[float, float]:
    force = float(n["net_force"][1])
    return force - doubt, force + doubt


def _root_sum_square(n: Numbers) -> float:
    return float(np.sqrt((_doubts(n) ** 2).sum()))


INTERVAL = IntervalItem(
    key="interval", title="Net force with its doubt", variable="net_force_interval_N",
    unit="N", points=2, page="trim/parts", uses=("water_density", "net_force"), tolerance=0.002,
    goal="Give a net force with its doubt instead of a bare number.",
    outside="doubt::test_doubts_add_as_the_guide_to_uncertainty_says",
    right=lambda n: _about(n, _root_sum_square(n)),
    slips=(
        Slip("sum for root-sum-square", "the three doubts were simply added, as if they always "
             "came together; square, add, and take the root.",
             lambda n: _about(n, float(_doubts(n).sum()))),
        Slip("largest only", "only the largest doubt went in; all three count.",
             lambda n: _about(n, float(_doubts(n).max()))),
        Slip("root forgotten", "the squares were added and left so; take the root.",
             lambda n: _about(n, float((_doubts(n) ** 2).sum()))),
        Slip("mass for weight", "the doubt is still in kilograms; multiply by standard gravity.",
             lambda n: _about(n, _root_sum_square(n) / STANDARD_GRAVITY)),
        Slip("half of it on each side", "the whole doubt goes to each side, not half of it.",
             lambda n: _about(n, _root_sum_square(n) / 2)),
        Slip("high before low", "the two ends are in the wrong order: low first. Below zero, the "
             "low end is the one that sinks harder.",
             lambda n: _about(n, _root_sum_square(n))[::-1]),
        Slip("sign turned round", "both signs are turned round; what sinks is below zero.",
             lambda n: tuple(-one for one in _about(n, _root_sum_square(n))[::-1])),
    ),
)

SAFETY_CHOICE = ChoiceItem(
    key="safety_choice", title="The heavy gun and the belt", variable="what_to_do",
    unit="", points=2, page="trim/cost", tolerance=0.0, letters="ABCDEF",
    goal="Decide how a gun's trim is tested and what never follows from it.",
    outside="trim::test_the_aluminium_muzzle_sinks_at_rest_with_a_shaft_in",
    right=lambda n: "BDF",
    slips=(
        Slip("lead taken off", "A makes the diver's own buoyancy depend on a gun that may be lost "
             "any moment. The belt is set with an instructor, without the gun.", lambda n: "ABDF"),
        Slip("loaded in the tub", "C is how people are hurt: trim is tested with the bands off the "
             "notch, never loaded.", lambda n: "BCDF"),
        Slip("diving after it", "E is how people drown: a gun that sinks is not worth a dive that "
             "was not planned.", lambda n: "BDEF"),
        Slip("no partner", "something is missing: think of who watches, how deep, and what is on "
             "the notch.", lambda n: "DF"),
        Slip("no line", "something is missing: think of a gun that sinks and is let go.",
             lambda n: "BF"),
        Slip("no leak test", "something is missing: think of a tube that fills slowly, and what "
             "that does to all your numbers.", lambda n: "BD"),
    ),
)

EXERCISE = Exercise(
    key="trim",
    version="1",
    pages={
        "trim/buoyancy": "What pushes up",
        "trim/parts": "The gun, part by part",
        "trim/balance": "Which end sinks",
        "trim/cost": "What a heavy gun costs",
        "trim/tuning": "Floats, ballast, shafts and tubes",
    },
    draws=(
        Draw("water_degC", "", (12, 14, 16, 18, 20, 22, 24, 26)),
        Draw("salinity", "", (24, 28, 32, 35, 37, 39)),
        Draw("bottle_ml", "what your bottle holds, to the brim", (520, 535, 770, 785, 1030, 1045)),
        Draw("bottle_empty_g", "the empty bottle on the scale", (38, 41, 44, 47, 62, 75)),
        Draw("barrel_cm", "length of your tube", tuple(range(110, 145, 5))),
        Draw("outer_mm", "outer diameter of your tube", (27.0, 27.5, 28.0, 28.5, 29.0)),
        Draw("wall_mm", "wall of your tube", (1.2, 1.3, 1.4, 1.5)),
        Draw("beyond_cm", "", (40, 45)),
        Draw("handle_g", "", tuple(range(400, 480, 10))),
        Draw("handle_ml", "", tuple(range(350, 400, 10))),
        Draw("muzzle_g", "", tuple(range(160, 210, 10))),
        Draw("muzzle_ml", "", tuple(range(95, 125, 5))),
        Draw("grip_cm", "where your hand's middle holds the gun", (-6.0, -5.0, -4.0)),
        Draw("centre_gap_mm", "how far the two centres lie apart in height, shaft in",
             tuple(range(6, 13))),
        Draw("arm_cm", "your diver's arm, from the shoulder to the grip", tuple(range(60, 72, 2))),
        Draw("dive_m", "depth of your dive", tuple(range(8, 19))),
        Draw("handle_doubt_ml", "doubt about the handle's volume", (8, 9, 10, 11, 12)),
        Draw("muzzle_doubt_ml", "doubt about the muzzle's volume", (5, 6, 7)),
        Draw("mass_doubt_g", "doubt about all masses together", (6, 8, 10)),
    ),
    derive=_readings,
    meanings={
        "bottle_full_g": "the same bottle full of your water, on the scale",
        "shaft_mm": "diameter of your shaft",
        "shaft_cm": "length of your shaft",
        "shaft_place_cm": "where the shaft's middle lies",
        "mass_g": "masses of plugs, handle, muzzle and band, in this order",
        "volume_ml": "water that each of the four displaces; the plugs lie inside the sealed tube",
        "place_cm": "where the middle of each of the four lies",
    },
    safety={
        "trim/buoyancy": "Know your own buoyancy from a certified freediving course, not from a "
                         "page about guns.",
        "trim/parts": "A sealed tube that leaks turns a gun that floats into one that sinks, with "
                      "no warning.",
        "trim/balance": "Look where the muzzle points before you take hold of a gun that hangs or "
                        "floats.",
        "trim/cost": "Never wear less lead to make up for a heavy gun.",
        "trim/tuning": "Test trim unloaded, in a tub or in shallow water, with a partner.",
    },
    items=(WATER_DENSITY, TUBE, SHAFT_WEIGHT, NET_FORCE, SPOT, LIFT_TABLE, MOMENT, BALANCE, COST,
           NEUTRAL_PLOT, DESIGN, INTERVAL, SAFETY_CHOICE),
)
