"""What the carrying engine has to say in words, and its one error."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from enum import Enum
from typing import NamedTuple


class Severity(Enum):
    """How much a finding matters, gravest first."""

    OVER = "over"  # a limit is broken
    WATCH = "watch"  # nothing is broken, but look at it
    NOTE = "note"  # good to know
    CAUTION = "caution"  # what these figures cannot say


class Finding(NamedTuple):
    """One thing found, in words a mechanic can act on; names, never ids."""

    severity: Severity
    words: str


ALIKE_FROM_G = 100
"""From so many grams on, all of a sentence's masses are told in kilograms."""


def masses(*grams: int) -> tuple[str, ...]:
    """Masses that stand in one sentence, in one unit: "25.99 kg" and "2.99 kg", or all in grams.

    Where a difference is so small that two decimals would hide it, grams tell it.
    """
    if min(grams, default=0) < ALIKE_FROM_G:
        return tuple(f"{one} g" for one in grams)
    return tuple(f"{one / 1000:.2f} kg" for one in grams)


class CarryError(ValueError):
    """The question could not be answered as asked; ``faults`` says all that is wrong, in words."""

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


def unknown(kind: str, wanted: str, known: Iterable[str]) -> str:
    """Words for an id that nobody has: ``kind`` is what it should be, with the nearest guess."""
    near = get_close_matches(wanted, tuple(known), n=1)
    guess = f"; did you mean {near[0]}?" if near else ""
    return f"there is no {kind} {wanted}{guess}"


def by_severity(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings, gravest first, otherwise in the order they were made."""
    order = list(Severity)
    return tuple(sorted(findings, key=lambda f: order.index(f.severity)))
