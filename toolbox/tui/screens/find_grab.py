"""What a job takes as a list to grab: tools and supplies, compartment by compartment."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from toolbox.desk.maps import AT_HOME, Found
from toolbox.tui.text import plain
from toolbox.tui.widgets.source import Column, Row

NO_TOOLS = "this job names no tools and no supplies"
STAYS = "stays at home"
COLUMNS = (
    Column("lies in", share=2, least=12),
    Column("thing", share=3, least=16),
    Column("s", width=5, right=True),
)


def grab_rows(found: Sequence[Found]) -> list[Row]:
    """A row a thing; the compartment stands at its first one only."""
    rows, before = [], None
    for one in found:
        remark = STAYS if one.remark == AT_HOME else one.remark
        home = one.compartment.name if one.compartment is not None else remark
        hand = "" if one.milliseconds is None else f"{one.milliseconds / 1000:.1f}"
        cells = (plain(home if home != before else ""), plain(one.name), Text(hand))
        rows.append(Row(one.copy, cells))
        before = home
    return rows
