"""Facts sorted out step by step are those sorted out at once (plain enumeration)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.desk.sorted_out import Sorter
from toolbox.desk.stock import holdings, opening_of
from toolbox.files.forms import demo_folder
from toolbox.files.reading import read_kit
from toolbox.kit.facts import Fact, LoosePick, SupplyUsed
from toolbox.kit.stocking import Bought, Where
from toolbox.stock.ledger import changes_of, keep

MORNING = datetime(2026, 11, 20, 8, tzinfo=UTC)
KIT = read_kit(demo_folder())
IDS = ("grease", "rag", "tape")


def fact(number: int, what: object) -> Fact:
    """A fact written as the so-many-th."""
    at = MORNING + timedelta(minutes=number)
    return Fact(f"f{number}", f"e{number}", number, at, "tester", what)  # type: ignore[arg-type]


def said(facts: Iterable[Fact], wanted: int) -> Iterator[tuple[str, int]]:
    """Amounts used of each supply, those of so much at least."""
    for one in facts:
        if isinstance(one.what, SupplyUsed) and one.what.amount >= wanted:
            yield one.what.supply, one.what.amount


@settings(max_examples=40)
@given(st.lists(st.tuples(st.sampled_from(IDS), st.integers(1, 9), st.booleans()), max_size=25))
def test_step_by_step_is_as_at_once(steps: list[tuple[str, int, bool]]) -> None:
    """After every fact more and every one taken back, by a list gone through from the start."""
    sorter = Sorter(said)
    live: tuple[Fact, ...] = ()
    for number, (supply, amount, back) in enumerate(steps):
        live = live[:-2] if back else (*live, fact(number, SupplyUsed(supply, amount)))
        for wanted in (1, 5):
            plain: dict[str, tuple[int, ...]] = {}
            for of, much in said(live, wanted):
                plain[of] = (*plain.get(of, ()), much)
            assert dict(sorter.sorted_out(live, wanted)) == plain


def test_what_nothing_new_was_said_of_stays_the_same_value() -> None:
    """It is the tuple of before itself; and only new facts are read."""
    read: list[int] = []

    def counting(facts: Iterable[Fact], _: None) -> Iterator[tuple[str, int]]:
        for one in facts:
            read.append(one.clock)
            yield from said((one,), 1)

    sorter = Sorter(counting)
    live = tuple(fact(n, SupplyUsed(IDS[n % 2], 1)) for n in range(6))
    before = sorter.sorted_out(live, None)
    more = (*live, fact(6, SupplyUsed(IDS[0], 2)), fact(7, LoosePick("spanner")))
    after = sorter.sorted_out(more, None)
    assert read == list(range(8))
    assert after[IDS[1]] is before[IDS[1]]
    assert after[IDS[0]] == (1, 1, 1, 2)


@settings(max_examples=20)
@given(st.data())
def test_holdings_looked_at_again_and_again_are_those_of_the_whole_ledger(
    data: st.DataObject,
) -> None:
    """Each look has the account that the ledger keeps of all facts at once, on any day."""
    supplies = [supply.id for supply in KIT.supplies][:4]
    outside = {supply.id for supply in KIT.supplies if not supply.carried}
    live: tuple[Fact, ...] = ()
    for number in range(data.draw(st.integers(2, 8))):
        supply = data.draw(st.sampled_from(supplies))
        what = data.draw(
            st.sampled_from(
                [SupplyUsed(supply, 3), Bought(supply, 50, Where.RESERVE), LoosePick("none")]
            )
        )
        back = data.draw(st.integers(0, 4)) == 0
        live = live[1:] if back else (*live, fact(1440 * (number % 3) + number, what))
        day = date(2026, 11, 20) + timedelta(days=data.draw(st.integers(0, 3)))
        at_once = keep(map(opening_of, KIT.supplies), changes_of(live, outside), day)
        found = holdings(KIT, live, day)
        assert {s: held.account for s, held in found.items()} == {s: at_once[s] for s in found}
        assert all(held.day == day for held in found.values())
