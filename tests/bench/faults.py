"""Everything that can happen to the files of a kit, on purpose, many times; what then is.

    python tests/bench/faults.py [--share 1.0] [--seed 1] [--kinds killed,full] [--table]

Each command that writes is run on a kit of its own and disturbed at each of its steps (a step
is one call that changes a file): killed, killed in the middle of a write, the disk full from
there on, an error of the disk, the disk read-only from there on, a file changed by somebody
else. Apart from that files and folders may only be read, the clock is wrong, files are cut
short, bits are flipped. Then it is looked whether the kit opens, whether what is wrong is said
in a sentence, and whether anything that was acknowledged is lost. ``--share`` takes that part
of all faults by dice; 1 when anything was lost or nobody said what is wrong. It needs Linux
and a C compiler, for ``faults.c``.
"""

from __future__ import annotations

import argparse
import contextlib
import ctypes
import io
import json
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

sys.path.insert(0, str(Path(__file__).parents[1]))

from clikit import RACE, write_kit_files

from toolbox.cli import main as toolbox
from toolbox.desk.backup import copies_in, faults_of, newest_good
from toolbox.desk.backup_daily import beside_copy, changed_since
from toolbox.desk.backup_home import copies_of
from toolbox.desk.backup_restore import Becomes, copy_named, go_on, look_ahead, restore
from toolbox.desk.errors import DeskError
from toolbox.desk.trips import read_everything
from toolbox.files.archive import kit_files
from toolbox.files.problems import KitFaults, Problems
from toolbox.files.sources import load
from toolbox.journal.copies import held
from toolbox.journal.errors import JournalError
from toolbox.journal.salvage import readable
from toolbox.journal.schema import MIGRATIONS
from toolbox.journal.store import read_facts

PRELOADED = "TOOLBOX_FAULTS"
STEPWISE = {"killed": 1, "torn": 2, "full": 3, "disk error": 4, "turned read-only": 5}
CHANGE, COUNT = 6, 7
OTHERS = ("changed beneath", "read-only", "clock", "cut short", "flipped bits")
_ID = re.compile(r"\b[0-9a-f]{32}\b")
LINE = "# by somebody else\n"
NOBODY = 65534
LIST = """name,id,mass,length,width,height
Hex key 4 mm,K4,26 g,135 mm,26 mm,4 mm
New key,NK,20 g,100 mm,20 mm,5 mm
"""

# What each way of writing types; OUT is a folder beside the kit.
WAYS = {
    "log": "log CH --bike A1",
    "undo": "undo",
    "count": "count tray well --short K5",
    "settle": "settle K4 left --where tent",
    "tick": "lists evening --tick 1 --today 2026-03-10",
    "edit": "edit tool K4 note=worn",
    "place": "place K4 --in tray",
    "adopt": "adopt",
    "rebuild": "rebuild --tick",
    "import": "import OUT/list.csv --accept all",
    "stow": "stow pump --out --trip race",
    "trip": "trip other",
    "customs": "customs race --bag soft --issue",
    "first log": "log CH",
    "migrate": "log CH",
    "new": "new OUT/new --box clamshell",
    "export": "export --out OUT/export",
    "daily copy": "uses",
    "backup": "backup OUT/stick",
    "restore": "restore newest --yes",
}


class State(NamedTuple):
    """A kit as far as it must not be lost: its files, the facts of its journal, what is beside."""

    files: dict[str, bytes]
    facts: tuple[str, ...]
    beside: tuple[str, ...]


@dataclass
class Tally:
    """What came of the faults of one kind."""

    number: int = 0
    opened: int = 0
    told: int = 0
    unseen: int = 0
    unseen_facts: int = 0
    lost: int = 0
    named: int = 0
    partly: int = 0
    wrong: list[str] = field(default_factory=list)


class Ran(NamedTuple):
    """How a command in a process of its own ended: None for a kill; and what it said."""

    code: int | None
    said: str
    steps: int


class Yard:
    """The kits that are broken: one as it should be for each way, copied for each fault."""

    def __init__(self, folder: Path, names: Sequence[str]) -> None:
        self.folder = folder
        self.shim = ctypes.CDLL(None) if os.environ.get(PRELOADED) else None
        os.environ |= {"TOOLBOX_AUTHOR": "bench", "TOOLBOX_COPIES": "yes", "COLUMNS": "80"}
        self.plain = folder / "plain"
        self.number = 0
        self.known: dict[str, tuple[State | None, State, int]] = {}
        folder.chmod(0o755)
        self.names = [name for name in names if name in WAYS]
        self._build()
        self._warm()

    def _build(self) -> None:
        kit = write_kit_files(self.plain / "kit")
        (kit / "trips").mkdir()
        (kit / "trips" / "race.toml").write_text(RACE)
        about = '\n[customs]\ncountry = "DE"\ncurrency = "EUR"\n'
        (kit / "kit.toml").write_text((kit / "kit.toml").read_text() + about)
        (self.plain / "out").mkdir()
        (self.plain / "out" / "list.csv").write_text(LIST)
        self._must("lists --copy evening")
        if {"adopt", "rebuild"} & set(self.names):
            self._must("plan --effort quick")
        for _ in range(12):
            self._must("log CH --bike A1")
            self._must("pick K4 K5")
        # the automatic copy lacks what is logged from here on
        shutil.rmtree(self.plain / "state")
        self._must("uses")
        self._must("pick CT --note late")
        self._must("log BC --bike B1")

    def _warm(self) -> None:
        """Load here what the commands load, for all processes that follow."""
        for way in self.names:
            place = self.fresh(way)
            self._here(self._argv(place, WAYS[way]), place)
            shutil.rmtree(place)

    def _argv(self, place: Path, words: str) -> list[str]:
        argv = ["toolbox", *words.replace("OUT", str(place / "out")).split()]
        return argv if argv[1] == "new" else [*argv, "--kit", str(place / "kit")]

    def _must(self, words: str) -> None:
        os.environ["TOOLBOX_STATE"] = str(self.plain / "state")
        code, said = self._here(self._argv(self.plain, words), self.plain)
        assert code == 0, (words, said)

    def _here(self, argv: list[str], place: Path) -> tuple[int, str]:
        """A command in this process, so that what it loads is there for all that follow."""
        kept = sys.stdin, sys.stdout, sys.stderr, sys.argv
        try:
            with tempfile.TemporaryFile() as said:
                code = self._in_child(argv, place, said.fileno(), (0, 0), 0, nobody=False)
                said.seek(0)
                return code, said.read().decode()
        finally:
            sys.stdin, sys.stdout, sys.stderr, sys.argv = kept

    def fresh(self, way: str = "") -> Path:
        """A kit with its copies and the folder beside, as the way needs them."""
        self.number += 1
        place = Path(shutil.copytree(self.plain, self.folder / str(self.number)))
        os.environ["TOOLBOX_STATE"] = str(place / "state")
        # copies are kept by the place of the kit
        for there in (place / "state" / "copies").iterdir():
            there.rename(copies_of(place / "kit"))
        if way == "first log":
            (place / "kit" / "journal.db").unlink()
        if way == "migrate":
            _older(place / "kit" / "journal.db")
        if way == "daily copy":
            (day,) = copies_of(place / "kit").iterdir()
            day.rename(day.with_name("2020-01-01"))
        if way == "restore":
            (place / "kit" / "tools.toml").write_text("broken =")
            (place / "kit" / "more.toml").write_text("x = 1")
        return place

    def run(
        self,
        place: Path,
        words: str,
        *,
        arm: tuple[int, int] = (0, 0),
        clock: int = 0,
        nobody: bool = False,
    ) -> Ran:
        """A command in a process of its own, with a fault at one of its steps."""
        os.environ["TOOLBOX_STATE"] = str(place / "state")
        argv = self._argv(place, words)
        with tempfile.TemporaryFile() as said:
            child = os.fork()
            if not child:
                os._exit(self._in_child(argv, place, said.fileno(), arm, clock, nobody=nobody))
            _, status = os.waitpid(child, 0)
            said.seek(0)
            text = said.read().decode(errors="replace")
        steps = int(text.rpartition("STEPS ")[2] or 0) if "STEPS " in text else 0
        code = os.WEXITSTATUS(status) if os.WIFEXITED(status) else None
        return Ran(code, text, steps)

    def _in_child(
        self,
        argv: list[str],
        place: Path,
        said: int,
        arm: tuple[int, int],
        clock: int,
        *,
        nobody: bool,
    ) -> int:
        sys.stdin = io.StringIO()
        sys.stdout = sys.stderr = said_to = io.StringIO()
        sys.argv = argv
        code = 70
        if nobody:
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        if self.shim is not None:
            self.shim.fault_clock(ctypes.c_long(clock))
            other = str(place / "kit" / "tools.toml").encode()
            self.shim.fault_other(other, LINE.encode())
            self.shim.fault_arm(arm[0], ctypes.c_long(arm[1]))
        try:
            toolbox()
        except SystemExit as end:
            code = int(end.code or 0)
        except BaseException:
            traceback.print_exc(file=said_to)
        if self.shim is not None:
            count = self.shim.fault_steps()
            self.shim.fault_arm(0, ctypes.c_long(0))
            said_to.write(f"STEPS {count}\n")
        os.write(said, said_to.getvalue().encode(errors="replace"))
        return code


def _older(path: Path) -> None:
    """The journal as the program before wrote it, where there was one."""
    import sqlite3

    rows = (
        sqlite3.connect(path)
        .execute("SELECT id, entry, clock, nth, at, written, author, kind, body FROM facts")
        .fetchall()
    )
    path.unlink()
    connection = sqlite3.connect(path, isolation_level=None)
    for migration in MIGRATIONS[:1]:
        for statement in migration.statements:
            connection.execute(statement)
        connection.execute("INSERT INTO migrations VALUES (?, ?)", migration[:2])
    connection.executemany("INSERT INTO facts VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", rows)
    connection.close()


def state_of(place: Path) -> State:
    """What is there now; KitFaults or JournalError when it does not open."""
    kit = place / "kit"
    read_everything(kit)
    files = {path.relative_to(kit).as_posix(): path.read_bytes() for path in kit_files(kit)}
    facts = tuple(f"{f.entry}/{f.author}: {f.what}" for f in read_facts(kit / "journal.db"))
    beside = sorted(path.name for path in (place / "out").iterdir() if path.name != "list.csv")
    home = copies_of(kit)
    beside += [f"copy {c.name}: {faults_of(c)}" for c in (*copies_in(home), *_stick(place))]
    return State(files, facts, tuple(beside))


def _stick(place: Path) -> tuple[object, ...]:
    return copies_in(place / "out" / "stick")


def _plain_facts(facts: Sequence[str]) -> list[str]:
    """Without the ids that are made anew each time."""
    return [_ID.sub("ID", fact.partition("/")[2]) for fact in facts]


# ---- commands disturbed


def disturb(yard: Yard, kind: str, share: float, dice: random.Random) -> Tally:
    """Every way of writing, with this fault at each of its steps."""
    tally = Tally()
    for way in yard.names:
        before, after, steps = _undisturbed(yard, way)
        for step in range(1, steps + 1):
            if dice.random() < share:
                place = yard.fresh(way)
                arm = (STEPWISE.get(kind, CHANGE), step)
                ran = yard.run(place, WAYS[way], arm=arm)
                _judge(yard, tally, place, ran, f"{kind} at {step} of {steps}: {way}",
                       way, before, after)  # fmt: skip
                shutil.rmtree(place)
    return tally


def _undisturbed(yard: Yard, way: str) -> tuple[State | None, State, int]:
    """What is there before and after, and in how many steps it comes; asked once for a way."""
    if way in yard.known:
        return yard.known[way]
    place = yard.fresh(way)
    try:
        before: State | None = state_of(place)
    except (KitFaults, JournalError):
        before = None
    ran = yard.run(place, WAYS[way], arm=(COUNT, 0))
    assert ran.code == 0, (way, ran.said)
    yard.known[way] = before, state_of(place), ran.steps
    shutil.rmtree(place)
    return yard.known[way]


def _judge(
    yard: Yard,
    tally: Tally,
    place: Path,
    ran: Ran,
    label: str,
    way: str,
    before: State | None,
    after: State,
) -> None:
    """What is there after a fault held against what was before and what should come."""
    tally.number += 1
    if "Traceback" in ran.said or ran.code == 70:
        tally.wrong.append(f"{label}: nobody foresaw it\n{ran.said[-1500:]}")
    elif ran.code:
        tally.told += 1
    try:
        now = state_of(place)
        tally.opened += 1
    except (KitFaults, JournalError) as error:
        tally.told += not ran.code
        if way != "restore" or not _gone_on(place, error):
            if before is not None:
                tally.wrong.append(f"{label}: does not open: {error}")
            elif (place / "kit" / "tools.toml").read_bytes() != b"broken =":
                tally.wrong.append(f"{label}: neither the old nor the new: {error}")
            return
        now = state_of(place)
    for lost in _lost(label, way, ran, now, before, after):
        tally.lost += 1
        tally.wrong.append(lost)
    if way not in ("restore", "new", "export", "trip", "customs", "adopt", "backup"):
        again = yard.run(place, WAYS[way])
        if way == "import":
            # entry by entry: what was taken in before the end is there, the rest comes now
            files = {n: d.replace(LINE.encode(), b"") for n, d in state_of(place).files.items()}
            tally.partly += now.files not in [before and before.files, after.files]
            if files != after.files:
                tally.wrong.append(f"{label}: taken in again it is not all there")
        if again.code not in (0, 1) or "Traceback" in again.said:
            tally.wrong.append(f"{label}: it does not go on: {again.said[-400:]}")


def _gone_on(place: Path, error: Exception) -> bool:
    """A restore that was broken off says so, and can be finished."""
    if "toolbox restore --go-on" not in str(error):
        return False
    return go_on(place / "kit")


def _lost(
    label: str, way: str, ran: Ran, now: State, before: State | None, after: State
) -> Iterator[str]:
    olds = (before, after) if before is not None else (after,)
    facts = _plain_facts(now.facts)
    if not any(facts == _plain_facts(old.facts) for old in olds):
        yield f"{label}: facts are neither old nor new"
    if ran.code == 0 and facts != _plain_facts(after.facts):
        yield f"{label}: acknowledged and not there"
    foreign = LINE.encode()
    changed = "changed beneath" in label
    for name in {name for old in olds for name in old.files} | now.files.keys():
        data = now.files.get(name)
        plain = data.replace(foreign, b"") if data is not None and changed else data
        if plain not in [old.files.get(name) for old in olds] and way != "import":
            yield f"{label}: {name} is neither old nor new"
        if ran.code == 0 and plain != after.files.get(name):
            yield f"{label}: {name} was said to be written and is not"
    if changed and foreign not in now.files.get("tools.toml", b"") and way != "restore":
        yield f"{label}: what somebody else wrote is gone"
    if any(": ()" not in line for line in now.beside if line.startswith("copy ")):
        yield f"{label}: a copy is not good: {now.beside}"
    strange = [n for n in now.beside if not n.startswith(("copy ", ".")) and n != "stick"]
    if not set(strange) <= set(after.beside):
        yield f"{label}: left beside: {strange}"


# ---- no leave to write, a wrong clock


def no_leave(yard: Yard, share: float, dice: random.Random) -> Tally:
    """Each way of writing by a user who may only read one file, one folder, or everything."""
    tally = Tally()
    for way in yard.names:
        before, after, _ = _undisturbed(yard, way)
        probe = yard.fresh(way)
        kit, out = probe / "kit", probe / "out"
        names = [p.relative_to(probe) for p in (kit, out, *kit.rglob("*")) if "/." not in str(p)]
        shutil.rmtree(probe)
        for name in (*names, None):
            if dice.random() >= share:
                continue
            place = yard.fresh(way)
            for path in (place, *place.rglob("*")):
                os.chown(path, NOBODY, NOBODY) if os.geteuid() == 0 else None
            for path in [place / name] if name else list((place / "kit").rglob("*")):
                path.chmod(0o555 if path.is_dir() else 0o444)
            ran = yard.run(place, WAYS[way], nobody=os.geteuid() == 0)
            for path in place.rglob("*"):
                path.chmod(0o755 if path.is_dir() else 0o644)
            _judge(yard, tally, place, ran, f"{name or 'all'} read-only: {way}",
                   way, before, after)  # fmt: skip
            shutil.rmtree(place)
    return tally


def wrong_clock(yard: Yard, share: float, dice: random.Random) -> Tally:
    """Each way of writing by a clock that is days, years before or after; then set right."""
    tally = Tally()
    for way in yard.names:
        before, after, _ = _undisturbed(yard, way)
        for days in (-3000, -400, -1, 1, 40, 4000):
            if dice.random() >= share or way in ("daily copy", "restore", "tick"):
                continue
            place = yard.fresh(way)
            copies = {c.name for c in copies_in(copies_of(place / "kit"))}
            ran = yard.run(place, WAYS[way], clock=days * 86400)
            tally.number += 1
            now = state_of(place)
            tally.opened += 1
            tally.told += bool(ran.code)
            facts, label = _plain_facts(now.facts), f"clock {days} days: {way}"
            known = _plain_facts(before.facts) if before else []
            if "Traceback" in ran.said or facts[: len(known)] != known:
                tally.wrong.append(f"{label}: {ran.said[-300:]}")
            if ran.code == 0 and len(facts) != len(after.facts):
                tally.lost += 1
                tally.wrong.append(f"{label}: acknowledged and not there")
            if not copies <= {c.name for c in copies_in(copies_of(place / "kit"))}:
                tally.lost += 1
                tally.wrong.append(f"{label}: a copy is gone")
            if days > 1 and ran.code == 0 and len(facts) > len(known):
                said = yard.run(place, "doctor").said
                if "LOOK  clock" not in said:
                    tally.wrong.append(f"{label}: the doctor does not see it: {said}")
            shutil.rmtree(place)
    return tally


# ---- files damaged


def damage(yard: Yard, kind: str, number: int, dice: random.Random) -> Tally:
    """Files of the kit cut short, or bits in them flipped; then opened, and put back."""
    tally = Tally()
    for _ in range(number):
        place = yard.fresh()
        kit = place / "kit"
        names = [path.name for path in kit_files(kit) if path.parent == kit]
        name = "journal.db" if dice.random() < 0.6 else dice.choice([*names, "trips/race.toml"])
        path = kit / name
        data = bytearray(path.read_bytes())
        if kind == "cut short":
            del data[dice.randrange(len(data)) :]
        else:
            for _ in range(dice.choice((1, 1, 2, 8))):
                data[dice.randrange(len(data))] ^= 1 << dice.randrange(8)
        # what is read in a process that goes on must not see what was there
        path.write_bytes(data)
        label = f"{kind}: {name} no. {tally.number}"
        try:
            _look(tally, place, name, label, bytes(data), yard)
        except Exception:
            tally.wrong.append(f"{label}: {traceback.format_exc()[-700:]}")
        shutil.rmtree(place)
    return tally


def _look(tally: Tally, place: Path, name: str, label: str, data: bytes, yard: Yard) -> None:
    tally.number += 1
    kit, plain = place / "kit", yard.plain / "kit"
    try:
        read_everything(kit)
        facts = read_facts(kit / "journal.db")
    except (KitFaults, JournalError) as error:
        tally.told += 1
        if isinstance(error, JournalError) and "toolbox restore" not in str(error):
            tally.wrong.append(f"{label}: no way out is named: {error}")
        _put_back(tally, place, name, label, data, yard)
        return
    tally.opened += 1
    whole = read_facts(plain / "journal.db")
    if name == "journal.db" and facts != whole:
        try:
            held(kit / "journal.db")  # as the copy of the day and the doctor ask first
            newest = newest_good(copies_in(copies_of(kit)))
            found = beside_copy(kit, newest)
            said = changed_since(newest, found) or found.missing
        except JournalError as error:
            said = str(error)
        if said:
            tally.told += 1
            _put_back(tally, place, name, label, data, yard)
        else:
            # only what was logged since the copy can be: nothing older differs from it
            tally.unseen_facts += 1
    elif name != "journal.db" and _says(kit / name) != _says(plain / name):
        # a key with another value is what an editor writes, too; beside the copy it shows
        ahead = look_ahead(kit, copy_named(kit, "newest", None), [name])
        tally.unseen += 1
        if ahead.files != ((name, Becomes.OTHER),):
            tally.wrong.append(f"{label}: does not show beside the copy")


def _says(path: Path) -> object:
    return json.dumps(load(path, Problems()), default=str)


def _put_back(tally: Tally, place: Path, name: str, label: str, data: bytes, yard: Yard) -> None:
    """The damaged file is kept, the newest good copy put back, and what is lost is named."""
    from toolbox.cli.common import now

    kit = place / "kit"
    if (kit / name).read_bytes() != data and name != "journal.db":
        tally.wrong.append(f"{label}: the damaged file was changed")
    copy = newest_good(copies_in(copies_of(kit)))
    if copy is None:
        tally.wrong.append(f"{label}: no good copy is offered")
        return
    ahead = look_ahead(kit, copy, [name])
    aside = restore(kit, ahead, now(), keep_newer=name == "journal.db")
    if (aside / name).read_bytes()[:16] != data[:16] or (aside / name).stat().st_size < 1:
        tally.wrong.append(f"{label}: the damaged file is not kept") if data else None
    state = state_of(place)
    known = {fact.partition("/")[0] for fact in state_of(yard.plain).facts}
    there = {fact.partition("/")[0] for fact in state.facts}
    in_copy = {row["entry"] for row in readable(copy.kit / "journal.db").rows}
    lost = known - there
    tally.named += len(lost)
    if lost & in_copy:
        tally.lost += 1
        tally.wrong.append(f"{label}: entries of the copy are lost: {lost & in_copy}")
    if name != "journal.db" and lost:
        tally.lost += 1
        tally.wrong.append(f"{label}: entries are lost with another file")
    if name == "journal.db" and len(there - in_copy) != len(
        {row["entry"] for row in ahead.keepable}
    ):
        tally.wrong.append(f"{label}: what is kept is not what was said")


# ---- all of it


def all_faults(yard: Yard, asked: argparse.Namespace) -> Iterator[tuple[str, Tally]]:
    """Each kind with what came of it."""
    share: float = asked.share
    for kind in asked.kinds.split(","):
        dice = random.Random(f"{asked.seed} {kind}")
        if kind in STEPWISE or kind == "changed beneath":
            yield kind, disturb(yard, kind, share, dice)
        elif kind == "read-only":
            yield kind, no_leave(yard, share, dice)
        elif kind == "clock":
            yield kind, wrong_clock(yard, share, dice)
        else:
            yield kind, damage(yard, kind, asked.damaged, dice)


def preload(folder: Path) -> None:
    """Begin again with ``faults.c`` in this process; returns when it is there already."""
    if os.environ.get(PRELOADED):
        return
    library = folder / "faults.so"
    subprocess.run(
        ["cc", "-shared", "-fPIC", "-O1", "-o", library, Path(__file__).with_suffix(".c"), "-ldl"],
        check=True,
    )
    os.environ |= {PRELOADED: str(library), "LD_PRELOAD": str(library)}
    os.execv(sys.executable, [sys.executable, *sys.argv])


def main() -> int:
    """Print what came of the faults; 1 when anything was lost or not told."""
    words = argparse.ArgumentParser(description=__doc__)
    every = (*STEPWISE, *OTHERS)
    words.add_argument("--share", type=float, default=1.0, help="of all faults, by dice")
    words.add_argument("--seed", type=int, default=1, help="of the dice")
    words.add_argument("--kinds", default=",".join(every), help="of faults")
    words.add_argument("--ways", default=",".join(WAYS), help="of writing")
    words.add_argument("--damaged", type=int, default=400, help="files cut short, and flipped")
    words.add_argument("--table", action="store_true", help="as a table in Markdown")
    asked = words.parse_args()
    # in memory, so that waiting for the disk takes no time; what is killed loses no page of it
    shm = Path("/dev/shm")
    home = shm if os.access(shm, os.W_OK) else None
    if not os.environ.get(PRELOADED):
        preload(Path(tempfile.mkdtemp(dir=home)))
    library, begun = Path(os.environ[PRELOADED]), time.perf_counter()
    wrong: list[str] = []
    total = 0
    with tempfile.TemporaryDirectory(dir=home) as scratch:
        yard = Yard(Path(scratch), asked.ways.split(","))
        print(f"built {time.perf_counter() - begun:.0f} s", file=sys.stderr)
        for kind, tally in all_faults(yard, asked):
            unseen = (tally.unseen, tally.unseen_facts)
            cells = (tally.number, tally.opened, tally.told, *unseen, tally.named, tally.lost)
            total += tally.number
            if asked.table:
                print(f"| {kind} | {' | '.join(map(str, cells))} |", flush=True)
            else:
                print(f"{kind:<18} {cells[0]} faults, {cells[1]} opened, {cells[2]} told, "
                      f"{cells[3]} values and {cells[4]} facts changed unseen, "
                    f"{cells[5]} entries lost with the damage, {cells[6]} lost else, "
                      f"{len(tally.wrong)} wrong", flush=True)  # fmt: skip
            wrong += tally.wrong
    with contextlib.suppress(OSError):
        shutil.rmtree(library.parent)
    for fault in wrong[:40]:
        print(f"  {fault}")
    print(f"{total} faults, {len(wrong)} wrong, {time.perf_counter() - begun:.0f} s")
    return int(bool(wrong) or not total)


if __name__ == "__main__":
    try:
        sys.exit(main())
    except DeskError as error:
        sys.exit(str(error))
