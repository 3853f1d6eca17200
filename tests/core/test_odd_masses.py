"""Masses out of all proportion, by hand: lead has 11.34 g/cm³ (handbook, from memory)."""

from __future__ import annotations

import pytest

from toolbox.desk.edit import Draft, new_entry
from toolbox.desk.edit_keys import sort_called
from toolbox.desk.odd_masses import odd_in_draft, odd_masses
from toolbox.files.forms import demo_folder
from toolbox.files.reading import read_kit
from toolbox.kit.box import Box
from toolbox.kit.kit import Kit
from toolbox.kit.things import Known, Mass, Measure, Size, Supply, Tool

HAND = Size(1000, 500, 200)  # 100 by 50 by 20 mm: 100 cm³, in lead 1134 g, in foam 1 g


def a_kit(*tools: Tool, supplies: tuple[Supply, ...] = ()) -> Kit:
    """A box of 5 kg with a weight of 1 kg of no odd size in it, and these."""
    ballast = Tool("B", "Ballast", Mass(1000, Known.GUESS), Size(1000, 1000, 1000))
    return Kit(
        "Kit", Box("Box", Size(4000, 3000, 2000), 5000, 0, (), ()), (ballast, *tools), supplies
    )


def tool(grams: int, size: Size = HAND, **more: bool) -> Tool:
    """A hammer of so many grams."""
    return Tool("H", "Hammer", Mass(grams, Known.GUESS), size, **more)


@pytest.mark.parametrize(
    ("grams", "said"),
    [
        (1, ""),
        (358, ""),
        (1134, ""),
        (1135, "1.14 kg is more than a block of lead of its size"),
        (45_000, "45.00 kg is more than all the rest of the packed box (6.00 kg)"),
    ],
)
def test_a_hand_tool_by_its_size_and_by_the_box(grams: int, said: str) -> None:
    """100 cm³, and 5 kg of box with 1 kg in it."""
    expected = (f"Hammer: {said}",) if said else ()
    assert odd_masses(a_kit(tool(grams))) == expected


def test_what_is_lighter_than_foam_and_what_stays_at_home() -> None:
    """1000 cm³ of foam weigh 10 g; a stand that stays at home may be heavier than the box."""
    large = Size(2000, 1000, 500)
    assert odd_masses(a_kit(tool(10, large))) == ()
    assert odd_masses(a_kit(tool(9, large))) == (
        "Hammer: 9 g is less than a block of foam of its size",
    )
    stand = Size(10_000, 3000, 3000)
    assert odd_masses(a_kit(tool(9000, stand, carried=False))) == ()
    assert len(odd_masses(a_kit(tool(9000, stand)))) == 1


def test_a_pack_of_a_supply_is_held_against_the_box_too() -> None:
    """Of a supply without a size only the box tells; of one that stays at home nothing does."""
    pack = Supply("S", "Grease", Measure.GRAMS, Mass(45_000, Known.GUESS), carried=True)
    assert odd_masses(a_kit(supplies=(pack,)))[0].startswith("Grease: 45.00 kg is more than")
    home = Supply("S", "Grease", Measure.GRAMS, Mass(45_000, Known.GUESS))
    assert odd_masses(a_kit(supplies=(home,))) == ()


def test_no_kit_that_comes_along_has_any() -> None:
    """The demo's real things are none of them odd."""
    assert odd_masses(read_kit(demo_folder())) == ()


def draft_of(sort: str, id: str = "", **lines: str) -> Draft:
    """An entry as typed; of an old one as its table has it."""
    table = {"id": id, "name": "Hammer", "mass": "45 kg"} if id else {}
    draft = Draft(sort_called(sort), id, table) if id else new_entry(sort_called(sort))
    for key, text in lines.items():
        draft = draft.typed(key, text)
    return draft


def test_a_draft_is_asked_about_only_where_mass_or_size_was_typed() -> None:
    """What stands in the file was asked about before; what cannot be read is told elsewhere."""
    kit = a_kit(tool(45_000))
    assert odd_in_draft(kit, draft_of("tool", "H", note="bent")) == ""
    assert odd_in_draft(kit, draft_of("tool", "H", mass="46 kg")).startswith("Hammer: 46.00 kg")
    assert odd_in_draft(kit, draft_of("tool", name="Anvil", mass="7 kg")) == ""  # H weighs 45
    light = a_kit()
    anvil = draft_of("tool", name="Anvil", mass="7 kg")
    assert odd_in_draft(light, anvil) == (
        "Anvil: 7.00 kg is more than all the rest of the packed box (6.00 kg)"
    )
    assert odd_in_draft(light, anvil.typed("carried", "no")) == ""
    sides = {"length": "10 cm", "width": "5 cm", "height": "2 cm"}
    assert "lead" in odd_in_draft(light, draft_of("tool", mass="1.2 kg", **sides))
    assert odd_in_draft(light, draft_of("tool", mass="1.2", **sides)) == ""
    assert odd_in_draft(light, draft_of("supply", mass="7 kg")) == ""
    assert odd_in_draft(light, draft_of("supply", mass="7 kg", carried="yes"))
    assert odd_in_draft(light, draft_of("job", name="Bleed")) == ""
