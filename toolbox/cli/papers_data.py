"""Lists for customs and claims as data for programs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from toolbox.cli.papers import files_json
from toolbox.desk.claims import AMOUNT, REPORT, Claim, notice_words, seen_words, work_names
from toolbox.desk.customs import CustomsList, left_words
from toolbox.desk.customs_papers import CAUTIONS
from toolbox.desk.own_files import Written
from toolbox.kit.customs import IssuedList
from toolbox.papers.claim import WHO_DECIDES, Claimed, Notice
from toolbox.papers.customs import totals, totals_in_words
from toolbox.papers.customs_changes import Difference
from toolbox.papers.number_words import Language


def customs_data(
    made: CustomsList, shown: IssuedList | None, files: Sequence[Written]
) -> dict[str, Any]:
    """Today's draft, or an issued list that is shown in its place."""
    head, lines, choices = _draft_head(made), made.draft.lines, made.choices
    if shown is not None:
        head, lines, choices = _issue_head(shown), shown.lines, shown.choices
    sums = totals(lines)
    changes = made.changes if shown is None else made.since(shown)
    return {
        "trip": made.flight.name,
        **head,
        "country": choices.country,
        "currency": choices.currency,
        "unit": choices.unit.value,
        "sets": choices.sets.value,
        "lines": [asdict(line) for line in lines],
        "totals": sums._asdict(),
        "words": {one.value: list(totals_in_words(sums, choices, one)) for one in Language},
        "refusals": [] if shown else [one._asdict() for one in made.draft.refusals],
        "last_issue": made.last.issue if made.last is not None else None,
        "changes": [_change_data(change) for change in changes],
        "files": files_json(files),
        "cautions": list(CAUTIONS),
    }


def _draft_head(made: CustomsList) -> dict[str, Any]:
    return {
        "issue": None,
        "day": made.flight.today.isoformat(),
        "bags": [bag.id for bag in made.bags],
        "left_out": [left_words(one) for one in made.left_out],
    }


def _issue_head(shown: IssuedList) -> dict[str, Any]:
    return {
        "issue": shown.issue,
        "day": shown.day.isoformat(),
        "bags": list(shown.bags),
        "left_out": list(shown.left_out),
    }


def _change_data(change: Difference) -> dict[str, Any]:
    return {**asdict(change), "change": change.change.value}


def claim_data(made: Claim, files: Sequence[Written]) -> dict[str, Any]:
    """A claim for a bag."""
    sums = made.sums
    return {
        "trip": made.flight.name,
        "bag": made.bag.id,
        **_notice_data(made.notice, made),
        "things": [_claimed_data(row) for row in made.rows],
        "totals": {
            "pieces": sums.pieces,
            "grams": sums.grams,
            "values": [money._asdict() for money in sums.values],
            "unvalued": sums.unvalued,
        },
        "possible_jobs": list(work_names(made, made.possible)),
        "lost_jobs": list(work_names(made, made.lost)),
        "files": files_json(files),
        "cautions": [WHO_DECIDES, REPORT, AMOUNT],
    }


def _notice_data(notice: Notice, made: Claim) -> dict[str, Any]:
    today = made.flight.today
    return {
        "mishap": notice.mishap.value,
        "days": notice.days,
        "counted_from": notice.counted_from.isoformat(),
        "last_day": notice.last_day.isoformat(),
        "keep_to": notice.sooner.isoformat(),
        "days_left": notice.days_left(today),
        "running": notice.running,
        "words": notice_words(notice, today),
    }


def _claimed_data(row: Claimed) -> dict[str, Any]:
    return {
        "thing": row.thing,
        "name": row.name,
        "pieces": row.pieces,
        "grams": row.grams,
        "hundredths": row.value.hundredths if row.value is not None else None,
        "currency": row.value.currency if row.value is not None else None,
        "serial": row.serial,
        "last_seen": seen_words(row.seen),
    }
