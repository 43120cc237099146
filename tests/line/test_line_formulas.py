"""Unit `line`: single terms of its formulas, against how they must scale."""

import pytest
from bandwork.components import Barrel, Shaft, ShootingLine, Water
from bandwork.line import Swing, swing_bow


def test_a_line_neither_slack_nor_tight_bows_with_the_rate_to_two_thirds_up_to_the_fastest():
    # Without slack the cubic is T^3 = load^2/give times a length: the bow goes as load^(1/3),
    # and the load as the square of the rate.
    stiff = ShootingLine(0.003, wraps=0, stiffness=2e5)
    gun = Barrel(1.60), Shaft(0.007, 2.00), stiff, Water()
    slow, fast = (swing_bow(*gun, swing=Swing(rate=rate, pivot_position=-2.0, drag_coefficient=3.0))
                  for rate in (0.1, 10.0))
    assert fast / slow == pytest.approx(100 ** (2 / 3), rel=1e-9)
