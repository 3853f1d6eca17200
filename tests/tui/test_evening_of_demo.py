"""The demo's last evening by the keys: all that is wrong is found, mended, and then it is READY.

What the demo holds is written down here by hand; ``tests/cli/test_demo_evening`` counts it.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from look import until
from planned import LONG, shows, text, told
from textual.pilot import Pilot

from toolbox.desk.folder import open_kit
from toolbox.desk.picture import take_picture
from toolbox.desk.plans import plan_path, study
from toolbox.files.layouts import SavedPlan, save_plan
from toolbox.kit.counting import Outcome, Settled
from toolbox.kit.facts import What
from toolbox.kit.stocking import Bought, Opened, Where
from toolbox.tui.menu import Menu
from toolbox.tui.widgets.entry import Entry

DAY = date(2026, 11, 20)
EVENING = datetime(2026, 11, 20, 20, 50, tzinfo=UTC)
BIT = "Bit driver with its 28 bits: 1 of the part bit"


def with_plan(kit: Path) -> Path:
    """The demo with a plan that leaves all where it lies: planning is told of elsewhere."""
    folder = open_kit(kit)
    assert folder.kit.present is not None
    layout = replace(folder.kit.present, name="plan")
    stamp = study(folder, DAY).question.stamp
    save_plan(plan_path(folder), SavedPlan(layout, 9, None, "by hand", stamp))
    return kit


async def asked(pilot: Pilot[Any], words: str) -> None:
    """Wait for a menu that asks this."""
    await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "a menu", LONG)
    await shows(pilot, words)


async def answer(pilot: Pilot[Any], question: str, *keys: str) -> None:
    """Press these keys in the line that asks this, then Enter."""
    await shows(pilot, question)
    await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the line", LONG)
    # Between two Enters another key: the second would else be the first one, held down.
    await pilot.press(*keys, "end", "enter")


async def test_all_is_found_the_close_refused_all_mended_and_ready(demo: Path, opened) -> None:
    """A bit short, an old bottle, a wrench used 5,001 times, sealant that will not last."""
    async with opened(with_plan(demo)) as pilot:
        pilot.app.now = lambda: EVENING
        await shows(pilot, "NOT READY: 7")
        # No further: at the end of the line stands the bar of the list.
        await shows(pilot, f"STOP {BIT} is short since")
        await pilot.press("g", "e")
        await the_bit(pilot)
        await the_supplies(pilot)
        await pilot.press("k")
        await the_wrenches(pilot)
        await pilot.press("f2")
        await until(
            pilot,
            lambda: text(pilot).startswith("Clay Hollow cyclo-cross squad READY"),
            "READY",
            LONG,
        )
    assert take_picture(demo, DAY).ready
    whats = [fact.what for fact in open_kit(demo).live]
    assert [(w.outcome, w.where) for w in whats if isinstance(w, Settled)] == [
        (Outcome.FOUND, "awning")
    ]
    assert of(whats, Bought) == [Bought("S-14", 2000, Where.RESERVE)]
    assert of(whats, Opened) == [Opened("S-01", DAY)]


def of(whats: list[What], kind: type) -> list[What]:
    """Those of a kind."""
    return [what for what in whats if isinstance(what, kind)]


async def the_bit(pilot: Pilot[Any]) -> None:
    """The close is refused, with the reason; once the bit is found the day closes."""
    await shows(pilot, "[Count 18 of 18]")
    await shows(pilot, "1 short; 4 bikes held")
    await pilot.press("d")
    await shows(pilot, f"The day cannot be closed as complete: - {BIT} is short")
    await pilot.press("m")
    await shows(pilot, "last used")
    await pilot.press("enter")
    await asked(pilot, f"What became of it? {BIT}")
    await pilot.press("f")
    await answer(pilot, "Found where (Enter: not said)", *"awning")
    await shows(pilot, "Nothing is missing")
    await pilot.press("d")
    await shows(pilot, "closed as complete (Tester")


async def the_supplies(pilot: Pilot[Any]) -> None:
    """The old bottle is thrown away, a fresh one brought from the van and opened; sealant comes."""
    await pilot.press("r")
    place = pilot.app.place
    await until(pilot, lambda: pilot.app.focused is place.stock.list.rows, "the list", LONG)
    await shows(pilot, "2 L (4 packs) of Tubeless sealant")
    assert place.stock.mark_supply("S-01")
    assert "10 ml of Glycol brake fluid" in place.marked_text()
    await pilot.press("space")
    await shows(pilot, "Restock 1 of")
    assert place.stock.mark_supply("S-01")
    await pilot.press("space")
    await shows(pilot, "Restock 2 of")
    await pilot.press("o")
    await asked(pilot, "Of what was a fresh pack opened")
    await pilot.press("1")
    await shows(pilot, "Glycol brake fluid DOT 5.1: a fresh pack is open")
    await pilot.press("a")
    await asked(pilot, "What came in")
    await pilot.press("1")
    await answer(pilot, "Tubeless sealant: how much came in > 4 packs")
    await until(pilot, lambda: not place.stocks.view.listed.to_buy()[0][0].endswith("leaving"),
                "nothing to buy before leaving", LONG)  # fmt: skip


async def the_wrenches(pilot: Pilot[Any]) -> None:
    """One is out by its uses and is checked here; one by the day, which somebody else checked."""
    await shows(pilot, "2 of 13 out")
    place = pilot.app.place
    await until(pilot, lambda: place.lines and place.rows.has_focus, "the list", LONG)
    assert place.rows.move_to("T-024")
    await shows(pilot, "used 5001 times since its check, at most 5000 allowed")
    await pilot.press("c")
    await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the sheet", LONG)
    for line in ("bench", "0.5 %", "", "", "", "10.1 10 10.1 10.1 10.1",
                 "36.2 36.3 36.2 36.2 36.3", "60.4 60.5 60.4 60.4 60.5"):  # fmt: skip
        pilot.app.focused.value = line
        await pilot.press("enter")
        await pilot.pause()
    await pilot.press("escape")
    await shows(pilot, "pass: inside the limits")
    await pilot.press("enter")
    await told(pilot, "Written: Click torque wrench 10-60 N·m")
    await until(pilot, lambda: place.rows.has_focus, "the list again", LONG)
    assert place.rows.move_to("T-023")
    await pilot.press("e")
    await answer(pilot, "Who checked Click torque wrench 2-15 N·m", *"Cal")
    await asked(pilot, "What Cal found")
    await pilot.press("p")
    await shows(pilot, "none of 13 out")
