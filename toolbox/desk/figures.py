"""Figures in words and texts on one line, for commands and screens alike."""

from __future__ import annotations


def seconds(microseconds: int) -> str:
    """Microseconds a day as seconds with one decimal."""
    return f"{microseconds / 1e6:.1f} s"


def grams(value: int) -> str:
    """Grams for people: "450 g", from one kilogram on "17.57 kg"."""
    return f"{value} g" if value < 1000 else f"{value / 1000:.2f} kg"


def count(number: int, one: str, many: str | None = None) -> str:
    """A number with its noun in the right form."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def capital(text: str) -> str:
    """The same beginning with a capital letter; what follows stays as it is."""
    return text[:1].upper() + text[1:]


def clean(text: str) -> str:
    """Text of the user's own without control signs, on one line."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
