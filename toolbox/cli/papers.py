"""What commands that write files share: the folder to write into, and what was written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import click

from toolbox.cli.common import Command
from toolbox.cli.words import say
from toolbox.desk.own_files import Written


def out_option(words: str, *, required: bool = True) -> Callable[[Command], Command]:
    """The option --out DIR, with these words as its help."""
    return click.option(
        "--out",
        "out",
        required=required,
        type=click.Path(path_type=Path),
        metavar="DIR",
        help=words,
    )


papers_out = out_option("Write it into this folder as CSV, Markdown and HTML.", required=False)
sheets_out = out_option("The folder to write into; it is made if it is not there.")


def say_files(written: Sequence[Written]) -> None:
    """Print each file with what became of it."""
    for file in written:
        say(f"- {file.path.name}, {file.how.value}")


def files_json(written: Sequence[Written]) -> list[dict[str, str]]:
    """Files as data for programs."""
    return [{"file": str(file.path), "how": file.how.value} for file in written]
