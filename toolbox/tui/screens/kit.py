"""Kit: tools, supplies, jobs and compartments looked at and edited, one at a time in a form."""

from __future__ import annotations

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.events import ScreenResume
from textual.widgets import Static

from toolbox.desk.edit_browse import described, items, sort_of
from toolbox.desk.edit_keys import SORTS, Sort, sort_called
from toolbox.desk.edit_retire import retire_named, stays_home
from toolbox.desk.picture import Picture
from toolbox.kit.kit import Kit
from toolbox.tui.actions import INNER, bindings
from toolbox.tui.menu import Menu
from toolbox.tui.screens.kit_form import EntryForm
from toolbox.tui.screens.kit_list import Entries, EntryDetail, Sorts, columns, entry_text
from toolbox.tui.shell import READING, Place
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.filter_line import FilterLine
from toolbox.tui.widgets.rows import Rows

FAULTS = "The kit has faults: see Ready (F2) for what is wrong, and mend it in the file"
NO_MATCH = "Nothing goes by these letters; Esc shows all"


class KitPlace(Place):
    """The list of one sort with a filter; in its place the form of the entry that is open."""

    PLACE = "kit"
    HELP = (
        "Everything the kit's files hold of tools, supplies, jobs and compartments. A digit "
        "chooses the sort. Enter opens the marked entry as a form: a line for each key of its "
        "file, written as people write it, with units. Enter or the arrows go from line to "
        "line; what is wrong is told under its line, and nothing is written while anything is. "
        "Esc leaves the form and asks whether to write what was changed; comments in the file "
        "stay where they are. When somebody else changes the entry meanwhile, both are shown "
        "and you choose. Retire leaves a thing at home; what is at home already, a job or a "
        "compartment is taken out, unless something still names it. A list is taken in with i, "
        "things are weighed one by one with w."
    )
    BINDINGS = bindings("kit")
    DEFAULT_CSS = """
    KitPlace EntryDetail { display: none; }
    KitPlace.-wide EntryDetail {
        display: block; width: 45%; padding: 0 1; border-left: solid $primary;
    }
    KitPlace EntryForm { display: none; width: 1fr; }
    KitPlace.-form EntryForm { display: block; }
    KitPlace.-form #browse, KitPlace.-form KeyLine, KitPlace.-form EntryDetail { display: none; }
    KitPlace.-form Sorts, KitPlace.-form FilterLine { display: none; }
    KitPlace.-wide.-form #browse {
        display: block; width: 40%; min-width: 44; border-right: solid $primary;
    }
    """

    def __init__(self) -> None:
        super().__init__()
        self._kit: Kit | None = None
        self._sort = SORTS[0]
        # Where the cursor of each sort's list was, and where it is to go when it comes.
        self._marks: dict[str, str] = {}
        # An entry just added, by its sort, until a picture of the kit has it.
        self._awaited: dict[str, str] = {}

    def body(self) -> ComposeResult:
        """Sorts, filter, list and pane; or the form, beside the list where there is room."""
        with Horizontal():
            with Vertical(id="browse"):
                yield Sorts()
                yield FilterLine("found")
                with Horizontal():
                    yield Rows(columns(self._sort), empty=READING, id="entries")
                    yield EntryDetail()
            yield EntryForm()

    @property
    def _list(self) -> Rows:
        return self.query_one("#entries", Rows)

    @property
    def form(self) -> EntryForm:
        """The form; it may be shut."""
        return self.query_one(EntryForm)

    def on_mount(self) -> None:
        """Keys go to the list."""
        super().on_mount()
        self._list.focus()

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Come from Ready, the entry in question is under the cursor."""
        super().on_screen_resume(event)
        self._go_to_wanted()

    def _go_to_wanted(self) -> None:
        id = self.toolbox.wanted
        if id is None or self._kit is None:
            return
        self.toolbox.wanted = None
        sort = sort_of(self._kit, id)
        if sort is not None and not self.form.is_open:
            self._marks[sort.word] = id
            self.query_one("#filter", Entry).value = ""
            self._sort = sort
            self._list.columns = columns(sort)
            self._fill()

    # ---- what is shown

    def show(self, picture: Picture) -> None:
        """List anew; a form that is open looks whether its entry is still the one it opened."""
        self._kit = picture.folder.kit if picture.folder is not None else None
        self._fill()
        self._go_to_wanted()
        if self._kit is not None and self.form.is_open:
            self.form.look_again(self._kit)

    def _fill(self) -> None:
        letters = self.query_one("#filter", Entry).value
        shown = items(self._kit, self._sort, letters) if self._kit is not None else ()
        self._list.refill(Entries(shown), empty=self._empty(letters))
        awaited, wanted = (of.get(self._sort.word) for of in (self._awaited, self._marks))
        if awaited is not None and self._list.move_to(awaited):
            self._marks[self._sort.word] = self._awaited.pop(self._sort.word)
        elif wanted is not None:
            self._list.move_to(wanted)
        self.query_one(Sorts).show(self._sort, self._kit)
        many = "1 found" if len(shown) == 1 else f"{len(shown)} found"
        self.query_one("#found", Static).update(Text(many if letters.strip() else ""))
        self._describe()

    def _empty(self, letters: str) -> str:
        if self._kit is None:
            return FAULTS
        if letters.strip():
            return NO_MATCH
        return f"There are no {self._sort.many} yet: a adds one, i takes in a list"

    def _describe(self) -> None:
        self.query_one(EntryDetail).show(self._kit, self._sort, self._list.cursor_key)

    def marked_text(self) -> str:
        """The open form or the marked entry, line by line."""
        if self.form.is_open:
            return self.form.words
        key = self._list.cursor_key
        return entry_text(self._kit, self._sort, key).plain if self._kit and key else ""

    def half_filled(self) -> bool:
        """Whether something was typed into a form that is not written yet."""
        return self.form.half_filled

    def one_back(self) -> bool:
        """Out of the form, asking first; in the list the filter goes."""
        if self.form.is_open:
            self.form.leave()
            return True
        line = self.query_one("#filter", Entry)
        if line.value:
            line.value = ""
            return True
        return False

    # ---- what can be asked for

    def action_list_sort(self, word: str) -> None:
        """List another sort of entry."""
        if self._busy():
            return
        sort = sort_called(word)
        if sort is not self._sort:
            self._sort = sort
            self.query_one("#filter", Entry).value = ""
            self._list.columns = columns(sort)
            self._fill()
        self._list.focus()

    def action_filter(self) -> None:
        """Letters go to the filter."""
        if not self._busy():
            self.query_one("#filter", Entry).focus()

    def action_open(self) -> None:
        """Open the marked entry in the form."""
        key = self._list.cursor_key
        if not self._busy() and self._kit is not None and key is not None:
            self.form.open(self._sort, key)

    def action_add(self) -> None:
        """An empty form."""
        if not self._busy() and self._kit is not None:
            self.form.add(self._kit, self._sort)

    def action_duplicate(self) -> None:
        """A form with the lines of the marked entry, for another one."""
        key = self._list.cursor_key
        if not self._busy() and self._kit is not None and key is not None:
            self.form.open(self._sort, key, copied=True)

    def action_steps(self) -> None:
        """What is to be done with the step of a job that one is on in the form."""
        self.form.ask_steps()

    def action_take_in(self) -> None:
        """Take in a list."""
        self._go_into("import")

    def action_weigh(self) -> None:
        """Weigh things one by one."""
        self._go_into("weighing")

    def _go_into(self, name: str) -> None:
        if not self._busy() and self._kit is not None:
            from toolbox.tui.app import screen_of

            self.app.push_screen(screen_of(INNER[name])())

    def action_retire(self) -> None:
        """Say what retiring means for the marked entry, and ask."""
        key = self._list.cursor_key
        if self._busy() or self._kit is None or key is None:
            return
        draft = described(self._kit, self._sort, key)
        if draft is None:
            return
        if stays_home(draft):
            way = ("h", "yes", "It stays at home and gives up its place in the box")
        else:
            way = ("o", "yes", "Take it out of the kit, unless something still names it")
        rows = [way, ("k", "no", "Keep it as it is")]
        sort = self._sort
        self.app.push_screen(
            Menu(f"Retire {draft.name}", rows), lambda answer: self._retired(answer, sort, key)
        )

    def _retired(self, answer: str | None, sort: Sort, key: str) -> None:
        if answer == "yes":
            self.toolbox.write(lambda f: retire_named(f, sort, key), lambda done: done.words)

    def _busy(self) -> bool:
        """True, and said, while a form is open: it is to be left first."""
        if self.form.is_open:
            self.toolbox.tell("A form is open: Esc leaves it first.")
        return self.form.is_open

    # ---- what the widgets say

    @on(EntryForm.Opened)
    def _opened(self) -> None:
        self.add_class("-form")
        # What is typed goes into the form until it is left.
        self._list.can_focus = self.query_one("#filter").can_focus = False
        self.form.focus()

    @on(EntryForm.Shut)
    def _shut(self, event: EntryForm.Shut) -> None:
        self.remove_class("-form")
        self._list.can_focus = self.query_one("#filter").can_focus = True
        if event.id and not self._list.move_to(event.id):
            # It comes with the next picture, and no filter hides it.
            self._awaited[self._sort.word] = event.id
            self.query_one("#filter", Entry).value = ""
        self._list.focus()

    @on(Entry.Changed, "#filter")
    def _letters(self) -> None:
        self._fill()

    @on(Rows.Moved, "#entries")
    def _moved(self) -> None:
        key = self._list.cursor_key
        if key is not None:
            self._marks[self._sort.word] = key
        self._describe()

    @on(Rows.Chosen, "#entries")
    def _chosen(self) -> None:
        self.action_open()
