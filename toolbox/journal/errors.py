"""What can go wrong with a journal file, told so that a mechanic can act on it."""

from __future__ import annotations

from pathlib import Path


class JournalError(Exception):
    """A journal cannot be read or written: which file, what is wrong, what to do."""

    def __init__(self, file: Path, wrong: str, cure: str) -> None:
        super().__init__(file, wrong, cure)
        self.file = file
        self.wrong = wrong
        self.cure = cure

    def sentence(self) -> str:
        """File, fault and cure as one line of text."""
        return f"{self.file}: {self.wrong}. {self.cure}."

    def __str__(self) -> str:
        return self.sentence()
