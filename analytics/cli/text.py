"""Plain text for the terminal: wrapped paragraphs, lists, small tables and bars."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager

import click

from analytics.saying import System, said

BAR_WIDTH = 24
UNITS = "laylog.units"
"""Where a running command keeps the shop's units."""


def system() -> System:
    """The units this command speaks in: the open shop's, else metric."""
    running = click.get_current_context(silent=True)
    found: System = running.meta.get(UNITS, "metric") if running else "metric"
    return found


def speak(chosen: System) -> None:
    """Say every figure of this command in these units from now on."""
    running = click.get_current_context(silent=True)
    if running:
        running.meta[UNITS] = chosen


@contextmanager
def as_typed() -> Iterator[None]:
    """Figures as they come, for cells somebody typed."""
    before = system()
    speak("metric")
    try:
        yield
    finally:
        speak(before)


def width() -> int:
    """Columns to write in: the terminal's, between 60 and 100."""
    return max(60, min(100, shutil.get_terminal_size((90, 24)).columns))


def echo(text: str = "", *, bold: bool = False) -> None:
    """A line as it is, in the shop's units."""
    click.secho(said(text, system()), bold=bold or None)


def title(text: str) -> None:
    text = said(text, system())
    click.echo()
    click.secho(text, bold=True)
    click.echo("-" * min(len(text), width()))


def para(text: str, indent: int = 0) -> None:
    lead = " " * indent
    _wrapped(text, lead, lead)


def item(text: str, mark: str = "-", indent: int = 2) -> None:
    lead = " " * indent + mark + " "
    _wrapped(text, lead, " " * len(lead))


def items(texts: Iterable[str], mark: str = "-", indent: int = 2) -> None:
    for text in texts:
        item(text, mark, indent)


def labelled(label: str, text: str, indent: int = 4) -> None:
    _wrapped(text, " " * indent + label + " ", " " * (indent + 2))


def _wrapped(text: str, first: str, rest: str) -> None:
    """Print within the width; ids such as release-worn-out stay whole, to be copied."""
    click.echo(
        textwrap.fill(
            said(text, system()), width(), initial_indent=first, subsequent_indent=rest,
            break_on_hyphens=False, break_long_words=False,
        )
    )  # fmt: skip


def bar(share: float) -> str:
    """A bar of BAR_WIDTH characters for a share from 0 to 1."""
    full = round(share * BAR_WIDTH)
    return "#" * full + "." * (BAR_WIDTH - full)


def percent(share: float) -> str:
    """A share from 0 to 1 in per cent, without false precision."""
    if 0 < share < 0.01:
        return "under 1 %"
    return f"{share * 100:.0f} %"


def count(number: int, name: str) -> str:
    """ "1 part", "2 parts", "1,115 mixes"."""
    plural = name if number == 1 else name + ("es" if name.endswith("x") else "s")
    return f"{number:,} {plural}"


def listed(names: Sequence[str]) -> str:
    """Names in a sentence, without their capitals."""
    return ", ".join(name[:1].lower() + name[1:] for name in names)


def upper_first(text: str) -> str:
    """The text with a capital to begin a sentence."""
    return text[:1].upper() + text[1:]


def table(header: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """A table with columns as wide as their longest cell; numbers to the right."""
    chosen = system()
    cells = [[said(str(cell), chosen) for cell in row] for row in rows]
    columns = list(zip(header, *cells, strict=True)) if cells else [(h,) for h in header]
    widths = [max(len(cell) for cell in column) for column in columns]
    for row in [list(header), *cells]:
        click.echo("  " + "  ".join(_cell(c, w) for c, w in zip(row, widths, strict=True)).rstrip())


def _cell(text: str, wide: int) -> str:
    number = text.replace(".", "").replace("-", "").replace("%", "").strip().isdigit()
    return text.rjust(wide) if number else text.ljust(wide)
