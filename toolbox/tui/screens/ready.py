"""Ready: is the box ready to travel, and what must be mended, most serious first."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static

from toolbox.tui.actions import PLACES, bindings
from toolbox.tui.shell import READING, Place

if TYPE_CHECKING:
    from textual.message import Message

    from toolbox.desk.picture import Picture
    from toolbox.tui.screens.findings import Findings


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
    Ready.-wide Figures { display: block; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._list: Findings | None = None

    def body(self) -> ComposeResult:
        """The verdict. The list comes with the first picture: the first frame needs none."""
        yield Static(READING, id="verdict", markup=False)

    def show(self, picture: Picture) -> None:
        """Fill the list; the cursor stays on the finding it was on, if that is still there."""
        from toolbox.tui.screens.findings import Figures, Findings

        self.query_one("#verdict", Static).update(verdict_words(picture))
        if self._list is None:
            self._list = Findings(self.toolbox.keys)
            self.query_one("#body").mount(Horizontal(self._list, Figures(picture)))
            self.call_after_refresh(self._list.focus)
        else:
            self.query_one(Figures).show(picture)
        self._list.show(picture.findings)

    def marked_text(self) -> str:
        """The marked finding in words."""
        finding = self._list.marked if self._list is not None else None
        return finding.words if finding is not None else ""

    def action_mend(self) -> None:
        """Go to where the marked finding is mended, or name the command that does it."""
        finding = self._list.marked if self._list is not None else None
        if finding is None:
            return
        if any(place.name == finding.place for place in PLACES):
            self.toolbox.wanted = finding.subject or None
            self.toolbox.action_go(finding.place)
        else:
            self.toolbox.tell(f"Mend it with: {finding.command}")

    def on_option_list_option_selected(self, event: Message) -> None:
        """Enter or a click on a finding."""
        event.stop()
        self.action_mend()


def verdict_words(picture: Picture) -> str:
    """The verdict in one line, with how many findings there are of each kind."""
    many = Counter(finding.seriousness.value for finding in picture.findings)
    # Findings stand most serious first, and so do their counts.
    parts = [f"{number} {word}" for word, number in many.items()]
    return f"{picture.verdict}: {', '.join(parts)}" if parts else picture.verdict
