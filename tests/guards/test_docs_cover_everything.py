"""README and DEVELOPERS.md keep up with the commands, the file keys and the code's map."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import click
import pytest

from toolbox.cli import COMMANDS, cli
from toolbox.cli.codes import MEANINGS

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PROSE = re.sub(r"^```.*?^```", "", README, flags=re.M | re.S)
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_and_stands_in_the_readme(name: str) -> None:
    """Each command says what it is for, and README's table names it."""
    command = cli.get_command(click.Context(cli), name)
    assert command is not None
    assert command.help
    assert f"| `toolbox {name}" in README


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_has_help(name: str) -> None:
    """No option without a sentence: --help is the manual in the pits."""
    command = cli.get_command(click.Context(cli), name)
    assert command is not None
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            assert parameter.help, f"{name} {parameter.opts}"


def test_every_exit_code_stands_in_the_readme() -> None:
    """README lists each exit code by its number."""
    line = next(line for line in README.splitlines() if line.startswith("Exit codes:"))
    assert {int(n) for n in re.findall(r"(?:: |; )(\d)", line)} == set(MEANINGS)


def test_the_keys_in_the_readme_are_those_of_the_table() -> None:
    """README's table of keys is the one that the table of actions gives."""
    from toolbox.tui.actions import docs_table

    table = README.partition("<!-- keys -->\n")[2].partition("\n<!-- /keys -->")[0]
    assert table == docs_table()


def test_every_setting_stands_in_the_readme() -> None:
    """Each key of the settings file is shown in README."""
    from toolbox.tui.settings import SETTINGS

    shown = README.partition("## The screens")[2].partition("## The kit folder")[0]
    for key in SETTINGS:
        assert f"\n{key} = " in shown or f"[{key}]" in shown, key


def test_every_file_key_stands_in_the_readme() -> None:
    """Each key that the file readers accept is documented in README."""
    from toolbox.files.schema import file_keys

    documented = {word for span in re.findall(r"`([^`\n]+)`", PROSE) for word in _words(span)}
    for file, keys in file_keys().items():
        missing = {key for key in keys if key not in documented}
        assert not missing, f"{file}: {missing}"


@pytest.mark.parametrize(
    "tables", ["trip_tables", "goods_tables", "template_tables", "label_tables"]
)
def test_every_key_of_trips_and_goods_stands_in_the_readme(tables: str) -> None:
    """The same for the files beside the kit: trips, goods rules and lists."""
    from toolbox.files import schema

    module = importlib.import_module(f"toolbox.files.{tables}")
    documented = {word for span in re.findall(r"`([^`\n]+)`", PROSE) for word in _words(span)}
    models = [sort.model for sort in module.SORTS]
    for model in models:
        models += [
            inner
            for field in model.model_fields.values()
            for inner in schema.inner_tables(field.annotation)
        ]
        missing = set(model.model_fields) - documented
        assert not missing, f"{model.__name__}: {missing}"


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z_]+", text)


def test_every_module_stands_in_the_map() -> None:
    """DEVELOPERS.md has a line for each module of the package."""
    for path in sorted((ROOT / "toolbox").rglob("*.py")):
        name = path.relative_to(ROOT / "toolbox").as_posix()
        if not name.endswith("__init__.py") and name != "__main__.py":
            assert f"`{name.removesuffix('.py')}`" in DEVELOPERS, name


def test_every_guard_named_in_developers_exists() -> None:
    """An invariant names the guard that keeps it, and that guard is there."""
    named = set(re.findall(r"`(test_[a-z_]+)`", DEVELOPERS))
    tests = "\n".join(p.read_text(encoding="utf-8") for p in (ROOT / "tests").rglob("*.py"))
    files = {p.stem for p in (ROOT / "tests").rglob("*.py")}
    assert named
    for name in named:
        assert f"def {name}(" in tests or name in files, name


def test_the_project_speaks_of_itself_alone() -> None:
    """No file names a folder of somebody's machine or a numbered entry of a tracker."""
    banned = re.compile(r"(?<![\w.])/(?:home|root|tmp|work|Users)/|issue #?\d", re.I)
    for folder in ("toolbox", "tests", "layouts", "demo"):
        for path in sorted((ROOT / folder).rglob("*")):
            if path.suffix in (".py", ".toml", ".md", ".json") and path != Path(__file__):
                found = banned.search(path.read_text(encoding="utf-8"))
                assert found is None, f"{path.name}: {found.group() if found else ''}"
