"""The layout question of a kit: usage and reach joined into the engine's plain numbers.

What a thing costs a day in a compartment is its weighted picks times the seconds
of one pick there. A job pays each opening it needs once per visit. A thing wanted
in fewer than half of a job's visits counts as a trip of its own beside the job,
so that a tool that was needed once does not tie its job to an opening.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from toolbox.desk.above import over_any
from toolbox.desk.folder import name_of_copy
from toolbox.kit.kit import Kit
from toolbox.kit.rules import Ask, Rule
from toolbox.kit.things import Mark, Supply, Tool, base_id
from toolbox.layout.problem import Item, LayoutProblem, Place, Visit
from toolbox.layout.worth import Use
from toolbox.reach.engine import ReachTimes
from toolbox.usage.engine import JobRate, Usage

REGULAR = 0.5  # mean picks per visit from which a thing belongs to the job's own trip
MICRO = 1000  # microseconds in a millisecond


@dataclass(frozen=True, slots=True)
class Question:
    """The problem with the ids behind its numbers and a stamp of all that went in.

    ``pick_ms`` are the milliseconds of a pick, of each copy in each compartment.
    """

    problem: LayoutProblem
    copies: tuple[str, ...]
    compartments: tuple[str, ...]
    stamp: str
    pick_ms: tuple[tuple[int, ...], ...]

    def homes(self, places: Mapping[str, str]) -> tuple[int, ...]:
        """Places by copy as the engine's numbers, -1 where a copy has none."""
        number = {compartment: n for n, compartment in enumerate(self.compartments)}
        return tuple(number[places[c]] if c in places else -1 for c in self.copies)


@dataclass(slots=True)
class _Demand:
    """Weighted picks a day of each copy, in jobs and as trips of their own."""

    in_jobs: dict[str, float]
    trips: dict[str, float]
    visits: list[tuple[float, dict[str, float]]]  # how often, and picks a day of each copy


def layout_question(
    kit: Kit, usage: Usage, times: ReachTimes, before: Question | None = None
) -> Question:
    """Build the engine's question from the kit, what is used, and how long reaching takes.

    ``before`` is the question of the same kit with other usage: its picks last as long.
    """
    carried = kit.carried()
    copies = tuple(carried)
    compartments = tuple(c.id for c in kit.box.compartments)
    demand = _demand(kit, usage, set(copies))
    opening_ms = [times.opening(o.id).milliseconds for o in kit.box.openings]
    places = _places(kit, sum(_grams(thing) for thing in carried.values()))
    pick_ms = (
        tuple(tuple(times.pick(copy, c).milliseconds for c in compartments) for copy in copies)
        if before is None
        else before.pick_ms
    )
    pick_cost = tuple(
        tuple(
            _linear(copy, demand, ms, place, opening_ms)
            for ms, place in zip(row, places, strict=True)
        )
        for copy, row in zip(copies, pick_ms, strict=True)
    )
    number = {copy: n for n, copy in enumerate(copies)}
    problem = LayoutProblem(
        items=tuple(_item(name_of_copy(kit, copy), thing) for copy, thing in carried.items()),
        places=places,
        openings=tuple(o.id for o in kit.box.openings),
        clearance=kit.settings.clearance,
        pick_cost=pick_cost,
        visits=tuple(
            Visit(
                tuple(round(rate * ms * MICRO) for ms in opening_ms),
                tuple(number[copy] for copy in needed),
            )
            for rate, needed in demand.visits
        ),
        allowed=_allowed(kit, copies, compartments, times),
        together=_together(kit.rules, copies, number),
        apart=_apart(kit.rules, copies, number),
    )
    stamp = hashlib.sha256(repr(problem).encode()).hexdigest()[:12]
    return Question(problem, copies, compartments, stamp, pick_ms)


def _linear(copy: str, demand: _Demand, pick_ms: int, place: Place, opening_ms: list[int]) -> int:
    trips = demand.trips.get(copy, 0.0)
    picks = demand.in_jobs.get(copy, 0.0) + trips
    opened = sum(opening_ms[o] for o in place.openings)
    return round((picks * pick_ms + trips * opened) * MICRO)


def uses_of(
    kit: Kit, usage: Usage, times: ReachTimes, question: Question, copy: str
) -> tuple[Use, ...]:
    """The uses that make up a copy's cost: each visit that needs it, and its own trips.

    ``question`` is that of the kit and usage, or one with more copies.
    """
    demand = _demand(kit, usage, {copy})
    opening_ms = [times.opening(o.id).milliseconds for o in kit.box.openings]
    pick_ms = [times.pick(copy, c).milliseconds for c in question.compartments]
    opened = [sum(opening_ms[o] for o in place.openings) for place in question.problem.places]
    item = question.copies.index(copy)
    numbers = [n for n, visit in enumerate(question.problem.visits) if item in visit.items]
    uses = [
        Use(n, tuple(round(picks[copy] * ms * MICRO) for ms in pick_ms))
        for n, (_, picks) in zip(numbers, demand.visits, strict=True)
    ]
    trips = demand.trips.get(copy, 0.0)
    both = zip(pick_ms, opened, strict=True)
    return (*uses, Use(None, tuple(round(trips * (ms + more) * MICRO) for ms, more in both)))


def _demand(kit: Kit, usage: Usage, copies: set[str]) -> _Demand:
    demand = _Demand(defaultdict(float), defaultdict(float), [])
    extra = float(kit.settings.urgent_weight) - 1.0
    for job in usage.jobs:
        rate = job.per_day * (1.0 + extra * job.urgent_share)
        _add_job(demand, job, rate, copies)
    for use in usage.tools:
        if use.item in copies and use.loose_per_day > 0:
            weight = 1.0 + extra * use.loose_urgent_share
            demand.trips[use.item] += use.loose_per_day * weight
    return demand


def _add_job(demand: _Demand, job: JobRate, rate: float, copies: set[str]) -> None:
    regular: dict[str, float] = {}
    for pick in job.picks:
        if pick.item not in copies:
            continue  # stays at home or in the reserve: no place to pay for
        if pick.mean >= REGULAR:
            regular[pick.item] = rate * pick.mean
            demand.in_jobs[pick.item] += rate * pick.mean
        else:
            demand.trips[pick.item] += rate * pick.mean
    if regular and rate > 0:
        demand.visits.append((rate, regular))


def _grams(thing: Tool | Supply) -> int:
    return thing.mass.grams if thing.mass is not None else 0


def _item(name: str, thing: Tool | Supply) -> Item:
    assert thing.size is not None, "the file layer lets no carried thing in without a size"
    upright = Mark.UPRIGHT in thing.marks
    return Item(name, *thing.size, mass_g=_grams(thing), upright=upright)


def _places(kit: Kit, all_grams: int) -> tuple[Place, ...]:
    number = {opening.id: n for n, opening in enumerate(kit.box.openings)}
    fill = kit.settings.loose_fill
    return tuple(
        Place(
            name=c.name,
            kind=c.kind,
            length=c.inside.length,
            width=c.inside.width,
            depth=c.inside.height,
            load_g=all_grams if c.load_g is None else c.load_g,
            room=int(fill * c.inside.length * c.inside.width * c.inside.height),
            openings=tuple(number[o] for o in c.openings),
        )
        for c in kit.box.compartments
    )


def _copies_of(items: tuple[str, ...], copies: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(copy for copy in copies if base_id(copy) in items)


def _allowed(
    kit: Kit, copies: tuple[str, ...], compartments: tuple[str, ...], times: ReachTimes
) -> tuple[tuple[int, ...], ...]:
    left = {copy: set(compartments) for copy in copies}
    for rule in kit.rules:
        if rule.ask is Ask.CLEAR:
            keep = set(rule.compartments)
            for copy in _copies_of(rule.others, copies):
                left[copy] &= keep
            barred = keep | over_any(kit.box, keep)
            for copy in _copies_of(rule.items, copies):
                left[copy] -= barred
            continue
        for copy in _copies_of(rule.items, copies):
            if rule.ask in (Ask.PINNED, Ask.ONLY):
                left[copy] &= set(rule.compartments)
            elif rule.ask is Ask.WITHIN and copy == base_id(copy):
                left[copy] &= _reached_within(kit, copy, rule.milliseconds or 0, times)
    return tuple(tuple(n for n, c in enumerate(compartments) if c in left[copy]) for copy in copies)


def _reached_within(kit: Kit, copy: str, most: int, times: ReachTimes) -> set[str]:
    return {c.id for c in kit.box.compartments if times.in_hand(copy, c.id) <= most}


def _together(
    rules: tuple[Rule, ...], copies: tuple[str, ...], number: dict[str, int]
) -> tuple[tuple[int, ...], ...]:
    groups = (
        tuple(number[copy] for copy in _copies_of(rule.items, copies))
        for rule in rules
        if rule.ask is Ask.TOGETHER
    )
    return tuple(group for group in groups if len(group) > 1)


def _apart(
    rules: tuple[Rule, ...], copies: tuple[str, ...], number: dict[str, int]
) -> tuple[tuple[int, ...], ...]:
    # Copies of one tool may share a compartment: only different things stay apart.
    pairs = set()
    for rule in rules:
        if rule.ask is Ask.APART:
            kept = _copies_of((*rule.items, *rule.others), copies)
            pairs |= {
                (number[a], number[b])
                for a in kept
                for b in kept
                if number[a] < number[b] and rule.parts(base_id(a), base_id(b))
            }
    return tuple(sorted(pairs))
