"""The command edit: tools, supplies, jobs and compartments listed, shown, changed, added."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from toolbox.cli import codes
from toolbox.cli.common import json_option, kit_folder, kit_option
from toolbox.cli.common import meant as one_meant
from toolbox.cli.words import clean, paragraph, remark, say, say_json, table
from toolbox.desk.edit import (
    Draft,
    Faulty,
    Outcome,
    Overtaken,
    faults_of,
    new_entry,
    open_entry,
    write_draft,
)
from toolbox.desk.edit_browse import HEADS, items, meant
from toolbox.desk.edit_keys import SORTS, Sort, sort_called
from toolbox.desk.edit_retire import named_in_kit, retire
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.odd_masses import odd_in_draft


@click.command()
@click.argument("kind", type=click.Choice([sort.word for sort in SORTS]))
@click.argument("name", required=False)
@click.argument("lines", nargs=-1, metavar="[KEY=VALUE]...")
@click.option("--add", is_flag=True, help="Add a new one called NAME.")
@click.option("--copy", "copied", is_flag=True, help="Add one like NAME, under another id.")
@click.option(
    "--retire",
    "retired",
    is_flag=True,
    help="It no longer travels; what stays at home, or never travels, is taken out of the kit.",
)
@click.option("--sure", is_flag=True, help="A mass out of all proportion is meant so.")
@kit_option
@json_option
def edit(
    kind: str,
    name: str | None,
    lines: tuple[str, ...],
    add: bool,
    copied: bool,
    retired: bool,
    sure: bool,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """List all of a KIND, show the one called NAME, or change lines of it: mass="450 g".

    NAME is a few letters, or an id. KEY is a key of its file, like gauge.lowest or
    step.2.tools; an empty VALUE takes it out. Comments in the file stay.
    """
    if add + copied + retired > 1 or (retired and lines):
        raise click.UsageError("choose one: --add, --copy, --retire, or KEY=VALUE alone")
    folder, sort = kit_folder(kit_path), sort_called(kind)
    if name is None:
        if add or copied or retired:
            raise click.UsageError(f"say which {kind} is meant")
        _list(folder, sort, as_json)
        return
    if add:
        draft = new_entry(sort).typed("name", name)
    else:
        found = one_meant(lambda kit, text: meant(kit, sort, text), folder.kit, name)
        draft = open_entry(folder, sort, found)
        if not (lines or copied or retired):
            _show(folder, draft, as_json)
            return
        draft = new_entry(sort, draft) if copied else draft
    if retired:
        _say(retire(folder, draft), as_json)
        return
    draft = _typed(draft, lines)
    if not sure and not faults_of(folder, draft):
        _ask_back(folder, draft)
    _say(write_draft(folder, draft), as_json)


def _ask_back(folder: KitFolder, draft: Draft) -> None:
    """Ask once about a mass out of all proportion; DeskError where nobody says that it is right."""
    odd = odd_in_draft(folder.kit, draft)
    if not odd:
        return
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        raise DeskError(f"{odd}; nothing was written. If it is right, add --sure")
    if not click.confirm(clean(f"{odd}. Is that right?"), err=True):
        raise DeskError("nothing was written")


def _typed(draft: Draft, lines: tuple[str, ...]) -> Draft:
    for line in lines:
        key, equals, text = line.partition("=")
        if not equals:
            raise DeskError(f'"{line}" is not KEY=VALUE, like mass="450 g"')
        draft = draft.typed(key.strip(), text)
    return draft


def _list(folder: KitFolder, sort: Sort, as_json: bool) -> None:
    listed = items(folder.kit, sort)
    heads = HEADS[sort.word]
    if as_json:
        rows = [
            {"id": i.id, "name": i.name, **dict(zip(heads, i.cells, strict=True))} for i in listed
        ]
        say_json({sort.many: rows})
        return
    if not listed:
        say(f"There are no {sort.many} yet. Add one: toolbox edit {sort.word} NAME --add")
        return
    say(
        table(("id", *heads, "name"), [(i.id, *map(clean, i.cells), clean(i.name)) for i in listed])
    )


def _show(folder: KitFolder, draft: Draft, as_json: bool) -> None:
    filled = [line for line in draft.lines() if line.text]
    named = named_in_kit(folder.kit, draft.sort, draft.id)
    if as_json:
        values: dict[str, Any] = {line.key.key: line.text for line in filled}
        say_json({draft.sort.word: values, "named_by": list(named)})
        return
    say(table(("key", "value"), [(line.key.key, clean(line.text)) for line in filled]))
    empty = [line.key.key for line in draft.lines() if not line.text]
    say()
    say(paragraph(f"Empty: {', '.join(empty)}."))
    if named:
        say(paragraph(clean(f"Named by {'; '.join(named)}.")))


def _say(outcome: Outcome, as_json: bool) -> None:
    if isinstance(outcome, Faulty):
        if as_json:
            say_json(
                {
                    "written": False,
                    "faults": [{"key": f.key, "words": f.words} for f in outcome.faults],
                }
            )
        remark("Nothing was written:")
        for fault in outcome.faults:
            remark("- " + clean(f"{fault.key}: {fault.words}" if fault.key else fault.words))
        raise click.exceptions.Exit(codes.NO)
    if isinstance(outcome, Overtaken):
        raise DeskError("somebody else changed it just now; nothing was written, look again")
    if as_json:
        say_json({"written": True, "id": outcome.id, "words": outcome.words})
    else:
        say(clean(outcome.words))
