"""Masses out of all proportion: what is asked back once, and told by the check of a kit.

Such a mass is a slip far more often than a thing: a unit, a point, a wrong line. It is
asked about, never refused. The bounds are the densities of lead (11.34 g/cm³, any handbook)
and of the lightest packing foam (0.01 g/cm³, common practice, no source): what lies in a
toolbox is neither heavier than a block of lead of its size nor lighter than foam.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import replace
from fractions import Fraction

from toolbox.desk.edit import Draft
from toolbox.desk.figures import grams
from toolbox.intake.difference import Entry, State
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, QuantityError, read
from toolbox.kit.things import Size, Supply, Tool, base_id
from toolbox.kit.work import Job

LEAD, FOAM = Fraction(1134, 100), Fraction(1, 100)
_CM3 = 10**6  # cubic tenths of a millimetre in a cubic centimetre


def odd_masses(kit: Kit, only: Collection[str] | None = None) -> tuple[str, ...]:
    """Tools and supplies with a mass out of all proportion, in words; of all, or of some."""
    found = []
    packed = _packed(kit)
    box = kit.box.tare_g + sum(packed.values())
    things: tuple[Tool | Supply, ...] = (*kit.tools, *kit.supplies)
    for thing in things:
        if thing.mass is None or (only is not None and thing.id not in only):
            continue
        rest = box - packed[thing.id] if thing.carried else None
        words = _odd(thing.mass.grams, thing.size, rest)
        if words:
            found.append(f"{thing.name}: {words}")
    return tuple(found)


def odd_in_import(kit: Kit, entries: Iterable[Entry]) -> tuple[str, ...]:
    """The same of what a list would bring or change, held against the kit with it."""
    things = [entry.thing for entry in entries if entry.state is not State.SAME]
    new = {thing.id: thing for thing in things if not isinstance(thing, Job)}
    tools = [t for t in new.values() if isinstance(t, Tool)]
    supplies = [t for t in new.values() if isinstance(t, Supply)]
    tools += [tool for tool in kit.tools if tool.id not in new]
    supplies += [supply for supply in kit.supplies if supply.id not in new]
    return odd_masses(replace(kit, tools=tuple(tools), supplies=tuple(supplies)), new)


def odd_in_draft(kit: Kit, draft: Draft) -> str:
    """What is odd about the mass of an entry as it is typed, "" for nothing.

    Only where its mass or a side of it was typed over, or all of it is new: what stands in
    the kit already was asked about. Lines that cannot be read are told elsewhere.
    """
    keys = ("mass", "length", "width", "height")
    if draft.sort.word not in ("tool", "supply"):
        return ""
    if draft.id and not any(key in draft.changes for key in keys):
        return ""
    try:
        mass = read(draft.text("mass"), Kind.MASS)
    except QuantityError:
        return ""
    rest = _rest_of_box(kit, draft.id) if _travels(draft) else None
    words = _odd(mass, _size(*(draft.text(key) for key in keys[1:])), rest)
    return f"{draft.name}: {words}" if words else ""


def _size(*sides: str) -> Size | None:
    try:
        length, width, height = (read(side, Kind.LENGTH) for side in sides)
    except QuantityError:
        return None
    return Size(length, width, height)


def _travels(draft: Draft) -> bool:
    said = draft.text("carried").casefold()
    return said in ("yes", "y", "true") or (not said and draft.sort.word == "tool")


def _rest_of_box(kit: Kit, id: str) -> int:
    """Grams of the packed box without this thing."""
    packed = _packed(kit)
    return kit.box.tare_g + sum(packed.values()) - packed[id]


def _packed(kit: Kit) -> Counter[str]:
    """Grams of all copies of each thing that travels in the box, by its id."""
    packed: Counter[str] = Counter()
    for copy, thing in kit.carried().items():
        packed[base_id(copy)] += thing.mass.grams if thing.mass is not None else 0
    return packed


def _odd(mass: int, size: Size | None, rest: int | None) -> str:
    if rest is not None and mass > rest:
        return f"{grams(mass)} is more than all the rest of the packed box ({grams(rest)})"
    volume = Fraction(math.prod(size), _CM3) if size is not None else None
    if volume and mass > LEAD * volume:
        return f"{grams(mass)} is more than a block of lead of its size"
    if volume and mass < FOAM * volume:
        return f"{grams(mass)} is less than a block of foam of its size"
    return ""
