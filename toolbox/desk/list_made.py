"""Lines of lists that the program makes: counts left, supplies, instruments, flights.

Each line keeps the list that its ticks belong to. What a tick writes where it is more than
a tick (wound down, refilled, thrown away) is its deed; what is done elsewhere says where.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from toolbox.desk.checklist import Checklist, Line, standing
from toolbox.desk.count import CountPlace, evening, evening_of
from toolbox.desk.evening_view import place_words
from toolbox.desk.folder import KitFolder
from toolbox.desk.instruments import Stand, stands
from toolbox.desk.preflight import is_near, preflight
from toolbox.desk.restock import Task, restocking
from toolbox.desk.restock_said import done
from toolbox.desk.trips import is_over, nearest_trip
from toolbox.kit.checking import WoundDown
from toolbox.kit.checklists import Made
from toolbox.kit.facts import LineState
from toolbox.kit.stocking import SaidOfStock
from toolbox.kit.things import Tool

WIND, DUE, COUNT, RESTOCK, FLIGHT = "wind:", "due:", "count:", "restock:", "flight:"
CLOSE = f"{COUNT}close"  # no id of a compartment stands in its place: those lines have two colons
_UNDO = '"toolbox undo" takes back that it was wound down'
Deed = WoundDown | SaidOfStock


@dataclass(frozen=True, slots=True)
class MadeLine:
    """A line with its key in the list it is mixed into, its home, and what a tick writes."""

    key: str
    home: Checklist
    line: Line
    deed: Deed | None = None


def made_lines(
    folder: KitFolder,
    made: Made,
    on: date,
    found: Mapping[str, Stand],
    tasks: Sequence[Task] | None = None,
) -> Iterator[MadeLine]:
    """The lines for one word of a list; ``tasks`` are those of restocking, where known."""
    match made:
        case Made.FLIGHT:
            yield from _of_flight(folder, on)
        case Made.COUNT:
            yield from _at_home("count", on, folder, _of_count(folder, on))
        case Made.RESTOCK:
            tasks = restocking(folder, on).tasks if tasks is None else tasks
            yield from _at_home("restock", on, folder, map(_of_task, tasks))
        case Made.INSTRUMENTS:
            lines = (*_to_wind(folder, on, found), *_due(found.values()))
            yield from _at_home("instruments", on, folder, lines)


def leads_to(key: str) -> tuple[str, str] | None:
    """Where a line of the program is done: a part of the evening or a place, and what in it."""
    lead, _, rest = key.partition(":")
    if key == CLOSE:
        return "close", ""
    match f"{lead}:":
        case "count:":
            return "count", rest.removeprefix(":")
        case "restock:":
            return "restock", rest.split(":")[1]
        case "due:" | "wind:":
            return "instruments", rest
        case "flight:":
            return "flight", ""
        case _:
            return None


_Lines = Iterable[tuple[Line, Deed | None]]


def _at_home(name: str, on: date, folder: KitFolder, lines: _Lines) -> Iterator[MadeLine]:
    some = tuple(lines)
    deeds = {line.key: deed for line, deed in some}
    listed = Checklist(name, on.isoformat(), tuple(line for line, _ in some))
    home = standing(listed, folder.live)
    for line in home.lines:
        yield MadeLine(line.key, home, line, deeds[line.key])


# ---- instruments


def _to_wind(
    folder: KitFolder, on: date, found: Mapping[str, Stand]
) -> Iterator[tuple[Line, Deed | None]]:
    """Torque tools to wind down, done once that is written; after midnight, too."""
    wound = {
        fact.what.tool: fact
        for fact in folder.live
        if isinstance(fact.what, WoundDown) and evening_of(fact.at) == on
    }
    if any(fact.at.date() > on for fact in wound.values()):
        night = [fact for fact in folder.live if evening_of(fact.at) <= on]
        found = stands(folder.kit, night, on + timedelta(days=1))
    for one in found.values():
        if one.unwound or one.tool.id in wound:
            state = LineState.OPEN if one.unwound else LineState.DONE
            words = f"wind {one.tool.name} down to its lowest mark"
            why = "a spring left under load drifts"
            line = Line(f"{WIND}{one.tool.id}", words, why, by_itself=_UNDO, state=state)
            fact = wound.get(one.tool.id)
            if fact is not None and state is LineState.DONE:
                line = replace(line, author=fact.author, at=fact.at)
            yield line, WoundDown(one.tool.id)


def _due(found: Iterable[Stand]) -> Iterator[tuple[Line, Deed | None]]:
    for one in found:
        if (one.out or one.soon) and one.tool.carried:
            yield _check_line(one.tool, one.words), None


def _check_line(tool: Tool, why: str) -> Line:
    by = f'write its check with "toolbox test {tool.id}"'
    source = "its interval and what the journal says of it"
    return Line(f"{DUE}{tool.id}", f"have {tool.name} checked", why, source, by_itself=by)


# ---- the count, supplies, flights


def _of_count(folder: KitFolder, on: date) -> Iterator[tuple[Line, Deed | None]]:
    """A line for each compartment that is not counted yet, and one for closing the day."""
    seen = evening(folder, on)
    if not seen.places:
        return
    for place in seen.left:
        yield _count_line(place, on), None
    why = "; ".join(seen.hindrances) or "everything is accounted for"
    by = f'close it in Evening, or with "toolbox count --day {on} --close"'
    line = Line(CLOSE, "close the day", why, "the count", by_itself=by)
    if seen.complete and seen.closing is not None:
        fact = seen.closing.fact
        line = replace(line, state=LineState.DONE, author=fact.author, at=fact.at)
    yield line, None


def _count_line(place: CountPlace, on: date) -> Line:
    words = f"count {place.name}: {place_words(place)}"
    name = f'"{place.id}"' if place.id else "--unplaced"
    by = f"count it in Evening, or with: toolbox count {name} --day {on}"
    return Line(f"{COUNT}:{place.id}", words, ", ".join(place.way), "the count", by_itself=by)


def _of_task(task: Task) -> tuple[Line, Deed | None]:
    (deed,) = done([task]) if task.done_as_told else (None,)
    by = ""
    if deed is None:
        where = task.where.value
        by = f"say how much is there: toolbox recount {task.supply} AMOUNT --in {where}"
    else:
        by = "a tick writes it; it is then gone from here"
    why = "; ".join(filter(None, (", ".join(task.way), task.why)))
    return Line(f"{RESTOCK}{task.key}", task.words, why, "the stock", by_itself=by), deed


def _of_flight(folder: KitFolder, on: date) -> Iterator[MadeLine]:
    """The pre-flight list of a trip that is near."""
    flight = nearest_trip(folder, on)
    if flight is None or is_over(flight.trip, on) or not is_near(flight.trip, on):
        return
    home = preflight(flight)
    for line in home.lines:
        yield MadeLine(f"{FLIGHT}{line.key}", home, line)
