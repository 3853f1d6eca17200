"""The doctor: everything that must be in order for the program to work, looked at one by one.

What it says holds no text of the user's and no path, so that it can be sent to others.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from pathlib import Path

from toolbox import __version__

LEAST_COLUMNS, LEAST_LINES = 60, 20
OLDEST_PYTHON = (3, 11)
EXTRAS = ("sheets", "print")  # asked for by name when installing
_REQUIRED = re.compile(r"""([\w.-]+)[^;]*(?:;.*extra\s*==\s*["'](\w+)["'])?""")


class State(Enum):
    """How one thing is; the value is the word shown."""

    WELL = "well"
    LOOK = "LOOK"  # nothing is broken yet, but somebody should look
    MEND = "MEND"


@dataclass(frozen=True, slots=True)
class Check:
    """One thing that was looked at: how it is, in words, and what to do ("" for nothing)."""

    what: str
    state: State
    words: str
    cure: str = ""


@dataclass(frozen=True, slots=True)
class Machine:
    """What the program runs on, as the command found it; ``screen``: output is a terminal."""

    python: tuple[int, int, int]
    system: str
    term: str
    colours: str
    no_colour: bool
    encoding: str
    columns: int
    lines: int
    screen: bool


def examine(kit: Path | None, machine: Machine, now: datetime, *, solver: bool) -> list[Check]:
    """Everything looked at, in order; ``kit`` None where there is none, ``solver`` tries it out.

    Never raises for what it finds.
    """
    from toolbox.desk.doctor_kit import kit_checks

    checks = [*_program(machine), *_terminal(machine)]
    if kit is None:
        cure = "name the folder with --kit DIR, or make a kit with: toolbox new"
        checks.append(Check("kit", State.LOOK, "there is no kit here", cure))
    else:
        checks += kit_checks(kit, now)
    if solver:
        checks.append(_solver())
    return checks


def all_well(checks: list[Check]) -> bool:
    """Whether there is nothing to do."""
    return all(check.state is State.WELL for check in checks)


def _program(machine: Machine) -> Iterator[Check]:
    words = f"toolbox {__version__}, Python {'.'.join(map(str, machine.python))}, {machine.system}"
    if machine.python[:2] < OLDEST_PYTHON:
        yield Check("program", State.MEND, words, "use Python 3.11 or newer")
    else:
        yield Check("program", State.WELL, words)
    there, missing = _versions("")
    if missing:
        cure = "install toolbox again, into an environment of its own"
        yield Check("libraries", State.MEND, f"missing: {', '.join(missing)}", cure)
    yield Check("libraries", State.WELL, ", ".join(there))
    for extra in EXTRAS:
        there, missing = _versions(extra)
        words = ", ".join([*there, *(f"without {name}" for name in missing)])
        yield Check(f"extra {extra}", State.WELL, words)


def _versions(extra: str) -> tuple[list[str], list[str]]:
    """Each library that an install asks for, with its version, and those that are not there.

    Of one extra, "" for what every install has; none is loaded.
    """
    from importlib.metadata import PackageNotFoundError, requires, version

    found = (_REQUIRED.match(line) for line in requires("toolbox") or ())
    names = [match[1] for match in found if match and (match[2] or "") == extra]
    there, missing = [], []
    for name in names:
        try:
            there.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            missing.append(name)
    return there, missing


def _terminal(machine: Machine) -> Iterator[Check]:
    term = f"TERM={_plain(machine.term) or '(none)'}, encoding {machine.encoding or '(none)'}"
    colour = "no colours wanted" if machine.no_colour else f"colours {machine.colours}"
    if not machine.screen:
        words = f"no terminal: commands print, and there are no screens; {term}"
        yield Check("terminal", State.WELL, words)
        return
    words = f"{machine.columns} by {machine.lines}, {term}, {colour}"
    small = machine.columns < LEAST_COLUMNS or machine.lines < LEAST_LINES
    if machine.term in ("", "dumb"):
        cure = "set TERM as your terminal's maker says, like xterm-256color"
        yield Check("terminal", State.LOOK, f"{words}: it cannot draw screens", cure)
    elif small:
        cure = f"make the window at least {LEAST_COLUMNS} by {LEAST_LINES}"
        yield Check("terminal", State.LOOK, f"{words}: too small for the screens", cure)
    elif machine.encoding.lower().replace("-", "") not in ("utf8", "utf8sig"):
        cure = "set the terminal and LANG or PYTHONIOENCODING to UTF-8 for every sign of a name"
        yield Check("terminal", State.LOOK, f"{words}: some signs are shown plainer", cure)
    else:
        yield Check("terminal", State.WELL, words)


def _plain(text: str) -> str:
    return "".join(letter for letter in text if letter.isalnum() or letter in "-_.+")[:40]


def _solver() -> Check:
    """A question small enough to be answered by hand: two things, two places, one tells best."""
    from toolbox.kit.box import Inside
    from toolbox.layout.problem import Item, LayoutProblem, Outcome, Place, cost_of
    from toolbox.layout.solve import Effort, solve
    from toolbox.layout.solver import solver_there

    cure = "install toolbox again; on this system OR-Tools may have no fitting wheel"
    if not solver_there():
        return Check("solver", State.MEND, "OR-Tools is not there", cure)
    place = Place("near", Inside.ROW, 1000, 1000, 1000, 2000, 0, ())
    things = (Item("one", 900, 400, 400, 100), Item("two", 900, 700, 400, 100))
    problem = LayoutProblem(
        things, (place, place), (), 0, ((10, 50), (10, 90)), (), ((0, 1), (0, 1))
    )
    try:
        answer = solve(problem, effort=Effort.QUICK)
    except Exception as error:
        # whatever a library does here is what is looked for
        return Check("solver", State.MEND, f"it broke off ({type(error).__name__})", cure)
    homes = tuple(put.place for put in answer.puts)
    if answer.outcome is Outcome.OPTIMAL and homes == (1, 0) and cost_of(problem, homes) == 60:
        return Check("solver", State.WELL, "a question answered by hand has the same answer")
    return Check("solver", State.MEND, "it answers a question wrongly that is easy by hand", cure)
