"""What the book needs beyond Jupyter Book: drawn figures, questions to choose from, MathJax.

- `drawn` puts a figure of `figures/` on a page, with the text alternative that its file defines.
- `choose` asks a question with options, each with an answer of its own.
- MathJax is copied from a Python package, so that no page asks the network for anything.
- A picture that has no text alternative is a warning, and warnings fail the build.
- A derivation begins with links past it, to the numbers and to the bench.
"""

import difflib
import hashlib
import shutil
import sys
from importlib.metadata import distribution
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from docutils import nodes
from docutils.statemachine import StringList
from sphinx.application import Sphinx
from sphinx.config import Config
from sphinx.directives.patches import Figure
from sphinx.errors import ExtensionError
from sphinx.util import logging
from sphinx.util.docutils import SphinxDirective

logger = logging.getLogger(__name__)

MATHJAX = ("tex-chtml.js", "output/chtml/fonts/woff-v2", "input/tex/extensions")


class Drawn(Figure):
    """A figure of `figures/`, named UNIT/NAME, with its caption as the body."""

    def run(self) -> list[nodes.Node]:
        """Return the figure's node, or an error that names the nearest figures."""
        from figures import draw

        name = self.arguments[0]
        known = draw.names()
        if name not in known:
            near = difflib.get_close_matches(name, known, n=3, cutoff=0.3) or known
            raise self.error(
                f'There is no figure "{name}": figures/{name}.py does not exist. '
                f"The nearest names are: {', '.join(near)}."
            )
        title = ElementTree.parse(draw.drawn(name)).find("{http://www.w3.org/2000/svg}title")
        self.arguments[0] = f"/_drawn/{name}.svg"
        self.options["alt"] = title.text
        self.options.setdefault("class", []).append("drawn")
        return super().run()


class Choose(SphinxDirective):
    """A question with options to choose from, each with what is said to whoever chooses it.

    The argument is the question. In the body a right option begins with `+`, another with `-`; the
    lines indented below it are its answer. Without JavaScript a disclosure holds all answers.
    """

    has_content = True
    required_arguments = 1
    final_argument_whitespace = True

    def run(self) -> list[nodes.Node]:
        """Return the question, its options and the disclosure."""
        options = self._options()
        if len(options) < 2 or not any(right for right, _, _ in options) or not all(
            said for _, _, said in options
        ):
            raise self.error(
                "A question to choose from needs two options or more, one of them right (its line "
                "begins with +), and an indented line with the answer below each."
            )
        number = self.env.new_serialno("choose")
        name = f"choose-{number}"
        question = nodes.container(classes=["choose"])
        question += _html(f'<fieldset><legend id="{name}">')
        question += self._inline(self.arguments[0])
        question += _html("</legend>")
        for place, (right, option, _) in enumerate(options):
            question += _html(
                f'<label><input type="radio" name="{name}" value="{place}" '
                f'data-right="{str(right).lower()}"><span>'
            )
            question += self._inline(option)
            question += _html("</span></label>")
        question += _html('</fieldset><div class="choose-said" role="status"></div>')
        question += _html("<details><summary>Answers</summary><ol>")
        for _, option, said in options:
            question += _html("<li><p>")
            question += self._inline(option)
            question += _html('</p><p class="choose-answer">')
            question += self._inline(said)
            question += _html("</p></li>")
        question += _html("</ol></details>")
        return [question]

    def _options(self) -> list[tuple[bool, str, str]]:
        """Return for each option whether it is right, its text and its answer."""
        found: list[tuple[bool, str, list[str], list[str]]] = []
        for line in self.content:
            if line[:2] in ("+ ", "- "):
                found.append((line[0] == "+", line[2:], [], []))
            elif found and line.strip():
                _, _, more, said = found[-1]
                (said if line.startswith("  ") and line.strip() else more).append(line.strip())
        return [
            (right, " ".join([first, *more]), " ".join(said)) for right, first, more, said in found
        ]

    def _inline(self, text: str) -> list[nodes.Node]:
        """Return text with its mathematics and links, without a paragraph around it."""
        holder = nodes.Element()
        self.state.nested_parse(StringList([text], self.state.document.current_source), 0, holder)
        return [child for part in holder.children for child in part.children]


def _html(text: str) -> nodes.raw:
    return nodes.raw("", text, format="html")


def draw_figures(app: Sphinx) -> None:
    """Draw what is missing or out of date in `figures/`."""
    root = Path(app.srcdir).parent
    if str(root) not in sys.path:
        sys.path.insert(0, str(root))
    from figures import draw

    try:
        draw.draw_all(progress=logger.info)
    except draw.FigureError as problem:
        raise ExtensionError(str(problem)) from problem


def notice_a_new_dress(app: Sphinx, config: Config) -> None:
    """Turn the book's look and its extensions into a setting, for a new one reads all pages."""
    dress, book = hashlib.sha256(), Path(app.srcdir)
    for path in sorted([*book.glob("_ext/*.py"), *book.glob("_style/*")]):
        dress.update(path.read_bytes())
    config.bandwork_dress = dress.hexdigest()


def want_text_alternatives(app: Sphinx, doctree: nodes.document) -> None:
    """Warn of every picture without a text alternative, drawn by a page's code or put there."""
    for image in doctree.findall(nodes.image):
        if not image.get("alt", "").strip():
            logger.warning(
                "A picture has no text alternative. Above a code cell that draws, write the "
                "metadata mystnb: image: alt; beside an image, write :alt:.",
                location=image,
            )


def lead_past_derivations(app: Sphinx, doctree: nodes.document) -> None:
    """Begin each derivation with links to the numbers and the bench, for whoever skips it."""
    sections = {part[0].astext().split(":")[0]: part for part in doctree.findall(nodes.section)}
    derivation, numbers, bench = (
        sections.get(title) for title in ("Step by step", "With numbers", "At the bench")
    )
    if not (derivation and numbers and bench):
        return
    hint = nodes.paragraph(classes=["lead-past"])
    hint += nodes.Text("You may skip this part. ")
    hint += nodes.reference("", "The numbers", refid=numbers["ids"][0], internal=True)
    hint += nodes.Text(" and ")
    hint += nodes.reference("", "the bench", refid=bench["ids"][0], internal=True)
    hint += nodes.Text(" stand on their own.")
    derivation.insert(1, hint)


def tidy_sources(
    app: Sphinx, page: str, template: str, context: dict[str, Any], doctree: nodes.document | None
) -> None:
    """Drop the roles that Sphinx gives the list of sources: screen readers no longer know them."""
    if body := context.get("body"):
        body = body.replace(' role="doc-biblioentry"', "")
        context["body"] = body.replace('<div role="list" class="citation-list">', "<div>")


def copy_mathjax(app: Sphinx, exception: Exception | None) -> None:
    """Copy the part of MathJax that the pages use into the built book."""
    if exception or app.builder.format != "html":
        return
    package = distribution("sphinx-mathjax-offline")
    source = Path(str(package.locate_file("sphinx-mathjax-offline/static/mathjax")))
    target = Path(app.outdir) / "_static" / "mathjax"
    for part in MATHJAX:
        if (source / part).is_dir():
            shutil.copytree(source / part, target / part, dirs_exist_ok=True)
        else:
            target.mkdir(parents=True, exist_ok=True)
            shutil.copy2(source / part, target / part)


def remove_old_pages(app: Sphinx, exception: Exception | None) -> None:
    """Remove from the built book what belongs to pages that are no longer written."""
    for page in [*Path(app.outdir).rglob("*.html"), *Path(app.outdir).rglob("*.ipynb")]:
        name = page.relative_to(app.outdir)
        written = {*app.env.found_docs, "search"}
        if name.parts[0] != "_static" and name.with_suffix("").as_posix() not in written:
            page.unlink()


def forget_a_faulty_build(app: Sphinx, exception: Exception | None) -> None:
    """Make the next build read every page again after a build with warnings.

    Sphinx keeps what it has read, and with it forgets what it has warned of: without this, a
    second build of a faulty book would pass.
    """
    if exception or app._warncount:
        (Path(app.doctreedir) / "environment.pickle").unlink(missing_ok=True)


def setup(app: Sphinx) -> dict[str, object]:
    """Register the extension with Sphinx."""
    app.add_directive("drawn", Drawn)
    app.add_directive("choose", Choose)
    app.add_config_value("bandwork_dress", "", "env")
    app.connect("config-inited", notice_a_new_dress)
    app.connect("builder-inited", draw_figures)
    app.connect("doctree-read", want_text_alternatives)
    app.connect("doctree-read", lead_past_derivations)
    app.connect("html-page-context", tidy_sources)
    app.connect("build-finished", copy_mathjax)
    app.connect("build-finished", remove_old_pages)
    app.connect("build-finished", forget_a_faulty_build)
    return {"version": "1", "parallel_read_safe": True, "parallel_write_safe": True}
