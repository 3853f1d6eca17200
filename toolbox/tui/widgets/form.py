"""A form: its lines as a list, the one under the cursor typed into below it.

It holds what it was filled with and tells what was typed; its owner decides what that
means and fills it anew. So a form of two hundred lines is as quick as one of ten.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Static

from toolbox.tui.text import clean, plain, wrapped
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.rows import LEAD, TAIL, Rows
from toolbox.tui.widgets.source import GAP, Column, Listed, Row

LABEL = 16  # columns for the labels
FAULT = "!"
CHANGED = "*"
HINT = ("Enter next", "Up before", "Esc write, drop", "F1 help")


@dataclass(frozen=True, slots=True)
class FormLine:
    """A line: what it is called, what stands on it, what that means in a sentence.

    ``usual`` is what holds while it is empty; ``changed`` marks one that was typed over;
    ``keys`` names a key that is of use on this line alone.
    """

    key: str
    label: str
    text: str
    help: str
    usual: str = ""
    changed: bool = False
    keys: str = ""


class _Line(Entry):
    """The line that is typed into: arrows go to other lines of the form, Escape out of it.

    It asks the form at once, by no message: what is typed next belongs on the other line.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,shift+tab", "go(-1)", "Line above", show=False, id="form.up"),
        Binding("down,tab", "go(1)", "Line below", show=False, id="form.down"),
        Binding("pageup", "go(-10)", "Ten lines up", show=False, id="form.page_up"),
        Binding("pagedown", "go(10)", "Ten lines down", show=False, id="form.page_down"),
    ]

    def action_go(self, lines: int) -> None:
        """Go on to another line."""
        self.query_ancestor(Form).go(lines)

    async def action_submit(self) -> None:
        """Go on to the next line, and from the last one out of the form."""
        self.query_ancestor(Form).go(1)

    def action_leave(self) -> None:
        """One step back: out of the form."""
        self.query_ancestor(Form).leave()


class Form(Vertical):
    """Lines to fill in. Posts `Typed` when a line was changed, `Finished` on leaving.

    Faults stand under the lines they belong to, those without a line at the top. Lines
    that are wrong bear "!", lines that were typed over "*".
    """

    DEFAULT_CSS = """
    Form { height: 1fr; }
    Form #form-title { height: 1; padding: 0 1; text-style: bold; }
    Form Rows { height: 1fr; }
    Form #form-strip { height: auto; border-top: solid $primary; padding: 0 1; }
    Form #form-strip Horizontal { height: 1; }
    Form #form-label { width: auto; text-style: bold; }
    Form Entry { width: 1fr; }
    Form #form-help { height: auto; max-height: 3; }
    Form #form-hint { height: 1; background: $panel; padding: 0 1; }
    """

    class Typed(Message):
        """A line was left with another text on it."""

        def __init__(self, key: str, text: str) -> None:
            super().__init__()
            self.key = key
            self.text = text

    class Finished(Message):
        """Escape, or Enter on the last line."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._lines: dict[str, FormLine] = {}
        self._faults: Mapping[str, Sequence[str]] = {}
        self._at = ""
        self._title = Text("")

    def compose(self) -> ComposeResult:
        """What is filled in, its lines, the one that is typed into with what it takes."""
        yield Static("", id="form-title", markup=False)
        rows = Rows((Column("", width=LABEL), Column("")), head=False, empty="nothing to fill in")
        rows.can_focus = False
        yield rows
        with Vertical(id="form-strip"):
            with Horizontal():
                yield Static("", id="form-label", markup=False)
                yield _Line(select_on_focus=False)
            yield Static("", id="form-help", markup=False)
        yield Static("", id="form-hint", markup=False)

    @property
    def line(self) -> Entry:
        """The line that is typed into."""
        return self.query_one(Entry)

    @property
    def at(self) -> str:
        """The key of the line one is on."""
        return self._at

    @property
    def pending(self) -> bool:
        """Whether the line one is on has a text that was not told yet."""
        known = self._lines.get(self._at)
        return known is not None and self.line.value.strip() != clean(known.text).strip()

    def focus(self, scroll_visible: bool = True) -> Form:
        """Focus goes to the line that is typed into."""
        self.line.focus(scroll_visible)
        return self

    def fill(
        self, title: Text, lines: Sequence[FormLine], faults: Mapping[str, Sequence[str]]
    ) -> None:
        """Show these lines; one stays on the line one is on, and keeps what is typed there."""
        pending = self.line.value if self.pending else None
        self._title, self._faults = title, faults
        self._lines = {line.key: line for line in lines}
        self.query_one("#form-title", Static).update(plain(title))
        self._put(self._at if self._at in self._lines else lines[0].key, pending)

    def start(self, key: str = "") -> None:
        """Go to this line, or to the first one, and take what stands there as it is."""
        keys = list(self._lines)
        if keys:
            self._put(key if key in self._lines else keys[0])

    def tell(self) -> None:
        """Post what was typed on this line, if it was not told yet."""
        if self.pending:
            self.post_message(self.Typed(self._at, self.line.value))

    # ---- going from line to line

    def _put(self, key: str, typed: str | None = None) -> None:
        self._at = key
        known = self._lines[key]
        self.line.value = clean(known.text) if typed is None else typed
        self.line.cursor_position = len(self.line.value)
        self.query_one("#form-label", Static).update(plain(f"{known.label} > "))
        self.query_one("#form-help", Static).update(plain(known.help))
        keys = (*HINT[:-1], *filter(None, [known.keys]), HINT[-1])
        self.query_one("#form-hint", Static).update(Text("  ".join(keys)))
        self._refill()

    def _refill(self) -> None:
        rows = self.query_one(Rows)
        shown = self._shown()
        rows.refill(Listed(shown))
        # What is wrong with the line is to be in view with it.
        mine = [row.key for row in shown if row.key.partition("\n")[0] == self._at]
        for key in (mine[-1], self._at):
            rows.move_to(key)

    def _shown(self) -> list[Row]:
        width = self.query_one(Rows).scrollable_content_region.width - LEAD - TAIL - LABEL - GAP
        rows = []
        for words in self._faults.get("", ()):
            rows += self._fault_rows("", words, width)
        for key, line in self._lines.items():
            typed = self.line.value if key == self._at else line.text
            usual = f"({line.usual})" if line.usual else ""
            wrong = self._faults.get(key, ())
            mark = FAULT if wrong else CHANGED if line.changed else ""
            rows.append(Row(key, (plain(line.label), plain(typed or usual)), mark))
            for words in wrong:
                rows += self._fault_rows(key, words, width)
        return rows

    def _fault_rows(self, key: str, words: str, width: int) -> list[Row]:
        # Keys of rows may not be the same; no key of a line holds a line end.
        style = f"italic {self.app.theme_variables.get('error', '')}".strip()
        lines = wrapped(words, max(20, width))
        return [
            Row(f"{key}\n{words}\n{n}", (Text(""), Text(line.plain, style)), FAULT)
            for n, line in enumerate(lines)
        ]

    def go(self, lines: int) -> None:
        """On by so many lines; one further than the last leaves the form."""
        if not self._lines:
            return
        keys = list(self._lines)
        wanted = keys.index(self._at) + lines
        if lines == 1 and wanted == len(keys):
            self.leave()
            return
        self.tell()
        self._leave_typed()
        self._put(keys[max(0, min(wanted, len(keys) - 1))])

    def _leave_typed(self) -> None:
        # Shown as typed until the owner says otherwise.
        known = self._lines[self._at]
        if self.pending:
            typed = FormLine(known.key, known.label, self.line.value, known.help, known.usual, True)
            self._lines[self._at] = typed

    def leave(self) -> None:
        """Out of the form, with what was typed told."""
        if not self._lines:
            return
        self.tell()
        self._leave_typed()
        self.post_message(self.Finished())

    @on(Entry.Changed)
    def _changed(self, event: Entry.Changed) -> None:
        event.stop()
        if self._at in self._lines:
            self._refill()

    @on(Rows.Moved)
    def _moved(self, event: Rows.Moved) -> None:
        event.stop()
        # Where the cursor is by now: the message may tell of a place it has left.
        key = (event.rows.cursor_key or "").partition("\n")[0]
        if key in self._lines and key != self._at:
            self.tell()
            self._leave_typed()
            self._put(key)

    @on(Rows.Chosen)
    def _clicked(self, event: Rows.Chosen) -> None:
        event.stop()
        self.focus()

    def on_resize(self, event: events.Resize) -> None:
        """Faults are wrapped to the new width."""
        if self._at in self._lines:
            self._refill()
