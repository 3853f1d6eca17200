"""What a job takes as a list to grab: tools and supplies, compartment by compartment."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.text import Text

from toolbox.desk.maps import AT_HOME, Found
from toolbox.kit.things import base_id
from toolbox.tui.text import plain
from toolbox.tui.widgets.source import Column, Row

NO_TOOLS = "this job names no tools and no supplies"
STAYS = "stays at home"
COLUMNS = (
    Column("lies in", share=2, least=12),
    Column("thing", share=3, least=16),
    Column("s", width=5, right=True),
)


def grab_rows(found: Sequence[Found], out: Mapping[str, str]) -> list[Row]:
    """A row a thing; the compartment stands at its first one only.

    ``out`` says of instruments that are out why, by their ids.
    """
    rows, before = [], None
    for one in found:
        remark = STAYS if one.remark == AT_HOME else one.remark
        home = one.compartment.name if one.compartment is not None else remark
        hand = "" if one.milliseconds is None else f"{one.milliseconds / 1000:.1f}"
        name = plain(f"OUT {one.name}" if base_id(one.copy) in out else one.name)
        cells = (plain(home if home != before else ""), name, Text(hand))
        rows.append(Row(one.copy, cells))
        before = home
    return rows
