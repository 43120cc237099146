"""A whole term: twelve invented learners and every notebook, from release to the last table."""

import copy
import csv
import io
import json
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
import zipfile
from datetime import UTC, datetime

import nbformat
import pytest
from bandwork import InputError
from bandwork.classroom import demo
from bandwork.classroom.collect import collect
from bandwork.classroom.engine.intake import inspect_submission
from bandwork.classroom.handback import class_table, give_feedback
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.notebooks import open_class
from bandwork.classroom.plugins import FOLDER_VARIABLE, FormulaToMathML
from bandwork.classroom.settings import ClassSettings, read_settings

from tests.classroom.conftest import grade

pytestmark = pytest.mark.course

SETTINGS = """
title = "Lantern Quay Dive Club, winter term (invented)"

[due]
{due}

[late]
free_hours = 1
per_day = 10
most = 50

[more_hours]
slow-snail = 48

[table]
"User ID" = "learner"
"Assignment" = "exercise"
"Grade" = "score"
"Out of" = "max"
"Taken off" = "penalty"
"By hand" = "to_mark_by_hand"
"""
DUE = datetime(2026, 12, 4, 20, 0)
NAMES = ("ada-of-the-reef", "bo-current", "cleo-kelp", "dag-swell", "eli-tide", "fay-drift",
         "gus-shoal", "hana-sandbank", "ivo-spray", "kim-lagoon", "slow-snail", "uma-fathom")
HANDED_IN = {"fay-drift": (2026, 12, 5, 23, 30), "slow-snail": (2026, 12, 6, 12)}


def plan(unit, number, name):
    """Return what an invented learner does: all right, one slip each, half of it, nothing."""
    items = exercise(unit).items
    if number % 4 == 1:
        item = items[number % len(items)]
        return demo.Learner(name, {item.key: item.slips[0].name}, writes=demo.SHORT_ANSWER)
    done = {4: len(items) // 2, 6: 0}.get(number, 99)
    return demo.Learner(name, done=done, writes=demo.SHORT_ANSWER)


@pytest.fixture(scope="module")
def term(released, tmp_path_factory):
    """Release, collect and grade every notebook; return the class's folder and its results."""
    folder = tmp_path_factory.mktemp("winter")
    dates = "\n".join(f"{unit} = {DUE.isoformat()}" for unit in UNITS)
    (folder / "class.toml").write_text(SETTINGS.format(due=dates), encoding="utf-8")
    results = {}
    for unit in UNITS:
        assert open_class(released, folder, unit).exists()
        packed = folder / f"{unit}.zip"
        with zipfile.ZipFile(packed, "w") as file:
            for number, name in enumerate(NAMES):
                when = datetime(*HANDED_IN.get(name, (2026, 12, 4, 18)), tzinfo=UTC)
                wall = when.astimezone().timetuple()[:6]
                file.writestr(zipfile.ZipInfo(f"box/{name.upper()}_{unit}.ipynb", wall),
                              nbformat.writes(demo.fill(released, unit, plan(unit, number, name))))
            file.writestr("box/readme.txt", "not a notebook")
        taken = collect(folder, unit, packed)
        assert sorted(one.learner for one in taken) == sorted(NAMES)
        results[unit] = grade(released, folder, unit, progress=lambda line: None)
    return folder, results


def of(term, unit, name):
    return next(one for one in term[1][unit].results if one.learner == name)


def machine(result):
    return [mark for mark in result.marks if mark.item != "in_your_own_words"]


@pytest.mark.long
@pytest.mark.parametrize("unit", UNITS)
def test_everybody_gets_what_they_did(term, unit):
    items = exercise(unit).items
    for number, name in enumerate(NAMES):
        result, wanted = of(term, unit, name), plan(unit, number, name)
        assert result.problem == ""
        assert result.notes == ()
        named = {mark.item: mark.slip for mark in result.marks if mark.slip}
        if not exercise(unit).item(next(iter(wanted.slips), items[0].key)).uses:
            assert named == wanted.slips
        full = [mark.item for mark in machine(result) if mark.score == mark.points]
        assert full == [item.key for item in items[:wanted.done] if item.key not in wanted.slips]


@pytest.mark.long
@pytest.mark.parametrize("unit", UNITS)
def test_a_late_one_pays_for_each_day_and_longer_time_is_kept(term, unit):
    late, longer = of(term, unit, "fay-drift"), of(term, unit, "slow-snail")
    assert late.hours_late == pytest.approx(26.5)
    assert late.penalty == pytest.approx(0.2 * late.score)
    assert (longer.hours_late, longer.penalty) == (0, 0)


@pytest.mark.long
def test_a_second_hand_in_takes_the_place_of_the_first_and_keeps_marks_by_hand(
        term, released, tmp_path):
    from nbgrader.api import Gradebook

    folder, _ = term
    url = f"sqlite:///{(folder / 'gradebook.db').as_posix()}"
    with Gradebook(url, "bandwork") as book:
        cell = book.find_grade("in_your_own_words", "stretch", "stretch", "eli-tide")
        cell.manual_score, cell.needs_manual_grade = 2.5, False
        book.db.commit()
    better = demo.fill(released, "stretch", demo.Learner("eli-tide", writes=demo.SHORT_ANSWER))
    nbformat.write(better, tmp_path / "eli-tide_stretch.ipynb")
    os.utime(tmp_path / "eli-tide_stretch.ipynb", (1796500000, 1796500000))
    assert [one.note for one in collect(folder, "stretch", tmp_path)] == ["again"]
    again = grade(released, folder, "stretch", progress=lambda line: None)
    eli = next(one for one in again.results if one.learner == "eli-tide")
    points = sum(item.points for item in exercise("stretch").items)
    assert eli.score == points + 2.5


@pytest.mark.long
def test_feedback_shows_messages_and_no_hidden_test(term, released):
    folder, _ = term
    pages = give_feedback(released, folder, "stretch", progress=lambda line: None)
    assert len(pages) == len(NAMES)
    for page in pages:
        text = page.read_text(encoding="utf-8")
        assert "HIDDEN TESTS" not in text
        assert "2.71" not in text
        assert "Traceback (most" not in text
        assert '<script src="http' not in text
        assert "<math xmlns" in text
    wrong = next(item for item in exercise("stretch").items
                 if item.key in plan("stretch", 1, "bo-current").slips)
    told = (folder / "feedback" / "bo-current" / "stretch" / "stretch.html").read_text("utf-8")
    assert wrong.title in told
    assert "Not yet." in told
    with pytest.raises(InputError, match="bandwork grade"):
        give_feedback(released, folder, "nothing")


@pytest.mark.parametrize("unit", UNITS)
def test_formulas_in_feedback_need_no_script(released, unit):
    notebook = nbformat.read(released / "exercises" / unit / f"{unit}.ipynb", as_version=4)
    shown, _ = FormulaToMathML().preprocess(copy.deepcopy(notebook), {})
    before, after = ("\n".join(cell.source for cell in one.cells if cell.cell_type == "markdown")
                     for one in (notebook, shown))
    assert after.count("<math ") == before.count("$") / 2 - before.count("$$") / 2
    assert "$" not in after
    assert after.count("`") == before.count("`")


def test_dollars_in_code_and_in_answers_stay(released):
    notebook = nbformat.v4.new_notebook(cells=[
        nbformat.v4.new_markdown_cell("Costs `$5` and `$7`; $\\frac{a*b}{c_1}$; $\\nosuch{$."),
        nbformat.v4.new_markdown_cell("Mine: $a$.", metadata={"nbgrader": {"grade_id": "words"}})])
    shown, _ = FormulaToMathML().preprocess(notebook, {})
    assert shown.cells[0].source.startswith("Costs `$5` and `$7`; <math ")
    assert shown.cells[0].source.endswith("$\\nosuch{$.")
    assert not {"*", "_"} & set(shown.cells[0].source)
    assert shown.cells[1].source == "Mine: $a$."


@pytest.mark.long
def test_the_table_has_the_columns_that_the_class_asks_for(term, released):
    folder, results = term
    rows = list(csv.DictReader(io.StringIO(class_table(released, folder))))
    assert len(rows) == len(NAMES) * len(UNITS)
    assert list(rows[0]) == ["User ID", "Assignment", "Grade", "Out of", "Taken off", "By hand"]
    late = of(term, "warmup", "fay-drift")
    row = next(one for one in rows if one["User ID"] == "fay-drift"
               and one["Assignment"] == "warmup")
    assert float(row["Grade"]) == pytest.approx(late.score - late.penalty)
    assert float(row["Out of"]) == results["warmup"].points
    assert {one["By hand"] for one in rows if one["Assignment"] == "stretch"} >= {"yes"}
    with pytest.raises(InputError, match="bandwork grade"):
        class_table(released, folder / "nowhere")


def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


@pytest.mark.long
def test_answers_in_words_are_marked_in_nbgraders_formgrader(term, root, released, tmp_path):
    """nbgrader's own server on our class: the page shows the answer, and a mark is kept."""
    folder, _ = term
    shutil.copy(root / "nbgrader_config.py", released)
    port, token = free_port(), "lantern"
    server = subprocess.Popen(
        [sys.executable, "-m", "jupyter_server", "--no-browser", "--allow-root",
         f"--port={port}", f"--IdentityProvider.token={token}", f"--ServerApp.root_dir={released}",
         "--ServerApp.jpserver_extensions={'nbgrader.server_extensions.formgrader': True}"],
        cwd=released, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        env={**os.environ, "HOME": str(tmp_path), "JUPYTER_CONFIG_DIR": str(tmp_path),
             FOLDER_VARIABLE: str(folder)})

    def ask(path, body=None, method="GET"):
        request = urllib.request.Request(
            f"http://127.0.0.1:{port}/formgrader/{path}", method=method,
            data=json.dumps(body).encode() if body is not None else None,
            headers={"Authorization": f"token {token}", "Content-Type": "application/json"})
        with urllib.request.urlopen(request, timeout=30) as answer:
            return answer.read().decode("utf-8")

    try:
        for _ in range(120):
            try:
                found = json.loads(ask("api/submitted_notebooks/warmup/warmup"))
                break
            except OSError:
                time.sleep(0.5)
        assert len(found) == len(NAMES)
        one = next(row for row in json.loads(ask("api/submitted_notebooks/stretch/stretch"))
                   if row["student"] == "ada-of-the-reef")
        assert one["needs_manual_grade"]
        assert "the shaft flies" in ask(f"submissions/{one['id']}/")
        cell = next(row for row in json.loads(ask(f"api/grades?submission_id={one['id']}"))
                    if row["name"] == "in_your_own_words")
        told = json.loads(ask(f"api/grade/{cell['id']}", {"manual_score": 2, "extra_credit": 0},
                              "PUT"))
        assert told["manual_score"] == 2
        after = next(row for row in json.loads(ask("api/submitted_notebooks/stretch/stretch"))
                     if row["student"] == "ada-of-the-reef")
        assert after["score"] == one["score"] + 2
        assert not after["needs_manual_grade"]
    finally:
        server.terminate()
        server.communicate(timeout=30)


def test_a_class_that_works_together_has_common_numbers(released, tmp_path):
    (tmp_path / "class.toml").write_text(
        'common_numbers = "Club-Evening"\n[more_hours]\nJo = 5\nflow = 5\n', encoding="utf-8")
    made = nbformat.read(open_class(released, tmp_path, "warmup"), as_version=4)
    numbers = next(cell.source for cell in made.cells if cell.id == "numbers")
    assert "numbers_of='club-evening'" in numbers
    for name, writes in (("flo", "flo"), ("jo", "jo"), ("kim", "jo")):
        notebook = demo.fill(released, "warmup", demo.Learner(writes))
        place = tmp_path / "submitted" / name / "warmup"
        place.mkdir(parents=True)
        for cell in notebook.cells:
            if cell.id == "half-and-more":
                barrel, more = (exercise("warmup").numbers("club-evening")[one]
                                for one in ("barrel_cm", "recipe_cm"))
                cell.source = f"relaxed_cm = {barrel} / 2 + {more}"
        nbformat.write(notebook, place / "warmup.ipynb")
    said = []
    result = grade(released, tmp_path, "warmup", progress=said.append)
    assert [line for line in said if "more hours" in line] == [
        "  class.toml gives more hours to 'flow', who has not handed in."]
    assert [one.score for one in result.results] == [result.points] * 3
    assert [one.notes for one in result.results] == [(), (), (
        "Wrote another id: 'jo'.",)]


@pytest.mark.parametrize(("text", "says"), [
    ("title = ", "can't be read"), ("titlo = 'x'", "nearest: title"), ("title = 3", "quotes"),
    ("learners = 'ada'", "square brackets"), ("learners = ['a b']", "spaces"),
    ("due = 3", r"\[due\]"), ("[due]\nstrech = 2026-11-20T20:00:00", "nearest: stretch"),
    ("[due]\nstretch = '20.11.2026'", "without quotes"), ("[late]\nper_day = 101", "per cent"),
    ("[late]\nper_day = '5'", "number"), ("[late]\nfree_hours = -1", "number"),
    ("[table]\nGrade = 'points'", "accepted are"), ("[more_hours]\n'a b' = 3", "spaces"),
    ("[more_hours]\nada.reef = 3", "dot between quotes"), ("title = “Club”", "straight quotes"),
    ("[due]\nstretch = 20.11.2026", "a time as"), ("common_numbers = 'a b'", "spaces")])
def test_wrong_settings_are_refused_in_a_sentence(tmp_path, text, says):
    (tmp_path / "class.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=says):
        read_settings(tmp_path)


def test_the_settings_on_the_instructors_page_are_accepted(root, tmp_path):
    page = (root / "book" / "instructor" / "class.md").read_text(encoding="utf-8")
    text = page[page.index('title = "'):].partition("```")[0]
    (tmp_path / "class.toml").write_text(text, encoding="utf-8")
    read = read_settings(tmp_path)
    assert read.due["stretch"] == datetime(2026, 11, 20, 20)
    assert (read.hours_late("ada", 50), read.hours_late("j.roe", 26)) == (1, 1)
    assert read.penalty("bo", 20, 30) == 4
    assert read.table == {"User ID": "learner", "Exercise": "exercise", "Grade": "score"}


def test_settings_are_read_as_editors_on_windows_write_them(tmp_path):
    (tmp_path / "class.toml").write_text('title = "Câ"\n', encoding="utf-8-sig")
    assert read_settings(tmp_path).title == "Câ"
    (tmp_path / "class.toml").write_text('title = "Câ"\n', encoding="utf-16")
    with pytest.raises(InputError, match="choose UTF-8"):
        read_settings(tmp_path)


def test_an_exercise_that_is_misspelt_is_named_and_leaves_no_folder(root, tmp_path):
    with pytest.raises(InputError, match="nearest: stretch"):
        open_class(root, tmp_path / "autumn", "strech")
    assert not (tmp_path / "autumn").exists()


@pytest.mark.parametrize(("hours", "lost"), [(-5, 0), (0.9, 0), (1.5, 2), (25, 2), (25.5, 4),
                                             (500, 10)])
def test_a_penalty_counts_days_that_are_begun(hours, lost):
    settings = ClassSettings(free_hours=1, per_day=10, most=50)
    assert settings.penalty("ada", 20.0, hours) == pytest.approx(lost)


def test_a_time_beyond_the_calendar_is_refused_in_a_sentence(tmp_path):
    (tmp_path / "class.toml").write_text("[due]\nstretch = 0001-01-01T00:00:00+01:00", "utf-8")
    with pytest.raises(InputError, match="end of the calendar"):
        read_settings(tmp_path)


def test_time_zones_are_understood(tmp_path):
    (tmp_path / "class.toml").write_text("[due]\nstretch = 2026-11-20T20:00:00+02:00", "utf-8")
    assert read_settings(tmp_path).due["stretch"] == datetime(2026, 11, 20, 18)


def test_an_older_file_does_not_take_the_place_of_a_newer_one(released, tmp_path):
    box = tmp_path / "box" / "ada_warmup.ipynb"
    box.parent.mkdir()
    shutil.copy(released / "exercises" / "warmup" / "warmup.ipynb", box)
    for when, note in ((2e9, "new"), (1.9e9, "left: an older file"), (2.1e9, "again")):
        os.utime(box, (when, when))
        told, = collect(tmp_path / "class", "warmup", box.parent)
        assert told.note.startswith(note)


@pytest.mark.parametrize(("file", "learner"), [
    ("Kim/stretch-2.ipynb", "kim"), ("kim/stretch - Copy.ipynb", "kim"),
    ("kim/stretch_final.ipynb", "kim"), ("box/Kim_stretch - Copy.ipynb", "kim"),
    ("line-fisher_stretch.ipynb", "line-fisher"), ("stretch-fan_stretch.ipynb", "stretch-fan"),
    ("stretch (1).ipynb", "by-the-cell"), ("Kim Lagoon_17_file/stretch.ipynb", "by-the-cell"),
    ("Kim Lagoon_stretch.ipynb", "by-the-cell")])
def test_a_file_finds_its_learner_by_name_then_folder_then_the_id_in_it(
        released, tmp_path, file, learner):
    box = tmp_path / "box.zip"
    text = nbformat.writes(demo.fill(released, "stretch", demo.Learner("By-the-Cell", done=1)))
    with zipfile.ZipFile(box, "w") as packed:
        packed.writestr(file, text)
    told, = collect(tmp_path / "class", "stretch", box)
    assert (told.learner, "written in it" in told.note) == (learner, learner == "by-the-cell")
    assert (tmp_path / "class" / "submitted" / learner / "stretch" / "stretch.ipynb").is_file()


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="this system has one time zone for all")
def test_a_zip_files_times_are_those_of_this_machines_clock(released, tmp_path, monkeypatch):
    box = tmp_path / "box.zip"
    text = (released / "exercises" / "warmup" / "warmup.ipynb").read_text(encoding="utf-8")
    with zipfile.ZipFile(box, "w") as packed:
        packed.writestr(zipfile.ZipInfo("ada_warmup.ipynb", (2026, 12, 4, 18, 30, 0)), text)
        packed.writestr(zipfile.ZipInfo("bo_warmup.ipynb", (1980, 0, 0, 0, 0, 0)), text)
    monkeypatch.setenv("TZ", "Etc/GMT-3")
    time.tzset()
    try:
        collect(tmp_path, "warmup", box)
    finally:
        monkeypatch.undo()
        time.tzset()
    stamps = [(tmp_path / "submitted" / name / "warmup" / "timestamp.txt").read_text("utf-8")
              for name in ("ada", "bo")]
    assert stamps == ["2026-12-04 15:30:00 UTC", "1980-01-01 00:00:00 UTC"]


@pytest.mark.parametrize("beside", [(), ("dan/stretch.ipynb",)])
def test_a_folder_that_holds_everybodys_files_is_nobodys_name(released, tmp_path, beside):
    box = tmp_path / "box.zip"
    with zipfile.ZipFile(box, "w") as packed:
        for file in beside:
            packed.writestr(file, nbformat.writes(
                demo.fill(released, "stretch", demo.Learner("guest", done=0))))
        for number, name in enumerate(("bo", "cleo", "guest")):
            packed.writestr(f"mail/stretch ({number}).ipynb", nbformat.writes(
                demo.fill(released, "stretch", demo.Learner(name, done=0))))
    assert [one.learner for one in collect(tmp_path / "class", "stretch", box)] == [
        *(file.partition("/")[0] for file in beside), "bo", "cleo", ""]


@pytest.mark.parametrize("unit", UNITS)
def test_another_exercise_is_not_taken_for_this_one(released, unit):
    for other in UNITS:
        said = inspect_submission(released / "exercises" / other / f"{other}.ipynb", unit)
        assert (said == "") if other == unit else (f"another notebook ({other!r})" in said)


def test_a_zip_file_that_lies_about_sizes_is_said(tmp_path):
    box = tmp_path / "box.zip"
    with zipfile.ZipFile(box, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("ada_warmup.ipynb", b" " * 50_000_000)
    told, = collect(tmp_path / "class", "warmup", box)
    assert (told.learner, told.note[:19]) == ("", "left: it has 50 MB;")
    true, small = (size.to_bytes(4, "little") for size in (50_000_000, 900))
    box.write_bytes(box.read_bytes().replace(true, small))
    with pytest.raises(InputError, match=r"is damaged or locked .*unpack the zip"):
        collect(tmp_path / "class", "warmup", box)


ODD = {"../../../up_warmup.ipynb": "up", "/root/abs_warmup.ipynb": "abs",
       "..\\..\\back_warmup.ipynb": "back", "C:\\con_warmup.ipynb": "con",
       "\u202eada_warmup.ipynb": "", "two\nlines_warmup.ipynb": "", "\x1b[31mred_warmup.ipynb": "",
       "\uff0e\uff0e/warmup.ipynb": "", "a" * 250 + "_warmup.ipynb": "",
       "b" * 3000 + "/warmup.ipynb": "", "\uff41\uff44\uff41_warmup.ipynb": "ada",
       "ada_warmup.ipynb": "ada", "\u0430da_warmup.ipynb": "\u0430da",
       "CLEO_warmup.ipynb": "cleo", "cleo_warmup.ipynb": "cleo"}
"""File in a zip file -> whose it is."""


def test_odd_names_in_a_zip_file_lead_nowhere(released, tmp_path):
    text = nbformat.writes(demo.fill(released, "warmup", demo.Learner("..", done=0)))
    with zipfile.ZipFile(tmp_path / "box.zip", "w") as packed:
        for number, name in enumerate(ODD):
            packed.writestr(zipfile.ZipInfo(name, (2026, 12, 4, 18, number, 0)), text)
        link = zipfile.ZipInfo("linked_warmup.ipynb", (2026, 12, 4, 19, 0, 0))
        link.external_attr = 0o120777 << 16
        packed.writestr(link, "/etc/passwd")
    taken = collect(tmp_path / "class", "warmup", tmp_path / "box.zip")
    assert [one.learner for one in taken] == [*ODD.values(), "linked"]
    assert all(line.isprintable() and len(line) < 300 for one in taken
               for line in (one.file, one.note))
    files = {str(path.relative_to(tmp_path)) for path in tmp_path.rglob("*") if path.is_file()}
    names = {*ODD.values(), "linked"} - {""}
    assert files == {"box.zip", *(f"class/submitted/{name}/warmup/{file}" for name in names
                                  for file in ("warmup.ipynb", "timestamp.txt"))}
    assert not any(path.is_symlink() for path in tmp_path.rglob("*"))


def test_a_zip_bomb_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr("bandwork.classroom.collect.MOST_TOGETHER", 20_000_000)
    with zipfile.ZipFile(tmp_path / "box.zip", "w", zipfile.ZIP_DEFLATED) as packed:
        for number in range(5):
            packed.writestr(f"ada{number}_warmup.ipynb", b" " * 4_900_000)
    with pytest.raises(InputError, match="several zip files"):
        collect(tmp_path / "class", "warmup", tmp_path / "box.zip")
    assert not (tmp_path / "class").exists()


def test_a_full_disk_while_collecting_keeps_the_older_file(released, tmp_path, monkeypatch):
    box = tmp_path / "box" / "ada_warmup.ipynb"
    box.parent.mkdir()
    shutil.copy(released / "exercises" / "warmup" / "warmup.ipynb", box)
    collect(tmp_path / "class", "warmup", box.parent)
    kept = tmp_path / "class" / "submitted" / "ada" / "warmup" / "warmup.ipynb"
    before = kept.read_bytes()
    os.utime(box, (2e9, 2e9))

    def full(source, target):
        target.write_bytes(b"{")
        raise OSError(28, "No space left on device", str(target))

    monkeypatch.setattr(shutil, "copyfile", full)
    with pytest.raises(OSError, match="No space"):
        collect(tmp_path / "class", "warmup", box.parent)
    assert kept.read_bytes() == before
    monkeypatch.undo()
    assert [one.note for one in collect(tmp_path / "class", "warmup", box.parent)] == ["again"]


def test_what_belongs_to_nobody_is_left_and_said(released, tmp_path):
    box = tmp_path / "box"
    (box / "ada").mkdir(parents=True)
    (tmp_path / "empty").mkdir()
    shutil.copy(released / "exercises" / "warmup" / "warmup.ipynb", box / "ada" / "warmup.ipynb")
    shutil.copy(box / "ada" / "warmup.ipynb", box / "two words_warmup.ipynb")
    shutil.copy(released / "exercises" / "stretch" / "stretch.ipynb", box / "bo_warmup.ipynb")
    for name in ("warmup", "cleo_warmup (1)", "dan_stretch", "._ada_warmup"):
        shutil.copy(box / "ada" / "warmup.ipynb", box / f"{name}.ipynb")
    told = {one.file: one for one in collect(tmp_path / "class", "warmup", box)}
    with zipfile.ZipFile(tmp_path / "mac.zip", "w") as packed:
        for name in ("ada_warmup.ipynb", "__MACOSX/._ada_warmup.ipynb", "warmup.ipynb"):
            packed.write(box / "warmup.ipynb", name)
    assert [one.learner for one in collect(tmp_path / "mac", "warmup", tmp_path / "mac.zip")] == [
        "ada", ""]
    assert told["ada/warmup.ipynb"].learner == "ada"
    assert "nobody's" in told["two words_warmup.ipynb"].note
    assert "another notebook" in told["bo_warmup.ipynb"].note
    assert "nobody's" in told["warmup.ipynb"].note
    assert told["cleo_warmup (1).ipynb"].learner == "cleo"
    assert told["dan_stretch.ipynb"].learner == "dan"
    assert len(told) == 6
    assert "._ada_warmup.ipynb" not in told
    for wrong in (tmp_path / "nowhere", box / "bo_warmup.ipynb"):
        with pytest.raises(InputError, match="zip"):
            collect(tmp_path / "class", "warmup", wrong)
    with pytest.raises(InputError, match="holds no notebook"):
        collect(tmp_path / "class", "warmup", tmp_path / "empty")


def test_an_id_written_in_a_file_takes_no_place_of_a_name_and_odd_files_stop_nobody(released,
                                                                                    tmp_path):
    """A file without a name that holds another learner's id is left; what can't be read is too."""
    text = (released / "exercises" / "warmup" / "warmup.ipynb").read_text("utf-8")
    box = tmp_path / "box"
    box.mkdir()
    (box / "ada_warmup.IPYNB").write_text(text, "utf-8")
    (box / "warmup (1).ipynb").write_text(text.replace('\\"guest\\"', '\\"ada\\"'), "utf-8")
    (box / "warmup (2).ipynb").write_text("[" * 200_000, "utf-8")
    told = {one.file: one for one in collect(tmp_path / "class", "warmup", box)}
    assert told["ada_warmup.IPYNB"].note == "new"
    assert "another file is named so" in told["warmup (1).ipynb"].note
    assert "nobody's" in told["warmup (2).ipynb"].note
    assert [path.parent.name for path in (tmp_path / "class" / "submitted").glob("*/warmup")] == [
        "ada"]
