"""One line of a tool list while it becomes an entry: masses, sides, counts, words of change."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, TypeVar

from toolbox.intake.difference import Change
from toolbox.intake.reading import Count, Findings, Line, Reading, Sides, Span
from toolbox.intake.sets import CellFault, money_of, parts_of, year_of
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import KIND_OF, Goods, Known, Mass, Money, Part, Size, Supply, Tool

_V = TypeVar("_V")
SIDES = ("length", "width", "height")
# Plain texts of an entry, and what only tools have for papers and for finding them again.
TEXTS = ("category", "serial", "origin", "make", "model", "look", "owner mark", "note")
PAPERS = ("make", "model", "year", "value each", "parts", "look", "owner mark")
_ONE_PAIR, _ONE_PIECE = "one pair", "one piece"

# The fields of an entry that a list can change, each with its words.
_SAID: Mapping[str, Callable[[Tool | Supply], str]] = MappingProxyType(
    {
        "name": lambda thing: thing.name,
        "mass": lambda thing: _mass_words(thing.mass),
        "size": lambda thing: " x ".join(write(s, Kind.LENGTH) for s in thing.size or ()),
        "category": lambda thing: thing.category,
        "carried": lambda thing: "yes" if thing.carried else "no",
        "goods": lambda thing: thing.goods.kind if thing.goods else "",
        "note": lambda thing: thing.note,
        "count": lambda thing: str(thing.count) if isinstance(thing, Tool) else "",
        "serial": lambda thing: thing.serial if isinstance(thing, Tool) else "",
        "origin": lambda thing: thing.origin if isinstance(thing, Tool) else "",
        **{
            key: lambda thing, key=key: _papers_words(thing, key)  # type: ignore[misc]
            for key in ("make", "model", "year", "value", "parts", "look", "owner_mark")
        },
        "measure": lambda thing: thing.measure.value if isinstance(thing, Supply) else "",
        "pack": lambda thing: _amount_words(thing, "pack"),
        "par": lambda thing: _amount_words(thing, "par"),
    }
)


def _papers_words(thing: Tool | Supply, field: str) -> str:
    value = getattr(thing, field) if isinstance(thing, Tool) else None
    if field == "value":
        return _money_words(value)
    if field == "parts":
        return ", ".join(map(_part_words, value or ()))
    return "" if value is None else str(value)


def _money_words(value: Money | None) -> str:
    return "" if value is None else value.words()


def _part_words(part: Part) -> str:
    grams = "" if part.grams is None else write(part.grams, Kind.MASS)
    each = " ".join(word for word in (grams, _money_words(part.value)) if word)
    return f"{part.name} x{part.count}" + (f" of {each}" if each else "")


def _mass_words(mass: Mass | None) -> str:
    return f"{write(mass.grams, Kind.MASS)} ({mass.known.value})" if mass else ""


def _amount_words(thing: Tool | Supply, field: str) -> str:
    amount = getattr(thing, field) if isinstance(thing, Supply) else None
    return "" if amount is None else write(amount, KIND_OF[thing.measure])  # type: ignore[union-attr]


def changes_of(known: Tool | Supply, thing: Tool | Supply) -> tuple[Change, ...]:
    """What differs between an entry of the kit and the list's word of it, key by key."""
    pairs = ((key, say(known), say(thing)) for key, say in _SAID.items())
    return tuple(Change(key, old, new) for key, old, new in pairs if old != new)


@dataclass
class Row:
    """One line while it is made into an entry; a refusal sets ``failed``."""

    line: Line
    reading: Reading
    findings: Findings
    missing: dict[str, int]
    failed: bool = False

    def what(self, meaning: str, kind: type[_V]) -> _V | None:
        """The value under a meaning, None without one of that type."""
        return self.line.what(meaning, kind)

    def blank(self, meaning: str) -> bool:
        """Whether the cell is blank: it says nothing of an entry that the kit has."""
        value = self.line.values.get(meaning)
        return value is None or value.rests_on.startswith("blank")

    def has(self, meaning: str) -> bool:
        """Whether the list has a column of that meaning."""
        return meaning in self.reading.meanings

    def refuse(self, meaning: str, reason: str, cure: str, cell: str | None = None) -> None:
        """Refuse the cell of that meaning."""
        self.failed = True
        self.findings.refuse_cell(self.reading, self.line, meaning, reason, cure, cell)

    def texts(self, meanings: Sequence[str]) -> dict[str, Any]:
        """Plain texts by meaning, "" for none; an origin that is no code is refused."""
        origin = self.line.text("origin")
        if origin and not (len(origin) == 2 and origin.isascii() and origin.isupper()):
            self.refuse("origin", "is no country code", "write two capitals (ISO 3166-1)")
        return {meaning.replace(" ", "_"): self.line.text(meaning) for meaning in meanings}

    def papers(self) -> dict[str, Any]:
        """Year, value and parts by the tool's fields; one that is blank is not among them."""
        header = self.reading.meanings.get("value each", "")
        unit = next((c.unit for c in self.reading.columns if header and c.header == header), "")
        read: dict[str, Any] = {}
        if cell := self.line.text("year"):
            read["year"] = self._whole("year", year_of(cell))
        if cell := self.line.text("value each"):
            read["value"] = self._whole("value each", money_of(cell, unit))
        if cell := self.line.text("parts"):
            read["parts"] = self._whole("parts", parts_of(cell))
        return read

    def _whole(self, meaning: str, read: _V | CellFault) -> _V | None:
        """What was read of a cell, None after refusing it."""
        if isinstance(read, CellFault):
            self.refuse(meaning, read.wrong, read.cure)
            return None
        return read

    def not_of_supplies(self) -> None:
        """Tell what a supply's row says that only tools have."""
        for meaning in PAPERS:
            if not self.blank(meaning):
                header = self.reading.meanings[meaning]
                self.findings.note(f'"{header}" is kept of tools only', self.line.name)

    def check_words(self, meanings: Sequence[str], kind: str) -> None:
        """Refuse cells that a row of this kind cannot have."""
        for meaning in meanings:
            if not self.blank(meaning):
                cure = f"leave it blank for {kind}s" if kind == "tool" else "leave it blank"
                self.refuse(meaning, f"stands in a {kind}'s row", cure)

    def needed_mass(self) -> Mass | None:
        """The mass that a new tool must have, None after saying that it is missing."""
        mass = self.mass()
        if mass is None and self.has("mass"):
            self.refuse("mass", "has no mass", "a tool needs its mass and all three sides")
        elif mass is None:
            self.missing["mass"] = self.missing.get("mass", 0) + 1
        return mass

    def mass(self) -> Mass | None:
        """The mass and how it is known, None without one."""
        span = self.what("mass", Span)
        if span is None or span.one is None:
            return None
        told = self.line.text("known")
        if span.about:
            self.findings.note(
                "a mass said to be about so much is a guess", f"line {self.line.number}"
            )
            told = Known.GUESS.value
        return Mass(span.one, Known(told) if told else Known.GUESS)

    def size(self, *, needed: bool) -> Size | None:
        """The three sides, None without them; refused where some are missing."""
        sides = self.what("sides", Sides)
        if sides is not None:
            if sides.height is None:
                self.refuse("sides", "its third side is not told", "write all three sides")
                return None
            return Size(sides.length, sides.width, sides.height)
        spans = {side: self.what(side, Span) for side in SIDES}
        given = {side: span.one for side, span in spans.items() if span and span.one is not None}
        if len(given) == 3:
            return Size(*(given[side] for side in SIDES))
        if given and not needed:
            self.refuse("name", "has some of its sides only", "give all three, or none")
        for side in (s for s in SIDES if needed and s not in given):
            if self.has(side):
                self.refuse(side, f"has no {side}", "a tool needs its mass and all three sides")
            elif self.has("sides"):
                self.refuse("sides", "has no sides", "a tool needs its mass and all three sides")
                return None
            else:
                self.missing[side] = self.missing.get(side, 0) + 1
        return None

    def count(self) -> tuple[int, bool]:
        """How many copies, and whether they travel: none of them is owned and stays at home."""
        counted = self.what("count", Count)
        if counted is None:
            return 1, True
        number = counted.number
        if counted.word == "pair":
            number *= self._pieces_in_pair()
        if counted.holds or counted.remark:
            self.findings.note("counts read with a remark", f"{self.line.name}: {counted.words()}")
        if number == 0:
            self.findings.note("a count of 0 is kept as one that stays at home", self.line.name)
            return 1, False
        if number.denominator != 1 or number > 999:
            self.refuse(
                "count", "is no whole number from 1 to 999",
                "write a whole number, or make it a supply with a column tool or supply",
            )  # fmt: skip
            return 1, True
        return int(number), True

    def _pieces_in_pair(self) -> int:
        header = self.reading.meanings.get("mass", "mass")
        told = self.findings.ask(
            "pairs",
            f"where the count is in pairs, as for {self.line.name}, is the figure under {header} "
            "that of one pair or of one piece?",
            (_ONE_PAIR, _ONE_PIECE),
            self.line.number,
        )
        self.failed |= not told
        return 2 if told == _ONE_PIECE else 1

    def upper(self, meaning: str) -> int | None:
        """The amount under a meaning, of a range its upper end."""
        span = self.what(meaning, Span)
        if span is None:
            return None
        if span.one is None:
            self.findings.note(
                "of a range the upper end is kept", f"{self.line.name}: {span.words()}"
            )
        return span.high

    def goods(self) -> Goods | None:
        """Its class of dangerous goods, "none" for what is said to have none; None for not said."""
        word = self.line.text("goods")
        if word.casefold() == "none":
            return Goods("none")
        # a "no" may stand there for want of looking: it decides nothing about flying
        return None if word.casefold() in ("", "-", "no") else Goods(word)
