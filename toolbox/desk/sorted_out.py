"""Facts sorted out by what they speak of: after one entry more only what is new is looked at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from toolbox.kit.facts import Fact

Item = TypeVar("Item")
Wanted = TypeVar("Wanted", bound=Hashable)


@dataclass(frozen=True)
class _Kept(Generic[Item, Wanted]):
    """What was sorted out last: of which facts, with which wish, what by which id."""

    facts: tuple[Fact, ...]
    wanted: Wanted
    items: Mapping[str, tuple[Item, ...]]

    def goes_on(self, facts: tuple[Fact, ...], wanted: Wanted) -> bool:
        """Whether these facts are those of then and newer ones behind them.

        Facts that were read anew are not compared one by one: they are sorted out anew.
        """
        number = len(self.facts)
        if wanted != self.wanted or not 0 < number <= len(facts):
            return False
        return self.facts[-1] is facts[number - 1] and facts[:number] == self.facts


@dataclass
class Sorter(Generic[Item, Wanted]):
    """Sorts facts out by ids, and remembers what it made of them the last time.

    ``of`` gives what some facts say, each with the id it speaks of, in their order; it gets
    ``wanted`` along with them. The memory is one value put in place whole, so that threads
    may ask at once; what nothing new was said of stays the same tuple.
    """

    of: Callable[[Iterable[Fact], Wanted], Iterable[tuple[str, Item]]]
    _kept: _Kept[Item, Wanted] | None = field(default=None, init=False)

    def sorted_out(self, facts: tuple[Fact, ...], wanted: Wanted) -> Mapping[str, tuple[Item, ...]]:
        """What all these facts say, by id; the same as if nothing were remembered."""
        kept = self._kept
        known = kept if kept is not None and kept.goes_on(facts, wanted) else None
        items = dict(known.items) if known is not None else {}
        more: defaultdict[str, list[Item]] = defaultdict(list)
        for of, item in self.of(facts[len(known.facts) :] if known is not None else facts, wanted):
            more[of].append(item)
        items.update((of, (*items.get(of, ()), *some)) for of, some in more.items())
        self._kept = _Kept(facts, wanted, items)
        return items
