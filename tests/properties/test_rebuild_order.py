"""The order of work of a rebuild, replayed on random boxes."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.layout.order import Handling, rebuild_order

layouts = st.integers(1, 25).flatmap(
    lambda n: st.tuples(
        st.lists(st.integers(-1, 5), min_size=n, max_size=n).map(tuple),
        st.lists(st.integers(0, 5), min_size=n, max_size=n).map(tuple),
    )
)


@given(layouts)
@settings(deadline=None, max_examples=300)
def test_replaying_the_order_turns_one_layout_into_the_other(
    both: tuple[tuple[int, ...], tuple[int, ...]],
) -> None:
    """No compartment is filled while something that leaves it is still inside."""
    before, after = both
    now = list(before)
    for batch in rebuild_order(before, after):
        for item in batch.items:
            assert before[item] != after[item]
        if batch.handling is Handling.BENCH:
            for item in batch.items:
                assert now[item] == batch.place
                now[item] = -1
        else:
            waiting = [i for i, place in enumerate(now) if place == batch.place != after[i]]
            assert waiting == []
            for item in batch.items:
                assert after[item] == batch.place
                now[item] = batch.place
    assert tuple(now) == after


def test_a_swap_needs_the_bench_once() -> None:
    """Two compartments that swap their only things: one of the two goes to the bench."""
    batches = rebuild_order((0, 1), (1, 0))
    assert [b.handling for b in batches] == [Handling.BENCH, Handling.FILL, Handling.FILL]


def test_a_chain_needs_no_bench() -> None:
    """Into an empty compartment, then into the one that got free."""
    batches = rebuild_order((0, 1), (1, 2))
    assert [(b.handling, b.place) for b in batches] == [(Handling.FILL, 2), (Handling.FILL, 1)]
