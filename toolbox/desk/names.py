"""Finding things by a few letters: which of many names a mechanic means."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple


class Named(NamedTuple):
    """Something with an id and a name that can be asked for."""

    id: str
    name: str


class Match(NamedTuple):
    """What letters led to: the ones meant (one if it is clear), and near misses if none."""

    found: tuple[Named, ...]
    near: tuple[Named, ...]

    @property
    def only(self) -> Named | None:
        """The one thing meant, or None while it is not clear."""
        return self.found[0] if len(self.found) == 1 else None


def match(letters: str, things: Iterable[Named]) -> Match:
    """Which of ``things`` the letters mean, best kind of likeness only.

    An id or a whole name wins alone, first of all an id in the very capitals it has; then
    names in which each typed word begins a word; then names that hold each typed word
    somewhere. Order is the list's.
    """
    wanted = fold(letters)
    listed = tuple(things)
    if not wanted:
        return Match((), ())
    written = tuple(thing for thing in listed if thing.id == letters.strip())
    if written:
        return Match(written, ())
    for alike in (_same_id, _same_name, _begins_words, _holds_words):
        found = tuple(thing for thing in listed if alike(wanted, thing))
        if found:
            return Match(found, ())
    return Match((), _near(wanted, listed))


# Every letter typed asks for the same names again.
@lru_cache(maxsize=16_384)
def fold(text: str) -> str:
    """Letters as they are compared: without accents, case folded, blanks squeezed."""
    apart = unicodedata.normalize("NFD", text)
    bare = "".join(letter for letter in apart if not unicodedata.combining(letter))
    return " ".join(bare.casefold().split())


def _same_id(wanted: str, thing: Named) -> bool:
    return wanted == fold(thing.id)


def _same_name(wanted: str, thing: Named) -> bool:
    return wanted == fold(thing.name)


@lru_cache(maxsize=16_384)
def _words(text: str) -> tuple[str, ...]:
    # Hyphens and brackets part words: "T-handle" is found by "handle".
    return tuple("".join(c if c.isalnum() or c in ".," else " " for c in fold(text)).split())


def _begins_words(wanted: str, thing: Named) -> bool:
    words = _words(thing.name)
    return all(any(word.startswith(piece) for word in words) for piece in _words(wanted))


def _holds_words(wanted: str, thing: Named) -> bool:
    whole = fold(thing.id) + " " + fold(thing.name)
    return all(piece in whole for piece in wanted.split())


def _near(wanted: str, things: tuple[Named, ...]) -> tuple[Named, ...]:
    by_name = {fold(thing.name): thing for thing in things}
    close = difflib.get_close_matches(wanted, by_name, n=3, cutoff=0.5)
    return tuple(by_name[name] for name in close)
