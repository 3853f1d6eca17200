"""A kit folder as text, small enough to know by heart, and what a run of the command gives."""

from __future__ import annotations

import json
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match

from toolbox.cli.schema import schema_for

KIT = {
    "kit.toml": 'name = "Test kit"\n',
    "box.toml": """
[box]
name = "Test box"
length = "400 mm"
width = "300 mm"
height = "200 mm"
tare = "2 kg"
stands_at = "700 mm"

[[opening]]
id = "lid"
name = "the lid"
way = "lid"
travel = "400 mm"
mass = "800 g"

[[compartment]]
id = "tray"
name = "Front tray"
kind = "laid"
length = "250 mm"
width = "80 mm"
depth = "50 mm"
at = ["0 mm", "0 mm", "120 mm"]

[[compartment]]
id = "loops"
name = "Elastic loops"
kind = "row"
length = "120 mm"
width = "220 mm"
depth = "40 mm"
at = ["260 mm", "0 mm", "120 mm"]

[[compartment]]
id = "well"
name = "Well"
kind = "loose"
length = "300 mm"
width = "200 mm"
depth = "100 mm"
at = ["0 mm", "0 mm", "0 mm"]
openings = ["lid"]
load = "5 kg"
""",
    "tools.toml": """
# the keys I use all day
[[tool]]
id = "K4"
name = "Hex key 4 mm"
mass = "25 g"
length = "135 mm"
width = "26 mm"
height = "4 mm"

[[tool]]
id = "K5"
name = "Hex key 5 mm"
mass = "42 g"
length = "155 mm"
width = "30 mm"
height = "5 mm"

[[tool]]
id = "CT"
name = "Chain tool"
mass = "150 g"
length = "130 mm"
width = "60 mm"
height = "30 mm"
marks = ["urgent"]

[[tool]]
id = "V"
name = "Bench vice"
mass = "4 kg"
length = "250 mm"
width = "150 mm"
height = "150 mm"
carried = false
""",
    "supplies.toml": """
[[supply]]
id = "OIL"
name = "Chain lube"
measure = "ml"
stock = "100 ml"
""",
    "jobs.toml": """
[[job]]
id = "CH"
name = "Broken chain"
urgent = true
per_day = 0.5

[[job.step]]
text = "push the pin out"
tools = ["CT", "K5"]

[[job.step]]
text = "join and oil"
tools = ["CT"]
supplies = {OIL = "2 ml"}

[[job]]
id = "BC"
name = "Bar change"

[[job.step]]
text = "loosen"
tools = ["K4", "K5 x2"]
""",
    "layouts/present.toml": """
name = "present"

[[spot]]
item = "K4"
compartment = "well"

[[spot]]
item = "K5"
compartment = "well"

[[spot]]
item = "CT"
compartment = "tray"
x = "0 mm"
y = "0 mm"
""",
}

# A trip for it, trips/race.toml: Ann, the box, a bag with a pump, all with their papers.
RACE = """
name = "A race"

[[person]]
id = "ann"
name = "Ann"

[[bag]]
id = "case"
name = "Case"
answers = "ann"
box = true
value = "90.00 EUR"
origin = "DE"

[[bag]]
id = "soft"
name = "Soft bag"
answers = "ann"
tare = "1.5 kg"
value = "60.00 EUR"
origin = "TW"
serial = "B-7"

[[item]]
id = "pump"
name = "Pump"
bag = "soft"
mass = "900 g"
make = "Own works"
value = "45.00 EUR"
origin = "DE"

[[allowance]]
id = "two"
name = "Two pieces"
concept = "piece"
mass = "23 kg"
pieces = 2

[[leg]]
id = "out"
name = "Out"
allowance = "two"
day = 2026-12-04

[[work]]
job = "BC"
expected = 1
"""


def write_kit_files(folder: Path) -> Path:
    """The small kit on disk in this folder."""
    for name, text in KIT.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text.lstrip(), encoding="utf-8")
    return folder


class Ran(NamedTuple):
    """What a run of the command gave."""

    code: int
    out: str
    err: str

    def data(self) -> Any:
        """Standard output read as JSON."""
        return json.loads(self.out)


def shell(*words: str | Path, env: dict[str, str], cwd: Path) -> subprocess.CompletedProcess[bytes]:
    """Run ``python -m toolbox`` in a process of its own; bytes come back."""
    command = [sys.executable, "-m", "toolbox", *map(str, words)]
    return subprocess.run(command, env=env, cwd=cwd, capture_output=True, stdin=subprocess.DEVNULL)


@cache
def validator(command: str) -> Draft202012Validator:
    """What the answer of a command is held against; the schema itself is held to its dialect."""
    schema = schema_for(command)
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


def hold_to_schema(command: str, text: str) -> None:
    """Fail when JSON that a command printed is not as its schema says."""
    error = best_match(validator(command).iter_errors(json.loads(text)))
    assert error is None, (
        f"toolbox {command} --json at {error.json_path}: {error.message[:300]}\n"
        "If the answer is meant so, say it in toolbox/cli/shapes."
    )
