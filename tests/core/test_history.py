"""What the log says of each tool, against plain counting by hand."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from smallkit import small_kit

from toolbox.desk.history import NEVER, OUTSIDE, Taken, histories, logged_words
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed, Undone, What
from toolbox.kit.kit import Kit
from toolbox.kit.work import Draw, Pick
from toolbox.usage.engine import estimate
from toolbox.usage.settled import Stopped, settle

DAY = date(2026, 11, 20)


def facts(*said: tuple[int, What]) -> tuple[Fact, ...]:
    """Facts on days of November 2026."""
    return tuple(
        Fact(str(n), str(n), n, datetime(2026, 11, day, 10, tzinfo=UTC), "T", what)
        for n, (day, what) in enumerate(said)
    )


def bleed(picks: tuple[Pick, ...], *, urgent: bool = False, job: str = "bleed") -> StepDone:
    """A step of the bleed done with these tools."""
    return StepDone("v", job, 1, picks, (Draw("fluid", 30),), urgent=urgent)


def test_days_jobs_and_urgent_uses_are_counted() -> None:
    """By hand: key5 three times in two bleeds, once loose and urgent; days newest first."""
    told = facts(
        (18, bleed((Pick("key4"), Pick("key5", 2)))),
        (19, bleed((Pick("key5"),), urgent=True)),
        (19, LoosePick("key5", 4, urgent=True)),
        (19, Undone("0")),
    )
    found = histories(small_kit(), told, DAY)
    key5 = found["key5"]
    assert key5.times == 2 + 1 + 4
    assert key5.urgent == 1 + 4
    assert key5.days == ((date(2026, 11, 19), 5), (date(2026, 11, 18), 2))
    assert key5.works == (Taken(OUTSIDE, 4), Taken("Brake bleed", 3))
    assert key5.last_used == date(2026, 11, 19)
    assert found["key4"].times == 1
    # A supply that does not travel is not taken up, and nobody took the lever.
    assert found.keys() == {"key4", "key5"}


def test_later_days_unknown_tools_and_jobs_of_other_times() -> None:
    """What lies ahead is not counted; a job that is on no list any more keeps its id."""
    told = facts(
        (21, LoosePick("key4")),
        (20, LoosePick("saw")),
        (20, bleed((Pick("lever/2"),), job="gone")),
        (20, SupplyUsed("fluid", 5)),
    )
    found = histories(small_kit(), told, DAY)
    assert found.keys() == {"lever"}
    assert found["lever"].works == (Taken("gone", 1),)


def test_words() -> None:
    """Never, or how often on how many days, and when last."""
    assert logged_words(NEVER, 5) == "never taken up"
    one = histories(small_kit(), facts((19, LoosePick("key4", 3))), DAY)["key4"]
    assert logged_words(one, 5) == "taken up 3 times on 1 of 5 days; last 2026-11-19"


def test_a_stop_ends_the_counting() -> None:
    """Thrown before the first fact: there is no answer, not half of one."""
    with pytest.raises(Stopped):
        histories(small_kit(), facts((19, LoosePick("key4"))), DAY, lambda: True)


@pytest.mark.parametrize("looks", [0, 2, 50])
def test_a_stop_ends_the_judging(looks: int) -> None:
    """Whenever it comes, there is no answer; without one there is the same as ever."""
    kit = small_kit()
    usage = estimate(kit.jobs, kit.tools, kit.supplies, (), DAY, kit.settings)
    asked = iter(range(1000))
    with pytest.raises(Stopped):
        settle(usage, draws=100, stop=lambda: next(asked) >= looks)
    assert settle(usage, draws=100, stop=lambda: False) == settle(usage, draws=100)


USES = st.tuples(
    st.integers(1, 25), st.sampled_from(["key4", "key5", "lever"]), st.integers(1, 3), st.booleans()
)


@settings(max_examples=30, deadline=None)
@given(st.lists(USES, max_size=12))
def test_counts_are_those_of_the_ranking(uses: list[tuple[int, str, int, bool]]) -> None:
    """Loose picks and job steps on any day: plain sums by day, and what the ranking counts."""
    kit: Kit = small_kit()
    told = facts(
        *(
            (day, LoosePick(tool, times) if is_loose else bleed((Pick(tool, times),)))
            for day, tool, times, is_loose in uses
        )
    )
    found = histories(kit, told, DAY)
    plain = Counter[tuple[str, int]]()
    for day, tool, times, _ in uses:
        if day <= DAY.day:
            plain[tool, day] += times
    counted = {(tool, day.day): n for tool, h in found.items() for day, n in h.days}
    assert counted == dict(plain)
    usage = estimate(kit.jobs, kit.tools, kit.supplies, told, DAY, kit.settings)
    for use in usage.tools:
        history = found.get(use.item, NEVER)
        assert (history.times, history.last_used) == (use.times, use.last_used)
        assert sum(taken.times for taken in history.works) == history.times
