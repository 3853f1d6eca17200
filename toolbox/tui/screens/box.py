"""Box: the compartments drawn to scale, today and planned, with what lies in them."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.events import DescendantFocus, ScreenResume
from textual.widgets import Static

from toolbox.desk.box_words import compartment_lines, layout_words, thing_lines
from toolbox.desk.drawn_box import Filling, filling
from toolbox.desk.picture import Picture
from toolbox.kit.layouts import Layout
from toolbox.tui.actions import bindings, key_words
from toolbox.tui.screens.box_about import About, Pane, WhyCame, ask_why
from toolbox.tui.shell import READING, Place
from toolbox.tui.text import plain
from toolbox.tui.widgets.box_map import BoxMap

TODAY, PLANNED = "today", "planned"
WHOLE = ""
TITLES = {TODAY: "TODAY", PLANNED: "PLAN"}
FAULTS = "The kit has faults, so its box cannot be drawn: {key} Ready names them."
NO_COMPARTMENTS = "This box has no compartments yet: describe them in box.toml."


class BoxPlace(Place):
    """Today's layout and the plan as pictures; the whole box or one compartment of it."""

    PLACE = "box"
    HELP = (
        "The box from above, layer by layer, drawn to scale with its front edge below. Enter "
        "goes into the marked compartment, Escape comes out again. There every tool has its "
        "outline as it lies; small ones have a letter, explained beside or below. The filling "
        "tells the use: . hardly used, : seldom, = now and then, # used most. * marks what "
        "lies in another compartment in the other layout. A loose compartment, and what has no "
        "known spot, is a list.\n\n"
        "The arrows go to the nearest thing in their direction, Tab to the next one. p changes "
        "between today and the plan; from 100 columns on both are shown. w says why the marked "
        "tool lies there. Below the picture stands what is marked, with the openings on the way "
        "to it as small steps."
    )
    BINDINGS = bindings("box")
    DEFAULT_CSS = """
    BoxPlace #none { display: none; padding: 1 2; height: 1fr; }
    BoxPlace.-none #none { display: block; }
    BoxPlace.-none #panes, BoxPlace.-none About { display: none; }
    BoxPlace #panes { height: 1fr; }
    BoxPlace.-wide Pane.-there { display: block; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._side = TODAY
        self._view = WHOLE
        self._fillings: dict[str, Filling] = {}
        self._asked = 0
        self._why = False

    def body(self) -> ComposeResult:
        """Two pictures, of which a narrow window shows one; lines about what is marked."""
        yield Static(READING, id="none", markup=False)
        with Horizontal(id="panes"):
            yield Pane(TODAY)
            yield Pane(PLANNED)
        yield About()

    # ---- pictures of the kit

    def show(self, picture: Picture) -> None:
        """Draw both layouts; cursor, compartment and scale stay as they were."""
        first = not self._fillings
        self._fillings = _fillings(picture)
        self.set_class(not self._fillings, "-none")
        if not self._fillings:
            key = key_words(self.toolbox.keys["go-ready"][:1])
            fault = FAULTS.format(key=key) if picture.folder is None else NO_COMPARTMENTS
            self.query_one("#none", Static).update(plain(fault))
            return
        if self._side not in self._fillings or (first and picture.present is None):
            self._side = next(reversed(self._fillings))
        if self._view not in {f.compartment.id for f in self._here.filled}:
            self._view = WHOLE
        self._draw()
        if first:
            self.call_after_refresh(self._map.focus)
        self._go_to_wanted()

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Another place may have sent one here to see something."""
        self.call_after_refresh(self._go_to_wanted)

    def _go_to_wanted(self) -> None:
        copy = getattr(self.toolbox, "wanted", None)
        if copy is None or not self._fillings:
            return
        self.toolbox.wanted = None
        for side in dict.fromkeys((self._side, *self._fillings)):
            home = self._fillings[side].home(copy)
            if home is not None:
                self._side = side
                self._enter(home, copy)
                return
        self.toolbox.tell("It has no place in the box yet.")

    @property
    def _here(self) -> Filling:
        return self._fillings[self._side]

    @property
    def _there(self) -> Filling | None:
        return next((f for side, f in self._fillings.items() if side != self._side), None)

    @property
    def _map(self) -> BoxMap:
        return self._pane(self._side).map

    def _pane(self, side: str) -> Pane:
        return self.query_one(f"#{side}", Pane)

    def _draw(self) -> None:
        for side in (TODAY, PLANNED):
            pane = self._pane(side)
            there = side in self._fillings
            pane.set_class(there, "-there")
            pane.set_class(side == self._side, "-active")
            if there:
                here = self._fillings[side]
                pane.title.show(self._title(side))
                pane.map.show(here.one(self._view) if self._view else here.whole())
        self._tell()

    def _title(self, side: str) -> str:
        here = self._fillings[side]
        other = next((f for s, f in self._fillings.items() if s != side), None)
        return f"{TITLES[side]}  {layout_words(here, other, self._view)}"

    # ---- what is marked

    @on(BoxMap.Moved)
    def marked(self, event: BoxMap.Moved) -> None:
        """Say what is under the cursor, and mark the same in the other picture."""
        if event.box_map is not self._map:
            return
        self._close_why()
        self._tell()
        for side in self._fillings:
            if side != self._side:
                self._pane(side).map.move_to(event.key)

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """The picture that has the focus is the one that is talked about."""
        pane = event.widget.parent
        if self._why and isinstance(pane, Pane):
            self._close_why()
            self._tell()
        if isinstance(pane, Pane) and pane.id != self._side and pane.id in self._fillings:
            self._side = pane.id
            self._close_why()
            self._draw()

    def _tell(self) -> None:
        if not self._why:
            self.query_one(About).show(self._lines())

    def _lines(self) -> tuple[str, ...]:
        picture, key = self.toolbox.picture, self._map.cursor_key
        if picture is None or picture.study is None or not self._fillings:
            return ()
        planned, study = self._side == PLANNED, picture.study
        if not self._view or key is None or self._here.home(key) is None:
            compartment = self._view or key
            if compartment is None:
                return ()
            return compartment_lines(self._here, self._there, planned, study.usage, compartment)
        return thing_lines(self._here, self._there, planned, study.usage, study.times, key)

    def marked_text(self) -> str:
        """What is said about what is marked."""
        return self.query_one(About).words

    # ---- going about

    @on(BoxMap.Chosen)
    def chosen(self, event: BoxMap.Chosen) -> None:
        """Enter, or a second click."""
        self.action_open()

    def action_open(self) -> None:
        """Into the marked compartment; on a thing, why it lies there."""
        key = self._map.cursor_key if self._fillings else None
        if key is None:
            return
        if self._view:
            self.action_why()
        else:
            self._enter(key)

    def _enter(self, view: str, key: str | None = None) -> None:
        """Show one compartment, or the whole box, with the cursor on this."""
        self._view = view
        self._close_why()
        self._draw()
        if key is not None:
            for side in self._fillings:
                self._pane(side).map.move_to(key)
            self._tell()
        self._map.focus()

    def one_back(self) -> bool:
        """Out of the reasons, then out of the compartment."""
        if self._why:
            self._close_why()
            self._tell()
            return True
        if not self._view:
            return False
        self._enter(WHOLE, self._view)
        return True

    def action_swap(self) -> None:
        """Today instead of the plan, or the plan instead of today."""
        other = next((side for side in self._fillings if side != self._side), None)
        if other is None:
            self.toolbox.tell("There is only one layout to show; m goes to Plan.")
            return
        key = self._map.cursor_key
        self._side = other
        self._enter(self._view, key)

    def action_follow(self) -> None:
        """To the marked thing in the other layout."""
        key, there = self._map.cursor_key if self._fillings else None, self._there
        home = there.home(key) if there is not None and key is not None else None
        if home is None:
            self.toolbox.tell("Mark a tool in a compartment that both layouts have a place for.")
            return
        self._side = next(side for side in self._fillings if side != self._side)
        self._enter(home, key)

    def action_larger(self) -> None:
        """Draw larger."""
        self._zoom(1)

    def action_smaller(self) -> None:
        """Draw smaller."""
        self._zoom(-1)

    def action_whole(self) -> None:
        """Draw all of it in the window."""
        for pane in self.query(Pane):
            pane.map.whole()

    def _zoom(self, steps: int) -> None:
        for side in self._fillings:
            self._pane(side).map.zoom(steps)

    def action_make_plan(self) -> None:
        """To Plan."""
        self.toolbox.action_go("plan")

    # ---- why here

    def action_why(self) -> None:
        """Ask in a thread why the marked thing lies where it lies."""
        picture = self.toolbox.picture
        key = self._map.cursor_key if self._fillings else None
        if picture is None or picture.folder is None or key is None:
            return
        if not self._view or self._here.home(key) is None:
            self.toolbox.tell("Mark a tool first: Enter goes into the marked compartment.")
            return
        self._asked += 1
        self._open_why()
        about = self.query_one(About)
        about.show((self._lines()[0], "Working out why it lies here ..."))
        works = self.toolbox.works
        works[:] = [(stop, thread) for stop, thread in works if thread.is_alive()]
        present = self._side == TODAY
        asked = (picture.folder, picture.today, key, present, self._asked)
        works.append(ask_why(*asked, self.post_message))

    @on(WhyCame)
    def why_came(self, event: WhyCame) -> None:
        """Show the reasons, unless something else was marked meanwhile."""
        if self._why and event.number == self._asked:
            self.query_one(About).show(event.lines)

    def _open_why(self) -> None:
        if not self._why:
            self._show_why(True)

    def _close_why(self) -> None:
        if self._why:
            self._show_why(False)

    def _show_why(self, shown: bool) -> None:
        self._why = shown
        for pane in self.query(Pane):
            # The lines take room from the picture, which is not to change under the eye.
            pane.map.hold(shown)
        about = self.query_one(About)
        about.set_class(shown, "-why")
        about.can_focus = shown
        # The keys move through the reasons while they are read.
        (about if shown else self._map).focus()


def _fillings(picture: Picture) -> dict[str, Filling]:
    """What can be drawn of a kit: today's layout, or the plan, or both."""
    if picture.folder is None or not picture.folder.kit.box.compartments:
        return {}
    kit = picture.folder.kit
    usage = picture.study.usage if picture.study is not None else None
    plan = picture.plan.layout if picture.plan is not None else None
    found = {}
    if picture.present is not None or plan is None:
        today = picture.present or Layout(TODAY, ())
        found[TODAY] = filling(kit, today, plan, usage)
    if plan is not None:
        found[PLANNED] = filling(kit, plan, picture.present, usage)
    return found
