"""Power cuts and two programs at once: what was acknowledged is there, whole, afterwards."""

import itertools
import random
import select
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

import toolbox
from toolbox.journal.store import open_journal, read_facts

HOME = Path(toolbox.__file__).parents[1]
CHILD = """
import sys
from datetime import datetime, timezone
from pathlib import Path
from toolbox.journal.store import open_journal
from toolbox.kit.facts import LoosePick
path, author, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
now = datetime(2026, 1, 17, 12, tzinfo=timezone.utc)
with open_journal(path) as journal:
    for n in range(count):
        if sys.argv[4] == "told":
            sys.stdin.readline()
        whats = [LoosePick("T1", note=f"{n} {part}") for part in "abc"]
        print(journal.add(whats, at=now, author=author, written=now), flush=True)
"""


def start(path, author, count, when):
    """A process that adds ``count`` entries of three facts and prints each acknowledged id."""
    # -S and -E: without the site packages a child is up in half the time.
    code = f"import sys; sys.path.insert(0, {str(HOME)!r})\n{CHILD}"
    return subprocess.Popen(
        [sys.executable, "-S", "-E", "-c", code, str(path), author, str(count), when],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def whole_entries(path):
    """Ids of the entries in the file, in order, after checking that each one is whole."""
    entries = {}
    for fact in read_facts(path):
        entries.setdefault(fact.entry, []).append(fact)
    for facts in entries.values():
        assert [fact.what.note.split()[1] for fact in facts] == ["a", "b", "c"]
        assert len({(fact.clock, fact.what.note.split()[0]) for fact in facts}) == 1
    clocks = [facts[0].clock for facts in entries.values()]
    assert clocks == list(range(1, len(clocks) + 1))
    return list(entries)


def sound(path):
    """SQLite's own full check, and nothing beside the file."""
    connection = sqlite3.connect(path)
    verdict = connection.execute("PRAGMA integrity_check").fetchall()
    connection.close()
    assert verdict == [("ok",)]
    assert [file.name for file in path.parent.iterdir()] == ["journal.db"]


def cut_down(path, entries, delay):
    """Kill a process adding entries: after so many acknowledged ones and so many seconds.

    Returns the ids it had printed, and whether the kill met an open transaction.
    """
    child = start(path, "Ada", 10_000, "now")
    printed = "".join(child.stdout.readline() for _ in range(entries))
    select.select([], [], [], delay)
    child.send_signal(signal.SIGKILL)
    rest, errors = child.communicate()
    assert (child.returncode, errors) == (-signal.SIGKILL, "")
    whole_lines = [line for line in (printed + rest).splitlines(keepends=True) if "\n" in line]
    return [line.strip() for line in whole_lines], path.with_name("journal.db-journal").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL and select on pipes")
def test_killed_at_a_hundred_random_moments(tmp_path):
    """After SIGKILL at any moment every acknowledged entry is there, whole, and none is locked."""
    path = tmp_path / "journal.db"
    dice = random.Random(20260117)
    promised, mid_write = [], 0
    for run in range(1, 101):
        printed, open_transaction = cut_down(path, dice.randrange(5), dice.uniform(0, 0.006))
        promised += printed
        mid_write += open_transaction
        found = whole_entries(path)
        assert set(promised) <= set(found)
        # One entry at most can be on the disk without its id having been printed.
        assert len(found) <= len(promised) + run
        assert {file.name for file in tmp_path.iterdir()} <= {"journal.db"}
    assert mid_write > 0, "no kill met an open transaction: this test shows nothing"
    assert len(promised) > 100
    sound(path)


@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL and select on pipes")
def test_killed_while_the_journal_is_made(tmp_path):
    """A journal cut down in its making can be opened and added to like any other."""
    dice = random.Random(20260118)
    for run in range(20):
        path = tmp_path / str(run) / "journal.db"
        path.parent.mkdir()
        promised, _ = cut_down(path, 0, dice.uniform(0.02, 0.08))
        open_journal(path).close()
        assert set(promised) <= set(whole_entries(path))
        sound(path)


def test_two_programs_add_at_once(tmp_path):
    """Two processes race 200 times: every entry there, none locked out, one order for all."""
    path = tmp_path / "journal.db"
    children = [start(path, author, 200, "told") for author in ("Ada", "Ben")]
    promised = set()
    for _ in range(200):
        for child in children:
            child.stdin.write("go\n")
            child.stdin.flush()
        promised.update(child.stdout.readline().strip() for child in children)
    assert [child.communicate() for child in children] == [("", "")] * 2
    assert [child.returncode for child in children] == [0, 0]
    found = whole_entries(path)
    assert len(found) == 400
    assert set(found) == promised
    with open_journal(path) as journal:
        authors = [fact.author for fact in journal.facts()]
    assert sum(one != other for one, other in itertools.pairwise(authors)) >= 199
    sound(path)


def test_two_programs_make_the_journal_at_once(tmp_path):
    """Processes that open a journal that is not there yet all find the same one."""
    for run in range(10):
        path = tmp_path / str(run) / "journal.db"
        path.parent.mkdir()
        children = [start(path, author, 1, "now") for author in ("Ada", "Ben", "Cleo")]
        told = [child.communicate() for child in children]
        assert [errors for _, errors in told] == [""] * 3
        assert set(whole_entries(path)) == {printed.strip() for printed, _ in told}
        sound(path)


def test_importing_the_journal_stays_light():
    """The journal needs nothing but the standard library, so that logging starts at once."""
    code = (
        f"import sys; sys.path.insert(0, {str(HOME)!r}); import toolbox.journal.store;"
        "foreign = {m.split('.')[0] for m in sys.modules} - sys.stdlib_module_names;"
        "print(*sorted(foreign - {'__main__', 'toolbox'}))"
    )
    done = subprocess.run(
        [sys.executable, "-S", "-E", "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == []
