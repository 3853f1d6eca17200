"""A kit's files as JSON Lines, and files out of such lines; every fault told at its line.

A kit folder's TOML files, in the folder itself and in the folders in it, become lines: one for
what stands in a file outside any [[heading]], then one for each entry. Keys and values are
those of the files. The bytes of the files go along, for their comments: they are taken where
they say what the lines say, and refused where they say something else.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from toolbox.files.archive_lines import Line, lines_text, read_lines
from toolbox.files.archive_values import NotPlain, as_json, as_toml, is_entries
from toolbox.files.problems import Fault, KitFaults, Problems, quoted, shown
from toolbox.files.reading import NEEDED
from toolbox.files.render import document_text
from toolbox.files.sources import Raw, bytes_of, tables_of

KIT_LINES = "kit.jsonl"
FORM = "toolbox kit"
VERSION = 1
_KEYS = ("file", "table", "values")
# One folder deep, nothing hidden, no way out of the folder on any system.
_PATH = re.compile(r"(?:(?!\.)[^/\\:\x00-\x1f]+/)?(?!\.)[^/\\:\x00-\x1f]+\.toml")


@dataclass(frozen=True, slots=True)
class KitLines:
    """A kit's files: their lines as bytes, and each file's own bytes by its name."""

    lines: bytes
    texts: Mapping[str, bytes]


@dataclass(frozen=True, slots=True)
class KitPages:
    """What the lines of a kit say: the tables of each file, and where each entry stands.

    ``places`` has the line's number by file and entry, the entry as its heading and a count
    from 1; heading "" for what stands outside any.
    """

    tables: Mapping[str, Raw]
    places: Mapping[tuple[str, str, int], int]

    def at_line(self, fault: Fault) -> Fault:
        """A fault of the kit's files told at the line of the entry that it is about."""
        number = next(self._lines_of(fault), 0)
        where = ", ".join(filter(None, (f"line {number}", fault.file, fault.entry)))
        return replace(fault, file=KIT_LINES, entry=where) if number else fault

    def _lines_of(self, fault: Fault) -> Iterator[int]:
        for (file, key, count), number in self.places.items():
            if file == fault.file and key:
                entry = self.tables[file][key][count - 1]
                if _is_about(fault, key, count, entry):
                    yield number
        if (head := (fault.file, "", 1)) in self.places:
            yield self.places[head]


def _is_about(fault: Fault, key: str, count: int, entry: Raw) -> bool:
    # as files/pages labels its entries
    called = (f"{key} {shown(v)}" for k, v in entry.items() if k in ("id", "name", "of", "item"))
    labels = (*called, f"{key} called {shown(entry.get('name'))}", f"{key} no. {count}")
    return any(re.match(rf"{re.escape(label)}(?=[ ,]|$)", fault.entry) for label in labels)


def kit_files(folder: Path) -> tuple[Path, ...]:
    """The TOML files that a kit folder's export holds, in the order of their names.

    Those in the folder itself and one folder deep; hidden ones are versions of old, and a
    folder with a kit or an export of its own is no part of this kit.
    """
    inside = [sub for sub in folder.iterdir() if sub.is_dir() and not _is_whole(sub)]
    found = (path for home in (folder, *inside) for path in home.glob("*.toml"))
    named = ((path.relative_to(folder).as_posix(), path) for path in found if path.is_file())
    return tuple(path for name, path in sorted(named) if _PATH.fullmatch(name))


def _is_whole(folder: Path) -> bool:
    return any((folder / name).exists() for name in (*NEEDED, KIT_LINES))


def archived(folder: Path) -> KitLines:
    """The files of a kit folder as lines and as bytes; KitFaults for what is no TOML."""
    problems = Problems()
    rows: list[dict[str, Any]] = []
    texts: dict[str, bytes] = {}
    for path in kit_files(folder):
        file = path.relative_to(folder).as_posix()
        # read once: lines and bytes are those of one moment
        data = bytes_of(path, problems.at(file))
        raw = None if data is None else tables_of(data, problems.at(file))
        if data is None or raw is None:
            continue
        try:
            rows += _rows(file, as_json(raw))
        except NotPlain as foreign:
            problems.at(file).add(foreign.wrong, foreign.cure)
        texts[file] = data
    if problems.faults:
        raise KitFaults(problems.faults)
    return KitLines(lines_text(FORM, VERSION, rows), texts)


def _rows(file: str, tables: Raw) -> Iterator[dict[str, Any]]:
    many = [key for key, value in tables.items() if is_entries(key, value)]
    head = {key: value for key, value in tables.items() if key not in many}
    yield dict(zip(_KEYS, (file, "", head), strict=True))
    for key in many:
        for entry in tables[key]:
            yield dict(zip(_KEYS, (file, key, entry), strict=True))


def read_archived(data: bytes) -> KitPages:
    """What the lines of a kit say; KitFaults names every line that cannot be, at once.

    Whether a kit can be read with these tables is not asked here.
    """
    problems = Problems()
    tables: dict[str, Raw] = {}
    places: dict[tuple[str, str, int], int] = {}
    for line in read_lines(KIT_LINES, data, FORM, VERSION):
        at = problems.at(KIT_LINES, f"line {line.number}")
        for wrong, cure in _wrong(line, tables):
            at.add(wrong, cure)
            break
        else:
            _put(line, tables, places, at)
    if problems.faults:
        raise KitFaults(problems.faults)
    return KitPages(tables, places)


def _wrong(line: Line, tables: Mapping[str, Raw]) -> Iterator[tuple[str, str]]:
    """What keeps a line from being put where it says; the first thing is enough."""
    keys = f"write the keys {', '.join(_KEYS)} and no other"
    if tuple(sorted(line.says)) != tuple(sorted(_KEYS)):
        yield f"has the keys {', '.join(sorted(line.says)) or 'of none'}", keys
        return
    file, key, values = (line.says[name] for name in _KEYS)
    if not isinstance(file, str) or not isinstance(key, str) or not isinstance(values, dict):
        yield "has a file or a table that is no text, or values that are none", keys
    elif not _PATH.fullmatch(file):
        yield f"names {quoted(file)}, which is no file of a kit", 'write it like "trips/NAME.toml"'
    elif key == "" and file in tables:
        yield f"is a second head of {file}", "put both into one"
    elif key == "" and (other := _twin(file, tables)):
        yield f"names {file} beside {other}", "not every disk tells them apart: rename one"
    elif key != "" and file not in tables:
        yield f'comes before the head of {file}, with "table": ""', "put that line first"


def _twin(file: str, tables: Iterable[str]) -> str | None:
    return next((known for known in tables if known.casefold() == file.casefold()), None)


def _put(
    line: Line,
    tables: dict[str, Raw],
    places: dict[tuple[str, str, int], int],
    problems: Problems,
) -> None:
    file, key, values = (line.says[name] for name in _KEYS)
    try:
        values = as_toml(values)
    except NotPlain as foreign:
        problems.add(foreign.wrong, foreign.cure)
        values = {}
    if key == "":
        tables[file] = values
        places[file, key, 1] = line.number
        for inner in (name for name, value in values.items() if is_entries(name, value)):
            problems.add(f"holds the entries of {inner}", "write each on a line of its own")
        return
    first = (file, key, 1) not in places
    if first and key in tables[file]:
        problems.add(f"is a {key} of {file}, whose head has {key} too", "take one of them out")
        return
    entries = tables[file].setdefault(key, [])
    entries.append(values)
    places[file, key, len(entries)] = line.number


def written(pages: KitPages, texts: Mapping[str, bytes], home: str) -> dict[str, bytes]:
    """The bytes of each file: its text, where that says what the lines say, else made anew.

    ``home`` is what messages call the folder of the texts. KitFaults for a text that says
    something else, and for one whose file the lines do not have.
    """
    problems = Problems()
    for file in sorted(texts.keys() - pages.tables.keys()):
        wrong = f"is there and {KIT_LINES} has no such file"
        problems.at(f"{home}/{file}").add(wrong, "take it out, or export again")
    made = {}
    for file, tables in pages.tables.items():
        if file in texts:
            at, otherwise = problems.at(f"{home}/{file}"), f"says something else than {KIT_LINES}"
        else:
            at, otherwise = problems.at(KIT_LINES, file), "holds what no TOML file can"
        made[file] = texts[file] if file in texts else document_text(tables).encode("utf-8")
        _check_text(made[file], tables, otherwise, at)
    if problems.faults:
        raise KitFaults(problems.faults)
    return made


def _check_text(text: bytes, tables: Raw, otherwise: str, problems: Problems) -> None:
    """Note it when a file's bytes do not say what the lines say of it."""
    raw = tables_of(text, problems)
    try:
        # as text, since True equals 1 and the order of keys can mean something
        if raw is not None and json.dumps(as_json(raw)) != json.dumps(tables):
            cure = "take it out to go by the lines, without its comments, or export again"
            problems.add(otherwise, cure)
    except NotPlain as foreign:
        problems.add(foreign.wrong, foreign.cure)
