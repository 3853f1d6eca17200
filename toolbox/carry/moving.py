"""What moves when something is opened, and where it then is.

- A drawer comes forwards by its travel with all that is reached through it.
- A lid swings back over the rear edge with what lies in it, at worst level
  behind the box.
- A tray is lifted out with what lies on it.
- A flap swings to where its compartments are described, beyond an edge of the
  box; one without such compartments comes forwards, its middle by half its
  travel at most. A flap reached through something else moves nothing but itself
  and stays with what carries it.
- What comes to lie at the level of the box's bottom rests on the ground there
  and no longer counts.

The mass given for a tray or a drawer holds its usual load, so its own mass is
what is left when the load in this layout is taken off, and nothing where the
load is heavier. The mass of a lid or flap is its own. Own masses are a part of
the tare, taken to be at the middle of the box (a tray: of what lies on it).
Where they add up to more than the tare they are not known and count as nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from toolbox.carry.bodies import Body, Side, beyond, empty_box, folded, place_of, together
from toolbox.kit.box import Box, Compartment, Opening, Way

RESTS = 200  # tenths of a millimetre above the box's bottom: the thickness of a lid or flap


@dataclass(frozen=True, slots=True)
class Packed:
    """A shut box: what lies in each compartment (id -> body), what moves with which opening."""

    box: Box
    inside: Mapping[str, Body]
    riding: Mapping[str, str]

    def riders(self, opening: Opening) -> list[Compartment]:
        """The compartments that move with the opening."""
        return [c for c in self.box.compartments if self.riding.get(c.id) == opening.id]

    def load(self, opening: Opening) -> int:
        """Grams of what lies in them."""
        return sum(self.inside[c.id].grams for c in self.riders(opening))

    def own(self, opening: Opening) -> int:
        """Grams of the opening itself; 0 where the figures do not tell."""
        return self._own(opening) if self.own_masses_known() else 0

    def own_masses_known(self) -> bool:
        """False when the openings' own masses add up to more than the empty box."""
        return sum(map(self._own, self.box.openings)) <= self.box.tare_g

    def _own(self, opening: Opening) -> int:
        loaded = opening.way in (Way.TRAY, Way.DRAWER)
        return max(0, opening.mass_g - self.load(opening)) if loaded else opening.mass_g


@dataclass(frozen=True, slots=True)
class State:
    """The box in one state: the mass it holds up, how far something stands out over each edge."""

    body: Body
    out: Mapping[Side, int]


def shut(packed: Packed) -> State:
    """The box with nothing open."""
    body = together((empty_box(packed.box), *packed.inside.values()))
    return State(body, dict.fromkeys(Side, 0))


def chain_to(box: Box, opening: Opening) -> tuple[Opening, ...]:
    """The opening with all that must be open before it, outermost first."""
    by_id = {o.id: o for o in box.openings}
    for compartment in box.compartments:
        if opening.id in compartment.openings:
            before = compartment.openings[: compartment.openings.index(opening.id)]
            return (*(by_id[o] for o in before if o in by_id), opening)
    return (opening,)


def opened(packed: Packed, opening: Opening, state: State) -> State:
    """The state after this opening is opened as well."""
    match opening.way:
        case Way.TRAY:
            gone = together((_tray(packed, opening), *_loads(packed, opening)))
            return replace(state, body=state.body.less(gone))
        case Way.DRAWER:
            middle = _middle(packed.box, packed.own(opening))
            moving = together((middle, *_loads(packed, opening)))
            return _put(state, moving, moving.moved(y=-opening.travel), Side.FRONT, opening.travel)
        case Way.LID | Way.FLAP:
            return _swung(packed, opening, state)


def _loads(packed: Packed, opening: Opening) -> list[Body]:
    return [packed.inside[c.id] for c in packed.riders(opening)]


def _middle(box: Box, grams: int) -> Body:
    """A part of the empty box, where the empty box counts."""
    return Body(grams, *(grams * side for side in box.size))


def _tray(packed: Packed, tray: Opening) -> Body:
    """The tray itself, at the middle of the compartments on it."""
    own, riders = packed.own(tray), packed.riders(tray)
    if not riders:
        return _middle(packed.box, own)
    spread = together(place_of(c, 1) for c in riders)
    x, y, z = (round(2 * own * at) for at in spread.centre())
    return Body(own, x, y, z)


def _put(state: State, before: Body, after: Body, side: Side, out: int) -> State:
    """The state with a mass moved, which then stands out so far over an edge."""
    body = together((state.body.less(before), after))
    return State(body, {**state.out, side: max(state.out[side], out)})


def _swung(packed: Packed, opening: Opening, state: State) -> State:
    """A lid or flap swung open with all that it carries."""
    box, riders = packed.box, packed.riders(opening)
    own = _middle(box, packed.own(opening) + sum(map(packed.own, _carried(packed, opening))))
    sides = [side for c in riders if (side := beyond(box, c))]
    if sides and min(c.position.z for c in riders if beyond(box, c)) < RESTS:
        return replace(state, body=state.body.less(together((own, *_loads(packed, opening)))))
    if not riders and opening.way is Way.FLAP:
        return _flapped(packed, opening, own, state)
    # a flap goes to the side of what it carries, a lid to the rear in any case
    side = Side.REAR if opening.way is Way.LID or not sides else sides[0]
    state = _put(state, own, folded(box, own, side), side, _across(box, side))
    for compartment in riders:
        load = packed.inside[compartment.id]
        to = beyond(box, compartment) or side
        state = _put(state, load, folded(box, load, to), to, _stands_out(box, compartment, to))
    return state


def _flapped(packed: Packed, flap: Opening, own: Body, state: State) -> State:
    """A flap that carries nothing: forwards, or nowhere when something else is opened first."""
    if len(chain_to(packed.box, flap)) > 1:
        return state
    # half its travel ahead; moments are kept doubled
    after = own._replace(y2=-own.grams * flap.travel)
    return _put(state, own, after, Side.FRONT, flap.travel)


def _carried(packed: Packed, opening: Opening) -> list[Opening]:
    """Lids and flaps within this one: all that is reached through them rides on it."""
    riders = {c.id for c in packed.riders(opening)}
    found = []
    for inner in packed.box.openings:
        behind = {c.id for c in packed.box.compartments if inner.id in c.openings}
        swings = inner.way in (Way.LID, Way.FLAP)
        if swings and inner != opening and behind and behind <= riders:
            found.append(inner)
    return found


def _across(box: Box, side: Side) -> int:
    """How far a lid as large as the box stands out when it lies level beyond an edge."""
    return box.size.width if side in (Side.FRONT, Side.REAR) else box.size.length


def _stands_out(box: Box, compartment: Compartment, side: Side) -> int:
    """How far the far side of a compartment stands out over an edge, 0 when it does not."""
    (x, y, _), (length, width, _) = compartment.position, compartment.inside
    far = {
        Side.FRONT: -y,
        Side.REAR: y + width - box.size.width,
        Side.LEFT: -x,
        Side.RIGHT: x + length - box.size.length,
    }
    return max(0, far[side])
