"""The build: what makes it compute anew, what it refuses, and how it says so."""

import re
import shutil
from pathlib import Path

import pytest
from bandwork.classroom.book import BookError, build_book, faults_in

ROOT = Path(__file__).resolve().parents[2]
COMPUTING_PAGE = """---
file_format: mystnb
kernelspec: {name: python3, display_name: Python 3}
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
FLYING_PAGE = """---
file_format: mystnb
kernelspec: {name: python3, display_name: Python 3}
---
# Flight

```{code-cell} ipython3
from bandwork.flight import fly
print("here is", fly.__name__)
```
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


@pytest.fixture
def small(tmp_path, monkeypatch):
    """Return a course with the real machinery, a copy of the library and three pages."""
    book = tmp_path / "book"
    for folder in ("_ext", "_style", "bandwork"):
        shutil.copytree(ROOT / "book" / folder, book / folder)
    for file in ("_config.yml", "references.bib"):
        shutil.copy(ROOT / "book" / file, book)
    shutil.copy(ROOT / "requirements.txt", tmp_path)
    (tmp_path / "figures").mkdir()
    shutil.copy(ROOT / "figures" / "draw.py", tmp_path / "figures")
    pages = "\n".join(["root: index", "chapters:", "- file: flying", "- file: prose"])
    (book / "_toc.yml").write_text(f"format: jb-book\n{pages}\n")
    (book / "index.md").write_text(COMPUTING_PAGE)
    (book / "flying.md").write_text(FLYING_PAGE)
    (book / "prose.md").write_text(DRAWN_PAGE)
    (tmp_path / "figures" / "unit").mkdir()
    (tmp_path / "figures" / "unit" / "slack_line.py").write_text(FIGURE)
    monkeypatch.setenv("PYTHONPATH", str(book))
    return tmp_path


def density(page):
    return float(re.search(r"density (\d+\.\d+)", page.read_text(encoding="utf-8"))[1])


def edit(module):
    with module.open("a", encoding="utf-8") as file:
        file.write("# edited\n")


@pytest.mark.course
def test_an_edit_is_computed_where_it_matters_and_nowhere_else(small):
    told, book = [], small / "book"

    def build():
        told.clear()
        return build_book(small, progress=told.append)

    page = build()
    figure, ran, read = told[0], told[1:3], told[3:]
    assert figure == "figure 1 of 1: unit/slack_line"
    assert {line.split(": ")[1] for line in ran} == {"index", "flying"}
    assert [line.split(": ")[0] for line in ran] == ["code 1 of 2", "code 2 of 2"]
    assert read == ["page 1 of 3: flying", "page 2 of 3: index", "page 3 of 3: prose",
                    "writing the pages"]
    value = density(page)

    (book / "index.md").write_text(f"{COMPUTING_PAGE}\nOther words.\n")
    drawing = small / "figures" / "unit" / "slack_line.py"
    drawing.write_text(FIGURE.replace("An empty pair", "A wholly empty pair"))
    build()
    assert told == [figure, "page 1 of 2: index", "page 2 of 2: prose", "writing the pages"]
    assert 'alt="A wholly empty pair' in (page.parent / "prose.html").read_text(encoding="utf-8")
    assert "Other words" in page.read_text(encoding="utf-8")

    (page.parent / "no_longer_written.html").write_text("old")
    for edited in ("line.py", "cli.py", "classroom/checks.py"):
        edit(book / "bandwork" / edited)
    build()
    assert told == ["no page has changed"]
    assert not (page.parent / "no_longer_written.html").exists()

    edit(book / "bandwork" / "flight.py")
    build()
    assert told == ["code 1 of 1: flying", "page 1 of 1: flying", "writing the pages"]

    handbook = book / "bandwork" / "data" / "handbook.csv"
    rows = handbook.read_text(encoding="utf-8").splitlines(keepends=True)
    (row,) = (row for row in rows if row.startswith("rubber.density,"))
    columns = row.split(",")
    assert float(columns[3]) == value
    columns[3] = str(value + 1)
    rows[rows.index(row)] = ",".join(columns)
    handbook.write_text("".join(rows), encoding="utf-8", newline="\n")
    assert density(build()) == value + 1
    assert "Executing" not in (book / "_build" / "build.log").read_text(encoding="utf-8")


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
