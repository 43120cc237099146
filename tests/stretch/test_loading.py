"""Loading: who can do it, what a load assist changes, and what is said with the numbers."""

import numpy as np
import pytest
from bandwork import InputError
from bandwork.components import Band, Barrel, Diver
from bandwork.stretch import CAUTIONS, loading, notch_load, resting_distance
from hypothesis import given
from hypothesis import strategies as st

BAND = Band(outer_diameter=0.016, bore=0.003, relaxed_length=0.65)
SHORT = Band(0.016, 0.003, 0.40)
BARREL = Barrel(length=1.20)
PLAIN = Barrel(length=1.20, kind="conventional")
DIVER = Diver(load_capacity=500, reach=0.9)


@pytest.mark.parametrize(("band", "barrel"), [(BAND, BARREL), (SHORT, PLAIN)])
@given(part=st.floats(0.001, 0.999))
def test_an_assist_brings_the_grip_nearer_by_its_length_and_leaves_the_load(band, barrel, part):
    way = resting_distance(band, barrel)
    assist = part * way
    bare, helped = loading(DIVER, band, barrel), loading(DIVER, band, barrel, assist)
    assert helped.load == bare.load == notch_load(band, barrel)
    assert helped.spare == bare.spare == pytest.approx(500 - bare.load)
    assert bare.first_reach == way
    assert helped.first_reach == pytest.approx(way - assist)
    assert helped.hand_over_reach == assist
    assert helped.hand_over_load == notch_load(band, barrel, assist)
    assert bare.hand_over_load <= helped.hand_over_load <= helped.load
    assert helped.reach_spare == pytest.approx(0.9 - max(way - assist, assist))


def test_a_longer_assist_hands_over_earlier_and_so_at_a_smaller_load():
    assists = np.linspace(0.05, 1.1, 12)
    got = loading(DIVER, BAND, BARREL, assists)
    assert (np.diff(got.hand_over_load) < 0).all()
    assert (np.diff(got.first_reach) < 0).all()
    assert got.hand_over_load.shape == got.first_reach.shape == (12,)
    for i in (0, 5, 11):
        alone = loading(DIVER, BAND, BARREL, assists[i])
        assert got.hand_over_load[i] == pytest.approx(alone.hand_over_load)
        assert got.reach_spare[i] == pytest.approx(alone.reach_spare)


def test_an_assist_longer_than_the_reach_leaves_the_wishbone_out_of_reach():
    got = loading(Diver(500, 0.5), BAND, BARREL, 0.9)
    assert got.first_reach == pytest.approx(0.29)
    assert got.reach_spare == pytest.approx(-0.4)
    assert "A grip lies 90 cm (35 in) ahead" in got.cautions[0]


def test_without_an_assist_the_whole_way_is_pulled_at_once():
    got = loading(DIVER, BAND, BARREL)
    assert got.hand_over_reach == got.first_reach == BARREL.upper_run
    assert got.hand_over_load == pytest.approx(
        BAND.force(BARREL.lower_run) * BARREL.friction_ratio)
    assert loading(DIVER, SHORT, PLAIN).hand_over_load == pytest.approx(0, abs=1e-6)


def test_an_assist_may_be_any_length_but_the_whole_way():
    way = BARREL.upper_run
    almost = np.nextafter(way, 0)
    assert loading(DIVER, BAND, BARREL, almost).first_reach == pytest.approx(0)
    for wrong in (way, 2.0, -0.1, [0.3, -0.1]):
        with pytest.raises(InputError, match=r"assist_length is .*accepted is 0 to below 1\.19"):
            loading(DIVER, BAND, BARREL, wrong)


def test_what_is_too_hard_or_too_far_is_said_first_and_the_cautions_always():
    weak = loading(Diver(300, 0.6), BAND, BARREL)
    assert weak.spare < 0
    assert weak.reach_spare < 0
    assert "out of this diver's reach" in weak.cautions[0]
    assert "47 kgf (104 lbf), more than this diver brings" in weak.cautions[1]
    assert weak.cautions[2:] == CAUTIONS
    strong = loading(Diver(600, 1.0), BAND, BARREL, 0.3)
    assert strong.spare > 0
    assert strong.cautions == CAUTIONS
    assert any("not permission" in said for said in CAUTIONS)


def test_a_group_of_divers_is_answered_at_once():
    group = Diver([300, 450, 600], [0.7, 0.8, 0.9])
    got = loading(group, BAND, BARREL, 0.35)
    assert got.spare == pytest.approx(np.array([300, 450, 600]) - got.load)
    assert got.reach_spare.shape == (3,)
    assert isinstance(got.load, float)


def test_a_conventional_band_that_reaches_the_notch_is_refused():
    with pytest.raises(InputError, match="slack there; cut it shorter"):
        loading(DIVER, Band(0.016, 0.003, 1.19), PLAIN)
    nearly = loading(DIVER, Band(0.016, 0.003, 1.19 - 1e-6), PLAIN)
    assert 0 < nearly.load < 0.01
    assert nearly.hand_over_load == pytest.approx(0, abs=1e-6)
