"""What commands print with --json, held against their schemas (JSON Schema 2020-12, jsonschema).

The fixture ``run`` does that for every answer in all tests of commands; here each command
is met at least once, on a kit of a few things, and the demo once more among the slow tests.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import click
import pytest
from clikit import RACE, Ran, validator
from jsonschema import Draft202012Validator

from toolbox.cli import COMMANDS, cli
from toolbox.cli.schema import schema_for, shapes
from toolbox.cli.shapes.kinds import Either, maybe, schema_of
from toolbox.files.forms import demo_folder

Run = Callable[..., Ran]

MORE_TOOLS = """
[[tool]]
id = "TW"
name = "Torque wrench"
mass = "400 g"
length = "240 mm"
width = "30 mm"
height = "30 mm"
[tool.instrument]
last_check = 2026-01-31
every_months = 12
lowest = "2 N·m"
highest = "15 N·m"
step = "0.1 N·m"
tolerance = "0.5 N·m"

[[tool]]
id = "DG"
name = "Dial gauge"
mass = "80 g"
length = "90 mm"
width = "60 mm"
height = "30 mm"
[tool.instrument]
every_months = 12
highest = "4 bar"
step = "0.1 bar"
tolerance = "0.1 bar"

[[tool]]
id = "PG"
name = "Pump gauge"
mass = "90 g"
length = "90 mm"
width = "60 mm"
height = "30 mm"
[tool.instrument]
every_months = 12
highest = "4 bar"
step = "0.1 bar"
tolerance = "0.1 bar"
"""
SCALE = '\n[[scale]]\nid = "hall"\nname = "Hall scale"\nscale_step = "50 g"\nerror = "50 g"\n'
LIST = "name,mass,length,width,height\nNew key,20 g,100 mm,20 mm,5 mm\n"

# Every command that prints JSON, in an order in which each has something to say.
STORY = """
check | edit tool | edit tool K4 | edit tool K4 note=worn | edit tool K4 mass=much
edit job CH | edit supply | edit compartment | place K4 --in Well
log CH --bike A1 | log BC | pick K4 TW | spend OIL 5 ml | undo | undo --list
uses | uses K5 | reach | plan --effort quick | compare | why K5 | why --unsure
helps | rebuild | rebuild --tick | adopt | map | find chain | find --job CH
balance | pitbag 1kg | pitbag 1g --job CH | unused
draw map --out OUT/map | draw lid --out OUT/lid | labels tools --out OUT/labels
trip other | flight race --check | flight race | goods race
customs race | customs race --bag soft --issue --out OUT/papers | customs race --issued 1
claim race case --arrived 2026-11-30 --out OUT/papers | stow pump --out --trip race
weigh case 2.3kg --trip race | preflight race | preflight race --tick 1
sheets race --out OUT/sheets | place K5 --in Well | log CH --bike A1
count Well | count Well --short K5 | missing | release | release A1 --reason seen
settle K5 lost --note gone | losses | settle CT lent --where Ro --until 2026-12-24 | lent
count --close --reason late | missing K5
stock | stock OIL | restock | buy | buy --got OIL 50ml | recount OIL 60ml | waste OIL 5ml
weighing --list | opened OIL | wish vice | wish
instruments | instruments TW | instruments --job BC | happened TW dropped | wound
test DG 1=1.01 2=2.02 3=3.00 --certificate 0.01bar --try | gauges DG=1.8:PG=1.9
test PG --elsewhere lab --verdict pass
lists | lists --copy evening | lists evening | lists evening --tick 1 | ready
export --out OUT/export | merge OUT/export | export --csv --out OUT/csv | import LIST
report --out OUT/report
doctor | backup OUT/backup | restore --from OUT/backup | restore newest --from OUT/backup
restore --go-on
"""


def story(kit: Path, out: Path) -> list[list[str]]:
    """The words of each command of the story."""
    (out / "list.csv").write_text(LIST, encoding="utf-8")
    lines = [part.split() for part in STORY.replace("\n", "|").split("|") if part.strip()]
    names = {"OUT": str(out), "LIST": str(out / "list.csv")}
    found = []
    for words in lines:
        whole = [names.get(w, w.replace("OUT/", f"{out}/")) for w in words]
        found.append([*whole, "--json", "--kit", str(kit)])
    return found


@pytest.fixture
def rich(kit_dir: Path) -> Path:
    """The small kit with instruments, papers and a trip with a scale."""
    tools = kit_dir / "tools.toml"
    tools.write_text(tools.read_text(encoding="utf-8") + MORE_TOOLS, encoding="utf-8")
    (kit_dir / "trips").mkdir()
    (kit_dir / "trips" / "race.toml").write_text(RACE + SCALE, encoding="utf-8")
    kit = kit_dir / "kit.toml"
    kit.write_text(kit.read_text() + '\n[customs]\ncountry = "DE"\ncurrency = "EUR"\n')
    return kit_dir


def test_every_command_that_prints_json_has_a_schema_and_keeps_to_it(
    run: Run, rich: Path, tmp_path: Path
) -> None:
    """Each shape is met by a real answer; no command has a shape without printing JSON."""
    printing = {
        name
        for name in COMMANDS
        for command in [cli.get_command(click.Context(cli), name)]
        if command is not None and any(p.name == "as_json" for p in command.params)
    }
    assert set(shapes()) == printing
    out = tmp_path / "out"
    out.mkdir()
    met, silent = set(), []
    for words in story(rich, out):
        ran = run(*words)
        if ran.out.startswith("{"):
            met.add(words[0])
        else:
            silent.append((words[:3], ran.code, ran.err))
    ran = run("new", tmp_path / "new", "--box", "clamshell", "--json")
    assert ran.code == 0
    # the demo is searched for seconds: it has a test of its own below
    assert met | {"new"} == printing - {"demo"}, silent
    assert not silent


@pytest.mark.parametrize("command", sorted(shapes()))
def test_a_schema_is_one_and_lets_no_key_be_missing_or_more(command: str) -> None:
    """The dialect's own schema holds; an empty object and a strange key are refused."""
    strict = validator(command)
    assert not strict.is_valid({})
    assert not strict.is_valid({"strange": 1})
    assert not strict.is_valid([])
    assert schema_for(command)["title"] == f"toolbox {command} --json"


def test_the_words_of_shapes() -> None:
    """Each kind of shape takes what it names and nothing else."""
    shape = {"a": int, "b?": maybe(str), "c": [Either(float, {"x": bool})], "d": {str: int}}
    strict = Draft202012Validator(schema_of(shape))
    good = {"a": 1, "b": None, "c": [0.5, {"x": True}], "d": {"any key": 2}}
    assert strict.is_valid(good)
    assert strict.is_valid({key: value for key, value in good.items() if key != "b"})
    for wrong in ({"a": "1"}, {"a": 1.5}, {"b": 2}, {"c": ["x"]}, {"d": {"k": "v"}}, {"e": 1}):
        assert not strict.is_valid(good | wrong), wrong
    with pytest.raises(ValueError, match="is no shape"):
        schema_of("text")


def test_the_command_prints_the_schema(run: Run) -> None:
    """As JSON; a command without any is told with those that have one."""
    ran = run("schema", "adopt")
    assert json.loads(ran.out) == schema_for("adopt")
    ran = run("schema", "screens")
    assert ran.code == 1
    assert "these do: adopt, " in ran.err


@pytest.mark.slow
def test_the_demo_keeps_to_every_schema(run: Run, tmp_path: Path) -> None:
    """The demo itself, and every look at it that takes a search or many things."""
    kit = tmp_path / "demo"
    assert run("demo", kit, "--print", "--json").code == 0
    assert (kit / "tools.toml").exists()
    assert (demo_folder() / "trips").is_dir()
    for words in (
        ("plan", "--curve"),
        ("compare",),
        ("helps",),
        ("why", "chain whip"),
        ("uses",),
        ("map",),
        ("flight", "two-races"),
        ("goods", "two-races", "--all"),
        ("customs", "two-races"),
        ("claim", "two-races", "case", "--arrived", "2026-12-05"),
        ("count",),
        ("stock",),
        ("restock",),
        ("instruments",),
        ("ready",),
    ):
        assert run(*words, "--json", "--kit", kit).out.startswith("{"), words
