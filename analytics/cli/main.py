"""The `laylog` command. Each subcommand lives in its own module and is loaded when it is asked."""

from __future__ import annotations

import importlib
import os
import re
import sys
from typing import NoReturn

import click

from analytics.errors import LaylogError

COMMANDS = {
    "check": "Say what would be read from a log file, and every problem; changes nothing.",
    "import": "Read log files into the store.",
    "place": "Say once what a column means that laylog could not place; alone, list the fields.",
    "why": "Rank the likely causes of a part's faults.",
    "confirm": "Write down what a fault turned out to be, or take it back.",
    "month": "Review a month: how it went and what stands out.",
    "action": "Write down what was changed, and hear each month whether it worked.",
    "catalyst": "Say how much catalyst to use, and what gel time to expect.",
    "cup": "Log a cup test, and hear whether its lot has drifted.",
    "plan": "Plan a part for a day: what to weigh out, and every step by the clock.",
    "compare": "Settle an argument: one way or the other, on your own log.",
    "trial": "Plan a fair trial, give parts their way, and look how it stands.",
    "records": "Show every part as it was understood.",
    "units": "Choose metric or US units, once, for every screen and print.",
    "export": "Write the log to CSV, XLSX or Parquet files.",
    "serve": "Start the dashboard, on this machine or shared in the shop.",
    "passphrase": "Set the passphrase a shared dashboard asks for.",
    "backup": "Copy the whole store into one file, checked, while others go on working.",
    "restore": "Put a backup back, all of it or nothing.",
    "health": "Say whether the store is sound, and when it was last backed up.",
    "demo": "Load the sample logs into a store of their own and show the three answers.",
}


LONGEST_TOLD = 60
LONG_WORD = re.compile(rf"\S{{{4 * LONGEST_TOLD},}}")


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


def _one_thread_each() -> None:
    """Keep the linear algebra below numpy to one thread, unless somebody set it otherwise.

    The matrices here are many and small: its threads wait for each other more than they compute,
    and on a busy machine an answer takes several times as long.
    """
    for library in ("OPENBLAS", "OMP", "MKL"):
        os.environ.setdefault(f"{library}_NUM_THREADS", "1")


def main() -> None:
    """Run `laylog`; exit code 0 done, 1 done with problems to look at, 2 could not."""
    _one_thread_each()
    try:
        cli.main(standalone_mode=False)
    except LaylogError as error:
        _stop(str(error))
    except click.exceptions.NoArgsIsHelpError as error:
        error.show()
        sys.exit(2)
    except click.UsageError as error:
        asked = error.ctx.command_path if error.ctx else "laylog"
        _stop(f"{error.format_message()} For help: {asked} --help")
    except click.Abort:
        _stop("stopped")
    except click.exceptions.Exit as error:
        sys.exit(error.exit_code)
    except Exception as error:
        # Not a sentence anybody wrote for this case, but better at a bench than a traceback.
        if os.environ.get("LAYLOG_TRACEBACK"):
            raise
        _stop(
            f"a mistake inside laylog, not yours ({type(error).__name__}: {error}). Nothing half "
            "done was kept. Set LAYLOG_TRACEBACK=1, run it again and report what it prints"
        )


def _stop(sentence: str) -> NoReturn:
    """End with exit code 2 and one sentence that says why; what was typed is not told at length."""
    sentence = LONG_WORD.sub(lambda word: f"{word[0][:LONGEST_TOLD]}…", sentence)
    end = "" if sentence.endswith((".", "?", "!", "--help")) else "."
    click.echo(f"laylog: {sentence}{end}", err=True)
    sys.exit(2)
