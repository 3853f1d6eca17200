"""How long the first frame takes beside a bare Textual app, and how long lists take to open.

``python tests/bench/screens.py`` starts fresh interpreters in turn, some rounds of each
kind, and takes the median: a bare Textual app with one line of text, our app on the
demo, and the whole command ``toolbox screens``. The time is from before the process
starts until its first frame was drawn. Then the ranking of a large kit is opened beside that of
a small one, see ``lists``, and the map of a large box drawn, see ``maps``.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

MOST = 1.3  # times the bare app

BARE = """
import os, sys, time
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        yield Static("bare")
    def on_ready(self):
        os.write(1, repr(time.time()).encode()); os._exit(0)
Bare().run(headless=True)
"""
OURS = """
import os, sys, time
from datetime import UTC, datetime
from pathlib import Path
from toolbox.tui.launch import quieten
quieten(os.environ)
from toolbox.tui.app import ToolboxApp
class Timed(ToolboxApp):
    def on_ready(self):
        os.write(1, repr(time.time()).encode()); os._exit(0)
Timed(Path(sys.argv[1]), now=lambda: datetime.now(UTC), author="bench").run(headless=True)
"""
COMMAND = """
import os, sys, time
from toolbox.cli import main
import toolbox.tui.launch as launch
launch.hindrance = lambda *_, **__: ""
from toolbox.tui.app import ToolboxApp
def ready(self):
    os.write(1, repr(time.time()).encode()); os._exit(0)
ToolboxApp.on_ready = ready
run = ToolboxApp.run
ToolboxApp.run = lambda self, **_: run(self, headless=True)
sys.argv = ["toolbox", "screens", "--kit", sys.argv[1]]
main()
"""
KINDS = {"bare Textual app": BARE, "our app": OURS, "toolbox screens": COMMAND}


def first_frame(code: str, kit: Path) -> float:
    """Seconds from before a fresh interpreter starts until its app drew its first frame."""
    begun = time.time()
    run = subprocess.run([sys.executable, "-c", code, kit], capture_output=True, check=True)
    return float(run.stdout) - begun


def medians(rounds: int, kit: Path) -> dict[str, float]:
    """Median seconds to the first frame of each kind, the kinds taken in turn."""
    times: dict[str, list[float]] = {kind: [] for kind in KINDS}
    for number in range(rounds + 1):
        for kind, code in KINDS.items():
            taken = first_frame(code, kit)
            if number:  # the first round only warms the disk's memory
                times[kind].append(taken)
    return {kind: statistics.median(taken) for kind, taken in times.items()}


def main() -> int:
    """Print the figures; 1 when our app takes more than ``MOST`` times the bare one, or a
    long list or a map longer than it may."""
    from lists import opened_lists, say_lists
    from maps import drawn_maps, say_maps

    from toolbox.desk.setup import lay_out_demo

    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--rounds", type=int, default=9, help="runs of each kind")
    words.add_argument("--openings", type=int, default=3, help="times each list is opened")
    asked = words.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        kit = lay_out_demo(Path(scratch) / "demo").path
        found = medians(asked.rounds, kit)
        lists = opened_lists(Path(scratch), asked.openings)
    bare = found["bare Textual app"]
    for kind, seconds in found.items():
        print(f"{kind:<18} {1000 * seconds:6.0f} ms  {seconds / bare:5.2f} times")
    quick = all([say_lists(*lists), say_maps(drawn_maps())])
    return int(found["our app"] > MOST * bare or not quick)


if __name__ == "__main__":
    sys.exit(main())
