"""The command schema: what a command prints with --json, as JSON Schema."""

from __future__ import annotations

from typing import Any

import click

from toolbox.cli.words import say_json
from toolbox.desk.errors import DeskError

_DIALECT = "https://json-schema.org/draft/2020-12/schema"


@click.command()
@click.argument("command")
def schema(command: str) -> None:
    """Print the JSON Schema of what COMMAND prints with --json.

    An object has just the keys that are named; more may come in a later version.
    """
    try:
        say_json(schema_for(command))
    except KeyError as error:
        known = ", ".join(sorted(shapes()))
        raise DeskError(f'"{command}" prints no JSON; these do: {known}') from error


def schema_for(command: str) -> dict[str, Any]:
    """The JSON Schema of a command's answer; KeyError for a command that has none."""
    from toolbox.cli.shapes.kinds import schema_of

    shape = shapes()[command]
    return {"$schema": _DIALECT, "title": f"toolbox {command} --json", **schema_of(shape)}


def shapes() -> dict[str, Any]:
    """The shape of each command's answer."""
    from toolbox.cli.shapes import box, evening, flight, keeping

    return {**box.SHAPES, **flight.SHAPES, **evening.SHAPES, **keeping.SHAPES}
