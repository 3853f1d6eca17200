"""A list held against a kit in one go, for tests."""

from __future__ import annotations

from collections.abc import Mapping

from toolbox.intake.against import against
from toolbox.intake.difference import Difference, State
from toolbox.intake.read import read
from toolbox.intake.reading import Answers, Reading
from toolbox.kit.kit import Kit


def held(
    data: bytes | str,
    kit: Kit,
    columns: Mapping[str, str] | None = None,
    said: Mapping[str, str] | None = None,
) -> Difference:
    """What a list would change in a kit."""
    raw = data.encode() if isinstance(data, str) else data
    return against(read(raw, "list.csv", Answers(columns or {}, said or {})), kit)


def read_as(data: bytes, said: Mapping[str, str]) -> Reading:
    """A list read with some answers."""
    return read(data, "list.csv", Answers({}, said))


def known(difference: Difference) -> list[str]:
    """Ids of the entries that the kit has already."""
    return [entry.id for entry in difference.entries if entry.state is not State.NEW]
