"""Commands that look up what is not in the box: missing, lent, losses."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, meant, today_option
from toolbox.cli.count_said import piece_data, say_sheet, sheet_data
from toolbox.cli.words import clean, say, say_json, table
from toolbox.desk.count import evening
from toolbox.desk.count_losses import Double, Said, loans, overdue, to_double
from toolbox.desk.count_losses import losses as losses_of
from toolbox.desk.count_missing import missing_sheets
from toolbox.desk.folder import KitFolder
from toolbox.desk.naming import tool_named
from toolbox.desk.plans import rank_tools


@click.command()
@click.argument("thing", required=False)
@kit_option
@json_option
def missing(thing: str | None, kit_path: Path | None, as_json: bool) -> None:
    """Show everything that is not in the box, or one THING, as one looks for it.

    What it looks like, where it was used last, who has another one, the bikes it could be
    in, and everything that was said of it.
    """
    folder = kit_folder(kit_path)
    tool = meant(tool_named, folder.kit, thing) if thing is not None else None
    sheets = missing_sheets(folder, evening(folder, looked_at(folder, None)).book, tool)
    if as_json:
        say_json({"missing": [sheet_data(folder.kit, sheet) for sheet in sheets]})
        return
    if not sheets:
        say("It is not missing." if thing is not None else "Nothing is missing.")
    for number, sheet in enumerate(sheets):
        if number:
            say()
        say_sheet(folder.kit, sheet)


@click.command()
@today_option
@kit_option
@json_option
def lent(today: str | None, kit_path: Path | None, as_json: bool) -> None:
    """List what is lent, to whom and until when, and what came back or did not."""
    folder = kit_folder(kit_path)
    on = looked_at(folder, today)
    found = loans(evening(folder, on).book)
    if as_json:
        say_json({"lent": [_loan(folder, loan, late=overdue(loan, on)) for loan in found]})
        return
    if not found:
        say("Nothing was ever lent.")
        return
    rows = []
    for loan in found:
        late = "OVERDUE" if overdue(loan, on) else loan.ended_words()
        until = str(loan.what.until or "")
        row = (str(loan.at.date()), until, late, loan.what.where, loan.words(folder.kit))
        rows.append(tuple(clean(cell) for cell in row))
    say(table(("since", "until", "ended", "to", "thing"), rows))


@click.command()
@today_option
@kit_option
@json_option
def losses(today: str | None, kit_path: Path | None, as_json: bool) -> None:
    """List what was ever lost, and of which tool a second one would pay most.

    That is losses times urgency: how much a second of the tool's uses counts on average,
    an urgent one by the weight in the settings.
    """
    folder = kit_folder(kit_path)
    book = evening(folder, looked_at(folder, today)).book
    found = losses_of(book)
    doubles = to_double(folder.kit, rank_tools(folder, looked_at(folder, today)), book)
    if as_json:
        lost = [_said(folder, loss) for loss in found]
        say_json({"losses": lost, "to_double": [_double(one) for one in doubles]})
        return
    if not found:
        say("Nothing was ever lost.")
        return
    rows = [
        (
            str(loss.at.date()),
            loss.ended_words(),
            clean(loss.fact.author),
            clean(loss.words(folder.kit)),
        )
        for loss in found
    ]
    say(table(("lost", "ended", "by", "thing"), rows))
    say()
    say("A second one would pay, most first:")
    shown = [
        (str(d.losses), f"{d.urgency:.1f}", f"{d.worth:.1f}", str(d.copies), clean(d.name))
        for d in doubles
    ]
    heads = ("losses", "urgency", "product", "copies", "tool")
    say(table(heads, shown, right=range(4)))


def _said(folder: KitFolder, said: Said) -> dict[str, object]:
    return {
        **piece_data(folder.kit, said.copy, said.part, said.number),
        "at": said.at.isoformat(),
        "author": said.fact.author,
        "where": said.what.where,
        "note": said.what.note,
        "ended": said.ended_words() or None,
    }


def _loan(folder: KitFolder, loan: Said, *, late: bool) -> dict[str, object]:
    until = loan.what.until
    return {**_said(folder, loan), "until": str(until) if until else None, "overdue": late}


def _double(one: Double) -> dict[str, object]:
    return {
        "tool": one.tool,
        "name": one.name,
        "copies": one.copies,
        "losses": one.losses,
        "urgency": one.urgency,
        "product": one.worth,
    }
