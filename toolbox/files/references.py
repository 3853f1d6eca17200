"""Who names whom: every id that is used must be somebody's, and no two may share one."""

from __future__ import annotations

import re
from bisect import bisect
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import Any

from toolbox.files.fields import is_id, pick_of
from toolbox.files.pages import (
    COMPARTMENT,
    JOB,
    OPENING,
    READING,
    RULE,
    SPOT,
    SUPPLY,
    TOOL,
    Entry,
    Pages,
    Sort,
)
from toolbox.files.problems import Problems, nearest, quoted, shown
from toolbox.kit.things import base_id

# Sorts among which no two entries may share an id.
NAMESPACES: tuple[tuple[Sort[Any], ...], ...] = (
    (TOOL, SUPPLY),
    (JOB,),
    (OPENING, COMPARTMENT),
    (RULE,),
    (READING,),
)


@dataclass(frozen=True)
class Register:
    """The ids of some sorts of entries, for looking names up."""

    pages: Pages
    sorts: tuple[Sort[Any], ...]

    @cached_property
    def entries(self) -> dict[str, Entry[Any]]:
        """Each entry that has an id, by that id."""
        # reversed, so that of two with one id the first stays
        return {e.id: e for e in reversed(self.pages.all(*self.sorts)) if e.id}

    def lacks(self, name: str) -> bool:
        """True when nothing of that name can be there.

        A file that could not be read may hold anything; so may a single entry
        whose id is faulty, if the name would fit where that entry stands.
        """
        unread = any(sort.file in self.pages.unread for sort in self.sorts)
        return not unread and name not in self.entries and not self._fits_a_gap(name)

    def _fits_a_gap(self, name: str) -> bool:
        """True when an entry with no sound id of its own could be the one that is named.

        In a numbered series (T1, T2, ...) that is where the number would stand; a
        name that belongs to no series could be any of them.
        """
        # told twice is as bad as not told: T9 is not excused because T4 has lost its id
        sound, gaps = self._sound_and_gaps
        series = [_counted(i) for i in sound if _letters(i) == _letters(name)]
        if not series or series != sorted(series):
            return bool(gaps)
        place = bisect(series, _counted(name))
        for gap in gaps:
            beside = sound[max(gap - 1, 0) : gap + 1]
            before = sum(_letters(i) == _letters(name) for i in sound[:gap])
            if before == place and _letters(name) in map(_letters, beside):
                return True
        return False

    @cached_property
    def _sound_and_gaps(self) -> tuple[list[str], list[int]]:
        """The ids that are one entry's alone, and between which of them the others stand."""
        space = next(s for s in NAMESPACES if self.sorts[0] in s)
        taken: set[str] = set()
        sound: list[str] = []
        gaps: list[int] = []
        for sort in space:
            for entry in self.pages.all(sort):
                good = is_id(entry.id) and entry.id not in taken
                taken.add(entry.id)
                if sort in self.sorts:
                    sound += [entry.id] * good
                    gaps += [len(sound)] * (not good)
        return sound, gaps

    def cure(self, name: str) -> str:
        """What to do about a name that nothing bears."""
        close = nearest(name, self.entries)
        files = " or ".join(dict.fromkeys(sort.file for sort in self.sorts))
        return f'did you mean "{close}"' if close else f"enter it in {files} or take it out here"


def _letters(name: str) -> str:
    return re.sub(r"\d+", "", name)


def _counted(name: str) -> list[tuple[int, int, str]]:
    """A key that sorts T9 before T10."""
    parts = re.findall(r"\d+|\D+", name)
    return [(0, int(p), "") if p.isdigit() else (1, 0, p) for p in parts]


@dataclass(frozen=True)
class _Use:
    """One place where a name stands."""

    entry: Entry[Any]
    place: str
    said: str
    name: str
    key: str = ""


def _note_unknown(uses: Iterable[_Use], register: Register, problems: Problems) -> None:
    """One fault for each name that nothing bears, however often a file says it."""
    lacking = [use for use in uses if register.lacks(use.name)]
    # one cause, one sentence: a tool taken out of the list may be named in twenty steps
    lacking.sort(key=lambda use: (use.entry.file, use.name))
    for _, group in groupby(lacking, key=lambda use: (use.entry.file, use.name)):
        first, *others = group
        plural = "s" if len(others) > 1 else ""
        elsewhere = f", here and in {len(others)} more place{plural}" if others else ""
        problems.at(first.entry.file, first.place).add(
            f"{first.said} names {quoted(first.name)}, which is nowhere to be found{elsewhere}",
            register.cure(first.name),
            first.key or first.said,
        )


def ids_are_unique(pages: Pages, problems: Problems) -> None:
    """No two things, jobs or places share an id, nor two rules their name."""
    for sorts in NAMESPACES:
        first: dict[str, Entry[Any]] = {}
        for entry in pages.all(*sorts):
            if not entry.id:
                continue
            other = first.setdefault(entry.id, entry)
            if other is not entry:
                key = next(sort.names for sort in sorts if sort.file == entry.file)
                problems.at(entry.file, entry.label).add(
                    f"its {key} is already taken by {other.label} in {other.file}",
                    f"give each a different {key}" if key != "of" else "write all times in one",
                    key,
                )


def compartments_name_openings(pages: Pages, problems: Problems) -> None:
    """Each opening before a compartment is an opening of the box, and named once."""
    uses = []
    for entry in pages.all(COMPARTMENT):
        names = entry.texts("openings")
        uses += [_Use(entry, entry.label, "openings", name) for name in dict.fromkeys(names)]
        _note_twice(names, "openings", problems.at(entry.file, entry.label))
    _note_unknown(uses, Register(pages, (OPENING,)), problems)


def substitutes_are_tools(pages: Pages, problems: Problems) -> None:
    """Each substitute is another tool."""
    uses = []
    for entry in pages.all(TOOL):
        names = entry.texts("substitutes")
        if entry.id and entry.id in names:
            problems.at(entry.file, entry.label).add(
                "substitutes names the tool itself",
                "name the tools that can stand in for it",
                "substitutes",
            )
        uses += [_Use(entry, entry.label, "substitutes", n) for n in names if n != entry.id]
    _note_unknown(uses, Register(pages, (TOOL,)), problems)


def steps(entry: Entry[Any]) -> Iterator[tuple[str, int, dict[str, Any]]]:
    """The steps of a job that are tables, each with its place in words and its number."""
    steps = entry.raw.get("step")
    for number, step in enumerate(steps if isinstance(steps, list) else (), start=1):
        if isinstance(step, dict):
            yield f"{entry.label}, step {number}", number, step


def job_steps_name_tools(pages: Pages, problems: Problems) -> None:
    """Each tool a step takes up is in the tool list, and named once in that step."""
    tools, supplies = Register(pages, (TOOL,)), Register(pages, (SUPPLY,))
    uses = []
    for entry in pages.all(JOB):
        for place, number, step in steps(entry):
            key = f"step.{number}.tools"
            said = step.get("tools")
            texts = [t for t in said if isinstance(t, str)] if isinstance(said, list) else []
            # a text that is no pick has had its own fault
            names = [pick.tool for pick in map(pick_of, texts) if pick]
            at = problems.at(entry.file, place)
            _note_twice(names, "tools", at, ', or write "T4 x2" for twice', key)
            for name in dict.fromkeys(names):
                if name in supplies.entries and name not in tools.entries:
                    at.add(
                        f"tools names {quoted(name)}, which is a supply",
                        f'write it under supplies, like supplies = {{ {name} = "1 pc" }}',
                        key,
                    )
                else:
                    uses.append(_Use(entry, place, "tools", name, key))
    _note_unknown(uses, tools, problems)


def job_steps_name_supplies(pages: Pages, problems: Problems) -> None:
    """Each supply a step uses up is in the supply list."""
    uses = []
    for entry in pages.all(JOB):
        for place, number, step in steps(entry):
            said, key = step.get("supplies"), f"step.{number}.supplies"
            names = said if isinstance(said, dict) else {}
            uses += [_Use(entry, place, "supplies", name, key) for name in names]
    _note_unknown(uses, Register(pages, (SUPPLY,)), problems)


def rules_name_things(pages: Pages, problems: Problems) -> None:
    """Each item of a rule is a tool or a supply, each compartment one of the box's."""
    items: list[_Use] = []
    places: list[_Use] = []
    for entry in pages.all(RULE):
        at = problems.at(entry.file, entry.label)
        for key, uses in (("items", items), ("others", items), ("compartments", places)):
            names = entry.texts(key)
            _note_twice(names, key, at)
            uses += [_Use(entry, entry.label, key, name) for name in dict.fromkeys(names)]
        for name in dict.fromkeys(n for n in entry.texts("items") if n in entry.texts("others")):
            at.add(f"names {quoted(name)} in items and in others", "keep it in one of them")
    _note_unknown(items, Register(pages, (TOOL, SUPPLY)), problems)
    _note_unknown(places, Register(pages, (COMPARTMENT,)), problems)


def readings_name_places(pages: Pages, problems: Problems) -> None:
    """Each stopwatch reading is of an opening or a compartment."""
    uses = [_Use(e, e.label, "of", e.id) for e in pages.all(READING) if e.id]
    _note_unknown(uses, Register(pages, (OPENING, COMPARTMENT)), problems)


def spots_name_copies(pages: Pages, problems: Problems) -> None:
    """Each spot of a layout holds a copy that is carried, in a compartment of the box, once."""
    register, seen = Register(pages, (TOOL, SUPPLY)), set[str]()
    told = Counter(entry.id for entry in pages.all(*register.sorts))
    items: list[_Use] = []
    places: list[_Use] = []
    for entry in pages.all(SPOT):
        at = problems.at(entry.file, entry.label)
        if entry.id in seen:
            at.add("this copy has a spot already", "keep the spot where it lies now")
        elif entry.id:
            seen.add(entry.id)
            thing = register.entries.get(base_id(entry.id))
            if thing is None:
                items.append(_Use(entry, entry.label, "item", base_id(entry.id)))
            # of two things of one id, nobody knows yet which is meant
            elif told[thing.id] == 1:
                _check_copy(entry.id, thing, at)
        place = entry.raw.get("compartment")
        if isinstance(place, str):
            places.append(_Use(entry, entry.label, "compartment", place))
    _note_unknown(items, register, problems)
    _note_unknown(places, Register(pages, (COMPARTMENT,)), problems)


def _check_copy(copy: str, thing: Entry[Any], at: Problems) -> None:
    """A copy is one of the thing's own, and the thing travels in the box."""
    table = thing.table
    # how many copies a faulty entry has, or whether it travels, is not known
    if table is None:
        return
    count = getattr(table, "count", 1)
    number = copy.partition("/")[2]
    if copy != thing.id and not (re.fullmatch(r"[1-9]\d*", number) and 2 <= int(number) <= count):
        at.add(
            f"item {shown(copy)} is no copy of {thing.label}, which has {count}",
            "take the spot out or set the count right",
        )
    elif not table.carried:
        at.add(f"{thing.label} stays at home", "take the spot out or set carried = true")


def _note_twice(
    names: Iterable[str], key: str, problems: Problems, more: str = "", way: str = ""
) -> None:
    """One fault for each name that a list says more than once."""
    counts: dict[str, int] = {}
    for name in names:
        counts[name] = counts.get(name, 0) + 1
    for name, count in counts.items():
        if count > 1:
            problems.add(
                f"{key} names {quoted(name)} {count} times", f"name it once{more}", way or key
            )
