"""Turning what was typed or scanned into the tool, job, supply or compartment that is meant."""

from __future__ import annotations

from collections.abc import Iterable

from toolbox.desk.errors import UnclearName, UnknownName
from toolbox.desk.names import Named, match
from toolbox.kit.box import Compartment
from toolbox.kit.codes import compartment_meant, thing_of_copy
from toolbox.kit.kit import Kit
from toolbox.kit.things import Supply, Tool
from toolbox.kit.work import Job


def job_named(kit: Kit, letters: str) -> Job:
    """The job meant; UnclearName or UnknownName when it is not clear."""
    return kit.job(_one("job", letters, (Named(j.id, j.name) for j in kit.jobs)).id)


def tool_named(kit: Kit, letters: str) -> Tool:
    """The tool meant; UnclearName or UnknownName when it is not clear."""
    named = thing_of_copy(kit, letters) or letters
    return kit.tool(_one("tool", named, (Named(t.id, t.name) for t in kit.tools)).id)


def supply_named(kit: Kit, letters: str) -> Supply:
    """The supply meant; UnclearName or UnknownName when it is not clear."""
    named = thing_of_copy(kit, letters) or letters
    return kit.supply(_one("supply", named, (Named(s.id, s.name) for s in kit.supplies)).id)


def compartment_named(kit: Kit, letters: str) -> Compartment:
    """The compartment meant; UnclearName or UnknownName when it is not clear."""
    places = (Named(c.id, c.name) for c in kit.box.compartments)
    named = compartment_meant(kit, letters) or letters
    return kit.compartment(_one("compartment", named, places).id)


def things_like(kit: Kit, letters: str) -> tuple[Named, ...]:
    """All tools and supplies that the letters could mean; UnknownName when none."""
    listed = [Named(t.id, t.name) for t in kit.tools] + [Named(s.id, s.name) for s in kit.supplies]
    found = match(letters, listed)
    if not found.found:
        raise UnknownName("tool or supply", letters, found.near)
    return found.found


def _one(kind: str, letters: str, things: Iterable[Named]) -> Named:
    found = match(letters, things)
    if found.only is not None:
        return found.only
    if found.found:
        raise UnclearName(kind, letters, found.found)
    raise UnknownName(kind, letters, found.near)
