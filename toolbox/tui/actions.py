"""One table of everything the screens can be asked to do, and of the places in them.

Key bindings, the line of keys, help, the command palette and README's table are all
made from these rows, so that none of them can say something else than the others.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from textual.binding import Binding

EVERYWHERE = "everywhere"
SCREENS_ONLY = "(about the screens alone)"

Keys = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """A place of the screens: its name, what tabs call it, how one goes there.

    ``letter`` follows ``g``; ``keys`` go there at once. ``screen`` is module and class
    below ``toolbox.tui.screens``, loaded when first gone to. ``command`` gives the same
    on the command line.
    """

    name: str
    title: str
    letter: str
    keys: tuple[str, ...]
    screen: str
    help: str
    command: str


@dataclass(frozen=True, slots=True)
class Action:
    """One thing to do: where it can be asked for, by which keys, and what for.

    ``id`` is what the settings file calls it; ``keys`` are Textual's names of keys;
    ``label`` stands in the line of keys, rows with a higher ``priority`` first.
    ``command`` is the command that does the same, SCREENS_ONLY for what only concerns
    the screens. ``does`` is Textual's action, by default made from the id.
    """

    id: str
    keys: tuple[str, ...]
    label: str
    help: str
    where: str
    command: str
    priority: int = 0
    does: str = ""

    @property
    def run(self) -> str:
        """The Textual action this row stands for."""
        return self.does or self.id.replace("-", "_")


# In the order of the work; the F-keys follow it.
PLACES: tuple[PlaceRow, ...] = (
    PlaceRow(
        "ready",
        "Ready",
        "r",
        ("f2",),
        "ready:Ready",
        "Is the box ready to travel, and what must be mended",
        "ready",
    ),
)

ACTIONS: tuple[Action, ...] = (
    *(
        Action(
            f"go-{place.name}",
            place.keys,
            place.title,
            f"Go to {place.title}: {place.help[0].lower()}{place.help[1:]}",
            EVERYWHERE,
            place.command,
            does=f"app.go('{place.name}')",
        )
        for place in PLACES
    ),
    Action(
        "go",
        ("g",),
        "Go to",
        "Go to a place: a letter for each",
        EVERYWHERE,
        SCREENS_ONLY,
        80,
        "app.go_menu",
    ),
    Action(
        "palette",
        ("colon", "ctrl+p"),
        "All actions",
        "Look for anything that can be done here, by a few letters",
        EVERYWHERE,
        SCREENS_ONLY,
        50,
        "app.command_palette",
    ),
    Action(
        "jump",
        ("j",),
        "Jump",
        "Put a letter on everything that can be reached, then go there by its letter",
        EVERYWHERE,
        SCREENS_ONLY,
        30,
        "app.jump",
    ),
    Action(
        "undo",
        ("u", "ctrl+z"),
        "Undo",
        "Take the last entry of the log back",
        EVERYWHERE,
        "undo",
        60,
        "app.take_back",
    ),
    Action(
        "copy",
        ("y",),
        "Copy",
        "Send what is marked, or the whole screen, to the terminal's clipboard as plain text",
        EVERYWHERE,
        SCREENS_ONLY,
        20,
        "app.copy",
    ),
    Action(
        "save",
        ("s",),
        "Save screen",
        "Save this screen as text or as a picture (SVG) into the folder you started from",
        EVERYWHERE,
        SCREENS_ONLY,
        10,
        "app.save_screen",
    ),
    Action(
        "theme",
        ("t",),
        "Theme",
        "Change the colours: dark, light, or sun for reading in direct sunlight",
        EVERYWHERE,
        SCREENS_ONLY,
        15,
        "app.pick_theme",
    ),
    Action(
        "back",
        ("escape",),
        "Back",
        "One step back: out of a field, to the place before; never out of the program",
        EVERYWHERE,
        SCREENS_ONLY,
        40,
        "app.step_back",
    ),
    Action(
        "help",
        ("question_mark", "f1"),
        "Help",
        "What this place is for and every key that works in it",
        EVERYWHERE,
        SCREENS_ONLY,
        100,
        "app.help",
    ),
    Action(
        "quit",
        ("q",),
        "Quit",
        "Leave; everything is stored already, a half-filled form is asked about",
        EVERYWHERE,
        SCREENS_ONLY,
        90,
        "app.leave",
    ),
    Action(
        "ready-mend",
        ("enter",),
        "Mend it",
        "Go to the place where the marked finding is mended",
        "ready",
        "ready",
        70,
        "mend",
    ),
    Action(
        "welcome-demo",
        ("d",),
        "Try the demo",
        "Copy the demo kit into a folder of its own and open it",
        "welcome",
        "demo",
        86,
        "demo",
    ),
    Action(
        "welcome-new",
        ("n",),
        "New box",
        "Make a kit of your own from one of the box forms",
        "welcome",
        "new",
        85,
        "new",
    ),
)

_SHOWN = {
    "question_mark": "?",
    "slash": "/",
    "colon": ":",
    "escape": "Esc",
    "enter": "Enter",
    "space": "Space",
    "tab": "Tab",
    "plus": "+",
    "minus": "-",
    "full_stop": ".",
    "comma": ",",
    "up": "Up",
    "down": "Down",
    "left": "Left",
    "right": "Right",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "home": "Home",
    "end": "End",
}


def for_place(where: str) -> tuple[Action, ...]:
    """The rows of one place, or those of EVERYWHERE, in the table's order."""
    return tuple(action for action in ACTIONS if action.where == where)


def bindings(where: str) -> list[Binding]:
    """The rows of one place as Textual bindings, each under its id so that keys can be changed."""
    return [
        Binding(",".join(a.keys), a.run, a.label, show=False, id=a.id, tooltip=a.help)
        for a in for_place(where)
    ]


def default_keys() -> dict[str, tuple[str, ...]]:
    """Action id -> keys as they are before anybody changed them."""
    return {action.id: action.keys for action in ACTIONS}


def key_words(keys: Iterable[str]) -> str:
    """Keys as people call them: "?" for question_mark, "F5" for f5."""
    return " ".join(_key_word(key) for key in keys)


def _key_word(key: str) -> str:
    if key in _SHOWN:
        return _SHOWN[key]
    if key.startswith("ctrl+"):
        return "Ctrl+" + key.removeprefix("ctrl+").upper()
    return key.upper() if len(key) > 1 and key[0] == "f" and key[1:].isdigit() else key


def docs_table() -> str:
    """README's table of keys: a row for each action, grouped by place."""
    titles = {place.name: place.title for place in PLACES}
    lines = ["| where | key | action (name in settings) | what it does | command |"]
    lines.append("|---|---|---|---|---|")
    for a in ACTIONS:
        where = titles.get(a.where, a.where)
        command = a.command if a.command == SCREENS_ONLY else f"`toolbox {a.command}`"
        keys = key_words(a.keys)
        lines.append(f"| {where} | {keys} | {a.label} (`{a.id}`) | {a.help} | {command} |")
    return "\n".join(lines)
