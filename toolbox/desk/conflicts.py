"""Why there is no layout, with the names of tools and rules, and what of it is proved."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from toolbox.desk.demands import PLACING, demand_of
from toolbox.desk.folder import name_of_copy
from toolbox.desk.hurdles import area, listed, volume
from toolbox.desk.question import Question
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import base_id
from toolbox.layout.bars import Bar, size_hurdles
from toolbox.layout.conflict import (
    Clash,
    Conflict,
    Demand,
    Measure,
    Sum,
    clashes,
    find_conflict,
    sums,
)
from toolbox.layout.problem import LayoutProblem
from toolbox.layout.watch import Stop
from toolbox.reach.engine import ReachTimes

_WORK = 0.3  # deterministic units for one question while the conflict is made small
_TRIES = 80
_ROUNDS = 5
_TIGHTEST = 3


def why_none(
    kit: Kit,
    question: Question,
    times: ReachTimes,
    *,
    proved: bool = False,
    stop: Stop | None = None,
) -> tuple[str, ...]:
    """Sentences that say why no layout was found, and whether that is proved.

    Plain reasons first; then a small set of rules, things and loads that can't all hold;
    with neither, the tightest sums and that nothing is proved, unless the search has
    ``proved`` it by means of its own. ``stop`` ends the looking for a small set.
    """
    problem = question.problem
    told = [*_homeless(kit, question), *_unfit(problem)]
    if told:
        return tuple(told)
    told = [_clash(problem, clash) for clash in clashes(problem)]
    all_sums = sums(problem)
    told += [_sum(problem, s) for s in all_sums if s.need > s.there]
    demands = _demands(kit, question, times)
    conflict = find_conflict(
        problem, [d for _, d in demands], work=_WORK, tries=_TRIES, rounds=_ROUNDS, stop=stop
    )
    if conflict is not None:
        told.append(_conflict(demands, conflict))
    if told or proved:
        return tuple(told)
    tight = [_sum(problem, s) for s in all_sums[:_TIGHTEST]]
    return ("nothing is proved: there may be a layout that the search missed", *tight)


def _demands(kit: Kit, question: Question, times: ReachTimes) -> list[tuple[str, Demand]]:
    problem = question.problem
    rules = [(f'the rule "{rule.name}"', demand_of(kit, rule, times)) for rule in kit.rules]
    limits = [c.load_g for c in kit.box.compartments]
    loads = [
        (f"the load limit of {problem.places[p].name}", Demand(load_of=p))
        for p, limit in enumerate(limits)
        if limit is not None
    ]
    named = {i for _, rule in rules for i in _spoken_of(rule)}
    # things no rule speaks of are given up first, so that rules come out with few things
    order = sorted(range(len(problem.items)), key=lambda i: (i in named, i))
    things = [(problem.items[i].name, Demand(place_for=i)) for i in order]
    return [*things, *loads, *rules]


def _spoken_of(demand: Demand) -> Iterable[int]:
    groups = (*demand.together, *demand.apart)
    return (*(i for i, _ in demand.allowed), *(i for group in groups for i in group))


def _homeless(kit: Kit, question: Question) -> Iterator[str]:
    """Things that the rules, each for itself perhaps all right, leave no compartment."""
    for copy, left in zip(question.copies, question.problem.allowed, strict=True):
        if not left:
            rules = (r for r in kit.rules if r.ask in PLACING and r.speaks_of(base_id(copy)))
            names = " and ".join(f'"{rule.name}"' for rule in rules)
            yield f"{name_of_copy(kit, copy)} has no compartment left by {names}"


def _unfit(problem: LayoutProblem) -> Iterator[str]:
    """Things that go into no compartment of the box, whatever the rules: the nearest miss."""
    for item in problem.items:
        misses = [size_hurdles(item, place, problem.clearance) for place in problem.places]
        if not all(misses):
            continue
        nearest = min(range(len(misses)), key=lambda p: (len(misses[p]), misses[p][0][1]))
        what = " and ".join(_miss(bar, over) for bar, over in misses[nearest])
        place = problem.places[nearest].name
        yield f"{item.name} goes into no compartment; for {place} it is {what}"


def _miss(bar: Bar, over: int) -> str:
    if bar is Bar.TOO_HEAVY:
        return f"{write(over, Kind.MASS)} too heavy"
    if bar is Bar.TOO_BULKY:
        return f"{volume(over)} too bulky"
    side = "too high" if bar is Bar.TOO_HIGH else "too long or wide"
    return f"{write(over, Kind.LENGTH)} {side}"


def _clash(problem: LayoutProblem, clash: Clash) -> str:
    names = listed([problem.items[i].name for i in clash.items])
    place = problem.places[clash.place].name
    if clash.apart:
        return f"{names} can lie only in {place}, and a rule keeps them apart"
    return f"{names} can lie only in {place}, and do not fit in together"


def _sum(problem: LayoutProblem, found: Sum) -> str:
    """What some things need of what there is, as a sentence."""
    names = [problem.items[i].name for i in found.items]
    things = listed(names) if len(names) <= 3 else f"{len(names)} things"
    places = listed([problem.places[p].name for p in found.places])
    whole = len(found.places) == len(problem.places)
    where = "all compartments together" if whole else places
    need, there = _measured(found.need, found.measure), _measured(found.there, found.measure)
    if found.measure is Measure.SHARE:
        need, there = "at least " + need, f"{len(found.places)} there are"
    else:
        there += " there are"
    return f"for {things} there is only {where}: that takes {need} of the {there}"


def _measured(value: int, measure: Measure) -> str:
    match measure:
        case Measure.LOAD:
            return f"{value} g"
        case Measure.AREA:
            return area(value)
        case Measure.LENGTH:
            return write(value, Kind.LENGTH)
        case Measure.VOLUME:
            return volume(value)
        case Measure.SHARE:
            return f"{value / 1000:.1f} compartments"


def _conflict(demands: Sequence[tuple[str, Demand]], conflict: Conflict) -> str:
    named = [demands[n] for n in conflict.demands]
    rules = [name for name, demand in named if demand.place_for is None]
    things = [name for name, demand in named if demand.place_for is not None]
    parts = list(rules)
    if things:
        parts.append(f"a place for {listed(things, 6)}")
    proof = "proved in two ways" if conflict.confirmed else "proved once, not confirmed"
    said = f"these cannot all hold ({proof}): {'; '.join(parts)}"
    if all(conflict.needed) and len(conflict.demands) > 1:
        return said + ". Without any one of them the others can be kept"
    if len(conflict.demands) > 1:
        return said + ". Perhaps not all of them are needed for that"
    return said
