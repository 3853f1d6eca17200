"""Exit codes of the command ``toolbox``."""

from __future__ import annotations

DONE = 0  # it was done
NO = 1  # it was done and the answer is no: nothing found, no layout, a trip that does not fit
TYPED_WRONG = 2  # the command line itself is wrong (click's own code)
FAULTY = 3  # a kit file, list or journal has faults; they were named
UNCLEAR = 4  # a name could mean several things and nobody was there to ask
BROKE = 5  # the screens broke off; a report was written

MEANINGS = {
    DONE: "done",
    NO: "the answer is no: nothing by that name, no layout, a list refused, what cannot be drawn, "
    "bags that do not fit, "
    "an instrument that is out",
    TYPED_WRONG: "the command was typed wrong",
    FAULTY: "a kit file or the journal has faults, each one named",
    UNCLEAR: "a name could mean several things",
    BROKE: "the screens broke off; every confirmed entry is stored, a report was written",
}
