"""Rebuild: the checklist from today's box to the planned one."""

from __future__ import annotations

from collections.abc import Callable

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.message import Message
from textual.widgets import Static

from toolbox.desk.figures import capital
from toolbox.desk.folder import KitFolder
from toolbox.desk.picture import Picture
from toolbox.desk.plan_words import CAUTION
from toolbox.desk.rebuild import (
    Rebuild,
    RebuildStep,
    anew_words,
    step_words,
    things_words,
    tick,
    untick,
)
from toolbox.tui.actions import bindings, key_words
from toolbox.tui.shell import READING, Place
from toolbox.tui.text import plain
from toolbox.tui.widgets.checklist import CheckLine, CheckList, State

ORDER = "In this order nothing is in the way of the next step."
OUTSIDE = (
    "Nobody has said how the box lies today, so everything counts as lying outside it: "
    "empty the box first."
)
AS_PLANNED = "Nothing to do: the box lies as planned."


class Turned(Message):
    """A step is written down as done, or as not done (``done`` False); or that was refused."""

    def __init__(self, number: int, done: bool, *, refused: bool = False) -> None:
        super().__init__()
        self.number = number
        self.done = done
        self.refused = refused


class Steps(CheckList):
    """The checklist without notes, counts and carried lines: today's layout keeps only places."""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What cannot be kept is not offered."""
        if action in ("note", "carry_over"):
            return False
        return super().check_action(action, parameters)


class Rebuilding(Place):
    """One line a step; today's layout follows each tick."""

    PLACE = "rebuild"
    HELP = (
        "The steps from how the box lies today to the plan, in an order in which every "
        "compartment is free before it is filled. One key says that the marked step is done; "
        "today's layout follows at once, so that Find and Box stay right half-way, and you can "
        "stop at any step and go on tomorrow. A step is marked with a point while it is being "
        f"written, with an x once it is. {CAUTION}"
    )
    BINDINGS = bindings("rebuild")
    DEFAULT_CSS = """
    Rebuilding #how { height: auto; padding: 0 1; }
    Rebuilding Steps { padding: 0 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._to_next = True

    def body(self) -> ComposeResult:
        """How it is done in words, then the steps."""
        yield Static(READING, id="how", markup=False)
        steps = Steps(empty="")
        steps.display = False
        yield steps

    @property
    def steps(self) -> Steps:
        """The checklist."""
        return self.query_one(Steps)

    def show(self, picture: Picture) -> None:
        """Show the steps as they stand now; the mark stays where it is."""
        words, lines = seen(picture, key_words(self.toolbox.keys["go-plan"][:1]))
        self.query_one("#how", Static).update(Text("\n").join(map(plain, words)))
        self.steps.display = bool(lines)
        self.steps.show(lines)
        if lines and self._to_next:
            self._to_next = False
            self._mark_next()
            self.call_after_refresh(self.steps.rows.focus)

    def _mark_next(self) -> None:
        line = next((line for line in self.steps.lines if line.state == "open"), None)
        if line is not None:
            self.steps.rows.move_to(line.key)

    # ---- what can be done

    def action_tick(self) -> None:
        """The marked step is done."""
        self.steps.action_tick()

    def action_back(self) -> None:
        """The marked step is not done after all."""
        line = self.steps.line
        if line is not None and line.state == "open":
            self.toolbox.tell("This step is not done: there is nothing to take back.")
        else:
            self.steps.open_again()

    def take_back(self) -> bool:
        """Undo is for the steps here, never for the log, of which nothing is seen here.

        A tick that is still being written down comes first, so it is the one taken back.
        """
        self._to_next = True
        self.toolbox.write(untick, self._unticked)
        return True

    def _unticked(self, step: RebuildStep) -> str:
        self.post_message(Turned(step.number, False))
        return ""

    @on(CheckList.Ticked)
    def ticked(self, event: CheckList.Ticked) -> None:
        """Write the tick down; the line is shown as done once it is written."""
        event.stop()
        turn = Turn(int(event.key), event.state == "done", self.post_message)
        self.toolbox.write(turn, lambda _: "")

    @on(CheckList.WasDone)
    def was_done(self, event: CheckList.WasDone) -> None:
        """One key too many changes nothing; what takes the step back is another key."""
        event.stop()
        key = key_words(self.toolbox.keys["rebuild-back"][:1])
        self.toolbox.tell(f"Step {event.key} is done already; {key} takes it back.")

    @on(Turned)
    def turned(self, event: Turned) -> None:
        """It is written. Or it was not that step's turn: the mark goes to the one whose it is."""
        event.stop()
        if event.refused:
            self.steps.settle(str(event.number))
            if event.done:
                self._mark_next()
        else:
            self.steps.settle(str(event.number), "done" if event.done else "open")

    def marked_text(self) -> str:
        """The marked step with its things."""
        line = self.steps.line
        return "" if line is None else f"{line.words}: {line.detail}"


class Turn:
    """Ticking a step, or taking its tick back, as a change of the kit.

    `Turned` is posted once it is on the disk, before the slower picture of the kit follows.
    """

    def __init__(self, number: int, done: bool, post: Callable[[Message], object]) -> None:
        self._number, self._done, self._post = number, done, post

    def __call__(self, folder: KitFolder) -> RebuildStep:
        """Do it in this kit; whoever shows the list is told, also where it is refused."""
        try:
            step = (tick if self._done else untick)(folder, self._number)
        except Exception:
            self._post(Turned(self._number, self._done, refused=True))
            raise
        self._post(Turned(self._number, self._done))
        return step


def seen(picture: Picture, plan_key: str) -> tuple[tuple[str, ...], tuple[CheckLine, ...]]:
    """What to say of the rebuild of a picture's kit, and its steps."""
    if picture.folder is None:
        return ("The kit has faults: mend them first. Ready (F2) names each one.",), ()
    listed = picture.rebuild
    if picture.plan is None or listed is None:
        return (f"There is no plan that can be used yet: make one in Plan ({plan_key}).",), ()
    words = [AS_PLANNED] if not listed.steps else how_words(picture, listed)
    return tuple(words), tuple(_line(picture.folder, step) for step in listed.steps)


def how_words(picture: Picture, listed: Rebuild) -> list[str]:
    """How the work is done, and what to look out for."""
    if listed.next is None:
        return ["Done: the box now lies as planned."]
    if listed.done:
        return [ORDER]
    outside = picture.present is None or not picture.present.spots
    return [OUTSIDE if outside else ORDER, CAUTION]


def _line(folder: KitFolder, step: RebuildStep) -> CheckLine:
    words = step_words(folder.kit, step)
    things = "; ".join(filter(None, (things_words(folder.kit, step), anew_words(folder.kit, step))))
    state: State = "done" if step.done else "open"
    return CheckLine(str(step.number), f"{step.number:2}  {capital(words)}", things, state)
