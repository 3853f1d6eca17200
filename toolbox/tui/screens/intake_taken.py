"""What comes of reading a list and of writing it, as messages; where to look first."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from textual.message import Message

from toolbox.desk.intake import Intake
from toolbox.desk.intake_view import ChangeLine, Source, store_words
from toolbox.intake.reading import Question
from toolbox.tui.screens.intake_shown import Shown

FREE = "\0free"
_LETTERS = "123456789abcdefghijklmnopqrsuvwxyz"  # t types what should stand there
_MOST_ODD = 3


class Taken(Message):
    """A list was read, or could not be: then ``wrong`` says why. ``turn`` tells which reading."""

    def __init__(self, turn: int, source: Source | None, taken: Intake | None, wrong: str) -> None:
        super().__init__()
        self.turn = turn
        self.source = source
        self.taken = taken
        self.wrong = wrong


class WrittenList(Message):
    """What was accepted is in the kit."""


def first_view(shown: Shown) -> str:
    """Where to look first: at what is asked, else at what is refused, else at the changes."""
    if shown.taken.difference.questions:
        return "questions"
    if not shown.changes and shown.taken.difference.refusals:
        return "refused"
    return "changes" if shown.changes else "columns"


def choice_rows(question: Question) -> list[tuple[str, str, str]]:
    """The choices of a question for a menu; FREE where any other text will do as well."""
    rows = [(key, said, said) for key, said in zip(_LETTERS, question.choices, strict=False)]
    return [*rows, ("t", FREE, "Type what should stand there")] if question.free else rows


def question_words(lines: Collection[ChangeLine], odd: Sequence[str]) -> str:
    """What is asked before these are written, with what is odd about them."""
    said = [f"Write {store_words(lines)} into the kit?"]
    said += [f"{one}: is that right?" for one in odd[:_MOST_ODD]]
    said += [f"{len(odd) - _MOST_ODD} masses more are as odd."] if len(odd) > _MOST_ODD else []
    return " ".join(said)
