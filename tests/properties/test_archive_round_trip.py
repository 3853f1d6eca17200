"""Exported, made into a folder and exported again: the same bytes; damage is told or is no damage.

The reference is the first export itself, byte for byte, and the kit and the facts as the readers
of the project's other tests read them.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, event, given, settings
from hypothesis import strategies as st
from kitfiles import bytes_of
from test_journal_undo import WHATS
from test_kit_round_trip import DOCUMENTS, _is_toml, kits
from test_trip_round_trip import trips

from toolbox.desk.archive import export_kit, kit_from
from toolbox.desk.setup import lay_out_demo
from toolbox.files.customs import read_issued, save_issued
from toolbox.files.problems import KitFaults
from toolbox.files.reading import read_kit
from toolbox.files.trips import write_trip
from toolbox.files.writing import write_kit
from toolbox.journal.errors import JournalError
from toolbox.journal.store import open_journal, read_facts
from toolbox.kit.customs import CustomsChoices, CustomsLine, IssuedList
from toolbox.kit.facts import LoosePick
from toolbox.kit.kit import Kit
from toolbox.kit.trips import Trip

# What fails is shown as it was found: each try takes a while, and shrinking takes hundreds.
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)
FEW = settings(
    max_examples=6, deadline=None, suppress_health_check=list(HealthCheck), phases=PHASES
)
NOON = datetime(2026, 1, 17, 12, tzinfo=UTC)
ZONES = st.integers(-720, 840).map(lambda minutes: timezone(timedelta(minutes=minutes)))
# An entry to write, or the number of one to take back.
ENTRIES = st.lists(
    st.tuples(st.lists(WHATS, min_size=1, max_size=3) | st.integers(0, 5), ZONES, st.text("aé,=")),
    max_size=6,
)


@contextmanager
def _folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as name:
        yield Path(name)


def _log(path: Path, entries: list) -> None:
    """Write entries; what is undone already stays so."""
    with open_journal(path) as journal, journal.together():
        written: list[str] = []
        for number, (what, zone, author) in enumerate(entries):
            at = (NOON + timedelta(hours=number)).astimezone(zone)
            when = {"at": at, "author": author, "written": NOON}
            if isinstance(what, list):
                written.append(journal.add(what, **when))
            elif what < len(written):
                try:
                    written.append(journal.undo(written[what], **when))
                except JournalError:
                    event("undone twice")


def _there_and_back(folder: Path, kit: Path) -> None:
    """Export, new folder, export: the same bytes, with the files' own texts and without them."""
    export_kit(kit, folder / "first")
    first = bytes_of(folder / "first")
    made = kit_from(folder / "made", folder / "first")
    assert made.kit == read_kit(kit)
    assert made.facts == read_facts(kit / "journal.db")
    export_kit(made.path, folder / "second")
    assert bytes_of(folder / "second") == first
    toml = {name: data for name, data in bytes_of(kit).items() if name.endswith(".toml")}
    assert {n: d for n, d in bytes_of(made.path).items() if n.endswith(".toml")} == toml
    shutil.rmtree(folder / "first" / "files")
    bare = kit_from(folder / "bare", folder / "first")
    assert (bare.kit, bare.facts) == (made.kit, made.facts)
    export_kit(bare.path, folder / "third")
    lines = {name: data for name, data in first.items() if not name.startswith("files/")}
    third = bytes_of(folder / "third")
    assert {name: third[name] for name in lines} == lines


@FEW
@given(kits(), ENTRIES, st.none() | DOCUMENTS.filter(_is_toml))
def test_any_kit_and_journal_come_back_byte_for_byte(
    kit: Kit, entries: list, own: str | None
) -> None:
    """Kits with anything in them, journals with undos and zones, a TOML file of one's own."""
    with _folder() as folder:
        write_kit(folder / "kit", kit)
        _log(folder / "kit" / "journal.db", entries)
        if own is not None:
            (folder / "kit" / "own").mkdir()
            (folder / "kit" / "own" / "any.toml").write_text(own, encoding="utf-8")
        if "nan" in (own or ""):
            with pytest.raises(KitFaults, match="no number"):
                export_kit(folder / "kit", folder / "first")
            assert not (folder / "first").exists()
        else:
            _there_and_back(folder, folder / "kit")


@settings(FEW, max_examples=1)
@given(trips(), trips())
def test_the_demo_with_any_trips_comes_back_byte_for_byte(one: Trip, two: Trip) -> None:
    """The demo with its week and comments; trips, a packing, lists, goods rules, an issued list."""
    from toolbox.files.goods_rules import _SHIPPED
    from toolbox.files.templates import copy_example, example_names, template_names

    with _folder() as folder:
        kit = lay_out_demo(folder / "kit").path
        write_trip(kit / "trips" / "one.toml", one)
        write_trip(kit / "trips" / "two.toml", two)
        (kit / "packings").mkdir()
        packing = 'trip = "two"\n[[packed]]\nitem = "gone"\nbag = ""\n'
        (kit / "packings" / "two.toml").write_text(packing)
        for name in set(example_names()) - set(template_names(kit)):
            copy_example(kit, name)
        shutil.copy(_SHIPPED, kit / "goods.toml")
        line = CustomsLine(1, "T-001", "", "hex key é", 1, 4, 350, "XX", "1-2")
        issued = IssuedList("one", 1, date(2026, 11, 25), ("case",), CustomsChoices(), (line,))
        path = save_issued(kit, issued)
        _there_and_back(folder, kit)
        # its seal still holds, though its file was written anew
        assert read_issued(folder / "bare" / path.relative_to(kit)) == issued


@pytest.fixture(scope="module")
def export(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An export of a small kit with a journal of four entries, one of them an undo."""
    from clikit import write_kit_files

    home = tmp_path_factory.mktemp("export")
    kit = write_kit_files(home / "kit")
    picks = [LoosePick("K4", 2), LoosePick("CT", note="for the chain")]
    _log(kit / "journal.db", [(picks, UTC, "A"), (0, UTC, "B"), (picks[:1], UTC, "A")])
    export_kit(kit, home / "out")
    return home / "out"


def _made(source: Path, name: str, data: bytes, *, texts: bool) -> tuple[str, dict[str, bytes]]:
    """What is said of the export with this file in place of its own, or what it then gives."""
    with _folder() as folder:
        shutil.copytree(source, folder / "in")
        if not texts:
            shutil.rmtree(folder / "in" / "files")
        (folder / "in" / name).write_bytes(data)
        before = bytes_of(folder)
        try:
            kit_from(folder / "kit", folder / "in")
        except KitFaults as faults:
            assert bytes_of(folder) == before, "nothing is half-written"
            return str(faults), {}
        export_kit(folder / "kit", folder / "out")
        return "", bytes_of(folder / "out")


@settings(FEW, max_examples=40)
@given(data=st.data(), name=st.sampled_from(["kit.jsonl", "journal.jsonl"]))
def test_a_damaged_line_is_named_or_says_what_it_says(
    export: Path, data: st.DataObject, name: str
) -> None:
    """A byte changed, a line out or twice, the end cut off: refused by its line, or as read."""
    whole = (export / name).read_bytes()
    lines = whole.splitlines(keepends=True)
    number = data.draw(st.integers(0, len(lines) - 1))
    line = lines[number]
    place = data.draw(st.integers(0, len(line) - 2))
    byte = data.draw(st.integers(32, 126)).to_bytes(1)
    damage = {
        "byte": [line[:place] + byte + line[place + 1 :]],
        "gone": [],
        "twice": [line, line],
        "cut": [line[:place]],
    }
    how = data.draw(st.sampled_from(["byte", "byte", *damage]))
    rest = [] if how == "cut" else lines[number + 1 :]
    changed = b"".join((*lines[:number], *damage[how], *rest))
    said, made = _made(export, name, changed, texts=data.draw(st.booleans()))
    event(f"{how}: {'refused' if said else 'read'}")
    if changed == whole:
        assert made[name] == whole
    elif said:
        # the first line tells when lines are missing; a text beside it when values differ
        assert name in said
    else:
        assert how == "byte"
        read = [json.loads(line) for line in changed.splitlines()]
        assert [json.loads(line) for line in made[name].splitlines()] == read
