"""One thing or compartment as an outline of plain lines, with its name and its use inside."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rich.cells import get_character_cell_size

from toolbox.tui.text import CUT, cells, clean, cut

if TYPE_CHECKING:
    from toolbox.desk.drawn_box import Cells, Shape

SHADES = ".:=#"
MOVED = "*"
LIT = "!"
HERE = ">"
MORE = "+"
# So many letters of a name must be seen, else a letter of the key list stands for it.
LEAST = 3

Patch = tuple["Shape", "Cells"]


class Look(NamedTuple):
    """How an outline is drawn: under the cursor, lit up, by a letter of the key list or ""."""

    here: bool = False
    lit: bool = False
    letter: str = ""


def seen_of(shape: Shape, columns: int, lines: int) -> str | None:
    """What would be seen of a name in so many cells; None when that is too little."""
    name = clean(shape.short)
    room = _room(shape, columns, lines)
    if cells(name) <= room:
        return name
    return name[: room - len(CUT)] if room >= LEAST + len(CUT) else None


def _room(shape: Shape, columns: int, lines: int) -> int:
    """Cells for the name."""
    marks = len(_marks(shape, Look()))
    if columns < 3:
        return lines - 1 - marks if lines > 1 else 0
    if lines == 1:
        return columns - 3 - marks
    if lines == 2 or shape.inside is not None:
        return columns - 2 - marks
    across = 1 if columns < 5 else columns - 2
    return across * max(1, lines - 3) - marks


def outline(shape: Shape, columns: int, lines: int, look: Look) -> list[str]:
    """The outline as ``lines`` texts of exactly ``columns`` cells each."""
    if lines == 1:
        return [_one_line(shape, columns, look)]
    if columns < 3:
        return _thin(shape, columns, lines, look)
    level, upright = ("━", "┃") if look.here else ("─", "│")
    downwards = columns < 5 and lines > 3 and shape.inside is None
    label = _label(shape, look, lines - 3 if downwards else columns - 2)
    if lines == 2:
        return [
            f"┌{_filled(label, columns - 2, level)}┐",
            f"└{_shade(sign_of(shape), columns - 2)}┘",
        ]
    if shape.inside is not None:
        # What lies in a compartment is painted into it afterwards.
        empty = f"{upright}{' ' * (columns - 2)}{upright}"
        return [
            f"┌{_filled(label, columns - 2, level)}┐",
            *[empty] * (lines - 2),
            f"└{level * (columns - 2)}┘",
        ]
    edge = level * (columns - 2)
    inner = _inner(label, columns - 2, lines - 2, sign_of(shape))
    return [f"┌{edge}┐", *(f"{upright}{line}{upright}" for line in inner), f"└{edge}┘"]


def line_of(shape: Shape, columns: int, lines: int, look: Look) -> list[str]:
    """A thing without a place of its own as a line of a list: its use, its name."""
    lead = f"{HERE if look.here else ' '}{sign_of(shape)} "
    line = _padded(lead + cut(_label(shape, look, columns), columns - 3).plain, columns)
    return [line] + [" " * columns] * (lines - 1)


def sign_of(shape: Shape) -> str:
    """The sign of its use; a blank for an empty compartment."""
    return " " if shape.inside == () else SHADES[shape.shade]


def _marks(shape: Shape, look: Look) -> str:
    return (LIT if look.lit else "") + (MOVED if shape.moved else "")


def _label(shape: Shape, look: Look, room: int) -> str:
    """What is written into so many cells: where they are few, what is lit or the letter alone."""
    marks = _marks(shape, look)
    if len(marks) >= room and (look.lit or look.letter):
        return LIT if look.lit else look.letter
    return marks + (look.letter or clean(shape.short))


def _one_line(shape: Shape, columns: int, look: Look) -> str:
    sign = sign_of(shape)
    if columns == 1:
        return HERE if look.here else LIT if look.lit else look.letter or sign
    label = _label(shape, look, max(1, columns - 3))
    if columns == 2:
        return (HERE if look.here else _padded(cut(label, 1).plain, 1)) + sign
    left, right = (HERE, "<") if look.here else ("[", "]")
    # The last cell tells the use, where there is one for it.
    shown = cut(label, max(1, columns - 3)).plain
    return left + _filled(shown, columns - 2, sign) + right


def _thin(shape: Shape, columns: int, lines: int, look: Look) -> list[str]:
    """Too narrow for an outline: the name downwards, then its use."""
    label = (HERE if look.here else "") + _label(shape, look, lines - 1 - look.here)
    inner = _downwards(label, lines, sign_of(shape))
    return [("┃" if look.here else "│") + one for one in inner] if columns == 2 else inner


def _inner(label: str, columns: int, lines: int, sign: str) -> list[str]:
    if columns < 3:
        return [one + " " * (columns - 1) for one in _downwards(label, lines, sign)]
    if lines == 1:
        return [_filled(cut(label, columns - 1).plain, columns, sign)]
    # The last line always tells the use.
    words = _wrapped(label, columns, lines - 1)
    shown = [_padded(line, columns) for line in words[:-1]]
    shown.append(_filled(words[-1], columns, sign))
    return shown + [_shade(sign, columns)] * (lines - len(shown))


def _downwards(label: str, lines: int, sign: str) -> list[str]:
    """One letter a line, the last of the lines telling the use."""
    letters: list[str] = []
    for one in label:
        size = get_character_cell_size(one)
        if size == 0 and letters:
            letters[-1] += one
        else:
            letters.append(one if size == 1 else CUT)
    room = lines - 1
    if len(letters) > room:
        letters = [*letters[: max(0, room - 1)], CUT][:room]
    return [*letters, *[sign] * (lines - len(letters))]


def _filled(label: str, columns: int, sign: str) -> str:
    """The label, then the sign to the end: lines closely, shading lightly and after a blank."""
    shown = cut(label, columns).plain
    rest = columns - cells(shown)
    if sign not in SHADES:
        return shown + sign * rest
    return shown + (" " + _shade(sign, rest - 1) if rest > 1 else sign * rest)


def _shade(sign: str, columns: int) -> str:
    """Every second cell, so that names stand out."""
    return (f"{sign} " * columns)[:columns]


def _padded(text: str, columns: int) -> str:
    return text + " " * (columns - cells(text))


def _wrapped(label: str, columns: int, most: int) -> list[str]:
    """The label in at most so many lines, parted at blanks where it can be, the rest cut."""
    lines: list[str] = []
    rest = label
    while rest and len(lines) < most - 1 and cells(rest) > columns:
        end = _letters(rest, columns)
        gap = rest.rfind(" ", 1, end + 1)
        lines.append(rest[: gap if gap > 0 else end])
        rest = rest[gap + 1 if gap > 0 else end :]
    return [*lines, cut(rest, columns).plain]


def _letters(text: str, columns: int) -> int:
    """How many letters of the text fit so many cells, at least one."""
    taken = 0
    for at, letter in enumerate(text):
        taken += get_character_cell_size(letter)
        if taken > columns:
            return max(1, at)
    return len(text)
