"""Files put in place whole or not at all, beside editors and other windows.

What must hold: after a refusal the file holds what somebody wrote last, never a mix; that
locks are those of POSIX ``flock`` is the system's own promise.
"""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from toolbox.files import atomic
from toolbox.files.atomic import put_in_place, take_back
from toolbox.files.problems import WriteRefused


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A file that was read as ``old``."""
    (tmp_path / "tools.toml").write_bytes(b"old")
    return tmp_path / "tools.toml"


def alone(path: Path) -> None:
    """Nothing half-written stands beside the file."""
    assert {one.name for one in path.parent.iterdir()} <= {path.name, f".{path.name}.previous"}


@pytest.mark.parametrize(("nth", "renames"), [(1, False), (1, True), (2, False)])
def test_what_an_editor_writes_meanwhile_stays(
    path: Path, monkeypatch: pytest.MonkeyPatch, nth: int, renames: bool
) -> None:
    """Written into, or replaced, before the version of before is kept; or in the last moment."""
    real, calls = os.replace, 0

    def late(source: Path, target: Path) -> None:
        nonlocal calls
        calls += 1
        if calls == nth and renames:
            path.with_name("editor").write_bytes(b"theirs")
            real(path.with_name("editor"), path)
        elif calls == nth:
            path.write_bytes(b"theirs")
        real(source, target)

    monkeypatch.setattr(os, "replace", late)
    with pytest.raises(WriteRefused, match="changed by somebody else"):
        put_in_place(path, b"new", b"old")
    assert path.read_bytes() == b"theirs"
    alone(path)


def test_a_full_disk_leaves_the_file(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """At whichever wait for the disk it is told; the file is the old one."""
    real, calls, nth = os.fsync, 0, 0

    def full(handle: int) -> None:
        nonlocal calls
        calls += 1
        if calls == nth:
            raise OSError(errno.ENOSPC, "No space left on device")
        real(handle)

    monkeypatch.setattr(os, "fsync", full)
    for stop in (1, 2):
        nth, calls = stop, 0
        with pytest.raises(WriteRefused, match=r"no space left on device.*unchanged"):
            put_in_place(path, b"new", b"old")
        assert path.read_bytes() == b"old"
        alone(path)
    nth, calls = 3, 0
    with pytest.raises(WriteRefused, match="was written, but the disk did not confirm it"):
        put_in_place(path, b"new", b"old")
    assert path.read_bytes() == b"new"


def test_taken_back_without_room(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The version before gets its name back though nothing can be written any more."""
    put_in_place(path, b"new", b"old")

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(atomic.tempfile, "mkstemp", full)
    take_back(path, b"new", b"old")
    assert path.read_bytes() == b"old"
    take_back(path, b"old", None)
    assert not path.exists()


def test_what_somebody_wrote_since_is_not_taken_back(path: Path) -> None:
    """Their version stays."""
    put_in_place(path, b"new", b"old")
    path.write_bytes(b"theirs")
    take_back(path, b"new", b"old")
    assert path.read_bytes() == b"theirs"


@pytest.mark.skipif(os.name != "posix", reason="needs flock")
def test_no_other_window_writes_in_between(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From the look at the file to its replacing the folder is locked, and free afterwards."""
    import fcntl

    real, handle, met = os.replace, os.open(path.parent, os.O_RDONLY), []

    def look(source: Path, target: Path) -> None:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            met.append("free")
        except BlockingIOError:
            met.append("locked")
        real(source, target)

    monkeypatch.setattr(os, "replace", look)
    put_in_place(path, b"new", b"old")
    assert met == ["locked", "locked"]
    fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    os.close(handle)


@pytest.mark.skipif(os.name != "posix", reason="needs flock")
def test_two_windows_never_lose_a_change(tmp_path: Path) -> None:
    """Two processes add to one number 25 times each, refused ones trying again: all are in it."""
    path = tmp_path / "n.toml"
    path.write_bytes(b"0")
    code = (
        "import sys; from pathlib import Path\n"
        "from toolbox.files.atomic import put_in_place\n"
        "from toolbox.files.problems import WriteRefused\n"
        "path, done = Path(sys.argv[1]), 0\n"
        "while done < 25:\n"
        "    was = path.read_bytes()\n"
        "    try: put_in_place(path, b'%d' % (int(was) + 1), was); done += 1\n"
        "    except WriteRefused: pass\n"
    )
    both = [subprocess.Popen([sys.executable, "-c", code, str(path)]) for _ in range(2)]
    assert [one.wait() for one in both] == [0, 0]
    assert path.read_bytes() == b"50"
    alone(path)
