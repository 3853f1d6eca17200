"""Stock against a plain model, through the journal; and lists that mend what they say."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from smallkit import small_kit

from toolbox.desk.folder import KitFolder
from toolbox.desk.ready_stock import aged_words
from toolbox.desk.restock import restocking
from toolbox.desk.restock_said import counted, done
from toolbox.desk.stock import holdings
from toolbox.desk.stock_demand import coming_work, once_more, runs_out
from toolbox.journal.live import live_facts
from toolbox.journal.store import open_journal, read_facts
from toolbox.kit.facts import Fact, StepDone, SupplyUsed
from toolbox.kit.kit import Kit
from toolbox.kit.stocking import Bought, Refilled, StockCounted, Wasted, Where
from toolbox.kit.things import Measure, Shelf, Supply
from toolbox.kit.work import Draw, Job, Step
from toolbox.usage.engine import estimate

NOON = datetime(2026, 11, 20, 12, tzinfo=UTC)
DAY = date(2026, 11, 21)
OPENING = {("B", Where.BOX): 300, ("B", Where.RESERVE): 200, ("R", Where.RESERVE): 400}
SUPPLIES = (
    Supply("B", "In the box", Measure.MILLILITRES, carried=True, stock=500, reserve=200),
    Supply("R", "In the van", Measure.PIECES, stock=400),
)

NAMES = st.sampled_from(["B", "R"])
UNITS = st.integers(0, 90)
PLACES = st.sampled_from(list(Where))
EVENTS = st.one_of(
    st.builds(
        lambda draws: StepDone("v", "J", 1, (), tuple(draws)),
        st.lists(st.builds(Draw, NAMES, UNITS), max_size=3),
    ),
    st.builds(SupplyUsed, NAMES, UNITS),
    st.builds(Bought, NAMES, UNITS, PLACES),
    st.builds(Refilled, NAMES, UNITS, PLACES),
    st.builds(Wasted, NAMES, UNITS, PLACES),
    st.builds(StockCounted, NAMES, PLACES, UNITS),
)
HOURS = st.integers(-40, 40)


def modelled(facts: list[tuple[datetime, int, object]]) -> dict[tuple[str, Where], int]:
    """The same worked out by hand: what happened, in the order of its time, one by one."""
    held = {(s, w): 0 for s in ("B", "R") for w in Where} | OPENING
    home = {"B": Where.BOX, "R": Where.RESERVE}
    for _, _, what in sorted(facts, key=lambda row: row[:2]):
        if isinstance(what, StepDone):
            for draw in what.draws:
                held[draw.supply, home[draw.supply]] -= draw.amount
        elif isinstance(what, SupplyUsed):
            held[what.supply, home[what.supply]] -= what.amount
        elif isinstance(what, StockCounted):
            held[what.supply, what.where] = what.amount
        elif isinstance(what, Bought | Wasted):
            held[what.supply, what.where] += what.amount * (1 if isinstance(what, Bought) else -1)
        elif isinstance(what, Refilled):
            other = Where.BOX if what.where is Where.RESERVE else Where.RESERVE
            held[what.supply, other] -= what.amount
            held[what.supply, what.where] += what.amount
    return held


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.one_of(EVENTS, st.integers(0, 11)), HOURS), max_size=14))
def test_stock_is_what_a_plain_model_says(rows: list[tuple[object, int]]) -> None:
    """Any facts at any times, any of them taken back, read from the file again: to the unit."""
    kit = replace(small_kit(), supplies=SUPPLIES)
    ids: list[str] = []
    model: list[tuple[datetime, int, object]] = []
    gone: set[int] = set()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "journal.db"
        with open_journal(path) as journal:
            for what, hours in rows:
                at = NOON + timedelta(hours=hours)
                if not isinstance(what, int):
                    ids.append(journal.add([what], at=at, author="A", written=NOON))
                    model.append((at, len(ids), what))
                elif what < len(ids) and what not in gone:
                    journal.undo(ids[what], at=at, author="A", written=NOON)
                    gone.add(what)
        facts = live_facts(read_facts(path))
    # the journal counts undos too, so the order of writing is kept and not the number itself
    held = holdings(kit, facts, date(2026, 12, 1))
    expected = modelled([row for n, row in enumerate(model) if n not in gone])
    told = {(s, w): held[s].account.book(w) for s in ("B", "R") for w in Where}
    assert told == expected
    for supply in ("B", "R"):
        assert held[supply].left == sum(expected[supply, w] for w in Where)
        assert 0 <= held[supply].good <= max(0, held[supply].left)


@st.composite
def kits(draw: st.DrawFn) -> Kit:
    """A kit of one supply in any state: split, aged, with or without a level, drawn by a job."""
    stock = draw(st.none() | st.integers(0, 300))
    old = draw(st.sampled_from([None, date(2024, 1, 31), date(2026, 11, 1)]))
    supply = Supply(
        "S",
        "The supply",
        draw(st.sampled_from([Measure.MILLILITRES, Measure.PIECES])),
        carried=draw(st.booleans()),
        pack=draw(st.none() | st.sampled_from([1, 7, 100])),
        stock=stock,
        reserve=None if stock is None else draw(st.none() | st.integers(0, stock)),
        par=draw(st.none() | st.integers(0, 200)),
        service=draw(st.none() | st.sampled_from([Fraction(1, 2), Fraction(99, 100)])),
        shelf=Shelf(
            best_before=draw(st.sampled_from([None, date(2026, 11, 20), date(2027, 1, 1)])),
            opened=old,
            opened_life_months=draw(st.sampled_from([None, 12])),
        ),
    )
    job = Job(
        "J", "A job", (Step(1, "do it", (), (Draw("S", draw(st.integers(1, 9))),)),),
        per_day=draw(st.none() | st.sampled_from([Fraction(1, 2), Fraction(3)])),
    )  # fmt: skip
    return replace(small_kit(), supplies=(supply,), jobs=(job,))


def looked_at(kit: Kit, facts: tuple[Fact, ...]) -> KitFolder:
    """The kit with these facts as if they stood in a folder without trips."""
    folder = KitFolder(Path("nowhere"), kit)
    folder.__dict__["facts"] = facts
    return folder


@settings(max_examples=60, deadline=None)
@given(kits(), st.integers(0, 40))
def test_doing_what_the_lists_say_mends_the_findings(kit: Kit, used: int) -> None:
    """Throw away, count, refill, buy as told, in at most three rounds: nothing is left to say.

    What is bought is fresh; the shelf is followed by hand, so a printed date is told with it.
    """
    begun = SupplyUsed("S", used)
    facts = (Fact("0", "0", 0, NOON, "A", begun),)
    for _ in range(3):
        listed = restocking(looked_at(kit, facts), DAY)
        (held,) = listed.held.values()
        for task in (t for t in listed.tasks if not t.done_as_told):
            seen = counted(held, "0", task.where)
            facts = said(facts, seen)
        facts = said(facts, *done(t for t in listed.tasks if t.done_as_told))
        for buy in listed.buys:
            fresh = date(2030, 1, 1)
            facts = said(facts, Bought("S", buy.packs.units, best_before=fresh))
    folder = looked_at(kit, facts)
    listed = restocking(folder, DAY)
    assert (listed.tasks, listed.buys) == ((), ())
    (held,) = listed.held.values()
    usage = estimate(kit.jobs, kit.tools, kit.supplies, facts, DAY, kit.settings)
    coming = coming_work(kit, usage, facts, DAY)
    if held.left is not None:
        assert runs_out(coming, held) is None
        assert held.left >= (held.supply.par or 0)
        assert aged_words(held) == ()
        assert held.left >= once_more(kit, held).units


def said(facts: tuple[Fact, ...], *whats: object) -> tuple[Fact, ...]:
    """One entry more, an hour after the one before."""
    n = len(facts)
    at = NOON + timedelta(minutes=n)
    return facts + tuple(Fact(f"{n}.{m}", str(n), n, at, "A", what) for m, what in enumerate(whats))
