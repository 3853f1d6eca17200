"""Goods rule files: the one that comes with the program, and the mechanic's own in a kit folder."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from toolbox.files.problems import KitFaults, Problems
from toolbox.kit.goods import (
    Band,
    Figure,
    GoodsLimit,
    GoodsRule,
    GoodsRules,
    Holds,
    RuleSet,
    ToolRule,
    Unit,
)

if TYPE_CHECKING:
    from toolbox.files.goods_tables import LimitTable, RuleRow
    from toolbox.files.pages import Entry, Pages

OWN = "goods.toml"
_SHIPPED = Path(__file__).parent / "goods" / "rules.toml"


def goods_rules(folder: Path) -> GoodsRules:
    """The rules of a kit: its own goods.toml where there is one, else those that come along.

    Raises KitFaults with every fault of the file. Nothing is mixed: an own file is the whole.
    """
    own = folder / OWN
    return read_rules(own if own.exists() else _SHIPPED)


def shipped_rules() -> GoodsRules:
    """The rules that come with the program."""
    return read_rules(_SHIPPED)


def read_rules(path: Path) -> GoodsRules:
    """The rules in a file; KitFaults with every fault in it."""
    # pydantic is slow to load and not needed before there is a file to read
    from toolbox.files.goods_tables import SORTS
    from toolbox.files.pages import Pages, read_page

    problems, pages = Problems(), Pages()
    sorts = tuple(replace(sort, file=path.name) for sort in SORTS)
    read_page(pages, path, sorts, problems)
    if path.name not in pages.unread:
        _check(pages, problems)
    if problems.faults:
        raise KitFaults(problems.faults)
    return _meaning(pages)


def _check(pages: Pages, problems: Problems) -> None:
    from toolbox.files.goods_tables import LIMIT, ROW, SET, TOOL_RULE
    from toolbox.files.named import all_known, once_each

    for sort in (SET, ROW, LIMIT, TOOL_RULE):
        once_each(pages.all(sort), problems)
    sets = {entry.id for entry in pages.all(SET)}
    rules = {entry.id for entry in pages.all(ROW)}
    in_sets: tuple[Entry[Any], ...] = (
        *pages.all(ROW),
        *pages.all(LIMIT),
        *pages.all(TOOL_RULE),
    )
    for entry in in_sets:
        if isinstance(name := entry.raw.get("set"), str):
            at = problems.at(entry.file, entry.label)
            all_known("set", (name,), sets, "set of this file", at)
    for limit in pages.all(LIMIT):
        at = problems.at(limit.file, limit.label)
        all_known("rules", limit.texts("rules"), rules, "rule of this file", at)
    screenings = {t.id for t in pages.tables(SET) if t.holds is Holds.SCREENING}
    for tool_rule in pages.all(TOOL_RULE):
        name = tool_rule.raw.get("set")
        if name in sets and name not in screenings and _faultless(pages, name):
            problems.at(tool_rule.file, tool_rule.label).add(
                "is of a set that does not hold at screenings",
                'name a set with holds = "screening"',
            )


def _faultless(pages: Pages, name: object) -> bool:
    from toolbox.files.goods_tables import SET

    return name in {table.id for table in pages.tables(SET)}


def _meaning(pages: Pages) -> GoodsRules:
    from toolbox.files.goods_tables import HEAD_OF_RULES, LIMIT, ROW, SET, TOOL_RULE

    (head,) = pages.tables(HEAD_OF_RULES)
    return GoodsRules(
        name=head.name,
        dated=head.dated,
        sets=tuple(RuleSet(t.id, t.name, t.holds) for t in pages.tables(SET)),
        rules=tuple(_rule(t) for t in pages.tables(ROW)),
        limits=tuple(_limit(t) for t in pages.tables(LIMIT)),
        tools=tuple(
            ToolRule(t.id, t.set, t.source, tuple(t.names), t.longest, t.blade)
            for t in pages.tables(TOOL_RULE)
        ),
        suspect=tuple(head.suspect),
    )


def _rule(table: RuleRow) -> GoodsRule:
    bands = (
        Band(Figure.ENERGY, table.energy_over, table.energy_most),
        Band(Figure.NET, table.net_over, table.net_most),
        Band(Figure.FLASH, table.flash_over, table.flash_most),
        Band(Figure.LITHIUM, table.lithium_over, table.lithium_most),
    )
    return GoodsRule(
        id=table.id,
        name=table.name,
        set=table.set,
        words=tuple(table.words),
        hold=table.hold,
        cabin=table.cabin,
        source=table.source,
        text=table.text,
        first=table.first,
        bands=tuple(band for band in bands if (band.over, band.most) != (None, None)),
        un=table.un,
        hand_tool=table.hand_tool,
        names=tuple(table.names),
    )


def _limit(table: LimitTable) -> GoodsLimit:
    by_pieces = table.pieces is not None
    most = table.pieces if by_pieces else table.volume
    return GoodsLimit(
        id=table.id,
        name=table.name,
        set=table.set,
        rules=tuple(table.rules),
        per=table.per,
        unit=Unit.PIECES if by_pieces else Unit.MILLILITRES,
        most=most or 0,
        source=table.source,
    )
