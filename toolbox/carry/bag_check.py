"""An independent check of a pit bag: from the tools and jobs themselves, not from any solver."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction

from toolbox.carry.bag_report import PitBag
from toolbox.kit.things import Tool
from toolbox.kit.work import Job


def bag_faults(
    bag: PitBag,
    jobs: Sequence[Job],
    tools: Sequence[Tool],
    *,
    named: Sequence[str] = (),
    urgent_work: Mapping[str, float],
    at_hand: Collection[str] = (),
    room: int | None = None,
) -> tuple[str, ...]:
    """All that is wrong with a bag: its limits, its sums, what it says it covers.

    Empty when it holds what it promises. That it is the best bag cannot be seen from it.
    """
    kit = {tool.id: tool for tool in tools}
    inside = [packed.tool for packed in bag.tools]
    faults = [f"{i} does not travel" for i in inside if i not in kit or not kit[i].carried]
    if len(set(inside)) != len(inside):
        faults.append("a tool is packed twice")
    if faults:
        return tuple(faults)
    there = {*inside, *at_hand}
    really = {job.id for job in jobs if _can_be_done(job, kit, there)}
    return (
        *_wrong_sums(bag, kit, room),
        *_wrong_cover(bag, {job.id for job in jobs}, really, named),
        *_wrong_share(bag, really, urgent_work),
    )


def _can_be_done(job: Job, kit: Mapping[str, Tool], there: set[str]) -> bool:
    wanted = {pick.tool for step in job.steps for pick in step.picks}
    return all(
        w in there or there.intersection(kit[w].substitutes if w in kit else ()) for w in wanted
    )


def _wrong_sums(bag: PitBag, kit: Mapping[str, Tool], room: int | None) -> list[str]:
    faults = []
    grams, volume = 0, 0
    for packed in bag.tools:
        tool = kit[packed.tool]
        grams += tool.mass.grams
        volume += tool.size.length * tool.size.width * tool.size.height
        if packed.grams != tool.mass.grams or packed.name != tool.name:
            faults.append(f"{tool.name} is not told as it stands in the kit")
    if grams != bag.grams or volume != bag.volume:
        faults.append("the sums of mass or volume are wrong")
    if grams > bag.limit_g:
        faults.append(f"{grams} g are over the limit of {bag.limit_g} g")
    if room is not None and volume > room:
        faults.append("the tools take more room than there is")
    return faults


def _wrong_cover(bag: PitBag, asked: set[str], really: set[str], named: Sequence[str]) -> list[str]:
    faults = []
    if {job for job, _ in bag.covered} != really:
        faults.append("the covered jobs are not those that can be done")
    if {left.job for left in bag.left_out} != asked - really:
        faults.append("the jobs left out are not those that cannot be done")
    return faults + [f"the named job {job} is not covered" for job in named if job not in really]


def _wrong_share(bag: PitBag, really: set[str], urgent_work: Mapping[str, float]) -> list[str]:
    total = sum(map(Fraction, urgent_work.values()))
    reached = sum(Fraction(times) for job, times in urgent_work.items() if job in really)
    if bag.urgent_share == (reached / total if total else None):
        return []
    return ["the share of urgent work is wrong"]
