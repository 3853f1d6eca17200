"""A packed bag put on a scale: the reading stored, and what explains it when it is off."""

from __future__ import annotations

from dataclasses import dataclass, replace

from toolbox.desk.errors import DeskError, UnclearName
from toolbox.desk.names import Named, match
from toolbox.desk.trips import Flight, label
from toolbox.files.trips import append_weighing, trip_path
from toolbox.flight.contents import bag_total, candidates_of, tare_line
from toolbox.flight.masses import Total, total_of
from toolbox.flight.readings import Explained, Explanation, explain
from toolbox.flight.scales import reading_of
from toolbox.kit.facts import LoosePick, StepDone, Use
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import base_id
from toolbox.kit.trips import Bag, Scale, Weighing


@dataclass(frozen=True, slots=True)
class WeighedIn:
    """A reading beside the sum of items and tare, and what explains the difference."""

    weighing: Weighing
    bag: Bag
    scale: Scale
    listed: Total
    explained: Explained


def weigh_bag(flight: Flight, bag: Bag, reading_g: int, scale_letters: str | None) -> WeighedIn:
    """Store the reading of a packed bag in the trip file, and compare it with the sum.

    The bag holds what lies in it now. All that stands in the trip file stays.
    DeskError when there is no scale or it cannot bear so much, and for a reading below
    what the empty bag weighs; WriteRefused as usual.
    """
    scale = scale_meant(flight, reading_g, scale_letters)
    _possible(flight, bag, reading_g)
    weighing = Weighing(bag.id, reading_g, scale.id, flight.today, held(flight, bag))
    compared = compare_reading(flight, weighing)
    append_weighing(trip_path(flight.folder.path, flight.name), weighing)
    return compared


def _possible(flight: Flight, bag: Bag, reading_g: int) -> None:
    """A reading that would make the bag lighter than nothing in it is refused, not stored."""
    empty = total_of((tare_line(bag, flight.kit),))
    if reading_g < empty.interval()[0]:
        raise DeskError(
            f"{bag.name} weighs {write(empty.grams, Kind.MASS)} empty, so it cannot weigh "
            f"{write(reading_g, Kind.MASS)} packed: look which bag is on the scale, and whether "
            "it shows zero without one; nothing was written"
        )


def held(flight: Flight, bag: Bag) -> tuple[str, ...]:
    """What is in the bag, where that is not all that lies in it by the trip, else nothing.

    Written as in a ``Weighing``. DeskError when the bag is empty.
    """
    inside = {copy.id for copy in flight.inside(bag, flight.now)}
    if not inside:
        raise DeskError(f"{bag.name} is empty: its empty mass is the tare in the trip file")
    if inside == {copy.id for copy in flight.contents if copy.bag == bag.id}:
        return ()
    every: dict[str, set[str]] = {}
    for copy in flight.contents:
        every.setdefault(base_id(copy.id), set()).add(copy.id)
    held = []
    for name in sorted(inside):
        base = base_id(name)
        alone = name if name != base else f"{name}/1"
        held.append(base if every[base] <= inside else alone)
    return tuple(dict.fromkeys(held))


def compare_reading(flight: Flight, weighing: Weighing) -> WeighedIn:
    """A reading against the sum of items and tare; earlier readings do not count."""
    bag = flight.bag(weighing.bag)
    scale = next(s for s in flight.trip.scales if s.id == weighing.scale)
    unweighed = replace(flight.trip, weighings=())
    listed = bag_total(bag, flight.kit, unweighed, flight.contents, flight.now)
    reading = reading_of(weighing.reading_g, scale.step_mg, scale.accuracy, scale.error_mg)
    candidates = candidates_of(
        bag, flight.contents, flight.now, counted=_counted(flight), away=_away(flight)
    )
    explained = explain(weighing.reading_g, reading, listed, candidates)
    return WeighedIn(weighing, bag, scale, listed, explained)


def _counted(flight: Flight) -> frozenset[str]:
    """Copies that somebody said the place of: those of today's layout."""
    present = flight.kit.present
    return frozenset(spot.item for spot in present.spots) if present is not None else frozenset()


def _away(flight: Flight) -> frozenset[str]:
    """Copies that were out of the box on the last logged day."""
    facts = [
        f for f in flight.folder.live if isinstance(f.what, Use) and f.at.date() <= flight.today
    ]
    last = max((f.at.date() for f in facts), default=None)
    used: set[str] = set()
    for fact in facts:
        if fact.at.date() != last:
            continue
        if isinstance(fact.what, StepDone):
            used |= {base_id(pick.tool) for pick in fact.what.picks}
        elif isinstance(fact.what, LoosePick):
            used.add(base_id(fact.what.tool))
    return frozenset(c.id for c in flight.contents if base_id(c.id) in used)


def scale_meant(flight: Flight, reading_g: int, letters: str | None) -> Scale:
    """The scale meant, or the only one that bears so much; DeskError says what is missing."""
    scales = flight.trip.scales
    if not scales:
        raise DeskError(
            f"the trip {flight.name} has no scale: add a [[scale]] with its scale_step to its file"
        )
    if letters is not None:
        found = match(letters, (Named(s.id, s.name) for s in scales))
        if not found.found:
            names = ", ".join(s.id for s in scales)
            raise DeskError(f'the trip has no scale "{letters}"; it has {names}')
        scales = tuple(s for s in scales if s.id in {one.id for one in found.found})
    able = [s for s in scales if s.capacity_g is None or reading_g <= s.capacity_g]
    if not able:
        raise DeskError(f"no scale of the trip can weigh {reading_g} g: look at its capacity")
    if len(able) > 1:
        raise UnclearName("scale", letters or "", tuple(Named(s.id, s.name) for s in able))
    return able[0]


def explanation_words(flight: Flight, one: Explanation) -> str:
    """One explanation of a reading, in a sentence without its end."""
    if one.otherwise:
        return "something else: a thing on no list, a wrong figure, or more things at once"
    names = {copy.id: label(copy) for copy in flight.contents}
    parts = []
    if one.missing:
        parts.append("missing: " + ", ".join(names[n] for n in one.missing))
    if one.extra:
        parts.append("in it besides: " + ", ".join(names[n] for n in one.extra))
    return "; ".join(parts) or "the masses on the list are off by so much"
