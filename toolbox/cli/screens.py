"""The screens, and where none can be shown the same in plain words; the command ready."""

from __future__ import annotations

import os
import sys
from datetime import date
from pathlib import Path

import click

from toolbox.cli import codes
from toolbox.cli.common import author, day, json_option, kit_option, now, today_option
from toolbox.cli.words import clean, paragraph, remark, say, say_json
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import find_kit

THEMES = ("dark", "light", "sun")


@click.command()
@click.option("--print", "printed", is_flag=True, help="No screens: print what ready prints.")
@click.option("--no-mouse", is_flag=True, help="Leave the mouse to the terminal.")
@click.option("--theme", type=click.Choice(THEMES), help="Colours for this time.")
@click.option("--look-only", is_flag=True, help="Show all, write nothing: refuse every change.")
@today_option
@kit_option
def screens(
    printed: bool,
    no_mouse: bool,
    theme: str | None,
    look_only: bool,
    today: str | None,
    kit_path: Path | None,
) -> None:
    """Open the screens on the kit here, or on the one opened last."""
    fixed = day(today) if today is not None else None
    hindrance = "" if printed else no_screens()
    start, words = _kit_to_open(kit_path)
    if look_only and start is None:
        raise DeskError("--look-only shows a kit, and there is none here: name one with --kit DIR")
    if not (printed or hindrance):
        code = show_screens(
            start, mouse=not no_mouse, theme=theme, today=fixed, words=words, look_only=look_only
        )
        raise click.exceptions.Exit(code)
    if hindrance:
        remark(paragraph(f'No screens: {hindrance}. Here is what "toolbox ready" prints.'))
    if start is None:
        raise DeskError(
            'no kit here, and none was opened before. Make one with "toolbox new DIR --box '
            'clamshell", or try "toolbox demo"'
        )
    if words:
        remark(words)
    raise click.exceptions.Exit(say_ready(start, fixed))


@click.command()
@click.option("--line", is_flag=True, help="One line of at most 60 columns, for a status bar.")
@today_option
@kit_option
@json_option
def ready(line: bool, today: str | None, kit_path: Path | None, as_json: bool) -> None:
    """Say READY or NOT READY, and what must be mended, most serious first."""
    if line and as_json:
        raise click.UsageError("--line is for people and --json for programs: give one of them")
    path = find_kit(kit_path or Path.cwd())
    fixed = day(today) if today is not None else None
    code = say_ready(path, fixed, as_json=as_json, in_a_line=line)
    raise click.exceptions.Exit(code)


def no_screens() -> str:
    """Why no screens can be shown here, in words; "" when they can."""
    from toolbox.tui.launch import hindrance

    return hindrance(os.environ, keyboard=sys.stdin.isatty(), screen=sys.stdout.isatty())


def show_screens(
    start: Path | None,
    *,
    mouse: bool = True,
    theme: str | None = None,
    today: date | None = None,
    words: str = "",
    look_only: bool = False,
) -> int:
    """Show the screens on a kit (None: the welcome) until they are left; the exit code."""
    from toolbox.tui.launch import run

    return run(
        start,
        now=now,
        author=author(None),
        mouse=mouse,
        theme=theme,
        today=today,
        remark=words,
        look_only=look_only,
    )


def place_keys() -> tuple[tuple[str, str], ...]:
    """Each place of the screens with the key that goes there, as the settings have it."""
    from toolbox.tui.launch import place_keys as keys

    return keys()


def say_ready(
    path: Path, today: date | None, *, as_json: bool = False, in_a_line: bool = False
) -> int:
    """Print the readiness findings of the kit in this folder; DONE when it is ready, else NO.

    As of ``today``, None for the day it is.
    """
    from toolbox.cli.ready_line import ready_line
    from toolbox.desk.picture import picture_now, take_picture

    picture = take_picture(path, today) if today is not None else picture_now(path, now())
    if as_json:
        findings = [
            {
                "seriousness": finding.seriousness.value,
                "words": finding.words,
                "place": finding.place,
                "command": finding.command,
            }
            for finding in picture.findings
        ]
        say_json({"folder": str(path), "ready": picture.ready, "findings": findings})
    elif in_a_line:
        say(ready_line(picture.findings))
    else:
        say(f"{picture.verdict}: {clean(picture.name)}")
        for finding in picture.findings:
            say(f"{finding.seriousness.value}  {_hung(finding.words)}")
            say(f"      {finding.command}")
    return codes.DONE if picture.ready else codes.NO


def _hung(words: str) -> str:
    return paragraph(clean(words), "      ").lstrip()


def _kit_to_open(kit_path: Path | None) -> tuple[Path | None, str]:
    """The kit named, the one here or above, or the last one; with words on which, if not here."""
    if kit_path is not None:
        return find_kit(kit_path), ""
    try:
        return find_kit(Path.cwd()), ""
    except DeskError:
        from toolbox.tui.launch import last_kit

        last = last_kit()
        if last is None:
            return None, ""
        return last, f"There is no kit in this folder; here is the one opened last: {last}"
