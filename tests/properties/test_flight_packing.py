"""Packing for a flight: right by plain enumeration, checked by a checker that misses no lie.

Source of every expected value: all packings of small random trips, tried out one by one
in ``trips`` with code that shares nothing with the package but the value types.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from itertools import combinations

import pytest
from trips import best_of, every_packing, random_trip, worth

from toolbox.flight import packing, packing_counts, packing_rough
from toolbox.flight.packing import pack
from toolbox.flight.packing_account import account_of, values_of, worth_of
from toolbox.flight.packing_check import packing_faults
from toolbox.flight.packing_limits import Limit, limits_of, raised
from toolbox.flight.packing_model import Solved
from toolbox.flight.packing_pace import Pace
from toolbox.flight.packing_problem import (
    Aim,
    Bag,
    Band,
    ByPiece,
    ByWeight,
    Cabin,
    Fate,
    Item,
    Job,
    Leg,
    Loss,
    Outcome,
    PackingAnswer,
    PackingProblem,
    Reached,
)
from toolbox.flight.packing_question import PackingError, question_faults
from toolbox.flight.packing_reason import Against, why_impossible
from toolbox.flight.packing_rough import RoughSearch, better
from toolbox.flight.packing_tables import tables_of
from toolbox.flight.packing_watch import PackingWatcher
from toolbox.layout.solver import solver_there

needs_solver = pytest.mark.skipif(not solver_there(), reason="the solver package is missing")

KINDS = {
    "one packing for all legs": {},
    "a bag may be lost": {"spread": True},
    "bags change between legs": {"may_change": True},
    "bags change, one may be lost": {"may_change": True, "spread": True},
}


def check_against_enumeration(seeds: range, kind: str) -> Counter[str]:
    """Pack each trip and compare with the best of all its packings; counts what was met."""
    met: Counter[str] = Counter()
    for seed in seeds:
        trip = random_trip(seed, **KINDS[kind])
        assert question_faults(trip) == ()
        best, answer = best_of(trip), pack(trip)
        assert answer.proven, f"seed {seed}"
        if best is None:
            assert answer.outcome is Outcome.IMPOSSIBLE, f"seed {seed}"
            met["impossible"] += 1
            continue
        assert answer.account is not None
        assert worth_of(trip, answer.account) == best, f"seed {seed}"
        assert worth(trip, (answer.places, answer.fates)) == best, f"seed {seed}"
        assert packing_faults(trip, answer) == ()
        met["possible"] += 1
        met["paid"] += answer.account.cents > 0
        met["lost"] += answer.account.lost > 0
        met["moved"] += answer.account.moves > 0
        for allowance in trip.legs[0].allowances:
            met[type(allowance).__name__] += 1
    return met


@needs_solver
@pytest.mark.parametrize("kind", KINDS)
def test_the_answer_is_the_best_of_all_packings(kind: str) -> None:
    """Every aim in its order is that of the best packing, and impossible means there is none."""
    met = check_against_enumeration(range(60), kind)
    assert min(met.values()) >= 5, met
    assert {"impossible", "paid", "lost", "moved", "ByPiece", "ByWeight"} <= set(met)


@needs_solver
@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_the_answer_is_the_best_of_all_packings_many_trips(kind: str) -> None:
    """The same for many more trips."""
    check_against_enumeration(range(1000, 1600), kind)


@needs_solver
@pytest.mark.parametrize("kind", KINDS)
def test_what_is_cut_up_bounds_every_packing(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With things cut up by the gram each aim is as good as the best packing, or better.

    The aims before are held at the values of the best packing found by enumeration.
    """
    monkeypatch.setattr(packing_counts, "_HEAVY_G", 10**9)
    met: Counter[str] = Counter()
    for seed in range(25):
        trip = random_trip(seed, **KINDS[kind])
        best = best_of(trip)
        if best is None:
            continue
        aims = [aim for aim in Aim if aim is not Aim.SPREAD or trip.spread]
        held: dict[Aim, int] = {}
        for aim, goal in zip(aims, best, strict=False):
            pace = Pace(lambda: False, 1.0, None)
            rough = RoughSearch(tables_of(trip), held, None, None, pace).take([aim])
            assert not rough.impossible, f"seed {seed}"
            assert rough.bound is not None, f"seed {seed}"
            value = -goal if aim is Aim.MARGIN else goal
            assert not better(aim, value, rough.bound), f"seed {seed}: {aim}"
            met[f"{aim.name} met"] += value == rough.bound
            met[f"{aim.name} missed"] += value != rough.bound
            held[aim] = value
    assert met["MONEY met"] > met["MONEY missed"] > 0, met


@needs_solver
@pytest.mark.parametrize("kind", KINDS)
def test_bounds_hold_where_near_is_enough_and_the_other_way_round(
    kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped far from its bound, or asked for money instead, a search claims no more than is so.

    The values of the best packing by enumeration are held. The other way round a value that
    can be bettered is never proved, and the best one is now and then.
    """
    monkeypatch.setattr(packing_counts, "_HEAVY_G", 10**9)
    monkeypatch.setattr(packing_rough, "_NEAR", 0.4)
    monkeypatch.setattr(packing_rough, "_SHORT", 0.0)
    met: Counter[str] = Counter()
    for seed in range(45):
        trip = random_trip(seed, **KINDS[kind])
        best = best_of(trip)
        if best is None or not best[0]:
            continue
        aims = [aim for aim in Aim if aim is not Aim.SPREAD or trip.spread]
        held: dict[Aim, int] = {}
        for aim, goal in zip(aims, best, strict=False):
            value = -goal if aim is Aim.MARGIN else goal
            pace = Pace(lambda: False, 1.0, None)
            search = RoughSearch(tables_of(trip), held, None, None, pace)
            if aim in (Aim.LOST_WORK, Aim.MOVES):
                for more in (0, 1, 5):
                    bare = Solved((), (), value + more, None, False, {}, 0.0)
                    bound = search.turned(aim, bare).bound
                    assert bound is None or bound <= value, f"seed {seed}: {aim} {more}"
                    met[aim.name] += bound == value
            bound = search.take([aim]).bound
            assert bound is None or not better(aim, value, bound), f"seed {seed}: {aim}"
            held[aim] = value
    assert min(met["LOST_WORK"], met["MOVES"]) >= 2, met


def test_a_bound_that_is_not_the_value_never_counts_as_near() -> None:
    """A value of nothing with a bound above it has a gap of one, not of none."""
    assert Reached(Aim.MARGIN, 0, 35).gap() == 1.0
    assert Reached(Aim.MARGIN, 99, 100).gap() == 0.01
    assert Reached(Aim.MONEY, 200, 150).gap() == 0.25
    assert Reached(Aim.MONEY, 0, 0).gap() == 0.0


def answer_for(
    trip: PackingProblem, packing: tuple[tuple[tuple[int | None, ...], ...], tuple[Fate, ...]]
) -> PackingAnswer:
    """A packing as an answer that claims nothing of bounds."""
    account = account_of(trip, *packing)
    aims = tuple(Reached(aim, value, None) for aim, value in values_of(trip, account).items())
    return PackingAnswer(Outcome.GOOD, *packing, account, aims, "given")


def test_the_checker_agrees_with_the_enumeration_on_every_packing() -> None:
    """Of all packings of many trips it passes those that keep the limits, and no other."""
    passed = refused = 0
    for seed in range(60):
        trip = random_trip(seed, may_change=seed % 4 == 0, spread=seed % 3 == 0)
        for number, given in zip(range(400), every_packing(trip), strict=False):
            value = worth(trip, given)
            answer = answer_for(trip, given)
            assert (packing_faults(trip, answer) == ()) is (value is not None), (seed, number)
            if value is None:
                refused += 1
            else:
                assert answer.account is not None
                assert worth_of(trip, answer.account) == value
                passed += 1
    assert min(passed, refused) > 1000


Lie = Callable[[PackingProblem, PackingAnswer], PackingAnswer | None]


def _told(answer: PackingAnswer, **changes: object) -> PackingAnswer:
    assert answer.account is not None
    return replace(answer, account=replace(answer.account, **changes))  # type: ignore[arg-type]


def _put(answer: PackingAnswer, leg: int, item: int, bag: int | None) -> PackingAnswer:
    row = list(answer.places[leg])
    row[item] = bag
    places = (*answer.places[:leg], tuple(row), *answer.places[leg + 1 :])
    return replace(answer, places=places)


def _first_carried(answer: PackingAnswer) -> int | None:
    return next((i for i, fate in enumerate(answer.fates) if fate is Fate.CARRIED), None)


def _vanished(trip: PackingProblem, answer: PackingAnswer) -> PackingAnswer | None:
    item = _first_carried(answer)
    if item is None:
        return None
    leg = next(n for n, row in enumerate(answer.places) if row[item] is not None)
    return _put(answer, leg, item, None)


def _no_such_bag(trip: PackingProblem, answer: PackingAnswer) -> PackingAnswer | None:
    return _put(answer, 0, 0, len(trip.bags))


def _left_against_the_rule(trip: PackingProblem, answer: PackingAnswer) -> PackingAnswer | None:
    item = next((i for i, thing in enumerate(trip.items) if not thing.may_leave), None)
    if item is None:
        return None
    for leg in range(len(trip.legs)):
        answer = _put(answer, leg, item, None)
    fates = tuple(Fate.LEFT if i == item else f for i, f in enumerate(answer.fates))
    return answer_for(trip, (answer.places, fates))


def _away_and_in_a_bag(trip: PackingProblem, answer: PackingAnswer) -> PackingAnswer | None:
    item = _first_carried(answer)
    if item is None:
        return None
    fates = tuple(Fate.SHIPPED if i == item else f for i, f in enumerate(answer.fates))
    return replace(answer, fates=fates)


def _in_a_forbidden_bag(trip: PackingProblem, answer: PackingAnswer) -> PackingAnswer | None:
    for i, item in enumerate(trip.items):
        for b, bag in enumerate(trip.bags):
            barred = not (item.cabin if bag.cabin else item.hold) or b in item.no_bags
            if barred and answer.fates[i] is Fate.CARRIED:
                places = tuple(
                    tuple(b if n == i and at is not None else at for n, at in enumerate(row))
                    for row in answer.places
                )
                return answer_for(trip, (places, answer.fates))
    return None


def _changed_on_the_way(trip: PackingProblem, answer: PackingAnswer) -> PackingAnswer | None:
    item = _first_carried(answer)
    if item is None or trip.may_change or len(trip.legs) < 2 or None in (
        answer.places[0][item], answer.places[1][item]
    ):  # fmt: skip
        return None
    other = (answer.places[1][item] + 1) % len(trip.bags)  # type: ignore[operator]
    return answer_for(trip, (_put(answer, 1, item, other).places, answer.fates))


LIES: dict[str, Lie] = {
    "an item is nowhere": _vanished,
    "a bag that does not exist": _no_such_bag,
    "left at home though it must go": _left_against_the_rule,
    "sent and in a bag as well": _away_and_in_a_bag,
    "in a bag where it may not be": _in_a_forbidden_bag,
    "another bag on the next leg": _changed_on_the_way,
    "a leg is missing": lambda t, a: replace(a, places=a.places[1:]),
    "an item is missing": lambda t, a: replace(a, fates=a.fates[1:]),
    "cheaper than it is": lambda t, a: _told(a, cents=a.account.cents - 1),
    "dearer than it is": lambda t, a: _told(a, cents=a.account.cents + 1),
    "a charge is not told": lambda t, a: (
        _told(a, charges=a.account.charges[1:]) if a.account.charges else None
    ),
    "a charge is told twice": lambda t, a: (
        _told(a, charges=a.account.charges * 2) if a.account.charges else None
    ),
    "a charge for another leg": lambda t, a: (
        _told(a, charges=(a.account.charges[0]._replace(leg=7), *a.account.charges[1:]))
        if a.account.charges
        else None
    ),
    "a job said to be lost": lambda t, a: (
        _told(a, lost_jobs=tuple(range(len(t.jobs))))
        if len(a.account.lost_jobs) < len(t.jobs)
        else None
    ),
    "a lost job is not told": lambda t, a: (
        _told(a, lost_jobs=a.account.lost_jobs[1:]) if a.account.lost_jobs else None
    ),
    "less work lost": lambda t, a: _told(a, lost=a.account.lost - 1),
    "a move is not told": lambda t, a: (
        _told(a, moved=a.account.moved[1:]) if a.account.moved else None
    ),
    "fewer moves": lambda t, a: _told(a, moves=a.account.moves - 1),
    "a bag is not told": lambda t, a: (
        _told(a, taken=a.account.taken[1:]) if a.account.taken else None
    ),
    "a wider margin": lambda t, a: (
        _told(a, margin_g=a.account.margin_g + 1) if a.account.margins else None
    ),
    "a margin is not told": lambda t, a: (
        _told(a, margins=a.account.margins[1:]) if a.account.margins else None
    ),
    "a higher limit": lambda t, a: (
        _told(
            a,
            margins=(
                a.account.margins[0]._replace(limit_g=a.account.margins[0].limit_g + 1),
                *a.account.margins[1:],
            ),
        )
        if a.account.margins
        else None
    ),
    "a lost bag costs nothing": lambda t, a: (
        _told(a, losses=tuple(Loss(row.bag, row.possible, 0) for row in a.account.losses))
        if any(row.lost for row in a.account.losses)
        else None
    ),
    "all is possible with a bag lost": lambda t, a: (
        _told(
            a,
            losses=tuple(
                Loss(row.bag, tuple(range(len(t.jobs))), row.lost) for row in a.account.losses
            ),
        )
        if any(len(row.possible) < len(t.jobs) for row in a.account.losses)
        else None
    ),
    "the loss of a bag is not told": lambda t, a: (
        _told(a, losses=a.account.losses[1:]) if a.account.losses else None
    ),
    "a better worst loss": lambda t, a: _told(a, worst_loss=a.account.worst_loss - 1),
    "an aim is better than it is": lambda t, a: replace(
        a, aims=(a.aims[0]._replace(value=a.aims[0].value - 1), *a.aims[1:])
    ),
    "an aim is not told": lambda t, a: replace(a, aims=a.aims[1:]),
    "a bound above the value": lambda t, a: replace(
        a, aims=(a.aims[0]._replace(bound=a.aims[0].value + 1), *a.aims[1:])
    ),
    "a margin wider than its bound": lambda t, a: (
        replace(a, aims=(*a.aims[:-1], a.aims[-1]._replace(bound=a.aims[-1].value - 1)))
        if a.aims[-1].aim is Aim.MARGIN
        else None
    ),
    "said to be proved": lambda t, a: replace(a, outcome=Outcome.OPTIMAL),
    "said to be impossible": lambda t, a: replace(a, outcome=Outcome.IMPOSSIBLE),
    "a result without a packing": lambda t, a: replace(a, account=None),
}


@pytest.mark.parametrize("name", LIES)
def test_the_checker_catches_every_kind_of_lie(name: str) -> None:
    """Each lie is told about a packing that holds, at least a few times, and always caught."""
    told = 0
    for seed in range(120):
        trip = random_trip(seed, may_change=seed % 5 == 0)
        true = next((p for p in every_packing(trip) if worth(trip, p) is not None), None)
        if true is None:
            continue
        answer = answer_for(trip, true)
        assert packing_faults(trip, answer) == ()
        lie = LIES[name](trip, answer)
        if lie is not None and lie != answer:
            assert packing_faults(trip, lie), f"seed {seed}"
            told += 1
    assert told >= 2


def test_a_bag_changed_on_the_way_is_the_only_fault_of_such_a_packing() -> None:
    """A thing in another roomy bag on the next leg: fine where bags may change, else the fault."""
    leg = Leg("leg", (ByWeight((0,), 30_000),), (Cabin(),))
    bags = (Bag("case", 0, 2000), Bag("trunk", 0, 2000))
    trip = PackingProblem(("Ann",), (Item("press", (900, 900)),), bags, (leg, leg))
    given = (((0,), (1,)), (Fate.CARRIED,))
    assert packing_faults(trip, answer_for(trip, given)) == ("press changes its bag on the way",)
    free = replace(trip, may_change=True)
    assert packing_faults(free, answer_for(free, given)) == ()


def test_a_packing_without_the_solver_holds_and_says_that_it_is_not_proved(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The plain packing passes the checker, is never better than the best, and claims nothing."""
    monkeypatch.setattr(packing, "solver_there", lambda: False)
    found = possible = equal = 0
    for seed in range(150):
        trip = random_trip(seed, may_change=seed % 3 == 0)
        answer, best = pack(trip), best_of(trip)
        assert answer.outcome in (Outcome.GOOD, Outcome.NONE_FOUND)
        assert not answer.proven
        possible += best is not None
        if answer.account is not None:
            assert packing_faults(trip, answer) == ()
            assert best is not None
            assert worth_of(trip, answer.account) >= best
            found += 1
            equal += worth_of(trip, answer.account)[0] == best[0]
    assert found >= 0.9 * possible
    assert equal >= 0.7 * found


def _apart(trip: PackingProblem, kept: tuple[Limit, ...]) -> PackingProblem:
    """The trip with all limits but these lifted."""
    for limit in limits_of(tables_of(trip)):
        if limit not in kept:
            trip = raised(trip, limit, 10**9)
    return trip


def _carried_out(trip: PackingProblem, against: Against) -> None:
    """Each change really helps, and a smaller one of its kind does not."""
    for change in against.changes:
        changed = trip
        for limit, by in change.raises:
            changed = raised(changed, limit, by)
        assert best_of(_may_stay(changed, change.leave)) is not None
        if len(change.raises) == 1 and change.least:
            limit, by = change.raises[0]
            assert best_of(raised(trip, limit, by - 1)) is None
        if change.leave and change.least:
            _nothing_lighter_helps(trip, change.grams)


def _may_stay(trip: PackingProblem, leave: tuple[int, ...]) -> PackingProblem:
    items = [replace(t, may_leave=True) if i in leave else t for i, t in enumerate(trip.items)]
    return replace(trip, items=tuple(items))


def _nothing_lighter_helps(trip: PackingProblem, grams: int) -> None:
    held = [i for i, item in enumerate(trip.items) if not item.may_leave]
    for size in range(len(held) + 1):
        for leave in combinations(held, size):
            if sum(max(g or 0 for g in trip.items[i].grams) for i in leave) < grams:
                assert best_of(_may_stay(trip, leave)) is None


@needs_solver
@pytest.mark.parametrize("may_change", [False, True])
def test_reasons_are_contradictory_and_what_is_proposed_helps(may_change: bool) -> None:
    """The limits named leave no packing by themselves; each is needed; each change helps."""
    met: Counter[str] = Counter()
    for seed in range(60):
        trip = random_trip(seed, may_change=may_change)
        against = why_impossible(trip)
        assert (against is None) is (best_of(trip) is not None), f"seed {seed}"
        if against is None:
            continue
        assert against.confirmed
        if against.limits:
            assert best_of(_apart(trip, against.limits)) is None
            for number, needed in enumerate(against.needed):
                rest = against.limits[:number] + against.limits[number + 1 :]
                assert needed is (best_of(_apart(trip, rest)) is not None)
            assert against.changes
            met["limits"] += 1
        met["nowhere"] += bool(against.nowhere)
        met["barred"] += bool(against.barred)
        met["raised"] += any(change.raises for change in against.changes)
        met["left"] += any(change.leave for change in against.changes)
        _carried_out(trip, against)
    assert min(met[word] for word in ("limits", "nowhere", "barred", "raised", "left")) >= 2, met


def test_a_question_with_faults_is_refused_with_all_of_them() -> None:
    """Every fault is told at once, each in a sentence with the name of what is wrong."""
    trip = PackingProblem(
        ("Ann",),
        (Item("press", (1000, 1000), home=3), Item("pump", (None,), volume=-1)),
        (),
        (Leg("out", (ByPiece((0,), 1, (Band(23_000, 0), Band(23_000, 10))),), (Cabin(),)),
         Leg("back", (), (), no_hold=(9,))),
        jobs=(Job("bleed", ((7,),), -1),),
        legs_out=3,
    )  # fmt: skip
    with pytest.raises(PackingError) as told:
        pack(trip)
    said = " ".join(told.value.faults)
    for word in (
        "press names a bag", "pump has 1 masses", "pump has a mass, volume", "bands of mass",
        "Ann has 0 allowances", "back has 0 cabin limits", "back bars an item", "bleed needs",
        "bleed is worth", "3 legs before the work",
    ):  # fmt: skip
        assert word in said
    for broken in (
        ByWeight((0,), 10, kg_cents=0),
        ByWeight((0,), -10),
        ByPiece((0,), 1, ()),
        ByPiece((0,), 1, (Band(10, 5),)),
    ):
        leg = Leg("out", (broken,), (Cabin(),))
        assert question_faults(PackingProblem(("Ann",), (), (), (leg,)))


class _Hearing(PackingWatcher):
    """Writes down what it hears."""

    def __init__(self) -> None:
        self.heard: list[str] = []
        self.answers: list[PackingAnswer] = []

    def started(self) -> None:
        self.heard.append("started")

    def better_packing(self, answer: PackingAnswer) -> None:
        self.heard.append("better")
        self.answers.append(answer)

    def finished(self, answer: PackingAnswer) -> None:
        self.heard.append("finished")


@needs_solver
def test_what_a_watcher_hears_gets_better_and_holds() -> None:
    """Start, ever better packings that pass the checker, then the end."""
    for seed in range(12):
        trip = random_trip(seed)
        hearing = _Hearing()
        answer = pack(trip, watcher=hearing)
        assert (hearing.heard[0], hearing.heard[-1]) == ("started", "finished")
        assert set(hearing.heard[1:-1]) <= {"better"}
        worths = [worth_of(trip, a.account) for a in hearing.answers if a.account]
        assert worths == sorted(set(worths), reverse=True)
        assert all(packing_faults(trip, a) == () for a in hearing.answers)
        if answer.account is not None:
            assert worth_of(trip, answer.account) == worths[-1]


@needs_solver
def test_a_thrown_stop_ends_the_search_without_a_claim() -> None:
    """Stopped at once, an answer is none or a packing that holds; nothing is proved of it."""
    for seed in range(20):
        trip = random_trip(seed)
        answer = pack(trip, stop=lambda: True)
        assert answer.outcome in (Outcome.GOOD, Outcome.NONE_FOUND)
        assert packing_faults(trip, answer) == ()


@needs_solver
def test_the_same_question_has_the_same_answer() -> None:
    """By counted work two runs give equal answers, to the last figure."""
    for seed in range(10):
        trip = random_trip(seed, spread=True)
        assert pack(trip) == pack(trip)


@needs_solver
def test_by_the_clock_small_trips_are_proved_as_well() -> None:
    """With seconds to spare the answer is the best of all packings too."""
    for seed in range(12):
        trip = random_trip(seed)
        answer = pack(trip, seconds=60)
        assert answer.proven
        if answer.account is not None:
            assert worth_of(trip, answer.account) == best_of(trip)
