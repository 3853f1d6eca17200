"""The tables of an issued list for customs as the program writes them."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from toolbox.files.fields import Currency, Day, Land, Line, Mass, Name, whole
from toolbox.files.pages import HEAD, Sort
from toolbox.files.schema import SetsWord, Table, UnitWord

Number = Annotated[int, whole(1, 1_000_000)]
Hundredths = Annotated[int, whole(0, 10**13)]


class IssuedTable(Table):
    """The head of an issued list; ``seal`` is a sum over all of it."""

    trip: Name
    issue: Number
    day: Day
    bags: list[str]
    country: Land
    currency: Currency
    mass_unit: UnitWord
    sets: SetsWord
    left_out: list[Line] = Field(default=[])
    kept_off: list[str] = Field(default=[])
    seal: Name


class CustomsLineTable(Table):
    """One [[line]] of an issued list."""

    number: Number
    thing: Name
    part: Line = ""
    words: Name
    pieces: Number
    mass: Mass
    hundredths: Hundredths
    origin: Land
    serial: Line = ""


FILE = "customs/TRIP-1.toml"
ISSUED = Sort(FILE, HEAD, IssuedTable, many=False)
LINE = Sort(FILE, "line", CustomsLineTable, names="thing")
SORTS = (ISSUED, LINE)
