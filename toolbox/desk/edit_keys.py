"""What can be edited of a tool, supply, job or compartment: its keys, in words, line by line."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from enum import Enum, auto

from toolbox.kit.box import Inside
from toolbox.kit.things import Accuracy, Known, Mark, Measure


class Form(Enum):
    """How the value of a key is written on a line."""

    TEXT = auto()
    NOTE = auto()  # a text of several lines, their ends shown as a sign
    QUANTITY = auto()  # kept as it was typed, read by the file's own reader
    WHOLE = auto()
    NUMBER = auto()
    YES_NO = auto()
    DAY = auto()
    WORDS = auto()  # words out of a list, parted by commas
    TOOLS = auto()  # other tools
    OPENINGS = auto()
    CORNER = auto()  # three lengths
    PARTS = auto()  # names with "x3" behind them, mass and value of one, parted by semicolons
    PICKS = auto()  # tools with "x2" behind those taken up twice
    DRAWS = auto()  # supplies with "= 30 ml" behind each


@dataclass(frozen=True, slots=True)
class Key:
    """One line of an entry: the key as files write it, what people call it, what it takes.

    ``usual`` is what holds while the line is empty, "" for nothing.
    """

    key: str
    label: str
    form: Form
    help: str
    needed: bool = False
    usual: str = ""


@dataclass(frozen=True, slots=True)
class Sort:
    """A sort of entry: the word for one and for many, its file and heading, its keys."""

    word: str
    many: str
    file: str
    keys: tuple[Key, ...]

    def key(self, name: str) -> Key | None:
        """The key of that name, with the number of its step for a job; None if it has none."""
        found = re.fullmatch(r"step\.([1-9]\d{0,2})\.(\w+)", name)
        if found is not None and self is JOBS:
            return next((k for k in step_keys(int(found[1])) if k.key == name), None)
        return next((key for key in self.keys if key.key == name), None)


def _or(words: type[Enum]) -> str:
    return ", ".join(str(word.value) for word in words)


_ID = Key(
    "id",
    "id",
    Form.TEXT,
    "a short word of your own, by which files and log call it; it stays once given",
)
_NAME = Key("name", "name", Form.TEXT, "what you call it", needed=True)
_CATEGORY = Key("category", "category", Form.TEXT, "what it belongs with, in words of your own")
_KNOWN = Key(
    "mass_known", "mass known by", Form.TEXT, f"how the mass is known: {_or(Known)}", usual="guess"
)
_STEP = Key("scale_step", "scale's step", Form.QUANTITY, "of a scale it was weighed on: 1 g, 0.5 g")
_ERROR = Key("mass_error", "off by at most", Form.QUANTITY, "how far off the mass may be: 5 g")
_MARKS = Key("marks", "marks", Form.WORDS, f"any of these, parted by commas: {_or(Mark)}")
_NOTE = Key("note", "note", Form.NOTE, "anything worth knowing")
_GOODS = (
    Key("goods.kind", "goods: kind", Form.TEXT, "dangerous goods only: the class word that fits"),
    Key("goods.voltage", "goods: voltage", Form.QUANTITY, "of a cell or battery: 3.7 V"),
    Key("goods.charge", "goods: charge", Form.QUANTITY, "of a cell or battery: 3000 mAh"),
    Key("goods.energy", "goods: energy", Form.QUANTITY, "of a battery, if printed on it: 90 Wh"),
    Key("goods.net", "goods: net", Form.QUANTITY, "net contents: 100 ml"),
    Key("goods.flash_point", "goods: flash", Form.QUANTITY, "flash point in whole degrees: 61 °C"),
    Key("goods.lithium", "goods: lithium", Form.QUANTITY, "grams of lithium metal: 0.3 g"),
    Key("goods.blade", "goods: blade", Form.QUANTITY, "the longest blade or shaft: 110 mm"),
)


def _size(of: str, needed: bool) -> tuple[Key, ...]:
    says = f"{of}, with its unit: 230 mm, 9.5 mm, 5 7/8 in"
    sides = ("length", "width", "height")
    return tuple(Key(side, side, Form.QUANTITY, says, needed) for side in sides)


TOOLS = Sort(
    "tool",
    "tools",
    "tools.toml",
    (
        _ID,
        _NAME,
        _CATEGORY,
        Key("mass", "mass", Form.QUANTITY, "of one, with its unit: 450 g, 1 lb 3 oz", True),
        _KNOWN,
        _STEP,
        _ERROR,
        *_size("as packed", True),
        Key("count", "copies", Form.WHOLE, "how many; each gets a place of its own", usual="1"),
        Key("carried", "travels", Form.YES_NO, "no: owned, but stays at home", usual="yes"),
        Key(
            "parts",
            "parts",
            Form.PARTS,
            "of a set, parted by semicolons, for papers mass and value of one: "
            "bit x28 (4 g, 2.00 EUR); holder x1",
        ),
        _MARKS,
        Key("substitutes", "stand-ins", Form.TOOLS, "tools that can stand in for it, by commas"),
        Key("make", "make", Form.TEXT, "who made it, for papers"),
        Key("model", "model", Form.TEXT, "what its maker calls it, for papers"),
        Key("serial", "serial", Form.TEXT, "the number on it"),
        Key("year", "year", Form.WHOLE, "the year it was made"),
        Key("value", "value", Form.TEXT, "what it is worth, for papers: 45.00 EUR"),
        Key("origin", "origin", Form.TEXT, "country of origin, two capitals (ISO 3166-1)"),
        Key("look", "looks like", Form.TEXT, "how to tell it from others"),
        Key("owner_mark", "owner's mark", Form.TEXT, "how it is marked as yours: two blue bands"),
        _NOTE,
        Key("gauge.purpose", "gauge: for", Form.TEXT, "shop-made gauge or jig: what it is for"),
        Key("gauge.dimension", "gauge: what", Form.TEXT, "the dimension that must hold"),
        Key("gauge.nominal", "gauge: nominal", Form.QUANTITY, "what it should be: 12.05 mm"),
        Key("gauge.lowest", "gauge: lowest", Form.QUANTITY, "the least it may be: 12 mm"),
        Key("gauge.highest", "gauge: highest", Form.QUANTITY, "the most it may be: 12.1 mm"),
        Key("instrument.last_check", "last check", Form.DAY, "of an instrument: 2026-01-31"),
        Key("instrument.every_months", "months between", Form.WHOLE, "months from check to check"),
        Key("instrument.every_uses", "uses between", Form.WHOLE, "uses from check to check"),
        Key(
            "instrument.uses_since_check",
            "uses since",
            Form.WHOLE,
            "uses since the last check that are not in the log",
            usual="0",
        ),
        Key(
            "instrument.accuracy",
            "accuracy",
            Form.TEXT,
            f"torque tools by ISO 6789-1, pressure gauges by EN 837-1: {_or(Accuracy)}",
        ),
        Key("instrument.lowest", "lowest mark", Form.QUANTITY, "where its range begins: 2 N·m"),
        Key("instrument.highest", "highest mark", Form.QUANTITY, "where it ends: 15 N·m, 4 bar"),
        Key("instrument.step", "smallest step", Form.QUANTITY, "to which it is set or read"),
        Key(
            "instrument.tolerance",
            "tolerance",
            Form.QUANTITY,
            "to either side, before any class: 0.05 bar, of a torque tool 4 %",
        ),
        Key(
            "instrument.zero_stop",
            "zero stop",
            Form.YES_NO,
            "yes: a pin stops the pointer at zero; its class then holds from a tenth of the range",
            usual="no",
        ),
        *_GOODS,
    ),
)

SUPPLIES = Sort(
    "supply",
    "supplies",
    "supplies.toml",
    (
        _ID,
        _NAME,
        _CATEGORY,
        Key("measure", "counted in", Form.TEXT, f"one of {_or(Measure)}", True),
        Key("stock", "in stock", Form.QUANTITY, "all there is: 250 ml, 10 pc"),
        Key("reserve", "in reserve", Form.QUANTITY, "what of it lies in van or workshop: 150 ml"),
        Key("stock_on", "counted on", Form.DAY, "the day it was counted; use before is in it"),
        Key("par", "level to keep", Form.QUANTITY, "below this it is to be bought: 100 ml"),
        Key("service_percent", "surety %", Form.WHOLE, "how surely it is to last, in per cent"),
        Key("pack", "pack", Form.QUANTITY, "what one pack holds: 100 ml"),
        Key("carried", "travels", Form.YES_NO, "yes: in the box, with a place", usual="no"),
        Key("mass", "mass", Form.QUANTITY, "of one pack, with its unit: 152 g"),
        _KNOWN,
        _STEP,
        _ERROR,
        *_size("of one pack", False),
        Key("best_before", "best before", Form.DAY, "the printed date: 2028-03-31"),
        Key("opened", "opened", Form.DAY, "the day it was opened: 2026-01-31"),
        Key("opened_life_months", "life opened", Form.WHOLE, "months it is good once opened"),
        Key("made", "made", Form.DAY, "the day it was made or bought: 2026-01-31"),
        Key("sealed_life_months", "life sealed", Form.WHOLE, "months it is good unopened"),
        Key("lot", "lot", Form.TEXT, "the lot number on it"),
        Key("fluid", "fluid", Form.TEXT, "the kind of fluid; kinds are kept apart"),
        _MARKS,
        _NOTE,
        *_GOODS,
    ),
)

JOBS = Sort(
    "job",
    "jobs",
    "jobs.toml",
    (
        _ID,
        _NAME,
        Key("discipline", "discipline", Form.TEXT, "in words of your own"),
        Key("urgent", "urgent", Form.YES_NO, "yes: it can come between runs", usual="no"),
        Key("per_day", "times a day", Form.NUMBER, "how often you expect it in a working day"),
        Key("fluid", "fluid", Form.TEXT, "the kind of fluid it takes; another kind is warned of"),
        _NOTE,
    ),
)

COMPARTMENTS = Sort(
    "compartment",
    "compartments",
    "box.toml",
    (
        _ID,
        _NAME,
        Key("kind", "kind", Form.TEXT, f"how things lie in it: {_or(Inside)}", True),
        Key("length", "length", Form.QUANTITY, "inside, left to right: 230 mm", True),
        Key("width", "width", Form.QUANTITY, "inside, front to back: 80 mm", True),
        Key("depth", "depth", Form.QUANTITY, "inside, top to bottom: 45 mm", True),
        Key(
            "at",
            "at",
            Form.CORNER,
            "its corner from the left, the front and the bottom: 0 mm, 0 mm, 120 mm",
            True,
        ),
        Key("openings", "behind", Form.OPENINGS, "openings before it, outermost first, by commas"),
        Key("load", "most load", Form.QUANTITY, "the most it may carry: 5 kg"),
    ),
)

SORTS = (TOOLS, SUPPLIES, JOBS, COMPARTMENTS)

_STEP_KEYS = (
    Key("text", "text", Form.TEXT, "what is done; a step with all its lines empty goes"),
    Key("minutes", "minutes", Form.WHOLE, "how long it takes"),
    Key("tools", "tools", Form.PICKS, 'tools taken up, by commas; "T5 x2" is taken up twice'),
    Key("supplies", "supplies", Form.DRAWS, "supplies used up, by commas: S1 = 30 ml, S2 = 1 pc"),
)


def step_keys(number: int) -> tuple[Key, ...]:
    """The keys of a job's step of this number, from 1."""
    return tuple(
        replace(key, key=f"step.{number}.{key.key}", label=f"step {number} {key.label}")
        for key in _STEP_KEYS
    )


def sort_called(word: str) -> Sort:
    """The sort of entries called by this word; KeyError when there is none."""
    return {sort.word: sort for sort in SORTS}[word]
