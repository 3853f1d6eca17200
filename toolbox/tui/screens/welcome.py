"""Welcome: the first start where there is no kit. Try the demo, or begin a box of one's own."""

from __future__ import annotations

import re
from pathlib import Path
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from toolbox.desk.errors import DeskError
from toolbox.desk.setup import DEMO, box_forms, demo_at, start_kit
from toolbox.files.problems import KitFaults
from toolbox.tui.actions import bindings
from toolbox.tui.shell import Place
from toolbox.tui.text import plain
from toolbox.tui.widgets.options import Options

EXPLAINED = (
    "toolbox keeps a travelling race mechanic's box ready.",
    "Log what the work takes; it ranks the tools and plans the quickest box.",
    "A kit is a folder of plain files on this machine. There is none here yet.",
)


class Welcome(Place):
    """Three lines of what this is, and the two ways to begin."""

    PLACE = "welcome"
    HELP = (
        "There is no kit in the folder you started from. d copies the kit of a squad that does "
        "not exist into a folder of its own, to try everything on. n makes a kit of your own "
        "from one of the box forms; measure your box afterwards and put its sizes in."
    )
    BINDINGS = bindings("welcome")
    DEFAULT_CSS = """
    Welcome #words { height: auto; padding: 1 2; }
    Welcome #ways { height: auto; border: none; padding: 0 2; background: $background; }
    """

    def body(self) -> ComposeResult:
        """The three lines and the two ways."""
        yield Static(Text("\n".join(EXPLAINED)), id="words", markup=False)
        yield Options(
            Option(self._way("d", "Try the demo", f"copies it into the folder {DEMO}"), id="demo"),
            Option(self._way("n", "New box", "makes a kit of your own from a box form"), id="new"),
            id="ways",
        )

    def on_mount(self) -> None:
        """The first way is marked, so that Enter does something at once."""
        super().on_mount()
        self.query_one("#ways", OptionList).focus()

    @on(OptionList.OptionSelected, "#ways")
    def choose(self, event: OptionList.OptionSelected) -> None:
        """Enter or a click on one of the ways."""
        if event.option_id == "demo":
            self.action_demo()
        else:
            self.action_new()

    def action_demo(self) -> None:
        """Copy the demo and open it; one that was copied before is opened as it is."""
        try:
            path = demo_at(Path.cwd() / DEMO)
        except (DeskError, KitFaults, OSError) as error:
            self.toolbox.tell(str(error), refused=True)
            return
        self.toolbox.open_kit(path)

    def action_new(self) -> None:
        """Ask for a name and a form, then make the kit."""
        self.app.push_screen(NewBox(), self._made)

    def _made(self, path: Path | None) -> None:
        if path is not None:
            self.toolbox.open_kit(path)

    @staticmethod
    def _way(key: str, title: str, words: str) -> Text:
        return Text(f"{key}  {title}", "bold").append(f"   {words}", "not bold")


class NewBox(ModalScreen[Path | None]):
    """The form for a new kit: its name, and the box form most like one's own."""

    DEFAULT_CSS = """
    NewBox { align: center middle; background: $background 0%; }
    NewBox > Vertical {
        width: 56; height: auto; max-height: 90%; border: solid $primary;
        background: $surface; padding: 0 1;
    }
    NewBox OptionList { height: auto; border: none; padding: 0; background: $surface; }
    NewBox #wrong { color: $error; text-style: bold; height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", "Back", show=False)]

    def compose(self) -> ComposeResult:
        """Name, forms, and room for what is wrong."""
        with Vertical():
            yield Static(Text("A new box", "bold"), markup=False)
            yield Static("What do you call the kit? Enter goes on.", markup=False)
            yield Input(placeholder="Name of the kit", id="name")
            yield Static("Which box is most like yours? Enter makes the kit.", markup=False)
            yield Options(*(Option(plain(form), id=form) for form in box_forms()), id="forms")
            yield Static("", id="wrong", markup=False)

    def half_filled(self) -> bool:
        """Whether a name was typed."""
        return bool(self.query_one("#name", Input).value.strip())

    @on(Input.Submitted, "#name")
    def to_forms(self) -> None:
        """From the name to the forms."""
        if self.half_filled():
            self.query_one("#forms", OptionList).focus()
        else:
            self._say("Give the kit a name first.")

    @on(OptionList.OptionSelected, "#forms")
    def make(self, event: OptionList.OptionSelected) -> None:
        """Make the kit in a folder called like it, here."""
        name = self.query_one("#name", Input).value.strip()
        if not name:
            self._say("Give the kit a name first.")
            self.query_one("#name", Input).focus()
            return
        folder = Path.cwd() / folder_name(name)
        try:
            start_kit(folder, event.option_id or "", name)
        except (DeskError, KitFaults, OSError) as error:
            self._say(str(error))
            return
        self.dismiss(folder)

    def action_back(self) -> None:
        """From the forms to the name, from the name out of the form."""
        name = self.query_one("#name", Input)
        if self.focused is name:
            self.dismiss(None)
        else:
            name.focus()

    def _say(self, words: str) -> None:
        self.query_one("#wrong", Static).update(plain(words))


def folder_name(name: str) -> str:
    """A folder's name out of a kit's: small letters and digits, joined by "-"."""
    words = re.findall(r"[^\W_]+", name.casefold())
    return "-".join(words)[:60] or "kit"
