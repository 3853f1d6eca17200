"""Where the times come from, as shown to the mechanic."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from clikit import Ran

Run = Callable[..., Ran]


def test_a_stopwatch_reading_replaces_the_table_and_shows_its_spread(
    run: Run, kit_dir: Path
) -> None:
    """The middle of three readings counts, from shortest to longest is shown."""
    before = run("reach", "chain tool", "--kit", kit_dir, "--json").data()
    assert {o["source"] for o in before["openings"]} == {"table"}
    (kit_dir / "times.toml").write_text(
        '[[reading]]\nof = "lid"\ntimes = ["2.4 s", "3.1 s", "2.6 s"]\n', encoding="utf-8"
    )
    lid = run("reach", "chain tool", "--kit", kit_dir, "--json").data()["openings"][0]
    assert (lid["milliseconds"], lid["source"], lid["spread_ms"]) == (
        2600,
        "measured",
        [2400, 3100],
    )
    assert "stopwatch, 2.4-3.1 s" in run("reach", "--kit", kit_dir).out


def test_motions_explain_a_time_from_the_table(run: Run, kit_dir: Path) -> None:
    """With --motions the codes of the table stand behind each time."""
    out = run("reach", "chain tool", "--motions", "--kit", kit_dir).out
    assert "RL1" in out
    assert "TMU" in out
    assert run("reach", "vice", "--kit", kit_dir).code == 1
