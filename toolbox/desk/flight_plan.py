"""Packing a trip: the question asked, answered, checked again by this side, and told by names.

What fits is looked for first, each bag's interval counted; only when nothing fits, what is
at risk but within its limits by the figures; and when that cannot be either, the reasons.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from time import monotonic

from toolbox.desk.errors import DeskError
from toolbox.desk.flight_bags import BagCheck
from toolbox.desk.flight_question import Asked, packing_question
from toolbox.desk.flights import Check, check_now, check_packing
from toolbox.desk.trips import Flight, Where, keep_packing
from toolbox.flight.contents import Content
from toolbox.flight.masses import COVERAGE
from toolbox.flight.packing import WORK, pack
from toolbox.flight.packing_account import account_of
from toolbox.flight.packing_check import packing_faults
from toolbox.flight.packing_problem import Charge, Fate, Loss, Outcome, PackingAnswer
from toolbox.flight.packing_question import PackingError
from toolbox.flight.packing_reason import Against, why_impossible
from toolbox.flight.packing_watch import PackingWatcher
from toolbox.kit.things import Known, Mass
from toolbox.kit.trips import Allowance, Bag, Carriage, Concept, Trip, Work
from toolbox.layout.watch import Stop

_SHARE = 0.75  # of the seconds left is for one search: bags may have to be packed anew
_SHORTEST = 0.1  # seconds; a first packing takes no longer
_ROUNDS = 3  # of packing anew because a bag's interval grew with what came into it
EXTRA = "one-more"


@dataclass(frozen=True, slots=True)
class FlightMove:
    """A copy that changes its bag; ``target`` None: it does not fly, and ``fate`` says why."""

    copy: Content
    origin: str | None
    target: str | None
    fate: Fate


@dataclass(frozen=True, slots=True)
class IfLost:
    """Planned work still possible when one bag is lost on the way out, and what is not."""

    bag: Bag
    possible: tuple[Work, ...]
    lost: tuple[Work, ...]


@dataclass(frozen=True)
class FlightPlan:
    """A checked packing by names. ``packing`` says where each copy lies on each leg.

    ``moves`` are those before the first leg; ``repacks`` those before each later one.
    ``surely`` is False when it could only be packed at risk. ``undoable`` work lacks tools
    that lie in no bag at all; ``lost`` is what this packing leaves at home.
    """

    asked: Asked
    answer: PackingAnswer
    packing: tuple[Where, ...]
    moves: tuple[FlightMove, ...]
    repacks: tuple[tuple[FlightMove, ...], ...]
    after: Check
    lost: tuple[Work, ...]
    undoable: tuple[Work, ...]
    if_lost: tuple[IfLost, ...]
    surely: bool

    @property
    def cents(self) -> int:
        """Money over all legs."""
        return self.answer.account.cents if self.answer.account is not None else 0

    @property
    def charges(self) -> tuple[Charge, ...]:
        """What the money is for; numbers as in the question."""
        return self.answer.account.charges if self.answer.account is not None else ()

    @property
    def proven(self) -> bool:
        """True when it is proved that no packing is better."""
        return self.answer.proven


@dataclass(frozen=True, slots=True)
class NoPacking:
    """There is no packing, or none was found. ``against`` are the reasons where it is proved."""

    asked: Asked
    proven: bool
    against: Against | None


def plan_flight(
    flight: Flight,
    *,
    spread: bool = False,
    work: float = WORK,
    seconds: float | None = None,
    watcher: PackingWatcher | None = None,
    stop: Stop | None = None,
) -> FlightPlan | NoPacking:
    """The best packing of a trip that fits, or one at risk, or why there is none.

    ``work`` limits each search by counted work, ``seconds`` all of them by the clock; ``stop``
    ends it with the best packing found so far.
    """
    end = None if seconds is None else monotonic() + seconds

    def search(asked: Asked) -> PackingAnswer:
        left = None if end is None else max(_SHORTEST, _SHARE * (end - monotonic()))
        try:
            return pack(asked.problem, work=work, seconds=left, watcher=watcher, stop=stop)
        except PackingError as error:
            raise DeskError("this trip cannot be packed by figures: " + str(error)) from error

    guards = _guards(check_now(flight).bags)
    plan: FlightPlan | None = None
    for _ in range(_ROUNDS):
        asked = packing_question(flight, guards, spread=spread)
        answer = search(asked)
        if answer.account is None:
            break
        plan = _told(asked, answer)
        if plan.after.masses_fit or (stop is not None and stop()):
            return plan
        guards = tuple(map(max, guards, _guards(plan.after.bags)))
    asked = packing_question(flight, [0] * len(guards), spread=spread)
    answer = search(asked)
    if answer.account is not None:
        return _told(asked, answer)
    if plan is not None:
        return plan
    proven = answer.outcome is Outcome.IMPOSSIBLE
    return NoPacking(asked, proven, why_impossible(asked.problem, stop=stop) if proven else None)


def take_plan(flight: Flight, plan: FlightPlan) -> Flight:
    """Write down that the bags are packed as planned for the first leg."""
    return keep_packing(flight, plan.packing[0])


def _guards(checks: Sequence[BagCheck]) -> tuple[int, ...]:
    """Grams to keep free in each bag: its interval on the leg where that is widest."""
    return tuple(
        max(math.ceil(COVERAGE * load.total.u_g) for load in check.loads) for check in checks
    )


def _told(asked: Asked, answer: PackingAnswer) -> FlightPlan:
    """The answer by names, checked once more against the question and to the gram."""
    account = answer.account
    assert account is not None, "only a packing is told"
    wrong = packing_faults(asked.problem, answer)
    if wrong:
        raise DeskError("the packing failed its check and is not shown: " + "; ".join(wrong))
    flight = asked.flight
    packing = tuple(_where(asked, answer, leg) for leg in range(len(asked.problem.legs)))
    after = check_packing(flight, packing, paying=True)
    jobs = asked.jobs
    return FlightPlan(
        asked=asked,
        answer=answer,
        packing=packing,
        moves=_moves(asked, answer, flight.now, packing[0]),
        repacks=tuple(_moves(asked, answer, before, then) for before, then in pairwise(packing)),
        after=after,
        lost=tuple(jobs[j] for j in account.lost_jobs),
        undoable=asked.undoable,
        if_lost=tuple(_if_lost(asked, loss) for loss in account.losses),
        surely=after.masses_fit,
    )


def _where(asked: Asked, answer: PackingAnswer, leg: int) -> dict[str, str | None]:
    """Where each copy lies on a leg; what was used up before it counts as where it was."""
    bags = asked.flight.trip.bags
    found: dict[str, str | None] = {}
    for n, copy in enumerate(asked.flight.contents):
        rows = [answer.places[k][n] for k in range(leg, -1, -1)]
        bag = next((b for b in rows if b is not None), None)
        found[copy.id] = None if bag is None else bags[bag].id
    return found


def _moves(
    asked: Asked, answer: PackingAnswer, before: Where, then: Where
) -> tuple[FlightMove, ...]:
    found = []
    for copy, fate in zip(asked.flight.contents, answer.fates, strict=True):
        origin, target = before.get(copy.id, copy.bag), then[copy.id]
        if origin != target:
            found.append(FlightMove(copy, origin, target, fate))
    return tuple(found)


def if_lost_now(flight: Flight) -> tuple[IfLost, ...]:
    """What would still be possible if one bag were lost as they are packed now; nothing sought."""
    asked = packing_question(flight, [0] * len(flight.trip.bags))
    numbers = {bag.id: n for n, bag in enumerate(flight.trip.bags)}
    lies = [flight.now.get(copy.id, copy.bag) for copy in flight.contents]
    row = tuple(None if bag is None else numbers[bag] for bag in lies)
    fates = [Fate.LEFT if bag is None else Fate.CARRIED for bag in row]
    account = account_of(asked.problem, (row,) * len(flight.trip.legs), fates)
    return tuple(_if_lost(asked, loss) for loss in account.losses)


def _if_lost(asked: Asked, loss: Loss) -> IfLost:
    possible = tuple(asked.jobs[j] for j in loss.possible)
    lost = tuple(work for j, work in enumerate(asked.jobs) if j not in loss.possible)
    return IfLost(asked.flight.trip.bags[loss.bag], possible, lost)


def with_pieces_of(flight: Flight, mass_g: int) -> Flight:
    """The same trip if each hold bag could weigh so much: a what-if of another ticket.

    By piece the free mass becomes that, and bands below it fall away; by weight the ceiling
    of one bag.
    """
    allowances = tuple(_pieces_of(a, mass_g) for a in flight.trip.allowances)
    return _with_trip(flight, replace(flight.trip, allowances=allowances))


def _pieces_of(allowance: Allowance, mass_g: int) -> Allowance:
    if allowance.concept is Concept.WEIGHT:
        return replace(allowance, ceiling_g=mass_g)
    bands = tuple(band for band in allowance.bands if band.up_to_g > mass_g)
    ceiling = allowance.ceiling_g
    if ceiling is not None:
        ceiling = max(ceiling, mass_g)
    return replace(allowance, mass_g=mass_g, bands=bands, ceiling_g=ceiling)


def with_one_more_bag(flight: Flight, tare_g: int) -> Flight:
    """The same trip with one more hold bag, for whoever answers for the fewest."""
    trip = flight.trip
    hold = [bag.answers for bag in trip.bags if bag.carriage is Carriage.HOLD]
    person = min(trip.people, key=lambda p: hold.count(p.id))
    taken = {bag.id for bag in trip.bags}
    name = next(n for n in (EXTRA, *(f"{EXTRA}-{k}" for k in range(2, 999))) if n not in taken)
    bag = Bag(name, "One more bag", person.id, tare=Mass(tare_g, Known.GUESS))
    return _with_trip(flight, replace(trip, bags=(*trip.bags, bag)))


def _with_trip(flight: Flight, trip: Trip) -> Flight:
    return replace(flight, trip=trip)


def currency_of(trip: Trip) -> str:
    """The one currency of a trip's prices; "" where it names none."""
    for allowance in trip.allowances:
        prices = (
            *allowance.extra_pieces,
            *(band.price for band in allowance.bands),
            allowance.per_kg,
            allowance.oversize,
        )
        for price in prices:
            if price is not None:
                return price.currency
    return next((way.price.currency for way in trip.ways if way.price is not None), "")
