"""What became of a thing that was short, and what may go out though it might be in it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from toolbox.desk.count_bikes import Held
from toolbox.desk.count_book import Book, most_out
from toolbox.desk.errors import DeskError, UnclearName, UnknownName
from toolbox.desk.evening_words import short_words
from toolbox.desk.folder import names_of
from toolbox.desk.names import Named, match
from toolbox.desk.naming import tool_named
from toolbox.kit.counting import BikeReleased, Outcome, Settled, Short
from toolbox.kit.kit import Kit
from toolbox.kit.things import Tool

PARTED = ":"
"""Parts a thing from its part, and the part from how many: ``bit set:hex 3:2``."""


@dataclass(frozen=True, slots=True)
class Typed:
    """A thing as it was typed: letters, the number of its copy, letters of a part, how many."""

    letters: str
    copy: int | None
    part: str
    number: int


def parted(text: str) -> Typed:
    """Read ``THING``, ``THING/2``, ``THING:PART`` or ``THING:PART:N``; DeskError else."""
    thing, colon, rest = (piece.strip() for piece in text.partition(PARTED))
    letters, slash, copy = thing.rpartition("/")
    if not slash or not copy.isdecimal():
        letters, copy = thing, ""
    # The name of a part may hold a colon, how many may not be left out before one.
    part, _, number = (piece.strip() for piece in rest.rpartition(PARTED))
    if not number.isdecimal():
        part, number = rest, "1"
    if not letters or bool(colon) is not bool(part) or not 0 < int(number) < 1000:
        raise DeskError(
            f'"{text}" is not THING, THING:PART or THING:PART:N, like "chain tool" or '
            '"bit set:hex 3:2"'
        )
    return Typed(letters, int(copy) if copy else None, part, int(number))


def shorts_named(
    kit: Kit, book: Book, texts: Iterable[str], among: Sequence[str]
) -> tuple[Short, ...]:
    """What was typed as short in places that hold the copies ``among``.

    Of several copies one is meant that is short already, else one that should be there; named
    again, the next one. DeskError for what is no thing of this kit, or of no such part.
    """
    found: list[Short] = []
    for text in texts:
        typed = parted(text)
        tool = tool_named(kit, typed.letters)
        part = _part(tool, typed.part)
        taken = {one.copy for one in found if one.part == part == ""}
        copies = [c for c in tool.copies() if c in among and c not in taken] or tool.copies()
        copy = _copy(tool, typed.copy) or min(copies, key=lambda c: _rank(book, c, part))
        found.append(Short(copy, part, typed.number))
    return tuple(found)


def settled(
    kit: Kit,
    book: Book,
    text: str,
    outcome: Outcome,
    today: date,
    *,
    where: str = "",
    until: date | None = None,
    note: str = "",
) -> Settled:
    """What became of a thing, as typed; DeskError when that cannot be or is not told in full.

    Of several copies the one that is short is meant. What is lent needs to whom and until
    when, what is left somewhere needs where; only what is out can be found.
    """
    typed = parted(text)
    tool = tool_named(kit, typed.letters)
    part = _part(tool, typed.part)
    copy = _copy(tool, typed.copy) or _likeliest(book, tool, part, outcome)
    what = short_words(names_of(kit), Short(copy, part, typed.number))
    faults = [*_untold(outcome, where, until, today)]
    out = len(book.of(copy, part))
    if outcome is Outcome.FOUND and typed.number > out:
        faults.append(f"only {out} of them are out" if out else "it is not out")
    elif typed.number > most_out(book.owned, (copy, part)):
        faults.append("there are not so many of them")
    if faults:
        raise DeskError(f"{what}: {'; '.join(faults)}. Nothing was written")
    return Settled(copy, outcome, part, typed.number, where, until, note)


def released(held: Sequence[Held], letters: str, reason: str) -> BikeReleased:
    """The decision that a held bike may go out all the same; DeskError without a reason.

    UnclearName or UnknownName when the letters do not mean one of the bikes held.
    """
    bikes = {one.bike: one for one in held if not one.released}
    found = match(letters, (Named(bike, bike) for bike in bikes))
    if found.only is None:
        if found.found:
            raise UnclearName("bike", letters, found.found)
        raise UnknownName("bike that is held", letters, found.near)
    if not reason:
        raise DeskError(f"bike {found.only.id} is not released without a reason")
    bike = bikes[found.only.id]
    return BikeReleased(bike.bike, tuple(dict.fromkeys(m.copy for m in bike.missing)), reason)


def _untold(outcome: Outcome, where: str, until: date | None, today: date) -> Iterable[str]:
    if outcome is Outcome.LENT and not where:
        yield "say to whom it is lent"
    if outcome is Outcome.LENT and until is None:
        yield "say until when it is lent"
    if outcome is Outcome.LEFT and not where:
        yield "say where it was left"
    if until is not None and outcome is not Outcome.LENT:
        yield "only what is lent has a day to be back"
    if until is not None and until < today:
        yield f"{until} is past"


def _part(tool: Tool, letters: str) -> str:
    if not letters:
        return ""
    if not tool.parts:
        raise DeskError(f"{tool.name} has no parts on the list; nothing was written")
    found = match(letters, dict.fromkeys(Named(p.name, p.name) for p in tool.parts))
    if found.only is not None:
        return found.only.id
    if found.found:
        raise UnclearName("part", letters, found.found)
    near = found.near or tuple(Named(p.name, p.name) for p in tool.parts[:3])
    raise UnknownName(f"part of {tool.name}", letters, near)


def _copy(tool: Tool, number: int | None) -> str:
    """The copy of that number, "" when none was typed."""
    if number is None:
        return ""
    if not 1 <= number <= tool.count:
        raise DeskError(f"{tool.name} has {tool.count} on the list, no number {number}")
    return tool.copies()[number - 1]


def _rank(book: Book, copy: str, part: str) -> int:
    """What is short is named again in a second count of its place; what is away is not."""
    out = book.of(copy, part)
    if any(piece.outcome is None for piece in out):
        return 0
    return 2 if out and not part else 1


def _likeliest(book: Book, tool: Tool, part: str, outcome: Outcome) -> str:
    """The copy an outcome is about: one without any outcome, else one that is out, or is not."""
    copies = tool.copies()
    out = {copy: book.of(copy, part) for copy in copies}
    short = next((c for c in copies if any(p.outcome is None for p in out[c])), None)
    if short is not None:
        return short
    # Found is said of what is out, lent of what is not; anything else more likely of the former.
    wants_out = outcome is not Outcome.LENT
    return next((c for c in copies if bool(out[c]) is wants_out), copies[0])
