"""README's short examples are typed on the demo as they stand there: each finds what it names."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.cli import codes
from toolbox.desk.setup import lay_out_demo

README = Path(__file__).parents[2] / "README.md"
# Quick ones that name things; the others search for long, need a file, or are tried elsewhere.
COMMANDS = ("log", "pick", "place", "find", "pitbag", "stow", "count", "settle", "recount")


def examples() -> Iterator[list[str]]:
    """The lines of README's blocks that begin with these commands, without --plan."""
    for block in re.findall(r"^```sh\n(.*?)^```", README.read_text("utf-8"), re.S | re.M):
        for line in block.splitlines():
            words = shlex.split(line, comments=True)
            if words[:1] == ["toolbox"] and words[1] in COMMANDS:
                yield [word for word in words[1:] if word != "--plan"]


def test_each_short_example_finds_what_it_names_on_the_demo(
    tmp_path: Path, run: Callable[..., Ran], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In README's order on one demo; closing the day is rightly refused, and nothing else."""
    monkeypatch.chdir(lay_out_demo(tmp_path / "demo").path)
    found = list(examples())
    assert {words[0] for words in found} == set(COMMANDS)
    for words in found:
        expected = codes.NO if words == ["count", "--close"] else codes.DONE
        ran = run(*words)
        assert ran.code == expected, (words, ran.err)
