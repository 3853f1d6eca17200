"""What every place has: the line at the top, a body, the line of keys, one step back."""

from __future__ import annotations

from collections.abc import Hashable
from typing import TYPE_CHECKING, ClassVar, cast

from rich.cells import cell_len
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.events import Click, Resize, ScreenResume
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from toolbox.tui.actions import PLACES
from toolbox.tui.text import cut, plain
from toolbox.tui.widgets.key_line import KeyLine

if TYPE_CHECKING:
    from toolbox.desk.picture import Picture
    from toolbox.tui.app import ToolboxApp

LEAST_COLUMNS, LEAST_LINES = 60, 20
TOO_SMALL = (
    f"Make the window larger: {LEAST_COLUMNS} columns by {LEAST_LINES} lines are needed. q quits."
)
READING = "reading the kit"
NO_KIT = "no kit yet"
BEING_READ = "The kit is still being read: try again in a moment."
NONE_YET = "There is no kit yet: d tries the demo, n makes a new box."
_NAMES = [place.name for place in PLACES]


class TopLine(Widget):
    """Two lines: the kit and whether it is ready; the places, the present one in brackets."""

    DEFAULT_CSS = """
    TopLine { height: 2; background: $panel; color: $foreground; }
    """

    def __init__(self, place: str, state: str = READING) -> None:
        super().__init__()
        self._place = place
        self._name: str | None = None
        self._state = state
        self._ready = False
        self._spans: tuple[tuple[int, int, str], ...] = ()

    def show(self, name: str, ready: bool, state: str) -> None:
        """Show this kit and state."""
        self._name, self._ready, self._state = name, ready, state
        self.refresh()

    def render(self) -> Text:
        """Both lines as wide as the widget."""
        width = self.size.width
        state = f" {self._state} "
        name = cut(plain(self._name or "toolbox"), max(0, width - cell_len(state) - 1))
        first = Text(no_wrap=True, end="").append_text(name)
        first.append(" " * max(1, width - cell_len(name.plain) - cell_len(state)))
        first.append(state, "bold" if self._ready or self._name is None else "bold reverse")
        return first.append("\n").append_text(self._tabs())

    def _tabs(self) -> Text:
        line = Text(no_wrap=True, end="")
        spans = []
        titles = [place.title for place in PLACES]
        here = _NAMES.index(self._place) if self._place in _NAMES else 0
        for number in tabs_within(titles, here, self.size.width):
            place = PLACES[number]
            shown = place.name == self._place
            words = f"[{place.title}]" if shown else f" {place.title} "
            spans.append((line.cell_len, line.cell_len + cell_len(words), place.name))
            line.append(words, "bold reverse" if shown else "")
        self._spans = tuple(spans)
        return line

    async def on_click(self, event: Click) -> None:
        """A tab was touched."""
        for start, end, name in self._spans:
            if event.y == 1 and start <= event.x < end:
                await self.app.run_action(f"app.go('{name}')")

    def jump_spots(self) -> list[tuple[int, int, str]]:
        """Where the tabs are in this widget, with the action of each: for jumping."""
        return [(start, 1, f"app.go('{name}')") for start, _, name in self._spans]


class Place(Screen[None]):
    """The base of every place: subclasses fill ``body`` and ``show`` a picture of the kit.

    ``PLACE`` is the name in the tables of actions and places; ``TAB`` the place whose tab is
    marked where that is another one; ``HELP`` says in plain sentences what the place is for.
    """

    PLACE: ClassVar[str] = ""
    TAB: ClassVar[str] = ""
    HELP: ClassVar[str | None] = ""
    HORIZONTAL_BREAKPOINTS: list[tuple[int, str]] | None = [  # noqa: RUF012
        (0, "-tiny"),
        (LEAST_COLUMNS, "-narrow"),
        (100, "-wide"),
    ]
    VERTICAL_BREAKPOINTS: list[tuple[int, str]] | None = [  # noqa: RUF012
        (0, "-flat"),
        (LEAST_LINES, "-high"),
    ]
    BINDINGS: ClassVar[list[Binding]] = []  # type: ignore[assignment]
    DEFAULT_CSS = """
    Place { background: $background; color: $foreground; layout: vertical; }
    Place #body { height: 1fr; }
    Place #too-small { display: none; width: 100%; height: 1fr; }
    Place.-tiny #too-small, Place.-flat #too-small { display: block; }
    Place.-tiny #body, Place.-tiny TopLine, Place.-tiny KeyLine { display: none; }
    Place.-flat #body, Place.-flat TopLine, Place.-flat KeyLine { display: none; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._shown: Picture | None = None
        self._held: Widget | None = None

    @property
    def toolbox(self) -> ToolboxApp:
        """The app, as what it is."""
        return cast("ToolboxApp", self.app)

    def compose(self) -> ComposeResult:
        """Top line, body, line of keys; a plain line instead in a window too small."""
        yield TopLine(self.TAB or self.PLACE, READING if self.toolbox.session_wanted else NO_KIT)
        with Vertical(id="body"):
            yield from self.body()
        yield Static(TOO_SMALL, id="too-small", markup=False)
        yield KeyLine(self.PLACE, self.toolbox.keys)

    def body(self) -> ComposeResult:
        """What stands between the top line and the line of keys."""
        yield from ()

    def show(self, picture: Picture) -> None:
        """Show this picture of the kit; its ``folder`` is None when the kit has faults."""

    def half_filled(self) -> bool:
        """Whether leaving now would lose something typed."""
        return False

    def one_back(self) -> bool:
        """Go one step back inside the place; False when there is none."""
        return False

    def begin_again(self) -> None:
        """This place was asked for while it is shown."""

    def stage(self) -> Hashable:
        """What tells whether Enter would now do something else here than it did before."""
        return ""

    def take_back(self) -> bool:
        """Take the last thing done here back; False when that is the log's last entry.

        It is then named and asked about first: only in Log is it seen.
        """
        return False

    def marked_text(self) -> str:
        """What is under the cursor as plain text, "" for the whole screen."""
        return ""

    def on_mount(self) -> None:
        """Follow the pictures of the kit."""
        self.watch(self.app, "picture", self._look, init=True)

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Catch up with what changed while another place was shown."""
        self._look(self.toolbox.picture)

    def on_resize(self, event: Resize) -> None:
        """Give the keys back to what heard them before the window was too small."""
        small = event.size.width < LEAST_COLUMNS or event.size.height < LEAST_LINES
        if small:
            # What is not shown loses the keys; this is told before it does.
            self._held = self.focused or self._held
        elif self._held is not None:
            self.call_after_refresh(self._give_back)

    def _give_back(self) -> None:
        held, self._held = self._held, None
        if held is not None and self.focused is None and held in self.focus_chain:
            self.set_focus(held, scroll_visible=False)

    def _look(self, picture: Picture | None) -> None:
        # A place that is not shown catches up when it is gone to.
        if picture is None or picture is self._shown or not self.is_current:
            return
        self._shown = picture
        self.query_one(TopLine).show(picture.name, picture.ready, state_words(picture))
        self.show(picture)

    def step_back(self) -> bool:
        """Escape: out of a field, then a step inside the place; False when neither is there."""
        # Loaded when asked for: the first frame needs no field.
        from textual.widgets import Input

        from toolbox.tui.widgets.entry import leave_line

        if isinstance(self.focused, Input):
            leave_line(self)
            return True
        return self.one_back()


def tabs_within(titles: list[str], here: int, width: int) -> range:
    """Which tabs fit the width, the present one among them: as many as can from the first on.

    None is cut; the others are reached by their keys and by ``g``.
    """
    first = 0
    while first < here and sum(cell_len(t) + 2 for t in titles[first : here + 1]) > width:
        first += 1
    last, used = first, 0
    while last < len(titles) and used + cell_len(titles[last]) + 2 <= width:
        used += cell_len(titles[last]) + 2
        last += 1
    return range(first, max(last, here + 1))


def state_words(picture: Picture) -> str:
    """READY, or NOT READY with how much is to be mended."""
    return picture.verdict if picture.ready else f"{picture.verdict}: {picture.to_mend}"
