"""What Log shows and where its focus is: field or steps, and the last entries."""

from __future__ import annotations

from collections.abc import Hashable

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import DescendantFocus, ScreenResume, ScreenSuspend
from textual.widgets import Static

from toolbox.desk.diary import last_entries
from toolbox.desk.folder import KitFolder
from toolbox.desk.likely import Choice, bike_at_hand, likely_now
from toolbox.desk.picture import Picture
from toolbox.desk.shift import told_since
from toolbox.desk.visits import to_drop
from toolbox.kit.kit import Kit
from toolbox.tui.actions import bindings
from toolbox.tui.screens.log_asking import Asking, Mode
from toolbox.tui.screens.log_entries import SHOWN, LastEntries
from toolbox.tui.screens.log_job import JobAtHand
from toolbox.tui.screens.log_steps import Steps, head
from toolbox.tui.shell import READING, Place
from toolbox.tui.undoing import take_back_now
from toolbox.tui.widgets.rows import Rows

FAULTS = "The kit has faults, so nothing can be logged. F2 shows what is wrong."
EMPTY = "This kit has no jobs and no tools yet.\nTake in your lists with: toolbox import FILE.csv"
LIVE = "What an entry changes in the ranking is told here."


class LogView(Place):
    """The field or the steps of the job at hand, and the last entries below or beside them."""

    PLACE = "log"
    BINDINGS = bindings("log")
    DEFAULT_CSS = """
    LogView #sides { layout: vertical; height: 1fr; }
    LogView #none { display: none; padding: 1 2; }
    LogView.-nothing #none { display: block; }
    LogView.-nothing #sides { display: none; }
    LogView #work { height: auto; }
    LogView #head { height: auto; max-height: 2; padding: 0 1; text-style: bold; }
    LogView Steps { display: none; height: 1fr; }
    LogView.-job #work { height: 2fr; }
    LogView.-job Steps { display: block; }
    LogView.-job Asking { display: none; }
    LogView.-job.-asking Asking { display: block; }
    LogView LastEntries { height: 1fr; border-top: solid $primary; }
    LogView.-job.-asking LastEntries { display: none; }
    LogView.-wide #sides { layout: horizontal; }
    LogView.-wide #work { width: 1fr; height: 100%; }
    LogView.-wide LastEntries, LogView.-wide.-job.-asking LastEntries {
        display: block; width: 1fr; height: 100%; border-top: none; border-left: solid $primary;
    }
    """

    def __init__(self) -> None:
        super().__init__()
        # Set where another place was gone to, not where something only lay over this one.
        self._away = False
        self.folder: KitFolder | None = None
        self._before: Picture | None = None
        self.bike: str | None = None
        self.urgent = False
        self.note = ""
        self.job = JobAtHand()

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
        assert self.folder is not None, "no kit was seen yet"
        return self.folder.kit

    # ---- what is shown

    def show(self, picture: Picture) -> None:
        """Follow the kit and its log; what is being typed stays."""
        before, self._before = self._before, picture
        self.folder = folder = picture.folder
        things = () if folder is None else (folder.kit.jobs, folder.kit.tools, folder.kit.supplies)
        first = before is None or self.has_class("-nothing")
        self.set_class(not any(things), "-nothing")
        if folder is None or picture.study is None or not any(things):
            self.job.close()
            self.query_one("#none", Static).update(Text(FAULTS if folder is None else EMPTY))
            return
        if self.bike is None:
            self.bike = bike_at_hand(folder.live, picture.today)
        self.asking.show(likely_now(folder.kit, picture.study.usage, folder.live), self.bike)
        gone = self.job.see(folder)
        self.entries.show(last_entries(folder, SHOWN), picture.today)
        words = told_since(before, picture) or (LIVE if first else "")
        if words:
            self.entries.tell(words)
        self.look_again()
        if first or gone:
            self.call_after_refresh(self.home)

    def look_again(self) -> None:
        """Show the job at hand, the bike, what is urgent or noted as they are now."""
        visit = self.job.visit
        self.set_class(visit is not None, "-job")
        left, bike = len(self.job.left), self.bike or ""
        words = head(bike, visit, left, urgent=self.urgent, note=self.note)
        self.query_one("#head", Static).update(words)
        if visit is not None:
            warned = cautions(self._before)
            self.steps.show(self.kit, visit, self.job.changes, self.job.writing, warned)

    # ---- where the focus is

    def on_screen_suspend(self, event: ScreenSuspend) -> None:
        """Another place is gone to, or help or a menu lies over this one."""
        self._away = self.toolbox.current_mode != "log"

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Coming back from another place, one types at once."""
        if self._away:
            self.call_after_refresh(self.begin_again)
        self._away = False

    def begin_again(self) -> None:
        """One types at once: letters beside the field take entries back. An amount stays."""
        if self.folder is not None and not self.asking.has_class("-line"):
            self.home()

    def home(self) -> None:
        """The focus to the steps of the job at hand, or into the field where there is none."""
        self.remove_class("-asking")
        self.asking.ask("anything")
        if self.job.visit is not None:
            self.steps.rows.focus()
        else:
            self.asking.field.focus()

    def ask(self, mode: Mode) -> None:
        """Ask for a thing by letters, for the marked step if there is a job at hand."""
        visit, step = self.job.visit, self.steps.marked
        job = ""
        tools: tuple[Choice, ...] = ()
        if visit is not None and step is not None:
            job, tools = visit.job.id, to_drop(self.kit, step, self.job.change(step.number))
        self.add_class("-asking")
        self.asking.ask(mode, job=job, tools=tools)
        self.asking.field.focus()

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """Escape or the mouse led to a list: what was asked for is given up."""
        asked = self.asking.mode != "anything" or self.asking.has_class("-line")
        if isinstance(event.widget, Rows) and asked:
            self.remove_class("-asking")
            self.asking.ask("anything")

    def stage(self) -> Hashable:
        """The job at hand, and which part of the place hears Enter."""
        visit, held = self.job.visit, self.focused
        part = type(held.parent).__name__ if held is not None else ""
        return (visit.id if visit is not None else "", part)

    def take_back(self) -> bool:
        """The last entry, which is seen here, at once."""
        take_back_now(self.toolbox)
        return True

    def one_back(self) -> bool:
        """From the steps to the field; from the last entries out of the place."""
        if self.job.visit is None:
            return False
        self.leave_job()
        return True

    def leave_job(self) -> None:
        """Back to the field; what is left of the job can be gone on with."""
        self.job.close()
        self.urgent = False
        self.look_again()
        self.home()

    def half_filled(self) -> bool:
        """Whether a change of a step, an amount or a note would be lost."""
        return bool(self.job.changes) or self.asking.half_filled

    def marked_text(self) -> str:
        """The marked entry, or the marked step."""
        if self.entries.rows.has_focus:
            entry = self.entries.marked
            return f"{entry.at:%Y-%m-%d %H:%M} {entry.words}" if entry is not None else ""
        step = self.steps.marked if self.job.visit is not None else None
        return step.text if step is not None else ""


def cautions(picture: Picture | None) -> dict[str, str]:
    """What Ready says of instruments that are out and supplies past their date, by their id."""
    findings = picture.findings if picture is not None else ()
    return {f.subject: f.words for f in findings if f.caution is not None}
