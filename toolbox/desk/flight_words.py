"""Trips by air in sentences that commands and screens share: a trip as it is packed."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from toolbox.desk.figures import capital, count, grams
from toolbox.desk.flight_bags import BagCheck, Load, Pool, interval_words
from toolbox.desk.flight_goods import GoodsFinding
from toolbox.desk.flights import BagLifting, Check, ToWeigh
from toolbox.desk.trips import Flight
from toolbox.desk.weigh_in import WeighedIn
from toolbox.flight.goods import WHO_DECIDES, Answer, Reason
from toolbox.flight.goods_limits import Deed
from toolbox.flight.lifting import EXCLUSIONS, ONE_HAND
from toolbox.flight.masses import COVERAGE, Verdict
from toolbox.kit.quantities import Kind, write
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
        said += f" {capital(todo.value)}."
    return f"{said} {capital(why.text)} [{why.source}]"


def works_words(flight: Flight, works: Iterable[Work]) -> str:
    """Planned jobs by name, with how often each is expected."""
    return ", ".join(
        f"{flight.kit.job(work.job).name} ({_number(work.expected())} expected)" for work in works
    )


def _number(value: Fraction) -> str:
    return f"{float(value):g}"


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
