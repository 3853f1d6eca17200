"""The tables of a goods rule file as the file writes them: keys, what each may hold."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from toolbox.files.fields import (
    Day,
    Energy,
    FlashPoint,
    Id,
    Length,
    Line,
    Name,
    ScaleStep,
    Volume,
    one_of,
    refuse,
    whole,
)
from toolbox.files.pages import HEAD, Sort
from toolbox.files.schema import Some, Table
from toolbox.kit.goods import Holds, Per, Say
from toolbox.kit.trips import Carriage

SayWord = Annotated[Say, one_of(Say)]
HoldsWord = Annotated[Holds, one_of(Holds)]
PerWord = Annotated[Per, one_of(Per)]
CarriageWord = Annotated[Carriage, one_of(Carriage)]


class RulesTable(Table):
    """The head of a goods rule file."""

    name: Name
    dated: Day
    suspect: list[Name] = Field(default=[])


class SetTable(Table):
    """One [[set]]: whose rules, and where they hold."""

    id: Id
    name: Name
    holds: HoldsWord


class RuleRow(Table):
    """One [[rule]]."""

    id: Id
    name: Name
    set: str
    words: Annotated[list[Name], Some]
    names: list[Name] = Field(default=[])
    hold: SayWord
    cabin: SayWord
    first: CarriageWord = Carriage.HOLD
    energy_over: Energy | None = None
    energy_most: Energy | None = None
    net_over: Volume | None = None
    net_most: Volume | None = None
    flash_over: FlashPoint | None = None
    flash_most: FlashPoint | None = None
    lithium_over: ScaleStep | None = None
    lithium_most: ScaleStep | None = None
    text: Line = ""
    un: Line = ""
    source: Name
    hand_tool: bool = True

    @model_validator(mode="after")
    def _bands_hold_something(self) -> RuleRow:
        for figure in ("energy", "net", "flash", "lithium"):
            over, most = getattr(self, f"{figure}_over"), getattr(self, f"{figure}_most")
            if over is not None and most is not None and over >= most:
                refuse(
                    "empty_band",
                    f"has an empty band: {figure}_over is not below {figure}_most",
                    "set the smaller figure right",
                )
        return self


class LimitTable(Table):
    """One [[limit]]."""

    id: Id
    name: Name
    set: str
    rules: Annotated[list[str], Some]
    per: PerWord
    pieces: Annotated[int, whole(0, 9999)] | None = None
    volume: Volume | None = None
    source: Name

    @model_validator(mode="after")
    def _counts_one_way(self) -> LimitTable:
        if (self.pieces is None) == (self.volume is None):
            refuse("how_much", "does not say how much", "give either pieces or volume")
        return self


class ToolRuleTable(Table):
    """One [[tool_rule]]: hand tools in the cabin at a screening."""

    id: Id
    set: str
    names: list[Name] = Field(default=[])
    longest: Length | None = None
    blade: Length | None = None
    source: Name

    @model_validator(mode="after")
    def _bars_something(self) -> ToolRuleTable:
        if not self.names and self.longest is None and self.blade is None:
            refuse("bars_nothing", "bars nothing", "give names, longest or blade")
        return self


FILE = "goods.toml"
HEAD_OF_RULES = Sort(FILE, HEAD, RulesTable, many=False)
SET = Sort(FILE, "set", SetTable)
ROW = Sort(FILE, "rule", RuleRow)
LIMIT = Sort(FILE, "limit", LimitTable)
TOOL_RULE = Sort(FILE, "tool_rule", ToolRuleTable)
SORTS = (HEAD_OF_RULES, SET, ROW, LIMIT, TOOL_RULE)
