"""Weighing things one by one: a thing found by letters or its code, its reading, the next."""

from __future__ import annotations

from collections.abc import Callable, Hashable

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static

from toolbox.desk.errors import DeskError
from toolbox.desk.figures import capital
from toolbox.desk.folder import KitFolder
from toolbox.desk.picture import Picture
from toolbox.desk.weighing import (
    UNITS,
    Bench,
    Put,
    Stored,
    Typed,
    bench,
    bench_words,
    meant_lines,
    parted,
    put_on,
    store_readings,
    take_off,
    tare_typed,
    thing_meant,
    weighable,
    with_step,
    with_tare,
    with_unit,
)
from toolbox.desk.weighing_list import WeighList, of_what, weigh_list
from toolbox.files.problems import KitFaults
from toolbox.journal.errors import JournalError
from toolbox.tui.actions import bindings
from toolbox.tui.deeds.weighing import WHERE
from toolbox.tui.menu import Menu
from toolbox.tui.screens.inner import Inner
from toolbox.tui.screens.weighing_shown import (
    COLUMNS,
    NOBODY,
    Done,
    Ordered,
    ScaleLine,
    ThingRows,
)
from toolbox.tui.shell import READING
from toolbox.tui.text import plain
from toolbox.tui.widgets.ask_line import AskLine
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.rows import Rows


class Weighing(Inner):
    """The list of what is to be weighed, the line for readings, how far one is."""

    PLACE = WHERE
    TAB = "kit"
    HELP = (
        "An evening beside the bench scale. What the next trip hangs on and was never weighed "
        "comes first. The marked thing is the one that lies on the scale: type what it shows "
        "and press Enter; it is stored, and the next one is marked. Or type or scan another "
        "thing first, by a few letters, its id or its label, alone or with its reading behind "
        "it; Up and Down choose among several. Of a tool with copies weigh one, of a set the "
        'whole set, of a supply a full pack. "tare 35" takes a tray off each reading from then '
        'on, "tare" nothing again. A reading that can hardly be right is asked back. Undo '
        "gives the thing weighed last its old mass back. Esc leaves the line for the list, "
        "where the keys below are heard, Enter goes back into it."
    )
    BINDINGS = bindings(WHERE)
    DEFAULT_CSS = """
    Weighing Static { height: auto; padding: 0 1; }
    Weighing #scale { height: 1; padding: 0 1; }
    Weighing #asked { width: auto; padding: 0; text-style: bold; }
    Weighing #far, Weighing #thing { text-style: bold; }
    Weighing #wrong { color: $error; text-style: bold; display: none; }
    Weighing.-wrong #wrong { display: block; }
    Weighing Entry { width: 1fr; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._folder: KitFolder | None = None
        self._order: WeighList | None = None
        self._on = bench()
        self._hand = ""  # what lies on the scale, however the list is narrowed meanwhile
        self._done: list[Stored] = []

    def body(self) -> ComposeResult:
        """How far one is, the thing on the scale, the line, the list."""
        yield Static("", id="far", markup=False)
        yield Static("", id="bench", markup=False)
        yield Static("", id="thing", markup=False)
        with Horizontal(id="scale"):
            yield Static("Scale > ", id="asked", markup=False)
            yield ScaleLine(select_on_focus=False, id="line")
        yield Static("", id="wrong", markup=False)
        yield Rows(COLUMNS, empty=READING, id="things")
        yield AskLine()

    def on_mount(self) -> None:
        """Keys go to the line: a scanner types at once."""
        super().on_mount()
        self._line.focus()

    @property
    def _line(self) -> Entry:
        return self.query_one(ScaleLine)

    @property
    def _list(self) -> Rows:
        return self.query_one("#things", Rows)

    def stage(self) -> Hashable:
        """Enter stores, for another thing each time."""
        return (self._list.cursor_key, len(self._done), self._line.has_focus)

    def half_filled(self) -> bool:
        """Whether a reading is typed and not stored."""
        return bool(self._line.value.strip())

    def marked_text(self) -> str:
        """The thing on the scale."""
        return self._thing_words()

    def step_inside(self) -> bool:
        """What is typed goes first."""
        if self._line.value:
            self._line.value = ""
            return True
        return False

    def take_back(self) -> bool:
        """Give the thing that was weighed last its old mass back."""
        if not self._done:
            self.toolbox.tell("Nothing was weighed here yet.")
            return True
        stored = self._done.pop()
        self._take_in_hand(stored.thing.id)
        self.toolbox.write(lambda folder: take_off(folder, stored), str)
        return True

    # ---- what is shown

    def show(self, picture: Picture) -> None:
        """The kit as it is now, in the order that was made once."""
        self._folder = picture.folder
        if picture.folder is None:
            self._order = None
            self._list.refill(ThingRows(), empty="The kit has faults: see Ready (F2)")
        elif self._order is None:
            day = picture.today

            def said(order: WeighList) -> str:
                self.post_message(Ordered(order))
                return ""

            self.toolbox.write(lambda folder: weigh_list(folder, day), said)
        else:
            self._order = self._order.again(picture.folder.kit)
            self._fill()

    @on(Ordered)
    def _ordered(self, message: Ordered) -> None:
        self._order = message.order
        following = message.order.next_after()
        self._take_in_hand(following.key if following is not None else "")

    def _take_in_hand(self, key: str) -> None:
        """This thing lies on the scale, until another one is found; "" for none in particular."""
        self._hand = key
        self._fill()

    def _typed(self) -> Typed:
        """What stands in the line; nothing while the kit is not read, and for a tare."""
        value = self._line.value
        if self._folder is None or not value.strip() or tare_typed(value) is not None:
            return Typed("", "")
        return parted(self._folder.kit, value, self._on.unit)

    def _fill(self) -> None:
        if self._order is None or self._folder is None:
            return
        lines = meant_lines(self._folder.kit, self._order, self._typed())
        self._list.refill(ThingRows(lines), empty=NOBODY)
        if lines and not self._list.move_to(self._hand):
            self._list.move_to(lines[0].key)
        self.query_one("#far", Static).update(plain(self._far_words()))
        self.query_one("#bench", Static).update(plain(self._bench_words()))
        self._describe()

    def _far_words(self) -> str:
        order = self._order
        trip = f"  (for {order.trip} first)" if order is not None and order.trip else ""
        return f"{order.progress.words}{trip}" if order is not None else ""

    def _bench_words(self) -> str:
        words = bench_words(self._on)
        return capital(words)

    def _describe(self) -> None:
        self.query_one("#thing", Static).update(plain(self._thing_words()))

    def _thing_words(self) -> str:
        key, folder = self._list.cursor_key, self._folder
        if key is None or folder is None:
            return ""
        line = self._list.source.lines[self._list.cursor_row]  # type: ignore[attr-defined]
        return f"On the scale: {line.thing.name} ({line.mass}), {of_what(line.thing)}"

    # ---- the line

    @on(Entry.Changed, "#line")
    def _changed(self, event: Entry.Changed) -> None:
        event.stop()
        self.remove_class("-wrong")
        self._fill()

    @on(ScaleLine.Beside)
    def _beside(self, event: ScaleLine.Beside) -> None:
        event.stop()
        self._list.action_move(event.rows)
        self._hand = self._list.cursor_key or ""

    @on(Rows.Moved, "#things")
    def _moved(self) -> None:
        if self._list.has_focus:
            self._hand = self._list.cursor_key or ""
        self._describe()

    @on(Rows.Chosen, "#things")
    def _chosen(self) -> None:
        self.action_open()

    def action_open(self) -> None:
        """Letters and figures go to the line again."""
        self._line.focus()

    @on(Entry.Submitted, "#line")
    def _given(self, event: Entry.Submitted) -> None:
        event.stop()
        try:
            self._hear(event.value)
        except DeskError as error:
            self._wrong(str(error))

    def _wrong(self, words: str) -> None:
        self.query_one("#wrong", Static).update(plain(words))
        self.add_class("-wrong")

    def _hear(self, value: str) -> None:
        tare = tare_typed(value)
        if tare is not None:
            self._set(with_tare(self._on, tare))
            self._line.value = ""
            return
        typed, folder, key = self._typed(), self._folder, self._list.cursor_key
        if folder is None or not (typed.thing or typed.reading):
            return
        if key is None:
            thing_meant(folder.kit, typed.thing)  # says what is wrong with the letters
            return
        if not typed.reading:
            self._put_in_hand(key)
            return
        if typed.thing and len(self._list.source) > 1:
            key = thing_meant(folder.kit, typed.thing).id
        self._hand = key
        put = put_on(folder.kit, weighable(folder.kit, key), typed.reading, self._on)
        if put.odd:
            rows = [("n", "no", "No; weigh it again"), ("y", "yes", "Yes, store it")]
            self.app.push_screen(
                Menu(f"{put.odd}. Is that right?", rows), lambda answer: self._agreed(answer, put)
            )
        else:
            self._store(put)

    def _put_in_hand(self, key: str) -> None:
        """The thing found lies on the scale now; its reading comes next."""
        self._line.value = ""
        self._take_in_hand(key)

    def _agreed(self, answer: str | None, put: Put) -> None:
        if answer == "yes":
            self._store(put)

    def _store(self, put: Put) -> None:
        on, thing = self._on, put.thing.id

        def do(folder: KitFolder) -> Stored:
            try:
                return store_readings(folder, [put], on)[0]
            except (DeskError, KitFaults, JournalError, OSError):
                self.post_message(Done(thing, None))
                raise

        def said(stored: Stored) -> str:
            self.post_message(Done(thing, stored))
            return stored.words

        self.toolbox.write(do, said)
        self._line.value = ""
        following = self._order.next_after(thing) if self._order is not None else None
        self._take_in_hand(following.key if following is not None else "")

    @on(Done)
    def _told(self, message: Done) -> None:
        if message.stored is not None:
            self._done.append(message.stored)
        else:
            self._take_in_hand(message.thing)

    # ---- the bench

    def _set(self, on: Bench) -> None:
        self._on = on
        self._fill()

    def action_tare(self) -> None:
        """Ask what is to be taken off each reading."""
        self._ask("Tare, nothing for none", lambda typed: self._set(with_tare(self._on, typed)))

    def action_step(self) -> None:
        """Ask in which steps the scale shows."""
        self._ask(
            "The scale's step, like 1 g; nothing for not known",
            lambda typed: self._set(with_step(self._on, typed)),
        )

    def action_unit(self) -> None:
        """Ask for the unit of bare numbers."""
        rows = [(unit[0], unit, unit) for unit in UNITS]
        self.app.push_screen(Menu("Numbers without a unit are in", rows), self._unit)

    def _unit(self, unit: str | None) -> None:
        if unit is not None:
            self._set(with_unit(self._on, unit))

    def _ask(self, words: str, then: Callable[[str], None]) -> None:
        line = self.query_one(AskLine)

        def heard(typed: str) -> None:
            then(typed)
            line.let_go()
            self._line.focus()

        line.ask(words, heard, nothing=True)
