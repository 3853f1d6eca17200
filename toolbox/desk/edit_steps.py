"""The steps of a job that is open as a draft: a new one between others, one moved, one out.

Only texts change their lines; what is written, and what is refused, is as with any typing.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum

from toolbox.desk.edit import Draft
from toolbox.desk.edit_keys import step_keys
from toolbox.desk.errors import DeskError

_PART = [key.key.rpartition(".")[2] for key in step_keys(1)]
Texts = tuple[str, ...]


class Turn(Enum):
    """What can be done with a step; the value is a word for it."""

    NEW = "new"
    EARLIER = "earlier"
    LATER = "later"
    OUT = "out"


def step_at(key: str) -> int | None:
    """The number of the step that a line belongs to, None for a line of the job itself."""
    first, _, rest = key.partition(".")
    return int(rest.partition(".")[0]) if first == "step" else None


def turned(draft: Draft, number: int, turn: Turn) -> tuple[Draft, int]:
    """The draft with that done to its step of this number, and where to go on: a step's number.

    Raises DeskError when there is no such step, or none to change places with.
    """
    steps = _steps(draft)
    if turn is Turn.NEW:
        return _with(
            draft, [*steps[: number - 1], ("",) * len(_PART), *steps[number - 1 :]]
        ), number
    if number > len(steps):
        raise DeskError("this step is not filled in yet")
    at = number - 1
    if turn is Turn.OUT:
        return _with(draft, [*steps[:at], *steps[number:]]), max(1, min(number, len(steps) - 1))
    other = at - 1 if turn is Turn.EARLIER else at + 1
    if not 0 <= other < len(steps):
        raise DeskError(f"this is the {'first' if other < 0 else 'last'} step already")
    steps[at], steps[other] = steps[other], steps[at]
    return _with(draft, steps), other + 1


def _steps(draft: Draft) -> list[Texts]:
    """What stands on the lines of each step, without the empty ones at the end."""
    last = max(filter(None, (step_at(line.key.key) for line in draft.lines())), default=0)
    steps = [tuple(draft.text(f"step.{n}.{part}") for part in _PART) for n in range(1, last + 1)]
    while steps and not any(steps[-1]):
        steps.pop()
    return steps


def _with(draft: Draft, steps: Sequence[Texts]) -> Draft:
    many = max(len(steps), len(_steps(draft)))
    for n in range(1, many + 1):
        texts = steps[n - 1] if n <= len(steps) else ("",) * len(_PART)
        for part, text in zip(_PART, texts, strict=True):
            draft = draft.typed(f"step.{n}.{part}", text)
    return draft
