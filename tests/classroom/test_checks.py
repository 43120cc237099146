"""The checks: right answers pass in any reasonable form, slips get their own message."""

import math
import re
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import sympy
from bandwork import InputError
from bandwork.classroom.checks import (
    NO_GO,
    ChoiceItem,
    DesignItem,
    FunctionItem,
    Item,
    PlotItem,
    RowItem,
)
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.learner import Numbers
from bandwork.handbook import lookup
from bandwork.stretch import NeoHookean, fit_rubber
from matplotlib.figure import Figure

ROOT = Path(__file__).resolve().parents[2]
IDS = [f"learner-{number}" for number in range(50)]
ITEMS = [(unit, item.key) for unit in UNITS for item in exercise(unit).items]
SLIPS = [(unit, item.key, slip.name) for unit in UNITS for item in exercise(unit).items
         for slip in item.slips]


def numbers(unit="stretch"):
    return exercise(unit).numbers("ada")


def judge(key, answer, earlier=None, at=None, unit="stretch"):
    return exercise(unit).judge(key, answer, numbers(unit), earlier, at)


@pytest.mark.parametrize(("unit", "key"), ITEMS)
def test_the_right_answer_passes_for_fifty_ids(unit, key):
    asked = exercise(unit)
    for learner in IDS:
        my = asked.numbers(learner)
        outcome = asked.judge(key, asked.right(key, my), my)
        assert outcome.passed, (learner, outcome.message)


@pytest.mark.parametrize(("unit", "key", "slip"), SLIPS)
def test_a_slip_fails_with_its_own_message_for_fifty_ids(unit, key, slip):
    asked = exercise(unit)
    message = next(one.message for one in asked.item(key).slips if one.name == slip)
    for learner in IDS:
        my = asked.numbers(learner)
        outcome = asked.judge(key, asked.wrong(key, slip, my), my)
        assert not outcome.passed, learner
        assert outcome.slip == slip, (learner, outcome)
        assert message in outcome.message
        others = [one.message for one in asked.item(key).slips if one.name != slip]
        assert not any(other in outcome.message for other in others)


@pytest.mark.parametrize(("unit", "key"), ITEMS)
def test_an_untouched_answer_earns_nothing(unit, key):
    item = exercise(unit).item(key)
    stub = (lambda x: ...) if isinstance(item, FunctionItem) else ...
    if type(item) is RowItem:
        stub = (...,) * item.length
    if isinstance(item, DesignItem):
        stub = (...,) * len(item.asks)
    if isinstance(item, PlotItem):
        stub = Figure().add_subplot()
    for nothing in (None, ..., stub):
        outcome = judge(key, nothing, unit=unit)
        assert not outcome.passed
        assert "not answered yet" in outcome.message
        assert not outcome.slip


@pytest.mark.parametrize(("unit", "key"), ITEMS)
def test_each_item_knows_at_least_four_slips_with_different_sentences(unit, key):
    slips = exercise(unit).item(key).slips
    assert len(slips) >= 4
    assert len({slip.message for slip in slips}) == len({slip.name for slip in slips}) == len(slips)
    assert all(len(slip.message) < 170 and slip.message.endswith(".") for slip in slips)


@pytest.mark.parametrize(("unit", "key"), ITEMS)
def test_each_item_has_a_goal_and_an_outside_check_that_exists(unit, key):
    item = exercise(unit).item(key)
    assert item.goal[0].isupper()
    assert item.goal.endswith(".")
    where, _, name = item.outside.partition("::")
    text = (ROOT / "tests" / "outside" / f"test_{where}_outside.py").read_text(encoding="utf-8")
    assert f"def {name}(" in text or f'"{name}"' in text, item.outside


@pytest.mark.parametrize("unit", UNITS)
def test_each_page_of_an_exercise_has_its_safety_point(unit):
    asked = exercise(unit)
    assert set(asked.safety) == set(asked.pages)
    for page, point in asked.safety.items():
        text = (ROOT / "book" / f"{page}.md").read_text(encoding="utf-8")
        boxes = re.findall(r"^```\{admonition\} Safety.*?^```$", text, flags=re.M | re.S)
        assert any(point in " ".join(box.split()) for box in boxes), point


@pytest.mark.parametrize(("unit", "key"), ITEMS)
def test_no_message_gives_the_answer_away(unit, key):
    item = exercise(unit).item(key)
    if isinstance(item, (FunctionItem, PlotItem, ChoiceItem, DesignItem)):
        values = []
    else:
        values = np.atleast_1d(exercise(unit).right(key, numbers(unit)))
    shown = {f"{value:.{digits}g}" for value in values for digits in (3, 4, 5)}
    for slip in item.slips:
        told = judge(key, exercise(unit).wrong(key, slip.name, numbers(unit)), unit=unit).message
        assert not any(text in told for text in shown), told


def right(key):
    return exercise("stretch").right(key, numbers())


@pytest.mark.parametrize("form", [
    np.float64, lambda x: np.array(x), lambda x: np.array([x]), sympy.Float,
    lambda x: Fraction(x).limit_denominator(10**6), lambda x: sympy.sqrt(sympy.Float(x) ** 2),
    lambda x: x * 1.005, lambda x: x * 0.995,
])
def test_a_number_passes_in_any_reasonable_form(form):
    assert judge("cross_section", form(right("cross_section"))).passed


@pytest.mark.parametrize("form", [list, tuple, np.array, lambda row: np.array(row).reshape(-1, 1)])
def test_a_row_passes_as_list_tuple_or_array(form):
    assert judge("force", form(right("force"))).passed
    assert judge("load_table", form(list(right("load_table")))).passed


class Liar:
    """Says that it is equal to everything and that it is any number."""

    def __eq__(self, other):
        return True

    def __float__(self):
        return right("cross_section")

    __hash__ = object.__hash__


class LyingFloat(float):
    def __eq__(self, other):
        return True

    def __sub__(self, other):
        return 0.0

    __hash__ = float.__hash__


@pytest.mark.parametrize(("answer", "says"), [
    ("195", "is text"), ((195, 3), "decimals take a point"),
    (True, "True or False"), (np.True_, "True or False"),
    (float("nan"), "not a finite number"), (float("inf"), "not a finite number"),
    (2 + 0j, "a number is wanted"), (np.complex128(2), "a number is wanted"), ([1.0], "a row"),
    ({}, "a number is wanted"), (Liar(), "a number is wanted"), (LyingFloat(1), "a number is"),
    (sympy.Symbol("x"), "still holds a symbol"), (sympy.I, "complex"), (sympy.oo, "not a finite"),
    (lambda: 3, "is a function"), (np.array([1.0, 2.0]), "a row"), (np.array("195"), "a row"),
])
def test_what_is_no_number_is_refused_in_a_sentence(answer, says):
    outcome = judge("cross_section", answer)
    assert not outcome.passed
    assert says in outcome.message
    assert outcome.message.endswith(".")


@pytest.mark.parametrize(("answer", "says"), [
    (3.0, "this is one number; 2 numbers in a row"), ((1.0,), "there is 1 number; 2 are wanted"),
    ((1.0, "a"), "number 2 of your row is text"), ("ab", "2 numbers in a row"),
    ((1.0, float("nan")), "number 2 of your row is not a finite"), ({1.0, 2.0}, "in a row"),
])
def test_what_is_no_row_is_refused_in_a_sentence(answer, says):
    assert says in judge("force", answer).message


def test_a_function_that_stops_or_is_gone_gets_a_sentence():
    assert "stopped at" in judge("stress", lambda s: s / 0).message
    assert "not a function any more" in judge("stress", 3.0).message
    assert "your function's result is text" in judge("stress", lambda s: "3").message
    assert "gives nothing back" in judge("stress", lambda s: None).message


def used_before_it_is_made(s):
    stress = before * s  # noqa: F821 - the mistake under test
    before = 1.0  # noqa: F841
    return stress


@pytest.mark.parametrize(("function", "says"), [
    (lambda s: s ^ 2, "squared is **2"),
    (lambda s: s(2), "a * is missing"),
    (lambda: 3.0, "keep the line that begins with def"),
    (lambda s: mu * s, "'mu' is not defined; perhaps it is misspelt"),  # noqa: F821
    (lambda s: numbers().mu * s, "there is no number my.mu (nearest: mu_MPa)"),
    (lambda s: s * numbers, "say in brackets"),
    (lambda s: s * ..., "some dots are still there"),
    (lambda s: s / (2, 5), "a comma stands"),
    (lambda s: s * (2, 5), "a comma stands"),
    (lambda s: BD, 'letters stand between quotes, as "BD"'),  # noqa: F821
    (lambda s: s / 0, "divided by zero"),
    (lambda s: math.log(-s), "not above zero"),
    (lambda s: math.exp(1e9 * s), "far too large"),
    (lambda s: NeoHookean(1e6).stretch_ratio(1e30), "look at units and brackets"),
    (used_before_it_is_made, "above the line that gives it a value"),
])
def test_what_python_says_of_a_function_is_put_in_plain_words(function, says):
    outcome = judge("stress", function)
    assert not outcome.passed
    assert says in outcome.message
    assert "Error" not in outcome.message
    assert outcome.message.endswith(".")
    assert not outcome.message.endswith("..")


def test_of_a_row_it_is_said_what_is_right_so_far():
    newton, kgf = right("force")
    assert "Right so far: number 1 of 2." in judge("force", (newton, kgf * 1.3)).message
    assert "Right so far" not in judge("force", (newton * 1.4, kgf * 1.3)).message
    table = right("load_table") * np.array([1, 1.2, 1, 1.2, 1.2])
    assert "Right so far: numbers 1 and 3 of 5." in judge("load_table", table).message
    table = right("load_table") * np.array([1, 1, 1.2, 1, 1.2])
    assert "Right so far: numbers 1, 2 and 4 of 5." in judge("load_table", table).message


def test_a_slip_in_one_part_of_a_row_is_named_though_another_part_is_off_too():
    asked, my = exercise("setup"), numbers("setup")
    load, _, _ = asked.right("diver", my)
    _, _, assist = asked.wrong("diver", "assist added", my)
    told = asked.judge("diver", (load, 1.0, assist), my)
    assert told.slip == "assist added"
    assert told.message.count("Right so far: number 1 of 3.") == 1
    low, high = right("interval")
    assert judge("interval", (low, 2 * high)).slip == ""


def test_an_answer_from_a_wrong_earlier_one_is_sent_there_first():
    asked, my = exercise("setup"), numbers("setup")
    lift, weight = asked.right("trim", my)
    energy, share, speed = asked.right("budget", my)
    own = {"set_up": asked.right("set_up", my), "budget": (energy, share, 0.8 * speed)}
    told = asked.judge("trim", (lift, 1.6 * weight), my, own).message
    assert "Right so far: number 1 of 2." in told
    assert "Look at item 3 first" in told
    own["budget"] = (energy, share, speed)
    assert "Look at brackets" in asked.judge("trim", (lift, 1.6 * weight), my, own).message


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("given", [0.0, 1e-300])
def test_noughts_earn_nothing_although_noughts_follow_from_noughts(unit, given):
    asked, my = exercise(unit), numbers(unit)
    answers = {}
    for item in asked.items:
        if isinstance(item, FunctionItem):
            answers[item.key] = lambda x: given
        elif isinstance(item, RowItem):
            answers[item.key] = [given] * item.length
        elif type(item) is Item:
            answers[item.key] = given
    earned = {key: asked.judge(key, answer, my, {one: answers.get(one) for one in asked.below(key)}
                               ).share for key, answer in answers.items()}
    assert {key: share for key, share in earned.items() if share} == {}


def test_what_is_built_on_noughts_is_sent_there_first_and_no_slip_is_named():
    asked, my = exercise("flight"), numbers("flight")
    own = {key: asked.right(key, my) for key in asked.below("arrival")}
    own["speed_at"] = asked.wrong("speed_at", "mm² for m²", my, own)
    told = asked.judge("arrival", asked.item("arrival").right(Numbers({**my, **own})), my, own)
    assert not told.passed
    assert not told.slip
    assert "look at item 4 first" in told.message
    curve = asked.item("slowing").right(Numbers({**my, **own}))
    assert asked.judge("slowing", curve, my, own).passed
    assert asked.judge("arrival", asked.right("arrival", my), my, own).passed


def followed(unit, **own):
    """Return which later items pass when they follow from some answers of a learner's own."""
    asked, my = exercise(unit), numbers(unit)
    for item in asked.items:
        if item.key not in own:
            known = Numbers({**my, **{key: own[key] for key in item.uses}})
            try:
                own[item.key] = item.right(known)
            except NO_GO:
                own[item.key] = None
    return {item.key for item in asked.items if asked.judge(
        item.key, own[item.key], my, {key: own[key] for key in asked.below(item.key)}).passed}


def test_a_nought_in_a_row_costs_nothing_that_does_not_build_on_it():
    for unit, key, place in (("launch", "budget", 2), ("trim", "tube", 2)):
        row = [*exercise(unit).right(key, numbers(unit))]
        row[place] = 0.0
        lost = {item.key for item in exercise(unit).items} - followed(unit, **{key: tuple(row)})
        assert lost == {key}, (unit, lost)


def test_two_slips_in_one_function_cost_that_function_alone():
    mu = numbers().mu_MPa
    lost = {item.key for item in exercise("stretch").items} - followed(
        "stretch", stress=lambda s: 1e6 * mu * (s - s**-2) * s)
    assert lost <= {"stress", "compare"}


@pytest.mark.parametrize(("unit", "own", "lost"), [
    ("stretch", {"stress": lambda s: {1.5: 0.5, 2.0: 0.6, 3.0: 0.7, 4.0: 0.8}.get(s, 0.0)},
     {"stress", "force", "load_table", "load_assist"}),
    ("stretch", {"stretch_ratio": 1.0}, {"stretch_ratio", "force"}),
    ("launch", {"speed": lambda e: {100.0: 10.0, 200.0: 20.0, 300.0: 30.0}.get(e, 0.0)},
     {"speed", "shot", "recoil", "recoil_plot"})])
def test_noughts_where_nobody_looks_earn_nothing(unit, own, lost):
    assert not lost & followed(unit, **own)


def test_many_curves_on_a_plot_are_refused():
    axes = Figure().add_subplot()
    for more in range(40):
        axes.plot([100, 130], [50 + more, 65 + more])
    outcome = exercise("warmup").judge("picture", axes, numbers("warmup"))
    assert "there are 40 curves" in outcome.message


@pytest.mark.parametrize(("unit", "key", "earlier"), [
    ("warmup", "picture", {"row": [100.0, 110.0, 120.0, 130.0]}),
    ("trim", "neutral_plot", {"net_force": (12.0, 5.0), "shaft_weight": lambda mm: mm})])
def test_a_right_picture_that_looks_the_same_when_turned_is_right(unit, key, earlier):
    asked, my = exercise(unit), numbers(unit)
    axes = asked.item(key).right(Numbers({**my, **earlier}))
    assert asked.judge(key, axes, my, earlier).passed


def test_an_interval_is_judged_by_its_own_width():
    low, high = right("interval")
    width = high - low
    assert judge("interval", (low + 0.009 * width, high)).passed
    assert not judge("interval", (low + 0.02 * width, high)).passed
    assert "Right so far" not in judge("interval", (low, high + width)).message


def test_a_function_written_another_way_passes_and_a_table_of_answers_does_not():
    mu = numbers().mu_MPa
    assert judge("stress", lambda s: mu * (s**3 - 1) / s**2).passed
    assert judge("stress", lambda s: sympy.Float(mu) * (s - sympy.Float(1) / s**2)).passed
    inputs = exercise("stretch").item("stress").inputs(numbers())
    learnt = {x: right("stress")(x) for x in inputs}
    assert judge("stress", lambda s: learnt.get(s, 0.0)).passed
    assert not judge("stress", lambda s: learnt.get(s, 0.0), at=[1.13, 1.87]).passed


def test_a_function_that_gives_the_same_everywhere_is_told_so():
    told = judge("cut_length", lambda load: 65.0)
    assert told.slip == "the same everywhere"
    assert "whatever goes in" in told.message


def test_energy_by_numerical_integration_passes():
    my, area = numbers(), right("cross_section")
    path = np.linspace(my.lower_run_cm, my.lower_run_cm + my.upper_run_cm, 2001)
    s = path / my.relaxed_cm
    force = 2 * area * my.mu_MPa * (s - 1 / s**2)
    assert judge("energy", np.trapezoid(force, path / 100)).passed


def test_modulus_by_a_library_fit_passes():
    my = numbers()
    s = np.array(my.pulled_cm) / 20
    stress = np.array(my.reading_kgf) * lookup("standard_gravity").value / right("cross_section")
    assert judge("fit", fit_rubber(s, stress * 1e6, NeoHookean).rubber.mu / 1e6).passed
    assert judge("fit", right("fit") * 1.008).passed
    assert not judge("fit", right("fit") * 1.02).passed


@pytest.mark.parametrize("letters", ["BCF", "fcb", "B, C, F", "B.C/F.", ["B", "C", "F"],
                                     {"b", "c", "f"}])
def test_letters_pass_in_any_order_and_form(letters):
    assert judge("safety_choice", letters).passed


@pytest.mark.parametrize(("letters", "slip"), [
    ("ABCDEF", "dry loading"), ("A", "dry loading"), ("BCDEF", "number as permission"),
    ("BCD", "letting go of the assist"), ("", ""), ("Z", ""), (3, ""), ("CF", "no inspection"),
])
def test_wrong_letters_name_the_worst_first(letters, slip):
    outcome = judge("safety_choice", letters)
    assert not outcome.passed
    assert outcome.slip == slip


def test_a_plot_is_read_however_it_was_drawn():
    s = np.array(numbers().pulled_cm) / 20
    stress = np.array(numbers().reading_kgf) * 9.80665 / right("cross_section")
    along = np.linspace(1, 3.5, 200)
    axes = Figure().add_subplot()
    axes.scatter(s[::-1], stress[::-1])
    axes.plot(along, right("fit") * (along - along**-2), "k--")
    axes.set(xlabel="Stretch ratio s [1]", ylabel="P in MPa")
    assert judge("fit_plot", axes).passed
    assert "not a plot's axes" in judge("fit_plot", axes.figure).message


def test_an_early_slip_does_not_cost_marks_twice():
    my = numbers()
    wrong_area = exercise("stretch").wrong("cross_section", "bore forgotten", my)
    newton = 2 * wrong_area * my.mu_MPa * (right("stretch_ratio") - right("stretch_ratio") ** -2)
    follows = (newton, newton / 9.80665)
    assert not judge("force", follows).passed
    assert judge("force", follows, {"cross_section": wrong_area}).passed
    assert judge("force", right("force"), {"cross_section": wrong_area}).passed
    assert judge("force", right("force"), {"cross_section": "no idea"}).passed
    one_leg = tuple(value / 2 for value in follows)
    assert judge("force", one_leg, {"cross_section": wrong_area}).slip == "one leg"


@pytest.mark.parametrize("factor", [1e-6, 1e-3, 0.01, 0.1, 10, 1e3])
def test_a_power_of_ten_is_taken_for_a_wrong_unit(factor):
    outcome = judge("cross_section", right("cross_section") * factor)
    assert outcome.slip == "wrong unit"
    assert "mm²" in outcome.message


def test_an_unknown_mistake_is_not_given_a_name():
    outcome = judge("cross_section", right("cross_section") * 1.37)
    assert not outcome.passed
    assert not outcome.slip
    assert "no slip that we know" in outcome.message


def test_unknown_items_and_slips_name_the_nearest():
    with pytest.raises(InputError, match="cross_section"):
        judge("crosssection", 1.0)
    with pytest.raises(InputError, match="one leg"):
        exercise("stretch").wrong("force", "one legg", numbers())
