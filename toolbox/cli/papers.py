"""What commands that write papers share: the folder to write into, and what was written."""

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


def say_files(written: Sequence[Written]) -> None:
    """Print each file with what became of it."""
    for file in written:
        say(f"- {file.path.name}, {file.how.value}")


def files_json(written: Sequence[Written]) -> list[dict[str, str]]:
    """Files as data for programs."""
    return [{"file": str(file.path), "how": file.how.value} for file in written]
