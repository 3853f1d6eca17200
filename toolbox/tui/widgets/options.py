"""A short list of choices whose cursor stops at both ends."""

from __future__ import annotations

from textual.widgets import OptionList


class Options(OptionList):
    """Up on the first choice and Down on the last stay there: with gloves one presses too often."""

    def action_cursor_up(self) -> None:
        """To the choice above, if there is one."""
        if self.highlighted != 0:
            super().action_cursor_up()

    def action_cursor_down(self) -> None:
        """To the choice below, if there is one."""
        if self.highlighted != self.option_count - 1:
            super().action_cursor_down()
