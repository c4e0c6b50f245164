"""The `laylog` command. Each subcommand lives in its own module and is loaded when it is asked."""

from __future__ import annotations

import importlib
import sys

import click

from analytics.errors import LaylogError

COMMANDS = {
    "check": "Say what would be read from a log file, and every problem; changes nothing.",
    "import": "Read log files into the store.",
    "place": "Say once what a column means that laylog could not place.",
    "why": "Rank the likely causes of a part's faults.",
    "confirm": "Write down what a fault turned out to be, or take it back.",
    "month": "Review a month: how it went and what stands out.",
    "catalyst": "Say how much catalyst to use, and what gel time to expect.",
    "records": "Show every part as it was understood.",
    "serve": "Open the dashboard in a browser on this machine.",
    "demo": "Load the sample logs into a store of their own and show the three answers.",
}


class LazyGroup(click.Group):
    """A group that imports a command's module only when that command runs."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"analytics.cli.{cmd_name}_command")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="laylog")
def cli() -> None:
    """Reads a GRP workshop's own job log: why a part failed, how the month went, how much catalyst.

    \b
    laylog import jobs.xlsx mixes.csv logger.csv
    laylog why A-0412
    laylog month 2025-11
    laylog catalyst --material gelcoat --temperature 14
    """


def main() -> None:
    """Run `laylog`; exit code 0 done, 1 done with problems to look at, 2 could not."""
    try:
        cli.main(standalone_mode=False)
    except LaylogError as error:
        click.echo(f"laylog: {error}", err=True)
        sys.exit(2)
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except click.Abort:
        click.echo("laylog: stopped.", err=True)
        sys.exit(2)
    except click.exceptions.Exit as error:
        sys.exit(error.exit_code)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
