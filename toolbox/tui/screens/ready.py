"""Ready: is the box ready to travel, and what must be mended, most serious first."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from toolbox.tui.actions import PLACES, bindings, key_words
from toolbox.tui.shell import READING, Place
from toolbox.tui.text import cells, plain, wrapped

if TYPE_CHECKING:
    from toolbox.desk.picture import Picture
    from toolbox.desk.readiness import Finding

LEAD = 6  # columns for the word of seriousness
ALL_WELL = "Nothing is left to mend."
COLOURS = {"STOP": "error", "MEND": "warning", "NOTE": "foreground"}


class Ready(Place):
    """The findings as a list; Enter goes to where the marked one is mended."""

    PLACE = "ready"
    HELP = (
        "One look says READY or NOT READY. Below stands everything that is not as it should "
        "be, most serious first: STOP means that nothing works or something may come to harm, "
        "MEND is to be put right before the box travels, NOTE is good to know. Behind each "
        "stands where it is mended. Enter goes there."
    )
    BINDINGS = bindings("ready")
    DEFAULT_CSS = """
    Ready #verdict { height: 1; padding: 0 1; text-style: bold; }
    Ready #findings { height: 1fr; border: none; padding: 0 1; background: $background; }
    Ready #figures { display: none; width: 36; padding: 0 1; border-left: solid $primary; }
    Ready.-wide #figures { display: block; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._findings: tuple[Finding, ...] = ()

    def body(self) -> ComposeResult:
        """The verdict, the findings, and beside them in a wide window the kit in figures."""
        yield Static(READING, id="verdict", markup=False)
        with Horizontal():
            yield OptionList(id="findings")
            with VerticalScroll(id="figures", can_focus=False):
                yield Static("", id="kit", markup=False)

    def show(self, picture: Picture) -> None:
        """Fill the list; the cursor stays on the finding it was on, if that is still there."""
        before = self._marked()
        self._findings = picture.findings
        self.query_one("#verdict", Static).update(verdict_words(picture))
        self.query_one("#kit", Static).update(_figures(picture))
        self._fill(before)

    def on_resize(self) -> None:
        """Lay the lines out anew once the list has its new width."""
        self.call_after_refresh(lambda: self._fill(self._marked()))

    def _fill(self, marked: str) -> None:
        if self._shown is None:
            return
        findings = self.query_one("#findings", OptionList)
        # A column stays free for the scroll bar, whether it is there or not.
        width = findings.size.width - 2 - (findings.scrollbar_size_vertical == 0)
        findings.clear_options()
        findings.add_options([Option(self._line(f, width)) for f in self._findings])
        if not self._findings:
            findings.add_option(Option(plain(ALL_WELL), disabled=True))
        words = [finding.words for finding in self._findings]
        if words:
            findings.highlighted = words.index(marked) if marked in words else 0
        findings.focus()

    def marked_text(self) -> str:
        """The marked finding in words."""
        return self._marked()

    def action_mend(self) -> None:
        """Go to where the marked finding is mended, or name the command that does it."""
        finding = self._finding()
        if finding is None:
            return
        if any(place.name == finding.place for place in PLACES):
            self.toolbox.action_go(finding.place)
        else:
            self.toolbox.tell(f"Mend it with: {finding.command}")

    @on(OptionList.OptionSelected, "#findings")
    def mend_marked(self) -> None:
        """Enter or a click on a finding."""
        self.action_mend()

    def _finding(self) -> Finding | None:
        number = self.query_one("#findings", OptionList).highlighted
        found = self._findings
        return found[number] if number is not None and number < len(found) else None

    def _marked(self) -> str:
        finding = self._finding()
        return finding.words if finding is not None else ""

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
                keys = self.toolbox.keys[f"go-{place.name}"]
                return f"{key_words(keys[:1])} {place.title}, or: {finding.command}"
        return finding.command


def verdict_words(picture: Picture) -> str:
    """The verdict in one line, with how many findings there are of each kind."""
    many = Counter(finding.seriousness.value for finding in picture.findings)
    parts = [f"{many[word]} {word}" for word in COLOURS if many[word]]
    verdict = "READY" if picture.ready else "NOT READY"
    return f"{verdict}: {', '.join(parts)}" if parts else verdict


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
