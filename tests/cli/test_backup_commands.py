"""backup, restore and doctor as typed: what they print, their exit codes, what they never say."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from clikit import RACE, Ran

from toolbox.desk import doctor as desk_doctor
from toolbox.desk.doctor import Machine, State, examine
from toolbox.journal.store import open_journal
from toolbox.kit.facts import LoosePick

Run = Callable[..., Ran]

SOUND = Machine((3, 12, 0), "Linux", "xterm-256color", "true", False, "utf-8", 80, 24, True)


@pytest.fixture
def kit(kit_dir: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The small kit, its copies in a folder of the test's own."""
    monkeypatch.setenv("TOOLBOX_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("TOOLBOX_COPIES", "yes")
    return kit_dir


def test_the_first_command_of_a_day_makes_the_copy(run: Run, kit: Path, tmp_path: Path) -> None:
    """Before it writes; it is listed, shown and put back, what is logged since told or kept."""
    assert run("pick", "K4", "--kit", kit).code == 0
    assert run("pick", "K5", "--kit", kit).code == 0
    listed = run("restore", "--json", "--kit", kit).data()["copies"]
    assert [(copy["facts"], copy["faults"]) for copy in listed] == [(0, [])]
    shown = run("restore", "newest", "--kit", kit)
    assert shown.code == 0
    assert "journal.db is taken out" in shown.out
    assert "Logged and not in the copy: 2 facts" in shown.out
    assert "Nothing was changed" in shown.out
    assert run("undo", "--list", "--kit", kit).out.count("picked") == 2
    assert run("edit", "tool", "K4", "note=worn", "--kit", kit).code == 0
    done = run("restore", "newest", "--only", "tools.toml", "--yes", "--json", "--kit", kit)
    assert "worn" not in (kit / "tools.toml").read_text()
    assert b"worn" in (Path(done.data()["aside"]) / "tools.toml").read_bytes()
    assert run("undo", "--list", "--kit", kit).out.count("picked") == 2


def test_backup_goes_to_another_folder_and_back(run: Run, kit: Path, tmp_path: Path) -> None:
    """The kit is deleted and comes back from there, with its log."""
    run("pick", "K4", "--kit", kit)
    made = run("backup", tmp_path / "stick", "--json", "--kit", kit).data()["copy"]
    assert made["facts"] == 1
    shutil.rmtree(kit)
    done = run("restore", made["folder"], "--yes", "--kit", kit)
    assert done.code == 0, done.err
    assert run("undo", "--list", "--kit", kit).out.count("picked") == 1
    assert run("restore", "--kit", kit, "--from", tmp_path / "stick").out.count("good") == 1


def test_a_damaged_journal_is_told_and_the_copy_offered(run: Run, kit: Path) -> None:
    """Every command says the way out in a sentence; doctor counts what is lost and what not."""
    run("pick", "K4", "--kit", kit)
    shutil.rmtree(os.environ["TOOLBOX_STATE"])
    run("pick", "K5", "--kit", kit)  # copied anew, with the first one in it
    path = kit / "journal.db"
    data = path.read_bytes()
    path.write_bytes(data[:100] + b"\xff" * 3000 + data[3100:])
    said = run("pick", "CT", "--kit", kit)
    assert said.code == 3
    assert "toolbox restore" in said.err
    assert "Traceback" not in said.err
    assert path.read_bytes() == data[:100] + b"\xff" * 3000 + data[3100:]
    checks = {c["what"]: c for c in run("doctor", "--json", "--kit", kit).data()["checks"]}
    assert checks["journal"]["state"] == "mend"
    assert "has 1, 0 more can be kept" in checks["journal"]["words"]
    words = checks["journal"]["cure"].split()
    assert words[:2] == ["toolbox", "restore"]
    assert run(*words[1:], "--yes", "--kit", kit).code == 0
    assert run("undo", "--list", "--kit", kit).out.count("picked") == 1


def test_a_file_that_is_no_toml_names_the_copies(run: Run, kit: Path) -> None:
    """The faults first, then where the file is as it was."""
    (kit / "tools.toml").write_text("[[tool]\n")
    said = run("uses", "--kit", kit)
    assert said.code == 3
    assert said.err.splitlines()[-1] == "Copies of the files as they were: toolbox restore"


def test_a_kit_without_its_first_file_is_put_back_by_its_folder(run: Run, kit: Path) -> None:
    """Named with --kit, though there is no kit.toml in it any more."""
    run("uses", "--kit", kit)
    (kit / "kit.toml").unlink()
    assert run("uses", "--kit", kit).code != 0
    assert run("restore", "newest", "--yes", "--kit", kit).code == 0
    assert run("uses", "--kit", kit).code == 0


# ---- doctor


def found(kit: Path | None, machine: Machine = SOUND, **more: object) -> dict[str, State]:
    """What the doctor says of each thing that is not well."""
    now = datetime(2026, 3, 10, tzinfo=UTC)
    checks = examine(kit, machine, now, solver=bool(more.get("solver")))
    assert all(check.cure for check in checks if check.state is not State.WELL)
    return {check.what: check.state for check in checks if check.state is not State.WELL}


def test_all_is_well_on_a_sound_kit(run: Run, kit: Path) -> None:
    """Exit code 0 then, also with the solver asked; 1 as soon as anything is not."""
    run("pick", "K4", "--kit", kit)
    assert run("doctor", "--solver", "--kit", kit).code == 0
    (kit / "jobs (1).toml").write_text("")
    said = run("doctor", "--kit", kit)
    assert said.code == 1
    assert "LOOK  sync: 1 files look like doubles" in said.out
    assert run("doctor", "--kit", kit.parent / "nowhere").code == 1


@pytest.mark.parametrize(
    ("change", "state"),
    [
        ({"term": "dumb"}, State.LOOK),
        ({"columns": 59}, State.LOOK),
        ({"lines": 19}, State.LOOK),
        ({"encoding": "cp1252"}, State.LOOK),
    ],
)
def test_a_terminal_that_falls_short_is_told(
    kit: Path, change: dict[str, object], state: State
) -> None:
    """Each by itself; a terminal that does is well."""
    assert "terminal" not in found(kit)
    assert found(kit, replace(SOUND, **change))["terminal"] is state  # type: ignore[arg-type]


def test_each_thing_that_is_wrong_with_a_kit_is_found(
    kit: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Broken on purpose one after the other: found, and nothing else is."""
    assert found(None) == {"kit": State.LOOK}
    usual = {"copies": State.LOOK}  # none was made yet
    assert found(kit) == usual
    (kit / "tools.toml").write_text((kit / "tools.toml").read_text() + "x = 1")
    assert found(kit) == {**usual, "files": State.MEND}
    (kit / "tools.toml").unlink()
    (kit / "layouts" / "present.toml").unlink()
    (kit / "jobs.toml").unlink()
    assert found(kit) == usual
    with open_journal(kit / "journal.db") as journal:
        at = datetime(2026, 3, 12, tzinfo=UTC)
        journal.add([LoosePick("K4")], at=at, author="A", written=at)
    assert found(kit) == {**usual, "clock": State.LOOK}
    connection = sqlite3.connect(kit / "journal.db")
    connection.execute("PRAGMA journal_mode = WAL")
    assert found(kit)["journal mode"] is State.LOOK
    connection.close()
    (kit / "journal.db").write_bytes(b"no journal" * 900)
    assert found(kit) == {**usual, "journal": State.MEND}
    (kit / "journal.db").unlink()
    (kit / ".stfolder").mkdir()
    assert found(kit) == {**usual, "sync": State.LOOK}
    (kit / ".stfolder").rmdir()
    (kit / ".restoring").mkdir()
    assert found(kit) == {"kit": State.MEND}
    (kit / ".restoring").rmdir()
    monkeypatch.setattr("toolbox.desk.doctor_kit.ROOM", 2**62)
    assert found(kit) == {**usual, "room": State.LOOK}
    monkeypatch.setattr(desk_doctor, "EXTRAS", ())
    monkeypatch.setattr("importlib.metadata.requires", lambda name: ["none-such-library>=1"])
    assert found(kit)["libraries"] is State.MEND


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="needs POSIX permissions")
def test_files_that_may_only_be_read_are_found(kit: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As the system says it of the user; for root nothing is barred, so it is asked for."""
    (kit / "tools.toml").chmod(0o444)
    if os.geteuid() == 0:
        real = os.access
        monkeypatch.setattr(os, "access", lambda p, m: Path(p).name != "tools.toml" and real(p, m))
    assert found(kit)["leave to write"] is State.MEND


@pytest.mark.parametrize("fault", ["raises", "lies"])
def test_a_solver_that_fails_or_lies_is_found(monkeypatch: pytest.MonkeyPatch, fault: str) -> None:
    """A library that imports and cannot solve, and one whose answer is not the one by hand."""
    import toolbox.layout.solve as real

    solve = real.solve

    def broken(problem, **more):  # type: ignore[no-untyped-def]
        if fault == "raises":
            raise RuntimeError("no solver")
        answer = solve(problem, **more)
        return type(answer)(answer.outcome, answer.puts[::-1], 60, 60, "")

    assert "solver" not in found(None, solver=True)
    monkeypatch.setattr(real, "solve", broken)
    assert found(None, solver=True)["solver"] is State.MEND


def test_nothing_of_the_user_is_in_what_the_doctor_says(run: Run, kit: Path) -> None:
    """Names, notes, authors, file and folder names of one's own: in no state of the kit."""
    secret = "Zzqvx"
    (kit / "trips").mkdir()
    (kit / "trips" / f"{secret}.toml").write_text(RACE.replace("Ann", secret) + "broken =")
    (kit / f"{secret} (1).toml").write_text(f"{secret} = ")
    tools = (kit / "tools.toml").read_text()
    (kit / "tools.toml").write_text(tools.replace("Chain tool", secret).replace("150 g", secret))
    home = kit.rename(kit.with_name(secret))
    broken = run("doctor", "--kit", home)
    (home / "tools.toml").write_text(tools.replace("Chain tool", secret))
    trip = run("doctor", "--kit", home)
    assert "faults: 1 in a file in trips" in trip.out
    (home / "trips" / f"{secret}.toml").unlink()
    (home / f"{secret} (1).toml").unlink()
    run("pick", "K4", "--note", secret, "--by", secret, "--kit", home)
    sound = run("doctor", "--kit", home)
    path = home / "journal.db"
    path.write_bytes(path.read_bytes().replace(b'"loose"', b'"looze"').replace(b"loose", b"l\xffs"))
    damaged = run("doctor", "--kit", home, "--json")
    assert (broken.code, sound.code, damaged.code) == (1, 0, 1)
    for said in (broken, trip, sound, damaged):
        assert secret not in said.out + said.err
        assert str(home.parent) not in said.out
