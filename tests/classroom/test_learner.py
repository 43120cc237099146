"""The learner's numbers: always the same, valid for everybody, independent of each other."""

from dataclasses import replace

import numpy as np
import pytest
from bandwork import InputError
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.learner import Draw, Numbers, draw, tidy_id
from bandwork.classroom.work import Work
from bandwork.stretch import Band, Barrel, NeoHookean
from bandwork.units import kgf_from_newton

IDS = [f"learner-{number}" for number in range(10_000)]


@pytest.mark.parametrize("unit", UNITS)
def test_the_same_id_always_gives_the_same_numbers(unit):
    asked = exercise(unit)
    assert dict(asked.numbers("ada")) == dict(asked.numbers("  Ada "))


def test_numbers_do_not_change_from_release_to_release():
    """Drawn once and written down, so that a change of the hash or of a list is noticed."""
    my = exercise("stretch").numbers("ada")
    assert (my.outer_diameter_mm, my.bore_mm, my.barrel_cm, my.mu_MPa) == (17.0, 2.0, 120, 0.32)


@pytest.mark.parametrize("unit", UNITS)
def test_a_parameter_that_is_added_moves_no_other(unit):
    asked = exercise(unit)
    longer = replace(asked, draws=(Draw("new_cm", "", (1.0, 2.0, 3.0)), *asked.draws))
    for learner in IDS[:50]:
        before, after = asked.numbers(learner), longer.numbers(learner)
        assert {name: after[name] for name in before} == dict(before)


@pytest.mark.parametrize("unit", UNITS)
def test_a_new_version_gives_new_numbers(unit):
    asked = exercise(unit)
    newer = replace(asked, version=asked.version + "b")
    assert sum(dict(asked.numbers(one)) == dict(newer.numbers(one)) for one in IDS[:200]) < 5


@pytest.mark.parametrize("unit", UNITS)
def test_two_learners_are_seldom_alike(unit):
    asked = exercise(unit)
    seen = {tuple(asked.numbers(one).values()) for one in IDS[:2000]}
    assert len(seen) >= 1990


def test_ten_thousand_ids_have_a_gun_that_could_be_built():
    my = [exercise("stretch").numbers(one) for one in IDS]

    def column(name):
        return np.array([one[name] for one in my], dtype=float)

    band = Band(column("outer_diameter_mm") / 1e3, column("bore_mm") / 1e3,
                column("relaxed_cm") / 1e2)
    Barrel(column("barrel_cm") / 1e2)
    Band(column("thin_diameter_mm") / 1e3, column("bore_mm") / 1e3, column("relaxed_cm") / 1e2)
    loaded = band.stretch_ratio((column("upper_run_cm") + column("lower_run_cm")) / 1e2)
    resting = band.stretch_ratio(column("lower_run_cm") / 1e2)
    stress = NeoHookean(column("mu_MPa") * 1e6).engineering_stress(loaded)
    load = kgf_from_newton(2 * band.cross_section * stress)
    assert loaded.min() > 3.3
    assert loaded.max() < 3.9
    assert resting.min() > 1.6
    assert load.min() > 20
    assert load.max() < 60
    assert (column("assist_cm") < column("upper_run_cm") / 2).all()
    readings = np.array([one.reading_kgf for one in my])
    assert (np.diff(readings, axis=1) > 0).all()
    assert readings.min() > 3


def test_every_choice_is_drawn_about_as_often():
    parameter = Draw("x", "", tuple(range(7)))
    counts = np.bincount([int(draw(one, "stretch", "1", parameter)) for one in IDS], minlength=7)
    assert counts.min() > 1250
    assert counts.max() < 1620


@pytest.mark.parametrize("bad", ["", "   ", "a b", "../up", "x" * 65, "\U00010428" * 64,
                                 "semi;colon", 7, None, True])
def test_an_id_that_is_none_is_refused_in_a_sentence(bad):
    with pytest.raises(InputError, match=r"learner_id is .*(accepted are|write your id)"):
        tidy_id(bad)


def test_an_unknown_number_names_those_that_exist():
    with pytest.raises(AttributeError, match="bore_mm"):
        exercise("stretch").numbers("ada").bore  # noqa: B018
    assert "missing" not in Numbers({"a": 1})


def test_a_row_of_numbers_can_be_computed_with_at_once():
    my = exercise("stretch").numbers("ada")
    assert np.allclose(my.pulled_cm / 20, np.array([30, 40, 50, 60, 70]) / 20)


@pytest.mark.parametrize("wrong", [
    lambda: Work("stretch", "a b"), lambda: Work("stretch", 7), lambda: Work("strech", "ada"),
    lambda: Work("stretch", "ada").my.bore])
def test_a_refusal_shows_in_a_notebook_as_its_sentence_alone(wrong):
    with pytest.raises((InputError, AttributeError)) as refusal:
        wrong()
    shown = refusal.value._render_traceback_()
    assert " ".join(shown) == str(refusal.value)
    assert max(len(line) for line in shown) <= 88


def test_an_unknown_exercise_names_those_that_exist():
    with pytest.raises(InputError, match="stretch"):
        exercise("strech")
