"""Instruments for a screen: the due list, all that is known of one, corrections in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import NamedTuple

from toolbox.desk.errors import DeskError
from toolbox.desk.evening_words import said_words
from toolbox.desk.folder import KitFolder, names_of
from toolbox.desk.instrument_checks import Judged
from toolbox.desk.instrument_history import corrected, pasts, series, story
from toolbox.desk.instrument_picture import LEAST_WIDTH, LEGEND, Bar, bars_of, drawn
from toolbox.desk.instrument_words import UNITS, figure, offset_words, series_words, valued
from toolbox.desk.instruments import CAUTION, Stand, kind_of, limits_of, stands, winds_down
from toolbox.instruments.due import Why
from toolbox.kit.quantities import Kind, QuantityError, read
from toolbox.kit.things import Tool

WIDEST = 37  # columns of a picture's line
AT = 8  # columns for what stands before it: a point
DAY = 10  # or a day


class State(Enum):
    """How an instrument stands; the value is the word shown."""

    OUT = "OUT"
    SOON = "DUE SOON"
    FINE = "OK"


_SHORT = {
    Why.NEVER: "never checked",
    Why.DAY: "too long ago",
    Why.USES: "too many uses",
    Why.FAILED: "failed",
}


@dataclass(frozen=True, slots=True)
class DueLine:
    """An instrument in the due list."""

    stand: Stand

    @property
    def key(self) -> str:
        """The id of the tool."""
        return self.stand.tool.id

    @property
    def name(self) -> str:
        """What the tool is called."""
        return self.stand.tool.name

    @property
    def state(self) -> State:
        """How it stands."""
        return State.OUT if self.stand.out else State.SOON if self.stand.soon else State.FINE

    @property
    def why(self) -> str:
        """Why it stands so, and whether its spring is under load."""
        return self.stand.words + ("; to be wound down" if self.stand.unwound else "")

    @property
    def short(self) -> str:
        """Why, in at most 13 letters: the first reason, else what is to be done."""
        found = self.stand.standing
        if found.reasons:
            first = found.reasons[0]
            # what happened is the first word of its sentence
            return first.words.split()[0] if first.why is Why.EVENT else _SHORT[first.why]
        if self.state is State.SOON:
            by_day = self.stand.soon.startswith("check due")
            return f"by {found.good_until}" if by_day else "few uses left"
        return "wind it down" if self.stand.unwound else ""

    @property
    def since(self) -> str:
        """The first day on which it was out, "" where it is not or nobody knows."""
        return str(self.stand.standing.since or "")

    @property
    def left(self) -> str:
        """How many more uses it may have, "" where none are counted for it."""
        left = self.stand.standing.uses_left
        return "" if left is None else str(left)


def due_lines(folder: KitFolder, today: date) -> tuple[DueLine, ...]:
    """Every instrument, the most urgent first.

    Out before due soon before the rest; of those out the ones that travel first; of equals
    those to be wound down, then by the day until which their check holds.
    """
    lines = [DueLine(one) for one in stands(folder.kit, folder.live, today).values()]
    return tuple(sorted(lines, key=_urgency))


def _urgency(line: DueLine) -> tuple[int, bool, bool, date]:
    one = line.stand
    rank = list(State).index(line.state)
    at_home = line.state is State.OUT and not one.tool.carried
    return rank, at_home, not one.unwound, one.standing.good_until or date.max


def due_words(lines: tuple[DueLine, ...]) -> str:
    """How many are out, due soon, to be wound down."""
    if not lines:
        return (
            "No instruments in this kit: a tool becomes one by its interval of checks, "
            "or as a shop-made gauge."
        )
    out, soon = (sum(line.state is state for line in lines) for state in (State.OUT, State.SOON))
    wound = sum(line.stand.unwound for line in lines)
    return (
        f"{out or 'none'} of {len(lines)} out, {soon or 'none'} due soon, "
        f"{wound or 'none'} to be wound down."
    )


class Drawn(NamedTuple):
    """A line of a picture: what stands before it, the bar, what stands behind it."""

    lead: str
    bar: Bar
    words: str


@dataclass(frozen=True, slots=True)
class About:
    """All that is known of one instrument.

    ``facts`` are (heading, words); ``last`` and ``course`` the pictures of its last check,
    point by point, and of its error from check to check, with the words that go with each.
    """

    line: DueLine
    facts: tuple[tuple[str, str], ...]
    last_words: str
    last: tuple[Drawn, ...]
    course_words: tuple[str, str]
    course: tuple[Drawn, ...]


def about(folder: KitFolder, line: DueLine, today: date) -> About:
    """All that the kit and the journal know of an instrument up to a day."""
    tool, kind = line.stand.tool, kind_of(line.stand.tool)
    past = [one for one in pasts(folder.kit, tool, folder.live, today) if one.result is not None]
    last: tuple[Drawn, ...] = ()
    words = ""
    if past and kind is not None:
        result = past[-1].result
        assert result is not None
        last = point_lines(bars_of(result), kind)
        words = f"Last check with readings, {past[-1].day}, in {UNITS[kind].word}"
    found = series(tool, folder.live, today)
    course: tuple[Drawn, ...] = ()
    told = ("", "")
    if found is not None and kind is not None:
        what = "Its dimension" if found.at is None else f"Its error at {valued(found.at, kind)}"
        told = (f"{what}, check by check", series_words(found, kind))
        course = tuple(
            Drawn(
                str(one.day),
                Bar(0, one.value, one.value, one.expanded, found.low, found.high, None, None),
                offset_words(found, one, kind),
            )
            for one in found.values
        )
    return About(line, tuple(_facts(folder, line, today)), words, last, told, course)


def _facts(folder: KitFolder, line: DueLine, today: date) -> list[tuple[str, str]]:
    one, found = line.stand, line.stand.standing
    since = f" (since {line.since})" if line.since else ""
    told = [(line.state.value, line.why + since)]
    until = f", holds until {found.good_until}" if found.good_until is not None else ""
    told.append(("Checked", f"{found.checked}{until}" if found.checked else "never"))
    left = f", {found.uses_left} more allowed" if found.uses_left is not None else ""
    told.append(("Uses", f"{found.uses} since then{left}"))
    if winds_down(one.tool):
        down = "not wound down since it was last used" if one.unwound else NO_LOAD
        told.append(("Spring", f"{down} [common practice]"))
    if limits_of(one.tool) is None:
        told.append(("Limits", NO_LIMITS))
    names = names_of(folder.kit)
    for fact in reversed(story(one.tool, folder.live, today)):
        words = said_words(folder.kit, names, fact.what)  # type: ignore[arg-type]
        note = getattr(fact.what, "note", "")
        told.append(
            (f"{fact.at:%Y-%m-%d}", f"{words}{f'; {note}' if note else ''} ({fact.author})")
        )
    return told


NO_LOAD = "not under load, as far as is logged"
NO_LIMITS = (
    "nothing says how far off it may be, so it cannot be judged here: give its highest mark "
    "and its accuracy or a tolerance in Kit; a check made elsewhere can be entered as it is"
)


def point_lines(bars: tuple[Bar, ...], kind: Kind) -> tuple[Drawn, ...]:
    """Points of a check with their errors in words: "+0.05 of +0.4 (+1.00 %)"."""
    lines = []
    for bar in bars:
        limit = "" if bar.high is None else f" of {figure(bar.high, kind, signed=True)}"
        percent = "" if bar.percent is None else f" ({float(bar.percent):+.2f} %)"
        words = f"{figure(bar.mean, kind, signed=True)}{limit}{percent}"
        lines.append(Drawn(figure(bar.at, kind), bar, words))
    return tuple(lines)


def picture(lines: tuple[Drawn, ...], width: int) -> list[str]:
    """The lines as signs in at most ``width`` columns (32 or more), with the legend below.

    Where the words have no room behind the bars they stand below them.
    """
    lead = max([AT, *(len(line.lead) for line in lines)])
    most = max((len(line.words) for line in lines), default=0)
    room = width - lead - 4
    beside = room - most >= LEAST_WIDTH
    bar = min(WIDEST, room - most if beside else room + 1)
    bar -= 1 - bar % 2  # odd, so that nothing off lies in the middle
    told = []
    for line in lines:
        signs = drawn(line.bar, bar) or "no limit here".ljust(bar)
        told.append(f"{line.lead:>{lead}} |{signs}|" + (f" {line.words}" if beside else ""))
        if not beside:
            told.append(f"{'':>{lead}}  {line.words}")
    parts = LEGEND.split("   ")
    legend = [LEGEND] if len(LEGEND) <= width else ["   ".join(parts[:2]), "   ".join(parts[2:])]
    return [*told, *legend]


def setting_words(folder: KitFolder, tool: str, typed: str, today: date) -> tuple[str, ...]:
    """What an instrument must show today for a true value that was typed, in sentences.

    DeskError for what cannot be read, and where nothing is there to go by.
    """
    one = stands(folder.kit, folder.live, today)[tool]
    kind = kind_of(one.tool)
    if kind is None:
        raise DeskError(f"nothing says what {one.tool.name} measures")
    try:
        value = read(typed.strip(), kind, UNITS[kind].word)
    except QuantityError as error:
        raise DeskError(str(error)) from error
    found = corrected(one, folder.live, value, today)
    told = [
        f"For {valued(value, kind)} let {one.tool.name} show {valued(found.shown, kind)}: that "
        f"comes to {valued(found.true, kind)} ± {valued(found.expanded, kind)}."
    ]
    told += [f"But: {words}." for words in (found.note, one.words if one.out else "") if words]
    return (*told, CAUTION)


def verdict_words(tool: Tool, result: Judged) -> tuple[str, ...]:
    """A verdict in one sentence, or that there is none; then what stands in its way, and notes."""
    more = tuple(f"- {words}" for words in (*result.refused, *result.notes))
    if result.verdict is None:
        return (f"{tool.name}: no verdict", *more)
    worst = result.worst
    decision = worst.decision if worst is not None else None
    turns = result.hysteresis
    if decision is not None and decision.verdict is result.verdict:
        words = decision.words
    elif turns is not None:
        words = f"its hysteresis: {turns.words}"
    else:
        words = result.verdict.value
    return (f"{tool.name}: {words}", *more)
