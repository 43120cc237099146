"""Which files a page's code computes with: all that it loads, and no more than it names."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import jupytext
import pytest
from bandwork.classroom import computed
from bandwork.classroom.computed import computing_files, computing_key

ROOT = Path(__file__).resolve().parents[2]
LIBRARY = ROOT / "book" / "bandwork"
HANDBOOK = {"__init__.py", "handbook.py", "interval.py", "validation.py", "data/handbook.csv",
            "data/treloar1944_uniaxial.csv"}


def named(code, root=ROOT):
    return {path.relative_to(computed.LIBRARY).as_posix() for path in computing_files(code, root)
            if path.is_relative_to(computed.LIBRARY)}


@pytest.mark.parametrize(
    "code",
    ["from bandwork.handbook import lookup", "import bandwork.handbook",
     "from bandwork import handbook", "def late():\n    import bandwork.handbook as rows"],
)
def test_an_import_is_found_however_it_is_written(code):
    assert named(code) == HANDBOOK


@pytest.mark.parametrize("code", ["", "import numpy", "print('handbook')", "not Python ("])
def test_nothing_is_found_where_nothing_is_imported(code):
    assert named(code) == set()


def test_a_figure_depends_on_what_it_shares_with_others():
    code = (ROOT / "figures" / "stretch" / "guns.py").read_text(encoding="utf-8")
    assert ROOT / "figures" / "stretch" / "_example.py" in computing_files(code, ROOT)


LOADED = """
import importlib, json, sys
found = {}
for name in sys.argv[1:]:
    for module in [one for one in sys.modules if one.partition(".")[0] == "bandwork"]:
        del sys.modules[module]
    importlib.import_module(name)
    if name == "bandwork.classroom.items":
        [sys.modules[name].exercise(unit) for unit in sys.modules[name].UNITS]
    found[name] = [module.__file__ for key, module in sys.modules.items()
                   if key.partition(".")[0] == "bandwork"]
print(json.dumps(found))
"""


def test_no_module_loads_another_that_is_not_found():
    modules = [
        ".".join(path.relative_to(LIBRARY.parent).with_suffix("").parts).removesuffix(".__init__")
        for path in sorted(LIBRARY.rglob("*.py"))
    ]
    run = subprocess.run(
        [sys.executable, "-c", LOADED, *modules], capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": str(LIBRARY.parent)},
    )
    loaded = json.loads(run.stdout)
    assert len(loaded) > 20
    for module, files in loaded.items():
        missed = {Path(file) for file in files} - set(computing_files(f"import {module}", ROOT))
        assert not missed, module


def test_each_data_file_is_found_by_the_module_that_reads_it():
    code = "\n".join(
        f"import bandwork.{'.'.join(path.relative_to(LIBRARY).with_suffix('').parts)}"
        for path in LIBRARY.rglob("*.py")
    )
    data = {path.relative_to(LIBRARY).as_posix() for path in LIBRARY.glob("data/*")}
    assert data
    assert data <= named(code)


@pytest.fixture(scope="module")
def depends():
    """Return the files of the library that each page computes with."""
    found = {}
    for path in (ROOT / "book").rglob("*.md"):
        page = path.relative_to(ROOT / "book").with_suffix("").as_posix()
        if not page.startswith("_build"):
            cells = jupytext.read(path, fmt="md:myst").cells
            found[page] = set().union(
                *(named(cell.source) for cell in cells if cell.cell_type == "code"))
    return found


class TestPages:
    def test_only_the_matrix_computes_with_the_classroom(self, depends):
        found = {page for page, files in depends.items()
                 if any(name.startswith("classroom/") for name in files)}
        assert found == {"instructor/matrix"}

    def test_an_edit_of_flight_leaves_stretch_alone(self, depends):
        pages = {page for page, files in depends.items() if "flight.py" in files}
        assert {"flight/drag", "flight/drop", "setup/whole", "case/index"} <= pages
        assert not any(page.startswith("stretch/") and page != "stretch/conditions"
                       for page in pages)

    def test_no_page_computes_with_the_command(self, depends):
        assert not any("cli.py" in files for files in depends.values())

    def test_every_computing_page_computes_with_the_handbook(self, depends):
        pages = [files for files in depends.values() if files]
        assert len(pages) > 30
        assert all("data/handbook.csv" in files for files in pages)


class TestKey:
    @pytest.fixture
    def course(self, tmp_path, monkeypatch):
        """Return a copy of the library and of what is installed."""
        shutil.copytree(LIBRARY, tmp_path / "book" / "bandwork")
        shutil.copy(ROOT / "requirements.txt", tmp_path)
        monkeypatch.setattr(computed, "LIBRARY", tmp_path / "book" / "bandwork")
        return tmp_path

    @pytest.mark.parametrize(
        ("edited", "changes"),
        [
            ("book/bandwork/stretch.py", True),
            ("book/bandwork/rubber.py", True),
            ("book/bandwork/data/handbook.csv", True),
            ("requirements.txt", True),
            ("book/bandwork/flight.py", False),
            ("book/bandwork/classroom/checks.py", False),
            ("book/bandwork/data/report.html.j2", False),
        ],
    )
    def test_changes_with_what_is_imported_alone(self, course, edited, changes):
        files = computing_files("from bandwork.stretch import notch_load", course)
        before = computing_key(files, course)
        assert computing_key(files, course) == before
        with (course / edited).open("a", encoding="utf-8") as file:
            file.write("numpy>=2.1\n")
        assert (computing_key(files, course) != before) is changes

    def test_changes_with_an_installed_version(self, course, monkeypatch):
        before = computing_key([], course)
        computed._installed.cache_clear()
        monkeypatch.setattr(computed, "version", lambda package: "0")
        assert computing_key([], course) != before
        computed._installed.cache_clear()

    def test_changes_when_a_file_has_gone(self, course):
        files = computing_files("import bandwork.units", course)
        before = computing_key(files, course)
        (course / "book" / "bandwork" / "units.py").unlink()
        assert computing_key(files, course) != before
