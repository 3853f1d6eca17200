"""A list that is taken in, as it is shown: which view, its rows, what there is to say of one."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from rich.cells import cell_len
from rich.text import Text
from textual.events import Click
from textual.widget import Widget

from toolbox.desk.intake import Intake
from toolbox.desk.intake_view import (
    AskedLine,
    ChangeLine,
    ColumnLine,
    asked_lines,
    change_lines,
    column_lines,
    line_state,
    line_words,
)
from toolbox.intake.reading import Line, Refusal
from toolbox.tui.deeds.intake import VIEWS
from toolbox.tui.text import plain
from toolbox.tui.widgets.source import Column, Lined, Listed, Row, Source

COLUMNS = {
    "columns": (
        Column("column", least=14),
        Column("read as", width=16),
        Column("how", share=2, least=14),
        Column("first cell", width=18, priority=2),
    ),
    "questions": (
        Column("line", width=6, right=True),
        Column("what only you can say", share=4, least=20),
        Column("answer", width=14),
    ),
    "rows": (
        Column("line", width=6, right=True),
        Column("name", least=16),
        Column("read", share=2, least=14),
        Column("", width=7),
    ),
    "refused": (
        Column("line", width=6, right=True),
        Column("column", width=12, priority=1),
        Column("cell", width=16),
        Column("why", share=3, least=20),
    ),
    "changes": (
        Column("line", width=6, right=True),
        Column("entry", least=18),
        Column("what", width=8),
        Column("in the kit", width=14, priority=1),
        Column("by the list", share=1, least=14),
    ),
    "notes": (Column("", share=1),),
}
EMPTY = {
    "columns": "No columns: see Refused (4), or choose another list (f)",
    "questions": "Nothing is asked",
    "rows": "No rows could be read; see Questions (2) and Refused (4)",
    "refused": "Nothing was refused",
    "changes": "Nothing to change: of what could be read, the kit says the same",
    "notes": "Nothing was noted",
}
MARK = "x"


class _ColumnRows(Lined[ColumnLine]):
    def cells(self, i: int) -> tuple[Text, ...]:
        one = self.lines[i]
        return (plain(one.header), plain(one.meaning), plain(one.how), plain(one.sample))


class _AskedRows(Lined[AskedLine]):
    def cells(self, i: int) -> tuple[Text, ...]:
        one = self.lines[i]
        where = f"{one.lines[0]}" + ("+" if len(one.lines) > 1 else "") if one.lines else ""
        return (plain(where), plain(one.asked), plain(one.answer or "?"))

    def mark(self, i: int) -> str:
        """What is answered has a mark."""
        return MARK if self.lines[i].answer else ""


class _ReadRows:
    """Rows of a list, each put into words when it comes into view."""

    def __init__(self, lines: Sequence[Line]) -> None:
        self.lines = lines

    def __len__(self) -> int:
        """How many rows were read."""
        return len(self.lines)

    def key(self, i: int) -> str:
        """The number of the row, for a line may be there twice."""
        return str(i)

    def cells(self, i: int) -> tuple[Text, ...]:
        """Line, name, values, how it stands."""
        line = self.lines[i]
        rest = (
            f"{meaning} {value.words()}"
            for meaning, value in line.values.items()
            if meaning not in ("name", "job") and value.words()
        )
        return (
            plain(str(line.number)), plain(line.name), plain(", ".join(rest)),
            plain(line_state(line)),
        )  # fmt: skip


class _ChangeRows(Lined[ChangeLine]):
    def __init__(self, lines: Sequence[ChangeLine], accepted: Collection[str]) -> None:
        super().__init__(lines)
        self._accepted = accepted

    def cells(self, i: int) -> tuple[Text, ...]:
        one = self.lines[i]
        said = (str(one.entry.line), one.entry.thing.name, one.what, one.old, one.new or "nothing")
        return tuple(map(plain, said))

    def mark(self, i: int) -> str:
        """What is accepted has a mark."""
        return MARK if self.lines[i].key in self._accepted else ""


def _refused_rows(refusals: Iterable[Refusal]) -> Listed:
    return Listed(
        [
            Row(
                str(n),
                (
                    plain(str(r.line or "")),
                    plain(r.column),
                    plain(r.cell),
                    plain(f"{r.reason}; {r.cure}"),
                ),
            )
            for n, r in enumerate(refusals)
        ]
    )


def note_lines(taken: Intake) -> tuple[str, ...]:
    """Notes of the reading, and what the kit has and the list does not."""
    missing = taken.difference.missing
    left = (f"In the kit and not in the list, left alone: {', '.join(missing)}.",)
    return (*taken.difference.notes, *(left if missing else ()))


class Shown:
    """One reading laid out for the views; ``accepted`` are the keys of accepted changes."""

    def __init__(self, taken: Intake, accepted: Collection[str]) -> None:
        self.taken = taken
        self.changes = change_lines(taken.difference)
        self.columns = column_lines(taken)
        self.asked = asked_lines(taken)
        self.notes = note_lines(taken)
        # laid out once: the views are shown anew with each change that is accepted
        self._rows: dict[str, Source] = {
            "columns": _ColumnRows(self.columns),
            "questions": _AskedRows(self.asked),
            "rows": _ReadRows(taken.reading.lines),
            "refused": _refused_rows(taken.difference.refusals),
            "changes": _ChangeRows(self.changes, accepted),
            "notes": Listed([Row(str(n), (plain(said),)) for n, said in enumerate(self.notes)]),
        }

    def source(self, view: str) -> Source:
        """The rows of a view."""
        return self._rows[view]

    def counts(self) -> dict[str, int]:
        """How many rows each view has; of questions those that are open."""
        counted = {name: len(rows) for name, rows in self._rows.items()}
        return counted | {"questions": len(self.taken.difference.questions)}

    def about(self, view: str, row: int) -> tuple[str, ...]:
        """All there is to say of a row: a head, then lines."""
        match view:
            case "columns" if row < len(self.columns):
                one = self.columns[row]
                first = f"- its first filled cell: {one.sample}" if one.sample else ""
                said = (f"{one.header}: {one.meaning}", f"- {one.how}", first)
                return tuple(filter(None, said))
            case "questions" if row < len(self.asked):
                return _about_asked(self.asked[row])
            case "rows" if row < len(self.taken.reading.lines):
                return line_words(self.taken.reading.lines[row])
            case "refused" if row < len(self.taken.difference.refusals):
                return (self.taken.difference.refusals[row].sentence(),)
            case "changes" if row < len(self.changes):
                return _about_change(self.changes[row])
            case "notes" if row < len(self.notes):
                return ("", self.notes[row])
        return ()


def _about_asked(one: AskedLine) -> tuple[str, ...]:
    if one.question is None:
        return (f"{one.id}: answered {one.answer}", "- Enter takes the answer back and asks again")
    word = "line" if len(one.lines) == 1 else "lines"
    lines = [f"- {word} {', '.join(map(str, one.lines[:12]))}"] if one.lines else []
    more = ["- or what should stand there"] if one.question.free else []
    return (one.asked, *(f"- {choice}" for choice in one.question.choices), *more, *lines)


def _about_change(one: ChangeLine) -> tuple[str, ...]:
    thing = one.entry.thing
    if one.entry.known is None:
        return (f"Line {one.entry.line}: {thing.name} ({thing.id}) is new", f"- {one.new}")
    return (
        f"Line {one.entry.line}: {thing.name} ({thing.id}), {one.what}",
        f"- in the kit: {one.old or 'nothing'}",
        f"- by the list: {one.new or 'nothing'}",
    )


class Views(Widget):
    """The views with their digits and how many rows each has; the present one marked."""

    DEFAULT_CSS = """
    Views { height: 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._here = ""
        self._counts: dict[str, int] = {}
        self._spans: tuple[tuple[int, int, str], ...] = ()

    def show(self, here: str, counts: dict[str, int]) -> None:
        """Mark this view, with these counts."""
        self._here, self._counts = here, counts
        self.refresh()

    def render(self) -> Text:
        """One line; without the counts where it would not fit."""
        counted = [(f"{n} {label} {self._counts.get(name, '')}".rstrip(), name)
                   for n, (name, label) in enumerate(VIEWS, 1)]  # fmt: skip
        narrow = sum(cell_len(words) + 2 for words, _ in counted) > self.size.width
        if narrow:
            counted = [(f"{n} {label}", name) for n, (name, label) in enumerate(VIEWS, 1)]
        line = Text(no_wrap=True, end="")
        spans = []
        for words, name in counted:
            here = name == self._here
            said = f"[{words}]" if here else f"{words} " if narrow else f" {words} "
            spans.append((line.cell_len, line.cell_len + cell_len(said), name))
            line.append(said, "bold reverse" if here else "")
        self._spans = tuple(spans)
        return line

    async def on_click(self, event: Click) -> None:
        """A view was touched."""
        for start, end, name in self._spans:
            if start <= event.x < end:
                await self.run_action(f"screen.view('{name}')")

    def jump_spots(self) -> list[tuple[int, int, str]]:
        """Where the views stand, with the action of each: for jumping."""
        return [(start, 0, f"screen.view('{name}')") for start, _, name in self._spans]
