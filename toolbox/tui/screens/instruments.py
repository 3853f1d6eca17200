"""Checks: which instruments are due, their history, checks entered, events, corrections."""

from __future__ import annotations

from collections.abc import Callable, Hashable

from textual import on
from textual.message import Message

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.instrument_checks import (
    event,
    instrument_named,
    made_elsewhere,
    wound_down,
    write_of_instruments,
)
from toolbox.desk.instrument_sheet import (
    check_sheet,
    fill_check,
    pairs_sheet,
    reference_before,
    write_check,
)
from toolbox.desk.instrument_view import DueLine, setting_words
from toolbox.desk.instruments import kind_of
from toolbox.kit.checking import EventKind, SaidOfInstrument, Verdict
from toolbox.kit.things import Tool
from toolbox.tui.actions import key_words
from toolbox.tui.menu import Menu
from toolbox.tui.screens.instruments_look import LaidPane
from toolbox.tui.screens.instruments_sheet import Sheet, SheetForm
from toolbox.tui.screens.instruments_shown import ABOUT, LIST, SHEET, VERDICT, InstrumentsShown
from toolbox.tui.widgets.ask_line import AskLine
from toolbox.tui.widgets.rows import Rows

EVENTS = (
    ("d", EventKind.DROP.value, "It was dropped"),
    ("o", EventKind.OVERLOAD.value, "It was overloaded"),
    ("r", EventKind.REPAIR.value, "It was repaired"),
)
VERDICTS = (
    ("p", Verdict.PASS.value, "pass"),
    ("c", Verdict.CONDITIONAL_PASS.value, "conditional pass"),
    ("d", Verdict.CONDITIONAL_FAIL.value, "conditional fail"),
    ("f", Verdict.FAIL.value, "fail"),
)
NOT_THERE = "There is no instrument to do this with."
PAIRS = ""  # the sheet that checks no tool: gauges compared


class Written(Message):
    """A check is on the disk: this instrument's sheet is over with."""

    def __init__(self, tool: str) -> None:
        super().__init__()
        self.tool = tool


class Instruments(InstrumentsShown):
    """Everything that can be asked for in Checks."""

    HELP = (
        "Torque tools, gauges, scales, callipers and shop-made gauges, the most urgent first. "
        "OUT: its check is too old, it was used too often since, it failed, or something "
        "happened to it; do not trust it before a check. DUE SOON: within two weeks, or few "
        "uses are left. Checking asks for a reference better than the instrument and how far "
        "that may be off, then for what it said at each point. In the picture [ ] are the "
        "limits, o the mean error, x the worst reading, - the uncertainty. What is not written "
        "stays on its sheet until you leave the program. A check here does not replace an "
        "accredited calibration."
    )

    def __init__(self) -> None:
        super().__init__()
        self._sheets: dict[str, Sheet] = {}

    def stage(self) -> Hashable:
        """Enter opens, or writes."""
        return self.view

    def half_filled(self) -> bool:
        """A check that is typed and not written would be lost."""
        form = self.form.form
        typing = self.view == SHEET and form.pending
        return typing or any(sheet.begun for key, sheet in self._sheets.items() if key != PAIRS)

    def one_back(self) -> bool:
        """From the history or a verdict to the list; what is typed stays on its sheet."""
        if self.view == LIST:
            return False
        sheet = self.form.sheet
        if self.view == VERDICT and sheet is not None and sheet.tool:
            self.say(f"Not written. {self._key('check')} on it goes on with its check.")
        self.see(LIST)
        return True

    def marked_text(self) -> str:
        """What the pane says that is shown, in words."""
        pane = "#verdict" if self.view in (SHEET, VERDICT) else "#about"
        return self.query_one(pane, LaidPane).whole_text

    def _key(self, name: str) -> str:
        return key_words(self.toolbox.keys[f"instruments-{name}"][:1])

    def _meant(self) -> DueLine | None:
        """The marked instrument; None, with a word, where there is none."""
        line = self.marked
        if line is None:
            words = "The kit is being read." if self.picture is None else NOT_THERE
            self.toolbox.tell(words, refused=True)
        return line

    # ---- the views

    @on(Rows.Chosen, "#due")
    def _chosen(self) -> None:
        self.action_open()

    def action_open(self) -> None:
        """All of the marked instrument; a verdict is written."""
        if self.view == VERDICT:
            self._write_check()
        elif self.view == LIST and self.marked is not None:
            self.see(ABOUT)

    def action_check(self) -> None:
        """A sheet for the marked instrument, or back to the one that was judged."""
        sheet = self.form.sheet
        if self.view == VERDICT and sheet is not None and sheet.tool:
            self._fill(sheet)
            return
        line = self._meant()
        if line is None:
            return
        tool = line.stand.tool
        try:
            lines = check_sheet(tool)
        except DeskError as error:
            self.toolbox.tell(str(error), refused=True)
            return
        known = self._sheets.get(tool.id)
        folder = self.toolbox.folder
        before = reference_before(tool, folder.live) if folder is not None else {}
        values = known.values if known is not None else before
        self._fill(Sheet(tool.id, f"Check of {tool.name}", lines, values))

    def action_compare(self) -> None:
        """A sheet for gauges read two by two."""
        folder = self.toolbox.folder
        if folder is None:
            self._meant()
            return
        known = self._sheets.get(PAIRS)
        values = known.values if known is not None else {}
        title = "Gauges compared at one and the same pressure"
        self._fill(Sheet(PAIRS, title, pairs_sheet(folder.kit), values))

    def _fill(self, sheet: Sheet) -> None:
        self._sheets[sheet.tool] = sheet
        self.say("")
        self.see(SHEET)
        self.form.begin(sheet)
        self.judge()

    @on(SheetForm.Filled)
    def _filled(self) -> None:
        self.judge()

    @on(SheetForm.Finished)
    def _finished(self) -> None:
        sheet = self.form.sheet
        if sheet is not None and sheet.begun:
            self.see(VERDICT)
            self.judge()
        else:
            self.see(LIST)

    # ---- what is written

    def _write_check(self) -> None:
        sheet = self.form.sheet
        tool = self.tool_of(sheet) if sheet is not None else None
        if sheet is None or tool is None:
            return
        filled = fill_check(tool, sheet.values)
        if not filled.has_verdict:
            reasons = "; ".join(filled.refused)
            self.toolbox.tell(f"No verdict: {reasons}. Nothing was written.", refused=True)
            return
        when, values = self.toolbox.when(), dict(sheet.values)

        def said(_: str) -> str:
            self.post_message(Written(tool.id))
            return f"Written: {tool.name}. {self._undo} takes it back."

        self.toolbox.write(lambda folder: write_check(folder, tool.id, values, when), said)

    @property
    def _undo(self) -> str:
        """The key that takes the last entry back."""
        return key_words(self.toolbox.keys["undo"][:1])

    @on(Written)
    def _written(self, message: Written) -> None:
        self._sheets.pop(message.tool, None)
        if self.view == VERDICT and self.form.sheet and self.form.sheet.tool == message.tool:
            self.see(LIST)

    def _write(self, tool: Tool, make: Callable[[Tool], SaidOfInstrument], words: str) -> None:
        when = self.toolbox.when()
        self.say("")  # an answer given before may hold no more

        def do(folder: KitFolder) -> str:
            said = make(instrument_named(folder.kit, tool.id))
            return write_of_instruments(folder, [said], when)

        self.toolbox.write(do, lambda _: f"{words} {self._undo} takes it back.")

    def action_happened(self) -> None:
        """Ask what happened to the marked instrument."""
        line = self._meant()
        if line is not None:
            tool = line.stand.tool
            menu = Menu(f"What happened to {tool.name}", EVENTS)
            self.app.push_screen(menu, lambda what: self._happened(tool, what))

    def _happened(self, tool: Tool, what: str | None) -> None:
        if what is not None:
            words = f"{tool.name} {what}: check it before it is used again."
            self._write(tool, lambda one: event(one, EventKind(what)), words)

    def action_wound(self) -> None:
        """The marked torque tool is wound down."""
        line = self._meant()
        if line is not None:
            tool = line.stand.tool
            self._write(tool, wound_down, f"Wound down: {tool.name}.")

    def action_elsewhere(self) -> None:
        """Ask who checked the marked instrument, and what they found."""
        line = self._meant()
        if line is not None:
            tool = line.stand.tool
            self._ask(f"Who checked {tool.name}", lambda who: self._found(tool, who.strip()))

    def _found(self, tool: Tool, who: str) -> None:
        def found(verdict: str | None) -> None:
            if verdict is not None:
                words = f"Checked by {who}: {tool.name}, {verdict}."
                self._write(tool, lambda one: made_elsewhere(one, who, Verdict(verdict)), words)

        self.app.push_screen(Menu(f"What {who} found", VERDICTS), found)

    # ---- what to set, and the line that asks

    def action_set_to(self) -> None:
        """Ask for the true value wanted of the marked instrument."""
        line = self._meant()
        folder, picture = self.toolbox.folder, self.picture
        if line is None or folder is None or picture is None:
            return
        tool = line.stand.tool
        if kind_of(tool) is None:
            self.toolbox.tell(f"Nothing says what {tool.name} measures.", refused=True)
            return

        def answer(typed: str) -> None:
            self.say(" ".join(setting_words(folder, tool.id, typed, picture.today)))

        self._ask(f"True value wanted of {tool.name}", answer)

    def _ask(self, words: str, then: Callable[[str], None]) -> None:
        self.query_one(AskLine).ask(words, then)
