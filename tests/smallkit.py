"""A kit small enough to work out by hand: one lid, two compartments, three tools, two jobs."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from toolbox.kit.box import Box, Compartment, Inside, Opening, Position, Way
from toolbox.kit.kit import Kit, Readings
from toolbox.kit.things import Known, Mass, Measure, Size, Supply, Tool
from toolbox.kit.work import Draw, Job, Pick, Step


def tool(tool_id: str, name: str, length: int = 1000, count: int = 1) -> Tool:
    """A tool of 100 g, 30 mm wide and 10 mm high."""
    return Tool(tool_id, name, Mass(100, Known.GUESS), Size(length, 300, 100), count=count)


def small_kit() -> Kit:
    """Stopwatch readings give round figures: lid 4 s, tray compartment 1 s, well 3 s a pick."""
    box = Box(
        name="Test box",
        size=Size(4000, 3000, 2000),
        tare_g=2000,
        stands_at=0,
        openings=(Opening("lid", "the lid", Way.LID, 4000),),
        compartments=(
            Compartment(
                "tray", "tray", Inside.LAID, Size(2500, 700, 500), Position(0, 0, 1200), ()
            ),
            Compartment(
                "well", "well", Inside.LOOSE, Size(3000, 2000, 1000), Position(0, 0, 0), ("lid",)
            ),
        ),
    )
    readings = (
        Readings("lid", (4000,)),
        Readings("tray", (1000,)),
        Readings("well", (3000,)),
    )
    jobs = (
        Job(
            "bleed",
            "Brake bleed",
            (
                Step(1, "open", (Pick("key4"), Pick("key5", 2)), ()),
                Step(2, "fill", (Pick("key4"),), (Draw("fluid", 30),)),
            ),
            per_day=Fraction(2),
        ),
        Job("flat", "Flat tyre", (Step(1, "off", (Pick("lever"),)),), urgent=True),
    )
    tools = (
        tool("key4", "Hex key 4 mm"),
        tool("key5", "Hex key 5 mm"),
        tool("lever", "Tyre lever", count=2),
    )
    supplies = (Supply("fluid", "Brake fluid", Measure.MILLILITRES, stock=250),)
    return Kit("Test kit", box, tools, supplies, jobs, readings=readings)


def with_home_tool(kit: Kit) -> Kit:
    """The same kit with a tool that is owned but does not travel."""
    return replace(kit, tools=(*kit.tools, replace(tool("vice", "Vice"), carried=False)))
