"""Faults as values: where, what is wrong, what to do; collected, so that all are told at once."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, time
from decimal import Decimal
from types import MappingProxyType

# Words that people use for a key of ours, where the spelling alone does not lead there.
_OTHER_WORDS = MappingProxyType(
    {
        "weight": ("mass", "tare"),
        "qty": ("count", "stock"),
        "quantity": ("count", "stock"),
        "pieces": ("count",),
        "title": ("name",),
        "depth": ("height",),
        "height": ("depth",),
        "unit": ("measure",),
        "kind": ("way",),
        "position": ("at",),
        "priority": ("urgent",),
    }
)

_LONGEST_SHOWN = 60


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong in one file, and its cure.

    ``file`` is the path inside the kit folder, ``entry`` names the thing in it
    ("" when the file as a whole is meant). ``wrong`` and ``cure`` are parts of a
    sentence: no capital at their beginning, no full stop at their end. ``key`` is the way
    to the value in the entry, as in "gauge.lowest" or "step.2.tools"; "" for the whole of it.
    """

    file: str
    entry: str
    wrong: str
    cure: str
    key: str = field(default="", compare=False)

    def sentence(self) -> str:
        """The whole fault as one sentence on one line."""
        place = f"{self.file}, {self.entry}" if self.entry else self.file
        end = "?" if self.cure.startswith("did you mean") else "."
        return f"{place}: {self.wrong}; {self.cure}{end}"


class KitFaults(Exception):
    """A kit folder that cannot be used as it is: every fault of every file, in file order."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__(self.faults)

    def __str__(self) -> str:
        return "\n".join(fault.sentence() for fault in self.faults)


class WriteRefused(KitFaults):
    """A file that was left as it is, because writing it would have done harm.

    ``wanted`` is the TOML text that should have gone in, "" where there is none
    to show: the mechanic can put it in by hand.
    """

    def __init__(self, fault: Fault, wanted: str = "") -> None:
        super().__init__([fault])
        self.wanted = wanted


class Problems:
    """Collects faults. One bound to a place shares its list with the one it came from."""

    def __init__(self) -> None:
        self._faults: list[Fault] = []
        self._file = ""
        self._entry = ""

    def at(self, file: str, entry: str = "") -> Problems:
        """The same collector, for faults of this file and entry."""
        bound = Problems()
        # the same list, not a copy: whoever holds any of them sees all faults
        bound._faults = self._faults
        bound._file, bound._entry = file, entry
        return bound

    def add(self, wrong: str, cure: str, key: str = "") -> None:
        """Note one fault at the place this collector is bound to; ``key`` as in ``Fault``."""
        self._faults.append(Fault(self._file, self._entry, wrong, cure, key))

    @property
    def faults(self) -> tuple[Fault, ...]:
        """All faults so far, in the order they were noted."""
        return tuple(self._faults)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that was most likely meant, None when none is near.

    Capitals do not count; a few words that people use for ours are known by meaning.
    """
    # capitals first, then meaning, then spelling: "Mass" is nearer than "gas"
    by_plain = {k.casefold(): k for k in known}
    plain = word.casefold()
    if plain in by_plain:
        return by_plain[plain]
    meant = [w for w in _OTHER_WORDS.get(plain, ()) if w in by_plain]
    close = meant or difflib.get_close_matches(plain, by_plain, n=1, cutoff=0.6)
    return by_plain[close[0]] if close else None


def quoted(text: str) -> str:
    """The text in double quotes, on one line, cut when long, control characters as escapes."""
    cut = text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 3]}..."
    safe = (c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in cut)
    return f'"{"".join(safe)}"'


def shown(value: object) -> str:
    """A value out of a TOML file as a message names it."""
    match value:
        case str():
            return quoted(value)
        case bool():
            return "true" if value else "false"
        case int() | Decimal() | float():
            text = str(value)
            return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 3]}..."
        case date() | time():
            return value.isoformat()
        case list() | tuple():
            return "a list"
        case _:
            return "a table"


def listed(words: Iterable[str], joiner: str = "and") -> str:
    """Words as people list them: a, b and c."""
    *first, last = words
    return f"{', '.join(first)} {joiner} {last}" if first else last
