"""A field for a few letters or a scanned code, with what they may mean listed below it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.timer import Timer
from textual.widgets import Static

from toolbox.tui.text import plain
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Column, Listed, Row

# Letters -> what they may mean, likeliest first: an id and how it is shown.
# No letters -> the likely ones.
Matches = Callable[[str], Sequence[tuple[str, Text]]]


# No name and no code begins with these: in the empty line they are the keys of the screen.
THROUGH = ("?", "/")


class _Line(Entry):
    """The line of a letters field: digits in the empty line and keys of the list go further."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "mark(-1)", "Match above", show=False, id="letters.up"),
        Binding("down", "mark(1)", "Match below", show=False, id="letters.down"),
    ]

    def validate_value(self, value: str) -> str:
        """As in every line; blanks alone are nothing: one pressed too often changes nothing."""
        tidy = super().validate_value(value)
        return tidy if tidy.strip(" ") else ""

    def action_mark(self, rows: int) -> None:
        """Move the mark in the list below."""
        self.post_message(LettersField.Marking(rows))

    unread = False  # whether what was handed in last is still on its way

    async def action_submit(self) -> None:
        """Hand the line in and empty it at once: a second scan may follow before it is read.

        A second Enter behind the first hands in nothing, and must not take the likeliest.
        """
        if self.unread and not self.value:
            return
        self.unread = True
        self.post_message(self.Submitted(self, self.value))
        self.value = ""

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether this key is a sign for the line, and no key of the screen."""
        if not self.value and character in THROUGH:
            return False
        return super().check_consume_key(key, character)

    async def _on_key(self, event: events.Key) -> None:
        empty = not self.value
        if empty and event.character in THROUGH:
            event.prevent_default()
            return
        await super()._on_key(event)
        digit = event.character or ""
        if empty and digit and digit in "123456789":
            self.post_message(LettersField.Digit(int(digit)))


class LettersField(Vertical):
    """Letters in, one id out: `Taken(id)`.

    Enter takes what was typed exactly (so a scanner's code and its Enter are
    right even where the code begins like something else), else the marked match.
    Arrows move the mark. A digit in the empty field takes that line of the likely
    ones, unless more letters follow within `pause` seconds, as from a scanner. Two quick
    digits and no more are two choices, taken one after the other.
    Escape leaves the field and posts nothing.
    """

    pause: ClassVar[float] = 0.2

    DEFAULT_CSS = """
    LettersField { height: auto; }
    LettersField > Horizontal { height: 1; }
    LettersField .letters--title { width: auto; text-style: bold; }
    LettersField Entry { width: 1fr; }
    LettersField Rows { height: auto; max-height: 9; }
    """

    class Taken(Message):
        """One thing was meant: its id, and whether what comes next is to be done at once."""

        def __init__(self, field: LettersField, id: str, *, at_once: bool = False) -> None:
            super().__init__()
            self.field = field
            self.id = id
            self.at_once = at_once

        @property
        def control(self) -> LettersField:
            """The field it was taken in."""
            return self.field

    class Marking(Message):
        """Inside the field: the mark is to move by so many lines."""

        def __init__(self, rows: int) -> None:
            super().__init__()
            self.rows = rows

    class Digit(Message):
        """Inside the field: this digit was typed into the empty line."""

        def __init__(self, digit: int) -> None:
            super().__init__()
            self.digit = digit

    def __init__(
        self,
        title: str,
        matches: Matches,
        *,
        nothing: str = "nothing goes by these letters",
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.title = title
        self.matches = matches
        self.nothing = nothing
        self._found: tuple[tuple[str, Text], ...] = ()
        self._asked: str | None = None
        self._waiting: Timer | None = None
        self._digit = 0

    def compose(self) -> ComposeResult:
        """A title that shows where the focus is, the line, the list."""
        with Horizontal():
            yield Static(self._titled(False), classes="letters--title", markup=False)
            yield _Line(select_on_focus=False)
        columns = (Column("", width=1), Column(""))
        matches = Rows(columns, head=False, empty=self.nothing)
        matches.can_focus = False
        yield matches

    def _titled(self, held: bool) -> Text:
        return plain(f"{self.title}{' > ' if held else ' : '}")

    @property
    def line(self) -> _Line:
        """The line that is typed into."""
        return self.query_one(_Line)

    @property
    def listed(self) -> Rows:
        """The list of matches."""
        return self.query_one(Rows)

    def on_mount(self) -> None:
        """The likely ones stand there before anything is typed."""
        self.ask()

    def focus(self, scroll_visible: bool = True) -> LettersField:
        """Focus goes to the line."""
        self.line.focus(scroll_visible)
        return self

    def on_descendant_focus(self) -> None:
        """Show that letters now go into this field."""
        self.query_one(".letters--title", Static).update(self._titled(True))

    def on_descendant_blur(self) -> None:
        """Show that letters go elsewhere."""
        self._stop_waiting()
        self.query_one(".letters--title", Static).update(self._titled(False))

    def ask(self) -> None:
        """List anew what the letters in the line may mean; also when what there is has changed."""
        self._ask_for(self.line.value)

    def _ask_for(self, letters: str) -> None:
        self._asked = letters
        self._found = tuple(self.matches(letters.strip()))
        numbered = not self._asked
        self.listed.refill(
            Listed(
                [
                    Row(id, (plain(str(n) if numbered and n < 10 else ""), plain(shown)))
                    for n, (id, shown) in enumerate(self._found, 1)
                ]
            )
        )
        self.listed.action_first()

    @on(Entry.Changed)
    def _letters_changed(self, event: Entry.Changed) -> None:
        event.stop()
        # The line may have more letters by now; the newest count.
        if self.line.value != self._asked and not self._digit_waits():
            self.ask()
            self._stop_waiting()
            if self._two_choices(self.line.value):
                self._waiting = self.set_timer(self.pause, self._take_both)

    def _digit_waits(self) -> bool:
        """Whether a digit may still be a choice; anything else in the line ends that."""
        if self._waiting is not None and self.line.value != str(self._digit):
            self._digit = 0
            self._stop_waiting()
        return self._waiting is not None

    def _stop_waiting(self) -> None:
        if self._waiting is not None:
            self._waiting.stop()
            self._waiting = None

    @on(Digit)
    def _digit_typed(self, event: LettersField.Digit) -> None:
        event.stop()
        likely = tuple(self.matches(""))
        if event.digit > len(likely):
            return
        self._digit = event.digit
        if self.line.value == str(event.digit):
            self._waiting = self.set_timer(self.pause, self._take_digit)

    def _take_digit(self) -> None:
        if self._digit_waits():
            self._stop_waiting()
            self.line.value = ""
            self._take(tuple(self.matches(""))[self._digit - 1][0])

    def _two_choices(self, letters: str) -> bool:
        """Whether these are two digits of lines in the list; a code has more, and no pause."""
        if len(letters) != 2 or not (letters.isascii() and letters.isdigit()):
            return False
        most = len(tuple(self.matches("")))
        return all(1 <= int(digit) <= most for digit in letters)

    def _take_both(self) -> None:
        self._stop_waiting()
        first, second = (int(digit) for digit in self.line.value)
        self.line.value = ""
        self._take(tuple(self.matches(""))[first - 1][0])
        # The second counts if the first did not lead elsewhere.
        self.set_timer(self.pause, lambda: self._take_second(second))

    def _take_second(self, digit: int) -> None:
        likely = tuple(self.matches(""))
        if self.line.has_focus and not self.line.value and digit <= len(likely):
            self._take(likely[digit - 1][0])

    @on(Marking)
    def _mark(self, event: LettersField.Marking) -> None:
        event.stop()
        self.listed.action_move(event.rows)

    @on(Entry.Submitted)
    def _entered(self, event: Entry.Submitted) -> None:
        event.stop()
        self.call_after_refresh(setattr, self.line, "unread", False)
        typed = event.value
        meant = self._meant(typed)
        if meant is not None:
            self._take(meant)
        elif not self.line.value:
            # The next letters, or the next scan, take the place of these.
            self.line.value = typed
            self.line.action_select_all()

    def take_at_once(self) -> None:
        """Take what Enter would take, and say that what comes next is to be done at once."""
        meant = self._meant(self.line.value)
        if meant is not None:
            self.line.value = ""
            self._take(meant, at_once=True)

    def _meant(self, typed: str) -> str | None:
        """What was typed exactly, else the choice of a digit, else the marked match."""
        digit, self._digit = self._digit, 0
        self._stop_waiting()
        # A scanner is faster than the list: what counts is what was handed in.
        if typed != self._asked:
            self._ask_for(typed)
        exact = [id for id, _ in self._found if id.casefold() == typed.strip().casefold()]
        if exact:
            return exact[0]
        if digit and typed == str(digit):
            return tuple(self.matches(""))[digit - 1][0]
        return self.listed.cursor_key

    @on(Rows.Moved)
    def _marked(self, event: Rows.Moved) -> None:
        event.stop()

    @on(Rows.Chosen)
    def _clicked(self, event: Rows.Chosen) -> None:
        event.stop()
        self.line.value = ""
        self._take(event.key)

    @on(Entry.Left)
    def _left(self, event: Entry.Left) -> None:
        event.stop()
        self._stop_waiting()

    def _take(self, id: str, *, at_once: bool = False) -> None:
        self._stop_waiting()
        self.ask()
        self.post_message(self.Taken(self, id, at_once=at_once))
