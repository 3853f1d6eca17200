"""What the terminal shows, as plain text: for copying, saving and comparing."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from rich.console import Console

if TYPE_CHECKING:
    from textual.app import App


def screen_text(app: App[Any]) -> str:
    """The whole screen as lines of text, without colours or blanks at line ends.

    The compositor is Textual's own inside and has no public name; this is the one
    place that uses it.
    """
    width, height = app.size
    console = Console(
        width=width,
        height=height,
        file=io.StringIO(),
        force_terminal=True,
        color_system="truecolor",
        record=True,
        legacy_windows=False,
        safe_box=False,
    )
    compositor = app.screen._compositor
    console.print(compositor.render_update(full=True, screen_stack=app._background_screens))
    lines = console.export_text(styles=False).splitlines()
    return "\n".join(line.rstrip() for line in lines) + "\n"
