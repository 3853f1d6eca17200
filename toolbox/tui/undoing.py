"""Taking the log's last entry back: named and asked first where the log is not seen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from toolbox.tui.actions import key_words
from toolbox.tui.menu import Menu

if TYPE_CHECKING:
    from toolbox.desk.diary import Entry
    from toolbox.tui.app import ToolboxApp

TITLE = "Take back the log's last entry?"
NOTHING = "The log holds nothing to undo."


def ask_to_take_back(toolbox: ToolboxApp) -> None:
    """Show the newest entry in force as the kit was last seen, and take it back on a yes."""
    # Loaded when asked for: the first frame needs no desk.
    from toolbox.desk.diary import list_entries

    entries = list_entries(toolbox.folder, most=1) if toolbox.folder is not None else ()
    if not entries:
        toolbox.tell(NOTHING)
        return
    entry = entries[0]
    when = f"{entry.at:%m-%d %H:%M}"
    rows = [("y", "yes", f"Yes: {when} {entry.words}"), ("n", "no", "No; leave it as it is")]

    def answered(answer: str | None) -> None:
        if answer == "yes":
            take_back_now(toolbox, entry.id)

    toolbox.push_screen(Menu(TITLE, rows), answered)


def take_back_now(toolbox: ToolboxApp, entry: str | None = None) -> None:
    """Take this entry back, the newest in force if none is named."""
    from toolbox.desk.diary import take_back

    when = toolbox.when()
    back = key_words(toolbox.keys["log-back"][:1])
    log = key_words(toolbox.keys["go-log"][:1])
    here = toolbox.current_mode == "log"

    def told(entry: Entry) -> str:
        where = f"{back} on it" if here else f"{back} on it in Log ({log})"
        return f"Taken back: {entry.words}\n{where} brings it back."

    toolbox.write(lambda folder: take_back(folder, entry, when), told)
