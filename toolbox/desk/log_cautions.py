"""What is never passed over in silence when work is logged: fluids past their date, or mixed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from toolbox.desk.diary import Done, job_facts
from toolbox.desk.errors import DeskError
from toolbox.desk.stock import holdings
from toolbox.desk.stock_fluids import mixings_of
from toolbox.desk.stock_words import PAST
from toolbox.kit.facts import Fact, StepDone, SupplyUsed, What
from toolbox.kit.kit import Kit


def past_dates(
    kit: Kit, facts: Iterable[Fact], whats: Sequence[What], day: date
) -> tuple[str, ...]:
    """Supplies among what was logged that were past their date on that day, in words.

    ``facts`` are those that counted before: work takes from the pack that was open then, or
    else from one that was sealed.
    """
    drawn = dict.fromkeys(_drawn(whats))
    if not drawn:
        return ()
    held = holdings(kit, facts, day)
    found = []
    for supply in drawn:
        life = held[supply].opened or held[supply].sealed
        if life.out_of_date(day):
            found.append(f"{held[supply].supply.name}: {life.why}{PAST}")
    return tuple(found)


def would_mix(kit: Kit, orders: Iterable[Done]) -> tuple[str, ...]:
    """What would meet that must not, were these steps logged; in words, each once.

    What cannot be logged at all is left out: that is told when it is tried.
    """
    facts: list[What] = []
    for done in orders:
        try:
            facts += job_facts(kit, done)
        except DeskError:
            continue
    return mixings_of(kit, facts)


def _drawn(whats: Iterable[What]) -> Iterator[str]:
    for what in whats:
        if isinstance(what, StepDone):
            yield from (draw.supply for draw in what.draws)
        elif isinstance(what, SupplyUsed):
            yield what.supply
