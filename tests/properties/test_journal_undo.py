"""Whatever is added and undone in whatever order, the journal matches a plain model."""

import tempfile
from dataclasses import is_dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import UnionType
from typing import get_args, get_origin, get_type_hints

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from toolbox.journal.bodies import read_body, write_body
from toolbox.journal.errors import JournalError
from toolbox.journal.store import open_journal, read_facts
from toolbox.kit.checking import SaidOfInstrument
from toolbox.kit.counting import SaidOfCount
from toolbox.kit.facts import LoosePick, StepDone, SupplyUsed, Undone
from toolbox.kit.stocking import SaidOfStock
from toolbox.kit.work import Draw, Pick

NOON = datetime(2026, 1, 17, 12, tzinfo=UTC)
TEXT = st.text(max_size=8)
COUNT = st.integers(0, 10**12)


def _any_of(hint):
    """Any value of a type that facts have in their fields, whole numbers from 0 on."""
    if hint in (str, int):
        return TEXT if hint is str else COUNT
    if isinstance(hint, UnionType):
        return st.one_of([_any_of(one) for one in get_args(hint)])
    if get_origin(hint) is tuple:
        return st.lists(_any_of(get_args(hint)[0]), max_size=2).map(tuple)
    if is_dataclass(hint) or hasattr(hint, "_fields"):
        return st.builds(hint, **{k: _any_of(h) for k, h in get_type_hints(hint).items()})
    return st.from_type(hint)


WHATS = st.one_of(
    st.builds(
        StepDone,
        visit=TEXT,
        job=TEXT,
        step=st.integers(),
        picks=st.lists(st.builds(Pick, TEXT, COUNT), max_size=3).map(tuple),
        draws=st.lists(st.builds(Draw, TEXT, COUNT), max_size=2).map(tuple),
        urgent=st.booleans(),
        bike=TEXT,
        note=TEXT,
    ),
    st.builds(LoosePick, TEXT, st.integers(1, 99), st.booleans(), TEXT, TEXT),
    st.builds(SupplyUsed, TEXT, COUNT, TEXT, TEXT),
    *(_any_of(kind) for kind in get_args(SaidOfCount | SaidOfStock | SaidOfInstrument)),
)


class AgainstAModel(RuleBasedStateMachine):
    """The model: a list of entries, each with its facts or the number of what it undoes."""

    @initialize()
    def begin(self):
        """An empty folder."""
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "journal.db"
        self.journal = open_journal(self.path)
        self.ids = []
        self.model = []

    def times(self):
        """Entries may be written late: what happened goes back in time as we write."""
        return {"at": NOON - timedelta(hours=len(self.ids)), "author": "A", "written": NOON}

    def stands(self, number):
        """An entry stands unless some entry that stands undoes it."""
        undos = [n for n, entry in enumerate(self.model) if entry == number]
        return not any(self.stands(undo) for undo in undos)

    @rule(whats=st.lists(WHATS, min_size=1, max_size=3))
    def add(self, whats):
        """Add an entry."""
        self.ids.append(self.journal.add(whats, **self.times()))
        self.model.append(whats)

    @rule(data=st.data())
    def undo(self, data):
        """Undo any entry: refused exactly when the model says that it does not stand."""
        if not self.model:
            return
        number = data.draw(st.integers(0, len(self.model) - 1))
        if self.stands(number):
            self.ids.append(self.journal.undo(self.ids[number], **self.times()))
            self.model.append(number)
        else:
            with pytest.raises(JournalError):
                self.journal.undo(self.ids[number], **self.times())

    @rule()
    def close_and_open(self):
        """Closing leaves one file; opening again finds the same facts."""
        before = self.journal.facts()
        self.journal.close()
        assert [file.name for file in self.path.parent.iterdir()] == ["journal.db"]
        assert read_facts(self.path) == before
        self.journal = open_journal(self.path)

    @invariant()
    def same_as_model(self):
        """All facts, and those that count, agree with the model."""
        expected = []
        for number, entry in enumerate(self.model):
            whats = [Undone(self.ids[entry])] if isinstance(entry, int) else entry
            expected += [(self.ids[number], number + 1, what) for what in whats]
        told = [(fact.entry, fact.clock, fact.what) for fact in self.journal.facts()]
        assert told == expected
        standing = [self.ids[n] for n in range(len(self.model)) if self.stands(n)]
        assert list(dict.fromkeys(fact.entry for fact in self.journal.live())) == standing

    def teardown(self):
        """Remove the folder."""
        if hasattr(self, "journal"):
            self.journal.close()
            self.folder.cleanup()


TestAgainstAModel = AgainstAModel.TestCase
TestAgainstAModel.settings = settings(
    max_examples=25,
    stateful_step_count=20,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)


def test_bodies_are_plain_and_sorted():
    """A body is ASCII JSON with sorted keys, so that equal facts are equal text."""
    step = StepDone("v", "J1", 1, (Pick("T4", 2),), (Draw("S1", 3),), bike="é")
    assert write_body(step) == (
        "step",
        '{"bike":"\\u00e9","draws":[["S1",3]],"job":"J1","note":"","picks":[["T4",2]],'
        '"step":1,"urgent":false,"visit":"v"}',
    )
    assert read_body(*write_body(step)) == step
