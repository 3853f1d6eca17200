"""A packed bag put on a scale: the reading stored, and what explains it when it is off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from toolbox.desk.errors import DeskError, UnclearName
from toolbox.desk.figures import clean
from toolbox.desk.flight_bags import goes_in
from toolbox.desk.names import Named, match
from toolbox.desk.trips import Flight, label
from toolbox.files.trips import append_weighing, trip_path
from toolbox.flight.contents import (
    Content,
    bag_total,
    candidates_of,
    last_weighing,
    tare_line,
    weighed_with,
)
from toolbox.flight.masses import Total, total_of
from toolbox.flight.readings import Candidate, Explained, Explanation, explain, is_explained
from toolbox.flight.scales import Reading, reading_of
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


class Decision(NamedTuple):
    """Why a reading that nothing on the lists explains counts all the same, and who said so."""

    accepted: str = ""
    by: str = ""


UNDECIDED = Decision()


def weigh_bag(
    flight: Flight,
    bag: Bag,
    reading_g: int,
    scale_letters: str | None,
    decision: Decision = UNDECIDED,
) -> WeighedIn:
    """Store the reading of a packed bag in the trip file, and compare it with the sum.

    The bag holds what lies in it now. All that stands in the trip file stays.
    DeskError when there is no scale or it cannot bear so much, and for a reading below
    what the empty bag weighs; WriteRefused as usual.
    """
    scale = scale_meant(flight, reading_g, scale_letters)
    _possible(flight, bag, reading_g)
    weighing = Weighing(bag.id, reading_g, scale.id, flight.today, held(flight, bag))
    if decision.accepted:
        weighing = replace(weighing, accepted=clean(decision.accepted), by=clean(decision.by))
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
    scale = _scale_of(flight, weighing)
    compared = _compared(flight, bag, weighing, scale)
    return WeighedIn(weighing, bag, scale, compared[2], explain(*compared))


def unexplained_readings(flight: Flight) -> tuple[Weighing, ...]:
    """The readings of ``readings_off`` alone."""
    return tuple(weighing for weighing, _ in readings_off(flight))


def readings_off(flight: Flight) -> Iterator[tuple[Weighing, int]]:
    """Readings that count, are off by more than their uncertainty, and that nothing explains.

    Each with the grams by which it is above the sum of items and tare. Those somebody decided
    about, and those of bags that are empty now, are left out.
    """
    for bag in flight.trip.bags:
        last = last_weighing(bag, flight.trip)
        if last is None or last.accepted or not flight.inside(bag, flight.now):
            continue
        compared = _compared(flight, bag, last, _scale_of(flight, last))
        if not _is_explained(*compared):
            yield last, last.reading_g - compared[2].grams


def _scale_of(flight: Flight, weighing: Weighing) -> Scale:
    return next(s for s in flight.trip.scales if s.id == weighing.scale)


# a screen asks again after every shift, which changes nothing about a reading made before it
_is_explained = lru_cache(maxsize=64)(is_explained)


def _compared(
    flight: Flight, bag: Bag, weighing: Weighing, scale: Scale
) -> tuple[int, Reading, Total, tuple[Candidate, ...]]:
    """What explains a reading is sought from: what lay in the bag then, what did not, the sum."""
    then = weighed_with(bag, weighing, flight.contents)
    where = {c.id: bag.id if c.id in then else None for c in flight.contents}
    unweighed = replace(flight.trip, weighings=())
    listed = bag_total(bag, flight.kit, unweighed, flight.contents, where)
    reading = reading_of(weighing.reading_g, scale.step_mg, scale.accuracy, scale.error_mg)
    likely = [c for c in flight.contents if c.id in then or _goes_in(flight, bag, c)]
    away = _away(flight, weighing.day)
    candidates = candidates_of(bag, likely, where, counted=_counted(flight), away=away)
    return weighing.reading_g, reading, listed, candidates


def _goes_in(flight: Flight, bag: Bag, copy: Content) -> bool:
    """Whether a thing could be in a bag by mistake, as far as its size goes."""
    room = flight.kit.box.size if bag.box else bag.inside or bag.size
    return copy.size is None or room is None or goes_in(copy.size, room)


def _counted(flight: Flight) -> frozenset[str]:
    """Copies that somebody said the place of: those of today's layout."""
    present = flight.kit.present
    return frozenset(spot.item for spot in present.spots) if present is not None else frozenset()


def _away(flight: Flight, day: date) -> frozenset[str]:
    """Copies that were out of the box on the last logged day up to this one."""
    facts = [f for f in flight.folder.live if isinstance(f.what, Use) and f.at.date() <= day]
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


def standing_words(found: WeighedIn) -> str:
    """What follows from a reading that nothing explains; "" for any other."""
    if not found.explained.unexplained:
        return ""
    if found.weighing.accepted:
        return f"Accepted by {found.weighing.by}: {found.weighing.accepted}."
    return (
        "Nothing on the lists explains it, so the trip does not count as fitting: weigh the bag "
        "again, or say what is in it and weigh again, or accept the reading with a reason."
    )


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
