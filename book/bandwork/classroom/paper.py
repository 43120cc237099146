"""Print the book: its pages in one document, and that document as a PDF.

The pages are taken as they were built. What stands folded away on a screen, answers and code, is
moved to two parts at the end. Every link to another page gets an arrow and the paper's page number,
so that it can be followed by hand: the document is printed to learn on which page each target
stands, and again with the numbers until none of them moves. A browser does the printing.
"""

import html
import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from posixpath import dirname, join, normpath
from typing import Any

import yaml
from bs4 import BeautifulSoup, Tag
from pypdf import PdfReader, PdfWriter
from pypdf.generic import IndirectObject

from bandwork.classroom.book import BookError, build_book
from bandwork.validation import InputError

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")
PRINTING = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--allow-file-access-from-files",
    "--no-pdf-header-footer",
    "--export-tagged-pdf",
    "--virtual-time-budget=120000",
)
LONGEST_PRINT = 300
"""Seconds after which the browser is given up."""
MOST_PRINTS = 6
"""A number that is longer than it was can move what follows to another page."""

TITLE_PAGE = """<header class="title-page">
<p class="title">{title}</p>
<p class="subtitle">{subtitle}</p>
<p>{author}</p>
<p class="caution">A computed number is an estimate from a model, never permission to load a gun.
Read <a href="#{safety}">Safety</a> first.</p>
<p class="how">This is the book on paper. An arrow with a number, as in
<span class="turn">{arrow}<span data-to="{safety}"></span></span>, is the page of this paper to turn
to. Answers to the questions and the code behind the results stand at the end.</p>
<p class="how">{licence}</p>
</header>"""
ARROW = "\N{RIGHTWARDS ARROW}\N{NO-BREAK SPACE}"

FIT_AND_NAME = """
addEventListener("load", async () => {
  await MathJax.startup.promise;
  await document.fonts.ready;
  for (const item of MathJax.startup.document.math) {
    const formula = item.typesetRoot;
    formula.setAttribute("role", "img");
    formula.setAttribute("aria-label", item.math.trim());
    formula.querySelector("mjx-assistive-mml")?.remove();
    formula.querySelector("[aria-hidden]")?.removeAttribute("aria-hidden");
    const speck = { className: "speck", textContent: "." };
    formula.append(Object.assign(document.createElement("span"), speck));
  }
  for (const part of document.querySelectorAll("mjx-container[display], .table-box")) {
    const ratio = part.clientWidth / part.scrollWidth;
    if (ratio < 1) part.style.fontSize = `${Math.floor(98 * ratio)}%`;
  }
});
"""
"""Each formula says its source to who cannot see it; what is too wide gets smaller letters.

The browser tags nothing whose letters all come from a style sheet, as a formula's do: an unseen
speck of text makes it an element.
"""


@dataclass(frozen=True)
class Entry:
    """A line of the table of contents.

    Parameters
    ----------
    level : int
        1 for a part, 2 for a chapter, 3 for a page of a chapter.
    title : str
        What it is called.
    page : str
        The page's name, such as stretch/spring; empty for a part.
    """

    level: int
    title: str
    page: str

    @property
    def id(self) -> str:
        """Where it stands in the printed document."""
        return _id(self.page) if self.page else "part-" + re.sub(r"\W+", "-", self.title.lower())


def contents(book: Path, title_of: Callable[[str], str]) -> list[Entry]:
    """Return the table of contents: the first page, then parts, chapters and pages in order.

    Parameters
    ----------
    book : Path
        The folder of the book, with its _toc.yml.
    title_of : callable
        Returns a page's title for its name.

    Returns
    -------
    list of Entry
        In the order of reading.
    """
    toc = yaml.safe_load((book / "_toc.yml").read_text(encoding="utf-8"))
    found = [Entry(1, title_of(toc["root"]), toc["root"])]
    for part in toc["parts"]:
        found.append(Entry(1, part["caption"], ""))
        for chapter in part["chapters"]:
            found.append(Entry(2, title_of(chapter["file"]), chapter["file"]))
            for page in chapter.get("sections", ()):
                found.append(Entry(3, title_of(page["file"]), page["file"]))
    return found


def print_book(root: Path, progress: Callable[[str], object] = print) -> Path:
    """Build the book and print the whole of it into one PDF.

    Parameters
    ----------
    root : Path
        The folder of the course, the one that holds README.md and the folder book.
    progress : callable
        Receives one short line at a time.

    Returns
    -------
    Path
        The PDF: book/_build/pdf/bandwork.pdf.

    Raises
    ------
    InputError
        If no browser that can print is installed.
    BookError
        If the book cannot be built, or the browser does not print.
    """
    find_browser()
    built = build_book(root, progress=progress).parent
    return print_pages(root.resolve() / "book", built, progress)


def find_browser() -> str:
    """Return the command of a browser that prints.

    Returns
    -------
    str
        Its path.

    Raises
    ------
    InputError
        If none is installed.
    """
    for name in BROWSERS:
        if found := shutil.which(name):
            return found
    raise InputError(
        "No browser that prints was found; install Chromium (Debian: apt-get install chromium) "
        f"so that one of {', '.join(BROWSERS)} is a command."
    )


def print_pages(book: Path, built: Path, progress: Callable[[str], object] = print) -> Path:
    """Print the pages of a book that has been built.

    Parameters
    ----------
    book : Path
        The folder of the book's sources.
    built : Path
        The folder of its built pages.
    progress : callable
        Receives one short line at a time.

    Returns
    -------
    Path
        The PDF, in the folder pdf beside that of the built pages.

    Raises
    ------
    InputError
        If no browser that can print is installed.
    BookError
        If the browser does not print.
    """
    browser = find_browser()
    pdf = built.parent / "pdf" / "bandwork.pdf"
    pdf.parent.mkdir(exist_ok=True)
    progress("putting the pages together")
    paper = Paper(book, built)
    sheet = pdf.with_suffix(".html")
    numbers: dict[str, int] = {}
    with tempfile.TemporaryDirectory() as folder:
        printed = Path(folder) / "printed.pdf"
        progress("printing, to learn on which page everything stands")
        for _ in range(MOST_PRINTS):
            sheet.write_text(paper.html(numbers), encoding="utf-8")
            _print(browser, sheet, printed)
            stands = page_numbers(printed)
            if stands == numbers:
                break
            numbers = stands
            progress("printing with page numbers")
        else:
            raise BookError(f"After {MOST_PRINTS} prints of {sheet} its page numbers still move; "
                            "please report it.")
        _finish(printed, paper)
        shutil.move(printed, pdf)
    progress(f"{len(PdfReader(pdf).pages)} pages")
    return pdf


def page_numbers(pdf: Path) -> dict[str, int]:
    """Return the page on which each target of a link stands.

    Parameters
    ----------
    pdf : Path
        A PDF that a browser has printed.

    Returns
    -------
    dict of str to int
        The target's id and its page, counted from 1.
    """
    reader = PdfReader(pdf)
    return {
        name.removeprefix("/"): (reader.get_destination_page_number(target) or 0) + 1
        for name, target in reader.named_destinations.items()
    }


class Paper:
    """The whole book as one HTML document for print.

    Parameters
    ----------
    book : Path
        The folder of the book's sources.
    built : Path
        The folder of its built pages.
    """

    def __init__(self, book: Path, built: Path) -> None:
        self.settings: dict[str, Any] = yaml.safe_load((book / "_config.yml").read_text("utf-8"))
        self._files = {
            path.relative_to(built).with_suffix("").as_posix(): BeautifulSoup(
                path.read_text("utf-8"), "html.parser"
            )
            for path in built.rglob("*.html")
            if "_static" not in path.parts and path != built / "search.html"
        }
        self.entries = contents(book, self._title)
        self._built = built
        self._text = self._assemble()

    @property
    def lines(self) -> list[tuple[int, str, str]]:
        """Level, title and id of each line of the table of contents."""
        pages = [(entry.level, entry.title, entry.id) for entry in self.entries]
        return [*pages, *((1, aside, aside.lower()) for aside in ASIDES)]

    def html(self, numbers: Mapping[str, int]) -> str:
        """Return the document, with the paper's page number wherever it is told to turn to a page.

        Parameters
        ----------
        numbers : mapping of str to int
            The page on which each target stands; room is left for those that are missing.

        Returns
        -------
        str
            HTML, to be written beside the folder of the built pages.
        """
        return re.sub(
            r'<span data-to="([^"]+)"></span>',
            lambda found: f"<span>{numbers.get(html.unescape(found[1]), '000')}</span>",
            self._text,
        )

    def _title(self, page: str) -> str:
        heading = self._files[page].select_one("article h1")
        assert heading is not None
        for mark in heading.select(".headerlink"):
            mark.decompose()
        return heading.get_text().strip()

    def _assemble(self) -> str:
        chapters: list[str] = []
        answers, code = (Aside(title, name) for title, name in ASIDES.items())
        heads: list[str] = []
        titles: dict[str, str] = {}
        for entry in self.entries:
            if not entry.page:
                heads.append(f'<h1 class="part" id="{entry.id}">{html.escape(entry.title)}</h1>')
                continue
            article = self._page(entry, answers, code)
            part = heads.pop() if heads else ""
            if entry.level < 3:
                titles[f"chapter-{len(titles)}"] = entry.title
            chapters.append(
                f'<section class="page level-{entry.level} chapter-{len(titles) - 1}" '
                f'id="{entry.id}">{part}{article}</section>'
            )
        asides = "".join(aside.html(self.entries) for aside in (answers, code))
        first = self.entries[0]
        title_page = TITLE_PAGE.format(
            title=html.escape(self.settings["title"]),
            subtitle="A course on rigging roller spearguns",
            author=html.escape(self.settings["author"]),
            safety=f"{first.id}--safety",
            arrow=ARROW,
            licence="Text and figures: Creative Commons Attribution 4.0 (CC BY 4.0). Code: MIT.",
        )
        return (
            f'<!DOCTYPE html>\n<html lang="{self.settings["sphinx"]["config"]["language"]}" '
            f'data-theme="light"><head><meta charset="utf-8">'
            f"<title>{html.escape(self.settings['title'])}</title>{self._head(titles)}</head>"
            f'<body class="paper"><main class="bd-content"><article class="bd-article">'
            f"{title_page}{self._contents()}{''.join(chapters)}{asides}"
            "</article></main></body></html>\n"
        )

    def _head(self, chapters: Mapping[str, str]) -> str:
        """Return the built pages' styles and formula setter, and a running title a chapter."""
        setter = next(
            page for page in self._files.values() if page.select('script[src*="tex-chtml.js"]')
        )
        kept = setter.select('head link[rel="stylesheet"], script')
        lines = []
        for tag in kept:
            address = tag.get("href") or tag.get("src")
            if tag.name == "script" and not (
                "window.MathJax" in tag.get_text() or "tex-chtml.js" in str(address)
            ):
                continue
            if address:
                name = "href" if tag.name == "link" else "src"
                tag[name] = "../html/" + str(address)[str(address).index("_static") :]
            if tag.get("media"):
                tag["media"] = "all"
            lines.append(str(tag))
        running = "".join(
            f"@page {name} {{ @top-right {{ content: {_css(title)} }} }}\n"
            f".{name} {{ page: {name} }}\n"
            for name, title in chapters.items()
        )
        return f"{''.join(lines)}<style>{running}</style><script>{FIT_AND_NAME}</script>"

    def _contents(self) -> str:
        rows = "".join(
            f'<li class="level-{level}"><a href="#{place}"><span>{html.escape(title)}</span>'
            f'<span class="number"><span data-to="{place}"></span></span></a></li>'
            for level, title, place in self.lines
        )
        return f'<nav class="whole-contents"><h1>Contents</h1><ol>{rows}</ol></nav>'

    def _page(self, entry: Entry, answers: "Aside", code: "Aside") -> str:
        article = self._files[entry.page].select_one("article.bd-article > section")
        assert article is not None
        for tag in article.select(".headerlink, .choose input, .choose-said, .d-print-none"):
            tag.decompose()
        for tag in article.select("a[href]"):
            self._link(tag, entry)
        for tag in article.select("img[src]"):
            tag["src"] = "../html/" + normpath(join(dirname(entry.page), str(tag["src"])))
        for tag in article.select("[id]"):
            tag["id"] = f"{entry.id}--{tag['id']}"
        for tag in article.select(".pst-scrollable-table-container"):
            tag["class"] = "table-box"
        for tag in article.select("h1, h2, h3, h4"):
            tag.name = f"h{int(tag.name[1]) + entry.level - 1}"
        for tag in article.select("details"):
            (code if "above-input" in tag.get_attribute_list("class") else answers).take(tag, entry)
        return str(article)

    def _link(self, tag: Tag, entry: Entry) -> None:
        """Let a link to a page of the book lead to its place on paper, and tell the page there."""
        target, _, mark = str(tag["href"]).partition("#")
        if re.match(r"\w+:", target):
            return
        if "download" in tag.attrs:
            tag.unwrap()
            return
        page = normpath(join(dirname(entry.page), target)) if target else entry.page
        page = page.removesuffix(".html")
        if page not in self._files:
            raise BookError(f"The page {entry.page} links to {tag['href']}, which is not a page.")
        place = f"{_id(page)}--{mark}" if mark else _id(page)
        tag["href"] = f"#{place}"
        if page != entry.page and not tag.find_parent(class_="bibtex-citation"):
            turn = f' <a class="turn" href="#{place}">{ARROW}<span data-to="{place}"></span></a>'
            tag.insert_after(BeautifulSoup(turn, "html.parser"))


ASIDES = {"Answers": "Answer", "Code": "Code"}
"""The parts at the end, and what one piece of each is called."""


class Aside:
    """A part at the end that takes what is folded away on the pages, numbered in their order.

    Parameters
    ----------
    title : str
        What the part is called.
    name : str
        What one piece of it is called.
    """

    def __init__(self, title: str, name: str) -> None:
        self.title = title
        self.name = name
        self._taken: dict[str, list[str]] = {}
        self._count = 0

    def take(self, details: Tag, entry: Entry) -> None:
        """Move the disclosure here and leave a link in its place.

        Parameters
        ----------
        details : Tag
            The disclosure, on its page.
        entry : Entry
            The page.
        """
        self._count += 1
        place = f"{self.title.lower()}-{self._count}"
        called = f"{self.name} {self._count}"
        link = (
            f'<p class="moved" id="{place}-from"><a href="#{place}">{called} {ARROW}'
            f'<span data-to="{place}"></span></a></p>'
        )
        details.replace_with(BeautifulSoup(link, "html.parser"))
        for summary in details.select("summary"):
            summary.decompose()
        self._taken.setdefault(entry.page, []).append(
            f'<div class="aside" id="{place}"><p class="aside-title"><a href="#{place}-from">'
            f"{called}</a></p>{details.decode_contents()}</div>"
        )

    def html(self, entries: list[Entry]) -> str:
        """Return the part.

        Parameters
        ----------
        entries : list of Entry
            The table of contents.

        Returns
        -------
        str
            HTML: a heading for the part and one for each page that something was taken from.
        """
        pages = "".join(
            f'<section><h2>{html.escape(entry.title)} <a class="turn" href="#{entry.id}">{ARROW}'
            f'<span data-to="{entry.id}"></span></a></h2>{"".join(self._taken[entry.page])}'
            "</section>"
            for entry in entries
            if entry.page in self._taken
        )
        name = self.title.lower()
        return f'<section class="page {name}" id="{name}"><h1>{self.title}</h1>{pages}</section>'


def _id(page: str) -> str:
    return page.replace("/", "-")


def _css(text: str) -> str:
    return '"' + text.replace("\\", r"\\").replace('"', r"\"") + '"'


def _print(browser: str, sheet: Path, pdf: Path) -> None:
    with tempfile.TemporaryDirectory() as profile:
        command = [browser, *PRINTING, f"--user-data-dir={profile}", f"--print-to-pdf={pdf}"]
        try:
            done = subprocess.run(
                [*command, sheet.as_uri()],
                stdin=subprocess.DEVNULL,
                capture_output=True,
                encoding="utf-8",
                errors="replace",
                timeout=LONGEST_PRINT,
            )
            said = done.stderr.strip().splitlines()[-1:]
        except subprocess.TimeoutExpired:
            said = [f"It took more than {LONGEST_PRINT} seconds."]
        if not pdf.exists():
            raise BookError(f"{browser} did not print {sheet}. {' '.join(said)}".strip())


def _finish(pdf: Path, paper: Paper) -> None:
    """Name the author, and make the table of contents the bookmarks."""
    writer = PdfWriter(pdf, incremental=True)
    writer.add_metadata(
        {
            "/Title": paper.settings["title"],
            "/Author": paper.settings["author"],
            "/Subject": "A course on rigging roller spearguns. Text and figures: CC BY 4.0.",
        }
    )
    numbers = page_numbers(pdf)
    above: dict[int, IndirectObject] = {}
    for level, title, place in paper.lines:
        above[level] = writer.add_outline_item(
            title=title,
            page_number=numbers[place] - 1,
            parent=above.get(level - 1),
            is_open=level == 1,
        )
    writer.write(pdf)
