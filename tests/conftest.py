"""Fixtures for all tests."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def shared() -> Path:
    """Reference data that stands beside the repository and is not part of it."""
    folder = Path(__file__).parents[1].parent / "shared"
    if not folder.is_dir():
        pytest.skip(f"no reference data at {folder}")
    return folder
