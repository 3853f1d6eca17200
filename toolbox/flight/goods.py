"""Dangerous goods and cabin tools: what may fly where, by the rules that hold on a trip.

A missing rule is never a permission: an unknown class, an unknown figure, a set of rules
that the table does not have make "ask the carrier" or "read the safety sheet". Of several
rules the strictest holds. No answer of this module is a permission at all: the carrier, the
state and the screening officer decide, and every text made of it says so.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from toolbox.flight.goods_figures import MISSING, figure_of
from toolbox.kit.goods import Figure, GoodsRule, GoodsRules, Holds, Say, ToolRule
from toolbox.kit.things import Goods
from toolbox.kit.trips import Carriage, Trip

WHO_DECIDES = "The carrier, the state and the screening officer decide."
NO_CLASS_WORD = "none"
ANYTHING = "*"
OLD_AFTER_MONTHS = 12
_UNSAID = "no class given"
_SAY_CLASS = (
    f"nobody has said what it is: give its goods a kind, {NO_CLASS_WORD!r} for what is plain "
    "metal, rubber, plastic or cloth"
)


class Answer(Enum):
    """The five answers."""

    HOLD = "hold"
    CABIN = "cabin"
    NO = "no"
    ASK = "ask the carrier"
    SHEET = "read the safety sheet"


class Scope(NamedTuple):
    """Which sets of rules a trip names: on its departures and at its screening points."""

    departures: frozenset[str] = frozenset()
    screenings: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing to judge, or so many pieces of it.

    ``longest`` is its longest side in tenths of a millimetre; ``tool`` says that a screening
    may take it for a hand tool; ``fluid`` that it is a liquid, a paste or a grease.
    ``approved`` says that the carrier has agreed to it.
    """

    id: str
    name: str
    goods: Goods | None
    pieces: int = 1
    longest: int | None = None
    tool: bool = True
    fluid: bool = False
    approved: bool = False


class Reason(NamedTuple):
    """Why, in a sentence, and where that is written."""

    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Judged:
    """The answer for one thing, what is said about hold and cabin, and why.

    ``rules`` are the ids of all rows that hold for it, or may hold where a figure is missing.
    """

    thing: Thing
    answer: Answer
    hold: Say
    cabin: Say
    reasons: tuple[Reason, ...]
    rules: tuple[str, ...]

    def says(self, carriage: Carriage) -> Say:
        """What is said about the hold or the cabin."""
        return self.hold if carriage is Carriage.HOLD else self.cabin


class _Spoken(NamedTuple):
    """One voice in a judgement."""

    hold: Say
    cabin: Say
    reason: Reason
    # a carrier's yes settles what a rule leaves to the carrier, never what is unknown
    settled_by_approval: bool = False


def scope_of(trip: Trip) -> Scope:
    """The sets of rules that any leg of the trip names: the strictest of all legs holds."""
    return Scope(
        frozenset(name for leg in trip.legs for name in leg.departs),
        frozenset(name for leg in trip.legs for name in leg.screening),
    )


def age_warning(rules: GoodsRules, today: date) -> str:
    """A warning when the rules are older than 12 months on that day, or dated after it; else "".

    They are not older on the same day a year later.
    """
    months = (today.year - rules.dated.year) * 12 + today.month - rules.dated.month
    if months > OLD_AFTER_MONTHS or (months == OLD_AFTER_MONTHS and today.day > rules.dated.day):
        return f"{rules.name} of {rules.dated}: over 12 months old, and rules change every year"
    if rules.dated > today:
        return f"{rules.name} of {rules.dated}: that day is still to come, so check the date"
    return ""


def judge(thing: Thing, rules: GoodsRules, scope: Scope) -> Judged:
    """The answer for a thing by all rules that hold on the trip, the strictest of them."""
    rows = _rows(thing, rules, scope)
    spoken = [
        *_by_class(thing, rows, _sets(rules, Holds.ALWAYS)),
        *_by_missing(thing, rules, scope),
    ]
    if thing.tool and all(row.hand_tool for row in rows):
        spoken += _by_screening(thing, rules, scope)
    first = next((row.first for row in rows if ANYTHING not in row.words), Carriage.HOLD)
    return _judged(thing, spoken, first, tuple(row.id for row in rows))


def _judged(thing: Thing, spoken: list[_Spoken], first: Carriage, rules: tuple[str, ...]) -> Judged:
    hold = max((_heard(s, s.hold, thing) for s in spoken), key=lambda say: say.strictness)
    cabin = max((_heard(s, s.cabin, thing) for s in spoken), key=lambda say: say.strictness)
    # the voice that decides is heard first: the strictest about the place that allows more
    by_hold = hold.strictness <= cabin.strictness
    ranked = sorted(spoken, key=lambda s: -(s.hold if by_hold else s.cabin).strictness)
    reasons = [s.reason for s in ranked if s.hold is not Say.YES or s.cabin is not Say.YES]
    if thing.approved and any(_is_settled(s) for s in spoken):
        reasons.append(Reason("the carrier said yes, as you noted it", "your own entry"))
    told = tuple(dict.fromkeys(reasons or [s.reason for s in ranked]))
    return Judged(thing, _answer(hold, cabin, first), hold, cabin, told, rules)


def _is_settled(spoken: _Spoken) -> bool:
    return spoken.settled_by_approval and Say.ASK in (spoken.hold, spoken.cabin)


def _heard(spoken: _Spoken, say: Say, thing: Thing) -> Say:
    settled = thing.approved and spoken.settled_by_approval and say is Say.ASK
    return Say.YES if settled else say


def _answer(hold: Say, cabin: Say, first: Carriage) -> Answer:
    """The answer of the place that allows more; of two alike the rule's own first one."""
    places = {Carriage.HOLD: (hold, Answer.HOLD), Carriage.CABIN: (cabin, Answer.CABIN)}
    order = [first, *(place for place in Carriage if place is not first)]
    say, answer = min((places[place] for place in order), key=lambda pair: pair[0].strictness)
    return {Say.YES: answer, Say.SHEET: Answer.SHEET, Say.ASK: Answer.ASK, Say.NO: Answer.NO}[say]


def _in_force(rules: GoodsRules, scope: Scope) -> frozenset[str]:
    named = {Holds.DEPARTURE: scope.departures, Holds.SCREENING: scope.screenings}
    return frozenset(s.id for s in rules.sets if s.holds is Holds.ALWAYS or s.id in named[s.holds])


def _rows(thing: Thing, rules: GoodsRules, scope: Scope) -> list[GoodsRule]:
    """The rows for the thing's class word whose bands hold, or may where a figure is missing."""
    if thing.goods is None:
        return []
    sets = _in_force(rules, scope)
    named = [row for row in rules.rules if not row.names or _suspect(thing.name, row.names)]
    found = [row for row in named if row.set in sets and _may_hold(row, thing.goods)]
    # what is said of everything is said of known figures, and of unknown ones of fluids
    return [
        row
        for row in found
        if ANYTHING not in row.words or thing.fluid or not _missing(row, thing.goods)
    ]


def _may_hold(row: GoodsRule, goods: Goods) -> bool:
    if goods.kind not in row.words and ANYTHING not in row.words:
        return False
    values = [(band, figure_of(goods, band.figure)) for band in row.bands]
    return all(value is None or band.has(value) for band, value in values)


def _missing(row: GoodsRule, goods: Goods) -> list[Figure]:
    return [band.figure for band in row.bands if figure_of(goods, band.figure) is None]


def _by_class(thing: Thing, rows: list[GoodsRule], general: frozenset[str]) -> list[_Spoken]:
    """What the rows of the class say, unknown figures and unknown classes included.

    A class that no ``general`` set covers is unknown, whatever a screening says of it.
    """
    goods = thing.goods
    if goods is None:
        return [_unclassed(thing)]
    own = [row for row in rows if ANYTHING not in row.words]
    sure = [row for row in rows if not _missing(row, goods)]
    open_rows = [row for row in own if _missing(row, goods)]
    found = [_row_says(row) for row in sure]
    if not any(row.set in general for row in own):
        said = f"no rule covers the class {goods.kind!r} with these figures"
        found.append(_Spoken(Say.ASK, Say.ASK, Reason(said, "the table has no such row")))
    found += [_open_for_all(row, goods) for row in rows if row not in own and row not in sure]
    if open_rows:
        found.append(_open(open_rows, goods))
    return found


def _row_says(row: GoodsRule) -> _Spoken:
    text = f"{row.name}: {row.text}" if row.text else row.name
    return _Spoken(row.hold, row.cabin, Reason(text, row.source), settled_by_approval=True)


def _open(rows: list[GoodsRule], goods: Goods) -> _Spoken:
    """A figure is missing: where every possible row says no it is no, else it has to be found."""
    figures = list(dict.fromkeys(figure for row in rows for figure in _missing(row, goods)))
    says = [MISSING[figure] for figure in figures]
    worst = max((missing.say for missing in says), key=lambda say: say.strictness)

    def of(carriage: Carriage) -> Say:
        barred = [row for row in rows if row.says(carriage) is Say.NO]
        return Say.NO if _whatever_the_figure(barred) else worst

    text = "; ".join(missing.text for missing in says)
    return _Spoken(of(Carriage.HOLD), of(Carriage.CABIN), Reason(text, rows[0].source))


def _open_for_all(row: GoodsRule, goods: Goods) -> _Spoken:
    """A row for everything that may hold: it makes stricter where it says anything but yes."""
    missing = MISSING[_missing(row, goods)[0]]
    hold, cabin = (Say.YES if s is Say.YES else missing.say for s in (row.hold, row.cabin))
    return _Spoken(hold, cabin, Reason(missing.text, row.source))


def _whatever_the_figure(rows: list[GoodsRule]) -> bool:
    """Whether rows that each go by one and the same figure leave no value of it out."""
    bands = [row.bands[0] for row in rows if len(row.bands) == 1]
    if not bands or len(bands) != len(rows) or len({band.figure for band in bands}) != 1:
        return False
    reached: int | None = None
    for n, band in enumerate(sorted(bands, key=lambda b: -math.inf if b.over is None else b.over)):
        # each band has to begin where those before it end, the first one without a beginning
        if (band.over is not None) if n == 0 else (band.over or 0) > (reached or 0):
            return False
        if band.most is None:
            return True
        reached = band.most if reached is None else max(reached, band.most)
    return False


def _unclassed(thing: Thing) -> _Spoken:
    """A thing whose class nobody has said: only a hand tool is taken for plain metal.

    A fluid needs its sheet; anything else is asked about until its class, perhaps "none",
    is given.
    """
    if thing.fluid:
        said = Reason("nobody has said what it is: its safety sheet tells", _UNSAID)
        return _Spoken(Say.SHEET, Say.SHEET, said)
    if not thing.tool:
        return _Spoken(Say.ASK, Say.ASK, Reason(_SAY_CLASS, _UNSAID))
    return _Spoken(Say.YES, Say.YES, Reason("a hand tool, taken for plain metal", _UNSAID))


def _by_missing(thing: Thing, rules: GoodsRules, scope: Scope) -> list[_Spoken]:
    """What must be asked because rules that the trip names, or a class, are missing."""
    found = []
    classed = thing.goods is not None and thing.goods.kind != NO_CLASS_WORD
    for name in sorted(scope.departures - _sets(rules, Holds.DEPARTURE)) if classed else ():
        said = Reason(f"the table has no rules for the departure {name!r}", rules.name)
        found.append(_Spoken(Say.ASK, Say.ASK, said))
    for name in sorted(scope.screenings - _sets(rules, Holds.SCREENING)):
        said = Reason(f"the table has no rules for the screening point {name!r}", rules.name)
        found.append(_Spoken(Say.YES, Say.ASK, said))
    if thing.goods is None and not thing.fluid and (word := _suspect(thing.name, rules.suspect)):
        said = Reason(f"its name says {word!r} and no class is given", _UNSAID)
        found.append(_Spoken(Say.ASK, Say.ASK, said))
    return found


def _sets(rules: GoodsRules, holds: Holds) -> frozenset[str]:
    # a set named where it does not hold is none of these: "usa" on a departure, for one
    return frozenset(s.id for s in rules.sets if s.holds is holds)


def _suspect(name: str, words: Iterable[str]) -> str:
    """The first of the words that stands in a name, "" where none does."""
    return next((word for word in words if _names(name, word)), "")


def _names(name: str, word: str) -> bool:
    """Whether a name holds a word, in any case, in the singular or with an s."""
    return re.search(rf"(?<!\w){re.escape(word)}s?(?!\w)", name, re.IGNORECASE) is not None


def _by_screening(thing: Thing, rules: GoodsRules, scope: Scope) -> list[_Spoken]:
    """What the screening points say of a hand tool in the cabin; the hold is not their matter."""
    if not scope.screenings:
        said = Reason("in the cabin it depends on a screening point that nobody named", "the trip")
        return [_Spoken(Say.YES, Say.ASK, said)]
    found = []
    for rule in rules.tools:
        if rule.set in scope.screenings and (why := barred(thing, rule)):
            found.append(_Spoken(Say.YES, Say.NO, Reason(why, rule.source)))
    covered = {rule.set for rule in rules.tools}
    for name in sorted((scope.screenings & _sets(rules, Holds.SCREENING)) - covered):
        said = Reason(f"the table says nothing about tools at {name!r}", rules.name)
        found.append(_Spoken(Say.YES, Say.ASK, said))
    return found


def barred(thing: Thing, rule: ToolRule) -> str:
    """Why a screening rule bars a hand tool from the cabin; "" where it does not."""
    if word := _suspect(thing.name, rule.names):
        return f"hand tool: {word} is barred from the cabin"
    if rule.longest is not None and (thing.longest is None or thing.longest > rule.longest):
        how = "of unknown length" if thing.longest is None else "too long"
        return f"hand tool {how} for the cabin: at most {_mm(rule.longest)} over all"
    if rule.blade is None:
        return ""
    blade = thing.goods.blade if thing.goods is not None else None
    # a blade is no longer than the whole tool, so a short tool needs no figure
    most = blade if blade is not None else thing.longest
    if most is not None and most <= rule.blade:
        return ""
    how = "may be" if blade is None else "is"
    return f"hand tool: its blade or shaft {how} longer than {_mm(rule.blade)}"


def _mm(tenths: int) -> str:
    return f"{float(Fraction(tenths, 10)):g} mm"


def judge_all(things: Collection[Thing], rules: GoodsRules, scope: Scope) -> tuple[Judged, ...]:
    """The answers for all things, in their order."""
    return tuple(judge(thing, rules, scope) for thing in things)
