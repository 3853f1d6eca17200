"""What commands for checklists share: the options that say something of lines, and boxes."""

from __future__ import annotations

from functools import reduce

import click

from toolbox.cli.common import Command
from toolbox.kit.facts import LineState

BOXES = {LineState.OPEN: "[ ]", LineState.DONE: "[x]", LineState.CARRIED: "[-]"}

_OPTIONS = (
    click.option("--tick", "ticks", multiple=True, metavar="LINE", help="This LINE is done."),
    click.option(
        "--untick", "unticks", multiple=True, metavar="LINE", help="It is open after all."
    ),
    click.option(
        "--carry",
        "carries",
        multiple=True,
        metavar="LINE",
        help="Not yet: carry it over, it stays to be looked at again.",
    ),
    click.option(
        "--count",
        "counts",
        type=(str, int),
        multiple=True,
        metavar="LINE NUMBER",
        help="So many of its pieces are done.",
    ),
    click.option(
        "--note",
        "notes",
        type=(str, str),
        multiple=True,
        metavar="LINE TEXT",
        help='A note to it; "" takes the one before away.',
    ),
)


def line_options(command: Command) -> Command:
    """Give a command the options by which lines are ticked, unticked, carried, counted, noted."""
    return reduce(lambda made, option: option(made), reversed(_OPTIONS), command)
