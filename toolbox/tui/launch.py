"""Starting the screens, and what is left behind when they break off."""

from __future__ import annotations

import faulthandler
import os
import sys
from collections.abc import Callable, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from toolbox import __version__

if TYPE_CHECKING:
    from toolbox.tui.app import ToolboxApp

BROKE = 5  # the exit code when the screens broke off; README names it
REPORT = "crash-report.txt"
WEB_DRIVER = "textual.drivers.web_driver:WebDriver"  # set by the server that draws in browsers


def hindrance(environ: Mapping[str, str], *, keyboard: bool, screen: bool) -> str:
    """Why there can be no screens here, in words; "" when nothing stands in the way.

    ``keyboard`` and ``screen`` say whether input and output are a terminal. Under a server
    for browsers they are not, and need not be.
    """
    if environ.get("TEXTUAL_DRIVER") == WEB_DRIVER:
        return ""
    if environ.get("TERM", "") == "dumb":
        return "TERM=dumb: this terminal cannot draw screens"
    if not screen:
        return "the output goes to a file or another program, not to a terminal"
    if not keyboard:
        return "the input does not come from a keyboard"
    return ""


def run(
    start: Path | None,
    *,
    now: Callable[[], datetime],
    author: str,
    mouse: bool = True,
    theme: str | None = None,
    today: date | None = None,
    remark: str = "",
    look_only: bool = False,
) -> int:
    """Show the screens until they are left, and return the exit code.

    ``start`` is the kit's folder, None for the welcome; ``now`` is the clock; ``today``
    fixes the day looked at; ``remark`` is told at the beginning. With ``look_only`` every
    write is refused, and nothing is remembered of what was opened.
    """
    quieten(os.environ)
    from toolbox.tui.app import ToolboxApp
    from toolbox.tui.settings import Memory, read_settings, settings_path, state_folder

    settings = read_settings(settings_path())
    folder = state_folder()
    memory = Memory(folder)
    app = ToolboxApp(
        start,
        now=now,
        author=author,
        settings=settings,
        memory=None if look_only else memory,
        # Fixed before the app is made: without colours it can't be changed afterwards.
        theme=theme or settings.theme or memory.theme,
        today=today,
        remark=remark,
        look_only=look_only,
    )
    code = _guarded(app, folder, mouse=mouse and settings.mouse)
    _let_go(app, code)
    return code


def last_kit() -> Path | None:
    """The kit that was opened last, None when there was none."""
    from toolbox.tui.settings import Memory, state_folder

    return Memory(state_folder()).kit


def place_keys() -> tuple[tuple[str, str], ...]:
    """Titles of the places with the first key of each: Textual's name, as the settings have it."""
    from toolbox.tui.actions import PLACES
    from toolbox.tui.settings import read_settings, settings_path

    keys = read_settings(settings_path()).keys
    return tuple((place.title, keys[f"go-{place.name}"][0]) for place in PLACES)


def quieten(environ: dict[str, str] | os._Environ[str]) -> None:
    """No motion, and few frames over a network: set before Textual reads its environment."""
    environ.setdefault("TEXTUAL_ANIMATIONS", "none")
    if "SSH_TTY" in environ:
        environ.setdefault("TEXTUAL_FPS", "15")


def _guarded(app: ToolboxApp, folder: Path, *, mouse: bool) -> int:
    code, broken = None, None
    try:
        with _dying_words(folder):
            code = app.run(mouse=mouse)
    except Exception as error:
        broken = error
    broken = broken or app.broke
    if broken is None:
        return code or 0
    path = write_report(folder, report(broken, app.kinds, os.environ))
    for line in farewell(path):
        sys.stderr.write(line + "\n")
    return BROKE


def _let_go(app: ToolboxApp, code: int) -> None:
    """End the process at once after long works, or while the kit's thread still reads.

    Python would take the solver's modules apart for most of a second, and a thread deep
    in native code, torn away meanwhile, could bring the process down with a signal. A
    search still keeps its best, so it is waited for, as Python would.
    """
    for _, thread in app.works:
        if not thread.daemon:
            thread.join()
    if app.works or (app.session and app.session.busy):
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


class _dying_words:
    """Where C code writes its stack if the process dies; nothing is left of it otherwise."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / "fault.txt"

    def __enter__(self) -> None:
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            self._file = self._path.open("w", encoding="utf-8")
        except OSError:
            return
        faulthandler.enable(self._file)

    def __exit__(self, *_: object) -> None:
        if hasattr(self, "_file"):
            faulthandler.disable()
            self._file.close()
            self._path.unlink(missing_ok=True)


def report(error: BaseException, kinds: object, environ: Mapping[str, str]) -> str:
    """What is known of a crash: versions, terminal, last events by kind, where it broke.

    No words of the user's: neither the error's own text nor any value is in it.
    """
    import platform
    import traceback
    from importlib.metadata import version

    frames = traceback.extract_tb(error.__traceback__)
    lines = [
        f"toolbox {__version__}",
        f"textual {version('textual')}, rich {version('rich')}",
        f"Python {platform.python_version()} on {platform.system()} {platform.release()}",
        f"TERM={environ.get('TERM', '')} COLORTERM={environ.get('COLORTERM', '')}",
        f"error: {type(error).__name__}",
        "where, innermost last:",
        *(f"  {Path(f.filename).name}:{f.lineno} in {f.name}" for f in frames),
        "last events:",
        *(f"  {kind}" for kind in kinds),  # type: ignore[attr-defined]
    ]
    return "\n".join(lines) + "\n"


def write_report(folder: Path, text: str) -> Path | None:
    """Keep the report beside what is remembered; None when that cannot be written."""
    path = folder / REPORT
    try:
        folder.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except OSError:
        return None
    return path


def farewell(path: Path | None) -> list[str]:
    """What is said on standard error after a crash."""
    kept = f"A report without your texts is in {path}" if path else "No report could be written."
    return [
        "toolbox: the screens broke off. Every entry that was confirmed is stored.",
        kept,
        'If the terminal looks wrong, type "reset" and Enter.',
    ]
