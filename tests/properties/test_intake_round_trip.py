"""Lists written in many styles are read back as they were, and no bytes break the reader."""

from __future__ import annotations

import csv
import io
import random

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from intakes import held

from toolbox.files.csv_guard import guarded
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


@settings(deadline=None, max_examples=150)
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


@settings(deadline=None, max_examples=300)
@given(
    st.one_of(
        st.binary(max_size=200),
        st.text("id,name;mass_g\t\n\r\"'0123.5 kgjobstepé", max_size=200).map(str.encode),
        st.text("0123456789.,;\"' -x½gm\n", max_size=120).map(
            lambda cells: f"name,mass_g,length_mm,width_mm,height_mm,kind\n{cells}".encode()
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
