"""The grading engine against submissions that cheat, break and try to escape."""

import contextlib
import dataclasses
import hashlib
import html
import json
import os
import re
import shutil
import socket
import sqlite3
import subprocess
import sys
import threading
import time
from collections import defaultdict
from datetime import datetime
from pathlib import Path

import nbformat
import pytest
from bandwork import InputError
from bandwork.classroom import demo, handback, plugins
from bandwork.classroom.engine import box as boxes
from bandwork.classroom.engine import worker as workers
from bandwork.classroom.engine.box import Box, what_is_missing
from bandwork.classroom.engine.execute import checks_in, execute
from bandwork.classroom.engine.limits import Limits
from bandwork.classroom.engine.plain import MalformedError, pack, unpack
from bandwork.classroom.engine.score import gradebook
from bandwork.classroom.engine.worker import OverError, Worker
from bandwork.classroom.grading import _stamp, grade
from bandwork.classroom.handback import class_table, give_feedback
from bandwork.classroom.items import exercise
from bandwork.classroom.notebooks import course_config, nbgrader_api, open_class, read_source
from bandwork.cli import main
from nbconvert.exporters import HTMLExporter
from nbgrader.server_extensions.formgrader import handlers

from tests.classroom import hostile, killed
from tests.classroom.conftest import ROOT

LIMITS = Limits(cell_seconds=2, notebook_seconds=8, patience=6, memory=900_000_000, processes=40,
                output=300_000, file=20_000_000)
HONEST = ("aaa-first", "mmm-middle", "zzz-last")
UNIT = "warmup"
FULL = sum(item.points for item in exercise(UNIT).items)

boxed = pytest.mark.skipif(bool(what_is_missing()) and "CI" not in os.environ,
                           reason=what_is_missing())


def solved(root, unit=UNIT, **plan):
    return json.loads(nbformat.writes(demo.fill(root, unit, demo.Learner(**plan))))


def hidden_inputs(unit=UNIT):
    return [f"{point:g}" for cell in read_source(ROOT, unit).cells
            if cell.cell_type == "code" and cell.metadata.get("nbgrader", {}).get("grade")
            for _, at in checks_in(cell.source) for point in at or ()]


def held(folder):
    """Return what lies in a folder, with hashes."""
    return {str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in sorted(folder.rglob("*")) if path.is_file() and not path.is_symlink()}


@pytest.fixture(scope="module")
def hostile_class(released, tmp_path_factory):
    """Grade every hostile submission, three honest ones among them."""
    place = tmp_path_factory.mktemp("hostile")
    folder, private = place / "class", place / "private.txt"
    private.write_text("not for learners", encoding="utf-8")
    server = socket.create_server(("127.0.0.1", 0))
    server.settimeout(0.2)
    heard, done = [], threading.Event()

    def listen():
        while not done.is_set():
            with contextlib.suppress(TimeoutError):
                heard.append(server.accept())

    ear = threading.Thread(target=listen)
    ear.start()
    blank = solved(released, name="x", done=0)
    variables = [item.variable for item in exercise(UNIT).items]
    for learner, code in hostile.CODE.items():
        code = code.replace("PRIVATE", str(private)).replace("PORT", str(server.getsockname()[1]))
        made = hostile.of_code(blank, learner, code, variables)
        hostile.write(folder / "submitted" / learner / UNIT, json.dumps(made))
    for learner, change in hostile.NOTEBOOKS.items():
        made = change(solved(released, name=learner, done=0))
        hostile.write(folder / "submitted" / learner / UNIT, json.dumps(made))
    for learner in HONEST:
        hostile.write(folder / "submitted" / learner / UNIT,
                      json.dumps(solved(released, name=learner)))
    hostile.put_beside(folder / "submitted" / HONEST[-1] / UNIT)
    before = held(place), held(released)
    said = []
    result = grade(released, folder, UNIT, progress=said.append, jobs=2, limits=LIMITS)
    done.set()
    ear.join()
    server.close()
    after = held(place), held(released)
    changed = [name for name, was in before[0].items() if after[0].get(name) != was]
    return {"folder": folder, "said": said, "heard": heard, "changed": changed,
            "course": before[1] == after[1], "private": private.read_text("utf-8"),
            "of": {one.learner: one for one in result.results}}


@boxed
@pytest.mark.course
@pytest.mark.parametrize("learner", [*hostile.CODE, *hostile.NOTEBOOKS])
def test_a_trick_gains_nothing_and_is_graded(hostile_class, learner):
    result = hostile_class["of"][learner]
    assert result.problem == ""
    assert [(mark.item, mark.score) for mark in result.marks if mark.score] == []
    assert len(result.marks) == len(exercise(UNIT).items) + sum(mark.by_hand
                                                                for mark in result.marks)
    path = hostile_class["folder"] / "autograded" / learner / UNIT / f"{UNIT}.ipynb"
    assert path.stat().st_size < 2_000_000
    cells = nbformat.read(path, as_version=4).cells
    for cell in cells:
        if cell.cell_type == "code" and cell.metadata.get("nbgrader", {}).get("grade"):
            assert any(output.output_type == "error" for output in cell.outputs), cell.id
    shown = json.dumps([cell.get("outputs", []) for cell in cells])
    assert "found" not in shown
    assert "HIDDEN" not in shown
    for word in ("<script", "onerror", "onload", "javascript"):
        assert word not in shown or "text/html" in shown


@boxed
@pytest.mark.course
@pytest.mark.parametrize("learner", HONEST)
def test_the_others_are_not_touched(hostile_class, learner):
    result = hostile_class["of"][learner]
    assert sum(mark.score for mark in result.marks if not mark.by_hand) == FULL
    assert result.notes == ()


@boxed
@pytest.mark.course
def test_nothing_outside_of_the_box_changed(hostile_class):
    assert hostile_class["changed"] == []
    assert hostile_class["course"]
    assert hostile_class["private"] == "not for learners"
    assert hostile_class["heard"] == []
    assert not os.path.exists(hostile.MARKER)
    for _ in range(50):
        left = [path for path in Path("/proc").glob("[0-9]*/cmdline")
                if b"bandwork.classroom.engine.inside" in _read(path)
                and str(os.getpid()) in _parents(path.parent.name)]
        if not left:
            break
        time.sleep(0.1)
    assert left == []


def _read(path):
    try:
        return path.read_bytes()
    except OSError:
        return b""


def _parents(pid):
    """Return the processes above a process."""
    above = []
    while pid not in ("0", "1", ""):
        text = _read(Path(f"/proc/{pid}/stat")).decode(errors="replace")
        pid = text.rpartition(")")[2].split()[1] if text else ""
        above.append(pid)
    return above


@boxed
@pytest.mark.course
@pytest.mark.parametrize(("learner", "says"), [
    ("loops", "longer than 2 seconds"), ("sleeps", "a cell ran longer than 12 seconds by the"),
    ("loops-all-over", "ran longer than"),
    ("exits", "stopped Python itself"), ("kills-python", "stopped Python itself"),
    ("forged-protocol", "spoke to the grader itself"), ("numbers-changed", ""),
    ("hogs-memory-together", "more memory"), ("hogs-memory-from-a-thread", "more memory"),
    ("checks-deleted", "had been deleted"),
    ("checks-as-text", "had become raw"), ("cells-copied", "was there 2 times"),
    ("cells-reordered", "another order")])
def test_the_report_says_what_happened(hostile_class, learner, says):
    path = hostile_class["folder"] / "autograded" / learner / UNIT / f"{UNIT}.ipynb"
    told = " ".join(hostile_class["of"][learner].notes)
    assert says in told or says in path.read_text(encoding="utf-8")


@boxed
@pytest.mark.course
def test_feedback_holds_no_script_of_a_learners(hostile_class, released):
    api = nbgrader_api(released, hostile_class["folder"])
    assert api.generate_feedback(UNIT, "script", force=True)["success"]
    page = (hostile_class["folder"] / "feedback" / "script" / UNIT / f"{UNIT}.html").read_text(
        encoding="utf-8")
    assert "&lt;script&gt;fetch" in page
    assert "<script>fetch" not in page
    assert "<script>alert" not in page
    assert re.search("<(img|svg)[^>]*(onerror|onload)=", page) is None
    assert "base64,x'" not in page


@boxed
@pytest.mark.course
@pytest.mark.parametrize("page", ["feedback", "marking"])
def test_a_learners_text_is_clean_on_nbgraders_pages(hostile_class, released, page):
    folder, learner = hostile_class["folder"], "script-in-a-text"
    if page == "feedback":
        api = nbgrader_api(released, folder)
        assert api.generate_feedback(UNIT, learner, force=True)["success"]
        text = (folder / "feedback" / learner / UNIT / f"{UNIT}.html").read_text("utf-8")
    else:
        exporter = HTMLExporter(config=course_config(released, folder), template_name="formgrade",
                                extra_template_basedirs=[handlers.template_path])
        text, _ = exporter.from_filename(
            folder / "autograded" / learner / UNIT / f"{UNIT}.ipynb", resources=defaultdict(
                str, nbgrader=defaultdict(str), metadata={}, index=0, total=1))
    text = text[text.index("<body"):]
    assert "8 of 8" in text
    for word in ("<script>fetch", "<iframe", "<style>*", 'href="javascript', "<svg onload",
                 "position:fixed", "navbar-fixed-top'", '<b class="'):
        assert word not in text, word
    assert re.search('<img[^>]*(onerror|src="(?!data:))', text) is None


@boxed
@pytest.mark.course
def test_one_page_that_cannot_be_made_costs_nobody_else_theirs(released, tmp_path, monkeypatch):
    for learner in ("ada", "bo", "cleo"):
        hostile.write(tmp_path / "submitted" / learner / UNIT,
                      json.dumps(solved(released, name=learner)))
    grade(released, tmp_path, UNIT, progress=lambda line: None, jobs=1)
    really = plugins.FormulaToMathML.preprocess

    def stuck(self, made, resources):
        if made.metadata.bandwork.learner == "bo":
            time.sleep(60)
        return really(self, made, resources)

    monkeypatch.setattr(plugins.FormulaToMathML, "preprocess", stuck)
    monkeypatch.setattr(handback, "SECONDS_A_PAGE", 10)
    with pytest.raises(InputError, match="made for bo; all the others"):
        give_feedback(released, tmp_path, UNIT, progress=lambda line: None)
    pages = [path.read_text("utf-8") for path in sorted(tmp_path.glob("feedback/*/*/*.html"))]
    assert len(pages) == 2
    assert all("Content-Security-Policy" in page[:500] for page in pages)


def test_a_formula_takes_no_longer_than_a_page_may(monkeypatch):
    cell = nbformat.v4.new_markdown_cell("$x^2$ and $" + "y" * 400_000 + "$")
    began = time.monotonic()
    made, _ = plugins.FormulaToMathML().preprocess_cell(cell, {}, 0)
    assert time.monotonic() - began < 5
    assert made.source.startswith("<math")
    assert made.source.endswith("y" * 400_000 + "$")

    def rings(*_, **__):
        raise TimeoutError

    monkeypatch.setattr(plugins, "tex2mathml", rings)
    with pytest.raises(TimeoutError):
        plugins.FormulaToMathML().preprocess_cell(nbformat.v4.new_markdown_cell("$x$"), {}, 0)


@boxed
def test_a_time_that_was_taken_back_counts_no_more(released, tmp_path):
    place = tmp_path / "submitted" / "bo" / UNIT
    hostile.write(place, json.dumps(solved(released, name="bo")))
    late = {}
    for stamp in ("2026-11-22 20:00:00 UTC", "yesterday", "2026-11-22 20:00:00 UTC", ""):
        (place / "timestamp.txt").write_text(stamp, encoding="utf-8")
        one, = grade(released, tmp_path, UNIT, due=datetime(2026, 11, 20, 20), jobs=1,
                     progress=lambda line: None).results
        late[stamp] = one.hours_late
    assert late == {"2026-11-22 20:00:00 UTC": 48.0, "yesterday": 0.0, "": 0.0}


@boxed
@pytest.mark.course
def test_a_slip_that_was_not_made_is_not_counted(hostile_class):
    marks = hostile_class["of"]["a-slip-that-was-not-made"].marks
    assert [mark.slip for mark in marks] == [""] * len(marks)
    assert any("was not halved" in mark.message for mark in marks)


@boxed
@pytest.mark.skipif(shutil.which("unshare") is None, reason="the program unshare is not here")
def test_an_ordinary_users_box_keeps_nothing_either(tmp_path):
    """Whoever is no superuser owns the box's folders, and learners' code runs as the same user."""
    code = f"""
import nbformat
from bandwork.classroom.engine.box import Box
from bandwork.classroom.engine.execute import execute
from bandwork.classroom.engine.limits import Limits
with Box(Limits()) as box:
    for source in {hostile.CODE["plants"], hostile.CODE["plants-later"]!r}:
        about = {{"bandwork": {{"unit": "{UNIT}", "learner": "x"}}}}
        made = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(source)], metadata=about)
        print(execute(nbformat.writes(made).encode(), Limits(), box).decode())
"""
    as_user = [] if os.getuid() else ["unshare", "--user", "--map-user=1000", "--map-group=1000"]
    ran = subprocess.run([*as_user, sys.executable, "-c", code], capture_output=True, text=True,
                         check=False, cwd=ROOT)
    assert ran.returncode == 0, ran.stderr[-2000:]
    assert ran.stdout.count('"outputs": []') == 2, ran.stdout[-2000:]


@boxed
@pytest.mark.course
def test_hidden_inputs_are_not_told(released, tmp_path):
    """A function that is right where it may be tried, and shouts whatever else it is given."""
    shout = """
def recipe_cm(barrel_cm):
    import sys
    print("asked", barrel_cm)
    open("/tmp/asked", "a").write(f"{barrel_cm}\\n")
    told.append(barrel_cm)
    right = barrel_cm / 2 + my.recipe_cm
    if barrel_cm not in seen:
        raise ValueError(f"asked {barrel_cm}")
    return right
told, seen = [], [VISIBLE]
"""
    numbers = exercise(UNIT).numbers("spy")
    seen = [float(one) for one in exercise(UNIT).item("recipe").inputs(numbers)]
    names = {f"spy-{way}": way for way in ("raises", "class", "text", "slow")}
    for learner, way in names.items():
        code = shout.replace("VISIBLE", ", ".join(map(str, seen)))
        if way == "class":
            code = code.replace('raise ValueError(f"asked {barrel_cm}")',
                                'return type(f"asked_{int(barrel_cm)}", (), {})()')
        if way == "text":
            code = code.replace('raise ValueError(f"asked {barrel_cm}")',
                                'return f"asked {barrel_cm}"')
        if way == "slow":
            code = code.replace('raise ValueError(f"asked {barrel_cm}")', "while True: pass")
        made = solved(released, name="spy", other={"recipe": code})
        made["cells"].append({"cell_type": "code", "id": "last", "metadata": {}, "outputs": [],
                              "execution_count": None, "source": "import os\nprint(told, "
                              "os.path.exists('/tmp/asked') and open('/tmp/asked').read())"})
        hostile.write(tmp_path / "submitted" / learner / UNIT, json.dumps(made))
    result = grade(released, tmp_path, UNIT, progress=lambda line: None, limits=LIMITS, jobs=1)
    for one in result.results:
        marks = {mark.item: mark for mark in one.marks}
        assert marks["recipe"].score == 0, one.learner
        page = (tmp_path / "autograded" / one.learner / UNIT / f"{UNIT}.ipynb").read_text("utf-8")
        cells = json.loads(page)["cells"]
        outputs = json.dumps([cell.get("outputs") for cell in cells])
        for point in hidden_inputs():
            assert f"asked {point}" not in outputs
            assert f"asked_{point}" not in outputs
            assert f"{point}.0" not in outputs


@boxed
def test_whoever_asks_the_library_for_answers_is_noted(released, tmp_path):
    for learner, code in {"asks": "relaxed_cm = work._exercise.right('half_and_more', work.my)",
                          "looks": "axes.spines['right']"}.items():
        made = solved(released, name=learner)
        made["cells"].append({"cell_type": "code", "id": "more", "metadata": {}, "outputs": [],
                              "execution_count": None, "source": code})
        hostile.write(tmp_path / "submitted" / learner / UNIT, json.dumps(made))
    result = grade(released, tmp_path, UNIT, progress=lambda line: None, jobs=1)
    asks, looks = result.results
    assert asks.notes == ("Its code names where the library keeps the answers ('._exercise'); ask "
                          "the learner to explain one item.",)
    assert looks.notes == ()


@boxed
def test_what_is_refused_has_a_row_of_zeros(released, tmp_path, monkeypatch):
    from nbgrader.api import Gradebook

    good = json.dumps(solved(released, name="good"))
    hostile.write(tmp_path / "submitted" / "good" / UNIT, good)
    other = (ROOT / "exercises" / "stretch" / "stretch.ipynb").read_text("utf-8")
    for learner, text in {"empty": "", "not-json": "%PDF-1.7", "another": other,
                          "huge": good + " " * 6_000_000, "version-9": '{"nbformat": 9}',
                          "deep": "[" * 300_000, "Ada": good, "ada": good,
                          "two words": good, "...": good, "two\nlines": good,
                          "\u202egpj": good, "blank\u00a0": good}.items():
        hostile.write(tmp_path / "submitted" / learner / UNIT, text)
    outside = tmp_path / "outside" / UNIT
    hostile.write(outside, good)
    for learner, link in (("linked", os.symlink), ("hard-linked", os.link)):
        (tmp_path / "submitted" / learner / UNIT).mkdir(parents=True)
        link(outside / f"{UNIT}.ipynb",
             tmp_path / "submitted" / learner / UNIT / f"{UNIT}.ipynb")
    (tmp_path / "submitted" / "folder-linked").symlink_to(outside.parent)
    hostile.write(tmp_path / "submitted" / "unreadable" / UNIT, good)
    really = os.open
    monkeypatch.setattr(os, "open", lambda path, *given, **named: (_ for _ in ()).throw(
        PermissionError(13, "Permission denied")) if "unreadable" in str(path)
        else really(path, *given, **named))
    os.mkfifo(tmp_path / "fifo")
    (tmp_path / "submitted" / "pipe" / UNIT).mkdir(parents=True)
    shutil.move(tmp_path / "fifo", tmp_path / "submitted" / "pipe" / UNIT / f"{UNIT}.ipynb")
    result = grade(released, tmp_path, UNIT, progress=lambda line: None, limits=LIMITS, jobs=1)
    told = {one.learner: one.problem for one in result.results}
    assert told.pop("good") == ""
    for learner, says in {"empty": "damaged", "not-json": "damaged", "another": "another notebook",
                          "huge": "MB", "version-9": "damaged", "deep": "damaged",
                          "Ada": "Several folders", "ada": "Several folders",
                          "two words": "no id", "...": "no id", "two?lines": "no id",
                          "?gpj": "no id", "blank?": "no id", "unreadable": "can't be read",
                          "linked": "link", "hard-linked": "link", "folder-linked": "link",
                          "pipe": "no file"}.items():
        assert says in told.pop(learner), learner
    assert told == {}
    with Gradebook(f"sqlite:///{(tmp_path / 'gradebook.db').as_posix()}", "bandwork") as book:
        rows = {one.student.id: one for one in book.find_assignment(UNIT).submissions}
        assert len(rows) == len(result.results)
        assert all(one.score == 0 and not one.needs_manual_grade
                   for name, one in rows.items() if name != "good")


@boxed
def test_a_second_run_runs_only_what_changed(released, tmp_path, monkeypatch):
    ran = []
    really = Worker.run
    monkeypatch.setattr(Worker, "run", lambda self, notebook: ran.append(
        json.loads(notebook)["metadata"]["bandwork"]["learner"]) or really(self, notebook))
    for learner in ("bo", "cleo"):
        hostile.write(tmp_path / "submitted" / learner / UNIT,
                      json.dumps(solved(released, name=learner, done=2)))
    first = grade(released, tmp_path, UNIT, progress=lambda line: None, jobs=1)
    assert sorted(ran) == ["bo", "cleo"]
    ran.clear()
    assert grade(released, tmp_path, UNIT, progress=lambda line: None, jobs=1) == first
    assert ran == []
    hostile.write(tmp_path / "submitted" / "bo" / UNIT, json.dumps(solved(released, name="bo")))
    again = grade(released, tmp_path, UNIT, progress=lambda line: None, jobs=1)
    assert ran == ["bo"]
    assert again.results[1] == first.results[1]
    assert again.results[0].score > first.results[0].score


@pytest.fixture(scope="module")
def graded(tmp_path_factory):
    """Return a class that was graded."""
    folder = tmp_path_factory.mktemp("graded") / "class"
    killed.hand_in(folder)
    grade(ROOT, folder, UNIT, progress=lambda line: None, jobs=1, trust=True)
    return folder


def commands(folder):
    return [["grade", UNIT, str(folder), "--trust-submissions"],
            ["feedback", UNIT, str(folder)], ["table", str(folder)]]


def refused(told):
    """Return a refusal that is one sentence, or what it is instead."""
    ok = told.startswith("bandwork: ") and told.count("\n") == 1 and len(told) < 500
    return told if ok else f"no sentence: {told}"


@pytest.mark.parametrize(("how", "says"), [("locked", "locked"), ("damaged", "is damaged: ")])
def test_a_gradebook_that_is_locked_or_damaged_is_said(graded, tmp_path, monkeypatch, capsys, how,
                                                       says):
    monkeypatch.chdir(ROOT)
    folder = tmp_path / "class"
    shutil.copytree(graded, folder)
    book = folder / "gradebook.db"
    before = killed.everything(graded)
    with contextlib.closing(sqlite3.connect(book)) as other:
        if how == "locked":
            other.execute("BEGIN EXCLUSIVE")
        else:
            book.write_bytes(b"not a database " * 1000)
        for words in commands(folder):
            assert main(words) == 1
            assert says in refused(capsys.readouterr().err)
    if how == "damaged":
        book.rename(tmp_path / "away.db")
    assert main(commands(folder)[0]) == 0
    assert killed.everything(folder)[:2] == before[:2]


@pytest.mark.parametrize("kind", ["folder", "pipe", "huge", "binary", "link", "date",
                                  "hour"])
def test_a_time_that_cannot_be_read_is_noted(tmp_path, kind):
    path = tmp_path / "timestamp.txt"
    {"folder": path.mkdir, "pipe": lambda: os.mkfifo(path),
     "huge": lambda: path.write_bytes(b"1" * 1_000_000), "link": lambda: path.symlink_to("gone"),
     "binary": lambda: path.write_bytes(bytes(range(256))),
     "date": lambda: path.write_text("99999-99-99", "utf-8"),
     "hour": lambda: path.write_text("12", "utf-8")}[kind]()
    stamp, notes = _stamp(path)
    assert stamp is None
    assert "counts as in time" in notes[0]


def test_feedback_names_items_and_the_table_everybody(graded, tmp_path):
    folder = tmp_path / "class"
    shutil.copytree(graded, folder)
    pages = give_feedback(ROOT, folder, UNIT, progress=lambda line: None)
    assert len(pages) == 2
    for page in pages:
        text = page.read_text("utf-8")
        assert "Test cell" not in text
        assert "Grade cell" not in text
        for item in exercise(UNIT).items:
            assert f'<a href="#check_{item.key}">{html.escape(item.title)}</a>' in text
    (folder / "class.toml").write_text('learners = ["Bo", "cleo", "eli"]', encoding="utf-8")
    result = grade(ROOT, folder, UNIT, progress=lambda line: None, trust=True)
    assert result.missing == ("eli",)
    assert [one.learner for one in result.results
            if any("not in the list" in note for note in one.notes)] == ["damaged"]
    hostile.write(folder / "submitted" / "two words" / UNIT, "{")
    grade(ROOT, folder, UNIT, progress=lambda line: None, trust=True)
    table = class_table(ROOT, folder).splitlines()[1:]
    assert [row.split(",")[0] for row in table] == ["bo", "cleo", "damaged", "eli", "two words"]
    assert table[3].split(",")[2] == "0"


@boxed
def test_a_class_that_may_not_be_written_is_said(graded, tmp_path):
    folder = tmp_path / "class"
    shutil.copytree(graded, folder)
    box = tmp_path / "box"
    box.mkdir()
    shutil.copy(folder / "submitted" / "bo" / UNIT / f"{UNIT}.ipynb", box / "bo.ipynb")
    wanted = [*commands(folder), ["release", "stretch", str(folder)],
              ["collect", UNIT, str(folder), str(box)]]
    code = ("import json, sys\nfrom tests.classroom.disturbed import say\n"
            "print(json.dumps([say(*words) for words in json.loads(sys.argv[1])]))")
    done = subprocess.run(["bwrap", "--dev-bind", "/", "/", "--ro-bind", folder, folder,
                           sys.executable, "-c", code, json.dumps(wanted)],
                          cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    for (status, told), words in zip(json.loads(done.stdout), wanted, strict=True):
        assert status == 1, words
        assert re.search("[Rr]ead-?only|readonly", refused(told)), words


@boxed
@pytest.mark.long
def test_a_full_disk_is_said_and_loses_nothing():
    """Two small disks, one for the class and one for temporary files, really filled."""
    small = "/tmp/small"
    done = subprocess.run(
        ["bwrap", "--die-with-parent", "--dev-bind", "/", "/", "--size", "4000000", "--perms",
         "1777", "--tmpfs", "/tmp", "--size", "24000000", "--perms", "0755", "--tmpfs", small,
         "--dev-bind", ROOT, ROOT, sys.executable, "-m", "tests.classroom.disturbed", small],
        cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    found = json.loads(done.stdout)
    assert found["same"]
    for command, when, code, said in found["told"]:
        if when == "full":
            assert (command, code) == (command, 1)
            assert re.search("No space left|disk is full", refused(said)), command
        else:
            assert (command, when, code, said) == (command, when, 0, "")


def test_who_was_cut_short_is_run_again_when_asked(graded, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    folder = tmp_path / "class"
    shutil.copytree(graded, folder)
    shutil.rmtree(folder / "executed")
    really = Worker.run
    ran = []

    def run(self, notebook):
        learner = json.loads(notebook)["metadata"]["bandwork"]["learner"]
        ran.append(learner)
        return (workers.nothing_ran(notebook, "the machine was busy")
                if learner == "cleo" and ran.count(learner) == 1 else really(self, notebook))

    monkeypatch.setattr(Worker, "run", run)
    words = commands(folder)[0]
    assert main(words) == 0
    report = (folder / "report" / f"{UNIT}.html").read_text("utf-8")
    assert "machine was busy" in report
    assert "--again cleo" in report
    assert main(words) == 0
    assert sorted(ran) == ["bo", "cleo"]
    assert main([*words, "--again", "clio"]) == 1
    assert "nearest: cleo" in refused(capsys.readouterr().err)
    assert main([*words, "--again"]) == 0
    assert ran[2:] == ["cleo"]
    assert main([*words, "--again"]) == 0
    assert ran[2:] == ["cleo"]
    assert main([*words, "--again", "bo"]) == 0
    assert ran[3:] == ["bo"]
    assert killed.everything(folder)[:2] == killed.everything(graded)[:2]
    assert "--again" not in (folder / "report" / f"{UNIT}.html").read_text("utf-8")


def test_one_learners_rows_are_found_without_a_search_through_all(released, tmp_path):
    open_class(released, tmp_path, UNIT)
    with gradebook(course_config(released, tmp_path).CourseDirectory.db_url):
        pass
    with contextlib.closing(sqlite3.connect(tmp_path / "gradebook.db")) as book:
        for table, column in (("grade", "notebook_id"), ("comment", "notebook_id"),
                              ("submitted_notebook", "assignment_id")):
            told = book.execute(f"EXPLAIN QUERY PLAN SELECT * FROM {table} WHERE {column} = ''")
            assert [row[3] for row in told] == [
                f"SEARCH {table} USING INDEX bandwork_{table} ({column}=?)"]


def test_without_a_box_nothing_is_run(monkeypatch, released, tmp_path):
    hostile.write(tmp_path / "submitted" / "bo" / UNIT,
                  json.dumps(solved(released, name="bo", done=1)))
    monkeypatch.setattr(boxes.shutil, "which", lambda name: None)
    with pytest.raises(InputError, match=r"nothing was run.*bubblewrap.*--trust-sub"):
        grade(released, tmp_path, UNIT)
    assert not (tmp_path / "executed").exists()
    monkeypatch.setattr(boxes.sys, "platform", "win32")
    with pytest.raises(InputError, match="Only Linux"):
        Box(Limits())


def test_a_trusted_class_is_graded_without_a_box(released, tmp_path):
    hostile.write(tmp_path / "submitted" / "bo" / UNIT, json.dumps(solved(released, name="bo")))
    result = grade(released, tmp_path, UNIT, progress=lambda line: None, trust=True,
                   jobs=1)
    assert sum(mark.score for mark in result.results[0].marks if not mark.by_hand) == FULL


def run(first="", limits=LIMITS):
    """Run the solution, unboxed, with a cell before it; return notebook and checks' outputs."""
    made = read_source(ROOT, UNIT)
    made.cells.insert(0, nbformat.v4.new_code_cell(first))
    with Box(limits, trust=True) as one:
        made = nbformat.reads(execute(given(made), limits, one).decode(), 4)
    return made, {cell.metadata.nbgrader.grade_id.removeprefix("check_"): cell.outputs
                  for cell in made.cells if cell.id.startswith("check-")}


def given(made):
    made.metadata["bandwork"] = {"unit": UNIT, "learner": "guest"}
    return nbformat.writes(made).encode()


def test_where_processes_cannot_fork_a_trusted_notebook_runs_too(monkeypatch):
    monkeypatch.delattr(boxes.os, "fork")
    _, checks = run()
    assert len(checks) == len(exercise(UNIT).items)
    assert all(outputs[0].text.startswith("✓") and len(outputs) < 3
               for outputs in checks.values())


def test_a_worker_that_ends_is_tried_again_and_one_that_is_ended_keeps_nothing(monkeypatch):
    made = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("1")],
                                    metadata={"bandwork": {"unit": UNIT, "learner": "bo"}})
    asked = []
    monkeypatch.setattr(Worker, "_ask", lambda self, notebook: asked.append(notebook))
    one = Worker(LIMITS)
    ran = nbformat.reads(one.run(nbformat.writes(made).encode()).decode(), 4)
    assert len(asked) == 2
    assert ran.cells[0].outputs[0].output_type == "error"
    assert "could not be judged" in ran.metadata.bandwork.cut_short
    one.end()
    with pytest.raises(OverError):
        one.run(b"")


@pytest.mark.parametrize("hang", ["computes", "waits"])
def test_a_verdict_that_takes_too_long_costs_its_item_alone(monkeypatch, hang):
    from bandwork.classroom.checks import Exercise
    from bandwork.classroom.engine import execute as engine

    monkeypatch.setattr(engine, "SECONDS_A_VERDICT", 0.3)
    monkeypatch.setattr(engine, "MOST_SECONDS_OF_VALUES", 1)
    really, (first, *others) = Exercise.judge, exercise(UNIT).items

    def judge(self, key, *given):
        while key == first.key:
            time.sleep(0 if hang == "computes" else 10)
        return really(self, key, *given)

    monkeypatch.setattr(Exercise, "judge", judge)
    began = time.monotonic()
    _, checks = run()
    assert time.monotonic() - began < 90
    assert "right takes too long" in checks.pop(first.key)[0].evalue
    assert len(checks) == len(others)
    assert all(outputs[0].text.startswith("✓") for outputs in checks.values())


def test_a_verdict_that_does_not_listen_costs_the_process_and_no_more(monkeypatch, tmp_path):
    """A judge that hangs in one long computation of Python's, which no alarm interrupts."""
    hung = tmp_path / "python"
    hung.write_text(f"""#!{sys.executable}
import itertools
from bandwork.classroom.checks import Exercise
from bandwork.classroom.engine import execute, worker
execute.SECONDS_A_VERDICT = 0.3
Exercise.judge = lambda *_: 0 in itertools.repeat(1)
worker.main()
""", encoding="utf-8")
    hung.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(hung))
    monkeypatch.setattr(workers, "TRIES", 1)
    began = time.monotonic()
    with Worker(LIMITS, trust=True) as one:
        ran = nbformat.reads(one.run(given(read_source(ROOT, UNIT))).decode(), 4)
    assert time.monotonic() - began < 120
    assert "could not be judged" in ran.metadata.bandwork.cut_short


def test_a_cell_that_waits_long_runs_on_and_is_noted():
    ran, checks = run("import time; time.sleep(60)",
                      dataclasses.replace(LIMITS, cell_seconds=1, patience=6))
    assert ran.cells[0].outputs[0].evalue == "the cell ran longer than 6 seconds by the clock"
    assert ran.metadata.bandwork.cut_short == "a cell ran longer than 6 seconds by the clock"
    assert all(outputs[0].text.startswith("✓") for outputs in checks.values())


def test_computing_is_counted_from_outside():
    code = "import signal; signal.signal(signal.SIGPROF, signal.SIG_IGN)\nwhile True: pass"
    ran, _ = run(code, dataclasses.replace(LIMITS, cell_seconds=0.5, notebook_seconds=2,
                                           patience=100))
    assert ran.metadata.bandwork.cut_short == "it ran longer than 2 seconds"


def test_a_class_among_pythons_own_files_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(boxes, "_places", lambda: [tmp_path])
    with pytest.raises(InputError, match="learners' code can read"):
        boxes.refuse_to_show(tmp_path / "class")


@pytest.mark.parametrize("answer", [
    None, ..., True, 3, 2.5, "text", [1, 2.5], (1, "A"), {"A"}, float("inf")])
def test_plain_answers_cross_as_they_are(answer):
    assert unpack(json.loads(json.dumps(pack(answer, []))), None) == answer


@pytest.mark.parametrize("data", [
    None, [], 3, ["number", "3"], ["number", True], ["list", 3], ["array", [2], [1.0]],
    ["array", [-1, -1], [1.0]], ["text", 3], ["plot", "x", "y", [[[1, 2, 3]]]], ["no such"],
    ["list", [["list", [["list", [["list", [["list", [["list", []]]]]]]]]]]],
    ["set", [["list", []]]],
    ["function", "0"], ["whole", 1, 2], {"number": 1}])
def test_malformed_data_is_refused(data):
    with pytest.raises(MalformedError):
        unpack(data, lambda place: len)


@pytest.mark.parametrize("source", [
    "", "print(1)", "work.check('a'); print(1)", "x = work.check('a')", "work.check(a)",
    "work.check('a', at=open('x'))", "work.check('a', 3)", "other.check('a')", "work.check("])
def test_a_graded_cell_holds_checks_alone(source):
    assert checks_in(source) is None


def test_limits_are_part_of_what_a_run_is_kept_under(tmp_path):
    from bandwork.classroom.engine.store import Store

    store = Store(tmp_path, UNIT)
    keys = {store.key(notebook, limits, trust=trust) for notebook in (b"1", b"2")
            for limits in (Limits(), dataclasses.replace(Limits(), cell_seconds=1.0))
            for trust in (True, False)}
    assert len(keys) == 8


@boxed
@pytest.mark.course
@pytest.mark.parametrize("kills", [3, pytest.param(200, marks=pytest.mark.long)])
def test_a_killed_grader_goes_on_where_it_was(tmp_path, kills):
    """Kill -9 at random moments; all ends like that of an undisturbed run (`killed` compares)."""
    ran = subprocess.run([sys.executable, "-m", "tests.classroom.killed", str(kills)],
                         capture_output=True, text=True, cwd=ROOT, check=False,
                         env={**os.environ, "OF_A_TEST": str(tmp_path)})
    assert ran.returncode == 0, ran.stderr[-2000:]
    told = json.loads(ran.stdout.splitlines()[-1])
    print(told)
    assert sum(told["hits"].values()) >= told["kills"] == kills
    assert kills < 200 or set(told["hits"]) >= set(killed.STAGES)
    assert told["compared"] >= kills // 8
    time.sleep(1)
    assert [path for path in Path("/proc").glob("[0-9]*/environ")
            if b"OF_A_TEST=" + str(tmp_path).encode() in _read(path)] == []


def test_an_environment_in_the_folder_that_the_box_hides_is_named(monkeypatch):
    monkeypatch.setattr(boxes, "_places", lambda: [Path("/tmp/course/.venv")])
    monkeypatch.setattr(boxes.shutil, "which", lambda name: "/usr/bin/bwrap")
    assert "hides all of /tmp" in what_is_missing()
