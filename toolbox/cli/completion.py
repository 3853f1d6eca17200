"""The command completion, and what a word on the command line may be: names of the kit here.

Loaded only while a shell asks: it must not read more of the kit than it needs.
"""

from __future__ import annotations

import os
import re
from collections.abc import Set
from pathlib import Path

import click
from click.shell_completion import (
    BashComplete,
    CompletionItem,
    add_completion_class,
    get_completion_class,
)

from toolbox.cli.words import clean

PROGRAM = "toolbox"
VARIABLE = "_TOOLBOX_COMPLETE"
_SHELLS = ("bash", "zsh", "fish")
# What a word is called in usage lines -> what it names.
_KINDS = {
    "TOOL": "tool",
    "TOOLS": "tool",
    "REFERENCE": "tool",
    "THING": "thing",
    "SUPPLY": "supply",
    "JOB": "job",
    "COMPARTMENT": "compartment",
    "BAG": "bag",
    "TRIP": "trip",
    "LIST": "list",
}
# Where the word alone does not tell.
_BY_COMMAND = {
    ("find", "letters"): "thing",
    ("edit", "name"): "",  # what its KIND says
    ("stow", "name"): "trip",
    ("weigh", "name"): "trip",
}
# Quotes and blanks apart, what a shell takes for something of its own.
_SPECIAL = re.compile(r"([^\w@%+=:,./-])", re.ASCII)
_TAKEN = frozenset("\"'\\`$!")


@click.command()
@click.argument("shell", type=click.Choice(_SHELLS))
def completion(shell: str) -> None:
    """Print a script that lets a SHELL complete commands, options and names of the kit here.

    For bash: eval "$(toolbox completion bash)" in ~/.bashrc.
    """
    from toolbox.cli import cli

    found = get_completion_class(shell)
    assert found is not None, "click has each of these shells"
    click.echo(found(cli, {}, PROGRAM, VARIABLE).source())


def kind_of(command: str, parameter: click.Parameter) -> str | None:
    """What a parameter names: a kind of ``quick_names``, "" where another word says, or None."""
    name = parameter.name or ""
    if (command, name) in _BY_COMMAND:
        return _BY_COMMAND[command, name]
    if not isinstance(parameter.type, click.types.StringParamType):
        return None
    metavar = parameter.metavar or name.upper()
    word = re.search(r"[A-Z]+", metavar)
    # a name with an amount behind it in the same word is not ended by the name
    return _KINDS.get(word[0]) if word is not None and "=" not in metavar else None


class KitName(click.types.StringParamType):
    """A word that names something of the kit."""

    def __init__(self, kind: str) -> None:
        self.kind = kind

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Names that begin with what was typed, and ids; nothing where there is no kit."""
        from toolbox.desk.errors import DeskError
        from toolbox.desk.folder import names_here

        kind = self.kind or str(ctx.params.get("kind") or "")
        try:
            found = names_here(Path(ctx.params.get("kit_path") or Path.cwd()), kind)
        except (DeskError, KeyError, OSError):
            return []
        names = [name for _, name in found]
        begun = incomplete.casefold()
        # click's script for fish parts kind and value at a comma
        taken = _TAKEN | ({","} if os.environ.get(VARIABLE, "").startswith("fish") else set())
        items = []
        for own, name in found:
            # a name that two things share, or that a shell would take apart, says nothing
            if name.casefold().startswith(begun) and names.count(name) == 1 and _plain(name, taken):
                items.append(CompletionItem(name, help=own))
            elif own.casefold().startswith(begun) and (begun or not _plain(name, taken)):
                items.append(CompletionItem(own, help=clean(name)))
        return items


def _plain(name: str, taken: Set[str]) -> bool:
    return bool(name) and name.isprintable() and not taken & set(name)


class Bash(BashComplete):
    """Bash, with names of several words: blanks are escaped unless the word is in quotes."""

    def format_completion(self, item: CompletionItem) -> str:
        """The type and the value as click's script for bash reads them."""
        if item.type != "plain":
            return super().format_completion(item)
        value = str(item.value)
        words = os.environ["COMP_WORDS"].split("\n")
        here = int(os.environ["COMP_CWORD"])
        if here < len(words) and words[here].startswith(('"', "'")):
            return f"plain,{value}"
        # twice: "read" in the script takes one backslash away
        return "plain," + _SPECIAL.sub(r"\\\\\1", value)


def offer_names(name: str, command: click.Command) -> None:
    """Let the parameters of a command offer names of the kit."""
    for parameter in command.params:
        kind = kind_of(name, parameter)
        if kind is not None:
            parameter.type = KitName(kind)


def prepare() -> None:
    """Make names of several words come out right in bash."""
    add_completion_class(Bash)
