"""Which things are to be weighed next: those that the next trip hangs on first, and how far one is.

A thing counts as weighed when its mass says so. What is not weighed stands in the order in
which weighing it makes the bags of the next trip surest: bags that are not surely within
their limits first, in each the thing that its doubt comes from most.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from toolbox.desk.errors import DeskError
from toolbox.desk.figures import count
from toolbox.desk.flights import check_now
from toolbox.desk.folder import KitFolder
from toolbox.desk.trips import Flight, is_over, nearest_trip
from toolbox.files.problems import KitFaults
from toolbox.flight.contents import lines_of
from toolbox.flight.masses import Line, Verdict, uncertainty_of
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import Known, Supply, Tool

Weighable = Tool | Supply
HERE, HOME = "travels in the box", "stays at home"


@dataclass(frozen=True, slots=True)
class ToPutOn:
    """A thing as a line of the list: what it is, what for it is weighed, how far off it may be.

    ``doubt_g`` is the standard uncertainty of all its copies that travel together; None
    where nobody has said a mass.
    """

    thing: Weighable
    why: str
    doubt_g: float | None

    @property
    def key(self) -> str:
        """What it is known by in lists."""
        return self.thing.id

    @property
    def weighed(self) -> bool:
        """Whether its mass was read off a scale."""
        return is_weighed(self.thing)

    @property
    def mass(self) -> str:
        """Its mass and how it is known, in words."""
        return mass_words(self.thing)


@dataclass(frozen=True, slots=True)
class Progress:
    """Of all tools and supplies how many were weighed, and how the rest are known."""

    of: int
    weighed: int
    catalogue: int
    guessed: int
    unsaid: int

    @property
    def words(self) -> str:
        """ "Weighed 41 of 120; still guessed 60, from a catalogue 19"."""
        rest = [
            f"{word} {number}"
            for word, number in (
                ("still guessed", self.guessed),
                ("from a catalogue", self.catalogue),
                ("without a mass", self.unsaid),
            )
            if number
        ]
        return f"Weighed {self.weighed} of {self.of}" + (f"; {', '.join(rest)}" if rest else "")


@dataclass(frozen=True, slots=True)
class WeighList:
    """All tools and supplies, those to be weighed next first; ``trip`` is whom the order serves."""

    lines: tuple[ToPutOn, ...]
    progress: Progress
    trip: str

    def again(self, kit: Kit) -> WeighList:
        """The list with the masses that a kit has now, in the order that it had."""
        known = {thing.id: thing for thing in weighables(kit)}
        lines = (replace(o, thing=known[o.key]) for o in self.lines if o.key in known)
        return WeighList(tuple(lines), progress_of(kit), self.trip)

    def next_after(self, done: str = "") -> ToPutOn | None:
        """The first one that is not weighed; behind ``done`` if there is any behind it."""
        keys = [line.key for line in self.lines]
        behind = keys.index(done) + 1 if done in keys else 0
        order = (*self.lines[behind:], *self.lines[:behind])
        return next((line for line in order if not line.weighed and line.key != done), None)


def weighables(kit: Kit) -> tuple[Weighable, ...]:
    """All that can be put on a scale: the tools, then the supplies."""
    return (*kit.tools, *kit.supplies)


def is_weighed(thing: Weighable) -> bool:
    """Whether a thing's mass was read off a scale."""
    return thing.mass is not None and thing.mass.known is Known.WEIGHED


def mass_words(thing: Weighable) -> str:
    """A thing's mass and how it is known: "42 g, guess"; "no mass"."""
    if thing.mass is None:
        return "no mass"
    return f"{write(thing.mass.grams, Kind.MASS)}, {thing.mass.known.value}"


def of_what(thing: Weighable) -> str:
    """What of it belongs on the scale: one copy, a set with all its parts, a full pack."""
    if isinstance(thing, Supply):
        return "one full pack"
    if thing.parts:
        return f"the whole set, {count(sum(part.count for part in thing.parts), 'part')} in it"
    return f"one of {thing.count}" if thing.count > 1 else "the tool as packed"


def progress_of(kit: Kit) -> Progress:
    """How far the weighing of a kit is."""
    things = weighables(kit)
    known = Counter(thing.mass.known if thing.mass else None for thing in things)
    return Progress(
        len(things),
        known[Known.WEIGHED],
        known[Known.CATALOGUE],
        known[Known.GUESS],
        known[None],
    )


def weigh_list(folder: KitFolder, today: date) -> WeighList:
    """Every tool and supply in the order of weighing; a trip with faults counts as none."""
    kit = folder.kit
    flight = _next_flight(folder, today)
    things = weighables(kit)
    known = {thing.id: thing for thing in things}
    found: dict[str, ToPutOn] = {}
    if flight is not None:
        for bag, line in _by_bags(flight):
            if line.id in known:
                doubt = None if known[line.id].mass is None else uncertainty_of(line)
                found.setdefault(line.id, ToPutOn(known[line.id], f"flies in {bag}", doubt))
    rest = [_at_home(thing) for thing in things if thing.id not in found]
    rest.sort(key=lambda one: (not one.thing.carried, one.doubt_g is not None, -(one.doubt_g or 0)))
    order = sorted((*found.values(), *rest), key=lambda one: one.weighed)
    return WeighList(tuple(order), progress_of(kit), flight.trip.name if flight else "")


def _next_flight(folder: KitFolder, today: date) -> Flight | None:
    try:
        flight = nearest_trip(folder, today)
    except (KitFaults, DeskError):
        return None  # its faults are told by the check of the kit
    return None if flight is None or is_over(flight.trip, today) else flight


def _by_bags(flight: Flight) -> Iterator[tuple[str, Line]]:
    """What flies, bag by bag: those in doubt first, those whose own reading counts last."""
    own = {weighing.bag for weighing in flight.trip.weighings}
    bags = [check for check in check_now(flight).bags if check.flies]
    bags.sort(key=lambda check: (check.bag.id in own, check.verdict is not Verdict.AT_RISK))
    for check in bags:
        lines = lines_of(flight.inside(check.bag, flight.now))
        for line in sorted(lines, key=lambda line: -uncertainty_of(line)):
            yield check.bag.name, line


def _at_home(thing: Weighable) -> ToPutOn:
    pieces = thing.count if isinstance(thing, Tool) else 1
    mass = thing.mass
    doubt = None if mass is None else uncertainty_of(Line(thing.id, thing.name, mass, pieces))
    return ToPutOn(thing, HERE if thing.carried else HOME, doubt)
