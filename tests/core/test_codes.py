"""Codes on labels: what is written is read back, by Find, Log and the commands."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from smallkit import small_kit, tool, with_home_tool

from toolbox.desk.errors import UnknownName
from toolbox.desk.finding import meant_by
from toolbox.desk.likely import Choice, Sort, found
from toolbox.desk.maps import find_things
from toolbox.desk.naming import compartment_named, tool_named
from toolbox.kit.box import Compartment, Inside, Position
from toolbox.kit.codes import code_of_compartment, code_of_copy, compartment_meant, copy_meant
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Measure, Size, Supply, base_id
from toolbox.kit.work import Job

# The letters of the alphanumeric mode of QR codes: ISO/IEC 18004, table 5 [from memory].
ALPHANUMERIC = set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")

# Few letters in both capitals, so that ids differ in capitals alone and begin alike.
IDS = st.from_regex(r"[aAbB1][aAbB1._-]{0,3}", fullmatch=True)


@st.composite
def kits(draw: st.DrawFn) -> Kit:
    """Tools, supplies, jobs and compartments with short ids that are much alike."""
    things = draw(st.lists(IDS, min_size=1, max_size=6, unique=True))
    cut = draw(st.integers(0, len(things)))
    tools = tuple(tool(id, f"tool {id}", count=draw(st.integers(1, 3))) for id in things[:cut])
    supplies = tuple(Supply(id, f"supply {id}", Measure.PIECES) for id in things[cut:])
    jobs = tuple(Job(id, f"job {id}", ()) for id in draw(st.lists(IDS, max_size=3, unique=True)))
    kit = small_kit()
    places = tuple(
        Compartment(id, f"place {id}", Inside.LOOSE, Size(9, 9, 9), Position(0, 0, 0))
        for id in draw(st.lists(IDS, min_size=1, max_size=3, unique=True))
    )
    box = replace(kit.box, compartments=places)
    return replace(kit, tools=tools, supplies=supplies, jobs=jobs, box=box, readings=())


def copies(kit: Kit) -> list[str]:
    """Every copy by the name that layouts give it."""
    return [c for t in kit.tools for c in t.copies()] + [s.id for s in kit.supplies]


@given(kits())
@settings(max_examples=60, deadline=None)
def test_every_code_is_read_back_and_no_two_are_alike(kit: Kit) -> None:
    """By what reads codes, by Find, by Log and by what commands ask for."""
    codes = {code_of_copy(kit, copy): copy for copy in copies(kit)}
    assert len(codes) == len(copies(kit))
    choices = [
        *(Choice(Sort.BIKE, code, code) for code in codes),
        *(Choice(Sort.JOB, j.id, j.name) for j in kit.jobs),
        *(Choice(Sort.TOOL, t.id, t.name) for t in kit.tools),
        *(Choice(Sort.SUPPLY, s.id, s.name) for s in kit.supplies),
    ]
    for code, copy in codes.items():
        assert copy_meant(kit, code) == copy
        assert [f.copy for f in find_things(kit, Layout("x", ()), code, None)] == [copy]
        meant = meant_by(kit, Layout("x", ()), f" {code}")
        assert [f.copy for f in meant.things] == [copy]
        assert not meant.jobs
        (choice,) = found(choices, code)
        assert choice.id == base_id(copy)
        assert choice.sort in (Sort.TOOL, Sort.SUPPLY)
        if choice.sort is Sort.TOOL:
            assert tool_named(kit, code).id == choice.id
    for place in kit.box.compartments:
        code = code_of_compartment(kit, place.id)
        assert code not in codes
        assert compartment_meant(kit, code) == compartment_named(kit, code).id == place.id


@given(kits())
@settings(max_examples=30, deadline=None)
def test_codes_are_in_the_letters_that_keep_a_symbol_small(kit: Kit) -> None:
    """Capitals, digits and a few signs, but where ids differ in capitals alone or hold a _."""
    ids = [*(t.id for t in kit.tools), *(s.id for s in kit.supplies)]
    for copy in copies(kit):
        base = base_id(copy)
        if "_" not in base and sum(i.casefold() == base.casefold() for i in ids) == 1:
            assert set(code_of_copy(kit, copy)) <= ALPHANUMERIC


def test_copies_and_what_is_no_copy() -> None:
    """Copy 1 has no number in layouts; there is no fourth of two, and no copy 0."""
    kit = small_kit()
    assert code_of_copy(kit, "lever") == "LEVER/1"
    assert code_of_copy(kit, "lever/2") == "LEVER/2"
    assert copy_meant(kit, "lever/1") == copy_meant(kit, "LEVER") == "lever"
    for wrong in ("LEVER/3", "LEVER/0", "LEVER/02", "LEVER/x", "LEVER/", "/1", "", "NOBODY/1"):
        assert copy_meant(kit, wrong) is None, wrong
    with pytest.raises(KeyError):
        code_of_copy(kit, "nobody")


def test_a_word_typed_by_hand_goes_on_meaning_names() -> None:
    """The id of a compartment alone is none of its codes; things are found by their names."""
    kit = small_kit()
    layout = Layout("today", (Spot("key4", "tray"), Spot("lever/2", "tray"), Spot("key5", "well")))
    assert compartment_meant(kit, "tray") is None
    with pytest.raises(UnknownName):
        find_things(kit, layout, "tray", None)
    assert [f.copy for f in find_things(kit, layout, "in:tray", None)] == ["key4", "lever/2"]
    assert [f.copy for f in find_things(kit, layout, "lever", None)] == ["lever", "lever/2"]
    assert [f.copy for f in find_things(kit, layout, "LEVER/1", None)] == ["lever"]


def test_what_stays_at_home_and_an_empty_compartment() -> None:
    """A label on what does not travel says so; in an empty compartment lies nothing."""
    kit = with_home_tool(small_kit())
    (vice,) = find_things(kit, Layout("x", ()), "VICE/1", None)
    assert vice.compartment is None
    assert vice.remark
    assert find_things(kit, Layout("x", (Spot("vice", "well"),)), "IN:WELL", None) == ()
