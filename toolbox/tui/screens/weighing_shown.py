"""What the screen for weighing is made of: its list, its line, what it is told."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.message import Message

from toolbox.desk.weighing import Stored
from toolbox.desk.weighing_list import ToPutOn, WeighList
from toolbox.tui.text import plain
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.source import Column, Lined

COLUMNS = (
    Column("thing", share=3, least=24),
    Column("mass", width=18),
    Column("why", share=1, least=20, priority=1),
    Column("id", width=12, priority=2),
)
NOBODY = "No tool and no supply goes by these letters"


class ThingRows(Lined[ToPutOn]):
    """Things to be weighed as rows."""

    def cells(self, i: int) -> tuple[Text, ...]:
        """Row i: name, mass, what for it is weighed, id."""
        one = self.lines[i]
        return (plain(one.thing.name), plain(one.mass), plain(one.why), plain(one.key))

    def mark(self, i: int) -> str:
        """What was weighed has a mark."""
        return "x" if self.lines[i].weighed else ""


class ScaleLine(Entry):
    """The line for a thing and its reading; up and down move in the list below it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "beside(-1)", "Thing above", show=False, id="scale.up"),
        Binding("down", "beside(1)", "Thing below", show=False, id="scale.down"),
    ]

    class Beside(Message):
        """So many rows down in the list."""

        def __init__(self, rows: int) -> None:
            super().__init__()
            self.rows = rows

    def action_beside(self, rows: int) -> None:
        """Move in the list of things."""
        self.post_message(self.Beside(rows))


class Ordered(Message):
    """The list in the order of weighing."""

    def __init__(self, order: WeighList) -> None:
        super().__init__()
        self.order = order


class Done(Message):
    """A reading is in the kit, or (``stored`` None) could not be written."""

    def __init__(self, thing: str, stored: Stored | None) -> None:
        super().__init__()
        self.thing = thing
        self.stored = stored
