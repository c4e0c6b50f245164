"""Every command explains itself, quickly, and the README's commands are ones that exist."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import click
import pytest

from analytics.cli.main import COMMANDS, cli
from analytics.knowledge.loading import load_knowledge
from tests.cli.running import one_sentence, run

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text("utf-8")
HEAVY = ("pandas", "numpy", "scipy", "sklearn", "plotly", "dash", "sqlalchemy")


def parsed(line: str) -> None:
    """Read a `laylog …` line as the command would, without running it."""
    name, *arguments = shlex.split(line.split(" > ")[0], comments=True)[1:]
    command = cli.get_command(click.Context(cli), name)
    assert command is not None, f"no command {name}"
    command.make_context(name, arguments)


def examples(text: str) -> list[str]:
    """The lines of the README's code blocks that call laylog."""
    blocks = re.findall(r"^```sh$(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    return [line for block in blocks for line in block.splitlines() if line.startswith("laylog ")]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_shows_an_example_that_it_understands(name: str) -> None:
    ran = run(name, "--help")
    example = re.search(r"Example: (laylog .*)", ran.out)
    assert ran.code == 0
    assert example
    assert example[1].split()[1] == name
    parsed(example[1])


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_takes_json(name: str) -> None:
    assert "--json" in run(name, "--help").out


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_in_the_readme(name: str) -> None:
    assert re.search(rf"`laylog {name}\b", README)


@pytest.mark.parametrize("line", examples(README))
def test_every_line_of_the_readme_is_one_the_command_understands(line: str) -> None:
    parsed(line)


def test_readme_has_lines_to_try() -> None:
    assert len(examples(README)) >= 8


def test_help_lists_every_command() -> None:
    listed = run("--help").out
    assert all(re.search(rf"^  {name} ", listed, re.MULTILINE) for name in COMMANDS)


def test_laylog_alone_shows_the_help_and_could_not_do_anything() -> None:
    ran = run()
    assert ran.code == 2
    assert "Commands:" in ran.err


def test_help_loads_no_heavy_library() -> None:
    code = (
        "import sys; from analytics.cli.main import cli; "
        "cli.main(['--help'], standalone_mode=False); "
        f"print('LOADED', [name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert "LOADED []" in done.stdout


def test_an_unknown_command_is_one_sentence() -> None:
    assert "nonsense" in one_sentence(run("nonsense"))


def test_a_mistake_inside_laylog_is_a_sentence_too(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("boom")

    monkeypatch.delenv("LAYLOG_TRACEBACK")
    monkeypatch.setattr("analytics.shop.Shop.records", broken)
    run("units", "metric")
    sentence = one_sentence(run("records"))
    assert "inside laylog" in sentence
    assert "boom" in sentence


def test_the_readme_has_one_line_to_try_laylog_and_one_to_test_it() -> None:
    lines = [line for line in README.splitlines() if line.startswith("python3 -m venv")]
    marked = README.split("<!-- the test command -->\n```sh\n")[1].split("\n```")[0]
    assert len(lines) == 2
    assert lines[0].endswith("laylog demo")
    assert lines[1] == marked
    assert "pytest -n auto" in marked


def test_the_readmes_example_of_a_shops_own_file_is_sound(tmp_path: Path) -> None:
    (example,) = re.findall(r"^```toml$(.*?)^```$", README, re.MULTILINE | re.DOTALL)
    path = tmp_path / "our-shop.toml"
    path.write_text(example, "utf-8")
    assert load_knowledge(path).limits["gelcoat-catalyst"].flag_high == 2.2


def test_the_readme_links_only_to_files_that_are_there() -> None:
    links = re.findall(r"\]\(([^)#]+)\)", README)
    assert len(links) > 6
    assert [link for link in links if not (ROOT / link).exists()] == []
