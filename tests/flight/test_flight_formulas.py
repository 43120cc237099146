"""Unit `flight`: single terms of its formulas, each worked out here in another way."""

import numpy as np
import pytest
from bandwork.components import Water
from bandwork.flight import seen_through_mask
from scipy.optimize import brentq


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
