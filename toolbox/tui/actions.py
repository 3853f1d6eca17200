"""One table of everything the screens can be asked to do, and of the places in them.

Key bindings, the line of keys, help, the command palette and README's table are all
made from these rows, so that none of them can say something else than the others.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from textual.binding import Binding

from toolbox.tui.deeds import (
    box,
    evening,
    everywhere,
    find,
    flight,
    instruments,
    intake,
    kit,
    log,
    plan,
    ready,
    rebuild,
    uses,
    weighing,
    welcome,
)
from toolbox.tui.deeds.kinds import EVERYWHERE, SCREENS_ONLY, Action, PlaceRow

Keys = Mapping[str, tuple[str, ...]]

# In the order of the work; the F-keys follow it.
PLACES: tuple[PlaceRow, ...] = (
    ready.PLACE,
    log.PLACE,
    uses.PLACE,
    box.PLACE,
    plan.PLACE,
    rebuild.PLACE,
    find.PLACE,
    kit.PLACE,
    flight.PLACE,
    evening.PLACE,
    instruments.PLACE,
)

# Places that one gets to out of another one, without a tab of their own.
INNER: Mapping[str, str] = MappingProxyType(
    {intake.WHERE: "intake:TakeIn", weighing.WHERE: "weighing:Weighing"}
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
    *everywhere.ROWS,
    *ready.ROWS,
    *log.ROWS,
    *uses.ROWS,
    *box.ROWS,
    *plan.ROWS,
    *rebuild.ROWS,
    *find.ROWS,
    *kit.ROWS,
    *intake.ROWS,
    *weighing.ROWS,
    *flight.ROWS,
    *evening.ROWS,
    *instruments.ROWS,
    *welcome.ROWS,
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
    "equals_sign": "=",
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
