"""Three themes of our own: dark, light, and sun for reading in direct sunlight.

Every text stands on its ground with at least 4.5:1 (WCAG 2.1, success criterion
1.4.3); ``PAIRS`` names the pairs that the screens use. Colour never says anything alone.
"""

from __future__ import annotations

from textual.theme import Theme

DEFAULT = "dark"

# Text and ground by their names in a theme, as the style sheets pair them.
PAIRS = (
    ("foreground", "background"),
    ("foreground", "surface"),
    ("foreground", "panel"),
    ("primary", "background"),
    ("warning", "background"),
    ("error", "background"),
    ("success", "background"),
    ("background", "primary"),
)

DARK = Theme(
    "dark",
    primary="#8ec1f0",
    secondary="#d3b56f",
    accent="#f2c766",
    foreground="#ecebe4",
    background="#14171a",
    surface="#1d2227",
    panel="#2a3138",
    success="#97d897",
    warning="#f2c766",
    error="#ff9d8f",
    dark=True,
)
LIGHT = Theme(
    "light",
    primary="#0b4a82",
    secondary="#5c4400",
    accent="#0b4a82",
    foreground="#171717",
    background="#fbfaf6",
    surface="#f1efe8",
    panel="#e3e0d6",
    success="#1a551a",
    warning="#664400",
    error="#94180c",
    dark=False,
)
SUN = Theme(
    "sun",
    primary="#000000",
    secondary="#000000",
    accent="#000000",
    foreground="#000000",
    background="#ffffff",
    surface="#ffffff",
    panel="#ffffff",
    success="#000000",
    warning="#000000",
    error="#000000",
    dark=False,
)
for _theme in (DARK, LIGHT, SUN):
    # The cursor is the ground of a row turned round: seen in every theme and without colour.
    _theme.variables.update(
        {
            "block-cursor-foreground": _theme.background or "",
            "block-cursor-background": _theme.primary,
            "block-cursor-text-style": "bold",
            "block-cursor-blurred-foreground": _theme.foreground or "",
            "block-cursor-blurred-background": _theme.panel or "",
            "block-cursor-blurred-text-style": "bold underline",
            "input-cursor-foreground": _theme.background or "",
            "input-cursor-background": _theme.foreground or "",
            "input-selection-background": _theme.panel or "",
            "border": _theme.primary,
            "border-blurred": _theme.foreground or "",
            "scrollbar": _theme.primary,
            "scrollbar-background": _theme.surface or "",
            "text-muted": _theme.foreground or "",
            "text-disabled": _theme.foreground or "",
        }
    )

THEMES = {theme.name: theme for theme in (DARK, LIGHT, SUN)}
