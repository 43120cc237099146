"""How much prose each page has and how hard it is to read, of the book as it was built.

`python -m tests.book.reading` prints it, longest page first, for `make book` before it.

Prose is what stands in paragraphs, lists, captions and questions. Not counted: headings, tables,
code and what it prints, and the answers' repetition of an option. A formula counts as one word.

The grade is that of Flesch and Kincaid, as `textstat` computes it: the school year in which a text
of such sentences and words is read. Source: J. P. Kincaid, R. P. Fishburne, R. L. Rogers and
B. S. Chissom, Derivation of new readability formulas for Navy enlisted personnel, Research Branch
Report 8-75, Naval Air Station Memphis, 1975.
"""

import sys
from pathlib import Path
from typing import NamedTuple

import textstat
from bs4 import BeautifulSoup

BUILT = Path(__file__).resolve().parents[2] / "book" / "_build" / "html"
BLOCKS = "p, li, dt, dd, label, legend, summary"
NOT_PROSE = (
    "table, pre, .headerlink, .math + .eqno, .page-notebook, details.hide > summary, "
    ".choose details summary, .choose details li > p:not(.choose-answer)"
)


class Reading(NamedTuple):
    """What one page asks of its reader."""

    words: int
    words_a_sentence: float
    grade: float


def prose(html: str) -> str:
    """Return a page's prose, each block of it ending as a sentence does."""
    article = BeautifulSoup(html, "html.parser").select_one("article.bd-article")
    assert article is not None
    for formula in article.select(".math"):
        formula.string = "x"
    for part in article.select(NOT_PROSE):
        part.decompose()
    blocks = []
    for block in article.select(BLOCKS):
        if not block.select_one(BLOCKS):
            text = " ".join(block.get_text().split())
            if text:
                blocks.append(text if text[-1] in ".?!" else f"{text}.")
    return "\n".join(blocks)


def reading(html: str) -> Reading:
    """Return the numbers of one page."""
    text = prose(html)
    return Reading(
        textstat.lexicon_count(text),
        textstat.words_per_sentence(text),
        textstat.flesch_kincaid_grade(text),
    )


def readings(built: Path) -> dict[str, Reading]:
    """Return the numbers of each page of a built book, by the page's name."""
    pages = sorted(path for path in built.rglob("*.html") if "_static" not in path.parts)
    return {
        path.relative_to(built).with_suffix("").as_posix(): reading(path.read_text("utf-8"))
        for path in pages
        if path.name != "search.html"
    }


def main() -> None:
    """Print a line for each page and one for all."""
    if not BUILT.is_dir():
        sys.exit("The book is not built yet: run `make book` first.")
    found = readings(BUILT)
    print(f"{'page':24}{'words':>7}{'a sentence':>12}{'grade':>7}")
    for name, page in sorted(found.items(), key=lambda item: -item[1].words):
        print(f"{name:24}{page.words:7}{page.words_a_sentence:12.1f}{page.grade:7.1f}")
    words = sum(page.words for page in found.values())
    print(f"{len(found)} pages, {words} words, ", end="")
    print(f"grade {sum(page.words * page.grade for page in found.values()) / words:.1f}")


if __name__ == "__main__":
    main()
