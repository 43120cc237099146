"""A whole class, graded by nbgrader: the invented one, and one learner for every slip."""

import csv
import io
import re

import nbformat
import pytest
from bandwork import InputError
from bandwork.classroom import demo
from bandwork.classroom.engine.box import what_is_missing
from bandwork.classroom.engine.intake import RefusedError, put_right, read_submission
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.report import report_csv, report_html, write_report

from tests.browser import AXE, RULES
from tests.classroom.conftest import grade

pytestmark = pytest.mark.course


@pytest.fixture(scope="module")
def result(released):
    folder = released / ".course"
    demo.hand_in(released, folder, "stretch")
    said = []
    graded = grade(released, folder, "stretch", due=demo.DUE, title=demo.TITLE,
                   progress=said.append)
    assert len(said) == len(demo.LEARNERS)
    return graded


def of(result, name):
    return next(one for one in result.results if one.learner == name)


def auto(one):
    return [mark for mark in one.marks if mark.item != "in_your_own_words"]


def test_the_right_solution_gets_full_marks(result):
    perfect = of(result, "ada-of-the-reef")
    assert [mark.score for mark in auto(perfect)] == [mark.points for mark in auto(perfect)]
    assert sum(mark.points for mark in auto(perfect)) == 25
    assert perfect.notes == ()


def test_the_untouched_notebook_gets_nothing(result):
    untouched = of(result, "gus-shoal")
    assert untouched.score == 0
    assert all("not answered yet" in mark.message for mark in auto(untouched))
    assert not any(mark.slip for mark in untouched.marks)


def test_half_a_notebook_gets_its_half(result):
    half = of(result, "eli-tide")
    assert [mark.score > 0 for mark in auto(half)] == [True] * 6 + [False] * 7


@pytest.mark.parametrize("learner", [one for one in demo.LEARNERS if one.slips],
                         ids=lambda one: one.name)
def test_slips_are_named_and_cost_their_own_item_alone(result, learner):
    graded = of(result, learner.name)
    assert {mark.item: mark.slip for mark in graded.marks if mark.slip} == learner.slips
    if not learner.other and learner.done > 13:
        lost = {mark.item for mark in auto(graded) if mark.score < mark.points}
        assert lost == set(learner.slips)


def test_the_late_one_is_late_and_loses_nothing_for_it(result):
    late = of(result, "fay-drift")
    assert late.hours_late == pytest.approx(13.25)
    assert of(result, "bo-current").hours_late == 0


def test_a_damaged_file_costs_its_own_learner_a_sentence(result, released):
    from nbgrader.api import Gradebook

    damaged = of(result, "hana-sandbank")
    assert damaged.marks == ()
    assert "damaged" in damaged.problem
    assert damaged.problem.endswith(".")
    url = f"sqlite:///{(released / '.course' / 'gradebook.db').as_posix()}"
    with Gradebook(url, "bandwork") as book:
        assert book.find_submission("stretch", "hana-sandbank").score == 0


def test_text_for_a_number_is_told_and_the_rest_is_marked(result):
    ivo = of(result, "ivo-spray")
    assert "is text" in next(m.message for m in ivo.marks if m.item == "stretch_ratio")
    assert next(m.score for m in ivo.marks if m.item == "load_table") > 0


def test_written_answers_wait_for_a_person(result):
    waiting = {one.learner for one in result.results
               if any(mark.by_hand for mark in one.marks)}
    assert waiting == {one.name for one in demo.LEARNERS if one.writes}


def test_the_report_says_it_all_and_asks_for_nothing(result, tmp_path):
    page = report_html(result)
    for one in demo.LEARNERS:
        assert one.name in page
    assert "one leg" in page
    assert "invented" in page
    assert "13.2 h" in page
    assert "damaged" in page
    assert "src=" not in page
    assert "http" not in page
    written, table = write_report(result, tmp_path)
    assert written.read_text(encoding="utf-8") == page
    assert table.read_text(encoding="utf-8") == report_csv(result)


def test_the_table_has_a_row_a_learner_and_a_column_an_item(result):
    rows = list(csv.DictReader(io.StringIO(report_csv(result))))
    assert [row["learner"] for row in rows] == sorted(one.name for one in demo.LEARNERS)
    bo = next(row for row in rows if row["learner"] == "bo-current")
    assert bo["force"] == "0"
    assert bo["total"] == "21"
    assert bo["slips"] == "force: one leg; cut_length: one leg"
    assert bo["to_mark_by_hand"] == "in_your_own_words"


def test_the_report_escapes_what_learners_wrote(result):
    from dataclasses import replace

    nasty = replace(result.results[0], learner="<script>alert(1)</script>", notes=("=1+1",))
    page = report_html(replace(result, results=(nasty,)))
    assert "<script>" not in page
    assert "'=1+1" in report_csv(replace(result, results=(nasty,)))


def some_class():
    """Return a result of three learners, one refused, one missing, and its two items."""
    from bandwork.classroom.grading import ClassResult, Mark, Result

    columns = ("ratio", "Stretch ratio", 4.0), ("words", "Words", 1.0)
    results = [Result(name, (Mark("ratio", score, 4.0, slip="" if score else "upside down",
                                  page="The band"), Mark("words", 0.0, 1.0, by_hand=True)))
               for name, score in (("ada", 4.0), ("bo", 0.0), ("cy", 3.0))]
    refused = Result("dan", problem="dan.ipynb is damaged.",
                     notes=("Is not in the list of learners in class.toml.",))
    return ClassResult("stretch", "Invented", columns, (*results, refused), ("eli",))


def test_the_report_has_distribution_averages_and_who_is_missing():
    page = report_html(some_class())
    text = " ".join(re.sub("<[^>]+>", " ", page.partition("</style>")[2]).split())
    assert "Lowest 0, middle 3, highest 4 of 5." in text
    assert [low_high_n[2] for low_high_n in some_class().fifths] == [1, 1, 0, 0, 1]
    assert "4 to 5 1 33 %" in text
    assert "Points on average 2.3 2.3 0.0" in text
    assert "Has not handed in By the list of learners in class.toml : eli." in text
    assert "dan : Is not in the list of learners" in text
    assert "dan : dan.ipynb is damaged." in text
    assert "upside down The band 1 bo" in text
    rows = list(csv.DictReader(io.StringIO(report_csv(some_class()))))
    assert [(row["learner"], row["problem"]) for row in rows[3:]] == [
        ("dan", "dan.ipynb is damaged."), ("eli", "has not handed in")]


@pytest.mark.browser
def test_the_report_can_be_used_on_a_phone(browser, tmp_path):
    path, _ = write_report(some_class(), tmp_path)
    with browser.new_page(viewport={"width": 390, "height": 844}) as page:
        page.goto(path.as_uri())
        assert page.evaluate("document.documentElement.scrollWidth") == 390
        assert page.evaluate("document.querySelector('.marks tbody th').clientWidth") < 130
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.getAttribute('role')") == "region"
        page.evaluate(AXE)
        found = page.evaluate("rules => axe.run(document, {runOnly: rules})", RULES)
        assert [one["id"] for one in found["violations"]] == []


NOT_CARRIED = {
    ("friction", "mm²/s for m²/s", "drop"): "stopped with an error",
    ("speed_at", "mm² for m²", "arrival"): "nothing is left to work out",
    ("friction", "mm²/s for m²/s", "speed_at"): "nothing is left to work out",
    ("friction", "mm²/s for m²/s", "arrival"): "nothing is left to work out",
    ("friction", "mm²/s for m²/s", "interval"): "nothing is left to work out",
    ("speed_at", "mm² for m²", "interval"): "nothing is left to work out",
}
"""What a slip in one item costs in another, and what its learner is told there.

In syrup a shaft takes longer than a computer can count, and the cosh of item 7 overflows. There,
and with a million times the area, it stops within a hair's breadth, and noughts show no work.
"""


@pytest.mark.parametrize("unit", [unit if unit == "warmup" else pytest.param(
    unit, marks=pytest.mark.long) for unit in UNITS])
def test_every_slip_is_caught_by_nbgrader_with_its_message(released, tmp_path, unit):
    """One learner makes every item's first slip, the next every second, and so on.

    Items that build on others have learners of their own, who did the earlier ones right.
    """
    items = exercise(unit).items
    class_ = tuple(
        demo.Learner(f"slip-{kind}-{number}", {item.key: item.slips[number].name for item in group
                                               if number < len(item.slips)})
        for kind, group in (("first", [item for item in items if not item.uses]),
                            ("following", [item for item in items if item.uses]))
        for number in range(max(len(item.slips) for item in group)))
    folder = released / ".course"
    demo.hand_in(released, folder, unit, class_)
    graded = grade(released, folder, unit, progress=lambda line: None)
    caught = 0
    for learner in class_:
        for mark in auto(of(graded, learner.name)):
            if mark.item in learner.slips:
                assert mark.score < mark.points
                assert mark.slip == learner.slips[mark.item]
                caught += 1
            elif told := [says for (on, slip, item), says in NOT_CARRIED.items()
                          if item == mark.item and learner.slips.get(on) == slip]:
                assert mark.score < mark.points
                assert told[0] in mark.message
            else:
                assert mark.score == mark.points, (learner.name, mark)
    assert caught == sum(len(item.slips) for item in items)


def test_somebody_elses_numbers_are_noted_and_a_wrong_unit_is_named(released):
    folder = released / ".course"
    in_cm2 = "cross_section_mm2 = pi / 400 * (my.outer_diameter_mm**2 - my.bore_mm**2)"
    demo.hand_in(released, folder, "stretch",
                 (demo.Learner("jo-borrower", other={"cross_section": in_cm2}),))
    path = folder / "submitted" / "jo-borrower" / "stretch" / "stretch.ipynb"
    path.write_text(path.read_text(encoding="utf-8").replace('\\"jo-borrower\\"',
                                                             '\\"ada-of-the-reef\\"'),
                    encoding="utf-8")
    graded = of(grade(released, folder, "stretch", progress=lambda line: None), "jo-borrower")
    assert "ada-of-the-reef" in graded.notes[0]
    assert {mark.item: mark.slip for mark in graded.marks if mark.slip} == {
        "cross_section": "wrong unit"}


def test_a_picture_in_a_written_answer_is_noted(root, tmp_path):
    released = nbformat.read(root / "exercises" / "stretch" / "stretch.ipynb", as_version=4)
    handed_in = nbformat.from_dict(released)
    written = next(cell for cell in handed_in.cells if cell.cell_type == "markdown"
                   and cell.metadata.get("nbgrader", {}).get("grade"))
    written.source = "So it looks: ![sketch](attachment:sketch.png)"
    written.attachments = {"sketch.png": {"image/png": "iVBORw0KGgo="}}
    path = tmp_path / "stretch.ipynb"
    nbformat.write(handed_in, path)
    name = written.metadata.nbgrader.grade_id
    released = nbformat.read(root / "exercises" / "stretch" / "stretch.ipynb", as_version=4)
    assert put_right(read_submission(path, "stretch"), released) == [
        f"A picture was pasted into {name!r}; it is shown in the notebook handed in alone."]


def test_submissions_that_cannot_be_graded_get_a_sentence(root, tmp_path):
    whole = (root / "exercises" / "stretch" / "stretch.ipynb").read_text(encoding="utf-8")
    path = tmp_path / "stretch.ipynb"
    with pytest.raises(RefusedError, match="no file"):
        read_submission(path, "stretch")
    for text in (whole[:999], "{}", "", "[]", "[" * 100_000, "{\"nbformat\": 9}"):
        path.write_text(text, encoding="utf-8")
        with pytest.raises(RefusedError, match="damaged"):
            read_submission(path, "stretch")
    path.write_bytes(b"\xff\xfe" + whole.encode())
    with pytest.raises(RefusedError, match="damaged"):
        read_submission(path, "stretch")
    path.write_text(whole, encoding="utf-8")
    assert read_submission(path, "stretch").cells
    notebook = nbformat.reads(whole, as_version=4)
    notebook.cells = [cell for cell in notebook.cells if cell.cell_type == "markdown"
                      and "nbgrader" not in cell.metadata]
    nbformat.write(notebook, path)
    with pytest.raises(RefusedError, match="another notebook"):
        read_submission(path, "stretch")
    with path.open("a", encoding="utf-8") as file:
        file.write(" " * 6_000_000)
    with pytest.raises(RefusedError, match="MB"):
        read_submission(path, "stretch")


def test_no_submission_at_all_is_said(released, tmp_path):
    with pytest.raises(InputError, match="no submission"):
        grade(released, tmp_path, "stretch")


def test_an_instructor_grades_a_class_of_their_own(root, tmp_path, monkeypatch, capsys):
    from bandwork.cli import main

    demo.hand_in(root, tmp_path / "autumn", "stretch", (demo.Learner("jo-visitor", done=2),))
    monkeypatch.chdir(root)
    assert main(["grade", "stretch", str(tmp_path / "autumn"), "--due", "2026-11-20 17:30",
                 *(["--trust-submissions"] if what_is_missing() else [])]) == 0
    assert "jo-visitor: 2 of 28" in capsys.readouterr().out
    page = (tmp_path / "autumn" / "report" / "stretch.html").read_text(encoding="utf-8")
    assert "jo-visitor" in page
    assert "1.0 h" in page
    assert main(["grade", "stretch", str(tmp_path / "nobody")]) == 1
    assert "holds no submission" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(["grade", "stretch", str(tmp_path), "--due", "tomorrow"])
    assert "is not a time" in capsys.readouterr().err
