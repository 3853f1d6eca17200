"""Any kit comes back equal from its files; any guarded edit means what was meant or is refused."""

from __future__ import annotations

import tempfile
import tomllib
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st
from kitfiles import append_jobs, append_supplies, append_tools

from toolbox.files.problems import WriteRefused
from toolbox.files.reading import layout_from_file, read_kit
from toolbox.files.writing import (
    append_entries,
    edit_file,
    save_layout,
    write_kit,
)
from toolbox.kit.box import Box, Compartment, Inside, Opening, Position, Way
from toolbox.kit.customs import CustomsChoices, MassUnit, SetsAs
from toolbox.kit.kit import Hand, Kit, Readings, Settings
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.quantities import Kind
from toolbox.kit.rules import Ask, Rule
from toolbox.kit.things import (
    DIAL_KINDS,
    Accuracy,
    Dial,
    Gauge,
    Goods,
    Instrument,
    Known,
    Mark,
    Mass,
    Measure,
    Money,
    Part,
    Shelf,
    Size,
    Supply,
    Tool,
)
from toolbox.kit.work import Draw, Job, Pick, Step

FEW = settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)

IDS = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,5}", fullmatch=True)
LETTERS = st.characters(exclude_categories=("Cs", "Cc"))
LINES = st.text(LETTERS, max_size=12)
NAMES = LINES.filter(lambda text: text.strip() != "")
NOTES = st.text(LETTERS | st.sampled_from("\n\t"), max_size=20)
SIDES = st.integers(1, 9999)
SIZES = st.builds(Size, SIDES, SIDES, SIDES)
GRAMS = st.integers(1, 50_000)
DAYS = st.dates(date(1990, 1, 1), date(2090, 1, 1))
# Every field is given: builds() fills what is left out with values of its own.
ERRORS = st.none() | st.integers(1, 50_000)
MASSES = st.builds(Mass, GRAMS, st.sampled_from(list(Known)), st.none(), ERRORS) | st.builds(
    Mass, GRAMS, st.just(Known.WEIGHED), st.integers(1, 5000), ERRORS
)
MARKS = st.frozensets(st.sampled_from(list(Mark)))
SHARES = st.integers(1, 99).map(lambda n: Fraction(n, 100))
NET = st.none() | st.integers(1, 2000)
# energy, flash point, lithium, blade
FIGURES = (
    st.none() | st.integers(1, 10**6),
    st.none() | st.integers(-99, 400),
    st.none() | st.integers(1, 10**5),
    st.none() | SIDES,
)
CELLS = st.builds(
    Goods, NAMES, st.integers(1, 60_000), st.integers(1, 20_000), NET, *FIGURES
) | st.builds(Goods, NAMES, st.none(), st.none(), NET, *FIGURES)
CASH = st.none() | st.builds(Money, st.integers(0, 10**7), st.sampled_from(["EUR", "XTS"]))
PARTS = st.builds(Part, NAMES, st.integers(1, 99), st.none() | GRAMS, CASH)
CUSTOMS = st.builds(
    CustomsChoices,
    st.sampled_from(["", "XX"]),
    st.sampled_from(["", "XTS"]),
    st.sampled_from(list(MassUnit)),
    st.sampled_from(list(SetsAs)),
)


@st.composite
def gauges(draw: st.DrawFn) -> Gauge:
    """A gauge with its three figures in order."""
    low, middle, high = sorted(draw(st.tuples(*[st.integers(0, 10**6)] * 3)))
    return Gauge(draw(NAMES), draw(NAMES), middle, low, high)


@st.composite
def instruments(draw: st.DrawFn) -> Instrument:
    """An instrument that falls due by months, by uses, or both."""
    months, uses = draw(st.none() | st.integers(1, 60)), draw(st.none() | st.integers(1, 9999))
    months = 12 if months is None and uses is None else months
    dial = draw(st.none() | dials())
    return Instrument(draw(st.none() | DAYS), months, uses, draw(st.integers(0, 99)), dial)


@st.composite
def dials(draw: st.DrawFn) -> Dial:
    """What an instrument measures: any kind, any range, with the tolerance that its kind has."""
    kind = draw(st.sampled_from(DIAL_KINDS))
    highest = draw(st.integers(2, 10**7))
    below = st.none() | st.integers(1, highest - 1)
    of_kind = {
        Kind.TORQUE: [a for a in Accuracy if a.of_torque],
        Kind.PRESSURE: [a for a in Accuracy if not a.of_torque],
    }
    accuracy = draw(st.none() | st.sampled_from(of_kind[kind])) if kind in of_kind else None
    percents = st.none() | st.integers(1, 99_999).map(lambda n: Fraction(n, 1000))
    torque = accuracy is not None and accuracy.of_torque
    stop = draw(st.booleans()) if accuracy is not None and not torque else False
    return Dial(
        kind,
        highest,
        None if stop else draw(below),
        draw(below),
        accuracy,
        None if torque else draw(below),
        draw(percents) if torque else None,
        stop,
    )


def tools(tool_id: str) -> st.SearchStrategy[Tool]:
    """A tool of this id, anything from bare to full."""
    return st.builds(
        Tool,
        id=st.just(tool_id),
        name=NAMES,
        mass=MASSES,
        size=SIZES,
        category=LINES,
        count=st.integers(1, 4),
        carried=st.booleans(),
        parts=st.lists(PARTS, max_size=2).map(tuple),
        marks=MARKS,
        substitutes=st.just(()),
        serial=LINES,
        value=CASH,
        origin=st.sampled_from(["", "XX"]),
        look=LINES,
        owner_mark=LINES,
        note=NOTES,
        gauge=st.none() | gauges(),
        instrument=st.none() | instruments(),
        goods=st.none() | CELLS,
        make=LINES,
        model=LINES,
        year=st.none() | st.integers(1900, 2100),
    )


@st.composite
def supplies(draw: st.DrawFn, supply_id: str) -> Supply:
    """A supply of this id, with mass and size if it is carried."""
    carried = draw(st.booleans())
    amounts = st.none() | st.integers(0, 9999)
    months = st.none() | st.integers(1, 60)
    shelf = Shelf(
        draw(st.none() | DAYS), draw(st.none() | DAYS), draw(months), draw(LINES),
        draw(st.none() | DAYS), draw(months),
    )  # fmt: skip
    stock, reserve, counted_on = draw(amounts), None, None
    if stock is not None:
        reserve, counted_on = draw(st.none() | st.integers(0, stock)), draw(st.none() | DAYS)
    return Supply(
        id=supply_id,
        name=draw(NAMES),
        measure=draw(st.sampled_from(list(Measure))),
        mass=draw(MASSES if carried else st.none() | MASSES),
        size=draw(SIZES if carried else st.none() | SIZES),
        carried=carried,
        pack=draw(st.none() | st.integers(1, 999)),
        stock=stock,
        par=draw(amounts),
        shelf=shelf,
        marks=draw(MARKS),
        fluid=draw(LINES),
        note=draw(NOTES),
        goods=draw(st.none() | CELLS),
        reserve=reserve,
        stock_on=counted_on,
        service=draw(st.none() | SHARES),
    )


@st.composite
def jobs(draw: st.DrawFn, job_id: str, tools: list[str], supplies: list[str]) -> Job:
    """A job whose steps take up some of these tools and use up some of these supplies."""
    steps = []
    for number in range(1, draw(st.integers(1, 3)) + 1):
        taken = draw(st.lists(st.sampled_from(tools), unique=True, max_size=3)) if tools else []
        used = draw(st.lists(st.sampled_from(supplies), unique=True)) if supplies else []
        picks = tuple(Pick(name, draw(st.integers(1, 9))) for name in taken)
        draws = tuple(Draw(name, draw(st.integers(1, 500))) for name in used)
        minutes = draw(st.none() | st.integers(0, 90))
        steps.append(Step(number, draw(NAMES), picks, draws, minutes))
    per_day = draw(st.none() | st.integers(0, 10**7).map(lambda n: Fraction(n, 10**6)))
    urgent = draw(st.booleans())
    said = draw(LINES), urgent, per_day, draw(NOTES), draw(LINES)
    return Job(job_id, draw(NAMES), tuple(steps), *said)


@st.composite
def boxes(draw: st.DrawFn, names: list[str]) -> Box:
    """A box with an opening and compartments side by side, named out of ``names``."""
    lid, *places = names
    size = Size(10_000, draw(SIDES), draw(SIDES))
    opening = Opening(
        lid, draw(NAMES), draw(st.sampled_from(list(Way))), draw(st.integers(0, 9999)),
        draw(st.integers(0, 9999)), draw(st.integers(0, 4)),
    )  # fmt: skip
    compartments = tuple(
        Compartment(
            id=name,
            name=draw(NAMES),
            kind=draw(st.sampled_from(list(Inside))),
            inside=Size(draw(st.integers(1, 1000)), size.width, size.height),
            position=Position(1000 * number, 0, 0),
            openings=draw(st.sampled_from([(), (lid,)])),
            load_g=draw(st.none() | GRAMS),
        )
        for number, name in enumerate(places)
    )
    tare, stands = draw(st.integers(0, 10**5)), draw(st.integers(0, 20_000))
    limit = draw(st.none() | GRAMS)
    _, known, step, error = draw(MASSES)
    box = Box(draw(NAMES), size, tare, stands, (opening,), compartments, limit)
    return replace(box, tare_known=known, tare_step_mg=step, tare_error_mg=error)


@st.composite
def rules(draw: st.DrawFn, name: str, items: list[str], places: list[str]) -> Rule:
    """A rule with what goes with its word."""
    ask = draw(st.sampled_from(list(Ask)))
    few = 2 if ask in (Ask.TOGETHER, Ask.APART, Ask.CLEAR) else 1
    named = draw(st.lists(st.sampled_from(items), unique=True, min_size=few, max_size=4))
    two_groups = ask is Ask.CLEAR or (ask is Ask.APART and draw(st.booleans()))
    cut = draw(st.integers(1, len(named) - 1)) if two_groups else len(named)
    where = draw(st.lists(st.sampled_from(places), unique=True, min_size=1))
    count = {Ask.PINNED: 1, Ask.ONLY: len(where), Ask.CLEAR: len(where)}.get(ask, 0)
    time = draw(st.integers(1, 60_000)) if ask is Ask.WITHIN else None
    return Rule(name, ask, tuple(named[:cut]), tuple(where[:count]), time, tuple(named[cut:]))


SETTINGS = st.builds(
    Settings,
    clearance=st.integers(0, 200),
    loose_fill=st.integers(1, 100).map(lambda n: Fraction(n, 100)),
    half_life_days=st.none() | st.integers(1, 400),
    urgent_weight=st.integers(1, 10**8).map(lambda n: Fraction(n, 10**6)),
    easy_share=st.integers(1, 100).map(lambda n: Fraction(n, 100)),
    stand_off=st.integers(0, 9999),
    hand_height=st.integers(0, 20_000),
    bend_below=st.integers(0, 20_000),
    hand=st.sampled_from(list(Hand)),
    hand_beside=st.integers(0, 9999),
    service=SHARES,
    restock_days=st.integers(1, 366),
)


@st.composite
def kits(draw: st.DrawFn) -> Kit:
    """A whole kit, everything in it optional but the box."""
    names = draw(st.lists(IDS, unique=True, min_size=2, max_size=7))
    cut = draw(st.integers(0, len(names)))
    mine = tuple(
        replace(draw(tools(name)), substitutes=tuple(n for n in names[:cut] if n > name))
        for name in names[:cut]
    )
    used = tuple(draw(supplies(name)) for name in names[cut:])
    places = draw(st.lists(IDS, unique=True, min_size=2, max_size=4))
    work = tuple(
        draw(jobs(name, names[:cut], names[cut:]))
        for name in draw(st.lists(IDS, unique=True, max_size=3))
    )
    asked = tuple(
        draw(rules(name, names, places[1:]))
        for name in draw(st.lists(NAMES, unique=True, max_size=3))
    )
    times = st.lists(st.integers(1, 10**6), min_size=1, max_size=3).map(tuple)
    read = tuple(Readings(of, draw(times), draw(NOTES)) for of in places if draw(st.booleans()))
    kit = Kit(draw(NAMES), draw(boxes(places)), mine, used, work, asked, read, draw(SETTINGS))
    spots = tuple(
        Spot(
            copy, draw(st.sampled_from(places[1:])), *draw(st.sampled_from([(None, None), (0, 7)]))
        )
        for copy in kit.carried()
    )
    more = {"present": Layout("now", spots), "customs": draw(CUSTOMS)}
    return Kit(**{f: getattr(kit, f) for f in kit.__slots__} | more)


@FEW
@given(kits())
def test_a_kit_written_and_read_is_the_same_kit(kit: Kit) -> None:
    """Every value of every type survives its way through the files, to the last unit."""
    with tempfile.TemporaryDirectory() as folder:
        write_kit(Path(folder), kit)
        assert read_kit(Path(folder)) == kit


@settings(FEW, max_examples=10)
@given(kits())
def test_a_kit_added_piece_by_piece_is_the_same_kit(kit: Kit) -> None:
    """Adding tools, supplies and jobs one after the other gives what writing them at once does."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        bare = Kit(kit.name, kit.box, settings=kit.settings)
        write_kit(folder, bare)
        for supply in kit.supplies:
            append_supplies(folder, [supply])
        for tool in kit.tools:
            append_tools(folder, [tool])
        for job in kit.jobs:
            append_jobs(folder, [job])
        read = read_kit(folder)
        assert (read.tools, read.supplies, read.jobs) == (kit.tools, kit.supplies, kit.jobs)
        if kit.present:
            path = folder / "layouts" / "now.toml"
            save_layout(path, kit.present, "as it is")
            assert layout_from_file(path, read) == kit.present


# Documents put together out of lines that people write, in any order that is TOML.
KEYS = st.sampled_from(["a", "b", "c", "a.b", '"x y"'])
VALUES = st.sampled_from(
    ["1", "true", '"12 g"', "2026-01-31", "[1, 2]", "{ n = 1 }", "1.5", "nan", "'''\nx\n'''"]
)
LINE = st.one_of(
    st.builds(lambda key, value, tail: f"{key} = {value}{tail}\n", KEYS, VALUES,
              st.sampled_from(["", " # why", "   "])),
    st.builds("[{}]\n".format, KEYS),
    st.builds("[[{}]]\n".format, KEYS),
    st.builds("# {}\n".format, st.text("abc = []#", max_size=6)),
    st.sampled_from(["\n", "  # indented\n", "\t\n"]),
)  # fmt: skip
DOCUMENTS = st.lists(LINE, max_size=14).map("".join)


def _is_toml(text: str) -> bool:
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return True


def _tables(found: Any) -> list[Any]:
    """All tables of a document, itself first."""
    if isinstance(found, list):
        return [table for part in found for table in _tables(part)]
    if not isinstance(found, dict):
        return []
    return [found, *(table for part in found.values() for table in _tables(part))]


def _comments(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip().startswith("#")]


def _same(one: Any, other: Any) -> bool:
    """Equal, nan included; the order of keys is not meaning."""
    if isinstance(one, dict):
        return set(one) == set(other) and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return repr(one) == repr(other)


@settings(max_examples=150, deadline=None)
@given(
    DOCUMENTS.filter(_is_toml),
    st.integers(0, 20),
    st.sampled_from(["a", "b", "new"]),
    st.sampled_from([7, "text", {"x": 1}, None]),
    st.booleans(),
)
def test_an_edit_means_what_was_meant_or_is_refused(
    text: str, place: int, key: str, value: object, crlf: bool
) -> None:
    """Set or delete a key anywhere in any document: the rest and all comments stay, or nothing."""

    def change(document: Any) -> None:
        tables = _tables(document)
        table = tables[place % len(tables)]
        if value is not None:
            table[key] = value
        elif key in table:
            del table[key]

    meant = tomllib.loads(text)
    before = _tables(meant)
    old = before[place % len(before)].get(key)
    change(meant)
    data = text.replace("\n", "\r\n" if crlf else "\n").encode()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any.toml"
        path.write_bytes(data)
        try:
            edit_file(path, change)
        except WriteRefused:
            event("refused")
            assert path.read_bytes() == data
            return
        after = path.read_bytes().decode()
    event("written")
    assert _same(tomllib.loads(after), meant)
    # comments inside a table that is taken away go with it
    if value is not None and not isinstance(old, dict | list):
        event("comments compared")
        kept = iter(_comments(after))
        lost = [c for c in _comments(text) if c not in kept]
        assert not lost, "comments are lost or out of order"


@settings(max_examples=100, deadline=None)
@given(DOCUMENTS.filter(_is_toml), st.sampled_from(["a", "new"]))
def test_an_addition_leaves_every_byte_before_it(text: str, key: str) -> None:
    """Entries added to any document come last, all before them as it was, or nothing changes."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any.toml"
        path.write_bytes(text.encode())
        try:
            append_entries(path, key, [{"n": 1, "inner": {"x": "y"}}])
        except WriteRefused:
            event("refused")
            assert path.read_bytes() == text.encode()
            return
        after = path.read_bytes().decode()
    event("written")
    assert after.startswith(text.rstrip())
    meant = tomllib.loads(text)
    meant.setdefault(key, []).append({"n": 1, "inner": {"x": "y"}})
    assert _same(tomllib.loads(after), meant)
