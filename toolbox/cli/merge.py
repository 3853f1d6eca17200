"""The command merge: another copy of the kit taken in, its log whole, its files side by side."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import click

from toolbox.cli import codes
from toolbox.cli.common import json_option, kit_option
from toolbox.cli.words import GAP, clean, count, paragraph, say, say_json, table
from toolbox.desk.backup_home import state_folder
from toolbox.desk.folder import find_kit
from toolbox.desk.merge import ABSENT, Difference, Merged, Verdict, merge

_WIDEST = 24  # columns that a value may take beside the other side's


@click.command("merge")
@click.argument("other", type=click.Path(path_type=Path))
@click.option(
    "--take", is_flag=True, help="Take in what was changed in the other copy's files alone."
)
@click.option(
    "--yes",
    "same_kit",
    is_flag=True,
    help="These are copies of one kit, though their logs have nothing in common yet.",
)
@kit_option
@json_option
@click.pass_context
def merge_copies(
    ctx: click.Context,
    other: Path,
    take: bool,
    same_kit: bool,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Take in another copy of the kit: a kit folder, an export, or a journal.

    Its log is joined with this one, every entry once. What differs in the files is shown
    side by side and never written over; --take takes in what only the other side changed.
    OTHER is only read.
    """
    path = find_kit(kit_path or Path.cwd())
    done = merge(path, other, state_folder(), wanted=take, same_kit=same_kit)
    if as_json:
        say_json(_data(done))
    else:
        _say(done)
    ctx.exit(codes.NO if done.left else codes.DONE)


# ---- in words


def _say(done: Merged) -> None:
    if done.facts.new:
        entries, facts = count(done.entries, "entry", "entries"), count(len(done.facts.new), "fact")
        authors = clean(", ".join(done.authors))
        say(paragraph(f"Took in {entries} ({facts}), written by {authors}."))
    else:
        say("Nothing is new in its log.")
    if done.why is None:
        return
    if not done.differences:
        say("The files of both say the same.")
        return
    if done.why:
        say(paragraph(clean(f"{done.why}, so it is not known who changed what.")))
    _part("Taken in, since it was changed there alone:", done.taken)
    offered = [one for one in done.left if one.takeable]
    _part("Changed there alone; --take takes it in:", offered)
    by_hand = "Different; nothing was written over, settle it by hand on either side:"
    _part(by_hand, [one for one in done.left if not one.takeable])
    here = sum(one.verdict is Verdict.HERE for one in done.differences)
    if here:
        say()
        say(paragraph(f"{count(here, 'difference')} made here alone: nothing to do on this side."))


def _part(head: str, differences: Sequence[Difference]) -> None:
    """Differences below a heading, the values of an entry together."""
    if not differences:
        return
    say()
    say(head)
    for place in dict.fromkeys(one.place for one in differences):
        many = [one for one in differences if one.place == place]
        where = clean(_where(many[0]))
        whole = [one for one in many if not one.key]
        for one in whole:
            say(f"{GAP}{where}: {_whole_words(one)}")
        if not whole:
            say(f"{GAP}{where}")
            rows = [_row(one) for one in many]
            say(_indented(table(("", "here", "there", ""), rows)))


def _where(one: Difference) -> str:
    place = one.place
    if not place.table:
        return place.file
    called = f" ({one.called})" if one.called not in ("", place.name) else ""
    return f"{place.file}, {place.table} {place.name}{called}"


def _whole_words(one: Difference) -> str:
    """What became of an entry or a file that is not on both sides, or that is one value."""
    if one.here is not ABSENT and one.there is not ABSENT:
        return one.verdict.value
    only = "here" if one.there is ABSENT else "there"
    other = "there" if only == "here" else "here"
    if one.verdict is Verdict.UNKNOWN:
        return f"only {only}"
    if one.verdict is Verdict.BOTH:
        return f"changed {only}, taken out {other}"
    new = (one.verdict is Verdict.HERE) == (only == "here")
    return f"new {only}" if new else f"taken out {other}"


def _row(one: Difference) -> tuple[str, str, str, str]:
    words = one.verdict.value
    if one.verdict is not Verdict.UNKNOWN:
        words += f", was {_value(one.had)}" if one.had is not ABSENT else ", was not there"
    return clean(".".join(one.key)), _value(one.here), _value(one.there), words


def _value(value: Any) -> str:
    """A value on one line, cut where it is long; the whole of it is in the data for programs."""
    if value is ABSENT:
        return "-"
    text = clean(value if isinstance(value, str) else json.dumps(value, ensure_ascii=False))
    return text if len(text) <= _WIDEST else f"{text[: _WIDEST - 3]}..."


def _indented(text: str) -> str:
    return "\n".join(f"{GAP * 2}{line}".rstrip() for line in text.splitlines())


# ---- as data


def _data(done: Merged) -> dict[str, Any]:
    return {
        "other": str(done.other),
        "entries": done.entries,
        "facts": len(done.facts.new),
        "known": done.facts.known,
        "authors": list(done.authors),
        "files_compared": done.why is not None,
        "unknown_because": done.why or None,
        "differences": list(_differences(done.differences, done.taken)),
        "to_settle": len(done.left),
    }


def _differences(
    differences: Iterable[Difference], taken: Sequence[Difference]
) -> Iterable[dict[str, Any]]:
    for one in differences:
        yield {
            "file": one.place.file,
            "table": one.place.table,
            "name": one.place.name,
            "key": ".".join(one.key),
            "verdict": one.verdict.value,
            "here": _text(one.here),
            "there": _text(one.there),
            "had": _text(one.had),
            "takeable": one.takeable,
            "taken": one in taken,
        }


def _text(value: Any) -> str | None:
    """A value as JSON text, since it may be of any sort; None for one that is not there."""
    return None if value is ABSENT else json.dumps(value)
