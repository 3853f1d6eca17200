"""A part of all that can happen to the files of a kit, each on purpose; the bench does the rest.

What must hold is that of any durable store (Haerder and Reuter, Principles of
Transaction-Oriented Database Recovery, 1983: all of it or nothing, and what was acknowledged
stays). The faults and the checks are those of ``bench/faults.py``.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

FAULTS = Path(__file__).parents[1] / "bench" / "faults.py"
KINDS = 10


@pytest.mark.skipif(sys.platform != "linux", reason="the faults are put under Linux's calls")
@pytest.mark.skipif(shutil.which("cc") is None, reason="needs a C compiler")
@pytest.mark.parametrize(
    "part",
    [
        ["--ways", "log,import", "--share", "0.06", "--damaged", "6"],
        pytest.param(["--share", "0.3"], marks=pytest.mark.slow),
    ],
)
def test_whatever_happens_nothing_acknowledged_is_lost_and_what_is_broken_is_told(
    part: list[str],
) -> None:
    """Each kind of fault is met, and none of them is answered wrongly."""
    done = subprocess.run([sys.executable, FAULTS, *part], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    numbers = [int(n) for n in re.findall(r" (\d+) faults, \d+ opened", done.stdout)]
    assert len(numbers) == KINDS
    assert sum(numbers) >= 20
    assert sum(n > 0 for n in numbers) >= 6
