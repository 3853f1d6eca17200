"""The list of what must be mended, and the kit in figures beside it."""

from __future__ import annotations

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Resize
from textual.widgets import Static
from textual.widgets.option_list import Option

from toolbox.desk.picture import Picture
from toolbox.desk.readiness import Finding
from toolbox.tui.actions import PLACES, Keys, key_words
from toolbox.tui.text import cells, plain, wrapped
from toolbox.tui.widgets.options import Options

LEAD = 6  # columns for the word of seriousness
ALL_WELL = "Nothing is left to mend."
COLOURS = {"STOP": "error", "MEND": "warning", "NOTE": "foreground"}


class Findings(Options):
    """Findings in hanging lines, each with where it is mended at its end."""

    DEFAULT_CSS = """
    Findings, Findings:focus {
        height: 1fr; width: 1fr; border: none; padding: 0 1; background: $background;
    }
    """

    def __init__(self, keys: Keys) -> None:
        super().__init__()
        self._keys = keys
        self._findings: tuple[Finding, ...] = ()

    @property
    def marked(self) -> Finding | None:
        """The finding under the cursor."""
        number = self.highlighted
        inside = number is not None and number < len(self._findings)
        return self._findings[number] if inside and number is not None else None

    def show(self, findings: tuple[Finding, ...]) -> None:
        """Show these; the cursor stays on the one it was on, if that is still there."""
        marked = self.marked
        self._findings = findings
        self._fill(marked)

    def on_resize(self, event: Resize) -> None:
        """Lay the lines out for the new width."""
        self._fill(self.marked)

    def _fill(self, marked: Finding | None) -> None:
        if not self.size.width:
            return  # not laid out yet: the resize that is coming fills it
        # A column stays free for the scroll bar, whether it is there or not.
        bar = 0 if self.show_vertical_scrollbar else 1
        width = self.scrollable_content_region.width - bar
        self.clear_options()
        self.add_options([Option(self._line(finding, width)) for finding in self._findings])
        if not self._findings:
            self.add_option(Option(plain(ALL_WELL), disabled=True))
        words = [finding.words for finding in self._findings]
        if words:
            known = marked is not None and marked.words in words
            self.highlighted = words.index(marked.words) if marked is not None and known else 0

    def _line(self, finding: Finding, width: int) -> Text:
        word = finding.seriousness.value
        colour = self.app.theme_variables.get(COLOURS[word], "")
        text = Text(f"{word:<{LEAD}}", f"bold {colour}" if colour else "bold")
        lines = wrapped(finding.words, width - LEAD)
        where = self._where(finding)
        room = width - LEAD - cells(lines[-1])
        for number, line in enumerate(lines):
            text.append("\n" + " " * LEAD if number else "", "not bold").append_text(line)
        if cells(where) + 2 <= room:
            return text.append(" " * (room - cells(where)) + where)
        return text.append("\n" + " " * max(LEAD, width - cells(where)) + where)

    def _where(self, finding: Finding) -> str:
        for place in PLACES:
            if place.name == finding.place:
                keys = self._keys[f"go-{place.name}"]
                return f"{key_words(keys[:1])} {place.title}, or: {finding.command}"
        return finding.command


class Figures(VerticalScroll, can_focus=False):
    """The kit in figures; shown only where the window is wide."""

    DEFAULT_CSS = """
    Figures { display: none; width: 36; padding: 0 1; border-left: solid $primary; }
    """

    def __init__(self, picture: Picture) -> None:
        super().__init__()
        self._picture = picture

    def compose(self) -> ComposeResult:
        """One text."""
        yield Static(_figures(self._picture), markup=False)

    def show(self, picture: Picture) -> None:
        """Show the figures of this picture."""
        self.query_one(Static).update(_figures(picture))


def _figures(picture: Picture) -> Text:
    lines = [("Folder", picture.path.name), ("Seen on", str(picture.today))]
    if picture.folder is not None:
        kit = picture.folder.kit
        facts = picture.folder.facts
        lines += [
            ("Box", kit.box.name),
            ("Tools", str(len(kit.tools))),
            ("Supplies", str(len(kit.supplies))),
            ("Jobs", str(len(kit.jobs))),
            ("In the box", str(len(kit.carried()))),
            ("Log entries", str(len({fact.entry for fact in facts}))),
            ("Last logged", str(max(f.at for f in facts).date()) if facts else "never"),
        ]
    text = Text()
    for head, value in lines:
        text.append(f"{head:<12} ", "bold").append_text(plain(value)).append("\n")
    return text
