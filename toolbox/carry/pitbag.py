"""The pit bag: the few tools under a mass limit that cover named jobs and most urgent work.

A job counts only when all its tools, or a stand-in for each, are in the bag.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import isfinite
from typing import NamedTuple

from toolbox.carry.bag_check import bag_faults
from toolbox.carry.bag_exact import exact_bag
from toolbox.carry.bag_problem import BagProblem, Choice
from toolbox.carry.bag_report import PackedTool, PitBag, packed_bag
from toolbox.carry.bag_search import searched_bag
from toolbox.carry.coverage import Need, carried_ids, missing_needs, names_of, needs_of
from toolbox.carry.findings import CarryError, unknown
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import Tool
from toolbox.kit.work import Job

__all__ = ["PackedTool", "PitBag", "Refusal", "pit_bag"]

MICRO = 1_000_000
EFFORT = 10.0  # the solver's own steps for each aim: about as many seconds at most
_ML = 10**9 // 1000  # cubic tenths of a millimetre in a millilitre


@dataclass(frozen=True, slots=True)
class Refusal:
    """There is no such bag: the ``reason`` in words and the smallest change that helps.

    ``needed_g`` is the least that the named jobs weigh together (None when mass is
    not what stops them), ``limit_g`` the limit asked for; ``instead`` names the jobs
    each of which, taken off the list alone, would make the rest fit.
    """

    reason: str
    limit_g: int
    needed_g: int | None = None
    instead: tuple[str, ...] = ()


class _Question(NamedTuple):
    """What was asked, with the numbers of the tools that a bag could hold."""

    jobs: Sequence[Job]
    tools: Sequence[Tool]
    needs: Mapping[str, tuple[Need, ...]]  # without what is at hand anyway
    named: frozenset[str]
    packable: tuple[Tool, ...]
    problem: BagProblem
    asked: tuple[str, ...]  # ids of the problem's jobs


def pit_bag(
    jobs: Sequence[Job],
    tools: Sequence[Tool],
    limit_g: int,
    *,
    named: Sequence[str] = (),
    urgent_work: Mapping[str, float],
    other_work: Mapping[str, float] | None = None,
    at_hand: Collection[str] = (),
    room: int | None = None,
    effort: float = EFFORT,
) -> PitBag | Refusal:
    """The best bag of at most ``limit_g`` grams of tools, or why there is none.

    ``named`` are ids of jobs that must be covered. Then as much ``urgent_work`` as
    possible is covered (job id -> expected urgent times a working day), then as much
    ``other_work``, then the bag is as light as possible, holds the fewest tools, and
    those that stand first in ``tools``. ``tools`` is the whole kit; only carried ones
    are taken, one copy of each. Tools ``at_hand`` (ids) stand where the work is done,
    like a work stand: they serve jobs and need not be carried there. ``room`` limits
    the sum of the packed volumes (cubic tenths of a millimetre); whether the shapes go
    together is not looked at, nor are supplies that jobs use up. Work is counted in
    millionths of a time a day. ``effort`` limits the search for each aim. Without the
    solver a plain search answers, proved for small kits only.
    CarryError names all that is wrong with the question.
    """
    other = other_work or {}
    _check_jobs(jobs, named, (urgent_work, other))
    _check_tools(tools, at_hand, (limit_g, room))
    question = _question(jobs, tools, named, at_hand, (urgent_work, other))
    lacking = _lacking(question)
    if lacking:
        return Refusal(lacking, limit_g)
    problem = replace(question.problem, limit_g=limit_g, room=room)
    choice = _best(problem, effort)
    if choice.tools is None:
        return _refusal(question, problem, choice.proved, effort)
    chosen = [question.packable[t] for t in choice.tools]
    bag = packed_bag(jobs, tools, chosen, at_hand, limit_g, urgent_work, choice.proved)
    wrong = bag_faults(
        bag, jobs, tools, named=named, urgent_work=urgent_work, at_hand=at_hand, room=room
    )
    if wrong:
        raise RuntimeError("the pit bag does not pass its own check: " + "; ".join(wrong))
    return bag


def _check_jobs(
    jobs: Sequence[Job], named: Sequence[str], works: tuple[Mapping[str, float], ...]
) -> None:
    """CarryError for jobs that nobody knows and for work that cannot be counted."""
    known = [job.id for job in jobs]
    asked = dict.fromkeys((*named, *(job for work in works for job in work)))
    faults = [unknown("job", job, known) for job in asked if job not in set(known)]
    names = {job.id: job.name for job in jobs}
    for work in works:
        faults += [
            f"the work expected for {names.get(job, job)} is {times}: it cannot be counted"
            for job, times in work.items()
            if not isfinite(times) or times < 0
        ]
    if faults:
        raise CarryError(faults)


def _check_tools(
    tools: Sequence[Tool], at_hand: Collection[str], limits: tuple[int | None, ...]
) -> None:
    """CarryError for tools that nobody knows and for limits below nothing."""
    known = [tool.id for tool in tools]
    faults = [unknown("tool", i, known) for i in sorted(at_hand) if i not in set(known)]
    if any(limit is not None and limit < 0 for limit in limits):
        faults.append("a limit cannot be below nothing")
    if faults:
        raise CarryError(faults)


def _question(
    jobs: Sequence[Job],
    tools: Sequence[Tool],
    named: Sequence[str],
    at_hand: Collection[str],
    works: tuple[Mapping[str, float], Mapping[str, float]],
) -> _Question:
    """The question in numbers: only jobs that count, only tools that serve one of them."""
    urgent, other = works
    needs = {job.id: missing_needs(needs_of(job, tools), at_hand) for job in jobs}
    carried = carried_ids(tools)
    asked = tuple(
        job.id
        for job in jobs
        if (job.id in named or urgent.get(job.id) or other.get(job.id))
        and needs[job.id]
        and not missing_needs(needs[job.id], carried)
    )
    useful = {server for job in asked for need in needs[job] for server in need.servers}
    packable = tuple(tool for tool in tools if tool.carried and tool.id in useful)
    number = {tool.id: n for n, tool in enumerate(packable)}
    problem = BagProblem(
        grams=tuple(tool.mass.grams for tool in packable),
        volumes=tuple(t.size.length * t.size.width * t.size.height for t in packable),
        limit_g=None,
        room=None,
        jobs=tuple(
            tuple(tuple(number[s] for s in need.servers if s in number) for need in needs[job])
            for job in asked
        ),
        must=tuple(job in named for job in asked),
        urgent=tuple(micro(urgent.get(job, 0)) for job in asked),
        other=tuple(micro(other.get(job, 0)) for job in asked),
    )
    return _Question(jobs, tools, needs, frozenset(named), packable, problem, asked)


def micro(times: float) -> int:
    """Times a day in whole millionths, rounded half to even."""
    return round(Fraction(times) * MICRO)


def _best(problem: BagProblem, effort: float) -> Choice:
    """The solver's answer; the plain search where there is no solver or it came to nothing."""
    try:
        choice = exact_bag(problem, effort)
    except ImportError:
        return searched_bag(problem)
    if choice.tools is None and not choice.proved:
        return searched_bag(problem)
    return choice


def _lacking(question: _Question) -> str:
    """Words for named jobs that ask for a tool that does not travel and has no stand-in."""
    carried = carried_ids(question.tools)
    words = []
    for job in question.jobs:
        missing = missing_needs(question.needs[job.id], carried)
        if job.id in question.named and missing:
            names = ", ".join(names_of(question.tools, (need.tool for need in missing)))
            words.append(f"{job.name} needs what does not travel, nor a stand-in for it: {names}")
    return "; ".join(words)


def _refusal(question: _Question, problem: BagProblem, proved: bool, effort: float) -> Refusal:
    """Why no bag was found: mass first, then room, then both together."""
    limit = problem.limit_g or 0
    if not proved:
        return Refusal("no bag for the named jobs was found in the time given", limit)
    alone = replace(
        problem,
        urgent=(0,) * len(problem.jobs),
        other=(0,) * len(problem.jobs),
        limit_g=None,
        room=None,
    )
    needed, sure = _least(alone, effort)
    instead = _instead(question, problem, effort)
    if needed > limit:
        least = write(needed, Kind.MASS)
        about = least if sure else f"about {least}"
        reason = f"the named jobs need {about}, the limit is {write(limit, Kind.MASS)}"
        return Refusal(reason, limit, needed, instead)
    space, _ = _least(replace(alone, grams=alone.volumes), effort)
    if problem.room is not None and space > problem.room:
        has = write(problem.room // _ML, Kind.VOLUME)
        reason = f"the named jobs need {write(-(-space // _ML), Kind.VOLUME)}, there is room for "
        return Refusal(reason + has, limit, None, instead)
    needed, _ = _least(replace(alone, room=problem.room), effort)
    reason = (
        f"with the room there is, the named jobs need {write(needed, Kind.MASS)}, "
        f"the limit is {write(limit, Kind.MASS)}"
    )
    return Refusal(reason, limit, needed, instead)


def _least(problem: BagProblem, effort: float) -> tuple[int, bool]:
    """The least mass that covers all jobs that must be, and whether it is proved."""
    choice = _best(problem, effort)
    return sum(problem.grams[t] for t in choice.tools or ()), choice.proved


def _instead(question: _Question, problem: BagProblem, effort: float) -> tuple[str, ...]:
    """Names of named jobs each of which alone stands in the way."""
    names = {job.id: job.name for job in question.jobs}
    nothing = (0,) * len(problem.jobs)
    found = []
    for j, job in enumerate(question.asked):
        if problem.must[j]:
            must = tuple(m and i != j for i, m in enumerate(problem.must))
            rest = replace(problem, must=must, urgent=nothing, other=nothing)
            if _best(rest, effort).tools is not None:
                found.append(names[job])
    return tuple(found)
