"""All that is known of one tool in the ranking: how often, how sure, where, when, what for."""

from __future__ import annotations

from rich.text import Text
from textual.containers import VerticalScroll
from textual.events import Resize
from textual.widgets import Static

from toolbox.desk.history import History, logged_words
from toolbox.desk.maps import way_to
from toolbox.desk.plans import Study
from toolbox.desk.ranked import Ranked, settled_words
from toolbox.tui.screens.uses_list import SURELY, home_words, percent
from toolbox.tui.text import cut, wrapped
from toolbox.usage.settled import Settled

COUNTING = "being counted"
LEAD = 9  # columns for the word before each part
BAR = 10
HIGH = 14  # lines from which days and jobs stand below each other
NOTHING = "No tool is marked."


class Detail(VerticalScroll, can_focus=False):
    """One tool in words; days and jobs with bars where there is room."""

    DEFAULT_CSS = """
    Detail { height: 8; padding: 0 1; border-top: solid $primary; }
    Detail Static { height: auto; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._words = Static("", markup=False)
        self._of: tuple[Study, Ranked, History | None, Settled | None] | None = None

    def compose(self) -> list[Static]:
        """One text."""
        return [self._words]

    def show(
        self, at: Study, row: Ranked | None, history: History | None, sure: Settled | None
    ) -> None:
        """Show this tool; a history or a judgement that is None is being worked out."""
        before = self._of[1].item if self._of is not None else None
        self._of = None if row is None else (at, row, history, sure)
        self._write()
        if row is None or row.item != before:
            self.scroll_home(animate=False)

    def on_resize(self, event: Resize) -> None:
        """Higher or lower: days and jobs below or beside each other."""
        self._write()

    def _write(self) -> None:
        width = self.scrollable_content_region.width
        if not width:
            return  # not laid out yet: the resize that is coming writes it
        if self._of is None:
            self._words.update(Text(NOTHING))
            return
        short = self.size.height < HIGH
        # A column stays free for the scroll bar, whether it is there or not.
        bar = 0 if self.show_vertical_scrollbar or short else 1
        self._words.update(detail_text(*self._of, width=width - bar, short=short))

    @property
    def whole_text(self) -> str:
        """All that is known, for copying."""
        return "" if self._of is None else detail_text(*self._of, width=10_000, short=False).plain


def detail_text(
    at: Study,
    row: Ranked,
    history: History | None,
    sure: Settled | None,
    *,
    width: int,
    short: bool,
) -> Text:
    """All of it in lines of ``width`` columns; when ``short`` each part is cut to one line."""
    lines = [
        ("Rank", f"{row.rank} of {len(at.usage.tools)}, class {row.use.grade}"),
        ("Uses", _uses_words(row)),
        ("Settled", COUNTING if sure is None else settled_words(at.kit, sure, row.item)),
        ("Lives in", _place_words(at, row)),
        ("Logged", COUNTING if history is None else logged_words(history, at.usage.days)),
    ]
    title = Text(f"{row.name}  [{row.item}]")
    if short:
        title.append(f"   no. {lines.pop(0)[1]}")
        if history is not None and history.times:
            lines += [("Days", _days_line(history)), ("Jobs", _jobs_line(history))]
    text = _part(title, width, short)
    text.stylize("bold")
    for head, words in lines:
        text.append(f"\n{head:<{LEAD}}", "bold")
        text.append_text(_part(words, width - LEAD, short, "\n" + " " * LEAD))
    if history is not None and history.times and not short:
        text.append_text(_days_and_jobs(history, width))
    return text


def _part(words: str | Text, width: int, short: bool, join: str = "\n") -> Text:
    lines = [cut(words, width)] if short else wrapped(words, width)
    return Text(join, "not bold", end="").join(lines)


def _uses_words(row: Ranked) -> str:
    use = row.use
    return (
        f"{use.per_day:.2f} a day, 90 % sure {use.low:.1f} to {use.high:.1f}; "
        f"{percent(row.share) or 'hardly any'} of all, "
        f"{percent(use.urgent_share) or 'none'} urgent"
    )


def _place_words(at: Study, row: Ranked) -> str:
    if row.home is None:
        return home_words(row)
    way = "".join(f"; {step}" for step in way_to(at.kit, row.home))
    hand = at.times.in_hand(row.item, row.home.id) / 1000
    cost = "" if row.cost is None else f", costs {row.cost / 1e6:.2f} s a day"
    return f"{row.home.name}: {hand:.1f} s to the hand{cost}{way}"


def _days_line(history: History) -> str:
    return ", ".join(f"{day:%m-%d} {times}" for day, times in history.days[:8])


def _jobs_line(history: History) -> str:
    return ", ".join(f"{taken.work} {taken.times}" for taken in history.works[:6])


def _days_and_jobs(history: History, width: int) -> Text:
    text = Text(end="").append("\n\nTaken up for", "bold")
    most = max(taken.times for taken in history.works)
    for taken in history.works:
        text.append(f"\n{_bar(taken.times, most)} {taken.times:>4}  ", "not bold")
        text.append_text(_part(taken.work, width - BAR - 7, False, "\n" + " " * (BAR + 7)))
    text.append("\n\nDay by day, newest first", "bold")
    most = max(times for _, times in history.days)
    for day, times in history.days:
        text.append(f"\n{_bar(times, most)} {times:>4}  {day}", "not bold")
    return text


def _bar(times: int, most: int) -> str:
    return f"{SURELY * max(1, round(BAR * times / most)):<{BAR}}"
