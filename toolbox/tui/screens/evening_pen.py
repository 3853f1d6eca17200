"""What is said in the evening, written in order, each entry known to be taken back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.message import Message

from toolbox.desk.folder import KitFolder
from toolbox.tui.session import Post

Write = Callable[[Callable[[KitFolder], Any], Callable[[Any], str]], None]
Do = Callable[[KitFolder], str]
Mark = tuple[str, str]  # a part of the evening, and what of it


class Written(Message):
    """Something is on the disk as this entry, or was refused ("").

    ``mark`` is what the owner gave along: what it was about.
    """

    def __init__(self, entry: str, mark: Mark | None) -> None:
        super().__init__()
        self.entry = entry
        self.mark = mark


class EveningPen:
    """Writes by desk functions that give the id of an entry, in the order of asking.

    ``waits`` tells that something is not on the disk yet; ``entries`` are those written from
    here, with their marks, oldest first.
    """

    def __init__(self, write: Write, post: Post) -> None:
        self.entries: list[tuple[str, Mark | None]] = []
        self._write = write
        self._post = post
        self._waiting = 0

    @property
    def waits(self) -> bool:
        """Whether the disk is behind."""
        return self._waiting > 0

    def send(self, do: Do, mark: Mark | None) -> None:
        """Have this written after all before it; `Written` is posted once it is over."""
        self._waiting += 1

        def carry_out(folder: KitFolder) -> None:
            entry = ""
            try:
                entry = do(folder)
            finally:
                self._post(Written(entry, mark))

        self._write(carry_out, lambda _: "")

    def heard(self, written: Written) -> None:
        """Something is over with."""
        self._waiting -= 1
        if written.entry:
            self.entries.append((written.entry, written.mark))
