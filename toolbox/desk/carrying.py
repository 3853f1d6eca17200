"""Carrying the box: its mass and balance, the pit bag, what could stay at home."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from toolbox.carry.balance import Loads, weigh
from toolbox.carry.findings import CarryError, Finding
from toolbox.carry.pitbag import PitBag, Refusal, pit_bag
from toolbox.carry.tipping import Tipping, tipping, tipping_cautions
from toolbox.carry.unused import Idle, SinglePoint, idle_tools, single_points
from toolbox.desk.diary import read_typed
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.naming import job_named, tool_named
from toolbox.desk.plans import rank_tools
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout
from toolbox.kit.quantities import Kind


@dataclass(frozen=True, slots=True)
class Balance:
    """The packed box: loads and centre of gravity, how it stands opened, cautions."""

    loads: Loads
    tips: tuple[Tipping, ...]
    cautions: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Spare:
    """What could stay at home, and which tools have no double, over so many logged days."""

    days: int
    idle: tuple[Idle, ...]
    single: tuple[SinglePoint, ...]


def balance(kit: Kit, layout: Layout) -> Balance:
    """Mass, balance and tipping of the box as laid out; DeskError when it can't be weighed."""
    carried = kit.carried()
    try:
        return Balance(
            weigh(kit.box, layout, carried),
            tipping(kit.box, layout, carried),
            tipping_cautions(kit.box),
        )
    except CarryError as error:
        raise DeskError(str(error)) from error


def pack_pit_bag(
    folder: KitFolder,
    today: date,
    limit: str,
    *,
    jobs: Sequence[str] = (),
    at_hand: Sequence[str] = (),
) -> PitBag | Refusal:
    """The best pit bag of at most ``limit``; ``jobs`` must be covered, ``at_hand`` is there."""
    kit = folder.kit
    usage = rank_tools(folder, today)
    try:
        return pit_bag(
            kit.jobs,
            kit.tools,
            read_typed(limit, Kind.MASS),
            named=[job_named(kit, letters).id for letters in jobs],
            urgent_work={job.job: job.per_day * job.urgent_share for job in usage.jobs},
            other_work={job.job: job.per_day * (1 - job.urgent_share) for job in usage.jobs},
            at_hand=[tool_named(kit, letters).id for letters in at_hand],
        )
    except CarryError as error:
        raise DeskError(str(error)) from error


def spare_tools(folder: KitFolder, today: date, window: int) -> Spare:
    """Tools not used in the last ``window`` logged days, and tools whose loss stops most."""
    kit = folder.kit
    usage = rank_tools(folder, today)
    days = sorted({f.at.date() for f in folder.live if f.at.date() <= today})
    last_used = {use.item: use.last_used for use in usage.tools}
    rates = {job.job: job.per_day for job in usage.jobs}
    return Spare(
        min(window, len(days)),
        idle_tools(kit.tools, kit.jobs, days, last_used, window),
        single_points(kit.tools, kit.jobs, rates),
    )
