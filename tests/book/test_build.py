"""The build: what makes it compute anew, what it refuses, and how it says so."""

import re
import shutil
from pathlib import Path

import pytest
from bandwork.classroom import book as building
from bandwork.classroom.book import BookError, build_book, computing_key, faults_in

ROOT = Path(__file__).resolve().parents[2]
COMPUTING_PAGE = """---
file_format: mystnb
kernelspec: {name: python3}
---
# Numbers

```{code-cell} ipython3
from bandwork.handbook import lookup
print("density", lookup("rubber.density").value)
```
"""
DRAWN_PAGE = """# Prose

```{drawn} unit/slack_line
A caption.
```
"""
FAULTS = """
```{drawn} unit/slack_lin
A caption.
```

```{code-cell} ipython3
import matplotlib.pyplot as plt
plt.plot([0, 1]);
```

```{code-cell} ipython3
import warnings
warnings.warn("careful")
```

See {ref}`nowhere`.
"""
FAILING_CELL = """
```{code-cell} ipython3
lookup("ruber.density")
```
"""
FIGURE = """
from matplotlib.pyplot import subplots
ALT = "An empty pair of axes from zero to one, drawn for a test of the build."
def draw():
    return subplots()[0]
"""


def test_a_folder_without_a_book_is_refused_in_a_sentence(tmp_path):
    with pytest.raises(BookError, match=r"There is no book in .*: run this in the folder"):
        build_book(tmp_path)


class TestKeyOfWhatThePagesComputeWith:
    @pytest.fixture
    def course(self, tmp_path, monkeypatch):
        """Return a copy of the library and of what its pages need to find it."""
        shutil.copytree(building.LIBRARY, tmp_path / "book" / "bandwork")
        shutil.copy(ROOT / "requirements.txt", tmp_path)
        monkeypatch.setattr(building, "LIBRARY", tmp_path / "book" / "bandwork")
        return tmp_path

    @pytest.mark.parametrize(
        "edited",
        ["book/bandwork/stretch.py", "book/bandwork/data/handbook.csv", "requirements.txt"],
    )
    def test_changes_with(self, course, edited):
        before = computing_key(course)
        assert computing_key(course) == before
        with (course / edited).open("a", encoding="utf-8") as file:
            file.write("# edited\n")
        assert computing_key(course) != before

    def test_changes_with_an_installed_version(self, course, monkeypatch):
        before = computing_key(course)
        monkeypatch.setattr(building, "version", lambda package: "0")
        assert computing_key(course) != before

    def test_changes_with_the_classroom_only_when_a_page_imports_it(self, course):
        (course / "book" / "stretch").mkdir()
        page = course / "book" / "stretch" / "page.md"
        module = course / "book" / "bandwork" / "classroom" / "book.py"
        for words, changes in (("", False), ("from bandwork.classroom import book", True)):
            page.write_text(words)
            before = computing_key(course)
            module.write_text(module.read_text(encoding="utf-8") + "# edited\n", encoding="utf-8")
            assert (computing_key(course) != before) is changes


@pytest.fixture
def small(tmp_path, monkeypatch):
    """Return a course with the real machinery, a copy of the library and two pages."""
    book = tmp_path / "book"
    for folder in ("_ext", "_style", "bandwork"):
        shutil.copytree(ROOT / "book" / folder, book / folder)
    for file in ("_config.yml", "references.bib"):
        shutil.copy(ROOT / "book" / file, book)
    shutil.copy(ROOT / "requirements.txt", tmp_path)
    (tmp_path / "figures").mkdir()
    for file in ("draw.py", "house.mplstyle"):
        shutil.copy(ROOT / "figures" / file, tmp_path / "figures")
    (book / "_toc.yml").write_text("format: jb-book\nroot: index\nchapters:\n- file: prose\n")
    (book / "index.md").write_text(COMPUTING_PAGE)
    (book / "prose.md").write_text(DRAWN_PAGE)
    (tmp_path / "figures" / "unit").mkdir()
    (tmp_path / "figures" / "unit" / "slack_line.py").write_text(FIGURE)
    monkeypatch.setenv("PYTHONPATH", str(book))
    return tmp_path


def density(page):
    return float(re.search(r"density (\d+\.\d+)", page.read_text(encoding="utf-8"))[1])


@pytest.mark.course
def test_an_edit_is_computed_where_it_matters_and_nowhere_else(small):
    told = []
    page = build_book(small, progress=told.append)
    pages = ["page 1 of 2: index", "page 2 of 2: prose", "writing the pages"]
    assert told == ["figure 1 of 1: unit/slack_line", *pages]
    value = density(page)
    results = small / "book" / "_build" / "results"
    (first,) = results.iterdir()

    (small / "book" / "index.md").write_text(f"{COMPUTING_PAGE}\nOther words.\n")
    figure = small / "figures" / "unit" / "slack_line.py"
    figure.write_text(FIGURE.replace("An empty pair", "A wholly empty pair"))
    told.clear()
    build_book(small, progress=told.append)
    assert told == ["figure 1 of 1: unit/slack_line", *pages]
    assert 'alt="A wholly empty pair' in (page.parent / "prose.html").read_text(encoding="utf-8")
    assert "Other words" in page.read_text(encoding="utf-8")
    assert "Executing" not in (small / "book" / "_build" / "build.log").read_text(encoding="utf-8")

    (page.parent / "no_longer_written.html").write_text("old")
    told.clear()
    build_book(small, progress=told.append)
    assert told == ["no page has changed"]
    assert not (page.parent / "no_longer_written.html").exists()

    handbook = small / "book" / "bandwork" / "data" / "handbook.csv"
    rows = handbook.read_text(encoding="utf-8").splitlines(keepends=True)
    (row,) = (row for row in rows if row.startswith("rubber.density,"))
    columns = row.split(",")
    assert float(columns[3]) == value
    columns[3] = str(value + 1)
    rows[rows.index(row)] = ",".join(columns)
    handbook.write_text("".join(rows), encoding="utf-8", newline="\n")
    assert density(build_book(small, progress=str)) == value + 1
    (second,) = results.iterdir()
    assert second != first


@pytest.mark.course
def test_faults_are_named_and_are_not_forgotten(small):
    page = small / "book" / "index.md"
    page.write_text(COMPUTING_PAGE + FAULTS)
    for _ in range(2):
        with pytest.raises(BookError) as refused:
            build_book(small, progress=str)
        said = str(refused.value)
        assert re.search(r'index.md, line \d+: There is no figure "unit/slack_lin"', said)
        assert "The nearest names are: unit/slack_line." in said
        assert "A picture has no text alternative" in said
        assert "stderr was found" in said
        assert "undefined label: 'nowhere'" in said
        assert len(said.splitlines()) == 6

    page.write_text(COMPUTING_PAGE + FAILING_CELL)
    for strict in (True, False):
        with pytest.raises(BookError) as refused:
            build_book(small, strict, progress=str)
        said = str(refused.value).splitlines()[1].strip()
        cause = "index.md: the code cell that begins with `lookup(\"ruber.density\")` fails."
        assert said.startswith(cause)
        assert "InputError" in said
        assert "rubber.density" in said


def test_a_fault_of_another_kind_shows_the_end_of_the_log(tmp_path):
    log = "\n".join(f"line {number}" for number in range(40))
    assert faults_in(log, tmp_path) == [f"line {number}" for number in range(25, 40)]
