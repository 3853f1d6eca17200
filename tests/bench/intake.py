"""How long a list takes to be read and held against a kit, and how much memory.

A list of 5,000 tools in the usual messy dress (titles, groups, units in cells, totals) is made
up on the spot, read, and held against an empty kit and against one that has it all; then it is
stored in a kit folder, and that is read. Then the two ways in which a file of 50 MB can turn
up: a table too long, and no table at all. Each runs in a process of its own, so that its most
memory is its own.

    python tests/bench/intake.py
"""

from __future__ import annotations

import random
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from toolbox.desk.folder import open_kit
from toolbox.desk.intake import list_bytes, store, take_in
from toolbox.files.forms import new_kit
from toolbox.intake.against import against
from toolbox.intake.difference import State
from toolbox.intake.read import read
from toolbox.intake.reading import Answers
from toolbox.kit.box import Box
from toolbox.kit.kit import Kit
from toolbox.kit.things import Size

KIT = Kit("Cross squad", Box("Case", Size(6900, 4400, 2800), 6500, 7000, (), ()))
WORDS = ("Hex", "Star", "Socket", "Spanner", "Bearing", "Press", "Driver", "Puller", "Extension")
ROWS = 5000


def made_up(rows: int) -> bytes:
    """A list of so many tools, each of a name of its own."""
    dice = random.Random(1)
    lines = ["Tool list;;;;;", "Where;Tool;Qty;Weight (g);Size;Note"]
    for number in range(rows):
        if number % 100 == 0:
            lines += [";;;;;", f"TRAY {number // 100};;;;;"]
        name = f"{dice.choice(WORDS)} {dice.choice(WORDS).lower()} {number} mm"
        kilos = f"{dice.randint(1, 9)},{dice.randint(10, 99)} kg"
        mass = dice.choice((f"{dice.randint(5, 900)}", kilos))
        sides = " x ".join(str(dice.randint(10, 300)) for _ in range(3))
        lines.append(f";{name};{dice.choice(('1', '2x', '3'))};{mass};{sides} mm;steel")
    return "\r\n".join(lines).encode("cp1252")


def measure_storing() -> None:
    """Seconds of processor for storing the list in a new kit folder, and for reading that."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "kit"
        new_kit(home, "clamshell", "Cross squad")
        kit = open_kit(home)
        entries = take_in(kit, made_up(ROWS), "list.csv", Answers()).difference.entries
        busy = time.process_time()
        store(kit, entries)
        used, busy = time.process_time() - busy, time.process_time()
        tools = len(open_kit(home).kit.tools)
        read_again = time.process_time() - busy
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(
        f"store            {used:6.2f} s busy  {most:4} MiB  "
        f"{tools} tools; the kit read {read_again:.2f} s"
    )


def measure(what: str) -> None:
    """One measurement in this process: seconds of processor and clock, most memory, outcome."""
    if what == "rows":
        data = made_up(ROWS)
    else:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "large"
            line = b"Hex key 5 mm;1;28;60 x 40 x 12 mm\n" if what == "long" else bytes(range(256))
            path.write_bytes(line * (50_000_000 // len(line)))
            clock, busy = time.perf_counter(), time.process_time()
            data = list_bytes(path)
            del line
    if what == "rows":
        clock, busy = time.perf_counter(), time.process_time()
    reading = read(data, "list.csv")
    found = against(reading, KIT)
    seconds, used = time.perf_counter() - clock, time.process_time() - busy
    said = f"{len(found.tools)} tools, {len(found.questions)} questions"
    if what == "rows":
        kit = replace(KIT, tools=found.tools)
        again = time.process_time()
        same = against(read(data, "list.csv"), kit).of(State.SAME)
        said += f"; again {time.process_time() - again:.2f} s, {len(same)} the same"
    if found.refusals:
        said = found.refusals[0].sentence()
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"{what:8} {seconds:6.2f} s  {used:6.2f} s busy  {most:4} MiB  {said}")


if __name__ == "__main__":
    if len(sys.argv) > 1:
        measure_storing() if sys.argv[1] == "store" else measure(sys.argv[1])
    else:
        for case in ("rows", "store", "long", "bytes"):
            subprocess.run([sys.executable, __file__, case], check=True)
