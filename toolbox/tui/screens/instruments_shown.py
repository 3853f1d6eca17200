"""Checks as it looks: the due list, all of one instrument, a sheet to fill in, its verdict."""

from __future__ import annotations

from functools import partial

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.events import ScreenResume
from textual.widget import Widget
from textual.widgets import Static

from toolbox.desk.errors import DeskError
from toolbox.desk.instrument_sheet import Filled, fill_check, pairs_words
from toolbox.desk.instrument_view import DueLine, about, due_lines, due_words
from toolbox.desk.instruments import CAUTION
from toolbox.desk.picture import Picture
from toolbox.kit.things import Tool
from toolbox.tui.actions import bindings, key_words
from toolbox.tui.screens.instruments_look import (
    COLUMNS,
    DueSource,
    LaidPane,
    about_text,
    verdict_text,
    words_text,
)
from toolbox.tui.screens.instruments_sheet import Faults, Sheet, SheetForm
from toolbox.tui.shell import READING, Place
from toolbox.tui.text import plain
from toolbox.tui.widgets.ask_line import AskLine
from toolbox.tui.widgets.rows import Rows

FAULTS = "The kit has faults: mend them first. Ready (F2) names each one."
LIST, ABOUT, SHEET, VERDICT = "list", "about", "sheet", "verdict"
VIEWS = (LIST, ABOUT, SHEET, VERDICT)


class InstrumentsShown(Place):
    """One view at a time where it is narrow; side by side list and history, sheet and verdict."""

    PLACE = "instruments"
    BINDINGS = bindings("instruments")
    VERTICAL_BREAKPOINTS = [*(Place.VERTICAL_BREAKPOINTS or ()), (24, "-tall")]  # noqa: RUF012
    DEFAULT_CSS = """
    InstrumentsShown #head { height: auto; padding: 0 1; text-style: bold; }
    InstrumentsShown #caution { height: 1; padding: 0 1; }
    InstrumentsShown #did { height: auto; padding: 0 1; text-style: italic; }
    InstrumentsShown #sides { height: 1fr; }
    InstrumentsShown #left, InstrumentsShown LaidPane, InstrumentsShown SheetForm {
        display: none; width: 1fr; height: 1fr;
    }
    InstrumentsShown #marked { height: 3; padding: 0 1; border-top: solid $primary; }
    InstrumentsShown #marked { display: none; }
    InstrumentsShown.-narrow.-tall #marked { display: block; }
    InstrumentsShown.-wide #about, InstrumentsShown.-wide #verdict {
        border-left: solid $primary;
    }
    InstrumentsShown.-view-list #left, InstrumentsShown.-view-about #about { display: block; }
    InstrumentsShown.-view-sheet #sheet, InstrumentsShown.-view-verdict #verdict {
        display: block;
    }
    InstrumentsShown.-wide.-view-list #about, InstrumentsShown.-wide.-view-about #left {
        display: block;
    }
    InstrumentsShown.-wide.-view-sheet #verdict, InstrumentsShown.-wide.-view-verdict #sheet {
        display: block;
    }
    InstrumentsShown AskLine { padding: 0 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.view = LIST
        self.picture: Picture | None = None
        self.lines: tuple[DueLine, ...] = ()
        self._of: tuple[Picture, str] | None = None

    def body(self) -> ComposeResult:
        """How many are due, the caution, what was said last; the views; a line to ask with."""
        yield Static(READING, id="head", markup=False)
        yield Static(CAUTION, id="caution", markup=False)
        yield Static("", id="did", markup=False)
        with Horizontal(id="sides"):
            with Vertical(id="left"):
                yield Rows(COLUMNS, empty=READING, id="due")
                yield Static("", id="marked", markup=False)
            yield LaidPane(id="about")
            yield SheetForm(self.faults_of, id="sheet")
            yield LaidPane(id="verdict")
        yield AskLine()

    def on_mount(self) -> None:
        """The list first."""
        super().on_mount()
        self.see(LIST)

    @property
    def rows(self) -> Rows:
        """The due list."""
        return self.query_one("#due", Rows)

    @property
    def form(self) -> SheetForm:
        """The sheet that is filled in."""
        return self.query_one(SheetForm)

    @property
    def marked(self) -> DueLine | None:
        """The instrument under the cursor."""
        key = self.rows.cursor_key
        return next((line for line in self.lines if line.key == key), None)

    # ---- what is shown

    def show(self, picture: Picture) -> None:
        """List anew; the mark stays on its instrument, and what is typed where it is."""
        self.picture = picture
        folder = picture.folder
        self.lines = () if folder is None else due_lines(folder, picture.today)
        words = FAULTS if folder is None else due_words(self.lines)
        self.query_one("#head", Static).update(plain(words))
        self.rows.refill(DueSource(self.lines), empty="nothing to check")
        self._go_to_wanted()
        self._about()
        if self.view in (SHEET, VERDICT):
            self.judge()

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Catch up, and mark what another place named."""
        super().on_screen_resume(event)
        self._go_to_wanted()

    def _go_to_wanted(self) -> None:
        wanted = self.toolbox.wanted
        if wanted is not None and self.lines and self.is_current:
            self.toolbox.wanted = None
            if self.rows.move_to(wanted) and self.view == ABOUT:
                self.see(LIST)

    @on(Rows.Moved, "#due")
    def _moved(self) -> None:
        self.say("")
        self._about()

    def _about(self) -> None:
        pane, line, picture = self.query_one("#about", LaidPane), self.marked, self.picture
        marked = self.query_one("#marked", Static)
        if picture is None or picture.folder is None or line is None:
            pane.show(partial(words_text, ()))
            marked.update("")
            return
        marked.update(plain(f"{line.state.value}: {line.why}"))
        if self._of != (picture, line.key):
            same = self._of is not None and self._of[1] == line.key
            self._of = picture, line.key
            found = about(picture.folder, line, picture.today)
            pane.show(partial(about_text, found), home=not same)

    def see(self, view: str) -> None:
        """Show this view; the keys go to it."""
        self.view = view
        for each in VIEWS:
            self.set_class(each == view, f"-view-{each}")
        first: dict[str, Widget] = {
            LIST: self.rows,
            ABOUT: self.query_one("#about"),
            SHEET: self.form.form,
            VERDICT: self.query_one("#verdict"),
        }
        self.call_after_refresh(first[view].focus)

    def say(self, words: str) -> None:
        """What was answered last, above the list; "" for nothing."""
        did = self.query_one("#did", Static)
        did.update(plain(words))
        did.display = bool(words)

    # ---- the sheet

    def tool_of(self, sheet: Sheet) -> Tool | None:
        """The instrument that a sheet checks, None when it is in the kit no more."""
        return next((one.stand.tool for one in self.lines if one.key == sheet.tool), None)

    def faults_of(self, sheet: Sheet) -> Faults:
        """What is wrong on the lines of a sheet."""
        tool = self.tool_of(sheet)
        return fill_check(tool, sheet.values).faults if tool is not None else {}

    def judge(self) -> None:
        """The verdict on what stands on the sheet now, beside it."""
        sheet, pane = self.form.sheet, self.query_one("#verdict", LaidPane)
        if sheet is None:
            return
        if not sheet.tool:
            pane.show(partial(words_text, self._compared(sheet)))
            return
        tool = self.tool_of(sheet)
        if tool is None:
            pane.show(partial(words_text, ("This instrument is in the kit no more.",)))
            return
        filled = fill_check(tool, sheet.values)
        pane.show(partial(verdict_text, tool, filled, self._hint(filled)))

    def _compared(self, sheet: Sheet) -> tuple[str, ...]:
        folder = self.picture.folder if self.picture is not None else None
        if folder is None:
            return (FAULTS,)
        key = key_words(self.toolbox.keys["instruments-compare"][:1])
        back = f"{key}: back to the pairs. Esc: back to the list."
        if not sheet.begun:
            return ("Two gauges that agree prove little: with a third one it shows who is off.",)
        try:
            return (*pairs_words(folder.kit, sheet.values), back)
        except DeskError as error:
            return ("Nothing can be said yet", f"- {error}", back)

    def _hint(self, filled: Filled) -> str:
        key = key_words(self.toolbox.keys["instruments-check"][:1])
        if self.view == SHEET:
            return "Nothing is written yet. Esc: on to the verdict."
        write = "Enter: write this down. " if filled.has_verdict else "Nothing can be written. "
        return f"{write}{key}: back to the readings. Esc: leave it."
