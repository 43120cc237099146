"""The exercise `warmup`: half an hour with cells, arithmetic, a function, a row and a plot.

It asks for nothing that a rigger does not know; what is new is the notebook.
"""

from typing import Any

import numpy as np

from bandwork.classroom.checks import (
    ChoiceItem,
    Drawn,
    Exercise,
    FunctionItem,
    Item,
    PlotItem,
    RowItem,
    Slip,
)
from bandwork.classroom.learner import Draw, Numbers
from bandwork.units import STANDARD_GRAVITY

BARRELS_CM = (100.0, 110.0, 120.0, 130.0)
PAGE = "warmup/index"


def _recipe(n: Numbers, barrel_cm: Any) -> Any:
    """Relaxed length [cm] by the trade's recipe: half the barrel and some centimetres."""
    return np.asarray(barrel_cm) / 2 + n.recipe_cm


HALF = Item(
    key="half_and_more", title="Half the barrel and some more", variable="relaxed_cm", unit="cm",
    points=1, page=PAGE, tolerance=0.001,
    goal="Put a number together from others in a cell.",
    outside="stretch::test_what_a_strong_diver_brings_lies_within_our_interval_for_that_band",
    right=lambda n: float(_recipe(n, n.barrel_cm)),
    slips=(
        Slip("brackets round the sum", "first halve the barrel, then add; here the sum was halved.",
             lambda n: (n.barrel_cm + n.recipe_cm) / 2),
        Slip("not halved", "the barrel was not halved.", lambda n: n.barrel_cm + n.recipe_cm),
        Slip("nothing added", "this is half the barrel; add your centimetres.",
             lambda n: n.barrel_cm / 2),
        Slip("taken away", "the centimetres were taken away; add them.",
             lambda n: n.barrel_cm / 2 - n.recipe_cm),
        Slip("doubled", "the barrel was doubled; divide by 2 with the stroke /.",
             lambda n: n.barrel_cm * 2 + n.recipe_cm),
    ),
)

NEWTON = Item(
    key="newton", title="From kgf to newtons", variable="load_N", unit="N", points=1, page=PAGE,
    tolerance=0.001,
    goal="Use a number of your own by its name, and change a unit.",
    outside="stretch::load constant of the lifting equation, kg",
    right=lambda n: n.load_kgf * STANDARD_GRAVITY,
    slips=(
        Slip("divided", "a kgf is nearly ten newtons, so there are more newtons: multiply.",
             lambda n: n.load_kgf / STANDARD_GRAVITY),
        Slip("unchanged", "this is still in kgf; multiply it by g.", lambda n: n.load_kgf),
        Slip("ten for g", "ten is too rough here; use the name g.", lambda n: n.load_kgf * 10),
        Slip("added", "g was added; the sign for times is the star *.",
             lambda n: n.load_kgf + STANDARD_GRAVITY),
    ),
)


def _disc(n: Numbers) -> float:
    return float(np.pi / 4 * n.outer_diameter_mm**2)


DISC = Item(
    key="disc", title="Area of a disc", variable="disc_mm2", unit="mm²", points=1, page=PAGE,
    tolerance=0.001,
    goal="Write a formula with a square.",
    outside="stretch::a Band as a spring of 4 N/cm, 20 cm long, drawn to 23 cm, J",
    right=_disc,
    slips=(
        Slip("doubled for squared", "the diameter was doubled, not squared; squared is **2, with "
             "two stars.", lambda n: np.pi / 4 * n.outer_diameter_mm * 2),
        Slip("quarter forgotten", "pi without its quarter belongs to the radius; divide by 4.",
             lambda n: _disc(n) * 4),
        Slip("pi forgotten", "pi is missing; write pi / 4 in front.",
             lambda n: n.outer_diameter_mm**2 / 4),
        Slip("circumference", "this is the way round the disc; the area has the square.",
             lambda n: np.pi * n.outer_diameter_mm),
        Slip("square of the whole", "everything was squared; **2 belongs to the diameter alone.",
             lambda n: (np.pi / 4 * n.outer_diameter_mm) ** 2),
    ),
)

RECIPE = FunctionItem(
    key="recipe", title="The recipe as a function", variable="recipe_cm", unit="cm", points=1,
    page=PAGE, tolerance=0.001,
    goal="Turn a formula into a function that can be used again.",
    outside="stretch::test_one_centimetre_is_a_step_that_a_diver_can_feel_and_afford",
    inputs=lambda n: (95.0, 120.0, 140.0),
    right=lambda n: lambda barrel: _recipe(n, barrel),
    slips=(
        Slip("always your own barrel", "your function gives the same for every barrel; use the "
             "barrel_cm of its first line, without my. before it.",
             lambda n: lambda barrel: _recipe(n, n.barrel_cm) + 0 * barrel),
        Slip("brackets round the sum", "first halve the barrel, then add; here the sum was halved.",
             lambda n: lambda barrel: (barrel + n.recipe_cm) / 2),
        Slip("not halved", "the barrel was not halved.", lambda n: lambda barrel: barrel
             + n.recipe_cm),
        Slip("nothing added", "this is half the barrel; add your centimetres.",
             lambda n: lambda barrel: barrel / 2),
        Slip("taken away", "the centimetres were taken away; add them.",
             lambda n: lambda barrel: barrel / 2 - n.recipe_cm),
        Slip("the barrel itself", "what comes out is the barrel that went in; return the length "
             "that you worked out.", lambda n: lambda barrel: barrel),
    ),
)

ROW = RowItem(
    key="row", title="Four barrels at once", variable="relaxed_row_cm", length=4, unit="cm",
    points=2, page=PAGE, uses=("recipe",), tolerance=0.001,
    goal="Compute with a whole row of numbers.",
    outside="stretch::test_one_centimetre_is_a_step_that_a_diver_can_feel_and_afford",
    right=lambda n: [n["recipe"](barrel) for barrel in BARRELS_CM],
    slips=(
        Slip("the barrels themselves", "these are the barrels; put the row into your function.",
             lambda n: BARRELS_CM),
        Slip("wrong order", "the row is turned round; the shortest barrel comes first.",
             lambda n: [n["recipe"](barrel) for barrel in BARRELS_CM[::-1]]),
        Slip("metres", "these are metres; stay with centimetres.",
             lambda n: [n["recipe"](barrel) / 100 for barrel in BARRELS_CM]),
        Slip("one barrel four times", "all four are alike; put the whole row barrels_cm into your "
             "function.", lambda n: [n["recipe"](n.barrel_cm)] * 4),
        Slip("only halved", "these are half the barrels; put the row into your function.",
             lambda n: [barrel / 2 for barrel in BARRELS_CM]),
    ),
)


def _faults(drawn: Drawn, n: Numbers) -> str:
    lengths = n["row"]
    if not drawn.x_label or not drawn.y_label:
        return "no axis labels"
    if not drawn.has_points(BARRELS_CM, lengths):
        return "axes swapped" if drawn.has_points(lengths, BARRELS_CM) else "points elsewhere"
    return "" if all("cm" in label for label in (drawn.x_label, drawn.y_label)) else "no unit"


def _plot(n: Numbers, labels: tuple[str, str] = ("barrel in cm", "relaxed length in cm"),
          swap: bool = False, factor: float = 1.0) -> Any:
    from matplotlib.figure import Figure

    axes = Figure().add_subplot()
    x, y = np.array(BARRELS_CM), np.asarray(n["row"]) * factor
    axes.plot(*((y, x) if swap else (x, y)), "o")
    axes.set_xlabel(labels[swap])
    axes.set_ylabel(labels[not swap])
    return axes


PLOT = PlotItem(
    key="picture", title="A picture of the recipe", variable="axes", unit="", points=1, page=PAGE,
    uses=("row",), tolerance=0.02,
    goal="Draw points and label both axes.",
    outside="stretch::test_one_centimetre_is_a_step_that_a_diver_can_feel_and_afford",
    faults=_faults, right=_plot,
    slips=(
        Slip("no axis labels", "label both axes, so that somebody else can read it.",
             lambda n: _plot(n, ("", ""))),
        Slip("axes swapped", "the barrel belongs on the level axis: it comes first in the "
             "brackets.", lambda n: _plot(n, swap=True)),
        Slip("points elsewhere", "your four lengths are not all on it; draw relaxed_row_cm over "
             "barrels_cm.", lambda n: _plot(n, factor=1.1)),
        Slip("no unit", "both labels want their unit: cm.",
             lambda n: _plot(n, ("barrel", "relaxed length"))),
    ),
)

MEANING = ChoiceItem(
    key="meaning", title="What a right answer means", variable="right_answer_means", unit="",
    points=1, page=PAGE, tolerance=0.0, letters="ABCDE",
    goal="Know what a computed number is good for.",
    outside="stretch::test_the_load_of_the_rule_stands_in_proportion_to_what_people_can",
    right=lambda n: "BD",
    slips=(
        Slip("permission", "A takes a computed number for permission; it is an estimate on paper.",
             lambda n: "ABD"),
        Slip("no instruction", "C puts the course in place of an instructor; it is none.",
             lambda n: "BCD"),
        Slip("above the maker", "E puts a number above the maker's limit; the limit stays.",
             lambda n: "BDE"),
        Slip("no measuring", "something is missing: think of what is done before a number is "
             "trusted.", lambda n: "B"),
        Slip("no arithmetic", "something is missing: think of what the check has looked at.",
             lambda n: "D"),
    ),
)

EXERCISE = Exercise(
    key="warmup",
    version="1",
    pages={PAGE: "First steps in a notebook"},
    safety={PAGE: "Nothing in this course is permission to load a gun."},
    draws=(
        Draw("barrel_cm", "barrel of your gun", tuple(range(100, 141))),
        Draw("recipe_cm", "centimetres that your recipe adds to half the barrel",
             (4.0, 4.5, 5.0, 5.5, 6.0, 6.5, 7.0)),
        Draw("load_kgf", "a load at the notch", tuple(tenth / 10 for tenth in range(360, 581))),
        Draw("outer_diameter_mm", "outer diameter of your tube",
             (14.0, 14.5, 15.0, 15.5, 16.0, 16.5, 17.0)),
    ),
    items=(HALF, NEWTON, DISC, RECIPE, ROW, PLOT, MEANING),
)
