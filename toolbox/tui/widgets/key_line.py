"""The line of keys at the foot: what can be done here, the most useful first."""

from __future__ import annotations

from rich.cells import cell_len
from rich.style import Style
from rich.text import Text
from textual.events import Click, Resize
from textual.widget import Widget

from toolbox.tui.actions import Keys, for_place, key_words
from toolbox.tui.deeds.kinds import EVERYWHERE, Action

GAP = "  "
ALWAYS = ("help", "quit")  # at the right end, whatever the width
MOST = 6
MOST_WIDE = 10
WIDE = 100
TOUCHED = "key"  # under this name a cell of the line knows its key


class KeyLine(Widget):
    """Keys with their labels in one line; a label is shown whole or not at all.

    A click or a tap on one does what its key would do at that moment.
    """

    DEFAULT_CSS = """
    KeyLine { height: 1; background: $panel; color: $foreground; }
    """

    def __init__(self, place: str, keys: Keys) -> None:
        super().__init__()
        self._place = place
        self._keys = keys

    def on_mount(self) -> None:
        """In a line to type into other keys are heard than beside it."""
        self.watch(self.screen, "focused", self._follow, init=False)

    def _follow(self) -> None:
        self.refresh()

    def on_resize(self, event: Resize) -> None:
        """Choose again what fits."""
        self.refresh()

    def on_click(self, event: Click) -> None:
        """A key was touched."""
        key = event.style.meta.get(TOUCHED)
        if key is not None:
            event.stop()
            self.app.simulate_key(key)

    def render(self) -> Text:
        """The line as wide as the widget."""
        held = self.screen.focused
        typing = held is not None and held.check_consume_key("a", "a")
        if getattr(held, "answers", False):
            return answer_line(self._keys, self.size.width)
        return key_line(self._place, self._keys, self.size.width, typing=typing)


def key_line(place: str, keys: Keys, width: int, *, typing: bool = False) -> Text:
    """The keys of a place in so many cells: rows by priority, help and quit always.

    While one is typing into a line only the keys that are no signs: the others go into it.
    """
    rows = [*for_place(place), *for_place(EVERYWHERE)]
    if typing:
        keys = {id: _no_signs(heard) for id, heard in keys.items()}
        rows = [row for row in rows if keys[row.id]]
    always = [row for name in ALWAYS for row in rows if row.id == name]
    end = GAP.join(_words(row, keys) for row in always)
    room = width - cell_len(end)
    chosen: list[Action] = []
    most = MOST_WIDE if width >= WIDE else MOST
    for row in sorted(rows, key=lambda row: -row.priority):
        need = cell_len(_words(row, keys)) + len(GAP)
        if row in always or not row.priority or len(chosen) == most - len(always):
            continue
        if need <= room:
            chosen.append(row)
            room -= need
    line = Text(no_wrap=True, end="")
    for row in chosen:
        _append(line, row, keys)
        line.append(GAP)
    line.append(" " * room)
    for row in always:
        _append(line, row, keys)
        line.append(GAP if row is not always[-1] else "")
    return line


def answer_line(keys: Keys, width: int) -> Text:
    """The keys while one thing is asked for: Enter gives it, no key of the place is heard."""
    line = Text(no_wrap=True, end="")
    _append_key(line, "enter", "Done")
    line.append(GAP)
    return line.append_text(key_line("", keys, width - line.cell_len, typing=True))


def _no_signs(keys: tuple[str, ...]) -> tuple[str, ...]:
    # Enter is the line's own where it is only the second key for what stands beside it.
    heard = [key for n, key in enumerate(keys) if not (n and key == "enter")]
    return tuple(key for key in heard if key != "space" and len(key_words((key,))) > 1)


def _words(row: Action, keys: Keys) -> str:
    return f"{key_words(keys[row.id][:1])} {row.label}"


def _append(line: Text, row: Action, keys: Keys) -> None:
    _append_key(line, keys[row.id][0], row.label)


def _append_key(line: Text, key: str, label: str) -> None:
    touched = Style(meta={TOUCHED: key})
    line.append(key_words((key,)), Style(bold=True, reverse=True) + touched)
    line.append(f" {label}", touched)
