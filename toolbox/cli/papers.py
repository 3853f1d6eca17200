"""What commands for papers share: the folder they are written into, and what was written."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from toolbox.cli.words import say
from toolbox.desk.own_files import Written

out_option = click.option(
    "--out",
    "out",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Write it into this folder as CSV, Markdown and HTML.",
)


def say_files(files: Sequence[Written]) -> None:
    """The files that were written, and what became of each."""
    if files:
        say()
        for one in files:
            say(f"- {one.path.name}, {one.how.value}")
