"""The book of what is not in the box: every piece that was short, and what was said of it.

It is kept from the facts in the order of writing. A piece stays out until somebody says that
it was found: a later count that has its compartment "all there" changes nothing, and neither
does closing the day. What was said before is never lost: it stays with the piece.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass, field, replace
from datetime import date

from toolbox.kit.counting import BikeReleased, Counted, DayClosed, Outcome, Settled, Short
from toolbox.kit.facts import Fact, Undone
from toolbox.kit.kit import Kit

MOST = 999
"""No more pieces of one part are kept out at once, where the kit does not know the part."""

Key = tuple[str, str]
"""A copy and a part of it; the part is "" for the copy itself."""

IN_THE_WAY = (Outcome.LOST, Outcome.LEFT)
"""Outcomes that explain a piece and still keep the day from being complete."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A copy, or one piece of a part of a set, that is or was not in its place.

    ``begun`` is the fact that first spoke of it, ``said`` are the outcomes named since, oldest
    first, without the one that ended it; ``back`` is that one, None while it is out.
    """

    copy: str
    part: str
    begun: Fact
    said: tuple[Fact, ...] = ()
    back: Fact | None = None

    @property
    def outcome(self) -> Settled | None:
        """What was said of it last; None while nobody has said what became of it."""
        if not self.said:
            return None
        last = self.said[-1].what
        assert isinstance(last, Settled), "only outcomes are kept here"
        return last


@dataclass(frozen=True, slots=True)
class Missing:
    """Pieces of one sort that are out in the same way: of the same key, last said the same.

    ``since`` and ``newest`` are the first and the last fact that made one of them short,
    ``said`` is the last outcome with who said it and when.
    """

    copy: str
    part: str
    number: int
    since: Fact
    newest: Fact
    said: Fact | None

    @property
    def outcome(self) -> Settled | None:
        """What became of them, as far as somebody has said."""
        return self.said.what if self.said and isinstance(self.said.what, Settled) else None

    @property
    def short(self) -> Short:
        """The same as a count writes it."""
        return Short(self.copy, self.part, self.number)


@dataclass(frozen=True, slots=True)
class Closing:
    """How the count of a day was closed last; ``complete`` only where the facts agree.

    Where it was written as complete and they do not, ``against`` says so in words.
    """

    fact: Fact
    said: DayClosed
    against: str = ""

    @property
    def complete(self) -> bool:
        """True when it was closed as complete and nothing in the journal speaks against it."""
        return self.said.complete and not self.against


@dataclass(frozen=True)
class Book:
    """What is out and what came back, counts by day and place, closings, releases of bikes.

    ``owned`` is how many pieces there are of each copy and part that travels.
    """

    owned: Mapping[Key, int]
    out: tuple[Piece, ...] = ()
    back: tuple[Piece, ...] = ()
    counts: Mapping[tuple[date, str], Fact] = field(default_factory=dict)
    closings: Mapping[date, Closing] = field(default_factory=dict)
    releases: tuple[Fact, ...] = ()

    def of(self, copy: str, part: str | None = None) -> tuple[Piece, ...]:
        """What is out of a copy, or only of one part of it ("": the copy itself)."""
        return tuple(p for p in self.out if p.copy == copy and part in (None, p.part))

    @property
    def unexplained(self) -> tuple[Piece, ...]:
        """Pieces of which nobody has said what became of them."""
        return tuple(piece for piece in self.out if piece.outcome is None)

    @property
    def in_the_way(self) -> tuple[Piece, ...]:
        """What is out and keeps a day from being complete."""
        return tuple(piece for piece in self.out if _in_the_way(piece, self.owned))


def owned_pieces(kit: Kit) -> dict[Key, int]:
    """How many pieces belong in the box: each copy of each tool that travels, and its parts."""
    owned: dict[Key, int] = {}
    for tool in kit.tools:
        for copy in tool.copies() if tool.carried else ():
            owned[copy, ""] = 1
            for part in tool.parts:
                owned[copy, part.name] = owned.get((copy, part.name), 0) + part.count
    return owned


def most_out(owned: Mapping[Key, int], key: Key) -> int:
    """How many pieces of a key can be out at most."""
    return 1 if not key[1] else owned.get(key, MOST)


def keep_book(kit: Kit, live: Iterable[Fact], facts: Iterable[Fact] = ()) -> Book:
    """The book as these facts make it.

    ``live`` are those that count, in the order of writing; ``facts`` are all, undone ones among
    them, where it matters that a count was taken back after its day had been closed.
    """
    pages = _Pages(owned_pieces(kit))
    live = tuple(live)
    for fact in live:
        pages.write(fact)
    spots = kit.present.spots if kit.present is not None else ()
    pages.take_back(live, facts, {spot.compartment for spot in spots})
    out = [piece for pieces in pages.out.values() for piece in pieces]
    return Book(
        pages.owned,
        tuple(sorted(out, key=lambda piece: piece.begun.clock)),
        tuple(pages.back),
        pages.counts,
        pages.closings,
        tuple(pages.releases),
    )


def alike(pieces: Iterable[Piece]) -> tuple[Missing, ...]:
    """Pieces put together that are of one key and of which the same was said last."""
    groups: dict[tuple[str, str, str], list[Piece]] = {}
    for piece in pieces:
        last = piece.said[-1].id if piece.said else ""
        groups.setdefault((piece.copy, piece.part, last), []).append(piece)
    return tuple(
        _together(copy, part, sorted(group, key=lambda piece: piece.begun.clock))
        for (copy, part, _), group in groups.items()
    )


def _together(copy: str, part: str, group: list[Piece]) -> Missing:
    said = group[0].said[-1] if group[0].said else None
    return Missing(copy, part, len(group), group[0].begun, group[-1].begun, said)


def _in_the_way(piece: Piece, owned: Mapping[Key, int]) -> bool:
    """Nobody knows what became of it; or it is lost or left and still belongs in the box."""
    said = piece.outcome
    if said is None:
        return True
    return said.outcome in IN_THE_WAY and (piece.copy, piece.part) in owned


class _Pages:
    """The book while it is written."""

    def __init__(self, owned: Mapping[Key, int]) -> None:
        self.owned = owned
        self.out: dict[Key, list[Piece]] = {}
        self.back: list[Piece] = []
        self.counts: dict[tuple[date, str], Fact] = {}
        self.closings: dict[date, Closing] = {}
        self.releases: list[Fact] = []

    def write(self, fact: Fact) -> None:
        match fact.what:
            case Counted():
                self._counted(fact, fact.what)
            case Settled():
                self._settled(fact, fact.what)
            case DayClosed():
                self._closed(fact, fact.what)
            case BikeReleased():
                self.releases.append(fact)

    def take_back(self, live: Iterable[Fact], facts: Iterable[Fact], used: Set[str]) -> None:
        """A count that was taken back after its day was closed leaves a hole in the count.

        Or before it, by somebody else of whom the one who closed the day did not know: then
        one of the ``used`` compartments was not counted at all.
        """
        undone = {f.what.entry: f.clock for f in live if isinstance(f.what, Undone)}
        for fact in facts:
            if isinstance(fact.what, Counted) and fact.entry in undone:
                day, place = fact.what.day, fact.what.place
                words = "a count of it was taken back"
                self._speak_against((day,), undone[fact.entry], f"{words} afterwards")
                if place in used and (day, place) not in self.counts:
                    self._speak_against((day,), None, words)

    def _counted(self, fact: Fact, what: Counted) -> None:
        self.counts[what.day, what.place] = fact
        for short in what.short:
            key = (short.copy, short.part)
            pieces = self.out.setdefault(key, [])
            while len(pieces) < min(short.missing, most_out(self.owned, key)):
                pieces.append(Piece(*key, fact))
            if any(_in_the_way(piece, self.owned) for piece in pieces):
                later = [day for day in self.closings if day >= what.day]
                self._speak_against(later, fact.clock, "something was found short afterwards")

    def _settled(self, fact: Fact, what: Settled) -> None:
        key = (what.copy, what.part)
        pieces = self.out.setdefault(key, [])
        for number in self._meant(pieces, key, fact, what):
            piece = pieces[number]
            pieces[number] = (
                replace(piece, back=fact)
                if what.outcome is Outcome.FOUND
                else replace(piece, said=(*piece.said, fact))
            )
        self.back += [piece for piece in pieces if piece.back is not None]
        self.out[key] = [piece for piece in pieces if piece.back is None]

    def _meant(self, pieces: list[Piece], key: Key, fact: Fact, what: Settled) -> Iterator[int]:
        """The pieces that an outcome is about: first those of which nothing was said.

        Found are next those of which something was said last. Anything else is first said of
        pieces that were still in the box, then of those spoken of longest ago.
        """
        spoken = [n for n, piece in enumerate(pieces) if piece.said]
        spoken.sort(key=lambda n: pieces[n].said[-1].clock)
        meant = [n for n, piece in enumerate(pieces) if not piece.said]
        if what.outcome is Outcome.FOUND:
            meant += reversed(spoken)
        else:
            room = most_out(self.owned, key) - len(pieces)
            for _ in range(min(room, what.number - len(meant))):
                meant.append(len(pieces))
                pieces.append(Piece(*key, fact))
            meant += spoken
        yield from meant[: what.number]

    def _closed(self, fact: Fact, what: DayClosed) -> None:
        every = (piece for pieces in self.out.values() for piece in pieces)
        short = what.complete and any(_in_the_way(piece, self.owned) for piece in every)
        against = "something was short, lost or left somewhere" if short else ""
        self.closings[what.day] = Closing(fact, what, against)

    def _speak_against(self, days: Iterable[date], clock: int | None, words: str) -> None:
        """What was written at that clock speaks against days closed as complete before it.

        Of the same clock is what was written elsewhere, not knowing of the closing; None is
        for what speaks against it whenever it was written.
        """
        for day in days:
            closing = self.closings.get(day)
            if closing is None or not closing.complete:
                continue
            if clock is None or closing.fact.clock <= clock:
                self.closings[day] = replace(closing, against=words)
