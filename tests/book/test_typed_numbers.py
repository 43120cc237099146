"""Numbers on the pages come from the library: none next to a unit is typed, but for stated ones.

Free are the sums of "Check yourself", which bring numbers of their own, and a paragraph that names
its source, for what is printed there does not change; not free are the handbook's numbers, not even
there. All others are listed in typed_numbers.toml, each with the reason why no edit of the library
makes it wrong.
"""

import re
import tomllib
from pathlib import Path

import pytest
from bandwork.handbook import entries
from bandwork.units import STANDARD_GRAVITY

ROOT = Path(__file__).resolve().parents[2]
PAGES = {
    path.relative_to(ROOT / "book").with_suffix("").as_posix(): path
    for path in sorted((ROOT / "book").rglob("*.md"))
    if "_build" not in path.parts
}
LISTED = tomllib.loads(Path(__file__).with_name("typed_numbers.toml").read_text(encoding="utf-8"))

SHOWN_AS = {
    "m": {"m": 1, "cm": 100, "mm": 1000},
    "m2": {"m²": 1, "cm²": 1e4, "mm²": 1e6},
    "m3": {"m³": 1, "litres": 1e3, "cm³": 1e6, "ml": 1e6},
    "m/s": {"m/s": 1, "km/h": 3.6},
    "m/s2": {"m/s²": 1},
    "s": {"s": 1, "seconds": 1, "ms": 1000},
    "kg": {"kg": 1, "g": 1000},
    "kg/m3": {"kg/m³": 1, "g/cm³": 1e-3},
    "N": {"N": 1, "kN": 1e-3, "kgf": 1 / STANDARD_GRAVITY},
    "Pa": {"Pa": 1, "kPa": 1e-3, "MPa": 1e-6, "GPa": 1e-9},
    "J/m3": {"J/cm³": 1e-6},
    "1": {"%": 100, "per cent": 100},
    "rad/s": {"rad/s": 1},
}
UNITS = {unit for units in SHOWN_AS.values() for unit in units} | {
    "J", "kJ", "N m", "N s", "N/m", "N/cm", "mm²/s", "g/kg", "°", "°C", "degrees",
}
NUMBER = r"\d+(?:\.\d+)?"
TYPED = re.compile(
    rf"(?<![\w.`{{}}/^\\])(?P<numbers>{NUMBER}(?:(?:\s?(?:to|and|or|by|×|–)\s|,\s){NUMBER})*)"
    rf"[\s~]*(?P<unit>{'|'.join(sorted(map(re.escape, UNITS), key=len, reverse=True))})"
    r"(?![\w`/²³]|-\w)"
)
CITED = re.compile(r"\{cite(?::\w+)?\}`([\w,]+)`")


MATHEMATICS = re.compile(rf"\$\$.+?\$\$|\$[^$]*?({NUMBER})?\$", re.DOTALL)
SUMS = re.compile(
    r"^## Check yourself\n.*?(?=^## |\Z)|^:::+\{choose\}.*?^:::+$", re.DOTALL | re.MULTILINE
)


def prose(page):
    """Return what people read of a page, line by line: no code, no directive's name or option."""
    lines, code, front = [], "", page.startswith("---\n")
    for number, line in enumerate(page.splitlines()):
        fence = re.match(r"\s*(`{3,})(.*)", line)
        if front:
            front, line = not (number and line == "---"), ""
        elif code:
            code, line = "" if line.strip() == code else code, ""
        elif fence:
            is_code = fence[2] and (fence[2][0] != "{" or fence[2].startswith("{code-cell}"))
            code, line = fence[1] if is_code else "", ""
        elif re.match(r":[\w-]+: ", line):
            line = ""
        lines.append(line)
    text = "\n".join(lines)
    return MATHEMATICS.sub(lambda found: (found[1] or "") + "\n" * found[0].count("\n"), text)


def known_numbers(rows, digits=1):
    """Return numbers of the handbook as pages show them, such as "541 N"."""
    known = set()
    for entry in rows:
        for unit, times in SHOWN_AS.get(entry.unit, {}).items():
            for value in (entry.value, entry.low, entry.high):
                number = f"{abs(value) * times:.6g}"
                if "e" not in number and len(number.replace(".", "").strip("0")) >= digits:
                    known.add(f"{float(number):g} {unit}")
    return known


def typed(page):
    """Yield line and name, as "16 mm", of each typed number that needs a reason to stand there."""
    text = prose(page)
    sums = [found.span() for found in SUMS.finditer(text)]
    exact = known_numbers(entries(), digits=3)
    for found in TYPED.finditer(text):
        paragraph = text[text.rfind("\n\n", 0, found.start()) + 1 :].partition("\n\n")[0]
        sources = {key for cited in CITED.findall(paragraph) for key in cited.split(",")}
        printed = known_numbers(row for row in entries() if row.source in sources)
        for number in re.findall(NUMBER, found["numbers"]):
            name = f"{float(number):g} {found['unit']}"
            if any(start <= found.start() < end for start, end in sums):
                if name not in exact:
                    continue
            elif sources and name not in printed:
                continue
            yield text.count("\n", 0, found.start()) + 1, name


def listed(name):
    """Return the numbers that may stand on a page."""
    return {
        number
        for reason in LISTED.values()
        for pages, numbers in reason.get("pages", {}).items()
        if pages in ("everywhere", name)
        for number in numbers
    }


@pytest.mark.parametrize("name", PAGES)
def test_no_number_is_typed_without_a_reason(name):
    allowed = listed(name)
    wild = [
        f"line {line}: {number}"
        for line, number in typed(PAGES[name].read_text(encoding="utf-8"))
        if number not in allowed
    ]
    assert wild == []


@pytest.mark.parametrize(
    ("words", "number"),
    [
        ("The band pulls 47.3 kgf in the notch.", "47.3 kgf"),
        ("| load | 47.3 kgf |", "47.3 kgf"),
        ("It stretches to 2.4 or 2.5\nm.", "2.5 m"),
        ("It leaves with $v_0 = 23.7$ m/s.", "23.7 m/s"),
        ("```{drawn} unit/name\nIt falls by 81 cm.\n```", "81 cm"),
        ("A hand holds 541 N {cite}`leyk2007`.", "541 N"),
        ("## Check yourself\n\nWhich hand holds 329 N?", "329 N"),
        (":::{choose} Which hand holds 329 N?\n+ One.\n  It does.\n:::", "329 N"),
    ],
)
def test_a_typed_number_is_found(words, number):
    assert number in [one for _, one in typed(f"# Title\n\n{words}\n")]
    glued = words.replace(number.split()[0], "{glue:text}`x`")
    assert number not in [one for _, one in typed(f"# Title\n\n{glued}\n")]


@pytest.mark.parametrize(
    "words",
    [
        "## Check yourself\n\n1. A band pulls 41 kgf. What then?",
        ":::{choose} A band pulls 41 kgf. What then?\n+ Nothing.\n  It does.\n:::",
        "A stick of 74 g balances {cite}`openstax_up1`.",
        "The band pulls {glue:text}`pull:.1f` kgf.",
        "```{code-cell} ipython3\nprint('47.3 kgf')\n```",
        "```sh\nbandwork 47.3 kgf\n```",
        "Take `47.3 m` of line, and $2m$ of mass.",
    ],
)
def test_what_is_free_is_not_found(words):
    assert list(typed(f"# Title\n\n{words}\n")) == []


def test_nothing_is_listed_that_is_not_typed():
    """So that the list stays as short as it can."""
    typed_on = {
        name: {number for _, number in typed(path.read_text(encoding="utf-8"))}
        for name, path in PAGES.items()
    }
    typed_on["everywhere"] = set().union(*typed_on.values())
    idle = [
        (name, number)
        for reason in LISTED.values()
        for name, numbers in reason["pages"].items()
        for number in numbers
        if number not in typed_on.get(name, ())
    ]
    assert idle == []


def test_each_list_says_why():
    assert all(len(reason["why"].split()) > 5 for reason in LISTED.values())
