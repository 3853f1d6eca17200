"""Ready: what it finds in a kit, and how the screen shows it."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from look import same_picture, screen_text, until
from textual.widgets import OptionList

from toolbox.desk.diary import When, pick_tools, spend_supply, take_back
from toolbox.desk.folder import open_kit
from toolbox.desk.picture import Picture, take_picture
from toolbox.desk.plans import adopt_plan, make_plan
from toolbox.desk.readiness import RULES, Finding, Seriousness, is_ready
from toolbox.desk.rebuild import rebuild_list, tick
from toolbox.desk.setup import place_tools
from toolbox.files.forms import new_kit
from toolbox.files.layouts import SavedPlan, save_plan
from toolbox.kit.layouts import Layout, Spot
from toolbox.layout.solve import Effort

DAY = date(2026, 11, 20)
AT = datetime(2026, 11, 19, 10, 0, tzinfo=UTC)
WHEN = When(AT, AT, "Tester")


def words(picture: Picture) -> str:
    """All findings of a picture as lines."""
    return "\n".join(f"{f.seriousness.value} {f.words}" for f in picture.findings)


def add(file: Path, text: str) -> None:
    """Put a text at the end of a kit file."""
    file.write_text(file.read_text(encoding="utf-8") + text, encoding="utf-8")


def test_a_kit_with_everything_in_order_is_ready(small: Path) -> None:
    """Everything has its place, the plan is fresh, nothing is due: READY, nothing found."""
    folder = open_kit(small)
    make_plan(folder, DAY, effort=Effort.QUICK)
    adopt_plan(folder)
    picture = take_picture(small, DAY)
    assert picture.findings == ()
    assert picture.ready


def test_a_plan_older_than_the_log_is_found(small: Path) -> None:
    """A logged use changes the question the plan answers; undoing the entry mends it. The box
    is ready all the same: it lies as it lay."""
    folder = open_kit(small)
    make_plan(folder, DAY, effort=Effort.QUICK)
    adopt_plan(folder)
    pick_tools(open_kit(small), ["CT"], WHEN)
    older = take_picture(small, DAY)
    assert words(older) == "NOTE the plan is older than the kit or the log: plan again"
    assert older.ready
    take_back(open_kit(small), None, WHEN)
    assert take_picture(small, DAY).ready


def test_a_kit_without_plan_or_tools(small: Path, tmp_path: Path) -> None:
    """No plan is said; in a kit where nothing travels the list of tools is asked for instead."""
    assert "no plan of the box was made yet" in words(take_picture(small, DAY))
    new_kit(tmp_path / "new", "clamshell", "New")
    (finding,) = take_picture(tmp_path / "new", DAY).findings
    assert finding.words == "no tool travels in the box yet"
    assert finding.command.startswith("toolbox import")


def test_faults_of_the_files_stop_everything(small: Path) -> None:
    """Every fault of every file is a STOP; the rest is not guessed at."""
    add(small / "tools.toml", '\n[[tool]]\nid = "X"\nname = "X"\nmass = "heavy"\n')
    add(small / "jobs.toml", "\n[[job]]\nid = 3\n")
    picture = take_picture(small, DAY)
    assert picture.folder is None
    assert picture.name == "small"
    assert {f.seriousness for f in picture.findings} == {Seriousness.STOP}
    assert "tools.toml" in words(picture)
    assert "jobs.toml" in words(picture)


def test_a_kit_or_journal_that_is_gone_or_foreign(small: Path) -> None:
    """Never an error: what is wrong with the folder or the journal is a finding."""
    (small / "journal.db").write_bytes(b"not a database at all, by any means" * 40)
    assert "no journal" in words(take_picture(small, DAY))
    shutil.rmtree(small)
    assert "no kit.toml" in words(take_picture(small, DAY))


def test_things_without_a_place_and_broken_rules(small: Path) -> None:
    """What travels without a place is named; so is a rule that today's layout breaks."""
    text = (small / "layouts" / "present.toml").read_text(encoding="utf-8")
    cut = text.index('[[spot]]\nitem = "CT"')
    (small / "layouts" / "present.toml").write_text(text[:cut], encoding="utf-8")
    assert "Chain tool travels but has no place in today's layout" in words(
        take_picture(small, DAY)
    )
    (small / "rules.toml").write_text(
        '[[rule]]\nname = "apart"\nask = "apart"\nitems = ["K4", "K5"]\n', encoding="utf-8"
    )
    assert "Hex key 4 mm and Hex key 5 mm lie together in Well" in words(take_picture(small, DAY))


def test_a_rebuild_half_done(small: Path) -> None:
    """One tick begins the rebuild; it is a finding until the last one."""
    spots = (Spot("CT", "loops", 0), Spot("K4", "tray", 0, 0), Spot("K5", "well"))
    save_plan(small / "layouts" / "plan.toml", SavedPlan(Layout("plan", spots), 9, None, "", "x"))
    assert "rebuild" not in words(take_picture(small, DAY))
    steps = len(rebuild_list(open_kit(small)).steps)
    assert steps > 1
    tick(open_kit(small))
    assert f"the rebuild stands at 1 of {steps} steps" in words(take_picture(small, DAY))
    adopt_plan(open_kit(small))
    assert "rebuild" not in words(take_picture(small, DAY))


AGED = """best_before = 2026-11-19
opened = 2026-01-31
opened_life_months = 9
"""


@pytest.mark.parametrize(
    ("day", "found"),
    [
        # Counted on a calendar: nine months after 31 January is 31 October; both days
        # named still count as good.
        (date(2026, 10, 31), []),
        (date(2026, 11, 1), ["good until 2026-10-31"]),
        (date(2026, 11, 19), ["good until 2026-10-31"]),
        (date(2026, 11, 20), ["best before 2026-11-19", "good until 2026-10-31"]),
    ],
)
def test_supplies_past_their_dates(small: Path, day: date, found: list[str]) -> None:
    """The printed date and the life once opened each end on their own day."""
    add(small / "supplies.toml", AGED)
    said = [f.words for f in take_picture(small, day).findings if "Chain lube" in f.words]
    assert [any(part in line for line in said) for part in found] == [True] * len(found)
    assert len(said) == len(found)


def test_supplies_under_par_by_the_list_and_the_log(small: Path) -> None:
    """Stock less what was logged against par; without a par nothing is said."""
    assert "Chain lube" not in words(take_picture(small, DAY))
    add(small / "supplies.toml", 'par = "95 ml"\n')
    assert "Chain lube" not in words(take_picture(small, DAY))
    spend_supply(open_kit(small), "OIL", "6 ml", WHEN)
    # 100 - 6 = 94
    assert "about 94 ml left (100 ml on the list less 6 ml logged), level to keep 95 ml" in words(
        take_picture(small, DAY)
    )
    # Seen from the day before, it was not used yet.
    assert "Chain lube" not in words(take_picture(small, date(2026, 11, 18)))
    spend_supply(open_kit(small), "OIL", "100 ml", WHEN)
    assert "none left, 106 ml logged and 100 ml on the list" in words(take_picture(small, DAY))


INSTRUMENT = """
[[tool]]
id = "TW"
name = "Torque wrench"
mass = "600 g"
length = "200 mm"
width = "40 mm"
height = "40 mm"

[tool.instrument]
last_check = 2026-05-20
every_months = 6
every_uses = 100
uses_since_check = 98
"""


def test_instruments_out_of_check_by_day_and_by_uses(small: Path) -> None:
    """Due after the day six months on, or once list and log together pass the uses allowed."""
    add(small / "tools.toml", INSTRUMENT)
    assert "STOP Torque wrench" not in words(take_picture(small, date(2026, 11, 20)))
    due = words(take_picture(small, date(2026, 11, 21)))
    assert "STOP Torque wrench: check was due 2026-11-20" in due
    pick_tools(open_kit(small), ["TW", "TW"], WHEN)
    assert "STOP Torque wrench" not in words(take_picture(small, DAY))
    pick_tools(open_kit(small), ["TW"], WHEN)
    assert "Torque wrench: used 101 times since its check" in words(take_picture(small, DAY))


def test_a_box_over_its_own_limit(small: Path) -> None:
    """Tare 2 kg and what has a place (25 + 42 + 150 g) against the mechanic's limit."""
    box = small / "box.toml"
    text = box.read_text(encoding="utf-8")
    box.write_text(text.replace('tare = "2 kg"', 'tare = "2 kg"\nlimit = "2217 g"'), "utf-8")
    assert "weighs" not in words(take_picture(small, DAY))
    box.write_text(text.replace('tare = "2 kg"', 'tare = "2 kg"\nlimit = "2216 g"'), "utf-8")
    said = "STOP Test box weighs 2217 g with all that belongs in it, 1 g more"
    assert said in words(take_picture(small, DAY))


def test_most_serious_first_and_notes_leave_it_ready(demo: Path) -> None:
    """STOP before MEND before NOTE; a NOTE alone does not make a box unready."""
    found = take_picture(demo, DAY).findings
    order = [list(Seriousness).index(f.seriousness) for f in found]
    assert order == sorted(order)
    assert len({f.seriousness for f in found}) > 1
    note = Finding(Seriousness.NOTE, "x", "kit", "toolbox check")
    assert is_ready([note])
    assert not is_ready([note, replace(note, seriousness=Seriousness.MEND)])
    assert len(RULES) == len(set(RULES))


def test_a_picture_taken_again_reads_only_what_changed(
    small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing changed: the same picture. A new entry: the kit's files are not read again."""
    first = take_picture(small, DAY)
    assert take_picture(small, DAY, first) is first
    place_tools(open_kit(small), ["K4"], "tray")
    second = take_picture(small, DAY, first)
    assert second.folder is not None
    assert second.present is not None
    assert second.present.places()["K4"] == "tray"
    pick_tools(second.folder, ["K4"], WHEN)
    monkeypatch.setattr("toolbox.desk.picture.open_kit", lambda path: pytest.fail("read again"))
    third = take_picture(small, DAY, second)
    assert third.folder is not None
    assert third.folder.kit is second.folder.kit
    assert len(third.folder.facts) == 1
    assert third.folder.facts == open_kit(small).facts


def test_a_picture_taken_again_equals_one_taken_anew(small: Path) -> None:
    """Whatever changed since: where things lie, the log, a mass, the day."""
    spots = (Spot("CT", "well"), Spot("K4", "tray", 0, 0), Spot("K5", "loops", 0))
    save_plan(small / "layouts" / "plan.toml", SavedPlan(Layout("plan", spots), 9, None, "", "x"))
    heavier = (small / "tools.toml").read_text(encoding="utf-8").replace('"42 g"', '"900 g"')
    changes = (
        lambda: tick(open_kit(small)),
        lambda: pick_tools(open_kit(small), ["K4"], WHEN),
        lambda: (small / "tools.toml").write_text(heavier, encoding="utf-8"),
        lambda: tick(open_kit(small)),
    )
    picture = take_picture(small, DAY)
    for change in changes:
        change()
        before, picture = picture, take_picture(small, DAY, picture)
        assert picture != before
        assert picture == take_picture(small, DAY)
    later = date(2026, 12, 20)
    assert take_picture(small, later, picture) == take_picture(small, later)


def test_a_journal_put_in_the_place_of_another_is_read_whole(small: Path) -> None:
    """Facts known from one file are not joined to those of another."""
    pick_tools(open_kit(small), ["K4"], WHEN)
    first = take_picture(small, DAY)
    (small / "journal.db").unlink()
    for tool in ("K5", "CT"):
        pick_tools(open_kit(small), [tool], WHEN)
    again = take_picture(small, DAY, first)
    assert again.folder is not None
    assert again.folder.facts == open_kit(small).facts
    assert len(again.folder.facts) == 2


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 60)])
async def test_ready_as_it_looks(demo_once: Path, opened, size: tuple[int, int]) -> None:
    """The demo's readiness at each size, the same in every theme and without colour."""
    async with opened(demo_once, size) as pilot:
        await until(pilot, lambda: "STOP  Bit driver" in screen_text(pilot.app), "findings")
        await pilot.pause()
        same_picture(f"ready-{size[0]}x{size[1]}", screen_text(pilot.app))
        for theme in ("light", "sun", "dark"):
            pilot.app.theme = theme
            await pilot.pause()
            same_picture(f"ready-{size[0]}x{size[1]}", screen_text(pilot.app))


async def test_ready_without_colour(demo_once: Path, opened, monkeypatch) -> None:
    """Under NO_COLOR the words are the same."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(demo_once) as pilot:
        await until(pilot, lambda: "STOP  Bit driver" in screen_text(pilot.app), "findings")
        await pilot.pause()
        assert pilot.app.no_color
        same_picture("ready-80x24", screen_text(pilot.app))


async def test_the_cursor_stays_on_its_finding(small: Path, opened) -> None:
    """Another window's change brings a finding above; the marked one stays marked."""
    async with opened(small) as pilot:
        await until(pilot, lambda: pilot.app.screen.query(OptionList), "the list")
        findings = pilot.app.screen.query_one(OptionList)
        await until(pilot, lambda: findings.option_count == 1, "the one finding")
        assert "no plan" in pilot.app.place.marked_text()
        add(small / "tools.toml", INSTRUMENT.replace("2026-05-20", "2025-05-20"))
        await until(pilot, lambda: findings.option_count == 3, "what the other editor did", 15)
        assert "no plan" in pilot.app.place.marked_text()


async def test_mending_leads_to_the_entry_in_question(small: Path, opened) -> None:
    """Enter on a supply's finding: Evening, its line of the restock. The list has two ends."""
    add(small / "supplies.toml", AGED)
    async with opened(small) as pilot:
        await until(pilot, lambda: pilot.app.screen.query(OptionList), "the list")
        findings = pilot.app.screen.query_one(OptionList)
        await until(pilot, lambda: findings.option_count == 3, "the findings")
        (aged, *_) = [f for f in pilot.app.picture.findings if f.subject]
        assert (aged.subject, aged.command) == ("OIL", "toolbox restock")
        await pilot.press("up")
        assert findings.highlighted == 0
        await pilot.press("down", "down", "down", "down")
        assert findings.highlighted == 2
        await pilot.press("enter")
        await until(pilot, lambda: pilot.app.current_mode == "evening", "Evening")
        await until(pilot, lambda: "Chain lube" in pilot.app.place.marked_text(), "Chain lube", 5)
        assert pilot.app.wanted is None


async def test_a_broken_kit_is_shown_and_mended_from_outside(small: Path, opened) -> None:
    """A fault in a file is told at once; when it is mended the screens go on."""
    rules = small / "rules.toml"
    rules.write_text('[[rule]]\nname = "[bold]x[/"\nask = "never"\n', encoding="utf-8")
    async with opened(small) as pilot:
        await until(pilot, lambda: "STOP  rules.toml" in screen_text(pilot.app), "the fault")
        rules.unlink()
        await until(pilot, lambda: "no plan" in screen_text(pilot.app), "the kit whole again", 15)
