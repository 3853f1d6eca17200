"""What the columns of a list mean: told by the mechanic, or guessed from their headers.

The guess is a table of words and nothing cleverer; what it does not know is left
out and said. A unit in a header holds for cells that name none.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

from toolbox.files.problems import listed, nearest, quoted
from toolbox.intake.names import tidy
from toolbox.intake.reading import Column, Findings, ListKind
from toolbox.intake.table import Row, Table
from toolbox.kit.quantities import Kind
from toolbox.kit.quantities_units import find_unit

LEFT_OUT, NOT_KNOWN = "left out", "not a header known here"
QUESTION, HEADERS, NO_HEADERS = "headers", "headers", "no headers"

_SIDE = (Kind.LENGTH,)
# What a unit in a header may measure, by the column's meaning; the usual kind first.
KINDS: Mapping[str, tuple[Kind, ...]] = MappingProxyType(
    {
        "mass": (Kind.MASS,),
        "reading": (Kind.MASS,),
        "length": _SIDE,
        "width": _SIDE,
        "height": _SIDE,
        "sides": _SIDE,
        "torque": (Kind.TORQUE, Kind.PRESSURE),
        "amount": (Kind.VOLUME, Kind.MASS, Kind.PIECES),
        "step": (Kind.STEP,),
    }
)
_NO_ANSWERS: Mapping[str, str] = MappingProxyType({})
# Words that say of a unit only that it is meant for one piece.
_EACH = (
    r"(?:each|ea|per piece|per pc|a piece|/ ?pc|/ ?piece|/ ?ea|pro stück|/ ?stück|pièce|/ ?pièce)"
)

# Which side comes first, second, third, where that is the order they have anyway.
_ORDER = re.compile(r" ?[(\[] ?l ?[x×*] ?[bwt] ?[x×*] ?h ?[)\]]", re.I)

# Meaning -> headers that are taken for it, capitals and underscores aside.
THINGS = MappingProxyType(
    {
        "name": "name|item|tool|article|tool name|item name|items|tools|thing|description|what"
        "|description of goods|trade description|trade description of goods"
        "|werkzeug|bezeichnung|artikel|benennung|gegenstand|outil|désignation|nom|attrezzo|nome"
        "|gereedschap|herramienta",
        "id": "id|item id|tool id|supply id|code|item code",
        "mass": "mass|weight|unit mass|unit weight|mass each|weight each|wt|weight per piece"
        "|gewicht|einzelgewicht|masse|poids|peso|massa|net weight|net mass|nettogewicht|poids net",
        "length": "length|l|länge|longueur|lunghezza|lengte|largo",
        "width": "width|breadth|w|breite|largeur|larghezza|breedte|ancho",
        "height": "height|thickness|h|höhe|hauteur|altezza|hoogte|alto",
        "size": "nominal size",
        "sides": "size|sizes|dimensions|dims|dimension|packed size|l x w x h|lxwxh|maße"
        "|size l x w x h|dimensions l x w x h|l x b x h|lxbxh"
        "|abmessungen|dimensioni|afmetingen|medidas",
        "category": "category|trade category|group|kategorie|catégorie",
        "count": "count|qty|quantity|copies|pieces|pcs|how many|no of|no. of|no. off|no off"
        "|number of pieces|number of|anz|anzahl|stück|stk"
        "|stückzahl|menge|qté|nb|quantité|quantità|aantal|cantidad",
        "unit": "unit|units|einheit|unité|uom",
        "place": "where|place|location|compartment|drawer|tray|shelf|fach|ort|lade|emplacement|lieu"
        "|plaats|luogo",
        "kind": "kind|tool or supply|tool or consumable",
        "carried": "carried|packed|in the box|in box|suggested flight case|flight case",
        "goods": "goods|dangerous goods|hazard|hazard class",
        "known": "known|mass known",
        "measure": "measure",
        "amount": "amount|amounts|dose|per use",
        "torque": "torque|setting|set to|torque setting|drehmoment|couple|pressure",
        "drive": "drive|drive size|antrieb",
        "part": "part|part no|part number",
        "last check": "last check|last checked|checked|checked on|last calibration",
        "due": "due|next check|due date|check due",
        "pack": "pack|pack size",
        "stock": "stock|in stock",
        "par": "par|keep at least|minimum stock",
        "serial": "serial|serial number|serial no",
        "origin": "origin|country of origin",
        "make": "make|maker|manufacturer|brand|marke|hersteller|fabricant|marque|fabbricante|merk",
        "model": "model|model no|model number|modell|modèle|modello",
        "year": "year|year made|year of make|baujahr",
        # a value alone may be that of the whole line
        "value each": "value each|unit value|value of one|value per piece",
        "parts": "parts of a set|parts of the set",
        "look": "look",
        "owner mark": "owner mark|owner's mark",
        "note": "note|notes|remark|remarks|comment|comments|bemerkung|bemerkungen|remarque|nota"
        "|opmerking",
    }
)
WEIGHINGS = MappingProxyType(
    {
        "name": THINGS["name"],
        "id": THINGS["id"],
        "reading": "reading|scale reading|weighed|weighed mass|scale|on the scale|gewogen|pesée"
        "|weight|mass|gewicht|masse|poids",
        "day": "date|day|when|weighed on|datum|date weighed|jour|tag|time",
        "step": "scale step|resolution",
        "note": THINGS["note"],
    }
)
JOBS = MappingProxyType(
    {
        "job": "job|job name",
        "job id": "job id",
        "discipline": "discipline|disciplines",
        "urgent": "urgent|urgent between runs",
        "per day": "per day|times per day|times per workshop day|typical times per workshop day",
        "job minutes": "job minutes",
        "step number": "step no|step number|step id",
        "step": "step|step text",
        "minutes": "step minutes|minutes",
        "tools": "tools|tools used",
        "supplies": "supplies|consumables|consumables with amounts|supplies with amounts",
        "note": "note|notes|remark|remarks|comment|comments",
    }
)
# What a list says of a thing that has no key in the kit's files: read, shown, not stored.
NOT_KEPT = MappingProxyType(
    {
        "place": 'where things lie is said with "toolbox place"',
        "amount": "what a step uses is kept with its job",
        "torque": "what bolts need is kept with jobs and lists",
        "drive": "the kit keeps no drive sizes",
        "part": "the kit keeps no part numbers",
        "last check": 'checks are written down with "toolbox test"',
        "due": "when a check is due follows from the last one",
    }
)

# Headers we know of and leave out all the same.
_WHY_OUT = MappingProxyType(
    {
        "used with jobs": "which jobs take a tool is read from the list of jobs",
        "uses per workshop day": "how often a tool is used comes from jobs and from what is logged",
        "air note": "what may fly is answered from the goods column",
    }
    | dict.fromkeys(
        ("value", "price", "cost", "wert", "preis", "valeur", "prix", "valore", "prezzo"),
        "it may be that of a whole line; if it is that of one, say that it means value each",
    )
)


TABLES: Mapping[ListKind, Mapping[str, str]] = MappingProxyType(
    {ListKind.THINGS: THINGS, ListKind.JOBS: JOBS, ListKind.WEIGHINGS: WEIGHINGS}
)
_KIND_WORDS = MappingProxyType(
    {"tools": ListKind.THINGS, "supplies": ListKind.THINGS, "tools+supplies": ListKind.THINGS}
    | {"jobs": ListKind.JOBS, "weighings": ListKind.WEIGHINGS}
)


class Meaning(NamedTuple):
    """What a column is read as, and the unit its header names ("" for none)."""

    word: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Headers:
    """The header row understood: where each meaning stands, in which unit."""

    row: Row
    kind: ListKind
    at: Mapping[str, int]
    units: Mapping[str, str]
    columns: tuple[Column, ...]

    def header(self, meaning: str) -> str:
        """The header of a meaning as it stands in the list; the meaning where none has it."""
        return header_text(self.row.cells, self.at[meaning]) if meaning in self.at else meaning


def header_text(cells: tuple[str, ...], place: int) -> str:
    """A header as messages call it; one without text by its number."""
    return tidy(cells[place]) or f"column {place + 1}"


def is_known(header: str) -> bool:
    """Whether a header means something in any kind of list."""
    return any(guess(header, table) is not None for table in TABLES.values())


@lru_cache(maxsize=2048)
def _plain(text: str) -> str:
    """A header in small letters without accents, underscores and ornaments."""
    # underscores come from databases, blanks from people; ß stays: Maße are not Masse
    words = tidy(text.replace("_", " ")).lower().strip("*#:.? ")
    return "".join(c for c in unicodedata.normalize("NFD", words) if not unicodedata.combining(c))


@lru_cache(maxsize=16)
def _words(table: tuple[tuple[str, str], ...]) -> dict[str, str]:
    return {_plain(word): meaning for meaning, line in table for word in line.split("|")}


def guess(header: str, table: Mapping[str, str]) -> Meaning | None:
    """The meaning of a header by the table: "mass", "mass_g", "Weight (g)", "length in mm", "g"."""
    plain = _ORDER.sub("", tidy(header.replace("_", " ")).strip("*#:? "))
    words = _words(tuple(table.items()))
    if meaning := words.get(_plain(plain)):
        return Meaning(meaning)
    bare = re.sub(rf"\W*{_EACH}\W*$", "", plain, flags=re.I)
    # "each (g)" is "g each"
    if first := re.fullmatch(rf"{_EACH} ?[(\[]? ?(\w+) ?[)\]]?", bare, re.I):
        bare = first[1]
    # "g" alone, or "g each", can be nothing but the mass
    mass = "reading" if "reading" in table else "mass"
    if mass in table and bare.lower() in ("g", "kg", "lb", "lbs", "oz", "grams", "gramm"):
        return Meaning(mass, bare)
    if bare != plain and words.get(_plain(bare)) in ("mass", "reading"):
        return Meaning(words[_plain(bare)])
    bracket = re.fullmatch(r"(.+?) ?[(\[] ?([^()\[\]]+?) ?[)\]]", bare)
    last = re.fullmatch(r"(.+?)(?:,? in|,|/)? (\S+)", bare)
    for found in filter(None, (bracket, last)):
        meaning = words.get(_plain(found[1]))
        # an unknown word beside a known one ("total weight", "weight (all)") changes its meaning
        if meaning and any(find_unit(found[2], kind) for kind in KINDS.get(meaning, ())):
            return Meaning(meaning, found[2])
        if meaning == "value each" and re.fullmatch(r"[A-Z]{3}", found[2]):
            return Meaning(meaning, found[2])
    return None


def find_header(table: Table, findings: Findings) -> int | None:
    """Which row is the header: the first of those with most known headers, near the top.

    None where the list has none, as the mechanic said. A list without any header known here
    is asked about.
    """
    told = findings.answers.to("header")
    if told.isdigit():
        for number, row in enumerate(table.rows):
            if row.line == int(told):
                return number
    known = [_known_in(row) for row in table.rows[:25]]
    if max(known):
        return known.index(max(known))
    # nothing known: the first row as wide as most, for its headers may be told
    width = table.width
    first = next(n for n, row in enumerate(table.rows) if len(row.cells) == width)
    if findings.answers.columns and not findings.answers.to(QUESTION):
        return first
    row = table.rows[first]
    shown = quoted(" | ".join(map(tidy, row.cells)))
    told = findings.ask(
        QUESTION,
        f"line {row.line} holds no header that is known here, {shown}: are these headers, or has "
        'the list none (then say what a column means by its number, "column 1=name")?',
        (HEADERS, NO_HEADERS),
        row.line,
    )
    return None if told == NO_HEADERS else first


def _known_in(row: Row) -> int:
    """How many headers of a row are known; 0 for a title, and for a row of the list itself."""
    if len(row.cells) < 2:
        return 0
    known = sum(map(is_known, row.cells))
    # a thing may be called what is a header elsewhere, but figures stand beside it
    figures = any(re.match(r"[^\w(\[]*\d", cell) for cell in row.cells)
    return 0 if figures and known < 2 else known


def units_row(row: Row) -> bool:
    """Whether the row below the header holds nothing but the units of its columns."""
    cells = [cell.strip().strip("()[]") for cell in row.cells]
    full = [cell for cell in cells if cell]
    kinds = (Kind.MASS, Kind.LENGTH, Kind.TORQUE, Kind.VOLUME, Kind.PIECES)
    return bool(full) and all(any(find_unit(cell, kind) for kind in kinds) for cell in full)


def with_units(header: Row, row: Row) -> Row:
    """The header with the units of the row below it behind its words."""
    pairs = zip(header.cells, (*row.cells, *[""] * len(header.cells)), strict=False)
    bare = [(h, u.strip().strip("()[]")) for h, u in pairs]
    # that counts are of pieces says nothing more
    cells = [f"{h} ({u})" if u and find_unit(u, Kind.PIECES) is None else h for h, u in bare]
    return Row(header.line, tuple(cells))


def settle(row: Row, findings: Findings, answered: Mapping[str, str] = _NO_ANSWERS) -> Headers:
    """What each column means, told ones before guessed ones; refusals go to the findings.

    ``answered`` are meanings by header, told in answer to a question.
    """
    told = _told(row, {**answered, **findings.answers.columns}, findings)
    kind = _kind(row, told, findings)
    table = TABLES[kind]
    at: dict[str, int] = {}
    units: dict[str, str] = {}
    columns: list[Column] = []
    for place in range(len(row.cells)):
        header = header_text(row.cells, place)
        meaning = told.get(place) or guess(row.cells[place], table)
        if meaning is None or meaning.word == LEFT_OUT:
            columns.append(_left_out(header, told=place in told))
            continue
        # only told columns can get here: guesses come from the list's own table
        if meaning.word not in table:
            findings.refuse(
                row.line, header, "", f"{meaning.word} does not belong in a list of {kind.value}",
                f"write {listed(sorted(table), 'or')}",
            )  # fmt: skip
            continue
        if meaning.word in at:
            first = header_text(row.cells, at[meaning.word])
            findings.refuse(
                row.line, header, "", f"{quoted(first)} is read as {meaning.word} too",
                f"say which one it is, or leave one out: {quoted(f'column {place + 1}=-')}",
            )  # fmt: skip
            continue
        at[meaning.word] = place
        units[meaning.word] = meaning.unit
        columns.append(_column(header, meaning, told=place in told))
    return Headers(row, kind, MappingProxyType(at), MappingProxyType(units), tuple(columns))


def _told(row: Row, columns: Mapping[str, str], findings: Findings) -> dict[int, Meaning]:
    headers = {f"column {n + 1}": n for n in range(len(row.cells))}
    headers |= {header_text(row.cells, n).casefold(): n for n in range(len(row.cells))}
    known = {word for table in TABLES.values() for word in table}
    told: dict[int, Meaning] = {}
    # headers are found by number too, for two columns may bear the same words
    for header, words in columns.items():
        place = headers.get(tidy(header).casefold())
        if place is None:
            shown = [header_text(row.cells, n) for n in range(len(row.cells))]
            near = nearest(tidy(header), shown)
            cure = f"did you mean {quoted(near)}" if near else f"the columns are {listed(shown)}"
            findings.refuse(row.line, tidy(header), "", "there is no such column", cure)
            continue
        meaning = named_meaning(words)
        if meaning is None:
            near = nearest(tidy(words), known)
            cure = f"did you mean {near}" if near else f"write {listed(sorted(known), 'or')}"
            findings.refuse(
                row.line, tidy(header), "", f"{quoted(words)} is nothing a column can mean", cure
            )
            continue
        told[place] = meaning
    return told


def named_meaning(words: str) -> Meaning | None:
    """The meaning that was told in words, with its unit: "mass (g)", "-" to leave it out."""
    plain = tidy(words.replace("_", " "))
    if plain.casefold() in ("-", "", LEFT_OUT):
        return Meaning(LEFT_OUT)
    return guess(plain, {name: name for table in TABLES.values() for name in table})


def _kind(row: Row, told: Mapping[int, Meaning], findings: Findings) -> ListKind:
    if answer := _KIND_WORDS.get(findings.answers.to("kind").casefold()):
        return answer
    meanings = {
        kind: {meaning.word for meaning in told.values()}
        | {
            found.word
            for place, cell in enumerate(row.cells)
            if place not in told and (found := guess(cell, table)) is not None
        }
        for kind, table in TABLES.items()
    }
    jobs, weighed, things = (
        meanings[kind] for kind in (ListKind.JOBS, ListKind.WEIGHINGS, ListKind.THINGS)
    )
    if "step" in jobs and jobs & {"job", "job id"}:
        return ListKind.JOBS
    of_things = things & {"count", "length", "width", "height", "sides", "carried", "last check"}
    plain = "reading" in weighed and (("day" in weighed and not of_things) or "mass" not in things)
    return ListKind.WEIGHINGS if plain and weighed & {"name", "id"} else ListKind.THINGS


def _left_out(header: str, *, told: bool) -> Column:
    how = "as told" if told else _WHY_OUT.get(_plain(header.partition(" (")[0]), NOT_KNOWN)
    return Column(header, LEFT_OUT, how)


def _column(header: str, meaning: Meaning, *, told: bool) -> Column:
    how = "as told" if told else "guessed from the header"
    if meaning.unit:
        how += f"; {meaning.unit} where a cell names no unit"
    return Column(header, meaning.word, how, meaning.unit)
