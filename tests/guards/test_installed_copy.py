"""An installed copy works far from the clone."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
from pathlib import Path

ROOT = Path(__file__).parents[2]


def run(*command: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run a command to its end without our own environment's paths; it must succeed."""
    env = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "TOOLBOX_KIT")}
    done = subprocess.run(command, cwd=cwd, env=env, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done


def test_the_wheel_runs_the_demo_in_a_fresh_environment(tmp_path: Path) -> None:
    """Built, installed outside the repository and run there, the demo prints its plan."""
    dist = tmp_path / "dist"
    run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "-o", dist, cwd=ROOT)
    (wheel,) = dist.glob("toolbox-*.whl")
    run(sys.executable, "-m", "venv", tmp_path / "far", cwd=tmp_path)
    scripts = tmp_path / "far" / ("Scripts" if os.name == "nt" else "bin")
    python = scripts / "python"
    run(python, "-m", "pip", "install", "-q", "--no-deps", wheel, cwd=tmp_path)
    # The libraries are lent from this environment, so that the test needs no
    # network; a plain path line does not bring its editable installs along.
    where = run(
        python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=tmp_path
    )
    site = Path(where.stdout.strip())
    (site / "lent.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    origin = run(python, "-c", "import toolbox; print(toolbox.__file__)", cwd=tmp_path)
    assert str(site) in origin.stdout
    shown = run(scripts / "toolbox", "demo", "--print", cwd=tmp_path)
    assert "The plan saves" in shown.stdout
    listed = run(scripts / "toolbox", "new", "kit", "--box", "clamshell", cwd=tmp_path)
    assert "Made the kit" in listed.stdout
