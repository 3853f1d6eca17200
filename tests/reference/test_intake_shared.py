"""The sample catalogue and its jobs are read whole.

Counts stated with the sample lists themselves: 253 tools, 74 consumables, 128 items in
the flight case with 17,565 g together, the whole catalogue 91,694 g; 61 jobs in 159
steps, step minutes adding up to job minutes.
"""

from __future__ import annotations

import csv
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from intakes import held, known

from toolbox.files.reading import read_kit
from toolbox.files.writing import write_kit
from toolbox.intake.difference import Difference, State
from toolbox.intake.read import read as read_list
from toolbox.kit.box import Box
from toolbox.kit.kit import Kit
from toolbox.kit.things import Size

TRADE = Path(__file__).parents[2].parent / "shared" / "trade"
pytestmark = pytest.mark.skipif(not TRADE.is_dir(), reason="the sample lists are not here")

EMPTY = Kit("Cross squad", Box("Case", Size(6900, 4400, 2800), 6500, 7000, (), ()))


def read(name: str, kit: Kit) -> Difference:
    """The draft of one of the sample lists."""
    return held((TRADE / name).read_bytes(), kit)


@pytest.fixture(scope="module")
def catalogue() -> Difference:
    """The catalogue read into an empty kit."""
    return read("catalogue.csv", EMPTY)


@pytest.fixture(scope="module")
def stocked(catalogue: Difference) -> Kit:
    """The kit after the catalogue was stored."""
    return replace(EMPTY, tools=catalogue.tools, supplies=catalogue.supplies)


@pytest.fixture(scope="module")
def jobs(stocked: Kit) -> Difference:
    """The job list read against the stocked kit."""
    return read("jobs.csv", stocked)


def rows(name: str) -> list[dict[str, str]]:
    """The sample's rows by a plain reader."""
    with (TRADE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_catalogue_is_read_whole(catalogue: Difference) -> None:
    """Counts and masses are those stated with the sample; nothing is refused."""
    assert not catalogue.refusals
    assert (len(catalogue.tools), len(catalogue.supplies)) == (253, 74)
    things = (*catalogue.tools, *catalogue.supplies)
    assert sum(thing.mass.grams for thing in things if thing.mass) == 91_694
    carried = [thing for thing in things if thing.carried]
    assert len(carried) == 128
    assert sum(thing.mass.grams for thing in carried if thing.mass) == 17_565


def test_each_row_of_the_catalogue_keeps_its_values(catalogue: Difference) -> None:
    """Name, mass, sides, category and hazard of every row are those in its cells."""
    things = {thing.id: thing for thing in (*catalogue.tools, *catalogue.supplies)}
    for cells in rows("catalogue.csv"):
        thing = things[cells["item_id"]]
        assert thing.mass is not None
        assert thing.size is not None
        assert thing.name == cells["name"]
        assert thing.mass.grams == int(cells["mass_g"])
        sides = (cells["length_mm"], cells["width_mm"], cells["height_mm"])
        assert thing.size == tuple(10 * int(side) for side in sides)
        assert thing.category == cells["trade_category"]
        assert (thing.goods.kind if thing.goods else "none") == cells["hazard_class"]


def test_columns_of_the_catalogue_that_are_left_out_are_said() -> None:
    """Uses, jobs and air notes are left out, each with its reason."""
    columns = read_list((TRADE / "catalogue.csv").read_bytes(), "catalogue.csv").columns
    out = {column.header: column.how for column in columns if column.meaning == "left out"}
    assert set(out) == {"air_note", "uses_per_workshop_day", "used_with_jobs"}
    assert all(how != "not a header known here" for how in out.values())


def test_the_jobs_are_read_whole(jobs: Difference) -> None:
    """61 jobs in 159 steps, nothing refused, no difference in minutes."""
    assert not jobs.refusals
    assert len(jobs.jobs) == 61
    assert sum(len(job.steps) for job in jobs.jobs) == 159
    assert not any("minutes together" in note for note in jobs.notes)


def test_each_step_keeps_its_tools_and_amounts(jobs: Difference, stocked: Kit) -> None:
    """Every tool named in a step is picked there; ml of a supply in ml are those in the cell."""
    names = {thing.name: thing.id for thing in (*stocked.tools, *stocked.supplies)}
    steps = {(job.id, step.number): step for job in jobs.jobs for step in job.steps}
    for cells in rows("jobs.csv"):
        step = steps[cells["job_id"], int(cells["step_no"])]
        named = [names[part.strip()] for part in cells["tools"].split("|") if part.strip()]
        assert [pick.tool for pick in step.picks][: len(named)] == named
        draws = dict(step.draws)
        for part in filter(None, map(str.strip, cells["consumables_with_amounts"].split("|"))):
            name, _, amount = part.rpartition(": ")
            number, unit = amount.split()
            if name.endswith("ml") and unit == "ml" and "." not in number:
                assert draws[names[name]] == int(number)


def test_times_per_day_are_exact(jobs: Difference) -> None:
    """0.15 a day is 3/20, urgent jobs are those marked so."""
    first = {cells["job_id"]: cells for cells in reversed(rows("jobs.csv"))}
    for job in jobs.jobs:
        assert job.per_day == Fraction(first[job.id]["typical_times_per_workshop_day"])
        assert job.urgent == (first[job.id]["urgent_between_runs"] == "yes")


def test_every_draw_of_the_jobs_is_kept_or_told(jobs: Difference, stocked: Kit) -> None:
    """Each named consumable is a draw, a pick of a tool, or a length in the job's note."""
    tools = {tool.name for tool in stocked.tools}
    kept = Counter(job.id for job in jobs.jobs for step in job.steps for _ in step.draws)
    notes = {job.id: job.note for job in jobs.jobs}
    for cells in rows("jobs.csv"):
        for part in filter(None, map(str.strip, cells["consumables_with_amounts"].split("|"))):
            name, _, amount = part.rpartition(": ")
            if name in tools:
                continue
            if amount.endswith(" m"):
                assert f"{amount} of {name}" in notes[cells["job_id"]]
            else:
                kept[cells["job_id"]] -= 1
    assert set(kept.values()) <= {0}


def test_reading_both_again_changes_nothing(jobs: Difference, stocked: Kit) -> None:
    """With everything in the kit, each entry is found there and none differs."""
    kit = replace(stocked, jobs=jobs.jobs)
    for name, count in (("catalogue.csv", 327), ("jobs.csv", 61)):
        again = read(name, kit)
        assert (again.tools, again.supplies, again.jobs) == ((), (), ())
        assert len(known(again)) == count
        assert again.of(State.CHANGED) == ()
        assert again.missing == ()


def test_a_kit_folder_keeps_all_that_was_read(
    tmp_path: Path, jobs: Difference, stocked: Kit
) -> None:
    """Written to a kit folder and read back, every tool, supply and job is the same."""
    kit = replace(stocked, jobs=jobs.jobs)
    write_kit(tmp_path / "kit", kit)
    back = read_kit(tmp_path / "kit")
    assert (back.tools, back.supplies, back.jobs) == (kit.tools, kit.supplies, kit.jobs)
