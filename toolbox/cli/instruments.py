"""Commands that show instruments: how each stands, its history, several compared."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import click

from toolbox.cli import codes
from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, meant, today_option
from toolbox.cli.instruments_data import bar_data, past_data, series_data, stand_data
from toolbox.cli.words import clean, count, paragraph, say, say_json, table
from toolbox.desk.errors import DeskError
from toolbox.desk.evening_words import said_words
from toolbox.desk.figures import capital
from toolbox.desk.folder import KitFolder, names_of
from toolbox.desk.gauge_pairs import Comparison, TypedPairs, compare_gauges
from toolbox.desk.instrument_checks import instrument_named
from toolbox.desk.instrument_history import (
    Past,
    Series,
    corrected,
    pasts,
    series,
    story,
)
from toolbox.desk.instrument_picture import LEGEND, Bar, bars_of, drawn
from toolbox.desk.instrument_view import due_lines, setting_words
from toolbox.desk.instrument_words import UNITS, figure, offset_words, series_words, valued
from toolbox.desk.instruments import CAUTION, Stand, flags, kind_of, stands
from toolbox.desk.naming import job_named
from toolbox.kit.quantities import Kind, QuantityError, read
from toolbox.kit.things import Tool

WIDTH = 37


@click.command("instruments")
@click.argument("tool", required=False)
@click.option("--job", metavar="JOB", help="The instruments of this job, step by step.")
@click.option("--set", "wanted", metavar="VALUE", help='What to set for this true value: "5 N·m".')
@today_option
@kit_option
@json_option
def instruments(
    tool: str | None,
    job: str | None,
    wanted: str | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Show which instruments are due for a check, or the history of one TOOL.

    With --set it says what the tool must be set to, or show, so that the truth is right.
    The answer is no (exit code 1) while one that travels, or the one named, is out.
    """
    folder = kit_folder(kit_path)
    on = looked_at(folder, today)
    found = stands(folder.kit, folder.live, on)
    if wanted is not None and tool is None:
        raise DeskError("name the tool that is to be set")
    if job is not None:
        _say_job(folder, job, found, as_json)
    elif tool is None:
        _say_all(folder, on, as_json)
    else:
        meant_tool = folder.kit.tool(meant(instrument_named, folder.kit, tool))
        if wanted is not None:
            _say_setting(folder, found[meant_tool.id], wanted, on, as_json)
            return
        _say_one(folder, found[meant_tool.id], on, as_json)


def _say_all(folder: KitFolder, on: date, as_json: bool) -> None:
    order = [line.stand for line in due_lines(folder, on)]
    if as_json:
        say_json({"instruments": [stand_data(one) for one in order], "caution": CAUTION})
    elif not order:
        say("No instruments in this kit: a tool becomes one by its [tool.instrument] or gauge.")
    else:
        rows = [(_mark(one), clean(one.tool.name), clean(one.words)) for one in order]
        say(table(("", "instrument", "how it stands"), rows))
        wound = [one.tool.name for one in order if one.unwound]
        if wound:
            say()
            say(paragraph(clean(f"To wind down: {', '.join(wound)}. [common practice]")))
        say()
        say(paragraph(CAUTION))
    if any(one.out and one.tool.carried for one in order):
        raise click.exceptions.Exit(codes.NO)


def _mark(one: Stand) -> str:
    return "OUT" if one.out else "soon" if one.soon else ""


def _say_one(folder: KitFolder, one: Stand, today: date, as_json: bool) -> None:
    tool = one.tool
    checks = pasts(folder.kit, tool, folder.live, today)
    found = series(tool, folder.live, today)
    last = next((past for past in reversed(checks) if past.result is not None), None)
    if as_json:
        say_json(
            {
                **stand_data(one),
                "checks": [past_data(past) for past in checks],
                "last": [bar_data(bar) for bar in _bars(last)],
                "series": None if found is None else series_data(found),
                "caution": CAUTION,
            }
        )
    else:
        say(paragraph(clean(f"{tool.name}: {one.words}.")))
        _say_counts(one)
        _say_story(folder, tool, today)
        if last is not None:
            say()
            say(f"Its last check with readings, {last.day}, in {UNITS[_kind(tool)].word}:")
            say_bars(_bars(last), _kind(tool))
        if found is not None:
            _say_series(found, _kind(tool))
        say()
        say(paragraph(CAUTION))
    if one.out:
        raise click.exceptions.Exit(codes.NO)


def _kind(tool: Tool) -> Kind:
    kind = kind_of(tool)
    assert kind is not None, "what was read has a kind"
    return kind


def _bars(past: Past | None) -> tuple[Bar, ...]:
    return () if past is None or past.result is None else bars_of(past.result)


def _say_counts(one: Stand) -> None:
    found = one.standing
    until = f", holds until {found.good_until}" if found.good_until is not None else ""
    if found.checked is not None:
        say(f"Last checked {found.checked}{until}.")
    left = f", {found.uses_left} more allowed" if found.uses_left is not None else ""
    say(f"Used {count(found.uses, 'time')} since{left}.")
    if one.unwound:
        say("Not wound down since it was last used [common practice].")


def _say_story(folder: KitFolder, tool: Tool, today: date) -> None:
    names = names_of(folder.kit)
    facts = story(tool, folder.live, today)
    if facts:
        say()
    for fact in facts:
        what = fact.what
        assert not isinstance(what, str)
        words = said_words(folder.kit, names, what)  # type: ignore[arg-type]
        note = getattr(what, "note", "")
        by = f"; {note}" if note else ""
        say(paragraph(clean(f"{fact.at:%Y-%m-%d %H:%M}  {words}{by} ({fact.author})")))


def say_bars(bars: tuple[Bar, ...], kind: Kind) -> None:
    """Errors of a check against its limits, a line for each point."""
    for bar in bars:
        line = drawn(bar, WIDTH) or "no limit here".ljust(WIDTH)
        limit = "" if bar.high is None else f" of {figure(bar.high, kind, signed=True)}"
        percent = "" if bar.percent is None else f" ({float(bar.percent):+.2f} %)"
        error = f"{figure(bar.mean, kind, signed=True)}{limit}{percent}"
        say(f"{figure(bar.at, kind):>8} |{line}| {error}".rstrip())
    say(f"         {LEGEND}")


def _say_series(found: Series, kind: Kind) -> None:
    say()
    what = "Its dimension" if found.at is None else f"Its error at {valued(found.at, kind)}"
    say(f"{what}, check by check:")
    for value in found.values:
        bar = Bar(0, value.value, value.value, value.expanded, found.low, found.high, None, None)
        say(f"{value.day}  |{drawn(bar, WIDTH)}| {offset_words(found, value, kind)}")
    say(paragraph(series_words(found, kind)))


def _say_setting(folder: KitFolder, one: Stand, wanted: str, today: date, as_json: bool) -> None:
    kind = kind_of(one.tool)
    if kind is None:
        raise DeskError(f"nothing says what {one.tool.name} measures")
    try:
        value = read(wanted, kind, UNITS[kind].word)
    except QuantityError as error:
        raise DeskError(str(error)) from error
    found = corrected(one, folder.live, value, today)
    if as_json:
        say_json(
            {
                "tool": one.tool.id,
                "wanted": value,
                "show": found.shown,
                "true": float(found.true),
                "within": float(found.expanded),
                "unit": kind.unit,
                "note": found.note,
                "out": one.out,
                "why": list(one.reasons),
                "caution": found.caution,
            }
        )
        return
    for words in setting_words(folder, one.tool.id, wanted, today):
        say(paragraph(clean(words)))


def _say_job(folder: KitFolder, letters: str, found: dict[str, Stand], as_json: bool) -> None:
    job = folder.kit.job(meant(job_named, folder.kit, letters))
    steps: list[dict[str, Any]] = []
    for step in job.steps:
        used = [found[p.tool] for p in step.picks if p.tool in found]
        out = flags(step.picks, found)
        if used:
            steps.append(
                {
                    "step": step.number,
                    "text": step.text,
                    "instruments": [one.tool.id for one in used],
                    "out": [flag._asdict() for flag in out],
                }
            )
    if as_json:
        say_json({"job": job.id, "name": job.name, "steps": steps, "caution": CAUTION})
    else:
        say(clean(job.name))
        for told in steps:
            say(paragraph(clean(f"{told['step']}  {told['text']}"), "  ").lstrip())
            for tool in told["instruments"]:
                one = found[tool]
                mark = "OUT " if one.out else ""
                say(paragraph(clean(f"{mark}{one.tool.name}: {one.words}"), "     "))
        if not steps:
            say("No step of it uses an instrument.")
        say()
        say(paragraph(CAUTION))
    if any(told["out"] for told in steps):
        raise click.exceptions.Exit(codes.NO)


@click.command("gauges")
@click.argument("pairs", nargs=-1, required=True, metavar="GAUGE=READING:GAUGE=READING...")
@click.option(
    "--step", "steps", multiple=True, metavar="GAUGE=STEP", help="A gauge's smallest step."
)
@click.option(
    "--certified",
    multiple=True,
    metavar="GAUGE=UNCERTAINTY",
    help="A gauge with a certificate, and the uncertainty on it (k = 2).",
)
@click.option(
    "--repeat", default="", metavar="VALUE", help="How far one gauge strays when read again."
)
@kit_option
@json_option
def gauges(
    pairs: tuple[str, ...],
    steps: tuple[str, ...],
    certified: tuple[str, ...],
    repeat: str,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Compare gauges two by two at one pressure, and say which one is off.

    A pair is two gauges read at the same time, like "digital=1.82:dial=1.80". Two gauges
    that agree prove little: compare with a third, or with one that has a certificate.
    """
    folder = kit_folder(kit_path)
    found = compare_gauges(folder.kit, TypedPairs(pairs, steps, certified, repeat))
    if as_json:
        say_json(_gauges_data(found))
        return
    sure = bool(found.offsets.certified)
    rows = [
        (
            clean(gauge.name),
            valued(found.offsets.error(gauge.name), found.kind, signed=True),
            "± " + valued(found.offsets.expanded(gauge.name), found.kind),
        )
        for gauge in found.gauges
    ]
    say(table(("gauge", "error" if sure else "against their mean", "95 %"), rows))
    say()
    say(paragraph(clean(f"{capital(found.apart.words)}.")))
    say(paragraph(found.apart.caution))


def _gauges_data(found: Comparison) -> dict[str, Any]:
    return {
        "unit": found.kind.unit,
        "certified": list(found.offsets.certified),
        "gauges": [
            {
                "name": gauge.name,
                "tool": None if gauge.tool is None else gauge.tool.id,
                "error": float(found.offsets.error(gauge.name)),
                "within": float(found.offsets.expanded(gauge.name)),
            }
            for gauge in found.gauges
        ],
        "apart": list(found.apart.names),
        "surely": found.apart.surely,
        "words": found.apart.words,
        "caution": found.apart.caution,
    }
