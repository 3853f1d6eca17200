"""Rows of a tool list as tools and supplies."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from toolbox.files.fields import is_id
from toolbox.files.problems import quoted
from toolbox.intake.cells import YES_NO, Cells, point_is_decimal
from toolbox.intake.draws import KIND_OF, Measured, measured_by
from toolbox.intake.headers import Headers
from toolbox.intake.names import Register, fold, id_from
from toolbox.intake.reading import Findings
from toolbox.intake.table import Row
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import Goods, Known, Mass, Measure, Size, Supply, Tool

_Thing = Tool | Supply

_KINDS = MappingProxyType(
    {"tool": False, "tools": False}
    | dict.fromkeys(("supply", "supplies", "consumable", "consumables", "spare", "spares"), True)
)
_MEASURES = MappingProxyType(
    {measure.value: measure for measure in Measure}
    | {"millilitres": Measure.MILLILITRES, "grams": Measure.GRAMS}
    | dict.fromkeys(("pcs", "piece", "pieces"), Measure.PIECES)
)
_KNOWN = MappingProxyType(
    {known.value: known for known in Known} | {"catalog": Known.CATALOGUE, "guessed": Known.GUESS}
)
_SUMS = frozenset(("total", "totals", "sum", "subtotal", "sub-total", "sub total", "grand total"))
_SIDES = ("length", "width", "height")

# What list and kit must agree in, by the meaning of the column that says it.
_SAID: Mapping[str, Callable[[_Thing], str]] = MappingProxyType(
    {
        "name": lambda thing: thing.name,
        "mass": lambda thing: write(thing.mass.grams, Kind.MASS) if thing.mass else "",
        "length": lambda thing: write(thing.size.length, Kind.LENGTH) if thing.size else "",
        "width": lambda thing: write(thing.size.width, Kind.LENGTH) if thing.size else "",
        "height": lambda thing: write(thing.size.height, Kind.LENGTH) if thing.size else "",
        "category": lambda thing: thing.category,
        "carried": lambda thing: "carried" if thing.carried else "not carried",
        "goods": lambda thing: thing.goods.kind if thing.goods else "none",
        "note": lambda thing: thing.note,
        "count": lambda thing: str(thing.count) if isinstance(thing, Tool) else "",
        "serial": lambda thing: thing.serial if isinstance(thing, Tool) else "",
        "origin": lambda thing: thing.origin if isinstance(thing, Tool) else "",
        "measure": lambda thing: thing.measure.value if isinstance(thing, Supply) else "",
    }
)


class Things(NamedTuple):
    """The new tools and supplies of a list."""

    tools: tuple[Tool, ...]
    supplies: tuple[Supply, ...]


def read_things(rows: Iterable[Row], headers: Headers, kit: Kit, findings: Findings) -> Things:
    """Every row as a tool or a supply; refusals, notes and known entries to the findings."""
    reader = _ThingReader(tuple(rows), headers, kit, findings)
    things = reader.all_new()
    tools = tuple(thing for thing in things if isinstance(thing, Tool))
    supplies = tuple(thing for thing in things if isinstance(thing, Supply))
    reader.say_guesses(things)
    return Things(tools, supplies)


class _ThingReader:
    def __init__(
        self, rows: tuple[Row, ...], headers: Headers, kit: Kit, findings: Findings
    ) -> None:
        self._rows = rows
        self._headers = headers
        self._findings = findings
        self._kit: Register[_Thing] = Register((*kit.tools, *kit.supplies))
        self._decimal_point = point_is_decimal(rows, headers)
        self._missing: set[str] = set()
        self._lines: dict[str, int] = {}
        self._nameless: dict[str, int] = {}

    def all_new(self) -> list[_Thing]:
        """The entries that the kit does not have yet."""
        if "name" not in self._headers.at:
            self._no_column("name", "names the tools")
            return []
        fresh: list[_Thing] = []
        for row in self._rows:
            cells = Cells(row, self._headers, self._findings, decimal_point=self._decimal_point)
            thing = self._thing(cells)
            if thing is not None and not self._is_in_kit(thing, cells):
                fresh.append(thing)
        # told once for the list, not once for each of its rows
        for meaning in ("mass", *_SIDES):
            if meaning in self._missing:
                self._no_column(meaning, f"gives the {meaning} of the tools")
        return fresh

    def _no_column(self, meaning: str, what: str) -> None:
        self._findings.refuse(
            self._headers.row.line, "", "", f"no column {what}",
            f"add one, or say which it is: HEADER={meaning}",
        )  # fmt: skip

    def _thing(self, cells: Cells) -> _Thing | None:
        name = cells.text("name")
        if not name:
            cells.refuse("name", "the row has no name", "write a name, or delete the row", cell="")
            return None
        if name.casefold().rstrip(":") in _SUMS:
            cells.refuse("name", "looks like a sum, not a tool", "delete the row from the list")
            return None
        entry = self._id(cells, name)
        is_supply = cells.word("kind", _KINDS, blank=False)
        if cells.has("kind") and not cells.raw("kind").strip():
            cells.refuse("kind", "is blank", "write tool or consumable")
        thing = self._supply(cells, entry, name) if is_supply else self._tool(cells, entry, name)
        return None if cells.failed else thing

    def _id(self, cells: Cells, name: str) -> str:
        entry = cells.text("id")
        if not entry:
            return self._made_id(cells, name)
        if not is_id(entry):
            cells.refuse("id", "cannot be an id", "use up to 40 letters, digits, - _ and .")
        # rows are never merged: which of two holds is the mechanic's to say
        if entry in self._lines:
            line = self._lines[entry]
            cells.refuse("id", f"stands on line {line} too", "give each row an id of its own")
        self._lines.setdefault(entry, cells.line)
        return entry

    def _made_id(self, cells: Cells, name: str) -> str:
        plain = fold(name)
        if plain in self._nameless:
            line = self._nameless[plain]
            cells.refuse(
                "name", f"stands on line {line} too", "give both an id, or one row with a count"
            )
        self._nameless.setdefault(plain, cells.line)
        known = self._kit.named(name)
        if len(known) == 1:
            return known[0].id
        # ids that the list itself gives further down must not be taken by a made one
        taken = self._kit.ids | self._lines.keys() | self._given_ids()
        entry = id_from(name, taken)
        self._lines[entry] = cells.line
        return entry

    def _given_ids(self) -> set[str]:
        place = self._headers.at.get("id")
        return set() if place is None else {row.cells[place].strip() for row in self._rows}

    def _tool(self, cells: Cells, entry: str, name: str) -> Tool | None:
        grams = self._needed(cells, "mass", Kind.MASS)
        sides = [self._needed(cells, side, Kind.LENGTH) for side in _SIDES]
        origin = cells.text("origin")
        if origin and not (len(origin) == 2 and origin.isascii() and origin.isupper()):
            cells.refuse("origin", "is no country code", "write two capitals (ISO 3166-1)")
        for meaning in ("measure", "pack", "stock", "par"):
            if cells.raw(meaning).strip() not in ("", "-"):
                cells.refuse(meaning, "stands in a tool's row", "leave it blank for tools")
        count = cells.count("count", 1, 999)
        if grams is None or None in sides:
            return None
        return Tool(
            entry, name,
            mass=Mass(grams, self._known(cells)),
            size=Size(*(side or 0 for side in sides)),
            category=cells.text("category"),
            count=count or 1,
            carried=self._carried(cells, default=True),
            serial=cells.text("serial"),
            origin=origin,
            note=cells.text("note"),
            goods=_goods(cells),
        )  # fmt: skip

    def _needed(self, cells: Cells, meaning: str, kind: Kind) -> int | None:
        if not cells.has(meaning):
            self._missing.add(meaning)
            return None
        value = cells.quantity(meaning, kind)
        if value is None and not cells.raw(meaning).strip():
            cells.refuse(meaning, f"has no {meaning}", "a tool needs its mass and all three sides")
        return value

    def _supply(self, cells: Cells, entry: str, name: str) -> Supply:
        grams = cells.quantity("mass", Kind.MASS)
        sides = [cells.quantity(side, Kind.LENGTH) for side in _SIDES]
        given = [side for side in sides if side is not None]
        carried = self._carried(cells, default=False)
        if not cells.failed and (len(given) not in (0, 3)):
            cells.refuse("name", "has some of its sides only", "give all three, or none")
        if not cells.failed and carried and (grams is None or len(given) != 3):
            cells.refuse("name", "is carried without a size and mass", "give both, or leave it out")
        for meaning in ("serial", "origin"):
            if cells.text(meaning):
                cells.refuse(meaning, "stands in a supply's row", "leave it blank for supplies")
        measured, stock, par = self._amounts(cells, name)
        return Supply(
            entry, name,
            measure=measured.measure,
            mass=Mass(grams, self._known(cells)) if grams is not None else None,
            size=Size(*given) if len(given) == 3 else None,
            category=cells.text("category"),
            carried=carried,
            pack=measured.pack,
            stock=stock,
            par=par,
            note=cells.text("note"),
            goods=_goods(cells),
        )  # fmt: skip

    def _amounts(self, cells: Cells, name: str) -> tuple[Measured, int | None, int | None]:
        """Measure and pack as told or guessed by the name; stock and par as told."""
        guessed = measured_by(name)
        measure = cells.word("measure", _MEASURES, blank=guessed.measure)
        kind = KIND_OF[measure]
        pack = cells.quantity("pack", kind)
        # the name's 250 ml says nothing about a pack that is counted in pieces
        if pack is None and measure is guessed.measure:
            pack = guessed.pack
        stock = cells.quantity("stock", kind, least=0)
        packs = cells.count("count", 0, 999)
        if packs is not None and stock is None:
            stock = packs * (pack or 1)
            self._findings.note("the count of a supply is taken as packs in stock")
        return Measured(measure, pack), stock, cells.quantity("par", kind, least=0)

    def _known(self, cells: Cells) -> Known:
        return cells.word("known", _KNOWN, blank=Known.GUESS)

    def _carried(self, cells: Cells, *, default: bool) -> bool:
        if not cells.has("carried"):
            return default
        if not cells.raw("carried").strip():
            header = quoted(self._headers.header("carried"))
            self._findings.note(f"a blank cell under {header} is read as no")
        return cells.word("carried", YES_NO, blank=False)

    def _is_in_kit(self, thing: _Thing, cells: Cells) -> bool:
        # the kit's entry may have been weighed or mended since: it is never written over
        known = self._kit.by_id(thing.id)
        if known is None:
            return False
        if type(known) is not type(thing):
            kind = "tool" if isinstance(known, Tool) else "supply"
            cells.refuse("id", f"is the id of a {kind} in the kit", "give it another id", thing.id)
            return True
        differing = []
        for meaning, say in _SAID.items():
            new, old = say(thing) or "blank", say(known) or "blank"
            if meaning in self._headers.at and new != old:
                differing.append(f"{meaning} ({new}, kit {old})")
        self._findings.have(thing.id, known.name, differing)
        return True

    def say_guesses(self, things: list[_Thing]) -> None:
        """Tell what was taken without the list saying it in so many words."""
        supplies = [thing for thing in things if isinstance(thing, Supply)]
        if things and "known" not in self._headers.at:
            self._findings.note(
                "masses are kept as guesses until weighed, no column says otherwise"
            )
        if things and "kind" not in self._headers.at:
            self._findings.note("every row is taken as a tool, no column says otherwise")
        if things and "carried" in self._headers.at:
            carried = sum(thing.carried for thing in things)
            header = quoted(self._headers.header("carried"))
            self._findings.note(
                f"{carried} of {len(things)} entries travel in the box, by the column {header}; "
                "the others are owned and stay at home"
            )
        if "measure" not in self._headers.at:
            self._say_measures(supplies)

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


def _goods(cells: Cells) -> Goods | None:
    word = cells.text("goods")
    return None if word.casefold() in ("", "-", "none", "no") else Goods(word)
