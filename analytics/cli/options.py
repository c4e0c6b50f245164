"""Options and helpers that every command shares."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import TYPE_CHECKING, Any, TypeVar

import click

from analytics.cli import text
from analytics.errors import LaylogError
from analytics.saying import said
from analytics.units import convert, unit_named

if TYPE_CHECKING:
    from analytics.shop import Shop

Command = TypeVar("Command", bound=Callable[..., Any])
FIGURE = re.compile(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*(\D*?)\s*")


class Figure(click.ParamType):
    """A number as a person types it, 1.5 or 1,5, with or without a unit: "64F", "2 lb"."""

    name = "figure"

    def __init__(self, quantity: str, unit: str) -> None:
        self._quantity, self._unit = quantity, unit

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if not isinstance(value, str):
            return value
        try:
            return self.read(value)
        except ValueError:
            self.fail(f'"{value}" is not a figure in {self._unit}.', param, ctx)

    def read(self, said: str) -> float:
        """The number in the option's own unit. Raises ValueError for anything else."""
        shape = FIGURE.fullmatch(said)
        if shape is None:
            raise ValueError(said)
        number, typed = float(shape[1].replace(",", ".")), shape[2]
        unit = unit_named(typed, self._quantity) if typed else self._unit
        if unit is None:
            raise ValueError(said)
        return convert(number, unit, self._unit)


class Span(Figure):
    """Two numbers, such as 12-18 or "1,5 to 2 %"."""

    name = "span"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if not isinstance(value, str):
            return value
        low, _, high = value.replace("–", "-").replace(" to ", "-").partition("-")
        try:
            return self.read(low), self.read(high)
        except ValueError:
            self.fail(f'"{value}" is not two figures in {self._unit} such as 12-18.', param, ctx)


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
def open_shop(
    store: str | None, knowledge_file: str | None, *, make: bool = True
) -> Iterator[Shop]:
    """The shop behind a command, closed afterwards; one that only asks must not `make` a store."""
    from analytics.shop import Shop

    shop = Shop.open(store, knowledge_file=knowledge_file, now=datetime.now, make=make)
    try:
        text.speak(shop.units())
        yield shop
    except LaylogError as error:
        # told by `main`, where nobody knows the shop any more
        error.args = tuple(said(str(word), text.system()) for word in error.args)
        raise
    finally:
        shop.close()


def print_json(answer: Any) -> None:
    """One JSON document, readable and in UTF-8."""
    click.echo(json.dumps(answer, ensure_ascii=False, indent=2))


def print_json_line(answer: Any) -> None:
    """One JSON line."""
    click.echo(json.dumps(answer, ensure_ascii=False))


def finish(*, problems: bool, could_not: bool) -> None:
    """End with exit code 2 where nothing could be read, 1 where there is something to look at."""
    if could_not or problems:
        sys.exit(2 if could_not else 1)
