"""Unit `trim`: sums by hand, limits, how it scales, what it refuses."""

from dataclasses import fields, replace

import numpy as np
import pytest
from bandwork import InputError, trim
from bandwork.components import Band, Barrel, Fitting, Shaft, ShootingLine, Water
from bandwork.handbook import lookup
from bandwork.line import laid_length
from bandwork.trim import (
    Part,
    ascent_work,
    at_rest,
    balance_with_one,
    balance_with_two,
    belt_lead,
    gun_trim,
    holding,
    neutral_shaft_diameter,
    parts_of,
    sum_parts,
)
from bandwork.water import gauge_pressure
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import minimize

G = 9.80665
BAND, SHAFT, LINE, SEA = Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), ShootingLine(0.0017), Water()
STATES = ("loaded", "shaft_in", "shaft_out")
NUMBERS = [field.name for field in fields(trim.Trim)[1:]]


def gun(barrel=None, band=BAND, shaft=SHAFT, line=LINE, water=SEA):
    return band, shaft, Barrel(1.20) if barrel is None else barrel, line, water


def by_name(parts):
    return {part.name: part for part in parts}


def moment(result, about):
    """Of the forces about any place, from the result alone."""
    return (result.buoyant_force * (result.centre_of_buoyancy - about)
            - result.weight * (result.centre_of_mass - about))


# --- the parts ------------------------------------------------------------------------------------

def test_every_part_as_worked_out_by_hand():
    """A 120 carbon roller of 28 x 1.5 mm, loaded, in the handbook's fittings."""
    parts = by_name(parts_of(*gun(), "loaded"))
    assert list(parts) == ["tube", "plugs", "handle", "muzzle", "band, lower run",
                           "band, on the roller", "band, upper run", "shaft", "line"]
    tube, plugs, shaft, line = (parts[name] for name in ("tube", "plugs", "shaft", "line"))
    assert tube.mass == pytest.approx(np.pi * (0.014**2 - 0.0125**2) * 1.2 * 1600)
    assert tube.volume == pytest.approx(np.pi * 0.014**2 * 1.2)
    assert (tube.position, tube.length, tube.diameter) == (0.6, 1.2, 0.028)
    assert plugs.mass == pytest.approx(2 * 0.02 * np.pi * 0.0125**2 * 1410)
    assert (plugs.volume, plugs.position) == (0, 0.6)
    assert (parts["handle"].mass, parts["handle"].position) == (0.45, -0.05)
    assert parts["handle"].height == -0.05
    assert parts["muzzle"].position == pytest.approx(1.22)
    assert parts["muzzle"].volume == pytest.approx(1.1e-4)
    assert shaft.mass == pytest.approx(np.pi / 4 * 0.007**2 * 1.6 * 7800)
    assert shaft.position == pytest.approx(1.2 + 0.02 + 0.25 - 0.8)
    assert shaft.height == pytest.approx(0.014 + 0.0035)
    assert line.volume == pytest.approx(np.pi / 4 * 0.0017**2 * 3 * 1.19)
    assert line.mass == pytest.approx(970 * line.volume)
    assert line.position == pytest.approx(0.03 + 1.19 / 2)
    assert (tube.height, plugs.height, line.height, parts["band, on the roller"].height) == (0,) * 4


@pytest.mark.parametrize("wraps", [0, 1, 2, 3])
def test_the_line_is_nearly_what_its_own_unit_lays(wraps):
    line = ShootingLine(0.0017, wraps)
    counted = by_name(parts_of(*gun(line=line)))["line"].mass
    laid = laid_length(Barrel(1.2), SHAFT, line) * line.mass_per_length
    assert (laid - counted) * G * (SEA.density / 970 - 1) == pytest.approx(0, abs=0.001)
    assert counted == pytest.approx((2 * wraps + 1) * 1.19 * line.mass_per_length)


def test_a_fitting_counts_as_a_block_as_long_as_it_is_high():
    barrel = Barrel(1.2, others=(Fitting("reel", 0.3, 1.25e-4, 0.2, -0.07),))
    reel = by_name(parts_of(*gun(barrel)))["reel"]
    assert (reel.mass, reel.position, reel.height) == (0.3, 0.2, -0.07)
    assert reel.length == pytest.approx(0.05)
    assert np.pi / 4 * reel.diameter**2 * reel.length == pytest.approx(1.25e-4)


@pytest.mark.parametrize("kind", ["roller", "conventional"])
@pytest.mark.parametrize("state", STATES)
def test_the_rubber_lies_along_its_path_and_none_is_lost(kind, state):
    barrel = Barrel(1.2, kind=kind)
    runs = [part for name, part in by_name(parts_of(*gun(barrel), state)).items() if "band" in name]
    assert sum(run.mass for run in runs) == pytest.approx(BAND.mass)
    assert sum(run.volume for run in runs) == pytest.approx(BAND.volume)
    ends = [(run.position - run.length / 2, run.position + run.length / 2) for run in runs]
    if kind == "conventional":
        back = 0.03 if state == "loaded" else 1.22 - 0.65
        assert ends == [pytest.approx((back, 1.22))]
        assert runs[0].height == pytest.approx(0.014)
    else:
        assert ends[0] == pytest.approx((0.03, 1.22))
        assert ends[1] == pytest.approx((1.22, 1.22))
        assert runs[0].height == pytest.approx(-0.014)
        if state == "loaded":
            assert ends[2] == pytest.approx((0.03, 1.22))
            assert runs[2].height == pytest.approx(0.014)
            assert runs[1].mass / BAND.mass == pytest.approx(0.0125 * np.pi / barrel.loaded_path)
            assert runs[0].mass == pytest.approx(runs[2].mass)
        else:
            assert len(runs) == 2
    path = barrel.loaded_path if state == "loaded" else barrel.resting_path(0.65)
    assert runs[0].diameter == pytest.approx(0.016 / np.sqrt(path / 0.65))


@pytest.mark.parametrize("state", STATES)
def test_flooding_loses_the_water_in_the_bore(state):
    sealed, flooded = (gun_trim(*gun(Barrel(1.2, flooded=wet)), state) for wet in (False, True))
    bore = np.pi * 0.0125**2 * (1.2 - 2 * 0.02)
    assert flooded.mass == sealed.mass
    assert sealed.net_force - flooded.net_force == pytest.approx(SEA.density * G * bore)


def test_shaft_and_line_are_all_that_leaves():
    inside, outside = gun_trim(*gun()), gun_trim(*gun(), "shaft_out")
    gone = by_name(inside.parts)["shaft"], by_name(inside.parts)["line"]
    assert inside.mass - outside.mass == pytest.approx(sum(part.mass for part in gone))
    assert inside.volume - outside.volume == pytest.approx(sum(part.volume for part in gone))


def test_loading_moves_the_rubber_up_and_changes_no_force():
    rest, loaded = gun_trim(*gun()), gun_trim(*gun(), "loaded")
    assert loaded.net_force == pytest.approx(rest.net_force)
    assert loaded.centre_of_mass_height > rest.centre_of_mass_height + 0.001
    assert loaded.centre_of_mass == pytest.approx(rest.centre_of_mass, abs=0.005)


@pytest.mark.parametrize("wall", [0.014, 0.0139999999])
def test_a_solid_stick_has_no_plugs(wall):
    barrel = Barrel(1.2, material="wood", wall=wall)
    assert by_name(parts_of(*gun(barrel)))["plugs"].mass == pytest.approx(0, abs=1e-9)
    assert by_name(parts_of(*gun(barrel)))["tube"].mass == pytest.approx(
        650 * np.pi * 0.014**2 * 1.2, rel=1e-6)


# --- sums and limits ------------------------------------------------------------------------------

def test_two_parts_added_by_hand():
    result = sum_parts((Part("float", 0.1, 3e-4, 0.0, 0.02), Part("lead", 0.5, 1e-4, 1.0, -0.06)),
                       1000, grip=0.2)
    assert (result.mass, result.volume) == pytest.approx((0.6, 4e-4))
    assert (result.weight, result.buoyant_force) == pytest.approx((0.6 * G, 0.4 * G))
    assert result.net_force == pytest.approx(-0.2 * G)
    assert result.centre_of_mass == pytest.approx(0.5 / 0.6)
    assert result.centre_of_buoyancy == pytest.approx(0.25)
    assert result.centre_of_mass_height == pytest.approx((0.002 - 0.03) / 0.6)
    assert result.centre_of_buoyancy_height == pytest.approx(0.0)
    assert result.grip_moment == pytest.approx(0.2 * G * -0.2 - 0.4 * G * 0.8)
    assert result.submerged_angle == pytest.approx(np.arctan2(0.25 - 0.5 / 0.6, 0.028 / 0.6))


@given(k=st.floats(0.2, 5), seed=st.integers(0, 10**6))
@settings(deadline=None, max_examples=30)
def test_scaling_every_length(k, seed):
    """Forces go with the cube of size, moments with the fourth power, angles stay."""
    rng = np.random.default_rng(seed)
    parts = tuple(Part(str(i), *row) for i, row in enumerate(
        rng.uniform([0.1, 1e-4, -1, -0.1, 0.1, 0.01], [1, 1e-3, 1, 0.1, 1, 0.1], (4, 6))))
    scaled = tuple(Part(part.name, part.mass * k**3, part.volume * k**3, part.position * k,
                        part.height * k, part.length * k, part.diameter * k) for part in parts)
    a, b = sum_parts(parts, 1025, 0.1), sum_parts(scaled, 1025, 0.1 * k)
    assert b.net_force == pytest.approx(a.net_force * k**3, rel=1e-9, abs=1e-9)
    assert b.grip_moment == pytest.approx(a.grip_moment * k**4, rel=1e-9, abs=1e-9)
    assert b.centre_of_mass == pytest.approx(a.centre_of_mass * k, abs=1e-9)
    assert b.centre_of_buoyancy_height == pytest.approx(a.centre_of_buoyancy_height * k, abs=1e-9)
    assert b.submerged_angle == pytest.approx(a.submerged_angle, abs=1e-9)


@given(about=st.floats(-5, 5), grip=st.floats(-5, 5))
@settings(deadline=None, max_examples=30)
def test_the_moment_moves_with_the_grip(about, grip):
    parts = parts_of(*gun())
    result = sum_parts(parts, 1025, grip)
    assert result.grip_moment == pytest.approx(moment(result, grip), abs=1e-9)
    assert moment(result, about) == pytest.approx(
        result.grip_moment + result.net_force * (grip - about), abs=1e-9)


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize(("change", "what"), [
    (lambda x: {"shaft": Shaft(0.006 + 0.003 * x, 1.6)}, "a thicker shaft"),
    (lambda x: {"shaft": Shaft(0.007, 1.4 + 0.4 * x)}, "a longer shaft"),
    (lambda x: {"barrel": Barrel(1.2, wall=0.001 + 0.002 * x)}, "a thicker wall"),
    (lambda x: {"barrel": Barrel(1.2, plug_length=0.1 * x)}, "longer plugs"),
    (lambda x: {"water": Water(salinity=40 - 40 * x)}, "fresher water"),
    (lambda x: {"water": Water(temperature=5 + 25 * x)}, "warmer water"),
    (lambda x: {"band": Band(0.016, 0.003, 0.65, density=900 + 200 * x)}, "denser rubber"),
], ids=lambda value: value if isinstance(value, str) else "")
def test_what_makes_a_gun_sink(change, what, state):
    forces = gun_trim(*gun(**change(np.linspace(0, 1, 5))), state).net_force
    if "shaft" in what and state == "shaft_out":
        assert np.ptp(forces) == 0
    else:
        assert (np.diff(forces) < 0).all(), what


def test_what_lowers_the_muzzle():
    ahead = gun_trim(*gun(shaft=Shaft(0.007, 1.6, overhang=np.linspace(0.1, 0.4, 4))))
    heavy = gun_trim(*gun(shaft=Shaft(np.linspace(0.006, 0.008, 4), 1.6)))
    assert (np.diff(ahead.grip_moment) < 0).all()
    assert np.ptp(ahead.net_force) == pytest.approx(0)
    assert (np.diff(heavy.grip_moment) < 0).all()


@given(diameter=st.floats(0.005, 0.010), length=st.floats(0.8, 1.5),
       material=st.sampled_from(["carbon", "aluminium", "wood"]), state=st.sampled_from(STATES),
       outer=st.floats(0.02, 0.06), flooded=st.booleans(), depth=st.floats(0, 60))
@settings(deadline=None, max_examples=30)
def test_any_gun_gives_finite_numbers_that_hang_together(diameter, length, material, state, outer,
                                                         flooded, depth):
    barrel = Barrel(length, material=material, outer_diameter=outer, flooded=flooded)
    result = gun_trim(*gun(barrel, Band(0.016, 0.003, length / 2), Shaft(diameter, length + 0.4),
                           water=Water(depth=depth)), state)
    assert all(type(getattr(result, name)) is float for name in NUMBERS)
    assert np.isfinite([getattr(result, name) for name in NUMBERS]).all()
    assert result.net_force == pytest.approx(result.buoyant_force - result.weight)
    assert abs(result.submerged_angle) <= np.pi / 2
    assert np.sign(result.submerged_angle) == np.sign(
        result.centre_of_buoyancy - result.centre_of_mass)
    lies = at_rest(result)
    assert type(lies.floats) is bool
    assert lies.floats == (result.net_force > 0)
    assert abs(lies.angle) <= np.pi / 2
    assert lies.submerged_share == pytest.approx(
        min(1, result.mass / result.volume / result.water_density))


def test_arrays_equal_a_loop():
    lengths, diameters = np.array([[0.9], [1.2], [1.4]]), np.array([0.0065, 0.007, 0.0075, 0.008])
    def made(length, diameter):
        return gun(Barrel(length), Band(0.016, 0.003, length / 2 + 0.05),
                   Shaft(diameter, length + 0.4))
    table = gun_trim(*made(lengths, diameters))
    answers = {
        "angle": at_rest(table).angle, "force_at_hand": holding(table).force_at_hand,
        "lead": belt_lead(table), "one": balance_with_one(table).position,
        "two": balance_with_two(table, 0.1, 0.8)[1].mass,
        "work": ascent_work(*made(lengths, diameters), 20.0),
        "neutral": neutral_shaft_diameter(*made(lengths, diameters)),
    }
    for i, length in enumerate(lengths[:, 0]):
        for j, diameter in enumerate(diameters):
            one = gun_trim(*made(float(length), float(diameter)))
            for name in NUMBERS:
                every = np.broadcast_to(getattr(table, name), (3, 4))
                assert every[i, j] == pytest.approx(getattr(one, name), rel=1e-12, abs=1e-12)
            alone = {
                "angle": at_rest(one).angle, "force_at_hand": holding(one).force_at_hand,
                "lead": belt_lead(one), "one": balance_with_one(one).position,
                "two": balance_with_two(one, 0.1, 0.8)[1].mass,
                "work": ascent_work(*made(float(length), float(diameter)), 20.0),
                "neutral": neutral_shaft_diameter(*made(float(length), float(diameter))),
            }
            for name, answer in alone.items():
                assert np.broadcast_to(answers[name], (3, 4))[i, j] == pytest.approx(
                    answer, rel=1e-9, abs=1e-9), name


# --- afloat ---------------------------------------------------------------------------------------

def test_a_log_lies_level_and_by_its_density():
    for density in (100, 500, 900):
        log = Part("log", density * 0.01, 0.01, 0.3, length=2.0, diameter=0.08)
        lies = at_rest(sum_parts((log,), 1000))
        assert lies.floats
        assert lies.angle == pytest.approx(0, abs=1e-6)
        assert lies.submerged_share == pytest.approx(density / 1000)


def test_a_weight_at_one_end_stands_a_rod_upright():
    rod = Part("rod", 0.1, 2e-4, 0.0, length=1.0, diameter=0.016)
    for end, sign in ((-0.5, 1), (0.5, -1)):
        lies = at_rest(sum_parts((rod, Part("nail", 0.09, 1e-5, end)), 1000))
        assert lies.floats
        assert lies.angle == pytest.approx(sign * np.pi / 2, abs=1e-5)


def test_turned_round_a_gun_tilts_the_other_way():
    parts = parts_of(*gun(Barrel(1.2, others=(Fitting("lead", 0.1, 9e-6, 1.0),))), "shaft_out")
    turned = tuple(replace(part, position=-part.position) for part in parts)
    one, other = (at_rest(sum_parts(these, 1025)) for these in (parts, turned))
    assert one.floats
    assert abs(one.angle) > 0.001
    assert other.angle == pytest.approx(-one.angle, abs=1e-8)


def test_upside_down_is_the_same_gun():
    parts = parts_of(*gun(Barrel(1.2, outer_diameter=0.04)))
    flipped = tuple(replace(part, height=-part.height) for part in parts)
    one, other = (at_rest(sum_parts(these, 1025)) for these in (parts, flipped))
    assert one.floats
    assert other.angle == pytest.approx(one.angle, abs=1e-9)


def test_a_sinking_gun_takes_its_angle_under_water():
    result = gun_trim(*gun(Barrel(1.2, material="aluminium")))
    lies = at_rest(result)
    assert not lies.floats
    assert lies.angle == result.submerged_angle
    assert lies.submerged_share == 1


@pytest.mark.parametrize("spec", [
    (Part("tube", 0.25, 6e-4, 0.0, length=1.2, diameter=np.sqrt(4 / np.pi * 5e-4)),
     Part("grip", 0.38, 2e-4, -0.5, -0.05, 0.06, np.sqrt(4 / np.pi * 2e-4 / 0.06))),
    (Part("buoy", 0.8, np.pi * 0.06**2 * 0.4, 0.0, 0.0, 0.4, 0.12),
     Part("keel", 1.5, np.pi * 0.03**2 * 0.3, -0.20, -0.08, 0.3, 0.06),
     Part("mast", 0.2, np.pi * 0.02**2 * 0.5, 0.05, 0.10, 0.5, 0.04)),
], ids=["a gun", "a stubby boat"])
def test_the_least_energy_of_a_cloud_of_points_agrees(spec):
    """An independent way: fill round bodies with points and minimise the energy of all.

    Weight gains m g h; a point of water displaced below the surface loses as much. No slices, no
    area of a segment, no balance of moments. 0.1 degrees is what 30,000 points a body allow.
    """
    rng = np.random.default_rng(7)
    clouds, volumes = [], []
    for part in spec:
        radius = part.diameter / 2 * np.sqrt(rng.random(30000))
        turn = 2 * np.pi * rng.random(30000)
        along = part.position + part.length * ((np.arange(30000) + 0.5) / 30000 - 0.5)
        clouds.append(np.c_[along, part.height + radius * np.cos(turn)])
        volumes.append(np.full(30000, part.volume / 30000))
    points, volume = np.concatenate(clouds), np.concatenate(volumes)

    def energy(state):
        height, angle = state
        rise = height + points[:, 0] * np.sin(angle) + points[:, 1] * np.cos(angle)
        weight = sum(part.mass * (height + part.position * np.sin(angle)
                                  + part.height * np.cos(angle)) for part in spec)
        return weight - np.sum(1000 * volume * np.minimum(rise, 0))

    found = minimize(energy, [0.0, 0.0], method="Nelder-Mead",
                     options={"xatol": 1e-7, "fatol": 1e-12, "maxiter": 2000})
    lies = at_rest(sum_parts(spec, 1000))
    assert lies.floats
    assert np.degrees(lies.angle) > 0.5
    assert np.degrees(lies.angle) == pytest.approx(np.degrees(found.x[1]), abs=0.1)


# --- depth ----------------------------------------------------------------------------------------

def test_a_rigid_gun_gains_only_by_the_waters_density():
    shallow, deep = (gun_trim(*gun(water=Water(depth=depth))) for depth in (0, 30))
    assert deep.volume == shallow.volume
    assert deep.buoyant_force / shallow.buoyant_force == pytest.approx(
        Water(depth=30).density / SEA.density)


@given(share=st.floats(0, 1), depth=st.floats(0, 200))
@settings(deadline=None, max_examples=30)
def test_soft_gas_shrinks_by_boyle_and_the_rest_does_not(share, depth):
    barrel = Barrel(1.2, others=(Fitting("foam", 0.02, 2e-4, 0.5, 0.0, share),))
    foam = by_name(parts_of(*gun(barrel, water=Water(depth=depth))))["foam"]
    squeezed = 101325 / (101325 + gauge_pressure(depth))
    assert foam.volume == pytest.approx(2e-4 * (1 - share + share * squeezed))
    assert foam.mass == 0.02


@pytest.mark.parametrize("share", [0.0, 0.4, 1.0])
@pytest.mark.parametrize("depth", [0.0, 5.0, 20.0, 200.0])
def test_work_is_the_area_under_the_force(share, depth):
    barrel = Barrel(1.2, others=(Fitting("foam", 0.02, 4e-4, 0.5, 0.0, share),))
    area = quad(lambda z: -gun_trim(*gun(barrel, water=Water(depth=z))).net_force, 0, depth)[0]
    assert ascent_work(*gun(barrel), depth) == pytest.approx(area, rel=1e-4, abs=1e-6)


def test_without_gas_work_is_force_times_depth():
    result = gun_trim(*gun(Barrel(1.2, material="aluminium")))
    work = ascent_work(*gun(Barrel(1.2, material="aluminium")), 15.0)
    assert work == pytest.approx(-result.net_force * 15, rel=1e-3)
    assert work > 0


# --- what it costs --------------------------------------------------------------------------------

def test_holding_worked_out_by_hand():
    result = sum_parts((Part("float", 0.1, 3e-4, 0.0), Part("lead", 0.5, 1e-4, 1.0)), 1000)
    held = holding(result, 0.5)
    assert held.hand_force == pytest.approx(0.2 * G)
    assert held.wrist_moment == pytest.approx(0.4 * G)
    assert held.finger_force == pytest.approx(0.4 * G / 0.085)
    assert held.shoulder_moment == pytest.approx(0.4 * G + 0.2 * G * 0.5)
    assert held.force_at_hand == pytest.approx(0.8 * G + 0.2 * G)
    assert holding(result).force_at_hand == holding(
        result, lookup("diver.arm_length").value).force_at_hand


def test_the_shoulder_feels_the_moment_of_all_parts_about_itself():
    result = gun_trim(*gun())
    assert holding(result, 0.6).shoulder_moment == pytest.approx(
        -moment(result, result.grip - 0.6))


def test_fingers_feel_a_rising_muzzle_as_they_feel_a_sinking_one():
    sinking = sum_parts((Part("float", 0.1, 3e-4, 0.0), Part("lead", 0.5, 1e-4, 1.0)), 1000)
    rising = sum_parts((Part("float", 0.1, 3e-4, 0.0), Part("lead", 0.5, 1e-4, -1.0)), 1000)
    assert holding(rising).wrist_moment == pytest.approx(-holding(sinking).wrist_moment)
    assert holding(rising).finger_force == pytest.approx(holding(sinking).finger_force)
    assert holding(rising).finger_force > 0


def test_belt_lead_pulls_as_hard_as_the_gun():
    result = gun_trim(*gun(Barrel(1.2, material="aluminium")))
    lead = belt_lead(result)
    assert lead * G * (1 - result.water_density / 11300) == pytest.approx(-result.net_force)
    assert lead > 0
    assert belt_lead(gun_trim(*gun(), "shaft_out")) < 0


# --- how to mend it -------------------------------------------------------------------------------

@pytest.mark.parametrize("state", ["loaded", "shaft_in"])
@pytest.mark.parametrize("material", ["carbon", "aluminium", "wood"])
def test_the_neutral_shaft_is_neutral(material, state):
    barrel = Barrel(1.2, material=material, outer_diameter=0.03)
    diameter = neutral_shaft_diameter(*gun(barrel), state)
    assert gun_trim(*gun(barrel, shaft=Shaft(diameter, 1.6)), state).net_force == pytest.approx(
        0, abs=1e-9)


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("material", ["carbon", "aluminium"])
def test_one_piece_balances_the_gun(material, state):
    barrel = Barrel(1.2, material=material)
    piece = balance_with_one(gun_trim(*gun(barrel), state))
    add = Fitting("piece", piece.mass, piece.volume, piece.position)
    mended = gun_trim(*gun(replace(barrel, others=(add,))), state)
    assert mended.net_force == pytest.approx(0, abs=1e-9)
    assert mended.grip_moment == pytest.approx(0, abs=1e-9)
    assert mended.submerged_angle == pytest.approx(0, abs=1e-6)
    density = piece.mass / piece.volume
    assert density == pytest.approx(240 if piece.force > 0 else 11300)
    assert type(piece.on_gun) is bool


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize(("aft", "fore"), [(0.0, 1.2), (-0.1, 0.3), (0.6, 0.7)])
def test_two_pieces_balance_the_gun(aft, fore, state):
    pieces = balance_with_two(gun_trim(*gun(), state), aft, fore, 7850, 100)
    adds = tuple(Fitting("piece", piece.mass, piece.volume, piece.position) for piece in pieces)
    mended = gun_trim(*gun(Barrel(1.2, others=adds)), state)
    assert [piece.position for piece in pieces] == [aft, fore]
    assert mended.net_force == pytest.approx(0, abs=1e-9)
    assert mended.grip_moment == pytest.approx(0, abs=1e-9)
    for piece in pieces:
        assert piece.mass / piece.volume == pytest.approx(100 if piece.force > 0 else 7850)


def test_a_place_off_the_gun_is_marked():
    tip = Part("tip", 0.2, 1e-4, 1.0), Part("tube", 0.1, 1.9e-4, 0.5, length=1.0)
    assert not balance_with_one(sum_parts(tip, 1000)).on_gun
    assert balance_with_one(sum_parts(tip[1:], 1000)).on_gun
    for aft, fore, on_gun in ((-0.001, 1.0, [False, True]), (0.0, 1.001, [True, False])):
        pieces = balance_with_two(sum_parts(tip, 1000), aft, fore)
        assert [piece.on_gun for piece in pieces] == on_gun


# --- refusals -------------------------------------------------------------------------------------

ONE = sum_parts((Part("bar", 1.0, 1.2e-3, 0.5, length=1.0),), 1000)
NEUTRAL = sum_parts((Part("bar", 1.0, 1e-3, 0.5), Part("tip", 0.5, 5e-4, 0.9)), 1000)


@pytest.mark.parametrize(("call", "told"), [
    (lambda: gun_trim(*gun(), "cocked"), "state is 'cocked'; accepted are loaded, shaft_in"),
    (lambda: gun_trim(*gun(), None), "state is None; accepted are"),
    (lambda: gun_trim(*gun()[::-1]), "band is Water.*; accepted here is Band"),
    (lambda: gun_trim(*gun(line=None)), "line is None; accepted here is ShootingLine"),
    (lambda: parts_of(*gun(band=Band(0.016, 0.003, 3.0)), "loaded"), "The band is slack"),
    (lambda: gun_trim(*gun(band=Band(0.016, 0.003, np.array([0.6, 0.7])),
                           shaft=Shaft(np.array([0.006, 0.007, 0.008]), 1.6))),
     "do not fit together"),
    (lambda: gun_trim(*gun(Barrel(1.2, others=(Fitting("a", np.ones(2), 1e-4, 0.1),)),
                           shaft=Shaft(np.array([0.006, 0.007, 0.008]), 1.6))),
     "do not fit together"),
    (lambda: sum_parts((), 1000), r"parts is \(\); give a tuple of one Part or more"),
    (lambda: sum_parts("tube", 1000), "parts is 'tube'; give a tuple"),
    (lambda: sum_parts((3,), 1000), "part is 3; accepted here is Part"),
    (lambda: sum_parts((Part("a", 1, 0, 0),), 1000), "no mass, or no volume"),
    (lambda: sum_parts((Part("a", 0, 1e-3, 0),), 1000), "no mass, or no volume"),
    (lambda: sum_parts(ONE.parts, 1.025), "water_density is 1.025 kg/m3; accepted is 500 to 2000"),
    (lambda: sum_parts(ONE.parts, 1000, 11), "grip is 11 m; accepted is -10 to 10 m"),
    (lambda: sum_parts((Part("a", np.ones(2), 1e-3, 0), Part("a", np.ones(3), 1e-3, 0)), 1000),
     "do not fit together"),
    (lambda: Part("a", -1, 0, 0), "mass is -1 kg; accepted is 0 to 1000 kg"),
    (lambda: Part("a", 1, float("nan"), 0), "volume holds a value that is not finite"),
    (lambda: at_rest(3), "trim is 3; accepted here is Trim"),
    (lambda: holding(ONE, 66), "arm_length is 66 m; accepted is 0.3 to 1 m. Give it in metres"),
    (lambda: holding(None), "trim is None; accepted here is Trim"),
    (lambda: belt_lead(1.0), "trim is 1.0; accepted here is Trim"),
    (lambda: ascent_work(*gun(), -1), "depth is -1 m; accepted is 0 to 200 m"),
    (lambda: neutral_shaft_diameter(*gun(), "shaft_out"), "only when it is in"),
    (lambda: neutral_shaft_diameter(*gun(Barrel(1.2, flooded=True))), "Without its shaft the gun"),
    (lambda: balance_with_one(NEUTRAL), "neutral already"),
    (lambda: balance_with_one(ONE, ballast_density=1000), "ballast_density is 1000 kg/m3"),
    (lambda: balance_with_one(ONE, float_density=1000), "float_density is 1000 kg/m3"),
    (lambda: balance_with_two(ONE, 0.5, 0.5), "fore lies 0 m ahead of aft"),
    (lambda: balance_with_two(ONE, 0.5, 30), "fore is 30 m; accepted is -1 to 3 m"),
    (lambda: Fitting("reel", 300, 1e-4, 0.1), "mass of reel is 300 kg"),
    (lambda: Fitting("reel", 0.3, 1e-4, 0.1, -5), "height of reel is -5 m"),
    (lambda: Fitting("reel", 0.3, 1e-4, 0.1, 0, 40), "gas_share of reel is 40"),
    (lambda: Barrel(1.2, plug_length=2), "plug_length is 2 m"),
])
def test_what_cannot_be_is_refused_in_one_sentence(call, told):
    with pytest.raises(InputError, match=told) as refused:
        call()
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(("name", "low", "high"), [
    ("mass", 0, 1000), ("volume", 0, 1), ("position", -10, 10), ("height", -10, 10),
    ("length", 0, 20), ("diameter", 0, 10)])
def test_a_part_keeps_to_its_documented_ranges(name, low, high):
    plain = {"name": "part", "mass": 1.0, "volume": 1e-3, "position": 0.0}
    assert (Part(**plain).height, Part(**plain).length, Part(**plain).diameter) == (0, 0, 0)
    for end, past in ((low, low - 1e-6), (high, high + 1e-6)):
        assert getattr(Part(**plain | {name: end}), name) == end
        with pytest.raises(InputError, match=f"{name} is .* accepted is {low:g} to {high:g}"):
            Part(**plain | {name: past})


def test_a_neutral_gun_can_still_be_levelled_by_two():
    aft, fore = balance_with_two(NEUTRAL, 0.0, 1.0)
    assert aft.force == pytest.approx(-fore.force)
