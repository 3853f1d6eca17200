"""Two processes write to one kit at once: commands, and the session behind the screens.

    python tests/bench/two_writers.py [--writes 500]

Each writes as fast as it can, one entry after another, and looks at the journal all the while:
the session as it does for the screens, the other by reading what is new every 50 ms. An entry
counts from the moment at which its writer was told that it is there until the other side has
seen it; both moments are read off the one clock of the machine (CLOCK_MONOTONIC). 1 when a
write was refused ("locked"), an entry is missing or there twice, or the sides differ at the end.
How long seeing took is told and judged by whoever reads it: it depends on what else runs.
"""

from __future__ import annotations

import argparse
import json
import os
import queue
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterable
from contextlib import redirect_stderr, redirect_stdout
from datetime import UTC, datetime
from io import StringIO
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from clikit import write_kit_files

from toolbox.journal.store import read_facts
from toolbox.kit.facts import Fact, LoosePick

LOOK_SECONDS = 0.05
MOST_WAITED = 60.0  # seconds for the other side's last entry
WITHIN = 1.0  # seconds in which an entry is to be seen
SIDES = ("commands", "session")


class Side:
    """What one side wrote and saw: the moments by the names of entries, and refusals."""

    def __init__(self, name: str, writes: int) -> None:
        self.name = name
        self.writes = writes
        self.told: dict[str, float] = {}
        self.seen: dict[str, float] = {}
        self.refused: list[str] = []

    def look(self, facts: Iterable[Fact]) -> None:
        """Note every entry seen for the first time."""
        now = time.monotonic()
        for fact in facts:
            if isinstance(fact.what, LoosePick):
                self.seen.setdefault(fact.what.bike, now)

    def whole(self) -> bool:
        """Whether everything that both write has been seen."""
        return len(self.seen) >= 2 * self.writes


def commands(kit: Path, side: Side) -> None:
    """One command after another, in this process; a thread of its own reads the journal."""
    from toolbox.cli import cli

    done = threading.Event()

    def look() -> None:
        known: tuple[Fact, ...] = ()
        while not done.is_set():
            newer = read_facts(kit / "journal.db", known)
            side.look(newer[len(known) :] if newer[: len(known)] == known else newer)
            known = newer
            if side.whole():
                return
            time.sleep(LOOK_SECONDS)

    looking = threading.Thread(target=look)
    looking.start()
    for number in range(side.writes):
        name = f"{side.name} {number}"
        words = ["pick", "K5", "--bike", name, "--kit", str(kit)]
        with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
            try:
                cli.main(words, standalone_mode=False)
            except Exception as error:
                side.refused.append(f"{type(error).__name__}: {error}")
                continue
        side.told[name] = time.monotonic()
    looking.join(MOST_WAITED)
    done.set()
    looking.join()


def session(kit: Path, side: Side) -> None:
    """The thread behind the screens, given one change after another; it looks by itself."""
    from toolbox.desk.diary import When, pick_tools
    from toolbox.tui.session import Broke, PictureTaken, Session, Told

    came: queue.SimpleQueue[Any] = queue.SimpleQueue()

    def post(message: Any) -> None:
        if isinstance(message, PictureTaken) and message.picture.folder is not None:
            side.look(message.picture.folder.facts)
        elif isinstance(message, Told):
            came.put(message)
        elif isinstance(message, Broke):
            side.refused.append(repr(message.error))
            came.put(None)

    def write(name: str) -> Callable[..., Any]:
        at = datetime.now(UTC)
        return lambda folder: pick_tools(folder, ["CT"], When(at, at, "session"), bike=name)

    behind = Session(kit, post, lambda: datetime.now(UTC))
    behind.begin()
    for number in range(side.writes):
        name = f"{side.name} {number}"
        behind.write(write(name), lambda _entry, name=name: name)
        said = came.get()
        if said is None:
            break
        if said.refused:
            side.refused.append(said.words)
        else:
            side.told[said.words] = time.monotonic()
    until = time.monotonic() + MOST_WAITED
    while not side.whole() and time.monotonic() < until and behind.busy:
        time.sleep(LOOK_SECONDS)
    behind.close()


def both(kit: Path, writes: int) -> dict[str, dict[str, Any]]:
    """Run both sides at once, each in a process of its own; what each wrote and saw."""
    script = [sys.executable, __file__, "--writes", str(writes), "--kit", str(kit), "--as"]
    env = {**os.environ, "TOOLBOX_AUTHOR": "commands", "TOOLBOX_COPIES": "no"}
    running = [subprocess.Popen([*script, name], stdout=subprocess.PIPE, env=env) for name in SIDES]
    return {
        name: json.loads(process.communicate()[0])
        for name, process in zip(SIDES, running, strict=True)
    }


def faults(kit: Path, writes: int, sides: dict[str, dict[str, Any]]) -> list[str]:
    """What must not be: refusals, entries missing or twice, and a clock that is not in order."""
    found = [f"{name} refused: {words}" for name in SIDES for words in sides[name]["refused"]]
    facts = read_facts(kit / "journal.db")
    names = [fact.what.bike for fact in facts if isinstance(fact.what, LoosePick)]
    wanted = {f"{name} {number}" for name in SIDES for number in range(writes)}
    if sorted(names) != sorted(wanted):
        found.append(f"{len(names)} entries in the journal, {len(wanted)} were written")
    if [fact.clock for fact in facts] != list(range(1, len(facts) + 1)):
        found.append("the clock does not go up by one with each entry")
    for name in SIDES:
        if missed := wanted - sides[name]["seen"].keys():
            found.append(f"{name} never saw {len(missed)} entries")
    if list(kit.glob("journal.db-*")):
        found.append("something is left beside the journal")
    return found


def delays(sides: dict[str, dict[str, Any]], writer: str, reader: str) -> list[float]:
    """How long after its writer was told of it each entry was seen by the other side."""
    told, seen = sides[writer]["told"], sides[reader]["seen"]
    return sorted(max(0.0, seen[name] - at) for name, at in told.items() if name in seen)


def main() -> int:
    """Print what came of it; 1 when anything was wrong."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--writes", type=int, default=500, help="entries that each side writes")
    words.add_argument("--kit", type=Path, help=argparse.SUPPRESS)
    words.add_argument("--as", dest="name", choices=SIDES, help=argparse.SUPPRESS)
    asked = words.parse_args()
    if asked.name:
        side = Side(asked.name, asked.writes)
        {"commands": commands, "session": session}[asked.name](asked.kit, side)
        print(json.dumps({"told": side.told, "seen": side.seen, "refused": side.refused}))
        return 0
    with tempfile.TemporaryDirectory() as scratch:
        kit, begun = write_kit_files(Path(scratch) / "kit"), time.monotonic()
        sides = both(kit, asked.writes)
        found = faults(kit, asked.writes, sides)
    print(f"2 x {asked.writes} writes in {time.monotonic() - begun:.0f} s; {len(found)} faults")
    for writer, reader in (SIDES, SIDES[::-1]):
        took = delays(sides, writer, reader)
        late = sum(one > WITHIN for one in took)
        middle, last = (took[len(took) // 2], took[-1]) if took else (0.0, 0.0)
        print(
            f"{writer} seen by {reader}: half within {middle:.2f} s, the last after "
            f"{last:.2f} s, {late} of {len(took)} later than {WITHIN:g} s"
        )
    for fault in found[:5]:
        print(f"  {fault}")
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main())
