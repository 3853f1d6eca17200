"""What is asked for in Log: a thing by letters, digit or code, an amount, a note."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Static

from toolbox.desk.diary import amount_typed
from toolbox.desk.errors import DeskError
from toolbox.desk.likely import Choice, Likely, Sort, found
from toolbox.kit.things import Supply
from toolbox.tui.text import plain
from toolbox.tui.widgets.entry import Answer, Entry
from toolbox.tui.widgets.letters import LettersField

# What the field asks for; "drop" is asked of the tools it is given.
Mode = Literal["anything", "add", "drop", "bike"]

TITLES: dict[Mode, str] = {
    "anything": "Job, tool, supply or bike",
    "add": "Taken as well",
    "drop": "Not taken",
    "bike": "Bike",
}
MOST = 60  # matches listed
NO_BIKE = "none"
NEW_BIKE = "new"


class Asking(Vertical):
    """A field for letters, or in its place one line for an amount or a note."""

    DEFAULT_CSS = """
    Asking { height: auto; padding: 0 1; }
    Asking #line { display: none; height: auto; }
    Asking.-line #line { display: block; }
    Asking.-line LettersField { display: none; }
    Asking #line Horizontal { height: 1; }
    Asking #asked { width: auto; text-style: bold; }
    Asking #line Entry { width: 1fr; }
    Asking #wrong { height: auto; max-height: 4; color: $error; text-style: bold; }
    """

    class Meant(Message):
        """This thing is meant, by what was asked for; a bike may be new, or "" for none.

        ``at_once``: of a job the first step is to be logged as usual, too.
        """

        def __init__(self, mode: Mode, sort: Sort, id: str, *, at_once: bool = False) -> None:
            super().__init__()
            self.mode = mode
            self.sort = sort
            self.id = id
            self.at_once = at_once

    class Amount(Message):
        """So much of a supply, with its unit."""

        def __init__(self, supply: str, amount: str) -> None:
            super().__init__()
            self.supply = supply
            self.amount = amount

    class Noted(Message):
        """These words are the note; "" for none."""

        def __init__(self, note: str) -> None:
            super().__init__()
            self.note = note

    class GivenUp(Message):
        """The amount or the note was left without an answer."""

    def __init__(self) -> None:
        super().__init__()
        self.mode: Mode = "anything"
        self.bike = ""
        self._job = ""
        self._tools: Sequence[Choice] = ()
        self._likely = Likely()
        self._newer: Likely | None = None
        # Of which an amount is asked; None while a note is.
        self._supply: Supply | None = None

    def compose(self) -> ComposeResult:
        """The field, and the line with room for what is wrong with it."""
        yield LettersField(TITLES["anything"], self._matches)
        with Vertical(id="line"):
            with Horizontal():
                yield Static("", id="asked", markup=False)
                yield Answer(select_on_focus=False, id="words")
            yield Static("", id="wrong", markup=False)

    @property
    def field(self) -> LettersField:
        """The field for letters and codes."""
        return self.query_one(LettersField)

    @property
    def line(self) -> Entry:
        """The line for amounts and notes."""
        return self.query_one("#words", Entry)

    @property
    def half_filled(self) -> bool:
        """Whether an amount or a note was begun."""
        return self.has_class("-line") and bool(self.line.value)

    def show(self, likely: Likely, bike: str) -> None:
        """Offer these from now on; while something is typed, once that is done.

        A digit means what stood beside it.
        """
        self._newer = likely
        same = bike == self.bike
        self.bike = bike
        if not self.field.line.value:
            self._catch_up(anew=not same)

    def _catch_up(self, *, anew: bool = False) -> None:
        if self._newer is not None or anew:
            self._likely, self._newer = self._newer or self._likely, None
            self.field.ask()

    def ask(self, mode: Mode, *, job: str = "", tools: Sequence[Choice] = ()) -> None:
        """Ask for a thing by letters: beside what a job takes, or of these tools to drop."""
        self.mode, self._job, self._tools = mode, job, tools
        self.remove_class("-line")
        field = self.field
        field.title = TITLES[mode]
        field.line.value = ""
        if self._newer is not None:
            self._likely, self._newer = self._newer, None
        field.ask()
        if field.line.has_focus:
            field.on_descendant_focus()
        else:
            field.on_descendant_blur()

    def ask_amount(self, supply: Supply) -> None:
        """Ask how much of a supply was used."""
        self._supply = supply
        self._ask_line(f"How much {supply.name} ({supply.measure.value})", "")

    def ask_note(self, note: str) -> None:
        """Ask for a note, beginning with what there is."""
        self._supply = None
        self._ask_line("Note", note)

    def _ask_line(self, title: str, value: str) -> None:
        self.add_class("-line")
        self.query_one("#asked", Static).update(plain(f"{title} > "))
        self.query_one("#wrong", Static).update("")
        self.line.value = value
        self.line.cursor_position = len(value)
        self.line.focus()

    def scanned(self, code: str, job: str) -> bool:
        """Whether the code means one thing that a step can take as well; then it is meant."""
        self.ask("add", job=job)
        rows = self._matches(code)
        if len(rows) == 1:
            self._mean(rows[0][0])
        return len(rows) == 1

    # ---- what the letters may mean

    def _matches(self, letters: str) -> list[tuple[str, Text]]:
        if self.mode == "bike":
            return self._bikes(letters)
        if self.mode == "drop":
            listed = self._tools
        elif self.mode == "add":
            listed = self._likely.to_add(self._job)
        else:
            listed = self._likely.everything if letters else self._likely.first(self.bike)
        chosen = found(listed, letters) if letters else listed
        return [(choice.key, choice_line(choice)) for choice in chosen[:MOST]]

    def _bikes(self, letters: str) -> list[tuple[str, Text]]:
        known = self._likely.bikes
        chosen = found(known, letters) if letters else known
        rows = [(choice.key, choice_line(choice)) for choice in chosen[:MOST]]
        if not letters:
            return [*rows, (f"{NO_BIKE} ", plain("no bike"))]
        if any(choice.id.casefold() == letters.casefold() for choice in chosen):
            return rows
        return [*rows, (f"{NEW_BIKE} {letters}", plain(f"a new bike: {letters}"))]

    # ---- answers

    @on(LettersField.Taken)
    def _taken(self, event: LettersField.Taken) -> None:
        event.stop()
        self._catch_up()
        self._mean(event.id, at_once=event.at_once)

    def _mean(self, key: str, *, at_once: bool = False) -> None:
        sort, _, id = key.partition(" ")
        meant = Sort.BIKE if sort in (NEW_BIKE, NO_BIKE) else Sort(sort)
        self.post_message(self.Meant(self.mode, meant, id, at_once=at_once))

    @on(Entry.Submitted, "#words")
    def _entered(self, event: Entry.Submitted) -> None:
        event.stop()
        words = self.line.value.strip()
        if self._supply is None:
            self.post_message(self.Noted(words))
            return
        try:
            amount = amount_typed(self._supply, words)
        except DeskError as error:
            self.query_one("#wrong", Static).update(plain(str(error)))
            return
        self.post_message(self.Amount(self._supply.id, amount))

    @on(Entry.Changed, "#words")
    def _typed(self, event: Entry.Changed) -> None:
        event.stop()
        self.query_one("#wrong", Static).update("")

    @on(Entry.Left, "#words")
    def _left(self, event: Entry.Left) -> None:
        event.stop()
        self.post_message(self.GivenUp())


def choice_line(choice: Choice) -> Text:
    """A choice as it stands in the list: what it is, and its name."""
    return plain(f"{choice.sort.value:<6} ") + plain(choice.name)
