"""The command doctor: what is in order, what is not, and what to do about it."""

from __future__ import annotations

import os
import platform
import shutil
import sys
from pathlib import Path

import click

from toolbox.cli import codes
from toolbox.cli.common import json_option, kit_option, now
from toolbox.cli.words import hang, say, say_json
from toolbox.desk.doctor import Machine, all_well, examine
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import find_kit


@click.command()
@click.option("--solver", is_flag=True, help="Let the solver answer a small question as well.")
@kit_option
@json_option
def doctor(solver: bool, kit_path: Path | None, as_json: bool) -> None:
    """Look whether all is well with program, terminal, kit, journal and copies.

    It says what to do about each thing that is not. There are no names, notes or paths in
    it: it can be sent to somebody who helps. The answer is yes only when all is well.
    """
    checks = examine(_kit(kit_path), machine(), now(), solver=solver)
    if as_json:
        listed = [
            {"what": c.what, "state": c.state.name.lower(), "words": c.words, "cure": c.cure}
            for c in checks
        ]
        say_json({"well": all_well(checks), "checks": listed})
    else:
        for check in checks:
            hang(f"{check.state.value}  {check.what}: ", check.words)
            if check.cure:
                hang("      do: ", check.cure)
        say("All is well." if all_well(checks) else "Not all is well.")
    raise click.exceptions.Exit(codes.DONE if all_well(checks) else codes.NO)


def _kit(kit_path: Path | None) -> Path | None:
    """The kit's folder; one that was named also when its first file is gone."""
    try:
        return find_kit(kit_path or Path.cwd())
    except DeskError:
        return kit_path if kit_path is not None and kit_path.is_dir() else None


def machine() -> Machine:
    """What the program runs on."""
    size = shutil.get_terminal_size((0, 0))
    return Machine(
        python=sys.version_info[:3],
        system=f"{platform.system()} {platform.machine()}",
        term=os.environ.get("TERM", ""),
        colours="true" if os.environ.get("COLORTERM") in ("truecolor", "24bit") else "by TERM",
        no_colour=bool(os.environ.get("NO_COLOR")),
        encoding=sys.stdout.encoding or "",
        columns=size.columns,
        lines=size.lines,
        screen=sys.stdin.isatty() and sys.stdout.isatty(),
    )
