"""The text of a TOML file made to say something else, line by line; comments stay in place.

Only lines of what changes are touched. Comments between entries, such as a heading over
a group of tools, stay where they are when the entry before them grows or goes.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from toolbox.files.render import entry_lines, has_heading, key_text, value_text

Path = tuple[str | int, ...]
_KEY = re.compile(r"\s*([A-Za-z0-9_-]+|\"[^\"\\]*\"|'[^']*')\s*=")


class NotKept(Exception):
    """The text is written in a way in which the change cannot be made line by line."""


@dataclass
class _Block:
    """A heading and the keys under it: key -> its first line and the one after its last."""

    start: int
    pairs: dict[str, tuple[int, int]] = field(default_factory=dict)
    last: int = 0


@dataclass
class _Script:
    """The lines of a text, the blocks in them, and what is to stand in place of which lines."""

    lines: list[str]
    blocks: dict[Path, _Block]
    edits: list[tuple[int, int, list[str]]] = field(default_factory=list)

    def put(self, start: int, end: int, lines: Sequence[str]) -> None:
        """Have these lines stand in place of those from ``start`` to before ``end``."""
        self.edits.append((start, end, list(lines)))

    def text(self) -> str:
        """The text with all edits made."""
        lines = list(self.lines)
        # From the bottom up, so that numbers above stay true. At one line what is taken out
        # goes before what comes in, and of what comes in the last, to stand behind the others.
        order = [(start, end > start, n) for n, (start, end, _) in enumerate(self.edits)]
        for _, _, number in sorted(order, reverse=True):
            start, end, new = self.edits[number]
            lines[start:end] = new
        return "\n".join(lines)

    def inside(self, path: Path) -> list[_Block]:
        """The block of this path and those below it."""
        found = [block for at, block in self.blocks.items() if at[: len(path)] == path]
        if not found:
            raise NotKept
        return found

    def end_of(self, path: Path) -> int:
        """The line after the last one that says something of this path."""
        return max(block.last for block in self.inside(path))


def retold(text: str, was: Mapping[str, Any], meant: Mapping[str, Any]) -> str:
    """The text, which says ``was``, changed to say ``meant``; line ends are plain.

    Raises NotKept where that cannot be done, or where a comment would be lost with a
    value that runs over several lines. Whether it came out as meant is for the caller to see.
    """
    script = _scan(text)
    _table(script, (), was, meant)
    return script.text()


# ---- reading the lines


def _scan(text: str) -> _Script:
    lines = text.split("\n")
    here = _Block(0)
    blocks: dict[Path, _Block] = {(): here}
    counts: dict[Path, int] = {}
    at = 0
    while at < len(lines):
        bare = lines[at].strip()
        if not bare or bare.startswith("#"):
            at += 1
            continue
        if bare.startswith("["):
            path = _heading(bare, counts)
            if path in blocks:
                raise NotKept
            here = blocks[path] = _Block(at, last=at + 1)
            at += 1
            continue
        end = _statement_end(lines, at)
        found = _KEY.match(lines[at])
        if found is not None:
            here.pairs[found[1].strip("\"'")] = (at, end)
        here.last = at = end
    return _Script(lines, blocks)


def _heading(line: str, counts: dict[Path, int]) -> Path:
    """The way to a heading's table, numbers of entries in it; ``counts`` holds how many so far."""
    try:
        said: Any = tomllib.loads(line)
    except tomllib.TOMLDecodeError:
        raise NotKept from None
    path: Path = ()
    while said:
        entry = isinstance(said, list)
        if entry:
            counts[path] = counts.get(path, -1) + 1
            path = (*path, counts[path])
            said = said[0]
            continue
        (key,) = said
        path = (*path, key)
        said = said[key]
        if not isinstance(said, list) and said and path in counts:
            path = (*path, counts[path])
    if isinstance(said, list):
        raise NotKept
    return path


def _statement_end(lines: list[str], start: int) -> int:
    """The line after a key and its value, which may run over several lines."""
    for end in range(start + 1, len(lines) + 1):
        try:
            # The last line end belongs to it: a file of mixed ones has CRs before some.
            tomllib.loads("\n".join(lines[start:end]) + "\n")
        except tomllib.TOMLDecodeError:
            continue
        return end
    raise NotKept


# ---- finding what changes


def same(one: Any, other: Any) -> bool:
    """Equal in every value and type: 1 is not true, and nan is itself."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(same(one[k], other[k]) for k in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    return repr(one) == repr(other)


def _table(script: _Script, path: Path, was: Mapping[str, Any], now: Mapping[str, Any]) -> None:
    for key in was:
        if key not in now:
            _drop(script, path, key)
        elif not same(was[key], now[key]):
            _change(script, path, key, was[key], now[key])
    # Plain keys before tables: what stands below a table's heading belongs to that table.
    new = [key for key in now if key not in was]
    for key in sorted(new, key=lambda key: has_heading(key, now[key])):
        _add(script, path, key, now[key])


def _change(script: _Script, path: Path, key: str, was: Any, now: Any) -> None:
    inner = (*path, key)
    if isinstance(was, dict) and isinstance(now, dict) and inner in script.blocks:
        _table(script, inner, was, now)
    elif isinstance(was, list) and isinstance(now, list) and (*inner, 0) in script.blocks:
        _list(script, inner, was, now)
    else:
        start, end = _pair(script, path, key)
        indent = script.lines[start][: len(script.lines[start]) - len(script.lines[start].lstrip())]
        comment = _comment(script.lines[start:end])
        script.put(start, end, [f"{indent}{key_text(key)} = {value_text(now)}{comment}"])


def _list(script: _Script, path: Path, was: list[Any], now: list[Any]) -> None:
    """Entries under one heading: those that differ are changed, taken out or added."""
    few = min(len(was), len(now))
    front = next((i for i in range(few) if not same(was[i], now[i])), few)
    rest = few - front
    back = next((i for i in range(rest) if not same(was[-1 - i], now[-1 - i])), rest)
    old, new = len(was) - front - back, len(now) - front - back
    for i in range(front, front + min(old, new)):
        _table(script, (*path, i), was[i], now[i])
    for i in range(front + new, front + old):
        _take_out(script, (*path, i))
    added = [["", *_entry(path, entry, many=True)] for entry in now[front + old : front + new]]
    if front + old:
        end = script.end_of((*path, front + old - 1))
    else:
        end = script.blocks[(*path, 0)].start
        added = [[*lines[1:], ""] for lines in added]
    for lines in added:
        script.put(end, end, lines)


def _drop(script: _Script, path: Path, key: str) -> None:
    inner = (*path, key)
    if any(at[: len(inner)] == inner for at in script.blocks):
        _take_out(script, inner)
        return
    start, end = _pair(script, path, key)
    comment = _comment(script.lines[start:end]).strip()
    script.put(start, end, [comment] if comment else [])


def _take_out(script: _Script, path: Path) -> None:
    """Take out the headings and keys of a table; comments after its last key stay."""
    for block in script.inside(path):
        start = block.start
        while start and not script.lines[start - 1].strip():
            start -= 1
        script.put(start, block.last, [])


def _add(script: _Script, path: Path, key: str, value: Any) -> None:
    if not has_heading(key, value):
        block = script.blocks.get(path)
        if block is None:
            raise NotKept
        script.put(block.last, block.last, [f"{key_text(key)} = {value_text(value)}"])
        return
    end = script.end_of(path)
    entries = value if isinstance(value, list) else [value]
    for entry in entries:
        script.put(end, end, ["", *_entry((*path, key), entry, many=isinstance(value, list))])


def _entry(path: Path, table: Mapping[str, Any], *, many: bool) -> list[str]:
    return entry_lines(tuple(part for part in path if isinstance(part, str)), table, many=many)


def _pair(script: _Script, path: Path, key: str) -> tuple[int, int]:
    block = script.blocks.get(path)
    if block is None or key not in block.pairs:
        raise NotKept
    return block.pairs[key]


def _comment(lines: Sequence[str]) -> str:
    """The comment behind a value, with the blanks before it; NotKept for one amid its lines."""
    if len(lines) > 1:
        text = "\n".join(lines) + "\n"
        if text.count("#") > _signs(tomllib.loads(text)):
            raise NotKept
        return ""
    (line,) = lines
    meant = tomllib.loads(line + "\n")
    for found in re.finditer(r"\s*#", line):
        try:
            if same(tomllib.loads(line[: found.start()]), meant):
                return line[found.start() :]
        except tomllib.TOMLDecodeError:
            continue
    return ""


def _signs(value: Any) -> int:
    """How many "#" stand in the texts of a value."""
    if isinstance(value, str):
        return value.count("#")
    if isinstance(value, dict):
        return sum(_signs(key) + _signs(inner) for key, inner in value.items())
    return sum(map(_signs, value)) if isinstance(value, list) else 0
