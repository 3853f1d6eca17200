"""The command customs: a list of goods for customs, drafted, issued, held against the kit."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from toolbox.cli import codes
from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, today_option
from toolbox.cli.papers import papers_out, say_files
from toolbox.cli.papers_data import customs_data
from toolbox.cli.words import clean, count, hang, paragraph, remark, say, say_json, table
from toolbox.desk.customs import (
    CustomsList,
    Wanted,
    change_words,
    customs_list,
    issue_list,
    left_words,
    refusal_words,
)
from toolbox.desk.customs_papers import CAUTIONS, save_customs, save_issue, value_text
from toolbox.desk.errors import DeskError
from toolbox.desk.own_files import Written
from toolbox.desk.trips import open_flight
from toolbox.kit.customs import CustomsChoices, CustomsLine, IssuedList, MassUnit, SetsAs
from toolbox.papers.customs import Totals, mass_text, totals, totals_in_words
from toolbox.papers.number_words import Language


@click.command()
@click.argument("name", required=False, metavar="[TRIP]")
@click.option("--bag", "bags", multiple=True, metavar="BAG", help="Only this bag; repeat for more.")
@click.option(
    "--without", "without", multiple=True, metavar="THING", help="Keep this off the list."
)
@click.option("--country", metavar="CODE", help="The issuing country, two capitals.")
@click.option("--currency", metavar="CODE", help="The one currency of the list, three capitals.")
@click.option(
    "--unit", type=click.Choice([u.value for u in MassUnit]), help="The one unit of mass."
)
@click.option(
    "--sets",
    type=click.Choice([s.value for s in SetsAs]),
    help="Sets: a line for each kind of part, one line with all pieces counted, or one piece.",
)
@click.option("--issue", is_flag=True, help="Issue it: stored for good, never to be changed.")
@click.option("--issued", type=int, metavar="N", help="Show issue N instead of today's list.")
@papers_out
@today_option
@kit_option
@json_option
def customs(
    name: str | None,
    bags: tuple[str, ...],
    without: tuple[str, ...],
    country: str | None,
    currency: str | None,
    unit: str | None,
    sets: str | None,
    issue: bool,
    issued: int | None,
    out: Path | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """A list of the goods in a trip's bags for customs, with the columns of an ATA carnet.

    First a draft that names all that would be refused; --issue stores it for good, and from
    then on what has changed since is shown.
    """
    folder = kit_folder(kit_path)
    flight = open_flight(folder, name, looked_at(folder, today))
    usual = folder.kit.customs
    choices = CustomsChoices(
        country if country is not None else usual.country,
        currency if currency is not None else usual.currency,
        MassUnit(unit) if unit is not None else usual.unit,
        SetsAs(sets) if sets is not None else usual.sets,
    )
    made = customs_list(flight, Wanted(bags, without), choices)
    shown = _issue_shown(made, issue, issued)
    files = _customs_files(made, shown, out)
    if as_json:
        say_json(customs_data(made, shown, files))
    elif shown is not None:
        _say_issue(shown, made, files)
    else:
        _say_draft(made, files)
    against = made.draft.refusals if shown is None else _changes(made, shown)
    if against:
        raise click.exceptions.Exit(codes.NO)


def _issue_shown(made: CustomsList, issue: bool, number: int | None) -> IssuedList | None:
    """The issued list that is asked for, issued just now if so wanted; None: today's draft."""
    if issue and made.draft.refusals:
        remark("Nothing was issued: see what stands against it.")
        return None
    if issue:
        return issue_list(made, made.flight.today)
    if number is None:
        return None
    found = next((one for one in made.issued if one.issue == number), None)
    if found is None:
        there = ", ".join(str(one.issue) for one in made.issued) or "none"
        raise DeskError(f"no issue {number} of this list; there is {there}")
    return found


def _customs_files(
    made: CustomsList, shown: IssuedList | None, out: Path | None
) -> tuple[Written, ...]:
    if out is None:
        return ()
    if shown is not None:
        return save_issue(shown, made.flight.trip.name, out)
    return save_customs(made, out)


def _changes(made: CustomsList, shown: IssuedList) -> tuple[str, ...]:
    """What differs from an issued list today, in words."""
    return tuple(change_words(change) for change in made.since(shown))


def _say_draft(made: CustomsList, files: Sequence[Written]) -> None:
    bags = ", ".join(clean(bag.name) for bag in made.bags)
    say(paragraph(f"DRAFT of a list for customs, not issued: {bags}."))
    _say_lines(made.draft.lines, made.sums, made.choices)
    _say_left(tuple(left_words(one) for one in made.left_out))
    if made.last is not None:
        say()
        say(f"Issue {made.last.issue} of {made.last.day} is the last one.")
        for change in made.changes:
            hang("- ", change_words(change))
    if made.draft.refusals:
        say()
        say("NOT READY TO BE ISSUED:")
        for words, names in refusal_words(made.draft):
            hang("- ", f"{words}. {_some(names)}" if names else f"{words}.")
    else:
        say()
        say("Nothing stands against issuing it by what is known here: --issue.")
    _say_end(files)


def _some(names: Sequence[str], most: int = 6) -> str:
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return f"{count(len(names), 'thing')}: {', '.join(names[:most])}{more}"


def _say_issue(shown: IssuedList, made: CustomsList, files: Sequence[Written]) -> None:
    say(paragraph(f"Issue {shown.issue} of {shown.day}, {clean(made.flight.trip.name)}."))
    _say_lines(shown.lines, totals(shown.lines), shown.choices)
    _say_left(shown.left_out)
    changes = _changes(made, shown)
    if changes:
        say()
        say("Since then the kit is not as it was listed:")
        for words in changes:
            hang("- ", words)
    _say_end(files)


def _say_lines(lines: Sequence[CustomsLine], sums: Totals, choices: CustomsChoices) -> None:
    heads = ("no.", "pcs", choices.unit.value, choices.currency or "value", "from", "description")
    rows = [
        (
            str(line.number),
            str(line.pieces),
            mass_text(line.grams, choices.unit) or "?",
            value_text(line.hundredths) or "?",
            line.origin or "?",
            clean(line.words),
        )
        for line in lines
    ]
    total = (
        str(sums.items),
        str(sums.pieces),
        mass_text(sums.grams, choices.unit) or "?",
        value_text(sums.hundredths) or "?",
        "",
        "in all: items, pieces, mass, value",
    )
    say(table(heads, [*rows, total], right=(0, 1, 2, 3)))
    for language in Language:
        say(paragraph("; ".join(totals_in_words(sums, choices, language))))


def _say_left(left_out: Sequence[str]) -> None:
    if left_out:
        say()
        say("Not on the list:")
        for words in left_out:
            hang("- ", words)


def _say_end(files: Sequence[Written]) -> None:
    if files:
        say()
        say_files(files)
    for words in CAUTIONS:
        say(paragraph(words))
