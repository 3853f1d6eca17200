"""What changed in the ranking of the tools between two moments, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from toolbox.desk.folder import names_of
from toolbox.usage.engine import ToolUse, Usage

if TYPE_CHECKING:  # a picture takes readiness and flights along, which no command waits for
    from toolbox.desk.picture import Picture

NOTHING = "nothing moved in the ranking"


@dataclass(frozen=True, slots=True)
class Mover:
    """An item that changed its rank (1: used most) or its class A, B or C."""

    item: str
    before: int
    after: int
    class_before: str
    class_after: str


def movers(before: Usage, after: Usage) -> tuple[Mover, ...]:
    """What moved by a change of its own use, the furthest first.

    Left out are items that others only pushed up or down by passing them: those whose own
    rate did not change in the direction in which they moved. Items that only one of the
    two rankings has are left out too.
    """
    ranks = {use.item: (rank, use) for rank, use in enumerate(before.tools, 1)}
    found = []
    for rank, use in enumerate(after.tools, 1):
        if use.item in ranks:
            old_rank, old = ranks[use.item]
            if _moved_itself(old_rank, old, rank, use):
                found.append(Mover(use.item, old_rank, rank, old.grade, use.grade))
    return tuple(sorted(found, key=lambda one: (-abs(one.after - one.before), one.after)))


def _moved_itself(old_rank: int, old: ToolUse, rank: int, use: ToolUse) -> bool:
    if rank == old_rank and use.grade == old.grade:
        return False
    return use.per_day > old.per_day if rank <= old_rank else use.per_day < old.per_day


def shift_words(moved: Iterable[Mover], names: Mapping[str, str], most: int = 2) -> str:
    """The moves in one sentence, at most so many by name; ``NOTHING`` when there are none."""
    told = [_words(one, names, first=not n) for n, one in enumerate(moved)]
    if not told:
        return NOTHING
    more = f"; {len(told) - most} more moved" if len(told) > most else ""
    return "; ".join(told[:most]) + more


def _words(one: Mover, names: Mapping[str, str], *, first: bool) -> str:
    name = names.get(one.item, one.item)
    kept = one.class_before == one.class_after
    grade = "" if kept else f", class {one.class_before} -> {one.class_after}"
    if one.before == one.after:
        return f"{name}: still {ordinal(one.after)}{grade}"
    used = " most used" if first else ""
    return f"{name}: {ordinal(one.before)} -> {ordinal(one.after)}{used}{grade}"


def ordinal(number: int) -> str:
    """A rank as people say it: 1st, 2nd, 3rd, 4th, 11th, 21st."""
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    return str(number) + {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")


def told_since(before: Picture | None, after: Picture) -> str:
    """What entries written between two pictures of a kit changed in its ranking, in words.

    "" when there were none, or when the ranking changed for other reasons too: another
    kit, another day.
    """
    if before is None or before.folder is None or before.study is None:
        return ""
    if after.folder is None or after.study is None or before.today != after.today:
        return ""
    if before.folder.kit is not after.folder.kit or before.folder.facts is after.folder.facts:
        return ""
    new = {fact.entry for fact in after.folder.facts[len(before.folder.facts) :]}
    moved = movers(before.study.usage, after.study.usage)
    many = f"last {len(new)} entries" if len(new) > 1 else "last entry"
    return f"{many}: {shift_words(moved, names_of(after.folder.kit))}"
