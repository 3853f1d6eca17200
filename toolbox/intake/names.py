"""Names in lists: when two are the same, an id out of a name, finding what a name means."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container, Iterable
from functools import lru_cache
from typing import Generic, Protocol, TypeVar

from toolbox.files.problems import listed, nearest, quoted

_LONGEST_ID = 32


class Named(Protocol):
    """A thing with an id and a name."""

    @property
    def id(self) -> str:
        """Its id."""
        ...

    @property
    def name(self) -> str:
        """What people call it."""
        ...


_T = TypeVar("_T", bound=Named)


class NotFound(Exception):
    """A name that leads to nothing, or to more than one thing, and the cure."""

    def __init__(self, reason: str, cure: str) -> None:
        super().__init__(reason, cure)
        self.reason = reason
        self.cure = cure


@lru_cache(maxsize=4096)  # the same headers and words come in every row
def tidy(text: str) -> str:
    """The text composed (NFC, never NFKC: that makes 11⁄2 of 1½) with its blanks squeezed."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def fold(name: str) -> str:
    """Two names are the same when this is: capitals and blanks do not count, 5mm is 5 mm."""
    plain = tidy(name).casefold()
    return re.sub(r"(?<=\d)(?=(?:mm|cm|m|g|kg|ml|l|nm|v|in)\b)", " ", plain)


def id_from(name: str, taken: Container[str]) -> str:
    """A short id made from the name, "hex-key-5-mm"; a number is added where it is taken."""
    spelled = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()
    stem = re.sub(r"[^a-z0-9.]+", "-", spelled).strip("-.")[:_LONGEST_ID].rstrip("-.") or "entry"
    # numbers follow the list's order, so the same list makes the same ids again
    number = 1
    made = stem
    while made in taken:
        number += 1
        made = f"{stem}-{number}"
    return made


class Register(Generic[_T]):
    """Things of the kit, found by id or by whole name."""

    def __init__(self, things: Iterable[_T]) -> None:
        self._things = tuple(things)
        self._ids = {thing.id: thing for thing in self._things}
        self._names: dict[str, list[_T]] = {}
        for thing in self._things:
            self._names.setdefault(fold(thing.name), []).append(thing)

    @property
    def ids(self) -> frozenset[str]:
        """Every id in use."""
        return frozenset(self._ids)

    def by_id(self, entry: str) -> _T | None:
        """The thing of that id, None when there is none."""
        return self._ids.get(entry)

    def named(self, name: str) -> tuple[_T, ...]:
        """Every thing of that name."""
        return tuple(self._names.get(fold(name), ()))

    def find(self, words: str) -> _T:
        """The one thing meant by an id or a name; NotFound otherwise, with a near name."""
        found = self.named(words)
        # an id that is also another thing's name leads to neither
        if words in self._ids and set(found) <= {self._ids[words]}:
            return self._ids[words]
        if len(found) == 1 and words not in self._ids:
            return found[0]
        if found:
            ids = listed((thing.id for thing in found), "or")
            raise NotFound(f"{quoted(words)} is the name of more than one thing", f"write {ids}")
        near = nearest(fold(words), [fold(thing.name) for thing in self._things])
        if near is None:
            raise NotFound(
                f"{quoted(words)} is not in the kit", "add it to the kit first, or mend the name"
            )
        meant = self._names[near][0]
        raise NotFound(f"{quoted(words)} is not in the kit", f"did you mean {quoted(meant.name)}")
