"""Looking for a packing while somebody waits: what-ifs, how it goes, and the plan in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from toolbox.desk.figures import count, grams
from toolbox.desk.flight_plan import (
    FlightPlan,
    NoPacking,
    plan_flight,
    with_one_more_bag,
    with_pieces_of,
)
from toolbox.desk.flight_plan_words import (
    charge_words,
    lost_words,
    money,
    move_lines,
    proof_words,
    reasons,
)
from toolbox.desk.flight_words import (
    AT_RISK,
    LIFTING,
    OPEN,
    bag_words,
    cautions,
    fits_words,
    lifting_words,
    pool_words,
    works_words,
)
from toolbox.desk.flights import lifting_of
from toolbox.desk.trips import Flight, label, without
from toolbox.flight.packing_problem import PackingAnswer, Reached
from toolbox.flight.packing_watch import PackingWatcher
from toolbox.layout.watch import Stop


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What to suppose of a trip: copies left at home, one more bag of so many grams, hold
    bags that may weigh so many grams each, and one bag that is lost (``spread``)."""

    leave: tuple[str, ...] = ()
    more_bag_g: int | None = None
    piece_g: int | None = None
    spread: bool = False

    @property
    def supposes(self) -> bool:
        """True when the trip is not taken as it is: such a plan cannot be packed."""
        return bool(self.leave) or self.more_bag_g is not None or self.piece_g is not None

    def words(self, flight: Flight) -> str:
        """What is supposed, "" for nothing."""
        names = [label(copy) for copy in flight.contents if copy.id in self.leave]
        parts = [f"{', '.join(names)} stayed at home"] if names else []
        if self.more_bag_g is not None:
            parts.append(f"there were one more bag of {grams(self.more_bag_g)}")
        if self.piece_g is not None:
            parts.append(f"each hold bag might weigh {grams(self.piece_g)}")
        if self.spread:
            parts.append("one bag were lost")
        return f"If {' and '.join(parts)}" if parts else ""

    def supposed(self, flight: Flight) -> Flight:
        """The trip with all this taken for true."""
        flight = without(flight, self.leave) if self.leave else flight
        if self.more_bag_g is not None:
            flight = with_one_more_bag(flight, self.more_bag_g)
        return flight if self.piece_g is None else with_pieces_of(flight, self.piece_g)


@dataclass(frozen=True, slots=True)
class PackHeard:
    """What was heard of a search: money (hundredths) and moves of its best packing, aims done."""

    cents: int | None = None
    moves: int | None = None
    aims: tuple[Reached, ...] = ()


class PackHearing(PackingWatcher):
    """Keeps what a search tells; ``heard`` may be read from any thread at any time."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self.heard = PackHeard()
        self._clock = clock
        self._began = clock()

    def gone(self) -> float:
        """Seconds since the search began."""
        return self._clock() - self._began

    def started(self) -> None:
        """A packing is sought, or another one with wider intervals: aims begin anew."""
        self.heard = replace(self.heard, aims=())

    def better_packing(self, answer: PackingAnswer) -> None:
        """A better packing."""
        if answer.account is not None:
            account = answer.account
            self.heard = replace(self.heard, cents=account.cents, moves=account.moves)

    def aim_done(self, reached: Reached) -> None:
        """One aim is settled."""
        self.heard = replace(self.heard, aims=(*self.heard.aims, reached))


def seek_packing(
    flight: Flight, wish: WhatIf, *, watcher: PackingWatcher | None = None, stop: Stop | None = None
) -> FlightPlan | NoPacking:
    """The best packing of a trip under these suppositions, or why there is none."""
    return plan_flight(wish.supposed(flight), spread=wish.spread, watcher=watcher, stop=stop)


def heard_words(flight: Flight, heard: PackHeard, seconds: float) -> str:
    """How a search goes: "3 s: best so far 9.50 EUR to pay, 21 things to move; settled: money." """
    best = "no packing yet"
    if heard.cents is not None and heard.moves is not None:
        pay = pay_words(flight, heard.cents)
        best = f"best so far {pay}, {count(heard.moves, 'thing')} to move"
    done = ", ".join(
        f"{reached.aim.value}{' (proved)' if reached.proven else ''}" for reached in heard.aims
    )
    return f"{seconds:.0f} s: {best}{f'; settled: {done}' if done else ''}."


def plan_head(plan: FlightPlan) -> str:
    """The plan in a sentence: moves, cost, whether that is surely within all limits."""
    flight = plan.asked.flight
    return f"{count(len(plan.moves), 'thing')} to move, {pay_words(flight, plan.cents)}."


def pay_words(flight: Flight, hundredths: int) -> str:
    """What is to be paid; a trip without prices has no currency to pay nothing in."""
    return f"{money(flight, hundredths)} to pay" if hundredths else "nothing to pay"


def plan_words(plan: FlightPlan) -> tuple[str, ...]:
    """A plan line by line: what moves, what is paid and lost, how it stands then, its proof."""
    flight = plan.asked.flight
    return (
        proof_words(plan),
        *_doubts(plan),
        *(f"- {words}" for words in move_lines(flight, plan.moves)),
        *_later(plan),
        *(f"- {charge_words(plan.asked, charge)}" for charge in plan.charges),
        *_work(plan),
        f"Packed so: {fits_words(plan.after)}",
        *(f"- {bag_words(flight, bag)}" for bag in plan.after.bags),
        *(f"- {pool_words(flight, pool)}" for pool in plan.after.pools),
        *(f"- {words}" for words in plan.after.matters),
        *_losses(plan),
        "Lifting with both hands:",
        *(f"- {lifting_words(one)}" for one in lifting_of(flight, plan.after.bags)),
        LIFTING,
        *cautions(),
    )


def _doubts(plan: FlightPlan) -> Iterator[str]:
    if not plan.surely:
        yield AT_RISK
    if plan.after.open:
        yield OPEN


def _later(plan: FlightPlan) -> Iterator[str]:
    flight = plan.asked.flight
    for number, moves in enumerate(plan.repacks, 1):
        for words in move_lines(flight, moves):
            yield f"- before {flight.trip.legs[number].name}: {words}"


def _work(plan: FlightPlan) -> Iterator[str]:
    flight = plan.asked.flight
    if plan.lost:
        yield f"- work that is lost by it: {works_words(flight, plan.lost)}"
    if plan.undoable:
        yield f"- work whose tools lie in no bag: {works_words(flight, plan.undoable)}"


def _losses(plan: FlightPlan) -> Iterator[str]:
    if plan.if_lost and plan.asked.problem.spread:
        yield "If one bag is lost on the way out:"
        yield from (f"- {lost_words(plan.asked.flight, loss)}" for loss in plan.if_lost)


def none_words(found: NoPacking) -> tuple[str, ...]:
    """Why there is no packing, and what would help."""
    proved = "There is no packing that keeps all limits" if found.proven else "No packing was found"
    return (f"{proved}:", *(f"- {words}" for words in reasons(found)), *cautions())
