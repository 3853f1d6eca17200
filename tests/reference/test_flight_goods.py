"""Goods rules against the published figures they are made of.

Sources: ICAO Technical Instructions 2025-2026 part 8 with Addendum 1 (27 March 2026), in
summaries; 49 CFR 175.10; FAA and TSA passenger guidance; UK CAA; Implementing Regulation
(EU) 2015/1998, Attachment 4-C. Each row of the table names its own.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.files.goods_rules import shipped_rules
from toolbox.flight.goods import (
    WHO_DECIDES,
    Answer,
    Scope,
    Thing,
    age_warning,
    judge,
    scope_of,
)
from toolbox.flight.goods_figures import energy_uwh, figure_of
from toolbox.flight.goods_limits import Deed, Placed, deed, limit_rows, over_limits
from toolbox.kit.goods import Figure, GoodsRules, Say
from toolbox.kit.things import Goods
from toolbox.kit.trips import Carriage, Leg, Trip

RULES = shipped_rules()
EU = Scope(screenings=frozenset({"eu"}))


def thing(kind: str | None, *, pieces: int = 1, name: str = "thing", **figures: int) -> Thing:
    """A supply of that class."""
    goods = Goods(kind, **figures) if kind is not None else None
    return Thing("X", name, goods, pieces, tool=False)


def answer(kind: str, **figures: int) -> Answer:
    """The answer for a supply of that class and figures."""
    return judge(thing(kind, **figures), RULES, EU).answer


@pytest.mark.parametrize(
    ("volts", "amp_hours", "watt_hours", "spare"),
    [
        # Wh = V x Ah (standard definition); bands: TSA, summary of DGR 67th edition
        (18, 5.0, 90, Answer.CABIN),
        (18, 6.0, 108, Answer.ASK),
        (36, 14.0, 504, Answer.NO),
        (20, 5.0, 100, Answer.CABIN),  # exactly 100 Wh: the lower band
        (20, 8.0, 160, Answer.ASK),  # exactly 160 Wh: the middle band
        (20, 8.001, 160.02, Answer.NO),
        (20, 5.001, 100.02, Answer.ASK),
    ],
)
def test_energy_bands(volts: int, amp_hours: float, watt_hours: float, spare: Answer) -> None:
    """Volts times ampere-hours, exactly, and the band they fall into."""
    figures = {"millivolts": volts * 1000, "milliampere_hours": round(amp_hours * 1000)}
    assert energy_uwh(Goods("li-ion-spare-9", **figures)) == round(watt_hours * 10**6)
    assert answer("li-ion-spare-9", **figures) is spare
    in_device = {Answer.CABIN: Answer.HOLD}.get(spare, spare)
    assert answer("li-ion-in-device-9", **figures) is in_device
    assert answer("power-bank-9", **figures) is spare


def test_a_millionth_over_100_watt_hours_is_over() -> None:
    """7.407 V x 13.501 Ah is 100.0019 Wh: no rounding lets it into the lower band."""
    goods = Goods("li-ion-spare-9", 7407, 13_501)
    assert energy_uwh(goods) == 100_001_907
    assert figure_of(goods, Figure.ENERGY) == 100_002
    assert answer("li-ion-spare-9", millivolts=7407, milliampere_hours=13_501) is Answer.ASK


@pytest.mark.parametrize(
    ("energy_mwh", "right"),
    [(100_000, Answer.CABIN), (100_001, Answer.ASK), (160_000, Answer.ASK), (160_001, Answer.NO)],
)
def test_an_energy_that_is_printed_on_it(energy_mwh: int, right: Answer) -> None:
    """The same bands for the figure on the label."""
    assert answer("li-ion-spare-9", energy_mwh=energy_mwh) is right


def test_half_of_a_battery_s_data_is_none() -> None:
    """Volts without ampere-hours tell no energy."""
    assert energy_uwh(Goods("li-ion-spare-9", 18_000)) is None
    assert energy_uwh(Goods("li-ion-spare-9", None, 5_000)) is None
    assert answer("li-ion-spare-9", millivolts=18_000) is Answer.ASK


def test_of_two_energies_the_larger_counts() -> None:
    """Printed 95 Wh, reckoned 108 Wh: the stricter reading."""
    figures = {"millivolts": 18_000, "milliampere_hours": 6_000, "energy_mwh": 95_000}
    assert answer("li-ion-spare-9", **figures) is Answer.ASK


def test_a_spare_battery_is_never_for_the_hold() -> None:
    """TSA lithium guidance; in every band, and where the band is not known."""
    for energy in (None, 50_000, 120_000, 500_000):
        spare = judge(thing("li-ion-spare-9", energy_mwh=energy), RULES, EU)
        assert spare.hold is Say.NO
    unknown = judge(thing("li-ion-spare-9"), RULES, EU)
    assert (unknown.answer, unknown.cabin) == (Answer.ASK, Say.ASK)


@pytest.mark.parametrize(
    ("kind", "figures", "right"),
    [
        ("flammable-liquid-3", {"net_ml": 50}, Answer.NO),
        ("flammable-liquid-3", {"net_ml": 50, "flash_c": 93}, Answer.NO),
        ("aerosol-flammable-2.1", {}, Answer.NO),
        ("aerosol-nonflammable-2.2", {"net_ml": 500}, Answer.HOLD),
        ("aerosol-nonflammable-2.2", {"net_ml": 501}, Answer.NO),
        ("aerosol-nonflammable-2.2", {}, Answer.ASK),
        ("gas-duster", {}, Answer.NO),
        ("gas-cartridge-2.2", {"net_ml": 50}, Answer.ASK),
        ("gas-cartridge-2.2", {"net_ml": 51}, Answer.NO),
        ("gas-cartridge-2.2", {}, Answer.ASK),
        ("gas-flame", {}, Answer.NO),
        ("lithium-metal-9", {"lithium_mg": 2000}, Answer.CABIN),
        ("lithium-metal-9", {"lithium_mg": 2001}, Answer.ASK),
        ("lithium-metal-9", {}, Answer.ASK),
        ("check-sds", {}, Answer.SHEET),
        ("check-sds", {"flash_c": 60}, Answer.NO),
        ("check-sds", {"flash_c": 61}, Answer.SHEET),
        ("sheet-not-regulated", {"flash_c": 61}, Answer.HOLD),
        ("sheet-not-regulated", {"flash_c": 60}, Answer.NO),
        ("sheet-not-regulated", {}, Answer.SHEET),
        ("aviation-liquid-9", {}, Answer.SHEET),
        ("sharp-hold-only", {}, Answer.HOLD),
        ("magnet", {}, Answer.HOLD),
        ("none", {}, Answer.HOLD),
        ("lighter", {}, Answer.CABIN),
    ],
)
def test_rows_of_the_published_table(kind: str, figures: dict[str, int], right: Answer) -> None:
    """60 °C: FAA, 24 Jan 2024; 500 ml: 175.10(a)(1); 50 ml: 175.10(a)(25); 2 g: TSA."""
    assert answer(kind, **figures) is right


@pytest.mark.parametrize("kind", ["", "explosive-1.4", "li-ion", "NONE", "*", "Magnet "])
def test_an_unknown_class_is_asked_about(kind: str) -> None:
    """Never a permission because no row is there."""
    judged = judge(thing(kind), RULES, EU)
    assert judged.answer is Answer.ASK
    assert Say.YES not in (judged.hold, judged.cabin)


def test_every_word_of_the_trades_sample_list_has_an_answer(shared: Path) -> None:
    """Each hazard word of the sample catalogue gives the answer its table names."""
    with (shared / "trade" / "catalogue.csv").open(encoding="utf-8", newline="") as file:
        words = {row["hazard_class"] for row in csv.DictReader(file)} - {""}
    covered = {word for rule in RULES.rules for word in rule.words}
    assert len(words) >= 8
    assert words <= covered
    permitted = {w for w in words if answer(w) in (Answer.HOLD, Answer.CABIN)}
    assert permitted <= {"none", "sharp-hold-only"}


def test_cabin_liquids_end_at_100_ml() -> None:
    """UK CAA packing advice: over 100 ml barred from the cabin, hold untouched."""
    for net, cabin in ((100, Say.YES), (101, Say.NO)):
        judged = judge(thing("sheet-not-regulated", net_ml=net, flash_c=200), RULES, EU)
        assert (judged.hold, judged.cabin) == (Say.YES, cabin)


def test_departures_from_the_usa_bar_cartridges() -> None:
    """FAA guidance of 25 Jan 2024 and TSA list: the later and stricter one stands."""
    cartridge = thing("gas-cartridge-2.2", net_ml=21)
    assert judge(cartridge, RULES, EU).answer is Answer.ASK
    usa = Scope(frozenset({"from-usa"}), frozenset({"eu"}))
    assert judge(cartridge, RULES, usa).answer is Answer.NO
    # no carrier's word helps against a bar
    assert judge(replace(cartridge, approved=True), RULES, usa).answer is Answer.NO


def test_the_strictest_leg_of_a_trip_holds() -> None:
    """One departure from the USA on the way is enough."""
    legs = (Leg("1", "out", "a", screening=("eu",)), Leg("2", "back", "a", departs=("from-usa",)))
    scope = scope_of(Trip("t", (), (), (), legs))
    assert scope == Scope(frozenset({"from-usa"}), frozenset({"eu"}))
    assert judge(thing("gas-cartridge-2.2", net_ml=21), RULES, scope).answer is Answer.NO


def test_rules_that_the_table_lacks_are_asked_about() -> None:
    """A departure or a screening point without rules is no permission."""
    magnet = thing("magnet")
    assert judge(magnet, RULES, EU).answer is Answer.HOLD
    nowhere = Scope(frozenset({"atlantis"}), frozenset({"eu"}))
    assert judge(magnet, RULES, nowhere).answer is Answer.ASK
    screened = judge(magnet, RULES, Scope(screenings=frozenset({"atlantis"})))
    assert (screened.hold, screened.cabin) == (Say.YES, Say.ASK)


def test_a_set_named_where_it_does_not_hold_is_asked_about() -> None:
    """The set usa is a screening: on a departure it must not silence the departure's own rules."""
    magnet = thing("magnet")
    departure = Scope(frozenset({"usa"}), frozenset({"eu"}))
    assert judge(magnet, RULES, departure).answer is Answer.ASK
    wrong = judge(magnet, RULES, Scope(screenings=frozenset({"from-usa"})))
    assert (wrong.hold, wrong.cabin) == (Say.YES, Say.ASK)


def test_a_carriers_yes_settles_what_was_left_to_it() -> None:
    """175.10(a)(25) asks for the carrier's approval; what is unknown stays unknown."""
    yes = replace(thing("gas-cartridge-2.2", net_ml=21), approved=True)
    assert judge(yes, RULES, EU).answer is Answer.HOLD
    unknown = replace(thing("gas-cartridge-2.2"), approved=True)
    assert judge(unknown, RULES, EU).answer is Answer.ASK
    spray = replace(thing("aerosol-flammable-2.1"), approved=True)
    assert judge(spray, RULES, EU).answer is Answer.NO
    assert not any("said yes" in r.text for r in judge(spray, RULES, EU).reasons)
    assert any("said yes" in r.text for r in judge(yes, RULES, EU).reasons)
    nobody = replace(thing("explosive"), approved=True)
    assert judge(nobody, RULES, EU).answer is Answer.ASK


def cartridges(pieces: int) -> tuple[Thing, ...]:
    """So many cartridges of 21 ml."""
    return (thing("gas-cartridge-2.2", pieces=pieces, net_ml=21),)


def passed(things: tuple[Thing, ...], placed: list[Placed]) -> list[tuple[str, str, int]]:
    """The limits that are passed: limit, whose, by how much."""
    judged = tuple(judge(t, RULES, EU) for t in things)
    over = over_limits(limit_rows(judged, RULES, EU), placed)
    return [(o.limit.id, o.whose, o.excess) for o in over]


def test_five_cartridges_fail_where_four_pass() -> None:
    """49 CFR 175.10(a)(25): at most four a person, over all of the person's bags."""
    assert passed(cartridges(4), [Placed("X", 4, "case", "mika")]) == []
    five = [Placed("X", 5, "case", "mika")]
    assert passed(cartridges(5), five) == [("cartridges", "mika", 1)]
    shared_out = [Placed("X", 3, "case", "mika"), Placed("X", 2, "roll", "mika")]
    assert passed(cartridges(5), shared_out) == [("cartridges", "mika", 1)]
    two_people = [Placed("X", 3, "case", "mika"), Placed("X", 2, "roll", "sanna")]
    assert passed(cartridges(5), two_people) == []


@pytest.mark.parametrize(
    ("kind", "figures", "limit", "most"),
    [
        ("power-bank-9", {"energy_mwh": 74_000}, "power-banks", 2),  # Addendum 1, 27 March 2026
        ("li-ion-spare-9", {"energy_mwh": 74_000}, "spares", 20),  # DGR 67th edition, summary
        ("li-ion-spare-9", {"energy_mwh": 120_000}, "large-spares", 2),  # the same
        ("li-ion-in-device-9", {"energy_mwh": 9_000}, "devices", 15),  # from memory
        ("aerosol-nonflammable-2.2", {"net_ml": 400}, "aerosols-litres", 5),  # 2 L a person
    ],
)
def test_other_limits_that_add_up(
    kind: str, figures: dict[str, int], limit: str, most: int
) -> None:
    """So many pass, one more does not."""
    things = (thing(kind, **figures),)
    assert passed(things, [Placed("X", most, "b", "mika")]) == []
    over = passed(things, [Placed("X", most + 1, "b", "mika")])
    assert [name for name, _, _ in over] == [limit]


def test_a_power_bank_is_one_whatever_its_class_word() -> None:
    """Addendum 1: two a person, also where it is classed as a spare battery by its words."""
    bank = thing("li-ion-spare-9", name="Power bank, grey", energy_mwh=74_000)
    assert judge(bank, RULES, EU).answer is Answer.CABIN
    assert passed((bank,), [Placed("X", 2, "b", "mika")]) == []
    assert passed((bank,), [Placed("X", 3, "b", "mika")]) == [("power-banks", "mika", 1)]
    large = thing("li-ion-spare-9", name="Powerbank", energy_mwh=120_000)
    assert judge(large, RULES, EU).answer is Answer.ASK


def test_an_unknown_energy_counts_under_every_limit_it_may_fall_under() -> None:
    """Three spares of unknown energy may all be over 100 Wh."""
    assert passed((thing("li-ion-spare-9"),), [Placed("X", 3, "b", "m")]) == [
        ("large-spares", "m", 1)
    ]


@pytest.mark.parametrize(
    ("today", "warns"),
    [
        (date(2026, 11, 24), False),
        (date(2027, 11, 24), False),
        (date(2027, 11, 25), True),
        (date(2028, 1, 1), True),
        (date(2026, 11, 23), True),  # dated in the future: its date is wrong
    ],
)
def test_rules_older_than_twelve_months_warn(today: date, warns: bool) -> None:
    """The table is of 24 November 2026."""
    assert RULES.dated == date(2026, 11, 24)
    assert bool(age_warning(RULES, today)) is warns


def test_a_file_of_29_february_is_not_old_on_the_28th() -> None:
    """Calendar months: the day after 28 February 2029 is the first on which it is older."""
    rules = replace(RULES, dated=date(2028, 2, 29))
    assert not age_warning(rules, date(2029, 2, 28))
    assert age_warning(rules, date(2029, 3, 1))


def tool(name: str, longest: int, *, blade: int | None = None) -> Thing:
    """A hand tool of that length (tenths of a millimetre)."""
    goods = None if blade is None else Goods("none", blade=blade)
    return Thing("T", name, goods, longest=longest)


@pytest.mark.parametrize(
    ("where", "name", "longest", "blade", "cabin"),
    [
        # TSA: 7 in end to end
        ("usa", "spoke key", 1778, None, Say.YES),
        ("usa", "spoke key", 1779, None, Say.NO),
        ("usa", "ball-peen hammer", 1000, None, Say.NO),
        # EU 2015/1998, Attachment 4-C: blade or shaft over 6 cm
        ("eu", "cross-head driver", 1900, 600, Say.YES),
        ("eu", "cross-head driver", 1900, 601, Say.NO),
        ("eu", "spoke key", 600, None, Say.YES),
        ("eu", "hex key 8 mm", 1900, None, Say.NO),
        ("eu", "Drill bits", 400, 300, Say.NO),
        # UK: work tools barred
        ("uk", "screwdriver", 500, 300, Say.NO),
    ],
)
def test_hand_tools_in_the_cabin(
    where: str, name: str, longest: int, blade: int | None, cabin: Say
) -> None:
    """The hold takes every hand tool; the cabin what no screening point of the trip bars."""
    judged = judge(tool(name, longest, blade=blade), RULES, Scope(screenings=frozenset({where})))
    assert (judged.answer, judged.hold, judged.cabin) == (Answer.HOLD, Say.YES, cabin)


def test_a_barred_tool_is_told_why() -> None:
    """The limit in millimetres, and whether the length is known at all."""
    usa = Scope(screenings=frozenset({"usa"}))
    long = judge(tool("hex key", 2000), RULES, usa).reasons[0]
    assert "too long" in long.text
    assert "177.8 mm" in long.text
    unknown = judge(replace(tool("hex key", 0), longest=None), RULES, usa).reasons[0]
    assert "unknown length" in unknown.text
    assert "TSA" in unknown.source
    eu = judge(tool("driver", 1900, blade=700), RULES, EU).reasons[0]
    assert "is longer than 60 mm" in eu.text


def test_any_screening_point_of_the_trip_bars() -> None:
    """A tool of 15 cm passes in the USA and not in the EU: not on a trip through both."""
    key = tool("hex key", 1500)
    both = Scope(screenings=frozenset({"usa", "eu"}))
    assert judge(key, RULES, Scope(screenings=frozenset({"usa"}))).cabin is Say.YES
    assert judge(key, RULES, both).cabin is Say.NO
    assert judge(key, RULES, Scope()).cabin is Say.ASK


def test_a_thing_without_a_class_is_asked_about_when_its_name_is_suspect() -> None:
    """A plain tool is a plain tool; a "battery" without a class is not, nor a fluid."""
    assert judge(tool("Chain whip", 4000), RULES, EU).answer is Answer.HOLD
    assert judge(tool("Spare battery", 1000), RULES, EU).answer is Answer.ASK
    assert judge(tool("Excellent spanner", 2000), RULES, EU).answer is Answer.HOLD
    fluid = replace(thing(None, name="Carbon paste"), fluid=True)
    assert judge(fluid, RULES, EU).answer is Answer.SHEET


def test_what_is_no_tool_and_has_no_class_is_asked_about() -> None:
    """Nothing in its name need say so: an unknown class is never taken for a harmless one."""
    unsaid = judge(thing(None, name="Refill"), RULES, EU)
    assert (unsaid.answer, unsaid.hold, unsaid.cabin) == (Answer.ASK, Say.ASK, Say.ASK)
    assert "nobody has said" in unsaid.reasons[0].text
    assert answer("none") is Answer.HOLD


@pytest.mark.parametrize(
    ("kind", "figures", "lies", "right"),
    [
        ("li-ion-spare-9", {"energy_mwh": 74_000}, Carriage.HOLD, Deed.TO_CABIN),
        ("li-ion-spare-9", {"energy_mwh": 74_000}, Carriage.CABIN, Deed.NOTHING),
        ("sharp-hold-only", {}, Carriage.CABIN, Deed.TO_HOLD),
        ("aerosol-flammable-2.1", {}, Carriage.HOLD, Deed.TAKE_OUT),
        ("aerosol-flammable-2.1", {}, None, Deed.NOTHING),
        ("gas-cartridge-2.2", {"net_ml": 21}, Carriage.HOLD, Deed.ASK),
        ("check-sds", {}, Carriage.HOLD, Deed.SHEET),
        ("none", {}, Carriage.HOLD, Deed.NOTHING),
    ],
)
def test_what_to_do_about_it(
    kind: str, figures: dict[str, int], lies: Carriage | None, right: Deed
) -> None:
    """By the answer and by where it lies."""
    assert deed(judge(thing(kind, **figures), RULES, EU), lies) is right


FIGURES = st.fixed_dictionaries(
    {},
    optional={
        "energy_mwh": st.integers(1, 300_000),
        "net_ml": st.integers(1, 1000),
        "flash_c": st.integers(-30, 150),
        "lithium_mg": st.integers(1, 12_000),
    },
)
KINDS = st.sampled_from(sorted({w for r in RULES.rules for w in r.words} | {"unheard-of"}))


@settings(max_examples=200, deadline=None)
@given(KINDS, FIGURES, st.booleans())
def test_no_rule_taken_out_makes_anything_allowed(
    kind: str, figures: dict[str, int], usa: bool
) -> None:
    """Without a class's general rows nothing is allowed, though a screening spoke of it."""
    scope = Scope(frozenset({"from-usa"} if usa else ()), frozenset({"eu"}))
    own = {r.id for r in RULES.rules if kind in r.words and "*" not in r.words}
    bare = replace(RULES, rules=tuple(r for r in RULES.rules if r.id not in own))
    judged = judge(thing(kind, **figures), bare, scope)
    assert judged.answer in (Answer.ASK, Answer.NO)
    assert Say.YES not in (judged.hold, judged.cabin)
    moved = (replace(r, set="eu") if r.id in own else r for r in RULES.rules)
    by_screening = judge(thing(kind, **figures), replace(RULES, rules=tuple(moved)), scope)
    assert Say.YES not in (by_screening.hold, by_screening.cabin)
    # a trip that names more rules is never laxer
    wider = Scope(scope.departures | {"from-usa", "nowhere"}, scope.screenings | {"uk", "usa"})
    one, other = (judge(thing(kind, **figures), RULES, s) for s in (scope, wider))
    assert other.hold.strictness >= one.hold.strictness
    assert other.cabin.strictness >= one.cabin.strictness


@settings(max_examples=200, deadline=None)
@given(KINDS, FIGURES)
def test_a_missing_figure_is_never_laxer_than_every_value_of_it(
    kind: str, figures: dict[str, int]
) -> None:
    """An unknown figure gives yes for a place only if that place is yes whatever it is."""
    known = judge(replace(thing(kind, **figures), fluid=True), RULES, EU)
    for name in figures:
        less = {k: v for k, v in figures.items() if k != name}
        unknown = judge(replace(thing(kind, **less), fluid=True), RULES, EU)
        for carriage in Carriage:
            if unknown.says(carriage) is Say.YES:
                assert known.says(carriage) is Say.YES


def test_each_row_of_the_table_names_its_source() -> None:
    """No row without one, and each set of rules is used."""
    rules: GoodsRules = RULES
    assert all(r.source.strip() for r in (*rules.rules, *rules.limits, *rules.tools))
    used = {r.set for r in (*rules.rules, *rules.limits, *rules.tools)}
    assert used == {s.id for s in rules.sets}
    assert "decide" in WHO_DECIDES
