"""The stocks of a kit: what is there of each supply, where, and how long it is good.

Stock is nothing that is stored: it follows at every look from the kit's files (what was there
on a day) and from the facts of the journal that count (drawn, bought, carried over, thrown
away, counted). So an undo of a job gives its supplies back. What was worked out at the look
before is taken over only for supplies of which nothing at all is new. A supply that does not travel
lies in the reserve, all of it, and work draws it from there; the reserve of one that
travels is what its file says, and nothing where it says nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import groupby

from toolbox.desk.figures import count
from toolbox.desk.sorted_out import Sorter
from toolbox.kit.facts import Fact
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import write
from toolbox.kit.stocking import Bought, Opened, Where
from toolbox.kit.things import KIND_OF, Shelf, Supply
from toolbox.stock.expected import days_of_cover
from toolbox.stock.ledger import Account, Change, Kind, Line, Opening, changes_of, keep
from toolbox.stock.shelf import Life, Sealed, last_opened, life

WEEK = 7
"""Days that "this week's rate" looks back on, today with them."""


@dataclass(frozen=True, slots=True)
class Holding:
    """A supply with its ledger and how long it is good, as of the evening of ``day``.

    ``opened`` is the life of the pack in use, None while none is open; ``sealed`` that of
    the packs not opened yet.
    """

    supply: Supply
    account: Account
    day: date
    opened: Life | None
    sealed: Life

    @property
    def home(self) -> Where:
        """Where work takes it from, and where a pack is opened."""
        return home_of(self.supply)

    def lives(self, where: Where) -> tuple[tuple[Life, int], ...]:
        """How long what lies there is good: the pack in use and those not opened yet, each
        with its whole units.

        One pack is open at a time. Where nobody knows how much there is, or more was drawn
        than there was, it stands for 0 units and its dates hold all the same.
        """
        book, there = self.account.book(where), self.account.there(where) or 0
        if where is not self.home or self.opened is None:
            return () if book == 0 else ((self.sealed, there),)
        pack = self.supply.pack or max(1, there)
        closed = (there - 1) // pack * pack if there else 0
        open_one = () if book == 0 else ((self.opened, there - closed),)
        return (*open_one, (self.sealed, closed)) if closed else open_one

    def life(self, where: Where) -> Life | None:
        """How long what lies there is good, by what of it ends first; None: nothing is there."""
        lives = [life for life, _ in self.lives(where)]
        return min(lives, key=lambda life: life.last_day or date.max, default=None)

    def bad(self, where: Where) -> int:
        """How much of what lies there is out of date, in whole units."""
        return sum(units for life, units in self.lives(where) if life.out_of_date(self.day))

    def usable(self, where: Where) -> int | None:
        """The book without what is out of date: below 0 or None where somebody has to count."""
        book = self.account.book(where)
        return None if book is None else book - self.bad(where)

    @property
    def left(self) -> int | None:
        """What the book says of both places, below 0 when more was drawn; None: not known."""
        return self.account.total

    @property
    def good(self) -> int | None:
        """What can be used of both places together; None when it is not known."""
        total = self.account.there_in_all
        return None if total is None else max(0, total - sum(self.bad(where) for where in Where))

    @property
    def week(self) -> int:
        """What work used of it in the last WEEK days."""
        first = date.fromordinal(max(1, self.day.toordinal() - WEEK + 1))
        return self.account.used(first, self.day)

    @property
    def cover(self) -> int | None:
        """For how many whole days it lasts at this week's rate; None when none was used."""
        days = None if self.good is None else days_of_cover(self.good, self.week, WEEK)
        return None if days is None else int(days)

    def amount(self, units: int) -> str:
        """So many whole units as people write them; below 0 as none."""
        return write(max(0, units), KIND_OF[self.supply.measure])

    def amount_and_packs(self, units: int) -> str:
        """The same with the number of packs behind it where they are whole ones."""
        pack = self.supply.pack
        words = self.amount(units)
        if pack is None or pack == 1 or units <= 0 or units % pack:
            return words
        return f"{words} ({count(units // pack, 'pack')})"


def home_of(supply: Supply) -> Where:
    """Where work takes a supply from: the box when it travels in it, else the reserve."""
    return Where.BOX if supply.carried else Where.RESERVE


def holdings(kit: Kit, facts: Iterable[Fact], today: date) -> dict[str, Holding]:
    """Every supply of the kit by its id, in the kit's order, as of the evening of that day.

    ``facts`` are those that count. Facts of later days are left out, and so are those from
    before the day for which a file gives the stock: they are in that figure already. Where
    a file gives no such day all use that was logged comes off its stock.
    """
    live = tuple(facts)
    outside = frozenset(supply.id for supply in kit.supplies if not supply.carried)
    changes, packs = _CHANGES.sorted_out(live, outside), _PACKS.sorted_out(live, None)
    return {s.id: _kept(s, changes.get(s.id, ()), packs.get(s.id, ()), today) for s in kit.supplies}


def opening_of(supply: Supply) -> Opening:
    """What the kit's file says was there of a supply, and since when that holds."""
    if supply.stock is None:
        return Opening(supply.id, None, 0) if supply.carried else Opening(supply.id, 0, None)
    reserve = (supply.reserve or 0) if supply.carried else supply.stock
    return Opening(supply.id, supply.stock - reserve, reserve, supply.stock_on)


# ---- what is kept between two looks, of nothing but what is the same


def _changed(facts: Iterable[Fact], outside: frozenset[str]) -> Iterator[tuple[str, Change]]:
    return ((change.supply, change) for change in changes_of(facts, outside))


def _packs(facts: Iterable[Fact], _: None) -> Iterator[tuple[str, Fact]]:
    return ((f.what.supply, f) for f in facts if isinstance(f.what, Bought | Opened))


_CHANGES = Sorter(_changed)
_PACKS = Sorter(_packs)
_HELD: dict[str, tuple[tuple[Change, ...], tuple[Fact, ...], Holding]] = {}


def _kept(
    supply: Supply, changes: tuple[Change, ...], packs: tuple[Fact, ...], today: date
) -> Holding:
    """The holding of a supply; that of before where nothing new was said of it."""
    known = _HELD.get(supply.id)
    if known is not None:
        before, same = known[2], known[0] is changes and known[1] is packs
        if same and before.supply is supply and before.day == today:
            return before
    account = keep((opening_of(supply),), changes, today)[supply.id]
    held = _held(supply, account, packs, today)
    _HELD[supply.id] = changes, packs, held
    return held


# ---- how long it is good


def _held(supply: Supply, account: Account, packs: Sequence[Fact], today: date) -> Holding:
    known = (fact for fact in packs if fact.at.date() <= today)
    facts = sorted(known, key=lambda fact: (fact.at, fact.clock))
    bought = [f for f in facts if isinstance(f.what, Bought) and _counts(account, f)]
    then, ahead = _as_of(supply, today), "; ".join(dates_ahead(supply, today))
    sealed = _sealed_life(then, account, bought)
    sealed = replace(sealed, unsaid=ahead) if ahead else sealed
    return Holding(supply, account, today, _opened_life(then, account, facts), sealed)


def dates_ahead(supply: Supply, today: date) -> tuple[str, ...]:
    """What a file says happened to a supply after that day, in words: a date to be checked."""
    shelf = supply.shelf
    told = (("opened", shelf.opened), ("made", shelf.made))
    return tuple(
        f"{what} in the future ({day}): check the date"
        for what, day in told
        if day is not None and day > today
    )


def _as_of(supply: Supply, today: date) -> Supply:
    """The supply without what its file says happened after that day: nothing counts from it."""
    shelf = supply.shelf
    opened = shelf.opened if shelf.opened is None or shelf.opened <= today else None
    made = shelf.made if shelf.made is None or shelf.made <= today else None
    if (opened, made) == (shelf.opened, shelf.made):
        return supply
    return replace(supply, shelf=replace(shelf, opened=opened, made=made))


def _counts(account: Account, fact: Fact) -> bool:
    first = account.opening.day
    return first is None or fact.at.date() >= first


def _sealed_life(supply: Supply, account: Account, bought: Sequence[Fact]) -> Life:
    """The life of the packs that are not opened yet, by the oldest that may still be there.

    The oldest are used first, so that what is there are the packs bought last. Of a pack
    of which nobody said what is printed on it, that of the file holds: it errs on the
    early side.
    """
    shelf, months = supply.shelf, supply.shelf.sealed_life_months
    rest = account.there_in_all
    printed, made = [], []
    for fact in reversed(bought):
        if rest is not None and rest <= 0:
            break
        assert isinstance(fact.what, Bought), "only what was bought is handed in"
        printed.append(fact.what.best_before or shelf.best_before)
        made.append(fact.at.date())
        rest = None if rest is None else rest - fact.what.amount
    if rest is None or rest > 0 or not bought:
        printed.append(shelf.best_before)
        made += [shelf.made] if shelf.made is not None else []
    first = min((day for day in printed if day is not None), default=None)
    since = Sealed(min(made), months) if made and months is not None else None
    return life(Shelf(best_before=first, lot=shelf.lot), since)


def _opened_life(supply: Supply, account: Account, facts: Sequence[Fact]) -> Life | None:
    """The life of the pack in use; None when none is open, as far as anybody said."""
    opened = [f for f in facts if isinstance(f.what, Opened)]
    shelf = last_opened(supply.shelf, [_with_print(f, facts) for f in opened])
    if shelf.opened is None:
        return None
    last = next((f for f in reversed(opened) if _day_of(f) == shelf.opened), None)
    if _used_up(supply, account, shelf.opened, last):
        return None
    made, months = shelf.made, shelf.sealed_life_months
    if last is not None or made is None or months is None:
        return life(shelf)
    return life(shelf, Sealed(made, months))


def _day_of(fact: Fact) -> date:
    assert isinstance(fact.what, Opened), "only openings have such a day"
    return fact.what.day


def _with_print(fact: Fact, facts: Sequence[Fact]) -> Opened:
    """An opening with what is printed on the pack, as told when one of its lot was bought."""
    said = fact.what
    assert isinstance(said, Opened), "only openings are handed in"
    if said.best_before is not None or not said.lot:
        return said
    same = (f.what for f in facts if isinstance(f.what, Bought) and f.what.lot == said.lot)
    return replace(said, best_before=next((b.best_before for b in same if b.best_before), None))


def _used_up(supply: Supply, account: Account, day: date, fact: Fact | None) -> bool:
    """True when that pack is finished by the book: since then nothing was left, or whole packs.

    A file that gives its day and a stock of nothing says so itself.
    """
    at_first = account.opening.box if supply.carried else account.opening.reserve
    if fact is None and at_first == 0:
        return True

    def after(line: Line) -> bool:
        if fact is not None and fact.at.date() == day:
            return _moment(line.change.at, line.change.clock) > _moment(fact.at, fact.clock)
        return line.change.at.date() > day

    entries = groupby(
        (line for line in account.lines if after(line)),
        key=lambda line: (line.change.at, line.change.clock),
    )
    return any(_finished(supply, list(lines)) for _, lines in entries)


def _finished(supply: Supply, lines: Sequence[Line]) -> bool:
    """True when one entry left only whole packs at home, or nothing, but for what came in.

    Who throws the old bottle away and puts a new one in its place may say so at once.
    """
    home, came, taken = home_of(supply), 0, 0
    for change in (line.change for line in lines):
        here = change.where is home
        if change.kind is Kind.COUNTED and here:
            return change.amount == 0
        if change.kind in (Kind.BOUGHT, Kind.REFILLED) and here:
            came += change.amount
        elif here or change.kind is Kind.REFILLED:
            taken += change.amount
    book = lines[-1].box if home is Where.BOX else lines[-1].reserve
    if book is None or not taken or book < came:
        return False
    return book == came or (supply.pack is not None and (book - came) % supply.pack == 0)


def _moment(at: datetime, clock: int) -> tuple[float, int]:
    return at.timestamp(), clock
