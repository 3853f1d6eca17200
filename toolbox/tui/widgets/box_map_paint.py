"""A line of a map put together from pieces that may hold letters two cells wide."""

from __future__ import annotations

from collections.abc import Iterator
from enum import IntEnum
from typing import TYPE_CHECKING

from rich.cells import get_character_cell_size

if TYPE_CHECKING:
    from toolbox.tui.widgets.box_map_board import Box


class Ink(IntEnum):
    """How a piece is drawn."""

    PLAIN = 0
    BOLD = 1
    MOVED = 2
    LIT = 3
    CURSOR = 4


class Paper:
    """The cells of one line in view, ``width`` of them from column ``left`` of the board."""

    def __init__(self, left: int, width: int) -> None:
        self._left = left
        self._signs = [" "] * width
        self._inks = [Ink.PLAIN] * width

    def write(self, column: int, text: str, ink: Ink) -> None:
        """Put a text on the line, over what is there; what lies outside is left out."""
        at = column - self._left
        width = len(self._signs)
        for letter in text:
            size = get_character_cell_size(letter)
            if size == 0:
                # A mark over the letter before.
                if 0 < at <= width and self._signs[at - 1] not in ("", " "):
                    self._signs[at - 1] += letter
                continue
            if at >= width:
                return
            if at >= 0:
                # Half a wide letter at the edge cannot be drawn.
                whole = at + size <= width
                self._signs[at : at + size] = ([letter] + [""] * (size - 1)) if whole else [" "]
                self._inks[at : at + size] = [ink] * (size if whole else 1)
            elif at + size > 0:
                self._signs[: at + size] = [" "] * (at + size)
                self._inks[: at + size] = [ink] * (at + size)
            at += size

    def rim(self, box: Box, line: int) -> None:
        """The part of a rim that falls onto this line."""
        row = line - box.line
        if not 0 <= row < box.lines:
            return
        if row in (0, box.lines - 1):
            ends = "┌┐" if row == 0 else "└┘"
            self.write(box.column, ends[0] + "─" * (box.columns - 2) + ends[1], Ink.PLAIN)
        else:
            self.write(box.column, "│", Ink.PLAIN)
            self.write(box.column + box.columns - 1, "│", Ink.PLAIN)

    def runs(self) -> Iterator[tuple[str, Ink]]:
        """The line as pieces of one look each."""
        text, look = "", Ink.PLAIN
        for sign, ink in zip(self._tidy(), self._inks, strict=True):
            if ink != look and text:
                yield text, look
                text = ""
            text, look = text + sign, ink
        yield text, look

    def _tidy(self) -> Iterator[str]:
        """Halves of letters that were written over become blanks."""
        signs = self._signs
        for at, sign in enumerate(signs):
            if sign == "":
                # The first half of it may be gone.
                yield "" if at and _wide(signs[at - 1]) else " "
            elif _wide(sign) and (at + 1 == len(signs) or signs[at + 1] != ""):
                yield " "
            else:
                yield sign


def _wide(sign: str) -> bool:
    return sign != "" and get_character_cell_size(sign[0]) > 1
