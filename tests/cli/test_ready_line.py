"""Readiness in one line for a status bar: never wider than it may be, and nothing left out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from clikit import Ran
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from toolbox.cli import codes
from toolbox.cli.ready_line import ready_line
from toolbox.desk.readiness import Finding, Seriousness

NAMES = st.text(st.sampled_from("ab ;[/漢字שלום\u0301\u202e\n\x1b"), min_size=1, max_size=90)
FINDINGS = st.builds(
    Finding,
    st.sampled_from(Seriousness),
    NAMES,
    st.just("kit"),
    st.just("toolbox check"),
    st.just(""),
    st.one_of(st.just(""), NAMES),
)


def found(*briefs: str) -> list[Finding]:
    """Findings to mend with these brief words, and a note."""
    note = Finding(Seriousness.NOTE, "good to know", "kit", "toolbox check")
    return [*(Finding(Seriousness.MEND, "long", "kit", "x", "", brief) for brief in briefs), note]


def test_as_much_as_there_is_room_for() -> None:
    """Counted by hand: sixty columns, the rest as a number."""
    assert ready_line(found()) == "READY"
    assert ready_line(found("one", "two")) == "NOT READY 2: one; two"
    assert ready_line(found("a" * 23, "b" * 22)) == f"NOT READY 2: {'a' * 23}; {'b' * 22}"
    assert ready_line(found("a" * 23, "b" * 23)) == f"NOT READY 2: {'a' * 23}; +1"
    assert ready_line(found("a" * 50, "b")) == f"NOT READY 2: {'a' * 42}~; +1"
    assert ready_line(found("")) == "NOT READY 1: long"


@settings(max_examples=60, deadline=None)
@given(st.lists(FINDINGS, max_size=12))
def test_it_is_one_line_that_fits_and_counts_all(findings: list[Finding]) -> None:
    """Whatever things are called (columns as Rich counts them)."""
    line = ready_line(findings)
    mend = sum(finding.seriousness is not Seriousness.NOTE for finding in findings)
    assert cell_len(line) <= 60
    assert len(line.splitlines()) == 1
    assert line.startswith(f"NOT READY {mend}: " if mend else "READY")


def test_the_command_says_it_with_the_same_exit_code(
    run: Callable[..., Ran], kit_dir: Path
) -> None:
    """The small kit was never planned; for programs there is --json."""
    ran = run("ready", "--line", "--kit", kit_dir)
    assert (ran.out, ran.code) == ("NOT READY 1: no plan of the box was made yet\n", codes.NO)
    assert run("ready", "--line", "--json", "--kit", kit_dir).code == 2
