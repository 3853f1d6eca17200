"""Tools, supplies, jobs, counts and stocks as tables for spreadsheets.

The first three have the columns that ``toolbox import`` reads, so that a list changed in a
spreadsheet comes back; counts and stocks are to be looked at, as of the evening of a day.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from toolbox.desk.count import CountPlace, Expected, evening
from toolbox.desk.evening_words import outcome_words
from toolbox.desk.figures import clean
from toolbox.desk.folder import KitFolder
from toolbox.desk.safe_cells import csv_bytes
from toolbox.desk.stock import Holding, holdings
from toolbox.desk.stock_words import left_words
from toolbox.files.csv_guard import guarded
from toolbox.files.new_folder import new_folder
from toolbox.files.tables import money_text, quantity
from toolbox.intake.sets import parts_of
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write
from toolbox.kit.stocking import Where
from toolbox.kit.things import KIND_OF, Goods, Mass, Part, Shelf, Size, Supply, Tool
from toolbox.kit.work import Job

Cell = str | int | date
_SIZE = ("length", "width", "height")
_TOOL = (
    *("id", "name", "kind", "category", "mass", "mass known", *_SIZE, "count", "carried"),
    *("goods", "make", "model", "serial", "year", "value each", "origin", "parts of a set"),
    *("look", "owner mark", "note"),
)
_SUPPLY = (
    *("id", "name", "kind", "category", "measure", "pack", "stock", "par"),
    *("mass", "mass known", *_SIZE, "carried", "goods", "note"),
)
_JOB = (
    *("job id", "job", "discipline", "urgent", "per day"),
    *("step number", "step", "minutes", "tools", "supplies", "note"),
)
_COUNT = (
    *("place id", "place", "thing", "name", "part", "belongs there", "not there"),
    *("what became of it", "place counted on", "by"),
)
_STOCK = (
    *("supply", "name", "measure", "in the box", "in the reserve", "usable", "out of date"),
    *("good until", "used in seven days", "days of cover", "words"),
)


class Sheet(NamedTuple):
    """A table: its file's name without ending, its heads, rows as long as these."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def sheets(folder: KitFolder, today: date) -> tuple[Sheet, ...]:
    """All tables of a kit, counts and stocks as of the evening of that day."""
    kit = folder.kit
    seen = evening(folder, today)
    held = holdings(kit, folder.live, today).values()
    return (
        Sheet("tools", _TOOL, tuple(map(_tool, kit.tools))),
        Sheet("supplies", _SUPPLY, tuple(map(_supply, kit.supplies))),
        Sheet("jobs", _JOB, tuple(_steps(kit))),
        Sheet("counts", _COUNT, tuple(row for place in seen.places for row in _counts(place))),
        Sheet("stock", _STOCK, tuple(map(_stock, held))),
    )


def export_sheets(folder: KitFolder, today: date, out: Path) -> tuple[str, ...]:
    """Write every table as a CSV file into a folder that is new or empty; the files' names.

    WriteRefused where ``out`` holds something; nothing is half-written.
    """
    tables = sheets(folder, today)
    made = {f"{one.name}.csv": csv_bytes(one.heads, map(_guarded, one.rows)) for one in tables}
    with new_folder(out, "a folder of tables", last="tools.csv") as home:
        for name, data in made.items():
            (home / name).write_bytes(data)
    return tuple(made)


def left_out(kit: Kit) -> tuple[str, ...]:
    """What of a kit the tables for lists have no column for, each with how many have it."""
    tools, supplies = kit.tools, kit.supplies
    things: tuple[Tool | Supply, ...] = (*tools, *supplies)
    fluids = [one.fluid for one in supplies] + [job.fluid for job in kit.jobs]
    counts = {
        "marks of tools": sum(bool(tool.marks) for tool in tools),
        "tools that can stand in": sum(bool(tool.substitutes) for tool in tools),
        "when instruments are checked and how well they measure": sum(
            tool.instrument is not None for tool in tools
        ),
        "dimensions of shop-made gauges": sum(tool.gauge is not None for tool in tools),
        "parts of sets that fit no cell": sum(bool(t.parts) and not _parts(t) for t in tools),
        "how far off masses may be": sum(t.mass is not None and any(t.mass[2:]) for t in things),
        "figures of dangerous goods": sum(
            t.goods is not None and t.goods != Goods(t.goods.kind) for t in things
        ),
        "marks of supplies": sum(bool(supply.marks) for supply in supplies),
        "dates, lots and lives of supplies": sum(supply.shelf != Shelf() for supply in supplies),
        "reserves, days of counting and levels of service": sum(
            (s.reserve, s.stock_on, s.service) != (None, None, None) for s in supplies
        ),
        "kinds of fluid": sum(map(bool, fluids)),
    }
    return tuple(f"{what} ({number})" for what, number in counts.items() if number)


def _guarded(row: Iterable[Cell]) -> list[str | int]:
    return [cell if isinstance(cell, int) else _text(cell) for cell in row]


def _text(cell: str | date) -> str:
    if isinstance(cell, str):
        return guarded(clean(cell))
    # a day of ours may become a day of the spreadsheet: nothing in it can be taken amiss
    return f"{cell:%Y-%m-%d %H:%M}" if isinstance(cell, datetime) else cell.isoformat()


def _mass(mass: Mass | None) -> tuple[str, str]:
    return ("", "") if mass is None else (write(mass.grams, Kind.MASS), mass.known.value)


def _size(size: Size | None) -> tuple[str, ...]:
    return ("",) * 3 if size is None else tuple(write(side, Kind.LENGTH) for side in size)


def _yes(said: bool) -> str:
    return "yes" if said else "no"


def _tool(tool: Tool) -> tuple[Cell, ...]:
    goods = "" if tool.goods is None else tool.goods.kind
    return (
        *(tool.id, tool.name, "tool", tool.category, *_mass(tool.mass), *_size(tool.size)),
        *(tool.count, _yes(tool.carried), goods, tool.make, tool.model, tool.serial),
        *("" if tool.year is None else tool.year, money_text(tool.value) or "", tool.origin),
        *(_parts(tool), tool.look, tool.owner_mark, tool.note),
    )


def _parts(tool: Tool) -> str:
    """The parts of a set in one cell, "" for those that would not come back out of one."""
    cell = " | ".join(map(_part, tool.parts))
    return cell if cell and parts_of(cell) == tool.parts else ""


def _part(part: Part) -> str:
    figures = ", ".join(filter(None, (quantity(part.grams, Kind.MASS), money_text(part.value))))
    return f"{part.name} x{part.count}" + (f" ({figures})" if figures else "")


def _supply(supply: Supply) -> tuple[Cell, ...]:
    kind = KIND_OF[supply.measure]
    amounts = (quantity(value, kind) or "" for value in (supply.pack, supply.stock, supply.par))
    goods = "" if supply.goods is None else supply.goods.kind
    return (
        *(supply.id, supply.name, "supply", supply.category, supply.measure.value, *amounts),
        *(*_mass(supply.mass), *_size(supply.size), _yes(supply.carried), goods, supply.note),
    )


def _steps(kit: Kit) -> Iterator[tuple[Cell, ...]]:
    kinds = {supply.id: KIND_OF[supply.measure] for supply in kit.supplies}
    for job in kit.jobs:
        for step in job.steps:
            tools = " | ".join(f"{pick.tool} x{pick.times}" for pick in step.picks)
            amounts = ((draw.supply, write(draw.amount, kinds[draw.supply])) for draw in step.draws)
            supplies = " | ".join(f"{supply}: {amount}" for supply, amount in amounts)
            minutes: Cell = "" if step.minutes is None else step.minutes
            yield (*_job(job), step.number, step.text, minutes, tools, supplies, job.note)


def _job(job: Job) -> tuple[Cell, ...]:
    return (job.id, job.name, job.discipline, _yes(job.urgent), _rate(job.per_day))


def _rate(per_day: Fraction | None) -> Cell:
    """A rate with the decimals that a kit file may have, as its reader takes it."""
    if per_day is None or per_day.denominator == 1:
        return "" if per_day is None else int(per_day)
    return f"{float(per_day):.6f}".rstrip("0").rstrip(".")


def _counts(place: CountPlace) -> Iterator[tuple[Cell, ...]]:
    """A row for each thing, and one for each part of a set."""
    fact = place.counted
    counted: tuple[Cell, ...] = ("", "") if fact is None else (fact.at, fact.author)
    for thing in place.things:
        for part, number in _pieces(thing):
            out = [piece for piece in thing.out if piece.part in ("", part)]
            said = dict.fromkeys(
                "nobody has said" if one.outcome is None else outcome_words(one.outcome)
                for one in out
            )
            missing = number if any(piece.part == "" for piece in out) else len(out)
            what = (place.id, place.name, thing.copy, thing.name, part)
            yield (*what, number, missing, "; ".join(said), *counted)


def _pieces(thing: Expected) -> tuple[tuple[str, int], ...]:
    return tuple((part.name, part.count) for part in thing.parts) or (("", 1),)


def _stock(held: Holding) -> tuple[Cell, ...]:
    def told(units: int | None) -> Cell:
        return "" if units is None else held.amount(units) if units >= 0 else "count again"

    life = held.life(held.home)
    last = "" if life is None or life.last_day is None else life.last_day
    supply, account = held.supply, held.account
    bad = sum(held.bad(where) for where in Where)
    return (
        *(supply.id, supply.name, supply.measure.value),
        *(told(account.book(where)) for where in (Where.BOX, Where.RESERVE)),
        *(told(held.good), told(bad), last, told(held.week)),
        "" if held.cover is None else held.cover,
        left_words(held),
    )
