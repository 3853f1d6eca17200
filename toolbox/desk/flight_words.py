"""Trips by air in sentences that commands and screens share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from toolbox.desk.figures import count, grams
from toolbox.desk.flight_bags import BagCheck, Load, Pool, interval_words
from toolbox.desk.flight_goods import GoodsFinding
from toolbox.desk.flight_plan import FlightMove, FlightPlan, IfLost, NoPacking, currency_of
from toolbox.desk.flight_question import WORTH, Asked
from toolbox.desk.flights import BagLifting, Check, ToWeigh
from toolbox.desk.trips import Flight, label, some_of
from toolbox.desk.weigh_in import WeighedIn
from toolbox.files.tables import money_text
from toolbox.flight.contents import Content
from toolbox.flight.goods import WHO_DECIDES, Answer, Reason
from toolbox.flight.goods_limits import Deed
from toolbox.flight.lifting import EXCLUSIONS, ONE_HAND
from toolbox.flight.masses import COVERAGE, Verdict
from toolbox.flight.packing_limits import MASSES, Limit, LimitKind
from toolbox.flight.packing_problem import Aim, Charge, Fate, Reached, Why
from toolbox.flight.packing_reason import Against, Change
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import Money, base_id
from toolbox.kit.trips import Work

FIGURES = (
    "Limits and prices are those of your trip file, your own entry; they are the carrier's to set."
)
AT_RISK = (
    "Not everything is surely within its limits: what is at risk may be over on the carrier's "
    "scale."
)
OPEN = "The plan holds only if what is still to be asked or read turns out well."
LIFTING = f"{ONE_HAND} It is not for {'; '.join(EXCLUSIONS[1:])} either."
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


def fits_words(check: Check) -> str:
    """FITS, NOT YET where only masses fit, or DOES NOT FIT, and what is in the way, counted."""
    if check.fits:
        return "FITS as far as the figures and rules here go."
    if check.masses_fit:
        return f"NOT YET: the masses fit; {_beside_masses(check)} before it may fly."
    loads = [(b.bag.id, load.verdict) for b in check.bags if b.flies for load in b.loads]
    loads += [("+".join(p.bags), p.load.verdict) for p in check.pools]
    over = {bag for bag, verdict in loads if verdict is Verdict.OVER}
    risk = {bag for bag, verdict in loads if verdict is Verdict.AT_RISK} - over
    unsaid = {bag for bag, verdict in loads if verdict is None}
    parts = (
        f"{len(over)} over" if over else "",
        f"{len(risk)} at risk" if risk else "",
        f"{len(unsaid)} without a limit to count against" if unsaid else "",
        _beside_masses(check),
    )
    return f"DOES NOT FIT: {', '.join(filter(None, parts))}."


def _beside_masses(check: Check) -> str:
    """How much is in the way besides masses."""
    open_now = len(check.open)
    barred = len(check.findings) - open_now
    parts = (
        f"{barred} to take out or move" if barred else "",
        f"{open_now} to ask or to look up" if open_now else "",
        f"{count(len(check.matters), 'other matter')} to settle" if check.matters else "",
    )
    return ", ".join(filter(None, parts))


def load_words(flight: Flight, load: Load) -> str:
    """A mass against its limit: "25.99 kg (25.91 to 26.06) of 23.00 kg, over"."""
    said = interval_words(load.total)
    leg = flight.trip.legs[load.leg].name
    if load.limit_g is None or load.verdict is None:
        return f"{said}, no limit said ({leg}, {load.limit})"
    chance = f", {chance_words(load)} over" if load.verdict is Verdict.AT_RISK else ""
    return f"{said} of {grams(load.limit_g)}: {load.verdict.value}{chance} ({leg}, {load.limit})"


def chance_words(load: Load) -> str:
    """The chance to be over as a percentage, never rounded to none or to certainty."""
    chance = load.chance_over or 0.0
    if chance < 0.01:
        return "less than 1 %"
    return "more than 99 %" if chance > 0.99 else f"{100 * chance:.0f} %"


def bag_words(flight: Flight, check: BagCheck) -> str:
    """A bag with the load that governs it; one that stays at home says so."""
    if not check.flies:
        return f"{check.bag.name}: empty, stays at home"
    return f"{check.bag.name}: {load_words(flight, check.governing)}"


def pool_words(flight: Flight, pool: Pool) -> str:
    """What counts together on a leg."""
    names = " and ".join(flight.person(p).name for p in pool.people)
    kind = "cabin bags" if pool.load.limit.startswith("cabin") else "hold bags"
    return f"{names}, {kind} together: {load_words(flight, pool.load)}"


def pieces_words(found: GoodsFinding) -> str:
    """The thing with its number of pieces, or which copies of it are meant."""
    if len(found.copies) == 1:
        number = found.copies[0].partition("/")[2]
        return f"{found.name}, no. {number}" if number else found.name
    return f"{found.name} ({len(found.copies)} pieces)"


def finding_lines(flight: Flight, findings: Iterable[GoodsFinding]) -> tuple[str, ...]:
    """What is to be done and why, with the source; things of which the same is said together."""
    groups: dict[tuple[str | None, Answer, Deed, Reason], list[GoodsFinding]] = {}
    for found in findings:
        key = (found.bag, found.answer, found.todo, found.reasons[0])
        groups.setdefault(key, []).append(found)
    return tuple(
        _finding_words(flight, bag, answer, todo, why, ", ".join(map(pieces_words, some)))
        for (bag, answer, todo, why), some in groups.items()
    )


def _finding_words(
    flight: Flight, bag: str | None, answer: Answer, todo: Deed, why: Reason, names: str
) -> str:
    where = f" in {flight.bag(bag).name}" if bag is not None else ""
    said = f"{names}{where}: {answer.value.upper()}."
    # to ask is both the answer and what to do
    if todo not in (Deed.ASK, Deed.SHEET):
        said += f" {_capital(todo.value)}."
    return f"{said} {_capital(why.text)} [{why.source}]"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


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


def works_words(flight: Flight, works: Iterable[Work]) -> str:
    """Planned jobs by name, with how often each is expected."""
    return ", ".join(
        f"{flight.kit.job(work.job).name} ({_number(work.expected())} expected)" for work in works
    )


def _number(value: Fraction) -> str:
    return f"{float(value):g}"


def lost_words(flight: Flight, loss: IfLost) -> str:
    """What the loss of one bag on the way out would mean."""
    if not loss.lost:
        return f"{loss.bag.name}: all planned work can still be done"
    still = works_words(flight, loss.possible) or "nothing"
    return f"{loss.bag.name}: still possible {still}; not {works_words(flight, loss.lost)}"


def weigh_next_words(one: ToWeigh) -> str:
    """Which things to weigh next, on which scale, and what that makes of the interval."""
    names = ", ".join(f"{s.line.name} ({grams(s.line.grams)})" for s in one.things)
    after = COVERAGE * one.things[-1].total_u_g
    return f"{one.bag.name}: on {one.scale.name}: {names}; then it is known to {after:.0f} g"


def lifting_words(one: BagLifting) -> str:
    """The lift of a bag from floor to bench, and for whom it is above the reference mass."""
    if not one.lifts:
        return f"{one.bag.name}: its size is not known, so there is no figure for lifting it"
    said = f"{one.bag.name}, {one.lifts[0].what}: {one.lifts[0].words}"
    if not one.over:
        return said
    return f"{said} Above the reference mass for {'; '.join(one.over)}: lift it with two."


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


def weighed_words(found: WeighedIn) -> str:
    """The reading beside the sum of items and tare, and whether they agree."""
    explained = found.explained
    heavier = "heavier" if explained.difference_g > 0 else "lighter"
    off = abs(explained.difference_g)
    said = (
        f"{found.bag.name}: {write(found.weighing.reading_g, Kind.MASS)} on {found.scale.name}; "
        f"items and tare add up to {write(found.listed.grams, Kind.MASS)}"
    )
    within = f"{COVERAGE * explained.u_g:.0f} g of both together"
    if off == 0:
        return f"{said}: the same to the gram."
    if explained.agrees:
        return f"{said}: {off} g {heavier}, within the uncertainty of {within}."
    return f"{said}: {off} g {heavier}, more than the uncertainty of {within}."


def cautions() -> tuple[str, ...]:
    """What every output about a flight says."""
    return (WHO_DECIDES, FIGURES)
