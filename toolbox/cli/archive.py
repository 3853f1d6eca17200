"""The command export: the whole kit as plain text, or tables for spreadsheets."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, today_option
from toolbox.cli.papers import out_option
from toolbox.cli.words import clean, count, paragraph, say, say_json
from toolbox.desk.archive import Exported, export_kit
from toolbox.desk.folder import find_kit
from toolbox.desk.spreadsheets import export_sheets, left_out


@click.command()
@out_option("The folder to write into: a new one, or an empty one.")
@click.option(
    "--csv", "as_csv", is_flag=True, help="Tables for spreadsheets instead of the whole kit."
)
@today_option
@kit_option
@json_option
def export(
    out: Path, as_csv: bool, today: str | None, kit_path: Path | None, as_json: bool
) -> None:
    """Write the whole kit and its log as plain text into a folder.

    "toolbox new FOLDER --from DIR" makes the same kit of it, here or elsewhere. With --csv
    only tools, supplies, jobs, counts and stocks, as tables for spreadsheets.
    """
    if as_csv:
        _export_csv(out, today, kit_path, as_json=as_json)
        return
    if today is not None:
        raise click.UsageError("--today goes with --csv: the whole kit is of no day.")
    written = export_kit(find_kit(kit_path or Path.cwd()), out)
    if as_json:
        say_json(
            {
                "folder": str(out),
                "files": list(written.files),
                "facts": written.facts,
                "left_out": list(written.left_out),
                "hidden": written.hidden,
            }
        )
        return
    _say(out, written)


def _export_csv(out: Path, today: str | None, kit_path: Path | None, *, as_json: bool) -> None:
    folder = kit_folder(kit_path)
    of = looked_at(folder, today)
    names = export_sheets(folder, of, out)
    without = left_out(folder.kit)
    if as_json:
        say_json(
            {
                "folder": str(out),
                "day": of.isoformat(),
                "files": list(names),
                "left_out": list(without),
            }
        )
        return
    say(paragraph(f"Wrote {', '.join(names)} into {out}, counts and stocks as of {of}."))
    say(paragraph("Read tools, supplies and jobs back with: toolbox import FILE.csv"))
    if without:
        say(
            paragraph(
                f"Not in these tables, for lists have no columns for it: {'; '.join(without)}."
            )
        )
        say(
            paragraph(
                "Into this kit read back it stays as it is; all of it goes along without --csv."
            )
        )


def _say(out: Path, written: Exported) -> None:
    files, facts = count(len(written.files), "file"), count(written.facts, "fact")
    say(f"Wrote {files} of the kit and {facts} of its log into {out}.")
    if written.left_out:
        names = clean(", ".join(written.left_out))
        say(paragraph(f"Left out, since they are no part of the kit: {names}."))
    if written.hidden:
        hidden = count(written.hidden, "hidden file")
        say(f"Left out: {hidden}, such as the versions before the last change.")
    say(f"A kit of it: toolbox new FOLDER --from {out}")
