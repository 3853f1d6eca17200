"""The command lists: checklists of the mechanic's own, ticked off line by line, or on paper."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click

from toolbox.cli.checklists import BOXES, line_options
from toolbox.cli.common import (
    author,
    day,
    json_option,
    kit_folder,
    kit_option,
    meant,
    now,
    today_option,
)
from toolbox.cli.words import cells, clean, hang, pad, paragraph, say, say_json, table, wrap
from toolbox.desk.diary import When
from toolbox.desk.errors import DeskError
from toolbox.desk.evening_view import evening_looked_at
from toolbox.desk.folder import KitFolder
from toolbox.desk.lists import (
    Bolt,
    Item,
    OpenList,
    carry,
    count_pieces,
    examples,
    initials,
    item_named,
    list_named,
    lists_of,
    note,
    open_list,
    take_example,
    tick,
    untick,
    write_of_lists,
)
from toolbox.desk.names import Named
from toolbox.kit.facts import LineState
from toolbox.kit.quantities import Kind, write

WIDTH = 80
SIGNED = "____ __:__"


@click.command("lists")
@click.argument("name", required=False, metavar="[LIST]")
@line_options
@click.option("--bike", "bikes", multiple=True, help="Only this bike's lines; others for once too.")
@click.option("--run", type=click.IntRange(1, 99), default=1, help="Which time today. Default: 1.")
@click.option("--print", "on_paper", is_flag=True, help="On paper: 80 columns, boxes to sign.")
@click.option("--copy", "example", metavar="EXAMPLE", help="Copy an example into the kit.")
@click.option("--by", metavar="NAME", help="Who. Default: TOOLBOX_AUTHOR or login.")
@today_option
@kit_option
@json_option
def lists(
    name: str | None,
    ticks: tuple[str, ...],
    unticks: tuple[str, ...],
    carries: tuple[str, ...],
    counts: tuple[tuple[str, int], ...],
    notes: tuple[tuple[str, str], ...],
    bikes: tuple[str, ...],
    run: int,
    on_paper: bool,
    example: str | None,
    by: str | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Work through a LIST of the kit, or name them all.

    LINE is its number in the list, its key, or a few letters of its words. A tick is an
    entry of the log: "toolbox undo" takes it back.
    """
    folder = kit_folder(kit_path)
    on = day(today) if today is not None else evening_looked_at(folder.day(now()), now())
    said = bool(ticks or unticks or carries or counts or notes)
    if example is not None:
        _say_copied(take_example(folder, example), as_json)
        return
    if name is None:
        if said or on_paper:
            raise DeskError("name the list that is meant")
        _say_names(folder, on, as_json)
        return
    template = list_named(folder, name)
    plain = tuple(clean(bike) for bike in bikes)
    opened = open_list(folder, template, on, run=run, bikes=plain)
    facts = [
        *(tick(opened, _key(folder, opened, letters)) for letters in ticks),
        *(untick(opened, _key(folder, opened, letters)) for letters in unticks),
        *(carry(opened, _key(folder, opened, letters)) for letters in carries),
        *(count_pieces(opened, _key(folder, opened, letters), n) for letters, n in counts),
        *(note(opened, _key(folder, opened, letters), clean(text)) for letters, text in notes),
    ]
    entry = ""
    if facts:
        moment = now()
        entry = write_of_lists(folder, facts, When(moment, moment, author(by)))
        opened = open_list(kit_folder(folder.path), template, on, run=run, bikes=plain)
    shown = [
        (number, item)
        for number, item in enumerate(opened.items, 1)
        if not plain or item.bike in plain
    ]
    if as_json:
        _say_json(opened, shown, entry)
    elif on_paper:
        _say_paper(opened, shown)
    else:
        _say(opened, shown, entry)


def _key(folder: KitFolder, opened: OpenList, letters: str) -> str:
    def find(_: object, typed: str) -> Named:
        item = item_named(opened, typed)
        return Named(item.key, item.line.words)

    return meant(find, folder.kit, letters)


def _say_copied(path: Path, as_json: bool) -> None:
    if as_json:
        say_json({"file": str(path)})
    else:
        say(f"Copied to {path}: common practice, no source. Change it to what you do.")


def _say_names(folder: KitFolder, on: date, as_json: bool) -> None:
    opened = [open_list(folder, template, on) for template in lists_of(folder)]
    shipped = examples(folder)
    if as_json:
        rows = [
            {
                "list": one.template.name,
                "title": one.template.title,
                "when": one.template.when.value,
                "done": one.checklist.count(LineState.DONE),
                "lines": len(one.items),
            }
            for one in opened
        ]
        say_json({"lists": rows, "examples": [t.name for t in shipped]})
        return
    if opened:
        told = [
            (one.template.name, one.template.when.value, _done(one), clean(one.template.title))
            for one in opened
        ]
        say(table(("list", "when", "today", "title"), told))
    else:
        say("No lists in this kit yet.")
    names = ", ".join(t.name for t in shipped)
    say()
    say(paragraph(f'Examples to copy with "toolbox lists --copy NAME": {names}.'))


def _done(opened: OpenList) -> str:
    listed = opened.checklist
    return f"{listed.count(LineState.DONE)} of {len(listed.lines)}"


def _say(opened: OpenList, shown: Sequence[tuple[int, Item]], entry: str) -> None:
    carried = opened.checklist.count(LineState.CARRIED)
    more = f", {carried} carried over" if carried else ""
    say(paragraph(clean(f"{opened.template.title}, {opened.about}: {_done(opened)} done{more}.")))
    say()
    for number, item in shown:
        _say_line(number, item)
    if entry:
        say()
        say(f'take it back with "toolbox undo {entry[:8]}"')


def _say_line(number: int, item: Item) -> None:
    line = item.line
    pieces = f" ({line.counted} of {line.pieces})" if (line.pieces or 0) > 1 else ""
    signed = f" ({initials(line.author)} {line.at:%H:%M})" if line.at and line.author else ""
    beside = f" | {_beside(item.bolt)}" if item.bolt is not None else ""
    hang(f"{BOXES[line.state]} {number:2}  ", f"{line.words}{pieces}{beside}{signed}")
    if item.bolt is not None and item.bolt.out:
        hang(" " * 8, f"OUT: {item.bolt.name}: {item.bolt.out}")
    if not line.done:
        why = f"{line.why} [{line.source}]" if line.why else ""
        by_itself = "" if item.ticked_here else line.by_itself
        since = f"left since {item.since}" if item.since else ""
        for words in (why, by_itself, since):
            if words:
                hang(" " * 8, words)
    if line.note:
        hang(" " * 8, f"note: {line.note}" + (f" ({line.author})" if line.author else ""))


def _beside(bolt: Bolt) -> str:
    torque = "" if bolt.torque_mnm is None else write(bolt.torque_mnm, Kind.TORQUE)
    return " | ".join(part for part in (torque, bolt.name) if part)


def _say_paper(opened: OpenList, shown: Sequence[tuple[int, Item]]) -> None:
    """The list to be signed by hand, at most 80 columns wide."""
    template = opened.template
    say(paragraph(clean(f"{template.title}  {template.discipline}  {opened.about}")))
    say("=" * WIDTH)
    for number, item in shown:
        head = f"{BOXES[item.line.state]} {number:2}  "
        beside = f" | {_beside(item.bolt)}" if item.bolt is not None else ""
        room = WIDTH - len(head) - len(SIGNED) - 2
        first, *rest = wrap(clean(f"{item.line.words}{beside}"), room)
        say(f"{head}{pad(first, room)}  {_signed(item)}")
        for words in rest:
            say(" " * len(head) + words)
        if item.bolt is not None and item.bolt.out:
            hang(" " * len(head), f"OUT: {item.bolt.name}: {item.bolt.out}")
    say("=" * WIDTH)
    say("Torques come from the maker of the part.")


def _signed(item: Item) -> str:
    if item.line.done and item.line.at is not None and item.line.author:
        name = initials(item.line.author)
        return " " * max(0, 4 - cells(name)) + f"{name} {item.line.at:%H:%M}"
    return SIGNED


def _say_json(opened: OpenList, shown: Sequence[tuple[int, Item]], entry: str) -> None:
    listed = opened.checklist
    say_json(
        {
            "list": opened.template.name,
            "title": opened.template.title,
            "about": opened.about,
            "done": listed.count(LineState.DONE),
            "open": listed.count(LineState.OPEN),
            "carried_over": listed.count(LineState.CARRIED),
            "lines": [_line(number, item) for number, item in shown],
            "entry": entry or None,
        }
    )


def _line(number: int, item: Item) -> dict[str, Any]:
    line, bolt = item.line, item.bolt
    return {
        "number": number,
        "key": item.key,
        "words": line.words,
        "bike": item.bike,
        "why": line.why,
        "source": line.source,
        "torque_mnm": None if bolt is None else bolt.torque_mnm,
        "tool": None if bolt is None or not bolt.tool else bolt.tool,
        "tool_out": None if bolt is None or not bolt.out else bolt.out,
        "pieces": line.pieces,
        "counted": line.counted,
        "state": line.state.value,
        "by_itself": not item.ticked_here,
        "since": item.since or None,
        "note": line.note,
        "author": line.author,
        "at": line.at.isoformat() if line.at is not None else None,
    }
