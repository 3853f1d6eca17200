"""The command import: a list read, its questions asked, what it would change shown and stored."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from toolbox.cli import codes
from toolbox.cli.common import json_option, kit_folder, kit_option
from toolbox.cli.intake_shown import intake_data, say_entry, say_intake
from toolbox.cli.words import clean, count, remark, say_json
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.intake import Intake, accepted, list_bytes, store, stream_bytes, take_in
from toolbox.desk.intake_answers import answers_path, keep_answers, load_answers, with_told
from toolbox.desk.intake_view import PASTED
from toolbox.desk.odd_masses import odd_in_import
from toolbox.intake.difference import Entry, State
from toolbox.intake.reading import Answers

_MOST_ODD = 20


@click.command("import")
@click.argument(
    "file", type=click.Path(path_type=Path, exists=True, dir_okay=False, allow_dash=True)
)
@click.option(
    "--column", "columns", multiple=True, metavar="HEADER=MEANING",
    help="What a column means, where the guess is wrong; MEANING - leaves it out.",
)  # fmt: skip
@click.option(
    "--answer", "said", multiple=True, metavar="QUESTION=ANSWER",
    help="The answer to a question, by the id it is shown with.",
)  # fmt: skip
@click.option(
    "--answers", "answers_file", metavar="FILE",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    help="Read answers from this file. Default: the ones kept in the kit for a list so named.",
)  # fmt: skip
@click.option(
    "--keep", metavar="FILE", type=click.Path(path_type=Path, dir_okay=False),
    help="Keep the answers in this file. Default: answers/NAME.toml in the kit.",
)  # fmt: skip
@click.option(
    "--accept", "words", multiple=True, metavar="WHAT",
    help="Store these: new, changed, all, a line like 12, lines like 3-8, or an id.",
)  # fmt: skip
@click.option(
    "--only", "keys", multiple=True, metavar="KEY",
    help="Of what changed take these keys alone, like mass.",
)  # fmt: skip
@click.option("--yes", is_flag=True, help="Store everything new without asking.")
@kit_option
@json_option
def import_list(
    file: Path, columns: tuple[str, ...], said: tuple[str, ...], answers_file: Path | None,
    keep: Path | None, words: tuple[str, ...], keys: tuple[str, ...], yes: bool,
    kit_path: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Take in a list from FILE (CSV, text, or a spreadsheet; - reads what is piped or pasted in).

    It holds tools and supplies, or jobs, or weighings. What was read, every guess and every
    doubt is shown first; nothing is stored before you agree, and nothing is taken out.
    """
    folder = kit_folder(kit_path)
    pasted = str(file) == "-"
    name = PASTED if pasted else file.name
    raw = stream_bytes(sys.stdin.buffer) if pasted else list_bytes(file)
    answers = _answers(folder, name, answers_file, columns, said)
    talks = sys.stdin.isatty() and sys.stderr.isatty() and not (as_json or pasted or yes or words)
    taken = take_in(folder, raw, name, answers)
    if talks:
        taken = _asked(folder, raw, name, taken)
    odd = odd_in_import(folder.kit, taken.difference.entries)
    if not as_json:
        say_intake(taken)
    # also to who agreed beforehand, and beside data for programs
    for sentence in odd[:_MOST_ODD]:
        remark(clean(f"CAUTION: {sentence}: is that right?"))
    if len(odd) > _MOST_ODD:
        remark(f"CAUTION: {len(odd) - _MOST_ODD} masses more are as odd; look at the unit first.")
    chosen = _chosen(taken, words, keys, yes=yes, talks=talks)
    if as_json:
        data = intake_data(taken, stored=[entry.id for entry in chosen])
        say_json({**data, "odd_masses": list(odd)})
    if chosen:
        store(folder, chosen)
        path = keep or (None if pasted else answers_path(folder, name))
        kept = path is not None and keep_answers(path, taken.reading.answers, name)
        remark(f"Stored: {count(len(chosen), 'entry', 'entries')}." + (
            f" The answers are kept in {path}." if kept else ""
        ))  # fmt: skip
    _end(taken, chosen, asked=bool(yes or words or talks))


def _answers(
    folder: KitFolder, name: str, file: Path | None, columns: tuple[str, ...], said: tuple[str, ...]
) -> Answers:
    path = file or answers_path(folder, name)
    kept = load_answers(path) if path.exists() else Answers()
    if path.exists():
        remark(f"Answers read from {path}.")
    like = {"column": "Weight (g)=mass", "answer": "marks=comma"}
    told = {
        option: dict(_pair(pair, option, like[option]) for pair in pairs)
        for option, pairs in (("column", columns), ("answer", said))
    }
    return with_told(kept, told["column"], told["answer"])


def _pair(text: str, option: str, like: str) -> tuple[str, str]:
    before, equals, after = text.rpartition("=")
    if not equals:
        raise DeskError(f'"{text}" is nothing for --{option}; write it like "{like}"')
    return before, after


def _asked(folder: KitFolder, data: bytes, name: str, taken: Intake) -> Intake:
    """Ask question after question at the terminal; a blank answer leaves one open."""
    left: set[str] = set()
    while True:
        question = next((q for q in taken.difference.questions if q.id not in left), None)
        if question is None:
            return taken
        click.echo(clean(question.asked), err=True)
        for number, choice in enumerate(question.choices, 1):
            click.echo(f"  {number}  {clean(choice)}", err=True)
        hint = "number, or what should stand there" if question.free else "number"
        typed = click.prompt(f"{hint}; Enter leaves it open", default="", err=True,
                             show_default=False).strip()  # fmt: skip
        if typed.isdigit() and 1 <= int(typed) <= len(question.choices):
            typed = question.choices[int(typed) - 1]
        elif typed and not question.free and typed not in question.choices:
            click.echo("That is none of the choices.", err=True)
            continue
        if not typed:
            left.add(question.id)
            continue
        taken = take_in(folder, data, name, taken.reading.answers.also(question.id, typed))
        # an answer that could not be read brings the question up again
        if question.id in {q.id for q in taken.difference.questions}:
            click.echo("That could not be read there.", err=True)


def _chosen(
    taken: Intake, words: tuple[str, ...], keys: tuple[str, ...], *, yes: bool, talks: bool
) -> list[Entry]:
    """What is to be stored: as told by options, else one by one at the terminal, else nothing."""
    if words:
        return accepted(taken.difference, words, keys)
    # without naming lines a list goes in whole or not at all
    if not taken.complete:
        return []
    if yes:
        return accepted(taken.difference, [State.NEW.value], ())
    return _agreed(taken, keys) if talks else []


def _agreed(taken: Intake, keys: tuple[str, ...]) -> list[Entry]:
    new = accepted(taken.difference, [State.NEW.value], ())
    changed = accepted(taken.difference, [State.CHANGED.value], keys)
    chosen: list[Entry] = []
    if new:
        how = click.prompt(
            f"Store {count(len(new), 'new entry', 'new entries')}? all, none, or one by one",
            type=click.Choice(["all", "none", "one"]), default="none", err=True,
        )  # fmt: skip
        chosen += new if how == "all" else _one_by_one(new) if how == "one" else []
    return chosen + _one_by_one(changed)


def _one_by_one(entries: list[Entry]) -> list[Entry]:
    chosen = []
    for entry in entries:
        say_entry(entry)
        if click.confirm("Take this in?", default=False, err=True):
            chosen.append(entry)
    return chosen


def _end(taken: Intake, chosen: list[Entry], *, asked: bool) -> None:
    """What is left to say when all is done, and the exit code that goes with it."""
    difference = taken.difference
    if not taken.complete:
        if not chosen:
            remark("Nothing was stored. Answer or mend what is named above, then import again;")
            remark('or name what to store all the same, with "--accept new" or "--accept LINE".')
        raise click.exceptions.Exit(codes.NO)
    new, changed = (len(difference.of(state)) for state in (State.NEW, State.CHANGED))
    if not new and not changed:
        remark("Nothing new to store.")
    elif not chosen and not asked:
        remark('A dry run; nothing was stored. Add "--yes" to store what is new.')
    elif not chosen:
        remark("Nothing new to store." if not new else "Nothing was stored.")
    if changed and not any(entry.known is not None for entry in chosen):
        remark(f'{count(changed, "entry differs", "entries differ")} from the kit and stay as the '
               'kit has them; take them in with "--accept changed".')  # fmt: skip
