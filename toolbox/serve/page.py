"""The one page that a browser gets: the terminal, and keys below it that fingers can hit."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from pathlib import Path

from toolbox.serve.keys import sequence

WEB = Path(__file__).parent / "web"

LEAST_COLUMNS, LEAST_LINES = 60, 20
"""What the screens need; letters are made small enough for it, and no smaller."""

# Always below the screens: what a list and a field need.
ALWAYS = (("Back", "escape"), ("▲", "up"), ("▼", "down"), ("Enter", "enter"))
# Behind "More".
MORE = (
    ("◀", "left"),
    ("▶", "right"),
    ("Tab", "tab"),
    ("Space", "space"),
    ("⌫", "backspace"),
    ("Page up", "pageup"),
    ("Page down", "pagedown"),
    ("Help", "f1"),
    ("All actions", "ctrl+p"),
)
# Spoken instead of a sign.
SPOKEN = {"▲": "Up", "▼": "Down", "◀": "Left", "▶": "Right", "⌫": "Delete"}

_PAGE = """\
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport"
 content="width=device-width, initial-scale=1, interactive-widget=resizes-content">
<meta name="referrer" content="no-referrer">
<title>{title}</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/files/xterm.css">
<link rel="stylesheet" href="/files/page.css">
<script src="/files/page.js"></script>
<script src="/files/textual.js"></script>
</head>
<body>
<main id="terminal" class="textual-terminal" data-font-size="16"
 data-least-columns="{columns}" data-least-lines="{lines}"
 data-session-websocket-url="ws://{host}/ws"></main>
<div id="places" class="sheet" hidden>{places}</div>
<div id="more" class="sheet" hidden>{more}</div>
<nav id="keys">
<button type="button" data-sheet="places">Places</button>
{always}
<button type="button" data-sheet="more">More</button>
</nav>
<form id="typing">
<input id="letters" type="text" placeholder="Tap here to type" aria-label="Letters for the screens"
 autocomplete="off" autocapitalize="none" autocorrect="off" spellcheck="false"
 enterkeyhint="enter">
</form>
<div id="ended" role="alert" hidden>
<p id="why"></p>
<button type="button" id="again">Open again</button>
</div>
</body>
</html>
"""


@dataclass(frozen=True, slots=True)
class Page:
    """What is on the page: a title, and the places of the screens with the key for each."""

    title: str
    places: tuple[tuple[str, str], ...]

    def html(self, host: str) -> str:
        """The page for a browser that reached this machine as ``host`` (checked before)."""
        return _PAGE.format(
            title=escape(self.title),
            host=escape(host),
            columns=LEAST_COLUMNS,
            lines=LEAST_LINES,
            places=_buttons(self.places),
            more=_buttons(MORE),
            always=_buttons(ALWAYS),
        )


def policy(host: str = "") -> dict[str, str]:
    """Headers for every answer: nothing from elsewhere, in no other page's frame, kept nowhere.

    ``host`` is where the page may open its live connection; without one, nowhere.
    """
    live = f"connect-src 'self' ws://{host}; " if host else ""
    own = (
        "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
        f"font-src 'self'; img-src 'self' data:; {live}"
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    return {
        "Content-Security-Policy": own,
        "X-Frame-Options": "DENY",
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Cache-Control": "no-store",
    }


def _buttons(keys: Iterable[tuple[str, str]]) -> str:
    return "\n".join(
        f'<button type="button" data-send="{escape(json.dumps(sent))}" '
        f'aria-label="{escape(SPOKEN.get(label, label))}">{escape(label)}</button>'
        for label, key in keys
        if (sent := sequence(key)) is not None
    )
