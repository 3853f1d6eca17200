"""Lists written in many styles are read back as they were, and no bytes break the reader."""

from __future__ import annotations

import csv
import io
import random
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from intakes import held, read_as

from toolbox.files.csv_guard import guarded
from toolbox.intake.names import tidy
from toolbox.intake.reading import Count, Span
from toolbox.kit.box import Box
from toolbox.kit.kit import Kit
from toolbox.kit.things import Known, Mass, Size, Tool

KIT = Kit("Cross squad", Box("Case", Size(6900, 4400, 2800), 6500, 7000, (), ()))

LETTERS = "abcdeKLMz059 éß½µ×°Ø,;'\"|()=+-@./\u00a0"
SUMS = {"total", "sum"}

names = st.text(LETTERS, min_size=1, max_size=20).map(lambda s: " ".join(s.split())).filter(bool)


@st.composite
def tool_lists(draw: st.DrawFn) -> list[Tool]:
    """A few tools with ids of their own."""
    count = draw(st.integers(1, 6))
    sides = st.integers(1, 20_000)
    return [
        Tool(
            f"T{number}",
            draw(names),
            Mass(draw(st.integers(1, 50_000)), draw(st.sampled_from(Known))),
            Size(draw(sides), draw(sides), draw(sides)),
            category=draw(st.sampled_from(["", "brake; bleed", "tyre, air"])),
            count=draw(st.integers(1, 30)),
            carried=draw(st.booleans()),
        )
        for number in range(count)
    ]


def _mass(grams: int, style: str) -> str:
    return {
        "bare": f"{grams}",
        "g": f"{grams} g",
        "kg": f"{grams // 1000}.{grams % 1000:03d}0 kg",
        "blank": f"{grams:,} g".replace(",", "\u202f"),
    }[style]


def _side(tenths: int, style: str) -> str:
    whole, tenth = divmod(tenths, 10)
    return {
        "mm": f"{whole}.{tenth} mm",
        "comma": f"{whole},{tenth}",
        "bare": f"{whole}.{tenth}",
        "m": f"{tenths / 10000:.4f} m",
    }[style]


@settings(deadline=None, max_examples=40)
@given(
    tool_lists(),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from(["\n", "\r\n"]),
    st.booleans(),
    st.sampled_from(["bare", "g", "kg", "blank"]),
    st.sampled_from(["mm", "comma", "bare", "m"]),
    st.randoms(use_true_random=False),
)
def test_tools_written_in_any_style_read_back_the_same(
    tools: list[Tool],
    separator: str,
    end: str,
    mark: bool,
    mass: str,
    side: str,
    shuffle: random.Random,
) -> None:
    """Any separator, line end, order of columns and way of writing amounts: same tools."""
    assume(not any(tool.name.casefold().rstrip(":") in SUMS for tool in tools))
    columns = {
        "id": [tool.id for tool in tools],
        "name": [guarded(tool.name) for tool in tools],
        "Weight (g)": [_mass(tool.mass.grams, mass) for tool in tools],
        "length_mm": [_side(tool.size.length, side) for tool in tools],
        "width_mm": [_side(tool.size.width, side) for tool in tools],
        "height_mm": [_side(tool.size.height, side) for tool in tools],
        "category": [tool.category for tool in tools],
        "qty": [str(tool.count) for tool in tools],
        "packed": ["yes" if tool.carried else "no" for tool in tools],
        "mass known": [tool.mass.known.value for tool in tools],
    }
    order = list(columns)
    shuffle.shuffle(order)
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator=end)
    writer.writerow(order)
    writer.writerows(zip(*(columns[header] for header in order), strict=True))
    data = (b"\xef\xbb\xbf" if mark else b"") + out.getvalue().encode()
    draft = held(data, KIT)
    assert [refusal.sentence() for refusal in draft.refusals] == []
    assert draft.tools == tuple(tools)


@settings(deadline=None, max_examples=120)
@given(
    st.one_of(
        st.binary(max_size=200),
        st.text("id,name;mass_g\t\n\r\"'0123.5 kgjobstepé", max_size=200).map(str.encode),
        st.text("0123456789.,;\"' -x½gm\n", max_size=120).map(
            lambda cells: f"name,mass_g,length_mm,width_mm,height_mm,kind\n{cells}".encode()
        ),
        st.text('0123456789.,;/-x "½gml±~Nm\n', max_size=120).map(
            lambda cells: f"name;amount;torque;size;drive;last check;due;qty\n{cells}".encode()
        ),
        st.text("0123456789.,;:/- abg\n", max_size=120).map(
            lambda cells: f"name;reading (g);date\n{cells}".encode()
        ),
        st.text('abc:|;T1 x2,\n"ml', max_size=120).map(
            lambda cells: f"job,step,tools,supplies\n{cells}".encode()
        ),
    )
)
def test_no_bytes_break_the_reader(data: bytes) -> None:
    """Whatever a file holds becomes entries or refusals in one line each, never an error."""
    draft = held(data, KIT)
    for refusal in draft.refusals:
        assert len(refusal.sentence().splitlines()) == 1
        assert refusal.cure


class Style(NamedTuple):
    """One way in which people write a list."""

    separator: str
    encoding: str
    mark: str  # the decimal mark
    thousands: str
    unit: str  # of the masses
    in_cell: bool  # the unit stands in each cell, else in the header
    quoted: bool
    titles: int
    groups: bool
    total: int | None  # grams by which the total is off, None for no total


STYLES = st.builds(
    Style,
    separator=st.sampled_from([",", ";", "\t", "|"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"]),
    mark=st.sampled_from([".", ","]),
    thousands=st.sampled_from(["", "'", "\u00a0", " ", "other"]),
    unit=st.sampled_from(["g", "kg", "oz"]),
    in_cell=st.booleans(),
    quoted=st.booleans(),
    titles=st.integers(0, 2),
    groups=st.booleans(),
    total=st.sampled_from([None, 0, 250]),
)


def written(value: Fraction, style: Style) -> str:
    """A number with at most five decimals in the style."""
    whole, rest = divmod(round(value * 10**5), 10**5)
    other = "." if style.mark == "," else ","
    sign = other if style.thousands == "other" else style.thousands
    text = f"{whole:,}".replace(",", sign)
    decimals = f"{rest:05d}".rstrip("0") if rest else ""
    return f"{text}{style.mark}{decimals}" if decimals else text


def sheet_of(tools: list[Tool], style: Style) -> tuple[bytes, list[Fraction]]:
    """The list in its style, and the grams that it says of each tool, exactly."""
    worth = {"g": Fraction(1), "kg": Fraction(1000), "oz": Fraction(45359237, 16 * 10**5)}
    units = [Fraction(round(t.mass.grams / worth[style.unit] * 10**4), 10**4) for t in tools]
    exact = [number * worth[style.unit] for number in units]
    cell = f" {style.unit}" if style.in_cell else ""
    header = "Weight" if style.in_cell else f"Weight ({style.unit})"
    out = io.StringIO()
    quoting = csv.QUOTE_ALL if style.quoted else csv.QUOTE_MINIMAL
    writer = csv.writer(out, delimiter=style.separator, quoting=quoting)
    for number in range(style.titles):
        writer.writerow([f"Race case, list {number}", "", "", ""])
    writer.writerow(["Where", "Item", "Qty", header])
    for number, (tool, mass) in enumerate(zip(tools, units, strict=True)):
        if style.groups and number % 2 == 0:
            writer.writerow([f"TRAY {'ABC'[number // 2]}", "", "", ""])
        writer.writerow(["", guarded(tool.name), tool.count, written(mass, style) + cell])
    if style.total is not None:
        off = Fraction(style.total) / worth[style.unit]
        total = sum((t.count * u for t, u in zip(tools, units, strict=True)), off)
        writer.writerow(["", "Total", "", written(total, style) + cell])
    return out.getvalue().encode(style.encoding), exact


@settings(deadline=None, max_examples=60)
@given(tool_lists(), STYLES)
def test_no_style_changes_a_mass_in_silence(tools: list[Tool], style: Style) -> None:
    """Each row comes back with the mass that it says, or is asked about; told the mark, all do."""
    # numbers in the names keep them apart, as sizes do
    tools = [replace(tool, name=f"{tool.name} no {n}") for n, tool in enumerate(tools, 1)]
    data, exact = sheet_of(tools, style)
    if style.encoding == "cp1252" and not data.isascii():
        # letters of cp1252 that happen to be UTF-8 are the one thing that no reader can tell
        assume(not is_utf8(data))
    mark = "point" if style.mark == "." else "comma"
    for said in ({}, {"marks": mark}):
        reading = read_as(data, said)
        lines = {line.name: line for line in reading.lines}
        assert reading.refusals == ()
        assert set(lines) == {tidy(tool.name) for tool in tools}
        for tool, grams in zip(tools, exact, strict=True):
            line = lines[tidy(tool.name)]
            if not line.settled:
                assert "mass" not in line.values
                continue
            mass, count = line.values["mass"].what, line.values["count"].what
            assert isinstance(mass, Span)
            assert isinstance(count, Count)
            assert mass.exact == grams
            assert mass.one == int(grams + Fraction(1, 2))
            assert count.number == tool.count
        asked = {question.id for question in reading.questions}
        assert asked <= ({"marks"} if not said else set()) | {
            id for id in asked if id.startswith(("cell Weight", "parent ", "total "))
        }
        if style.total is not None and not asked:
            agrees = any("they agree" in note for note in reading.notes)
            caution = any(note.startswith("CAUTION: a total") for note in reading.notes)
            assert (agrees, caution) == (style.total == 0, style.total != 0)


def is_utf8(data: bytes) -> bool:
    """Whether the bytes are UTF-8 as well."""
    try:
        data.decode()
    except UnicodeDecodeError:
        return False
    return True
