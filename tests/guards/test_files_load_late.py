"""Asking for the file layer loads no validator and no TOML writer before there is a file."""

from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.parametrize("module", ["problems", "reading", "writing", "layouts", "forms", "tables"])
def test_importing_the_file_layer_is_cheap(module: str) -> None:
    """pydantic, tomlkit and tomli_w are imported by the function that needs them first."""
    code = f"import sys, toolbox.files.{module}; print(*sorted(sys.modules))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = {name.split(".")[0] for name in run.stdout.split()}
    assert "toolbox" in loaded
    assert not loaded & {"pydantic", "tomlkit", "tomli_w", "pint"}
