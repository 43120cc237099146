"""What nbgrader and nbconvert ask of us while they grade and give feedback."""

import re
from pathlib import Path
from typing import Any

import bleach
from bleach.css_sanitizer import CSSSanitizer
from docutils.utils.math.latex2mathml import tex2mathml
from nbconvert.filters import markdown2html
from nbconvert.preprocessors import Preprocessor
from nbformat import NotebookNode
from nbgrader.plugins import LateSubmissionPlugin
from traitlets import Bool, Unicode

from bandwork.classroom.settings import read_settings

FOLDER_VARIABLE = "BANDWORK_CLASS"
"""Environment variable that says which class nbgrader's own commands and pages are about."""


class LatePenalty(LateSubmissionPlugin):  # type: ignore[misc]
    """Nbgrader's question what a late submission loses, answered from `class.toml`."""

    folder = Unicode(help="the class").tag(config=True)

    def late_submission_penalty(self, student_id: str, score: float,
                                total_seconds_late: float) -> float:
        """Return the points to take off.

        Parameters
        ----------
        student_id : str
            Who.
        score : float
            What the answers earned [points].
        total_seconds_late : float
            After the due time [s].

        Returns
        -------
        float
            In points [points].
        """
        settings = read_settings(Path(self.folder))
        return settings.penalty(student_id, score, total_seconds_late / 3600)


TAGS = frozenset((
    "a", "abbr", "b", "blockquote", "br", "code", "dd", "del", "div", "dl", "dt", "em", "h1",
    "h2", "h3", "h4", "h5", "h6", "hr", "i", "li", "ol", "p", "pre", "s", "span", "strong",
    "sub", "sup", "table", "tbody", "td", "tfoot", "th", "thead", "tr", "ul", "math", "maction",
    "merror", "mfrac", "mi", "mn", "mo", "mover", "mpadded", "mphantom", "mroot", "mrow",
    "mspace", "msqrt", "mstyle", "msub", "msubsup", "msup", "mtable", "mtd", "mtext", "mtr",
    "munder", "munderover"))
"""What a notebook's text and what its cells show may consist of on a page: nothing is fetched."""
CLASSES = re.compile(r"(highlight|hl-\w+|anchor-link|\w{1,3})( |$)")
LOOKS = CSSSanitizer(allowed_css_properties=["text-align"])


def _may_have(tag: str, name: str, value: str) -> bool:
    """Return whether an attribute may stay: none that places a thing over others, or names it."""
    if name == "class":
        return not CLASSES.sub("", value)
    return name in {"a": ("href", "title"), "math": ("display", "xmlns"),
                    "mo": ("stretchy", "fence", "form", "accent"), "mi": ("mathvariant",),
                    "td": ("colspan", "rowspan", "style"), "th": ("colspan", "rowspan", "style")
                    }.get(tag, ())


def clean_html(text: Any) -> str:
    """Return HTML without scripts, frames, forms, pictures from elsewhere, or styles of its own.

    Parameters
    ----------
    text : str or bytes
        Whatever a learner's notebook holds or shows.

    Returns
    -------
    str
        What is not allowed is shown as the text that it is.
    """
    return str(bleach.clean(text.decode() if isinstance(text, bytes) else str(text), tags=TAGS,
                            attributes=_may_have, css_sanitizer=LOOKS))


def clean_markdown(text: str) -> str:
    """Return the clean HTML of a text; nbgrader's own pages would show it as it was written.

    Parameters
    ----------
    text : str
        Markdown.

    Returns
    -------
    str
    """
    return clean_html(markdown2html(text))


FORMULA = re.compile(r"(?P<code>(`+).+?\2)|\$\$(?P<block>.+?)\$\$|\$(?P<line>.+?)\$", re.DOTALL)
"""A formula in a text, or code, in which a dollar is a dollar."""


LONGEST_FORMULA = 2000
"""Signs; a longer one stays as it was written."""


def _as_mathml(found: re.Match[str]) -> str:
    formula = found["block"] or found["line"]
    if found["code"] or len(formula) > LONGEST_FORMULA:
        return found[0]
    try:
        drawn = tex2mathml(formula, as_block=bool(found["block"]))
    except TimeoutError:
        raise
    except Exception:  # a learner may have written anything into the text
        return found[0]
    one_line = re.sub(r"\s*\n\s*", "", drawn)
    return one_line.replace("*", "&#42;").replace("_", "&#95;")


class FormulaToMathML(Preprocessor):
    """Puts MathML, which browsers draw themselves, in place of formulas that wait for a script."""

    enabled = Bool(True).tag(config=True)

    def preprocess_cell(self, cell: NotebookNode, resources: Any, index: int
                        ) -> tuple[NotebookNode, Any]:
        """Change the formulas of one text; an answer in words stays as it was written.

        Parameters
        ----------
        cell : NotebookNode
            Changed in place.
        resources : dict
            Handed on.
        index : int
            Which cell it is.

        Returns
        -------
        NotebookNode
        dict
        """
        if cell.cell_type == "markdown" and "nbgrader" not in cell.metadata:
            cell.source = FORMULA.sub(_as_mathml, cell.source)
        return cell, resources


class SentenceForTraceback(Preprocessor):
    """Puts the last line in place of a traceback, which would show the code of hidden tests."""

    enabled = Bool(True).tag(config=True)

    def preprocess_cell(self, cell: NotebookNode, resources: Any, index: int
                        ) -> tuple[NotebookNode, Any]:
        """Change one cell's error outputs.

        Parameters
        ----------
        cell : NotebookNode
            Changed in place.
        resources : dict
            Handed on.
        index : int
            Which cell it is.

        Returns
        -------
        NotebookNode
        dict
        """
        for output in cell.get("outputs", ()):
            if output.output_type == "error":
                named = "Not yet." if output.ename == "NotYet" else f"{output.ename}:"
                output.traceback = [f"{named} {output.evalue}"]
        return cell, resources
