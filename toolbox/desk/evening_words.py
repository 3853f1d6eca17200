"""What was said in the evening, in words for the list of entries: counts, stocks, instruments."""

from __future__ import annotations

from collections.abc import Mapping

from toolbox.kit.checking import InstrumentChecked, InstrumentEvent, SaidOfInstrument, WoundDown
from toolbox.kit.counting import (
    BikeReleased,
    Counted,
    DayClosed,
    Outcome,
    SaidOfCount,
    Settled,
    Short,
)
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import write
from toolbox.kit.stocking import Bought, Opened, Refilled, SaidOfStock, StockCounted, Wasted
from toolbox.kit.things import KIND_OF, base_id

_OTHER = {"box": "reserve", "reserve": "box"}


def said_words(
    kit: Kit, names: Mapping[str, str], said: SaidOfCount | SaidOfStock | SaidOfInstrument
) -> str:
    """One of these facts in words; ``names`` are those of everything in the kit by its id."""
    match said:
        case Counted() | Settled() | BikeReleased() | DayClosed():
            return _of_count(kit, names, said)
        case InstrumentChecked() | InstrumentEvent() | WoundDown():
            return _of_instrument(names, said)
        case _:
            return _of_stock(kit, names, said)


def _of_count(kit: Kit, names: Mapping[str, str], said: SaidOfCount) -> str:
    match said:
        case Counted():
            place = next((c.name for c in kit.box.compartments if c.id == said.place), said.place)
            short = "; ".join(short_words(names, one) for one in said.short)
            return f"counted {place or 'what has no place'}: {short or 'all there'}"
        case Settled():
            return (
                f"{short_words(names, Short(said.copy, said.part, said.number))}: "
                + outcome_words(said)
            )
        case BikeReleased():
            things = ", ".join(_copy(names, copy) for copy in said.copies)
            return f"bike {said.bike} released though short of {things}: {said.reason}"
        case DayClosed():
            how = "complete" if said.complete else f"not complete: {said.reason}"
            return f"count of {said.day} closed, {how}"


def outcome_words(said: Settled) -> str:
    """What became of it: "lent to the neighbours until 2026-11-30"."""
    where = {
        Outcome.LENT: f" to {said.where}",
        Outcome.LEFT: f" {said.where}",
    }.get(said.outcome, f" ({said.where})" if said.where else "")
    until = f" until {said.until}" if said.until is not None else ""
    note = f", {said.note}" if said.note else ""
    return f"{said.outcome.value}{where}{until}{note}"


def short_words(names: Mapping[str, str], short: Short) -> str:
    """What is short, by its name: "Bit set: 2 of the part hex 3"."""
    name = _copy(names, short.copy)
    return f"{name}: {short.missing} of the part {short.part}" if short.part else name


def _copy(names: Mapping[str, str], copy: str) -> str:
    number = copy.partition("/")[2]
    name = names.get(base_id(copy), base_id(copy))
    return f"{name}, no. {number}" if number else name


def _of_stock(kit: Kit, names: Mapping[str, str], said: SaidOfStock) -> str:
    name = names.get(said.supply, said.supply)
    if isinstance(said, Opened):
        return f"opened {name} on {said.day}"
    supply = next((s for s in kit.supplies if s.id == said.supply), None)
    amount = str(said.amount) if supply is None else write(said.amount, KIND_OF[supply.measure])
    match said:
        case StockCounted():
            return f"counted {amount} of {name} in the {said.where.value}"
        case Bought():
            return f"bought {amount} of {name} for the {said.where.value}"
        case Refilled():
            other = _OTHER[said.where.value]
            return f"moved {amount} of {name} from the {other} to the {said.where.value}"
        case Wasted():
            return f"threw away {amount} of {name} from the {said.where.value}"


def _of_instrument(names: Mapping[str, str], said: SaidOfInstrument) -> str:
    name = names.get(said.tool, said.tool)
    match said:
        case InstrumentChecked():
            verdict = "no verdict" if said.verdict is None else said.verdict.value
            return f"checked {name} by {said.beside.name}: {verdict}"
        case InstrumentEvent():
            return f"{name} {said.kind.value}"
        case WoundDown():
            return f"wound {name} down"
