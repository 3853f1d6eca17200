"""Where everything is: the box as compartments with what lies in each, and the way there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import name_of_copy
from toolbox.desk.naming import job_named, things_like
from toolbox.kit.box import Compartment, Way
from toolbox.kit.codes import compartment_meant, copy_meant
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Size, base_id
from toolbox.reach.engine import ReachTimes


@dataclass(frozen=True, slots=True)
class Lying:
    """A copy in its place: name for people, spot, packed size, grams."""

    copy: str
    name: str
    spot: Spot
    size: Size
    grams: int


@dataclass(frozen=True, slots=True)
class Filled:
    """A compartment with what lies in it; grams inside; the way to it in words."""

    compartment: Compartment
    way: tuple[str, ...]
    things: tuple[Lying, ...]

    @property
    def grams(self) -> int:
        """Mass of all that lies in the compartment."""
        return sum(thing.grams for thing in self.things)


@dataclass(frozen=True, slots=True)
class Found:
    """Where a copy is: the way in words, milliseconds to have it in the hand.

    ``compartment`` is None (and ``milliseconds`` too) for a thing without a place;
    ``milliseconds`` also where only the way was asked for.
    ``remark`` says why: at home, in the reserve, or nobody has said.
    """

    copy: str
    name: str
    compartment: Compartment | None
    way: tuple[str, ...]
    milliseconds: int | None
    remark: str = ""

    @property
    def where(self) -> str:
        """The way there in words, or why there is none."""
        if self.compartment is None:
            return self.remark
        return ", ".join((*self.way, f"in {self.compartment.name}"))


def box_map(kit: Kit, layout: Layout) -> tuple[Filled, ...]:
    """Every compartment in the box's order with what the layout puts there."""
    carried = kit.carried()
    lying: dict[str, list[Lying]] = defaultdict(list)
    for spot in layout.spots:
        thing = carried.get(spot.item)
        if thing is None or thing.size is None or thing.mass is None:
            continue  # at home or in the reserve now
        name = name_of_copy(kit, spot.item)
        lying[spot.compartment].append(Lying(spot.item, name, spot, thing.size, thing.mass.grams))
    return tuple(
        Filled(c, way_to(kit, c), tuple(sorted(lying[c.id], key=_order)))
        for c in kit.box.compartments
    )


def not_placed(kit: Kit, layout: Layout) -> tuple[str, ...]:
    """Copies that travel in the box but have no place in this layout."""
    places = layout.places()
    return tuple(copy for copy in kit.carried() if copy not in places)


AT_HOME = "does not travel in the box"


def way_to(kit: Kit, compartment: Compartment) -> tuple[str, ...]:
    """What to do to get there, in words, outermost opening first."""
    verbs = {
        Way.LID: "open",
        Way.TRAY: "lift out",
        Way.DRAWER: "pull out",
        Way.FLAP: "open",
    }
    openings = (kit.opening(opening) for opening in compartment.openings)
    return tuple(f"{verbs[o.way]} {o.name}" for o in openings)


def find_things(
    kit: Kit, layout: Layout, letters: str, times: ReachTimes | None
) -> tuple[Found, ...]:
    """Where everything is that the letters could mean; UnknownName when nothing could.

    The code of one copy means that copy alone, the code of a compartment all that lies in it.
    """
    if (copy := copy_meant(kit, letters)) is not None and "/" in letters:
        return tuple(where_are(kit, layout, [copy], times))
    if (inside := compartment_meant(kit, letters)) is not None:
        places = layout.places()
        lying = (copy for copy in kit.carried() if places.get(copy) == inside)
        return tuple(where_are(kit, layout, lying, times))
    meant = {thing.id: thing.name for thing in things_like(kit, letters)}
    copies = [copy for copy in kit.carried() if base_id(copy) in meant]
    at_home = meant.keys() - {base_id(copy) for copy in copies}
    stays = [thing for thing in meant if thing in at_home]
    return tuple(where_are(kit, layout, [*copies, *stays], times))


def grab_list(kit: Kit, layout: Layout, job: str, times: ReachTimes) -> tuple[Found, ...]:
    """All tools a job usually takes and all supplies it uses, in the order of compartments.

    In each compartment the tools come first, as one walks through the box.
    ``job`` is its id, or letters that mean it.
    """
    wanted = next((one for one in kit.jobs if one.id == job), None) or job_named(kit, job)
    things = [pick.tool for step in wanted.steps for pick in step.picks]
    things += [draw.supply for step in wanted.steps for draw in step.draws]
    order = {c.id: n for n, c in enumerate(kit.box.compartments)}
    return tuple(
        sorted(
            where_are(kit, layout, dict.fromkeys(things), times),
            key=lambda f: order[f.compartment.id] if f.compartment else len(order),
        )
    )


def where_are(
    kit: Kit, layout: Layout, copies: Iterable[str], times: ReachTimes | None
) -> Iterator[Found]:
    """Where each of these copies is, one after the other.

    Without ``times`` nobody asks how long it takes: milliseconds are None.
    """
    carried = kit.carried()
    places = layout.places()
    compartments = {c.id: c for c in kit.box.compartments}
    for copy in copies:
        # Looking a name up goes through the whole list: only for those that need it.
        first = copy in carried and copy == base_id(copy)
        name = carried[copy].name if first else name_of_copy(kit, copy)
        compartment = compartments.get(places.get(copy, ""))
        if copy not in carried:
            yield Found(copy, name, None, (), None, AT_HOME)
        elif compartment is None:
            yield Found(copy, name, None, (), None, "has no place yet")
        else:
            way = way_to(kit, compartment)
            hand = times.in_hand(copy, compartment.id) if times is not None else None
            yield Found(copy, name, compartment, way, hand)


def todays_layout(kit: Kit) -> Layout:
    """How the box lies today; DeskError when nobody has said."""
    if kit.present is None:
        raise DeskError(
            "nobody has said how the box lies today. "
            'Look at the plan with "--plan", take it over with "toolbox adopt", '
            'or say where a tool lies with "toolbox place TOOL --in COMPARTMENT"'
        )
    return kit.present


def _order(thing: Lying) -> tuple[int, int, str]:
    # Row by row as one reads the compartment from its front left corner.
    return (thing.spot.y or 0, thing.spot.x or 0, thing.copy)


def corner_size(thing: Lying) -> tuple[int, int]:
    """Length and width a laid thing takes as it lies, without clearance."""
    if thing.spot.turned:
        return thing.size.width, thing.size.length
    return thing.size.length, thing.size.width
