"""The line's margin for many set-ups at once, and at the ends of what stiffness is accepted."""

import pytest
from bandwork import InputError
from bandwork.components import Shaft, ShootingLine
from bandwork.handbook import lookup
from bandwork.interval import Interval
from bandwork.line import end_shock, strength_margin, strength_margins

SHAFT = Shaft(0.007, 1.60)
HELD = (800.0, 1600.0, 1900.0)


def test_many_are_each_alone():
    lines = ShootingLine(0.0017, bungee_length=[0.0, 0.2], stiffness=[8e4, 1.2e5])
    lengths, speeds, guns = [3.0, 5.0], [[4.0], [9.0], [12.0]], [[2.0], [3.0], [50.0]]
    low, best, high = strength_margins(HELD, lines, lengths, SHAFT, speeds, guns)
    assert low.shape == best.shape == high.shape == (3, 2)
    for row in range(3):
        for column in range(2):
            one = ShootingLine(0.0017, bungee_length=(0.0, 0.2)[column],
                               stiffness=(8e4, 1.2e5)[column])
            alone = strength_margin(Interval(*HELD), one, lengths[column], SHAFT, speeds[row][0],
                                    guns[row][0])
            assert (low[row, column], best[row, column], high[row, column]) == pytest.approx(
                (alone.low, alone.best, alone.high), rel=1e-12)


@pytest.mark.parametrize(("own", "end", "clamped"), [(1e6, "low", 1e6), (100.0, "high", 100.0)])
def test_a_stiffness_is_not_taken_past_what_a_line_accepts(own, end, clamped):
    """The stiffest accepted line has no stiffer one in its range, the softest no softer one."""
    line = ShootingLine(0.0017, stiffness=own)
    got = strength_margin(Interval(*HELD), line, 3.6, SHAFT, 5.0)
    shock = end_shock(ShootingLine(0.0017, stiffness=clamped), 3.6, SHAFT, 5.0).tension
    assert getattr(got, end) == pytest.approx(
        {"low": HELD[0], "high": HELD[2]}[end] / shock, rel=1e-12)


@pytest.mark.parametrize("own", [150.0, 6e5])
def test_within_what_is_accepted_the_handbooks_range_is_taken(own):
    row = lookup("line.stiffness")
    line = ShootingLine(0.0017, stiffness=own)
    got = strength_margin(Interval(*HELD), line, 3.6, SHAFT, 5.0)
    softest = max(own * row.low / row.value, 100.0)
    stiffest = min(own * row.high / row.value, 1e6)
    for held, stiff, margin in ((HELD[0], stiffest, got.low), (HELD[1], own, got.best),
                                (HELD[2], softest, got.high)):
        pull = end_shock(ShootingLine(0.0017, stiffness=stiff), 3.6, SHAFT, 5.0).tension
        assert margin == pytest.approx(held / pull, rel=1e-12)


@pytest.mark.parametrize(("strength", "speed", "said"), [
    (1000, 5, "strength is 1000; give three"), ((1, 2), 5, "give three"),
    ((900, 800, 1000), 5, "not in ascending order"), ((800, 1100, 1000), 5, "ascending"),
    ((0, 800, 1000), 5, "strength is 0 N"), (HELD, 0, "speed is 0 m/s"),
    (([800, 900], 1600, [1900] * 3), 5, "do not fit together"),
])
def test_what_cannot_be_is_refused_in_a_sentence(strength, speed, said):
    with pytest.raises(InputError, match=said):
        strength_margins(strength, ShootingLine(0.0017), 3.6, SHAFT, speed)
