"""Which entry of the kit a line means: by its id, by its name, else asked."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import Generic, TypeVar

from toolbox.files.problems import listed, quoted
from toolbox.intake.names import Named, Register, fold, id_from, tidy
from toolbox.intake.reading import Findings, Line
from toolbox.intake.twins import near_keys

NEW = "new"
_T = TypeVar("_T", bound=Named)


class Waits(Exception):
    """A line that waits for the mechanic to say which entry it means."""


class Matcher(Generic[_T]):
    """Finds the kit's entry for each line of a list."""

    def __init__(self, known: Sequence[_T], lines: Sequence[Line], findings: Findings) -> None:
        self._findings = findings
        self._known = Register(known)
        self._near: dict[str, list[_T]] = defaultdict(list)
        for thing in known:
            for key in near_keys(thing.name):
                self._near[key].append(thing)
        given = {line.text("id") for line in lines} - {""}
        # ids that the list itself gives further down must not be taken by a made one
        self._taken = {*self._known.ids, *given}
        self._given = given
        nameless = (line for line in lines if not line.text("id"))
        self._times = Counter(fold(line.text("name")) for line in nameless)
        self._seen: Counter[str] = Counter()

    def find(self, line: Line) -> _T | None:
        """The entry that a line means, None for a new one. Raises Waits after asking."""
        if given := line.text("id"):
            return self._known.by_id(given)
        name = line.text("name")
        same = [t for t in self._known.named(name) if t.id not in self._given]
        if same:
            return self._of_several(line, name, same)
        near = self._nearly(name)
        if not near:
            return None
        named = listed((f"{thing.id} ({quoted(thing.name)})" for thing in near), "or")
        asked = f"{quoted(name)} in line {line.number} is nearly the name of {named} in the kit"
        return self._ask(name, f"{asked}: the same, or new?", near, line.number)

    def _of_several(self, line: Line, name: str, same: list[_T]) -> _T | None:
        """As many lines as entries of a name belong to each other in order; else it is asked."""
        plain = fold(name)
        self._seen[plain] += 1
        told = self._findings.answers.to(self._question(name))
        if self._times[plain] == len(same) and not told:
            return same[self._seen[plain] - 1]
        # ids are numbered in the list's order, so that the same list means the same entries
        if self._times[plain] > len(same):
            at = self._seen[plain] - 1
            return same[at] if at < len(same) else None
        ids = listed((thing.id for thing in same), "and")
        asked = f"{quoted(name)} in line {line.number} is the name of {ids} in the kit"
        return self._ask(name, f"{asked}: which is it?", same, line.number)

    def _question(self, name: str) -> str:
        return f"kit {tidy(name)}"

    def _ask(self, name: str, asked: str, things: list[_T], line: int) -> _T | None:
        ids = {thing.id: thing for thing in things}
        told = self._findings.ask(self._question(name), asked, (*ids, NEW), line)
        if not told:
            raise Waits
        return None if told == NEW else ids[told]

    def _nearly(self, name: str) -> list[_T]:
        found: dict[str, _T] = {}
        for key in near_keys(name):
            found |= {t.id: t for t in self._near.get(key, ()) if t.id not in self._given}
        return list(found.values())[:6]

    def new_id(self, line: Line) -> str:
        """The id of a new entry: the one given, else one made from its name."""
        if given := line.text("id"):
            return given
        made = id_from(line.text("name"), self._taken)
        self._taken.add(made)
        return made
