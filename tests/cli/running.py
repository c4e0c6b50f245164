"""Run a `laylog` command the way a terminal does, in this process."""

from __future__ import annotations

import io
import json
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

from analytics.cli.main import main


@dataclass(frozen=True)
class Ran:
    """What a command printed and the exit code it ended with."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The one JSON document it printed."""
        return json.loads(self.out)

    @property
    def lines(self) -> list[Any]:
        """The JSON lines it printed."""
        return [json.loads(line) for line in self.out.splitlines()]

    @property
    def words(self) -> str:
        """Everything printed, on one line, as wrapping does not matter."""
        return " ".join((self.out + self.err).split())


def run(*arguments: str | Path) -> Ran:
    """`laylog ARGUMENTS`; a mistake inside laylog is raised, not printed."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    typed = ["laylog", *map(str, arguments)]
    with patch.object(sys, "argv", typed), redirect_stdout(out), redirect_stderr(err):
        try:
            main()
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 0
    return Ran(code, out.getvalue(), err.getvalue())


def one_sentence(ran: Ran) -> str:
    """The sentence a refused command printed, after checking that it is all it printed."""
    assert ran.code == 2, ran
    assert ran.out == ""
    assert ran.err.startswith("laylog: ")
    assert ran.err.count("\n") == 1
    assert "Traceback" not in ran.err
    return ran.err.removeprefix("laylog: ").strip()
