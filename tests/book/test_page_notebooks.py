"""The notebook that a page can be downloaded as: complete, readable, and it runs."""

import base64
import re
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

BOOK = Path(__file__).resolve().parents[2] / "book"
COMPUTING = sorted(
    page.relative_to(BOOK).with_suffix("").as_posix()
    for page in BOOK.rglob("*.md")
    if "_build" not in page.parts and "```{code-cell}" in page.read_text(encoding="utf-8")
)

pytestmark = pytest.mark.course


def notebook(book, name):
    """Return the notebook of a page, which must be a valid one."""
    found = nbformat.read(book / f"{name}.ipynb", as_version=4)
    nbformat.validate(found)
    return found


def texts(found):
    return [cell.source for cell in found.cells if cell.cell_type == "markdown"]


def test_pages_with_code_and_no_others_offer_a_notebook(pages, book):
    offered = {name: page.select(".page-notebook a[download]") for name, page in pages.items()}
    assert {name for name, links in offered.items() if links} == {
        f"{name}.html" for name in COMPUTING
    }
    files = {path.relative_to(book).with_suffix("").as_posix() for path in book.rglob("*.ipynb")}
    assert files == set(COMPUTING)
    for name in COMPUTING:
        (link,) = offered[f"{name}.html"]
        file = book / f"{name}.ipynb"
        assert link["download"] == file.name
        assert base64.b64decode(link["href"].split(";base64,")[1]) == file.read_bytes()


@pytest.mark.parametrize("name", COMPUTING)
def test_the_notebook_has_all_code_of_the_page(book, name):
    page = (BOOK / f"{name}.md").read_text(encoding="utf-8")
    cells = re.findall(r"^```\{code-cell\}[^\n]*\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)
    written = [re.sub(r"\A(?:---\n.*?\n---\n|(?::[^\n]*\n)+)", "", cell, flags=re.DOTALL).strip()
               for cell in cells]
    found = [cell.source for cell in notebook(book, name).cells if cell.cell_type == "code"]
    assert found == written


@pytest.mark.parametrize("name", COMPUTING)
def test_the_notebook_reads_as_the_page(book, pages, name):
    found = notebook(book, name)
    text = "\n".join(texts(found))
    assert pages[f"{name}.html"].h1.find(string=True) in texts(found)[1].splitlines()[0]
    assert "never permission to load a gun" in text
    assert not re.search(r"\{(glue|cite|drawn|numref|choose|admonition)\b|</?(div|span|p|section)\b"
                         r"|code-cell-stands-here|\\\(|\\\[|\.md\)|\.html\)", text)
    article = pages[f"{name}.html"].article
    for paragraph in article.select("section > p, section > ul > li, section > ol > li"):
        if not paragraph.find_parent(class_="cell") and not paragraph.select(".math, code, p"):
            words = re.findall(r"\w+", paragraph.get_text())
            assert " ".join(words) in " ".join(re.findall(r"\w+", text)), words[:12]
    drawn = [image["src"].rsplit("/", 1)[-1] for image in article.select("figure img")
             if not image.find_parent(class_="cell")]
    attached = [file for cell in found.cells for file in cell.get("attachments", {})]
    assert sorted(attached) == sorted(drawn)
    assert all(f"](attachment:{file})" in text for file in attached)


def run(book, name, folder):
    """Run the notebook of a page in a folder of its own."""
    found = notebook(book, name)
    NotebookClient(found, timeout=120, resources={"metadata": {"path": str(folder)}}).execute()
    return found


def test_a_notebook_runs_anywhere_and_shows_what_the_page_shows(book, pages, tmp_path):
    found = run(book, "stretch/notch", tmp_path)
    printed = ["".join(output.text for output in cell.outputs
                       if output.output_type == "stream").strip()
               for cell in found.cells if cell.cell_type == "code"]
    shown = [block.get_text().strip()
             for block in pages["stretch/notch.html"].select(".cell_output .output.stream")]
    assert [text for text in printed if text] == shown
    assert len(shown) > 1
    assert list(tmp_path.iterdir()) == []


@pytest.mark.long
@pytest.mark.parametrize("name", COMPUTING)
def test_every_notebook_runs(book, tmp_path, name):
    run(book, name, tmp_path)
