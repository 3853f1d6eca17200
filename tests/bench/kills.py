"""The evening's commands killed at random moments: what was said is there, and nothing else.

    python tests/bench/kills.py [--kills 200] [--seed 1] [--kinds count,checklist,settle]

A process goes on counting, ticking a list, or saying what became of a tool, and is killed
with SIGKILL after some acknowledged entries and some moments more; then the next one goes on
in the same kit. An entry counts as acknowledged once the command has printed its id. At the
end the journal and what the program shows of it are held against that; 1 when anything is
lost, cut in two, twice or not asked for. Processes are forked, so it needs a POSIX system.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import select
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import IO, NamedTuple

sys.path.insert(0, str(Path(__file__).parents[1]))

from clikit import write_kit_files

from toolbox.cli import main as toolbox
from toolbox.desk.count_book import keep_book
from toolbox.desk.folder import open_kit
from toolbox.desk.lists import list_named, open_list
from toolbox.journal.store import read_facts
from toolbox.kit.counting import Counted, Outcome, Settled, Short
from toolbox.kit.facts import LineSaid, LineState, What

TRIES = 12  # commands that a process would give if nobody killed it
MOST_WAITED = 3  # acknowledged entries before the last moments
LAST_SECONDS = 0.06
FIRST = date(2020, 1, 1)  # of the evenings counted
LISTED = "2026-11-20"  # the day of the lists ticked
_SAID = re.compile(r'^trying (\S+)$|"entry": "(\w+)"', re.MULTILINE)


class Kind(NamedTuple):
    """What is said again and again: the command of each key, and what its entry must hold.

    ``prepare`` makes the kit ready; ``shown`` gives the keys that the program shows as said.
    """

    words: Callable[[str], Sequence[str]]
    holds: Callable[[str], tuple[What, ...]]
    key: Callable[[What], str]
    prepare: Callable[[Path, int], None]
    shown: Callable[[Path, set[str]], set[str]]


@dataclass
class Tally:
    """What came of the kills of one kind: keys tried, entries acknowledged, faults in words.

    ``mid_write`` kills met an open transaction; ``found`` entries were in the journal.
    """

    kills: int = 0
    mid_write: int = 0
    tried: set[str] = field(default_factory=set)
    said: dict[str, str] = field(default_factory=dict)
    found: int = 0
    faults: list[str] = field(default_factory=list)
    seconds: float = 0.0


def keys_of(run: int) -> list[str]:
    """The keys that one process goes through, in order; no two processes share any."""
    return [f"{run}-{number}" for number in range(TRIES)]


# ---- the three kinds


def _day(key: str) -> date:
    run, number = map(int, key.split("-"))
    return FIRST + timedelta(days=run * TRIES + number)


def _key_of_day(day: date) -> str:
    run, number = divmod((day - FIRST).days, TRIES)
    return f"{run}-{number}"


def _counted(kit: Path, found: set[str]) -> set[str]:
    folder = open_kit(kit)
    book = keep_book(folder.kit, folder.live, folder.facts)
    days = {day for day, _ in book.counts}
    whole = {day for day in days if (day, "tray") in book.counts and (day, "well") in book.counts}
    return {_key_of_day(day) for day in whole}


def _write_lists(kit: Path, kills: int) -> None:
    (kit / "lists").mkdir()
    for run in range(kills):
        text = f'title = "Run {run}"\nwhen = "own"\n'
        text += "".join(f'[[line]]\nid = "n{key}"\nwords = "do {key}."\n' for key in keys_of(run))
        (kit / "lists" / f"run{run}.toml").write_text(text, encoding="utf-8")


def _ticked(kit: Path, found: set[str]) -> set[str]:
    folder, done = open_kit(kit), set()
    for run in {key.split("-")[0] for key in found}:
        opened = open_list(folder, list_named(folder, f"run{run}"), date.fromisoformat(LISTED))
        done |= {item.key[1:] for item in opened.items if item.line.done}
    return done


def _tick(key: str) -> Sequence[str]:
    return ("lists", f"run{key.split('-')[0]}", "--tick", f"n{key}", "--today", LISTED)


def _line_said(key: str) -> tuple[What, ...]:
    home = f"lists/run{key.split('-')[0]}"
    return (LineSaid(home, LISTED, f"n{key}", f"do {key}.", LineState.DONE),)


def _told(kit: Path, found: set[str]) -> set[str]:
    folder = open_kit(kit)
    book = keep_book(folder.kit, folder.live, folder.facts)
    pieces = (*book.back, *book.out)
    said = (fact.what for piece in pieces for fact in piece.said)
    return {what.where for what in said if isinstance(what, Settled)}


def _nothing(kit: Path, kills: int) -> None:
    """The small kit will do as it is."""


KINDS = {
    "count": Kind(
        lambda key: ("count", "tray", "well", "--short", "hex key 4", "--day", str(_day(key))),
        lambda key: (Counted(_day(key), "tray"), Counted(_day(key), "well", (Short("K4"),))),
        lambda what: _key_of_day(what.day) if isinstance(what, Counted) else "?",
        _nothing,
        _counted,
    ),
    "checklist": Kind(
        _tick,
        _line_said,
        lambda what: what.line[1:] if isinstance(what, LineSaid) else "?",
        _write_lists,
        _ticked,
    ),
    "settle": Kind(
        lambda key: ("settle", "hex key 4", "left", "--where", key),
        lambda key: (Settled("K4", Outcome.LEFT, where=key),),
        lambda what: what.where if isinstance(what, Settled) else "?",
        _nothing,
        _told,
    ),
}


# ---- killing


def _go_on(kind: Kind, kit: Path, run: int, out: IO[str]) -> None:
    """In the process that will be killed: one command after the other, all it prints to ``out``."""
    sys.stdout = out
    for key in keys_of(run):
        print("trying", key, flush=True)
        sys.argv = ["toolbox", *kind.words(key), "--by", "bench", "--json", "--kit", str(kit)]
        try:
            toolbox()
        except SystemExit as end:
            if end.code:
                print("ended badly", key, flush=True)
                return
        out.flush()  # as at the end of a process of its own


def _warm(kind: Kind, kit: Path) -> None:
    """Load here what the command loads, on a kit that is thrown away, for all that follow."""
    kept = sys.stdout
    with tempfile.TemporaryDirectory() as scratch, open(os.devnull, "w") as nowhere:
        try:
            _go_on(kind, shutil.copytree(kit, Path(scratch) / "kit"), 0, nowhere)
        finally:
            sys.stdout = kept


def _read(pipe: int, enough: Callable[[str], bool]) -> str:
    text = b""
    while not enough(text.decode(errors="replace")):
        got = os.read(pipe, 65536)
        if not got:
            break
        text += got
    return text.decode()


def _killed(kind: Kind, kit: Path, run: int, dice: random.Random) -> str:
    """All that a process printed until it was killed."""
    out, into = os.pipe()
    child = os.fork()
    if not child:
        os.close(out)
        status = 1
        try:
            with open(into, "w") as piped:
                _go_on(kind, kit, run, piped)
            status = 0
        except BaseException:
            traceback.print_exc()
            raise
        finally:
            os._exit(status)
    os.close(into)
    wanted = dice.randint(0, MOST_WAITED)
    text = _read(out, lambda text: text.count('"entry"') >= wanted and "trying" in text)
    select.select([], [], [], dice.uniform(0, LAST_SECONDS))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    text += _read(out, lambda _: False)
    os.close(out)
    return text


def _acknowledged(text: str) -> Iterator[tuple[str, str]]:
    """Each key tried with the id of its entry, "" where none was printed whole."""
    key = ""
    for tried, entry in _SAID.findall(text):
        if tried and key:
            yield key, ""
        if tried:
            key = tried
        else:
            yield key, entry
            key = ""
    if key:
        yield key, ""


def kill_often(name: str, kit: Path, kills: int, dice: random.Random) -> Tally:
    """Kill so many processes of one kind in turn, and check what is there afterwards."""
    kind, tally, begun = KINDS[name], Tally(), time.perf_counter()
    kind.prepare(kit, kills)
    _warm(kind, kit)
    for run in range(kills):
        text = _killed(kind, kit, run, dice)
        tally.kills += 1
        tally.mid_write += (kit / "journal.db-journal").exists()
        for key, entry in _acknowledged(text):
            tally.tried.add(key)
            if entry:
                tally.said[key] = entry
        if "ended badly" in text:
            tally.faults.append(f"a command was refused: {text[-300:]}")
    tally.faults += _faults(kind, kit, tally)
    tally.seconds = time.perf_counter() - begun
    return tally


def _faults(kind: Kind, kit: Path, tally: Tally) -> Iterator[str]:
    """Everything that is not as it must be, in words."""
    entries: dict[str, list[What]] = {}
    for fact in read_facts(kit / "journal.db"):
        entries.setdefault(fact.entry, []).append(fact.what)
    tally.found = len(entries)
    keys = {entry: kind.key(whats[0]) for entry, whats in entries.items()}
    for key, entry in tally.said.items():
        if keys.get(entry) != key:
            yield f"{key} was acknowledged as entry {entry} and is not there"
    for entry, key in keys.items():
        if key not in tally.tried:
            yield f"entry {entry} says {key}, which nobody said"
        elif tuple(entries[entry]) != kind.holds(key):
            yield f"entry {entry} of {key} is not whole: {entries[entry]}"
    if len(set(keys.values())) < len(keys):
        yield "something that was said once is there twice"
    if len(entries) > len(tally.said) + tally.kills:
        yield f"{len(entries)} entries of {len(tally.said)} acknowledged and {tally.kills} kills"
    shown = kind.shown(kit, set(keys.values()))
    if shown != set(keys.values()):
        yield f"the program shows otherwise than its journal: {shown ^ set(keys.values())}"
    connection = sqlite3.connect(kit / "journal.db")
    if connection.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
        yield "the journal is damaged"
    connection.close()
    beside = [file.name for file in kit.glob("journal.db?*")]
    if beside:
        yield f"left beside the journal: {beside}"


def main() -> int:
    """Print what came of the kills; 1 when anything was wrong or nothing was shown."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--kills", type=int, default=200, help="kills of each kind")
    words.add_argument("--seed", type=int, default=1, help="of the dice")
    words.add_argument("--kinds", default=",".join(KINDS), help="of count, checklist, settle")
    asked = words.parse_args()
    dice, wrong = random.Random(asked.seed), False
    for name in asked.kinds.split(","):
        with tempfile.TemporaryDirectory() as scratch:
            tally = kill_often(name, write_kit_files(Path(scratch)), asked.kills, dice)
        print(
            f"{name:<10} {tally.kills} kills, {tally.mid_write} in the middle of a write; "
            f"{len(tally.tried)} tried, {len(tally.said)} acknowledged, {tally.found} found; "
            f"{len(tally.faults)} faults; {tally.seconds:.0f} s"
        )
        for fault in tally.faults[:5]:
            print(f"  {fault}")
        wrong = wrong or bool(tally.faults) or not tally.said
    return int(wrong)


if __name__ == "__main__":
    sys.exit(main())
