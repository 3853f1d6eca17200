"""Goods rule files: the mechanic's own goes before, every fault is told at once."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from toolbox.files.goods_rules import goods_rules, read_rules, shipped_rules
from toolbox.files.problems import KitFaults
from toolbox.files.reading import read_kit
from toolbox.kit.goods import Band, Figure, Holds, Per, Say, Unit
from toolbox.kit.trips import Carriage

OWN = """
name = "My own rules"
dated = 2026-10-01
suspect = ["acid"]

[[set]]
id = "air"
name = "Air"
holds = "always"

[[set]]
id = "here"
name = "Our airport"
holds = "screening"

[[rule]]
id = "spare"
name = "spare battery"
set = "air"
words = ["li-ion-spare-9"]
energy_over = "50 Wh"
energy_most = "100 Wh"
hold = "no"
cabin = "ask"
first = "cabin"
source = "my carrier, page 4"
hand_tool = false

[[limit]]
id = "spares"
name = "spares"
set = "air"
rules = ["spare"]
per = "bag"
pieces = 2
source = "my carrier, page 4"

[[tool_rule]]
id = "tools"
set = "here"
names = ["hammer"]
blade = "40 mm"
source = "the sign at the door"
"""


def test_the_shipped_rules_read_without_a_fault() -> None:
    """Dated, five sets, every row with its source."""
    rules = shipped_rules()
    assert rules.dated == date(2026, 11, 24)
    assert {s.holds for s in rules.sets} == set(Holds)
    assert len(rules.rules) >= 35


def test_own_rules_stand_in_place_of_the_shipped_ones(tmp_path: Path) -> None:
    """goods.toml of the kit folder is the whole; nothing of the shipped file is mixed in."""
    assert goods_rules(tmp_path) == shipped_rules()
    (tmp_path / "goods.toml").write_text(OWN, encoding="utf-8")
    rules = goods_rules(tmp_path)
    assert rules.name == "My own rules"
    (rule,) = rules.rules
    assert rule.bands == (Band(Figure.ENERGY, 50_000, 100_000),)
    assert (rule.hold, rule.cabin, rule.first) == (Say.NO, Say.ASK, Carriage.CABIN)
    (limit,) = rules.limits
    assert (limit.per, limit.unit, limit.most) == (Per.BAG, Unit.PIECES, 2)
    (tool_rule,) = rules.tools
    assert (tool_rule.names, tool_rule.blade) == (("hammer",), 400)


SPOILT = {
    "dated = 2026-10-01": ("dated = 2026-13-01", "is not TOML"),
    "dated = 2026-10-01\n": ("", "has no dated"),
    'hold = "no"': ('hold = "never"', "is not one of the words for it"),
    'source = "my carrier, page 4"\nhand_tool': ("hand_tool", "has no source"),
    'energy_over = "50 Wh"': ('energy_over = "100 Wh"', "an empty band"),
    'energy_most = "100 Wh"': ('energy_most = "100 W"', "no known unit of energy"),
    'rules = ["spare"]': ('rules = ["spares"]', 'did you mean "spare"?'),
    "pieces = 2": ('pieces = 2\nvolume = "1 L"', "does not say how much"),
    'set = "here"': ('set = "air"', "does not hold at screenings"),
    'names = ["hammer"]\nblade = "40 mm"\n': ("", "bars nothing"),
    'holds = "always"': ('holds = "allways"', 'did you mean "always"?'),
}


@pytest.mark.parametrize("old", SPOILT)
def test_each_fault_is_told(tmp_path: Path, old: str) -> None:
    """One thing spoilt: the sentence about it."""
    new, said = SPOILT[old]
    assert OWN.count(old) == 1
    path = tmp_path / "goods.toml"
    path.write_text(OWN.replace(old, new), encoding="utf-8")
    with pytest.raises(KitFaults) as caught:
        read_rules(path)
    sentences = [fault.sentence() for fault in caught.value.faults]
    assert any(said in s for s in sentences), sentences
    assert all(s.startswith("goods.toml") for s in sentences)


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    """Three spoilt, three told."""
    text = OWN
    for old in ('hold = "no"', 'rules = ["spare"]', 'names = ["hammer"]\nblade = "40 mm"\n'):
        text = text.replace(old, SPOILT[old][0])
    path = tmp_path / "goods.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(KitFaults) as caught:
        read_rules(path)
    assert len(caught.value.faults) == 3


def test_own_rules_are_no_misspelt_tools(tmp_path: Path) -> None:
    """A kit without tools.toml that has a goods.toml is read."""
    (tmp_path / "kit.toml").write_text('name = "K"\n', encoding="utf-8")
    (tmp_path / "box.toml").write_text(
        '[box]\nname = "B"\nlength = "500 mm"\nwidth = "400 mm"\nheight = "300 mm"\n'
        'tare = "5 kg"\nstands_at = "0 mm"\n',
        encoding="utf-8",
    )
    (tmp_path / "goods.toml").write_text(OWN, encoding="utf-8")
    assert read_kit(tmp_path).name == "K"
