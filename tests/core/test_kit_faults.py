"""Every fault of every file of a kit folder is told once, in words, and nothing is changed."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from kitfiles import FILES, bytes_of, spoil, write_files

from toolbox.files.problems import Fault, KitFaults
from toolbox.files.reading import layout_from_file, read_kit
from toolbox.kit.things import Money
from toolbox.kit.work import Draw, Pick


def faults_of(folder: Path) -> tuple[Fault, ...]:
    """The faults that reading this folder tells; none when it can be read."""
    try:
        read_kit(folder)
    except KitFaults as found:
        return found.faults
    return ()


def test_a_kit_without_faults_is_read_whole(tmp_path: Path) -> None:
    """Every sort of entry arrives, in whole units: g, tenths of mm, mg, ml, µm, ms, cents."""
    kit = read_kit(write_files(tmp_path))
    assert [tool.id for tool in kit.tools] == ["T1", "T2", "T3", "T4"]
    assert kit.tool("T2").mass == (420, kit.tool("T2").mass.known, 1000, None)
    assert kit.tool("T2").size == (2400, 450, 350)
    assert kit.settings.urgent_weight == Fraction(5)
    assert kit.tool("T2").value == Money(12000, "EUR")
    assert kit.tool("T2").instrument is not None
    assert kit.tool("T2").instrument.last_check == date(2026, 1, 31)
    assert kit.tool("T3").copies() == ("T3", "T3/2")
    assert kit.tool("T4").gauge is not None
    assert kit.tool("T4").gauge.nominal_um == 12050
    assert kit.supply("S1").stock == 250
    assert kit.supply("S1").shelf.opened == date(2026, 2, 1)
    assert kit.job("J1").steps[0].picks == (Pick("T1"), Pick("T2", 2))
    assert kit.job("J1").steps[1].draws == (Draw("S1", 30), Draw("S2", 2))
    assert kit.rules[1].milliseconds == 6000
    assert kit.readings[0].milliseconds == (2400, 2600)
    assert kit.present is not None
    assert kit.present.places() == {"T1": "top", "T3/2": "bin"}


def dial(keys: str) -> tuple[str, str]:
    """The interval of the instrument, and the same with keys about what it measures."""
    return "every_months = 12", f"every_months = 12\n{keys}"


QUICK = '"within"\nitems = ["T1"]\nwithin = "6 s"\n'


def clear(items: list[str], others: list[str]) -> str:
    """The rest of a rule of two groups, without compartments."""
    return f'"clear"\nitems = {items}\nothers = {others}\n'


def only(items: list[str], others: list[str]) -> str:
    """A rule about places that names others all the same."""
    return f'"only"\nitems = {items}\nothers = {others}\ncompartments = ["top"]\n'


def apart(items: list[str], others: list[str]) -> str:
    """A rule that keeps two groups apart."""
    return f'"apart"\nitems = {items}\nothers = {others}\n'


SPOT = '[[spot]]\nitem = "T3/2"'

# file, what is spoilt, how, then parts that the one sentence must hold
ONE_FAULT = [
    ("tools.toml", '"28 g"', '"28 grm"', 'tool "T1" (Spoke key): mass "28 grm"', "g, kg"),
    ("tools.toml", '"28 g"', '"28"', "no unit", '"T1"'),
    ("tools.toml", '"28 g"', "28", "mass 28 has no unit", '"450 g"'),
    ("tools.toml", '"28 g"', "28.5", "mass 28.5 has no unit", '"450 g"'),
    ("tools.toml", '"28 g"', "nan", "mass NaN has no unit", '"450 g"'),
    ("tools.toml", '"28 g"', "-inf", "mass -Infinity has no unit", '"450 g"'),
    ("tools.toml", '"28 g"', '"0 g"', 'mass "0 g" is too little', "1 g or more"),
    ("tools.toml", '"28 g"', '"-28 g"', "negative", "larger amount"),
    ("tools.toml", '"28 g"', "true", "mass true is not a quantity", '"450 g"'),
    ("tools.toml", '"28 g"', '"2000 kg"', "is too much", "at most 1000 kg"),
    ("tools.toml", 'mass = "28 g"\n', "", '"T1" (Spoke key): has no mass', 'mass = "450 g"'),
    ("tools.toml", 'mass = "28 g"', 'weight = "28 g"', '"weight" is a key', '"mass"'),
    ("tools.toml", 'mass = "28 g"', 'Mass = "28 g"', '"Mass" is a key', 'mean "mass"'),
    ("tools.toml", 'id = "T1"', 'idd = "T1"', '"idd" is a key I do not know', 'mean "id"'),
    ("tools.toml", 'id = "T1"\n', "", 'tool called "Spoke key": has no id', "id ="),
    ("tools.toml", 'id = "T1"', 'id = "T/1"', 'id "T/1" cannot be an id', "letters"),
    ("tools.toml", 'id = "T1"', 'id = "T3"', "id is already taken", "different id"),
    ("tools.toml", 'id = "T1"', "id = 1", "id 1 is not a text", "quotes"),
    ("tools.toml", '"Spoke key"', '""', 'name "" says nothing', "one letter"),
    ("tools.toml", '"Spoke key"', '"Spoke\\tkey"', "control character", "single quotes"),
    ("tools.toml", "count = 2", "count = 0", "count 0 is too little", "1 or more"),
    ("tools.toml", "count = 2", 'count = "2"', 'count "2" is not a whole number', "quotes"),
    ("tools.toml", "count = 2", "count = true", "count true is not a whole number", "point"),
    ("tools.toml", "count = 2", "count = 2.0", "count 2.0 is not a whole number", "point"),
    ("tools.toml", "count = 2", "carried = 1", "carried 1 is neither true nor false", "true"),
    ("tools.toml", "count = 3 }", "count = 0 }", "parts no. 1 count 0 is too little", "1 or"),
    ("tools.toml", "count = 3 }", "number = 3 }", "parts no. 1 number", 'mean "count"'),
    ("tools.toml", '["urgent"]', '["urgnt"]', 'marks no. 1 "urgnt"', 'mean "urgent"'),
    ("tools.toml", '["urgent"]', '"urgent"', 'marks "urgent" is not a list', "brackets"),
    ("tools.toml", '["T3"]', '["T33"]', '"T33", which is nowhere', 'mean "T3"'),
    ("tools.toml", '["T3"]', '["T2"]', "names the tool itself", "stand in"),
    ("tools.toml", '"weighed"', '"wieghed"', 'mass_known "wieghed"', 'mean "weighed"'),
    ("tools.toml", '"weighed"', '"guess"', "scale_step but was not weighed", "weighed"),
    ("tools.toml", '"120.00 EUR"', '"120.00"', "not an amount of money", "45.00 EUR"),
    ("tools.toml", '"XX"', '"Xland"', "is no country code", "ISO 3166-1"),
    ("tools.toml", "2026-01-31", '"2026-31-01"', "no day of the calendar", "2026-01-31"),
    ("tools.toml", "2026-01-31", "2026-01-31T10:00:00", "is not a date", "2026-01-31"),
    ("tools.toml", "2026-01-31", '"31.01.2026"', "is not a date", "2026-01-31"),
    ("tools.toml", "every_months = 12", "", "instrument never falls due", "every_uses"),
    ("tools.toml", *dial('accuracy = "II A"'), "has accuracy but no highest", "15 N·m"),
    ("tools.toml", *dial('highest = "4 bar"\nstep = "1 N·m"'), "another kind", "as pressures"),
    ("tools.toml", *dial('highest = "4 bar"\nlowest = "5 bar"'), "not below highest", "right"),
    ("tools.toml", *dial('highest = "4 bar"\naccuracy = "II A"'), "of torque tools", "tolerance"),
    ("tools.toml", *dial('highest = "4 bar"\ntolerance = "2 %"'), "in per cent", "0.05 bar"),
    ("tools.toml", *dial('highest = "9 Nm"\naccuracy = "I B"\ntolerance = "1 Nm"'), "not", "4 %"),
    ("tools.toml", *dial('highest = "4"'), "cannot be read", "1.8 bar"),
    ("tools.toml", *dial('highest = 4'), "has no unit", "1.8 bar"),
    ("tools.toml", *dial('highest = "0 bar"'), "is nothing", "take it out"),
    ("tools.toml", *dial('highest = "4 bar"\naccuracy = "2"'), "not one of the words", "I"),
    ("tools.toml", "every_months = 12", 'every_months = 12\nnote = "x"', "instrument.note", "up"),
    (
        "tools.toml",
        "every_months = 12",
        "every_months = 12\nzero_stop = true",
        "has zero_stop but no highest",
        "say up to where",
    ),
    (
        "tools.toml",
        "every_months = 12",
        'every_months = 12\nhighest = "4 bar"\ntolerance = "0.1 bar"\nzero_stop = true',
        "has a zero_stop, which only means something beside the class",
        "accuracy",
    ),
    (
        "tools.toml",
        "every_months = 12",
        'every_months = 12\nhighest = "4 bar"\naccuracy = "1.6"\nlowest = "1 bar"\n'
        "zero_stop = true",
        "has a zero_stop and a lowest mark",
        "take one of them out",
    ),
    ("tools.toml", '"12 mm"', '"12.06 mm"', "gauge has its limits out of order", "nominal"),
    ("tools.toml", '"12 mm"', '"12 cm mm"', "gauge.lowest", "units"),
    ("tools.toml", "[[tool]]\nid = \"T4\"", "[[tols]]\nid = \"T4\"", '"tols"', "[[tool]]"),
    ("supplies.toml", '"ml"', '"litre"', 'measure "litre"', "ml, g or pc"),
    ("supplies.toml", '"250 ml"', '"250 g"', 'stock "250 g"', "ml"),
    ("supplies.toml", '"250 ml"', "250", "stock 250 has no unit", "250 ml"),
    ("supplies.toml", '"100 ml"', '"0 ml"', 'pack "0 ml" is nothing', "take it out"),
    ("supplies.toml", 'mass = "90 g"\n', "", "S2", "has no mass"),
    ("supplies.toml", 'width = "50 mm"\n', "", "has no width", "three sides"),
    ("supplies.toml", 'id = "S2"', 'id = "T1"', "already taken by tool", "tools.toml"),
    ("jobs.toml", '"T2 x2"', '"T2 twice"', 'tools no. 2 "T2 twice"', '"T5 x2"'),
    ("jobs.toml", '"T2 x2"', '"T9 x2"', 'step 1: tools names "T9"', "T"),
    ("jobs.toml", '"T2 x2"', '"S2"', '"S2", which is a supply', "supplies"),
    ("jobs.toml", '"T2 x2"', '"T1"', 'tools names "T1" 2 times', "x2"),
    ("jobs.toml", "S1 = ", "S9 = ", '"J1" (Brake bleed), step 2: supplies names "S9"', "S"),
    ("jobs.toml", '"30 ml"', '"30 g"', 'supplies.S1 "30 g"', "ml"),
    ("jobs.toml", '"30 ml"', '"0 ml"', 'supplies.S1 "0 ml" is nothing', "take"),
    ("jobs.toml", '"30 ml"', "30", "step 2: supplies.S1 30 has no unit", "ml"),
    ("jobs.toml", "minutes = 5", "minutes = -5", "step 2: minutes -5 is too little", "0 or"),
    ("jobs.toml", "per_day = 1.5", "per_day = nan", "per_day NaN", "1.5"),
    ("jobs.toml", "per_day = 1.5", "per_day = 1e999999999", "out of bounds", "1000"),
    ("jobs.toml", "per_day = 1.5", "per_day = 1e-999999999", "too many decimals", "six"),
    ("jobs.toml", "per_day = 1.5", "discipline = 3", "discipline 3 is not a text", "quotes"),
    ("jobs.toml", 'id = "J2"', 'id = "J1"', "already taken by job", "different"),
    ("rules.toml", '["top"]', '["top", "bin"]', "pinned and names 2", "exactly one"),
    ("rules.toml", '["top"]', '["tip"]', 'compartments names "tip"', 'mean "top"'),
    ("rules.toml", '"pinned"', '"pined"', 'ask "pined"', 'mean "pinned"'),
    ("rules.toml", '"pinned"', '"together"', "asks together and names", "take them out"),
    ("rules.toml", '"pinned"', '"clear"', "clear and names no others", "kept clear"),
    ("rules.toml", QUICK, clear(["T1"], ["T2"]), "clear and names no compartment", "others"),
    ("rules.toml", QUICK, only(["T1"], ["T2"]), "asks only and names others", "take them out"),
    ("rules.toml", QUICK, apart(["T1"], ["T1"]), '"T1" in items and in others', "one of them"),
    ("rules.toml", QUICK, apart(["T1"], ["T99"]), 'others names "T99"', "T"),
    ("rules.toml", QUICK, apart(["T1"], []), "asks apart of one thing", "two items"),
    ("rules.toml", '["T1", "T3"]', '["T1", "T3/2"]', '"T3/2", which is nowhere', 'mean "T3"'),
    ("rules.toml", '["T1", "T3"]', "[]", "items has 0 values", "at least 1"),
    ("rules.toml", 'within = "6 s"\n', "", "gives no time", "6 s"),
    ("rules.toml", '"6 s"', '"0 s"', 'within "0 s" is too little', "0.001 s"),
    ("times.toml", '"lid"', '"lif"', 'of names "lif"', 'mean "lid"'),
    ("times.toml", '"2.4 s", "2.6 s"', "", "times has 0 values", "at least 1"),
    ("box.toml", '"lid", "tray"', '"lid", "tra"', 'openings names "tra"', 'mean "tray"'),
    ("box.toml", '"lid", "tray"', '"lid", "lid"', 'openings names "lid" 2 times', "once"),
    ("box.toml", '"0 mm", "0 mm", "200 mm"', '"0 mm", "200 mm"', "at with 2 values", "three"),
    ("box.toml", '"0 mm", "200 mm"', '"0 mm", "90 mm"', 'lies across compartment "', "its at"),
    ("box.toml", 'depth = "100 mm"', 'depth = "330 mm"', '"bin" (Bin): sticks out', "size"),
    ("box.toml", "latches = 2", "latches = 21", "latches 21 is too much", "at most 20"),
    ("box.toml", 'way = "tray"', 'way = "door"', 'way "door" is not one', "lid, tray"),
    ("box.toml", "[box]", "[[box]]", "not written as a table", "[box]"),
    ("kit.toml", 'name = "Squad kit"\n', "", "has no name", "name ="),
    ("kit.toml", '"Squad kit"', "['Squad']", "name a list is not a text", "quotes"),
    ("kit.toml", "urgent_weight = 5", "urgent_weight = 0", "urgent_weight 0", "above 0"),
    ("kit.toml", "urgent_weight = 5", "urgent_wait = 5", "settings.urgent_wait", "urgent_weight"),
    ("kit.toml", "urgent_weight = 5", "easy_share_percent = 101", "is too much", "100"),
    ("layouts/present.toml", '"T3/2"', '"T3/3"', '"T3/3" is no copy', "which has 2"),
    ("layouts/present.toml", '"T3/2"', '"T1"', "has a spot already", "lies now"),
    ("layouts/present.toml", '"T3/2"', '"S1"', "stays at home", "carried"),
    ("layouts/present.toml", '"T3/2"', '"T8"', 'item names "T8"', "T"),
    ("layouts/present.toml", SPOT, SPOT.replace("spot", "spots"), '"spots"', "[[spot]]"),
    ("layouts/present.toml", '"bin"', '"bn"', 'compartment names "bn"', 'mean "bin"'),
]  # fmt: skip


@pytest.mark.parametrize(("file", "old", "new", "part", "other"), ONE_FAULT)
def test_each_kind_of_fault_is_one_sentence(
    tmp_path: Path, file: str, old: str, new: str, part: str, other: str
) -> None:
    """One spoilt place gives one sentence with file, entry, value, and cure, and no second."""
    write_files(tmp_path)
    spoil(tmp_path, file, old, new)
    (fault,) = faults_of(tmp_path)
    sentence = fault.sentence()
    assert sentence.startswith(f"{file}")
    assert part in sentence
    assert other in sentence
    assert sentence.endswith("?" if "did you mean" in sentence else ".")
    assert "\n" not in sentence


TWELVE = [
    ("tools.toml", '"28 g"', '"28 grm"', "mass"),
    ("tools.toml", '["T3"]', '["T7"]', "T7"),
    ("tools.toml", "count = 2", "cuont = 2", "cuont"),
    ("tools.toml", '"12 mm"', '"13 mm"', "gauge"),
    ("box.toml", "latches = 2", "latches = -2", "latches"),
    ("box.toml", '"lid", "tray"', '"lid", "tary"', "tary"),
    ("box.toml", 'depth = "50 mm"', 'depth = "50"', "depth"),
    ("jobs.toml", '"T2 x2"', '"T22 x2"', "T22"),
    ("jobs.toml", 'id = "J2"', 'id = "J1"', "taken"),
    ("jobs.toml", '"30 ml"', '"30 g"', "supplies.S1"),
    ("rules.toml", '"pinned"', '"pinnde"', "pinnde"),
    ("rules.toml", '"6 s"', '"6 kg"', "within"),
]


def test_twelve_faults_in_four_files_are_told_in_one_run(tmp_path: Path) -> None:
    """Twelve spoilt places give twelve sentences, one each, and every file stays as it was."""
    write_files(tmp_path)
    for file, old, new, _ in TWELVE:
        spoil(tmp_path, file, old, new)
    before = bytes_of(tmp_path)
    sentences = [fault.sentence() for fault in faults_of(tmp_path)]
    assert len(sentences) == 12, "\n".join(sentences)
    for file, _, _, part in TWELVE:
        assert len([s for s in sentences if s.startswith(file) and part in s]) == 1, part
    assert bytes_of(tmp_path) == before


CASCADES = [
    ("tools.toml", 'mass = "420 g"\n', ""),
    ("tools.toml", 'id = "T2"', 'id = "T 2"'),
    ("tools.toml", 'id = "T2"\n', ""),
    ("tools.toml", 'id = "T2"', 'id = "T1"'),
    ("tools.toml", 'id = "T2"', 'ident = "T2"'),
    ("tools.toml", 'name = "Spoke key"', 'name = "Spoke key'),
    ("supplies.toml", 'measure = "ml"', 'measure = "mL"'),
    ("supplies.toml", '[[supply]]\nid = "S1"', '[[supplies]]\nid = "S1"'),
    ("box.toml", 'id = "lid"', "id = 7"),
    ("box.toml", 'id = "bin"\n', ""),
    ("box.toml", 'length = "560 mm"', 'length = "560"'),
    ("box.toml", 'at = ["0 mm", "0 mm", "0 mm"]', 'at = ["0 mm", "0", "0 mm"]'),
]


@pytest.mark.parametrize(("file", "old", "new"), CASCADES)
def test_a_fault_in_one_entry_is_not_told_again_by_those_that_name_it(
    tmp_path: Path, file: str, old: str, new: str
) -> None:
    """Jobs, rules and spots that name a faulty entry are not at fault themselves."""
    write_files(tmp_path)
    spoil(tmp_path, file, old, new)
    assert len(faults_of(tmp_path)) == 1


def test_a_lost_id_excuses_only_the_name_that_fits_its_place(tmp_path: Path) -> None:
    """With T2's id gone, T2 is not missed a second time, but T9 and S7 are missed all the same."""
    write_files(tmp_path)
    spoil(tmp_path, "tools.toml", 'id = "T2"\n', "")
    spoil(tmp_path, "tools.toml", '["T3"]', '["T3", "T9"]')
    spoil(tmp_path, "rules.toml", '["T1", "T3"]', '["T1", "T3", "S7"]')
    faults = faults_of(tmp_path)
    assert [fault.wrong.partition(",")[0] for fault in faults] == [
        "has no id",
        'substitutes names "T9"',
        'items names "S7"',
    ]


def test_the_faults_of_one_file_stand_together_in_its_order(tmp_path: Path) -> None:
    """Whatever finds them, faults are told file by file, those of the schema before the rest."""
    write_files(tmp_path)
    spoil(tmp_path, "box.toml", '"lid", "tray"', '"lid", "tra"')
    spoil(tmp_path, "tools.toml", '"28 g"', '"28"')
    spoil(tmp_path, "tools.toml", '["T3"]', '["T7"]')
    spoil(tmp_path, "box.toml", "latches = 2", "latches = 99")
    told = [(fault.file, fault.wrong.split(" ")[0]) for fault in faults_of(tmp_path)]
    assert told == [
        ("box.toml", "latches"),
        ("box.toml", "openings"),
        ("tools.toml", "mass"),
        ("tools.toml", "substitutes"),
    ]


def test_a_name_that_is_used_often_is_told_once_for_each_file(tmp_path: Path) -> None:
    """A tool taken out of the list is missed once by the jobs and once by each other file."""
    write_files(tmp_path)
    spoil(tmp_path, "tools.toml", 'id = "T1"', 'id = "KEY"')
    told = [(f.file, "more place" in f.wrong) for f in faults_of(tmp_path)]
    assert told == [("jobs.toml", True), ("rules.toml", True), ("layouts/present.toml", False)]


def test_one_compartment_across_several_is_told_once(tmp_path: Path) -> None:
    """A compartment that is in the way of two others is the one that is named."""
    write_files(tmp_path)
    more = "".join(
        f'[[compartment]]\nid = "c{n}"\nname = "C{n}"\nkind = "row"\nlength = "50 mm"\n'
        f'width = "50 mm"\ndepth = "20 mm"\nat = ["{n * 60} mm", "400 mm", "110 mm"]\n'
        for n in range(3)
    )
    path = tmp_path / "box.toml"
    path.write_text(path.read_text() + more)
    assert faults_of(tmp_path) == ()
    spoil(tmp_path, "box.toml", '["60 mm", "400 mm", "110 mm"]', '["30 mm", "400 mm", "110 mm"]')
    spoil(tmp_path, "box.toml", '["120 mm", "400 mm", "110 mm"]', '["78 mm", "400 mm", "110 mm"]')
    (fault,) = faults_of(tmp_path)
    assert fault.entry == 'compartment "c1" (C1)'
    assert 'compartment "c0" (C0) and compartment "c2" (C2)' in fault.wrong


def test_a_lid_may_hang_outside_the_shut_box_but_a_drawer_may_not(tmp_path: Path) -> None:
    """The box stands open: what hangs in the lid lies behind the body, within a lid's length."""
    write_files(tmp_path)
    place = '["0 mm", "0 mm", "200 mm"]'
    spoil(tmp_path, "box.toml", place, '["0 mm", "490 mm", "200 mm"]')
    assert faults_of(tmp_path) == ()
    spoil(tmp_path, "box.toml", '"490 mm"', '"4900 mm"')
    assert len(faults_of(tmp_path)) == 1
    spoil(tmp_path, "box.toml", '"4900 mm"', '"490 mm"')
    spoil(tmp_path, "box.toml", 'way = "lid"', 'way = "drawer"')
    assert "sticks out" in faults_of(tmp_path)[0].wrong


# TOML v1.0.0 (toml.io): what is not TOML. The line is the one an editor would show.
NOT_TOML = [
    ('mass = "28 g"', "mass = 28 g", "line 5", 'mass = "28 g"'),
    ('mass = "28 g"', "mass = 1,5", "line 5", "between quotes"),
    ('mass = "28 g"', 'mass = "28 g', "line 5", "closed"),
    ('mass = "28 g"', 'mass = "28 g"\nmass = "29 g"', "line 6", "twice"),
    ('mass = "28 g"', 'look = "C:\\qbox"', "line 5", "single quotes"),
    ('mass = "28 g"', "carried = yes", "line 5", "true or false"),
    ("[[tool]]\nid = \"T4\"", "[[tool]\nid = \"T4\"", "line 37", "heading"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "line", "cure"), NOT_TOML)
def test_what_is_not_toml_is_told_with_its_line(
    tmp_path: Path, old: str, new: str, line: str, cure: str
) -> None:
    """A file that is not TOML gives one fault with line and cure, and none from other files."""
    write_files(tmp_path)
    spoil(tmp_path, "tools.toml", old, new)
    (fault,) = faults_of(tmp_path)
    assert fault.file == "tools.toml"
    assert line in fault.wrong
    assert cure in fault.cure


def test_huge_numbers_and_deep_lists_are_faults_too(tmp_path: Path) -> None:
    """What the TOML reader itself gives up on is told in words."""
    write_files(tmp_path)
    for value, word in (("9" * 5000, "too long"), ("[" * 3000 + "]" * 3000, "lists inside lists")):
        (tmp_path / "rules.toml").write_text(f"a = {value}\n")
        (fault,) = faults_of(tmp_path)
        assert word in fault.wrong


def test_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    """A UTF-8 mark, CRLF or both are read all the same (users of tomli reported such files)."""
    plain = read_kit(write_files(tmp_path / "plain"))
    marked = write_files(tmp_path / "marked")
    for name, text in FILES.items():
        data = text.lstrip().replace("\n", "\r\n").encode("utf-8-sig")
        (marked / name).write_bytes(data)
    assert read_kit(marked) == plain


@pytest.mark.parametrize(
    ("encoding", "word"), [("utf-16", "UTF-16"), ("cp1252", "byte 0xE9 in line 3")]
)
def test_another_encoding_is_told(tmp_path: Path, encoding: str, word: str) -> None:
    """A file that is not UTF-8 is named as such, once, with the cure."""
    write_files(tmp_path)
    text = FILES["tools.toml"].lstrip().replace("[[tool]]", "\n# clé", 1)
    (tmp_path / "tools.toml").write_bytes(text.encode(encoding))
    (fault,) = faults_of(tmp_path)
    assert word in fault.wrong
    assert "UTF-8" in fault.cure


def test_where_there_is_no_kit_the_way_to_one_is_told(tmp_path: Path) -> None:
    """A missing folder, a file and a folder without a kit each give the one command to type."""
    (tmp_path / "file").write_text("x")
    (tmp_path / "empty").mkdir()
    for name in ("nowhere", "file", "empty"):
        (fault,) = faults_of(tmp_path / name)
        assert "toolbox new" in fault.cure


def test_needed_and_misnamed_files_are_told(tmp_path: Path) -> None:
    """A missing box is one fault; a file of nearly the right name is asked about."""
    write_files(tmp_path)
    (tmp_path / "box.toml").rename(tmp_path / "aside")
    (fault,) = faults_of(tmp_path)
    assert (fault.file, fault.wrong) == ("box.toml", "is not there")
    (tmp_path / "aside").rename(tmp_path / "box.toml")
    (tmp_path / "tools.toml").rename(tmp_path / "tool.toml")
    (fault,) = faults_of(tmp_path)
    assert fault.file == "tool.toml"
    assert fault.cure == 'did you mean "tools.toml"'


def test_a_file_that_may_not_be_read_is_told(tmp_path: Path) -> None:
    """A folder where a file should be does not end in a traceback."""
    write_files(tmp_path)
    (tmp_path / "rules.toml").unlink()
    (tmp_path / "rules.toml").mkdir()
    (fault,) = faults_of(tmp_path)
    assert fault.file == "rules.toml"


def test_only_the_kit_and_its_box_are_needed(tmp_path: Path) -> None:
    """Without tools, supplies, jobs, rules, times and layouts there is still a kit."""
    kit = read_kit(write_files(tmp_path, {f: FILES[f] for f in ("kit.toml", "box.toml")}))
    assert (kit.tools, kit.jobs, kit.present) == ((), (), None)


def test_hostile_text_stays_on_its_line(tmp_path: Path) -> None:
    """Control characters of a name never reach the terminal out of a message."""
    write_files(tmp_path)
    spoil(tmp_path, "tools.toml", '"Spoke key"', '"a\\u001b[31m\\nb"')
    (fault,) = faults_of(tmp_path)
    assert fault.sentence().isprintable()


def test_a_layout_of_its_own_is_read_against_the_kit(tmp_path: Path) -> None:
    """Another layout file is checked like the present one, its own name in the faults."""
    kit = read_kit(write_files(tmp_path))
    path = tmp_path / "layouts" / "wet.toml"
    path.write_text('name = "wet"\n[[spot]]\nitem = "S2"\ncompartment = "bin"\n')
    assert layout_from_file(path, kit).places() == {"S2": "bin"}
    path.write_text('name = "wet"\n[[spot]]\nitem = "S2/2"\ncompartment = "bn"\n')
    with pytest.raises(KitFaults) as caught:
        layout_from_file(path, kit)
    assert [fault.file for fault in caught.value.faults] == ["layouts/wet.toml"] * 2
