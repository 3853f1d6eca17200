"""A missing thing as one looks for it: what it looks like, where it was last, who has another."""

from __future__ import annotations

from dataclasses import dataclass

from toolbox.desk.count_bikes import Could, UseOf, Work, could_be_in, unnamed_uses, work_in
from toolbox.desk.count_book import Book, Missing, Piece, alike
from toolbox.desk.count_words import said_line
from toolbox.desk.figures import count
from toolbox.desk.finding import NOWHERE
from toolbox.desk.folder import KitFolder, name_of_copy
from toolbox.desk.maps import where_are
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import Tool, base_id


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that helps to find a missing thing.

    ``tool`` is None when it is not on the list any more. ``last`` is its last logged use,
    ``bikes`` those it could be in, ``unnamed`` how often it was used with no bike named
    since the last complete count. ``others`` are other copies and stand-ins with where they
    are; ``record`` every change, oldest first, in words.
    """

    missing: Missing
    name: str
    tool: Tool | None
    home: str
    last: UseOf | None
    bikes: tuple[Could, ...]
    unnamed: int
    others: tuple[str, ...]
    record: tuple[str, ...]


def missing_sheets(folder: KitFolder, book: Book, tool: str | None = None) -> tuple[Sheet, ...]:
    """A sheet for everything that is out, or only for that tool: what nobody explained first."""
    work = work_in(folder.live)
    wanted = [piece for piece in book.out if tool in (None, base_id(piece.copy))]
    listed = sorted(alike(wanted), key=lambda one: one.said is not None)
    return tuple(_sheet(folder.kit, work, book, missing) for missing in listed)


def look_lines(sheet: Sheet) -> tuple[tuple[str, str], ...]:
    """How to know it: heads with words, those that nobody filled in left out."""
    tool = sheet.tool
    if tool is None:
        return ()
    length, width, height = (write(side, Kind.LENGTH) for side in tool.size)
    of = "of the whole set" if sheet.missing.part else ""
    lines = (
        ("size", f"{length} x {width} x {height} {of}".strip()),
        ("mass", f"{write(tool.mass.grams, Kind.MASS)} {of}".strip()),
        ("looks like", tool.look),
        ("owner's mark", tool.owner_mark),
        ("serial", tool.serial),
        ("place", sheet.home),
    )
    return tuple((head, words) for head, words in lines if words)


def use_words(kit: Kit, use: UseOf | None) -> str:
    """Where it was last used: job, step, bike, time, by whom."""
    if use is None:
        return "never logged"
    job = next((job for job in kit.jobs if job.id == use.job), None)
    words = job.name if job is not None else use.job or "outside any job"
    if job is not None:
        step = next((step for step in job.steps if step.number == use.step), None)
        words += f", step {use.step}" + (f" ({step.text})" if step is not None else "")
    bike = f"bike {use.bike}" if use.bike else "no bike named"
    return f"{words}, {bike}, {use.at:%Y-%m-%d %H:%M}, by {use.fact.author}"


def could_words(kit: Kit, could: Could) -> str:
    """One of the bikes it could be in, and whether it may go out."""
    used = f"used on it: {use_words(kit, could.last)}" if could.last else "worked on since"
    if could.released is None:
        return f"bike {could.bike}: may not be released ({used})"
    fact = could.released
    reason = getattr(fact.what, "reason", "")
    return f"bike {could.bike}: released by {fact.author}, {fact.at:%Y-%m-%d %H:%M}: {reason}"


def unnamed_words(sheet: Sheet) -> str:
    """That it was used with no bike named, "" when it was not."""
    if not sheet.unnamed:
        return ""
    return f"{count(sheet.unnamed, 'use')} with no bike named: look where that was"


def _sheet(kit: Kit, work: Work, book: Book, missing: Missing) -> Sheet:
    base = base_id(missing.copy)
    tool = next((tool for tool in kit.tools if tool.id == base), None)
    uses = work.of(base)
    return Sheet(
        missing=missing,
        name=name_of_copy(kit, missing.copy),
        tool=tool,
        home=_home(kit, missing.copy),
        last=uses[-1] if uses else None,
        bikes=could_be_in(work, book, missing),
        unnamed=unnamed_uses(work, book, missing),
        others=() if tool is None else _others(kit, book, tool, missing.copy),
        record=_record(book, missing),
    )


def _home(kit: Kit, copy: str) -> str:
    (found,) = where_are(kit, kit.present or NOWHERE, [copy], None)
    return found.where


def _others(kit: Kit, book: Book, tool: Tool, copy: str) -> tuple[str, ...]:
    """Other copies and stand-ins that are not out themselves."""
    known = {other.id: other for other in kit.tools}
    others = [one for one in tool.copies() if one != copy]
    for stand_in in tool.substitutes:
        if stand_in in known:
            others += known[stand_in].copies()
    there = [one for one in others if not book.of(one, "")]
    found = where_are(kit, kit.present or NOWHERE, there, None)
    return tuple(f"{one.name}: {one.where}" for one in found)


def _record(book: Book, missing: Missing) -> tuple[str, ...]:
    """Every change of this copy and part, what came back in between among them."""
    pieces: list[Piece] = [
        piece
        for piece in (*book.back, *book.out)
        if (piece.copy, piece.part) == (missing.copy, missing.part)
    ]
    facts = {
        fact.id: fact
        for piece in pieces
        for fact in (piece.begun, *piece.said, piece.back)
        if fact is not None
    }
    return tuple(said_line(fact) for fact in sorted(facts.values(), key=lambda f: f.clock))
