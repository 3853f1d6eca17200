"""The layout search from outside: the same answer again, a stop at any moment, never worse."""

from __future__ import annotations

import hashlib
import subprocess
import sys
import time
from pathlib import Path
from random import Random
from statistics import median
from threading import Timer
from typing import NamedTuple

import pytest
from bench.instances import read_instance
from boxes import best_by_trying, random_box

import toolbox.layout.solve as search
from toolbox.kit.box import Inside
from toolbox.layout.problem import Answer, Item, LayoutProblem, Outcome, Place, Visit
from toolbox.layout.solve import Effort, solve
from toolbox.layout.verify import faults
from toolbox.layout.watch import StopSwitch, Watcher

HERE = Path(__file__).parent
EFFORT = Effort.NORMAL  # of the searches that are stopped where no seconds limit them
SOON = 0.2  # seconds within which a stopped search should have ended


def busy_box(items: int = 30, seed: int = 1) -> LayoutProblem:
    """A box with too many ways to try them all: four trays, a rack, two wells."""
    draw = Random(seed)
    places = (
        *(Place(f"tray {n}", Inside.LAID, 260, 180, 60, 4000, 0, (0,)) for n in range(4)),
        Place("rack", Inside.ROW, 200, 150, 60, 4000, 0, (1,)),
        *(Place(f"well {n}", Inside.LOOSE, 260, 200, 110, 9000, 3_000_000, (0, 1)) for n in (1, 2)),
    )
    sizes = [
        (draw.randint(40, 180), draw.randint(15, 60), draw.randint(8, 50)) for _ in range(items)
    ]
    return LayoutProblem(
        items=tuple(
            Item(f"tool {n}", *size, draw.randint(20, 300)) for n, size in enumerate(sizes)
        ),
        places=places,
        openings=("lid", "flap"),
        clearance=4,
        pick_cost=tuple(
            tuple(draw.randint(1, 9) * rate for _ in places)
            for rate in (draw.randint(10, 400) for _ in range(items))
        ),
        visits=tuple(
            Visit(
                (draw.randint(50, 900), draw.randint(50, 900)), tuple(draw.sample(range(items), 4))
            )
            for _ in range(8)
        ),
        allowed=(tuple(range(len(places))),) * items,
    )


def stamp(answer: Answer) -> str:
    """A digest of everything in an answer."""
    return hashlib.sha256(repr(answer).encode()).hexdigest()


class Notes(Watcher):
    """Keeps all that is heard."""

    def __init__(self, problem: LayoutProblem) -> None:
        self.problem = problem
        self.costs: list[int] = []
        self.bounds: list[int] = []
        self.events: list[str] = []
        self.wrong: list[str] = []

    def started(self) -> None:
        self.events.append("started")

    def better_layout(self, answer: Answer) -> None:
        assert answer.cost is not None
        self.costs.append(answer.cost)
        self.wrong.extend(faults(self.problem, answer))

    def better_bound(self, bound: int) -> None:
        self.bounds.append(bound)

    def finished(self, answer: Answer) -> None:
        self.events.append("finished")


def test_twenty_runs_give_the_same_bytes() -> None:
    """Small boxes, solved twenty times: one and the same answer."""
    for number in range(5):
        problem = random_box(number)
        assert len({stamp(solve(problem, effort=Effort.QUICK)) for _ in range(20)}) == 1


def test_another_process_gives_the_same_bytes() -> None:
    """Hash seeds and a fresh interpreter change nothing."""
    code = "from test_layout_steady import *; print(stamp(solve(busy_box(), effort=Effort.QUICK)))"
    found = set()
    for seed in ("1", "2"):
        ran = subprocess.run(
            [sys.executable, "-c", code],
            cwd=HERE,
            env={
                "PYTHONHASHSEED": seed,
                "PATH": "",
                "PYTHONDONTWRITEBYTECODE": "1",
                "PYTHONPATH": str(HERE.parent),
            },
            capture_output=True,
            text=True,
            check=True,
        )
        found.add(ran.stdout.strip())
    assert found == {stamp(solve(busy_box(), effort=Effort.QUICK))}


def test_every_layout_heard_of_holds_and_is_better_than_the_last() -> None:
    """The watcher hears verified layouts, costs falling and bounds rising, from start to end."""
    problem = busy_box()
    notes = Notes(problem)
    answer = solve(problem, effort=Effort.QUICK, watcher=notes)
    assert notes.events == ["started", "finished"]
    assert notes.wrong == []
    assert notes.costs == sorted(set(notes.costs), reverse=True)
    assert notes.bounds == sorted(set(notes.bounds))
    assert answer.cost == notes.costs[-1]
    assert answer.bound == notes.bounds[-1]
    assert faults(problem, answer) == ()


class TimedSwitch(StopSwitch):
    """Remembers when it was thrown."""

    at = 0.0

    def throw(self) -> None:
        self.at = time.monotonic()
        super().throw()


class Timed(Notes):
    """Also knows when the first layout came."""

    def __init__(self, problem: LayoutProblem) -> None:
        super().__init__(problem)
        self.began = time.monotonic()
        self.first = float("inf")

    def better_layout(self, answer: Answer) -> None:
        self.first = min(self.first, time.monotonic() - self.began)
        super().better_layout(answer)


class Stopped(NamedTuple):
    """One stop: the moment of the search it was thrown at, how late the search ended."""

    moment: float
    late: float
    first_layout: float  # seconds after the beginning; infinite when the stop came before


def stop_at(problem: LayoutProblem, seconds: float | None, moment: float) -> Stopped | None:
    """Stop one search; None when it had ended by itself. What it answers is checked here."""
    heard, switch = Timed(problem), TimedSwitch()
    timer = Timer(moment, switch.throw)
    timer.start()
    answer = solve(problem, effort=EFFORT, seconds=seconds, stop=switch, watcher=heard)
    ended = time.monotonic()
    timer.cancel()
    timer.join()
    assert faults(problem, answer) == ()
    assert heard.wrong == []
    # the best layout heard of is the answer; none only when none was there yet
    assert answer.cost == (heard.costs[-1] if heard.costs else None)
    assert (answer.outcome is Outcome.NONE_FOUND) == (not heard.costs)
    if not switch() or switch.at >= ended:
        return None
    return Stopped(switch.at - heard.began, ended - switch.at, heard.first)


def stop_often(problem: LayoutProblem, seconds: float | None, times: int) -> list[Stopped]:
    """Stop so many searches, each at a random moment between beginning and end."""
    draw, found, whole = Random(7), list[Stopped](), seconds
    solve(random_box(1))  # the solver package is loaded before times are taken
    if whole is None:
        began = time.monotonic()
        solve(problem, effort=EFFORT)
        whole = time.monotonic() - began
    for _ in range(2 * times):
        stopped = stop_at(problem, seconds, draw.uniform(0.0, whole))
        found += [stopped] if stopped is not None else []
        if len(found) == times:
            break
    assert len(found) == times, "most searches should last until their stop"
    return found


def told(stops: list[Stopped]) -> str:
    """Moment, lateness and first layout of each stop in seconds, the latest first."""
    stops = sorted(stops, key=lambda stop: -stop.late)
    return "\n".join(
        f"at {s.moment:.3f} late {s.late:.3f} first {s.first_layout:.3f}" for s in stops
    )


@pytest.mark.parametrize("seconds", [None, 1.0])
def test_a_stop_ends_the_search_soon(seconds: float | None) -> None:
    """Stopped at random moments, the search ends soon after with the best it has.

    Five times the 0.2 s that the engine aims at are allowed to each stop here, for busy
    machines, but not to most of them.
    """
    stops = stop_often(busy_box(60), seconds, 8)
    print(told(stops))
    assert max(stop.late for stop in stops) < 5 * SOON, told(stops)
    assert median(stop.late for stop in stops) < SOON, told(stops)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["busy box", "race-128", "case-90"])
@pytest.mark.parametrize("seconds", [None, 4.0])
def test_fifty_stops_each_end_the_search_in_time(name: str, seconds: float | None) -> None:
    """Fifty random moments of the whole search, each answered within 0.2 s; a quiet machine.

    A stop that came half a second after the beginning or later finds a layout there.
    """
    if name == "busy box":
        problem = busy_box(60)
    else:
        file = HERE.parents[1].parent / "shared" / "bench" / "layout" / f"{name}.json"
        if not file.is_file():
            pytest.skip(f"no bench instance at {file}")
        problem = read_instance(file)
    stops = stop_often(problem, seconds, 50)
    print(told(stops))
    assert max(stop.late for stop in stops) <= SOON, told(stops)
    assert all(stop.first_layout < stop.moment for stop in stops if stop.moment > 0.5), told(stops)


def test_seconds_are_kept_and_the_answer_holds() -> None:
    """By the clock the search lasts about what it was given."""
    problem = busy_box()
    began = time.monotonic()
    answer = solve(problem, seconds=1.0)
    took = time.monotonic() - began
    assert faults(problem, answer) == ()
    assert answer.outcome in (Outcome.GOOD, Outcome.OPTIMAL)
    assert took < 5.0


def test_a_present_layout_is_never_made_worse() -> None:
    """Begun from a layout that fits, every layout heard of costs at most as much."""
    problem = busy_box()
    before = solve(problem, effort=Effort.NORMAL)
    assert before.cost is not None
    notes = Notes(problem)
    homes = tuple(put.place for put in before.puts)
    solve(problem, effort=Effort.QUICK, watcher=notes, start=homes)
    assert notes.costs[0] == before.cost


@pytest.mark.parametrize("wish", [-1, 0, 1, 99, -7])
def test_any_start_will_do(wish: int) -> None:
    """Partial, impossible and senseless starts change nothing about the proved optimum."""
    for number in (3, 8, 12, 20):
        problem = random_box(number)
        answer = solve(problem, effort=Effort.QUICK, start=(wish,) * len(problem.items))
        assert answer.cost == best_by_trying(problem)
        assert faults(problem, answer) == ()


def test_nothing_to_lay_is_laid_at_once() -> None:
    """A box without tools has the empty layout, which costs nothing and is proved best."""
    problem = LayoutProblem((), busy_box().places, ("lid", "flap"), 4, (), (), ())
    answer = solve(problem)
    assert (answer.outcome, answer.cost, answer.bound) == (Outcome.OPTIMAL, 0, 0)
    assert faults(problem, answer) == ()


def test_huge_numbers_are_taken_as_they_are() -> None:
    """A box of a hundred metres and costs of 10^12: answered, proved, and within memory."""
    places = tuple(
        Place(f"hall {n}", Inside.LAID, 10**6, 10**6, 10**6, 10**9, 0, (0,)) for n in range(2)
    )
    problem = LayoutProblem(
        items=tuple(Item(f"crate {n}", 600_000, 450_000, 10**5, 10**6) for n in range(4)),
        places=places,
        openings=("gate",),
        clearance=40,
        pick_cost=((10**12, 2 * 10**12),) * 4,
        visits=(Visit((10**11,), (0, 1)),),
        allowed=((0, 1),) * 4,
    )
    # two crates of 0.6 by 0.45 lie in a hall of 1 by 1, three do not: 3 x 0.6 and 3 x 0.45 > 1
    answer = solve(problem)
    assert (answer.outcome, answer.cost) == (Outcome.OPTIMAL, 6 * 10**12 + 10**11)
    assert faults(problem, answer) == ()


def cut_box(trays: int = 4, cuts: int = 7, seed: int = 1) -> LayoutProblem:
    """Trays whose things are the tray cut to pieces: they fill it to the last millimetre."""
    draw = Random(seed)
    sides: list[tuple[int, int]] = []
    for _ in range(trays):
        pieces = [(240, 160)]
        for _ in range(cuts):
            pieces.sort(key=lambda piece: piece[0] * piece[1])
            long, short = sorted(pieces.pop(), reverse=True)
            at = long * draw.randint(35, 65) // 100
            pieces += [(at, short), (long - at, short)]
        sides += pieces
    places = tuple(
        Place(f"tray {n}", Inside.LAID, 240, 160, 60, 9000, 0, (0,)) for n in range(trays)
    )
    return LayoutProblem(
        items=tuple(Item(f"thing {n}", *side, 20, 50) for n, side in enumerate(sides)),
        places=places,
        openings=("lid",),
        clearance=0,
        pick_cost=tuple(tuple(draw.randint(1, 99) for _ in places) for _ in sides),
        visits=(),
        allowed=(tuple(range(trays)),) * len(sides),
    )


def test_a_box_that_takes_no_first_filling_is_not_closed_in_on_for_long(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Walks look for a layout first; only without one a few rounds try for a proof."""
    problem = cut_box()
    rounds: list[int] = []
    real = search.close_in

    def counted(*given: object, **asked: int) -> object:
        rounds.append(asked["rounds"])
        return real(*given, **asked)  # type: ignore[arg-type]

    monkeypatch.setattr(search, "close_in", counted)
    assert sum(map(len, problem.allowed)) > 100, "too many homes to be closed in on at once"
    notes = Notes(problem)
    answer = solve(problem, effort=Effort.QUICK, watcher=notes)
    assert notes.events[0] == "started"
    if answer.outcome is Outcome.NONE_FOUND:
        assert answer.cost is None
        assert rounds == [6]
    else:
        assert not faults(problem, answer)
        assert not rounds


def test_the_present_layout_is_the_first_one_where_it_holds() -> None:
    """Nobody hears of a layout dearer than the box as it lies today."""
    problem = busy_box()
    good = solve(problem, effort=Effort.QUICK)
    assert good.cost is not None
    heard = Notes(problem)
    again = solve(
        problem, effort=Effort.QUICK, watcher=heard, start=tuple(put.place for put in good.puts)
    )
    assert heard.costs[0] == good.cost
    assert again.cost is not None
    assert again.cost <= good.cost
