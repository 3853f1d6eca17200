"""What was lent, what was lost, and of which tool a second one would pay."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction

from toolbox.desk.count_book import Book, Piece
from toolbox.desk.evening_words import short_words
from toolbox.desk.folder import names_of
from toolbox.kit.counting import Outcome, Settled, Short
from toolbox.kit.facts import Fact
from toolbox.kit.kit import Kit
from toolbox.kit.things import base_id
from toolbox.usage.engine import Usage


@dataclass(frozen=True, slots=True)
class Said:
    """One outcome that was said of pieces of one sort, by whom and when, and how it ended.

    ``ended`` is the next thing said of them, None while this still holds.
    """

    copy: str
    part: str
    number: int
    what: Settled
    fact: Fact
    ended: Fact | None

    @property
    def at(self) -> datetime:
        """When it was said."""
        return self.fact.at

    def words(self, kit: Kit) -> str:
        """The thing by its name."""
        return short_words(names_of(kit), Short(self.copy, self.part, self.number))

    def ended_words(self) -> str:
        """How it ended: "back 2026-11-25", or what was said next; "" while it holds."""
        if self.ended is None:
            return ""
        assert isinstance(self.ended.what, Settled), "only an outcome ends another"
        outcome = self.ended.what.outcome
        word = "back" if outcome is Outcome.FOUND else outcome.value
        return f"{word} {self.ended.at.date()}"


@dataclass(frozen=True, slots=True)
class Double:
    """A tool that was lost: how often, how urgent its uses are, and both multiplied.

    ``urgency`` is what a second of its uses is worth on average, by the weight that the
    settings give to an urgent second: 1 when none of them is urgent.
    """

    tool: str
    name: str
    copies: int
    losses: int
    urgency: float

    @property
    def worth(self) -> float:
        """Losses times urgency: what the list is sorted by."""
        return self.losses * self.urgency


def loans(book: Book) -> tuple[Said, ...]:
    """The lend ledger: what is lent first, by the day it is to be back; then the rest, newest."""
    found = list(_said(book, Outcome.LENT))
    found.sort(key=lambda loan: loan.fact.clock, reverse=True)
    out = [loan for loan in found if loan.ended is None]
    out.sort(key=lambda loan: loan.what.until or date.max)
    return (*out, *(loan for loan in found if loan.ended is not None))


def overdue(loan: Said, today: date) -> bool:
    """True when it should have been back before that day."""
    until = loan.what.until
    return loan.ended is None and until is not None and until < today


def losses(book: Book) -> tuple[Said, ...]:
    """Everything that was ever said to be lost, newest first; found again or not."""
    found = _said(book, Outcome.LOST)
    return tuple(sorted(found, key=lambda loss: loss.fact.clock, reverse=True))


def to_double(kit: Kit, usage: Usage, book: Book) -> tuple[Double, ...]:
    """Tools of which a second one would pay: by losses times urgency, then by use."""
    lost: Counter[str] = Counter()
    for loss in losses(book):
        lost[base_id(loss.copy)] += loss.number
    uses = {use.item: use for use in usage.tools}
    weight = kit.settings.urgent_weight
    listed = []
    for tool in kit.tools:
        if lost[tool.id]:
            share = uses[tool.id].urgent_share if tool.id in uses else 0.0
            urgency = 1 + float(weight - Fraction(1)) * share
            listed.append(Double(tool.id, tool.name, tool.count, lost[tool.id], urgency))
    per_day = {item: use.per_day for item, use in uses.items()}
    listed.sort(key=lambda one: (-one.worth, -per_day.get(one.tool, 0.0)))
    return tuple(listed)


def _said(book: Book, outcome: Outcome) -> Iterator[Said]:
    """Every time this was said, with how many pieces it still or once held for.

    Pieces that went on differently are told apart.
    """
    groups: dict[tuple[str, str], list[tuple[Piece, Fact, Fact | None]]] = {}
    for piece in (*book.back, *book.out):
        for fact, after in zip(piece.said, (*piece.said, piece.back)[1:], strict=True):
            if isinstance(fact.what, Settled) and fact.what.outcome is outcome:
                key = (fact.id, after.id if after is not None else "")
                groups.setdefault(key, []).append((piece, fact, after))
    for group in groups.values():
        piece, fact, after = group[0]
        assert isinstance(fact.what, Settled), "only outcomes were gathered"
        yield Said(piece.copy, piece.part, len(group), fact.what, fact, after)
