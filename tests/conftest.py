"""Fixtures for all tests."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

# Tests leave no copies of their kits behind; those of the copies themselves ask for them.
os.environ["TOOLBOX_COPIES"] = "no"


@pytest.fixture(scope="session")
def shared() -> Path:
    """Reference data that stands beside the repository and is not part of it."""
    folder = Path(__file__).parents[1].parent / "shared"
    if not folder.is_dir():
        pytest.skip(f"no reference data at {folder}")
    return folder
