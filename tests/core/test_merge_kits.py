"""Two copies of a kit merged: what is taken in, what is refused, and what never changes.

The reference is the kit as the readers of the other tests read it, and the bytes of the files.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from clikit import RACE, write_kit_files
from kitfiles import bytes_of

from toolbox.desk import merge as merging
from toolbox.desk.archive import export_kit
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import open_kit
from toolbox.desk.merge import Merged, Verdict, merge
from toolbox.files.problems import Fault, KitFaults, WriteRefused
from toolbox.files.trips import trip_names
from toolbox.journal.errors import JournalError
from toolbox.journal.store import open_journal, read_facts
from toolbox.kit.facts import LoosePick

AT = datetime(2026, 11, 20, 9, tzinfo=UTC)


def pick(kit: Path, tool: str) -> None:
    """One entry more in a kit's log."""
    with open_journal(kit / "journal.db") as journal:
        journal.add([LoosePick(tool)], at=AT, author=kit.name, written=AT)


def rewrite(kit: Path, file: str, *pairs: tuple[str, str]) -> None:
    """Change the text of a file; each old text is in it once."""
    path = kit / file
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")


@pytest.fixture
def kits(tmp_path: Path) -> tuple[Path, Path]:
    """A kit with one entry in its log, and a copy of it that it has met."""
    ann = write_kit_files(tmp_path / "ann")
    pick(ann, "K4")
    ben = tmp_path / "ben"
    shutil.copytree(ann, ben)
    met = meet(ann, ben)
    assert not met.differences
    assert met.facts.known == 1
    return ann, ben


def meet(
    here: Path, there: Path, *, wanted: bool = False, same_kit: bool = False, state: str = "state"
) -> Merged:
    """Merge, what both had being kept beside the kits; the other one is only read."""
    before = bytes_of(there) if there.is_dir() else there.read_bytes()
    done = merge(here, there, here.parent / state, wanted=wanted, same_kit=same_kit)
    assert before == (bytes_of(there) if there.is_dir() else there.read_bytes())
    return done


def test_what_the_other_side_changed_alone_is_shown_first_and_then_taken_in(
    kits: tuple[Path, Path],
) -> None:
    """A mass, a tool more, a job out, a trip more; comments and what was changed here stay."""
    ann, ben = kits
    rewrite(ben, "tools.toml", ('mass = "25 g"', 'mass = "26 g"'))
    with (ben / "tools.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[tool]]\nid = "PIN"\nname = "Pin"\nmass = "5 g"\n'
                   'length = "50 mm"\nwidth = "5 mm"\nheight = "5 mm"\n')  # fmt: skip
    text = (ben / "jobs.toml").read_text(encoding="utf-8")
    (ben / "jobs.toml").write_text(text[: text.index('[[job]]\nid = "BC"')], encoding="utf-8")
    (ben / "trips").mkdir()
    trip = RACE.replace('[[work]]\njob = "BC"\nexpected = 1\n', "# nothing planned\n")
    (ben / "trips" / "race.toml").write_text(trip, encoding="utf-8")
    rewrite(ann, "tools.toml", ('mass = "42 g"', 'mass = "43 g"'))
    before = bytes_of(ann)
    shown = meet(ann, ben)
    assert bytes_of(ann) == before
    told = {(o.place.file, o.place.name, o.verdict) for o in shown.differences}
    assert told == {
        ("tools.toml", "K4", Verdict.THERE),
        ("tools.toml", "PIN", Verdict.THERE),
        ("tools.toml", "K5", Verdict.HERE),
        ("jobs.toml", "BC", Verdict.THERE),
        ("trips/race.toml", "", Verdict.THERE),
    }
    assert not shown.taken
    done = meet(ann, ben, wanted=True)
    assert len(done.taken) == 4
    assert not done.left
    kit = open_kit(ann).kit
    masses = {tool.id: tool.mass.grams for tool in kit.tools}
    assert (masses["K4"], masses["K5"], masses["PIN"]) == (26, 43, 5)
    assert [job.id for job in kit.jobs] == ["CH"]
    assert trip_names(ann) == ("race",)
    assert (ann / "trips/race.toml").read_bytes() == (ben / "trips/race.toml").read_bytes()
    assert "# the keys I use all day" in (ann / "tools.toml").read_text(encoding="utf-8")
    assert [o.verdict for o in meet(ann, ben).differences] == [Verdict.HERE]
    assert [o.verdict for o in meet(ben, ann).differences] == [Verdict.UNKNOWN]


def test_a_clash_is_never_written_over(kits: tuple[Path, Path]) -> None:
    """Both changed the same mass: shown with both values and the old one, whatever is asked."""
    ann, ben = kits
    rewrite(ann, "tools.toml", ('mass = "25 g"', 'mass = "24 g"'))
    rewrite(ben, "tools.toml", ('mass = "25 g"', 'mass = "26 g"'), ("Chain tool", "Chain breaker"))
    (clash, name) = meet(ann, ben, wanted=True).differences
    assert (clash.here, clash.there, clash.had) == ("24 g", "26 g", "25 g")
    assert (clash.verdict, name.verdict) == (Verdict.BOTH, Verdict.THERE)
    text = (ann / "tools.toml").read_text(encoding="utf-8")
    assert 'mass = "24 g"' in text
    assert "Chain breaker" in text
    rewrite(ann, "tools.toml", ('mass = "24 g"', 'mass = "26 g"'))
    assert not meet(ann, ben).differences
    rewrite(ben, "tools.toml", ('mass = "26 g"', 'mass = "27 g"'))
    assert [one.verdict for one in meet(ann, ben).differences] == [Verdict.THERE]


def test_without_a_base_all_is_shown_and_nothing_taken_in(kits: tuple[Path, Path]) -> None:
    """On a machine that never met the other one nobody knows who changed what."""
    ann, ben = kits
    rewrite(ben, "tools.toml", ('mass = "25 g"', 'mass = "26 g"'))
    before = bytes_of(ann)
    done = meet(ann, ben, wanted=True, state="other state")
    assert [one.verdict for one in done.differences] == [Verdict.UNKNOWN]
    assert (done.taken, bool(done.left)) == ((), True)
    assert "first time" in (done.why or "")
    assert bytes_of(ann) == before


def test_another_copy_in_the_place_of_the_one_that_was_met_is_noticed(
    kits: tuple[Path, Path],
) -> None:
    """A stick that held one person's copy and now holds an older one says nothing of it."""
    ann, ben = kits
    older = ben.with_name("older")
    shutil.copytree(ben, older)
    pick(ben, "K5")
    meet(ann, ben)
    shutil.rmtree(ben)
    older.rename(ben)
    rewrite(ann, "tools.toml", ('mass = "25 g"', 'mass = "24 g"'))
    done = meet(ann, ben, wanted=True)
    assert "Another copy" in (done.why or "")
    assert [one.verdict for one in done.differences] == [Verdict.UNKNOWN]


def test_what_the_kit_could_not_be_read_with_is_refused_whole(kits: tuple[Path, Path]) -> None:
    """A tool gone there that a job here needs by now: no file changes, and no fact comes in."""
    ann, ben = kits
    text = (ben / "tools.toml").read_text(encoding="utf-8")
    start, end = text.index('[[tool]]\nid = "V"'), len(text)
    (ben / "tools.toml").write_text(text[:start] + text[end:], encoding="utf-8")
    rewrite(ben, "tools.toml", ('mass = "25 g"', 'mass = "26 g"'))
    rewrite(ann, "jobs.toml", ('tools = ["K4", "K5 x2"]', 'tools = ["K4", "V"]'))
    pick(ben, "K5")
    before = bytes_of(ann)
    with pytest.raises(KitFaults, match='"V"'):
        meet(ann, ben, wanted=True)
    assert bytes_of(ann) == before
    assert len(meet(ann, ben).facts.new) == 1


def test_a_disk_that_fails_in_the_middle_leaves_all_files(
    kits: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two files are to change and the second cannot be written: the first is put back."""
    ann, ben = kits
    rewrite(ben, "tools.toml", ('mass = "25 g"', 'mass = "26 g"'))
    rewrite(ben, "supplies.toml", ('stock = "100 ml"', 'stock = "90 ml"'))
    import toolbox.files.merge_taking as taking

    whole, calls = taking.put_in_place, []

    def fails(path: Path, data: bytes, was: bytes | None) -> None:
        if path.parent == ann and was is not None:
            calls.append(path.name)
            if len(calls) == 2:
                raise WriteRefused(Fault(path.name, "", "cannot be written", "try again"))
        whole(path, data, was)

    monkeypatch.setattr(taking, "put_in_place", fails)
    before = {name: text for name, text in bytes_of(ann).items() if name.endswith(".toml")}
    with pytest.raises(WriteRefused):
        meet(ann, ben, wanted=True)
    assert len(calls) >= 2
    after = {name: text for name, text in bytes_of(ann).items() if name.endswith(".toml")}
    assert after == before


def test_facts_come_from_an_export_a_conflict_copy_and_an_old_machine(
    kits: tuple[Path, Path], tmp_path: Path
) -> None:
    """Folder, export and journal bring the same facts; a journal alone brings no files."""
    ann, ben = kits
    pick(ben, "K5")
    export_kit(ben, tmp_path / "out")
    conflict = tmp_path / "journal (conflicted copy 2026-11-20).db"
    shutil.copy(ben / "journal.db", conflict)
    found = []
    for number, other in enumerate((ben, tmp_path / "out", conflict)):
        here = tmp_path / f"here{number}"
        shutil.copytree(ann, here)
        done = meet(here, other)
        found.append(read_facts(here / "journal.db"))
        assert (done.entries, done.authors, done.facts.known) == (1, ("ben",), 1)
        assert (done.why is None) == (other == conflict)
    assert found[0] == found[1] == found[2] == read_facts(ben / "journal.db")


def test_an_export_says_what_its_kit_says(kits: tuple[Path, Path], tmp_path: Path) -> None:
    """The same differences, and what is taken in out of it comes out the same."""
    ann, ben = kits
    twin, out = tmp_path / "twin", tmp_path / "out"
    shutil.copytree(ann, twin)
    export_kit(ben, out)
    meet(ann, out)
    meet(twin, ben)
    rewrite(ben, "tools.toml", ('mass = "25 g"', 'mass = "26 g"'))
    shutil.rmtree(out)
    export_kit(ben, out)
    assert meet(ann, out, wanted=True).taken == meet(twin, ben, wanted=True).taken
    assert (ann / "tools.toml").read_bytes() == (twin / "tools.toml").read_bytes()
    assert open_kit(ann).kit == open_kit(ben).kit


@pytest.mark.parametrize("empty", ["here", "there", "both", "none"])
def test_kits_without_an_entry_in_common_are_refused(tmp_path: Path, empty: str) -> None:
    """What is taken into a log stays: strangers are asked about, and taken in when it is said."""
    ann, ben = (write_kit_files(tmp_path / name) for name in ("ann", "ben"))
    for kit in (ann, ben):
        if empty not in ({ann: "here", ben: "there"}[kit], "both"):
            pick(kit, "K4")
    before = bytes_of(tmp_path)
    with pytest.raises(DeskError, match="no entry in common"):
        meet(ann, ben)
    assert bytes_of(tmp_path) == before
    done = meet(ann, ben, same_kit=True)
    assert done.entries == (empty in ("here", "none"))
    assert meet(ann, ben, same_kit=empty == "there").entries == 0


@pytest.mark.parametrize("name", ["ann", "ann/journal.db", "nowhere", "ann/layouts"])
def test_what_is_no_other_copy_is_refused(kits: tuple[Path, Path], name: str) -> None:
    """The kit itself, what is not there, and a folder that is no kit."""
    ann, _ = kits
    with pytest.raises(DeskError, match=r"this kit itself|is not there|no kit and no export"):
        merge(ann, ann.parent / name, ann.parent / "state", wanted=True, same_kit=True)


Damage = Callable[[Path], None]


@pytest.mark.parametrize(
    "damage",
    [
        lambda kit: (kit / "journal.db").write_bytes(b"\xa5" * 9999),
        lambda kit: rewrite(kit, "tools.toml", ('id = "K4"', "id = K4")),
        lambda kit: (kit / "tools.toml").write_bytes(b"\xff\xfe"),
    ],
)
def test_damage_on_the_other_side_changes_nothing_here(
    kits: tuple[Path, Path], damage: Damage
) -> None:
    """The fault is told, and nothing of the rest is taken in."""
    ann, ben = kits
    pick(ben, "K5")
    damage(ben)
    before = bytes_of(ann.parent)
    with pytest.raises((JournalError, KitFaults)):
        merge(ann, ben, ann.parent / "state", wanted=True, same_kit=False)
    assert bytes_of(ann.parent) == before


def test_what_was_edited_while_it_merged_is_not_written_over(
    kits: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody saves the file between reading and writing: it stays theirs."""
    ann, ben = kits
    rewrite(ben, "tools.toml", ('mass = "25 g"', 'mass = "26 g"'))
    whole = merging.take_in

    def meanwhile(*words):
        rewrite(ann, "tools.toml", ("# the keys I use all day", "# mine"))
        return whole(*words)

    monkeypatch.setattr(merging, "take_in", meanwhile)
    with pytest.raises(WriteRefused, match="changed by somebody else"):
        meet(ann, ben, wanted=True)
    text = (ann / "tools.toml").read_text(encoding="utf-8")
    assert "# mine" in text
    assert 'mass = "25 g"' in text
