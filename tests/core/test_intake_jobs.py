"""Job lists: steps in order, tools and supplies found in the kit, amounts in their measure."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from intakes import held

from toolbox.intake.difference import Difference, State
from toolbox.intake.draws import Drawn, drawn
from toolbox.intake.reading import ListKind
from toolbox.kit.box import Box
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import QuantityError
from toolbox.kit.things import Known, Mass, Measure, Size, Supply, Tool
from toolbox.kit.work import Draw, Job, Pick, Step


def tool(entry: str, name: str) -> Tool:
    """A small tool."""
    return Tool(entry, name, Mass(30, Known.GUESS), Size(600, 400, 120))


KIT = Kit(
    "Cross squad",
    Box("Case", Size(6900, 4400, 2800), 6500, 7000, (), ()),
    tools=(
        tool("T1", "Hex key 5 mm"),
        tool("T2", "Bleed kit (two syringes, hoses)"),
        tool("T3", "Rim tape"),
        tool("T4", "Tyre lever"),
        tool("T5", "Tyre lever"),
        tool("T6", "Torque key x 2"),
    ),
    supplies=(
        Supply("S1", "Brake fluid 250 ml", Measure.MILLILITRES, pack=250),
        Supply("S2", "Shop rags pack of 10", Measure.PIECES, pack=10),
        Supply("S3", "Grease 100 g", Measure.GRAMS, pack=100),
        Supply("S4", "Nitrile gloves 20 pairs", Measure.PIECES, pack=40),
        Supply("S5", "Brake pads pair", Measure.PIECES),
        Supply("S6", "Outer housing", Measure.PIECES),
        Supply("S7", "Loose oil", Measure.MILLILITRES),
        Supply("S8", "Bolt set of 12", Measure.PIECES, pack=12),
    ),
)
HEADER = "job_id,job,discipline,urgent,times per day,step_no,step,step_minutes,tools,consumables"


def read(*rows: str, header: str = HEADER, kit: Kit = KIT) -> Difference:
    """The draft of rows below the usual header."""
    return held("\n".join((header, *rows)), kit)


def test_rows_become_jobs_with_ordered_steps() -> None:
    """A job's rows are gathered, its steps ordered by number, its cells kept exactly."""
    draft = read(
        "J1,Bleed,cyclo-cross,yes,1.5,2,Push fluid,10,T2,Brake fluid 250 ml: 30 ml",
        "J2,Look over,all,no,0.15,1,Spin wheels,,,",
        'J1,Bleed,cyclo-cross,yes,1.5,1,Open port,4,"hex KEY 5mm | '
        'bleed kit (two syringes, hoses)",S1: 5 ml | Shop rags pack of 10: 2 pc',
    )
    assert not draft.refusals
    assert draft.kind is ListKind.JOBS
    assert draft.jobs == (
        Job(
            "J1",
            "Bleed",
            (
                Step(1, "Open port", (Pick("T1"), Pick("T2")), (Draw("S1", 5), Draw("S2", 2)), 4),
                Step(2, "Push fluid", (Pick("T2"),), (Draw("S1", 30),), 10),
            ),
            "cyclo-cross",
            True,
            Fraction(3, 2),
        ),
        Job("J2", "Look over", (Step(1, "Spin wheels"),), "all", False, Fraction(3, 20)),
    )


def row(step: str = "Work", tools: str = "", supplies: str = "", number: str = "1") -> str:
    """A row of job J1 with these cells."""
    return f'J1,Bleed,all,no,1,{number},{step},4,"{tools}","{supplies}"'


def picks(tools: str) -> tuple[Pick, ...]:
    """The picks of a step with this cell; nothing refused."""
    draft = read(row(tools=tools))
    assert not draft.refusals
    return draft.jobs[0].steps[0].picks


def test_tools_taken_more_than_once() -> None:
    """x2 and a name written twice count the picks; a name that ends in x 2 stays a name."""
    assert picks("T1 x2 | T3") == (Pick("T1", 2), Pick("T3"))
    assert picks("Hex key 5 mm ×3 | T1") == (Pick("T1", 4),)
    assert picks("Torque key x 2") == (Pick("T6"),)
    assert picks("T1; T3") == (Pick("T1"), Pick("T3"))


def test_a_tool_among_the_supplies_is_a_pick_and_said() -> None:
    """What the kit holds as a tool is taken up, not used up."""
    draft = read(row(tools="T1", supplies="Rim tape: 2.2 m | Hex key 5 mm: 1 pc"))
    assert draft.jobs[0].steps[0] == Step(1, "Work", (Pick("T1"), Pick("T3")), (), 4)
    assert any("Rim tape" in note and "J1 step 1" in note for note in draft.notes)


@pytest.mark.parametrize(
    ("tools", "supplies", "cell", "word"),
    [
        ("Hex kee 5 mm", "", "Hex kee 5 mm", 'did you mean "Hex key 5 mm"'),
        ("Zzz", "", "Zzz", "add it to the kit"),
        ("Tyre lever", "", "Tyre lever", "write T4 or T5"),
        ("Shop rags pack of 10", "", "Shop rags pack of 10", "among the supplies"),
        ("", "Brake fluid: 3 ml", "Brake fluid", 'did you mean "Brake fluid 250 ml"'),
        ("", "Brake fluid 250 ml", "Brake fluid 250 ml", "Brake fluid 250 ml: 1 pc"),
        ("", "S1: ", "Brake fluid 250 ml:", "write it like"),
        ("", "S1: 0 ml", "Brake fluid 250 ml: 0 ml", "leave it out"),
        ("", "S1: 5", "Brake fluid 250 ml: 5", "write it like"),
        ("", "S1: 3-5 ml", "Brake fluid 250 ml: 3-5 ml", "one amount"),
        ("", "S1: ~5 ml", "Brake fluid 250 ml: ~5 ml", "one amount"),
        ("", "S2: 5 g", "Shop rags pack of 10: 5 g", "2 pc"),
        ("", "S7: 1 pc", "Loose oil: 1 pc", "pack size"),
        ("", "S6: 1 pack", "Outer housing: 1 pack", "pack size"),
    ],
)
def test_unclear_names_and_amounts_are_refused(
    tools: str, supplies: str, cell: str, word: str
) -> None:
    """The refusal shows the part of the cell that is meant, and the cure."""
    draft = read(row(tools=tools, supplies=supplies))
    (refusal,) = draft.refusals
    assert (refusal.line, refusal.cell) == (2, cell)
    assert word in refusal.cure
    assert not draft.jobs


@pytest.mark.parametrize(
    ("supply", "text", "amount"),
    [
        ("S1", "30 ml", 30),
        ("S1", "0.3 L", 300),
        ("S1", "0.3 ml", 1),
        ("S1", "2.5 ml", 3),
        ("S1", "2.4 ml", 2),
        ("S1", "1 fl oz", 30),  # 29.57 ml, NIST SP 811
        ("S1", "1 pc", 250),
        ("S1", "1/2 bottle", 125),
        ("S1", "2 g", 2),
        ("S3", "1 oz", 28),  # 28.35 g, 1 lb = 453.59237 g
        ("S3", "3 ml", 3),
        ("S2", "2 pc", 2),
        ("S2", "2", 2),
        ("S2", "1 pack", 10),
        ("S2", "0.5 pc", 1),
        ("S4", "1 pair", 2),
        ("S5", "1 pair", 1),
        ("S5", "1 pc", 1),
        ("S6", "1 set", 1),
        ("S6", "3 strips", 3),
        ("S8", "1 set", 12),
        ("S6", "0.5 m", None),
    ],
)
def test_amounts_in_the_supplys_own_measure(supply: str, text: str, amount: int | None) -> None:
    """Whole amounts in ml, g or pieces; a length off a roll is not counted."""
    assert drawn(KIT.supply(supply), text).amount == amount


def test_what_was_taken_for_something_is_said() -> None:
    """Plain amounts say nothing; pairs, sets, packs, roundings and lengths are told."""
    assert drawn(KIT.supply("S1"), "30 ml") == Drawn(30)
    for supply, text in (
        ("S1", "0.3 ml"),
        ("S1", "2 g"),
        ("S1", "1 pc"),
        ("S4", "1 pair"),
        ("S6", "1 set"),
        ("S6", "0.5 m"),
    ):
        assert KIT.supply(supply).name in drawn(KIT.supply(supply), text).note


def test_gloves_counted_in_pairs_by_the_kit_draw_pairs() -> None:
    """A kit that says 20 to the pack of 20 pairs counts pairs."""
    gloves = replace(KIT.supply("S4"), pack=20)
    assert drawn(gloves, "3 pairs").amount == 3


def test_lengths_are_refused_nowhere_but_kept_in_the_note() -> None:
    """0.5 m off a roll cannot be counted: the job's note keeps the words."""
    draft = read(row(supplies="Outer housing: 0.5 m"))
    assert draft.jobs[0].steps[0].draws == ()
    assert draft.jobs[0].note == "Step 1 also takes 0.5 m of Outer housing."


def test_a_word_that_is_no_amount_is_an_error_of_the_text() -> None:
    """Two amounts, or a unit of nothing that can be drawn, are refused."""
    for text in ("1 pc 2 pc", "5 Nm", "some", ""):
        with pytest.raises(QuantityError):
            drawn(KIT.supply("S1"), text)


def test_draws_of_one_supply_in_one_step_add_up() -> None:
    """The same supply twice in one cell is one draw of the sum."""
    draft = read(row(supplies="S1: 5 ml | Brake fluid 250 ml: 7 ml"))
    assert draft.jobs[0].steps[0].draws == (Draw("S1", 12),)


@pytest.mark.parametrize(
    "rows",
    [
        (row(number="1"), row(number="1")),
        (row(number="1"), row(number="3")),
        (row(number="2"),),
        (row(number="x"),),
        (row(number="0"),),
        (row(step=""),),
        (row(), row(number="2").replace("all", "road")),
        (row(), row(number="2").replace("Bleed", "Bled")),
        (row(), row(number="2").replace(",no,", ",yes,")),
        (",,all,no,1,1,Work,4,,",),
        (row().replace("J1", "J 1"),),
        (row().replace(",no,1,", ",no,twice,"),),
        (row().replace(",no,1,", ",no,-1,"),),
        (row().replace("Work,4", "Work,4-5"),),
        (row().replace(",no,", ",maybe,"),),
    ],
)
def test_a_job_that_is_not_whole_is_refused_whole(rows: tuple[str, ...]) -> None:
    """Steps must be numbered 1, 2, 3; what the rows say of their job must agree."""
    draft = read(*rows)
    assert len(draft.refusals) == 1, [r.sentence() for r in draft.refusals]
    assert not draft.jobs


def test_half_minutes_are_rounded_up_and_said() -> None:
    """Steps are kept in whole minutes; the job's own minutes are compared exactly."""
    header = HEADER.replace("urgent,", "urgent,job_minutes,")
    first = row().replace(",no,1,", ",no,4,1,").replace("Work,4", "Work,1.5")
    second = row(number="2").replace(",no,1,", ",no,4,1,").replace("Work,4", "Work,2.5")
    draft = read(first, second, header=header)
    assert [step.minutes for step in draft.jobs[0].steps] == [2, 3]
    assert any("1.5 min is kept as 2 min" in note for note in draft.notes)
    assert not any("together" in note for note in draft.notes)
    wrong = read(
        first.replace(",no,4,", ",no,5,"), second.replace(",no,4,", ",no,5,"), header=header
    )
    assert any("take 4 minutes together, the list says 5" in note for note in wrong.notes)


def test_without_ids_and_numbers_names_and_order_serve() -> None:
    """A list with job and step alone: ids from names, steps by their order."""
    draft = read(
        "Chain swap,Off\nPad swap,Out\nChain swap,On", header="job,step", kit=KIT
    )  # fmt: skip
    assert [job.id for job in draft.jobs] == ["chain-swap", "pad-swap"]
    assert [(s.number, s.text) for s in draft.jobs[0].steps] == [(1, "Off"), (2, "On")]
    assert draft.jobs[0].per_day is None


def test_the_same_jobs_twice_change_nothing_and_a_differing_one_is_a_change() -> None:
    """Jobs that the kit has are named as such; where they differ, both sides are told."""
    text = (row(tools="T1 | T3", supplies="S1: 5 ml"),)
    first = read(*text)
    kit = replace(KIT, jobs=first.jobs)
    again = read(*text, kit=kit)
    assert [(e.id, e.state) for e in again.entries] == [("J1", State.SAME)]
    (changed,) = read(row(tools="T1", supplies="S1: 5 ml"), kit=kit).entries
    (change,) = changed.changes
    assert change.key == "steps"
    assert "T3" in change.old
    assert "T3" not in change.new


def test_a_number_with_an_open_mark_is_asked() -> None:
    """1,150 times a day is 1.15 or 1150: nothing is read before the answer."""
    draft = read(row().replace(",no,1,", ',no,"1,150",'))
    assert [q.id for q in draft.questions] == ["marks"]
    assert not draft.jobs
