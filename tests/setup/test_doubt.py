"""How sure a prediction is, what to measure next, and what a club's measurements say."""

from dataclasses import fields, replace

import numpy as np
import pytest
from bandwork import InputError
from bandwork.components import Band, Barrel, Diver, Shaft, ShootingLine, Water
from bandwork.doubt import (
    INPUTS,
    Measurements,
    calibrate,
    measure_next,
    monte_carlo,
    sobol_shares,
    standard_errors,
    usual_ranges,
)
from bandwork.flight import fly
from bandwork.interval import Interval
from bandwork.setup import NAMES, Assumptions, Prediction, Setup, predict, worded
from bandwork.stretch import load_interval


@pytest.fixture(scope="module")
def gun():
    return Setup(Band(0.016, 0.003, 0.65), Shaft(0.007, 1.60), Barrel(1.20),
                 ShootingLine(0.0017), Water(temperature=17), Diver(500, 0.9),
                 assist_length=0.35)


def known(setup):
    return {name: Interval(one.best, one.best, one.best)
            for name, one in usual_ranges(setup).items()}


def test_the_same_seed_gives_the_same_draws(gun):
    one, two = (monte_carlo(gun, names=["load"], draws=200, seed=3) for _ in range(2))
    other = monte_carlo(gun, names=["load"], draws=200, seed=4)
    assert one.intervals == two.intervals
    assert one.intervals != other.intervals


def test_without_doubt_the_interval_is_a_point_and_the_prediction(gun):
    spread = monte_carlo(gun, known(gun), names=["load", "muzzle_speed", "grip_moment"], draws=100)
    told = predict(gun)
    for name, interval in spread.intervals.items():
        assert interval.low == pytest.approx(interval.high, rel=1e-12)
        assert interval.best == pytest.approx(getattr(told, name), rel=1e-3)


def test_one_doubt_alone_gives_the_quantiles_of_its_triangle(gun):
    ranges = {**known(gun), "tube_stiffness": Interval(0.9, 1.0, 1.1)}
    load = monte_carlo(gun, ranges, names=["load"], draws=20_000).intervals["load"]
    # 5 % of a symmetric triangle lies below low + width sqrt(0.05/2)
    edge = 0.9 + 0.2 * np.sqrt(0.05 / 2)
    assert load.low / load.best == pytest.approx(edge, abs=0.003)
    assert load.high / load.best == pytest.approx(2 - edge, abs=0.003)


def test_the_load_agrees_with_the_stretch_units_own_interval(gun):
    """Root-sum-square of whole ranges is wider than nine tenths of the draws."""
    drawn = monte_carlo(gun, names=["load"]).intervals["load"]
    summed = load_interval(gun.band, gun.barrel).load
    assert summed.low < drawn.low < drawn.best < drawn.high < summed.high


def test_a_wider_level_gives_a_wider_interval(gun):
    narrow, wide = (monte_carlo(gun, names=["load"], level=level).intervals["load"]
                    for level in (0.5, 0.95))
    assert wide.low < narrow.low < narrow.high < wide.high


def test_every_number_of_a_prediction_has_an_interval_around_it(gun):
    kinds = {one.name: one.type for one in fields(Prediction)}
    names = [name for name in NAMES if kinds[name.partition(".")[0]] not in (str, bool)]
    spread = monte_carlo(gun, names=names, draws=200)
    told = predict(gun)
    for name, one in spread.intervals.items():
        kind, _, part = name.partition(".")
        alone = getattr(told, kind)
        alone = getattr(alone, part or "best") if kinds[kind] is not float else alone
        assert one.low <= one.best <= one.high
        least = 1e-4 * told.stored_energy if kind == "energy" else 1e-9
        assert one.best == pytest.approx(alone, rel=2e-3, abs=least)
    for name in ("load", "peak_push", "hand_push", "barrel_safety_factor", "energy_per_area",
                 "working_load", "line_margin.low", "holdover_at_reach", "drop_at_fish"):
        assert spread.intervals[name].low < spread.intervals[name].high
    text = str(spread)
    assert len(text.splitlines()) == len(names) + 1
    load = spread.intervals["load"]
    assert (f"load at the notch: {load.best / 9.80665:.1f} kgf ({load.low / 9.80665:.1f} to "
            f"{load.high / 9.80665:.1f})") in text
    assert "energy: shaft: " in text
    assert "line's strength over that pull, low end: " in text


@pytest.mark.parametrize("name", list(INPUTS))
def test_every_input_moves_something(gun, name):
    wide = {**known(gun), name: usual_ranges(gun)[name]}
    spread = monte_carlo(gun, wide, draws=100)
    assert any(np.ptp(values) > 1e-9 * abs(values).max() for values in spread.draws.values())


@pytest.mark.parametrize(("call", "says"), [
    (lambda gun: monte_carlo(gun, {"stiffness": Interval(1, 1, 1)}), "nearest: tube_stiffness"),
    (lambda gun: monte_carlo(gun, {"tube_stiffness": 1.0}), "tube_stiffness"),
    (lambda gun: monte_carlo(gun, draws=3), "draws is 3"),
    (lambda gun: monte_carlo(gun, level=1.5), "level is 1.5"),
    (lambda gun: monte_carlo(gun, names=["loadd"]), "load"),
    (lambda gun: monte_carlo(gun, names=["wrap_over_band"]), "wrap_over_band are no numbers"),
    (lambda gun: measure_next(gun, "limited_by"), "limited_by are no numbers"),
    (lambda gun: worded("barrel_material", 1.0), "barrel_material are no numbers"),
    (lambda gun: worded("lead", 1.0), "names holds 'lead'"),
    (lambda gun: monte_carlo("gun"), "Setup"),
    (lambda gun: measure_next(gun, "load", draws=100), "power of two"),
    (lambda gun: measure_next(gun, "load", known(gun)), "Nothing is uncertain"),
    (lambda gun: measure_next(gun, "reach_from_muzzle"), "does not vary"),
])
def test_what_cannot_be_right_is_refused_in_a_sentence(gun, call, says):
    with pytest.raises(InputError, match=says) as refusal:
        call(gun)
    assert str(refusal.value).rstrip().endswith(".")


def test_the_tube_is_what_to_measure_next(gun):
    shares = measure_next(gun, "load", draws=256)
    assert next(iter(shares)) == "tube_stiffness"
    assert shares["tube_stiffness"].total > 0.5
    assert abs(shares["drag_nose"].total) < 0.01
    assert shares["tube_stiffness"].total_low < shares["tube_stiffness"].total
    assert 0.9 < sum(share.first_order for share in shares.values()) < 1.1


def test_once_the_tube_is_measured_something_else_is_next(gun):
    shares = measure_next(gun, "load", {"tube_stiffness": Interval(0.99, 1.0, 1.01)}, draws=256)
    assert next(iter(shares)) != "tube_stiffness"


def test_a_sum_of_independent_inputs_has_its_variances_as_shares():
    from scipy.stats import norm

    shares = sobol_shares(lambda x: (3 * x[0] + 4 * x[1])[None, :], [norm(), norm()], ["a", "b"],
                          draws=2048)[0]
    assert shares["a"].first_order == pytest.approx(9 / 25, abs=0.02)
    assert shares["b"].total == pytest.approx(16 / 25, abs=0.02)


def measured(gun, stiffness=1.2, loss=0.15, drag=1.0, noise=0.0, seed=0):
    """Return what a club would measure on a gun of known stiffness, loss and drag."""
    from bandwork.doubt import _put
    from bandwork.launch import launch_many

    chance = np.random.default_rng(seed)
    true, given = _put(gun, Assumptions(), {"stiffness": stiffness, "loss": loss, "drag": drag})
    conditions = replace(given.shot, gun_mass=np.add(true.gun_mass, given.hand_mass))
    band = given.warmed(true.band, true.water)
    speed = launch_many(band, true.shaft, true.barrel, true.water, conditions).muzzle_speed

    def seen(value, doubt):
        return float(value * (1 + noise * doubt * chance.standard_normal()))

    lengths = (1.0, 1.3, 1.6, 1.9, 2.2)
    ranges = (2.5, 3.5, 4.5, 5.0)
    flown = fly(true.shaft, true.water, true.line, speed, np.array(ranges), 0.0, given.drag)
    return Measurements(
        pulls=[(length, seen(true.band.force(length), 0.03)) for length in lengths],
        speeds=[seen(speed, 0.05) for _ in range(5)],
        times=[(ahead, float(time) + noise * 0.008 * chance.standard_normal())
               for ahead, time in zip(ranges, flown.time, strict=True)],
        drops=[(ahead, float(drop) + noise * 0.02 * chance.standard_normal())
               for ahead, drop in zip(ranges, flown.drop, strict=True)])


@pytest.mark.parametrize(("stiffness", "loss", "drag"), [(1.2, 0.15, 1.0), (0.9, 0.05, 1.4),
                                                         (1.4, 0.25, 0.7)])
def test_clean_measurements_give_back_what_made_them(gun, stiffness, loss, drag):
    found = calibrate(gun, measured(gun, stiffness, loss, drag)).estimates
    assert found["stiffness"].best == pytest.approx(stiffness, rel=1e-3)
    assert found["loss"].best == pytest.approx(loss, abs=2e-3)
    assert found["drag"].best == pytest.approx(drag, rel=5e-3)


def test_the_interval_holds_the_truth_about_as_often_as_it_says(gun):
    hits = {"stiffness": 0, "loss": 0, "drag": 0}
    trials = 20
    for seed in range(trials):
        found = calibrate(gun, measured(gun, noise=1.0, seed=seed)).estimates
        for name, truth in (("stiffness", 1.2), ("loss", 0.15), ("drag", 1.0)):
            hits[name] += truth in found[name]
    assert min(hits.values()) >= 0.8 * trials, hits


def test_pulls_alone_tell_the_stiffness_and_nothing_else(gun):
    pulls = measured(gun).pulls
    assert list(calibrate(gun, Measurements(pulls=pulls)).estimates) == ["stiffness"]
    with pytest.raises(InputError, match=r"cannot tell loss.*more readings, speeds among"):
        calibrate(gun, Measurements(pulls=pulls), unknown=["stiffness", "loss"])


def test_drops_alone_cannot_tell_a_weak_band_from_a_rough_shaft(gun):
    drops = Measurements(drops=((3.0, 0.02), (4.0, 0.05), (5.0, 0.10)))
    with pytest.raises(InputError, match=r"cannot tell (stiffness|drag)"):
        calibrate(gun, drops, ["stiffness", "drag"])


def test_speeds_alone_cannot_tell_stiffness_from_loss(gun):
    with pytest.raises(InputError, match=r"cannot tell (stiffness|loss)"):
        calibrate(gun, Measurements(speeds=measured(gun).speeds), unknown=["stiffness", "loss"])


def test_the_residuals_say_which_reading_is_odd(gun):
    pulls = [*measured(gun).pulls]
    pulls[2] = (pulls[2][0], pulls[2][1] * 1.4)
    misses = calibrate(gun, Measurements(pulls=pulls)).residuals["pulls"]
    assert int(np.argmax(np.abs(misses))) == 2


@pytest.mark.parametrize(("call", "says"), [
    (lambda gun: calibrate(gun, Measurements()), "0 readings cannot tell"),
    (lambda gun: calibrate(gun, Measurements(speeds=[24.0]), ["speed"]), "no unknown 'speed'"),
    (lambda gun: calibrate(gun, Measurements(speeds=[24.0]), ["loss", "drag"]), "1 readings"),
    (lambda gun: Measurements(pulls=[1.0]), "pairs of numbers"),
    (lambda gun: Measurements(pulls=[(1.0, float("nan"))]), "not finite"),
    (lambda gun: Measurements(speeds=[400.0]), "a speed is 400"),
    (lambda gun: Measurements(time_doubt=5), "time_doubt is 5"),
    (lambda gun: calibrate(gun, "speeds"), "Measurements"),
])
def test_measurements_that_cannot_be_right_are_refused_in_a_sentence(gun, call, says):
    with pytest.raises(InputError, match=says):
        call(gun)


def test_a_parameter_without_slope_has_no_standard_error():
    errors = standard_errors(np.array([[1.0, 0.0], [1.0, 0.0], [2.0, 0.0]]), np.zeros(3), True)
    assert np.isinf(errors[1])
