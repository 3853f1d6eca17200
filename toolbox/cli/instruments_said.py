"""Commands that write down what happened to instruments: test, happened, wound."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli import codes
from toolbox.cli.common import author, json_option, kit_folder, kit_option, meant, moment, now
from toolbox.cli.instruments import say_bars
from toolbox.cli.instruments_data import bar_data
from toolbox.cli.words import clean, paragraph, say, say_json
from toolbox.desk.diary import When
from toolbox.desk.errors import DeskError
from toolbox.desk.evening_words import said_words
from toolbox.desk.folder import KitFolder, names_of
from toolbox.desk.instrument_checks import (
    Judged,
    TypedCheck,
    TypedReference,
    check_fact,
    event,
    instrument_named,
    judge_typed,
    made_elsewhere,
    wound_down,
    write_of_instruments,
)
from toolbox.desk.instrument_picture import bars_of
from toolbox.desk.instrument_view import verdict_words
from toolbox.desk.instruments import CAUTION, kind_of, stands
from toolbox.kit.checking import EventKind, SaidOfInstrument, Verdict
from toolbox.kit.things import Tool

BY_HELP = "Who. Default: TOOLBOX_AUTHOR or login."
AT_HELP = 'When: "2026-11-20 14:30", or "14:30" for today. Default: now.'
FAILED = (Verdict.CONDITIONAL_FAIL, Verdict.FAIL)


@click.command("test")
@click.argument("tool")
@click.argument("readings", nargs=-1, metavar="[SHOWN=REFERENCE...]")
@click.option("--reference", default="the reference", help="What it is held against, by name.")
@click.option("--limit", default="", help='The most the reference may be off: "1 %", "0.02 bar".')
@click.option("--certificate", default="", help="Or the uncertainty on its certificate.")
@click.option("--coverage", default="2", help="The coverage factor k of that. Default: 2.")
@click.option("--digit", default="", help="The smallest step that the reference shows.")
@click.option("--falling", multiple=True, metavar="SHOWN=REFERENCE", help="Read going down.")
@click.option("--celsius", type=int, help="How warm it was, in whole degrees.")
@click.option("--elsewhere", default="", metavar="WHO", help="Who checked it, if not you here.")
@click.option(
    "--verdict",
    type=click.Choice([v.value for v in Verdict]),
    help="What they found; goes with --elsewhere.",
)
@click.option("--try", "only_try", is_flag=True, help="Say the verdict and write nothing.")
@click.option("--note", default="", help="Anything worth knowing.")
@click.option("--at", metavar="TIME", help=AT_HELP)
@click.option("--by", metavar="NAME", help=BY_HELP)
@kit_option
@json_option
def test_tool(
    tool: str,
    readings: tuple[str, ...],
    reference: str,
    limit: str,
    certificate: str,
    coverage: str,
    digit: str,
    falling: tuple[str, ...],
    celsius: int | None,
    elsewhere: str,
    verdict: str | None,
    only_try: bool,
    note: str,
    at: str | None,
    by: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Hold an instrument against a reference, and write down the verdict.

    Readings are what TOOL showed or was set to and what the reference said, like "5=5.05",
    or "5=5.05:5.04:5.06" for several at one point; "2@2.01=2" names the point meant. A
    shop-made gauge needs only what was measured. The exit code is 0 when it passed.
    """
    folder = kit_folder(kit_path)
    one = folder.kit.tool(meant(instrument_named, folder.kit, tool))
    if elsewhere or verdict:
        if readings or falling or not (elsewhere and verdict):
            raise DeskError("a check made elsewhere is told by --elsewhere WHO --verdict, alone")
        said = made_elsewhere(one, clean(elsewhere), Verdict(verdict), clean(note))
        entry = "" if only_try else _written(folder, [said], at, by)
        _say_elsewhere(folder, said, entry, as_json)
        raise click.exceptions.Exit(codes.NO if said.verdict in FAILED else codes.DONE)
    beside = TypedReference(clean(reference), limit, certificate, coverage, digit)
    typed = TypedCheck(beside, readings, falling, celsius, clean(note))
    result = judge_typed(one, typed)
    entry = ""
    if result.verdict is not None and not only_try:
        entry = _written(folder, [check_fact(one, result, typed.note)], at, by)
    _say_verdict(one, result, entry, as_json)
    good = result.verdict is not None and result.verdict not in FAILED
    raise click.exceptions.Exit(codes.DONE if good else codes.NO)


def _written(
    folder: KitFolder, said: list[SaidOfInstrument], at: str | None, by: str | None
) -> str:
    return write_of_instruments(folder, said, When(moment(at), now(), author(by)))


def _say_elsewhere(folder: KitFolder, said: SaidOfInstrument, entry: str, as_json: bool) -> None:
    words = said_words(folder.kit, names_of(folder.kit), said)
    if as_json:
        say_json({"said": words, "entry": entry or None, "caution": CAUTION})
        return
    say(paragraph(clean(words)))
    _say_entry(entry)


def _say_entry(entry: str) -> None:
    say(f'take it back with "toolbox undo {entry[:8]}"' if entry else "Nothing was written.")


def _say_verdict(tool: Tool, result: Judged, entry: str, as_json: bool) -> None:
    kind = kind_of(tool)
    assert kind is not None, "it was judged"
    bars = bars_of(result)
    if as_json:
        say_json(
            {
                "tool": tool.id,
                "verdict": None if result.verdict is None else result.verdict.value,
                "refused": list(result.refused),
                "notes": list(result.notes),
                "points": [bar_data(bar) for bar in bars],
                "hysteresis": None if result.hysteresis is None else float(result.hysteresis.value),
                "unit": kind.unit,
                "entry": entry or None,
                "caution": CAUTION,
            }
        )
        return
    for words in verdict_words(tool, result):
        say(paragraph(clean(words)))
    if bars:
        say()
        say_bars(bars, kind)
    say()
    if result.verdict is None:
        say(paragraph(CAUTION))
    _say_entry(entry)


@click.command("happened")
@click.argument("tool")
@click.argument("what", type=click.Choice([kind.value for kind in EventKind]))
@click.option("--note", default="", help="Anything worth knowing.")
@click.option("--at", metavar="TIME", help=AT_HELP)
@click.option("--by", metavar="NAME", help=BY_HELP)
@kit_option
@json_option
def happened(
    tool: str,
    what: str,
    note: str,
    at: str | None,
    by: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Say that an instrument was dropped, overloaded or repaired: it needs a check now."""
    folder = kit_folder(kit_path)
    one = folder.kit.tool(meant(instrument_named, folder.kit, tool))
    said = event(one, EventKind(what), clean(note))
    entry = _written(folder, [said], at, by)
    if as_json:
        say_json({"tool": one.id, "what": what, "entry": entry})
        return
    say(paragraph(clean(f"{one.name} {what}: check it before it is used again.")))
    _say_entry(entry)


@click.command("wound")
@click.argument("tools", nargs=-1, metavar="[TOOL...]")
@click.option("--at", metavar="TIME", help=AT_HELP)
@click.option("--by", metavar="NAME", help=BY_HELP)
@kit_option
@json_option
def wound(
    tools: tuple[str, ...], at: str | None, by: str | None, kit_path: Path | None, as_json: bool
) -> None:
    """Say that torque tools were wound down to their lowest mark; without TOOL all that need it."""
    folder = kit_folder(kit_path)
    named = [folder.kit.tool(meant(instrument_named, folder.kit, letters)) for letters in tools]
    found = stands(folder.kit, folder.live, moment(at).date()).values()
    meant_tools = named or [one.tool for one in found if one.unwound]
    said = [wound_down(tool) for tool in dict.fromkeys(meant_tools)]
    entry = _written(folder, list(said), at, by) if said else ""
    if as_json:
        say_json({"tools": [one.tool for one in said], "entry": entry or None})
        return
    if not said:
        say("Nothing to wind down.")
        return
    names = ", ".join(tool.name for tool in dict.fromkeys(meant_tools))
    say(paragraph(clean(f"Wound down: {names}")))
    _say_entry(entry)
