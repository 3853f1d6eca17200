"""What is in the bags of a trip, out of kit and trip: each copy with its mass and its goods.

The names of copies are those of layouts: ``T1``, ``T1/2``. A supply travels as one pack, as
in the box's balance; a pack of pieces that are dangerous goods is told piece by piece, since
limits count them one by one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType

from toolbox.flight.goods import NO_CLASS_WORD, Thing
from toolbox.flight.masses import Line, Total, reading_behind, total_of, weighed_total
from toolbox.flight.readings import Candidate
from toolbox.kit.kit import Kit
from toolbox.kit.things import Known, Mass, Measure, Size, Supply, Tool, base_id
from toolbox.kit.trips import Bag, Item, Trip, Weighing

# Light oils and alcohols weigh about 0.8 g/ml, water 1 (common practice, no source).
LIGHTEST_G_PER_ML = Fraction(3, 4)


@dataclass(frozen=True, slots=True)
class Content:
    """One copy of a thing: its name among copies, its home bag, mass, size and goods.

    ``thing`` is what the goods rules judge; its id is that of the copy. A piece ``of_pack``
    has its share of a mass that is known of the pack.
    """

    id: str
    name: str
    bag: str
    mass: Mass
    size: Size | None
    thing: Thing
    fixed: bool = False
    of_pack: bool = False


def contents_of(kit: Kit, trip: Trip) -> tuple[Content, ...]:
    """Everything that lies in a bag at home, in the order of the bags."""
    approved = trip.approved()
    tools = {tool.id: tool for tool in kit.tools}
    supplies = {supply.id: supply for supply in kit.supplies}
    found: list[Content] = []
    for bag in trip.bags:
        if bag.box:
            for copy, carried in kit.carried().items():
                found += _of_kit(copy, carried, bag.id, approved)
        for name in bag.holds:
            thing = tools.get(name) or supplies[name]
            copies = thing.copies() if isinstance(thing, Tool) else (name,)
            for copy in copies:
                found += _of_kit(copy, thing, bag.id, approved)
        for item in trip.items:
            if item.bag == bag.id:
                found += _of_item(item, approved)
    return tuple(found)


def _of_kit(
    copy: str, thing: Tool | Supply, bag: str, approved: Collection[str]
) -> Iterator[Content]:
    # a supply without a mass cannot be carried: the checks of the files see to that
    if thing.mass is None:
        return
    judged = thing_of(thing, copy, approved)
    one_by_one = thing.goods is not None and thing.goods.kind != NO_CLASS_WORD
    if judged.pieces == 1 or not one_by_one:
        yield Content(copy, thing.name, bag, thing.mass, thing.size, judged)
        return
    # the gram or two that do not share out evenly go to the first pieces
    each, over = divmod(thing.mass.grams, judged.pieces)
    for n in range(1, judged.pieces + 1):
        name = copy if n == 1 else f"{copy}/{n}"
        mass = thing.mass._replace(grams=each + (n <= over))
        piece = replace(judged, id=name, pieces=1)
        yield Content(name, thing.name, bag, mass, None, piece, of_pack=True)


def _of_item(item: Item, approved: Collection[str]) -> Iterator[Content]:
    longest = max(item.size) if item.size is not None else None
    for n in range(1, item.count + 1):
        copy = item.id if n == 1 else f"{item.id}/{n}"
        thing = Thing(
            copy, item.name, item.goods, 1, longest, approved=item.id in approved, tool=False
        )
        yield Content(copy, item.name, item.bag, item.mass, item.size, thing, item.fixed)


def thing_of(thing: Tool | Supply, copy: str = "", approved: Collection[str] = ()) -> Thing:
    """A tool or supply as the goods rules judge it.

    A supply counted in millilitres or grams is a fluid; its contents are those of the pack
    where its goods do not say. In pieces, the pack says how many there are.
    """
    longest = max(thing.size) if thing.size is not None else None
    yes = thing.id in approved
    if isinstance(thing, Tool):
        return Thing(copy or thing.id, thing.name, thing.goods, 1, longest, approved=yes)
    goods, pieces = thing.goods, 1
    if thing.measure is Measure.PIECES:
        pieces = thing.pack or 1
    elif goods is not None and goods.net_ml is None and thing.measure is Measure.MILLILITRES:
        goods = goods._replace(net_ml=thing.pack)
    fluid = thing.measure is not Measure.PIECES
    return Thing(copy or thing.id, thing.name, goods, pieces, longest, False, fluid, yes)


def lines_of(contents: Iterable[Content]) -> tuple[Line, ...]:
    """The contents as lines of a sum: copies share one figure, so they are one line."""
    found: dict[tuple[str, int], Line] = {}
    for content in contents:
        # the pieces of a pack add up to one mass, copies of a tool are so many times one
        key = (base_id(content.id), 0 if content.of_pack else content.mass.grams)
        before = found.get(key)
        if before is None:
            found[key] = Line(key[0], content.name, content.mass)
        elif content.of_pack:
            grams = before.mass.grams + content.mass.grams
            found[key] = before._replace(mass=before.mass._replace(grams=grams))
        else:
            found[key] = before._replace(pieces=before.pieces + 1)
    return tuple(found.values())


def tare_line(bag: Bag, kit: Kit) -> Line:
    """The empty bag as a line of its sum; the box's own is that of the kit."""
    tare = kit.box.tare() if bag.box else bag.tare
    if tare is None:
        raise ValueError(f"the bag {bag.id} has no empty mass")
    return Line(f"tare of {bag.id}", f"{bag.name}, empty", tare)


def bag_total(
    bag: Bag,
    kit: Kit,
    trip: Trip,
    contents: Collection[Content],
    where: Mapping[str, str | None] = MappingProxyType({}),
    used: Mapping[str, int] = MappingProxyType({}),
) -> Total:
    """The bag's mass when each copy lies where ``where`` says (a copy it does not name: home).

    ``used`` are grams used up on the trip, by supply. Without a reading it is the sum of
    items and tare, to the gram. The last reading of the packed bag goes before that sum:
    what has since come in, gone out or been used up changes it.
    """
    inside = [c for c in contents if where.get(c.id, c.bag) == bag.id]
    left = {c.id: c for c in after_work(inside, used)}
    last = last_weighing(bag, trip)
    if last is None:
        return total_of((tare_line(bag, kit), *lines_of(left.values())))
    scale = next(s for s in trip.scales if s.id == last.scale)
    then = weighed_with(bag, last, contents)
    put_in = (c for c in left.values() if c.id not in then)
    gone = (c for c in contents if c.id in then and where.get(c.id, c.bag) != bag.id)
    eaten = ((c, _grams_gone(c, left.get(c.id))) for c in inside if c.id in then)
    lighter = (Line(f"{c.id}, used up", c.name, Mass(g, Known.GUESS)) for c, g in eaten if g)
    return weighed_total(last.reading_g, scale, lines_of(put_in), (*lines_of(gone), *lighter))


def last_weighing(bag: Bag, trip: Trip) -> Weighing | None:
    """The reading of the packed bag that counts, of several on one day the one written last."""
    weighings = [w for w in trip.weighings if w.bag == bag.id]
    return max(reversed(weighings), key=lambda w: w.day, default=None)


def weighed_with(bag: Bag, weighing: Weighing, contents: Iterable[Content]) -> frozenset[str]:
    """The copies that were in a bag when it was weighed."""
    return frozenset(c.id for c in contents if _was_in(c, bag, weighing.items))


def candidates_of(
    bag: Bag,
    contents: Iterable[Content],
    where: Mapping[str, str | None] = MappingProxyType({}),
    counted: Collection[str] = (),
    away: Collection[str] = (),
) -> tuple[Candidate, ...]:
    """What may be missing from a bag, and what may be in it though it belongs elsewhere.

    ``counted`` are the copies that were counted in, ``away`` those last used away from the
    box; ``where`` as for ``bag_total``.
    """
    return tuple(
        Candidate(
            id=c.id,
            name=c.name,
            grams=c.mass.grams,
            u_g=reading_behind(c.mass).u_g,
            extra=where.get(c.id, c.bag) != bag.id,
            counted=c.id in counted,
            away=c.id in away,
        )
        for c in contents
    )


def _grams_gone(before: Content, after: Content | None) -> int:
    return before.mass.grams - (after.mass.grams if after is not None else 0)


def _was_in(content: Content, bag: Bag, items: Collection[str]) -> bool:
    if not items:
        return content.bag == bag.id
    # the name of a first copy is that of all of them: alone it is written with a 1
    base = base_id(content.id)
    return base in items or (content.id if base != content.id else f"{base}/1") in items


def used_up(kit: Kit, trip: Trip) -> dict[str, int]:
    """Grams of each supply that the planned work is expected to use up, by its id.

    The draws of the usual steps, as often as each job is expected; pieces at their share of
    the pack's mass, grams as they are, a millilitre at 0.75 g, lighter than any usual fluid.
    Rounded down and never more than the pack weighs: what is not known to be gone is carried
    home. Supplies without a mass, and pieces without a pack, are left out.
    """
    jobs = {job.id: job for job in kit.jobs}
    supplies = {supply.id: supply for supply in kit.supplies}
    amounts: dict[str, Fraction] = {}
    for work in trip.work:
        for step in jobs[work.job].steps:
            for draw in step.draws:
                drawn = amounts.get(draw.supply, Fraction(0))
                amounts[draw.supply] = drawn + draw.amount * work.expected()
    found = {}
    for name, amount in amounts.items():
        supply = supplies[name]
        each = _grams_each(supply)
        if supply.mass is not None and each is not None:
            found[name] = min(int(amount * each), supply.mass.grams)
    return found


def _grams_each(supply: Supply) -> Fraction | None:
    """Grams of one whole unit of a supply's measure; None where it is not known."""
    match supply.measure:
        case Measure.GRAMS:
            return Fraction(1)
        case Measure.MILLILITRES:
            return LIGHTEST_G_PER_ML
        case Measure.PIECES:
            if supply.mass is None or not supply.pack:
                return None
            return Fraction(supply.mass.grams, supply.pack)


def after_work(contents: Iterable[Content], used: Mapping[str, int]) -> tuple[Content, ...]:
    """The contents as they fly home: lighter by what was used up; an empty pack stays behind."""
    rest = dict(used)
    found = []
    # the last piece of a pack is used first
    for content in reversed(tuple(contents)):
        gone = min(rest.get(base_id(content.id), 0), content.mass.grams)
        if gone:
            rest[base_id(content.id)] -= gone
        if gone < content.mass.grams:
            grams = content.mass.grams - gone
            found.append(replace(content, mass=content.mass._replace(grams=grams)))
    return tuple(reversed(found))
