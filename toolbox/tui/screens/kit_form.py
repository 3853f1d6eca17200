"""The form of one entry of the kit: opened, filled in, checked, written, and shut again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.message import Message

from toolbox.desk.edit import (
    Draft,
    Faulty,
    Outcome,
    Overtaken,
    Written,
    differences,
    faults_so_far,
    new_entry,
    on_top_of,
    open_entry,
    write_draft,
)
from toolbox.desk.edit_browse import Thing, spelled, thing
from toolbox.desk.edit_keys import Sort
from toolbox.desk.edit_steps import Turn, step_at, turned
from toolbox.desk.edit_table import LineFault, next_id
from toolbox.desk.errors import DeskError
from toolbox.desk.figures import capital
from toolbox.desk.folder import KitFolder
from toolbox.desk.odd_masses import odd_in_draft
from toolbox.kit.kit import Kit
from toolbox.tui.menu import Menu
from toolbox.tui.screens.kit_changed import MINE, Changed
from toolbox.tui.text import plain
from toolbox.tui.widgets.form import Form, FormLine

if TYPE_CHECKING:
    from toolbox.tui.app import ToolboxApp


STEPS_KEY = "F12 steps"
STEPS = (
    ("n", Turn.NEW.value, "A new step before this one"),
    ("e", Turn.EARLIER.value, "This step earlier"),
    ("l", Turn.LATER.value, "This step later"),
    ("o", Turn.OUT.value, "This step out"),
)
ODD = (("g", "on", "No: go on filling in"), ("w", "right", "It is right: write it"))


class EntryForm(Vertical):
    """A form and the draft in it. Posts `Opened`, and `Shut` with the entry to be marked.

    What reads or writes files runs in the thread of the kit's session and answers with a
    message; lines are checked one by one as they are left, the whole when it is written.
    """

    DEFAULT_CSS = """
    EntryForm { height: 1fr; }
    """

    class Opened(Message):
        """An entry is in the form."""

    class Shut(Message):
        """The form is empty again; ``id`` is the entry that was in it, "" for none."""

        def __init__(self, id: str) -> None:
            super().__init__()
            self.id = id

    class Got(Message):
        """An entry was read from its file, with the kit of that moment."""

        def __init__(self, draft: Draft, kit: Kit) -> None:
            super().__init__()
            self.draft = draft
            self.kit = kit

    class Seen(Message):
        """The open entry as it is now; None when it is gone."""

        def __init__(self, theirs: Draft | None, kit: Kit) -> None:
            super().__init__()
            self.theirs = theirs
            self.kit = kit

    class Answered(Message):
        """What came of writing."""

        def __init__(self, outcome: Outcome, kit: Kit) -> None:
            super().__init__()
            self.outcome = outcome
            self.kit = kit

    def __init__(self) -> None:
        super().__init__()
        self._draft: Draft | None = None
        self._kit: Kit | None = None
        self._known: Thing | None = None
        self._faults: tuple[LineFault, ...] = ()
        self._sure = ""  # about which odd mass somebody said that it is right

    def compose(self) -> ComposeResult:
        """The form."""
        yield Form()

    @property
    def _app(self) -> ToolboxApp:
        return cast("ToolboxApp", self.app)

    @property
    def form(self) -> Form:
        """The lines."""
        return self.query_one(Form)

    @property
    def is_open(self) -> bool:
        """Whether an entry is in the form."""
        return self._draft is not None

    @property
    def half_filled(self) -> bool:
        """Whether something was typed that is not written yet."""
        return self._draft is not None and (bool(self._draft.changes) or self.form.pending)

    @property
    def words(self) -> str:
        """The lines that say something, as plain text."""
        lines = self._draft.lines() if self._draft is not None else ()
        return "\n".join(f"{line.key.label}: {line.text}" for line in lines if line.text)

    def focus(self, scroll_visible: bool = True) -> EntryForm:
        """Focus goes to the line that is typed into."""
        self.form.focus(scroll_visible)
        return self

    # ---- opening

    def open(self, sort: Sort, id: str, copied: bool = False) -> None:
        """Have an entry read from its file, and open it, or a copy of it."""

        def do(folder: KitFolder) -> Message:
            draft = open_entry(folder, sort, id)
            return self.Got(new_entry(sort, draft) if copied else draft, folder.kit)

        self._app.write(do, self._posted)

    def add(self, kit: Kit, sort: Sort) -> None:
        """Open an empty form."""
        self._take(new_entry(sort), kit)

    def _posted(self, message: Message) -> str:
        self.post_message(message)
        return ""

    @on(Got)
    def _got(self, event: EntryForm.Got) -> None:
        event.stop()
        if self._draft is None:
            self._take(event.draft, event.kit)

    def _take(self, draft: Draft, kit: Kit) -> None:
        self._draft, self._kit, self._faults = draft, kit, ()
        self._known = thing(kit, draft.sort, draft.id) if draft.id else None
        self._fill()
        self.form.start("name")
        self.post_message(self.Opened())

    # ---- filling in

    def _fill(self) -> None:
        draft, kit = self._draft, self._kit
        if draft is None or kit is None:
            return
        faults: dict[str, list[str]] = {}
        for fault in self._faults:
            faults.setdefault(fault.key, []).append(fault.words)
        self.form.fill(self._heading(draft), self._lines(draft, kit), faults)

    def _lines(self, draft: Draft, kit: Kit) -> list[FormLine]:
        lines = []
        for line in draft.lines():
            key, usual = line.key, line.key.usual
            if key.key == "id" and not draft.id:
                usual = next_id(kit, draft.sort, draft.text("name"))
            names = spelled(kit, key, line.text)
            said = f"{names} - {key.help}" if names else key.help
            steps = STEPS_KEY if step_at(key.key) is not None else ""
            lines.append(FormLine(key.key, key.label, line.text, said, usual, line.changed, steps))
        return lines

    def _heading(self, draft: Draft) -> Text:
        what = f" ({draft.sort.word} {draft.id})" if draft.id else f" (new {draft.sort.word})"
        changed, wrong = len(draft.changes), len(self._faults)
        said = [f"{changed} changed"] if changed else []
        said += [f"{wrong} to mend"] if wrong else []
        return plain(draft.name + what + "".join(f"   {words}" for words in said))

    @on(Form.Typed)
    def _typed(self, event: Form.Typed) -> None:
        event.stop()
        if self._draft is None or self._kit is None:
            return
        self._draft = self._draft.typed(event.key, event.text)
        self._faults = faults_so_far(self._kit, self._draft)
        self._fill()

    def ask_steps(self) -> None:
        """Ask what to do with the step of a job that one is on."""
        number = step_at(self.form.at) if self._draft is not None else None
        if number is None:
            self._app.tell("Go to a step of a job in its form first.")
            return
        title = f"Step {number} (what is logged keeps the numbers of then)"
        self.app.push_screen(Menu(title, STEPS), lambda turn: self._turn(number, turn))

    def _turn(self, number: int, answer: str | None) -> None:
        draft = self._settled()
        if draft is not None and self._kit is not None and answer is not None:
            try:
                self._draft, number = turned(draft, number, Turn(answer))
            except DeskError as error:
                self._app.tell(f"{capital(str(error))}.", refused=True)
            else:
                self._faults = faults_so_far(self._kit, self._draft)
                self._fill()
                self.form.start(f"step.{number}.text")
        self.focus()

    # ---- leaving

    @on(Form.Finished)
    def _finished(self, event: Form.Finished) -> None:
        event.stop()
        self._ask()

    def leave(self) -> None:
        """Out of the form; what was typed is asked about."""
        self._ask()

    def _settled(self) -> Draft | None:
        """The draft with what stands on the line that is typed into."""
        if self._draft is not None and self.form.pending:
            self._draft = self._draft.typed(self.form.at, self.form.line.value)
        return self._draft

    def _ask(self) -> None:
        draft = self._settled()
        if draft is None:
            return
        if not draft.changes:
            self._shut(draft.id)
            return
        many = "1 line" if len(draft.changes) == 1 else f"{len(draft.changes)} lines"
        rows = [
            ("w", "write", "Write it into the file"),
            ("g", "on", "Go on filling in"),
            ("d", "drop", "Drop what was typed"),
        ]
        self.app.push_screen(Menu(f"{draft.name}: {many} filled in", rows), self._told)

    def _told(self, answer: str | None) -> None:
        if answer == "write":
            self._ask_back()
        elif answer == "drop" and self._draft is not None:
            self._shut(self._draft.id)
        else:
            self.focus()

    def _shut(self, id: str) -> None:
        self._draft = self._kit = self._known = None
        self._sure = ""
        self.post_message(self.Shut(id))

    # ---- writing

    def _ask_back(self) -> None:
        """Ask once about a mass out of all proportion, then write."""
        draft, kit = self._draft, self._kit
        odd = odd_in_draft(kit, draft) if draft is not None and kit is not None else ""
        if odd in ("", self._sure):
            self._write()
            return

        def answered(answer: str | None) -> None:
            if answer == "right" and self._draft is draft:
                self._sure = odd
                self._write()
            else:
                self.form.start("mass")

        # no comes first: an Enter too many must not be a yes
        self.app.push_screen(Menu(f"{odd}. Is that right?", ODD), answered)

    def _write(self) -> None:
        draft = self._draft
        if draft is None:
            return

        def said(outcome: tuple[Outcome, Kit]) -> str:
            self.post_message(self.Answered(*outcome))
            return outcome[0].words if isinstance(outcome[0], Written) else ""

        self._app.write(lambda folder: (write_draft(folder, draft), folder.kit), said)
        self.focus()

    @on(Answered)
    def _answered(self, event: EntryForm.Answered) -> None:
        event.stop()
        outcome = event.outcome
        if self._draft is None:
            return
        if isinstance(outcome, Written):
            self._shut(outcome.id)
        elif isinstance(outcome, Faulty):
            self._faulty(outcome.faults)
        else:
            self._overtaken(outcome, event.kit)

    def _faulty(self, faults: Sequence[LineFault]) -> None:
        self._faults = tuple(faults)
        self._fill()
        self.form.start(faults[0].key)
        many = "one thing is" if len(faults) == 1 else f"{len(faults)} things are"
        self._app.tell(f"Nothing was written: {many} to be mended first.", refused=True)

    # ---- when somebody else changed the entry

    def look_again(self, kit: Kit) -> None:
        """The kit has changed: is the entry still the one that was opened?"""
        draft = self._draft
        if draft is None:
            return
        self._kit = kit
        if not draft.id or thing(kit, draft.sort, draft.id) == self._known:
            self._fill()
            return
        self._known = thing(kit, draft.sort, draft.id)

        def do(folder: KitFolder) -> Message:
            try:
                return self.Seen(open_entry(folder, draft.sort, draft.id), folder.kit)
            except DeskError:
                return self.Seen(None, folder.kit)

        self._app.write(do, self._posted)

    @on(Seen)
    def _seen(self, event: EntryForm.Seen) -> None:
        event.stop()
        self._overtaken(Overtaken(event.theirs), event.kit)

    def _overtaken(self, outcome: Overtaken, kit: Kit) -> None:
        draft, theirs = self._settled(), outcome.theirs
        if draft is None or (theirs is not None and theirs.table == draft.table):
            return
        # Under a menu, or in another place, it waits: writing finds it again.
        if not self.screen.is_current:
            return
        if theirs is not None and not draft.changes:
            self._take(theirs, kit)
            self._app.tell(f"Somebody else changed {theirs.name}: shown as it is now.")
            return
        sides = differences(draft, theirs if theirs is not None else Draft(draft.sort, "", {}))

        def chosen(answer: str | None) -> None:
            if answer == MINE:
                self._take(on_top_of(draft, theirs), kit)
            elif answer is not None and theirs is not None:
                self._take(theirs, kit)
            elif answer is not None:
                self._shut("")
            else:
                self.focus()

        self.app.push_screen(Changed(draft.name, sides, theirs is None), chosen)
