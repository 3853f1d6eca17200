"""The kit's entries as a list of one sort, and one of them described line by line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from toolbox.desk.edit import Draft
from toolbox.desk.edit_keys import SORTS, Form, Key, Sort
from toolbox.desk.edit_values import parted
from toolbox.desk.errors import UnclearName, UnknownName
from toolbox.desk.names import Named, match
from toolbox.files import tables
from toolbox.kit.box import Compartment, Opening
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import KIND_OF, Supply, Tool
from toolbox.kit.work import Job

# What is listed of each sort beside the name.
HEADS = {
    "tool": ("mass", "copies", "where"),
    "supply": ("stock", "to keep", "where"),
    "job": ("steps", "a day", "urgent"),
    "compartment": ("kind", "inside", "behind"),
}

Thing = Tool | Supply | Job | Compartment


@dataclass(frozen=True, slots=True)
class Item:
    """One entry in a list: its id, its name, what stands under the sort's heads."""

    id: str
    name: str
    cells: tuple[str, str, str]


def things(kit: Kit, sort: Sort) -> tuple[Thing, ...]:
    """The kit's entries of a sort, in the order of their file."""
    found: dict[str, tuple[Thing, ...]] = {
        "tool": kit.tools,
        "supply": kit.supplies,
        "job": kit.jobs,
        "compartment": kit.box.compartments,
    }
    return found[sort.word]


def thing(kit: Kit, sort: Sort, id: str) -> Thing | None:
    """The entry of that id, None when there is none."""
    return next((one for one in things(kit, sort) if one.id == id), None)


def meant(kit: Kit, sort: Sort, letters: str) -> Thing:
    """The entry that a few letters or an id mean; UnclearName or UnknownName otherwise."""
    exact = thing(kit, sort, letters)
    if exact is not None:
        return exact
    found = match(letters, [Named(one.id, one.name) for one in things(kit, sort)])
    if found.only is not None:
        return next(one for one in things(kit, sort) if one.id == found.found[0].id)
    if found.found:
        raise UnclearName(sort.word, letters, found.found)
    raise UnknownName(sort.word, letters, found.near)


def items(kit: Kit, sort: Sort, letters: str = "") -> tuple[Item, ...]:
    """The list of a sort, of those that the letters could mean; all without letters."""
    listed = things(kit, sort)
    if letters.strip():
        found = match(letters, [Named(one.id, one.name) for one in listed]).found
        ids = {named.id for named in found}
        listed = tuple(one for one in listed if one.id in ids)
    return tuple(Item(one.id, one.name, _cells(one)) for one in listed)


def sort_of(kit: Kit, id: str) -> Sort | None:
    """Which sort of entry has this id, None when none has."""
    return next((sort for sort in SORTS if thing(kit, sort, id) is not None), None)


def counts(kit: Kit) -> tuple[tuple[Sort, int], ...]:
    """How many entries there are of each sort."""
    return tuple((sort, len(things(kit, sort))) for sort in SORTS)


def described(kit: Kit, sort: Sort, id: str) -> Draft | None:
    """An entry as the kit holds it, to be looked at; None when there is none of that id.

    Quantities are in the program's own words for them; to edit one, it is opened.
    """
    one = thing(kit, sort, id)
    return None if one is None else Draft(sort, id, _table(kit, one))


def spelled(kit: Kit, key: Key, text: str) -> str:
    """What the ids on a line stand for, by name; "" where they say nothing more."""
    groups: dict[Form, tuple[Tool | Supply | Opening, ...]] = {
        Form.TOOLS: kit.tools,
        Form.PICKS: kit.tools,
        Form.DRAWS: kit.supplies,
        Form.OPENINGS: kit.box.openings,
    }
    if key.form not in groups:
        return ""
    names = {one.id: one.name for one in groups[key.form]}
    ids = [piece.split("=")[0].split() for piece in parted(text)]
    told = [names[words[0]] for words in ids if words and words[0] in names]
    return ", ".join(told)


def _table(kit: Kit, one: Thing) -> dict[str, Any]:
    match one:
        case Tool():
            return tables.tool_table(one)
        case Supply():
            return tables.supply_table(one)
        case Job():
            return tables.job_table(one, {s.id: s.measure for s in kit.supplies})
        case Compartment():
            return tables.compartment_table(one)


def _cells(one: Thing) -> tuple[str, str, str]:
    match one:
        case Tool():
            where = "travels" if one.carried else "at home"
            return write(one.mass.grams, Kind.MASS), str(one.count), where
        case Supply():
            kind = KIND_OF[one.measure]
            stock, par = ("" if v is None else write(v, kind) for v in (one.stock, one.par))
            return stock, par, "travels" if one.carried else "reserve"
        case Job():
            often = "" if one.per_day is None else str(tables.number(one.per_day))
            return str(len(one.steps)), often, "urgent" if one.urgent else ""
        case Compartment():
            sides = [write(side, Kind.LENGTH).removesuffix(" mm") for side in one.inside]
            return one.kind.value, f"{' x '.join(sides)} mm", ", ".join(one.openings)
