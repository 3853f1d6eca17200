"""A new folder filled beside its place and given its name when it is whole."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from toolbox.files.atomic import sync_folder
from toolbox.files.problems import Fault, WriteRefused


@contextmanager
def new_folder(folder: Path, what: str, last: str) -> Iterator[Path]:
    """A folder to fill, which becomes ``folder`` at the end of the block, or goes with an error.

    ``folder`` may be there if it is empty; then ``last`` is the file that is moved into it
    last, the one by which people and programs know it as ``what``. WriteRefused where
    something is in the way.
    """
    _refuse_taken(folder, what)
    folder = folder.absolute()
    folder.parent.mkdir(parents=True, exist_ok=True)
    made = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", suffix=".part", dir=folder.parent))
    try:
        yield made
        made.chmod(0o755)
        _move_in(made, folder, last)
    finally:
        shutil.rmtree(made, ignore_errors=True)
    sync_folder(folder.parent)


def _refuse_taken(folder: Path, what: str) -> None:
    wrong = cure = ""
    if folder.exists() and not folder.is_dir():
        wrong, cure = "is a file", "name a folder that does not exist yet"
    elif folder.exists() and any(folder.iterdir()):
        wrong = f"holds something and cannot become {what}"
        cure = "name an empty or a new folder"
    if wrong:
        raise WriteRefused(Fault(str(folder), "", wrong, cure))


def _move_in(made: Path, folder: Path, last: str) -> None:
    """Give the finished folder its name; into a folder that is there, move what is in it.

    The folder that is there may be the one the mechanic stands in, so it stays itself.
    """
    if not folder.exists():
        os.replace(made, folder)
        return
    moved: list[Path] = []
    try:
        for path in sorted(made.iterdir(), key=lambda path: path.name == last):
            moved.append(folder / path.name)
            os.replace(path, folder / path.name)
    except OSError:
        for path in moved:
            with suppress(OSError):
                shutil.rmtree(path) if path.is_dir() else path.unlink()
        raise
