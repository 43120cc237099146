"""Unit `flight`: limits in closed form, the two ways of flying, scaling, broadcasting, refusals."""

import dataclasses

import numpy as np
import pytest
from bandwork import InputError, flight
from bandwork.components import Barrel, Shaft, ShootingLine, Water
from bandwork.handbook import lookup
from bandwork.interval import Interval
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

G = 9.80665
SEA = Water(temperature=20)
SHAFT = Shaft(diameter=0.007, length=1.60)
LINE = ShootingLine(diameter=0.0017)

diameters, lengths = st.floats(0.005, 0.010), st.floats(0.8, 2.2)
speeds, flown = st.floats(10, 50), st.floats(0.05, 5)
shafts = st.builds(Shaft, diameter=diameters, length=lengths, density=st.floats(7500, 8000),
                   wing_area=st.floats(0, 1e-4))
waters = st.builds(Water, temperature=st.floats(2, 32), salinity=st.floats(0, 40),
                   depth=st.floats(0, 40))
lines = st.none() | st.builds(ShootingLine, diameter=st.floats(0.001, 0.003))
sets = st.builds(
    flight.DragCoefficients, curvature=st.floats(1, 1.5), nose=st.floats(0.01, 0.3),
    wing=st.floats(0.3, 1.2), cross_flow=st.floats(0.9, 1.3),
    line_tangential=st.floats(0.002, 0.01), towed_start=st.floats(0, 2),
    towed_growth=st.floats(0.3, 1))


def numbers_of(result):
    return [np.asarray(getattr(result, part.name)) for part in dataclasses.fields(result)
            if part.name not in ("cautions", "limit")]


# Drag

def test_reynolds_number_is_speed_times_length_over_viscosity():
    assert flight.reynolds_number(30, 1.6, SEA) == pytest.approx(48 / SEA.kinematic_viscosity)


@pytest.mark.parametrize("law", ["ittc57", "prandtl_schlichting", "blasius"])
def test_skin_friction_falls_as_the_reynolds_number_grows(law):
    assert (np.diff(flight.skin_friction(np.geomspace(1e5, 1e6, 50), law)) < 0).all()


def test_the_parts_of_the_drag_are_what_their_formulas_say():
    c = flight.DragCoefficients(curvature=1.2, nose=0.2, base_rule=0.03, wing=0.7,
                                line_tangential=0.008, towed_start=0.5, towed_growth=0.8)
    shaft = Shaft(diameter=0.008, length=1.5, wing_area=3e-5)
    parts = flight.drag_area(shaft, SEA, LINE, 25, 3.0, c)
    section = np.pi * 0.008**2 / 4
    friction = 1.2 * 0.075 / (np.log10(25 * 1.5 / SEA.kinematic_viscosity) - 2) ** 2 \
        * np.pi * 0.008 * 1.5
    ahead = friction + 0.2 * section + 0.7 * 3e-5
    assert parts.friction == pytest.approx(friction)
    assert parts.nose == pytest.approx(0.2 * section)
    assert parts.wing == pytest.approx(2.1e-5)
    assert parts.base == pytest.approx(0.03 * section / np.sqrt(ahead / section))
    assert parts.line == pytest.approx(0.008 * np.pi * 0.0017 * (0.5 + 0.8 * 3))
    assert parts.pickup == pytest.approx(2 * LINE.mass_per_length * 0.8 / SEA.density)
    assert parts.total == pytest.approx(sum(numbers_of(parts)))


def test_a_shaft_without_line_tows_nothing():
    parts = flight.drag_area(SHAFT, SEA, None, 25, 3.0)
    assert (parts.line, parts.pickup) == (0, 0)


def test_friction_stays_finite_when_the_shaft_hardly_moves():
    slow, slower = (flight.drag_area(SHAFT, SEA, None, v).friction for v in (0.01, 0.0))
    assert slow == slower == pytest.approx(
        lookup("drag.curvature").value * flight.skin_friction(1e5) * np.pi * 0.007 * 1.6)


@given(st.floats(1.02, 900))
def test_added_mass_goes_from_a_spheres_to_a_cylinders(ratio):
    axial, transverse = flight.spheroid_added_mass(ratio)
    longer_axial, longer_transverse = flight.spheroid_added_mass(ratio * 1.1)
    assert 0 < longer_axial < axial < 0.5 < transverse < longer_transverse < 1


def test_axial_added_mass_of_a_shaft_is_the_spheroids():
    along, across = flight.added_mass(SHAFT, SEA)
    assert along / across == pytest.approx(flight.spheroid_added_mass(1.6 / 0.007)[0])


# Coasting and sinking in closed form

def test_without_drag_nothing_slows():
    assert flight.coast(6.0, 30.0, 0.5, 0.0, 1025.0) == pytest.approx((30.0, 0.2), rel=1e-12)


@given(far=st.floats(0.01, 6), speed=speeds, mass=st.floats(0.2, 1), area=st.floats(0, 3e-4),
       growth=st.floats(0, 1e-4))
def test_time_is_the_integral_of_the_inverse_speed(far, speed, mass, area, growth):
    end, time = flight.coast(far, speed, mass, area, 1025.0, growth)
    exponent = 1025 * (area * far + growth * far**2 / 2) / (2 * mass)
    assert end == pytest.approx(speed * np.exp(-exponent), rel=1e-10)
    expected, _ = quad(lambda x: 1 / flight.coast(x, speed, mass, area, 1025.0, growth)[0], 0, far,
                       epsrel=1e-11)
    assert time == pytest.approx(expected, rel=1e-8)


@given(growth=st.floats(0, 1e-14), area=st.floats(1e-5, 1e-3))
def test_with_hardly_any_growth_it_is_the_exponential_law(growth, area):
    a = 1025 * area / (2 * 0.5)
    assert flight.coast(4.0, 30.0, 0.5, area, 1025.0, growth) == pytest.approx(
        (30 * np.exp(-4 * a), np.expm1(4 * a) / (30 * a)), rel=1e-8)


def test_where_hardly_any_speed_is_lost_the_time_keeps_its_digits():
    a, b, far = 2e-7, 3e-7, 2.0
    _, time = flight.coast(far, 30.0, 0.5, a / 1025, 1025.0, 2 * b / 1025)
    assert time * 30 / far - 1 == pytest.approx(a * far / 2 + b * far**2 / 3, rel=1e-5)


@given(k=st.floats(0.1, 10), far=flown, speed=speeds)
def test_coasting_scales_with_size(k, far, speed):
    """Lengths by k at the same density: masses by k^3, areas by k^2, the same speed, k the time."""
    end, time = flight.coast(far, speed, 0.5, 2e-4, 1025.0, 4e-5)
    assert flight.coast(k * far, speed, 0.5 * k**3, 2e-4 * k**2, 1025.0, 4e-5 * k) \
        == pytest.approx((end, k * time), rel=1e-9)


@given(k=st.floats(0.1, 10), far=flown, speed=speeds)
def test_a_faster_shaft_loses_the_same_share_of_its_speed(k, far, speed):
    end, time = flight.coast(far, speed, 0.5, 2e-4, 1025.0, 4e-5)
    assert flight.coast(far, k * speed, 0.5, 2e-4, 1025.0, 4e-5) == pytest.approx(
        (k * end, time / k), rel=1e-9)


def test_without_drag_a_fall_is_free():
    assert flight.sink(0.3, 4.0, 0.5, 0.0, 1025.0) == pytest.approx((8 * 0.045, 2.4), rel=1e-9)


@given(time=st.floats(1e-3, 50), k=st.floats(0.1, 10))
def test_sinking_scales_with_size(time, k):
    drop, speed = flight.sink(time, 4.0, 0.5, 0.01, 1025.0)
    assert flight.sink(time * k**0.5, 4.0 * k**3, 0.5 * k**3, 0.01 * k**2, 1025.0) == pytest.approx(
        (drop * k, speed * k**0.5), rel=1e-9)


@given(time=st.floats(1e-3, 3))
def test_the_drop_is_the_integral_of_the_speed(time):
    drop, _ = flight.sink(time, 4.0, 0.5, 0.01, 1025.0)
    expected, _ = quad(lambda t: flight.sink(t, 4.0, 0.5, 0.01, 1025.0)[1], 0, time, epsrel=1e-10)
    assert drop == pytest.approx(expected, rel=1e-8)


# The flight

@settings(max_examples=60, deadline=None)
@given(shaft=shafts, water=waters, line=lines, speed=speeds, far=flown, c=sets)
def test_closed_form_and_integration_agree(shaft, water, line, speed, far, c):
    """Within 0.3 %, while at least a tenth of the speed is left."""
    tip = shaft.length + far
    closed = flight.fly(shaft, water, line, speed, tip, 0.0, c)
    if closed.speed < 0.1 * speed:
        return
    stepped = flight.fly_integrated(shaft, water, line, speed, tip, 0.0, c)
    for ours, theirs in zip(numbers_of(closed), numbers_of(stepped), strict=True):
        assert ours == pytest.approx(theirs, rel=3e-3)


def test_closed_form_and_integration_agree_closely_at_usual_ranges():
    tips = np.array([2.0, 3.0, 4.0, 5.0])
    for ours, theirs in zip(numbers_of(flight.fly(SHAFT, SEA, LINE, 30, tips)),
                            numbers_of(flight.fly_integrated(SHAFT, SEA, LINE, 30, tips)),
                            strict=True):
        assert ours == pytest.approx(theirs, rel=1e-4)


@settings(max_examples=60, deadline=None)
@given(shaft=shafts, water=waters, line=lines, speed=st.floats(1, 80), far=st.floats(1e-6, 15),
       c=sets, tilt=st.floats(-1.5, 1.5))
def test_a_flight_is_finite_and_inside_its_bounds(shaft, water, line, speed, far, c, tilt):
    got = flight.fly(shaft, water, line, speed, shaft.length + far, tilt, c)
    assert np.isfinite(numbers_of(got)).all()
    assert 0 <= got.speed <= speed
    assert 0 <= got.drop <= got.free_fall * (1 + 1e-6)
    assert got.time >= far / speed * (1 - 1e-6)
    assert got.distance == pytest.approx(far, abs=1e-9)


def test_the_range_counts_from_the_tip():
    got = flight.fly(SHAFT, SEA, LINE, 30, 1.60)
    assert (got.distance, got.speed, got.time, got.drop) == (0, 30, 0, 0)
    assert got.energy == pytest.approx(SHAFT.mass * 450)
    assert got.momentum == pytest.approx(SHAFT.mass * 30)


def test_what_slows_the_shaft_works_on_its_mass_and_the_axial_added_mass():
    along, _ = flight.added_mass(SHAFT, SEA)
    speed, *_ = flight.integrate_path(
        lambda x, v: -SEA.density / 2 * flight.drag_area(SHAFT, SEA, LINE, v, x).total * v**2
        / (SHAFT.mass + along), lambda v, w: 0.0, 30, 3.4)
    assert flight.fly_integrated(SHAFT, SEA, LINE, 30, 5.0).speed == pytest.approx(speed, rel=1e-8)


def test_free_fall_is_that_of_the_net_weight_with_added_mass():
    got = flight.fly(SHAFT, SEA, LINE, 30, 5.0, 0.3)
    acceleration = G * (7800 - SEA.density) / (7800 + SEA.density)
    assert got.free_fall == pytest.approx(acceleration * np.cos(0.3) * got.time**2 / 2, rel=1e-9)


def test_terminal_fall_balances_weight_and_cross_flow_drag():
    got = flight.fly(SHAFT, SEA, None, 2, 12)
    drag = SEA.density / 2 * lookup("drag.cross_flow").value * 0.007 * 1.6 * got.fall_speed**2
    assert drag == pytest.approx((7800 - SEA.density) * SHAFT.volume * G, rel=1e-6)


def test_along_the_way_everything_changes_in_one_direction():
    got = flight.fly(SHAFT, SEA, LINE, 30, np.linspace(1.6, 12, 60))
    for falls in (got.speed, got.energy, got.momentum):
        assert (np.diff(falls) < 0).all()
    for rises in (got.time, got.drop):
        assert (np.diff(rises) > 0).all()
    assert (np.diff(got.fall_speed) >= 0).all()


@pytest.mark.parametrize("name", ["curvature", "nose", "base_rule", "wing", "line_tangential",
                                  "towed_start", "towed_growth"])
def test_more_drag_along_the_shaft_slows_it(name):
    usual = flight.DragCoefficients(towed_growth=0.8)
    more = dataclasses.replace(usual, **{name: getattr(usual, name) * 1.1 + 0.001})
    assert flight.fly(SHAFT, SEA, LINE, 30, 5, 0.0, more).speed \
        < flight.fly(SHAFT, SEA, LINE, 30, 5, 0.0, usual).speed


def test_more_cross_flow_drag_lessens_the_drop_alone():
    usual, more = (flight.fly(SHAFT, SEA, LINE, 30, 5, 0.0, flight.DragCoefficients(cross_flow=c))
                   for c in (1.0, 1.2))
    assert more.drop < usual.drop
    assert more.speed == usual.speed


def test_a_thicker_line_and_a_thinner_shaft_lose_more_speed():
    speed = flight.fly(SHAFT, SEA, LINE, 30, 5).speed
    assert flight.fly(SHAFT, SEA, ShootingLine(0.0025), 30, 5).speed < speed
    assert flight.fly(Shaft(0.0065, 1.60), SEA, LINE, 30, 5).speed < speed
    assert flight.fly(SHAFT, SEA, None, 30, 5).speed > speed


def test_closed_form_leaves_out_the_weight_along_a_tilted_barrel_and_says_how_much_that_is():
    """2 % of the speed at 20 degrees, 30 m/s and 5 m."""
    for up in (0.349, -0.349):
        closed = flight.fly(SHAFT, SEA, LINE, 30, 5, up)
        stepped = flight.fly_integrated(SHAFT, SEA, LINE, 30, 5, up)
        assert abs(closed.speed / stepped.speed - 1) == pytest.approx(0.022, abs=0.002)
        assert closed.speed / stepped.speed > 1 if up > 0 else closed.speed < stepped.speed


def test_a_shaft_shot_straight_up_slows_by_drag_and_weight_and_does_not_drop():
    got = flight.fly_integrated(SHAFT, SEA, None, 30, 4, np.pi / 2)
    assert got.drop == pytest.approx(0, abs=1e-12)
    assert got.speed < flight.fly_integrated(SHAFT, SEA, None, 30, 4).speed


@pytest.mark.parametrize("speed", [25, 30, 40])
@pytest.mark.parametrize("tip", [4, 5, 6])
def test_lift_and_oblique_friction_would_lessen_the_drop_by_at_most_a_seventh(speed, tip):
    """Lift density A v w of a slender body, friction turned with the flow: both left out."""
    c = flight.DragCoefficients()
    _, across_mass = flight.added_mass(SHAFT, SEA)
    heavy, density = SHAFT.mass + across_mass, SEA.density

    def along(x, v):
        return -density / 2 * flight.drag_area(SHAFT, SEA, LINE, v, x).total * v**2 / SHAFT.mass

    def drop(more):
        def across(v, w):
            friction = flight.drag_area(SHAFT, SEA, None, v).friction
            force = ((SHAFT.mass - across_mass) * G
                     - density / 2 * c.cross_flow * 0.007 * 1.6 * w * abs(w)
                     - more * density * v * w * (SHAFT.cross_section + friction / 2))
            return force / heavy
        return flight.integrate_path(along, across, speed, tip - 1.6)[2]

    assert drop(0) == pytest.approx(flight.fly(SHAFT, SEA, LINE, speed, tip).drop, rel=1e-3)
    assert 0.09 < 1 - drop(1) / drop(0) < 1 / 6.9


def test_pitching_grows_as_its_equation_of_motion_says():
    """Angle'' = lift x half length/inertia, with way instead of time: any speed, any diameter."""
    water, shaft, far = SEA, Shaft(0.0065, 1.4), 2.0
    density = water.density
    inertia = (shaft.mass + flight.added_mass(shaft, water)[1]) * 1.4**2 / 12
    squared = density * shaft.cross_section * 0.7 / inertia
    got = flight.pitch_growth(shaft, water, far)
    assert got == pytest.approx(np.cosh(np.sqrt(squared) * far), rel=1e-9)
    assert got == pytest.approx(flight.pitch_growth(Shaft(0.008, 1.4), water, far), rel=1e-12)
    assert flight.pitch_growth(shaft, water, 0) == 1
    assert flight.pitch_growth(shaft, water, 1.4) < 1.5


def test_an_unusual_muzzle_speed_is_pointed_out():
    assert "unusual" in flight.fly(SHAFT, SEA, LINE, np.array([30, 60]), 5).cautions[0]
    assert "unusual" in flight.fly(SHAFT, SEA, LINE, 10, 5).cautions[0]
    assert flight.fly(SHAFT, SEA, LINE, 30, 5).cautions == flight.CAUTIONS


def test_integrating_to_several_ranges_keeps_their_order_and_shape():
    tips = np.array([[5.0, 2.0], [3.0, 5.0]])
    got = flight.fly_integrated(SHAFT, SEA, LINE, 30, tips)
    assert got.speed.shape == (2, 2)
    for at in np.ndindex(2, 2):
        one = flight.fly_integrated(SHAFT, SEA, LINE, 30, tips[at])
        assert got.drop[at] == pytest.approx(one.drop, rel=1e-6)


# Aiming and comparing

@given(drop=st.floats(0, 0.5), tip=st.floats(1, 15), height=st.floats(-0.2, 0.2))
def test_with_the_right_tilt_nothing_is_left_to_hold_over(drop, tip, height):
    tilt = flight.aim_tilt(drop, tip, height)
    assert np.tan(tilt) == pytest.approx((drop + height) / tip)
    if abs(tilt) <= 0.5:
        assert flight.holdover(drop, tip, height, tilt) == pytest.approx(0, abs=1e-9)


def test_comparing_is_first_over_second():
    first, second = (flight.fly(SHAFT, SEA, LINE, v, 5.0) for v in (32, 24))
    told = flight.compare_flights(first, second)
    assert told.speed_ratio == pytest.approx(first.speed / second.speed)
    assert told.energy_ratio == pytest.approx(told.speed_ratio**2)
    assert told.momentum_ratio == pytest.approx(told.speed_ratio)
    assert told.time_saved == pytest.approx(second.time - first.time)
    assert told.time_saved > 0
    assert told.drop_saved == pytest.approx(second.drop - first.drop)


# Practical range

def test_the_practical_range_is_the_smallest_and_meets_its_limits_exactly():
    got = flight.practical_range(SHAFT, SEA, LINE, 30, 9.0, drop_tolerance=0.05, least_energy=60,
                                 least_momentum=6, time_available=0.2)
    assert flight.fly(SHAFT, SEA, LINE, 30, got.by_drop).drop == pytest.approx(0.05, rel=1e-5)
    assert flight.fly(SHAFT, SEA, LINE, 30, got.by_energy).energy == pytest.approx(60, rel=1e-5)
    assert flight.fly(SHAFT, SEA, LINE, 30, got.by_momentum).momentum == pytest.approx(6, rel=1e-5)
    assert flight.fly(SHAFT, SEA, LINE, 30, got.by_time).time == pytest.approx(0.2, rel=1e-5)
    assert got.by_line == 9
    assert got.tip_range == got.by_drop == min(got.by_line, got.by_drop, got.by_energy,
                                               got.by_momentum, got.by_time)
    assert got.limit == "drop"


@pytest.mark.parametrize(("limit", "asked"), [
    ("line", {}), ("drop", {"drop_tolerance": 0.01}), ("energy", {"least_energy": 150}),
    ("momentum", {"least_momentum": 12}), ("time", {"time_available": 0.03})])
def test_each_limit_can_be_the_one(limit, asked):
    got = flight.practical_range(SHAFT, SEA, LINE, 30, 5.0, **asked)
    assert got.limit == limit
    assert got.tip_range == getattr(got, f"by_{limit}")


def test_what_the_shaft_does_not_have_at_the_muzzle_leaves_no_range():
    got = flight.practical_range(SHAFT, SEA, LINE, 20, 5.0, least_energy=400)
    assert (got.tip_range, got.limit) == (0, "energy")


def test_what_sets_no_limit_shows_the_end_of_the_search():
    got = flight.practical_range(SHAFT, SEA, LINE, 30, 5.0, least_energy=0)
    assert got.by_energy == got.by_drop == got.by_time == 20


def test_practical_range_broadcasts():
    speed, wanted = np.array([20.0, 30.0, 40.0]), np.array([[0.02], [0.2]])
    got = flight.practical_range(SHAFT, SEA, LINE, speed, 5.0, drop_tolerance=wanted)
    assert got.tip_range.shape == got.limit.shape == (2, 3)
    for i, j in np.ndindex(2, 3):
        one = flight.practical_range(SHAFT, SEA, LINE, speed[j], 5.0, drop_tolerance=wanted[i, 0])
        assert got.tip_range[i, j] == pytest.approx(one.tip_range, rel=1e-9)
        assert got.limit[i, j] == one.limit


# Penetration

@given(speed=st.floats(1, 40), a=st.floats(1e5, 1e7), b=st.floats(10, 2000))
def test_the_depth_stops_the_shaft(speed, a, b):
    load = SHAFT.mass / SHAFT.cross_section
    expected, _ = quad(lambda v: load * v / (a + b * v * v), 0, speed, epsrel=1e-10)
    got = flight.penetration(SHAFT, speed, a, b)
    assert got.depth == pytest.approx(expected, rel=1e-8)
    assert got.depth < got.energy_per_area / a
    assert got.energy_per_area == pytest.approx(SHAFT.mass * speed**2 / 2 / SHAFT.cross_section)
    assert got.momentum_per_area == pytest.approx(SHAFT.mass * speed / SHAFT.cross_section)


def test_the_interval_of_the_depth_holds_each_end_of_the_parameters():
    got = flight.penetration_interval(SHAFT, 15)
    a, b = lookup("flesh.strength"), lookup("flesh.inertia")
    assert isinstance(got, Interval)
    assert got.best == flight.penetration(SHAFT, 15).depth
    for strength, inertia in ((a.low, b.value), (a.high, b.value), (a.value, b.low),
                              (a.value, b.high)):
        assert flight.penetration(SHAFT, 15, strength, inertia).depth in got


# The mask

@given(angle=st.floats(0, 0.8), n=st.floats(1.3, 1.36))
def test_a_ray_that_goes_back_takes_the_same_way(angle, n):
    there = flight.refraction_angle(angle, n, 1.0) if n * np.sin(angle) < 1 else None
    if there is not None:
        assert flight.refraction_angle(there, 1.0, n) == pytest.approx(angle, abs=1e-7)


def test_beyond_the_critical_angle_no_ray_comes_out():
    with pytest.raises(InputError, match=r"critical angle.*accepted is up to 0\.848"):
        flight.refraction_angle(0.9, 1.333, 1.0)


@given(far=st.floats(0.5, 20), share=st.floats(0.01, 0.95), gap=st.floats(0, 0.1), water=waters)
def test_the_ray_that_the_eye_sees_obeys_snell_and_meets_the_fish(far, share, gap, water):
    got = flight.seen_through_mask(far, water, share * far, eye_gap=gap)
    under = flight.refraction_angle(got.direction, 1.0, water.refractive_index)
    assert gap * np.tan(got.direction) + (far - gap) * np.tan(under) == pytest.approx(share * far)
    assert got.magnification == pytest.approx(got.direction / np.arctan(share))
    assert got.true_direction == pytest.approx(np.arctan(share))


@given(far=st.floats(0.5, 20), gap=st.floats(0, 0.1))
def test_straight_ahead_a_fish_seems_to_be_where_the_flat_surface_puts_it(far, gap):
    """gap + (distance - gap)/n for rays near the normal; the eyes' spacing changes little."""
    got = flight.seen_through_mask(far, SEA, 0.0, gap)
    near = gap + (far - gap) / SEA.refractive_index
    assert got.distance == pytest.approx(near, rel=2e-3)
    assert got.magnification == pytest.approx(far / near, rel=1e-6)
    assert got.by_rule == 0.75 * far
    assert (got.direction, got.true_direction) == (0, 0)


def test_two_eyes_see_it_where_their_rays_meet():
    got = flight.seen_through_mask(1.0, SEA, 0.0, 0.04, 0.063)
    ray = np.arctan(0.0315 / got.distance)
    under = flight.refraction_angle(ray, 1.0, SEA.refractive_index)
    assert 0.04 * np.tan(ray) + 0.96 * np.tan(under) == pytest.approx(0.0315, rel=1e-9)


def test_aside_a_fish_seems_nearer_and_larger_than_ahead():
    got = flight.seen_through_mask(4.0, SEA, np.array([0.0, 1.0, 2.0, 3.0]))
    assert (np.diff(got.distance) < 0).all()
    assert (np.diff(got.direction) > 0).all()


def test_the_judged_range_is_the_difference_of_two_distances():
    barrel = Barrel(length=1.20)
    eye = flight.eye_to_muzzle(barrel, 0.7)
    assert eye == pytest.approx(0.7 + 1.20 + barrel.roller_offset)
    far, near = (flight.seen_through_mask(x, SEA).distance for x in (eye + 4, eye))
    assert flight.judged_range(4.0, barrel, SEA, 0.7) == pytest.approx(far - near)
    assert flight.judged_range(4.0, barrel, SEA) < 4 * 0.76


# Arrays and refusals

def test_a_flight_broadcasts_as_a_loop_would():
    shaft = Shaft(diameter=np.array([0.0065, 0.007, 0.0075]), length=1.6)
    speed, tip = np.array([[25.0], [35.0]]), 4.5
    got = flight.fly(shaft, Water(temperature=np.array([[12.0], [28.0]])), LINE, speed, tip)
    for i, j in np.ndindex(2, 3):
        one = flight.fly(Shaft(shaft.diameter[j], 1.6), Water(temperature=[12.0, 28.0][i]), LINE,
                         speed[i, 0], tip)
        for many, single in zip(numbers_of(got), numbers_of(one), strict=True):
            assert many.shape == (2, 3)
            assert many[i, j] == pytest.approx(float(single), rel=1e-12)


def test_one_number_in_gives_floats_out():
    results = [flight.fly(SHAFT, SEA, LINE, 30, 5), flight.fly_integrated(SHAFT, SEA, LINE, 30, 5),
               flight.drag_area(SHAFT, SEA, LINE, 30), flight.penetration(SHAFT, 15),
               flight.seen_through_mask(5, SEA),
               flight.practical_range(SHAFT, SEA, LINE, 30, 5, drop_tolerance=0.1)]
    for result in results:
        for part in dataclasses.fields(result):
            if part.name not in ("cautions", "limit"):
                assert type(getattr(result, part.name)) is float, part.name


PAIR, THREE = np.array([1.0, 2.0]) * 15, np.array([3.0, 4.0, 5.0])


@pytest.mark.parametrize(("call", "told"), [
    (lambda: flight.skin_friction(1e6, "hughes"), r"law is 'hughes'; accepted are ittc57"),
    (lambda: flight.skin_friction(1e3), r"reynolds is 1000; accepted is 100000 to 1e\+10"),
    (lambda: flight.skin_friction(1e7, "blasius"), "accepted is 1000 to 1e"),
    (lambda: flight.skin_friction(1e6, ["ittc57"]), "accepted are ittc57"),
    (lambda: flight.spheroid_added_mass(0.9), r"slenderness is 0\.9"),
    (lambda: flight.reynolds_number(-1, 1.6, SEA), r"speed is -1 m/s"),
    (lambda: flight.DragCoefficients(nose=3), r"nose is 3; accepted is 0 to 1\.2"),
    (lambda: flight.DragCoefficients(nose=PAIR / 100, wing=THREE / 10), "do not fit together"),
    (lambda: flight.drag_area(SHAFT, SEA, LINE, 300), r"speed is 300 m/s; accepted is 0 to 80"),
    (lambda: flight.drag_area(SHAFT, SEA, LINE, 30, -1), r"distance is -1 m"),
    (lambda: flight.coast(3, 0, 1, 0.4, 1), r"speed is 0 m/s"),
    (lambda: flight.coast(3, 20, 1, 0.4, float("nan")), "density holds a value that is not finite"),
    (lambda: flight.sink(-1, 4, 0.5, 0.01, 1025), r"time is -1 s"),
    (lambda: flight.fly(SHAFT, SEA, LINE, 30, 1.5), "less than the shaft's length"),
    (lambda: flight.fly(SHAFT, SEA, LINE, 30, 50), r"tip_range is 50 m; accepted is 0 to 20 m"),
    (lambda: flight.fly(SHAFT, SEA, LINE, "fast", 5), r"muzzle_speed is 'fast'"),
    (lambda: flight.fly(SHAFT, SEA, LINE, 30, 5, 20), "10 degrees is 0.1745"),
    (lambda: flight.fly(SHAFT, SEA, LINE, 30, 5, -2), r"tilt is -2 rad; accepted is -1\.57"),
    (lambda: flight.fly(SHAFT, SEA, LINE, 30, 5, 2), r"tilt is 2 rad; accepted is -1\.57"),
    (lambda: flight.fly(SHAFT, SEA, LINE, PAIR, THREE), "muzzle_speed of 2 and tip_range of 3"),
    (lambda: flight.fly_integrated(SHAFT, SEA, LINE, 30, 5, 20), "tilt is 20 rad"),
    (lambda: flight.fly_integrated(SHAFT, SEA, LINE, 300, 5), "muzzle_speed is 300 m/s"),
    (lambda: flight.fly_integrated(SHAFT, SEA, LINE, PAIR, 5), "holds 2 values; one number"),
    (lambda: flight.fly_integrated(Shaft(0.007, np.array([1.5, 1.6])), SEA, LINE, 30, 5),
     "one set-up at a time"),
    (lambda: flight.integrate_path(lambda x, v: -10.0, lambda v, w: 0.0, 5, 3), "stops before"),
    (lambda: flight.pitch_growth(SHAFT, SEA, 99), r"distance is 99 m"),
    (lambda: flight.aim_tilt(-1, 5), r"drop is -1 m"),
    (lambda: flight.aim_tilt(0.1, 0), r"tip_range is 0 m"),
    (lambda: flight.holdover(0.1, 5, 5), "5 cm is 0.05"),
    (lambda: flight.holdover(0.1, 5, 0, 9), r"tilt is 9 rad"),
    (lambda: flight.compare_flights(flight.fly(SHAFT, SEA, LINE, 30, 5),
                                    flight.fly(SHAFT, SEA, LINE, 30, 4)), "at the same"),
    (lambda: flight.practical_range(SHAFT, SEA, LINE, 30, -1), r"line_reach is -1 m"),
    (lambda: flight.practical_range(SHAFT, SEA, LINE, 30, 5, drop_tolerance=0),
     r"drop_tolerance is 0 m"),
    (lambda: flight.practical_range(SHAFT, SEA, LINE, PAIR, 5, drop_tolerance=THREE),
     "muzzle_speed of 2 and drop_tolerance of 3"),
    (lambda: flight.practical_range(SHAFT, SEA, LINE, PAIR, THREE), "do not fit together"),
    (lambda: flight.penetration(SHAFT, 15, 0), "2 MPa is 2e6"),
    (lambda: flight.penetration_interval(SHAFT, PAIR), "one number is accepted"),
    (lambda: flight.refraction_angle(3, 1, 1.33), "30 degrees is 0.5236"),
    (lambda: flight.seen_through_mask(5, SEA, 6), "offset is 6 m, more than distance"),
    (lambda: flight.seen_through_mask(5, SEA, eye_gap=4), "4 cm is 0.04"),
    (lambda: flight.seen_through_mask(0.01, SEA), r"distance is 0\.01 m"),
    (lambda: flight.eye_to_muzzle(Barrel(length=1.2), 75), "75 cm is 0.75"),
    (lambda: flight.judged_range(0, Barrel(length=1.2), SEA), r"tip_range is 0 m"),
])
def test_what_cannot_be_right_is_refused_in_one_sentence(call, told):
    with pytest.raises(InputError, match=told):
        call()
