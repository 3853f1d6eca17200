"""What the terminal shows, as plain text or as a picture: for copying, saving and comparing."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.console import Console

if TYPE_CHECKING:
    from textual.app import App

    from toolbox.tui.app import ToolboxApp


_SIZE = re.compile(r'viewBox="0 0 (\S+) (\S+)"')
_CLIPS = re.compile(r' clip-path="url\([^)]*\)"')
# The picture stands alone: no font is fetched, no frame of a window is drawn around it.
_SVG = """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {terminal_width} {terminal_height}">
<style>
.{unique_id}-matrix {{
  font-family: monospace; font-size: {char_height}px; line-height: {line_height}px;
}}
{styles}
</style>
{backgrounds}
<g class="{unique_id}-matrix">
{matrix}
</g>
</svg>
"""


def screen_text(app: App[Any]) -> str:
    """The whole screen as lines of text, without colours or blanks at line ends."""
    lines = _drawn(app).export_text(styles=False).splitlines()
    return "\n".join(line.rstrip() for line in lines) + "\n"


def screen_svg(app: App[Any]) -> str:
    """The whole screen as an SVG picture, with colours; the same screen gives the same bytes."""
    picture = _drawn(app, simplify=True).export_svg(code_format=_SVG, unique_id="toolbox")
    # Every text says how long it is; cutting it at its line's end once more is only bytes.
    return _SIZE.sub(_with_foot, _CLIPS.sub("", picture), count=1)


def _with_foot(size: re.Match[str]) -> str:
    """Room under the last line for what hangs below it: g, q, y."""
    return f'viewBox="0 0 {size[1]} {float(size[2]) + 8:g}"'


def _drawn(app: App[Any], *, simplify: bool = False) -> Console:
    """A console with the screen recorded.

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
    stack = app._background_screens
    console.print(
        app.screen._compositor.render_update(full=True, screen_stack=stack, simplify=simplify)
    )
    return console


def ask_to_save(toolbox: ToolboxApp) -> None:
    """Ask for text or picture, then save the screen; where one only looks that is refused."""
    from toolbox.desk.look_only import ONLY_LOOKING
    from toolbox.tui.menu import Menu

    if toolbox.look_only:
        toolbox.tell(ONLY_LOOKING, refused=True)
        return

    def save(kind: str) -> None:
        words, saved = save_screen(toolbox, f"toolbox-{toolbox.current_mode}", kind)
        toolbox.tell(words, refused=not saved)

    def chosen(kind: str | None) -> None:
        if kind is not None:
            # The menu must be gone from the screen before it is saved.
            toolbox.call_after_refresh(save, kind)

    rows = [("t", "txt", "as plain text"), ("v", "svg", "as a picture (SVG)")]
    toolbox.push_screen(Menu("Save this screen", rows), chosen)


def save_screen(app: App[Any], stem: str, ending: str) -> tuple[str, bool]:
    """Save the screen into the working folder, as "txt" or "svg"; what to say, and whether it is.

    It never goes over a file: a number is put behind a name that is taken.
    """
    text = screen_text(app) if ending == "txt" else screen_svg(app)
    path = free_name(Path.cwd(), stem, ending)
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except OSError as error:
        return f"{path.name} was not saved: {error.strerror}", False
    return f"Saved as {path.name} in the folder you started from.", True


def free_name(folder: Path, stem: str, ending: str) -> Path:
    """A name in the folder that nothing has yet: with a number where one is needed."""
    number = 1
    path = folder / f"{stem}.{ending}"
    while path.exists():
        number += 1
        path = folder / f"{stem}-{number}.{ending}"
    return path
