"""Set-up files broken at random: `python -m tests.workshop.mutated [how many] [seed]`.

Each ends in a prediction or in one sentence. A broken file is one of ours with some of: a byte
changed, a piece cut out or doubled, two lines swapped, a value put in another's place.
"""

import random
import re
import sys
import tempfile
import time
from pathlib import Path

from bandwork.interval import Interval
from bandwork.rubber import handbook_rubber
from bandwork.validation import InputError
from bandwork.workshop.answer import answer
from bandwork.workshop.blank import template
from bandwork.workshop.files import Rubber, read_gun, read_rubber, read_shelf, rubber_text
from bandwork.workshop.quantities import Units

VALUES = ("nan", "inf", "-inf", "1e400", "-0.0", "0", "-1", "1" + "0" * 400, "true", "[]", "{}",
          "[[1]]", "[1, 2, 3]", "2026-11-21", "12:00:00", '""', '"\\u0000"', '"\\n"', '"1,200 m"',
          '"1e99999 m"', '"16 furlong"', '"-5 cm"', '"1/0 in"', "'''x'''", '"' + "9" * 200 + ' m"',
          '"../x.toml"', '"/etc/passwd"', '"gun.toml"', "{length = 1}", '"NaN m"', '"∞ m"', "0x7f",
          "1_0", '"300 N"', '"3 m"', '"2 mm"', '"100 C"', "[nan, nan, nan]", "[3, 2, 1]")
SHELF = """
cuts = 2
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
RUBBER = rubber_text(Rubber("Roll", handbook_rubber(), Interval(0.9, 1, 1.1), 20, 5, "2026-11-21"))


def broken(text, draw):
    """Return a file's bytes with one to four things wrong with them."""
    for _ in range(draw.randint(1, 4)):
        lines = text.split("\n")
        row = draw.randrange(len(lines))
        way = draw.randrange(6)
        if way == 0:
            lines[row] = re.sub("=.*", lambda _: f"= {draw.choice(VALUES)}", lines[row])
        elif way == 1:
            lines.insert(draw.randrange(len(lines)), lines[row])
        elif way == 2:
            del lines[row:row + draw.randint(1, 5)]
        elif way == 3:
            other = draw.randrange(len(lines))
            lines[row], lines[other] = lines[other], lines[row]
        text = "\n".join(lines)
        place = draw.randrange(len(text) + 1)
        if way == 4:
            text = text[:place] + chr(draw.choice((0, 9, 10, 34, 39, 46, 61, 91, 93, 0xe9, 0x2028,
                                                   draw.randrange(32, 127)))) + text[place + 1:]
        elif way == 5:
            text = text[:place] + text[place:place + draw.randint(1, 60)] + text[place:]
    raw = bytearray(text.encode())
    if draw.random() < 0.1 and raw:
        raw[draw.randrange(len(raw))] = draw.randrange(256)
    return bytes(raw)


def try_all(how_many, seed=0):
    """Return how many ended in a result and how many in a sentence, and the slowest [s]."""
    draw = random.Random(seed)
    results, sentences, slowest = 0, 0, 0.0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "gun.toml"
        for number in range(how_many):
            kind = draw.choice(("gun", "gun", "gun", "shelf", "rubber"))
            raw = broken({"gun": template(), "shelf": SHELF, "rubber": RUBBER}[kind], draw)
            path.write_bytes(raw)
            start = time.process_time()
            try:
                if kind == "gun":
                    told = answer(read_gun(path), Units(), quick=True)
                    assert all((told.text(), told.as_json(), told.as_csv()))
                else:
                    (read_shelf if kind == "shelf" else read_rubber)(path)
                results += 1
            except InputError as refusal:
                said = str(refusal)
                assert re.fullmatch(r"[^\n]{15,900}\.", said), (number, said)
                sentences += 1
            except Exception:
                print(f"number {number} of seed {seed}:", raw, file=sys.stderr)
                raise
            slowest = max(slowest, time.process_time() - start)
        assert [one.name for one in Path(folder).iterdir()] == ["gun.toml"]
    return results, sentences, slowest


if __name__ == "__main__":
    given = [int(one) for one in sys.argv[1:]]
    good, said, slowest = try_all(*(given or [10_000]))
    print(f"{good} results, {said} sentences, slowest {slowest:.2f} s of the processor")
