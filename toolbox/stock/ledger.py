"""The stock ledger: what is there of each supply, in the box and in the reserve.

Whole units of the supply's own measure (millilitres, grams, pieces). A ledger is made
anew from an opening stock and everything that happened since; nothing is kept between
two makings. What was taken back is left out before it comes here, so taking a job back
gives its supplies back.

The book goes below nothing when more was drawn than it held: something that came in was
not written down, or the opening stock was wrong. Each such line says how much was missing,
what is shown as there is nothing, and what comes in later is set off against it: so the
book never says more than there can be. A count sets it right from then on.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from enum import Enum

from toolbox.kit.facts import Fact, StepDone, SupplyUsed, What
from toolbox.kit.stocking import Bought, Refilled, StockCounted, Wasted, Where
from toolbox.stock.errors import refuse


class Kind(Enum):
    """What can happen to a stock; the value is the word shown.

    Things of one entry and one moment are booked in this order: what comes in before what
    goes out, and a count last, as it was taken when all the rest was done.
    """

    BOUGHT = "bought"  # came in from outside, to ``where``
    REFILLED = "refilled"  # carried over to ``where`` from the other place
    USED = "used"  # drawn by work, from ``where``
    WASTED = "wasted"  # thrown away, from ``where``
    COUNTED = "counted"  # so much is at ``where``, whatever the book says


_RANK = {kind: n for n, kind in enumerate(Kind)}
_KIND: Mapping[type, Kind] = {
    StockCounted: Kind.COUNTED,
    Bought: Kind.BOUGHT,
    Refilled: Kind.REFILLED,
    Wasted: Kind.WASTED,
}
_OTHER = {Where.BOX: Where.RESERVE, Where.RESERVE: Where.BOX}


@dataclass(frozen=True, slots=True)
class Opening:
    """What was there in the morning of ``day``, in whole units; None where nobody counted.

    What happened before that day is in these figures already. Without a day all that
    happened counts.
    """

    supply: str
    box: int | None
    reserve: int | None = None
    day: date | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that happened to the stock of a supply: ``amount`` whole units at ``where``.

    ``at`` is aware of its zone; ``clock`` is the order of writing, which settles what
    happened at one moment. ``job`` and ``fact`` say what it comes from ("" for none).
    """

    supply: str
    kind: Kind
    amount: int
    at: datetime
    clock: int
    where: Where = Where.BOX
    job: str = ""
    fact: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A change as it was booked, with the book after it; None for a place nobody counted.

    ``short`` is how much of the amount was not there to be taken (0 when all was there);
    ``off`` is what a count found more (less: below 0) than the book said, and None where
    it is no count or the book said nothing.
    """

    change: Change
    box: int | None
    reserve: int | None
    short: int = 0
    off: int | None = None


@dataclass(frozen=True, slots=True)
class Account:
    """The ledger of one supply: the opening, its lines in the order of time, the book now.

    ``earlier`` and ``later`` changes were left out: they lie before the opening's day,
    or after the day the ledger was made for.
    """

    opening: Opening
    lines: tuple[Line, ...]
    earlier: int = 0
    later: int = 0

    @property
    def supply(self) -> str:
        """The id of the supply."""
        return self.opening.supply

    def book(self, where: Where) -> int | None:
        """What the book says, below 0 when more was drawn than it held; None: nobody counted."""
        last = self.lines[-1] if self.lines else self.opening
        return last.box if where is Where.BOX else last.reserve

    @property
    def total(self) -> int | None:
        """What the book says of both places together; None while one of them is not known."""
        box, reserve = self.book(Where.BOX), self.book(Where.RESERVE)
        return None if box is None or reserve is None else box + reserve

    def there(self, where: Where) -> int | None:
        """What can be there: the book, but never below nothing."""
        book = self.book(where)
        return None if book is None else max(0, book)

    @property
    def there_in_all(self) -> int | None:
        """What can be there in both places together, never below nothing."""
        return None if self.total is None else max(0, self.total)

    @property
    def shortfalls(self) -> tuple[Line, ...]:
        """The lines that took more than was there, in the order of time."""
        return tuple(line for line in self.lines if line.short)

    @property
    def to_count(self) -> bool:
        """True when the book cannot be right or says nothing: somebody has to count."""
        books = (self.book(Where.BOX), self.book(Where.RESERVE))
        return any(book is None or book < 0 for book in books)

    def used(self, first: date, last: date) -> int:
        """What work drew from the first to the last day, both with."""
        return sum(
            line.change.amount
            for line in self.lines
            if line.change.kind is Kind.USED and first <= line.change.at.date() <= last
        )


def changes_of(facts: Iterable[Fact], outside: Collection[str] = ()) -> Iterator[Change]:
    """What facts did to stocks: drawn by job steps, used outside any job, bought, refilled,
    thrown away, counted. Facts of other kinds do nothing to them.

    ``facts`` are those that count, nothing taken back among them. Work draws from the box,
    but the supplies ``outside``, which do not travel in it, from the reserve.
    """
    for fact in facts:
        for supply, kind, amount, where, job in _moved(fact.what):
            if kind is Kind.USED and supply in outside:
                where = Where.RESERVE
            yield Change(supply, kind, amount, fact.at, fact.clock, where, job, fact.id)


def _moved(what: What) -> Iterator[tuple[str, Kind, int, Where, str]]:
    match what:
        case StepDone():
            for draw in what.draws:
                yield draw.supply, Kind.USED, draw.amount, Where.BOX, what.job
        case SupplyUsed():
            yield what.supply, Kind.USED, what.amount, Where.BOX, ""
        case StockCounted() | Bought() | Refilled() | Wasted():
            yield what.supply, _KIND[type(what)], what.amount, what.where, ""
        case _:
            pass


def keep(
    openings: Iterable[Opening], changes: Iterable[Change], until: date | None = None
) -> Mapping[str, Account]:
    """The ledger of each supply up to and with the day ``until`` (None: all that happened).

    Supplies stand in the order of their openings; one that has none but changes comes
    after them, by its id, with a stock that nobody knows. Changes may come in any order:
    they are booked by the moment they happened, then by the order of writing. The day of
    a change is the date where it happened, by its own zone. StockError on amounts below
    0, moments without a zone, and two openings of one supply.
    """
    opened, happened = tuple(openings), tuple(changes)
    refuse(_faults(opened, happened))
    sorted_out: dict[str, list[Change]] = {opening.supply: [] for opening in opened}
    for change in sorted(happened, key=_order):
        sorted_out.setdefault(change.supply, []).append(change)
    known = {opening.supply: opening for opening in opened}
    strange = sorted(sorted_out.keys() - known.keys())
    known.update((supply, Opening(supply, None)) for supply in strange)
    return {s: _account(opening, sorted_out[s], until) for s, opening in known.items()}


def _faults(openings: tuple[Opening, ...], changes: tuple[Change, ...]) -> Iterator[str]:
    seen: set[str] = set()
    for opening in openings:
        if opening.supply in seen:
            yield f"supply {opening.supply} has two opening stocks: keep one"
        seen.add(opening.supply)
        if min(opening.box or 0, opening.reserve or 0) < 0:
            yield f"the opening stock of {opening.supply} is below 0: count it"
    for change in changes:
        what = f"{change.amount} of {change.supply} {change.kind.value} at {change.at}"
        if change.amount < 0:
            yield f"{what}: an amount is never below 0"
        if change.at.utcoffset() is None:
            yield f"{what}: say in which time zone"


def _order(change: Change) -> tuple[object, ...]:
    # In UTC, since moments of one zone compare by the wall clock, which goes back in autumn.
    # Two counts of one moment: the lower is booked last, so that it holds.
    return (
        change.at.astimezone(UTC),
        change.clock,
        _RANK[change.kind],
        change.where.value,
        -change.amount,
        change.job,
        change.fact,
    )


def _account(opening: Opening, changes: list[Change], until: date | None) -> Account:
    book = _Book({Where.BOX: opening.box, Where.RESERVE: opening.reserve})
    earlier = later = 0
    for change in changes:
        day = change.at.date()
        if opening.day is not None and day < opening.day:
            earlier += 1
        elif until is not None and day > until:
            later += 1
        else:
            book.enter(change)
    return Account(opening, tuple(book.lines), earlier, later)


@dataclass(slots=True)
class _Book:
    """What is in the two places while the changes of one supply are gone through."""

    held: dict[Where, int | None]
    lines: list[Line] = field(default_factory=list)

    def enter(self, change: Change) -> None:
        """Book one change."""
        short, off = 0, None
        if change.kind is Kind.COUNTED:
            before = self.held[change.where]
            off = None if before is None else change.amount - before
            self.held[change.where] = change.amount
        elif change.kind is Kind.BOUGHT:
            self._put(change.where, change.amount)
        elif change.kind is Kind.REFILLED:
            short = self._take(_OTHER[change.where], change.amount)
            self._put(change.where, change.amount)
        else:
            short = self._take(change.where, change.amount)
        box, reserve = self.held[Where.BOX], self.held[Where.RESERVE]
        self.lines.append(Line(change, box, reserve, short, off))

    def _put(self, where: Where, amount: int) -> None:
        before = self.held[where]
        if before is not None:
            self.held[where] = before + amount

    def _take(self, where: Where, amount: int) -> int:
        """Take so much out; how much of it was not there (0 where nobody knows)."""
        before = self.held[where]
        if before is None:
            return 0
        self.held[where] = before - amount
        return max(0, amount - max(0, before))
