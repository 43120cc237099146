"""Spoilt input files for the bench: each must end in a result or in one clear sentence.

`python -m tests.workshop.spoilt 10000` plays so many and prints what came of them. A case is a
command with one of its files spoilt: bytes, lines, words or, in a workbook, cells and its zip.
"""

import contextlib
import io
import random
import re
import signal
import sys
import tempfile
import time
import warnings
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from bandwork.cli import main

SECONDS = 20
"""Of the processor, that one command may take."""
MOST_SECONDS = 300
"""By the clock, on a busy machine too."""
ODD = ("nan", "-inf", "1e999", "-0", "0", "-1", "99999999999999999999", "0x10", "1_000", "1,5",
       "1.234,5", "1'234.5", "true", "[]", "[1, 2]", "{}", '""', '"', "''", "2026-01-01", "12:30",
       "\N{ARABIC-INDIC DIGIT ONE}\N{ARABIC-INDIC DIGIT TWO}", "9" * 400, "1e-320", "½", "5/0",
       "1/0", "=1+1", "=HYPERLINK(\"x\")", "../../etc/passwd", "/etc/passwd", "~/x", "\\\\host\\x",
       "C:\\x", "cm", "16 parsec", "16 mm mm", "kgf 55", "16 mm\n", "\\u0000", "#N/A", "-",
       "\N{MINUS SIGN}5", "5\N{NO-BREAK SPACE}000,1", "∞", "\N{RIGHT-TO-LEFT OVERRIDE}5", "😀")
BYTES = (b"\x00", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"\r", b"\n", b"\t", b"=", b"[", b"]",
         b'"', b"'''", b'"""', b"#", b";", b",", b"\x1b[31m", b"\xc3", b"\xed\xa0\x80")


def spoil_bytes(data: bytes, chance: random.Random) -> bytes:
    """Change, lose, add, double or cut off some bytes."""
    for _ in range(chance.choice((1, 1, 1, 2, 5, 40))):
        place = chance.randrange(len(data) + 1)
        end = min(len(data), place + chance.choice((1, 1, 2, 8, 60)))
        match chance.randrange(6):
            case 0:
                data = data[:place] + bytes([chance.randrange(256)]) + data[place + 1:]
            case 1:
                data = data[:place] + data[end:]
            case 2:
                data = data[:place] + chance.choice(BYTES) + data[place:]
            case 3:
                data = data[:place] + data[place:end] * chance.choice((2, 3, 50)) + data[end:]
            case 4:
                data = data[:place]
            case 5:
                data = data[:place] + chance.randbytes(chance.choice((1, 4, 30))) + data[end:]
    return data


def spoil_lines(data: bytes, chance: random.Random) -> bytes:
    """Lose, double, exchange or shuffle lines."""
    lines = data.split(b"\n")
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    match chance.randrange(5):
        case 0:
            del lines[one]
        case 1:
            lines.insert(other, lines[one])
        case 2:
            lines[one], lines[other] = lines[other], lines[one]
        case 3:
            chance.shuffle(lines)
        case 4:
            lines[one] = lines[one] * chance.choice((2, 300))
    return b"\n".join(lines)


def spoil_words(data: bytes, chance: random.Random) -> bytes:
    """Put something odd where a number, a word or a whole value stood."""
    text = data.decode("utf-8", errors="surrogateescape")
    pattern = chance.choice((r"-?\d+(?:[.,]\d+)?", r"\w+", r'"[^"\n]*"', r"[^;,\t\n]+",
                             r"(?<== )[^\n]+"))
    found = list(re.finditer(pattern, text))
    for _ in range(chance.choice((1, 1, 2, 4))):
        if found:
            there = chance.choice(found)
            swap = chance.choice((chance.choice(ODD), chance.choice(found).group()))
            text = text[:there.start()] + swap + text[there.end():]
            found = list(re.finditer(pattern, text))
    return text.encode("utf-8", errors="surrogateescape")


def spoil_cells(data: bytes, chance: random.Random) -> bytes:
    """Put something odd into cells of a workbook."""
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(data))
    sheet = book.active
    assert sheet
    for _ in range(chance.choice((1, 2, 5))):
        cell = sheet.cell(chance.randrange(1, sheet.max_row + 3), chance.randrange(1, 8))
        with contextlib.suppress(Exception):
            cell.value = chance.choice((*ODD, None, 0, -1, 1e308, True, time.localtime()[0]))
    match chance.randrange(8):
        case 0:
            sheet.merge_cells("A1:C3")
        case 1:
            sheet.delete_rows(chance.randrange(1, 5))
        case 2:
            book.create_sheet("another")
        case 3:
            sheet.title = "sheet 9"
        case 4:
            sheet.insert_cols(chance.randrange(1, 4))
    kept = io.BytesIO()
    try:
        book.save(kept)
    except Exception:
        return data[:len(data) // 2]
    return kept.getvalue()


def spoil_zip(data: bytes, chance: random.Random) -> bytes:
    """Spoil one file inside of a workbook, lose one, or add one that does not belong there."""
    kept = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, \
            zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as new:
        names = old.namelist()
        hit, how = chance.choice(names), chance.randrange(5)
        for name in names:
            inside = old.read(name)
            if name == hit and how == 0:
                continue
            if name == hit:
                inside = chance.choice((spoil_bytes, spoil_words))(inside, chance)
            if name == hit and how == 1:
                inside = inside.replace(b"?>", b'?><!DOCTYPE a [<!ENTITY b "bb">]>', 1)
            new.writestr(name, inside)
        if how == 2:
            new.writestr(chance.choice(("xl/vbaProject.bin", "../out.txt", "/tmp/out.txt",
                                        "xl/externalLinks/externalLink1.xml")), "x" * 1000)
        if how == 3:
            new.writestr("xl/worksheets/big.xml", b"0" * 30_000_000)
    return kept.getvalue()


TEXT = (spoil_bytes, spoil_lines, spoil_words, spoil_words)
BOOK = (spoil_bytes, spoil_cells, spoil_cells, spoil_zip)


@dataclass(frozen=True)
class Case:
    """A command and the files that it reads.

    Attributes
    ----------
    words : tuple of str
        The command line; a name in `files` stands for the file.
    files : dict of str to bytes
        By name, as they are when right.
    spoilt : str
        Which of them is spoilt.
    """

    words: tuple[str, ...]
    files: Mapping[str, bytes]
    spoilt: str


class Hung(BaseException):
    """A command took too long."""


def _too_long(*_: object) -> None:
    raise Hung


def run(words: list[str]) -> tuple[int | str, str, str]:
    """Run a command in this process; return its exit code or exception, and what it printed."""
    out, err = io.StringIO(), io.StringIO()
    signal.signal(signal.SIGALRM, _too_long)
    signal.signal(signal.SIGPROF, _too_long)
    signal.alarm(MOST_SECONDS)
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), \
                warnings.catch_warnings():
            warnings.simplefilter("error")
            code: int | str = main(words)
    except SystemExit as ended:
        code = int(ended.code or 0)
    except Hung:
        code = "hung"
    except BaseException as problem:
        code = f"{type(problem).__name__}: {problem}"
    finally:
        signal.alarm(0)
        signal.setitimer(signal.ITIMER_PROF, 0)
    return code, out.getvalue(), err.getvalue()


def fault(code: int | str, out: str, err: str, before: set[str], after: set[str]) -> str:
    """Return what is wrong with how a command ended, "" if nothing."""
    if code not in (0, 1):
        return f"ended with {code}"
    if "Traceback" in out + err or "Warning" in err:
        return "showed Python's own words"
    if code == 1 and (not err.startswith("bandwork: ") or err.count("\n") != 1
                      or len(err) > 1000 or not err.rstrip().endswith((".", "?"))):
        return f"did not say one sentence: {err[:300]!r}"
    if code == 1 and after != before:
        return f"left behind {sorted(after - before)}"
    if any(not one.isprintable() for one in (out + err).replace("\n", "").replace("\t", "")):
        return "printed what a terminal obeys"
    return ""


def play(cases: list[Case], how_many: int, seed: int = 0
         ) -> Iterator[tuple[int, Case, Callable[[bytes, random.Random], bytes], str, str]]:
    """Yield each spoilt case: its number, how it was spoilt, how it ended, what is wrong."""
    for number in range(how_many):
        chance = random.Random(f"{seed} {number}")
        case = chance.choice(cases)
        how = chance.choice(BOOK if case.spoilt.endswith(".xlsx") else TEXT)
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            for name, data in case.files.items():
                (folder / name).write_bytes(how(data, chance) if name == case.spoilt else data)
            words = [str(folder / one) if one in case.files or one.startswith("new-") else one
                     for one in case.words]
            before = {str(one.relative_to(folder)) for one in folder.rglob("*")}
            code, out, err = run(words)
            after = {str(one.relative_to(folder)) for one in folder.rglob("*")}
        yield number, case, how, str(code), fault(code, out, err, before, after)


def report(cases: list[Case], how_many: int, seed: int = 0) -> int:
    """Play and print; return how many went wrong."""
    ended: Counter[tuple[str, str]] = Counter()
    wrong, slowest = 0, 0.0
    began = last = time.process_time()
    for number, case, how, code, what in play(cases, how_many, seed):
        slowest, last = max(slowest, time.process_time() - last), time.process_time()
        ended[case.words[0], code if code in ("0", "1") else "other"] += 1
        if what:
            wrong += 1
            print(f"{number}: {' '.join(case.words)}, {case.spoilt} by {how.__name__}: {what}")
        if number % 500 == 499:
            print(f"  {number + 1} of {how_many}, {wrong} wrong, "
                  f"{(number + 1) / (time.monotonic() - began):.0f} a second", file=sys.stderr)
    for (command, code), count in sorted(ended.items()):
        print(f"  {command:10} ended with {code}: {count}")
    print(f"{how_many} spoilt inputs, {wrong} wrong, the slowest {slowest:.1f} s "
          "of the processor")
    return wrong


PULLS = b"""Tidewater Evening Club (invented);;
outer diameter: 16 mm;;
bore: 3 mm;;
marks apart relaxed: 20 cm;;
temperature: 19 C;;
date: 2026-11-21;;

marks apart, cm;pulled out, kgf;let back, kgf
25;5,4;4,2
30;8,6;7,3
40;12,4;11,0
50;15,9;14,2
60;19,2;17,6
70;22,4;21,1
80;27,0;27,0
"""
SHELF = b"""cuts = 2
[diver]
load_capacity = "51 kgf"
reach = "90 cm"
[[barrels]]
length = "120 cm"
[[tubes]]
outer_diameter = "16 mm"
bore = "3 mm"
[[shafts]]
diameter = "7 mm"
length = "160 cm"
[[lines]]
diameter = "1.7 mm"
"""


def workbook() -> bytes:
    """Return the pull test as a workbook with a merged title."""
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet
    for line in PULLS.decode().splitlines():
        sheet.append([float(one.replace(",", ".")) if re.fullmatch(r"[\d,]+", one) else one or None
                      for one in line.split(";")])
    sheet.merge_cells("A1:C1")
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def cases() -> list[Case]:
    """Return every command of the bench with each file that it reads, the quick ones more often."""
    from bandwork.workshop.blank import template

    gun = template().encode()
    tube = gun.replace(b'# rubber = "roll-7', b'rubber = "roll-7')
    rubber = (b'name = "roll 7"\ntemperature = "19 C"\nlongest_stretch = 4.0\n'
              b"factor = [1.0, 1.1, 1.2]\n")
    law = (b'name = "roll 8"\n[law]\nkind = "gent-gent"\nmu = "0.24 MPa"\nc2 = "0.3 MPa"\njm = 80\n'
           b"[stiffness]\nlow = 0.9\nbest = 1\nhigh = 1.1\n")
    read = ("fit", "pull", "--write", "new-roll.rubber.toml", "--plot", "new-pull.svg")
    often = [
        Case(("predict", "gun.toml", "--quick"), {"gun.toml": gun}, "gun.toml"),
        Case(("predict", "gun.toml", "--json", "--units", "us"), {"gun.toml": gun}, "gun.toml"),
        Case(("predict", "gun.toml", "--csv", "--quick"),
             {"gun.toml": tube, "roll-7.rubber.toml": rubber}, "roll-7.rubber.toml"),
        Case(("predict", "gun.toml"), {"gun.toml": tube, "roll-7.rubber.toml": law},
             "roll-7.rubber.toml"),
        *(Case(tuple(f"pull.{kind}" if one == "pull" else one for one in read),
               {f"pull.{kind}": data}, f"pull.{kind}")
          for kind, data in (("csv", PULLS), ("xlsx", workbook()))),
    ]
    seldom = [
        Case(("compare", "gun.toml", "other.toml", "--csv"), {"gun.toml": gun, "other.toml": gun},
             "other.toml"),
        Case(("tune", "gun.toml", "--load", "45 kgf"), {"gun.toml": gun}, "gun.toml"),
        Case(("search", "shelf.toml", "--write", "1", "new-gun.toml"), {"shelf.toml": SHELF},
             "shelf.toml"),
        Case(("show", "gun.toml", "--out", "new-gun.html"), {"gun.toml": gun}, "gun.toml"),
        Case(("sheet", "setup", "gun.toml", "--out", "new-sheet.pdf"), {"gun.toml": gun},
             "gun.toml"),
        Case(("sheet", "cuts", "gun.toml", "--out", "new-cuts.pdf"), {"gun.toml": gun}, "gun.toml"),
    ]
    return 4 * often + seldom


if __name__ == "__main__":
    given = [int(one) for one in sys.argv[1:]]
    sys.exit(report(cases(), *(given or [10_000])) > 0)
