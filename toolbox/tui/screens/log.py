"""Log: job steps, loose picks and supplies written down as they happen, with gloves on."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import DescendantFocus, ScreenResume
from textual.widgets import Static

from toolbox.desk.diary import last_entries
from toolbox.desk.folder import KitFolder
from toolbox.desk.likely import Choice, Sort, bike_at_hand, likely_now
from toolbox.desk.picture import Picture
from toolbox.desk.shift import told_since
from toolbox.desk.visits import Change, to_drop
from toolbox.kit.kit import Kit
from toolbox.tui.actions import bindings
from toolbox.tui.screens.log_asking import Asking, Mode
from toolbox.tui.screens.log_entries import SHOWN, LastEntries
from toolbox.tui.screens.log_job import JobAtHand
from toolbox.tui.screens.log_pen import Marks, NotWritten, Pen
from toolbox.tui.screens.log_steps import Steps, head
from toolbox.tui.shell import READING, Place
from toolbox.tui.widgets.rows import Rows

FAULTS = "The kit has faults, so nothing can be logged. F2 shows what is wrong."
EMPTY = "This kit has no jobs and no tools yet.\nTake in your lists with: toolbox import FILE.csv"
LIVE = "What an entry changes in the ranking is told here."


class Log(Place):
    """One field for everything, the steps of the job at hand, the last entries."""

    PLACE = "log"
    HELP = (
        "Type a few letters of a job, a tool, a supply or a bike and press Enter, press the digit "
        "of a likely one, or scan a code. A job shows its steps: Space takes the marked one as "
        "usual, and Escape leaves the job; choosing it again within three hours goes on with it. "
        "A tool is logged at once as picked outside any job; of a supply you are asked how much. "
        "Escape leads out of the field to the last entries: there Enter takes the marked one "
        "back, or brings it back."
    )
    BINDINGS = bindings("log")
    DEFAULT_CSS = """
    Log #sides { layout: vertical; height: 1fr; }
    Log #none { display: none; padding: 1 2; }
    Log.-nothing #none { display: block; }
    Log.-nothing #sides { display: none; }
    Log #work { height: auto; }
    Log #head { height: auto; max-height: 2; padding: 0 1; text-style: bold; }
    Log Steps { display: none; height: 1fr; }
    Log.-job #work { height: 2fr; }
    Log.-job Steps { display: block; }
    Log.-job Asking { display: none; }
    Log.-job.-asking Asking { display: block; }
    Log LastEntries { height: 1fr; border-top: solid $primary; }
    Log.-job.-asking LastEntries { display: none; }
    Log.-wide #sides { layout: horizontal; }
    Log.-wide #work { width: 1fr; height: 100%; }
    Log.-wide LastEntries, Log.-wide.-job.-asking LastEntries {
        display: block; width: 1fr; height: 100%; border-top: none; border-left: solid $primary;
    }
    """

    def __init__(self) -> None:
        super().__init__()
        self._folder: KitFolder | None = None
        self._before: Picture | None = None
        self._bike: str | None = None
        self._urgent = False
        self._note = ""
        self._job = JobAtHand()

    def body(self) -> ComposeResult:
        """Work at hand, then the last entries: below or beside each other."""
        yield Static(READING, id="none", markup=False)
        with Vertical(id="sides"):
            with Vertical(id="work"):
                yield Static("", id="head", markup=False)
                yield Steps()
                yield Asking()
            yield LastEntries()

    @property
    def steps(self) -> Steps:
        """The steps of the job at hand."""
        return self.query_one(Steps)

    @property
    def asking(self) -> Asking:
        """The field for letters and codes, or the line for an amount or a note."""
        return self.query_one(Asking)

    @property
    def entries(self) -> LastEntries:
        """The last entries."""
        return self.query_one(LastEntries)

    @property
    def kit(self) -> Kit:
        """The kit as last seen; asked only where there is one."""
        assert self._folder is not None, "no kit was seen yet"
        return self._folder.kit

    # ---- what is shown

    def show(self, picture: Picture) -> None:
        """Follow the kit and its log; what is being typed stays."""
        before, self._before = self._before, picture
        self._folder = folder = picture.folder
        things = () if folder is None else (folder.kit.jobs, folder.kit.tools, folder.kit.supplies)
        first = before is None or self.has_class("-nothing")
        self.set_class(not any(things), "-nothing")
        if folder is None or picture.study is None or not any(things):
            self._job.close()
            self.query_one("#none", Static).update(Text(FAULTS if folder is None else EMPTY))
            return
        if self._bike is None:
            self._bike = bike_at_hand(folder.live, picture.today)
        self.asking.show(likely_now(folder.kit, picture.study.usage, folder.live), self._bike)
        gone = self._job.see(folder)
        self.entries.show(last_entries(folder, SHOWN), picture.today)
        words = told_since(before, picture) or (LIVE if first else "")
        if words:
            self.entries.tell(words)
        self._look_again()
        if first or gone:
            self.call_after_refresh(self._home)

    def _look_again(self) -> None:
        """Show the job at hand, the bike, what is urgent or noted as they are now."""
        visit = self._job.visit
        self.set_class(visit is not None, "-job")
        left, bike = len(self._job.left), self._bike or ""
        words = head(bike, visit, left, urgent=self._urgent, note=self._note)
        self.query_one("#head", Static).update(words)
        if visit is not None:
            self.steps.show(self.kit, visit, self._job.changes, self._job.writing)

    # ---- where the focus is

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Coming back, one types at once."""
        if self._folder is not None and not self.asking.has_class("-line"):
            self.call_after_refresh(self._home)

    def _home(self) -> None:
        """To the steps of the job at hand, or into the field where there is none."""
        self.remove_class("-asking")
        self.asking.ask("anything")
        if self._job.visit is not None:
            self.steps.rows.focus()
        else:
            self.asking.field.focus()

    def _ask(self, mode: Mode) -> None:
        visit, step = self._job.visit, self.steps.marked
        job = ""
        tools: tuple[Choice, ...] = ()
        if visit is not None and step is not None:
            job = visit.job.id
            tools = to_drop(self.kit, step, self._job.change(step.number))
        self.add_class("-asking")
        self.asking.ask(mode, job=job, tools=tools)
        self.asking.field.focus()

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """Escape led out of the field: what it asked for is given up."""
        if isinstance(event.widget, Rows) and self.asking.mode != "anything":
            self.remove_class("-asking")
            self.asking.ask("anything")

    def one_back(self) -> bool:
        """From the steps to the field; from the last entries out of the place."""
        if self._job.visit is None:
            return False
        self._leave_job()
        return True

    def half_filled(self) -> bool:
        """Whether a change of a step, an amount or a note would be lost."""
        return bool(self._job.changes) or self.asking.half_filled

    def marked_text(self) -> str:
        """The marked entry, or the marked step."""
        if self.entries.rows.has_focus:
            entry = self.entries.marked
            return f"{entry.at:%Y-%m-%d %H:%M} {entry.words}" if entry is not None else ""
        step = self.steps.marked if self._job.visit is not None else None
        return step.text if step is not None else ""

    # ---- what was meant

    def on_asking_meant(self, event: Asking.Meant) -> None:
        """A job, tool, supply or bike."""
        id = event.id
        if event.sort is Sort.BIKE:
            self._ride(id)
        elif event.sort is Sort.JOB:
            self._open(id)
        elif event.sort is Sort.SUPPLY:
            self.asking.ask_amount(self.kit.supply(id))
        elif event.mode == "add":
            self._change(lambda change: change.with_tool(id))
        elif event.mode == "drop":
            self._change(lambda change: change.without_tool(id))
        else:
            self._pick(id)

    def on_asking_amount(self, event: Asking.Amount) -> None:
        """Used in the marked step, or outside any job."""
        if self._job.visit is not None:
            self._change(lambda change: change.with_supply(event.supply, event.amount))
        else:
            self._spend(event.supply, event.amount)

    def on_asking_noted(self, event: Asking.Noted) -> None:
        """For the marked step, or for the next pick."""
        if self._job.visit is not None:
            self._change(lambda change: change.with_note(event.note))
        else:
            self._note = event.note
            self._look_again()
            self._home()

    def on_asking_given_up(self, event: Asking.GivenUp) -> None:
        """Nothing was said after all."""
        self._home()

    def on_steps_scanned(self, event: Steps.Scanned) -> None:
        """A tool or supply scanned while a job is at hand was taken in the marked step."""
        visit = self._job.visit
        if visit is not None and not self.asking.scanned(event.code, visit.job.id):
            self._ask("add")
            self.asking.field.line.value = event.code

    def _ride(self, bike: str) -> None:
        self._bike = bike
        visit = self._job.visit
        if visit is not None and visit.bike != bike:
            self._open(visit.job.id)
        else:
            self._look_again()
            self._home()

    def _open(self, job: str) -> None:
        if self._folder is not None:
            now, bike = self.toolbox.now(), self._bike or ""
            self._job.open(self._folder.live, self.kit.job(job), bike, now)
            self._show_job()

    def _show_job(self) -> None:
        self._look_again()
        if self._job.left:
            self.steps.mark(self._job.left[0])
        self._home()

    def _leave_job(self) -> None:
        self._job.close()
        self._urgent = False
        self._look_again()
        self._home()

    # ---- writing

    @property
    def _pen(self) -> Pen:
        return Pen(self.toolbox, self.post_message)

    def _marks(self) -> Marks:
        """What goes with the next pick; the note goes with one only."""
        note, self._note = self._note, ""
        return Marks(self._bike or "", self._urgent, note)

    def _pick(self, tool: str) -> None:
        self._pen.pick(tool, self._marks())
        self._look_again()

    def _spend(self, supply: str, amount: str) -> None:
        self._pen.spend(supply, amount, self._marks())
        self._look_again()
        self._home()

    def _log(self, numbers: Iterable[int]) -> None:
        for order in self._job.order(numbers):
            self._pen.log(self._job.done(order, urgent=self._urgent), order)
        if self._job.left:
            self._look_again()
        else:
            self._leave_job()

    @on(NotWritten)
    def _not_written(self, message: NotWritten) -> None:
        # The session tells why; the steps are open again.
        self._job.refused(message.visit, message.order)
        self._look_again()

    def _change(self, changed: Callable[[Change], Change]) -> None:
        step = self.steps.marked
        if step is not None and self._job.visit is not None:
            self._job.put_change(step.number, changed(self._job.change(step.number)))
            self._look_again()
        self._home()

    # ---- what can be asked for

    def action_take(self) -> None:
        """Log the marked step."""
        step = self.steps.marked if self._job.visit is not None else None
        if step is None:
            self._home()
        elif step.number in self._job.left:
            after = self._job.after(step.number)
            self._log((step.number,))
            if after is not None and self._job.visit is not None:
                self.steps.mark(after)
        else:
            self.toolbox.tell("This step is logged. x takes a marked entry back.")

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        event.stop()
        if event.rows is self.entries.rows:
            self.action_undo_marked()
        else:
            self.action_take()

    def action_rest(self) -> None:
        """Log all steps that are open."""
        if self._job.visit is not None:
            self._log(self._job.left)

    def action_add(self) -> None:
        """Into the field."""
        self._ask("add" if self._job.visit is not None else "anything")

    def action_drop(self) -> None:
        """Ask for the tool that is not taken."""
        if self._job.visit is not None:
            self._ask("drop")

    def action_bike(self) -> None:
        """Ask for the bike."""
        self._ask("bike")

    def action_urgent(self) -> None:
        """Turn urgent on or off for what comes."""
        self._urgent = not self._urgent
        self._look_again()

    def action_note(self) -> None:
        """Ask for a note."""
        step = self.steps.marked if self._job.visit is not None else None
        self.add_class("-asking")
        self.asking.ask_note(self._note if step is None else self._job.change(step.number).note)

    def action_anew(self) -> None:
        """The same job once more."""
        if self._job.visit is not None:
            self._job.anew()
            self._show_job()

    def action_last(self) -> None:
        """To the last entries."""
        self.entries.rows.focus()

    def action_undo_marked(self) -> None:
        """Take the marked entry back, or bring it back."""
        entry = self.entries.marked
        if entry is not None:
            self._pen.toggle(entry)
