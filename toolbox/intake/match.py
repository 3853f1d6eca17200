"""Which entry of the kit a line means: by its id, by its name, else asked."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from typing import Generic, Protocol, TypeVar

from toolbox.files.problems import listed, quoted
from toolbox.intake.names import fold, id_from, tidy
from toolbox.intake.reading import Findings, Line
from toolbox.intake.twins import near_keys

NEW = "new"


class _Named(Protocol):
    @property
    def id(self) -> str: ...

    @property
    def name(self) -> str: ...


_T = TypeVar("_T", bound=_Named)


class Waits(Exception):
    """A line that waits for the mechanic to say which entry it means."""


class Matcher(Generic[_T]):
    """Finds the kit's entry for each line of a list."""

    def __init__(self, known: Iterable[_T], lines: Sequence[Line], findings: Findings) -> None:
        self._findings = findings
        self._by_id = {thing.id: thing for thing in known}
        self._names: dict[str, list[_T]] = defaultdict(list)
        self._near: dict[str, list[str]] = defaultdict(list)
        for thing in self._by_id.values():
            self._names[fold(thing.name)].append(thing)
            for key in near_keys(thing.name):
                self._near[key].append(thing.id)
        given = {line.text("id") for line in lines} - {""}
        # ids that the list itself gives further down must not be taken by a made one
        self._taken = {*self._by_id, *given}
        self._given = given
        nameless = (line for line in lines if not line.text("id"))
        self._times = Counter(fold(line.text("name")) for line in nameless)
        self._seen: Counter[str] = Counter()

    def find(self, line: Line) -> _T | None:
        """The entry that a line means, None for a new one. Raises Waits after asking."""
        if given := line.text("id"):
            return self._by_id.get(given)
        name = line.text("name")
        same = [t for t in self._names.get(fold(name), ()) if t.id not in self._given]
        if same:
            return self._of_several(line, name, same)
        near = self._nearly(name)
        if not near:
            return None
        named = listed((f"{i} ({quoted(self._by_id[i].name)})" for i in near), "or")
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
        ids = [thing.id for thing in same]
        if self._times[plain] > len(same):
            at = self._seen[plain] - 1
            return same[at] if at < len(same) else None
        asked = (
            f"{quoted(name)} in line {line.number} is the name of {listed(ids, 'and')} in the kit"
        )
        return self._ask(name, f"{asked}: which is it?", ids, line.number)

    def _question(self, name: str) -> str:
        return f"kit {tidy(name)}"

    def _ask(self, name: str, asked: str, ids: list[str], line: int) -> _T | None:
        told = self._findings.ask(self._question(name), asked, (*ids, NEW), line)
        if not told:
            raise Waits
        return None if told == NEW else self._by_id[told]

    def _nearly(self, name: str) -> list[str]:
        found: dict[str, None] = {}
        for key in near_keys(name):
            found |= dict.fromkeys(i for i in self._near.get(key, ()) if i not in self._given)
        return list(found)[:6]

    def new_id(self, line: Line) -> str:
        """The id of a new entry: the one given, else one made from its name."""
        if given := line.text("id"):
            return given
        made = id_from(line.text("name"), self._taken)
        self._taken.add(made)
        return made
