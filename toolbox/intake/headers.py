"""What the columns of a list mean: told by the mechanic, or guessed from their headers.

The guess is a table of words and nothing cleverer; what it does not know is left
out and said. A unit in a header holds for cells that name none.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from toolbox.files.problems import listed, nearest, quoted
from toolbox.intake.names import tidy
from toolbox.intake.reading import Column, Findings
from toolbox.intake.table import Row
from toolbox.kit.quantities import Kind
from toolbox.kit.quantities_units import find_unit

LEFT_OUT = "left out"

_SIDE = Kind.LENGTH
KINDS = MappingProxyType({"mass": Kind.MASS, "length": _SIDE, "width": _SIDE, "height": _SIDE})

# Meaning -> headers that are taken for it, capitals and underscores aside.
THINGS = MappingProxyType(
    {
        "name": "name|item|tool|article|tool name|item name",
        "id": "id|item id|tool id|supply id|code|item code",
        "mass": "mass|weight|unit mass|unit weight|mass each|weight each",
        "length": "length|l",
        "width": "width|breadth|w",
        "height": "height|thickness|h",
        "category": "category|trade category|group",
        "count": "count|qty|quantity|copies|pieces",
        "kind": "kind|tool or supply|tool or consumable",
        "carried": "carried|packed|in the box|in box|suggested flight case|flight case",
        "goods": "goods|dangerous goods|hazard|hazard class",
        "known": "known|mass known",
        "measure": "measure",
        "pack": "pack|pack size",
        "stock": "stock|in stock",
        "par": "par|keep at least|minimum stock",
        "serial": "serial|serial number|serial no",
        "origin": "origin|country of origin",
        "note": "note|notes|remark|remarks|comment|comments",
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

# Headers we know of and leave out all the same.
_WHY_OUT = MappingProxyType(
    {
        "used with jobs": "which jobs take a tool is read from the list of jobs",
        "uses per workshop day": "how often a tool is used comes from jobs and from what is logged",
        "air note": "what may fly is answered from the goods column",
    }
)


class Meaning(NamedTuple):
    """What a column is read as, and the unit its header names ("" for none)."""

    word: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Headers:
    """The header row understood: where each meaning stands, in which unit.

    ``jobs`` tells a list of jobs from one of tools and supplies.
    """

    row: Row
    jobs: bool
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
    """Whether a header means something in either kind of list."""
    return guess(header, THINGS) is not None or guess(header, JOBS) is not None


def guess(header: str, table: Mapping[str, str]) -> Meaning | None:
    """The meaning of a header by the table: "mass", "mass_g", "Weight (g)", "length in mm"."""
    # underscores come from databases, blanks from people
    plain = tidy(header.replace("_", " "))
    words = {word: meaning for meaning, line in table.items() for word in line.split("|")}
    if meaning := words.get(plain.casefold()):
        return Meaning(meaning)
    bracket = re.fullmatch(r"(.+?) ?[(\[] ?([^()\[\]]+?) ?[)\]]", plain)
    last = re.fullmatch(r"(.+?)(?:,? in|,)? (\S+)", plain)
    for found in filter(None, (bracket, last)):
        meaning = words.get(found[1].casefold())
        # an unknown word beside a known one ("total weight", "weight (all)") changes its meaning
        if meaning and meaning in KINDS and find_unit(found[2], KINDS[meaning]):
            return Meaning(meaning, found[2])
    return None


def settle(row: Row, given: Mapping[str, str], findings: Findings) -> Headers:
    """What each column means, told ones before guessed ones; refusals go to the findings."""
    told = _told(row, given, findings)
    jobs = _is_jobs(row, told)
    table = JOBS if jobs else THINGS
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
            other = "tools and supplies" if jobs else "jobs"
            findings.refuse(
                row.line, header, "", f"{meaning.word} belongs in a list of {other}",
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
    return Headers(row, jobs, MappingProxyType(at), MappingProxyType(units), tuple(columns))


def _told(row: Row, given: Mapping[str, str], findings: Findings) -> dict[int, Meaning]:
    headers = {f"column {n + 1}": n for n in range(len(row.cells))}
    headers |= {header_text(row.cells, n).casefold(): n for n in range(len(row.cells))}
    known = {*THINGS, *JOBS}
    told: dict[int, Meaning] = {}
    # headers are found by number too, for two columns may bear the same words
    for header, words in given.items():
        place = headers.get(tidy(header).casefold())
        if place is None:
            shown = [header_text(row.cells, n) for n in range(len(row.cells))]
            near = nearest(tidy(header), shown)
            cure = f"did you mean {quoted(near)}" if near else f"the columns are {listed(shown)}"
            findings.refuse(row.line, tidy(header), "", "there is no such column", cure)
            continue
        meaning = _named_meaning(words)
        if meaning is None:
            near = nearest(tidy(words), known)
            cure = f"did you mean {near}" if near else f"write {listed(sorted(known), 'or')}"
            findings.refuse(
                row.line, tidy(header), "", f"{quoted(words)} is nothing a column can mean", cure
            )
            continue
        told[place] = meaning
    return told


def _named_meaning(words: str) -> Meaning | None:
    plain = tidy(words.replace("_", " "))
    if plain.casefold() in ("-", "", LEFT_OUT):
        return Meaning(LEFT_OUT)
    names = {name: name for name in (*THINGS, *JOBS)}
    return guess(plain, names)


def _is_jobs(row: Row, told: Mapping[int, Meaning]) -> bool:
    meanings = {meaning.word for meaning in told.values()}
    for place, cell in enumerate(row.cells):
        meaning = guess(cell, JOBS)
        if meaning is not None and place not in told:
            meanings.add(meaning.word)
    return "step" in meanings and bool(meanings & {"job", "job id"})


def _left_out(header: str, *, told: bool) -> Column:
    plain = tidy(header.replace("_", " ")).casefold()
    how = "as told" if told else _WHY_OUT.get(plain, "not a header known here")
    return Column(header, LEFT_OUT, how)


def _column(header: str, meaning: Meaning, *, told: bool) -> Column:
    unit = f", {meaning.unit} where a cell names no unit" if meaning.unit else ""
    return Column(header, meaning.word + unit, "as told" if told else "guessed from the header")
