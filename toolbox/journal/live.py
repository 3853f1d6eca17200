"""Which facts count: those whose entry has not been taken back."""

from __future__ import annotations

from collections.abc import Iterable

from toolbox.kit.facts import Fact, Undone


def live_entries(facts: Iterable[Fact]) -> frozenset[str]:
    """Ids of the entries that stand: no standing later entry takes them back.

    The order in which the facts come does not matter. An undo counts only for
    entries written before it.
    """
    clocks: dict[str, int] = {}
    taken_back: dict[str, list[str]] = {}
    for fact in facts:
        clocks[fact.entry] = fact.clock
        if isinstance(fact.what, Undone):
            taken_back.setdefault(fact.entry, []).append(fact.what.entry)
    # Newest first: whether an undo stands is settled before what it takes back.
    fallen: set[str] = set()
    for entry in sorted(clocks, key=lambda entry: clocks[entry], reverse=True):
        if entry not in fallen:
            targets = taken_back.get(entry, ())
            fallen.update(t for t in targets if clocks.get(t, clocks[entry]) < clocks[entry])
    return frozenset(clocks.keys() - fallen)


def live_facts(facts: Iterable[Fact]) -> tuple[Fact, ...]:
    """The facts whose entry stands, in the order given; an undone undo brings back.

    Undos that stand are among them, though they say nothing about the work.
    """
    kept = tuple(facts)
    standing = live_entries(kept)
    return tuple(fact for fact in kept if fact.entry in standing)
