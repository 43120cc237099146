"""The released notebooks: made alike, free of answers, in step with the book and the items."""

import re

import nbformat
import pytest
from bandwork import InputError
from bandwork.classroom.checks import ChoiceItem, PlotItem
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.notebooks import SOLUTION_BEGIN, SOLUTION_END, open_class, read_source

pytestmark = pytest.mark.course


def source_text(root, unit):
    return (root / "solutions" / unit / f"{unit}.md").read_text(encoding="utf-8")


@pytest.fixture(params=UNITS)
def unit(request):
    return request.param


def test_released_equals_regenerated(root, released, unit):
    made = (released / "exercises" / unit / f"{unit}.ipynb").read_text(encoding="utf-8")
    kept = (root / "exercises" / unit / f"{unit}.ipynb").read_text(encoding="utf-8")
    assert made == kept, "run `make exercises` and commit exercises/"


def test_only_the_notebook_is_released(root, unit):
    assert [path.name for path in (root / "exercises" / unit).iterdir()
            if not path.name.startswith(".")] == [f"{unit}.ipynb"]


def test_what_a_killed_writer_left_is_not_released(root, tmp_path):
    left = tmp_path / "source" / "warmup" / ".warmup.ipynb.k1ll3d"
    left.parent.mkdir(parents=True)
    left.write_text("with all answers", encoding="utf-8")
    made = open_class(root, tmp_path, "warmup")
    assert [path.name for path in made.parent.iterdir()] == ["warmup.ipynb"]


def test_nothing_of_the_solution_is_released(root, unit):
    text = (root / "exercises" / unit / f"{unit}.ipynb").read_text(encoding="utf-8")
    for word in ("BEGIN", "HIDDEN", "MARK SCHEME", "role"):
        assert word not in text
    kept = "\n".join(cell.source for cell in nbformat.reads(text, as_version=4).cells)
    begun = source_text(root, unit)
    secret = re.findall(r"### BEGIN (?:SOLUTION|HIDDEN TESTS|MARK SCHEME)\n(.*?)\s*### END", begun,
                        flags=re.S)
    assert len(secret) > len(exercise(unit).items)
    lines = [line.strip() for block in secret for line in block.splitlines()]
    leaked = [line for line in lines if len(line) > 12 and line in kept]
    assert leaked == []


def test_every_answer_cell_holds_a_stub_to_fill_in(root, unit):
    notebook = nbformat.read(root / "exercises" / unit / f"{unit}.ipynb", as_version=4)
    cells = {cell.metadata.nbgrader.grade_id: cell.source for cell in notebook.cells
             if "nbgrader" in cell.metadata}
    assert cells["learner_id"].strip() == 'learner_id = "guest"'
    for item in exercise(unit).items:
        assert "= ...\n" in cells[item.key] or "lines of your own" in cells[item.key], item.key


def test_outputs_and_counts_are_empty(root, unit):
    notebook = nbformat.read(root / "exercises" / unit / f"{unit}.ipynb", as_version=4)
    assert all(not cell.outputs and cell.execution_count is None for cell in notebook.cells
               if cell.cell_type == "code")


def test_cells_have_readable_ids(root, unit):
    notebook = nbformat.read(root / "exercises" / unit / f"{unit}.ipynb", as_version=4)
    ids = [cell.id for cell in notebook.cells]
    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r"[a-z][a-z0-9-]*", name) for name in ids)


def test_a_check_cell_holds_nothing_but_checks(root, unit):
    """A bare value at the end of a graded cell would become its score."""
    for cell in read_source(root, unit).cells:
        if cell.metadata.get("nbgrader", {}).get("grade") and cell.cell_type == "code":
            name = cell.metadata.nbgrader.grade_id.removeprefix("check_")
            for line in cell.source.splitlines():
                assert line.startswith("### ") or re.fullmatch(
                    rf'work\.check\("{name}"(, at=\[[\d., ]+\])?\)', line), line


def test_every_function_has_hidden_inputs_that_differ_from_the_shown(root, unit):
    from bandwork.classroom.checks import FunctionItem

    asked = exercise(unit)
    for item in asked.items:
        if isinstance(item, FunctionItem):
            found = re.search(rf'work\.check\("{item.key}", at=\[([\d., ]+)\]\)',
                              source_text(root, unit))
            assert found, item.key
            hidden = {float(number) for number in found.group(1).split(",")}
            assert not hidden & set(item.inputs(asked.numbers("ada")))


def test_the_text_states_points_and_tolerance(root, unit):
    sections = re.split(r"^## (?=\d+\.)", source_text(root, unit), flags=re.M)[1:]
    for item, section in zip(exercise(unit).items, sections, strict=False):
        points = f"({item.points} point" + ("s)" if item.points > 1 else ")")
        assert points in section.splitlines()[0], item.key
        if item.tolerance:
            assert f"{item.tolerance * 100:g} %" in section, item.key
        assert f"work.check(\"{item.key}\")" in section
        assert f"`{item.variable}" in section or isinstance(item, (PlotItem, ChoiceItem))


def test_the_items_send_to_pages_that_exist_under_that_title(root, unit):
    asked = exercise(unit)
    assert {item.page for item in asked.items} == set(asked.pages)
    for page, title in asked.pages.items():
        text = (root / "book" / f"{page}.md").read_text(encoding="utf-8")
        assert re.search(r"^# (.*)$", text, flags=re.M).group(1).strip() == title


HOW_MANY = {"warmup": (5, 8), "setup": (12, 16)}


def test_as_many_items_are_graded_as_a_unit_has(root, unit):
    graded = [cell.metadata.nbgrader for cell in read_source(root, unit).cells
              if cell.metadata.get("nbgrader", {}).get("grade")]
    least, most = HOW_MANY.get(unit, (10, 14))
    assert least <= len(graded) <= most
    written = [] if unit == "warmup" else ["in_your_own_words"]
    assert [cell.grade_id for cell in graded if cell.solution] == written


@pytest.mark.parametrize(("change", "says"), [
    (lambda text: text.replace(":role: check energy", ":role: chek energy"), "role 'chek energy'"),
    (lambda text: text.replace(":role: check energy", ":role: check enrgy"), "nearest: energy"),
    (lambda text: re.sub(r"```\{code-cell\} ipython3\n:role: check energy.*?```", "", text,
                         flags=re.S), "one answer cell and one check cell"),
])
def test_a_wrong_source_is_refused_in_a_sentence(root, tmp_path, change, says):
    place = tmp_path / "solutions" / "stretch"
    place.mkdir(parents=True)
    (place / "stretch.md").write_text(change(source_text(root, "stretch")), encoding="utf-8")
    with pytest.raises(InputError, match=says):
        read_source(tmp_path, "stretch")


def test_a_missing_source_is_refused_in_a_sentence(tmp_path):
    with pytest.raises(InputError, match="course's folder"):
        read_source(tmp_path, "stretch")


def test_the_markers_are_nbgraders(root):
    from nbgrader.preprocessors import ClearSolutions

    cleaner = ClearSolutions()
    assert f"### {cleaner.begin_solution_delimeter}" == SOLUTION_BEGIN
    assert f"### {cleaner.end_solution_delimeter}" == SOLUTION_END
