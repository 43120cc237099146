"""The bench of the last exercise: one prediction for learner and check, a set-up for every id."""

from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest
from bandwork import InputError
from bandwork.classroom import bench, demo
from bandwork.classroom.checks import AnswerError
from bandwork.classroom.items.setup import EXERCISE
from bandwork.classroom.learner import Numbers, draw
from bandwork.classroom.selfstudy import read_cells, run
from bandwork.setup import predict_many

from tests.classroom.another_way import setup as another_way

MANY = 2000


def numbers(learner="ada"):
    return EXERCISE.numbers(learner)


def stacked(parts):
    """Return parts alike but for numbers and materials as one, with arrays."""
    first = parts[0]
    if is_dataclass(first):
        return replace(first, **{one.name: stacked([getattr(part, one.name) for part in parts])
                                 for one in fields(first)})
    if isinstance(first, tuple):
        return tuple(stacked(each) for each in zip(*parts, strict=True))
    return first if all(part == first for part in parts) else np.array(parts)


@pytest.fixture(scope="module")
def many():
    """Numbers of many ids, without what needs a shot, and their reference set-ups as one."""
    drawn = [Numbers({one.name: draw(f"many-{number}", "setup", EXERCISE.version, one)
                      for one in EXERCISE.draws}) for number in range(MANY)]
    whole = [Numbers({**n, **bench.without_shot(n)}) for n in drawn]
    return whole, stacked([bench.gun_of(n, n["reference"]) for n in whole])


def column(many, name):
    return np.array([n[name] for n in many[0]])


def test_every_id_has_a_set_up_that_keeps_every_limit(many):
    """Two thousand ids at once; the fish's own limits follow from the reference with room."""
    warm = bench.Assumptions(test_temperature=column(many, "water_C"))
    got = predict_many(many[1], bench.Quarry(distance=column(many, "fish_m")), warm)
    load = got["load"] / bench.STANDARD_GRAVITY
    assert np.all(load <= column(many, "limit_kgf"))
    assert np.all(load > 0.93 * column(many, "limit_kgf"))
    assert np.all(got["stretch_ratio"] < 4.6)
    assert np.all(got["stretch_ratio"] > 2.5)
    assert np.all(got["reach_spare"] >= -bench.ROUNDING)
    assert np.all(got["net_force_shaft_out"] > column(many, "least_lift_N") + 0.3)
    assert np.all(got["reach_from_muzzle"] > column(many, "fish_m"))
    assert np.all(got["line_margin"] > 1.1)
    assert np.all(got["energy_at_fish"] > 20)
    assert np.all(got["drop_at_fish"] > 0.02)
    assert np.all(column(many, "fish_m") - many[1].shaft.length > 1.0)


def test_two_ids_seldom_have_the_same_numbers(many):
    told = [tuple(str(value) for value in n.values()) for n in many[0]]
    assert len(set(told)) == MANY


@pytest.mark.parametrize("learner", [f"learner-{number}" for number in range(8)])
def test_what_the_bench_prints_is_what_the_check_judges(learner, capsys):
    my = numbers(learner)
    tool, own = bench.Bench(my), my["reference"]
    tool.tell(own)
    assert "NOT KEPT" not in capsys.readouterr().out
    assert EXERCISE.judge("set_up", own, my).passed
    for slip in EXERCISE.item("set_up").slips:
        design = EXERCISE.wrong("set_up", slip.name, my)
        tool.tell(design)
        assert "NOT KEPT" in capsys.readouterr().out


def test_the_quick_prediction_is_the_exact_one(capsys):
    my = numbers()
    bench.Bench(my).everything(my["reference"])
    told = capsys.readouterr().out
    got = bench.evaluate(my, my["reference"])
    assert f"{got['load'] / bench.STANDARD_GRAVITY:.1f} kgf" in told
    assert f"{got['energy_at_fish']:.0f} J" in told
    assert "Cautions:" in told


def test_a_follow_on_item_is_judged_for_the_learners_own_set_up():
    my = numbers()
    own = list(my["reference"])
    own[1] += 1.0
    mine = Numbers({**my, "set_up": tuple(own)})
    item = EXERCISE.item("budget")
    assert EXERCISE.judge("budget", item.right(mine), my, {"set_up": own}).passed
    assert EXERCISE.judge("budget", EXERCISE.right("budget", my), my, {"set_up": own}).passed
    assert not EXERCISE.judge("budget", item.right(mine), my, {"set_up": my["reference"]}).passed
    too_hard = EXERCISE.wrong("set_up", "too hard", my)
    assert EXERCISE.judge("budget", item.right(Numbers({**my, "set_up": too_hard})), my,
                          {"set_up": too_hard}).passed


def test_a_slip_is_looked_for_in_the_learners_own_set_up_first():
    """With another shaft the same weight would also be another slip on the reference."""
    my = numbers("slip-following-3")
    own = (*my["reference"][:3], my["shelf"].letter("shafts_mm", 8.0), *my["reference"][4:])
    answer = EXERCISE.wrong("trim", "shaft in air", my, {"set_up": own})
    assert EXERCISE.judge("trim", answer, my).slip == "water added"
    assert EXERCISE.judge("trim", answer, my, {"set_up": own}).slip == "shaft in air"


@pytest.mark.parametrize("learner", ["other-1", "other-2", "other-3"])
def test_another_set_up_that_keeps_the_limits_goes_through_the_whole_notebook(root, learner):
    other = another_way.set_up(numbers(learner))
    own = (*other[:5], int(other[5]))
    plan = demo.Learner(learner, other={"set_up": f"set_up = {own!r}"})
    names = {}
    said = [one for one in run(read_cells(demo.fill(root, "setup", plan)), names)
            if one.name.startswith("check_")]
    assert [one.name for one in said if one.problem] == []
    assert names["set_up"][4] != numbers(learner)["reference"][4]
    assert len(said) == len(EXERCISE.items)


def test_an_earlier_answer_that_is_missing_is_taken_as_right_for_the_own_set_up():
    my = numbers()
    own = (*my["reference"][:1], my["reference"][1] + 1.0, *my["reference"][2:])
    known = Numbers({**my, "set_up": own})
    known = Numbers({**known, "budget": EXERCISE.item("budget").right(known)})
    right = EXERCISE.item("arrival").right(known)
    assert EXERCISE.judge("arrival", right, my, {"set_up": own, "budget": ...}).passed
    assert EXERCISE.judge("arrival", EXERCISE.right("arrival", my), my,
                          {"set_up": "AB", "budget": ...}).passed


def test_a_design_that_cannot_be_worked_out_is_no_value():
    my = numbers()
    item = EXERCISE.item("set_up")
    slack = (my["reference"][0], 290.0, *my["reference"][2:])
    with pytest.raises(AnswerError, match="nothing can be worked out"):
        item.value(slack, my)
    assert "slack" in EXERCISE.judge("set_up", slack, my).message


@pytest.mark.parametrize("design", [
    ..., None, ("A", 60), ("A", ..., "A", "A", "A", 20), ("Z", 60, "A", "A", "A", 20),
    ("A", "60", "A", "A", "A", 20), ("A", 290, "A", "A", "A", 20)])
def test_the_bench_refuses_what_is_no_set_up_in_a_sentence(design):
    tool = bench.Bench(numbers())
    for ask in (tool.tell, tool.budget, tool.moved, tool.sweep, tool.target, tool.weighed,
                tool.drag_area_mm2):
        with pytest.raises(InputError) as refusal:
            ask(design)
        assert str(refusal.value).endswith(".")
        assert hasattr(refusal.value, "_render_traceback_")


def test_the_shelf_is_shown_as_text_and_as_a_table():
    tool = bench.Bench(numbers())
    assert repr(tool).count("\n") == 15
    assert tool._repr_html_().count("<tr>") == 16
