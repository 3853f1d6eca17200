"""Finding from one field: things and jobs by a few letters, and the likely ones before any."""

from __future__ import annotations

from dataclasses import dataclass

from toolbox.desk.errors import UnknownName
from toolbox.desk.figures import count
from toolbox.desk.maps import Found, find_things, where_are
from toolbox.desk.names import Match, Named, match
from toolbox.files.layouts import SavedPlan
from toolbox.kit.codes import compartment_meant, thing_of_copy
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout
from toolbox.usage.engine import Usage

NOWHERE = Layout("nowhere", ())


@dataclass(frozen=True, slots=True)
class Meant:
    """What letters could mean: things with the way to them, jobs, near misses if neither."""

    things: tuple[Found, ...]
    jobs: tuple[Named, ...] = ()
    near: tuple[Named, ...] = ()

    def words(self, most: int) -> str:
        """How many there are, and that only the first ``most`` things are listed if so."""
        parts = [count(len(self.things), "thing")] if self.things else []
        parts += [count(len(self.jobs), "job")] if self.jobs else []
        listed = f", the first {most} listed" if len(self.things) > most else ""
        return " and ".join(parts) + listed


def shown_where(kit: Kit, plan: SavedPlan | None, *, planned: bool) -> tuple[Layout, str]:
    """The layout to look things up in, and in words which it is.

    Today's, or the plan when that is wanted or nobody has said how the box lies today;
    without either an empty one.
    """
    if plan is not None and (planned or kit.present is None):
        if kit.present is None:
            return plan.layout, "Where the plan has them; nobody has said how the box lies today."
        return plan.layout, "Where the plan has them, not as the box lies today."
    if kit.present is None:
        return NOWHERE, "Nobody has said where things lie, and there is no plan yet."
    return kit.present, "Where they lie today."


def meant_by(kit: Kit, layout: Layout, letters: str) -> Meant:
    """All things and jobs that the letters could mean, in the order of the kit's lists."""
    jobs = match(letters, (Named(job.id, job.name) for job in kit.jobs))
    if thing_of_copy(kit, letters) or compartment_meant(kit, letters):
        jobs = Match((), ())  # a code that was scanned means no job, whatever is in its name
    try:
        return Meant(find_things(kit, layout, letters, None), jobs.found)
    except UnknownName as unknown:
        near = () if jobs.found else (*unknown.near, *jobs.near)
        return Meant((), jobs.found, near)


def likely(kit: Kit, layout: Layout, usage: Usage, number: int = 9) -> Meant:
    """The things most used of those that travel, most used first."""
    carried = kit.carried()
    wanted = [use.item for use in usage.tools if use.item in carried][:number]
    return Meant(tuple(where_are(kit, layout, wanted, None)))


def grab_words(kit: Kit, found: tuple[Found, ...]) -> str:
    """How many tools and supplies from how many compartments, and how many are not in the box."""
    supplies = len({supply.id for supply in kit.supplies} & {one.copy for one in found})
    many = count(len(found) - supplies, "tool")
    many += f" and {count(supplies, 'supply', 'supplies')}" if supplies else ""
    compartments = {one.compartment.id for one in found if one.compartment is not None}
    missing = sum(one.compartment is None for one in found)
    left = f"; {missing} not in the box" if missing else ""
    return f"{many} from {count(len(compartments), 'compartment')}{left}"
