"""What the place Plan says of a plan and of a search, put together from the desk's sentences."""

from __future__ import annotations

from collections.abc import Callable

from textual.message import Message

from toolbox.desk.errors import DeskError
from toolbox.desk.figures import capital, count
from toolbox.desk.picture import Picture
from toolbox.desk.plan_words import (
    NOTHING_TO_COMPARE,
    OLD,
    cost_words,
    fault_words,
    proof_words,
    saving_words,
    unplaced_words,
)
from toolbox.desk.plans import Comparison, Plan, plan_seen
from toolbox.tui.screens.plan_search import Phase, Solving, Wish

TAKE_IN = "toolbox import FILE.csv"


class Judged(Message):
    """What there is to say of the plan in a picture of the kit; ``made`` is None without one."""

    def __init__(self, picture: Picture, made: Plan | None, words: tuple[str, ...]) -> None:
        super().__init__()
        self.picture, self.made, self.words = picture, made, words


def seen(picture: Picture) -> tuple[Plan | None, tuple[str, ...]]:
    """The plan of a picture, if there is one that can be used, and what to say of it."""
    if picture.folder is None or picture.study is None:
        return None, ("The kit has faults: mend them first. Ready (F2) names each one.",)
    if picture.plan is None:
        return None, (no_plan_words(picture),)
    try:
        made = plan_seen(picture.study, picture.plan)
    except DeskError as error:
        return None, (str(error),)
    kit, versus = picture.folder.kit, made.comparison
    cost = f"{cost_words(kit, made)} {proof_words(made)}"
    words = [NOTHING_TO_COMPARE if versus is None else saving_words(versus), cost]
    if not made.fresh:
        words.append(f"OLD: {OLD}")
    if versus is not None:
        words += filter(None, (unplaced_words(kit, versus), faulty_words(versus)))
    return made, tuple(words)


def faulty_words(versus: Comparison) -> str:
    """Where today's layout does not hold: the first fault, and how many there are more."""
    faults = fault_words(versus)
    more = f" (and {count(len(faults) - 1, 'fault')} more: Ready names each)"
    return "" if not faults else faults[0] + (more if len(faults) > 1 else "")


def no_plan_words(picture: Picture) -> str:
    """Why there is no plan to show, and what to do."""
    told = (f.words for f in picture.findings if f.command in ("toolbox plan", TAKE_IN))
    words = next(told, "no plan of the box was made yet")
    return f"{capital(words)}."


def run_words(solving: Solving | None, wish: Wish, key: Callable[[str], str]) -> str:
    """How the search stands, and what can be asked for next; ``key`` gives an action's key."""
    next_one = f"{key('plan-search')} plans ({wish.effort_words}; {key('plan-effort')} changes it)."
    if solving is None:
        return next_one
    gone = f"{solving.gone:.0f} s"
    if solving.phase is Phase.STOPPING:
        return f"Stopping after {gone}: the best so far is kept."
    if solving.phase is Phase.SEARCHING and solving.wish.curve:
        return f"Working out {solving.wish.words}: {gone} gone. {key('plan-stop')} stops."
    if solving.phase is Phase.SEARCHING:
        so_far = f"{gone} gone, {solving.wish.words}. Best so far: {solving.heard.words}."
        return f"Searching: {so_far} {key('plan-stop')} stops and keeps it."
    if solving.phase is Phase.NONE:
        return f"No layout found in {gone} ({solving.wish.words}). {next_one}"
    if solving.curve is not None:
        return f"Curve done in {gone}. {next_one}"
    found = f"Searched {gone} ({solving.wish.words}): {solving.heard.words}."
    return f"{found} {next_one}"
