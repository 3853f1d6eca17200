"""The evening as a screen shows it: the count, what is out, bikes held, how far one is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from toolbox.desk.count import CountPlace, Evening, Expected, evening_in, evening_of
from toolbox.desk.count_bikes import Held, held_bikes, work_in
from toolbox.desk.count_book import Missing, Piece, alike, keep_book
from toolbox.desk.count_missing import (
    Sheet,
    could_words,
    look_lines,
    missing_sheets,
    unnamed_words,
    use_words,
)
from toolbox.desk.count_words import closing_words, missing_words
from toolbox.desk.edit_keys import Form
from toolbox.desk.edit_values import read
from toolbox.desk.errors import DeskError
from toolbox.desk.evening_words import outcome_words, short_words
from toolbox.desk.figures import count
from toolbox.desk.folder import KitFolder, names_of
from toolbox.desk.names import Match, Named, match
from toolbox.kit.counting import Short
from toolbox.kit.kit import Kit

SHORT = "short: nobody has said why"


@dataclass(frozen=True, slots=True)
class EveningView:
    """A kit's evening: the count, a sheet for everything out, the bikes that could hold it."""

    kit: Kit
    today: date
    seen: Evening
    sheets: tuple[Sheet, ...]
    held: tuple[Held, ...]

    @property
    def counted(self) -> int:
        """How many places were counted on the evening."""
        return len(self.seen.places) - len(self.seen.left)

    @property
    def at_stop(self) -> tuple[Held, ...]:
        """The bikes that may not go out yet."""
        return tuple(bike for bike in self.held if not bike.released)


@dataclass(frozen=True, slots=True)
class ThingLine:
    """A copy, or one sort of parts of it, as a line of its place.

    ``should`` is how many should be there by the book, ``stands`` in words what is out of it
    and why. ``key`` tells it from all others.
    """

    copy: str
    part: str
    name: str
    should: int
    stands: str

    @property
    def key(self) -> str:
        """Copy and part in one; no name holds a line end."""
        return f"{self.copy}\n{self.part}"


def evening_view(folder: KitFolder, today: date, day: date) -> EveningView:
    """The evening of ``day`` as kit and journal have it, looked at on ``today``."""
    book = keep_book(folder.kit, folder.live, folder.facts)
    seen = evening_in(folder.kit, book, day)
    if not book.out:
        return EveningView(folder.kit, today, seen, (), ())
    sheets = missing_sheets(folder, book)
    return EveningView(folder.kit, today, seen, sheets, held_bikes(work_in(folder.live), book))


def evening_looked_at(today: date, now: datetime) -> date:
    """Which evening it is: by the clock, unless another day than the clock's is looked at."""
    return evening_of(now) if now.date() == today else today


# ---- the count in lines


def thing_lines(view: EveningView, place: CountPlace) -> tuple[ThingLine, ...]:
    """What should lie in a place, each set followed by its parts."""
    return tuple(line for thing in place.things for line in _lines_of(view, thing))


def _lines_of(view: EveningView, thing: Expected) -> Iterable[ThingLine]:
    whole = [piece for piece in thing.out if not piece.part]
    yield ThingLine(thing.copy, "", thing.name, int(thing.there), _stands(whole))
    for part in dict.fromkeys(part.name for part in thing.parts):
        out = [piece for piece in thing.out if piece.part == part]
        owned = view.seen.book.owned[thing.copy, part]
        should = max(0, owned - len(out)) if thing.there else 0
        yield ThingLine(thing.copy, part, part, should, _stands(out))


def _stands(out: Iterable[Piece]) -> str:
    """What is out of one line, and why: "2 lent to the neighbours until 2026-11-30"."""
    words = []
    for some in alike(out):
        number = f"{some.number} " if some.part else ""
        words.append(number + (outcome_words(some.outcome) if some.outcome else SHORT))
    return "; ".join(words)


def place_words(place: CountPlace) -> str:
    """How much should be there: "5 tools, 17 pieces"."""
    tools = count(sum(thing.there for thing in place.things), "tool")
    parts = any(thing.parts for thing in place.things)
    return f"{tools}, {place.pieces} pieces" if parts else tools


def inside_words(place: CountPlace) -> str:
    """A place with how much should be there, and who counted it when."""
    words = f"{place.name}: {place_words(place)}"
    fact = place.counted
    return f"{words}; counted {fact.at:%H:%M}, {fact.author}" if fact is not None else words


def thing_meant(view: EveningView, letters: str) -> Match:
    """Which things of the count letters mean; ids are the keys of their lines."""
    lines = [(line, place) for place in view.seen.places for line in thing_lines(view, place)]
    names = {line.copy: line.name for line, _ in lines if not line.part}
    return match(
        letters,
        (
            Named(line.key, f"{names[line.copy]}, {line.part}" if line.part else line.name)
            for line, _ in lines
        ),
    )


def number_short(text: str, line: ThingLine) -> int:
    """How many of a line are short, as typed; DeskError for what cannot be."""
    if not text.isdecimal() or int(text) > line.should:
        raise DeskError(f"{line.should} of it should be there: write a number up to that")
    return int(text)


def place_of(view: EveningView, key: str) -> CountPlace | None:
    """The place in which the line of this key stands."""
    copy = key.partition("\n")[0]
    return next(
        (place for place in view.seen.places if any(t.copy == copy for t in place.things)), None
    )


# ---- how far one is


def count_words(view: EveningView) -> str:
    """How far the count is: "Count 5 of 18"."""
    return f"Count {view.counted} of {len(view.seen.places)}"


def closed_words(view: EveningView) -> str:
    """What is short, how many bikes are held, and how the day is closed."""
    short = sum(missing.number for missing in view.seen.short)
    parts = [f"{short} short" if short else "", closing_words(view.seen.closing)]
    if view.at_stop:
        parts.insert(1, f"{count(len(view.at_stop), 'bike')} held")
    return "; ".join(part for part in parts if part)


def to_do_words(view: EveningView) -> str:
    """What the count asks for next, "" once the day is closed."""
    if view.seen.left:
        return ""
    if view.seen.complete:
        return "The day is closed as complete."
    if view.seen.short:
        return "All is counted; what became of what is short?"
    if view.seen.hindrances:
        return "All is counted, but something is lost or left."
    return "Everything is accounted for."


# ---- what is missing


def day_typed(view: EveningView, text: str) -> date:
    """A day as typed; DeskError for what is none."""
    said = read(text, Form.DAY, view.kit)
    if said.wrong:
        raise DeskError(said.wrong[0])
    assert isinstance(said.value, date), "a line is handed in only when something stands in it"
    return said.value


def short_name(view: EveningView, short: Short) -> str:
    """What is short, by its name."""
    return short_words(names_of(view.kit), short)


def sheet_lines(view: EveningView, sheet: Sheet) -> tuple[str, ...]:
    """Everything that helps to find a missing thing, a line each."""
    lines = [f"{head}: {words}" for head, words in look_lines(sheet)]
    lines.append(f"last used: {use_words(view.kit, sheet.last)}")
    lines += [f"could be in: {could_words(view.kit, could)}" for could in sheet.bikes]
    lines += [f"could be in: {words}" for words in [unnamed_words(sheet)] if words]
    lines += [f"another one: {other}" for other in sheet.others]
    lines += [f"on record: {words}" for words in sheet.record]
    return tuple(lines)


def sheet_words(view: EveningView, missing: Missing) -> str:
    """What is missing and what became of it, as a sentence."""
    return missing_words(view.kit, missing)


def held_words(view: EveningView, held: Held) -> str:
    """What could be in or on a bike."""
    names = names_of(view.kit)
    return ", ".join(dict.fromkeys(short_words(names, missing.short) for missing in held.missing))
