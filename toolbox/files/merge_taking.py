"""What was changed on the other side alone, written into a kit's files by the guarded writers."""

from __future__ import annotations

import tempfile
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from toolbox.files.atomic import put_in_place, take_all_back
from toolbox.files.merge import ABSENT, Difference
from toolbox.files.problems import Problems
from toolbox.files.sources import decoded
from toolbox.files.writing import append_entries, edit_file


@contextmanager
def tried_out(texts: Mapping[str, bytes]) -> Iterator[Path]:
    """These files in a folder of their own, which goes at the end: to change and to read."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "kit"
        for file, text in texts.items():
            _made(folder / file).write_bytes(text)
        yield folder


def take(folder: Path, wanted: Sequence[Difference], theirs: Mapping[str, bytes]) -> None:
    """Change the files in ``folder`` as the other side, whose files are ``theirs``, has them.

    Comments and order stay. WriteRefused where a change would not come out as meant; files
    before it are changed then.
    """
    for file in dict.fromkeys(one.place.file for one in wanted):
        here = [one for one in wanted if one.place.file == file]
        if here[0].is_file:
            path = _made(folder / file)
            put_in_place(path, theirs[file], path.read_bytes() if path.exists() else None)
            continue
        tables = tomllib.loads(decoded(theirs[file], Problems()) or "")
        new = [one for one in here if one.here is ABSENT and not one.key]
        if len(new) < len(here):
            edit_file(folder / file, _changed([one for one in here if one not in new], tables))
        for table in dict.fromkeys(one.place.table for one in new):
            entries = [_entry(tables, one) for one in new if one.place.table == table]
            append_entries(folder / file, table, entries)


def put_all(folder: Path, before: Mapping[str, bytes], after: Mapping[str, bytes]) -> None:
    """Put files in place that were ``before``, or were not there: all of them, or none.

    WriteRefused when one of them is another by now or cannot be written.
    """
    done: list[tuple[Path, bytes, bytes | None]] = []
    try:
        for file, text in after.items():
            path, was = _made(folder / file), before.get(file)
            put_in_place(path, text, was)
            done.append((path, text, was))
    except BaseException:
        take_all_back(done)
        raise


def _made(path: Path) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    return path


def _changed(
    wanted: Sequence[Difference], theirs: Mapping[str, Any]
) -> Callable[[dict[str, Any]], None]:
    """The change of one file's tables for ``edit_file``."""

    def change(mine: dict[str, Any]) -> None:
        # what goes first: a table may come in the place of a value
        for one in sorted(wanted, key=lambda one: one.there is not ABSENT):
            if not one.key:
                mine[one.place.table].remove(_entry(mine, one))
                if not mine[one.place.table]:
                    del mine[one.place.table]
            else:
                _set(_entry(mine, one), _entry(theirs, one), one)

    return change


def _entry(tables: Mapping[str, Any], one: Difference) -> dict[str, Any]:
    """The entry that a difference is about, the whole file's tables for what has no heading."""
    if not one.place.table:
        return dict(tables) if not isinstance(tables, dict) else tables
    entries: list[dict[str, Any]] = tables[one.place.table]
    return next(entry for entry in entries if entry.get(one.by) == one.place.name)


def _set(mine: dict[str, Any], theirs: Any, one: Difference) -> None:
    """Give a value of an entry what the other side has, or take it out; no table stays empty."""
    *way, last = one.key
    above = [mine]
    for key in way:
        theirs = theirs.get(key, {})
        above.append(above[-1].setdefault(key, {}))
    if one.there is not ABSENT:
        above[-1][last] = theirs[last]
        return
    above[-1].pop(last, None)
    for key, table in zip(reversed(way), reversed(above[:-1]), strict=True):
        if not table[key]:
            del table[key]
