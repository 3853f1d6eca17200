"""The steps of the job at hand: which are logged, what the marked one takes, scans of tools."""

from __future__ import annotations

from collections.abc import Mapping

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import Static

from toolbox.desk.visits import USUAL, Change, Visit, takes
from toolbox.kit.kit import Kit
from toolbox.kit.things import base_id
from toolbox.kit.work import Step
from toolbox.tui.text import plain
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Column, Listed, Row

COLUMNS = (
    Column("", width=3),
    Column("step", share=3, least=24),
    Column("takes", share=2, least=20, priority=1),
)
TYPING = "letters and Enter, or a digit; Esc: keys below"
OPEN, LOGGED, WRITING, CHANGED = "[ ]", "[x]", "[.]", "*"


def head(bike: str, visit: Visit | None, left: int, *, urgent: bool, note: str) -> Text:
    """One line on what is at hand: bike, job and how far it is, urgent or not, a note."""
    if visit is None:
        text = plain(f"Bike {bike}" if bike else "No bike")
    else:
        steps = len(visit.job.steps)
        on = f", bike {visit.bike}" if visit.bike else ""
        since = f", since {visit.begun:%H:%M}" if visit.begun is not None else ""
        text = plain(f"{visit.job.name}{on}: {steps - left} of {steps} done{since}")
    if urgent:
        text = text + Text("  ") + Text(" URGENT ", "reverse")
    if note:
        text = text + plain(f"  Note: {note}")
    return text if visit is not None else text + Text(f"   {TYPING}", "not bold")


class Steps(Vertical):
    """One row a step, the marked one told whole below.

    A scanner may type into it: a code that begins with a digit or a capital letter is
    gathered until Enter and posted as `Scanned`, so that it never logs a step by mistake.
    """

    DEFAULT_CSS = """
    Steps Rows { height: auto; max-height: 75%; }
    Steps .steps--whole { height: auto; max-height: 5; padding: 0 1 0 3; }
    """

    class Scanned(Message):
        """This code and Enter were typed."""

        def __init__(self, code: str) -> None:
            super().__init__()
            self.code = code

    def __init__(self) -> None:
        super().__init__()
        self._kit: Kit | None = None
        self._visit: Visit | None = None
        self._changes: Mapping[int, Change] = {}
        self._warnings: Mapping[str, str] = {}
        self._code = ""

    def compose(self) -> ComposeResult:
        """The rows, and below them all of the marked one."""
        yield Rows(COLUMNS, head=False, empty="this job has no steps")
        yield Static("", classes="steps--whole", markup=False)

    @property
    def rows(self) -> Rows:
        """The list of steps."""
        return self.query_one(Rows)

    @property
    def marked(self) -> Step | None:
        """The step under the cursor."""
        key = self.rows.cursor_key
        steps = self._visit.job.steps if self._visit is not None else ()
        return next((step for step in steps if str(step.number) == key), None)

    def mark(self, number: int) -> None:
        """Put the cursor on this step."""
        self.rows.move_to(str(number))

    def show(
        self,
        kit: Kit,
        visit: Visit,
        changes: Mapping[int, Change],
        writing: frozenset[int],
        warned: Mapping[str, str],
    ) -> None:
        """Show the steps; those in ``writing`` are on their way into the log.

        ``warned`` says of each tool that is out of check, and of each supply past its date,
        by its id, that it is, and why.
        """
        self._kit, self._visit, self._changes, self._warnings = kit, visit, changes, warned
        rows = []
        for step in visit.job.steps:
            n = step.number
            box = LOGGED if n in visit.done else WRITING if n in writing else OPEN
            change = changes.get(n, USUAL)
            cells = (plain(box), plain(step.text), plain(takes(kit, step, change)))
            rows.append(Row(str(n), cells, CHANGED if change != USUAL else ""))
        self.rows.refill(Listed(rows))
        self._tell()

    def _tell(self) -> None:
        self.query_one(".steps--whole", Static).update(self._whole())

    def _whole(self) -> Text:
        if self._code:
            return plain(f"Scanned > {self._code}")
        step = self.marked
        if step is None or self._kit is None:
            return Text("")
        change = self._changes.get(step.number, USUAL)
        text = plain(f"{step.number}. {step.text}: ") + plain(takes(self._kit, step, change))
        if change.note:
            text += plain(f". Note: {change.note}")
        # What is out goes first: the end of a long step may be cut.
        return Text("").join((*self._warned(step, change), text))

    def _warned(self, step: Step, change: Change) -> list[Text]:
        taken = dict.fromkeys((*(base_id(pick.tool) for pick in step.picks), *change.more))
        tools = [tool for tool in taken if tool not in change.fewer]
        drawn = (*(draw.supply for draw in step.draws), *(supply for supply, _ in change.used))
        lead = {**dict.fromkeys(tools, "OUT "), **dict.fromkeys(drawn, "CAUTION ")}
        return [
            Text(word, "bold").append_text(plain(self._warnings[thing])).append("\n")
            for thing, word in lead.items()
            if thing in self._warnings
        ]

    @on(Rows.Moved)
    def _moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._tell()

    def on_key(self, event: events.Key) -> None:
        """Gather what a scanner types; small letters alone are what they are everywhere."""
        sign = event.character or ""
        if sign.isprintable() and sign and (self._code or sign.isdigit() or sign.isupper()):
            self._gathered(event, self._code + sign)
        elif self._code and event.key == "backspace":
            self._gathered(event, self._code[:-1])
        elif self._code and event.key == "escape":
            self._gathered(event, "")
        elif self._code and event.key == "enter":
            code = self._code
            self._gathered(event, "")
            self.post_message(self.Scanned(code))

    def _gathered(self, event: events.Key, code: str) -> None:
        event.stop()
        self._code = code
        self._tell()
