"""Stocks and the lists of an evening, as data for programs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from toolbox.desk.checklist import Checklist
from toolbox.desk.folder import KitFolder
from toolbox.desk.restock import Purchase, Restocking, Task
from toolbox.desk.stock import Holding
from toolbox.desk.stock_demand import Coming, chances, level_of, runs_out
from toolbox.desk.stock_words import left_words
from toolbox.kit.stocking import Where
from toolbox.stock.ledger import Line


def stocks_data(coming: Coming, held: Mapping[str, Holding]) -> dict[str, Any]:
    """Every supply as it stands."""
    return {"day": str(coming.today), "supplies": [_held(coming, one) for one in held.values()]}


def stock_data(folder: KitFolder, coming: Coming, held: Holding) -> dict[str, Any]:
    """One supply with its chances day by day and its ledger."""
    level, opening = level_of(coming, held), held.account.opening
    authors = {fact.id: fact.author for fact in folder.live}
    return {
        "day": str(coming.today),
        **_held(coming, held),
        "level": level.units,
        "level_why": level.why,
        "chances": [{"day": str(day), "chance": chance} for day, chance in chances(coming, held)],
        "opening": {
            "box": opening.box,
            "reserve": opening.reserve,
            "day": None if opening.day is None else str(opening.day),
        },
        "earlier": held.account.earlier,
        "history": [_line(line, authors) for line in held.account.lines],
    }


def restocking_data(listed: Restocking) -> dict[str, Any]:
    """The lists of an evening."""
    return {
        "day": str(listed.day),
        "trip": None if listed.flight is None else listed.flight.name,
        "tasks": [_task(number, task) for number, task in enumerate(listed.tasks, 1)],
        "buy": [_purchase(one) for one in listed.buys],
        "runs_out": [{"supply": supply, "words": words} for supply, words in listed.short],
        "mixed_fluids": list(listed.mixed),
    }


def wishes_data(listed: Checklist) -> dict[str, Any]:
    """The wish list, fulfilled ones too."""
    return {
        "wishes": [
            {"number": n, "key": line.key, "words": line.words, "why": line.why, "got": line.done}
            for n, line in enumerate(listed.lines, 1)
        ]
    }


def _held(coming: Coming, held: Holding) -> dict[str, Any]:
    out, life = runs_out(coming, held), held.life(held.home)
    last = life.last_day if life is not None else None
    return {
        "supply": held.supply.id,
        "name": held.supply.name,
        "measure": held.supply.measure.value,
        "box": held.account.book(Where.BOX) if held.supply.carried else None,
        "reserve": held.account.book(Where.RESERVE),
        "left": held.left,
        "usable": held.good,
        "out_of_date": sum(held.bad(where) for where in Where),
        "good_until": None if last is None else str(last),
        "count": held.account.to_count,
        "used_this_week": held.week,
        "days_of_cover": held.cover,
        "runs_out": None if out is None else {"day": str(out[0]), "chance": out[1]},
        "words": left_words(held),
    }


def _line(line: Line, authors: Mapping[str, str]) -> dict[str, Any]:
    change = line.change
    return {
        "at": change.at.isoformat(),
        "what": change.kind.value,
        "amount": change.amount,
        "where": change.where.value,
        "job": change.job or None,
        "author": authors.get(change.fact),
        "box": line.box,
        "reserve": line.reserve,
        "short": line.short,
        "off": line.off,
    }


def _task(number: int, task: Task) -> dict[str, Any]:
    return {
        "number": number,
        "key": task.key,
        "what": task.deed.value,
        "supply": task.supply,
        "place": task.place or None,
        "way": list(task.way),
        "where": task.where.value,
        "amount": task.amount,
        "words": task.words,
        "why": task.why,
    }


def _purchase(one: Purchase) -> dict[str, Any]:
    return {
        "supply": one.supply,
        "packs": one.packs.number,
        "amount": one.packs.units,
        "when": one.when.value,
        "words": one.words,
        "why": one.why,
    }
