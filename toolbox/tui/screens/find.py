"""Find: where a thing is and how to get there, or all the tools of a job, by a few letters."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import ScreenResume, ScreenSuspend
from textual.widgets import Static

from toolbox.desk.drawn_box import Filling, filling
from toolbox.desk.finding import NOWHERE, grab_words, likely, meant_by, shown_where
from toolbox.desk.instruments import why_out
from toolbox.desk.maps import grab_list, where_are
from toolbox.desk.picture import Picture
from toolbox.desk.plans import Study
from toolbox.tui.actions import bindings
from toolbox.tui.screens.find_field import FindField, match_line, nothing_words
from toolbox.tui.screens.find_grab import COLUMNS, NO_TOOLS, grab_rows
from toolbox.tui.screens.find_there import Pointed, There
from toolbox.tui.screens.there import show_in_box
from toolbox.tui.shell import READING, Place
from toolbox.tui.text import plain
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Listed

JOB = "job "
MOST = 200  # things listed; who sees so many types another letter
FAULTS = "The kit has faults: see Ready (F2) for what is wrong."
EMPTY = "No tools yet: take in your list with toolbox import FILE.csv"


class Find(Place):
    """The field with what it may mean, the grab list of a job, one thing shown large."""

    PLACE = "find"
    HELP = (
        "Type a few letters of a tool, a supply or a job. What they may mean is listed with "
        "where it is; Up and Down move the mark, Enter shows it large with the way there. A "
        "job shows all it usually takes, tools and supplies by compartment, to be grabbed in "
        "one walk through the box. A digit in the empty field takes one of the things most "
        "used. A scanned code works too. Escape goes from the field to the list, with nothing "
        "typed back to where you were."
    )
    VERTICAL_BREAKPOINTS = [*(Place.VERTICAL_BREAKPOINTS or ()), (24, "-tall")]  # noqa: RUF012
    BINDINGS = bindings("find")
    DEFAULT_CSS = """
    Find #which { height: 1; padding: 0 1; }
    Find #sides { height: 1fr; layout: vertical; }
    Find.-wide #sides { layout: horizontal; }
    Find #left { height: 1fr; width: 1fr; }
    Find #field { padding: 0 1; }
    Find #grab { display: none; height: 1fr; }
    Find #job { height: auto; max-height: 2; padding: 0 1; text-style: bold; }
    Find.-grab #grab { display: block; }
    Find.-grab #field { display: none; }
    Find.-large #left { display: none; }
    Find There { height: 10; border-top: solid $primary; }
    Find There BoxMap.-none { display: none; }
    Find.-high There { height: 8; }
    Find.-high There BoxMap { display: none; }
    Find.-wide There { height: 1fr; width: 50%; border-top: none; border-left: solid $primary; }
    Find.-wide There { layout: vertical; }
    Find.-wide There #way { width: 1fr; height: auto; max-height: 50%; padding: 0 1 1 1; }
    Find.-wide There BoxMap { width: 1fr; }
    Find.-large There { height: 1fr; width: 1fr; border: heavy $primary; layout: horizontal; }
    Find.-large There #way { width: 2fr; height: 1fr; max-height: 100%; padding: 1 2; }
    Find.-large There BoxMap { width: 3fr; display: block; }
    Find.-large There BoxMap.-none { display: none; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._picture: Picture | None = None
        self._planned = False
        self._where = NOWHERE
        self._which = READING
        self._box: Filling | None = None
        self._job: str | None = None
        self._large: str | None = None
        self._gone = True

    def body(self) -> ComposeResult:
        """Which layout is looked at; the field or the grab list; the place of what is marked."""
        yield Static(READING, id="which", markup=False)
        with Vertical(id="sides"):
            with Vertical(id="left"):
                yield FindField(self._matches, id="field")
                with Vertical(id="grab"):
                    yield Static("", id="job", markup=False)
                    yield Rows(COLUMNS, id="tools")
            yield There()

    @property
    def _field(self) -> FindField:
        return self.query_one(FindField)

    @property
    def _tools(self) -> Rows:
        return self.query_one("#tools", Rows)

    # ---- coming and going

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Whoever comes here finds the field empty; who steps back here, all as it was."""
        super().on_screen_resume(event)
        if self._gone and not self.toolbox.stepped_back:
            self.begin_again()
        self._gone = False

    def on_screen_suspend(self, event: ScreenSuspend) -> None:
        """Another place is gone to; a menu over this one is no such thing."""
        self._gone = self.app.current_mode != self.PLACE

    def begin_again(self) -> None:
        """The field empty, and the keys go there."""
        self._to_field("", None)

    def _to_field(self, letters: str, marked: str | None) -> None:
        self._large, self._job = None, None
        self._arrange()
        self._field.afresh(letters, marked)
        self._point()

    # ---- what is shown

    @property
    def _study(self) -> Study | None:
        return self._picture.study if self._picture is not None else None

    def show(self, picture: Picture) -> None:
        """Look everything up anew; letters, mark and what is shown large stay."""
        self._picture = picture
        at = picture.study
        if at is None:
            self._which = FAULTS
        elif not at.kit.tools:
            self._which = EMPTY
        else:
            self._where, self._which = shown_where(at.kit, picture.plan, planned=self._planned)
            self._box = filling(at.kit, self._where, None, at.usage)
        self.query_one("#which", Static).update(Text(self._which))
        marked = self._field.listed.cursor_key
        self._field.ask()
        if marked is not None:
            self._field.listed.move_to(marked)
        self._fill_grab()
        self._point()

    def _matches(self, letters: str) -> Sequence[tuple[str, Text]]:
        at = self._study
        if at is None:
            return ()
        if letters:
            meant = meant_by(at.kit, self._where, letters)
        else:
            meant = likely(at.kit, self._where, at.usage)
        self._field.nothing_found(nothing_words(meant.near))
        many = f" {meant.words(MOST)}." if letters and (meant.things or meant.jobs) else ""
        self.query_one("#which", Static).update(Text(self._which + many))
        return [
            *((one.copy, match_line(one)) for one in meant.things[:MOST]),
            *((JOB + job.id, plain(f"all things for: {job.name}")) for job in meant.jobs),
        ]

    def _fill_grab(self) -> None:
        at, picture = self._study, self._picture
        if self._job is None or at is None or all(job.id != self._job for job in at.kit.jobs):
            self._job = None
            self._arrange()
            return
        found = grab_list(at.kit, self._where, self._job, at.times)
        name = plain(at.kit.job(self._job).name)
        self.query_one("#job", Static).update(name + Text(f": {grab_words(at.kit, found)}"))
        folder = picture.folder if picture is not None else None
        out = why_out(at.kit, folder.live, picture.today) if picture and folder else {}
        self._tools.refill(Listed(grab_rows(found, out)), empty=NO_TOOLS)

    @property
    def _marked(self) -> str | None:
        """The copy that is shown large or marked, or a marked job; None for nothing."""
        if self._large is not None:
            return self._large
        return self._tools.cursor_key if self._job else self._field.listed.cursor_key

    def _point(self) -> None:
        """Show where the marked thing is, with all other tools of its job."""
        at, marked, there = self._study, self._marked, self.query_one(There)
        if at is None or marked is None:
            there.show(Pointed())
            return
        job = self._job or (marked.removeprefix(JOB) if marked.startswith(JOB) else None)
        grabbed = grab_list(at.kit, self._where, job, at.times) if job else ()
        lit = frozenset(one.copy for one in grabbed if one.compartment is not None)
        if marked.startswith(JOB):
            there.show(Pointed(self._box, None, lit, grab_words(at.kit, grabbed)))
            return
        (found,) = where_are(at.kit, self._where, [marked], at.times)
        there.show(Pointed(self._box, found, lit, large=self._large is not None))

    def _arrange(self) -> None:
        self.set_class(self._job is not None, "-grab")
        self.set_class(self._large is not None, "-large")
        self.query_one(There).way.can_focus = self._large is not None

    # ---- what can be asked for

    def action_take(self) -> None:
        """Show the marked thing large, or the tools of the marked job."""
        marked = self._marked
        if marked is not None and self._large is None:
            self._take(marked)

    def _take(self, id: str) -> None:
        if id.startswith(JOB):
            self._job = id.removeprefix(JOB)
            self._fill_grab()
            self._arrange()
            self._tools.action_first()
            self._tools.focus()
        else:
            self._large = id
            self._arrange()
            self.query_one(There).way.focus()
        self._point()

    def action_box(self) -> None:
        """To the map, this tool under its cursor."""
        marked = self._marked
        if marked is not None and not marked.startswith(JOB):
            show_in_box(self.toolbox, marked)

    def action_plan(self) -> None:
        """From today's layout to the plan, and back."""
        if self._picture is None:
            return
        if self._picture.plan is None:
            self.toolbox.tell("There is no plan yet: make one with toolbox plan")
            return
        self._planned = not self._planned
        self.show(self._picture)

    def one_back(self) -> bool:
        """From the large view to where it was taken from, from a job's tools to the field."""
        large, job = self._large, self._job
        if large is not None and job is not None:
            self._large = None
            self._arrange()
            self._tools.focus()
            self._point()
        elif large is not None or job is not None:
            self._to_field(self._field.typed, large or f"{JOB}{job}")
        else:
            return False
        return True

    def marked_text(self) -> str:
        """The marked thing with the way there."""
        return self.query_one(There).words_alone

    # ---- what the widgets say

    @on(FindField.Marked)
    def _marked_in_field(self) -> None:
        self._point()

    @on(FindField.LeftEmpty)
    def _left_empty(self) -> None:
        self.toolbox.action_step_back()

    @on(FindField.Taken)
    def _taken(self, event: FindField.Taken) -> None:
        self._take(event.id)

    @on(Rows.Moved, "#tools")
    def _marked_in_grab(self) -> None:
        self._point()

    @on(Rows.Chosen, "#tools")
    def _chosen(self, event: Rows.Chosen) -> None:
        self._take(event.key)
