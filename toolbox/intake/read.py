"""Tool lists and job lists of the mechanic's own: read into a draft, nothing stored.

A list is a CSV in UTF-8. Every column is read as told or guessed from its header,
every guess is shown, and every cell that could mean two things is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from toolbox.intake.headers import is_known, settle
from toolbox.intake.jobs import read_jobs
from toolbox.intake.reading import Column, Draft, Findings, Refusal
from toolbox.intake.table import Row, Sheet, Unreadable, read_sheet
from toolbox.intake.things import Things, read_things
from toolbox.kit.kit import Kit
from toolbox.kit.work import Job

__all__ = ["Column", "Draft", "Refusal", "read_list"]

_AS_GUESSED: Mapping[str, str] = MappingProxyType({})


def read_list(
    data: bytes, *, kit: Kit, name: str, columns: Mapping[str, str] = _AS_GUESSED
) -> Draft:
    """Read a list of tools and supplies, or of jobs, against the kit; nothing is changed.

    ``columns`` tells what a column means, header -> meaning ("Gewicht": "mass (g)",
    "Colour": "-" to leave it out); the others are guessed. A job list names tools
    and supplies that the kit already holds. ``name`` is how notes call the list.
    Never raises for what the data holds: that becomes refusals.
    """
    findings = Findings()
    try:
        sheet = read_sheet(data, is_known)
    except Unreadable as unreadable:
        findings.refuse(unreadable.line, "", "", unreadable.reason, unreadable.cure)
        return Draft("", refusals=findings.refusals)
    headers = settle(sheet.header, columns, findings)
    # a column read as the wrong thing would bring a refusal on every row
    unclear = bool(findings.refusals)
    findings.note(f"{name}: {len(sheet.rows)} rows, columns parted by {sheet.separator}")
    if sheet.blank_rows:
        findings.note(f"{sheet.blank_rows} blank rows were passed over")
    rows = [] if unclear else _full_rows(sheet, findings)
    things = Things((), ())
    jobs: tuple[Job, ...] = ()
    if headers.jobs:
        jobs = read_jobs(rows, headers, kit, findings)
    elif not unclear:
        things = read_things(rows, headers, kit, findings)
    return Draft(
        what="jobs" if headers.jobs else "tools+supplies",
        tools=things.tools,
        supplies=things.supplies,
        jobs=jobs,
        columns=headers.columns,
        notes=findings.notes,
        refusals=findings.refusals,
        already=tuple(findings.already),
        differing=tuple(findings.differing),
    )


def _full_rows(sheet: Sheet, findings: Findings) -> list[Row]:
    """The rows of the header's width; others are refused, for no one knows what fell out."""
    width = len(sheet.header.cells)
    for row in sheet.rows:
        if len(row.cells) != width:
            findings.refuse(
                row.line, "", " ".join(row.cells)[:60],
                f"has {len(row.cells)} cells where the header has {width}",
                "quote cells that hold the separator, and fill up short rows",
            )  # fmt: skip
    return [row for row in sheet.rows if len(row.cells) == width]
