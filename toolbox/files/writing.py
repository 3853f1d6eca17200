"""Writing kit files: comments and order of hand-written files stay, nothing is half-written.

Files that people write are changed by ``edit_file`` and ``append_entries``, which refuse
any change that would not come out exactly as meant. Layouts belong to the program and are
written anew.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from toolbox.files import tables
from toolbox.files.atomic import put_in_place, refused
from toolbox.files.problems import Problems, WriteRefused, listed, quoted
from toolbox.files.render import document_text, entries_text, value_text
from toolbox.files.retelling import NotKept, retold, same
from toolbox.files.sources import BOM, decoded, parsed
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout

Change = Callable[[dict[str, Any]], None]


@dataclass(frozen=True)
class _Old:
    """A file as it was read: its bytes (None: no file), and its text with plain line ends."""

    data: bytes | None
    text: str
    crlf: bool
    bom: bool

    def encoded(self, text: str) -> bytes:
        """The text as bytes, with the line ends and the mark the file had."""
        if self.crlf:
            text = text.replace("\n", "\r\n")
        return ((BOM if self.bom else "") + text).encode("utf-8")


def edit_file(
    path: Path, change: Change, key: str = "", more: Sequence[Mapping[str, Any]] = ()
) -> None:
    """Change a hand-written TOML file, keeping its comments and its order.

    ``change`` alters the tables in place; what differs afterwards is changed line by
    line. ``more`` are tables put under [[key]] at its end in the same write. Raises
    WriteRefused, the file untouched, when it would not come out as meant, when a comment
    would be lost, or when the file was changed meanwhile or cannot be written. What
    ``change`` raises goes through.
    """
    old = _read(path)
    meant = tomllib.loads(old.text)
    change(meant)
    try:
        text = retold(old.text, tomllib.loads(old.text), meant)
    except NotKept:
        raise _not_kept(path, meant) from None
    text, wanted = _with_more(path, text, meant, key, more) if more else (text, "")
    _write_if_meant(path, old, text, meant, wanted)


def as_read(table: Mapping[str, Any]) -> dict[str, Any]:
    """A table to be written as ``sources.load`` will give it: numbers with a point as Decimal."""
    return {key: _as_read(value) for key, value in table.items()}


def _as_read(value: Any) -> Any:
    if isinstance(value, Mapping):
        return as_read(value)
    if isinstance(value, list):
        return [_as_read(inner) for inner in value]
    return Decimal(value_text(value)) if isinstance(value, float) else value


def append_entries(path: Path, key: str, entries: Sequence[Mapping[str, Any]]) -> None:
    """Add tables under [[key]] at the end of a file, made if it is not there.

    All that stands in the file stays byte for byte. Raises WriteRefused, the file
    untouched, when an id is taken, when the file is faulty TOML or does not hold its
    entries under [[key]], when it was changed meanwhile or cannot be written.
    """
    if not entries:
        return
    old = _read(path) if path.exists() else _Old(None, "", crlf=False, bom=False)
    meant = tomllib.loads(old.text)
    text, wanted = _with_more(path, old.text, meant, key, entries)
    _write_if_meant(path, old, text, meant, wanted)


def _with_more(
    path: Path, text: str, meant: dict[str, Any], key: str, entries: Sequence[Mapping[str, Any]]
) -> tuple[str, str]:
    """The text with these entries at its end, and they alone; ``meant`` has them then, too."""
    wanted = entries_text(key, entries)
    there = meant.setdefault(key, [])
    if not isinstance(there, list):
        raise _not_kept(path, {}, wanted)
    taken = {entry.get("id") for entry in there if isinstance(entry, dict)} - {None}
    if again := [str(e["id"]) for e in entries if e.get("id") in taken]:
        names = listed(map(quoted, again))
        raise refused(path, f"holds {names} already", "give the new ones other ids", wanted)
    there.extend(entries)
    return (f"{text.rstrip()}\n\n{wanted}" if text.strip() else wanted), wanted


def write_new(path: Path, data: Mapping[str, Any], comment: str = "") -> None:
    """Write a new file that belongs to the program; WriteRefused when it is there already."""
    put_in_place(path, _plain(data, comment), None)


def save_layout(path: Path, layout: Layout, note: str) -> None:
    """Write a layout file, or write it anew; ``note`` goes to its head as a comment.

    Raises WriteRefused, the file untouched, when it cannot be written.
    """
    replace_own(path, tables.layout_tables(layout), note)


def replace_own(path: Path, data: Mapping[str, Any], comment: str = "") -> None:
    """Write a file that belongs to the program, or write it anew; WriteRefused as above."""
    path.parent.mkdir(exist_ok=True)
    was = path.read_bytes() if path.exists() else None
    put_in_place(path, _plain(data, comment), was)


def write_kit(folder: Path, kit: Kit) -> None:
    """Write a whole kit into a folder that has none of its files yet (WriteRefused else)."""
    folder.mkdir(parents=True, exist_ok=True)
    measures = {supply.id: supply.measure for supply in kit.supplies}
    pages = {
        "kit.toml": tables.kit_tables(kit),
        "tools.toml": {"tool": [tables.tool_table(tool) for tool in kit.tools]},
        "supplies.toml": {"supply": [tables.supply_table(supply) for supply in kit.supplies]},
        "jobs.toml": {"job": [tables.job_table(job, measures) for job in kit.jobs]},
        "rules.toml": {"rule": [tables.rule_table(rule) for rule in kit.rules]},
        "times.toml": {"reading": [tables.reading_table(r) for r in kit.readings]},
        # last: a folder is a kit once it has its box
        "box.toml": tables.box_tables(kit.box),
    }
    for file, page in pages.items():
        # an empty list would keep people from adding their first [[tool]] below it
        page = {key: value for key, value in page.items() if value != []}
        put_in_place(folder / file, document_text(page).encode("utf-8"), None)
    if kit.present:
        save_layout(folder / "layouts" / "present.toml", kit.present, "")


def _read(path: Path) -> _Old:
    try:
        data = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        raise refused(path, f"cannot be read ({reason})", "make it a file you may read") from error
    problems = Problems().at(path.name)
    text = decoded(data, problems)
    if text is None or parsed(text, problems) is None:
        raise WriteRefused(problems.faults[0])
    # a file of mixed line ends keeps each of them as it is
    crlf = text.count("\r\n") == text.count("\n") > 0
    plain = text.replace("\r\n", "\n") if crlf else text
    return _Old(data, plain, crlf, bom=data.startswith(BOM.encode("utf-8")))


def _write_if_meant(
    path: Path, old: _Old, text: str, meant: Mapping[str, Any], wanted: str = ""
) -> None:
    try:
        came_out = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        raise _not_kept(path, meant, wanted) from None
    if not same(came_out, meant):
        raise _not_kept(path, meant, wanted)
    put_in_place(path, old.encoded(text), old.data)


def _not_kept(path: Path, meant: Mapping[str, Any], wanted: str = "") -> WriteRefused:
    return refused(
        path,
        "is written in a way in which this change would not come out as meant",
        "make the change by hand",
        wanted or document_text(meant),
    )


def _plain(data: Mapping[str, Any], comment: str) -> bytes:
    import tomli_w

    said = ("".join(c for c in line if c.isprintable()) for line in comment.splitlines())
    lines = [f"# {line}".rstrip() for line in said]
    head = "\n".join((*lines, "", "")) if lines else ""
    return (head + tomli_w.dumps(data)).encode("utf-8")
