"""Any trip comes back equal from its file; a weighing is added and all else stays."""

from __future__ import annotations

import tempfile
from datetime import date
from fractions import Fraction
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from toolbox.files.forms import demo_folder
from toolbox.files.reading import read_kit
from toolbox.files.trips import append_weighing, read_trip, write_trip
from toolbox.kit.things import Goods, Known, Mass, Money, Papers, Size
from toolbox.kit.trips import (
    Allowance,
    Approval,
    Bag,
    Band,
    Bike,
    Cabin,
    Carriage,
    Concept,
    Item,
    Leg,
    Other,
    Person,
    Scale,
    ScaleClass,
    Trip,
    Way,
    Weighing,
    Work,
)

KIT = read_kit(demo_folder())
IN_BOX = sorted({thing.id for thing in KIT.carried().values()})
AT_HOME = sorted(
    {tool.id for tool in KIT.tools} | {s.id for s in KIT.supplies if s.mass}
)  # fmt: skip
AT_HOME = [name for name in AT_HOME if name not in IN_BOX]
JOBS = sorted(job.id for job in KIT.jobs)

LETTERS = st.characters(exclude_categories=("Cs", "Cc"))
LINES = st.text(LETTERS, max_size=12)
NAMES = LINES.filter(lambda text: text.strip() != "")
GRAMS = st.integers(1, 50_000)
SIDES = st.integers(1, 9_999)
SIZES = st.builds(Size, SIDES, SIDES, SIDES)
DAYS = st.dates(date(2020, 1, 1), date(2090, 1, 1))
MONEY = st.builds(Money, st.integers(1, 99_999), st.just("EUR"))
ERRORS = st.none() | st.integers(1, 50_000)
MASSES = st.builds(Mass, GRAMS, st.sampled_from(list(Known)), st.none(), ERRORS) | st.builds(
    Mass, GRAMS, st.just(Known.WEIGHED), st.integers(1, 5_000), ERRORS
)
PAPERS = st.builds(
    Papers,
    LINES,
    LINES,
    LINES,
    st.none() | st.integers(1900, 2100),
    st.none() | MONEY,
    st.sampled_from(["", "XX"]),
)


def ids(letter: str, draw: st.DrawFn, least: int, most: int) -> list[str]:
    """So many different ids that begin with a letter."""
    return [f"{letter}{n}" for n in range(draw(st.integers(least, most)))]


@st.composite
def allowances(draw: st.DrawFn, name: str) -> Allowance:
    """An allowance whose figures rise."""
    low, *rest = sorted(draw(st.sets(GRAMS, min_size=1, max_size=4)))
    prices = sorted(draw(st.sets(st.integers(1, 99_999), min_size=len(rest), max_size=len(rest))))
    short, long = sorted(draw(st.sets(SIDES, min_size=2, max_size=2)))
    by_piece = draw(st.booleans())
    return Allowance(
        id=name,
        name=draw(NAMES),
        concept=Concept.PIECE if by_piece else Concept.WEIGHT,
        mass_g=low,
        pieces=draw(st.integers(0, 9)) if by_piece else None,
        ceiling_g=draw(st.none() | st.integers(rest[-1] if rest else low, 60_000)),
        sides=short,
        sides_ceiling=draw(st.just(long) | st.none()),
        extra_pieces=tuple(draw(st.lists(MONEY, max_size=2))) if by_piece else (),
        bands=tuple(Band(g, Money(p, "EUR")) for g, p in zip(rest, prices, strict=True))
        if by_piece
        else (),
        per_kg=None if by_piece else draw(st.none() | MONEY),
        most_g=None if by_piece else draw(st.none() | st.integers(low, 90_000)),
        pooled=not by_piece and draw(st.booleans()),
        cabin=draw(
            st.none() | st.builds(Cabin, st.integers(0, 3), st.none() | GRAMS, st.none() | SIZES)
        ),
        note=draw(LINES),
    )


@st.composite
def trips(draw: st.DrawFn) -> Trip:
    """A trip of the demo kit with something of every sort."""
    people, bags = ids("P", draw, 1, 3), ids("B", draw, 1, 4)
    grants, things = ids("A", draw, 1, 3), ids("I", draw, 0, 3)
    bikes, scales = ids("K", draw, 0, 2), ids("S", draw, 1, 2)
    person, bag, grant = map(st.sampled_from, (people, bags, grants))
    held = draw(st.lists(st.sampled_from(AT_HOME), unique=True, max_size=4))
    all_things = st.sampled_from([*IN_BOX, *AT_HOME, *things])
    outs, backs = draw(st.integers(1, 2)), draw(st.integers(0, 2))
    days = sorted(draw(st.lists(DAYS, min_size=outs + backs, max_size=outs + backs)))
    sets = st.lists(st.sampled_from(["eu", "uk", "from-usa"]), unique=True, max_size=2).map(tuple)
    return Trip(
        name=draw(NAMES),
        people=tuple(Person(p, draw(NAMES)) for p in people),
        bags=tuple(
            Bag(
                b,
                draw(NAMES),
                draw(person),
                draw(st.sampled_from(Carriage)),
                box=n == 0,
                tare=None if n == 0 else draw(MASSES),
                size=None if n == 0 else draw(st.none() | SIZES),
                inside=draw(st.none() | SIZES),
                holds=tuple(held) if n == 1 else (),
                limit_g=draw(st.none() | GRAMS),
                papers=draw(PAPERS),
            )
            for n, b in enumerate(bags)
        ),
        allowances=tuple(draw(allowances(a)) for a in grants),
        legs=tuple(
            Leg(
                f"L{n}",
                draw(NAMES),
                draw(grant),
                draw(st.just(days[n]) | st.none()),
                draw(LINES),
                tuple(draw(st.dictionaries(person, grant, max_size=2)).items()),
                draw(sets),
                draw(sets),
                draw(st.booleans()),
                back=n >= outs,
            )
            for n in range(outs + backs)
        ),
        items=tuple(
            Item(
                i,
                draw(NAMES),
                draw(bag),
                draw(MASSES),
                draw(st.integers(1, 9)),
                draw(st.none() | SIZES),
                draw(st.booleans()),
                draw(st.none() | NAMES.map(Goods)),
                draw(PAPERS),
                draw(st.booleans()),
            )
            for i in things
        ),
        bikes=tuple(Bike(k, draw(NAMES), draw(bag | st.just(""))) for k in bikes),
        work=tuple(
            Work(
                job,
                Fraction(draw(st.integers(1, 99)), draw(st.sampled_from([1, 2, 10]))),
                tuple(draw(st.lists(st.sampled_from(bikes), unique=True))) if bikes else (),
            )
            for job in draw(st.lists(st.sampled_from(JOBS), unique=True, max_size=3))
        ),
        ways=tuple(
            Way(item, other, None if other is Other.LEAVE else draw(st.none() | MONEY))
            for item, other in draw(
                st.lists(st.tuples(all_things, st.sampled_from(Other)), unique=True, max_size=3)
            )
        ),
        approvals=tuple(
            draw(
                st.lists(
                    st.builds(
                        Approval,
                        st.lists(all_things, unique=True, min_size=1, max_size=2).map(tuple),
                        NAMES,
                        DAYS,
                        LINES,
                    ),
                    max_size=2,
                )
            )
        ),
        scales=tuple(
            Scale(
                s,
                draw(NAMES),
                draw(st.integers(1, 100_000)),
                draw(st.none() | st.sampled_from(ScaleClass)),
                draw(ERRORS),
                draw(st.none() | GRAMS),
            )
            for s in scales
        ),
        weighings=(
            Weighing(draw(bag), draw(GRAMS), scales[0], draw(DAYS)),
            Weighing(draw(bag), draw(GRAMS), scales[0], draw(DAYS), (), draw(NAMES), draw(NAMES)),
        ),
        must=tuple(draw(st.lists(all_things, unique=True, max_size=3))),
        note=draw(LINES),
    )


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(trips())
def test_any_trip_comes_back_equal(trip: Trip) -> None:
    """Written and read: every value, every kind of quantity, money, dates, names."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "trips" / "any.toml"
        write_trip(path, trip)
        assert read_trip(path, KIT) == trip
        before = path.read_text(encoding="utf-8")
        more = Weighing(trip.bags[0].id, 22_950, trip.scales[0].id, date(2026, 12, 3), ())
        append_weighing(path, more)
        assert path.read_text(encoding="utf-8").startswith(before.rstrip())
        assert read_trip(path, KIT).weighings == (*trip.weighings, more)
