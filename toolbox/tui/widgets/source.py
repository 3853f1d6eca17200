"""Columns, and where rows come from: what a list is filled with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from rich.text import Text

GAP = 2


@dataclass(frozen=True)
class Column:
    """A column: a fixed `width` in cells, or without one `least` and a `share` of what is left.

    When the list is narrow, columns with the highest `priority` go first; those
    with priority 0 always stay.
    """

    title: str
    width: int | None = None
    share: int = 1
    priority: int = 0
    right: bool = False
    least: int = 8

    @property
    def needs(self) -> int:
        """The fewest cells it is worth showing in."""
        return self.least if self.width is None else self.width


class Source(Protocol):
    """Where rows come from. It may also have `mark(i) -> str`: one sign, or none."""

    def __len__(self) -> int:
        """How many rows there are."""
        ...

    def key(self, i: int) -> str:
        """What row i is known by; no two rows share one."""
        ...

    def cells(self, i: int) -> tuple[Text, ...]:
        """What stands in row i, one text a column."""
        ...


@dataclass(frozen=True)
class Row:
    """A row made beforehand, for lists that are short."""

    key: str
    cells: tuple[Text, ...]
    mark: str = ""


class Listed:
    """Rows made beforehand as a source."""

    def __init__(self, rows: Sequence[Row] = ()) -> None:
        self.rows = tuple(rows)

    def __len__(self) -> int:
        """How many rows there are."""
        return len(self.rows)

    def key(self, i: int) -> str:
        """What row i is known by."""
        return self.rows[i].key

    def cells(self, i: int) -> tuple[Text, ...]:
        """What stands in row i."""
        return self.rows[i].cells

    def mark(self, i: int) -> str:
        """The sign before row i, or nothing."""
        return self.rows[i].mark


class Keyed(Protocol):
    """A line that is known by a key."""

    @property
    def key(self) -> str:
        """What it is known by."""
        ...


_Line = TypeVar("_Line", bound=Keyed)


class Lined(Generic[_Line]):
    """Lines of the desk as a source, each row drawn when it is asked for: give it ``cells``."""

    def __init__(self, lines: Sequence[_Line] = ()) -> None:
        self.lines = lines

    def __len__(self) -> int:
        """How many lines there are."""
        return len(self.lines)

    def key(self, i: int) -> str:
        """What line i is known by."""
        return self.lines[i].key

    def cells(self, i: int) -> tuple[Text, ...]:
        """What stands in row i, one text a column."""
        raise NotImplementedError


def spread(columns: Sequence[Column], width: int) -> list[int]:
    """How many of `width` cells each column gets; 0 for one that is not shown."""
    shown = list(range(len(columns)))

    def needed() -> int:
        return sum(columns[n].needs for n in shown) + GAP * (len(shown) - 1)

    while needed() > width and any(columns[n].priority for n in shown):
        shown.remove(max(shown, key=lambda n: (columns[n].priority, n)))
    widths = [0] * len(columns)
    left = width - GAP * (len(shown) - 1)
    for n in shown:
        widths[n] = max(0, min(columns[n].needs, left))
        left -= widths[n]
    sharing = [n for n in shown if columns[n].width is None]
    parts = sum(columns[n].share for n in sharing)
    for n in sharing:
        more = max(0, left) * columns[n].share // parts
        left, parts = left - more, parts - columns[n].share
        widths[n] += more
    return widths
