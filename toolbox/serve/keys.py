"""What a terminal sends for a key: for the buttons that stand below the screens on a phone.

Source: "XTerm Control Sequences", PC-style function keys.
"""

from __future__ import annotations

_NAMED = {
    "escape": "\x1b",
    "enter": "\r",
    "tab": "\t",
    "space": " ",
    "backspace": "\x7f",
    "up": "\x1b[A",
    "down": "\x1b[B",
    "right": "\x1b[C",
    "left": "\x1b[D",
    "end": "\x1b[F",
    "home": "\x1b[H",
    "pageup": "\x1b[5~",
    "pagedown": "\x1b[6~",
    "f1": "\x1bOP",
    "f2": "\x1bOQ",
    "f3": "\x1bOR",
    "f4": "\x1bOS",
    "f5": "\x1b[15~",
    "f6": "\x1b[17~",
    "f7": "\x1b[18~",
    "f8": "\x1b[19~",
    "f9": "\x1b[20~",
    "f10": "\x1b[21~",
    "f11": "\x1b[23~",
    "f12": "\x1b[24~",
}


def sequence(key: str) -> str | None:
    """What is sent for a key by its name ("f3", "enter", "ctrl+p", "x"); None for others."""
    if key in _NAMED:
        return _NAMED[key]
    last = key.removeprefix("ctrl+")
    if key != last and len(last) == 1 and "a" <= last <= "z":
        return chr(ord(last) - ord("a") + 1)
    return key if len(key) == 1 else None
