"""Codes on labels: what a scanner types for a thing or a compartment, and what that means.

The code of a thing is its id in capitals with the number of the copy behind it ("T-005/1"),
so that it never means a job or a bike that is called the same. The code of a compartment
stands behind "IN:", so that a word like "tray" typed by hand goes on meaning names. Capitals
keep the picture of a code small; an id that differs from another in capitals alone stays as
it is written.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from toolbox.kit.kit import Kit
from toolbox.kit.things import base_id

INSIDE = "IN:"
"""What a compartment's code begins with; no id holds a colon."""


def code_of_copy(kit: Kit, copy: str) -> str:
    """The code of a copy ("T1/1" of "T1"); KeyError when the kit has no such tool or supply."""
    base, _, number = copy.partition("/")
    counts = _counts(kit)
    if base not in counts:
        raise KeyError(copy)
    return f"{_written(base, counts)}/{number or 1}"


def code_of_compartment(kit: Kit, compartment: str) -> str:
    """The code of a compartment by its id."""
    return INSIDE + _written(compartment, (c.id for c in kit.box.compartments))


def parted(code: str) -> tuple[str, int]:
    """A copy's code as an id and the number of the copy: "T1/2" gives "T1" and 2, else 0."""
    wanted, _, number = code.strip().partition("/")
    counts = re.fullmatch(r"[1-9][0-9]{0,5}", number) is not None
    return (wanted, int(number)) if counts else (code.strip(), 0)


def copy_meant(kit: Kit, code: str) -> str | None:
    """The copy that a code means, as layouts name it; None for what is no thing's code.

    "T-005/1" and "T-005" are the first copy, "T-005/2" the second, if there are so many.
    """
    wanted, number = parted(code)
    counts = _counts(kit)
    base = _read(wanted, counts)
    if base is None or number > counts[base]:
        return None
    return base if number < 2 else f"{base}/{number}"


def thing_of_copy(kit: Kit, code: str) -> str | None:
    """The tool or supply whose copy a code names by number ("T-005/2"); None for all else."""
    copy = copy_meant(kit, code) if "/" in code else None
    return None if copy is None else base_id(copy)


def compartment_meant(kit: Kit, code: str) -> str | None:
    """The id of the compartment that a code means; None for what is no compartment's code."""
    text = code.strip()
    if not text.upper().startswith(INSIDE):
        return None
    return _read(text[len(INSIDE) :], (c.id for c in kit.box.compartments))


def _counts(kit: Kit) -> dict[str, int]:
    """Tool or supply -> its copies."""
    return {tool.id: tool.count for tool in kit.tools} | {s.id: 1 for s in kit.supplies}


def _written(id: str, ids: Iterable[str]) -> str:
    alike = sum(other.upper() == id.upper() for other in ids)
    return id if alike > 1 else id.upper()


def _read(code: str, ids: Iterable[str]) -> str | None:
    """The id that is meant: the one written so, else the only one that is so but for capitals."""
    alike = [id for id in ids if id.upper() == code.upper()]
    if code in alike:
        return code
    return alike[0] if len(alike) == 1 else None
