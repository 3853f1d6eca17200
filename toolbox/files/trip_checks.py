"""What must hold in a trip file: who is named, what goes with what, which figures rise."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from itertools import pairwise
from typing import Any, NamedTuple

from toolbox.files.named import all_known, once_each
from toolbox.files.pages import Entry, Pages, Sort
from toolbox.files.problems import Problems, listed, quoted
from toolbox.files.trip_tables import (
    ALLOWANCE,
    APPROVAL,
    BAG,
    BIKE,
    ITEM,
    LEG,
    PERSON,
    SCALE,
    TRIP,
    WAY,
    WEIGHING,
    WORK,
    AllowanceTable,
)
from toolbox.kit.kit import Kit
from toolbox.kit.things import Known, base_id
from toolbox.kit.trips import Concept, Other

_WITH_IDS: tuple[Sort[Any], ...] = (PERSON, BAG, ITEM, ALLOWANCE, LEG, BIKE, SCALE)
_NEEDED: tuple[Sort[Any], ...] = (PERSON, BAG, ALLOWANCE, LEG)
_SIDES = ("length", "width", "height")
_INSIDE = ("inside_length", "inside_width", "inside_height")


class _Names(NamedTuple):
    """What may be named, by what it is."""

    people: Collection[str]
    bags: Collection[str]
    allowances: Collection[str]
    bikes: Collection[str]
    scales: Collection[str]
    jobs: Collection[str]
    things: Collection[str]


def _names(pages: Pages, kit: Kit) -> _Names:
    def of(sort: Sort[Any]) -> set[str]:
        return {entry.id for entry in pages.all(sort) if entry.id}

    things = _of_kit(kit) | of(ITEM)
    jobs = {job.id for job in kit.jobs}
    return _Names(of(PERSON), of(BAG), of(ALLOWANCE), of(BIKE), of(SCALE), jobs, things)


def _of_kit(kit: Kit) -> set[str]:
    return {tool.id for tool in kit.tools} | {supply.id for supply in kit.supplies}


def _one(entry: Entry[Any], key: str) -> tuple[str, ...]:
    value = entry.raw.get(key)
    return (value,) if isinstance(value, str) and value else ()


def ids_are_unique(pages: Pages, kit: Kit, problems: Problems) -> None:
    """No two people, bags, things, allowances, legs, bikes or scales share an id."""
    for sort in _WITH_IDS:
        once_each(pages.all(sort), problems)
    taken = _of_kit(kit)
    for entry in pages.all(ITEM):
        if entry.id in taken:
            problems.at(entry.file, entry.label).add(
                "its id is that of a tool or supply of the kit", "give it another id"
            )


def there_is_somebody_and_something(pages: Pages, kit: Kit, problems: Problems) -> None:
    """A trip has people, bags, allowances and legs."""
    for sort in _NEEDED:
        if not pages.all(sort):
            problems.add(f"has no [[{sort.key}]]", f"write at least one {sort.key}")


def everybody_named_is_there(pages: Pages, kit: Kit, problems: Problems) -> None:
    """Every person, bag, allowance, bike, scale, job and thing that is named exists."""
    names = _names(pages, kit)
    one: tuple[tuple[Sort[Any], str, Collection[str], str], ...] = (
        (BAG, "answers", names.people, "person of this trip"),
        (ITEM, "bag", names.bags, "bag of this trip"),
        (LEG, "allowance", names.allowances, "allowance of this trip"),
        (BIKE, "bag", names.bags, "bag of this trip"),
        (WORK, "job", names.jobs, "job of the kit"),
        (WAY, "item", names.things, "thing of the kit or this trip"),
        (WEIGHING, "bag", names.bags, "bag of this trip"),
        (WEIGHING, "scale", names.scales, "scale of this trip"),
    )
    many: tuple[tuple[Sort[Any], str, Collection[str], str], ...] = (
        (TRIP, "must", names.things, "thing of the kit or this trip"),
        (BAG, "holds", _of_kit(kit), "tool or supply of the kit"),
        (WORK, "bikes", names.bikes, "bike of this trip"),
        (APPROVAL, "items", names.things, "thing of the kit or this trip"),
    )
    for sort, key, known, what in one:
        for entry in pages.all(sort):
            all_known(key, _one(entry, key), known, what, problems.at(entry.file, entry.label))
    for sort, key, known, what in many:
        for entry in pages.all(sort):
            all_known(key, entry.texts(key), known, what, problems.at(entry.file, entry.label))
    for entry in pages.all(WEIGHING):
        # a bag may hold one copy of several, so copies are named as well
        named = {base_id(name) for name in entry.texts("items")}
        at = problems.at(entry.file, entry.label)
        all_known("items", sorted(named), names.things, "thing of the kit or this trip", at)
    for leg in pages.all(LEG):
        others, at = leg.raw.get("others"), problems.at(leg.file, leg.label)
        if isinstance(others, dict):
            texts = [value for value in others.values() if isinstance(value, str)]
            all_known("others", others, names.people, "person of this trip", at)
            all_known("others", set(texts), names.allowances, "allowance of this trip", at)


def bags_are_the_box_or_have_a_tare(pages: Pages, kit: Kit, problems: Problems) -> None:
    """One bag at most is the kit's box; any other says its empty mass."""
    boxes = [entry for entry in pages.all(BAG) if entry.raw.get("box") is True]
    for entry in boxes[1:]:
        problems.at(entry.file, entry.label).add(
            f"is the kit's box, as {boxes[0].label} is", "let one bag alone be the box"
        )
    for entry in pages.all(BAG):
        at = problems.at(entry.file, entry.label)
        of_box = [key for key in ("tare", *_SIDES) if key in entry.raw]
        if entry in boxes and of_box:
            at.add(
                f"is the kit's box and gives its {listed(of_box)}", "box.toml has them: leave out"
            )
        if entry not in boxes and "tare" not in entry.raw:
            at.add("has no tare", 'weigh it empty and write tare = "3.2 kg"')


def sizes_are_whole(pages: Pages, kit: Kit, problems: Problems) -> None:
    """A size has all three sides or none."""
    groups: tuple[tuple[Sort[Any], tuple[str, ...]], ...] = (
        (BAG, _SIDES),
        (BAG, _INSIDE),
        (ITEM, _SIDES),
    )
    for sort, sides in groups:
        for entry in pages.all(sort):
            _check_sides(entry.raw, sides, "", problems.at(entry.file, entry.label))
    for entry in pages.all(ALLOWANCE):
        cabin = entry.raw.get("cabin")
        if isinstance(cabin, dict):
            _check_sides(cabin, _SIDES, "cabin.", problems.at(entry.file, entry.label))


def _check_sides(raw: Any, sides: tuple[str, ...], before: str, at: Problems) -> None:
    lacking = [f"{before}{side}" for side in sides if side not in raw]
    if 0 < len(lacking) < len(sides):
        at.add(f"has no {listed(lacking)}", "give all three sides or none")


def scale_steps_belong_to_what_was_weighed(pages: Pages, kit: Kit, problems: Problems) -> None:
    """A scale's step is told only for a mass read from that scale."""
    masses: tuple[tuple[Sort[Any], str], ...] = ((BAG, "tare_known"), (ITEM, "mass_known"))
    for sort, known in masses:
        for entry in pages.all(sort):
            said = entry.raw.get(known, Known.GUESS.value)
            if "scale_step" in entry.raw and said in ("catalogue", "guess"):
                problems.at(entry.file, entry.label).add(
                    "has a scale_step but was not weighed", f'write {known} = "weighed"'
                )


def things_lie_in_one_bag(pages: Pages, kit: Kit, problems: Problems) -> None:
    """What a bag holds of the kit lies nowhere else and has a mass."""
    carried = {thing.id for thing in kit.carried().values()}
    massless = {supply.id for supply in kit.supplies if supply.mass is None}
    with_box = any(entry.raw.get("box") is True for entry in pages.all(BAG))
    holder: dict[str, str] = {}
    for entry in pages.all(BAG):
        at = problems.at(entry.file, entry.label)
        for name in dict.fromkeys(entry.texts("holds")):
            if name in carried and with_box:
                at.add(f"holds {quoted(name)}, which lies in the kit's box", "take it out here")
            if name in massless:
                at.add(
                    f"holds {quoted(name)}, which has no mass", "give it a mass in supplies.toml"
                )
            if name in holder:
                at.add(f"holds {quoted(name)}, as {holder[name]} does", "leave it in one of them")
            holder.setdefault(name, entry.label)


def allowances_hold_together(pages: Pages, kit: Kit, problems: Problems) -> None:
    """Each allowance has what its concept asks for, and its figures rise."""
    for entry in pages.all(ALLOWANCE):
        if entry.table is not None:
            at = problems.at(entry.file, entry.label)
            for wrong, cure in (*_by_concept(entry.table), *_figures_rise(entry.table)):
                at.add(wrong, cure)


def _by_concept(table: AllowanceTable) -> Iterator[tuple[str, str]]:
    if table.concept is Concept.PIECE:
        if table.pieces is None:
            yield "counts by piece and names no pieces", "add pieces = 1"
        foreign: dict[str, object] = {
            "per_kg": table.per_kg,
            "most": table.most,
            "pooled": table.pooled or None,
        }
    else:
        foreign = {
            "pieces": table.pieces,
            "extra_pieces": table.extra_pieces or None,
            "band": table.band or None,
        }
    for key, value in foreign.items():
        if value is not None:
            said = table.concept.value
            yield f"counts by {said} and gives {key}", "take it out or write the other concept"


def _figures_rise(table: AllowanceTable) -> Iterator[tuple[str, str]]:
    masses = [table.mass, *(band.up_to for band in table.band)]
    if any(low >= high for low, high in pairwise(masses)):
        yield "has bands that do not rise above its mass", "order them by up_to, lowest first"
    prices = [band.price.hundredths for band in table.band]
    if any(low >= high for low, high in pairwise([0, *prices])):
        yield "has bands whose prices do not rise", "set the prices right, lowest first"
    if table.ceiling is not None and table.concept is Concept.PIECE and table.ceiling < masses[-1]:
        yield "has a ceiling below its mass or its last band", "set the ceiling or the band right"
    if table.most is not None and table.most < table.mass:
        yield "has a most below its mass", "set one of the two right"
    if table.oversize is not None and (table.sides is None or table.sides_ceiling is None):
        yield (
            "has a price for oversize and no sides to count from and to",
            ("add sides and sides_ceiling"),
        )
    if table.sides_ceiling is not None and (table.sides or 0) >= table.sides_ceiling:
        yield "has a sides_ceiling that is not above its sides", "set one of the two right"


def legs_are_in_order(pages: Pages, kit: Kit, problems: Problems) -> None:
    """Days do not go back, and no leg out follows a leg back."""
    legs = [entry for entry in pages.all(LEG) if entry.table is not None]
    for before, after in pairwise(legs):
        at = problems.at(after.file, after.label)
        one, two = before.table, after.table
        if one is None or two is None:
            continue
        if one.day and two.day and two.day < one.day:
            at.add(f"is flown before {before.label}", "put the legs in the order of the trip")
        if one.back and not two.back:
            at.add(f"leads out after {before.label} leads back", "set back right, or their order")


def one_currency(pages: Pages, kit: Kit, problems: Problems) -> None:
    """All prices are in one currency: others cannot be added."""
    used: dict[str, Entry[Any]] = {}
    priced: tuple[Entry[Any], ...] = (*pages.all(ALLOWANCE), *pages.all(WAY))
    for entry in priced:
        for currency in _currencies(entry.table):
            first = used.setdefault(currency, entry)
            if first is entry and len(used) > 1:
                main, where = next(iter(used.items()))
                problems.at(entry.file, entry.label).add(
                    f"gives a price in {currency}, {where.label} in {main}",
                    "write all prices of a trip in one currency",
                )


def _currencies(table: Any) -> Iterator[str]:
    if isinstance(table, AllowanceTable):
        bands = (band.price for band in table.band)
        prices = (table.per_kg, table.oversize, *table.extra_pieces, *bands)
    else:
        prices = (getattr(table, "price", None),)
    yield from dict.fromkeys(price.currency for price in prices if price is not None)


def ways_are_told_once(pages: Pages, kit: Kit, problems: Problems) -> None:
    """What else can be done with a thing is said once, and staying at home costs nothing."""
    seen: set[tuple[str, Other]] = set()
    for entry in pages.all(WAY):
        table, at = entry.table, problems.at(entry.file, entry.label)
        if table is None:
            continue
        if (table.item, table.other) in seen:
            at.add(f"says {table.other.value} a second time", "leave one of the two out")
        seen.add((table.item, table.other))
        if table.other is Other.LEAVE and table.price is not None:
            at.add("has a price for staying at home", "take the price out")


def decisions_have_a_reason_and_a_name(pages: Pages, kit: Kit, problems: Problems) -> None:
    """A reading is accepted by somebody, with a reason."""
    for entry in pages.all(WEIGHING):
        table, at = entry.table, problems.at(entry.file, entry.label)
        if table is None or bool(table.accepted) is bool(table.by):
            continue
        if table.accepted:
            at.add("was accepted, but nobody is named", 'write who decided it: by = "..."')
        else:
            at.add("names who decided, but no reason", 'write the reason: accepted = "..."')


Check = Callable[[Pages, Kit, Problems], None]

CHECKS: tuple[Check, ...] = (
    there_is_somebody_and_something,
    ids_are_unique,
    everybody_named_is_there,
    bags_are_the_box_or_have_a_tare,
    sizes_are_whole,
    scale_steps_belong_to_what_was_weighed,
    things_lie_in_one_bag,
    allowances_hold_together,
    legs_are_in_order,
    one_currency,
    ways_are_told_once,
    decisions_have_a_reason_and_a_name,
)
