"""Reading metric quantities must not load pint: it costs a quarter of a second."""

from __future__ import annotations

import subprocess
import sys

SCRIPT = """
import sys
from toolbox.kit.quantities import Kind, read, write
assert read("450 g", Kind.MASS) == 450
assert read("1.5 L", Kind.VOLUME) == 1500
assert read("5 N·m", Kind.TORQUE) == 5000
write(450, Kind.MASS)
print("pint" in sys.modules)
read("{foreign}", Kind.MASS)
print("pint" in sys.modules)
"""


def _run(foreign: str) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-X", "utf8", "-c", SCRIPT.replace("{foreign}", foreign)],
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    return done.stdout.split()


def test_metric_quantities_do_not_load_pint() -> None:
    """Importing, reading metric and writing leave pint alone; the first foreign unit loads it."""
    assert _run("2 kg") == ["False", "False"]
    assert _run("1 lb") == ["False", "True"]
