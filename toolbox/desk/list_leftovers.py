"""What was left of a list on earlier days: lines carried over, and lines nobody ticked."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from toolbox.kit.facts import Fact, LineSaid, LineState


class Left(NamedTuple):
    """A line that was spoken of on an earlier day and is not done.

    ``since`` is what that list was about; ``carried`` says that somebody carried it over,
    so that it is shown even where its line is not there any more.
    """

    since: str
    words: str
    note: str
    carried: bool


def leftovers(facts: Iterable[Fact], name: str, about: str) -> dict[str, Left]:
    """What earlier lists of that name left, by the key of the line.

    A line that was done later, on any day before this list, is left no more. ``facts`` are
    those that count, in the order of writing.
    """
    now = order_of(about)
    said = [
        fact.what
        for fact in facts
        if isinstance(fact.what, LineSaid)
        and fact.what.checklist == name
        and order_of(fact.what.about) < now
    ]
    left: dict[str, Left] = {}
    # by the day a list was about: what was ticked a day late still belongs to its day
    for one in sorted(said, key=lambda one: order_of(one.about)):
        if one.state is LineState.DONE:
            left.pop(one.line, None)
            continue
        before = left.get(one.line)
        since = one.about if before is None else before.since
        words = one.note if one.note is not None else before.note if before else ""
        carried = one.state is LineState.CARRIED or (
            one.state is None and before is not None and before.carried
        )
        left[one.line] = Left(since, one.words, words, carried)
    return left


class Begun(NamedTuple):
    """An earlier list in which something was said: what it was about, its lines by state."""

    about: str
    done: frozenset[str]
    said: frozenset[str]

    def left_out(self, key: str) -> bool:
        """True for a line that was not ticked there, its bike having been among that list's."""
        bike = key.partition("@")[2]
        there = not bike or any(one.partition("@")[2] == bike for one in self.said)
        return there and key not in self.done


def last_begun(facts: Iterable[Fact], name: str, about: str) -> Begun | None:
    """The last list of that name before this one in which a line was spoken of."""
    now = order_of(about)
    found: dict[str, dict[str, LineState | None]] = {}
    for fact in facts:
        what = fact.what
        if isinstance(what, LineSaid) and what.checklist == name and order_of(what.about) < now:
            states = found.setdefault(what.about, {})
            states[what.line] = what.state if what.state is not None else states.get(what.line)
    if not found:
        return None
    last = max(found, key=order_of)
    done = (key for key, state in found[last].items() if state is LineState.DONE)
    return Begun(last, frozenset(done), frozenset(found[last]))


def order_of(about: str) -> tuple[str, int]:
    """The order of what lists are about: by the day, then by which time that day."""
    found = re.fullmatch(r"(.*), run (\d+)", about)
    return (found[1], int(found[2])) if found else (about, 1)
