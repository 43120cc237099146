"""Unit `line`: closed forms, limits, scaling, and refusals."""

from dataclasses import replace

import numpy as np
import pytest
import sympy as sp
from bandwork import InputError, line
from bandwork.components import Barrel, Shaft, ShootingLine, Water
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.line import LineRun, Swing
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_bvp, solve_ivp
from scipy.optimize import brentq

BARREL, SHAFT, WATER = Barrel(1.20), Shaft(0.007, 1.60), Water()
CORD = ShootingLine(0.0017, wraps=1)
SOFT = ShootingLine(0.0017, wraps=1, bungee_length=0.20)
GUN = BARREL, SHAFT, CORD, WATER
RUN = LineRun(release_position=0.0, anchor_offset=0.03, attachment=0.01, fittings=0.0)

quick = settings(max_examples=60, deadline=None, derandomize=True, database=None)
barrels = st.builds(Barrel, length=st.floats(0.7, 1.6))
shafts = st.builds(Shaft, diameter=st.floats(0.006, 0.008), length=st.floats(1.3, 2.0))
lines = st.builds(ShootingLine, diameter=st.floats(0.001, 0.003), wraps=st.integers(0, 4),
                  stiffness=st.floats(1e4, 2e5), bungee_length=st.floats(0, 0.5),
                  bungee_stiffness=st.floats(20, 150))
swings = st.builds(Swing, rate=st.floats(0.1, 5), pivot_position=st.floats(-1.5, -0.1),
                   side_clearance=st.floats(0.01, 0.06))


# --- length and reach -----------------------------------------------------------------------------

def test_the_path_is_the_sum_of_its_runs():
    tail = 1.20 + 0.02 + SHAFT.overhang - 1.60
    by_hand = 1.23 + 1.23 + (1.23 - (tail + 0.01))
    assert line.laid_length(BARREL, SHAFT, CORD, RUN) == pytest.approx(by_hand, rel=1e-12)
    assert line.wrap_span(BARREL, RUN) == pytest.approx(1.23, rel=1e-12)


@quick
@given(barrels, shafts, lines)
def test_each_wrap_adds_two_runs(barrel, shaft, rope):
    more = replace(rope, wraps=rope.wraps + 1)
    gained = line.laid_length(barrel, shaft, more) - line.laid_length(barrel, shaft, rope)
    assert gained == pytest.approx(2 * line.wrap_span(barrel), rel=1e-9)


def test_reach_without_pull_is_path_and_shaft_ahead_of_its_hole():
    far = line.reach(BARREL, SHAFT, SOFT, RUN, arm_length=0.6)
    path = line.laid_length(BARREL, SHAFT, SOFT, RUN)
    assert far.from_muzzle == pytest.approx(path + 1.60 - 0.01, rel=1e-12)
    assert far.from_diver - far.from_muzzle == pytest.approx(1.23 + 0.05 + 0.6, rel=1e-12)


def test_fittings_replace_line_and_leave_the_reach():
    bare, fitted = (line.reach(BARREL, SHAFT, SOFT, replace(RUN, fittings=x)) for x in (0, 0.07))
    assert bare.line_length - fitted.line_length == pytest.approx(0.07, rel=1e-12)
    assert bare.from_muzzle == pytest.approx(fitted.from_muzzle, rel=1e-12)


@quick
@given(barrels, shafts, lines, st.floats(0, 40))
def test_a_cut_line_lies_at_the_pull_it_was_cut_for(barrel, shaft, rope, pull):
    cut = line.line_length(barrel, shaft, rope, tension=pull)
    laid = (cut * (1 + pull / rope.stiffness)
            + rope.bungee_length * (1 + pull / rope.bungee_stiffness))
    assert laid == pytest.approx(line.laid_length(barrel, shaft, rope), rel=1e-9)


@quick
@given(st.floats(0.5, 1.5), shafts, lines)
def test_lengths_scale_with_the_gun(k, shaft, rope):
    """Every length of gun and shaft times k: path and reach times k."""
    def whole(size):
        gun = Barrel(1.2 * size, roller_offset=0.02 * size)
        spear = Shaft(shaft.diameter, 1.6 * size, overhang=0.25 * size)
        run = LineRun(0.02 * size, 0.03 * size, 0.01 * size)
        return line.laid_length(gun, spear, rope, run)
    assert whole(k) == pytest.approx(k * whole(1.0), rel=1e-9)


def test_reach_broadcasts_like_a_loop():
    lengths, wraps = np.array([0.9, 1.2, 1.5])[:, None], np.array([0, 1, 2])
    both = line.reach(Barrel(lengths), SHAFT, ShootingLine(0.0017, wraps=wraps), tension=5)
    for i, length in enumerate(lengths[:, 0]):
        for j, n in enumerate(wraps):
            one = line.reach(Barrel(length), SHAFT, ShootingLine(0.0017, wraps=n), tension=5)
            for name in ("from_muzzle", "from_diver", "line_length"):
                assert getattr(both, name)[i, j] == pytest.approx(getattr(one, name), rel=1e-13)


# --- bow ------------------------------------------------------------------------------------------

def exact_parabola(e):
    """Bow over span of a parabola that is longer than its span by the share e."""
    def short(x):
        return (np.sqrt(1 + 16 * x**2) + np.arcsinh(4 * x) / (4 * x)) / 2 - 1 - e
    return brentq(short, 1e-6, 2, xtol=1e-15)


def exact_circle(e):
    half = brentq(lambda t: t / np.sin(t) - 1 - e, 1e-6, 3, xtol=1e-15)
    return np.tan(half / 2) / 2


def exact_catenary(e):
    u = brentq(lambda u: np.sinh(u) / u - 1 - e, 1e-6, 5, xtol=1e-15)
    return (np.cosh(u) - 1) / (2 * u)


@pytest.mark.parametrize(("exact", "second"), [
    (exact_parabola, 0.45), (exact_catenary, 0.35), (exact_circle, 0.15)])
def test_the_shallow_bow_is_too_small_by_what_its_docstring_says(exact, second):
    for e in (1e-3, 3e-3, 0.01, 0.03):
        short = exact(e) / line.bow(e, 1.0) - 1
        assert short == pytest.approx(second * e, rel=0.05 + 3 * e)
    assert 0 < exact(0.2) / line.bow(0.2, 1.0) - 1 < 0.09


def test_the_stated_corrections_are_those_of_the_series():
    """The next term for parabola, catenary and circle, derived by sympy."""
    t = sp.symbols("t", positive=True)
    parabola = (sp.sqrt(1 + t**2) + sp.asinh(t) / t) / 2 - 1, t / 4
    catenary = sp.sinh(t) / t - 1, (sp.cosh(t) - 1) / (2 * t)
    circle = t / sp.sin(t) - 1, sp.tan(t / 2) / 2
    for (extra, height), said in zip((parabola, catenary, circle), (0.45, 0.35, 0.15), strict=True):
        extra, squared = (sp.series(x, t, 0, 6).removeO() for x in (extra, height**2))
        ratio = sp.series(squared / (sp.Rational(3, 8) * extra), t, 0, 4).removeO()
        first = sp.limit(extra / t**2, t, 0)
        assert ratio.subs(t, 0) == 1
        assert float(ratio.coeff(t, 2) / first) == pytest.approx(2 * said, abs=1e-12)


@quick
@given(st.floats(1e-6, 0.2), st.floats(0.01, 50), st.floats(0.1, 2))
def test_bow_scales_with_length(e, span, k):
    assert line.bow(e * span * k * 0.999, span * k) == pytest.approx(
        k * line.bow(e * span * 0.999, span), rel=1e-9)


@quick
@given(st.floats(0.2, 2), st.floats(0, 0.3), st.floats(-1, 0.3))
def test_no_line_of_that_slack_gets_farther_than_the_least_slack_allows(span, aside, ahead):
    """A point seen from both foci: the ellipse."""
    least = line.slack_to_pass(span, aside, ahead)
    whole = span + least
    centre = ahead + span / 2
    if aside > 1e-3 and whole - span > 1e-6:
        major, minor = whole / 2, np.sqrt(whole**2 - span**2) / 2
        assert (centre / major) ** 2 + (aside / minor) ** 2 == pytest.approx(1, abs=1e-6)


def test_straight_pieces_reach_farther_than_any_bow():
    middle = line.slack_to_pass(1.2, line.bow(0.01, 1.2), -0.6)
    assert middle == pytest.approx(0.0075, rel=5e-3)


# --- friction -------------------------------------------------------------------------------------

@quick
@given(st.floats(0, 100), st.integers(0, 6), st.floats(0, 0.5))
def test_friction_takes_the_same_share_at_each_wrap(pull, wraps, mu):
    left = line.last_run_tension(pull, wraps, mu)
    assert line.last_run_tension(left, 1, mu) == pytest.approx(
        line.last_run_tension(pull, wraps + 1, mu), rel=1e-9)
    assert line.last_run_tension(pull, wraps, 0) == pull


# --- swing ----------------------------------------------------------------------------------------

def drawn_aside(tension, barrel=BARREL, rope=CORD, run=RUN, swing=None):
    """Greatest deflection and extra length of the run at a tension, by a boundary-value solver."""
    swing = swing or Swing()
    inner = run.release_position - swing.pivot_position
    outer = inner + line.wrap_span(barrel, run)
    c = WATER.density / 2 * swing.drag_coefficient * rope.diameter * swing.rate**2
    r = np.linspace(inner, outer, 201)
    found = solve_bvp(lambda r, y: np.vstack((y[1], -c * r**2 / tension)),
                      lambda a, b: np.array((a[0], b[0])), r, np.zeros((2, r.size)), tol=1e-8)
    extra = quad(lambda x: found.sol(x)[1] ** 2 / 2, inner, outer)[0]
    return found.sol(np.linspace(inner, outer, 20001))[0].max(), extra


@pytest.mark.parametrize("swing", [Swing(), Swing(rate=3, pivot_position=-0.05)])
@pytest.mark.parametrize("tension", [6.0, 40.0])
def test_swing_bow_is_what_a_boundary_value_solver_finds(tension, swing):
    high, extra = drawn_aside(tension, swing=swing)
    give = 1 / line.stiffness(SOFT, line.line_length(BARREL, SHAFT, SOFT, RUN))
    slack = extra - give * tension
    if slack >= 0:
        ours = line.swing_bow(BARREL, SHAFT, SOFT, WATER, RUN, swing, slack=slack)
    else:
        # The same state, reached from a tight line: T - T0 = extra/give.
        before = tension - extra / give
        no_rub = replace(RUN, friction=0.0)
        ours = line.swing_bow(BARREL, SHAFT, SOFT, WATER, no_rub, swing, tension=before)
    assert ours == pytest.approx(high, rel=1e-4)


def test_far_from_the_pivot_the_load_is_even_and_the_bow_that_of_a_parabola():
    far = Swing(pivot_position=-2.0)
    stiff = replace(CORD, stiffness=1e6)
    near = line.swing_bow(BARREL, SHAFT, stiff, WATER, RUN, replace(far, rate=0.01), slack=0.01)
    assert near == pytest.approx(line.bow(0.01, 1.23), rel=0.01)


def test_a_stiff_slack_line_bows_as_far_at_any_speed():
    bows = line.swing_bow(BARREL, SHAFT, replace(CORD, stiffness=1e6), WATER,
                          swing=Swing(rate=np.array([0.1, 0.5, 2.0])), slack=0.03)
    assert np.ptp(bows) < 2e-3 * bows.mean()


def test_a_tight_soft_line_bows_with_drag_over_tension():
    """Small drag: T stays T0, bow = c g/T0, so four times the bow at twice the speed."""
    slow, fast = line.swing_bow(BARREL, SHAFT, SOFT, WATER, RUN, Swing(rate=np.array([0.1, 0.2])),
                                tension=30)
    assert fast / slow == pytest.approx(4, rel=1e-3)
    held = line.last_run_tension(30, 1, RUN.friction)
    assert slow == pytest.approx(drawn_aside(held, swing=Swing(rate=0.1))[0], rel=2e-3)


@quick
@given(lines, swings.filter(lambda swing: swing.rate < 1.2))
def test_without_slack_or_tension_the_bow_grows_with_the_cube_root_of_drag(rope, swing):
    """T^3 = k c^2 H: eight times the speed is 64 times the drag and four times the bow."""
    bows = [line.swing_bow(BARREL, SHAFT, rope, WATER, swing=replace(swing, rate=swing.rate * n))
            for n in (1, 8)]
    assert bows[1] / bows[0] == pytest.approx(4, rel=1e-9)
    near = line.swing_bow(BARREL, SHAFT, rope, WATER, swing=swing, slack=1e-12)
    assert near == pytest.approx(bows[0], rel=1e-5)


@quick
@given(lines, swings, st.floats(0, 0.1), st.floats(1.05, 2))
def test_more_slack_or_speed_bows_more(rope, swing, slack, more):
    def once(s, turn):
        return line.swing_bow(BARREL, SHAFT, rope, WATER, swing=turn, slack=s)
    base = once(slack, swing)
    assert once(slack * more + 1e-4, swing) > base
    assert once(slack, replace(swing, rate=swing.rate * more)) > base


@quick
@given(lines, swings, st.floats(0, 40), st.floats(1, 30))
def test_more_tension_bows_less(rope, swing, tension, more):
    """On one and the same line: the cut length that `tension` implies is left as it is."""
    loose = replace(rope, bungee_length=0.0)
    bows = [line.swing_bow(BARREL, SHAFT, loose, WATER, swing=swing, tension=t)
            for t in (tension, tension + more)]
    assert bows[1] < bows[0]


def test_the_swing_broadcasts_like_a_loop():
    rates, slacks = np.array([0.3, 1.0, 3.0])[:, None], np.array([0.0, 0.002, 0.05])
    both = line.swing_bow(*GUN, swing=Swing(rate=rates), slack=slacks)
    risk = line.wrap_risk("band", *GUN, swing=Swing(rate=rates), slack=slacks)
    for i, rate in enumerate(rates[:, 0]):
        for j, slack in enumerate(slacks):
            assert both[i, j] == pytest.approx(
                line.swing_bow(*GUN, swing=Swing(rate=rate), slack=slack), rel=1e-12)
            one = line.wrap_risk("band", *GUN, swing=Swing(rate=rate), slack=slack)
            assert risk.verdict[i, j] == one.verdict
            assert np.broadcast_to(risk.slack_limit, (3, 3))[i, j] == pytest.approx(
                one.slack_limit, rel=1e-12)


# --- wraps over band and muzzle -------------------------------------------------------------------

@quick
@given(lines, swings)
def test_at_the_limit_the_bow_just_passes_the_band(rope, swing):
    limit = line.wrap_risk("band", BARREL, SHAFT, rope, WATER, swing=swing).slack_limit
    if 0 <= limit <= 0.2:
        bow = line.swing_bow(BARREL, SHAFT, rope, WATER, swing=swing, slack=limit)
        assert bow == pytest.approx(swing.side_clearance, rel=1e-6)


@quick
@given(lines, swings)
def test_the_tension_needed_is_the_tension_needed(rope, swing):
    """Below 300 N and without a bungee, whose length the tension would change."""
    rope = replace(rope, bungee_length=0.0)
    need = line.wrap_risk("band", BARREL, SHAFT, rope, WATER, swing=swing).tension_needed
    if 0 < need < 300:
        above, below = (line.wrap_risk("band", BARREL, SHAFT, rope, WATER, swing=swing,
                                       tension=need * factor).verdict for factor in (1.03, 0.97))
        assert (above, below) == ("impossible", "possible")
        bow = line.swing_bow(BARREL, SHAFT, rope, WATER, swing=swing, tension=need)
        assert bow == pytest.approx(swing.side_clearance, rel=0.03)


@quick
@given(lines, swings, st.sampled_from(["band", "muzzle"]))
def test_verdicts_come_in_order(rope, swing, over):
    slacks = np.linspace(0, 0.2, 41)
    risk = line.wrap_risk(over, BARREL, SHAFT, rope, WATER, swing=swing, slack=slacks)
    worse = [["impossible", "possible", "likely"].index(word) for word in risk.verdict]
    assert worse == sorted(worse)
    assert risk.slack_limit < risk.slack_needed
    assert (risk.tension_needed > 0) == (risk.slack_limit < 0)


def test_a_wrap_over_the_muzzle_takes_a_loop_that_passes_the_nose():
    risk = line.wrap_risk("muzzle", *GUN)
    swing = Swing()
    assert risk.slack_needed == line.slack_to_pass(1.23, swing.side_clearance, swing.loop_ahead)
    assert risk.slack_needed > 30 * line.wrap_risk("band", *GUN).slack_needed


def test_friction_asks_for_more_at_the_bungee_and_no_other_slack():
    rubs = LineRun(friction=np.array([0.0, 0.1, 0.2]))
    risk = line.wrap_risk("band", BARREL, SHAFT, SOFT, WATER, rubs)
    assert risk.tension_needed / risk.tension_needed[0] == pytest.approx(
        np.exp(2 * np.pi * rubs.friction), rel=1e-12)
    assert np.shape(risk.slack_limit) == ()


def test_the_bungee_trades_slack_for_pull():
    """With a stiff cord any stretch tightens at once; a bungee alone must be tight before."""
    stiff, soft = (line.wrap_risk("band", BARREL, SHAFT, rope, WATER) for rope in (CORD, SOFT))
    assert stiff.slack_limit > 0 == stiff.tension_needed
    assert soft.slack_limit < 0 < soft.tension_needed


# --- strength -------------------------------------------------------------------------------------

def test_the_weakest_termination_counts():
    one = line.made_up_strength(1000, "square_knot")
    both = line.made_up_strength(1000, ["hmpe_splice", "square_knot"])
    assert one == both == Interval(430, 450, 470)


@quick
@given(st.floats(0.0006, 0.0045), st.floats(1.01, 1.1))
def test_cord_strength_grows_with_the_square_of_the_diameter(diameter, k):
    thin, thick = line.cord_strength(diameter), line.cord_strength(diameter * k)
    for end in ("low", "best", "high"):
        assert getattr(thick, end) == pytest.approx(k**2 * getattr(thin, end), rel=1e-9)


def test_the_working_load_is_a_share_of_each_end():
    assert line.working_load(Interval(800, 1600, 1900)) == Interval(120, 320, 475)


# --- shock ----------------------------------------------------------------------------------------

shafts_at = st.tuples(shafts, st.floats(0.1, 40), st.floats(0.5, 10))


@quick
@given(lines, shafts_at)
def test_without_a_bungee_the_shock_is_v_root_m_ea_over_l(rope, shot):
    shaft, speed, length = shot
    rope = replace(rope, bungee_length=0.0)
    shock = line.end_shock(rope, length, shaft, speed)
    assert shock.tension == pytest.approx(speed * np.sqrt(shaft.mass * rope.stiffness / length),
                                          rel=1e-9)
    assert shock.energy == pytest.approx(shaft.mass * speed**2 / 2, rel=1e-12)
    assert shock.bungee_share == 0


@quick
@given(lines, shafts_at, st.floats(0.3, 5))
def test_what_the_shaft_loses_is_in_line_and_bungee(rope, shot, limit):
    """Area under pull over stretch, piece by piece."""
    shaft, speed, length = shot
    shock = line.end_shock(rope, length, shaft, speed, bungee_limit=limit)
    in_line = shock.tension**2 * length / (2 * rope.stiffness)
    pull = min(shock.tension, rope.bungee_stiffness * limit)
    in_bungee = pull**2 * rope.bungee_length / (2 * rope.bungee_stiffness)
    assert in_line + in_bungee == pytest.approx(shock.energy, rel=1e-9)
    assert in_bungee == pytest.approx(shock.bungee_share * shock.energy, rel=1e-9, abs=1e-12)
    assert shock.stretch == pytest.approx(
        shock.tension * length / rope.stiffness + pull * rope.bungee_length / rope.bungee_stiffness,
        rel=1e-9)


@quick
@given(lines, shafts_at, st.floats(0.3, 5), st.floats(0.5, 10))
def test_the_greatest_speed_undoes_the_shock(rope, shot, limit, gun):
    shaft, speed, length = shot
    pull = line.end_shock(rope, length, shaft, speed, gun, limit).tension
    assert line.greatest_end_speed(pull, rope, length, shaft, gun, limit) == pytest.approx(
        speed, rel=1e-9)


@quick
@given(lines, shafts_at)
def test_a_bungee_never_makes_the_shock_harder(rope, shot):
    shaft, speed, length = shot
    bare = line.end_shock(replace(rope, bungee_length=0.0), length, shaft, speed).tension
    assert line.end_shock(rope, length, shaft, speed).tension <= bare * (1 + 1e-12)


def test_a_free_gun_is_a_two_body_problem():
    """Shaft and gun on a spring, by the equation of motion, against the reduced mass."""
    gun, speed, length = 1.8, 12.0, 3.6
    k = line.stiffness(CORD, length)
    mass = SHAFT.mass
    found = solve_ivp(lambda t, y: (y[2], y[3], -k * (y[0] - y[1]) / mass, k * (y[0] - y[1]) / gun),
                      (0, 0.02), (0, 0, speed, 0), rtol=1e-10, atol=1e-12, dense_output=True)
    t = np.linspace(0, 0.02, 200001)
    y = found.sol(t)
    peak = k * (y[0] - y[1]).max()
    assert line.end_shock(CORD, length, SHAFT, speed, gun).tension == pytest.approx(peak, rel=1e-6)


def test_a_gun_of_great_mass_is_as_good_as_held():
    held = line.end_shock(CORD, 3.6, SHAFT, 10).tension
    loose = line.end_shock(CORD, 3.6, SHAFT, 10, gun_mass=np.array([1.0, 10.0, 100.0])).tension
    assert (np.diff(loose) > 0).all()
    assert loose[-1] == pytest.approx(held, rel=3e-3)


def test_the_bungees_end_is_felt():
    speeds = np.linspace(1, 30, 30)
    rope = ShootingLine(0.0017, bungee_length=0.30)
    shock = line.end_shock(rope, 3.6, SHAFT, speeds, bungee_limit=1.0)
    full = shock.tension > rope.bungee_stiffness
    assert not full[0]
    assert full[-1]
    slope = np.diff(shock.tension)
    assert slope[-1] > 10 * slope[0]


def test_the_margin_takes_worst_with_worst():
    held = Interval(800, 1600, 4000)
    margin = line.strength_margin(held, CORD, 3.6, SHAFT, 10)
    row = lookup("line.stiffness").interval
    pulls = [line.end_shock(replace(CORD, stiffness=ea), 3.6, SHAFT, 10).tension
             for ea in (row.high, row.best, row.low)]
    assert margin.low == pytest.approx(800 / pulls[0], rel=1e-12)
    assert margin.best == pytest.approx(1600 / pulls[1], rel=1e-12)
    assert margin.high == pytest.approx(4000 / pulls[2], rel=1e-12)
    sure = line.strength_margin(1600, CORD, 3.6, SHAFT, 10, axial_stiffness=Interval(1e5, 1e5, 1e5))
    assert (sure.low, sure.high) == pytest.approx((margin.best, margin.best), rel=1e-12)


def test_shock_broadcasts_like_a_loop():
    speeds, guns = np.array([2.0, 10.0, 25.0])[:, None], np.array([1.0, 2.0])
    both = line.end_shock(SOFT, 3.6, SHAFT, speeds, guns)
    for i, speed in enumerate(speeds[:, 0]):
        for j, gun in enumerate(guns):
            one = line.end_shock(SOFT, 3.6, SHAFT, speed, gun)
            for name in ("energy", "tension", "stretch", "bungee_share"):
                assert getattr(both, name)[i, j] == pytest.approx(getattr(one, name), rel=1e-12)


def test_a_shaft_at_rest_pulls_nothing():
    shock = line.end_shock(SOFT, 3.6, SHAFT, 0)
    assert (shock.energy, shock.tension, shock.stretch, shock.bungee_share) == (0, 0, 0, 0)


def test_one_number_in_gives_one_float_out():
    for value in (line.bow(0.01, 1.2), line.swing_bow(*GUN), line.stiffness(CORD, 3.6),
                  line.laid_length(*GUN[:3]), line.end_shock(CORD, 3.6, SHAFT, 5).tension,
                  line.wrap_risk("band", *GUN).tension_needed, line.last_run_tension(9, 1)):
        assert type(value) is float
    assert type(line.wrap_risk("band", *GUN).verdict) is str


# --- refusals -------------------------------------------------------------------------------------

@pytest.mark.parametrize(("call", "said"), [
    (lambda: LineRun(release_position=20), "release_position is 20 m; accepted is -0.3 to 0.5 m"),
    (lambda: LineRun(friction=2), "friction is 2; accepted is 0 to 1"),
    (lambda: Swing(rate=0), "rate is 0 rad/s; accepted is 0.01 to 10 rad/s"),
    (lambda: Swing(side_clearance=3), "side_clearance is 3 m"),
    (lambda: line.wrap_span(Barrel(0.5), LineRun(release_position=0.5)),
     "run from muzzle to line release is 0.03 m"),
    (lambda: line.laid_length(BARREL, Shaft(0.007, 0.5, overhang=1), CORD),
     "line hole stands .* m ahead of the line's anchor"),
    (lambda: line.laid_length(SHAFT, BARREL, CORD), "accepted here is"),
    (lambda: line.line_length(BARREL, SHAFT, replace(SOFT, bungee_length=1), tension=500),
     "line's length is .* shorter bungee"),
    (lambda: line.bow(0.5, 1.2), "slack is 0.5 m; accepted is up to a fifth"),
    (lambda: line.bow(-0.01, 1.2), "slack is -0.01 m; accepted is 0"),
    (lambda: line.swing_bow(*GUN, slack=0.01, tension=0.5), "slack and tension are both above 0"),
    (lambda: line.swing_bow(*GUN, swing=Swing(pivot_position=0),
                            run=LineRun(release_position=-0.2)), "pivot_position lies ahead"),
    (lambda: line.swing_bow(*GUN, swing=1.0), "swing is 1.0; .*Swing"),
    (lambda: line.swing_bow(*GUN, run="usual"), "run is 'usual'; .*LineRun"),
    (lambda: line.wrap_risk("fin", *GUN), "over is 'fin'; accepted are 'band' and 'muzzle'"),
    (lambda: line.made_up_strength(1000, "granny"), "holds 'granny'; accepted are bowline"),
    (lambda: line.made_up_strength(1000, []), "terminations is .*; give one name"),
    (lambda: line.made_up_strength(0.5, "crimp"), "breaking_strength is 0.5 N"),
    (lambda: line.working_load(Interval(0, 1, 2)), "low end of strength is 0 N"),
    (lambda: line.cord_strength([0.001, 0.002]), "diameter holds 2 values"),
    (lambda: line.end_shock(CORD, 3.6, SHAFT, 100), "speed is 100 m/s; accepted is 0 to 60"),
    (lambda: line.end_shock(CORD, 360, SHAFT, 10), "line_length is 360 m"),
    (lambda: line.end_shock(CORD, 3.6, SHAFT, 10, gun_mass=0), "gun_mass is 0 kg"),
    (lambda: line.end_shock(CORD, [3, 4], SHAFT, [1, 2, 3]), "do not fit together"),
    (lambda: line.strength_margin(1000, CORD, 3.6, SHAFT, [5, 6]), "speed holds 2 values"),
    (lambda: line.greatest_end_speed(-1, CORD, 3.6, SHAFT), "load is -1 N"),
])
def test_a_likely_slip_gets_its_own_sentence(call, said):
    with pytest.raises(InputError, match=said) as refusal:
        call()
    assert str(refusal.value).endswith(".")
    assert "\n" not in str(refusal.value)


@quick
@given(st.sampled_from(["slack", "tension"]),
       st.one_of(st.floats(), st.none(), st.text(max_size=3), st.lists(st.floats(), max_size=3)))
def test_the_swing_answers_with_finite_numbers_or_refuses(name, value):
    try:
        bow = line.swing_bow(*GUN, **{name: value})
        risk = line.wrap_risk("muzzle", *GUN, **{name: value})
    except InputError:
        return
    assert np.isfinite(bow).all()
    assert np.isfinite(risk.tension_needed).all()
