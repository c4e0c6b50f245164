"""Options and helpers that every command shares."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from analytics.shop import Shop

Command = TypeVar("Command", bound=Callable[..., Any])


def shop_options(command: Command) -> Command:
    """`--store`, `--knowledge` and `--json`, the same for every command."""
    command = click.option(
        "--json", "as_json", is_flag=True, help="Print the answer as JSON for other programs."
    )(command)
    command = click.option(
        "--knowledge",
        "knowledge_file",
        envvar="LAYLOG_KNOWLEDGE",
        metavar="FILE",
        help="The shop's own TOML file of causes and limits, added to the trade's.",
    )(command)
    return click.option(
        "--store",
        envvar="LAYLOG_STORE",
        metavar="PATH_OR_URL",
        help="Where the log is kept; default: a file in your data folder.",
    )(command)


@contextmanager
def open_shop(store: str | None, knowledge_file: str | None) -> Iterator[Shop]:
    """The shop behind a command, closed afterwards."""
    from analytics.shop import Shop

    shop = Shop.open(store, knowledge_file=knowledge_file, now=datetime.now)
    try:
        yield shop
    finally:
        shop.close()


def print_json(answer: Any) -> None:
    """One JSON document, readable and in UTF-8."""
    click.echo(json.dumps(answer, ensure_ascii=False, indent=2))


def print_json_line(answer: Any) -> None:
    """One JSON line."""
    click.echo(json.dumps(answer, ensure_ascii=False))


def finish(problems: bool) -> None:
    """End with exit code 1 where there is something to look at."""
    if problems:
        sys.exit(1)
