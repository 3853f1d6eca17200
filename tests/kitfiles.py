"""A kit folder as text with something of every sort in it, and ways to spoil it."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from pathlib import Path

from toolbox.files import tables
from toolbox.files.writing import append_entries
from toolbox.kit.things import Measure, Supply, Tool
from toolbox.kit.work import Job

FILES = {
    "kit.toml": """
name = "Squad kit"
[settings]
clearance = "4 mm"
urgent_weight = 5
""",
    "box.toml": """
[box]
name = "Case"
length = "560 mm"
width = "480 mm"
height = "320 mm"
tare = "6.5 kg"
stands_at = "700 mm"

[[opening]]
id = "lid"
name = "Lid"
way = "lid"
travel = "400 mm"
latches = 2

[[opening]]
id = "tray"
name = "Tray"
way = "tray"
travel = "300 mm"

[[compartment]]
id = "top"
name = "Top tray"
kind = "laid"
length = "500 mm"
width = "200 mm"
depth = "50 mm"
at = ["0 mm", "0 mm", "200 mm"]
openings = ["lid"]

[[compartment]]
id = "bin"
name = "Bin"
kind = "loose"
length = "500 mm"
width = "400 mm"
depth = "100 mm"
at = ["0 mm", "0 mm", "0 mm"]
openings = ["lid", "tray"]
load = "8 kg"
""",
    "tools.toml": """
# every tool of the squad
[[tool]]
id = "T1"
name = "Spoke key"
mass = "28 g"
length = "55 mm"
width = "45 mm"
height = "14 mm"
marks = ["urgent"]

[[tool]]
id = "T2"
name = "Torque wrench"
mass = "420 g"
mass_known = "weighed"
scale_step = "1 g"
length = "240 mm"
width = "45 mm"
height = "35 mm"
substitutes = ["T3"]
value = "120.00 EUR"
origin = "XX"
[tool.instrument]
last_check = 2026-01-31
every_months = 12

[[tool]]
id = "T3"
name = "Preset key" # the small one
mass = "130 g"
length = "110 mm"
width = "90 mm"
height = "28 mm"
count = 2
parts = [{ name = "bit", count = 3 }]

[[tool]]
id = "T4"
name = "Hub spacer gauge"
mass = "60 g"
length = "90 mm"
width = "40 mm"
height = "10 mm"
[tool.gauge]
purpose = "spacer for the rear hub"
dimension = "thickness"
nominal = "12.05 mm"
lowest = "12 mm"
highest = "12.1 mm"
""",
    "supplies.toml": """
[[supply]]
id = "S1"
name = "Mineral oil"
measure = "ml"
pack = "100 ml"
stock = "250 ml"
opened = "2026-02-01"

[[supply]]
id = "S2"
name = "Cable ties"
measure = "pc"
mass = "90 g"
length = "200 mm"
width = "50 mm"
height = "20 mm"
carried = true
""",
    "jobs.toml": """
[[job]]
id = "J1"
name = "Brake bleed"
per_day = 1.5
[[job.step]]
text = "open"
tools = ["T1", "T2 x2"]
[[job.step]]
text = "fill"
minutes = 5
supplies = { S1 = "30 ml", S2 = "2 pc" }

[[job]]
id = "J2"
name = "Wheel true"
urgent = true
[[job.step]]
text = "true it"
tools = ["T1"]
""",
    "rules.toml": """
[[rule]]
name = "keys on top"
ask = "pinned"
items = ["T1", "T3"]
compartments = ["top"]

[[rule]]
name = "quick"
ask = "within"
items = ["T1"]
within = "6 s"
""",
    "times.toml": """
[[reading]]
of = "lid"
times = ["2.4 s", "2.6 s"]
""",
    "layouts/present.toml": """
name = "present"
[[spot]]
item = "T1"
compartment = "top"
x = "0 mm"
y = "0 mm"
[[spot]]
item = "T3/2"
compartment = "bin"
""",
}


def write_files(folder: Path, texts: dict[str, str] = FILES) -> Path:
    """Write a kit folder with these texts; the folder."""
    for name, text in texts.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.lstrip().encode("utf-8"))
    return folder


def spoil(folder: Path, file: str, old: str, new: str) -> None:
    """Put ``new`` for the one ``old`` in a file."""
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {file}"
    path.write_text(text.replace(old, new), encoding="utf-8")


def bytes_of(folder: Path) -> dict[str, bytes]:
    """Every file below a folder by its path, hidden ones too."""
    files = (path for path in sorted(folder.rglob("*")) if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def append_tools(folder: Path, tools: Iterable[Tool]) -> None:
    """Add tools at the end of tools.toml."""
    append_entries(folder / "tools.toml", "tool", [tables.tool_table(tool) for tool in tools])


def append_supplies(folder: Path, supplies: Iterable[Supply]) -> None:
    """Add supplies at the end of supplies.toml."""
    entries = [tables.supply_table(supply) for supply in supplies]
    append_entries(folder / "supplies.toml", "supply", entries)


def append_jobs(folder: Path, jobs: Iterable[Job]) -> None:
    """Add jobs at the end of jobs.toml; the supplies that they use up are there already."""
    path = folder / "supplies.toml"
    there = tomllib.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    measures = {one["id"]: Measure(one["measure"]) for one in there.get("supply", [])}
    entries = [tables.job_table(job, measures) for job in jobs]
    append_entries(folder / "jobs.toml", "job", entries)
