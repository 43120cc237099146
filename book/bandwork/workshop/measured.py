"""What the cells of a table mean: a pull test, a float test, muzzle speeds, drops, and so on.

Headings are known by a small list of words in English, Polish, German, Spanish and French (common
practice, no source). What stands above a table, as on the printed sheets, gives what all readings
share: "relaxed length: 20 cm", a cell with its value to the right, or a heading with its value
below. Units are never guessed.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from difflib import get_close_matches
from functools import cached_property, lru_cache
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from bandwork.validation import InputError, shown
from bandwork.workshop.quantities import in_unit, unit_of
from bandwork.workshop.tables import (
    MOST_COLUMNS,
    Cell,
    Mark,
    Table,
    letters,
    number,
    parse,
    settle_mark,
)


class Role(NamedTuple):
    """What a column or a key says.

    Attributes
    ----------
    says : str
        For people: "the pull".
    unit : str
        The SI unit of its kind; "1" for counts, "text" and "date" for what is no number.
    words : tuple of str
        Headings that mean it, small letters without accents.
    many : bool
        Whether several columns may say it.
    """

    says: str
    unit: str
    words: tuple[str, ...]
    many: bool = False


class Roles(dict[str, Role]):
    """What the columns or keys of a kind of test say, with their phrases looked up at once."""

    @cached_property
    def phrases(self) -> dict[tuple[str, ...], tuple[int, str]]:
        """By phrase, the role that it means and the role's place among all; the first role's."""
        found: dict[tuple[str, ...], tuple[int, str]] = {}
        for place, (name, role) in enumerate(self.items()):
            for phrase in role.words:
                found.setdefault(tuple(phrase.split()), (place, name))
        return found

    @cached_property
    def longest(self) -> int:
        """Words of the longest phrase [1]."""
        return max(map(len, self.phrases))


def _words(told: str) -> tuple[str, ...]:
    return tuple(one.strip() for one in told.split(","))


_DATE = Role("the date", "date", _words("date, day, data, dzien, datum, tag, fecha, dia, jour"))
_BAND = Role("the band", "text", _words(
    "band, tube, roll, guma, rolka, gummi, schlauch, rolle, goma, tubo, rollo, elastique, tube, "
    "rouleau"))
_TEMPERATURE = Role("the temperature", "degrees Celsius", _words(
    "air, water, temperature, temp, powietrze, woda, temperatura, luft, wasser, temperatur, aire, "
    "agua, eau"))

COLUMNS: dict[str, Roles] = {
    "pull": Roles({
        "back": Role("the pull when let back", "N", _words(
            "let back, back, return, unloading, powrot, z powrotem, odciazanie, zuruck, zurueck, "
            "ruckweg, entlastung, vuelta, retorno, regreso, descarga, retour, decharge")),
        "elongation": Role("the elongation", "%", _words(
            "elongation, strain, wydluzenie, dehnung, alargamiento, elongacion, allongement")),
        "stretch": Role("the stretch ratio", "1", _words(
            "stretch ratio, stretch, lambda, krotnosc, streckverhaltnis, verstreckung, streckung, "
            "estiramiento, etirement")),
        "extension": Role("how much the marks moved apart", "m", _words(
            "extension, extra length, added length, verlangerung, verlaengerung, rallongement")),
        "pull": Role("the pull", "N", _words(
            "pulled out, pull, pulled, force, load, tension, scale, reading, sila, ciag, "
            "ciagniecie, naciag, obciazenie, waga, gezogen, zug, zugkraft, kraft, last, waage, "
            "fuerza, traccion, carga, tiro, bascula, traction, charge, tirage, peson")),
        "length": Role("the distance of the marks", "m", _words(
            "marks apart, marks, mark, length, distance, znaki, rozstaw, odleglosc, odstep, "
            "dlugosc, marken, markenabstand, abstand, lange, laenge, longitud, marcas, distancia, "
            "longueur, reperes, ecart")),
        "date": _DATE,
        "band": _BAND,
    }),
    "float": Roles({
        "grip": Role("the scale's reading at the grip", "kg", _words(
            "at the grip, grip, uchwyt, przy uchwycie, griff, empunadura, poignee")),
        "muzzle": Role("the scale's reading near the muzzle", "kg", _words(
            "near the muzzle, muzzle, wylot, przy wylocie, mundung, muendung, boca, bouche")),
    }),
    "speed": Roles({
        "first": Role("the tail in the first picture", "m", _words(
            "first, first picture, pierwszy, pierwsza, pierwszym, erstes, erstem, ersten, "
            "primera, primer, premiere")),
        "last": Role("the tail in the last picture", "m", _words(
            "last, last picture, ostatni, ostatnia, ostatnim, letztes, letztem, letzten, ultima, "
            "ultimo, derniere")),
        "pictures": Role("the pictures between", "1", _words(
            "pictures between, pictures, frames, klatki, klatek, bilder, imagenes, fotogramas, "
            "images")),
    }),
    "reach": Roles({
        "reach": Role("the way from the muzzle to the tip", "m", _words(
            "muzzle to tip, reach, again, zasieg, ponownie, reichweite, nochmal, alcance, otra "
            "vez, portee, encore"), many=True),
    }),
    "sinking": Roles({
        "depth": Role("the way down", "m", _words(
            "way down, depth, glebokosc, tiefe, profundidad, profondeur")),
        "time": Role("the time", "s", _words("time, czas, zeit, tiempo, temps"), many=True),
    }),
    "drop": Roles({
        "range": Role("the way from the muzzle to the board", "m", _words(
            "muzzle to board, board, range, distance, odleglosc, entfernung, distancia")),
        "drop": Role("the drop", "m", _words(
            "drop, opad, spadek, fall, fallhohe, fallhoehe, caida, chute"), many=True),
    }),
}
"""By kind of test: what its columns say. Where two roles could mean one heading, the first does."""

NEEDED: dict[str, tuple[tuple[str, ...], ...]] = {
    "pull": (("length", "stretch", "extension", "elongation"), ("pull",)),
    "float": (("grip",), ("muzzle",)), "speed": (("first",), ("last",)),
    "reach": (("reach",),), "sinking": (("depth",), ("time",)), "drop": (("range",), ("drop",)),
}
"""By kind of test: of each group one column at least."""

KEYS: dict[str, Roles] = {
    "pull": Roles({
        "relaxed": Role("the distance of the marks when relaxed", "m", _words(
            "relaxed length, relaxed, marks apart before, marks before, before, rest length, "
            "initial length, dlugosc poczatkowa, dlugosc spoczynkowa, rozstaw poczatkowy, przed, "
            "ausgangslange, anfangslange, ruhelange, entspannt, vorher, ungedehnt, "
            "longitud inicial, reposo, antes, longueur initiale, longueur au repos, repos, avant")),
        "after": Role("the distance of the marks afterwards", "m", _words(
            "marks apart after, after, potem, nachher, despues, apres")),
        "bore": Role("the bore", "m", _words(
            "bore, inner diameter, inside diameter, srednica wewnetrzna, otwor, "
            "innendurchmesser, bohrung, diametro interior, diametre interieur, alesage")),
        "outer": Role("the outer diameter", "m", _words(
            "outer diameter, outside diameter, diameter, srednica zewnetrzna, srednica, "
            "aussendurchmesser, durchmesser, diametro exterior, diametro, diametre exterieur, "
            "diametre")),
        "temperature": _TEMPERATURE,
        "date": _DATE,
        "scale": Role("the scale", "text", _words("scale, waga, waage, bascula, peson")),
        "band": _BAND,
    }),
    "float": Roles({
        "balance": Role("the way from the grip to the balance point in air", "m", _words(
            "balance point, balance, srodek ciezkosci, schwerpunkt, centro de gravedad, "
            "punto de equilibrio, centre de gravite, point d equilibre")),
        "lead": Role("the lead at the grip", "kg", _words("lead, olow, blei, plomo, plomb")),
        "mass": Role("the mass in air", "kg", _words(
            "mass in air, mass, weight in air, masa, masse, gewicht, peso, poids")),
        "way": Role("the way from loop to loop", "m", _words(
            "loop to loop, loops, petle, schlaufen, lazos, boucles")),
        "temperature": _TEMPERATURE,
        "date": _DATE,
    }),
    "speed": Roles({
        "rate": Role("the pictures a second", "1", _words(
            "pictures a second, pictures per second, frames per second, frame rate, fps, klatki na "
            "sekunde, bilder pro sekunde, bildrate, imagenes por segundo, images par seconde")),
        "pictures": COLUMNS["speed"]["pictures"],
        "temperature": _TEMPERATURE,
        "date": _DATE,
    }),
    "reach": Roles({"date": _DATE}),
    "sinking": Roles({"temperature": _TEMPERATURE, "date": _DATE}),
    "drop": Roles({"temperature": _TEMPERATURE, "date": _DATE}),
}
"""By kind of test: what all its readings share, from above the table or from --given."""

_ANY_KEY = Roles({f"{kind} {name}": role for kind, roles in KEYS.items()
                  for name, role in roles.items()})

_ALIASES = {"kp": ("kgf", 1.0), "kilo": ("kgf", 1.0), "kilos": ("kgf", 1.0), "dan": ("N", 10.0),
            "pounds": ("lb", 1.0), "libras": ("lb", 1.0), "zoll": ("in", 1.0), "cal": ("in", 1.0),
            "cale": ("in", 1.0), "pulgadas": ("in", 1.0), "pouces": ("in", 1.0),
            "sek": ("s", 1.0), "sec": ("s", 1.0)}
"""Units of the trade's languages: the unit that the library knows, and how many of it."""

_NOTHING = {"", "-", "\N{EN DASH}", "\N{EM DASH}", "n/a"}


@dataclass(frozen=True)
class Row:
    """One line of readings.

    Attributes
    ----------
    line : int
        Its line or row in the file.
    values : dict of str to tuple of float
        By role [SI]; several where several columns say it.
    texts : dict of str to str
        Band and date as written, the date as 2026-11-21.
    """

    line: int
    values: dict[str, tuple[float, ...]]
    texts: dict[str, str] = field(default_factory=dict)

    def one(self, role: str) -> float:
        """Return the reading of a role that one column says [SI].

        Parameters
        ----------
        role : str

        Returns
        -------
        float
            [SI].
        """
        return self.values[role][0]


@dataclass(frozen=True)
class Measured:
    """A table's readings.

    Attributes
    ----------
    path : Path
        The file.
    kind : str
        A key of `COLUMNS`.
    rows : tuple of Row
        The readings [SI].
    shared : dict of str to float
        What all readings share, by keys of `KEYS` [SI].
    texts : dict of str to str
        Date, band and scale, where they are said, and what stands beside the temperature: "18,
        fresh".
    habits : tuple of str
        How the file was read, for people.
    """

    path: Path
    kind: str
    rows: tuple[Row, ...]
    shared: dict[str, float]
    texts: dict[str, str]
    habits: tuple[str, ...]

    def need(self, *names: str) -> list[float]:
        """Return what all readings share, or refuse what is missing.

        Parameters
        ----------
        *names : str
            Keys of `KEYS`.

        Returns
        -------
        list of float
            [SI].

        Raises
        ------
        InputError
            Naming all that is missing.
        """
        known = KEYS[self.kind]
        missing = [name for name in names if name not in self.shared]
        if missing:
            first = missing[0]
            example = f"{known[first].words[0]}: {_example(first, known[first])}"
            told = _listed(known[one].says for one in missing)
            raise InputError(f'{self.path.name} does not say {told}; write "{example}" above the '
                             f'table, or say --given "{example}".')
        return [self.shared[name] for name in names]

    @property
    def salty(self) -> bool:
        """Whether the water is said to be salt beside its temperature."""
        return bool(set(_plain(self.texts.get("water", ""))) & _SALT)


_SALT = {"salt", "sea", "slona", "morska", "salz", "salzig", "meer", "salada", "mar", "salee",
         "mer"}
_FRESH = {"fresh", "lake", "slodka", "jezioro", "suss", "susswasser", "see", "dulce", "lago",
          "douce", "lac"}

_EXAMPLES = {"outer": "16 mm", "bore": "3 mm", "mass": "1.65 kg", "balance": "57 cm",
             "way": "110 cm", "pictures": "9",
             "m": "20 cm", "degrees Celsius": "19 C", "kg": "200 g", "1": "240",
             "date": "2026-11-21", "N": "5.4 kg", "s": "1.9 s"}


def _example(name: str, role: Role) -> str:
    return _EXAMPLES.get(name) or _EXAMPLES[role.unit]


_MOST_LISTED = 6


def _listed(told: Iterable[str]) -> str:
    words = list(told)
    if len(words) > _MOST_LISTED:
        words[_MOST_LISTED - 1:] = [f"{len(words) - _MOST_LISTED + 1} more"]
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


# --- Words ----------------------------------------------------------------------------------------

@lru_cache(maxsize=4096)
def _plain(text: str) -> tuple[str, ...]:
    """Return a heading's words in small letters, without accents."""
    spread = unicodedata.normalize("NFKD", text.casefold().replace("ł", "l").replace("λ", "lambda"))
    bare = "".join(sign for sign in spread if not unicodedata.combining(sign))
    return tuple(re.findall(r"[a-z]+|\d+", bare))


def _says(text: str, roles: Roles) -> str | None:
    """Return the role of a heading: the longest phrase wins, of equal ones the first role's."""
    given = _plain(text)
    for long in range(min(roles.longest, len(given)), 0, -1):
        meant = [known for at in range(len(given) - long + 1)
                 if (known := roles.phrases.get(given[at:at + long]))]
        if meant:
            return min(meant)[1]
    return None


def _unit(texts: Iterable[str], kind: str, what: str) -> tuple[str, float] | None:
    """Return the unit that a heading names and its factor; None if it names none."""
    found: dict[tuple[str, float], None] = {}
    inch: tuple[str, float] | None = None
    for text in texts:
        tokens = [one for one in re.split(r"[\s,;:()\[\]{}/_|]+", text) if one]
        alone = [one.strip() for one in re.split(r"[,;:()\[\]{}/|]", text)]
        for place, token in enumerate(tokens):
            bare = token.rstrip(".") or token
            known = _ALIASES.get(bare.casefold())
            if known is None:
                try:
                    known = (unit_of(kind, bare, what), 1.0)
                except InputError:
                    continue
            else:
                try:
                    unit_of(kind, known[0], what)
                except InputError:
                    continue
            if known[0] == "in":
                if place == len(tokens) - 1 or token in alone:
                    inch = known
            elif known[0]:
                found[known] = None
    if len(found) > 1:
        told = _listed(repr(unit) for unit, _ in found)
        raise InputError(f"{what} is headed {shown(' '.join(texts))}, which names {told}; name one "
                         "unit.")
    return next(iter(found)) if found else inch


# --- Finding the table ----------------------------------------------------------------------------

@dataclass(frozen=True)
class _Block:
    """A table within the file: where its readings begin and end, and what its columns say."""

    kind: str
    top: int
    first: int
    last: int
    roles: dict[int, str]
    heads: dict[int, tuple[str, ...]]


def _numeric(cell: Cell) -> bool:
    return cell.value is not None or parse(cell.text) is not None


def _heads(table: Table, at: int, depth: int) -> dict[int, tuple[str, ...]]:
    """Return by column the texts of one heading row or of two, merged cells read through."""
    told: dict[int, tuple[str, ...]] = {}
    carried = ""
    for cell in table.rows[at]:
        own = cell.text or table.spans.get((cell.line, cell.column), "")
        below = table.rows[at + 1][cell.column - 1].text if depth == 2 else ""
        if not own and below:
            own = carried
        carried = own or ("" if not below else carried)
        told[cell.column] = tuple(one for one in (own, below) if one)
    return told


def _satisfied(kind: str, roles: Mapping[int, str]) -> bool:
    return all(set(group) & set(roles.values()) for group in NEEDED[kind])


def _matched(kind: str, heads: Mapping[int, tuple[str, ...]]) -> dict[int, str]:
    """Return the roles of the columns that have one."""
    found: dict[int, str] = {}
    for column, texts in heads.items():
        role = _says(" ".join(texts), COLUMNS[kind])
        if role:
            found[column] = role
    return found


def _two_deep(table: Table, at: int) -> bool:
    """Say whether the row below a heading goes on with it: no numbers, but units or words."""
    return (at + 1 < len(table.rows) and not any(map(_numeric, table.rows[at + 1]))
            and any(cell.text for cell in table.rows[at + 1]))


def _blocks(table: Table, kind: str | None) -> list[_Block]:
    """Return the tables of the file, in their order."""
    kinds = [kind] if kind else list(COLUMNS)
    found: list[_Block] = []
    for depth in (1, 2):
        for at, row in enumerate(table.rows):
            if any(map(_numeric, row)) or (depth == 2 and not _two_deep(table, at)):
                continue
            if sum(bool(cell.text) for cell in row) == 1 and not any(
                    map(_numeric, (*table.rows, ())[at + depth])):
                continue  # a title or a note
            heads = _heads(table, at, depth)
            fit = {one: roles for one in kinds
                   if _satisfied(one, roles := _matched(one, heads))}
            if len(fit) > 1:
                raise InputError(f"{table.path.name}, {row[0].place.partition(',')[0]}, may head "
                                 f"{_listed(fit)}; say which with --kind.")
            for one, roles in fit.items():
                deep = depth
                if depth == 1 and _two_deep(table, at):
                    fuller = _heads(table, at, 2)
                    if _goes_on(one, roles, table.rows[at + 1]):
                        heads, roles, deep = fuller, _matched(one, fuller), 2
                found.append(_Block(one, at, at + deep, len(table.rows), roles, heads))
        if found:
            break
    return [replace(block, last=min([other.top for other in found if other.top > block.top],
                                    default=len(table.rows))) for block in found]


def _goes_on(kind: str, roles: Mapping[int, str], below: Sequence[Cell]) -> bool:
    """Say whether the row below a heading holds units or parts of it, not a note."""
    for cell in below:
        role = COLUMNS[kind].get(roles.get(cell.column, ""))
        if cell.text and role and role.unit not in ("1", "text", "date", "%") and _unit(
                [cell.text], role.unit, role.says):
            return True
    return sum(bool(_says(cell.text, COLUMNS[kind])) for cell in below if cell.text) > 1


def _by_letters(table: Table, kind: str | None, columns: str) -> _Block:
    """Return the table whose columns the user names: "length=B,pull=C:kgf"."""
    if kind is None:
        raise InputError(f"--columns needs --kind; accepted are {', '.join(COLUMNS)}.")
    roles: dict[int, str] = {}
    units: dict[int, str] = {}
    for part in columns.split(","):
        found = re.fullmatch(r"\s*(\w+)\s*=\s*([A-Za-z]{1,2})\s*(?::\s*(\S+)\s*)?", part)
        if not found:
            raise InputError(f"--columns holds {shown(part)}; write it as length=B,pull=C, or with "
                             "units as length=B:cm,pull=C:kgf.")
        name, letter, unit = found.groups()
        if name not in COLUMNS[kind]:
            raise InputError(f"--columns names {name!r}; a {kind} table has "
                             f"{', '.join(COLUMNS[kind])}.")
        number_of = 0
        for sign in letter.upper():
            number_of = 26 * number_of + ord(sign) - ord("A") + 1
        if number_of > min(MOST_COLUMNS, len(table.rows[0])):
            raise InputError(f"--columns names column {letter.upper()}; {table.path.name} has "
                             f"columns A to {letters(len(table.rows[0]))}.")
        roles[number_of] = name
        if unit:
            units[number_of] = unit
    if not _satisfied(kind, roles):
        told = " and ".join(" or ".join(group) for group in NEEDED[kind])
        raise InputError(f"--columns names {', '.join(roles.values())}; a {kind} table needs "
                         f"{told}.")
    first = next((at for at, row in enumerate(table.rows)
                  if all(_numeric(row[column - 1]) or row[column - 1].text in _NOTHING
                         for column in roles) and any(_numeric(row[column - 1])
                                                      for column in roles)), None)
    if first is None:
        raise InputError(f"{table.path.name} has no row with numbers in the columns that --columns "
                         "names.")
    heads = {column: (f"({units[column]})",) if column in units else tuple(
        table.rows[at][column - 1].text for at in range(max(0, first - 2), first))
        for column in roles}
    return _Block(kind, max(0, first - 1), first, len(table.rows), roles, heads)


# --- Keys -----------------------------------------------------------------------------------------

def _keys(table: Table, top: int, roles: Roles
          ) -> Iterator[tuple[str, str, list[Cell]]]:
    """Yield role, heading and cells of the values that stand above a table."""
    below: Sequence[Cell] = ()
    for at, row in enumerate(table.rows[:top]):
        if row is below:
            continue
        known = {cell.column: role for cell in row
                 if cell.text and not _numeric(cell) and (role := _says(cell.text, roles))}
        numbers = any(_numeric(cell) or _day(cell.text) for cell in row)
        heads = len({said for cell in row if cell.text and (said := _says(cell.text, _ANY_KEY))})
        if heads == 1 and known:  # "tube" with "roll 7" to its right
            first = min(known)
            known = {first: known[first]}
        for cell in row:
            head, mark, tail = (cell.text.partition(":") if ":" in cell.text
                                else cell.text.partition("="))
            if mark and tail.strip():
                role = _says(head, roles)
                if role:
                    yield role, head, [replace(cell, text=tail.strip(), value=None)]
                continue
            if cell.column not in known:
                continue
            role = known[cell.column]
            if heads > 1 and not numbers:
                below = table.rows[at + 1] if at + 1 < top else ()
                if below and below[cell.column - 1].text:
                    yield role, cell.text, [below[cell.column - 1]]
                continue
            values = []
            for other in row[cell.column:]:
                if other.column in known:
                    break
                if other.text:
                    values.append(other)
            if values:
                yield role, cell.text, values[:2]


_DATES = (r"(?P<y>\d{4})-(?P<m>\d{1,2})-(?P<d>\d{1,2})",
          r"(?P<d>\d{1,2})\.\s?(?P<m>\d{1,2})\.\s?(?P<y>\d{4})")


def _day(text: str) -> str:
    """Return a date as 2026-11-21; "" if the text does not begin with one."""
    for pattern in _DATES:
        found = re.match(pattern + r"(?!\d)", text.strip())
        if found:
            try:
                return date(*(int(found.group(part)) for part in "ymd")).isoformat()
            except ValueError:
                return ""
    return ""


def _dated(cell: Cell) -> str:
    found = _day(cell.text)
    if not found:
        raise InputError(f"{cell.place} reads {shown(cell.text)} for the date; write it as "
                         "2026-11-21.")
    return found


_INCHES = re.compile(r"(?:(\d{1,2})[ -])?(\d{1,2})/(2|4|8|16|32|64)(?!\d)")


def _fractions(cell: Cell, head: str, role: Role) -> list[Cell]:
    """Return the inches that a cell holds as fractions, such as "5/8 in"; none if it has none."""
    if cell.value is not None or role.unit != "m":
        return []
    found = list(_INCHES.finditer(cell.text))
    rest = _INCHES.sub(" ", cell.text)
    if not found or re.search(r"\d", rest) or any(int(one[2]) >= int(one[3]) for one in found):
        return []
    unit = _unit([rest], role.unit, role.says) or _unit([head], role.unit, role.says)
    if unit is None or unit[0] not in ("in", "inch", "inches", '"'):
        return []
    return [replace(cell, value=int(one[1] or 0) + int(one[2]) / int(one[3]), unit="in")
            for one in found]


def _several(cell: Cell) -> list[Cell]:
    """Return the numbers that one cell holds, as "16.0 / 16.1" where something is asked twice."""
    if cell.value is not None or parse(cell.text):
        return [cell]
    for pattern in (r"\s*[/;|]\s*|\s+(?:and|i|und|y|et)\s+", r"\s+"):
        parts = [part for part in re.split(pattern, cell.text) if part]
        if 1 < len(parts) <= 4 and all(map(parse, parts)):
            return [replace(cell, text=part) for part in parts]
    first = re.split(r"[,;]\s+|\s+\(", cell.text)[0]
    return [replace(cell, text=first)] if parse(first) else [cell]


# --- All of it ------------------------------------------------------------------------------------

def read_measured(table: Table, *, kind: str | None = None, columns: str | None = None,
                  given: Sequence[str] = (), decimal: Mark | None = None,
                  without: Sequence[int] = ()) -> list[Measured]:
    """Return the readings of a file.

    Parameters
    ----------
    table : Table
        From `tables.read_table`.
    kind : str, optional
        A key of `COLUMNS`, where the headings do not say it or say several.
    columns : str, optional
        "length=B,pull=C", where the headings are not known; needs `kind`.
    given : sequence of str
        Lines such as "relaxed length: 20 cm", which come before what the file says.
    decimal : {",", "."}, optional
        The decimal mark, where the file does not settle it.
    without : sequence of int
        Lines that are left out.

    Returns
    -------
    list of Measured
        One for each kind of test in the file.

    Raises
    ------
    InputError
        If no table is found, a number cannot be read, a unit is missing or what is given is in
        doubt; the sentence names the place.
    """
    if kind is not None and kind not in COLUMNS:
        raise InputError(f"--kind is {kind!r}; accepted are {', '.join(COLUMNS)}.")
    lines = {row[0].line for row in table.rows}
    for line in without:
        if line not in lines:
            raise InputError(f"--without names line {line}, which {table.path.name} does not hold "
                             "or holds blank.")
    blocks = [_by_letters(table, kind, columns)] if columns else _blocks(table, kind)
    if not blocks:
        raise _unknown(table, kind)
    for block in blocks:
        alike = [other for other in blocks if other.kind == block.kind]
        if len(alike) > 1:
            places = _listed(table.rows[other.top][0].place.partition(",")[0] for other in alike)
            raise InputError(f"{table.path.name} holds more than one {block.kind} table, at "
                             f"{places}; keep one in a file.")
    try:
        return [_measured(table, block, given, decimal, set(without)) for block in blocks]
    except InputError as problem:
        raise named(table.path, problem) from None


def named(path: Path, problem: InputError) -> InputError:
    """Return a refusal that names the file.

    Parameters
    ----------
    path : Path
        The file.
    problem : InputError
        The refusal, which may name it already.

    Returns
    -------
    InputError

    Raises
    ------
    InputError
        Never: it is returned, to be raised where it was caught.
    """
    told = str(problem)
    return problem if path.name in told else InputError(f"{path.name}, {told}")


def _unknown(table: Table, kind: str | None) -> InputError:
    wanted = {one: " and ".join(" or ".join(COLUMNS[one][name].words[0] for name in group)
                                for group in NEEDED[one])
              for one in ([kind] if kind else COLUMNS)}
    seen = [cell.text for row in table.rows[:20] for cell in row
            if cell.text and not _numeric(cell)][:30]
    words = [word for one in wanted for role in COLUMNS[one].values() for word in role.words]
    hint = ""
    for text in seen:
        close = [one for word in _plain(text)
                 for one in get_close_matches(word, words, n=1, cutoff=0.8) if one != word]
        if close:
            hint = f" {shown(text)} may be {close[0]!r}."
            break
    told = "; ".join(f"{one}: {needs}" for one, needs in wanted.items())
    partly = _partly(table, list(wanted), hint)
    if partly:
        return partly
    return InputError(f"{table.path.name} has no heading row that is known; accepted are columns "
                      f"such as {told}.{hint} Or say --kind and --columns, such as --kind pull "
                      "--columns length=A:cm,pull=B:kgf.")


def _partly(table: Table, kinds: Sequence[str], hint: str) -> InputError | None:
    """Return the refusal of a table that one column's heading is missing of; None for others."""
    for row, below in pairwise(table.rows):
        if any(map(_numeric, row)) or sum(map(_numeric, below)) < 2:
            continue
        for kind in kinds:
            roles = _matched(kind, {cell.column: (cell.text,) for cell in row if cell.text})
            lacking = [group for group in NEEDED[kind] if not set(group) & set(roles.values())]
            if not roles or len(lacking) != 1 or len(NEEDED[kind]) < 2:
                continue
            known = _listed(f"{row[column - 1].text!r} as {COLUMNS[kind][name].says}"
                            for column, name in roles.items())
            free = next((cell.column for cell in below
                         if _numeric(cell) and cell.column not in roles), None)
            if free is None:
                continue
            places = {**roles, free: lacking[0][0]}
            needed = COLUMNS[kind][places[free]]
            columns = ",".join(f"{name}={letters(column)}{_unit_for(row[column - 1], kind, name)}"
                               for column, name in places.items())
            return InputError(f"{table.path.name}, {table_line(row)}, gives {known}; no heading "
                              f"there says {needed.says}.{hint} Head its column "
                              f"{needed.words[0]!r} and its unit, or say --kind {kind} "
                              f"--columns {columns}.")
    return None


def _unit_for(cell: Cell, kind: str, name: str) -> str:
    """Return a column's unit as --columns takes it: what its heading names, else a usual one."""
    role = COLUMNS[kind][name]
    if role.unit not in _USUAL:
        return ""
    named = _unit([cell.text], role.unit, role.says)
    return f":{named[0] if named else _USUAL[role.unit]}"


def _measured(table: Table, block: _Block, given: Sequence[str], decimal: Mark | None,
              without: set[int]) -> Measured:
    roles = COLUMNS[block.kind]
    counts: dict[str, list[int]] = {}
    for column, name in block.roles.items():
        counts.setdefault(name, []).append(column)
    for name, at in counts.items():
        if len(at) > 1 and not roles[name].many:
            told = _listed(f"column {letters(column)} ({' '.join(block.heads[column])})"
                           for column in at)
            raise InputError(f"{table.path.name}: {told} may both be {roles[name].says}; say which "
                             f"with --kind {block.kind} --columns.")
    kept = [row for row in table.rows[block.first:block.last] if row[0].line not in without]
    rows = [row for row in kept if any(
        _numeric(row[column - 1]) or row[column - 1].trouble for column, name in block.roles.items()
        if roles[name].unit not in ("text", "date"))]
    notes = [row[0].line for row in kept if row not in rows]
    if table.habits[0] == "comma":
        _no_split_numbers(table, block, rows)
    keys = _collected(table, block, given)
    cells = [cell for _, _, values in keys.values() for cell in values]
    cells += [row[column - 1] for row in rows for column, name in block.roles.items()
              if roles[name].unit not in ("text", "date")]
    mark, habit = settle_mark(cells, decimal)
    shared, texts = _shared(block.kind, keys, mark)
    scales = _scales(block, rows)
    found = [one for row in rows if (one := _row(block, row, mark, scales))]
    if not found:
        raise InputError(f"{table.path.name} holds no readings below its heading; write at least "
                         "one line with numbers.")
    read = [f"{roles[name].says} in {_called(scales[at[0]][0], roles[name].unit)} from "
            f"{' '.join(block.heads[at[0]]) or 'column ' + letters(at[0])!r}"
            for name, at in counts.items() if at[0] in scales]
    if notes:
        read.append(f"passed over as notes: lines {', '.join(map(str, notes[:6]))}"
                    + (" and more" if len(notes) > 6 else ""))
    if without:
        read.append(f"left out as you said: lines {', '.join(map(str, sorted(without)))}")
    return Measured(table.path, block.kind, tuple(found), shared, texts,
                    (*table.habits, *([habit] if habit else []), *read))


def _no_split_numbers(table: Table, block: _Block, rows: Sequence[Sequence[Cell]]) -> None:
    """Refuse numbers under no heading: commas may have split decimals."""
    if not any(block.heads.values()):
        return
    for row in rows:
        for cell in row:
            if _numeric(cell) and block.heads.get(cell.column, ("",)) == ():
                raise InputError(f"{cell.place} holds {cell.text!r} under no heading; if commas "
                                 "are decimal marks here, separate the cells with semicolons and "
                                 "save it again.")


def _called(unit: str, kind: str) -> str:
    """Return a unit as it was taken: a scale's kilograms are kilogram-force."""
    return {"kg": "kgf", "lb": "lbf", "lbs": "lbf"}.get(unit, unit) if kind == "N" else (
        "inches" if unit == "in" else unit or "pure numbers")


def _collected(table: Table, block: _Block, given: Sequence[str]
               ) -> dict[str, tuple[Role, str, list[Cell]]]:
    """Return what stands above the table and what the user gave, which comes first."""
    known = KEYS[block.kind]
    keys: dict[str, tuple[Role, str, list[Cell]]] = {}
    for line in given:
        head, mark, tail = line.partition(":") if ":" in line else line.partition("=")
        name = _says(head, known)
        if not mark or not tail.strip():
            raise InputError(f"--given is {shown(line)}; write it as \"relaxed length: 20 cm\".")
        if name is None:
            if _says(head, _ANY_KEY) is None:
                raise InputError(f"--given names {shown(head)}; a {block.kind} table takes "
                                 f"{', '.join(role.words[0] for role in known.values())}.")
            continue
        keys[name] = known[name], head, [Cell(tail.strip(), 0, 1)]
    said = set(keys)
    for name, head, values in _keys(table, block.top, known):
        if name in said:
            continue
        if name in keys:
            before = keys[name][2]
            if [cell.text for cell in before] != [cell.text for cell in values]:
                raise InputError(f"{before[0].place} and {values[0].place} both say "
                                 f"{known[name].says}; keep one of them.")
        keys[name] = known[name], head, values
    return keys


def _shared(kind: str, keys: Mapping[str, tuple[Role, str, list[Cell]]], mark: Mark | None
            ) -> tuple[dict[str, float], dict[str, str]]:
    shared: dict[str, float] = {}
    texts: dict[str, str] = {}
    for name, (role, head, cells) in keys.items():
        if role.unit == "text":
            texts[name] = cells[0].text
        elif role.unit == "date":
            texts[name] = _dated(cells[0])
        else:
            found = []
            parts = [part for cell in cells
                     for part in _fractions(cell, head, role) or _several(cell)]
            units = [reading.unit if part.value is None and (reading := parse(part.text))
                     else part.unit for part in parts]
            for part in parts:
                if part is not parts[0] and not _numeric(part):
                    continue  # a remark beside the value
                value, own = number(part, mark, role.says)
                own = own or next((unit for unit in reversed(units) if unit), "")
                if name == "temperature" and set(_plain(own)) & (_SALT | _FRESH):
                    own = ""  # "66 fresh"
                named = _unit([own] if own else [head], role.unit, role.says)
                if named is None and role.unit != "1":
                    raise InputError(f"{_where(part)} gives {role.says} as {part.text!r} without a "
                                     f"unit; write it such as {_example(name, role)!r}.")
                unit, times = named or ("", 1.0)
                found.append(in_unit(value * times, role.unit, unit, role.says))
            shared[name] = sum(found) / len(found)
            if name == "temperature":
                texts["water"] = " ".join(cell.text for cell in cells)
    return shared, texts


def _where(cell: Cell) -> str:
    return cell.place if cell.line else "--given"


def _scales(block: _Block, rows: Sequence[Sequence[Cell]]) -> dict[int, tuple[str, float]]:
    """Return by column the unit of its numbers and how many of it one is."""
    roles = COLUMNS[block.kind]
    found: dict[int, tuple[str, float]] = {}
    for column, name in block.roles.items():
        role = roles[name]
        if role.unit in ("text", "date"):
            continue
        if role.unit in ("1", "%"):
            if role.unit == "%" and not any("%" in text or "percent" in text.casefold()
                                            for text in block.heads[column]):
                raise InputError(f"column {letters(column)} is headed "
                                 f"{' '.join(block.heads[column])!r}; an elongation is accepted in "
                                 "%, so write (%) behind it, or give the distance of the marks.")
            found[column] = "%" if role.unit == "%" else "", 1.0
            continue
        named = _unit(block.heads[column], role.unit, role.says)
        if named is None:
            own = {cell.unit or (reading.unit if (reading := parse(cell.text)) else "")
                   for cell in (row[column - 1] for row in rows) if _numeric(cell)}
            named = _unit(sorted(own), role.unit, role.says) if own and "" not in own else None
        if named is None and role.many:
            named = next((found[other] for other, said in block.roles.items()
                          if said == name and other in found), None)
        if named is None:
            head = (*block.heads[column], "heading")[0]
            raise InputError(f"column {letters(column)}, {role.says}, has no unit; write one "
                             f"behind its heading, such as '{head} ({_USUAL[role.unit]})'.")
        found[column] = named
    return found


_USUAL = {"m": "cm", "N": "kgf", "kg": "g", "s": "s"}


def _row(block: _Block, row: Sequence[Cell], mark: Mark | None,
         scales: Mapping[int, tuple[str, float]]) -> Row | None:
    """Return a line's readings; None if the printed form's line stayed empty."""
    roles = COLUMNS[block.kind]
    values: dict[str, list[float]] = {}
    texts: dict[str, str] = {}
    for column, name in block.roles.items():
        role, cell = roles[name], row[column - 1]
        if role.unit == "text" or (role.unit == "date" and cell.text):
            texts[name] = cell.text if role.unit == "text" else _dated(cell)
            continue
        if cell.text in _NOTHING or role.unit == "date":
            continue
        value, own = number(cell, mark, role.says)
        unit, times = scales[column]
        if own:
            named = _unit([own], "1" if role.unit == "%" else role.unit, role.says)
            if named is None or named[0] != unit:
                raise InputError(f"{cell.place} reads {cell.text!r} in a column of {role.says} in "
                                 f"{unit or 'pure numbers'}; write all of it in one unit.")
        values.setdefault(name, []).append(
            value if role.unit in ("1", "%")
            else in_unit(value * times, role.unit, unit, cell.place))
    lacking = [group for group in NEEDED[block.kind] if not set(group) & set(values)]
    if not lacking:
        return Row(row[0].line, {name: tuple(some) for name, some in values.items()}, texts)
    last = NEEDED[block.kind][-1]
    if lacking == [last] and not set(values) - {name for group in NEEDED[block.kind]
                                                for name in group}:
        return None  # a line of the printed form that stayed empty
    told = " or ".join(roles[name].says for name in lacking[0])
    raise InputError(f"{table_line(row)} lacks {told}; write it, or leave the line out with "
                     f"--without {row[0].line}.")


def table_line(row: Sequence[Cell]) -> str:
    """Return a row's name for people: "line 5" or "row 5".

    Parameters
    ----------
    row : sequence of Cell

    Returns
    -------
    str
    """
    return f"row {row[0].line}" if row[0].booked else f"line {row[0].line}"


def key_of(line: str) -> str:
    """Return which key a line such as "date: 2026-11-21" says; "" for none.

    Parameters
    ----------
    line : str

    Returns
    -------
    str
        A key of one of `KEYS`.
    """
    head = line.partition(":" if ":" in line else "=")[0]
    return next((name for known in KEYS.values() if (name := _says(head, known))), "")
