"""Ready or not: what must be mended before the box can travel, most serious first.

A rule is a function from what is known of a kit to findings; a new one is added by
adding it to ``RULES``. Rules never stop one another: each sees the same ``Sight``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from toolbox.carry.balance import weigh
from toolbox.carry.findings import CarryError, masses
from toolbox.desk.figures import count
from toolbox.desk.flight_words import bag_words, pieces_words, pool_words
from toolbox.desk.flights import Check, check_now, rules_warning
from toolbox.desk.folder import name_of_copy
from toolbox.desk.maps import not_placed
from toolbox.desk.preflight import days_left, is_near, preflight
from toolbox.desk.present import check_layout
from toolbox.desk.ready_instruments import instrument_findings
from toolbox.desk.ready_lists import list_findings
from toolbox.desk.ready_sight import Finding, Rule, Seriousness, Sight, told
from toolbox.desk.ready_stock import supply_findings
from toolbox.desk.trips import Flight, is_over, nearest_trip
from toolbox.files.problems import KitFaults
from toolbox.flight.masses import Verdict
from toolbox.kit.counting import SaidOfCount
from toolbox.kit.layouts import Layout

__all__ = [
    "RULES",
    "Finding",
    "Seriousness",
    "Sight",
    "is_ready",
    "kit_faults",
    "readiness",
    "to_mend",
]

LEAD_DAYS = 7
"""From so many days before its next flight what is wrong with a trip keeps the box from
being ready; before that it is good to know (common practice, no source)."""


def readiness(sight: Sight) -> tuple[Finding, ...]:
    """Every finding of every rule, most serious first, otherwise in the order of the rules."""
    order = list(Seriousness)
    found = [finding for rule in RULES for finding in rule(sight)]
    return tuple(sorted(found, key=lambda finding: order.index(finding.seriousness)))


def is_ready(findings: Iterable[Finding]) -> bool:
    """True when nothing is left that must be mended."""
    return not to_mend(findings)


def to_mend(findings: Iterable[Finding]) -> int:
    """How many findings must be mended; what is only good to know does not count."""
    return sum(finding.seriousness is not Seriousness.NOTE for finding in findings)


def kit_faults(faults: KitFaults) -> tuple[Finding, ...]:
    """The findings of a kit whose files cannot be used: every fault, and nothing beside."""
    return tuple(
        Finding(Seriousness.STOP, fault.sentence(), "kit", "toolbox check")
        for fault in faults.faults
    )


def _plan(sight: Sight) -> Iterator[Finding]:
    """A plan that is missing or cannot be read; only noted: one made from other inputs than
    today's."""
    if not sight.study.question.copies:
        words = "no tool travels in the box yet"
        yield Finding(Seriousness.MEND, words, "kit", "toolbox import FILE.csv")
    elif sight.plan_fault:
        yield Finding(Seriousness.MEND, sight.plan_fault, "plan", "toolbox plan")
    elif sight.plan is None:
        yield Finding(Seriousness.MEND, "no plan of the box was made yet", "plan", "toolbox plan")
    elif sight.plan.stamp != sight.study.question.stamp:
        # Each day's log makes it older: the box travels as well by an older plan.
        words = "the plan is older than the kit or the log: plan again"
        yield Finding(Seriousness.NOTE, words, "plan", "toolbox plan")


def _unplaced(sight: Sight) -> Iterator[Finding]:
    """Things that travel in the box and of which nobody has said where they lie."""
    if not sight.study.question.copies:
        return
    missing = not_placed(sight.kit, _today(sight))
    if missing:
        names = told([name_of_copy(sight.kit, copy) for copy in missing])
        verb = "travels but has" if len(missing) == 1 else "travel but have"
        words = f"{names} {verb} no place in today's layout"
        yield Finding(Seriousness.MEND, words, "box", "toolbox place TOOL --in COMPARTMENT")


def _broken(sight: Sight) -> Iterator[Finding]:
    """Where today's layout breaks a rule or does not fit."""
    for fault in check_layout(sight.study.question, _today(sight)):
        words = f"the box as it lies today: {fault}"
        yield Finding(Seriousness.MEND, words, "box", "toolbox compare")


def _half_rebuilt(sight: Sight) -> Iterator[Finding]:
    """A rebuild that was begun and not brought to its end."""
    listed = sight.rebuild
    if listed is not None and listed.half_done:
        words = f"the rebuild stands at {listed.done} of {len(listed.steps)} steps"
        yield Finding(Seriousness.MEND, words, "rebuild", "toolbox rebuild")


def _heavy(sight: Sight) -> Iterator[Finding]:
    """The packed box over the limit that the mechanic set for it."""
    limit = sight.kit.box.limit_g
    if limit is None:
        return
    try:
        loads = weigh(sight.kit.box, _today(sight), sight.kit.carried())
    except CarryError as error:
        yield Finding(Seriousness.MEND, str(error), "kit", "toolbox balance")
        return
    if loads.total_g > limit:
        total, over, most = masses(loads.total_g, loads.total_g - limit, limit)
        # what is shifted for a trip is another mass, and told with the trip
        name = sight.kit.box.name
        words = f"{name} weighs {total} with all that belongs in it, {over} more than your {most}"
        yield Finding(Seriousness.STOP, words, "box", "toolbox balance")


def _flight(sight: Sight) -> Iterator[Finding]:
    """The next trip by air: bags over or at risk, goods that may not fly so or are not settled.

    Masses and goods only: no packing is sought here. All of it is only noted while the trip
    is more than LEAD_DAYS away. Shortly before it, the lines of its pre-flight list that are
    left as well.
    """
    try:
        flight = nearest_trip(sight.folder, sight.today)
    except KitFaults as faults:
        for fault in faults.faults:
            yield Finding(Seriousness.MEND, fault.sentence(), "flight", "toolbox check")
        return
    if flight is None or is_over(flight.trip, sight.today):
        return
    check = check_now(flight)
    days = days_left(flight.trip, sight.today)
    ahead = days if days is not None and days > LEAD_DAYS else None
    when = f", in {count(ahead, 'day')}" if ahead is not None else ""
    for seriousness, words in _trip_words(flight, check):
        said = f"{flight.trip.name}{when}: {words}"
        serious = Seriousness.NOTE if ahead is not None else seriousness
        yield Finding(serious, said, "flight", f"toolbox flight {flight.name}")
    if words := _list_words(flight, check, sight.today):
        said = f"{flight.trip.name}: {words}"
        yield Finding(Seriousness.MEND, said, "flight", f"toolbox preflight {flight.name}")


def _counted(sight: Sight) -> Iterator[Finding]:
    """What the evening's counts leave to be done; nothing where nobody ever counted or lent."""
    if any(isinstance(fact.what, SaidOfCount) for fact in sight.facts):
        # Loaded only where somebody counts: status bars ask for the line again and again.
        from toolbox.desk.ready_count import count_findings

        yield from count_findings(sight)


def _trip_words(flight: Flight, check: Check) -> Iterator[tuple[Seriousness, str]]:
    how = {Verdict.OVER: Seriousness.STOP, Verdict.AT_RISK: Seriousness.MEND}
    for bag in check.bags:
        if bag.flies and bag.verdict in how:
            yield how[bag.verdict], bag_words(flight, bag)
    for pool in check.pools:
        if pool.load.verdict in how:
            yield how[pool.load.verdict], pool_words(flight, pool)
    for words in check.matters:
        yield Seriousness.MEND, words
    barred = [pieces_words(f) for f in check.findings if not f.is_open]
    if barred:
        yield Seriousness.STOP, f"may not fly as packed: {told(barred)}"
    if check.open:
        names = told([pieces_words(f) for f in check.open])
        yield Seriousness.MEND, f"to ask the carrier or to look up: {names}"
    if warning := rules_warning(flight):
        yield Seriousness.NOTE, warning


def _list_words(flight: Flight, check: Check, today: date) -> str:
    """The lines of the pre-flight list that are left when the trip is near; "" otherwise."""
    left = preflight(flight, check).left if is_near(flight.trip, today) else ()
    if not left:
        return ""
    days = days_left(flight.trip, today)
    when = f"{count(days, 'day')} before the flight" if days else "on the day of the flight"
    lines = f"{count(len(left), 'line')} of the pre-flight list {'are' if len(left) > 1 else 'is'}"
    return f"{lines} open {when}: {told([line.words for line in left])}"


RULES: tuple[Rule, ...] = (
    _heavy,
    _flight,
    _counted,
    instrument_findings,
    list_findings,
    _half_rebuilt,
    _unplaced,
    _broken,
    _plan,
    supply_findings,
)


def _today(sight: Sight) -> Layout:
    return sight.kit.present or Layout("present", ())
