"""Log: job steps, loose picks and supplies written down as they happen, with gloves on."""

from __future__ import annotations

from collections.abc import Callable

from textual import on

from toolbox.desk.likely import Sort
from toolbox.desk.log_cautions import would_mix
from toolbox.desk.visits import Change
from toolbox.tui.menu import Menu
from toolbox.tui.screens.log_asking import Asking
from toolbox.tui.screens.log_pen import Marks, NotWritten, Pen, Written
from toolbox.tui.screens.log_steps import Steps
from toolbox.tui.screens.log_view import LogView
from toolbox.tui.widgets.rows import Rows

MIXED = (("b", "not", "do not log it"), ("l", "log", "it was done so: log it"))


class Log(LogView):
    """One field for everything, the steps of the job at hand, the last entries."""

    HELP = (
        "Type a few letters of a job, a tool, a supply or a bike and press Enter, press the digit "
        "of a likely one, or scan a code. A job shows its steps: Space takes the marked one as "
        "usual, and Escape leaves the job; choosing it again within three hours goes on with it. "
        "A tool is logged at once as picked outside any job; of a supply you are asked how much. "
        "Escape leads out of the field to the last entries: there Enter takes the marked one "
        "back, or brings it back."
    )

    # ---- what was meant

    def on_asking_meant(self, event: Asking.Meant) -> None:
        """A job, tool, supply or bike."""
        id = event.id
        if event.sort is Sort.BIKE:
            self._ride(id)
        elif event.sort is Sort.JOB:
            self._open(id)
            if event.at_once:
                self.action_take()
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
        if self.job.visit is not None:
            self._change(lambda change: change.with_supply(event.supply, event.amount))
        else:
            self._spend(event.supply, event.amount)

    def on_asking_noted(self, event: Asking.Noted) -> None:
        """For the marked step, or for the next pick."""
        if self.job.visit is not None:
            self._change(lambda change: change.with_note(event.note))
        else:
            self.note = event.note
            self.look_again()
            self.home()

    def on_asking_given_up(self, event: Asking.GivenUp) -> None:
        """Nothing was said after all."""
        self.home()

    def on_steps_scanned(self, event: Steps.Scanned) -> None:
        """A tool or supply scanned while a job is at hand was taken in the marked step."""
        visit = self.job.visit
        if visit is not None and not self.asking.scanned(event.code, visit.job.id):
            self.ask("add")
            self.asking.field.line.value = event.code

    def _ride(self, bike: str) -> None:
        self.bike = bike
        visit = self.job.visit
        if visit is not None and visit.bike != bike:
            self._open(visit.job.id)
        else:
            self.look_again()
            self.home()

    def _open(self, job: str) -> None:
        if self.folder is not None:
            now, bike = self.toolbox.now(), self.bike or ""
            self.job.open(self.folder.live, self.kit.job(job), bike, now)
            self._show_job()

    def _show_job(self) -> None:
        self.look_again()
        if self.job.left:
            self.steps.mark(self.job.left[0])
        self.home()

    # ---- writing

    @property
    def _pen(self) -> Pen:
        return Pen(self.toolbox, self.post_message)

    def _marks(self) -> Marks:
        """What goes with the next pick; the note goes with one only."""
        note, self.note = self.note, ""
        return Marks(self.bike or "", self.urgent, note)

    def _pick(self, tool: str) -> None:
        self._pen.pick(tool, self._marks())
        self.look_again()

    def _spend(self, supply: str, amount: str) -> None:
        self._pen.spend(supply, amount, self._marks())
        self.look_again()
        self.home()

    def _log(self, numbers: tuple[int, ...]) -> None:
        """Log these steps, asked once more where fluids would meet that must not."""
        orders = self.job.orders(numbers)
        mixed = would_mix(self.kit, [self.job.done(o, urgent=self.urgent) for o in orders])
        if not mixed:
            self._write(numbers)
            return
        visit = self.job.visit
        title = "\n".join(f"CAUTION: {words}" for words in mixed)

        def answered(what: str | None) -> None:
            # what was logged meanwhile, or another job, is not what was asked about
            if what == "log" and self.job.visit == visit:
                self._write(numbers)

        # no comes first: a key pressed twice must not be a yes
        self.app.push_screen(Menu(title, MIXED), answered)

    def _write(self, numbers: tuple[int, ...]) -> None:
        after = self.job.after(numbers[-1])
        for order in self.job.order(numbers):
            self._pen.log(self.job.done(order, urgent=self.urgent), order)
        if not self.job.left:
            self.leave_job()
            return
        self.look_again()
        if after is not None:
            self.steps.mark(after)

    @on(Written)
    def _written(self, message: Written) -> None:
        # Shown at once; with a long log the next picture takes its time.
        self.job.written(message.entry)
        self.entries.put_first(message.entry)
        self.look_again()
        if message.cautions:
            self.toolbox.tell("\n".join(f"CAUTION: {words}" for words in message.cautions))

    @on(NotWritten)
    def _not_written(self, message: NotWritten) -> None:
        # The session tells why; the steps are open again.
        self.job.refused(message.visit, message.order)
        self.look_again()

    def _change(self, changed: Callable[[Change], Change]) -> None:
        step = self.steps.marked
        if step is not None and self.job.visit is not None:
            self.job.put_change(step.number, changed(self.job.change(step.number)))
            self.look_again()
        self.home()

    # ---- what can be asked for

    def action_take(self) -> None:
        """Log the marked step."""
        step = self.steps.marked if self.job.visit is not None else None
        if step is None:
            self.home()
        elif step.number in self.job.left:
            self._log((step.number,))
        else:
            self.toolbox.tell("This step is logged. x takes a marked entry back.")

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        event.stop()
        if event.rows is self.entries.rows:
            self.action_undo_marked()
        else:
            self.action_take()

    def action_first(self) -> None:
        """The job that the letters mean, and its first step as usual; else on to what is next."""
        field = self.asking.field
        if self.asking.mode == "anything" and field.line.has_focus and field.line.value:
            field.take_at_once()
        else:
            self.focus_next()

    def action_rest(self) -> None:
        """Log all steps that are open."""
        if self.job.left:
            self._log(self.job.left)

    def action_add(self) -> None:
        """Into the field."""
        self.ask("add" if self.job.visit is not None else "anything")

    def action_drop(self) -> None:
        """Ask for the tool that is not taken."""
        if self.job.visit is not None:
            self.ask("drop")

    def action_bike(self) -> None:
        """Ask for the bike."""
        self.ask("bike")

    def action_urgent(self) -> None:
        """Turn urgent on or off for what comes."""
        self.urgent = not self.urgent
        self.look_again()

    def action_note(self) -> None:
        """Ask for a note."""
        step = self.steps.marked if self.job.visit is not None else None
        self.add_class("-asking")
        self.asking.ask_note(self.note if step is None else self.job.change(step.number).note)

    def action_anew(self) -> None:
        """The same job once more."""
        if self.job.visit is not None:
            self.job.anew()
            self._show_job()

    def action_last(self) -> None:
        """To the last entries."""
        self.entries.rows.focus()

    def action_undo_marked(self) -> None:
        """Take the marked entry back, or bring it back."""
        entry = self.entries.marked
        if entry is not None:
            self._pen.toggle(entry)
