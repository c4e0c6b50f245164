"""What the installed laylog needs besides its code is what the package takes along."""

from __future__ import annotations

import fnmatch
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PYPROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
# pictures of the screens for the README; nothing reads them at run time
NOT_NEEDED = ("dashboard/pictures",)


def data_files() -> list[Path]:
    tops = PYPROJECT["tool"]["setuptools"]["packages"]["find"]["include"]
    found = [path for top in tops for path in (ROOT / top.removesuffix("*")).rglob("*")]
    return sorted(
        path.relative_to(ROOT)
        for path in found
        if path.is_file()
        and path.suffix != ".py"
        and "__pycache__" not in path.parts
        and not path.relative_to(ROOT).as_posix().startswith(NOT_NEEDED)
    )


def test_the_tree_holds_the_data_files_that_laylog_reads() -> None:
    names = {path.as_posix() for path in data_files()}
    assert names >= {
        "analytics/knowledge/data/limits.toml",
        "analytics/records/data/fields.toml",
        "dashboard/assets/laylog.css",
        "sample_logs/workshop-jobs.xlsx",
    }


@pytest.mark.parametrize("path", data_files(), ids=Path.as_posix)
def test_every_data_file_goes_into_the_package(path: Path) -> None:
    patterns = PYPROJECT["tool"]["setuptools"]["package-data"]["*"]
    assert any(fnmatch.fnmatch(path.name, pattern) for pattern in patterns)


def test_the_package_says_how_to_run_it_and_on_what_terms() -> None:
    project = PYPROJECT["project"]
    assert project["scripts"] == {"laylog": "analytics.cli.main:main"}
    assert project["license"] == "MIT"
    assert (ROOT / project["readme"]).read_text("utf-8").startswith("# laylog")
