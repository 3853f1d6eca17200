"""Taking in a list: chosen or pasted, columns changed, questions answered, accepted, written."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from look import same_picture, screen_text, until
from textual.events import Paste
from textual.pilot import Pilot

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import open_kit
from toolbox.desk.intake import take_in
from toolbox.desk.intake_view import (
    change_lines,
    column_lines,
    column_told,
    pasted,
    paths_like,
    source_at,
    store_list,
)
from toolbox.intake.reading import Answers
from toolbox.kit.things import Known, Mass
from toolbox.tui.menu import Menu
from toolbox.tui.screens.intake import TakeIn
from toolbox.tui.widgets.ask_line import AskLine
from toolbox.tui.widgets.rows import Rows

SIZES = [(60, 20), (80, 24), (120, 40), (200, 60)]
# What the kit has is changed in its mass alone; the rest is new, asked about or refused.
LIST = """Item;Weight;Length;Width;Height;Box
Spoke key;0,020 kg;60 mm;30 mm;8 mm;red
Hex key 5 mm;43 g;;;;blue
[red]Odd[/];1,150;50 mm;20 mm;10 mm;
Pump;heavy;200 mm;40 mm;30 mm;
"""


def files(folder: Path) -> dict[str, bytes]:
    """All that stands in the kit's files."""
    return {str(p): p.read_bytes() for p in sorted(folder.rglob("*.toml"))}


async def seen(pilot: Pilot[Any], words: str) -> None:
    """Wait until these words stand on the screen."""
    await until(pilot, lambda: words in screen_text(pilot.app), f"on the screen: {words}")


async def in_list(pilot: Pilot[Any]) -> TakeIn:
    """Go to Kit and on to taking in, by keys."""
    await pilot.press("f9")
    await until(pilot, lambda: pilot.app.current_mode == "kit", "Kit")
    rows = pilot.app.place.query_one("#entries", Rows)
    await until(pilot, lambda: len(rows.source) and rows.has_focus, "the list of tools")
    await pilot.press("i")
    await until(pilot, lambda: isinstance(pilot.app.screen, TakeIn), "taking in a list")
    place = pilot.app.screen
    assert isinstance(place, TakeIn)
    await until(pilot, lambda: place.focused is not None, "a line for the path")
    return place


async def test_a_pasted_list_by_keyboard_from_paste_to_written(small: Path, opened) -> None:
    """One sitting: nothing is written before the end; what was accepted is, and nothing else."""
    before = files(small)
    async with opened(small) as pilot:
        place = await in_list(pilot)
        place.focused.post_message(Paste(LIST))
        await seen(pilot, "1 question")
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await until(pilot, lambda size=size: pilot.app.size == size, f"{size}")
            await seen(pilot, '"1,150" under "Weight"')
            await seen(pilot, "- g")
            same_picture(f"import-questions-{size[0]}x{size[1]}", screen_text(pilot.app))
        await pilot.resize_terminal(80, 24)
        # the question: the first choice is grams; 1,150 then asks for its mark
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the choices")
        await pilot.press("1")
        await seen(pilot, "unit mass")
        # a column: "Box" is made a note; a meaning that is none is told and not taken
        await pilot.press("1", "end", "enter")
        asked = place.query_one(AskLine)
        await until(pilot, lambda: asked.asking, "the line for a meaning")
        await pilot.press("home", "ctrl+k", *"notice", "enter")
        await seen(pilot, "did you mean note")
        await pilot.press("home", "ctrl+k", *"note", "enter")
        await until(pilot, lambda: not asked.asking, "the meaning taken")
        await until(pilot, lambda: place._shown_list.columns[-1].meaning == "note", "read again")
        await pilot.press("4")
        await seen(pilot, "heavy")
        await pilot.press("3")
        await seen(pilot, "[red]Odd[/]")
        assert files(small) == before
        await pilot.press("5")
        await seen(pilot, "by the list")
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await until(pilot, lambda size=size: pilot.app.size == size, f"{size}")
            await seen(pilot, "Spoke key")
            same_picture(f"import-changes-{size[0]}x{size[1]}", screen_text(pilot.app))
        await pilot.resize_terminal(80, 24)
        await pilot.press("home", "space")
        shown = place._shown_list
        assert place.half_filled()
        assert shown.source("changes").mark(0) == "x"
        # the mass of the hex key too, its note not
        keys = [line.what for line in shown.changes]
        place._list.action_first()
        await pilot.press(*["down"] * keys.index("mass"), "space")
        assert files(small) == before
        await pilot.press("w")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
        assert "1 new entry and 1 change" in screen_text(pilot.app)
        await pilot.press("y")
        await until(pilot, lambda: files(small) != before, "written")
        await until(pilot, lambda: not place.half_filled(), "nothing accepted any more")
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.screen is not place, "Kit again")
    kit = open_kit(small).kit
    assert kit.tool("spoke-key").mass == Mass(20, Known.GUESS)
    assert kit.tool("spoke-key").note == "red"
    assert kit.tool("K5").mass.grams == 43
    assert kit.tool("K5").note == ""
    assert len(kit.tools) == 5


async def test_a_long_list_is_drawn_as_far_as_it_is_in_view(
    small: Path, tmp_path: Path, opened
) -> None:
    """A file by its path; the end of the list is a key away; leaving with marks asks first."""
    rows = "".join(f"Thing no. {n},{n} g,60 mm,30 mm,8 mm\n" for n in range(10, 1010))
    file = tmp_path / "long list.csv"
    file.write_text("name,mass,length,width,height\n" + rows, encoding="utf-8")
    before = files(small)
    async with opened(small) as pilot:
        place = await in_list(pilot)
        place.focused.value = str(tmp_path / "nowhere.csv")
        await pilot.press("enter")
        await seen(pilot, "cannot be read")
        place.focused.value = str(tmp_path / "long")
        await seen(pilot, "long list.csv")
        await pilot.press("down", "enter")
        await until(pilot, lambda: place._shown_list is not None, "the list read")
        await seen(pilot, "1000 new")
        asked = []
        source = place._list.source
        cells, place._list.source.cells = source.cells, lambda i: asked.append(i) or cells(i)
        await pilot.press("end")
        await seen(pilot, "Thing no. 1009")
        assert len(set(asked)) < 100
        await pilot.press("a", "escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
        assert len(place._accepted) == 1000
        await pilot.press("d")
        await until(pilot, lambda: not isinstance(pilot.app.screen, Menu | TakeIn), "Kit again")
    assert files(small) == before


# ---- what the screen asks of the desk


def test_what_somebody_else_changed_is_not_gone_over(small: Path) -> None:
    """A change is stored under what it was agreed to from and to, or not at all."""
    source = pasted("name,mass\nHex key 5 mm,43 g\nHex key 4 mm,26 g\n")
    taken = take_in(open_kit(small), source.data, source.name, Answers())
    keys = {line.key for line in change_lines(taken.difference)}
    assert len(keys) == 2
    file = small / "tools.toml"
    file.write_text(file.read_text().replace('"42 g"', '"50 g"'))
    before = files(small)
    with pytest.raises(DeskError, match="another one since"):
        store_list(open_kit(small), source, Answers(), keys)
    assert files(small) == before


def test_answers_are_kept_for_a_file_and_not_for_a_paste(small: Path, tmp_path: Path) -> None:
    """What was told of a column stands in the kit's file of answers once something is stored."""
    (tmp_path / "mine.csv").write_text("Ding,mass\nHex key 5 mm,43 g\n", encoding="utf-8")
    source = source_at("'mine.csv'", tmp_path)
    folder = open_kit(small)
    taken = take_in(folder, source.data, source.name, Answers())
    line = next(c for c in column_lines(taken) if c.header == "Ding")
    with pytest.raises(DeskError, match="does not belong"):
        column_told(taken, line, "job minutes")
    with pytest.raises(DeskError, match="read as mass already"):
        column_told(taken, line, "mass (kg)")
    answers = column_told(taken, line, "name")
    taken = take_in(folder, source.data, source.name, answers)
    keys = {one.key for one in change_lines(taken.difference)}
    assert "answers/mine.csv.toml" in store_list(folder, source, answers, keys)
    kept = tomllib.loads((small / "answers" / "mine.csv.toml").read_text(encoding="utf-8"))
    assert kept == {"columns": {"Ding": "name"}}
    assert open_kit(small).kit.tool("K5").mass.grams == 43


def test_paths_are_offered_as_they_are_typed(tmp_path: Path) -> None:
    """Folders first, lists by their endings, nothing hidden; a folder that is not there: none."""
    for name in ("b.csv", "A.XLSX", "notes.md", ".hidden.csv"):
        (tmp_path / name).touch()
    (tmp_path / "lists").mkdir()
    (tmp_path / "lists" / "old.tsv").touch()
    assert paths_like("", tmp_path) == ("lists/", "A.XLSX", "b.csv")
    assert paths_like("B", tmp_path) == ("b.csv",)
    assert paths_like("lists/", tmp_path) == ("lists/old.tsv",)
    assert paths_like(".h", tmp_path) == (".hidden.csv",)
    assert paths_like("gone/x", tmp_path) == ()
    with pytest.raises(DeskError, match="folder"):
        source_at("lists", tmp_path)
