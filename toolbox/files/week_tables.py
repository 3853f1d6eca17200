"""The tables of a logged week as its file writes them."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from pydantic import Field, PlainValidator, model_validator

from toolbox.files.fields import Amount, Name, Note, Taken, refuse, whole
from toolbox.files.pages import Sort
from toolbox.files.schema import Some, Table


def _checked_moment(value: object) -> datetime:
    if not isinstance(value, datetime) or value.tzinfo is None:
        cure = "write it like 2026-11-16T08:40:00+01:00, without quotes"
        refuse("day", "is not a moment with its zone", cure)
    return value


Moment = Annotated[datetime, PlainValidator(_checked_moment)]
StepNumber = Annotated[int, whole(1, 999)]
Times = Annotated[int, whole(1, 999)]


class ChangedTable(Table):
    """[[entry.visit.changed]]: a step that was done with other things than usual."""

    step: StepNumber
    tools: list[Taken] | None = None
    supplies: dict[str, Amount] | None = None


class VisitTable(Table):
    """[[entry.visit]]: a job done at one go; all its steps unless ``steps`` says which."""

    job: Name
    bike: Note = ""
    urgent: bool | None = None
    steps: Annotated[list[StepNumber], Some] | None = None
    note: Note = ""
    changed: list[ChangedTable] = Field(default=[])


class PickTable(Table):
    """[[entry.pick]]: a tool taken up outside any job."""

    tool: Name
    times: Times = 1
    urgent: bool = False
    bike: Note = ""
    note: Note = ""


class UseTable(Table):
    """[[entry.use]]: a supply used up outside any job."""

    supply: Name
    amount: Amount
    bike: Note = ""
    note: Note = ""


class ShortTable(Table):
    """An inline table of ``short``: a copy that was not there, or so many of a part of a set."""

    item: Name
    part: Note = ""
    missing: Times = 1


class CountTable(Table):
    """[[entry.count]]: a compartment counted in that evening; all was there but ``short``."""

    place: Name
    short: list[ShortTable] = Field(default=[])


class EntryTable(Table):
    """[[entry]]: what was logged at one go. ``undone`` is when it was taken back, if it was."""

    when: Moment
    author: Name
    written: Moment | None = None
    undone: Moment | None = None
    visit: list[VisitTable] = Field(default=[])
    pick: list[PickTable] = Field(default=[])
    use: list[UseTable] = Field(default=[])
    count: list[CountTable] = Field(default=[])

    @model_validator(mode="after")
    def _in_order(self) -> EntryTable:
        written = self.written or self.when
        if written < self.when or (self.undone is not None and self.undone < written):
            refuse(
                "moments_order",
                "has its moments out of order",
                "it happens first, is written then and undone last",
            )
        if not (self.visit or self.pick or self.use or self.count):
            refuse("nothing_logged", "logs nothing", "add an [[entry.visit]] or take it out")
        return self


ENTRY = Sort("week.toml", "entry", EntryTable, names="when")
