"""What moved in the ranking, in words: worked out by hand on made-up rankings."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from clikit import write_kit_files

from toolbox.desk.diary import When, pick_tools, take_back
from toolbox.desk.folder import open_kit
from toolbox.desk.picture import Picture, take_picture
from toolbox.desk.shift import NOTHING, Mover, movers, ordinal, shift_words, told_since
from toolbox.usage.engine import ToolUse, Usage
from toolbox.usage.gamma import Gamma

DAY = date(2026, 11, 20)
AT = datetime(2026, 11, 20, 10, 0, tzinfo=UTC)
WHEN = When(AT, AT, "Tester")


def ranking(**rates: float) -> Usage:
    """A ranking of these items with these uses a day; the first is class A, the rest C."""
    ordered = sorted(rates.items(), key=lambda pair: -pair[1])
    tools = tuple(
        ToolUse(
            item, rate, 0, 9, Gamma(1, 1), 0, 0, None, 0, grade="C" if number else "A"
        )
        for number, (item, rate) in enumerate(ordered)
    )  # fmt: skip
    return Usage(1, 1.0, DAY, DAY, (), tools, ())


def test_only_what_moved_by_itself_is_named() -> None:
    """c passes b: c moved, b was only passed, a stayed."""
    before, after = ranking(a=3, b=2, c=1), ranking(a=3, b=2, c=2.5)
    assert movers(before, after) == (Mover("c", 3, 2, "C", "C"),)
    # Taken back, c falls again: it is named, not b that rises by that.
    assert movers(after, before) == (Mover("c", 2, 3, "C", "C"),)


def test_a_change_of_class_is_a_move_of_both() -> None:
    """b becomes first: its class changes with its rank, and that is told."""
    (moved,) = movers(ranking(a=3, b=2), ranking(a=3, b=4))
    assert shift_words([moved], {"b": "Big key"}) == "Big key: 2nd -> 1st most used, class C -> A"
    grade = replace(moved, before=1)
    assert shift_words([grade], {}) == "b: still 1st, class C -> A"


def test_nothing_and_too_many() -> None:
    """No move has its words; of many the furthest are named and the rest counted."""
    before = ranking(a=9, b=8, c=7, d=6, e=5)
    assert shift_words(movers(before, before), {}) == NOTHING
    after = ranking(a=9, b=9.1, c=9.2, d=9.3, e=9.4)
    # c was passed by two and passed two: it stays third.
    words = shift_words(movers(before, after), {})
    assert words == "e: 5th -> 1st most used, class C -> A; d: 4th -> 2nd"
    words = shift_words(movers(before, after), {}, most=1)
    assert words == "e: 5th -> 1st most used, class C -> A; 1 more moved"


def test_new_and_lost_items_are_left_out() -> None:
    """Only what both rankings have can have moved."""
    assert movers(ranking(a=1, b=2), ranking(b=2, c=3)) == ()


@pytest.mark.parametrize(
    ("number", "said"),
    # English ordinals, as any grammar gives them.
    [(1, "1st"), (2, "2nd"), (3, "3rd"), (4, "4th"), (11, "11th"), (12, "12th"), (13, "13th"),
     (21, "21st"), (102, "102nd"), (111, "111th"), (113, "113th")],
)  # fmt: skip
def test_ordinals(number: int, said: str) -> None:
    """1st, 2nd, 3rd, and the teens that are not."""
    assert ordinal(number) == said


def pictures(kit: Path) -> Picture:
    """A picture taken now."""
    return take_picture(kit, DAY)


def test_what_entries_between_two_pictures_changed(tmp_path: Path) -> None:
    """One entry, then its undo and another; nothing is told of other changes."""
    kit = write_kit_files(tmp_path / "kit")
    first = pictures(kit)
    assert told_since(None, first) == ""
    assert told_since(first, take_picture(kit, DAY, first)) == ""
    # K4: by hand (0.1 + 5) / 2 a day and its share of the jobs; before, it was third.
    for _ in range(5):
        pick_tools(open_kit(kit), ["K4"], WHEN)
    second = take_picture(kit, DAY, first)
    assert told_since(first, second).startswith("last 5 entries: Hex key 4 mm: 3rd -> 1st")
    take_back(open_kit(kit), None, WHEN)
    third = take_picture(kit, DAY, second)
    assert told_since(second, third) == f"last entry: {NOTHING}"
    # Another day changes the ranking too: nothing can be said of entries alone.
    pick_tools(open_kit(kit), ["K5"], WHEN)
    assert told_since(third, take_picture(kit, date(2026, 11, 21), third)) == ""
    tools = kit / "tools.toml"
    tools.write_text(tools.read_text(encoding="utf-8") + "# a remark\n", encoding="utf-8")
    fourth = take_picture(kit, DAY, third)
    assert told_since(third, fourth) == ""
