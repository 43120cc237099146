"""The appendix covers every unit: its symbols and its words."""

import ast
import re
from pathlib import Path

import pytest
from bandwork.classroom.items import UNITS
from bs4 import BeautifulSoup

BOOK = Path(__file__).resolve().parents[2] / "book"
CHAPTERS = [unit for unit in UNITS if unit != "warmup"]
SYMBOLS = (BOOK / "appendix" / "symbols.md").read_text(encoding="utf-8")

GREEK = (
    r"alpha|beta|gamma|delta|epsilon|eta|theta|varphi|phi|psi|kappa|lambda|mu|nu|xi|pi|rho|sigma|"
    r"tau|omega|Gamma|Delta|Theta|Lambda|Sigma|Phi|Omega|ell"
)
WORDS = re.compile(r"(?<!_)\\(?:text|mathrm|operatorname|begin|end)\s*\{[^{}]*\}|\\mathrm d")
SYMBOL = re.compile(
    rf"(\\(?:{GREEK})|(?<![\\a-zA-Z])[A-Za-z])(?![a-zA-Z])"
    r"(?:_(\\(?:text|mathrm)\s*\{[^{}]*\}|\{[^{}]*\}|\\[a-zA-Z]+|[A-Za-z0-9]))?"
)


def formulas(page):
    """Yield the formulas that stand in a page's text, code left out."""
    code = None
    kept = []
    for line in page.removeprefix("---").split("\n---\n", 1)[-1].splitlines():
        if code:
            code = None if line == code else code
        elif fence := re.match(r"(`{3,})(\{code-cell\}.*)?$", line):
            code = fence[1] if fence[2] else None
        else:
            kept.append(line)
    text = re.sub(r"`[^`\n]*`", "", "\n".join(kept))
    for displayed, inline in re.findall(r"\$\$(.+?)\$\$|\$([^$]+?)\$", text, re.DOTALL):
        yield displayed or inline


def symbols(formula):
    """Return a formula's symbols, each with its index if that is one letter."""
    found = set()
    for letter, index in SYMBOL.findall(WORDS.sub(" ", formula)):
        index = re.sub(r"\\(?:text|mathrm)|[{}\s]", "", index)
        is_letter = index.startswith("\\") or (len(index) == 1 and index.isalpha())
        found.add(f"{letter}_{index}" if is_letter else letter)
    return found


def listed(section):
    """Return the symbols of one table of the symbols' page."""
    (table,) = re.findall(rf"^## {section}$(.*?)(?=^## |\Z)", SYMBOLS, re.M | re.S)
    rows = [line.split("|")[1] for line in table.splitlines() if line.startswith("| $")]
    return {symbol for row in rows for formula in formulas(row) for symbol in symbols(formula)}


def test_symbols_are_told_apart():
    assert symbols(r"F_\text{in} = \tfrac12 m_w v_0^2\,\ell_l \dots \mathrm d\varphi") == {
        "F", "m_w", "v", r"\ell_l", r"\varphi",
    }
    page = "---\nkernel\n---\n$a$\n\n```{code-cell}\n$b$\n```\n\n$$\nc\n$$ and `$d$`\n"
    assert [formula.strip() for formula in formulas(page)] == ["a", "c"]


@pytest.mark.parametrize("unit", [*CHAPTERS, "workshop"])
def test_every_symbol_of_a_unit_is_listed(unit):
    known = listed("Used everywhere") | listed(unit.capitalize())
    unlisted = {
        (page.name, symbol)
        for page in (BOOK / unit).glob("*.md")
        for formula in formulas(page.read_text(encoding="utf-8"))
        for symbol in symbols(formula)
        if symbol not in known and symbol.split("_")[0] + "_i" not in known
    }
    assert unlisted == set()


def test_the_names_in_code_are_in_the_library():
    names = set(re.findall(r"`(\w+)`", "\n".join(
        line.split("|")[-2] for line in SYMBOLS.splitlines() if line.startswith("| $"))))
    library = set()
    for module in (BOOK / "bandwork").glob("*.py"):
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            for field in ("id", "name", "arg", "attr"):
                library.add(getattr(node, field, None))
    assert len(names) > 50
    assert names - library == set()


@pytest.mark.course
def test_every_word_of_every_unit_stands_in_the_glossary(book):
    def terms(page):
        soup = BeautifulSoup((book / page).read_text(encoding="utf-8"), "html.parser")
        return {term.get_text().strip("#").strip() for term in soup.select("article dt")}

    glossary = terms("appendix/glossary.html")
    for unit in CHAPTERS:
        words = terms(f"{unit}/index.html")
        assert len(words) > 5, unit
        assert words - glossary == set(), unit
