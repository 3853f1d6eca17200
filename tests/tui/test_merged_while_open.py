"""The kit behind running screens, while another process merges and writes: all is seen.

What must be seen is what the journal holds when it is read from nothing.
"""

from __future__ import annotations

import queue
import shutil
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from clikit import write_kit_files

from toolbox.desk.diary import When, pick_tools
from toolbox.desk.merge import merge
from toolbox.journal.live import live_facts
from toolbox.journal.store import open_journal, read_facts
from toolbox.kit.facts import Fact, LoosePick
from toolbox.tui.session import PictureTaken, Session
from toolbox.usage.counts import Tally, known_ids

NOW = datetime(2026, 11, 20, 9, tzinfo=UTC)
MOST_WAITED = 60
TWO_WRITERS = Path(__file__).parents[1] / "bench" / "two_writers.py"


class Screens:
    """What is shown: the facts of each picture as it comes."""

    def __init__(self, kit: Path) -> None:
        self.kit = kit
        self.pictures: queue.SimpleQueue[object] = queue.SimpleQueue()
        self.session = Session(kit, self.pictures.put, lambda: NOW, look_seconds=0.02)
        self.session.begin()

    def show(self, wanted: tuple[Fact, ...]) -> None:
        """Wait until these facts are shown, and what is worked out of them is right."""
        while True:
            message = self.pictures.get(timeout=MOST_WAITED)
            if not isinstance(message, PictureTaken):
                continue
            folder = message.picture.folder
            assert folder is not None, message.picture.findings
            if folder.facts == wanted:
                break
        assert folder.live == live_facts(wanted)
        kit = folder.kit
        known = known_ids(kit.jobs, kit.tools, kit.supplies)
        assert folder.tally == Tally(known).changed(live_facts(wanted))


def pick(kit: Path, *tools: str) -> str:
    """Entries of one pick each; the id of the last."""
    with open_journal(kit / "journal.db") as journal:
        for tool in tools:
            entry = journal.add([LoosePick(tool)], at=NOW, author="x", written=NOW)
    return entry


@pytest.fixture
def screens(tmp_path: Path) -> Iterator[Screens]:
    """A kit with two entries, looked at."""
    kit = write_kit_files(tmp_path / "here")
    pick(kit, "K4", "K5")
    shown = Screens(kit)
    yield shown
    shown.session.close(MOST_WAITED)


def test_running_screens_see_what_is_merged(screens: Screens, tmp_path: Path) -> None:
    """Facts that come in between and behind those known, and an undo of one of these."""
    here, there = screens.kit, tmp_path / "there"
    journal = here / "journal.db"
    screens.show(read_facts(journal))
    shutil.copytree(here, there)
    undone = pick(here, "CT")
    pick(here, "CT")
    for number in range(2):
        pick(there, *["K5"] * (number + 1))
        with open_journal(there / "journal.db") as other:
            other.undo(read_facts(journal)[number].entry, at=NOW, author="y", written=NOW)
        merge(here, there, tmp_path / "state", wanted=False, same_kit=False)
        screens.show(read_facts(journal))
    # what is written at the screen then comes behind all of it
    when = When(NOW, NOW, "z")
    screens.session.write(lambda folder: pick_tools(folder, ["K4"], when), lambda _: "")
    merge(there, here, tmp_path / "state", wanted=False, same_kit=False)
    with open_journal(there / "journal.db") as other:
        other.undo(undone, at=NOW, author="y", written=NOW)
    merge(here, there, tmp_path / "state", wanted=False, same_kit=False)
    wait_for(screens, lambda facts: len({f.entry for f in facts}) == 11)
    assert read_facts(journal)[-1].clock > 6


def wait_for(screens: Screens, enough) -> None:
    """Wait until so much is shown that is in the journal."""
    while True:
        message = screens.pictures.get(timeout=MOST_WAITED)
        if isinstance(message, PictureTaken) and message.picture.folder is not None:
            facts = message.picture.folder.facts
            if enough(facts):
                assert facts == read_facts(screens.kit / "journal.db")
                return


def test_two_processes_write_at_once_and_both_see_all() -> None:
    """Commands and screens on one kit: nothing is refused, lost or unseen (``two_writers``)."""
    done = subprocess.run(
        [sys.executable, TWO_WRITERS, "--writes", "6"], capture_output=True, text=True
    )
    assert (done.returncode, done.stderr) == (0, ""), done.stdout
    first, *seen = done.stdout.splitlines()
    assert first.startswith("2 x 6 writes in ")
    assert first.endswith("; 0 faults")
    assert [line.partition(" seen by ")[0] for line in seen] == ["commands", "session"]
    assert all(" of 6 later than 1 s" in line for line in seen)
