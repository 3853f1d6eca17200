"""The sheet of a check, or of gauges compared: filled in line by line, judged as one goes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.message import Message

from toolbox.desk.instrument_sheet import SheetLine, begun
from toolbox.tui.widgets.form import Form, FormLine

Faults = Mapping[str, Sequence[str]]


@dataclass(slots=True)
class Sheet:
    """A sheet while it is filled in: its title, its lines, what was typed on each.

    ``tool`` is the id of the instrument that is checked, "" where gauges are compared.
    """

    tool: str
    title: str
    lines: tuple[SheetLine, ...]
    values: dict[str, str] = field(default_factory=dict)

    @property
    def begun(self) -> bool:
        """Whether any reading stands on it."""
        return begun(self.values)


class SheetForm(Vertical):
    """A form with a sheet in it. Posts `Filled` after each line, `Finished` on leaving it."""

    DEFAULT_CSS = """
    SheetForm { height: 1fr; }
    """

    class Filled(Message):
        """Something else stands on the sheet."""

    class Finished(Message):
        """The sheet was left, by Escape or by Enter on its last line."""

    def __init__(self, faults: Callable[[Sheet], Faults], *, id: str) -> None:
        super().__init__(id=id)
        self.sheet: Sheet | None = None
        self._faults = faults

    def compose(self) -> ComposeResult:
        """The form."""
        yield Form()

    @property
    def form(self) -> Form:
        """The form that is filled in."""
        return self.query_one(Form)

    def begin(self, sheet: Sheet) -> None:
        """Put a sheet in, with what is on it already; the keys go to its first open line."""
        self.sheet = sheet
        self._fill()
        keys = [one.key for one in sheet.lines]
        filled = [n for n, key in enumerate(keys) if sheet.values.get(key, "").strip()]
        # one that was begun goes on behind what is filled in
        self.form.start(keys[min(filled[-1] + 1, len(keys) - 1)] if sheet.begun else "")
        self.form.focus()

    def _fill(self) -> None:
        sheet = self.sheet
        if sheet is None:
            return
        lines = [
            FormLine(
                one.key,
                one.label,
                sheet.values.get(one.key, ""),
                one.help,
                one.usual,
                bool(sheet.values.get(one.key, "").strip()),
            )
            for one in sheet.lines
        ]
        self.form.fill(Text(sheet.title), lines, self._faults(sheet))

    @on(Form.Typed)
    def _typed(self, event: Form.Typed) -> None:
        event.stop()
        if self.sheet is not None:
            self.sheet.values[event.key] = event.text
            self._fill()
            self.post_message(self.Filled())

    @on(Form.Finished)
    def _finished(self, event: Form.Finished) -> None:
        event.stop()
        self.post_message(self.Finished())
