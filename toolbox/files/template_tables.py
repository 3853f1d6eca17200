"""The tables of a checklist's template as the file writes them: keys, what each may hold."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from toolbox.files.fields import Id, Line, Name, Torque, one_of
from toolbox.files.pages import HEAD, Sort
from toolbox.files.schema import Table
from toolbox.kit.checklists import Made, Occasion

OccasionWord = Annotated[Occasion, one_of(Occasion)]
MadeWord = Annotated[Made, one_of(Made)]


class TemplateTable(Table):
    """The head of a template."""

    title: Name
    when: OccasionWord = Occasion.OWN
    discipline: Line = ""
    bikes: list[Name] = Field(default=[])


class LineTable(Table):
    """One [[line]]: what is to be done, or what the program puts there."""

    id: Id | None = None
    words: Name | None = None
    made: MadeWord | None = None
    why: Line = ""
    source: Line = ""
    torque: Torque | None = None
    tool: Line = ""
    bike: bool = False


TEMPLATE = Sort("lists/NAME.toml", HEAD, TemplateTable, many=False)
LINE = Sort("lists/NAME.toml", "line", LineTable)
SORTS = (TEMPLATE, LINE)
