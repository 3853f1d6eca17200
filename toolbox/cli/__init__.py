"""The command line: one module for each group of commands, loaded by name."""

from __future__ import annotations

import importlib
import os
import sys

import click

from toolbox import __version__
from toolbox.cli import codes
from toolbox.cli.words import ready_streams, remark

# Command -> module and function. Loading by name keeps "toolbox pick" free of
# everything that only "toolbox plan" needs.
COMMANDS = {
    "new": "kits:new",
    "check": "kits:check",
    "import": "intake:import_list",
    "place": "kits:place",
    "edit": "edit:edit",
    "log": "diary:log",
    "pick": "diary:pick",
    "spend": "diary:spend",
    "undo": "diary:undo",
    "uses": "ranking:uses",
    "reach": "reach:reach",
    "plan": "plans:plan",
    "compare": "plans:compare",
    "why": "why:why",
    "helps": "why:helps",
    "rebuild": "rebuild:rebuild",
    "adopt": "plans:adopt",
    "map": "maps:box_map",
    "find": "maps:find",
    "draw": "draw_sheets:draw",
    "labels": "label_sheets:labels",
    "balance": "carrying:balance",
    "pitbag": "carrying:pitbag",
    "unused": "carrying:unused",
    "trip": "flight:trip",
    "flight": "flight:flight",
    "goods": "flight:goods",
    "stow": "flight:stow",
    "weigh": "flight:weigh",
    "weighing": "weighing:weighing",
    "preflight": "preflight:preflight_list",
    "sheets": "sheets:sheets",
    "customs": "customs:customs",
    "claim": "claim:claim",
    "count": "count:count_in",
    "settle": "count:settle",
    "missing": "count_lists:missing",
    "release": "count:release",
    "lent": "count_lists:lent",
    "losses": "count_lists:losses",
    "stock": "stock:stock",
    "restock": "stock:restock",
    "buy": "stock:buy",
    "recount": "stock_said:recount",
    "waste": "stock_said:waste",
    "opened": "stock_said:open_pack",
    "wish": "stock:wish",
    "instruments": "instruments:instruments",
    "test": "instruments_said:test_tool",
    "happened": "instruments_said:happened",
    "wound": "instruments_said:wound",
    "gauges": "instruments:gauges",
    "lists": "lists:lists",
    "export": "archive:export",
    "merge": "merge:merge_copies",
    "report": "report:report",
    "backup": "backup:backup",
    "restore": "backup:restore_copy",
    "doctor": "doctor:doctor",
    "ready": "screens:ready",
    "screens": "screens:screens",
    "serve": "serve:serve",
    "demo": "demo:demo",
    "completion": "completion:completion",
    "manual": "manual:manual",
    "schema": "schema:schema",
}

# Options that are not of a command.
_OWN = ("-h", "--help", "--version")

# Set by the scripts that "toolbox completion" prints, while a shell asks for a word.
_COMPLETING = "_TOOLBOX_COMPLETE" in os.environ


class ByName(click.Group):
    """A group whose commands are imported when they are first asked for."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Options without a command are those of the screens, which it opens."""
        if args and args[0].startswith("-") and args[0] not in _OWN:
            command = self.get_command(ctx, "screens")
            assert command is not None, "the table above names it"
            _, rest, _ = command.make_parser(ctx).parse_args(list(args))
            if rest:
                raise click.UsageError(f"options go behind their command: toolbox {rest[0]} ...")
            args = ["screens", *args]
        return super().parse_args(ctx, args)

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of all commands in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, None when there is none."""
        if cmd_name not in COMMANDS:
            return None
        module, _, function = COMMANDS[cmd_name].partition(":")
        found = getattr(importlib.import_module(f"toolbox.cli.{module}"), function)
        assert isinstance(found, click.Command), "the table above names commands only"
        if _COMPLETING:
            from toolbox.cli.completion import offer_names

            offer_names(cmd_name, found)
        return found

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Exit codes below the list of commands."""
        with formatter.section("Exit codes"):
            formatter.write_dl([(str(code), words) for code, words in codes.MEANINGS.items()])


@click.group(
    cls=ByName,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(__version__, message="toolbox %(version)s")
@click.pass_context
def cli(ctx: click.Context) -> None:
    """Keep a travelling race mechanic's toolbox ready.

    Log which tools the work takes, see which are wanted most, and let the box
    be planned so that they are quickest to reach. Without a command it opens the
    screens on the kit here, or on the one opened last; it then takes the options
    of the command screens.
    """
    if ctx.invoked_subcommand is None:
        screens = cli.get_command(ctx, "screens")
        assert screens is not None, "the table above names it"
        ctx.invoke(screens)


def main() -> None:
    """Run the command line and turn what went wrong into words and an exit code."""
    ready_streams()
    if _COMPLETING:
        from toolbox.cli.completion import prepare

        prepare()
    try:
        code = cli.main(standalone_mode=False)
    except click.exceptions.Abort:
        remark("stopped; nothing more was done")
        sys.exit(130)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except BrokenPipeError:
        # The reader (a pager, head) has left: nothing to say and nobody to say it to.
        sys.stderr.close()
        sys.exit(codes.DONE)
    except Exception as error:
        from toolbox.cli.trouble import explain

        sys.exit(explain(error))
    sys.exit(code if isinstance(code, int) else codes.DONE)
