"""How long the ranking takes to open on a large kit beside a small one.

Both are made up on the spot: so many tools in one box, each used now and then, so many
facts in the journal. The time is taken inside the app, from asking for the place until
its list was drawn with every tool in it; loading the screens' code happens once before.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import NamedTuple
from unittest.mock import patch

from rich.text import Text
from textual.geometry import Region
from textual.strip import Strip

from toolbox.files.forms import new_kit
from toolbox.journal.store import open_journal
from toolbox.kit.facts import LoosePick, StepDone, What
from toolbox.kit.work import Pick
from toolbox.tui.app import ToolboxApp
from toolbox.tui.screens.uses_list import Ranking
from toolbox.tui.widgets.rows import Rows

DAY = date(2026, 11, 20)
FEW, MANY, FACTS = 20, 2000, 100_000
MOST_MS = 150  # how much longer the large one may take
JOBS = 30
DAYS = 60
TOOL = """
[[tool]]
id = "T{n}"
name = "spanner no. {n} for bolts of the {n}. kind"
mass = "{grams} g"
length = "120 mm"
width = "20 mm"
height = "8 mm"
"""


class Opened(NamedTuple):
    """Milliseconds until the list was drawn, rows in it, rows asked for until then.

    ``worked`` are the milliseconds of these in which the screens' thread had the
    processor: a busy machine does not make them more.
    """

    milliseconds: float
    worked: float
    rows: int
    asked: int


class _Seen:
    """What the list drew, for the measurement."""

    def __init__(self, rows: int) -> None:
        self.rows = rows
        self.asked: set[int] = set()
        self.drawn_at = 0.0
        self.worked_at = 0.0


def made_up_kit(path: Path, tools: int, facts: int) -> Path:
    """A kit with so many tools, all placed, and so many facts over ``DAYS`` days."""
    new_kit(path, "clamshell", f"{tools} tools")
    listed = "".join(TOOL.format(n=n, grams=20 + n % 80) for n in range(tools))
    (path / "tools.toml").write_text(listed, encoding="utf-8")
    jobs = "".join(
        f'\n[[job]]\nid = "J{j}"\nname = "job {j}"\n\n[[job.step]]\ntext = "do it"\n'
        f"tools = {[f'T{n}' for n in _tools_of(j, tools)]!r}\n"
        for j in range(JOBS)
    )
    (path / "jobs.toml").write_text(jobs.replace("'", '"'), encoding="utf-8")
    _place(path, tools)
    with open_journal(path / "journal.db") as journal, journal.together():
        for day in range(DAYS):
            at = datetime(DAY.year, DAY.month, DAY.day, 9, tzinfo=UTC) - timedelta(days=day)
            whats = list(_facts_of(day, tools, facts // DAYS + (day < facts % DAYS)))
            if whats:
                journal.add(whats, at=at, author="bench", written=at)
    return path


def _place(path: Path, tools: int) -> None:
    from toolbox.desk.folder import open_kit

    places = [c.id for c in open_kit(path).kit.box.compartments]
    spots = "".join(
        f'\n[[spot]]\nitem = "T{n}"\ncompartment = "{places[n % len(places)]}"\n'
        for n in range(tools)
    )
    layout = path / "layouts" / "present.toml"
    layout.parent.mkdir(exist_ok=True)
    layout.write_text('name = "present"\n' + spots, encoding="utf-8")


def _tools_of(job: int, tools: int) -> range:
    return range(job % tools, min(tools, job % tools + 8))


def _facts_of(day: int, tools: int, number: int) -> Iterator[What]:
    for n in range(number):
        if n % 3:
            yield LoosePick(f"T{(day * 31 + n * n) % tools}")
        else:
            job = (day + n) % JOBS
            picks = tuple(Pick(f"T{t}") for t in _tools_of(job, tools))
            yield StepDone(f"{day}-{n}", f"J{job}", 1, picks)


async def opening(kit: Path, tools: int) -> Opened:
    """Open the app on the kit, then the place Uses, and take the time of the latter."""
    seen = _Seen(tools)
    app = ToolboxApp(kit, now=lambda: datetime.now(UTC), author="bench", today=DAY)
    async with app.run_test(size=(80, 24)) as pilot:
        while app.picture is None:
            await asyncio.sleep(0.01)
        await pilot.pause()
        with _watched(seen):
            begun, worked = time.perf_counter(), time.thread_time()
            app.action_go("uses")
            while not seen.drawn_at:
                await asyncio.sleep(0.001)
        took, work = seen.drawn_at - begun, seen.worked_at - worked
        return Opened(1000 * took, 1000 * work, tools, len(seen.asked))


@contextmanager
def _watched(seen: _Seen) -> Iterator[None]:
    """While it lasts, the list says what is asked of it and when it was drawn in full."""
    cells, lines = Ranking.cells, Rows.render_lines

    def asking(source: Ranking, i: int) -> tuple[Text, ...]:
        seen.asked.add(i)
        return cells(source, i)

    def drawing(rows: Rows, crop: Region) -> list[Strip]:
        drawn = lines(rows, crop)
        if len(rows.source) == seen.rows and seen.asked and not seen.drawn_at:
            seen.drawn_at, seen.worked_at = time.perf_counter(), time.thread_time()
        return drawn

    with patch.object(Ranking, "cells", asking), patch.object(Rows, "render_lines", drawing):
        yield


def opened_lists(scratch: Path, rounds: int) -> tuple[Opened, Opened]:
    """The small and the large kit opened in turn; the median of each by time."""
    kits = {
        FEW: made_up_kit(scratch / "few", FEW, FEW * 10),
        MANY: made_up_kit(scratch / "many", MANY, FACTS),
    }
    found: dict[int, list[Opened]] = {tools: [] for tools in kits}
    for number in range(rounds + 1):
        for tools, kit in kits.items():
            one = asyncio.run(opening(kit, tools))
            if number:  # the first round loads the code
                found[tools].append(one)
    few, many = (sorted(found[tools])[len(found[tools]) // 2] for tools in kits)
    return few, many


def say_lists(few: Opened, many: Opened) -> bool:
    """Print both; False when the large one takes more than ``MOST_MS`` longer."""
    for one in (few, many):
        kind = f"Uses, {one.rows} tools"
        print(
            f"{kind:<18} {one.milliseconds:6.0f} ms, {one.worked:.0f} of them at work, "
            f"{one.asked} rows asked for"
        )
    more, work = many.milliseconds - few.milliseconds, many.worked - few.worked
    print(
        f"{MANY} tools and {FACTS} facts take {more:.0f} ms longer, {work:.0f} of them at work; "
        f"at most {MOST_MS} allowed"
    )
    return more <= MOST_MS
