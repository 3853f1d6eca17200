"""Plan: searching with live progress, stopping, few moves, the curve, adopting, leaving."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from clikit import write_kit_files
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from look import screen_text, until
from planned import LONG, each_size, planned, ring, shows, text, told
from textual.pilot import Pilot

from toolbox.desk.diary import When, pick_tools
from toolbox.desk.figures import seconds
from toolbox.desk.folder import KitFolder, open_kit
from toolbox.desk.moves import Curve, Evening
from toolbox.desk.plan_words import MoveLine
from toolbox.desk.plans import Found, current_plan, find_plan, has_plan, make_plan, saved_plan
from toolbox.desk.rebuild import rebuild_list, tick
from toolbox.layout.problem import Answer, Outcome
from toolbox.layout.solve import Effort
from toolbox.layout.watch import Stop, StopSwitch, Watcher
from toolbox.tui.app import ToolboxApp
from toolbox.tui.menu import Menu
from toolbox.tui.screens import plan, plan_search
from toolbox.tui.screens.plan import LOOK_SECONDS
from toolbox.tui.screens.plan_parts import EVENINGS, MOVES, MoveSource
from toolbox.tui.text import clean
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.rows import Rows

DAY = date(2026, 11, 20)
AT = datetime(2026, 11, 19, 10, 0, tzinfo=UTC)
WHEN = When(AT, AT, "Tester")


async def to_plan(pilot: Pilot[Any]) -> None:
    """Go to Plan and wait until it has looked at the plan."""
    await pilot.press("f6")
    await until(pilot, lambda: "Working out what" not in text(pilot), "the plan judged", LONG)


def cost(micros: int) -> Answer:
    """A layout heard of, with this cost (microseconds a day)."""
    return Answer(Outcome.GOOD, (), micros, None, "")


class Runner:
    """In the place of the search: it tells what the test says, and ends when told or stopped."""

    def __init__(self) -> None:
        self.now = 0.0
        self.begun, self.end = threading.Event(), threading.Event()
        self.watcher = Watcher()
        self.asked: dict[str, Any] = {}

    def find(
        self, folder: KitFolder, today: date, *, watcher: Watcher, stop: Stop, **asked: Any
    ) -> Found:
        """The search itself; what it finds in the end is what a quick search finds."""
        self.watcher, self.asked = watcher, asked
        self.begun.set()
        while not stop() and not self.end.is_set():
            self.end.wait(0.02)
        return find_plan(folder, today, effort=Effort.QUICK)


@pytest.fixture
def runner(monkeypatch: pytest.MonkeyPatch) -> Iterator[Runner]:
    """A search and a clock in the hands of the test."""
    one = Runner()
    monkeypatch.setattr(plan_search, "find_plan", one.find)
    monkeypatch.setattr(plan_search, "monotonic", lambda: one.now)
    monkeypatch.setattr(plan, "LOOK_SECONDS", 0.05)
    yield one
    one.end.set()


async def test_a_plan_by_keyboard_alone(small: Path, opened) -> None:
    """F6, effort quick, p: the plan is saved, and what it saves stands there with its proof."""
    async with opened(small) as pilot:
        await to_plan(pilot)
        assert "No plan of the box was made yet." in text(pilot)
        assert "p plans (normal effort; e changes it)." in text(pilot)
        await pilot.press("e")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu")
        await pilot.press("q")
        await shows(pilot, "p plans (quick effort; e changes it).")
        await pilot.press("p")
        await told(pilot, "Plan saved: ")
        made = saved_plan(open_kit(small), DAY)
        versus = made.comparison
        assert versus is not None
        await shows(pilot, f"The plan saves {seconds(versus.present - versus.planned)} a day")
        plain = seconds(versus.plain_present - versus.plain_planned)
        for words in (
            "Proved: no layout that keeps your rules costs less.",
            f"on the plain stopwatch, urgent or not, it saves {plain} a day",
            f"It moves {len(versus.moves)} things.",
            "the best there can be",
        ):
            await shows(pilot, words)
        # The list names what moves, from where and to where.
        rows = pilot.app.place.query_one("#moves", Rows)
        await until(pilot, lambda: len(rows.source) == len(versus.moves), "the moves")
        assert rows.cursor_key in {move.copy for move in versus.moves}
        await pilot.press("y")
        await told(pilot, "Sent to the terminal: the marked line")
        assert pilot.app.clipboard.startswith("thing: ")


async def test_another_plan_half_way_through_a_rebuild_is_asked_about(
    small: Path, opened, runner: Runner
) -> None:
    """No (or Escape) leaves the rebuild; yes searches. Adopting says how far it stands too."""
    tick(open_kit(ring(small)))
    kept = current_plan(open_kit(small))
    async with opened(small) as pilot:
        await to_plan(pilot)
        for answer in ("n", "escape", "p"):
            await pilot.press("p")
            await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
            assert "The rebuild stands at 1 of 4 steps. Search for another plan?" in text(pilot)
            assert "goes on from the box as it lies today" in text(pilot)
            await pilot.press(answer)
        await pilot.press("escape", "m", "1", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
        await pilot.press("n", "a")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the other question")
        assert "The rebuild stands at 1 of 4 steps. Does the box lie as planned" in text(pilot)
        await pilot.press("n")
        assert not runner.begun.is_set()
        assert current_plan(open_kit(small)) == kept
        await pilot.press("p", "y")
        await until(pilot, runner.begun.is_set, "the search", LONG)
        await pilot.press("x")
        await told(pilot, "Plan saved: ")
        # Its rebuild begins with what the first step of the other left behind.
        listed = rebuild_list(open_kit(small))
        assert listed.done == 0


async def test_progress_is_live_and_x_stops(small: Path, opened, runner: Runner) -> None:
    """Seconds, cost, bound and gap follow the search; stopped, the best is saved as the plan."""
    async with opened(small) as pilot:
        await to_plan(pilot)
        await pilot.press("p")
        await until(pilot, runner.begun.is_set, "the search", LONG)
        await shows(pilot, "Searching: 0 s gone, normal effort. Best so far: no layout yet.")
        runner.now = 3.0
        runner.watcher.better_bound(8_000_000)
        runner.watcher.better_layout(cost(10_000_000))
        await shows(pilot, "3 s gone")
        await shows(pilot, "10.0 s a day, at most 25.0 % above the best there can be.")
        runner.now = 12.0
        runner.watcher.better_layout(cost(8_080_000))
        await shows(pilot, "8.1 s a day, at most 1.0 % above the best there can be.")
        await shows(pilot, "Last: cost 8.1 at 12, bound 8.0 at 12")
        chart = screen_text(pilot.app)
        assert "* cost  o bound" in chart
        assert chart.count("┤") == 2
        await pilot.press("p")
        await told(pilot, "A search is under way; x stops it.")
        await pilot.press("x")
        await told(pilot, "Plan saved: ")
        assert has_plan(open_kit(small))
        assert pilot.app.works == []
        await shows(pilot, "Searched 12 s (normal effort)")
        await pilot.press("x")
        await told(pilot, "Nothing is being searched.")
        # v changes to the chart of the search and back.
        await until(pilot, lambda: pilot.app.place.query_one("#moves").display, "the moves")
        await pilot.press("v")
        await until(pilot, lambda: pilot.app.place.query_one("#search").display, "the chart")
        await pilot.press("v")
        await until(pilot, lambda: pilot.app.place.query_one("#moves").display, "the moves")


async def test_a_search_goes_on_elsewhere(small: Path, opened, runner: Runner) -> None:
    """In Ready a notice tells the end; on coming back everything is there."""
    async with opened(small) as pilot:
        await to_plan(pilot)
        await pilot.press("p")
        await until(pilot, runner.begun.is_set, "the search", LONG)
        runner.watcher.better_layout(cost(9_900_000))
        await pilot.press("f2")
        await shows(pilot, "[Ready]")
        runner.now = 7.0
        await to_plan(pilot)
        await shows(pilot, "Searching: 7 s gone, normal effort. Best so far: 9.9 s a day")
        await pilot.press("escape")
        await shows(pilot, "[Ready]")
        runner.end.set()
        await told(pilot, "Plan saved: ")
        assert pilot.app.current_mode == "ready"
        await until(pilot, lambda: pilot.app.picture.plan is not None, "the plan seen", LONG)
        await pilot.press("f6")
        await shows(pilot, "Searched 7 s (normal effort)")
        await shows(pilot, "Proved: no layout that keeps your rules costs less.")


async def test_seconds_by_the_clock_are_asked_for(small: Path, opened, runner: Runner) -> None:
    """e, s: a line for the seconds; wrong ones are refused, Escape leaves the line first."""
    async with opened(small) as pilot:
        await to_plan(pilot)
        for answer in ("0", "45"):
            await pilot.press("e")
            await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu")
            await pilot.press("s")
            await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the line")
            await pilot.press(*answer, "x", "enter")
            if answer == "0":
                await told(pilot, "Give 1 to 3600 seconds.")
                await pilot.press("escape")
                await until(pilot, lambda: isinstance(pilot.app.focused, Rows), "the list")
                assert pilot.app.current_mode == "plan"
        await shows(pilot, "p plans (45 s by the clock; e changes it).")
        await pilot.press("p")
        await until(pilot, runner.begun.is_set, "the search", LONG)
        assert runner.asked["seconds"] == 45.0


async def test_few_moves(small: Path, opened) -> None:
    """m, 1, Enter: a plan in which one thing moves."""
    async with opened(small) as pilot:
        await to_plan(pilot)
        await pilot.press("m")
        await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the line")
        assert "At most how many things may move >" in screen_text(pilot.app)
        await pilot.press("enter", "1", "enter")
        await told(pilot, "Plan saved: ")
        await shows(pilot, "It moves 1 thing.")
        assert "at most 1 thing" in current_plan(open_kit(small)).method
        assert "(normal effort, at most 1 move)" in text(pilot)


async def test_the_curve_and_a_plan_by_one_of_its_rows(small: Path, opened) -> None:
    """c draws what moves would save; Enter on its first row plans with no move at all."""
    async with opened(small) as pilot:
        await to_plan(pilot)
        await pilot.press("c")
        await told(pilot, "The savings curve is there: see it in Plan.")
        assert not has_plan(open_kit(small))
        said = text(pilot)
        assert "things moved" in said
        assert "all (" in said
        assert "100 %" in said
        evenings = pilot.app.place.query_one("#evenings", Rows)
        await until(pilot, lambda: pilot.app.focused is evenings, "the rows of the curve")
        await pilot.press("enter")
        await shows(pilot, "It moves 0 things.")
        await shows(pilot, "Nothing moves: the box lies as planned.")
        # The curve is kept; Escape in it is one step back, to what moves.
        place = pilot.app.place
        while not place.query_one("#curve").display:
            await pilot.press("v")
        await pilot.press("escape")
        await until(pilot, lambda: place.query_one("#moves").display, "the moves")
        assert pilot.app.current_mode == "plan"


async def test_reasons_when_there_is_no_layout(small: Path, opened) -> None:
    """A thing longer than every compartment is named, markup and all; the old plan stays."""
    with (small / "tools.toml").open("a", encoding="utf-8") as tools:
        tools.write(
            '\n[[tool]]\nid = "PU"\nname = "Pump [/track] [red]"\nmass = "900 g"\n'
            'length = "700 mm"\nwidth = "60 mm"\nheight = "60 mm"\n'
        )
    async with opened(small) as pilot:
        await to_plan(pilot)
        await pilot.press("p")
        await told(pilot, "No plan: the reasons are in Plan.")
        await shows(pilot, "Pump [/track] [red] goes into no compartment")
        assert not has_plan(open_kit(small))
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.place.query_one("#moves").display, "the moves")


async def test_adopting_asks_once(small: Path, opened) -> None:
    """n leaves today's layout, y makes it the plan; without a plan there is nothing to adopt."""
    async with opened(small) as pilot:
        await to_plan(pilot)
        await pilot.press("a")
        await told(pilot, "There is no plan to adopt yet.")
        make_plan(open_kit(small), DAY, effort=Effort.QUICK)
        await shows(pilot, "Today's layout: ")
        before = (small / "layouts" / "present.toml").read_bytes()
        for answer in ("n", "y"):
            await pilot.press("a")
            await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
            await shows(pilot, "Yes; the plan replaces what is known of today")
            assert (small / "layouts" / "present.toml").read_bytes() == before
            await pilot.press(answer)
        await told(pilot, "Today's layout is now the plan: 3 things in their places.")
        await shows(pilot, "Nothing moves: the box lies as planned.")
        kit = open_kit(small).kit
        assert kit.present is not None
        assert kit.present.places() == current_plan(open_kit(small)).layout.places()


async def test_a_plan_older_than_the_log_says_so(small: Path, opened) -> None:
    """After an entry of another window the plan is OLD, and its proof is not shown."""
    make_plan(open_kit(small), DAY, effort=Effort.QUICK)
    async with opened(small) as pilot:
        await to_plan(pilot)
        assert "OLD" not in text(pilot)
        pick_tools(open_kit(small), ["CT"], WHEN)
        await shows(pilot, "OLD: The kit, the journal or the day has changed")
        assert "How far from the best it can be is not known." in text(pilot)


async def test_kits_that_cannot_be_planned(small: Path, tmp_path: Path, opened) -> None:
    """Faults point to Ready; an empty kit and one of which today is not known say what to do."""
    (small / "layouts" / "present.toml").unlink()
    async with opened(small) as pilot:
        await to_plan(pilot)
        await pilot.press("c")
        await shows(pilot, "nobody has said how the box lies today")
        (small / "tools.toml").write_text("[[tool]]\n", encoding="utf-8")
        await shows(pilot, "The kit has faults: mend them first.")
        await pilot.press("p")
        await told(pilot, "mend them first, Ready names them")
    empty = write_kit_files(tmp_path / "empty")
    for name in ("tools", "supplies", "jobs", "layouts/present"):
        (empty / f"{name}.toml").unlink()
    async with opened(empty) as pilot:
        await to_plan(pilot)
        assert "No tool travels in the box yet" in text(pilot)
        await pilot.press("p")
        await shows(pilot, "toolbox import FILE.csv")


async def test_faults_of_today_are_counted(small: Path, opened) -> None:
    """Where today's layout breaks rules the first is told, and how many more there are."""
    (small / "rules.toml").write_text(
        "".join(
            f'[[rule]]\nname = "{n}"\nask = "apart"\nitems = ["K4", "K5"]\n' for n in ("a", "b")
        ),
        encoding="utf-8",
    )
    make_plan(open_kit(small), DAY, effort=Effort.QUICK)
    versus = saved_plan(open_kit(small), DAY).comparison
    assert versus is not None
    assert versus.present_faults
    async with opened(small) as pilot:
        await to_plan(pilot)
        await shows(pilot, f"Today's layout does not hold: {versus.present_faults[0]}")


async def test_quitting_ends_a_long_search(demo: Path, opened) -> None:
    """A search for ten minutes, q: it ends with less than a second of work, exit code 0.

    Processor time is counted, because other programs may hold this one up. What was
    found by then is saved whole, like on a stop.
    """
    # Loaded before: what loading takes is not what leaving takes.
    pytest.importorskip("ortools.sat.python.cp_model")
    async with opened(demo) as pilot:
        await to_plan(pilot)
        await pilot.press("e")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu")
        await pilot.press("s")
        await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the line")
        await pilot.press(*"600", "enter", "p")
        search = pilot.app.place.search
        await until(pilot, lambda: search.solving.heard.cost is not None, "a layout", LONG)
        assert search.thread.is_alive()
        thrown: list[float] = []

        def throw() -> None:
            thrown.append(time.process_time())
            StopSwitch.throw(search.stop)

        search.stop.throw = throw
        await pilot.press("q")
    search.thread.join(LONG)
    assert time.process_time() - thrown[0] < 1.0
    assert not search.thread.is_alive()
    assert pilot.app.return_code == 0
    assert current_plan(open_kit(demo)).cost == search.solving.heard.cost


@pytest.mark.parametrize("size", [(80, 24), (200, 60)])
async def test_little_is_sent_while_it_searches(
    small: Path, opened, runner: Runner, size: tuple[int, int]
) -> None:
    """With news at every look less than 2 kB a second go out."""
    async with opened(small, size) as pilot:
        await to_plan(pilot)
        await pilot.press("p")
        await until(pilot, runner.begun.is_set, "the search", LONG)
        await shows(pilot, "Searching")
        place = pilot.app.place
        place._clock.pause()
        sent: list[str] = []
        looks = 12
        with pytest.MonkeyPatch.context() as patch:
            # A headless app sends nothing.
            patch.setattr(ToolboxApp, "is_headless", False)
            patch.setattr(pilot.app._driver, "write", sent.append)
            for n in range(looks):
                runner.now = n * LOOK_SECONDS
                runner.watcher.better_bound(8_000_000 + n)
                runner.watcher.better_layout(cost(10_000_000 - n * 10_000))
                place._tell()
                await pilot.pause()
        a_second = sum(len(piece.encode()) for piece in sent) / (looks * LOOK_SECONDS)
        assert 0 < a_second < 2000


CURVE = Curve(
    4_000_000,
    (
        Evening(0, 0, 4_000_000, 4_000_000, 0, 0.0, 0.0),
        Evening(5, 5, 3_000_000, 2_900_000, 1_000_000, 0.5, 0.0345),
        Evening(10, 9, 2_500_000, 2_400_000, 1_500_000, 0.75, 0.0417),
        Evening(20, 20, 2_250_000, 2_100_000, 1_750_000, 0.875, 0.0715),
        Evening(40, 33, 2_100_000, 2_000_000, 1_900_000, 0.95, 0.05),
        Evening(None, 61, 2_000_000, 1_980_000, 2_000_000, 1.0, 0.0102),
    ),
    Evening(10, 9, 2_500_000, 2_400_000, 1_500_000, 0.75, 0.0417),
)


async def test_plan_as_it_looks(
    demo: Path, opened, runner: Runner, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What moves, a search under way, and the curve, at every size."""
    monkeypatch.setattr(plan_search, "savings_curve", lambda *_, **__: CURVE)
    async with opened(planned(demo)) as pilot:
        await to_plan(pilot)
        await shows(pilot, "It moves")
        await each_size(pilot, "plan")
        await pilot.press("c")
        await shows(pilot, "9 moves give 75 % of the gain")
        await until(pilot, lambda: "savings curve is there" not in text(pilot), "no notice", LONG)
        await each_size(pilot, "plan-curve")
        await pilot.press("p")
        await until(pilot, runner.begun.is_set, "the search", LONG)
        pilot.app.place._clock.pause()
        for n, (found, bound) in enumerate(((9, 4), (7, 5), (6, 5.8))):
            runner.now = 4.0 * n
            runner.watcher.better_bound(int(bound * 10**6))
            runner.watcher.better_layout(cost(found * 10**6))
        pilot.app.place._looks = 0
        pilot.app.place._tell()
        await shows(pilot, "at most 3.5 % above")
        await each_size(pilot, "plan-search")


async def test_plan_by_mouse(small: Path, opened, monkeypatch: pytest.MonkeyPatch) -> None:
    """A click on the tab, on a row of what moves, and twice on a row of the curve."""
    monkeypatch.setattr(plan_search, "savings_curve", lambda *_, **__: CURVE)
    make_plan(open_kit(small), DAY, effort=Effort.QUICK)
    async with opened(small) as pilot:
        at = screen_text(pilot.app).splitlines()[1].index(" Plan ")
        await pilot.click("TopLine", offset=(at + 2, 1))
        moves = pilot.app.place.query_one("#moves", Rows)
        await until(pilot, lambda: len(moves.source) > 1, "the moves", LONG)
        await pilot.click(moves, offset=(6, 2))
        assert moves.cursor_row == 1
        await pilot.press("c")
        await shows(pilot, "9 moves give 75 % of the gain")
        evenings = pilot.app.place.query_one("#evenings", Rows)
        for _ in range(2):
            await pilot.click(evenings, offset=(6, 1))
        await told(pilot, "Plan saved: ")
        await shows(pilot, "It moves 0 things.")


NAMES = st.lists(
    st.one_of(st.text(max_size=40), st.text("[]/\\~>漢של\u0301\u202e\u200d\x1b\t\n", max_size=300)),
    min_size=3,
    max_size=12,
)


async def test_any_name_may_move(small: Path, opened) -> None:
    """Whatever things and compartments are called: a row each, as wide as the list."""
    async with opened(small) as pilot:
        await to_plan(pilot)
        moves = pilot.app.place.query_one("#moves", Rows)

        @settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
        @given(NAMES)
        def shown(names: list[str]) -> None:
            lines = [MoveLine(str(n), name, names[0], names[-1]) for n, name in enumerate(names)]
            moves.refill(MoveSource(lines))
            width = moves.scrollable_content_region.width
            for y in range(len(names) + 1):
                assert moves.render_line(y).cell_length == width
            assert [clean(name) for name in names] == [
                moves.source.cells(n)[0].plain for n in range(len(names))
            ]

        shown()


def test_columns_fit_the_narrowest_window() -> None:
    """60 columns show all that a move says, and at least limit, saving and share of an evening."""
    assert sum(column.needs + 2 for column in MOVES) <= 56
    always = [column for column in EVENINGS if not column.priority]
    assert [column.title for column in always] == ["moves", "saved a day", "share"]
    assert sum(column.needs + 2 for column in always) <= 56
