"""What must hold inside the box and between the keys of one entry.

Each check is a function of its own, named by what must hold; ``CHECKS`` lists
all that run, those of ``references`` included.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from toolbox.files import instrument_checks, references
from toolbox.files.pages import (
    BOX,
    COMPARTMENT,
    JOB,
    OPENING,
    RULE,
    SUPPLY,
    TOOL,
    Entry,
    Pages,
)
from toolbox.files.problems import Problems, listed, quoted
from toolbox.files.schema import BoxTable, CompartmentTable
from toolbox.kit.quantities import Kind, QuantityError, read
from toolbox.kit.rules import Ask
from toolbox.kit.things import KIND_OF, Known

_SIDES = ("length", "width", "height")


def _corners(table: CompartmentTable) -> tuple[tuple[int, int], ...]:
    """From where to where the compartment runs: left to right, front to back, bottom to top."""
    sides = (table.length, table.width, table.depth)
    return tuple((at, at + side) for at, side in zip(table.at, sides, strict=True))


def _sticks_out(table: CompartmentTable, box: BoxTable, folding: frozenset[str]) -> bool:
    """True when a compartment cannot lie there.

    What hangs in an open lid or flap lies outside the shut box, though no further
    away than such a lid can be long.
    """
    slack = max(box.length, box.width, box.height)
    reach = slack if table.openings and table.openings[-1] in folding else 0
    ends = [end for _, end in _corners(table)]
    return any(
        e > s + reach for e, s in zip(ends, (box.length, box.width, box.height), strict=True)
    )


def compartments_lie_in_the_box(pages: Pages, problems: Problems) -> None:
    """No compartment sticks out of the box, those in lids and flaps let alone."""
    for entry in _sticking_out(pages):
        problems.at(entry.file, entry.label).add(
            "sticks out of the box", "set right its size, its at, or the size of the box", "at"
        )


def _sticking_out(pages: Pages) -> list[Entry[CompartmentTable]]:
    boxes = pages.tables(BOX)
    if not boxes:
        return []
    folding = frozenset(
        e.id for e in pages.all(OPENING) if e.raw.get("way") in ("lid", "flap") and e.id
    )
    return [
        e for e in pages.all(COMPARTMENT) if e.table and _sticks_out(e.table, boxes[0], folding)
    ]


def compartments_do_not_overlap(pages: Pages, problems: Problems) -> None:
    """No two compartments take up the same room. One that overlaps many is told once."""
    # one wrong figure often does both, and a copied entry lies where its first one does
    told = {id(entry) for entry in _sticking_out(pages)}
    first = {entry.id: entry for entry in reversed(pages.all(COMPARTMENT))}
    entries = [e for e in first.values() if e.table is not None and id(e) not in told][::-1]
    overlaps = {
        mine.label: [o.label for o in entries if o is not mine and _overlap(mine, o)]
        for mine in entries
    }
    # the one in the way of most others is the likely culprit; without it the rest may be fine
    while worst := max(overlaps, key=lambda label: len(overlaps[label]), default=None):
        others = overlaps.pop(worst)
        if not others:
            break
        problems.at(COMPARTMENT.file, worst).add(
            f"lies across {listed(others)}", "set right its at or its size", "at"
        )
        overlaps = {label: [o for o in rest if o != worst] for label, rest in overlaps.items()}


def _overlap(mine: Entry[CompartmentTable], other: Entry[CompartmentTable]) -> bool:
    if mine.table is None or other.table is None:
        return False
    pairs = zip(_corners(mine.table), _corners(other.table), strict=True)
    return all(a < d and c < b for (a, b), (c, d) in pairs)


def carried_supplies_have_mass_and_size(pages: Pages, problems: Problems) -> None:
    """A supply that travels in the box needs a mass and all three sides."""
    for entry in pages.all(SUPPLY):
        # by the keys as they stand, so that another fault in the entry hides none of these
        carried = entry.raw.get("carried") is True
        sides = [key for key in _SIDES if key in entry.raw]
        lacking = [key for key in _SIDES if key not in entry.raw] if carried or sides else []
        if carried and "mass" not in entry.raw:
            lacking.insert(0, "mass")
        if lacking:
            problems.at(entry.file, entry.label).add(
                f"has no {listed(lacking)}",
                "a supply that is carried needs its mass and all three sides"
                if carried
                else "give all three sides or none",
                lacking[0],
            )


def scale_steps_belong_to_weighed_masses(pages: Pages, problems: Problems) -> None:
    """A scale's step is told only for a mass read from that scale."""
    weighable: tuple[Entry[Any], ...] = (*pages.all(TOOL), *pages.all(SUPPLY), *pages.all(BOX))
    for entry in weighable:
        key = "tare_known" if entry.label == BOX.key else "mass_known"
        known = entry.raw.get(key, Known.GUESS.value)
        if "scale_step" in entry.raw and known in ("catalogue", "guess"):
            problems.at(entry.file, entry.label).add(
                "has a scale_step but was not weighed",
                f'write {key} = "weighed"',
                "scale_step",
            )


def supplies_say_how_a_mass_is_known_only_with_a_mass(pages: Pages, problems: Problems) -> None:
    """What a supply says about its mass needs a mass to be about."""
    for entry in pages.all(SUPPLY):
        lacking = "mass" not in entry.raw and entry.raw.get("carried") is not True
        if lacking and "mass_known" in entry.raw:
            problems.at(entry.file, entry.label).add(
                "has a mass_known but no mass", "add the mass or take mass_known out", "mass_known"
            )


def amounts_are_in_the_supplys_measure(pages: Pages, problems: Problems) -> None:
    """Packs, stocks and what steps use up are counted in the measure of their supply."""
    kinds = {e.id: _kind_of(e) for e in pages.all(SUPPLY) if e.id}
    for entry in pages.all(SUPPLY):
        for key in ("pack", "stock", "reserve", "par"):
            at = problems.at(entry.file, entry.label)
            least = 1 if key == "pack" else 0
            _check_amount(key, entry.raw.get(key), _kind_of(entry), least, at, key)
    for job in pages.all(JOB):
        for place, number, step in references.steps(job):
            said = step.get("supplies")
            for name, text in said.items() if isinstance(said, dict) else ():
                at, way = problems.at(job.file, place), f"step.{number}.supplies"
                _check_amount(f"supplies.{name}", text, kinds.get(name), 1, at, way)


def _kind_of(supply: Entry[Any]) -> Kind | None:
    measure = supply.raw.get("measure")
    return next((kind for word, kind in KIND_OF.items() if word.value == measure), None)


def _check_amount(
    key: str, text: object, kind: Kind | None, least: int, at: Problems, way: str
) -> None:
    # what is no text, or has no known measure, has had its fault noted already
    if kind is None or not isinstance(text, str):
        return
    try:
        amount = read(text, kind)
    except QuantityError as error:
        at.add(f"{key} {quoted(text)} cannot be read: {error.reason}", error.cure, way)
        return
    if amount < least:
        at.add(f"{key} {quoted(text)} is nothing", "write more than that or take it out", way)


def stocks_are_whole(pages: Pages, problems: Problems) -> None:
    """A reserve is a part of the stock, and a day of the stock has a stock to be about."""
    for entry in pages.all(SUPPLY):
        at = problems.at(entry.file, entry.label)
        for key in ("reserve", "stock_on"):
            if key in entry.raw and "stock" not in entry.raw:
                at.add(f"has a {key} but no stock", "add the stock or take it out", key)
        stock, reserve = (_amount_of(entry, key) for key in ("stock", "reserve"))
        if stock is not None and reserve is not None and reserve > stock:
            at.add(
                "has more in the reserve than its stock",
                "write all there is as the stock, and what of it lies in the reserve",
                "reserve",
            )


def _amount_of(supply: Entry[Any], key: str) -> int | None:
    """An amount of a supply in its measure; None where there is none that could be read."""
    kind, text = _kind_of(supply), supply.raw.get(key)
    if kind is None or not isinstance(text, str):
        return None
    try:
        return read(text, kind)
    except QuantityError:
        return None


def rules_have_what_they_ask(pages: Pages, problems: Problems) -> None:
    """A rule has the compartments, the time and the number of items that go with its word."""
    for entry in pages.all(RULE):
        at = problems.at(entry.file, entry.label)
        ask = entry.raw.get("ask")
        places, items = entry.raw.get("compartments", []), entry.raw.get("items")
        # what is no list, or no word, has had its fault noted by the schema
        if isinstance(places, list):
            _check_places(ask, len(places), at)
        if ask == Ask.WITHIN.value and "within" not in entry.raw:
            at.add("asks within but gives no time", 'add within = "6 s"')
        if "within" in entry.raw and ask in _other_words(Ask.WITHIN):
            at.add(f"asks {ask} and gives a time", 'take it out or write ask = "within"')
        others = entry.raw.get("others", [])
        if ask == Ask.CLEAR.value and others == []:
            at.add("asks clear and names no others", "name in others what is to be kept clear")
        if others and ask in _other_words(Ask.CLEAR) - {Ask.APART.value}:
            at.add(f"asks {ask} and names others", "take them out")
        apart = ask == Ask.TOGETHER.value or (ask == Ask.APART.value and not others)
        if apart and isinstance(items, list) and len(items) == 1:
            at.add(f"asks {ask} of one thing", "name at least two items")


def _other_words(word: Ask) -> frozenset[str]:
    return frozenset(ask.value for ask in Ask if ask is not word)


def _check_places(ask: object, count: int, at: Problems) -> None:
    if ask == Ask.PINNED.value and count != 1:
        at.add(f"asks pinned and names {count} compartments", "name exactly one")
    elif ask == Ask.ONLY.value and count == 0:
        at.add("asks only and names no compartment", "name at least one")
    elif ask == Ask.CLEAR.value and count == 0:
        at.add("asks clear and names no compartment", "name those where the others lie")
    elif ask in _other_words(Ask.PINNED) - {Ask.ONLY.value, Ask.CLEAR.value} and count:
        at.add(f"asks {ask} and names compartments", "take them out")


Check = Callable[[Pages, Problems], None]

CHECKS: tuple[Check, ...] = (
    references.ids_are_unique,
    references.compartments_name_openings,
    compartments_lie_in_the_box,
    compartments_do_not_overlap,
    references.substitutes_are_tools,
    carried_supplies_have_mass_and_size,
    scale_steps_belong_to_weighed_masses,
    supplies_say_how_a_mass_is_known_only_with_a_mass,
    amounts_are_in_the_supplys_measure,
    stocks_are_whole,
    instrument_checks.dials_agree_with_themselves,
    references.job_steps_name_tools,
    references.job_steps_name_supplies,
    rules_have_what_they_ask,
    references.rules_name_things,
    references.readings_name_places,
    references.spots_name_copies,
)
