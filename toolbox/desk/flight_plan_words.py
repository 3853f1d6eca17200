"""The plan of a trip by air in sentences: what moves, costs and is proved, or why there is none."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from toolbox.desk.figures import count, grams
from toolbox.desk.flight_plan import FlightMove, FlightPlan, IfLost, NoPacking, currency_of
from toolbox.desk.flight_question import WORTH, Asked
from toolbox.desk.flight_words import works_words
from toolbox.desk.trips import Flight, label, some_of
from toolbox.files.tables import money_text
from toolbox.flight.contents import Content
from toolbox.flight.packing_limits import MASSES, Limit, LimitKind
from toolbox.flight.packing_problem import Aim, Charge, Fate, Reached, Why
from toolbox.flight.packing_reason import Against, Change
from toolbox.kit.things import Money, base_id

_FATES = {Fate.LEFT: "stays at home", Fate.SHIPPED: "is sent ahead", Fate.BOUGHT: "is bought there"}


def money(flight: Flight, hundredths: int) -> str:
    """An amount in the trip's currency; "nothing" where the trip names no price at all."""
    currency = currency_of(flight.trip)
    return (money_text(Money(hundredths, currency)) or "") if currency else "nothing"


def cost_words(flight: Flight, hundredths: int) -> str:
    """What a plan costs, or that there was nothing to reckon with."""
    if not currency_of(flight.trip):
        return "no prices in this trip"
    return f"cost {money(flight, hundredths)}"


def move_lines(flight: Flight, moves: Iterable[FlightMove]) -> tuple[str, ...]:
    """Moves in words: what, and where from and to; pieces that go the same way together."""
    groups: dict[tuple[str, str | None, str | None, Fate], list[FlightMove]] = {}
    for move in moves:
        key = (base_id(move.copy.id), move.origin, move.target, move.fate)
        groups.setdefault(key, []).append(move)
    return tuple(_move_words(flight, some) for some in groups.values())


def _move_words(flight: Flight, moves: Sequence[FlightMove]) -> str:
    move = moves[0]
    what = some_of(flight, base_id(move.copy.id), len(moves))
    origin = flight.bag(move.origin).name if move.origin is not None else "home"
    if move.target is None:
        return f"{what} {_FATES[move.fate]} (out of {origin})"
    return f"{what}: {origin} to {flight.bag(move.target).name}"


def charge_words(asked: Asked, charge: Charge) -> str:
    """What one payment is for."""
    problem, flight = asked.problem, asked.flight
    on = "" if charge.leg is None else f"{flight.trip.legs[charge.leg].name}: "
    match charge.why:
        case Why.HEAVY:
            what = f"{problem.bags[charge.who].name} as a heavy bag"
        case Why.LARGE:
            what = f"{problem.bags[charge.who].name} as an oversize bag"
        case Why.SHIPPED | Why.BOUGHT:
            what = f"{problem.items[charge.who].name} {charge.why.value}"
        case Why.EXTRA_PIECE:
            what = f"{count(charge.amount, 'bag')} more than included"
        case Why.EXCESS:
            what = f"{count(charge.amount, 'begun kilogram')} above the mass allowed"
    return f"{on}{money(flight, charge.cents)} for {what}"


def proof_words(plan: FlightPlan) -> str:
    """Whether no packing can be better, or how far each aim is from its bound."""
    if plan.proven:
        return "Proved: no packing is better, in the order money, work, moves, margin."
    parts = [_aim_words(plan.asked, reached) for reached in plan.answer.aims]
    return f"Not all of it is proved: {'; '.join(parts)}."


def _aim_words(asked: Asked, reached: Reached) -> str:
    value = aim_value(asked, reached.aim, reached.value)
    if reached.proven:
        return f"{reached.aim.value} {value}, proved"
    if reached.bound is None:
        return f"{reached.aim.value} {value}, no bound known"
    bound = aim_value(asked, reached.aim, reached.bound)
    side = "at most" if reached.aim is Aim.MARGIN else "at least"
    return f"{reached.aim.value} {value}, {side} {bound}"


def aim_value(asked: Asked, aim: Aim, value: int) -> str:
    """The value of an aim with its unit."""
    if aim is Aim.MONEY:
        return money(asked.flight, value)
    if aim is Aim.MARGIN:
        return grams(value)
    if aim is Aim.MOVES:
        return count(value, "thing")
    return f"{value / WORTH:g}"


def lost_words(flight: Flight, loss: IfLost) -> str:
    """What the loss of one bag on the way out would mean."""
    if not loss.lost:
        return f"{loss.bag.name}: all planned work can still be done"
    still = works_words(flight, loss.possible) or "nothing"
    return f"{loss.bag.name}: still possible {still}; not {works_words(flight, loss.lost)}"


def reasons(found: NoPacking) -> tuple[str, ...]:
    """Why there is no packing, and the smallest changes that would help."""
    if found.against is None:
        if found.proven:
            return ("it is proved that nothing keeps all limits; the reason was not found",)
        return ("no packing was found in the work given; nothing is proved",)
    told = [*_against_words(found.asked, found.against)]
    changes = [change_words(found.asked, change) for change in found.against.changes]
    if changes:
        told.append("What would help: " + "; or ".join(changes) + ".")
    return tuple(told)


def _against_words(asked: Asked, against: Against) -> Iterable[str]:
    for item in against.nowhere:
        copy = asked.flight.contents[item]
        judged = asked.flight.judged[copy.id]
        yield (
            f"{label(copy)} has to fly and may lie in no bag: {judged.answer.value}, "
            f"{judged.reasons[0].text}"
        )
    for bag in against.barred:
        yield f"{asked.problem.bags[bag].name} has to fly and is not taken"
    if against.limits:
        names = "; ".join(limit_name(asked, limit) for limit in against.limits)
        yield f"These limits cannot all be kept with what has to fly: {names}."


def limit_name(asked: Asked, limit: Limit) -> str:
    """A limit by name, with whose it is and on which legs."""
    problem = asked.problem
    on = "".join(f" on {problem.legs[leg].name}" for leg in limit.legs[:1])
    if len(limit.legs) > 1:
        on = " on " + ", ".join(problem.legs[leg].name for leg in limit.legs)
    match limit.kind:
        case LimitKind.PIECE_MASS | LimitKind.PIECES | LimitKind.POOL:
            people = problem.legs[limit.legs[0]].allowances[limit.who].people
            names = " and ".join(problem.people[p] for p in people)
            return f"{limit.kind.value} for {names}{on}"
        case LimitKind.CABIN_MASS | LimitKind.CABIN_PIECES:
            return f"{limit.kind.value} for {problem.people[limit.who]}{on}"
        case LimitKind.BAG_MASS | LimitKind.ROOM:
            return f"{limit.kind.value}: {problem.bags[limit.who].name}"
        case LimitKind.GOODS:
            return f"{problem.limits[limit.who].name}, at most {problem.limits[limit.who].most}"


def change_words(asked: Asked, change: Change) -> str:
    """One change that makes a packing possible."""
    least = "" if change.least else " (perhaps less is enough)"
    if change.leave:
        names = _names([asked.flight.contents[i] for i in change.leave])
        return f"leave {names} at home, {grams(change.grams)}{least}"
    parts = [
        f"{_by(raised.limit, raised.by)} {limit_name(asked, raised.limit)}"
        for raised in change.raises
    ]
    return " and ".join(parts) + least


def _names(copies: Sequence[Content]) -> str:
    return ", ".join(label(copy) for copy in copies)


def _by(limit: Limit, by: int) -> str:
    if limit.kind in MASSES:
        return f"{grams(by)} more of"
    if limit.kind is LimitKind.ROOM:
        return f"{by / 1000:.1f} L more of"
    return f"{by} more of"
