"""A general list for customs: numbered lines out of things, and what an office would refuse.

The columns are those of the ATA carnet's general list (notes on its cover): running number,
trade description with marks and numbers, pieces, mass, value, country of origin. Where
practices differ the strictest is the usual one here. A chamber and customs decide; nothing
here says that they agree.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import NamedTuple

from toolbox.kit.customs import CustomsChoices, CustomsLine, MassUnit, SetsAs
from toolbox.kit.things import Money, Papers, Part
from toolbox.papers.countries import country_fault
from toolbox.papers.number_words import (
    GRAMS,
    ITEMS,
    KILOGRAMS,
    LARGEST,
    PIECES,
    WHOLE_ONLY,
    Language,
    counted,
    measured,
    money,
)
from toolbox.papers.vague import vague_words

NO_SERIAL = "NSN"
WHO_DECIDES = (
    "The chamber that issues the carnet and the customs of each country decide what a list must "
    "say. This is no legal advice."
)


@dataclass(frozen=True, slots=True)
class Entry:
    """A thing to be listed: one copy of a tool, a thing of the trip, or a bag.

    ``grams`` are those of the copy, with all its parts. ``alike`` is how many copies are
    described by the same entry, so that one serial number cannot be that of all.
    """

    thing: str
    name: str
    papers: Papers
    grams: int
    parts: tuple[Part, ...] = ()
    alike: int = 1


class Refusal(NamedTuple):
    """Why a list cannot be issued so: whose line ("" the whole list), what is wrong, what to do."""

    thing: str
    name: str
    wrong: str
    cure: str


@dataclass(frozen=True, slots=True)
class Draft:
    """Lines by their numbers, and everything that stands against issuing them."""

    lines: tuple[CustomsLine, ...]
    refusals: tuple[Refusal, ...]


class Totals(NamedTuple):
    """Sums of the columns: items, pieces, grams, hundredths; None where a line has no figure."""

    items: int
    pieces: int
    grams: int | None
    hundredths: int | None


def general_list(
    entries: Iterable[Entry], choices: CustomsChoices, before: Iterable[CustomsLine] = ()
) -> Draft:
    """The list of these things; ``before`` are the lines of every earlier issue of it.

    A line that says the same of the same thing as before keeps its number; any other gets one
    that was never used.
    """
    entries = tuple(entries)
    refusals = [*_of_the_list(entries, choices)]
    lines: list[CustomsLine] = []
    for entry in entries:
        lines += _lines(entry, choices)
        refusals += _refusals(entry, choices)
    return Draft(_numbered(lines, tuple(before)), tuple(refusals))


def totals(lines: Sequence[CustomsLine]) -> Totals:
    """The sums of the columns 1, 3, 4 and 5."""
    return Totals(
        len(lines),
        sum(line.pieces for line in lines),
        _sum(line.grams for line in lines),
        _sum(line.hundredths for line in lines),
    )


def totals_in_words(sums: Totals, choices: CustomsChoices, language: Language) -> tuple[str, ...]:
    """Items, pieces, mass and value in words; what is not known, or beyond words, left out."""
    found = [counted(sums.items, ITEMS, language), counted(sums.pieces, PIECES, language)]
    if sums.grams is not None:
        kilograms = choices.unit is MassUnit.KILOGRAMS
        amount = Decimal(sums.grams) / 1000 if kilograms else Decimal(sums.grams)
        found.append(measured(amount, KILOGRAMS if kilograms else GRAMS, language))
    if sums.hundredths is not None and choices.currency and sums.hundredths <= LARGEST:
        found.append(money(sums.hundredths, choices.currency, language))
    return tuple(found)


def mass_text(grams: int | None, unit: MassUnit) -> str:
    """A mass in the list's unit, exact and without the unit: "13.2"; "" for none."""
    if grams is None:
        return ""
    if unit is MassUnit.GRAMS:
        return str(grams)
    whole, rest = divmod(grams, 1000)
    return f"{whole}.{rest:03}".rstrip("0").rstrip(".")


# ---- lines


def _lines(entry: Entry, choices: CustomsChoices) -> Iterator[CustomsLine]:
    """The lines of one entry, not yet numbered."""
    value = _hundredths(entry.papers.value, choices)
    origin, serial = entry.papers.origin, entry.papers.serial
    if entry.parts and choices.sets is SetsAs.PARTS:
        for part in entry.parts:
            each = _hundredths(part.value, choices)
            yield CustomsLine(
                number=0,
                thing=entry.thing,
                part=part.name,
                words=", ".join((f"{part.name}, belongs to {_called(entry)}", _serial(serial))),
                pieces=part.count,
                grams=None if part.grams is None else part.grams * part.count,
                hundredths=None if each is None else each * part.count,
                origin=origin,
                serial=serial,
            )
        return
    pieces = sum(part.count for part in entry.parts) or 1
    words = [_called(entry)]
    if entry.parts:
        words.append(f"{pieces} {'piece' if pieces == 1 else 'pieces'}: {_parts(entry)}")
    words.append(_serial(serial))
    yield CustomsLine(
        number=0,
        thing=entry.thing,
        part="",
        words=", ".join(words),
        pieces=1 if choices.sets is SetsAs.ONE else pieces,
        grams=entry.grams,
        hundredths=value,
        origin=origin,
        serial=serial,
    )


def _called(entry: Entry) -> str:
    papers = entry.papers
    year = f"made {papers.year}" if papers.year is not None else ""
    return ", ".join(part for part in (entry.name, papers.make, papers.model, year) if part)


def _serial(serial: str) -> str:
    return f"S/N {serial}" if serial else NO_SERIAL


def _parts(entry: Entry) -> str:
    return ", ".join(f"{part.name} x{part.count}" for part in entry.parts)


def _hundredths(value: Money | None, choices: CustomsChoices) -> int | None:
    """A value in the list's currency; another currency is never converted."""
    if value is None or (choices.currency and value.currency != choices.currency):
        return None
    return value.hundredths


def _numbered(
    lines: Iterable[CustomsLine], before: tuple[CustomsLine, ...]
) -> tuple[CustomsLine, ...]:
    # two lines that say the same are still two, each with a number of its own
    given: dict[tuple[str, str, str, int], list[int]] = {}
    for line in sorted(before, key=lambda one: one.number):
        numbers = given.setdefault(_identity(line), [])
        if line.number not in numbers:
            numbers.append(line.number)
    free = max((line.number for line in before), default=0) + 1
    found = []
    for line in lines:
        kept = given.get(_identity(line))
        if kept:
            number = kept.pop(0)
        else:
            number, free = free, free + 1
        found.append(replace(line, number=number))
    return tuple(sorted(found, key=lambda line: line.number))


def _identity(line: CustomsLine) -> tuple[str, str, str, int]:
    """What a number stands for: corrected figures are of the same thing, other words are not."""
    return line.thing, line.part, line.words, line.pieces


def _sum(figures: Iterable[int | None]) -> int | None:
    total = 0
    for figure in figures:
        if figure is None:
            return None
        total += figure
    return total


# ---- what would be refused


def _of_the_list(entries: Sequence[Entry], choices: CustomsChoices) -> Iterator[Refusal]:
    if not entries:
        yield Refusal("", "", "nothing is to be listed", "name bags with something in them")
    wrong = country_fault(choices.country)
    if not choices.country:
        yield Refusal("", "", "no issuing country", "say it with --country, or in kit.toml")
    elif wrong:
        yield Refusal("", "", f'issuing country "{choices.country}" is none', wrong)
    if not choices.currency:
        yield Refusal(
            "", "", "no currency of the list", "say that of the issuing country with --currency"
        )


def _refusals(entry: Entry, choices: CustomsChoices) -> Iterator[Refusal]:
    """Everything that stands against the lines of one entry."""
    for wrong, cure in (
        *_of_papers(entry, choices),
        *_of_words(entry, choices),
        *(_of_parts(entry, choices) if choices.sets is SetsAs.PARTS else ()),
    ):
        yield Refusal(entry.thing, entry.name, wrong, cure)


def _of_papers(entry: Entry, choices: CustomsChoices) -> Iterator[tuple[str, str]]:
    papers = entry.papers
    yield from _of_value(papers.value, choices, "value")
    if not papers.origin:
        yield "no country of origin", 'write origin = "DE", the country it was made in'
    elif wrong := country_fault(papers.origin):
        yield f'origin "{papers.origin}" is no country', wrong
    if papers.serial and entry.alike > 1:
        yield (
            f"one serial number for {entry.alike} copies",
            "make each copy an entry of its own, with its own number",
        )


def _of_value(
    value: Money | None, choices: CustomsChoices, called: str
) -> Iterator[tuple[str, str]]:
    if value is None:
        yield f"no {called}", "give what it costs new, or for used things to replace (45.00 EUR)"
        return
    if choices.currency and value.currency != choices.currency:
        yield (
            f"{called} in {value.currency}, the list is in {choices.currency}",
            f"give it in {choices.currency}: nothing is converted here",
        )
    if not value.hundredths:
        yield f"{called} of nothing", "give what it costs to replace"
    if value.currency in WHOLE_ONLY and value.hundredths % 100:
        yield f"{called} with decimals, which {value.currency} has not", "give a whole amount"


def _of_words(entry: Entry, choices: CustomsChoices) -> Iterator[tuple[str, str]]:
    # a kit with its pieces counted is described; without a count it is not
    counts = bool(entry.parts) and choices.sets is not SetsAs.PARTS
    said = (entry.name, entry.papers.make, entry.papers.model, *(p.name for p in entry.parts))
    words = dict.fromkeys(word for text in said for word in vague_words(text, counted=counts))
    for word in words:
        if entry.parts and not counts:
            cure = f'name it without that word, like "{_parts(entry)}", or list sets as "counted"'
        elif entry.parts:
            cure = f'name it without that word, like "{_parts(entry)}"'
        else:
            cure = "name the thing itself, an entry for each sort; give a set its parts"
        yield f'"{word}" says too little of what it is', cure


def _of_parts(entry: Entry, choices: CustomsChoices) -> Iterator[tuple[str, str]]:
    """A set broken into its parts needs figures of each, and they have to add up."""
    if not entry.parts:
        return
    looser = 'or list sets as "counted", where that is accepted'
    if entry.papers.serial:
        yield (
            "a serial number and lines for parts",
            f"make what bears the number a tool of its own, {looser}",
        )
    bare = [part.name for part in entry.parts if part.grams is None]
    if bare:
        yield f"no mass of one {', '.join(bare)}", f"give the parts their mass, {looser}"
    elif (together := sum((p.grams or 0) * p.count for p in entry.parts)) != entry.grams:
        yield (
            f"its parts weigh {together} g and the set {entry.grams} g",
            f"set the masses right, or name what else belongs to it, {looser}",
        )
    for part in entry.parts:
        for wrong, cure in _of_value(part.value, choices, f"value of one {part.name}"):
            yield wrong, f"{cure}, {looser}" if part.value is None else cure
    values = [_hundredths(p.value, choices) for p in entry.parts]
    whole = _hundredths(entry.papers.value, choices)
    known = [v * p.count for v, p in zip(values, entry.parts, strict=True) if v is not None]
    if whole is not None and len(known) == len(values) and sum(known) != whole:
        yield (
            f"its parts are worth {sum(known) / 100:.2f} and the set {whole / 100:.2f}",
            f"set the values right, {looser}",
        )
