"""Unit `trim` against what others published, and against facts of the trade.

Beside each check: its source, the place, and how the number was obtained, in a word of
`bandwork.handbook.OBTAINED`. OpenStax is *University Physics* 1 by Moebs, Ling and Sanny.
"""

import numpy as np
import pytest
from bandwork.components import Band, Barrel, Fitting, Shaft, ShootingLine, Water
from bandwork.handbook import lookup
from bandwork.trim import (
    Part,
    ascent_work,
    at_rest,
    balance_with_one,
    balance_with_two,
    belt_lead,
    gun_trim,
    holding,
    parts_of,
    sum_parts,
)
from bandwork.units import kgf_from_newton
from bandwork.water import gauge_pressure

pytestmark = pytest.mark.outside

FRESH = 1000.0
G = 9.80665


def afloat(*parts, density=FRESH):
    return at_rest(sum_parts(parts, density))


def body(density, litres=1.0):
    return Part("body", density * litres * 1e-3, litres * 1e-3, 0.0, length=1.0, diameter=0.05)


# --- floating and sinking -------------------------------------------------------------------------

@pytest.mark.parametrize(("density", "water", "printed", "digit", "place"), [
    (970, 1000, 0.970, 5e-4, "example, floating woman"),
    (995, 1000, 0.995, 5e-4, "problem, person of 995 kg/m3, fresh water"),
    (995, 1027, 0.969, 5e-4, "problem, person of 995 kg/m3, salt water of 1027 kg/m3"),
    (960, 1000, 0.9600, 5e-5, "problem, 4.00 % above the surface"),
    (240, 1000, 0.24, 5e-3, "problem, plain cork"),
])
def test_share_of_a_floating_body_under_water(density, water, printed, digit, place):
    """OpenStax 14.4 (m58356), examples and problems with printed answers (seen)."""
    assert afloat(body(density), density=water).submerged_share == pytest.approx(
        printed, abs=digit), place


def test_the_same_body_stands_higher_in_the_sea():
    """OpenStax 14.4 (m58356), problem (seen): 960 kg/m3 has 6.34 % above sea water.

    The book's sea water is not printed there; 1025 kg/m3 gives its digits (computed).
    """
    above = 1 - afloat(body(960), density=1025).submerged_share
    assert 100 * above == pytest.approx(6.34, abs=5e-3)


def test_a_magnet_on_a_cork():
    """OpenStax 14.4 (m58356), problem (seen): 10.0 g of cork under 20.0 g: 0.72 submerged.

    The magnet stands above the water, so it has mass and displaces nothing.
    """
    cork = Part("cork", 0.010, 0.010 / lookup("cork.density").value, 0.0, length=0.1,
                diameter=0.02)
    magnet = Part("magnet", 0.020, 0.0, 0.0, 0.02)
    assert afloat(cork, magnet).submerged_share == pytest.approx(0.72, abs=5e-3)


def test_apparent_mass_of_iron_in_alcohol():
    """OpenStax 14.4 (m58356), problem (seen): 390.0 g, 50 cm3, 0.79 g/cm3 -> 350.5 g."""
    iron = sum_parts((Part("iron", 0.3900, 50e-6, 0.0),), 790)
    assert -1000 * kgf_from_newton(iron.net_force) == pytest.approx(350.5, abs=0.05)


@pytest.mark.parametrize(("key", "printed"), [("lead.density", 11300), ("cork.density", 240)])
def test_densities_of_ballast_and_float(key, printed):
    """OpenStax 14.1 (m58353), table of densities (seen); College Physics 11.1 prints the same."""
    assert lookup(key).value == printed


# --- moments --------------------------------------------------------------------------------------

def dry(*weights):
    """Weights on a stick, in next to no water: a cubic millimetre of it each."""
    return tuple(Part(str(i), mass, 1e-9, place) for i, (mass, place) in enumerate(weights))


def test_a_metre_stick_balances_on_a_knife_edge():
    """Halliday, Resnick and Walker's problem as solved on zanotowane.pl/1004/6267 (seen).

    Two nickels of 5.00 g at 0.120 m, a stick of 74 g with its middle at 0.500 m, edge at 0.455 m.
    Tolerance: half a gram of the printed 74 g on its lever.
    """
    stick = sum_parts(dry((0.010, 0.120), (0.074, 0.500)), 1000, grip=0.455)
    assert stick.grip_moment == pytest.approx(0, abs=0.0005 * G * 0.045)
    assert stick.centre_of_mass == pytest.approx(0.455, abs=4e-4)


def test_three_masses_on_a_metre_stick():
    """OpenStax 12.2 (m58340), worked example (from memory): 316.7 g balances, the edge bears 5.8 N.

    50 g, 75 g and the stick's 150 g stand 70, 40 and 20 cm to one side of the edge, the unknown
    30 cm to the other.
    """
    known = (0.050, -0.70), (0.075, -0.40), (0.150, -0.20)
    missing = sum_parts(dry(*known), 1000, grip=0.0).grip_moment / (G * 0.30)
    assert 1000 * missing == pytest.approx(316.7, abs=0.05)
    whole = sum_parts(dry(*known, (missing, 0.30)), 1000, grip=0.0)
    assert whole.grip_moment == pytest.approx(0, abs=1e-5)
    assert holding(whole, 0.5).hand_force == pytest.approx(5.8, abs=0.05)


def test_where_the_fulcrum_goes_under_a_loaded_rule():
    """A schoolbook exercise, jiskha.com 1821856 (seen): 100 g at 0, 25 g at 100 cm, rule of 40 g.

    It balances at 27.3 cm; there the one force that holds it up must go.
    """
    rule = sum_parts(dry((0.100, 0.0), (0.025, 1.0), (0.040, 0.5)), 1000, grip=0.0)
    piece = balance_with_one(rule)
    assert 100 * piece.position == pytest.approx(27.3, abs=0.05)
    assert kgf_from_newton(piece.force) == pytest.approx(0.165, abs=1e-5)


def test_two_props_share_a_plank_by_the_lever():
    """Law of the lever, Archimedes, On the Equilibrium of Planes: a load at 1/4 of the span.

    Three quarters of it on the near prop, one quarter on the far one.
    """
    near, far = balance_with_two(sum_parts(dry((1.0, 0.25)), 1000, grip=0.0), 0.0, 1.0)
    assert near.force / (near.force + far.force) == pytest.approx(0.75, abs=1e-9)


# --- afloat at an angle ---------------------------------------------------------------------------

@pytest.mark.parametrize(("more", "upright"), [(0.98, False), (1.02, True)])
def test_a_rod_tied_to_the_floor(more, upright):
    """A rod of 6 m and specific gravity 25/36 on a rope at one end floats with 1 m out of water.

    An examination problem with its answer on byjus.com and infinitylearn.com (seen). The rope pulls
    with the weight of (5 - 25/6) m of water-filled rod. A weight like that at the end, in place of
    the rope, is at the edge between a rod that stands upright and one that lies down: 2 % to
    either side decide it, and 1 m stands out at the edge itself.
    """
    a_metre = 1e-3
    rod = Part("rod", 25 / 36 * 6 * a_metre, 6e-6, 3.0, length=6.0, diameter=0.00113)
    pull = Part("rope", more * (5 - 25 / 6) * a_metre, 0.0, 0.0)
    lies = afloat(rod, pull)
    assert 6 * (1 - lies.submerged_share) == pytest.approx(1.0, abs=0.02)
    assert np.degrees(lies.angle) == pytest.approx(90 if upright else 0, abs=0.1)


@pytest.mark.parametrize("moved", [0.05, 0.10])
@pytest.mark.parametrize("half_angle", [45, 60, 90, 120])
def test_trim_of_a_log_by_the_ship_builders_formula(moved, half_angle):
    """Longitudinal metacentre: tan(trim) = w d/(W GM), GM = I/V - BG, I = B L^3/12 (from memory).

    Naval architecture's formula for a weight w moved by d aboard; such as Nicholls's Seamanship,
    "cargo and trim" (formula in words seen). A log of 1 m and 50 mm is under up to the half-angle a
    of its segment: waterline 2 r sin a, area r^2 (a - sin a cos a), its middle
    2 r sin^3 a/[3 (a - sin a cos a)] below the axis (from memory). 1 %: small angles.
    """
    radius, length, w, a = 0.025, 1.0, 0.004, np.radians(half_angle)
    segment = a - np.sin(a) * np.cos(a)
    under = radius**2 * segment * length
    log = Part("log", FRESH * under - w, np.pi * radius**2 * length, 0.0, length=length,
               diameter=2 * radius)
    metacentric = ((2 * radius * np.sin(a) * length**3 / 12) / under
                   - 2 * radius * np.sin(a) ** 3 / (3 * segment))
    lies = afloat(log, Part("weight", w, 0.0, moved))
    assert np.tan(-lies.angle) == pytest.approx(w * moved / (FRESH * under * metacentric),
                                                rel=0.01)


def test_a_submarine_hangs_with_its_weight_below_its_buoyancy():
    """Statics of submerged bodies, in every textbook (from memory): tan(pitch) = GB moved/GB below.

    10 kg of ballast moved 1 m ahead in 1000 kg whose centre lies 5 cm below: 10/(1000 x 0.05), bow
    down.
    """
    hull = Part("hull", 0.0, 1.0, 0.0, 0.0, length=5.0, diameter=0.5)
    engine = Part("engine", 990.0, 0.0, 0.0, -0.05)
    ballast = Part("ballast", 10.0, 0.0, 1.0, -0.05)
    boat = sum_parts((hull, engine, ballast), FRESH)
    assert np.tan(-boat.submerged_angle) == pytest.approx(10 / (1000 * 0.05), rel=1e-9)


# --- depth ----------------------------------------------------------------------------------------

def bladder(depth, share=1.0):
    barrel = Barrel(1.2, others=(Fitting("bladder", 0.01, 1e-3, 0.5, 0.0, share),))
    parts = parts_of(BAND, Shaft(0.007, 1.6), barrel, LINE, Water(depth=depth))
    return next(part for part in parts if part.name == "bladder")


BAND, LINE, SEA = Band(0.016, 0.003, 0.65), ShootingLine(0.0017), Water()


@pytest.mark.parametrize(("depth", "printed"), [(5, 0.668), (10, 0.501), (15, 0.401), (20, 0.335),
                                                (30, 0.251)])
def test_boyles_law_in_the_sea(depth, printed):
    """Boyle's law with TEOS-10's pressure at latitude 40 (computed with gsw 3.6.23)."""
    assert bladder(float(depth)).volume / 1e-3 == pytest.approx(printed, abs=5e-4)


@pytest.mark.parametrize(("depth", "part"), [(10, 1 / 2), (20, 1 / 3), (30, 1 / 4)])
def test_air_at_ten_metres_is_half(depth, part):
    """Taught to every diver: half at 10 m, a third at 20 m (common practice, no source)."""
    assert bladder(float(depth)).volume / 1e-3 == pytest.approx(part, rel=0.01)


def test_work_against_boyles_law_in_closed_form():
    """A litre of soft air lifts with rho g V0/(1 + rho g z/p0); the work is p0 V0 ln(p/p0).

    Isothermal work of an ideal gas, as in OpenStax, University Physics 2, 3.5 (from memory). The
    difference of two guns leaves the air alone; 2e-3 for g at latitude 40 and the sea's own
    squeeze.
    """
    def gun(share):
        barrel = Barrel(1.2, others=(Fitting("bladder", 0.01, 1e-3, 0.5, 0.0, share),))
        return ascent_work(BAND, Shaft(0.007, 1.6), barrel, LINE, SEA, 20.0)
    lost = gun(0.0) - gun(1.0)
    rigid = -SEA.density * G * 1e-3 * 20
    soft = -101325 * 1e-3 * np.log((101325 + gauge_pressure(20.0)) / 101325)
    assert lost == pytest.approx(rigid - soft, rel=5e-3)
    assert soft == pytest.approx(-110.8, abs=0.2)


# --- masses ---------------------------------------------------------------------------------------

@pytest.mark.parametrize(("outer", "wall", "printed"), [
    (20, 1.0, 0.167), (25, 0.8, 0.170), (25, 1.0, 0.211), (32, 1.0, 0.273), (50, 1.0, 0.431)])
def test_mass_of_aluminium_tube_by_the_metre(outer, wall, printed):
    """An aerospace stockholder's table of aluminium tube at 2.80 g/cm3, kg/m (seen).

    Ours has the handbook's 2700 kg/m3, so the printed mass is taken over the densities.
    """
    barrel = Barrel(1.0, material="aluminium", outer_diameter=outer / 1000, wall=wall / 1000)
    parts = parts_of(Band(0.016, 0.003, 0.5), Shaft(0.007, 1.4), barrel, LINE, SEA)
    assert parts[0].name == "tube"
    assert parts[0].mass * 2800 / 2700 == pytest.approx(printed, abs=6e-4)


@pytest.mark.parametrize(("millimetres", "printed"), [(6, 0.222), (8, 0.395), (10, 0.617)])
def test_mass_of_round_steel_by_the_metre(millimetres, printed):
    """Trade tables of round steel bar at 7850 kg/m3, kg/m (seen; one of them rounds to 0.616)."""
    parts = parts_of(BAND, Shaft(millimetres / 1000, 1.0, density=7850), Barrel(1.2), LINE, SEA)
    shaft = next(part for part in parts if part.name == "shaft")
    assert shaft.mass == pytest.approx(printed, abs=6e-4)


# --- facts of the trade: common practice, no source -----------------------------------------------

def usual(length, diameter=0.007, material="carbon", state="shaft_in"):
    """A roller gun in the handbook's fittings, half the barrel plus 5 cm of band.

    The shaft is 40 cm longer than the barrel, so that the tip stands ahead of the roller by the
    handbook's 25 cm on every barrel.
    """
    return gun_trim(Band(0.016, 0.003, np.asarray(length) / 2 + 0.05),
                    Shaft(diameter, np.asarray(length) + 0.40), Barrel(length, material=material),
                    LINE, SEA, state)


@pytest.mark.parametrize("material", ["carbon", "aluminium"])
def test_the_longer_the_barrel_the_more_buoyancy_in_proportion(material):
    """Common practice, no source. Net force over weight, shaft out, from 90 to 130 cm.

    Carbon 0.24 to 0.36, aluminium 0.11 to 0.18: handle and muzzle are shared by more tube.
    """
    guns = usual(np.array([0.9, 1.0, 1.1, 1.2, 1.3]), material=material, state="shaft_out")
    assert (np.diff(guns.net_force / guns.weight) > 0.01).all()


@pytest.mark.parametrize("material", ["carbon", "aluminium"])
@pytest.mark.parametrize("length", [1.10, 1.20, 1.30])
def test_both_float_with_the_shaft_out(material, length):
    """Common practice, no source. A 120: +3.7 N in carbon, +2.1 N in aluminium.

    Afloat they lie within half a degree of level.
    """
    lies = at_rest(usual(length, material=material, state="shaft_out"))
    assert lies.floats
    assert abs(np.degrees(lies.angle)) < 1


@pytest.mark.parametrize("diameter", [0.007, 0.0075])
@pytest.mark.parametrize("state", ["shaft_in", "loaded"])
def test_the_aluminium_muzzle_sinks_at_rest_with_a_shaft_in(diameter, state):
    """Common practice, no source. A 120: -1.6 N m at the grip with 7 mm, -2.0 N m with 7.5 mm."""
    gun = usual(1.20, diameter, "aluminium", state)
    assert gun.grip_moment < -1.0
    assert np.degrees(at_rest(gun).angle) < -60
    assert belt_lead(gun) > 0.15


@pytest.mark.parametrize("material", ["carbon", "aluminium"])
def test_a_seven_millimetre_shaft_eases_it(material):
    """Common practice, no source. A 120, moment: -2.0 to -1.6 N m in aluminium, a fifth less."""
    thick, thin = (usual(1.20, diameter, material) for diameter in (0.0075, 0.007))
    assert thin.grip_moment - thick.grip_moment > 0.4
    assert thin.net_force - thick.net_force > 0.5
    assert holding(thin).force_at_hand < 0.85 * holding(thick).force_at_hand


def test_a_carbon_muzzle_sinks_too_but_three_times_less():
    """Common practice, no source, speaks of the aluminium muzzle alone: here the model differs.

    With the handbook's fittings the muzzle of a carbon 120 with a 7 mm shaft sinks as well, with
    -0.53 N m against -1.58 N m in aluminium. The fittings decide: a roller muzzle of 180 instead of
    110 ml, or a tube of 32 instead of 28 mm, both within the handbook's ranges, lift it.
    """
    carbon, aluminium = (usual(1.20, material=material) for material in ("carbon", "aluminium"))
    assert -0.7 < carbon.grip_moment < 0
    assert aluminium.grip_moment < 2.5 * carbon.grip_moment
    big = lookup("muzzle.volume").high
    for barrel in (Barrel(1.2, muzzle=Fitting("muzzle", 0.18, big, 0.02)),
                   Barrel(1.2, outer_diameter=lookup("barrel.outer_diameter").high)):
        assert gun_trim(BAND, Shaft(0.007, 1.6), barrel, LINE, SEA).grip_moment > 0.2


def test_a_130_balances_a_thick_shaft_better_than_a_120_in_carbon():
    """Common practice, no source. 7.5 mm: -0.82 against -0.96 N, -0.94 against -0.97 N m.

    The weight at the hand at arm's length falls from 2.4 to 2.2 N. The 130 carries a shaft that is
    10 cm longer, and does better all the same.
    """
    short, long = usual(1.20, 0.0075), usual(1.30, 0.0075)
    assert short.net_force < long.net_force < 0
    assert short.grip_moment < long.grip_moment < 0
    assert holding(long).force_at_hand < 0.95 * holding(short).force_at_hand


def test_a_130_in_aluminium_floats_no_worse_but_its_muzzle_sinks_more():
    """Common practice, no source, says that it balances better: in aluminium the model differs.

    7.5 mm: the net force is the same within 0.01 N (-2.57 against -2.58), and the moment is worse
    by 0.15 N m (-2.17 against -2.02): 10 cm of 28 x 1.5 mm aluminium tube lift 0.29 N and 10 cm of
    7.5 mm shaft weigh 0.29 N. In proportion to the weight of the gun the net force is better,
    -0.135 against -0.141. A tube of 32 mm, within the handbook's range, makes both better.
    """
    short, long = (usual(length, 0.0075, "aluminium") for length in (1.20, 1.30))
    assert long.net_force == pytest.approx(short.net_force, abs=0.02)
    assert long.net_force / long.weight > short.net_force / short.weight
    assert long.grip_moment - short.grip_moment == pytest.approx(-0.15, abs=0.03)
    wide = [gun_trim(Band(0.016, 0.003, length / 2 + 0.05), Shaft(0.0075, length + 0.4),
                     Barrel(length, material="aluminium", outer_diameter=0.032), LINE, SEA)
            for length in (1.20, 1.30)]
    assert wide[1].net_force > wide[0].net_force
    assert wide[1].grip_moment > wide[0].grip_moment
