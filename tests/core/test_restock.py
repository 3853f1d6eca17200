"""Restocking from files and log: stock by place, dates, levels and chances, lists, fluids."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from clikit import write_kit_files

from toolbox.desk.checklist import ticked, write_said
from toolbox.desk.diary import Done, When, log_job, spend_supply, take_back
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import open_kit
from toolbox.desk.picture import take_picture
from toolbox.desk.plans import rank_tools
from toolbox.desk.restock import Restocking, restocking
from toolbox.desk.restock_said import (
    amount_of,
    bought,
    counted,
    done,
    opened,
    task_named,
    wasted,
    write_stock,
)
from toolbox.desk.restock_wishes import wished, wishes
from toolbox.desk.stock import Holding, holdings
from toolbox.desk.stock_demand import chances, coming_work, level_of, runs_out
from toolbox.desk.stock_fluids import mixings_of, mixings_of_kit
from toolbox.desk.stock_words import chance_words, day_words, left_words
from toolbox.files.problems import KitFaults
from toolbox.kit.stocking import Bought, Opened, Refilled, SaidOfStock, StockCounted, Wasted, Where

scipy_stats = pytest.importorskip("scipy.stats", reason="no scipy here")

DAY = date(2026, 11, 20)
NOON = datetime(2026, 11, 20, 12, tzinfo=UTC)
WHEN = When(NOON, NOON, "Ada")

SUPPLIES = """
[[supply]]
id = "GLY"
name = "Glycol brake fluid"
measure = "ml"
pack = "100 ml"
stock = "250 ml"
reserve = "200 ml"
carried = true
mass = "150 g"
length = "48 mm"
width = "48 mm"
height = "108 mm"
fluid = "DOT 5.1"
KEYS

[[supply]]
id = "SPRAY"
name = "Brake cleaner spray"
measure = "ml"
pack = "150 ml"
stock = "40 ml"

[supply.goods]
kind = "aerosol-flammable-2.1"
net = "150 ml"
"""
JOBS = """
[[job]]
id = "BLEED"
name = "Brake bleed"
per_day = 0.5
fluid = "glycol"

[[job.step]]
text = "push the fluid through"
supplies = { GLY = "30 ml", SPRAY = "20 ml" }
"""


def kit_with(folder: Path, keys: str = "", jobs: str = JOBS) -> Path:
    """The small kit with a fluid that travels, a spray that does not, and a bleed."""
    path = write_kit_files(folder / "kit")
    for name, text in (("supplies.toml", SUPPLIES.replace("KEYS", keys)), ("jobs.toml", jobs)):
        with (path / name).open("a", encoding="utf-8") as file:
            file.write(text)
    return path


@pytest.fixture
def kit(tmp_path: Path) -> Path:
    """That kit, with nothing said of dates and levels."""
    return kit_with(tmp_path)


def held(kit: Path, supply: str = "GLY", day: date = DAY) -> Holding:
    """A supply as it stands."""
    folder = open_kit(kit)
    return holdings(folder.kit, folder.live, day)[supply]


def say(kit: Path, *said: SaidOfStock, at: datetime = NOON) -> str:
    """Write what was said of stocks."""
    return write_stock(open_kit(kit), said, When(at, NOON, "Ada"))


def books(kit: Path, supply: str = "GLY") -> tuple[int | None, int | None]:
    """The book of the box and of the reserve."""
    account = held(kit, supply).account
    return account.book(Where.BOX), account.book(Where.RESERVE)


def listed(kit: Path, day: date = DAY, trip: str | None = None) -> Restocking:
    """The lists of an evening."""
    return restocking(open_kit(kit), day, trip)


def bleed(kit: Path, **said: object) -> str:
    """A bleed logged; the id of its entry."""
    return log_job(open_kit(kit), Done("BLEED", **said), WHEN).id


# ---- stock


def test_work_draws_where_the_supply_lies_and_undo_gives_back(kit: Path) -> None:
    """250 ml of which 200 in the van: 50 - 30 = 20 in the box; the spray 40 - 20 = 20."""
    assert books(kit) == (50, 200)
    assert books(kit, "SPRAY") == (0, 40)
    entry = bleed(kit)
    assert (books(kit), books(kit, "SPRAY")) == ((20, 200), (0, 20))
    take_back(open_kit(kit), entry, WHEN)
    assert (books(kit), books(kit, "SPRAY")) == ((50, 200), (0, 40))


def test_after_many_jobs_it_is_the_start_less_the_draws(kit: Path) -> None:
    """The trade's own check: 250 - 4 x 30 - 7 = 123 ml, the box being 77 short of its share."""
    log_job(open_kit(kit), Done("BLEED", times=4), WHEN)
    spend_supply(open_kit(kit), "GLY", "7 ml", WHEN)
    assert (held(kit).left, books(kit)) == (123, (-77, 200))
    assert left_words(held(kit)) == "about 123 ml left (250 ml on the list less 127 ml logged)"
    assert held(kit).week == 127
    assert held(kit).cover == 6  # 123 x 7 / 127 = 6.78 days


def test_use_before_the_day_of_the_stock_is_in_it_already(tmp_path: Path) -> None:
    """Counted in the morning of the 20th: what was used on the 19th no longer counts."""
    kit = kit_with(tmp_path, "stock_on = 2026-11-20")
    before = When(NOON - timedelta(days=1), NOON, "Ada")
    log_job(open_kit(kit), Done("BLEED"), before)
    assert (books(kit), held(kit).account.earlier) == ((50, 200), 1)
    assert books(kit, "SPRAY") == (0, 20)  # no day: all logged use comes off
    bleed(kit)
    assert books(kit) == (20, 200)
    assert held(kit, day=DAY - timedelta(days=1)).account.later == 1


def test_what_is_said_of_stocks(kit: Path) -> None:
    """Each kind once, by hand: 50/200, refill 50, buy 100, waste 10, count 77."""
    say(kit, Refilled("GLY", 50))
    assert books(kit) == (100, 150)
    say(kit, bought(held(kit), "1 pack", lot="A1", best_before=date(2028, 1, 1)))
    assert books(kit) == (100, 250)
    say(kit, wasted(held(kit), "10 ml"))
    assert books(kit) == (90, 250)
    say(kit, counted(held(kit), "77"))
    assert books(kit) == (77, 250)
    assert left_words(held(kit)) == "327 ml left by the book"


def test_amounts_as_typed(kit: Path) -> None:
    """With a unit, bare, in packs; what is no amount is refused."""
    supply = held(kit).supply
    assert [amount_of(supply, text) for text in ("30 ml", "0.1 L", "30", "2 packs", "1 pack")] == [
        30, 100, 30, 200, 100,
    ]  # fmt: skip
    assert amount_of(supply, "0 ml", nothing=True) == 0
    for text in ("0 ml", "30 g", "some", "-3 ml"):
        with pytest.raises(DeskError):
            amount_of(supply, text)
    with pytest.raises(DeskError, match="nobody has said what a pack holds"):
        amount_of(held(kit, "OIL").supply, "2 packs")


def test_what_makes_no_sense_is_refused(kit: Path) -> None:
    """Opened tomorrow, thrown away without anything out of date, put where it never lies."""
    with pytest.raises(DeskError, match="still to come"):
        opened(held(kit), DAY + timedelta(days=1), DAY)
    with pytest.raises(DeskError, match="nothing of Glycol brake fluid in the box is out of date"):
        wasted(held(kit), None)
    with pytest.raises(DeskError, match="does not travel in the box"):
        counted(held(kit, "SPRAY"), "10 ml", Where.BOX)


@pytest.mark.parametrize(
    ("keys", "wrong"),
    [
        ('stock = "20 ml"\nreserve = "30 ml"', "has more in the reserve than its stock"),
        ('reserve = "30 ml"', "has a reserve but no stock"),
        ("stock_on = 2026-01-31", "has a stock_on but no stock"),
        ("service_percent = 100", "service_percent"),
    ],
)
def test_files_that_contradict_themselves(kit: Path, keys: str, wrong: str) -> None:
    """Each fault with its words; nothing is guessed."""
    with (kit / "supplies.toml").open("a", encoding="utf-8") as file:
        file.write(f'\n[[supply]]\nid = "X"\nname = "X"\nmeasure = "ml"\n{keys}\n')
    with pytest.raises(KitFaults) as faults:
        open_kit(kit)
    assert any(wrong in fault.sentence() for fault in faults.value.faults)


# ---- how long it is good

OLD = """best_before = 2028-03-31
opened = 2025-10-20
opened_life_months = 12"""


def test_opened_thirteen_months_ago_is_out_of_date_whatever_is_printed(tmp_path: Path) -> None:
    """The trade's own check; the sealed ones in the van are good by their printed date."""
    kit = kit_with(tmp_path, OLD)
    found = held(kit)
    assert (found.bad(Where.BOX), found.bad(Where.RESERVE)) == (50, 0)
    assert (found.good, found.usable(Where.BOX)) == (200, 0)
    words = [f.words for f in take_picture(kit, DAY).findings if f.subject == "GLY"]
    assert words == ["Glycol brake fluid: opened 2025-10-20, good until 2026-10-20, which is past"]
    last = take_picture(kit, date(2026, 10, 20)).findings
    assert not any("which is past" in finding.words for finding in last)


def test_the_old_bottle_thrown_away_and_a_fresh_one_in_its_place(tmp_path: Path) -> None:
    """Said in one go: the finding goes; nobody has opened the fresh one yet, then somebody has."""
    kit = kit_with(tmp_path, OLD + '\npar = "100 ml"')
    deeds = [(task.deed.value, task.amount) for task in listed(kit).tasks if task.supply == "GLY"]
    assert deeds == [("throw away", 50), ("refill", 100)]
    say(kit, *done(task for task in listed(kit).tasks if task.supply == "GLY"))
    assert (books(kit), held(kit).good, held(kit).opened) == ((100, 100), 200, None)
    assert [task for task in listed(kit).tasks if task.supply == "GLY"] == []
    say(kit, opened(held(kit), DAY, DAY), at=NOON + timedelta(hours=1))
    life = held(kit).life(Where.BOX)
    assert (life.last_day, life.why) == (
        date(2027, 11, 20),
        "opened 2026-11-20, good until 2027-11-20",
    )


def test_the_lot_of_a_pack_tells_what_was_printed_on_it(tmp_path: Path) -> None:
    """Bought with its date, opened by its lot: the date of the old bottle no longer counts."""
    kit = kit_with(
        tmp_path, "best_before = 2026-11-01\nopened = 2026-10-01\nopened_life_months = 24"
    )
    assert held(kit).bad(Where.BOX) == 50
    say(kit, wasted(held(kit), None), Bought("GLY", 100, Where.BOX, "L9", date(2029, 1, 1)))
    say(kit, Opened("GLY", DAY, "L9"), at=NOON + timedelta(hours=1))
    assert held(kit).life(Where.BOX).last_day == date(2028, 11, 20)
    assert held(kit).bad(Where.BOX) == 0
    assert held(kit).bad(Where.RESERVE) == 200  # those are as old as the file says


def test_one_pack_is_open_at_a_time(tmp_path: Path) -> None:
    """Of 250 ml at home in packs of 100 ml, 50 are open: the old one spoils no more."""
    kit = kit_with(tmp_path, OLD)
    say(kit, Refilled("GLY", 200))
    found = held(kit)
    assert (found.account.book(Where.BOX), found.bad(Where.BOX), found.good) == (250, 50, 200)
    say(kit, wasted(found, None))
    assert (held(kit).bad(Where.BOX), held(kit).good) == (0, 200)


def test_life_sealed_counts_from_the_day_made(tmp_path: Path) -> None:
    """29 February and 24 months: good until 28 February, by the calendar."""
    kit = kit_with(tmp_path, "made = 2024-02-29\nsealed_life_months = 24")
    assert held(kit, day=date(2026, 2, 28)).good == 250
    assert held(kit, day=date(2026, 3, 1)).good == 0
    # what is used first is the oldest: once 250 ml are gone only what was bought is left
    say(kit, Bought("GLY", 100), at=datetime(2026, 3, 1, tzinfo=UTC))
    assert held(kit).good == 0
    say(kit, StockCounted("GLY", Where.BOX, 0), StockCounted("GLY", Where.RESERVE, 100))
    assert held(kit).good == 100


# ---- levels and chances


def test_levels_and_chances_are_those_of_the_negative_binomial(kit: Path) -> None:
    """Nothing logged: a stated rate of 0.5 a day weighs two days, a gamma of shape 1 and rate 2.

    Its count in n days is negative binomial with size 1 and p = 2 / (2 + n) (gamma-Poisson
    mixture, any textbook); scipy as the reference. A bleed takes 30 ml.
    """
    folder = open_kit(kit)
    coming = coming_work(folder.kit, rank_tools(folder, DAY), folder.live, DAY)
    week = scipy_stats.nbinom(1, 2 / 9)
    level = level_of(coming, held(kit))
    assert level.units == 30 * int(week.ppf(0.95))
    assert level.why == f"7 days take up to {level.units} ml with 95 % chance"
    # 250 ml are eight bleeds
    for n, (day, chance) in enumerate(chances(coming, held(kit)), 1):
        assert day == DAY + timedelta(days=n)
        assert chance == pytest.approx(scipy_stats.nbinom(1, 2 / (2 + n)).sf(8), abs=1e-8)
    first = next(n for n in range(1, 8) if scipy_stats.nbinom(1, 2 / (2 + n)).sf(8) > 0.05)
    found = runs_out(coming, held(kit))
    assert found is not None
    assert found[0] == DAY + timedelta(days=first)
    (words,) = [f.words for f in take_picture(kit, DAY).findings if f.subject == "GLY"]
    assert words == (
        f"Glycol brake fluid: 250 ml there, runs out by {day_words(found[0], DAY)} with "
        f"{chance_words(found[1])} chance"
    )


def test_less_than_one_more_job_is_told(tmp_path: Path) -> None:
    """A job that nobody logged or rated takes 30 ml: 30 are enough, 29 are not."""
    kit = kit_with(tmp_path, jobs=JOBS.replace("per_day = 0.5", ""))
    spend_supply(open_kit(kit), "GLY", "220 ml", When(NOON - timedelta(days=9), NOON, "Ada"))
    folder = open_kit(kit)
    coming = coming_work(folder.kit, rank_tools(folder, DAY), folder.live, DAY)
    assert level_of(coming, held(kit)).units >= 30
    say(kit, StockCounted("GLY", Where.BOX, 0), StockCounted("GLY", Where.RESERVE, 30))
    assert not any("once more" in f.words for f in take_picture(kit, DAY).findings)
    say(kit, Wasted("GLY", 1, Where.RESERVE), at=NOON + timedelta(hours=1))
    (found,) = [f for f in take_picture(kit, DAY).findings if "once more" in f.words]
    assert found.words == (
        "Glycol brake fluid: 29 ml left by the book, Brake bleed, once more, takes 30 ml"
    )


def test_an_own_level_goes_first_until_it_is_as_likely_as_not_to_fail(tmp_path: Path) -> None:
    """Median use of a week by scipy: with more than that and par there, nothing is said."""
    median = 30 * int(scipy_stats.nbinom(1, 2 / 9).ppf(0.5))
    assert median < 250
    kit = kit_with(tmp_path, 'par = "200 ml"')
    assert [f for f in take_picture(kit, DAY).findings if f.subject == "GLY"] == []
    assert [b for b in listed(kit).buys if b.supply == "GLY"] == []
    sure = kit_with(tmp_path / "sure", 'par = "200 ml"\nservice_percent = 99')
    level = 30 * int(scipy_stats.nbinom(1, 2 / 9).ppf(0.99))
    (buy,) = [b for b in listed(sure).buys if b.supply == "GLY"]
    assert buy.packs.units == -(-(level - 250) // 100) * 100


def test_use_outside_any_job_is_learned_as_well(kit: Path) -> None:
    """Spent once: a belief of shape 0.1 + 1 and rate 1 + 1 (weak, one day logged), 5 ml each."""
    spend_supply(open_kit(kit), "OIL", "5 ml", WHEN)
    folder = open_kit(kit)
    coming = coming_work(folder.kit, rank_tools(folder, DAY), folder.live, DAY)
    loose = [w for w in coming.learned("OIL", 3) if w.uses[0].units == 5]
    assert [(w.shape, w.rate, w.days) for w in loose] == [(pytest.approx(1.1), pytest.approx(2), 3)]


TRIP = """
name = "One race"

[[person]]
id = "ann"
name = "Ann"

[[bag]]
id = "case"
name = "The case"
answers = "ann"
box = true

[[allowance]]
id = "two"
name = "Example: two pieces"
concept = "piece"
pieces = 2
mass = "20 kg"

[[leg]]
id = "out"
name = "There"
allowance = "two"
day = 2026-11-24

[[leg]]
id = "home"
name = "Back"
allowance = "two"
day = 2026-11-25
back = true

[[work]]
job = "BLEED"
expected = 6
"""


def test_a_trip_says_what_to_take_and_what_to_buy_there(tmp_path: Path) -> None:
    """Six bleeds planned are Poisson by scipy; the spray may not fly and is bought there."""
    kit = kit_with(tmp_path, '[supply.goods]\nkind = "none"')
    (kit / "trips").mkdir()
    (kit / "trips" / "race.toml").write_text(TRIP, encoding="utf-8")
    found = listed(kit)
    planned = int(scipy_stats.poisson(6).ppf(0.95))
    assert found.flight is not None
    by_when = {(b.supply, b.when.value): b for b in found.buys}
    spray = by_when["SPRAY", "on arrival"]
    assert spray.packs.units == -(-planned * 20 // 150) * 150
    assert spray.why == f"it may not fly, and the planned work takes up to {planned * 20} ml"
    folder = open_kit(kit)
    coming = coming_work(folder.kit, rank_tools(folder, DAY), folder.live, DAY, found.flight)
    assert level_of(coming, held(kit)).planned == planned * 30
    # three days before the trip by the log, half of its work on each of its two days
    by_day = dict(chances(coming, held(kit)))
    assert by_day[date(2026, 11, 23)] == pytest.approx(scipy_stats.nbinom(1, 2 / 5).sf(8), abs=1e-8)
    logged, half = scipy_stats.nbinom(1, 2 / 5), scipy_stats.poisson(3)
    both = sum(float(logged.pmf(k)) * float(half.sf(8 - k)) for k in range(9)) + logged.sf(8)
    assert by_day[date(2026, 11, 24)] == pytest.approx(both, abs=1e-8)
    assert max(by_day) == date(2026, 11, 27)
    # in October it is too far away to be restocked for, unless it is named
    early = date(2026, 10, 1)
    assert listed(kit, early).flight is None
    assert listed(kit, early, "race").flight is not None
    # once there, what is missing is bought where one is
    assert {b.when.value for b in listed(kit, date(2026, 11, 25)).buys} <= {"before leaving"}


# ---- the list


def test_the_list_follows_the_box_and_each_line_can_be_done(tmp_path: Path) -> None:
    """Compartments in the box's order, then the reserve; a count needs its figure."""
    kit = kit_with(tmp_path, 'par = "100 ml"')
    with (kit / "layouts" / "present.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[spot]]\nitem = "GLY"\ncompartment = "well"\n')
    spend_supply(open_kit(kit), "SPRAY", "60 ml", WHEN)
    tasks = listed(kit).tasks
    assert [(t.key, t.place, t.way) for t in tasks] == [
        ("refill:GLY:box", "well", ("open the lid",)),
        ("count:SPRAY:reserve", "", ()),
    ]
    assert tasks[0].words == "refill 50 ml of Glycol brake fluid"
    assert tasks[0].why == "50 ml in the box, level to keep 100 ml"
    with pytest.raises(DeskError, match="figure: toolbox recount SPRAY AMOUNT --in reserve"):
        done(tasks)
    assert task_named(listed(kit), "1").id == task_named(listed(kit), "glycol").id == tasks[0].key
    assert done(tasks[:1]) == (Refilled("GLY", 50, Where.BOX),)
    say(kit, *done(tasks[:1]), counted(held(kit, "SPRAY"), "20 ml"))
    assert listed(kit).tasks == ()


def test_wishes_stay_until_they_are_fulfilled(kit: Path) -> None:
    """Told once, found again, ticked; undo brings it back; twice the same is refused."""
    folder = open_kit(kit)
    write_said(folder, [wished(wishes(folder.live), "a longer  hose")], WHEN)
    (line,) = wishes(open_kit(kit).live).left
    assert (line.words, line.why) == ("a longer hose", "wished for by Ada on 2026-11-20")
    with pytest.raises(DeskError, match="already"):
        wished(wishes(open_kit(kit).live), "A longer hose")
    now = wishes(open_kit(kit).live)
    entry = write_said(open_kit(kit), [ticked(now, line.key)], WHEN)
    assert wishes(open_kit(kit).live).left == ()
    take_back(open_kit(kit), entry, WHEN)
    assert [one.words for one in wishes(open_kit(kit).live).left] == ["a longer hose"]
    assert rank_tools(open_kit(kit), DAY).days == 0  # a wish is no work


# ---- fluids


@pytest.mark.parametrize(
    ("asked", "name", "warned"),
    [
        ('fluid = "glycol"', "Brake bleed", False),  # DOT 5.1 is a glycol fluid
        ('fluid = "mineral"', "Brake bleed", True),
        ("", "Bleed, mineral", True),
        ("", "Bleed, glycol", False),
        ("", "Brake bleed", False),  # nobody has said
        ('fluid = "glycol"', "Bleed, mineral", False),  # what was said goes before the name
    ],
)
def test_a_job_that_names_the_other_fluid_warns(
    tmp_path: Path, asked: str, name: str, warned: bool
) -> None:
    """On the kit, on what is logged, in the list and in readiness; nothing is refused."""
    jobs = JOBS.replace('fluid = "glycol"', asked).replace("Brake bleed", name)
    kit = kit_with(tmp_path, jobs=jobs)
    words = f"{name}, step 1: Glycol brake fluid holds DOT 5.1, the job says mineral: never mix"
    entry = log_job(open_kit(kit), Done("BLEED", bike="A1"), WHEN)
    told = (
        mixings_of_kit(open_kit(kit).kit),
        mixings_of(open_kit(kit).kit, entry.facts),
        listed(kit).mixed,
    )
    assert [any("never mix" in one for one in found) for found in told] == [warned] * 3
    found = [f for f in take_picture(kit, DAY).findings if "never mix" in f.words]
    if warned:
        assert told[0][0].startswith(words)
        assert "bike A1" in told[1][0]
        assert [f.seriousness.value for f in found] == ["STOP", "MEND"]
        take_back(open_kit(kit), entry.id, WHEN)
        assert len(listed(kit).mixed) == 1
    else:
        assert found == []


def test_a_service_of_the_kit(tmp_path: Path) -> None:
    """The settings' own figures: 14 days at 80 %, against scipy."""
    kit = kit_with(tmp_path)
    (kit / "kit.toml").write_text(
        'name = "K"\n[settings]\nservice_percent = 80\nrestock_days = 14\n', encoding="utf-8"
    )
    folder = open_kit(kit)
    assert (folder.kit.settings.service, folder.kit.settings.restock_days) == (Fraction(4, 5), 14)
    coming = coming_work(folder.kit, rank_tools(folder, DAY), folder.live, DAY)
    assert level_of(coming, held(kit)).units == 30 * int(scipy_stats.nbinom(1, 2 / 16).ppf(0.8))


def test_what_was_not_there_asks_for_a_count(kit: Path) -> None:
    """60 ml thrown away of 50: the book is below nothing, so a count is asked for first."""
    say(kit, Wasted("GLY", 60))
    assert books(kit) == (-10, 200)
    assert [t.key for t in listed(kit).tasks] == ["count:GLY:box", "refill:GLY:box"]
