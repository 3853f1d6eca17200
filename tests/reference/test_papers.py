"""Papers against what others publish: rules of general lists, number words, country codes, days.

Rules of the list: ../shared/reference/customs.md, which quotes the notes on the cover of the ATA
carnet (a reprint in Dutch), a chamber's instructions and a government's guidance on general
lists; each test says which of them.
"""

from __future__ import annotations

from calendar import isleap
from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import product

import pycountry
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words

from toolbox.kit.customs import CustomsChoices, MassUnit, SetsAs
from toolbox.kit.things import Money, Papers, Part
from toolbox.papers.claim import Claimed, Mishap, claim_totals, notice_for
from toolbox.papers.countries import CODES, country_fault
from toolbox.papers.customs import (
    NO_SERIAL,
    Entry,
    general_list,
    mass_text,
    totals,
    totals_in_words,
)
from toolbox.papers.customs_changes import Change, differences
from toolbox.papers.number_words import (
    LARGEST,
    PIECES,
    Language,
    counted,
    in_words,
    measured,
    money,
)

CHOICES = CustomsChoices("DE", "EUR")
COUNTED = CHOICES._replace(sets=SetsAs.COUNTED)


def euros(amount: int) -> Money:
    """Whole euros."""
    return Money(amount * 100, "EUR")


def entry(thing: str, name: str, grams: int, euro: int, **more) -> Entry:
    """A thing made in Taiwan; ``more`` are papers, or parts and copies."""
    own = {key: more.pop(key) for key in ("parts", "alike") if key in more}
    papers = Papers(value=euros(euro), origin="TW")._replace(**more)
    return Entry(thing, name, papers, grams, **own)


WRENCH = entry("T1", "Torque wrench", 600, 180, serial="A-77/3")
ROLL = entry("T2", "Tool kit", 7400, 640, parts=(Part("spanner", 20), Part("hex key", 21)))
STAND = entry("T3", "Work stand", 5200, 250)
THREE = (WRENCH, ROLL, STAND)


# ---- the rules of the list


def test_the_worked_example() -> None:
    """Three items, 43 pieces, 13.2 kg, 1 070 (worked example of the reference notes)."""
    draft = general_list(THREE, COUNTED)
    sums = totals(draft.lines)
    assert not draft.refusals
    assert (sums.items, sums.pieces, sums.grams, sums.hundredths) == (3, 43, 13_200, 107_000)
    assert mass_text(sums.grams, MassUnit.KILOGRAMS) == "13.2"
    assert [line.number for line in draft.lines] == [1, 2, 3]


def test_totals_of_four_columns_also_in_words() -> None:
    """Totals of the columns 1, 3, 4, 5 in words (carnet notes); both languages."""
    sums = totals(general_list(THREE, COUNTED).lines)
    assert totals_in_words(sums, COUNTED, Language.ENGLISH) == (
        "three items",
        "forty-three pieces",
        "thirteen point two kilograms",
        "one thousand and seventy euros",
    )
    assert totals_in_words(sums, COUNTED, Language.FRENCH) == (
        "trois articles",
        "quarante-trois pièces",
        "treize virgule deux kilogrammes",
        "mille soixante-dix euros",
    )


def test_a_serial_number_or_that_there_is_none() -> None:
    """The serial number, or NSN (government's guidance; a chamber)."""
    wrench, _, stand = general_list(THREE, COUNTED).lines
    assert wrench.words == "Torque wrench, S/N A-77/3"
    assert stand.words == f"Work stand, {NO_SERIAL}"


def test_the_strictest_is_usual_each_kind_of_part_has_a_line() -> None:
    """Each piece of its own on its own line is the strictest practice seen (common practice)."""
    assert CustomsChoices().sets is SetsAs.PARTS
    bits = entry(
        "T2",
        "Hex bits",
        172,
        71,
        parts=(Part("bit", 28, 4, euros(2)), Part("handle", 1, 60, euros(15))),
    )
    draft = general_list([bits], CHOICES)
    assert not draft.refusals
    assert [(line.part, line.pieces, line.grams, line.hundredths) for line in draft.lines] == [
        ("bit", 28, 112, 5600),
        ("handle", 1, 60, 1500),
    ]
    assert totals(draft.lines).pieces == 29


def test_a_set_can_be_one_line_with_its_pieces_counted_or_one_piece() -> None:
    """One line with the piece count (government's guidance), or one number and one piece with
    the nature of each part in column 2 (carnet notes)."""
    (counts,) = general_list([ROLL], COUNTED).lines
    (one,) = general_list([ROLL], CHOICES._replace(sets=SetsAs.ONE)).lines
    words = "Tool kit, 41 pieces: spanner x20, hex key x21, NSN"
    assert (counts.words, counts.pieces) == (words, 41)
    assert (one.words, one.pieces) == (words, 1)
    assert (counts.grams, one.grams) == (7400, 7400)


def test_parts_without_figures_of_their_own_are_refused_and_not_made_up() -> None:
    """A line for a part needs its own mass and value: nothing is shared out of the set's."""
    draft = general_list([ROLL], CHOICES)
    wrong = [refusal.wrong for refusal in draft.refusals]
    assert "no mass of one spanner, hex key" in wrong
    assert "no value of one spanner" in wrong
    assert totals(draft.lines).grams is None
    assert totals(draft.lines).hundredths is None


def test_parts_add_up_to_their_set() -> None:
    """Masses of a list add up to the case, so those of parts to their set (own rule)."""
    light = entry("T2", "Bits", 180, 56, parts=(Part("bit", 28, 4, euros(2)),))
    (refusal,) = general_list([light], CHOICES).refusals
    assert refusal.wrong == "its parts weigh 112 g and the set 180 g"


@pytest.mark.parametrize(
    "name",
    ["Bleed kit", "Set of picks", "Box of bits", "Various keys", "Assorted files", "Two SETS of x"],
)
def test_vague_words_are_refused_with_a_suggestion(name: str) -> None:
    """kit, set of, box of, various, assorted are refused (government's guidance)."""
    draft = general_list([entry("T1", name, 10, 1)], COUNTED)
    (refusal,) = draft.refusals
    assert refusal.thing == "T1"
    assert "says too little" in refusal.wrong
    assert refusal.cure


@pytest.mark.parametrize("name", ["Kitchen scale", "Offset offcut", "Setting tool", "Bit set"])
def test_words_that_only_look_vague_are_not_refused(name: str) -> None:
    """Whole words are meant."""
    assert not general_list([entry("T1", name, 10, 1)], COUNTED).refusals


def test_a_kit_is_let_through_only_with_its_pieces_counted() -> None:
    """A kit of hand tools may be one line with its piece count (government's guidance)."""
    assert not general_list([ROLL], COUNTED).refusals
    assert any('"kit"' in r.wrong for r in general_list([ROLL], CHOICES).refusals)


def test_the_suggestion_names_the_parts() -> None:
    """What would do in place of the vague word, as far as the kit knows."""
    picks = entry("T1", "Set of picks", 80, 20, parts=(Part("pick", 4),))
    (refusal,) = general_list([picks], COUNTED).refusals
    assert '"pick x4"' in refusal.cure


def test_like_things_keep_a_number_each() -> None:
    """Each item has its own number in column 1 (carnet notes): two copies are two lines."""
    levers = [entry(copy, "Tyre lever", 30, 4, alike=2) for copy in ("T9", "T9/2")]
    draft = general_list(levers, CHOICES)
    assert [(line.number, line.pieces) for line in draft.lines] == [(1, 1), (2, 1)]
    assert not draft.refusals


def test_one_serial_number_is_not_that_of_two_copies() -> None:
    """A serial number is that of one piece (own rule)."""
    two = [entry(c, "Gauge", 90, 40, alike=2, serial="S1") for c in ("T9", "T9/2")]
    assert {r.wrong for r in general_list(two, CHOICES).refusals} == {
        "one serial number for 2 copies"
    }


@pytest.mark.parametrize(
    ("papers", "wrong"),
    [
        ({"value": None}, "no value"),
        ({"value": Money(0, "EUR")}, "value of nothing"),
        ({"value": Money(900, "USD")}, "value in USD, the list is in EUR"),
        ({"origin": ""}, "no country of origin"),
        ({"origin": "UK"}, 'origin "UK" is no country'),
        ({"origin": "XX"}, 'origin "XX" is no country'),
    ],
)
def test_columns_five_and_six(papers: dict[str, object], wrong: str) -> None:
    """Value in the one currency of the list (carnet notes; memory), origin of two letters (a
    chamber). What is not known is refused, never left blank or converted."""
    draft = general_list([entry("T1", "Stand", 10, 1, **papers)], CHOICES)
    (refusal,) = draft.refusals
    assert refusal.wrong == wrong
    assert refusal.cure
    known = papers.get("value", euros(1)) in (euros(1), Money(0, "EUR"))
    assert (totals(draft.lines).hundredths is not None) == known


def test_a_currency_without_hundredths() -> None:
    """The yen has no smaller part (ISO 4217, from memory)."""
    yen = entry("T1", "Stand", 10, 1, value=Money(150, "JPY"))
    assert general_list([yen], CustomsChoices("JP", "JPY")).refusals
    whole = entry("T1", "Stand", 10, 1, value=Money(15000, "JPY"))
    assert not general_list([whole], CustomsChoices("JP", "JPY")).refusals


@pytest.mark.parametrize(
    ("choices", "number"), [(CustomsChoices(), 2), (CustomsChoices("EU", "EUR"), 1)]
)
def test_a_list_says_country_and_currency(choices: CustomsChoices, number: int) -> None:
    """The value is that in the issuing country and its currency (carnet notes)."""
    assert len(general_list([STAND], choices).refusals) == number


def test_a_list_of_nothing_is_refused() -> None:
    """Nothing cannot be issued."""
    assert general_list([], CHOICES).refusals


def test_one_unit_of_mass_throughout() -> None:
    """kg or g, one unit throughout (a chamber, two texts)."""
    assert mass_text(600, MassUnit.KILOGRAMS) == "0.6"
    assert mass_text(600, MassUnit.GRAMS) == "600"
    assert mass_text(7000, MassUnit.KILOGRAMS) == "7"
    grams = COUNTED._replace(unit=MassUnit.GRAMS)
    words = totals_in_words(totals(general_list(THREE, grams).lines), grams, Language.ENGLISH)
    assert "thirteen thousand two hundred grams" in words


def test_all_faults_are_told_at_once() -> None:
    """Two things with two faults each are four refusals."""
    bare = [Entry(t, "Various things", Papers(origin="TW"), 5) for t in ("T1", "T2")]
    assert len(general_list(bare, CHOICES).refusals) == 4


# ---- numbers


def test_a_number_is_never_used_for_anything_else() -> None:
    """Running numbers are never repeated (carnet notes; a chamber), nor over several issues."""
    first = general_list(THREE, COUNTED).lines
    without = general_list([WRENCH, STAND], COUNTED, first).lines
    assert [(line.thing, line.number) for line in without] == [("T1", 1), ("T3", 3)]
    vice = entry("T4", "Vice", 900, 60)
    third = general_list([vice, WRENCH], COUNTED, (*first, *without)).lines
    assert [(line.thing, line.number) for line in third] == [("T1", 1), ("T4", 4)]
    other = replace(WRENCH, papers=WRENCH.papers._replace(serial="B-1"))
    (line,) = general_list([other], COUNTED, (*first, *third)).lines
    assert line.number == 5


def test_lines_that_say_the_same_still_have_numbers_of_their_own() -> None:
    """Two kinds of part that bear one name are two items, in every issue."""
    parts = (Part("bit", 2, 4, euros(2)), Part("bit", 2, 4, euros(2)))
    bits = entry("T2", "Hex bits", 16, 8, parts=parts)
    first = general_list([bits], CHOICES).lines
    second = general_list([bits, STAND], CHOICES, first).lines
    assert [line.number for line in first] == [1, 2]
    assert [(line.thing, line.number) for line in second] == [("T2", 1), ("T2", 2), ("T3", 3)]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.lists(st.sampled_from(range(6)), unique=True), max_size=6))
def test_over_any_issues_a_number_means_one_thing(issues: list[list[int]]) -> None:
    """Whatever is listed again, left out and taken in, no number ever means two things."""
    meaning: dict[int, str] = {}
    before: tuple = ()
    for issue in issues:
        entries = [entry(f"T{n}", f"Thing {n}", 10, 1) for n in issue]
        lines = general_list(entries, CHOICES, before).lines
        assert len({line.number for line in lines}) == len(lines)
        for line in lines:
            assert meaning.setdefault(line.number, line.thing) == line.thing
        before += lines


# ---- what changed since


def test_every_sort_of_difference_is_found() -> None:
    """Missing, more, and another serial number, mass, value, origin."""
    issued = general_list(THREE, COUNTED).lines
    now = [
        replace(WRENCH, papers=WRENCH.papers._replace(serial="B-1", origin="JP")),
        replace(STAND, grams=5300),
        entry("T4", "Vice", 900, 60),
    ]
    found = differences(issued, general_list(now, COUNTED).lines)
    assert [(d.change, d.number, d.what, d.was, d.now) for d in found] == [
        (Change.CHANGED, 1, "serial number", "A-77/3", "B-1"),
        (Change.CHANGED, 1, "origin", "TW", "JP"),
        (Change.MISSING, 2, "", "", ""),
        (Change.CHANGED, 3, "grams", "5200", "5300"),
        (Change.EXTRA, None, "", "", ""),
    ]
    assert differences(issued, general_list(THREE, COUNTED).lines) == ()


# ---- words


def test_english_and_french_words_are_those_of_a_reference_library() -> None:
    """num2words (French in the traditional spelling; English without its commas)."""
    ends = (0, 1, 11, 21, 61, 71, 80, 81, 91, 99)
    numbers = {h + e for h, e in product((0, 100, 200, 700, 800), ends)}
    numbers |= {n * 10**k + e for n, k, e in product((1, 2, 80, 200, 281), (3, 6, 9), ends)}
    numbers |= {LARGEST, 1_070, 10_001, 999_999, 80_080_080}
    for number in numbers:
        english = num2words(number, lang="en").replace(",", "")
        assert in_words(number, Language.ENGLISH) == english
        assert in_words(number, Language.FRENCH) == num2words(number, lang="fr")


@pytest.mark.parametrize(
    ("number", "french"),
    [
        (80, "quatre-vingts"),
        (80_000, "quatre-vingt mille"),
        (80_000_000, "quatre-vingts millions"),
        (201, "deux cent un"),
        (71, "soixante et onze"),
    ],
)
def test_french_words_by_the_traditional_rules(number: int, french: str) -> None:
    """Hyphens below a hundred alone, an s where nothing but a noun follows (from memory)."""
    assert in_words(number, Language.FRENCH) == french


def test_words_of_amounts() -> None:
    """Decimals digit by digit; cents; gender and "de" in French (from memory)."""
    assert measured(Decimal("0.605"), PIECES, Language.ENGLISH).startswith("zero point six zero")
    assert measured(Decimal("1.50"), PIECES, Language.FRENCH) == "un virgule cinq pièce"
    assert counted(1, PIECES, Language.ENGLISH) == "one piece"
    assert counted(21, PIECES, Language.FRENCH) == "vingt et une pièces"
    assert money(250_050, "EUR", Language.ENGLISH) == (
        "two thousand five hundred euros and fifty cents"
    )
    assert money(101, "GBP", Language.FRENCH) == "une livre sterling et un penny"
    assert money(200_000_000, "EUR", Language.FRENCH) == "deux millions d'euros"
    assert money(120, "XTS", Language.ENGLISH) == "one XTS and 20/100"
    with pytest.raises(ValueError, match="is not from 0"):
        in_words(LARGEST + 1, Language.FRENCH)


def test_country_codes_are_those_of_iso_3166() -> None:
    """The officially assigned codes, as pycountry has them (Debian's iso-codes)."""
    assert {country.alpha_2 for country in pycountry.countries} == CODES
    assert country_fault("UK") == "write GB"
    assert country_fault("XX")
    assert not country_fault("GB")


# ---- days of a claim


@pytest.mark.parametrize(
    ("mishap", "arrived", "last"),
    [
        # counted by hand on a calendar
        (Mishap.DAMAGE, date(2026, 11, 25), date(2026, 12, 2)),
        (Mishap.DAMAGE, date(2028, 2, 22), date(2028, 2, 29)),
        (Mishap.DAMAGE, date(2027, 2, 22), date(2027, 3, 1)),
        (Mishap.DAMAGE, date(2028, 2, 29), date(2028, 3, 7)),
        (Mishap.DELAY, date(2028, 2, 8), date(2028, 2, 29)),
        (Mishap.DELAY, date(2026, 12, 31), date(2027, 1, 21)),
        (Mishap.LOSS, date(2026, 4, 30), date(2026, 5, 21)),
    ],
)
def test_days_of_notice(mishap: Mishap, arrived: date, last: date) -> None:
    """7 days for damage, 21 for delay (convention, weak source); loss after 21 (memory)."""
    delivered = arrived if mishap is Mishap.DELAY else None
    notice = notice_for(mishap, arrived, delivered)
    assert notice.last_day == last
    assert notice.sooner.toordinal() == last.toordinal() - 1
    assert notice.days_left(arrived) == notice.days - 1


@settings(max_examples=50, deadline=None)
@given(st.dates(date(2024, 1, 1), date(2100, 12, 31)), st.sampled_from(list(Mishap)))
def test_days_by_walking_the_calendar(day: date, mishap: Mishap) -> None:
    """The same by stepping day after day over month lengths written out here."""
    year, month, number = day.timetuple()[:3]
    for _ in range(7 if mishap is Mishap.DAMAGE else 21):
        number += 1
        february = 29 if isleap(year) else 28
        if number > [31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1]:
            number, month = 1, month + 1
        if month > 12:
            month, year = 1, year + 1
    assert notice_for(mishap, day).last_day == date(year, month, number)


def test_a_late_bag_counts_from_the_day_it_is_handed_over() -> None:
    """Until then the days have not begun and are counted from the arrival (own caution)."""
    arrived, handed = date(2026, 11, 1), date(2026, 11, 10)
    assert notice_for(Mishap.DELAY, arrived, handed).last_day == date(2026, 12, 1)
    waiting = notice_for(Mishap.DELAY, arrived)
    assert (waiting.running, waiting.last_day) == (False, date(2026, 11, 22))
    assert notice_for(Mishap.DAMAGE, arrived, handed).last_day == date(2026, 11, 17)
    with pytest.raises(ValueError, match="before the arrival"):
        notice_for(Mishap.DAMAGE, handed, arrived)
    with pytest.raises(ValueError, match="is not lost"):
        notice_for(Mishap.LOSS, arrived, handed)


def test_sums_of_a_claim_keep_currencies_apart() -> None:
    """Nothing is converted; what has no value is counted."""
    rows = [
        Claimed("A", "a", 2, 300, Money(500, "EUR")),
        Claimed("B", "b", 1, 50, Money(700, "CHF")),
        Claimed("C", "c", 1, 20, Money(25, "EUR")),
        Claimed("D", "d", 3, 9),
    ]
    sums = claim_totals(rows)
    assert (sums.pieces, sums.grams, sums.unvalued) == (7, 379, 1)
    assert sums.values == (Money(700, "CHF"), Money(525, "EUR"))
