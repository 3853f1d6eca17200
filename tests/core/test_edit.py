"""One entry of a kit edited line by line: read as typed, checked whole, written in place."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kitfiles import FILES, bytes_of, spoil, write_files
from smallkit import small_kit

from toolbox.desk.diary import When, pick_tools
from toolbox.desk.edit import (
    Draft,
    Faulty,
    Overtaken,
    Written,
    differences,
    faults_so_far,
    new_entry,
    on_top_of,
    open_entry,
    write_draft,
)
from toolbox.desk.edit_browse import described, items, thing
from toolbox.desk.edit_keys import (
    COMPARTMENTS,
    JOBS,
    SORTS,
    SUPPLIES,
    TOOLS,
    Form,
    Sort,
    step_keys,
)
from toolbox.desk.edit_retire import named_in_kit, retire
from toolbox.desk.edit_steps import Turn, step_at, turned
from toolbox.desk.edit_table import next_id
from toolbox.desk.edit_values import read, shown
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder, open_kit
from toolbox.desk.setup import place_tools
from toolbox.files.pages import SORTS as FILE_SORTS
from toolbox.files.problems import WriteRefused
from toolbox.files.retelling import NotKept, retold
from toolbox.files.schema import Table, inner_tables
from toolbox.kit.things import Known

AT = datetime(2026, 11, 19, 10, 0, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path) -> KitFolder:
    """A kit with something of every sort in it."""
    return open_kit(write_files(tmp_path))


def typed(draft: Draft, **lines: str) -> Draft:
    """The draft with these lines typed over; "__" in a key stands for a dot."""
    for key, text in lines.items():
        draft = draft.typed(key.replace("__", "."), text)
    return draft


def faults(folder: KitFolder, draft: Draft) -> dict[str, str]:
    """What is wrong with a draft, by key; nothing may have been written."""
    before = bytes_of(folder.path)
    outcome = write_draft(folder, draft)
    assert isinstance(outcome, Faulty), outcome
    assert bytes_of(folder.path) == before
    return {fault.key: fault.words for fault in outcome.faults}


def written(folder: KitFolder, draft: Draft) -> Written:
    """What was written, into a kit that can be read again."""
    outcome = write_draft(folder, draft)
    assert isinstance(outcome, Written), outcome
    open_kit(folder.path)
    return outcome


# ---- which keys there are


def model_of(sort: Sort) -> type[Table]:
    """The model that reads the sort's entries."""
    return next(s.model for s in FILE_SORTS if (s.file, s.key) == (sort.file, sort.word))


def keys_of(model: type[Table]) -> dict[str, bool]:
    """Each key of a model with inner tables as dotted keys, and whether it may not be missing."""
    found = {}
    for key, field in model.model_fields.items():
        inner = list(inner_tables(field.annotation))
        if inner and key != "parts":
            found.update({f"{key}.{k}": False for k in keys_of(inner[0])})
        else:
            found[key] = field.is_required()
    return found


@pytest.mark.parametrize("sort", SORTS, ids=lambda sort: sort.word)
def test_every_key_of_the_file_has_a_line(sort: Sort) -> None:
    """The lines of each sort are the keys that its model reads; those needed say so."""
    model = keys_of(model_of(sort))
    steps = {key: False for key in model if key.startswith("step.")}
    assert {key.key for key in sort.keys} == model.keys() - steps.keys()
    # An id that is not given is made.
    needed = {key for key, asked in model.items() if asked} - {"id"}
    assert {key.key for key in sort.keys if key.needed} == needed
    if sort is JOBS:
        assert {key.key.replace("step.1.", "step.") for key in step_keys(1)} == steps.keys()


@pytest.mark.parametrize("sort", SORTS, ids=lambda sort: sort.word)
def test_what_is_opened_and_written_unchanged_touches_nothing(
    folder: KitFolder, sort: Sort
) -> None:
    """Each entry opens with its values on its lines; no change is no write."""
    for item in items(folder.kit, sort):
        before = bytes_of(folder.path)
        draft = open_entry(folder, sort, item.id)
        assert draft.name == item.name
        for line in draft.lines():
            draft = draft.typed(line.key.key, line.text)
        assert draft.changes == {}
        assert "nothing was changed" in written(folder, draft).words
        assert bytes_of(folder.path) == before


# ---- writing


def test_one_line_changes_and_no_other(folder: KitFolder) -> None:
    """A quantity stands in the file as it was typed; all else stays byte for byte."""
    path = folder.path / "tools.toml"
    before = path.read_text()
    outcome = written(folder, typed(open_entry(folder, TOOLS, "T2"), mass="15 oz"))
    assert outcome.words == "Torque wrench: mass written."
    assert path.read_text() == before.replace('"420 g"', '"15 oz"')
    # 1 oz is 28.349523125 g exactly (NIST Handbook 44, appendix C): 425.24 g.
    assert open_kit(folder.path).kit.tool("T2").mass.grams == 425


def test_lines_come_and_go_where_they_belong(folder: KitFolder) -> None:
    """New keys stand behind the entry's own, before its tables; emptied ones and tables go."""
    draft = open_entry(folder, TOOLS, "T2")
    draft = typed(draft, note="lent ¶to the B team", marks="fragile, urgent", origin="")
    draft = typed(draft, instrument__last_check="", instrument__every_months="")
    written(folder, typed(draft, goods__kind="none", goods__blade="110 mm"))
    tool = open_kit(folder.path).kit.tool("T2")
    assert tool.note == "lent \nto the B team"
    assert tool.origin == ""
    assert tool.instrument is None
    assert tool.goods is not None
    text = (folder.path / "tools.toml").read_text()
    section = text[text.index('id = "T2"') : text.index('id = "T3"')]
    assert section.index("note") < section.index("[tool.goods]")
    assert "instrument" not in section
    assert "# the small one" in text


BANNERS = """# all of them

# --- first ---
[[tool]]
id = "A" # the name for it
name = "One"
mass = "1 g"     # kitchen scale
length = "10 mm"
width = "10 mm"
height = "10 mm"

# --- second ---
# what a day takes
[[tool]]
id = "B"
name = "Two"
mass = "2 g"
length = "10 mm"
width = "10 mm"
height = "10 mm"
marks = [
  "urgent", # between runs
]
[tool.gauge]
purpose = "x"
dimension = "y"
nominal = "2 mm"
lowest = "1 mm"
highest = "3 mm"

# --- the end ---
"""


def bannered(tmp_path: Path) -> KitFolder:
    """A kit whose tools stand under comments as headings."""
    texts = {k: v for k, v in FILES.items() if k in ("kit.toml", "box.toml")}
    return open_kit(write_files(tmp_path, {**texts, "tools.toml": BANNERS}))


def test_comments_over_the_next_entry_stay_over_it(tmp_path: Path) -> None:
    """A key added to the last entry of a group does not slip under the next heading."""
    folder = bannered(tmp_path)
    draft = typed(open_entry(folder, TOOLS, "A"), category="small", mass="3 g", gauge__purpose="p")
    draft = typed(draft, gauge__dimension="d", gauge__nominal="2 mm")
    written(folder, typed(draft, gauge__lowest="1 mm", gauge__highest="3 mm"))
    table = """category = "small"

[tool.gauge]
purpose = "p"
dimension = "d"
nominal = "2 mm"
lowest = "1 mm"
highest = "3 mm"
"""
    text = BANNERS.replace('mass = "1 g"     #', 'mass = "3 g"     #')
    edge = 'height = "10 mm"\n\n# --- second'
    assert (tmp_path / "tools.toml").read_text() == text.replace(
        edge, f'height = "10 mm"\n{table}\n# --- second'
    )


def test_taking_an_entry_out_leaves_the_comments_around_it(tmp_path: Path) -> None:
    """The heading over the next group is no part of the entry before it."""
    folder = bannered(tmp_path)
    for id in ("A", "B"):
        first = open_entry(folder, TOOLS, id)
        assert isinstance(retire(folder, first), Written)  # at home now
        folder = open_kit(tmp_path)
        assert isinstance(retire(folder, open_entry(folder, TOOLS, id)), Written)
        folder = open_kit(tmp_path)
        assert thing(folder.kit, TOOLS, id) is None
    comments = [line for line in BANNERS.splitlines() if line.startswith("#")]
    left = (tmp_path / "tools.toml").read_text()
    assert [line for line in left.splitlines() if line.strip()] == comments


def test_a_comment_inside_a_value_is_not_lost(tmp_path: Path) -> None:
    """A list over several lines with a comment in it is left to be edited by hand."""
    folder = bannered(tmp_path)
    before = bytes_of(tmp_path)
    with pytest.raises(WriteRefused) as refusal:
        write_draft(folder, typed(open_entry(folder, TOOLS, "B"), marks="fragile"))
    assert "by hand" in str(refusal.value)
    assert bytes_of(tmp_path) == before


def test_steps_of_a_job_are_edited_added_and_taken_out(folder: KitFolder) -> None:
    """Tools and supplies by id or letters; an emptied step goes; the next number adds one."""
    draft = open_entry(folder, JOBS, "J1")
    assert draft.text("step.1.tools") == "T1, T2 x2"
    assert draft.text("step.2.supplies") == "S1 = 30 ml, S2 = 2 pc"
    draft = typed(draft, step__1__tools="spoke x3, T4", step__2__supplies="mineral = 25 ml; S2=1")
    draft = typed(draft, step__3__text="wipe", step__3__minutes="2", per_day="2.25")
    written(folder, draft)
    job = open_kit(folder.path).kit.job("J1")
    assert [(p.tool, p.times) for p in job.steps[0].picks] == [("T1", 3), ("T4", 1)]
    assert [(d.supply, d.amount) for d in job.steps[1].draws] == [("S1", 25), ("S2", 1)]
    assert (job.steps[2].text, job.steps[2].minutes) == ("wipe", 2)
    draft = open_entry(open_kit(folder.path), JOBS, "J1")
    written(folder, typed(draft, step__1__text="", step__1__tools=""))
    assert [s.text for s in open_kit(folder.path).kit.job("J1").steps] == ["fill", "wipe"]


def test_a_compartment_is_moved(folder: KitFolder) -> None:
    """Three lengths on a line, with decimal commas as people write them."""
    draft = open_entry(folder, COMPARTMENTS, "top")
    written(folder, typed(draft, at="1,5 mm, 0 mm, 200 mm", openings="lid, tray"))
    top = open_kit(folder.path).kit.compartment("top")
    assert top.position == (15, 0, 2000)
    assert top.openings == ("lid", "tray")


# ---- adding and copying


def test_adding_and_copying(folder: KitFolder) -> None:
    """A new entry gets the next id of the series; a copy takes all but what is its own."""
    draft = typed(new_entry(TOOLS), name="Shock pump", mass="320 g")
    draft = typed(draft, length="280 mm", width="50 mm", height="45 mm")
    assert written(folder, draft).id == "T5"
    spoil(folder.path, "tools.toml", 'origin = "XX"', 'origin = "XX"\nserial = "0815"')
    folder = open_kit(folder.path)
    other = typed(new_entry(TOOLS, open_entry(folder, TOOLS, "T2")), name="Other wrench")
    assert written(folder, other).words == "Added the tool Other wrench (T6)."
    kit = open_kit(folder.path).kit
    assert kit.tool("T6").serial == ""
    assert kit.tool("T6").mass == kit.tool("T2").mass
    assert kit.tool("T6").mass.known is Known.WEIGHED
    assert kit.tool("T6").instrument == kit.tool("T2").instrument


def test_ids_are_made_out_of_names_where_there_is_no_series(folder: KitFolder) -> None:
    """Compartments here are called by words; a taken word gets a number."""
    assert next_id(folder.kit, COMPARTMENTS, "Lid") == "lid-2"
    assert next_id(folder.kit, SUPPLIES, "Rag") == "S3"


def test_all_faults_of_a_new_entry_at_once(folder: KitFolder) -> None:
    """Nothing filled in: each line that is needed is named; a taken id is told at the id."""
    assert faults(folder, new_entry(TOOLS)).keys() == {"name", "mass", "length", "width", "height"}
    copy = typed(new_entry(TOOLS, open_entry(folder, TOOLS, "T1")), id="S1", mass="x")
    assert faults(folder, copy).keys() == {"id", "mass"}


# ---- faults at the line


def test_every_fault_stands_at_its_line(folder: KitFolder) -> None:
    """Reading, meaning and the kit as a whole: told at once, at the line to blame."""
    draft = typed(
        open_entry(folder, TOOLS, "T3"),
        mass="130",
        count="two",
        length="3 kg",
        marks="urgnt",
        substitutes="T9, key",
        carried="maybe",
        instrument__last_check="31.1.2026",
        gauge__lowest="5 mm",
        id="T9",
    )
    found = faults(folder, draft)
    assert found.keys() == {
        "id", "mass", "count", "length", "marks", "substitutes", "carried",
        "instrument.last_check", "gauge.purpose", "gauge.dimension", "gauge.nominal",
        "gauge.highest",
    }  # fmt: skip
    assert "has no unit" in found["mass"]
    assert "unit of mass, not of length" in found["length"]
    assert 'did you mean "urgent"?' in found["marks"]
    assert "stays as it was given" in found["id"]


@pytest.mark.parametrize(
    ("sort", "id", "lines", "key"),
    [
        (TOOLS, "T1", {"substitutes": "T1"}, "substitutes"),
        (TOOLS, "T1", {"scale_step": "1 g"}, "scale_step"),
        (TOOLS, "T4", {"gauge__lowest": "13 mm"}, "gauge.purpose"),
        (SUPPLIES, "S1", {"carried": "yes"}, "mass"),
        (SUPPLIES, "S1", {"stock": "3 pc"}, "stock"),
        (SUPPLIES, "S1", {"measure": "g"}, ""),
        (JOBS, "J1", {"step__1__tools": "T1, T1"}, "step.1.tools"),
        (JOBS, "J1", {"step__2__supplies": "S1 = 3 kg"}, "step.2.supplies"),
        (JOBS, "J1", {"step__2__text": ""}, "step.2.text"),
        (JOBS, "J1", {"per_day": "1,250"}, "per_day"),
        (COMPARTMENTS, "top", {"at": "0 mm, 0 mm, 50 mm"}, "at"),
        (COMPARTMENTS, "top", {"at": "0 mm, 0 mm"}, "at"),
        (COMPARTMENTS, "top", {"at": "0, 0, 200 mm"}, "at"),
        (COMPARTMENTS, "bin", {"length": "900 mm"}, "at"),
        (COMPARTMENTS, "bin", {"openings": "lid, trey"}, "openings"),
        (COMPARTMENTS, "bin", {"openings": "lid, lid"}, "openings"),
    ],
)  # fmt: skip
def test_what_only_the_whole_shows(
    folder: KitFolder, sort: Sort, id: str, lines: dict[str, str], key: str
) -> None:
    """Each of these spoils the kit as a whole; it is told at the line that did it."""
    assert key in faults(folder, typed(open_entry(folder, sort, id), **lines))


def test_while_typing_only_the_lines_typed_are_told(folder: KitFolder) -> None:
    """A form that is being filled in says nothing yet about lines that still are to come."""
    draft = typed(new_entry(TOOLS), name="Scribe", mass="20")
    assert [fault.key for fault in faults_so_far(folder.kit, draft)] == ["mass"]
    assert faults_so_far(folder.kit, typed(draft, mass="20 g")) == ()


def test_a_key_that_is_none(folder: KitFolder) -> None:
    """A mistyped key is told with the one that was meant."""
    with pytest.raises(DeskError, match="did you mean mass"):
        open_entry(folder, TOOLS, "T1").typed("weight", "3 g")


# ---- somebody else


def test_nothing_goes_over_what_somebody_else_wrote(folder: KitFolder) -> None:
    """The entry on the disk is not the one opened: refused, then mine on top or theirs."""
    mine = typed(open_entry(folder, TOOLS, "T1"), mass="30 g", note="mine")
    spoil(folder.path, "tools.toml", 'mass = "28 g"', 'mass = "29 g"\ncategory = "theirs"')
    before = bytes_of(folder.path)
    outcome = write_draft(folder, mine)
    assert bytes_of(folder.path) == before
    assert isinstance(outcome, Overtaken)
    assert outcome.theirs is not None
    sides = {d.label: (d.was, d.mine, d.theirs) for d in differences(mine, outcome.theirs)}
    assert sides == {
        "category": ("", "", "theirs"),
        "mass": ("28 g", "30 g", "29 g"),
        "note": ("", "mine", ""),
    }
    written(folder, on_top_of(mine, outcome.theirs))
    tool = open_kit(folder.path).kit.tool("T1")
    assert (tool.mass.grams, tool.category, tool.note) == (30, "theirs", "mine")


def test_another_entry_changed_meanwhile_is_no_hindrance(folder: KitFolder) -> None:
    """Only the entry that is open counts."""
    mine = typed(open_entry(folder, TOOLS, "T1"), mass="30 g")
    spoil(folder.path, "tools.toml", '"Torque wrench"', '"Big wrench"')
    written(folder, mine)
    assert open_kit(folder.path).kit.tool("T2").name == "Big wrench"


def test_an_entry_that_is_gone_can_be_added_again(folder: KitFolder) -> None:
    """Somebody took the open entry out: refused; kept, it becomes a new one of its old id."""
    mine = typed(open_entry(folder, SUPPLIES, "S2"), par="20 pc")
    path = folder.path / "supplies.toml"
    path.write_text(path.read_text().partition('[[supply]]\nid = "S2"')[0])
    spoil(folder.path, "jobs.toml", ', S2 = "2 pc"', "")
    folder = open_kit(folder.path)
    outcome = write_draft(folder, mine)
    assert outcome == Overtaken(None)
    assert written(folder, on_top_of(mine, None)).id == "S2"
    assert open_kit(folder.path).kit.supply("S2").par == 20


# ---- retiring


def test_a_tool_that_travels_stays_at_home(folder: KitFolder) -> None:
    """It keeps its entry and its jobs, and loses its place in today's layout."""
    outcome = retire(folder, open_entry(folder, TOOLS, "T3"))
    assert isinstance(outcome, Written)
    assert "today's layout" in outcome.words
    kit = open_kit(folder.path).kit
    assert not kit.tool("T3").carried
    assert kit.present is not None
    assert [spot.item for spot in kit.present.spots] == ["T1"]


def test_a_layout_changed_meanwhile_is_not_written_over(folder: KitFolder) -> None:
    """Another window placed something: the thing stays as it was until one looks again."""
    place_tools(folder, ["T2"], "bin")
    before = bytes_of(folder.path)
    with pytest.raises(DeskError, match="layout was changed by somebody else"):
        retire(folder, open_entry(folder, TOOLS, "T3"))
    assert bytes_of(folder.path) == before


def test_fewer_copies_lose_the_places_of_those_gone(folder: KitFolder) -> None:
    """The second copy has a spot; with one copy left there is none to lie there."""
    written(folder, typed(open_entry(folder, TOOLS, "T3"), count="1"))
    present = open_kit(folder.path).kit.present
    assert present is not None
    assert [spot.item for spot in present.spots] == ["T1"]


def test_what_is_named_is_not_taken_out(folder: KitFolder) -> None:
    """Jobs, rules, stand-ins, the layout and the log: each is told by name."""
    assert named_in_kit(folder.kit, TOOLS, "T1") == (
        "job Brake bleed, Wheel true",
        "rule keys on top, quick",
    )
    assert named_in_kit(folder.kit, TOOLS, "T3") == (
        "rule keys on top",
        "stand-in list of Torque wrench",
    )
    before = bytes_of(folder.path)
    with pytest.raises(DeskError, match=r"today's layout \(1 lie in it\); rule keys on top"):
        retire(folder, open_entry(folder, COMPARTMENTS, "top"))
    assert bytes_of(folder.path) == before
    retire(folder, open_entry(folder, TOOLS, "T4"))
    folder = open_kit(folder.path)
    pick_tools(folder, ["T4"], When(AT, AT, "Tester"))
    with pytest.raises(DeskError, match=r"the log \(1 entry\)"):
        retire(open_kit(folder.path), open_entry(folder, TOOLS, "T4"))


def test_steps_of_a_job_are_put_between_moved_and_taken_out(folder: KitFolder) -> None:
    """Each way beside the same done to a plain list; then written and read back."""
    draft = open_entry(folder, JOBS, "J1")
    before = list(open_kit(folder.path).kit.job("J1").steps)
    assert [step_at(key) for key in ("name", "step.2.tools", "step.13.text")] == [None, 2, 13]
    swapped, at = turned(draft, 1, Turn.LATER)
    assert at == 2
    assert turned(swapped, 2, Turn.EARLIER) == (draft, 1)
    widened, at = turned(swapped, 2, Turn.NEW)
    assert (at, widened.text("step.2.text"), widened.text("step.3.text")) == (2, "", before[0].text)
    done = written(folder, widened.typed("step.2.text", "wipe"))
    assert done.id == "J1"
    after = open_kit(folder.path).kit.job("J1").steps
    assert [step.text for step in after] == [before[1].text, "wipe", before[0].text]
    assert [(s.picks, s.draws) for s in after[::2]] == [(s.picks, s.draws) for s in before[::-1]]
    out, at = turned(open_entry(open_kit(folder.path), JOBS, "J1"), 3, Turn.OUT)
    assert at == 2
    written(folder, out)
    assert [s.text for s in open_kit(folder.path).kit.job("J1").steps] == [before[1].text, "wipe"]
    # A new step left empty is none.
    empty = turned(open_entry(open_kit(folder.path), JOBS, "J1"), 1, Turn.NEW)[0]
    written(folder, empty)
    assert [s.text for s in open_kit(folder.path).kit.job("J1").steps] == [before[1].text, "wipe"]
    for number, turn in ((1, Turn.EARLIER), (2, Turn.LATER), (3, Turn.OUT), (3, Turn.EARLIER)):
        with pytest.raises(DeskError, match="step"):
            turned(open_entry(folder, JOBS, "J1"), number, turn)


def test_a_job_nobody_names_is_taken_out_with_its_steps(folder: KitFolder) -> None:
    """The other job stays as it was."""
    before = (folder.path / "jobs.toml").read_text()
    assert isinstance(retire(folder, open_entry(folder, JOBS, "J1")), Written)
    after = (folder.path / "jobs.toml").read_text()
    assert after.strip() == before[before.index('[[job]]\nid = "J2"') :].strip()


# ---- the text made to say something else


NAMES = st.sampled_from(["a", "b", "mass", "two words"])
VALUES = st.one_of(
    st.text(max_size=8),
    st.integers(-5, 99),
    st.booleans(),
    st.lists(st.text(max_size=4), max_size=3),
)
ROW = st.dictionaries(NAMES, VALUES, max_size=4)
DOCUMENT = st.fixed_dictionaries({"tool": st.lists(ROW, min_size=1, max_size=4)})


@settings(max_examples=60, deadline=None)
@given(DOCUMENT, st.data())
def test_any_change_comes_out_as_meant(was: dict[str, Any], data: st.DataObject) -> None:
    """Entries changed, added and taken out: the text says just that, no comment is lost."""
    import tomlkit

    said = (
        "# top\n"
        + tomlkit.dumps(was).replace("[[tool]]", "# over one\n[[tool]] # head")
        + "# end\n"
    )
    assert tomllib.loads(said) == was
    now = {"tool": [dict(row) for row in was["tool"]]}
    for row in now["tool"]:
        row.update(data.draw(ROW))
        for key in data.draw(st.lists(NAMES, max_size=2)):
            row.pop(key, None)
    now["tool"] += data.draw(st.lists(ROW, max_size=2))
    told = retold(said, was, now)
    assert tomllib.loads(told) == now
    for comment in ("# top", "# end"):
        assert told.count(comment) == 1
    assert told.count("# over one") == len(was["tool"])


@pytest.mark.parametrize("ends", ["\r\n", "mixed"])
def test_line_ends_stay_as_they_are(folder: KitFolder, ends: str) -> None:
    """Only the line that changes is touched, whichever line ends stand around it."""
    path = folder.path / "tools.toml"
    text = path.read_bytes().replace(b"\n", b"\r\n")
    if ends == "mixed":
        text = text.replace(b"\r\n", b"\n", 9)
    path.write_bytes(text)
    written(folder, typed(open_entry(folder, TOOLS, "T4"), mass="61 g"))
    after = path.read_bytes()
    assert after.replace(b'"61 g"\r\n', b'"60 g"\r\n').replace(b'"61 g"\n', b'"60 g"\r\n') == text


def test_what_cannot_be_told_line_by_line_is_refused() -> None:
    """Dotted keys and tables within a line of their own have no line for one key alone."""
    for said in ("a.b = 1\n", "a = { b = 1, c = 2 }\n[x]\n"):
        was = tomllib.loads(said)
        now = {**was, "a": {"b": 2}}
        try:
            told = retold(said, was, now)
        except NotKept:
            continue
        assert tomllib.loads(told) == now


def test_looking_at_an_entry_reads_no_file(folder: KitFolder) -> None:
    """The detail beside the list is the kit's own value, in its words."""
    draft = described(folder.kit, SUPPLIES, "S1")
    assert draft is not None
    assert draft.text("stock") == "250 ml"
    assert described(folder.kit, SUPPLIES, "S9") is None
    assert [i.name for i in items(folder.kit, TOOLS, "torq")] == ["Torque wrench"]


def test_parts_keep_mass_and_value_of_one_on_their_line() -> None:
    """What papers ask of a part stands behind its number; brackets of a name stay its own."""
    parts = [
        {"name": "bit (long)", "count": 28, "mass": "4 g", "value": "2.00 EUR"},
        {"name": "holder", "count": 1, "value": "1,50 EUR"},
        {"name": "case", "count": 1, "mass": "0.2 kg"},
        {"name": "pin", "count": 3},
    ]
    line = shown(parts, Form.PARTS)
    assert line == (
        "bit (long) x28 (4 g, 2.00 EUR); holder x1 (1,50 EUR); case x1 (0.2 kg); pin x3"
    )
    assert read(line, Form.PARTS, small_kit()).value == parts
    assert read("bit (long)", Form.PARTS, small_kit()).value == [{"name": "bit (long)", "count": 1}]
