"""Bytes put in the place of a file whole or not at all."""

from __future__ import annotations

import os
import stat
import tempfile
from contextlib import suppress
from pathlib import Path

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
        now = path.read_bytes() if path.exists() else None
        if now != was:
            raise refused(path, *_changed(now, was))
        mode = stat.S_IMODE(path.stat().st_mode) if now is not None else _USUAL_MODE
        # os.replace would go through: it asks the folder for leave, not the file
        if not mode & stat.S_IWUSR:
            raise refused(path, "is read-only", "let it be written, then do it again")
        if now is not None:
            _replace(previous(path), now, mode)
        _replace(path, data, mode)
    except OSError as error:
        reason = (error.strerror or str(error) or "no reason given").lower()
        raise refused(
            path, f"cannot be written ({reason})", "it is unchanged; see to that, then try again"
        ) from error


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


def _replace(path: Path, data: bytes, mode: int) -> None:
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    # beside the file: a rename across disks is a copy, and a copy can stop half-way
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(mode)
        os.replace(name, path)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise
    sync_folder(path.parent)


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
