"""The command manual: a manual page in roff, made of the commands themselves."""

from __future__ import annotations

from collections.abc import Iterator

import click

from toolbox import __version__
from toolbox.cli import codes
from toolbox.cli.words import clean

_SIGNS = {"\\": "\\e", "-": "\\-", "^": "\\(ha", "~": "\\(ti", "`": "\\(ga"}


@click.command()
def manual() -> None:
    """Print the manual page in roff: toolbox manual > toolbox.1, then man -l toolbox.1."""
    click.echo(page(), nl=False)


def page() -> str:
    """The whole page: what it is for, every command with its options, exit codes, variables."""
    from toolbox.cli import COMMANDS, cli

    context = click.Context(cli, info_name="toolbox")
    commands = [(name, cli.get_command(context, name)) for name in COMMANDS]
    known = [(name, command) for name, command in commands if command is not None]
    return "\n".join(_lines(context, cli, known)) + "\n"


def _lines(
    context: click.Context, cli: click.Command, commands: list[tuple[str, click.Command]]
) -> Iterator[str]:
    first, *rest = _paragraphs(cli.help)
    yield f'.TH TOOLBOX 1 "" "toolbox {__version__}" "User commands"'
    yield ".SH NAME"
    yield f"toolbox \\- {_roff(first.rstrip('.'))}"
    yield ".SH SYNOPSIS"
    yield ".B toolbox"
    yield _roff("[COMMAND] [OPTION]... [ARGUMENT]...")
    yield ".SH DESCRIPTION"
    for text in rest:
        yield ".PP"
        yield _roff(text)
    yield from _options(context, cli)
    yield ".SH COMMANDS"
    for name, command in commands:
        yield from _command(click.Context(command, info_name=name, parent=context), name, command)
    yield ".SH EXIT STATUS"
    for code, words in codes.MEANINGS.items():
        yield from _entry(str(code), words)
    yield ".SH ENVIRONMENT"
    for variable, words in _variables(commands):
        yield from _entry(variable, words)


def _command(context: click.Context, name: str, command: click.Command) -> Iterator[str]:
    yield f'.SS "toolbox {_roff(name)}"'
    pieces = " ".join(command.collect_usage_pieces(context))
    yield f"\\fBtoolbox {_roff(name)}\\fR {_roff(pieces)}"
    for text in _paragraphs(command.help):
        yield ".PP"
        yield _roff(text)
    yield from _options(context, command)


def _options(context: click.Context, command: click.Command) -> Iterator[str]:
    for parameter in command.get_params(context):
        record = parameter.get_help_record(context)
        # what an argument is for stands in the words above; --help is told once, at the top
        own = parameter.name != "help" or context.parent is None
        if record is not None and record[1] and own:
            yield from _entry(*record)


def _entry(head: str, words: str) -> Iterator[str]:
    yield ".TP"
    yield f"\\fB{_roff(head)}\\fR"
    yield _roff(words)


def _variables(commands: list[tuple[str, click.Command]]) -> Iterator[tuple[str, str]]:
    """Variables of the environment that options are taken from, each with its option's help."""
    found: dict[str, str] = {}
    for _, command in commands:
        for parameter in command.params:
            if isinstance(parameter, click.Option) and isinstance(parameter.envvar, str):
                found.setdefault(
                    parameter.envvar, f"Stands for {parameter.opts[0]}. {parameter.help}"
                )
    yield from found.items()


def _paragraphs(help_text: str | None) -> list[str]:
    blocks = (help_text or "").replace("\b", "").split("\n\n")
    return [" ".join(block.split()) for block in blocks if block.strip()]


def _roff(text: str) -> str:
    """Text as roff prints it: no sign of its own, no request at a line's beginning."""
    safe = "".join(
        _SIGNS.get(letter) or (letter if letter.isascii() else f"\\[u{ord(letter):04X}]")
        for letter in clean(text)
    )
    return f"\\&{safe}" if safe.startswith((".", "'")) else safe
