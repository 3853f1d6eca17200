"""What stands in the way of a place, in a mechanic's words: names and rules, no numbers of ours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from toolbox.desk.demands import RuleBook, rules_between
from toolbox.desk.folder import name_of_copy
from toolbox.desk.question import Question
from toolbox.kit.box import Inside
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write
from toolbox.kit.rules import Ask
from toolbox.layout.bars import Bar, Hurdle


@dataclass(frozen=True, slots=True)
class Obstacle:
    """One thing in the way: its kind, a sentence part, the rules and copies it names."""

    kind: str
    words: str
    rules: tuple[str, ...] = ()
    copies: tuple[str, ...] = ()


def obstacle(
    book: RuleBook,
    question: Question,
    hurdle: Hurdle,
    movers: Sequence[int],
    place: int,
) -> Obstacle:
    """A hurdle of this question's problem in words."""
    copies = tuple(question.copies[i] for i in hurdle.items)
    own = [question.copies[i] for i in movers]
    rules: tuple[str, ...] = ()
    if hurdle.bar is Bar.RULE:
        rules = tuple(dict.fromkeys(r for c in copies for r in book.barring(c, place)))
    elif hurdle.bar in (Bar.APART, Bar.TOGETHER):
        ask = Ask.APART if hurdle.bar is Bar.APART else Ask.TOGETHER
        pairs = (r for m in own for c in copies for r in rules_between(book.kit, ask, m, c))
        rules = tuple(dict.fromkeys(rule.name for rule in pairs))
    alone = len(own) == 1
    words = _words(book.kit, hurdle, copies, rules, question.problem.places[place].kind, alone)
    return Obstacle(hurdle.bar.name.lower(), words, rules, copies)


def listed(names: Sequence[str], most: int = 4) -> str:
    """Names joined for a sentence: "a", "a and b", "a, b, c and 9 more"."""
    shown = list(names[:most])
    if len(names) > most:
        return ", ".join(shown) + f" and {len(names) - most} more"
    return shown[0] if len(shown) == 1 else ", ".join(shown[:-1]) + f" and {shown[-1]}"


def _words(
    kit: Kit,
    hurdle: Hurdle,
    copies: tuple[str, ...],
    rules: tuple[str, ...],
    kind: Inside,
    alone: bool,
) -> str:
    over = hurdle.amount
    names = listed([name_of_copy(kit, c) for c in copies]) if copies else ""
    told = " (" + "; ".join(f'"{rule}"' for rule in rules) + ")" if rules else ""
    who = "" if alone else f"{names} "
    match hurdle.bar:
        case Bar.RULE:
            return f"{who}not allowed there{told}"
        case Bar.TOGETHER:
            return f"it must lie with {names}{told}"
        case Bar.APART:
            return f"must not share it with {names}{told}"
        case Bar.TOO_LONG:
            return f"{who}too long or wide by {write(over, Kind.LENGTH)}"
        case Bar.TOO_HIGH:
            return f"{who}too high by {write(over, Kind.LENGTH)}"
        case Bar.TOO_BULKY:
            return f"{who}takes {volume(over)} more than it holds"
        case Bar.TOO_HEAVY:
            return f"{who}alone {write(over, Kind.MASS)} over its load"
        case Bar.OVERLOAD:
            return f"{write(over, Kind.MASS)} over its load"
        case Bar.NO_ROOM:
            return f"no room: {_short(over, kind)}"
        case Bar.NOT_KNOWN:
            return "tight: no way to lay it in beside the rest was found, nor proved impossible"


def _short(over: int, kind: Inside) -> str:
    if not over:
        return "proved, the shapes cannot be laid together"
    if kind is Inside.LAID:
        return f"{area(over)} short"
    if kind is Inside.ROW:
        return f"{write(over, Kind.LENGTH)} short"
    return f"{volume(over)} short"


def area(value: int) -> str:
    """Square tenths of a millimetre as square centimetres."""
    return f"{value / 10_000:.1f} cm2"


def volume(value: int) -> str:
    """Cubic tenths of a millimetre as cubic centimetres."""
    return f"{value / 1_000_000:.1f} cm3"
