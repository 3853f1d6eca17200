"""Two versions of a kit's files compared, entry by entry and key by key, with what both had.

Values are as JSON has them. An entry is known by the first of ``id``, ``item``, ``name``,
``of`` that all entries of its list have and no two share; a list without such a key is one
value. A plan, a packing and an issued list are one value each.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Any, Final

from toolbox.files.archive_values import as_json, is_entries
from toolbox.files.retelling import same
from toolbox.files.sources import Raw

Key = tuple[str, ...]
"""The way to a value: a key, and those inside it where it holds a table."""

Values = dict[Key, Any]
Tables = Mapping[str, Mapping[str, Any]]

_NAMES = ("id", "item", "name", "of")
# What one side worked out or sealed as a whole: no half of it goes with half of another.
_WHOLE_FOLDERS = ("packings", "customs")
_WHOLE_FILES = ("layouts/plan.toml", "layouts/before.toml")


class _Absent(Enum):
    ABSENT = "absent"


ABSENT: Final = _Absent.ABSENT
"""In the place of a value that is not there."""


class Verdict(Enum):
    """Who made a difference; the value is the word shown."""

    THERE = "changed there"
    HERE = "changed here"
    BOTH = "changed on both sides"
    UNKNOWN = "different"


@dataclass(frozen=True, order=True, slots=True)
class Place:
    """An entry: its file, the heading that it stands under, its name. "" for what has none.

    What stands in a file outside any list of entries has the heading and the name "".
    """

    file: str
    table: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Difference:
    """A value that is not the same here and there, and what both had, ABSENT for none.

    ``key`` is () for an entry or, where the place has no heading, a file that only one side
    has, and for a file that is one value. ``by`` is the key that holds the entry's name;
    ``called`` is what people call it.
    """

    place: Place
    key: Key
    here: Any
    there: Any
    had: Any
    verdict: Verdict
    by: str = ""
    called: str = ""

    @property
    def is_file(self) -> bool:
        """Whether it is about a file as a whole."""
        return not self.place.table and not self.key

    @property
    def to_settle(self) -> bool:
        """Whether the other side has something that this one lacks, or may have."""
        return self.verdict is not Verdict.HERE

    @property
    def takeable(self) -> bool:
        """Whether it can be taken in: made there alone, and no file that is to go."""
        gone = self.is_file and self.there is ABSENT
        return self.verdict is Verdict.THERE and not gone


@dataclass(frozen=True, slots=True)
class Had:
    """What both sides had when they last met: entries with their values.

    Of the ``open`` ones it is not known, since they differed then: entries that one side had,
    and keys of an entry that both had.
    """

    entries: Mapping[Place, Mapping[Key, Any]] = field(default_factory=dict)
    open_entries: frozenset[Place] = frozenset()
    open_keys: Mapping[Place, frozenset[Key]] = field(default_factory=dict)


@dataclass(frozen=True)
class _Side:
    """One side's entries with their values, and what they are called."""

    entries: dict[Place, Values]
    called: dict[Place, str]


def compare(here: Mapping[str, Raw], there: Mapping[str, Raw], had: Had | None) -> list[Difference]:
    """Every difference between two kits' files, in the order of files and entries.

    ``had`` is what both had when they last met, None when that is not known. NotPlain for
    values that JSON does not have.
    """
    names, mine, theirs = _sides(here, there)
    found: dict[Place, list[Difference]] = {}
    for place in dict.fromkeys((*mine.entries, *theirs.entries)):
        a, b = mine.entries.get(place), theirs.entries.get(place)
        both = a is not None and b is not None
        many = _values(place, a or {}, b or {}, had) if both else [_entry(place, a, b, had)]
        called = mine.called.get(place) or theirs.called.get(place, "")
        by = names.get((place.file, place.table), "")
        found[place] = [replace(one, by=by, called=called) for one in many]
    return list(_files_together(found, here, there))


def agreed(here: Mapping[str, Raw], there: Mapping[str, Raw], had: Had | None) -> Had:
    """What both have now, and of what differs still what both had before."""
    _, mine, theirs = _sides(here, there)
    entries: dict[Place, Mapping[Key, Any]] = {}
    open_entries: set[Place] = set()
    open_keys: dict[Place, frozenset[Key]] = {}
    for place in dict.fromkeys((*mine.entries, *theirs.entries)):
        a, b = mine.entries.get(place), theirs.entries.get(place)
        known = had is not None and place in had.entries
        if a is None or b is None:
            if known and had is not None:
                entries[place] = had.entries[place]
                if place in had.open_keys:
                    open_keys[place] = had.open_keys[place]
            elif had is None or place in had.open_entries:
                open_entries.add(place)
            continue
        kept: Values = {}
        before = had.entries[place] if known and had is not None else {}
        for key in _keys(a, b, before):
            mine_now, theirs_now = _under(key, a), _under(key, b)
            if same(mine_now, theirs_now):
                kept |= {k: value for k, value in a.items() if _within(key, k)}
            elif not known or had is None or _is_open(place, key, had):
                open_keys[place] = open_keys.get(place, frozenset()) | {key}
            else:
                kept |= {k: value for k, value in before.items() if _within(key, k)}
        entries[place] = kept
    return Had(entries, frozenset(open_entries), open_keys)


def is_whole(file: str) -> bool:
    """Whether a file is one value, of which no part is taken in by itself."""
    return file in _WHOLE_FILES or file.partition("/")[0] in _WHOLE_FOLDERS


# ---- one side


def _sides(
    here: Mapping[str, Raw], there: Mapping[str, Raw]
) -> tuple[dict[tuple[str, str], str], _Side, _Side]:
    plain = [{file: as_json(raw) for file, raw in side.items()} for side in (here, there)]
    names = {
        (file, table): name
        for file in dict.fromkeys((*here, *there))
        for table in _lists(plain, file)
        if (name := _naming([side[file].get(table, []) for side in plain if file in side]))
    }
    first, second = (_side(side, names) for side in plain)
    return names, first, second


def _lists(sides: Iterable[Tables], file: str) -> list[str]:
    """Headings of lists of entries in a file of either side, which are such on both."""
    if is_whole(file):
        return []
    tables = [side[file] for side in sides if file in side]
    lists = dict.fromkeys(k for table in tables for k, v in table.items() if is_entries(k, v))
    return [k for k in lists if all(is_entries(k, t[k]) for t in tables if k in t)]


def _naming(lists: Collection[list[Any]]) -> str:
    """The key by which the entries of a list are told apart on each side, "" for none."""
    for key in _NAMES:
        ids = [[entry.get(key) for entry in entries] for entries in lists]
        if all(isinstance(id, str) for each in ids for id in each) and all(
            len(set(each)) == len(each) for each in ids
        ):
            return key
    return ""


def _side(side: Tables, names: Mapping[tuple[str, str], str]) -> _Side:
    found = _Side({}, {})
    for file, tables in side.items():
        if is_whole(file):
            found.entries[Place(file)] = {(): tables}
            continue
        lists = [key for key in tables if (file, key) in names]
        head = {key: value for key, value in tables.items() if key not in lists}
        found.entries[Place(file)] = dict(_flat(head))
        for table in lists:
            for entry in tables[table]:
                place = Place(file, table, entry[names[file, table]])
                found.entries[place] = dict(_flat(entry))
                found.called[place] = str(entry.get("name", ""))
    return found


def _flat(table: Mapping[str, Any], way: Key = ()) -> Iterator[tuple[Key, Any]]:
    for key, value in table.items():
        if isinstance(value, dict) and value:
            yield from _flat(value, (*way, key))
        else:
            yield (*way, key), value


# ---- both sides


def _values(place: Place, a: Values, b: Values, had: Had | None) -> list[Difference]:
    """The values that differ in an entry that both sides have."""
    found = []
    known = had is not None and place not in had.open_entries
    before = had.entries.get(place, {}) if had is not None else {}
    for key in _keys(a, b, before):
        here, there, was = (_under(key, values) for values in (a, b, before))
        if same(here, there):
            continue
        if had is None or not known or _is_open(place, key, had):
            verdict, was = Verdict.UNKNOWN, ABSENT
        elif place not in had.entries:
            verdict = Verdict.BOTH  # added on both sides
        else:
            verdict = _who(same(here, was), same(there, was))
        found.append(Difference(place, key, here, there, was, verdict))
    return found


def _keys(*sides: Mapping[Key, Any]) -> list[Key]:
    """The keys of all sides; what is a table on one and none on another, is one value."""
    every = dict.fromkeys(key for side in sides for key in side)
    found = {key[:end] for key in every for end in range(1, len(key)) if key[:end] in every}
    above = sorted(found, key=len)
    return list(
        dict.fromkeys(next((top for top in above if _within(top, key)), key) for key in every)
    )


def _is_open(place: Place, key: Key, had: Had) -> bool:
    return any(_within(key, k) or _within(k, key) for k in had.open_keys.get(place, ()))


def _within(key: Key, other: Key) -> bool:
    return other[: len(key)] == key


def _under(key: Key, values: Mapping[Key, Any]) -> Any:
    """The value of a key, a table where there are keys inside it, ABSENT for none."""
    if key in values:
        return values[key]
    inside = {k[len(key) :]: value for k, value in values.items() if _within(key, k)}
    return _deep(inside) if inside else ABSENT


def _who(here_is_old: bool, there_is_old: bool) -> Verdict:
    if here_is_old:
        return Verdict.THERE
    return Verdict.HERE if there_is_old else Verdict.BOTH


def _entry(place: Place, a: Values | None, b: Values | None, had: Had | None) -> Difference:
    """An entry that one side has only: new there, or gone from the other, or changed as well."""
    values = a if a is not None else (b or {})
    before: Any = ABSENT
    if had is None or place in had.open_entries:
        verdict = Verdict.UNKNOWN
    elif place not in had.entries:
        verdict = Verdict.HERE if a is not None else Verdict.THERE
    else:
        before = _deep(had.entries[place])
        unchanged = place not in had.open_keys and same(values, had.entries[place])
        gone = Verdict.THERE if a is not None else Verdict.HERE
        verdict = gone if unchanged else Verdict.BOTH
    here, there = (ABSENT if side is None else _deep(side) for side in (a, b))
    return Difference(place, (), here, there, before, verdict)


def _deep(values: Mapping[Key, Any]) -> Any:
    """Values as the table they came from."""
    if () in values:
        return values[()]
    table: dict[str, Any] = {}
    for (*way, last), value in values.items():
        inner = table
        for key in way:
            inner = inner.setdefault(key, {})
        inner[last] = value
    return table


def _files_together(
    found: Mapping[Place, list[Difference]], here: Tables, there: Tables
) -> Iterator[Difference]:
    """Differences by file; those of a file that one side has only are one."""
    for file in sorted(dict.fromkeys((*here, *there))):
        many = [one for place, ones in found.items() if place.file == file for one in ones]
        if file in here and file in there:
            yield from many
            continue
        verdicts = {one.verdict for one in many}
        mixed = Verdict.UNKNOWN if Verdict.UNKNOWN in verdicts else Verdict.BOTH
        verdict = verdicts.pop() if len(verdicts) == 1 else mixed
        mine, theirs = (as_json(side[file]) if file in side else ABSENT for side in (here, there))
        yield Difference(Place(file), (), mine, theirs, ABSENT, verdict)
