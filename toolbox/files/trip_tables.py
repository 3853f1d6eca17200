"""The tables of a trip file as the file writes them: keys, what each may hold, defaults."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from toolbox.files.fields import (
    Cash,
    Day,
    Id,
    Length,
    Line,
    Mass,
    Name,
    Note,
    ScaleStep,
    Weight,
    one_of,
    whole,
)
from toolbox.files.pages import HEAD, Sort
from toolbox.files.schema import Copies, GoodsTable, KnownWord, PapersTable, Some, Table
from toolbox.kit.things import Known
from toolbox.kit.trips import Carriage, Concept, Other, ScaleClass

CarriageWord = Annotated[Carriage, one_of(Carriage)]
ConceptWord = Annotated[Concept, one_of(Concept)]
OtherWord = Annotated[Other, one_of(Other)]
ClassWord = Annotated[ScaleClass, one_of(ScaleClass)]
Pieces = Annotated[int, whole(0, 99)]


class TripTable(Table):
    """The head of a trip file."""

    name: Name
    must: list[str] = Field(default=[])
    note: Note = ""


class PersonTable(Table):
    """One [[person]]."""

    id: Id
    name: Name


class BagTable(PapersTable):
    """One [[bag]]; that of the kit's own box has its mass and size from box.toml."""

    id: Id
    name: Name
    answers: str
    carriage: CarriageWord = Carriage.HOLD
    box: bool = False
    tare: Mass | None = None
    tare_known: KnownWord = Known.GUESS
    scale_step: ScaleStep | None = None
    tare_error: ScaleStep | None = None
    length: Length | None = None
    width: Length | None = None
    height: Length | None = None
    inside_length: Length | None = None
    inside_width: Length | None = None
    inside_height: Length | None = None
    holds: list[str] = Field(default=[])
    limit: Mass | None = None


class ItemTable(PapersTable):
    """One [[item]]: a thing that is no part of the kit."""

    id: Id
    name: Name
    bag: str
    mass: Mass
    mass_known: KnownWord = Known.GUESS
    scale_step: ScaleStep | None = None
    mass_error: ScaleStep | None = None
    length: Length | None = None
    width: Length | None = None
    height: Length | None = None
    count: Copies = 1
    fixed: bool = False
    off_list: bool = False
    goods: GoodsTable | None = None


class BandTable(Table):
    """One [[allowance.band]]."""

    up_to: Mass
    price: Cash


class CabinTable(Table):
    """[allowance.cabin]."""

    pieces: Pieces
    mass: Mass | None = None
    length: Length | None = None
    width: Length | None = None
    height: Length | None = None


class AllowanceTable(Table):
    """One [[allowance]]."""

    id: Id
    name: Name
    concept: ConceptWord
    mass: Mass
    pieces: Pieces | None = None
    ceiling: Mass | None = None
    sides: Length | None = None
    sides_ceiling: Length | None = None
    extra_pieces: list[Cash] = Field(default=[])
    per_kg: Cash | None = None
    most: Mass | None = None
    oversize: Cash | None = None
    pooled: bool = False
    note: Note = ""
    band: list[BandTable] = Field(default=[])
    cabin: CabinTable | None = None


class LegTable(Table):
    """One [[leg]]; ``others`` are the people with another allowance, and which."""

    id: Id
    name: Name
    allowance: str
    day: Day | None = None
    carrier: Line = ""
    departs: list[str] = Field(default=[])
    screening: list[str] = Field(default=[])
    repack: bool = False
    back: bool = False
    others: dict[str, str] = Field(default={})


class BikeTable(Table):
    """One [[bike]]."""

    id: Id
    name: Name
    bag: str = ""


class WorkTable(Table):
    """One [[work]]: a planned job."""

    job: str
    expected: Weight
    bikes: list[str] = Field(default=[])


class WayTable(Table):
    """One [[way]]: what else can be done with a thing."""

    item: str
    other: OtherWord
    price: Cash | None = None


class ApprovalTable(Table):
    """One [[approval]] of a carrier."""

    items: Annotated[list[str], Some]
    by: Name
    day: Day
    note: Note = ""


class ScaleTable(Table):
    """One [[scale]]."""

    id: Id
    name: Name
    scale_step: ScaleStep
    accuracy: ClassWord | None = None
    error: ScaleStep | None = None
    capacity: Mass | None = None


class WeighingTable(Table):
    """One [[weighing]] of a packed bag; ``accepted`` and ``by`` go together."""

    bag: str
    reading: Mass
    scale: str
    day: Day
    items: list[str] = Field(default=[])
    accepted: Line = ""
    by: Line = ""


FILE = "trips/NAME.toml"
TRIP = Sort(FILE, HEAD, TripTable, many=False)
PERSON = Sort(FILE, "person", PersonTable)
BAG = Sort(FILE, "bag", BagTable)
ITEM = Sort(FILE, "item", ItemTable)
ALLOWANCE = Sort(FILE, "allowance", AllowanceTable)
LEG = Sort(FILE, "leg", LegTable)
BIKE = Sort(FILE, "bike", BikeTable)
WORK = Sort(FILE, "work", WorkTable, names="job")
WAY = Sort(FILE, "way", WayTable, names="item")
APPROVAL = Sort(FILE, "approval", ApprovalTable, names="by")
SCALE = Sort(FILE, "scale", ScaleTable)
WEIGHING = Sort(FILE, "weighing", WeighingTable, names="bag")
SORTS = (
    TRIP, PERSON, BAG, ITEM, ALLOWANCE, LEG, BIKE, WORK, WAY, APPROVAL, SCALE, WEIGHING,
)  # fmt: skip
