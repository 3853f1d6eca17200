"""Commands that keep copies of a kit: backup and restore."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from toolbox.cli import codes
from toolbox.cli.common import json_option, kit_option, now
from toolbox.cli.words import clean, count, paragraph, remark, say, say_json, table
from toolbox.desk.backup import Copy, back_up, copies_in, faults_of
from toolbox.desk.backup_home import copies_of
from toolbox.desk.backup_restore import (
    Becomes,
    Restoring,
    copy_named,
    go_on,
    look_ahead,
    restore,
)
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import find_kit

_SHOWN = 20  # of the facts that a copy does not have


@click.command("backup")
@click.argument("folder", type=click.Path(path_type=Path), metavar="DIR")
@kit_option
@json_option
def backup(folder: Path, kit_path: Path | None, as_json: bool) -> None:
    """Copy the kit, files and journal, into a new folder of its own in DIR.

    Take another disk than the kit's own. What was copied is read back and held against its
    sums; "toolbox restore COPY" puts it back.
    """
    copy = back_up(find_kit(kit_path or Path.cwd()), folder, now())
    if as_json:
        say_json({"copy": _copy_data(copy, ())})
        return
    facts, files = count(copy.facts, "fact"), count(len(copy.sums), "file")
    say(paragraph(f"Copied {files}, {facts} in the log, into {copy.path}, and read it back."))
    say(f"Put it back with: toolbox restore {copy.path}")


@click.command("restore")
@click.argument("name", required=False, metavar="COPY")
@click.option(
    "--from",
    "folder",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Copies in this folder instead of the automatic ones.",
)
@click.option("--only", multiple=True, metavar="FILE", help="Put only this file back.")
@click.option(
    "--keep-newer", is_flag=True, help="Keep whole entries of the log that the copy lacks."
)
@click.option("--yes", is_flag=True, help="Do it; without it is only shown.")
@click.option("--go-on", "finish", is_flag=True, help="Finish a restore that was broken off.")
@kit_option
@json_option
def restore_copy(
    name: str | None,
    folder: Path | None,
    only: tuple[str, ...],
    keep_newer: bool,
    yes: bool,
    finish: bool,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """List the copies of the kit, or put COPY back ("newest": the newest good one).

    What would change is shown first; --yes does it. All that is there is kept aside in the
    kit's folder.
    """
    kit = _kit(kit_path)
    if finish:
        _finish(kit, as_json=as_json)
        return
    if name is None:
        _list(copies_in(folder or copies_of(kit)), as_json=as_json)
        return
    ahead = look_ahead(kit, copy_named(kit, name, folder), only)
    aside = restore(kit, ahead, now(), keep_newer=keep_newer) if yes else None
    if as_json:
        say_json(_ahead_data(ahead, aside))
    else:
        _say_ahead(ahead, aside, keep_newer=keep_newer)


def _kit(kit_path: Path | None) -> Path:
    """The kit's folder; one that was named also when there is no kit in it any more."""
    try:
        return find_kit(kit_path or Path.cwd())
    except DeskError:
        if kit_path is None:
            raise
        return kit_path


def _finish(kit: Path, *, as_json: bool) -> None:
    done = go_on(kit)
    if as_json:
        say_json({"finished": done})
        return
    say("The restore is finished." if done else "No restore was broken off here.")


def _list(copies: tuple[Copy, ...], *, as_json: bool) -> None:
    faults = {copy.path: faults_of(copy) for copy in copies}
    if as_json:
        say_json({"copies": [_copy_data(copy, faults[copy.path]) for copy in copies]})
    elif copies:
        rows = [
            (
                clean(copy.name),
                f"{copy.made:%Y-%m-%d %H:%M}",
                str(copy.facts),
                "; ".join(faults[copy.path]) or "good",
            )
            for copy in copies
        ]
        say(table(("copy", "made", "facts", "state"), rows, right=(2,)))
        say("See what one would change: toolbox restore COPY")
    else:
        say("There are no copies of this kit here.")
    if not any(not wrong for wrong in faults.values()):
        raise click.exceptions.Exit(codes.NO)


def _copy_data(copy: Copy, faults: tuple[str, ...]) -> dict[str, Any]:
    return {
        "name": copy.name,
        "folder": str(copy.path),
        "made": copy.made.isoformat(),
        "facts": copy.facts,
        "files": sorted(copy.sums),
        "faults": list(faults),
    }


def _ahead_data(ahead: Restoring, aside: Path | None) -> dict[str, Any]:
    return {
        "copy": _copy_data(ahead.copy, ()),
        "files": [{"file": name, "becomes": how.name.lower()} for name, how in ahead.files],
        "damaged": ahead.damaged or None,
        "unreadable": ahead.unreadable,
        "since": [
            {"entry": row["entry"], "id": row["id"], "at": row["at"], "kind": row["kind"]}
            for row in ahead.since
        ],
        "keepable": len(ahead.keepable),
        "aside": str(aside) if aside is not None else None,
    }


def _say_ahead(ahead: Restoring, aside: Path | None, *, keep_newer: bool) -> None:
    made = f"{ahead.copy.made:%Y-%m-%d %H:%M}"
    say(f"The copy of {made}, {count(ahead.copy.facts, 'fact')} in its log:")
    for name, how in ahead.files:
        if how is not Becomes.SAME:
            say(f"  {clean(name)} {how.value}")
    if all(how is Becomes.SAME for _, how in ahead.files):
        say("  every file is as it is in the copy")
    _say_log(ahead, keep_newer=keep_newer)
    if aside is not None:
        say(f"Done. All that was there is kept in {aside}.")
        return
    say("Nothing was changed. Do it with the same command and --yes.")


def _say_log(ahead: Restoring, *, keep_newer: bool) -> None:
    """What of the log that is there is not in the copy, by time and kind."""
    if ahead.damaged:
        remark(paragraph(f"The journal that is there: {clean(ahead.damaged)}."))
    if ahead.unreadable:
        rows = count(ahead.unreadable, "fact")
        remark(f"In it {rows} cannot be read any more.")
    if not ahead.since:
        return
    kept = len(ahead.keepable) if keep_newer else 0
    say(paragraph(f"Logged and not in the copy: {count(len(ahead.since), 'fact')}, of them kept "
                  f"with the copy's own: {kept}."))  # fmt: skip
    for row in ahead.since[:_SHOWN]:
        say(f"  {clean(row['at'][:16].replace('T', ' '))}  {clean(row['kind'])}")
    if len(ahead.since) > _SHOWN:
        say(f"  and {len(ahead.since) - _SHOWN} more; --json names all")
    if len(ahead.keepable) > kept:
        say(paragraph(f"--keep-newer keeps {len(ahead.keepable)} of them, those whose entry "
                      "is whole."))  # fmt: skip
