"""Kit: lists of entries, and one of them in a form that is checked, written, or asked about."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from look import same_picture, screen_text, until
from textual import events
from textual.app import App, ComposeResult
from textual.pilot import Pilot

from toolbox.desk.folder import open_kit
from toolbox.kit.kit import Kit
from toolbox.tui.menu import Menu
from toolbox.tui.screens.kit import KitPlace
from toolbox.tui.screens.kit_changed import Changed
from toolbox.tui.text import clean, plain
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.form import Form, FormLine
from toolbox.tui.widgets.rows import Rows


async def in_kit(pilot: Pilot[Any], *keys: str) -> KitPlace:
    """Go to Kit with its key, wait for its list, then press these."""
    await pilot.press("f9")
    await until(pilot, lambda: isinstance(pilot.app.screen, KitPlace), "the place Kit")
    place = pilot.app.screen
    assert isinstance(place, KitPlace)
    rows = place.query_one("#entries", Rows)
    await until(pilot, lambda: len(rows.source) and place.focused is rows, "the list of tools")
    await pilot.press(*keys)
    return place


async def in_form(pilot: Pilot[Any], *keys: str) -> Form:
    """Go to Kit, press these, and wait for a form."""
    place = await in_kit(pilot, *keys)
    form = place.query_one(Form)
    await until(pilot, lambda: place.form.is_open and place.focused is form.line, "a form")
    return form


async def go_to(pilot: Pilot[Any], form: Form, key: str) -> None:
    """Go to a line by keys alone."""
    keys = list(form._lines)
    lines = keys.index(key) - keys.index(form.at)
    pages, more = divmod(abs(lines), 10)
    down = lines > 0
    await pilot.press(
        *["pagedown" if down else "pageup"] * pages, *["down" if down else "up"] * more
    )
    assert form.at == key


async def type_over(pilot: Pilot[Any], form: Form, key: str, text: str) -> None:
    """Go to a line and put this text on it, as pasted or scanned."""
    await go_to(pilot, form, key)
    await pilot.press("home", "ctrl+k")
    form.line.post_message(events.Paste(text))
    await until(pilot, lambda: form.line.value == text, f"{text} on the line")


async def shown(pilot: Pilot[Any], words: str) -> None:
    """Wait until these words stand on the screen."""
    await until(pilot, lambda: words in screen_text(pilot.app), f"on the screen: {words}", 15)


def kit_at(folder: Path) -> Kit:
    """The kit as its files say now."""
    return open_kit(folder).kit


async def test_a_line_is_changed_and_written(small: Path, opened) -> None:
    """Filter, open, type, leave, write: by keys; the comment above the entry stays."""
    async with opened(small) as pilot:
        place = await in_kit(pilot, "f", *"5 mm", "enter", "enter")
        form = place.query_one(Form)
        await until(pilot, lambda: place.form.is_open, "the form")
        assert form.at == "name"
        # a slip of the unit is asked back, and the first answer is no
        await pilot.press("down", "enter", "home", "ctrl+k", *"45 kg", "enter", "escape", "w")
        await shown(pilot, "Is that right?")
        assert kit_at(small).tool("K5").mass.grams == 42
        await pilot.press("enter")
        await until(pilot, lambda: pilot.app.screen.focused is form.line, "the form again")
        assert form.at == "mass"
        await pilot.press("home", "ctrl+k", *"1.5 oz", "enter", "escape")
        await shown(pilot, "1 line filled in")
        await pilot.press("w")
        await until(pilot, lambda: not place.form.is_open, "the form shut", 15)
        await shown(pilot, "Hex key 5 mm: mass written.")
        assert place.focused is place.query_one("#entries", Rows)
        assert place.query_one("#entries", Rows).cursor_key == "K5"
    text = (small / "tools.toml").read_text()
    assert 'mass = "1.5 oz"' in text
    assert text.startswith("# the keys I use all day\n")
    assert kit_at(small).tool("K5").mass.grams == 43  # 1 oz is 28.3495 g (NIST Handbook 44)


async def test_faults_stand_under_their_lines_and_nothing_is_written(small: Path, opened) -> None:
    """What a line alone shows is told on leaving it, the rest on writing; all at once."""
    before = (small / "tools.toml").read_bytes()
    async with opened(small, (80, 60)) as pilot:
        form = await in_form(pilot, "down", "down", "enter")
        await type_over(pilot, form, "mass", "150")
        await type_over(pilot, form, "substitutes", "hex")
        await pilot.press("down")
        await shown(pilot, "cannot be read: has no unit")
        await shown(pilot, "could be any of these tools")
        await type_over(pilot, form, "gauge.nominal", "12 mm")
        await pilot.press("escape", "w")
        await shown(pilot, "Nothing was written: 6 things are")
        await shown(pilot, "has no gauge.lowest; add")
        assert form.at == "mass"
        assert pilot.app.place.half_filled()
    assert (small / "tools.toml").read_bytes() == before


async def test_what_was_typed_is_asked_about(small: Path, opened) -> None:
    """Escape asks; Escape of the question goes on; q asks as well; dropping writes nothing."""
    before = (small / "tools.toml").read_bytes()
    async with opened(small) as pilot:
        form = await in_form(pilot, "enter")
        await type_over(pilot, form, "note", "bent")
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.screen.focused is form.line, "the form again")
        assert form.line.value == "bent"
        # To another place and back: the draft is there as it was.
        await pilot.press("f2")
        await until(pilot, lambda: pilot.app.current_mode == "ready", "Ready")
        await pilot.press("f9")
        await until(pilot, lambda: pilot.app.current_mode == "kit", "Kit")
        assert form.line.value == "bent"
        pilot.app.action_leave()
        await shown(pilot, "A form is half filled")
        await pilot.press("s", "escape")
        await shown(pilot, "1 line filled in")
        await pilot.press("d")
        await until(pilot, lambda: not pilot.app.place.form.is_open, "the form shut")
        assert not pilot.app.place.half_filled()
    assert (small / "tools.toml").read_bytes() == before


async def test_leaving_a_form_as_it_was_asks_nothing(small: Path, opened) -> None:
    """One step back is one key where nothing would be lost."""
    async with opened(small) as pilot:
        await in_form(pilot, "2", "enter")
        await pilot.press("down", "up", "escape")
        await until(pilot, lambda: not pilot.app.place.form.is_open, "the form shut")
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.current_mode == "ready", "the place before")


async def test_adding_and_copying(small: Path, opened) -> None:
    """An empty form and one filled in; the cursor goes to the new entry once it is there."""
    async with opened(small) as pilot:
        # a filter that the new entry does not go by is given up once it is there
        form = await in_form(pilot, "f", *"hex", "enter", "down", "a")
        await pilot.press(*"Scribe")
        for key, text in {"mass": "20 kg", "length": "15 cm", "width": "8 mm"}.items():
            await type_over(pilot, form, key, text)
        await pilot.press("escape", "w")
        await shown(pilot, "20.00 kg is more than all the rest")
        await pilot.press("w")  # asked once, however often it is tried to write it
        await shown(pilot, "must be filled in")
        assert form.at == "height"
        await type_over(pilot, form, "height", "8 mm")
        await pilot.press("escape", "w")
        rows = pilot.app.screen.query_one("#entries", Rows)
        await until(pilot, lambda: rows.cursor_key == "scribe", "the new tool marked", 15)
        await until(pilot, lambda: pilot.app.screen.focused is rows, "keys to the list")
        await pilot.press("c")
        await until(pilot, lambda: pilot.app.place.form.is_open, "a form like it", 15)
        await shown(pilot, "Scribe (copy)")
        await pilot.press("escape", "w")
        await shown(pilot, "20.00 kg is more than a block of lead")
        await pilot.press("w")
        await until(pilot, lambda: rows.cursor_key == "scribe-copy", "the copy marked", 15)
    kit = kit_at(small)
    assert kit.tool("scribe").size == kit.tool("scribe-copy").size == (1500, 80, 80)


async def test_retiring(small: Path, opened) -> None:
    """Told what it means before it is done; what is still named is refused in words."""
    async with opened(small) as pilot:
        place = await in_kit(pilot, "down", "down", "r")
        await shown(pilot, "It stays at home and gives up its place")
        await pilot.press("h")
        await until(pilot, lambda: not kit_at(small).tool("CT").carried, "at home", 15)
        rows = place.query_one("#entries", Rows)
        await until(pilot, lambda: "at home" in rows.source.cells(2)[3].plain, "so listed", 15)
        await pilot.press("r")
        await shown(pilot, "unless something still names it")
        await pilot.press("o")
        await shown(pilot, "job Broken chain")
        await pilot.press("down", "r", "k", "r", "o")
        await until(pilot, lambda: len(rows.source) == 3, "the vice gone", 15)
    assert [tool.id for tool in kit_at(small).tools] == ["K4", "K5", "CT"]


def other_editor(small: Path, old: str, new: str) -> None:
    """Somebody else changes the list of tools."""
    path = small / "tools.toml"
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")


async def test_somebody_elses_change_is_offered_and_mine_kept(small: Path, opened) -> None:
    """Both sides in words; keeping mine leaves what only they changed as they have it."""
    async with opened(small) as pilot:
        form = await in_form(pilot, "enter")
        await type_over(pilot, form, "mass", "26 g")
        other_editor(small, 'mass = "25 g"', 'mass = "24 g"\nnote = "theirs"')
        await until(pilot, lambda: isinstance(pilot.app.screen, Changed), "the question", 15)
        await shown(pilot, "as opened  25 g")
        await shown(pilot, "mine       26 g")
        await shown(pilot, "theirs     24 g")
        await pilot.press("m")
        await until(pilot, lambda: pilot.app.screen is pilot.app.place, "the form")
        await pilot.press("escape", "w")
        await until(pilot, lambda: not pilot.app.place.form.is_open, "written", 15)
    tool = kit_at(small).tool("K4")
    assert (tool.mass.grams, tool.note) == (26, "theirs")


async def test_theirs_taken_and_what_is_decided_later(small: Path, opened) -> None:
    """Esc decides later: writing asks again and goes over nothing; theirs drops mine."""
    async with opened(small) as pilot:
        form = await in_form(pilot, "enter")
        await type_over(pilot, form, "mass", "26 g")
        other_editor(small, 'mass = "25 g"', 'mass = "24 g"')
        await until(pilot, lambda: isinstance(pilot.app.screen, Changed), "the question", 15)
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.screen is pilot.app.place, "the form")
        await pilot.press("escape", "w")
        await until(pilot, lambda: isinstance(pilot.app.screen, Changed), "asked again", 15)
        assert kit_at(small).tool("K4").mass.grams == 24
        await pilot.press("t")
        await until(pilot, lambda: pilot.app.screen is pilot.app.place, "the form")
        assert pilot.app.place.form.words.startswith("id: K4")
        assert "mass: 24 g" in pilot.app.place.form.words
        assert not pilot.app.place.half_filled()


async def test_a_form_nobody_typed_into_follows_the_file(small: Path, opened) -> None:
    """There is nothing to choose: it is shown as it is now, and said."""
    async with opened(small) as pilot:
        await in_form(pilot, "enter")
        other_editor(small, 'mass = "25 g"', 'mass = "24 g"')
        await shown(pilot, "Somebody else changed Hex key 4 mm")
        await until(
            pilot, lambda: "mass: 24 g" in pilot.app.place.form.words, "the line as it is now"
        )


async def test_an_entry_taken_out_under_the_form(small: Path, opened) -> None:
    """It can be added again as it was filled in."""
    async with opened(small) as pilot:
        form = await in_form(pilot, "end", "enter")
        await type_over(pilot, form, "note", "heavy")
        text = (small / "tools.toml").read_text(encoding="utf-8")
        (small / "tools.toml").write_text(text[: text.index('[[tool]]\nid = "V"')], "utf-8")
        await shown(pilot, "Somebody else took out Bench vice")
        await pilot.press("m")
        await until(pilot, lambda: pilot.app.screen is pilot.app.place, "the form")
        await pilot.press("escape", "w")
        await until(pilot, lambda: not pilot.app.place.form.is_open, "written", 15)
    assert kit_at(small).tool("V").note == "heavy"


async def test_steps_of_a_job(small: Path, opened) -> None:
    """Tools of a step by a few letters; names of ids stand under the line."""
    async with opened(small) as pilot:
        form = await in_form(pilot, "3", "end", "enter")
        await type_over(pilot, form, "step.1.tools", "4 mm x2, chain")
        await pilot.press("down", "up")
        await shown(pilot, "4 mm x2, chain")
        await type_over(pilot, form, "step.2.text", "tighten")
        await pilot.press("escape", "w")
        await until(pilot, lambda: not pilot.app.place.form.is_open, "written", 15)
    job = kit_at(small).job("BC")
    assert [pick for step in job.steps for pick in step.picks] == [("K4", 2), ("CT", 1)]
    assert [step.text for step in job.steps] == ["loosen", "tighten"]


async def test_steps_change_their_order_in_the_form(small: Path, opened) -> None:
    """F12 on a step, a letter: what was just typed goes with it; elsewhere it says so."""
    async with opened(small) as pilot:
        form = await in_form(pilot, "3", "f", *"broken", "enter", "enter")
        await pilot.press("f12")
        await shown(pilot, "Go to a step of a job")
        assert "F12 steps" not in screen_text(pilot.app)
        job = kit_at(small).job("CH")
        await type_over(pilot, form, "step.1.text", "look first")
        await shown(pilot, "F12 steps")
        await pilot.press("f12")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "what to do")
        await pilot.press("l")
        await until(pilot, lambda: form.at == "step.2.text", "on the step, moved")
        assert form.line.value == "look first"
        await pilot.press("f12", "n")
        await until(pilot, lambda: form.line.value == "", "a new step")
        await pilot.press(*"then this", "escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
        await pilot.press("w")
        await until(pilot, lambda: not pilot.app.place.form.is_open, "shut", 15)
        texts = [step.text for step in kit_at(small).job(job.id).steps]
        assert texts == [job.steps[1].text, "then this", "look first"]


async def test_by_mouse(small: Path, opened) -> None:
    """A sort, a row, a second click opens; a line of the form; the choice in the menu."""
    async with opened(small) as pilot:
        place = await in_kit(pilot)
        await pilot.click("Sorts", offset=(14, 0))
        rows = place.query_one("#entries", Rows)
        await until(pilot, lambda: rows.cursor_key == "OIL", "the supplies")
        await pilot.click("#entries", offset=(10, 1))
        await pilot.click("#entries", offset=(10, 1))
        form = place.query_one(Form)
        await until(pilot, lambda: place.form.is_open, "the form", 15)
        await pilot.click("Form Rows", offset=(10, 4))
        await until(pilot, lambda: form.at == "stock", "the line clicked")
        assert place.focused is form.line
        await pilot.press("home", "ctrl+k", *"90 ml", "escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
        await pilot.click("Menu OptionList", offset=(2, 0))
        await until(pilot, lambda: kit_at(small).supply("OIL").stock == 90, "written", 15)


async def test_each_sort_keeps_its_cursor_and_escape_ends_the_filter(small: Path, opened) -> None:
    """Back on the row one was on; one step back shows all again, the next goes away."""
    async with opened(small) as pilot:
        place = await in_kit(pilot, "down", "down", "4", "down", "1")
        rows = place.query_one("#entries", Rows)
        assert rows.cursor_key == "CT"
        await pilot.press("f", *"vice", "enter")
        await until(pilot, lambda: rows.cursor_key == "V", "the one found")
        assert place.marked_text().startswith("id               V")
        await pilot.press("escape")
        await until(pilot, lambda: len(rows.source) == 4, "all again")
        assert pilot.app.current_mode == "kit"
        await pilot.press("f", *"zz", "escape")
        await shown(pilot, "Nothing goes by these letters")


async def test_faults_of_the_kit_and_an_empty_list(small: Path, opened) -> None:
    """Each says what to do."""
    (small / "supplies.toml").write_text("", encoding="utf-8")
    jobs = (small / "jobs.toml").read_text(encoding="utf-8")
    (small / "jobs.toml").write_text(jobs.replace('supplies = {OIL = "2 ml"}\n', ""), "utf-8")
    async with opened(small) as pilot:
        await in_kit(pilot, "2")
        await shown(pilot, "There are no supplies yet")
        (small / "rules.toml").write_text('[[rule]]\nname = "x"\nask = "never"\n', "utf-8")
        await shown(pilot, "The kit has faults: see Ready")
        await pilot.press("a", "enter", "r", "c")
        assert not pilot.app.place.form.is_open


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 60)])
async def test_kit_as_it_looks(demo_once: Path, small: Path, opened, size: tuple[int, int]) -> None:
    """The list and a form with faults in it, at each size; at one of them in each theme."""
    name = f"{size[0]}x{size[1]}"
    large = size in ((80, 24), (120, 40))
    async with opened(demo_once if large else small, size) as pilot:
        place = await in_kit(pilot, *["down"] * (4 if large else 1))
        await pilot.pause()
        same_picture(f"kit-{name}", screen_text(pilot.app))
        await pilot.press("enter")
        form = place.query_one(Form)
        await until(pilot, lambda: place.form.is_open, "the form", 15)
        await type_over(pilot, form, "mass", "25")
        await type_over(pilot, form, "substitutes", "CT, hex" if not large else "T-013, star")
        await pilot.press("down", "up")
        await pilot.pause()
        same_picture(f"kit-form-{name}", screen_text(pilot.app))
        for theme in ("light", "sun") if size == (80, 24) else ():
            pilot.app.theme = theme
            await pilot.pause()
            same_picture(f"kit-form-{name}", screen_text(pilot.app))


async def test_kit_without_colour(small: Path, opened, monkeypatch: pytest.MonkeyPatch) -> None:
    """Under NO_COLOR the same words and signs say what is wrong and what was changed."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(small) as pilot:
        form = await in_form(pilot, "enter")
        await type_over(pilot, form, "mass", "25")
        await type_over(pilot, form, "category", "keys")
        await pilot.press("up")
        await shown(pilot, " ! mass              25 ")
        await shown(pilot, " * category          keys ")


async def test_sides_as_they_look(small: Path, opened) -> None:
    """Both sides of a change in a small window."""
    async with opened(small, (60, 20)) as pilot:
        form = await in_form(pilot, "enter")
        await type_over(pilot, form, "mass", "26 g")
        other_editor(small, 'mass = "25 g"', 'mass = "24 g"\nnote = "theirs"')
        await until(pilot, lambda: isinstance(pilot.app.screen, Changed), "the question", 15)
        await pilot.pause()
        same_picture("kit-changed-60x20", screen_text(pilot.app))


class Filled(App[None]):
    """A form alone, and what was typed into it."""

    def __init__(self) -> None:
        super().__init__()
        self.typed: list[str] = []

    def compose(self) -> ComposeResult:
        yield Form()

    def on_form_typed(self, event: Form.Typed) -> None:
        self.typed.append(event.key)


TEXTS = st.text(
    st.one_of(
        st.characters(),
        st.sampled_from("[]/\\\u202e\u200d\u0301\ufe0f\x1b\n\u05d0\u4e2d"),
    ),
    max_size=300,
)


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(texts=st.lists(TEXTS, min_size=1, max_size=4), fault=TEXTS)
async def test_whatever_stands_on_a_line_is_shown_and_comes_back(
    texts: list[str], fault: str
) -> None:
    """Any text on lines, in the title and in faults: drawn harmless; looking changes nothing."""
    app = Filled()
    async with app.run_test(size=(80, 24)) as pilot:
        form = app.query_one(Form)
        lines = [FormLine(f"k{n}", text, text, text) for n, text in enumerate(texts)]
        form.fill(plain(texts[0]), lines, {"k0": [fault], "": [fault]})
        form.start()
        await pilot.pause()
        form.go(1)
        form.go(-1)
        await pilot.pause()
        assert form.line.value == clean(texts[0])
        assert app.typed == []
        assert not form.pending
        assert len(screen_text(app).splitlines()) == 24


async def test_a_form_of_many_lines_draws_what_is_in_view() -> None:
    """Two hundred lines take no widget each."""
    app = Filled()
    async with app.run_test(size=(80, 24)) as pilot:
        form = app.query_one(Form)
        form.fill(plain("x"), [FormLine(f"k{n}", f"l{n}", "t", "h") for n in range(200)], {})
        form.start("k150")
        await pilot.pause()
        assert len(app.screen.query("*")) < 20
        assert "l150" in screen_text(app)
        assert form.query_one(Entry).value == "t"


async def test_keys_that_arrive_together_act_in_their_turn() -> None:
    """Over a slow line: what is typed after a key that edits, or that goes on, comes after it."""
    app = Filled()
    async with app.run_test(size=(80, 24)) as pilot:
        form = app.query_one(Form)
        form.fill(plain("t"), [FormLine(k, k, "338 g", k) for k in ("mass", "more", "last")], {})
        form.start()
        form.focus()
        await pilot.pause()
        signs = {"space": " ", "enter": "\r"}
        keys = ("ctrl+u", "3", "4", "backspace", "5", "space", "g", "enter", "backspace", "k", "g")
        for key in (*keys, "left", "home", "1"):
            app.post_message(events.Key(key, signs.get(key, key if len(key) == 1 else None)))
        await until(pilot, lambda: form.line.value == "1338 kg", "the second line")
        assert form.at == "more"
        assert app.typed == ["mass"]
        assert [line.text for line in form._lines.values()] == ["35 g", "338 g", "338 g"]
