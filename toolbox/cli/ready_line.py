"""Ready or not in one line, for a status bar: how much is to be mended, and what first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from toolbox.cli.words import cells, clean
from toolbox.desk.readiness import Finding, Seriousness

WIDTH = 60
"""Columns that such a line has at most (no source: what bars mostly have room for)."""


def ready_line(findings: Iterable[Finding]) -> str:
    """READY, or NOT READY with how much is to be mended and as much of it as there is room for."""
    told = [
        clean(finding.brief or finding.words)
        for finding in findings
        if finding.seriousness is not Seriousness.NOTE
    ]
    if not told:
        return "READY"
    head = f"NOT READY {len(told)}: "
    for number in range(len(told), 0, -1):
        line = head + _joined(told, number)
        if cells(line) <= WIDTH:
            return line
    more = _more(len(told) - 1)
    first = told[0]
    while cells(f"{head}{first}~{more}") > WIDTH:
        first = first[:-1]
    return f"{head}{first}~{more}"


def _joined(told: Sequence[str], number: int) -> str:
    return "; ".join(told[:number]) + _more(len(told) - number)


def _more(number: int) -> str:
    return f"; +{number}" if number else ""
