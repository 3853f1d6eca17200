"""Readiness of the instruments: out of check, due soon, not wound down for the night."""

from __future__ import annotations

from collections.abc import Iterator

from toolbox.desk.instruments import ahead_words, stands
from toolbox.desk.ready_sight import Caution, Finding, Seriousness, Sight, told

PLACE = "instruments"


def instrument_findings(sight: Sight) -> Iterator[Finding]:
    """Every instrument that is out, those that soon will be, and springs under load.

    One that is out and travels stops: a check is due before anything is tightened by it.
    """
    found = stands(sight.kit, sight.facts, sight.today)
    for one in found.values():
        stops = one.tool.carried and one.out
        seriousness = Seriousness.STOP if stops else Seriousness.NOTE
        if one.out or one.soon:
            said, command = f"{one.tool.name}: {one.words}", f"toolbox instruments {one.tool.id}"
            brief = f"{one.tool.name} {'out' if one.out else 'due soon'}"
            caution = Caution.OUT if stops else None
            yield Finding(seriousness, said, PLACE, command, one.tool.id, brief, caution)
        last = one.tool.instrument.last_check if one.tool.instrument is not None else None
        if last is not None and last > sight.today and not one.out:
            # where it is out its words say so already
            said = f"{one.tool.name}: {ahead_words(last)}"
            command = f"toolbox edit tool {one.tool.id}"
            yield Finding(Seriousness.MEND, said, "kit", command, one.tool.id)
    wound = [one.tool.name for one in found.values() if one.unwound]
    if wound:
        words = f"to wind down to the lowest mark for the night: {told(wound)}"
        yield Finding(Seriousness.NOTE, words, PLACE, "toolbox wound")
