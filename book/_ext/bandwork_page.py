"""What a page says of itself to machines, and the notebook that it can be downloaded as.

- Title, description, author and licence of each page stand in its head, for search engines, for
  whatever shows a link to it, and for catalogues of teaching material (schema.org).
- A page with code cells is written once more beside itself as a notebook that runs.
"""

import base64
import json
import re
from html import escape
from pathlib import Path
from typing import Any

import jupytext
import nbformat
from bs4 import BeautifulSoup, Tag
from docutils import nodes
from markdownify import MarkdownConverter
from sphinx.application import Sphinx

LICENCE = "https://creativecommons.org/licenses/by/4.0/"
LONGEST_DESCRIPTION = 200
CELL = "code-cell-stands-here"
FIRST_CELL = (
    "*This notebook was made from the page \u201c{title}\u201d of the book {book}. It needs the "
    "course installed. Run the cells from top to bottom: click into one, then Shift + Enter.*"
)
LAST_CELL = "*The next cell computes the numbers that stand in the sentences of this page.*"
FOOT_CELL = (
    "*A computed number is an estimate from a model, never permission to load a gun. {author}, "
    f"text and figures: [CC BY 4.0]({LICENCE}), code: MIT.*"
)


def description(doctree: nodes.document) -> str:
    """Return the first sentences of a page's text, as many as a short description holds."""
    for paragraph in doctree.findall(nodes.paragraph):
        if isinstance(paragraph.parent, (nodes.section, nodes.document)):
            text = " ".join(paragraph.astext().split())
            if text.endswith((".", "?", "!")) and not any(paragraph.findall(nodes.math)):
                break
    else:
        return ""
    first, *more = re.split(r"(?<=[.?!])\s+(?=[A-Z])", text)
    for sentence in more:
        if len(first) + len(sentence) >= LONGEST_DESCRIPTION:
            break
        first += f" {sentence}"
    return first


def describe(
    app: Sphinx, page: str, template: str, context: dict[str, Any], doctree: nodes.document | None
) -> None:
    """Put the page's metadata into its head; its address only if the settings name the site's."""
    if doctree is None:
        return
    config = app.config
    title = app.env.titles[page].astext()
    said = description(doctree)
    address = context.get("pageurl")
    resource = {
        "@context": "https://schema.org",
        "@type": "LearningResource",
        "name": title,
        "description": said,
        "inLanguage": config.language,
        "license": LICENCE,
        "author": {"@type": "Organization", "name": config.author},
        "isAccessibleForFree": True,
        "isPartOf": {"@type": "Book", "name": config.html_title},
    }
    tags = [
        ("name", "description", said),
        ("name", "author", config.author),
        ("name", "dcterms.license", LICENCE),
        ("property", "og:type", "article"),
        ("property", "og:site_name", config.html_title),
        ("property", "og:title", title),
        ("property", "og:description", said),
        ("property", "og:locale", config.language),
    ]
    if address:
        resource["url"] = address
        tags.append(("property", "og:url", address))
    lines = [
        f'<meta {kind}="{name}" content="{escape(content)}" />' for kind, name, content in tags
    ]
    data = json.dumps(resource, ensure_ascii=False).replace("<", "\\u003c")
    lines.append(f'<script type="application/ld+json">{data}</script>')
    context["metatags"] = "\n".join([context.get("metatags", ""), *lines])


class Markdown(MarkdownConverter):
    """The HTML of a page as Markdown that Jupyter shows; pictures are attached to the cell."""

    def __init__(self) -> None:
        super().__init__(heading_style="ATX", bullets="-", escape_misc=False)

    def convert_a(self, el: Tag, text: str, parent_tags: set[str]) -> str:
        """Keep links to the web; the other pages are not where the notebook is opened."""
        if str(el.get("href", "")).startswith("http"):
            return super().convert_a(el, text, parent_tags)
        return text

    def convert_img(self, el: Tag, text: str, parent_tags: set[str]) -> str:
        """Name a picture as an attachment."""
        alt = str(el["alt"]).replace("[", "(").replace("]", ")")
        return f"![{alt}](attachment:{Path(str(el['src'])).name})"

    def convert_span(self, el: Tag, text: str, parent_tags: set[str]) -> str:
        """Write a formula in a line as Jupyter expects it."""
        return f"${_formula(el)}$" if "math" in el.get("class", []) else text

    def convert_div(self, el: Tag, text: str, parent_tags: set[str]) -> str:
        """Write a formula of its own, or a box as a quotation."""
        kinds = el.get("class", [])
        if "math" in kinds:
            return f"\n\n$${_formula(el)}$$\n\n"
        if "admonition" in kinds:
            quoted = "\n".join(f"> {line}".rstrip() for line in text.strip().splitlines())
            return f"\n\n{quoted}\n\n"
        return super().convert_div(el, text, parent_tags)

    def convert_p(self, el: Tag, text: str, parent_tags: set[str]) -> str:
        """Write the title of a box in bold type."""
        if "admonition-title" in el.get("class", []):
            text = f"**{text.strip()}**"
        return super().convert_p(el, text, parent_tags)

    def convert_label(self, el: Tag, text: str, parent_tags: set[str]) -> str:
        """Write an option of a question as a line of a list."""
        return f"\n- {text.strip()}\n"

    def convert_legend(self, el: Tag, text: str, parent_tags: set[str]) -> str:
        """Write a question in bold type."""
        return f"\n\n**{text.strip()}**\n\n"

    def convert_details(self, el: Tag, text: str, parent_tags: set[str]) -> str:
        """Leave closed what the page keeps closed."""
        return f"\n\n<details>\n\n{text.strip()}\n\n</details>\n\n"

    def convert_summary(self, el: Tag, text: str, parent_tags: set[str]) -> str:
        """Keep the line that opens it."""
        return f"<summary>{el.get_text().strip()}</summary>\n\n"


def _formula(element: Tag) -> str:
    """Return the TeX of a formula without the brackets that mark it for MathJax."""
    return element.get_text().strip()[2:-2].strip()


def notebook_of(source: Path, body: str, pictures: dict[str, Path], about: dict[str, str]) -> str:
    """Return a page as a notebook: the text as it was built, the code as it was written.

    Parameters
    ----------
    source : Path
        The page as it was written.
    body : str
        The HTML of the page's text.
    pictures : dict
        The file of each picture by its name in the built book.
    about : dict
        The page's ``title``, the ``book``'s name and its ``author``.

    Returns
    -------
    str
        The file's content, or nothing if the page has no code.
    """
    codes = [
        cell for cell in jupytext.read(source, fmt="md:myst").cells if cell.cell_type == "code"
    ]
    if not codes:
        return ""
    soup = BeautifulSoup(body, "html.parser")
    for idle in soup.select("a.headerlink, .eqno, .choose-said, input, script"):
        idle.decompose()
    for cell in soup.select("div.cell"):
        cell.replace_with(BeautifulSoup(f"<p>{CELL}</p>", "html.parser"))
    texts = iter(Markdown().convert_soup(soup).split(CELL))
    notebook = nbformat.v4.new_notebook(
        metadata={
            "kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}
        }
    )

    def add(cell: nbformat.NotebookNode) -> None:
        cell.id = f"cell-{len(notebook.cells) + 1}"
        notebook.cells.append(cell)

    def add_text(text: str) -> None:
        if text := re.sub(r"\n{3,}", "\n\n", text).strip():
            cell = nbformat.v4.new_markdown_cell(text)
            for name in re.findall(r"\(attachment:([^)]+)\)", text):
                drawn = base64.b64encode(pictures[name].read_bytes()).decode()
                cell.setdefault("attachments", {})[name] = {"image/svg+xml": drawn}
            add(cell)

    add_text(FIRST_CELL.format(**about))
    unseen: list[str] = []
    for code in codes:
        if "remove-cell" in code.metadata.get("tags", []):
            unseen.append(code.source)
            continue
        add_text(next(texts))
        for source_text in (*unseen, code.source):
            add(nbformat.v4.new_code_cell(source_text))
        unseen.clear()
    add_text(next(texts))
    if unseen:
        add_text(LAST_CELL)
        for source_text in unseen:
            add(nbformat.v4.new_code_cell(source_text))
    add_text(FOOT_CELL.format(**about))
    if next(texts, None) is not None:
        raise ValueError(f"{source} shows more code cells than it has.")
    return nbformat.writes(notebook) + "\n"


def offer_notebook(
    app: Sphinx, page: str, template: str, context: dict[str, Any], doctree: nodes.document | None
) -> None:
    """Write the notebook of a page with code beside the page, and offer it at the page's end."""
    if doctree is None or app.builder.name != "html":
        return
    built = Path(app.outdir) / f"{page}.ipynb"
    built.unlink(missing_ok=True)
    notebook = notebook_of(
        Path(app.env.doc2path(page)),
        context["body"],
        {name: Path(app.srcdir) / path for path, name in app.builder.images.items()},
        {
            "title": app.env.titles[page].astext(),
            "book": app.config.html_title,
            "author": app.config.author,
        },
    )
    if notebook:
        built.parent.mkdir(parents=True, exist_ok=True)
        built.write_text(notebook, encoding="utf-8")
        # A browser shows a file from a folder instead of saving it, so the link holds the notebook.
        held = base64.b64encode(notebook.encode()).decode()
        context["body"] += (
            '<p class="page-notebook d-print-none"><a '
            f'href="data:application/x-ipynb+json;base64,{held}" download="{built.name}">'
            "Download this page\u2019s notebook</a>, to run and change its code with the course "
            "installed.</p>"
        )


def setup(app: Sphinx) -> dict[str, object]:
    """Register the extension with Sphinx."""
    app.connect("html-page-context", describe)
    app.connect("html-page-context", offer_notebook)
    return {"version": "1", "parallel_read_safe": True, "parallel_write_safe": True}
