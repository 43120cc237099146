"""A search keeps what nothing beats, and says of each of the rest why it is out."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from bandwork import InputError, stretch
from bandwork.choice import (
    _WEIGHED,
    Place,
    choose_set,
    non_dominated,
    search,
)
from bandwork.components import Band, Barrel, Diver, Shaft, ShootingLine, Water
from bandwork.flight import fly
from bandwork.setup import USUAL_CAUTIONS, Quarry, predict
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays

DIVER = Diver(480, 0.9)
BARRELS = [Barrel(1.20), Barrel(1.20, material="aluminium")]
TUBES = [Band(0.016, 0.003, 0.65), Band(0.0145, 0.003, 0.65)]
SHAFTS = [Shaft(0.007, 1.60), Shaft(0.0075, 1.60)]
LINES = [ShootingLine(0.0017), ShootingLine(0.0017, bungee_length=0.20)]
SEA = Water(20)
FISH = Quarry(distance=4.0)
FOUND = search(DIVER, BARRELS, TUBES, SHAFTS, LINES, SEA, FISH, cuts=2)


def beats(one, other):
    return all(a <= b for a, b in zip(one, other, strict=True)) and any(
        a < b for a, b in zip(one, other, strict=True))


@settings(max_examples=60)
@given(arrays(float, array_shapes(min_dims=2, max_dims=2, max_side=9),
              elements=st.integers(0, 4).map(float)))
def test_the_pareto_set_is_that_of_brute_force(table):
    rows = table.tolist()
    assert non_dominated(table).tolist() == [
        not any(beats(other, row) for other in rows) for row in rows]


@settings(max_examples=60)
@given(arrays(float, (6, 3), elements=st.floats(0, 1)), st.floats(0.1, 10))
def test_the_pareto_set_does_not_depend_on_units_or_order(table, factor):
    kept = non_dominated(table)
    scaled = table * np.array([factor, 1.0, 1.0])
    if len(np.unique(scaled[:, 0])) == len(np.unique(table[:, 0])):
        np.testing.assert_array_equal(non_dominated(scaled), kept)
    np.testing.assert_array_equal(non_dominated(table[::-1]), kept[::-1])
    assert kept.any()


@cache
def told(number):
    """Return the prediction of a set-up that was kept, by itself and to rounding."""
    return predict(FOUND.kept[number].setup, FISH)


def alone(number):
    """What is weighed of it."""
    told_, setup = told(number), FOUND.kept[number].setup
    drop = fly(setup.shaft, setup.water, setup.line, told_.muzzle_speed, FISH.distance).drop
    return {"load": told_.load, "practical_range": told_.practical_range, "drop": drop,
            "trim": abs(told_.grip_moment), "recoil_speed": told_.recoil_speed,
            "line_margin": told_.line_margin.best}


def test_everything_on_the_shelf_is_kept_or_out_for_a_reason():
    assert len(FOUND.kept) + len(FOUND.fallen) == 2 * 2 * 2 * 2 * 2
    names = [one.name for one in (*FOUND.kept, *FOUND.fallen)]
    assert len(set(names)) == len(names)
    assert all(one.reason.endswith(".") for one in FOUND.fallen)


def test_what_is_kept_is_what_each_alone_would_be_and_beats_each_other_in_something():
    costs = []
    for number, one in enumerate(FOUND.kept):
        for name, figure in alone(number).items():
            assert getattr(one, name) == pytest.approx(figure, rel=1e-3)
        costs.append([sign * round(getattr(one, name), 6)
                      for name, (sign, *_) in _WEIGHED.items()])
    assert len(costs) > 1
    assert not any(beats(a, b) for a in costs for b in costs)


def test_what_fell_out_is_beaten_by_the_one_that_is_named():
    kept = {one.name: one for one in FOUND.kept}
    beaten = [one for one in FOUND.fallen if one.reason.startswith("Better in nothing than ")]
    assert beaten
    for one in beaten:
        by = one.reason.removeprefix("Better in nothing than ").split(", and worse in ")[0]
        assert by in kept
        assert one.name != by


def test_only_what_the_diver_brings_and_reaches_is_kept():
    for number in range(len(FOUND.kept)):
        assert told(number).load_spare >= 0
        assert told(number).reach_spare >= 0
        assert told(number).practical_range >= FISH.distance * 0.999


@pytest.mark.parametrize(("changes", "reason"), [
    ({"diver": Diver(480, 0.4)}, "out of this diver's reach"),
    ({"quarry": Quarry(distance=12)}, "Its practical range is"),
    ({"quarry": Quarry(distance=2, least_energy=500)}, "limited by energy"),
    ({"lines": ShootingLine(0.0017, breaking_strength=100)}, "Its line holds"),
    ({"shafts": Shaft(0.007, 1.0)}, "too short a shaft"),
    ({"shafts": Shaft(0.007, 2.2)}, "too long a shaft"),
    ({"tubes": Band(0.0175, 0.003, 0.60), "cuts": 0}, "more than this diver brings"),
    ({"tubes": Band(0.0175, 0.003, 1.30), "cuts": 0}, "The band is slack"),
])
def test_the_reason_names_what_is_wrong(changes, reason):
    asked = {"diver": DIVER, "barrels": Barrel(1.20), "tubes": TUBES[0], "shafts": SHAFTS[0],
             "lines": LINES[0], "water": SEA, "quarry": FISH, "cuts": 1} | changes
    found = search(**asked)
    assert found.kept == ()
    assert all(reason in one.reason for one in found.fallen)


def test_a_part_that_cannot_be_is_a_reason_and_spoils_nothing_else():
    """A 0.3 m roller would need a leg that is slack at rest: only that set-up falls out."""
    short = Barrel(0.35, anchor_position=0.30)
    found = search(Diver(500, 0.9), [Barrel(1.20), short], TUBES[0], SHAFTS[0], LINES[0], SEA,
                   Quarry(distance=2), cuts=1)
    assert any("roller 120" in one.name for one in found.kept)
    assert any("35 in carbon" in one.name for one in found.fallen)


def test_a_tube_is_cut_to_the_whole_centimetre_that_the_diver_loads():
    for one in FOUND.kept:
        cut = one.setup.band.relaxed_length
        assert cut == pytest.approx(round(cut, 2), abs=1e-9)
    shortest = min((one for one in FOUND.kept if one.setup.band.outer_diameter == 0.016),
                   key=lambda one: one.setup.band.relaxed_length).setup
    harder = replace(shortest.band, relaxed_length=shortest.band.relaxed_length - 0.01)
    assert stretch.notch_load(shortest.band, shortest.barrel) <= DIVER.load_capacity
    assert stretch.notch_load(harder, shortest.barrel) > DIVER.load_capacity


def test_a_band_that_is_tied_already_keeps_its_length():
    found = search(DIVER, Barrel(1.20), Band(0.016, 0.003, 0.68), SHAFTS[0], LINES[0], SEA, FISH,
                   cuts=0)
    assert [one.setup.band.relaxed_length for one in found.kept] == [0.68]


def test_the_text_is_short_and_closes_with_cautions():
    text = str(FOUND)
    assert max(map(len, text.splitlines())) <= 92
    assert text.startswith(f"{len(FOUND.kept)} of 32 set-ups")
    assert FOUND.cautions == USUAL_CAUTIONS


@pytest.mark.parametrize(("changes", "said"), [
    ({"barrels": []}, "barrels is empty"), ({"tubes": 5}, "tubes is 5"),
    ({"shafts": [SHAFTS[0], "rod"]}, "shafts is 'rod'"),
    ({"lines": ShootingLine([0.0015, 0.0017])}, "A part holds 2 values"),
    ({"diver": "me"}, "diver is 'me'"), ({"water": 20}, "water is 20"),
    ({"quarry": 4}, "quarry is 4"), ({"assumptions": 4}, "assumptions is 4"),
    ({"cuts": -1}, "cuts is -1"), ({"diver": Diver([400, 500], 0.9)}, "A part holds 2 values"),
])
def test_a_shelf_that_cannot_be_is_refused(changes, said):
    asked = {"diver": DIVER, "barrels": Barrel(1.20), "tubes": TUBES[0], "shafts": SHAFTS[0],
             "lines": LINES[0]} | changes
    with pytest.raises(InputError, match=said):
        search(**asked)


@pytest.mark.parametrize("table", [[1.0, 2.0], [[1.0, np.nan]], [["a"]], [[1, 2], [3]]])
def test_costs_that_are_no_table_are_refused(table):
    with pytest.raises(InputError):
        non_dominated(table)


# A few guns for some places

CAVES = Place("caves", SEA, Quarry(distance=2.0), longest=0.95)
REEF = Place("reef", SEA, Quarry(distance=4.6))
SHELF = (DIVER, [Barrel(0.90), Barrel(1.20)], TUBES[0], [Shaft(0.007, 1.30), Shaft(0.007, 1.60)],
         LINES[0])


def test_the_fewest_guns_cover_all_places_and_are_alike_where_they_can_be():
    told = choose_set(*SHELF, [CAVES, REEF], cuts=2)
    assert len(told.guns) == 2
    assert told.covers == {"caves": 0, "reef": 1}
    assert told.guns[0].barrel.length == 0.90
    assert told.uncovered == {}
    assert any(one.startswith("tube") for one in told.alike)
    assert any(one.startswith("barrel's length") for one in told.different)
    for gun, place in zip(told.guns, (CAVES, REEF), strict=True):
        there = predict(replace(gun, water=place.water), place.quarry)
        assert there.practical_range >= place.quarry.distance * 0.999
        assert there.load_spare >= 0
        assert gun.barrel.length <= place.longest
    assert "Gun 1, for caves" in str(told)
    assert "Keep alike: " in str(told)


def test_one_gun_is_enough_where_it_covers_all():
    told = choose_set(*SHELF, [CAVES, replace(REEF, quarry=Quarry(distance=2.5))], cuts=1)
    assert len(told.guns) == 1
    assert set(told.covers.values()) == {0}
    assert "Keep alike" not in str(told)


def test_more_that_are_combined_are_no_less_alike():
    """Each gun that passes most alone may differ from the other in what a lesser one shares."""
    few, many = (choose_set(*SHELF[:2], TUBES, *SHELF[3:], [CAVES, REEF], cuts=3, combined=count)
                 for count in (1, 50))
    assert len(few.guns) == len(many.guns) == 2
    assert len(many.alike) > len(few.alike)
    with pytest.raises(InputError, match="combined is 0; accepted is 1 to 50"):
        choose_set(*SHELF, [CAVES, REEF], combined=0)


def test_a_tube_is_cut_for_the_warmest_water_in_which_it_is_loaded():
    cold, warm = (search(DIVER, Barrel(1.20), TUBES[0], SHAFTS[0], LINES[0], Water(degrees),
                         FISH, cuts=1) for degrees in (4, 36))
    cuts = [one.kept[0].setup.band.relaxed_length for one in (cold, warm)]
    assert cuts[0] < cuts[1]
    for one in (cold, warm):
        assert 0.95 * DIVER.load_capacity < one.kept[0].load <= DIVER.load_capacity
    hot = replace(CAVES, name="lagoon", water=Water(36))
    strong = ShootingLine(0.0017, breaking_strength=3000)
    for places in ([CAVES, hot], [hot, CAVES]):
        told = choose_set(*SHELF[:4], strong, places, cuts=1)
        assert set(told.covers) == {"caves", "lagoon"}
        assert all(predict(replace(gun, water=hot.water)).load_spare >= 0 for gun in told.guns)


def test_a_place_that_nothing_covers_is_named_with_the_reason():
    told = choose_set(*SHELF, [CAVES, replace(REEF, name="tuna", quarry=Quarry(distance=12))],
                      cuts=1)
    assert set(told.covers) == {"caves"}
    assert "Its practical range is" in told.uncovered["tuna"]
    none = choose_set(*SHELF, [REEF, replace(CAVES, longest=0.5)], cuts=1)
    assert none.uncovered == {"caves": "No barrel on the shelf is 0.50 m or shorter."}


@pytest.mark.parametrize(("places", "most", "said"), [
    ([], 3, "places is empty"), ([CAVES, CAVES], 3, "each under a name of its own"),
    ([CAVES, REEF], 1, "1 guns are not enough"), ([CAVES], 4, "most is 4"),
    ([Place("far", SEA, Quarry(distance=12))], 3, "covers none of the places"),
    ("caves", 3, "places is 'c'"),
])
def test_places_that_cannot_be_covered_are_refused(places, most, said):
    with pytest.raises(InputError, match=said):
        choose_set(*SHELF, places, most, cuts=1)


@pytest.mark.parametrize(("make", "said"), [
    (lambda: replace(CAVES, name=5), "name is 5"), (lambda: replace(CAVES, water=5), "water is 5"),
    (lambda: replace(CAVES, longest=95), "longest is 95 m"),
    (lambda: replace(CAVES, quarry=Quarry(distance=[2, 3])), "A part holds 2 values"),
])
def test_a_place_that_cannot_be_is_refused(make, said):
    with pytest.raises(InputError, match=said):
        make()
