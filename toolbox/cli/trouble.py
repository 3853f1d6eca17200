"""What went wrong, in words on standard error, with the exit code that goes with it."""

from __future__ import annotations

import errno

from toolbox.cli import codes
from toolbox.cli.words import count, remark
from toolbox.desk.errors import DeskError, NoLayout, UnclearName
from toolbox.files.problems import KitFaults, WriteRefused
from toolbox.journal.errors import JournalError

_OF_THE_DISK = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO, errno.EROFS)


def explain(error: Exception) -> int:
    """Say what is wrong and return the exit code; an unforeseen error is raised again."""
    if isinstance(error, KitFaults):
        remark(f"{count(len(error.faults), 'fault')} in the kit; no file was changed:")
        for fault in error.faults:
            remark("- " + fault.sentence())
        if any(not fault.entry and fault.file.endswith(".toml") for fault in error.faults):
            remark("Copies of the files as they were: toolbox restore")
        return codes.FAULTY
    if isinstance(error, JournalError | WriteRefused):
        remark(f"toolbox: {error}")
        return codes.FAULTY
    if isinstance(error, NoLayout):
        remark("toolbox: no layout")
        for reason in error.reasons:
            remark("- " + reason)
        return codes.NO
    if isinstance(error, UnclearName):
        remark(f"toolbox: {error}")
        return codes.UNCLEAR
    if isinstance(error, DeskError):
        remark(f"toolbox: {error}")
        return codes.NO
    if isinstance(error, OSError) and error.filename is not None:
        remark(f"toolbox: {error.filename}: {error.strerror}")
        return codes.FAULTY
    if isinstance(error, OSError) and error.errno in _OF_THE_DISK:
        # of a file that was open already the system does not say the name
        remark(f"toolbox: a file could not be written or read: {error.strerror}")
        return codes.FAULTY
    raise error
