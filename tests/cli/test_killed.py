"""Count, checklist and settling killed at random moments: all that was said is there, no more.

What must hold is that of any durable transaction (Haerder and Reuter, Principles of
Transaction-Oriented Database Recovery, 1983: all of it or nothing, and what was
acknowledged stays). The kills and the checks are those of ``bench/kills.py``.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

KILLS = Path(__file__).parents[1] / "bench" / "kills.py"


@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL and fork")
@pytest.mark.parametrize("kills", [2, pytest.param(200, marks=pytest.mark.slow)])
def test_killed_at_any_moment_nothing_said_is_lost_and_nothing_else_is_there(kills: int) -> None:
    """Acknowledged entries are there whole, once, and no others but those that were tried."""
    done = subprocess.run(
        [sys.executable, KILLS, "--kills", str(kills)], capture_output=True, text=True
    )
    assert (done.returncode, done.stderr) == (0, ""), done.stdout
    lines = done.stdout.splitlines()
    assert [line.split()[0] for line in lines] == ["count", "checklist", "settle"]
    assert all(f" {kills} kills, " in line and " 0 faults; " in line for line in lines)
