"""The app: places as modes, what works everywhere, the kit's session behind it."""

from __future__ import annotations

import importlib
import threading
from collections import deque
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any, ClassVar, Protocol, cast

from textual.app import App
from textual.binding import Binding
from textual.command import Provider
from textual.events import Event, Key
from textual.reactive import var
from textual.screen import Screen
from textual.scrollbar import ScrollBar

from toolbox.tui.actions import PLACES, Keys, bindings, default_keys
from toolbox.tui.deeds.kinds import EVERYWHERE
from toolbox.tui.one_press import OnePress, TypedAhead
from toolbox.tui.session import Broke, PictureTaken, Session, Told
from toolbox.tui.settings import Memory, Settings
from toolbox.tui.shell import BEING_READ, NONE_YET, Place
from toolbox.tui.themes import DEFAULT, THEMES
from toolbox.tui.widgets.bars import LineBar

if TYPE_CHECKING:
    from toolbox.desk.diary import When
    from toolbox.desk.folder import KitFolder
    from toolbox.desk.picture import Picture


WELCOME = "welcome"
SCREENS = {**{place.name: place.screen for place in PLACES}, WELCOME: "welcome:Welcome"}
LEAVE_SECONDS = 1.0
KINDS_KEPT = 50


class Throws(Protocol):
    """A stop signal, like the layout engine's."""

    def throw(self) -> None:
        """Ask the work to end."""
        ...


def screen_of(screen: str) -> Callable[[], Screen[Any]]:
    """A function that loads ``module:Class`` below the screens and makes one of it."""

    def make() -> Screen[Any]:
        module, _, name = screen.partition(":")
        made = getattr(importlib.import_module(f"toolbox.tui.screens.{module}"), name)()
        return cast("Screen[Any]", made)

    return make


def _palette() -> type[Provider]:
    from toolbox.tui.palette import Actions

    return Actions


class ToolboxApp(App[int]):
    """All screens on one kit. ``picture`` is the kit as last seen, None before that."""

    TITLE = "toolbox"
    DEFAULT_MODE = "ready"
    COMMANDS: ClassVar[set[Any]] = {_palette}
    # Plain lines only: half blocks look different in every terminal.
    CSS = """
    OptionList, OptionList:focus { border: none; }
    Input, Input:focus { border: solid $primary; background: $background; }
    Entry, Entry:focus { border: none; background: $surface; }
    Toast {
        border: solid $primary; background: $surface; color: $foreground; padding: 0 1;
    }
    CommandPalette SearchIcon { display: none; }
    CommandPalette #--input, CommandPalette CommandList { border: none; }
    Toast.-error { border: heavy $error; }
    * { scrollbar-size-vertical: 1; scrollbar-size-horizontal: 1; }
    """
    BINDINGS: ClassVar[list[Binding]] = bindings(EVERYWHERE)  # type: ignore[assignment]
    picture: var[Picture | None] = var(None)
    wanted: str | None = None  # what Box or Kit, gone to next, is to put its cursor on
    stepped_back = False  # whether the present place was come to by stepping back

    def __init__(
        self,
        start: Path | None,
        *,
        now: Callable[[], datetime],
        author: str,
        settings: Settings | None = None,
        memory: Memory | None = None,
        theme: str | None = None,
        today: date | None = None,
        remark: str = "",
        look_only: bool = False,
    ) -> None:
        self.settings = settings or Settings()
        super().__init__()
        ScrollBar.renderer = LineBar
        # No motion anywhere: over a slow line it only costs.
        self.animation_level = "none"
        for ours in THEMES.values():
            self.register_theme(ours)
        self.theme = theme or self.settings.theme or DEFAULT
        self.now = now
        self.author = author
        self.look_only = look_only
        self.session: Session | None = None
        self.works: list[tuple[Throws, threading.Thread]] = []
        self.kinds: deque[str] = deque(maxlen=KINDS_KEPT)
        self._start = start
        self._today = today
        self._memory = memory
        self._remark = remark
        self._trail: list[str] = []
        self._presses, self._ahead = OnePress(), TypedAhead()
        if start is None:
            self._welcome_first()

    def get_default_screen(self) -> Screen[Any]:
        """The first place. As a mode it would have all styles read twice before the first frame."""
        return screen_of(SCREENS[self.current_mode])()

    def _welcome_first(self) -> None:
        # The first mode is fixed before the app runs; without a kit it is the welcome.
        self.DEFAULT_MODE = WELCOME  # type: ignore[misc]
        self._screen_stacks = {WELCOME: []}
        self._current_mode = WELCOME

    @property
    def keys(self) -> Keys:
        """Action id -> the keys it has now."""
        return self.settings.keys

    @property
    def session_wanted(self) -> bool:
        """Whether there is a kit to show, be it seen already or not."""
        return self._start is not None or self.session is not None

    @property
    def folder(self) -> KitFolder | None:
        """The kit as last seen; None before that and while it has faults."""
        return self.picture.folder if self.picture is not None else None

    def on_mount(self) -> None:
        """Change keys as the settings say, and have the first picture taken."""
        for name, screen in SCREENS.items():
            self.add_mode(name, screen_of(screen))
        changed = {n: ",".join(k) for n, k in self.keys.items() if k != default_keys()[n]}
        if changed:
            self.set_keymap(changed)
        for fault in self.settings.faults:
            self.tell(fault, refused=True)
        if self._remark:
            self.tell(self._remark)
        if self._start is not None:
            # After the first frame: reading a kit loads much.
            self.call_after_refresh(self._begin, self._start)

    def open_kit(self, path: Path) -> None:
        """Show the screens on this kit from now on."""
        if self.session is not None:
            self.session.close()
        self._begin(path)
        self._trail.clear()
        self.switch_mode("ready")

    def _begin(self, path: Path) -> None:
        self.session = Session(path, self.post_message, self.now, self._today)
        self.session.begin()

    # ---- what the session says

    def on_picture_taken(self, message: PictureTaken) -> None:
        """The kit has changed, or was seen for the first time."""
        if self.session is None or message.picture.path != self.session.path:
            return
        first = self.picture is None or self.picture.path != message.picture.path
        self.picture = message.picture
        if first and self._memory is not None:
            self._memory.keep(kit=str(message.picture.path.resolve()))

    def on_told(self, message: Told) -> None:
        """Something was done to the kit, or was not."""
        self.tell(message.words, refused=message.refused)

    def on_broke(self, message: Broke) -> None:
        """An error nobody foresaw ends the screens with a report."""
        raise message.error

    def tell(self, words: str, *, refused: bool = False) -> None:
        """A notice; what people typed in it stays as it was typed."""
        from toolbox.tui.text import clean

        # Piled up they hide what they speak of; what was refused stays its time.
        for older in [one for one in self._notifications if one.severity == "information"]:
            self._unnotify(older)
        lines = "\n".join(clean(line) for line in words.splitlines())
        self.notify(
            lines,
            title="Not done" if refused else "",
            severity="error" if refused else "information",
            timeout=8 if refused else 4,
            markup=False,
        )

    def when(self) -> When:
        """Now, by the one who sits here: for entries of the log."""
        from toolbox.desk.diary import When

        now = self.now()
        return When(now, now, self.author)

    def write(self, do: Callable[[KitFolder], Any], said: Callable[[Any], str]) -> None:
        """Change the kit through a function of the desk; see Session.write.

        The one way to the kit: screens that only look are refused here.
        """
        if self.session is None:
            self.tell(BEING_READ if self.session_wanted else NONE_YET, refused=True)
        else:
            self.session.write(lambda folder: do(self.to_write(folder)), said)

    def to_write(self, folder: KitFolder) -> KitFolder:
        """The folder for a function that writes; where one only looks, one that refuses."""
        from toolbox.desk.look_only import only_seen

        return only_seen(folder) if self.look_only else folder

    # ---- going about

    @property
    def place(self) -> Place | None:
        """The place one is in, under whatever menu lies over it."""
        return next((s for s in reversed(self.screen_stack) if isinstance(s, Place)), None)

    def action_go(self, name: str) -> None:
        """Go to a place; where one is there already, to where its work begins."""
        here = self.current_mode
        if name == here:
            if self.place is not None:
                self.place.begin_again()
            return
        if self.session is None:
            self.tell(BEING_READ if self.session_wanted else NONE_YET)
            return
        self._trail.append(here)
        self.stepped_back = False
        self.switch_mode(name)

    def action_go_menu(self) -> None:
        """Ask where to go."""
        from toolbox.tui.menu import Menu

        rows = [(place.letter, place.name, place.title) for place in PLACES]
        self.push_screen(Menu("Go to", rows), self._go_to)

    def _go_to(self, name: str | None) -> None:
        if name is not None:
            self.action_go(name)

    def action_step_back(self) -> None:
        """One step back; at Ready, the last one, it stays."""
        place = self.place
        if place is not None and place.step_back():
            return
        if self.current_mode not in ("ready", WELCOME):
            self.stepped_back = True
            self.switch_mode(self._trail.pop() if self._trail else "ready")

    def action_jump(self) -> None:
        """Letters on everything that can be reached."""
        from toolbox.tui.jump import Jump, spots

        self.push_screen(Jump(spots(self.screen)), lambda spot: spot and spot.go())

    def action_help(self) -> None:
        """Help of the place one is in."""
        from toolbox.tui.screens.help import Help

        place = self.place
        if place is not None:
            titles = {row.name: row.title for row in PLACES}
            title = titles.get(place.PLACE, place.PLACE.capitalize())
            self.push_screen(Help(title, place.PLACE, place.HELP or "", self.keys))

    # ---- the screens themselves

    def action_command_palette(self) -> None:
        """Everything that can be done here, found by a few letters."""
        from textual.command import CommandPalette

        if not CommandPalette.is_open(cast("App[object]", self)):
            words = "A few letters of what you want to do"
            self.push_screen(CommandPalette(placeholder=words, id="--command-palette"))

    def action_pick_theme(self) -> None:
        """Ask for a theme; without colours there is nothing to choose."""
        from toolbox.tui.menu import Menu

        if self.no_color:
            self.tell("NO_COLOR is set: the theme stays as it is.")
            return
        rows = [(name[0], name, name) for name in THEMES]
        self.push_screen(Menu(f"Theme (now {self.theme})", rows), self._wear)

    def _wear(self, name: str | None) -> None:
        if name is not None:
            self.theme = name
            if self._memory is not None:
                self._memory.keep(theme=name)

    def action_copy(self) -> None:
        """Send what is marked, or the screen, to the terminal as plain text (OSC 52)."""
        from toolbox.tui.snapshot import screen_text

        place = self.place
        marked = place.marked_text() if place is not None else ""
        text = marked or screen_text(self)
        self.copy_to_clipboard(text)
        what = "the marked line" if marked else "this screen"
        self.tell(f"Sent to the terminal: {what}. Not every terminal keeps it.")

    def action_save_screen(self) -> None:
        """Ask for text or picture, then save the screen into the folder one started from."""
        from toolbox.tui.snapshot import ask_to_save

        ask_to_save(self)

    def action_take_back(self) -> None:
        """Undo the last entry of the log, or what the place says is last there."""
        from toolbox.tui.undoing import ask_to_take_back

        if self.place is not None and not self.place.take_back():
            ask_to_take_back(self)

    def action_leave(self) -> None:
        """Quit; a half-filled form is asked about first."""
        from toolbox.tui.menu import Menu

        place = self.place
        if place is None or not place.half_filled():
            self._quit()
            return
        rows = [("q", "quit", "Quit; what was typed is lost"), ("s", "stay", "Stay")]
        self.push_screen(Menu("A form is half filled", rows), self._answered)

    def _answered(self, answer: str | None) -> None:
        if answer == "quit":
            self._quit()

    def _quit(self) -> None:
        # Told before the screens are taken down, so that both end at the same time.
        self._stop_works()
        self.exit(0)

    def _stop_works(self) -> None:
        for stop, _ in self.works:
            stop.throw()

    def on_unmount(self) -> None:
        """Stop long works and the session; together they get a second."""
        end = monotonic() + LEAVE_SECONDS
        self._stop_works()
        for _, thread in self.works:
            thread.join(max(0.0, end - monotonic()))
        if self.session is not None:
            self.session.close(max(0.0, end - monotonic()))

    # ---- for the report of a crash: kinds of events, never what was typed

    async def on_event(self, event: Event) -> None:
        """Remember what kind of event this was; a key held down does nothing twice."""
        self.kinds.append(type(event).__name__)
        if isinstance(event, Key) and self._presses.held(event.key, event.time, self._stage()):
            return
        await super().on_event(self._ahead.meant(event, self))

    def _stage(self) -> tuple[object, ...]:
        over = [type(screen).__name__ for screen in self.screen_stack[-1:]]
        return (self.current_mode, *over, self.place and self.place.stage())

    def _fatal_error(self) -> None:
        # Textual prints the whole traceback with local values, which are the user's
        # texts; the report that ``launch`` writes takes its place.
        self._close_messages_no_wait()

    @property
    def broke(self) -> Exception | None:
        """The error that ended the screens, None when none did."""
        return self._exception
