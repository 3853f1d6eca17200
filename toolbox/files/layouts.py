"""Layout files with what the search found out about them, written and read back."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from toolbox.files.reading import layout_from_file, layout_pages
from toolbox.files.tables import layout_tables
from toolbox.files.writing import replace_own, save_layout
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout

__all__ = ["SavedPlan", "layout_from_file", "load_plan", "save_layout", "save_plan"]

_NOTE = "A plan for the box. Written by toolbox: change the kit and plan again, not this file."


@dataclass(frozen=True, slots=True)
class SavedPlan:
    """A planned layout, its cost and proven bound (microseconds a day), how and from what.

    ``stamp`` tells the question it answers from any other; ``bound`` is None when
    none was proved.
    """

    layout: Layout
    cost: int
    bound: int | None
    method: str
    stamp: str


def save_plan(path: Path, plan: SavedPlan) -> None:
    """Write a plan, or write it anew; WriteRefused, the file untouched, when it cannot be."""
    # the spots come last: in TOML whatever follows their heading would belong to one of them
    found = {"cost": plan.cost, "bound": plan.bound, "method": plan.method, "stamp": plan.stamp}
    told = {key: value for key, value in found.items() if value is not None}
    page = layout_tables(plan.layout)
    replace_own(path, {"name": page.pop("name"), "plan": told, **page}, _NOTE)


def load_plan(path: Path, kit: Kit) -> SavedPlan:
    """The plan in a file; KitFaults when it is faulty, holds no plan or no longer fits the kit."""
    from toolbox.files.meaning import layout_of
    from toolbox.files.pages import LAYOUT
    from toolbox.files.problems import Fault, KitFaults

    pages = layout_pages(path, kit)
    layout = layout_of(pages)
    head = next(iter(pages.tables(LAYOUT)), None)
    if layout is None or head is None or head.plan is None:
        file = f"{path.parent.name}/{path.name}"
        raise KitFaults([Fault(file, "", "is a layout without a plan", "make the plan again")])
    found = head.plan
    return SavedPlan(layout, found.cost, found.bound, found.method, found.stamp)
