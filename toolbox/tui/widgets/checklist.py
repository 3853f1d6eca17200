"""A checklist that is worked through with one key a line.

It stores nothing: it posts what was done, its owner writes that down at once and
hands back new lines. Until then a line is shown as being written, never as done. So
what is on the screen is what is in the file, and a killed program loses no tick.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Static

from toolbox.tui.text import plain
from toolbox.tui.widgets.entry import Answer, Entry
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Column, Listed, Row

State = Literal["open", "done", "skipped"]

BOXES: dict[State, str] = {"open": "[ ]", "done": "[x]", "skipped": "[-]"}
WORDS: dict[State, str] = {"open": "open", "done": "done", "skipped": "carried over"}
WRITING, BEING_WRITTEN = "[.]", "being written"
BAR = 20
DIGITS = r"[0-9]{0,5}"


@dataclass(frozen=True)
class CheckLine:
    """One line: what to do, a detail, how it stands, a count (so many of so many), a note."""

    key: str
    words: str
    detail: str = ""
    state: State = "open"
    count: tuple[int, int] | None = None
    note: str = ""

    @property
    def counted(self) -> str:
        """The count in words, or nothing."""
        return "" if self.count is None else f"{self.count[0]} of {self.count[1]}"


def progress(lines: Sequence[CheckLine], writing: int = 0) -> str:
    """How far one is: "12 of 40 done, 1 carried over, 2 being written", with a bar."""
    done = sum(line.state == "done" for line in lines)
    skipped = sum(line.state == "skipped" for line in lines)
    filled = BAR * done // len(lines) if lines else 0
    words = [f"{'━' * filled}{'─' * (BAR - filled)}  {done} of {len(lines)} done"]
    words += [f"{skipped} carried over"] if skipped else []
    return ", ".join([*words, f"{writing} {BEING_WRITTEN}"] if writing else words)


def _columns(lines: Sequence[CheckLine], details: bool) -> tuple[Column, ...]:
    counts = max((len(line.counted) for line in lines), default=0)
    return (
        Column("", width=3),
        Column("what", share=3, least=32),
        Column("count", width=counts, right=True),
        *([Column("detail", priority=3, least=20)] if details else []),
        Column("note", width=4, priority=2),
    )


def _row(line: CheckLine, writing: bool, details: bool) -> Row:
    box = WRITING if writing else BOXES[line.state]
    detail = [line.detail] if details else []
    texts = (box, line.words, line.counted, *detail, "note" if line.note else "")
    return Row(line.key, tuple(map(plain, texts)))


class CheckList(Vertical):
    """Lines to tick. Space or Enter ticks and moves on, `n` takes a note, digits a
    count; `x` carries a line over, or opens again one that was seen to.

    Posts `Ticked`, `Counted` and `Noted`; `show` the lines that came of it, or `settle`
    one of them. The key that ticks does nothing on a line that is done: `WasDone`.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "tick", "Done, next", show=False, id="checklist.tick"),
        Binding("n", "note", "Note", show=False, id="checklist.note"),
        Binding("x", "carry_over", "Cannot, or not done", show=False, id="checklist.carry_over"),
    ]
    DEFAULT_CSS = """
    CheckList { height: 1fr; }
    CheckList .checklist--progress { height: 1; text-style: bold; }
    CheckList VerticalScroll { height: auto; max-height: 40%; }
    CheckList .checklist--more { height: auto; }
    CheckList Horizontal { height: 1; display: none; }
    CheckList.-asking Horizontal { display: block; }
    CheckList .checklist--asked { width: auto; text-style: bold; }
    CheckList Entry { width: 1fr; }
    """

    class Said(Message):
        """Something was done to one line; the base of those below."""

        def __init__(self, checklist: CheckList, key: str) -> None:
            super().__init__()
            self.checklist = checklist
            self.key = key

        @property
        def control(self) -> CheckList:
            """The list it was done in."""
            return self.checklist

    class Ticked(Said):
        """The line is to be in this state now."""

        def __init__(self, checklist: CheckList, key: str, state: State) -> None:
            super().__init__(checklist, key)
            self.state = state

    class WasDone(Said):
        """The key that ticks was pressed on a line that is done: nothing has changed."""

    class Counted(Said):
        """So many were counted."""

        def __init__(self, checklist: CheckList, key: str, count: int) -> None:
            super().__init__(checklist, key)
            self.count = count

    class Noted(Said):
        """This note belongs to the line now; empty takes the old one away."""

        def __init__(self, checklist: CheckList, key: str, note: str) -> None:
            super().__init__(checklist, key)
            self.note = note

    def __init__(
        self,
        lines: Sequence[CheckLine] = (),
        *,
        empty: str = "nothing to do",
        details: bool = True,
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.lines = tuple(lines)
        self.empty = empty
        self._details = details  # beside the words as well, not only below the list
        # Lines on their way into the file, with the state each is to have there.
        self._writing: dict[str, State] = {}
        # What the entry line is open for: a line's key, and a note or a count.
        self._asked: tuple[str, Literal["note", "count"]] | None = None

    def compose(self) -> ComposeResult:
        """Progress, the lines, all of the line under the cursor, the entry line."""
        yield Static(plain(progress(self.lines)), classes="checklist--progress", markup=False)
        yield Rows(
            _columns(self.lines, self._details), self._listed(), head=False, empty=self.empty
        )
        with VerticalScroll():
            yield Static(self._more(), classes="checklist--more", markup=False)
        with Horizontal():
            yield Static("", classes="checklist--asked", markup=False)
            yield Answer(select_on_focus=False)

    @property
    def rows(self) -> Rows:
        """The list of lines."""
        return self.query_one(Rows)

    @property
    def line(self) -> CheckLine | None:
        """The line under the cursor."""
        if not self.lines:
            return None
        return self.lines[self.rows.cursor_row if self.is_mounted else 0]

    def show(self, lines: Sequence[CheckLine]) -> None:
        """Show these lines now; the cursor stays on its line, what is being typed too."""
        self.lines = tuple(lines)
        states = {line.key: line.state for line in self.lines}
        self._writing = {
            key: state for key, state in self._writing.items() if states.get(key, state) != state
        }
        self.rows.columns = _columns(self.lines, self._details)
        self._look_again()

    def settle(self, key: str, state: State | None = None) -> None:
        """This line is in the file in this state now; None: it stayed there as it was."""
        self._writing.pop(key, None)
        if state is not None:
            self.lines = tuple(
                replace(line, state=state) if line.key == key else line for line in self.lines
            )
        self._look_again()

    def _listed(self) -> Listed:
        rows = (_row(line, line.key in self._writing, self._details) for line in self.lines)
        return Listed(tuple(rows))

    def _look_again(self) -> None:
        self.rows.refill(self._listed())
        words = progress(self.lines, len(self._writing))
        self.query_one(".checklist--progress", Static).update(plain(words))
        self._tell_more()

    def _tell_more(self) -> None:
        self.query_one(".checklist--more", Static).update(self._more())

    def _more(self) -> Text:
        line = self.line
        if line is None:
            return Text("")
        stands = BEING_WRITTEN if line.key in self._writing else WORDS[line.state]
        state = ", ".join(filter(None, (stands, line.counted)))
        told = [plain(line.words), plain(line.detail), plain(f"({state})")]
        if line.note:
            told.append(plain(f"note: {line.note}"))
        return Text("\n").join(text for text in told if text.plain)

    # One key a line

    def action_tick(self) -> None:
        """Done, and on to the next open line. A line that is done stays so: see `open_again`."""
        line = self.line
        if line is None or line.key in self._writing:
            return
        if line.state == "done":
            self.post_message(self.WasDone(self, line.key))
        else:
            self._turn(line, "done")
            self._move_on()

    def action_carry_over(self) -> None:
        """It cannot be done now; a line that was carried over, or is done, is open again."""
        line = self.line
        if line is not None and line.state == "open" and line.key not in self._writing:
            self._turn(line, "skipped")
            self._move_on()
        else:
            self.open_again()

    def open_again(self) -> None:
        """The marked line is not done after all, or no longer carried over."""
        line = self.line
        if line is not None and line.state != "open" and line.key not in self._writing:
            self._turn(line, "open")

    def _turn(self, line: CheckLine, state: State) -> None:
        self._writing[line.key] = state
        self._look_again()
        self.post_message(self.Ticked(self, line.key, state))

    def _move_on(self) -> None:
        at = self.rows.cursor_row
        order = [self.lines[i] for i in (*range(at + 1, len(self.lines)), *range(at))]
        left = (line for line in order if line.state == "open" and line.key not in self._writing)
        following = next(left, None)
        if following is not None:
            self.rows.move_to(following.key)

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        event.stop()
        self.action_tick()

    @on(Rows.Moved)
    def _moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._tell_more()

    # Notes and counts

    def action_note(self) -> None:
        """Open the entry line for a note."""
        if self.line is not None:
            self._ask("note", self.line.note)

    def on_key(self, event: events.Key) -> None:
        """A digit on a line with a count opens the entry line with it."""
        digit = event.character or ""
        if digit.isascii() and digit.isdigit() and self._asked is None:
            line = self.line
            if line is not None and line.count is not None:
                event.stop()
                self._ask("count", digit)

    def _ask(self, what: Literal["note", "count"], value: str) -> None:
        line = self.line
        if line is None:
            return
        self._asked = (line.key, what)
        title = "Note > " if what == "note" else f"How many of {(line.count or (0, 0))[1]} > "
        self.query_one(".checklist--asked", Static).update(plain(title))
        entry = self.query_one(Entry)
        entry.restrict = None if what == "note" else DIGITS
        entry.value = value
        entry.cursor_position = len(value)
        self.add_class("-asking")
        entry.focus()

    def _answered(self) -> None:
        self._asked = None
        self.remove_class("-asking")
        self.rows.focus()

    @on(Entry.Submitted)
    def _entered(self, event: Entry.Submitted) -> None:
        event.stop()
        if self._asked is None:
            return
        key, what = self._asked
        if what == "count" and not event.value:
            return
        self._answered()
        if what == "note":
            self.post_message(self.Noted(self, key, event.value.strip()))
            return
        self.post_message(self.Counted(self, key, int(event.value)))
        if self.rows.cursor_key == key:
            self._move_on()

    @on(Entry.Changed)
    def _changing(self, event: Entry.Changed) -> None:
        event.stop()

    @on(Entry.Left)
    def _left(self, event: Entry.Left) -> None:
        event.stop()
        self._answered()
