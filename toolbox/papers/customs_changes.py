"""An issued list beside the things as they are now: what is missing, more, or another one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from toolbox.kit.customs import CustomsLine


class Change(Enum):
    """How a thing differs from the issued list; the value is the word shown."""

    MISSING = "missing"  # on the list and not among the things
    EXTRA = "not on the list"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class Difference:
    """One difference. ``number`` is that on the list, None for what is not on it.

    Of what changed, ``what`` says which column, ``was`` and ``now`` how it reads.
    """

    change: Change
    number: int | None
    thing: str
    part: str
    words: str
    what: str = ""
    was: str = ""
    now: str = ""


def differences(
    issued: Iterable[CustomsLine], now: Iterable[CustomsLine]
) -> tuple[Difference, ...]:
    """Everything in which the things now differ from the list, by its numbers, then what is more.

    ``now`` are lines made with the choices of the issued list.
    """
    # two parts of a set may bear one name: each line is set beside one
    current: dict[tuple[str, str], list[CustomsLine]] = {}
    for line in now:
        current.setdefault((line.thing, line.part), []).append(line)
    found: list[Difference] = []
    for line in sorted(issued, key=lambda one: one.number):
        there = current.get((line.thing, line.part))
        if not there:
            found.append(Difference(Change.MISSING, line.number, line.thing, line.part, line.words))
        else:
            found += _changed(line, there.pop(0))
    found += [
        Difference(Change.EXTRA, None, line.thing, line.part, line.words)
        for lines in current.values()
        for line in lines
    ]
    return tuple(found)


def _changed(line: CustomsLine, there: CustomsLine) -> Iterator[Difference]:
    pairs = (
        ("serial number", line.serial or "none", there.serial or "none"),
        ("description", line.words, there.words),
        ("pieces", line.pieces, there.pieces),
        ("grams", line.grams, there.grams),
        ("value in hundredths", line.hundredths, there.hundredths),
        ("origin", line.origin, there.origin),
    )
    different = [(what, _text(was), _text(now)) for what, was, now in pairs if was != now]
    # a serial number stands in the description too: another one is told once
    if any(what == "serial number" for what, *_ in different):
        different = [one for one in different if one[0] != "description"]
    for what, was, now in different:
        yield Difference(
            Change.CHANGED, line.number, line.thing, line.part, line.words, what, was, now
        )


def _text(value: object) -> str:
    return "none" if value in (None, "") else str(value)
