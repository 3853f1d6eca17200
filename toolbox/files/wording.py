"""From the codes of pydantic's errors to our words; its own sentences are never shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from toolbox.files.problems import quoted, shown

Where = tuple[int | str, ...]


class Trouble(NamedTuple):
    """One error: the key as the file writes it, the value found there, what pydantic adds."""

    key: str
    value: object
    more: Mapping[str, Any]


Words = tuple[str, str]


def _found(trouble: Trouble, wrong: str, cure: str) -> Words:
    return f"{trouble.key} {shown(trouble.value)} {wrong}", cure


def _own(trouble: Trouble) -> Words:
    return _found(trouble, trouble.more["wrong"], trouble.more["cure"])


def _own_of_table(trouble: Trouble) -> Words:
    # a fault of the entry as a whole has no key
    return f"{trouble.key} {trouble.more['wrong']}".lstrip(), trouble.more["cure"]


def _missing(trouble: Trouble) -> Words:
    last = trouble.key.replace(" ", ".").rpartition(".")[2]
    return f"has no {trouble.key}", f"add {EXAMPLES.get(trouble.key) or EXAMPLES[last]}"


def _unknown_key(trouble: Trouble) -> Words:
    return f"{quoted(trouble.key)} is a key I do not know", trouble.more["cure"]


def _too_few(trouble: Trouble) -> Words:
    more = trouble.more
    return (
        f"{trouble.key} has {more['actual_length']} values",
        f"write at least {more['min_length']}",
    )


def _type(wrong: str, cure: str) -> Callable[[Trouble], Words]:
    return lambda trouble: _found(trouble, wrong, cure)


# One example for each key that may not be missing.
EXAMPLES: Mapping[str, str] = MappingProxyType(
    {
        "id": 'id = "T14", or any short word of your own',
        "name": 'name = "a name of your own"',
        "mass": 'mass = "450 g"',
        "length": 'length = "230 mm"',
        "width": 'width = "80 mm"',
        "height": 'height = "20 mm"',
        "columns": "columns = 3, how many labels lie side by side",
        "rows": "rows = 8, how many lie one below the other",
        "depth": 'depth = "45 mm"',
        "tare": 'tare = "6.5 kg", the mass of the empty box',
        "stands_at": 'stands_at = "700 mm", how high its bottom stands above the floor',
        "way": 'way = "lid", or "tray", "drawer", "flap"',
        "travel": 'travel = "300 mm", how far the hand moves it',
        "kind": 'kind = "laid", or the word that fits',
        "goods.kind": 'kind = "aerosol-flammable-2.1", or the class word that fits',
        "at": 'at = ["0 mm", "0 mm", "120 mm"], its place from the left, front and bottom',
        "measure": 'measure = "ml", or "g", "pc"',
        "text": 'text = "what is done in this step"',
        "step": "a [[job.step]] with a text",
        "ask": 'ask = "pinned", or "only", "together", "apart", "within"',
        "items": 'items = ["T14"]',
        "of": 'of = "lid", the id of an opening or a compartment',
        "times": 'times = ["2.4 s"]',
        "item": 'item = "T14"',
        "compartment": 'compartment = "top-tray"',
        "count": "count = 28",
        "purpose": 'purpose = "what it is for"',
        "dimension": 'dimension = "what must hold"',
        "nominal": 'nominal = "12.05 mm"',
        "lowest": 'lowest = "12 mm"',
        "highest": 'highest = "12.1 mm"',
        "cost": "cost = 1234567, in microseconds a day",
        "when": "when = 2026-11-16T08:40:00+01:00",
        "author": 'author = "Mika"',
        "job": 'job = "J7"',
        "tool": 'tool = "T14"',
        "supply": 'supply = "S1"',
        "amount": 'amount = "30 ml"',
        "dated": "dated = 2026-11-24",
        "set": 'set = "air", the id of a [[set]]',
        "holds": 'holds = "always", or "departure", "screening"',
        "words": 'words = ["gas-cartridge-2.2"]',
        "hold": 'hold = "ask", or "yes", "sheet", "no"',
        "cabin": 'cabin = "ask", or "yes", "sheet", "no"',
        "source": 'source = "where it is written"',
        "rules": 'rules = ["co2-inflator"]',
        "per": 'per = "person", or "bag"',
        "answers": 'answers = "mika", the id of a [[person]]',
        "bag": 'bag = "case", the id of a [[bag]]',
        "concept": 'concept = "piece", or "weight"',
        "up_to": 'up_to = "32 kg"',
        "price": 'price = "60.00 EUR"',
        "pieces": "pieces = 1",
        "allowance": 'allowance = "piece-23", the id of an [[allowance]]',
        "expected": "expected = 2.5, how often the job is expected",
        "other": 'other = "buy", or "ship", "leave"',
        "by": 'by = "the carrier\'s desk"',
        "day": "day = 2026-12-04",
        "scale_step": 'scale_step = "50 g"',
        "reading": 'reading = "22.95 kg"',
        "scale": 'scale = "hall", the id of a [[scale]]',
        "title": 'title = "Evening"',
        "place": 'place = "tray", the id of a [[compartment]]',
    }
)

WORDS: Mapping[str, Callable[[Trouble], Words]] = MappingProxyType(
    {
        "missing": _missing,
        "extra_forbidden": _unknown_key,
        "model_type": _type("is not a table", "write it as a table of its own"),
        "dict_type": _type("is not a table", 'write it like { S1 = "30 ml" }'),
        "list_type": _type("is not a list", "write it between square brackets"),
        "string_type": _type("is not a text", "write it between quotes"),
        "bool_type": _type("is neither true nor false", "write true or false without quotes"),
        "int_type": _type("is not a whole number", "write it without quotes, point and unit"),
        "greater_than_equal": lambda t: _found(
            t, "is too little", f"write {t.more.get('ge')} or more"
        ),
        "less_than_equal": lambda t: _found(t, "is too much", f"write at most {t.more.get('le')}"),
        "too_short": _too_few,
        "quantity": _own,
        "quantity_limits": _own,
        "amount": _own,
        "empty": _own,
        "control": _own,
        "id": _own,
        "day": _own,
        "money": _own,
        "number": _own,
        "pick": _own,
        "origin": _own,
        "currency": _own,
        "word": _own,
        "flash_point": _own,
        "position": _own_of_table,
        "gauge_order": _own_of_table,
        "no_interval": _own_of_table,
        "half_a_cell": _own_of_table,
        "moments_order": _own_of_table,
        "nothing_logged": _own_of_table,
        "empty_band": _own_of_table,
        "how_much": _own_of_table,
        "bars_nothing": _own_of_table,
    }
)


def spoken(where: Where) -> str:
    """The way to a value as people name it: ``gauge.lowest``, ``parts no. 2 count``."""
    said = ""
    for before, part in zip(("", *where), where, strict=False):
        if part == "[key]":
            break
        if isinstance(part, int):
            said += f" no. {part + 1}"
        else:
            said += f" {part}" if isinstance(before, int) else f".{part}"
    return said.removeprefix(".")


def way(where: Where) -> str:
    """The way to a value by keys and numbers from 1: ``gauge.lowest``, ``step.2.tools.1``."""
    return ".".join(str(p + 1) if isinstance(p, int) else p for p in where if p != "[key]")
