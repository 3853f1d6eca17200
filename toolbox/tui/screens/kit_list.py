"""Kit's list of one sort of entry, the line that says which sort, and the pane beside it."""

from __future__ import annotations

from rich.cells import cell_len
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Click
from textual.widget import Widget
from textual.widgets import Static

from toolbox.desk.edit_browse import HEADS, Item, counts, described
from toolbox.desk.edit_keys import SORTS, Sort
from toolbox.desk.edit_retire import named_in_kit
from toolbox.kit.kit import Kit
from toolbox.tui.text import plain
from toolbox.tui.widgets.source import Column

LABEL = 16


def columns(sort: Sort) -> tuple[Column, ...]:
    """The columns of a sort's list: the name, then what its heads say."""
    boxed = sort.word == "compartment"
    first, second, third = HEADS[sort.word]
    return (
        Column("name", share=3, least=20 if boxed else 26),
        Column(first, width=6 if boxed else 9, right=not boxed, priority=1),
        Column(second, width=20 if boxed else 9, right=not boxed, priority=3),
        Column(third, width=18 if boxed else 9, priority=2),
        Column("id", width=12, priority=4),
    )


class Entries:
    """Entries as rows, each written out when it comes into view."""

    def __init__(self, items: tuple[Item, ...]) -> None:
        self.items = items

    def __len__(self) -> int:
        """How many entries there are."""
        return len(self.items)

    def key(self, i: int) -> str:
        """The id of the entry in row i."""
        return self.items[i].id

    def cells(self, i: int) -> tuple[Text, ...]:
        """Row i: name, what the heads say, id."""
        item = self.items[i]
        return (plain(item.name), *map(plain, item.cells), plain(item.id))


class Sorts(Widget):
    """The sorts of entries with their digits and how many there are; the present one marked."""

    DEFAULT_CSS = """
    Sorts { height: 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._shown = SORTS[0]
        self._kit: Kit | None = None
        self._spans: tuple[tuple[int, int, str], ...] = ()

    def show(self, sort: Sort, kit: Kit | None) -> None:
        """Mark this sort, and count the entries of this kit."""
        self._shown, self._kit = sort, kit
        self.refresh()

    def render(self) -> Text:
        """One line, with the digits that lead there."""
        many = {sort.word: str(n) for sort, n in counts(self._kit)} if self._kit else {}
        line = Text(no_wrap=True, end="")
        spans = []
        for number, sort in enumerate(SORTS, start=1):
            words = f"{number} {sort.many.capitalize()} {many.get(sort.word, '')}".rstrip()
            here = sort is self._shown
            words = f"[{words}]" if here else f" {words} "
            spans.append((line.cell_len, line.cell_len + cell_len(words), sort.word))
            line.append(words, "bold reverse" if here else "")
        self._spans = tuple(spans)
        return line

    async def on_click(self, event: Click) -> None:
        """A sort was touched."""
        for start, end, word in self._spans:
            if start <= event.x < end:
                await self.run_action(f"screen.list_sort('{word}')")

    def jump_spots(self) -> list[tuple[int, int, str]]:
        """Where the sorts stand, with the action of each: for jumping."""
        return [(start, 0, f"screen.list_sort('{word}')") for start, _, word in self._spans]


class EntryDetail(VerticalScroll, can_focus=False):
    """The marked entry line by line, and who names it; shown where the window is wide."""

    def compose(self) -> ComposeResult:
        """One text."""
        yield Static("", id="entry", markup=False)

    def show(self, kit: Kit | None, sort: Sort, id: str | None) -> None:
        """Describe this entry; nothing without one."""
        said = Text("") if kit is None or id is None else entry_text(kit, sort, id)
        self.query_one("#entry", Static).update(Text("").append_text(said))


def entry_text(kit: Kit, sort: Sort, id: str) -> Text:
    """What there is to say of an entry: its lines that say something, and who names it."""
    draft = described(kit, sort, id)
    text = Text()
    if draft is None:
        return text
    for line in draft.lines():
        if line.text:
            text.append(f"{line.key.label:<{LABEL}} ", "bold")
            text.append_text(plain(line.text)).append("\n")
    for words in named_in_kit(kit, sort, id):
        text.append("\nnamed by ", "bold").append_text(plain(words))
    return text
