"""Three journals of one kit, written in apart and merged in any order, are one in the end.

The reference is a model of plain sets: what a journal holds is the set of entries that it wrote
or met, merging is the union, and an entry stands unless one that stands takes it back. That the
order of writing is one that every machine agrees on, and that it puts what was known before
what was written knowing it, is the clock condition of L. Lamport, "Time, clocks, and the
ordering of events in a distributed system", Communications of the ACM 21(7), 1978 (from memory).
"""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime, timedelta
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from test_journal_undo import WHATS

from toolbox.files.archive_lines import lines_text
from toolbox.journal.archive import row_faults, rows_of
from toolbox.journal.errors import JournalError
from toolbox.journal.merge import rows_elsewhere, take_in
from toolbox.journal.store import open_journal, read_facts
from toolbox.kit.facts import LoosePick, Undone

NOON = datetime(2026, 1, 17, 12, tzinfo=UTC)
WHO = st.integers(0, 2)


def merge(here: Path, there: Path) -> int:
    """Take one journal into another; how many facts were new."""
    if not there.exists():
        return 0
    return len(take_in(here, rows_elsewhere(there), there).new)


def exported(path: Path) -> bytes:
    """The journal's lines as an export has them."""
    return lines_text("toolbox journal", 1, rows_of(path))


class ThreeMachines(RuleBasedStateMachine):
    """The model: for each machine the entries it knows, each with what it takes back."""

    @initialize()
    def begin(self):
        """Three empty folders, one journal in each."""
        self.home = tempfile.TemporaryDirectory()
        self.paths = [Path(self.home.name) / f"journal {name}.db" for name in "abc"]
        self.known: list[set[str]] = [set(), set(), set()]
        self.knew: dict[str, set[str]] = {}
        self.takes: dict[str, set[str]] = {}
        self.seen = [(), (), ()]  # read before: reading goes on from there
        self.minutes = 0

    def times(self, who):
        """Machines' clocks are hours apart, and what happened may be written late."""
        self.minutes += 1
        at = NOON + timedelta(hours=3 * who, minutes=self.minutes)
        return {"at": at, "author": "abc"[who], "written": at}

    def stands(self, who, entry):
        """An entry stands unless one that stands takes it back."""
        undos = [one for one in self.known[who] if entry in self.takes[one]]
        return not any(self.stands(who, undo) for undo in undos)

    def wrote(self, who, entry, takes):
        """Remember what was written, and what its writer knew."""
        self.knew[entry] = set(self.known[who])
        self.takes[entry] = takes
        self.known[who].add(entry)

    @rule(who=WHO, whats=st.lists(WHATS, min_size=1, max_size=2))
    def add(self, who, whats):
        """Write an entry on one machine."""
        with open_journal(self.paths[who]) as journal:
            self.wrote(who, journal.add(whats, **self.times(who)), set())

    @rule(who=WHO, data=st.data())
    def undo(self, who, data):
        """Take back any entry that is known there, undos too; what an undo took comes back."""
        if not self.known[who]:
            return
        entry = data.draw(st.sampled_from(sorted(self.known[who])))
        with open_journal(self.paths[who]) as journal:
            if not self.stands(who, entry):
                with pytest.raises(JournalError):
                    journal.undo(entry, **self.times(who))
                return
            undo = journal.undo(entry, **self.times(who))
            takes = {f.what.entry for f in journal.facts() if f.entry == undo}
        self.wrote(who, undo, takes)
        assert entry in takes
        assert not self.stands(who, entry)
        assert all(self.stands(who, back) for back in self.takes[entry])

    @rule(pair=st.permutations(range(3)))
    def meet(self, pair):
        """One machine takes in what another has; doing it twice brings nothing."""
        here, there, _ = pair
        before = self.paths[there].read_bytes() if self.paths[there].exists() else b""
        new = merge(self.paths[here], self.paths[there])
        assert bool(new) == bool(self.known[there] - self.known[here])
        self.known[here] |= self.known[there]
        assert merge(self.paths[here], self.paths[there]) == 0
        if before:
            assert self.paths[there].read_bytes() == before

    @invariant()
    def same_as_model(self):
        """Entries, those that count, and the order: nothing before what its writer knew."""
        for who, path in enumerate(self.paths):
            self.seen[who] = read_facts(path, self.seen[who])
            facts = self.seen[who]
            assert facts == read_facts(path)
            assert {fact.entry for fact in facts} == self.known[who]
            order = {fact.entry: number for number, fact in enumerate(facts)}
            for entry in self.known[who]:
                assert all(order[one] < order[entry] for one in self.knew[entry])
            if path.exists():
                with open_journal(path) as journal:
                    live = {fact.entry for fact in journal.live()}
                assert live == {e for e in self.known[who] if self.stands(who, e)}

    def teardown(self):
        """When all have met, in whatever order, all export the same bytes."""
        if not hasattr(self, "home"):
            return
        with self.home:
            # in an order that differs from try to try and is the same for the same try
            orders = list(permutations(range(3)))
            order = orders[self.minutes % len(orders)]
            for here in order:
                for there in order:
                    if here != there:
                        merge(self.paths[here], self.paths[there])
            for here in order:
                for there in reversed(order):
                    if here != there:
                        merge(self.paths[here], self.paths[there])
            assert len({exported(path) for path in self.paths}) == 1
            first, *others = (read_facts(path) for path in self.paths)
            assert all(other == first for other in others)
            assert list(first) == sorted(first, key=lambda fact: (fact.clock, fact.entry))
            assert not list(row_faults(rows_of(self.paths[0])))


TestThreeMachines = ThreeMachines.TestCase
TestThreeMachines.settings = settings(
    max_examples=10,
    stateful_step_count=20,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)


@pytest.fixture
def apart(tmp_path: Path) -> list[Path]:
    """Three journals, written apart but for one entry that all know; two undos of it."""
    paths = [tmp_path / f"{name}.db" for name in "abc"]
    when = {"at": NOON, "author": "Ada", "written": NOON}
    with open_journal(paths[0]) as journal:
        first = journal.add([LoosePick("K4")], **when)
    for path in paths[1:]:
        merge(path, paths[0])
    for path in paths:
        with open_journal(path) as journal:
            journal.add([LoosePick("K5"), LoosePick("CT")], **when)
            if path != paths[2]:
                journal.undo(first, **when)
    return paths


def test_merging_is_commutative_associative_and_idempotent(apart, tmp_path):
    """Each of the three laws, on rows: whoever meets whom first, and however often."""
    a, b, c = (rows_of(path) for path in apart)

    def joined(*parts):
        path = tmp_path / f"{len(list(tmp_path.iterdir()))}.db"
        for part in parts:
            take_in(path, part, path)
        return rows_of(path)

    assert joined(a, b) == joined(b, a)
    assert joined(joined(a, b), c) == joined(a, joined(b, c))
    assert joined(a, a) == a
    assert len({exported_of(joined(*order)) for order in permutations((a, b, c))}) == 1
    clocks = [(row["clock"], row["entry"], row["nth"]) for row in joined(a, b, c)]
    assert clocks == sorted(clocks)
    assert len({clock for clock, _, _ in clocks}) < len({entry for _, entry, _ in clocks})


def exported_of(rows):
    """Rows as an export has them."""
    return lines_text("toolbox journal", 1, rows)


def test_what_two_took_back_comes_back_with_one_undo(apart):
    """Two machines undo the same entry; undoing either undo brings it back for all."""
    a, b, c = apart
    merge(a, b)
    facts = read_facts(a)
    first = facts[0].entry
    undos = [fact.entry for fact in facts if isinstance(fact.what, Undone)]
    assert len(undos) == 2
    when = {"at": NOON, "author": "Ada", "written": NOON}
    with open_journal(a) as journal:
        assert first not in {fact.entry for fact in journal.live()}
        journal.undo(undos[0], **when)
        assert first in {fact.entry for fact in journal.live()}
    merge(c, a)
    with open_journal(c) as journal:
        assert first in {fact.entry for fact in journal.live()}


def test_an_undo_that_stands_takes_back_what_another_brought_back(apart):
    """One undoes and redoes an entry, the other undoes it knowing nothing of that: it is out."""
    a, b, _ = apart
    first = read_facts(a)[0].entry
    when = {"at": NOON, "author": "Ada", "written": NOON}
    with open_journal(a) as journal:
        (undo,) = (fact.entry for fact in journal.facts() if isinstance(fact.what, Undone))
        journal.undo(undo, **when)
        assert first in {fact.entry for fact in journal.live()}
    merge(a, b)
    merge(b, a)
    for path in (a, b):
        with open_journal(path) as journal:
            assert first not in {fact.entry for fact in journal.live()}
            (other,) = (
                fact.entry
                for fact in journal.live()
                if isinstance(fact.what, Undone) and fact.what.entry == first
            )
    with open_journal(b) as journal:
        journal.undo(other, **when)
        assert first in {fact.entry for fact in journal.live()}
