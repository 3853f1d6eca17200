"""Print sheets written from the screen: into which folder, and what stands there then."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from textual.message import Message

from toolbox.desk.figures import count
from toolbox.desk.flight_words import cautions
from toolbox.desk.folder import KitFolder
from toolbox.desk.sheet_files import SheetFiles, save_sheets
from toolbox.desk.trips import open_flight
from toolbox.tui.session import Post


class Sheeted(Message):
    """The print sheets were written into a folder."""

    def __init__(self, out: Path, made: SheetFiles) -> None:
        super().__init__()
        self.out = out
        self.made = made

    @property
    def head(self) -> str:
        """How many files, and where they are."""
        return f"{count(len(self.made.files), 'file')} in {self.out}"

    @property
    def lines(self) -> tuple[str, ...]:
        """Each file and what became of it, what to do with them, who decides."""
        return (
            "Open the HTML files in a browser to print them; they need no network.",
            *(f"- {file.path.name}, {file.how.value}" for file in self.made.files),
            *(
                f"- {path.name} is older: its bag does not fly now. Throw it away."
                for path in self.made.stale
            ),
            *cautions(),
        )


class SheetWriter:
    """Writing the sheets of a trip as it lies on the disk, after all changes before it.

    They go into a folder named after the trip, below the one the screens were started from.
    """

    def __init__(self, trip: str, today: date, post: Post) -> None:
        self._trip, self._today, self._post = trip, today, post

    def __call__(self, folder: KitFolder) -> None:
        """Write them; `Sheeted` is posted when they are there."""
        out = Path.cwd() / f"sheets-{self._trip}"
        made = save_sheets(open_flight(folder, self._trip, self._today), out)
        self._post(Sheeted(out, made))
