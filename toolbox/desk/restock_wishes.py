"""The wish list: what somebody missed, in their own words, until it is there.

Wishes are lines of a checklist that people write themselves: facts with author and time,
taken back like any other.
"""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256

from toolbox.desk.checklist import Checklist, Line, standing
from toolbox.desk.errors import DeskError
from toolbox.kit.facts import Fact, LineSaid, LineState

NAME, ABOUT = "wish", "list"


def wishes(facts: Iterable[Fact]) -> Checklist:
    """Every wish in the order in which it was first told; done are those that are fulfilled.

    ``facts`` are those that count.
    """
    live = tuple(facts)
    lines: dict[str, Line] = {}
    for fact in live:
        said = fact.what
        if isinstance(said, LineSaid) and (said.checklist, said.about) == (NAME, ABOUT):
            why = f"wished for by {fact.author} on {fact.at.date()}"
            lines.setdefault(said.line, Line(said.line, said.words, why))
    return standing(Checklist(NAME, ABOUT, tuple(lines.values())), live)


def wished(listed: Checklist, words: str) -> LineSaid:
    """That somebody wishes for this. DeskError when it says nothing or is wished for already."""
    bare = " ".join(words.split())
    if not bare:
        raise DeskError("say what is wished for; nothing was written")
    key = sha256(bare.casefold().encode()).hexdigest()[:8]
    if any(line.key == key and not line.done for line in listed.lines):
        raise DeskError(f'"{bare}" is wished for already; nothing was written')
    return LineSaid(NAME, ABOUT, key, bare, LineState.OPEN)
