"""The tables of a kit folder as the files write them: keys, what each may hold, defaults.

Strict, and nothing unknown is let through. What one entry calls another by is
plain text here; ``references`` looks whether there is such a thing. These models
never leave the file layer; ``meaning`` turns them into value types.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Annotated, Any, get_args

from pydantic import BaseModel, ConfigDict, Field, model_validator

from toolbox.files.fields import (
    Amount,
    Cash,
    Charge,
    Corner,
    Currency,
    Day,
    Energy,
    Fine,
    FlashPoint,
    Id,
    Land,
    Length,
    Line,
    Mass,
    MassOrNone,
    Name,
    Note,
    Number,
    OnDial,
    Place,
    ScaleStep,
    Taken,
    Time,
    Tolerance,
    Voltage,
    Volume,
    Weight,
    one_of,
    refuse,
    whole,
)
from toolbox.kit.box import Inside, Way
from toolbox.kit.customs import MassUnit, SetsAs
from toolbox.kit.kit import Hand
from toolbox.kit.rules import Ask
from toolbox.kit.things import Accuracy, Known, Mark, Measure

KnownWord = Annotated[Known, one_of(Known)]
MarkWord = Annotated[Mark, one_of(Mark)]
AccuracyWord = Annotated[Accuracy, one_of(Accuracy)]
MeasureWord = Annotated[Measure, one_of(Measure)]
InsideWord = Annotated[Inside, one_of(Inside)]
WayWord = Annotated[Way, one_of(Way)]
HandWord = Annotated[Hand, one_of(Hand)]
AskWord = Annotated[Ask, one_of(Ask)]
UnitWord = Annotated[MassUnit, one_of(MassUnit)]
SetsWord = Annotated[SetsAs, one_of(SetsAs)]

# Limits that no box comes near, so that a slip is told before it swamps the engines.
Copies = Annotated[int, whole(1, 999)]
Percent = Annotated[int, whole(1, 100)]
Chance = Annotated[int, whole(1, 99)]
Months = Annotated[int, whole(1, 600)]
Year = Annotated[int, whole(1900, 2100)]
Uses = Annotated[int, whole(0, 10_000_000)]
# TOML promises integers of 64 bits and no more.
Microseconds = Annotated[int, whole(0, 2**62)]
Some = Field(min_length=1)


class Table(BaseModel):
    """A TOML table: only the keys named, each of exactly its type."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class SettingsTable(Table):
    """[settings] of kit.toml; None stands for the value type's own default."""

    clearance: Place | None = None
    loose_fill_percent: Percent | None = None
    half_life_days: Annotated[int, whole(0, 36_500)] | None = None
    urgent_weight: Weight | None = None
    easy_share_percent: Percent | None = None
    stand_off: Place | None = None
    hand_height: Place | None = None
    bend_below: Place | None = None
    hand: HandWord | None = None
    hand_beside: Place | None = None
    service_percent: Chance | None = None
    restock_days: Annotated[int, whole(1, 366)] | None = None


class CustomsTable(Table):
    """[customs] of kit.toml: how lists for customs are made."""

    country: Land = ""
    currency: Currency = ""
    mass_unit: UnitWord = MassUnit.KILOGRAMS
    sets: SetsWord = SetsAs.PARTS


class KitTable(Table):
    """The whole of kit.toml."""

    name: Name
    settings: SettingsTable = SettingsTable()
    customs: CustomsTable = CustomsTable()


class BoxTable(Table):
    """[box] of box.toml."""

    name: Name
    length: Length
    width: Length
    height: Length
    tare: MassOrNone
    stands_at: Place
    limit: Mass | None = None
    tare_known: KnownWord = Known.GUESS
    scale_step: ScaleStep | None = None
    tare_error: ScaleStep | None = None


class OpeningTable(Table):
    """One [[opening]] of box.toml."""

    id: Id
    name: Name
    way: WayWord
    travel: Place
    mass: MassOrNone = 0
    latches: Annotated[int, whole(0, 20)] = 0


class CompartmentTable(Table):
    """One [[compartment]] of box.toml."""

    id: Id
    name: Name
    kind: InsideWord
    length: Length
    width: Length
    depth: Length
    at: Corner
    openings: list[str] = []
    load: Mass | None = None


class PartTable(Table):
    """One kind of part inside a set; mass and value are those of one."""

    name: Name
    count: Annotated[int, whole(1, 9999)]
    mass: Mass | None = None
    value: Cash | None = None


class GaugeTable(Table):
    """[tool.gauge]: the dimension that must hold."""

    purpose: Name
    dimension: Name
    nominal: Fine
    lowest: Fine
    highest: Fine

    @model_validator(mode="after")
    def _in_order(self) -> GaugeTable:
        if not self.lowest <= self.nominal <= self.highest:
            refuse(
                "gauge_order",
                "has its limits out of order",
                "lowest must not be above nominal, nor nominal above highest",
            )
        return self


class InstrumentTable(Table):
    """[tool.instrument]: when it must be checked, what it measures and how well."""

    last_check: Day | None = None
    every_months: Months | None = None
    every_uses: Annotated[int, whole(1, 10_000_000)] | None = None
    uses_since_check: Uses = 0
    accuracy: AccuracyWord | None = None
    lowest: OnDial | None = None
    highest: OnDial | None = None
    step: OnDial | None = None
    tolerance: Tolerance | None = None
    zero_stop: bool = False

    @model_validator(mode="after")
    def _says_when(self) -> InstrumentTable:
        # torque tools have an interval by their standard where nobody says another
        torque = self.accuracy is not None and self.accuracy.of_torque
        if self.every_months is None and self.every_uses is None and not torque:
            refuse("no_interval", "never falls due", "give every_months, every_uses or both")
        return self


class GoodsTable(Table):
    """[tool.goods] or [supply.goods]: what makes it dangerous goods."""

    kind: Name
    voltage: Voltage | None = None
    charge: Charge | None = None
    net: Volume | None = None
    energy: Energy | None = None
    flash_point: FlashPoint | None = None
    lithium: ScaleStep | None = None
    blade: Length | None = None

    @model_validator(mode="after")
    def _whole_cell(self) -> GoodsTable:
        # watt-hours decide whether a cell may fly, and they take both
        if (self.voltage is None) != (self.charge is None):
            refuse("half_a_cell", "gives half of a cell's data", "give voltage and charge")
        return self


class PapersTable(Table):
    """What papers ask of a thing."""

    make: Line = ""
    model: Line = ""
    serial: Line = ""
    year: Year | None = None
    value: Cash | None = None
    origin: Land = ""


class ToolTable(PapersTable):
    """One [[tool]] of tools.toml."""

    id: Id
    name: Name
    mass: Mass
    mass_known: KnownWord = Known.GUESS
    scale_step: ScaleStep | None = None
    mass_error: ScaleStep | None = None
    length: Length
    width: Length
    height: Length
    category: Line = ""
    count: Copies = 1
    carried: bool = True
    parts: list[PartTable] = []
    marks: list[MarkWord] = []
    substitutes: list[str] = []
    look: Line = ""
    owner_mark: Line = ""
    note: Note = ""
    gauge: GaugeTable | None = None
    instrument: InstrumentTable | None = None
    goods: GoodsTable | None = None


class SupplyTable(Table):
    """One [[supply]] of supplies.toml. Amounts wait for the measure: see ``amounts``."""

    id: Id
    name: Name
    measure: MeasureWord
    mass: Mass | None = None
    mass_known: KnownWord = Known.GUESS
    scale_step: ScaleStep | None = None
    mass_error: ScaleStep | None = None
    length: Length | None = None
    width: Length | None = None
    height: Length | None = None
    category: Line = ""
    carried: bool = False
    pack: Amount | None = None
    stock: Amount | None = None
    reserve: Amount | None = None
    stock_on: Day | None = None
    par: Amount | None = None
    service_percent: Chance | None = None
    best_before: Day | None = None
    opened: Day | None = None
    opened_life_months: Months | None = None
    made: Day | None = None
    sealed_life_months: Months | None = None
    lot: Line = ""
    marks: list[MarkWord] = []
    fluid: Line = ""
    note: Note = ""
    goods: GoodsTable | None = None


class StepTable(Table):
    """One [[job.step]]."""

    text: Name
    minutes: Annotated[int, whole(0, 10_000)] | None = None
    tools: list[Taken] = []
    # TOML keys cannot repeat, so no supply can be named twice in a step
    supplies: dict[str, Amount] = {}


class JobTable(Table):
    """One [[job]] of jobs.toml."""

    id: Id
    name: Name
    discipline: Line = ""
    urgent: bool = False
    per_day: Number | None = None
    fluid: Line = ""
    note: Note = ""
    step: Annotated[list[StepTable], Some]


class RuleTable(Table):
    """One [[rule]] of rules.toml."""

    name: Name
    ask: AskWord
    items: Annotated[list[str], Some]
    others: list[str] = []
    compartments: list[str] = []
    within: Time | None = None


class ReadingTable(Table):
    """One [[reading]] of times.toml."""

    of: str
    times: Annotated[list[Time], Some]
    note: Note = ""


class PlanTable(Table):
    """[plan] of a layout that was planned: what it costs, what was proved, how, from what."""

    cost: Microseconds
    bound: Microseconds | None = None
    method: Line = ""
    stamp: Line = ""


class LayoutTable(Table):
    """The head of a layout file."""

    name: Name
    plan: PlanTable | None = None


class SpotTable(Table):
    """One [[spot]] of a layout file; ``item`` names a copy, so it may hold a slash."""

    item: str
    compartment: str
    x: Place | None = None
    y: Place | None = None
    turned: bool = False


FILES: Mapping[str, tuple[type[Table], ...]] = MappingProxyType(
    {
        "kit.toml": (KitTable,),
        "box.toml": (BoxTable, OpeningTable, CompartmentTable),
        "tools.toml": (ToolTable,),
        "supplies.toml": (SupplyTable,),
        "jobs.toml": (JobTable,),
        "rules.toml": (RuleTable,),
        "times.toml": (ReadingTable,),
        "layouts/present.toml": (LayoutTable, SpotTable),
    }
)


def file_keys() -> dict[str, tuple[str, ...]]:
    """Every key that each file of a kit folder may hold, those of inner tables included."""
    return {
        file: tuple(dict.fromkeys(key for model in models for key in _keys(model)))
        for file, models in FILES.items()
    }


def _keys(model: type[Table]) -> Iterator[str]:
    for key, field in model.model_fields.items():
        yield key
        yield from (key for inner in inner_tables(field.annotation) for key in _keys(inner))


def inner_tables(annotation: Any) -> Iterator[type[Table]]:
    """The tables that a field of this type holds."""
    if isinstance(annotation, type) and not get_args(annotation) and issubclass(annotation, Table):
        yield annotation
    for part in get_args(annotation):
        yield from inner_tables(part)
