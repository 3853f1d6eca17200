"""The ranking with places and costs: sums done by hand, orders by plain enumeration."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from smallkit import small_kit, with_home_tool

from toolbox.desk.errors import UnclearName, UnknownName
from toolbox.desk.plans import Study, reach_of
from toolbox.desk.question import layout_question
from toolbox.desk.ranked import (
    Order,
    Ranked,
    basis_words,
    costs_today,
    filtered,
    in_order,
    ranked_named,
    ranking,
    settled_words,
)
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.layout.problem import cost_of
from toolbox.usage.engine import Usage, estimate
from toolbox.usage.settled import OpenTool, Settled

DAY = date(2026, 11, 20)


def studied(kit: Kit, **places: str) -> Study:
    """What the engines make of the small kit when its things lie so; nothing is logged."""
    spots = tuple(Spot(item, place) for item, place in places.items())
    placed = replace(kit, present=Layout("present", spots) if spots else None)
    usage = estimate(placed.jobs, placed.tools, placed.supplies, (), DAY, placed.settings)
    times = reach_of(placed)
    return Study(placed, usage, times, layout_question(placed, usage, times))


def by_item(rows: tuple[Ranked, ...]) -> dict[str, Ranked]:
    """The rows under the ids of their tools."""
    return {row.item: row for row in rows}


def loose(usage: Usage, item: str) -> float:
    """Trips a day outside any job."""
    return next(use.loose_per_day for use in usage.tools if use.item == item)


def test_cost_is_fetches_and_the_openings_nobody_else_needs() -> None:
    """Sums by hand from stopwatch readings: lid 4 s, a pick 1 s from the tray, 3 s from the well.

    Two bleeds a day take key4 twice and key5 twice each. Alone behind the lid, key5 pays
    it at every bleed; with key4 beside it neither would spare it by moving.
    """
    at = studied(small_kit(), key4="tray", key5="well", lever="tray")
    costs = costs_today(at)
    own = loose(at.usage, "key5")
    assert costs["key5"] == pytest.approx(1e6 * (2 * 2 * 3 + 2 * 4 + own * (3 + 4)), abs=2)
    assert costs["key4"] == pytest.approx(1e6 * (2 * 2 * 1 + loose(at.usage, "key4") * 1), abs=2)
    both = costs_today(studied(small_kit(), key4="well", key5="well", lever="tray"))
    assert both["key5"] == pytest.approx(1e6 * (2 * 2 * 3 + own * (3 + 4)), abs=2)


def test_cost_differs_between_places_as_the_whole_day_does() -> None:
    """Moving one thing changes its cost by what the cost of the whole layout changes by."""
    homes = {"key4": "well", "key5": "tray", "lever": "tray", "lever/2": "well"}
    before = studied(small_kit(), **homes)
    after = studied(small_kit(), **{**homes, "key5": "well"})
    day = [cost_of(s.question.problem, s.question.homes(p)) for s, p in
           ((before, homes), (after, {**homes, "key5": "well"}))]  # fmt: skip
    assert costs_today(after)["key5"] - costs_today(before)["key5"] == day[1] - day[0]


def test_what_has_no_place_has_no_cost() -> None:
    """At home, or nobody has said where: no compartment and no cost, and it says which."""
    rows = by_item(ranking(studied(with_home_tool(small_kit()), key4="tray")))
    assert rows["key4"].home is not None
    assert rows["key4"].cost is not None
    assert (rows["key5"].home, rows["key5"].cost, rows["key5"].carried) == (None, None, True)
    assert (rows["vice"].home, rows["vice"].cost, rows["vice"].carried) == (None, None, False)
    assert costs_today(studied(small_kit())) == {}


def test_shares_add_up_and_ranks_count_from_one() -> None:
    """All uses are shared out among the tools, the most used one first."""
    rows = ranking(studied(small_kit(), key4="tray"))
    assert math.fsum(row.share for row in rows) == pytest.approx(1)
    assert [row.rank for row in rows] == [1, 2, 3]
    assert all(a.use.per_day >= b.use.per_day for a, b in pairwise(rows))


def test_orders() -> None:
    """Each order against the plain sorting by hand; the more used comes first among equals."""
    at = studied(with_home_tool(small_kit()), key4="well", key5="tray", lever="well")
    sure = Settled(
        1,
        (("key4", 1.0), ("key5", 0.6), ("lever", 0.2), ("vice", 0.0)),
        (OpenTool("key5", 0.6, (), 1.0), OpenTool("lever", 0.2, (), 1.0)),
        (),
    )
    rows = ranking(at, sure)
    used = {"key4": date(2026, 11, 19), "key5": date(2026, 11, 1), "lever": DAY, "vice": None}
    rows = tuple(replace(r, use=replace(r.use, last_used=used[r.item])) for r in rows)
    got = {order: [row.item for row in in_order(rows, order)] for order in Order}
    # key4 and key5 are wanted four times a day each, lever and vice hardly.
    assert got[Order.USES] == ["key4", "key5", "lever", "vice"]
    assert got[Order.NAME] == ["key4", "key5", "lever", "vice"]  # Hex 4, Hex 5, Tyre, Vice
    assert got[Order.PLACE] == ["key5", "key4", "lever", "vice"]  # tray, well, well, nowhere
    # About 21 s: two bleeds through the lid; 4 s from the tray; 3 s: a flat in ten days.
    assert got[Order.COST] == ["key4", "key5", "lever", "vice"]
    assert got[Order.OPEN] == ["key5", "lever", "key4", "vice"]  # 0.1, 0.3, 0.5, 0.5 from a half
    assert got[Order.IDLE] == ["vice", "key5", "key4", "lever"]
    assert got[Order.URGENT][0] == "lever"  # the only one of an urgent job
    assert [row.settled for row in rows] == [True, False, False, True]
    assert [row.settled for row in ranking(at)] == [None] * 4


def test_every_order_leads_to_the_next_and_back() -> None:
    """One key goes through all of them; each says what it does in words of its own."""
    order, seen = Order.USES, []
    for _ in Order:
        seen.append(order)
        order = order.next()
    assert seen == list(Order)
    assert order is Order.USES
    assert len({one.words for one in Order}) == len(Order)


def test_letters_narrow_and_name() -> None:
    """A few letters leave what they could mean, in the order given; one is named by enough."""
    rows = ranking(studied(small_kit(), key4="tray"))
    assert [row.item for row in filtered(rows, "hex")] == ["key4", "key5"]
    assert [row.item for row in filtered(reversed(rows), "hex")] == ["key5", "key4"]
    assert filtered(rows, "  ") == rows
    assert filtered(rows, "saw") == ()
    assert ranked_named(rows, "hex 5").id == "key5"
    with pytest.raises(UnclearName):
        ranked_named(rows, "hex")
    with pytest.raises(UnknownName):
        ranked_named(rows, "saw")


def test_words_of_the_basis_and_of_what_is_settled() -> None:
    """Nothing logged is said; an open tool names what to log, by the job's name."""
    at = studied(small_kit())
    assert basis_words(at.usage).startswith("Nothing logged yet")
    assert basis_words(replace(at.usage, days=1)).startswith("From 1 logged working day,")
    sure = Settled(
        1,
        (("key4", 0.95), ("key5", 0.6), ("lever", 0.2)),
        (OpenTool("key5", 0.6, ("bleed",), 0.2), OpenTool("lever", 0.2, (), 1.0)),
        (),
    )
    assert settled_words(at.kit, sure, "key4") == "yes, among the 1 easily reached"
    assert "60 % among the 1 easily reached; to tell, log Brake bleed" in settled_words(
        at.kit, sure, "key5"
    )
    assert settled_words(at.kit, sure, "lever").endswith("log its loose picks")
