"""A prediction is what the units say, and many at once are what each alone would be."""

from dataclasses import fields, replace

import numpy as np
import pytest
import scipy.constants
from bandwork import InputError, flight, line, stretch, trim
from bandwork import launch as shot
from bandwork.components import Band, Barrel, Diver, Fitting, Shaft, ShootingLine, Water
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.rubber import GentGent, handbook_rubber, scaled
from bandwork.setup import (
    _WORDS,
    CLOSED_FORM,
    NAMES,
    USUAL_CAUTIONS,
    Assumptions,
    Prediction,
    Quarry,
    Setup,
    compare,
    predict,
    predict_chunks,
    predict_many,
    worded,
)
from hypothesis import given, settings
from hypothesis import strategies as st

GUN = Setup(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), Barrel(1.20),
            ShootingLine(0.0017, bungee_length=0.20), Water(18), Diver(500, 0.9), 0.30)
TOLD = predict(GUN)
AS_SHOT = Assumptions().warmed(GUN.band, GUN.water)
PARTS = (GUN.band, GUN.shaft, GUN.barrel, GUN.line, GUN.water)


def drawn(seed):
    """Return one random set-up out of all kinds, without arrays."""
    draw = np.random.default_rng(seed)
    kind = str(draw.choice(["roller", "conventional"]))
    length = draw.uniform(0.9, 1.4)
    barrel = Barrel(length, kind=kind, material=str(draw.choice(["carbon", "aluminium", "wood"])),
                    flooded=bool(draw.integers(2)), sheave_friction=draw.choice([0.0, 0.05, 0.1]))
    cut = stretch.cut_length_for_load(draw.uniform(250, 500), barrel, 0.016, 0.003)
    return Setup(Band(0.016, 0.003, cut), Shaft(draw.uniform(0.0065, 0.008), length + 0.4), barrel,
                 ShootingLine(0.0017, wraps=draw.integers(0, 3), bungee_length=0.1),
                 Water(draw.uniform(5, 28), depth=draw.uniform(0, 20)),
                 Diver(draw.uniform(300, 600), draw.uniform(0.6, 1.0)), draw.uniform(0.0, 0.3))


def value(prediction, name):
    """Return what `predict_many` calls `name`."""
    name, _, part = name.partition(".")
    if part:
        return getattr(getattr(prediction, name), part)
    found = getattr(prediction, name)
    return found.best if isinstance(found, Interval) else found


# What the units say


def test_loading_is_that_of_stretch():
    own = stretch.loading(GUN.diver, AS_SHOT, GUN.barrel, 0.30)
    assert (TOLD.load, TOLD.load_spare, TOLD.first_reach, TOLD.reach_spare,
            TOLD.hand_over_load) == (own.load, own.spare, own.first_reach, own.reach_spare,
                                     own.hand_over_load)
    assert TOLD.stretch_ratio == GUN.band.stretch_ratio(GUN.barrel.loaded_path)
    assert TOLD.stored_energy == stretch.stored_energy(AS_SHOT, GUN.barrel)
    assert TOLD.returned_energy == pytest.approx(
        stretch.returned_energy(AS_SHOT, GUN.barrel).best, rel=1e-9)


def test_the_shot_is_that_of_launch_with_gun_and_hand_recoiling():
    conditions = shot.ShotConditions(gun_mass=GUN.gun_mass + Assumptions().hand_mass)
    own = shot.launch(AS_SHOT, GUN.shaft, GUN.barrel, GUN.water, conditions)
    for name in ("muzzle_speed", "efficiency", "time_on_track", "recoil_speed", "recoil_impulse",
                 "peak_push", "peak_thrust", "peak_acceleration", "flex_ratio",
                 "retraction_speed", "energy"):
        assert getattr(TOLD, name) == getattr(own, name)


def test_the_hand_is_pushed_by_its_share_of_the_mass_that_recoils():
    """Newton: hand and gun gain speed alike, so the force between them is hand mass times that."""
    hand = Assumptions().hand_mass
    push = TOLD.peak_push / (GUN.gun_mass + hand) * hand
    assert TOLD.hand_push == pytest.approx(push, rel=1e-9)
    assert predict(GUN, None, Assumptions(hand_mass=0)).hand_push == 0
    light = Assumptions(shot=shot.ShotConditions(gun_mass=0.5))
    assert predict(GUN, None, light).hand_push == 0
    given_ = predict(GUN, None, Assumptions(shot=shot.ShotConditions(gun_mass=4.0)))
    assert given_.hand_push == pytest.approx(given_.peak_push * (1 - GUN.gun_mass / 4.0), rel=1e-9)


def test_the_barrel_is_that_of_launch():
    own = shot.barrel_load(AS_SHOT, GUN.barrel)
    assert (TOLD.barrel_compression, TOLD.barrel_bending_moment, TOLD.barrel_deflection,
            TOLD.barrel_stress, TOLD.barrel_buckling_share) == (
        own.compression, own.bending_moment, own.deflection, own.stress, own.buckling_share)
    strength = lookup("carbon.strength")
    assert TOLD.barrel_safety_factor.best == own.safety_factor
    assert TOLD.barrel_safety_factor.low == pytest.approx(strength.low / own.stress, rel=1e-12)
    assert TOLD.barrel_safety_factor.high == pytest.approx(strength.high / own.stress, rel=1e-12)
    assert TOLD.barrel_material == "carbon"


def test_a_paper_thin_barrel_that_the_band_breaks_is_named():
    thin = Barrel(1.0, outer_diameter=0.06, wall=1e-4, material="wood", kind="conventional")
    strong = replace(GUN, barrel=thin, shaft=Shaft(0.007, 1.4), assist_length=0.0,
                     band=Band(0.018, 0.002, 0.30, legs=2))
    told = predict(strong)
    assert told.barrel_safety_factor.low < 1
    assert any("wood barrel may break" in one for one in told.cautions)
    assert not any("may break when loaded" in one for one in TOLD.cautions)


@pytest.mark.parametrize(("given_", "slack", "tension"), [
    (Assumptions(), 0.0, 0.0), (Assumptions(line_slack=0.02), 0.02, 0.0),
    (Assumptions(line_tension=30, swing=line.Swing(rate=3.0)), 0.0, 30.0),
])
def test_the_swing_is_that_of_line(given_, slack, tension):
    told = predict(GUN, None, given_)
    laid = (GUN.barrel, GUN.shaft, GUN.line, GUN.water, given_.run, given_.swing, slack, tension)
    muzzle, band = line.wrap_risk("muzzle", *laid), line.wrap_risk("band", *laid)
    assert (told.wrap_over_muzzle, told.wrap_over_band) == (muzzle.verdict, band.verdict)
    assert told.wrap_slack == min(muzzle.slack_limit, band.slack_limit)
    assert told.wrap_tension == max(muzzle.tension_needed, band.tension_needed)
    assert told.swing_bow == line.swing_bow(*laid)


def test_a_line_of_any_slack_is_answered_and_named():
    run = line.wrap_span(GUN.barrel)
    loose = predict(GUN, None, Assumptions(line_slack=0.2 * run * 1.001))
    assert (loose.wrap_over_muzzle, loose.wrap_over_band) == ("slack", "slack")
    assert any("can lie over the muzzle: take up the slack" in one for one in loose.cautions)
    shallow = predict(GUN, None, Assumptions(line_slack=0.2 * run * 0.999))
    assert (shallow.wrap_over_muzzle, shallow.wrap_over_band) == ("likely", "likely")
    bit = predict(GUN, None, Assumptions(line_slack=0.01))
    assert (bit.wrap_over_muzzle, bit.wrap_over_band) == ("impossible", "likely")
    assert any("can lie over the band" in one for one in bit.cautions)
    assert not any("take up the slack" in one for one in TOLD.cautions)


def test_a_fish_seems_where_flight_says():
    seen = flight.seen_through_mask(flight.eye_to_muzzle(GUN.barrel) + TOLD.tip_range, GUN.water)
    assert (TOLD.apparent_distance, TOLD.apparent_by_rule) == (seen.distance, seen.by_rule)
    assert TOLD.eye_to_muzzle == flight.eye_to_muzzle(GUN.barrel)
    assert TOLD.judged_range == flight.judged_range(TOLD.tip_range, GUN.barrel, GUN.water)


def test_at_the_fish_it_is_that_of_flight_and_aiming_too():
    told = predict(GUN, Quarry(distance=3.0), Assumptions(sight_height=0.04))
    own = flight.fly(GUN.shaft, GUN.water, GUN.line, told.muzzle_speed, 3.0)
    assert (told.speed_at_fish, told.time_to_fish, told.drop_at_fish, told.energy_at_fish) == (
        own.speed, own.time, own.drop, own.energy)
    near = predict(GUN, Quarry(distance=0.5))
    assert near.speed_at_fish == near.muzzle_speed
    assert told.holdover_at_reach == flight.holdover(told.drop_at_reach, told.tip_range, 0.04)
    assert told.tilt_at_reach == flight.aim_tilt(told.drop_at_reach, told.tip_range, 0.04)
    assert "3.0" not in str(TOLD).split("Aim:")[1].splitlines()[0]


# The rubber's temperature


def test_the_rubber_is_as_cold_as_the_water():
    cold, warm = (predict(replace(GUN, water=Water(degrees))) for degrees in (8, 28))
    factor = stretch.temperature_factor(8, 28).best
    assert cold.load / warm.load == pytest.approx(
        stretch.temperature_factor(8).best / stretch.temperature_factor(28).best, rel=1e-9)
    assert cold.load / warm.load == pytest.approx(factor, abs=0.002)
    assert cold.stored_energy / warm.stored_energy == pytest.approx(cold.load / warm.load, rel=1e-9)


def test_the_load_in_cold_water_is_that_of_the_stretch_units_interval():
    conditions = stretch.Conditions(temperature=8, tube_stiffness=Interval(1, 1, 1),
                                    batch_length_spread=Interval(0, 0, 0),
                                    ageing_loss=Interval(0, 0, 0))
    own = stretch.load_interval(GUN.band, GUN.barrel, conditions).load.best
    assert predict(replace(GUN, water=Water(8))).load == pytest.approx(own, rel=1e-9)


def test_the_rubber_can_be_of_another_temperature_or_of_none():
    as_measured = stretch.notch_load(GUN.band, GUN.barrel)
    for given_ in (Assumptions(rubber_temperature=20), Assumptions(temperature_share=0),
                   Assumptions(test_temperature=18)):
        assert predict(GUN, None, given_).load == pytest.approx(as_measured, rel=1e-12)
    ideal = predict(GUN, None, Assumptions(rubber_temperature=35, temperature_share=1)).load
    assert ideal / as_measured == pytest.approx(308.15 / 293.15, rel=1e-9)


def test_a_mass_given_for_the_shot_stands_for_gun_and_hand():
    told = predict(GUN, None, Assumptions(shot=shot.ShotConditions(gun_mass=5.0), hand_mass=50))
    own = shot.launch(AS_SHOT, GUN.shaft, GUN.barrel, GUN.water,
                      shot.ShotConditions(gun_mass=5.0))
    assert told.recoil_speed == own.recoil_speed


def test_the_line_is_that_of_line():
    own = line.reach(GUN.barrel, GUN.shaft, GUN.line)
    assert (TOLD.line_length, TOLD.reach_from_muzzle, TOLD.reach_from_diver) == (
        own.line_length, own.from_muzzle, own.from_diver)
    pull = line.end_shock(GUN.line, own.line_length, GUN.shaft, TOLD.speed_at_reach)
    assert TOLD.end_tension == pull.tension
    holds = line.made_up_strength(line.cord_strength(0.0017), "crimp")
    assert TOLD.line_margin == line.strength_margin(holds, GUN.line, own.line_length, GUN.shaft,
                                                    TOLD.speed_at_reach)
    load = line.working_load(holds)
    assert (TOLD.working_load.low, TOLD.working_load.best, TOLD.working_load.high) == (
        pytest.approx((load.low, load.best, load.high), rel=1e-12))


def test_the_flight_is_that_of_flight():
    own = flight.fly(GUN.shaft, GUN.water, GUN.line, TOLD.muzzle_speed, TOLD.reach_from_muzzle)
    assert (TOLD.speed_at_reach, TOLD.time_to_reach, TOLD.drop_at_reach, TOLD.energy_at_reach,
            TOLD.momentum_at_reach) == (own.speed, own.time, own.drop, own.energy, own.momentum)
    area = flight.penetration(GUN.shaft, own.speed)
    assert (TOLD.energy_per_area, TOLD.momentum_per_area) == (area.energy_per_area,
                                                              area.momentum_per_area)
    fish = Quarry()
    far = flight.practical_range(GUN.shaft, GUN.water, GUN.line, TOLD.muzzle_speed,
                                 TOLD.reach_from_muzzle, fish.drop_tolerance, fish.least_energy,
                                 None, fish.time_available)
    assert (TOLD.practical_range, TOLD.limited_by) == (far.tip_range, far.limit)


def test_the_trim_is_that_of_trim():
    loaded, bare = (trim.gun_trim(*PARTS, state) for state in ("shaft_in", "shaft_out"))
    assert (TOLD.net_force_shaft_in, TOLD.net_force_shaft_out) == (loaded.net_force, bare.net_force)
    assert (TOLD.grip_moment, TOLD.angle_shaft_in) == (loaded.grip_moment, loaded.submerged_angle)
    assert TOLD.grip_moment_loaded == trim.gun_trim(*PARTS, "loaded").grip_moment
    assert TOLD.grip_moment_shaft_out == bare.grip_moment
    assert TOLD.force_at_hand == trim.holding(loaded).force_at_hand
    assert TOLD.belt_lead == trim.belt_lead(loaded)
    rests = [trim.at_rest(one).floats for one in (loaded, bare)]
    assert [TOLD.floats_shaft_in, TOLD.floats_shaft_out] == rests


@pytest.mark.parametrize(("flooded", "water"), [(False, 0.0), (True, 1.0)])
def test_the_gun_that_recoils_is_all_but_shaft_and_bands_with_the_water_in_it(flooded, water):
    gun = replace(GUN, barrel=replace(GUN.barrel, flooded=flooded))
    dry = sum(part.mass for part in trim.parts_of(*PARTS, "shaft_out")
              if not part.name.startswith("band"))
    bore = np.pi / 4 * 0.025**2 * (1.20 - 0.04)
    assert gun.gun_mass == pytest.approx(dry + water * GUN.water.density * bore, rel=1e-9)


# Momentum and energy between units


@pytest.mark.parametrize("seed", range(4))
def test_energy_passes_from_one_unit_to_the_next(seed):
    gun = drawn(seed)
    told = predict(gun)
    parts = vars(told.energy)
    assert sum(parts.values()) == pytest.approx(2 * told.stored_energy, rel=1e-6)
    assert told.energy.shaft == pytest.approx(gun.shaft.mass * told.muzzle_speed**2 / 2, rel=1e-9)
    start = flight.fly(gun.shaft, gun.water, gun.line, told.muzzle_speed, gun.shaft.length)
    assert start.energy == pytest.approx(told.energy.shaft, rel=1e-9)
    assert told.energy_at_reach < told.energy.shaft < told.returned_energy <= told.stored_energy
    end = line.end_shock(gun.line, told.line_length, gun.shaft, told.speed_at_reach)
    assert end.energy == pytest.approx(told.energy_at_reach, rel=1e-9)


def test_momentum_of_gun_and_hand_is_that_of_shaft_bands_and_water():
    """Bands that come to rest at the muzzle keep some: the gun's share lies near the shaft's."""
    moving = GUN.gun_mass + Assumptions().hand_mass
    forward = (GUN.shaft.mass + GUN.band.mass) * TOLD.muzzle_speed
    assert 0.7 * GUN.shaft.mass * TOLD.muzzle_speed < moving * TOLD.recoil_speed < forward


def test_the_recoil_energy_is_that_of_the_mass_that_recoils():
    moving = GUN.gun_mass + Assumptions().hand_mass
    assert TOLD.energy.recoil == pytest.approx(moving * TOLD.recoil_speed**2 / 2, rel=1e-6)


def test_shaft_and_line_are_all_that_the_trim_loses_with_the_shot():
    lost = trim.sum_parts(tuple(part for part in trim.parts_of(*PARTS)
                                if part.name.startswith(("shaft", "line"))), GUN.water.density)
    assert TOLD.net_force_shaft_out - TOLD.net_force_shaft_in == pytest.approx(-lost.net_force,
                                                                               rel=1e-9)


# Limits and directions


def test_a_heavy_hand_holds_the_gun_fast():
    held = predict(GUN, None, Assumptions(hand_mass=90))
    fast = shot.launch(AS_SHOT, GUN.shaft, GUN.barrel, GUN.water)
    assert held.muzzle_speed == pytest.approx(fast.muzzle_speed, rel=0.01)
    assert held.recoil_speed < 0.2
    loose = predict(GUN, None, Assumptions(hand_mass=0))
    assert loose.recoil_speed > TOLD.recoil_speed > held.recoil_speed
    assert loose.muzzle_speed < TOLD.muzzle_speed < held.muzzle_speed


FAST = ("load", "stored_energy", "muzzle_speed", "reach_from_muzzle", "net_force_shaft_in",
        "flex_ratio", "drop_at_reach", "recoil_speed", "line_length", "efficiency")


@settings(max_examples=15)
@given(st.floats(0.60, 0.72), st.floats(0.01, 0.03))
def test_a_shorter_band_pulls_harder_and_shoots_faster(length, less):
    guns = replace(GUN, band=Band(0.016, 0.003, [length, length - less]))
    told = predict_many(guns, names=FAST)
    for name in ("load", "stored_energy", "muzzle_speed", "flex_ratio", "recoil_speed"):
        assert told[name][1] > told[name][0]
    assert told["drop_at_reach"][1] < told["drop_at_reach"][0]


@settings(max_examples=15)
@given(st.floats(0.0065, 0.0078), st.floats(0.0001, 0.0005))
def test_a_thicker_shaft_is_slower_takes_more_of_the_energy_and_bends_less(diameter, more):
    told = predict_many(replace(GUN, shaft=Shaft([diameter, diameter + more], 1.60)), names=FAST)
    assert told["muzzle_speed"][1] < told["muzzle_speed"][0]
    assert told["efficiency"][1] > told["efficiency"][0]
    assert told["flex_ratio"][1] < told["flex_ratio"][0]
    assert told["net_force_shaft_in"][1] < told["net_force_shaft_in"][0]
    assert told["load"][1] == told["load"][0]


@settings(max_examples=15)
@given(st.floats(0, 40), st.integers(0, 2))
def test_salt_lifts_the_gun_and_a_wrap_lengthens_the_reach(salinity, wraps):
    told = predict_many(replace(GUN, water=Water(18, [salinity, salinity + 2]),
                                line=ShootingLine(0.0017, wraps=[[wraps], [wraps + 1]])),
                        names=FAST)
    assert (told["net_force_shaft_in"][:, 1] > told["net_force_shaft_in"][:, 0]).all()
    run = 2 * line.wrap_span(GUN.barrel)
    np.testing.assert_allclose(told["reach_from_muzzle"][1] - told["reach_from_muzzle"][0], run)


@pytest.mark.parametrize(("asked", "limit"), [
    (Quarry(drop_tolerance=0.02), "drop"), (Quarry(4, 5, 120, 10), "energy"),
    (Quarry(4, 5, 0, 0.05), "time"), (Quarry(4, 5, 0, 10), "line"),
])
def test_what_the_quarry_asks_limits_the_range(asked, limit):
    told = predict(GUN, asked)
    assert told.limited_by == limit
    assert told.practical_range <= TOLD.reach_from_muzzle


def test_a_long_line_is_answered_up_to_twenty_metres():
    told = predict(replace(GUN, line=ShootingLine(0.0017, wraps=6), barrel=Barrel(2.0),
                           shaft=Shaft(0.007, 2.4), band=Band(0.016, 0.003, 1.1)))
    assert told.reach_from_muzzle > 20
    assert told.tip_range == 20
    assert np.isfinite([told.end_tension, told.line_margin.low, told.drop_at_reach]).all()


# Many at once


def test_many_at_once_are_within_a_thousandth_of_each_alone():
    for seed in range(12):
        gun = drawn(seed)
        alone = predict(gun)
        together = predict_many(gun)
        for name in NAMES:
            if isinstance(value(alone, name), (str, bool)):
                assert together[name] == value(alone, name)
            else:
                least = 1e-5 * alone.stored_energy if name.startswith("energy.") else 1e-9
                assert together[name] == pytest.approx(value(alone, name), rel=1e-3, abs=least)


def test_rows_are_those_of_a_loop_whatever_is_an_array():
    floats = Fitting("float", 0.05, [0.0001, 0.0003], 0.6)
    rubber = scaled(handbook_rubber(), np.array([0.9, 1.1]))
    many = Setup(Band(0.016, 0.003, [0.65, 0.68], rubber=rubber), Shaft([0.007, 0.0075], 1.6),
                 Barrel(1.2, others=(floats,)), ShootingLine(0.0017, wraps=[1, 2]),
                 Water([10, 25]), Diver(500, [0.8, 0.9]), [0.2, 0.3])
    given_ = Assumptions(shot=shot.ShotConditions(hysteresis_loss=[0.1, 0.15]),
                         drag=flight.DragCoefficients(nose=[0.05, 0.2]), hand_mass=[1.0, 2.0],
                         line_slack=[0.001, 0.5], swing=line.Swing(rate=[1.0, 4.0]),
                         rubber_temperature=[12, 30])
    fish = Quarry(drop_tolerance=[0.05, 0.15])
    told = predict_many(many, fish, given_)
    for row in (0, 1):
        law = GentGent(*(float(np.broadcast_to(number, 2)[row])
                         for number in rubber._values().values()))
        one = Setup(Band(0.016, 0.003, (0.65, 0.68)[row], rubber=law),
                    Shaft((0.007, 0.0075)[row], 1.6),
                    Barrel(1.2, others=(Fitting("float", 0.05, (0.0001, 0.0003)[row], 0.6),)),
                    ShootingLine(0.0017, wraps=(1, 2)[row]), Water((10, 25)[row]),
                    Diver(500, (0.8, 0.9)[row]), (0.2, 0.3)[row])
        alone = predict(one, Quarry(drop_tolerance=(0.05, 0.15)[row]), Assumptions(
            shot=shot.ShotConditions(hysteresis_loss=(0.1, 0.15)[row]),
            drag=flight.DragCoefficients(nose=(0.05, 0.2)[row]), hand_mass=(1.0, 2.0)[row],
            line_slack=(0.001, 0.5)[row], swing=line.Swing(rate=(1.0, 4.0)[row]),
            rubber_temperature=(12, 30)[row]))
        for name in NAMES:
            if isinstance(value(alone, name), (str, bool)):
                assert told[name][row] == value(alone, name)
            else:
                assert told[name][row] == pytest.approx(value(alone, name), rel=1e-3, abs=1e-6)


def test_the_common_shape_and_the_size_of_a_chunk_change_nothing():
    many = replace(GUN, band=Band(0.016, 0.003, np.linspace(0.62, 0.70, 5)),
                   shaft=Shaft([[0.0065], [0.007], [0.0075]], 1.6))
    whole, pieces = predict_many(many), predict_many(many, chunk=4)
    for name in NAMES:
        assert whole[name].shape == (3, 5)
        if whole[name].dtype.kind == "f":
            np.testing.assert_allclose(whole[name], pieces[name], rtol=1e-9)
        else:
            assert (whole[name] == pieces[name]).all()
    assert (np.diff(whole["load"], axis=1) < 0).all()
    assert (np.diff(whole["muzzle_speed"], axis=0) < 0).all()


def test_results_go_into_arrays_and_files_of_your_own_and_progress_is_told(tmp_path):
    many = replace(GUN, band=Band(0.016, 0.003, np.linspace(0.62, 0.70, 10)))
    held = {"load": np.lib.format.open_memmap(tmp_path / "load.npy", "w+", float, (10,)),
            "floats_shaft_out": np.empty(10, dtype=bool)}
    told = []
    assert predict_many(many, names=held, chunk=4, out=held,
                        progress=lambda done, total: told.append((done, total))) is held
    assert told == [(4, 10), (8, 10), (10, 10)]
    held["load"].flush()
    np.testing.assert_array_equal(np.load(tmp_path / "load.npy"),
                                  predict_many(many, names=["load"])["load"])
    assert held["floats_shaft_out"].all()


def test_no_rows_make_no_chunk():
    none = replace(GUN, band=Band(0.016, 0.003, np.empty(0)))
    assert list(predict_chunks(none)) == []
    assert predict_many(none, names=["load"])["load"].shape == (0,)


def test_the_closed_form_part_asks_for_no_shot(monkeypatch):
    monkeypatch.setattr(shot, "launch_many", None)
    assert set(predict_many(GUN, names=CLOSED_FORM)) == set(CLOSED_FORM)


# Refusals


@pytest.mark.parametrize(("make", "said"), [
    (lambda: replace(GUN, band=GUN.shaft), r"band is Shaft.*; accepted here is Band"),
    (lambda: replace(GUN, assist_length=30), r"assist_length is 30 m; accepted is 0 to 1\.5"),
    (lambda: replace(GUN, shaft=Shaft([0.007, 0.0075], 1.6), assist_length=[0.1, 0.2, 0.3]),
     r"do not fit together"),
    (lambda: predict(replace(GUN, shaft=Shaft([0.007, 0.0075], 1.6))), r"Use predict_many"),
    (lambda: predict("gun"), r"setup is 'gun'"),
    (lambda: predict(GUN, 4.0), r"quarry is 4\.0"),
    (lambda: predict(GUN, None, 4.0), r"assumptions is 4\.0"),
    (lambda: Quarry(distance=400), r"distance is 400 m; accepted is 0\.5 to 15"),
    (lambda: Quarry(drop_tolerance=10), r"drop_tolerance is 10 m"),
    (lambda: Quarry(least_energy=-1), r"least_energy is -1 J"),
    (lambda: Quarry(time_available=0), r"time_available is 0 s"),
    (lambda: Assumptions(hand_mass=-1), r"hand_mass is -1 kg"),
    (lambda: Assumptions(terminations=("glue",)), r"terminations holds 'glue'"),
    (lambda: Assumptions(line_tension=501), r"line_tension is 501 N"),
    (lambda: Assumptions(line_slack=6), r"line_slack is 6 m; accepted is 0 to 5"),
    (lambda: Assumptions(swing=3), r"swing is 3"),
    (lambda: Assumptions(sight_height=5), r"sight_height is 5 m"),
    (lambda: Assumptions(rubber_temperature=90), r"rubber_temperature is 90 degrees"),
    (lambda: Assumptions(test_temperature=90), r"test_temperature is 90 degrees"),
    (lambda: Assumptions(temperature_share=2), r"temperature_share is 2"),
    (lambda: predict(GUN, None, Assumptions(line_slack=0.1, line_tension=9)),
     r"slack and tension are both above 0"),
    (lambda: predict(replace(GUN, barrel=Barrel(1.2, outer_diameter=0.015, wall=0.001))),
     r"at which this barrel buckles"),
    (lambda: Assumptions(line_strength=2000), r"line_strength is 2000"),
    (lambda: predict_many(GUN, names=["speed"]), r"names holds 'speed'; accepted are load"),
    (lambda: predict_many(GUN, names=["load"], out={}), r"out holds no array 'load' of 1"),
    (lambda: predict_many(GUN, names=["load"], out={"load": np.empty(3)}), r"of 1 values"),
    (lambda: list(predict_chunks(GUN, chunk=0)), r"chunk is 0"),
    (lambda: predict_many(replace(GUN, band=Band(0.016, 0.003, [0.6, 0.6, 1.3])), chunk=2),
     r"In rows 2 to 2: The band is slack"),
    (lambda: compare(GUN, "gun"), r"setup is 'gun'"),
])
def test_what_cannot_be_is_refused_in_a_sentence(make, said):
    with pytest.raises(InputError, match=said):
        make()


# What a rigger reads


def test_the_answer_is_short_and_in_the_riggers_units():
    text = str(TOLD)
    assert max(map(len, text.splitlines())) <= 92
    assert len(text.split("Cautions:")[0].splitlines()) <= 22
    for piece in ("46.8 kgf; this diver brings 51.0 kgf: 4.2 kgf to spare", "89 cm ahead",
                  f"up to {TOLD.hand_push / 9.80665:.0f} kgf on the hand", "carbon, pressed with",
                  "only to compare shafts by", "over the place to hit", "seems to be at",
                  "thrown over the muzzle by a swing: impossible, over the band: possible",
                  f"{TOLD.muzzle_speed:.1f} m/s", f"{TOLD.reach_from_muzzle:.1f} m from the muzzle",
                  "cm of drop", f"limited by {TOLD.limited_by}", "sinks with", "floats with",
                  "of which it holds", "Cautions:"):
        assert piece in " ".join(text.split())
    assert "nan" not in text


def test_a_weak_diver_is_told_first_and_the_usual_cautions_close():
    told = predict(replace(GUN, diver=Diver(300, 0.6)), Quarry(distance=8))
    assert any("more than this diver brings" in one for one in told.cautions[:2])
    assert any("out of this diver's reach" in one for one in told.cautions[:2])
    assert any("beyond the line's end" in one for one in told.cautions)
    near = predict(GUN, Quarry(distance=5, drop_tolerance=0.02))
    assert any("beyond the practical range" in one for one in near.cautions)
    assert not any("beyond the line's end" in one for one in near.cautions)
    assert told.cautions[-len(USUAL_CAUTIONS):] == USUAL_CAUTIONS
    assert len(set(told.cautions)) == len(told.cautions)
    text = " ".join(str(told).split())
    assert "too hard" in text
    assert "out of reach by" in text


def test_the_usual_cautions_are_those_of_all_units():
    """Of the sentences on limits, law and instructor one stands for all."""
    keep = [one for one in USUAL_CAUTIONS if one.startswith("Keep to ")]
    assert keep == [shot.CAUTIONS[-1]]
    for word in ("maker's limits", "local law", "certified instructor"):
        assert word in keep[0]
    for unit in (stretch, shot, flight, trim):
        assert {one for one in unit.CAUTIONS if not one.startswith("Keep to ")} <= set(
            USUAL_CAUTIONS)
    assert str(TOLD).count("Keep to ") == 1


@pytest.mark.parametrize(("strength", "word"), [(2000, "may break"), (400, "is likely to break")])
def test_a_line_that_may_break_is_named(strength, word):
    gun = replace(GUN, line=ShootingLine(0.0017, breaking_strength=strength))
    assert any(word in one for one in predict(gun).cautions)


def test_a_line_of_known_strength_has_a_narrower_margin():
    known = predict(GUN, None, Assumptions(line_strength=Interval(1900, 2000, 2100),
                                           terminations=("hmpe_splice",))).line_margin
    assert known.low > TOLD.line_margin.low
    assert known.high < TOLD.line_margin.high
    assert predict_many(GUN, None, Assumptions(line_strength=Interval(1900, 2000, 2100)),
                        ["line_margin"])["line_margin"] == pytest.approx(TOLD.line_margin.best,
                                                                         rel=1e-3)


def test_a_gun_that_sinks_without_its_shaft_is_named():
    lead = Fitting("lead", 1.0, 1.0 / 11300, 0.1)
    told = predict(replace(GUN, barrel=replace(GUN.barrel, others=(lead,))))
    assert any("sinks even with the shaft out" in one for one in told.cautions)
    assert not told.floats_shaft_out


# Two set-ups side by side


def test_what_changes_is_named_and_told_in_words():
    other = replace(GUN, shaft=replace(GUN.shaft, diameter=0.0075))
    told = compare(GUN, other)
    assert [(one.name, one.old, one.new) for one in told.inputs] == [
        ("shaft.diameter", 0.007, 0.0075)]
    assert told.inputs[0].difference == pytest.approx(0.0005)
    by_name = {one.name: one for one in told.results}
    new = predict(other)
    for name, one in by_name.items():
        assert one.new == getattr(new, name)
        if one.difference is not None:
            assert one.difference == pytest.approx(value(new, name) - value(TOLD, name))
    assert by_name["muzzle_speed"].sentence.endswith("less: slower.")
    assert by_name["flex_ratio"].sentence.endswith("it bends less.")
    assert by_name["load"].sentence == "The load at the notch stays near 46.8 kgf."
    assert by_name["limited_by"].sentence == f"Limited by stays {new.limited_by}."
    assert told.cautions == new.cautions
    assert max(map(len, str(told).splitlines())) <= 92


def test_the_other_way_round_the_differences_turn_their_sign():
    other = replace(GUN, band=replace(GUN.band, relaxed_length=0.68),
                    barrel=replace(GUN.barrel, material="aluminium",
                                   others=(Fitting("reel", 0.3, 0.0001, 0.2),)))
    there, back = compare(GUN, other), compare(other, GUN)
    assert {one.name for one in there.inputs} == {"band.relaxed_length", "barrel.material",
                                                  "barrel.others"}
    for one, two in zip(there.results, back.results, strict=True):
        if one.difference is not None:
            assert one.difference == -two.difference
    assert "barrel.material goes from 'carbon' to 'aluminium'." in {
        one.sentence for one in there.inputs}


def test_like_set_ups_differ_in_nothing():
    told = compare(GUN, GUN)
    assert told.inputs == ()
    assert all(not one.difference for one in told.results)
    assert str(told).startswith("The two set-ups are alike.")


def test_there_are_words_for_every_number():
    numeric = {one.name for one in fields(Prediction) if one.type in (float, Interval)}
    assert numeric == set(_WORDS)


A_UNIT = {"cm": 1 / scipy.constants.centi, "mm": 1 / scipy.constants.milli,
          "ms": 1 / scipy.constants.milli, "g": 1 / scipy.constants.gram, "%": 100,
          "kgf": 1 / scipy.constants.kilogram_force, "MPa": 1 / scipy.constants.mega,
          "degrees": 1 / scipy.constants.degree, "times": 1, "J": 1, "m": 1, "m/s": 1, "m/s2": 1,
          "N m": 1, "N s": 1}


@pytest.mark.parametrize("name", [name for name in NAMES if name.split(".")[0] in _WORDS])
def test_a_result_in_words_is_in_the_unit_that_it_names(name):
    """By scipy.constants (CODATA, SP 811), not by the library's own factors."""
    label, number, unit = worded(name, 12345678.9)
    an_area = scipy.constants.milli**2 if "mm2" in label else 1
    rounded = 0.5 * 10.0 ** -len(number.partition(".")[2])
    assert float(number) == pytest.approx(12345678.9 * A_UNIT[unit] * an_area, abs=rounded * 1.001)
