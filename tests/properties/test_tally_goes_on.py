"""A tally gone on with is the tally made from nothing, whatever was logged and taken back.

The check is the whole computation over again (the rates that come of it are checked against
plain counting and published priors in ``test_usage_engine`` and ``test_usage_rates``).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from clikit import write_kit_files
from hypothesis import given, settings
from hypothesis import strategies as st
from smallkit import small_kit

from toolbox.desk.folder import KitFolder
from toolbox.desk.picture import Picture, take_picture
from toolbox.desk.plans import rank_tools
from toolbox.journal.live import live_facts
from toolbox.journal.store import open_journal
from toolbox.kit.counting import Counted
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed, Undone, What
from toolbox.kit.kit import Kit
from toolbox.kit.work import Draw, Pick
from toolbox.usage.counts import Tally, known_ids
from toolbox.usage.engine import estimate

DAY = date(2026, 11, 20)
NOON = datetime(2026, 11, 20, 12, tzinfo=UTC)
KIT = small_kit()
KIT = replace(
    KIT, supplies=(replace(KIT.supplies[0], carried=True), replace(KIT.supplies[0], id="oil"))
)
TOOLS = st.sampled_from(["key4", "key5", "lever", "lever/2", "gone"])
PICKS = st.lists(st.builds(Pick, TOOLS, st.integers(0, 3)), max_size=3).map(tuple)
SUPPLIES = st.sampled_from(["fluid", "oil", "none"])
DRAWS = st.lists(st.builds(Draw, SUPPLIES, st.integers(0, 9)), max_size=2).map(tuple)
WORK = st.one_of(
    st.builds(
        StepDone,
        st.sampled_from("ab"),
        st.sampled_from(["bleed", "flat", "old"]),
        st.integers(1, 2),
        PICKS,
        DRAWS,
        st.booleans(),
    ),
    st.builds(LoosePick, TOOLS, st.integers(0, 3), st.booleans()),
    st.builds(SupplyUsed, SUPPLIES, st.integers(0, 9)),
    st.just(Counted(DAY, "tray")),
)
# Work on a day so many back, or the taking back of some entry before.
LOGGED = st.lists(st.one_of(st.tuples(WORK, st.integers(-1, 40)), st.integers(0, 30)), max_size=20)


def facts_of(logged: list[tuple[What, int] | int]) -> tuple[Fact, ...]:
    """An entry each, in the order of writing; a number takes back one of the entries before."""
    facts: list[Fact] = []
    for n, one in enumerate(logged):
        if isinstance(one, int):
            what, back = Undone(f"e{one % n}" if n else "e0"), 0
        else:
            what, back = one
        facts.append(Fact(f"f{n}", f"e{n}", n + 1, NOON - timedelta(days=back), "A", what))
    return tuple(facts)


def holds(folder: KitFolder) -> None:
    """What the folder has is what a computation from nothing has, on three days."""
    kit, live = folder.kit, live_facts(folder.facts)
    assert folder.live == live
    known = known_ids(kit.jobs, kit.tools, kit.supplies)
    assert folder.tally == Tally(known).changed(live)
    for day in (DAY, DAY - timedelta(days=7), DAY + timedelta(days=2)):
        whole = estimate(kit.jobs, kit.tools, kit.supplies, live, day, kit.settings)
        assert rank_tools(folder, day) == whole


def gone_on(folder: KitFolder, kit: Kit, facts: tuple[Fact, ...]) -> KitFolder:
    """The folder looked at again, with these facts in its journal."""
    again = folder.again(kit)
    vars(again)["facts"] = facts
    return again


@settings(max_examples=60, deadline=None)
@given(LOGGED, st.lists(st.integers(0, 20), max_size=4), st.booleans())
def test_gone_on_with_is_as_made_from_nothing(
    logged: list[tuple[What, int] | int], cuts: list[int], fewer_tools: bool
) -> None:
    """After each part of the facts, undos and undos of undos among them, of either kit."""
    facts = facts_of(logged)
    folder = KitFolder(Path("nowhere"), KIT)
    vars(folder)["facts"] = ()
    for cut in [*sorted(min(cut, len(facts)) for cut in cuts), len(facts)]:
        folder = gone_on(folder, KIT, facts[:cut])
        holds(folder)
    other = replace(KIT, tools=KIT.tools[1:], jobs=KIT.jobs[:1]) if fewer_tools else KIT
    holds(gone_on(folder, other, facts))
    # another journal in the place of this one
    holds(gone_on(folder, KIT, tuple(replace(fact, id=f"x{fact.id}") for fact in facts[1:])))


def test_pictures_gone_on_with_are_as_taken_afresh(tmp_path: Path) -> None:
    """Through the journal: logged, taken back, brought back, the list of tools changed."""
    kit = write_kit_files(tmp_path / "kit")
    picture: Picture | None = None
    entries: list[str] = []

    def same() -> None:
        nonlocal picture
        picture = take_picture(kit, DAY, picture)
        fresh = take_picture(kit, DAY)
        assert picture.study is not None
        assert fresh.study is not None
        assert picture.study.usage == fresh.study.usage
        assert picture.findings == fresh.findings

    def write(what: What) -> None:
        with open_journal(kit / "journal.db") as journal:
            entries.append(journal.add([what], at=NOON, author="A", written=NOON))
        same()

    def undo(entry: str) -> None:
        with open_journal(kit / "journal.db") as journal:
            entries.append(journal.undo(entry, at=NOON, author="A", written=NOON))
        same()

    same()
    write(StepDone("v", "CH", 1, (Pick("CT"), Pick("K5"))))
    write(LoosePick("K4", 3))
    undo(entries[0])
    write(LoosePick("K5"))
    undo(entries[2])
    undo(entries[1])
    tools = kit / "tools.toml"
    tools.write_text(tools.read_text("utf-8").replace('id = "K5"', 'id = "K6"'), encoding="utf-8")
    jobs = kit / "jobs.toml"
    jobs.write_text(jobs.read_text("utf-8").replace("K5", "K6"), encoding="utf-8")
    layout = kit / "layouts" / "present.toml"
    layout.write_text(layout.read_text("utf-8").replace("K5", "K6"), encoding="utf-8")
    same()
    write(LoosePick("K6"))
