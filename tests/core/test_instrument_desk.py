"""Instruments on the desk: how each stands, checks typed and judged, series, what to set."""

from __future__ import annotations

import itertools
import random
from datetime import UTC, date, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest
from clikit import write_kit_files
from scipy import stats

from toolbox.desk.diary import Done, When, log_job, pick_tools, take_back
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder, open_kit
from toolbox.desk.gauge_pairs import TypedPairs, compare_gauges
from toolbox.desk.instrument_checks import (
    TypedCheck,
    TypedReference,
    check_fact,
    event,
    instrument_named,
    judge_typed,
    made_elsewhere,
    wound_down,
    write_of_instruments,
)
from toolbox.desk.instrument_history import corrected, pasts, series
from toolbox.desk.instrument_picture import Bar, bars_of, column, drawn
from toolbox.desk.instrument_words import figure, series_words, valued
from toolbox.desk.instruments import CAUTION, Stand, flags, limits_of, stands
from toolbox.desk.picture import take_picture
from toolbox.instruments.limits import GaugeClass, TorqueClass
from toolbox.kit.checking import (
    Beside,
    EventKind,
    InstrumentChecked,
    InstrumentEvent,
    Trust,
    Verdict,
)
from toolbox.kit.facts import Fact, LoosePick, StepDone
from toolbox.kit.quantities import Kind
from toolbox.kit.things import Accuracy
from toolbox.kit.work import Pick

TOOLS = """
[[tool]]
id = "TW"
name = "Torque wrench"
mass = "400 g"
length = "200 mm"
width = "40 mm"
height = "30 mm"
[tool.instrument]
last_check = 2024-02-29
accuracy = "II A"
lowest = "2 N·m"
highest = "10 N·m"
step = "0.1 N·m"

[[tool]]
id = "PG"
name = "Dial gauge"
mass = "100 g"
length = "90 mm"
width = "60 mm"
height = "40 mm"
[tool.instrument]
last_check = 2024-01-10
every_months = 24
accuracy = "1.6"
highest = "10 bar"
step = "0.1 bar"

[[tool]]
id = "DG"
name = "Digital gauge"
mass = "100 g"
length = "90 mm"
width = "60 mm"
height = "40 mm"
[tool.instrument]
last_check = 2024-01-10
every_months = 24
tolerance = "0.05 bar"
highest = "4 bar"
step = "0.01 bar"

[[tool]]
id = "SG"
name = "Spacer gauge"
mass = "60 g"
length = "90 mm"
width = "40 mm"
height = "10 mm"
[tool.gauge]
purpose = "rear hub"
dimension = "thickness"
nominal = "12.05 mm"
lowest = "12 mm"
highest = "12.1 mm"
"""
JOBS = """
[[job]]
id = "ST"
name = "Stem change"
[[job.step]]
text = "loosen"
tools = ["K4"]
[[job.step]]
text = "to torque"
tools = ["TW", "K4"]
[[job.step]]
text = "again after a ride, and the tyres"
tools = ["TW x2", "DG"]
"""
TESTER = TypedReference("torque tester", limit="0.5 %")
MASTER = TypedReference("master gauge", certificate="0.01 bar")


@pytest.fixture
def kit(tmp_path: Path) -> Path:
    """The small kit with two gauges, a torque wrench of 2 to 10 N·m, a shop-made gauge."""
    folder = write_kit_files(tmp_path / "kit")
    for file, text in (("tools.toml", TOOLS), ("jobs.toml", JOBS)):
        path = folder / file
        path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")
    return folder


def on(day: str, hour: int = 12, zone: int = 0) -> When:
    """A moment of a day in a zone of so many hours."""
    at = datetime.fromisoformat(day).replace(hour=hour, tzinfo=timezone(timedelta(hours=zone)))
    return When(at, at, "Ada")


def stand(kit: Path, tool: str, day: str) -> Stand:
    """How an instrument stands on a day."""
    folder = open_kit(kit)
    return stands(folder.kit, folder.live, date.fromisoformat(day))[tool]


def tell(kit: Path, tool: str, day: str, kind: EventKind | Verdict | str) -> str:
    """Write that something happened to a tool: an event, a check elsewhere, wound down."""
    folder = open_kit(kit)
    named = instrument_named(folder.kit, tool)
    said = (
        event(named, kind)
        if isinstance(kind, EventKind)
        else made_elsewhere(named, "checking house", kind)
        if isinstance(kind, Verdict)
        else wound_down(named)
    )
    return write_of_instruments(folder, [said], on(day))


def test_the_words_of_the_files_are_those_of_the_standards_classes() -> None:
    """Every accuracy of the kit files is a class of the engine, and the other way round."""
    torque = {a.value for a in Accuracy if a.of_torque}
    assert torque == {c.value for c in TorqueClass}
    gauges = {Fraction(a.value) for a in Accuracy if not a.of_torque}
    assert gauges == {c.percent for c in GaugeClass}


def test_twelve_months_from_a_29th_of_february(kit: Path) -> None:
    """ISO 6789's default where the user says nothing: 12 months, to 28 February 2025."""
    assert not stand(kit, "TW", "2025-02-28").out
    late = stand(kit, "TW", "2025-03-01")
    assert late.words == "check was due 2025-02-28; do not trust it before a check"
    assert stand(kit, "TW", "2025-02-20").soon == "check due 2025-02-28"


def test_the_5001st_use_is_one_too_many_long_before_the_day(kit: Path) -> None:
    """ISO 6789's 5,000 uses, counted from logged steps; the list's own are before the log's."""
    folder = open_kit(kit)
    for _ in range(5):
        log_job(folder, Done("ST", steps=(2,), times=1000), on("2024-04-01"))
    at_most = stand(kit, "TW", "2024-04-02")
    assert (at_most.standing.uses, at_most.out, at_most.soon) == (
        5000,
        False,
        "0 of 5000 uses left",
    )
    pick_tools(open_kit(kit), ["TW"], on("2024-04-02"))
    over = stand(kit, "TW", "2024-04-02")
    assert over.words == "used 5001 times since its check, at most 5000 allowed"
    take_back(open_kit(kit), None, on("2024-04-03"))
    assert not stand(kit, "TW", "2024-04-03").out


def test_an_event_asks_for_a_check_now_and_undo_takes_it_back(kit: Path) -> None:
    """Dropped, overloaded, repaired: out until a check; before that day nothing is said."""
    for kind in EventKind:
        entry = tell(kit, "PG", "2024-05-05", kind)
        assert not stand(kit, "PG", "2024-05-04").out
        assert f"{kind.value} on 2024-05-05" in stand(kit, "PG", "2024-05-06").words
        take_back(open_kit(kit), entry, on("2024-05-06"))
        assert not stand(kit, "PG", "2024-05-06").out
    tell(kit, "PG", "2024-05-05", EventKind.DROP)
    tell(kit, "PG", "2024-05-07", Verdict.PASS)
    assert not stand(kit, "PG", "2024-05-08").out


def test_a_failed_check_halves_the_next_interval(kit: Path) -> None:
    """24 months become 12 after a check that failed (common practice, no source)."""
    tell(kit, "PG", "2024-06-01", Verdict.FAIL)
    assert "out of limits" in stand(kit, "PG", "2024-06-02").words
    tell(kit, "PG", "2024-06-10", Verdict.PASS)
    found = stand(kit, "PG", "2024-06-11")
    assert (found.standing.good_until, found.out) == (date(2025, 6, 10), False)
    assert "its interval is halved" in stand(kit, "PG", "2025-06-11").words


def test_the_check_on_the_list_closes_its_day(kit: Path) -> None:
    """Uses of the day of the list's check lie before it; a check of that day in the log is it."""
    pick_tools(open_kit(kit), ["TW"], on("2024-02-29"))
    assert stand(kit, "TW", "2024-03-01").standing.uses == 0
    pick_tools(open_kit(kit), ["TW"], on("2024-03-01"))
    assert stand(kit, "TW", "2024-03-01").standing.uses == 1
    entry = tell(kit, "TW", "2024-02-29", EventKind.DROP)
    assert "dropped" in stand(kit, "TW", "2024-03-01").words  # before or after: nobody knows
    take_back(open_kit(kit), entry, on("2024-03-02"))
    tell(kit, "TW", "2024-02-29", Verdict.FAIL)
    assert "out of limits" in stand(kit, "TW", "2024-03-01").words


def test_days_are_those_of_the_place_where_it_happened(kit: Path) -> None:
    """A pick late on 29 February in a zone behind Greenwich is of that day, before the check."""
    pick_tools(open_kit(kit), ["TW"], on("2024-02-29", hour=23, zone=-5))  # 1 March 4:00 UTC
    assert stand(kit, "TW", "2024-03-01").standing.uses == 0
    pick_tools(open_kit(kit), ["TW"], on("2024-03-01", hour=0, zone=13))  # 29 February UTC
    assert stand(kit, "TW", "2024-03-01").standing.uses == 1


def test_wound_down_after_use(kit: Path) -> None:
    """Used and not wound down since; only what has a spring that is set can be wound down."""
    assert not stand(kit, "TW", "2024-03-02").unwound
    pick_tools(open_kit(kit), ["TW"], on("2024-03-02"))
    assert stand(kit, "TW", "2024-03-02").unwound
    entry = tell(kit, "TW", "2024-03-03", "wound")
    assert not stand(kit, "TW", "2024-03-03").unwound
    take_back(open_kit(kit), entry, on("2024-03-03"))
    assert stand(kit, "TW", "2024-03-03").unwound
    with pytest.raises(DeskError, match="no spring"):
        wound_down(open_kit(kit).kit.tool("PG"))


def test_an_instrument_that_is_out_shows_on_every_step_that_uses_it(kit: Path) -> None:
    """Against a plain enumeration of all steps of all jobs, copies of it too."""
    tell(kit, "TW", "2024-03-03", EventKind.DROP)
    folder = open_kit(kit)
    found = stands(folder.kit, folder.live, date(2024, 3, 4))
    flagged = {
        (job.id, step.number)
        for job in folder.kit.jobs
        for step in job.steps
        if any(flag.tool == "TW" for flag in flags(step.picks, found))
    }
    assert flagged == {("ST", 2), ("ST", 3)}
    (flag,) = flags([Pick("TW/2"), Pick("TW"), Pick("K4"), Pick("DG")], found)
    assert (flag.tool, flag.name) == ("TW", "Torque wrench")
    assert "dropped on 2024-03-03" in flag.why


def test_readiness_says_the_same_as_the_desk(kit: Path) -> None:
    """STOP for each one that travels and is out, with the command that shows it."""
    day = date(2025, 3, 1)
    tell(kit, "DG", "2025-02-01", EventKind.OVERLOAD)
    pick_tools(open_kit(kit), ["TW"], on("2025-02-02"))
    findings = take_picture(kit, day).findings
    folder = open_kit(kit)
    for one in stands(folder.kit, folder.live, day).values():
        about = [f for f in findings if f.subject == one.tool.id and "place" not in f.words]
        said = [(f.seriousness.value, f.words, f.command) for f in about]
        line = f"{one.tool.name}: {one.words}"
        assert said == ([("STOP", line, f"toolbox instruments {one.tool.id}")] if one.out else [])
    assert any(f.words.startswith("to wind down") for f in findings)


def judged(kit: Path, tool: str, typed: TypedCheck) -> InstrumentChecked:
    """The fact of a check that was typed."""
    named = instrument_named(open_kit(kit).kit, tool)
    return check_fact(named, judge_typed(named, typed))


def five(shown: float, true: float) -> str:
    """Five readings of one point as they are typed."""
    return f"{shown}=" + ":".join([str(true)] * 5)


def test_iso_6789_deviation_as_it_is_typed(kit: Path) -> None:
    """Set 5.0, reference 5.32: a_s = -6.02 %, outside the 6 % of a tool up to 10 N·m.

    Worked by hand from the standard's definition (x_a - x_r) / x_r (from memory).
    """
    tool = open_kit(kit).kit.tool("TW")
    readings = (five(2, 2.02), five(5, 5.32), five(6, 6.02), five(10, 10.1))
    result = judge_typed(tool, TypedCheck(TESTER, readings, celsius=21))
    bar = next(bar for bar in bars_of(result) if bar.at == 5000)
    assert float(bar.percent or 0) == pytest.approx(-6.015, abs=0.001)
    assert bar.verdict is Verdict.CONDITIONAL_FAIL
    assert result.verdict is Verdict.CONDITIONAL_FAIL
    missing = judge_typed(tool, TypedCheck(TESTER, readings[:2]))
    assert missing.verdict is None
    with pytest.raises(DeskError, match="Nothing was written"):
        check_fact(tool, missing)


def test_en_837_limit_of_a_gauge_of_10_bar_and_class_1_6(kit: Path) -> None:
    """±0.16 bar anywhere (worked in published gauge test instructions); +0.16 is still inside."""
    tool = open_kit(kit).kit.tool("PG")
    fine = TypedReference("master", certificate="0.002 bar")
    typed = TypedCheck(fine, ("2=2", "4.16=4", "6=6", "8=8", "9.9=9.9"), celsius=20)
    bars = bars_of(judge_typed(tool, typed))
    assert {(bar.low, bar.high) for bar in bars} == {(Fraction(-16_000), Fraction(16_000))}
    assert [bar.verdict for bar in bars][1] is Verdict.CONDITIONAL_PASS
    over = (typed.readings[0], "4.17=4", *typed.readings[2:])
    found = judge_typed(tool, TypedCheck(fine, over)).verdict
    assert found is Verdict.CONDITIONAL_FAIL


def test_units_points_ways_and_shop_made_gauges(kit: Path) -> None:
    """What may be typed of a reading, and what it means in whole units."""
    tools = open_kit(kit).kit
    dg = tools.tool("DG")
    typed = TypedCheck(MASTER, ("29 psi=2.0",), ("2@2.03=2.01",))
    up, down = judge_typed(dg, typed).check.readings
    assert up[:3] == (200_000, 199_948, 200_000)  # NIST SP 811: 29 psi = 199 948 Pa
    assert (down[:3], down.way.value) == ((200_000, 203_000, 201_000), "falling")
    made = judge_typed(
        tools.tool("SG"),
        TypedCheck(TypedReference("calliper", limit="0.01 mm"), ("12.05:12.051:12.05",)),
    )
    assert [r[:3] for r in made.check.readings] == [
        (12050, 12050, n) for n in (12050, 12051, 12050)
    ]
    assert made.verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("reading", "reference", "words"),
    [
        ("2", MASTER, "is no reading"),
        ("2=x", MASTER, "x"),
        ("2=2 N·m", MASTER, "torque"),
        ("2=2", TypedReference("m"), "say how far"),
        ("2=2", TypedReference("m", limit="1 %", certificate="1 %"), "not both"),
        ("2=2", TypedReference("m", limit="1 %", coverage="0"), "coverage"),
        ("2=2", TypedReference("m", limit="much"), "much"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_reason(
    kit: Path, reading: str, reference: TypedReference, words: str
) -> None:
    """Nothing is guessed."""
    with pytest.raises(DeskError, match=words):
        judge_typed(open_kit(kit).kit.tool("DG"), TypedCheck(reference, (reading,)))


def test_what_is_no_instrument_or_has_no_limits_says_what_to_do(kit: Path) -> None:
    """The words name the command that gives it an interval or limits."""
    with pytest.raises(DeskError, match=r"instrument\.every_months"):
        instrument_named(open_kit(kit).kit, "Chain tool")
    path = kit / "tools.toml"
    text = path.read_text(encoding="utf-8").replace('tolerance = "0.05 bar"\n', "")
    path.write_text(text, encoding="utf-8")
    bare = open_kit(kit).kit.tool("DG")
    assert limits_of(bare) is None
    with pytest.raises(DeskError, match=r"instrument\.tolerance"):
        judge_typed(bare, TypedCheck(MASTER, ("2=2",)))


def with_checks(kit: Path, errors: list[tuple[str, float]]) -> KitFolder:
    """Checks of the digital gauge at 1, 2 and 3 bar, each off by so many bar on a day."""
    for day, error in errors:
        readings = tuple(f"{at + error:.3f}={at}" for at in (1, 2, 3))
        said = judged(kit, "DG", TypedCheck(MASTER, readings))
        write_of_instruments(open_kit(kit), [said], on(day))
    return open_kit(kit)


DRIFT = [("2024-02-01", 0.001), ("2024-05-01", 0.01), ("2024-08-01", 0.021), ("2024-11-01", 0.029)]


def test_the_trend_of_the_errors_is_the_line_that_scipy_draws(kit: Path) -> None:
    """Slope and crossing of the limit beside scipy's least squares."""
    folder = with_checks(kit, DRIFT)
    found = series(folder.kit.tool("DG"), folder.live, date(2024, 12, 1))
    assert found is not None
    assert found.line is not None
    assert found.leaving is not None
    days = [(date.fromisoformat(day) - date(2024, 2, 1)).days for day, _ in DRIFT]
    line = stats.linregress(days, [error * 100_000 for _, error in DRIFT])
    assert float(found.line.per_day) == pytest.approx(line.slope)
    crossing = date(2024, 2, 1) + timedelta(days=(5000 - line.intercept) // line.slope)
    assert found.leaving.good_until == crossing
    assert "leaves its limits after" in series_words(found, Kind.PRESSURE)
    tool = folder.kit.tool("DG")
    known = pasts(folder.kit, tool, folder.live, date(2024, 9, 1))
    assert [past.said.verdict for past in known] == [Verdict.PASS] * 3


def test_a_series_begins_anew_with_a_repair(kit: Path) -> None:
    """Values before it say nothing of the gauge as it is now."""
    with_checks(kit, DRIFT[:3])
    tell(kit, "DG", "2024-09-01", EventKind.REPAIR)
    folder = with_checks(kit, [("2024-09-02", 0.0)])
    found = series(folder.kit.tool("DG"), folder.live, date(2024, 12, 1))
    assert found is not None
    assert [value.day for value in found.values] == [date(2024, 9, 2)]
    assert "Too few checks" in series_words(found, Kind.PRESSURE)


def test_the_dimension_of_a_shop_made_gauge_over_time(kit: Path) -> None:
    """Measured 12.05, 12.03, 12.01 a hundred days apart: out at 12.00 after another fifty.

    By hand: 0.2 micrometres a day from 12.05 mm on day 0 reach 12.00 mm on day 250.
    """
    caliper = TypedReference("calliper", certificate="0.001 mm")
    start = date(2024, 1, 1)
    for n, size in enumerate((12.05, 12.03, 12.01)):
        said = judged(kit, "SG", TypedCheck(caliper, (f"{size}:{size}",)))
        day = (start + timedelta(days=100 * n)).isoformat()
        write_of_instruments(open_kit(kit), [said], on(day))
    folder = open_kit(kit)
    found = series(folder.kit.tool("SG"), folder.live, date(2024, 12, 1))
    assert found is not None
    assert (found.at, found.low, found.high) == (None, 12_000, 12_100)
    assert found.line is not None
    assert found.line.per_day == Fraction(-1, 5)
    assert found.leaving is not None
    assert found.leaving.good_until == start + timedelta(days=250)


def test_what_to_show_today_is_read_off_the_last_check(kit: Path) -> None:
    """Off by +0.02 bar at 1 and 2 bar: for 1.5 bar let it show 1.52; a drop bars all of it."""
    folder = with_checks(kit, [("2024-03-01", 0.02)])
    one = stand(kit, "DG", "2024-03-02")
    found = corrected(one, folder.live, 150_000, date(2024, 3, 2))
    assert (found.shown, found.true, found.caution) == (152_000, 150_000, CAUTION)
    with pytest.raises(DeskError, match="outside the points"):
        corrected(one, folder.live, 350_000, date(2024, 3, 2))
    with pytest.raises(DeskError, match="no check with readings"):
        corrected(stand(kit, "PG", "2024-03-02"), folder.live, 150_000, date(2024, 3, 2))
    tell(kit, "DG", "2024-03-03", EventKind.DROP)
    with pytest.raises(DeskError, match="dropped on 2024-03-03"):
        corrected(stand(kit, "DG", "2024-03-04"), open_kit(kit).live, 150_000, date(2024, 3, 4))


def test_a_sure_trend_is_carried_on_to_today(kit: Path) -> None:
    """The correction grows by the trend's slope times the days since the last check."""
    folder = with_checks(kit, DRIFT)
    day = date(2024, 12, 1)
    tool = folder.kit.tool("DG")
    line = series(tool, folder.live, day)
    assert line is not None
    assert line.line is not None
    found = corrected(stands(folder.kit, folder.live, day)["DG"], folder.live, 200_000, day)
    assert found.exact == 200_000 + 2_900 + 30 * line.line.per_day


def test_two_that_agree_prove_little_and_a_third_tells(kit: Path) -> None:
    """Needs of the trade: two agreeing gauges prove little. With a third the odd one is named."""
    tools = open_kit(kit).kit
    two = compare_gauges(tools, TypedPairs(("Digital gauge=2.05:track=2.05",), ("track=0.01",)))
    assert two.apart.names == ()
    assert "proves little" in two.apart.words
    assert two.apart.caution == CAUTION
    pairs = ("DG=2.00:track=2.00", "DG=2.00:club=2.05", "track=2.00:club=2.05")
    steps = ("track=0.01 bar", "club=0.01 bar")
    three = compare_gauges(tools, TypedPairs(pairs, steps))
    assert three.apart.names == ("club",)
    known = compare_gauges(tools, TypedPairs(pairs, steps, ("club=0.005 bar",)))
    assert set(known.apart.names) == {"Digital gauge", "track"}
    # beside a certified one the errors themselves are known: 0.05 bar less than club
    assert float(known.offsets.error("Digital gauge")) == pytest.approx(-5000, abs=1)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (TypedPairs(("DG=2",)), "is no pair"),
        (TypedPairs(("DG=2:track=2",)), "smallest step of track"),
        (TypedPairs(("DG=2:track=2", "xx=1:yy=1"), ("track=0.01", "xx=0.1", "yy=0.1")), "links"),
        (TypedPairs(("DG=2:TW=2",)), "do not measure the same"),
        (TypedPairs(("DG=2:track=2",), ("track=0.01",), ("other=0.01",)), "other"),
    ],
)
def test_comparisons_that_say_nothing_are_refused(kit: Path, typed: TypedPairs, words: str) -> None:
    """With the reason: a step, a link, a name that is not there."""
    with pytest.raises(DeskError, match=words):
        compare_gauges(open_kit(kit).kit, typed)


def test_the_picture_is_true_to_scale() -> None:
    """Limits at a quarter and three quarters, greater errors never further left, by enumeration."""
    dice = random.Random(4)
    for width, high in itertools.product((13, 37, 61), (40, 16_000)):
        places = []
        for value in sorted(dice.sample(range(-5 * high, 5 * high), 30)):
            bar = Bar(0, Fraction(value), Fraction(value), Fraction(0), Fraction(-high),
                      Fraction(high), None, Verdict.PASS)  # fmt: skip
            line = drawn(bar, width)
            assert len(line) == width
            mark = next(sign for sign in "o<>" if sign in line)
            places.append(line.index(mark))
            assert (mark == "o") == (0 <= column(bar, Fraction(value), width) < width)
            if abs(value) > 2.3 * high:
                assert mark == ("<" if value < 0 else ">")
        assert places == sorted(places)
        assert column(bar, Fraction(-high), width) == (width - 1) // 4
        assert column(bar, Fraction(high), width) == 3 * (width - 1) // 4
    bare = bar._replace(low=None, high=None)
    assert drawn(bare, 13) == ""


def test_figures_are_read_as_people_read_them() -> None:
    """Half up, at most three decimals, signs only where they are asked for."""
    assert valued(182_000, Kind.PRESSURE) == "1.82 bar"
    assert figure(Fraction(-5, 2), Kind.TORQUE) == "-0.002"  # half up
    assert figure(5050, Kind.TORQUE, signed=True) == "+5.05"
    assert figure(0, Kind.FINE, signed=True) == "0"
    assert figure(300, Kind.STEP) == "0.3"


def test_a_late_entry_falls_into_its_day(kit: Path) -> None:
    """A check written down a week late counts from the day it was made on."""
    at = datetime(2024, 4, 1, 12, tzinfo=UTC)
    folder = open_kit(kit)
    tell(kit, "TW", "2024-04-02", EventKind.DROP)
    said = made_elsewhere(folder.kit.tool("TW"), "checking house", Verdict.PASS)
    write_of_instruments(folder, [said], When(at, at + timedelta(days=7), "Ada"))
    assert "dropped" in stand(kit, "TW", "2024-04-10").words


def test_uses_since_the_check_are_those_of_a_plain_count_in_any_order(kit: Path) -> None:
    """Random uses, checks and drops beside a plain loop over days; the order never shows."""
    dice = random.Random(11)
    described = open_kit(kit).kit
    start = date(2024, 1, 10)  # the digital gauge's check on the list
    for _ in range(60):
        days = dice.sample(range(1, 400), 12)
        facts, uses, dropped = [], 0, False
        for clock, day in enumerate(sorted(days)):
            at = datetime(2024, 1, 10, 9, tzinfo=UTC) + timedelta(days=day)
            what, times = dice.choice("uuucd"), dice.randint(1, 9)
            if what == "u":
                uses += times
                copy = dice.choice(("DG", "DG/2"))
                pick = (Pick("K4"), Pick(copy, times))
                step = StepDone("v", "ST", 1, pick)
                said: object = dice.choice((LoosePick(copy, times), step))
            elif what == "c":
                uses, dropped = 0, False
                said = InstrumentChecked("DG", Verdict.PASS, Beside("house", Trust.CERTIFICATE))
            else:
                dropped = True
                said = InstrumentEvent("DG", EventKind.DROP)
            facts.append(Fact(str(clock), str(clock), clock, at, "Ada", said))  # type: ignore[arg-type]
        today = start + timedelta(days=399)
        found = stands(described, facts, today)["DG"]
        assert (found.standing.uses, found.out) == (uses, dropped)
        dice.shuffle(facts)
        assert stands(described, facts, today)["DG"] == found
