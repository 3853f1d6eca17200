"""What the packed box weighs, part by part, and where its centre of gravity lies."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from toolbox.carry.bodies import Body, Thing, contents, empty_box, grams_of, together
from toolbox.carry.findings import CarryError, Finding, Severity, by_severity, masses
from toolbox.kit.box import Box, Compartment
from toolbox.kit.layouts import Layout
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import Known

# Beyond this a box carried by a handle in its middle is said to hang crooked: a
# tenth of the side, so that one end carries three parts of five. Common practice, no source.
CROOKED_PERCENT = 10

LIFTING = (
    "These figures do not say who may lift the box. Lift a heavy box with two, or empty it "
    "first, and follow your local rules for manual handling. Carrying by one handle is a "
    "one-hand lift, which the usual lifting tables do not cover."
)


class CompartmentLoad(NamedTuple):
    """One compartment: how many things lie in it, their grams, its load limit if it has one."""

    compartment: str
    name: str
    things: int
    grams: int
    limit_g: int | None

    @property
    def over_g(self) -> int:
        """Grams above the limit; 0 when it is kept or there is none."""
        return 0 if self.limit_g is None else max(0, self.grams - self.limit_g)


class Centre(NamedTuple):
    """A point in the box, in whole tenths of a millimetre from its front left bottom corner."""

    x: int
    y: int
    z: int


class Offset(NamedTuple):
    """How far the centre of gravity lies from the middle of a side.

    ``tenths`` of a millimetre, positive to the right or the back; ``percent`` of
    the whole side. By the law of the lever the right (or rear) end carries
    50 + ``percent`` percent of the mass.
    """

    tenths: int
    percent: Fraction


@dataclass(frozen=True, slots=True)
class Loads:
    """The packed box, closed. Tare + all compartments = ``total_g``, to the gram.

    ``body`` holds the exact moments; ``centre`` is rounded. ``sideways`` and
    ``lengthwise`` are the offsets left-right and front-back. ``left_out`` names
    what travels and has no place in the layout; it is in no figure here.
    """

    compartments: tuple[CompartmentLoad, ...]
    tare_g: int
    contents_g: int
    total_g: int
    limit_g: int | None
    body: Body
    centre: Centre
    sideways: Offset
    lengthwise: Offset
    left_out: tuple[str, ...]
    findings: tuple[Finding, ...]


def weigh(box: Box, layout: Layout, things: Mapping[str, Thing]) -> Loads:
    """Masses against their limits, and the centre of gravity, of the box as laid out.

    ``things`` is what travels by the names layouts use, as ``Kit.carried`` gives
    it. CarryError names everything that cannot be weighed, and a box that weighs
    nothing at all.
    """
    inside = contents(box, layout, things)
    body = together((empty_box(box), *inside.values()))
    if not body.grams:
        raise CarryError(["the box and its contents weigh nothing: give the empty mass of the box"])
    many = Counter(spot.compartment for spot in layout.spots)
    loads = tuple(_load(c, many[c.id], inside[c.id].grams) for c in box.compartments)
    x, y, z = body.centre()
    placed = layout.places()
    unplaced = [thing for copy, thing in things.items() if copy not in placed]
    sideways, lengthwise = _offset(x, box.size.length), _offset(y, box.size.width)
    findings = (
        *_limits(box, loads, body.grams),
        *_crooked(sideways, "side to side", ("right", "left")),
        *_crooked(lengthwise, "front to back", ("back", "front")),
        *_doubts(box, unplaced, [things[copy] for copy in placed]),
        Finding(Severity.CAUTION, LIFTING),
    )
    return Loads(
        compartments=loads,
        tare_g=box.tare_g,
        contents_g=body.grams - box.tare_g,
        total_g=body.grams,
        limit_g=box.limit_g,
        body=body,
        centre=Centre(whole(x), whole(y), whole(z)),
        sideways=sideways,
        lengthwise=lengthwise,
        left_out=tuple(thing.name for thing in unplaced),
        findings=by_severity(findings),
    )


def whole(value: Fraction) -> int:
    """The nearest whole number, halves up."""
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def _load(compartment: Compartment, things: int, grams: int) -> CompartmentLoad:
    return CompartmentLoad(compartment.id, compartment.name, things, grams, compartment.load_g)


def _offset(at: Fraction, side: int) -> Offset:
    away = at - Fraction(side, 2)
    return Offset(whole(away), 100 * away / side if side else Fraction(0))


def _limits(box: Box, loads: Iterable[CompartmentLoad], total: int) -> list[Finding]:
    found = [
        Finding(Severity.OVER, "{} carries {}, {} more than its {}".format(load.name, *told))
        for load in loads
        if load.over_g
        for told in [masses(load.grams, load.over_g, load.limit_g or 0)]
    ]
    if box.limit_g is not None and total > box.limit_g:
        packed, over, most = masses(total, total - box.limit_g, box.limit_g)
        words = f"{box.name} weighs {packed} packed, {over} more than your limit of {most}"
        found.append(Finding(Severity.OVER, words))
    return found


def _crooked(offset: Offset, along: str, ends: tuple[str, str]) -> list[Finding]:
    if abs(offset.percent) <= CROOKED_PERCENT:
        return []
    end = ends[0] if offset.percent > 0 else ends[1]
    share = whole(50 + abs(offset.percent))
    words = (
        f"out of balance {along}: the centre of gravity lies "
        f"{write(abs(offset.tenths), Kind.LENGTH)} towards the {end}, which carries {share} % "
        "of the mass"
    )
    return [Finding(Severity.WATCH, words)]


def _doubts(box: Box, unplaced: list[Thing], placed: list[Thing]) -> list[Finding]:
    """What these figures leave out or take on trust."""
    found = []
    if unplaced:
        names = ", ".join(thing.name for thing in unplaced)
        grams = write(sum(grams_of(thing) for thing in unplaced), Kind.MASS)
        words = f"without a place in this layout and not counted, {grams}: {names}"
        found.append(Finding(Severity.WATCH, words))
    if not box.tare_g:
        found.append(Finding(Severity.WATCH, f"{box.name} has no empty mass: weigh it empty"))
    guessed = sum(t.mass.grams for t in placed if t.mass and t.mass.known is not Known.WEIGHED)
    if guessed:
        words = f"{write(guessed, Kind.MASS)} of the contents have never been weighed"
        found.append(Finding(Severity.NOTE, f"{words}: weigh the packed box"))
    return found
