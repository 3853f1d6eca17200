"""Finding things by a few letters."""

from __future__ import annotations

import pytest

from toolbox.desk.names import Named, match

TOOLS = (
    Named("T-1", "T-handle hex key 4 mm"),
    Named("T-2", "T-handle hex key 5 mm"),
    Named("T-3", "L-shaped hex key 4 mm"),
    Named("T-4", "Chain tool"),
    Named("T-5", "Chain wear gauge"),
    Named("T-6", "Clé à rayons"),
    Named("T-10", "Socket 10 mm"),
    Named("chain", "Spare link"),
)


@pytest.mark.parametrize(
    ("letters", "ids"),
    [
        ("T-1", ["T-1"]),  # an id wins alone, though T-10 begins like it
        ("t-1", ["T-1"]),
        ("chain", ["chain"]),  # an id goes before names that begin so
        ("Chain tool", ["T-4"]),
        ("ch to", ["T-4"]),
        ("cha", ["T-4", "T-5"]),
        ("hex 4", ["T-1", "T-3"]),
        ("handle 4", ["T-1"]),
        ("key", ["T-1", "T-2", "T-3"]),
        ("cle\u0301", ["T-6"]),  # decomposed letters mean the same
        ("cle", ["T-6"]),  # and an accent need not be typed
        ("earga", []),
        ("ear gau", ["T-5"]),  # inside words, when no word begins so
    ],
)
def test_letters_mean_these_tools(letters: str, ids: list[str]) -> None:
    """The best kind of likeness decides; several are given back in the list's order."""
    assert [thing.id for thing in match(letters, TOOLS).found] == ids


def test_nothing_alike_offers_near_names() -> None:
    """A misspelt name finds nothing but is offered what it is near to."""
    result = match("chian tool", TOOLS)
    assert result.only is None
    assert "T-4" in [thing.id for thing in result.near]


def test_empty_letters_mean_nothing() -> None:
    """Blanks are no name: they must not match everything."""
    assert match("  ", TOOLS).found == ()
