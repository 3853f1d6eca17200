"""Two kits' files compared: every way a value can have gone on each side, by plain enumeration.

The reference is the definition itself, tried out on all cases: of what both had, what one side
has and what the other has, who made the difference is read off by comparing each side with
what both had. No source beside that.
"""

from __future__ import annotations

import tomllib
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.desk.merge_base import keep_meeting, last_meeting
from toolbox.files.merge import ABSENT, Had, Verdict, agreed, compare
from toolbox.files.merge_taking import take
from toolbox.files.problems import WriteRefused
from toolbox.files.render import document_text

FILE = "tools.toml"
VALUES = (None, 1, True, "a", [1, 2], {"x": 1})


def kit(value: Any, *, table: str = "tool") -> dict[str, Any]:
    """A file with one entry that holds a key with this value, or without it."""
    entry = {"id": "K4", "name": "Key"} | ({} if value is None else {"mass": value})
    return {FILE: {table: [entry, {"id": "K5", "name": "Other"}]}}


def expected(had: Any, here: Any, there: Any) -> Verdict | None:
    """Who made the difference, read off what both had."""
    if repr(here) == repr(there):
        return None
    if repr(here) == repr(had):
        return Verdict.THERE
    return Verdict.HERE if repr(there) == repr(had) else Verdict.BOTH


@pytest.mark.parametrize(("had", "here", "there"), list(product(VALUES, repeat=3)))
def test_who_changed_a_value(had: Any, here: Any, there: Any) -> None:
    """All cases of a key: kept, changed, taken out, put in; with a base and without."""
    base = agreed(kit(had), kit(had), None)
    found = compare(kit(here), kit(there), base)
    verdict = expected(had, here, there)
    assert {one.verdict for one in found} == ({verdict} if verdict else set())
    assert all(one.key[0] == "mass" and one.place.name == "K4" for one in found)
    blind = compare(kit(here), kit(there), None)
    assert {one.verdict for one in blind} == ({Verdict.UNKNOWN} if verdict else set())


def entries(*values: int | None) -> dict[str, Any]:
    """A file with the entries E0, E1, ... that have a value, each holding it."""
    made = [{"id": f"E{n}", "v": value} for n, value in enumerate(values) if value is not None]
    return {FILE: {"tool": [{"id": "Z", "v": 0}, *made]}}


@pytest.mark.parametrize(("had", "here", "there"), list(product((None, 1, 2), repeat=3)))
def test_who_changed_an_entry(had: int | None, here: int | None, there: int | None) -> None:
    """All cases of an entry: kept, changed, taken out, added."""
    base = agreed(entries(had), entries(had), None)
    found = compare(entries(here), entries(there), base)
    assert {one.verdict for one in found} == {expected(had, here, there)} - {None}
    for one in found:
        assert (one.key == ()) == (None in (here, there))


@pytest.mark.parametrize(("had", "here", "there"), list(product((None, 1, 2), repeat=3)))
@pytest.mark.parametrize("file", ["trips/a.toml", "layouts/plan.toml", "customs/a-1.toml"])
def test_who_changed_a_file(
    file: str, had: int | None, here: int | None, there: int | None
) -> None:
    """All cases of a file; a plan and an issued list have no parts."""

    def side(value: int | None) -> dict[str, Any]:
        return {} if value is None else {file: {"name": "x", "v": value}}

    base = agreed(side(had), side(had), None)
    found = compare(side(here), side(there), base)
    assert {one.verdict for one in found} == {expected(had, here, there)} - {None}
    for one in found:
        assert one.is_file == (None in (here, there) or not file.startswith("trips"))
        gone = one.verdict is Verdict.THERE and there is None
        assert one.takeable == (one.verdict is Verdict.THERE and not gone)


def test_what_differed_when_they_met_stays_unknown_until_it_is_the_same() -> None:
    """A difference that was there at the first meeting is nobody's change later on."""
    first = agreed(entries(1, 1, None), entries(2, 1, 5), None)
    later = compare(entries(1, 3, None), entries(2, 1, 5), first)
    told = {one.place.name: one.verdict for one in later}
    assert told == {"E0": Verdict.UNKNOWN, "E1": Verdict.HERE, "E2": Verdict.UNKNOWN}
    again = agreed(entries(1, 3, None), entries(2, 1, 5), first)
    assert [one.verdict for one in compare(entries(1, 3), entries(2, 1, 5), again)] == [
        one.verdict for one in later
    ]
    settled = agreed(entries(2, 3, 5), entries(2, 3, 5), again)
    assert [o.verdict for o in compare(entries(2, 3, 5), entries(9, 3), settled)] == [
        Verdict.THERE,
        Verdict.THERE,
    ]


def test_a_difference_not_taken_in_is_still_the_other_sides_the_next_time() -> None:
    """What both had is kept where they differ, so that looking first and taking later works."""
    met = agreed(entries(1), entries(1), None)
    for _ in range(2):
        (one,) = compare(entries(1), entries(2), met)
        assert (one.verdict, one.had) == (Verdict.THERE, 1)
        met = agreed(entries(1), entries(2), met)


def test_a_list_without_names_is_one_value() -> None:
    """Entries that nothing tells apart cannot be put side by side one by one."""
    twice = [{"name": "a", "v": 1}, {"name": "a", "v": 2}]
    mine, theirs = {FILE: {"x": twice}}, {FILE: {"x": [*twice, {"name": "b", "v": 3}]}}
    (one,) = compare(mine, theirs, None)
    assert (one.place.table, one.key) == ("", ("x",))


NAMES = st.sampled_from(["A", "B", "C", "D"])
ENTRY = st.fixed_dictionaries(
    {}, optional={"v": st.integers(0, 2), "w": st.sampled_from(["x", "y"]), "t": st.just({"u": 1})}
)
SIDE = st.dictionaries(NAMES, ENTRY, max_size=4)


def as_file(side: dict[str, dict[str, Any]]) -> dict[str, Any]:
    """A file with these entries, and one that is always there."""
    made = [{"id": name, **values} for name, values in sorted(side.items())]
    return {FILE: {"tool": [{"id": "Z"}, *made]}}


@settings(max_examples=60, deadline=None)
@given(had=SIDE, here=SIDE, there=SIDE)
def test_taking_in_changes_what_the_other_side_changed_and_nothing_else(
    tmp_path_factory: pytest.TempPathFactory, had: Any, here: Any, there: Any
) -> None:
    """After it nothing is left to be taken, clashes are as they were, and so are all comments."""
    folder = tmp_path_factory.mktemp("kit")
    base = agreed(as_file(had), as_file(had), None)
    text = document_text(as_file(here)[FILE]).replace("[[tool]]\n", "# of mine\n[[tool]]\n", 1)
    (folder / FILE).write_text(text, encoding="utf-8")
    theirs = document_text(as_file(there)[FILE]).encode()
    found = compare(as_file(here), as_file(there), base)
    wanted = [one for one in found if one.takeable]
    if wanted:
        try:
            take(folder, wanted, {FILE: theirs})
        except WriteRefused:
            assert (folder / FILE).read_text(encoding="utf-8") == text
            return
    after = {FILE: tomllib.loads((folder / FILE).read_text(encoding="utf-8"))}
    assert "# of mine" in (folder / FILE).read_text(encoding="utf-8")
    left = compare(after, as_file(there), base)
    assert not [one for one in left if one.takeable]
    kept = [(o.place, o.key, o.here, o.there) for o in found if not o.takeable and o.key]
    assert [(o.place, o.key, o.here, o.there) for o in left if o.key] == kept


@settings(max_examples=40, deadline=None)
@given(one=SIDE, other=SIDE, more=SIDE)
def test_what_both_had_is_kept_and_read_back(
    tmp_path_factory: pytest.TempPathFactory, one: Any, other: Any, more: Any
) -> None:
    """Through the file in the state folder nothing of it is lost."""
    file = tmp_path_factory.mktemp("state") / "met" / "x.json"
    had = agreed(as_file(one), as_file(more), agreed(as_file(one), as_file(other), None))
    rows = [{"id": f"f{n}"} for n in range(30)]
    keep_meeting(file, had, rows, Path("a"), Path("b"))
    assert last_meeting(file, {row["id"] for row in rows}).had == had
    assert last_meeting(file, {"f1"}).had is None


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"format": "toolbox met", "version": 2}', "x"])
def test_what_cannot_be_read_counts_as_unknown(tmp_path: Path, text: str) -> None:
    """A file of another version or a damaged one is no base."""
    file = tmp_path / "x.json"
    file.write_text(text)
    meeting = last_meeting(file, set())
    assert meeting.had is None
    assert "cannot be read" in meeting.why


def test_nothing_known_is_told_from_nothing_had() -> None:
    """With an empty base everything there is new; without one nobody knows."""
    mine, theirs = entries(), entries(1)
    assert compare(mine, theirs, agreed(mine, mine, None))[0].verdict is Verdict.THERE
    assert compare(mine, theirs, None)[0].verdict is Verdict.UNKNOWN
    assert compare(mine, theirs, Had())[0].there is not ABSENT
