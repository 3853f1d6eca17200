"""What can be asked for where a list is taken in; one comes there from Kit."""

from __future__ import annotations

from toolbox.tui.deeds.kinds import Action

WHERE = "import"

_VIEWS = (
    ("columns", "Columns", "What each column is read as, and why; Enter changes it"),
    ("questions", "Questions", "What only you can say, and what you said; Enter answers"),
    ("rows", "Rows", "Each row as it was read, and the guesses that its values rest on"),
    ("refused", "Refused", "What was refused: line, column, cell, the reason, what to do"),
    ("changes", "Changes", "What the list would change in the kit, to be accepted line by line"),
    ("notes", "Notes", "What was noted in reading, and what the kit has and the list does not"),
)

ROWS = (
    Action(
        "import-open",
        ("enter",),
        "Choose",
        "Give the marked column another meaning, answer the question, accept the change",
        WHERE,
        "import FILE --answer QUESTION=ANSWER",
        89,
        "open",
    ),
    Action(
        "import-accept",
        ("space",),
        "Accept",
        "Accept the marked change, or no longer; nothing is written yet",
        WHERE,
        "import FILE --accept LINE",
        86,
        "accept",
    ),
    Action(
        "import-all",
        ("a",),
        "All",
        "Accept all changes; all accepted already: none",
        WHERE,
        "import FILE --accept all",
        87,
        "accept_all",
    ),
    Action(
        "import-write",
        ("w",),
        "Write",
        "Write what is accepted into the kit, all of it or nothing, and keep the answers",
        WHERE,
        "import FILE --accept WHAT",
        88,
        "write",
    ),
    Action(
        "import-how",
        ("m",),
        "Marks",
        "Say what holds for the whole list: decimal mark, order of dates, header line, sheet",
        WHERE,
        "import FILE --answer marks=comma",
        60,
        "how",
    ),
    Action(
        "import-file",
        ("f",),
        "File",
        "Choose another list: a file by its path, or paste the list itself",
        WHERE,
        "import FILE",
        62,
        "choose_file",
    ),
    *(
        Action(
            f"import-{name}", (str(n),), label, words, WHERE, "import FILE", 40 - n,
            f"view('{name}')",
        )
        for n, (name, label, words) in enumerate(_VIEWS, 1)
    ),
)  # fmt: skip

VIEWS = tuple((name, label) for name, label, _ in _VIEWS)
