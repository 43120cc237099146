"""Learning alone: begin, check, see how far one is, and lose nothing on the way."""

import json

import nbformat
import pytest
from bandwork import InputError
from bandwork.classroom import demo, selfstudy
from bandwork.classroom.items import UNITS, exercise
from bandwork.cli import main

pytestmark = pytest.mark.course


@pytest.fixture
def folder(root, tmp_path):
    selfstudy.begin(root, tmp_path / "work", "ada")
    return tmp_path / "work"


def save(folder, unit, notebook):
    nbformat.write(notebook, folder / f"{unit}.ipynb")


def standing(found, key):
    return next(one for one in found.items if one.item == key)


@pytest.mark.parametrize("unit", UNITS)
def test_a_fresh_notebook_has_nothing_and_a_solved_one_everything(root, folder, unit):
    fresh = selfstudy.check(folder, unit)
    assert fresh.earned == 0
    assert {one.state for one in fresh.items} == {"not answered"}
    assert fresh.stopped == ()
    save(folder, unit, demo.fill(root, unit, demo.Learner("ada")))
    done = selfstudy.check(folder, unit)
    assert done.earned == done.points == sum(one.points for one in exercise(unit).items)
    assert done.next is None
    assert done.stopped == ()
    assert done.note == ""


def test_slips_are_named_with_the_page_and_parts_earn_their_points(root, folder):
    plan = demo.Learner("ada", {"energy": "one leg"}, other={
        "load_assist": "load_assist = (my.upper_run_cm - my.assist_cm, 3.0)",
        "stretch_ratio": "stretch_ratio = (1.0"})
    save(folder, "stretch", demo.fill(root, "stretch", plan))
    found = selfstudy.check(folder, "stretch")
    energy = standing(found, "energy")
    assert (energy.slip, energy.page, energy.earned) == ("one leg", "stretch/work", 0)
    assist = standing(found, "load_assist")
    assert (assist.state, assist.earned) == ("in part", 1)
    assert "Right so far: number 1 of 2." in assist.message
    assert any("stretch_ratio = (1.0" in one and "a bracket" in one for one in found.stopped)
    assert found.next.item == "stretch_ratio"
    assert found.written == ("In your own words",)


def test_what_was_found_is_kept_and_a_second_start_loses_nothing(root, folder):
    save(folder, "stretch", demo.fill(root, "stretch", demo.Learner("ada", done=3)))
    selfstudy.check(folder)
    before = (folder / "stretch.ipynb").read_bytes()
    selfstudy.begin(root, folder, "Ada")
    assert (folder / "stretch.ipynb").read_bytes() == before
    so_far = selfstudy.progress(folder)
    assert so_far.learner == "ada"
    assert dict(so_far.units)["stretch"].earned == 4
    assert so_far.next_unit in UNITS


def test_the_first_notebook_is_checked_while_none_was_saved(root, tmp_path):
    selfstudy.begin(root, tmp_path / "fresh", "ada")
    assert selfstudy.check(tmp_path / "fresh").unit == "warmup"


def test_an_empty_id_is_told_as_such(root, tmp_path):
    selfstudy.begin(root, tmp_path / "fresh", "ada")
    path = tmp_path / "fresh" / "warmup.ipynb"
    path.write_text(path.read_text("utf-8").replace('\\"ada\\"', '\\"\\"'), encoding="utf-8")
    found = selfstudy.check(tmp_path / "fresh", "warmup")
    assert any("learner_id is ''" in one for one in found.stopped)
    assert "the cell just below learner_id" in found.items[0].message


def test_the_notebook_saved_last_is_checked(root, folder):
    import os

    for number, unit in enumerate(UNITS):
        os.utime(folder / f"{unit}.ipynb", (1000 - number, 1000 - number))
    assert selfstudy.check(folder).unit == UNITS[0]


def test_somebody_elses_numbers_and_folder_are_told(root, folder):
    save(folder, "stretch", demo.fill(root, "stretch", demo.Learner("bo")))
    assert "numbers of 'bo'" in selfstudy.check(folder, "stretch").note
    with pytest.raises(InputError, match="folder of 'ada'"):
        selfstudy.begin(root, folder, "bo")


def test_an_endless_cell_is_stopped_and_the_rest_is_checked(root, folder, monkeypatch):
    monkeypatch.setattr(selfstudy, "LONGEST", 0.5)
    plan = demo.Learner("ada", other={"force": "while True:\n    pass"})
    save(folder, "stretch", demo.fill(root, "stretch", plan))
    found = selfstudy.check(folder, "stretch")
    assert any("of item 4" in one and "stopped: it ran longer than 0.5 seconds" in one
               for one in found.stopped)
    assert standing(found, "force").state == "not answered"
    assert standing(found, "interval").state == "right"


def test_a_check_cell_that_was_changed_earns_nothing_and_is_told(root, folder):
    notebook = demo.fill(root, "warmup", demo.Learner("ada"))
    for cell in notebook.cells:
        if cell.id == "check-newton":
            cell.source = 'print("\N{CHECK MARK} From kgf to newtons: right.")'
    save(folder, "warmup", notebook)
    found = selfstudy.check(folder, "warmup")
    assert found.earned == found.points - 1
    assert 'write work.check("newton") in it' in standing(found, "newton").message


def test_what_stopped_is_told_once_and_not_what_only_follows_from_it(root, folder):
    plan = demo.Learner("ada", done=1, other={
        "set_up": 'set_up = ("E", 60, "A", "A", "A", 20)', "safety_choice": "before_the_shot = AC"})
    save(folder, "setup", demo.fill(root, "setup", plan))
    found = selfstudy.check(folder, "setup")
    tube, letters = found.stopped
    assert tube.startswith("The cell that begins with 'bench.tell(set_up)' stopped: This is no set")
    assert "the tube wants one letter out of ABC" in tube
    assert letters.startswith("The cell of item 15 ")
    assert 'letters stand between quotes, as "AC"' in letters


def test_a_hint_is_the_whole_message_whatever_the_title_holds():
    one = selfstudy.Standing("a", "Kim's gun: the sums", 1, 0, "Kim's gun: the sums: 1: too high.")
    assert one.hint == "1: too high."


@pytest.mark.parametrize("source", ["input('?')", "raise SystemExit(3)", "%matplotlib inline",
                                    "1/0", "del my"])
def test_a_cell_that_stops_keeps_nothing_else_from_running(root, folder, source):
    notebook = demo.fill(root, "stretch", demo.Learner("ada"))
    place = next(number for number, cell in enumerate(notebook.cells)
                 if cell.id == "check-cross-section")
    notebook.cells.insert(place + 1, nbformat.v4.new_code_cell(source))
    save(folder, "stretch", notebook)
    found = selfstudy.check(folder, "stretch")
    assert standing(found, "cross_section").state == "right"
    if source != "del my":
        assert found.earned == found.points
        assert any(repr(source) in one for one in found.stopped)


@pytest.mark.parametrize(("text", "says"), [
    ("", "damaged"), ("{}", "damaged"), ('{"learner": "ada", "units": 3}', "damaged"),
    ('{"learner": "a b", "units": {}}', "damaged"),
    ('{"learner": "ada", "units": {"stretch": [{"x": 1}]}}', "damaged")])
def test_a_damaged_record_is_told_in_a_sentence(folder, text, says):
    (folder / selfstudy.KEPT).write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=says):
        selfstudy.progress(folder)


def test_a_damaged_or_missing_notebook_is_told_in_a_sentence(folder, tmp_path):
    (folder / "stretch.ipynb").write_text('{"cells": [', encoding="utf-8")
    with pytest.raises(InputError, match="damaged"):
        selfstudy.check(folder, "stretch")
    (folder / "stretch.ipynb").unlink()
    with pytest.raises(InputError, match="bandwork start"):
        selfstudy.check(folder, "stretch")
    with pytest.raises(InputError, match="bandwork start"):
        selfstudy.check(tmp_path)


def test_from_start_to_summary_at_the_command_line(root, tmp_path, monkeypatch, capsys):
    """Wrong answers on purpose: each command says what to do next."""
    monkeypatch.chdir(root)
    there = ["--folder", str(tmp_path / "w")]
    assert main(["check", *there]) == 1
    assert "bandwork start" in capsys.readouterr().err
    assert main(["start", "Ada Q", *there]) == 1
    assert "without spaces" in capsys.readouterr().err
    assert main(["start", "Ada", *there]) == 0
    assert "bandwork open" in capsys.readouterr().out
    plan = demo.Learner("ada", {"cross_section": "bore forgotten"}, done=4)
    save(tmp_path / "w", "stretch", demo.fill(root, "stretch", plan))
    assert main(["check", "stretch", *there]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "the hole in the middle does not pull" in told
    assert "Next: Cross-section of the tube. Read: " in told
    assert main(["check", "strech", *there]) == 1
    assert "nearest: stretch" in capsys.readouterr().err
    assert main(["progress", *there]) == 0
    assert "To print: " in capsys.readouterr().out
    page = (tmp_path / "w" / "summary.html").read_text(encoding="utf-8")
    assert "the hole in the middle does not pull" in page
    assert "no permission to load a gun" in " ".join(page.split())
    assert "http" not in page
    save(tmp_path / "w", "warmup", demo.fill(root, "warmup", demo.Learner("ada")))
    assert main(["check", "warmup", *there]) == 0
    assert "All of it is right. Go on with: bandwork open stretch" in capsys.readouterr().out
    json.loads((tmp_path / "w" / selfstudy.KEPT).read_text(encoding="utf-8"))
