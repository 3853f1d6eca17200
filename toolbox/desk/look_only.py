"""Looking only: a kit folder that can be read as far as it was seen, and never written to."""

from __future__ import annotations

from typing import Any

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder

ONLY_LOOKING = (
    "Not written: these screens only look. Whoever opened them can open them without --look-only."
)


class _Seen(KitFolder):
    """What was seen of a folder, without the way to it: no desk function can write there."""

    def __getattribute__(self, name: str) -> Any:
        # Everything that writes must ask where; so nothing has to be listed here to be refused.
        if name in ("path", "journal"):
            raise DeskError(ONLY_LOOKING)
        return super().__getattribute__(name)


def only_seen(folder: KitFolder) -> KitFolder:
    """The folder as it is now: its kit and its facts.

    Whatever asks it for a path, to read or to write, gets DeskError with ONLY_LOOKING.
    """
    assert folder.live is not None, "read here: the copy could not"
    seen = object.__new__(_Seen)
    seen.__dict__.update(folder.__dict__)
    return seen
