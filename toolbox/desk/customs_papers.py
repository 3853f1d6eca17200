"""A list for customs on paper: a page with its columns and totals, and the same as CSV."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from toolbox.desk.customs import CustomsList, left_words, refusal_words
from toolbox.desk.own_files import Written
from toolbox.desk.papers_files import Paper, paper_csv, save_papers
from toolbox.desk.printed import Block, Heading, Page, Points, Table, Words, mark_of
from toolbox.kit.customs import CustomsChoices, CustomsLine, IssuedList, SetsAs
from toolbox.papers.customs import WHO_DECIDES, mass_text, totals, totals_in_words
from toolbox.papers.number_words import Language

CAUTIONS = (
    WHO_DECIDES,
    "A list promises that the same goods come back: what is used up, given away or sold stays "
    "off it. Once issued it is neither changed nor added to.",
    "Values are those of new things at retail, of used ones to replace them, in the currency of "
    "the issuing country.",
)
_SETS = {
    SetsAs.PARTS: "Each kind of part of a set has a line of its own.",
    SetsAs.COUNTED: "A set has one line; its parts are counted as pieces.",
    SetsAs.ONE: "A set has one line and counts as one piece.",
}


def save_customs(made: CustomsList, folder: Path) -> tuple[Written, ...]:
    """Write the list as it is today, as a draft; see ``save_papers``."""
    return save_papers(folder, [draft_paper(made)])


def save_issue(issued: IssuedList, title: str, folder: Path) -> tuple[Written, ...]:
    """Write an issued list; see ``save_papers``."""
    return save_papers(folder, [issued_paper(issued, title)])


def draft_paper(made: CustomsList) -> Paper:
    """The list as it is today, marked as a draft, with what stands against issuing it."""
    title = f"Draft of a general list - {made.flight.trip.name}"
    against = [
        f"{words} ({', '.join(names)})" if names else words
        for words, names in refusal_words(made.draft)
    ]
    head = [
        Words("DRAFT. NOT ISSUED: this list is not to be handed in.", strong=True),
        Words(f"Made on {made.flight.today}."),
    ]
    end: list[Block] = []
    if against:
        end = [Heading("What stands against issuing it"), Points(tuple(against))]
    left = [left_words(one) for one in made.left_out]
    body = _blocks(made.draft.lines, made.choices, left)
    mark = mark_of(made.flight.name, "customs", "draft")
    return Paper(
        f"{made.flight.name}-customs-draft",
        Page(mark, title, (*head, *body, *end)),
        customs_csv(made.draft.lines, made.choices),
        "that is a draft of this list",
    )


def issued_paper(issued: IssuedList, title: str) -> Paper:
    """A list as it was issued."""
    number = str(issued.issue)
    head = Words(f"Issue {number} of {issued.day}, {len(issued.lines)} items.", strong=True)
    body = _blocks(issued.lines, issued.choices, issued.left_out)
    return Paper(
        f"{issued.trip}-customs-{number}",
        Page(mark_of(issued.trip, "customs", number), f"General list - {title}", (head, *body)),
        customs_csv(issued.lines, issued.choices),
        f"of issue {number} of this list",
    )


def customs_csv(lines: Iterable[CustomsLine], choices: CustomsChoices) -> bytes:
    """The columns 1 to 6 as CSV. Mass and value have their unit, so that 7.4 stays 7.4."""
    heads = ("item", "description", "pieces", "mass", "value", "origin")
    rows = (
        (
            line.number,
            line.words,
            line.pieces,
            _with_unit(mass_text(line.grams, choices.unit), choices.unit.value),
            _with_unit(value_text(line.hundredths), choices.currency),
            line.origin,
        )
        for line in lines
    )
    return paper_csv(heads, rows)


def value_text(hundredths: int | None) -> str:
    """A value without its currency: "1070.00"; "" for none."""
    return "" if hundredths is None else f"{hundredths // 100}.{hundredths % 100:02}"


def _with_unit(figure: str, unit: str) -> str:
    return f"{figure} {unit}".strip() if figure else ""


def _blocks(
    lines: Sequence[CustomsLine], choices: CustomsChoices, left_out: Sequence[str]
) -> Iterator[Block]:
    country = choices.country or "not said"
    currency = choices.currency or "not said"
    yield Words(
        f"Issuing country {country}, values in {currency}, masses in {choices.unit.value}. "
        f"{_SETS[choices.sets]}"
    )
    for words in CAUTIONS:
        yield Words(words)
    yield Heading("General list")
    sums = totals(lines)
    rows = [
        (
            str(line.number),
            line.words,
            str(line.pieces),
            mass_text(line.grams, choices.unit),
            value_text(line.hundredths),
            line.origin,
            "",
        )
        for line in lines
    ]
    last = ("Total", f"{sums.items} items", str(sums.pieces))
    rows.append((*last, mass_text(sums.grams, choices.unit), value_text(sums.hundredths), "", ""))
    yield Table(
        (
            "1 no.",
            "2 trade description, marks and numbers",
            "3 pieces",
            f"4 {choices.unit.value}",
            f"5 {choices.currency or 'value'}",
            "6 origin",
            "7 for customs",
        ),
        tuple(rows),
        frozenset({0, 2, 3, 4}),
        sums=1,
    )
    yield Heading("Totals in words")
    yield Points(
        tuple("; ".join(totals_in_words(sums, choices, language)) for language in Language)
    )
    if left_out:
        yield Heading("Not on the list")
        yield Points(tuple(left_out))
