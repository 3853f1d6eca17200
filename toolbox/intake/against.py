"""A reading held against a kit: what the list would change in it, what waits, what is missing."""

from __future__ import annotations

from toolbox.intake.difference import Difference, Entry
from toolbox.intake.jobs import jobs_of
from toolbox.intake.reading import Findings, ListKind, Reading
from toolbox.intake.things import things_of
from toolbox.intake.weighings import weighed_of
from toolbox.kit.kit import Kit


def against(reading: Reading, kit: Kit) -> Difference:
    """What a list says that the kit does not, with the answers that the reading holds.

    Pure, and nothing is stored. Rows that are refused or wait for an answer are left out.
    """
    findings = Findings(reading.answers)
    entries: list[Entry] = []
    missing: tuple[str, ...] = ()
    # a list with faults in its header would bring the same refusal for each of its rows
    if reading.lines or not reading.refusals:
        match reading.kind:
            case ListKind.THINGS:
                entries = things_of(reading, kit, findings)
                missing = _missing(entries, [*kit.tools, *kit.supplies])
            case ListKind.JOBS:
                entries = jobs_of(reading, kit, findings)
                missing = _missing(entries, kit.jobs)
            case ListKind.WEIGHINGS:
                entries = weighed_of(reading, kit, findings)
    return Difference(
        reading.kind,
        tuple(entries),
        missing,
        (*reading.refusals, *findings.refusals),
        (*reading.questions, *findings.questions),
        (*reading.notes, *findings.notes),
    )


def _missing(entries: list[Entry], known: object) -> tuple[str, ...]:
    named = {entry.id for entry in entries}
    return tuple(thing.id for thing in known if thing.id not in named)  # type: ignore[attr-defined]
