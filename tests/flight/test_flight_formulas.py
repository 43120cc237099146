"""Unit `flight`: single terms of its formulas, each worked out here in another way."""

import numpy as np
import pytest
from bandwork import InputError
from bandwork.components import Shaft, ShootingLine, Water
from bandwork.flight import (
    DragCoefficients,
    aim_tilt,
    coast,
    drag_area,
    fly,
    holdover,
    practical_range,
    refraction_angle,
    seen_through_mask,
    skin_friction,
)
from scipy.optimize import brentq, minimize

SHAFT, LINE = Shaft(0.007, 1.60), ShootingLine(0.0017)


@pytest.mark.parametrize(("distance", "gap"), [(0.2, 0.15), (0.2, 0.0), (5.0, 0.15)])
def test_a_ray_by_snell_shows_the_thing_however_much_of_the_way_is_air(distance, gap):
    water, pupils = Water(temperature=20), 0.064

    def aside(in_water):
        in_air = np.arcsin(water.refractive_index * np.sin(in_water))
        return gap * np.tan(in_air) + (distance - gap) * np.tan(in_water) - pupils / 2

    ray = brentq(aside, 0, np.arctan(pupils / 2 / (distance - gap)), xtol=1e-15)
    expected = pupils / 2 / np.tan(np.arcsin(water.refractive_index * np.sin(ray)))
    got = seen_through_mask(distance, water, eye_gap=gap, pupil_distance=pupils)
    assert got.distance == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("distance", "offset", "gap"), [(0.5, 0.2, 0.0), (0.5, 0.2, 0.1),
                                                         (1.0, 0.1, 0.04)])
def test_seen_aside_the_two_eyes_rays_meet_where_the_quickest_way_of_light_says(
        distance, offset, gap):
    """Fermat's principle in space: where light crosses the glass, its optical path is shortest.

    The eye's line of sight, drawn on without a bend, meets the other eye's in the plane between.
    """
    water, pupils = Water(temperature=20), 0.09
    eye = np.array([pupils / 2, 0.0])

    def path(crossing):
        return (np.hypot(np.hypot(*(crossing - eye)), gap) + water.refractive_index
                * np.hypot(np.hypot(*(crossing - np.array([0.0, offset]))), distance - gap))

    got = seen_through_mask(distance, water, offset, gap, pupils)
    if gap:
        across, up = minimize(path, eye, tol=1e-12, method="Nelder-Mead").x - eye
        assert got.distance == pytest.approx(gap * pupils / 2 / -across, rel=1e-5)
        assert got.distance == pytest.approx(gap * offset / up, rel=1e-5)
    else:
        sine = np.sin(np.arctan(np.hypot(offset, pupils / 2) / distance)) * water.refractive_index
        assert got.distance == pytest.approx(
            np.hypot(offset, pupils / 2) * np.sqrt(1 / sine**2 - 1), rel=1e-9)


def test_a_ray_that_grazes_the_surface_goes_on_at_the_critical_angle():
    # The critical angle of water against air, 48.6 degrees, is tan^-1 of 1/sqrt(n^2 - 1).
    assert refraction_angle(np.pi / 2, 1.0, 1.333) == pytest.approx(
        np.arctan(1 / np.sqrt(1.333**2 - 1)), rel=1e-12)


def test_a_right_angle_is_the_largest():
    right = np.pi / 2
    assert fly(SHAFT, Water(), None, 30, 3.0, [-right, right]).drop == pytest.approx(0, abs=1e-12)
    for outside in (-right * (1 + 1e-6), right * (1 + 1e-6)):
        with pytest.raises(InputError, match="tilt is"):
            fly(SHAFT, Water(), None, 30, 3.0, outside)
    with pytest.raises(InputError, match="angle is"):
        refraction_angle(right * (1 + 1e-6), 1.0, 1.333)


def test_at_the_muzzle_only_the_line_that_already_moves_drags():
    c = DragCoefficients(line_tangential=0.01, towed_start=2.0, towed_growth=1.0)
    assert drag_area(SHAFT, Water(), LINE, 30, coefficients=c).line == pytest.approx(
        0.01 * np.pi * 0.0017 * 2.0, rel=1e-12)


def test_with_the_eye_on_the_shaft_and_the_barrel_on_the_sight_the_drop_is_all():
    assert aim_tilt(0.5, 5.0) == pytest.approx(np.arctan(0.1), rel=1e-12)
    assert holdover(0.5, 5.0) == pytest.approx(0.5, rel=1e-12)
    assert holdover(0.5, 5.0, 0.1) == pytest.approx(0.6, rel=1e-12)
    assert holdover(0.5, 5.0, tilt=np.arctan(0.02)) == pytest.approx(0.4, rel=1e-12)


def test_a_body_slowed_by_e_to_300_stands_still():
    # A kilogram in 2 kg/m3 with 1 m2 slows by e each metre.
    (near, far), _ = coast([200.0, 1e4], 20.0, 1.0, 1.0, 2.0)
    assert np.log(20 / near) == pytest.approx(200, rel=1e-12)
    assert np.log(20 / far) == pytest.approx(300, rel=1e-12)


@pytest.mark.parametrize(("law", "low", "high"), [
    ("ittc57", 1e5, 1e10), ("prandtl_schlichting", 1e5, 1e9), ("blasius", 1e3, 1e6)])
def test_a_law_of_friction_holds_between_the_ends_that_it_names(law, low, high):
    assert skin_friction(low, law) > skin_friction(high, law) > 0
    for outside in (low * (1 - 1e-9), high * (1 + 1e-9)):
        with pytest.raises(InputError, match="reynolds is"):
            skin_friction(outside, law)


@pytest.mark.parametrize(("name", "low", "high"), [
    ("drop_tolerance", 0.001, 5), ("least_energy", 0, 5000), ("least_momentum", 0, 200),
    ("time_available", 0.001, 10)])
def test_what_is_asked_of_a_shot_may_lie_between_the_ends_that_the_text_names(name, low, high):
    def ask(value):
        return practical_range(SHAFT, Water(), LINE, 30, 5.0, **{name: value}).tip_range

    strict, lenient = sorted((ask(low), ask(high)))
    assert strict < 2.2 < lenient == 5.0
    for outside in (low - 1e-6, high * (1 + 1e-6)):
        with pytest.raises(InputError, match=f"{name} is"):
            ask(outside)
