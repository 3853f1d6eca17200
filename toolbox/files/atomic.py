"""Bytes put in the place of a file whole or not at all."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from toolbox.files.problems import Fault, WriteRefused

_USUAL_MODE = 0o644


def put_in_place(path: Path, data: bytes, was: bytes | None) -> None:
    """Make ``data`` the content of ``path``; what was there is kept as ``.NAME.previous``.

    ``was`` is the content the new one was made from, None for a file that must not
    be there yet. Raises WriteRefused, leaving everything as it is, when the file
    holds something else by now, is read-only, or cannot be written.
    """
    # a link is written through, not replaced by a file
    path = path.resolve()
    try:
        with _nobody_else(path.parent), _held(path, was) as old:
            mode = _asked_leave(path, was)
            with _beside(path, data, mode) as part:
                if was is not None:
                    with _beside(previous(path), was, mode) as older:
                        os.replace(older, previous(path))
                # asked again as late as can be: an editor takes no lock
                _asked_leave(path, was)
                os.replace(part, path)
            _refuse_if_written(path, old, was, mode)
            _confirm(path)
    except OSError as error:
        reason = (error.strerror or str(error) or "no reason given").lower()
        raise refused(
            path, f"cannot be written ({reason})", "it is unchanged; see to that, then try again"
        ) from error


@contextmanager
def _held(path: Path, was: bytes | None) -> Iterator[BinaryIO | None]:
    """The file as it is now, open to be looked at when it has lost its name."""
    if was is None or not path.exists():
        yield None
        return
    with path.open("rb") as old:
        yield old


def _refuse_if_written(path: Path, old: BinaryIO | None, was: bytes | None, mode: int) -> None:
    """Put back what an editor wrote into the old file in the very moment it was replaced."""
    theirs = old.read() if old is not None else was
    if theirs is not None and theirs != was:
        with _beside(path, theirs, mode) as part:
            os.replace(part, path)
        raise refused(path, *_changed(theirs, was))


def _confirm(path: Path) -> None:
    try:
        sync_folder(path.parent)
    except OSError as error:
        wrong = "was written, but the disk did not confirm it"
        raise refused(path, wrong, "look at the file and at the disk") from error


def _asked_leave(path: Path, was: bytes | None) -> int:
    """The permissions that the file has or is to have; WriteRefused when it must stay."""
    now = path.read_bytes() if path.exists() else None
    if now != was:
        raise refused(path, *_changed(now, was))
    mode = stat.S_IMODE(path.stat().st_mode) if now is not None else _USUAL_MODE
    # os.replace would go through: it asks the folder for leave, not the file
    if not mode & stat.S_IWUSR:
        raise refused(path, "is read-only", "let it be written, then do it again")
    return mode


def take_back(path: Path, wrote: bytes, before: bytes | None) -> None:
    """Undo a ``put_in_place`` of ``wrote``, for a change of several files that failed.

    The version before is there still, so it takes no room. What somebody else has written
    into the file since stays. OSError.
    """
    path = path.resolve()
    with _nobody_else(path.parent):
        if not path.exists() or path.read_bytes() != wrote:
            return
        if before is None:
            path.unlink()
        elif previous(path).exists() and previous(path).read_bytes() == before:
            os.replace(previous(path), path)
        sync_folder(path.parent)


def take_all_back(done: Iterable[tuple[Path, bytes, bytes | None]]) -> None:
    """``take_back`` for each as far as can be: what cannot be put back must not hide why."""
    for path, wrote, before in done:
        with suppress(OSError):
            take_back(path, wrote, before)


def previous(path: Path) -> Path:
    """Where the version before the last change of a file is kept."""
    return path.with_name(f".{path.name}.previous")


def refused(path: Path, wrong: str, cure: str, wanted: str = "") -> WriteRefused:
    """A refusal to write this file."""
    return WriteRefused(Fault(path.name, "", wrong, cure), wanted)


def _changed(now: bytes | None, was: bytes | None) -> tuple[str, str]:
    if was is None:
        return "is there already", "choose another name"
    state = "is gone" if now is None else "was changed by somebody else"
    return f"{state} since it was read", "read it again, then make the change"


@contextmanager
def _beside(path: Path, data: bytes, mode: int) -> Iterator[Path]:
    """The data in a file beside ``path``, on the disk; gone at the end if it is still there."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    # beside the file: a rename across disks is a copy, and a copy can stop half-way
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(mode)
        yield Path(name)
    finally:
        with suppress(OSError):
            Path(name).unlink(missing_ok=True)


@contextmanager
def _nobody_else(folder: Path) -> Iterator[None]:
    """No other window of this program writes into the folder meanwhile, where locks are known."""
    if os.name != "posix":
        yield
        return
    import fcntl

    handle = os.open(folder, os.O_RDONLY)
    try:
        # some shared disks have none; the file is looked at twice all the same
        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def write_durably(path: Path, data: bytes) -> None:
    """Write a file in a folder that is still being made: on the disk when this returns."""
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Make new names in a folder outlast a power cut, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
