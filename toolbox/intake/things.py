"""Lines of a tool list as tools and supplies of a kit: new ones, and changes of known ones."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from toolbox.files.fields import is_id
from toolbox.intake.difference import Entry
from toolbox.intake.draws import Measured, measured_by
from toolbox.intake.headers import NOT_KEPT
from toolbox.intake.match import Matcher, Waits
from toolbox.intake.reading import Count, Findings, Reading
from toolbox.intake.thing_changes import changed
from toolbox.intake.thing_rows import TEXTS, Row
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import write
from toolbox.kit.things import KIND_OF, Measure, Supply, Tool

_Thing = Tool | Supply


def things_of(reading: Reading, kit: Kit, findings: Findings) -> list[Entry]:
    """Every settled line as a tool or supply; refusals, questions and notes to the findings."""
    reader = _ThingReader(reading, kit, findings)
    return reader.entries()


class _ThingReader:
    def __init__(self, reading: Reading, kit: Kit, findings: Findings) -> None:
        self._reading = reading
        self._findings = findings
        lines = [line for line in reading.lines if line.settled]
        known: tuple[_Thing, ...] = (*kit.tools, *kit.supplies)
        self._lines = lines
        self._matcher: Matcher[_Thing] = Matcher(known, lines, findings)
        self._missing: dict[str, int] = {}
        self._ids: dict[str, int] = {}

    def entries(self) -> list[Entry]:
        """The entries of all lines that could be read whole."""
        if "name" not in self._reading.meanings and "id" not in self._reading.meanings:
            self._no_column("name", "names the tools")
            return []
        made = [
            self._entry(Row(line, self._reading, self._findings, self._missing))
            for line in self._lines
        ]
        entries = [entry for entry in made if entry is not None]
        # told once for the list, not once for each of its rows
        for meaning, lines in self._missing.items():
            self._no_column(meaning, f"gives the {meaning} of the tools", lines)
        self._say_guesses([entry.thing for entry in entries if entry.known is None])
        self._say_not_kept()
        return entries

    def _no_column(self, meaning: str, what: str, lines: int = 0) -> None:
        are = "is" if lines == 1 else "are"
        new = f", and {lines} of its tools {are} new to the kit" if lines else ""
        self._findings.refuse(
            self._reading.header_line, "", "", f"no column {what}{new}",
            f"add one, or say which it is: HEADER={meaning}",
        )  # fmt: skip

    def _entry(self, row: Row) -> Entry | None:
        try:
            known = self._matcher.find(row.line)
        except Waits:
            return None
        self._check_id(row)
        told = row.line.text("kind")
        if known is not None and told and (told == "tool") != isinstance(known, Tool):
            kind = "tool" if isinstance(known, Tool) else "supply"
            row.refuse("id", f"is the id of a {kind} in the kit", "give it another id", known.id)
        if row.failed:
            return None
        if known is not None:
            return changed(row, known)
        if not row.line.name:
            row.refuse("id", "is no id in the kit", "add a column of names")
            return None
        supply = told == "supply"
        made: _Thing | None = self._supply(row) if supply else self._tool(row)
        if row.failed or made is None:
            return None
        return Entry(row.line.number, made)

    def _check_id(self, row: Row) -> None:
        entry = row.line.text("id")
        if not entry:
            return
        if not is_id(entry):
            row.refuse("id", "cannot be an id", "use up to 40 letters, digits, - _ and .")
        # rows are never merged: which of two holds is the mechanic's to say
        if entry in self._ids:
            where = self._ids[entry]
            row.refuse("id", f"stands on line {where} too", "give each row an id of its own")
        self._ids.setdefault(entry, row.line.number)

    # ---- new ones

    def _tool(self, row: Row) -> Tool | None:
        mass = row.needed_mass()
        size = row.size(needed=True)
        row.check_words(("measure", "pack", "stock", "par"), "tool")
        count, travels = row.count()
        papers = row.papers()
        if mass is None or size is None or row.failed:
            return None
        return Tool(
            self._matcher.new_id(row.line), row.line.name,
            mass=mass,
            size=size,
            count=count,
            carried=travels and (bool(row.what("carried", bool)) if row.has("carried") else True),
            **row.texts(TEXTS),
            goods=row.goods(),
            **papers,
        )  # fmt: skip

    def _supply(self, row: Row) -> Supply | None:
        mass = row.mass()
        size = row.size(needed=False)
        carried = bool(row.what("carried", bool))
        if not row.failed and carried and (mass is None or size is None):
            row.refuse("name", "is carried without a size and mass", "give both, or leave it out")
        row.check_words(("serial", "origin"), "supply")
        row.not_of_supplies()
        measured, stock, par = self._amounts(row)
        if row.failed:
            return None
        return Supply(
            self._matcher.new_id(row.line), row.line.name,
            measure=measured.measure,
            mass=mass,
            size=size,
            carried=carried,
            pack=measured.pack,
            stock=stock,
            par=par,
            **row.texts(("category", "note")),
            goods=row.goods(),
        )  # fmt: skip

    def _amounts(self, row: Row) -> tuple[Measured, int | None, int | None]:
        """Measure and pack as told or guessed by the name; stock and par as told."""
        guessed = measured_by(row.line.name)
        told = row.line.text("measure")
        measure = Measure(told) if told else guessed.measure
        pack = row.upper("pack")
        # the name's 250 ml says nothing about a pack that is counted in pieces
        if pack is None and measure is guessed.measure:
            pack = guessed.pack
        stock = row.upper("stock")
        counted = row.what("count", Count)
        if counted is not None and not row.blank("count") and stock is None:
            pieces = counted.number * (pack or 1)
            if counted.word == "pair" and measure is Measure.PIECES:
                pieces = counted.number * (pack or 2)
            if pieces.denominator != 1:
                row.refuse("count", "is no whole amount in stock", "write the amount as stock")
            stock = int(pieces)
            self._findings.note("the count of a supply is taken as packs in stock")
        return Measured(measure, pack), stock, row.upper("par")

    # ---- what is told

    def _say_guesses(self, things: Sequence[Any]) -> None:
        """Tell what was taken without the list saying it in so many words."""
        supplies = [thing for thing in things if isinstance(thing, Supply)]
        has, note = self._reading.meanings, self._findings.note
        if things and "known" not in has:
            note("masses are kept as guesses until weighed, no column says otherwise")
        if things and "kind" not in has:
            note("every new row is taken as a tool, no column says otherwise")
        if things and "carried" in has:
            carried = sum(thing.carried for thing in things)
            note(
                f"{carried} of {len(things)} entries travel in the box, by the column "
                f'"{has["carried"]}"; the others are owned and stay at home'
            )
        if "measure" not in has:
            self._say_measures(supplies)
        if "mass" in has:
            one = [t.name for t in things if t.mass is not None and t.mass.grams == 1]
            if len(one) > 2:
                note(f"{len(one)} things weigh 1 g: look whether that stands for not known")

    def _say_measures(self, supplies: list[Supply]) -> None:
        for measure, kind in KIND_OF.items():
            packs = [s for s in supplies if s.measure is measure and s.pack is not None]
            named = ", ".join(f"{s.name}: {write(s.pack or 0, kind)}" for s in packs)
            if packs:
                self._findings.note(
                    f"measured in {measure.value} by the pack in the name ({named})"
                )
        plain = sum(s.pack is None for s in supplies)
        if plain:
            self._findings.note(
                f"{plain} supplies are counted in pieces, their names say no amount"
            )

    def _say_not_kept(self) -> None:
        for meaning, why in NOT_KEPT.items():
            if any(meaning in line.values for line in self._lines):
                header = self._reading.meanings[meaning]
                self._findings.note(f'the column "{header}" is read and not stored: {why}')
